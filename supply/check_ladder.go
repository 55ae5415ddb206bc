package supply

import (
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
	valves := k.served(func(i int, _ *LayoutFixture) bool { return items[i].ladder >= 0 })
	at := -1
	var tank Demand
	for _, n := range k.Layout.order {
		r := &k.Runs[n]
		if r.System != ValveSystem || valves[n] == 0 || r.Basis != FromTable && r.Basis != BeyondTable {
			continue
		}
		d, err := k.Code.Demand(r.Load, TankSystem)
		if err == nil && d.Flow < r.Flow-r.Continuous-r.Unlisted && (at < 0 || r.Load > k.Runs[at].Load) {
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
		Reason: k.Text("%s, loaded by the code's ladder (%s) at %s in all: the valve curve makes that %v, which is taken; the tank curve makes it %v%s. "+
			"The valve curve with the ladder may count the valves twice, and no text seen says which goes with it.",
			counted(valves[at], "flush valve"), ladder.cites[0].Section(), r.Load.In(k.Code.unit), k.trade.flow(flow), k.trade.flow(tank.Flow),
			k.sizedFor(at, tank.Flow+r.Continuous+r.Unlisted)),
		Fix: "Look up which table or curve of demand the ladder goes with in the code in force.",
	}
	k.Add(f)
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
