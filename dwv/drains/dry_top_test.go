package drains

import (
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// dryTop is twelve closets that drain into a stack K of 4 in; above it stands a piece of pipe
// TOP that nothing drains into, from which the stack vent goes on.
func dryTop(top units.Length) *Data {
	closet := &dwv.Fixture{Kind: "water-closet", Count: 6, Use: dwv.Public, Control: dwv.Tank, Flush: 1.6 * units.USGallon}
	l := straight(Point{ID: "FT", Run: Run{Length: 6 * ft}}, Point{ID: "K", Run: Run{Length: 11 * ft}}, Point{ID: "C0", Run: Run{Length: 3 * ft}, Fixture: closet})
	p := &l.Systems[0].Points
	*p = append(*p, Point{ID: "C1", To: "K", Run: Run{Length: 4 * ft, Size: 3 * in, Grade: (*p)[0].Run.Grade}, Fixture: closet},
		Point{ID: "TOP", To: "K", Run: Run{Length: 8 * ft, Size: top, Vertical: true}})
	for i := range *p {
		(*p)[i].Run.Size = 4 * in
	}
	(*p)[4].Run.Size = top
	(*p)[1].Run = Run{Length: 11 * ft, Size: 4 * in, Vertical: true}
	l.Vents = []Vent{{ID: "SV", Kind: VentStackVent, From: "TOP", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}}}
	return l
}

// TestDryTop: what nothing drains into is part of the stack vent. The vent is 12 ft and
// 8 ft long, serves the 4 in stack and its 48 units, and is at least half of that, 2 in
// (IPC 2021 906.1, 906.2); the dry pipe below it is as large. Where a fixture
// drains in at the top it is a stack, and the vent begins there.
func TestDryTop(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	s := mustSize(t, dryTop(0), code)
	v := s.Vents()[0]
	if v.Length != 20*ft || v.Drain != 4*in || v.Load != 48*dwv.FixtureUnit || v.Required != 2*in {
		t.Errorf("the stack vent: %+v", v)
	}
	if r, _ := s.Of("TOP"); r.Size != 2*in {
		t.Errorf("the dry top: %+v", r)
	}
	for size, want := range map[units.Length]tables.Verdict{3 * in / 2: tables.Fail, 2 * in: tables.Pass, 3 * in: tables.Pass} {
		got := tables.Verdict(0)
		for _, f := range checkAllWays(t, dryTop(size), code, CheckOptions{}) {
			if f.Rule == "drain-size" && f.Place == "TOP" && f.Verdict != tables.Pass {
				got = f.Verdict
			}
		}
		if want == tables.Fail && got != want || want == tables.Pass && got != 0 {
			t.Errorf("a dry top drawn %v: %v", size, got)
		}
	}
	l := dryTop(0)
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "L", To: "TOP", Run: pt(l, "C0").Run, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}})
	if v := mustSize(t, l, code).Vents()[0]; v.Length != 12*ft || v.Load != dwv.FixtureUnit {
		t.Errorf("a lavatory at the top: %+v", v)
	}
	l = dryTop(0)
	l.Vents[0].Kind = VentStack
	if v := mustSize(t, l, code).Vents()[0]; v.Length != 12*ft {
		t.Errorf("no stack vent: %+v", v)
	}
}

// TestUnventedCites: a trap without a vent fails by the table that gives its way to one,
// and a pipe through concrete without a sleeve by the rule that asks for it.
func TestUnventedCites(t *testing.T) {
	for code, want := range map[string]string{"ipc-2021": "Table 909.1", "upc-2021": "Table 1002.2"} {
		l := straight(Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in}, Fixture: &dwv.Fixture{Kind: "shower", Count: 1, Use: dwv.Private}})
		l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "S", Bottom: 9 * ft}}
		found := 0
		for _, f := range checkAllWays(t, l, mustCode(t, code), CheckOptions{}) {
			if f.Rule == "trap-vented" && f.Verdict == tables.Fail && f.Citation.Section() == want {
				found++
			}
			if f.Rule == "footing-sleeve" && f.Verdict == tables.Fail && (code != "ipc-2021" || f.Citation.Section() == "305.3") {
				found++
			}
		}
		if found != 2 {
			t.Errorf("%s: %d of a trap by %s and a sleeve", code, found, want)
		}
	}
}
