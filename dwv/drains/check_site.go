package drains

import (
	"cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// site judges pipe, fittings, footings and stubs: what the crew meets in the trench.
func (j *judge) site() {
	var open openStubs
	for i := j.lo; i < j.hi; i++ {
		pt := j.tree.point(i)
		j.fittings(i, pt)
		if pt.StubUp > 0 {
			j.stubUp(pt, &open)
		}
		j.riserTop(i, pt)
		if pt.ThroughWall {
			j.sewerStart(i, pt)
		}
	}
	j.askStubs(&open)
	j.stackBases()
}

func (j *judge) footings() {
	for k := range j.layout.Footings {
		j.footing(&j.layout.Footings[k])
	}
}

// materialUse is one material used in one way in one system.
type materialUse struct {
	system   int32
	material string
	sewer    bool
}

// materials judges each pipe below the floor, once for each system and use. Runs
// that name no material are asked about, once for each system.
func (j *judge) materials() {
	var uses []materialUse
	var runs []someRuns
	at := make(map[materialUse]int)
	last := -1
	for i := int32(j.tree.outlets); int(i) < j.tree.len(); i++ {
		if j.sizing.above[i] {
			continue
		}
		pt := j.tree.point(i)
		m := pt.Run.Material
		u := materialUse{j.tree.system[i], m, m != "" && j.sizing.part[i] == dwv.Sewer}
		if last < 0 || u != uses[last] {
			k, ok := at[u]
			if !ok {
				k = len(uses)
				at[u], uses, runs = k, append(uses, u), append(runs, someRuns{})
			}
			last = k
		}
		runs[last].add(pt.ID)
	}
	for k := range uses {
		j.material(uses[k], &runs[k])
	}
}

func (j *judge) material(u materialUse, runs *someRuns) {
	place := j.layout.Systems[u.system].ID
	if u.material == "" {
		j.Ask("drain-material", place, tables.Designer, j.text("no material is given for %s", runs),
			"Name the pipe of each run, so that it can be held against what the code takes below the slab.",
			tables.Citation{})
		return
	}
	family, ok := j.sizing.pipes.Family(u.material)
	if !ok {
		j.Ask("drain-material", place, tables.Authority,
			j.text("the pipe %q of %s is not on the shelf", u.material, runs), "Ask whether the code takes it there.",
			tables.Citation{})
		return
	}
	standard, err := j.code.PipeStandard(family.Standard)
	if err != nil {
		j.Ask("drain-material", place, tables.Authority, j.text("%s of %s: %v", family.What, runs, err),
			"Ask whether the code takes it there.", tables.Citation{})
		return
	}
	verdict, where := standard.BelowSlab, "as a drain below the slab"
	if u.sewer {
		verdict, where = standard.Sewer, "as a building sewer"
	}
	pipe := j.text("%s (%s wall) of %s", family.What, standard.Wall, runs)
	f := tables.Finding{Rule: "drain-material", Place: place, Verdict: verdict, Value: word(family.Standard),
		Citation: standard.Citation,
		Reason:   j.text("the code takes %s %s", pipe, where)}
	switch {
	case verdict == tables.Fail:
		f.Reason = j.text("the code does not take %s %s", pipe, where)
		f.Fix = "Lay pipe of a standard the code takes there."
	case verdict != tables.Pass:
		f.Verdict, f.SettledBy, f.Reason = tables.Ask, tables.Authority,
			j.text("the shelf does not say whether the code takes %s %s", pipe, where)
		f.Fix = "Ask the authority."
	case standard.Wall == "cellular" && !u.sewer:
		f.Verdict, f.SettledBy, f.Reason = tables.Ask, tables.Authority,
			f.Reason+"; some localities bar cellular core under a slab"
		f.Fix = "Ask whether the locality bars it."
	}
	j.add(f)
}

// fittings judges each named fitting by the turn the flow makes in it, which may
// make of an allowed fitting one that is not.
func (j *judge) fittings(i int32, pt *Point) {
	if pt.Run.Into == "" && len(pt.Run.Fittings) == 0 {
		return
	}
	single := j.tree.first[i] < 0 && pt.Fixture != nil
	turn := dwv.HorizontalToHorizontal
	if !pt.Run.Vertical {
		for _, name := range pt.Run.Fittings {
			j.fitting(pt.ID, name, turn, j.sizing.size[i], single)
		}
	}
	if pt.Run.Into == "" {
		return
	}
	next := j.tree.point(j.tree.parent[i])
	switch {
	case next == nil:
		return
	case pt.Run.Vertical && !next.Run.Vertical:
		turn = dwv.VerticalToHorizontal
	case !pt.Run.Vertical && next.Run.Vertical:
		turn = dwv.HorizontalToVertical
	case pt.Run.Vertical:
		return // straight down a stack
	}
	j.fitting(pt.ID, pt.Run.Into, turn, j.sizing.size[i], single)
}

func (j *judge) fitting(place, name string, turn dwv.Turn, size units.Length, single bool) {
	ok, cite, err := j.code.FittingTurn(name, turn, size, single)
	if err != nil {
		j.Ask("fitting-turn", place, tables.Authority, err.Error(),
			"Ask whether the code takes this fitting for this turn.", tables.Citation{})
		return
	}
	f := tables.Finding{Rule: "fitting-turn", Place: place, Verdict: tables.Pass, Value: word(name), Citation: cite,
		Reason: j.text("a %v %s may turn the flow %v", nominal(size), name, turn)}
	if !ok {
		f.Verdict = tables.Fail
		f.Reason = j.text("a %v %s may not turn the flow %v", nominal(size), name, turn)
		f.Fix = "Use a wye and an eighth bend, or a long sweep."
	} else if j.skips(cite) {
		return
	}
	j.add(f)
}

// sewerStart asks about a run that leaves the building and goes on as a drain
// farther than the code lets it.
func (j *judge) sewerStart(i int32, pt *Point) {
	most, cite, ok := j.length("drain-beyond-wall")
	if !ok || j.sizing.part[i] == dwv.Sewer || pt.Run.Length <= most {
		return
	}
	j.Ask("drain-becomes-sewer", pt.ID, tables.Designer,
		j.text("the run that leaves the building here is %v long; from %v beyond the wall on the code calls it a "+
			"building sewer", pt.Run.Length, most),
		"If it goes farther than that, draw the rest as a sewer, so that the rules of sewers are held to it.", cite)
}

// stackBases keeps branches off the drain just downstream of the foot of a stack,
// where the flow jumps.
func (j *judge) stackBases() {
	diameters, cite, ok := j.number("stack-base-clearance", "pipe diameters")
	if !ok {
		return
	}
	t := j.tree
	// Of the stacks whose discharge passes a node foot is the one that wants the most
	// room there, and way the length down from its foot. A riser to one fixture is no
	// stack: forked tells where more than one line comes together, or upstream of there.
	way, foot, forked := j.work.length(0, j.system), j.work.node(0, j.system), j.work.flag(0, j.system)
	foot[j.system] = -1
	for i := j.lo; i < j.hi; i++ {
		foot[i] = -1
	}
	room := func(stack int32) units.Length { return scale(j.sizing.size[stack], diameters) }
	for _, i := range j.order {
		pt, p := t.point(i), t.parent[i]
		if forked[i] || t.next[t.first[p]] >= 0 {
			forked[p] = true
		}
		next := t.point(p)
		if next == nil || next.Run.Vertical {
			continue
		}
		stack, down := foot[i], way[i]+pt.Run.Length
		if pt.Run.Vertical {
			if stack, down = i, 0; !forked[i] {
				continue
			}
		}
		if stack < 0 {
			continue
		}
		wants := foot[p] < 0
		if !wants {
			more := cmp.Or(cmp.Compare(room(stack)-down, room(foot[p])-way[p]), cmp.Compare(way[p], down))
			wants = more > 0 || more == 0 && j.sizing.carriesOn(stack, foot[p])
		}
		if wants {
			way[p], foot[p] = down, stack
		}
	}
	for i := j.lo; i < j.hi; i++ {
		p := t.parent[i]
		pt, next := t.point(i), t.point(p)
		// A horizontal run that joins a drain which a stack's discharge passes.
		if next == nil || next.Run.Vertical || pt.Run.Vertical || foot[p] < 0 || foot[i] == foot[p] ||
			j.sizing.above[i] {
			continue
		}
		stack := foot[p]
		clear := room(stack)
		if way[p] == 0 {
			j.Ask("stack-base-branch", pt.ID, tables.Designer,
				j.text("this branch joins at the very foot of the stack %s", j.id(stack)),
				j.text("Join it %v or more downstream.", clear), cite)
			continue
		}
		j.atLeast("stack-base-branch", pt.ID, way[p], clear, cite,
			j.text("the way from the foot of the stack %s down to where this branch joins", j.id(stack)),
			"Join the branch farther downstream.")
	}
}

// footing judges one meeting of a run with a footing or thickening.
func (j *judge) footing(f *Footing) {
	i := j.tree.index[f.Run]
	run := &j.tree.point(i).Run
	pipe := j.sizing.pipe[i]
	invert := j.levels.upper[i]
	if !run.Vertical {
		invert -= run.Grade.Over(f.Along)
	} else {
		invert -= f.Along
	}
	top, bottom := invert+pipe.Bore+pipe.Wall, invert-pipe.Wall
	under := j.layout.FinishedFloor - f.Bottom
	switch f.Kind {
	case FootingUnder:
		j.atLeast("footing-clearance", f.ID, under-top, f.Clear, tables.Citation{},
			j.text("the room between the underside of the footing and the top of the pipe from %s", f.Run),
			"Lay the pipe deeper, or pass through the footing in a sleeve with the designer's consent.")
	case FootingThickening:
		j.atLeast("slab-thickening", f.ID, under-top, j.layout.MinimumCover, tables.Citation{},
			j.text("the room between the underside of the thickened slab and the top of the pipe from %s", f.Run),
			"Lay the pipe deeper there, or sleeve it through with the designer's consent.")
	case FootingThrough:
		j.sleeve(f, i)
	case FootingBeside:
		j.beside(f, bottom-j.layout.Bedding, under)
	}
}

// sleeve sets a sleeve against the pipe in it. A code counts in pipe sizes: a sleeve
// of so many sizes more.
func (j *judge) sleeve(f *Footing, i int32) {
	size := j.sizing.size[i]
	sizes, cite, ok := j.number("wall-sleeve-oversize", "pipe sizes")
	if f.Sleeve == 0 {
		j.add(tables.Finding{Rule: "footing-sleeve", Place: f.ID, Verdict: tables.Fail, Citation: cite,
			Reason: j.text("the %v pipe from %s passes through concrete with no sleeve", nominal(size), f.Run),
			Fix:    "Set a sleeve or a relieving arch, with the designer's consent."})
		return
	}
	if !ok {
		j.sizeAtLeast("footing-sleeve", f.ID, f.Sleeve, size, tables.Citation{},
			j.text("the sleeve around the %v pipe from %s", nominal(size), f.Run), "Set a wider sleeve.")
		return
	}
	least := size
	for range int(sizes) {
		if least = j.code.MadeSize(least, true); least == 0 {
			j.Ask("footing-sleeve", f.ID, tables.Authority,
				j.text("the sleeve around the %v pipe from %s is %v; it must be %v sizes larger than the pipe, and "+
					"the code names none so large", nominal(size), f.Run, nominal(f.Sleeve), sizes),
				"Ask the authority which sleeve it takes.", cite)
			return
		}
	}
	j.sizeAtLeast("footing-sleeve", f.ID, f.Sleeve, least, cite,
		j.text("the sleeve around the %v pipe from %s", nominal(size), f.Run), "Set a wider sleeve.")
}

// beside keeps a trench out of the plane that falls from the edge of a footing.
func (j *judge) beside(f *Footing, trench, under units.Length) {
	deeper := under - trench
	degrees, cite, ok := j.number("footing-plane", "deg")
	if !ok {
		return
	}
	if degrees != 45 {
		j.Ask("footing-plane", f.ID, tables.Designer,
			j.text("the trench goes %v below the footing at a distance of %v, and the code's plane falls at %v degrees",
				deeper, f.Distance, degrees), "Hold the trench to that plane.", cite)
		return
	}
	// At 45 degrees the plane falls by the distance: grade 1 in 1.
	allowed := slope.OneIn(1).Over(f.Distance)
	j.atMost("footing-plane", f.ID, max(deeper, 0), allowed, cite,
		j.text("the depth of the trench of %s below the underside of the footing, %v away from it,", f.Run, f.Distance),
		"Move the trench away, or shore and backfill as the designer says.")
}
