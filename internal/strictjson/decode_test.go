package strictjson

import (
	"encoding/json"
	"errors"
	"fmt"
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
