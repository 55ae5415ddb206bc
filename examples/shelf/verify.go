package shelf

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/files"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// Reading says what a person reads in a code book.
type Reading struct {
	Set  string // of the shelf, such as ipc-2021
	Dir  string // where the reading goes; it must hold none yet
	Most int    // rows to walk through, at most
}

// reader walks a person with the book in hand through rows of a set.
type reader struct {
	in    *bufio.Scanner
	out   io.Writer
	done  bool // the person has had enough
	shelf *tables.Shelf
	files reading
}

// ask prints a question and returns the answer, without space around it.
func (r *reader) ask(format string, args ...any) string {
	fmt.Fprintf(r.out, format, args...)
	if r.done || !r.in.Scan() {
		r.done = true
		fmt.Fprintln(r.out)
		return ""
	}
	return strings.TrimSpace(r.in.Text())
}

// must asks until there is an answer that is taken, or the input ends.
func (r *reader) must(what string, takes func(string) bool) string {
	for {
		answer := r.ask("%s: ", what)
		if r.done || takes(answer) {
			return answer
		}
	}
}

// readRow is what was read of a row.
type readRow struct {
	cite    tables.Citation
	figures []string // by column of the table; "" keeps what stands
	changed bool
}

// Verify walks through the rows of a set that nobody has seen in print, or that sources
// disagree on, those that decide most first, and writes what was read as an amendment:
// rows that hold are set to read, others to the figure of the book. What the shelf would
// not take is asked again; nothing is written over.
func Verify(in io.Reader, out io.Writer, shelf *tables.Shelf, what Reading) error {
	if _, err := os.Stat(filepath.Join(what.Dir, "sources.csv")); err == nil {
		return fmt.Errorf("%s holds a reading already: name another directory", what.Dir)
	}
	list, sets, err := doubtfulRows(shelf, what.Set)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return fmt.Errorf("%s: no row in doubt decides the demonstration, the job files or the published problems: choose %s",
			what.Set, strings.Join(sets, ", "))
	}
	r := &reader{in: bufio.NewScanner(in), out: out, shelf: shelf, files: reading{set: what.Set}}
	fmt.Fprintf(out, "%d rows of %s that decide answers were not seen in print. Have the book at hand.\n", len(list),
		what.Set)
	fmt.Fprint(out, "Enter keeps the figure: the book prints the same. Type another, s to skip the row, q to end.\n\n")
	said := func(s string) bool { return s != "" }
	r.files.name = r.must("Your name", said)
	r.files.book = r.must("The book, with its edition", said)
	r.files.date = r.must("Date, such as 2026-03-04", func(s string) bool {
		_, err := time.Parse(time.DateOnly, s)
		return err == nil
	})
	if r.done {
		return errors.New("name, book and date are needed: they go into the file")
	}
	most := min(what.Most, len(list))
	for i, d := range list[:max(0, most)] {
		if r.row(i+1, most, d); r.done {
			break
		}
	}
	if len(r.files.rows) == 0 {
		fmt.Fprintln(out, "\nNothing was read, so nothing is written.")
		return nil
	}
	for name, data := range r.files.all() {
		name = filepath.Join(what.Dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(name, data, 0o666); err != nil {
			return err
		}
	}
	changed := 0
	for _, row := range r.files.rows {
		if row.changed {
			changed++
		}
	}
	fmt.Fprintf(out, "\n%d rows read, %d of them with another figure, written to %s.\n"+
		"Lay it over the shelf as an amendment, or give it to who keeps the shelf.\n", len(r.files.rows), changed,
		what.Dir)
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
		return cmp.Or(b.times-a.times, strings.Compare(a.cite.Table()+a.cite.Row(), b.cite.Table()+b.cite.Row()))
	})
	return of, slices.Compact(sets), nil
}

// row asks for the figures of a row until the shelf takes them, the row is skipped or
// the person has had enough.
func (r *reader) row(n, of int, d decidingRow) {
	c := d.cite
	fmt.Fprintf(r.out, "\n%d of %d  %s", n, of, c.Source())
	if s := c.Section(); s != "" {
		fmt.Fprintf(r.out, ", %s", s)
	}
	fmt.Fprintf(r.out, "\n  %s: %s (decides %d times)\n", c.Table(), c.Row(), d.times)
	if note := c.Note(); note != "" {
		fmt.Fprintf(r.out, "  %s\n", note)
	}
	for _, cell := range c.Cells() {
		if slices.Contains(told, cell.Column.Name) && cell.Text != "" {
			fmt.Fprintf(r.out, "  %s: %s\n", cell.Column.Name, cell.Text)
		}
	}
	before := r.files.rows
	for {
		row, ok := r.figures(c)
		if !ok {
			return
		}
		r.files.rows = append(slices.Clone(before), row)
		err := r.files.taken(r.shelf)
		if err == nil {
			return
		}
		r.files.rows = before
		fmt.Fprintf(r.out, "  The shelf does not take that: %v\n  Once more.\n", err)
	}
}

// figures asks for each figure of a row; it returns false if the row was skipped.
func (r *reader) figures(c tables.Citation) (readRow, bool) {
	row := readRow{cite: c}
	for _, cell := range c.Cells() {
		answer := ""
		if !slices.Contains(told, cell.Column.Name) {
			answer = r.ask("  %v %s? ", cell.Column, cmp.Or(cell.Text, "(blank)"))
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

// reading is what was read in a book, and by whom.
type reading struct {
	set, name, book, date string
	rows                  []readRow
}

// all returns the reading as the files of an amendment.
func (r *reading) all() map[string][]byte {
	id := "reading-" + r.set
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll([][]string{{"id", "title", "publisher", "edition", "year", "url", "note"},
		{id, r.book, "", "", "", "", "read by " + r.name + ", " + r.date}})
	files := map[string][]byte{"sources.csv": b.Bytes()}
	byTable := map[string][]readRow{}
	for _, row := range r.rows {
		byTable[row.cite.Table()] = append(byTable[row.cite.Table()], row)
	}
	for table, rows := range byTable {
		slices.SortFunc(rows, func(a, b readRow) int {
			_, x := a.cite.File()
			_, y := b.cite.File()
			return x - y
		})
		files[table+".csv"] = amendmentOf(table, id, rows)
	}
	return files
}

// taken tells why a shelf would not take the reading.
func (r *reading) taken(shelf *tables.Shelf) error {
	all := r.all()
	held, err := files.InMemory(all)
	if err != nil {
		return err
	}
	amended, err := shelf.With(held)
	if err != nil {
		return err
	}
	for name := range all {
		if name != "sources.csv" {
			if _, err := amended.Table(strings.TrimSuffix(name, ".csv")); err != nil {
				return err
			}
		}
	}
	// What a table takes as a number the code may want as a count.
	if _, err := dwv.LoadCode(shelf, r.set); err == nil {
		if _, err := dwv.LoadCode(amended, r.set); err != nil {
			return err
		}
	}
	if _, err := supply.LoadCode(shelf, r.set); err == nil {
		if _, err := supply.LoadCode(amended, r.set); err != nil {
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
			line = append(line, cmp.Or(row.figures[i], cell.Text))
		}
		w.Write(append(line, "read"))
	}
	w.Flush()
	return b.Bytes()
}
