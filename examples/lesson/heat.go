package lesson

import (
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
	if !p.ready() {
		return
	}
	total, err := h.Total(water, ambient)
	if err != nil {
		p.fail(err)
		return
	}
	per, err := h.PerLength(water, ambient)
	p.fail(err)
	p.add("heat_loss", p.powerValue(total))
	p.add("per_length", p.perLengthValue(per))
	if !p.working {
		return
	}
	r, err := h.Resistance()
	p.fail(err)
	r1 := h.Bore / 2
	r2 := r1 + h.Wall
	p.formula("q = (T water - T ambient) / R, R = sum of ln(outer/inner)/(2 pi k) over wall and insulation, plus the outside")
	p.step("  wall: ln(%s / %s) / (2 pi x %s W/m-K)", p.small(r2), p.small(r1), short(float64(h.Conductivity)))
	if h.Insulation > 0 {
		p.step("  insulation: ln(%s / %s) / (2 pi x %s W/m-K)", p.small(r2+h.Insulation), p.small(r2), short(float64(h.InsulationConductivity)))
	}
	switch h.Surroundings {
	case heat.InAir:
		p.step("  outside: 1 / (2 pi r h) with h = %s W/m2-K", short(float64(h.Film)))
	case heat.Buried:
		p.step("  ground: acosh(2 z/D) / (2 pi k) with z = %s, k = %s W/m-K", p.long(h.BurialDepth), short(float64(h.SoilConductivity)))
	}
	p.step("  R = %s m-K/W, q = (%s - %s) K / R = %s W/m", short(r), short(water.Kelvin()), short(ambient.Kelvin()), short(float64(per)))
	p.results()
	p.source("conduction through cylinders (Fourier, 1822); no film inside")
}

// hotTemperature is that of circulating hot water where a line does not give one.
var hotTemperature = units.Fahrenheit(120)

func solveRecirculation(p *problem) {
	lost := read[units.Power](p, p.fields, "heat_loss", positive)
	drop := read[units.TemperatureDifference](p, p.fields, "drop", positive)
	w := p.waterAt(hotTemperature)
	if !p.ready() {
		return
	}
	q, err := heat.RecirculationFlow(lost, drop, w)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("flow", p.flowValue(q))
	p.show("flow = heat loss / (rho cp drop)", "%s W / (%s kg/m3 x %s J/kg-K x %s K)",
		short(float64(lost)), short(float64(w.Density)), short(float64(w.SpecificHeat)), short(float64(drop)))
	p.source("heat balance; water by IAPWS SR6-08 (2011)")
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
	if !p.ready() {
		return
	}
	x, err := heat.HotFraction(hot, cold, mixed)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("hot_fraction", plain(x))
	if p.working {
		p.show("hot fraction = (mixed - cold) / (hot - cold)", "(%s - %s) / (%s - %s)",
			p.temperature(mixed), p.temperature(cold), p.temperature(hot), p.temperature(cold))
		p.source("heat balance")
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
	s := hydraulics.SurgePipe{
		Bore:        p.length("bore", positive),
		Wall:        p.length("wall", positive),
		Modulus:     read[units.Pressure](p, p.fields, "modulus", positive),
		Restraint:   1,
		BulkModulus: defaultBulkModulus,
	}
	change := p.velocity("velocity_change")
	if c, ok := p.numberIf("restraint", span{0, 2, false, false}); ok {
		s.Restraint = c
	}
	if k, ok := readIf[units.Pressure](p, p.fields, "bulk_modulus", positive); ok {
		s.BulkModulus = k
	}
	if rho, ok := readIf[units.Density](p, p.fields, "density", positive); ok {
		s.Density = rho
	} else if w, err := hydraulics.WaterAt(defaultTemperature); err == nil {
		s.Density = w.Density
	}
	if !p.ready() {
		return
	}
	a, err := s.WaveSpeed()
	if err != nil {
		p.fail(err)
		return
	}
	rise, err := s.PressureRise(change)
	p.fail(err)
	p.add("wave_speed", p.velocityValue(a))
	p.add("pressure_rise", p.pressureValue(rise))
	p.show("a^2 = (K/rho) / (1 + K D c/(E e)), pressure rise = rho a dV",
		"K %s Pa, rho %s kg/m3, D/e %s, E %s Pa, c %s", short(float64(s.BulkModulus)), short(float64(s.Density)),
		short(s.Bore.Metres()/s.Wall.Metres()), short(float64(s.Modulus)), short(s.Restraint))
	p.source("Korteweg (1878), Joukowsky (1898); a stop within the time of a wave there and back")
}
