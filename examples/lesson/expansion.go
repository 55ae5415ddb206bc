package lesson

import (
	"math"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func solveExpansionOfWater(p *problem) {
	v := read[units.Volume](p, p.fields, "volume", positive)
	cold := read[units.Temperature](p, p.fields, "cold", anySign)
	hot := read[units.Temperature](p, p.fields, "hot", anySign)
	if hot <= cold && p.doc.Faults.Len() == 0 {
		p.fields.Faultf("hot", "not above cold")
	}
	if !p.ready() {
		return
	}
	c, err := hydraulics.WaterAt(cold)
	p.failAt("cold", err)
	h, err := hydraulics.WaterAt(hot)
	p.failAt("hot", err)
	if p.doc.Faults.Len() > 0 {
		return
	}
	more, err := heat.ExpansionVolume(v, cold, hot, 0)
	if p.fail(err) {
		return
	}
	p.add("expansion", p.volumeValue(more))
	p.source("density of water, IAPWS SR6-08 (2011)")
	dense, thin := p.densityValue(c.Density), p.densityValue(h.Density)
	p.step("density of the water: cold %v, hot %v", dense, thin)
	p.equation("expansion", p.volumeValue(more), "volume x (density cold / density hot - 1)", "%s x (%s / %s - 1)",
		p.volumeValue(v), exactly10(dense.x), exactly10(thin.x))
}

// atmosphere is that at sea level, where a line does not give one.
const atmosphere = 101.325 * units.Kilopascal

func solveExpansionTank(p *problem) {
	more := read[units.Volume](p, p.fields, "expansion", positive)
	fill := read[units.Pressure](p, p.fields, "fill", notNegative)
	highest := read[units.Pressure](p, p.fields, "highest", positive)
	air := units.Pressure(atmosphere)
	if a, ok := readIf[units.Pressure](p, p.fields, "atmosphere", positive); ok {
		air = a
	}
	v, err := heat.ExpansionTank(more, fill, highest, air)
	if p.unanswered(err) {
		return
	}
	p.add("volume", p.volumeValue(v))
	p.step("absolute pressure = gauge + %v of atmosphere", p.pressureValue(air))
	p.equation("volume", p.volumeValue(v), "expansion / (1 - (fill + atmosphere) / (highest + atmosphere))",
		"%s / (1 - (%s + %s) / (%s + %s))", p.volumeValue(more), p.pressureValue(fill), p.pressureValue(air),
		p.pressureValue(highest), p.pressureValue(air))
	p.source("the gas law of Boyle (1662)")
}

func solvePipeExpansion(p *problem) {
	length, alpha := p.length("length", positive), p.alpha()
	change := read[units.TemperatureDifference](p, p.fields, "change", anySign)
	d, err := heat.Expansion(length, alpha, change)
	if p.unanswered(err) {
		return
	}
	p.add("expansion", p.small(d))
	p.source("linear expansion by the coefficient given")
	share, degrees := alpha, value{x: float64(change), unit: "K"}
	if !p.si {
		share, degrees = alpha/1.8, value{x: float64(change) * 1.8, unit: "Fdeg"}
		if p.fields.Get("alpha").Kind != strictjson.String || strings.HasSuffix(p.fields.Text("alpha"), "K") {
			p.step("alpha = %s per K / 1.8 = %s per Fahrenheit degree (Fdeg)", short(alpha), short(share))
		}
	}
	p.conversion(p.long(length), p.small(length))
	p.equation("expansion", p.small(d), "length x alpha x change", "%s x %s per %s x %s", p.small(length), short(share),
		degrees.unit, degrees)
}

// solveExpansionLeg answers how long the leg of an offset must be, by the beam or by the
// constant that makers of plastic pipe print.
func solveExpansionLeg(p *problem) {
	move, outside := p.length("expansion", positive), p.length("diameter", positive)
	given := p.oneOf("c", "modulus")
	if given == "c" {
		c := p.number("c", span{0, 1000, true, false})
		if p.ready() {
			l := units.Metres(c * math.Sqrt(outside.Metres()*move.Metres()))
			p.add("length", p.small(l))
			p.equation("length", p.small(l), "c sqrt(D x expansion)", "%s x sqrt(%s x %s)", short(c), p.small(outside),
				p.small(move))
			p.rests(tables.Practice, "makers of plastic pipe, who print c for each material")
		}
		return
	}
	modulus := read[units.Pressure](p, p.fields, "modulus", positive)
	stress := read[units.Pressure](p, p.fields, "stress", positive)
	guided, factor, symbols := true, "3", "sqrt(3 E D x expansion / S)"
	if p.has("end") && p.wordIf("end", "guided", "free") == "free" {
		guided, factor, symbols = false, "1.5", "sqrt(1.5 E D x expansion / S)"
	}
	l, err := heat.ExpansionLeg(move, outside, modulus, stress, guided)
	if p.unanswered(err) {
		return
	}
	p.add("length", p.small(l))
	p.equation("length", p.small(l), symbols, "sqrt(%s x %s x %s x %s / %s)", factor, p.pressureValue(modulus),
		p.small(outside), p.small(move), p.pressureValue(stress))
	p.source("bending of a beam clamped at one end")
}

// alpha reads a coefficient of linear expansion: a number per kelvin, or a text with
// 1/K or 1/degF.
func (p *problem) alpha() float64 {
	v := p.fields.Get("alpha")
	if v == nil || v.Kind != strictjson.String {
		return p.number("alpha", span{0, 0.01, true, false})
	}
	s, per := strings.TrimSpace(v.Text), 1.0
	switch {
	case strings.HasSuffix(s, "1/degF"):
		s, per = strings.TrimSuffix(s, "1/degF"), 1.8
	case strings.HasSuffix(s, "1/K"):
		s = strings.TrimSuffix(s, "1/K")
	default:
		s = ""
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || !(x > 0 && x*per <= 0.01) {
		p.fields.Faultf("alpha", `%q is not a coefficient of linear expansion, greater than 0 and at most 0.01 1/K, `+
			`such as "1.66e-5 1/K" or "9.2e-6 1/degF"`, v.Text)
	}
	return x * per
}

func solveCriticalRadius(p *problem) {
	k := read[units.Conductivity](p, p.fields, "insulation_conductivity", positive)
	h := read[units.HeatTransferCoefficient](p, p.fields, "film", positive)
	r, err := heat.CriticalRadius(k, h)
	if p.unanswered(err) {
		return
	}
	p.add("radius", p.small(r))
	p.convertedEquation("radius", p.small(r), p.coherent(p.small(r)), "k / h", "%s / %s", p.conductivity(k), p.film(h))
	p.step("insulation on a pipe of smaller radius loses more heat until it passes this radius")
	p.source("derivative of the resistance of a cylinder in air")
}
