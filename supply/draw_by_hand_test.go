package supply

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// TestIsometricByPlaces: A stands 30 ft from the source, B 10 ft to its right and 3 ft up (13 ft of pipe), C 8 ft
// over B: with all of them placed the isometric is drawn to scale, runs along the level of their beginning and then
// up. The sleeve about C is marked half way up it, 3 + 4 = 7 ft; what has the id of a point, or of the source, is
// called by its kind. With the source nowhere it is a schematic.
func TestIsometricByPlaces(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	for _, placed := range []bool{true, false} {
		for _, sleeve := range []string{"S", "A", "main"} {
			d := closets(60, []Point{{ID: "A", From: "main", Length: 30 * ft, At: &Place{Y: 30 * ft}, Size: in},
				{ID: "B", From: "A", Length: 13 * ft, Rise: 3 * ft, Bearing: Degrees(90), Size: in},
				{ID: "C", From: "B", Length: 8 * ft, Rise: 8 * ft, Size: in, Sleeve: sleeve}}, []string{"B"}, nil)
			d.Fixtures[0].ID = "A"
			d.Sleeves = []Sleeve{{ID: sleeve, Bore: 4 * in, Length: 8 * ft}}
			if placed {
				d.Source.At = &Position{}
			}
			drawn, err := sized(t, mustCode(t, "ipc-2021"), d).Draw(DrawOptions{})
			if err != nil {
				t.Fatal(err)
			}
			sc := drawn.Isometric
			all := strings.Join(sc.Remarks, " ")
			if sc.Schematic == placed || strings.Contains(all, "SCHEMATIC") == placed || strings.Contains(all,
				"Places and heights") != placed {
				t.Errorf("placed %v: schematic %v: %s", placed, sc.Schematic, all)
			}
			if !placed {
				continue
			}
			var paths []string
			for _, l := range sc.Lines {
				for _, p := range l.Path {
					paths = append(paths, fmt.Sprintf("%s %d %d %d", l.ID, int64(p.X/ft), int64(p.Y/ft), int64(p.Z/ft)))
				}
			}
			slices.Sort(paths)
			want := []string{"A 0 0 0", "A 0 30 0", "B 0 30 0", "B 10 30 0", "B 10 30 0", "B 10 30 3", "C 10 30 11", "C 10 30 3"}
			if !slices.Equal(paths, want) {
				t.Errorf("%v, want %v", paths, want)
			}
			marks := map[string]draw.Mark{}
			for _, m := range sc.Marks {
				marks[m.ID] = m
			}
			name := map[string]string{"S": "S", "A": "sleeve A", "main": "sleeve main"}[sleeve]
			if m := marks[name]; m.Shape != draw.Sleeve || m.At != (draw.Point{X: 10 * ft, Y: 30 * ft, Z: 7 * ft}) {
				t.Errorf("sleeve %s: %+v", sleeve, m)
			}
			if marks["A"].Shape != draw.Joint || marks["fixture A"].Shape != draw.Fixture || marks["main"].Shape != draw.Outlet {
				t.Errorf("%v", marks)
			}
		}
	}
}

// TestReturnsOnDrawings: each return says at its end which loop it closes and where the water goes, and nothing
// does elsewhere.
func TestReturnsOnDrawings(t *testing.T) {
	drawn, err := sized(t, mustCode(t, "ipc-2021"), loops()).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range drawn.Isometric.Marks {
		want := map[string]string{"RA": "RA, short: back to WH", "RB": "RB, long: back to WH"}[m.ID]
		if got := strings.Join(m.Label, ", "); want != "" && got != want || want == "" && strings.Contains(got, "back to") {
			t.Errorf("%s: %q, want %q", m.ID, got, want)
		}
	}
}

// TestPrintedOnDrawings: 0.3048 m/s are a foot a second. What is asked to be written in some way is, but what keeps
// a return warm, less than a twentieth of a litre, in metric units, which the trade's two places would make 0.04.
func TestPrintedOnDrawings(t *testing.T) {
	own := func(q fmt.Stringer) string { return "<" + q.String() + ">" }
	for metric, want := range map[bool]string{false: "1.0 ft/s", true: "0.30 m/s"} {
		if got := (&drawing{metric: metric}).velocity(units.FootPerSecond); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	for _, c := range []struct {
		litres float64
		metric bool
		own    bool
	}{{0.04, false, true}, {0.04, true, false}, {0.05, true, true}, {1, true, true}} {
		q := units.Flow(c.litres) * units.LitrePerSecond
		got := (&drawing{metric: c.metric, print: own}).flow(q)
		if (got == own(q)) != c.own || !c.own && got != "0.040 L/s" {
			t.Errorf("%+v: %s", c, got)
		}
	}
}

// TestTakenOnDrawings: at a point of the pressure line stands what a device takes, and what a regulator takes of
// what is left: 60 psi in the street and 40 behind it, of which a hair's friction is gone before. At rest 60 psi
// stand at the street where no more is given.
func TestTakenOnDrawings(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	d := closets(60, []Point{{ID: "F", From: "main", Length: in, Size: 4 * in, Device: &Device{Kind: "filter",
		Loss: 9 * psi}},
		{ID: "R", From: "F", Length: in, Size: 4 * in, Device: &Device{Kind: "regulator", Set: 40 * psi}},
		{ID: "E", From: "R", Length: ft, Size: 4 * in}}, []string{"E"}, nil)
	for static, want := range map[units.Pressure]float64{0: 60, 70 * psi: 70} {
		d.Source.Static = static
		drawn, err := sized(t, mustCode(t, "ipc-2021"), d).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		says := map[string]string{}
		for _, s := range drawn.Pressure.Spots {
			says[s.ID] = strings.Join(s.Label, ", ")
		}
		for id, want := range map[string]string{"F": "F, filter, 51.0 psi, device takes 9.0 psi",
			"R": "R, regulator, 40.0 psi, regulator takes 11.0 psi", "E": "E, 40.0 psi", "main": "main, 60.0 psi"} {
			if says[id] != want {
				t.Errorf("%s: %q, want %q", id, says[id], want)
			}
		}
		if got := drawn.Pressure.Curves[1].At[0].Y; math.Abs(got-want) > 1e-9 {
			t.Errorf("%v psi at rest in the street, want %v", got, want)
		}
	}
}

// TestWaysOfReturns: in a schematic the way of a return goes 2-1/2 ft beside the row that it comes from, on the
// level of its beginning, to under the heater, or under the return that it runs into, and up or down to there. What
// circulates in it stands along its run, and along no run that water is drawn from.
func TestWaysOfReturns(t *testing.T) {
	const beside = 5 * units.Foot / 2
	for _, c := range []struct {
		data     Data
		ways     map[string][2]string // from the end of the return, to
		circling map[string]bool
	}{
		{loops(), map[string][2]string{"short": {"RA", "WH"}, "long": {"RB", "WH"}}, map[string]bool{"RA": true, "RB": true,
			"A": false, "H": false}},
		{plant(3, true), map[string][2]string{"return R0": {"R0", "C1"}, "return R1": {"R1", "C2"}, "main": {"C0", "WH"}},
			map[string]bool{"R0": true, "C1": true, "AH0": false}},
	} {
		drawn, err := sized(t, mustCode(t, "ipc-2021"), c.data).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		at, lines, says := map[string]draw.Point{}, map[string][]draw.Point{}, map[string]string{}
		for _, m := range drawn.Isometric.Marks {
			at[m.ID] = m.At
		}
		for _, l := range drawn.Isometric.Lines {
			lines[l.ID] = l.Path
			says[l.ID] += strings.Join(l.Label, ", ")
		}
		for id, ends := range c.ways {
			from, to := at[ends[0]], at[ends[1]]
			want := []draw.Point{from, {X: from.X, Y: from.Y + beside, Z: from.Z}, {X: to.X, Y: from.Y + beside, Z: from.Z},
				{X: to.X, Y: to.Y, Z: from.Z}, to}
			if !slices.Equal(lines[id], want) {
				t.Errorf("%s goes by %v, want %v", id, lines[id], want)
			}
		}
		for id, want := range c.circling {
			if strings.Contains(says[id], " circulates") != want {
				t.Errorf("%s: %q", id, says[id])
			}
		}
	}
}

// TestLinksOnDrawings: at a link stands what it carries while it is open, half of what is drawn, and what it loses;
// 100 kPa are 14.5 psi.
func TestLinksOnDrawings(t *testing.T) {
	a, r := ringOf(t, square())
	drawn, err := a.Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	d := &drawing{Analysis: a}
	want := `K  1"|` + d.flow(a.runs[3].Flow/2) + "  " + d.psi(r.Links[0].Loss) + " lost"
	k := slices.IndexFunc(drawn.Isometric.Lines, func(l draw.Line) bool { return l.ID == "K" })
	if k < 0 {
		t.Fatal("no link")
	}
	if got := strings.Join(drawn.Isometric.Lines[k].Label, "|"); got != want || r.Links[0].Loss == 0 {
		t.Errorf("%q, want %q", got, want)
	}
	for metric, want := range map[bool]string{true: "100 kPa", false: "14.5 psi"} {
		if got := (&drawing{metric: metric}).psi(100 * units.Kilopascal); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// TestLengthsOnDrawings: along a run to the inch or the centimetre, a depth to a quarter of an inch or in
// millimetres; what a fixture has to spare has its sign, and is at most so much where not all is counted.
func TestLengthsOnDrawings(t *testing.T) {
	const in, psi = units.Inch, units.PoundForcePerSquareInch
	us, metric := &drawing{}, &drawing{metric: true}
	for got, want := range map[string]string{
		us.length(in * 494 / 4): `10'-4"`, us.depth(in * 53 / 2): `2'-2 1/2"`, us.depth(6 * in): `6"`,
		metric.length(3048 * units.Millimetre): "3.05 m", metric.depth(600 * units.Millimetre): "600 mm",
		us.spare(&FixtureResult{Available: 30 * psi, Most: 8 * psi}):              "+22.0 psi",
		us.spare(&FixtureResult{Available: 5 * psi, Most: 8 * psi}):               "-3.0 psi",
		us.spare(&FixtureResult{Available: 8 * psi, Most: 8 * psi}):               "+0.0 psi",
		us.spare(&FixtureResult{Available: 30 * psi, Most: 8 * psi, Upper: true}): "at most +22.0 psi",
		us.left(30*psi, false): "30.0 psi", us.left(30*psi, true): "at most 30.0 psi",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestFixturesStacked: one fixture stands at its point; of two the first is 3 ft over it and the second 6, with a
// line up to the upper one. One that comes later is capped.
func TestFixturesStacked(t *testing.T) {
	const ft = units.Foot
	for n, want := range map[int][]units.Length{1: {0}, 2: {3 * ft, 6 * ft}} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: ft, Size: 2 * units.Inch}}, []string{"A"}, nil)
		d.Fixtures[0].Later = true
		if n == 2 {
			second := d.Fixtures[0]
			second.ID, second.Later = "WC-2", false
			d.Fixtures = append(d.Fixtures, second)
		}
		drawn, err := sized(t, mustCode(t, "ipc-2021"), d).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		marks := map[string]draw.Mark{}
		for _, m := range drawn.Isometric.Marks {
			marks[m.ID] = m
		}
		for k, up := range want {
			m, a := marks[d.Fixtures[k].ID], marks["A"].At
			if m.At != (draw.Point{X: a.X, Y: a.Y, Z: a.Z + up}) || (m.Shape == draw.Cap) != (k == 0) {
				t.Errorf("%d fixtures: %+v over %v", n, m, a)
			}
		}
		guides := 0
		for _, l := range drawn.Isometric.Lines {
			if l.Style == draw.Guide {
				guides++
				if l.Path[1].Z-l.Path[0].Z != 6*ft {
					t.Errorf("%v", l.Path)
				}
			}
		}
		if guides != n-1 {
			t.Errorf("%d lines to %d fixtures", guides, n)
		}
	}
}
