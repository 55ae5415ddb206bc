package dwv

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// CheckOptions sets what a check looks at.
type CheckOptions struct {
	// ProblemsOnly leaves out the passes.
	ProblemsOnly bool
	// Frost checks vent terminals for a place with frost or snow.
	Frost bool
	// Sizing is the sizing to judge by; nil computes it.
	Sizing *Sizing
}

// Check judges a layout by a code, rule by rule, and returns the findings ordered by
// rule and place. A drawn size is judged as drawn, one that is absent as [Layout.Size]
// fills it. What rests on a figure nobody has seen in print, and what the layout
// does not tell, comes out as [tables.Ask].
//
// The findings do not depend on the order of the points in the layout, and
// renaming the points renames the findings and changes nothing else.
func (l *Layout) Check(code *Code, opt CheckOptions) ([]tables.Finding, error) {
	t, err := l.tree()
	if err != nil {
		return nil, err
	}
	s := opt.Sizing
	if s == nil {
		if s, err = l.Size(code, SizeOptions{}); err != nil {
			return nil, err
		}
	}
	if s.tree != t || s.code != code {
		return nil, fmt.Errorf("%w: the sizes are not of this layout and code", ErrNotBuilt)
	}
	lv, err := l.Levels(s)
	if err != nil {
		return nil, err
	}
	j := &judge{layout: l, tree: t, code: code, sizing: s, levels: lv, opt: opt, work: newWork(t), routes: s.routes, access: newAccess(t)}
	for sys := range int32(t.outlets) {
		j.system, j.order = sys, t.of(sys)
		j.lo, j.hi = t.span(sys)
		j.access.fill(s, sys)
		j.drains()
		j.traps()
		j.cleanouts()
		j.site()
		j.stackLengths()
		j.armGrades()
	}
	j.ventChecks()
	j.circuits()
	j.materials()
	j.footings()
	if j.err != nil {
		return nil, j.err
	}
	j.sort()
	return j.findings, nil
}

// sort brings the findings into order: by rule, place and text.
func (j *judge) sort() {
	type key struct {
		rule int
		at   int
	}
	keys := make([]key, len(j.findings))
	for i := range keys {
		keys[i] = key{ruleOrder(j.findings[i].Rule), i}
	}
	slices.SortFunc(keys, func(a, b key) int {
		if a.rule != b.rule {
			return a.rule - b.rule
		}
		x, y := &j.findings[a.at], &j.findings[b.at]
		return cmp.Or(cmp.Compare(x.Place, y.Place), cmp.Compare(x.Reason, y.Reason), cmp.Compare(a.at, b.at))
	})
	sorted := make([]tables.Finding, len(keys))
	for i, k := range keys {
		sorted[i] = j.findings[k.at]
	}
	j.findings = sorted
}

// judge gathers the findings of one check.
type judge struct {
	layout *Layout
	tree   *tree
	code   *Code
	sizing *Sizing
	levels *Levels
	routes *routes
	access *access
	opt    CheckOptions
	work   *work
	// The system in hand, its points from lo up to and without hi, and the same
	// points each after all that drain to it.
	system int32
	lo, hi int32
	order  []int32

	findings []tables.Finding
	err      error // the first fault of the code's own tables
	// notBathroom is, by node, the kind of a fixture there or upstream that is none
	// of a bathroom; made when first asked for.
	notBathroom []string
}

// skips tells whether a pass that cites c need not be put into words.
func (j *judge) skips(c tables.Citation) bool {
	return j.opt.ProblemsOnly && (c.IsZero() || c.Status().Firm())
}

// quiet tells whether a comparison with that margin need not be put into words.
func (j *judge) quiet(margin units.Length, c tables.Citation) bool { return margin >= 0 && j.skips(c) }

// add records a finding. A pass or a fail on a figure nobody saw in print turns
// into a question.
func (j *judge) add(f tables.Finding) {
	if f = f.Settle(); f.Verdict == tables.Pass && j.opt.ProblemsOnly {
		return
	}
	j.findings = append(j.findings, f)
}

// atMost adds the finding of a length that may not exceed a limit.
func (j *judge) atMost(rule, place string, value, limit units.Length, c tables.Citation, what, remedy string) {
	j.compare(rule, place, value, limit, limit-value, c, what, "at most", remedy)
}

// atLeast adds the finding of a length that may not fall short of a limit.
func (j *judge) atLeast(rule, place string, value, limit units.Length, c tables.Citation, what, remedy string) {
	j.compare(rule, place, value, limit, value-limit, c, what, "at least", remedy)
}

func (j *judge) compare(rule, place string, value, limit, margin units.Length, c tables.Citation, what, bound, remedy string) {
	if margin >= 0 {
		if j.skips(c) {
			return
		}
		remedy = ""
	}
	v := tables.Pass
	if margin < 0 {
		v = tables.Fail
	}
	j.add(tables.Finding{
		Rule: rule, Place: place, Verdict: v, Value: value, Limit: limit, Margin: margin,
		Reason: fmt.Sprintf("%s is %v, and must be %s %v", what, value, bound, limit),
		Remedy: remedy, Citation: c,
	})
}

// ask adds a question.
func (j *judge) ask(rule, place, reason, remedy string, c tables.Citation) {
	j.findings = append(j.findings, tables.Finding{Rule: rule, Place: place, Verdict: tables.Ask, Reason: reason, Remedy: remedy, Citation: c})
}

// length looks up a rule of the code that is a length; ok is false if the code
// has none or sets no limit.
func (j *judge) length(id string) (x units.Length, c tables.Citation, ok bool) {
	r := j.code.lengths[id]
	x, ok = r.cell.Get()
	return x, r.cite, ok
}

// number looks up a rule that is a plain number in the unit.
func (j *judge) number(id, unit string) (x float64, c tables.Citation, ok bool) {
	return j.code.number(id, unit)
}

// id returns what a node is called.
func (j *judge) id(i int32) string {
	if pt := j.tree.point(i); pt != nil {
		return pt.ID
	}
	return j.layout.Systems[i].Outlet.ID
}

// count is a plain whole number that prints itself.
type count int

func (c count) String() string { return strconv.Itoa(int(c)) }

// angle is an angle in thousandths of a degree.
type angle int32

func (a angle) String() string { return strconv.FormatFloat(float64(a)/1000, 'f', -1, 64) + " deg" }

// word is a value that is no quantity, such as a material.
type word string

func (w word) String() string { return string(w) }
