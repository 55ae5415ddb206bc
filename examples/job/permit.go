package job

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/supply"
)

// PermitSection is one sheet for a permit: how many fixtures, their loads, and what the
// building drain and the water service are.
type PermitSection struct {
	Fixtures []PermitFixture `json:"fixtures"`
	Drains   []PermitDrain   `json:"drains,omitzero"`
	Water    *PermitWater    `json:"water,omitempty"`
}

// PermitFixture is all fixtures of one kind, with what they count for in drains and in
// water lines; a load is empty where the code gives none or a half has no such fixture.
type PermitFixture struct {
	Fixture string   `json:"fixture"`
	Count   int      `json:"count"`
	Drain   Quantity `json:"drain_load,omitempty"`
	Water   Quantity `json:"water_load,omitempty"`

	unrated    bool // a load is missing from the sum of the drains
	own, asked bool // a water load is the layout's own; the code has none for what is drawn
}

// PermitDrain is where a system leaves the building.
type PermitDrain struct {
	System string   `json:"system"`
	Kind   string   `json:"kind"`
	To     string   `json:"to"` // sewer, drain, tank or sump
	Load   Quantity `json:"load"`
	Size   Size     `json:"size"`
	Pipe   string   `json:"material,omitempty"` // as the layout names it
	Grade  Quantity `json:"grade"`
	Invert Quantity `json:"invert"` // at the outlet
}

// PermitWater is the water service.
type PermitWater struct {
	Load     Quantity `json:"load"`
	Flow     Quantity `json:"flow,omitempty"`
	Service  Size     `json:"service"`
	Pipe     string   `json:"pipe"`
	Meter    Size     `json:"meter,omitempty"`
	Devices  []string `json:"devices,omitempty"` // with where they stand: backflow preventers, regulators, heaters
	Pressure Quantity `json:"pressure"`          // at the street while the building draws
	Static   Quantity `json:"static,omitempty"`
}

// permit makes the sheet of what was judged.
func permit(g *judged, p printer) *PermitSection {
	s := &PermitSection{Fixtures: permitFixtures(g)}
	if d := g.drains; d != nil {
		s.Drains = permitDrains(d, p)
	}
	if w := g.water; w != nil {
		s.Water = permitWater(w, p)
	}
	return s
}

// permitFixtures counts the fixtures of both halves by kind. A kind that both have is one
// row, with the greater count: one half may leave out what the other has.
func permitFixtures(g *judged) []PermitFixture {
	type sums struct {
		PermitFixture
		drains, water int // how many
		dfu           dwv.FixtureUnits
		du            en12056.DischargeUnits
		wsfu          supply.FixtureUnits
	}
	var list []*sums
	of := func(kind string) *sums {
		k := slices.IndexFunc(list, func(x *sums) bool { return x.Fixture == kind })
		if k < 0 {
			k, list = len(list), append(list, &sums{PermitFixture: PermitFixture{Fixture: kind}})
		}
		return list[k]
	}
	if d := g.drains; d != nil {
		d.points(func(i int, _ *drains.System, pt *drains.Point) {
			if pt.Fixture == nil {
				return
			}
			x := of(pt.Fixture.Kind)
			x.drains += pt.Fixture.Count
			if d.flows != nil {
				x.du, x.unrated = x.du+d.flows[i].Own, x.unrated || d.flows[i].Own == 0
				return
			}
			load, err := d.sizing.FixtureLoad(i)
			x.dfu, x.unrated = x.dfu+load.Units, x.unrated || err != nil
		})
	}
	if w := g.water; w != nil {
		for i := range w.layout.Data().Fixtures {
			f := w.layout.Data().Fixtures[i]
			x := of(f.Kind)
			x.water += f.Count
			load, err := w.loadOf(&f)
			total := load.Total
			if w.code.LoadUnit() != "wsfu" && (f.Cold == "") != (f.Hot == "") { // each tap counts as what it is
				total = load.Cold
				if f.Cold == "" {
					total = load.Hot
				}
			}
			x.wsfu, x.own, x.asked = x.wsfu+total.FixtureUnits, x.own || f.Load != "", x.asked || err != nil && f.Load == ""
		}
	}
	rows := []PermitFixture{}
	for _, x := range list {
		x.Count = max(x.drains, x.water)
		if x.drains > 0 && !x.unrated {
			x.Drain = Quantity(x.dfu.String())
			if x.du > 0 {
				x.Drain = Quantity(x.du.String())
			}
		}
		if x.water > 0 && !x.own && !x.asked {
			x.Water = g.water.load(x.wsfu)
		}
		rows = append(rows, x.PermitFixture)
	}
	return rows
}

// permitDrains says where each system leaves: by the first run into its outlet.
func permitDrains(d *drainsJudged, p printer) []PermitDrain {
	rows := []PermitDrain{}
	last := ""
	d.points(func(i int, sys *drains.System, pt *drains.Point) {
		if pt.To != sys.Outlet.ID || sys.ID == last {
			return
		}
		last = sys.ID
		load, _, _ := d.total(sys)
		row := PermitDrain{System: sys.ID, Kind: string(sys.Kind), To: string(sys.Outlet.Kind),
			Load: load, Size: p.size(d.sizing.At(i).Size), Pipe: pt.Run.Material, Grade: p.grade(pt.Run.Grade),
			Invert: p.elevation(sys.Outlet.Invert)}
		if pt.Run.Vertical {
			row.Grade = "vertical"
		}
		rows = append(rows, row)
	})
	return rows
}

// permitWater is the run from the street, with the meter and the devices of the lines.
func permitWater(w *waterJudged, p printer) *PermitWater {
	data := w.layout.Data()
	s := &PermitWater{Pressure: p.pressure(data.Source.Pressure)}
	if data.Source.Static != 0 {
		s.Static = p.pressure(data.Source.Static)
	}
	for i, r := range w.sizing.All() {
		pt := w.layout.Point(i)
		if pt.From == data.Source.ID && s.Pipe == "" && r.Family() != nil {
			s.Load, s.Flow, s.Service = Quantity(r.Load.String()), p.flow(r.Flow), p.pipe(r.Family(), r.Size)
			s.Pipe = r.Pipe
			if r.Basis == supply.NotKnown {
				s.Flow = ""
			}
		}
		switch d := pt.Device; {
		case d == nil:
		case d.Kind == "meter" && s.Meter == "" && d.Size > 0:
			s.Meter = p.size(d.Size)
		default:
			s.Devices = append(s.Devices, label(d.Kind)+" at "+pt.ID)
		}
	}
	return s
}

// PrintPermit prints the sheet for a permit, and nothing else.
func (r *Report) PrintPermit(w io.Writer) error {
	p := r.newPage(frontWidth)
	for _, l := range r.identity() {
		p.printf("%s\n", l)
	}
	r.printPermit(p)
	r.printAmendments(p)
	p.paragraph("", "", r.Findings.Summary+": see the report.")
	return writePages(w, []*page{p})
}

func (r *Report) printPermit(p *page) {
	p.section("Permit sheet: fixtures, loads, drains and service")
	s := r.Permit
	if len(s.Fixtures) > 0 {
		g := grid{head: []string{"fixture", ">n", ">drain load", ">water load"}}
		unrated := false
		for _, x := range s.Fixtures {
			drain, water := string(x.Drain), string(x.Water)
			if x.unrated {
				drain, unrated = seeFindings, true
			}
			switch {
			case x.asked:
				water = seeFindings
			case x.own:
				water = "not of the code"
			}
			g.add(label(x.Fixture), fmt.Sprint(x.Count), drain, water)
		}
		p.grid(g)
		if unrated {
			p.paragraph("  ", "  ", "The loads below are without those that the findings ask about.")
		}
		p.printf("\n")
	}
	if len(s.Drains) > 0 {
		g := grid{head: []string{"building drain", "kind", "to", ">load", ">size", "pipe", "grade", ">invert"}}
		for _, x := range s.Drains {
			g.add(x.System, x.Kind, x.To, string(x.Load), string(x.Size), x.Pipe, string(x.Grade),
				string(x.Invert))
		}
		p.grid(g)
	}
	if x := s.Water; x != nil {
		if len(s.Drains) > 0 {
			p.printf("\n")
		}
		load := string(x.Load)
		if strings.HasSuffix(load, " L/s") {
			load = "outlets of " + load + " together"
		}
		p.paragraph("  Water service: ", "    ", fmt.Sprintf("%s %s for %s, %s; meter %s; %s residual, %s static.", x.Service,
			x.Pipe, load, cmp.Or(string(x.Flow), "flow not known"), cmp.Or(string(x.Meter), "size not given"), x.Pressure,
			cmp.Or(string(x.Static), "not given")))
		if len(x.Devices) > 0 {
			p.paragraph("  Devices: ", "    ", strings.Join(x.Devices, "; ")+".")
		}
	}
}

// Inspection is a stage at which work is looked at before it is covered, with lines for
// who looked and when.
type Inspection struct {
	Stage string `json:"stage"`
	What  string `json:"what"`
	Who   string `json:"who"`  // empty: a line to fill in
	When  string `json:"when"` // the same
}

// inspections are the stages of a slab job. What the code or the authority wants beside
// these is theirs to say.
func inspections(r *Report) []Inspection {
	list := []Inspection{}
	add := func(stage, what string) { list = append(list, Inspection{Stage: stage, What: what}) }
	if r.Drains != nil {
		add("before backfill", "trenches safe; bedding, inverts and falls as in the table of elevations; joints, "+
			"cleanouts and sleeves through footings in place; nothing covered")
		var systems []string
		for _, t := range r.Tests.Drains {
			systems = append(systems, fmt.Sprintf("%s to %s", t.System, t.Surface))
		}
		if len(systems) > 0 {
			add("water test", "filled: "+strings.Join(systems, ", ")+
				"; no drop and no leak for the time of the test; plugs tied")
		} else {
			add("water test", "as the authority asks")
		}
	}
	if r.Water != nil {
		add("pressure test", "water lines below the slab under the test pressure before they are covered; no drop; "+
			"sleeved where they pass concrete")
	}
	if r.Drains != nil {
		add("before the pour", fmt.Sprintf(
			"%s at their places and heights, plumb and capped; cleanouts reach the floor; test still holds",
			counted(len(r.Stubs), "stub")))
	} else {
		add("before the pour", "lines capped, sleeved and tied; test still holds")
	}
	return list
}

func (r *Report) printInspections(p *page) {
	p.printf("\n  Inspections before anything is covered\n")
	for _, x := range r.Inspections {
		p.paragraph("  [ ] ", "      ", capital(x.Stage)+": "+x.What+".")
		p.printf("      by %s  date %s\n", strings.Repeat("_", 28), strings.Repeat("_", 16))
	}
}
