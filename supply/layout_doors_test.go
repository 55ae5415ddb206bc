package supply

import (
	"math"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestLayoutDoors puts one thing into a good layout that cannot be, and wants the
// field and the reason named; the value beside it that still can be is taken.
func TestLayoutDoors(t *testing.T) {
	const nm, psi = units.Length(1), units.PoundForcePerSquareInch
	nan, inf := math.NaN(), math.Inf(1)
	point := func(d *LayoutData, id string) *Point {
		for i := range d.Points {
			if d.Points[i].ID == id {
				return &d.Points[i]
			}
		}
		t.Fatalf("no point %s", id)
		return nil
	}
	device := func(dev Device) func(d *LayoutData) {
		return func(d *LayoutData) { point(d, "C2").Device = &dev }
	}
	fitting := func(f FittingItem) func(d *LayoutData) {
		return func(d *LayoutData) { point(d, "C2").Fittings = []FittingItem{f} }
	}
	link := func(k Link) func(d *LayoutData) {
		return func(d *LayoutData) {
			if k.ID == "" {
				k.ID = "K"
			}
			if k.Between == [2]string{} {
				k.Between = [2]string{"C4", "C5"}
			}
			d.Links = []Link{k}
		}
	}
	noID := func(d *LayoutData) {
		d.Links = []Link{{Between: [2]string{"C4", "C5"}, Size: units.Inch}}
	}
	for _, c := range []struct {
		want string // "" where the layout is taken
		edit func(d *LayoutData)
	}{
		{"source: id: ", func(d *LayoutData) { d.Source.ID = "" }},
		{"pressure: not possible: ", func(d *LayoutData) { d.Source.Pressure = 0 }},
		{"pressure: not possible: ", func(d *LayoutData) { d.Source.Pressure = units.Pressure(nan) }},
		{"static: not possible: ", func(d *LayoutData) { d.Source.Static = d.Source.Pressure - psi }},
		{"", func(d *LayoutData) { d.Source.Static = d.Source.Pressure }},
		{"cold: not possible: ", func(d *LayoutData) { d.Water.Cold = units.Celsius(-0.01) }},
		{"", func(d *LayoutData) { d.Water.Cold = units.Celsius(0) }},
		{"hot: not possible: ", func(d *LayoutData) { d.Water.Hot = units.Celsius(100.01) }},
		{"ambient: not possible: ", func(d *LayoutData) { d.Water.Ambient = units.Celsius(-60.01) }},
		{"stock[3]: pipe: not possible: names no pipe", func(d *LayoutData) { d.Stock = append(d.Stock, Stock{Sizes: []units.Length{units.Inch}}) }},
		{"stock[3]: sizes: not possible: there are none", func(d *LayoutData) { d.Stock = append(d.Stock, Stock{Pipe: "cpvc-sdr11"}) }},
		{"is listed twice", func(d *LayoutData) { d.Stock = append(d.Stock, d.Stock[0]) }},
		{"points: not possible: there are none", func(d *LayoutData) { d.Points = nil }},
		{"medium: not possible: ", func(d *LayoutData) { d.Test.Medium = "steam" }},
		{"test: pressure: not possible: ", func(d *LayoutData) { d.Test.Pressure = 0 }},

		{"length: not possible: ", func(d *LayoutData) { point(d, "C2").Length = -nm }},
		{"", func(d *LayoutData) { point(d, "C2").Length = 0 }},
		{"length: not possible: ", func(d *LayoutData) { point(d, "C2").Length = maxLength + nm }},
		{"rise: not possible: ", func(d *LayoutData) { p := point(d, "C2"); p.Rise = p.Length + nm }},
		{"", func(d *LayoutData) { p := point(d, "C2"); p.Rise = p.Length }},
		{"", func(d *LayoutData) { p := point(d, "C2"); p.Rise = -p.Length }},
		{"size: not possible: ", func(d *LayoutData) { point(d, "C2").Size = -nm }},
		{"size: not possible: ", func(d *LayoutData) { point(d, "C2").Size = 2*units.Metre + nm }},
		{"continuous: not possible: ", func(d *LayoutData) { point(d, "C2").Continuous = 10.001 }},
		{"continuous: not possible: ", func(d *LayoutData) { point(d, "C2").Continuous = units.Flow(nan) }},
		{"thickness: ", func(d *LayoutData) { point(d, "H3").Insulation = &Insulation{0, 0.04} }},
		{"thickness: ", func(d *LayoutData) { point(d, "H3").Insulation = &Insulation{units.Metre + nm, 0.04} }},
		{"conductivity: ", func(d *LayoutData) { point(d, "H3").Insulation = &Insulation{units.Inch, 0} }},
		{"conductivity: ", func(d *LayoutData) { point(d, "H3").Insulation = &Insulation{units.Inch, 10.001} }},
		{"clear: ", func(d *LayoutData) { point(d, "C8").Beside.Clear = -nm }},
		{"", func(d *LayoutData) { point(d, "C8").Beside.Clear = 0 }},

		{"no fitting named", fitting(FittingItem{Count: 1})},
		{"elbow-90: count: 0", fitting(FittingItem{Fitting: "elbow-90"})},
		{"elbow-90: count: 10001", fitting(FittingItem{Fitting: "elbow-90", Count: 10_001})},
		{"elbow-90: length: ", fitting(FittingItem{Fitting: "elbow-90", Count: 1, Length: -nm})},
		{"elbow-90: k: ", fitting(FittingItem{Fitting: "elbow-90", Count: 1, K: -1})},
		{"both a length and a k", fitting(FittingItem{Fitting: "elbow-90", Count: 1, Length: nm, K: 0.1})},
		{"", fitting(FittingItem{Fitting: "elbow-90", Count: 10_000, K: 0.1})},

		{"no kind", device(Device{})},
		{"device: not possible: loss: ", device(Device{Kind: "filter", Loss: -psi})},
		{"device: not possible: loss: ", device(Device{Kind: "filter", Loss: units.Pressure(inf)})},
		{"device: not possible: size: ", device(Device{Kind: "meter", Size: -nm})},
		{"both a loss and a curve", device(Device{Kind: "filter", Loss: psi, Curve: []CurvePoint{{0, 0}, {1, psi}}})},
		{"curve[1]: ", device(Device{Kind: "filter", Curve: []CurvePoint{{0, 0}, {units.Flow(nan), psi}}})},
		{"flow must rise and loss must not fall", device(Device{Kind: "filter", Curve: []CurvePoint{{1, 0}, {1, psi}}})},
		{"flow must rise and loss must not fall", device(Device{Kind: "filter", Curve: []CurvePoint{{0, psi}, {1, 0}}})},
		{"one point is no curve", device(Device{Kind: "filter", Curve: []CurvePoint{{1, psi}}})},
		{"", device(Device{Kind: "filter", Curve: []CurvePoint{{0, psi}, {1, psi}}})},
		{"set: ", device(Device{Kind: "regulator"})},
		{"fall_off: ", device(Device{Kind: "regulator", Set: psi, FallOff: psi})},
		{"", device(Device{Kind: "regulator", Set: psi, FallOff: 0})},
		{"are of a regulator", device(Device{Kind: "filter", Set: psi})},

		{"line: ", func(d *LayoutData) { point(d, "C2").Line = "steam" }},
		{"a heater on a return", func(d *LayoutData) { point(d, "R1").Device = &Device{Kind: "storage-heater"} }},
		{"fixtures[0]: id: not possible: no id", func(d *LayoutData) { d.Fixtures[0].ID = "" }},
		{"the id is given twice", func(d *LayoutData) { d.Fixtures[0].ID = d.Fixtures[1].ID }},
		{"flow: not possible: ", func(d *LayoutData) { d.Fixtures[0].Flow = units.Flow(nan) }},
		{"flow: not possible: ", func(d *LayoutData) { d.Fixtures[0].Flow = 10.001 }},
		{"pressure: not possible: ", func(d *LayoutData) { d.Fixtures[0].Pressure = -psi }},
		{"is a heater", func(d *LayoutData) { d.Fixtures[2].Cold = "WH" }},

		{"id: not possible: missing, or given twice", func(d *LayoutData) { d.Sleeves[0].ID = "" }},
		{"bore: not possible: ", func(d *LayoutData) { d.Sleeves[0].Bore, d.Sleeves[0].Rope = 0, 0 }},
		{"bore: not possible: ", func(d *LayoutData) { d.Sleeves[0].Bore = 2*units.Metre + nm }},
		{"length: not possible: ", func(d *LayoutData) { d.Sleeves[0].Length = -nm }},
		{"bends: not possible: ", func(d *LayoutData) { d.Sleeves[0].Bends = 1001 }},
		{"bends: not possible: ", func(d *LayoutData) { d.Sleeves[0].Bends = -1 }},
		{"rope: not possible: ", func(d *LayoutData) { d.Sleeves[0].Rope = d.Sleeves[0].Bore + nm }},
		{"", func(d *LayoutData) { d.Sleeves[0].Rope = d.Sleeves[0].Bore }},

		{"id: not possible: missing, or given twice", func(d *LayoutData) { d.Recirculation[0].ID = "" }},
		{`heater: not possible: point "C1" is no heater`, func(d *LayoutData) { d.Recirculation[0].Heater = "C1" }},
		{`return: not possible: no point "X"`, func(d *LayoutData) { d.Recirculation[0].Return = "X" }},
		{`return: not possible: point "H1" carries hot water`, func(d *LayoutData) { d.Recirculation[0].Return = "H1" }},
		{"flow: not possible: ", func(d *LayoutData) { d.Recirculation[0].Flow = -1 }},
		{"drop: not possible: ", func(d *LayoutData) { d.Recirculation[0].Drop = 100.1 }},
		{"state how far the water may cool, or the flow", func(d *LayoutData) { d.Recirculation[0].Drop = 0 }},
		{"", func(d *LayoutData) { d.Recirculation[0].Drop, d.Recirculation[0].Flow = 0, 0.001 }},

		{"id: not possible: missing, or given twice", noID},
		{"id: not possible: missing, or given twice", link(Link{ID: "C1", Size: units.Inch})},
		{"no points C4, X", link(Link{Between: [2]string{"C4", "X"}, Size: units.Inch})},
		{`joins "C4" to itself`, link(Link{Between: [2]string{"C4", "C4"}, Size: units.Inch})},
		{"joins a cold line to a hot line", link(Link{Between: [2]string{"C4", "H1"}, Size: units.Inch})},
		{"length: not possible: ", link(Link{Length: -nm, Size: units.Inch})},
		{"a link states its size", link(Link{Length: units.Foot})},
		{"fittings[0]: not possible: elbow-90: count: 0", link(Link{Size: units.Inch, Fittings: []FittingItem{{Fitting: "elbow-90"}}})},
		{"", link(Link{Length: units.Foot, Size: units.Inch, Pipe: "copper-l"})},
	} {
		d := lodge(t).Data()
		if d.Test != nil { // what is behind a pointer is the file's own
			test := *d.Test
			d.Test = &test
		}
		c.edit(&d)
		_, err := NewLayout(d)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("refused: %v", err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}
