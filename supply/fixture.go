package supply

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// fixtureKey holds the cells that name the fixture of a row. An empty cell means
// that the code does not distinguish there.
type fixtureKey struct {
	kind, use, control, flush, size, style string
	flushOver                              bool         // flush is a least volume, else a greatest one
	flushLimit                             units.Volume // of flush
	sizeLength                             units.Length // of size
}

// makeKey reads the cells that need reading: flush is "at most V" or "over V".
func makeKey(kind, use, control, flush, size, style string) (fixtureKey, error) {
	k := fixtureKey{kind: kind, use: use, control: control, flush: flush, size: size, style: style}
	if flush != "" {
		text, most := strings.CutPrefix(flush, "at most ")
		if !most {
			if text, k.flushOver = strings.CutPrefix(flush, "over "); !k.flushOver {
				return k, fmt.Errorf("%w: flush %q is neither \"at most V\" nor \"over V\"", tables.ErrQuery, flush)
			}
		}
		if err := k.flushLimit.UnmarshalText([]byte(text)); err != nil {
			return k, err
		}
	}
	if size != "" {
		if err := k.sizeLength.UnmarshalText([]byte(size)); err != nil {
			return k, err
		}
	}
	return k, nil
}

// The fields that may tell two rows of one fixture apart, in the order in which
// errors name them.
var selectFields = [...]struct {
	name   string
	cell   func(*fixtureKey) string
	stated func(*tables.Fixture) string // "" when not stated
	match  func(*fixtureKey, *tables.Fixture) bool
}{
	{"use", func(k *fixtureKey) string { return k.use }, func(f *tables.Fixture) string { return f.Use.String() },
		func(k *fixtureKey, f *tables.Fixture) bool { return k.use == f.Use.String() }},
	{"control", func(k *fixtureKey) string { return k.control },
		func(f *tables.Fixture) string { return f.Control.String() },
		func(k *fixtureKey, f *tables.Fixture) bool { return k.control == f.Control.String() }},
	{"flush", func(k *fixtureKey) string { return k.flush }, func(f *tables.Fixture) string {
		if f.Flush == 0 {
			return ""
		}
		return f.Flush.String()
	}, func(k *fixtureKey, f *tables.Fixture) bool {
		// Brought to a millionth of a US gallon, so that 1.6 gal in any unit is 1.6 gal.
		at := roundTo(float64(f.Flush/units.USGallon)) <= roundTo(float64(k.flushLimit/units.USGallon))
		return at != k.flushOver
	}},
	{"size", func(k *fixtureKey) string { return k.size }, func(f *tables.Fixture) string {
		if f.Size == 0 {
			return ""
		}
		return f.Size.String()
	}, func(k *fixtureKey, f *tables.Fixture) bool { return k.sizeLength == f.Size }},
	{"style", func(k *fixtureKey) string { return k.style }, func(f *tables.Fixture) string { return f.Style },
		func(k *fixtureKey, f *tables.Fixture) bool { return k.style == f.Style }},
}

// meantKind asks whether another fixture of the rows was meant.
func meantKind(kind string, lists ...[]fixtureKey) string {
	var kinds []string
	for _, keys := range lists {
		for i := range keys {
			if !slices.Contains(kinds, keys[i].kind) {
				kinds = append(kinds, keys[i].kind)
			}
		}
	}
	return cmp.Or(codes.Called(kind, kinds), visible.Meant(kind, kinds))
}

// candidates returns the rows of keys that fit the fixture in all that it states.
// An unknown fixture and a stated value that no row has are errors.
func candidates(keys []fixtureKey, f *tables.Fixture, table string) ([]int, error) {
	var rows []int
	for i := range keys {
		if keys[i].kind == f.Kind {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%w: fixture %q: %s%s does not list it", tables.ErrNotInCode, visible.Shorten(f.Kind),
			meantKind(f.Kind, keys), table)
	}
	for _, field := range selectFields {
		stated := field.stated(f)
		if stated == "" {
			continue
		}
		fit := rows[:0:0]
		for _, r := range rows {
			if field.cell(&keys[r]) == "" || field.match(&keys[r], f) {
				fit = append(fit, r)
			}
		}
		if len(fit) == 0 {
			list, _ := choices(keys, rows, field.cell) // a row that leaves it open would have fitted
			return nil, fmt.Errorf("%w: fixture %q: %s: %q: %s lists it for %s",
				tables.ErrNotInCode, f.Kind, field.name, visible.Shorten(stated), table,
				strings.Join(list, ", "))
		}
		rows = fit
	}
	return rows, nil
}

// selectRow returns the one row that fits. same says whether two rows give the
// same answer, so that it does not matter which is meant.
func selectRow(keys []fixtureKey, f *tables.Fixture, table string, same func(a, b int) bool) (int, error) {
	rows, err := candidates(keys, f, table)
	if err != nil {
		return 0, err
	}
	if alike(rows, same) {
		return rows[0], nil
	}
	// What tells every row apart is asked for first: use says nothing of a valve that has one
	// row for all uses.
	var ask error
	for _, field := range selectFields {
		list, open := choices(keys, rows, field.cell)
		if field.stated(f) != "" || len(list) == 0 || len(list) == 1 && !open || open && ask != nil {
			continue
		}
		if open {
			list[len(list)-1] += " or another"
		}
		ask = fmt.Errorf("fixture %q: %s: %w: choose %s", f.Kind, field.name, tables.ErrNotStated, strings.Join(list, ", "))
		if !open {
			break
		}
	}
	if ask != nil {
		return 0, ask
	}
	// A row that leaves a field open and one that names it both fit: the one that
	// names it is meant.
	best := slices.MaxFunc(rows, func(a, b int) int { return namedFields(&keys[a]) - namedFields(&keys[b]) })
	return best, nil
}

func alike(rows []int, same func(a, b int) bool) bool {
	for _, r := range rows[1:] {
		if !same(rows[0], r) {
			return false
		}
	}
	return true
}

func namedFields(k *fixtureKey) int {
	n := 0
	for _, field := range selectFields {
		if field.cell(k) != "" {
			n++
		}
	}
	return n
}

// choices lists the different cells of a field, in the order of the rows; open tells that
// a row leaves it blank and so serves what the others do not name.
func choices(keys []fixtureKey, rows []int, cell func(*fixtureKey) string) (list []string, open bool) {
	for _, r := range rows {
		c := cell(&keys[r])
		open = open || c == ""
		if c != "" && !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	return list, open
}
