package job

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/tables"
)

// trenches gives each point of the drains the first run of its trench: runs of one bearing,
// each going on from the last. Points count from nought, in the order of the sizing.
func trenches(g *drainsJudged) []int {
	out := make([]int, len(g.list))
	goesOn := make([]bool, len(g.list)) // a run goes on from it already
	for i, pt := range g.list {
		out[i] = i
		if to, ok := g.find(pt.To); ok && to < i && !goesOn[to] && g.list[to].Run.Bearing == pt.Run.Bearing &&
			!pt.Run.Vertical {
			out[i], goesOn[to] = out[to], true
		}
	}
	return out
}

// printLevels prints elevations and rods as one table, run by run from each outlet up. The
// lower end of a run has a line only where it is not the upper end of the next.
func (r *Report) printLevels(p *page) {
	if r.Drains == nil {
		return
	}
	p.section("Crew: elevations and rods, from each outlet up")
	r.printBeam(p)
	unit := either(r.as, " ft", " m")
	if g := r.levelTable(unit); p.width > 0 && p.width < wideLevels {
		p.grid(g.columnsOf(0, 8))
		if r.Rods != nil {
			p.printf("\n")
			p.grid(g.columnsOf(8, len(g.head)))
		}
	} else {
		p.grid(g)
	}
	for _, d := range r.Depth {
		less := ""
		if d.unsized {
			less = ", less the pipe, whose size is not known"
		}
		p.paragraph("  ", "    ", fmt.Sprintf("System %s: %s at %s, its highest drain under the slab%s.", d.System,
			spare(d.Spare), d.At, less))
	}
}

// spare says how much is left, or how much is missing.
func spare(left Quantity) string {
	if missing, ok := strings.CutPrefix(string(left), "-"); ok {
		return missing + " too little"
	}
	return string(left) + " to spare"
}

// wideLevels are the columns that elevations and rods take side by side.
const wideLevels = 100

// columnsOf is a table of some columns, with the three that name the row in front.
func (g *grid) columnsOf(from, to int) grid {
	const named = 3
	out := grid{head: slices.Concat(g.head[:named], g.head[max(from, named):to])}
	for _, row := range g.rows {
		out.rows = append(out.rows, slices.Concat(row[:named], row[max(from, named):to]))
	}
	return out
}

// levelLine is a row of the elevations with what the crew reads along its run, and the first
// run of its trench.
type levelLine struct {
	*ElevationRow
	run    *DrainRow // nil for an outlet
	rods   []RodReading
	trench int
}

// levelLines puts the rows of each trench together, a trench where its first run stands.
func (r *Report) levelLines() []levelLine {
	lines := make([]levelLine, len(r.Elevations))
	start := trenches(r.made.drains)
	var rods []RodReading
	if r.Rods != nil {
		rods = r.Rods.Rods
	}
	row := make([]int, len(start)) // of each point among the elevations
	point := 0
	for i := range r.Elevations {
		e := &r.Elevations[i]
		lines[i] = levelLine{ElevationRow: e, trench: i}
		if e.Note == "outlet" {
			continue
		}
		row[point] = i
		lines[i].run, lines[i].trench = &r.Drains[point], row[start[point]]
		lines[i].rods, rods = stationsOf(rods, e.Point)
		point++
	}
	slices.SortStableFunc(lines, func(a, b levelLine) int { return a.trench - b.trench })
	return lines
}

// levelTable lists the elevations and the rods, trench by trench. The lower end of a run has a
// line only where it is not the upper end of the row above, and names the point it starts from
// where that is not the one named last.
func (r *Report) levelTable(unit string) grid {
	g := grid{head: []string{"trench", "point", ">station", ">pipe", ">invert" + unit, ">ft and in", ">below floor",
		">cover", ">trench" + unit, ">rod invert", ">rod trench", ""}}
	g.rows = make([][]string, 0, len(r.Elevations)+len(r.Elevations)/2)
	add := func(from, point string, station Quantity, e *ElevationRow, invert Quantity, s *RodReading, note string) {
		g.add(from, point, string(station), string(e.Size), bare(invert, unit), e.Feet, string(e.Depth), string(e.Cover),
			bare(e.Trench, unit), string(s.Reading), string(s.Trench), note)
	}
	outside, none := &ElevationRow{}, &RodReading{}
	last, above, named := -1, "", "" // the trench and the point of the row above, the start named last
	var invert Quantity              // of that point
	for _, e := range r.levelLines() {
		if e.run == nil {
			add("outlet", e.Point, "", e.ElevationRow, e.Invert, none, "")
			last, above, named = -1, "", ""
			continue
		}
		if e.Trench == "" {
			continue // stands above the floor: see the stubs
		}
		to, from := e.run.To, ""
		follows := e.trench == last && to == above
		if !follows && (e.trench != last || to != named) {
			from, named = to, to
		}
		below := invert
		last, above, invert = e.trench, e.Point, e.Invert
		top := none
		for k := range e.rods {
			s := &e.rods[k]
			if k == len(e.rods)-1 {
				top = s
				break
			}
			if k == 0 && s.Invert == below && follows {
				continue // read at the upper end of the run below
			}
			add(from, "", s.Station, outside, s.Invert, s, "")
			from = ""
		}
		add(from, e.Point, top.Station, e.ElevationRow, e.Invert, top, e.Note)
	}
	return g
}

// stationsOf parts the stations of the run from a point, which come next if it has any,
// from the rest.
func stationsOf(rods []RodReading, point string) (of, rest []RodReading) {
	n := 0
	for n < len(rods) && strings.HasPrefix(rods[n].Run, point+" > ") {
		n++
	}
	return rods[:n], rods[n:]
}

// printBeam says what the beam does along the runs, those alike in one line.
func (r *Report) printBeam(p *page) {
	if r.Rods == nil {
		return
	}
	per := either(r.as, "10 ft", "3 m")
	p.paragraph("  ", "  ", "The beam "+r.Rods.Beam+
		". Rod readings are from the beam down to the invert and to the trench bottom.")
	type key struct {
		lay    string
		perTen Quantity
	}
	var runs grouped.By[key, string]
	for _, x := range r.Rods.Runs {
		k := key{x.Lay, x.PerTen}
		if x.Lay == "" {
			k.lay = x.Warning
		}
		runs.Add(k, x.From)
	}
	for k, from := range runs.All() {
		text := capital(k.lay)
		switch {
		case k.lay == "with the beam":
			text += " at its grade, one reading along each run"
		case k.perTen != "":
			way, by := "increases", string(k.perTen)
			if less, ok := strings.CutPrefix(by, "-"); ok {
				way, by = "decreases", less
			}
			text += fmt.Sprintf("; rod reading %s %s per %s going down the pipe", way, by, per)
		}
		p.paragraph("  - ", "    ", text+": "+strings.Join(from, " ")+".")
	}
}

// StubRow is a pipe that stands out of the slab, for the crew that sets it.
type StubRow struct {
	Point  string   `json:"point"`
	System string   `json:"system"`
	For    string   `json:"for"`
	X      Quantity `json:"x,omitempty"`
	Y      Quantity `json:"y,omitempty"`
	Walls  string   `json:"from_walls,omitempty"` // how far from two walls, to set it by tape
	Size   Size     `json:"size"`
	Height Quantity `json:"above_floor,omitempty"`
	Cap    string   `json:"cap"`
}

// stubs lists what comes up through the slab: risers, and fixtures and cleanouts at the floor.
func stubs(g *drainsJudged, p printer) []StubRow {
	rows := make([]StubRow, 0, g.sizing.Len())
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		lv := g.levels.At(i)
		rises := lv.Vertical && lv.Lower.Invert < g.layout.FinishedFloor
		atFloor := !lv.AboveFloor && !lv.Vertical &&
			(pt.Fixture != nil || pt.Cleanout != nil || pt.Capped || pt.Reserved != 0)
		if !rises && !atFloor {
			return
		}
		row := StubRow{Point: pt.ID, System: sys.ID, Size: p.size(g.sizing.At(i).Size),
			Cap: "cap until the trap is set"}
		switch {
		case pt.Fixture != nil:
			row.For = ruleWords(pt.Fixture.Kind)
		case pt.Cleanout != nil:
			row.For, row.Cap = "Cleanout", "cleanout plug"
		case pt.Capped || pt.Reserved != 0:
			row.For = "For later"
		default: // a stack, or what drains into it above the floor
			row.For, row.Cap = "Riser", "cap until the pipe above is set"
		}
		if pt.Capped {
			row.Cap = "capped for later"
		}
		if pt.At != nil {
			row.X, row.Y = p.run(pt.At.X), p.run(pt.At.Y)
		}
		for _, t := range g.sizing.Ties(pt.ID) {
			row.Walls = join(row.Walls, string(p.tape(t.Distance))+" from "+t.Wall)
		}
		top := pt.StubUp
		if top == 0 && pt.Run.Top != nil {
			top = max(*pt.Run.Top, 0)
		}
		if top != 0 {
			row.Height = p.depth(top)
		}
		rows = append(rows, row)
	})
	return rows
}

func (r *Report) printStubs(p *page) {
	if len(r.Stubs) == 0 {
		return
	}
	p.section("Crew: stubs through the slab")
	g := grid{head: []string{"at", "system", "for", ">x", ">y", "from walls", ">pipe", ">above floor", ""},
		rows: make([][]string, 0, len(r.Stubs))}
	for _, s := range r.Stubs {
		g.add(s.Point, s.System, s.For, string(s.X), string(s.Y), s.Walls, string(s.Size),
			cmp.Or(string(s.Height), "not stated"), s.Cap)
	}
	p.grid(g)
}

// TestSection is the test plan.
type TestSection struct {
	Drains []DrainTest `json:"drains,omitzero"`
	Water  []string    `json:"water,omitempty"`
	// Missing says why there is no test of the drains.
	Missing string `json:"missing,omitempty"`
}

// DrainTest is the water test of one system.
type DrainTest struct {
	System   string   `json:"system"`
	Surface  Quantity `json:"water_surface"`
	Head     Quantity `json:"head"`
	Hold     Quantity `json:"hold,omitempty"`
	Highest  string   `json:"highest"`
	Lowest   string   `json:"lowest"`
	Pressure Quantity `json:"pressure_at_lowest"`
	Volume   Quantity `json:"water_needed"`
	Source   string   `json:"source,omitempty"`
}

// ofDrains plans the water test of the drains.
func (s *TestSection) ofDrains(g *drainsJudged, p printer) error {
	s.Drains = []DrainTest{}
	plans, err := g.sizing.TestPlans(drains.TestOptions{})
	if errors.Is(err, tables.ErrNotInCode) {
		s.Missing = "Drains: the tables have no head of water of this code. Ask the authority for the test and its head."
	} else if err != nil {
		return err
	}
	for _, t := range plans {
		row := DrainTest{System: t.System, Surface: p.level(t.Surface), Head: p.run(t.Head), Highest: t.Highest,
			Lowest: t.Lowest, Pressure: p.pressure(t.Pressure), Volume: p.volume(t.Volume), Source: t.Citation.String()}
		if t.Hold != 0 {
			row.Hold = round(float64(t.Hold)/60, 0) + " min"
		}
		s.Drains = append(s.Drains, row)
	}
	if s.Missing == "" && len(plans) < len(g.layout.Systems) {
		s.Missing = "Drains: of " + strings.Join(untested(g, plans),
			", ") + " nothing lies below the floor, and none of it is tested before the pour."
	}
	return nil
}

// untested returns the systems for which there is no plan.
func untested(g *drainsJudged, plans []drains.TestPlan) (ids []string) {
	for _, sys := range g.layout.Systems {
		if len(plans) > 0 && plans[0].System == sys.ID { // they are in the same order
			plans = plans[1:]
			continue
		}
		ids = append(ids, sys.ID)
	}
	return ids
}

// plugWarning goes with every water test of drains.
const plugWarning = "A plug or cap under water can fly out with great force: tie or block it, and keep clear of its " +
	"line."

func (r *Report) printTests(p *page) {
	p.section("Tests before the pour")
	for _, t := range r.Tests.Drains {
		hold := cmp.Or(t.Hold, "the time the authority asks")
		p.paragraph("  - ", "    ", fmt.Sprintf(
			"System %s: fill with water to elevation %s, %s above the highest pipe under test (at %s); "+
				"hold %s. Gauge at the lowest point, %s: %s. It takes %s of water beside what the filling riser holds.",
			t.System, t.Surface, t.Head, t.Highest, hold, t.Lowest, t.Pressure, t.Volume))
	}
	if len(r.Tests.Drains) > 0 {
		p.paragraph("  - ", "    ", plugWarning)
	}
	if r.Tests.Missing != "" {
		p.paragraph("  - ", "    ", r.Tests.Missing)
	}
	for _, t := range r.Tests.Water {
		p.paragraph("  - ", "    ", p.brief(t))
	}
	r.printInspections(p)
}
