package tables_test

import (
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

func TestDistinct(t *testing.T) {
	type point struct {
		X float64 `table:"x[1]"`
		Y float64 `table:"y[1]"`
	}
	text := "# id: town/drain\n# title: Points\n# source: code\n# key: x\nx[1],y[1],src,status\n" +
		"1,5,,read\n2,4,,read\n3,5,,read\n4,1,,read\n"
	rows, err := tables.Load[point](shelfOf(text), "town/drain")
	if err != nil {
		t.Fatal(err)
	}
	got := tables.Distinct(rows, func(p *point) (float64, bool) { return p.Y, p.X < 4 })
	if !slices.Equal(got, []float64{4, 5}) {
		t.Errorf("got %v", got)
	}
	if n := testing.AllocsPerRun(100, func() {
		if cite := rows.Cite(1); cite.Status() != tables.Read || rows.At(1).X != 2 {
			t.Fatal("wrong row")
		}
	}); n != 0 {
		t.Errorf("a citation makes %v allocations", n)
	}
}
