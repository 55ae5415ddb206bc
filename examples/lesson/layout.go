package lesson

import (
	"math"
	"math/big"
	"strings"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func solveOffset(p *problem) {
	offset, angle := p.length("offset", positive), p.number("angle", fittingAngle)
	if !p.ready() {
		return
	}
	p.travelAndAdvance(float64(offset)/float64(units.Metre), angle)
	p.offsetWorking(p.small(offset), angle)
}

// offsetWorking writes travel and advance, which stand at the end of the answers.
func (p *problem) offsetWorking(offset value, angle float64) {
	n := len(p.items)
	p.equation("travel", p.items[n-2], "offset / sin(angle)", "%s / sin(%s deg)", offset, short(angle))
	p.equation("advance", p.items[n-1], "offset x cos(angle) / sin(angle)", "%s x cos(%s deg) / sin(%s deg)",
		offset, short(angle), short(angle))
}

// travelAndAdvance adds the two sides of an offset given in metres.
func (p *problem) travelAndAdvance(offset, angle float64) {
	travel, advance := offset, 0.0
	if angle < 90 {
		sin, cos := math.Sincos(angle * math.Pi / 180)
		travel, advance = offset/sin, offset*cos/sin
	}
	p.add("travel", p.smallMetres(travel))
	p.add("advance", p.smallMetres(advance))
}

func solveRollingOffset(p *problem) {
	rise, side := p.length("rise", notNegative), p.length("side", notNegative)
	angle := p.number("angle", fittingAngle)
	if rise == 0 && side == 0 && p.doc.Faults.Len() == 0 {
		p.fields.Faultf("rise", "rise and side are both zero: no offset")
	}
	if !p.ready() {
		return
	}
	r, s := rise.Metres(), side.Metres()
	offset := math.Sqrt(float64(r*r) + float64(s*s))
	p.add("true_offset", p.smallMetres(offset))
	p.travelAndAdvance(offset, angle)
	p.equation("true offset", p.items[0], "sqrt(rise^2 + side^2)", "sqrt((%s)^2 + (%s)^2)", p.small(rise),
		p.small(side))
	p.offsetWorking(p.items[0], angle)
}

func solvePlane(p *problem) {
	plane := slope.Plane{Ahead: p.grade("grade_ahead", anySign)}
	if p.has("grade_across") {
		plane.Across = p.grade("grade_across", anySign)
	}
	bearing := p.number("bearing", anyNumber)
	if !p.ready() {
		return
	}
	percent, err := plane.PercentAlong(bearing)
	p.fail(err)
	p.add("percent", plain(percent))
	p.equation("percent", p.items[0], "ahead x cos(bearing) + across x sin(bearing)",
		"%s x cos(%s deg) + %s x sin(%s deg)",
		short(plane.Ahead.Percent()), short(bearing), short(plane.Across.Percent()), short(bearing))
}

func solveRod(p *problem) {
	beam, elevation := p.length("instrument_height", anySign), p.length("elevation", anySign)
	if !p.ready() {
		return
	}
	reading, err := slope.Reading(beam, elevation)
	p.fail(err)
	p.add("reading", p.long(reading))
	p.equation("reading", p.items[0], "height of instrument - elevation", "%s - %s", p.long(beam), p.long(elevation))
}

func solveCutSheet(p *problem) {
	benchmark, backsight := p.length("benchmark", anySign), p.length("backsight", anySign)
	invert, grade := p.length("invert", anySign), p.grade("grade", anySign)
	stations := p.lengths("stations")
	hasGround := p.has("ground")
	var ground []units.Length
	if hasGround {
		ground = p.lengths("ground")
	}
	if p.doc.Faults.Len() == 0 {
		for i := 1; i < len(stations); i++ {
			if stations[i] < stations[i-1] {
				p.fields.Faultf("stations", "station %d lies before the one ahead of it in the list", i+1)
			}
		}
		switch {
		case len(stations) == 0:
			p.fields.Faultf("stations", "empty: give at least one distance")
		case hasGround && len(ground) != len(stations):
			p.fields.Faultf("ground", "%d elevations for %d stations", len(ground), len(stations))
		}
	}
	if !p.ready() {
		return
	}
	beam, err := slope.InstrumentHeight(benchmark, backsight)
	if p.failAt("backsight", err) {
		return
	}
	p.add("instrument_height", p.long(beam))
	inverts, readings, cuts := make([]value, len(stations)), make([]value, len(stations)), make([]value, len(ground))
	p.equation("height of instrument", p.long(beam), "benchmark + backsight", "%s + %s", p.long(benchmark),
		p.long(backsight))
	ratio := gradeText(grade)
	if strings.HasSuffix(ratio, "in/ft") {
		p.step("grade: %s / 12 = %s", ratio, short(grade.Float()))
		ratio = short(grade.Float())
	}
	for i, s := range stations {
		at := fallRat(grade, s-stations[0])
		at.Sub(nm(invert), at)
		inverts[i] = p.longRat(at)
		readings[i] = p.longRat(new(big.Rat).Sub(nm(beam), at))
		if hasGround {
			cuts[i] = p.longRat(new(big.Rat).Sub(nm(ground[i]), at))
		}
		if !p.working {
			continue
		}
		p.step("station %v:", p.long(s))
		p.equation("invert", inverts[i], "first invert - distance x grade", "%s - (%s - %s) x (%s)", p.long(invert),
			p.long(s), p.long(stations[0]), ratio)
		p.equation("reading", readings[i], "height of instrument - invert", "%s - %s", p.long(beam), inverts[i])
		if hasGround {
			p.equation("cut", cuts[i], "ground - invert", "%s - %s", p.long(ground[i]), inverts[i])
		}
	}
	p.add("inverts", list(inverts))
	p.add("readings", list(readings))
	if hasGround {
		p.add("cuts", list(cuts))
	}
}

// lengths reads a list of lengths given as texts.
func (p *problem) lengths(name string) []units.Length {
	if !p.fields.Need(name) {
		return nil
	}
	items := p.fields.List(name)
	out := make([]units.Length, len(items))
	for i := range items {
		if err := items[i].Parse(&out[i]); err != nil {
			p.fields.Faultf(name, "entry %d: %w", i+1, err)
		}
	}
	return out
}

func solveTrench(p *problem) {
	t := slope.Trench{
		Length:     p.length("length", positive),
		Width:      p.length("width", positive),
		DepthLower: p.length("depth_lower", notNegative),
		DepthUpper: p.length("depth_upper", notNegative),
	}
	if !p.ready() {
		return
	}
	v, err := t.Volume()
	p.fail(err)
	p.add("volume", p.pick(float64(v), float64(units.CubicYard), "yd3", 1, "m3"))
	p.convert(p.small(t.Width), p.small(t.DepthLower), p.small(t.DepthUpper))
	p.convertedEquation("volume", p.items[0], p.coherent(p.items[0]), "length x width x (lower depth + upper depth) / 2",
		"%s x %s x (%s + %s) / 2", p.long(t.Length), p.long(t.Width), p.long(t.DepthLower), p.long(t.DepthUpper))
}
