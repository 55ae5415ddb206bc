package job

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// pointFile is a table of points, as a survey or a spreadsheet gives them.
type pointFile struct {
	System string `json:"system" read:"need"`
	File   string `json:"file" read:"need,free"` // beside the layout file or below it
}

// shortColumns are columns with a name of their own; all others are called as the field of a
// point, such as trap.arm.
var shortColumns = map[string]string{
	"x": "at.x", "y": "at.y", "fixture": "fixture.fixture", "count": "fixture.count", "use": "fixture.use",
	"control": "fixture.control", "flush": "fixture.flush", "length": "run.length", "grade": "run.grade",
	"size": "run.size", "material": "run.material", "bearing": "run.bearing", "vertical": "run.vertical",
	"drop": "run.drop", "join": "run.join", "cleanout": "cleanout.size", "trap": "trap.size",
}

// column is where a column of a table goes.
type column struct {
	path []string
	kind string // type of the field: string, boolean, integer
	unit string // of plain numbers: x[ft]
}

// spliced is the text of a half of the job with rows of tables put in, and where they
// stand, so that a fault can name the table.
type spliced struct {
	data   []byte
	rows   []splicedRow
	bad    []error // with a place in a table
	broken bool    // there are faults, and rows are missing
}

type splicedRow struct {
	from, to int // offsets in the text
	file     string
	line     int
}

// pointTables puts the tables of points into the text of the drainage.
func (j *Job) pointTables(ctx context.Context, fsys fs.FS, dir string, list []pointFile, doc *strictjson.Document,
	text []byte) *spliced {
	s := &spliced{data: text}
	blame := func(err error) {
		s.broken = true
		if _, placed := errors.AsType[*units.Faults](err); placed {
			s.bad = append(s.bad, err)
		} else {
			doc.Fault(doc.Top(), "point_files", "layout file", "point_files", err)
		}
	}
	for _, f := range list {
		name := path.Join(dir, f.File)
		data, err := readLimited(fsys, name)
		if err != nil {
			blame(fmt.Errorf("%s: %w", visible.Quote(f.File), plainPathError(err)))
			continue
		}
		rows, lines, bad := pointRows(ctx, f.File, data)
		if bad != nil && ctx.Err() != nil {
			s.bad, s.broken = []error{bad}, true
			break
		}
		if bad != nil {
			blame(bad)
			continue
		}
		if err := s.insert(ctx, f, rows, lines); err != nil {
			blame(err)
			continue
		}
		j.tables = append(j.tables, TableFile{Name: f.File, SHA256: fmt.Sprintf("%x", sha256.Sum256(data))})
	}
	return s
}

// plainPathError is what is wrong with a file, without the path, which is told beside it.
func plainPathError(err error) error {
	switch e, ok := errors.AsType[*fs.PathError](err); {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("no such file beside the layout file")
	case ok:
		return e.Err
	}
	return err
}

// insert puts rows at the end of the points of a system.
func (s *spliced) insert(ctx context.Context, f pointFile, rows [][]byte, lines []int) error {
	doc, err := strictjson.Parse("", s.data, strictjson.Limits{Bytes: 1 << 30, Values: 100_000_000, Context: ctx})
	if err != nil {
		return nil // told where the half is read
	}
	at, before, after, err := endOfPoints(&doc.Root, f.System)
	if err != nil {
		return err
	}
	text := []byte(before)
	placed := make([]splicedRow, 0, len(rows))
	for i, row := range rows {
		if i > 0 {
			text = append(text, ',')
		}
		from := at + len(text)
		text = append(text, row...)
		placed = append(placed, splicedRow{from, at + len(text), f.File, lines[i]})
	}
	text = append(text, after...)
	for i := range s.rows {
		if r := &s.rows[i]; r.from >= at {
			r.from, r.to = r.from+len(text), r.to+len(text)
		}
	}
	s.rows = append(s.rows, placed...)
	s.data = slices.Concat(s.data[:at], text, s.data[at:])
	return nil
}

// endOfPoints finds where points of a system can be added, and what stands around them.
func endOfPoints(root *strictjson.Value, system string) (at int, before, after string, err error) {
	systems := member(root, "systems")
	if systems == nil {
		return 0, "", "", fmt.Errorf("point_files: no systems in the drainage")
	}
	var ids []string
	for i := range systems.Items {
		sys := &systems.Items[i]
		id := member(sys, "id")
		if id == nil || id.Text != system {
			if id != nil {
				ids = append(ids, id.Text)
			}
			continue
		}
		switch points := member(sys, "points"); {
		case points == nil:
			return sys.End - 1, `,"points":[`, "]", nil
		case points.Kind == strictjson.Array && len(points.Items) > 0:
			return points.End - 1, ",", "", nil
		default:
			return points.End - 1, "", "", nil
		}
	}
	return 0, "", "", fmt.Errorf("no system %s: %sthere is %s", visible.Quote(system), visible.Meant(system, ids),
		strings.Join(ids, ", "))
}

func member(v *strictjson.Value, name string) *strictjson.Value {
	if i := slices.Index(v.Names, name); v.Kind == strictjson.Object && i >= 0 {
		return &v.Items[i]
	}
	return nil
}

// pointRows reads a table and writes each row as a point, with the line it stands on.
func pointRows(ctx context.Context, file string, data []byte) (rows [][]byte, lines []int, bad error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	r := csv.NewReader(bytes.NewReader(data))
	first, _, _ := bytes.Cut(data, []byte("\n"))
	if bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		r.Comma = ';'
	}
	r.Comment, r.TrimLeadingSpace = '#', true
	all := new(faults.List)
	head, err := r.Read()
	if err != nil {
		if err == io.EOF {
			err = errors.New("empty: a head of columns is needed, such as id,to,x[ft],y[ft],fixture,length")
		}
		return nil, nil, fmt.Errorf("%s: %w", visible.Quote(file), err)
	}
	columns := make([]column, len(head))
	for i, name := range head {
		columns[i], err = columnOf(name)
		twice := func(c column) bool { return slices.Equal(c.path, columns[i].path) }
		if err == nil && slices.ContainsFunc(columns[:i], twice) {
			err = fmt.Errorf("%w: %s", strictjson.ErrRepeat, strings.Join(columns[i].path, "."))
		}
		if err != nil {
			line, col := r.FieldPos(i)
			all.Add(units.Fault{File: file, Line: line, Column: col, Item: "column " + visible.Quote(name), Err: err})
		}
	}
	if err := all.Err(); err != nil {
		return nil, nil, err
	}
	w, of := patience.NewWork(ctx, "reading"), bytes.Count(data, []byte("\n"))
	for w.GoesBetween(len(rows), of, "lines of "+visible.Quote(file)) {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			all.Add(units.Fault{File: file, Err: err})
			break
		}
		line, _ := r.FieldPos(0)
		row, err := pointOf(columns, cells)
		if err != nil {
			all.Add(units.Fault{File: file, Line: line, Item: "point " + visible.Quote(cells[0]), Err: err})
			continue
		}
		rows, lines = append(rows, row), append(lines, line)
	}
	return rows, lines, cmp.Or(w.Err(), all.Err())
}

// columnOf finds the field of a point that a column is.
func columnOf(head string) (column, error) {
	name, unit, _ := strings.Cut(strings.TrimSpace(head), "[")
	name = strings.ToLower(strings.ReplaceAll(strings.TrimSpace(name), " ", "_"))
	c := column{unit: strings.TrimSuffix(unit, "]")}
	dotted := cmp.Or(shortColumns[name], name)
	s := pointSchema()
	for part := range strings.SplitSeq(dotted, ".") {
		if s = s.Properties[part]; s == nil {
			known := append(slices.Sorted(maps.Keys(shortColumns)),
				slices.Sorted(maps.Keys(pointSchema().Properties))...)
			slices.Sort(known)
			known = slices.Compact(known)
			return c, fmt.Errorf("not a field of a point; %swrite one of %s, or a field within one, such as trap.arm",
				visible.Meant(name, known), strings.Join(known, ", "))
		}
		c.path = append(c.path, part)
	}
	if c.kind = s.Type; c.kind == "object" || c.kind == "array" {
		return c, errors.New("holds several fields: name one, such as trap.arm")
	}
	return c, nil
}

// pointSchema is what a point may say.
var pointSchema = sync.OnceValue(func() *strictjson.Schema {
	return schema().Properties["drainage"].Properties["systems"].Items.Properties["points"].Items
})

// pointOf writes a row as a point: cells that are empty are not said.
func pointOf(columns []column, cells []string) ([]byte, error) {
	point := map[string]any{}
	for i, c := range columns {
		text := strings.TrimSpace(cells[i])
		if text == "" {
			continue
		}
		var v any = text
		switch c.kind {
		case "boolean":
			yes, err := yesOrNo(text)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", strings.Join(c.path, "."), err)
			}
			v = yes
		case "integer":
			v = json.Number(text)
		default:
			if c.unit != "" && strings.Trim(text, "0123456789.-+/ ") == "" {
				v = text + " " + c.unit
			}
		}
		at := point
		for _, part := range c.path[:len(c.path)-1] {
			next, ok := at[part].(map[string]any)
			if !ok {
				next = map[string]any{}
				at[part] = next
			}
			at = next
		}
		at[c.path[len(c.path)-1]] = v
	}
	return json.Marshal(point)
}

func yesOrNo(text string) (bool, error) {
	switch strings.ToLower(text) {
	case "true", "yes", "y", "x", "1":
		return true, nil
	case "false", "no", "n", "0":
		return false, nil
	}
	return false, fmt.Errorf("%s where yes or no is needed", visible.Quote(text))
}

// name gives the faults that lie in rows of tables the place they have there, and those
// after them the place they have in the layout file.
func (s *spliced) name(err error) {
	all, ok := errors.AsType[*units.Faults](err)
	if !ok || len(s.rows) == 0 {
		return
	}
	starts := lineStarts(s.data)
	slices.SortFunc(s.rows, func(a, b splicedRow) int { return cmp.Compare(a.from, b.from) })
	long := make([]int, len(s.rows)+1) // all rows before each
	for i, r := range s.rows {
		long[i+1] = long[i] + r.to - r.from
	}
	before := func(at int) int { // how many rows begin before a place
		i, _ := slices.BinarySearchFunc(s.rows, at, func(r splicedRow, at int) int { return cmp.Compare(r.from, at) })
		return i
	}
	for _, f := range all.Faults {
		if f.Line < 1 || f.Line > len(starts) {
			continue
		}
		at := starts[f.Line-1] + max(f.Column, 1) - 1
		past := before(at + 1)
		if past > 0 && at < s.rows[past-1].to {
			f.File, f.Line, f.Column = s.rows[past-1].file, s.rows[past-1].line, 0
		} else if f.Column > 0 {
			f.Column -= long[past] - long[before(starts[f.Line-1])]
		}
	}
}

func lineStarts(data []byte) []int {
	starts := []int{0}
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}
