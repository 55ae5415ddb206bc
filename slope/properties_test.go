package slope_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func anyGrade(r *rand.Rand) slope.Grade {
	g, err := slope.Ratio(r.Int64N(2001)-1000, 1+r.Int64N(5000))
	if err != nil {
		panic(err)
	}
	return g
}

func anyLength(r *rand.Rand) units.Length { return units.Length(r.Int64N(int64(500 * units.Foot))) }

func TestSumsAreAssociative(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 5000 {
		a, b, c := anyGrade(r), anyGrade(r), anyGrade(r)
		ab, err1 := a.Add(b)
		left, err2 := ab.Add(c)
		bc, err3 := b.Add(c)
		right, err4 := a.Add(bc)
		ba, err5 := b.Add(a)
		back, err6 := ab.Sub(b)
		for _, err := range []error{err1, err2, err3, err4, err5, err6} {
			if err != nil {
				t.Fatal(err)
			}
		}
		if left != right || ab != ba || back != a {
			t.Fatalf("%v, %v, %v: %v and %v", a, b, c, left, right)
		}
	}
}

// The sum of two grades is that of big rationals, on both sides of where the terms grow
// too large to be multiplied in 64 bits.
func TestSumsAreExact(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	near := func() int64 { return 1<<31 + r.Int64N(5) - 2 }
	for range 5000 {
		terms := [4]int64{near(), near(), near(), near()}
		for i := range terms {
			if r.IntN(2) == 0 {
				terms[i] = r.Int64N(1<<33) + 1
			}
		}
		if r.IntN(2) == 0 {
			terms[0] = -terms[0]
		}
		if r.IntN(2) == 0 {
			terms[2] = -terms[2]
		}
		a, err1 := slope.Ratio(terms[0], terms[1])
		b, err2 := slope.Ratio(terms[2], terms[3])
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		want := new(big.Rat).Add(big.NewRat(terms[0], terms[1]), big.NewRat(terms[2], terms[3]))
		got, err := a.Add(b)
		if fits := want.Num().IsInt64() && want.Denom().IsInt64(); fits != (err == nil) {
			t.Fatalf("%v: fits is %v and the error %v", terms, fits, err)
		} else if !fits {
			continue
		}
		if rise, run := got.Ratio(); big.NewRat(rise, run).Cmp(want) != 0 {
			t.Fatalf("%v: %d/%d, want %v", terms, rise, run, want)
		}
	}
}

// Over is the exact quotient rounded half to even, against big rationals.
func TestOverIsRoundedOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	for range 20000 {
		g, run := anyGrade(r), anyLength(r)-250*units.Foot
		if r.IntN(4) == 0 { // more ties
			g, run = slope.OneIn(2), units.Length(r.IntN(100)-50)
		}
		rise, over := g.Ratio()
		q := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(rise), big.NewInt(int64(run))), big.NewInt(over))
		got := g.Over(run)
		off := new(big.Rat).Sub(new(big.Rat).SetInt64(int64(got)), q)
		switch c := off.Abs(off).Cmp(big.NewRat(1, 2)); {
		case c > 0, c == 0 && got%2 != 0:
			t.Fatalf("%v over %d is %d, exactly %s", g, run, got, q.FloatString(3))
		}
	}
}

func TestOverAndRunForAreInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for range 20000 {
		g := anyGrade(r)
		if g.IsLevel() {
			continue
		}
		fall := anyLength(r)
		if g.Compare(slope.Grade{}) < 0 {
			fall = -fall
		}
		run, err := g.RunFor(fall)
		if err != nil {
			t.Fatal(err)
		}
		// A grade steeper than 1 turns half a nanometre of run into more of fall.
		var slack units.Length
		if g.Abs().Compare(slope.OneIn(1)) > 0 {
			slack = units.Length(math.Ceil(g.Abs().Float() / 2))
		}
		if back := g.Over(run); back < fall-slack || back > fall+slack {
			t.Fatalf("%v: fall %d needs %d, which falls %d", g, fall, run, back)
		}
	}
}

func TestOrderIsKept(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	for range 20000 {
		g, h, a, b := anyGrade(r), anyGrade(r), anyLength(r), anyLength(r)
		if c := g.Compare(h); c != -h.Compare(g) || (c == 0) != (g == h) || c != g.Neg().Compare(h.Neg())*-1 {
			t.Fatalf("%v against %v: %d", g, h, c)
		} else if c < 0 && g.Over(a) > h.Over(a) {
			t.Fatalf("%v is flatter than %v but falls more over %d", g, h, a)
		}
		if a > b {
			a, b = b, a
		}
		if g.Compare(slope.Grade{}) >= 0 && g.Over(a) > g.Over(b) {
			t.Fatalf("%v falls more over %d than over %d", g, a, b)
		}
	}
}

func TestOverSaturates(t *testing.T) {
	steep := slope.MustParse("1000000 ft per 1 ft")
	if f := steep.Over(units.MaxLength); f != math.MaxInt64 || f.Valid() {
		t.Errorf("over the top: %d", f)
	}
	if f := steep.Neg().Over(units.MaxLength); f != math.MinInt64 || f.Valid() {
		t.Errorf("under the bottom: %d", f)
	}
	if f := slope.OneIn(1).Over(math.MinInt64); f.Valid() {
		t.Errorf("least run: %d", f)
	}
	for _, g := range []slope.Grade{slope.OneIn(0), slope.OneIn(math.MinInt64), slope.PerFoot(math.MinInt64)} {
		if g.Valid() || g.Over(units.Foot).Valid() || g.Over(-units.Foot).Valid() {
			t.Errorf("%#v passes as a grade", g)
		}
	}
	if _, err := slope.Ratio(1, 0); err == nil {
		t.Error("a grade over no run")
	}
	if _, err := slope.Ratio(math.MinInt64, 1); err == nil {
		t.Error("a grade of the least rise")
	}
}

// However a line is cut, its inverts stay to the nanometre.
func TestLineDoesNotDependOnCuts(t *testing.T) {
	r := rand.New(rand.NewPCG(29, 30))
	for range 300 {
		var whole, cut slope.Line
		whole.Outlet, cut.Outlet = 17*units.Foot, 17*units.Foot
		var ends []int // index in cut of the upper end of each reach of whole
		for range 1 + r.IntN(5) {
			reach := slope.Reach{Run: 10 + anyLength(r), Grade: slope.OneIn(1 + r.Int64N(300)),
				Drop: units.Length(r.IntN(2)) * units.Inch / 3}
			whole.Reaches = append(whole.Reaches, reach)
			rest := reach.Run
			piece := reach
			for range r.IntN(6) {
				if rest < 2 {
					break
				}
				piece.Run = 1 + units.Length(r.Int64N(int64(rest-1)))
				cut.Reaches = append(cut.Reaches, piece)
				rest -= piece.Run
				piece.Drop = 0
			}
			piece.Run = rest
			cut.Reaches = append(cut.Reaches, piece)
			ends = append(ends, len(cut.Reaches)-1)
		}
		a, err := whole.Inverts()
		if err != nil {
			t.Fatal(err)
		}
		b, err := cut.Inverts()
		if err != nil {
			t.Fatal(err)
		}
		for i, k := range ends {
			if a[i] != b[k] {
				t.Fatalf("reach %d: %d whole, %d in pieces", i, a[i], b[k])
			}
		}
		p, err1 := whole.Profile()
		q, err2 := cut.Profile()
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		for range 20 {
			d := units.Length(r.Int64N(int64(p.Length()) + 1))
			s, err1 := p.At(d)
			u, err2 := q.At(d)
			if err1 != nil || err2 != nil || s.Leaving != u.Leaving || s.Arriving != u.Arriving {
				t.Fatalf("at %d: %v and %v, %v, %v", d, s, u, err1, err2)
			}
		}
		// The tree says the same, to the nanometre that a change of grade may cost it.
		n := len(cut.Reaches)
		tree := slope.Tree{Parent: make([]int32, n), Run: make([]units.Length, n), Grade: make([]slope.Grade, n),
			Drop: make([]units.Length, n)}
		for i, reach := range cut.Reaches {
			tree.Parent[i], tree.Run[i], tree.Grade[i], tree.Drop[i] = int32(i-1), reach.Run, reach.Grade, reach.Drop
		}
		lower, upper := make([]units.Length, n), make([]units.Length, n)
		if err := slope.Inverts(tree, cut.Outlet, lower, upper); err != nil {
			t.Fatal(err)
		}
		for i := range upper {
			if d := upper[i] - b[i]; d < -5 || d > 5 {
				t.Fatalf("reach %d: the tree is %d nm off", i, d)
			}
		}
	}
}

// Turned about, a plane falls as much as it rose; turned a quarter, its two
// grades change places.
func TestPlaneSymmetry(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*(1+math.Abs(a)) }
	for range 2000 {
		p := slope.Plane{Ahead: anyGrade(r), Across: anyGrade(r)}
		quarter := slope.Plane{Ahead: p.Across, Across: p.Ahead.Neg()} // the same plane, faced to the right
		b := r.Float64()*720 - 360
		x, err1 := p.PercentAlong(b)
		y, err2 := p.PercentAlong(b + 180)
		z, err3 := quarter.PercentAlong(b - 90)
		if err1 != nil || err2 != nil || err3 != nil || math.Abs(x+y) > 1e-9*(1+math.Abs(x)) ||
			math.Abs(x-z) > 1e-9*(1+math.Abs(x)) {
			t.Fatalf("%v at %v: %v, back %v, faced right %v", p, b, x, y, z)
		}
		percent, bearing := p.Steepest()
		if got, err := p.PercentAlong(bearing); err != nil || !near(got, percent) &&
			math.Abs(got-percent) > 1e-9*(1+percent) || x > percent*(1+1e-12) {
			t.Fatalf("%v falls most at %v by %v, but %v there and %v at %v", p, bearing, percent, got, x, b)
		}
		if across, err := p.PercentAlong(bearing + 90); err != nil || math.Abs(across) > 1e-9*(1+percent) {
			t.Fatalf("%v falls %v across its fall", p, across)
		}
		// Falls over the ground agree with the grade along the way.
		a, c := anyLength(r)-250*units.Foot, anyLength(r)-250*units.Foot
		l := math.Hypot(float64(a), float64(c))
		along, err := p.PercentAlong(math.Atan2(float64(c), float64(a)) * 180 / math.Pi)
		if got := float64(p.FallTo(a, c)); err != nil || math.Abs(got-along/100*l) > 2+1e-9*l {
			t.Fatalf("%v to %v, %v: falls %v, by grade %v", p, a, c, got, along/100*l)
		}
		if p.FallTo(a, c) != -p.FallTo(-a, -c) {
			t.Fatalf("%v: there and back differ", p)
		}
	}
}

func TestOffsetsFitTogether(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	for range 2000 {
		d := units.Inch + anyLength(r)/10
		a := 1 + r.Float64()*89
		o, err := slope.NewOffset(d, a)
		if err != nil {
			t.Fatal(err)
		}
		// Pythagoras, to the rounding of three lengths.
		if got := math.Hypot(float64(d), float64(o.Advance)); math.Abs(got-float64(o.Travel)) > 2 {
			t.Fatalf("%v at %v: travel %v, sides %v", d, a, o.Travel, got)
		}
		rise, side := anyLength(r)/20, units.Inch+anyLength(r)/20
		x, err1 := slope.NewRollingOffset(rise, side, a)
		y, err2 := slope.NewRollingOffset(side, rise, a)
		if err1 != nil || err2 != nil || x.Offset != y.Offset || math.Abs(x.Roll+y.Roll-90) > 1e-9 {
			t.Fatalf("rolled over: %v, %v", x, y)
		}
		// A difference that repeats at both bends brings parallel pipes back in line:
		// spread tan(a/2) twice around an angle a makes spread sin a of advance and
		// spread (1 - cos a) of offset.
		diff, err := slope.ParallelOffset(d, a)
		if err != nil {
			t.Fatal(err)
		}
		rad := a * math.Pi / 180
		if got, want := float64(diff)*math.Sin(rad), float64(d)*(1-math.Cos(rad)); math.Abs(got-want) > 2 {
			t.Fatalf("parallel at %v: %v, want %v", a, got, want)
		}
	}
}
