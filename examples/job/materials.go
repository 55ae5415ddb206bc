package job

import (
	"cmp"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"slices"
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

// unstated stands where a layout does not say what pipe is of.
const unstated = "(material not stated)"

// The allowances of the list, by common practice; an estimator has others.
const (
	wastePercent = 10
	stick        = 20 * units.Foot
	metricStick  = 6 * units.Metre // of pipe in sizes of millimetres
	initialFill  = 12 * units.Inch
)

// takeOff is how drains are taken off.
func takeOff(wastePercent int) drains.TakeOffOptions {
	return drains.TakeOffOptions{WastePercent: wastePercent, Stick: stick, MetricStick: metricStick, Initial: initialFill,
		ByPlace: true}
}

// sticks are the lengths that the pipe of a list comes in.
func sticks(t *drains.TakeOff, p printer) []string {
	var inches, metric bool
	for _, x := range slices.Concat(t.Pipe, t.Risers, t.Vents) {
		metric = metric || drains.IsMetric(x.Size)
		inches = inches || !drains.IsMetric(x.Size)
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
	t, err := g.sizing.TakeOff(takeOff(wastePercent))
	if err != nil {
		return err
	}
	s.Allowance = fmt.Sprintf("pipe with %d %% for waste, in lengths of %s", wastePercent,
		strings.Join(sticks(t, p), ", "))
	s.Pipe, s.Fittings, s.Joints = []MaterialRow{}, []MaterialRow{}, []MaterialRow{}
	pipe := func(what string, items []drains.PipeItem) {
		for _, x := range items {
			s.Pipe = append(s.Pipe, MaterialRow{What: wordsOf(what, cmp.Or(x.Material, unstated)), Size: p.size(x.Size),
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
		s.Joints = append(s.Joints, MaterialRow{What: wordsOf("joints", cmp.Or(x.Material, unstated)), Size: p.size(x.Size),
			Quantity: whole(x.Count)})
		cement, primer = cement+x.Cement, primer+x.Primer
	}
	s.Joints = p.cans(p.cans(s.Joints, "solvent cement", cement), "primer", primer)
	s.Assemblies = assemblies(g, t.Places, p)
	s.ofEarth(&t.Trenches, g.layout.TrenchWidth > 0, p)
	return nil
}

// ofEarth is what to dig and to fill, where the width of the trenches is stated.
func (s *MaterialSection) ofEarth(e *drains.Earthwork, stated bool, p printer) {
	s.Earth = []MaterialRow{
		{What: "trench", Quantity: p.order(e.Length),
			Note: fmt.Sprintf("deepest %s below the underside of the slab at %s", p.cover(e.Deepest), e.DeepestAt)},
	}
	if !stated {
		s.Earth[0].Note += "; no volumes: trench_width is not stated"
		return
	}
	s.Earth = append(s.Earth,
		MaterialRow{What: "excavation", Quantity: p.earth(e.Excavation), Note: "bank measure"},
		MaterialRow{What: "bedding", Quantity: p.earth(e.Bedding)},
		MaterialRow{What: "initial backfill", Quantity: p.earth(e.Initial),
			Note: string(p.depth(initialFill) + " over the pipe, by hand")},
		MaterialRow{What: "backfill to the slab", Quantity: p.earth(e.Final)})
	if len(e.Shallow) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs with less over them",
			Quantity: whole(len(e.Shallow)),
			Note:     "the initial backfill ends at the underside of the slab: " + strings.Join(e.Shallow, " ")})
	}
	if len(e.Missing) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs not counted", Quantity: whole(len(e.Missing)),
			Note: "no size is known, or no room for pipe and bedding in the trench: " + strings.Join(e.Missing, " ")})
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
	sets, of, ofVent := g.sets()
	pieces, room := make([][]piece, len(sets)), make([]piece, fewPieces*len(sets))
	for i := range pieces {
		pieces[i] = room[i*fewPieces:][:0:fewPieces]
	}
	add := func(set int, x piece) {
		for i := range pieces[set] {
			if had := &pieces[set][i]; had.kind == x.kind && had.material == x.material && had.size == x.size &&
				had.branch == x.branch {
				had.length, had.count = had.length+x.length, had.count+x.count
				return
			}
		}
		pieces[set] = append(pieces[set], x)
	}
	g.points(func(i int, _ *drains.System, pt *drains.Point) {
		add(of[i], piece{material: pt.Run.Material, size: g.sizing.At(i).Size, length: pt.Run.Length})
	})
	for i := range g.vents {
		v := &g.layout.Vents[i]
		for k := range v.Runs {
			add(ofVent[v.ID], piece{kind: "vent", material: v.Material, size: g.vents[i].Size, length: v.Runs[k].Length})
		}
	}
	for i := range placed {
		if x := &placed[i]; x.Count > 0 {
			set := ofVent[x.Place]
			if n, ok := g.find(x.Place); ok {
				set = of[n]
			}
			add(set, piece{kind: x.Kind, size: x.Size, branch: x.Branch, count: x.Count})
		}
	}
	var rows []AssemblyRow
	alike := map[string]int{}
	var key []byte
	for n := range sets {
		if len(pieces[n]) == 0 {
			continue
		}
		key = append(append(key[:0], sets[n].what...), 0)
		for i := range pieces[n] {
			key = pieces[n][i].appendKey(key)
		}
		at, ok := alike[string(key)]
		if !ok {
			at = len(rows)
			alike[string(key)] = at
			rows = append(rows, AssemblyRow{For: sets[n].what})
			for i := range pieces[n] {
				rows[at].Parts = append(rows[at].Parts, pieces[n][i].text(p))
			}
		}
		rows[at].Places = append(rows[at].Places, sets[n].id)
	}
	return rows
}

// fewPieces are as many as most fixtures are set with.
const fewPieces = 6

// piece is pipe or fittings of one kind.
type piece struct {
	kind, material string // kind is empty of drains
	size, branch   units.Length
	length         units.Length
	count          int
}

func (x *piece) appendKey(b []byte) []byte {
	b = append(append(append(append(b, x.kind...), 0), x.material...), 0)
	for _, n := range [...]int64{int64(x.size), int64(x.branch), int64(x.length), int64(x.count)} {
		b = binary.AppendVarint(b, n)
	}
	return b
}

func (x *piece) text(p printer) string {
	size := string(p.twoSizes(x.size, x.branch))
	if x.count > 0 {
		return wordsOf(counted(x.count, label(x.kind)), size)
	}
	return wordsOf(string(p.order(x.length)), x.kind, x.material, size)
}

// set is what is set together: a fixture with what serves it alone, or the lines of a system.
type set struct{ id, what string }

// sets lists what is set together, and says for each point, by its place in the list, and for
// each vent, by its id, which it belongs to.
func (g *drainsJudged) sets() (list []set, of []int, ofVent map[string]int) {
	of = make([]int, len(g.list))
	above := make([]int, len(g.list)) // runs into it
	for i, pt := range g.list {
		of[i] = -1
		if k, ok := g.find(pt.To); ok {
			above[k]++
		}
	}
	system := ""
	var lines int
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		if sys.ID != system || i == 0 {
			system, lines = sys.ID, len(list)
			list = append(list, set{sys.ID, "lines of the system"})
		}
		if of[i] < 0 {
			of[i] = lines
		}
		if above[i] > 0 || pt.Fixture == nil && !pt.Capped && pt.Reserved == 0 {
			return
		}
		what := "for later"
		if f := pt.Fixture; f != nil {
			what = strings.ReplaceAll(f.Kind, "-", " ")
			if f.Count > 1 {
				what = counted(f.Count, what)
			}
		}
		for k, ok := i, true; ok && above[k] <= 1 && (k == i || g.list[k].Cleanout == nil); k, ok = g.find(g.list[k].To) {
			of[k] = len(list)
		}
		list = append(list, set{pt.ID, what})
	})
	ofVent = make(map[string]int, len(g.layout.Vents))
	for i := range g.layout.Vents {
		v := &g.layout.Vents[i]
		if n, ok := g.find(v.From); ok {
			ofVent[v.ID] = of[n]
		} else {
			ofVent[v.ID] = ofVent[v.From] // without one, with the first lines
		}
	}
	return list, of, ofVent
}

func (r *Report) printMaterials(p *page) {
	title := "Take-off"
	if len(r.Materials.Assemblies) > 0 {
		title += ": by what is set together, then by part"
	}
	p.section(title)
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
	apart := r.Materials.Allowance != "" // a blank line before the next table
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
		if apart {
			p.printf("\n")
		}
		apart = true
		p.printf("  %s\n", part.title)
		g := grid{head: []string{"", "size", ">quantity", ""}}
		for _, x := range part.rows {
			g.add(x.What, string(x.Size), string(x.Quantity), x.Note)
		}
		p.grid(g)
	}
}
