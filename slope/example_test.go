package slope_test

import (
	"encoding/json"
	"fmt"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

func ExampleGrade_Over() {
	fall := slope.MustParse("1/4 in/ft").Over(37*units.Foot + 6*units.Inch)
	fmt.Println(fall.Inches(), "in")
	// Output: 9.375 in
}

func ExampleGrade_RunFor() {
	run, err := slope.MustParse("2 %").RunFor(9 * units.Inch)
	if err != nil {
		panic(err)
	}
	fmt.Println(run.Feet(), "ft")
	// Output: 37.5 ft
}

func ExampleGrade_Compare() {
	two, quarter := slope.MustParse("2 %"), slope.MustParse("1/4 in/ft")
	fmt.Println(two.Compare(quarter), two.Text(slope.InchesPerFoot, 2), quarter.Text(slope.InPercent, 4))
	// Output: -1 0.24 in/ft 2.0833 %
}

func ExampleGrade_Text() {
	g := slope.MustParse("1/4 in/ft")
	fmt.Println(g.Text(slope.FractionPerFoot, 16))
	fmt.Println(g.Text(slope.InPercent, 2))
	fmt.Println(g.Text(slope.MillimetresPerMetre, 1))
	fmt.Println(g.Text(slope.OneInN, 0))
	// Output:
	// 1/4 in/ft
	// 2.08 %
	// 20.8 mm/m
	// 1:48
}

func ExampleGrade_MarshalText() {
	b, err := json.Marshal(map[string]slope.Grade{"main": slope.OneIn(96), "branch": slope.OneIn(50)})
	if err != nil {
		panic(err)
	}
	fmt.Println(string(b))
	// Output: {"branch":"2 %","main":"1/8 in/ft"}
}

func ExampleRoom_Reach() {
	// How far can a drain reach at 1/4 in per ft with 11 in of depth left?
	room := slope.Room{Ceiling: 11 * units.Inch}
	reach, err := room.Reach(slope.MustParse("1/4 in/ft"))
	if err != nil {
		panic(err)
	}
	fmt.Println(reach.Feet(), "ft")
	// Output: 44 ft
}

func ExampleLine() {
	line := slope.Line{Outlet: 96 * units.Foot, Reaches: []slope.Reach{
		{Name: "manhole", Run: 40 * units.Foot, Grade: slope.MustParse("1/4 in/ft")},
		{Name: "wye", Run: 24 * units.Foot, Grade: slope.MustParse("1/8 in/ft"), Drop: 2 * units.Inch},
	}}
	p, err := line.Profile()
	if err != nil {
		panic(err)
	}
	for _, s := range p.Stations() {
		fmt.Printf("%2v ft %-8s leaving %.4f ft, arriving %.4f ft\n", s.Distance.Feet(), s.Name, s.Leaving.Feet(),
			s.Arriving.Feet())
	}
	// Output:
	//  0 ft          leaving 96.0000 ft, arriving 96.0000 ft
	// 40 ft manhole  leaving 96.8333 ft, arriving 97.0000 ft
	// 64 ft wye      leaving 97.2500 ft, arriving 97.2500 ft
}

func ExamplePipe_Levels() {
	pipe := slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch / 4}
	l, err := pipe.Levels(97*units.Foot,
		slope.Surface{Level: 100 * units.Foot, Slab: 6 * units.Inch, Bedding: 4 * units.Inch})
	if err != nil {
		panic(err)
	}
	fmt.Println("slab clearance", l.SlabClearance.Inches(), "in")
	fmt.Println("trench depth", l.TrenchDepth.Inches(), "in")
	// Output:
	// slab clearance 25.75 in
	// trench depth 34.25 in
}

func ExampleInverts() {
	// Point 0 is the outlet, 1 drains to it, 2 and 3 drain to 1.
	tree := slope.Tree{
		Parent: []int32{-1, 0, 1, 1},
		Run:    []units.Length{0, 20 * units.Foot, 30 * units.Foot, 10 * units.Foot},
		Grade:  []slope.Grade{{}, slope.OneIn(48), slope.OneIn(96), slope.OneIn(48)},
		Drop:   []units.Length{0, 0, 0, units.Inch},
	}
	lower, upper := make([]units.Length, 4), make([]units.Length, 4)
	if err := slope.Inverts(tree, 0, lower, upper); err != nil {
		panic(err)
	}
	for i := range upper {
		fmt.Println(lower[i].Inches(), upper[i].Inches())
	}
	// Output:
	// 0 0
	// 0 5
	// 5 8.75
	// 6 8.5
}

// A line taken 10 in aside by two 1/8 bends: travel 10 x root 2, advance 10.
func ExampleNewOffset() {
	o, err := slope.NewOffset(10*units.Inch, slope.EighthBend)
	if err != nil {
		panic(err)
	}
	fmt.Printf("travel %.2f in, advance %.2f in\n", o.Travel.Inches(), o.Advance.Inches())
	// Output:
	// travel 14.14 in, advance 10.00 in
}

func ExampleNewRollingOffset() {
	o, err := slope.NewRollingOffset(8*units.Inch, 12*units.Inch, slope.EighthBend)
	if err != nil {
		panic(err)
	}
	fmt.Printf("offset %.2f in, travel %.2f in, advance %.2f in, rolled %.1f degrees\n", o.True.Inches(),
		o.Travel.Inches(), o.Advance.Inches(), o.Roll)
	cut, err := slope.CutLength(o.Travel, 2*units.Inch, 2*units.Inch)
	if err != nil {
		panic(err)
	}
	fmt.Printf("cut %.2f in\n", cut.Inches())
	// Output:
	// offset 14.42 in, travel 20.40 in, advance 14.42 in, rolled 33.7 degrees
	// cut 16.40 in
}

func ExamplePlane_Follow() {
	plane := slope.Plane{Ahead: slope.MustParse("1 %")}
	runs, err := plane.Follow([]slope.Heading{
		{Name: "main", Bearing: 0, Grade: slope.MustParse("1 %")},
		{Name: "return", Bearing: 180, Grade: slope.MustParse("1 %")},
	})
	if err != nil {
		panic(err)
	}
	for _, r := range runs {
		fmt.Println(r.Name, r.Result)
		if w := r.Warning(); w != "" {
			fmt.Println(w)
		}
	}
	// Output:
	// main at design grade
	// return backwards
	// following the beam grades run "return" backwards by 1.000 %; the reading must grow by 2.000 % of the run
}

func ExampleCutSheet_Rows() {
	stations, err := slope.Stakes(0, 60*units.Foot, 25*units.Foot)
	if err != nil {
		panic(err)
	}
	sheet := slope.CutSheet{
		Benchmark: 100 * units.Foot, Backsight: units.Feet(4.5),
		Invert: 98 * units.Foot, Grade: slope.MustParse("1 %"), Stations: stations,
		Ground: []units.Length{101 * units.Foot, units.Feet(100.5), units.Feet(100.25), 100 * units.Foot},
	}
	rows, err := sheet.Rows()
	if err != nil {
		panic(err)
	}
	for _, r := range rows {
		fmt.Printf("%5.2f  invert %.2f  rod %.2f  cut %.2f\n", r.Station.Feet(), r.Invert.Feet(), r.Reading.Feet(),
			r.Cut.Feet())
	}
	// Output:
	//  0.00  invert 98.00  rod 6.50  cut 3.00
	// 25.00  invert 97.75  rod 6.75  cut 2.75
	// 50.00  invert 97.50  rod 7.00  cut 2.75
	// 60.00  invert 97.40  rod 7.10  cut 2.60
}

func ExampleConflicts() {
	main := slope.Course{
		Name: "main", Upper: slope.Point{X: 40 * units.Foot}, UpperInvert: 10 * units.Inch,
		Pipe: slope.Pipe{Bore: 4 * units.Inch, Wall: units.Inch / 4}, Into: -1,
	}
	branch := slope.Course{
		Name: "branch", Lower: slope.Point{X: 24 * units.Foot},
		Upper:       slope.Point{X: 24 * units.Foot, Y: 10 * units.Foot},
		LowerInvert: 6 * units.Inch, UpperInvert: 9 * units.Inch,
		Pipe: slope.Pipe{Bore: 2 * units.Inch, Wall: units.Inch / 4}, Into: 0, Join: slope.AtSpringline,
	}
	found, err := slope.Conflicts([]slope.Course{main, branch}, nil, slope.Limits{Meet: units.Inch / 16})
	if err != nil {
		panic(err)
	}
	for _, c := range found {
		fmt.Println(c.Text)
	}
	// Output: pipe 2 "branch" meets pipe 1 "main" 1 in (25.4 mm) too low
}

func ExampleWall_StubUp() {
	// A closet 12 in off the finished face of a 3 1/2 in stud wall with 1/2 in board.
	wall := slope.Wall{B: slope.Point{X: 20 * units.Foot}, Line: slope.WallCentre, Frame: 7 * units.Inch / 2,
		FinishLeft: units.Inch / 2}
	p, err := wall.StubUp(5*units.Foot, slope.Left, 12*units.Inch)
	if err != nil {
		panic(err)
	}
	fmt.Println(p.X.Inches(), p.Y.Inches())
	// Output: 60 14.25
}

func ExampleTrench_Volume() {
	t := slope.Trench{Length: 100 * units.Foot, Width: 2 * units.Foot, DepthLower: 3 * units.Foot,
		DepthUpper: units.Feet(2.25)}
	bank, err := t.Volume()
	if err != nil {
		panic(err)
	}
	loose, err := slope.Spoil(bank, 1.25)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.2f yd3 in the bank, %.2f yd3 of spoil\n", float64(bank/units.CubicYard),
		float64(loose/units.CubicYard))
	// Output: 19.44 yd3 in the bank, 24.31 yd3 of spoil
}
