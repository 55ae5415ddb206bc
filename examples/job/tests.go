package job

import (
	"errors"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/tables"
)

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
		s.Missing = fmt.Sprintf("Drains: %s gives no head of water on the shelf. Ask the authority for the test and "+
			"its head.", g.code)
	} else if err != nil {
		return err
	}
	for _, t := range plans {
		row := DrainTest{System: t.System, Surface: p.elevation(t.Surface), Head: p.run(t.Head), Highest: t.Highest,
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
		hold := t.Hold
		if hold == "" {
			hold = "the time the authority asks"
		}
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
