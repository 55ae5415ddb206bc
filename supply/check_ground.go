package supply

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// plastics are the materials that an air test may burst.
var plastics = map[string]bool{"PEX": true, "CPVC": true, "PVC": true, "HDPE": true, "PP-R": true}

// slab judges joints below a slab.
func (k *checker) slab() {
	practice, err := k.code.pipes.shelf.Rules("materials/supply-slab-rules")
	if err != nil {
		practice = nil
	}
	flexible, hasFlexible := practice.Rule("pex-slab-fittings")
	code, hasCode := k.code.Rule("slab-joints")
	for i := range k.runs {
		p := &k.layout.data.Points[i]
		if !p.BelowSlab {
			continue
		}
		joints := 0
		for _, t := range p.Fittings {
			if !t.NoJoint {
				joints += t.Count
			}
		}
		material := k.runs[i].family.material
		f := tables.Finding{Rule: "slab-joints", Place: p.ID, Verdict: tables.Pass, Value: count(joints),
			Limit: count(0), Margin: count(-joints)}
		switch {
		case joints == 0:
			// Without a row: there is nothing to count.
			f.Reason = k.Text("The %s run below the slab is in one length.", material)
		case material == "PEX" && hasFlexible:
			f.Verdict, f.Citation = tables.Fail, flexible.Cite
			f.Reason = "Makers of flexible plastic pipe ask for one length below a slab, with every joint above it " +
				"or outside."
			f.Fix = "Run it in one length, with bends in place of fittings; count formed bends as making no joint."
		default:
			f.Verdict, f.SettledBy = tables.Ask, tables.Authority
			if hasCode {
				f.Citation = code.Cite
			}
			f.Reason = k.Text("%s in %s below the slab.", counted(joints, "joint"), material)
			f.Fix = "Ask the authority which joints it allows there; in copper, where any are allowed, they are " +
				"brazed with wrought fittings."
		}
		k.Add(f)
	}
}

// thinCopper fails copper tube of the thin wall below the slab, where the code has it above
// ground only.
func (k *checker) thinCopper() {
	rule, ok := k.code.Rule("copper-below-slab")
	if !ok {
		return
	}
	var runs []int
	for _, i := range k.points() {
		if k.layout.data.Points[i].BelowSlab && k.runs[i].family.id == "copper-m" {
			runs = append(runs, i)
		}
	}
	if len(runs) == 0 {
		return
	}
	k.Add(tables.Finding{
		Rule: "copper-below-slab", Place: k.layout.data.Points[runs[0]].ID, Verdict: tables.Fail,
		Reason:   k.Text("Type M copper below the slab, where the code asks for type L or heavier: %s.", k.ids(runs)),
		Fix:      "Lay type L or K below the slab.",
		Citation: rule.Cite,
	})
}

// count is a plain number in a finding.
type count int

func (c count) String() string { return fmt.Sprint(int(c)) }

// percent is a share in a finding.
type percent float64

func (p percent) String() string { return fmt.Sprintf("%.1f %%", float64(p)) }

// SleeveFill is a sleeve with the lines that lie in it.
type SleeveFill struct {
	Sleeve *Sleeve  `json:"sleeve,omitzero"`
	Lines  []string `json:"lines"` // the points whose runs lie in it
	// Bundle is what is pulled through: the lines in that order, with their
	// insulation, then the rope.
	Bundle Bundle `json:"bundle"`
	// Fill is the share of the bore's area that they take up, Fit whether they find
	// room side by side.
	Fill float64   `json:"fill"`
	Fit  BundleFit `json:"fit"`
}

// Sleeves works out how full the sleeves are that runs lie in, in the order of the
// layout. Only the lines of the layout are counted.
func (a *Analysis) Sleeves() []SleeveFill {
	if a.made() != nil {
		return nil
	}
	l := a.layout
	at := make(map[string]int, len(l.data.Sleeves))
	all := make([]SleeveFill, len(l.data.Sleeves))
	for i := range all {
		s := &l.data.Sleeves[i]
		all[i].Sleeve, all[i].Bundle.Bore, at[s.ID] = s, s.Bore, i
		for range s.Bends {
			all[i].Bundle.Bends = append(all[i].Bundle.Bends, quarterBend)
		}
	}
	for i := range a.runs {
		p := &l.data.Points[i]
		if p.Sleeve == "" {
			continue
		}
		s := &all[at[p.Sleeve]]
		w := a.runs[i].bore.Outside
		if p.Insulation != nil {
			w += 2 * p.Insulation.Thickness
		}
		s.Lines = append(s.Lines, p.ID)
		s.Bundle.Lines = append(s.Bundle.Lines, w)
	}
	used := all[:0]
	for _, s := range all {
		if len(s.Lines) == 0 {
			continue
		}
		if s.Sleeve.Rope > 0 {
			s.Bundle.Lines = append(s.Bundle.Lines, s.Sleeve.Rope)
		}
		s.Fill, s.Fit = s.Bundle.fill(), s.Bundle.fit()
		used = append(used, s)
	}
	return used
}

// quarterBend is the angle of a bend that a layout counts, in degrees.
const quarterBend = 90

func (k *checker) sleeves() error {
	for _, s := range k.Sleeves() {
		err := s.Bundle.judge(k.Judge, k.code.pipes.shelf, s.Sleeve.ID, strings.Join(s.Lines, ", "))
		if err != nil {
			return err
		}
	}
	return nil
}

// separation judges water lines beside drains, and asks which drains those below the slab pass. A code
// of which the shelf has no distance is asked about where a line is said to lie beside a drain.
func (k *checker) separation() {
	var side, up distance
	var ok1, ok2 bool
	side.least, side.cite, ok1 = ruled[units.Length](k.code, "water-sewer-horizontal")
	up.least, up.cite, ok2 = ruled[units.Length](k.code, "water-sewer-vertical")
	known := ok1 && ok2
	var unknown, near []string
	for _, i := range k.points() {
		p := &k.layout.data.Points[i]
		s := p.Beside
		switch {
		case s != nil && known:
			k.apart(p, side, up)
		case s != nil && !s.Listed:
			near = append(near, p.ID)
		case s == nil && p.BelowSlab:
			unknown = append(unknown, p.ID)
		}
	}
	if len(unknown) > 0 && known {
		k.asks(finding.Case{Rule: "water-drain-separation", Place: unknown[0], Citation: side.cite}, tables.Designer, nil,
			k.system.length(side.least), k.Text("%s below the slab: distance to the drains not given: %s.",
				counted(len(unknown), "water line"), shortList(unknown)),
			"Ask which drains they pass and of what material; state it as beside_drain.")
	}
	if len(near) > 0 {
		k.asks(finding.Case{Rule: "water-drain-separation", Place: near[0]}, tables.Authority,
			k.system.length(k.layout.data.Points[k.layout.index[near[0]]].Beside.Clear), nil,
			k.Text("%s beside a drain that is not said to be of material approved inside buildings: no distance of %s is "+
				"known to judge by: %s.", counted(len(near), "water line"), k.code.source, shortList(near)),
			"Ask the authority how far a water line stays from such a drain.")
	}
}

// distance is the least between a water line and a drain, and the row that says so.
type distance struct {
	least units.Length
	cite  tables.Citation
}

// apart judges one water line beside a drain.
func (k *checker) apart(p *Point, side, up distance) {
	s, drain := p.Beside, "the drain"
	if s.Drain != "" {
		drain = "drain " + s.Drain
	}
	at := finding.Case{Rule: "water-drain-separation", Place: p.ID, Citation: side.cite}
	f := atLeast(at, true, s.Clear, side.least, k.system.length)
	switch {
	case s.Listed:
		f.Reason = "The drain is of material approved inside buildings, so that no distance is asked."
		f.Limit, f.Margin = nil, nil
	case s.Clear >= side.least:
		f.Reason = k.Text("Clear of %s sideways.", drain)
	case s.Above >= up.least:
		at.Citation = up.cite
		f = atLeast(at, true, s.Above, up.least, k.system.length)
		f.Reason = k.Text("High enough over %s.", drain)
	case !s.NotListed:
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason = k.Text("Nearer than %v to %s and less than %v above it. Whether the drain is of material approved "+
			"inside buildings is not given; from such a one no distance is asked.",
			f.Limit, drain, k.system.length(up.least))
		f.Fix = "State whether the drain is of material approved inside buildings, as listed of beside_drain; if " +
			"not, move, raise or sleeve the water line."
	default:
		f.Verdict = tables.Fail
		f.Reason = k.Text("Nearer than %v to %s, of material not approved inside buildings, and less than %v above it.",
			f.Limit, drain, k.system.length(up.least))
		f.Fix = "Move or raise the water line, sleeve it, or lay the drain of approved material."
	}
	k.Add(f)
}

// shortList joins ids, the first eight of them.
func shortList(ids []string) string {
	if len(ids) > 8 {
		return strings.Join(ids[:8], "; ") + fmt.Sprintf(" and %d more", len(ids)-8)
	}
	return strings.Join(ids, "; ")
}

func (k *checker) test() {
	t := k.testPlan(TestOptions{})
	if t.Stated == nil {
		return
	}
	least, cite := t.Least, t.LeastCitation
	if t.Stated.Medium == "air" {
		least, cite = t.Air, t.AirCitation
	}
	if least == 0 {
		return
	}
	ok := inPSI(t.Stated.Pressure) >= inPSI(least)
	f := atLeast(finding.Case{Rule: "test-pressure", Place: "test", Citation: cite}, ok, t.Stated.Pressure, least,
		k.system.pressure)
	f.Reason = k.Sentence(&f, "The pressure of the test with "+t.Stated.Medium, "at least", "too little") +
		k.Text(" The greatest working pressure is %v.", k.system.pressure(t.Working))
	if !ok {
		f.Fix = k.Text("Test at %v or more.", k.system.pressure(least))
	} else {
		f.Margin = nil
	}
	if k.layout.data.Source.Static == 0 && t.Stated.Medium == "water" && ok && !k.regulated() {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason += " The pressure of the source while nothing flows is not given, and it is more than the flowing " +
			"pressure, which was taken."
		f.Fix = askStatic
	}
	if t.Stated.Medium == "air" && len(t.Plastic) > 0 {
		f.Verdict, f.SettledBy = tables.Ask, tables.Authority
		f.Reason += k.Text(" There is plastic pipe in the lines (%s), which bursts in splinters under air: the code "+
			"tests it with water, unless its maker and the authority allow air.",
			strings.Join(t.Plastic, ", "))
		f.Fix = "Test with water, or ask the maker of the pipe and the authority."
	}
	k.Add(f)
}

// standing is what rows that nobody has seen in print are told together by: what came from them.
type standing struct{ rule, what, table string }

// standingRow is such a row, and a place that used it.
type standingRow struct {
	place string
	tables.Citation
}

// standings asks about rows that nobody has seen in print and that loads, flows or
// bores came from: one finding a table, at the first place by name that used it, so that
// the order of the file plays no part.
func (k *checker) standings() {
	seen := map[tables.Citation]bool{}
	var list grouped.By[standing, standingRow]
	note := func(rule, what, place string, c tables.Citation) {
		if c.IsZero() || c.Status().Firm() || seen[c] {
			return
		}
		seen[c] = true
		list.Add(standing{rule, what, c.Table()}, standingRow{place, c})
	}
	l := k.layout
	for _, i := range k.outlets() {
		it := &k.worked.items[i]
		note("load-row", "Loads", l.data.Fixtures[i].ID, it.Citation)
		if it.ladder >= 0 {
			_, c := k.code.ladders[it.ladder].of(it.Count)
			note("load-row", "Loads", l.data.Fixtures[i].ID, c)
		}
	}
	for _, i := range k.points() {
		r := &k.runs[i]
		// Of a table that stands in only the code's own is asked for.
		if p := k.code.part("demand-" + r.System.String()); p == nil || !p.StandIn {
			note("demand-row", "Demands", l.data.Points[i].ID, r.Demand)
			note("demand-row", "Demands", l.data.Points[i].ID, r.DemandNext)
		}
		note("bore-row", "Bores", l.data.Points[i].ID, r.bore.Citation)
	}
	for s, used := range list.All() {
		var rows []string
		for _, u := range used {
			rows = append(rows, u.Row())
		}
		first, by, how := used[0], tables.Book, "from memory"
		switch first.Status() {
		case tables.Practice:
			by = tables.Authority
			how = "of common practice without a source"
		case tables.Disputed:
			how = "that sources disagree on"
		}
		k.asks(finding.Case{Rule: s.rule, Place: first.place, Citation: first.Citation}, by, count(len(rows)), nil,
			k.Text("%s %s: %s.", s.what, how, shortList(rows)), first.LookUp())
	}
	for _, s := range k.code.StandIns() {
		if system, ok := strings.CutPrefix(s.Part, "demand-"); ok && k.uses(s.Table, system) {
			k.Ask("stand-in", k.code.id, tables.Book,
				k.Text("The demand curve for flush %ss is taken from %s: %s.", system, k.titleOf(s.Table), s.Reason),
				"Look up the demand in the code itself.", s.Citation)
		}
	}
}

// titleOf returns the title of a table of the shelf, or its id if it has none.
func (k *checker) titleOf(id string) string {
	if t, err := k.code.pipes.shelf.Table(id); err == nil && t.Title() != "" {
		return fmt.Sprintf("%q", t.Title())
	}
	return id
}

// byName lists the places from 0 up to n in the order of their names.
func byName(n int, name func(i int) string) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	slices.SortFunc(list, func(i, j int) int { return visible.Counted(name(i), name(j)) })
	return list
}

// uses reports whether a run's demand came from a table, by the column of a system.
func (k *checker) uses(table, system string) bool {
	for i := range k.runs {
		if c := k.runs[i].Demand; !c.IsZero() && c.Table() == table && k.runs[i].System.String() == system {
			return true
		}
	}
	return false
}

type ratingRow struct {
	Family      string            `table:"family"`
	Lines       string            `table:"lines"` // cold or all
	Temperature units.Temperature `table:"temperature"`
	Pressure    units.Pressure    `table:"pressure"`
}

// rating is what the shelf says of the pressure that a family of pipe stands, by rising
// temperature of the water.
type rating struct {
	rows  []*ratingRow
	cites []tables.Citation
}

// ratings reads the pressures that pipe is rated for, by family. Families without rows
// are not judged.
func ratings(shelf *tables.Shelf) (map[string]*rating, error) {
	all := map[string]*rating{}
	for _, id := range [...]string{"materials/supply-pipe-rating", "materials/supply-pipe-rating-metric"} {
		rows, err := tables.Load[ratingRow](shelf, id)
		if err != nil {
			return nil, err
		}
		for i, row := range rows.All() {
			if all[row.Family] == nil {
				all[row.Family] = new(rating)
			}
			r := all[row.Family]
			r.rows, r.cites = append(r.rows, row), append(r.cites, rows.Cite(i))
		}
	}
	return all, nil
}

// coldOnly reports whether the pipe is for cold services alone.
func (r *rating) coldOnly() bool { return r.rows[0].Lines == "cold" }

// hottest is the last row: no warmer water is rated.
func (r *rating) hottest() (units.Temperature, tables.Citation) {
	last := len(r.rows) - 1
	return r.rows[last].Temperature, r.cites[last]
}

// at returns the pressure at a temperature no higher than the hottest: on a straight
// line between two rows, and the row that it is nearest below.
func (r *rating) at(t units.Temperature) (units.Pressure, tables.Citation) {
	x := roundTo(t.Celsius())
	i := slices.IndexFunc(r.rows, func(row *ratingRow) bool { return x <= roundTo(row.Temperature.Celsius()) })
	if i == 0 {
		return r.rows[i].Pressure, r.cites[i]
	}
	low, high := r.rows[i-1], r.rows[i]
	share := (x - low.Temperature.Celsius()) / (roundTo(high.Temperature.Celsius()) - low.Temperature.Celsius())
	return low.Pressure + units.Pressure(share*float64(high.Pressure-low.Pressure)), r.cites[i]
}

// pipeRatings sets each kind of plastic pipe on each line beside what it is rated for:
// hot water at all, its temperature, the greatest pressure while nothing flows. While a
// rating is from memory a pass by it is no finding: it would ask at every plastic pipe.
func (k *checker) pipeRatings() error {
	all, err := ratings(k.code.pipes.shelf)
	if err != nil {
		return err
	}
	type kind struct {
		family string
		hot    bool
		water  units.Temperature
	}
	var runs grouped.By[kind, int]
	still := func(i int) units.Pressure {
		r, before := &k.runs[i], max(k.layout.data.Source.Static, k.layout.data.Source.Pressure)
		if p := k.layout.parent[i]; p >= 0 {
			before = k.runs[p].Static
		}
		return max(before, before-r.Rise) // of its lower end, before a regulator there
	}
	for _, i := range k.points() {
		if family := k.runs[i].family.id; all[family] != nil {
			runs.Add(kind{family, k.layout.service[i] != Cold, k.layout.waterIn(int32(i))}, i)
		}
	}
	_, asked := k.code.Rule("static-pressure-max") // where that is judged, the pressure at rest is asked for
	said := false
	for x, list := range runs.All() {
		// The run under the greatest pressure.
		i := slices.MaxFunc(list, func(a, b int) int { return cmp.Compare(inPSI(still(a)), inPSI(still(b))) })
		f := k.rated(all[x.family], i, still(i))
		if f.Verdict == tables.Pass && !asked && k.restUnknown(i) {
			if most, _ := all[x.family].at(x.water); inPSI(still(i)*3/2) > inPSI(most) {
				f.Verdict, f.SettledBy = tables.Ask, tables.Designer
				f.Reason += " The pressure of the source while nothing flows is not given, and that while the building draws was " +
					"taken; half as much again would be too much."
				f.Fix = askStatic
			} else if !said {
				said = true
				k.Assume("pipe-rating", k.layout.data.Source.ID, k.Text("plastic pipe is held against %v of the source while "+
					"nothing flows, which is that while the building draws", k.system.pressure(k.layout.data.Source.Pressure)),
					"source.static")
			}
		}
		if f.Verdict != tables.Pass || f.Citation.Status().Firm() {
			k.Add(f)
		}
	}
	return nil
}

// restUnknown tells whether the pressure in a run while nothing flows is not given: that of
// the source is not, and no regulator before the run holds back what there may be of it.
func (k *checker) restUnknown(i int) bool {
	src := &k.layout.data.Source
	if src.Static > 0 {
		return false
	}
	p := k.layout.parent[i]
	if p < 0 {
		return true
	}
	d, _ := k.lastOn(int(p), (*Device).regulator)
	return d == nil || src.Pressure < d.Set
}

// rated judges one run by the rating of its pipe.
func (k *checker) rated(r *rating, i int, pressure units.Pressure) tables.Finding {
	pipe, service := k.runs[i].family, k.layout.service[i]
	water := k.layout.waterIn(int32(i))
	top, cite := r.hottest()
	f := tables.Finding{Rule: "pipe-rating", Place: k.layout.data.Points[i].ID, Verdict: tables.Fail, Citation: cite}
	switch {
	case service != Cold && r.coldOnly():
		f.Value = k.system.temperature(water)
		f.Reason = k.Text("%s pipe (%s) is for cold services: it is not listed for hot water in buildings.",
			pipe.material, pipe.id)
		f.Fix = "Take pipe listed for hot water: copper, CPVC, PEX, PP-R."
		return f
	case roundTo(water.Celsius()) > roundTo(top.Celsius()):
		f.Value, f.Limit = k.system.temperature(water), k.system.temperature(top)
		f.Margin = k.system.difference(units.TemperatureDifference(top - water))
		f.Reason = k.Text("%s pipe (%s) is not rated for water as hot as this at any pressure.", pipe.material, pipe.id)
		f.Fix = "Keep the water cooler, or take copper."
		return f
	}
	var limit units.Pressure
	limit, f.Citation = r.at(water)
	f = atMost(finding.Case{Rule: f.Rule, Place: f.Place, Citation: f.Citation}, inPSI(pressure) <= inPSI(limit), pressure,
		limit, k.system.pressure)
	f.Reason = k.Text("%s pipe (%s) is rated %v with water of %v; %v stands in it while nothing flows.",
		pipe.material, pipe.id, f.Limit, k.system.temperature(water), f.Value)
	if f.Verdict == tables.Fail {
		f.Fix = k.Text("Set a pressure regulator before it, at no more than %v, or take pipe rated for more.", f.Limit)
	}
	return f
}
