package drains

import (
	"fmt"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestGroupOfFixtures: by the IPC a private bathroom with a closet of 1.6 gal is 5 dfu, while its closet (3), lavatory (1)
// and tub (2) are 6; two of them are 10 for 12. What is not alike, not private or not of a bathroom makes no group.
func TestGroupOfFixtures(t *testing.T) {
	const gal = units.USGallon
	code := mustCode(t, "ipc-2021")
	closet := tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * gal}
	large, valve := closet, closet
	large.Flush, valve.Control = 3.5*gal, tables.Valve
	private := func(kind string) tables.Fixture { return tables.Fixture{Kind: kind, Count: 1, Use: tables.Private} }
	lavatory, tub, shower, public, two := private("lavatory"), private("bathtub"), private("shower"), private("lavatory"),
		private("lavatory")
	public.Use, two.Count = tables.Public, 2
	type list = []tables.Fixture
	for _, c := range []struct {
		name  string
		of    list
		group dwv.FixtureUnits // nought: none
	}{
		{"a bathroom", list{closet, lavatory, tub}, 5}, {"with a shower", list{closet, lavatory, shower}, 5},
		{"two bathrooms", list{closet, lavatory, tub, closet, lavatory, shower}, 10},
		{"closets of other flushes", list{closet, lavatory, tub, large, lavatory, shower}, 0},
		{"closets of other controls", list{closet, lavatory, tub, valve, lavatory, shower}, 0},
		{"no closet", list{lavatory, tub}, 0}, {"no lavatory", list{closet, tub}, 0}, {"no tub", list{closet, lavatory}, 0},
		{"a lavatory more", list{closet, lavatory, lavatory, tub}, 0}, {"a tub more", list{closet, lavatory, tub, shower}, 0},
		{"a public lavatory", list{closet, public, tub}, 0}, {"two lavatories on one drain", list{closet, two, tub}, 0},
		{"a kitchen sink", list{closet, lavatory, tub, private("kitchen-sink")}, 0},
		{"three bathrooms", list{closet, closet, closet, lavatory, lavatory, lavatory, tub, tub, tub}, 0},
	} {
		sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in}}
		for i := range c.of {
			sys.Points = append(sys.Points, Point{ID: fmt.Sprint("P", i), To: "O", Fixture: &c.of[i],
				Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}})
		}
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{sys}}), code)
		r := &rater{code: code, known: map[tables.Fixture]int32{}, refused: map[tables.Fixture]error{}, rated: s.rated}
		g, ok := s.group(s.tree.of(0), r)
		if ok != (c.group > 0) || ok && g.load.Units != c.group*dwv.FixtureUnit {
			t.Errorf("%s: %v, a group %v; want %d dfu", c.name, g.load.Units, ok, c.group)
		}
		if want := len(c.of) / 3; ok && (g.rooms != want || g.singly != dwv.FixtureUnits(6*want)*dwv.FixtureUnit) {
			t.Errorf("%s: %d rooms, singly %v", c.name, g.rooms, g.singly)
		}
	}
}

// TestOpenWithValves: where a vent ends in an air admittance valve one at least must end in the open air. A vent that
// joins another counts as neither.
func TestOpenWithValves(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	point := func(id string) Point {
		return Point{ID: id, To: "M", Fixture: lavatory, Run: Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}}
	}
	up := []VentRun{{Length: 12 * ft, Direction: VentUp}}
	valve := Vent{ID: "V1", Kind: VentIndividual, From: "L1", Runs: up, Valve: &VentValve{Type: ValveBranch}}
	open := Vent{ID: "V2", Kind: VentIndividual, From: "L2", Runs: up, Terminal: &Terminal{AboveRoof: 12 * in}}
	joined := Vent{ID: "V2", Kind: VentIndividual, From: "L2", Runs: up, To: "V1"}
	for _, c := range []struct {
		name  string
		vents []Vent
		fails bool
	}{
		{"a valve and an open vent", []Vent{valve, open}, false}, {"a valve and one that joins it", []Vent{valve, joined}, true},
		{"a valve alone", []Vent{valve}, true}, {"an open vent alone", []Vent{open}, false},
	} {
		d := &Data{FinishedFloor: 100 * ft, Vents: c.vents, Systems: []System{{ID: "S", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in},
			Points: []Point{{ID: "M", To: "O", Run: Run{Length: 9 * ft, Grade: slope.PerFoot(in / 4)}}, point("L1"), point("L2")}}}}
		fails := false
		for _, f := range mustCheck(t, mustBuild(t, d), code) {
			fails = fails || f.Rule == ruleValve && f.Side == "open" &&
				(f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail) // the row is from memory
		}
		if fails != c.fails {
			t.Errorf("%s: fails %v", c.name, fails)
		}
	}
}

// TestOwnClosets: two closets stand at the lower of two points, one at the upper: the lower run carries three, of which
// two are its own, and the outlet adds none.
func TestOwnClosets(t *testing.T) {
	closets := func(n int) *tables.Fixture {
		return &tables.Fixture{Kind: "water-closet", Count: n, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
	}
	run := Run{Length: 5 * ft, Grade: slope.PerFoot(in / 4)}
	s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 95 * ft, Size: 4 * in}, Points: []Point{
			{ID: "low", To: "O", Run: run, Fixture: closets(2)}, {ID: "high", To: "low", Run: run, Fixture: closets(1)}}}}}),
		mustCode(t, "ipc-2021"))
	for at, want := range []int{0, 2, 1} { // the outlet, then the points in their order
		if got := s.ownClosets(int32(at)); got != want {
			t.Errorf("node %d adds %d closets, want %d", at, got, want)
		}
	}
}

// TestDoubleFittingOnRiser: two branches that meet over an upright drain take a double fixture fitting if they come
// from opposite sides, or nobody says from where; at a square to one another they do not.
func TestDoubleFittingOnRiser(t *testing.T) {
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	level := slope.PerFoot(in / 4)
	for _, c := range []struct {
		name     string
		from, to *Bearing
		double   bool
	}{
		{"opposite", bearing(90), bearing(270), true}, {"not said", nil, nil, true}, {"one not said", bearing(90), nil, true},
		{"square", bearing(90), bearing(180), false},
	} {
		branch := func(id string, b *Bearing) Point {
			p := Point{ID: id, To: "T", AboveFloor: true, Fixture: lavatory,
				Run: Run{Length: 3 * ft, Grade: level, Size: 2 * in, Material: "pvc-dwv"}}
			if b != nil {
				p.Run.Bearing = *b
			}
			return p
		}
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "S", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 97 * ft, Size: 4 * in}, Points: []Point{
				{ID: "D", To: "O", Run: Run{Length: 9 * ft, Grade: level, Size: 3 * in, Material: "pvc-dwv"}},
				{ID: "T", To: "D", AboveFloor: true, Run: Run{Length: 5 * ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}},
				branch("L1", c.from), branch("L2", c.to)}}}}), mustCode(t, "ipc-2021"))
		off, err := s.TakeOff(TakeOffOptions{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range off.Fittings {
			if f.Kind == "double-fixture-fitting" {
				n += f.Count
			}
		}
		if (n == 1) != c.double || n > 1 {
			t.Errorf("%s: %d double fixture fittings of %+v", c.name, n, off.Fittings)
		}
	}
}

func bearing(degrees float64) *Bearing {
	b := Degrees(degrees)
	return &b
}
