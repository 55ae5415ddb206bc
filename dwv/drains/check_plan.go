package drains

import (
	"math"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// onPlan holds the length and the bearing of a flat run against the places of its ends,
// where both are given: a figure keyed wrong in one of them is the commonest slip there is,
// and carries on into every invert upstream.
func (j *judge) onPlan(i int32, pt *Point) {
	to := j.at(j.tree.parent[i])
	run := &pt.Run
	if pt.At == nil || to == nil || run.Vertical {
		return
	}
	g := run.Grade.Float()
	apart := math.Hypot((to.X - pt.At.X).Metres(), (to.Y - pt.At.Y).Metres())
	flat := run.Length.Metres() / math.Sqrt(1+float64(g*g))
	slack := planSlack(apart)
	bent := len(run.Fittings) > 0
	way := tenthOfMillimetre(units.Metres(apart))
	f := tables.Finding{Rule: "run-on-plan", Place: pt.ID, Value: run.Length, Limit: way}
	switch {
	case flat < apart-slack:
		f.Verdict, f.Fix = tables.Fail, "Mend the length, or the coordinates of the two ends."
		f.Reason = j.text("the run is given as %v long, and on plan its ends lie %v apart", run.Length, way)
	case flat > apart+slack && !bent:
		f.Verdict, f.SettledBy, f.Fix = tables.Ask, tables.Designer,
			"Mend the length or the coordinates of the two ends, or name the bends along the run."
		f.Reason = j.text("the run is given as %v long, and on plan its ends lie %v apart; no bend is named that "+
			"would account for it", run.Length, way)
	}
	if f.Verdict != 0 {
		j.add(f)
	}
	asks := f.Verdict != 0
	if plan := bearingOf(*pt.At, *to); !bent && aside(run.Bearing, plan, apart) > slack {
		asks = true
		j.add(tables.Finding{Rule: "run-on-plan", Place: pt.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Value: run.Bearing, Limit: plan,
			Reason: j.text("the run is given as flowing toward %v, and from the coordinates of its ends it flows "+
				"toward %v", run.Bearing, plan),
			Fix: "Mend the bearing, or the coordinates of the two ends: turns and fittings go by the one, " +
				"crossings by the other."})
	}
	switch {
	case asks, j.opt.ProblemsOnly:
	case j.opt.Tally != nil:
		j.Tally().Count("run-on-plan", pt.ID, tables.Citation{})
	default:
		f.Verdict, f.Reason = tables.Pass,
			j.text("the run is given as %v long, as its ends lie on plan, %v apart", run.Length, way)
		j.add(f)
	}
}

// planSlack is by how much, in metres, a run may differ from its plan: an inch in ten
// feet, and an inch at least, to which coordinates are given.
func planSlack(apart float64) float64 { return max(units.Inch.Metres(), apart/120) }

// aside is how far, in metres, the end of a run that flows toward one bearing lies to the
// side of, or behind, where it is on plan.
func aside(given, plan Bearing, apart float64) float64 {
	mdeg, ok := given.turn(plan)
	switch {
	case !ok:
		return 0
	case mdeg >= 90_000:
		return apart
	}
	return apart * math.Sin(float64(mdeg)/1000*math.Pi/180)
}

// tenthOfMillimetre rounds a length that is measured and not given.
func tenthOfMillimetre(l units.Length) units.Length {
	const step = units.Millimetre / 10
	return (l + step/2) / step * step
}

// positions returns where points and outlets lie on plan, by id.
func (l *Data) positions() map[string]*Position {
	at := map[string]*Position{}
	for s := range l.Systems {
		sys := &l.Systems[s]
		at[sys.Outlet.ID] = sys.Outlet.At
		for p := range sys.Points {
			at[sys.Points[p].ID] = sys.Points[p].At
		}
	}
	return at
}

// lengthOnPlan returns the length of a straight run at a grade between two places, to a
// tenth of a millimetre. Up to 1 in 24 the pipe is within a thousandth as long as its plan,
// and the plan is what a crew measures; coordinates out of range give none.
func lengthOnPlan(from, to Position, grade float64) units.Length {
	if !from.X.Valid() || !from.Y.Valid() || !to.X.Valid() || !to.Y.Valid() {
		return 0
	}
	apart := math.Hypot((to.X - from.X).Metres(), (to.Y - from.Y).Metres())
	if grade > 1.0/24 {
		apart *= math.Sqrt(1 + float64(grade*grade))
	}
	return tenthOfMillimetre(units.Metres(apart))
}
