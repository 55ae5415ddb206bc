package lesson

import (
	"github.com/trapweir/trapweir/dwv/gravity"
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
	if err != nil {
		p.fail(err)
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
	if !p.working {
		return
	}
	p.manningFormula()
	p.step("full: R = D/4 = %s, S = %s", p.smallMetres(d/4), short(pipe.Grade.Float()))
	p.step("  V = (%s/%s) x R^(2/3) x %s^(1/2) = %s", p.manningFactor(), short(pipe.Roughness), short(pipe.Grade.Float()), p.velocityValue(fullVelocity))
	p.step("  Q = V x pi D^2/4 = %s", p.flowValue(fullFlow))
	if given == "flow" {
		p.step("flow ratio = %s / %s = %s; solved for the depth: depth ratio = %s", p.flowValue(f.Flow), p.flowValue(fullFlow),
			short(float64(f.Flow/fullFlow)), short(f.Elements.Depth))
	}
	p.step("depth ratio %s: angle = 4 asin(sqrt(depth ratio)) = %s rad", short(f.Elements.Depth), short(f.Angle))
	p.step("  area = D^2/8 x (angle - sin angle) = %s, R = area / (D angle/2) = %s", p.areaValue(f.WettedArea()), p.smallMetres(f.HydraulicRadius*d))
	p.results()
	p.source("Manning's formula, n constant with depth; geometry of the circular segment (Chow, Open-Channel Hydraulics, 1959)")
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
	if !p.ready() {
		return
	}
	s, err := gravity.StackCapacity(bore, fill)
	if err != nil {
		p.fail(err)
		return
	}
	p.add("flow", p.flowValue(s.Flow))
	p.add("terminal_velocity", p.velocityValue(s.TerminalVelocity))
	p.add("terminal_length", p.longMetres(s.TerminalMetres))
	p.show("Q = 27.8 r^(5/3) d^(8/3) gpm, V = 3.0 (Q/d)^(2/5) ft/s, L = 0.052 V^2 ft; d in inches",
		"27.8 x %s^(5/3) x %s^(8/3)", short(fill), short(bore.Inches()))
	p.source("Wyly and Eaton, National Bureau of Standards BMS 132 (1952) and Monograph 31 (1961) (recalled)")
}
