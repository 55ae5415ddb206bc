package job

import (
	"cmp"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// amendmentTexts says of each amendment of a shelf that bears on a code what it sets,
// adds and drops there, an amendment a text.
func amendmentTexts(shelf *tables.Shelf, code string) ([]string, error) {
	ids, err := shelf.Amended()
	if err != nil {
		return nil, err
	}
	type done struct{ source, op, what string }
	var list []done
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
			list = append(list, done{c.Row.Source().String(), c.Op + "s", rowText(c)})
		}
	}
	slices.SortStableFunc(list, func(a, b done) int {
		return cmp.Or(strings.Compare(a.source, b.source), opOrder(a.op)-opOrder(b.op))
	})
	texts := []string{}
	for i, d := range list {
		same := i > 0 && list[i-1].source == d.source
		switch n := len(texts) - 1; {
		case !same:
			texts = append(texts, d.source+": "+d.op+" "+d.what)
		case list[i-1].op == d.op:
			texts[n] += ", " + d.what
		default:
			texts[n] += "; " + d.op + " " + d.what
		}
	}
	return texts, nil
}

func opOrder(op string) int { return slices.Index([]string{"sets", "adds", "drops"}, op) }

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
	text := strings.ReplaceAll(strings.TrimPrefix(c.Row.Row(), "rule "), "-", " ")
	if c.Op != "drop" {
		text += " " + ruleFigure(c.Row)
	}
	if !c.Was.IsZero() {
		text += " (was " + ruleFigure(c.Was) + ")"
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
