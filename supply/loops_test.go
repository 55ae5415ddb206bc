package supply

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// plant is a heater with a main of n branches, a return from the end of each. Returns run
// into the one of the farthest branch, or each back to the heater.
func plant(n int, common bool) Data {
	const m = units.Metre
	d := loops()
	d.Points, d.Fixtures, d.Recirculation = d.Points[:1], nil, nil
	from := "WH"
	add := func(p Point) { d.Points = append(d.Points, p) }
	for k := range n {
		h := fmt.Sprintf("H%d", k)
		add(Point{ID: h, From: from, Length: 2 * m})
		add(Point{ID: "A" + h, From: h, Length: m})
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "f" + h, Hot: "A" + h,
			Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
		from = h
	}
	if common {
		up := "AH" + fmt.Sprint(n-1)
		for k := n - 1; k >= 0; k-- {
			r := fmt.Sprintf("C%d", k)
			add(Point{ID: r, From: up, Line: "recirc", Length: 2 * m})
			up = r
		}
		d.Recirculation = append(d.Recirculation, Loop{ID: "main", Heater: "WH", Return: "C0", Drop: 5})
		for k := range n - 1 {
			r := fmt.Sprintf("R%d", k)
			add(Point{ID: r, From: fmt.Sprintf("AH%d", k), Line: "recirc", Length: m})
			d.Recirculation = append(d.Recirculation, Loop{ID: r, Heater: "WH", Return: r, Drop: 5, Into: fmt.Sprintf("C%d", k+1)})
		}
		return d
	}
	for k := range n {
		r := fmt.Sprintf("R%d", k)
		add(Point{ID: r, From: fmt.Sprintf("AH%d", k), Line: "recirc", Length: units.Length(2*k+2) * m})
		d.Recirculation = append(d.Recirculation, Loop{ID: r, Heater: "WH", Return: r, Drop: 5})
	}
	return d
}

// TestManyLoops: whatever the number of loops, what they lose is what their runs lose, what
// flows in a run is what its loops need, and the order of a file changes nothing.
func TestManyLoops(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, common := range []bool{false, true} {
		d := plant(60, common)
		s := sized(t, c, d)
		list, err := s.Circulations()
		if err != nil {
			t.Fatal(err)
		}
		heats, err := s.HeatLosses()
		if err != nil {
			t.Fatal(err)
		}
		lost := map[string]units.Power{}
		for _, h := range heats {
			lost[h.Point] = h.Heat
		}
		var runs, kept units.Power
		circulates := map[string]units.Flow{}
		for _, x := range list {
			kept += x.Heat
			for _, id := range x.LossRuns {
				if circulates[id] == 0 {
					runs += lost[id]
				}
				circulates[id] += x.Flow
			}
			if x.Throttle < 0 || x.Returns < units.Celsius(55)-1e-9 {
				t.Errorf("common %t: loop %s: throttled by %v, returns at %v", common, x.ID, x.Throttle, x.Returns)
			}
		}
		if math.Abs(float64(runs/kept)-1) > 1e-9 {
			t.Errorf("common %t: the loops lose %v, their runs %v", common, kept, runs)
		}
		for id, flow := range circulates {
			i, _ := s.layout.Find(id)
			if got := s.At(i).Circulates; math.Abs(float64(got/flow)-1) > 1e-9 {
				t.Errorf("common %t: %v circulate in run %s, the loops need %v", common, got, id, flow)
			}
		}
		turned := d
		turned.Points = slices.Clone(d.Points)
		slices.Reverse(turned.Points)
		turned.Recirculation = slices.Clone(d.Recirculation)
		slices.Reverse(turned.Recirculation)
		other, err := sized(t, c, turned).Circulations()
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(other)
		for k := range list {
			a, b := &list[k], &other[k]
			if a.ID != b.ID || math.Abs(float64(a.Head/b.Head)-1) > 1e-6 || math.Abs(float64(a.Flow/b.Flow)-1) > 1e-9 ||
				math.Abs(float64(a.Unbalanced-b.Unbalanced)) > 1e-6*float64(a.Flow) {
				t.Errorf("common %t: loop %s: %v, %v, %v; turned round %v, %v, %v", common, a.ID, a.Flow, a.Head,
					a.Unbalanced, b.Flow, b.Head, b.Unbalanced)
			}
		}
	}
}
