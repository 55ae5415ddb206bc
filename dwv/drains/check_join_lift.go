package drains

import (
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// liftedJoins is how much higher the runs of a system would lie if joins that are not
// stated were centre to centre: at most so much, and each so much, once worked out.
type liftedJoins struct {
	most units.Length
	runs []units.Length
}

// coverByJoin asks about a run that keeps its cover only because joins that the layout
// does not state are taken invert on invert: where wyes and reducers meet centre to
// centre, as they are sold, it stands higher. It tells whether it asked.
func (j *judge) coverByJoin(i int32, lifted *liftedJoins) bool {
	clear := j.levels.clearance(i)
	if clear < 0 || clear >= lifted.most {
		return false
	}
	if lifted.runs == nil {
		lifted.runs = j.lifts()
	}
	lift := lifted.runs[i-j.lo]
	if lift <= clear {
		return false
	}
	j.Ask("drain-cover", j.id(i), tables.Designer,
		j.text("The layout does not say how pipes join here and downstream, and inverts are taken level. "+
			"Where wyes and reducers meet centre to centre the pipe stands %v higher, and comes %v too near the slab",
			lift, lift-clear),
		`State "join" of the runs downstream, "at springline" or "at invert" with eccentric parts; or lay it deeper.`,
		tables.Citation{})
	return true
}

// widest is the bore at the outlet of the system in hand, or of the widest run into it:
// the lifts along a way add up to half of that at most.
func (j *judge) widest() units.Length {
	widest := j.sizing.bore(j.system)
	for i := j.tree.first[j.system]; i >= 0; i = j.tree.next[i] {
		widest = max(widest, j.sizing.bore(i))
	}
	return widest
}

// lifts returns for each run of the system in hand how much higher it would lie if every
// join that is not stated, of a flat run into a flat one at least as large, were centre to
// centre.
func (j *judge) lifts() []units.Length {
	lifts := make([]units.Length, j.hi-j.lo)
	for k := len(j.order) - 1; k >= 0; k-- { // from the outlet up
		i := j.order[k]
		p := j.tree.parent[i]
		run, next := &j.tree.point(i).Run, j.tree.point(p)
		var lift units.Length
		if next != nil {
			lift = lifts[p-j.lo]
		}
		if run.Join == slope.JoinNotStated && !run.Vertical && (next == nil || !next.Run.Vertical) {
			lift += max(0, (j.sizing.bore(p)-j.sizing.bore(i))/2)
		}
		lifts[i-j.lo] = lift
	}
	return lifts
}
