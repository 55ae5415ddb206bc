package drains

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ids are the ids that a scene has.
func ids(scenes ...*draw.Scene) map[string]bool {
	out := map[string]bool{}
	for _, sc := range scenes {
		if sc == nil {
			continue
		}
		for _, l := range sc.Lines {
			out[l.ID] = true
		}
		for _, m := range sc.Marks {
			out[m.ID] = true
		}
	}
	return out
}

// TestDrawHasAll: on random layouts every point, outlet and system is in the plan and in the
// isometric, and every vent in the isometric, by its id; and all of it can be drawn.
func TestDrawHasAll(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for seed := range uint64(8) {
		l := randomLayout(rand.New(rand.NewPCG(seed, 9)), 40)
		d, err := mustSize(t, mustBuild(t, l), code).Draw(DrawOptions{Metric: seed%2 == 1})
		if err != nil {
			t.Fatal(err)
		}
		plan := ids(d.Plan, d.Schematic)
		var all []*draw.Scene
		for _, s := range d.Systems {
			all = append(all, s.Isometric)
			if s.Profile != nil {
				if _, err := draw.Profile(s.Profile, draw.Options{}); err != nil {
					t.Error(err)
				}
			}
		}
		isometric := ids(all...)
		want := func(kind, id string, in map[string]bool) {
			if !in[id] {
				t.Errorf("seed %d: no %s %s", seed, kind, id)
			}
		}
		for _, sys := range l.Systems {
			want("system", sys.ID, plan)
			want("outlet", sys.Outlet.ID, isometric)
			for _, p := range sys.Points {
				want("point on plan", p.ID, plan)
				want("point in isometric", p.ID, isometric)
			}
		}
		for _, v := range l.Vents {
			want("vent", v.ID, isometric)
		}
		for _, sc := range append(all, d.Schematic) {
			if sc != nil {
				if _, err := draw.Isometric(sc, draw.Options{}); err != nil {
					t.Error(err)
				}
			}
		}
	}
}

// A bathroom worked by hand: 10 ft at 2 % from the outlet to the closet, falling from
// 98.2 to 98.0; flow toward 90 degrees is along x. The lavatory stands 3 ft over its foot.
const drawnJob = `{"finished_floor": "100 ft", "defaults": {"join": "at invert"}, "slab": "5 in", "bedding": "4 in", "minimum_cover": "18 in",
 "systems": [{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "98 ft"%s}, "points": [
  {"id": "A", "to": "O"%s, "cleanout": {"size": "3 in"},
   "run": {"length": "10 ft", "grade": "2 %%", "bearing": "90 deg", "material": "pvc-dwv", "size": "3 in"}},
  {"id": "B", "to": "A", "run": {"length": "5 ft", "grade": "2 %%", %s "material": "pvc-dwv", "size": "2 in"}},
  {"id": "V", "to": "B", "above_floor": true, "fixture": {"fixture": "lavatory"},
   "trap": {"arm": "2 ft"},
   "run": {"length": "3 ft", "vertical": true, "material": "pvc-dwv", "size": "2 in"}}]}],
 "vents": [{"id": "V", "kind": "individual", "from": "V", "terminal": {"above_roof": "12 in"},
  "runs": [{"length": "10 ft", "direction": "up"}]}],
 "footings": [{"id": "F", "kind": "through", "run": "A", "along": "4 ft", "bottom": "36 in", "sleeve": "6 in"}]}`

func drawnByHand(t *testing.T, outlet, at, bearing string) *Drawings {
	t.Helper()
	code := mustCode(t, "ipc-2021")
	l, err := parse("hand.json", []byte(fmt.Sprintf(drawnJob, outlet, at, bearing)), code)
	if err != nil {
		t.Fatal(err)
	}
	d, err := mustSize(t, l, code).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func mark(t *testing.T, sc *draw.Scene, id string, shape draw.Shape) draw.Mark {
	t.Helper()
	for _, m := range sc.Marks {
		if m.ID == id && m.Shape == shape {
			return m
		}
	}
	t.Fatalf("no %s %s", shape.Key(), id)
	return draw.Mark{}
}

func TestDrawByHand(t *testing.T) {
	ft := units.MustParse[units.Length]
	d := drawnByHand(t, `, "at": {"x": "30 ft", "y": "8 ft"}`, "", `"bearing": "180 deg",`)
	if d.Plan == nil || d.Schematic != nil {
		t.Fatal("bearings and lengths from a placed outlet are places")
	}
	// B drains toward 180 degrees, so it lies 5 ft ahead of A.
	b := mark(t, d.Plan, "B", draw.Joint)
	if want := (draw.Point{X: ft("20 ft"), Y: ft("13 ft"), Z: ft("98.3 ft")}); b.At != want {
		t.Errorf("B lies at %v, want %v", b.At, want)
	}
	a := mark(t, d.Plan, "A", draw.Cleanout)
	if a.Label[1] != `98.20, 1'-9 1/2" deep` {
		t.Errorf("flag of A: %q", a.Label) // 100 - 98.2 = 1.8 ft = 21.6 in
	}
	if f := mark(t, d.Plan, "F", draw.Sleeve).At; f.X != ft("24 ft") || f.Y != ft("8 ft") {
		t.Errorf("the sleeve lies at %v: 4 ft down the run from x 20 ft", f)
	}
	if v := mark(t, d.Plan, "vent V", draw.TakeOff); v.At.X != b.At.X || v.At.Y != b.At.Y {
		t.Errorf("the riser does not stand over its foot: %v", v.At)
	}
	iso := d.Systems[0].Isometric
	if v := mark(t, iso, "vent V", draw.Terminal); v.At.Z != ft("111.3 ft") {
		t.Errorf("the vent ends at %v, want 98.3 + 3 + 10 ft", v.At.Z)
	}
	sec := d.Systems[0].Profile
	if len(sec.Stations) != 3 || sec.Stations[2] != ft("15 ft") {
		t.Fatalf("stations %v", sec.Stations)
	}
	for row, want := range map[string]string{"point": "B", "invert": "98.30", "size": `2"`, "grade": "2 %"} {
		for _, r := range sec.Rows {
			if r.Name == row && r.Cells[2] != want {
				t.Errorf("%s at B: %s, want %s", row, r.Cells[2], want)
			}
		}
	}
	// The job asks for 18 in of cover: from 100 ft - 5 in down to the top of the pipe there is
	// less at either run, so both are shaded.
	if len(sec.Areas) != 2 {
		t.Errorf("%d parts are shaded, want 2", len(sec.Areas))
	}
	if last := sec.Rows[len(sec.Rows)-1]; last.Name != "AS BUILT" || last.Cells != nil {
		t.Errorf("the last row is %q", last.Name)
	}
}

// TestDrawWithoutPlaces: nothing is invented. Bearings alone place a single system about its
// outlet; without them it is a schematic, and says so.
func TestDrawWithoutPlaces(t *testing.T) {
	if d := drawnByHand(t, "", "", `"bearing": "180 deg",`); d.Plan == nil ||
		mark(t, d.Plan, "B", draw.Joint).At.X != -10*units.Foot {
		t.Error("bearings do not place the system about its outlet")
	}
	d := drawnByHand(t, "", "", "")
	if d.Plan != nil || d.Schematic == nil || !d.Schematic.Schematic || !d.Systems[0].Isometric.Schematic {
		t.Error("a system without places is not marked as schematic")
	}
}

// TestIsometricSaysWhatVents: of two bathrooms on wet vents the runs from each lavatory down to where the
// branches meet, and no other, are marked; each vent says what it serves, and each tub which vent it has.
func TestIsometricSaysWhatVents(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	s := mustSize(t, mustLayout(t, "jobs/bathrooms-back-to-back.json", code), code)
	d, err := s.Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	sc := d.Systems[0].Isometric
	says := map[string]string{}
	for i := range sc.Lines {
		says[sc.Lines[i].ID] += strings.Join(sc.Lines[i].Label, "|")
	}
	for id, want := range map[string]string{"LV1": "wet vent (VW1)", "W1": "wet vent (VW1)", "LV2": "wet vent (VW2)",
		"W2": "wet vent (VW2)", "B": "", "EX": "", "TUB1": "", "WC1": ""} {
		if got := says[id]; strings.Contains(got, "wet vent") != (want != "") || !strings.Contains(got, want) {
			t.Errorf("run %s: %q, want %q", id, got, want)
		}
	}
	if got := says["VW2"]; !strings.Contains(got, "wet vent, LV2 to B|vents LV2, TUB2") {
		t.Errorf("vent VW2: %q", got)
	}
	if got := strings.Join(mark(t, sc, "TUB2", draw.Fixture).Label, "|"); !strings.Contains(got, "vented by VW2") {
		t.Errorf("TUB2: %q", got)
	}
}

// TestSetByWalls: walls of 8 in stand on the lines x = 0, y = 0 and y = 20 ft. The closet at 10, 15 ft
// is 20 ft - 4 in - 15 ft = 4'-8" from the face of the north wall and 10 ft - 4 in = 9'-8" from
// that of the west wall; the lavatory at 10, 10 ft is 9'-8" from west and from south. What
// lies past the end of a wall is not set by it.
func TestSetByWalls(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	l := mustLayout(t, "jobs/house-with-walls.json", code)
	told := func(l *Data, id string) string {
		var out []string
		for _, tie := range mustSize(t, l, code).Ties(id) {
			out = append(out, fmt.Sprint(tie.Distance, " ", tie.Wall))
		}
		return strings.Join(out, ", ")
	}
	for id, want := range map[string]string{"W": `4'-8" north, 9'-8" west`, "L1": `9'-8" west, 9'-8" south`, "ST": "", "none": ""} {
		if got := told(l, id); got != want {
			t.Errorf("%s is %s, want %s", id, got, want)
		}
	}
	l.Walls[0].To.Y = 14 * ft
	if got := told(l, "W"); got != `4'-8" north, 17'-8" east` {
		t.Errorf("beyond the west wall: %s", got)
	}
	d, err := mustSize(t, l, code).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	names, ties := map[string]draw.Style{}, 0
	for _, line := range d.Plan.Lines {
		names[line.ID] = line.Style
		if line.Style == draw.Dimension && len(line.Label) > 0 {
			ties++
		}
		if line.ID == "wall west" { // 8 in about x = 0: the faces that tapes are held to
			for _, p := range line.Path {
				if p.X != 4*units.Inch && p.X != -4*units.Inch {
					t.Errorf("a corner of the west wall at %v", p.X)
				}
			}
		}
	}
	if names["wall west"] != draw.Wall || names["obstacle F1"] != draw.Concrete || ties != 6 || *d.Plan.North != 30 {
		t.Errorf("%v, %d dimensions, north %v", names, ties, *d.Plan.North)
	}
	sheets, err := draw.Plan(d.Plan, draw.Options{Title: draw.Title{Job: "House", Drawing: "Plan"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sheets {
		legible.Check(t, s.Name, s.SVG)
		for _, want := range []string{"north", "wall west", "9&#39;-8&#34;"} {
			if !bytes.Contains(s.SVG, []byte(want)) && !bytes.Contains(s.SVG, []byte(strings.NewReplacer("&#39;", "'", "&#34;", `"`).Replace(want))) {
				t.Errorf("no %s on the plan", want)
			}
		}
		if s.Unplaced > 0 {
			t.Errorf("%d labels found no room", s.Unplaced)
		}
	}
}

// TestDrawEuropean: a lavatory of 0.5 units under EN 12056-2 is told in discharge units and
// flow, and nothing in fixture units.
func TestDrawEuropean(t *testing.T) {
	l := mustBuild(t, &Data{Systems: []System{{ID: "s", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer,
		Invert: -units.Metre}, Points: []Point{{ID: "L", To: "O", Run: Run{Length: units.Metre,
		Grade: slope.OneIn(50)}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}}}}}})
	e, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	s, err := mustNew(t, l).SizeEuropean(e, EuropeanOptions{System: "I", Usage: "intermittent"})
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Draw(DrawOptions{Metric: true})
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for _, sc := range []*draw.Scene{d.Schematic, d.Systems[0].Isometric} {
		words = append(words, sc.Remarks...)
		for _, x := range sc.Lines {
			words = append(words, x.Label...)
		}
		for _, x := range sc.Marks {
			words = append(words, x.Label...)
		}
	}
	all := strings.Join(words, "; ")
	if strings.Contains(all, "dfu") || strings.Contains(all, "fixture units") || !strings.Contains(all, "0.5 du, 0.5 L/s") {
		t.Error(all)
	}
}

// TestVentDrawnToItsPlace: a vent that joins another so far along it is drawn up to that place, and not over to where
// the other begins; nothing then says that the drawing had to guess.
func TestVentDrawnToItsPlace(t *testing.T) {
	l := &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "SO", Kind: ToSewer,
		Invert: 96 * ft, Size: 4 * in, At: &Position{}}}}}
	for i, id := range []string{"A", "B"} {
		x := -units.Length(10+6*i) * ft
		to := "SO"
		if i > 0 {
			to = "JA"
		}
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "J" + id, To: to, At: &Position{X: x}, Run: Run{Length: units.Length(10-4*i) * ft,
				Grade: slope.MustParse("1/4 in/ft"), Material: "pvc-dwv"}},
			Point{ID: id, To: "J" + id, At: &Position{X: x}, AboveFloor: true, StubUp: 18 * in,
				Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private},
				Trap:    &Trap{Arm: 2 * ft, Fall: in / 2}, Run: Run{Length: 5 * ft, Vertical: true, Material: "pvc-dwv"}})
	}
	station := 9 * ft
	l.Vents = []Vent{
		{ID: "VB", Kind: VentIndividual, From: "B", Terminal: &Terminal{AboveRoof: 12 * in}, Runs: []VentRun{
			{Length: 3 * ft, Direction: VentUp},
			{Length: 12 * ft, Direction: VentHorizontal, End: &Position{X: -4 * ft}},
			{Length: 8 * ft, Direction: VentUp}}},
		{ID: "VA", Kind: VentIndividual, From: "A", To: "VB", At: &VentJoin{Station: &station},
			Runs: []VentRun{{Length: 3 * ft, Direction: VentUp}}},
	}
	d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	sc := d.Systems[0].Isometric
	for _, line := range sc.Lines {
		if line.ID != "VA" {
			continue
		}
		for _, at := range line.Path {
			if at.X != -10*ft {
				t.Errorf("vent VA goes to %v", at)
			}
		}
	}
	for _, r := range sc.Remarks {
		if strings.Contains(r, "not their way on plan") {
			t.Error(r)
		}
	}
}
