package lesson

import (
	"github.com/trapweir/trapweir/dwv/gravity"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func solveOpenChannel(p *problem) {
	pipe := gravity.Pipe{
		Bore:      p.length("bore", positive),
		Grade:     p.grade("grade", positive),
		Roughness: p.number("n", fraction),
	}
	given := p.oneOf("depth_ratio", "flow")
	var f gravity.PartFull
	var err error
	switch given {
	case "depth_ratio":
		depth := p.number("depth_ratio", fraction)
		if !p.ready() {
			return
		}
		f, err = pipe.AtDepth(depth)
	default:
		if given != "" {
			f.Flow = p.flow("flow")
		}
		if !p.ready() {
			return
		}
		f, err = pipe.AtFlow(f.Flow)
	}
	if p.fail(err) {
		return
	}
	fullFlow, fullVelocity, err := pipe.Full()
	p.fail(err)
	d := pipe.Bore.Metres()
	p.add("flow", p.flowValue(f.Flow))
	p.add("velocity", p.velocityValue(f.Velocity))
	p.add("depth_ratio", plain(f.Elements.Depth))
	p.add("area", p.areaValue(f.WettedArea()))
	p.add("hydraulic_radius", p.smallMetres(f.HydraulicRadius*d))
	p.add("full_flow", p.flowValue(fullFlow))
	p.add("full_velocity", p.velocityValue(fullVelocity))
	p.source("Manning's formula, n constant with depth; geometry of the circular segment (Chow, Open-Channel " +
		"Hydraulics, 1959)")
	if !p.working {
		return
	}
	p.manningFormula()
	radius := p.coherent(p.smallMetres(d / 4))
	p.convert(p.smallMetres(d))
	p.equation("full pipe: R", radius, "D / 4", "%s / 4", p.coherent(p.smallMetres(d)))
	p.equation("S", plain(pipe.Grade.Float()), "fall / length", "%s", overRun(pipe.Grade))
	p.manningWorking("full V", p.velocityValue(fullVelocity), radius, pipe)
	full := p.flowValue(fullFlow)
	p.convertedEquation("full Q", full, p.coherent(full), "V pi D^2 / 4", "%s x pi x (%s)^2 / 4",
		p.velocityValue(fullVelocity), p.coherent(p.smallMetres(d)))
	if given == "flow" {
		p.equation("flow ratio", plain(float64(f.Flow/fullFlow)), "Q / full Q", "%s / %s", p.flowValue(f.Flow),
			p.flowValue(fullFlow))
		p.step("solved for the depth: depth ratio = %s", short(f.Elements.Depth))
	}
	p.equation("angle of the wetted part in radians", plain(f.Angle), "4 asin(sqrt(depth ratio))", "4 x asin(sqrt(%s))",
		short(f.Elements.Depth))
	p.equation("area", p.areaValue(f.WettedArea()), "D^2 / 8 x (angle - sin(angle))", "(%s)^2 / 8 x (%s - sin(%s))",
		p.smallMetres(d), exactly10(f.Angle), exactly10(f.Angle))
	wetted := p.smallMetres(f.HydraulicRadius * d)
	p.equation("R", wetted, "area / (D angle / 2)", "%s / (%s x %s / 2)", p.areaValue(f.WettedArea()), p.smallMetres(d),
		short(f.Angle))
	p.convert(wetted)
	p.manningWorking("V", p.velocityValue(f.Velocity), p.coherent(wetted), pipe)
	p.convert(p.areaValue(f.WettedArea()))
	flow := p.flowValue(f.Flow)
	p.convertedEquation("Q", flow, p.coherent(flow), "V x area", "%s x %s", p.velocityValue(f.Velocity),
		p.coherent(p.areaValue(f.WettedArea())))
}

// manningWorking writes a velocity by Manning's formula, of which the numbers alone are
// put in: n has the units that make it hold.
func (p *problem) manningWorking(name string, v, radius value, pipe gravity.Pipe) {
	p.equation(name, v, "("+p.manningFactor()+" / n) R^(2/3) S^(1/2)", "(%s / %s) x %s^(2/3) x %s^(1/2), in %s",
		p.manningFactor(), short(pipe.Roughness), short(radius.x), short(pipe.Grade.Float()), v.unit)
}

func (p *problem) manningFactor() string {
	if p.si {
		return "1"
	}
	return "1.48592"
}

func (p *problem) manningFormula() {
	if p.si {
		p.formula("V = (1/n) R^(2/3) S^(1/2), R in m, V in m/s; Q = V A")
		return
	}
	p.formula("V = (1.48592/n) R^(2/3) S^(1/2), R in ft, V in ft/s; Q = V A")
}

func solveStack(p *problem) {
	bore, fill := p.length("bore", positive), p.number("fill", fraction)
	s, err := gravity.StackCapacity(bore, fill)
	if p.unanswered(err) {
		return
	}
	p.add("flow", p.flowValue(s.Flow))
	p.add("terminal_velocity", p.velocityValue(s.TerminalVelocity))
	p.add("terminal_length", p.longMetres(s.TerminalMetres))
	gpm, fps := float64(s.Flow/units.USGallonPerMinute), float64(s.TerminalVelocity/units.FootPerSecond)
	inches := value{x: bore.Inches(), unit: "in"}
	p.conversion(p.small(bore), inches)
	p.convertedEquation("Q", p.flowValue(s.Flow), value{x: gpm, unit: "gpm"}, "27.8 r^(5/3) d^(8/3), d in inches",
		"27.8 x %s^(5/3) x %s^(8/3), in gpm", short(fill), short(inches.x))
	p.convertedEquation("V", p.velocityValue(s.TerminalVelocity), value{x: fps, unit: "ft/s"},
		"3.0 (Q / d)^(2/5), Q in gpm",
		"3.0 x (%s / %s)^(2/5), in ft/s", short(gpm), short(inches.x))
	p.convertedEquation("L", p.longMetres(s.TerminalMetres), value{x: s.TerminalMetres / 0.3048, unit: "ft"},
		"0.052 V^2, V in ft/s", "0.052 x %s^2, in ft", short(fps))
	p.rests(tables.Memory, "Wyly and Eaton, National Bureau of Standards BMS 132 (1952) and Monograph 31 (1961) "+
		"(recalled, not seen in print)")
}
