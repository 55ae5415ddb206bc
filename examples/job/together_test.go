package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sync"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/supply"
)

// TestUsedTogether lets many goroutines ask one job, with its shelf, codes, layouts and
// sizings, for everything at once. All must hear what one alone hears; the race detector
// watches.
func TestUsedTogether(t *testing.T) {
	j, err := Read(hall, "hall/hall.json", "")
	if err != nil {
		t.Fatal(err)
	}
	d, err := j.SizeDrains("")
	if err != nil {
		t.Fatal(err)
	}
	w, err := j.SizeWater("", supply.Options{})
	if err != nil {
		t.Fatal(err)
	}
	marshal := func(x any, err error) ([]byte, error) {
		if err != nil {
			return nil, err
		}
		return json.Marshal(x)
	}
	asked := []struct {
		what string
		ask  func() ([]byte, error)
	}{
		{"report", func() ([]byte, error) {
			r, err := j.Report("", Options{})
			if err != nil {
				return nil, err
			}
			var b bytes.Buffer
			err = r.Print(&b)
			return b.Bytes(), err
		}},
		{"sizes of drains", func() ([]byte, error) { return marshal(j.SizeDrains("")) }},
		{"sizes of water lines", func() ([]byte, error) { return marshal(j.SizeWater("", supply.Options{})) }},
		{"drains checked", func() ([]byte, error) { return marshal(d.Check(drains.CheckOptions{})) }},
		{"levels", func() ([]byte, error) { return marshal(d.Levels(), nil) }},
		{"drains drawn", func() ([]byte, error) { return marshal(d.Draw(drains.DrawOptions{})) }},
		{"drains tested", func() ([]byte, error) { return marshal(d.TestPlans(drains.TestOptions{})) }},
		{"water checked", func() ([]byte, error) { return marshal(w.Check(supply.CheckOptions{})) }},
		{"hot water", func() ([]byte, error) { return marshal(w.HotWater()) }},
		{"surges", func() ([]byte, error) { return marshal(w.Surges()) }},
		{"material", func() ([]byte, error) { return marshal(w.TakeOff(supply.TakeOffOptions{})) }},
		{"another code", func() ([]byte, error) { return marshal(j.SizeDrains("upc-2021")) }},
	}
	// The first answers come together too: nothing may hang on who was first.
	const each = 3
	answers := make([][]byte, each*len(asked))
	var group sync.WaitGroup
	for n := range answers {
		group.Go(func() {
			a := asked[n%len(asked)]
			text, err := a.ask()
			if err != nil {
				text = fmt.Append(nil, a.what, ": ", err)
			}
			answers[n] = text
		})
	}
	group.Wait()
	for n, a := range asked {
		text, err := a.ask()
		if err != nil {
			t.Fatal(a.what, err)
		}
		for ; n < len(answers); n += len(asked) {
			if !bytes.Equal(answers[n], text) {
				t.Errorf("%s: together with others %.200q, alone %.200q", a.what, answers[n], text)
			}
		}
	}
}
