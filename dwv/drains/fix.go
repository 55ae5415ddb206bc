package drains

import (
	"cmp"
	"context"
	"iter"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Fix is what can be done about a finding that fails, or would if the book agrees.
type Fix struct {
	Finding tables.Finding `json:"finding"`
	// Ways are changes of which each alone makes it pass, the smallest first; one that raises
	// questions, or needs the outlet lowered with it, stands behind. None: no change that was tried does.
	Ways []Way `json:"ways"`
}

// Way is a change to a layout that was tried: the layout was drawn with it, sized and
// judged again, and nothing fails that did not before.
type Way struct {
	Do string `json:"do"` // such as "Lay S9 to S8 at 1/4 in/ft."
	// Settles are the ids of all findings that no longer fail, Questions what is asked then
	// and was not before.
	Settles   []string         `json:"settles"`
	Questions []tables.Finding `json:"questions,omitempty"`

	sizing  *Sizing
	lowered bool // and the outlet with it
}

// Sizing returns the layout with the change made, sized; nil of a Way that was read from
// JSON.
func (w Way) Sizing() *Sizing { return w.sizing }

// Fixes finds for each finding that fails, in their order, the changes that put it right:
// move a vent, lay a run at another grade or of a larger size, raise or lower an outlet, add
// a cleanout. Where a change moves drains in height, risers are cut so that what stands
// above the floor stays where it is.
func (s *Sizing) Fixes(ctx context.Context, opt FitOptions) ([]Fix, error) {
	f, err := s.newFit(ctx, opt)
	if err != nil {
		return nil, err
	}
	list := []Fix{}
	for k := range f.base {
		if !fails(&f.base[k]) {
			continue
		}
		ways, err := f.ways(&f.base[k], false)
		if err != nil {
			return nil, err
		}
		list = append(list, Fix{f.shown(f.base[k : k+1])[0], ways})
	}
	return list, nil
}

// FixAll makes one change after the other until nothing fails for which one is known. It
// returns the changes in the order in which they are to be made, and the layout with all of
// them, sized: what still fails is for [Sizing.Check] to say.
func (s *Sizing) FixAll(ctx context.Context, opt FitOptions) ([]Way, *Sizing, error) {
	done := []Way{}
	for most := 1; len(done) < most; { // each change settles a fail, and adds none
		f, err := s.newFit(ctx, opt)
		if err != nil {
			return nil, nil, err
		}
		most = max(most, len(f.base))
		way, err := f.firstWay()
		if err != nil {
			return nil, nil, err
		}
		if way == nil {
			return done, s, nil
		}
		done, s = append(done, *way), way.sizing
	}
	return done, s, nil
}

// firstWay returns the first way of the first fail that has one, nil for none.
func (f *fit) firstWay() (*Way, error) {
	for k := range f.base {
		if !fails(&f.base[k]) {
			continue
		}
		ways, err := f.ways(&f.base[k], true)
		if err != nil {
			return nil, err
		}
		if len(ways) > 0 {
			return &ways[0], nil
		}
	}
	return nil, nil
}

// remedy is what is proposed for findings of some rules. Each change that comes of it is tried
// before it is told.
type remedy struct {
	rules string // parted by spaces
	side  string // of the finding, where it is for those of that side alone; noSide: for those of none
	needs need   // of the finding; without it there is nothing to propose
	// propose returns what to try, the smallest change first.
	propose func(x *problem) []change
	// A remedy that does one thing says it, sets it, and tells where it may; see problem.words.
	do       string
	may      func(x *problem) bool
	set      func(x *problem, d *Data)
	standing bool // see change
}

const noSide = "none"

// need is what a remedy has to know of a finding.
type need uint8

const (
	aPoint  need = 1 << iota // it stands at a point
	aVent                    // at a vent
	aSystem                  // in a system, or at what lies in one
	aLimit                   // its limit is a length
	aValue                   // what was measured is a length
	aLack                    // what lacks is a length
)

// change is something to try.
type change struct {
	do   string
	edit func(d *Data)
	// standing keeps risers as long as they are: the change is to one of them.
	standing bool
	// of names changes of one thing by ever more: of those the first that works will do.
	of string
}

// problem is a finding to be put right, with what remedies read of it.
type problem struct {
	*fit
	tables.Finding
	known need
	at    int32 // the point or the outlet it stands at, -1 for none
	vent  int   // the vent, -1 for none
	sys   int32 // the system, -1 for none

	value, limit units.Length // 0 where they are no lengths
	by           units.Length // what lacks, rounded up to a step
}

func (f *fit) problem(p *tables.Finding) *problem {
	x := &problem{fit: f, Finding: *p, at: -1, vent: f.ventIndex(p.Place), sys: f.systemOf(p.Place)}
	if i, ok := f.of.tree.index[p.Place]; ok {
		x.at = i
	}
	var hasLimit, hasValue bool
	x.value, hasValue = asLength(p.Value)
	x.limit, hasLimit = asLength(p.Limit)
	margin, hasMargin := asLength(p.Margin)
	x.by = f.up(-margin)
	for _, what := range [...]struct {
		need need
		ok   bool
	}{
		{aPoint, int(x.at) >= f.of.tree.outlets}, {aVent, x.vent >= 0}, {aSystem, x.sys >= 0}, {aLimit, hasLimit},
		{aValue, hasValue}, {aLack, hasMargin && margin < 0},
	} {
		if what.ok {
			x.known |= what.need
		}
	}
	return x
}

// point is the point that the finding stands at, in a copy of the data.
func (x *problem) point(d *Data) *Point { return x.fit.point(d, x.at) }

// words puts into what a remedy says the place of the finding and its figures.
func (x *problem) words(do string) string {
	print := x.opt.Print
	return strings.NewReplacer("{place}", inText(x.Place), "{limit}", print(x.limit), "{size}", print(nominal(x.limit)),
		"{by}", print(x.by), "{over}", print(x.value-x.limit), "{fall}", print(x.trap().Fall-x.value+x.limit)).Replace(do)
}

// changes returns what can be tried, in the order of the remedies.
func (x *problem) changes() iter.Seq[change] {
	return func(yield func(change) bool) {
		for k := range remedies {
			r := &remedies[k]
			if !slices.Contains(strings.Fields(r.rules), x.Rule) || r.side != "" && r.side != cmp.Or(x.Side, noSide) ||
				r.needs&^x.known != 0 || r.may != nil && !r.may(x) {
				continue
			}
			var list []change
			if r.set != nil {
				list = []change{{do: x.words(r.do), standing: r.standing, edit: func(d *Data) { r.set(x, d) }}}
			} else {
				list = r.propose(x)
			}
			for _, c := range list {
				if !yield(c) {
					return
				}
			}
		}
	}
}

// remedies are what is tried, by what they change. Of one rule they are tried in this order, the
// smallest change first.
var remedies = []remedy{
	// Traps.
	{rules: "trap-seal", needs: aPoint | aLimit, may: (*problem).hasTrap,
		do:  "Fit at {place} a trap with a seal of {limit}.",
		set: func(x *problem, d *Data) { x.point(d).Trap.Seal = x.limit }},
	{rules: "trap-tail", side: "offset", needs: aPoint | aLimit,
		do:  "Set the trap of {place} {over} nearer under the outlet of the fixture.",
		set: func(x *problem, d *Data) { x.point(d).Trap.Offset = x.limit }},
	{rules: "trap-tail", side: noSide, needs: aPoint | aLimit, may: func(x *problem) bool { return x.trap().Tail > 0 },
		do:  "Set the trap of {place} {over} higher, {limit} below the outlet of the fixture.",
		set: func(x *problem, d *Data) { x.point(d).Trap.Tail = x.limit }},
	{rules: "trap-arm-min-length", needs: aPoint | aLimit,
		may: func(x *problem) bool { return x.trap().Arm > 0 || !x.of.tree.point(x.at).Run.Vertical },
		do:  "Set the vent of {place} {by} farther from the trap.",
		set: func(x *problem, d *Data) {
			if pt := x.point(d); x.trap().Arm > 0 {
				pt.Trap.Arm += x.by
			} else {
				pt.Run.Length += x.by
			}
		}},
	{rules: "trap-arm-fall", needs: aPoint | aLimit,
		may: func(x *problem) bool { return x.trap().Fall > x.value-x.limit },
		do:  "Lay the trap arm of {place} flatter: {fall} of fall.",
		set: func(x *problem, d *Data) { x.point(d).Trap.Fall -= x.value - x.limit }},
	{rules: "drain-grade", side: "arm", needs: aPoint | aLimit,
		do:  "Let the trap arm of {place} fall {limit}.",
		set: func(x *problem, d *Data) { x.point(d).Trap.Fall = x.limit }},
	{rules: "standpipe-height", needs: aPoint | aLimit, may: (*problem).hasReceptor,
		do:  "Make the standpipe of {place} {limit} high.",
		set: func(x *problem, d *Data) { x.point(d).Receptor.Standpipe = x.limit }},
	{rules: "standpipe-trap-height", needs: aPoint | aLimit, may: (*problem).hasReceptor,
		do:  "Set the trap of the standpipe {place} {limit} above the floor.",
		set: func(x *problem, d *Data) { x.point(d).Receptor.TrapAboveFloor = x.limit }},
	{rules: "trap-size", needs: aPoint | aLimit, propose: largerTrap},

	// Grades and levels of drains. A run that lies too flat is laid steeper before it is laid
	// larger; one that is too small for what vents it the other way round.
	{rules: "drain-load", needs: aPoint, propose: steeper},
	{rules: "drain-grade", needs: aPoint, propose: toGrade},
	{rules: "gravity-depth drain-cover", propose: flatten},
	{rules: "trap-tail", needs: aPoint | aLack, propose: steepen},
	{rules: "gravity-depth drain-cover sewer-cover footing-clearance slab-thickening trap-room trap-tail sump-inlet",
		needs: aSystem | aLack, propose: moveOutlet},
	{rules: "trap-tail", needs: aPoint | aLack, propose: raiseTrap},
	{rules: "join-level", needs: aPoint,
		do:  "Join the pipe from {place} with the inverts level, by an eccentric part.",
		set: func(x *problem, d *Data) { x.point(d).Run.Join = slope.AtInvert }},
	{rules: "run-on-plan", needs: aPoint | aLimit,
		do:  "If the plan is right, the run from {place} is {limit} long.",
		set: func(x *problem, d *Data) { x.point(d).Run.Length = x.limit }},
	{rules: "backwater-valve", needs: aSystem, propose: setBackwater},

	// Sizes of drains.
	{rules: "drain-load drain-flow drain-closets drain-size drain-grade fixture-drain-size below-ground-size " +
		"size-reduction outlet-size main-drain-undiminished stack-interval-load stack-length small-stack-load " +
		"wet-vent-load common-vent-load combination-vent double-fitting", propose: enlarge},
	{rules: "wet-vent-vertical-size wet-vent-vertical-load", needs: aVent, propose: enlargeWetVent},
	{rules: "double-fitting", needs: aPoint, propose: enlargeNext},
	{rules: "double-fitting", needs: aPoint, propose: doubleFixtureFitting},
	{rules: "drain-size waste-stack-vent", propose: enlargeWasteStack},
	{rules: "combination-vent wet-vent-grade interceptor-grade circuit-vent-grade trap-arm-grade", needs: aPoint,
		propose: toGrade},

	// Branches under EN 12056-2, fittings, and where drains lead.
	{rules: "branch-length branch-drop", needs: aPoint | aLack, propose: shortenBranch},
	{rules: "branch-bends", needs: aPoint, propose: straighten},
	{rules: "fitting-turn", needs: aPoint, propose: otherFitting},
	{rules: "stack-base-branch", needs: aPoint | aLack, propose: fartherFromFoot},
	{rules: "dead-end", needs: aPoint, may: func(x *problem) bool { return x.of.tree.first[x.at] < 0 }, propose: takeOut},
	{rules: "stub-up", side: "riser", needs: aPoint | aLack, standing: true,
		do:  "Make the riser at {place} {by} longer.",
		set: func(x *problem, d *Data) { x.point(d).Run.lengthen(x.by) }},
	{rules: "stub-up", side: noSide, needs: aPoint | aLack | aLimit, propose: higherStub},

	// Interceptors and sumps.
	{rules: "grease-interceptor", needs: aPoint, propose: pastInterceptor},
	{rules: "grease-interceptor", needs: aPoint, propose: setInterceptor},
	{rules: "interceptor-capacity", needs: aPoint, propose: largerInterceptor},
	{rules: "interceptor-access", needs: aPoint,
		do:  "Bring the cover of the interceptor at {place} up to the floor by a riser of the maker's.",
		set: func(x *problem, d *Data) { x.point(d).Interceptor.CoverBelow = 0 }},
	{rules: "sump-vent", side: "valve", needs: aSystem, may: (*problem).hasSump,
		do:  "Carry the vent of the sump {place} on to the open air, in place of its valve.",
		set: func(x *problem, d *Data) { d.Systems[x.sys].Outlet.Sump.VentValve = false }},
	{rules: "sump-vent", side: noSide, needs: aSystem | aLimit, may: (*problem).hasSump,
		do:  "Vent the sump {place} in {size}.",
		set: func(x *problem, d *Data) { d.Systems[x.sys].Outlet.Sump.Vent = x.limit }},

	// Footings and what else lies in the ground.
	{rules: "footing-plane footing-sleeve", propose: setFooting},
	{rules: "obstacle-clearance drain-crossing footing-plane", needs: aSystem | aValue, propose: passObstacle},
	{rules: "obstacle-clearance", needs: aPoint, propose: inSleeve},
	{rules: "obstacle-clearance", needs: aVent | aValue, propose: ventPast},

	// Cleanouts.
	{rules: "cleanout-upper-end cleanout-turn cleanout-stack-base cleanout-urinal cleanout-junction cleanout-spacing " +
		"cleanout-reach", propose: addCleanout},
	{rules: "cleanout-turn", side: "run", needs: aPoint, propose: gentlerTurn},
	{rules: "cleanout-size", needs: aPoint | aLimit, do: "Fit a {size} cleanout at {place}.",
		set: func(x *problem, d *Data) { x.point(d).Cleanout.Size = x.limit }},
	{rules: "cleanout-clearance", needs: aPoint | aLimit, do: "Keep {limit} clear in front of the cleanout at {place}.",
		set: func(x *problem, d *Data) { x.point(d).Cleanout.Clearance = x.limit }},

	// Where vents are taken off.
	{rules: "trap-arm-length trap-arm-fall", needs: aPoint | aLack, may: (*problem).isServed, propose: nearer},
	{rules: "trap-arm-length trap-arm-fall", needs: aPoint, may: (*problem).isServed, propose: largerArm},
	{rules: "trap-arm-fall trap-arm-riser", needs: aPoint, may: (*problem).isServed, propose: beforeDrop},
	{rules: "trap-arm-turn", needs: aPoint, may: (*problem).isServed, propose: beforeTurn},
	{rules: "trap-arm-length trap-vented floor-drain-unvented combination-vent branch-length branch-drop branch-bends " +
		"wet-vent-arm", needs: aPoint, propose: func(x *problem) []change { return x.vented(x.at, x.limit) }},
	{rules: "wet-vent-fixtures", needs: aVent, propose: pastWetVent},
	{rules: "waste-stack-vent", side: "fixtures", needs: aVent, propose: pastWasteStack},
	{rules: "waste-stack-vent circuit-vent-fixtures wet-vent-load wet-vent-fixtures wet-vent-groups wet-vent-order " +
		"wet-vent-closets wet-vent-arm", propose: ventApart},
	{rules: "common-vent-load", side: "closet", needs: aVent, propose: ventApart},
	{rules: "vent-stack-needed", needs: aPoint, propose: besideStack},
	{rules: "stack-relief", needs: aPoint, propose: relieveStack},
	{rules: "circuit-vent-take-off", needs: aVent, propose: betweenFirst},
	{rules: "circuit-vent-relief", needs: aVent, propose: relieveCircuit},
	{rules: "drain-vent", needs: aSystem, propose: ventHead},

	// Sizes of vents, and how high they go.
	{rules: "vent-size vent-terminal", needs: aVent, may: (*problem).isOfSize,
		do: "Run the vent {place} in {size}.", set: func(x *problem, d *Data) { d.Vents[x.vent].Size = x.limit }},
	{rules: "future-vent", needs: aPoint | aLimit, may: (*problem).isServed, propose: func(x *problem) []change {
		return []change{x.ventIn(int(x.of.routes.serving[x.at]), x.limit, "")}
	}},
	{rules: "vent-flat-share", needs: aVent, propose: largerVent},
	{rules: "vent-terminal", needs: aVent, may: func(x *problem) bool { return !x.isOfSize() },
		do:  "Carry the vent {place} up to {limit} above the roof.",
		set: func(x *problem, d *Data) { d.Vents[x.vent].Terminal.AboveRoof = x.limit }},
	{rules: "vent-terminal-near", needs: aVent | aLimit, propose: setTerminal},
	{rules: "vent-below-floor", side: "drain", needs: aVent, propose: fromFlow},
	{rules: "vent-below-floor", side: noSide, needs: aVent,
		do:  "Let the vent {place} rise first, and run flat above the floor.",
		set: func(x *problem, d *Data) { flatLast(&d.Vents[x.vent]) }},
	{rules: "vent-flat", needs: aVent | aLack, may: (*problem).startsFlat,
		do: "Let the vent {place} rise {by} first, and run flat there.",
		set: func(x *problem, d *Data) {
			v := &d.Vents[x.vent]
			v.Runs = slices.Insert(v.Runs, 0, VentRun{Length: x.by, Direction: VentUp})
		}},
	{rules: "vent-flat vent-join", needs: aVent | aLack,
		may: func(x *problem) bool { return x.Rule != "vent-flat" || !x.startsFlat() },
		do:  "Carry the vent {place} up {by} higher before it runs flat.",
		set: func(x *problem, d *Data) { higher(&d.Vents[x.vent], x.by) }},
	{rules: "vent-join", needs: aVent | aLack, propose: joinHigher},

	// Valves and islands.
	{rules: "air-admittance-valve", needs: aVent | aLack,
		do:  "Set the valve of {place} {by} higher.",
		set: func(x *problem, d *Data) { higher(&d.Vents[x.vent], x.by) }},
	{rules: "air-admittance-valve", needs: aVent | aLimit, may: (*problem).overInsulation,
		do:  "Set the valve of {place} {limit} above the insulation.",
		set: func(x *problem, d *Data) { d.Vents[x.vent].Valve.Insulation = x.limit }},
	{rules: "air-admittance-valve", side: "relief", needs: aVent, propose: relieveBranch},
	{rules: "air-admittance-valve", may: func(x *problem) bool { return !x.overInsulation() },
		propose: throughRoof},
	{rules: "vent-open", propose: openVent},
	{rules: "vent-open", propose: throughRoof},
	{rules: "island-vent", side: "cleanout", needs: aVent,
		do:  "Set a cleanout in the upright part of the island vent {place}.",
		set: func(x *problem, d *Data) { d.Vents[x.vent].Cleanout = true }},
	{rules: "island-vent", side: noSide, needs: aVent | aLack,
		do: "Carry the island vent {place} {by} higher before it joins the other.",
		set: func(x *problem, d *Data) {
			v := &d.Vents[x.vent]
			v.Runs = append(v.Runs, VentRun{Length: x.by, Direction: VentUp})
		}},
	{rules: "island-vent", side: "drains", needs: aVent, propose: islandDrains},
	{rules: "island-vent", side: "rise", needs: aVent, propose: islandHigher},
	{rules: "island-vent", needs: aVent, propose: ownVent,
		may: func(x *problem) bool { return !slices.Contains([]string{"", "cleanout", "drains", "rise"}, x.Side) }},
}

// mostWays is how many ways are enough for one finding.
const mostWays = 4

// ways tries every change for a finding, and where none alone does, several together; first
// stops at one that works and asks nothing.
func (f *fit) ways(p *tables.Finding, first bool) ([]Way, error) {
	ways, err := f.single(p, first)
	if err == nil && len(ways) == 0 {
		return f.together(p)
	}
	return ways, err
}

func (f *fit) single(p *tables.Finding, first bool) ([]Way, error) {
	ways, settled := []Way{}, map[string]bool{}
	for c := range f.problem(p).changes() {
		if settled[c.of] {
			continue
		}
		w, ok := f.verify(p, c)
		if err := f.stopped(); err != nil {
			return nil, err
		}
		if !ok || slices.ContainsFunc(ways, func(v Way) bool { return v.Do == w.Do }) {
			continue
		}
		if first && w.cost() == 0 {
			return []Way{w}, nil
		}
		if ways = append(ways, w); len(ways) == mostWays {
			break
		}
		settled[c.of] = c.of != ""
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return a.cost() - b.cost() })
	return ways, nil
}

// cost is what a way brings with it: questions, and an outlet to be lowered.
func (w *Way) cost() int {
	n := len(w.Questions)
	if w.lowered {
		n++
	}
	return n
}

// verify makes a change and tells whether it puts the finding right and nothing else wrong.
// Where all that it puts wrong is that drains come too near the slab, it is tried again
// with the outlet lowered by what lacks.
func (f *fit) verify(p *tables.Finding, c change) (w Way, ok bool) {
	w, wrong := f.made(p, c)
	if w.sizing == nil || len(wrong) == 0 {
		return w, w.sizing != nil
	}
	sys, by, ok := f.tooHigh(wrong)
	if !ok {
		return w, false
	}
	lower := c
	lower.do = also(c.do, f.say("lower the outlet of %s by %v.", inText(f.of.layout.Systems[sys].ID), by))
	lower.edit = func(d *Data) { d.Systems[sys].Outlet.Invert -= by; c.edit(d) }
	w, wrong = f.made(p, lower)
	w.lowered = true
	return w, w.sizing != nil && len(wrong) == 0
}

// also joins two sentences that say what to do.
func also(do, more string) string {
	return strings.TrimSuffix(do, ".") + ", and " + strings.ToLower(more[:1]) + more[1:]
}

// tooHigh returns by how much the outlet of a system has to be lowered where that is all that
// is wrong.
func (f *fit) tooHigh(wrong []tables.Finding) (sys int32, by units.Length, ok bool) {
	sys = -1
	for k := range wrong {
		m, isLength := asLength(wrong[k].Margin)
		of := f.systemOf(f.origin(wrong[k].Place))
		known := wrong[k].Rule == "gravity-depth" || wrong[k].Rule == "drain-cover"
		if !known || !isLength || m >= 0 || of < 0 || sys >= 0 && of != sys {
			return -1, 0, false
		}
		sys, by = of, max(by, f.up(-m))
	}
	return sys, by, sys >= 0
}

// mostSteps is how many changes are put together at most, and mostTogether how many layouts
// are tried for that.
const (
	mostSteps    = 4
	mostTogether = 120
)

// together tries what no single change does: a change that puts the finding right and others
// wrong, and with it a change for each of those. Of several it takes that of the fewest steps.
func (f *fit) together(p *tables.Finding) ([]Way, error) {
	best, steps, most := []Way{}, mostSteps+1, f.tried+mostTogether
	for c := range f.problem(p).changes() {
		way, wrong := f.made(p, c)
		n := 1
		for ; n < steps-1 && len(wrong) > 0 && f.tried < most; n++ {
			way, wrong = f.next(p, way, wrong)
		}
		if err := f.stopped(); err != nil {
			return nil, err
		}
		if way.sizing != nil && len(wrong) == 0 {
			best, steps = []Way{way}, n
		}
	}
	return best, nil
}

// next adds to a way the first change that puts right the first of what it puts wrong, and leaves
// no more wrong than there was. A Way without a sizing: there is none.
func (f *fit) next(p *tables.Finding, way Way, wrong []tables.Finding) (Way, []tables.Finding) {
	g, err := way.sizing.newFit(f.ctx, f.opt)
	if err != nil {
		return Way{}, nil
	}
	for c := range g.problem(&wrong[0]).changes() {
		s, found, err := g.draw(c)
		f.tried++
		if err != nil {
			continue
		}
		w, left := f.held(p, also(way.Do, c.do), s, found)
		if w.sizing != nil && !hasID(left, wrong[0].ID()) && len(left) <= len(wrong) {
			return w, left
		}
	}
	return Way{}, nil
}

// draw makes a change to a layout, sizes it and judges it.
func (f *fit) draw(c change) (s *Sizing, found []tables.Finding, err error) {
	d := f.of.of.Data()
	c.edit(&d)
	return f.try(d, c.standing)
}

// made makes a change to a layout and judges it. A Way without a sizing: it does not put the
// finding right. wrong is what fails with it and did not, or fails by more.
func (f *fit) made(p *tables.Finding, c change) (w Way, wrong []tables.Finding) {
	s, found, err := f.draw(c)
	if err != nil {
		return w, nil
	}
	return f.held(p, c.do, s, found)
}

// held holds a layout with a change made against the one without; see made.
func (f *fit) held(p *tables.Finding, do string, s *Sizing, found []tables.Finding) (w Way, wrong []tables.Finding) {
	w = Way{Do: do, Questions: f.shown(f.newQuestions(found)), sizing: s}
	// What was found before is found as itself, or on a part of a run that was split.
	about := func(q, b *tables.Finding) bool {
		return b.Rule == q.Rule && b.Side == q.Side && b.Place == f.origin(q.Place)
	}
	for k := range found {
		q := &found[k]
		if q.IfConfirmed != tables.Pass && (q.ID() == p.ID() || f.unjudged(p, q)) {
			return Way{}, nil
		}
		stands := func(b tables.Finding) bool { // and not on a part of what is to be put right
			return about(q, &b) && fails(&b) && !worse(q, &b) && b.ID() != p.ID()
		}
		if fails(q) && !slices.ContainsFunc(f.base, stands) {
			wrong = append(wrong, *q)
		}
	}
	for k := range f.base {
		b := &f.base[k]
		if fails(b) && !slices.ContainsFunc(found, func(q tables.Finding) bool { return fails(&q) && about(&q, b) }) {
			w.Settles = append(w.Settles, b.ID())
		}
	}
	return w, wrong
}

// unjudged tells whether a finding leaves open what another was about and what was not asked
// before: a change that nobody can judge puts nothing right.
func (f *fit) unjudged(p, q *tables.Finding) bool {
	return q.Verdict == tables.Ask && !fails(q) && q.Rule == p.Rule && f.origin(q.Place) == p.Place &&
		!hasID(f.base, q.ID())
}

// origin is the run that a place was split from, see split; other places are their own.
func (f *fit) origin(place string) string {
	if _, ok := f.of.tree.index[place]; ok {
		return place
	}
	return strings.TrimRight(place, "+")
}

// worse tells whether a clearance lacks more than it did.
func worse(now, was *tables.Finding) bool {
	a, ok := asLength(now.Margin)
	b, both := asLength(was.Margin)
	return ok && both && a < b
}

// say writes a text with quantities as the options have them.
func (f *fit) say(format string, args ...any) string {
	return finding.New(nil, finding.Options{Print: f.opt.Print}).Text(format, args...)
}

// up rounds a length up to a step a crew can measure.
func (f *fit) up(x units.Length) units.Length { return (x + f.opt.Step - 1) / f.opt.Step * f.opt.Step }

// point returns a point by its node, in a copy of the data.
func (f *fit) point(d *Data, i int32) *Point {
	sys := f.of.tree.system[i]
	lo, _ := f.of.tree.span(sys)
	return &d.Systems[sys].Points[i-lo]
}

// ventIndex returns the vent of that id, -1 for none.
func (f *fit) ventIndex(id string) int {
	return slices.IndexFunc(f.of.layout.Vents, func(v Vent) bool { return v.ID == id })
}

// systemOf returns the system that a finding is of, -1 for none.
func (f *fit) systemOf(place string) int32 {
	if sys, ok := f.of.tree.systems[place]; ok {
		return sys
	}
	if i, ok := f.of.tree.index[place]; ok {
		return f.of.tree.system[i]
	}
	for k := range f.of.layout.Footings {
		if x := &f.of.layout.Footings[k]; x.ID == place {
			return f.of.tree.system[f.of.tree.index[x.Run]]
		}
	}
	return -1
}

// id names a node.
func (f *fit) id(i int32) string { return f.of.id(i) }

// name is the id of a node as a sentence has it.
func (f *fit) name(i int32) string { return inText(f.id(i)) }

// inText is an id as a sentence has it: between quotes if it is more than one word, so that
// it is told from the words around it.
func inText(id string) string {
	if strings.ContainsAny(id, " \t,;") {
		return strconv.Quote(id)
	}
	return id
}

// run names the run from a node.
func (f *fit) run(i int32) string {
	return "the run from " + f.name(i) + " to " + f.name(f.of.tree.parent[i])
}

// larger returns the next so many sizes that are made.
func (f *fit) larger(size units.Length, most int) (list []units.Length) {
	for len(list) < most {
		if size = f.of.code.MadeSize(size, true); size == 0 {
			break
		}
		list = append(list, size)
	}
	return list
}
