package heat_test

import (
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/units"
)

// Cooling stepped by scipy with the heat capacity of IAPWS-95; ours has another
// equation of water, good to five digits.
func TestCoolingAgainstScipy(t *testing.T) {
	rows := proof.ReadCSV(t, "cooling_scipy.csv")
	if len(rows) != 7 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		v := func(name string) float64 { return proof.Number(t, row[name]) }
		p := heat.Pipe{
			Bore: units.Millimetres(v("bore")), Wall: units.Millimetres(v("wall")),
			Conductivity:           units.Conductivity(v("conductivity")),
			Insulation:             units.Millimetres(v("insulation")),
			InsulationConductivity: units.Conductivity(v("insulation_conductivity")),
			Length:                 units.Metre, Surroundings: heat.InAir, Film: units.HeatTransferCoefficient(v("film")),
		}
		got, err := p.CoolingTime(units.Celsius(v("from")), units.Celsius(v("to")), units.Celsius(v("ambient")))
		if err != nil {
			t.Fatal(err)
		}
		if !proof.Near(float64(got), v("seconds"), 5e-5) {
			t.Errorf("%v: %v s", row, float64(got))
		}
	}
}
