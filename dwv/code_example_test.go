package dwv_test

import (
	"fmt"
	"log"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func ExampleLoadCode() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(code.ID(), "-", code.Source())
	// Output: ipc-2021 - International Plumbing Code 2021
}

func ExampleCode_FixtureLoad() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	closets := tables.Fixture{Kind: "water-closet", Count: 2, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon}
	load, err := code.FixtureLoad(closets)
	fmt.Println(load.Units, err)
	fmt.Println(load.Citation)

	closets.Use = tables.UseNotStated
	_, err = code.FixtureLoad(closets)
	fmt.Println(err)
	// Output:
	// 6 dfu <nil>
	// International Plumbing Code 2021, Table 709.1: row water-closet-private-1.6
	// ipc-2021 water-closet: use: not stated, and the code tells apart: private, public, assembly
}

func ExampleCode_DrainSize() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := code.DrainSize(dwv.DrainQuery{
		Part: dwv.Drain, Load: 12 * dwv.FixtureUnit, Grade: slope.MustParse("1/4 in/ft"), Closets: 2,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(dwv.FormatSize(r.Size), "decided by", r.DecidedBy)
	fmt.Println(r.Why())
	fmt.Println("room for", r.Margin())
	// Output:
	// 3 in decided by water closets
	// water closets: 3 in carries up to 42 dfu at 1/4 in/ft, 12 dfu asked
	// room for 30 dfu
}

func ExampleCode_TrapArm() {
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		code, err := dwv.LoadCode(tables.Embedded(), id)
		if err != nil {
			fmt.Println(err)
			return
		}
		arm, err := code.TrapArm(2 * units.Inch)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%v: 2 in trap arm up to %v at %v\n", code, arm.MaxLength.Value, arm.Grade)
	}
	// Output:
	// ipc-2021: 2 in trap arm up to 8'-0" at 1/4 in/ft
	// upc-2021: 2 in trap arm up to 5'-0" at 1/4 in/ft
}

func ExampleCode_VentSize() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, length := range []units.Length{40 * units.Foot, 41 * units.Foot} {
		v, err := code.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * units.Inch, Length: length})
		fmt.Println(dwv.FormatSize(v.Size), v.DecidedBy, err)
	}
	// Output:
	// 1-1/2 in half the drain size <nil>
	// 2 in one size up for its length <nil>
}

// A locality amends one figure; the answer says so.
func ExampleLoadCode_amended() {
	town := fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nmillbrook,Millbrook Plumbing Ordinance,,,2023,,\n")},
		"ipc-2021/rules.csv": {Data: []byte("# id: ipc-2021/rules\n# source: millbrook\n" +
			"op,rule,value,unit,section,status\nset,below-ground-min-size,2,in,section 12-4,read\n")},
	}
	shelf, err := tables.Embedded().With(town)
	if err != nil {
		fmt.Println(err)
		return
	}
	code, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := code.DrainSize(dwv.DrainQuery{Part: dwv.Branch, Load: dwv.FixtureUnit, BelowGround: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(dwv.FormatSize(r.Size), r.DecidedBy)
	fmt.Println(r.Citation)
	// Output:
	// 2 in minimum size underground
	// Millbrook Plumbing Ordinance (2023), section 12-4: least size of a drain below ground (amends International Plumbing Code 2021)
}

func ExampleCode_StackLength() {
	code, err := dwv.LoadCode(tables.Embedded(), "upc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	most, cite, err := code.StackLength(3 * units.Inch)
	fmt.Println(most.Value, err)
	fmt.Println(cite)
	// Output:
	// 212'-0" <nil>
	// Uniform Plumbing Code 2021, Table 703.2: size 3 in
}

// A form for fixtures: the kinds that a code rates, and of the one chosen the ways in which the code
// tells it apart.
func ExampleCode_FixturesOf() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	kinds := code.Fixtures()
	fmt.Println(len(kinds), "kinds, such as", kinds[0].Label)
	for _, f := range code.FixturesOf("urinal") {
		load, err := code.FixtureLoad(f)
		if err != nil {
			log.Fatal(err)
		}
		if f.Flush > 0 {
			fmt.Printf("%s that flushes %v: %v\n", f.Kind, f.Flush, load.Units)
		} else {
			fmt.Printf("%s, %v: %v\n", f.Kind, f.Control, load.Units)
		}
	}
	// Output:
	// 27 kinds, such as Bar sink
	// urinal that flushes 1 gal: 2 dfu
	// urinal that flushes 2 gal: 4 dfu
	// urinal, waterless: 0.5 dfu
}
