package en12056

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/visible"
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
// one appliance (see [Standard.SystemIIIBranch]); [tables.ErrOutsideTable] for a flow
// that no branch carries.
// Source: EN 12056-2:2000, Tables 4 and 7.
func (e *Standard) Branch(system string, ventilated bool, q units.Flow, closets int) (Pipe, error) {
	e = e.there()
	if systems := tables.IDs(e.Systems()); !slices.Contains(systems, system) {
		return Pipe{}, codes.Choice("system", system, systems)
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
	// MaxDropSmall is that of DN 70 and less, where that is another.
	MaxDropSmall tables.Rule `json:"max_drop_small,omitzero"`
}

// BranchLimits returns the limits on branches of a system.
//
// Source: EN 12056-2:2000, Tables 5 and 8.
func (e *Standard) BranchLimits(system string, ventilated bool) (BranchLimits, error) {
	e = e.there()
	var l BranchLimits
	limits := [...]struct {
		unvented, vented string // ids of the rules, without the system
		to               *tables.Rule
	}{
		{"unvented-branch-max-length-", "vented-branch-max-length-", &l.MaxLength},
		{"unvented-branch-max-drop-", "vented-branch-max-drop-", &l.MaxDrop},
		{"unvented-branch-max-bends-", "vented-branch-max-bends-", &l.MaxBends},
		{"unvented-branch-min-grade-", "vented-branch-min-grade-", &l.MinGrade},
	}
	for _, limit := range limits {
		id := limit.unvented
		if ventilated {
			id = limit.vented
		}
		r, ok := e.rules.Rule(id + strings.ToLower(system))
		if !ok {
			return BranchLimits{}, fmt.Errorf("system: %w: no limits for branches of system %q", tables.ErrNotInCode,
				visible.Shorten(system))
		}
		*limit.to = r
	}
	if r, ok := e.rules.Rule("unvented-branch-max-drop-dn70-" + strings.ToLower(system)); ok && !ventilated {
		l.MaxDropSmall = r
	}
	return l, nil
}

// Stack returns the least stack for a flow. vent is "primary" (the stack runs on
// to the open air) or "secondary" (a second vent stack beside it), entry the form
// of the branch entries, "square" or "swept". A stack that takes closets is not
// smaller than the rule for its system allows.
//
// Source: EN 12056-2:2000, Tables 11 and 12.
func (e *Standard) Stack(system, vent, entry string, q units.Flow, closets int) (Pipe, error) {
	e = e.there()
	if systems := tables.IDs(e.Systems()); !slices.Contains(systems, system) {
		return Pipe{}, codes.Choice("system", system, systems)
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
			return Pipe{}, codes.Choice("vent", vent, vents)
		}
		return Pipe{}, codes.Choice("entry", entry,
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
	e = e.there()
	if err := flowAndClosets(q, 0); err != nil {
		return Pipe{}, err
	}
	column, err := e.drainColumn(filling, grade)
	if err != nil {
		return Pipe{}, err
	}
	most := 0.0
	for i := range e.drains.Len() {
		r := e.drains.At(i)
		if r.Filling != filling || r.Grade != column {
			continue
		}
		most = r.MaxFlow
		if atMost(float64(q/units.LitrePerSecond), r.MaxFlow) {
			return e.drainPipe(i), nil
		}
	}
	return Pipe{}, fmt.Errorf("flow: %w: %s: drains at %v carry at most %s L/s", tables.ErrOutsideTable,
		argument.Litres(q),
		column, argument.Number(most))
}

// drainColumn returns the steepest tabulated grade that is not above one given.
func (e *Standard) drainColumn(filling float64, grade slope.Grade) (column slope.Grade, err error) {
	fillings := tables.Distinct(e.drains, func(r *drainRow) (float64, bool) { return r.Filling, true })
	if !slices.Contains(fillings, filling) {
		return column, argument.Outside("filling", argument.Number(filling), fmt.Sprintf("one of %v", fillings))
	}
	var flattest slope.Grade
	for i := range e.drains.Len() {
		r := e.drains.At(i)
		if r.Filling != filling {
			continue
		}
		if flattest.IsLevel() || r.Grade.Compare(flattest) < 0 {
			flattest = r.Grade
		}
		if r.Grade.Compare(grade) <= 0 && r.Grade.Compare(column) > 0 {
			column = r.Grade
		}
	}
	if column.IsLevel() {
		return column, fmt.Errorf("grade: %w: %v is flatter than the tables go, which begin at %v", tables.ErrOutsideTable,
			grade, flattest)
	}
	return column, nil
}

func (e *Standard) drainPipe(i int) Pipe {
	r := e.drains.At(i)
	return Pipe{Size: r.Size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond,
		Velocity: units.Velocity(r.Velocity), Citation: e.drains.Cite(i)}
}

// DrainOfSize returns what a drain of a DN carries at a filling and a grade, by the
// same column as [Standard.Drain].
//
// Errors: [tables.ErrOutsideTable] for a DN that the table does not have.
func (e *Standard) DrainOfSize(filling float64, grade slope.Grade, size units.Length) (Pipe, error) {
	e = e.there()
	column, err := e.drainColumn(filling, grade)
	if err != nil {
		return Pipe{}, err
	}
	for i := range e.drains.Len() {
		if r := e.drains.At(i); r.Filling == filling && r.Grade == column && r.Size == size {
			return e.drainPipe(i), nil
		}
	}
	return Pipe{}, noSize(size, tables.Distinct(e.drains, func(r *drainRow) (units.Length, bool) {
		return r.Size, r.Filling == filling && r.Grade == column
	}))
}

// BranchOfSize returns what a branch of a DN carries in a system.
//
// Errors: [tables.ErrOutsideTable] for a DN that the table does not have.
func (e *Standard) BranchOfSize(system string, ventilated bool, size units.Length) (Pipe, error) {
	e = e.there()
	rows := e.open
	if ventilated {
		rows = e.vented
	}
	for i := range rows.Len() {
		r := rows.At(i)
		if of, ok := r.Size.Get(); ok && r.System == system && of == size {
			p := Pipe{Size: size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond, Citation: rows.Cite(i)}
			p.Vent, _ = r.Vent.Get()
			return p, nil
		}
	}
	return Pipe{}, noSize(size, tables.Distinct(rows, func(r *branchRow) (units.Length, bool) {
		of, ok := r.Size.Get()
		return of, ok && r.System == system
	}))
}

// StackOfSize returns what a stack of a DN carries.
//
// Errors: [tables.ErrOutsideTable] for a DN that the table does not have.
func (e *Standard) StackOfSize(vent, entry string, size units.Length) (Pipe, error) {
	e = e.there()
	for i := range e.stacks.Len() {
		if r := e.stacks.At(i); r.Vent == vent && r.Entry == entry && r.Size == size {
			p := Pipe{Size: r.Size, MaxFlow: units.Flow(r.MaxFlow) * units.LitrePerSecond, Citation: e.stacks.Cite(i)}
			p.Vent, _ = r.VentSize.Get()
			return p, nil
		}
	}
	return Pipe{}, noSize(size, tables.Distinct(e.stacks, func(r *stackRow) (units.Length, bool) {
		return r.Size, r.Vent == vent && r.Entry == entry
	}))
}

// noSize says which sizes a table has.
func noSize(size units.Length, sizes []units.Length) error {
	if len(sizes) == 0 {
		return fmt.Errorf("size: %w: no sizes of such a pipe", tables.ErrNotInCode)
	}
	list := make([]string, len(sizes))
	for i, s := range sizes {
		list[i] = s.String()
	}
	return fmt.Errorf("size: %w: the table has no %s; it has %s", tables.ErrOutsideTable, size.String(),
		strings.Join(list, ", "))
}
