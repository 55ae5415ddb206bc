package supply

import (
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ladderCurve asks which curve of demand goes with loads that fall with the number of
// flush valves. Nothing seen says so, and the curve for valves may count them twice; it
// gives more, and is taken. Both are shown, at the run with the greatest load.
func (k *checker) ladderCurve() {
	if k.Code.curves[TankSystem] == nil || k.Code.curves[ValveSystem] == nil || len(k.Code.ladders) == 0 {
		return
	}
	items, err := k.Layout.items(k.Code)
	if err != nil {
		return // the analysis has been through the same items
	}
	valves := k.ladderValves(items)
	at := -1
	var tank Demand
	for _, n := range k.Layout.order {
		if d, ok := k.tankDemand(int(n), valves); ok && (at < 0 || k.Runs[n].Load > k.Runs[at].Load) {
			at, tank = int(n), d
		}
	}
	if at < 0 {
		return
	}
	r := &k.Runs[at]
	row := slices.IndexFunc(items, func(it item) bool { return it.ladder >= 0 })
	ladder := &k.Code.ladders[items[row].ladder]
	flow := r.Flow - r.Continuous - r.Unlisted
	f := tables.Finding{
		Rule: "ladder-curve", Place: k.Layout.data.Points[at].ID, Verdict: tables.Ask, SettledBy: tables.Book,
		Value: k.trade.flow(flow), Limit: k.trade.flow(tank.Flow), Citation: ladder.cites[0],
		Reason: k.Text("%s, loaded by the code's ladder (%s) at %s in all: the valve curve makes that %v, which is "+
			"taken; the tank curve makes it %v%s. "+
			"The valve curve with the ladder may count the valves twice, and no text seen says which goes with it.",
			counted(valves[at], "flush valve"), ladder.cites[0].Section(), r.Load.In(k.Code.unit), k.trade.flow(flow),
			k.trade.flow(tank.Flow),
			k.sizedFor(at, tank.Flow+r.Continuous+r.Unlisted)),
		Fix: "Look up which table or curve of demand the ladder goes with in the code in force.",
	}
	k.Add(f)
}

// ladderValves counts the fixtures whose load is by the ladder, on each run.
func (k *checker) ladderValves(items []item) []int {
	return k.served(func(i int, _ *LayoutFixture) bool { return items[i].ladder >= 0 })
}

// tankDemand is what the tank curve gives a run whose load rests on the ladder, if that
// is less than the run's flow.
func (k *checker) tankDemand(i int, valves []int) (Demand, bool) {
	r := &k.Runs[i]
	if r.System != ValveSystem || valves[i] == 0 || r.Basis != FromTable && r.Basis != BeyondTable {
		return Demand{}, false
	}
	d, err := k.Code.Demand(r.Load, TankSystem)
	return d, err == nil && d.Flow < r.Flow-r.Continuous-r.Unlisted
}

// byTankCurve works the layout out with the flows of the tank curve at every run whose
// load rests on the ladder; nil if there is none, or it cannot be.
func (k *checker) byTankCurve() *Analysis {
	if k.Code.curves[TankSystem] == nil || k.Code.curves[ValveSystem] == nil || len(k.Code.ladders) == 0 {
		return nil
	}
	items, err := k.Layout.items(k.Code)
	if err != nil {
		return nil
	}
	valves, moved := k.ladderValves(items), false
	for i := range k.Runs {
		if _, ok := k.tankDemand(i, valves); ok {
			moved = true
		}
	}
	if !moved {
		return nil
	}
	h, err := k.Layout.prepare(k.Code, k.Options, nil)
	if err != nil {
		return nil
	}
	sizes := make([]int, len(k.Runs))
	for i := range k.Runs {
		r := &k.Runs[i]
		h.families[i], sizes[i] = r.Pipe, r.Pipe.size(r.Size)
		if d, ok := k.tankDemand(i, valves); ok {
			h.flows[i].flow = d.Flow + r.Continuous + r.Unlisted
		}
	}
	other, err := h.analyse(sizes)
	if err != nil {
		return nil
	}
	return other
}

// curveDecides turns a fail into a question for the book where it rests on the choice of
// curve and the tank curve would pass; value is what that gives. Where it fails by both
// the reason says so.
func (k *checker) curveDecides(f *tables.Finding, passes bool, flow units.Flow, value fmt.Stringer) {
	if !passes {
		f.Reason += k.Text(" By the tank curve (%v) it would be %v, which fails as well.", k.trade.flow(flow), value)
		return
	}
	f.Verdict, f.SettledBy = tables.Ask, tables.Book
	f.Reason += k.Text(" That flow rests on the ladder of flush valves read by the valve curve; by the tank curve "+
		"(%v) it is %v, which passes.",
		k.trade.flow(flow), value)
	f.Fix = "Look up which curve of demand the ladder goes with; until then: " + f.Fix
}

// sizedFor says which size of a run's pipe keeps another flow within the velocity limit,
// where it is not the run's own.
func (k *checker) sizedFor(i int, flow units.Flow) string {
	h := &calculation{l: k.Layout, c: k.Code, families: make([]*PipeFamily, k.Layout.Len())}
	h.families[i] = k.Runs[i].Pipe
	limit, ok := (&limits{h: h}).of(i)
	if !ok {
		return ""
	}
	for _, s := range k.Runs[i].Pipe.sizes {
		if v, err := hydraulics.Velocity(flow, s.Bore); err == nil && within(v, limit.Velocity) {
			if s.Size == k.Runs[i].Size {
				return ""
			}
			return k.Text(", for which %v would be large enough", k.Runs[i].Pipe.name(&s))
		}
	}
	return ""
}
