package main

import (
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FindingSection is what the checks found.
type FindingSection struct {
	Summary string       `json:"summary"`
	Fail    []FindingRow `json:"fail"`
	Ask     []FindingRow `json:"ask"`
	Pass    []FindingRow `json:"pass"`
}

// FindingRow is one finding.
type FindingRow struct {
	Rule   string `json:"rule"`
	Place  string `json:"place"`
	Value  string `json:"value,omitempty"`
	Limit  string `json:"limit,omitempty"`
	Margin string `json:"margin,omitempty"`
	Reason string `json:"reason"`
	Remedy string `json:"remedy,omitempty"`
	Source string `json:"source,omitempty"`

	left   float64 // the margin as a number, to find the least of a rule
	counts bool    // whether there is one
}

// measure returns the margin of a finding as a number; margins of one rule are in
// one unit.
func measure(x fmt.Stringer) (float64, bool) {
	switch v := x.(type) {
	case units.Length:
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

// figures says what a finding measured, for a line of the report.
func (f *FindingRow) figures() string {
	var parts []string
	for _, x := range [...]struct{ name, text string }{{"", f.Value}, {"limit ", f.Limit}, {"margin ", f.Margin}} {
		if x.text != "" {
			parts = append(parts, x.name+x.text)
		}
	}
	if len(parts) < 2 {
		return ""
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

func findingSection(list []tables.Finding, p printer) FindingSection {
	s := FindingSection{Fail: []FindingRow{}, Ask: []FindingRow{}, Pass: []FindingRow{}}
	for _, f := range list {
		row := FindingRow{Rule: f.Rule, Place: f.Place, Value: p.value(f.Value), Limit: p.value(f.Limit), Margin: p.value(f.Margin),
			Reason: strings.TrimSuffix(f.Reason, "."), Remedy: f.Remedy, Source: f.Citation.String()}
		row.left, row.counts = measure(f.Margin)
		switch f.Verdict {
		case tables.Fail:
			s.Fail = append(s.Fail, row)
		case tables.Ask:
			s.Ask = append(s.Ask, row)
		case tables.Pass:
			s.Pass = append(s.Pass, row)
		}
	}
	s.Summary = fmt.Sprintf("%d fail, %d ask, %d pass", len(s.Fail), len(s.Ask), len(s.Pass))
	return s
}

func (r *Report) printFindings(p *page) {
	p.section("Findings: " + r.Findings.Summary)
	for _, f := range r.Findings.Fail {
		p.paragraph("  FAIL  ", "        ", fmt.Sprintf("%s at %s: %s%s.", f.Rule, f.Place, f.Reason, f.figures()))
		if f.Remedy != "" {
			p.paragraph("        mend: ", "              ", f.Remedy)
		}
		p.paragraph("        by: ", "            ", f.Source)
	}
	p.findingGroups("ask ", r.Findings.Ask, true)
	p.printf("\n")
	p.findingGroups("pass", r.Findings.Pass, false)
}

// leastOf returns the finding with the least margin, nil if none has one.
func leastOf(list []FindingRow) *FindingRow {
	var least *FindingRow
	for i := range list {
		if f := &list[i]; f.counts && (least == nil || f.left < least.left) {
			least = f
		}
	}
	return least
}

// findingGroups prints together what one rule and one row decided: the places, and
// of an ask the reason at the first of them, of a pass the least margin.
func (p *page) findingGroups(verdict string, rows []FindingRow, remedies bool) {
	type key struct{ rule, source, remedy string }
	var order []key
	groups := map[key][]FindingRow{}
	for _, f := range rows {
		k := key{f.Rule, f.Source, f.Remedy}
		if !remedies {
			k.source, k.remedy = "", ""
		}
		if _, ok := groups[k]; !ok {
			order = append(order, k)
		}
		groups[k] = append(groups[k], f)
	}
	for _, k := range order {
		list := groups[k]
		first := list[0]
		var places []string
		seen := make(map[string]bool, len(list))
		for _, f := range list {
			if !seen[f.Place] {
				seen[f.Place] = true
				places = append(places, f.Place)
			}
		}
		if !remedies {
			text := k.rule + ": " + strings.Join(places, " ")
			if l := leastOf(list); l != nil && l.Margin != "" {
				text += fmt.Sprintf("; least margin %s at %s", l.Margin, l.Place)
			}
			p.paragraph("  "+verdict+"  ", "          ", text)
			continue
		}
		where := ""
		if len(places) > 1 {
			where = "; at " + first.Place
		}
		p.paragraph("  "+verdict+"  ", "        ", fmt.Sprintf("%s at %s%s: %s%s.", k.rule, strings.Join(places, " "), where, first.Reason, first.figures()))
		if k.remedy != "" {
			p.paragraph("        ask: ", "             ", k.remedy)
		}
		if k.source != "" {
			p.paragraph("        by: ", "            ", k.source)
		}
	}
}
