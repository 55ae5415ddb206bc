package supply

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What is said where a ring has less with its links open than with them shut.
const (
	withOpen   = " That is with the links of the ring open."
	largerRing = "Lay the ring in larger pipe all round, or shut its link; a link alone that is larger takes more."
)

func (k *checker) fixturePressures() {
	open := k.open
	for _, i := range k.outlets() {
		x := &k.fixtures[i]
		shut := inPSI(x.Available)
		if open != nil {
			lower := *x
			lower.Available = min(x.Available, k.leastOpen(i, open))
			x = &lower
		}
		have, least, most := inPSI(x.Available), inPSI(x.Least), inPSI(x.Most)
		if usual := k.usualOfValve(i); x.Most == 0 && have >= 0 || usual.Pressure > 0 && have >= most {
			continue
		}
		f := &k.layout.data.Fixtures[i]
		out := atLeast(finding.Case{Rule: "fixture-pressure", Place: f.ID, Citation: x.Required.Citation}, have >= most,
			x.Available, x.Most, k.system.pressure)
		out.Reason = k.Sentence(&out, k.Text("The flowing pressure of %s at %s, with every run on the way at its own demand,",
			f.ID, k.layout.data.Points[x.at].ID), "at least", "too little")
		switch {
		case x.Stated:
			out.Reason += " The pressure asked is the maker's, as the layout states it."
		case x.Most == 0:
			out.Reason += " The code asks for none in particular; with less than none no water comes."
		}
		if have < shut {
			out.Reason += withOpen
		}
		switch {
		case x.Upper && have >= most && k.notCounted(x.at) != "":
			out.Verdict, out.SettledBy = tables.Ask, tables.Designer
			out.Reason = k.Text("What is left at %s without the loss of what has no figure (%s).",
				k.layout.data.Points[x.at].ID, k.notCounted(x.at))
			out.Fix = "State its loss, or a length or k of the fitting."
		case x.Upper && have >= most && k.allowsFriction(&out, x):
		case x.Upper && have >= most:
			out.Verdict, out.SettledBy = tables.Ask, tables.Authority
			out.Reason = k.Text("What is left at %s after height and fixed losses only: the code's table of pipes "+
				"by loading units gives no flow for lines that serve several outlets, so their friction is not in it.",
				k.layout.data.Points[x.at].ID)
			out.Fix = "Give the code a table of demand by an amendment, or size the layout under a code that has one."
		case out.Verdict == tables.Fail && have >= least:
			out.Verdict, out.SettledBy = tables.Ask, tables.Designer
			out.Reason += k.Text(" The code asks %v of some kinds of this fixture and %v of others, and the layout "+
				"does not say which it is.", k.system.pressure(x.Least), k.system.pressure(x.Most))
			out.Fix = "State the style of the fixture, or the pressure its maker asks."
		case out.Verdict == tables.Fail && shut >= most:
			out.Fix = largerRing
		case out.Verdict == tables.Fail:
			why, remedy := k.pressureRemedy(x)
			out.Reason, out.Fix = out.Reason+why, remedy
			if k.tank != nil && k.tank.fixtures[i].Available > x.Available {
				t := &k.tank.fixtures[i]
				k.curveDecides(&out, inPSI(t.Available) >= most, k.tank.runs[x.at].Flow,
					k.system.pressure(t.Available))
			}
		}
		k.Add(out)
	}
	k.flushValves()
	k.pressuresNotAsked()
}

// pressuresNotAsked asks, once, about fixtures of which the code's table of outlets asks no
// pressure, and which have less than it asks of the others.
func (k *checker) pressuresNotAsked() {
	most := k.code.mostAsked()
	var short []string
	lowest := -1
	for _, i := range k.outlets() {
		x := &k.fixtures[i]
		if x.at < 0 || x.Most > 0 || inPSI(x.Available) < 0 || inPSI(x.Available) >= inPSI(most.Pressure) {
			continue
		}
		short = append(short, x.Fixture)
		if lowest < 0 || x.Available < k.fixtures[lowest].Available {
			lowest = i
		}
	}
	if short == nil {
		return
	}
	f := k.outletAsks(&k.fixtures[lowest], most)
	f.Reason = k.Text("The code's table asks no pressure of such a fixture, and it has less than the table asks of "+
		"others: %s.", shortList(short))
	f.Fix = "State the pressure that its maker asks (pressure); draw what stands in a group fixture by fixture."
	k.Add(f)
}

// outletAsks is a question about a fixture beside the pressure that an outlet is asked to have.
func (k *checker) outletAsks(x *FixtureResult, asked Outlet) tables.Finding {
	f := atLeast(finding.Case{Rule: "fixture-pressure", Place: x.Fixture, Citation: asked.Citation}, false, x.Available,
		asked.Pressure, k.system.pressure)
	f.Verdict, f.SettledBy = tables.Ask, tables.Designer
	return f
}

// allowsFriction passes an outlet of a code that sizes by loading units and works out no
// friction: what is left after height and fixed losses covers what the outlet needs and what
// the method takes pipe and fittings to cost.
func (k *checker) allowsFriction(f *tables.Finding, x *FixtureResult) bool {
	friction, _, ok := ruled[units.Pressure](k.code, "friction-allowance")
	if !ok || inPSI(x.Available-friction) < inPSI(x.Most) {
		return false
	}
	left := x.Available - friction
	f.Verdict, f.Value, f.Margin = tables.Pass, k.system.pressure(left), k.system.pressure(left-x.Most)
	f.Reason = k.Text("%v is left at %s after height and fixed losses; the method takes pipe and fittings to cost up to "+
		"%v of it.", k.system.pressure(x.Available), k.layout.data.Points[x.at].ID, k.system.pressure(friction))
	return true
}

// usualOfValve returns what the IPC asks of a flush valve that meets what its own code asks
// of any outlet and not that; zero for other fixtures.
func (k *checker) usualOfValve(i int) Outlet {
	x := &k.fixtures[i]
	if have := inPSI(x.Available); !x.Stated && !x.Upper && have >= inPSI(x.Most) {
		if usual := k.code.usualOfValve(&k.layout.data.Fixtures[i].Fixture); have < inPSI(usual.Pressure) {
			return usual
		}
	}
	return Outlet{}
}

// flushValves asks, once, what the makers of flush valves want that may stand too low.
func (k *checker) flushValves() {
	var out tables.Finding
	var others []string
	var lowest units.Pressure
	for _, i := range k.outlets() {
		x := &k.fixtures[i]
		usual := k.usualOfValve(i)
		if usual.Pressure == 0 {
			continue
		}
		others = append(others, x.Fixture)
		if margin := x.Available - usual.Pressure; out.Place == "" || margin < lowest {
			lowest = margin
			out = k.outletAsks(x, usual)
			out.Reason = k.Text("A flush valve needs what its maker says, often more than this code asks of an outlet; "+
				"%s asks %v of one.", usual.Citation.Source(), out.Limit)
			out.Fix = "State the pressure that its maker asks (pressure)."
		}
	}
	if out.Place == "" {
		return
	}
	if others = slices.DeleteFunc(others, func(id string) bool { return id == out.Place }); len(others) > 0 {
		out.Reason += k.Text(" The same at %s.", shortList(others))
	}
	k.Add(out)
}

// notCounted says what on the way to a point has no figure.
func (k *checker) notCounted(point int) string {
	for i := int32(point); i >= 0; i = k.layout.parent[i] {
		if k.runs[i].NotCounted != "" {
			return k.runs[i].NotCounted
		}
	}
	return ""
}

// lossesNotCounted asks about runs with a fitting or a device of which there is no
// figure, those of one kind together.
func (k *checker) lossesNotCounted() {
	k.sourceLevel()
	var without grouped.By[string, int]
	for _, i := range k.points() {
		if what := k.runs[i].NotCounted; what != "" {
			without.Add(what, i)
		}
	}
	for what, runs := range without.All() {
		k.Ask("loss-not-counted", k.layout.data.Points[runs[0]].ID, tables.Designer,
			k.Text("There is no figure for what it loses (%s), and none was counted, at %s.", what, k.ids(runs)),
			"State its loss, or a length or k of the fitting; the maker gives them.", tables.Citation{})
	}
}

// storey is how far a street may well lie below what is taken for its height.
const storey = 10 * units.Foot

// sourceLevel says how high the source was taken to lie where points have elevations and it
// has none, and asks where a storey more would leave a fixture short.
func (k *checker) sourceLevel() {
	l := k.layout
	if l.level == nil || l.data.Source.Elevation != nil {
		return
	}
	more := units.Pressure(k.worked.weight(Cold) * storey.Metres())
	with := k.pressuresWith(func(i int32, in units.Pressure) units.Pressure {
		if l.parent[i] < 0 {
			in -= more
		}
		return l.data.Points[i].Device.held(in-k.runs[i].loss(), k.runs[i].Flow)
	})
	var short []string
	k.lacking(with, func(id string, _ int32, _ units.Pressure) { short = append(short, id) })
	taken := k.Text("the height of the source follows from that of the first point with an elevation and from the rises "+
		"on the way, %v", k.system.length(l.sourceAt))
	if len(short) == 0 {
		k.Assume("loss-not-counted", l.data.Source.ID, taken, "source.elevation")
		return
	}
	k.Ask("loss-not-counted", l.data.Source.ID, tables.Designer,
		k.Text("The source has no elevation: %s. %v lower it would leave too little at %s.", taken, k.system.length(storey),
			shortList(short)), "State the elevation of the source.", tables.Citation{})
}

// gardenTap is the fixture of which some codes let the static pressure be higher.
const gardenTap = "hose-bibb"

// mostStatic judges the greatest static pressure, of garden taps or of the other fixtures; of
// all, where the code has one limit.
func (k *checker) mostStatic(rule string, judged func(f *LayoutFixture) bool) {
	limit, cite, ok := ruled[units.Pressure](k.code, rule)
	worst, at := units.Pressure(0), -1
	for _, i := range k.outlets() {
		if x := &k.fixtures[i]; judged(&k.layout.data.Fixtures[i]) && (at < 0 || x.Static > worst) {
			worst, at = x.Static, i
		}
	}
	if at < 0 || !ok {
		return
	}
	over := inPSI(worst) > inPSI(limit)
	f := atMost(finding.Case{Rule: "static-pressure", Place: k.layout.data.Fixtures[at].ID, Citation: cite}, !over,
		worst, limit, k.system.pressure)
	f.Reason = k.Sentence(&f, "The pressure at "+f.Place+" while nothing flows", "limit", "too much")
	if !over && k.layout.data.Source.Static == 0 && !k.regulated() {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason = "The pressure of the source while nothing flows is not given. That while the building draws was " +
			"taken, and there is more while nothing flows."
		f.Fix = askStatic
	}
	k.setOverLimit(&f, k.fixtures[at].at)
	if id := k.boosterUncut(k.fixtures[at].at); !over && id != "" {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason = k.Text("The pressure at which the booster at %s stops is not given, and while nothing flows it "+
			"is more than that at which it starts, which was taken.", id)
		f.Fix = "State the cut_out of the booster; one that holds its pressure states the pressure it is set to."
	}
	if over {
		f.Fix = "Set a pressure regulator with a strainer after the meter, and look to thermal expansion behind it."
		switch d, id := k.lastOn(k.fixtures[at].at, (*Device).parts); {
		case d.regulator() && d.Set > worst-limit:
			f.Fix = k.Text("Set the regulator at %s to %v or less.", id, k.system.pressure(d.Set-(worst-limit)))
		case d.booster():
			f.Fix = k.Text("Let the booster at %s stop at %v or less, or set a pressure regulator behind it.", id,
				k.system.pressure(cmp.Or(d.CutOut, d.Set)-(worst-limit)))
		}
	}
	k.Add(f)
}

// askStatic is what to do where the pressure of the source while nothing flows decides.
const askStatic = "Ask the water supplier for the static pressure, and state it."

// setOverLimit turns a fail into a question where a regulator alone lets so much stand at a
// point, and nobody says whether the street has it.
func (k *checker) setOverLimit(f *tables.Finding, point int) {
	src := &k.layout.data.Source
	d, id := k.lastOn(point, (*Device).regulator)
	if f.Verdict != tables.Fail || d == nil || src.Static > 0 || src.Pressure >= d.Set {
		return
	}
	f.Verdict, f.SettledBy = tables.Ask, tables.Designer
	f.Reason = k.Text("The pressure of the source while nothing flows is not given, and the regulator at %s lets up to "+
		"%v of it stand behind it.", id, k.system.pressure(d.Set))
}

func (k *checker) staticPressures() {
	_, apart := k.code.Rule("static-pressure-garden")
	k.mostStatic("static-pressure-max", func(f *LayoutFixture) bool { return !apart || f.Kind != gardenTap })
	k.mostStatic("static-pressure-garden", func(f *LayoutFixture) bool { return f.Kind == gardenTap })
	if limit, cite, ok := ruled[units.Pressure](k.code, "static-pressure-min"); ok {
		// A static pressure that is stated is no less than the flowing.
		static := max(k.layout.data.Source.Static, k.layout.data.Source.Pressure)
		f := atLeast(finding.Case{Rule: "static-pressure-least", Place: k.layout.data.Source.ID, Citation: cite},
			static >= limit, static, limit, k.system.pressure)
		f.Reason = k.Sentence(&f, "The pressure at the entrance of the service, "+f.Place+",", "at least", "too little")
		f.Fix = "A booster pump, or another source."
		k.Add(f)
	}
}

func (k *checker) devicesAtFlow() {
	var behind []behindDevice // of each point, once a device asks for it
	for i := range k.runs {
		d := k.layout.data.Points[i].Device
		if d == nil {
			continue
		}
		r := &k.runs[i]
		id := k.layout.data.Points[i].ID
		if r.Basis == NotKnown && (d.Kind == "meter" || len(d.Curve) > 0 || len(d.Holds) > 0) {
			k.Ask("device-flow", id, tables.Designer, k.Text("The code gives no flow here, so that neither the size of "+
				"the %s nor its loss can be judged.", d.Kind),
				"Ask its maker with the sum of loading units, "+r.Load.In(k.code.unit)+".", tables.Citation{})
			continue
		}
		at := finding.Case{Rule: "device-flow", Place: id, Citation: r.deviceLoss().Citation}
		if most := r.deviceLoss().Beyond; most > 0 {
			f := atMost(at, false, r.Flow, most, k.system.flow)
			f.Fix = "Take a greater one."
			what := k.Text("The demand through the %s at %s", spaced(d.Kind), id)
			f.Reason = k.Sentence(&f, what, "limit", "too much") +
				" Its figures end there, and its loss was carried on by the square of the flow."
			if k.tank != nil && k.tank.runs[i].Flow < r.Flow {
				t := &k.tank.runs[i]
				k.curveDecides(&f, t.deviceLoss().Beyond == 0, t.Flow, k.system.flow(t.Flow))
			}
			k.Add(f)
		} else if d.Kind == "meter" && !at.Citation.IsZero() {
			k.Add(tables.Finding{
				Rule: at.Rule, Place: id, Verdict: tables.Pass, Value: k.system.flow(r.Flow), Citation: at.Citation,
				Reason: k.Text("The meter's figures cover the demand; it costs %v.", k.system.pressure(r.Device)),
			})
		}
		if !r.deviceLoss().Stated && !at.Citation.IsZero() && d.Kind != "meter" && d.Kind != "tap" {
			if behind == nil {
				behind = k.behindEach()
			}
			k.typicalLoss(i, &behind[i], at.Citation)
		}
	}
}

// behindDevice is what hangs on the loss of a device: what lies behind it.
type behindDevice struct {
	least units.Pressure // the least that a fixture there has to spare
	asks  bool           // a point there needs a pressure or is fed at one of its own, or pressure decided a size
}

// behindEach gathers what lies behind each point, itself among it.
func (k *checker) behindEach() []behindDevice {
	l, enlarged := k.layout, false
	for i := range k.runs {
		enlarged = enlarged || k.decided(i) == ByPressure
	}
	list := make([]behindDevice, l.Len())
	for i := range list {
		p := &l.data.Points[i]
		list[i] = behindDevice{least: units.Pressure(math.Inf(1)), asks: enlarged || p.Needs > 0 || p.Device.parts()}
	}
	for fix := range k.fixtures {
		spare := k.fixtures[fix].Margin()
		for p := range l.ports(fix) {
			list[p].least = min(list[p].least, spare)
		}
	}
	for _, i := range slices.Backward(l.order) {
		if p := l.parent[i]; p >= 0 {
			list[p].least = min(list[p].least, list[i].least)
			list[p].asks = list[p].asks || list[i].asks
		}
	}
	return list
}

// typicalLoss tells what a device without a figure of its own was taken to lose: a question
// where half as much again would leave an outlet short, less would serve one or let pipe that
// pressure made large be smaller.
func (k *checker) typicalLoss(device int, behind *behindDevice, c tables.Citation) {
	r, p := &k.runs[device], &k.layout.data.Points[device]
	id, what := p.ID, preventer(p.Device.Kind)
	basis := "the upper end of what designers allow"
	if c.Table() == backflowCeiling {
		basis = "the most that the standard of such assemblies lets one lose at its rated flow"
	}
	if !behind.asks && behind.least >= r.Device/2 {
		k.Assume("device-loss", id, k.Text("the %s loses %v, %s", what, k.system.pressure(r.Device), basis),
			"device.loss, or device.curve")
		return
	}
	k.asks(finding.Case{Rule: "device-loss", Place: id, Citation: c}, tables.Designer, k.system.pressure(r.Device), nil,
		k.Text("No loss of the %s is given: %v is taken, %s.", what, k.system.pressure(r.Device), basis),
		"Put the maker's loss or curve in the layout.")
}

// lossMethod sets what Hazen-Williams gives, where it is stretched, beside
// Darcy-Weisbach.
func (k *checker) lossMethod() {
	if k.plain || k.opt.method() != hydraulics.HazenWilliams {
		return
	}
	var notes hydraulics.Notes
	first := -1
	h, sizes := k.again()
	for i := range k.runs {
		r := &k.runs[i]
		if r.Flow == 0 {
			continue
		}
		res, err := h.resistance(r.family, sizes[i], k.layout.service[i])
		if err != nil {
			return
		}
		loss, err := res.Loss(r.Flow)
		if err != nil {
			return
		}
		// The place is told by its name, so that the order of the layout plays no part.
		if points := k.layout.data.Points; loss.Notes != 0 && (first < 0 || points[i].ID < points[first].ID) {
			first = i
		}
		notes |= loss.Notes
	}
	if first < 0 {
		return
	}
	h.opt.Method = hydraulics.DarcyWeisbach
	h.forget()
	other, err := h.analyse(sizes)
	if err != nil {
		return
	}
	place, text := k.layout.data.Points[first].ID, k.Text("Losses are by Hazen-Williams: %s.", notes)
	widest, most, moved := -1, 0.0, []string{}
	for _, i := range k.outlets() {
		x, y := &k.fixtures[i], &other.fixtures[i]
		if x.Most == 0 || x.Upper {
			continue
		}
		apart := math.Abs(float64(x.Available - y.Available))
		if widest < 0 || apart > most ||
			apart == most && k.layout.data.Fixtures[i].ID < k.layout.data.Fixtures[widest].ID {
			widest, most = i, apart
		}
		if (x.Margin() < 0) != (y.Margin() < 0) {
			moved = append(moved, k.layout.data.Fixtures[i].ID)
		}
	}
	if widest >= 0 {
		one := k.Text("%v", k.system.pressure(k.fixtures[widest].Available))
		if two := k.Text("%v", k.system.pressure(other.fixtures[widest].Available)); one == two {
			text += " By Darcy-Weisbach every fixture has the same to the last digit printed"
		} else {
			text += k.Text(" By Darcy-Weisbach %s has %s in place of %s, the widest difference",
				k.layout.data.Fixtures[widest].ID, two, one)
		}
		text += "."
	}
	if len(moved) == 0 {
		taken := strings.TrimSuffix(strings.Replace(text, "Losses are by", "losses by", 1), ".")
		k.Assume("loss-method", place, taken, "another water_code")
		return
	}
	slices.SortFunc(moved, visible.Counted)
	k.Ask("loss-method", place, tables.Authority,
		k.Text("%s These fixtures change verdict by it: %s.", text, shortList(moved)),
		"Size it by Darcy-Weisbach, or ask which the authority takes.", tables.Citation{})
}

// before is what stands at a point before any pipe has taken its friction.
type before struct {
	left      units.Pressure // after height and devices
	regulator string         // the point of the last regulator that holds, or empty: the source
	dearest   int            // of the runs behind that, the one whose device takes most; -1: none takes any
}

// beforeFriction works out what height and devices alone leave of the pressure at a point.
func (a *Analysis) beforeFriction(point int) before {
	l := a.layout
	b := before{left: a.street, dearest: -1}
	for _, i := range l.wayTo(point) {
		r := &a.runs[i]
		b.left -= r.Rise + r.Device
		if r.Device > 0 && (b.dearest < 0 || r.Device > a.runs[b.dearest].Device) {
			b.dearest = i
		}
		if d := l.data.Points[i].Device; d.parts() && d.held(b.left, r.Flow) != b.left {
			b.left, b.regulator, b.dearest = d.held(b.left, r.Flow), l.data.Points[i].ID, -1
		}
	}
	return b
}

// pressureRemedy says why a fixture lacks pressure and what would bring it: where no
// pipe can, what is short before any friction; else what costs most on the way.
func (k *checker) pressureRemedy(x *FixtureResult) (why, remedy string) {
	b := k.beforeFriction(x.at)
	lack := x.Most - b.left
	if inPSI(lack) <= 0 {
		var most BudgetLine
		for _, line := range k.Budget(x.at) {
			if line.Loss > most.Loss {
				most = line
			}
		}
		return "", k.Text("The greatest loss on the way is %s at %s, %v. ", most.What, most.Point,
			k.system.pressure(most.Loss)) + k.largerPipes(x)
	}
	why = k.Text(" Height and devices leave %v before any friction, %v too little, and no larger pipe brings that.",
		k.system.pressure(b.left), k.system.pressure(lack))
	all := k.system.pressure(x.Most - x.Available)
	remedy = k.Text("It takes %v more at the street, in these sizes, or a booster pump that adds it.", all)
	if b.regulator != "" {
		remedy = k.Text("Set the regulator at %s %v higher, in these sizes, if the pressure before it allows, or "+
			"set a booster pump that adds it.", b.regulator, all)
	}
	if b.dearest >= 0 {
		d, cost := k.layout.data.Points[b.dearest].Device, k.runs[b.dearest].Device
		part := "brings a part of it"
		if cost >= x.Most-x.Available {
			part = k.Text("by %v would do", all)
		}
		remedy += k.Text(" The %s at %s takes %v; one that takes less %s.", preventer(d.Kind),
			k.layout.data.Points[b.dearest].ID, k.system.pressure(cost), part)
	}
	return why, remedy
}

// mostTrials is for how many fixtures the pipe that would serve them is looked for.
const mostTrials = 50

// largerPipes says which larger pipe on the way brings a fixture its pressure. It is tried
// before it is said: the run that gains most by its next size grows, and those that feed it
// follow, until the fixture is served.
func (k *checker) largerPipes(x *FixtureResult) string {
	none := k.Text("No larger pipe on the way brings it: %v more at the street would, in these sizes, or a booster "+
		"pump that adds it.", k.system.pressure(x.Most-x.Available))
	if k.trials++; k.trials > mostTrials {
		return "Enlarge the runs on the way, or bring up the pressure."
	}
	if k.trial == nil {
		h, err := k.layout.prepare(k.code, k.opt, nil)
		if err != nil {
			return none
		}
		k.trial = h
	}
	h := k.trial
	var way []int32 // from the fixture up
	for i := int32(x.at); i >= 0; i = k.layout.parent[i] {
		way = append(way, i)
	}
	sizes := make(map[int32]int, len(way))
	runs := make(map[int32]*run, len(way))
	for _, i := range way {
		if all, err := k.layout.family(k.code, k.runs[i].family.id); err == nil {
			h.families[i] = k.code.sold(all, k.runs[i].Size)
		}
		r := k.runs[i]
		runs[i], sizes[i] = &r, h.families[i].size(r.Size)
	}
	left := x.Available
	for inPSI(left) < inPSI(x.Most) {
		if !h.growBest(way, sizes, runs) {
			return none
		}
		left = h.street
		for n := len(way) - 1; n >= 0; n-- {
			i := way[n]
			left = k.layout.data.Points[i].Device.held(left-runs[i].loss(), k.runs[i].Flow)
		}
	}
	var grown []string
	for n := len(way) - 1; n >= 0; n-- {
		i := way[n]
		if s := &h.families[i].sizes[sizes[i]]; s.Size != k.runs[i].Size {
			grown = append(grown, k.Text("%v at %s", h.families[i].name(s), k.layout.data.Points[i].ID))
		}
	}
	return k.Text("Lay %s: then it has %v.", shortList(grown), k.system.pressure(left))
}

// growBest gives its next size to the run on a way that gains most by it, and to those that
// feed it what they need to follow; false if none gains.
func (h *calculation) growBest(way []int32, sizes map[int32]int, runs map[int32]*run) bool {
	best, gains := -1, units.Pressure(0)
	for n, i := range way {
		if sizes[i] < 0 || sizes[i]+1 >= len(h.families[i].sizes) {
			continue
		}
		var next run
		if !h.hasFigures(i, sizes[i]+1, &next) {
			continue
		}
		if gain := runs[i].loss() - next.loss(); gain > gains {
			best, gains = n, gain
		}
	}
	if best < 0 {
		return false
	}
	sizes[way[best]]++
	for n := best; n < len(way); n++ {
		i := way[n]
		if n > best {
			sizes[i] = h.atLeastAs(i, sizes[i], &h.families[way[n-1]].sizes[sizes[way[n-1]]])
		}
		var r run
		if !h.hasFigures(i, sizes[i], &r) {
			return false
		}
		runs[i] = &r
	}
	return true
}

// drawnNeeds judges the pressure of what is drawn without end, and that boosters are fed.
func (k *checker) drawnNeeds() {
	open := k.open
	for i := range k.runs {
		p, r := &k.layout.data.Points[i], &k.runs[i]
		if p.Needs > 0 {
			out := r.Out
			if open != nil {
				out = min(out, open[i])
			}
			ok := inPSI(out) >= inPSI(p.Needs)
			f := atLeast(finding.Case{Rule: "fixture-pressure", Place: p.ID}, ok, out, p.Needs, k.system.pressure)
			f.Reason = k.Sentence(&f, k.Text("The flowing pressure at %s, for the %v that it draws all the time,", p.ID,
				k.system.flow(p.Continuous)), "at least", "too little")
			if out < r.Out {
				f.Reason += withOpen
			}
			switch {
			case !ok && inPSI(r.Out) >= inPSI(p.Needs):
				f.Fix = largerRing
			case !ok:
				f.Fix = k.largerPipes(&FixtureResult{at: i, Available: r.Out, Most: p.Needs})
			case r.Upper:
				f.Verdict, f.SettledBy = tables.Ask, tables.Designer
				f.Fix = "State what is not known on the way: what is left is less than this."
			}
			k.Add(f)
		}
		if in := r.Out + r.Reduced; p.Device.booster() && in < 0 {
			f := atLeast(finding.Case{Rule: "booster-feed", Place: p.ID}, false, in, 0, k.system.pressure)
			k.starves(&f, i)
			k.Add(f)
		}
	}
}

// starves says why a booster sucks, and what would feed it.
func (k *checker) starves(f *tables.Finding, i int) {
	f.Reason = k.Sentence(f, "The pressure before the pump at "+f.Place+" while the building draws", "at least",
		"too little") + " It would suck, and no water comes."
	f.Fix = "Enlarge the line to it, set it lower or nearer to the street, or feed it from a break tank."
	r := &k.runs[i]
	if left := k.beforeFriction(int(k.layout.parent[i])).left - r.Rise - r.Device; inPSI(left) < 0 {
		f.Reason += k.Text(" Height and devices leave %v before any friction, and no larger pipe brings more.",
			k.system.pressure(left))
		f.Fix = "Set it lower or nearer to the street, or feed it from a break tank."
	}
}

// What a layout leaves unsaid is no pass in silence: each of these is a question where an
// answer hangs on it, else a line of what was taken.

// regulators lists the regulators that were taken to hold their pressure at any flow, and
// asks where the fall-off that is usual would leave a fixture short that has enough.
func (k *checker) regulators() {
	l := k.layout
	fall, err := k.code.typicalLoss("regulator-fall-off")
	if err != nil {
		return
	}
	perfect := func(i int32) bool {
		d := l.data.Points[i].Device
		return d.regulator() && d.FallOff == 0 && len(d.Holds) == 0
	}
	by := make([]int32, l.Len()) // the regulator that makes the difference, -1 for none
	out := k.pressuresWith(func(i int32, in units.Pressure) units.Pressure {
		if by[i] = -1; l.parent[i] >= 0 {
			by[i] = by[l.parent[i]]
		}
		p := l.data.Points[i].Device.held(in-k.runs[i].loss(), k.runs[i].Flow)
		if perfect(i) && p > l.data.Points[i].Device.Set-fall.Loss {
			p, by[i] = l.data.Points[i].Device.Set-fall.Loss, i
		}
		return p
	})
	short := map[int32][]string{}
	k.lacking(out, func(id string, at int32, _ units.Pressure) { short[by[at]] = append(short[by[at]], id) })
	for _, i := range l.order {
		if perfect(i) {
			k.fallOff(i, short[i], fall)
		}
	}
}

// pressuresWith works out the pressure at each point with another loss on the way: at is what
// is left at a point of what its run is fed with.
func (k *checker) pressuresWith(at func(i int32, in units.Pressure) units.Pressure) []units.Pressure {
	out := make([]units.Pressure, k.layout.Len())
	for _, i := range k.layout.order {
		in := k.street
		if p := k.layout.parent[i]; p >= 0 {
			in = out[p]
		}
		out[i] = at(i, in)
	}
	return out
}

// lacking finds what has the pressure it needs, and with those pressures would not: fixtures by
// the first of their ports that is short, then what is drawn without end.
func (k *checker) lacking(with []units.Pressure, found func(id string, at int32, needs units.Pressure)) {
	for _, fix := range k.outlets() {
		x := &k.fixtures[fix]
		for p := range k.layout.ports(fix) {
			if inPSI(x.Available) >= inPSI(x.Most) && inPSI(with[p]) < inPSI(x.Most) {
				found(x.Fixture, p, x.Most)
				break
			}
		}
	}
	for _, i := range k.points() {
		p := &k.layout.data.Points[i]
		if p.Needs > 0 && inPSI(k.runs[i].Out) >= inPSI(p.Needs) && inPSI(with[i]) < inPSI(p.Needs) {
			found(p.ID, int32(i), p.Needs)
		}
	}
}

// fallOff says that a regulator was taken to be perfect, and asks where others fall short.
func (k *checker) fallOff(i int32, short []string, fall DeviceCost) {
	p := &k.layout.data.Points[i]
	set := k.system.pressure(p.Device.Set)
	if len(short) == 0 {
		k.Assume("regulator-fall-off", p.ID, k.Text("the regulator holds %v at any flow", set),
			"device.fall_off, or device.holds")
		return
	}
	most := k.system.pressure(fall.Loss)
	k.asks(finding.Case{Rule: "regulator-fall-off", Place: p.ID, Citation: fall.Citation}, tables.Designer, nil, most,
		k.Text("No fall-off is given: the regulator is taken to hold %v at any flow. Regulators fall off by up "+
			"to %v under flow, which would leave too little at %s.", set, most, shortList(short)),
		"State its fall-off at the demand (fall_off), or its maker's chart of pressure by flow (holds).")
}

// regulated reports whether every fixture stands behind a regulator, whose setting is
// then what stands there while nothing flows.
func (k *checker) regulated() bool {
	l := k.layout
	behind := make([]bool, l.Len())
	for _, i := range l.order {
		behind[i] = l.data.Points[i].Device.regulator() || l.parent[i] >= 0 && behind[l.parent[i]]
	}
	for i := range l.data.Fixtures {
		for p := range l.ports(i) {
			if !behind[p] {
				return false
			}
		}
	}
	return true
}

// boosterUncut returns where the last booster on the way to a point stands if the pressure at
// which it stops is not given and no regulator stands behind it.
func (k *checker) boosterUncut(point int) string {
	for i := int32(point); i >= 0; i = k.layout.parent[i] {
		p := &k.layout.data.Points[i]
		switch {
		case p.Device.regulator():
			return ""
		case p.Device.booster() && p.Device.CutOut == 0:
			return p.ID
		}
	}
	return ""
}

// lastOn returns the last device of a sort on the way to a point, and where it stands; nil:
// there is none.
func (k *checker) lastOn(point int, sort func(*Device) bool) (*Device, string) {
	for i := int32(point); i >= 0; i = k.layout.parent[i] {
		if p := &k.layout.data.Points[i]; sort(p.Device) {
			return p.Device, p.ID
		}
	}
	return nil, ""
}

// closesTheWay finds what last shuts the way from the main to a heater: a device, or a
// check valve drawn among the fittings of a cold run. It returns the point, -1 for none.
func (l *Layout) closesTheWay(heater int32) (point int32, what string) {
	for i := heater; i >= 0; i = l.parent[i] {
		p := &l.data.Points[i]
		if d := p.Device; d != nil {
			switch d.Kind {
			case "reduced-pressure", "double-check", "dual-check", "backflow-any",
				"pressure-vacuum-breaker", "check-valve", "regulator", boosterPump:
				return i, preventer(d.Kind) + " at " + p.ID
			}
		}
		for _, t := range p.Fittings {
			if l.service[i] == Cold && strings.Contains(t.Fitting, "check-valve") {
				return i, "check valve at " + p.ID
			}
		}
	}
	return -1, ""
}

// ports asks about fixtures on a line that the code does not list for them, and about
// those that have hot water elsewhere and none here.
func (k *checker) ports() {
	l := k.layout
	items := k.worked.items
	var cold []string
	for _, i := range k.outlets() {
		switch f := &l.data.Fixtures[i]; {
		case items[i].ports == "cold" && l.hot[i] >= 0:
			k.Ask("fixture-ports", f.ID, tables.Designer, k.Text("A %s takes cold water only; it is drawn with a hot "+
				"port at %s.", spaced(f.Kind), f.Hot), "Move its port to the cold line.", items[i].Citation)
		case items[i].ports == "hot" && l.hot[i] < 0:
			k.Ask("fixture-ports", f.ID, tables.Designer, k.Text("The code counts a %s on hot water; it is drawn on cold "+
				"water only, and its load is taken there.", spaced(f.Kind)),
				"Move its port to the hot line, or leave it so if that is how it is fed.", items[i].Citation)
		case items[i].ports == "both" && l.hot[i] < 0 && l.cold[i] >= 0 && f.Kind != "bidet":
			cold = append(cold, f.ID)
		}
	}
	if len(cold) > 0 {
		k.Ask("fixture-ports", cold[0], tables.Designer,
			k.Text("Drawn on cold water only, without a hot port: %s. What it counts for is taken on the cold line.",
				shortList(cold)), "State the hot port, or leave it so if there is none.", tables.Citation{})
	}
}

// servesNothing asks about lines that end at no fixture: a port that was keyed at another
// point leaves its line without load, and so small.
func (k *checker) servesNothing() {
	l := k.layout
	linked := map[string]bool{}
	for i := range l.data.Links {
		linked[l.data.Links[i].Between[0]], linked[l.data.Links[i].Between[1]] = true, true
	}
	var ends []int
	for _, i := range k.points() {
		p := &l.data.Points[i]
		tank := p.Device != nil && p.Device.Kind == expansionTank
		if l.kids[i] == 0 && len(l.FixturesAt(i)) == 0 && p.Continuous == 0 && l.service[i] != Recirculated &&
			!tank && !linked[p.ID] {
			ends = append(ends, i)
		}
	}
	if len(ends) == 0 {
		return
	}
	k.Ask("line-serves-nothing", l.data.Points[ends[0]].ID, tables.Designer,
		k.Text("No fixture and no flow stands where the line ends, at %s: nothing is counted there, and water "+
			"that nobody draws goes stale.", k.ids(ends)),
		"State the fixture that it is for, with later if that comes later, or leave the line out.", tables.Citation{})
}

// fittingsUnsaid says how many runs name no fitting, for which none is counted, and asks
// where half their friction again would leave a fixture short.
func (k *checker) fittingsUnsaid() {
	l := k.layout
	without := 0
	with := k.pressuresWith(func(i int32, in units.Pressure) units.Pressure {
		r := &k.runs[i]
		in -= r.loss()
		if len(l.data.Points[i].Fittings) == 0 && l.data.Points[i].Length > 0 {
			in -= r.Friction / 2
			without++
		}
		return l.data.Points[i].Device.held(in, r.Flow)
	})
	if without == 0 {
		return
	}
	if x := l.data.FittingsAllowance; x > 0 {
		k.Add(tables.Finding{Rule: "fittings-not-given", Place: l.data.Source.ID, Verdict: tables.Pass,
			Value: count(without),
			Reason: k.Text("The job adds %.0f %% of their length for fittings to the runs that name none: %s.", 100*x,
				counted(without, "run"))})
		return
	}
	var short []string
	k.lacking(with, func(id string, _ int32, needs units.Pressure) {
		if needs > 0 {
			short = append(short, id)
		}
	})
	if len(short) == 0 {
		k.Assume("fittings-not-given", l.data.Source.ID, k.Text("no loss of fittings is counted where none are "+
			"named: %s", counted(without, "run")), "fittings of the runs, or fittings_allowance")
		return
	}
	k.asks(finding.Case{Rule: "fittings-not-given", Place: l.data.Source.ID}, tables.Designer, count(without), nil,
		k.Text("No loss of fittings is counted where none are named: %s. Half as much friction again, "+
			"as fittings often take, would leave too little at %s.", counted(without, "run"), shortList(short)),
		"State the fittings of the runs on the way.")
}

// preventer is what a device that lets no water back is called.
func preventer(kind string) string {
	switch kind {
	case "reduced-pressure", "double-check", "dual-check":
		return kind + " backflow preventer"
	}
	return spaced(kind)
}

// spaced is a word of a table as people read it.
func spaced(word string) string { return strings.ReplaceAll(word, "-", " ") }
