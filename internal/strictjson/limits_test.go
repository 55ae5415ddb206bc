package strictjson

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/trapweir/trapweir/internal/patience"
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

// TestLongValues: a text or a number has at most 2^20 bytes, as written and without quotes, whether it is read or
// skipped; what is longer is told at its first byte.
func TestLongValues(t *testing.T) {
	const most = 1 << 20
	for _, c := range []struct {
		name, text string
		column     int // of the fault, 0: none
	}{
		{"a text", `{"a": "` + strings.Repeat("x", most) + `"}`, 0},
		{"a text longer by one", `{"a": "` + strings.Repeat("x", most+1) + `"}`, 7},
		{"a name longer by one", `{"` + strings.Repeat("x", most+1) + `": 1}`, 2},
		{"a number", `{"n": ` + strings.Repeat("1", most) + `}`, 0},
		{"a number longer by one", `{"n": ` + strings.Repeat("1", most+1) + `}`, 7},
		{"a number longer by its sign", `{"n": -` + strings.Repeat("1", most) + `}`, 7},
	} {
		var into struct {
			A string  `json:"a"`
			N float64 `json:"n"`
		}
		_, parsed := Parse("f", []byte(c.text), Limits{})
		_, read := Decode("f", "x", []byte(c.text), &into, Limits{})
		for way, err := range map[string]error{"parsed": parsed, "read": read} {
			at := fmt.Sprintf("f:1:%d: input too big: a text or a number of over 1048576 bytes", c.column)
			if c.column == 0 && err != nil || c.column > 0 && (!errors.Is(err, ErrTooBig) || err.Error() != at) {
				t.Errorf("%s, %s: %.200v", c.name, way, err)
			}
		}
	}
}

// TestLongSyntax: of a text of over 8 MB its first mistake is told by its place alone.
func TestLongSyntax(t *testing.T) {
	_, err := Parse("f", []byte("[1,"+strings.Repeat("\n", 8<<20)+"]"), Limits{})
	if want := fmt.Sprintf("f:%d:1: not valid JSON", 8<<20+1); !errors.Is(err, ErrSyntax) || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

// TestReadingIsCalledOff: whatever a text is full of, the context is asked at each 64 KB, 16 times in 1 MB, once
// before as it is looked through for what is no UTF-8, and where it ends the reading does.
func TestReadingIsCalledOff(t *testing.T) {
	const size = 1 << 20
	for name, text := range map[string]string{
		"blanks":  `{"a":` + strings.Repeat(" ", size-8) + `[]}`,
		"a text":  `{"a":"` + strings.Repeat("é", (size-8)/2) + `"}`,
		"a name":  `{"` + strings.Repeat("b", size-6) + `":1}`,
		"numbers": `{"a":[` + strings.Repeat("1,", (size-10)/2) + `11]}`,
		"objects": `{"a":[` + strings.Repeat(`{},`, (size-10)/3) + `{}]}`,
	} {
		for _, after := range []int64{0, 1, 2, 9, 16} {
			var into struct {
				A Raw `json:"a"`
			}
			_, read := Decode("f", "x", []byte(text), &into, Limits{Context: patience.Of(after)})
			_, parsed := Parse("f", []byte(text), Limits{Context: patience.Of(after)})
			at := max(0, after-1) << 16
			for way, err := range map[string]error{"read": read, "parsed": parsed} {
				if want := fmt.Sprintf("reading: stopped after %d of %d bytes: context canceled", at, len(text)); !errors.Is(err, context.Canceled) ||
					err.Error() != want {
					t.Errorf("%s, %s, after %d questions: %v, want %s", name, way, after, err, want)
				}
			}
		}
	}
	late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer stop()
	if _, err := Parse("f", []byte("[]"), Limits{Context: late}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("past its deadline: %v", err)
	}
	if d, err := Parse("f", []byte("[]"), Limits{Context: t.Context()}); err != nil || d.Root.Kind != Array {
		t.Errorf("within a context: %v", err)
	}
}
