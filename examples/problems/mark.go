package main

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

// The usual slips that mark looks for. Each but the first is tried by working the
// problem again the wrong way.
const (
	slipNone    = "none"
	slipUnit    = "unit"
	slipPercent = "percent for in/ft"
	slipNominal = "nominal for inside diameter"
	slipRadius  = "diameter for radius"
	slipDrop    = "forgotten drop"
)

// defaultTolerance is how far off an answer may be and still be right.
const defaultTolerance = 0.01

// marker compares one student's answers with the right ones.
type marker struct {
	p         *problem
	tolerance float64
	slips     []slip
}

// slip is what an answer would be if the student had made it.
type slip struct {
	name    string
	answers value
}

func solveMark(p *problem) {
	tolerance := p.tolerance()
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
	m := marker{p: p, tolerance: tolerance, slips: slips(right, options{shelf: p.shelf})}
	for i, name := range student.Names {
		at := slices.Index(q.names, name)
		if at < 0 {
			p.fields.Faultf("student", "%q is not an answer of this problem; the answers are %s", name, strings.Join(q.names, ", "))
			continue
		}
		path := []any{name}
		p.add(name, m.mark(&q.items[at], &student.Items[i], path))
		if p.working {
			p.judgement(name, &q.items[at], &student.Items[i], &p.items[len(p.items)-1])
		}
	}
	if len(student.Names) == 0 {
		p.fields.Faultf("student", "empty: give at least one answer")
	}
}

// tolerance reads how far off an answer may be: a ratio, or a text in percent.
func (p *problem) tolerance() float64 {
	v := p.fields.Get("tolerance")
	if v == nil {
		return defaultTolerance
	}
	if v.Kind == strictjson.String {
		number, ok := strings.CutSuffix(strings.TrimSpace(v.Text), "%")
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if !ok || err != nil || !(x >= 0 && x < 100) {
			p.fields.Faultf("tolerance", `%q is not a percentage under 100, such as "2 %%"`, v.Text)
			return 0
		}
		return x / 100
	}
	x, _ := p.numberIf("tolerance", span{0, 1, false, true})
	return x
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
		return verdict(student.Kind == strictjson.String && student.Text == right.text, math.NaN(), slipNone)
	}
	x, err := studentNumber(student, right.unit)
	if err != nil {
		if right.form == quantityForm && student.Kind == strictjson.String && student.Text == "unlimited" {
			return verdict(false, math.NaN(), slipNone)
		}
		m.p.fields.Faultf("student", "%s: %w", pathText(path), err)
		return value{}
	}
	if m.same(x, right.x) {
		return verdict(true, offBy(x, right.x), m.hidden(x, right, path))
	}
	return verdict(false, offBy(x, right.x), m.likely(x, right, student, path))
}

func (m *marker) same(x, right float64) bool { return math.Abs(x-right) <= m.tolerance*math.Abs(right) }

// offBy returns by how many percent x is more than right; not a number where
// there is nothing to take percents of.
func offBy(x, right float64) float64 {
	if math.Abs(x-right) <= 1e-12*math.Abs(right) {
		return 0
	}
	return 100 * (x - right) / math.Abs(right)
}

func verdict(right bool, off float64, likely string) value {
	var v answers
	v.form = objectForm
	v.add("right", yes(right))
	if math.IsNaN(off) || math.IsInf(off, 0) {
		v.add("off_by", text("no percentage of this answer"))
	} else {
		v.add("off_by", plain(off))
	}
	v.add("likely", text(likely))
	return v.value
}

// hidden names the slip that an answer within the tolerance still shows, as an
// elevation does that leaves out a drop: one ten times nearer to it than the right
// answer is, the nearest if there are several.
func (m *marker) hidden(x float64, right *value, path []any) string {
	name, near := slipNone, math.Abs(x-right.x)/10
	for _, s := range m.slips {
		w, ok := at(&s.answers, path)
		if !ok || w.form != quantityForm || x == right.x {
			continue
		}
		if off := math.Abs(x - w.x); off <= near {
			name, near = s.name, off
		}
	}
	return name
}

// likely names the slip that gives the student's number.
func (m *marker) likely(x float64, right *value, student *strictjson.Value, path []any) string {
	if perFoot := right.x * 12 / 100; right.unit == "1" && strings.HasSuffix(pathText(path), "percent") && m.same(x, perFoot) ||
		right.unit == "in/ft" && m.same(x, right.x*100/12) {
		return slipPercent
	}
	for _, s := range m.slips {
		if w, ok := at(&s.answers, path); ok && w.form == quantityForm && m.same(x, w.x) && !m.same(w.x, right.x) {
			return s.name
		}
	}
	if m.wrongUnit(x, right, student) {
		return slipUnit
	}
	return slipNone
}

// wrongUnit reports whether the student's number is that of the right answer in
// another unit of its kind, or off by the ratio of two units that are often
// mixed up on the way.
func (m *marker) wrongUnit(x float64, right *value, student *strictjson.Value) bool {
	written := x
	if student.Kind == strictjson.String {
		if q, err := units.ParseQuantity(student.Text); err == nil {
			if n, err := q.In(q.Unit()); err == nil {
				written = n
			}
		}
	}
	if answer, err := units.ParseQuantity(strconv.FormatFloat(right.x, 'g', -1, 64) + " " + right.unit); err == nil {
		for _, u := range units.Units() {
			if there, err := answer.In(u.Symbol); err == nil && m.same(written, there) {
				return true
			}
		}
	}
	if right.x == 0 {
		return false
	}
	for _, r := range mixedUp {
		if m.same(x, right.x*r) || m.same(x, right.x/r) {
			return true
		}
	}
	return false
}

// mixedUp are ratios of units that are mixed up inside a calculation: in and ft,
// mm and in, m and ft, gallons and litres, gallons and cubic feet, minutes and
// seconds, psi and ft of water, kPa and psi, gpm and cfs, hours and minutes, and
// powers of them in areas and volumes.
var mixedUp = []float64{12, 144, 1728, 25.4, 0.3048, 3.785411784, 7.48051948, 60, 2.31, 6.894757, 448.83, 3600, 1000, 27}

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
	q, err := units.ParseQuantity(v.Text)
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
		line += fmt.Sprintf("; "+places+" %% %s", math.Abs(off.x), way)
	}
	if likely := v.items[2].text; likely != slipNone {
		line += "; a usual slip gives it: " + likely
	}
	p.lines = append(p.lines, line)
}

// slips works the problem again in each of the usual wrong ways that it has room
// for.
func slips(right *strictjson.Value, opt options) []slip {
	var out []slip
	try := func(name string, edit func(field string, v *strictjson.Value) bool) {
		wrong, edited := rewrite(right, edit)
		if !edited {
			return
		}
		if q, ok := solveProblem(&strictjson.Document{}, &wrong, opt); ok {
			out = append(out, slip{name, q.value})
		}
	}
	try(slipPercent, swapPercent)
	try(slipDrop, func(field string, v *strictjson.Value) bool {
		return field == "drop" && setText(v, "0 in")
	})
	try(slipNominal, func(field string, v *strictjson.Value) bool {
		if field != "bore" {
			return false
		}
		size, ok := opt.shelf.nominalOf(v.Text)
		return ok && setText(v, size)
	})
	for _, factor := range []string{"2", "0.5"} {
		try(slipRadius, func(field string, v *strictjson.Value) bool {
			l, err := units.ParseLength(v.Text)
			if field != "bore" || err != nil {
				return false
			}
			l *= 2
			if factor == "0.5" {
				l /= 4
			}
			return setText(v, strconv.FormatInt(int64(l), 10)+" nm")
		})
	}
	return out
}

// swapPercent takes inches per foot for percent and percent for inches per foot.
func swapPercent(field string, v *strictjson.Value) bool {
	if !strings.HasPrefix(field, "grade") {
		return false
	}
	g, err := slope.Parse(v.Text)
	if err != nil {
		return false
	}
	if strings.HasSuffix(strings.TrimSpace(v.Text), "%") {
		return setText(v, strconv.FormatFloat(g.Percent(), 'g', 12, 64)+" in/ft")
	}
	return setText(v, strconv.FormatFloat(12*g.Float(), 'g', 12, 64)+" %")
}

func setText(v *strictjson.Value, s string) bool {
	v.Kind, v.Text = strictjson.String, s
	return true
}

// rewrite copies a value and edits its members, at any depth.
func rewrite(v *strictjson.Value, edit func(field string, v *strictjson.Value) bool) (strictjson.Value, bool) {
	out := *v
	out.Items = slices.Clone(v.Items)
	edited := false
	for i := range out.Items {
		name := ""
		if v.Kind == strictjson.Object {
			name = v.Names[i]
		}
		switch out.Items[i].Kind {
		case strictjson.Object, strictjson.Array:
			inner, did := rewrite(&out.Items[i], edit)
			out.Items[i], edited = inner, edited || did
		default:
			edited = edit(name, &out.Items[i]) || edited
		}
	}
	return out, edited
}

// member returns a member of an object, the zero Value if it has none.
func member(v *strictjson.Value, name string) strictjson.Value {
	for i, n := range v.Names {
		if n == name {
			return v.Items[i]
		}
	}
	return strictjson.Value{}
}
