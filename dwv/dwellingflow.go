package dwv

import (
	"fmt"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// DwellingFlow returns the design flow of a number of like dwellings by the
// English Approved Document H: that of the next greater number in the table. It is
// the one published peak flow here that comes from neither fixture units nor
// discharge units, and so a check on both.
//
// Valid: 1 dwelling to the last row of the table, beyond which the error is
// [tables.ErrOutsideTable].
// Source: Approved Document H (2015), Table 5.
func DwellingFlow(shelf *tables.Shelf, dwellings int) (units.Flow, tables.Citation, error) {
	type row struct {
		Dwellings int        `table:"dwellings"`
		Flow      units.Flow `table:"flow"`
	}
	rows, err := tables.Load[row](shelf, "adh-2015/dwelling-flows")
	if err != nil {
		return 0, tables.Citation{}, fmt.Errorf("dwelling flow: %w", err)
	}
	most := 0
	for i, r := range rows.All() {
		if most = r.Dwellings; dwellings >= 1 && dwellings <= most {
			return r.Flow, rows.Cite(i), nil
		}
	}
	return 0, tables.Citation{},
		fmt.Errorf("dwellings: %w: %d is not between 1 and %d", tables.ErrOutsideTable, dwellings, most)
}
