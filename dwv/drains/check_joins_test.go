package drains

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Runs without a material are asked about once a system, whatever is around them.
func TestMaterialNotGiven(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	for _, id := range []string{"S1", "S3", "C1"} {
		pt(l, id).Run.Material = ""
	}
	pt(l, "S1").Run.Part = dwv.Sewer
	var got []string
	for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
		if f.Rule == "drain-material" && f.Value == nil {
			got = append(got, fmt.Sprintf("%v %s: %s", f.Verdict, f.Place, f.Reason))
		}
	}
	want := []string{"ask clay: No material is given for C1.", "ask soil: No material is given for S1, S3."}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	// What lies above the floor is not pipe below a slab.
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			l.Systems[s].Points[p].Run.Material = ""
			l.Systems[s].Points[p].AboveFloor = true
		}
	}
	wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "none of drain-material")
}

// A few of many runs are the least ids, whatever order they come in.
func TestSomeRuns(t *testing.T) {
	for n, want := range []string{"", "a", "a, b", "a, b, c", "a, b, c, d", "a, b, c and 2 more runs", "a, b, c and 3 more runs"} {
		for range 20 {
			var s someRuns
			for _, k := range rand.Perm(n) {
				s.add(string(rune('a' + k)))
			}
			if s.String() != want {
				t.Fatalf("%d runs: %q, want %q", n, s.String(), want)
			}
		}
	}
}

// Of many ids the first ten are named and the rest counted, unless that is one, which is named as soon as counted.
func TestIDList(t *testing.T) {
	const ten = "P1, P2, P3, P4, P5, P6, P7, P8, P9, P10"
	for n, want := range map[int]string{0: "", 2: "P1, P2", 10: ten, 11: ten + ", P11", 12: ten + " and 2 more"} {
		var ids []string
		for k := range n {
			ids = append(ids, fmt.Sprint("P", n-k))
		}
		if got := idList(ids); got != want {
			t.Errorf("%d ids: %q, want %q", n, got, want)
		}
	}
}

// A 3 in closet drain (bore 3.068 in) joins a 2 in drain (2.067 in): crown to crown
// its invert lies 1.001 in below, at the springline half of that, at the invert level
// with it, and with a drop of as much as it lay below it is level again.
func TestJoinBelow(t *testing.T) {
	for _, tt := range []struct {
		name string
		join slope.Join
		drop units.Length
		want string
	}{
		{"crown", slope.AtCrown, 0, `fail|join-level|WV|-1.001"|0"|-1.001"`},
		{"springline", slope.AtSpringline, 0, `fail|join-level|WV|-0.5005"|0"|-0.5005"`},
		{"crown with a drop", slope.AtCrown, 1001 * in / 1000, "none of join-level"},
		{"invert", slope.AtInvert, 0, "none of join-level"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			pt(l, "S2").Run.Size = 2 * in
			pt(l, "WV").Run.Join, pt(l, "WV").Run.Drop = tt.join, tt.drop
			wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), tt.want)
		})
	}
}

// What is said of pipe outside and below the slab.
func TestMaterialWords(t *testing.T) {
	for part, want := range map[dwv.Part]string{dwv.Sewer: "The code takes PVC sewer pipe, SDR 35 (solid wall) of S1 as a building sewer.", 0: "The code does not take PVC sewer pipe, SDR 35 (solid wall) of S1 as a drain below the slab."} {
		l := mustLayout(t, "workshop.json")
		for i := range l.Systems[0].Points {
			l.Systems[0].Points[i].AboveFloor = l.Systems[0].Points[i].ID != "S1"
		}
		pt(l, "S1").Run.Material, pt(l, "S1").Run.Part = "pvc-sdr35", part
		if got := reasonOf(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), "drain-material", "soil"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// IPC 2021 704.3: a branch joins ten pipe diameters or more below the foot of a stack.
// A stack T of 4 in comes down at A, the drain goes on by 12 in to B and 12 in to C,
// where X joins: 24 in where 40 in are wanted.
func TestStackBases(t *testing.T) {
	flat := func(id, to string, length units.Length) Point {
		return Point{ID: id, To: to, Run: Run{Length: length, Grade: slope.PerFoot(in / 4), Size: 4 * in}}
	}
	basin := func(id, to string) Point {
		p := flat(id, to, 2*ft)
		p.Run.Size, p.Fixture = 2*in, &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
		return p
	}
	riser := func(id, to string, size units.Length, basins int) (points []Point) {
		points = append(points, Point{ID: id, To: to, Run: Run{Length: 8 * ft, Vertical: true, Size: size}})
		for k := range basins {
			points = append(points, basin(id+string(rune('a'+k)), id))
		}
		return points
	}
	// twoLengths makes the stack T of two runs, the fixtures on the upper one.
	twoLengths := func(l *Data, lower, upper units.Length) {
		pt(l, "T").Run.Length, pt(l, "Ta").To, pt(l, "Tb").To = lower, "R", "R"
		l.Systems[0].Points = append(l.Systems[0].Points, riser("R", "T", 4*in, 0)...)
		pt(l, "R").Run.Length = upper
	}
	code := firmCode(t, "ipc-2021")
	short := `fail|stack-base-branch|X|2'-0"|3'-4"|-1'-4"`
	for _, tt := range []struct {
		name  string
		edit  func(l *Data)
		place string
		want  []string
	}{
		{"one stack", func(*Data) {}, "X", []string{short}},
		{"its own line", func(*Data) {}, "B", nil},
		{"at its foot", func(l *Data) { pt(l, "X").To = "A" }, "X", []string{"ask|stack-base-branch|X|-|-|-"}},
		{"above the floor", func(l *Data) { pt(l, "X").AboveFloor = true }, "X", nil},
		{"a riser with one basin", func(l *Data) {
			l.Systems[0].Points[3].Run.Size = 4 * in
			l.Systems[0].Points = append(l.Systems[0].Points[:4], l.Systems[0].Points[5:]...)
		}, "X", nil},
		// A riser that does not go through a storey, of 8 ft at least, is none, but where a stack vent goes on from it.
		{"a riser of a floor", func(l *Data) { pt(l, "T").Run.Length = 8*ft - nm }, "X", nil},
		{"a riser of a floor in two lengths", func(l *Data) { twoLengths(l, 4*ft-nm, 4*ft) }, "X", nil},
		{"a storey in two lengths", func(l *Data) { twoLengths(l, 4*ft, 4*ft) }, "X", []string{short}},
		{"a storey with an offset", func(l *Data) {
			twoLengths(l, 4*ft, 4*ft)
			l.Systems[0].Points = append(l.Systems[0].Points, flat("Q", "T", 3*ft))
			pt(l, "Q").AboveFloor, pt(l, "R").To = true, "Q"
		}, "X", []string{short}},
		{"a stack vent over a low riser", func(l *Data) {
			pt(l, "T").Run.Length = 4 * ft
			l.Vents = append(l.Vents, Vent{ID: "SV", Kind: VentStackVent, From: "T",
				Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}})
		}, "X", []string{short}},
		// What comes down between them does not hide the stack, unless it wants more room yet.
		{"a riser between", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("R", "B", 2*in, 1)...) }, "X", []string{short}},
		{"a stack of 2 in between", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 2*in, 3)...) }, "X", []string{short}},
		{"a stack of 2 in that is nearer", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 2*in, 3)...)
			pt(l, "A").Run.Length = 30 * in
		}, "X", []string{`fail|stack-base-branch|X|1'-0"|1'-8"|-8"`}},
		{"a stack of 2 in at the same foot", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A", 2*in, 3)...) }, "X", []string{short}},
		{"a stack of 4 in at the same foot", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A", 4*in, 3)...) }, "X", []string{short}},
		// At 6 in they want as much room as at 4 in 20 in on: the nearer is told of.
		{"a stack that wants as much", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 4*in, 3)...)
			pt(l, "T").Run.Size, pt(l, "A").Run.Length = 6*in, 20*in
		}, "X", []string{`fail|stack-base-branch|X|1'-0"|3'-4"|-2'-4"`}},
		{"two stacks as far, as wide", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, flat("A2", "B", 12*in))
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A2", 4*in, 2)...)
		}, "X", []string{short}},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := &Data{Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -6 * ft}, Points: []Point{
				flat("C", "O", 9*ft), flat("B", "C", 12*in), flat("A", "B", 12*in)}}}}
			s := &l.Systems[0]
			s.Points = append(append(s.Points, riser("T", "A", 4*in, 2)...), basin("X", "C"))
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), code, CheckOptions{})
			if diff := gocmp.Diff(tt.want, linesOf(got, "stack-base-branch", tt.place)); diff != "" {
				t.Errorf("at %s (-want +got):\n%s", tt.place, diff)
			}
		})
	}
}

// A stub that serves nothing is a dead end from 2 ft on: X lacks an inch of it, then is as long, then a foot longer; Y
// is shorter, and of the two X has the least to spare.
func TestDeadEndMargin(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for length, want := range map[units.Length]string{
		23 * in: `pass|dead-end|X|1'-11"|2'-0"|1"`, 2 * ft: `fail|dead-end|X|2'-0"|2'-0"|0"`, 3 * ft: `fail|dead-end|X|3'-0"|2'-0"|-1'-0"`,
	} {
		l := mustLayout(t, "jobs/stub-23-in.json")
		pt(l, "X").Run.Length = length
		wantFinding(t, mustCheck(t, mustBuild(t, l), code), want)
	}
	l := mustLayout(t, "jobs/stub-23-in.json")
	y := *pt(l, "X")
	y.ID, y.To, y.Run.Length = "Y", "EX", 9*in
	l.Systems[0].Points = append(l.Systems[0].Points, y)
	var passes tables.Tally
	if _, err := checkOf(mustBuild(t, l), code, CheckOptions{Tally: &passes}); err != nil {
		t.Fatal(err)
	}
	for _, p := range passes.Rules() {
		if p.Rule == "dead-end" && (p.Least.Place != "X" || p.Least.Margin != fmt.Stringer(in)) {
			t.Errorf("least to spare: %v at %s", p.Least.Margin, p.Least.Place)
		}
	}
}

// A fitting is judged by the way it turns the flow: down a stack into a drain, along
// a branch into a stack, along a drain.
func TestFittingByTurn(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	for _, c := range []struct{ run, fitting, turn string }{
		{"LT", "long-sweep", "from vertical to horizontal"}, {"LA", "sanitary-tee", "from horizontal to vertical"}, {"S3", "wye", "from horizontal to horizontal"},
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, c.run).Run.Into = c.fitting
		var found *tables.Finding
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == "fitting-turn" && f.Place == c.run {
				found = &f
			}
		}
		if found == nil || found.Verdict != tables.Pass || !strings.Contains(found.Reason, c.turn) {
			t.Errorf("%s into the next by a %s: %v, want a pass for %s", c.run, c.fitting, found, c.turn)
		}
	}
}

// TestCarriedApart: what a drain without a fixture carries may enter a system that neither refuses it nor admits other things alone.
func TestCarriedApart(t *testing.T) {
	for _, c := range []struct {
		admits, refuses []string
		fails           bool
	}{
		{nil, nil, false}, {[]string{"rain"}, nil, false}, {[]string{"floor-drain"}, nil, true}, {nil, []string{"rain"}, true},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}},
			Point{ID: "R", Carries: "rain", Continuous: units.LitrePerSecond, Run: Run{Length: 9 * ft}})
		l.Systems[0].Admits, l.Systems[0].Refuses = c.admits, c.refuses
		fails := slices.ContainsFunc(mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), func(f tables.Finding) bool {
			return f.Rule == "system-apart" && f.Place == "R" && f.Verdict == tables.Fail
		})
		if fails != c.fails {
			t.Errorf("admits %q, refuses %q: fails %v", c.admits, c.refuses, fails)
		}
	}
}
