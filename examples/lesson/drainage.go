package lesson

import (
	"fmt"
	"math/big"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func solveDrainageLoad(p *problem) {
	if p.isEuropean() {
		p.dischargeUnits()
		return
	}
	code, items := p.drainageCode(), p.fixtureItems()
	continuous, _ := readIf[units.Flow](p, p.fields, "continuous", notNegative)
	if !p.ready() {
		return
	}
	var sum dwv.FixtureUnits
	var cites []tables.Citation
	for i, it := range items {
		f, err := it.drainage()
		var l dwv.Load
		if err == nil {
			l, err = code.FixtureLoad(f)
		}
		if err == nil {
			sum, err = sum.Add(l.Units)
		}
		if err != nil {
			p.failAt(fmt.Sprintf("fixtures[%d]", i), err)
			continue
		}
		p.step("%d x %s at %v = %v", it.count, it.kind, l.Each, l.Units)
		cites = append(cites, l.Citation)
	}
	load := sum.Units()
	if continuous > 0 {
		rate, cite, err := code.ContinuousRate()
		p.failAt("continuous", err)
		flow := float64(continuous / units.USGallonPerMinute)
		load += float64(flow * rate)
		p.step("continuous %s gpm x %s dfu per gpm = %s dfu", short(flow), short(rate), short(flow*rate))
		cites = append(cites, cite)
	}
	p.add("load", value{x: load, unit: "dfu"})
	p.results()
	p.cite(cites...)
}

// dischargeUnits adds up appliances by EN 12056-2, which needs the system.
func (p *problem) dischargeUnits() {
	code, items := p.europeanCode(), p.fixtureItems()
	if code == nil {
		return
	}
	system := p.word("system", code.Systems()...)
	if p.has("continuous") {
		p.fields.Faultf("continuous", "EN 12056-2 adds continuous flow to the flow, not to discharge units: see unit-flow")
	}
	if !p.ready() {
		return
	}
	appliances := make([]en12056.Appliance, len(items))
	for i, it := range items {
		f, err := it.drainage()
		p.failAt(fmt.Sprintf("fixtures[%d]", i), err)
		appliances[i] = en12056.Appliance{Fixture: f, Variant: it.variant}
	}
	l, err := code.Load(system, appliances)
	if err != nil {
		p.fail(err)
		return
	}
	var cites []tables.Citation
	for _, a := range l.Appliances {
		p.step("%d x %s at %v = %v", a.Count, a.Kind, a.Each, a.Total)
		cites = append(cites, a.Citation)
	}
	p.add("load", value{x: l.Sum.Units(), unit: "du"})
	p.results()
	p.cite(cites...)
}

func solveDrainSize(p *problem) {
	code := p.drainageCode()
	q := dwv.DrainQuery{Load: 0}
	part := p.word("part", "branch", "stack", "stack-interval", "drain")
	if part != "" {
		p.failAt("part", q.Part.UnmarshalText([]byte(part)))
	}
	if p.fields.Need("load") {
		q.Load = p.drainLoad("load")
	}
	switch {
	case part == "drain":
		q.Grade = p.grade("grade", positive)
	case part == "branch" && p.has("grade"):
		// Only codes that size branches as drains look at it.
		q.Grade = p.grade("grade", positive)
	}
	if p.has("water_closets") {
		q.Closets = countOf(p.fields, "water_closets", 0)
	}
	q.BelowGround = p.fields.Bool("below_ground")
	if (part == "stack" || part == "stack-interval") && p.has("intervals") {
		q.Intervals = countOf(p.fields, "intervals", 1)
	}
	if !p.ready() {
		return
	}
	r, err := code.DrainSize(q)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("size", nominal(r.Size))
	p.add("max_load", value{x: r.MaxLoad.Units(), unit: "dfu"})
	if !p.working {
		return
	}
	p.formula("the smallest size whose greatest load is at least the load, in the column of the steepest tabulated grade not above the one laid")
	if !r.Grade.IsLevel() {
		p.step("column %v", r.Grade)
	}
	p.step("%v <= %v: %s", q.Load, r.MaxLoad, r.Why())
	p.results()
	p.cite(r.Citation, r.Capacity, r.Factor, r.Nominal)
}

func solveTrapArm(p *problem) {
	code, size := p.drainageCode(), p.length("size", positive)
	if !p.ready() {
		return
	}
	a, err := code.TrapArm(size)
	if err != nil {
		p.fail(err)
		return
	}
	switch a.MaxLength.Kind {
	case tables.Unlimited:
		p.add("max_length", text("unlimited"))
	case tables.Value:
		p.add("max_length", p.long(a.MaxLength.Value))
	default:
		p.failAt("size", fmt.Errorf("%w: no trap arm of this size is permitted", dwv.ErrNotInCode))
		return
	}
	// Some codes print lengths and no grade to go with them.
	printed := !a.Grade.IsLevel()
	if printed {
		percent := new(big.Rat).Mul(gradeRat(a.Grade), new(big.Rat).SetInt64(100))
		p.add("min_percent", ratio(percent))
		p.step("the printed grade is %v", a.Grade)
	}
	p.show("greatest length and least grade of a trap arm, from the table", "")
	if printed && a.MaxLength.Kind == tables.Value {
		p.step("  over the whole length it falls %s; the trap is %s wide", p.smallRat(fallRat(a.Grade, a.MaxLength.Value)), nominal(size))
	}
	p.cite(a.Citation)
}

func solveVentSize(p *problem) {
	code := p.drainageCode()
	var q dwv.VentQuery
	if part := p.word("part", "individual", "stack"); part != "" {
		p.failAt("part", q.Part.UnmarshalText([]byte(part)))
	}
	q.Drain = p.length("drain_size", positive)
	q.LoadNotStated = !p.has("load")
	if !q.LoadNotStated {
		q.Load = p.drainLoad("load")
	}
	q.Length = p.length("length", positive)
	if p.has("water_closets") {
		q.Closets = countOf(p.fields, "water_closets", 0)
	}
	if !p.ready() {
		return
	}
	r, err := code.VentSize(q)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("size", nominal(r.Size))
	if !p.working {
		return
	}
	p.formula("the smallest vent whose table row holds the load and whose greatest developed length is at least the length")
	p.step("decided by %v", r.DecidedBy)
	if r.MaxLength > 0 {
		p.step("%s <= %s", p.long(q.Length), p.long(r.MaxLength))
	}
	p.results()
	p.cite(r.Citation, r.Row)
}

func solveUnitFlow(p *problem) {
	k, sum := p.number("k", anyPositive), p.number("load", zeroOrMore)
	largest, _ := readIf[units.Flow](p, p.fields, "largest", notNegative)
	if !p.ready() {
		return
	}
	du, err := en12056.NewDischargeUnits(sum)
	if err != nil {
		p.failAt("load", err)
		return
	}
	q, err := en12056.WasteFlow(k, du, largest)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("flow", p.flowValue(q))
	p.show("Q = K sqrt(sum DU) L/s, and not less than the largest appliance", "%s x sqrt(%s) L/s, largest %s L/s",
		short(k), short(sum), short(float64(largest/units.LitrePerSecond)))
	p.source("EN 12056-2:2000, 6.3.1 and 6.3.4")
}
