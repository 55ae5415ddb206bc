package supply

import (
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// Reason says in a sentence what set the size of a run: the basis, the figures that
// it was judged on, and for a recirculation return the loops, heat and flow. point is
// an index into Runs; any other panics, as that of a slice does.
func (s *Sizing) Reason(point int) string {
	r := &s.Runs[point]
	t := s.trade()
	switch s.Basis[point] {
	case Drawn:
		return fmt.Sprintf("%v %s is drawn.", r.name(), r.Pipe.id)
	case ByUnits:
		return fmt.Sprintf("%s: the code's pipe for its loading units, with a bore of %v here.", r.Load.In(s.Code.unit),
			r.Bore)
	case ByVelocity:
		return fmt.Sprintf("%v runs at %v in %v; %s", t.flow(r.Flow), t.velocity(r.Velocity), r.name(),
			s.lesser(r, r.Flow))
	case ByReturnFlow:
		return s.returnReason(point)
	case ByMinimum, ByService:
		return fmt.Sprintf("%v is the %v.", r.name(), s.Basis[point])
	case ByDownstream:
		return "A run that it feeds asks for it: no line is smaller than one it feeds."
	case ByPressure, ByCost:
		return fmt.Sprintf("Chosen for the %v.", s.Basis[point])
	}
	if r.Flow > 0 {
		return fmt.Sprintf("%v is the smallest %s on offer; %v runs at %v in it.", r.name(), r.Pipe.id, t.flow(r.Flow),
			t.velocity(r.Velocity))
	}
	return fmt.Sprintf("%v is the smallest %s on offer.", r.name(), r.Pipe.id)
}

// lesser says what a flow would do in the size below a run's.
func (s *Sizing) lesser(r *RunResult, flow units.Flow) string {
	t := s.trade()
	i := r.Pipe.size(r.Size)
	if i <= 0 {
		return "there is no smaller on offer."
	}
	below := &r.Pipe.sizes[i-1]
	v, err := hydraulics.Velocity(flow, below.Bore)
	if err != nil {
		return "there is no smaller on offer."
	}
	return fmt.Sprintf("in %v it would run at %v, over the limit.", r.Pipe.name(below), t.velocity(v))
}

func (s *Sizing) returnReason(point int) string {
	l := s.Analysis.Layout
	t := s.trade()
	r := &s.Runs[point]
	loops, err := s.Circulations()
	if err != nil {
		return fmt.Sprintf("The %v.", s.Basis[point])
	}
	text := ""
	var sum units.Flow
	for k := range loops {
		if !slices.Contains(l.loopWay(k), int32(point)) {
			continue
		}
		c := &loops[k]
		sum += c.Flow
		if c.Stated {
			text += fmt.Sprintf("%s keeps up %v, as the layout states. ", c.ID, t.flow(c.Flow))
		} else {
			text += fmt.Sprintf("%s loses %v over %v, and %v makes it up with a drop of %v. ", c.ID, t.power(c.Heat),
				t.length(c.Length), t.flow(c.Flow), t.difference(l.data.Recirculation[k].Drop))
		}
	}
	v, err := hydraulics.Velocity(sum, r.Bore)
	if err != nil {
		return text
	}
	return text + fmt.Sprintf("That runs at %v in %v, within the limit; %s", t.velocity(v), r.name(), s.lesser(r, sum))
}
