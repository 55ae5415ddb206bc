package gravity

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Depths by scipy, which integrates the section and knows none of our formulas. The
// allowance is for its quadrature and for flows given in 12 digits, which matter
// most near the greatest flow, where the depth is steep.
func TestNormalDepthAgainstScipy(t *testing.T) {
	f, err := os.Open("testdata/normal_depth_scipy.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 45 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows[1:] {
		var v [5]float64
		for i, text := range row {
			if v[i], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		p := Pipe{units.Millimetres(v[0]), slope.OneIn(int64(v[1])), v[2]}
		got, err := p.AtFlow(units.Flow(v[3]))
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0]+" mm, "+row[3]+" m3/s", got.Elements.Depth/v[4], 1, 2e-10)
	}
}
