package supply

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// loadsNotGiven asks about fixtures for which the code gives no load.
func (k *checker) loadsNotGiven() {
	l := k.layout
	items := k.worked.items
	if k.plain {
		return
	}
	hangs := k.openKinds(items)
	ownFlowsHang := sync.OnceValue(k.ownFlowsHang) // of all fixtures together
	var whole []string                             // fixtures of a code without a table of loads
	for _, i := range k.outlets() {
		it, f := &items[i], &l.data.Fixtures[i]
		if it.loadErr == nil && f.Load == "" {
			continue
		}
		at := finding.Case{Rule: "load-not-given", Place: f.ID, Citation: it.Citation}
		load, flow := plainText(it.Each.Total.In(k.code.unit)), k.system.flow(it.outlet*units.Flow(it.Count))
		switch {
		case it.loadErr == nil:
			k.Add(tables.Finding{Rule: at.Rule, Place: f.ID, Verdict: tables.Pass, Value: load,
				Reason: "The load is the layout's own, and not the code's."})
		case it.own && it.outlet > 0 && k.code.fixtures == nil:
			whole = append(whole, f.ID)
		case errors.Is(it.loadErr, tables.ErrNotStated) && !hangs[i]:
			k.Assume(at.Rule, f.ID, k.Text("the greatest load that the code lists of such fixtures, %v each, for it tells "+
				"apart what is left open (%s)", load, plainReason(it.loadErr)), "what the code tells apart")
		case errors.Is(it.loadErr, tables.ErrNotStated):
			k.asks(at, tables.Designer, load, nil, k.Text("The code tells apart what the layout leaves open (%s); the "+
				"greatest load is taken.", plainReason(it.loadErr)), "State which it is.")
		case !it.own:
			k.asks(at, tables.Designer, load, nil, k.Text("No load is taken as stated: %s. The load that the code lists "+
				"is taken.", plainReason(it.loadErr)), "State the load in the code's unit.")
		case it.outlet > 0 && f.Load == "" && !ownFlowsHang():
			k.Assume(at.Rule, f.ID, k.Text("its own flow, %v, is added whole to the demand of each line to it, for the code "+
				"lists no load of it", flow), "load_as, or load")
		case it.outlet > 0:
			at.Citation = it.flowRow
			k.asks(at, tables.Designer, flow, nil, k.Text("%s. Its own flow is added whole to the demand of each line to it.",
				k.unlisted(it.loadErr)), "Leave it so if it may run while the others do, or state the listed fixture whose "+
				"load it takes as load_as.")
		default:
			k.Ask(at.Rule, f.ID, tables.Designer, k.Text("%s; nor is its flow known. It counts for nothing, and each line to "+
				"it carries more than is said.", k.unlisted(it.loadErr)),
				"State its flow, or the listed fixture whose load it takes as load_as.", tables.Citation{})
		}
	}
	if len(whole) > 0 {
		k.Ask("load-not-given", whole[0], tables.Designer,
			k.Text("Our tables hold no fixture loads of %s: each fixture's own flow is added whole to the demand of each "+
				"line to it, which is never too little: %s.", k.code.id, shortList(whole)),
			k.Text("Name a code for the water that has them (water_code: %s), or state the loads by the code's own table "+
				"(load, in %s).", strings.Join(loaded(k.code.pipes.shelf), ", "), k.code.unit), tables.Citation{})
	}
}

// plainReason is why a look-up of a fixture failed, without the words that programs match
// and the fixture that the finding names anyway.
func plainReason(err error) string {
	if all, ok := errors.AsType[*units.Faults](err); ok {
		list := make([]string, len(all.Faults))
		for i, f := range all.Faults {
			list[i] = plainReason(f)
		}
		return strings.Join(list, "; ")
	}
	field := ""
	if f, ok := errors.AsType[*units.Fault](err); ok && f.Field != "" {
		field, err = f.Field+": ", f.Err
	}
	text := err.Error()
	for _, is := range [...]error{tables.ErrNotInCode, tables.ErrNotOnShelf, tables.ErrNotStated} {
		text = strings.TrimPrefix(text, is.Error()+": ")
	}
	if strings.HasPrefix(text, `fixture "`) {
		if _, after, ok := strings.Cut(text, `": `); ok {
			text = after
		}
	}
	return field + text
}

// unlisted says that the code lists no load for a fixture, and for which use or control it does.
func (k *checker) unlisted(err error) string {
	text := strings.ReplaceAll(plainReason(err), k.code.id, "the code")
	if text == "the code does not list it" {
		return "The code lists no load for it"
	}
	text = strings.Replace(text, `": the code lists it`, `", and the code lists it`, 1)
	return "The code lists no load for it: " + strings.Replace(text, `: "`, ` "`, 1)
}

// loaded lists the codes of a shelf that turn fixtures into flow or pipe.
func loaded(shelf *tables.Shelf) (ids []string) {
	codes, err := Codes(shelf)
	if err != nil {
		return nil
	}
	for _, c := range codes {
		if slices.Contains(c.Covers, "fixture loads") && (slices.Contains(c.Covers, "demand") ||
			slices.Contains(c.Covers, "peak flow") || slices.Contains(c.Covers, "pipe by loading units")) {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// plainText is a quantity that is text already.
type plainText string

func (p plainText) String() string { return string(p) }

// demandsBeside asks about runs whose load the table of demand does not cover.
func (k *checker) demandsBeside() {
	under, over, all := []int{}, []int{}, []int{}
	for _, i := range k.points() {
		switch r := &k.runs[i]; r.Basis {
		case FromAll:
			if k.code.curves[r.System] == nil {
				all = append(all, i)
			}
		case FromFirstRow:
			under = append(under, i)
		case BeyondTable:
			over = append(over, i)
		}
	}
	switch {
	case len(under) == 0 || k.plain:
	case !k.flowsHang(k.runs[under[0]].demanded()):
		k.Assume("demand-first-row", k.layout.data.Points[under[0]].ID, k.Text("the first row of the table of demand, for "+
			"the load lies under it and the flow of an outlet is not known, at %s", k.ids(under)),
			"the flow of the fixtures there")
	default:
		k.beside(under[0], finding.Case{Rule: "demand-first-row", Citation: k.runs[under[0]].Demand},
			k.Text("The load lies under the first row of the table of demand, and the flow of an outlet is not known: "+
				"that row's flow is taken, at %s.", k.ids(under)), "State the flow of the fixtures there.")
	}
	if len(all) > 0 {
		k.beside(all[0], finding.Case{Rule: "demand-beyond-table"},
			k.Text("Our tables hold no table of demand of this code for %v systems: all outlets whose flow is "+
				"known are taken to run at once, which is more than any code asks of many, at %s.",
				k.runs[all[0]].System, k.ids(all)),
			"Give the code its table of demand by an amendment, or state the water_code of another.")
	}
	if len(over) > 0 {
		k.beside(over[0], finding.Case{Rule: "demand-beyond-table", Citation: k.runs[over[0]].DemandNext},
			k.Text("The load lies outside what the code's demand covers, and was carried on in a straight "+
				"line from its nearest figures, at %s.", k.ids(over)),
			"Ask the engineer or the authority for the demand, or part the system.")
	}
}

// beside asks about the flow of runs, at the first of them.
func (k *checker) beside(run int, at finding.Case, reason, fix string) {
	at.Place = k.layout.data.Points[run].ID
	k.asks(at, tables.Designer, k.system.flow(k.runs[run].demanded()), nil, reason, fix)
}

// ids lists the points of runs, the first eight of them.
func (k *checker) ids(runs []int) string {
	var list []string
	for _, i := range runs {
		list = append(list, k.layout.data.Points[i].ID)
	}
	return shortList(list)
}

// columnChoice says why it is open by which column of demand a run goes; the column of
// valves, which gives more, is taken.
type columnChoice struct {
	ladder  int    // flush valves whose load falls with their number
	what    string // tanks beside valves, or the valves of urinals alone; empty: neither, or the ladder asks
	urinals int    // 1: of urinals alone
}

// columnChoices finds the runs whose column is open, nil where the code has one column.
func (k *checker) columnChoices() []columnChoice {
	if k.code.curves[TankSystem] == nil || k.code.curves[ValveSystem] == nil {
		return nil
	}
	items := k.worked.items
	ladder := k.served(func(i int, f *LayoutFixture) bool { return items[i].ladder >= 0 && f.Control == tables.Valve })
	tanks := k.served(func(_ int, f *LayoutFixture) bool { return f.Kind == "water-closet" && f.Control != tables.Valve })
	urinals := k.served(func(_ int, f *LayoutFixture) bool { return f.Kind == urinal && f.Control == tables.Valve })
	others := k.served(func(_ int, f *LayoutFixture) bool { return f.Kind != urinal && f.Control == tables.Valve })
	_, settled := k.code.Rule(tankWithoutClosetValves)
	out := make([]columnChoice, len(k.runs))
	for i := range k.runs {
		if k.runs[i].System != ValveSystem {
			continue
		}
		c := &out[i]
		c.ladder = ladder[i]
		switch {
		case c.ladder > 0 || settled:
		case others[i] == 0 && urinals[i] > 0:
			c.what, c.urinals = counted(urinals[i], "urinal")+" with flush valves and no closet with one", 1
		case tanks[i] > 0:
			c.what = counted(tanks[i], "closet") + " with tanks beside flush valves"
		}
	}
	return out
}

// open reports whether the column is open.
func (c *columnChoice) open() bool { return c.ladder > 0 || c.what != "" }

// ladderCurve asks which curve of demand goes with loads that fall with the number of
// flush valves. Nothing seen says so, and the curve for valves may count them twice; it
// gives more, and is taken. Both are shown, at the run with the greatest load.
func (k *checker) ladderCurve() {
	at := -1
	var tank Demand
	for _, n := range k.points() {
		if k.plain || k.choice == nil || k.choice[n].ladder == 0 {
			continue
		}
		if d, ok := k.tankDemand(n); ok && (at < 0 || k.runs[n].Load > k.runs[at].Load) {
			at, tank = n, d
		}
	}
	if at < 0 {
		return
	}
	items := k.worked.items
	r := &k.runs[at]
	list := k.outlets()
	row := slices.IndexFunc(list, func(i int) bool { return items[i].ladder >= 0 && items[i].Control == tables.Valve })
	ladder := &k.code.ladders[items[list[row]].ladder]
	valve, byTank := k.system.flow(r.demanded()), k.system.flow(tank.Flow)
	k.asks(finding.Case{Rule: "ladder-curve", Place: k.layout.data.Points[at].ID, Citation: ladder.cites[0]}, tables.Book,
		valve, byTank, k.Text("%s, loaded by the code's ladder (%s) at %s in all: the valve curve makes that %v, which is "+
			"taken; the tank curve makes it %v%s. "+
			"The valve curve with the ladder may count the valves twice, and no text seen says which goes with it.",
			counted(k.choice[at].ladder, "flush valve"), ladder.cites[0].Section(), r.Load.In(k.code.unit),
			valve, byTank, k.sizedFor(at, r.by(&tank))),
		"Look up which table or curve of demand the ladder goes with in the code in force.")
}

// tankDemand is what the tank column gives a run whose column is open, if that is less
// than the run's flow.
func (k *checker) tankDemand(i int) (Demand, bool) {
	r := &k.runs[i]
	if !k.choice[i].open() || r.Basis != FromTable && r.Basis != BeyondTable {
		return Demand{}, false
	}
	d, err := k.code.Demand(r.Load, TankSystem)
	return d, err == nil && d.Flow < r.demanded()
}

// byTankCurve works the layout out with the flows of the tank column at every run whose
// column is open; nil if there is none, or it cannot be.
func (k *checker) byTankCurve() *Analysis {
	if k.choice == nil {
		return nil
	}
	moved := map[int]units.Flow{}
	for i := range k.runs {
		if d, ok := k.tankDemand(i); ok {
			moved[i] = k.runs[i].by(&d)
		}
	}
	if len(moved) == 0 {
		return nil
	}
	h, sizes := k.again()
	for i, flow := range moved {
		h.flows[i].Flow = flow
	}
	var err error
	if h.street, err = k.layout.street(h.flows); err != nil {
		return nil
	}
	other, _ := h.analyse(sizes) // nil with an error
	return other
}

// curveDecides turns a fail into a question for the book where it rests on the choice of
// curve and the tank curve would pass; value is what that gives. Where it fails by both
// the reason says so.
func (k *checker) curveDecides(f *tables.Finding, passes bool, flow units.Flow, value fmt.Stringer) {
	if !passes {
		f.Reason += k.Text(" By the tank column (%v) it would be %v, which fails as well.", k.system.flow(flow), value)
		return
	}
	f.Verdict, f.SettledBy = tables.Ask, tables.Book
	f.Reason += k.Text(" That flow rests on the column of valves, which is open here; by the tank column "+
		"(%v) it is %v, which passes.",
		k.system.flow(flow), value)
	f.Fix = "Settle which column of demand holds for such lines; until then: " + f.Fix
}

// sizedFor says which size of a run's pipe keeps another flow within the velocity limit,
// where it is not the run's own.
func (k *checker) sizedFor(i int, flow units.Flow) string {
	h := &calculation{l: k.layout, c: k.code, families: make([]*PipeFamily, k.layout.Len())}
	h.families[i] = k.runs[i].family
	limit, ok := (&limits{h: h}).of(i)
	if !ok {
		return ""
	}
	f := k.runs[i].family
	at, err := f.keeping(flow, limit.Velocity, 0)
	if err != nil || at == len(f.sizes) || f.sizes[at].Size == k.runs[i].Size {
		return ""
	}
	return k.Text(", for which %v would be large enough", f.name(&f.sizes[at]))
}

// mixedClosets asks where a line serves flush tanks and flush valves, or the valves of
// urinals alone: codes go by what most of a system is, the analysis pipe by pipe by any
// valve, which gives more.
func (k *checker) mixedClosets() {
	if k.choice == nil || k.plain {
		return
	}
	found := map[int]int{} // of closets, of urinals: the line with the greatest load on which anything hangs
	tank := map[int]Demand{}
	for _, i := range k.points() {
		d, less := k.tankDemand(i)
		if k.choice[i].what == "" || k.runs[i].Basis != FromTable || !less {
			continue
		}
		best, seen := found[k.choice[i].urinals]
		if tank[i] = d; !seen || k.runs[i].Load > k.runs[best].Load {
			found[k.choice[i].urinals] = i
		}
	}
	for urinals, i := range found {
		d, r, id := tank[i], &k.runs[i], k.layout.data.Points[i].ID
		valve, byTank := k.system.flow(r.demanded()), k.system.flow(d.Flow)
		if !k.moves(answer{flows: func(flows []runFlow) { k.byTanks(flows, urinals) }}) {
			k.Assume("mixed-closets", id, k.Text("the demand is that of the valve column, %v, for the line serves %s; by the "+
				"tank column it would be %v", valve, k.choice[i].what, byTank), "")
			continue
		}
		k.asks(finding.Case{Rule: "mixed-closets", Place: id, Citation: d.Citation}, tables.Authority, valve, byTank,
			k.Text("It serves %s. The demand is that of the valve column, chosen pipe by pipe; by the tank column it would "+
				"be %v%s.", k.choice[i].what, byTank, k.sizedFor(i, r.by(&d))),
			"Ask which column the authority takes for such lines.")
	}
}

// byTanks gives the flow of the tank column to the runs whose column is open, those of closets
// or those of urinals alone.
func (k *checker) byTanks(flows []runFlow, urinals int) {
	for i := range flows {
		if k.choice[i].what == "" || k.choice[i].urinals != urinals {
			continue
		}
		if d, ok := k.tankDemand(i); ok {
			flows[i].Flow = k.runs[i].by(&d)
		}
	}
}
