package job

import (
	"github.com/trapweir/trapweir/dwv/drains"
)

// StubRow is a pipe that stands out of the slab, for the crew that sets it.
type StubRow struct {
	Point  string `json:"point"`
	System string `json:"system"`
	For    string `json:"for"`
	X      string `json:"x,omitempty"`
	Y      string `json:"y,omitempty"`
	Size   string `json:"size"`
	Height string `json:"above_floor,omitempty"`
	Cap    string `json:"cap"`
}

// stubs lists what comes up through the slab: risers, and fixtures and cleanouts at the floor.
func (p *web) stubs() []StubRow {
	g := p.r.made.drains
	as := newPrinter(p.r.Job.Units == "si", false)
	var rows []StubRow
	g.points(func(i int, sys *drains.System, pt *drains.Point) {
		lv := g.levels.At(i)
		rises := lv.Vertical && lv.Lower.Invert < g.layout.FinishedFloor
		atFloor := !lv.AboveFloor && !lv.Vertical &&
			(pt.Fixture != nil || pt.Cleanout != nil || pt.Capped || pt.Reserved != 0)
		if !rises && !atFloor {
			return
		}
		row := StubRow{
			Point:  pt.ID,
			System: sys.ID,
			Size:   as.size(g.sizing.At(i).Size),
			Cap:    "cap until the trap is set",
		}
		switch {
		case pt.Fixture != nil:
			row.For = ruleWords(pt.Fixture.Kind)
		case pt.Cleanout != nil:
			row.For, row.Cap = "Cleanout", "cleanout plug"
		case pt.Capped || pt.Reserved != 0:
			row.For = "For later"
		}
		if pt.Capped {
			row.Cap = "capped for later"
		}
		if pt.At != nil {
			row.X, row.Y = as.run(pt.At.X), as.run(pt.At.Y)
		}
		if pt.StubUp != 0 {
			row.Height = as.depth(pt.StubUp)
		}
		rows = append(rows, row)
	})
	return rows
}

// crew is what is taken to the trench: stubs, cleanouts, rods, the test, what to bring.
func (p *web) crew() {
	p.tag("<section id=\"crew\" class=\"leaf\" aria-labelledby=\"crew-h\"><h2 id=\"crew-h\">Crew page</h2>\n")
	if p.r.made.drains != nil {
		p.part("Stubs", p.stubs())
	}
	p.part("Cleanouts", p.r.Cleanouts)
	p.rods()
	p.test()
	p.part("Take-off", &p.r.Materials)
	p.tag("</section>\n")
}

func (p *web) rods() {
	s := p.r.Rods
	if s == nil {
		return
	}
	p.tag("<h3>Rod sheet</h3><p>The beam %s.</p>", s.Beam)
	p.part("Lines, and what the beam does along them", s.Runs)
	p.part("Rod readings", s.Rods)
}

// test is the water test, with lines to sign.
func (p *web) test() {
	t := &p.r.Tests
	p.part("Tests before the pour", t)
	p.tag(
		"<p class=\"warn\">A plug or cap under water can fly out with great force: tie or block it, and keep clear of its " +
			"line. " +
			"Never test plastic pipe with air unless its maker and the code allow it.</p>",
	)
	p.tag(
		"<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Test record\"><table " +
			"class=\"signs\"><caption>Test record</caption><thead><tr><th scope=\"col\">Test</th><th scope=\"col\">Filled " +
			"at</th>" +
			"<th scope=\"col\">Held until</th><th scope=\"col\">Result</th><th scope=\"col\">Signed</th></tr></thead><tbody>",
	)
	for _, x := range t.Drains {
		p.tag("<tr><th scope=\"row\">System %s</th><td></td><td></td><td></td><td></td></tr>", x.System)
	}
	if len(t.Water) > 0 {
		p.tag("<tr><th scope=\"row\">Water lines</th><td></td><td></td><td></td><td></td></tr>")
	}
	p.tag("</tbody></table></div>\n")
}
