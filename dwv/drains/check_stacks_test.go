package drains

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// UPC 2021 Table 703.2: vertical drains of 2 in up to 85 ft, of 3 in up to 212 ft, of
// 5 in (recalled) up to 390 ft; no row for 10 in. IPC has no such limit.
func TestStackLength(t *testing.T) {
	riser := func(id, to string, length, size units.Length) Point {
		return Point{ID: id, To: to, Run: Run{Length: length, Vertical: true, Size: size, Material: "pvc-dwv"}}
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"at the limit", "upc-2021", func(l *Data) { pt(l, "LT").Run.Length = 85 * ft }, `pass|stack-length|LT|85'-0"|85'-0"|0"`},
		{"an inch over", "upc-2021", func(l *Data) { pt(l, "LT").Run.Length = 85*ft + in }, `fail|stack-length|LT|85'-1"|85'-0"|-1"`},
		{"two runs of one size", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 80 * ft
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in))
		}, `fail|stack-length|LT|86'-0"|85'-0"|-1'-0"`},
		{"the upper run is smaller", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 80 * ft
			pt(l, "LT").Run.Size = 3 * in
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in))
		}, `pass|stack-length|LT|80'-0"|212'-0"|132'-0"`},
		{"two come together", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length = 40 * ft
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points, riser("L2", "LT", 6*ft, 2*in), riser("L3", "LT", 7*ft, 2*in))
		}, `pass|stack-length|LT|47'-0"|85'-0"|38'-0"`},
		{"a recalled row", "upc-2021", func(l *Data) { pt(l, "LT").Run.Size = 5 * in }, `ask|stack-length|LT|5'-0"|390'-0"|385'-0"`},
		{"a size without a row", "upc-2021", func(l *Data) { pt(l, "LT").Run.Size = 10 * in }, `ask|stack-length|LT|-|-|-`},
		{"IPC", "ipc-2021", func(l *Data) { pt(l, "LT").Run.Length = 500 * ft }, `none of stack-length`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{}), tt.want)
		})
	}
}

// The lookup answers what was typed from the table a second time, and refuses the rest.
func TestStackLengthLookup(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	for _, bad := range []struct {
		size units.Length
		code string
		want error
	}{{10 * in, "upc-2021", dwv.ErrOutsideTable}, {3 * in / 4, "upc-2021", dwv.ErrOutsideTable}, {0, "upc-2021", dwv.ErrQuery}, {-in, "upc-2021", dwv.ErrQuery}, {3 * in, "ipc-2021", dwv.ErrNotInCode}} {
		if most, _, err := mustCode(t, bad.code).StackLength(bad.size); !errors.Is(err, bad.want) || most.Kind != tables.Blank {
			t.Errorf("%s, %v: %v, %v, want %v", bad.code, bad.size, most, err, bad.want)
		}
	}
	_, seen, err1 := upc.StackLength(4 * in)
	_, recalled, err2 := upc.StackLength(6 * in)
	if err1 != nil || err2 != nil || !seen.Status().Firm() || recalled.Status().Firm() {
		t.Errorf("standing of 4 in %v, of 6 in %v (%v, %v)", seen.Status(), recalled.Status(), err1, err2)
	}
}

// Massachusetts 248 CMR 10.16, Table 1: a 2 in arm falls 1/4 in per ft at most. The
// rest of the layout is judged by another code, since that set has no fixtures.
func TestTrapArmGrade(t *testing.T) {
	ipc := codeOn(t, massachusettsArms(t), "ipc-2021")
	tests := []struct {
		name string
		edit func(l *Data)
		want string
	}{
		{"at the ceiling", func(*Data) {}, "pass|trap-arm-grade|CS|1/4 in/ft|1/4 in/ft|level"},
		{"steeper", func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in / 2) }, "fail|trap-arm-grade|CS|1/2 in/ft|1/4 in/ft|-1/4 in/ft"},
		{"the least steeper", func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in * 17 / 64) }, "fail|trap-arm-grade|CS|17/64 in/ft|1/4 in/ft|-1/64 in/ft"},
		{"steep farther down the arm", func(l *Data) {
			pt(l, "CS").To = "CS2"
			l.Systems[1].Points = append(l.Systems[1].Points, Point{ID: "CS2", To: "CT", Run: Run{Length: ft, Grade: slope.PerFoot(in), Size: 2 * in}})
		}, "fail|trap-arm-grade|CS|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"steep below the vent", func(l *Data) { pt(l, "C1").Run.Grade = slope.PerFoot(in) }, "none of trap-arm-grade"},
		{"steep before the run", func(l *Data) { pt(l, "LA").Trap.Fall = in }, "fail|trap-arm-grade|LA|2 in/ft|1/4 in/ft|-1 3/4 in/ft"},
		{"as the run, before a vent at it", func(l *Data) {
			vent(l, "VL").From = "LA"
			pt(l, "LA").Run.Grade = slope.PerFoot(in)
		}, "fail|trap-arm-grade|LA|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"a closet", func(l *Data) { pt(l, "WC").Run.Grade = slope.PerFoot(in) }, "none of trap-arm-grade"},
		{"before the run, of the size of the run", func(l *Data) { pt(l, "CS").Trap = &Trap{Arm: ft, Fall: in} }, "fail|trap-arm-grade|CS|1 in/ft|1/4 in/ft|-3/4 in/ft"},
		{"a trap of a size without a row", func(l *Data) { pt(l, "LA").Trap.Size = in * 5 / 4 }, "nothing of trap-arm-grade at LA"},
		{"no way to a vent at the trap", func(l *Data) {
			vent(l, "VC").From = "CS"
			slices.SortFunc(l.Vents, func(a, b Vent) int { return strings.Compare(a.ID, b.ID) }) // VC, the first
			pt(l, "CS").Trap, pt(l, "CS").Run.Grade = &Trap{Size: 2 * in}, slope.PerFoot(in)
		}, "nothing of trap-arm-grade at CS"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), ipc, CheckOptions{}), tt.want)
		})
	}
	l := mustLayout(t, "workshop.json")
	pt(l, "CS").Run.Grade = slope.PerFoot(in)
	for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
		if f.Rule == "trap-arm-grade" {
			t.Errorf("a code without the column: %v", f)
		}
	}
}

// Runs without a material are asked about once a system, whatever is around them.
func TestMaterialNotGiven(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	for _, id := range []string{"S1", "S3", "C1"} {
		pt(l, id).Run.Material = ""
	}
	pt(l, "S1").Run.Part = dwv.Sewer
	var got []string
	for _, f := range mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")) {
		if f.Rule == "drain-material" && f.Value == nil {
			got = append(got, fmt.Sprintf("%v %s: %s", f.Verdict, f.Place, f.Reason))
		}
	}
	want := []string{"ask clay: no material is given for C1", "ask soil: no material is given for S1, S3"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	// What lies above the floor is not pipe below a slab.
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			l.Systems[s].Points[p].Run.Material = ""
			l.Systems[s].Points[p].AboveFloor = true
		}
	}
	wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "none of drain-material")
}

// A few of many runs are the least ids, whatever order they come in.
func TestSomeRuns(t *testing.T) {
	for n, want := range []string{"", "a", "a, b", "a, b, c", "a, b, c, d", "a, b, c and 2 more runs", "a, b, c and 3 more runs"} {
		for range 20 {
			var s someRuns
			for _, k := range rand.Perm(n) {
				s.add(string(rune('a' + k)))
			}
			if s.String() != want {
				t.Fatalf("%d runs: %q, want %q", n, s.String(), want)
			}
		}
	}
}

// massachusettsArms is the shelf on which the International Plumbing Code has the trap
// arms of Massachusetts, a set without fixtures.
func massachusettsArms(t testing.TB) *tables.Shelf {
	t.Helper()
	text := edges.TableText(t, "massachusetts-248cmr/trap-arm", "ipc-2021")
	return edges.ShelfWith(t, map[string]string{"ipc-2021/trap-arm": text})
}
