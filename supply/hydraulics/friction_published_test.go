package hydraulics_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// Printed friction losses. Those classed as rounding must agree within half of the
// last printed digit and half a percent for the source's own rounded formula; the
// others must deviate by what the file says, for the reason it gives.
func TestPublishedFrictionTables(t *testing.T) {
	rounding := 0
	var ledger proof.Ledger
	for _, row := range proof.ReadCSV(t, "friction_published.csv") {
		f := hydraulics.Friction{Bore: units.Inches(proof.Number(t, row["bore_in"])),
			Length: units.Feet(proof.Number(t, row["length_ft"]))}
		if err := f.Method.UnmarshalText([]byte(row["method"])); err != nil {
			t.Fatal(err)
		}
		temperature := units.Fahrenheit(60)
		var err error
		if row["temperature"] != "" {
			if temperature, err = units.Parse[units.Temperature](row["temperature"]); err != nil {
				t.Fatal(err)
			}
		}
		if f.Water, err = hydraulics.WaterAt(temperature); err != nil {
			t.Fatal(err)
		}
		// A plain number is a coefficient, what has a unit a roughness; a formula may have neither.
		if parameter := row["parameter"]; parameter != "" {
			if f.C, err = strconv.ParseFloat(parameter, 64); err != nil {
				f.C = 0
				f.Roughness, err = units.Parse[units.Length](parameter)
			}
		}
		var r hydraulics.Resistance
		if err == nil {
			r, err = f.Resistance()
		}
		if err != nil {
			t.Fatalf("%s %s by %s: parameter %q, which is a coefficient as a plain number, a roughness with its unit, "+
				"or blank: %v", row["material"], row["size"], row["method"], row["parameter"], err)
		}
		loss, err := r.Loss(units.Flow(proof.Number(t, row["flow_gpm"])) * gpm)
		if err != nil {
			t.Fatal(err)
		}
		got := float64(loss.Head / units.FootOfHead)
		if row["unit"] == "psi" {
			got = float64(loss.Pressure / units.PoundForcePerSquareInch)
		}
		printed := proof.Number(t, row["loss"])
		_, decimals, _ := strings.Cut(row["loss"], ".")
		half := 0.5 * math.Pow(10, -float64(len(decimals)))
		deviation := 100 * (printed/got - 1)
		v := proof.Value{Source: proof.Document(row["source"]), Case: row["material"] + " " + row["size"],
			Answer: row["flow_gpm"] + " gpm, " + row["unit"], Ours: got, Printed: row["loss"]}
		v.Class, v.Why = frictionClasses[row["class"]], row["class"]
		if _, known := frictionClasses[v.Why]; !known && v.Why != "rounding" {
			t.Errorf("%s: the reason %q is not one of frictionClasses: give it a line there", v.Case, v.Why)
		}
		if row["class"] == "rounding" {
			v.Class, v.Why = roundedForm(t, row, printed, half)
		}
		ledger.Add(v)
		if class := row["class"]; class == "rounding" {
			rounding++
			if math.Abs(printed-got) > half+0.006*got {
				t.Errorf("%s %s at %s gpm: %.5g, printed %s (%+.1f %%) in %s", row["material"], row["size"], row["flow_gpm"], got,
					row["loss"], deviation, row["source"])
			}
		} else {
			if math.Abs(deviation-proof.Number(t, row["deviation"])) > 0.25 {
				t.Errorf("%s %s at %s gpm: deviates %+.2f %%, known as %s: %s", row["material"], row["size"], row["flow_gpm"],
					deviation, row["deviation"], class)
			}
		}
	}
	ledger.Keep(t, "testdata/proof-friction.csv")
	if rounding < 300 {
		t.Errorf("only %d within rounding", rounding)
	}
}

// frictionClasses sorts the reasons of the file.
var frictionClasses = map[string]proof.Class{
	"friction factors of new steel pipe (0.00015 ft), read off a chart to 2 %": proof.Chart,
	"another bore or rounding in the source":                                   proof.Edition,
	"the source used another bore":                                             proof.Edition,
	"the source mixes two bores in this column":                                proof.Edition,
	"source reads its charts to two figures":                                   proof.Chart,
	"the source runs 5 to 7 % over the formula in its 40 degF column; water 22 to 32 % more viscous would give " +
		"it": proof.Constants,
	"below Reynolds number 4000: the source goes on with its turbulent " +
		"formula": proof.Model,
	"calculated to three figures by another form of the friction " +
		"factor": proof.Model,
	"likely misprint, it breaks the pattern of its own " +
		"column": proof.Misprint,
	"rounded twice in the source":                proof.Steps,
	"rounding of the flow or bore in the source": proof.Steps,
}

// roundedForm says why a print lies a little beyond its last digit: one of the
// rounded forms of the Hazen-Williams formula, worked out here, gives it exactly.
func roundedForm(t *testing.T, row map[string]string, printed, half float64) (proof.Class, string) {
	t.Helper()
	if row["method"] != "hazen-williams" {
		return proof.Steps, "within 0.6 % and half of the last digit: a rounded friction factor or viscosity in the source"
	}
	q, d, c, long := proof.Number(t, row["flow_gpm"]), proof.Number(t, row["bore_in"]), proof.Number(t, row["parameter"]),
		proof.Number(t, row["length_ft"])
	feet := 1.0
	if row["unit"] == "psi" {
		feet = 0.433
	}
	for _, form := range []struct {
		name string
		loss float64
	}{
		{"0.002083 (100/C)^1.852 q^1.852/d^4.8655 ft/ft", feet * 0.002083 * math.Pow(100*q/c, 1.852) / math.Pow(d, 4.8655)},
		{"4.52 q^1.85/(C^1.85 d^4.87) psi/ft", feet / 0.433 * 4.52 * math.Pow(q/c, 1.85) / math.Pow(d, 4.87)},
		{"10.44 q^1.85/(C^1.85 d^4.8655) ft/ft", feet * 10.44 * math.Pow(q/c, 1.85) / math.Pow(d, 4.8655)},
	} {
		if math.Abs(form.loss*long-printed) <= half {
			return proof.Constants, "a rounded form gives the print: " + form.name
		}
	}
	return proof.Steps, "within 0.6 % and half of the last digit; no rounded form tried gives it"
}

const (
	psi = units.PoundForcePerSquareInch
	gpm = units.USGallonPerMinute
)
