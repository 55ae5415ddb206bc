package lesson

import (
	"fmt"
	"math/big"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func solveFall(p *problem) {
	length, grade := p.length("length", positive), p.grade("grade", notNegative)
	if !p.ready() {
		return
	}
	p.add("fall", p.smallRat(fallRat(grade, length)))
	p.equation("fall", p.items[0], "length x grade", "%s x %s", p.long(length), gradeText(grade))
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
	p.equation("per foot", p.items[1], "fall / length", "%s / %s", p.small(fall), p.long(length))
	p.equation("one in", p.items[2], "length / fall", "%s / %s", p.long(length), p.coherent(p.small(fall)))
}

func solveLengthForFall(p *problem) {
	fall, grade := p.length("fall", positive), p.grade("grade", positive)
	if !p.ready() {
		return
	}
	p.add("length", p.longRat(new(big.Rat).Quo(nm(fall), gradeRat(grade))))
	p.convert(p.small(fall))
	p.equation("length", p.items[0], "fall / grade", "%s / (%s)", p.coherent(p.small(fall)), gradeText(grade))
}

func solveInverts(p *problem) {
	outlet := p.length("outlet_invert", anySign)
	type run struct {
		length, drop units.Length
		grade        slope.Grade
	}
	var runs []run
	if p.fields.Need("runs") {
		items := p.fields.List("runs")
		if len(items) == 0 && p.doc.Faults.Len() == 0 {
			p.fields.Faultf("runs", "empty: give at least one run")
		}
		for i := range items {
			f := p.doc.Fields(&items[i], fmt.Sprintf("runs[%d]", i))
			r := run{
				length: read[units.Length](p, f, "length", positive),
				grade:  gradeOf(f, "grade", notNegative),
			}
			r.drop, _ = readIf[units.Length](p, f, "drop", notNegative)
			f.Done()
			runs = append(runs, r)
		}
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
		p.equation(fmt.Sprintf("upper end of run %d", i+1), inverts[i], "lower end + length x grade + drop",
			"%s + %s x %s + %s", lower, p.long(r.length), gradeText(r.grade), p.coherent(p.small(r.drop)))
	}
	p.add("inverts", list(inverts))
}

// gradeText writes a grade as it stands in a formula.
func gradeText(g slope.Grade) string { return g.String() }
