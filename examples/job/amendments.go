package job

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// amendment is a document that changes rows of a code, and what it changes there.
type amendment struct {
	source string
	rows   map[string][]string // by what it does to them, one of amendmentDoes
}

// amendmentDoes is what an amendment does to rows, in the order in which it is told.
var amendmentDoes = [...]string{"sets", "adds", "drops"}

// amendmentsOf finds the amendments of a shelf that bear on a code.
func amendmentsOf(shelf *tables.Shelf, code string) ([]amendment, error) {
	ids, err := shelf.Amended()
	if err != nil {
		return nil, err
	}
	var list []amendment
	for _, id := range ids {
		set, _, _ := strings.Cut(id, "/")
		if set != code && isCode(shelf, set) {
			continue
		}
		table, err := shelf.Table(id)
		if err != nil {
			return nil, err
		}
		for _, c := range table.Changes() {
			source := c.Row.Source().String()
			k := slices.IndexFunc(list, func(a amendment) bool { return a.source == source })
			if k < 0 {
				k, list = len(list), append(list, amendment{source, map[string][]string{}})
			}
			list[k].rows[c.Op+"s"] = append(list[k].rows[c.Op+"s"], rowText(c))
		}
	}
	slices.SortStableFunc(list, func(a, b amendment) int { return strings.Compare(a.source, b.source) })
	return list, nil
}

// text says all that an amendment changes.
func (a *amendment) text() string {
	return a.say(func(rows []string) string { return strings.Join(rows, ", ") })
}

// brief counts what an amendment changes.
func (a *amendment) brief() string {
	return a.say(func(rows []string) string { return counted(len(rows), "row") })
}

func (a *amendment) say(tell func(rows []string) string) string {
	var parts []string
	for _, does := range amendmentDoes {
		if rows := a.rows[does]; rows != nil {
			parts = append(parts, does+" "+tell(rows))
		}
	}
	return a.source + ": " + strings.Join(parts, "; ")
}

// printAmendments prints in full what page one only counts.
func (r *Report) printAmendments(p *page) {
	if !r.amendmentsCounted() {
		return
	}
	p.section("Amendments: what they set, add and drop")
	for _, a := range r.Job.amended {
		p.paragraph("  ", "  ", a.source)
		for _, does := range amendmentDoes {
			for _, row := range a.rows[does] {
				p.paragraph(fmt.Sprintf("    %-5s  ", does), "           ", row)
			}
		}
	}
}

// amendmentsCounted tells whether page one counts what the amendments change: where it has
// no room to tell all of it.
func (r *Report) amendmentsCounted() bool {
	return len(r.block(frontAmended+1, "", func(p *page) {
		for _, text := range r.Job.Amendments {
			p.paragraph(identityHead("amendment"), identityIndent, text)
		}
	})) > frontAmended
}

// isCode tells whether a set of the shelf is a code, and not pipe or the like.
func isCode(shelf *tables.Shelf, set string) bool {
	_, err := shelf.Rules(set)
	return err == nil
}

// rowText names a row that was amended, with the figure of a rule now and before.
func rowText(c tables.Change) string {
	_, table, _ := strings.Cut(c.Row.Table(), "/")
	if table != "rules" {
		return table + " " + c.Row.Row()
	}
	text := rowName(c.Row.Row())
	if c.Op != "drop" {
		text += " " + figureText(c.Row)
	}
	if !c.Was.IsZero() {
		text += " (was " + figureText(c.Was) + ")"
	}
	return text
}

// rowName is what people call a row: a rule by its words.
func rowName(row string) string {
	if rule, ok := strings.CutPrefix(row, "rule "); ok {
		return strings.ReplaceAll(rule, "-", " ")
	}
	return row
}

// figureText is the figure of a rule in words: one pipe diameter, two pipe diameters.
func figureText(c tables.Citation) string {
	text := ruleFigure(c)
	if one, ok := strings.CutPrefix(text, "1 "); ok && strings.Contains(one, " ") {
		return "1 " + strings.TrimSuffix(one, "s")
	}
	return text
}

// ruleFigure returns the value of a rule with its unit.
func ruleFigure(c tables.Citation) string {
	var value, unit string
	for _, cell := range c.Cells() {
		switch cell.Column.Name {
		case "value":
			value = cell.Text
		case "unit":
			if unit = " " + cell.Text; cell.Text == "1" {
				unit = ""
			}
		}
	}
	switch value {
	case "-":
		return "not permitted"
	case "":
		return "blank"
	case "unlimited":
		return value
	}
	return strings.TrimSpace(value + unit)
}
