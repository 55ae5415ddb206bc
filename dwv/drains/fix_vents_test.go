package drains

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// upright is a vent that rises 20 ft from a point to the open air.
func upright(id, from string, kind VentKind) Vent {
	return Vent{ID: id, Kind: kind, From: from, Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}
}

// TestStraightUp: A lies 2-1/4 in over 94 ft, where its drain of 9 ft begins. Without a vent to go by the roof is 10
// ft over the floor at 100 ft, 15'-9 3/4" over A, and the vent 6 in over that (IPC 903.1); 4 ft down its drain it
// starts an inch lower. With one that starts half a bore of 3 in over A and rises 20 ft, a foot over the roof, it is
// as that. A vent that starts at the roof is a foot long.
func TestStraightUp(t *testing.T) {
	for _, c := range []struct {
		vents []Vent
		along units.Length
		id    string
		as    string
		long  units.Length
		above units.Length
	}{
		{nil, 0, "vent of A", `the roof taken as 10'-0" above the floor`, 189*in + 3*in/4, 6 * in},
		{nil, 4 * ft, "vent of A", `the roof taken as 10'-0" above the floor`, 190*in + 3*in/4, 6 * in},
		{[]Vent{upright("vent of A", "A", VentIndividual)}, 0, "vent of A too", `as high as the vent "vent of A"`, 20*ft + 3*in/2, ft},
		{[]Vent{upright("vent of A", "A", VentIndividual), upright("vent of A too", "A", VentIndividual)}, 0, "vent of A too too",
			`as high as the vent "vent of A"`, 20*ft + 3*in/2, ft},
	} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, nil))
		l.Vents = c.vents
		f := mustFit(t, l)
		made := f.ventFrom(f.of.tree.index["A"], f.of.tree.index["A"], c.along, 0)
		d := f.with(made)
		v := d.Vents[len(d.Vents)-1]
		if !strings.HasSuffix(made.do, " straight up through the roof ("+c.as+").") || v.ID != c.id || v.Runs[0].Length != c.long ||
			v.Terminal.AboveRoof != c.above || (v.From == "A+") != (c.along > 0) {
			t.Errorf("%d vents, %v along: %s %+v", len(c.vents), c.along, made.do, v)
		}
	}
	l := straight(lavatory("A", Run{Length: 9 * ft}, nil))
	l.Systems[0].Outlet.Invert = 110*ft - 11*in
	f := mustFit(t, l)
	if v, _ := f.straightUp(f.of.tree.index["A"], "V", VentIndividual); v.Runs[0].Length != ft {
		t.Errorf("%+v", v)
	}
}

// TestRelieveBranchAt: the branch from A is relieved at A or at one of the next two points, and not past a riser.
func TestRelieveBranchAt(t *testing.T) {
	for riser, want := range map[string]int{"": 3, "A": 1, "B": 2, "C": 3} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}},
			Point{ID: "C", Run: Run{Length: 9 * ft}},
			Point{ID: "B", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil))
		if riser != "" {
			pt(l, riser).Run.Vertical, pt(l, riser).Run.Grade = true, slope.Grade{}
		}
		l.Vents = []Vent{upright("V", "A", VentIndividual)}
		f := mustFit(t, l)
		list := relieveBranch(f.problem(&tables.Finding{Rule: "air-admittance-valve", Place: "V", Side: "relief"}))
		var from []string
		for _, c := range list {
			from = append(from, f.with(c).Vents[1].From)
		}
		if !slices.Equal(from, []string{"A", "B", "C"}[:want]) {
			t.Errorf("a riser at %q: %v", riser, from)
		}
	}
}

// TestBesideStack: the vent stack starts at what the stack T drains to, or at its foot where that is the outlet.
func TestBesideStack(t *testing.T) {
	for to, from := range map[string]string{"D": "D", "O": "T"} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "T", Run: Run{Length: 9 * ft, Vertical: true}})
		pt(l, "T").Run.Grade, pt(l, "T").To = slope.Grade{}, to
		f := mustFit(t, l)
		c := besideStack(f.problem(&tables.Finding{Rule: "vent-stack-needed", Place: "T"}))[0]
		if v := f.with(c).Vents[0]; v.From != from || v.Kind != VentStack || !strings.Contains(c.do, "from its foot "+from+" up") {
			t.Errorf("%s: %+v", c.do, v)
		}
	}
}

// TestVentHead: of AS/NZS 3500.2 the head of a drain is vented in DN 50, or DN 65 over 30 units. V of DN 50 is
// enlarged for the second alone, and a vent that others join, V2, at neither; the trap at the head is vented on its
// own in either.
func TestVentHead(t *testing.T) {
	code := mustCode(t, "asnzs3500-2")
	l := mustLayout(t, "jobs/drain-vent-40-mm.json", code)
	v := vent(l, "V")
	v.Size, v.To, v.Terminal = 50*units.Millimetre, "V2", nil
	l.Vents = append(l.Vents, Vent{ID: "V2", Kind: VentBranch, Size: 40 * units.Millimetre, Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 2 * units.Metre, Direction: VentUp}}})
	f, err := mustSize(t, mustBuild(t, l), code).newFit(t.Context(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var enlarged []string
	own := map[units.Length]int{}
	for _, c := range ventHead(f.problem(&tables.Finding{Rule: "drain-vent", Place: "sanitary", Limit: 10 * units.Metre})) {
		if d := f.with(c); len(d.Vents) > 2 {
			own[d.Vents[2].Size]++
		} else {
			enlarged = append(enlarged, c.do)
		}
	}
	if !slices.Equal(enlarged, []string{"Run the vent V in DN 65."}) || len(own) != 2 || own[50*units.Millimetre] == 0 ||
		own[65*units.Millimetre] == 0 {
		t.Errorf("%q, %v", enlarged, own)
	}
	// Where all lies outside there is no head within the building, and the vents there are are enlarged all the same.
	for k := range l.Systems[0].Points {
		l.Systems[0].Points[k].Run.Part = dwv.Sewer
	}
	if f, err = mustSize(t, mustBuild(t, l), code).newFit(t.Context(), FitOptions{}); err != nil {
		t.Fatal(err)
	}
	if got := said(ventHead(f.problem(&tables.Finding{Rule: "drain-vent", Place: "sanitary"}))); !slices.Equal(got, enlarged) {
		t.Errorf("%q", got)
	}
}

// valved is two vents that end in valves and one in the open air, each of a lavatory.
func valved() *Data {
	l := straight(lavatory("A", Run{Length: 9 * ft}, nil), lavatory("B", Run{Length: 9 * ft}, nil), lavatory("C", Run{Length: 9 * ft}, nil))
	for k, from := range []string{"A", "B", "C"} {
		v := upright(fmt.Sprint("V", k), from, VentIndividual)
		if k < 2 {
			v.Valve, v.Terminal = &VentValve{}, nil
		}
		l.Vents = append(l.Vents, v)
	}
	return l
}

// TestOpenVent: of vents that end in the open air each is enlarged, by up to four sizes, wherever it stands in the
// list.
func TestOpenVent(t *testing.T) {
	f := mustFit(t, valved())
	list := openVent(f.problem(&tables.Finding{Rule: "vent-open", Place: "the layout", Limit: 3 * in}))
	if len(list) != 4 {
		t.Errorf("%q", said(list))
	}
	for _, c := range list {
		if !strings.HasPrefix(c.do, "Run the vent V2 in ") || !strings.HasSuffix(c.do, " up to the open air.") {
			t.Errorf("%q", c.do)
		}
	}
}

// TestThroughRoof: a vent that ends in a valve goes on through the roof: the one that the finding names, or any.
// Where the open air lacks section that is in one of four larger sizes too, and no less than 3 in if it is drawn.
func TestThroughRoof(t *testing.T) {
	for _, c := range []struct {
		rule, place string
		drawn       units.Length
		vents       []string
		changes     int
		size        units.Length // of the first then
	}{
		{"air-admittance-valve", "V0", 0, []string{"V0"}, 1, 0}, {"air-admittance-valve", "V1", 0, []string{"V1"}, 1, 0},
		{"air-admittance-valve", "V2", 0, nil, 0, 0}, {"air-admittance-valve", "s", 0, []string{"V0", "V1"}, 2, 0},
		{"air-admittance-valve", "s", 2 * in, []string{"V0", "V1"}, 2, 2 * in},
		{"vent-open", "the layout", 0, []string{"V0", "V1"}, 10, 0}, {"vent-open", "the layout", 2 * in, []string{"V0", "V1"}, 10, 3 * in},
	} {
		l := valved()
		for k := range l.Vents {
			l.Vents[k].Size = c.drawn
		}
		f := mustFit(t, l)
		list := throughRoof(f.problem(&tables.Finding{Rule: c.rule, Place: c.place, Limit: 3 * in}))
		var vents []string
		for k, x := range list {
			v := vent(f.with(x), x.of)
			if vents = append(vents, x.of); v.Valve != nil || v.Terminal.AboveRoof != 6*in || v.Runs[0].Length != 30*ft ||
				k == 0 && v.Size != c.size || k == 1 && c.rule == "vent-open" && v.Size < 3*in {
				t.Errorf("%+v: %s: %+v", c, x.do, v)
			}
		}
		if len(list) != c.changes || !slices.Equal(slices.Compact(vents), c.vents) {
			t.Errorf("%+v: %q", c, said(list))
		}
	}
}

// TestHigher: a vent goes a foot higher in its first run that rises, wherever that stands, and rises with it as far
// as it is told; one that has none rises first.
func TestHigher(t *testing.T) {
	up, flat := VentRun{Length: 4 * ft, Direction: VentUp}, VentRun{Length: 6 * ft, Direction: VentHorizontal}
	slant, more := VentRun{Length: 5 * ft, Rise: 4 * ft, Direction: VentUp}, VentRun{Length: 5 * ft, Direction: VentUp}
	for _, c := range []struct{ runs, want []VentRun }{
		{[]VentRun{up, flat, up}, []VentRun{more, flat, up}}, {[]VentRun{flat, up}, []VentRun{flat, more}},
		{[]VentRun{slant}, []VentRun{{Length: 6 * ft, Rise: 5 * ft, Direction: VentUp}}},
		{[]VentRun{flat}, []VentRun{{Length: ft, Direction: VentUp}, flat}}, {nil, []VentRun{{Length: ft, Direction: VentUp}}},
	} {
		v := &Vent{Runs: slices.Clone(c.runs)}
		if higher(v, ft); !slices.Equal(v.Runs, c.want) {
			t.Errorf("%+v: %+v, want %+v", c.runs, v.Runs, c.want)
		}
	}
}

// TestFlatVents: a vent that starts flat and too low rises first; one that runs flat farther on, or joins another too
// low, goes higher before.
func TestFlatVents(t *testing.T) {
	const first, higher = `Let the vent V rise 1" first, and run flat there.`, `Carry the vent V up 1" higher before it runs flat.`
	for _, c := range []struct {
		rule  string
		flat  bool
		wants string
	}{{"vent-flat", true, first}, {"vent-flat", false, higher}, {"vent-join", true, higher}, {"vent-join", false, higher}} {
		l := straight(lavatory("A", Run{Length: 9 * ft}, nil))
		l.Vents = []Vent{upright("V", "A", VentIndividual)}
		if c.flat {
			l.Vents[0].Runs = []VentRun{{Length: ft, Direction: VentHorizontal}, {Length: 20 * ft, Direction: VentUp}}
		}
		f := mustFit(t, l)
		list := slices.Collect(f.problem(&tables.Finding{Rule: c.rule, Place: "V", Margin: -in}).changes())
		if got := strings.Join(said(list), " "); got != c.wants {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// TestIslandDrains: an island vent that ends 1 in too low turns down 1 in less, or its low end is led into the drain
// at one of the three next points; one that is not too low, into one of the next four.
func TestIslandDrains(t *testing.T) {
	l := straight(Point{ID: "F", Run: Run{Length: 9 * ft}}, Point{ID: "E", Run: Run{Length: 9 * ft}}, Point{ID: "D", Run: Run{Length: 9 * ft}},
		Point{ID: "C", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil))
	l.Vents = []Vent{upright("V", "A", VentIsland)}
	f := mustFit(t, l)
	for value, want := range map[units.Length][]string{in: {"", "B", "C", "D"}, 0: {"B", "C", "D", "E"}} {
		p := tables.Finding{Rule: "island-vent", Place: "V", Side: "drains", Value: value}
		var led []string
		for _, c := range islandDrains(f.problem(&p)) {
			led = append(led, f.with(c).Vents[0].Drains)
		}
		if !slices.Equal(led, want) {
			t.Errorf("%v too low: led to %q, want %q", value, led, want)
		}
	}
}

// TestVentOf: the vent that a finding stands at, or the one that vents the stretch that it stands on: V1 from A to B,
// V2 from C to D; V0 vents no stretch.
func TestVentOf(t *testing.T) {
	l := straight(Point{ID: "E", Run: Run{Length: 9 * ft}}, Point{ID: "D", Run: Run{Length: 9 * ft}},
		lavatory("C", Run{Length: 9 * ft}, nil), Point{ID: "B", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil))
	pt(l, "B").To = "E"
	l.Vents = []Vent{upright("V0", "E", VentIndividual), upright("V1", "A", VentWet), upright("V2", "C", VentWet)}
	l.Vents[1].Through, l.Vents[2].Through = "B", "D"
	f := mustFit(t, l)
	for place, want := range map[string]int{"V0": 0, "V1": 1, "V2": 2, "A": 1, "B": 1, "C": 2, "D": 2, "E": -1, "s": -1, "O": -1} {
		if got := f.problem(&tables.Finding{Place: place}).ventOf(); got != want {
			t.Errorf("%s: vent %d, want %d", place, got, want)
		}
	}
	for _, place := range []string{"E", "V0"} { // there is nothing to vent apart
		if list := ventApart(f.problem(&tables.Finding{Rule: "wet-vent-fixtures", Place: place})); list != nil {
			t.Errorf("%s: %q", place, said(list))
		}
	}
}

// TestLeadPast: a kitchen sink on a wet vent is led to where that ends or one point on, with a vent of its own. A wet
// vent that ends where it starts lets nothing through.
func TestLeadPast(t *testing.T) {
	for through, want := range map[string][]string{"B": {"C", "D"}, "A": nil} {
		l := straight(Point{ID: "E", Run: Run{Length: 9 * ft}}, Point{ID: "D", Run: Run{Length: 9 * ft}},
			Point{ID: "C", Run: Run{Length: 9 * ft}},
			Point{ID: "B", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 9 * ft}, nil), lavatory("K", Run{Length: 9 * ft}, nil))
		pt(l, "K").Fixture.Kind = "kitchen-sink"
		l.Vents = []Vent{upright("V", "A", VentWet)}
		l.Vents[0].Through = through
		f := mustFit(t, l)
		var led []string
		for _, c := range pastWetVent(f.problem(&tables.Finding{Rule: "wet-vent-fixtures", Place: "V"})) {
			d := f.with(c)
			if led = append(led, pt(d, "K").To); d.Vents[1].From != "K" {
				t.Errorf("%s: %+v", c.do, d.Vents)
			}
		}
		if !slices.Equal(led, want) {
			t.Errorf("through %s: led to %q, want %q", through, led, want)
		}
	}
}

// TestWasteStackEnlarged: the waste stack of 2 in is run in 2-1/2 or larger, and what is smaller after it with it: A
// of 22 dfu, three sinks of 2 and 16 kept, needs 2-1/2 in (IPC Table 710.1(1): 2 in carries 21 at 1/4 in/ft) and
// grows in 3 in alone. The vent grows if it is drawn.
func TestWasteStackEnlarged(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for _, drawn := range []units.Length{0, 2 * in} {
		l := mustLayout(t, "jobs/waste-stack-of-6.json", code)
		pt(l, "A").Run.Size, pt(l, "A").Reserved, vent(l, "WV").Size = 0, 16*dwv.FixtureUnit, drawn
		f := mustFit(t, l)
		list := enlargeWasteStack(f.problem(&tables.Finding{Rule: "waste-stack-vent", Place: "WV", Side: "load"}))
		for k, want := range [][4]units.Length{{5 * in / 2, 0, 4 * in, 5 * in / 2}, {3 * in, 3 * in, 4 * in, 3 * in}} {
			if drawn == 0 {
				want[3] = 0
			}
			d := f.with(list[k])
			got := [4]units.Length{pt(d, "S2").Run.Size, pt(d, "A").Run.Size, pt(d, "EX").Run.Size, vent(d, "WV").Size}
			if got != want || pt(d, "S1").Run.Size != want[0] || pt(d, "S3").Run.Size != want[0] {
				t.Errorf("%s: %v, want %v", list[k].do, got, want)
			}
		}
	}
}

// TestSystemOf: a finding is of the system that it names, or of which its point, its outlet or the run that its
// footing stands at is.
func TestSystemOf(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}})
	l.Systems = append(l.Systems, System{ID: "t", Kind: Soil, Outlet: Outlet{ID: "P", Kind: ToSewer, Invert: 94 * ft},
		Points: []Point{{ID: "B", To: "P", Run: Run{Length: 9 * ft, Grade: slope.PerFoot(in / 4)}}}})
	l.Footings = []Footing{{ID: "F", Kind: FootingUnder, Run: "A", Bottom: ft}, {ID: "G", Kind: FootingUnder, Run: "B", Bottom: ft}}
	f := mustFit(t, l)
	for place, want := range map[string]int32{"s": 0, "t": 1, "A": 0, "B": 1, "O": 0, "P": 1, "F": 0, "G": 1, "Z": -1} {
		if got := f.systemOf(place); got != want {
			t.Errorf("%s: system %d, want %d", place, got, want)
		}
	}
}

// TestRaiseTrap: a trap that hangs 6 in too deep is set 6 in higher, and its drain drops that much behind half of its
// run, or a foot of it; a riser does not.
func TestRaiseTrap(t *testing.T) {
	for length, arm := range map[units.Length]units.Length{9 * ft: ft, 2 * ft: ft, 20 * in: 10 * in} {
		f := mustFit(t, straight(lavatory("A", Run{Length: length}, nil)))
		list := raiseTrap(f.problem(&tables.Finding{Rule: "trap-tail", Place: "A", Margin: -6 * in}))
		d := f.with(list[0])
		foot, top := pt(d, "A+"), pt(d, "A++")
		if a := pt(d, "A"); a.Run.Length != arm || a.To != "A++" || top.To != "A+" || top.Run.Length != 6*in || !top.Run.Vertical ||
			foot.To != "O" || foot.Run.Length != length-arm {
			t.Errorf("%v: %+v", length, d.Systems[0].Points)
		}
		if d := f.with(list[1]); len(d.Vents) != 1 || d.Vents[0].From != "A" || pt(d, "A").To != "A++" {
			t.Errorf("%v: %+v", length, d)
		}
	}
}

// TestArmOfUnknownLength: of a fall of an inch along an arm whose length nobody tells the grade is that of the drain,
// 1/4 in/ft: 1/4 in less is a foot.
func TestArmOfUnknownLength(t *testing.T) {
	l := straight(Point{ID: "C", Run: Run{Length: 9 * ft}}, lavatory("A", Run{Length: 3 * ft}, &Trap{Fall: in}))
	l.Vents = []Vent{upright("V", "C", VentIndividual)}
	f := mustFit(t, l)
	list := nearer(f.problem(&tables.Finding{Rule: "trap-arm-fall", Place: "A", Margin: -in / 4}))
	if got := said(list); !slices.Equal(got, []string{`Take the vent V off 1'-0" nearer to A, on the run from A to C.`}) {
		t.Errorf("%q", got)
	}
}

// TestCleanoutsPastShortRuns: a run that is too short for a cleanout, or a riser, keeps none off the next.
func TestCleanoutsPastShortRuns(t *testing.T) {
	l := straight(Point{ID: "C", Run: Run{Length: 30 * ft, Fittings: []string{"eighth-bend"}}},
		Point{ID: "B", Run: Run{Length: 9 * ft, Vertical: true}}, Point{ID: "A", Run: Run{Length: ft}})
	pt(l, "B").Run.Grade = slope.Grade{}
	f := mustFit(t, l)
	got := said(addCleanout(f.problem(&tables.Finding{Rule: "cleanout-spacing", Place: "A"})))
	if want := `Set a cleanout on the run from C to O, 15'-0" from C.`; len(got) != 4 || got[3] != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestOtherFitting: the fitting that does not do is another then, where the run enters and along it, and no other is.
func TestOtherFitting(t *testing.T) {
	bends := []string{"eighth-bend", "sanitary-tee", "quarter-bend"}
	for into, want := range map[string]string{"sanitary-tee": "combination-wye-eighth-bend", "wye": "wye"} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}})
		f := mustFit(t, l)
		list := otherFitting(f.problem(&tables.Finding{Rule: "fitting-turn", Place: "A", Value: word("sanitary-tee")}))
		if len(list) != 3 || list[0].do != "Use a combination wye eighth bend at A." {
			t.Fatalf("%q", said(list))
		}
		d := f.of.of.Data()
		pt(&d, "A").Run.Into, pt(&d, "A").Run.Fittings = into, slices.Clone(bends)
		list[0].edit(&d)
		fittings := []string{"eighth-bend", "combination-wye-eighth-bend", "quarter-bend"}
		if run := pt(&d, "A").Run; run.Into != want || !slices.Equal(run.Fittings, fittings) {
			t.Errorf("%+v", run)
		}
	}
}

// TestFiguresShown: what is found of a fix has its figures as a check has them.
func TestFiguresShown(t *testing.T) {
	l := sinkLine()
	l.Systems[0].Outlet.Invert = 99*ft + in/32
	s := mustSize(t, l, mustCode(t, "ipc-2021"))
	fixes, err := s.Fixes(t.Context(), FitOptions{})
	if err != nil || len(fixes) == 0 {
		t.Fatal(fixes, err)
	}
	found := problemsOf(t, s)
	for _, x := range fixes {
		k := slices.IndexFunc(found, func(f tables.Finding) bool { return f.ID() == x.Finding.ID() })
		if k < 0 || found[k].Value != x.Finding.Value || found[k].Margin != x.Finding.Margin || found[k].Reason != x.Finding.Reason {
			t.Errorf("%+v is not shown so by a check", x.Finding)
		}
	}
}
