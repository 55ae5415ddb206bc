package main

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// reader walks a person with the book in hand through rows of a set.
type reader struct {
	in   *bufio.Scanner
	out  io.Writer
	done bool // the person has had enough
}

// ask prints a question and returns the answer, without space around it.
func (r *reader) ask(format string, args ...any) string {
	fmt.Fprintf(r.out, format, args...)
	if r.done || !r.in.Scan() {
		r.done = true
		return ""
	}
	return strings.TrimSpace(r.in.Text())
}

// readRow is what was read of a row.
type readRow struct {
	cite    tables.Citation
	figures []string // by column of the table; "" keeps what stands
	changed bool
}

// verify walks through the rows of a set that nobody has seen in print, or that sources
// disagree on, those that decide most first, and writes what was read as an amendment
// into a directory: rows that hold are set to read, others to the figure of the book.
func verify(in io.Reader, out io.Writer, shelf *tables.Shelf, set, dir string, most int) error {
	list, sets, err := doubtfulRows(shelf, set)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return fmt.Errorf("%s: no row in doubt decides the demonstration, the job files or the published problems: choose %s",
			set, strings.Join(sets, ", "))
	}
	r := &reader{in: bufio.NewScanner(in), out: out}
	fmt.Fprintf(out, "%d rows of %s that decide answers were not seen in print. Have the book at hand.\n", len(list),
		set)
	fmt.Fprint(out, "Enter keeps the figure: the book prints the same. Type another, s to skip the row, q to end.\n\n")
	name := r.ask("Your name: ")
	book := r.ask("The book, with its edition: ")
	date := r.ask("Date: ")
	if name == "" || book == "" || date == "" {
		return fmt.Errorf("name, book and date are needed: they go into the file")
	}
	var read []readRow
	for i, d := range list[:min(most, len(list))] {
		if row, ok := r.row(i+1, min(most, len(list)), d); ok {
			read = append(read, row)
		}
		if r.done {
			break
		}
	}
	if len(read) == 0 {
		fmt.Fprintln(out, "\nNothing was read, so nothing is written.")
		return nil
	}
	if err := writeReading(dir, set, name, book, date, read); err != nil {
		return err
	}
	changed := 0
	for _, row := range read {
		if row.changed {
			changed++
		}
	}
	fmt.Fprintf(out, "\n%d rows read, %d of them with another figure, written to %s.\n"+
		"Lay it over the shelf with -with %s, or give it to who keeps the shelf.\n", len(read), changed, dir, dir)
	return nil
}

// doubtfulRows returns the rows of a set that decide and are not firm, those that
// decide most first, and the sets that have such rows.
func doubtfulRows(shelf *tables.Shelf, set string) (of []decidingRow, sets []string, err error) {
	list, err := decidingRows(shelf)
	if err != nil {
		return nil, nil, err
	}
	times := map[tables.Citation]int{}
	for _, d := range list {
		if d.cite.Status().Firm() {
			continue
		}
		if sets = append(sets, path.Dir(d.cite.Table())); path.Dir(d.cite.Table()) == set {
			times[d.cite] += d.times
		}
	}
	slices.Sort(sets)
	for c, n := range times {
		of = append(of, decidingRow{times: n, cite: c})
	}
	slices.SortFunc(of, func(a, b decidingRow) int {
		if a.times != b.times {
			return b.times - a.times
		}
		return strings.Compare(a.cite.Table()+a.cite.Row(), b.cite.Table()+b.cite.Row())
	})
	return of, slices.Compact(sets), nil
}

// row asks for the figures of a row; it returns false if the row was skipped.
func (r *reader) row(n, of int, d decidingRow) (readRow, bool) {
	c := d.cite
	fmt.Fprintf(r.out, "\n%d of %d  %s", n, of, c.Source())
	if s := c.Section(); s != "" {
		fmt.Fprintf(r.out, ", %s", s)
	}
	fmt.Fprintf(r.out, "\n  %s: %s (decides %d times)\n", c.Table(), c.Row(), d.times)
	if note := c.Note(); note != "" {
		fmt.Fprintf(r.out, "  %s\n", note)
	}
	row := readRow{cite: c}
	for _, cell := range c.Cells() {
		answer := ""
		if !slices.Contains(told, cell.Column.Name) {
			answer = r.ask("  %v %s? ", cell.Column, orBlank(cell.Text))
		} else if cell.Text != "" {
			fmt.Fprintf(r.out, "  %s: %s\n", cell.Column.Name, cell.Text)
		}
		switch {
		case r.done, answer == "q":
			r.done = true
			return row, false
		case answer == "s":
			return row, false
		case answer != "" && answer != cell.Text:
			row.changed = true
		default:
			answer = ""
		}
		row.figures = append(row.figures, answer)
	}
	return row, true
}

// told are the columns that say what a row is about, which nobody has to read.
var told = []string{"unit", "what", "product", "title", "ports"}

func orBlank(s string) string {
	if s == "" {
		return "(blank)"
	}
	return s
}

// writeReading writes the rows that were read as an amendment.
func writeReading(dir, set, name, book, date string, read []readRow) error {
	id := "reading-" + set
	if err := os.MkdirAll(filepath.Join(dir, set), 0o777); err != nil {
		return err
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll([][]string{{"id", "title", "publisher", "edition", "year", "url", "note"},
		{id, book, "", "", "", "", "read by " + name + ", " + date}})
	if err := os.WriteFile(filepath.Join(dir, "sources.csv"), b.Bytes(), 0o666); err != nil {
		return err
	}
	byTable := map[string][]readRow{}
	for _, row := range read {
		byTable[row.cite.Table()] = append(byTable[row.cite.Table()], row)
	}
	for table, rows := range byTable {
		slices.SortFunc(rows, func(a, b readRow) int {
			_, x := a.cite.File()
			_, y := b.cite.File()
			return x - y
		})
		if err := os.WriteFile(filepath.Join(dir, table+".csv"), amendmentOf(table, id, rows), 0o666); err != nil {
			return err
		}
	}
	return nil
}

// amendmentOf writes the rows of one table that were read.
func amendmentOf(table, source string, rows []readRow) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# id: %s\n# source: %s\n", table, source)
	w := csv.NewWriter(&b)
	head := []string{"op"}
	for _, k := range rows[0].cite.Keys() {
		head = append(head, k.Column.String())
	}
	for _, cell := range rows[0].cite.Cells() {
		head = append(head, cell.Column.String())
	}
	w.Write(append(head, "status"))
	for _, row := range rows {
		line := []string{"set"}
		for _, k := range row.cite.Keys() {
			line = append(line, k.Text)
		}
		for i, cell := range row.cite.Cells() {
			text := row.figures[i]
			if text == "" {
				text = cell.Text
			}
			line = append(line, text)
		}
		w.Write(append(line, "read"))
	}
	w.Flush()
	return b.Bytes()
}
