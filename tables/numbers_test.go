package tables_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestNumberOf: what the text of a quantity says, and that words say nothing.
func TestNumberOf(t *testing.T) {
	for _, c := range []struct {
		text  string
		value float64
		unit  string
	}{
		{"98.17 ft", 98.17, "ft"},
		{`9'-4"`, 112, "in"},
		{`0'-2 3/8"`, 2.375, "in"},
		{`-5'-0"`, -60, "in"},
		{"1 1/4 in", 1.25, "in"},
		{"-3/8 in", -0.375, "in"},
		{`3/4"`, 0.75, "in"},
		{"1/4 in/ft", 0.25, "in/ft"},
		{"2 %", 2, "%"},
		{"1:48", 48, "1:n"},
		{"DN 100", 100, "DN"},
		{"-1:48", -48, "1:n"},
		{`2-1/2"`, 2.5, "in"},
		{"-0.5", -0.5, ""},
		{"14 dfu", 14, "dfu"},
		{"0", 0, ""},
	} {
		if value, unit, ok := tables.NumberOf(c.text); value != c.value || unit != c.unit || !ok {
			t.Errorf("%q is %v %q %v, want %v %q", c.text, value, unit, ok, c.value, c.unit)
		}
	}
	for _, text := range []string{"", "level", "less than 0.1 ft", "ASTM D2665", "1 2 3 ft", "x'-y\"", "1/0 in", "-", "3'-9", "x'-2\"",
		"3'-x\"", "1:x", "DN x", "x\"", "1 1 in", "1/x in", "NaN ft", "Inf psi", "-Infinity ft", "1/Inf in"} {
		if value, unit, ok := tables.NumberOf(text); ok {
			t.Errorf("%q is %v %q", text, value, unit)
		}
	}
}

// TestNumbers: quantities are objects; ids and words that look like one are not.
func TestNumbers(t *testing.T) {
	v := struct {
		ID      string            `json:"id"`
		Length  units.Length      `json:"length"`
		Absent  units.Length      `json:"absent,omitzero"`
		Flow    *units.Flow       `json:"flow"`
		Verdict tables.Verdict    `json:"verdict"`
		More    map[string]any    `json:"more"`
		Finding tables.Finding    `json:"finding"`
		Cells   []tables.CellKind `json:"cells,omitempty"`
	}{
		ID: "12 ft", Length: 112 * units.Inch, Verdict: tables.Fail, More: map[string]any{"b": 2.5 * units.USGallonPerMinute, "a": 1},
		Finding: tables.Finding{Rule: "r", Verdict: tables.Pass, Value: 3 * units.Inch / 8, Reason: "3 in"},
	}
	got, err := json.Marshal(tables.Numbers(v))
	want := `{"id":"12 ft","length":{"value":112,"unit":"in","text":"9'-4\""},"flow":null,"verdict":"fail",` +
		`"more":{"a":1,"b":{"value":2.5,"unit":"gpm","text":"2.5 gpm"}},` +
		`"finding":{"id":"r","rule":"r","verdict":"pass","value":{"value":0.375,"unit":"in","text":"3/8\""},"reason":"3 in"}}`
	if err != nil || string(got) != want {
		t.Errorf("%v\n%s\nwant\n%s", err, got, want)
	}
	type Embedded struct {
		Fall units.Length `json:"fall"`
	}
	inch := units.Inch
	others := struct {
		Embedded
		None    *units.Length  `json:"none,omitzero"`
		Nought  units.Length   `json:"nought,omitzero"`
		Named   *units.Length  `json:"named,omitzero"`
		Empty   []units.Length `json:"empty,omitempty"`
		Not     map[string]int `json:"not,omitempty"`
		Zero    int            `json:"zero,omitempty"`
		Fixed   [1]int         `json:"fixed,omitempty"`
		Absent  []int          `json:"absent"`
		Bytes   []byte         `json:"bytes"`
		List    []units.Length `json:"list"`
		Unnamed int
		Left    int `json:"-"`
		hidden  int
	}{Embedded: Embedded{units.Foot}, Named: &inch, Bytes: []byte("ab"), List: []units.Length{inch, 2 * inch}, hidden: 1}
	got, err = json.Marshal(tables.Numbers(&others))
	want = `{"fall":{"value":12,"unit":"in","text":"1'-0\""},"named":{"value":1,"unit":"in","text":"1\""},"fixed":[0],` +
		`"absent":null,"bytes":"YWI=","list":[{"value":1,"unit":"in","text":"1\""},` +
		`{"value":2,"unit":"in","text":"2\""}],"Unnamed":0}`
	if err != nil || string(got) != want {
		t.Errorf("%v\n%s\nwant\n%s", err, got, want)
	}
	if _, err := json.Marshal(tables.Numbers(make(chan int))); err == nil {
		t.Error("a channel is no data")
	}
}

// keeper keeps its fields to itself and gives them as data; asker has a method of that name that is another thing.
type (
	keeper struct{ fall units.Length }
	asker  struct{}
	fall   struct {
		Fall units.Length `json:"fall"`
	}
)

func (k keeper) Data() fall                 { return fall{k.fall} }
func (keeper) MarshalJSON() ([]byte, error) { return []byte(`"kept"`), nil }
func (asker) Data(int) fall                 { return fall{} }
func (asker) MarshalJSON() ([]byte, error)  { return []byte(`"asked"`), nil }

// TestNumbersOfWhatKeepsItsFields: their quantities are objects as well.
func TestNumbersOfWhatKeepsItsFields(t *testing.T) {
	got, err := json.Marshal(tables.Numbers([]any{keeper{units.Inch}, &keeper{2 * units.Inch}, asker{},
		(*units.Length)(nil)}))
	want := `[{"fall":{"value":1,"unit":"in","text":"1\""}},{"fall":{"value":2,"unit":"in","text":"2\""}},"asked",null]`
	if err != nil || string(got) != want {
		t.Errorf("%s, %v, want %s", got, err, want)
	}
}

// A client in another language gets numbers beside the text.
func ExampleNumbers() {
	f := tables.Finding{Rule: "trap-arm-length", Place: "GL1", Verdict: tables.Fail, Value: 112 * units.Inch, Limit: 8 * units.Foot}
	text, err := json.Marshal(tables.Numbers(f))
	if err != nil {
		fmt.Println(err)
	}
	fmt.Println(string(text))
	// Output:
	// {"id":"trap-arm-length/GL1","rule":"trap-arm-length","place":"GL1","verdict":"fail","value":{"value":112,"unit":"in","text":"9'-4\""},"limit":{"value":96,"unit":"in","text":"8'-0\""}}
}

// TestTexts: what went out with numbers reads back as what it was.
func TestTexts(t *testing.T) {
	f := tables.Finding{Rule: "trap-arm-length", Place: "GL1", Verdict: tables.Fail,
		Value: 112 * units.Inch, Limit: 8 * units.Foot, Margin: -16 * units.Inch, Reason: "Too long."}
	sent, err := json.Marshal(tables.Numbers([]tables.Finding{f}))
	if err != nil {
		t.Fatal(err)
	}
	plain, err := tables.Texts(sent)
	if err != nil {
		t.Fatal(err)
	}
	var back []tables.Finding
	if err := json.Unmarshal(plain, &back); err != nil {
		t.Fatal(err)
	}
	if back[0].ID() != f.ID() || back[0].Value.String() != `9'-4"` || back[0].Margin.String() != f.Margin.String() {
		t.Errorf("%s came back as %v", sent, back)
	}
	for _, bad := range []string{"", "{", "1 2"} {
		if _, err := tables.Texts([]byte(bad)); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}
