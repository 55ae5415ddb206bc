package figures_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// An asker puts a great many questions to a code and notes what it answers, and from
// which table. Errors are no answers.
type asker map[string]told

type told struct{ value, table string }

func (a asker) note(question string, value any, cite tables.Citation, err error) {
	if err == nil && !cite.IsZero() {
		a[question] = told{fmt.Sprint(value), cite.Table()}
	}
}

var (
	sizes = []units.Length{
		5 * units.Inch / 4,
		3 * units.Inch / 2,
		2 * units.Inch,
		3 * units.Inch,
		4 * units.Inch,
		8 * units.Inch,
	}
	grades  = []slope.Grade{slope.OneIn(96), slope.OneIn(48), slope.OneIn(24)}
	lengths = []units.Length{8 * units.Foot, 60 * units.Foot, 300 * units.Foot}
	loads   = []int64{1, 3, 12, 100, 900}
)

// askDrainage puts every kind of question that dwv answers from tables.
func askDrainage(a asker, shelf *tables.Shelf, id string) {
	c, err := dwv.LoadCode(shelf, id)
	if err != nil {
		return
	}
	for _, fixture := range c.Fixtures() {
		kind := fixture.ID
		for _, use := range []tables.Use{tables.Private, tables.Public, tables.Assembly} {
			for _, control := range []tables.Control{tables.Tank, tables.Valve} {
				f := tables.Fixture{
					Kind:    kind,
					Count:   2,
					Use:     use,
					Control: control,
					Flush:   1.6 * units.USGallon,
					Size:    2 * units.Inch,
				}
				l, err := c.FixtureLoad(f)
				a.note(fmt.Sprintf("load %s %v %v", kind, use, control), l.Units, l.Citation, err)
			}
		}
	}
	for _, load := range loads {
		q := dwv.FixtureUnits(load) * dwv.FixtureUnit
		for _, part := range []dwv.Part{dwv.Branch, dwv.Stack, dwv.StackInterval, dwv.Drain} {
			for _, g := range grades {
				for _, closets := range []int{0, 4} {
					for _, intervals := range []int{2, 5} {
						r, err := c.DrainSize(
							dwv.DrainQuery{Part: part, Load: q, Grade: g, Closets: closets, Intervals: intervals,
								BelowGround: true},
						)
						a.note(fmt.Sprintf("size %v %v %v %d %d", part, load, g, closets, intervals), r.Size,
							r.Citation, err)
					}
				}
			}
		}
		for _, d := range sizes {
			for _, length := range lengths {
				for _, part := range []dwv.VentPart{dwv.IndividualVent, dwv.StackVent} {
					r, err := c.VentSize(dwv.VentQuery{Part: part, Drain: d, Load: q, Length: length})
					a.note(fmt.Sprintf("vent %v %v %v %v", part, load, d, length), r.Size, r.Citation, err)
				}
			}
		}
	}
	for _, size := range sizes {
		arm, err := c.TrapArm(size)
		a.note(fmt.Sprintf("arm %v", size), arm.MaxLength, arm.Citation, err)
		clean, cite, err := c.CleanoutSize(size)
		a.note(fmt.Sprintf("cleanout %v", size), clean, cite, err)
		for _, part := range []dwv.Part{dwv.Branch, dwv.Drain} {
			g, err := c.MinGrade(part, size)
			a.note(fmt.Sprintf("grade %v %v", part, size), g, g.Citation, err)
		}
		limit, err := c.WetVentLimit(size)
		a.note(fmt.Sprintf("wet vent %v", size), limit.Max, limit.Citation, err)
		limit, err = c.CommonVentLimit(size)
		a.note(fmt.Sprintf("common vent %v", size), limit.Max, limit.Citation, err)
	}
	rate, cite, err := c.ContinuousRate()
	a.note("continuous flow", rate, cite, err)
	for i := range c.Rules().Len() {
		r := c.Rules().At(i)
		a.note("rule "+r.ID, r.String(), r.Cite, nil)
	}
}

// askSupply puts the questions that supply answers from tables.
func askSupply(a asker, shelf *tables.Shelf, id string) {
	c, err := supply.LoadCode(shelf, id)
	if err != nil {
		return
	}
	for _, fixture := range c.Fixtures() {
		kind := fixture.ID
		for _, use := range []tables.Use{tables.Private, tables.Public} {
			for _, control := range []tables.Control{tables.Tank, tables.Valve} {
				f := tables.Fixture{Kind: kind, Count: 2, Use: use, Control: control, Flush: 1.6 * units.USGallon}
				l, err := c.FixtureLoad(f)
				a.note(fmt.Sprintf("load %s %v %v", kind, use, control), []any{l.Cold, l.Hot, l.Total}, l.Citation, err)
				o, err := c.Outlet(f)
				a.note(fmt.Sprintf("outlet %s %v %v", kind, use, control), []any{o.Flow, o.Pressure}, o.Citation, err)
				m, err := c.MinSize(f)
				a.note(fmt.Sprintf("least size %s %v %v", kind, use, control), m.Size, m.Citation, err)
			}
		}
	}
	for _, load := range loads {
		for _, system := range []supply.System{supply.TankSystem, supply.ValveSystem} {
			d, err := c.Demand(supply.FixtureUnits(load)*supply.FixtureUnit, system)
			a.note(fmt.Sprintf("demand %d %v", load, system), d.Flow, d.Citation, err)
		}
		for _, length := range lengths {
			p, err := c.PipeByLoad(50*units.PoundForcePerSquareInch, length,
				supply.FixtureUnits(load)*supply.FixtureUnit, 0)
			a.note(fmt.Sprintf("pipe %d %v", load, length), p.Size, p.Citation, err)
		}
	}
	for _, sum := range []units.Flow{units.LitrePerSecond, 20 * units.LitrePerSecond} {
		for _, building := range c.Buildings() {
			p, err := c.PeakFlow(building, sum)
			a.note(fmt.Sprintf("peak %s %v", building, sum), p.Flow, p.Citation, err)
		}
	}
	for _, load := range loads {
		load := supply.FixtureUnits(load) * supply.FixtureUnit
		p, err := c.PipeForUnits("copper", load, min(load, 4*supply.FixtureUnit), lengths[0])
		a.note(fmt.Sprintf("pipe for units %v", load), p.Bore, p.Citation, err)
	}
	for _, material := range []string{"copper", "pex", "cpvc"} {
		v, err := c.VelocityLimit(material, supply.Cold, units.Celsius(10))
		a.note("velocity "+material, v.Velocity, v.Citation, err)
	}
	for i := range c.Rules().Len() {
		r := c.Rules().At(i)
		a.note("rule "+r.ID, r, r.Cite, nil)
	}
}

// emptied returns the shelf's files with the rows of one table left out.
func emptied(t *testing.T, id string) *tables.Shelf {
	t.Helper()
	files := fstest.MapFS{}
	data := os.DirFS("../../tables/data")
	err := fs.WalkDir(data, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(data, name)
		if name == id+".csv" {
			var head []byte
			for line := range bytes.Lines(text) {
				if bytes.HasPrefix(line, []byte("# except:")) {
					continue // nothing is left to excuse
				}
				head = append(head, line...)
				if line[0] != '#' {
					break
				}
			}
			text = head
		}
		files[name] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return tables.Open(files)
}

// TestFiguresAreData: what a code answers stands in a file. Without the rows that an
// answer cites, the code has no answer, or one that cites another table. A figure
// kept in Go would go on answering.
func TestFiguresAreData(t *testing.T) {
	for _, c := range []struct {
		name  string
		ask   func(asker, *tables.Shelf, string)
		sets  []string
		least int
	}{
		{"dwv", askDrainage, []string{"ipc-2021", "upc-2021"}, 500},
		{"supply", askSupply, []string{"ipc-2021", "upc-2021", "en806-3", "din1988-300"}, 60},
		{"supply", askSupply, []string{"bs6700", "irc-2021"}, 40},
	} {
		for _, set := range c.sets {
			t.Run(c.name+"/"+set, func(t *testing.T) {
				whole := asker{}
				c.ask(whole, tables.Embedded(), set)
				if len(whole) < c.least {
					t.Fatalf("only %d questions have answers", len(whole))
				}
				var cited []string
				for _, answer := range whole {
					if !slices.Contains(cited, answer.table) {
						cited = append(cited, answer.table)
					}
				}
				slices.Sort(cited)
				for _, table := range cited {
					left := asker{}
					c.ask(left, emptied(t, table), set)
					for question, answer := range whole {
						if answer.table != table {
							continue
						}
						if now, ok := left[question]; ok && now.table == table {
							t.Errorf("%s is still %s, with no rows in %s", question, now.value, table)
						}
					}
				}
				t.Logf("%d answers from %d tables", len(whole), len(cited))
			})
		}
	}
}

// TestNoTablesInGo looks for tables written as Go: a composite literal, outside tests,
// with more than a few numbers in it.
func TestNoTablesInGo(t *testing.T) {
	looked := 0
	for _, top := range []string{"tables", "dwv", "supply", "slope"} {
		err := filepath.WalkDir(filepath.Join("..", "..", top), func(name string, d fs.DirEntry, err error) error {
			if err == nil && d.IsDir() && d.Name() == "draw" {
				return fs.SkipDir // its measures are those of paper and of type
			}
			if err != nil || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			looked++
			lookForTables(t, name)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if looked < 20 {
		t.Errorf("only %d files looked at", looked)
	}
}

func lookForTables(t *testing.T, name string) {
	t.Helper()
	const few = 7
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		literal, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		numbers := 0
		ast.Inspect(literal, func(n ast.Node) bool {
			switch n.(type) {
			case *ast.IndexExpr, *ast.FuncLit:
				return false // the number of an element is no figure, and a formula no table
			}
			if b, ok := n.(*ast.BasicLit); ok && (b.Kind == token.INT || b.Kind == token.FLOAT) {
				numbers++
			}
			return true
		})
		if numbers > few && !powers(literal) {
			t.Errorf("%v: %d numbers in one literal: figures belong in tables/data", set.Position(literal.Pos()),
				numbers)
		}
		return true
	})
}

// powers reports whether a literal lists powers of ten, which no standard gives.
func powers(literal *ast.CompositeLit) bool {
	for _, e := range literal.Elts {
		b, ok := e.(*ast.BasicLit)
		if !ok || strings.Trim(b.Value, "0e123456789") != "" || !strings.HasPrefix(b.Value, "1") {
			return false
		}
	}
	return true
}
