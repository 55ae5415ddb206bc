package lesson

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// defaultTemperature is that of cold water where a line does not give one.
var defaultTemperature = units.Fahrenheit(60)

// methods are the laws of friction that a line may name.
var methods = []string{"hazen-williams", "darcy-weisbach"}

// water returns the water at the temperature of a line.
func (p *problem) waterAt(otherwise units.Temperature) hydraulics.Water {
	t := otherwise
	if given, ok := readIf[units.Temperature](p, p.fields, "temperature", anySign); ok {
		t = given
	} else {
		p.step("taken: water at %v", p.temperature(t))
	}
	w, err := hydraulics.WaterAt(t)
	p.failAt("temperature", err)
	return w
}

// friction reads what friction problems share: method, length, roughness and
// water. The bore is read by those that have one.
func (p *problem) friction() hydraulics.Friction {
	length := p.length("length", positive)
	f := p.law(p.fields, p.word("method", methods...))
	f.Length, f.Water = length, p.waterOrViscosity()
	return f
}

// law reads what a pipe's friction goes by: the law that is named and its coefficient.
func (p *problem) law(f *strictjson.Fields, method string) (pipe hydraulics.Friction) {
	other := ""
	switch method {
	case "hazen-williams":
		pipe.Method, other = hydraulics.HazenWilliams, "roughness"
		pipe.C = numberOf(f, "c", anyPositive)
	case "darcy-weisbach":
		pipe.Method, other = hydraulics.DarcyWeisbach, "c"
		pipe.Roughness = read[units.Length](p, f, "roughness", notNegative)
	}
	if other != "" && f.Get(other) != nil {
		f.Faultf(other, "not a field of %s", method)
	}
	return pipe
}

// factorFriction answers friction with a friction factor given: the pipe is a fitting of
// the coefficient f L/D.
func (p *problem) factorFriction() {
	factor := p.number("friction_factor", anyPositive)
	if m := p.word("method", methods...); m == "hazen-williams" {
		p.fields.Faultf("friction_factor", "not a field of hazen-williams")
	}
	for _, other := range [...]string{"c", "roughness"} {
		if p.has(other) {
			p.fields.Faultf(other, "friction_factor is given too: give one of roughness, friction_factor")
		}
	}
	f := hydraulics.Friction{Length: p.length("length", positive), Bore: p.length("bore", positive)}
	k, _ := p.numberIf("k", zeroOrMore)
	f.Water = p.waterOrViscosity()
	q := p.flow("flow")
	if !p.ready() {
		return
	}
	v, e1 := hydraulics.Velocity(q, f.Bore)
	ofPipe, e2 := hydraulics.CoefficientOfLength(f.Length, factor, f.Bore)
	h, e3 := hydraulics.MinorHeadLoss(ofPipe+k, v)
	minor, e4 := hydraulics.MinorHeadLoss(k, v)
	if p.fail(errors.Join(e1, e2, e3, e4)) {
		return
	}
	x, err := hydraulics.PressureOfHead(h, f.Water.Density)
	p.fail(err)
	p.add("head_loss", p.headValue(h))
	p.add("pressure_loss", p.pressureValue(x))
	p.add("velocity", p.velocityValue(v))
	re := float64(v) * f.Bore.Metres() / float64(f.Water.KinematicViscosity)
	p.add("reynolds", plain(re))
	p.add("friction_factor", plain(factor))
	p.velocityWorking(q, f.Bore, v)
	p.fixedFactorWorking(f, hydraulics.Loss{Velocity: v}, factor, p.headValue(h-minor))
	p.fittingsWorking(k, v, minor, h)
	p.pressureWorking("pressure loss", x, h, f.Water.Density)
	p.source("Darcy-Weisbach, with the friction factor given")
}

func (p *problem) waterOrViscosity() hydraulics.Water {
	if !p.has("viscosity") {
		return p.waterAt(defaultTemperature)
	}
	if p.has("temperature") {
		p.fields.Faultf("viscosity", "temperature is given too: give one of temperature, viscosity")
	}
	w, err := hydraulics.WaterAt(defaultTemperature)
	p.failAt("viscosity", err)
	w.KinematicViscosity = read[units.KinematicViscosity](p, p.fields, "viscosity", positive)
	return w
}

func solveFriction(p *problem) {
	if p.has("friction_factor") {
		p.factorFriction()
		return
	}
	f := p.friction()
	f.Bore = p.length("bore", positive)
	f.K, _ = p.numberIf("k", zeroOrMore)
	q := p.flow("flow")
	r, err := f.Resistance()
	if p.unanswered(err) {
		return
	}
	loss, err := r.Loss(q)
	if p.fail(err) {
		return
	}
	p.add("head_loss", p.headValue(loss.Head))
	p.add("pressure_loss", p.pressureValue(loss.Pressure))
	p.add("velocity", p.velocityValue(loss.Velocity))
	if f.Method == hydraulics.DarcyWeisbach {
		p.add("reynolds", plain(loss.Reynolds))
		p.add("friction_factor", plain(loss.FrictionFactor))
	}
	p.frictionSource(f.Method)
	if p.working {
		p.frictionWorking(f, q, loss)
		p.results()
	}
}

// velocityWorking writes the mean velocity of a flow.
func (p *problem) velocityWorking(q units.Flow, bore units.Length, v units.Velocity) {
	p.convert(p.flowValue(q), p.small(bore))
	p.equation("V", p.velocityValue(v), "Q / (pi D^2 / 4)", "%s / (pi x (%s)^2 / 4)",
		p.coherent(p.flowValue(q)), p.coherent(p.small(bore)))
}

// lossWorking writes the loss of a flow step by step.
func (p *problem) lossWorking(f hydraulics.Friction, q units.Flow) {
	r, err := f.Resistance()
	if err != nil {
		return
	}
	if loss, err := r.Loss(q); err == nil {
		p.frictionWorking(f, q, loss)
	}
}

// frictionWorking writes a loss step by step.
func (p *problem) frictionWorking(f hydraulics.Friction, q units.Flow, loss hydraulics.Loss) {
	p.velocityWorking(q, f.Bore, loss.Velocity)
	minor := units.Head(f.K * float64(loss.Velocity) * float64(loss.Velocity) / (2 * units.StandardGravity))
	pipe := p.headValue(loss.Head - minor)
	if f.Method == hydraulics.HazenWilliams {
		r := p.coherent(p.small(f.Bore))
		r.x /= 4
		p.equation("R", r, "D / 4", "%s / 4", p.coherent(p.small(f.Bore)))
		s := float64(loss.Head-minor) / f.Length.Metres()
		factor, system := "1.318", "ft and ft/s"
		if p.si { // the same constant for metres: 1.318 x 0.3048^0.37
			factor, system = short(1.318*math.Pow(0.3048, 0.37)), "m and m/s"
		}
		p.formula("V = " + factor + " C R^0.63 S^0.54 in " + system + ", solved for the fall of the grade line S")
		p.equation("S", plain(s), "(V / ("+factor+" C R^0.63))^(1/0.54)", "(%s / (%s x %s x %s^0.63))^(1/0.54)",
			short(p.velocityValue(loss.Velocity).x), factor, short(f.C), short(r.x))
		p.equation("head loss", pipe, "S L", "%s x %s", short(s), p.long(f.Length))
	} else {
		p.darcyWorking(f, loss, pipe)
	}
	p.fittingsWorking(f.K, loss.Velocity, minor, loss.Head)
	p.pressureWorking("pressure loss", loss.Pressure, loss.Head, f.Water.Density)
	for _, note := range loss.Notes.Texts() {
		p.step("note: %s", note)
	}
}

// fittingsWorking adds what is lost in fittings to the loss of the pipe.
func (p *problem) fittingsWorking(k float64, v units.Velocity, minor, all units.Head) {
	if k > 0 {
		p.equation("fittings", p.headValue(minor), "k V^2 / (2 g)", "%s x (%s)^2 / (2 x %s)", short(k), p.velocityValue(v),
			p.gravity())
		p.equation("head loss", p.headValue(all), "pipe + fittings", "%s + %s", p.headValue(all-minor), p.headValue(minor))
	}
}

// darcyWorking writes the loss in the pipe by Darcy and Weisbach.
func (p *problem) darcyWorking(f hydraulics.Friction, loss hydraulics.Loss, pipe value) {
	p.equation("Re", plain(loss.Reynolds), "V D / nu", "%s x %s / %s", p.velocityValue(loss.Velocity),
		p.coherent(p.small(f.Bore)), p.viscosityValue(f.Water.KinematicViscosity))
	relative := f.Roughness.Metres() / f.Bore.Metres()
	switch {
	case loss.Reynolds >= 4000:
		p.equation("roughness / D", plain(relative), "e / D", "%s / %s", p.small(f.Roughness), p.small(f.Bore))
		p.colebrookWorking(loss, relative)
	case loss.Reynolds <= 2000 && loss.Reynolds > 0:
		p.equation("f", plain(loss.FrictionFactor), "64 / Re", "64 / %s", short(loss.Reynolds))
	default:
		p.step("f = %s, between 64/Re at Re 2000 and Colebrook at Re 4000, linear in Re", short(loss.FrictionFactor))
	}
	p.fixedFactorWorking(f, loss, loss.FrictionFactor, pipe)
}

func (p *problem) fixedFactorWorking(f hydraulics.Friction, loss hydraulics.Loss, factor float64, pipe value) {
	p.equation("head loss", pipe, "f (L / D) V^2 / (2 g)", "%s x %s / %s x (%s)^2 / (2 x %s)", short(factor),
		p.long(f.Length), p.coherent(p.small(f.Bore)), p.velocityValue(loss.Velocity), p.gravity())
}

// colebrookWorking writes the rounds by which a student solves for f.
func (p *problem) colebrookWorking(loss hydraulics.Loss, relative float64) {
	if !p.working {
		return
	}
	p.formula("1 / sqrt(f) = -2 log10(e / (3.7 D) + 2.51 / (Re sqrt(f))), from f = 0.02 on")
	f := 0.02
	for round := 1; round <= 20; round++ {
		before := short(f)
		x := -2 * math.Log10(relative/3.7+2.51/(loss.Reynolds*math.Sqrt(f)))
		next := 1 / (x * x)
		p.equation(fmt.Sprintf("f, round %d", round), plain(next), "1 / (2 log10(e / (3.7 D) + 2.51 / (Re sqrt(f))))^2",
			"1 / (2 x log10(%s / 3.7 + 2.51 / (%s x sqrt(%s))))^2", short(relative), short(loss.Reynolds), before)
		if short(next) == before {
			break
		}
		f = next
	}
}

func (p *problem) frictionSource(m hydraulics.LossMethod) {
	if m == hydraulics.HazenWilliams {
		p.source("Hazen and Williams, Hydraulic Tables (1905)")
		return
	}
	p.source("Darcy-Weisbach; friction factor 64/Re to 2000, Colebrook (1939) from 4000, linear in Re between")
}

// lossGiven reads the head or pressure that is to be lost.
func (p *problem) lossGiven() (h units.Head, x units.Pressure, given string) {
	given = p.oneOf("head_loss", "pressure_loss")
	switch given {
	case "head_loss":
		h = read[units.Head](p, p.fields, given, positive)
	case "pressure_loss":
		x = read[units.Pressure](p, p.fields, given, positive)
	}
	return h, x, given
}

func solveFlowForLoss(p *problem) {
	f := p.friction()
	f.Bore = p.length("bore", positive)
	h, x, given := p.lossGiven()
	r, err := f.Resistance()
	if p.unanswered(err) {
		return
	}
	var q units.Flow
	if given == "head_loss" {
		q, err = r.FlowForHeadLoss(h)
	} else {
		q, err = r.FlowForPressureLoss(x)
	}
	if p.fail(err) {
		return
	}
	p.add("flow", p.flowValue(q))
	p.add("velocity", p.velocityValue(r.Velocity(q)))
	p.inverseWorking(f, q, "flow")
}

func solveBoreForLoss(p *problem) {
	f := p.friction()
	q := p.flow("flow")
	h, x, given := p.lossGiven()
	if !p.ready() {
		return
	}
	var b hydraulics.PipeBore
	var err error
	if given == "head_loss" {
		b, err = f.BoreForHeadLoss(q, h)
	} else {
		b, err = f.BoreForPressureLoss(q, x)
	}
	if p.fail(err) {
		return
	}
	p.add("bore", p.smallMetres(b.Metres))
	p.add("velocity", p.velocityValue(b.Velocity))
	f.Bore = b.Bore
	p.inverseWorking(f, q, "bore")
}

// inverseWorking shows that the solved flow or bore gives the loss asked for.
func (p *problem) inverseWorking(f hydraulics.Friction, q units.Flow, unknown string) {
	p.frictionSource(f.Method)
	if !p.working {
		return
	}
	p.results()
	p.step("check, with the %s found:", unknown)
	p.lossWorking(f, q)
}

func solveVelocity(p *problem) {
	q, bore := p.flow("flow"), p.length("bore", positive)
	v, err := hydraulics.Velocity(q, bore)
	if p.unanswered(err) {
		return
	}
	p.add("velocity", p.velocityValue(v))
	p.velocityWorking(q, bore, v)
}

func solveBoreForVelocity(p *problem) {
	q, v := p.flow("flow"), p.velocity("velocity")
	b, err := hydraulics.BoreForVelocity(q, v)
	if p.unanswered(err) {
		return
	}
	p.add("bore", p.smallMetres(b.Metres))
	p.convert(p.flowValue(q))
	bore := p.smallMetres(b.Metres)
	p.convertedEquation("bore", bore, p.coherent(bore), "sqrt(4 Q / (pi V))", "sqrt(4 x %s / (pi x %s))",
		p.coherent(p.flowValue(q)), p.velocityValue(v))
}

func solveHead(p *problem) {
	given := p.oneOf("pressure", "head")
	var h units.Head
	var x units.Pressure
	switch given {
	case "pressure":
		x = read[units.Pressure](p, p.fields, given, anySign)
	case "head":
		h = read[units.Head](p, p.fields, given, anySign)
	}
	w := p.waterAt(defaultTemperature)
	if !p.ready() {
		return
	}
	var err error
	if given == "pressure" {
		h, err = hydraulics.HeadOfPressure(x, w.Density)
	} else {
		x, err = hydraulics.PressureOfHead(h, w.Density)
	}
	if p.fail(err) {
		return
	}
	p.add("pressure", p.pressureValue(x))
	p.add("head", p.headValue(h))
	if given == "pressure" {
		symbols, figures := p.weightOf(w.Density)
		if p.si {
			symbols, figures = "("+symbols+")", "("+figures+")"
		}
		p.convert(p.pressureValue(x))
		p.equation("head", p.headValue(h), "pressure / "+symbols, "%s / %s", p.coherent(p.pressureValue(x)), figures)
	} else {
		p.pressureWorking("pressure", x, h, w.Density)
	}
	p.source("density of water, IAPWS SR6-08 (2011)")
}

func solvePressureBudget(p *problem) {
	street := p.street()
	rise := read[units.Head](p, p.fields, "rise", anySign)
	required := read[units.Pressure](p, p.fields, "required", notNegative)
	length := p.length("length", positive)
	w := p.waterAt(defaultTemperature)
	var losses units.Pressure
	var lossText string
	for f := range p.each("losses", "") {
		f.Need("name")
		name, loss := f.Text("name"), read[units.Pressure](p, f, "loss", notNegative)
		losses += loss
		if p.working {
			lossText += fmt.Sprintf(" - %v", p.pressureValue(loss))
			p.step("%s takes %v", name, p.pressureValue(loss))
		}
	}
	static, err := hydraulics.PressureOfHead(rise, w.Density)
	if p.unanswered(err) {
		return
	}
	left := street - static - losses - required
	per100 := p.pressureValue(left)
	if p.si {
		per100.x /= length.Metres() / 100
	} else {
		per100.x /= length.Feet() / 100
	}
	p.add("static_loss", p.pressureValue(static))
	p.add("left", p.pressureValue(left))
	p.add("per_100", per100)
	p.source("density of water, IAPWS SR6-08 (2011)")
	if !p.working {
		return
	}
	p.pressureWorking("static loss", static, rise, w.Density)
	p.equation("left", p.pressureValue(left), "street - static loss - losses - required", "%s - %s%s - %s",
		p.pressureValue(street), p.pressureValue(static), lossText, p.pressureValue(required))
	p.equation("per 100", per100, "left / equivalent length x 100", "%s / %s x 100",
		p.pressureValue(left), short(p.long(length).x))
}

// street reads the pressure in the street: a pressure, or a flow test at the flow that
// is drawn.
func (p *problem) street() units.Pressure {
	v := p.fields.Get("street")
	if v == nil || v.Kind != strictjson.Object {
		return read[units.Pressure](p, p.fields, "street", positive)
	}
	f := p.doc.Fields(v, "street")
	m := p.mainTest(f)
	f.Done()
	wanted := m.At // the test was read at the flow the building draws, unless it says otherwise
	if q, ok := readIf[units.Flow](p, p.fields, "flow", notNegative); ok {
		wanted = q
	}
	if p.doc.Faults.Len() > 0 {
		return 0
	}
	x, err := m.Pressure(wanted)
	if p.failIn("street", err) {
		return 0
	}
	p.mainWorking("street", m, wanted, x)
	return x
}
