package tables

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
)

// Rule is one figure of a set that stands in no table: a limit, an allowance, a
// yes or no. It comes from the set's rules.csv, columns
// rule,value,unit,section,what,note,src,status with rule as key.
type Rule struct {
	ID    string   `json:"id"`
	Kind  CellKind `json:"kind"`           // of the value
	Value string   `json:"value,omitzero"` // as printed: a number, a word such as yes, or "" if Kind is not Value
	Unit  string   `json:"unit,omitzero"`  // "" for words and plain numbers
	What  string   `json:"what,omitzero"`  // what the figure is
	Cite  Citation `json:"cite"`
}

// String returns the value with its unit, "not permitted", "unlimited" or "blank".
func (r Rule) String() string {
	if r.Kind != Value {
		return r.Kind.String()
	}
	return Column{Unit: r.Unit}.quantity(r.Value)
}

// Into reads the value into a quantity, and reports whether there is one and it can.
func (r Rule) Into(q encoding.TextUnmarshaler) bool {
	return r.Kind == Value && q.UnmarshalText([]byte(r.String())) == nil
}

// Number reads the value as a number, of whatever unit, and reports whether it is one.
func (r Rule) Number() (float64, bool) {
	v, err := strconv.ParseFloat(r.Value, 64)
	return v, err == nil
}

// RuleSet is the rules of one table. It does not change and may be used by many at once.
type RuleSet struct {
	table string // its id
	rules []Rule // by id
}

// rulesTable is the name of the table of rules in a set.
const rulesTable = "rules"

type ruleRow struct {
	Rule  string `table:"rule"`
	Value string `table:"value"`
	Unit  string `table:"unit"`
	What  string `table:"what"`
}

// Rules returns the rules of a set, such as "ipc-2021", or of another table of rules by its
// id, such as "ipc-2021/supply-rules".
func (s *Shelf) Rules(set string) (*RuleSet, error) {
	id := set
	if !strings.Contains(id, "/") {
		id += "/" + rulesTable
	}
	t, err := s.Table(id)
	if err != nil {
		return nil, err
	}
	l := &faultList{file: t.file}
	if !slices.Equal(t.keyNames, []string{"rule"}) {
		l.report(0, 0, "key", ErrHeader, "of a table of rules must be rule")
		return nil, l.Err()
	}
	rows, err := LoadTable[ruleRow](t)
	if err != nil {
		return nil, err
	}
	rs := &RuleSet{table: id, rules: make([]Rule, rows.Len())}
	unitColumn := t.Column("unit")
	for i, row := range rows.All() {
		r := Rule{ID: row.Rule, Kind: kindOf(row.Value), Unit: row.Unit, What: row.What, Cite: rows.Cite(i)}
		if r.Kind == Value {
			r.Value = row.Value
			if _, number := parseNumber(row.Value); !number && row.Unit != "" {
				l.reportCell(cellAt{t, i, unitColumn}, "unit", ErrUnit, "%q is not a number and takes no unit",
					row.Value)
			}
		}
		rs.rules[i] = r
	}
	return faults.Result(rs, l.Err())
}

// Len returns the number of rules.
func (rs *RuleSet) Len() int {
	if rs == nil {
		return 0
	}
	return len(rs.rules)
}

// At returns rule i, in the order of their ids.
func (rs *RuleSet) At(i int) Rule {
	if rs.Len() == 0 {
		return Rule{}
	}
	return rs.rules[i]
}

// Rule returns a rule by its id.
func (rs *RuleSet) Rule(id string) (Rule, bool) {
	if rs == nil {
		return Rule{}, false
	}
	i, ok := sort.Find(len(rs.rules), func(i int) int { return strings.Compare(id, rs.rules[i].ID) })
	if !ok {
		return Rule{}, false
	}
	return rs.rules[i], true
}

// errNotValue is wrapped when a rule holds no value.
var errNotValue = errors.New("holds no value")

// RuleValue reads the value of a rule as a quantity, a number (of a rule whose unit
// is 1 or nothing), a bool or a string. A rule that is not there is [ErrNotFound];
// one that is blank, not permitted or unlimited, or in a unit that T does not
// understand, is an error too: look at its Kind where that can be.
func RuleValue[T any](rs *RuleSet, id string) (value T, cite Citation, err error) {
	r, ok := rs.Rule(id)
	switch {
	case rs == nil:
		return value, cite, notFound("rule", id)
	case !ok:
		return value, cite, notFound("rule", rs.table+" "+id)
	}
	if r.Kind != Value {
		return value, r.Cite, fmt.Errorf("rule %q: %w: it is %v", id, errNotValue, r.Kind)
	}
	if u, ok := any(&value).(encoding.TextUnmarshaler); ok {
		err = u.UnmarshalText([]byte(r.String()))
	} else {
		var read func(reflect.Value, string) error
		if read, err = reader(reflect.TypeFor[T](), Column{Name: "value", Unit: r.Unit}, false); err == nil {
			err = read(reflect.ValueOf(&value).Elem(), r.Value)
		}
	}
	if err != nil {
		return value, r.Cite, fmt.Errorf("rule %q: %w", id, err)
	}
	return value, r.Cite, nil
}

// MarshalJSON writes the list of each [Rule].
func (rs *RuleSet) MarshalJSON() ([]byte, error) {
	list := []Rule{}
	for i := range rs.Len() {
		list = append(list, rs.At(i))
	}
	return json.Marshal(list)
}

// A Half is a half of the plumbing of a building.
type Half string

// The halves, each with codes of its own.
const (
	Drains Half = "drains" // drains and vents
	Water  Half = "water"  // water lines
)

// Unjudged is a family of what a code says and no check reads.
type Unjudged struct {
	Family string   `json:"family"`         // such as "interceptors"
	Why    string   `json:"why,omitzero"`   // nothing is judged by it
	Rows   []string `json:"rows,omitempty"` // ids of the rules or tables, or what they are of
}

// NotJudged lists what stands in the tables of a set for one half of the plumbing and no
// check reads, in the order of the shelf's own list, comparison/not-judged. A shelf without
// that list is [ErrNotFound].
func (s *Shelf) NotJudged(set string, half Half) ([]Unjudged, error) {
	type row struct {
		Rows   string `table:"rows"`
		Family string `table:"family"`
	}
	type family struct {
		Family string `table:"family"`
		Of     Half   `table:"of"`
		Why    string `table:"why"`
	}
	families, err := Load[family](s, "comparison/not-judged-families")
	if err != nil {
		return nil, err
	}
	rows, err := Load[row](s, "comparison/not-judged")
	if err != nil {
		return nil, err
	}
	known := map[string]family{}
	for _, f := range families.All() {
		known[f.Family] = *f
	}
	var out []Unjudged
	for _, r := range rows.All() {
		of, name, _ := strings.Cut(r.Rows, "/")
		f := known[r.Family]
		if of != set || f.Of != half {
			continue
		}
		at := slices.IndexFunc(out, func(u Unjudged) bool { return u.Family == r.Family })
		if at < 0 {
			at = len(out)
			out = append(out, Unjudged{Family: r.Family, Why: f.Why})
		}
		name = strings.TrimPrefix(strings.TrimPrefix(name, "rules:"), "supply-rules:")
		out[at].Rows = append(out[at].Rows, name)
	}
	return out, nil
}
