package en12056_test

import (
	"fmt"
	"log"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The drain of ten flats, half full at 1 %. Of 10 x (0.5 + 0.8 + 2.0) = 33 discharge units,
// 0.5 x root 33 = 2.87 L/s is likely at once; DN 100 carries 2.5 L/s.
func Example() {
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		log.Fatal(err)
	}
	load, err := standard.Load("I", []en12056.Appliance{
		{Fixture: tables.Fixture{Kind: "lavatory", Count: 10}},
		{Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 10}},
		{Fixture: tables.Fixture{Kind: "water-closet", Count: 10, Control: tables.Tank, Flush: 6 * units.Litre}},
	})
	if err != nil {
		log.Fatal(err)
	}
	flow, err := standard.DesignFlow(load, "intermittent", 0, 0)
	if err != nil {
		log.Fatal(err)
	}
	pipe, err := standard.Drain(0.5, slope.MustParse("1%"), flow.Total)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v, %.2f L/s on DN %.0f, which carries %.1f L/s\n", load.Sum, flow.Total.In(units.LitrePerSecond),
		pipe.Size.Millimetres(), pipe.MaxFlow.In(units.LitrePerSecond))
	// Output:
	// 33 du, 2.87 L/s on DN 125, which carries 4.1 L/s
}

// What the standard tells apart of a kind of fixture, as a form offers it.
func ExampleStandard_Appliances() {
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		log.Fatal(err)
	}
	for _, a := range standard.Appliances("I", "shower") {
		du, cite, err := standard.DischargeUnits("I", a)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%s %s: %v (%v)\n", a.Kind, a.Variant, du, cite.Status())
	}
	// Output:
	// shower with-plug: 0.8 du (read2)
	// shower without-plug: 0.6 du (read2)
}

// A stack of square entries for 3.5 L/s, with four closets on it.
func ExampleStandard_Stack() {
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		log.Fatal(err)
	}
	stack, err := standard.Stack("I", "primary", "square", 3.5*units.LitrePerSecond, 4)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("DN %.0f carries %.1f L/s (%s, %s)\n", stack.Size.Millimetres(), stack.MaxFlow.In(units.LitrePerSecond),
		stack.Citation.Section(), stack.Citation.Row())
	// Output:
	// DN 100 carries 4.0 L/s (Tables 11 and 12, vent primary, entry square, size 100 mm)
}
