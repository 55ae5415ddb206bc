package supply

import (
	"fmt"
	"math"

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
// practice. A run buried in wet ground may lose more; see [HeatLoss] for that.
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
	if a.Layout.data.Water.Ambient == 0 {
		return 0, fmt.Errorf("water: ambient: %w: no temperature of the air about the hot lines", ErrNotStated)
	}
	rules, err := newRules(a.Code.pipes.shelf, "hot-water/supply-rules")
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
	r := &a.Runs[i]
	p := &a.Layout.data.Points[i]
	w := a.Layout.data.Water
	h := HeatLoss{
		Bore: r.Bore, Wall: (r.bore.Outside - r.Bore) / 2, Conductivity: r.Pipe.conducts,
		Length: p.Length, Surroundings: InAir, Film: film,
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

// Circulation is a recirculated hot line worked out.
type Circulation struct {
	ID       string
	Length   units.Length // supply and return
	Heat     units.Power  // lost round the loop; of shared runs a share by the number of loops
	Flow     units.Flow   // kept up
	Stated   bool         // the layout states the flow
	Head     units.Head   // that the pump must add, at the sum of the flows of all loops
	Fastest  units.Velocity
	At       string // the point whose run is fastest
	Cools    units.TemperatureDifference
	Returns  units.Temperature // at the end of the return
	LossRuns []string          // runs, from the heater to the end of the return
}

// Circulations works out the recirculated lines: the heat they lose, the flow that
// keeps them within their drop, and the head of the pump. Heat is lost as
// [Analysis.HeatLosses] says; a draw at an outlet only helps.
func (a *Analysis) Circulations() ([]Circulation, error) {
	l := a.Layout
	if len(l.data.Recirculation) == 0 {
		return nil, nil
	}
	film, err := a.film()
	if err != nil {
		return nil, err
	}
	h := &hydraulics{l: l, c: a.Code, opt: a.Options, perKm: map[perKmKey]*Resistance{}}
	if h.water[Hot], err = WaterAt(l.data.Water.Hot); err != nil {
		return nil, err
	}
	h.water[Recirculated] = h.water[Hot]
	shared := make(map[int32]int)
	flow := make(map[int32]units.Flow)
	for k := range l.data.Recirculation {
		for _, i := range l.loopWay(k) {
			shared[i]++
		}
	}
	out := make([]Circulation, len(l.data.Recirculation))
	for k := range out {
		r := &l.data.Recirculation[k]
		c := &out[k]
		c.ID = r.ID
		for _, i := range l.loopWay(k) {
			heat, err := a.runHeat(int(i), film)
			if err != nil {
				return nil, fmt.Errorf("recirculation %q: point %q: %w", r.ID, l.data.Points[i].ID, err)
			}
			c.Heat += heat.Heat / units.Power(shared[i])
			c.Length += l.data.Points[i].Length
		}
		c.Flow, c.Stated = r.Flow, r.Flow > 0
		if !c.Stated {
			if c.Flow, err = RecirculationFlow(c.Heat, r.Drop, h.water[Hot]); err != nil {
				return nil, fmt.Errorf("recirculation %q: %w", r.ID, err)
			}
		}
		perKelvin := float64(h.water[Hot].Density) * float64(c.Flow) * float64(h.water[Hot].SpecificHeat)
		c.Cools = units.TemperatureDifference(float64(c.Heat) / perKelvin)
		c.Returns = l.data.Water.Hot - units.Temperature(c.Cools)
		for _, i := range l.loopWay(k) {
			flow[i] += c.Flow
		}
	}
	for k := range out {
		if err := a.pump(h, k, &out[k], flow); err != nil {
			return nil, fmt.Errorf("recirculation %q: %w", out[k].ID, err)
		}
	}
	return out, nil
}

// pump adds up what the pump of a loop must overcome.
func (a *Analysis) pump(h *hydraulics, loop int, c *Circulation, flow map[int32]units.Flow) error {
	l := a.Layout
	way := l.loopWay(loop)
	for k := len(way) - 1; k >= 0; k-- {
		i := way[k]
		r := &a.Runs[i]
		c.LossRuns = append(c.LossRuns, l.data.Points[i].ID)
		res, err := Friction{Method: a.Options.method(), Bore: r.Bore, Length: r.Length + r.Equivalent, C: r.Pipe.c, Roughness: r.Pipe.roughness, Water: h.water[Hot]}.Resistance()
		if err != nil {
			return err
		}
		head, err := res.HeadLoss(flow[i])
		if err != nil {
			return err
		}
		c.Head += head
		v, err := Velocity(flow[i], r.Bore)
		if err != nil {
			return err
		}
		if v > c.Fastest {
			c.Fastest, c.At = v, l.data.Points[i].ID
		}
	}
	return nil
}
