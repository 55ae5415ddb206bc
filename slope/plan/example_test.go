package plan_test

import (
	"fmt"

	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/units"
)

// A closet stands 3 ft right of the stack and 4 ft ahead of it: 5 ft away.
func ExampleBearingOf() {
	stack, closet := plan.Position{}, plan.Position{X: 3 * units.Foot, Y: 4 * units.Foot}
	b := plan.BearingOf(stack, closet)
	fmt.Println(b, stack.To(closet))
	fmt.Println(stack.Toward(plan.Degrees(90), 2*units.Foot).X)
	// Output:
	// 36.87 deg 5'-0"
	// 2'-0"
}
