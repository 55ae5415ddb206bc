package job

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/files"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

// Confirmation is a figure of the shelf that a reader looked up in the code book. It acts
// as an amendment of that row: its figure was seen in print, and one that differs from the
// shelf stands in its place.
type Confirmation struct {
	Row     string `json:"row"`   // set/table: row, as the checklist names it
	Value   string `json:"value"` // as read
	Where   string `json:"where"` // document, edition and section
	By      string `json:"by"`
	When    string `json:"when"`
	Differs string `json:"differs,omitempty"` // what the shelf had, if it is another figure
}

// confirmed is a confirmation as the job file has it.
type confirmed struct {
	Row   string `json:"row" read:"need"`
	Value string `json:"value" read:"need"`
	Where string `json:"where" read:"need"`
	By    string `json:"by" read:"need"`
	When  string `json:"when" read:"need"`
}

// rowID names a row of the shelf as a confirmation does.
func rowID(c tables.Citation) string { return c.Table() + ": " + c.Row() }

// valueOf is the figure of a row, as the checklist prints it and a reader confirms it: the
// cells that are neither key nor note.
func valueOf(c tables.Citation) string {
	if strings.HasSuffix(c.Table(), "/rules") {
		return ruleFigure(c)
	}
	return cellsOf(c, "")
}

// cellsOf writes the cells of a row, each with its unit, plain numbers with what is given for theirs.
func cellsOf(c tables.Citation, plain string) string {
	var parts []string
	for _, x := range c.Cells() {
		unit := x.Column.Unit
		if unit == "1" {
			unit = plain
		}
		if x.Text != "" {
			parts = append(parts, strings.TrimSpace(x.Column.Name+" "+x.Text+" "+unit))
		}
	}
	return strings.Join(parts, ", ")
}

// findRow finds the row of the shelf that a confirmation names.
func findRow(shelf *tables.Shelf, id string) (tables.Citation, error) {
	name, row, _ := strings.Cut(id, ": ")
	t, err := shelf.Table(name)
	if err != nil {
		return tables.Citation{}, err
	}
	for i := range t.Len() {
		if c := t.Cite(i); c.Row() == row {
			return c, nil
		}
	}
	return tables.Citation{}, fmt.Errorf("%s has no row %s: -checklist names the rows", name, visible.Quote(row))
}

// confirm lays what was read in the book over the shelf.
func (j *Job) confirm(blame func(field string, err error)) {
	for i := range j.confirmed {
		c := &j.confirmed[i]
		shelf, err := c.over(j.shelf, i)
		if err != nil {
			blame("confirmed", fmt.Errorf("%s: %w", visible.Quote(c.Row), err))
			continue
		}
		j.shelf = shelf
	}
}

// over returns the shelf with one row as it was read.
func (c *Confirmation) over(shelf *tables.Shelf, number int) (*tables.Shelf, error) {
	row, err := findRow(shelf, c.Row)
	if err != nil {
		return nil, err
	}
	head, cells := []string{"op"}, []string{"set"}
	for _, k := range row.Keys() {
		head, cells = append(head, k.Column.String()), append(cells, k.Text)
	}
	if had := valueOf(row); had != c.Value && cellsOf(row, "1") != c.Value { // checklists had the 1 once
		if !strings.HasSuffix(row.Table(), "/rules") {
			return nil, fmt.Errorf("the shelf has %s, and %s was read: write it as an amendment of %s", had,
				visible.Quote(c.Value), row.Table())
		}
		number, unit, _ := strings.Cut(c.Value, " ")
		c.Differs = had
		head, cells = append(head, "value", "unit"), append(cells, number, cmp.Or(unit, "1"))
	}
	head, cells = append(head, "status"), append(cells, "read")
	var source, table bytes.Buffer
	id := fmt.Sprintf("read-%d", number+1)
	err = errors.Join(
		writeCSV(&source, []string{"id", "title", "publisher", "edition", "year", "url", "note"},
			[]string{id, visible.Text(c.Where + ", read by " + c.By + ", " + c.When), "", "", "", "", ""}),
		writeCSV(&table, head, cells))
	if err != nil {
		return nil, err
	}
	fsys, err := files.InMemory(map[string][]byte{
		"sources.csv": source.Bytes(),
		row.Table() + ".csv": append(fmt.Appendf(nil, "# id: %s\n# source: %s\n", row.Table(), id),
			table.Bytes()...),
	})
	if err != nil {
		return nil, err
	}
	return shelf.With(fsys)
}

func writeCSV(w io.Writer, rows ...[]string) error { return csv.NewWriter(w).WriteAll(rows) }

// WriteChecklist writes the form on which a reader of the code book confirms figures: an
// entry for each row that decided and that nobody has seen in print, with the figure of
// the shelf. What was filled in goes into the job file as "confirmed".
//
// One figure may hide another, which is asked about once the first is confirmed: the job is
// judged again with all of the list confirmed, until nothing more is asked.
func (r *Report) WriteChecklist(w io.Writer) error {
	list := []Confirmation{}
	seen := map[string]bool{}
	for _, c := range r.Confirmed {
		seen[c.Row] = true
	}
	for made := r.made; ; {
		more := made.toConfirm(seen)
		if len(more) == 0 {
			break
		}
		list = append(list, more...)
		again, err := made.ifConfirmed(r.ctx, more)
		if r.ctx.Err() != nil {
			return fmt.Errorf("checklist: stopped after %d figures: %w", len(list), r.ctx.Err())
		}
		if err != nil {
			break // the list is good as far as it goes
		}
		made = again
	}
	enc := json.NewEncoder(visible.JSONWriter(w))
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(struct {
		Confirmed []Confirmation `json:"confirmed"`
	}{list})
}

// toConfirm lists the rows that the book is asked about, but for those seen before.
func (g *judged) toConfirm(seen map[string]bool) (list []Confirmation) {
	var rows []tables.Citation
	for _, q := range questionsOf(g.findings)[tables.Book] {
		rows = append(rows, q.cite)
	}
	if g.water != nil {
		rows = append(rows, g.water.recalled()...)
	}
	for _, c := range rows {
		if id := rowID(c); !c.IsZero() && !seen[id] {
			seen[id] = true
			list = append(list, Confirmation{Row: id, Value: valueOf(c),
				Where: strings.TrimSuffix(c.Source().String()+", "+c.Section(), ", ")})
		}
	}
	return list
}

// ifConfirmed judges the job as if figures were confirmed as the shelf has them.
func (g *judged) ifConfirmed(ctx context.Context, list []Confirmation) (*judged, error) {
	j := *g.job
	j.codes = new(codes)
	for i := range list {
		c := list[i]
		c.By, c.When = "-", "-"
		shelf, err := c.over(j.shelf, len(j.confirmed)+i)
		if err != nil {
			return nil, err
		}
		j.shelf = shelf
	}
	j.confirmed = append(slices.Clone(j.confirmed), list...)
	again, err := size(ctx, &j, g.code, g.as)
	if err != nil {
		return nil, err
	}
	if again.drains != nil {
		again.lack("findings of the drains", again.drains.check(ctx, g.as, false))
	}
	if err := again.stopped(ctx); err != nil {
		return nil, err
	}
	again.gather(again.slips())
	return again, nil
}

// recalled lists the rows of loads, demands and bores that nobody has seen in print. One
// finding a table asks about them all.
func (w *waterJudged) recalled() (rows []tables.Citation) {
	note := func(c tables.Citation) {
		if !c.IsZero() && !c.Status().Firm() && c.Status() != tables.Practice {
			rows = append(rows, c)
		}
	}
	for _, f := range w.layout.Data().Fixtures {
		if load, err := w.loadOf(&f); err == nil && f.Load == "" {
			note(load.Citation)
		}
	}
	for _, run := range w.sizing.All() {
		note(run.Demand)
		note(run.DemandNext)
		if run.Family() == nil {
			continue
		}
		for _, s := range run.Family().Sizes() {
			if s.Size == run.Size {
				note(s.Citation)
			}
		}
	}
	return rows
}

// confirmedBrief says on page one that figures were confirmed, and which of them differ from
// the tables; empty if none was.
func (r *Report) confirmedBrief() string {
	if len(r.Confirmed) == 0 {
		return ""
	}
	var differ []string
	for i := range r.Confirmed {
		if c := &r.Confirmed[i]; c.Differs != "" {
			_, row, _ := strings.Cut(c.Row, ": ")
			differ = append(differ, rowName(row)+" "+c.Value+" (tables: "+c.Differs+")")
		}
	}
	text := counted(len(r.Confirmed), "figure") + " as read in the code book, under Confirmed"
	if len(differ) > 0 {
		text += fmt.Sprintf("; WARNING: %d of another value than the tables: %s", len(differ), strings.Join(differ, ", "))
	}
	return text
}

func (r *Report) printConfirmed(p *page) {
	if len(r.Confirmed) == 0 {
		return
	}
	p.section("Confirmed: figures as read in the code book")
	for _, c := range r.Confirmed {
		text := fmt.Sprintf("%s is %s: %s, read by %s, %s.", c.Row, c.Value, c.Where, c.By, c.When)
		if c.Differs != "" {
			text += " WARNING: the tables have " + c.Differs + "; what was read stands in its place."
		}
		p.paragraph("  - ", "    ", text)
	}
}
