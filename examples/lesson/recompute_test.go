package lesson

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestWorkingRecomputes works out what each line of working puts into a formula, and wants
// the number that stands under it, to the digits printed: once with its units, and once by
// the bare figures, as a student with a calculator does, so that no conversion is hidden.
// A line that converts is worked out likewise.
func TestWorkingRecomputes(t *testing.T) {
	in, err := os.ReadFile("testdata/working.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	worked := map[string]int{}
	lines := string(in)
	for _, k := range kindNames() { // fresh figures beside those kept
		for _, line := range wordsOf(k).more {
			lines += line + "\n"
		}
		for _, system := range [...]string{"us", "si"} {
			var questions, key strings.Builder
			q := quizOf(3, 11, k)
			q.Units = system
			if err := quiz(t.Context(), q, &questions, &key, options{shelf: embedded}); err != nil {
				t.Fatal(err)
			}
			lines += questions.String()
		}
	}
	for line := range strings.Lines(lines) {
		var problem struct{ Ask string }
		var reply struct{ Working []string }
		out, _ := solveText(t, line, options{working: true, shelf: embedded})
		if err := json.Unmarshal([]byte(line), &problem); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(out), &reply); err != nil {
			t.Fatal(err)
		}
		for i, s := range reply.Working {
			put, result, ok := "", "", false
			if i > 0 && strings.HasPrefix(s, "  = ") && strings.HasPrefix(reply.Working[i-1], "  = ") {
				put, result, ok = strings.TrimPrefix(reply.Working[i-1], "  = "), strings.TrimPrefix(s, "  = "), true
				worked[problem.Ask]++
			} else if conversion := strings.TrimPrefix(s, "  "); conversion != s && !strings.HasPrefix(s, "  = ") {
				put, result, ok = strings.Cut(conversion, " = ")
			}
			if !ok {
				continue
			}
			if err := sameValue(put, result, strings.HasPrefix(s, "  = ")); err != nil {
				t.Errorf("%s: %v\n%s", problem.Ask, err, strings.Join(reply.Working, "\n"))
			}
		}
	}
	for _, k := range kindNames() {
		if worked[k] == 0 {
			t.Errorf("%s: no substitution is shown", k)
		}
	}
}

// conversionFactor ends a line that converts: "8 gpm / 448.831".
var conversionFactor = regexp.MustCompile(`^(-?[0-9.e+-]+ [A-Za-z][A-Za-z0-9/%-]*) [/x] [0-9.e+-]+$`)

// otherDegrees turn a temperature into the other scale.
var otherDegrees = regexp.MustCompile(`^(-?[0-9.]+ degC) x 1[.]8 [+] 32$|^[(](-?[0-9.]+ degF) - 32[)] / 1[.]8$`)

// sameValue works out an expression and compares it with a printed result.
func sameValue(put, result string, equation bool) error {
	bare := &reckoner{rest: put, bare: true}
	got := bare.sum()
	rest, _, _ := strings.Cut(bare.rest, ", in ")
	want := &reckoner{rest: result, bare: true}
	if err := near(bare, rest, got, want.factor(), put, result); err != nil {
		return fmt.Errorf("by its figures alone: %w", err)
	}
	if m := conversionFactor.FindStringSubmatch(put); m != nil && !equation {
		put = m[1]
	} else if m := otherDegrees.FindStringSubmatch(put); m != nil && !equation {
		put = m[1] + m[2]
	} else if strings.Contains(put, ", in ") { // a formula in numbers has been worked out
		return nil
	}
	sum := &reckoner{rest: put}
	got = sum.sum()
	want = &reckoner{rest: result}
	return near(sum, sum.rest, got, want.factor(), put, result)
}

// near compares what an expression came to with a printed result. Figures of six digits leave
// a power or a small difference in doubt in the fifth.
func near(r *reckoner, rest string, got, w float64, put, result string) error {
	if r.err != nil || strings.TrimSpace(rest) != "" {
		return fmt.Errorf("%q: stopped at %q: %v", put, rest, r.err)
	}
	if within := 3e-5*math.Abs(w) + 1e-5*r.most; !(math.Abs(got-w) <= within) {
		return fmt.Errorf("%q comes to %v, printed %q is %v", put, got, result, w)
	}
	return nil
}

// A reckoner works out expressions such as "2 x (3 ft)^2 / 4 + 1 in", in SI.
type reckoner struct {
	rest string
	bare bool    // units stand for nothing, but percent and degrees
	most float64 // the greatest term added
	err  error
}

func (r *reckoner) next(s string) bool {
	rest, ok := strings.CutPrefix(strings.TrimLeft(r.rest, " "), s)
	if ok {
		r.rest = rest
	}
	return ok
}

func (r *reckoner) sum() float64 {
	v, terms := r.product(), 1
	most := math.Abs(v)
	for ; ; terms++ {
		var w float64
		switch {
		case r.next("+ "):
			w = r.product()
		case r.next("- "):
			w = -r.product()
		default:
			if terms > 1 {
				r.most = max(r.most, most)
			}
			return v
		}
		v, most = v+w, max(most, math.Abs(w))
	}
}

func (r *reckoner) product() float64 {
	v := r.power()
	for {
		switch {
		case r.next("x "):
			v *= r.power()
		case r.next("/ "):
			v /= r.power()
		default:
			return v
		}
	}
}

func (r *reckoner) power() float64 {
	v := r.factor()
	if r.next("^") {
		return math.Pow(v, r.factor())
	}
	return v
}

var functions = map[string]func(float64) float64{
	"sqrt(": math.Sqrt, "ln(": math.Log, "log10(": math.Log10, "sin(": math.Sin, "cos(": math.Cos,
	"asin(": math.Asin, "acosh(": math.Acosh, "(": func(x float64) float64 { return x },
}

var (
	number = regexp.MustCompile(`^-?\d+(\.\d+)?(e[+-]?\d+)?(/\d+(\.\d+)?)?(:\d+(\.\d+)?)?`)
	word   = regexp.MustCompile(`^ (per )?([A-Za-z%][A-Za-z0-9%/-]*)`)
)

func (r *reckoner) factor() float64 {
	for name, f := range functions {
		if r.next(name) {
			v := f(r.sum())
			if !r.next(")") {
				r.err = fmt.Errorf("no ) at %q", r.rest)
			}
			return v
		}
	}
	if r.next("pi") {
		return math.Pi
	}
	r.rest = strings.TrimLeft(r.rest, " ")
	s := number.FindString(r.rest)
	if s == "" {
		r.err = fmt.Errorf("no number at %q", r.rest)
		return math.NaN()
	}
	r.rest = r.rest[len(s):]
	v := ratioOf(s)
	m := word.FindStringSubmatch(r.rest)
	if m == nil || m[2] == "x" {
		return v
	}
	scale, shift, ok := unitScale(m[2])
	if !ok {
		return v
	}
	r.rest = r.rest[len(m[0]):]
	if r.bare && m[2] != "%" && m[2] != "deg" {
		return v
	}
	if m[1] != "" {
		return v / scale
	}
	return (v + shift) * scale
}

// ratioOf reads "3", "1/4" and the grade "1:48".
func ratioOf(s string) float64 {
	for _, sep := range [...]string{"/", ":"} {
		if a, b, ok := strings.Cut(s, sep); ok {
			return ratioOf(a) / ratioOf(b)
		}
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// extraUnits are those of formulas that no quantity of the library has, in SI.
var extraUnits = map[string]float64{
	"lbf/ft3": 4.4482216152605 / (0.3048 * 0.3048 * 0.3048), "ft-lbf/s": 1.3558179483314004,
	"h-ft-degF/Btu": 3600 * 0.3048 / 1.8 / 1055.05585262, "min": 60,
	"in/ft": 1. / 12, "%": 0.01, "deg": math.Pi / 180, "J/kg-K": 1, "m-K/W": 1, "m/s2": 1, "ft/s2": 0.3048,
	"Fdeg": 1 / 1.8,
	"dfu":  1, "wsfu": 1, "du": 1, "lu": 1, "K": 1, "ft3/s": 0.3048 * 0.3048 * 0.3048, "m3/s": 1,
	"Btu/h-ft": 1055.05585262 / 3600 / 0.3048, "W/m": 1, "W": 1, "kPa": 1000, "Pa": 1, "m": 1, "m2/s": 1, "m3": 1,
}

func unitScale(name string) (scale, shift float64, ok bool) {
	switch name {
	case "degF":
		return 1 / 1.8, 459.67, true
	case "degC":
		return 1, 273.15, true
	}
	if x, ok := extraUnits[name]; ok {
		return x, 0, true
	}
	q, err := units.ParseQuantity("1 " + name)
	if err != nil {
		return 0, 0, false
	}
	for _, si := range [...]string{"m", "m2", "m3", "m3/s", "m/s", "Pa", "kg/m3", "W", "s", "W/m-K", "W/m2-K", "m2/s",
		"W/m", "Pa-s"} {
		if x, err := q.In(si); err == nil {
			return x, 0, true
		}
	}
	return 0, 0, false
}
