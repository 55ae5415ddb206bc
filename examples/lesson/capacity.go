package lesson

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// capacityTables are the tables, by part, of sets that are no code of fixture units: what
// they hold, and so what a line must give, their columns say.
var capacityTables = map[string]map[string]string{
	"adh-2015":    {"drain": "adh-2015/drains", "stack": "adh-2015/stacks"},
	"bs5572-1978": {"drain": "bs5572-1978/drain-loads"},
	"din1986-100": {"drain": "din1986-100/drain-capacity", "branch": "din1986-100/branch-unventilated"},
}

// ventilated are the tables of branches that have a vent of their own.
var ventilated = map[string]string{"din1986-100/branch-unventilated": "din1986-100/branch-ventilated"}

// closetLeast are the rules by which a part that takes water closets is not smaller.
var closetLeast = map[string]string{"adh-2015/drains": "drain-closet-min-size"}

// capacityRow is a row of such a table, with what it has of these.
type capacityRow struct {
	Filling  tables.Cell[float64]      `table:"filling,optional"`
	Grade    tables.Cell[slope.Grade]  `table:"grade,optional"`
	Peak     string                    `table:"peak_flow,optional"`
	K        tables.Cell[float64]      `table:"k,optional"`
	Size     tables.Cell[units.Length] `table:"size,optional"`
	Bore     tables.Cell[units.Length] `table:"bore,optional"`
	MaxFlow  tables.Cell[float64]      `table:"max_flow[L/s],optional"`
	MaxLoad  tables.Cell[float64]      `table:"max_load[du],optional"`
	Velocity tables.Cell[float64]      `table:"velocity[m/s],optional"`
	Most     tables.Cell[int64]        `table:"most_closets,optional"`
	Least    tables.Cell[int64]        `table:"least_closets,optional"`
}

// capacity is what is asked of such a table.
type capacity struct {
	flow    units.Flow
	load    float64 // where the table goes by discharge units
	grade   slope.Grade
	filling float64
	k       float64
	closets int
	least   units.Length // of a part that takes closets
}

// byCapacity answers a line under a set of such tables, and reports whether the line names
// one.
func (p *problem) byCapacity(part string) bool {
	code := p.fields.Text("code")
	if p.isEuropean() {
		p.europeanPipe(part)
		return true
	}
	parts, ok := capacityTables[code]
	if !ok {
		return false
	}
	id := parts[part]
	if id == "" {
		if part != "" {
			p.failAt("part", fmt.Errorf("%w: %s has tables of %s", tables.ErrNotInCode, code,
				strings.Join(slices.Sorted(maps.Keys(parts)), ", ")))
		}
		return true
	}
	if ventilated[id] != "" && p.fields.Bool("ventilated") {
		id = ventilated[id]
	}
	t, err := p.shelf.shelf.Table(id)
	if p.failAt("code", err) {
		return true
	}
	c := p.capacityOf(t)
	rows, err := tables.LoadTable[capacityRow](t)
	if p.failAt("code", err) {
		return true
	}
	if !p.ready() {
		return true
	}
	p.pickCapacity(t, rows, c)
	return true
}

// capacityOf reads what the columns of a table ask for.
func (p *problem) capacityOf(t *tables.Table) (c capacity) {
	has := func(column string) bool { return t.Column(column) >= 0 }
	if has("max_flow") {
		c.flow = p.flow("flow")
	} else {
		c.load = p.number("load", anyPositive)
	}
	if has("k") {
		c.k = p.number("k", anyPositive)
	}
	if has("filling") {
		c.filling = p.number("filling", fraction)
	}
	if has("grade") {
		c.grade = p.grade("grade", positive)
	}
	c.closets = p.closets()
	if c.closets > 0 && has("k") {
		p.fields.Faultf("water_closets", "the notes of %s say which sizes take closets, and this kind does not read "+
			"them", t.ID())
	}
	if rule := closetLeast[t.ID()]; rule != "" && c.closets > 0 {
		rules, err := p.shelf.shelf.Rules(t.Set())
		if err == nil {
			var cite tables.Citation
			if c.least, cite, err = tables.RuleValue[units.Length](rules, rule); err == nil {
				p.cite(cite)
			}
		}
		p.failAt("code", err)
	}
	return c
}

// pickCapacity answers with the smallest size that carries what is asked.
func (p *problem) pickCapacity(t *tables.Table, rows *tables.Rows[capacityRow], c capacity) {
	column, ok := p.capacityColumn(t, rows, &c)
	if !ok {
		return
	}
	most, best := 0.0, -1
	for i, r := range rows.All() {
		if !c.holds(r, column) {
			continue
		}
		most = max(most, r.carries())
		if c.asked() <= r.carries()+1e-9 && r.size() >= c.least && (best < 0 || r.size() < rows.At(best).size()) {
			best = i
		}
	}
	if best < 0 {
		p.noCapacity(t, c, most)
		return
	}
	r := rows.At(best)
	p.cite(rows.Cite(best))
	p.capacityRule(t.Column("grade") >= 0)
	p.add("size", nominal(r.size()))
	if c.flow > 0 {
		p.capacityFlow(c.flow, units.Flow(r.MaxFlow.Value)*units.LitrePerSecond, units.Velocity(r.Velocity.Value))
		return
	}
	p.add("max_load", value{x: r.MaxLoad.Value, unit: "du"})
	p.equation("spare", value{x: r.MaxLoad.Value - c.load, unit: "du"}, "max load - load", "%s du - %s du",
		short(r.MaxLoad.Value), short(c.load))
	p.results()
}

// noCapacity refuses what no row carries: most is what those of the case carry.
func (p *problem) noCapacity(t *tables.Table, c capacity, most float64) {
	field, unit := "load", " du"
	if c.flow > 0 {
		field, unit = "flow", " L/s"
	}
	if most == 0 {
		p.failAt(field, fmt.Errorf("%w: no row of %s is for this grade, flow and number of closets", tables.ErrOutsideTable,
			t.ID()))
		return
	}
	p.failAt(field, fmt.Errorf("%w: %s%s is more than the %s%s that the table ends at", tables.ErrOutsideTable,
		short(c.asked()), unit, short(most), unit))
}

// capacityRule says how a table of capacities is read.
func (p *problem) capacityRule(graded bool) {
	rule := "the smallest size whose capacity is at least what it is to carry"
	if graded {
		rule += ", in the column of the steepest tabulated grade not above the one laid"
	}
	p.formula(rule)
}

// capacityFlow adds what a pipe may carry, and its velocity then where that is tabulated.
func (p *problem) capacityFlow(asked, most units.Flow, velocity units.Velocity) {
	p.add("max_flow", p.flowValue(most))
	if velocity > 0 {
		p.add("velocity", p.velocityValue(velocity))
	}
	p.equation("spare", p.flowValue(most-asked), "max flow - flow", "%v - %v", p.flowValue(most), p.flowValue(asked))
	p.results()
}

// capacityColumn finds the grade and the filling by which a table is read.
func (p *problem) capacityColumn(t *tables.Table, rows *tables.Rows[capacityRow],
	c *capacity) (g slope.Grade, ok bool) {
	var fillings, ks []string
	known := func(list *[]string, cell tables.Cell[float64], given float64) bool {
		x, has := cell.Get()
		if s := short(x); has && !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
		return !has || x == given
	}
	graded, filled, factored := false, false, false
	for _, r := range rows.All() {
		f, k := known(&fillings, r.Filling, c.filling), known(&ks, r.K, c.k)
		filled, factored = filled || f, factored || k
		if at, has := r.Grade.Get(); has && r.Peak == "" && f {
			graded = true
			if at.Compare(c.grade) <= 0 && at.Compare(g) > 0 {
				g = at
			}
		}
	}
	switch {
	case !filled:
		p.fields.Faultf("filling", "%s is not one of %s", short(c.filling), strings.Join(fillings, ", "))
	case !factored:
		p.fields.Faultf("k", "%s is not one of %s", short(c.k), strings.Join(ks, ", "))
	case graded && g.IsLevel():
		p.failAt("grade", fmt.Errorf("%w: %v is flatter than %s goes", tables.ErrOutsideTable, c.grade, t.ID()))
	default:
		return g, true
	}
	return g, false
}

// peakSplit is the flow that parts the rows of a table by peak flow, as their words say.
const peakSplit = "-1-l-s"

// holds reports whether a row is one for what is asked, whatever it carries.
func (c *capacity) holds(r *capacityRow, column slope.Grade) bool {
	if x, ok := r.Filling.Get(); ok && x != c.filling {
		return false
	}
	if x, ok := r.K.Get(); ok && x != c.k {
		return false
	}
	if most, ok := r.Most.Get(); ok && int64(c.closets) > most {
		return false
	}
	if least, ok := r.Least.Get(); ok && int64(c.closets) < least {
		return false
	}
	at, graded := r.Grade.Get()
	switch {
	case !graded:
		return true
	case r.Peak == "": // the column of the grade
		return at.Compare(column) == 0
	}
	// A least grade for each size, by the peak flow.
	small := c.flow <= units.LitrePerSecond
	return small == (r.Peak == "to"+peakSplit) && at.Compare(c.grade) <= 0
}

func (c *capacity) asked() float64 {
	if c.flow > 0 {
		return float64(c.flow / units.LitrePerSecond)
	}
	return c.load
}

// carries is what a row carries, in L/s or discharge units.
func (r *capacityRow) carries() float64 { return max(r.MaxFlow.Value, r.MaxLoad.Value) }

// size is the nominal size of a row, its bore where it has no other.
func (r *capacityRow) size() units.Length {
	if size, ok := r.Size.Get(); ok {
		return size
	}
	return r.Bore.Value
}

// europeanPipe answers for a pipe of EN 12056-2, which goes by flow.
func (p *problem) europeanPipe(part string) {
	code := p.europeanCode()
	if code == nil {
		return
	}
	q := p.flow("flow")
	var size func() (en12056.Pipe, error)
	system, closets := "", 0
	if part == "branch" || part == "stack" {
		system, closets = p.word("system", tables.IDs(code.Systems())...), p.closets()
	}
	switch part {
	case "branch":
		vented := p.fields.Bool("ventilated")
		size = func() (en12056.Pipe, error) { return code.Branch(system, vented, q, closets) }
	case "stack":
		vent, entry := p.word("vent", "primary", "secondary"), p.word("entry", "square", "swept")
		size = func() (en12056.Pipe, error) { return code.Stack(system, vent, entry, q, closets) }
	case "drain":
		filling, grade := p.number("filling", fraction), p.grade("grade", positive)
		size = func() (en12056.Pipe, error) { return code.Drain(filling, grade, q) }
	default:
		if part != "" {
			p.failAt("part", fmt.Errorf("%w: EN 12056-2 has tables of branch, stack, drain", tables.ErrNotInCode))
		}
		return
	}
	r, err := size()
	if p.unanswered(err) {
		return
	}
	p.cite(r.Citation)
	p.capacityRule(part == "drain")
	p.add("size", nominal(r.Size))
	if r.Vent > 0 {
		p.add("vent", nominal(r.Vent))
	}
	p.capacityFlow(q, r.MaxFlow, r.Velocity)
}
