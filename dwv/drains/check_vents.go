package drains

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ventChecks judges the vents.
func (j *judge) ventChecks() {
	if len(j.layout.Vents) == 0 {
		return
	}
	g := &j.tree.vents
	heights := j.sizing.ventHeights(j.levels.upper)
	end := heights.end
	j.ventJoins(heights, j.sizing.dryTops())
	j.dryDrains()
	r := j.ventRules()
	judged := make([]ventKinds, j.tree.len())
	var flat []units.Length
	if r.share.ok {
		flat = j.flatOnward(heights)
	}
	var stretched []int32
	for v := range int32(len(j.layout.Vents)) {
		if j.endedAt(int(v)) {
			return
		}
		j.ventSize(v)
		j.ventWay(v, end[v], &r)
		x := &j.layout.Vents[v]
		if g.end[v] >= 0 {
			stretched = append(stretched, v)
		}
		if r.share.ok {
			j.flatShare(v, flat[v], &r)
		}
		if n := j.sizing.vents[v].Fixtures; x.Kind == VentCommon && n > 2 {
			j.Ask("common-vent-load", x.ID, tables.Designer,
				j.Text("%d fixtures share common vent %s, which serves two.", n, x.ID),
				"Vent the others apart, or draw a wet or circuit vent.")
		}
		if x.Terminal != nil {
			j.endsInRoom(v, end[v])
			j.terminal(v, &r)
		}
		if g.from[v] >= 0 && !j.tree.point(g.from[v]).Run.Vertical && len(x.Runs) > 0 && x.Kind != VentStackVent {
			j.takeOff(x, &r)
		}
	}
	slices.SortFunc(stretched, j.layout.order)
	for _, v := range stretched {
		j.section(v, judged, &r)
	}
	j.openVents()
}

// ventRules are the rules of a code about the way of a vent.
type ventRules struct {
	rim, terminal, frost   cited[units.Length]
	share, circuitFixtures cited[float64]
	circuitGrade           cited[slope.Grade]
	takeOff                tables.Rule
	hasTakeOff             bool
}

// cited is a figure of a code, ok if the code has it.
type cited[T any] struct {
	value T
	cite  tables.Citation
	ok    bool
}

func figure[T any](x T, cite tables.Citation, ok bool) cited[T] { return cited[T]{x, cite, ok} }

func (j *judge) ventRules() (r ventRules) {
	r.rim, r.terminal = figure(j.length("vent-rim-clearance")), figure(j.length("vent-above-roof"))
	if j.sizing.opt.Frost {
		if high := figure(j.length("vent-frost-above-roof")); high.ok {
			r.terminal = high
		}
		r.frost = figure(j.length("vent-frost-min-size"))
	}
	r.share = figure(j.number("vent-horizontal-share", "ratio"))
	r.circuitFixtures = figure(j.number("circuit-vent-max-fixtures", "count"))
	if g, cite, err := j.code.RuleGrade("circuit-vent-max-grade"); err == nil {
		r.circuitGrade = cited[slope.Grade]{g, cite, true}
	}
	r.takeOff, r.hasTakeOff = j.code.Rule("vent-takeoff-above-centreline")
	return r
}

// ventByJob holds a vent to the least size that the job asks.
func (j *judge) ventByJob(s *VentSize) {
	if least := j.layout.MinimumVent; least > 0 && s.Size > 0 {
		j.sizeAtLeast(finding.Case{Rule: "vent-size", Place: s.Vent, Side: "job"}, s.Size, least,
			finding.Say("The vent, by the job,", "", j.Text("Take %v.", nominal(least))))
	}
}

func (j *judge) ventSize(v int32) {
	x, s := &j.layout.Vents[v], &j.sizing.vents[v]
	j.ventByJob(s)
	if s.Err != nil && j.isDrainVent(v) {
		return
	}
	if s.Err != nil {
		j.Ask("vent-size", x.ID, tables.Authority,
			j.Text("Vent %s is not sized: %s.", x.ID, lacks(s.Err, "sizes of such a vent")),
			"Ask the authority how this vent is to be sized.", s.Citation)
		return
	}
	if s.short != "" && s.Size >= s.Required {
		j.wait(j.tree.index[s.short], 1, x.ID)
		return
	}
	if s.Size < s.Required && j.smallerByTrap(s) {
		j.Ask("vent-size", x.ID, tables.Designer,
			j.Text("The vent at %s is %v: enough for the smallest traps, and %v if it goes by the drain of %v. The size of the "+
				"trap that it serves is not stated in a size of the code.", x.ID, nominal(s.Size), nominal(s.Required),
				nominal(s.Drain)),
			"State the size of the trap (trap: size).", s.Citation)
		return
	}
	j.sizeAtLeast(on("vent-size", x.ID, s.Citation), s.Size, s.Required, func() finding.Words {
		return finding.Words{What: j.Text("The vent (%v from a %v drain, developed length %v)", s.Load, nominal(s.Drain),
			j.measured(s.Length)), Fix: "Enlarge the vent over its whole length, or shorten it."}
	})
}

// measured is a developed length that was added up, to the inch above, as schedules give it.
func (j *judge) measured(l units.Length) units.Length {
	if j.sizing.metric {
		return l
	}
	return (l - units.Inch/1000).Round(units.Inch, units.Up)
}

// smallerByTrap tells whether a vent that is too small for its drain would do for the smallest
// trap there is, where the code goes by the trap and the layout does not state it, or not in a size of the code.
func (j *judge) smallerByTrap(s *VentSize) bool {
	named := !s.traps.missing && j.code.MadeSize(s.traps.largest, false) == s.traps.largest
	if named || s.Decided != dwv.VentByLeast {
		return false
	}
	least, err := j.code.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Drain: s.Drain, Trap: j.code.LeastTrapArm(),
		Load: s.Load, Length: s.Length, Closets: s.Closets})
	return err == nil && least.Size <= s.Size
}

// rise returns how far a run of vent climbs, less than nought where it goes down.
func rise(r *VentRun) units.Length {
	up := r.Rise
	if up == 0 && !r.flat() {
		up = r.Length
	}
	if r.Direction == VentDown {
		return -up
	}
	return up
}

// ventWay judges every run of a vent: flat ones below the floor or too low, and
// what lies below the floor and must rise.
func (j *judge) ventWay(v int32, end units.Length, rules *ventRules) {
	x := &j.layout.Vents[v]
	clear, cite, ok := rules.rim.value, rules.rim.cite, rules.rim.ok
	at := end
	for k := range x.Runs {
		at -= rise(&x.Runs[k])
	}
	rims := &j.sizing.vents[v].rims
	floor := j.layout.FinishedFloor
	turned := -1 // the last run of an island vent before it rises at the wall
	for k := range x.Runs {
		if d := x.Runs[k].Direction; x.Kind == VentIsland && (d == VentDown || d == VentBelowFloor) {
			turned = k
		}
	}
	for k := range x.Runs {
		r := &x.Runs[k]
		low := at
		at += rise(r)
		switch {
		case k <= turned: // see island
		case r.Direction == VentBelowFloor && r.Rise == 0:
			f := tables.Finding{Rule: "vent-below-floor", Place: x.ID, Verdict: tables.Fail, Value: r.Length,
				Reason: j.Text("%v of dry vent %s lie flat below the floor, where waste that backs up would settle in "+
					"it.", r.Length, x.ID),
				Fix: "Let the vent rise from its take-off, or vent wet.", Citation: cite}
			if !ok {
				unheld(&f)
			}
			j.Add(f)
		case r.Direction == VentBelowFloor:
			j.Ask("vent-below-floor", x.ID, tables.Designer,
				j.Text("%v of vent %s lie below the floor and rise %v.", r.Length, x.ID, r.Rise),
				"Ask whether the structure excuses it; else let the vent rise straight from its take-off.", cite)
		case r.Direction == VentUp && r.Rise > 0 &&
			2*float64(r.Rise)*float64(r.Rise) < float64(r.Length)*float64(r.Length):
			j.Ask("vent-flat", x.ID, tables.Designer,
				j.Text("A run of vent %s, %v long and drawn as going up, rises %v only, flatter than 45 degrees.", x.ID,
					r.Length, r.Rise),
				"Draw it as horizontal, or let it rise more.")
		case r.Direction == VentHorizontal && ok && low < floor:
			j.flatBelow(x.ID, r, low, v, rules)
		case r.Direction == VentHorizontal && ok && rims.known():
			finding.AtLeast(j.Judge, on("vent-flat", x.ID, cite), low-rims.highest, clear, func() finding.Words {
				return finding.Words{What: "The height above the highest flood rim at which the vent runs flat", Off: "too low",
					Fix: j.Text("Carry the vent up to %v above the floor before it runs flat.", rims.highest+clear-floor)}
			})
		case r.Direction == VentHorizontal && ok:
			j.Ask("vent-flat", x.ID, tables.Designer,
				j.Text("Vent %s runs flat %v above the floor, and no flood rim is given to hold it against.", x.ID,
					low-floor), "Give the flood rim of the fixtures it serves.", cite)
		}
	}
}

// dryDrains judges flat pipe below the floor that is drawn as drain, carries nothing and leads
// to a vent alone: whatever it is drawn as, it is a dry vent. Of a combination drain and vent,
// which may be vented anywhere, it might be the upper end.
func (j *judge) dryDrains() {
	var flows []bool // by node: something drains through its run; made when it is asked for
	for v := range j.layout.Vents {
		from := j.tree.vents.from[v]
		if from < 0 || j.tree.point(from).drainsIn() {
			continue
		}
		if flows == nil {
			flows = j.tree.flows()
		}
		j.dryDrain(&j.layout.Vents[v], from, flows)
	}
}

func (j *judge) dryDrain(x *Vent, from int32, flows []bool) {
	t, flat, i := j.tree, units.Length(0), from
	for ; int(i) >= t.outlets && !flows[i]; i = t.parent[i] {
		if run := &t.point(i).Run; !run.Vertical && j.levels.upper[i] < j.layout.FinishedFloor {
			flat += run.Length
		}
	}
	if flat == 0 || int(i) < t.outlets {
		return // a drain for later, if nothing flows down to the outlet
	}
	_, cite, ok := j.length("vent-rim-clearance")
	f := tables.Finding{Rule: "vent-below-floor", Place: x.ID, Side: "drain", Verdict: tables.Fail, Value: flat,
		Reason: j.Text("%v of the drain from %s to %s lie flat below the floor, carry nothing and lead to vent %s: a dry "+
			"vent, in which waste that backs up would settle.", flat, j.id(from), j.id(i), x.ID),
		Fix: j.Text("Let the vent rise from %s, or drain a fixture through here.", j.id(i)), Citation: cite}
	if j.notCombination()[i] < 0 {
		f.Verdict, f.SettledBy = tables.Ask, tables.Authority
		f.Reason += " Whether it counts as the upper end of a combination drain and vent is for the authority to say."
	} else if !ok {
		unheld(&f)
	}
	j.Add(f)
}

// flatBelow tells of a vent that runs flat below the floor. The limit counts from the flood
// rim, and so does what is set against it; where no rim is known it stands alone.
func (j *judge) flatBelow(vent string, r *VentRun, low units.Length, v int32, rules *ventRules) {
	floor, rims := j.layout.FinishedFloor, &j.sizing.vents[v].rims
	f := tables.Finding{Rule: "vent-flat", Place: vent, Verdict: tables.Fail, Value: low - floor,
		Reason: j.Text("A flat run of vent %s, %v long, starts %v below the floor", vent, r.Length, floor-low),
		Fix:    "Carry the vent up before it runs flat.", Citation: rules.rim.cite}
	if rims.known() {
		least, below := rules.rim.value, rims.highest-low
		f.Value, f.Limit, f.Margin = -below, least, -below-least
		f.Reason += j.Text(", %v below the highest flood rim; at least %v above it", below, least)
	}
	f.Reason += "."
	j.Add(f)
}

// takeOff judges how a dry vent leaves a horizontal drain.
func (j *judge) takeOff(x *Vent, rules *ventRules) {
	if !rules.hasTakeOff {
		return
	}
	r := &rules.takeOff
	if x.Runs[0].Direction == VentUp {
		j.Holds(true, on("vent-take-off", x.ID, r.Cite), func() finding.Words {
			return finding.Words{Reason: "Vent " + x.ID + " rises from the drain at its take-off."}
		})
		return
	}
	j.Ask("vent-take-off", x.ID, tables.Designer, "Vent "+x.ID+" leaves the drain sideways.",
		"See that it leaves above the centreline of the drain.", r.Cite)
}

// ventKinds is a set of kinds of vents, by their place in servingKinds.
type ventKinds uint16

// section judges the stretch of drain that vents wet, in common or by circuit. A run
// that two vents of a kind share is judged once.
func (j *judge) section(v int32, judged []ventKinds, rules *ventRules) {
	g, x := &j.tree.vents, &j.layout.Vents[v]
	steepest, gradeCite, hasGrade := rules.circuitGrade.value, rules.circuitGrade.cite, rules.circuitGrade.ok
	last := g.serves[v]
	kind := ventKinds(1) << slices.Index(servingKinds, x.Kind)
	for i := g.serves[v]; i != g.end[v] && int(i) >= j.tree.outlets; i = j.tree.parent[i] {
		last = i
		if judged[i]&kind != 0 {
			continue
		}
		judged[i] |= kind
		run := &j.tree.point(i).Run
		switch x.Kind {
		case VentWet:
			if run.Vertical && j.code.LimitsUprightWet() {
				continue // see uprightWet
			}
			j.sharedLoad(i, x, &wetDrain)
		case VentCommon:
			j.sharedLoad(i, x, &commonDrain)
			j.upperCloset(i, x)
		case VentCircuit:
			if hasGrade && !run.Vertical && run.Grade.Compare(steepest) > 0 {
				j.gradeAtMost(on("circuit-vent-grade", j.id(i), gradeCite), run.Grade, steepest,
					finding.Say("The grade of the branch vented by circuit", "too steep",
						"Lay it flatter, or vent the fixtures singly."))
			}
		}
	}
	if x.Kind == VentWet && !(j.code.LimitsUprightWet() && j.upright(v)) {
		j.wetFixtures(x, last)
	}
	if x.Kind == VentCircuit {
		if r := &rules.circuitFixtures; r.ok {
			n := j.sizing.vents[v].Fixtures
			j.counts(on("circuit-vent-fixtures", x.ID, r.cite), n, int(r.value), func() finding.Words {
				return finding.Words{What: "fixtures on circuit vent " + x.ID,
					Fix: "Give the rest a circuit vent of their own."}
			})
		}
	}
}

// sharedDrain is what a run of drain that vents as well is judged by.
type sharedDrain struct {
	rule  string
	limit func(*dwv.Code, units.Length) (dwv.LoadLimit, error)
	says  string // what the run does
	table string // what a code lacks that does not limit it
	ask   string
	fix   string
}

var (
	wetDrain = sharedDrain{"wet-vent-load", (*dwv.Code).WetVentLimit, "vents wet", "limit of a wet vent",
		"Ask the authority whether and how it may vent wet.",
		"Enlarge the wet vent, or vent some of the fixtures apart."}
	// The drain between the two fixtures carries the upper one and vents the lower one.
	commonDrain = sharedDrain{"common-vent-load", (*dwv.Code).CommonVentLimit, "vents the lower fixture",
		"limit of a common vent", "Ask the authority whether the two may share the vent.",
		"Enlarge the drain between the two fixtures, or vent them apart."}
)

// sharedLoad judges the load of a run that vents as well.
func (j *judge) sharedLoad(i int32, x *Vent, by *sharedDrain) {
	size := j.sizing.size[i]
	what := func() string { return j.Text("The %v run at %s %s (vent %s): ", nominal(size), j.id(i), by.says, x.ID) }
	limit, err := by.limit(j.code, size)
	if err != nil {
		j.Ask(by.rule, j.id(i), tables.Authority, what()+lacks(err, by.table)+".", by.ask)
		return
	}
	j.loadWithin(on(by.rule, j.id(i), limit.Citation), i, limit, func() finding.Words {
		return finding.Words{What: what() + "its load", Off: "too much", Fix: by.fix}
	})
}

// upperCloset keeps water closets out of the drain that vents the lower fixture of a common vent:
// what a closet flushes fills it.
func (j *judge) upperCloset(i int32, x *Vent) {
	if yes, cite := j.says("common-vent-no-closet"); yes && j.sizing.closets[i] > 0 {
		j.fails(sided("common-vent-load", x.ID, "closet", cite),
			j.Text("A water closet drains through %s, which vents the lower fixture (vent %s).", j.id(i), x.ID),
			"Let the closet drain in as the lower of the two, or vent each on its own.")
	}
}

// The rules by which a code keeps wet vents that lie flat to the fixtures of bathrooms: one
// that says so, or that counts what they serve in bathroom groups.
const ruleWetFixtures, ruleWetGroups = "wet-vent-fixtures", "wet-vent-max-groups"

// wetFixtures judges what is no bathroom fixture and drains through a wet vent, whose last
// run of drain is that of node end: a question where the code says nothing of it.
func (j *judge) wetFixtures(x *Vent, end int32) {
	i := j.notBathroom()[end]
	if i < 0 {
		return
	}
	reason := j.Text("The %s at %s drains through wet vent %s and is no bathroom fixture.",
		spaced(j.tree.point(i).Fixture.Kind), j.id(i), x.ID)
	const fix = "Lead it into the drain downstream of the wet vent, and vent it on its own."
	rule, ok := j.code.Rule(ruleWetFixtures)
	if !ok {
		rule, ok = j.code.Rule(ruleWetGroups)
	}
	if !ok {
		j.Ask("wet-vent-fixtures", x.ID, tables.Authority,
			reason+" Codes keep wet vents to the fixtures of bathrooms; our tables do not hold this code's rule.", fix)
		return
	}
	j.fails(on("wet-vent-fixtures", x.ID, rule.Cite), reason, fix)
}

// spaced is the id of a kind in words.
func spaced(id string) string { return strings.ReplaceAll(id, "-", " ") }

// strangers finds, by node, a fixture there or upstream of a kind that may not be there, -1
// for none; of several the first by kind and id.
func (j *judge) strangers(may func(kind string) bool) []int32 {
	t := j.tree
	at := none(t.len())
	first := func(a, b int32) int32 {
		if a < 0 || b < 0 {
			return max(a, b)
		}
		x, y := t.point(a), t.point(b)
		if cmp.Or(strings.Compare(x.Fixture.Kind, y.Fixture.Kind), strings.Compare(x.ID, y.ID)) <= 0 {
			return a
		}
		return b
	}
	for _, i := range t.order {
		if f := t.point(i).Fixture; f != nil && !may(f.Kind) {
			at[i] = first(at[i], i)
		}
		at[t.parent[i]] = first(at[t.parent[i]], at[i])
	}
	return at
}

// inBathroom tells the fixtures of a bathroom.
func inBathroom(kind string) bool {
	return dwv.ClosetsOf(kind) > 0 || fixture.IsLavatory(kind) || fixture.IsShower(kind) || fixture.IsUrinal(kind) ||
		slices.Contains(bathroomKinds, kind)
}

var bathroomKinds = []string{"bathtub", "bidet", "floor-drain", "emergency-floor-drain"}

// flatOnward is, by vent, how much lies flat of the vents of its size that carry it on to the air.
func (j *judge) flatOnward(heights ventHeights) []units.Length {
	g, vents := &j.tree.vents, j.sizing.vents
	onward := make([]units.Length, len(vents))
	for _, v := range slices.Backward(g.order) {
		p := g.parent[v]
		if p < 0 || vents[p].Size > vents[v].Size {
			continue
		}
		past := -j.sizing.ventStation(v, heights) // where v joins it
		for k := range j.layout.Vents[p].Runs {
			run := &j.layout.Vents[p].Runs[k]
			if past += run.Length; run.flat() {
				onward[v] += min(max(past, 0), run.Length)
			}
		}
		onward[v] += onward[p]
	}
	return onward
}

// flatShare judges how much of a vent lies flat, where the code lets only a share of
// the length it permits do so; a vent one size larger than need be is free of it. That length is
// measured to the air: what lies flat on the way there, beyond the vent's own runs, is asked about.
func (j *judge) flatShare(v int32, onward units.Length, rules *ventRules) {
	s := &j.sizing.vents[v]
	if s.Flat == 0 || s.MaxLength == 0 || s.Size > s.Required {
		return
	}
	most := units.Length(float64(s.MaxLength) * rules.share.value)
	if s.Flat <= most && s.Flat+onward > most {
		j.Ask("vent-flat-share", s.Vent, tables.Authority,
			j.Text("Vent %s lies flat for %v, and with the vents of its size that carry it on to the air for %v; of the "+
				"%v permitted in all %v may.", s.Vent, s.Flat, s.Flat+onward, s.MaxLength, most),
			"Ask whether what lies flat beyond where it joins counts; if so shorten that, or lay the whole way one size larger.",
			rules.share.cite)
		return
	}
	finding.AtMost(j.Judge, on("vent-flat-share", s.Vent, rules.share.cite), s.Flat, most, func() finding.Words {
		return finding.Words{What: j.Text("The flat part of the %v vent, of %v permitted in all,", nominal(s.Size),
			s.MaxLength), Off: "too long", Fix: "Shorten the flat part, or lay the whole vent one size larger."}
	})
}

// endsInRoom asks about a vent to the open air whose runs, as drawn, end no higher than the
// flood rims of what it serves: they are short, and its developed length with them.
func (j *judge) endsInRoom(v int32, end units.Length) {
	x, rims := &j.layout.Vents[v], &j.sizing.vents[v].rims
	if !rims.stated || end > rims.highest {
		return
	}
	floor := j.layout.FinishedFloor
	j.Ask("vent-terminal", x.ID, tables.Designer,
		j.Text("The runs of vent %s end %s, no higher than the flood rim of what it serves, at %v, and it is drawn as "+
			"ending in the open air.", x.ID, j.fromFloor(end), rims.highest-floor),
		"Draw its runs up to where it ends (vents: runs): its size goes by their length.")
}

// terminal judges the open end of a vent.
func (j *judge) terminal(v int32, rules *ventRules) {
	x := &j.layout.Vents[v]
	least := rules.terminal
	above := x.Terminal.AboveRoof
	if x.Terminal.UsedRoof {
		if h, cite, ok := j.length("vent-above-used-roof"); ok {
			least = cited[units.Length]{h, cite, ok}
		} else if !least.ok || above == 0 || above >= least.value {
			j.usedRoof(x)
			least.ok = false // the figure of a plain roof lets nothing pass here
		}
	}
	switch {
	case !least.ok:
	case above == 0:
		j.Ask("vent-terminal", x.ID, tables.Designer,
			"The layout does not say how far vent "+x.ID+" stands above the roof.",
			j.Text("Carry it %v above the roof at least.", least.value), least.cite)
	default:
		finding.AtLeast(j.Judge, on("vent-terminal", x.ID, least.cite), above, least.value,
			finding.Say("The height of the vent terminal above the roof", "too low", "Carry the vent higher."))
	}
	j.terminalNear(x)
	if rules.frost.ok {
		j.sizeAtLeast(on("vent-terminal", x.ID, rules.frost.cite), j.sizing.vents[v].Size, rules.frost.value,
			finding.Say("The open end of the vent", "", "Enlarge the vent below the roof, where frost cannot reach."))
	}
}

// terminalNear judges how near the open end of a vent is to openings, walls and the
// neighbour, as far as the layout says.
func (j *judge) terminalNear(x *Vent) {
	const rule, off, fix = "vent-terminal-near", "too near", "Move the open end of the vent farther away."
	t := x.Terminal
	if t.FromOpening != 0 {
		least, cite, ok := j.length("vent-from-opening")
		high, highCite, hasHigh := j.length("vent-above-opening")
		switch {
		case !ok:
		case hasHigh && t.FromOpening < least && t.AboveOpening > 0:
			finding.AtLeast(j.Judge, on(rule, x.ID, weakestOf(cite, highCite)), t.AboveOpening, high,
				finding.Say(j.Text("Height above an opening %v away, nearer than %v, of the open end", t.FromOpening, least),
					"too low", fix))
		default:
			finding.AtLeast(j.Judge, on(rule, x.ID, cite), t.FromOpening, least,
				finding.Say("Distance from the nearest opening to the open end", off, fix))
		}
	}
	for _, d := range [...]struct {
		rule, what string
		is         units.Length
	}{{"vent-from-lot-line", "Distance from the lot line to the open end", t.FromLotLine},
		{"vent-from-wall", "Distance from the wall beside it to the open end", t.FromWall}} {
		if d.is <= 0 {
			continue
		}
		if least, cite, ok := j.length(d.rule); ok {
			finding.AtLeast(j.Judge, on(rule, x.ID, cite), d.is, least, finding.Say(d.what, off, fix))
		}
	}
}

// usedRoof asks how high a vent must stand above a roof that people use, where the code's
// tables do not tell; what the IPC wants there is the usual figure.
func (j *judge) usedRoof(x *Vent) {
	usual, reason := "", "The layout does not say how far vent "+x.ID+" stands above the roof"
	if above := x.Terminal.AboveRoof; above > 0 {
		reason = j.Text("Vent %s stands %v above the roof", x.ID, above)
	}
	if h, _, ok := j.lengthOf("ipc-2021", "vent-above-used-roof"); ok {
		usual = j.Text("; usual is %v (IPC 2021)", h)
	}
	j.Ask("vent-terminal", x.ID, tables.Authority,
		reason+", which people use, and our tables hold no figure of this code for such a roof"+usual+".",
		"Ask the authority how high the vent must stand, and carry it there.")
}

// openVents asks for enough vent to the open air for the building.
func (j *judge) openVents() {
	var drain, largest units.Length
	var area float64
	for s := range int32(j.tree.outlets) {
		for k := j.tree.first[s]; k >= 0; k = j.tree.next[k] {
			drain = max(drain, j.sizing.need[k])
		}
	}
	for v := range j.layout.Vents {
		if j.layout.Vents[v].Terminal == nil {
			continue
		}
		d := j.sizing.vents[v].Size
		largest = max(largest, d)
		area += float64(d) * float64(d)
	}
	if share, cite, ok := j.number("open-vent-min-fraction", "ratio"); ok &&
		!j.openAsGroups(drain, cite, func(d units.Length) bool { return largest >= scale(d, share) }) {
		j.sizeAtLeast(on("vent-open", j.job(), cite), largest, scale(drain, share), func() finding.Words {
			return finding.Words{What: j.Text("The largest vent to the open air, beside a building drain that needs %v,",
				nominal(drain)), Fix: j.Text("Carry a vent of %v or more up to the open air.", nominal(scale(drain, share)))}
		})
	}
	if share, cite, ok := j.number("vent-area-ratio", "ratio"); ok &&
		!j.openAsGroups(drain, cite, func(d units.Length) bool { return area >= share*float64(d)*float64(d) }) {
		section := float64(drain) * float64(drain)
		j.Holds(area >= share*section, on("vent-open", j.job(), cite), func() finding.Words {
			return finding.Words{Reason: j.Text("The vents to the open air have %.0f %% of the section of the largest "+
				"drain required, %v; at least %.0f %%.", math.Floor(100*area/max(section, 1)), nominal(drain), 100*share),
				Fix: "Carry more or larger vents up to the open air."}
		})
	}
}

// openAsGroups asks, where the vents to the open air are too small for the drain, whether
// bathrooms whose fixtures have vents of their own count as groups, if they are enough for the
// drain that groups need.
func (j *judge) openAsGroups(drain units.Length, cite tables.Citation, holds func(units.Length) bool) bool {
	if holds(drain) {
		return false
	}
	less := j.drainAsGroups()
	if less >= drain || !holds(less) {
		return false
	}
	j.Ask("vent-open", j.job(), tables.Designer,
		j.Text("The vents to the open air are too small for a building drain that needs %v with the fixtures of bathrooms "+
			"one by one. As bathroom groups they need %v, and the vents are large enough.", nominal(drain), nominal(less)),
		"Draw what is a bathroom as one bathroom group. Otherwise: carry more or larger vents up to the open air.",
		weakestOf(cite, j.ungroupedCite))
	return true
}

// drainAsGroups returns what the largest building drain needs if the fixtures of bathrooms,
// each with a vent of its own, count as groups.
func (j *judge) drainAsGroups() (largest units.Length) {
	s, t := j.sizing, j.tree
	defer func(sys int32) { j.system = sys }(j.system)
	needs := make([]units.Length, t.len())
	for j.system = 0; int(j.system) < t.outlets; j.system++ {
		for _, i := range t.of(j.system) {
			p, less := t.parent[i], j.asGroups(i)
			switch f, ok, _ := s.code.NearestDrainSize(s.query(i, less)); {
			case less == s.load[i] || !ok || s.decided[i] != DecidedByLoad && s.decided[i] != DecidedByUpstream:
				needs[i] = max(needs[i], s.need[i]) // no other than one by one
			default:
				needs[i] = max(needs[i], f.Size)
			}
			needs[p] = max(needs[p], needs[i])
		}
		largest = max(largest, needs[j.system])
	}
	return largest
}

// ruleDrainVent is the rule that the main drain is vented near its head.
const ruleDrainVent = "drain-vent"

// drainVent judges the vent near the head of a main drain, where the code asks for one: how
// far from the head, and how large for the load.
func (j *judge) drainVent() {
	reach, reachCite, ok := j.length("drain-vent-reach")
	sys := &j.layout.Systems[j.system]
	if !ok || sys.Kind != Soil && sys.Kind != Waste {
		return
	}
	least, cite, hasSize := j.length("drain-vent-size-to-30")
	const small = 30 * dwv.FixtureUnit // of the names of the two rows
	if j.sizing.load[j.system] > small {
		least, cite, hasSize = j.length("drain-vent-size-over-30")
	}
	open := j.openAbove()
	vent, way := units.Length(0), units.Length(0)
	head := j.head()
	for i := head; int(i) >= j.tree.outlets && way <= reach; i = j.tree.parent[i] {
		vent = max(vent, open[i])
		way += j.tree.point(i).Run.Length
	}
	if head < 0 {
		return
	}
	if hasSize {
		j.nearHead(head, reach, min(vent, least))
	}
	if vent == 0 {
		j.Holds(false, on(ruleDrainVent, sys.ID, reachCite), func() finding.Words {
			return finding.Words{Limit: reach,
				Reason: j.Text("No vent to the open air takes off within %v of the head of the drain of system %s, at %s.",
					reach, sys.ID, j.id(head)), Fix: "Carry a vent up from the head of the drain."}
		})
		return
	}
	if more, _, ok := j.length("drain-vent-size-over-30"); ok && vent >= least && vent < more && j.anyUnrated() {
		j.Ask(ruleDrainVent, sys.ID, tables.Designer, j.Text("Nothing is counted for some fixtures of system %s; a drain of "+
			"more than %v needs a vent of %v, and it has one of %v.", sys.ID, small, nominal(more), nominal(vent)),
			"Settle the loads first.", cite)
		return
	}
	if hasSize {
		j.sizeAtLeast(on(ruleDrainVent, sys.ID, weakestOf(cite, reachCite)), vent, least, finding.Say(
			j.Text("The largest vent within %v of the head (%s) of the drain", reach, j.id(head)), "",
			"Enlarge the vent at the head of the drain."))
	}
}

// nearHead notes how large a vent is that the rule on drain vents judges, for every node at
// which it may take off or come down.
func (j *judge) nearHead(head int32, reach, least units.Length) {
	if j.drainVents == nil {
		j.drainVents = make([]units.Length, j.tree.len())
	}
	way := units.Length(0)
	for i := head; int(i) >= j.tree.outlets && way <= reach; i = j.tree.parent[i] {
		j.drainVents[i] = least
		way += j.tree.point(i).Run.Length
	}
}

// isDrainVent tells whether the rule on drain vents has judged the size of a vent: one that
// lies near the head of its drain and is as large as any need be there.
func (j *judge) isDrainVent(v int32) bool {
	if j.drainVents == nil {
		return false
	}
	for i := j.tree.vents.from[v]; i >= 0 && int(i) >= j.tree.outlets; i = j.tree.parent[i] {
		if least := j.drainVents[i]; least > 0 {
			return j.layout.Vents[v].Terminal != nil && j.sizing.vents[v].Size >= least
		}
	}
	return false
}

// anyUnrated tells whether the code rates some fixture of the system in hand not at all.
func (j *judge) anyUnrated() bool {
	for i := range j.points() {
		if j.sizing.unrated[i] != nil {
			return true
		}
	}
	return false
}

// head is the upper end of the longest way of a system below the floor, -1 for none.
func (j *judge) head() int32 {
	way := j.work.length(0, j.system)
	far, longest := int32(-1), units.Length(0)
	for _, i := range slices.Backward(j.order) {
		if !j.sizing.drains(i) {
			continue
		}
		way[i] = way[j.tree.parent[i]] + j.tree.point(i).Run.Length
		if way[i] > longest || way[i] == longest && far >= 0 && j.id(i) < j.id(far) {
			far, longest = i, way[i]
		}
	}
	return far
}

// largestOpenAbove returns by node the largest vent that takes off there or upstream and
// leads to the open air.
func (j *judge) largestOpenAbove() []units.Length {
	g := &j.tree.vents
	open := make([]bool, len(g.from))
	for _, v := range slices.Backward(g.order) { // what is joined before what joins it
		p := g.parent[v]
		open[v] = j.layout.Vents[v].Terminal != nil || p >= 0 && open[p] || g.stack[v] >= 0
	}
	return j.largestAbove(func(v int32) bool { return open[v] })
}

// stackVents judges whether a stack of many branch intervals has the vent stack and
// the relief vents that the code asks for. A vent stack takes off from the stack
// itself or where its foot comes into the drain, a relief vent from the stack.
func (j *judge) stackVents() {
	tall, tallCite, hasTall := j.number("vent-stack-intervals", "count")
	every, everyCite, hasEvery := j.number("stack-relief-intervals", "count")
	if !hasTall && !hasEvery {
		return
	}
	t, g := j.tree, &j.tree.vents
	// The vents that take off from a stack, by the node of its foot; made with the
	// first stack that is tall enough.
	var stacks, reliefs []int32
	_, intervalCite, _ := j.length(ruleBranchInterval)
	offset := j.work.flag(0, j.system)
	j.sizing.offsets(j.order, offset)
	counts := j.sizing.intervals
	if slices.ContainsFunc(j.order, func(i int32) bool { return offset[i] }) { // an offset makes no two stacks of one
		if j.wholeStack == nil {
			j.wholeStack = make([]int16, t.len())
		}
		j.sizing.countIntervals(j.order, j.work.length(0, j.system), j.wholeStack, func(i int32) bool {
			return j.sizing.upright(i) || offset[i]
		})
		counts = j.wholeStack
	}
	for _, i := range slices.Backward(j.order) {
		n := int(counts[i])
		if offset[t.parent[i]] {
			n = int(j.sizing.intervals[i])
		}
		needsVent, needsRelief := hasTall && n >= int(tall), hasEvery && every >= 1 && n > int(every)
		if !needsVent && !needsRelief || !t.point(i).Run.Vertical {
			continue
		}
		p := t.parent[i]
		if next := t.point(p); next != nil && next.Run.Vertical {
			continue // not the foot
		}
		if stacks == nil {
			stacks, reliefs = j.stackTakeOffs(offset)
		}
		own := stacks[i]
		if own == 0 && int(p) >= t.outlets {
			for v := range g.at(p) {
				if j.layout.Vents[v].Kind == VentStack {
					own++
				}
			}
		}
		if needsVent {
			finding.AtLeast(j.Judge, on("vent-stack-needed", j.id(i), weakestOf(tallCite, intervalCite)), count(own), 1,
				func() finding.Words {
					return finding.Words{Reason: fmt.Sprintf("Stack %s, of %d branch intervals, has %d vent stacks; at least 1.",
						j.id(i), n, own), Fix: "Run a vent stack beside it, from its foot up."}
				})
		}
		if needsRelief {
			has, least := reliefs[i], (n-1)/int(every)
			finding.AtLeast(j.Judge, on("stack-relief", j.id(i), weakestOf(everyCite, intervalCite)), count(has),
				count(least), func() finding.Words {
					return finding.Words{Reason: fmt.Sprintf("Stack %s, of %d branch intervals, has %d relief vents; at least "+
						"%d.", j.id(i), n, has, least),
						Fix: fmt.Sprintf("Relieve the stack at every %d branch intervals, counted from its top.", int(every))}
				})
		}
	}
}

// stackTakeOffs counts the vent stacks and the relief vents that leave each stack of
// the system in hand, by the node of its foot. Relief vents above an offset relieve the whole stack.
func (j *judge) stackTakeOffs(offset []bool) (stacks, reliefs []int32) {
	t, g := j.tree, &j.tree.vents
	stacks, reliefs = j.work.node(0, j.system), j.work.node(1, j.system)
	for _, i := range j.order {
		if !t.point(i).Run.Vertical && !offset[i] {
			continue
		}
		for v := range g.at(i) {
			switch j.layout.Vents[v].Kind {
			case VentStack:
				stacks[i]++
			case VentRelief:
				reliefs[i]++
			}
		}
		// What is upstream has been added already: hand it on downward.
		if p := t.parent[i]; int(p) >= t.outlets && (j.sizing.upright(p) || offset[p]) {
			reliefs[p] += reliefs[i]
			if !offset[i] && !offset[p] {
				stacks[p] += stacks[i]
			}
		}
	}
	return stacks, reliefs
}

// ventJoins judges whether each vent ends where what it is said to join is.
func (j *judge) ventJoins(h ventHeights, tops dryTops) {
	g, vents := &j.tree.vents, j.layout.Vents
	var noRims someRuns
	for v := range int32(len(vents)) {
		switch p := g.parent[v]; {
		case p >= 0:
			if !j.joinsVent(v, p, h, tops) {
				noRims.add(vents[v].ID)
			}
		case g.stack[v] >= 0:
			j.joinsStack(v, h)
		}
	}
	if _, cite, ok := j.length("vent-rim-clearance"); ok && noRims.count > 0 {
		j.Ask("vent-join", finding.Whole, tables.Designer,
			"No flood rim is given to hold the height against at which these vents join others: "+noRims.list("vents")+".",
			"Give the flood rim of the fixtures they serve (flood_rim).", cite)
	}
}

// joinsVent judges the join of vent v with vent p; judged is false if no flood rim is given for it.
func (j *judge) joinsVent(v, p int32, h ventHeights, tops dryTops) (judged bool) {
	x, other := &j.layout.Vents[v], &j.layout.Vents[p]
	floor, g := j.layout.FinishedFloor, &j.tree.vents
	low, high, end := h.start[p], h.end[p], h.end[v]
	if f := g.from[p]; f >= 0 && tops.length != nil {
		low -= tops.length[f] // vent already, though drawn as drain
	}
	if at := x.At; at != nil {
		place := floor + at.Height
		if at.Station != nil {
			place = heightAt(other, h.start[p], *at.Station)
		}
		if off := max(place-end, end-place); off > ventJoinSlack {
			j.Ask("vent-join", x.ID, tables.Designer,
				j.Text("Vent %s is said to join vent %s %s, and its runs end %s.", x.ID, other.ID, j.fromFloor(place),
					j.fromFloor(end)),
				"Mend the lengths of its runs, or where it joins (at).")
			return true
		}
	}
	switch {
	case end < low-ventJoinSlack && g.from[p] >= 0:
		j.Add(tables.Finding{Rule: "vent-join", Place: x.ID, Verdict: tables.Fail, Value: end - floor,
			Limit: low - floor, Margin: end - low,
			Reason: j.Text("The runs of vent %s end %s, and vent %s, which it is to join, begins %s: so low it meets the "+
				"drain and no vent.", x.ID, j.fromFloor(end), other.ID, j.fromFloor(low)),
			Fix: j.Text("Carry it up by %v more before it joins, or join another vent.",
				finding.Word(j.Move(end-floor, low-floor)))})
	case end < low-ventJoinSlack, end > high+ventJoinSlack:
		j.Ask("vent-join", x.ID, tables.Designer,
			j.Text("The runs of vent %s end %s, and vent %s, which it is to join, runs from %s to %s: the two do not meet.",
				x.ID, j.fromFloor(end), other.ID, j.fromFloor(low), j.fromFloor(high)),
			"Mend the lengths of the runs; until they agree the vent counts as joining where the other begins.")
	default:
		return j.joinsAboveRim(v, p, end)
	}
	return true
}

// fromFloor tells how high an elevation lies by the floor.
func (j *judge) fromFloor(at units.Length) string {
	if floor := j.layout.FinishedFloor; at < floor {
		return j.Text("%v below the floor", floor-at)
	}
	return j.Text("%v above the floor", at-j.layout.FinishedFloor)
}

// joinsAboveRim judges whether vent v joins vent p above the flood rims of what both serve:
// where a drain stops, its waste rises so far in its vent, and must not go on down
// the other. A stack vent begins above all that drains into the stack. An island vent is held
// to its own rims elsewhere. What no rim is given for is not judged.
func (j *judge) joinsAboveRim(v, p int32, end units.Length) (judged bool) {
	x, other := &j.layout.Vents[v], &j.layout.Vents[p]
	rims := j.sizing.vents[p].ownRims
	if x.Kind != VentIsland {
		rims.add(j.sizing.vents[v].rims)
	}
	clear, cite, ok := j.length("vent-rim-clearance")
	switch {
	case !ok, isStackVent(other):
		return true
	case !rims.known():
		return !rims.missing
	}
	finding.AtLeast(j.Judge, sided("vent-join", x.ID, "rim", cite), end-rims.highest, clear,
		func() finding.Words {
			return finding.Words{Off: "too low",
				What: j.Text("The height of the join with vent %s above the flood rims that the two serve", other.ID),
				Fix: j.Text("Carry it up to %v above the floor before it joins %s.",
					rims.highest+clear-j.layout.FinishedFloor, other.ID)}
		})
	return true
}

// joinsStack judges the join of a vent with a stack, at the point that it names.
func (j *judge) joinsStack(v int32, h ventHeights) {
	x, k := &j.layout.Vents[v], j.tree.vents.stack[v]
	low, high, end := j.levels.lower[k], j.levels.upper[k], h.end[v]
	if above := j.tree.uprightAbove(k); above >= 0 {
		high = j.levels.upper[above]
	}
	if end < low-ventJoinSlack || end > high+ventJoinSlack {
		j.Ask("vent-join", x.ID, tables.Designer,
			j.Text("The runs of vent %s end %s, and the stack at %s, which it is to join, stands from %s to %s: the two do "+
				"not meet.", x.ID, j.fromFloor(end), j.id(k), j.fromFloor(low), j.fromFloor(high)),
			"Mend the lengths of the runs, or name the point of the stack that it joins.")
	}
}
