package lesson

import (
	"math/big"
	"strconv"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Answers come in the unit system of the line. Lengths and grades are exact up
// to the moment they are printed: a fall is a rational number of nanometres, not
// one rounded to a nanometre.

func (p *problem) pick(x float64, us float64, usUnit string, si float64, siUnit string) value {
	if p.si {
		return value{x: x / si, unit: siUnit}
	}
	return value{x: x / us, unit: usUnit}
}

// small is a length in in or mm, long one in ft or m.
func (p *problem) small(l units.Length) value {
	return p.exactLength(nm(l), units.Inch, "in", units.Millimetre, "mm")
}

func (p *problem) long(l units.Length) value {
	return p.exactLength(nm(l), units.Foot, "ft", units.Metre, "m")
}

func (p *problem) smallRat(r *big.Rat) value {
	return p.exactLength(r, units.Inch, "in", units.Millimetre, "mm")
}

func (p *problem) longRat(r *big.Rat) value {
	return p.exactLength(r, units.Foot, "ft", units.Metre, "m")
}

func (p *problem) exactLength(nm *big.Rat, us units.Length, usUnit string, si units.Length, siUnit string) value {
	unit, name := us, usUnit
	if p.si {
		unit, name = si, siUnit
	}
	x, _ := new(big.Rat).Quo(nm, new(big.Rat).SetInt64(int64(unit))).Float64()
	return value{x: x, unit: name}
}

// smallMetres and longMetres are for lengths that come out of roots and powers.
func (p *problem) smallMetres(m float64) value { return p.pick(m, 0.0254, "in", 0.001, "mm") }

func (p *problem) longMetres(m float64) value { return p.pick(m, 0.3048, "ft", 1, "m") }

func (p *problem) flowValue(q units.Flow) value {
	return p.pick(float64(q), float64(units.USGallonPerMinute), "gpm", float64(units.LitrePerSecond), "L/s")
}

func (p *problem) velocityValue(v units.Velocity) value {
	return p.pick(float64(v), float64(units.FootPerSecond), "ft/s", 1, "m/s")
}

func (p *problem) pressureValue(x units.Pressure) value {
	return p.pick(float64(x), float64(units.PoundForcePerSquareInch), "psi", float64(units.Kilopascal), "kPa")
}

func (p *problem) headValue(h units.Head) value { return p.longMetres(float64(h)) }

func (p *problem) volumeValue(v units.Volume) value {
	return p.pick(float64(v), float64(units.USGallon), "gal", float64(units.Litre), "L")
}

func (p *problem) areaValue(a units.Area) value {
	return p.pick(float64(a), float64(units.SquareInch), "in2", float64(units.SquareMillimetre), "mm2")
}

func (p *problem) powerValue(w units.Power) value {
	return p.pick(float64(w), float64(units.BtuPerHour), "Btu/h", 1, "W")
}

func (p *problem) perLengthValue(w units.HeatFlowPerLength) value {
	return p.pick(float64(w), float64(units.BtuPerHour)/0.3048, "Btu/h-ft", 1, "W/m")
}

func seconds(d units.Duration) value { return value{x: float64(d), unit: "s"} }

// nm returns a length as a rational number of nanometres.
func nm(l units.Length) *big.Rat { return new(big.Rat).SetInt64(int64(l)) }

// fallRat returns the exact fall over a run in nanometres.
func fallRat(g slope.Grade, run units.Length) *big.Rat {
	r := gradeRat(g)
	return r.Mul(r, nm(run))
}

func gradeRat(g slope.Grade) *big.Rat {
	rise, run := g.Ratio()
	return new(big.Rat).SetFrac64(rise, run)
}

func ratio(r *big.Rat) value {
	x, _ := r.Float64()
	return plain(x)
}

func solveConvert(p *problem) {
	var q units.Quantity
	if p.fields.Need("value") {
		p.fields.Parse("value", &q)
	}
	p.fields.Need("to")
	to := p.fields.Text("to")
	if !p.ready() {
		return
	}
	exact, err := q.Rat(to)
	if err != nil {
		p.failAt("to", withoutPrefix(err, "convert"))
		return
	}
	x, _ := exact.Float64()
	p.add("value", value{x: x, unit: to})
	if !p.working {
		return
	}
	p.convertWorking(q, to, p.items[0])
}

// convertWorking writes a conversion: a factor, and for temperatures the shift of zero.
func (p *problem) convertWorking(q units.Quantity, to string, result value) {
	x, err := q.In(q.Unit())
	if err != nil {
		return
	}
	shift, err1 := inUnit(0, q.Unit(), to) // the other unit's figure for none and for one of this
	one, err2 := inUnit(1, q.Unit(), to)
	if err1 != nil || err2 != nil {
		return
	}
	factor := one - shift
	switch {
	case shift != 0 && q.Unit() == "degF" && to == "degC":
		p.equation("value", result, "(F - 32) / 1.8", "(%s - 32) / 1.8, in degC", short(x))
	case shift != 0 && q.Unit() == "degC" && to == "degF":
		p.equation("value", result, "1.8 x C + 32", "1.8 x %s + 32, in degF", short(x))
	case shift != 0:
		p.equation("value", result, "given x factor + shift of zero", "%s x %s + %s, in %s", short(x), short(factor),
			short(shift), to)
	default:
		p.step("one %s is %s %s by the definitions of both", q.Unit(), short(factor), to)
		p.equation("value", result, "given x "+to+" in one "+q.Unit(), "%s x %s, in %s", short(x), short(factor), to)
	}
}

// inUnit returns a number of one unit in another.
func inUnit(x float64, from, to string) (float64, error) {
	q, err := units.ParseQuantity(strconv.FormatFloat(x, 'g', -1, 64) + " " + from)
	if err != nil {
		return 0, err
	}
	return q.In(to)
}
