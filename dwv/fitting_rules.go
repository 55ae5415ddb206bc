package dwv

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Turn is how the flow turns in a fitting.
type Turn uint8

// The turns.
const (
	HorizontalToVertical Turn = iota + 1
	VerticalToHorizontal
	HorizontalToHorizontal
)

var turns = enum.Words[Turn]{What: "turn", Err: tables.ErrQuery,
	Words: []string{"", "horizontal-to-vertical", "vertical-to-horizontal", "horizontal-to-horizontal"}}

// String returns such as "horizontal-to-vertical".
func (t Turn) String() string { return turns.String(t) }

// MarshalText returns the text of String.
func (t Turn) MarshalText() ([]byte, error) { return turns.Marshal(t) }

// UnmarshalText reads the text of String.
func (t *Turn) UnmarshalText(text []byte) error { return turns.Unmarshal(text, t) }

type turnKey struct {
	fitting string
	turn    Turn
}

type turnRecord struct {
	Fitting string                    `table:"fitting"`
	Turn    Turn                      `table:"turn"`
	Allowed string                    `table:"allowed"`
	To      tables.Cell[units.Length] `table:"fixture_drain_to"`
	From    tables.Cell[units.Length] `table:"size_from"`
}

func (c *Code) loadTurns(shelf *tables.Shelf) error {
	rows, err := table[turnRecord](c, shelf, "fitting-turns", "fitting, turn")
	c.turns = make(map[turnKey]cited[turnRecord])
	for i, r := range rows.All() {
		if r.Allowed != "yes" && r.Allowed != "no" && r.Allowed != "limited" {
			return fmt.Errorf("fitting-turns: %s %v: %w: allowed %q", r.Fitting, r.Turn, tables.ErrQuery, r.Allowed)
		}
		c.turns[turnKey{r.Fitting, r.Turn}] = cited[turnRecord]{*r, rows.Cite(i)}
	}
	return err
}

// FittingTurn reports whether a fitting of a size may turn the flow so. fixtureDrain
// tells that it stands in the drain of one fixture. A fitting or turn the code does
// not list is [tables.ErrNotInCode].
func (c *Code) FittingTurn(fitting string, turn Turn, size units.Length, fixtureDrain bool) (allowed bool,
	cite tables.Citation, err error) {
	c = c.there()
	r, ok := c.turns[turnKey{fitting, turn}]
	if !ok {
		if len(c.turns) == 0 {
			return false, cite, c.fault("fitting", "", tables.ErrNotOnShelf, "no table fitting-turns")
		}
		var names []string
		for k := range c.turns {
			names = append(names, k.fitting)
		}
		slices.Sort(names)
		return false, cite, c.fault("fitting", visible.Shorten(fitting), tables.ErrNotInCode,
			"no row for %v; the table has %s", turn, strings.Join(slices.Compact(names), ", "))
	}
	small := fixtureDrain && size <= r.is.To.Value
	large := r.is.From.Value > 0 && size >= r.is.From.Value
	return r.is.Allowed == "yes" || r.is.Allowed == "limited" && (small || large), r.cite, nil
}

// PipeStandard is a product standard for drainage pipe and where the code takes it.
// Its acceptance is recalled throughout: see the citation.
type PipeStandard struct {
	Product string `json:"product"`
	// Wall is "solid", "cellular", "composite" or "metal".
	Wall string `json:"wall,omitzero"`
	// BelowSlab and Sewer tell whether it may be a building drain below ground, and
	// a building sewer; 0 where the shelf does not say.
	BelowSlab tables.Verdict  `json:"below_slab"`
	Sewer     tables.Verdict  `json:"sewer"`
	Citation  tables.Citation `json:"citation,omitzero"`
}

type pipeRecord struct {
	Standard  string `table:"standard"`
	Product   string `table:"product"`
	Wall      string `table:"wall"`
	BelowSlab string `table:"below_slab"`
	Sewer     string `table:"sewer"`
}

func (c *Code) loadPipes(shelf *tables.Shelf) error {
	rows, err := table[pipeRecord](c, shelf, "pipe-standards", "standard")
	verdicts := map[string]tables.Verdict{"yes": tables.Pass, "no": tables.Fail, "": 0}
	c.pipes = make(map[string]PipeStandard)
	for i, r := range rows.All() {
		below, ok := verdicts[r.BelowSlab]
		sewer, ok2 := verdicts[r.Sewer]
		if !ok || !ok2 {
			return fmt.Errorf("pipe-standards: %s: %w: want yes, no or nothing", r.Standard, tables.ErrQuery)
		}
		c.pipes[r.Standard] = PipeStandard{r.Product, r.Wall, below, sewer, rows.Cite(i)}
	}
	return err
}

// PipeStandard returns what the code makes of a product standard, such as
// "ASTM D2665".
func (c *Code) PipeStandard(id string) (PipeStandard, error) {
	c = c.there()
	r, ok := c.pipes[id]
	if !ok {
		return PipeStandard{}, c.fault("pipe", "standard", tables.ErrNotOnShelf, "no row for %q", visible.Shorten(id))
	}
	return r, nil
}
