package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// printChanges lists every row of the shelf that an amendment set, added or dropped.
func printChanges(out io.Writer, shelf *tables.Shelf) error {
	for table, err := range shelf.All() {
		if err != nil {
			return err
		}
		if !table.Amended() {
			continue
		}
		fmt.Fprintf(out, "%s (%s)\n", table.ID(), table.Title())
		for i := range table.Len() {
			cite := table.Cite(i)
			if !cite.Amended() {
				continue
			}
			fmt.Fprintf(out, "  %s\n", cite.Row())
			was := cite.Original()
			if was.IsZero() {
				fmt.Fprintf(out, "    added: %s\n", values(cite, was))
			} else {
				fmt.Fprintf(out, "    was:   %s\n", values(was, cite))
				fmt.Fprintf(out, "    now:   %s\n", values(cite, was))
			}
			fmt.Fprintf(out, "    by:    %v\n", cite)
		}
		for _, cite := range table.Dropped() {
			fmt.Fprintf(out, "  %s\n    dropped\n    by:    %v\n", cite.Row(), cite)
		}
	}
	return nil
}

// values writes the figures of a row that differ from those of another.
func values(cite, other tables.Citation) string {
	others := other.Cells()
	var list []string
	for i, cell := range cite.Cells() {
		if others != nil && cell.Text == others[i].Text {
			continue
		}
		if cell.Text == "" {
			cell.Text = "blank"
		}
		list = append(list, cell.Column.String()+" "+cell.Text)
	}
	return strings.Join(list, ", ")
}
