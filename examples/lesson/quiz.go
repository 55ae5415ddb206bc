package lesson

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// maxQuiz is the most problems that one quiz holds.
const maxQuiz = 100_000

// quiz writes fresh problem lines to questions and their answers to key.
func quiz(ctx context.Context, q QuizOptions, questions, key io.Writer, opt options) error {
	if q.Number < 1 || q.Number > maxQuiz {
		return fmt.Errorf("quiz: number %d: from 1 to %d", q.Number, maxQuiz)
	}
	kinds, err := q.kinds()
	if err != nil {
		return err
	}
	if sets := opt.shelf.sets(); q.Code != "" && !slices.Contains(sets, q.Code) {
		return fmt.Errorf("quiz: code %q: not on the shelf; %sit has %s", q.Code, visible.Meant(q.Code, sets),
			strings.Join(sets, ", "))
	}
	r := newQuizRand(q.Seed)
	w := patience.NewWork(ctx, "quiz")
	for i := range q.Number {
		if !w.Goes(i, q.Number, "problems") {
			return w.Err()
		}
		line, err := q.line(r, "q"+strconv.Itoa(i+1), kinds, opt)
		if err != nil {
			return err
		}
		if _, err := questions.Write(append(line, '\n')); err != nil {
			return err
		}
		reply, _ := answerLine(nil, line, i+1, opt)
		if _, err := key.Write(append(reply, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// kinds returns the kinds that a quiz draws from.
func (q *QuizOptions) kinds() ([]string, error) {
	for _, k := range q.Kinds {
		if !slices.Contains(quizKinds(), k) {
			return nil, fmt.Errorf("quiz: no quiz of %q; %sthere are quizzes of %s", k, visible.Meant(k, quizKinds()),
				strings.Join(quizKinds(), ", "))
		}
	}
	if q.Level < 0 || q.Level > 3 {
		return nil, fmt.Errorf("quiz: level %d: from 1 to 3, or 0 for any", q.Level)
	}
	if q.Units != "" && q.Units != "us" && q.Units != "si" {
		return nil, fmt.Errorf("quiz: units %q: choose us or si", q.Units)
	}
	from := q.Kinds
	if len(from) == 0 {
		from = quizKinds()
	}
	var out []string
	for _, k := range from {
		if q.Level == 0 || wordsOf(k).level == q.Level {
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("quiz: no kind of level %d among %s", q.Level, strings.Join(from, ", "))
	}
	return out, nil
}

// quizTries is how many draws are made for one problem that has an answer; nearly
// every draw has one.
const quizTries = 200

// line draws a problem that has an answer.
func (q *QuizOptions) line(r quizRand, id string, kinds []string, opt options) ([]byte, error) {
	refused := ""
	for range quizTries {
		kind := kinds[0]
		if len(kinds) > 1 {
			kind = r.pick(kinds...)
		}
		r.si = q.Units == "si"
		fields := r.fields(kind, q.Code)
		coded := strings.Contains(fields, `"code":`)
		if q.Code != "" && coded {
			fields = quizCode.ReplaceAllString(fields, fmt.Sprintf(`"code":%q`, q.Code))
		}
		if q.Units == "si" {
			if kind != "mark" {
				fields = metric(fields)
			}
			fields += `,"units":"si"`
		}
		line := fmt.Appendf(nil, `{"id":%q,"ask":%q,%s}`, id, kind, fields)
		p, err := solveLine(line, options{shelf: opt.shelf, probing: opt.probing})
		switch {
		case err == nil && p.realistic(kind):
			return line, nil
		case err != nil && coded:
			refused = kind + ": " + err.Error()
		}
	}
	if q.Code != "" && refused != "" {
		return nil, fmt.Errorf("quiz: code %q answers none of the problems that were drawn, such as %s", q.Code, refused)
	}
	return nil, errors.New("quiz: no problem with an answer was drawn")
}

// realistic reports whether the answers to a drawn problem are such as a building has.
func (p *problem) realistic(kind string) bool {
	for _, u := range wordsOf(kind).usual {
		i := slices.Index(p.names, u.answer)
		if i < 0 {
			continue
		}
		x := toDigits(p.items[i].x, digits) // as the answer is written
		if unit := p.items[i].unit; unit != u.unit {
			var err error
			if x, err = inUnit(x, unit, u.unit); err != nil {
				continue
			}
		}
		if !(x >= u.low && x <= u.high) {
			return false
		}
	}
	return true
}

var (
	quizCode = regexp.MustCompile(`"code":"[^"]*"`)
	quizText = regexp.MustCompile(`"([a-z_]+)":"([^"]*)"|"([^":]*)"([,\]])|"([a-z_]+)":\[`)
)

// metricUnits are what takes the place of a unit in a quiz in metric units, and the step
// that such figures are rounded to; 0: to two digits.
var metricUnits = []struct {
	us, si string
	step   float64
}{
	{"gpm", "L/s", 0.01}, {"psi", "kPa", 5}, {"ksi", "GPa", 0.1}, {"ft/s", "m/s", 0.1}, {"gal", "L", 1},
	{"Btu/h", "W", 10}, {"ft", "m", 0.1}, {"in", "mm", 5}, {"Btu/h-ft-degF", "W/m-K", 0}, {"Btu/h-ft2-degF", "W/m2-K", 0},
}

// metricSteps are the steps of what is measured finer or coarser than its unit is: bores, and
// where points stand.
var metricSteps = map[string]float64{
	"bore": 0.1, "wall": 0.1, "insulation_thickness": 1, "fall": 1, "drop": 1, "elevation": 0.005,
	"instrument_height": 0.005,
	"invert":            0.005, "outlet_invert": 0.005, "benchmark": 0.005, "backsight": 0.005,
	"expansion": 0.1, "diameter": 0.1, "at": 0.5, "wanted": 0.5, "ground": 0.005, "stations": 0.5,
}

// metric writes the fields of a drawn problem in metric units. Nominal sizes keep their
// names, and so do the units that a conversion is asked for.
func metric(fields string) string {
	if strings.HasPrefix(fields, `"value":`) {
		return fields
	}
	list := "" // the list that a text without a name of its own stands in
	return quizText.ReplaceAllStringFunc(fields, func(pair string) string {
		m := quizText.FindStringSubmatch(pair)
		name, text := m[1], m[2]
		switch {
		case m[5] != "":
			list = m[5]
			return pair
		case name == "":
			name, text = list, m[3]
		}
		if name == "size" || name == "drain_size" || name == "flush" {
			return pair
		}
		if to := metricText(name, text); to != text {
			return strings.Replace(pair, `"`+text+`"`, `"`+to+`"`, 1)
		}
		return pair
	})
}

// metricText writes a text of a problem in metric units, as it was if it has none.
func metricText(name, text string) string {
	if strings.HasPrefix(name, "grade") {
		g, err := slope.Parse(text)
		if err != nil || !strings.HasSuffix(text, "in/ft") {
			return text
		}
		return plainNumber(g.Percent(), 0.1) + " %"
	}
	if number, ok := strings.CutSuffix(text, " degF"); ok {
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return text
		}
		if name == "drop" || name == "change" {
			return plainNumber(x/1.8, 1) + " K"
		}
		return plainNumber((x-32)/1.8, 1) + " degC"
	}
	if number, ok := strings.CutSuffix(text, " 1/degF"); ok {
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return text
		}
		return short(toDigits(x*1.8, 3)) + " 1/K"
	}
	q, err := units.ParseQuantity(text)
	if err != nil {
		return text
	}
	if strings.Contains(text, " ft ") { // feet and inches
		text = strings.TrimSuffix(text, " in") + " ft"
	}
	for _, u := range metricUnits {
		if !strings.HasSuffix(text, " "+u.us) {
			continue
		}
		if name == "roughness" { // of which nobody speaks in meters
			u.si, u.step = "mm", 0
		}
		x, err := q.In(u.si)
		if err != nil {
			return text
		}
		step := u.step
		if own, ok := metricSteps[name]; ok {
			step = own
		}
		return plainNumber(x, step) + " " + u.si
	}
	return text
}

// plainNumber rounds to a step, 0 for two digits, and writes no zeros at the end but those of
// what is surveyed to the half centimeter.
func plainNumber(x, step float64) string {
	switch step {
	case 0:
		return strconv.FormatFloat(toDigits(x, 2), 'f', -1, 64)
	case 0.005:
		return strconv.FormatFloat(math.Round(x/step)*step, 'f', 3, 64)
	}
	return strconv.FormatFloat(toDigits(math.Round(x/step)*step, 12), 'f', -1, 64)
}

// toDigits rounds to a number of digits.
func toDigits(x float64, digits int) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil {
		return x
	}
	return y
}

// quizLine draws a problem of a kind, "" for any.
func quizLine(r quizRand, id, ask string, opt options) ([]byte, error) {
	kinds := quizKinds()
	if ask != "" {
		kinds = []string{ask}
	}
	return new(QuizOptions).line(r, id, kinds, opt)
}

func newQuizRand(seed uint64) quizRand {
	return quizRand{Rand: rand.New(rand.NewPCG(seed, 0x7472617077656972))}
}

// quizKinds are the kinds that can be drawn.
func quizKinds() []string {
	return slices.DeleteFunc(kindNames(), func(k string) bool { return quizMakers[k] == nil && wordsOf(k).drawn == nil })
}

// quizRand draws the figures of a problem, of the size that a trench or a
// building has.
type quizRand struct {
	*rand.Rand
	si bool // for the few problems that are drawn in the units they are asked in
}

func (r quizRand) pick(s ...string) string { return s[r.IntN(len(s))] }

// step draws a number from low to high in whole steps, written with decimals.
func (r quizRand) step(low, high, step float64, decimals int) string {
	n := int((high-low)/step + 0.5)
	s := strconv.FormatFloat(low+step*float64(r.IntN(n+1)), 'f', decimals, 64)
	if step != 0.01 && strings.Contains(s, ".") { // rods are read to the hundredth, and say so
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

func (r quizRand) feet(low, high int) string { return strconv.Itoa(low+r.IntN(high-low+1)) + " ft" }

// run draws a length of pipe in feet and sixteenths of an inch.
func (r quizRand) run() string {
	return fmt.Sprintf("%d ft", 5+r.IntN(90)) + r.pick("", " 3 in", " 6 in", " 9 in", " 4 1/2 in", " 7 1/4 in",
		" 10 3/8 in", " 2 13/16 in")
}

func (r quizRand) grade() string {
	return r.pick("1/8 in/ft", "1/4 in/ft", "3/16 in/ft", "1/2 in/ft", "1 %", "2 %", "1.5 %", "1:60")
}

func (r quizRand) elevation() string { return r.step(88, 112, 0.01, 2) + " ft" }

// drainBore and tubeBore are inside diameters of drainage pipe and water tube.
func (r quizRand) drainBore() string { return r.pick("2.067 in", "3.068 in", "4.026 in", "6.065 in") }

func (r quizRand) tubeBore() string {
	return r.pick("0.545 in", "0.785 in", "1.025 in", "1.265 in", "1.505 in", "1.985 in")
}

// tube draws a bore and a flow that such tube carries at 2 to 8 ft/s.
func (r quizRand) tube() (bore, flow string) {
	tubes := []struct {
		bore string
		gpm  int
	}{{"0.545 in", 2}, {"0.785 in", 3}, {"1.025 in", 6}, {"1.265 in", 8}, {"1.505 in", 12}, {"1.985 in", 20}}
	t := tubes[r.IntN(len(tubes))]
	return t.bore, r.gpm(t.gpm, 3*t.gpm)
}

func (r quizRand) gpm(low, high int) string { return strconv.Itoa(low+r.IntN(high-low+1)) + " gpm" }

func (r quizRand) friction() string {
	if r.IntN(2) == 0 {
		return fmt.Sprintf(`"method":"hazen-williams","c":%s`, r.pick("100", "120", "130", "140", "150"))
	}
	return fmt.Sprintf(`"method":"darcy-weisbach","roughness":%q,"temperature":%q`,
		r.pick("0.000005 ft", "0.00015 ft", "0.0005 ft"), r.pick("50 degF", "60 degF", "140 degF"))
}

func (r quizRand) fixtures() string {
	items := []string{
		fmt.Sprintf(`{"fixture":"water-closet","count":%d,"use":"private","control":"tank","flush":"1.6 gal"}`,
			1+r.IntN(6)),
		fmt.Sprintf(`{"fixture":"lavatory","count":%d,"use":"private"}`, 1+r.IntN(8)),
		fmt.Sprintf(`{"fixture":"bathtub","count":%d,"use":"private"}`, 1+r.IntN(4)),
		fmt.Sprintf(`{"fixture":"kitchen-sink","count":%d,"use":"private"}`, 1+r.IntN(3)),
		fmt.Sprintf(`{"fixture":"clothes-washer","count":%d,"use":"private"}`, 1+r.IntN(3)),
	}
	r.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
	return strings.Join(items[:1+r.IntN(len(items))], ",")
}

func (r quizRand) code() string { return r.pick("ipc-2021", "upc-2021") }

// fields draws the fields of a fresh problem of a kind, under a code that has them in its own way as that does.
func (r quizRand) fields(kind, code string) string {
	said := wordsOf(kind)
	switch lines := said.drawn; {
	case said.under[code] != "":
		return r.drawn(said.under[code])
	case len(lines) == 1:
		return r.drawn(lines[0])
	case lines != nil:
		return r.drawn(r.pick(lines...))
	}
	return quizMakers[kind](r)
}

// drawnFigure is a figure in a line of fields: {20 to 200}, {1 to 30 by 0.25}, {tank|valve}, {grade}.
var drawnFigure = regexp.MustCompile(`\{[^{}":]+\}`)

// figureNames are the figures that have a name.
var figureNames = map[string]func(quizRand) string{"run": quizRand.run, "grade": quizRand.grade, "code": quizRand.code,
	"drain bore": quizRand.drainBore, "tube bore": quizRand.tubeBore, "friction": quizRand.friction,
	"fixtures": quizRand.fixtures}

// drawn draws the figures of a line of fields.
func (r quizRand) drawn(line string) string {
	return drawnFigure.ReplaceAllStringFunc(line, func(figure string) string {
		figure = strings.Trim(figure, "{}")
		if draw := figureNames[figure]; draw != nil {
			return draw(r)
		}
		low, rest, isRange := strings.Cut(figure, " to ")
		if !isRange {
			return r.pick(strings.Split(figure, "|")...)
		}
		high, step, _ := strings.Cut(rest, " by ")
		step = cmp.Or(step, "1")
		decimals := 0
		var numbers [3]float64
		for i, text := range [...]string{low, high, step} {
			numbers[i], _ = strconv.ParseFloat(text, 64) // a test draws them all
			_, after, _ := strings.Cut(text, ".")
			decimals = max(decimals, len(after))
		}
		return r.step(numbers[0], numbers[1], numbers[2], decimals)
	})
}

// quizMakers write the fields of a fresh problem of those kinds whose figures hang together.
var quizMakers = map[string]func(quizRand) string{
	"convert": func(r quizRand) string {
		kinds := []struct {
			from, to        string
			low, high, step float64
		}{
			{"gpm", "L/s", 1, 150, 0.5}, {"L/s", "gpm", 0.1, 10, 0.1}, {"psi", "kPa", 8, 100, 1}, {"kPa", "psi", 50, 700, 10},
			{"in", "mm", 0.5, 24, 0.25}, {"mm", "in", 15, 600, 5}, {"ft", "m", 3, 200, 0.5}, {"m", "ft", 1, 60, 0.5},
			{"gal", "L", 5, 120, 5}, {"L", "gal", 20, 400, 10}, {"degF", "degC", 40, 180, 5}, {"degC", "degF", 5, 80, 1},
			{"Btu/h", "W", 500, 40000, 500}, {"ft/s", "m/s", 2, 10, 0.5},
		}
		k := kinds[r.IntN(len(kinds))]
		return fmt.Sprintf(`"value":%q,"to":%q`, r.step(k.low, k.high, k.step, 2)+" "+k.from, k.to)
	},
	"grade": func(r quizRand) string {
		length := 10 + r.IntN(110)
		low, high := max(1, float64(length)/16), float64(length)/2 // 1/16 to 1/2 in per ft
		return fmt.Sprintf(`"length":"%d ft","fall":%q`, length, r.step(math.Ceil(low*4)/4, math.Floor(high*4)/4, 0.25,
			2)+" in")
	},
	"inverts": func(r quizRand) string {
		var runs []string
		for range 2 + r.IntN(3) {
			drop := ""
			if r.IntN(3) == 0 {
				drop = fmt.Sprintf(`,"drop":%q`, r.step(1, 6, 0.5, 1)+" in")
			}
			runs = append(runs, fmt.Sprintf(`{"length":%q,"grade":%q%s}`, r.feet(5, 60), r.grade(), drop))
		}
		return fmt.Sprintf(`"outlet_invert":%q,"runs":[%s]`, r.elevation(), strings.Join(runs, ","))
	},
	"trench": func(r quizRand) string {
		length, lower := 20+r.IntN(101), 36+r.IntN(49)
		upper := max(18, lower-length/4+r.IntN(13)-6) // the drain falls, and the ground is nearly level
		return fmt.Sprintf(`"length":"%d ft","width":%q,"depth_lower":"%d in","depth_upper":"%d in"`, length,
			r.step(18, 36, 3, 0)+" in", lower, upper)
	},
	"open-channel": func(r quizRand) string {
		given := fmt.Sprintf(`"depth_ratio":%s`, r.pick("0.25", "0.3333", "0.5", "0.6667", "0.75", "1"))
		if r.IntN(2) == 0 {
			given = fmt.Sprintf(`"flow":%q`, r.gpm(5, 120))
		}
		return fmt.Sprintf(`"bore":%q,"grade":%q,"n":%s,%s`, r.drainBore(), r.grade(),
			r.pick("0.009", "0.01", "0.013", "0.015"), given)
	},
	"drainage-load": func(r quizRand) string {
		more := ""
		if r.IntN(3) == 0 {
			more = fmt.Sprintf(`,"continuous":%q`, r.gpm(1, 10))
		}
		return fmt.Sprintf(`"code":%q,"fixtures":[%s]%s`, r.code(), r.fixtures(), more)
	},
	"drain-size": func(r quizRand) string {
		if r.IntN(2) == 0 {
			floors := 1 + r.IntN(6)
			return fmt.Sprintf(`"code":"ipc-2021","part":"stack","load":%d,"intervals":%d`, floors*(6+r.IntN(50)), floors)
		}
		load := 6 + r.IntN(190) // a closet for every six to nine units, as bathrooms have
		return fmt.Sprintf(`"code":%q,"part":"drain","load":%d,"grade":%q,"water_closets":%d,"below_ground":true`,
			r.code(), load, r.pick("1/8 in/ft", "1/4 in/ft", "1/2 in/ft"), max(1, load/(6+r.IntN(4))))
	},
	"vent-size": func(r quizRand) string {
		if r.IntN(3) == 0 {
			return fmt.Sprintf(`"code":%q,"part":"individual","drain_size":%q,"load":%d,"length":%q`, r.code(),
				r.pick("1 1/2 in", "2 in", "3 in"), 1+r.IntN(6), r.feet(8, 60))
		}
		return fmt.Sprintf(`"code":"ipc-2021","part":"stack","drain_size":%q,"load":%d,"length":%q`,
			r.pick("2 in", "3 in", "4 in"), 4+r.IntN(100), r.feet(20, 250))
	},
	"demand-exact": func(r quizRand) string {
		var groups []string
		for range 1 + r.IntN(3) {
			groups = append(groups, fmt.Sprintf(`{"count":%d,"probability":%s,"flow":%q}`, 2+r.IntN(60),
				r.step(0.01, 0.1, 0.005, 3), r.step(0.5, 4, 0.25, 2)+" gpm"))
		}
		return fmt.Sprintf(`"confidence":0.99,"groups":[%s]`, strings.Join(groups, ","))
	},
	"friction": func(r quizRand) string {
		bore, flow := r.tube()
		return fmt.Sprintf(`%s,"flow":%q,"bore":%q,"length":%q`, r.friction(), flow, bore, r.feet(20, 200))
	},
	"velocity": func(r quizRand) string {
		bore, flow := r.tube()
		return fmt.Sprintf(`"flow":%q,"bore":%q`, flow, bore)
	},
	"surge": func(r quizRand) string {
		pipes := [...]struct{ bore, wall, modulus string }{ // copper tube, PVC and steel pipe
			{"0.785 in", "0.045 in", "17000 ksi"}, {"1.025 in", "0.05 in", "17000 ksi"}, {"1.505 in", "0.06 in", "17000 ksi"},
			{"1.049 in", "0.133 in", "400 ksi"}, {"2.067 in", "0.154 in", "400 ksi"}, {"1.049 in", "0.133 in", "29000 ksi"},
			{"2.067 in", "0.154 in", "29000 ksi"},
		}
		p := pipes[r.IntN(len(pipes))]
		return fmt.Sprintf(`"bore":%q,"wall":%q,"modulus":%q,"velocity_change":%q`, p.bore, p.wall, p.modulus,
			r.step(2, 10, 0.5, 1)+" ft/s")
	},
	"minor-loss": func(r quizRand) string {
		bore, flow := r.tube()
		return fmt.Sprintf(`"k":%s,"flow":%q,"bore":%q`, r.step(0.2, 12, 0.1, 1), flow, bore)
	},
	"expansion-leg": func(r quizRand) string {
		move := r.step(0.5, 2, 0.25, 2) + " in"
		outside := r.pick("0.625 in", "0.875 in", "1.125 in", "1.375 in", "2.125 in")
		if r.IntN(2) == 0 {
			return fmt.Sprintf(`"expansion":%q,"diameter":%q,"modulus":"15600 ksi","stress":"6000 psi","end":"guided"`, move,
				outside)
		}
		return fmt.Sprintf(`"expansion":%q,"diameter":%q,"c":%s`, move, outside, r.pick("12", "20", "30"))
	},
	"mark": markQuiz,
}

// markQuizMetric is [markQuiz] in metric units.
func markQuizMetric(r quizRand) string {
	metres := float64(30+r.IntN(300)) / 10
	percent, unit := []float64{1, 1.5, 2}[r.IntN(3)], "mm"
	fall := metres * 10 * percent
	switch r.IntN(4) {
	case 0: // percent taken for in/ft
		fall = metres * 1000 * percent / 12
	case 1:
		unit = "cm"
	}
	return fmt.Sprintf(`"problem":{"ask":"fall","length":"%s m","grade":"%s %%","units":"si"},`+
		`"student":{"fall":"%.0f %s"}`,
		plainNumber(metres, 0.1), plainNumber(percent, 0.1), fall, unit)
}

// markQuiz draws a fall and an answer to it that is right, rounded, or spoilt by a
// usual slip.
func markQuiz(r quizRand) string {
	if r.si {
		return markQuizMetric(r)
	}
	run, grade := r.run(), r.pick("1/4 in/ft", "1/8 in/ft", "2 %", "1 %")
	l, err1 := units.Parse[units.Length](run)
	g, err2 := slope.Parse(grade)
	if err1 != nil || err2 != nil {
		return ""
	}
	fall, percent := 12*l.Feet()*g.Float(), strings.HasSuffix(grade, "%")
	unit := "in"
	switch r.IntN(4) {
	case 0: // percent taken for in/ft, or the other way round
		if percent {
			fall = l.Feet() * g.Percent()
		} else {
			fall = 12 * l.Feet() * 12 * g.Float() / 100
		}
	case 1: // inches written as feet
		unit = "ft"
	}
	return fmt.Sprintf(`"problem":{"ask":"fall","length":%q,"grade":%q},"student":{"fall":%q}`, run, grade,
		strconv.FormatFloat(fall, 'f', 2, 64)+" "+unit)
}
