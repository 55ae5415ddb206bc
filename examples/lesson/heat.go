package lesson

import (
	"math"
	"strings"

	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func solveHeatLoss(p *problem) {
	h := heat.Pipe{
		Bore:         p.length("bore", positive),
		Wall:         p.length("wall", positive),
		Conductivity: read[units.Conductivity](p, p.fields, "conductivity", positive),
		Length:       p.length("length", positive),
	}
	water := read[units.Temperature](p, p.fields, "water", anySign)
	ambient := read[units.Temperature](p, p.fields, "ambient", anySign)
	if p.has("insulation_thickness") || p.has("insulation_conductivity") {
		h.Insulation = p.length("insulation_thickness", positive)
		h.InsulationConductivity = read[units.Conductivity](p, p.fields, "insulation_conductivity", positive)
	}
	switch {
	case p.has("burial_depth") || p.has("soil_conductivity"):
		h.Surroundings = heat.Buried
		h.BurialDepth = p.length("burial_depth", positive)
		h.SoilConductivity = read[units.Conductivity](p, p.fields, "soil_conductivity", positive)
		if p.has("film") {
			p.fields.Faultf("film", "a buried pipe has no outer film: give film or burial_depth, not both")
		}
	case p.has("film"):
		h.Surroundings = heat.InAir
		h.Film = read[units.HeatTransferCoefficient](p, p.fields, "film", positive)
	}
	total, err := h.Total(water, ambient)
	if p.unanswered(err) {
		return
	}
	per, err := h.PerLength(water, ambient)
	p.fail(err)
	p.add("heat_loss", p.powerValue(total))
	p.add("per_length", p.perLengthValue(per))
	p.source("conduction through cylinders (Fourier, 1822); no film inside")
	if !p.working {
		return
	}
	p.resistanceWorking(h)
	r, err := h.Resistance()
	p.fail(err)
	hot, cold := p.temperature(water), p.temperature(ambient)
	p.equation("heat loss per length", p.perLengthValue(per), "(T water - T ambient) / R", "(%s - %s) / %s", hot, cold,
		p.resistance(r))
	p.equation("heat loss", p.powerValue(total), "heat loss per length x length", "%s x %s", p.perLengthValue(per),
		p.long(h.Length))
}

// resistanceWorking writes the resistances of a metre of pipe, one after the other.
func (p *problem) resistanceWorking(h heat.Pipe) {
	r1 := h.Bore / 2
	r2 := r1 + h.Wall
	sum := ""
	add := func(name string, x float64, formula, format string, args ...any) {
		p.equation("R "+name, p.resistance(x), formula, format, args...)
		sum += " + " + p.resistance(x).String()
	}
	shell := func(name string, inner, outer units.Length, k units.Conductivity) {
		add(name, math.Log(float64(outer)/float64(inner))/(2*math.Pi*float64(k)), "ln(outer / inner) / (2 pi k)",
			"ln(%s / %s) / (2 x pi x %s)", p.exactSmall(outer), p.exactSmall(inner), p.conductivity(k))
	}
	shell("wall", r1, r2, h.Conductivity)
	if h.Insulation > 0 {
		shell("insulation", r2, r2+h.Insulation, h.InsulationConductivity)
		r2 += h.Insulation
	}
	outer := p.coherent(p.small(r2))
	if h.Surroundings != heat.SurfaceAtAmbient {
		p.convert(p.small(r2))
	}
	switch h.Surroundings {
	case heat.InAir:
		add("outside", 1/(2*math.Pi*r2.Metres()*float64(h.Film)), "1 / (2 pi r h)", "1 / (2 x pi x %s x %s)", outer,
			p.film(h.Film))
	case heat.Buried:
		add("ground", math.Acosh(h.BurialDepth.Metres()/r2.Metres())/(2*math.Pi*float64(h.SoilConductivity)),
			"acosh(2 z / D) / (2 pi k)", "acosh(2 x %s / (2 x %s)) / (2 x pi x %s)", p.long(h.BurialDepth), outer,
			p.conductivity(h.SoilConductivity))
	}
	if all, err := h.Resistance(); err == nil {
		p.equation("R", p.resistance(all), "sum", "%s", strings.TrimPrefix(sum, " + "))
	}
}

// resistance is that of a length of pipe to heat, conductivity and film the figures it is
// worked from, in the units of the line.
func (p *problem) resistance(mKPerW float64) value {
	return p.pick(mKPerW, 1/float64(units.BtuPerHourFootFahrenheit), "h-ft-degF/Btu", 1, "m-K/W")
}

func (p *problem) conductivity(k units.Conductivity) value {
	return p.pick(float64(k), float64(units.BtuPerHourFootFahrenheit), "Btu/h-ft-degF", 1, "W/m-K")
}

func (p *problem) film(h units.HeatTransferCoefficient) value {
	return p.pick(float64(h), float64(units.BtuPerHourSquareFootFahrenheit), "Btu/h-ft2-degF", 1, "W/m2-K")
}

// exactSmall writes a length with ten digits, for the ratio of two that lie close.
func (p *problem) exactSmall(l units.Length) string {
	v := p.small(l)
	return exactly10(v.x) + " " + v.unit
}

// hotTemperature is that of circulating hot water where a line does not give one.
var hotTemperature = units.Fahrenheit(120)

func solveRecirculation(p *problem) {
	lost := read[units.Power](p, p.fields, "heat_loss", positive)
	drop := read[units.TemperatureDifference](p, p.fields, "drop", positive)
	w := p.waterAt(hotTemperature)
	q, err := heat.RecirculationFlow(lost, drop, w)
	if p.unanswered(err) {
		return
	}
	p.add("flow", p.flowValue(q))
	p.recirculationWorking(lost, drop, w, q)
	p.source("heat balance; water by IAPWS SR6-08 (2011)")
}

// recirculationWorking writes the heat balance, in US units as gpm = Btu/h over a factor
// times the drop.
func (p *problem) recirculationWorking(lost units.Power, drop units.TemperatureDifference, w hydraulics.Water,
	q units.Flow) {
	if p.si {
		flow := p.flowValue(q)
		p.convertedEquation("flow", flow, p.coherent(flow), "heat loss / (rho cp drop)", "%s / (%s x %s J/kg-K x %s K)",
			p.powerValue(lost), densityValue(w.Density), short(float64(w.SpecificHeat)), short(float64(drop)))
		return
	}
	const pound, btuPerPound = 0.45359237, 4186.8
	weight := float64(w.Density) * float64(units.USGallon) / pound
	heat := float64(w.SpecificHeat) / btuPerPound
	factor := weight * 60 * heat
	p.equation("factor", plain(factor), "lb per gal x 60 min per h x Btu/lb-degF", "%s x 60 x %s", short(weight),
		short(heat))
	p.step("the trade rounds the factor to 500, which is water at 8.33 lb/gal")
	p.equation("gpm", p.flowValue(q), "Btu/h / (factor x drop in Fahrenheit degrees)", "%s / (%s x %s), in gpm",
		short(p.powerValue(lost).x), short(factor), short(float64(drop)*1.8))
}

func solveMix(p *problem) {
	hot := read[units.Temperature](p, p.fields, "hot", anySign)
	cold := read[units.Temperature](p, p.fields, "cold", anySign)
	mixed := read[units.Temperature](p, p.fields, "mixed", anySign)
	if p.doc.Faults.Len() == 0 {
		switch {
		case hot <= cold:
			p.fields.Faultf("hot", "not above cold")
		case mixed < cold || mixed > hot:
			p.fields.Faultf("mixed", "not between cold and hot")
		}
	}
	x, err := heat.HotFraction(hot, cold, mixed)
	if p.unanswered(err) {
		return
	}
	p.add("hot_fraction", plain(x))
	p.source("heat balance")
	if p.working {
		p.equation("hot fraction", p.items[0], "(mixed - cold) / (hot - cold)", "(%s - %s) / (%s - %s)",
			p.temperature(mixed), p.temperature(cold), p.temperature(hot), p.temperature(cold))
	}
}

// temperature writes a temperature for working.
func (p *problem) temperature(t units.Temperature) value {
	if p.si {
		return value{x: t.Celsius(), unit: "degC"}
	}
	return value{x: t.Fahrenheit(), unit: "degF"}
}

// defaultBulkModulus is that of water where a line does not give one.
const defaultBulkModulus = 2.19 * units.Gigapascal

func solveSurge(p *problem) {
	s := hydraulics.SurgePipe{Bore: p.length("bore", positive), Restraint: 1, BulkModulus: defaultBulkModulus}
	change := p.velocity("velocity_change")
	if c, ok := p.numberIf("restraint", span{0, 2, false, false}); ok {
		s.Restraint = c
	}
	if s.Restraint > 0 || p.has("wall") || p.has("modulus") {
		s.Wall, s.Modulus = p.length("wall", positive), read[units.Pressure](p, p.fields, "modulus", positive)
	} else {
		s.Wall, s.Modulus = s.Bore/10, units.Gigapascal // of a rigid pipe neither counts
	}
	if k, ok := readIf[units.Pressure](p, p.fields, "bulk_modulus", positive); ok {
		s.BulkModulus = k
	} else {
		p.step("taken: bulk modulus of water %v", p.pressureValue(defaultBulkModulus))
	}
	s.Density = p.densityOr(defaultTemperature)
	length, long := readIf[units.Length](p, p.fields, "length", positive)
	closing, timed := readIf[units.Duration](p, p.fields, "closing_time", notNegative)
	if timed && !long {
		p.fields.Need("length")
	}
	a, err := s.WaveSpeed()
	if p.unanswered(err) {
		return
	}
	full, err := s.PressureRise(change)
	p.fail(err)
	p.add("wave_speed", p.velocityValue(a))
	p.source("Korteweg (1878), Joukowsky (1898)")
	rise, critical := full, units.Duration(0)
	if long {
		critical, err = s.CriticalTime(length)
		p.fail(err)
	}
	if timed {
		rise, err = s.SlowPressureRise(change, length, closing)
		p.fail(err)
	}
	p.add("pressure_rise", p.pressureValue(rise))
	if long {
		p.add("critical_time", seconds(critical))
	}
	if !p.working {
		return
	}
	p.surgeWorking(s, a, change, full)
	if long {
		p.equation("critical time", seconds(critical), "2 L / a", "2 x %s / %s", p.long(length), p.velocityValue(a))
	}
	if timed && closing > critical {
		p.equation("pressure rise, slow closure", p.pressureValue(rise), "pressure rise x critical time / closing time",
			"%s x %s / %s",
			p.pressureValue(full), seconds(critical), seconds(closing))
	} else if timed {
		p.step("the valve closes within the critical time: the whole pressure rise comes")
	}
}

// surgeWorking writes the speed of the wave and what it adds.
func (p *problem) surgeWorking(s hydraulics.SurgePipe, a, change units.Velocity, rise units.Pressure) {
	bulk, wall := p.pressureValue(s.BulkModulus), p.pressureValue(s.Modulus)
	p.convert(bulk)
	// In pounds the density is the weight over g.
	symbols, rho := "rho", densityValue(s.Density).String()
	if !p.si {
		symbols, rho = "(w / g)", "("+value{x: p.densityValue(s.Density).x, unit: "lbf/ft3"}.String()+" / "+p.gravity()+")"
	}
	if s.Restraint == 0 {
		p.equation("a", p.velocityValue(a), "sqrt(K / "+symbols+"), rigid pipe", "sqrt(%s / %s)", p.coherent(bulk), rho)
	} else {
		p.equation("a", p.velocityValue(a), "sqrt((K / "+symbols+") / (1 + K D c / (E e)))",
			"sqrt((%s / %s) / (1 + %s x %s x %s / (%s x %s)))", p.coherent(bulk), rho, bulk, p.small(s.Bore),
			short(s.Restraint), wall, p.small(s.Wall))
	}
	x := p.pressureValue(rise)
	p.convertedEquation("pressure rise", x, p.coherent(x), symbols+" a dV", "%s x %s x %s", rho, p.velocityValue(a),
		p.velocityValue(change))
}
