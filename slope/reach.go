package slope

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// Between returns the grade of a straight run from an upper to a lower
// elevation. It rises, and is negative, where upper lies below lower.
func Between(upper, lower, run units.Length) (Grade, error) {
	if err := firstOf(check("upper elevation", upper), check("lower elevation", lower),
		checkPositive("run", run)); err != nil {
		return Grade{}, err
	}
	return Of(upper-lower, run)
}

// Room is the height a drain has to rise in: from an invert that is there, up to
// what the pipe must stay under.
type Room struct {
	// Invert is the invert at the low end, where the drain connects.
	Invert units.Length `json:"invert"`
	// Ceiling is the elevation the top of the pipe must stay under at the high
	// end: the underside of the slab, of a footing, of the frost line.
	Ceiling units.Length `json:"ceiling"`
	// Clearance is the height to keep free between Ceiling and the top of the pipe.
	Clearance units.Length `json:"clearance"`
	// Drops is the sum of the drops on the way, at fittings, manholes and joins.
	Drops units.Length `json:"drops"`
	// Pipe is the pipe at the high end.
	Pipe Pipe `json:"pipe"`
}

// Left returns the fall that the room leaves for grade: from Invert up to the
// highest invert at which the pipe still has its clearance, less the drops. It
// is negative where the pipe does not fit even when laid level.
func (r Room) Left() (units.Length, error) {
	if err := firstOf(check("invert", r.Invert), check("ceiling", r.Ceiling), checkSize("clearance", r.Clearance),
		checkSize("drops", r.Drops), r.Pipe.check()); err != nil {
		return 0, err
	}
	return r.Ceiling - r.Clearance - r.Pipe.Bore - r.Pipe.Wall - r.Invert - r.Drops, nil
}

// Reach returns the longest run that fits the room at grade g: how far a 3 in
// drain reaches with 11 in of depth left. It rounds down to a nanometre. Nothing
// left is a reach of zero; a room too low for the pipe is an error, and so is a
// grade that does not fall, whose reach has no end.
func (r Room) Reach(g Grade) (units.Length, error) {
	left, err := r.Left()
	switch {
	case err != nil:
		return 0, err
	case left < 0:
		return 0, fmt.Errorf("%w: the pipe stands %s too high with no run at all", units.ErrRange, show(-left))
	case g.rise <= 0:
		return 0, fmt.Errorf("%w: %v does not fall, so that its reach has no end", ErrGrade, g)
	}
	run, err := g.RunFor(left)
	if err != nil {
		return 0, err
	}
	if run > 0 && g.compareFall(run, left) > 0 {
		run--
	}
	return run, nil
}

// Steepest returns the steepest grade that fits the room over a run. It is
// negative where even a level pipe stands too high.
func (r Room) Steepest(run units.Length) (Grade, error) {
	left, err := r.Left()
	if err != nil {
		return Grade{}, err
	}
	if err := checkPositive("run", run); err != nil {
		return Grade{}, err
	}
	return Of(left, run)
}

// SteepestOf returns the steepest of the given grades that fits the room over a
// run, such as the grades of a table, in any order. ok is false where none does.
func (r Room) SteepestOf(run units.Length, grades []Grade) (g Grade, ok bool, err error) {
	most, err := r.Steepest(run)
	if err != nil {
		return Grade{}, false, err
	}
	for _, h := range grades {
		if err := checkGrade(h); err != nil {
			return Grade{}, false, err
		}
		if h.Compare(most) <= 0 && (!ok || h.Compare(g) > 0) {
			g, ok = h, true
		}
	}
	return g, ok, nil
}

// Spare returns what a run at grade g leaves of the room. It is negative by as
// much as the pipe stands too high at its upper end.
func (r Room) Spare(run units.Length, g Grade) (units.Length, error) {
	left, err := r.Left()
	if err := firstOf(err, checkSize("run", run), checkGrade(g)); err != nil {
		return 0, err
	}
	fall := g.Over(run)
	if err := check("fall", fall); err != nil {
		return 0, err
	}
	return left - fall, nil
}

// compareFall compares the exact fall of g over run, which Over rounds, with
// fall, by comparing grades.
func (g Grade) compareFall(run, fall units.Length) int {
	h, err := Of(fall, run)
	if err != nil {
		return 0
	}
	return g.Compare(h)
}
