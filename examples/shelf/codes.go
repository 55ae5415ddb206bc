package shelf

import (
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// An answer is something a code can be asked, and the tables that give it: any of them
// is enough.
type codeAnswer struct {
	head   string
	tables []string
}

// codeAnswers are the columns of the table of codes, drains first.
var codeAnswers = []codeAnswer{
	{"loads", []string{"fixtures", "discharge-units"}},
	{"drains", []string{"building-drain", "drain-capacity"}},
	{"stacks", []string{"branches-and-stacks", "stacks"}},
	{"grades", []string{"min-grade"}},
	{"arms", []string{"trap-arm"}},
	{"vents", []string{"vent-sizes", "vent-min-size"}},
	{"wet", []string{"wet-vent"}},
	{"cleanouts", []string{"cleanout-size", "cleanout-spacing"}},
	{"turns", []string{"fitting-turns"}},
	{"units", []string{"supply-fixture-units"}},
	{"demand", []string{"supply-demand", "supply-peak-flow", "supply-pipe-size"}},
	{"outlets", []string{"supply-outlet-flow", "supply-fixture-outlets"}},
}

// aSet is what a set of the shelf holds.
type aSet struct {
	id            string
	has           map[string]bool
	rules, judged int // single figures, and how many of them some answer reads
}

// Codes prints what each code on the shelf answers: whether a layout of drains or
// of water is sized under it, which lookups it has, and how many of its single figures
// are read, which Markdown leaves out.
func Codes(out io.Writer, shelf *tables.Shelf, markdown bool) error {
	sets, err := codeSets(shelf)
	if err != nil {
		return err
	}
	water, err := supply.Codes(shelf)
	if err != nil {
		return err
	}
	drains, err := dwv.Codes(shelf)
	if err != nil {
		return err
	}
	rows := [][]string{{"set", "drains sized", "water sized"}}
	for _, a := range codeAnswers {
		rows[0] = append(rows[0], a.head)
	}
	if !markdown {
		rows[0] = append(rows[0], "rules read")
	}
	for _, s := range sets {
		row := []string{s.id, mark(isOf(drains, s.id) || s.id == en12056.ID), mark(isOf(water, s.id))}
		any := false
		for _, a := range codeAnswers {
			has := slices.ContainsFunc(a.tables, func(name string) bool { return s.has[name] })
			any = any || has
			row = append(row, mark(has))
		}
		if !markdown {
			row = append(row, fmt.Sprintf("%d of %d", s.judged, s.rules))
		}
		if any || s.judged > 0 {
			rows = append(rows, row)
		}
	}
	if markdown {
		return markdownRows(out, rows)
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(w, strings.Join(r, "\t"))
	}
	return w.Flush()
}

// isOf tells whether a code is one of a list.
func isOf(list []tables.CodeInfo, id string) bool {
	return slices.ContainsFunc(list, func(c tables.CodeInfo) bool { return c.ID == id })
}

func mark(yes bool) string {
	if yes {
		return "x"
	}
	return "."
}

func markdownRows(out io.Writer, rows [][]string) error {
	for i, r := range rows {
		if _, err := fmt.Fprintf(out, "| %s |\n", strings.Join(r, " | ")); err != nil {
			return err
		}
		if i == 0 {
			fmt.Fprintln(out, "| --- |"+strings.Repeat(" :-: |", len(r)-1))
		}
	}
	return nil
}

// codeSets gathers what each set holds, by id.
func codeSets(shelf *tables.Shelf) ([]aSet, error) {
	unread, err := tables.Load[notJudged](shelf, "comparison/not-judged")
	if err != nil {
		return nil, err
	}
	skipped, unreadTable := map[string]int{}, map[string]bool{}
	for _, r := range unread.All() {
		id, _, ok := strings.Cut(r.Rows, ":")
		if ok {
			skipped[id]++
		} else {
			unreadTable[id] = true
		}
	}
	var sets []aSet
	for table, err := range shelf.All() {
		if err != nil {
			return nil, err
		}
		if n := len(sets); n == 0 || sets[n-1].id != table.Set() {
			sets = append(sets, aSet{id: table.Set(), has: map[string]bool{}})
		}
		s := &sets[len(sets)-1]
		name := path.Base(table.ID())
		s.has[name] = !unreadTable[table.ID()]
		if name == "rules" || name == "supply-rules" {
			s.rules += table.Len()
			s.judged += table.Len() - skipped[table.ID()]
		}
	}
	return slices.DeleteFunc(sets, func(s aSet) bool { return notACode[s.id] }), nil
}

// notACode are the sets by subject: pipes, fittings and the like.
var notACode = map[string]bool{
	"comparison": true, "devices": true, "fittings": true, "friction": true, "hot-water": true, "materials": true,
	"pipes":     true,
	"roughness": true, "floor-drains": true, "sleeves": true, "water": true, "peak-demand-2017": true,
	"hunter": true, "austria-drainage": true,
}
