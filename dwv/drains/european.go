package drains

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// EuropeanOptions says what EN 12056-2 needs to know of a layout and codes in fixture
// units do not. What is left open is assumed, and [Sizing.Check] tells what, or asks where
// another answer would give another size.
type EuropeanOptions struct {
	System string `json:"system,omitzero"` // "I" to "IV", see [en12056.Standard.Systems]; absent: I
	// How often the appliances are used together, see [en12056.Standard.Usages]; absent: intermittent.
	Usage string `json:"usage,omitzero"`
	// Of drains, 0.5 or 0.7; absent: 0.5, and 0.7 of what lies outside the building.
	Filling    float64 `json:"filling,omitzero"`
	StackVent  string  `json:"stack_vent,omitzero"`  // "primary" or "secondary"; absent: primary
	StackEntry string  `json:"stack_entry,omitzero"` // of branches into stacks, "square" or "swept"; absent: square
	// As names the appliances that stand for kinds of fixture which the standard does
	// not list, or lists in variants.
	As []EuropeanAppliance `json:"as,omitempty" item:"appliance"`
}

// EuropeanAppliance is what a kind of fixture is to EN 12056-2.
type EuropeanAppliance struct {
	Fixture string `json:"fixture" read:"need"` // as the layout has it
	As      string `json:"as,omitzero"`         // as the standard lists it; absent: by the same word
	Variant string `json:"variant,omitzero"`    // see [en12056.Appliance]
}

// EuropeanRun is the load and the size of one run by EN 12056-2.
type EuropeanRun struct {
	Point  string   `json:"point"`
	To     string   `json:"to"`
	Part   dwv.Part `json:"part"`
	Vented bool     `json:"vented,omitzero"` // a branch that a vent serves
	// Own is what stands at the point, which OwnCitation rates.
	Own         en12056.DischargeUnits `json:"own,omitzero"`
	OwnCitation tables.Citation        `json:"own_citation,omitzero"`
	Sum         en12056.DischargeUnits `json:"sum"`
	Closets     int                    `json:"closets,omitzero"`
	Continuous  units.Flow             `json:"continuous,omitzero"`
	Flow        units.Flow             `json:"flow"` // that the run is sized for
	// ByLargest tells that the largest appliance decided the flow, not the sum.
	ByLargest bool            `json:"by_largest,omitzero"`
	Required  units.Length    `json:"required"`          // DN, not under what is upstream
	MaxFlow   units.Flow      `json:"max_flow"`          // of the DN that the flow and the closets ask for
	Capacity  units.Flow      `json:"capacity,omitzero"` // of the DN laid, where the tables have it
	Vent      units.Length    `json:"vent,omitzero"`     // DN of the vent that goes with that
	Upstream  bool            `json:"upstream,omitzero"` // the pipe upstream decided
	Citation  tables.Citation `json:"citation,omitzero"`
	Problem   string          `json:"problem,omitzero"` // why the tables cannot size it

	// many tells that a branch serves several fixtures of one point below a building: more
	// than branches carry makes a drain of it.
	many bool
	// alone is, of a branch of system III, the one that its appliance has.
	alone *aloneBranch
}

// aloneBranch is a branch of system III: of one appliance, or of several that share a row.
type aloneBranch struct {
	en12056.SystemIIIBranch
	way en12056.Way // of what runs farthest in it
	err error
	// fitted tells that the outlet of the appliance is not known, and is taken to go with the
	// pipe laid.
	fitted bool
}

// european is a layout under EN 12056-2.
type european struct {
	standard *en12056.Standard
	stated   EuropeanOptions // by the caller, or else by the layout
	runs     []EuropeanRun   // by place of the point
	end      []int32         // by node: of a branch the run that ends it downstream, -1 elsewhere
	vented   []bool          // by node that ends a branch
}

// method is one way to read a layout: every choice made.
type method struct {
	EuropeanOptions
	least string // kind of fixture taken at the least of its figures, where the layout leaves them open
}

// choices makes the choices that nobody made.
func (o EuropeanOptions) choices() method {
	o.System = cmp.Or(o.System, "I")
	o.Usage = cmp.Or(o.Usage, "intermittent")
	o.StackVent = cmp.Or(o.StackVent, "primary")
	o.StackEntry = cmp.Or(o.StackEntry, "square")
	return method{EuropeanOptions: o}
}

// over takes from o what is stated there, and the rest from what the layout says.
func (o EuropeanOptions) over(l *Data) EuropeanOptions {
	if l.European == nil {
		return o
	}
	d := *l.European
	d.System, d.Usage = cmp.Or(o.System, d.System), cmp.Or(o.Usage, d.Usage)
	d.StackVent, d.StackEntry = cmp.Or(o.StackVent, d.StackVent), cmp.Or(o.StackEntry, d.StackEntry)
	if o.Filling != 0 {
		d.Filling = o.Filling
	}
	d.As = append(slices.Clone(o.As), d.As...)
	return d
}

// SizeEuropean sizes the layout by EN 12056-2: the sum of the discharge units of each run,
// the flow that is likely of it, and the least DN that takes it. What opt leaves open stands
// in [Data].European, or is assumed. Loads kept in fixture units ([Point].Reserved) do not
// count and are asked about; steady flows count. Runs that serve one point alone are branches, up to what they join;
// a drawn size is kept, in millimetres, and the one required stands beside it.
//
// An appliance that the standard does not list counts for nothing: [EuropeanRun].Problem
// says so, and [Sizing.Check] asks. [Sizing.European] returns the loads and flows.
//
// Source: EN 12056-2:2000, 6.3 to 6.5 and Annex B, through [en12056.Standard].
func (l *Layout) SizeEuropean(e *en12056.Standard, opt EuropeanOptions) (*Sizing, error) {
	return l.SizeEuropeanContext(context.Background(), e, opt)
}

// SizeEuropeanContext is [Layout.SizeEuropean] that stops once the context is done, with its error
// and the system that it was in.
func (l *Layout) SizeEuropeanContext(ctx context.Context, e *en12056.Standard, opt EuropeanOptions) (*Sizing, error) {
	if err := l.made(); err != nil {
		return nil, err
	}
	if e == nil {
		return nil, fmt.Errorf("size: %w: no standard", tables.ErrQuery)
	}
	code, err := dwv.LoadRules(e.Shelf(), en12056.ID)
	if err != nil {
		return nil, err
	}
	p, err := pipes.New(code.Shelf())
	if err != nil {
		return nil, err
	}
	return l.sizeEuropean(ctx, e, opt, code, p)
}

// sizeEuropean is SizeEuropean by rules and a list of pipes that were read.
func (l *Layout) sizeEuropean(ctx context.Context, e *en12056.Standard, opt EuropeanOptions, code *dwv.Code,
	p *pipes.Shelf) (*Sizing, error) {
	return l.atTheirTops(func(l *Layout) (_ *Sizing, err error) {
		s := newSizing(l, code, p)
		u := &european{standard: e, stated: opt.over(s.layout)}
		s.european = u
		if err := s.fillEuropean(ctx, u.stated.choices()); err != nil {
			return nil, err
		}
		s.ventsEuropean(u.stated.choices())
		s.levels, err = s.grade()
		return s, err
	})
}

// European returns the loads, flows and sizes by EN 12056-2, as [Sizing.At] counts; nil if
// the layout was sized by a code in fixture units.
func (s *Sizing) European() []EuropeanRun {
	if s.made() != nil || s.european == nil {
		return nil
	}
	return slices.Clone(s.european.runs)
}

// fillEuropean finds parts, loads and sizes, system after system.
func (s *Sizing) fillEuropean(ctx context.Context, m method) (err error) {
	t, u := s.tree, s.european
	w := newWork(t)
	g := grader{layout: s.layout, tree: t}
	u.end, u.vented = none(t.len()), make([]bool, t.len())
	ways := []pass{
		func(sys int32) error { return g.inverts(sys, nil, s.lower, s.upper) },
		w.of(s.aboveFloor), w.of(s.parts), w.of(s.branchIntervals),
		func(sys int32) error { s.routes.fill(s.layout, t, sys, w); return nil },
		w.of(s.connections),
	}
	for sys := range int32(t.outlets) {
		if err := t.passes(ctx, sys, ways); err != nil {
			return err
		}
	}
	if u.runs, err = s.solveEuropean(ctx, m, s.missing); err != nil {
		return err
	}
	for i := range s.fixture {
		s.fixture[i] = -1
	}
	for k := range u.runs {
		s.part[k+t.outlets] = u.runs[k].Part
	}
	lay := []pass{w.of(s.layEuropean), w.of(s.undiminished), s.dimensions}
	for sys := range int32(t.outlets) {
		if err := t.passes(ctx, sys, lay); err != nil {
			return err
		}
	}
	return nil
}

// connections makes a branch of what serves one point alone: from there down to where
// something joins, or over the first flat run of a line that nothing joins. A riser that is
// vented at its top as a stack is one, whatever drains into it. Then it finds where each
// branch ends, and whether a vent serves it.
func (s *Sizing) connections(sys int32, w *work) {
	t, u := s.tree, s.european
	drains := w.node(0, sys) // how many points drain into a run
	lone, stack := w.flag(0, sys), w.flag(1, sys)
	for _, i := range t.of(sys) {
		pt, p := t.point(i), t.parent[i]
		if pt.drainsIn() {
			drains[i]++
		}
		up := t.first[i]
		stack[i] = stack[i] || pt.Run.Vertical && s.stackVentAt(i) >= 0
		if int(p) >= t.outlets && t.point(p).Run.Vertical {
			stack[p] = stack[p] || stack[i]
		}
		lone[i] = drains[i] == 1 && (pt.drainsIn() || up >= 0 && lone[up] && t.point(up).Run.Vertical)
		drains[p] += drains[i]
	}
	for _, i := range slices.Backward(t.of(sys)) {
		p := t.parent[i]
		run := &t.point(i).Run
		joined := int(p) >= t.outlets && drains[p] > 1
		alone := drains[i] == 1 && (joined || u.end[p] >= 0 && drains[p] == 1)
		if run.Part == 0 && (alone || lone[i]) && !stack[i] {
			s.part[i] = dwv.Branch
		}
		if s.part[i] == dwv.Branch {
			if u.end[i] = i; u.end[p] >= 0 {
				u.end[i] = u.end[p]
			}
		}
	}
	if t.vents.takeoff == nil {
		return
	}
	for _, i := range t.of(sys) {
		if end := u.end[i]; end >= 0 && (s.routes.vent[i] >= 0 || t.vents.takeoff[i] >= 0) {
			u.vented[end] = true
		}
	}
}

// solveEuropean works the loads and the least sizes of every run, nothing drawn. missing is
// told what the standard has no figure for.
func (s *Sizing) solveEuropean(ctx context.Context, m method, missing func(i int32, err error)) ([]EuropeanRun, error) {
	t, e := s.tree, s.european.standard
	n := t.len()
	sum, largest := make([]en12056.DischargeUnits, n), make([]en12056.DischargeUnits, n)
	closets, steady, size := make([]int, n), make([]units.Flow, n), make([]units.Length, n)
	runs := make([]EuropeanRun, len(t.points))
	var alone []aloneBranch
	if m.System == "III" {
		alone = s.aloneBranches(&m)
	}
	known := make(map[tables.Fixture]rated)
	for done, i := range t.order {
		if done%pointsBetween == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("size: stopped after %d of %d points: %w", done, len(t.order), ctx.Err())
		}
		pt, p := t.point(i), t.parent[i]
		var own en12056.DischargeUnits
		var cite tables.Citation
		if f := pt.Fixture; f != nil {
			r, ok := known[*f]
			if !ok {
				r = m.rate(e, f)
				known[*f] = r
			}
			if r.err != nil && missing != nil {
				missing(i, r.err)
			}
			var over error
			if own, over = r.each.Times(f.Count); over != nil {
				return nil, fmt.Errorf("point %q: load: %w", pt.ID, because(units.ErrRange, "%v", over))
			}
			cite = r.cite
			sum[i] += own
			largest[i] = max(largest[i], r.each)
			closets[i] += f.Count * dwv.ClosetsOf(f.Kind)
		}
		if missing != nil {
			_, why := beyondStandard(pt)
			missing(i, why)
		}
		steady[i] += pt.Continuous
		if !sum[i].Valid() || closets[i] > dwv.MaxClosets {
			return nil, fmt.Errorf("point %q: load: %w", pt.ID, because(units.ErrRange,
				"the loads add up to more than %v", en12056.MaxDischargeUnits))
		}
		sum[p] += sum[i]
		largest[p] = max(largest[p], largest[i])
		closets[p] += closets[i]
		steady[p] += steady[i]
		if missing != nil {
			s.passShort(i, p)
		}
		r := &runs[int(i)-t.outlets]
		*r = EuropeanRun{Point: pt.ID, To: pt.To, Part: s.part[i], Own: own, OwnCitation: cite, Sum: sum[i],
			Closets: closets[i], Continuous: steady[i], Vented: s.ventedBranch(i)}
		flow, err := e.DesignFlow(en12056.Load{System: m.System, Sum: sum[i], Largest: largest[i]}, m.Usage, steady[i], 0)
		if err != nil {
			return nil, err // the same for every run
		}
		r.Flow, r.ByLargest = flow.Total, flow.ByLargest
		r.Required = size[i]
		r.many = pt.Run.Part == 0 && pt.Fixture != nil && pt.Fixture.Count > 1 && s.part[p] != dwv.Stack
		if alone != nil && s.part[i] == dwv.Branch {
			r.alone = &alone[i]
		}
		if r.Flow > 0 || r.alone != nil {
			r.fit(e, m, pt.Run.Grade, size[i])
		}
		size[p] = max(size[p], r.Required)
	}
	return runs, nil
}

// beyondStandard says what else than a fixture enters at a point that the standard has no figure
// for, and why; nil if there is no such thing.
func beyondStandard(pt *Point) (what string, why error) {
	switch {
	case pt.Reserved > 0:
		return "what is to come", fmt.Errorf("%v are kept for later, and the standard goes by appliances", pt.Reserved)
	case pt.Receptor != nil && len(pt.Receptor.Indirect) > 0:
		return "what discharges into the receptor", errors.New("the standard has no rule for it")
	}
	return "", nil
}

// branchWays returns by node of a system the way from it to the end of its branch, all zero
// outside of branches.
func (s *Sizing) branchWays(sys int32) []en12056.Way {
	t, u := s.tree, s.european
	lo, hi := t.span(sys)
	ways := make([]en12056.Way, hi-lo)
	for _, i := range slices.Backward(t.of(sys)) {
		end, p, run := u.end[i], t.parent[i], &t.point(i).Run
		if s.part[i] != dwv.Branch {
			continue
		}
		w := &ways[i-lo]
		if end != i {
			*w = ways[p-lo]
			if !run.Vertical && !t.point(p).Run.Vertical && s.turn(i, p) >= squareTurn {
				w.Bends++
			}
		}
		w.Length += run.Length
		w.Drop += run.Drop
		if run.Vertical {
			w.Drop += run.Length
		} else if run.Grade.Compare(w.Grade) > 0 {
			w.Grade = run.Grade
		}
		for _, name := range run.Fittings {
			if bendAngle(name) >= squareTurn {
				w.Bends++
			}
		}
	}
	return ways
}

// aloneBranches finds by node what system III gives the appliance of each branch, or those
// that one row lets share it.
func (s *Sizing) aloneBranches(m *method) []aloneBranch {
	t := s.tree
	list := make([]aloneBranch, t.len())
	on := make([]en12056.Appliance, t.len()) // what drains into a branch; of no kind: nothing, or nothing alike
	mixed := make([]bool, t.len())
	for sys := range int32(t.outlets) {
		lo, _ := t.span(sys)
		ways := s.branchWays(sys)
		for _, i := range t.of(sys) {
			if s.part[i] != dwv.Branch {
				continue
			}
			pt, b, a := t.point(i), &list[i], &on[i]
			if pt.drainsIn() {
				own := en12056.Appliance{}
				if pt.Fixture != nil {
					own = m.as(pt.Fixture)
					own.Size = pt.outletSize()
				}
				mixed[i] = mixed[i] || own.Kind == "" || !together(a, own)
				b.way = worseWay(b.way, ways[i-lo])
			}
			if b.find(s.european.standard, a, s.ventedBranch(i), pt.Run.Size); mixed[i] {
				*b = aloneBranch{way: b.way, err: fmt.Errorf("system: %w: in system III each appliance has a branch of "+
					"its own, and several drain into this one", tables.ErrNotInCode)}
			}
			if p := t.parent[i]; int(p) >= t.outlets && s.part[p] == dwv.Branch {
				mixed[p] = mixed[p] || mixed[i] || !together(&on[p], *a)
				list[p].way = worseWay(list[p].way, b.way)
			}
		}
	}
	return list
}

// together adds appliances to others on a branch, and tells whether they are alike.
func together(on *en12056.Appliance, more en12056.Appliance) bool {
	if on.Kind == "" || more.Kind == "" {
		if on.Kind == "" {
			*on = more
		}
		return true
	}
	on.Count += more.Count
	on.Size = max(on.Size, more.Size)
	return on.Kind == more.Kind && on.Variant == more.Variant
}

// worseWay returns the greatest that either way has of each.
func worseWay(a, b en12056.Way) en12056.Way {
	a.Length, a.Drop, a.Bends = max(a.Length, b.Length), max(a.Drop, b.Drop), max(a.Bends, b.Bends)
	if b.Grade.Compare(a.Grade) > 0 {
		a.Grade = b.Grade
	}
	return a
}

// find looks for the branch of what drains into it.
func (b *aloneBranch) find(e *en12056.Standard, on *en12056.Appliance, ventilated bool, laid units.Length) {
	b.SystemIIIBranch, b.err = e.SystemIIIBranch(*on, ventilated, laid, b.way)
	if b.err != nil || on.Size > 0 || laid == 0 || b.Size <= laid {
		return
	}
	all, _ := e.SystemIIIBranches(on.Kind, ventilated)
	for k := range all {
		if outlet, held := all[k].MaxOutlet.Get(); held && all[k].Size <= laid {
			fits := *on
			fits.Size, b.fitted = outlet, true
			b.SystemIIIBranch, b.err = e.SystemIIIBranch(fits, ventilated, laid, b.way)
		}
	}
}

// fit finds the least size of a run, not under what lies upstream.
func (r *EuropeanRun) fit(e *en12056.Standard, m method, grade slope.Grade, upstream units.Length) {
	pipe, err := m.least12056(e, r, grade)
	if errors.Is(err, tables.ErrOutsideTable) && r.many && r.Part == dwv.Branch {
		r.Part = dwv.Drain
		pipe, err = m.least12056(e, r, grade)
	}
	if err != nil {
		r.Problem = err.Error()
	}
	r.Required, r.MaxFlow, r.Vent, r.Citation = pipe.Size, pipe.MaxFlow, pipe.Vent, pipe.Citation
	if upstream > r.Required {
		r.Required, r.Upstream = upstream, true
	}
}

// least12056 asks the standard for the least pipe of a run.
func (m *method) least12056(e *en12056.Standard, r *EuropeanRun, grade slope.Grade) (en12056.Pipe, error) {
	switch {
	case r.Part == dwv.Branch && r.alone != nil:
		return en12056.Pipe{Size: r.alone.Size, Citation: r.alone.Citation}, r.alone.err
	case r.Part == dwv.Branch:
		return e.Branch(m.System, r.Vented, r.Flow, r.Closets)
	case r.Part == dwv.Stack:
		return e.Stack(m.System, m.StackVent, m.StackEntry, r.Flow, r.Closets)
	}
	return e.Drain(m.filling(r.Part), grade, r.Flow)
}

// laid12056 asks the standard what the pipe laid carries.
func (m *method) laid12056(
	e *en12056.Standard, r *EuropeanRun, grade slope.Grade, size units.Length,
) (en12056.Pipe, error) {
	switch {
	case r.Part == dwv.Branch && r.alone != nil:
		return en12056.Pipe{Size: size, Citation: r.alone.Citation}, r.alone.err
	case r.Part == dwv.Branch:
		return e.BranchOfSize(m.System, r.Vented, size)
	case r.Part == dwv.Stack:
		return e.StackOfSize(m.StackVent, m.StackEntry, size)
	}
	return e.DrainOfSize(m.filling(r.Part), grade, size)
}

// filling is how full a drain may run: half inside a building, and more outside.
func (m *method) filling(part dwv.Part) float64 {
	switch {
	case m.Filling != 0:
		return m.Filling
	case part == dwv.Sewer:
		return 0.7
	}
	return 0.5
}

func (s *Sizing) ventedBranch(i int32) bool {
	end := s.european.end[i]
	return end >= 0 && s.european.vented[end]
}

// rated is what the standard makes of a fixture.
type rated struct {
	each en12056.DischargeUnits
	cite tables.Citation
	open []en12056.Appliance // it may be any of these, of which the greatest was taken
	err  error
}

// as returns what a fixture is to the standard.
func (m *method) as(f *tables.Fixture) en12056.Appliance {
	a := en12056.Appliance{Fixture: *f}
	for k := range m.As {
		if as := &m.As[k]; as.Fixture == f.Kind {
			a.Kind, a.Variant = cmp.Or(as.As, f.Kind), as.Variant
			break
		}
	}
	return a
}

// rate returns the discharge units of a fixture: of those that it may be, the greatest.
func (m *method) rate(e *en12056.Standard, f *tables.Fixture) rated {
	a := m.as(f)
	du, cite, err := e.DischargeUnits(m.System, a)
	if !errors.Is(err, tables.ErrNotStated) {
		return rated{each: du, cite: cite, err: err}
	}
	r := rated{err: err}
	for _, may := range e.Appliances(m.System, a.Kind) {
		if a.Control != 0 && may.Control != 0 && a.Control != may.Control || a.Flush != 0 && a.Flush != may.Flush ||
			a.Size != 0 && may.Size != 0 && a.Size != may.Size || a.Variant != "" && a.Variant != may.Variant {
			continue
		}
		each, cite, err := e.DischargeUnits(m.System, may)
		if err != nil {
			continue
		}
		better := each > r.each
		if m.least == f.Kind {
			better = each < r.each
		}
		if len(r.open) == 0 || better {
			r.each, r.cite = each, cite
		}
		r.open, r.err = append(r.open, may), nil
	}
	return r
}

// layEuropean takes over what is drawn: what each run requires below it, and what is laid.
func (s *Sizing) layEuropean(sys int32, w *work) {
	t, u := s.tree, s.european
	upstream, needed := w.length(1, sys), w.length(2, sys)
	m := u.stated.choices()
	for _, i := range t.of(sys) {
		pt, p := t.point(i), t.parent[i]
		r := &u.runs[int(i)-t.outlets]
		own := r.Required
		if r.Upstream {
			alone := *r
			alone.fit(u.standard, m, pt.Run.Grade, 0)
			own = alone.Required
		}
		least := demand{size: own, by: DecidedByLoad, cite: r.Citation}
		if r.Closets > 0 {
			without := *r
			without.Closets = 0
			if without.fit(u.standard, m, pt.Run.Grade, 0); without.Required < own && without.Problem == "" {
				least.by = DecidedByClosets
			}
		}
		if pt.Fixture != nil {
			least.raise(pt.outletSize(), DecidedByTrap, tables.Citation{})
		}
		need := least
		need.raise(needed[i], DecidedByUpstream, tables.Citation{})
		least.raise(upstream[i], DecidedByUpstream, tables.Citation{})
		s.closets[i] = int32(r.Closets)
		s.need[i], s.required[i], s.decided[i], s.cite[i] = need.size, least.size, least.by, least.cite
		s.size[i] = cmp.Or(pt.Run.Size, least.size)
		r.Required, r.Upstream = least.size, least.by == DecidedByUpstream
		if laid, err := m.laid12056(u.standard, r, pt.Run.Grade, s.size[i]); err == nil {
			r.Capacity = laid.MaxFlow
		}
		if r.Problem != "" {
			s.failed[i] = errors.New(r.Problem)
		}
		upstream[p], needed[p] = max(upstream[p], s.size[i]), max(needed[p], need.size)
	}
	s.need[sys] = needed[sys]
	s.size[sys] = cmp.Or(s.layout.Systems[sys].Outlet.Size, upstream[sys])
}

// ventsEuropean gives each vent the size that goes with what it serves: of a branch as the
// table pairs them, of a stack carried up as the stack.
func (s *Sizing) ventsEuropean(m method) {
	u, t := s.european, s.tree
	s.vents = make([]VentSize, len(s.layout.Vents))
	w := s.developed(false, headers{})
	for k := range s.layout.Vents {
		x, v := &s.layout.Vents[k], &s.vents[k]
		*v = VentSize{Vent: x.ID, Kind: x.Kind, Size: x.Size, Drawn: x.Size > 0, Length: w.upstream[k] + w.onward[k]}
		from := t.vents.from[k]
		if from < 0 {
			v.Err = errNoDrain
			continue
		}
		v.Drain = s.required[from]
		var pipe en12056.Pipe
		switch r := u.runs[int(from)-t.outlets]; {
		case x.Kind == VentStackVent:
			pipe.Size, pipe.Vent = v.Drain, v.Drain
		case r.Part == dwv.Branch && r.alone != nil:
			pipe.Vent, pipe.Citation, v.Err = u.standard.SystemIIIVent()
		case r.Part == dwv.Branch:
			pipe, v.Err = u.standard.BranchOfSize(m.System, true, v.Drain)
		case x.Kind == VentStack:
			pipe, v.Err = u.standard.StackOfSize("secondary", m.StackEntry, v.Drain)
		}
		v.Required, v.Citation = pipe.Vent, pipe.Citation
		v.Size = cmp.Or(v.Size, v.Required)
	}
}

// europeanWords refuses words of the method that the standard does not have.
func (c *checker) europeanWords(l *Data) {
	o, at := l.European, c.ofLayout()
	if o == nil {
		return
	}
	for _, code := range c.codes {
		if code.ID() != en12056.ID {
			continue
		}
		e, err := en12056.LoadStandard(code.Shelf())
		if err != nil {
			c.fault(at, "european", err)
			return
		}
		for _, w := range [...]struct {
			field, word string
			allowed     []string
		}{
			{"system", o.System, tables.IDs(e.Systems())}, {"usage", o.Usage, tables.IDs(e.Usages())},
			{"stack_vent", o.StackVent, []string{"primary", "secondary"}},
			{"stack_entry", o.StackEntry, []string{"square", "swept"}},
		} {
			if w.word != "" {
				oneOf(c, at, "european."+w.field, w.word, w.allowed)
			}
		}
		if o.Filling != 0 && o.Filling != 0.5 && o.Filling != 0.7 {
			c.fault(at, "european.filling", because(ErrChoice, "%v: write 0.5 or 0.7", o.Filling))
		}
		for k := range o.As {
			c.europeanAppliance(at, e, &o.As[k])
		}
		return
	}
}

func (c *checker) europeanAppliance(at part, e *en12056.Standard, as *EuropeanAppliance) {
	kind := cmp.Or(as.As, as.Fixture)
	kinds := tables.IDs(e.Fixtures())
	if !slices.Contains(kinds, kind) {
		c.fault(at, "european.as", because(ErrChoice, "%q: the standard lists %s", kind, strings.Join(kinds, ", ")))
		return
	}
	if as.Variant == "" {
		return
	}
	var variants []string
	for _, system := range tables.IDs(e.Systems()) {
		for _, a := range e.Appliances(system, kind) {
			if a.Variant != "" && !slices.Contains(variants, a.Variant) {
				variants = append(variants, a.Variant)
			}
		}
	}
	if !slices.Contains(variants, as.Variant) {
		c.fault(at, "european.as", because(ErrChoice, "variant %q of %s: the standard has %s", as.Variant, kind,
			cmp.Or(strings.Join(variants, ", "), "none")))
	}
}
