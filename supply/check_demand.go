package supply

import (
	"errors"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// loadsNotGiven asks about fixtures for which the code gives no load.
func (k *checker) loadsNotGiven() {
	l := k.Layout
	items, err := l.items(k.Code)
	if err != nil {
		return // the analysis has been through the same items
	}
	for i := range items {
		it := &items[i]
		if it.loadErr == nil {
			if l.data.Fixtures[i].Load != "" {
				k.Add(tables.Finding{Rule: "load-not-given", Place: l.data.Fixtures[i].ID, Verdict: tables.Pass,
					Value:  plainText(it.Each.Total.In(k.Code.unit)),
					Reason: "The load is the layout's own, and not the code's."})
			}
			continue
		}
		f := tables.Finding{Rule: "load-not-given", Place: l.data.Fixtures[i].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer}
		switch {
		case errors.Is(it.loadErr, ErrNotStated):
			f.Value = plainText(it.Each.Total.In(k.Code.unit))
			f.Reason = k.Text("The code tells apart what the layout leaves open (%v); the greatest load is taken.",
				it.loadErr)
			f.Fix = "State which it is."
			f.Citation = it.Citation
		case !it.own:
			f.Value = plainText(it.Each.Total.In(k.Code.unit))
			f.Reason = k.Text("%v: the load that the code lists is taken.", it.loadErr)
			f.Fix = "State the load in the code's unit."
			f.Citation = it.Citation
		case it.outlet > 0:
			f.Value = k.trade.flow(it.outlet * units.Flow(it.Count))
			f.Reason = k.Text("No load is listed (%v); its own flow is added whole to the demand of each line to it.",
				it.loadErr)
			f.Fix = "Leave it so if it may run while the others do, or state the listed fixture whose load it takes " +
				"as load_as."
			f.Citation = it.flowRow
		default:
			f.Reason = k.Text("No load is listed (%v) and its flow is not known: it counts for nothing, and each "+
				"line to it carries more than is said.", it.loadErr)
			f.Fix = "State its flow, or the listed fixture whose load it takes as load_as."
		}
		k.Add(f)
	}
}

// plainText is a quantity that is text already.
type plainText string

func (p plainText) String() string { return string(p) }

// demandsBeside asks about runs whose load the table of demand does not cover.
func (k *checker) demandsBeside() {
	under, over := []int{}, []int{}
	for _, i := range k.Layout.order {
		switch k.Runs[i].Basis {
		case FromFirstRow:
			under = append(under, int(i))
		case BeyondTable:
			over = append(over, int(i))
		}
	}
	if len(under) > 0 {
		k.beside(under, tables.Finding{
			Rule: "demand-first-row", Citation: k.Runs[under[0]].Demand,
			Reason: k.Text("The load lies under the first row of the table of demand, and the flow of an outlet is "+
				"not known: "+
				"that row's flow is taken, at %s.", k.ids(under)),
			Fix: "State the flow of the fixtures there.",
		})
	}
	if len(over) > 0 {
		k.beside(over, tables.Finding{
			Rule: "demand-beyond-table", Citation: k.Runs[over[0]].DemandNext,
			Reason: k.Text("The load lies outside what the code's demand covers, and was carried on from its "+
				"nearest figures, at %s.", k.ids(over)),
			Fix: "Ask the engineer or the authority for the demand, or part the system.",
		})
	}
}

// beside asks about runs, at the first of them.
func (k *checker) beside(runs []int, f tables.Finding) {
	r := &k.Runs[runs[0]]
	f.Place, f.Verdict, f.SettledBy = k.Layout.data.Points[runs[0]].ID, tables.Ask, tables.Designer
	f.Value = k.trade.flow(r.Flow - r.Continuous - r.Unlisted)
	k.Add(f)
}

// ids lists the points of runs, the first eight of them.
func (k *checker) ids(runs []int) string {
	var list []string
	for _, i := range runs {
		list = append(list, k.Layout.data.Points[i].ID)
	}
	return shortList(list)
}
