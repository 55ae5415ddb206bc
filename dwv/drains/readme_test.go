package drains_test

import (
	"fmt"
	"log"
	"os"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func Example_readme() {
	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		log.Fatal(err)
	}
	load, err := code.Loads([]tables.Fixture{
		{Kind: "water-closet", Count: 2, Use: tables.Public, Flush: units.MustParse[units.Volume]("1.6 gal")},
		{Kind: "lavatory", Count: 3},
		{Kind: "floor-drain", Count: 1},
	})
	if err != nil {
		log.Fatal(err)
	}
	grade := slope.MustParse("1/4 in/ft")
	size, err := code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: load, Grade: grade, Closets: 2, BelowGround: true})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(load, "on a", size.Size, "drain, which carries", size.MaxLoad)
	fmt.Println("by", size.Citation)
	fmt.Println("falls", grade.Over(units.MustParse[units.Length](`37'-6"`)), "on the way")
	// Output:
	// 13 dfu on a 3" drain, which carries 42 dfu
	// by International Plumbing Code 2021, Table 710.1(1): part drain, size 3 in
	// falls 9 3/8" on the way
}

// TestReadmeSnippet keeps the code in the README the same as the example above,
// which is compiled and run.
func TestReadmeSnippet(t *testing.T) {
	source, err := os.ReadFile("readme_test.go")
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(source), "func Example_readme() {\n")
	body, _, _ = strings.Cut(body, "\t// Output:")
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(body) {
		want := "    " + strings.ReplaceAll(strings.TrimPrefix(strings.TrimRight(line, "\n"), "\t"), "\t", "    ")
		if !strings.Contains(string(readme), want+"\n") {
			t.Errorf("README.md lacks the line\n%s", want)
		}
	}
}
