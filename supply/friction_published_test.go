package supply_test

import (
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/units"
)

// Printed friction losses. Those classed as rounding must agree within half of the
// last printed digit and half a percent for the source's own rounded formula; the
// others must deviate by what the file says, for the reason it gives.
func TestPublishedFrictionTables(t *testing.T) {
	rounding, classes := 0, map[string]int{}
	for _, row := range readCSV(t, "friction_published.csv") {
		f := supply.Friction{Bore: units.Inches(number(t, row["bore_in"])), Length: units.Feet(number(t, row["length_ft"]))}
		if err := f.Method.UnmarshalText([]byte(row["method"])); err != nil {
			t.Fatal(err)
		}
		temperature := units.Fahrenheit(60)
		var err error
		if row["temperature"] != "" {
			if temperature, err = units.ParseTemperature(row["temperature"]); err != nil {
				t.Fatal(err)
			}
		}
		if f.Water, err = supply.WaterAt(temperature); err != nil {
			t.Fatal(err)
		}
		if f.Method == supply.DarcyWeisbach {
			if f.Roughness, err = units.ParseLength(row["parameter"]); err != nil {
				t.Fatal(err)
			}
		} else {
			f.C = number(t, row["parameter"])
		}
		r, err := f.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		loss, err := r.Loss(units.Flow(number(t, row["flow_gpm"])) * gpm)
		if err != nil {
			t.Fatal(err)
		}
		got := float64(loss.Head / units.FootOfHead)
		if row["unit"] == "psi" {
			got = float64(loss.Pressure / units.PoundForcePerSquareInch)
		}
		printed := number(t, row["loss"])
		_, decimals, _ := strings.Cut(row["loss"], ".")
		half := 0.5 * math.Pow(10, -float64(len(decimals)))
		deviation := 100 * (printed/got - 1)
		if class := row["class"]; class == "rounding" {
			rounding++
			if math.Abs(printed-got) > half+0.006*got {
				t.Errorf("%s %s at %s gpm: %.5g, printed %s (%+.1f %%) in %s", row["material"], row["size"], row["flow_gpm"], got, row["loss"], deviation, row["source"])
			}
		} else {
			classes[class]++
			if math.Abs(deviation-number(t, row["deviation"])) > 0.25 {
				t.Errorf("%s %s at %s gpm: deviates %+.2f %%, known as %s: %s", row["material"], row["size"], row["flow_gpm"], deviation, row["deviation"], class)
			}
		}
	}
	t.Logf("%d within rounding", rounding)
	for class, n := range classes {
		t.Logf("%d: %s", n, class)
	}
	if rounding < 300 {
		t.Errorf("only %d within rounding", rounding)
	}
}
