package supply

import (
	"slices"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// pressures is the pressure from the source to the fixture that has least to spare.
func (d *drawing) pressures() *draw.Chart {
	if d.Governing < 0 {
		return nil
	}
	length, pressure := "ft", "psi"
	if d.metric {
		length, pressure = "m", "kPa"
	}
	g := &d.Fixtures[d.Governing]
	x := &d.Layout.data.Fixtures[d.Governing]
	c := &draw.Chart{
		X: draw.Axis{
			Name: "developed length from " + d.Layout.data.Source.ID + ", " + length,
		},
		Y:       draw.Axis{Name: "pressure, " + pressure},
		Names:   map[string]string{draw.Outlet.Key(): "source"},
		BarHead: "Pressure at each fixture, and what it has to spare. Line: needed.",
		Remarks: []string{
			"The way to " + x.ID + " (" + d.name(d.Governing) + "), the critical fixture: " + d.psi(
				g.Available) + " of " + d.psi(
				g.Most,
			) +
				" needed. Along a run: friction, fittings and height; upright: what a device or regulator takes.",
		},
	}
	d.curves(c, g)
	for f := range d.Fixtures {
		c.Bars = append(c.Bars, d.bar(f))
	}
	return c
}

// curves draws flowing and static pressure, and what is needed at the end.
func (d *drawing) curves(c *draw.Chart, g *FixtureResult) {
	var way []int
	for i := g.Point; i >= 0; i = d.Layout.Parent(i) {
		way = append(way, i)
	}
	slices.Reverse(way)
	src := &d.Layout.data.Source
	still := src.Static
	if still == 0 {
		still = src.Pressure
	}
	at := units.Length(0)
	flowing := []draw.XY{d.xy(0, src.Pressure)}
	static := []draw.XY{d.xy(0, still)}
	var spots []draw.Spot
	for _, i := range way {
		r, pt := &d.Runs[i], d.Layout.Point(i)
		at += r.Length
		flowing = append(flowing, d.xy(at, r.Out+r.Device+r.Reduced))
		if r.Device+r.Reduced != 0 {
			flowing = append(flowing, d.xy(at, r.Out))
		}
		static = append(static, d.xy(at, r.Static))
		spots = append(spots,
			draw.Spot{ID: pt.ID, At: d.xy(at, r.Out), Shape: d.mark(i).Shape, Label: d.mark(i).Label, Tip: d.tip(i)})
	}
	c.Curves = []draw.Curve{
		{ID: "pressure-flowing", Style: draw.Pressure, At: flowing, Tip: "pressure while water flows"},
		{ID: "pressure-static", Style: draw.Static, At: static, Tip: "pressure while nothing flows"},
		{
			ID:    "pressure-needed",
			Style: draw.Needed,
			At:    []draw.XY{d.xy(at*9/10, g.Most), d.xy(at, g.Most)},
			Tip:   "pressure needed at the fixture",
			Label: "needed " + d.psi(g.Most),
		},
	}
	c.Spots = append(spots, draw.Spot{ID: src.ID, At: d.xy(0, src.Pressure), Shape: draw.Outlet,
		Label: []string{src.ID, d.psi(src.Pressure)}})
}

// bar is what a fixture has of what it needs.
func (d *drawing) bar(f int) draw.Bar {
	x, r := &d.Layout.data.Fixtures[f], &d.Fixtures[f]
	b := draw.Bar{
		ID:    d.free("fixture ", x.ID),
		Label: x.ID + " " + d.name(f),
		Value: d.number(r.Available),
		Need:  d.number(r.Most),
		Text:  d.spare(r),
	}
	b.Bad = r.Margin() < 0
	if r.Most == 0 {
		b.Bad, b.Text = false, "no figure"
	}
	b.Tip = b.Label + ": " + d.left(r.Available, r.Upper) + ", needs " + d.psi(r.Most) + ", " + b.Text
	return b
}

func (d *drawing) xy(at units.Length, p units.Pressure) draw.XY {
	if d.metric {
		return draw.XY{X: at.Metres(), Y: d.number(p)}
	}
	return draw.XY{X: at.Feet(), Y: d.number(p)}
}

func (d *drawing) number(p units.Pressure) float64 {
	if d.metric {
		return float64(p / units.Kilopascal)
	}
	return float64(p / units.PoundForcePerSquareInch)
}
