package job

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FixtureRow is one entry of the fixture and load schedule.
type FixtureRow struct {
	System  string   `json:"system"`
	Point   string   `json:"point"`
	Fixture string   `json:"fixture"`
	Count   int      `json:"count"`
	Detail  string   `json:"detail,omitempty"`
	Load    Quantity `json:"load"`
	Trap    Size     `json:"trap,omitempty"`
	Source  string   `json:"source"`
}

// SystemLoad is the total load of a drainage system.
type SystemLoad struct {
	System  string   `json:"system"`
	Kind    string   `json:"kind"`
	Load    Quantity `json:"load"`
	Flow    Quantity `json:"flow,omitempty"` // by EN 12056-2
	Closets int      `json:"closets"`
}

// points calls f for each point with its index in the sizing and levels.
func (g *drainsJudged) points(f func(i int, sys *drains.System, pt *drains.Point)) {
	pointsOf(&g.layout, f)
}

func pointsOf(d *drains.Data, f func(i int, sys *drains.System, pt *drains.Point)) {
	i := 0
	for s := range d.Systems {
		sys := &d.Systems[s]
		for p := range sys.Points {
			f(i, sys, &sys.Points[p])
			i++
		}
	}
}

func fixtureSchedule(g *drainsJudged, p printer) (rows []FixtureRow, totals []SystemLoad) {
	rows = make([]FixtureRow, 0, g.sizing.Len())
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		if x := pt.Fixture; x != nil {
			row := FixtureRow{System: sys.ID, Point: pt.ID, Fixture: x.Kind, Count: x.Count, Detail: detail(x)}
			if g.flows != nil {
				row.european(&g.flows[i], g.sizing.At(i).Problem, p)
			} else if load, err := g.sizing.FixtureLoad(i); err != nil {
				row.Load = seeFindings
				row.Source = err.Error()
			} else {
				row.Load, row.Trap, row.Source = Quantity(load.Units.String()), printer{}.size(load.TrapSize),
					p.cite(load.Citation)
			}
			if g.flows == nil {
				receive(g.code, pt.Receptor, &row, p)
			}
			if pt.Capped {
				row.Detail = join(row.Detail, "capped")
			}
			rows = append(rows, row)
		}
		if pt.Reserved != 0 {
			rows = append(rows, FixtureRow{System: sys.ID, Point: pt.ID, Fixture: "reserved", Count: 1,
				Detail: "for later, capped", Load: Quantity(pt.Reserved.String()), Source: "the layout"})
		}
		if pt.Continuous != 0 {
			row := FixtureRow{System: sys.ID, Point: pt.ID, Fixture: "continuous flow", Count: 1,
				Detail: pt.Continuous.String()}
			if g.flows != nil {
				row.Load, row.Source = litres(pt.Continuous), "the layout"
			} else if load, err := g.code.ContinuousLoad(pt.Continuous); err == nil {
				row.Load, row.Source = Quantity(load.Units.String()), p.cite(load.Citation)
			} else {
				row.Load, row.Source = seeFindings, err.Error()
			}
			rows = append(rows, row)
		}
	})
	for _, sys := range g.layout.Systems {
		row := SystemLoad{System: sys.ID, Kind: string(sys.Kind)}
		row.Load, row.Flow, row.Closets = g.total(&sys)
		totals = append(totals, row)
	}
	return rows, totals
}

// receive says what drains into a receptor, which counts for that where it is more than
// the receptor itself.
func receive(code *dwv.Code, r *drains.Receptor, row *FixtureRow, p printer) {
	if r == nil || len(r.Indirect) == 0 {
		return
	}
	own, err := dwv.ParseFixtureUnits(string(row.Load))
	known := err == nil
	var sum dwv.FixtureUnits
	var takes, from []string
	for i := range r.Indirect {
		x := &r.Indirect[i]
		takes = append(takes, counted(x.Count, label(x.Kind)))
		load, err := code.FixtureLoad(*x)
		if err != nil {
			known = false
			continue
		}
		sum += load.Units
		if source := p.cite(load.Citation); !slices.Contains(from, source) {
			from = append(from, source)
		}
	}
	row.Detail = join(row.Detail, "takes "+strings.Join(takes, " and "))
	switch {
	case !known:
		row.Load = seeFindings
	case sum > own:
		row.Load, row.Source = Quantity(sum.String()), strings.Join(from, "; ")
	}
}

// seeFindings stands for a figure that a finding asks about.
const seeFindings = "see findings"

func fixtureUnits(u dwv.FixtureUnits) Quantity { return Quantity(u.String()) }

func detail(x *tables.Fixture) string {
	flush := ""
	if x.Flush != 0 {
		flush = x.Flush.String()
	}
	return join(x.Use.String(), x.Control.String(), flush)
}

// join puts the parts that say something behind each other with commas, wordsOf with blanks.
func join(parts ...string) string { return strings.Join(saying(parts), ", ") }

func wordsOf(words ...string) string { return strings.Join(saying(words), " ") }

func saying(parts []string) []string {
	return slices.DeleteFunc(parts, func(s string) bool { return s == "" })
}

// DrainRow is one run of the drain schedule.
type DrainRow struct {
	System   string   `json:"system"`
	From     string   `json:"from"`
	To       string   `json:"to"`
	Part     string   `json:"part"`
	Length   Quantity `json:"length"`
	Load     Quantity `json:"load"`
	Flow     Quantity `json:"flow,omitempty"` // by EN 12056-2
	Size     Size     `json:"size"`
	Drawn    bool     `json:"drawn"`
	Required Size     `json:"required"`
	Grade    Quantity `json:"grade"`
	Capacity Quantity `json:"capacity,omitempty"`
	Used     Quantity `json:"used,omitempty"`
	Why      string   `json:"why"`
	Source   string   `json:"source,omitempty"`
	Next     string   `json:"next,omitempty"`

	small  bool // smaller than required
	unsure bool // a load is not counted, or the tables cannot size it
}

func drainSchedule(g *drainsJudged, p printer) []DrainRow {
	rows := make([]DrainRow, 0, g.sizing.Len())
	size, grade, load, run := remembered(p.size), remembered(p.grade), remembered(fixtureUnits), remembered(p.run)
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		s := g.sizing.At(i)
		row := DrainRow{
			System: sys.ID, From: s.Point, To: s.To, Part: s.Part.String(), Length: run(pt.Run.Length),
			Load: load(s.Load), Size: size(s.Size), Drawn: s.Drawn, Required: size(s.Required),
			Grade: grade(pt.Run.Grade), Why: s.Decided.String(), small: s.Size < s.Required,
		}
		if pt.Run.Vertical {
			row.Grade = "vertical"
		}
		if s.Capacity != 0 {
			row.Capacity = load(s.Capacity)
			row.Used = round(100*s.Used, 0) + " %"
		}
		c := s.Citation
		if c.IsZero() {
			c = s.CapacityCitation
		}
		row.Source = p.cite(c)
		if s.NextSize != 0 {
			row.Next = string(size(s.NextSize)) + " carries " + string(load(s.NextSizeLoad))
		}
		if !s.NextGrade.IsLevel() {
			row.Next = join(row.Next, string(grade(s.NextGrade)+" carries "+load(s.NextGradeLoad)))
		}
		if g.flows != nil {
			row.european(&g.flows[i])
		}
		if s.Problem != "" {
			row.Why, row.unsure = join(row.Why, s.Problem), true
		}
		rows = append(rows, row)
	})
	return rows
}

// ElevationRow is one station: the upper end of a run, or an outlet.
type ElevationRow struct {
	System string   `json:"system"`
	Point  string   `json:"point"`
	Size   Size     `json:"size,omitempty"`
	Invert Quantity `json:"invert"`
	Feet   string   `json:"invert_feet_inches,omitempty"` // the same, in feet, inches and eighths
	Crown  Quantity `json:"crown"`
	Depth  Quantity `json:"depth_below_floor"`
	Cover  Quantity `json:"cover_under_slab,omitempty"`
	Trench Quantity `json:"trench_bottom,omitempty"`
	Note   string   `json:"note,omitempty"`
}

// DepthLeft is how much depth a system has to spare under the slab.
type DepthLeft struct {
	System string   `json:"system"`
	Spare  Quantity `json:"spare"`
	At     string   `json:"at"`

	unsized bool // no size is known of the pipe there
}

// elevations takes the sizes from the rows of the drain schedule, which are by point.
func elevations(g *drainsJudged, schedule []DrainRow, p printer) (rows []ElevationRow, left []DepthLeft) {
	left = []DepthLeft{}
	rows = make([]ElevationRow, 0, g.sizing.Len()+len(g.layout.Systems))
	system := ""
	unsized := map[string]bool{}
	w := newLevelWriter(p)
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		lv := g.levels.At(i)
		if sys.ID != system {
			system = sys.ID
			rows = append(rows, outletRow(g, sys, p, w))
		}
		below := !lv.AboveFloor && !lv.Vertical
		row := w.row(sys.ID, lv.Point, lv.Upper, below)
		row.Size = schedule[i].Size
		switch {
		case lv.Vertical:
			row.Note = "top of the riser"
		case lv.Outside:
			row.Cover, row.Note = "", "outside"
		case lv.AboveFloor:
			row.Note = "above the floor"
		case pt.Run.Drop > 0:
			row.Note = fmt.Sprintf("drops %s into %s, from %s", p.depth(pt.Run.Drop), pt.To,
				w.elevation(lv.Lower.Invert))
		}
		if row.Size == "" { // where the crown lies nobody knows
			row.Crown, row.Cover = "", ""
			unsized[pt.ID] = true
		}
		rows = append(rows, row)
	})
	for _, sys := range g.layout.Systems {
		if spare, at, ok := g.levels.Spare(sys.ID); ok {
			left = append(left, DepthLeft{System: sys.ID, Spare: p.cover(spare), At: at, unsized: unsized[at]})
		}
	}
	return rows, left
}

// outletRow is the station at which a system ends.
func outletRow(g *drainsJudged, sys *drains.System, p printer, w *levelWriter) ElevationRow {
	at, size, outside, _ := g.levels.Outlet(sys.ID)
	row := w.row(sys.ID, sys.Outlet.ID, at, true)
	row.Size, row.Note = p.size(size), "outlet"
	if outside {
		row.Cover = ""
	}
	return row
}

// levelWriter writes elevations, each once.
type levelWriter struct {
	elevation, cover, feet func(units.Length) Quantity
}

func newLevelWriter(p printer) *levelWriter {
	w := &levelWriter{elevation: remembered(p.elevation), cover: remembered(p.cover)}
	w.feet = remembered(func(l units.Length) Quantity { return feetInches(l, 8) })
	if p.si {
		w.feet = func(units.Length) Quantity { return "" }
	}
	return w
}

func (w *levelWriter) row(system, point string, l slope.Levels, below bool) ElevationRow {
	row := ElevationRow{System: system, Point: point, Invert: w.elevation(l.Invert), Crown: w.elevation(l.Crown),
		Depth: w.cover(l.InvertDepth), Feet: string(w.feet(l.Invert))}
	if below {
		row.Cover, row.Trench = w.cover(l.SlabClearance), w.elevation(l.TrenchBottom)
	}
	return row
}

// VentRow is one line of the vent schedule.
type VentRow struct {
	Vent     string   `json:"vent"`
	Kind     string   `json:"kind"`
	From     string   `json:"from,omitempty"`
	To       string   `json:"to"`
	Serves   Quantity `json:"serves"`
	Length   Quantity `json:"developed_length"`
	Size     Size     `json:"size"`
	Required Size     `json:"required"`
	Max      Quantity `json:"max_length,omitempty"`
	Why      string   `json:"why"`
	Source   string   `json:"source,omitempty"`

	unsized bool // the tables cannot size it
}

func ventSchedule(g *drainsJudged, p printer) []VentRow {
	rows := make([]VentRow, 0, len(g.vents))
	for i := range g.vents {
		s := &g.vents[i]
		v := &g.layout.Vents[i]
		row := VentRow{
			Vent: s.Vent, Kind: string(s.Kind), From: v.From, To: v.To,
			Serves: Quantity(s.Load.String()), Length: p.measured(s.Length), Size: p.size(s.Size),
			Required: p.size(s.Required),
			Why:      s.Decided.String(), Source: p.cite(s.Citation),
		}
		if g.flows != nil {
			row.Serves = g.europeanServed(v.From)
		}
		switch {
		case v.Valve != nil:
			row.To = "air admittance valve"
		case v.To == "":
			row.To = "open air"
		}
		if s.MaxLength != 0 {
			row.Max = p.measured(s.MaxLength)
		}
		if s.Err != nil {
			row.Why, row.unsized = join(row.Why, s.Err.Error()), true
		}
		rows = append(rows, row)
	}
	return rows
}

// CleanoutRow is one cleanout.
type CleanoutRow struct {
	System    string   `json:"system"`
	Point     string   `json:"point"`
	Pipe      Size     `json:"pipe"`
	Size      Size     `json:"size"`
	Kind      string   `json:"kind"`
	Clearance Quantity `json:"clearance,omitempty"`
	Source    string   `json:"source,omitempty"`
}

func cleanoutSchedule(g *drainsJudged, p printer) []CleanoutRow {
	rows := []CleanoutRow{}
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		c := pt.Cleanout
		if c == nil {
			return
		}
		pipe := g.sizing.At(i).Size
		row := CleanoutRow{System: sys.ID, Point: pt.ID, Pipe: p.size(pipe), Kind: "cleanout"}
		size, cite, err := g.code.CleanoutSize(pipe)
		if err == nil {
			row.Size, row.Source = p.size(size)+" at least", p.cite(cite)
		}
		if c.Size != 0 {
			row.Size = p.size(c.Size)
		}
		switch {
		case c.Main && c.TwoWay:
			row.Kind = "main cleanout (full size up to here), two-way"
		case c.Main:
			row.Kind = "main cleanout (full size up to here)"
		case c.TwoWay && pt.ThroughWall:
			row.Kind = "two-way, where the drain leaves the building"
		case c.TwoWay:
			row.Kind = "two-way"
		}
		if c.Clearance != 0 {
			row.Clearance = p.depth(c.Clearance)
		}
		rows = append(rows, row)
	})
	return rows
}

func (r *Report) printFixtures(p *page) {
	if r.Drains == nil {
		return
	}
	p.section("Fixtures and loads")
	g := grid{head: []string{"point", "system", "fixture", ">n", "", ">load", ">least trap"},
		rows: make([][]string, 0, len(r.Fixtures))}
	for _, f := range r.Fixtures {
		g.add(f.Point, f.System, label(f.Fixture), fmt.Sprint(f.Count), f.Detail, string(f.Load), string(f.Trap))
	}
	p.grid(g)
	closets := false
	for _, t := range r.Loads {
		text := join(string(t.Load), string(t.Flow))
		if t.Closets > 0 {
			closets = true
			text = join(text, counted(t.Closets, "water closet"))
		}
		p.paragraph("  ", "    ", fmt.Sprintf("System %s (%s): %s.", t.System, t.Kind, text))
	}
	if closets {
		p.paragraph("  ", "  ", "Water closets: large traps that count as one included.")
	}
}

func (r *Report) printDrains(p *page) {
	if r.Drains == nil {
		return
	}
	p.section("Drains")
	decided := "decided by"
	if p.width > 0 && p.width < defaultWidth {
		decided = ""
	}
	for _, sys := range r.Loads {
		if len(r.Loads) > 1 {
			p.paragraph("  ", "    ", "System "+sys.System)
		}
		g := grid{head: []string{"run", "?part", ">length", "grade", ">size", ">load of capacity", "?>used", decided},
			rows: make([][]string, 0, len(r.Drains))}
		for i := range r.Drains {
			d := &r.Drains[i]
			if d.System != sys.System {
				continue
			}
			g.add(d.From+" > "+d.To, d.Part, string(d.Length), string(d.Grade), string(d.Size), d.loadOfCapacity(),
				string(d.Used), d.reason(p.width > 0 && p.width < defaultWidth))
		}
		p.grid(g)
	}
}

// loadOfCapacity is 14 of 216 dfu.
func (d *DrainRow) loadOfCapacity() string {
	if d.Flow != "" {
		flow, _ := strings.CutSuffix(string(d.Flow), " L/s")
		if d.Capacity != "" {
			flow += " of " + strings.TrimSuffix(string(d.Capacity), " L/s")
		}
		return string(d.Load) + ", " + flow + " L/s"
	}
	if d.Capacity == "" {
		return string(d.Load)
	}
	load, unit, _ := strings.Cut(string(d.Load), " ")
	if capacity, same := strings.CutSuffix(string(d.Capacity), " "+unit); same {
		return load + " of " + capacity + " " + unit
	}
	return string(d.Load) + " of " + string(d.Capacity)
}

// reason says why a run has its size: what decided, or that it was drawn, and whether that
// is what it needs; in brief the last alone.
func (d *DrainRow) reason(brief bool) string {
	why := d.Why
	switch {
	case d.unsure && brief:
		return seeFindings
	case d.unsure && d.Drawn:
		return "drawn; whether it is enough: see the findings"
	case d.unsure:
		return "no answer: see the findings"
	case brief && d.Drawn && d.small:
		return "TOO SMALL: needs " + string(d.Required)
	case brief && d.Drawn && d.Size != d.Required:
		return "drawn larger"
	case brief && d.Drawn:
		return "drawn"
	case brief:
		return ""
	case d.Drawn && d.small:
		return "TOO SMALL: needs " + string(d.Required) + ", " + why
	case d.Drawn && d.Size != d.Required:
		return "drawn; larger than needed (" + string(d.Required) + ", " + why + ")"
	case d.Drawn:
		return "as drawn; " + why
	case d.Size != d.Required && !d.small:
		return why + "; " + string(d.Required) + " is skipped"
	}
	return why
}

func (r *Report) printVents(p *page) {
	if r.Drains == nil {
		return
	}
	p.section("Vents")
	g := grid{head: []string{"vent", "?kind", "from", "to", ">serves", ">developed", ">max", ">size", ">needs",
		"decided by"},
		rows: make([][]string, 0, len(r.Vents))}
	for _, v := range r.Vents {
		why := v.Why
		if v.unsized {
			why = "not sized: see the findings"
		}
		g.add(v.Vent, v.Kind, v.From, v.To, string(v.Serves), string(v.Length), string(v.Max), string(v.Size),
			string(v.Required), why)
	}
	p.grid(g)
}

func (r *Report) printCleanouts(p *page) {
	if r.Drains == nil {
		return
	}
	p.section("Cleanouts")
	g := grid{head: []string{"at", "system", ">pipe", ">size", ">clearance in front", ""}}
	for _, c := range r.Cleanouts {
		g.add(c.Point, c.System, string(c.Pipe), string(c.Size), string(c.Clearance), c.Kind)
	}
	p.grid(g)
}

// label is a kind of fixture or fitting in words.
func label(id string) string { return strings.ReplaceAll(id, "-", " ") }

// tradeWords say in a column why a water pipe has its size.
var tradeWords = strings.NewReplacer(
	"least supply of the fixture", "fixture minimum",
	"minimum supply for this fixture", "fixture minimum",
	"not less than the run it feeds", "the run it feeds",
	"smallest of its kind", "smallest made",
)
