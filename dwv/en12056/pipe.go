package en12056

import (
	"fmt"
	"iter"
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

// pipes goes through the pipes of a table that are meant.
func pipes[T any](rows *tables.Rows[T], pipe func(*T) (p Pipe, maxFlow float64, meant bool)) iter.Seq[Pipe] {
	return func(yield func(Pipe) bool) {
		for i, r := range rows.All() {
			p, maxFlow, meant := pipe(r)
			p.MaxFlow, p.Citation = units.Flow(maxFlow)*units.LitrePerSecond, rows.Cite(i)
			if meant && !yield(p) {
				return
			}
		}
	}
}

// least returns the first of the pipes that carries a flow and fits. Without one its flow is the most that any
// carries, 0 if there are none.
func least(list iter.Seq[Pipe], q units.Flow, fits func(Pipe) bool) (p Pipe, ok bool) {
	most := units.Flow(0)
	for p := range list {
		if most = p.MaxFlow; atMost(float64(q/units.LitrePerSecond), float64(most/units.LitrePerSecond)) && fits(p) {
			return p, true
		}
	}
	return Pipe{MaxFlow: most}, false
}

// ofSize returns the pipe of a DN.
func ofSize(list iter.Seq[Pipe], size units.Length) (Pipe, error) {
	var sizes []string
	for p := range list {
		if p.Size == size {
			return p, nil
		}
		sizes = append(sizes, p.Size.String())
	}
	if len(sizes) == 0 {
		return Pipe{}, fmt.Errorf("size: %w: no sizes of such a pipe", tables.ErrNotInCode)
	}
	return Pipe{}, fmt.Errorf("size: %w: the table has no %s; it has %s", tables.ErrOutsideTable, size.String(),
		strings.Join(sizes, ", "))
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
	if err := e.check(system, q, closets); err != nil {
		return Pipe{}, err
	}
	rows := e.branchRows(ventilated)
	p, ok := least(branches(rows, system), q, func(p Pipe) bool { return takesClosets(rows, system, p.Size, closets) })
	switch {
	case ok:
		return p, nil
	case p.MaxFlow == 0:
		return Pipe{}, fmt.Errorf("system: %w: system %s has no table of branches by flow", tables.ErrNotInCode, system)
	}
	return Pipe{}, fmt.Errorf("flow: %w: %s with %d closets in system %s: branches carry at most %s",
		tables.ErrOutsideTable, argument.Litres(q), closets, system, argument.Litres(p.MaxFlow))
}

func (e *Standard) branchRows(ventilated bool) *tables.Rows[branchRow] {
	if ventilated {
		return e.vented
	}
	return e.open
}

// branches are those of a system.
func branches(rows *tables.Rows[branchRow], system string) iter.Seq[Pipe] {
	return pipes(rows, func(r *branchRow) (Pipe, float64, bool) {
		size, ok := r.Size.Get()
		vent, _ := r.Vent.Get()
		return Pipe{Size: size, Vent: vent}, r.MaxFlow, ok && r.System == system
	})
}

// takesClosets tells whether a branch of a size takes so many closets. The table says of one
// size that it takes none, and means the smaller ones too.
func takesClosets(rows *tables.Rows[branchRow], system string, size units.Length, closets int) bool {
	for _, r := range rows.All() {
		most, limited := r.Closets.Get()
		if r.System == system && limited && int64(closets) > most &&
			(r.Size.Value == size || most == 0 && size < r.Size.Value) {
			return false
		}
	}
	return true
}

// check refuses a system that the standard does not have, and what is no flow or number of closets.
func (e *Standard) check(system string, q units.Flow, closets int) error {
	if systems := tables.IDs(e.Systems()); !slices.Contains(systems, system) {
		return codes.Choice("system", system, systems)
	}
	return flowAndClosets(q, closets)
}

func flowAndClosets(q units.Flow, closets int) error {
	if err := argument.CheckPositiveFlow(q); err != nil {
		return err
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
	if err := e.check(system, q, closets); err != nil {
		return Pipe{}, err
	}
	smallest := units.Length(0)
	if closets > 0 {
		var err error
		if smallest, _, err = tables.RuleValue[units.Length](e.rules, "stack-min-size-closets-"+
			strings.ToLower(system)); err != nil {
			return Pipe{}, err
		}
	}
	p, ok := least(e.stacksOf(vent, entry), q, func(p Pipe) bool { return p.Size >= smallest })
	switch vents := tables.Distinct(e.stacks, func(r *stackRow) (string, bool) { return r.Vent, true }); {
	case ok:
		return p, nil
	case p.MaxFlow > 0:
		return Pipe{}, fmt.Errorf("flow: %w: %s: %s stacks with %s entries carry at most %s", tables.ErrOutsideTable,
			argument.Litres(q), vent, entry, argument.Litres(p.MaxFlow))
	case !slices.Contains(vents, vent):
		return Pipe{}, codes.Choice("vent", vent, vents)
	}
	return Pipe{}, codes.Choice("entry", entry,
		tables.Distinct(e.stacks, func(r *stackRow) (string, bool) { return r.Entry, true }))
}

// stacksOf are the stacks that are vented so, with such entries.
func (e *Standard) stacksOf(vent, entry string) iter.Seq[Pipe] {
	return pipes(e.stacks, func(r *stackRow) (Pipe, float64, bool) {
		second, _ := r.VentSize.Get()
		return Pipe{Size: r.Size, Vent: second}, r.MaxFlow, r.Vent == vent && r.Entry == entry
	})
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
	p, ok := least(e.drainsOf(filling, column), q, func(Pipe) bool { return true })
	if !ok {
		return Pipe{}, fmt.Errorf("flow: %w: %s: drains at %v carry at most %s", tables.ErrOutsideTable,
			argument.Litres(q), column, argument.Litres(p.MaxFlow))
	}
	return p, nil
}

// drainsOf are the drains at a filling and a grade of the table.
func (e *Standard) drainsOf(filling float64, column slope.Grade) iter.Seq[Pipe] {
	return pipes(e.drains, func(r *drainRow) (Pipe, float64, bool) {
		return Pipe{Size: r.Size, Velocity: units.Velocity(r.Velocity)}, r.MaxFlow, r.Filling == filling && r.Grade == column
	})
}

// drainColumn returns the steepest tabulated grade that is not above one given.
func (e *Standard) drainColumn(filling float64, grade slope.Grade) (column slope.Grade, err error) {
	fillings := tables.Distinct(e.drains, func(r *drainRow) (float64, bool) { return r.Filling, true })
	if !slices.Contains(fillings, filling) {
		return column, argument.Outside("filling", argument.Number(filling), fmt.Sprintf("one of %v", fillings))
	}
	var flattest slope.Grade
	for _, r := range e.drains.All() {
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
	return ofSize(e.drainsOf(filling, column), size)
}

// BranchOfSize returns what a branch of a DN carries in a system.
//
// Errors: [tables.ErrOutsideTable] for a DN that the table does not have.
func (e *Standard) BranchOfSize(system string, ventilated bool, size units.Length) (Pipe, error) {
	return ofSize(branches(e.there().branchRows(ventilated), system), size)
}

// StackOfSize returns what a stack of a DN carries.
//
// Errors: [tables.ErrOutsideTable] for a DN that the table does not have.
func (e *Standard) StackOfSize(vent, entry string, size units.Length) (Pipe, error) {
	return ofSize(e.there().stacksOf(vent, entry), size)
}
