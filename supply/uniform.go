package supply

import (
	"fmt"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// UniformLoss is the method of the codes' appendices: what is left of the pressure
// after height, devices and the outlet is spread evenly over the way to the
// governing fixture, and every run is sized for that loss in 100 ft.
type UniformLoss struct {
	*Sizing // the sizes it gives, worked out exactly
	// Per100 is the loss in 100 ft of pipe.
	Per100    units.Pressure
	Governing int // fixture whose way gives it
	// What it was made of, for that fixture.
	Source, Rise, Devices, Required, Left units.Pressure
	Length                                units.Length    // with the equivalent lengths of fittings
	PerFoot                               tables.Citation // the row that prices height; zero: by the density of water
	Rounds                                int             // until lengths and sizes agreed
}

// UniformLoss sizes the layout by the method of the appendices and works the result
// out exactly: its Short lists fixtures that the method serves too little, for it
// takes one loss for all ways. Sizes keep to velocities and least sizes as
// [Layout.Size] does. Height is priced as the code's appendix does where it gives a
// figure. A layout with nothing left to lose is [units.ErrNoSolution].
func (l *Layout) UniformLoss(c *Code, opt Options) (*UniformLoss, error) {
	h, err := l.prepare(c, opt, nil)
	if err != nil {
		return nil, err
	}
	drawn, err := h.drawnSizes(false)
	if err != nil {
		return nil, err
	}
	b, err := h.bounds(drawn)
	if err != nil {
		return nil, err
	}
	if err := h.flowsKnown(); err != nil {
		return nil, err
	}
	perMetre := float64(h.water[Cold].Density) * units.StandardGravity
	out := &UniformLoss{}
	if r, ok := c.Rule("elevation-pressure"); ok {
		if x, ok := r.number(); ok && r.Unit == "psi/ft" {
			perMetre = x * float64(units.PoundForcePerSquareInch) / units.Foot.Metres()
			out.PerFoot = r.Citation
		}
	}
	sizes := append([]int(nil), b.least...)
	var a *Analysis
	for out.Rounds = 1; ; out.Rounds++ {
		if a, err = h.analyse(sizes); err != nil {
			return nil, err
		}
		if err := out.rate(a, perMetre); err != nil {
			return nil, err
		}
		next, err := h.byRate(b, drawn, float64(out.Per100))
		if err != nil {
			return nil, err
		}
		grown := false
		for i := range next {
			// Sizes only grow from round to round, so that it ends.
			grown = grown || next[i] > sizes[i]
			sizes[i] = max(sizes[i], next[i])
		}
		if !grown {
			break
		}
	}
	if err := h.returns(sizes, drawn, b.basis, b.cite); err != nil {
		return nil, err
	}
	if a, err = h.analyse(sizes); err != nil {
		return nil, err
	}
	out.Sizing = &Sizing{Analysis: a, Basis: append([]SizeBasis(nil), b.basis...), Citation: b.cite,
		Layout: l.withSizes(h, sizes)}
	a.Layout = out.Sizing.Layout
	for i := range sizes {
		if sizes[i] > b.least[i] && b.basis[i] != ByReturnFlow {
			out.Basis[i], out.Citation[i] = ByPressure, tables.Citation{}
		}
	}
	out.Short = a.short()
	return out, nil
}

// rate finds the fixture whose way leaves the least to lose in a length of pipe.
func (u *UniformLoss) rate(a *Analysis, perMetre float64) error {
	l := a.Layout
	first := true
	for fix := range a.Fixtures {
		f := &a.Fixtures[fix]
		if f.Most == 0 {
			continue
		}
		for _, port := range [...]int32{l.cold[fix], l.hot[fix]} {
			if port < 0 {
				continue
			}
			var length, height units.Length
			var devices units.Pressure
			source := l.data.Source.Pressure
			for i := port; i >= 0; i = l.parent[i] {
				r := &a.Runs[i]
				if r.Reduced > 0 {
					// The regulator, at the end of its run, is the source of what is behind it.
					d := l.data.Points[i].Device
					source = d.Set - d.FallOff
					break
				}
				length += r.Length + r.Equivalent
				height += l.data.Points[i].Rise
				devices += r.Device
			}
			if length == 0 {
				continue
			}
			rise := units.Pressure(perMetre * height.Metres())
			left := source - rise - devices - f.Most
			per100 := units.Pressure(float64(left) / length.Metres() * (100 * units.Foot).Metres())
			if first || per100 < u.Per100 {
				first = false
				u.Per100, u.Governing = per100, fix
				u.Source, u.Rise, u.Devices, u.Required, u.Left, u.Length = source, rise, devices, f.Most, left, length
			}
		}
	}
	if first {
		return fmt.Errorf("%w: no fixture that has pipe before it asks for a pressure", ErrNotStated)
	}
	if u.Per100 <= 0 {
		return fmt.Errorf("fixture %q: %w: height, devices and the outlet take all of the pressure",
			l.data.Fixtures[u.Governing].ID, units.ErrNoSolution)
	}
	return nil
}

// byRate sizes every run for a loss in 100 ft.
func (h *calculation) byRate(b *bounds, drawn []int, per100 float64) ([]int, error) {
	sizes := append([]int(nil), b.least...)
	perKm := per100 / (100 * units.Foot).Metres() * 1000
	for k := len(sizes) - 1; k >= 0; k-- {
		i := int(h.l.order[k])
		f := h.families[i]
		for drawn[i] < 0 && h.flows[i].flow > 0 && sizes[i]+1 < len(f.sizes) {
			r, err := h.resistance(f, sizes[i], h.l.service[i])
			if err != nil {
				return nil, err
			}
			loss, err := r.PressureLoss(h.flows[i].flow)
			if err != nil {
				return nil, err
			}
			if float64(loss) <= perKm {
				break
			}
			sizes[i]++
		}
		if p := h.l.parent[i]; p >= 0 && drawn[p] < 0 {
			g := h.families[p]
			for sizes[p]+1 < len(g.sizes) && h.opt.smaller(&g.sizes[sizes[p]], &f.sizes[sizes[i]]) &&
				h.l.service[i] != Recirculated {
				sizes[p]++
			}
		}
	}
	return sizes, nil
}
