package job

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/units"
)

// MaterialSection is what to buy and what to dig.
type MaterialSection struct {
	Allowance string `json:"allowance,omitempty"` // on the pipe of drains
	// Assemblies are the same drains and vents by what is set together: a fixture with its
	// branch and vent, then the lines they join.
	Assemblies []AssemblyRow `json:"assemblies,omitzero"`
	Pipe       []MaterialRow `json:"pipe,omitzero"`
	Fittings   []MaterialRow `json:"fittings,omitzero"`
	Joints     []MaterialRow `json:"joints,omitzero"`
	Water      []MaterialRow `json:"water,omitempty"`
	Earth      []MaterialRow `json:"earthwork,omitzero"`
}

// MaterialRow is one line of a material list.
type MaterialRow struct {
	What     string   `json:"what"`
	Size     Size     `json:"size,omitempty"`
	Quantity Quantity `json:"quantity"` // of pipe its text to the foot above, its number as it is
	Note     string   `json:"note,omitempty"`

	exact units.Length // of pipe
}

// MarshalJSON writes lengths of pipe with the number as it is beside the text of the order.
func (m MaterialRow) MarshalJSON() ([]byte, error) {
	type plain MaterialRow
	_, unit, _ := m.Quantity.Value()
	if m.exact == 0 || unit != "ft" && unit != "m" {
		return json.Marshal(plain(m))
	}
	type quantity struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
		Text  string  `json:"text"`
	}
	exact := m.exact.Feet()
	if unit == "m" {
		exact = m.exact.Metres()
	}
	return json.Marshal(struct {
		What     string   `json:"what"`
		Size     Size     `json:"size,omitempty"`
		Quantity quantity `json:"quantity"`
		Note     string   `json:"note,omitempty"`
	}{m.What, m.Size, quantity{math.Round(exact*1e4) / 1e4, unit, string(m.Quantity)}, m.Note})
}

// AssemblyRow is what one fixture, or several alike, is set with.
type AssemblyRow struct {
	Places []string `json:"places"` // each takes as much
	For    string   `json:"for"`
	Parts  []string `json:"parts"`
}

// The allowances of the list, by common practice; an estimator has others.
const (
	wastePercent = 10
	stick        = 20 * units.Foot
	metricStick  = 6 * units.Metre // of pipe in sizes of millimetres
	initialFill  = 12 * units.Inch
)

// sticks are the lengths that the pipe of a list comes in.
func sticks(t *drains.TakeOff, p printer) []string {
	var inches, metric bool
	for _, list := range [...][]drains.PipeItem{t.Pipe, t.Risers, t.Vents} {
		for _, x := range list {
			metric = metric || drains.IsMetric(x.Size)
			inches = inches || !drains.IsMetric(x.Size)
		}
	}
	out := []string{}
	if inches || !metric {
		out = append(out, string(p.run(stick)))
	}
	if metric {
		out = append(out, string(p.run(metricStick)))
	}
	return out
}

// ofDrains takes off the drains and their trenches.
func (s *MaterialSection) ofDrains(g *drainsJudged, p printer) error {
	t, err := g.sizing.TakeOff(drains.TakeOffOptions{WastePercent: wastePercent, Stick: stick, MetricStick: metricStick, Initial: initialFill,
		ByPlace: true})
	if err != nil {
		return err
	}
	s.Allowance = fmt.Sprintf("pipe with %d %% for waste, in lengths of %s", wastePercent,
		strings.Join(sticks(t, p), ", "))
	s.Pipe, s.Fittings, s.Joints = []MaterialRow{}, []MaterialRow{}, []MaterialRow{}
	pipe := func(what string, items []drains.PipeItem) {
		for _, x := range items {
			s.Pipe = append(s.Pipe, MaterialRow{What: what + " " + x.Material, Size: p.size(x.Size),
				Quantity: p.order(x.Gross), exact: x.Gross,
				Note: fmt.Sprintf("%s laid, %s", p.run(x.Net), counted(x.Sticks, "length"))})
		}
	}
	pipe("drain", t.Pipe)
	pipe("riser", t.Risers)
	pipe("vent", t.Vents)
	for _, x := range t.Fittings {
		s.Fittings = append(s.Fittings, MaterialRow{What: label(x.Kind), Size: p.twoSizes(x.Size, x.Branch),
			Quantity: whole(x.Count), Note: x.Material})
	}
	var cement, primer units.Volume
	for _, x := range t.Joints {
		s.Joints = append(s.Joints, MaterialRow{What: "joints " + x.Material, Size: p.size(x.Size),
			Quantity: whole(x.Count)})
		cement, primer = cement+x.Cement, primer+x.Primer
	}
	s.Joints = p.cans(p.cans(s.Joints, "solvent cement", cement), "primer", primer)
	s.Assemblies = assemblies(g, t.Places, p)
	s.ofEarth(&t.Trenches, p)
	return nil
}

// ofEarth is what to dig and to fill.
func (s *MaterialSection) ofEarth(e *drains.Earthwork, p printer) {
	s.Earth = []MaterialRow{
		{What: "trench", Quantity: p.order(e.Length),
			Note: fmt.Sprintf("deepest %s below the underside of the slab at %s", p.cover(e.Deepest), e.DeepestAt)},
		{What: "excavation", Quantity: p.earth(e.Excavation), Note: "bank measure"},
		{What: "bedding", Quantity: p.earth(e.Bedding)},
		{What: "initial backfill", Quantity: p.earth(e.Initial),
			Note: string(p.depth(initialFill) + " over the pipe, by hand")},
		{What: "backfill to the slab", Quantity: p.earth(e.Final)},
	}
	if len(e.Shallow) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs with less over them",
			Quantity: whole(len(e.Shallow)),
			Note:     "the initial backfill ends at the underside of the slab: " + strings.Join(e.Shallow, " ")})
	}
	if len(e.Missing) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs not counted", Quantity: whole(len(e.Missing)),
			Note: "no room for bedding and pipe under the slab: " + strings.Join(e.Missing, " ")})
	}
}

func whole(n int) Quantity { return Quantity(strconv.Itoa(n)) }

// twoSizes is the size of a fitting by its through and its branch, zero if that is the same.
func (p printer) twoSizes(size, branch units.Length) Size {
	if branch == 0 {
		return p.size(size)
	}
	return p.size(size) + " x " + p.size(branch)
}

// cans adds a row of cement or primer, in cans of one size: pints where one will do, else
// quarts; half litres, else litres.
func (p printer) cans(rows []MaterialRow, what string, v units.Volume) []MaterialRow {
	if v <= 0 {
		return rows
	}
	can, name := units.USGallon/4, Size("1 quart can")
	half, halfName := can/2, Size("1 pint can")
	if p.si {
		can, half, name, halfName = units.Litre, units.Litre/2, "1 L can", "500 mL can"
	}
	if v <= half {
		can, name = half, halfName
	}
	return append(rows, MaterialRow{What: what, Size: name, Quantity: whole(int(math.Ceil(float64(v / can))))})
}

// assemblies gathers pipe and fittings by the fixture that they serve alone: its riser, its
// branch up to the next junction, its vent. All else is of the lines. Those alike are told
// once.
func assemblies(g *drainsJudged, placed []drains.PlacedFitting, p printer) []AssemblyRow {
	owner, kinds := g.owners()
	parts := map[string]*partList{}
	of := func(place string) *partList {
		o, ok := owner[place]
		if !ok {
			o = place
		}
		if parts[o] == nil {
			parts[o] = new(partList)
		}
		return parts[o]
	}
	var order []string
	seen := map[string]bool{}
	g.points(func(i int, _ *drains.System, pt *drains.Point) {
		if o := owner[pt.ID]; !seen[o] {
			seen[o] = true
			order = append(order, o)
		}
		size := p.size(g.sizing.At(i).Size)
		of(pt.ID).pipe(pt.Run.Material+" "+string(size), pt.Run.Length)
	})
	for i, s := range g.sizing.Vents() {
		v := &g.layout.Vents[i]
		for k := range v.Runs {
			of(v.ID).pipe("vent "+v.Material+" "+string(p.size(s.Size)), v.Runs[k].Length)
		}
	}
	for i := range placed {
		x := &placed[i]
		of(x.Place).fitting(strings.TrimSpace(label(x.Kind)+" "+string(p.twoSizes(x.Size, x.Branch))), x.Count)
	}
	var rows []AssemblyRow
	alike := map[string]int{}
	for _, o := range order {
		list := parts[o].texts(p)
		key := kinds[o] + "\n" + strings.Join(list, "\n")
		at, ok := alike[key]
		if !ok {
			at = len(rows)
			alike[key] = at
			rows = append(rows, AssemblyRow{For: kinds[o], Parts: list})
		}
		rows[at].Places = append(rows[at].Places, o)
	}
	return rows
}

// owners names for each point and vent the fixture whose alone it is, or the system whose
// line, and says what each of these is.
func (g *drainsJudged) owners() (owner, label map[string]string) {
	owner, label = map[string]string{}, map[string]string{}
	type node struct {
		pt     *drains.Point
		system string
	}
	above, nodes := map[string]int{}, map[string]node{}
	g.points(func(_ int, sys *drains.System, pt *drains.Point) {
		above[pt.To]++
		nodes[pt.ID] = node{pt, sys.ID}
		owner[pt.ID], owner[sys.Outlet.ID] = sys.ID, sys.ID
		label[sys.ID] = "lines of the system"
	})
	g.points(func(_ int, _ *drains.System, pt *drains.Point) {
		if above[pt.ID] > 0 || pt.Fixture == nil && !pt.Capped && pt.Reserved == 0 {
			return
		}
		label[pt.ID] = "for later"
		if pt.Fixture != nil {
			label[pt.ID] = strings.ReplaceAll(pt.Fixture.Kind, "-", " ")
			if n := pt.Fixture.Count; n > 1 {
				label[pt.ID] = fmt.Sprintf("%d of %s", n, label[pt.ID])
			}
		}
		for at, ok := nodes[pt.ID]; ok && above[at.pt.ID] <= 1 && (at.pt == pt || at.pt.Cleanout == nil); at, ok = nodes[at.pt.To] {
			owner[at.pt.ID] = pt.ID
		}
	})
	for i := range g.layout.Vents {
		v := &g.layout.Vents[i]
		if o, ok := owner[v.From]; ok {
			owner[v.ID] = o
		} else {
			owner[v.ID] = g.layout.Systems[0].ID
		}
	}
	return owner, label
}

// partList gathers pipe and fittings in the order they come.
type partList struct {
	names   []string
	lengths map[string]units.Length
	counts  map[string]int
}

func (l *partList) pipe(name string, length units.Length) {
	if l.lengths == nil {
		l.lengths = map[string]units.Length{}
	}
	if _, ok := l.lengths[name]; !ok {
		l.names = append(l.names, name)
	}
	l.lengths[name] += length
}

func (l *partList) fitting(name string, n int) {
	if l.counts == nil {
		l.counts = map[string]int{}
	}
	if _, ok := l.counts[name]; !ok {
		l.names = append(l.names, name)
	}
	l.counts[name] += n
}

func (l *partList) texts(p printer) []string {
	out := []string{}
	for _, name := range l.names {
		if length, ok := l.lengths[name]; ok {
			out = append(out, string(p.order(length))+" "+strings.TrimSpace(name))
		} else {
			out = append(out, strconv.Itoa(l.counts[name])+" "+name)
		}
	}
	return out
}

func (r *Report) printMaterials(p *page) {
	p.section("Take-off: by what is set together, then by part")
	if len(r.Materials.Assemblies) > 0 {
		p.paragraph("  ", "  ", "Lengths as laid. Risers to the floor and couplings are among the parts alone.")
	}
	for _, x := range r.Materials.Assemblies {
		each := ""
		if len(x.Places) > 1 {
			each = "; each takes"
		}
		p.paragraph("  - ", "    ", some(x.Places, 12)+" ("+x.For+each+"): "+strings.Join(x.Parts, "; ")+".")
	}
	if r.Materials.Allowance != "" {
		p.printf("\n  By part: %s.\n", r.Materials.Allowance)
	}
	for _, part := range []struct {
		title string
		rows  []MaterialRow
	}{
		{"pipe", r.Materials.Pipe}, {"drainage fittings, from the angles of the layout", r.Materials.Fittings},
		{"joints", r.Materials.Joints},
		{"water lines", r.Materials.Water}, {"trenches", r.Materials.Earth},
	} {
		if len(part.rows) == 0 {
			continue
		}
		p.printf("\n  %s\n", part.title)
		g := grid{head: []string{"", "size", ">quantity", ""}}
		for _, x := range part.rows {
			g.add(x.What, string(x.Size), string(x.Quantity), x.Note)
		}
		p.grid(g)
	}
}
