package codes

import (
	"errors"
	"slices"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// book is a code that knows its document and its parts.
type book struct {
	source tables.Source
	parts  []string
}

func (b book) Source() tables.Source { return b.source }

// TestList: each code with its edition, else its year, and what its parts answer; one that does not load stops it.
func TestList(t *testing.T) {
	books := map[string]book{
		"a": {tables.Source{Title: "A", Edition: "3rd", Year: "2021"}, []string{"vents", "drains"}},
		"b": {tables.Source{Title: "B", Year: "2018"}, nil},
		"c": {tables.Source{Title: "C"}, []string{"vents"}},
	}
	load := func(_ *tables.Shelf, id string) (book, error) {
		b, ok := books[id]
		if !ok {
			return b, tables.ErrNotFound
		}
		return b, nil
	}
	has := func(b book, part string) bool { return slices.Contains(b.parts, part) }
	covers := [][2]string{{"drains", "sizes of drains"}, {"vents", "sizes of vents"}}
	got, err := List(nil, []string{"c", "a", "b"}, load, covers, has)
	want := []tables.CodeInfo{
		{ID: "c", Title: "C", Edition: "edition not stated", Covers: []string{"sizes of vents"}},
		{ID: "a", Title: "A", Edition: "3rd", Covers: []string{"sizes of drains", "sizes of vents"}},
		{ID: "b", Title: "B", Edition: "2018"},
	}
	if d := cmp.Diff(want, got); d != "" || err != nil {
		t.Errorf("%v (-want +got):\n%s", err, d)
	}
	if got, err := List(nil, []string{"a", "d"}, load, covers, has); !errors.Is(err, tables.ErrNotFound) ||
		got != nil {
		t.Errorf("%v, %v", got, err)
	}
}

// TestCalled: an everyday name is asked about however it is written, if what it stands for is there.
func TestCalled(t *testing.T) {
	kinds := []string{"lavatory", "water-closet"}
	for word, want := range map[string]string{"toilet": `did you mean "water-closet"? `,
		" WC ":      `did you mean "water-closet"? `,
		"Hand Sink": `did you mean "lavatory"? `, "hand_sink": `did you mean "lavatory"? `, "tub": "", "kiln": "",
		"": ""} {
		if got := Called(word, kinds); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
}

// TestChoice: a word that lacks is not stated, another is not in the code; both list what is.
func TestChoice(t *testing.T) {
	for word, want := range map[string]struct {
		is   error
		says string
	}{
		"":     {tables.ErrNotStated, "use: " + tables.ErrNotStated.Error() + ": choose private, public"},
		"nave": {tables.ErrNotInCode, "use: " + tables.ErrNotInCode.Error() + `: "nave": choose private, public`},
	} {
		if err := Choice("use", word, []string{"private", "public"}); !errors.Is(err, want.is) ||
			err.Error() != want.says {
			t.Errorf("%q: %v, want %s", word, err, want.says)
		}
	}
}

// TestNoCode: a code that is not there is told with those that are, and the one that was meant or what else it is.
func TestNoCode(t *testing.T) {
	for _, c := range []struct{ id, hint, want string }{
		{"upd-2021", "", `did you mean "upc-2021"? `}, {"hunter", "", ""}, {"hunter", "it is a method", "it is a method; "},
	} {
		err := error(&NoCode{ID: c.id, What: "a code of drains", Codes: []string{"ipc-2021", "upc-2021"},
			Hint: c.hint})
		want := `code "` + c.id + `": not on the shelf as a code of drains: ` + c.want + "the shelf has ipc-2021, upc-2021"
		if err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
		if !errors.Is(err, tables.ErrNotFound) || !errors.Is(err, tables.ErrNotInCode) || errors.Is(err,
			tables.ErrQuery) {
			t.Errorf("%v matches wrongly", err)
		}
	}
}

// TestHoldsTable: a table is told to be there by its name, without being read.
func TestHoldsTable(t *testing.T) {
	shelf := tables.Open(fstest.MapFS{"x/a.csv": {Data: []byte("no table")}})
	if !Holds(shelf, "x/a") || Holds(shelf, "x/b") {
		t.Error("of x/a alone")
	}
}
