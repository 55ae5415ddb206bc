package supply

import (
	"fmt"
	"iter"

	"github.com/trapweir/trapweir/tables"
)

// What follows from a sizing and from an analysis has the names it has with drains.

// made tells whether there is an analysis at all.
func (a *Analysis) made() error {
	if a == nil || a.Layout == nil || a.Code == nil {
		return fmt.Errorf("analysis: %w: Layout.Size or Layout.Analyse makes one", ErrQuery)
	}
	return nil
}

// Analyse returns what the sizes come to: flows and pressures, run by run.
func (s *Sizing) Analyse() *Analysis {
	if s == nil {
		return nil
	}
	return s.Analysis
}

// Len returns how many runs there are.
func (a *Analysis) Len() int {
	if a == nil {
		return 0
	}
	return len(a.Runs)
}

// At returns the run to point i, from 0 to Len less one.
func (a *Analysis) At(i int) RunResult { return a.Runs[i] }

// Of returns the run to the point of that id.
func (a *Analysis) Of(id string) (RunResult, bool) {
	if a.made() != nil {
		return RunResult{}, false
	}
	i, ok := a.Layout.Find(id)
	if !ok || i >= len(a.Runs) {
		return RunResult{}, false
	}
	return a.Runs[i], true
}

// All returns each run with its place.
func (a *Analysis) All() iter.Seq2[int, RunResult] {
	return func(yield func(int, RunResult) bool) {
		for i := range a.Len() {
			if !yield(i, a.Runs[i]) {
				return
			}
		}
	}
}

// Len returns how many runs there are.
func (s *Sizing) Len() int { return s.Analyse().Len() }

// At returns the run to point i, from 0 to Len less one.
func (s *Sizing) At(i int) RunResult { return s.Analyse().At(i) }

// Of returns the run to the point of that id.
func (s *Sizing) Of(id string) (RunResult, bool) { return s.Analyse().Of(id) }

// All returns each run with its place.
func (s *Sizing) All() iter.Seq2[int, RunResult] { return s.Analyse().All() }

// Check is [Analysis.Check] of the sizes chosen.
func (s *Sizing) Check(opt CheckOptions) ([]tables.Finding, error) { return s.Analyse().Check(opt) }

// Draw is [Analysis.Draw] of the sizes chosen.
func (s *Sizing) Draw(opt DrawOptions) (*Drawings, error) { return s.Analyse().Draw(opt) }

// TakeOff is [Analysis.TakeOff] of the sizes chosen.
func (s *Sizing) TakeOff(opt TakeOffOptions) (*TakeOff, error) { return s.Analyse().TakeOff(opt) }

// TestPlans is [Analysis.TestPlans] of the sizes chosen.
func (s *Sizing) TestPlans() ([]TestPlan, error) { return s.Analyse().TestPlans() }
