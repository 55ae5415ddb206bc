package lesson

import (
	"fmt"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

func solveSupplyLoad(p *problem) {
	code, items := p.supplyCode(), p.fixtureItems()
	if !p.ready() {
		return
	}
	fixtures := make([]supply.Fixture, len(items))
	for i, it := range items {
		f, err := it.supply()
		p.failAt(fmt.Sprintf("fixtures[%d]", i), err)
		fixtures[i] = f
	}
	l, err := code.Loads(fixtures)
	if err != nil {
		p.fail(err)
		return
	}
	unit := code.LoadUnit()
	p.add("cold", value{x: l.Cold.Units(), unit: unit})
	p.add("hot", value{x: l.Hot.Units(), unit: unit})
	p.add("total", value{x: l.Total.Units(), unit: unit})
	if !p.working {
		return
	}
	var cites []tables.Citation
	for _, it := range l.Items {
		p.step("%d x %s at cold %s, hot %s, total %s = cold %s, hot %s, total %s", it.Count, it.Kind,
			it.Each.Cold.In(unit), it.Each.Hot.In(unit), it.Each.Total.In(unit), it.Cold.In(unit), it.Hot.In(unit), it.Total.In(unit))
		cites = append(cites, it.Citation)
	}
	p.formula("sums; a fixture's total is on a line that feeds both its cold and its hot, and is not their sum")
	p.results()
	p.cite(cites...)
}

func solveDemand(p *problem) {
	code, load := p.supplyCode(), p.supplyLoad("load")
	var system supply.System
	if word := p.word("system", "tank", "valve"); word != "" {
		p.failAt("system", system.UnmarshalText([]byte(word)))
	}
	if !p.ready() {
		return
	}
	d, err := code.Demand(load, system)
	if err != nil {
		p.failAt("load", err)
		return
	}
	p.add("flow", p.flowValue(d.Flow))
	p.formula("flow of the load in the column of the system, on the straight line between two rows")
	if p.working {
		p.step("  %s", d.Why())
	}
	p.results()
	p.cite(d.Citation, d.Next)
}
