package gravity

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// A hydraulicCase is one published or recalled example of testdata; each line
// carries its source and standing.
type hydraulicCase struct {
	ID       string                     `json:"id"`
	Inputs   map[string]json.RawMessage `json:"inputs"`
	Expected map[string]json.RawMessage `json:"expected"`
	// Entries of each list that are misprints of the source.
	Skip map[string][]int `json:"skip"`

	Source  struct{ Title string } `json:"source"`
	Verdict string                 `json:"verdict"`
	// Why an answer may be off by more than its printed digits leave open.
	Class proof.Class `json:"class"`
	Why   string      `json:"why"`
}

func loadHydraulicCases(t *testing.T) map[string]hydraulicCase {
	t.Helper()
	f, err := os.Open("testdata/hydraulics.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string]hydraulicCase{}
	for s := bufio.NewScanner(f); s.Scan(); {
		var c hydraulicCase
		if err := json.Unmarshal(s.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		out[c.ID] = c
	}
	return out
}

func get[T any](t *testing.T, m map[string]json.RawMessage, name string) T {
	t.Helper()
	var v T
	if err := json.Unmarshal(m[name], &v); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return v
}

func quantity(t *testing.T, m map[string]json.RawMessage, name string) float64 {
	t.Helper()
	return get[struct{ Value float64 }](t, m, name).Value
}

// near fails unless got is within tol of want; tol is what the printed digits
// leave open, named at each call.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %v, want %v within %v", what, got, want, tol)
	}
}

// An entry compares one printed value and enters it in the account.
type entry func(t *testing.T, c hydraulicCase, what string, got, want, tol float64)

func TestPublishedHydraulics(t *testing.T) {
	var ledger proof.Ledger
	enter := func(t *testing.T, c hydraulicCase, what string, got, want, tol float64) {
		t.Helper()
		near(t, c.ID+" "+what, got, want, tol)
		if c.Verdict != "own computation" { // nobody printed those
			ledger.Add(
				proof.Value{
					Source:  c.Source.Title,
					Case:    c.ID,
					Answer:  what,
					Ours:    got,
					Printed: strconv.FormatFloat(want, 'g', -1, 64),
					Class:   c.Class,
					Why:     c.Why,
				},
			)
		}
	}
	for name, f := range map[string]func(*testing.T, entry){
		"sewers": publishedSewers, "drain table": publishedDrainTable, "elements": publishedElements,
		"stacks": publishedStacks,
	} {
		t.Run(name, func(t *testing.T) { f(t, enter) })
	}
	ledger.Keep(t, "testdata/proof.csv")
}

func publishedSewers(t *testing.T, enter entry) {
	cases := loadHydraulicCases(t)
	// Bore from a full flow, then flow and velocity at a depth. Absolute tolerances
	// are the printed digits; OC-03 prints its bore rounded to 0.95 m.
	for id, tol := range map[string]float64{"OC-01": 0.001, "OC-02": 0.001, "OC-03": 0.02} {
		c := cases[id]
		grade := slope.OneIn(map[string]int64{"OC-01": 400, "OC-02": 400, "OC-03": 500}[id])
		n := get[float64](t, c.Inputs, "n")
		full := units.Flow(quantity(t, c.Inputs, "full_flow"))
		bore, err := BoreFor(full, grade, n, 1)
		if err != nil {
			t.Fatal(err)
		}
		p := Pipe{bore, grade, n}
		_, v, err := p.Full()
		if err != nil {
			t.Fatal(err)
		}
		part, err := p.AtDepth(get[float64](t, c.Inputs, "depth_ratio"))
		if err != nil {
			t.Fatal(err)
		}
		enter(t, c, "bore, m", bore.Metres(), quantity(t, c.Expected, "diameter"), tol)
		enter(t, c, "full velocity, m/s", float64(v), quantity(t, c.Expected, "full_velocity"), tol)
		enter(t, c, "flow, m3/s", float64(part.Flow), quantity(t, c.Expected, "part_flow"), tol)
		enter(t, c, "velocity, m/s", float64(part.Velocity), quantity(t, c.Expected, "part_velocity"), tol)
	}
	c := cases["OC-04"]
	p := Pipe{units.Feet(quantity(t, c.Inputs, "bore")), slope.OneIn(20), get[float64](t, c.Inputs, "n")}
	full, _, err := p.Full()
	if err != nil {
		t.Fatal(err)
	}
	enter(t, c, "flow, ft3/s", float64(full/units.CubicFootPerSecond), quantity(t, c.Expected, "flow"), 0.005)

	// A velocity ratio of 1.045 belongs to a depth of 0.558 (note of OC-08).
	e, err := ElementsAt(0.558)
	if err != nil {
		t.Fatal(err)
	}
	enter(t, cases["OC-08"], "velocity, ft/s", quantity(t, cases["OC-08"].Inputs, "full_velocity")*e.VelocityRatio(),
		quantity(t, cases["OC-08"].Expected, "velocity"), 0.005)
}

func publishedDrainTable(t *testing.T, enter entry) {
	c := loadHydraulicCases(t)["OC-09"]
	rows := get[[][2]float64](t, c.Inputs, "rows_bore_in_and_grade_in_per_ft")
	flows := get[[]float64](t, c.Expected, "flow_gpm")
	speeds := get[[]float64](t, c.Expected, "velocity_ft_s")
	n := get[float64](t, c.Inputs, "n")
	for i, r := range rows {
		p := Pipe{units.Inches(r[0]), slope.PerFoot(units.Inches(r[1])), n}
		half, err := p.AtDepth(0.5)
		if err != nil {
			t.Fatal(err)
		}
		// The old table was computed by hand to three digits: 0.5 %.
		enter(t, c, fmt.Sprintf("flow of %v in at %v, gpm", r[0], r[1]), float64(half.Flow/units.USGallonPerMinute),
			flows[i], 0.005*flows[i])
		enter(t, c, fmt.Sprintf("velocity of %v in at %v, ft/s", r[0], r[1]), float64(half.Velocity/units.FootPerSecond),
			speeds[i], 0.005*speeds[i])
	}
	if len(rows) != 34 {
		t.Errorf("%d rows, want 34", len(rows))
	}
}

func publishedElements(t *testing.T, enter entry) {
	cases := loadHydraulicCases(t)
	c := cases["ELEM-01"]
	misprinted := c
	misprinted.Class, misprinted.Why = proof.Misprint,
		"it breaks the run of its own column; the exact integral is tested beside it"
	radii := get[[]float64](t, c.Expected, "hydraulic_mean_depth_over_radius")
	areas := get[[]float64](t, c.Expected, "area_over_radius_squared")
	for i, y := range get[[]float64](t, c.Inputs, "depth_over_radius") {
		e, err := ElementsAt(y / 2)
		if err != nil {
			t.Fatal(err)
		}
		// The table of 1910 was computed by hand to three digits, with two misprints.
		if !slices.Contains(c.Skip["hydraulic_mean_depth_over_radius"], i) {
			enter(t, c, fmt.Sprint("mean depth at ", y), 2*e.HydraulicRadius, radii[i], 0.0021)
		} else {
			enter(t, misprinted, fmt.Sprint("mean depth at ", y), 2*e.HydraulicRadius, radii[i], 0.02)
		}
		if !slices.Contains(c.Skip["area_over_radius_squared"], i) {
			enter(t, c, fmt.Sprint("area at ", y), 4*e.Area, areas[i], 0.0041)
		} else {
			enter(t, misprinted, fmt.Sprint("area at ", y), 4*e.Area, areas[i], 0.02)
		}
	}
	c = cases["ELEM-03"]
	vs, qs := get[[]float64](t, c.Expected, "velocity_ratio"), get[[]float64](t, c.Expected, "flow_ratio")
	for i, y := range get[[]float64](t, c.Inputs, "depth_ratio") {
		e, err := ElementsAt(y)
		if err != nil {
			t.Fatal(err)
		}
		enter(t, c, fmt.Sprint("velocity ratio at ", y), e.VelocityRatio(), vs[i], 0.0001)
		enter(t, c, fmt.Sprint("flow ratio at ", y), e.FlowRatio(), qs[i], 0.0001)
	}
	c = cases["ELEM-04"]
	enter(t, c, "greatest flow", MaxFlowRatio, get[float64](t, c.Expected, "max_flow_ratio"), 0.0006)
	enter(
		t,
		c,
		"depth of the greatest flow",
		elementsOfAngle(maxFlowAngle).Depth,
		get[float64](t, c.Expected, "depth_ratio_max_flow"),
		0.0006,
	)
	fastest, at := 0.0, 0.0
	for y := 0.7; y < 0.95; y += 1e-4 {
		e, err := ElementsAt(y)
		if err != nil {
			t.Fatal(err)
		}
		if v := e.VelocityRatio(); v > fastest {
			fastest, at = v, y
		}
	}
	enter(t, c, "greatest velocity", fastest, get[float64](t, c.Expected, "max_velocity_ratio"), 0.0006)
	enter(t, c, "depth of the greatest velocity", at, get[float64](t, c.Expected, "depth_ratio_max_velocity"), 0.0006)

	c = cases["MULT-01"]
	fs := get[[]float64](t, c.Expected, "flow_over_half_full")
	us := get[[]float64](t, c.Expected, "velocity_over_half_full")
	for i, y := range get[[]float64](t, c.Inputs, "depth_ratio") {
		e, err := ElementsAt(y)
		if err != nil {
			t.Fatal(err)
		}
		enter(t, c, fmt.Sprint("flow multiplier at ", y), 2*e.FlowRatio(), fs[i], 0.005)
		enter(t, c, fmt.Sprint("velocity multiplier at ", y), e.VelocityRatio(), us[i], 0.005)
	}
}

func publishedStacks(t *testing.T, enter entry) {
	cases := loadHydraulicCases(t)
	for id, fill := range map[string]float64{"STACK-02": 1. / 4, "STACK-03": 1. / 3} {
		c := cases[id]
		want := get[[]float64](t, c.Expected, "flow_gpm")
		for i, d := range get[[]float64](t, c.Inputs, "bores_in") {
			got, err := StackCapacity(units.Inches(d), fill)
			if err != nil {
				t.Fatal(err)
			}
			enter(t, c, fmt.Sprint("flow of ", d, " in, gpm"), float64(got.Flow/units.USGallonPerMinute), want[i], 0.005*want[i])
		}
	}
	c := cases["STACK-04"]
	flows := get[[]float64](t, c.Inputs, "flow_gpm")
	vs, ls := get[[]float64](t, c.Expected, "terminal_velocity_ft_s"), get[[]float64](t, c.Expected, "terminal_length_ft")
	for i, d := range get[[]float64](t, c.Inputs, "bores_in") {
		got, err := StackFill(units.Inches(d), units.Flow(flows[i])*units.USGallonPerMinute)
		if err != nil {
			t.Fatal(err)
		}
		enter(t, c, fmt.Sprint("velocity in ", d, " in, ft/s"), float64(got.TerminalVelocity/units.FootPerSecond), vs[i],
			0.06)
		enter(t, c, fmt.Sprint("length in ", d, " in, ft"), got.TerminalLength.Feet(), ls[i], 0.06)
	}
}

func TestStackInverses(t *testing.T) {
	// Fill from flow and bore from flow give back what the flow was made of.
	for _, d := range []float64{1.5, 3, 4.026, 10} {
		for _, fill := range []float64{0.05, 0.25, 7. / 24, 1. / 3, 1} {
			s, err := StackCapacity(units.Inches(d), fill)
			if err != nil {
				t.Fatal(err)
			}
			back, err := StackFill(s.Bore, s.Flow*(1-1e-15))
			if err != nil {
				t.Fatal(err)
			}
			near(t, "fill", back.Fill, fill, 1e-12)
			near(t, "velocity", float64(back.TerminalVelocity/s.TerminalVelocity), 1, 1e-12)
			bore, err := StackBoreFor(s.Flow, fill)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "bore", (bore - s.Bore).Metres(), 0, 2e-9)
		}
	}
	if _, err := StackBoreFor(0, 2); !errors.Is(err, units.ErrRange) {
		t.Errorf("no flow, over full: %v", err)
	}
}

func TestElementsByIntegration(t *testing.T) {
	// Area, perimeter and first moment of the segment by slicing it, which shares
	// no formula with the code.
	for _, y := range []float64{0.0001, 0.0006, 0.002, 0.05, 0.3, 0.5, 0.8, 0.97, 1} {
		e, err := ElementsAt(y)
		if err != nil {
			t.Fatal(err)
		}
		const n = 400_000
		area, moment := 0.0, 0.0
		for i := range n {
			// Slices are even in the angle, so that the ends are fine enough.
			a0, a1 := math.Acos(1-2*y)*float64(i)/n, math.Acos(1-2*y)*float64(i+1)/n
			z := (1 - math.Cos((a0+a1)/2)) / 2
			dz := (math.Cos(a0) - math.Cos(a1)) / 2
			w := 2 * math.Sqrt(z*(1-z))
			area += w * dz
			moment += w * dz * (y - z)
		}
		near(t, "area", e.Area/area, 1, 1e-9)
		near(t, "moment", firstMoment(e.Angle)/moment, 1, 1e-8)
		near(t, "radius", e.HydraulicRadius*e.WettedPerimeter/area, 1, 1e-9)
		near(t, "top width", e.TopWidth, 2*math.Sqrt(y*(1-y)), 1e-9)
	}
}

func TestUnknownsAgree(t *testing.T) {
	// Whatever is taken as unknown, the pipe comes out the same.
	for _, p := range []Pipe{
		{3 * units.Inch, slope.PerFoot(units.Inch / 4), 0.009},
		{units.Millimetres(96), slope.OneIn(100), 0.012},
		{12 * units.Foot, slope.OneIn(5000), 0.015},
		{units.Inch / 2, slope.OneIn(1), 0.02},
	} {
		for _, y := range []float64{0.01, 0.25, 0.5, 0.7, 0.8} {
			f, err := p.AtDepth(y)
			if err != nil {
				t.Fatal(err)
			}
			g, err := p.AtFlow(f.Flow)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "depth", g.Elements.Depth/y, 1, 1e-11)
			near(t, "velocity", float64(g.Velocity/f.Velocity), 1, 1e-11)
			bore, err := BoreFor(f.Flow, p.Grade, p.Roughness, y)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "bore", (bore - p.Bore).Metres(), 0, 1e-9)
			grade, err := GradeFor(f.Flow, p.Bore, p.Roughness, y)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "grade", grade.Float()/p.Grade.Float(), 1, 1e-11)
			grade, err = GradeForVelocity(p.Bore, p.Roughness, f.Flow, f.Velocity)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "grade for velocity", grade.Float()/p.Grade.Float(), 1, 1e-9)
			grade, err = GradeForTraction(p.Bore, p.Roughness, f.Flow, f.Traction(1000), 1000)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "grade for traction", grade.Float()/p.Grade.Float(), 1, 1e-9)
		}
	}
}

func TestScaling(t *testing.T) {
	// Dimensions without a unit engine: n twice as great halves the flow, a grade
	// four times as steep doubles it, a bore eight times as wide carries 8^(8/3).
	base := Pipe{4 * units.Inch, slope.OneIn(64), 0.01}
	flow := func(p Pipe) float64 {
		f, err := p.AtDepth(0.37)
		if err != nil {
			t.Fatal(err)
		}
		return float64(f.Flow)
	}
	q := flow(base)
	near(t, "n", flow(Pipe{base.Bore, base.Grade, 0.02})/q, 0.5, 1e-12)
	near(t, "grade", flow(Pipe{base.Bore, slope.OneIn(16), 0.01})/q, 2, 1e-12)
	near(t, "bore", flow(Pipe{8 * base.Bore, base.Grade, 0.01})/q, 256, 1e-9)
}

func TestTraction(t *testing.T) {
	// Half full, R = D/4: a 0.4 m bore at 1 in 1000 gives 1000 * 9.80665 * 0.1 * 0.001 Pa.
	f, err := Pipe{400 * units.Millimetre, slope.OneIn(1000), 0.013}.AtDepth(0.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "traction", float64(f.Traction(1000)), 0.980665, 1e-12)
}

func TestCriticalDepth(t *testing.T) {
	for _, bore := range []units.Length{2 * units.Inch, 4 * units.Inch, units.Metre} {
		d := bore.Metres()
		last := 0.0
		for x := 1e-9; x < 30; x *= 1.7 { // Q/(g^(1/2) D^(5/2))
			q := units.Flow(x * math.Sqrt(units.StandardGravity) * math.Pow(d, 2.5))
			e, err := CriticalDepth(bore, q)
			if err != nil {
				t.Fatalf("%v: %v", x, err)
			}
			near(t, "Froude number", froude(float64(q)/(e.Area*d*d), e, d), 1, 1e-8)
			if e.Depth <= last || e.Depth >= 1 {
				t.Errorf("depth %v after %v", e.Depth, last)
			}
			last = e.Depth
			// At the critical grade the flow runs at critical depth.
			s, err := CriticalGrade(bore, q, 0.013)
			if err != nil {
				t.Fatal(err)
			}
			if e.Depth > 0.8 {
				continue // the flow has a second depth here
			}
			g, err := gradeFromFloat(s)
			if err != nil {
				continue // steeper or flatter than a Grade holds
			}
			f, err := Pipe{bore, g, 0.013}.AtFlow(q)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "Froude number at the critical grade", f.Froude(), 1, 1e-6)
		}
	}
	if _, err := CriticalDepth(units.Inch, 1e9); !errors.Is(err, units.ErrRange) {
		t.Errorf("a river in an inch: %v", err)
	}
}

func TestStackBase(t *testing.T) {
	q := 60 * units.USGallonPerMinute
	flat := Pipe{4 * units.Inch, slope.PerFoot(units.Inch / 8), 0.015}
	b, err := StackBaseFlow(4*units.Inch, q, flat)
	if err != nil {
		t.Fatal(err)
	}
	if !b.Jumps || b.Froude <= 1 || b.Sequent <= b.Entering.Depth {
		t.Errorf("flat drain: %+v", b)
	}
	if !b.Fills {
		t.Errorf("the jump of 60 gpm in a 4 in drain closes it; got sequent depth %v", b.Sequent)
	}
	// In a bigger drain the jump leaves air, and momentum is the same on both sides.
	wide := Pipe{8 * units.Inch, slope.PerFoot(units.Inch / 8), 0.015}
	b, err = StackBaseFlow(4*units.Inch, q, wide)
	if err != nil {
		t.Fatal(err)
	}
	if b.Fills || !(b.Sequent < 1) {
		t.Errorf("wide drain: %+v", b)
	}
	d := wide.Bore.Metres()
	momentum := func(depth float64) float64 {
		e, err := ElementsAt(depth)
		if err != nil {
			t.Fatal(err)
		}
		return firstMoment(e.Angle)*d*d*d + float64(q)*float64(q)/(units.StandardGravity*e.Area*d*d)
	}
	near(t, "momentum", momentum(b.Sequent)/momentum(b.Entering.Depth), 1, 1e-9)
	// A steep drain settles fast and shallow: no jump.
	b, err = StackBaseFlow(4*units.Inch, q, Pipe{4 * units.Inch, slope.OneIn(5), 0.009})
	if err != nil || b.Jumps {
		t.Errorf("steep drain: %+v, %v", b, err)
	}
}

func TestHydraulicsRefuse(t *testing.T) {
	good := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}
	nan, inf := math.NaN(), math.Inf(1)
	atDepth := func(p Pipe, y float64) func() error {
		return func() error { _, err := p.AtDepth(y); return err }
	}
	atFlow := func(q units.Flow) func() error { return func() error { _, err := good.AtFlow(q); return err } }
	full, _, err := good.Full()
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name string
		f    func() error
		want string
	}{
		{"no bore", atDepth(Pipe{0, good.Grade, 0.013}, 0.5), "bore: 0 m is not positive and at most 1000 km"},
		{"level", atDepth(Pipe{good.Bore, slope.Grade{}, 0.013}, 0.5), "grade: 0 % is not a fall"},
		{
			"three faults",
			atDepth(Pipe{-units.Inch, slope.Grade{}, nan}, 0.5),
			"bore: -0.0254 m is not positive and at most 1000 km\ngrade: 0 % is not a fall\nroughness n: NaN is not greater " +
				"than 0 and at most 1",
		},
		{"C for n", atDepth(Pipe{good.Bore, good.Grade, 130}, 0.5), "roughness n: 130 is not greater than 0 and at most 1"},
		{"dry", atDepth(good, 0), "depth ratio: 0 is not greater than 0 and at most 1"},
		{"over full", atDepth(good, 1.01), "depth ratio: 1.01 is not greater than 0 and at most 1"},
		{"depth not a number", atDepth(good, nan), "depth ratio: NaN is not greater than 0 and at most 1"},
		{"no flow", atFlow(0), "flow: 0 L/s is not positive"},
		{"flow not a number", atFlow(units.Flow(nan)), "flow: NaN L/s is not positive"},
		{"endless flow", atFlow(units.Flow(inf)), "flow: +Inf L/s is not positive"},
		{"more than runs free", atFlow(full * 1.0758),
			"flow: 8.3676 L/s is not at most 8.36687 L/s, 1.0757 of the full pipe, the most that runs free in it"},
		{"stack fill", func() error { _, err := StackCapacity(units.Inch, 1.5); return err },
			"fill: 1.5 is not greater than 0 and at most 1"},
		{"stack flow", func() error { _, err := StackFill(units.Inch, 100*units.LitrePerSecond); return err },
			"flow: 100 L/s is not at most 1.75391 L/s, which fills the stack"},
		{"gentle", func() error {
			_, err := GradeForVelocity(units.Inch, 0.01, units.LitrePerSecond, 0.1)
			return err
		}, "flow: 1 L/s is not small enough to run free so gently in this bore; capacity decides the grade"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			err := c.f()
			if err == nil || err.Error() != c.want || !errors.Is(err, units.ErrRange) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	if f, err := good.AtFlow(full * MaxFlowRatio * (1 - 1e-15)); err != nil || math.Abs(f.Elements.Depth-0.938) > 0.001 {
		t.Errorf("the greatest flow: %v, %v", f.Elements.Depth, err)
	}
}

func TestHydraulicsAllocateNothing(t *testing.T) {
	p := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}
	for name, f := range map[string]func() error{
		"AtFlow":           func() error { _, err := p.AtFlow(2 * units.LitrePerSecond); return err },
		"AtDepth":          func() error { _, err := p.AtDepth(0.5); return err },
		"CriticalDepth":    func() error { _, err := CriticalDepth(p.Bore, 2*units.LitrePerSecond); return err },
		"GradeForVelocity": func() error { _, err := GradeForVelocity(p.Bore, 0.01, 2*units.LitrePerSecond, 1); return err },
		"StackCapacity":    func() error { _, err := StackCapacity(p.Bore, 0.25); return err },
	} {
		if n := testing.AllocsPerRun(100, func() {
			if err := f(); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func BenchmarkManning(b *testing.B) {
	p := Pipe{4 * units.Inch, slope.OneIn(48), 0.013}
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			_, v, err := p.Full()
			if err != nil {
				b.Fatal(err)
			}
			sink += float64(v)
		}
	})
	b.Run("floor", func(b *testing.B) {
		// The bare formula from the integers that the pipe holds.
		bore, rise, run, n := int64(p.Bore), int64(1), int64(48), p.Roughness
		for b.Loop() {
			r := float64(bore) / 4e9
			sink += math.Cbrt(r*r) * math.Sqrt(float64(rise)/float64(run)) / n
			bore++
		}
	})
}
