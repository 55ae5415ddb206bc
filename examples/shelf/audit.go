package shelf

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/trapweir/trapweir/tables"
)

// statuses in the order in which an audit counts them, the firmest first.
var statuses = []tables.Status{tables.Read2, tables.Read, tables.Computed, tables.Disputed, tables.Practice,
	tables.Memory}

// disagreement is a row of comparison/disagreements.
type disagreement struct {
	Table  string `table:"table"`
	Row    string `table:"row"`
	Column string `table:"column"`
	Here   string `table:"here"`
	There  string `table:"there"`
	Reason string `table:"reason"`
}

// Audit counts the rows of each set by standing, tells what share is recalled, and lists
// the rows that break a rule of their table, the cells on which sources disagree and
// what no answer reads.
func Audit(out io.Writer, shelf *tables.Shelf) error {
	audit, err := shelf.Audit()
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "Data version %s\n\n", tables.DataVersion)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(w, "set\ttables\trows\t")
	for _, s := range statuses {
		fmt.Fprintf(w, "%v\t", s)
	}
	fmt.Fprintln(w, "amended\t")
	var all, listed tables.SetAudit // listed: tables about the shelf itself
	for _, set := range audit.Sets {
		printSet(w, set)
		if set.Set == "comparison" {
			listed = set
		}
		all.Tables += set.Tables
		all.Rows += set.Rows
		all.Amended += set.Amended
		for i, n := range set.ByStatus {
			all.ByStatus[i] += n
		}
	}
	all.Set = "all"
	printSet(w, all)
	if err := w.Flush(); err != nil {
		return err
	}
	if err := printShares(out, shelf, all.ByStatus[tables.Memory]-listed.ByStatus[tables.Memory],
		all.Rows-listed.Rows); err != nil {
		return err
	}
	fmt.Fprintf(out, "\n%d rows break a rule that their table declares, as printed:\n", len(audit.Exceptions))
	for _, e := range audit.Exceptions {
		fmt.Fprintf(out, "  %s %s, %s: %s (%v)\n", e.Table, e.Column, e.Row, e.Reason, e.Source)
	}
	rows, err := tables.Load[disagreement](shelf, "comparison/disagreements")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n%d cells on which sources disagree:\n", rows.Len())
	for i, d := range rows.All() {
		fmt.Fprintf(out, "  %s %s, %s: here %s, %s in %v (%v): %s\n", d.Table, d.Row, d.Column, d.Here, d.There,
			rows.Cite(i).Source(), rows.Cite(i).Status(), d.Reason)
	}
	return printUnread(out, shelf)
}

func printSet(w io.Writer, set tables.SetAudit) {
	fmt.Fprintf(w, "%s\t%d\t%d\t", set.Set, set.Tables, set.Rows)
	for _, s := range statuses {
		fmt.Fprintf(w, "%d\t", set.ByStatus[s])
	}
	fmt.Fprintf(w, "%d\t\n", set.Amended)
}
