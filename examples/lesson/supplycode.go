package lesson

import (
	"strings"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func solveSupplyLoad(p *problem) {
	code, items := p.supplyCode(), p.fixtureItems()
	if !p.ready() {
		return
	}
	fixtures := make([]tables.Fixture, len(items))
	for i, it := range items {
		fixtures[i] = it.Fixture
	}
	l, err := code.Loads(fixtures)
	if p.fail(err) {
		return
	}
	unit := code.LoadUnit()
	p.add("cold", value{x: l.Cold.Units(), unit: unit})
	p.add("hot", value{x: l.Hot.Units(), unit: unit})
	p.add("total", value{x: l.Total.Units(), unit: unit})
	var sums [3][]string
	for _, it := range l.Items {
		p.cite(it.Citation)
		if !p.working {
			continue
		}
		p.step("%d %s:", it.Count, it.Kind)
		for k, part := range [...][2]supply.CodeLoad{
			{it.Each.Cold, it.Cold}, {it.Each.Hot, it.Hot}, {it.Each.Total, it.Total},
		} {
			p.equation(p.names[k], value{x: part[1].Units(), unit: unit}, "count x load of each", "%d x %s", it.Count,
				part[0])
			sums[k] = append(sums[k], part[1].String())
		}
	}
	if p.working {
		for k, v := range p.items {
			p.equation(p.names[k], v, "sum of the loads", "%s", strings.Join(sums[k], " + "))
		}
		p.formula("a fixture's total is on a line that feeds both its cold and its hot, and is not their sum")
	}
}

func solveDemand(p *problem) {
	code := p.supplyCode()
	outlets, capped := readIf[units.Flow](p, p.fields, "outlets", notNegative)
	if code != nil && len(code.Buildings()) > 0 {
		p.peakFlow(code, outlets)
		return
	}
	load := p.supplyLoad("load")
	var system supply.System
	if word := p.word("system", "tank", "valve"); word != "" {
		p.failAt("system", system.UnmarshalText([]byte(word)))
	}
	if !p.ready() {
		return
	}
	d, err := code.Demand(load, system)
	if p.failAt("load", err) {
		return
	}
	p.cite(d.Citation, d.Next)
	flow := d.Flow
	if capped {
		flow = min(flow, outlets)
	}
	p.add("flow", p.flowValue(flow))
	p.demandWorking(code, load, system, d)
	if capped {
		p.step("all outlets together draw %v, and no more than that can flow", p.flowValue(outlets))
	}
	p.results()
}

// peakFlow answers demand by a code that works from the flows of the outlets.
func (p *problem) peakFlow(code *supply.Code, outlets units.Flow) {
	building := p.word("building", code.Buildings()...)
	p.fields.Need("outlets")
	if !p.ready() {
		return
	}
	r, err := code.PeakFlow(building, outlets)
	if p.failAt("outlets", err) {
		return
	}
	p.cite(r.Citation)
	p.add("flow", p.flowValue(r.Flow))
	p.formula("V = a (sum V)^b - c in L/s, and never more than the sum; a, b and c from the row of the building")
	p.results()
}

// demandWorking shows the two rows and the straight line between them.
func (p *problem) demandWorking(code *supply.Code, load supply.FixtureUnits, system supply.System, d supply.Demand) {
	if !p.working {
		return
	}
	unit := code.LoadUnit()
	if d.Citation == d.Next {
		p.formula("the row of the load in the column of the system: " + d.Why())
		return
	}
	at := func(c tables.Citation) (load supply.FixtureUnits, flow value, ok bool) {
		for _, k := range c.Keys() {
			if k.Column.Name == "load" {
				u, err := supply.ParseFixtureUnits(k.Text)
				if err != nil {
					return 0, value{}, false
				}
				row, err := code.Demand(u, system)
				return u, p.flowValue(row.Flow), err == nil
			}
		}
		return 0, value{}, false
	}
	low, q1, ok1 := at(d.Citation)
	high, q2, ok2 := at(d.Next)
	if !ok1 || !ok2 {
		return
	}
	p.step("row below: %s is %v", low.In(unit), q1)
	p.step("row above: %s is %v", high.In(unit), q2)
	p.equation("flow of the table", p.flowValue(d.Flow), "q1 + (q2 - q1) x (load - load1) / (load2 - load1)",
		"%v + (%v - %v) x (%s - %s) / (%s - %s)", q1, q2, q1, load.In(unit), low.In(unit), high.In(unit), low.In(unit))
}
