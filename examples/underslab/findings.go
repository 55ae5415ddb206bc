package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
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
}

func findingSection(list []tables.Finding, p printer) FindingSection {
	s := FindingSection{Fail: []FindingRow{}, Ask: []FindingRow{}, Pass: []FindingRow{}}
	for _, f := range list {
		row := FindingRow{Rule: f.Rule, Place: f.Place, Value: p.value(f.Value), Limit: p.value(f.Limit), Margin: p.value(f.Margin),
			Reason: f.Reason, Remedy: f.Remedy, Source: f.Citation.String()}
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
		p.paragraph("  FAIL  ", "        ", fmt.Sprintf("%s at %s: %s.", f.Rule, f.Place, f.Reason))
		if f.Remedy != "" {
			p.paragraph("        mend: ", "              ", f.Remedy)
		}
		p.paragraph("        by: ", "            ", f.Source)
	}
	p.findingGroups("ask ", r.Findings.Ask, true)
	p.printf("\n")
	p.findingGroups("pass", r.Findings.Pass, false)
}

// findingGroups prints findings that one rule and row decided together: the
// places, and the reason of the one with the least said about it.
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
		places := make([]string, 0, len(list))
		for _, f := range list {
			if !slices.Contains(places, f.Place) {
				places = append(places, f.Place)
			}
		}
		if !remedies {
			p.paragraph("  "+verdict+"  ", "          ", fmt.Sprintf("%s: %s", k.rule, strings.Join(places, " ")))
			continue
		}
		text := fmt.Sprintf("%s at %s: %s", k.rule, strings.Join(places, " "), strings.TrimSuffix(first.Reason, "."))
		if len(list) > 1 {
			text = fmt.Sprintf("%s at %s; at %s: %s", k.rule, strings.Join(places, " "), first.Place, strings.TrimSuffix(first.Reason, "."))
		}
		p.paragraph("  "+verdict+"  ", "        ", text+".")
		if k.remedy != "" {
			p.paragraph("        ask: ", "             ", k.remedy)
		}
		if k.source != "" {
			p.paragraph("        by: ", "            ", k.source)
		}
	}
}
