package simultaneous_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/units"
)

// Hunter's rule for 30 flush valves that each run 9 s in every 5 minutes: how many run at once at most, 99 % of
// the time.
func ExampleFixturesInUse() {
	p, err := simultaneous.UseProbability(9*units.Second, 300*units.Second)
	if err != nil {
		log.Fatal(err)
	}
	n, err := simultaneous.FixturesInUse(30, p, 0.99)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.3f each; %d of 30 at once: %.0f gpm\n", p, n, float64(n)*27)
	// Output:
	// 0.030 each; 4 of 30 at once: 108 gpm
}
