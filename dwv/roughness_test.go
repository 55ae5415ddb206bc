package dwv

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func TestManningRoughness(t *testing.T) {
	shelf := tables.Embedded()
	// City of Winchester, Table 4: cast iron 0.013 (read).
	rows, err := ManningRoughness(shelf, "cast-iron")
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, r := range rows {
		found = found || r.Condition == "design" && r.Design() == 0.013 && r.Citation.Status() == tables.Read
		if r.Low == 0 && r.Typical == 0 || r.Design() <= 0 || r.Design() >= 0.03 {
			t.Errorf("%+v", r)
		}
	}
	if !found {
		t.Errorf("no design value of 0.013: %+v", rows)
	}
	// A range without a usual value is taken at its rough end.
	if d := (ManningRange{Low: 0.011, High: 0.015}).Design(); d != 0.015 {
		t.Errorf("design value of a range: %v", d)
	}
	if _, err := ManningRoughness(shelf, "glass"); !errors.Is(err, tables.ErrNotInCode) {
		t.Error(err)
	}
}

func TestDwellingFlow(t *testing.T) {
	shelf := tables.Embedded()
	// Approved Document H, Table 5 (read): 1, 5, 30 dwellings; between rows the next.
	for n, want := range map[int]float64{1: 2.5, 2: 3.5, 5: 3.5, 6: 4.1, 30: 5.8} {
		q, cite, err := DwellingFlow(shelf, n)
		if err != nil || q != units.Flow(want)*units.LitrePerSecond || !cite.Status().Firm() {
			t.Errorf("%d dwellings: %v, want %v; %v", n, q, want, err)
		}
	}
	for _, n := range []int{0, -1, 31} {
		if _, _, err := DwellingFlow(shelf, n); !errors.Is(err, tables.ErrOutsideTable) {
			t.Errorf("%d dwellings: %v", n, err)
		}
	}
}
