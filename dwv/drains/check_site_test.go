package drains

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// TestSiteFindings wants all that is found of a rule at a place, and nothing else. The
// pipe from S3 has its top at 97 ft 6.721 in, 4 ft from its upper end.
func TestSiteFindings(t *testing.T) {
	bend := func(id, fitting string) func(l *Data) {
		return func(l *Data) { pt(l, id).Run.Fittings = []string{fitting} }
	}
	all := func(material string, part dwv.Part) func(l *Data) {
		return func(l *Data) {
			for i := range l.Systems[0].Points {
				l.Systems[0].Points[i].Run.Material = "pvc-dwv"
			}
			pt(l, "S1").Run.Material, pt(l, "S1").Run.Part = material, part
		}
	}
	sleeve := func(pipe, sleeve units.Length) func(l *Data) {
		return func(l *Data) { pt(l, "S1").Run.Size, l.Footings[0].Sleeve = pipe, sleeve }
	}
	code := firmCode(t, "ipc-2021")
	solid := "pass|drain-material|soil|ASTM D2665|-|-"
	for _, tt := range []struct {
		name        string
		edit        func(l *Data)
		rule, place string
		want        []string
	}{
		{"a tee along a run", bend("S3", "sanitary-tee"), "fitting-turn", "S3", []string{"fail|fitting-turn|S3|sanitary-tee|-|-"}},
		{"a bend along a run", bend("S3", "eighth-bend"), "fitting-turn", "S3", []string{"pass|fitting-turn|S3|eighth-bend|-|-"}},
		{"a bend in the drain of one fixture", bend("LA", "quarter-bend"), "fitting-turn", "LA", []string{"pass|fitting-turn|LA|quarter-bend|-|-"}},
		{"a bend in the drain of one fixture of 3 in", bend("FD", "quarter-bend"), "fitting-turn", "FD", []string{"fail|fitting-turn|FD|quarter-bend|-|-"}},
		{"a bend in a drain of 2 in", func(l *Data) { bend("S3", "quarter-bend")(l); pt(l, "S3").Run.Size = 2 * in }, "fitting-turn", "S3", []string{"fail|fitting-turn|S3|quarter-bend|-|-"}},
		{"a bend in the drain of one fixture and more", func(l *Data) {
			bend("LA", "quarter-bend")(l)
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "LB", To: "LA", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4)}})
		}, "fitting-turn", "LA", []string{"fail|fitting-turn|LA|quarter-bend|-|-"}},

		{"sewer pipe as a sewer", all("pvc-sdr35", dwv.Sewer), "drain-material", "soil", []string{solid, "pass|drain-material|soil|ASTM D3034|-|-"}},
		{"sewer pipe below the slab", all("pvc-sdr35", 0), "drain-material", "soil", []string{"fail|drain-material|soil|ASTM D3034|-|-", solid}},
		{"one pipe inside and out", all("pvc-dwv", dwv.Sewer), "drain-material", "soil", []string{solid, solid}},
		{"cellular core below the slab", all("pvc-dwv-cellular", 0), "drain-material", "soil", []string{"ask|drain-material|soil|ASTM F891|-|-", solid}},
		{"cellular core as a sewer", all("pvc-dwv-cellular", dwv.Sewer), "drain-material", "soil", []string{"pass|drain-material|soil|ASTM F891|-|-", solid}},
		{"tube the shelf is silent on", all("copper-dwv", dwv.Sewer), "drain-material", "soil", []string{solid, "ask|drain-material|soil|ASTM B306|-|-"}},

		{"under a thickened slab", func(l *Data) {
			l.Footings[1] = Footing{ID: "F2", Kind: FootingThickening, Run: "S3", Along: 4 * ft, Bottom: 10 * in}
		}, "slab-thickening", "F2", []string{`pass|slab-thickening|F2|19.279"|2"|17.279"`}},

		// IPC 2021 305.3: two pipe sizes more, and 15 in is the largest the code names.
		{"a sleeve two sizes up", sleeve(10*in, 15*in), "footing-sleeve", "F1", []string{`pass|footing-sleeve|F1|1'-3"|1'-3"|0"`}},
		{"a sleeve one size up", sleeve(10*in, 12*in), "footing-sleeve", "F1", []string{`fail|footing-sleeve|F1|1'-0"|1'-3"|-3"`}},
		{"no size two sizes up", sleeve(12*in, 15*in), "footing-sleeve", "F1", []string{"ask|footing-sleeve|F1|-|-|-"}},
		{"no size up", sleeve(15*in, 15*in), "footing-sleeve", "F1", []string{"ask|footing-sleeve|F1|-|-|-"}},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), code, CheckOptions{})
			if diff := gocmp.Diff(tt.want, linesOf(got, tt.rule, tt.place)); diff != "" {
				t.Errorf("%s at %s (-want +got):\n%s", tt.rule, tt.place, diff)
			}
		})
	}
}

// What is said of pipe outside and below the slab.
func TestMaterialWords(t *testing.T) {
	for part, want := range map[dwv.Part]string{dwv.Sewer: "takes PVC sewer pipe, SDR 35 (solid wall) of S1 as a building sewer", 0: "does not take PVC sewer pipe, SDR 35 (solid wall) of S1 as a drain below the slab"} {
		l := mustLayout(t, "workshop.json")
		for i := range l.Systems[0].Points {
			l.Systems[0].Points[i].AboveFloor = l.Systems[0].Points[i].ID != "S1"
		}
		pt(l, "S1").Run.Material, pt(l, "S1").Run.Part = "pvc-sdr35", part
		if got := reasonOf(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), "drain-material", "soil"); got != "the code "+want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// IPC 2021 704.3: a branch joins ten pipe diameters or more below the foot of a stack.
// A stack T of 4 in comes down at A, the drain goes on by 12 in to B and 12 in to C,
// where X joins: 24 in where 40 in are wanted.
func TestStackBases(t *testing.T) {
	flat := func(id, to string, length units.Length) Point {
		return Point{ID: id, To: to, Run: Run{Length: length, Grade: slope.PerFoot(in / 4), Size: 4 * in}}
	}
	basin := func(id, to string) Point {
		p := flat(id, to, 2*ft)
		p.Run.Size, p.Fixture = 2*in, &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}
		return p
	}
	riser := func(id, to string, size units.Length, basins int) (points []Point) {
		points = append(points, Point{ID: id, To: to, Run: Run{Length: 8 * ft, Vertical: true, Size: size}})
		for k := range basins {
			points = append(points, basin(id+string(rune('a'+k)), id))
		}
		return points
	}
	code := firmCode(t, "ipc-2021")
	short := `fail|stack-base-branch|X|2'-0"|3'-4"|-1'-4"`
	for _, tt := range []struct {
		name  string
		edit  func(l *Data)
		place string
		want  []string
	}{
		{"one stack", func(*Data) {}, "X", []string{short}},
		{"its own line", func(*Data) {}, "B", nil},
		{"at its foot", func(l *Data) { pt(l, "X").To = "A" }, "X", []string{"ask|stack-base-branch|X|-|-|-"}},
		{"above the floor", func(l *Data) { pt(l, "X").AboveFloor = true }, "X", nil},
		{"a riser with one basin", func(l *Data) {
			l.Systems[0].Points[3].Run.Size = 4 * in
			l.Systems[0].Points = append(l.Systems[0].Points[:4], l.Systems[0].Points[5:]...)
		}, "X", nil},
		// What comes down between them does not hide the stack, unless it wants more room yet.
		{"a riser between", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("R", "B", 2*in, 1)...) }, "X", []string{short}},
		{"a stack of 2 in between", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 2*in, 3)...) }, "X", []string{short}},
		{"a stack of 2 in that is nearer", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 2*in, 3)...)
			pt(l, "A").Run.Length = 30 * in
		}, "X", []string{`fail|stack-base-branch|X|1'-0"|1'-8"|-8"`}},
		{"a stack of 2 in at the same foot", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A", 2*in, 3)...) }, "X", []string{short}},
		{"a stack of 4 in at the same foot", func(l *Data) { l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A", 4*in, 3)...) }, "X", []string{short}},
		// At 6 in they want as much room as at 4 in 20 in on: the nearer is told of.
		{"a stack that wants as much", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "B", 4*in, 3)...)
			pt(l, "T").Run.Size, pt(l, "A").Run.Length = 6*in, 20*in
		}, "X", []string{`fail|stack-base-branch|X|1'-0"|3'-4"|-2'-4"`}},
		{"two stacks as far, as wide", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points, flat("A2", "B", 12*in))
			l.Systems[0].Points = append(l.Systems[0].Points, riser("U", "A2", 4*in, 2)...)
		}, "X", []string{short}},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := &Data{Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: -6 * ft}, Points: []Point{
				flat("C", "O", 9*ft), flat("B", "C", 12*in), flat("A", "B", 12*in)}}}}
			s := &l.Systems[0]
			s.Points = append(append(s.Points, riser("T", "A", 4*in, 2)...), basin("X", "C"))
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), code, CheckOptions{})
			if diff := gocmp.Diff(tt.want, linesOf(got, "stack-base-branch", tt.place)); diff != "" {
				t.Errorf("at %s (-want +got):\n%s", tt.place, diff)
			}
		})
	}
}
