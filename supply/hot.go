package supply

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// HotWait is what stands between a hot outlet and hot water.
type HotWait struct {
	Fixture int // index in the layout
	// From is the point that hot water is drawn from: the heater, or the last point
	// on the way that a recirculation keeps hot. Recirculated says which.
	From         string
	Recirculated bool
	Length       units.Length // developed, from there to the outlet
	Largest      units.Length // greatest nominal size on the way
	Volume       units.Volume // run off cold at a draw, and heated for nothing after it
	Flow         units.Flow   // of the outlet; zero: not known
	Wait         units.Duration
	// Grade is acceptable, marginal or poor by the row cited; empty without a flow.
	Grade    string
	Citation tables.Citation
	Basis    Outlet // the row that gave the flow
}

type waitRow struct {
	Grade string         `table:"grade"`
	Time  units.Duration `table:"time"`
}

// HotWater returns the wait at every fixture with a hot port, in the order of the
// layout. The water in the pipe is taken to have gone cold.
func (a *Analysis) HotWater() ([]HotWait, error) {
	l := a.Layout
	grades, err := tables.Load[waitRow](a.Code.pipes.shelf, "hot-water/supply-wait")
	if err != nil {
		return nil, err
	}
	stands := a.standing()
	var list []HotWait
	for fix := range l.data.Fixtures {
		if l.hot[fix] < 0 {
			continue
		}
		w := stands[l.hot[fix]]
		w.Fixture = fix
		f := &l.data.Fixtures[fix]
		own := f.Fixture
		own.Count = 1
		if f.Flow > 0 {
			w.Flow = f.Flow
		} else if w.Basis, err = a.Code.outletFlow(&own); err == nil {
			w.Flow = w.Basis.Flow
		}
		if w.Flow > 0 {
			w.Wait = units.Duration(float64(w.Volume) / float64(w.Flow))
			w.Grade = "poor"
			for k := grades.Len() - 1; k >= 0; k-- {
				if roundTo(float64(w.Wait)) <= roundTo(float64(grades.At(k).Time)) {
					w.Grade = grades.At(k).Grade
				}
			}
			w.Citation = grades.Cite(grades.Len() - 1)
			for k := range grades.Len() {
				if grades.At(k).Grade == w.Grade {
					w.Citation = grades.Cite(k)
				}
			}
		}
		list = append(list, w)
	}
	return list, nil
}

// standing returns, for each hot point, what stands between it and hot water.
func (a *Analysis) standing() []HotWait {
	l := a.Layout
	kept := a.keptHot()
	out := make([]HotWait, l.Len())
	for _, i := range l.order {
		if l.service[i] != Hot {
			continue
		}
		id := l.data.Points[i].ID
		if kept[i] {
			out[i] = HotWait{From: id, Recirculated: true}
			continue
		}
		up := l.parent[i]
		w := HotWait{From: l.data.Points[up].ID}
		if l.service[up] == Hot && !l.data.Points[up].Device.heater() {
			w = out[up]
		}
		r := &a.Runs[i]
		d := r.Bore.Metres()
		w.Volume += units.Volume(math.Pi / 4 * d * d * r.Length.Metres())
		w.Length += r.Length
		w.Largest = max(w.Largest, r.Size)
		out[i] = w
	}
	return out
}

// keptHot marks the points of hot lines that a recirculation keeps hot.
func (a *Analysis) keptHot() []bool {
	l := a.Layout
	kept := make([]bool, l.Len())
	for i := range l.data.Recirculation {
		for _, p := range l.loopWay(i) {
			if l.service[p] == Hot {
				kept[p] = true
			}
		}
	}
	return kept
}

// loopWay lists the runs of a recirculation, from its return back up to the heater.
func (l *Layout) loopWay(loop int) []int32 {
	r := &l.data.Recirculation[loop]
	heater := l.index[r.Heater]
	var way []int32
	for i := l.index[r.Return]; i >= 0 && i != heater; i = l.parent[i] {
		way = append(way, i)
	}
	return way
}

// RunHeat is the heat that a hot or recirculated run loses while its water is hot.
type RunHeat struct {
	Point     string
	Heat      units.Power
	PerLength units.HeatFlowPerLength
	Insulated bool
}

// HeatLosses returns the heat that each hot and recirculated run loses to air about
// it at the ambient temperature of the layout, through an outer film of common
// practice. A run buried in wet ground may lose more; see [heat.Pipe] for that.
func (a *Analysis) HeatLosses() ([]RunHeat, error) {
	l := a.Layout
	var list []RunHeat
	film, err := a.film()
	if err != nil {
		return nil, err
	}
	for i := range l.Len() {
		if l.service[i] == Cold {
			continue
		}
		h, err := a.runHeat(i, film)
		if err != nil {
			return nil, fmt.Errorf("point %q: %w", l.data.Points[i].ID, err)
		}
		list = append(list, h)
	}
	return list, nil
}

func (a *Analysis) film() (units.HeatTransferCoefficient, error) {
	return a.Layout.film(a.Code)
}

func (l *Layout) film(c *Code) (units.HeatTransferCoefficient, error) {
	if l.data.Water.Ambient == 0 {
		return 0, fmt.Errorf("water: ambient: %w: no temperature of the air about the hot lines", ErrNotStated)
	}
	rules, err := newRules(c.pipes.shelf, "hot-water/supply-rules")
	if err != nil {
		return 0, err
	}
	var film units.HeatTransferCoefficient
	if r, ok := rules.rule("film-air"); !ok || !r.into(&film) {
		return 0, fmt.Errorf("%w: rule film-air of hot-water/supply-rules", ErrNotInCode)
	}
	return film, nil
}

func (a *Analysis) runHeat(i int, film units.HeatTransferCoefficient) (RunHeat, error) {
	return a.Layout.runHeat(i, a.Runs[i].Pipe, a.Runs[i].bore, film)
}

// runHeat is the heat that a run loses if it is pipe of a family and size.
func (l *Layout) runHeat(i int, family *PipeFamily, size *PipeSize, film units.HeatTransferCoefficient) (RunHeat,
	error) {
	p := &l.data.Points[i]
	w := l.data.Water
	h := heat.Pipe{
		Bore: size.Bore, Wall: (size.Outside - size.Bore) / 2, Conductivity: family.conducts,
		Length: p.Length, Surroundings: heat.InAir, Film: film,
	}
	if p.Insulation != nil {
		h.Insulation, h.InsulationConductivity = p.Insulation.Thickness, p.Insulation.Conductivity
	}
	out := RunHeat{Point: p.ID, Insulated: p.Insulation != nil}
	var err error
	if out.PerLength, err = h.PerLength(w.Hot, w.Ambient); err != nil {
		return out, err
	}
	out.Heat = units.Power(float64(out.PerLength) * p.Length.Metres())
	return out, nil
}
