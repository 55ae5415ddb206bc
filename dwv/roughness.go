package dwv

import (
	"fmt"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/tables"
)

// ManningRange is what a source gives for Manning's n of a pipe: a usual value, a
// range, or both; a value that it does not give is 0.
type ManningRange struct {
	Material  string          `json:"material"`
	Condition string          `json:"condition,omitzero"`
	Low       float64         `json:"low"`
	Typical   float64         `json:"typical"`
	High      float64         `json:"high"`
	Citation  tables.Citation `json:"citation,omitzero"`
}

// Design returns the value to calculate capacity with: the usual one, and where
// there is only a range its greatest, the rougher and so the safer end for capacity
// and velocity. For traction the smooth end is the safer: the water runs shallower
// and pulls less.
func (m ManningRange) Design() float64 {
	if m.Typical > 0 {
		return m.Typical
	}
	return m.High
}

type manningRow struct {
	Material  string               `table:"material"`
	Condition string               `table:"condition"`
	Low       tables.Cell[float64] `table:"low"`
	Typical   tables.Cell[float64] `table:"typical"`
	High      tables.Cell[float64] `table:"high"`
}

// ManningRoughness returns what the shelf has on Manning's n of a material, such
// as "pvc" or "cast-iron", one entry for each condition or source. Sources differ
// by half; the citation of each says who gives it and how far it was seen. A
// material without a row is [tables.ErrNotInCode], with those that have one.
//
// Source: the table roughness/manning.
func ManningRoughness(shelf *tables.Shelf, material string) ([]ManningRange, error) {
	rows, err := tables.Load[manningRow](shelf, "roughness/manning")
	if err != nil {
		return nil, fmt.Errorf("roughness: %w", err)
	}
	var out []ManningRange
	for i, r := range rows.All() {
		if r.Material == material {
			out = append(out, ManningRange{Material: r.Material, Condition: r.Condition,
				Low: r.Low.Value, Typical: r.Typical.Value, High: r.High.Value, Citation: rows.Cite(i)})
		}
	}
	if out == nil {
		return nil, codes.Choice("material", material,
			tables.Distinct(rows, func(r *manningRow) (string, bool) { return r.Material, true }))
	}
	return out, nil
}
