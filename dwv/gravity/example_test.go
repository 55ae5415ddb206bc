package gravity_test

import (
	"fmt"

	"github.com/trapweir/trapweir/dwv/gravity"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// A flow of 15 gpm in a 3 in plastic drain laid by a laser set at 2 %.
func ExamplePipe_AtFlow() {
	drain := gravity.Pipe{Bore: units.Inches(3.042), Grade: slope.OneIn(50), Roughness: 0.009}
	f, err := drain.AtFlow(15 * units.USGallonPerMinute)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f %% of the bore, %.2f ft/s, Froude %.2f, traction %.2f Pa\n",
		100*f.Elements.Depth, float64(f.Velocity/units.FootPerSecond), f.Froude(), float64(f.Traction(1000)))
	// Output: 29 % of the bore, 2.81 ft/s, Froude 2.17, traction 2.49 Pa
}

// What one laser setting does to each size when the same 15 gpm run: from 3 in
// on, a bigger pipe runs shallower and slower, and needs more grade.
func ExampleGradeForVelocity() {
	q, n := 15*units.USGallonPerMinute, 0.013
	for _, bore := range []units.Length{2 * units.Inch, 3 * units.Inch, 4 * units.Inch, 6 * units.Inch} {
		f, err := gravity.Pipe{Bore: bore, Grade: slope.OneIn(50), Roughness: n}.AtFlow(q)
		if err != nil {
			fmt.Printf("%2.0f in: %v\n", bore.Inches(), err)
			continue
		}
		g, err := gravity.GradeForVelocity(bore, n, q, 2*units.FootPerSecond)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2.0f in: %.2f ft/s at %.2f full; 2 ft/s needs %.2f %%\n",
			bore.Inches(), float64(f.Velocity/units.FootPerSecond), f.Elements.Depth, g.Percent())
	}
	// Output:
	//  2 in: 2.15 ft/s at 0.67 full; 2 ft/s needs 1.68 %
	//  3 in: 2.16 ft/s at 0.35 full; 2 ft/s needs 1.63 %
	//  4 in: 2.10 ft/s at 0.24 full; 2 ft/s needs 1.74 %
	//  6 in: 2.00 ft/s at 0.14 full; 2 ft/s needs 2.00 %
}

// A 4 in stack a quarter full.
func ExampleStackCapacity() {
	s, err := gravity.StackCapacity(4*units.Inch, 1./4)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f gpm, %.1f ft/s after %.1f ft\n",
		float64(s.Flow/units.USGallonPerMinute), float64(s.TerminalVelocity/units.FootPerSecond), s.TerminalLength.Feet())
	// Output: 111 gpm, 11.3 ft/s after 6.7 ft
}
