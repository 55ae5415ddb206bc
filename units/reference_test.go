package units

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
)

// readCSV returns the rows of a test file by column name; # begins a comment.
func readCSV(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func kindNamed(t *testing.T, name string) kind {
	t.Helper()
	for k := range kinds {
		if k.String() == name {
			return k
		}
	}
	t.Fatalf("no kind %q", name)
	return 0
}

// Each factor is compared with two other programs. GNU Units prints 15 digits,
// so half a unit of the fifteenth is allowed; pint computes in float64 and is
// off by up to six units in the last place.
func TestFactorsAgainstOtherTools(t *testing.T) {
	checked := map[[2]string]bool{}
	for _, row := range readCSV(t, "testdata/other_tools.csv") {
		k := kindNamed(t, row["kind"])
		u, ok := lookup(k, row["unit"])
		if !ok || u.symbol != row["unit"] {
			t.Errorf("no %s %q", row["kind"], row["unit"])
			continue
		}
		checked[[2]string{row["kind"], row["unit"]}] = true
		var f fault
		n, _, ok := scanAnyUnit(row["value"]+" "+row["unit"], &f)
		if !ok {
			t.Errorf("%s %s: %s", row["value"], row["unit"], f.reason)
			continue
		}
		exact, _ := n.si(u).Float64()
		for tool, tolerance := range map[string]float64{"gnu": 5e-15, "pint": 1.4e-15} {
			theirs, err := strconv.ParseFloat(row[tool], 64)
			if err != nil {
				t.Fatal(err)
			}
			allowed := tolerance * math.Abs(exact)
			if k == kindTemperature { // near absolute zero they keep noise of 459.67 in float64
				allowed = max(allowed, 1e-13)
			}
			if d := math.Abs(theirs - exact); d > allowed {
				t.Errorf("%s %s: %v, %s gives %v (%.2g off)", row["value"], row["unit"], exact, tool, theirs, d)
			}
		}
	}
	for _, u := range Units() {
		if !checked[[2]string{u.Quantity, u.Symbol}] && u.Symbol != "K" {
			t.Errorf("%s %s is not in other_tools.csv: give it a line in UNITS of internal/crosscheck/units.py and run "+
				"that script, as internal/crosscheck/README.md says", u.Quantity, u.Symbol)
		}
	}
}

// Printed factors: ours, rounded to the digits of the document, is what it prints.
func TestFactorsAgainstNIST(t *testing.T) {
	rows := readCSV(t, "testdata/nist.csv")
	if len(rows) < 80 {
		t.Fatalf("only %d rows", len(rows))
	}
	var ledger proof.Ledger
	enter := func(row map[string]string, u *unit) {
		document := map[string]string{"sp811": "NIST Special Publication 811 (2008), Appendix B.8",
			"h44": "NIST Handbook 44, Appendix C"}[row["document"]]
		ours, _ := big.NewRat(u.num, u.den).Float64()
		ledger.Add(proof.Value{Source: document, Case: row["kind"] + ", " + row["name"], Answer: "in SI", Ours: ours,
			Printed: row["printed"],
			Class:   proof.Constants, Why: "the unit by another convention, kept to show by how much it differs from " +
				row["ours"]})
	}
	for _, row := range rows {
		k := kindNamed(t, row["kind"])
		printed, ok := new(big.Rat).SetString(row["printed"])
		if !ok {
			t.Fatalf("%q is no number", row["printed"])
		}
		if row["unit"] == "-" {
			// Another convention: near ours, but not ours.
			u, ok := lookup(k, row["ours"])
			if !ok || !strings.HasPrefix(u.note, "conventional") {
				t.Fatalf("%s does not name its convention", row["ours"])
			}
			enter(row, u)
			ratio, _ := new(big.Rat).Quo(printed, big.NewRat(u.num, u.den)).Float64()
			if d := math.Abs(ratio - 1); d == 0 || d > 0.003 {
				t.Errorf("%s is %.4f of %s", row["name"], ratio, u.symbol)
			}
			continue
		}
		u, ok := lookup(k, row["unit"])
		if !ok {
			t.Errorf("no %s %q", row["kind"], row["unit"])
			continue
		}
		enter(row, u)
		exact := big.NewRat(u.num, u.den)
		if row["document"] == "h44" {
			if exact.Cmp(printed) != 0 {
				t.Errorf("%s: %s, printed %s", row["name"], exact.FloatString(20), row["printed"])
			}
			continue
		}
		mantissa, _, _ := strings.Cut(row["printed"], "E")
		digits := len(strings.TrimLeft(strings.ReplaceAll(mantissa, ".", ""), "0"))
		f := new(big.Float).SetPrec(200).SetRat(exact)
		if got := f.Text('e', max(digits, 7)-1); got != new(big.Float).SetPrec(200).SetRat(printed).Text('e',
			max(digits, 7)-1) {
			t.Errorf("%s: %s, printed %s", row["name"], got, row["printed"])
		}
	}
	ledger.Keep(t, "testdata/proof.csv")
}

// A flow factor is its volume factor over its time factor, a pressure of a column
// its height times density times gravity: a second derivation of every compound
// unit from the simple ones.
func TestCompoundFactors(t *testing.T) {
	factor := func(k kind, symbol string) *big.Rat {
		u, ok := lookup(k, symbol)
		if !ok {
			t.Fatalf("no %v %s", k, symbol)
		}
		return big.NewRat(u.num, u.den)
	}
	rat := func(s string) *big.Rat { r, _ := new(big.Rat).SetString(s); return r }
	gravity := rat("9.80665")
	length := func(s string) *big.Rat { return factor(kindLength, s) }
	mul := func(f ...*big.Rat) *big.Rat {
		p := big.NewRat(1, 1)
		for _, x := range f {
			p.Mul(p, x)
		}
		return p
	}
	over := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
	gal, imp, ft, in := factor(kindVolume, "gal"), factor(kindVolume, "imp gal"), length("ft"), length("in")
	minute, hour, day := factor(kindDuration, "min"), factor(kindDuration, "h"), factor(kindDuration, "d")
	lb, degF := factor(kindMass, "lb"), factor(kindTemperatureDifference, "degF")
	btu := mul(factor(kindPower, "Btu/h"), hour)
	for _, c := range []struct {
		k      kind
		symbol string
		want   *big.Rat
	}{
		{kindLength, "ft", mul(rat("12"), in)}, {kindLength, "yd", mul(rat("3"), ft)},
		{kindLength, "mi", mul(rat("5280"), ft)}, {kindLength, "mil", mul(rat("0.001"), in)},
		{kindArea, "in2", mul(in, in)}, {kindArea, "ft2", mul(ft, ft)}, {kindArea, "yd2", mul(rat("9"), ft, ft)},
		{kindArea, "acre", mul(rat("43560"), ft, ft)},
		{kindVolume, "in3", mul(in, in, in)}, {kindVolume, "ft3", mul(ft, ft, ft)},
		{kindVolume, "yd3", mul(rat("27"), ft, ft, ft)}, {kindVolume, "gal", mul(rat("231"), in, in, in)},
		{kindVolume, "qt", mul(rat("0.25"), gal)}, {kindVolume, "pt", mul(rat("0.125"), gal)},
		{kindVolume, "fl oz", over(gal, rat("128"))},
		{kindFlow, "gpm", over(gal, minute)}, {kindFlow, "gph", over(gal, hour)}, {kindFlow, "gpd", over(gal, day)},
		{kindFlow, "mgd", over(mul(rat("1000000"), gal), day)},
		{kindFlow, "imp gpm", over(imp, minute)}, {kindFlow, "cfs", mul(ft, ft, ft)},
		{kindFlow, "cfm", over(mul(ft, ft, ft), minute)},
		{kindFlow, "L/min", over(rat("0.001"), minute)}, {kindFlow, "L/h", over(rat("0.001"), hour)},
		{kindFlow, "m3/h", over(rat("1"), hour)},
		{kindVelocity, "ft/s", ft}, {kindVelocity, "ft/min", over(ft, minute)},
		{kindVelocity, "mph", over(length("mi"), hour)}, {kindVelocity, "km/h", over(rat("1000"), hour)},
		{kindPressure, "psi", over(mul(lb, gravity), mul(in, in))},
		{kindPressure, "ksi", over(mul(rat("1000"), lb, gravity), mul(in, in))},
		{kindPressure, "psf", over(mul(lb, gravity), mul(ft, ft))},
		{kindPressure, "ft of water", mul(ft, rat("1000"), gravity)},
		{kindPressure, "in of water", mul(in, rat("1000"), gravity)},
		{kindPressure, "m of water", mul(rat("1000"), gravity)}, {kindPressure, "mm of water", gravity},
		{kindPressure, "inHg", mul(in, rat("13595.1"), gravity)},
		{kindPressure, "mmHg", mul(rat("0.001"), rat("13595.1"), gravity)},
		{kindPressure, "kgf/cm2", mul(gravity, rat("10000"))},
		{kindMass, "oz", over(lb, rat("16"))}, {kindMass, "short ton", mul(rat("2000"), lb)},
		{kindDensity, "lb/ft3", over(lb, mul(ft, ft, ft))}, {kindDensity, "lb/gal", over(lb, gal)},
		{kindDynamicViscosity, "lbf-s/ft2", over(mul(lb, gravity), mul(ft, ft))},
		{kindDynamicViscosity, "lb/ft-s", over(lb, ft)}, {kindKinematicViscosity, "ft2/s", mul(ft, ft)},
		{kindPower, "hp", mul(rat("550"), ft, lb, gravity)},
		{kindPower, "Btu/h", over(mul(rat("4186.8"), lb, degF), hour)},
		{kindPower, "ton", over(mul(rat("12000"), btu), hour)}, {kindPower, "MBH", over(mul(rat("1000"), btu), hour)},
		{kindHeatFlowPerLength, "Btu/h-ft", over(btu, mul(hour, ft))},
		{kindHeatFlowPerLength, "W/ft", over(rat("1"), ft)},
		{kindConductivity, "Btu/h-ft-degF", over(btu, mul(hour, ft, degF))},
		{kindConductivity, "Btu-in/h-ft2-degF", over(mul(btu, in), mul(hour, ft, ft, degF))},
		{kindHeatTransferCoefficient, "Btu/h-ft2-degF", over(btu, mul(hour, ft, ft, degF))},
		{kindSpecificHeat, "Btu/lb-degF", over(btu, mul(lb, degF))},
	} {
		if got := factor(c.k, c.symbol); got.Cmp(c.want) != 0 {
			t.Errorf("%v %s: %s, derived %s", c.k, c.symbol, got, c.want)
		}
	}
}
