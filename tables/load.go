package tables

import (
	"cmp"
	"encoding"
	"encoding/json"
	"fmt"
	"iter"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/faults"
)

// Rows are the rows of a table as Go structs, in the order of the table. They are not to be
// changed and may be used by many at once.
type Rows[T any] struct {
	table *Table
	rows  []T
}

// Table returns the table the rows were read from.
func (r *Rows[T]) Table() *Table { return r.table }

// Len returns the number of rows.
func (r *Rows[T]) Len() int {
	if r == nil {
		return 0
	}
	return len(r.rows)
}

// At returns row i, not to be changed.
func (r *Rows[T]) At(i int) *T { return &r.rows[i] }

// All goes through the rows with their places.
func (r *Rows[T]) All() iter.Seq2[int, *T] {
	return func(yield func(int, *T) bool) {
		for i := range r.Len() {
			if !yield(i, &r.rows[i]) {
				return
			}
		}
	}
}

// Cite returns the citation of row i.
func (r *Rows[T]) Cite(i int) Citation { return r.table.Cite(i) }

// CellKind says what stands in a cell.
type CellKind uint8

// Blank: the source gives nothing. Value: a value. NotPermitted: "-", the source
// does not allow the case. Unlimited: the source sets no limit.
const (
	Blank CellKind = iota
	Value
	NotPermitted
	Unlimited
)

var cellKinds = enum.Words[CellKind]{What: "kind of cell",
	Words: []string{"blank", "value", "not permitted", "unlimited"}}

// String returns "blank", "value", "not permitted" or "unlimited".
func (c CellKind) String() string { return cellKinds.String(c) }

// MarshalText returns the text of String.
func (c CellKind) MarshalText() ([]byte, error) { return cellKinds.Marshal(c) }

// UnmarshalText reads the text of String.
func (c *CellKind) UnmarshalText(text []byte) error { return cellKinds.Unmarshal(text, c) }

// Cell is a field for a column in which not every cell holds a value.
type Cell[T any] struct {
	Kind  CellKind
	Value T // the zero value unless Kind is Value
}

// Get returns the value and whether there is one.
func (c Cell[T]) Get() (value T, ok bool) { return c.Value, c.Kind == Value }

// MarshalJSON writes the value, null for a blank, or the word: "-", "unlimited".
func (c Cell[T]) MarshalJSON() ([]byte, error) {
	switch c.Kind {
	case Value:
		return json.Marshal(c.Value)
	case Blank:
		return []byte("null"), nil
	}
	return json.Marshal(c.Kind.String())
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (c *Cell[T]) UnmarshalJSON(data []byte) error {
	*c = Cell[T]{}
	switch string(data) {
	case "null":
		return nil
	case `"` + NotPermitted.String() + `"`:
		c.Kind = NotPermitted
		return nil
	case `"` + Unlimited.String() + `"`:
		c.Kind = Unlimited
		return nil
	}
	c.Kind = Value
	return json.Unmarshal(data, &c.Value)
}

// self tells a Cell from a struct that embeds one.
func (c *Cell[T]) self() reflect.Type { return reflect.TypeFor[Cell[T]]() }

// Load reads a table into rows of a struct type. Each field with a tag
// table:"column" takes that column; other fields are left alone, and columns
// without a field are passed over.
//
//   - A field whose pointer implements [encoding.TextUnmarshaler] is handed the
//     cell with its unit, "3 in" or "0.25 in/ft" (just the cell where the column has
//     no unit), and so refuses a unit it does not understand.
//   - A float64 or an integer takes the bare number; if the column has a unit the
//     tag must name it, table:"c[gpm/psi0.5]", so that a table in another unit is
//     refused. The unit 1 need not be named.
//   - A bool takes yes or no; a string takes the text as printed.
//   - A [Cell] of any of these also takes a blank, "-" or "unlimited", which are
//     faults in any field but it and a string.
//
// A tag that ends in ",optional" leaves its field zero if the table lacks the
// column. All faults come back together as [*units.Faults], each with file, line and
// column.
func Load[T any](s *Shelf, id string) (*Rows[T], error) {
	t, err := s.Table(id)
	if err != nil {
		return nil, err
	}
	return LoadTable[T](t)
}

// LoadTable is [Load] for a table in hand.
func LoadTable[T any](t *Table) (*Rows[T], error) {
	if t == nil {
		return nil, notFound("table", "")
	}
	l := &faultList{file: t.file}
	fields := t.plan(reflect.TypeFor[T](), l)
	if err := l.Err(); err != nil {
		return nil, err
	}
	r := &Rows[T]{table: t, rows: make([]T, t.Len())}
	all := reflect.ValueOf(r.rows)
	// Column by column: a column has few different cells, so one that stood in a
	// row lately is copied instead of read again.
	for _, f := range fields {
		var lately [recent]int
		n, next := 0, 0
	rows:
		for i := range r.rows {
			dst := all.Index(i).Field(f.field)
			cell := t.cells[i*len(t.columns)+f.column]
			for _, row := range lately[:n] {
				if t.cells[row*len(t.columns)+f.column] == cell {
					dst.Set(all.Index(row).Field(f.field))
					continue rows
				}
			}
			if err := f.read(dst, cell); err != nil {
				l.reportCell(cellAt{t, i, f.column}, t.columns[f.column].Name, ErrCell, "%w", err)
				continue
			}
			lately[next] = i
			next = (next + 1) % recent
			n = min(n+1, recent)
		}
	}
	return faults.Result(r, l.Err())
}

// recent is how many different cells of a column are kept at hand.
const recent = 8

// fieldPlan reads one column into one field.
type fieldPlan struct {
	field, column int
	read          func(dst reflect.Value, cell string) error
}

func (t *Table) plan(row reflect.Type, l *faultList) []fieldPlan {
	if row.Kind() != reflect.Struct {
		l.report(0, 0, "", ErrType, "%v is not a struct", row)
		return nil
	}
	var plan []fieldPlan
	tagged := false
	for i := range row.NumField() {
		field := row.Field(i)
		tag, ok := field.Tag.Lookup("table")
		if !ok || tag == "-" {
			continue
		}
		tagged = true
		tag, optional := strings.CutSuffix(tag, ",optional")
		want, ok := parseColumn(tag)
		if !ok || !field.IsExported() {
			l.report(0, 0, tag, ErrType, "field %s needs an exported name and a tag with a column", field.Name)
			continue
		}
		n := t.Column(want.Name)
		if n < 0 {
			if !optional {
				l.report(0, 0, want.Name, ErrColumn, "the table lacks the column that field %s takes", field.Name)
			}
			continue
		}
		c := t.columns[n]
		if want.Unit != "" && want.Unit != c.Unit {
			l.report(0, 0, want.Name, ErrUnit, "field %s takes %q, the table has %q", field.Name, want.Unit, c.Unit)
			continue
		}
		read, err := reader(field.Type, c, want.Unit != "")
		if err != nil {
			l.report(0, 0, want.Name, ErrType, "field %s: %w", field.Name, err)
			continue
		}
		plan = append(plan, fieldPlan{i, n, read})
	}
	if !tagged && row.NumField() > 0 {
		l.report(0, 0, "", ErrType, "no field of %v has a tag such as `table:\"%s\"`, so that nothing would be read", row,
			t.columns[0].Name)
	}
	return plan
}

var textUnmarshaler = reflect.TypeFor[encoding.TextUnmarshaler]()

// reader returns what reads a cell of column c into a field of type typ. named
// tells that the field's tag names the unit.
func reader(typ reflect.Type, c Column, named bool) (func(reflect.Value, string) error, error) {
	if cell, ok := reflect.New(typ).Interface().(interface{ self() reflect.Type }); ok && cell.self() == typ {
		read, err := reader(typ.Field(1).Type, c, named)
		if err != nil {
			return nil, err
		}
		return func(dst reflect.Value, cell string) error {
			kind := kindOf(cell)
			dst.Field(0).SetUint(uint64(kind))
			if kind != Value {
				return nil
			}
			return read(dst.Field(1), cell)
		}, nil
	}
	if reflect.PointerTo(typ).Implements(textUnmarshaler) {
		var buf []byte
		return func(dst reflect.Value, cell string) error {
			if kind := kindOf(cell); kind != Value {
				return notAValue(kind)
			}
			buf = c.appendQuantity(buf[:0], cell)
			return dst.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText(buf)
		}, nil
	}
	switch kind := typ.Kind(); kind {
	case reflect.String:
		return func(dst reflect.Value, cell string) error {
			dst.SetString(cell)
			return nil
		}, nil
	case reflect.Bool:
		return func(dst reflect.Value, cell string) error {
			if cell != "yes" && cell != "no" {
				return fmt.Errorf("%q is neither yes nor no", cell)
			}
			dst.SetBool(cell == "yes")
			return nil
		}, nil
	case reflect.Float64, reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		if c.Unit != "" && c.Unit != "1" && !named {
			return nil, fmt.Errorf("%w: a bare number must name it in its tag, `table:%q`", ErrUnit, c.String())
		}
		return func(dst reflect.Value, cell string) error {
			if kind := kindOf(cell); kind != Value {
				return notAValue(kind)
			}
			return setNumber(dst, cell)
		}, nil
	}
	return nil, fmt.Errorf("cannot read a cell into %v", typ)
}

func kindOf(cell string) CellKind {
	switch cell {
	case "":
		return Blank
	case notPermitted:
		return NotPermitted
	case unlimited:
		return Unlimited
	}
	return Value
}

func notAValue(kind CellKind) error {
	return fmt.Errorf("is %v where a value must stand; a field for it is a Cell", kind)
}

func setNumber(dst reflect.Value, cell string) error {
	v, ok := parseNumber(cell)
	if !ok {
		return fmt.Errorf("%q is not a number", cell)
	}
	switch {
	case dst.CanFloat():
		dst.SetFloat(v)
	case dst.CanInt():
		n, err := strconv.ParseInt(cell, 10, 64)
		if err != nil || dst.OverflowInt(n) {
			return fmt.Errorf("%q is not a whole number in the range of %v", cell, dst.Type())
		}
		dst.SetInt(n)
	default:
		n, err := strconv.ParseUint(cell, 10, 64)
		if err != nil || dst.OverflowUint(n) {
			return fmt.Errorf("%q is not a whole number in the range of %v", cell, dst.Type())
		}
		dst.SetUint(n)
	}
	return nil
}

// Distinct returns the different values that keep accepts, ascending: the sizes or
// the grades a table has columns for.
func Distinct[T any, K cmp.Ordered](r *Rows[T], keep func(*T) (K, bool)) []K {
	var list []K
	for _, row := range r.All() {
		if k, ok := keep(row); ok {
			list = append(list, k)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}
