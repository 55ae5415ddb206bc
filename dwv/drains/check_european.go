package drains

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// litres is a flow that prints itself in litres a second, as EN 12056-2 counts, to the
// hundredth.
type litres units.Flow

func (q litres) String() string {
	return strconv.FormatFloat(math.Round(float64(units.Flow(q)/units.LitrePerSecond)*100)/100, 'f', -1, 64) + " L/s"
}

// europeanSystems judges a layout that EN 12056-2 sized: flows, branches, and what goes by the
// job whatever the code.
func (j *judge) europeanSystems() {
	m := j.sizing.european.stated.choices()
	for sys := range int32(j.tree.outlets) {
		if j.ctx.Err() != nil {
			return
		}
		j.system, j.order = sys, j.tree.of(sys)
		j.lo, j.hi = j.tree.span(sys)
		for i, pt := range j.points() {
			j.europeanLoad(i, pt, &m)
			j.reduction(i, pt)
			j.apart(i, pt)
			j.onPlan(i, pt)
			j.riserTop(i, pt)
			if pt.Interceptor != nil {
				j.interceptor(i, pt)
			}
		}
		j.branches(&m)
		j.stacksApart(&m)
		j.outlet(sys)
		j.mainDrains()
		j.gravity()
		j.deadEnds()
		j.grease()
		j.sewerCover()
		j.sump()
		j.backwater()
		j.stubs()
		if j.layout.CableReach > 0 {
			j.access.fill(j.sizing, sys)
			j.cleanoutReach()
		}
	}
	j.europeanVents()
	j.openChoices(&m)
	j.assumedJoins()
	j.apartWords()
	j.droppedRows()
	j.footings()
	j.crossings()
	j.obstacles()
}

// europeanVents sets the size of each vent as drawn against the one that goes with its branch
// or stack.
func (j *judge) europeanVents() {
	for k := range j.layout.Vents {
		v := &j.sizing.vents[k]
		j.ventByJob(v)
		if !v.Drawn || v.Err != nil || v.Required == 0 {
			continue
		}
		j.sizeAtLeast(on("vent-size", v.Vent, v.Citation), v.Size, v.Required, func() finding.Words {
			return finding.Words{What: j.Text("The vent of a pipe of %v", nominal(v.Drain)),
				Fix: "Enlarge the vent over its whole length."}
		})
	}
}

// europeanLoad sets the flow of a run against what the pipe laid carries.
func (j *judge) europeanLoad(i int32, pt *Point, m *method) {
	s := j.sizing
	u := s.european
	r := &u.runs[int(i)-j.tree.outlets]
	from := s.shortAt(i)
	if from == i {
		what := "what stands"
		fix := `Say which appliance of the standard it is ("as" of "european"), or ask the maker for its flow.`
		if more, why := beyondStandard(pt); why != nil {
			what, fix = more, "Draw as fixtures of this drain what is to be counted there."
		}
		j.Ask("drain-flow", pt.ID, tables.Designer,
			sentence(j.Text("Nothing is counted for %s at %s: %s", what, pt.ID, oneLine(s.unrated[i]))), fix)
	}
	if pt.Fixture != nil && s.unrated[i] == nil {
		j.otherControl(pt, r, m)
	}
	if r.alone != nil && r.Part == dwv.Branch && r.alone.err == nil {
		return // by its size, see branchesAlone
	}
	if r.Flow == 0 {
		return
	}
	if r.Part == dwv.Drain && pt.Run.Part == 0 && s.size[i] < s.required[i] && s.decided[i] == DecidedByLoad &&
		j.collects(i, r, m) {
		return
	}
	pipe, err := m.laid12056(u.standard, r, pt.Run.Grade, s.size[i])
	size := nominal(s.size[i]).String() + " "
	if s.size[i] == 0 {
		err, size = s.failed[i], ""
	} else if err != nil && r.Problem == "" {
		cite := s.cite[i]
		if cite.IsZero() { // as large as what lies upstream
			cite = r.Citation
		}
		j.sizeAtLeast(on("drain-flow", pt.ID, cite), s.size[i], s.required[i], func() finding.Words {
			return finding.Words{What: j.Text("The %s for %v (a size that the table lacks)", r.kind(), litres(r.Flow)),
				Fix: j.Text("Lay %v.", nominal(s.required[i]))}
		})
		return
	}
	if err != nil {
		j.Ask("drain-flow", pt.ID, tables.Authority,
			sentence(j.Text("The %s%s at %s carries %v and cannot be judged by the tables: %v", size, r.kind(), pt.ID,
				litres(r.Flow), err)),
			"Choose a size and grade of the tables, or work the flow by another method and have it approved.")
		return
	}
	words := func() finding.Words {
		return finding.Words{What: j.Text("The flow (%s) of the %s%s", r.worked(m), size, r.kind()), Off: "too much",
			Fix: j.Text("Lay %v.", nominal(s.required[i]))}
	}
	// A flow is set against a printed one as exactly as that is printed.
	flow, most := litres(r.Flow), litres(pipe.MaxFlow)
	margin := most - flow
	holds := float64(margin) >= -1e-6*float64(units.LitrePerSecond)
	switch {
	case from < 0 || !holds:
		finding.Compare(j.Judge, on("drain-flow", pt.ID, pipe.Citation), finding.Compared[litres]{Value: flow, Limit: most,
			Margin: margin, Passes: holds, Left: float64(margin), Called: "limit"}, words)
	case from != i: // what stands here itself is asked about already
		j.Add(tables.Finding{Rule: "drain-flow", Place: pt.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Value: flow, Limit: most, Margin: margin, Citation: pipe.Citation, Fix: "Settle the load there first.",
			Reason: j.Text("%s at %s is %v; limit %v. Nothing is counted for what stands at %s.", words().What, pt.ID,
				flow, most, j.id(from))})
	}
}

// otherControl asks about a fixture that is flushed otherwise than the standard rates it: of water
// closets the table has those with a cistern alone.
func (j *judge) otherControl(pt *Point, r *EuropeanRun, m *method) {
	f := pt.Fixture
	rated := j.sizing.european.standard.Appliances(m.System, m.as(f).Kind)
	if f.Control == 0 || len(rated) == 0 || slices.ContainsFunc(rated, func(a en12056.Appliance) bool {
		return a.Control == 0 || a.Control == f.Control
	}) {
		return
	}
	j.Ask("discharge-method", pt.ID, tables.Authority,
		j.Text("The %s at %s is flushed by a %v, and the standard's table has those with a %v alone: %v are counted, as "+
			"of that.", spaced(f.Kind), pt.ID, f.Control, rated[0].Control, r.Own),
		"Ask the authority what it counts, or the maker for the flow.", r.OwnCitation)
}

// stacksApart asks, in the system in which closets and urinals have stacks of their own, about
// each stack that takes something else with them.
func (j *judge) stacksApart(m *method) {
	if m.System != "IV" {
		return
	}
	soil, other := map[int32]int32{}, map[int32]int32{} // by node, one more than a node that drains there
	for _, i := range j.order {
		pt, p := j.tree.point(i), j.tree.parent[i]
		if f := pt.Fixture; f != nil && (dwv.ClosetsOf(f.Kind) > 0 || fixture.IsUrinal(f.Kind)) {
			soil[i] = i + 1
		} else if f != nil {
			other[i] = i + 1
		}
		foot := pt.Run.Vertical && (j.tree.point(p) == nil || !j.tree.point(p).Run.Vertical)
		if s, o := soil[i], other[i]; foot && s > 0 && o > 0 {
			a, b := j.tree.point(s-1), j.tree.point(o-1)
			j.Ask("discharge-method", pt.ID, tables.Designer,
				j.Text("Stack %s takes the %s at %s and the %s at %s; in system IV water closets and urinals have a stack of "+
					"their own.", pt.ID, spaced(a.Fixture.Kind), a.ID, spaced(b.Fixture.Kind), b.ID),
				"Part the stacks, or name the system that it is (european: system).")
		}
		if soil[p] == 0 || soil[i] > 0 && j.id(soil[i]-1) < j.id(soil[p]-1) {
			soil[p] = soil[i]
		}
		if other[p] == 0 || other[i] > 0 && j.id(other[i]-1) < j.id(other[p]-1) {
			other[p] = other[i]
		}
	}
}

// collects asks about pipe below the building that brings several fixtures together and is
// smaller than the tables of drains begin: it may be meant as a branch that collects.
func (j *judge) collects(i int32, r *EuropeanRun, m *method) bool {
	as := *r
	as.Part = dwv.Branch
	pipe, err := m.laid12056(j.sizing.european.standard, &as, j.tree.point(i).Run.Grade, j.sizing.size[i])
	if err != nil || r.Closets > 0 || r.Flow > pipe.MaxFlow {
		return false
	}
	j.Ask("drain-flow", j.id(i), tables.Designer,
		j.Text("The flow of the %v run at %s is %v: as a drain it needs %v, as a branch that collects it carries up to %v.",
			nominal(j.sizing.size[i]), j.id(i), litres(r.Flow), nominal(j.sizing.required[i]), litres(pipe.MaxFlow)),
		`Say which it is ("part" of the run), or lay the larger.`, pipe.Citation)
	return true
}

// worked says how a flow came about.
func (r *EuropeanRun) worked(m *method) string {
	text := fmt.Sprintf("K by %s use of %v", m.Usage, r.Sum)
	if r.ByLargest {
		text = fmt.Sprintf("the largest appliance, of %v", r.Sum)
	}
	if r.Continuous > 0 {
		text += fmt.Sprintf(" and %v steady", litres(r.Continuous))
	}
	return text
}

// kind says what a run is to the tables.
func (r *EuropeanRun) kind() string {
	switch {
	case r.Part != dwv.Branch:
		return r.Part.String()
	case r.Vented:
		return "ventilated branch"
	}
	return "unventilated branch"
}

// branches holds each branch to what the standard allows of its length, its drop, its bends
// and its grade.
func (j *judge) branches(m *method) {
	t, u := j.tree, j.sizing.european
	ways := j.sizing.branchWays(j.system)
	if m.System == "III" {
		j.branchesAlone(ways)
		return
	}
	var limits [2]en12056.BranchLimits
	for k := range limits {
		var err error
		if limits[k], err = u.standard.BranchLimits(m.System, k == 1); err != nil {
			j.Ask("branch-length", j.layout.Systems[j.system].ID, tables.Authority,
				sentence(j.Text("Branches of system %s are not judged: %v", m.System, err)),
				"Ask the authority what it allows them.")
			return
		}
	}
	for _, i := range slices.Backward(j.order) {
		end := u.end[i]
		if j.sizing.part[i] != dwv.Branch {
			continue
		}
		pt, limit := t.point(i), &limits[0]
		if u.vented[end] {
			limit = &limits[1]
		}
		if pt.drainsIn() {
			j.branch(i, &ways[i-j.lo], j.limitsOf(limit, j.sizing.size[i]))
		}
		if g, cite, err := j.code.RuleGrade(limit.MinGrade.ID); err == nil && !pt.Run.Vertical {
			j.leastGrade(on("drain-grade", pt.ID, cite), pt.Run.Grade, dwv.GradeLimit{Least: g, Citation: cite})
		}
	}
}

// branchesAlone holds the branches of system III each to the row of its appliance.
func (j *judge) branchesAlone(ways []en12056.Way) {
	t, u := j.tree, j.sizing.european
	for _, i := range slices.Backward(j.order) {
		end := u.end[i]
		if j.sizing.part[i] != dwv.Branch {
			continue
		}
		pt, b := t.point(i), u.runs[int(i)-t.outlets].alone
		if last := u.runs[int(end)-t.outlets].alone; last.Appliances > 1 {
			b = last // all that share it are held to what they share
		}
		if b.err != nil {
			continue
		}
		if pt.drainsIn() {
			j.branchAlone(i, pt, b, &ways[i-j.lo])
		}
		if !pt.Run.Vertical {
			j.gradeAlone(pt, b)
		}
	}
}

// branchAlone judges one way from an appliance to the end of its branch in system III.
func (j *judge) branchAlone(i int32, pt *Point, b *aloneBranch, way *en12056.Way) {
	s := j.sizing
	if b.fitted {
		j.Ask("drain-size", pt.ID, tables.Designer,
			j.Text("The outlet of the %s at %s is not given; on %v it may be %v at most.", spaced(pt.Fixture.Kind), pt.ID,
				nominal(s.size[i]), b.MaxOutlet.Value), `Give its size ("size" of the fixture).`, b.Citation)
	} else if s.size[i] >= b.Size {
		j.sizeAtLeast(on("drain-size", pt.ID, b.Citation), s.size[i], b.Size,
			finding.Say("The "+s.european.runs[int(i)-j.tree.outlets].kind(), "", ""))
	}
	if seal := pt.Trap; seal != nil && seal.Seal > 0 {
		finding.AtLeast(j.Judge, on("trap-seal", pt.ID, b.Citation), seal.Seal, b.TrapSeal,
			finding.Say("The trap seal", "too shallow", "Fit a trap with a deeper seal."))
	}
	held := *way // its grade is judged by itself
	held.Grade, _ = b.MinGrade.Get()
	if b.Larger(s.size[i]) && !b.Keeps(held) {
		what := j.Text("is %v long", way.Length)
		if way.Drop > 0 {
			what += j.Text(", drops %v", way.Drop)
		}
		j.Ask("branch-length", pt.ID, tables.Authority,
			j.Text("The branch at %s %s and has %d bends: more than the table allows on %v, and it says nothing of %v.", pt.ID,
				what, way.Bends, nominal(b.Size), nominal(s.size[i])),
			"Ask what is allowed on the larger pipe, or keep to the limits of the smaller.", b.Citation)
		return
	}
	j.branch(i, way, branchLimits{length: b.MaxLength, drop: b.MaxDrop, bends: b.MaxBends, atLength: b.Citation,
		atDrop: b.Citation, atBends: b.Citation})
}

// gradeAlone judges the grade of a run of a branch in system III.
func (j *judge) gradeAlone(pt *Point, b *aloneBranch) {
	g, m := pt.Run.Grade, on("drain-grade", pt.ID, b.Citation)
	least, _ := b.MinGrade.Get()
	switch {
	case !b.OnGraph():
		j.leastGrade(m, g, dwv.GradeLimit{Least: least, Citation: b.Citation})
	case g.Compare(least) < 0:
		j.Ask("drain-grade", pt.ID, tables.Authority,
			j.Text("The run at %s falls %v; the graph for %v begins at %v.", pt.ID, g, nominal(b.Size), least),
			"Ask what length goes with that grade, lay it steeper, or lay the next size.", b.Citation)
	}
	if most, held := b.MaxGrade.Get(); held {
		m.Side = "steepest"
		j.gradeAtMost(m, g, most, finding.Say("The grade of the branch", "too steep", j.Text("Lay it at %v.", most)))
	}
}

// squareTurn is from what turn a bend counts as one of 90 degrees: some are made of 87.5.
const squareTurn = 85_000

// branchLimits are what a branch may have at most, so far as anything is said.
type branchLimits struct {
	length, drop     tables.Cell[units.Length]
	bends            tables.Cell[int64]
	atLength, atDrop tables.Citation
	atBends          tables.Citation
}

// limitsOf finds the figures of the limits of a branch of a size.
func (j *judge) limitsOf(l *en12056.BranchLimits, size units.Length) (b branchLimits) {
	of := func(id string) (cell tables.Cell[units.Length], cite tables.Citation) {
		if most, cite, ok := j.length(id); ok {
			return tables.Cell[units.Length]{Kind: tables.Value, Value: most}, cite
		}
		return cell, cite
	}
	b.length, b.atLength = of(l.MaxLength.ID)
	if b.drop, b.atDrop = of(l.MaxDrop.ID); l.MaxDropSmall.ID != "" && size <= 70*units.Millimetre {
		b.drop, b.atDrop = of(l.MaxDropSmall.ID)
	}
	if most, err := strconv.ParseInt(l.MaxBends.Value, 10, 64); err == nil {
		b.bends, b.atBends = tables.Cell[int64]{Kind: tables.Value, Value: most}, l.MaxBends.Cite
	}
	return b
}

// branch judges one way from a point to the end of its branch.
func (j *judge) branch(i int32, way *en12056.Way, limits branchLimits) {
	id, kind := j.id(i), j.sizing.european.runs[int(i)-j.tree.outlets].kind()
	const vent = "Shorten it, or vent it."
	if most, held := limits.length.Get(); held {
		finding.AtMost(j.Judge, on("branch-length", id, limits.atLength), way.Length, most,
			finding.Say("The length of the "+kind, "too long", vent))
	}
	if most, held := limits.drop.Get(); held {
		finding.AtMost(j.Judge, on("branch-drop", id, limits.atDrop), way.Drop, most,
			finding.Say("The drop of the "+kind, "too far", vent))
	}
	if most, held := limits.bends.Get(); held {
		j.counts(on("branch-bends", id, limits.atBends), way.Bends, int(most),
			finding.Say("bends of 90 degrees drawn on the "+kind+" at "+id+", beside the one at the appliance", "", vent))
	}
}

// openChoice is one that the layout leaves open, and what else it may be.
type openChoice struct {
	field, what, taken string
	settler            tables.Settler
	others             []method
	named              []string
}

// openChoices tells what is assumed, and asks where another answer would give another size.
func (j *judge) openChoices(m *method) {
	s := j.sizing
	base, err := s.solveEuropean(j.ctx, *m, nil)
	if err != nil {
		return // it was worked before, or the work was called off
	}
	for _, o := range j.choicesOpen(m) {
		var changed []string
		for k := range o.others {
			runs, err := s.solveEuropean(j.ctx, o.others[k], nil)
			if err != nil {
				continue
			}
			if at := s.otherSize(base, runs); at >= 0 {
				changed = append(changed, j.changedTo(o.named[k], &runs[at]))
			}
		}
		if len(changed) == 0 {
			j.Assume("discharge-method", j.job(), o.what+": "+o.taken, o.field)
			continue
		}
		j.Ask("discharge-method", j.job(), o.settler,
			j.Text("The %s is not stated, and %s is taken; with another the sizes change (%s).", o.what, o.taken,
				strings.Join(changed, "; ")), j.Text(`State it (%s).`, o.field))
	}
}

// changedTo says what becomes of a run by another choice.
func (j *judge) changedTo(choice string, r *EuropeanRun) string {
	if r.Problem != "" {
		return j.Text("%s: the tables have none for %s", choice, r.Point)
	}
	return j.Text("%s: %s needs %v", choice, r.Point, nominal(r.Required))
}

// otherSize returns the place of the run, of several the first by id, that comes out
// otherwise: of another size where none is drawn, or of one that what is drawn meets by the
// one and not by the other; -1 if there is none.
func (s *Sizing) otherSize(base, runs []EuropeanRun) int {
	at := -1
	for k := range runs {
		drawn := s.tree.points[k].Run.Size
		meets := func(r *EuropeanRun) bool { return r.Problem == "" && drawn >= r.Required }
		other := drawn == 0 && runs[k].Required != base[k].Required || drawn > 0 && meets(&runs[k]) != meets(&base[k])
		if other && (at < 0 || runs[k].Point < runs[at].Point) {
			at = k
		}
	}
	return at
}

// choicesOpen lists what the layout leaves open.
func (j *judge) choicesOpen(m *method) (list []openChoice) {
	u := j.sizing.european
	add := func(stated, field, what, taken string, settler tables.Settler, words []string, set func(*method, string)) {
		if stated != "" {
			return
		}
		o := openChoice{field: field, what: what, taken: taken, settler: settler}
		for _, w := range words {
			if w != taken {
				other := *m
				set(&other, w)
				o.others, o.named = append(o.others, other), append(o.named, w)
			}
		}
		list = append(list, o)
	}
	add(u.stated.System, "european.system", "drainage system", m.System, tables.Authority, []string{"I", "II", "IV"},
		func(o *method, w string) { o.System = w })
	add(u.stated.Usage, "european.usage", "use of the appliances", m.Usage, tables.Designer,
		tables.IDs(u.standard.Usages()), func(o *method, w string) { o.Usage = w })
	if slices.Contains(j.sizing.part, dwv.Stack) {
		add(u.stated.StackVent, "european.stack_vent", "vent of the stacks", m.StackVent, tables.Designer,
			[]string{"primary", "secondary"}, func(o *method, w string) { o.StackVent = w })
		add(u.stated.StackEntry, "european.stack_entry", "form of the entries into stacks", m.StackEntry, tables.Designer,
			[]string{"square", "swept"}, func(o *method, w string) { o.StackEntry = w })
	}
	for _, pt := range j.openKinds(m) {
		f := pt.Fixture
		other := *m
		other.least = f.Kind
		high, low := m.rate(u.standard, f), other.rate(u.standard, f)
		if low.each != high.each {
			list = append(list, openChoice{field: "fixture of " + pt.ID + ", or european.as",
				what: "variant of " + strings.ReplaceAll(f.Kind, "-", " "), taken: high.each.String(),
				settler: tables.Designer, others: []method{other}, named: []string{low.each.String()}})
		}
	}
	return list
}

// openKinds returns for each kind of fixture of which the standard knows more than one
// appliance, and the layout does not say which, the first point by id.
func (j *judge) openKinds(m *method) []*Point {
	first := map[string]*Point{}
	for _, pt := range j.tree.points {
		f := pt.Fixture
		if f == nil || first[f.Kind] != nil && first[f.Kind].ID < pt.ID {
			continue
		}
		if r := m.rate(j.sizing.european.standard, f); len(r.open) > 1 {
			first[f.Kind] = pt
		}
	}
	list := slices.Collect(maps.Values(first))
	slices.SortFunc(list, func(a, b *Point) int { return visible.Counted(a.ID, b.ID) })
	return list
}
