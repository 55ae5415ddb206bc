package supply

import (
	"fmt"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Working shows how a run was worked out, the way a textbook would: what was taken
// from where, the formula, the numbers in it with their units, the result. Units are
// those of the American trade. point is an index into Runs; any other panics, as that
// of a slice does.
func (a *Analysis) Working(point int) []string {
	l := a.Layout
	r := &a.Runs[point]
	p := &l.data.Points[point]
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	say("load: %s on the %v line to %s", r.Load.In(a.Code.unit), l.service[point], p.ID)
	a.workDemand(r, say)
	d := r.Bore.Inches()
	gpm := float64(r.Flow / units.USGallonPerMinute)
	say("bore: %v %s has %.3f in, by %v", r.Size, r.Pipe.id, d, r.bore.Citation)
	if r.Flow > 0 {
		// 0.4085 is 231/(60 x 12 x pi/4): gpm and inches to feet a second.
		say("velocity: v = 0.4085 Q/d2 = 0.4085 x %.2f gpm / (%.3f in)2 = %.2f ft/s", gpm, d, float64(r.Velocity/units.FootPerSecond))
	}
	length := r.Length + r.Equivalent
	if r.Equivalent > 0 {
		say("length: %v laid + %v for fittings = %v", r.Length, r.Equivalent, length)
	}
	loss := r.Friction + r.Fittings
	if r.Flow > 0 && length > 0 {
		if a.Options.method() == HazenWilliams {
			c, cite := r.Pipe.C()
			say("friction: Hazen-Williams, C = %g (%v), %.2f gpm, %.3f in, %.1f ft: %.2f psi", c, cite, gpm, d, length.Feet(), psi(loss))
		} else {
			say("friction: Darcy-Weisbach, roughness %v, %.2f gpm, %.3f in, %.1f ft: %.2f psi", r.Pipe.roughness, gpm, d, length.Feet(), psi(loss))
		}
	}
	if r.Rise != 0 {
		say("rise: %v x %.3f psi/ft = %.2f psi", p.Rise, psi(r.Rise)/p.Rise.Feet(), psi(r.Rise))
	}
	if r.Device != 0 {
		say("%s: %.2f psi%s", p.Device.Kind, psi(r.Device), cited(r.DeviceLoss.Citation))
	}
	in := l.data.Source.Pressure
	if up := l.parent[point]; up >= 0 {
		in = a.Runs[up].Out
	}
	if r.Reduced > 0 {
		say("regulator: takes off %.2f psi", psi(r.Reduced))
	}
	say("pressure: %.2f - %.2f - %.2f - %.2f - %.2f = %.2f psi (before, friction, rise, device, regulator)",
		psi(in), psi(loss), psi(r.Rise), psi(r.Device), psi(r.Reduced), psi(r.Out))
	return out
}

func psi(p units.Pressure) float64 {
	v := float64(p / units.PoundForcePerSquareInch)
	return roundTo(v)
}

func cited(c tables.Citation) string {
	if c.IsZero() {
		return ""
	}
	return ", by " + c.String()
}

// workDemand shows how the load became flow.
func (a *Analysis) workDemand(r *RunResult, say func(string, ...any)) {
	flow := float64((r.Flow - r.Continuous) / units.USGallonPerMinute)
	switch r.Basis {
	case FromTable:
		say("demand: %.2f gpm, %v column, by %s", flow, r.System, (Demand{Citation: r.Demand, Next: r.DemandNext}).Why())
	case FromOutlets:
		say("demand: %.2f gpm, the sum of the outlets' flows, for the load lies under the table", flow)
	case FromLargest:
		say("demand: %.2f gpm, the greatest single outlet, which draws more than the table gives", flow)
	default:
		say("demand: none")
	}
	if r.Continuous > 0 {
		say("continuous flow: %.2f gpm, added: %.2f gpm", float64(r.Continuous/units.USGallonPerMinute), float64(r.Flow/units.USGallonPerMinute))
	}
}
