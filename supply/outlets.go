package supply

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Outlet is what a code asks of the water at an outlet.
type Outlet struct {
	// Flow is the flow at the outlet, zero where the code gives none.
	Flow units.Flow `json:"flow"`
	// Pressure is the least flowing pressure at the outlet, zero where the code gives none.
	Pressure units.Pressure `json:"pressure"`
	// Style is the kind the row holds for, such as "siphonic"; empty for all.
	Style    string          `json:"style,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
}

type outletRow struct {
	Fixture  string                      `table:"fixture"`
	Use      string                      `table:"use"`
	Control  string                      `table:"control"`
	Style    string                      `table:"style"`
	Flow     tables.Cell[units.Flow]     `table:"flow,optional"`
	Pressure tables.Cell[units.Pressure] `table:"pressure,optional"`
}

type outletTable struct {
	rows *tables.Rows[outletRow]
	keys []fixtureKey
}

func loadOutlets(shelf *tables.Shelf, id string) (*outletTable, error) {
	rows, err := tables.Load[outletRow](shelf, id)
	if err != nil {
		return nil, err
	}
	t := &outletTable{rows: rows, keys: make([]fixtureKey, rows.Len())}
	for i := range t.keys {
		r := rows.At(i)
		t.keys[i] = fixtureKey{kind: r.Fixture, use: r.Use, control: r.Control, style: r.Style}
	}
	return t, nil
}

func (t *outletTable) at(i int) Outlet {
	r := t.rows.At(i)
	return Outlet{r.Flow.Value, r.Pressure.Value, r.Style, t.rows.Cite(i)}
}

// anyFixture is the fixture id of a row that holds for all that are not listed.
const anyFixture = "any"

// withFallback asks for the fixture, then for the row that holds for any.
func withFallback[T any](f *Fixture, ask func(*Fixture) (T, error)) (T, error) {
	v, err := ask(f)
	if errors.Is(err, tables.ErrNotInCode) {
		other := Fixture{Kind: anyFixture, Count: 1}
		if w, err2 := ask(&other); err2 == nil {
			return w, nil
		}
	}
	return v, err
}

// Outlet returns the flow and the least flowing pressure at a fixture. Where the
// code tells styles apart and the query states none, the error is [tables.ErrNotStated]
// and names them; [Code.Outlets] returns all rows that fit.
func (c *Code) Outlet(f Fixture) (Outlet, error) {
	c = c.there()
	if c.outlets == nil {
		return Outlet{}, c.missing("flows and pressures at outlets")
	}
	return withFallback(&f, func(f *Fixture) (Outlet, error) {
		i, err := selectRow(c.outlets.keys, f, c.id, func(a, b int) bool {
			x, y := c.outlets.rows.At(a), c.outlets.rows.At(b)
			return x.Flow == y.Flow && x.Pressure == y.Pressure
		})
		if err != nil {
			return Outlet{}, err
		}
		return c.outlets.at(i), nil
	})
}

// Outlets returns every row of flow and pressure that fits what the query states.
func (c *Code) Outlets(f Fixture) ([]Outlet, error) {
	c = c.there()
	if c.outlets == nil {
		return nil, c.missing("flows and pressures at outlets")
	}
	return withFallback(&f, c.outlets.fit(c.id))
}

func (t *outletTable) fit(code string) func(*Fixture) ([]Outlet, error) {
	return func(f *Fixture) ([]Outlet, error) {
		rows, err := candidates(t.keys, f, code)
		if err != nil {
			return nil, err
		}
		list := make([]Outlet, len(rows))
		for i, r := range rows {
			list[i] = t.at(r)
		}
		return list, nil
	}
}

// outletFlow returns the flow that a fixture draws at least, whatever its style: of
// the code's own rows, else of those that stand in for them.
func (c *Code) outletFlow(f *Fixture) (Outlet, error) {
	err := c.missing("flows at outlets")
	for _, t := range [...]*outletTable{c.outlets, c.flows} {
		if t == nil {
			continue
		}
		var list []Outlet
		if list, err = t.fit(c.id)(f); err != nil {
			continue
		}
		best := list[0]
		for _, o := range list[1:] {
			if o.Flow > 0 && (o.Flow < best.Flow || best.Flow == 0) {
				best = o
			}
		}
		if best.Flow > 0 {
			return best, nil
		}
		err = fmt.Errorf("%w: fixture %q: no flow given", tables.ErrNotInCode, f.Kind)
	}
	return Outlet{}, err
}

// usualOfValve returns the least pressure that the IPC asks of a flush valve, where the
// code itself has no row of one, only of any outlet: what its makers ask is of that order.
func (c *Code) usualOfValve(f *Fixture) Outlet {
	if f.Control != Valve {
		return Outlet{}
	}
	var own error = tables.ErrNotInCode
	key := *f
	key.Count = 1
	if c.outlets != nil {
		_, own = c.outlets.fit(c.id)(&key)
	}
	t, err := loadOutlets(c.pipes.shelf, "ipc-2021/supply-outlet-flow")
	if own == nil || err != nil {
		return Outlet{}
	}
	list, err := t.fit(c.id)(&key)
	if err != nil {
		return Outlet{}
	}
	var least Outlet
	for _, o := range list {
		if least.Pressure == 0 || o.Pressure < least.Pressure {
			least = o
		}
	}
	return least
}

// mostOf returns the greatest flow of a fixture by the code's own rows, whatever its
// style; none where they give none.
func (c *Code) mostOf(f *Fixture) Outlet {
	var most Outlet
	if c.outlets == nil {
		return most
	}
	list, err := c.outlets.fit(c.id)(f)
	if err != nil {
		return most
	}
	for _, o := range list {
		if o.Flow == 0 {
			return Outlet{} // of one style nothing is known
		}
		if o.Flow > most.Flow {
			most = o
		}
	}
	return most
}

// residual returns the flowing pressure that the code asks at every outlet, for those
// whose row gives none.
func (c *Code) residual() (Outlet, bool) {
	r, ok := c.Rule("residual-min")
	o := Outlet{Citation: r.Citation}
	return o, ok && r.into(&o.Pressure)
}

type sizeRow struct {
	Fixture string       `table:"fixture"`
	Use     string       `table:"use"`
	Control string       `table:"control"`
	Style   string       `table:"style"`
	Size    units.Length `table:"size"`
}

type sizeTable struct {
	rows *tables.Rows[sizeRow]
	keys []fixtureKey
}

// MinSize is the least nominal size of the supply to a fixture.
type MinSize struct {
	Size     units.Length    `json:"size"`
	Style    string          `json:"style,omitzero"` // the kind the row holds for; empty for all
	Citation tables.Citation `json:"citation,omitzero"`
}

func (c *Code) loadSizes(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[sizeRow](shelf, id)
	if err != nil {
		return err
	}
	t := &sizeTable{rows: rows, keys: make([]fixtureKey, rows.Len())}
	for i := range t.keys {
		r := rows.At(i)
		t.keys[i] = fixtureKey{kind: r.Fixture, use: r.Use, control: r.Control, style: r.Style}
	}
	c.sizes = t
	return nil
}

// MinSizes returns every row of least supply size that fits what the query states:
// one, unless the code tells apart what the query leaves open.
func (c *Code) MinSizes(f Fixture) ([]MinSize, error) {
	c = c.there()
	if c.sizes == nil {
		return nil, c.missing("least supply sizes")
	}
	rows, err := candidates(c.sizes.keys, &f, c.id)
	if err != nil {
		return nil, err
	}
	list := make([]MinSize, len(rows))
	for i, r := range rows {
		row := c.sizes.rows.At(r)
		list[i] = MinSize{row.Size, row.Style, c.sizes.rows.Cite(r)}
	}
	return list, nil
}

// MinSize returns the least nominal size of the supply to a fixture. Where the
// code tells styles apart and the query states none, the error is [tables.ErrNotStated].
func (c *Code) MinSize(f Fixture) (MinSize, error) {
	c = c.there()
	if c.sizes == nil {
		return MinSize{}, c.missing("least supply sizes")
	}
	i, err := selectRow(c.sizes.keys, &f, c.id, func(a, b int) bool {
		return c.sizes.rows.At(a).Size == c.sizes.rows.At(b).Size
	})
	if err != nil {
		return MinSize{}, err
	}
	r := c.sizes.rows.At(i)
	return MinSize{r.Size, r.Style, c.sizes.rows.Cite(i)}, nil
}
