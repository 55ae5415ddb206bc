package supply

import (
	"cmp"

	"github.com/trapweir/trapweir/tables"
)

// covers names what the parts of a code answer.
var covers = [...]struct{ part, what string }{
	{"fixture-units", "fixture loads"},
	{"demand-tank", "demand"},
	{"usage-unit", "usage units"},
	{"peak-flow", "peak flow"},
	{"outlet-flow", "flow and pressure at outlets"},
	{"min-size", "minimum supplies"},
	{"velocity", "velocity"},
	{"pipe-by-load", "pipe by load and length"},
	{"pipe-by-units", "pipe by loading units"},
	{"hot-length", "length of hot lines"},
	{"hot-volume", "volume of hot lines"},
	{"rules", "single rules"},
}

// Codes returns the codes on a shelf that hold water supply tables, by id, with what each
// covers.
func Codes(shelf *tables.Shelf) ([]tables.CodeInfo, error) {
	ids, err := codeIDs(shelf)
	if err != nil {
		return nil, err
	}
	list := make([]tables.CodeInfo, 0, len(ids))
	for _, id := range ids {
		code, err := LoadCode(shelf, id)
		if err != nil {
			return nil, err
		}
		src := code.Source()
		info := tables.CodeInfo{ID: id, Title: src.Title, Edition: cmp.Or(src.Edition, src.Year)}
		for _, c := range covers {
			if code.part(c.part) != nil {
				info.Covers = append(info.Covers, c.what)
			}
		}
		list = append(list, info)
	}
	return list, nil
}

// Fixtures returns the kinds of fixtures that the code rates, with labels.
func (c *Code) Fixtures() []tables.Choice { return tables.Choices(c.FixtureKinds()...) }
