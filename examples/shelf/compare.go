package shelf

import (
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/trapweir/trapweir/tables"
)

// fact is a row of comparison/facts.
type fact struct {
	Fact    string `table:"fact"`
	Code    string `table:"code"`
	Value   string `table:"value"`
	Unit    string `table:"unit"`
	SIValue string `table:"si_value"`
	SIUnit  string `table:"si_unit"`
	Note    string `table:"note"`
}

type question struct {
	Fact string `table:"fact"`
	What string `table:"what"`
}

// live says in which table of a set a fact stands, so that the set's own row answers
// beside the row of the comparison.
type live struct {
	table, column string
	key           map[string]string // column to cell
}

var lives = map[string]live{
	"trap-arm-2-in":         {"trap-arm", "max_length", map[string]string{"size": "2"}},
	"capacity-3-in-drain":   {"building-drain", "max_load", map[string]string{"size": "3", "grade": "0.25"}},
	"capacity-4-in-drain":   {"building-drain", "max_load", map[string]string{"size": "4", "grade": "0.25"}},
	"cleanout-spacing-4-in": {"rules", "value", map[string]string{"rule": "cleanout-spacing"}},
	"sewer-start":           {"rules", "value", map[string]string{"rule": "drain-beyond-wall"}},
}

// answer is what a set's own row says.
type answer struct {
	value string
	cite  tables.Citation
}

// find looks the fact up in a set. ok is false if the set has no such table or row.
func (l live) find(shelf *tables.Shelf, set string) (a answer, ok bool) {
	table, err := shelf.Table(set + "/" + l.table)
	if err != nil {
		return answer{}, false
	}
	var key []string
	for _, name := range table.Keys() {
		cell, ok := l.key[name]
		if !ok {
			return answer{}, false // a table with other keys
		}
		key = append(key, cell)
	}
	row, ok := table.Find(key...)
	column := table.Column(l.column)
	if !ok || column < 0 {
		return answer{}, false
	}
	a = answer{value: table.Cell(row, column), cite: table.Cite(row)}
	unit := table.Columns()[column].Unit
	if i := table.Column("unit"); i >= 0 {
		unit = table.Cell(row, i)
	}
	if unit != "" {
		a.value += " " + unit
	}
	return a, true
}

// Facts prints the facts that can be compared.
func Facts(out io.Writer, shelf *tables.Shelf) error {
	rows, err := tables.Load[question](shelf, "comparison/questions")
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, q := range rows.All() {
		fmt.Fprintf(w, "%s\t%s\n", q.Fact, q.What)
	}
	return w.Flush()
}

// Compare prints one fact in every code that has it, then the rows of the sets
// themselves, with their citations.
func Compare(out io.Writer, shelf *tables.Shelf, id string) error {
	questions, err := tables.Load[question](shelf, "comparison/questions")
	if err != nil {
		return err
	}
	facts, err := tables.Load[fact](shelf, "comparison/facts")
	if err != nil {
		return err
	}
	row, ok := questions.Table().Find(id)
	if !ok {
		return fmt.Errorf("no fact %q: -compare list names them", id)
	}
	what := questions.At(row).What
	fmt.Fprintf(out, "%s%s\n\n", strings.ToUpper(what[:1]), what[1:])
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\tcode\tprinted\tmetric\tstatus\tnote")
	for i, f := range facts.All() {
		if f.Fact != id {
			continue
		}
		mark := ""
		if !facts.Cite(i).Status().Firm() {
			mark = "~"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%v\t%s\n", mark, f.Code, quantity(f.Value, f.Unit),
			quantity(f.SIValue, f.SIUnit), facts.Cite(i).Status(), f.Note)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if l, ok := lives[id]; ok {
		fmt.Fprintln(out, "\nOn the shelf:")
		sets, err := setsOf(shelf)
		if err != nil {
			return err
		}
		for _, set := range sets {
			if a, ok := l.find(shelf, set); ok {
				fmt.Fprintf(out, "  %s: %s\n    %v\n", set, a.value, a.cite)
			}
		}
	}
	fmt.Fprintln(out, "\n~ not seen in print: ask before relying on it. Loads and capacities are in units of each "+
		"code, which do not compare.")
	return nil
}

// quantity writes a value with its unit: one in so many as 1:n.
func quantity(value, unit string) string {
	switch {
	case value == "":
		return ""
	case unit == "1:n":
		return "1:" + value
	}
	return value + " " + unit
}

// setsOf lists the sets of the shelf.
func setsOf(shelf *tables.Shelf) ([]string, error) {
	ids, err := shelf.IDs()
	if err != nil {
		return nil, err
	}
	var sets []string
	for _, id := range ids {
		sets = append(sets, path.Dir(id))
	}
	return slices.Compact(sets), nil
}
