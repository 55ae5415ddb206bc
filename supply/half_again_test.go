package supply

import (
	"math"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestHalfAsMuchAgain: of a preventer whose loss nobody states the loss is taken. Where half as much again would
// still leave the far outlet enough it is told among what was assumed; where it would not, it is asked. With 0.6 of
// the loss to spare at the outlet the first holds, with 0.4 the second; and where pressure made a size, or a
// point needs one, less loss might do with less, so that it is asked whatever there is to spare.
func TestHalfAsMuchAgain(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	data := func(street units.Pressure) Data {
		return Data{Source: Source{ID: "street", Pressure: street}, Water: Waters{Cold: units.Fahrenheit(50)},
			Pipe: LinePipes{Cold: "copper-l"}, Points: []Point{
				{ID: "C1", From: "street", Length: 10 * ft, Size: in},
				{ID: "BF", From: "C1", Length: ft, Size: in, Device: &Device{Kind: "double-check"}},
				{ID: "C2", From: "BF", Length: 10 * ft, Size: in, Continuous: units.USGallonPerMinute}},
			Fixtures: []LayoutFixture{{ID: "L1",
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}, Cold: "C2"}}}
	}
	code := mustCode(t, "ipc-2021")
	first := sized(t, code, data(60*psi)).Analyse()
	at, ok := first.Layout().Find("BF")
	if !ok {
		t.Fatal("no BF")
	}
	loss, spare := first.At(at).Device, first.Fixtures()[0].Margin()
	if loss <= 0 || spare <= loss {
		t.Fatalf("a loss of %v, %v to spare", loss, spare)
	}
	for _, c := range []struct {
		name  string
		left  float64 // to spare at the outlet, as a share of the loss
		needs units.Pressure
		ask   bool
	}{
		{"plenty", 3, 0, false}, {"a little more than half", 0.6, 0, false}, {"a little less", 0.4, 0, true},
		{"none", 0.01, 0, true}, {"plenty, and a point behind it needs a pressure", 3, 8 * psi, true},
	} {
		d := data(60*psi - spare + units.Pressure(c.left)*loss)
		d.Points[2].Needs = c.needs
		a := sized(t, code, d).Analyse()
		if got := a.Fixtures()[0].Margin() / loss; c.needs == 0 && math.Abs(float64(got)-c.left) > 1e-3 {
			t.Fatalf("%s: %.3f of the loss to spare", c.name, float64(got))
		}
		found, err := a.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		asked := slices.ContainsFunc(found, func(f tables.Finding) bool { return f.Rule == "device-loss" && f.Place == "BF" })
		if asked != c.ask {
			t.Errorf("%s: asked %v", c.name, asked)
		}
	}
}
