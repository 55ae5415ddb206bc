package strictjson

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

type shop struct {
	Name   string   `json:"name" read:"free"`
	Open   bool     `json:"open"`
	Ratio  float64  `json:"ratio"`
	Mass   grams    `json:"mass" read:"some"`
	Bore   grams    `json:"bore" read:"size,word=any"`
	Free   bool     `json:"-"`
	Price  grams    `json:"price" read:"zero=Free"`
	Staff  int      `json:"staff" read:"from=1,to=9,else=1"`
	Words  []string `json:"words"`
	Ends   [2]string
	Pair   [2]string `json:"pair"`
	Shelf  *board    `json:"shelf"`
	Floor  board     `json:"floor" read:"inline"`
	Rest   Raw       `json:"rest"`
	Rooms  []chamber `json:"rooms" item:"room"`
	Unread chan int
}

type board struct {
	Mass grams `json:"mass"`
	Nail struct {
		Mass grams `json:"mass" read:"need"`
	} `json:"nail"`
}

type chamber struct {
	ID      string  `json:"id" read:"need"`
	Things  []board `json:"things" item:"thing"`
	Desks   []hall
	Benches []bench `json:"benches" item:"bench"`
}

type hall struct{}

type bench struct {
	ID   string `json:"id"`
	Mass grams  `json:"mass"`
}

// decoded returns what is read and what is wrong with it.
func decoded(t *testing.T, text string) (shop, string) {
	t.Helper()
	var v shop
	d, err := Decode("f", "shop", []byte(text), &v, Limits{})
	if err == nil {
		err = d.Faults.Err()
	}
	if err == nil {
		return v, ""
	}
	return v, err.Error()
}

func TestDecode(t *testing.T) {
	v, faults := decoded(t, "\ufeff"+` { "name": "a\nb", "open": true, "ratio": -1.5e2, "mass": " 3 g\n", "bore": "any", "price": "0 g",
 "words": ["x", "y"], "pair": ["a", "b"], "shelf": {"nail": {"mass": "1 g"}}, "rest": [1, {"a": "]"}], "floor": {"mass": "2 g"},
 "rooms": [{"id": "r", "benches": [{"id": "b"}, {}]}, {"id": "s"}], "ends": null }`)
	if faults != "f:3:69: shop: ends: unknown field" {
		t.Fatal(faults)
	}
	if v.Name != "a\nb" || !v.Open || v.Ratio != -150 || v.Mass != 3 || v.Bore != 0 || !v.Free || v.Staff != 1 ||
		len(v.Words) != 2 || v.Pair != [2]string{"a", "b"} || v.Shelf.Nail.Mass != 1 || v.Floor.Mass != 2 ||
		!v.Rest.Given() || len(v.Rooms) != 2 || len(v.Rooms[0].Benches) != 2 {
		t.Errorf("%+v", v)
	}
}

// Every fault of a text comes at once, each at its place and under its name.
func TestDecodeFaults(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{`[]`, "f:1:1: shop: wrong type: a list where an object is needed"},
		{`null`, "f:1:1: shop: wrong type: null where an object is needed"},
		{`{"mass": 3, "open": "yes", "ratio": "1"}`, `f:1:10: shop: mass: wrong type: 3 is a bare number: write a text with its unit
f:1:21: shop: open: wrong type: text where true or false is needed
f:1:37: shop: ratio: wrong type: text where a number is needed`},
		{`{"mass": "0 g", "bore": "0 g", "ratio": 1e999}`, `f:1:10: shop: mass: it is zero
f:1:25: shop: bore: it is zero: leave the size out to have it worked out
f:1:41: shop: ratio: 1e999 is out of range`},
		{`{"staff": 0}`, "f:1:11: shop: staff: wrong type: 0 where a whole number from 1 to 9 is needed"},
		{`{"staff": null}`, "f:1:11: shop: staff: wrong type: null where a whole number from 1 to 9 is needed"},
		{`{"staff": "1"}`, "f:1:11: shop: staff: wrong type: text where a whole number from 1 to 9 is needed"},
		{`{"staff": 1e20}`, "f:1:11: shop: staff: wrong type: 1e20 where a whole number from 1 to 9 is needed"},
		{`{"staff": 1.5}`, "f:1:11: shop: staff: wrong type: 1.5 where a whole number from 1 to 9 is needed"},
		{`{"staff": 10}`, "f:1:11: shop: staff: wrong type: 10 where a whole number from 1 to 9 is needed"},
		{`{"pair": ["a", "b", "c"]}`, "f:1:10: shop: pair: wrong type: a list of 3 where one of 2 is needed"},
		{`{"pair": ["a"]}`, "f:1:10: shop: pair: wrong type: a list of 1 where one of 2 is needed"},
		{`{"words": ["a", 2, "b\u0007"]}`, `f:1:17: shop: words: wrong type: a number where text is needed
f:1:20: shop: words: holds U+0007, which cannot be seen`},
		{`{"shelf": {"nail": {}}, "floor": {"mass": 1, "nial": 2}}`, `f:1:20: shelf: nail: mass: missing
f:1:43: shop: mass: wrong type: 1 is a bare number: write a text with its unit
f:1:46: shop: nial: unknown field: did you mean "nail"?`},
		{`{"rooms": [{"things": [{"mas": 1}]}, {"id": "b", "benches": [{"mass": 1}, {"id": "c", "mass": 1}]}, 7]}`,
			`f:1:25: room 1: thing 1: mas: unknown field: did you mean "mass"?
f:1:12: room 1: id: missing
f:1:71: bench 1 of room 2: mass: wrong type: 1 is a bare number: write a text with its unit
f:1:95: bench "c": mass: wrong type: 1 is a bare number: write a text with its unit
f:1:101: room 3: wrong type: a number where an object is needed`},
		{`{"nam": 1, "nam": 2, "open": true, "open": false}`, `f:1:2: shop: nam: unknown field: did you mean "name"?
f:1:12: shop: nam: given twice
f:1:36: shop: open: given twice`},
	} {
		if _, got := decoded(t, tt.text); got != tt.want {
			t.Errorf("%s\n%s", tt.text, cmp.Diff(tt.want, got))
		}
	}
}

// Of a text that is all faults the first are kept and the rest are counted.
func TestDecodeManyFaults(t *testing.T) {
	const n = 20_000
	text := `{"rooms": [` + strings.Repeat(`{"id": 1, "zz": 2},`, n) + `{"id": "a"}]}`
	var v shop
	_, err := Decode("f", "shop", []byte(text), &v, Limits{})
	all, ok := err.(*units.Faults)
	if !ok || len(all.Faults) != faults.Kept || all.More != 2*n-faults.Kept {
		t.Errorf("%.100v", err)
	}
	if len(v.Rooms) > faults.Kept+1 {
		t.Errorf("room for %d members that nobody will look at", len(v.Rooms))
	}
}

// What a check finds later is told at its place, and not twice.
func TestDocumentFault(t *testing.T) {
	var v shop
	d, err := Decode("f", "shop", []byte(`{"rooms": [{"id": "a", "things": [{}, {"mass": 1}]}, {"things": []}], "floor": 3}`), &v, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	told := d.Faults.Len()
	rooms := d.Places("rooms")
	fault := func(at Place, path string) bool {
		before := d.Faults.Len()
		d.Fault(at, path, "x", path, fmt.Errorf("late"))
		return d.Faults.Len() > before
	}
	if told != 3 || len(rooms) != 2 {
		t.Fatalf("%d faults, %d rooms", told, len(rooms))
	}
	for _, c := range []struct {
		at   Place
		path string
		told bool // already
	}{
		{rooms[0], "id", false}, {rooms[0], "things.0.mass", false}, {rooms[0], "things.1.mass", true}, {rooms[1], "id", true},
		{rooms[1], "things", false}, {d.Top(), "floor.mass", true}, {d.Top(), "nowhere.at.all", false},
	} {
		if fault(c.at, c.path) == c.told {
			t.Errorf("%s: told already: %v", c.path, !c.told)
		}
	}
	if !strings.Contains(d.Faults.Err().Error(), "f:1:19: x: id: late") {
		t.Error(d.Faults.Err())
	}
}

// FuzzDecode: a text is read exactly if encoding/json takes it for JSON; but for half of a
// surrogate pair, which encoding/json makes into another character in silence.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{`{"name": "x", "rooms": [{"id": "a"}], "rest": {"a": [1, 2.5e-3, null]}}`, `{"mass": "3 g"}`, `[`, `{"staff": 01}`,
		`{"name": "\ud800"}`, `{"a": 1,}`, `{} x`, "\ufeff{}", `{"rooms": [{}, []]}`, `nul`, `-`, `1.`, `"\u12"`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var v shop
		d, err := Decode("f", "shop", []byte(s), &v, Limits{Depth: 1000})
		valid := json.Valid([]byte(strings.TrimPrefix(s, "\ufeff")))
		if valid != (err == nil) && !errors.Is(err, ErrHalf) && !strings.Contains(fmt.Sprint(err), "UTF-8") {
			t.Fatalf("%q: %v; JSON: %v", s, err, valid)
		}
		if err == nil && d.Faults.Err() == nil {
			var plain map[string]any
			if err := json.Unmarshal([]byte(strings.TrimPrefix(s, "\ufeff")), &plain); err != nil {
				t.Fatalf("%q: %v", s, err)
			}
		}
	})
}

// TestEmptyList: a list with nothing in it is told from none where its tag asks for that.
func TestEmptyList(t *testing.T) {
	for text, want := range map[string][2]bool{`{}`: {}, `{"kept": null, "plain": null}`: {},
		`{"kept": [], "plain": []}`: {true, false}, `{"kept": ["1 g"], "plain": ["1 g"]}`: {true, true}} {
		var v struct {
			Kept  []grams `json:"kept" read:"empty"`
			Plain []grams `json:"plain"`
		}
		d, err := Decode("f", "list", []byte(text), &v, Limits{})
		if err != nil || d.Faults.Err() != nil || (v.Kept != nil) != want[0] || (v.Plain != nil) != want[1] {
			t.Errorf("%s: %v, %v, %v", text, v, err, d.Faults.Err())
		}
	}
}

// TestLongList: members are read and placed right however the room for them grows.
func TestLongList(t *testing.T) {
	for _, n := range []int{1, 4, 63, 64, 65, 700, 5000} {
		var v struct {
			Rooms []chamber `json:"rooms" item:"room"`
		}
		rooms := make([]string, n)
		for i := range rooms {
			rooms[i] = fmt.Sprintf(`{"id": "%0*d"}`, 1+i%40, i)
		}
		d, err := Decode("f", "house", []byte(`{"rooms": [`+strings.Join(rooms, ",")+`]}`), &v, Limits{})
		if err != nil || d.Faults.Err() != nil || len(v.Rooms) != n || len(d.Places("rooms")) != n {
			t.Fatalf("%d: %d read, %v", n, len(v.Rooms), err)
		}
		for i, room := range v.Rooms {
			if want := fmt.Sprintf("%0*d", 1+i%40, i); room.ID != want {
				t.Fatalf("member %d of %d is %q", i, n, room.ID)
			}
		}
	}
}

// TestMetricNames: a size may be named DN, in millimetres of at most five digits, as metric pipe is.
func TestMetricNames(t *testing.T) {
	for text, want := range map[string]units.Length{
		"DN 110": units.Millimetres(110), "DN75": units.Millimetres(75), "DN12345": units.Millimetres(12345),
		"DN": 0, "DN 123456": 0, "DN 1-1/2": 0, "DN -5": 0, "dn 110": 0,
	} {
		var v struct {
			Size units.Length `json:"size" read:"size"`
		}
		d, err := Decode("f", "pipe", fmt.Appendf(nil, `{"size": %q}`, text), &v, Limits{})
		if err == nil {
			err = d.Faults.Err()
		}
		if v.Size != want || (err == nil) != (want > 0) {
			t.Errorf("%s: %v, %v; want %v", text, v.Size, err, want)
		}
	}
}

// TestHexadecimal: a character may be written as four hexadecimal digits, the first and last of each kind among them.
func TestHexadecimal(t *testing.T) {
	var v struct {
		Text string `json:"text" read:"free"`
	}
	if _, err := Decode("f", "shop", []byte(`{"text": "\u09afA\u09AF\u00e9"}`), &v, Limits{}); err != nil || v.Text != "\u09afA\u09af\u00e9" {
		t.Errorf("%q, %v", v.Text, err)
	}
	for _, bad := range []string{`\u09ag`, `\u09a/`, "\\u09a:", "\\u09a`", `\u09a@`, `\u09`} {
		if _, err := Decode("f", "shop", []byte(`{"text": "`+bad+`"}`), &v, Limits{}); err == nil {
			t.Errorf("%s is taken", bad)
		}
	}
}

// TestWhole: a whole number is one however it is written, from its least to its greatest.
func TestWhole(t *testing.T) {
	for text, want := range map[string]int{`{"staff": 1}`: 1, `{"staff": 9}`: 9, `{"staff": 9.0}`: 9,
		`{"staff": 0.2e1}`: 2, `{}`: 1} {
		if v, faults := decoded(t, text); v.Staff != want || faults != "" {
			t.Errorf("%s: %d, %s", text, v.Staff, faults)
		}
	}
	type wide struct {
		Count int `json:"count"`
	}
	for text, ok := range map[string]bool{"2147483647": true, "2147483648": false, "-2147483648": true, "2e9": true,
		"3e9":              false,
		"9007199254740992": false, "1e300": false} {
		var v wide
		d, err := Decode("f", "shop", []byte(`{"count": `+text+`}`), &v, Limits{})
		if err != nil || (d.Faults.Err() == nil) != ok || (v.Count != 0) != ok {
			t.Errorf("%s: %d, %v, %v", text, v.Count, err, d.Faults.Err())
		}
	}
}

// TestZeroTold: a quantity that is stated to be zero is told from one that is not stated.
func TestZeroTold(t *testing.T) {
	for text, want := range map[string]bool{`{}`: false, `{"price": "0 g"}`: true, `{"price": "\u0030 g"}`: true,
		`{"price": "1 g"}`: false} {
		var v struct {
			Free  bool  `json:"-"`
			Price grams `json:"price" read:"zero=Free"`
		}
		if d, err := Decode("f", "shop", []byte(text), &v, Limits{}); err != nil || d.Faults.Err() != nil ||
			v.Free != want {
			t.Errorf("%s: %+v, %v, %v", text, v, err, d.Faults.Err())
		}
	}
}

// TestFieldElsewhere: a field that one of the objects within has is told to be there, through a pointer too; so are all
// fields that are missing, wherever they stand.
func TestFieldElsewhere(t *testing.T) {
	type inner struct {
		Depth int `json:"depth"`
		Width int `json:"width"`
	}
	type outer struct {
		Name  string  `json:"name"`
		Kind  string  `json:"kind" read:"need"`
		Near  *inner  `json:"near" read:"need"`
		Far   inner   `json:"far" read:"need"`
		Plain float64 `json:"plain"`
	}
	for text, want := range map[string]string{
		`{"kind": "k", "near": {}, "far": {}, "depth": 1}`: `f:1:38: shop: depth: unknown field here: it is a field of "near" or "far"`,
		`{"kind": "k", "near": {}, "far": {}, "nome": 1}`:  `f:1:38: shop: nome: unknown field: did you mean "name"?`,
		`{"name": "n"}`: "f:1:1: shop: kind: missing\nf:1:1: shop: near: missing\nf:1:1: shop: far: missing",
	} {
		var v outer
		d, err := Decode("f", "shop", []byte(text), &v, Limits{})
		if err != nil || d.Faults.Err() == nil || d.Faults.Err().Error() != want {
			t.Errorf("%s: %v, %v, want %s", text, err, d.Faults.Err(), want)
		}
	}
}

// TestSizesByNumber: DN and up to five digits are millimetres, and nothing else is.
func TestSizesByNumber(t *testing.T) {
	for text, want := range map[string]string{"DN 80": "80 mm", "DN100": "100 mm", "DN 12345": "12345 mm",
		"DN 123456": "DN 123456",
		"DN":        "DN", "DN 8o": "DN 8o", "DN -8": "DN -8", "80": "80", "DN 9": "9 mm", "DN 0": "0 mm"} {
		if got := string(millimetres([]byte(text))); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// TestPlacesWithin: a list within a list is found by the place of its member, counted from nothing.
func TestPlacesWithin(t *testing.T) {
	var v shop
	text := `{"rooms": [{"id": "r"}, {"id": "s", "benches": [{"id": "b"}, {"id": "c"}]}]}`
	d, err := Decode("f", "shop", []byte(text), &v, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string][]string{"rooms": {`{"id": "r"}`, `{"id": "s"`},
		"rooms.1.benches": {`{"id": "b"}`, `{"id": "c"}`},
		"rooms.0.benches": nil, "rooms.2.benches": nil} {
		places := d.Places(path)
		if len(places) != len(want) {
			t.Errorf("%s: %d places", path, len(places))
			continue
		}
		for i, at := range places {
			if !strings.HasPrefix(text[at-1:], want[i]) {
				t.Errorf("%s %d: %s", path, i, text[at-1:])
			}
		}
	}
}

// TestSchema: what a struct is read from, as a schema says it.
func TestSchema(t *testing.T) {
	type base struct {
		ID string `json:"id" read:"need"`
	}
	type thing struct {
		base
		Mass   grams     `json:"mass"`
		Open   bool      `json:"open"`
		Ratio  float64   `json:"ratio"`
		Staff  int       `json:"staff" read:"from=1,to=9,else=2"`
		Room   int       `json:"room" read:"need,from=0,to=5"`
		Pair   [2]string `json:"pair"`
		Inner  *hall     `json:"inner"`
		Rest   Raw       `json:"rest"`
		Hidden chan int
		Loose  board // without a tag none of it is read
		Skip   int   `json:"-"`
	}
	type rest struct {
		Words []string `json:"words"`
	}
	schema := SchemaOf("Thing", thing{}, map[reflect.Type]string{reflect.TypeFor[grams](): "grams, as text"},
		map[string]any{"rest": rest{}})
	got, err := schema.Text()
	if err != nil {
		t.Fatal(err)
	}
	var v, want any
	if err := json.Unmarshal(got, &v); err != nil {
		t.Fatal(err)
	}
	const text = `{"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Thing", "type": "object",
"properties": {"id": {"type": "string"}, "mass": {"type": "string", "description": "grams, as text"},
	"open": {"type": "boolean"},
 "ratio": {"type": "number"}, "staff": {"type": "integer", "minimum": 1, "maximum": 9, "default": 2},
 "room": {"type": "integer", "minimum": 0, "maximum": 5},
 "pair": {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2},
 "inner": {"type": "object", "additionalProperties": false},
 "rest": {"type": "object", "properties": {"words": {"type": "array", "items": {"type": "string"}}},
	"additionalProperties": false}},
"required": ["id", "room"], "additionalProperties": false}`
	if err := json.Unmarshal([]byte(text), &want); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, v); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
