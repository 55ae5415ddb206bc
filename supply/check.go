package supply

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// CheckOptions sets what becomes of the findings of a check.
type CheckOptions struct {
	// ProblemsOnly leaves out the passes, and counts none.
	ProblemsOnly bool
	// Tally, if not nil, counts the passes, and they are no findings. What it held
	// before is lost.
	Tally *tables.Tally
	// Print writes a quantity in the texts of the findings; nil: as it prints itself.
	// Quantities come in the system of [Options.Units], rounded as the trade does.
	// Nominal sizes come as a type that prints their name and is no [units.Length].
	Print func(fmt.Stringer) string
}

// Check judges the layout against the code: velocities, pressures, sizes, hot
// water, what lies below the slab, tests. Findings are ordered by rule, as [Rules]
// lists them, and place. A finding whose limit rests on a row that nobody has seen in
// print is an ask; so is each such row that a load or a flow came from, once. Results
// are calculations for the engineer and the inspector, and no approval.
func (a *Analysis) Check(opt CheckOptions) ([]tables.Finding, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	k := &checker{
		Judge: finding.New(rules,
			finding.Options{ProblemsOnly: opt.ProblemsOnly, Tally: opt.Tally, Print: opt.Print}),
		Analysis: a, trade: a.trade(),
	}
	k.tank = k.byTankCurve()
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
	k.thinCopper()
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
	k.ladderCurve()
	if err := k.pipeRatings(); err != nil {
		return nil, err
	}
	k.lossMethod()
	k.loadsNotGiven()
	k.demandsBeside()
	k.lossesNotCounted()
	k.standings()
	if err := k.droppedRows(); err != nil {
		return nil, err
	}
	return k.Findings(), nil
}

type checker struct {
	*finding.Judge
	*Analysis
	trade trade
	tank  *Analysis // with the flows of the tank curve, where the choice of curve is open; else nil
}

// passOrFail is Pass or Fail.
func passOrFail(ok bool) tables.Verdict {
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
			Rule: "water-velocity", Place: k.Layout.data.Points[i].ID, Verdict: passOrFail(ok),
			Value: k.trade.velocity(r.Velocity), Limit: k.trade.velocity(limit.Velocity),
			Margin:   k.trade.velocity(limit.Velocity - r.Velocity),
			Reason:   k.Text("%v in %v %s, %v line.", k.trade.flow(r.Flow), r.name(), r.Pipe.id, k.Layout.service[i]),
			Citation: limit.Citation,
		}
		if !ok {
			f.Fix = k.largerPipe(i, limit.Velocity)
			if k.tank != nil && k.tank.Runs[i].Flow < r.Flow {
				t := &k.tank.Runs[i]
				k.curveDecides(&f, within(t.Velocity, limit.Velocity), t.Flow, k.trade.velocity(t.Velocity))
				if f.Verdict == tables.Fail {
					f.Fix += k.Text(" The tank curve makes it %v%s.", k.trade.flow(t.Flow), k.sizedFor(i, t.Flow))
				}
			}
		}
		k.Add(f)
	}
	for _, u := range without {
		list := runs[u]
		k.Add(tables.Finding{
			Rule: "water-velocity", Place: list[0], Verdict: tables.Ask, SettledBy: tables.Authority,
			Reason: k.Text("%s gives no velocity for %s on the %v line: not judged by it, and not sized by it "+
				"either: %s, %s.",
				k.Code.id, u.material, u.service, counted(len(list), "run"), shortList(list)),
			Fix: "Ask the maker of the pipe, and give the code the figure by an amendment.",
		})
	}
}

// unitPipes sets each bore beside the pipe that the code's table asks for the run's
// loading units, where that is how the code sizes.
func (k *checker) unitPipes() error {
	if !k.Code.sizesByUnits() {
		return nil
	}
	flows, err := k.Layout.flows(k.Code, k.Options.CapAtOutlets)
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
			Rule: "pipe-by-units", Place: k.Layout.data.Points[i].ID, Verdict: passOrFail(r.Bore >= pipe.Bore),
			Value: k.trade.size(r.Bore), Limit: k.trade.size(pipe.Bore), Margin: k.trade.size(r.Bore - pipe.Bore),
			Reason: k.Text("%s on the %v line, at most %s from one outlet: the code's pipe is %s, which carries %s; "+
				"%v %s is laid.",
				r.Load.In(k.Code.unit), k.Layout.service[i], flows[i].single.In(k.Code.unit), pipe.Pipe,
				pipe.MaxUnits.In(k.Code.unit), r.name(), r.Pipe.id),
			Citation: pipe.Citation,
		}
		if f.Verdict == tables.Pass && r.Continuous > 0 {
			f.Verdict, f.SettledBy = tables.Ask, tables.Authority
			f.Reason += k.Text(" %v flows here without end, which the table does not count.",
				k.trade.flow(r.Continuous))
			f.Fix = "Ask how the authority adds a flow without end to loading units; the next size leaves room for it."
		}
		if f.Verdict == tables.Fail {
			f.Fix = k.Text("Lay pipe with a bore of %v or more.", pipe.Bore)
		}
		k.Add(f)
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
			k.Add(tables.Finding{
				Rule: "pipe-by-units", Place: k.Layout.data.Points[i].ID, Verdict: tables.Fail,
				Value: plainText(r.Load.In(k.Code.unit)), Limit: plainText(most.In(k.Code.unit)),
				Margin: plainText((most - r.Load).In(k.Code.unit)),
				Reason: k.Text("The load, or what one outlet puts on it, is more than the greatest %s of the code's "+
					"table carries.", r.Pipe.material),
				Fix: "Part the line, or size it by a method that gives flows.", Citation: sizes.pipes[i].Citation,
			})
		case why != nil:
			other = append(other, i)
		}
	}
	if len(other) > 0 {
		k.Add(tables.Finding{
			Rule: "pipe-by-units", Place: k.Layout.data.Points[other[0]].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Reason: k.Text("The code's table of pipes has none of this material (%v); sizes are the least there are,"+
				" at %s.", sizes.why[other[0]], k.ids(other)),
			Fix: "Take a material of the table, or size the line by a method that gives flows.",
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
		return k.Text("Take %v: %v%s.", all.name(&s), k.trade.velocity(v), stocked)
	}
	return k.Text("No %s is large enough: take another pipe, or part the line.", r.Pipe.id)
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
			Rule: "fixture-pressure", Place: f.ID, Verdict: passOrFail(have >= most),
			Value: k.trade.pressure(x.Available), Limit: k.trade.pressure(x.Most),
			Margin: k.trade.pressure(x.Available - x.Most),
			Reason: k.Text("Flowing pressure at %s, every run on the way at its own demand.",
				k.Layout.data.Points[x.Point].ID),
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
			out.Reason = k.Text("What is left at %s without the loss of what has no figure (%s).",
				k.Layout.data.Points[x.Point].ID, k.notCounted(x.Point))
			out.Fix = "State its loss, or a length or k of the fitting."
		case x.Upper && have >= most:
			out.Verdict, out.SettledBy = tables.Ask, tables.Authority
			out.Reason = k.Text("What is left at %s after height and fixed losses only: the code's table of pipes "+
				"by loading units gives no flow for lines that serve several outlets, so their friction is not in it.",
				k.Layout.data.Points[x.Point].ID)
			out.Fix = "Give the code a table of demand by an amendment, or size the layout under a code that has one."
		case out.Verdict == tables.Fail && have >= least:
			out.Verdict, out.SettledBy = tables.Ask, tables.Designer
			out.Reason += k.Text(" The code asks %v of some kinds of this fixture and %v of others, and the layout "+
				"does not say which it is.", k.trade.pressure(x.Least), k.trade.pressure(x.Most))
			out.Fix = "State the style of the fixture, or the pressure its maker asks."
		case out.Verdict == tables.Fail:
			why, remedy := k.pressureRemedy(x)
			out.Reason, out.Fix = out.Reason+why, remedy
			if k.tank != nil && k.tank.Fixtures[i].Available > x.Available {
				t := &k.tank.Fixtures[i]
				k.curveDecides(&out, inPSI(t.Available) >= most, k.tank.Runs[x.Point].Flow,
					k.trade.pressure(t.Available))
			}
		}
		k.Add(out)
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
		k.Add(tables.Finding{
			Rule: "loss-not-counted", Place: k.Layout.data.Points[at[what][0]].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Reason: k.Text("There is no figure for what it loses (%s), and none was counted, at %s.", what,
				k.ids(at[what])),
			Fix: "State its loss, or a length or k of the fitting; the maker gives them.",
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
			over := roundTo(float64(worst/units.PoundForcePerSquareInch)) > roundTo(
				float64(limit/units.PoundForcePerSquareInch))
			f := tables.Finding{
				Rule: "static-pressure", Place: k.Layout.data.Fixtures[at].ID, Verdict: passOrFail(!over),
				Value: k.trade.pressure(worst), Limit: k.trade.pressure(limit), Margin: k.trade.pressure(limit - worst),
				Reason: "The greatest pressure at a fixture while nothing flows.", Citation: r.Citation,
			}
			if !over && k.Layout.data.Source.Static == 0 && !k.regulated() {
				f.Verdict, f.SettledBy = tables.Ask, tables.Designer
				f.Reason = "The pressure of the source while nothing flows is not given, and it is more than that " +
					"while the building draws, which was taken."
				f.Fix = "Ask the water supplier for the static pressure, and state it."
			}
			if over {
				f.Fix = "Set a pressure regulator with a strainer after the meter, and look to thermal expansion " +
					"behind it."
				if d, id := k.regulatorOn(k.Fixtures[at].Point); d != nil && d.Set > worst-limit {
					f.Fix = k.Text("Set the regulator at %s to %v or less.", id, k.trade.pressure(d.Set-(worst-limit)))
				}
			}
			k.Add(f)
		}
	}
	if r, ok := k.Code.Rule("static-pressure-min"); ok {
		var limit units.Pressure
		if r.into(&limit) {
			// A static pressure that is stated is no less than the flowing.
			static := max(k.Layout.data.Source.Static, k.Layout.data.Source.Pressure)
			ok := static >= limit
			f := tables.Finding{
				Rule: "static-pressure-least", Place: k.Layout.data.Source.ID, Verdict: passOrFail(ok),
				Value: k.trade.pressure(static), Limit: k.trade.pressure(limit),
				Margin: k.trade.pressure(static - limit),
				Reason: "Pressure at the entrance of the service.", Citation: r.Citation,
			}
			if !ok {
				f.Fix = "A booster pump, or another source."
			}
			k.Add(f)
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
				Rule: "supply-size", Place: l.data.Fixtures[i].ID, Side: l.service[p].String(),
				Reason:   k.Text("The %v run to it ends at %s.", l.service[p], l.data.Points[p].ID),
				Citation: most.Citation,
			}
			k.atLeast(&out, r, most.Size)
			switch {
			case out.Verdict == tables.Fail && k.Code.reaches(r.bore, least.Size):
				out.Verdict, out.SettledBy = tables.Ask, tables.Designer
				out.Fix = "State the style of the fixture: the code asks different sizes of its kinds."
			case out.Verdict == tables.Fail:
				out.Fix = k.Text("Run %v to it.", k.reaching(r, most.Size))
			}
			k.Add(out)
		}
	}
}

// atLeast judges the size of a run against one that the code asks by name. Pipe named
// by its outside diameter is judged by its bore.
func (k *checker) atLeast(f *tables.Finding, r *RunResult, least units.Length) {
	f.Verdict = passOrFail(k.Code.reaches(r.bore, least))
	f.Value, f.Limit, f.Margin = k.trade.size(r.Size), k.trade.size(least), k.trade.size(r.Size-least)
	if bore, ok := k.Code.pipes.inch()[least]; ok && r.bore.Size == r.bore.Outside {
		f.Value, f.Limit, f.Margin = k.trade.bore(r.Bore), k.trade.bore(bore), k.trade.bore(r.Bore-bore)
		f.Reason += k.Text(" The code asks for %v pipe, which is sold with a bore of %v or more; %v %s has %v.",
			nominal(least.String()), bore, r.name(), r.Pipe.id, r.Bore)
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
		f := tables.Finding{Rule: "service-size", Place: k.Layout.data.Points[i].ID, Reason: "The run from the source.",
			Citation: r.Citation}
		if k.atLeast(&f, run, least); f.Verdict == tables.Fail {
			f.Fix = k.Text("Lay %v.", k.reaching(run, least))
		}
		k.Add(f)
	}
}

// lineSizes asks about a line that feeds a greater one.
func (k *checker) lineSizes() {
	for i := range k.Runs {
		p := k.Layout.parent[i]
		if p < 0 || k.Layout.service[i] == Recirculated || !k.Options.smaller(k.Runs[p].bore, k.Runs[i].bore) {
			continue
		}
		k.Add(tables.Finding{
			Rule: "line-feeds-greater", Place: k.Layout.data.Points[i].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Value:     k.Runs[i].Size, Limit: k.Runs[p].Size,
			Reason: k.Text("It is fed by a smaller line, ending at %s; common practice does not enlarge a line "+
				"downstream.", k.Layout.data.Points[p].ID),
			Fix: "Ask whether it is meant; enlarge the line that feeds it.",
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
			k.Add(tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Ask, SettledBy: tables.Designer,
				Reason: k.Text("The code gives no flow here, so that neither the size of the %s nor its loss can be "+
					"judged.", d.Kind),
				Fix: "Ask its maker with the sum of loading units, " + r.Load.In(k.Code.unit) + ".",
			})
			continue
		}
		if most := r.DeviceLoss.Beyond; most > 0 {
			f := tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Fail,
				Value: k.trade.flow(r.Flow), Limit: k.trade.flow(most), Margin: k.trade.flow(most - r.Flow),
				Reason: k.Text("The figures of the %s end at less than the demand; its loss was carried on by the "+
					"square of the flow.", d.Kind),
				Fix: "Take a greater one.", Citation: r.DeviceLoss.Citation,
			}
			if k.tank != nil && k.tank.Runs[i].Flow < r.Flow {
				t := &k.tank.Runs[i]
				k.curveDecides(&f, t.DeviceLoss.Beyond == 0, t.Flow, k.trade.flow(t.Flow))
			}
			k.Add(f)
		} else if d.Kind == "meter" && !r.DeviceLoss.Citation.IsZero() {
			k.Add(tables.Finding{
				Rule: "device-flow", Place: id, Verdict: tables.Pass,
				Value:    k.trade.flow(r.Flow),
				Reason:   k.Text("The meter's figures cover the demand; it costs %v.", k.trade.pressure(r.Device)),
				Citation: r.DeviceLoss.Citation,
			})
		}
		if c := r.DeviceLoss.Citation; !r.DeviceLoss.Stated && !c.IsZero() && d.Kind != "meter" && d.Kind != "tap" {
			k.Add(tables.Finding{
				Rule: "device-loss", Place: id, Verdict: tables.Ask, SettledBy: tables.Designer,
				Value: k.trade.pressure(r.Device),
				Reason: k.Text("The loss of the %s is the upper end of what designers allow, for want of its "+
					"maker's curve.", d.Kind),
				Fix: "Put the maker's loss or curve in the layout.", Citation: c,
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
				Rule: "hot-length", Place: f.ID, Verdict: passOrFail(ok), Value: k.trade.length(w.Length),
				Limit: k.trade.length(most), Margin: k.trade.length(most - w.Length),
				Reason: k.Text("Developed length of pipe from %s.", w.From), Citation: rule.Citation,
			}
			if !ok {
				out.Fix = "Recirculate or trace the line nearer to it, or set a heater there."
			}
			k.Add(out)
		}
		byLength := false
		if limit, err := k.Code.HotLength(w.Largest, f.Kind == "lavatory" && f.Use == Public); err == nil {
			ok := w.Length <= limit.Length
			byLength = ok
			out := tables.Finding{
				Rule: "hot-length-energy", Place: f.ID, Verdict: passOrFail(ok), Value: k.trade.length(w.Length),
				Limit: k.trade.length(limit.Length), Margin: k.trade.length(limit.Length - w.Length),
				Reason:   k.Text("The greatest size on the way from %s is %v.", w.From, nominal(w.Largest.String())),
				Citation: limit.Citation,
			}
			if w.Largest == 0 { // no length, which no figure limits
				out.Reason, out.Citation = k.Text("It hangs on the line at %s, which is kept hot.", w.From),
					tables.Citation{}
			}
			if !ok {
				out.Verdict, out.SettledBy = tables.Ask, tables.Authority
				out.Reason += " It is longer than the energy code's table of lengths allows."
				out.Fix = "Ask whether the energy code holds here and which of its ways is followed; a smaller or " +
					"shorter line, or recirculation nearer to the outlet, meets the table."
			}
			k.Add(out)
		}
		if !byLength {
			k.hotVolume(f, &w)
		}
		if w.Grade != "" {
			out := tables.Finding{
				Rule: "hot-wait", Place: f.ID, Verdict: tables.Pass, Value: tidySeconds(w.Wait),
				Reason: k.Text("%v in the pipe from %s runs off cold; the wait is %s.", k.trade.volume(w.Volume),
					w.From, w.Grade),
				Citation: w.Citation,
			}
			if w.Grade != "acceptable" {
				out.Verdict, out.SettledBy = tables.Ask, tables.Owner
				out.Fix = "Ask the owner; a smaller or shorter hot line, or recirculation, shortens it."
			}
			k.Add(out)
		}
	}
	loops, err := k.Circulations()
	if errors.Is(err, ErrNotStated) {
		k.Add(tables.Finding{
			Rule: "recirculation-flow", Place: l.data.Recirculation[0].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Reason: k.Text("What is kept up in the return is not known, and neither its size nor its pump is "+
				"judged: %v.", err),
			Fix: "State the temperature of the air about the hot lines as ambient.",
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
	k.Add(tables.Finding{
		Rule: "recirculation-balance", Place: c.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
		Value: k.trade.head(c.Head),
		Reason: k.Text("%v is kept up in it, %.0f %% of what the pump of %s moves, and it loses %v less than the "+
			"loop that loses most; without a valve it would take %v.",
			k.trade.flow(c.Flow), 100*c.Share, c.Heater, k.trade.head(c.Throttle), k.trade.flow(c.Unbalanced)),
		Fix: k.Text("Ask where its balancing valve stands, set to take %v at %v.", k.trade.head(c.Throttle),
			k.trade.flow(c.Flow)),
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
		Rule: "hot-volume-energy", Place: f.ID, Verdict: passOrFail(ok),
		Value: k.trade.volume(w.Volume), Limit: k.trade.volume(most), Margin: k.trade.volume(most - w.Volume),
		Reason: k.Text("Water in the pipe from %s; the volume is the energy code's other way to comply, for a "+
			"line too long for its table of lengths.", w.From),
		Citation: rule.Citation,
	}
	if !ok {
		out.Verdict, out.SettledBy = tables.Ask, tables.Authority
		out.Fix = "A smaller or shorter line, or recirculation nearer to the outlet, meets one of the two."
	}
	k.Add(out)
}

// mixedClosets asks where a line serves flush tanks and flush valves, or the valves of
// urinals alone: codes go by what most of a system is, the analysis pipe by pipe by the
// valves of closets.
func (k *checker) mixedClosets() {
	if k.Code.curves[TankSystem] == nil || k.Code.curves[ValveSystem] == nil {
		return
	}
	tanks := k.served(func(_ int, f *LayoutFixture) bool { return f.Kind == "water-closet" && f.Control != Valve })
	urinals := k.served(func(_ int, f *LayoutFixture) bool { return f.Kind == urinal && f.Control == Valve })
	asked := [2]bool{}
	for _, i := range k.Layout.order {
		r := &k.Runs[i]
		what, other := "", TankSystem
		switch {
		case r.Basis != FromTable || asked[r.System]:
		case r.System == ValveSystem && tanks[i] > 0:
			what = counted(tanks[i], "closet") + " with tanks beside flush valves"
		case r.System == TankSystem && urinals[i] > 0:
			what, other = counted(urinals[i], "urinal")+" with flush valves and no closet with one", ValveSystem
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
		k.Add(tables.Finding{
			Rule: "mixed-closets", Place: k.Layout.data.Points[i].ID, Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: k.trade.flow(flow), Limit: k.trade.flow(d.Flow),
			Reason: k.Text("It serves %s. The demand is that of the %v column, chosen pipe by pipe; by the %v "+
				"column it would be %v.",
				what, r.System, other, k.trade.flow(d.Flow)),
			Fix:      "Ask which column the authority takes for lines that serve both.",
			Citation: d.Citation,
		})
	}
}

// served counts, for each run, the fixtures of a kind that it serves by their cold ports.
func (k *checker) served(kind func(int, *LayoutFixture) bool) []int {
	l := k.Layout
	count := make([]int, l.Len())
	for i := range l.data.Fixtures {
		if f := &l.data.Fixtures[i]; l.cold[i] >= 0 && kind(i, f) {
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
		Reason: k.Text("Losses are by Hazen-Williams: %s.", notes),
	}
	widest, moved := -1, []string{}
	for i := range k.Fixtures {
		x, y := &k.Fixtures[i], &other.Fixtures[i]
		if x.Most == 0 || x.Upper {
			continue
		}
		if widest < 0 || math.Abs(float64(x.Available-y.Available)) > math.Abs(
			float64(k.Fixtures[widest].Available-other.Fixtures[widest].Available)) {
			widest = i
		}
		if (x.Margin() < 0) != (y.Margin() < 0) {
			moved = append(moved, k.Layout.data.Fixtures[i].ID)
		}
	}
	if widest >= 0 {
		out.Reason += k.Text(" By Darcy-Weisbach %s has %v in place of %v, the widest difference",
			k.Layout.data.Fixtures[widest].ID,
			k.trade.pressure(other.Fixtures[widest].Available), k.trade.pressure(k.Fixtures[widest].Available))
		out.Reason += map[bool]string{true: ", and no fixture's pressure passes or fails otherwise.",
			false: "."}[len(moved) == 0]
	}
	if len(moved) > 0 {
		out.Verdict, out.SettledBy = tables.Ask, tables.Authority
		out.Reason += k.Text(" Otherwise come out: %s.", shortList(moved))
		out.Fix = "Size it by Darcy-Weisbach, or ask which the authority takes."
	}
	k.Add(out)
}

func (k *checker) circulation(c *Circulation) {
	i := k.Layout.index[c.At]
	limit, err := k.Code.returnVelocity(k.Runs[i].Pipe.material, k.Layout.data.Water.Hot)
	if err != nil {
		return
	}
	ok := within(c.Fastest, limit.Velocity)
	f := tables.Finding{
		Rule: "recirculation-velocity", Place: c.ID, Verdict: passOrFail(ok),
		Value: k.trade.velocity(c.Fastest), Limit: k.trade.velocity(limit.Velocity),
		Margin: k.trade.velocity(limit.Velocity - c.Fastest),
		Reason: k.Text("%v kept up, fastest at %s; the water comes back at %v.", k.trade.flow(c.Flow), c.At,
			k.trade.temperature(c.Returns)),
		Citation: limit.Citation,
	}
	if !ok {
		f.Fix = "A greater return, better insulation, or less flow."
	}
	k.Add(f)
}
