package drains

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// crossed is a 4 in drain along the x axis and a 2 in drain of another system along
// the y axis, which cross at 10 ft, 0 ft. Both fall 1/4 in per ft and are PVC to
// ASTM D2665: 4 in has an inside diameter of 4.026 in and a wall of 0.237 in, 2 in has
// 2.067 in and 0.154 in. So where they cross the centre of the one lies at
// 96 ft + 2 1/2 in + 2.013 in, that of the other at its outlet's invert
// + 2 1/2 in + 1.0335 in, and with half of 4 1/2 in and half of 2.375 in they touch
// when that invert is 96 ft 4.417 in.
func crossed(invert units.Length) *Data {
	quarter := slope.PerFoot(in / 4)
	at := func(x, y float64) *Position { return &Position{X: units.Feet(x), Y: units.Feet(y)} }
	return &Data{Job: "crossed", FinishedFloor: 100 * ft, Systems: []System{
		{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "SO", Kind: ToSewer, Invert: 96 * ft, Size: 4 * in, At: at(0, 0)}, Points: []Point{
			{ID: "S1", To: "SO", At: at(20, 0), Run: Run{Length: 20 * ft, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}},
		}},
		{ID: "waste", Kind: Waste, Outlet: Outlet{ID: "WO", Kind: ToDrain, Invert: invert, Size: 2 * in, At: at(10, -10)}, Points: []Point{
			{ID: "W1", To: "WO", At: at(10, 10), Run: Run{Length: 20 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv"}},
		}},
	}}
}

// parted adds two 4 in lines that end 4 in from each other and go on to a fitting at x
// by a piece of pipe each.
func parted(l *Data, to string, x, piece units.Length) {
	run := func(length units.Length) Run {
		return Run{Length: length, Grade: slope.PerFoot(in / 4), Size: 4 * in, Material: "pvc-dwv"}
	}
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "L", To: to, At: &Position{X: x, Y: 2 * in}, Run: run(piece)},
		Point{ID: "R", To: to, At: &Position{X: x, Y: -2 * in}, Run: run(piece)},
		Point{ID: "LL", To: "L", At: &Position{X: x + 5*ft, Y: 5 * ft}, Run: run(7 * ft)},
		Point{ID: "RR", To: "R", At: &Position{X: x + 5*ft, Y: -5 * ft}, Run: run(7 * ft)})
}

// above adds a piece of the main, drawn 4 in long, and a branch at its upper end.
func above(l *Data, piece units.Length) {
	run := func(length units.Length) Run {
		return Run{Length: length, Grade: slope.PerFoot(in / 4), Size: 4 * in, Material: "pvc-dwv"}
	}
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "S2", To: "S1", At: &Position{X: 20*ft + 4*in}, Run: run(piece)},
		Point{ID: "S3", To: "S2", At: &Position{X: 20*ft + 4*in, Y: 5 * ft}, Run: run(5 * ft)})
}

func TestCrossings(t *testing.T) {
	touch := units.MustParse[units.Length]("96 ft 4.417 in")
	mil := units.MustParse[units.Length]("0.001 in")
	quarter := slope.PerFoot(in / 4)
	tests := []struct {
		name   string
		invert units.Length
		edit   func(l *Data)
		want   string
	}{
		{"touching", touch, func(*Data) {}, `pass|drain-crossing|W1|0"|0"|0"`},
		{"a mil too low", touch - mil, func(*Data) {}, `fail|drain-crossing|W1|-0.001"|0"|-0.001"`},
		{"room asked for", touch + 2*in, func(l *Data) { l.MinimumClearance = 2 * in }, `pass|drain-crossing|W1|2"|2"|0"`},
		{"a mil short of it", touch + 2*in - mil, func(l *Data) { l.MinimumClearance = 2 * in },
			`fail|drain-crossing|W1|1.999"|2"|-0.001"|Move one of them`},
		// Below: 2.25 + 1.1875 in the other way, 6.875 in lower.
		{"touching from below", touch - units.MustParse[units.Length]("6.875 in"), func(*Data) {}, `pass|drain-crossing|S1|0"|0"|0"`},
		{"too high from below", touch - units.MustParse[units.Length]("6.874 in"), func(*Data) {}, `fail|drain-crossing|S1|-0.001"|0"|-0.001"`},
		{"at one height", touch - units.MustParse[units.Length]("3.4375 in"), func(*Data) {}, `fail|drain-crossing|S1|-3 7/16"|0"|-3 7/16"`},
		{"one that ends short of the other", touch - in, func(l *Data) { pt(l, "W1").At.Y = -4 * in }, "none of drain-crossing"},
		{"one that ends on the other", touch - in, func(l *Data) { pt(l, "W1").At.Y = 0; pt(l, "W1").Run.Length = 10 * ft }, `fail|drain-crossing|W1|-1"|0"|-1"`},
		{"outlet without a place", touch - in, func(l *Data) { l.Systems[0].Outlet.At = nil }, "none of drain-crossing"},
		{"a bend along it", touch - in, func(l *Data) { pt(l, "S1").Run.Fittings = []string{"eighth-bend"} }, `ask|drain-crossing|W1|-1"|0"|-1"`},
		{"longer than the straight way", touch, func(l *Data) { pt(l, "S1").Run.Length = 21 * ft }, `ask|drain-crossing|W1|-1/8"|0"|-1/8"`},
		{"shorter than the straight way", touch, func(l *Data) { pt(l, "W1").Run.Length = 19 * ft }, `ask|drain-crossing|W1|-1/8"|0"|-1/8"`},

		// What is not drawn straight is asked about as far above as what passes is listed.
		{"a bend along it, and room", touch + 11*in, func(l *Data) { pt(l, "S1").Run.Fittings = []string{"eighth-bend"} }, `ask|drain-crossing|W1|11"|0"|11"`},
		{"a bend along it, a foot below", touch + 12*in, func(l *Data) { pt(l, "S1").Run.Fittings = []string{"eighth-bend"} }, "none of drain-crossing"},
		// One sheds more than any pipe of its code carries: the largest stands for it.
		{"over the table", touch - in, func(l *Data) { pt(l, "W1").Run.Size, pt(l, "W1").Reserved = 0, dwv.MaxFixtureUnits }, `fail|drain-crossing|W1|-0.846"|0"|-0.846"`},

		// Side by side, 3 in apart at the lower ends and 13 in at the upper, of one fall and
		// with their centres at one height: 3 in less 3.4375 in.
		{"side by side", 96*ft + 2013*mil - 1034*mil + mil/2, func(l *Data) {
			l.Systems[1].Outlet.At = &Position{Y: 3 * in}
			pt(l, "W1").At = &Position{X: 20 * ft, Y: 13 * in}
		}, `fail|drain-crossing|S1|-7/16"|0"|-7/16"`},

		// A riser of another system comes up through the drain.
		{"a riser in the way", touch - 12*in, func(l *Data) {
			l.Systems[1].Outlet.At = &Position{X: 10 * ft}
			pt(l, "W1").At = &Position{X: 10 * ft}
			pt(l, "W1").Run = Run{Length: 4 * ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}
		}, `fail|drain-crossing|W1|-3 7/16"|0"|-3 7/16"`},
		// Beside the drain at 3 in: 3 in less 3.4375 in.
		{"a riser too near", touch - 12*in, func(l *Data) {
			l.Systems[1].Outlet.At = &Position{X: 10 * ft, Y: 3 * in}
			pt(l, "W1").At = &Position{X: 10 * ft, Y: 3 * in}
			pt(l, "W1").Run = Run{Length: 4 * ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}
		}, `fail|drain-crossing|W1|-7/16"|0"|-7/16"`},
		{"a riser near enough", touch - 12*in, func(l *Data) {
			l.Systems[1].Outlet.At = &Position{X: 10 * ft, Y: in * 7 / 2}
			pt(l, "W1").At = &Position{X: 10 * ft, Y: in * 7 / 2}
			pt(l, "W1").Run = Run{Length: 4 * ft, Vertical: true, Size: 2 * in, Material: "pvc-dwv"}
		}, "none of drain-crossing"},

		// Pipes of one system.
		{"fittings close together", touch + 4*ft, func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "S2", To: "S1", At: &Position{X: 20*ft + 3*in}, Run: Run{Length: 3 * in, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}},
				Point{ID: "S3", To: "S2", At: &Position{X: 30 * ft}, Run: Run{Length: 10*ft - 3*in, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}},
				Point{ID: "S4", To: "S2", At: &Position{X: 20*ft + 3*in, Y: 3 * ft}, Run: Run{Length: 3 * ft, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}},
				Point{ID: "S5", To: "S1", At: &Position{X: 20 * ft, Y: 3 * ft}, Run: Run{Length: 3 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv", Drop: 12 * in}})
		}, "none of drain-crossing"},
		{"two short pieces from one fitting", touch + 4*ft, func(l *Data) { parted(l, "S1", 20*ft, 2*in) }, "none of drain-crossing"},
		// Back to 4 in of each other, by 3 in of pipe each.
		{"two longer pieces from one fitting", touch + 4*ft, func(l *Data) { parted(l, "S1", 20*ft, 3*in) }, `fail|drain-crossing|LL|-1/2"|0"|-1/2"`},
		// The same again where 1 1/2 in are to be kept: their fittings meet up to 6 in, and a
		// nanometre more is too much. Likewise where they part at the outlet.
		{"fittings that meet at the very limit", touch + 4*ft, func(l *Data) { parted(l, "S1", 20*ft, 3*in); l.MinimumClearance = in * 3 / 2 }, "none of drain-crossing"},
		{"fittings just apart", touch + 4*ft, func(l *Data) { parted(l, "S1", 20*ft, 3*in+nm); l.MinimumClearance = in * 3 / 2 }, `fail|drain-crossing|LL|-1/2"|1 1/2"|-2"`},
		{"fittings that meet at the outlet", touch + 4*ft, func(l *Data) { parted(l, "SO", -20*ft, 2*in) }, "none of drain-crossing"},
		{"fittings apart at the outlet", touch + 4*ft, func(l *Data) { parted(l, "SO", -20*ft, 3*in) }, `fail|drain-crossing|LL|-1/2"|0"|-1/2"`},
		// A main of one short piece more: 4 1/2 in is as far as the two reach. The piece
		// rises 3/32 in over the 4 in: 4.0011 in less 4 1/2.
		{"a branch just above", touch + 4*ft, func(l *Data) { above(l, in*9/2) }, "none of drain-crossing"},
		{"a branch farther above", touch + 4*ft, func(l *Data) { above(l, in*9/2+nm) }, `fail|drain-crossing|S3|-12.672 mm|0"|-12.672 mm`},
		// The main lies 3 3/4 in above its outlet at 15 ft, the line upstream of it
		// 5 + 1 1/4 + 1 1/4 + 1 1/4 in: 5 in apart, less 4 1/2 in.
		{"a line that comes back over itself", touch + 4*ft, func(l *Data) {
			run := func(length units.Length) Run {
				return Run{Length: length, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}
			}
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "S2", To: "S1", At: &Position{X: 20 * ft, Y: 5 * ft}, Run: run(5 * ft)},
				Point{ID: "S3", To: "S2", At: &Position{X: 15 * ft, Y: 5 * ft}, Run: run(5 * ft)},
				Point{ID: "S4", To: "S3", At: &Position{X: 15 * ft, Y: -5 * ft}, Run: run(10 * ft)})
			l.MinimumClearance = in
		}, `fail|drain-crossing|S4|1/2"|1"|-1/2"`},
	}
	code := mustCode(t, "ipc-2021")
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := crossed(tt.invert)
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), code, CheckOptions{}), tt.want)
		})
	}
}

// What a finding says of two runs.
func TestCrossingWords(t *testing.T) {
	touch := units.MustParse[units.Length]("96 ft 4.417 in")
	over := `The 2" pipe from W1 crosses over the 4" pipe from S1 with `
	for _, tt := range []struct {
		invert, keep units.Length
		want         string
	}{
		{touch + in, 0, over + `1" clear between them.`},
		{touch, 0, over + `0" clear between them.`},
		{touch - in, 0, over + `the two running 1" into each other.`},
		{touch + in, in, over + `1" clear between them; at least 1".`},
	} {
		l := crossed(tt.invert)
		l.MinimumClearance = tt.keep
		var got []string
		for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
			if f.Rule == "drain-crossing" {
				got = append(got, f.Reason)
			}
		}
		if !slices.Equal(got, []string{tt.want}) {
			t.Errorf("%v: %q, want %q", tt.invert, got, tt.want)
		}
	}
}

// A run of 4 ft on plan that climbs 3 ft is 5 ft long if it is straight. Its points are
// given to 2 in and a fiftieth of that, 3.2 in in all: from 44.8 in, that less than 4 ft,
// up to 63.2 in it counts as straight.
func TestCrossingOfStraightRuns(t *testing.T) {
	for _, tt := range []struct {
		length units.Length
		want   tables.Verdict
	}{{in*448/10 - nm, tables.Ask}, {in * 448 / 10, tables.Fail}, {in * 632 / 10, tables.Fail}, {in*632/10 + nm, tables.Ask}} {
		l := crossed(96*ft - 15*in) // as high as the drain where they cross
		l.Systems[1].Outlet.At = &Position{X: 10 * ft, Y: -2 * ft}
		pt(l, "W1").At = &Position{X: 10 * ft, Y: 2 * ft}
		grade, err := slope.Of(3*ft, tt.length)
		if err != nil {
			t.Fatal(err)
		}
		pt(l, "W1").Run.Length, pt(l, "W1").Run.Grade = tt.length, grade
		got := tables.Verdict(0)
		for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
			if f.Rule == "drain-crossing" {
				got = f.Verdict
			}
		}
		if got != tt.want {
			t.Errorf("%v: %v, want %v", tt.length, got, tt.want)
		}
	}
}

// Lines that part by less than a billionth of their length are parallel: there is no
// place where they cross. Here both run askew, and the ends of the one stand 8 and 9
// billionths of 8.62 m out of line with the other.
func TestCrossingOfParallels(t *testing.T) {
	const d = 431 * units.Centimetre
	for _, tt := range []struct {
		out  units.Length
		want bool
	}{{8, false}, {9, true}, {-8, false}, {-9, true}} {
		a := &body{q: [3]units.Length{d, d}, r: in}
		b := &body{p: [3]units.Length{tt.out / 2, 0}, q: [3]units.Length{d + tt.out/2 - tt.out, d}, r: in}
		if _, got := crossing(a, b); got != tt.want {
			t.Errorf("%d nm out of line: crosses %v", tt.out, got)
		}
	}
}

// Pipes that are exactly as far apart as is asked are found, wherever they stand.
func TestGridAtTheGap(t *testing.T) {
	others := make([]body, 500) // far off, so that there are many buckets
	for i := range others {
		p := [3]units.Length{units.Length(i+100) * ft, 0, 0}
		others[i] = body{node: int32(i + 2), r: 20 * units.Millimetre, p: p, q: p}
	}
	for axis := range 3 {
		// A cube of pipes so wide is 1<<26 nm long: they touch at its edge, and near there.
		for k := range units.Length(200) {
			a, b := body{r: 20 * units.Millimetre}, body{node: 1, r: 20 * units.Millimetre}
			a.p[axis] = 1<<26 - 25*units.Millimetre + (k-100)*units.Micrometre/10
			b.p[axis] = a.p[axis] + a.r + b.r + 10*units.Millimetre
			a.q, b.q = a.p, b.p
			found := false
			if k%2 == 1 {
				a.p, a.q, b.p, b.q = b.p, b.q, a.p, a.q
			}
			bodies := append([]body{a, b}, others...)
			newGrid(bodies, 10*units.Millimetre).pairs(func(i, j int32) { found = found || i == 0 && j == 1 })
			if !found {
				t.Fatalf("along axis %d at %v and %v: not found", axis, a.p[axis], b.p[axis])
			}
		}
	}
}

// Bodies heaped in one cube are 372 816 pairs where there are 864 of them, and 200 for
// each and a thousand more are 372 800; of 863 there are 371 953, and 372 600 may be.
func TestGridGivesUp(t *testing.T) {
	for n, want := range map[int]bool{863: true, 864: false} {
		bodies := make([]body, n)
		for i := range bodies {
			b := &bodies[i]
			b.node, b.r = int32(i), 1<<20-units.Micrometre-nm // nearly all of a cube of 1<<21
			b.p = [3]units.Length{1 << 20, 1 << 20, 1 << 20}
			b.q = b.p
		}
		if got := newGrid(bodies, 0) != nil; got != want {
			t.Errorf("%d bodies in one place: told apart %v, want %v", n, got, want)
		}
	}
}

// What crosses on another floor is not worth a line, and among problems alone no
// pass is.
func TestCrossingsListed(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	count := func(l *Data, opt CheckOptions) (n int) {
		f, err := checkOf(mustBuild(t, l), code, opt)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range f {
			if x.Rule == "drain-crossing" {
				n++
			}
		}
		return n
	}
	touch := units.MustParse[units.Length]("96 ft 4.417 in")
	for _, tt := range []struct {
		invert   units.Length
		problems bool
		want     int
	}{{touch, false, 1}, {touch, true, 0}, {touch + 11*in, false, 1}, {touch + 12*in, false, 0}, {touch + 20*ft, false, 0}, {touch - in, true, 1}} {
		if got := count(crossed(tt.invert), CheckOptions{ProblemsOnly: tt.problems}); got != tt.want {
			t.Errorf("%v, problems only %v: %d findings, want %d", tt.invert, tt.problems, got, tt.want)
		}
	}
}

// randomBodies are short and long, level, steep and upright, some in one place, all
// within so wide a space.
func randomBodies(r *rand.Rand, n int, wide units.Length) []body {
	bodies := make([]body, n)
	for i := range bodies {
		b := &bodies[i]
		b.node, b.r = int32(i), wide/units.Length(400+r.IntN(1200))
		long := wide / units.Length(20+r.IntN(200))
		if r.IntN(4) == 0 {
			long = wide / 2 // many cubes of the short ones
		}
		for k := range 3 {
			b.p[k] = units.Length(r.Int64N(int64(wide))) - wide/2
			b.q[k] = b.p[k] + units.Length(r.Int64N(int64(2*long))) - long
			if r.IntN(3) == 0 {
				b.q[k] = b.p[k]
			}
		}
		if r.IntN(10) == 0 && i > 0 {
			*b = bodies[i-1]
			b.node = int32(i)
		}
	}
	return bodies
}

// The grid finds what setting each body against each finds, wherever the bodies lie.
func TestGridMissesNothing(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 7))
		bodies := randomBodies(r, 2+r.IntN(150), []units.Length{200 * ft, 40 * ft, 12 * ft}[seed%3])
		if seed%4 == 1 { // far out, where a little rounding is a lot of nanometres
			for i := range bodies {
				bodies[i].p[0] += units.MaxLength - 300*ft
				bodies[i].q[0] += units.MaxLength - 300*ft
			}
		}
		g := newGrid(bodies, units.Length(r.IntN(3))*in)
		want := map[string]bool{}
		for a := range bodies {
			for b := a + 1; b < len(bodies); b++ {
				close, err := slope.Conflicts([]slope.Course{bodies[a].course(), bodies[b].course()}, nil, slope.Limits{Pipes: g.gap})
				if err != nil {
					t.Fatal(err)
				}
				if len(close) > 0 {
					want[fmt.Sprint(a, " ", b)] = true
				}
			}
		}
		g.pairs(func(a, b int32) {
			if a >= b {
				t.Fatalf("seed %d: pair %d %d", seed, a, b)
			}
			delete(want, fmt.Sprint(a, " ", b))
		})
		if len(want) > 0 {
			t.Fatalf("seed %d: %d pairs missed, such as %v", seed, len(want), want)
		}
	}
}

// A long pipe is found from every place on it, and from just beside it, however it
// lies.
func TestGridAlongOnePipe(t *testing.T) {
	for _, way := range [][3]units.Length{{100 * ft, 70 * ft, 30 * ft}, {-60 * ft, 100 * ft, 10 * ft}, {20 * ft, -30 * ft, -100 * ft}, {100 * ft, 100 * ft, 0}, {0, 0, 100 * ft}} {
		from := [3]units.Length{-30 * ft, 250 * ft, 7 * ft}
		bodies := []body{{p: from, q: from, r: in / 4}}
		for a := range 3 {
			bodies[0].q[a] += way[a]
		}
		for k := range 997 {
			b := body{node: int32(k + 1), r: in / 8}
			for a := range 3 {
				b.p[a] += from[a] + way[a]/997*units.Length(k)
			}
			b.p[k%3] += units.Length(k%5-2) * in / 6 // up to a third of an inch off, less than both radii
			b.q = b.p
			bodies = append(bodies, b)
		}
		found := make([]bool, len(bodies))
		newGrid(bodies, 0).pairs(func(a, b int32) { found[b] = found[b] || a == 0 })
		if k := slices.Index(found[1:], false); k >= 0 {
			t.Errorf("by %v: the one at %v is missed", way, bodies[k+1].p)
		}
	}
}

// What touches a wide pipe from any side is found, however the pipe lies.
func TestGridAroundOnePipe(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for _, way := range [][3]float64{{100, 70, 30}, {-60, 100, 10}, {20, -30, -100}, {100, 100, 0}, {30, 30, 100}} {
		long := math.Sqrt(way[0]*way[0] + way[1]*way[1] + way[2]*way[2])
		bodies := []body{{p: [3]units.Length{-30 * ft, 250 * ft, 7 * ft}, r: 3 * in}}
		for a := range 3 {
			bodies[0].q[a] = bodies[0].p[a] + units.Feet(way[a])
		}
		for k := range 1500 {
			side := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
			along := (side[0]*way[0] + side[1]*way[1] + side[2]*way[2]) / (long * long)
			for a := range 3 {
				side[a] -= along * way[a] // at right angles to the pipe
			}
			off := math.Sqrt(side[0]*side[0] + side[1]*side[1] + side[2]*side[2])
			b, t := body{node: int32(k + 1), r: in / 8}, r.Float64()
			for a := range 3 {
				b.p[a] = bodies[0].p[a] + units.Feet(way[a]*t) + units.Length(side[a]/off*float64(in*25/8-units.Micrometre))
			}
			b.q = b.p
			bodies = append(bodies, b)
		}
		found := make([]bool, len(bodies))
		newGrid(bodies, 0).pairs(func(a, b int32) { found[b] = found[b] || a == 0 })
		if k := slices.Index(found[1:], false); k >= 0 {
			t.Errorf("by %v: the one at %v is missed", way, bodies[k+1].p)
		}
	}
}

// A layout with all its points in one place is asked about and soon done with.
func TestCrossingsCrowded(t *testing.T) {
	l := villageLayout(4000)
	for s := range l.Systems {
		l.Systems[s].Outlet.At = &Position{}
		for p := range l.Systems[s].Points {
			l.Systems[s].Points[p].At = &Position{}
		}
	}
	var got []tables.Finding
	f, err := checkOf(mustBuild(t, l), mustCode(t, "ipc-2021"), CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range f {
		if x.Rule == "drain-crossing" {
			got = append(got, x)
		}
	}
	if len(got) != 1 || got[0].Verdict != tables.Ask {
		t.Errorf("%d findings, such as %v", len(got), got[:min(1, len(got))])
	}
}

// Crossings do not depend on the order of the points, nor on their names.
func TestCrossingsIndependentOfOrder(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	found := 0
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 8))
		l := randomLayout(r, 2+r.IntN(60))
		for s := range l.Systems {
			l.Systems[s].Outlet.At = &Position{X: units.Length(r.IntN(40)) * ft, Y: units.Length(r.IntN(40)) * ft}
			for p := range l.Systems[s].Points {
				l.Systems[s].Points[p].At = &Position{X: units.Length(r.IntN(40)) * ft, Y: units.Length(r.IntN(40)) * ft}
			}
		}
		other := shuffled(r, l)
		a, b := texts(mustCheck(t, mustBuild(t, l), code)), texts(mustCheck(t, mustBuild(t, other), code))
		if !slices.Equal(a, b) {
			t.Fatalf("seed %d: other findings in another order", seed)
		}
		for _, s := range a {
			if strings.Contains(s, "drain-crossing") {
				found++
			}
		}
	}
	if found == 0 {
		t.Error("no crossing found at all")
	}
}

func BenchmarkCrossings(b *testing.B) {
	code := mustCode(b, "ipc-2021")
	for _, n := range []int{1_000, 10_000, 100_000} {
		l := villageLayout(n)
		// Each building stands in a square of its own, its main along x.
		side := 0
		for side*side < len(l.Systems) {
			side++
		}
		for s := range l.Systems {
			x, y := units.Length(s%side)*200*ft, units.Length(s/side)*40*ft
			l.Systems[s].Outlet.At = &Position{X: x, Y: y}
			for p := range l.Systems[s].Points {
				q := &l.Systems[s].Points[p]
				at := Position{X: x + units.Length(p/5+1)*4*ft, Y: y}
				switch p % 5 {
				case 1, 2:
					at.Y += units.Length(p%5) * 3 * ft
				case 4:
					at.Y -= 2 * ft
				}
				q.At = &at
			}
		}
		mustBuild(b, l)
		s, err := sizeOf(l, code)
		if err != nil {
			b.Fatal(err)
		}
		lv := s.Levels()
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				j := &judge{layout: s.layout, tree: s.tree, code: code, sizing: s, levels: lv, opt: CheckOptions{ProblemsOnly: true}}
				j.crossings()
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
	}
}

// Plan coordinates and the clearance come in and go out as text; what is out of range
// is refused by name.
func TestPlacesInJSON(t *testing.T) {
	text := func(clearance, x string) []byte {
		return []byte(`{"finished_floor":"100 ft","minimum_clearance":"` + clearance + `","systems":[{"id":"s","kind":"soil",
"outlet":{"id":"O","kind":"sewer","invert":"96 ft","at":{"x":"` + x + `","y":"2 ft"}},
"points":[{"id":"A","to":"O","at":{"x":"4 ft","y":"2 ft"},"run":{"length":"4 ft","grade":"2%"}}]}]}`)
	}
	l, err := parse("f", text("3 in", "-1 ft"))
	if err != nil || l.MinimumClearance != 3*in || *l.Systems[0].Outlet.At != (Position{X: -ft, Y: 2 * ft}) || *pt(l, "A").At != (Position{X: 4 * ft, Y: 2 * ft}) {
		t.Fatalf("%+v, %v", l, err)
	}
	for _, tt := range []struct{ clearance, x, want string }{
		{"-1 in", "0 ft", `f:1:48: layout: minimum_clearance: -1" is negative`},
		{"11 m", "0 ft", `f:1:48: layout: minimum_clearance: `},
		{"1 in", "0", `f:2:62: system "s": outlet: at: x: `},
	} {
		if _, err := parse("f", text(tt.clearance, tt.x)); err == nil || !strings.HasPrefix(err.Error(), tt.want) {
			t.Errorf("%s, %s: %v, want %s", tt.clearance, tt.x, err, tt.want)
		}
	}
	far := crossed(96 * ft)
	far.Systems[0].Outlet.At.X, pt(far, "W1").At.Y = units.MaxLength+1, -units.MaxLength-1
	if err := buildErr(far); err == nil || !strings.Contains(err.Error(), `system "soil": outlet.at.x: `) || !strings.Contains(err.Error(), `point "W1": at.y: `) {
		t.Errorf("coordinates out of range: %v", err)
	}
}

// TestObstacleInReach: what lies in the way of a pipe is found wherever the job's coordinates have their zero: a wall
// across a pipe of 30 m that comes from the west of it, and a duct that runs 105 mm beside a pipe, where 200 mm are asked.
func TestObstacleInReach(t *testing.T) {
	const m = units.Metre
	for name, c := range map[string]struct{ from, to, one, other Position }{
		"across": {Position{X: -30 * m}, Position{}, Position{X: -m, Y: -m}, Position{X: -m, Y: m}},
		"beside": {Position{X: m / 5, Y: 10 * m}, Position{X: m / 5}, Position{}, Position{Y: 10 * m}},
	} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * m}})
		if name == "across" {
			pt(l, "A").Run.Length = 30 * m
		}
		pt(l, "A").At, l.Systems[0].Outlet.At = &c.from, &c.to
		at := l.Systems[0].Outlet.Invert
		l.Obstacles = []Obstacle{{ID: "W", Kind: ObstacleConduit, From: c.one, To: c.other, Width: m / 10, Top: at + m, Bottom: at - m,
			Clear: m / 5}}
		found := mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021"))
		got := linesOf(found, "obstacle-clearance", "A")
		if len(got) != 1 || !strings.HasPrefix(got[0], "fail|") {
			t.Fatalf("%s: %q", name, got)
		}
		wantFinding(t, found, got[0]+"|Move the run")
		if l.Obstacles[0].Kind = ObstacleFooting; name == "across" {
			wantFinding(t, mustCheck(t, l, firmCode(t, "ipc-2021")), got[0]+"|Pass below it")
			l.Obstacles[0].Clear, l.MinimumClearance = 0, 0 // the wall is run into, however little is asked
			found = mustCheck(t, l, firmCode(t, "ipc-2021"))
			if r := reasonOf(t, found, "obstacle-clearance", "A"); strings.Contains(r, "at least") {
				t.Error(r)
			}
		}
	}
}

// TestTrenchAlongFooting: a trench runs along a footing up to 45 degrees from it, either way about; from there on it
// crosses it. The footing goes as stated, whatever way it is drawn.
func TestTrenchAlongFooting(t *testing.T) {
	const m = units.Metre
	s := mustSize(t, straight(Point{ID: "A", Run: Run{Length: 9 * m}}), firmCode(t, "ipc-2021"))
	for _, tt := range []struct {
		pipe, footing Position // how far each goes
		along         bool
	}{
		{Position{X: 9 * m}, Position{X: 5 * m}, true}, {Position{X: 9 * m}, Position{X: -5 * m}, true},
		{Position{Y: 9 * m}, Position{X: 5 * m}, false}, {Position{X: 9 * m, Y: 9 * m}, Position{X: 5 * m, Y: 5 * m}, true},
		{Position{X: 9 * m, Y: 9 * m}, Position{X: 5 * m, Y: -5 * m}, false},
		{Position{X: 9 * m, Y: 9 * m}, Position{X: 5 * m}, false}, {Position{X: 10 * m, Y: 9 * m}, Position{X: 5 * m}, true},
		{Position{X: 9 * m, Y: 10 * m}, Position{X: 5 * m}, false}, {Position{X: 3 * m, Y: m}, Position{X: m, Y: 3 * m}, false},
	} {
		j := &judge{Judge: finding.New(order(), finding.Options{}), layout: s.layout, tree: s.tree, code: s.code, sizing: s}
		b := &body{node: 1, p: [3]units.Length{2 * m, 7 * m, 0}, q: [3]units.Length{2*m + tt.pipe.X, 7*m + tt.pipe.Y, 0}}
		o := &Obstacle{ID: "F", Kind: ObstacleFooting, From: Position{X: 40 * m, Y: 3 * m},
			To: Position{X: 40*m + tt.footing.X, Y: 3*m + tt.footing.Y}}
		if j.underFooting(b, o, m); (len(j.Findings()) == 1) != tt.along {
			t.Errorf("a pipe that goes %v, %v and a footing %v, %v: %v", tt.pipe.X, tt.pipe.Y, tt.footing.X, tt.footing.Y, j.Findings())
		}
	}
}

// TestInOneTrench: two runs into one point lie in each other where the shorter, of pipes of 50 mm radius each, ends less
// than 100 mm from the axis of the longer, on its side of the point and not within the fitting, which takes four times
// that. Off by 60 mm to the side and 80 mm in height is 100 mm.
func TestInOneTrench(t *testing.T) {
	const m, mm = units.Metre, units.Millimetre
	type way [3]units.Length
	for _, tt := range []struct {
		name        string
		short, long way
		in          bool
		clear       units.Length
	}{
		{"one in the other", way{5 * m}, way{10 * m}, true, -100 * mm},
		{"just within", way{5 * m, 54 * mm, 72 * mm}, way{10 * m}, true, -10 * mm},
		{"just beside", way{5 * m, 66 * mm, 88 * mm}, way{10 * m}, false, 0},
		{"both as steep", way{5 * m, 0, m / 2}, way{10 * m, 0, m}, true, -100 * mm},
		{"the longer one steep", way{5 * m}, way{10 * m, 0, m}, false, 0},
		{"aslant on plan", way{3 * m, 4 * m}, way{6 * m, 8 * m}, true, -100 * mm},
		{"square to it", way{4 * m, -3 * m}, way{6 * m, 8 * m}, false, 0},
		{"from the other side", way{-3 * m, -4 * m}, way{6 * m, 8 * m}, false, 0},
		{"past the fitting", way{400 * mm}, way{10 * m}, true, -100 * mm}, {"within it", way{399 * mm}, way{10 * m}, false, 0},
	} {
		for _, turned := range []bool{false, true} {
			a, b := &body{node: 3, r: 50 * mm, q: tt.short, vent: &VentSize{}}, &body{node: 5, r: 50 * mm, q: tt.long, vent: &VentSize{}}
			if turned {
				a, b = b, a
			}
			got, ok := new(judge).inOneTrench(a, b)
			if off := got.clear - tt.clear; ok != tt.in || max(off, -off) > units.Micrometre || ok && (got.over != 3 || got.under != 5) {
				t.Errorf("%s: %v, %+v", tt.name, ok, got)
			}
		}
	}
}

// TestTrenchBelowZero: elevations may lie below the datum. The trench of a pipe 8 ft below it cuts the plane that falls
// from a footing 2 m beside it, whose underside lies 300 mm down: it is 2.1 m deeper and more. Less than 200 mm lie between
// the pipe and a culvert of 1 m whose axis is 700 mm from its own.
func TestTrenchBelowZero(t *testing.T) {
	const m = units.Metre
	l := straight(Point{ID: "A", Run: Run{Length: 10 * m}})
	l.FinishedFloor, l.Systems[0].Outlet.Invert = 0, -8*ft
	pt(l, "A").At, l.Systems[0].Outlet.At = &Position{X: 2 * m, Y: 10 * m}, &Position{X: 2 * m}
	l.Obstacles = []Obstacle{{ID: "F", Kind: ObstacleFooting, From: Position{}, To: Position{Y: 10 * m}, Width: m / 5, Top: 0,
		Bottom: -3 * m / 10}, {ID: "C", Kind: ObstacleOther, From: Position{X: 13 * m / 10}, To: Position{X: 13 * m / 10, Y: 10 * m},
		Top: -8*ft + m/2, Bottom: -8*ft - m/2, Clear: m / 5}}
	found := mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021"))
	for _, rule := range []string{"footing-plane", "obstacle-clearance"} {
		if got := linesOf(found, rule, "A"); len(got) != 1 || !strings.HasPrefix(got[0], "fail|") {
			t.Errorf("%s: %q", rule, got)
		}
	}
}

// TestUnplacedFirst: a run and a vent of no known place, listed first, hide none of those that follow.
func TestUnplacedFirst(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/conduit-through-a-vent.json", code)
	vents := []Vent{{ID: "VN", Kind: VentIndividual, From: "N", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 16 * ft,
		Direction: VentUp}}}}
	l.Vents = append(vents, l.Vents...)
	l.Systems[0].Points = append([]Point{{ID: "N", To: "A", Run: Run{Length: 4 * ft, Size: 2 * in, Grade: slope.PerFoot(in / 4)}}},
		l.Systems[0].Points...)
	l.Obstacles = append(l.Obstacles, Obstacle{ID: "O2", Kind: ObstacleConduit, From: Position{X: 15 * ft, Y: -ft},
		To: Position{X: 15 * ft, Y: ft}, Top: 97*ft + 4*in, Bottom: 97*ft + 2*in})
	got := mustCheck(t, mustBuild(t, l), code)
	for _, place := range []string{"A", "VF"} { // the outlet's run, over which O2 goes, and the vent
		if lines := linesOf(got, "obstacle-clearance", place); len(lines) != 1 || !strings.HasPrefix(lines[0], "fail|") {
			t.Errorf("%s: %q", place, lines)
		}
	}
}

// TestClearanceOfObstacle: a pipe of 100 mm, level at 1150 mm, passes over an obstacle whose top is at 1100 mm and which lies
// across it, round or not: 50 mm are clear. That is near if more is wanted, and not if as much is.
func TestClearanceOfObstacle(t *testing.T) {
	const mm = units.Millimetre
	pipe := slope.Course{Lower: slope.Point{X: -units.Metre}, Upper: slope.Point{X: units.Metre}, LowerInvert: 1150 * mm,
		UpperInvert: 1150 * mm, Into: -1, Pipe: slope.Pipe{Bore: 100 * mm}}
	for _, width := range []units.Length{0, 200 * mm} {
		o := Obstacle{From: Position{Y: -units.Metre}, To: Position{Y: units.Metre}, Width: width, Top: 1100 * mm, Bottom: 900 * mm}
		for wanted, want := range map[units.Length]bool{50 * mm: false, 60 * mm: true} {
			clear, near := o.Clearance(pipe, wanted)
			if near != want || near && clear != 50*mm {
				t.Errorf("%v wide, %v wanted: %v clear, near %v", width, wanted, clear, near)
			}
		}
	}
}
