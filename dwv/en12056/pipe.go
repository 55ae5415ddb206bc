package en12056

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Pipe is a pipe that EN 12056-2 sizes: its nominal size, what it may
// carry and the row that says so.
type Pipe struct {
	Size     units.Length    `json:"size"` // DN
	Vent     units.Length    `json:"vent"` // DN of the vent pipe that goes with it; 0: none
	MaxFlow  units.Flow      `json:"max_flow"`
	Velocity units.Velocity  `json:"velocity"` // at MaxFlow, of drains only
	Citation tables.Citation `json:"citation,omitzero"`
}

// Branch returns the least branch of a system for a flow. A branch that takes
// closets is held to the number that the table allows for its size.
//
// Units: typed. Errors: [tables.ErrNotInCode] for system III, whose branches each take
// one appliance (see [Standard.SystemIIIBranches]); [tables.ErrOutsideTable] for a flow
// that no branch carries.
// Source: EN 12056-2:2000, Tables 4 and 7.
func (e *Standard) Branch(system string, ventilated bool, q units.Flow, closets int) (Pipe, error) {
	if !slices.Contains(e.Systems(), system) {
		return Pipe{}, fixture.Choice("system", system, e.Systems())
	}
	if err := flowAndClosets(q, closets); err != nil {
		return Pipe{}, err
	}
	rows := e.open
	if ventilated {
		rows = e.vented
	}
	found, most := false, 0.0
	for i := range rows.Len() {
		r := rows.At(i)
		if r.System != system {
			continue
		}
		found, most = true, r.MaxFlow
		size, ok := r.Size.Get()
		if !ok || !atMost(float64(q/units.LitrePerSecond), r.MaxFlow) {
			continue
		}
		if allowed, ok := r.Closets.Get(); ok && int64(closets) > allowed {
			continue
		}
		if closets > 0 && size <= widestWithoutCloset(rows, system) {
			continue
		}
		p := Pipe{Size: size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond, Citation: rows.Cite(i)}
		p.Vent, _ = r.Vent.Get()
		return p, nil
	}
	if !found {
		return Pipe{}, fmt.Errorf("system: %w: system %s has no table of branches by flow", tables.ErrNotInCode, system)
	}
	return Pipe{}, fmt.Errorf("flow: %w: %s with %d closets in system %s: branches carry at most %s L/s",
		tables.ErrOutsideTable, argument.Litres(q), closets, system, argument.Number(most))
}

// widestWithoutCloset returns the greatest branch of a system that takes no
// closet; the table says so at that size only, and means the smaller ones too.
func widestWithoutCloset(rows *tables.Rows[branchRow], system string) units.Length {
	widest := units.Length(0)
	for i := range rows.Len() {
		if r := rows.At(i); r.System == system && r.Closets.Kind == tables.Value && r.Closets.Value == 0 {
			widest = max(widest, r.Size.Value)
		}
	}
	return widest
}

func flowAndClosets(q units.Flow, closets int) error {
	if !argument.Positive(float64(q)) {
		return argument.Outside("flow", argument.Litres(q), "positive")
	}
	if closets < 0 {
		return argument.Outside("closets", fmt.Sprint(closets), "zero or more")
	}
	return nil
}

// BranchLimits are what the standard allows a branch besides its flow. A Kind
// other than a value says that there is no limit, or none known.
type BranchLimits struct {
	MaxLength tables.Rule `json:"max_length"`
	MaxDrop   tables.Rule `json:"max_drop"`
	MaxBends  tables.Rule `json:"max_bends"`
	MinGrade  tables.Rule `json:"min_grade"`
}

// BranchLimits returns the limits on branches of a system.
//
// Source: EN 12056-2:2000, Tables 5 and 8.
func (e *Standard) BranchLimits(system string, ventilated bool) (BranchLimits, error) {
	kind := "unvented"
	if ventilated {
		kind = "vented"
	}
	var l BranchLimits
	for name, to := range map[string]*tables.Rule{"max-length": &l.MaxLength, "max-drop": &l.MaxDrop,
		"max-bends": &l.MaxBends, "min-grade": &l.MinGrade} {
		r, ok := e.rules.Rule(kind + "-branch-" + name + "-" + strings.ToLower(system))
		if !ok {
			return BranchLimits{}, fmt.Errorf("system: %w: no limits for %s branches of system %q", tables.ErrNotInCode, kind,
				fixture.Shorten(system))
		}
		*to = r
	}
	return l, nil
}

// SystemIIIBranch is a branch of system III, which serves one kind of appliance
// and runs full.
type SystemIIIBranch struct {
	Size      units.Length              `json:"size"`
	MinGrade  tables.Cell[slope.Grade]  `json:"min_grade"`
	MaxGrade  tables.Cell[slope.Grade]  `json:"max_grade"`
	TrapSeal  units.Length              `json:"trap_seal"`
	MaxLength tables.Cell[units.Length] `json:"max_length"`
	MaxDrop   tables.Cell[units.Length] `json:"max_drop"`
	MaxBends  tables.Cell[int64]        `json:"max_bends"`
	Variant   string                    `json:"variant,omitzero"`
	Citation  tables.Citation           `json:"citation,omitzero"`
}

type systemIIIRow struct {
	Fixture  string                    `table:"fixture"`
	Variant  string                    `table:"variant"`
	Size     units.Length              `table:"size"`
	MinGrade tables.Cell[slope.Grade]  `table:"min_grade"`
	MaxGrade tables.Cell[slope.Grade]  `table:"max_grade"`
	Seal     units.Length              `table:"trap_seal"`
	Length   tables.Cell[units.Length] `table:"max_length"`
	Bends    tables.Cell[int64]        `table:"max_bends"`
	Drop     tables.Cell[units.Length] `table:"max_drop"`
}

// SystemIIIBranches returns the branches that system III gives an appliance, all
// its variants and grades. Closely related appliances share a line of the table,
// so ask for "bathtub-or-shower", "dishwasher-or-clothes-washer".
//
// Source: EN 12056-2:2000, Table 6.
func (e *Standard) SystemIIIBranches(appliance string) ([]SystemIIIBranch, error) {
	var out []SystemIIIBranch
	for i := range e.single.Len() {
		if r := e.single.At(i); r.Fixture == appliance {
			out = append(out, SystemIIIBranch{Size: r.Size, MinGrade: r.MinGrade, MaxGrade: r.MaxGrade, TrapSeal: r.Seal,
				MaxLength: r.Length, MaxDrop: r.Drop, MaxBends: r.Bends, Variant: r.Variant, Citation: e.single.Cite(i)})
		}
	}
	if out == nil {
		return nil, fixture.Choice("fixture", appliance,
			tables.Distinct(e.single, func(r *systemIIIRow) (string, bool) { return r.Fixture, true }))
	}
	return out, nil
}

// Stack returns the least stack for a flow. vent is "primary" (the stack runs on
// to the open air) or "secondary" (a second vent stack beside it), entry the form
// of the branch entries, "square" or "swept". A stack that takes closets is not
// smaller than the rule for its system allows.
//
// Source: EN 12056-2:2000, Tables 11 and 12.
func (e *Standard) Stack(system, vent, entry string, q units.Flow, closets int) (Pipe, error) {
	if !slices.Contains(e.Systems(), system) {
		return Pipe{}, fixture.Choice("system", system, e.Systems())
	}
	if err := flowAndClosets(q, closets); err != nil {
		return Pipe{}, err
	}
	least := units.Length(0)
	if closets > 0 {
		var err error
		if least, _, err = tables.RuleValue[units.Length](e.rules, "stack-min-size-closets-"+
			strings.ToLower(system)); err != nil {
			return Pipe{}, err
		}
	}
	most := 0.0
	for i := range e.stacks.Len() {
		r := e.stacks.At(i)
		if r.Vent != vent || r.Entry != entry {
			continue
		}
		most = r.MaxFlow
		if r.Size < least || !atMost(float64(q/units.LitrePerSecond), r.MaxFlow) {
			continue
		}
		p := Pipe{Size: r.Size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond, Citation: e.stacks.Cite(i)}
		p.Vent, _ = r.VentSize.Get()
		return p, nil
	}
	if most == 0 {
		vents := tables.Distinct(e.stacks, func(r *stackRow) (string, bool) { return r.Vent, true })
		if !slices.Contains(vents, vent) {
			return Pipe{}, fixture.Choice("vent", vent, vents)
		}
		return Pipe{}, fixture.Choice("entry", entry,
			tables.Distinct(e.stacks, func(r *stackRow) (string, bool) { return r.Entry, true }))
	}
	return Pipe{}, fmt.Errorf("flow: %w: %s: %s stacks with %s entries carry at most %s L/s", tables.ErrOutsideTable,
		argument.Litres(q), vent, entry, argument.Number(most))
}

// Drain returns the least drain for a flow at a filling, 0.5 inside or 0.7
// outside a building, and a grade. The column used is the steepest tabulated grade
// that is not above the one given.
//
// Source: EN 12056-2:2000, Annex B, Tables B.1 and B.2.
func (e *Standard) Drain(filling float64, grade slope.Grade, q units.Flow) (Pipe, error) {
	if err := flowAndClosets(q, 0); err != nil {
		return Pipe{}, err
	}
	var column slope.Grade
	fillings := tables.Distinct(e.drains, func(r *drainRow) (float64, bool) { return r.Filling, true })
	if !slices.Contains(fillings, filling) {
		return Pipe{}, argument.Outside("filling", argument.Number(filling), fmt.Sprintf("one of %v", fillings))
	}
	for i := range e.drains.Len() {
		if r := e.drains.At(i); r.Filling == filling && r.Grade.Compare(grade) <= 0 && r.Grade.Compare(column) > 0 {
			column = r.Grade
		}
	}
	if column.IsLevel() {
		return Pipe{}, fmt.Errorf("grade: %w: %v is flatter than every tabulated grade", tables.ErrOutsideTable, grade)
	}
	most := 0.0
	for i := range e.drains.Len() {
		r := e.drains.At(i)
		if r.Filling != filling || r.Grade != column {
			continue
		}
		most = r.MaxFlow
		if atMost(float64(q/units.LitrePerSecond), r.MaxFlow) {
			return Pipe{Size: r.Size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond,
				Velocity: units.Velocity(r.Velocity), Citation: e.drains.Cite(i)}, nil
		}
	}
	return Pipe{}, fmt.Errorf("flow: %w: %s: drains at %v carry at most %s L/s", tables.ErrOutsideTable, argument.Litres(q),
		column, argument.Number(most))
}
