package supply

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

// rated are rows of a table with the fixtures that they are for.
type rated[T any] struct {
	*tables.Rows[T]
	keys *fixture.Rows
}

func loadRated[T any](shelf *tables.Shelf, id string) (*rated[T], error) {
	rows, err := tables.Load[T](shelf, id)
	if err != nil {
		return nil, err
	}
	keys, err := fixture.Load(shelf, id)
	return &rated[T]{rows, keys}, err
}

// fitting returns what the rows of a table that fit a fixture say.
func fitting[T, A any](c *Code, t *rated[T], f *tables.Fixture, at func(*rated[T], int) A) ([]A, error) {
	fit, err := c.fit(t.keys, f)
	if err != nil {
		return nil, err
	}
	list := make([]A, 0, fit.Len())
	for i := range fit.All() {
		list = append(list, at(t, i))
	}
	return list, nil
}

// fit returns the rows of a table of the code that fit what a fixture states. An unknown
// fixture and a stated value that no row has are errors. A place of assembly is public in a
// table that tells no more apart than private and public.
func (c *Code) fit(rows *fixture.Rows, f *tables.Fixture) (fixture.Fit, error) {
	if f.Use == tables.Assembly && rows.Tells(tables.Public) && !rows.Tells(tables.Assembly) {
		public := *f
		public.Use = tables.Public
		f = &public
	}
	fit, err := rows.Fit(f)
	if err == nil && fit.None() {
		err = c.unlisted(f.Kind, rows)
	}
	return fit, err
}

// rowFor returns the one row that a fixture is rated by, see [fixture.Fit.One].
func (c *Code) rowFor(rows *fixture.Rows, f *tables.Fixture, same func(a, b int) bool) (int, error) {
	fit, err := c.fit(rows, f)
	if err != nil {
		return 0, err
	}
	return fit.One(same)
}

// unlisted is the error about a fixture that no row of the tables is for; it asks whether
// another was meant.
func (c *Code) unlisted(kind string, lists ...*fixture.Rows) error {
	var kinds []string
	for _, rows := range lists {
		for _, k := range rows.Names() {
			if !slices.Contains(kinds, k) {
				kinds = append(kinds, k)
			}
		}
	}
	if kind == "" {
		return fmt.Errorf("fixture: %w: %s lists %s", tables.ErrNotStated, c.id, visible.Some(kinds))
	}
	return fmt.Errorf("%w: fixture %q: %s%s does not list it", tables.ErrNotInCode, visible.Shorten(kind),
		cmp.Or(codes.Called(kind, kinds), visible.Meant(kind, kinds)), c.id)
}
