package lesson

import (
	"fmt"
	"math"
	"math/big"
	"strings"

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
	var sums []string
	for i, it := range items {
		l, err := code.FixtureLoad(it.Fixture)
		if err == nil {
			sum, err = sum.Add(l.Units)
		}
		if p.failAt(fmt.Sprintf("fixtures[%d]", i), err) {
			continue
		}
		p.step("%d %s:", it.Count, it.Kind)
		p.equation("load", value{x: l.Units.Units(), unit: "dfu"}, "count x load of each", "%d x %v", it.Count, l.Each)
		sums = append(sums, l.Units.String())
		cites = append(cites, l.Citation)
	}
	load := sum.Units()
	if continuous > 0 {
		rate, cite, err := code.ContinuousRate()
		p.failAt("continuous", err)
		flow := float64(continuous / units.USGallonPerMinute)
		load += float64(flow * rate)
		p.equation("continuous flow", value{x: flow * rate, unit: "dfu"}, "flow in gpm x dfu per gpm", "%s x %s dfu",
			short(flow), short(rate))
		sums = append(sums, short(flow*rate)+" dfu")
		cites = append(cites, cite)
	}
	p.add("load", value{x: load, unit: "dfu"})
	p.equation("load", p.items[0], "sum of the loads", "%s", strings.Join(sums, " + "))
	p.cite(cites...)
}

// dischargeUnits adds up appliances by EN 12056-2, which needs the system.
func (p *problem) dischargeUnits() {
	code, items := p.europeanCode(), p.fixtureItems()
	if code == nil {
		return
	}
	system := p.word("system", tables.IDs(code.Systems())...)
	if p.has("continuous") {
		p.fields.Faultf("continuous",
			"EN 12056-2 adds continuous flow to the flow, not to discharge units: see unit-flow")
	}
	if !p.ready() {
		return
	}
	appliances := make([]en12056.Appliance, len(items))
	for i, it := range items {
		appliances[i] = en12056.Appliance{Fixture: it.Fixture, Variant: it.variant}
	}
	l, err := code.Load(system, appliances)
	if p.fail(err) {
		return
	}
	var cites []tables.Citation
	var sums []string
	for _, a := range l.Appliances {
		p.step("%d %s:", a.Count, a.Kind)
		p.equation("units", value{x: a.Total.Units(), unit: "du"}, "count x units of each", "%d x %v", a.Count, a.Each)
		sums = append(sums, a.Total.String())
		cites = append(cites, a.Citation)
	}
	p.add("load", value{x: l.Sum.Units(), unit: "du"})
	p.equation("load", p.items[0], "sum of the units", "%s", strings.Join(sums, " + "))
	p.cite(cites...)
}

func solveDrainSize(p *problem) {
	part := p.word("part", "branch", "stack", "stack-interval", "drain")
	if p.byCapacity(part) {
		return
	}
	code := p.drainageCode()
	q := dwv.DrainQuery{Load: 0}
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
	q.Closets = p.closets()
	q.BelowGround = p.fields.Bool("below_ground")
	if (part == "stack" || part == "stack-interval") && p.has("intervals") {
		q.Intervals = countOf(p.fields, "intervals", 1, maxCount)
	}
	if !p.ready() {
		return
	}
	p.drainSize(code, q)
}

// drainSize answers with the size for a load.
func (p *problem) drainSize(code *dwv.Code, q dwv.DrainQuery) {
	r, err := code.DrainSize(q)
	if p.fail(err) {
		return
	}
	p.cite(r.Citation, r.Capacity, r.Factor, r.Nominal)
	p.add("size", nominal(r.Size))
	p.add("max_load", value{x: r.MaxLoad.Units(), unit: "dfu"})
	if !p.working {
		return
	}
	p.formula("the smallest size whose greatest load is at least the load, in the column of the steepest tabulated " +
		"grade not above the one laid")
	if !r.Grade.IsLevel() {
		p.step("column %v", r.Grade)
	}
	p.equation("spare", value{x: (r.MaxLoad - q.Load).Units(), unit: "dfu"}, "max load - load", "%v - %v", r.MaxLoad,
		q.Load)
	p.step("%s", r.Why())
	p.results()
}

func solveTrapArm(p *problem) {
	code, size := p.drainageCode(), p.length("size", positive)
	if !p.ready() {
		return
	}
	a, err := code.TrapArm(size)
	if p.fail(err) {
		return
	}
	switch a.MaxLength.Kind {
	case tables.Unlimited:
		p.add("max_length", text("unlimited"))
	case tables.Value:
		p.add("max_length", p.long(a.MaxLength.Value))
	default:
		p.failAt("size", fmt.Errorf("%w: no trap arm of this size is permitted", tables.ErrNotInCode))
		return
	}
	// Some codes print lengths and no grade to go with them.
	printed := !a.Grade.IsLevel()
	if printed {
		percent := new(big.Rat).Mul(gradeRat(a.Grade), new(big.Rat).SetInt64(100))
		p.add("min_percent", ratio(percent))
		p.equation("least percent", p.items[len(p.items)-1], "100 x printed grade", "100 x %s", overRun(a.Grade))
	}
	p.formula("greatest length and least grade of a trap arm, from the row of the size")
	p.results()
	if printed && a.MaxLength.Kind == tables.Value {
		p.fallWorking("fall over the whole length", "max length x printed grade", a.MaxLength.Value, a.Grade)
		p.step("the trap is %s wide", nominal(size))
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
	q.Closets = p.closets()
	if !p.ready() {
		return
	}
	r, err := code.VentSize(q)
	if p.fail(err) {
		return
	}
	p.cite(r.Citation, r.Row)
	p.add("size", nominal(r.Size))
	if !p.working {
		return
	}
	p.formula("the smallest vent whose table row holds the load and whose greatest developed length is at least the " +
		"length")
	short := q
	short.Length = units.Foot
	first, err := code.VentSize(short)
	if err == nil && first.DecidedBy == dwv.VentByDrain {
		p.equation("least size", value{x: q.Drain.Inches() / 2, unit: "in"}, "half the drain", "%s / 2",
			nominal(q.Drain))
	}
	if long, _, ok := code.FindLength("vent-long-length"); ok && r.DecidedBy == dwv.VentByLength {
		p.step("a vent of %v would do if it were short; one longer than %v goes up one size", nominal(first.Size),
			p.long(long))
	}
	p.step("decided by: %v", r.DecidedBy)
	if r.MaxLength > 0 {
		p.equation("spare length", p.long(r.MaxLength-q.Length), "max developed length - developed length",
			"%s - %s", p.long(r.MaxLength), p.long(q.Length))
	}
	p.results()
}

func solveUnitFlow(p *problem) {
	k, sum := p.number("k", anyPositive), p.number("load", loads)
	largest, _ := readIf[units.Flow](p, p.fields, "largest", notNegative)
	if !p.ready() {
		return
	}
	du, err := en12056.NewDischargeUnits(sum)
	if p.failAt("load", err) {
		return
	}
	q, err := en12056.WasteFlow(k, du, largest)
	if p.fail(err) {
		return
	}
	p.add("flow", p.flowValue(q))
	p.equation("Q", value{x: k * math.Sqrt(sum), unit: "L/s"}, "K sqrt(sum DU)", "%s x sqrt(%s), in L/s", short(k),
		short(sum))
	p.step("not less than the largest appliance, %s L/s", short(float64(largest/units.LitrePerSecond)))
	p.conversion(value{x: float64(q / units.LitrePerSecond), unit: "L/s"}, p.flowValue(q))
	p.results()
	p.source("EN 12056-2:2000, 6.3.1 and 6.3.4")
}
