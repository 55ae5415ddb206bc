package job

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// Comparison is one job under several codes.
type Comparison struct {
	Job   string         `json:"job"`
	Codes []ComparedCode `json:"codes"`
	Runs  []ComparedSize `json:"runs"`
	// Differences are the runs whose size is not the same under all, with the row of each
	// code that decides.
	Differences []SizeDifference  `json:"differences"`
	Findings    []ComparedFinding `json:"findings"` // that fail under some code and not under all
}

// ComparedCode is the verdict of one code.
type ComparedCode struct {
	Code      string   `json:"code"`
	Edition   string   `json:"edition,omitempty"`
	Fail      int      `json:"fail"`
	Ask       int      `json:"ask"`
	Pass      int      `json:"pass"`
	NotJudged []string `json:"not_judged"`
	Problem   string   `json:"problem,omitempty"` // why it could not be judged at all
}

// ComparedSize is one run under each code, in their order.
type ComparedSize struct {
	Run   string   `json:"run"`
	Sizes []string `json:"sizes"`
}

// SizeDifference is a run that is not sized alike.
type SizeDifference struct {
	Run string   `json:"run"`
	By  []string `json:"by"` // by code: its size, why, and the row
}

// ComparedFinding is a finding under each code, in their order; "" where the code finds nothing.
type ComparedFinding struct {
	Finding  string   `json:"finding"`
	Verdicts []string `json:"verdicts"`
}

// CompareCodes judges the job by each of the codes; without any, by every code of the shelf
// that sizes it, its own first. A code that cannot judge it says why; one that is not on the
// shelf is an error. It stops with the error of the context once that is
// done; o.Tell hears of each code.
func (j *Job) CompareCodes(ctx context.Context, codes []string, o Options) (*Comparison, error) {
	if codes == nil {
		var err error
		if codes, err = sizing(j); err != nil {
			return nil, err
		}
	}
	u := &Comparison{Job: j.Title()}
	n := len(codes)
	table := compared{byCode{codes: n}, byCode{codes: n}, byCode{codes: n}}
	for k, code := range codes {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("compare: stopped after %d of %d codes: %w", k, len(codes), err)
		}
		o.tell("%s, code %d of %d", code, k+1, len(codes))
		row := ComparedCode{Code: code, NotJudged: []string{}}
		r, err := j.ReportContext(ctx, code, o)
		if errors.Is(err, tables.ErrNotFound) {
			return nil, err
		}
		if ctx.Err() != nil {
			return nil, fmt.Errorf("compare: stopped after %d of %d codes: %w", k, len(codes), ctx.Err())
		}
		if err != nil {
			row.Problem = err.Error()
			u.Codes = append(u.Codes, row)
			continue
		}
		row.Edition, row.NotJudged = r.Job.Edition, r.NotJudged
		row.Fail, row.Ask, row.Pass = r.Counts.Fail, r.Counts.Ask, r.Counts.Pass
		u.Codes = append(u.Codes, row)
		for _, d := range r.Drains {
			table.set(k, d.From+" > "+d.To, d.Required, d.Why, d.Source)
		}
		if r.Water != nil {
			for _, w := range r.Water.Runs {
				table.set(k, "water "+w.From+" > "+w.Point, w.Size, w.Why, w.Source)
			}
		}
		for _, f := range slices.Concat(r.Findings.Fail(), r.Findings.Ask()) {
			table.verdicts.set(k, f.ID, f.Verdict.String())
		}
	}
	u.Runs, u.Differences, u.Findings = table.rows(codes)
	return u, nil
}

// CodeLists are the codes that a job may be judged by, for lists to choose from.
type CodeLists struct {
	Drains []tables.CodeInfo `json:"drains"`
	Water  []tables.CodeInfo `json:"water"`
}

// Codes returns the codes on a shelf, with what each covers.
func Codes(shelf *tables.Shelf) (c CodeLists, err error) {
	if c.Drains, err = dwv.Codes(shelf); err != nil {
		return c, err
	}
	c.Water, err = supply.Codes(shelf)
	return c, err
}

// sizing lists the codes that size a job, its own first.
func sizing(j *Job) ([]string, error) {
	list := []string{j.CodeID()}
	add := func(codes []tables.CodeInfo, err error) error {
		for _, c := range codes {
			if !slices.Contains(list, c.ID) {
				list = append(list, c.ID)
			}
		}
		return err
	}
	if j.Drains() != nil {
		return list, add(dwv.Codes(j.Shelf()))
	}
	return list, add(supply.Codes(j.Shelf()))
}

// byCode keeps a text for each of some codes under names, in the order in which the names first came.
type byCode struct {
	codes int
	names []string
	texts map[string][]string
}

func (t *byCode) set(code int, name, text string) {
	if t.texts[name] == nil {
		if t.texts == nil {
			t.texts = map[string][]string{}
		}
		t.names, t.texts[name] = append(t.names, name), make([]string, t.codes)
	}
	t.texts[name][code] = text
}

// compared gathers sizes and findings by code.
type compared struct{ sizes, why, verdicts byCode }

func (t *compared) set(code int, run string, size Size, why, source string) {
	t.sizes.set(code, run, string(size))
	t.why.set(code, run, why+"; "+source)
}

func (t *compared) rows(codes []string) (runs []ComparedSize, differ []SizeDifference, findings []ComparedFinding) {
	runs, differ, findings = []ComparedSize{}, []SizeDifference{}, []ComparedFinding{}
	for _, run := range t.sizes.names {
		sizes := t.sizes.texts[run]
		runs = append(runs, ComparedSize{run, sizes})
		d := SizeDifference{Run: run}
		first, alike := "", true
		for k, size := range sizes {
			if size == "" {
				continue
			}
			first = cmp.Or(first, size)
			alike = alike && oneSize(first, size)
			d.By = append(d.By, fmt.Sprintf("%s: %s, %s", codes[k], size, t.why.texts[run][k]))
		}
		if !alike {
			differ = append(differ, d)
		}
	}
	passes := func(verdict string) bool { return verdict != "fail" }
	for _, id := range t.verdicts.names {
		v := t.verdicts.texts[id]
		if slices.Contains(v, "fail") && slices.ContainsFunc(v, passes) {
			findings = append(findings, ComparedFinding{id, v})
		}
	}
	return runs, differ, findings
}

// oneSize tells whether two names are of one size, such as 3 in and DN 80: sizes that are
// made lie farther apart than names do.
func oneSize(a, b string) bool {
	x, _ := sizeNamed(a) // zero where it is none
	y, _ := sizeNamed(b)
	return a == b || x > 0 && y > 0 && 16*(x-y).Abs() < max(x, y)
}

// ChangeOrder is what a later revision changes.
type ChangeOrder struct {
	Was    string      `json:"was"`
	Is     string      `json:"is"`
	Drains tables.Diff `json:"drains"`
	Water  tables.Diff `json:"water"`
}

// CompareRevisions sets two revisions of a job beside each other, each under its own code or,
// if one is named, both under that.
func CompareRevisions(was, is *Job, code string, o Options) (*ChangeOrder, error) {
	return CompareRevisionsContext(context.Background(), was, is, code, o)
}

// CompareRevisionsContext is [CompareRevisions] that stops once the context is done, with its error and how
// far it was.
func CompareRevisionsContext(ctx context.Context, was, is *Job, code string, o Options) (*ChangeOrder, error) {
	c := &ChangeOrder{Was: was.Title(), Is: is.Title()}
	if (was.drains == nil) != (is.drains == nil) || (was.water == nil) != (is.water == nil) {
		return nil, errors.New("one revision has drains, or water lines, and the other has none: nothing to set beside")
	}
	if was.drains != nil {
		a, err := was.SizeDrainsContext(ctx, code)
		if err != nil {
			return nil, err
		}
		b, err := is.SizeDrainsContext(ctx, code)
		if err != nil {
			return nil, err
		}
		if c.Drains, err = a.DiffContext(ctx, b, drains.CheckOptions{ProblemsOnly: true, Print: o.Text}); err != nil {
			return nil, err
		}
	}
	if was.water != nil {
		a, err := was.SizeWaterContext(ctx, code, supply.Options{})
		if err != nil {
			return nil, err
		}
		b, err := is.SizeWaterContext(ctx, code, supply.Options{})
		if err != nil {
			return nil, err
		}
		if c.Water, err = a.DiffContext(ctx, b, supply.CheckOptions{ProblemsOnly: true, Print: o.Text}); err != nil {
			return nil, err
		}
	}
	c.inUnits(o)
	return c, nil
}

// inUnits writes the quantities as the report would.
func (c *ChangeOrder) inUnits(o Options) {
	for _, d := range [...]*tables.Diff{&c.Drains, &c.Water} {
		for i := range d.Items {
			x := &d.Items[i]
			for k := range x.Fields {
				f := &x.Fields[k]
				if f.Was != nil {
					f.Was = word(o.Text(f.Was))
				}
				if f.Is != nil {
					f.Is = word(o.Text(f.Is))
				}
			}
			// A report rounds more than a comparison does: what then reads alike is no change.
			x.Fields = slices.DeleteFunc(x.Fields, func(f tables.FieldChange) bool { return f.Was == f.Is })
		}
		d.Items = slices.DeleteFunc(d.Items, func(x tables.ItemChange) bool {
			return x.Change == tables.Altered && len(x.Fields) == 0
		})
	}
}

type word string

func (w word) String() string { return string(w) }

// ChangeSection says what another code changes about a layout.
type ChangeSection struct {
	From  string   `json:"from"`
	To    string   `json:"to"`
	Loads []string `json:"loads,omitempty"`
	Sizes []string `json:"sizes"`
	Water []string `json:"water,omitempty"`
	// Findings that come out otherwise.
	Findings []ChangedFinding `json:"findings"`
}

// ChangedFinding is a rule that comes out otherwise at a place.
type ChangedFinding struct {
	Rule   string `json:"rule"`
	Place  string `json:"place"`
	Was    string `json:"was"` // or "not judged"
	Now    string `json:"now"`
	Reason string `json:"reason"`
}

func changes(base, g *judged, p printer) *ChangeSection {
	c := &ChangeSection{From: base.code, To: g.code}
	if base.drains != nil && g.drains != nil {
		c.ofDrains(base.drains, g.drains, p)
	}
	if base.water != nil && g.water != nil {
		c.Water = waterChanges(base.water, g.water, p)
	}
	was, now := worst(base.findings), worst(g.findings)
	told := map[ruleAt]bool{}
	for f := range g.findings.all() {
		k := ruleAt{f.Rule, f.Place}
		before, judged := was[k]
		if told[k] || f.Verdict != now[k] || f.Verdict == before || !judged && f.Verdict != tables.Fail {
			continue
		}
		told[k] = true
		text := "not judged"
		if judged {
			text = before.String()
		}
		c.Findings = append(c.Findings,
			ChangedFinding{Rule: f.Rule, Place: f.Place, Was: text, Now: f.Verdict.String(), Reason: f.Reason})
	}
	return c
}

// ofDrains says which loads and sizes of the drains change.
func (c *ChangeSection) ofDrains(base, g *drainsJudged, p printer) {
	for _, sys := range g.layout.Systems {
		was, wasFlow, _ := base.total(&sys)
		now, flow, _ := g.total(&sys)
		c.Loads = append(c.Loads, fmt.Sprintf("system %s: %s, now %s", sys.ID, join(string(was), string(wasFlow)),
			join(string(now), string(flow))))
	}
	g.points(func(i int, _ *drains.System, pt *drains.Point) {
		a, b := base.sizing.At(i), g.sizing.At(i)
		if a.Required != b.Required {
			c.Sizes = append(c.Sizes, fmt.Sprintf("%s > %s: needs %s (%v), now %s (%v)", pt.ID, pt.To,
				p.size(a.Required), a.Decided, p.size(b.Required), b.Decided))
		}
	})
	va, vb := base.vents, g.vents
	for i := range va {
		if va[i].Required != vb[i].Required {
			c.Sizes = append(c.Sizes, fmt.Sprintf("vent %s: needs %s, now %s", va[i].Vent,
				p.size(va[i].Required), p.size(vb[i].Required)))
		}
	}
}

// ruleAt is a rule at a place, where it may be judged several times.
type ruleAt struct{ rule, place string }

// worst returns the worst verdict of each rule at each place: fail before ask before pass.
func worst(list findings) map[ruleAt]tables.Verdict {
	out := map[ruleAt]tables.Verdict{}
	for f := range list.all() {
		k := ruleAt{f.Rule, f.Place}
		old, seen := out[k]
		if !seen || f.Verdict == tables.Fail || f.Verdict == tables.Ask && old == tables.Pass {
			out[k] = f.Verdict
		}
	}
	return out
}

func (r *Report) printChanges(p *page) {
	c := r.Changes
	if c == nil {
		return
	}
	p.section(fmt.Sprintf("What changes from %s to %s", c.From, c.To))
	for _, part := range []struct {
		title string
		lines []string
	}{{"loads", c.Loads}, {"sizes", c.Sizes}, {"water", c.Water}, {"findings", changedLines(c.Findings)}} {
		if len(part.lines) == 0 {
			continue
		}
		p.printf("  %s\n", part.title)
		for _, l := range part.lines {
			p.paragraph("    - ", "      ", l)
		}
	}
}

// changedLines writes a line for each finding that now fails, and one for all the
// others that a rule changes alike.
func changedLines(list []ChangedFinding) []string {
	type key struct{ rule, was, now string }
	var out []string
	var places grouped.By[key, string]
	for _, f := range list {
		if f.Now == tables.Fail.String() {
			out = append(out, fmt.Sprintf("%s at %s: %s, now FAIL: %s", f.Rule, f.Place, f.Was, f.Reason))
			continue
		}
		places.Add(key{f.Rule, f.Was, f.Now}, f.Place)
	}
	for k, at := range places.All() {
		out = append(out, fmt.Sprintf("%s: %s, now %s at %s", k.rule, k.was, k.now, strings.Join(at, " ")))
	}
	return out
}
