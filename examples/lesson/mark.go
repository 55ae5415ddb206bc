package lesson

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// judge is how an answer is marked.
type judge uint8

const (
	byShare  judge = iota // within a share of the right answer
	byLength              // within a length: where a point stands does not grow with its datum
	exactly               // what is counted or chosen from a table
)

// judges are the answers that are not marked by a share; fixture units are exact
// whatever they are called.
var judges = map[string]judge{
	"inverts": byLength, "reading": byLength, "readings": byLength, "cuts": byLength, "instrument_height": byLength,
	"size": exactly, "meter": exactly, "in_use": exactly, "max_load": exactly, "max_length": exactly,
	"max_flow": exactly, "vent": exactly,
}

func judgeOf(path []any, unit string) judge {
	if name, ok := path[0].(string); ok && judges[name] != byShare {
		return judges[name]
	}
	if unit != "1" && plainUnit(unit) {
		return exactly
	}
	return byShare
}

// The tolerances of an answer where the line gives none: a share, and a length as
// a rod is read.
const (
	defaultShare  = 0.01
	defaultFeet   = "0.01 ft"
	defaultMetres = "3 mm"
)

// tolerance is how far off an answer may be and still be right.
type tolerance struct {
	share  float64
	length string // "": the usual one of the unit system
	given  bool
	used   bool // an answer was marked by what was given
}

// marker compares one student's answers with the right ones.
type marker struct {
	p         *problem
	problem   *strictjson.Value
	right     *problem // solved
	tolerance tolerance
	slips     []slip // worked when an answer is wrong
}

func solveMark(p *problem) {
	tol := p.tolerance()
	p.fields.Need("problem")
	p.fields.Need("student")
	right, student := p.fields.Object("problem"), p.fields.Object("student")
	if right == nil || student == nil {
		p.ready()
		return
	}
	if member(right, "ask").Text == "mark" {
		p.fields.Faultf("problem", "ask: a mark is not a problem to be marked")
	}
	if !p.ready() {
		return
	}
	opt := options{working: p.working, shelf: p.shelf}
	q, ok := solveProblem(&strictjson.Document{}, right, opt)
	if !ok {
		p.fields.Faultf("problem", "%s", faultText(q.doc.Faults.Err()))
		return
	}
	p.lines = append(p.lines, q.lines...)
	m := marker{p: p, problem: right, right: q, tolerance: tol}
	for i, name := range student.Names {
		at := slices.Index(q.names, name)
		if at < 0 {
			p.fields.Faultf("student", "%q is not an answer of this problem; the answers are %s",
				name, strings.Join(q.names, ", "))
			continue
		}
		p.add(name, m.mark(&q.items[at], &student.Items[i], []any{name}))
		if p.working {
			p.judgement(name, &q.items[at], &student.Items[i], &p.items[len(p.items)-1])
		}
	}
	if len(student.Names) == 0 {
		p.fields.Faultf("student", "empty: give at least one answer")
	} else if m.tolerance.given && !m.tolerance.used {
		p.fields.Faultf("tolerance", `no answer is marked by it: elevations, readings and cuts by a length `+
			`such as "0.02 ft", sizes, counts and fixture units exactly, the rest by a share such as "2 %%"`)
	}
}

// tolerance reads how far off an answer may be: a ratio, a text in percent, or a length.
func (p *problem) tolerance() tolerance {
	v := p.fields.Get("tolerance")
	if v == nil {
		return tolerance{share: defaultShare}
	}
	t := tolerance{share: defaultShare, given: true}
	if v.Kind != strictjson.String {
		t.share, _ = p.numberIf("tolerance", span{0, 1, false, true})
		return t
	}
	number, percent := strings.CutSuffix(strings.TrimSpace(v.Text), "%")
	if percent {
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || !(x >= 0 && x < 100) {
			p.fields.Faultf("tolerance", `%q is not a percentage under 100, such as "2 %%"`, v.Text)
		}
		t.share = x / 100
		return t
	}
	var l units.Length
	if err := l.UnmarshalText([]byte(v.Text)); err != nil {
		p.fields.Faultf("tolerance", `%w; it is a share such as "2 %%", or a length such as "0.02 ft"`, err)
	} else if l < 0 {
		p.fields.Faultf("tolerance", "%q is negative", v.Text)
	}
	t.length = v.Text
	return t
}

// mark returns the verdict on one answer; of a list or an object, on each part.
func (m *marker) mark(right *value, student *strictjson.Value, path []any) value {
	switch right.form {
	case listForm:
		if student.Kind != strictjson.Array || len(student.Items) != len(right.items) {
			m.p.fields.Faultf("student", "%s is a list of %d answers", pathText(path), len(right.items))
			return value{}
		}
		out := make([]value, len(right.items))
		for i := range out {
			out[i] = m.mark(&right.items[i], &student.Items[i], append(slices.Clip(path), i))
		}
		return list(out)
	case objectForm:
		if student.Kind != strictjson.Object {
			m.p.fields.Faultf("student", "%s is an object of answers", pathText(path))
			return value{}
		}
		var out answers
		out.form = objectForm
		for i, name := range student.Names {
			at := slices.Index(right.names, name)
			if at < 0 {
				m.p.fields.Faultf("student", "%s has no %q", pathText(path), name)
				continue
			}
			out.add(name, m.mark(&right.items[at], &student.Items[i], append(slices.Clip(path), name)))
		}
		return out.value
	case textForm:
		return verdict(student.Kind == strictjson.String && student.Text == right.text, noDifference, slipNone)
	}
	given := keyText(student)
	if path[0] == "one_in" {
		given.Text = strings.TrimPrefix(given.Text, "1:") // as a grade is written
	}
	x, err := studentNumber(&given, right.unit)
	if err != nil {
		if right.form == quantityForm && student.Kind == strictjson.String && student.Text == "unlimited" {
			return verdict(false, noDifference, slipNone)
		}
		m.p.fields.Faultf("student", "%s: %w", pathText(path), err)
		return value{}
	}
	same, off := m.judged(right, path)
	if same(x, right.x) {
		return verdict(true, off(x), slipNone)
	}
	return verdict(false, off(x), m.likely(&attempt{x: x, right: right, student: student, path: path, same: same}))
}

// judged returns how an answer is compared, and how its difference is told.
func (m *marker) judged(right *value, path []any) (same func(x, right float64) bool, off func(x float64) value) {
	t := &m.tolerance
	within := 0.0
	switch judgeOf(path, right.unit) {
	case byShare:
		t.used = t.used || t.length == ""
		return m.near, func(x float64) value { return percentOff(x, right.x) }
	case byLength:
		t.used = t.used || t.length != ""
		within = t.lengthIn(right.unit)
	}
	same = func(x, y float64) bool { return math.Abs(x-y) <= within+1e-9*math.Abs(y) }
	return same, func(x float64) value {
		if math.Abs(x-right.x) <= 1e-12*math.Abs(right.x) {
			x = right.x
		}
		return value{x: x - right.x, unit: right.unit}
	}
}

// near compares by a share of the right answer.
func (m *marker) near(x, right float64) bool {
	return math.Abs(x-right) <= m.tolerance.share*math.Abs(right)+nothing
}

// lengthIn returns the tolerance of a length in a unit.
func (t *tolerance) lengthIn(unit string) float64 {
	s := t.length
	if s == "" && (unit == "m" || unit == "mm") {
		s = defaultMetres
	} else if s == "" {
		s = defaultFeet
	}
	l, err := units.Parse[units.Length](s)
	if err != nil {
		return 0
	}
	x, err := units.In(l, unit)
	if err != nil {
		return 0
	}
	return x
}

// nothing is a difference that rounding leaves of an answer of zero.
const nothing = 1e-12

var noDifference = text("no difference of this answer")

// percentOff returns by how many percent x is more than right.
func percentOff(x, right float64) value {
	if math.Abs(x-right) <= 1e-12*math.Abs(right) {
		x = right
	}
	off := 100 * (x - right) / math.Abs(right)
	switch {
	case x == right:
		off = 0
	case math.IsNaN(off) || math.IsInf(off, 0):
		return text("no percentage of this answer")
	}
	return value{x: off, unit: "%"}
}

var verdictNames = []string{"right", "off_by", "likely"}

func verdict(right bool, off value, likely string) value {
	return value{form: objectForm, names: verdictNames, items: []value{yes(right), off, text(likely)}}
}

func (v *value) isVerdict() bool { return slices.Equal(v.names, verdictNames) }

// verdict returns what a verdict says.
func (v *value) verdict() (right bool, likely string) { return v.items[0].yes, v.items[2].text }

// at follows a path into the answers.
func at(v *value, path []any) (*value, bool) {
	for _, step := range path {
		switch s := step.(type) {
		case string:
			i := slices.Index(v.names, s)
			if i < 0 {
				return nil, false
			}
			v = &v.items[i]
		case int:
			if s >= len(v.items) {
				return nil, false
			}
			v = &v.items[s]
		}
	}
	return v, true
}

func pathText(path []any) string {
	s := ""
	for _, step := range path {
		if i, ok := step.(int); ok {
			s += fmt.Sprintf("[%d]", i)
			continue
		}
		if s != "" {
			s += "."
		}
		s += fmt.Sprint(step)
	}
	return s
}

// keyText returns an answer as a student writes it: one written as keys are,
// {"value":9.375,"unit":"in"}, as its text. What a key says beside is not marked.
func keyText(v *strictjson.Value) strictjson.Value {
	number, unit := member(v, "value"), member(v, "unit")
	switch {
	case v.Kind != strictjson.Object || number.Kind != strictjson.Number || unit.Kind != strictjson.String:
		return *v
	case unit.Text == "1":
		return number
	}
	text := *v
	text.Kind, text.Text, text.Names, text.Items = strictjson.String, number.Text+" "+unit.Text, nil, nil
	return text
}

// studentNumber reads a student's answer in the unit of the right one.
func studentNumber(v *strictjson.Value, unit string) (float64, error) {
	switch {
	case v.Kind == strictjson.Number && plainUnit(unit):
		x, err := strconv.ParseFloat(v.Text, 64)
		if err != nil {
			return 0, fmt.Errorf("%s is out of range", v.Text)
		}
		return x, nil
	case v.Kind != strictjson.String:
		return 0, fmt.Errorf("%w: give a text with its unit, or a number where the answer has none", strictjson.ErrType)
	case unit == "in/ft":
		g, err := slope.Parse(v.Text)
		return 12 * g.Float(), err
	case plainUnit(unit):
		s := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(v.Text), "%"), unit))
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return 0, fmt.Errorf("%q is not a number", v.Text)
		}
		return x, nil
	}
	text := v.Text
	if dn, ok := strings.CutPrefix(text, "DN "); ok && unit == "mm" {
		text = dn + " mm"
	}
	q, err := units.ParseQuantity(text)
	if err != nil {
		return 0, err
	}
	return q.In(unit)
}

func plainUnit(unit string) bool {
	switch unit {
	case "1", "dfu", "wsfu", "du", "lu":
		return true
	}
	return false
}

// judgement adds a line of working for each verdict in v.
func (p *problem) judgement(name string, right *value, student *strictjson.Value, v *value) {
	switch {
	case right.form == listForm:
		for i := range min(len(v.items), len(right.items)) {
			p.judgement(fmt.Sprintf("%s[%d]", name, i), &right.items[i], &student.Items[i], &v.items[i])
		}
		return
	case right.form == objectForm:
		for i, part := range v.names {
			if at := slices.Index(right.names, part); at >= 0 {
				given := member(student, part)
				p.judgement(name+"."+part, &right.items[at], &given, &v.items[i])
			}
		}
		return
	case len(v.items) != 3: // the answer could not be read, which is a fault
		return
	}
	line := fmt.Sprintf("%s: %s is wrong, the answer is %v", name, student.Text, right)
	if v.items[0].yes {
		line = fmt.Sprintf("%s: %s is right, worked out it is %v", name, student.Text, right)
	}
	if off := &v.items[1]; off.form == quantityForm && off.x != 0 {
		way := "over"
		if off.x < 0 {
			way = "under"
		}
		places := "%.3g"
		if math.Abs(off.x) >= 1000 {
			places = "%.0f"
		}
		line += fmt.Sprintf("; "+places, math.Abs(off.x))
		if off.unit != "1" {
			line += " " + off.unit
		}
		line += " " + way
	}
	if likely := v.items[2].text; likely != slipNone {
		line += "; a usual slip gives it: " + likely
	}
	p.lines = append(p.lines, line)
}

// find returns a member of an object, nil if it has none.
func find(v *strictjson.Value, name string) *strictjson.Value {
	if i := slices.Index(v.Names, name); i >= 0 {
		return &v.Items[i]
	}
	return nil
}

// member returns a member of an object, the zero Value if it has none.
func member(v *strictjson.Value, name string) strictjson.Value {
	if m := find(v, name); m != nil {
		return *m
	}
	return strictjson.Value{}
}
