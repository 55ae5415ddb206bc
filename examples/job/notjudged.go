package job

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/tables"
)

// unjudged is a family of rules of a code that no check reads.
type unjudged struct {
	family string
	rows   []string // ids of the rules or tables
}

// ofWater are the families that are of water lines; the others are of drains and vents.
var ofWater = []string{"water lines", "hot water elsewhere", "sizes of supplies", "devices", "flows of outlets",
	"sizes by load"}

// notJudged lists, by family, what stands in the tables of a code for the halves that a
// job has, and is judged by no check. The shelf keeps the list.
func notJudged(shelf *tables.Shelf, code string, drains, water bool) ([]unjudged, error) {
	rows, err := tables.Load[struct {
		Rows   string `table:"rows"`
		Family string `table:"family"`
	}](shelf, "comparison/not-judged")
	if err != nil {
		return nil, err
	}
	var out []unjudged
	for i := range rows.Len() {
		row := rows.At(i)
		set, name, _ := strings.Cut(row.Rows, "/")
		if of := slices.Contains(ofWater, row.Family); set != code || of && !water || !of && !drains {
			continue
		}
		name = strings.TrimPrefix(strings.TrimPrefix(name, "rules:"), "supply-rules:")
		at := slices.IndexFunc(out, func(u unjudged) bool { return u.family == row.Family })
		if at < 0 {
			at = len(out)
			out = append(out, unjudged{family: row.Family})
		}
		out[at].rows = append(out[at].rows, name)
	}
	if code == en12056.ID && drains {
		out = append(out, unjudged{"what the shelf has no row of", europeanUnjudged})
	}
	return out, nil
}

// notJudged lists the rows of the codes that the halves of the job are judged by, and the
// checks of water lines for which the code has no figure.
func (j *Job) notJudged(code string, w *waterJudged) ([]unjudged, error) {
	water := cmp.Or(j.WaterCode, code)
	list, err := notJudged(j.shelf, code, j.drains != nil, j.water != nil && water == code)
	if err == nil && j.water != nil && water != code {
		var more []unjudged
		more, err = notJudged(j.shelf, water, false, true)
		list = append(list, more...)
	}
	if w == nil {
		return list, err
	}
	lacks := unjudged{family: "water lines, for want of a figure of the code"}
	for _, rule := range w.code.NotJudged() {
		lacks.rows = append(lacks.rows, rule.Title)
	}
	if lacks.rows != nil {
		list = append(list, lacks)
	}
	return list, err
}

// unjudgedRows names the rows of every family, in words.
func unjudgedRows(list []unjudged) []string {
	out := []string{}
	for _, u := range list {
		for _, row := range u.rows {
			out = append(out, ruleWords(row))
		}
	}
	return out
}

func families(list []unjudged) string {
	var out []string
	for _, u := range list {
		out = append(out, u.family)
	}
	return strings.Join(out, "; ")
}

// printAssumed prints what the layout leaves open and no verdict hangs on.
func (r *Report) printAssumed(p *page) {
	if len(r.Assumed) == 0 {
		return
	}
	p.section("Assumed: no verdict and no size hangs on it")
	for _, a := range r.Assumed {
		p.paragraph("  - ", "    ", fmt.Sprintf("%s at %s: %s. Stated by %s.", ruleWords(a.Rule), a.Place, a.Taken, a.Field))
	}
}

func (r *Report) printNotJudged(p *page) {
	if len(r.unjudged) == 0 {
		return
	}
	p.section("Appendix: rules of " + r.shortName + " that are not judged here")
	for _, u := range r.unjudged {
		p.paragraph("  - ", "    ", fmt.Sprintf("%s: %s", u.family,
			strings.ReplaceAll(strings.Join(u.rows, ", "), "-", " ")))
	}
}
