package lesson

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func solveMinorLoss(p *problem) {
	k := p.number("k", zeroOrMore)
	var v units.Velocity
	var q units.Flow
	var bore units.Length
	given := p.oneOf("velocity", "flow")
	if given == "velocity" {
		v = p.velocity("velocity")
	} else if given == "flow" {
		q, bore = p.flow("flow"), p.length("bore", positive)
	}
	if !p.ready() {
		return
	}
	if given == "flow" {
		var err error
		if v, err = hydraulics.Velocity(q, bore); p.fail(err) {
			return
		}
		p.velocityWorking(q, bore, v)
	}
	h, err := hydraulics.MinorHeadLoss(k, v)
	if p.fail(err) {
		return
	}
	p.add("head_loss", p.headValue(h))
	p.equation("head loss", p.headValue(h), "k V^2 / (2 g)", "%s x (%s)^2 / (2 x %s)", short(k), p.velocityValue(v),
		p.gravity())
	p.source("Weisbach (1845)")
}

func solveEquivalentLength(p *problem) {
	k, f := p.number("k", zeroOrMore), p.number("friction_factor", anyPositive)
	bore := p.length("bore", positive)
	l, err := hydraulics.EquivalentLength(k, f, bore)
	if p.unanswered(err) {
		return
	}
	p.add("length", p.long(l))
	p.convert(p.small(bore))
	p.equation("length", p.long(l), "k D / f", "%s x %s / %s", short(k), p.coherent(p.small(bore)), short(f))
	p.source("Weisbach (1845); f is the Darcy friction factor")
}

// solveParallel splits a flow between pipes from one point to another, or finds what
// each takes at a loss.
func solveParallel(p *problem) {
	given := p.oneOf("head_loss", "flow")
	var h units.Head
	var q units.Flow
	if given == "head_loss" {
		h = read[units.Head](p, p.fields, given, positive)
	} else if given == "flow" {
		q = p.flow(given)
	}
	method := p.word("method", methods...)
	water := p.waterOrViscosity()
	pipes := p.parallelPipes(method, water)
	if !p.ready() {
		return
	}
	flows := make([]units.Flow, len(pipes))
	for i, f := range pipes {
		r, err := f.Resistance()
		if err == nil && given == "head_loss" {
			flows[i], err = r.FlowForHeadLoss(h)
		}
		p.failIn(fmt.Sprintf("pipes[%d]", i), err)
	}
	if p.doc.Faults.Len() > 0 {
		return
	}
	if given == "flow" {
		var err error
		if h, flows, err = splitFlow(q, pipes); p.failAt("flow", err) {
			return
		}
	}
	list := value{form: listForm}
	for i, f := range flows {
		list.items = append(list.items, p.flowValue(f))
		q += f
		if p.working {
			p.step("pipe %d at the common head loss of %v:", i+1, p.headValue(h))
			p.lossWorking(pipes[i], f)
		}
	}
	p.add("flows", list)
	p.add("head_loss", p.headValue(h))
	p.step("the head loss is the same in all pipes between two points, and the flows add up")
	p.results()
	p.frictionSource(pipes[0].Method)
}

// splitFlow finds the flows of pipes between two points that add up to q.
func splitFlow(q units.Flow, pipes []hydraulics.Friction) (units.Head, []units.Flow, error) {
	n := hydraulics.Network{Nodes: []hydraulics.NetworkNode{{ID: "from", Fixed: true}, {ID: "to", Demand: q}}}
	for i, f := range pipes {
		n.Pipes = append(n.Pipes, hydraulics.NetworkPipe{ID: fmt.Sprint(i), From: "from", To: "to", Friction: f})
	}
	s, err := n.Solve()
	if err != nil {
		return 0, nil, err
	}
	return -s.Heads[1], s.Flows, nil
}

func (p *problem) parallelPipes(method string, water hydraulics.Water) (pipes []hydraulics.Friction) {
	for f := range p.each("pipes", "pipe") {
		pipes = append(pipes, p.pipeFriction(f, method, water))
	}
	return pipes
}

// deviceCode is a code through which the tables of devices, which belong to none, are
// read.
const deviceCode = "ipc-2021"

func solveDeviceLoss(p *problem) {
	p.fields.Need("device")
	d := supply.Device{Kind: p.fields.Text("device")}
	if p.has("size") {
		d.Size = p.length("size", positive)
	}
	q := p.flow("flow")
	var code *supply.Code
	if p.has("code") || d.Kind == "tap" {
		code = p.supplyCode()
	} else {
		code = p.supplyCodeOf(deviceCode)
	}
	if d.Kind == "other" || d.Kind == "regulator" {
		p.fields.Faultf("device", "the shelf has no loss of a device of kind %q", d.Kind)
	}
	if !p.ready() {
		return
	}
	cost, err := code.DeviceLoss(&d, q)
	if err == nil && cost.Beyond > 0 {
		p.failAt("flow", fmt.Errorf("%w: the figures of the device end at %v", tables.ErrOutsideTable,
			p.flowValue(cost.Beyond)))
		return
	}
	if r, ok := errors.AsType[*units.RangeError](err); ok {
		p.fail(r)
		return
	}
	if p.failAt("device", err) {
		return
	}
	p.cite(cost.Citation)
	p.add("pressure_loss", p.pressureValue(cost.Loss))
	p.formula("the loss of the device at the flow, from the row of its kind and size")
	p.deviceWorking(cost, q)
	p.results()
}

// deviceWorking shows the two rows of a curve of losses that a flow lies between, and the
// line between them. Below the first row it runs to no flow and no loss.
func (p *problem) deviceWorking(cost supply.DeviceCost, q units.Flow) {
	if !p.working {
		return
	}
	t, err := p.shelf.shelf.Table(cost.Citation.Table())
	if err != nil {
		return
	}
	type curveRow struct {
		Size units.Length   `table:"size"`
		Flow units.Flow     `table:"flow"`
		Loss units.Pressure `table:"loss"`
	}
	rows, err := tables.LoadTable[curveRow](t)
	if err != nil {
		return // one figure for all flows
	}
	for i := range rows.Len() {
		high, low := rows.At(i), curveRow{}
		if !slices.Contains(cost.Citation.Keys(), rows.Cite(i).Keys()[0]) || high.Flow < q {
			continue
		}
		if i > 0 && rows.At(i-1).Size == high.Size {
			low = *rows.At(i - 1)
		}
		q1, q2, x1, x2 := p.flowValue(low.Flow), p.flowValue(high.Flow), p.pressureValue(low.Loss), p.pressureValue(high.Loss)
		p.step("row below: %v takes %v", q1, x1)
		p.step("row above: %v takes %v", q2, x2)
		if low.Flow > 0 && low.Flow < q {
			p.cite(rows.Cite(i))
		}
		p.equation("pressure loss", p.pressureValue(cost.Loss), "loss1 + (loss2 - loss1) x (flow - flow1) / (flow2 - flow1)",
			"%v + (%v - %v) x (%v - %v) / (%v - %v)", x1, x2, x1, p.flowValue(q), q1, q2, q1)
		return
	}
}

func solvePumpPower(p *problem) {
	q, h := p.flow("flow"), read[units.Head](p, p.fields, "head", positive)
	efficiency := p.number("efficiency", fraction)
	rho := p.densityOr(defaultTemperature)
	w, err := hydraulics.PumpPower(q, h, efficiency, rho)
	if p.unanswered(err) {
		return
	}
	v := p.pick(float64(w), float64(units.Horsepower), "hp", 1, "W")
	p.add("power", v)
	p.source("work of lifting the weight of the water")
	p.convert(p.flowValue(q))
	worked := v
	if !p.si {
		worked = value{x: v.x * 550, unit: "ft-lbf/s"}
	}
	symbols, figures := p.weightOf(rho)
	p.convertedEquation("power", v, worked, symbols+" Q H / efficiency", "%s x %s x %s / %s", figures,
		p.coherent(p.flowValue(q)), p.headValue(h), short(efficiency))
}

// densityOr reads a density, absent that of water at a temperature.
func (p *problem) densityOr(t units.Temperature) units.Density {
	if rho, ok := readIf[units.Density](p, p.fields, "density", positive); ok {
		return rho
	}
	w, err := hydraulics.WaterAt(t)
	p.failAt("density", err)
	p.step("taken: water at %v, %v", p.temperature(t), p.densityValue(w.Density))
	return w.Density
}

func solveStaticResidual(p *problem) {
	m := p.mainTest(p.fields)
	wanted := read[units.Flow](p, p.fields, "wanted", notNegative)
	x, err := m.Pressure(wanted)
	if p.unanswered(err) {
		return
	}
	p.add("pressure", p.pressureValue(x))
	p.mainWorking("pressure", m, wanted, x)
}

// mainTest reads what the test of a main gave.
func (p *problem) mainTest(f *strictjson.Fields) hydraulics.MainTest {
	return hydraulics.MainTest{
		Static:   read[units.Pressure](p, f, "static", positive),
		Residual: read[units.Pressure](p, f, "residual", notNegative),
		At:       read[units.Flow](p, f, "at", positive),
	}
}

// mainWorking writes what a main keeps while a flow is drawn.
func (p *problem) mainWorking(name string, m hydraulics.MainTest, wanted units.Flow, x units.Pressure) {
	p.equation(name, p.pressureValue(x), "static - (static - residual) x (wanted / at)^1.85",
		"%s - (%s - %s) x (%s / %s)^1.85", p.pressureValue(m.Static), p.pressureValue(m.Static),
		p.pressureValue(m.Residual), p.flowValue(wanted), p.flowValue(m.At))
	p.rests(tables.Practice, "N^1.85 paper of hydrant flow tests")
}

func solveSewerSize(p *problem) {
	if p.byCapacity("drain") {
		return
	}
	code := p.drainageCode()
	q := dwv.DrainQuery{Part: dwv.Sewer}
	if p.fields.Need("load") {
		q.Load = p.drainLoad("load")
	}
	q.Grade = p.grade("grade", positive)
	q.Closets = p.closets()
	if !p.ready() {
		return
	}
	p.drainSize(code, q)
}

func solvePipeByLoad(p *problem) {
	code, load := p.supplyCode(), p.supplyLoad("load")
	length := p.length("length", positive)
	if p.has("material") || p.has("greatest") {
		p.pipeByUnits(code, load, length)
		return
	}
	pressure := read[units.Pressure](p, p.fields, "pressure", positive)
	var least units.Length
	if p.has("least") {
		least = p.length("least", positive)
	}
	if !p.ready() {
		return
	}
	r, err := code.PipeByLoad(pressure, length, load, least)
	if errors.Is(err, tables.ErrNotInCode) {
		if _, e := code.PipeForUnits("", load, 0, length); e != nil &&
			!strings.HasSuffix(e.Error(), "pipe by loading units") {
			err = fmt.Errorf("%w; this code takes material and greatest (the greatest single load) for pressure", err)
		}
	}
	if p.failAt(p.outside(err, "load", "length", "pressure"), err) {
		return
	}
	p.cite(r.Citation)
	p.add("size", nominal(r.Size))
	p.add("max_load", value{x: r.MaxLoad.Units(), unit: code.LoadUnit()})
	p.add("meter", nominal(r.Meter))
	p.formula("the first pipe whose greatest load is at least the load, in the group of the pressure and the column " +
		"of the length")
	p.enough(code, load, r.MaxLoad, nominal(r.Size).String())
}

// enough ends the working of a size that a table gives for a load.
func (p *problem) enough(code *supply.Code, load supply.FixtureUnits, most supply.CodeLoad, size string) {
	unit := code.LoadUnit()
	p.step("%v <= %v: %s is enough", load.In(unit), most, size)
	p.equation("spare", value{x: (most.FixtureUnits - load).Units(), unit: unit}, "max load - load", "%s - %s", most,
		load.In(unit))
	p.results()
}

// outside returns the field that lies outside a table, the code if the error names none.
func (p *problem) outside(err error, fields ...string) string {
	for _, field := range fields {
		if errors.Is(err, tables.ErrOutsideTable) && strings.Contains(err.Error(), ": "+field+" ") {
			return field
		}
	}
	return "code"
}

// pipeByUnits sizes by the simplified method of a code with loading units.
func (p *problem) pipeByUnits(code *supply.Code, load supply.FixtureUnits, length units.Length) {
	p.fields.Need("material")
	material, greatest := p.fields.Text("material"), p.supplyLoad("greatest")
	if p.has("pressure") {
		read[units.Pressure](p, p.fields, "pressure", positive) // the tables of such codes do not ask for it
	}
	if !p.ready() {
		return
	}
	r, err := code.PipeForUnits(material, load, greatest, length)
	if p.failAt(p.outside(err, "load", "length", "material", "greatest"), err) {
		return
	}
	p.cite(r.Citation)
	p.add("size", text(r.Pipe))
	p.add("max_load", value{x: r.MaxUnits.Units(), unit: code.LoadUnit()})
	p.add("bore", value{x: r.Bore.Millimetres(), unit: "mm"})
	p.formula("the smallest pipe whose loading units are at least the sum, and whose greatest single load and " +
		"length hold")
	p.enough(code, load, r.MaxUnits, r.Pipe)
}
