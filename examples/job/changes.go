package job

import (
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/tables"
)

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
	type at struct{ rule, place string }
	was := worst(base.findings, func(f tables.Finding) at { return at{f.Rule, f.Place} })
	now := worst(g.findings, func(f tables.Finding) at { return at{f.Rule, f.Place} })
	told := map[at]bool{}
	for _, f := range g.findings {
		k := at{f.Rule, f.Place}
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
	va, vb := base.sizing.Vents(), g.sizing.Vents()
	for i := range va {
		if va[i].Required != vb[i].Required {
			c.Sizes = append(c.Sizes, fmt.Sprintf("vent %s: needs %s, now %s", va[i].Vent,
				p.size(va[i].Required), p.size(vb[i].Required)))
		}
	}
}

// worst returns the worst verdict of the findings that share a key: fail before
// ask before pass.
func worst[K comparable](list []tables.Finding, key func(tables.Finding) K) map[K]tables.Verdict {
	out := map[K]tables.Verdict{}
	for _, f := range list {
		k := key(f)
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
	var order []key
	places := map[key][]string{}
	for _, f := range list {
		if f.Now == tables.Fail.String() {
			out = append(out, fmt.Sprintf("%s at %s: %s, now FAIL: %s", f.Rule, f.Place, f.Was, f.Reason))
			continue
		}
		k := key{f.Rule, f.Was, f.Now}
		if _, ok := places[k]; !ok {
			order = append(order, k)
		}
		places[k] = append(places[k], f.Place)
	}
	for _, k := range order {
		out = append(out, fmt.Sprintf("%s: %s, now %s at %s", k.rule, k.was, k.now, strings.Join(places[k], " ")))
	}
	return out
}
