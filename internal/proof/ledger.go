package proof

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Class is why a printed value is farther from ours than rounding explains.
type Class string

const (
	// Constants: the source uses another value of a constant, such as 4.52 for the
	// Hazen-Williams factor or 62.4 lb/ft3 for the density of water.
	Constants Class = "constants"
	// Steps: the source rounds on its way to the answer.
	Steps Class = "rounded steps"
	// Chart: the source reads a chart or an alignment diagram.
	Chart Class = "chart reading"
	// Misprint: the source contradicts itself or its own formula, so that its figures
	// cannot all be right.
	Misprint Class = "misprint"
	// Edition: the source follows another edition or another pipe standard.
	Edition Class = "other edition"
	// Model: the source uses another formula, named beside the case.
	Model Class = "other formula"
	// Unexplained: the source gives its figures but not how it came by them.
	Unexplained Class = "not explained"
)

var classes = []Class{Constants, Steps, Chart, Misprint, Edition, Model, Unexplained}

// rounding is the class of all values that need no reason.
const rounding Class = "rounding"

// A Value is one figure a source prints, with ours.
type Value struct {
	Source string // the document
	Case   string // the example or table in it
	Answer string // which of its figures
	Ours   float64
	// Printed is the figure as printed, in the unit of Ours. Its last digit says what
	// rounding leaves open, unless Within is positive and says it.
	Printed string
	Within  float64
	// Class and Why explain a value beyond rounding; they are not looked at otherwise.
	Class Class
	Why   string
}

// A Ledger gathers values. The zero ledger is empty and ready.
type Ledger struct {
	groups map[groupKey]*group
	faults []string
}

type groupKey struct {
	source string
	class  Class
	why    string
}

type group struct {
	cases         map[string]bool
	values        int
	largest       float64 // percent of the printed value, without sign
	at            string
	printed, ours string
}

// Add enters a value.
func (l *Ledger) Add(v Value) {
	printed, half, err := readPrinted(v.Printed)
	name := v.Case
	if v.Answer != "" {
		name += ", " + v.Answer
	}
	if err != nil || v.Source == "" || v.Case == "" || math.IsNaN(v.Ours) || math.IsInf(v.Ours, 0) {
		l.faults = append(l.faults, fmt.Sprintf("%s: source %q, printed %q, ours %v", name, v.Source, v.Printed,
			v.Ours))
		return
	}
	if v.Within > 0 {
		half = v.Within
	}
	off := math.Abs(v.Ours - printed)
	key := groupKey{v.Source, rounding, ""}
	if off > half+1e-9*math.Abs(printed) {
		key.class, key.why = v.Class, v.Why
		if !slices.Contains(classes, v.Class) || strings.TrimSpace(v.Why) == "" {
			l.faults = append(l.faults,
				fmt.Sprintf("%s: printed %s, ours %.7g (%+.2g %%): class %q, reason %q", name, v.Printed, v.Ours,
					100*(v.Ours/printed-1), v.Class, v.Why))
		}
	}
	percent := 0.0
	if printed != 0 {
		percent = 100 * off / math.Abs(printed)
	}
	if percent < 1e-6 {
		percent = 0 // the noise of float64
	}
	// Two digits are shown, and of equals the first name: no order of entries matters.
	percent, _ = strconv.ParseFloat(strconv.FormatFloat(percent, 'g', 2, 64), 64)
	total := groupKey{source: v.Source}
	for _, k := range []groupKey{key, total} {
		if k.class == rounding {
			continue // counted in the total
		}
		if l.groups == nil {
			l.groups = map[groupKey]*group{}
		}
		g := l.groups[k]
		if g == nil {
			g = &group{cases: map[string]bool{}}
			l.groups[k] = g
		}
		g.cases[v.Case] = true
		g.values++
		if g.at == "" || percent > g.largest || percent == g.largest && name < g.at {
			g.largest, g.at, g.printed, g.ours = percent, name, v.Printed, fmt.Sprintf("%.6g", v.Ours)
		}
	}
}

// readPrinted returns a printed number and half of its last place.
func readPrinted(text string) (x, half float64, err error) {
	if x, err = strconv.ParseFloat(text, 64); err != nil {
		return 0, 0, err
	}
	mantissa, exponent, _ := strings.Cut(strings.ToLower(text), "e")
	e := 0
	if exponent != "" {
		if e, err = strconv.Atoi(exponent); err != nil {
			return 0, 0, err
		}
	}
	_, decimals, _ := strings.Cut(mantissa, ".")
	return x, 0.5 * math.Pow10(e-len(decimals)), nil
}

var columns = []string{"source", "class", "cases", "values", "largest_percent", "at", "printed", "ours", "why"}

// rows returns the account by source: first the row of all its values, whose class
// is "all", then one a class and reason of those beyond rounding.
func (l *Ledger) rows() [][]string {
	keys := make([]groupKey, 0, len(l.groups))
	for k := range l.groups {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b groupKey) int {
		return cmp.Or(cmp.Compare(a.source, b.source), cmp.Compare(a.class, b.class), cmp.Compare(a.why, b.why))
	})
	out := [][]string{columns}
	for _, k := range keys {
		g, class := l.groups[k], k.class
		if class == "" {
			class = "all"
		}
		out = append(out, []string{k.source, string(class), strconv.Itoa(len(g.cases)), strconv.Itoa(g.values),
			strconv.FormatFloat(g.largest, 'g', 2, 64), g.at, g.printed, g.ours, k.why})
	}
	return out
}
