package drains

import (
	"fmt"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// EuropeanOptions says what EN 12056-2 needs to know of a layout and codes in
// fixture units do not.
type EuropeanOptions struct {
	System  string  // "I" to "IV", see [en12056.Standard.Systems]
	Usage   string  // how often the appliances are used together, see [en12056.Standard.Usages]
	Filling float64 // of drains, 0.5 inside a building or 0.7 outside
	// Unventilated takes the tables of branches that no vent pipe serves.
	Unventilated bool
	StackVent    string // "primary" or "secondary"
	StackEntry   string // "square" or "swept"
	// As names the appliance that stands for a fixture kind which the standard
	// does not list, or lists in variants. The count of the layout is kept.
	As map[string]en12056.Appliance
}

// EuropeanRun is the size of one run by EN 12056-2.
type EuropeanRun struct {
	Point      string                 `json:"point"`
	To         string                 `json:"to"`
	Part       dwv.Part               `json:"part"`
	Sum        en12056.DischargeUnits `json:"sum"`
	Closets    int                    `json:"closets,omitzero"`
	Continuous units.Flow             `json:"continuous,omitzero"`
	Flow       units.Flow             `json:"flow"` // that the run is sized for
	// ByLargest tells that the largest appliance decided the flow, not the sum.
	ByLargest bool            `json:"by_largest,omitzero"`
	Required  units.Length    `json:"required"`          // DN, not under what is upstream
	MaxFlow   units.Flow      `json:"max_flow"`          // of the DN that the flow alone asks for
	Upstream  bool            `json:"upstream,omitzero"` // the pipe upstream decided
	Citation  tables.Citation `json:"citation,omitzero"`
	Problem   string          `json:"problem,omitzero"` // why the tables cannot size it
}

// SizeEuropean sizes the same layout by EN 12056-2, so that it can be set beside
// what a code in fixture units asks for. Loads kept in fixture units
// ([Point].Reserved) do not count; steady flows do. Sizes are DN in millimetres,
// whatever sizes are drawn.
//
// Source: EN 12056-2:2000, 6.3 to 6.5 and Annex B, through [en12056.Standard].
func (l *Layout) SizeEuropean(e *en12056.Standard, opt EuropeanOptions) ([]EuropeanRun, error) {
	if err := l.made(); err != nil {
		return nil, err
	}
	if e == nil {
		return nil, fmt.Errorf("size: %w: no standard", tables.ErrQuery)
	}
	t := l.tree
	var list faults.List
	s := &Sizing{layout: l.data, tree: t, part: make([]dwv.Part, t.len())}
	for sys, w := int32(0), newWork(t); int(sys) < t.outlets; sys++ {
		s.parts(sys, w)
	}
	n := t.len()
	sum, largest := make([]en12056.DischargeUnits, n), make([]en12056.DischargeUnits, n)
	closets, steady := make([]int, n), make([]units.Flow, n)
	size := make([]units.Length, n)
	runs := make([]EuropeanRun, len(t.points))
	known := make(map[en12056.Appliance]en12056.DischargeUnits)
	for _, i := range t.order {
		pt, p := t.point(i), t.parent[i]
		if pt.Fixture != nil {
			a := en12056.Appliance{Fixture: *pt.Fixture}
			if as, ok := opt.As[pt.Fixture.Kind]; ok {
				as.Count = pt.Fixture.Count
				a = as
			}
			du, ok := known[a]
			if !ok {
				var err error
				if du, _, err = e.DischargeUnits(opt.System, a); err != nil {
					list.Add(faults.Fault{Item: fmt.Sprintf("point %q", pt.ID), Field: "fixture", Err: err})
				}
				known[a] = du
			}
			sum[i] += du * en12056.DischargeUnits(a.Count)
			largest[i] = max(largest[i], du)
			if a.Kind == "water-closet" {
				closets[i] += a.Count
			}
		}
		steady[i] += pt.Continuous
		if sum[i] > en12056.MaxDischargeUnits || closets[i] > dwv.MaxClosets {
			list.Add(faults.Fault{Item: fmt.Sprintf("point %q", pt.ID), Field: "load",
				Err: because(units.ErrRange, "the loads add up to more than %v", en12056.MaxDischargeUnits)})
			break
		}
		sum[p] += sum[i]
		largest[p] = max(largest[p], largest[i])
		closets[p] += closets[i]
		steady[p] += steady[i]

		r := &runs[int(i)-t.outlets]
		*r = EuropeanRun{Point: pt.ID, To: pt.To, Part: s.part[i], Sum: sum[i], Closets: closets[i],
			Continuous: steady[i]}
		flow, err := e.DesignFlow(en12056.Load{System: opt.System, Sum: sum[i], Largest: largest[i]}, opt.Usage,
			steady[i], 0)
		if err != nil {
			return nil, err // the same for every run
		}
		r.Flow, r.ByLargest = flow.Total, flow.ByLargest
		pipe, err := leastPipe(e, s.part[i], pt.Run.Grade, flow.Total, closets[i], opt)
		if err != nil {
			r.Problem = err.Error()
		}
		r.Required, r.MaxFlow, r.Citation = pipe.Size, pipe.MaxFlow, pipe.Citation
		if size[i] > r.Required {
			r.Required, r.Upstream = size[i], true
		}
		size[p] = max(size[p], r.Required)
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	return runs, nil
}

// leastPipe asks the standard for the least pipe of a part.
func leastPipe(e *en12056.Standard, part dwv.Part, grade slope.Grade, q units.Flow, closets int,
	opt EuropeanOptions) (en12056.Pipe, error) {
	switch part {
	case dwv.Branch:
		return e.Branch(opt.System, !opt.Unventilated, q, closets)
	case dwv.Stack:
		return e.Stack(opt.System, opt.StackVent, opt.StackEntry, q, closets)
	}
	return e.Drain(opt.Filling, grade, q)
}
