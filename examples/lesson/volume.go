package lesson

import (
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/units"
)

func solvePipeVolume(p *problem) {
	bore, length := p.length("bore", positive), p.length("length", positive)
	v, err := hydraulics.PipeVolume(bore, length)
	if p.unanswered(err) {
		return
	}
	p.add("volume", p.volumeValue(v))
	p.volumeWorking(bore, length, v)
}

// volumeWorking writes what a pipe holds, and the gallons or litres of it.
func (p *problem) volumeWorking(bore, length units.Length, v units.Volume) {
	p.convert(p.small(bore))
	p.convertedEquation("volume", p.volumeValue(v), p.coherent(p.volumeValue(v)), "pi D^2 / 4 x length",
		"pi x (%s)^2 / 4 x %s", p.coherent(p.small(bore)), p.long(length))
}

func solveWait(p *problem) {
	given := p.oneOf("volume", "bore")
	q := p.flow("flow")
	var v units.Volume
	var bore, length units.Length
	switch given {
	case "volume":
		v = read[units.Volume](p, p.fields, given, positive)
	case "bore":
		bore, length = p.length("bore", positive), p.length("length", positive)
	}
	if !p.ready() {
		return
	}
	if given == "bore" {
		var err error
		if v, err = hydraulics.PipeVolume(bore, length); p.fail(err) {
			return
		}
		p.volumeWorking(bore, length, v)
	}
	p.add("volume", p.volumeValue(v))
	p.add("time", seconds(units.Duration(float64(v)/float64(q))))
	worked := p.items[1]
	if !p.si {
		worked = value{x: worked.x / 60, unit: "min"}
	}
	p.convertedEquation("time", p.items[1], worked, "volume / flow", "%s / %s", p.volumeValue(v), p.flowValue(q))
}

func solveWater(p *problem) {
	t := read[units.Temperature](p, p.fields, "temperature", anySign)
	if !p.ready() {
		return
	}
	w, err := hydraulics.WaterAt(t)
	if p.failAt("temperature", err) {
		return
	}
	p.add("density", value{x: float64(w.Density), unit: "kg/m3"})
	p.add("viscosity", value{x: float64(w.Viscosity), unit: "Pa-s"})
	p.add("kinematic", value{x: float64(w.KinematicViscosity), unit: "m2/s"})
	p.add("vapour_pressure", value{x: float64(w.VapourPressure / units.Kilopascal), unit: "kPa"})
	p.add("specific_heat", value{x: float64(w.SpecificHeat) / 1000, unit: "kJ/kg-K"})
	p.formula("liquid water at one atmosphere, from tables of coefficients")
	p.results()
	p.equation("kinematic", p.items[2], "viscosity / density", "%s / %s", p.items[1], p.items[0])
	p.source("IAPWS SR6-08 (2011); vapour pressure IAPWS R7-97 (2012)")
}
