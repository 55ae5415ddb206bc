package supply

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Check judges the layout against the code: velocities, pressures, sizes, hot
// water, what lies below the slab, tests. Findings come in a fixed order: by rule,
// then as the layout lists its items. A finding whose limit rests on a row that
// nobody has seen in print is an ask; so is each such row that a load or a flow
// came from, once. Results are calculations for the engineer and the inspector,
// and no approval.
func (a *Analysis) Check() ([]tables.Finding, error) {
	k := &checker{Analysis: a, trade: a.trade()}
	k.velocities()
	if err := k.unitPipes(); err != nil {
		return nil, err
	}
	k.fixturePressures()
	k.staticPressures()
	k.supplySizes()
	k.serviceSize()
	k.lineSizes()
	k.devicesAtFlow()
	if err := k.hotWater(); err != nil {
		return nil, err
	}
	k.slab()
	if err := k.sleeves(); err != nil {
		return nil, err
	}
	k.separation()
	k.test()
	if err := k.surges(); err != nil {
		return nil, err
	}
	k.cautions()
	k.regulators()
	k.ports()
	k.fittingsUnsaid()
	k.mixedClosets()
	k.lossMethod()
	k.loadsNotGiven()
	k.demandsBeside()
	k.lossesNotCounted()
	k.standings()
	for i := range k.list {
		k.list[i] = k.list[i].Settle()
	}
	return k.list, nil
}

type checker struct {
	*Analysis
	trade trade
	list  []tables.Finding
}

func (k *checker) add(f tables.Finding) { k.list = append(k.list, f) }

// judge is Pass or Fail.
func judge(ok bool) tables.Verdict {
	if ok {
		return tables.Pass
	}
	return tables.Fail
}

func (k *checker) velocities() {
	lim := &limits{h: &calculation{l: k.Layout, c: k.Code, families: make([]*PipeFamily, k.Layout.Len())}}
	for i := range k.Runs {
		lim.h.families[i] = k.Runs[i].Pipe
	}
	type unjudged struct {
		material string
		service  Service
	}
	var without []unjudged
	runs := map[unjudged][]string{}
	for i := range k.Runs {
		r := &k.Runs[i]
		if r.Flow == 0 || r.Basis == NotKnown {
			continue
		}
		limit, ok := lim.of(i)
		if !ok {
			u := unjudged{r.Pipe.material, k.Layout.service[i]}
			if runs[u] == nil {
				without = append(without, u)
			}
			runs[u] = append(runs[u], k.Layout.data.Points[i].ID)
			continue
		}
		ok = within(r.Velocity, limit.Velocity)
		f := tables.Finding{
			Rule: "water-velocity", Place: k.Layout.data.Points[i].ID, Verdict: judge(ok),
			Value: k.trade.velocity(r.Velocity), Limit: k.trade.velocity(limit.Velocity), Margin: k.trade.velocity(limit.Velocity - r.Velocity),
			Reason:   fmt.Sprintf("%v in %v %s, %v line.", k.trade.flow(r.Flow), r.Size, r.Pipe.id, k.Layout.service[i]),
			Citation: limit.Citation,
		}
		if !ok {
			f.Remedy = k.largerPipe(i, limit.Velocity)
		}
		k.add(f)
	}
	for _, u := range without {
		list := runs[u]
		k.add(tables.Finding{
			Rule: "water-velocity", Place: list[0], Verdict: tables.Ask,
			Reason: fmt.Sprintf("%s gives no velocity for %s on the %v line: %d runs are not judged by it, and not sized by it either: %s.", k.Code.id, u.material, u.service, len(list), shortList(list)),
			Remedy: "Ask the maker of the pipe, and give the code the figure by an amendment.",
		})
	}
}

// unitPipes sets each bore beside the pipe that the code's table asks for the run's
// loading units, where that is how the code sizes.
func (k *checker) unitPipes() error {
	if !k.Code.sizesByUnits() {
		return nil
	}
	flows, err := k.Layout.flows(k.Code)
	if err != nil {
		return err
	}
	sizes := newUnitSizes(k.Code, k.Layout)
	for n := len(k.Runs) - 1; n >= 0; n-- {
		i := int(k.Layout.order[n])
		sizes.size(i, k.Runs[i].Pipe.material, flows[i].load, flows[i].single)
	}
	k.noUnitPipes(sizes)
	for i := range k.Runs {
		r, pipe := &k.Runs[i], &sizes.pipes[i]
		if sizes.why[i] != nil {
			continue
		}
		if pipe.Citation.IsZero() {
			continue
		}
		f := tables.Finding{
			Rule: "pipe-by-units", Place: k.Layout.data.Points[i].ID, Verdict: judge(r.Bore >= pipe.Bore),
			Value: k.trade.size(r.Bore), Limit: k.trade.size(pipe.Bore), Margin: k.trade.size(r.Bore - pipe.Bore),
			Reason: fmt.Sprintf("%s on the %v line, at most %s from one outlet: the code's pipe is %s, which carries %s; %v %s is laid.",
				r.Load.In(k.Code.unit), k.Layout.service[i], flows[i].single.In(k.Code.unit), pipe.Pipe, pipe.MaxUnits.In(k.Code.unit), r.Size, r.Pipe.id),
			Citation: pipe.Citation,
		}
		if f.Verdict == tables.Pass && r.Continuous > 0 {
			f.Verdict = tables.Ask
			f.Reason += fmt.Sprintf(" %v flows here without end, which the table does not count.", k.trade.flow(r.Continuous))
			f.Remedy = "Ask how the authority adds a flow without end to loading units; the next size leaves room for it."
		}
		if f.Verdict == tables.Fail {
			f.Remedy = fmt.Sprintf("Lay pipe with a bore of %v or more.", pipe.Bore)
		}
		k.add(f)
	}
	return nil
}

// noUnitPipes fails the runs whose load is more than the code's greatest pipe carries,
// and asks about those of a material that its table does not have, together.
func (k *checker) noUnitPipes(sizes *unitSizes) {
	var other []int
	for i, why := range sizes.why {
		switch {
		case errors.Is(why, ErrOutsideTable):
			r, most := &k.Runs[i], sizes.pipes[i].MaxUnits
			k.add(tables.Finding{
				Rule: "pipe-by-units", Place: k.Layout.data.Points[i].ID, Verdict: tables.Fail,
				Value: plainText(r.Load.In(k.Code.unit)), Limit: plainText(most.In(k.Code.unit)), Margin: plainText((most - r.Load).In(k.Code.unit)),
				Reason: fmt.Sprintf("The load, or what one outlet puts on it, is more than the greatest %s of the code's table carries.", r.Pipe.material),
				Remedy: "Part the line, or size it by a method that gives flows.", Citation: sizes.pipes[i].Citation,
			})
		case why != nil:
			other = append(other, i)
		}
	}
	if len(other) > 0 {
		k.add(tables.Finding{
			Rule: "pipe-by-units", Place: k.Layout.data.Points[other[0]].ID, Verdict: tables.Ask,
			Reason: fmt.Sprintf("The code's table of pipes has none of this material (%v); sizes are the least there are, at %s.", sizes.why[other[0]], k.ids(other)),
			Remedy: "Take a material of the table, or size the line by a method that gives flows.",
		})
	}
}

// largerPipe says what keeps to a velocity: the next size that does, in stock or not.
func (k *checker) largerPipe(i int, limit units.Velocity) string {
	r := &k.Runs[i]
	all, err := k.Layout.family(k.Code, r.Pipe.id)
	if err != nil {
		all = r.Pipe
	}
	for _, s := range all.sizes {
		v, err := hydraulics.Velocity(r.Flow, s.Bore)
		if err != nil || !within(v, limit) {
			continue
		}
		stocked := ""
		if at := k.Layout.stockOf(r.Pipe.id); at >= 0 && !slices.Contains(k.Layout.data.Stock[at].Sizes, s.Size) {
			stocked = ", which is not in stock"
		}
		return fmt.Sprintf("Take %v: %v%s.", s.Size, k.trade.velocity(v), stocked)
	}
	return fmt.Sprintf("No %s is large enough: take another pipe, or part the line.", r.Pipe.id)
}

func (k *checker) fixturePressures() {
	for i := range k.Fixtures {
		x := &k.Fixtures[i]
		have, least, most := inPSI(x.Available), inPSI(x.Least), inPSI(x.Most)
		if x.Most == 0 && have >= 0 {
			continue
		}
		f := &k.Layout.data.Fixtures[i]
		out := tables.Finding{
			Rule: "fixture-pressure", Place: f.ID, Verdict: judge(have >= most),
			Value: k.trade.pressure(x.Available), Limit: k.trade.pressure(x.Most), Margin: k.trade.pressure(x.Available - x.Most),
			Reason:   fmt.Sprintf("Flowing pressure at %s, every run on the way at its own demand.", k.Layout.data.Points[x.Point].ID),
			Citation: x.Required.Citation,
		}
		switch {
		case x.Stated:
			out.Reason += " The pressure asked is the maker's, as the layout states it."
		case x.Most == 0:
			out.Reason += " The code asks for none in particular; with less than none no water comes."
		}
		switch {
		case x.Upper && have >= most && k.notCounted(x.Point) != "":
			out.Verdict, out.SettledBy = tables.Ask, tables.Designer
			out.Reason = fmt.Sprintf("What is left at %s without the loss of what has no figure (%s).", k.Layout.data.Points[x.Point].ID, k.notCounted(x.Point))
			out.Remedy = "State its loss, or a length or k of the fitting."
		case x.Upper && have >= most:
			out.Verdict = tables.Ask
			out.Reason = fmt.Sprintf("What is left at %s after height and fixed losses only: the code's table of pipes by loading units gives no flow for lines that serve several outlets, so their friction is not in it.", k.Layout.data.Points[x.Point].ID)
			out.Remedy = "Give the code a table of demand by an amendment, or size the layout under a code that has one."
		case out.Verdict == tables.Fail && have >= least:
			out.Verdict = tables.Ask
			out.Reason += fmt.Sprintf(" The code asks %v of some kinds of this fixture and %v of others, and the layout does not say which it is.", k.trade.pressure(x.Least), k.trade.pressure(x.Most))
			out.Remedy = "State the style of the fixture, or the pressure its maker asks."
		case out.Verdict == tables.Fail:
			why, remedy := k.pressureRemedy(x)
			out.Reason, out.Remedy = out.Reason+why, remedy
		}
		k.add(out)
	}
}

// notCounted says what on the way to a point has no figure.
func (k *checker) notCounted(point int) string {
	for i := int32(point); i >= 0; i = k.Layout.parent[i] {
		if k.Runs[i].NotCounted != "" {
			return k.Runs[i].NotCounted
		}
	}
	return ""
}

// lossesNotCounted asks about runs with a fitting or a device of which there is no
// figure, those of one kind together.
func (k *checker) lossesNotCounted() {
	var order []string
	at := map[string][]int{}
	for i := range k.Runs {
		if what := k.Runs[i].NotCounted; what != "" {
			if at[what] == nil {
				order = append(order, what)
			}
			at[what] = append(at[what], i)
		}
	}
	for _, what := range order {
		k.add(tables.Finding{
			Rule: "loss-not-counted", Place: k.Layout.data.Points[at[what][0]].ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Reason: fmt.Sprintf("There is no figure for what it loses (%s), and none was counted, at %s.", what, k.ids(at[what])),
			Remedy: "State its loss, or a length or k of the fitting; the maker gives them.",
		})
	}
}

func (k *checker) staticPressures() {
	if r, ok := k.Code.Rule("static-pressure-max"); ok {
		var limit units.Pressure
		worst, at := units.Pressure(0), -1
		for i := range k.Fixtures {
			if x := &k.Fixtures[i]; at < 0 || x.Static > worst {
				worst, at = x.Static, i
			}
		}
		if at >= 0 && r.into(&limit) {
			over := roundTo(float64(worst/units.PoundForcePerSquareInch)) > roundTo(float64(limit/units.PoundForcePerSquareInch))
			f := tables.Finding{
				Rule: "static-pressure", Place: k.Layout.data.Fixtures[at].ID, Verdict: judge(!over),
				Value: k.trade.pressure(worst), Limit: k.trade.pressure(limit), Margin: k.trade.pressure(limit - worst),
				Reason: "The greatest pressure at a fixture while nothing flows.", Citation: r.Citation,
			}
			if !over && k.Layout.data.Source.Static == 0 && !k.regulated() {
				f.Verdict, f.SettledBy = tables.Ask, tables.Designer
				f.Reason = "The pressure of the source while nothing flows is not given, and it is more than that while the building draws, which was taken."
				f.Remedy = "Ask the water supplier for the static pressure, and state it."
			}
			if over {
				f.Remedy = "Set a pressure regulator with a strainer after the meter, and look to thermal expansion behind it."
			}
			k.add(f)
		}
	}
	if r, ok := k.Code.Rule("static-pressure-min"); ok {
		var limit units.Pressure
		if r.into(&limit) {
			// A static pressure that is stated is no less than the flowing.
			static := max(k.Layout.data.Source.Static, k.Layout.data.Source.Pressure)
			ok := static >= limit
			f := tables.Finding{
				Rule: "static-pressure-least", Place: k.Layout.data.Source.ID, Verdict: judge(ok),
				Value: k.trade.pressure(static), Limit: k.trade.pressure(limit), Margin: k.trade.pressure(static - limit),
				Reason: "Pressure at the entrance of the service.", Citation: r.Citation,
			}
			if !ok {
				f.Remedy = "A booster pump, or another source."
			}
			k.add(f)
		}
	}
}

func (k *checker) supplySizes() {
	l := k.Layout
	for i := range l.data.Fixtures {
		f := l.data.Fixtures[i].Fixture
		f.Count = 1
		list, err := k.Code.MinSizes(f)
		if err != nil {
			continue
		}
		least, most := list[0], list[0]
		for _, m := range list[1:] {
			if m.Size < least.Size {
				least = m
			}
			if m.Size > most.Size {
				most = m
			}
		}
		for _, p := range [...]int32{l.cold[i], l.hot[i]} {
			if p < 0 {
				continue
			}
			r := &k.Runs[p]
			out := tables.Finding{
				Rule: "supply-size", Place: l.data.Fixtures[i].ID,
				Reason: fmt.Sprintf("The %v run to it ends at %s.", l.service[p], l.data.Points[p].ID), Citation: most.Citation,
			}
			k.atLeast(&out, r, most.Size)
			switch {
			case out.Verdict == tables.Fail && k.Code.reaches(r.bore, least.Size):
				out.Verdict = tables.Ask
				out.Remedy = "State the style of the fixture: the code asks different sizes of its kinds."
			case out.Verdict == tables.Fail:
				out.Remedy = fmt.Sprintf("Run %v to it.", k.reaching(r, most.Size))
			}
			k.add(out)
		}
	}
}

// atLeast judges the size of a run against one that the code asks by name. Pipe named
// by its outside diameter is judged by its bore.
func (k *checker) atLeast(f *tables.Finding, r *RunResult, least units.Length) {
	f.Verdict = judge(k.Code.reaches(r.bore, least))
	f.Value, f.Limit, f.Margin = k.trade.size(r.Size), k.trade.size(least), k.trade.size(r.Size-least)
	if bore, ok := k.Code.pipes.inch()[least]; ok && r.bore.Size == r.bore.Outside {
		f.Value, f.Limit, f.Margin = k.trade.size(r.Bore), k.trade.size(bore), k.trade.size(r.Bore-bore)
		f.Reason += fmt.Sprintf(" The code asks for %v pipe, which is sold with a bore of %v or more; %v %s has %v.", least, bore, r.Size, r.Pipe.id, r.Bore)
	}
}

// reaching is the first size of the kind of pipe of a run that is as great as one which
// the code asks by name, or that name.
func (k *checker) reaching(r *RunResult, least units.Length) string {
	if all, err := k.Layout.family(k.Code, r.Pipe.id); err == nil {
		for i := range all.sizes {
			if k.Code.reaches(&all.sizes[i], least) {
				return all.sizes[i].Size.String()
			}
		}
	}
	return least.String()
}

func (k *checker) serviceSize() {
	r, ok := k.Code.Rule("service-size-min")
	var least units.Length
	if !ok || !r.into(&least) {
		return
	}
	for i := range k.Runs {
		if k.Layout.parent[i] >= 0 {
			continue
		}
		run := &k.Runs[i]
		f := tables.Finding{Rule: "service-size", Place: k.Layout.data.Points[i].ID, Reason: "The run from the source.", Citation: r.Citation}
		if k.atLeast(&f, run, least); f.Verdict == tables.Fail {
			f.Remedy = fmt.Sprintf("Lay %v.", k.reaching(run, least))
		}
		k.add(f)
	}
}

// lineSizes asks about a line that feeds a greater one.
func (k *checker) lineSizes() {
	for i := range k.Runs {
		p := k.Layout.parent[i]
		if p < 0 || k.Layout.service[i] == Recirculated || !k.Options.smaller(k.Runs[p].bore, k.Runs[i].bore) {
			continue
		}
		k.add(tables.Finding{
			Rule: "line-feeds-greater", Place: k.Layout.data.Points[i].ID, Verdict: tables.Ask,
			Value: k.Runs[i].Size, Limit: k.Runs[p].Size,
			Reason: fmt.Sprintf("It is fed by a smaller line, ending at %s; common practice does not enlarge a line downstream.", k.Layout.data.Points[p].ID),
			Remedy: "Ask whether it is meant; enlarge the line that feeds it.",
		})
	}
}

func (k *checker) devicesAtFlow() {
	for i := range k.Runs {
		d := k.Layout.data.Points[i].Device
		if d == nil {
			continue
		}
		r := &k.Runs[i]
		id := k.Layout.data.Points[i].ID
		if r.Basis == NotKnown && (d.Kind == "meter" || len(d.Curve) > 0) {
			k.add(tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Ask,
				Reason: fmt.Sprintf("The code gives no flow here, so that neither the size of the %s nor its loss can be judged.", d.Kind),
				Remedy: "Ask its maker with the sum of loading units, " + r.Load.In(k.Code.unit) + ".",
			})
			continue
		}
		if most := r.DeviceLoss.Beyond; most > 0 {
			k.add(tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Fail,
				Value: k.trade.flow(r.Flow), Limit: k.trade.flow(most), Margin: k.trade.flow(most - r.Flow),
				Reason: fmt.Sprintf("The figures of the %s end at less than the demand; its loss was carried on by the square of the flow.", d.Kind),
				Remedy: "Take a greater one.", Citation: r.DeviceLoss.Citation,
			})
		} else if d.Kind == "meter" && !r.DeviceLoss.Citation.IsZero() {
			k.add(tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Pass,
				Value: k.trade.flow(r.Flow), Reason: fmt.Sprintf("The meter's figures cover the demand; it costs %v.", k.trade.pressure(r.Device)),
				Citation: r.DeviceLoss.Citation,
			})
		}
		if c := r.DeviceLoss.Citation; !r.DeviceLoss.Stated && !c.IsZero() && d.Kind != "meter" && d.Kind != "tap" {
			k.add(tables.Finding{
				Rule: "device-loss", Place: id, Verdict: tables.Ask, Value: k.trade.pressure(r.Device),
				Reason: fmt.Sprintf("The loss of the %s is the upper end of what designers allow, for want of its maker's curve.", d.Kind),
				Remedy: "Put the maker's loss or curve in the layout.", Citation: c,
			})
		}
	}
}

func (k *checker) hotWater() error {
	waits, err := k.HotWater()
	if err != nil {
		return err
	}
	l := k.Layout
	rule, hasRule := k.Code.Rule("hot-length-max")
	var most units.Length
	hasRule = hasRule && rule.into(&most)
	for _, w := range waits {
		f := &l.data.Fixtures[w.Fixture]
		if hasRule {
			ok := w.Length <= most
			out := tables.Finding{
				Rule: "hot-length", Place: f.ID, Verdict: judge(ok), Value: k.trade.length(w.Length), Limit: k.trade.length(most), Margin: k.trade.length(most - w.Length),
				Reason: fmt.Sprintf("Developed length of pipe from %s.", w.From), Citation: rule.Citation,
			}
			if !ok {
				out.Remedy = "Recirculate or trace the line nearer to it, or set a heater there."
			}
			k.add(out)
		}
		byLength := false
		if limit, err := k.Code.HotLength(w.Largest, f.Kind == "lavatory" && f.Use == Public); err == nil {
			ok := w.Length <= limit.Length
			byLength = ok
			out := tables.Finding{
				Rule: "hot-length-energy", Place: f.ID, Verdict: judge(ok), Value: k.trade.length(w.Length), Limit: k.trade.length(limit.Length), Margin: k.trade.length(limit.Length - w.Length),
				Reason:   fmt.Sprintf("The greatest size on the way from %s is %v.", w.From, w.Largest),
				Citation: limit.Citation,
			}
			if w.Largest == 0 { // no length, which no figure limits
				out.Reason, out.Citation = fmt.Sprintf("It hangs on the line at %s, which is kept hot.", w.From), tables.Citation{}
			}
			if !ok {
				out.Verdict = tables.Ask
				out.Reason += " It is longer than the energy code's table of lengths allows."
				out.Remedy = "Ask whether the energy code holds here and which of its ways is followed; a smaller or shorter line, or recirculation nearer to the outlet, meets the table."
			}
			k.add(out)
		}
		if !byLength {
			k.hotVolume(f, &w)
		}
		if w.Grade != "" {
			out := tables.Finding{
				Rule: "hot-wait", Place: f.ID, Verdict: tables.Pass, Value: tidySeconds(w.Wait),
				Reason:   fmt.Sprintf("%v in the pipe from %s runs off cold; the wait is %s.", k.trade.volume(w.Volume), w.From, w.Grade),
				Citation: w.Citation,
			}
			if w.Grade != "acceptable" {
				out.Verdict = tables.Ask
				out.Remedy = "Ask the owner; a smaller or shorter hot line, or recirculation, shortens it."
			}
			k.add(out)
		}
	}
	loops, err := k.Circulations()
	if errors.Is(err, ErrNotStated) {
		k.add(tables.Finding{
			Rule: "recirculation-flow", Place: l.data.Recirculation[0].ID, Verdict: tables.Ask, SettledBy: tables.Designer,
			Reason: fmt.Sprintf("What is kept up in the return is not known, and neither its size nor its pump is judged: %v.", err),
			Remedy: "State the temperature of the air about the hot lines as ambient.",
		})
		return nil
	}
	if err != nil {
		return err
	}
	for i := range loops {
		k.circulation(&loops[i])
	}
	for i := range loops {
		k.balance(&loops[i])
	}
	return nil
}

// balance asks for the valve that a loop needs beside longer ones of its heater.
func (k *checker) balance(c *Circulation) {
	if k.trade.head(c.Throttle) == k.trade.head(0) {
		return
	}
	k.add(tables.Finding{
		Rule: "recirculation-balance", Place: c.ID, Verdict: tables.Ask, Value: k.trade.head(c.Head),
		Reason: fmt.Sprintf("%v is kept up in it, %.0f %% of what the pump of %s moves, and it loses %v less than the loop that loses most; without a valve it would take %v.",
			k.trade.flow(c.Flow), 100*c.Share, c.Heater, k.trade.head(c.Throttle), k.trade.flow(c.Unbalanced)),
		Remedy: fmt.Sprintf("Ask where its balancing valve stands, set to take %v at %v.", k.trade.head(c.Throttle), k.trade.flow(c.Flow)),
	})
}

// hotVolume sets the water in the pipe beside the limit of the energy code's other
// way, which counts volume and not length.
func (k *checker) hotVolume(f *LayoutFixture, w *HotWait) {
	id := "hot-volume-other"
	switch {
	case f.Kind == "lavatory" && f.Use == Public:
		id = "hot-volume-public-lavatory"
	case w.Recirculated:
		id = "hot-volume-recirculated"
	}
	rule, ok := k.Code.hotVolume.rule(id)
	var most units.Volume
	if !ok || !rule.into(&most) {
		return
	}
	ok = roundTo(float64(w.Volume/units.Litre)) <= roundTo(float64(most/units.Litre))
	out := tables.Finding{
		Rule: "hot-volume-energy", Place: f.ID, Verdict: judge(ok),
		Value: k.trade.volume(w.Volume), Limit: k.trade.volume(most), Margin: k.trade.volume(most - w.Volume),
		Reason:   fmt.Sprintf("Water in the pipe from %s; the volume is the energy code's other way to comply, for a line too long for its table of lengths.", w.From),
		Citation: rule.Citation,
	}
	if !ok {
		out.Verdict = tables.Ask
		out.Remedy = "A smaller or shorter line, or recirculation nearer to the outlet, meets one of the two."
	}
	k.add(out)
}

// mixedClosets asks where a line serves flush tanks and flush valves, or the valves of
// urinals alone: codes go by what most of a system is, the analysis pipe by pipe by the
// valves of closets.
func (k *checker) mixedClosets() {
	if k.Code.curves[TankSystem] == nil || k.Code.curves[ValveSystem] == nil {
		return
	}
	tanks := k.served(func(f *LayoutFixture) bool { return f.Kind == "water-closet" && f.Control != Valve })
	urinals := k.served(func(f *LayoutFixture) bool { return f.Kind == urinal && f.Control == Valve })
	asked := [2]bool{}
	for _, i := range k.Layout.order {
		r := &k.Runs[i]
		what, other := "", TankSystem
		switch {
		case r.Basis != FromTable || asked[r.System]:
		case r.System == ValveSystem && tanks[i] > 0:
			what = fmt.Sprintf("%d closets with tanks beside flush valves", tanks[i])
		case r.System == TankSystem && urinals[i] > 0:
			what, other = fmt.Sprintf("%d urinals with flush valves and no closet with one", urinals[i]), ValveSystem
		}
		if what == "" {
			continue
		}
		d, err := k.Code.Demand(r.Load, other)
		flow := r.Flow - r.Continuous - r.Unlisted
		if err != nil || d.Flow == flow || other == TankSystem && d.Flow > flow {
			continue
		}
		asked[r.System] = true
		k.add(tables.Finding{
			Rule: "mixed-closets", Place: k.Layout.data.Points[i].ID, Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: k.trade.flow(flow), Limit: k.trade.flow(d.Flow),
			Reason: fmt.Sprintf("It serves %s. The demand is that of the %v column, chosen pipe by pipe; by the %v column it would be %v.",
				what, r.System, other, k.trade.flow(d.Flow)),
			Remedy:   "Ask which column the authority takes for lines that serve both.",
			Citation: d.Citation,
		})
	}
}

// served counts, for each run, the fixtures of a kind that it serves by their cold ports.
func (k *checker) served(kind func(*LayoutFixture) bool) []int {
	l := k.Layout
	count := make([]int, l.Len())
	for i := range l.data.Fixtures {
		if f := &l.data.Fixtures[i]; l.cold[i] >= 0 && kind(f) {
			count[l.cold[i]] += f.Count
		}
	}
	for n := len(l.order) - 1; n >= 0; n-- {
		if i := l.order[n]; l.parent[i] >= 0 {
			count[l.parent[i]] += count[i]
		}
	}
	return count
}

// lossMethod sets what Hazen-Williams gives, where it is stretched, beside
// Darcy-Weisbach.
func (k *checker) lossMethod() {
	if k.Options.method() != hydraulics.HazenWilliams {
		return
	}
	var notes hydraulics.Notes
	first := -1
	kept := map[perKmKey]*hydraulics.Resistance{}
	h := &calculation{l: k.Layout, c: k.Code, opt: k.Options, perKm: kept}
	w := k.Layout.data.Water
	for s, t := range [...]units.Temperature{Cold: w.Cold, Hot: w.Hot, Recirculated: w.Hot} {
		if water, err := hydraulics.WaterAt(t); err == nil {
			h.water[s] = water
		}
	}
	for i := range k.Runs {
		r := &k.Runs[i]
		if r.Flow == 0 {
			continue
		}
		res, err := h.resistance(r.Pipe, r.Pipe.size(r.Size), k.Layout.service[i])
		if err != nil {
			return
		}
		loss, err := res.Loss(r.Flow)
		if err != nil {
			return
		}
		if loss.Notes != 0 && first < 0 {
			first = i
		}
		notes |= loss.Notes
	}
	if first < 0 {
		return
	}
	opt := k.Options
	opt.Method = hydraulics.DarcyWeisbach
	other, err := k.Layout.Analyse(k.Code, opt)
	if err != nil {
		return
	}
	out := tables.Finding{
		Rule: "loss-method", Place: k.Layout.data.Points[first].ID, Verdict: tables.Pass,
		Reason: fmt.Sprintf("Losses are by Hazen-Williams: %s.", notes),
	}
	widest, moved := -1, []string{}
	for i := range k.Fixtures {
		x, y := &k.Fixtures[i], &other.Fixtures[i]
		if x.Most == 0 || x.Upper {
			continue
		}
		if widest < 0 || math.Abs(float64(x.Available-y.Available)) > math.Abs(float64(k.Fixtures[widest].Available-other.Fixtures[widest].Available)) {
			widest = i
		}
		if (x.Margin() < 0) != (y.Margin() < 0) {
			moved = append(moved, k.Layout.data.Fixtures[i].ID)
		}
	}
	if widest >= 0 {
		out.Reason += fmt.Sprintf(" By Darcy-Weisbach %s has %v in place of %v, the widest difference", k.Layout.data.Fixtures[widest].ID,
			k.trade.pressure(other.Fixtures[widest].Available), k.trade.pressure(k.Fixtures[widest].Available))
		out.Reason += map[bool]string{true: ", and no fixture's pressure passes or fails otherwise.", false: "."}[len(moved) == 0]
	}
	if len(moved) > 0 {
		out.Verdict = tables.Ask
		out.Reason += fmt.Sprintf(" Otherwise come out: %s.", shortList(moved))
		out.Remedy = "Size it by Darcy-Weisbach, or ask which the authority takes."
	}
	k.add(out)
}

func (k *checker) circulation(c *Circulation) {
	i := k.Layout.index[c.At]
	limit, err := k.Code.returnVelocity(k.Runs[i].Pipe.material, k.Layout.data.Water.Hot)
	if err != nil {
		return
	}
	ok := within(c.Fastest, limit.Velocity)
	f := tables.Finding{
		Rule: "recirculation-velocity", Place: c.ID, Verdict: judge(ok),
		Value: k.trade.velocity(c.Fastest), Limit: k.trade.velocity(limit.Velocity), Margin: k.trade.velocity(limit.Velocity - c.Fastest),
		Reason:   fmt.Sprintf("%v kept up, fastest at %s; the water comes back at %v.", k.trade.flow(c.Flow), c.At, k.trade.temperature(c.Returns)),
		Citation: limit.Citation,
	}
	if !ok {
		f.Remedy = "A greater return, better insulation, or less flow."
	}
	k.add(f)
}
