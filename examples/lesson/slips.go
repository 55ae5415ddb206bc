package lesson

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// The usual slips that mark looks for, as it names them. A slip with a colon ends
// with what was taken for what.
const (
	slipNone     = "none"
	slipPercent  = "percent for in/ft"
	slipQuarter  = "2 % taken for 1/4 in/ft"
	slipUnit     = "unit: "
	slipProduct  = "feet times inches"
	slipNominal  = "nominal for inside diameter"
	slipRadius   = "diameter for radius"
	slipDrop     = "forgotten drop"
	slipAdded    = "cold plus hot"
	slipCode     = "another code: "
	slipFull     = "full pipe"
	slipHead     = "2.31 the wrong way"
	slipSight    = "backsight subtracted"
	slipSizeUp   = "one size up"
	slipSizeDown = "one size down"
	slipMean     = "mean for the peak"
	slipSign     = "sign"
)

// attempt is a wrong answer.
type attempt struct {
	x       float64 // in the unit of the right one
	right   *value
	student *strictjson.Value
	path    []any
	same    func(x, right float64) bool // how this answer is compared
}

// gives reports whether a slip that leads to y explains the answer.
func (a *attempt) gives(y float64) bool { return a.same(a.x, y) && !a.same(y, a.right.x) }

func (a *attempt) name() string { return pathText(a.path) }

// slip is what the answers would be if the student had made it.
type slip struct {
	name    string
	answers value
}

// likely names the slip that gives the student's number. Slips that work the
// problem the wrong way come first: a ratio of two units may fit by chance.
func (m *marker) likely(a *attempt) string {
	for _, try := range [...]func(*attempt) string{
		m.percentSlip, m.reworkedSlip, m.addedSlip, m.mainCodeSlip, m.sizeSlip, m.codeSlip, m.fullPipeSlip,
		m.radiusSlip, m.headSlip, m.meanSlip, m.signSlip, m.unitSlip,
	} {
		if s := try(a); s != "" {
			return s
		}
	}
	return slipNone
}

// percentSlip finds a grade told in the other unit.
func (m *marker) percentSlip(a *attempt) string {
	const quarter = 100.0 / 48 // 1/4 in per ft in percent
	percent := strings.HasSuffix(a.name(), "percent")
	switch {
	case percent && a.gives(a.right.x*12/100), a.right.unit == "in/ft" && a.gives(a.right.x*100/12):
		return slipPercent
	case percent && a.same(a.right.x, quarter) && a.gives(2), percent && a.same(a.right.x, 2) && a.gives(quarter):
		return slipQuarter
	}
	return ""
}

func (m *marker) reworkedSlip(a *attempt) string {
	if m.slips == nil {
		m.slips = slips(m.problem, options{shelf: m.p.shelf})
	}
	return a.among(m.slips)
}

// among returns the first slip that explains the answer.
func (a *attempt) among(list []slip) string {
	for _, s := range list {
		if w, ok := at(&s.answers, a.path); ok && w.form == quantityForm && w.unit == a.right.unit && a.gives(w.x) {
			return s.name
		}
	}
	return ""
}

// answer returns a quantity of the right answers.
func (m *marker) answer(name string) (float64, bool) {
	w, ok := at(&m.right.value, []any{name})
	if !ok || w.form != quantityForm {
		return 0, false
	}
	return w.x, true
}

// addedSlip: a load on both lines is not the sum of the loads on each.
func (m *marker) addedSlip(a *attempt) string {
	cold, ok := m.answer("cold")
	hot, too := m.answer("hot")
	if ok && too && a.name() == "total" && a.gives(cold+hot) {
		return slipAdded
	}
	return ""
}

// meanSlip: the fixtures that run on average, n p, where the count is asked for that is seldom
// passed; rounded either way.
func (m *marker) meanSlip(a *attempt) string {
	if a.name() != "in_use" {
		return ""
	}
	n, err := strconv.ParseFloat(member(m.problem, "count").Text, 64)
	p, err2 := strconv.ParseFloat(member(m.problem, "probability").Text, 64)
	mean := n * p
	if err == nil && err2 == nil && (a.gives(mean) || a.gives(math.Floor(mean)) || a.gives(math.Ceil(mean))) {
		return slipMean
	}
	return ""
}

// mainCodes are those that a class has on its desk.
var mainCodes = []string{"ipc-2021", "upc-2021", "irc-2021"}

// mainCodeSlip works the problem under the codes that a student is most likely to have
// opened in place of the one asked for.
func (m *marker) mainCodeSlip(a *attempt) string { return m.codeSlipOf(a, mainCodes) }

// codeSlip works the problem under the other codes of the shelf.
func (m *marker) codeSlip(a *attempt) string { return m.codeSlipOf(a, m.p.shelf.sets()) }

func (m *marker) codeSlipOf(a *attempt, codes []string) string {
	given := member(m.problem, "code").Text
	if given == "" {
		return ""
	}
	for _, id := range codes {
		if id == given {
			continue
		}
		list := rework(nil, m.problem, options{shelf: m.p.shelf}, slipCode+id,
			func(field string, v *strictjson.Value) bool {
				return field == "code" && setText(v, id)
			})
		if s := a.among(list); s != "" {
			return s
		}
	}
	return ""
}

// radiusSlip: the diameter where the radius is asked for, or half of what is asked for.
func (m *marker) radiusSlip(a *attempt) string {
	if a.name() == "radius" && (a.gives(2*a.right.x) || a.gives(a.right.x/2)) {
		return slipRadius
	}
	return ""
}

func (m *marker) fullPipeSlip(a *attempt) string {
	if full, ok := m.answer("full_" + a.name()); ok && a.gives(full) {
		return slipFull
	}
	return ""
}

// feetPerPSI is the head of water, in feet, of a pound per square inch as it is taught.
const feetPerPSI = 2.31

// headSlip finds a pressure multiplied by 2.31 where it is divided, or the other way.
func (m *marker) headSlip(a *attempt) string {
	const twice = feetPerPSI * feetPerPSI
	if m.measures()&ofPressure == 0 {
		return ""
	}
	switch a.right.unit {
	case "psi", "ft":
		if static, ok := m.answer("static_loss"); ok && a.name() == "left" && a.gives(a.right.x+static-static*twice) {
			return slipHead
		}
		if a.gives(a.right.x*twice) || a.gives(a.right.x/twice) {
			return slipHead
		}
	}
	return ""
}

// sizeSlip compares a nominal size with its neighbours in the trade.
func (m *marker) sizeSlip(a *attempt) string {
	if a.name() != "size" {
		return ""
	}
	sizes := m.p.shelf.choiceOf(member(m.problem, "code").Text, member(m.problem, "ask").Text, a.right.unit)
	i, _ := slices.BinarySearch(sizes, a.right.x)
	switch {
	case i > 0 && a.gives(sizes[i-1]):
		return slipSizeDown
	case i < len(sizes) && sizes[i] == a.right.x && i+1 < len(sizes) && a.gives(sizes[i+1]):
		return slipSizeUp
	}
	return ""
}

func (m *marker) signSlip(a *attempt) string {
	if a.gives(-a.right.x) {
		return slipSign
	}
	return ""
}

// unitSlip finds the number of the right answer in another unit of its kind, or
// one that is off by the ratio of two units often mixed up on the way.
func (m *marker) unitSlip(a *attempt) string {
	if judgeOf(a.path, a.right.unit) == exactly && plainUnit(a.right.unit) {
		return ""
	}
	if a.right.unit == "1" && judgeOf(a.path, "1") == byShare {
		name := a.name()
		switch percent := name == "percent"; {
		case percent && a.gives(a.right.x/100):
			return slipUnit + "1 for %"
		case !percent && a.gives(a.right.x*100):
			return slipUnit + "% for 1"
		}
	}
	written, unit := a.x, a.right.unit
	if a.student.Kind == strictjson.String {
		if q, err := units.ParseQuantity(a.student.Text); err == nil {
			if n, err := q.In(q.Unit()); err == nil {
				written, unit = n, q.Unit()
			}
		}
	}
	if answer, err := units.ParseQuantity(strconv.FormatFloat(a.right.x, 'g', -1,
		64) + " " + a.right.unit); err == nil {
		for _, u := range units.Units() {
			if slices.Contains(farFetched, u.Symbol) || sameSize(u.Symbol, unit) {
				continue
			}
			if there, err := answer.In(u.Symbol); err == nil && m.near(written, there) && !m.near(there, a.right.x) {
				return slipUnit + u.Symbol + " for " + unit
			}
		}
	}
	in := m.measures()
	for _, r := range mixedUp {
		more, less := m.near(a.x, a.right.x*r.ratio), m.near(a.x, a.right.x/r.ratio)
		switch {
		case a.right.x == 0 || !more && !less || in&r.where == 0:
		case r.ratio == 12 && slices.Contains(products, a.right.unit):
			return slipProduct
		case more:
			return slipUnit + r.small + " for " + r.great
		default:
			return slipUnit + r.great + " for " + r.small
		}
	}
	return ""
}

// measure is what the quantities of a problem measure, a bit each: nobody mixes up gallons
// and liters where nothing flows or is filled.
type measure uint16

const (
	ofLength measure = 1 << iota
	ofArea
	ofVolume
	ofFlow
	ofVelocity
	ofTime
	ofPressure
	ofPower
)

// measured are units by which a quantity is known.
var measured = []struct {
	unit string
	is   measure
}{
	{"m", ofLength}, {"m2", ofArea}, {"m3", ofVolume}, {"m3/s", ofFlow | ofArea | ofTime}, {"m/s",
		ofVelocity | ofLength | ofTime},
	{"s", ofTime}, {"Pa", ofPressure}, {"W", ofPower | ofTime},
}

// measures collects what a problem and its answers measure.
func (m *marker) measures() measure {
	var all measure
	note := func(text string) {
		if q, err := units.ParseQuantity(text); err == nil {
			for _, u := range measured {
				if _, err := q.In(u.unit); err == nil {
					all |= u.is
				}
			}
		} else if _, err := slope.Parse(text); err == nil {
			all |= ofLength
		}
	}
	var inputs func(v *strictjson.Value)
	inputs = func(v *strictjson.Value) {
		if v.Kind == strictjson.String {
			note(v.Text)
		}
		for i := range v.Items {
			inputs(&v.Items[i])
		}
	}
	inputs(m.problem)
	for _, unit := range m.right.unitsOf() {
		if unit != "1" {
			note("1 " + unit)
		}
	}
	return all
}

// sameSize reports whether two units are one, or of one size: a mm of water is no other unit
// than a mm.
func sameSize(a, b string) bool {
	q, err := units.ParseQuantity("1 " + a)
	if err != nil {
		return false
	}
	x, err := q.In(b)
	return err == nil && math.Abs(x-1) < 0.01
}

// farFetched are units that no student of the trade writes by mistake.
var farFetched = strings.Fields("km/h mph mi km nm um mil ftUS St")

// products are the units of areas and volumes: there a ratio of 12 is a side in
// feet times one in inches.
var products = []string{"in2", "mm2", "gal", "L", "yd3", "m3"}

// mixedUp are pairs of units that are mixed up inside a calculation, how many of the
// small one make a great one, as it is taught, and what a problem measures where they are.
var mixedUp = []struct {
	small, great string
	ratio        float64
	where        measure
}{
	{"in", "ft", 12, ofLength | ofVolume}, {"in2", "ft2", 144, ofArea}, {"in3", "ft3", 1728, ofVolume},
	{"mm", "in", 25.4, ofLength}, {"ft", "m", 1 / 0.3048, ofLength}, {"L", "gal", 3.785411784, ofVolume | ofFlow},
	{"gal", "ft3", 7.48051948, ofVolume | ofFlow}, {"s", "min", 60, ofTime}, {"ft", "psi", feetPerPSI, ofPressure},
	{"kPa", "psi", 6.894757, ofPressure}, {"gpm", "ft3/s", 448.83, ofFlow}, {"s", "h", 3600, ofTime},
	{"mm", "m", 1000, ofLength}, {"ft3", "yd3", 27, ofVolume},
}

// slips works the problem again in each of the usual wrong ways that it has room
// for.
func slips(right *strictjson.Value, opt options) []slip {
	list := []slip{}
	for _, s := range [...]struct {
		name string
		edit editor
	}{
		{slipPercent, swapPercent},
		{slipQuarter, swapQuarter},
		{slipNominal, func(field string, v *strictjson.Value) bool {
			if field != "bore" {
				return false
			}
			size, ok := opt.shelf.nominalOf(v.Text)
			return ok && setText(v, size)
		}},
		{slipRadius, func(field string, v *strictjson.Value) bool { return isDiameter(field) && scaleLength(v, 2, 1) }},
		{slipRadius, func(field string, v *strictjson.Value) bool { return isDiameter(field) && scaleLength(v, 1, 2) }},
		{slipDrop, func(field string, v *strictjson.Value) bool { return field == "drop" && setText(v, "0 in") }},
		{slipSight, func(field string, v *strictjson.Value) bool {
			return field == "backsight" &&
				scaleLength(v, -1, 1)
		}},
	} {
		list = rework(list, right, opt, s.name, s.edit)
	}
	return list
}

func isDiameter(field string) bool { return field == "bore" || field == "diameter" }

// editor changes a member of a problem, if it is one it knows, and says so.
type editor func(field string, v *strictjson.Value) bool

// rework solves the problem with its fields edited and adds the answers to the
// list, unless there was nothing to edit or nothing comes out.
func rework(list []slip, right *strictjson.Value, opt options, name string, edit editor) []slip {
	wrong, edited := rewrite(right, edit)
	if !edited {
		return list
	}
	opt.probing = true
	if q, ok := solveProblem(&strictjson.Document{}, &wrong, opt); ok {
		list = append(list, slip{name, q.value})
	}
	return list
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

// swapQuarter takes 2 % and 1/4 in per ft for one another.
func swapQuarter(field string, v *strictjson.Value) bool {
	g, err := slope.Parse(v.Text)
	if err != nil || !strings.HasPrefix(field, "grade") {
		return false
	}
	rise, run := g.Ratio()
	switch {
	case rise*50 == run:
		return setText(v, "1/4 in/ft")
	case rise*48 == run:
		return setText(v, "2 %")
	}
	return false
}

func scaleLength(v *strictjson.Value, num, den int64) bool {
	l, err := units.Parse[units.Length](v.Text)
	if err != nil {
		return false
	}
	return setText(v, strconv.FormatInt(int64(l)*num/den, 10)+" nm")
}

func setText(v *strictjson.Value, s string) bool {
	v.Kind, v.Text = strictjson.String, s
	return true
}

// rewrite copies a value and edits its members, at any depth.
func rewrite(v *strictjson.Value, edit editor) (strictjson.Value, bool) {
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
