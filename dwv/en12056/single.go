package en12056

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// SystemIIIBranch is a branch of system III, which serves one kind of appliance
// and runs full.
type SystemIIIBranch struct {
	Size       units.Length              `json:"size"`
	Appliances int64                     `json:"appliances"` // that it may take, all of the kind
	MaxOutlet  tables.Cell[units.Length] `json:"max_outlet"` // of the appliance; blank: any
	MinGrade   tables.Cell[slope.Grade]  `json:"min_grade"`
	MaxGrade   tables.Cell[slope.Grade]  `json:"max_grade"`
	TrapSeal   units.Length              `json:"trap_seal"`
	MaxLength  tables.Cell[units.Length] `json:"max_length"`
	MaxDrop    tables.Cell[units.Length] `json:"max_drop"`
	MaxBends   tables.Cell[int64]        `json:"max_bends"`
	Variant    string                    `json:"variant,omitzero"`
	Citation   tables.Citation           `json:"citation,omitzero"`
}

type systemIIIRow struct {
	Fixture    string                    `table:"fixture"`
	Variant    string                    `table:"variant"`
	Size       units.Length              `table:"size"`
	Appliances int64                     `table:"appliances"`
	Outlet     tables.Cell[units.Length] `table:"max_outlet"`
	MinGrade   tables.Cell[slope.Grade]  `table:"min_grade"`
	MaxGrade   tables.Cell[slope.Grade]  `table:"max_grade"`
	Seal       units.Length              `table:"trap_seal"`
	Length     tables.Cell[units.Length] `table:"max_length"`
	Bends      tables.Cell[int64]        `table:"max_bends"`
	Drop       tables.Cell[units.Length] `table:"max_drop"`
}

// SystemIIIBranches returns the branches that system III gives an appliance, all
// its variants, numbers and grades.
//
// Source: EN 12056-2:2000, Tables 6 and 9.
func (e *Standard) SystemIIIBranches(appliance string, ventilated bool) ([]SystemIIIBranch, error) {
	rows := e.there().single[0]
	if ventilated {
		rows = e.there().single[1]
	}
	var out []SystemIIIBranch
	var kinds []string
	for i, r := range rows.All() {
		names := strings.Split(r.Fixture, ";")
		if kinds = append(kinds, names...); slices.Contains(names, appliance) {
			out = append(out, SystemIIIBranch{Size: r.Size, Appliances: r.Appliances, MaxOutlet: r.Outlet,
				MinGrade: r.MinGrade, MaxGrade: r.MaxGrade, TrapSeal: r.Seal, MaxLength: r.Length, MaxDrop: r.Drop,
				MaxBends: r.Bends, Variant: r.Variant, Citation: rows.Cite(i)})
		}
	}
	if out == nil {
		slices.Sort(kinds)
		return nil, codes.Choice("fixture", appliance, slices.Compact(kinds))
	}
	return out, nil
}

// Way is how a branch runs from its appliance to where it ends.
type Way struct {
	Length units.Length `json:"length"`
	Drop   units.Length `json:"drop,omitzero"`
	Bends  int          `json:"bends,omitzero"` // of 90 degrees, beside the one at the appliance
	Grade  slope.Grade  `json:"grade"`          // the steepest
}

// SystemIIIBranch returns the branch that system III gives an appliance, or as many of
// them as its Count says: of the size that is laid, or else of the greatest that the table
// has below it; with nothing laid the least whose limits the way keeps, and if it keeps
// none the greatest. The Size of the appliance is its outlet, if that is known.
//
// Errors: [tables.ErrNotInCode] for an appliance that the table lacks,
// [tables.ErrOutsideTable] for more of them than share a branch.
// Source: EN 12056-2:2000, Tables 6 and 9.
func (e *Standard) SystemIIIBranch(
	a Appliance, ventilated bool, laid units.Length, way Way,
) (SystemIIIBranch, error) {
	all, err := e.SystemIIIBranches(a.Kind, ventilated)
	if err != nil {
		return SystemIIIBranch{}, err
	}
	most := int64(0) // of what the row takes that takes no more than it must
	variant := ""
	for k := range all {
		if n := all[k].Appliances; n >= int64(a.Count) && (most == 0 || n < most) {
			most = n
		}
		if all[k].Variant == a.Variant {
			variant = a.Variant
		}
	}
	if most == 0 {
		return SystemIIIBranch{}, fmt.Errorf("count: %w: %d of %s on one branch of system III", tables.ErrOutsideTable,
			a.Count, a.Kind)
	}
	all = slices.DeleteFunc(all, func(b SystemIIIBranch) bool {
		outlet, held := b.MaxOutlet.Get()
		return b.Appliances != most || b.Variant != variant || held && (a.Size == 0 || a.Size > outlet)
	})
	best := SystemIIIBranch{}
	for _, b := range all {
		switch {
		case b.Size == best.Size: // rows of a graph: the one for a grade as steep
			if best.tooSteep(way) {
				best = b
			}
		case best.Size == 0 || laid == 0 && !best.Keeps(way) || b.Size <= laid:
			best = b
		}
	}
	return best, nil
}

func (b *SystemIIIBranch) tooSteep(way Way) bool {
	most, held := b.MaxGrade.Get()
	return held && way.Grade.Compare(most) > 0
}

// Larger tells whether a pipe is larger than that of the branch, and not the same by another
// name: a basin's 32 mm is DN 30, and a closet's 110 mm DN 100. Sizes are made a quarter apart.
func (b *SystemIIIBranch) Larger(laid units.Length) bool { return 4*laid >= 5*b.Size }

// Keeps tells whether a way keeps the limits of a branch.
func (b *SystemIIIBranch) Keeps(way Way) bool {
	length, long := b.MaxLength.Get()
	drop, drops := b.MaxDrop.Get()
	bends, turns := b.MaxBends.Get()
	least, _ := b.MinGrade.Get()
	return !b.tooSteep(way) && !(b.OnGraph() && way.Grade.Compare(least) < 0) &&
		(!long || way.Length <= length) && (!drops || way.Drop <= drop) && (!turns || int64(way.Bends) <= bends)
}

// OnGraph tells whether the row is a point of a graph of grade and length, which says
// nothing of flatter grades.
func (b *SystemIIIBranch) OnGraph() bool {
	least, has := b.MinGrade.Get()
	most, held := b.MaxGrade.Get()
	return has && held && least == most
}

// SystemIIIVent returns the least vent of a branch of system III.
func (e *Standard) SystemIIIVent() (units.Length, tables.Citation, error) {
	return tables.RuleValue[units.Length](e.there().rules, "branch-vent-min-size-iii")
}
