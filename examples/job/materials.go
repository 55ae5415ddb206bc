package job

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/units"
)

// MaterialSection is what to buy and what to dig.
type MaterialSection struct {
	Allowance string        `json:"allowance,omitempty"` // on the pipe of drains
	Pipe      []MaterialRow `json:"pipe,omitzero"`
	Fittings  []MaterialRow `json:"fittings,omitzero"`
	Joints    []MaterialRow `json:"joints,omitzero"`
	Water     []MaterialRow `json:"water,omitempty"`
	Earth     []MaterialRow `json:"earthwork,omitzero"`
}

// MaterialRow is one line of a material list.
type MaterialRow struct {
	What     string   `json:"what"`
	Size     Size     `json:"size,omitempty"`
	Quantity Quantity `json:"quantity"`
	Note     string   `json:"note,omitempty"`

	order Quantity // to the foot, as pipe is bought
}

// The allowances of the list, by common practice; an estimator has others.
const (
	wastePercent = 10
	stick        = 20 * units.Foot
	initialFill  = 12 * units.Inch
)

// ofDrains takes off the drains and their trenches.
func (s *MaterialSection) ofDrains(g *drainsJudged, p printer) error {
	t, err := g.sizing.TakeOff(drains.TakeOffOptions{WastePercent: wastePercent, Stick: stick, Initial: initialFill})
	if err != nil {
		return err
	}
	s.Allowance = fmt.Sprintf("pipe with %d %% for waste, in lengths of %s", wastePercent, p.run(stick))
	s.Pipe, s.Fittings, s.Joints = []MaterialRow{}, []MaterialRow{}, []MaterialRow{}
	pipe := func(what string, items []drains.PipeItem) {
		for _, x := range items {
			s.Pipe = append(s.Pipe, MaterialRow{What: what + " " + x.Material, Size: p.size(x.Size),
				Quantity: p.run(x.Gross), order: p.order(x.Gross),
				Note: fmt.Sprintf("%s laid, %s", p.run(x.Net), counted(x.Sticks, "length"))})
		}
	}
	pipe("drain", t.Pipe)
	pipe("riser", t.Risers)
	pipe("vent", t.Vents)
	for _, x := range t.Fittings {
		size := p.size(x.Size)
		if x.Branch != 0 {
			size += " x " + p.size(x.Branch)
		}
		s.Fittings = append(s.Fittings,
			MaterialRow{What: label(x.Kind), Size: size, Quantity: Quantity(fmt.Sprint(x.Count)), Note: x.Material})
	}
	for _, x := range t.Joints {
		row := MaterialRow{What: "joints " + x.Material, Size: p.size(x.Size), Quantity: Quantity(fmt.Sprint(x.Count))}
		if x.Cement != 0 {
			row.Note = fmt.Sprintf("cement %s, primer %s", small(p, x.Cement), small(p, x.Primer))
		}
		s.Joints = append(s.Joints, row)
	}
	e := t.Trenches
	s.Earth = []MaterialRow{
		{What: "trench", Quantity: p.run(e.Length),
			Note: fmt.Sprintf("deepest %s below the underside of the slab at %s", p.depth(e.Deepest), e.DeepestAt)},
		{What: "excavation", Quantity: p.earth(e.Excavation), Note: "bank measure"},
		{What: "bedding", Quantity: p.earth(e.Bedding)},
		{What: "initial backfill", Quantity: p.earth(e.Initial),
			Note: string(p.depth(initialFill) + " over the pipe, by hand")},
		{What: "backfill to the slab", Quantity: p.earth(e.Final)},
	}
	if len(e.Shallow) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs with less over them",
			Quantity: Quantity(fmt.Sprint(len(e.Shallow))),
			Note:     "the initial backfill ends at the underside of the slab: " + strings.Join(e.Shallow, " ")})
	}
	if len(e.Missing) > 0 {
		s.Earth = append(s.Earth, MaterialRow{What: "runs not counted", Quantity: Quantity(fmt.Sprint(len(e.Missing))),
			Note: "no room for bedding and pipe under the slab: " + strings.Join(e.Missing, " ")})
	}
	return nil
}

// small is a volume of cement: ounces, or millilitres.
func small(p printer, v units.Volume) Quantity {
	if p.si {
		return round(float64(v/units.Litre)*1000, 0) + " mL"
	}
	return round(float64(v/units.USGallon)*128, 1) + " fl oz"
}

func (r *Report) printMaterials(p *page) {
	p.section("Materials")
	if r.Materials.Allowance != "" {
		p.printf("  %s\n", r.Materials.Allowance)
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
			g.add(x.What, string(x.Size), string(cmp.Or(x.order, x.Quantity)), x.Note)
		}
		p.grid(g)
	}
}
