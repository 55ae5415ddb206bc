package drains

import (
	"math"
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// lifts returns for each run of the system in hand how much higher it lies because runs that
// do not say how they join meet the next centre to centre.
func (j *judge) lifts() []units.Length {
	lifts := make([]units.Length, j.hi-j.lo)
	for _, i := range slices.Backward(j.order) { // from the outlet up
		if p := j.tree.parent[i]; j.tree.point(p) != nil {
			lifts[i-j.lo] = lifts[p-j.lo]
		}
		if j.tree.point(i).Run.Join == slope.JoinNotStated {
			rise, _ := j.sizing.joinRise(i) // the levels were worked with it
			lifts[i-j.lo] += rise
		}
	}
	return lifts
}

// assumedSizes says which sizes were not taken that the layout does not skip.
func (j *judge) assumedSizes() {
	s := j.sizing
	skip, assumed := s.skipped()
	if !assumed || len(skip) == 0 {
		return
	}
	passed := func(size, required units.Length, drawn bool) bool {
		return !drawn && size > required && slices.Contains(skip, required)
	}
	over := false
	for i := int32(j.tree.outlets); int(i) < j.tree.len() && !over; i++ {
		over = passed(s.size[i], s.required[i], j.tree.point(i).Run.Size > 0)
	}
	for v := range s.vents {
		over = over || passed(s.vents[v].Size, s.vents[v].Required, s.vents[v].Drawn)
	}
	if !over {
		return
	}
	j.Assume("drain-size", j.job(), "pipe of "+sizeList(skip)+
		" is not taken unless drawn, because few counters stock it: the next size up is laid", "skip_sizes")
}

// assumedJoins says once how pipes join where the layout does not.
func (j *judge) assumedJoins() {
	j.assumedSizes()
	for i, pt := range j.tree.all() {
		if rise, _ := j.sizing.joinRise(i); rise != 0 && pt.Run.Join == slope.JoinNotStated {
			j.Assume("join-level", j.job(), "pipes join centre to centre where both lie flat and the one entered is at "+
				"least as large, and with inverts level elsewhere", "defaults.join, or join of a run")
			return
		}
	}
}

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
	m := finding.Case{Rule: "run-on-plan", Place: pt.ID}
	says := func() finding.Words {
		return finding.Words{Value: run.Length, Limit: way,
			Reason: j.Text("The run from %s is given as %v long; on plan its ends lie %v apart.", pt.ID, run.Length, way),
			Fix:    "Correct the length, or the coordinates of the two ends." + inchesForFeet(run.Length, way)}
	}
	agrees := true
	switch {
	case flat < apart-slack:
		agrees = false
		w := says()
		j.Add(tables.Finding{Rule: m.Rule, Place: pt.ID, Verdict: tables.Fail, Value: run.Length, Limit: way,
			Margin: run.Length - way, Reason: w.Reason, Fix: w.Fix})
	case flat > apart+slack && !bent:
		agrees = false
		j.Add(tables.Finding{Rule: m.Rule, Place: pt.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Value: run.Length, Limit: way,
			Reason: says().Reason + " No bend is named that would account for it.",
			Fix:    "Correct the length or the coordinates of the two ends, or name the bends along the run."})
	}
	if plan := plan.BearingOf(*pt.At, *to); !bent && aside(run.Bearing, plan, apart) > slack {
		agrees = false
		j.Add(tables.Finding{Rule: m.Rule, Place: pt.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Value: run.Bearing, Limit: plan,
			Reason: j.Text("The run from %s is given as flowing toward %v; from the coordinates of its ends it flows "+
				"toward %v.", pt.ID, run.Bearing, plan),
			Fix: "Correct the bearing, or the coordinates of the two ends: turns and fittings go by the one, " +
				"crossings by the other." + turnedAbout(run.Bearing, plan)})
	}
	if agrees {
		j.Holds(true, m, says)
	}
}

// inchesForFeet is a hint where a length is as many inches as it should be feet, millimetres as
// it should be centimetres or metres, and the other way round.
func inchesForFeet(said, way units.Length) string {
	near := func(a, b units.Length) bool { return max(a-b, b-a) < b/50 }
	for _, x := range [...]struct {
		times        units.Length
		large, small string
	}{{12, "feet", "inches"}, {1000, "metres", "millimetres"}, {100, "metres", "centimetres"},
		{10, "centimetres", "millimetres"}} {
		switch {
		case near(x.times*said, way):
			return " It seems that " + x.large + " are meant where it says " + x.small + "."
		case near(said, x.times*way):
			return " It seems that " + x.small + " are meant where it says " + x.large + "."
		}
	}
	return ""
}

// turnedAbout is a hint where a bearing points back.
func turnedAbout(said, plan Bearing) string {
	if m, ok := said.Turn(plan); ok && m > 180_000-5_000 {
		return " It points back: a bearing is the direction in which the run flows."
	}
	return ""
}

// planSlack is by how much, in metres, a run may differ from its plan: an inch in ten
// feet, and an inch at least, to which coordinates are given.
func planSlack(apart float64) float64 { return max(units.Inch.Metres(), apart/120) }

// aside is how far, in metres, the end of a run that flows toward one bearing lies to the
// side of, or behind, where it is on plan.
func aside(given, plan Bearing, apart float64) float64 {
	mdeg, ok := given.Turn(plan)
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

// gradeByName asks about a run too flat for its size that is nearly the next one of the
// table, and has another limit there, such as 75 mm beside 3 in: the two may be names of one.
func (j *judge) gradeByName(i int32, pt *Point, limit dwv.GradeLimit) bool {
	size, part := j.sizing.size[i], j.sizing.part[i]
	next, err := j.code.MinGrade(part, size+size/16)
	if err != nil || next.Least == limit.Least {
		return false
	}
	if ok, _ := j.code.GradeReaches(pt.Run.Grade, limit.Least); ok {
		return false
	}
	j.Ask("drain-grade", pt.ID, tables.Designer,
		j.Text("The %v run at %s falls %v; at least %v, or %v if that size is a name of the next of the table.",
			nominal(size), pt.ID, pt.Run.Grade, limit.Least, next.Least),
		"If they are one size, write it as the code does.", next.Citation)
	return true
}

// grade sets the grade of a horizontal run against the least one.
func (j *judge) grade(i int32, pt *Point, greasy bool) {
	if pt.Run.Vertical {
		return
	}
	g := pt.Run.Grade
	if limit, err := j.code.MinGrade(j.sizing.part[i], j.sizing.size[i]); err != nil {
		j.Ask("drain-grade", pt.ID, tables.Authority,
			j.Text("The run at %s falls %v: %s.", pt.ID, g, lacks(err, "minimum grade for it")),
			"Ask the authority for the least grade.")
	} else if !j.gradeByName(i, pt, limit) {
		j.leastGrade(on("drain-grade", pt.ID, limit.Citation), g, limit)
	}
	if greasy {
		if least, cite, err := j.code.RuleGrade("grease-interceptor-min-grade"); err == nil {
			j.leastGrade(on("interceptor-grade", pt.ID, cite), g, dwv.GradeLimit{Least: least, Citation: cite})
		}
	}
}

// gradeShort tells whether the grade of a run is less than the code's least for its
// size, or cannot be judged; drain-grade says so.
func (j *judge) gradeShort(i int32) bool {
	limit, err := j.code.MinGrade(j.sizing.part[i], j.sizing.size[i])
	if err != nil {
		return true
	}
	ok, _ := j.code.GradeReaches(j.tree.point(i).Run.Grade, limit.Least)
	return !ok
}

// leastGrade compares a grade with a limit. A grade that a code prints as equal to
// the limit counts as it and says so; 2 % under 1/4 in per ft, where the code
// prints no such pair, is a question with the shortfall shown.
func (j *judge) leastGrade(m finding.Case, g slope.Grade, limit dwv.GradeLimit) {
	ok, nominal := j.code.GradeReaches(g, limit.Least)
	if ok {
		m.Citation = weakestOf(limit.Citation, nominal)
	}
	margin, _ := g.Sub(limit.Least) // of grades that pipe is laid at there is one
	short := 100 * (1 - g.Float()/limit.Least.Float())
	ask := func(why, fix string) {
		j.Add(tables.Finding{Rule: m.Rule, Place: m.Place, Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: g, Limit: limit.Least, Margin: margin, Citation: m.Citation, Fix: fix,
			Reason: j.Text("The run at %s falls %v; at least %v: %.3g %% too flat. ", m.Place, g, limit.Least, short) + why})
	}
	switch {
	case ok && !nominal.IsZero() && m.Citation.Status().Firm(): // what passes for equal has nothing left
		j.Holds(true, m, func() finding.Words {
			return finding.Words{Value: g, Limit: limit.Least,
				Reason: j.Text("The run at %s falls %v, which the code prints as equal to %v; by arithmetic it is %.3g %% "+
					"less.", m.Place, g, limit.Least, short)}
		})
	case ok:
		if nominal.IsZero() && margin.Compare(slope.Grade{}) < 0 {
			margin = slope.Grade{} // rounding, see reaches
		}
		finding.Compare(j.Judge, m, finding.Compared[slope.Grade]{Value: g, Limit: limit.Least, Margin: margin,
			Passes: true, Left: margin.Float()}, func() finding.Words {
			if !nominal.IsZero() {
				return finding.Words{Reason: j.Text("The run at %s falls %v, which the code takes as equal to %v; by "+
					"arithmetic it is %.3g %% less.", m.Place, g, limit.Least, short)}
			}
			return finding.Words{Reason: j.Text("The run at %s falls %v; at least %v.", m.Place, g, limit.Least)}
		})
	case !limit.WithApproval.IsLevel() && g.Compare(limit.WithApproval) >= 0:
		ask(j.Text("The authority may approve down to %v where the steeper grade is impractical.", limit.WithApproval),
			"Get the approval, or lay it steeper.")
	case takenAsOne(g, limit.Least):
		ask("Many take the two as one, but this code does not print them so.",
			"Ask whether the authority takes the two as equal, or lay it at the full grade.")
	default:
		finding.Compare(j.Judge, m, finding.Compared[slope.Grade]{Value: g, Limit: limit.Least, Margin: margin},
			func() finding.Words {
				fix := j.Text("Lay it at %v.", limit.Least)
				if g.Compare(slope.Grade{}) < 0 { // as it was found
					return finding.Words{Fix: fix, Reason: j.Text("The run at %s rises %v in the direction of flow; it must "+
						"fall %v at least.", m.Place, g.Neg(), limit.Least)}
				}
				return finding.Words{Fix: fix, Reason: j.Text("The run at %s falls %v; at least %v: %.3g %% too flat.",
					m.Place, g, limit.Least, short)}
			})
	}
}

// takenAsOne tells whether many take a grade for a limit that it lies under, which is asked
// about rather than failed: 2 % for 1/4 in per ft, 1 % for 1/8, 0.75 % for 1 in 133. A limit
// in sixteenths of an inch per foot is taken as the half percent below it, any other as what
// it is rounded to.
func takenAsOne(g, limit slope.Grade) bool {
	const perSixteenth, toHalfPercent = 12 * 16, 200
	sixteenths := limit.Float() * perSixteenth
	if math.Abs(sixteenths-math.Round(sixteenths)) < 1e-9 {
		taken := math.Floor(limit.Float()*toHalfPercent) / toHalfPercent
		return g.Float() >= taken*0.9999
	}
	return g.Float() >= limit.Float()*0.99
}

// aboveGrease tells which runs lie upstream of a grease interceptor.
func (j *judge) aboveGrease() []bool {
	t := j.tree
	above := j.work.flag(0, j.system)
	for _, i := range slices.Backward(j.order) {
		p := t.parent[i]
		pt := t.point(p)
		above[i] = above[p] || pt != nil && pt.holdsGrease()
	}
	return above
}

// gravity asks whether every drain fits below the slab, and how deep the outlet
// would have to be.
func (j *judge) gravity() {
	j.spare(&j.layout.Systems[j.system])
	var lifts []units.Length
	overlay, cite, _ := j.length("slab-overlay")
	for i := range j.points() {
		if j.sizing.above[i] || j.levels.outside(i) {
			continue
		}
		if clear := j.levels.clearance(i); clear < 0 && lifts == nil {
			lifts = j.lifts()
		}
		if overlay > 0 && overlay >= j.layout.MinimumCover {
			j.overlay(i, overlay, cite)
		} else {
			j.cover(i, lifts)
		}
		j.join(i)
	}
}

// spare says how deep the drains of the system lie.
func (j *judge) spare(sys *System) {
	spare, at, ok := j.levels.spare(j.system)
	if !ok {
		return
	}
	least := j.layout.MinimumCover
	f := tables.Finding{Rule: "gravity-depth", Place: sys.ID, Verdict: tables.Pass, Value: Depth(spare + least),
		Limit: Depth(least), Margin: Depth(spare),
		Reason: j.Text("System %s has %v of depth left at %s, the highest drain under the slab.", sys.ID, Depth(spare), at)}
	if spare < 0 {
		f.Verdict = tables.Fail
		f.Reason = j.Text("The outlet of system %s is %v too high: at %s the drain would come that much too near the slab.",
			sys.ID, Shortage(-spare), at)
		f.Fix = j.Text("Lower the outlet by %v, shorten or flatten the way to %s within the code, or ask the designer "+
			"whether an ejector is needed. A backwater valve helps against the sewer, not against lack of fall.",
			Shortage(-spare), at)
	}
	j.Add(f)
}

// overlay judges one run below the floor where the code asks for more over it than the job.
func (j *judge) overlay(i int32, least units.Length, cite tables.Citation) {
	over := j.levels.clearance(i) + j.layout.MinimumCover
	finding.AtLeast(j.Judge, on("drain-cover", j.id(i), cite), Depth(over), Depth(least),
		finding.Say("The overlay from the top of the pipe to the underside of the slab", "too little",
			"Lay it deeper, or ask the designer about the slab there."))
}

// cover judges one run below the floor. lifts are needed where something lies too high.
func (j *judge) cover(i int32, lifts []units.Length) {
	least := j.layout.MinimumCover
	cover := j.levels.clearance(i) + least
	byTheJob := finding.Case{Rule: "drain-cover", Place: j.id(i)}
	finding.AtLeast(j.Judge, byTheJob, Depth(cover), Depth(least), func() finding.Words {
		fix := "Lay it deeper, or thicken the slab around it with the designer's consent."
		if cover < least && lifts != nil && cover+lifts[i-j.lo] >= least {
			fix = `Lay it deeper, or join inverts level downstream, by eccentric parts ("join": "at invert").`
		}
		switch into := -cover; {
		case into > j.layout.Slab:
			return finding.Words{Reason: j.Text("The top of the pipe at %s stands %v above the floor.", j.id(i),
				into-j.layout.Slab), Fix: "Lay it deeper."}
		case into > 0:
			return finding.Words{Reason: j.Text("The top of the pipe at %s stands %v into the slab.", j.id(i), Shortage(into)),
				Fix: fix}
		}
		return finding.Words{What: "The cover from the top of the pipe to the underside of the slab", Off: "too little",
			Fix: fix}
	})
}

// sump judges the pit that a system drains into, as far as gravity asks for it.
func (j *judge) sump() {
	sys := &j.layout.Systems[j.system]
	if sys.Outlet.Kind != ToSump {
		return
	}
	pit, place := sys.Outlet.Sump, sys.Outlet.ID
	if pit == nil {
		pit = new(Sump)
	}
	if pit.HighWater == nil {
		j.Ask("sump-inlet", place, tables.Designer,
			j.Text("The layout does not say how high the water in sump %s rises before its pump starts.", place),
			"Give that elevation (sump: high_water): the inlet has to lie above it.")
	} else {
		over := sys.Outlet.Invert - *pit.HighWater
		finding.AtLeast(j.Judge, finding.Case{Rule: "sump-inlet", Place: place}, over, 0, func() finding.Words {
			w := finding.Words{Reason: j.Text("The inlet of the sump at %s lies %v above its high water.", place, over)}
			if over < 0 {
				w.Reason = j.Text("The inlet of the sump at %s lies %v below its high water: up to there the drain stands "+
					"full before the pump starts.", place, -over)
				w.Fix = "Set the pump to start lower, or a deeper pit."
			}
			return w
		})
	}
	if sys.Kind == Soil || sys.Kind == Waste {
		j.sumpVent(place, pit)
	}
}

// sumpVent judges the vent of the pit itself.
func (j *judge) sumpVent(place string, pit *Sump) {
	const rule = "sump-vent"
	yes, cite := j.says("sump-vent")
	least, leastCite, hasLeast := j.length("sump-vent-min-size")
	switch {
	case pit.Vent == 0 && (yes || hasLeast):
		if !yes {
			cite = leastCite
		}
		j.Ask(rule, place, tables.Designer, "The layout shows no vent of sump "+place+", and a sewage sump needs one.",
			"Draw the vent of the pit up to the open air and give its size (sump: vent).", cite)
	case pit.Vent == 0:
		j.Ask(rule, place, tables.Authority, "The layout shows no vent of sump "+place+
			", and the tables of this code say nothing of one.",
			"Ask the authority; a pit without a vent holds its inlet back.")
	case hasLeast:
		j.sizeAtLeast(on(rule, place, leastCite), pit.Vent, least,
			finding.Say("The vent of the sump", "", "Enlarge the vent of the sump."))
	}
	if no, cite := j.says("aav-no-sump"); pit.VentValve && no {
		j.fails(sided(rule, place, "valve", cite), "The vent of sump "+place+" ends in an air admittance valve, and air has "+
			"to leave the pit as it fills.", "Carry the vent of the sump to the open air.")
	}
}

// backwaterUse is what lies how high to the water of a backed-up sewer.
type backwaterUse struct {
	low     someRuns // lower, and behind no valve
	high    someRuns // higher, and behind a valve
	unknown someRuns // of no known rim on a floor that lies lower
	valves  int
}

// backwater judges which fixtures a backwater valve must keep from the water of the public
// sewer, which when it backs up stands as high as the cover of the next manhole upstream,
// and which it must not.
func (j *judge) backwater() {
	t, sys, flood := j.tree, &j.layout.Systems[j.system], j.layout.UpstreamManhole
	if sys.Kind != Soil && sys.Kind != Waste || sys.Outlet.Kind == ToSump || sys.Outlet.Kind == ToTank {
		return
	}
	behind := j.work.flag(0, j.system) // drains through a valve
	var use backwaterUse
	for _, i := range slices.Backward(j.order) {
		if behind[i] = behind[t.parent[i]]; t.point(i).Backwater {
			behind[i] = true
			use.valves++
		}
	}
	if flood == nil {
		if use.valves > 0 {
			j.Ask("backwater-valve", sys.ID, tables.Designer, "A backwater valve is drawn in system "+sys.ID+
				", and the layout does not say how high the cover of the next manhole upstream lies.",
				"Give its elevation (upstream_manhole), which tells what must drain through the valve and what must not.")
		}
		return
	}
	for i, pt := range j.points() {
		if pt.Fixture == nil {
			continue
		}
		rim := rimsAt(j.layout, pt)
		switch given := rim.stated || rim.floor; {
		case !given && j.layout.FinishedFloor < *flood && !behind[i]:
			use.unknown.add(pt.ID)
		case !given:
		case rim.highest < *flood && !behind[i]:
			use.low.add(pt.ID)
		case rim.highest >= *flood && behind[i]:
			use.high.add(pt.ID)
		}
	}
	j.backwaterSays(sys, *flood, &use)
}

func (j *judge) backwaterSays(sys *System, flood units.Length, use *backwaterUse) {
	const rule = "backwater-valve"
	cover := "the cover of the next manhole upstream, " + j.fromFloor(flood)
	say := func(who *someRuns, row, side, reason, fix string) {
		if who.count == 0 {
			return
		}
		reason = "System " + sys.ID + ", " + who.String() + ": the flood rim lies " + side + " " + cover + reason
		yes, cite := j.says(row)
		if !yes {
			j.Ask(rule, sys.ID, tables.Authority, reason+"; the tables of this code say nothing of it.", fix, cite)
			return
		}
		j.fails(sided(rule, sys.ID, side, cite), reason+".", fix)
	}
	say(&use.low, "backwater-below", "below", ", and no backwater valve keeps a backed-up sewer out",
		"Lead these through a backwater valve of their own branch, and nothing else.")
	say(&use.high, "backwater-above", "above", ", and what drains there backs up behind the backwater valve when it shuts",
		"Drain these to the line downstream of the valve, and leave behind it what lies below that cover.")
	if use.unknown.count > 0 {
		j.Ask(rule, sys.ID, tables.Designer, "System "+sys.ID+", "+use.unknown.String()+": the floor lies below "+cover+
			", and the flood rim is not given.", "Give the flood rim (flood_rim).")
	}
	if use.low.count+use.high.count+use.unknown.count == 0 && use.valves > 0 {
		_, cite := j.says("backwater-below")
		j.Holds(true, on(rule, sys.ID, cite), func() finding.Words {
			return finding.Words{Reason: "In system " + sys.ID +
				" what could be flooded from the sewer, and nothing else, drains through a backwater valve."}
		})
	}
}
