package shelf

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/trapweir/trapweir/tables"
)

var writers = map[string]func(io.Writer, *tables.Table) error{"text": writeText, "csv": writeCSV,
	"markdown": writeMarkdown, "json": writeJSON}

// Formats lists the formats in which Write prints tables.
func Formats() []string { return slices.Sorted(maps.Keys(writers)) }

// Write prints a table in a format of Formats, each row with its citation.
func Write(out io.Writer, table *tables.Table, format string) error {
	write, ok := writers[format]
	switch {
	case !ok:
		return fmt.Errorf("no format %q: %s", format, strings.Join(Formats(), ", "))
	case table == nil:
		return fmt.Errorf("no table to print")
	}
	return write(out, table)
}

// figures returns the columns that hold figures: all but src and status, which the
// citation says better.
func figures(table *tables.Table) []int {
	var list []int
	for i, c := range table.Columns() {
		if c.Name != "src" && c.Name != "status" {
			list = append(list, i)
		}
	}
	return list
}

// records returns the heads of the table and its rows, each with its citation.
func records(table *tables.Table) (heads []string, rows [][]string) {
	columns := table.Columns()
	for _, i := range figures(table) {
		heads = append(heads, columns[i].String())
	}
	heads = append(heads, "status", "citation")
	for i := range table.Len() {
		var row []string
		for _, j := range figures(table) {
			row = append(row, table.Cell(i, j))
		}
		cite := table.Cite(i)
		rows = append(rows, append(row, cite.Status().String(), cite.String()))
	}
	return heads, rows
}

// about returns the lines that stand over a table.
func about(table *tables.Table) []string {
	lines := []string{table.Source().String()}
	if s := table.Section(); s != "" {
		lines[0] += ", " + s
	}
	for _, c := range table.Columns() {
		if c.About != "" {
			lines = append(lines, c.Name+": "+c.About)
		}
	}
	lines = append(lines, "boundary: "+table.Boundary().String()+"; interpolation: "+table.Interpolation().String())
	for _, v := range table.Verified() {
		lines = append(lines, "verified: "+v)
	}
	for _, n := range table.Notes() {
		lines = append(lines, "note: "+n)
	}
	return lines
}

func writeText(out io.Writer, table *tables.Table) error {
	fmt.Fprintf(out, "%s (%s)\n", table.Title(), table.ID())
	for _, line := range about(table) {
		fmt.Fprintf(out, "  %s\n", line)
	}
	fmt.Fprintln(out)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	heads, rows := records(table)
	n := len(heads) - 1 // the citation of each row is too long for a line
	fmt.Fprintln(w, "\t"+strings.Join(heads[:n], "\t"))
	loose := false
	for i, row := range rows {
		mark := ""
		switch cite := table.Cite(i); {
		case cite.Amended():
			mark = "*"
		case !cite.Status().Firm():
			mark, loose = "~", true
		}
		fmt.Fprintln(w, mark+"\t"+strings.Join(row[:n], "\t"))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if loose {
		fmt.Fprintln(out, "~ not seen in print, or common practice: ask before relying on it")
	}
	if table.Amended() {
		for i := range table.Len() {
			if cite := table.Cite(i); cite.Amended() {
				fmt.Fprintf(out, "* %v\n", cite)
			}
		}
		for _, cite := range table.Dropped() {
			fmt.Fprintf(out, "* dropped: %v\n", cite)
		}
	}
	return nil
}

func writeCSV(out io.Writer, table *tables.Table) error {
	heads, rows := records(table)
	return csv.NewWriter(out).WriteAll(append([][]string{heads}, rows...))
}

func writeMarkdown(out io.Writer, table *tables.Table) error {
	escape := strings.NewReplacer("|", `\|`, "<", "&lt;", "*", `\*`, "_", `\_`)
	line := func(cells []string) {
		for _, c := range cells {
			fmt.Fprintf(out, "| %s ", escape.Replace(c))
		}
		fmt.Fprintln(out, "|")
	}
	fmt.Fprintf(out, "## %s\n\n", escape.Replace(table.Title()))
	for _, s := range about(table) {
		fmt.Fprintf(out, "- %s\n", escape.Replace(s))
	}
	fmt.Fprintln(out)
	heads, rows := records(table)
	line(heads)
	fmt.Fprintln(out, strings.Repeat("| --- ", len(heads))+"|")
	for _, row := range rows {
		line(row)
	}
	return nil
}

func writeJSON(out io.Writer, table *tables.Table) error {
	type column struct {
		Name  string `json:"name"`
		Unit  string `json:"unit,omitzero"`
		About string `json:"about,omitzero"`
	}
	type row struct {
		Cells    []string        `json:"cells"`
		Citation tables.Citation `json:"citation"`
	}
	var doc struct {
		ID            string        `json:"id"`
		Title         string        `json:"title"`
		Source        tables.Source `json:"source"`
		Section       string        `json:"section,omitzero"`
		Keys          []string      `json:"keys"`
		Boundary      string        `json:"boundary"`
		Interpolation string        `json:"interpolation"`
		Verified      []string      `json:"verified,omitempty"`
		Notes         []string      `json:"notes,omitempty"`
		Columns       []column      `json:"columns"`
		Rows          []row         `json:"rows"`
	}
	doc.ID, doc.Title, doc.Source, doc.Section, doc.Keys = table.ID(), table.Title(), table.Source(), table.Section(),
		table.Keys()
	doc.Boundary, doc.Interpolation = table.Boundary().String(), table.Interpolation().String()
	doc.Verified, doc.Notes = table.Verified(), table.Notes()
	columns := table.Columns()
	for _, i := range figures(table) {
		doc.Columns = append(doc.Columns, column(columns[i]))
	}
	_, rows := records(table)
	for i, cells := range rows {
		doc.Rows = append(doc.Rows, row{cells[:len(cells)-2], table.Cite(i)})
	}
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}
