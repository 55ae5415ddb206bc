package job

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FindingSection is what the checks found. Its rows are many: they are written when they are
// asked for.
type FindingSection struct {
	Summary string

	found   findings
	counted *tables.Tally // passes that are none of those
	as      printer
	read    findingRecord // of a section that came as JSON
}

// findingRecord is a section of findings as JSON has it.
type findingRecord struct {
	Summary string       `json:"summary"`
	Fail    []FindingRow `json:"fail"`
	Ask     []FindingRow `json:"ask"`
	Pass    []FindingRow `json:"pass"`
}

// Fail returns the findings that fail.
func (s *FindingSection) Fail() []FindingRow { return s.rows(s.read.Fail, tables.Fail) }

// Ask returns the questions.
func (s *FindingSection) Ask() []FindingRow { return s.rows(s.read.Ask, tables.Ask) }

// Pass returns the findings that pass, without those that are counted alone.
func (s *FindingSection) Pass() []FindingRow { return s.rows(s.read.Pass, tables.Pass) }

// rows returns the rows that were read, and writes those of the findings of a verdict.
func (s *FindingSection) rows(read []FindingRow, v tables.Verdict) []FindingRow {
	rows := append([]FindingRow{}, read...)
	for f := range s.found.all() {
		if f.Verdict == v {
			rows = append(rows, findingRow(f, s.as))
		}
	}
	return rows
}

// MarshalJSON writes the summary and the rows of each verdict.
func (s FindingSection) MarshalJSON() ([]byte, error) {
	return json.Marshal(findingRecord{s.Summary, s.Fail(), s.Ask(), s.Pass()})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *FindingSection) UnmarshalJSON(data []byte) error {
	*s = FindingSection{}
	err := json.Unmarshal(data, &s.read)
	s.Summary = s.read.Summary
	return err
}

// FindingRow is one finding.
type FindingRow struct {
	ID        string         `json:"id"` // rule, place and side: the same in the next revision of the layout
	Rule      string         `json:"rule"`
	Place     string         `json:"place"`
	Places    []string       `json:"places,omitempty"` // where several are said at once
	Verdict   tables.Verdict `json:"verdict"`
	SettledBy tables.Settler `json:"settled_by,omitzero"` // who can answer a question
	// IfConfirmed is what it then is, where only the standing of a figure is asked about.
	IfConfirmed tables.Verdict `json:"if_confirmed,omitzero"`
	Value       Quantity       `json:"value,omitempty"`
	Limit       Quantity       `json:"limit,omitempty"`
	Margin      Quantity       `json:"margin,omitempty"`
	Reason      string         `json:"reason"`
	Fix         string         `json:"fix,omitempty"` // what puts a fail right, or what to ask whom
	Source      string         `json:"source,omitempty"`
	Standing    tables.Status  `json:"standing,omitzero"` // of the row that decided

	compared string // the reason without what it says of the standing of its figure
}

// measure returns the margin of a finding as a number; margins of one rule are in
// one unit.
func measure(x fmt.Stringer) (float64, bool) {
	switch v := quantity(x).(type) {
	case units.Length:
		return float64(v), true
	case drains.Depth:
		return float64(v), true
	case units.Pressure:
		return float64(v), true
	case units.Velocity:
		return float64(v), true
	case units.Volume:
		return float64(v), true
	case dwv.FixtureUnits:
		return float64(v), true
	case slope.Grade:
		return v.Float(), true
	}
	return 0, false
}

// figuresBeside says what a finding measured, unless a text names value and limit.
func (f *FindingRow) figuresBeside(text string) string {
	says := func(x string) bool {
		x = strings.TrimPrefix(x, "-")
		return names(text, x) || names(text, strings.TrimSuffix(x, " in")+`"`)
	}
	if f.Value == "" || f.Limit == "" && (says(string(f.Value)) || !strings.Contains(string(f.Value), " ")) {
		return "" // a bare number counts what the reason lists
	}
	var parts []string
	called, off := f.sideOfLimit()
	if !says(string(f.Value)) {
		parts = append(parts, string(f.Value))
	}
	if f.Limit != "" && (!says(string(f.Limit)) || parts == nil && opposite(text, f.Value, f.Limit)) {
		parts = append(parts, called+" "+string(f.Limit))
	}
	switch left, missing := strings.CutPrefix(string(f.Margin), "-"); {
	case f.Margin == "" || says(left) || missing && f.IfConfirmed == tables.Pass ||
		strings.Contains(text, "too small") || strings.Contains(text, "just too"):
	case missing:
		parts = append(parts, left+" "+off)
	default:
		parts = append(parts, left+" to spare")
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// sideOfLimit says what the limit of a finding is called, and what lies beyond it: a least
// figure has too little below it.
func (f *FindingRow) sideOfLimit() (called, off string) {
	value, unit, ok := f.Value.Value()
	limit, same, okLimit := f.Limit.Value()
	missing := strings.HasPrefix(string(f.Margin), "-")
	switch {
	case !ok || !okLimit || unit != same || f.Margin == "" || value == limit:
		return "limit", "beyond the limit"
	case missing == (value < limit):
		return "at least", "too little"
	}
	return "limit", "too much"
}

// sourceOf names the row that decided a finding, or the limit of the job's own that a fail broke.
func sourceOf(f *tables.Finding, p printer) string {
	switch own := drains.OwnLimit(f.Rule); {
	case !f.Citation.IsZero() || f.Verdict != tables.Fail || own == "":
		return p.cite(f.Citation)
	case strings.Contains(own, ", "): // fields that are held against each other
		return "the job itself (" + own + ")"
	default:
		return "the job's own limit (" + strings.TrimSpace(own+" "+string(p.value(f.Limit))) + ")"
	}
}

func findingRow(f *tables.Finding, p printer) FindingRow {
	return FindingRow{compared: bareReason(f), ID: f.ID(), Rule: f.Rule, Place: f.Place, Verdict: f.Verdict,
		SettledBy:   settler(f),
		IfConfirmed: f.IfConfirmed,
		Standing:    f.Citation.Status(), Value: p.figure(f.Rule, f.Value), Limit: p.figure(f.Rule, f.Limit),
		Margin: p.left(f),
		Reason: sentence(f.Reason), Fix: f.Fix, Source: sourceOf(f, p)}
}

// printFails prints every fail, with its fix and the row that decided; those alike together.
func (r *Report) printFails(p *page) {
	count := map[string]int{}
	var more grouped.By[string, string] // places of the fails past the first
	var fails []*tables.Finding
	all, _ := r.made.failing()
	for _, f := range all {
		if count[f.Rule]++; count[f.Rule] > failsOfRule {
			more.Add(f.Rule, f.Place)
			continue
		}
		fails = append(fails, f)
	}
	for _, alike := range r.alike(fails) {
		slices.SortStableFunc(alike, func(a, b *tables.Finding) int { return visible.Counted(a.Place, b.Place) })
		r.printFail(p, alike, true)
	}
	for rule, places := range more.All() {
		slices.SortFunc(places, visible.Counted)
		p.paragraph("  FAIL  ", "        ", fmt.Sprintf("%s also at %s: with their figures in -json and on the page.",
			ruleWords(rule), strings.Join(places, " ")))
	}
}

// printFail prints fails that differ in place and figures alone, the first in full: whole with its fix and the row
// that decided, else with its section in the same sentence.
func (r *Report) printFail(p *page, alike []*tables.Finding, whole bool) {
	f := alike[0]
	text := r.sentenceOf(f)
	if c := r.cited(f.Citation); c != "" && !whole {
		text = strings.TrimSuffix(text, ".") + " (" + c + ")."
	}
	p.paragraph("  FAIL  ", "        ", text)
	if len(alike) > 1 {
		var also []string
		for _, x := range alike[1:] {
			value := r.as.figure(x.Rule, x.Value)
			if _, unit, ok := value.Value(); ok && unit == "" {
				value = "" // a bare number counts what the reason lists
			}
			also = append(also, join(x.Place, string(value)))
		}
		p.paragraph("        also: ", "              ", strings.Join(also, "; ")+".")
	}
	if !whole {
		return
	}
	if f.Fix != "" {
		p.paragraph("        fix:  ", "              ", f.Fix)
	}
	p.paragraph("        code: ", "              ", r.by(f))
}

// alike puts together the findings that say the same but for their places and figures, in the
// order in which each comes first.
func (r *Report) alike(list []*tables.Finding) [][]*tables.Finding {
	type key struct {
		rule, text, fix, limit string
		cite                   tables.Citation
	}
	var groups grouped.By[key, *tables.Finding]
	for _, f := range list {
		// What the reason says beside its place and its figures.
		var own []string
		for _, x := range []string{f.Place, string(r.as.figure(f.Rule, f.Value)),
			strings.TrimPrefix(string(r.as.left(f)), "-")} {
			if x != "" {
				own = append(own, x, "~")
			}
		}
		text := strings.NewReplacer(own...).Replace(f.Reason)
		groups.Add(key{f.Rule, text, f.Fix, string(r.as.figure(f.Rule, f.Limit)), f.Citation}, f)
	}
	return groups.Lists
}

// sentenceOf is a finding in a sentence that names its place.
func (r *Report) sentenceOf(f *tables.Finding) string {
	text := r.told(f)
	if names(text, f.Place) && len(f.Place) > 1 || names(text, "at "+f.Place) {
		return text
	}
	return ruleWords(f.Rule) + " at " + f.Place + ": " + text
}

// names tells whether a text has a word, or several, as they are and not within longer ones:
// "1 in" stands in "is 1 in too high", and neither in "11 in" nor in "1 inch".
func names(text, words string) bool {
	const letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"
	fraction, _, _ := strings.Cut(words, " ")
	for from := 0; words != ""; {
		n := strings.Index(text[from:], words)
		if n < 0 {
			return false
		}
		lo, hi := from+n, from+n+len(words)
		before, after := strings.TrimRight(text[:lo], " "), text[hi:]
		whole := !strings.ContainsAny(text[max(lo-1, 0):lo], letters+"/.") &&
			(after == "" || !strings.ContainsAny(after[:1], letters) || !strings.ContainsAny(text[hi-1:hi], letters))
		if strings.Contains(fraction, "/") && before != "" && isDigit(before[len(before)-1]) {
			whole = false // the end of a mixed number
		}
		if whole {
			return true
		}
		from = lo + 1
	}
	return false
}

// opposite tells whether two figures are one but for their sign, and a text names it without: it
// then does not name both.
func opposite(text string, a, b Quantity) bool {
	return a == "-"+b && !strings.Contains(text, string(a)) || b == "-"+a && !strings.Contains(text, string(b))
}

// sentence is a text that ends as one does.
func sentence(text string) string {
	if text == "" || strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// failsOfRule are told in full; of the rest of a rule the places.
const failsOfRule = 40

// group is findings that are told together.
type group struct {
	places []string
	seen   map[string]bool // made when they stop coming in order
}

func (g *group) add(place string) {
	n := len(g.places)
	if g.seen == nil {
		if n == 0 || g.places[n-1] < place {
			if n == cap(g.places) {
				g.places = slices.Grow(g.places, n+1) // append adds a quarter, and copies that often
			}
			g.places = append(g.places, place)
			return
		}
		if g.places[n-1] == place {
			return
		}
		g.seen = make(map[string]bool, n)
		for _, p := range g.places {
			g.seen[p] = true
		}
	}
	if !g.seen[place] {
		g.seen[place] = true
		g.places = append(g.places, place)
	}
}

// printPasses counts what passes and names the tightest.
func (r *Report) printPasses(p *page) {
	if r.Counts.Pass == 0 {
		return
	}
	p.section("Appendix: what passes")
	p.paragraph("  ", "  ", fmt.Sprintf("%s pass, of %s. Each is in -json and on the page of -html. The tightest:",
		counted(r.Counts.Pass, "check"), counted(r.Findings.rules(), "rule")))
	for _, f := range r.Findings.tightest(3) {
		p.paragraph("  - ", "    ", fmt.Sprintf("%s at %s: %s; limit %s: %s to spare.", ruleWords(f.Rule), f.Place,
			r.as.value(f.Value), r.as.value(f.Limit), r.as.left(f)))
	}
}

// rules counts the rules by which anything passes.
func (s *FindingSection) rules() int {
	seen := map[string]bool{}
	for _, r := range s.counted.Rules() {
		seen[r.Rule] = true
	}
	for f := range s.found.all() {
		if f.Verdict == tables.Pass {
			seen[f.Rule] = true
		}
	}
	return len(seen)
}

// tightest returns for each rule the pass with the least margin as a share of its limit,
// the tightest n rules of them. Sizes, which go in steps, are left out, and so is what lies
// on its limit because that is how it is drawn or sold.
func (s *FindingSection) tightest(n int) []*tables.Finding {
	type pass struct {
		*tables.Finding
		share float64
	}
	least := map[string]pass{}
	take := func(f *tables.Finding) {
		left, ok := measure(f.Margin)
		limit, known := measure(f.Limit)
		if !ok || !known || limit == 0 || left <= 0 || strings.Contains(f.Rule, "size") {
			return
		}
		x := pass{f, left / math.Abs(limit)}
		if had, seen := least[f.Rule]; !seen || x.share < had.share {
			least[f.Rule] = x
		}
	}
	rows := s.counted.Rules()
	for i := range rows {
		take(&rows[i].Least)
	}
	for f := range s.found.all() {
		if f.Verdict == tables.Pass {
			take(f)
		}
	}
	list := slices.SortedFunc(maps.Values(least), func(a, b pass) int {
		return cmp.Or(cmp.Compare(a.share, b.share), strings.Compare(a.Rule, b.Rule))
	})
	var out []*tables.Finding
	for _, x := range list[:min(n, len(list))] {
		out = append(out, x.Finding)
	}
	return out
}

// printCitations lists the rows that decided, once each, by document and section.
func (r *Report) printCitations(p *page) {
	var texts []string
	met := map[string]bool{}
	last := "" // rows rest on few, and mostly on that of the row before
	add := func(text string) {
		if text != last && !met[text] {
			met[text] = true
			texts = append(texts, text)
		}
		last = text
	}
	for _, x := range r.Fixtures {
		if x.Load != seeFindings {
			add(x.Source)
		}
	}
	for i := range r.Drains {
		add(r.Drains[i].Source)
	}
	for i := range r.Vents {
		add(r.Vents[i].Source)
	}
	for i := range r.Cleanouts {
		add(r.Cleanouts[i].Source)
	}
	for _, x := range r.Tests.Drains {
		add(x.Source)
	}
	if w := r.Water; w != nil {
		for _, x := range w.Runs {
			add(x.Demand)
			add(x.Source)
		}
		for _, x := range w.Fixtures {
			add(x.Source)
		}
	}
	for _, x := range r.HotWater {
		add(x.Source)
	}
	for f := range r.made.findings.all() {
		if f.Verdict == tables.Fail {
			add(r.as.cite(f.Citation))
		}
	}
	p.section("Appendix: rows that decided")
	p.sources(texts)
}

// splitOutside parts citations at semicolons outside brackets, where their notes stand.
func splitOutside(text string) (parts []string) {
	depth, from := 0, 0
	for i, c := range []byte(text) {
		switch {
		case c == '(':
			depth++
		case c == ')':
			depth--
		case c == ';' && depth == 0:
			parts, from = append(parts, strings.TrimSpace(text[from:i])), i+1
		}
	}
	return append(parts, strings.TrimSpace(text[from:]))
}

// sources prints citations by what stands before their row.
func (p *page) sources(texts []string) {
	rows := map[string][]string{}
	seen := map[string]bool{"": true, "the layout": true, "none": true}
	for _, text := range texts {
		for _, one := range splitOutside(p.brief(text)) {
			head, row, found := strings.Cut(one, ": ")
			if seen[one] || !found {
				continue
			}
			seen[one] = true
			rows[head] = append(rows[head], row)
		}
	}
	for _, head := range slices.Sorted(maps.Keys(rows)) {
		p.paragraph("  - ", "    ", head+": "+strings.Join(rows[head], "; ")+".")
	}
}
