package supply

import (
	"encoding"
	"fmt"
	"strconv"

	"github.com/trapweir/trapweir/tables"
)

// Rule is a single figure of a code that stands in no table, such as the greatest
// static pressure.
type Rule struct {
	ID       string // stable id, such as "static-pressure-max"
	Value    string // as printed; empty where the rule is a sentence
	Unit     string
	What     string
	Citation tables.Citation
}

// String returns the value with its unit.
func (r Rule) String() string {
	if r.Unit == "" || r.Unit == "1" {
		return r.Value
	}
	return r.Value + " " + r.Unit
}

type ruleRow struct {
	Rule  string `table:"rule"`
	Value string `table:"value"`
	Unit  string `table:"unit"`
	What  string `table:"what"`
}

type ruleTable struct {
	rows *tables.Rows[ruleRow]
	byID map[string]int
}

func newRules(shelf *tables.Shelf, id string) (*ruleTable, error) {
	rows, err := tables.Load[ruleRow](shelf, id)
	if err != nil {
		return nil, err
	}
	t := &ruleTable{rows, make(map[string]int, rows.Len())}
	for i := range rows.Len() {
		t.byID[rows.At(i).Rule] = i
	}
	return t, nil
}

func (c *Code) loadRules(shelf *tables.Shelf, id string) error {
	t, err := newRules(shelf, id)
	if err != nil {
		return err
	}
	c.rules = t
	r, ok := c.Rule("separate-supply-share")
	if !ok {
		return nil
	}
	if c.share, err = ParseFixtureUnits(r.Value); err != nil || c.share > FixtureUnit {
		return fmt.Errorf("%w: %v: %q is not a share of 0 to 1", ErrQuery, r.Citation, r.Value)
	}
	c.shareCite = r.Citation
	return nil
}

func (t *ruleTable) rule(id string) (Rule, bool) {
	if t == nil {
		return Rule{}, false
	}
	i, ok := t.byID[id]
	if !ok {
		return Rule{}, false
	}
	r := t.rows.At(i)
	return Rule{r.Rule, r.Value, r.Unit, r.What, t.rows.Cite(i)}, true
}

// Rule returns a rule of the code by its id.
func (c *Code) Rule(id string) (Rule, bool) { return c.rules.rule(id) }

// Rules returns all rules of the code.
func (c *Code) Rules() []Rule {
	if c.rules == nil {
		return nil
	}
	list := make([]Rule, 0, c.rules.rows.Len())
	for i := range c.rules.rows.Len() {
		r, _ := c.rules.rule(c.rules.rows.At(i).Rule)
		list = append(list, r)
	}
	return list
}

// into reads a rule's value as a quantity, and reports whether it can.
func (r Rule) into(q encoding.TextUnmarshaler) bool {
	return r.Value != "" && q.UnmarshalText([]byte(r.String())) == nil
}

// number reads a rule's value as a plain number.
func (r Rule) number() (float64, bool) {
	v, err := strconv.ParseFloat(r.Value, 64)
	return v, err == nil
}
