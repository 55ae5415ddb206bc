package supply

import (
	"context"
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// HotWait is what stands between a hot outlet and hot water.
type HotWait struct {
	Fixture string `json:"fixture"`
	// From is the point that hot water is drawn from: the heater, or the last point
	// on the way that a recirculation or a cable along the pipe keeps hot. Recirculated says which.
	From         string         `json:"from"`
	Recirculated bool           `json:"recirculated,omitzero"`
	Length       units.Length   `json:"length"`  // developed, from there to the outlet
	Largest      units.Length   `json:"largest"` // greatest nominal size on the way
	Volume       units.Volume   `json:"volume"`  // run off cold at a draw, and heated for nothing after it
	Flow         units.Flow     `json:"flow"`    // of the outlet; zero: not known
	Wait         units.Duration `json:"wait"`    // for the water in the pipe to run off
	// WaitMost is how long it may take, for the first hot water warms the pipe and mixes with
	// the cold.
	WaitMost units.Duration `json:"wait_most"`
	// Grade is acceptable, marginal or poor by the row cited; empty without a flow.
	Grade    string          `json:"grade,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
	Basis    Outlet          `json:"basis"` // the row that gave the flow

	at int // index of the fixture in the layout
}

type waitRow struct {
	Grade string         `table:"grade"`
	Time  units.Duration `table:"time"`
}

// HotWater returns the wait at every fixture with a hot port, in the order of the
// layout. The water in the pipe is taken to have gone cold.
func (a *Analysis) HotWater() ([]HotWait, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	l := a.layout
	grades, err := tables.Load[waitRow](a.code.pipes.shelf, "hot-water/supply-wait")
	if err != nil {
		return nil, err
	}
	most, err := a.waitMost()
	if err != nil {
		return nil, err
	}
	lines := a.coldLines()
	var list []HotWait
	for fix := range l.data.Fixtures {
		if l.hot[fix] < 0 {
			continue
		}
		line := &lines[l.hot[fix]]
		w := HotWait{Fixture: l.data.Fixtures[fix].ID, From: l.data.Points[line.from].ID, Recirculated: line.kept,
			Length: line.length, Largest: line.largest, Volume: line.volume, at: fix}
		f := &l.data.Fixtures[fix]
		if w.Flow, w.Basis = a.drawnBy(f); w.Flow > 0 {
			w.Wait = units.Duration(float64(w.Volume) / float64(w.Flow))
			w.WaitMost = units.Duration(float64(w.Wait) * most)
			w.Grade, w.Citation = "poor", grades.Cite(grades.Len()-1)
			for k, g := range grades.All() {
				if roundTo(float64(w.Wait)) <= roundTo(float64(g.Time)) {
					w.Grade, w.Citation = g.Grade, grades.Cite(k)
					break
				}
			}
		}
		list = append(list, w)
	}
	return list, nil
}

// drawnBy is what a fixture draws: as the layout states it, or by a row; zero where it is not known.
func (a *Analysis) drawnBy(f *LayoutFixture) (units.Flow, Outlet) {
	if f.Flow > 0 {
		return f.Flow, Outlet{}
	}
	own := f.one()
	o, _ := a.code.outletFlow(&own) // none with an error
	return o.Flow, o
}

// waitMost is how many times as long as the water in the pipe takes a wait may be.
func (a *Analysis) waitMost() (float64, error) {
	rules, err := a.code.pipes.shelf.Rules("hot-water/supply-rules")
	if err != nil {
		return 0, err
	}
	r, _ := rules.Rule("wait-most")
	if most, ok := r.Number(); ok && most >= 1 {
		return most, nil
	}
	return 1, nil // an office has dropped it
}

// heaterMains marks the cold runs between the source and the first branch to a water heater
// that serves more than one fixture.
func (l *Layout) heaterMains() []bool {
	served := map[int32]int{}
	for fix, port := range l.hot {
		if port >= 0 {
			served[l.heaterOf[port]] += l.data.Fixtures[fix].Count
		}
	}
	branch := map[int32]bool{}
	for heater, fixtures := range served {
		if fixtures < 2 || l.service[heater] != Cold {
			continue
		}
		from := l.parent[heater]
		for from >= 0 && l.kids[from] == 1 && len(l.FixturesAt(int(from))) == 0 && l.data.Points[from].Continuous == 0 {
			from = l.parent[from]
		}
		branch[from] = true
	}
	main := make([]bool, l.Len())
	for from := range branch {
		for _, i := range l.wayTo(int(from)) {
			main[i] = true
			if branch[int32(i)] {
				break
			}
		}
	}
	return main
}

// coldLine is the pipe between a point and hot water.
type coldLine struct {
	from    int32 // the point where hot water is
	kept    bool  // a recirculation or a cable keeps it so
	length  units.Length
	largest units.Length // greatest nominal size
	volume  units.Volume
}

// coldLines returns what stands between each hot point and hot water.
func (a *Analysis) coldLines() []coldLine {
	l := a.layout
	kept := a.keptHot()
	out := make([]coldLine, l.Len())
	for _, i := range l.order {
		if l.service[i] != Hot {
			continue
		}
		if kept[i] {
			out[i] = coldLine{from: i, kept: true}
			continue
		}
		up := l.parent[i]
		w := coldLine{from: up}
		if l.service[up] == Hot && !l.data.Points[up].Device.heater() {
			w = out[up]
		}
		r := &a.runs[i]
		w.volume += r.volume()
		w.length += r.Length
		w.largest = max(w.largest, r.Size)
		out[i] = w
	}
	return out
}

// volume is the water in the run.
func (r *run) volume() units.Volume {
	d := r.Bore.Metres()
	return units.Volume(math.Pi / 4 * d * d * r.Length.Metres())
}

// keptHot marks the points of hot lines that a recirculation or a cable keeps hot.
func (a *Analysis) keptHot() []bool {
	l := a.layout
	kept := make([]bool, l.Len())
	for i := range kept {
		kept[i] = l.data.Points[i].Traced
	}
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
	if r.Into != "" {
		into := l.index[r.Into]
		for _, i := range l.loopWay(int(l.into[loop])) {
			if i == into {
				break
			}
			way = append(way, i)
		}
	}
	for i := l.index[r.Return]; i >= 0 && i != heater; i = l.parent[i] {
		way = append(way, i)
	}
	return way
}

// returnOf returns the loop on whose return another runs into it, -1 if there is none.
func (l *Layout) returnOf(loop int) int32 {
	r := &l.data.Recirculation[loop]
	into, ok := l.index[r.Into]
	if !ok || l.service[into] != Recirculated {
		return -1
	}
	for k := range l.data.Recirculation {
		x := &l.data.Recirculation[k]
		if end, ok := l.index[x.Return]; k != loop && x.Heater == r.Heater && ok && end != into && l.isAbove(into, end) {
			return int32(k)
		}
	}
	return -1
}

// RunHeat is the heat that a hot or recirculated run loses while its water is hot.
type RunHeat struct {
	Point     string                  `json:"point"`
	Heat      units.Power             `json:"heat"`
	PerLength units.HeatFlowPerLength `json:"per_length"`
	Insulated bool                    `json:"insulated,omitzero"`
}

// HeatLosses returns the heat that each hot and recirculated run loses to air about
// it at the ambient temperature of the layout, through an outer film of common
// practice. A run buried in wet ground may lose more; see [heat.Pipe] for that.
func (a *Analysis) HeatLosses() ([]RunHeat, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	l := a.layout
	var list []RunHeat
	film, err := l.film(a.code)
	if err != nil {
		return nil, err
	}
	for i := range l.Len() {
		if l.service[i] == Cold {
			continue
		}
		h, err := l.runHeat(i, a.runs[i].family, a.runs[i].bore, film)
		if err != nil {
			return nil, fmt.Errorf("point %q: %w", l.data.Points[i].ID, err)
		}
		list = append(list, h)
	}
	return list, nil
}

func (l *Layout) film(c *Code) (units.HeatTransferCoefficient, error) {
	if l.data.Water.Ambient == 0 {
		return 0, fmt.Errorf("water: ambient: %w: no temperature of the air about the hot lines", tables.ErrNotStated)
	}
	rules, err := c.pipes.shelf.Rules("hot-water/supply-rules")
	if err != nil {
		return 0, err
	}
	film, _, err := tables.RuleValue[units.HeatTransferCoefficient](rules, "film-air")
	if err != nil {
		return 0, fmt.Errorf("%w: rule film-air of hot-water/supply-rules", tables.ErrNotOnShelf)
	}
	return film, nil
}

// runHeat is the heat that a run loses if it is pipe of a family and size.
func (l *Layout) runHeat(i int, family *PipeFamily, size *PipeSize, film units.HeatTransferCoefficient) (RunHeat,
	error) {
	p := &l.data.Points[i]
	w := l.data.Water
	h := heat.Pipe{
		Bore: size.Bore, Wall: size.wall(), Conductivity: family.conducts,
		Length: p.Length, Surroundings: heat.InAir, Film: film,
	}
	if p.Insulation != nil {
		h.Insulation, h.InsulationConductivity = p.Insulation.Thickness, p.Insulation.Conductivity
	}
	out := RunHeat{Point: p.ID, Insulated: p.Insulation != nil}
	var err error
	if out.PerLength, err = h.PerLength(l.waterIn(int32(i)), w.Ambient); err != nil {
		return out, err
	}
	out.Heat = units.Power(float64(out.PerLength) * p.Length.Metres())
	return out, nil
}

// A BurnTime is what one published list says of the time in which water burns
// skin at a temperature. Lists differ by a factor of two and more.
type BurnTime struct {
	List   string `json:"list"` // the document that gives it
	Injury string `json:"injury,omitzero"`
	Person string `json:"person,omitzero"`
	// At is the row at the temperature or the next below it: the burn comes within
	// Within.
	At     units.Temperature `json:"at"`
	Within units.Duration    `json:"within"`
	// After is the time of the next hotter row, before which the list knows no
	// burn; it is Within where the temperature is on a row, and 0 where the list ends.
	After    units.Duration  `json:"after"`
	Citation tables.Citation `json:"citation,omitzero"`
}

type burnRow struct {
	List        string            `table:"list"`
	Injury      string            `table:"injury"`
	Person      string            `table:"person"`
	Temperature units.Temperature `table:"temperature"`
	Time        units.Duration    `table:"time"`
}

// BurnTimes returns what every list on the shelf says of water at temperature t,
// without interpolation. A list that begins at a higher temperature is left out: no
// answer does not mean no harm. Children and the old burn sooner than adults, whom
// most lists are for.
//
// The times say why codes limit the temperature at outlets. They are no limits of
// safety and choose no mixing valve.
func BurnTimes(shelf *tables.Shelf, t units.Temperature) ([]BurnTime, error) {
	if err := argument.CheckWater(float64(t)); err != nil {
		return nil, err
	}
	rows, err := tables.Load[burnRow](shelf, "hot-water/burn-times")
	if err != nil {
		return nil, fmt.Errorf("burn times: %w", err)
	}
	// A temperature that came through another unit meets the row it was meant for.
	const same = 1e-6
	var out []BurnTime
	for i, r := range rows.All() {
		last := len(out) - 1
		sameList := last >= 0 && out[last].List == r.List && out[last].Injury == r.Injury &&
			out[last].Person == r.Person
		switch {
		case r.Temperature <= t+same:
			b := BurnTime{List: r.List, Injury: r.Injury, Person: r.Person, At: r.Temperature, Within: r.Time,
				Citation: rows.Cite(i)}
			if r.Temperature >= t-same {
				b.After = r.Time
			}
			if sameList {
				out[last] = b
			} else {
				out = append(out, b)
			}
		case sameList && out[last].After == 0:
			out[last].After = r.Time
		}
	}
	return out, nil
}

// Circulation is a recirculated hot line worked out.
type Circulation struct {
	ID     string       `json:"id"`
	Heater string       `json:"heater,omitzero"`
	Length units.Length `json:"length"` // supply and return
	Heat   units.Power  `json:"heat"`   // lost round the loop; of shared runs a share by the number of loops
	Flow   units.Flow   `json:"flow"`   // kept up
	// Share is the part that Flow is of what the pump of the heater keeps up in all of
	// its loops.
	Share  float64 `json:"share"`
	Stated bool    `json:"stated,omitzero"` // the layout states the flow
	// Lost round the loop, at the sum of the flows of all loops.
	Head    units.Head                  `json:"head"`
	Fastest units.Velocity              `json:"fastest"`
	At      string                      `json:"at,omitzero"` // the point whose run is fastest
	Cools   units.TemperatureDifference `json:"cools"`
	Returns units.Temperature           `json:"returns"` // at the end of the return
	// Throttle is what a balancing valve on the return must take at Flow, so that this
	// loop loses as much as the one of the heater that loses most. Without it the
	// shorter loops take the flow of the longer ones.
	Throttle units.Head `json:"throttle"`
	// Unbalanced is the flow that the loop takes without valves, while the pump adds the
	// greatest Head of the loops of its heater.
	Unbalanced units.Flow `json:"unbalanced"`
	LossRuns   []string   `json:"loss_runs"` // runs, from the heater to the end of the return
}

// loopHeat is the heat and the flow of a loop, before its head is known.
type loopHeat struct {
	way    []int32
	heat   units.Power
	flow   units.Flow
	stated bool
}

// loopHeats works out the heat that each loop loses and the flow that keeps it within
// its drop, for the pipe that its runs are of; and the flow of each run by all loops.
// The heat of a loop whose flow is stated is found too, if the ambient is known.
func (h *calculation) loopHeats(pipe func(i int32) (*PipeFamily, *PipeSize)) ([]loopHeat, map[int32]units.Flow, error) {
	l := h.l
	film, filmErr := l.film(h.c)
	out := make([]loopHeat, len(l.data.Recirculation))
	shared := map[int32]int{}
	for k := range out {
		out[k].way = l.loopWay(k)
		for _, i := range out[k].way {
			shared[i]++
		}
	}
	flow := map[int32]units.Flow{}
	for k := range out {
		r, o := &l.data.Recirculation[k], &out[k]
		o.flow, o.stated = r.Flow, r.Flow > 0
		if filmErr != nil {
			if !o.stated {
				return nil, nil, fmt.Errorf(
					"recirculation %q: its flow follows from the heat it loses: %w; state the temperature, or the flow",
					r.ID, filmErr)
			}
		} else {
			for _, i := range o.way {
				family, size := pipe(i)
				heat, err := l.runHeat(int(i), family, size, film)
				if err != nil {
					return nil, nil, fmt.Errorf("recirculation %q: point %q: %w", r.ID, l.data.Points[i].ID, err)
				}
				o.heat += max(0, heat.Heat/units.Power(shared[i])) // warmer air helps
			}
		}
		if !o.stated {
			var err error
			if o.flow, err = heat.RecirculationFlow(o.heat, r.Drop, h.water[Hot]); err != nil {
				return nil, nil, fmt.Errorf("recirculation %q: %w", r.ID, err)
			}
		}
		for _, i := range o.way {
			flow[i] += o.flow
		}
	}
	return out, flow, nil
}

// Circulations works out the recirculated lines: the heat they lose, the flow that
// keeps them within their drop, the head of the pump, and what balances loops of one
// heater. Heat is lost as [Analysis.HeatLosses] says; a draw at an outlet only helps.
// The pump must add the greatest Head of the loops of its heater.
func (a *Analysis) Circulations() ([]Circulation, error) {
	return a.CirculationsContext(context.Background())
}

// CirculationsContext is [Analysis.Circulations] that stops once the context is done, with its error and how far it
// was.
func (a *Analysis) CirculationsContext(ctx context.Context) ([]Circulation, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	l := a.layout
	if len(l.data.Recirculation) == 0 {
		return nil, nil
	}
	if _, err := l.film(a.code); err != nil {
		return nil, err
	}
	heats, flow, err := a.worked.loopHeats(a.pipeOf)
	if err != nil {
		return nil, err
	}
	water := a.worked.water[Hot]
	out := make([]Circulation, len(heats))
	most := map[string]units.Head{}
	sum := map[string]units.Flow{}
	w := patience.NewWork(ctx, "circulations")
	for k := range out {
		if !w.Goes(k, len(out), "loops") {
			return nil, w.Err()
		}
		r, h, c := &l.data.Recirculation[k], &heats[k], &out[k]
		c.ID, c.Heater, c.Heat, c.Flow, c.Stated = r.ID, r.Heater, h.heat, h.flow, h.stated
		for _, i := range h.way {
			c.Length += l.data.Points[i].Length
		}
		perKelvin := float64(water.Density) * float64(c.Flow) * float64(water.SpecificHeat)
		c.Cools = units.TemperatureDifference(float64(c.Heat) / perKelvin)
		hot := l.waterIn(l.index[r.Return])
		if c.Flow == 0 {
			c.Cools = 0 // nothing is lost where the air is as warm as the water
		}
		c.Returns = hot - units.Temperature(c.Cools)
		if air := l.data.Water.Ambient; c.Cools > 0 && c.Returns < air { // no water cools below the air about it
			c.Returns, c.Cools = air, units.TemperatureDifference(hot-air)
		}
		if err := a.pump(water, h.way, c, flow); err != nil {
			return nil, fmt.Errorf("recirculation %q: %w", c.ID, err)
		}
		most[c.Heater] = max(most[c.Heater], c.Head)
		sum[c.Heater] += c.Flow
	}
	for k := range out {
		c := &out[k]
		c.Throttle = most[c.Heater] - c.Head
		if c.Flow > 0 {
			c.Share = float64(c.Flow / sum[c.Heater])
		}
	}
	for heater, head := range most {
		if err := a.unbalanced(ctx, heater, head, water, heats, out); err != nil {
			return nil, fmt.Errorf("heater %q: loops without valves: %w", heater, err)
		}
	}
	return out, nil
}

// unbalanced solves the loops of a heater as a network between its two sides.
func (a *Analysis) unbalanced(ctx context.Context, heater string, head units.Head, water hydraulics.Water,
	heats []loopHeat, out []Circulation) error {
	l := a.layout
	const back = "\x00return"
	net := hydraulics.Network{Nodes: []hydraulics.NetworkNode{{ID: heater, Fixed: true, Head: head},
		{ID: back, Fixed: true}}}
	last := map[int32]int{} // loops by the first run of their return
	at := map[int32]int{}   // pipes by run
	loops := 0
	for k := range out {
		if out[k].Heater != heater {
			continue
		}
		loops++
		way := heats[k].way
		own := l.index[l.data.Recirculation[k].Return]
		for n := len(way) - 1; n >= 0; n-- {
			i := way[n]
			if l.service[i] == Recirculated && l.service[l.parent[i]] == Hot && l.isAbove(i, own) {
				last[i] = k // its return begins here, and carries it alone
			}
			if _, known := at[i]; known {
				continue
			}
			at[i] = len(net.Pipes)
			pipe := hydraulics.NetworkPipe{ID: l.data.Points[i].ID, From: l.data.Points[l.parent[i]].ID,
				To: l.data.Points[i].ID, Friction: a.loopFriction(i, water)}
			switch into := l.data.Recirculation[k].Into; {
			case n == 0:
				pipe.To = back
			case i == own && into != "":
				pipe.To = into
			default:
				net.Nodes = append(net.Nodes, hydraulics.NetworkNode{ID: pipe.To})
			}
			net.Pipes = append(net.Pipes, pipe)
		}
	}
	if loops == 1 || head == 0 {
		for _, k := range last {
			out[k].Unbalanced = out[k].Flow
		}
		return nil
	}
	solved, err := net.SolveContext(ctx)
	if err != nil {
		return err
	}
	for i, k := range last {
		out[k].Unbalanced = solved.Flows[at[i]]
	}
	return nil
}

// loopFriction is the friction of a run of a loop.
func (a *Analysis) loopFriction(i int32, water hydraulics.Water) hydraulics.Friction {
	r := &a.runs[i]
	return a.opt.friction(r.family, r.Bore, r.Length+r.Equivalent, fittingK(a.layout.data.Points[i].Fittings), water)
}

// pump adds up what the pump of a loop must overcome.
func (a *Analysis) pump(water hydraulics.Water, way []int32, c *Circulation, flow map[int32]units.Flow) error {
	l := a.layout
	for k := len(way) - 1; k >= 0; k-- {
		i := way[k]
		r := &a.runs[i]
		c.LossRuns = append(c.LossRuns, l.data.Points[i].ID)
		res, err := a.loopFriction(i, water).Resistance()
		if err != nil {
			return err
		}
		head, err := res.HeadLoss(flow[i])
		if err != nil {
			return err
		}
		c.Head += head
		v, err := hydraulics.Velocity(flow[i], r.Bore)
		if err != nil {
			return err
		}
		if v > c.Fastest {
			c.Fastest, c.At = v, l.data.Points[i].ID
		}
	}
	return nil
}

// returnVelocity is the greatest velocity of water that flows without end: the code's
// row, or where it has none the row of practice.
func (c *Code) returnVelocity(material string, hot units.Temperature) (VelocityLimit, error) {
	limit, err := c.VelocityLimit(material, Recirculated, hot)
	if err == nil {
		return limit, nil
	}
	rows, err := tables.Load[velocityRow](c.pipes.shelf, "materials/supply-velocity")
	if err != nil {
		return VelocityLimit{}, err
	}
	practice := Code{id: c.id, velocity: rows}
	return practice.VelocityLimit(material, Recirculated, hot)
}

// returns sizes the recirculation returns that have none drawn: the smallest that
// keeps to the velocity limit at the flow of the loops through it. That flow makes up
// the heat which the whole loop loses, and a greater pipe loses more, so that sizes
// grow until none has to. Sizes of the other runs stay as they are.
func (h *calculation) returns(sizes, drawn []int, basis []SizeBasis, cite []tables.Citation) error {
	l := h.l
	open := false
	for k := range l.data.Recirculation {
		for _, i := range l.loopWay(k) {
			open = open || drawn[i] < 0 && l.service[i] == Recirculated
		}
	}
	if !open {
		return nil
	}
	for grown := true; grown; {
		grown = false
		_, flow, err := h.loopHeats(
			func(i int32) (*PipeFamily, *PipeSize) { return h.families[i], &h.families[i].sizes[sizes[i]] })
		if errors.Is(err, tables.ErrNotStated) {
			return nil // the check asks for what is not stated; the smallest stays
		}
		if err != nil {
			return err
		}
		for _, i := range l.order {
			if drawn[i] >= 0 || l.service[i] != Recirculated || flow[i] == 0 {
				continue
			}
			f := h.families[i]
			limit, err := h.c.returnVelocity(f.material, l.waterIn(i))
			if err != nil {
				continue // no limit anywhere: the smallest stays
			}
			basis[i], cite[i] = ByReturnFlow, limit.Citation
			size, err := f.keeping(flow[i], limit.Velocity, sizes[i])
			if err != nil {
				return fmt.Errorf("point %q: %w", l.data.Points[i].ID, err)
			}
			if size == len(f.sizes) {
				size, basis[i] = size-1, ByGreatest // the check of the recirculation says that it is too fast
			}
			grown = grown || size > sizes[i]
			sizes[i] = size
		}
	}
	return nil
}
