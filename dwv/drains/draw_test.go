package drains

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
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
	for id, want := range map[string]string{"A": `A to O, 3", 3" cleanout, 10'-0" at 2 %, invert 98.20 to 98.00`,
		"V": `V to B, 2", lavatory, 1 dfu, vertical 3'-0", invert 101.30 to 98.30`,
		// The least vent of the IPC is 1-1/4 in, no less than half of 2 in.
		"vent V": `V: individual vent, 1 1/4", developed length 10'-0", serves 1 dfu, from V, to the open air`} {
		for _, m := range d.Plan.Marks {
			if m.ID == id && m.Tip != want {
				t.Errorf("tip of %s: %q", id, m.Tip)
			}
		}
	}
	// At 2 %, which is 1/4 in a foot to the code, pipe of 3 in carries 42 dfu and of 2 in 21 (IPC 2021 Table 710.1(1)).
	for id, want := range map[string]string{"A": `3" 1/42`, "B": `2" 1/21`} {
		if k := slices.IndexFunc(iso.Lines, func(x draw.Line) bool { return x.ID == id }); iso.Lines[k].Label[0] != want {
			t.Errorf("label of run %s: %q", id, iso.Lines[k].Label)
		}
	}
	// A trap of 1-1/4 in may have an arm of 5 ft (IPC 2021 Table 909.1).
	if v := mark(t, iso, "V", draw.Riser); strings.Join(v.Label, "|") != `V|lavatory, 1 dfu|arm 2'-0" of 5'-0"` {
		t.Errorf("label of V: %q", v.Label)
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
	for _, a := range sec.Areas { // up to the underside of the slab
		if n := len(a.Path); a.Path[n-1].Z != ft("100 ft")-5*in || a.Path[n-2].Z != ft("100 ft")-5*in {
			t.Errorf("shaded up to %v", a.Path[n-1].Z)
		}
	}
	for _, x := range sec.Lines { // 4 ft down the run that begins 10 ft from the outlet
		if x.ID == "F" && x.Path[0].X != ft("6 ft") {
			t.Errorf("the footing stands at %v", x.Path[0].X)
		}
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
	// An outlet lies at the end of the run of a point that has a place: A at 20 ft drains 10 ft along x. Where it has
	// a place of its own, that is it.
	for outlet, x := range map[string]units.Length{"": 30 * ft, `, "at": {"x": "31 ft", "y": "8 ft"}`: 31 * ft} {
		d := drawnByHand(t, outlet, `, "at": {"x": "20 ft", "y": "8 ft"}`, `"bearing": "180 deg",`)
		if d.Plan == nil || mark(t, d.Plan, "O", draw.Outlet).At.X != x || mark(t, d.Plan, "A", draw.Cleanout).At.X != 20*ft {
			t.Errorf("outlet%s: not at %v", outlet, x)
		}
		if slices.Contains(d.Plan.Remarks, schematic) {
			t.Error("a plan is called schematic")
		}
	}
	// Two systems of bearings and lengths do not say how they lie to one another.
	two := straight(Point{ID: "A", Run: Run{Length: 9 * ft, Bearing: Degrees(90)}})
	other := straight(Point{ID: "B", Run: Run{Length: 9 * ft, Bearing: Degrees(90)}}).Systems[0]
	other.ID, other.Outlet.ID, other.Points[0].To = "other", "P", "P"
	two.Systems = append(two.Systems, other)
	if d, err := mustSize(t, mustBuild(t, two), mustCode(t, "ipc-2021")).Draw(DrawOptions{}); err != nil || d.Plan != nil {
		t.Errorf("two systems on a plan: %v", err)
	}
	d := drawnByHand(t, "", "", "")
	if !slices.Contains(d.Schematic.Remarks, schematic) {
		t.Errorf("remarks of a schematic: %q", d.Schematic.Remarks)
	}
	for _, m := range d.Schematic.Marks { // nothing flat stands on its riser: seen from aslant it is set as on plan
		for _, iso := range d.Systems[0].Isometric.Marks {
			if m.ID == iso.ID && m.Shape == iso.Shape && m.At != iso.At {
				t.Errorf("%s lies at %v and at %v", m.ID, m.At, iso.At)
			}
		}
	}
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
	// The tape is held square across from the stub, to the face of the wall. A riser that has no place stands over its foot.
	ties := mustSize(t, l, code).Ties("W")
	if ties[0].From != (Position{X: 10 * ft, Y: 20*ft - 4*in}) || ties[1].From != (Position{X: 4 * in, Y: 15 * ft}) {
		t.Errorf("tapes of W from %v and %v", ties[0].From, ties[1].From)
	}
	pt(l, "L1").At = nil
	if got := told(l, "L1"); got != `9'-8" west, 9'-8" south` {
		t.Errorf("a riser without a place: %s", got)
	}
	l.Walls[0].To.Y = 14 * ft
	if got := told(l, "W"); got != `4'-8" north, 17'-8" east` {
		t.Errorf("beyond the west wall: %s", got)
	}
	d, err := mustSize(t, l, code).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	names, dimensions := map[string]draw.Style{}, 0
	corners := map[string][2][]units.Length{ // where they may lie along x and y
		"wall west": {{-4 * in, 4 * in}, {0, 14 * ft}}, "wall south": {{0, 28 * ft}, {-4 * in, 4 * in}},
		"wall north": {{0, 28 * ft}, {20*ft - 4*in, 20*ft + 4*in}}, "wall east": {{28*ft - 4*in, 28*ft + 4*in}, {0, 20 * ft}}}
	for _, line := range d.Plan.Lines {
		names[line.ID] = line.Style
		if line.Style == draw.Dimension && len(line.Label) > 0 {
			dimensions++
		}
		if at, ok := corners[line.ID]; ok { // 8 in about its line: the faces that tapes are held to
			for _, p := range line.Path {
				if !slices.Contains(at[0], p.X) || !slices.Contains(at[1], p.Y) {
					t.Errorf("a corner of the %s at %v, %v", line.ID, p.X, p.Y)
				}
			}
		}
	}
	if names["wall west"] != draw.Wall || names["obstacle F1"] != draw.Concrete || dimensions != 6 || *d.Plan.North != 30 {
		t.Errorf("%v, %d dimensions, north %v", names, dimensions, *d.Plan.North)
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
	if !strings.Contains(all, "elevation of the invert in metres") || strings.Contains(all, "feet") {
		t.Errorf("a drawing in metres says %s", all)
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
	if label := mark(t, d.Plan, "A", draw.Riser).Label; !slices.Contains(label, `stub 1'-6"`) {
		t.Errorf("label of A: %q", label)
	}
	if label := mark(t, d.Plan, "JA", draw.Joint).Label; slices.ContainsFunc(label, func(s string) bool {
		return strings.Contains(s, "stub")
	}) {
		t.Errorf("label of JA: %q", label)
	}
	for _, r := range sc.Remarks {
		if strings.Contains(r, "not their way on plan") {
			t.Error(r)
		}
	}
}

// TestDrawVentsAlone: a vent that lies flat, and of which nothing says which way, is drawn against x, its end as far away as
// the run is long; a valve stands at the end. What a vent has of another system is not drawn with this one.
func TestDrawVentsAlone(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}},
		Point{ID: "S", Run: Run{Length: 9 * ft, Size: 2 * in},
			Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}})
	l.Systems[0].Outlet.At = &Position{}
	pt(l, "A").At, pt(l, "S").At = &Position{X: -9 * ft}, &Position{X: -18 * ft}
	l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "S", Valve: &VentValve{Type: ValveBranch}, Runs: []VentRun{
		{Length: 8 * ft, Direction: VentUp}, {Length: 3 * ft, Direction: VentHorizontal}, {Length: ft, Direction: VentUp}}},
		{ID: "W", Kind: VentIndividual, From: "A", To: "V", Runs: []VentRun{
			{Length: 7 * ft, Direction: VentUp}, {Length: 6 * ft, Direction: VentHorizontal}}}}
	clay := straight(Point{ID: "C", Run: Run{Length: 9 * ft}}).Systems[0]
	clay.ID, clay.Outlet.ID, clay.Points[0].To = "clay", "CO", "CO"
	l.Systems = append(l.Systems, clay)
	l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "A", Along: 4 * ft, Bottom: 36 * in, Sleeve: 6 * in}}
	d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	// The invert of S lies 18 ft at 1/4 in a foot over 94 ft, and 1/2 in for pipe of 2 and of 3 in that meet centre to centre.
	foot := 94*ft + 5*in
	if at := mark(t, d.Systems[0].Isometric, "V", draw.Device).At; at != (draw.Point{X: -21 * ft, Z: foot + 9*ft}) {
		t.Errorf("the valve stands at %v", at)
	}
	for _, line := range d.Systems[0].Isometric.Lines { // what joins the riser of V goes over to it, however long its run
		if line.ID == "W" && line.Path[2].X != -18*ft {
			t.Errorf("W goes to %v", line.Path[2])
		}
	}
	for k, want := range []bool{true, false} {
		if got := ids(d.Systems[k].Isometric)["F"]; got != want {
			t.Errorf("the footing is drawn with system %d: %v", k, got)
		}
	}
}

// TestArmLimitsDrawn: IPC 2021 Table 909.1 has 5 ft for a trap of 1-1/4 in, as a lavatory has, and 8 ft for one of 2 in.
func TestArmLimitsDrawn(t *testing.T) {
	d := &drawing{Sizing: &Sizing{code: mustCode(t, "ipc-2021")}}
	lavatory, unknown := &tables.Fixture{Kind: "lavatory", Count: 1}, &tables.Fixture{Kind: "samovar", Count: 1}
	for _, c := range []struct {
		trap    units.Length
		fixture *tables.Fixture
		want    string
	}{
		{0, lavatory, `5'-0"`}, {2 * in, lavatory, `8'-0"`}, {2 * in, nil, `8'-0"`}, {0, unknown, ""}, {0, nil, ""},
	} {
		if got := d.armLimit(&Point{Trap: &Trap{Size: c.trap}, Fixture: c.fixture}); got != c.want {
			t.Errorf("trap of %v, %+v: %q, want %q", c.trap, c.fixture, got, c.want)
		}
	}
}

// TestDevelopedRoundsUp: a length that was added up is given in whole inches, never short; a thousandth of an inch more
// is taken for what adding up leaves.
func TestDevelopedRoundsUp(t *testing.T) {
	for length, want := range map[units.Length]string{10 * ft: `10'-0"`, 10*ft + in/2: `10'-1"`, 10*ft + in/1000 - nm: `10'-0"`,
		10*ft + in/1000: `10'-1"`, 10*ft + in: `10'-1"`} {
		if got := new(drawing).developed(length); got != want {
			t.Errorf("%v: %s, want %s", length, got, want)
		}
	}
}

// TestIsometricSetInHeight: X lies flat on a riser that stands where B joins. On plan its row is that of the riser; seen from
// aslant it is set anew, so that it hides no other.
func TestIsometricSetInHeight(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "R", Run: Run{Length: 9 * ft}},
		Point{ID: "X", AboveFloor: true, Run: Run{Length: 6 * ft}}, Point{ID: "Y", Run: Run{Length: 9 * ft}})
	pt(l, "R").Run.Vertical, pt(l, "R").Run.Grade, pt(l, "Y").To = true, slope.Grade{}, "A"
	d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	moved := ""
	for _, m := range d.Schematic.Marks {
		for _, iso := range d.Systems[0].Isometric.Marks {
			if m.ID == iso.ID && m.Shape == iso.Shape && m.At != iso.At {
				moved += m.ID
			}
		}
	}
	if moved == "" {
		t.Error("seen from aslant all lies as on plan")
	}
	for id, shape := range map[string]draw.Shape{"R": draw.Riser, "X": draw.Joint} { // heights are told of drains in the ground
		if label := mark(t, d.Schematic, id, shape).Label; !slices.Equal(label, []string{id}) {
			t.Errorf("label of %s: %q", id, label)
		}
	}
	// X has a row of its own, from which a line leads on to the top of R, 9 ft over the end of A; Y ends there where A does.
	top := draw.Point{X: -9 * ft, Z: 94*ft + 9*in/4 + 9*ft}
	for id, want := range map[string]int{"X": 2, "Y": 1, "A": 1} {
		var last draw.Point
		lines := 0
		for _, x := range d.Schematic.Lines {
			if x.ID == id {
				last, lines = x.Path[len(x.Path)-1], lines+1
			}
		}
		if lines != want || id == "X" && last != top {
			t.Errorf("%s: %d lines, the last to %v", id, lines, last)
		}
	}
	for _, x := range d.Schematic.Lines { // an arrow and what is to be laid, of a drain in the ground alone
		if buried, ok := map[string]bool{"A": true, "Y": true, "R": false, "X": false}[x.ID]; ok &&
			(x.Arrow != (buried && len(x.Label) > 0) || !buried && len(x.Label) > 0 || (x.Style == draw.Guide) == buried) {
			t.Errorf("%s is drawn %+v", x.ID, x)
		}
	}
	for _, x := range d.Systems[0].Isometric.Lines { // what lies in the ground is drawn so
		if want, ok := map[string]draw.Style{"A": draw.Buried, "Y": draw.Buried, "R": draw.Drain, "X": draw.Drain}[x.ID]; ok &&
			x.Style != want {
			t.Errorf("%s is drawn in style %v", x.ID, x.Style)
		}
	}
}

// TestStubs: what comes up through the floor, at 100 ft, is a stub: a riser that begins below it, and what stands at the end of
// a flat drain below it.
func TestStubs(t *testing.T) {
	flat := Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 3 * in}
	upright := func(length units.Length) Run { return Run{Length: length, Vertical: true, Size: 3 * in} }
	lavatory := &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
	points := []Point{
		{ID: "riser", To: "plain", Run: upright(9 * ft)}, {ID: "upper", To: "riser", Run: upright(9 * ft)},
		{ID: "fixture", To: "plain", Run: flat, Fixture: lavatory}, {ID: "cleanout", To: "plain", Run: flat, Cleanout: &Cleanout{}},
		{ID: "cap", To: "plain", Run: flat, Capped: true}, {ID: "later", To: "plain", Run: flat, Reserved: dwv.FixtureUnit},
		{ID: "branch", To: "upper", Run: flat, Fixture: lavatory, AboveFloor: true}, {ID: "plain", To: "O", Run: flat}}
	s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "s", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 94 * ft}, Points: points}}}), mustCode(t, "ipc-2021"))
	want := map[string]bool{"riser": true, "fixture": true, "cleanout": true, "cap": true, "later": true}
	for _, p := range points {
		if got := s.isStub(s.tree.index[p.ID]); got != want[p.ID] {
			t.Errorf("%s: a stub %v", p.ID, got)
		}
	}
}

// TestFlatVentsDrawn: vent VL of the workshop turns flat 46-1/2 in over the rim at 31 in that it serves: 77-1/2 in up, and 6 in over
// the rim are due under the IPC (905.4), 37 in up. The Canadian code has no such figure on the shelf,
// and of a rim that is not known nothing is said.
func TestFlatVentsDrawn(t *testing.T) {
	for id, want := range map[string]string{"ipc-2021": `flat at 6'-5 1/2", least 3'-1" above floor`,
		"npc-canada": `flat at 6'-5 1/2" above floor`, "ipc-2021 and no rim": `flat at 6'-5 1/2" above floor`} {
		l := mustLayout(t, "workshop.json")
		name, unknown := strings.CutSuffix(id, " and no rim")
		if unknown {
			pt(l, "LA").FloodRim = 0
		}
		d, err := mustSize(t, mustBuild(t, l), mustCode(t, name)).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, x := range d.Systems[0].Isometric.Lines {
			if x.ID == "VL" {
				got = x.Label
			}
		}
		if !slices.Contains(got, want) {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
}

// TestVentedByDrawn: vent VL of the workshop serves the lavatory at LA, and none of the pipe between.
func TestVentedByDrawn(t *testing.T) {
	d := &drawing{Sizing: mustSize(t, mustLayout(t, "workshop.json"), mustCode(t, "ipc-2021"))}
	for v, want := range []string{"WC", "LA", "CS", "SP"} { // VW, VL, VC, VP
		if got := strings.Join(d.ventedBy(int32(v)), " "); got != want {
			t.Errorf("%s serves %q, want %q", d.layout.Vents[v].ID, got, want)
		}
	}
}

// TestVentingRunsDrawn: the drain from the lavatory at LV down to A vents wet, whatever other vents are drawn before that; the tub's
// own drain does not.
func TestVentingRunsDrawn(t *testing.T) {
	l := mustLayout(t, "jobs/wet-vent-two-meet-lavatory.json")
	l.Vents = append([]Vent{{ID: "V0", Kind: VentIndividual, From: "WC", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 12 * ft, Direction: VentUp}}}}, l.Vents...)
	d := &drawing{Sizing: mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021"))}
	for id, want := range map[string]string{"LV": "wet vent (VW)", "W": "wet vent (VW)", "TUB": "", "WC": ""} {
		if got := d.venting(d.tree.index[id]); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
}

// TestCoverShaded: pipe of 3 in that falls 2-1/2 in over 10 ft to 94 ft has its top 61-1/2 in below a slab of 5 in at 100 ft. Where
// the job asks for as much nothing is shaded, and where it asks for more the run is.
func TestCoverShaded(t *testing.T) {
	const cover = 61*in + in/2
	for asked, want := range map[units.Length]int{cover - nm: 0, cover: 0, cover + nm: 1} {
		l := straight(Point{ID: "A", Run: Run{Length: 10 * ft}})
		l.Slab, l.MinimumCover = 5*in, asked
		d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(d.Systems[0].Profile.Areas); got != want {
			t.Errorf("%v asked: %d parts are shaded, want %d", asked, got, want)
		}
	}
}

// TestMoved: 10 m toward 60 degrees from north are 10 sin 60 = 8.660254 m east and 10 cos 60 = 5 m north; toward 210 degrees 5 m west
// and 8.660254 m south.
func TestMoved(t *testing.T) {
	const m = units.Metre
	const long = 8*m + 660254*units.Millimetre/1000
	for degrees, want := range map[float64]Position{60: {X: 3*m + long, Y: 5 * m}, 210: {X: 3*m - 5*m, Y: -long}} {
		if got := moved(Position{X: 3 * m}, Degrees(degrees), 10*m); got != want {
			t.Errorf("%v degrees: %+v, want %+v", degrees, got, want)
		}
	}
}

// TestDropOnProfile: B ends 6 in over the upper end of A, and falls there; A comes level to the outlet.
func TestDropOnProfile(t *testing.T) {
	d, err := mustSize(t, mustBuild(t, straight(Point{ID: "A", Run: Run{Length: 10 * ft}},
		Point{ID: "B", Run: Run{Length: 5 * ft, Drop: 6 * in}})), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	// A rises 2-1/2 in to 94 ft 2-1/2 in; B begins 6 in over that and rises 1-1/4 in.
	a, b := 94*ft+5*in/2, 94*ft+17*in/2
	for _, x := range d.Systems[0].Profile.Lines {
		want, ok := map[string][]draw.Point{"A": {{X: 10 * ft, Z: a}, {Z: 94 * ft}},
			"B": {{X: 15 * ft, Z: b + 5*in/4}, {X: 10 * ft, Z: b}, {X: 10 * ft, Z: a}}}[x.ID]
		if ok && x.Style == draw.Drain && !slices.Equal(x.Path, want) {
			t.Errorf("%s: %v, want %v", x.ID, x.Path, want)
		}
	}
}

// TestTieToAWall: a wall of 4 m, 200 mm thick, runs along the x axis. What lies beside it, to its very ends, is measured square
// to its face; what lies beyond an end or inside it is not.
func TestTieToAWall(t *testing.T) {
	const m, mm = units.Metre, units.Millimetre
	w := Wall{ID: "W", From: Position{}, To: Position{X: 4 * m}, Thickness: 200 * mm}
	for _, c := range []struct {
		at, from Position
		distance units.Length
		beside   bool
	}{
		{Position{X: m, Y: m}, Position{X: m, Y: 100 * mm}, 900 * mm, true},
		{Position{X: 0, Y: -m}, Position{X: 0, Y: -100 * mm}, 900 * mm, true},
		{Position{X: 4 * m, Y: 101 * mm}, Position{X: 4 * m, Y: 100 * mm}, mm, true},
		{Position{X: 4*m + mm, Y: m}, Position{}, 0, false}, {Position{X: -mm, Y: m}, Position{}, 0, false},
		{Position{X: m, Y: 100 * mm}, Position{}, 0, false}, {Position{X: m, Y: -50 * mm}, Position{}, 0, false},
	} {
		tie, _, ok := w.tie(c.at)
		if ok != c.beside || ok && (tie.Distance != c.distance || tie.From != c.from) {
			t.Errorf("%+v: %+v, beside it %v", c.at, tie, ok)
		}
	}
}

// TestProfileOfASewer: over a sewer alone there is no floor to draw.
func TestProfileOfASewer(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 8 * ft, Part: dwv.Sewer}})
	l.Slab = 4 * in
	d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range d.Systems[0].Profile.Lines {
		if x.ID == "finished-floor" || x.ID == "slab" {
			t.Errorf("%s is drawn: %v", x.ID, x.Path)
		}
	}
}

// TestProfileOutside: 8 ft of sewer and 10 ft of drain: the floor lies over the drain alone, the ground over the sewer. Where
// no sewer is drawn the ground shows over a twentieth of the way.
func TestProfileOutside(t *testing.T) {
	ground := 99 * ft
	for _, c := range []struct {
		part         dwv.Part
		from, ground units.Length
	}{{dwv.Sewer, 8 * ft, 8 * ft}, {0, 0, 18 * ft / 20}} {
		l := straight(Point{ID: "A", Run: Run{Length: 8 * ft, Part: c.part}}, Point{ID: "B", Run: Run{Length: 10 * ft}},
			Point{ID: "side", Run: Run{Length: 5 * ft}})
		l.Ground, pt(l, "side").To = &ground, "A"
		d, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).Draw(DrawOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for id, want := range map[string]units.Length{"A": 8 * ft, "B": 18 * ft} {
			if at := mark(t, &d.Systems[0].Profile.Scene, id, draw.Joint).At.X; at != want {
				t.Errorf("%v: %s at %v, want %v", c.part, id, at, want)
			}
		}
		if at := mark(t, &d.Systems[0].Profile.Scene, "side", draw.Tick).At.X; at != 8*ft {
			t.Errorf("%v: the run beside joins at %v", c.part, at)
		}
		// Over a sewer there is no slab to lie under.
		for _, r := range d.Systems[0].Profile.Rows {
			if r.Name == "cover under slab" && ((r.Cells[1] == "") != (c.part == dwv.Sewer) || r.Cells[2] == "") {
				t.Errorf("%v: %q under the slab", c.part, r.Cells)
			}
		}
		for _, x := range d.Systems[0].Profile.Lines {
			switch x.ID {
			case "finished-floor":
				if x.Path[0].X != c.from || x.Path[1].X != 18*ft {
					t.Errorf("%v: the floor from %v to %v", c.part, x.Path[0].X, x.Path[1].X)
				}
			case "ground":
				if x.Path[0].X != 0 || x.Path[1].X != c.ground {
					t.Errorf("%v: the ground from %v to %v", c.part, x.Path[0].X, x.Path[1].X)
				}
			}
		}
	}
}
