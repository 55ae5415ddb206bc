package strictjson

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// What nests is counted, whatever stands between; brackets in texts do not nest.
func TestDepth(t *testing.T) {
	deep := func(open, inner, end string, n int) string {
		return strings.Repeat(open, n) + inner + strings.Repeat(end, n)
	}
	for _, c := range []struct {
		name, text string
		ok         bool
	}{
		{"deepest lists", deep("[1,", "1", "]", 32), true},
		{"a list deeper", deep("[1,", "1", "]", 33), false},
		{"deepest objects", deep(`{"a":`, "1", "}", 32), true},
		{"an object deeper", deep(`{"a":`, "1", "}", 33), false},
		{"after a text", `["ab",` + deep("[", "", "]", 32) + "]", false},
		{"after a text with a quote", `["a\"b",` + deep("[", "", "]", 32) + "]", false},
		{"side by side", "[[]" + strings.Repeat(",[]", 40) + "]", true},
		{"objects side by side", "[{}" + strings.Repeat(",{}", 40) + "]", true},
		{"brackets in a text", `"` + strings.Repeat("[", 40) + `"`, true},
		{"brackets after a quote in a text", `"\"` + strings.Repeat("{", 40) + `"`, true},
	} {
		if _, err := Parse("f", []byte(c.text), Limits{}); c.ok != (err == nil) || !c.ok && !errors.Is(err, ErrTooBig) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	for size, ok := range map[int]bool{5: true, 4: false} {
		if _, err := Parse("f", []byte("[1,2]"), Limits{Bytes: size}); ok != (err == nil) {
			t.Errorf("5 bytes of %d: %v", size, err)
		}
	}
}

func TestNumbersAndBools(t *testing.T) {
	type whole struct {
		N int `json:"n"`
	}
	for text, want := range map[string]int{
		"100": 100, "1e2": 100, "1e+2": 100, "1E2": 100, "100.0": 100, "-7": -7, "2147483647": 1<<31 - 1, "2147483647.0": 1<<31 - 1,
		"-2147483648": -1 << 31, "-2147483648.0": -1 << 31, "-2.147483648e9": -1 << 31,
	} {
		var v whole
		d, err := Decode("f", "x", []byte(`{"n":`+text+`}`), &v, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if d.Faults.Len() != 0 || v.N != want {
			t.Errorf("%s is read as %d, %v", text, v.N, d.Faults.Err())
		}
	}
	for _, text := range []string{"2147483648", "2147483648.0", "-2147483649", "-2147483649.0", "1e999", "0.5", "1e-2"} {
		var v whole
		d, err := Decode("f", "x", []byte(`{"n":`+text+`}`), &v, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if d.Faults.Len() != 1 {
			t.Errorf("%s is read as %d", text, v.N)
		}
	}
	d, err := Parse("f", []byte(`{"yes":true,"no":false}`), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if f := d.Fields(&d.Root, "x"); !f.Bool("yes") || f.Bool("no") || f.Bool("none") || d.Faults.Len() != 0 {
		t.Errorf("yes %v, no %v, none %v: %v", f.Bool("yes"), f.Bool("no"), f.Bool("none"), d.Faults.Err())
	}
}

// Of an object of any length each repeated and each unknown member is told once, at
// its own place.
func TestLongObjects(t *testing.T) {
	for _, n := range []int{2, 24, 25, 63, 64, 65, 66, 100} {
		var b strings.Builder
		b.WriteString("{")
		for i := range n {
			fmt.Fprintf(&b, "\"m%d\":%d,\n", i, i)
		}
		fmt.Fprintf(&b, "\"m0\":0,\n\"more\":0}")
		d, err := Parse("f", []byte(b.String()), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		f := d.Fields(&d.Root, "x")
		for i := range n {
			if got, ok := f.Float(fmt.Sprintf("m%d", i)); !ok || got != float64(i) {
				t.Errorf("member %d of %d is %g", i, n, got)
			}
		}
		f.Done()
		want := fmt.Sprintf("f:%d:1: x: m0: given twice\nf:%d:1: x: more: unknown field", n+1, n+2)
		if err := d.Faults.Err(); err == nil || err.Error() != want {
			t.Errorf("%d members: %v, want %s", n, err, want)
		}
		// Nor is any lost that nobody asked for.
		d, _ = Parse("f", []byte(b.String()), Limits{})
		f = d.Fields(&d.Root, "x")
		f.Float("more")
		f.Done()
		if got := d.Faults.Len(); got != n+1 {
			t.Errorf("%d members that nobody asked for, and one given twice: %d faults", n, got)
		}
	}
}

// A great object costs what its members cost: this takes minutes if each is held
// against all the others.
func TestVastObject(t *testing.T) {
	const n = 200_000
	var b strings.Builder
	b.WriteString("{")
	for i := range n {
		fmt.Fprintf(&b, "\"m%d\":0,", i)
	}
	b.WriteString(`"m0":0}`)
	d, err := Parse("f", []byte(b.String()), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	d.Fields(&d.Root, "x").Done()
	if got := d.Faults.Len(); got != n+1 {
		t.Errorf("%d faults, want %d", got, n+1)
	}
}
