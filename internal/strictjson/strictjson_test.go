package strictjson

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// grams stands for any quantity with a text form.
type grams int

func (g *grams) UnmarshalText(b []byte) error {
	if _, err := fmt.Sscanf(string(b), "%d g", (*int)(g)); err != nil {
		return fmt.Errorf("%q is not grams", b)
	}
	return nil
}

func read(name, text string) error {
	d, err := Parse(name, []byte(text), Limits{})
	if err != nil {
		return err
	}
	f := d.Fields(&d.Root, "shop")
	f.Need("id")
	f.Text("id")
	f.Float("count")
	f.Float("ratio")
	f.Bool("open")
	for i := range f.List("things") {
		var g grams
		t := d.Fields(&f.List("things")[i], fmt.Sprintf("thing %d", i))
		t.Parse("mass", &g)
		t.Done()
	}
	f.Done()
	return d.Faults.Err()
}

func TestFaults(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"whole", `{"id":"a","count":3,"ratio":0.5,"open":true,"things":[{"mass":"3 g"}]}`, ""},
		{"whole numbers", `{"id":"a","count":1e2}`, ""},
		{"whole number in decimals", `{"id":"a","count":100.0}`, ""},
		{"too great for a number", `{"id":"a","count":1e999}`, "f:1:19: shop: count: 1e999 is out of range"},
		{"null is absent", `{"id":"a","count":null}`, ""},
		{"byte order mark", "\ufeff" + `{"id":"a"}`, ""},
		{"empty", ``, "f:1:1: not valid JSON: unexpected end of JSON input"},
		{"truncated", "{\"id\":\n\"a\"", "f:2:3: not valid JSON: unexpected end of JSON input"},
		{"trailing", `{"id":"a"} x`, "f:1:12: not valid JSON: invalid character 'x' after top-level value"},
		{"half a pair", `{"id":"\ud83d!"}`, "f:1:8: half of a surrogate pair stands alone"},
		{"a pair", `{"id":"\ud83d\ude00"}`, ""},
		{"not utf-8", "{\"id\":\"\xff\"}", "f:1:8: not valid JSON: not UTF-8"},
		{"not an object", `[1]`, "f:1:1: shop: wrong type: a list where an object is needed\nf:1:1: shop: id: missing"},
		{"all faults", `{"count":1e999,
 "ratio":"x", "open":1, "things":[{"mass":3},{"mass":"3 lb"},{"mass":true},{"weight":"3 g"}], "idd":"a"}`,
			`f:1:1: shop: id: missing
f:1:10: shop: count: 1e999 is out of range
f:2:10: shop: ratio: wrong type: text where a number is needed
f:2:22: shop: open: wrong type: a number where true or false is needed
f:2:43: thing 0: mass: wrong type: 3 is a bare number: write a text with its unit
f:2:54: thing 1: mass: "3 lb" is not grams
f:2:70: thing 2: mass: wrong type: true or false where text is needed
f:2:77: thing 3: weight: unknown field
f:2:95: shop: idd: unknown field`},
		{"repeated", `{"id":"a","id":"b"}`, "f:1:11: shop: id: given twice"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := ""
			if err := read("f", tt.text); err != nil {
				got = err.Error()
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestLimits(t *testing.T) {
	for _, tt := range []struct {
		text string
		lim  Limits
	}{
		{strings.Repeat(" ", 100) + "1", Limits{Bytes: 50}},
		{strings.Repeat("[", 40) + strings.Repeat("]", 40), Limits{}},
		{"[1,2,3,4]", Limits{Values: 4}},
	} {
		if _, err := Parse("f", []byte(tt.text), tt.lim); !errors.Is(err, ErrTooBig) {
			t.Errorf("%.20q: %v", tt.text, err)
		}
	}
	if _, err := Parse("f", []byte("[1,2,3,4]"), Limits{Values: 5}); err != nil {
		t.Error(err)
	}
}

// FuzzParse holds the walker to encoding/json: what one accepts the other does,
// and both read the same values.
// TestHalves: a pair is two escapes, each with its backslash; d83d and dca7 are U+1F4A7, a drop.
func TestHalves(t *testing.T) {
	for text, want := range map[string]string{
		`"\ud83d\udca7"`: "\U0001F4A7", `"\ud83dxudca7"`: "", `"\ud83d udca7"`: "", `"\ud83d"`: "", `"\udca7\ud83d"`: "",
	} {
		d, err := Parse("f", []byte(text), Limits{})
		if errors.Is(err, ErrHalf) != (want == "") || err == nil && d.Root.Text != want {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a":[1,-2.5e3,"x\n\u00e9",true,false,null,{}]}`, `[]`, `"`, `{"a":1,"a":2}`, `[[[[`, `0`, "\ufeff1", `{"":{}}`, `"\ud800"`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := Parse("f", []byte(s), Limits{Depth: 100})
		if err != nil {
			return
		}
		var want any
		dec := json.NewDecoder(strings.NewReader(strings.TrimPrefix(s, "\ufeff")))
		dec.UseNumber()
		if err := dec.Decode(&want); err != nil {
			t.Fatalf("accepted %q, encoding/json says %v", s, err)
		}
		if diff := cmp.Diff(want, plain(&d.Root)); diff != "" {
			t.Errorf("%q (-json +ours):\n%s", s, diff)
		}
		fields := d.Fields(&d.Root, "root")
		fields.Get("a")
		fields.Done()
		_ = d.Faults.Err()
	})
}

func plain(v *Value) any {
	switch v.Kind {
	case Bool:
		return v.Text == "true"
	case Number:
		return json.Number(v.Text)
	case String:
		return v.Text
	case Array:
		out := []any{}
		for i := range v.Items {
			out = append(out, plain(&v.Items[i]))
		}
		return out
	case Object:
		out := map[string]any{}
		for i, n := range v.Names {
			out[n] = plain(&v.Items[i])
		}
		return out
	}
	return nil
}

func TestOnly(t *testing.T) {
	var v struct {
		A Raw `json:"a"`
		B Raw `json:"b"`
		C Raw `json:"c"`
	}
	d, err := Decode("f", "root", []byte("{\"a\": 1,\n \"b\": {\"c\": \"}\\\\\\\"]\"}}"), &v, Limits{})
	if err != nil || d.Faults.Err() != nil {
		t.Fatal(err, d.Faults.Err())
	}
	if got, want := string(d.Only(v.B)), "        \n      {\"c\": \"}\\\\\\\"]\"}"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := string(d.Only(v.A)), "      1"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if v.C.Given() || v.A.IsObject() || !v.B.IsObject() {
		t.Errorf("%+v", v)
	}
}
