package tables_test

import (
	"fmt"
	"testing/fstest"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A trap arm as a row of a struct; each field takes the column of its tag, and the
// quantities read the unit of the column.
type trapArm struct {
	Size      units.Length `table:"size"`
	MaxLength units.Length `table:"max_length"`
	Grade     slope.Grade  `table:"grade"`
}

func ExampleLoad() {
	rows, err := tables.Load[trapArm](tables.Embedded(), "ipc-2021/trap-arm")
	if err != nil {
		fmt.Println(err)
		return
	}
	i, ok := rows.Table().Find("2")
	if !ok {
		return
	}
	fmt.Println(rows.At(i).MaxLength.Feet(), "ft at", rows.At(i).Grade)
	fmt.Println(rows.Cite(i))
	// Output:
	// 8 ft at 1/4 in/ft
	// International Plumbing Code 2021, Table 909.1: size 2 in
}

// The first row of a grade whose load is enough: the limits are at most, as the
// table says.
func ExampleRows() {
	type drain struct {
		Size  units.Length         `table:"size"`
		Grade slope.Grade          `table:"grade"`
		Load  tables.Cell[float64] `table:"max_load[dfu]"`
	}
	rows, err := tables.Load[drain](tables.Embedded(), "ipc-2021/building-drain")
	if err != nil {
		fmt.Println(err)
		return
	}
	quarter := slope.PerFoot(units.Inch / 4)
	for i := range rows.Len() {
		row := rows.At(i)
		if most, ok := row.Load.Get(); ok && row.Grade == quarter && most >= 43 {
			fmt.Println("43 dfu:", row.Size.Inches(), "in, by", rows.Cite(i))
			return
		}
	}
	fmt.Println("43 dfu: beyond the table")
	// Output:
	// 43 dfu: 4 in, by International Plumbing Code 2021, Table 710.1(1): size 4 in, grade 0.25 in/ft
}

func ExampleShelf_With() {
	town := fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\n" +
			"ordinance-7,Ordinance 7,Town of Ebb,,2025,,\n")},
		"ipc-2021/trap-arm.csv": {Data: []byte("# id: ipc-2021/trap-arm\n# source: ordinance-7\n# section: 7-2\n" +
			"op,size[in],max_length[ft],status\nset,2,6,read\n")},
	}
	shelf, err := tables.Embedded().With(town)
	if err != nil {
		fmt.Println(err)
		return
	}
	rows, err := tables.Load[trapArm](shelf, "ipc-2021/trap-arm")
	if err != nil {
		fmt.Println(err)
		return
	}
	i, _ := rows.Table().Find("2")
	fmt.Println(rows.At(i).MaxLength.Feet(), "ft")
	fmt.Println(rows.Cite(i))
	fmt.Println("was:", rows.Cite(i).Original())
	// Output:
	// 6 ft
	// Ordinance 7 (2025), 7-2: size 2 in (amends International Plumbing Code 2021)
	// was: International Plumbing Code 2021, Table 909.1: size 2 in
}

func ExampleShelf_Rules() {
	rules, err := tables.Embedded().Rules("ipc-2021")
	if err != nil {
		fmt.Println(err)
		return
	}
	spacing, cite, err := tables.RuleValue[units.Length](rules, "cleanout-spacing")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(spacing.Feet(), "ft,", cite.Section())
	// Output:
	// 100 ft, 708.1.1
}

// A bad file comes back with every fault and its place.
func ExampleOpen() {
	shelf := tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nnotes,My notes,,,,,\n")},
		"mine/vents.csv": {Data: []byte("# id: mine/vents\n# title: Vents\n# source: notes\n# key: size\n" +
			"size[in],max_length[ft],src,status\n2,forty,,practice\n1.5,30,,sure\n")},
	})
	_, err := shelf.Table("mine/vents")
	fmt.Println(err)
	// Output:
	// mine/vents.csv:6:3: max_length: bad cell: "forty" is not a number, `-`, `unlimited` or blank
	// mine/vents.csv:7:9: status: unknown status: "sure"
	// mine/vents.csv:7:1: size: rows out of order: "1.5" comes after "2"
}
