package lesson

import (
	"fmt"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

// defaultTemperature is that of cold water where a line does not give one.
var defaultTemperature = units.Fahrenheit(60)

// water returns the water at the temperature of a line.
func (p *problem) waterAt(otherwise units.Temperature) hydraulics.Water {
	t := otherwise
	if given, ok := readIf[units.Temperature](p, p.fields, "temperature", anySign); ok {
		t = given
	}
	w, err := hydraulics.WaterAt(t)
	p.failAt("temperature", err)
	return w
}

// friction reads what friction problems share: method, length, roughness and
// water. The bore is read by those that have one.
func (p *problem) friction() hydraulics.Friction {
	f := hydraulics.Friction{Length: p.length("length", positive)}
	method := p.word("method", "hazen-williams", "darcy-weisbach")
	other := ""
	switch method {
	case "hazen-williams":
		f.Method, other = hydraulics.HazenWilliams, "roughness"
		f.C = p.number("c", anyPositive)
	case "darcy-weisbach":
		f.Method, other = hydraulics.DarcyWeisbach, "c"
		f.Roughness = p.length("roughness", notNegative)
	}
	if other != "" && p.has(other) {
		p.fields.Faultf(other, "not a field of %s", method)
	}
	f.Water = p.waterOrViscosity()
	return f
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
	f := p.friction()
	f.Bore = p.length("bore", positive)
	q := p.flow("flow")
	if !p.ready() {
		return
	}
	r, err := f.Resistance()
	if err != nil {
		p.fail(err)
		return
	}
	loss, err := r.Loss(q)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("head_loss", p.headValue(loss.Head))
	p.add("pressure_loss", p.pressureValue(loss.Pressure))
	p.add("velocity", p.velocityValue(loss.Velocity))
	if f.Method == hydraulics.DarcyWeisbach {
		p.add("reynolds", plain(loss.Reynolds))
		p.add("friction_factor", plain(loss.FrictionFactor))
	}
	if p.working {
		p.frictionWorking(f, q, loss)
		p.results()
		p.frictionSource(f.Method)
	}
}

// frictionWorking writes the loss of a flow step by step.
func (p *problem) frictionWorking(f hydraulics.Friction, q units.Flow, loss hydraulics.Loss) {
	p.step("V = Q / (pi D^2/4) = %s / (pi x (%s)^2/4) = %s", p.flowValue(q), p.small(f.Bore), p.velocityValue(loss.Velocity))
	if f.Method == hydraulics.HazenWilliams {
		p.step("V = 1.318 C R^0.63 S^0.54 in ft and ft/s, R = D/4; solved for S = (V / (1.318 C R^0.63))^(1/0.54)")
		p.step("  R = %s ft, S = (%s / (1.318 x %s x %s^0.63))^(1/0.54) = %s", short(f.Bore.Feet()/4),
			short(float64(loss.Velocity/units.FootPerSecond)), short(f.C), short(f.Bore.Feet()/4), short(float64(loss.Head)/f.Length.Metres()))
		p.step("head loss = S L = %s x %s = %s", short(float64(loss.Head)/f.Length.Metres()), p.long(f.Length), p.headValue(loss.Head))
	} else {
		p.step("Re = V D / nu = %s x %s / %s m2/s = %s", p.velocityValue(loss.Velocity), p.small(f.Bore), short(float64(f.Water.KinematicViscosity)), short(loss.Reynolds))
		p.step("f = %s (Darcy) for a relative roughness of %s", short(loss.FrictionFactor), short(f.Roughness.Metres()/f.Bore.Metres()))
		p.step("head loss = f L/D V^2/(2 g) = %s x %s / %s x (%s)^2 / (2 g) = %s", short(loss.FrictionFactor), p.long(f.Length), p.small(f.Bore),
			p.velocityValue(loss.Velocity), p.headValue(loss.Head))
	}
	p.step("pressure loss = rho g h with rho = %s kg/m3 = %s", short(float64(f.Water.Density)), p.pressureValue(loss.Pressure))
	for _, note := range loss.Notes.Texts() {
		p.step("note: %s", note)
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
	if !p.ready() {
		return
	}
	r, err := f.Resistance()
	if err != nil {
		p.fail(err)
		return
	}
	var q units.Flow
	if given == "head_loss" {
		q, err = r.FlowForHeadLoss(h)
	} else {
		q, err = r.FlowForPressureLoss(x)
	}
	if err != nil {
		p.fail(err)
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
	if err != nil {
		p.fail(err)
		return
	}
	p.add("bore", p.smallMetres(b.Metres))
	p.add("velocity", p.velocityValue(b.Velocity))
	f.Bore = b.Bore
	p.inverseWorking(f, q, "bore")
}

// inverseWorking shows that the solved flow or bore gives the loss asked for.
func (p *problem) inverseWorking(f hydraulics.Friction, q units.Flow, unknown string) {
	if !p.working {
		return
	}
	p.results()
	r, err := f.Resistance()
	if err != nil {
		return
	}
	loss, err := r.Loss(q)
	if err != nil {
		return
	}
	p.step("check, with the %s found:", unknown)
	p.frictionWorking(f, q, loss)
	p.frictionSource(f.Method)
}

func solveVelocity(p *problem) {
	q, bore := p.flow("flow"), p.length("bore", positive)
	if !p.ready() {
		return
	}
	v, err := hydraulics.Velocity(q, bore)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("velocity", p.velocityValue(v))
	p.show("V = Q / (pi D^2/4)", "%s / (pi x (%s)^2/4)", p.flowValue(q), p.small(bore))
}

func solveBoreForVelocity(p *problem) {
	q, v := p.flow("flow"), p.velocity("velocity")
	if !p.ready() {
		return
	}
	b, err := hydraulics.BoreForVelocity(q, v)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("bore", p.smallMetres(b.Metres))
	p.show("D = sqrt(4 Q / (pi V))", "sqrt(4 x %s / (pi x %s))", p.flowValue(q), p.velocityValue(v))
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
	if err != nil {
		p.fail(err)
		return
	}
	p.add("pressure", p.pressureValue(x))
	p.add("head", p.headValue(h))
	p.show("pressure = rho g h", "%s kg/m3 x 9.80665 m/s2 x %s m", short(float64(w.Density)), short(float64(h)))
	p.source("density of water, IAPWS SR6-08 (2011)")
}

func solvePressureBudget(p *problem) {
	street := read[units.Pressure](p, p.fields, "street", positive)
	rise := read[units.Head](p, p.fields, "rise", anySign)
	required := read[units.Pressure](p, p.fields, "required", notNegative)
	length := p.length("length", positive)
	w := p.waterAt(defaultTemperature)
	var losses units.Pressure
	var lossText string
	if p.fields.Need("losses") {
		items := p.fields.List("losses")
		for i := range items {
			f := p.doc.Fields(&items[i], fmt.Sprintf("losses[%d]", i))
			f.Need("name")
			name := f.Text("name")
			loss := read[units.Pressure](p, f, "loss", notNegative)
			f.Done()
			losses += loss
			if p.working {
				lossText += fmt.Sprintf(" - %s (%s)", p.pressureValue(loss), name)
			}
		}
	}
	if !p.ready() {
		return
	}
	static, err := hydraulics.PressureOfHead(rise, w.Density)
	if err != nil {
		p.fail(err)
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
	if !p.working {
		return
	}
	p.step("static loss = rho g x rise = %s kg/m3 x 9.80665 m/s2 x %s = %s", short(float64(w.Density)), p.headValue(rise), p.pressureValue(static))
	p.step("left = street - static loss - losses - required = %s - %s%s - %s = %s", p.pressureValue(street), p.pressureValue(static), lossText,
		p.pressureValue(required), p.pressureValue(left))
	p.step("per 100 = left / equivalent length x 100 = %s / %s x 100 = %s", p.pressureValue(left), p.long(length), per100)
}
