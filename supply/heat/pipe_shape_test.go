package heat

import (
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// Under insulation of one thickness each further watt takes more diameter than the one
// before: a cylinder's loss over its diameter is concave, whatever the rest. A printed
// table that does not rise so contradicts itself.
func TestLossIsConcaveInDiameter(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	mm := func(x float64) units.Length { return units.Length(x * float64(units.Millimetre)) }
	for range 3000 {
		p := Pipe{
			Wall: mm(0.5 + 2*r.Float64()), Conductivity: units.Conductivity(0.2 + 400*r.Float64()),
			Insulation: mm(5 + 50*r.Float64()), InsulationConductivity: units.Conductivity(0.02 + 0.04*r.Float64()),
			Length: units.Metre, Surroundings: InAir, Film: units.HeatTransferCoefficient(4 + 12*r.Float64()),
		}
		at := func(bore float64) float64 {
			p.Bore = mm(bore)
			q, err := p.PerLength(units.Celsius(75), units.Celsius(20))
			if err != nil {
				t.Fatal(err)
			}
			return float64(q)
		}
		low, step := 8+60*r.Float64(), 4+20*r.Float64()
		first, second := at(low+step)-at(low), at(low+2*step)-at(low+step)
		if first <= 0 || second > first {
			t.Fatalf("%+v: from %.1f mm, steps of %.1f mm: %v then %v more", p, low, step, first, second)
		}
	}
}
