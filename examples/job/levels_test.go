package job

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/units"
)

// TestReadLevels works a book through: the instrument stands at 100 ft + 4 ft 3 in; A starts
// at 104'-3" - 6'-3" = 98'-0". The turning point is at 104'-3" - 2'-0" = 102'-3", the second
// set-up at 102'-3" + 1'-9" = 104'-0"; the end of A at 104'-0" - 5'-9" = 98'-3". It closes on
// 100 ft at 104'-0" - 4'-0 1/2" = 99'-11 1/2", half an inch low.
func TestReadLevels(t *testing.T) {
	j, err := Parse("line.json", []byte(`{"job": {"name": "line", "code": "ipc-2021"}, "drainage": {"finished_floor": "101 ft",
	 "systems": [{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "98 ft"},
	  "points": [{"id": "A", "to": "O", "run": {"length": "12 ft", "grade": "1/4 in/ft"}}]}]}}`), "")
	if err != nil {
		t.Fatal(err)
	}
	const book = `kind,run,along,reading,elevation,fixed
# door sill,,,,
benchmark,,,,100 ft
backsight,,,"4'-3""",
shot,A,0 in,"6'-3""",,yes
turn,,,2 ft,
backsight,,,"1'-9""",
shot,A,end,"5'-9""",
close,,,"4'-0 1/2""",100 ft
`
	b, err := ReadLevels("book.csv", strings.NewReader(book), j.Drains())
	if err != nil {
		t.Fatal(err)
	}
	const ft = units.Foot
	if len(b.Shots) != 2 || b.Shots[0].Invert != 98*ft || !b.Shots[0].Fixed || b.Shots[1].Invert != 98*ft+3*units.Inch ||
		b.Shots[1].Along != 12*ft || b.Setups != 2 || !b.Closed || b.Misclosure != -units.Inch/2 {
		t.Errorf("%+v", b)
	}
	for edit, want := range map[string]string{
		"benchmark,,,,100 ft|":                        "no benchmark before it",
		"benchmark,,,,100 ft|benchmark,,,,100 cubits": "book.csv:3:14",
		"shot,A,0 in|shot,B,0 in":                     `no point "B"`,
		",,yes|,,perhaps":                             "neither yes nor no",
		"turn,,,2 ft,|":                               "no turning point",
		"turn,,,2 ft,|swing,,,2 ft,":                  "none of benchmark",
		"kind,run|kinds,run":                          "no such column",
		"shot,A,end|shot,A,":                          "none is given",
		"close,,,\"4'-0 1/2\"\"\",100 ft|#":           "",
		book + "|":                                    "no line of heads",
		"shot|#":                                      "no shot",
		"close|close,,,1 ft,1 ft\nshot":               "nothing follows a close",
	} {
		old, now, _ := strings.Cut(edit, "|")
		b, err := ReadLevels("book.csv", strings.NewReader(strings.ReplaceAll(book, old, now)), j.Drains())
		switch {
		case want == "" && (err != nil || b.Closed):
			t.Errorf("%q: %v", edit, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("%q: %v, want %q", edit, err, want)
		}
	}
}

func FuzzReadLevels(f *testing.F) {
	j, err := Parse("line.json", []byte(`{"job": {"name": "line", "code": "ipc-2021"}, "drainage": {"finished_floor": "101 ft",
	 "systems": [{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "98 ft"},
	  "points": [{"id": "A", "to": "O", "run": {"length": "12 ft", "grade": "1/4 in/ft"}}]}]}}`), "")
	if err != nil {
		f.Fatal(err)
	}
	f.Add("kind,run,along,reading,elevation\nbenchmark,,,,100 ft\nbacksight,,,4 ft\nshot,A,end,5 ft\n")
	s, err := j.SizeDrains("")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		b, err := ReadLevels("x", strings.NewReader(text), j.Drains())
		if (b == nil) == (err == nil) {
			t.Fatalf("%v, %v", b, err)
		}
		if b != nil {
			_, _ = s.AsLaid(b.Shots, drains.LaidOptions{})
		}
	})
}
