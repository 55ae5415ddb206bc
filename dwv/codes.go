package dwv

import (
	"cmp"
	"slices"

	"github.com/trapweir/trapweir/tables"
)

// covers names what the tables of a set answer.
var covers = [...]struct{ table, what string }{
	{"fixtures", "fixture loads"},
	{"building-drain", "building drains"},
	{"building-sewer", "building sewers"},
	{"branches-and-stacks", "branches and stacks"},
	{"water-closets", "water closets on a drain"},
	{"min-grade", "grades"},
	{"trap-arm", "trap arms"},
	{"vent-sizes", "vents"},
	{"wet-vent", "wet vents"},
	{"common-vent", "common vents"},
	{"cleanout-size", "cleanouts"},
	{"fitting-turns", "fittings at turns"},
	{"pipe-standards", "pipe materials"},
}

// Codes returns the codes on a shelf by which drains can be sized, by id, with what each
// covers.
func Codes(shelf *tables.Shelf) ([]tables.CodeInfo, error) {
	ids, err := codeIDs(shelf)
	if err != nil {
		return nil, err
	}
	all, err := shelf.IDs()
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
		info := tables.CodeInfo{ID: id, Title: src.Title, Edition: cmp.Or(src.Edition, src.Year, "edition not stated")}
		for _, c := range covers {
			if slices.Contains(all, id+"/"+c.table) {
				info.Covers = append(info.Covers, c.what)
			}
		}
		list = append(list, info)
	}
	return list, nil
}

// Fixtures returns the kinds of fixtures that the code rates, with labels.
func (c *Code) Fixtures() []tables.Choice {
	c = c.there()
	return tables.Choices(c.kindList...)
}
