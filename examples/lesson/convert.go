package lesson

import "github.com/trapweir/trapweir/units"

func solveConvert(p *problem) {
	var q units.Quantity
	if p.fields.Need("value") {
		p.fields.Parse("value", &q)
	}
	p.fields.Need("to")
	to := p.fields.Text("to")
	if !p.ready() {
		return
	}
	exact, err := q.Rat(to)
	if err != nil {
		p.failAt("to", withoutPrefix(err, "convert"))
		return
	}
	x, _ := exact.Float64()
	p.add("value", value{x: x, unit: to})
	if !p.working {
		return
	}
	p.formula("exact ratio of the two definitions")
	if len(exact.RatString()) < 60 {
		p.step("  %v = %s %s", q, exact.RatString(), to)
	}
	p.results()
}
