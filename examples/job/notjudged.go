package job

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/tables"
)

// notJudged lists by family what no check reads of the codes that the halves of the job are
// judged by.
func (j *Job) notJudged(code string, w *waterJudged) (list []tables.Unjudged, err error) {
	switch {
	case j.drains == nil:
	case code == en12056.ID:
		standard, err := en12056.LoadStandard(j.shelf)
		if err != nil {
			return nil, err
		}
		if list, err = standard.NotJudged(); err != nil {
			return nil, err
		}
	default:
		if list, err = j.shelf.NotJudged(code, tables.Drains); err != nil {
			return nil, err
		}
	}
	var water []tables.Unjudged
	switch {
	case w != nil:
		water, err = w.code.NotJudged()
	case j.water != nil:
		water, err = j.shelf.NotJudged(cmp.Or(j.WaterCode, code), tables.Water)
	}
	return append(list, water...), err
}

// unjudgedRows names the rows of every family, in words.
func unjudgedRows(list []tables.Unjudged) []string {
	out := []string{}
	for _, u := range list {
		for _, row := range u.Rows {
			out = append(out, ruleWords(row))
		}
	}
	return out
}

func families(list []tables.Unjudged) string {
	var out []string
	for _, u := range list {
		out = append(out, u.Family)
	}
	return strings.Join(out, "; ")
}

// printAssumed prints what the layout leaves open and no verdict hangs on.
func (r *Report) printAssumed(p *page) {
	if len(r.Assumed) == 0 {
		return
	}
	p.section("Assumed: no verdict hangs on it, and no size that the code asks")
	for _, a := range r.Assumed {
		text := fmt.Sprintf("%s at %s: %s.", ruleWords(a.Rule), a.Place, a.Taken)
		if a.Field != "" {
			text += fmt.Sprintf(" To state it: %s.", a.Field)
		}
		p.paragraph("  - ", "    ", text)
	}
}

func (r *Report) printNotJudged(p *page) {
	if len(r.unjudged) == 0 {
		return
	}
	p.section("Appendix: rules of " + r.shortName + " that are not judged here")
	for _, u := range r.unjudged {
		p.paragraph("  - ", "    ", fmt.Sprintf("%s: %s", u.Family,
			strings.ReplaceAll(strings.Join(u.Rows, ", "), "-", " ")))
	}
}
