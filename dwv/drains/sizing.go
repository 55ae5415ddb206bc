package drains

import (
	"encoding/json"
	"fmt"
	"iter"

	"github.com/trapweir/trapweir/dwv"
)

// made tells whether there is a sizing at all.
func (s *Sizing) made() error {
	if s == nil || s.of == nil {
		return fmt.Errorf("sizing: %w: Layout.Size makes one", ErrMissing)
	}
	return nil
}

// Code returns the code the sizes are by.
func (s *Sizing) Code() *dwv.Code {
	if s.made() != nil {
		return nil
	}
	return s.code
}

// Layout returns the layout that was sized.
func (s *Sizing) Layout() *Layout {
	if s.made() != nil {
		return nil
	}
	return s.of
}

// Len returns how many runs there are.
func (s *Sizing) Len() int {
	if s.made() != nil {
		return 0
	}
	return len(s.tree.points)
}

// At returns the size of the run of the i-th point, from 0 to Len()-1, in input order
// through the systems.
func (s *Sizing) At(i int) RunSize { return s.runSize(int32(i + s.tree.outlets)) }

// Of returns the size of the run from the point of that id.
func (s *Sizing) Of(id string) (RunSize, bool) {
	i, ok := s.Layout().Find(id)
	if !ok {
		return RunSize{}, false
	}
	return s.At(i), true
}

// All returns each run with its place.
func (s *Sizing) All() iter.Seq2[int, RunSize] { return each(s.Len(), s.At) }

// each lists the first n of what at returns.
func each[T any](n int, at func(i int) T) iter.Seq2[int, T] {
	return func(yield func(int, T) bool) {
		for i := range n {
			if !yield(i, at(i)) {
				return
			}
		}
	}
}

// Total returns the load of a whole system, and the water closets in it.
func (s *Sizing) Total(system string) (load dwv.FixtureUnits, closets int, ok bool) {
	if s.made() != nil {
		return 0, 0, false
	}
	i, ok := s.tree.systems[system]
	if !ok {
		return 0, 0, false
	}
	return s.load[i], int(s.closets[i]), true
}

// SizingData is a sizing as plain data, as its JSON is written and reads back.
type SizingData struct {
	Code  string     `json:"code"` // its id
	Runs  []RunSize  `json:"runs"` // as [Sizing.At] counts
	Vents []VentSize `json:"vents,omitempty"`
}

// Data returns the sizing as plain data.
func (s *Sizing) Data() SizingData {
	if s.made() != nil {
		return SizingData{}
	}
	d := SizingData{Code: s.code.ID(), Runs: make([]RunSize, 0, s.Len()), Vents: s.Vents()}
	for _, r := range s.All() {
		d.Runs = append(d.Runs, r)
	}
	return d
}

// MarshalJSON writes the [SizingData].
func (s Sizing) MarshalJSON() ([]byte, error) { return json.Marshal(s.Data()) }

// MarshalJSON writes the list of each [Level], as [Levels.At] counts.
func (lv Levels) MarshalJSON() ([]byte, error) {
	list := make([]Level, 0, lv.Len())
	for _, v := range lv.All() {
		list = append(list, v)
	}
	return json.Marshal(list)
}
