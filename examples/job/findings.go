package job

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FindingSection is what the checks found.
type FindingSection struct {
	Summary string       `json:"summary"`
	Fail    []FindingRow `json:"fail"`
	Ask     []FindingRow `json:"ask"`

	// Passes are many and mostly counted: they become rows when asked for.
	all     []tables.Finding
	counted *tables.Tally // passes that are none of all
	as      printer
}

// Pass returns the findings that pass.
func (s *FindingSection) Pass() []FindingRow {
	rows := []FindingRow{}
	for i := range s.all {
		if f := &s.all[i]; f.Verdict == tables.Pass {
			rows = append(rows, findingRow(f, s.as))
		}
	}
	return rows
}

// MarshalJSON writes the passes beside the rest.
func (s FindingSection) MarshalJSON() ([]byte, error) {
	type plain FindingSection
	return json.Marshal(struct {
		plain
		Pass []FindingRow `json:"pass"`
	}{plain(s), s.Pass()})
}

// FindingRow is one finding.
type FindingRow struct {
	ID          string         `json:"id"` // rule, place and side: the same in the next revision of the layout
	Rule        string         `json:"rule"`
	Place       string         `json:"place"`
	Places      []string       `json:"places,omitempty"` // where several are said at once
	Verdict     tables.Verdict `json:"verdict"`
	SettledBy   tables.Settler `json:"settled_by,omitzero"`   // who can answer a question
	IfConfirmed tables.Verdict `json:"if_confirmed,omitzero"` // what it then is, where only the standing of a figure is asked about
	Value       Quantity       `json:"value,omitempty"`
	Limit       Quantity       `json:"limit,omitempty"`
	Margin      Quantity       `json:"margin,omitempty"`
	Reason      string         `json:"reason"`
	Fix         string         `json:"fix,omitempty"` // what puts a fail right, or what to ask whom
	Source      string         `json:"source,omitempty"`
	Standing    tables.Status  `json:"standing,omitzero"` // of the row that decided
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
	says := func(x string) bool { return x == "" || strings.Contains(text, x) }
	if f.Value == "" || f.Limit == "" && (says(string(f.Value)) || !strings.Contains(string(f.Value), " ")) {
		return "" // a bare number counts what the reason lists
	}
	var parts []string
	if !says(string(f.Value)) || !says(string(f.Limit)) {
		parts = append(parts, string(f.Value))
		if f.Limit != "" {
			parts = append(parts, "limit "+string(f.Limit))
		}
	}
	switch left, missing := strings.CutPrefix(string(f.Margin), "-"); {
	case f.Margin == "" || strings.Contains(text, left):
	case missing:
		parts = append(parts, left+" beyond the limit")
	default:
		parts = append(parts, left+" to spare")
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

func findingRow(f *tables.Finding, p printer) FindingRow {
	source := p.cite(f.Citation)
	if own := drains.OwnLimit(f.Rule); source == "" && f.Verdict == tables.Fail && own != "" {
		source = "the job's own limit (" + strings.TrimSpace(own+" "+string(p.value(f.Limit))) + ")"
	}
	return FindingRow{ID: f.ID(), Rule: f.Rule, Place: f.Place, Verdict: f.Verdict, SettledBy: settler(f),
		IfConfirmed: f.IfConfirmed,
		Standing:    f.Citation.Status(), Value: p.value(f.Value), Limit: p.value(f.Limit), Margin: p.margin(f.Margin),
		Reason: strings.TrimSuffix(f.Reason, "."), Fix: f.Fix, Source: source}
}

func findingSection(g *judged, p printer) FindingSection {
	list := g.findings
	var count [tables.Ask + 1]int
	for i := range list {
		count[list[i].Verdict]++
	}
	s := FindingSection{Fail: make([]FindingRow, 0, count[tables.Fail]), Ask: make([]FindingRow, 0, count[tables.Ask]),
		all: list, counted: g.passes(), as: p}
	for i := range list {
		switch f := &list[i]; f.Verdict {
		case tables.Fail:
			s.Fail = append(s.Fail, findingRow(f, p))
		case tables.Ask:
			s.Ask = append(s.Ask, findingRow(f, p))
		}
	}
	s.Summary = fmt.Sprintf("%d fail, %d ask, %d pass", len(s.Fail), len(s.Ask), count[tables.Pass]+g.passes().Passes())
	return s
}

// printFails prints every fail, with its fix and the row that decided.
func (r *Report) printFails(p *page) {
	for i := range r.made.findings {
		f := &r.made.findings[i]
		if f.Verdict != tables.Fail {
			continue
		}
		p.paragraph("  FAIL  ", "        ", ruleWords(f.Rule)+" at "+f.Place+": "+r.told(f))
		if f.Fix != "" {
			p.paragraph("        fix:  ", "              ", f.Fix)
		}
		p.paragraph("        code: ", "              ", r.by(f))
	}
}

// group is findings that are told together.
type group struct {
	places []string
	seen   map[string]bool // made when they stop coming in order
}

func (g *group) add(place string) {
	n := len(g.places)
	if g.seen == nil {
		if n == 0 || g.places[n-1] < place {
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

// printPasses prints what passes.
func (r *Report) printPasses(p *page) {
	p.section(fmt.Sprintf("What passes: %s", counted(r.Counts.Pass, "check")))
	p.passGroups(&r.Findings)
}

// passGroups prints for each rule where it passes, and the least margin.
func (p *page) passGroups(s *FindingSection) {
	for _, r := range s.counted.Rules() {
		p.passes(r.Rule, r.Places, &r.Least, s.as)
	}
	type passed struct {
		group
		least tables.Finding
		left  float64
	}
	groups := map[string]*passed{}
	var order []string
	for i := range s.all {
		f := &s.all[i]
		if f.Verdict != tables.Pass {
			continue
		}
		g := groups[f.Rule]
		if g == nil {
			g = new(passed)
			groups[f.Rule] = g
			order = append(order, f.Rule)
		}
		g.add(f.Place)
		if left, ok := measure(f.Margin); ok && (g.least.Place == "" || left < g.left) {
			g.least, g.left = *f, left
		}
	}
	for _, rule := range order {
		g := groups[rule]
		p.passes(rule, g.places, &g.least, s.as)
	}
}

func (p *page) passes(rule string, places []string, least *tables.Finding, as printer) {
	text := rule + ": " + strings.Join(places, " ")
	if least.Place != "" {
		text += fmt.Sprintf("; least margin %s at %s", as.margin(least.Margin), least.Place)
	}
	p.paragraph("  pass  ", "          ", text)
}
