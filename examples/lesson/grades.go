package lesson

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func solveFall(p *problem) {
	length, grade := p.length("length", positive), p.grade("grade", notNegative)
	if !p.ready() {
		return
	}
	p.add("fall", p.smallRat(fallRat(grade, length)))
	p.fallWorking("fall", "length x grade", length, grade)
}

// fallWorking writes a fall: feet times inches per foot are inches, and for a grade in
// percent or one in so many the length is first turned into the unit of the fall.
func (p *problem) fallWorking(name, formula string, length units.Length, grade slope.Grade) {
	from := p.small(length)
	if strings.HasSuffix(gradeText(grade), "in/ft") && !p.si {
		from = p.long(length)
	} else {
		p.conversion(p.long(length), from)
	}
	p.equation(name, p.smallRat(fallRat(grade, length)), formula, "%s x %s", from, p.gradeFigure(grade))
}

// gradeFigure writes a grade as a substitution takes it: inches in a foot as a ratio where
// the lengths are metric, and one in so many as it is.
func (p *problem) gradeFigure(g slope.Grade) string {
	if s := gradeText(g); !p.si || !strings.HasSuffix(s, "in/ft") {
		return s
	}
	return short(g.Float())
}

func solveGrade(p *problem) {
	length, fall := p.length("length", positive), p.length("fall", positive)
	if !p.ready() {
		return
	}
	g := new(big.Rat).SetFrac64(int64(fall), int64(length))
	percent, foot := new(big.Rat).SetInt64(100), new(big.Rat).SetInt64(12)
	p.add("percent", ratio(percent.Mul(percent, g)))
	perFoot, _ := foot.Mul(foot, g).Float64()
	p.add("per_foot", value{x: perFoot, unit: "in/ft"})
	p.add("one_in", ratio(new(big.Rat).Inv(g)))
	p.convert(p.small(fall))
	p.equation("percent", p.items[0], "100 x fall / length", "100 x %s / %s", p.coherent(p.small(fall)), p.long(length))
	p.perFootWorking(fall, length)
	p.equation("one in", p.items[2], "length / fall", "%s / %s", p.long(length), p.coherent(p.small(fall)))
}

// perFootWorking writes a grade in inches per foot, which a metric student finds from the
// ratio.
func (p *problem) perFootWorking(fall, length units.Length) {
	if p.si {
		p.equation("per foot", p.items[1], "12 in x fall / length", "12 x %s / %s, in in/ft", short(fall.Metres()),
			short(length.Metres()))
		return
	}
	p.equation("per foot", p.items[1], "fall / length", "%s / %s", p.small(fall), p.long(length))
}

func solveLengthForFall(p *problem) {
	fall, grade := p.length("fall", positive), p.grade("grade", positive)
	if !p.ready() {
		return
	}
	p.add("length", p.longRat(new(big.Rat).Quo(nm(fall), gradeRat(grade))))
	from := p.small(fall)
	if p.si || !strings.HasSuffix(gradeText(grade), "in/ft") {
		p.convert(from)
		from = p.coherent(from)
	}
	p.equation("length", p.items[0], "fall / grade", "%s / (%s)", from, p.gradeFigure(grade))
}

func solveInverts(p *problem) {
	outlet := p.length("outlet_invert", anySign)
	type run struct {
		length, drop units.Length
		grade        slope.Grade
	}
	var runs []run
	for f := range p.each("runs", "run") {
		r := run{length: read[units.Length](p, f, "length", positive), grade: gradeOf(f, "grade", notNegative)}
		r.drop, _ = readIf[units.Length](p, f, "drop", notNegative)
		runs = append(runs, r)
	}
	if !p.ready() {
		return
	}
	at := nm(outlet)
	inverts := make([]value, len(runs))
	for i, r := range runs {
		lower := p.longRat(at)
		at = at.Add(at, fallRat(r.grade, r.length))
		at = at.Add(at, nm(r.drop))
		inverts[i] = p.longRat(at)
		if !p.working {
			continue
		}
		p.fallWorking(fmt.Sprintf("fall of run %d", i+1), "length x grade", r.length, r.grade)
		fall := p.smallRat(fallRat(r.grade, r.length))
		p.convert(fall)
		end := fmt.Sprintf("upper end of run %d", i+1)
		if r.drop == 0 {
			p.equation(end, inverts[i], "lower end + fall", "%s + %s", lower, p.coherent(fall))
			continue
		}
		p.convert(p.small(r.drop))
		p.equation(end, inverts[i], "lower end + fall + drop", "%s + %s + %s", lower, p.coherent(fall),
			p.coherent(p.small(r.drop)))
	}
	p.add("inverts", list(inverts))
}

// overRun writes a grade as a fall over its run: "1/4 in / 12 in".
func overRun(g slope.Grade) string {
	if fall, ok := strings.CutSuffix(gradeText(g), " in/ft"); ok {
		return fall + " in / 12 in"
	}
	return gradeText(g)
}

// gradeText writes a grade as it stands in a formula.
func gradeText(g slope.Grade) string { return g.String() }
