package tables_test

import (
	"errors"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
)

type drain struct {
	Size    float64             `table:"size[in]"`
	Grade   string              `table:"grade"`
	MaxLoad tables.Cell[inches] `table:"max_load"`
}

type inches string

func (i *inches) UnmarshalText(b []byte) error { *i = inches(b); return nil }

func TestEmbedded(t *testing.T) {
	rows, err := tables.Load[drain](tables.Embedded(), "ipc-2021/building-drain")
	if err != nil {
		t.Fatal(err)
	}
	i, ok := rows.Table().Find("3", "0.25")
	if !ok || rows.At(i).MaxLoad != (tables.Cell[inches]{Kind: tables.Value, Value: "42 dfu"}) {
		t.Errorf("got %v %+v", ok, rows.At(i))
	}
	want := "International Plumbing Code 2021, Table 710.1(1): size 3 in, grade 0.25 in/ft"
	if got := rows.Cite(i).String(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if _, err := tables.Embedded().Table("ipc-2021/nothing"); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestAmend(t *testing.T) {
	town := fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Town Ordinance 7,Town,,2024,,\n")},
		"ipc-2021/building-drain.csv": {Data: []byte(`# id: ipc-2021/building-drain
# source: town
# section: Section 3
op,size[in],grade[in/ft],max_load[dfu],status
set,3,0.25,40,read
`)},
	}
	shelf, err := tables.Embedded().With(town)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := tables.Load[drain](shelf, "ipc-2021/building-drain")
	if err != nil {
		t.Fatal(err)
	}
	i, _ := rows.Table().Find("3", "1/4")
	c := rows.Cite(i)
	if rows.At(i).MaxLoad.Value != "40 dfu" || !c.Amended() || c.Original().Amended() {
		t.Errorf("got %+v %v", rows.At(i), c)
	}
	if got, want := c.String(), "Town Ordinance 7 (2024), Section 3: size 3 in, grade 0.25 in/ft (amends "+
		"International Plumbing Code 2021)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if _, err := tables.Embedded().With(town, town); !errors.Is(err, tables.ErrAmendment) &&
		!errors.Is(err, tables.ErrSource) {
		t.Errorf("got %v", err)
	}
}

// TestShelfAnswers checks the small questions a shelf answers.
func TestShelfAnswers(t *testing.T) {
	shelf := shelfOf(drains)
	if s, err := shelf.Source("code"); err != nil || s.Title != "Town Plumbing Code" ||
		s.String() != "Town Plumbing Code 3rd" {
		t.Errorf("got %+v %v", s, err)
	}
	if _, err := shelf.Source("none"); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	table, err := shelf.Table("town/drain")
	if err != nil {
		t.Fatal(err)
	}
	if table.Set() != "town" || table.Title() != "Drains" || table.Boundary() != tables.AtMost ||
		table.Interpolation() != tables.None || table.Keys()[1] != "grade" || table.Column("max_load") != 2 ||
		table.Column("none") != -1 {
		t.Errorf("got %+v", table)
	}
	if _, ok := table.Find("3"); ok {
		t.Error("a row is found by half its key")
	}
	rs, err := shelfWithRules(ruleHead + "a,1,1,,what,,,read\n").Rules("town")
	if err != nil || rs.Len() != 1 || rs.At(0).ID != "a" {
		t.Errorf("got %+v %v", rs, err)
	}
	sum, err := shelf.Sum()
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := shelfOf(drains).Sum(); again != sum {
		t.Error("the same files sum differently")
	}
	if other, _ := shelfOf(drains + "\n").Sum(); other == sum {
		t.Error("other files sum the same")
	}
	amended, err := shelf.With(amendment("seven",
		"op,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	if other, _ := amended.Sum(); other == sum {
		t.Error("an amendment does not change the sum")
	}
	audit, err := amended.Audit()
	if err != nil || len(audit.Sets) != 1 || audit.Sets[0].Rows != 3 || audit.Sets[0].Amended != 1 ||
		audit.Sets[0].ByStatus[tables.Read] != 2 {
		t.Errorf("got %+v %v", audit, err)
	}
}
