package supply

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The same water lines worked a second time, as on a worksheet: loads and flows from the
// rows of the files, the Hazen-Williams formula in gallons and inches as handbooks print it,
// and one subtraction after the other from the street to each point.

// worksheet is what the tables print for it.
type worksheet struct {
	load   map[string][3]float64 // by fixture and use, for tanks: cold, hot, both
	demand [][2]float64          // load, gallons per minute
	inside map[string]float64    // by nominal size
	data   *Data
	point  map[string]*Point
}

func rowsOf(t testing.TB, name string) [][]string {
	t.Helper()
	text, err := os.ReadFile("../tables/data/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment, r.FieldsPerRecord = '#', -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[1:]
}

func float(text string) float64 {
	x, _ := strconv.ParseFloat(text, 64)
	return x
}

func newWorksheet(t testing.TB) worksheet {
	w := worksheet{load: map[string][3]float64{}, inside: map[string]float64{}}
	for _, r := range rowsOf(t, "ipc-2021/supply-fixture-units") { // fixture,use,control,flush_over,flush_to,size,ports,cold,hot,total
		if r[2] == "" || r[2] == "tank" {
			w.load[r[0]+" "+r[1]] = [3]float64{float(r[7]), float(r[8]), float(r[9])}
		}
	}
	for _, r := range rowsOf(t, "ipc-2021/supply-demand") {
		if r[0] == "tank" {
			w.demand = append(w.demand, [2]float64{float(r[1]), float(r[2])})
		}
	}
	for _, r := range rowsOf(t, "pipes/copper-l") {
		w.inside[r[0]] = float(r[4])
	}
	return w
}

var drawnSizes = []struct {
	size units.Length
	name string
}{{units.Inch / 2, "1/2"}, {3 * units.Inch / 4, "3/4"}, {units.Inch, "1"}, {5 * units.Inch / 4, "1-1/4"},
	{3 * units.Inch / 2, "1-1/2"}, {2 * units.Inch, "2"}, {5 * units.Inch / 2, "2-1/2"}, {3 * units.Inch, "3"}}

// worksheetLayout makes a cold tree and behind a heater a hot one, all sizes drawn, with
// fixtures of which none stands alone.
func worksheetLayout(r *rand.Rand) Data {
	d := Data{
		Source: Source{ID: "street", Pressure: 2000 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Celsius(10), Hot: units.Celsius(60), Ambient: units.Celsius(20)},
		Pipe:   LinePipes{Cold: "copper-l", Hot: "copper-l"},
	}
	if r.IntN(2) == 0 {
		d.FittingsAllowance = float64(r.IntN(5)) / 10
	}
	lines := [2][]string{{"street"}, nil}
	n := 3 + r.IntN(14)
	for k := range n {
		line := r.IntN(2)
		switch k {
		case 0, 1:
			line = 0
		case 2: // there is a hot line
			line = 1
		}
		from := lines[line][max(0, len(lines[line])-1-r.IntN(3))]
		if k > 0 && from == "street" {
			from = "P0"
		}
		p := Point{ID: fmt.Sprintf("P%d", k), From: from, Length: units.Length(1+r.IntN(400)) * units.Inch,
			Rise: units.Length(r.IntN(25)-8) * units.Inch / 2, Size: drawnSizes[r.IntN(len(drawnSizes))].size}
		p.Rise = min(max(p.Rise, -p.Length), p.Length)
		switch {
		case k == 1:
			line = 1
			p.Device = &Device{Kind: "storage-heater", Loss: units.Pressure(1+r.IntN(4)) * units.PoundForcePerSquareInch}
		case r.IntN(8) == 0:
			p.Device = &Device{Kind: "filter", Loss: units.Pressure(r.IntN(6)) * units.PoundForcePerSquareInch}
			p.Device.NoLoss = p.Device.Loss == 0
		}
		d.Points = append(d.Points, p)
		lines[line] = append(lines[line], p.ID)
	}
	for k := range 1 + r.IntN(8) {
		kind := []string{"lavatory", "bathtub", "kitchen-sink", "shower", "water-closet"}[r.IntN(5)]
		f := LayoutFixture{ID: fmt.Sprintf("F%d", k), Fixture: tables.Fixture{Kind: kind, Count: 2 + r.IntN(9), Use: []tables.Use{tables.Private, tables.Public}[r.IntN(2)]}}
		cold := lines[0][1:]
		f.Cold = cold[r.IntN(len(cold))]
		if kind == "water-closet" {
			f.Control = tables.Tank
		} else {
			f.Hot = lines[1][1+r.IntN(len(lines[1])-1)]
		}
		d.Fixtures = append(d.Fixtures, f)
	}
	return d
}

// below tells whether water for a point comes through another.
func (w *worksheet) below(id, through string) bool {
	for p := w.point[id]; p != nil; p = w.point[p.From] {
		if p.ID == through {
			return true
		}
	}
	return false
}

// carries is the load of a run: of each fixture its cold, its hot, or both as one.
func (w *worksheet) carries(p *Point) (sum float64) {
	for _, f := range w.data.Fixtures {
		row := w.load[f.Kind+" "+f.Use.String()]
		cold, hot := w.below(f.Cold, p.ID), f.Hot != "" && w.below(f.Hot, p.ID)
		switch n := float64(f.Count); {
		case cold && hot, cold && f.Hot == "":
			sum += n * row[2]
		case cold:
			sum += n * row[0]
		case hot:
			sum += n * row[1]
		}
	}
	return sum
}

// flow reads the demand in gallons per minute by straight lines between the rows, and
// from nothing up to the first.
func (w *worksheet) flow(load float64) float64 {
	before := [2]float64{}
	for _, row := range w.demand {
		if load <= row[0]+1e-9 {
			return before[1] + (row[1]-before[1])*(load-before[0])/(row[0]-before[0])
		}
		before = row
	}
	return math.NaN()
}

// psiPerFoot is what a foot of water weighs, at 50 degF or hot at 140.
func psiPerFoot(hot bool) float64 {
	if hot {
		return 61.38 / 144
	}
	return 62.41 / 144
}

func worksheetDiffers(t testing.TB, sheet worksheet, d Data, c *Code) (says string, compared int) {
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	a, err := l.Analyse(c, Options{})
	if err != nil {
		return err.Error(), 0
	}
	w := sheet
	w.data, w.point = &d, map[string]*Point{}
	left := map[string]float64{"street": float64(d.Source.Pressure / units.PoundForcePerSquareInch)}
	hot := map[string]bool{}
	for k := range d.Points {
		p := &d.Points[k]
		w.point[p.ID] = p
	}
	for k := range d.Points {
		p := &d.Points[k]
		hot[p.ID] = hot[p.From] || w.point[p.From] != nil && w.point[p.From].Device.heater()
		load := w.carries(p)
		gpm := w.flow(load)
		var inside float64
		for _, s := range drawnSizes {
			if s.size == p.Size {
				inside = w.inside[s.name]
			}
		}
		feet := float64(p.Length) / float64(units.Foot)
		weight := psiPerFoot(hot[p.ID])
		// Head lost in feet over a length in feet: 10.44 L q^1.85 / (C^1.85 d^4.87), C = 145, as read for copper tube.
		friction := weight * 10.44 * feet * (1 + d.FittingsAllowance) * math.Pow(gpm/145, 1.8519) / math.Pow(inside, 4.8704)
		rise := weight * float64(p.Rise) / float64(units.Foot)
		loss := 0.0
		if p.Device != nil {
			loss = float64(p.Device.Loss / units.PoundForcePerSquareInch)
		}
		left[p.ID] = left[p.From] - friction - rise - loss
		r, _ := a.Of(p.ID)
		near := func(what string, got, want, share, least float64) {
			if compared++; math.Abs(got-want) > max(share*math.Abs(want), least) && says == "" {
				says = fmt.Sprintf("%s of %s: %v, on the worksheet %v (%v wsfu, %v gpm)", what, p.ID, got, want, load, gpm)
			}
		}
		near("load", float64(r.Load.FixtureUnits)/float64(FixtureUnit), load, 0, 1e-9)
		near("flow", float64(r.Flow/units.USGallonPerMinute), gpm, 1e-6, 1e-6)
		near("friction", float64((r.Friction+r.Fittings)/units.PoundForcePerSquareInch), friction, 0.002, 1e-6)
		near("rise", float64(r.Rise/units.PoundForcePerSquareInch), rise, 0.001, 1e-6)
		near("pressure", float64((d.Source.Pressure-r.Out)/units.PoundForcePerSquareInch), left["street"]-left[p.ID], 0.003, 0.01)
		near("velocity", float64(r.Velocity/units.FootPerSecond), 0.40853*gpm/(inside*inside), 1e-4, 1e-6)
		if says != "" {
			return says, compared
		}
	}
	return "", compared
}

// TestWaterOnAWorksheet holds loads, flows, friction and what pressure is left of thousands
// of layouts to the same work done a second time.
func TestWaterOnAWorksheet(t *testing.T) {
	sheet, c := newWorksheet(t), mustCode(t, "ipc-2021")
	compared := 0
	for seed := range uint64(2000) {
		d := worksheetLayout(rand.New(rand.NewPCG(seed, 13)))
		says, n := worksheetDiffers(t, sheet, d, c)
		if compared += n; says != "" {
			text, _ := json.MarshalIndent(d, "", " ")
			t.Fatalf("seed %d: %s\n%s", seed, says, text)
		}
	}
	if compared < 50_000 {
		t.Errorf("only %d answers compared", compared)
	}
}

// TestLargerPipeNeverLessPressure makes one run a size larger.
func TestLargerPipeNeverLessPressure(t *testing.T) {
	codes := []*Code{mustCode(t, "ipc-2021"), mustCode(t, "upc-2021")}
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 14))
		d := worksheetLayout(r)
		wide := d
		wide.Points = append([]Point(nil), d.Points...)
		p := &wide.Points[r.IntN(len(d.Points))]
		if p.Size == 3*units.Inch {
			continue
		}
		for k := range drawnSizes {
			if drawnSizes[k].size == p.Size {
				p.Size = drawnSizes[k+1].size
				break
			}
		}
		for _, c := range codes {
			for _, o := range []Options{{}, {CapAtOutlets: true}, {FeedsAny: true}} {
				was, err := mustNew(t, d).Analyse(c, o)
				is, err2 := mustNew(t, wide).Analyse(c, o)
				if err != nil || err2 != nil {
					t.Fatal(err, err2)
				}
				for i := range was.Len() {
					if a, b := was.At(i), is.At(i); b.Out < a.Out-1e-6 || b.Flow != a.Flow || b.Static != a.Static {
						t.Fatalf("seed %d, %v: %s larger took %v, %v to %v, %v at %s", seed, c, p.ID, a.Out, a.Flow, b.Out, b.Flow, a.Point)
					}
				}
			}
		}
	}
}

// TestOrderOfAWaterLayout puts points and fixtures in another order.
func TestOrderOfAWaterLayout(t *testing.T) {
	for _, c := range []*Code{mustCode(t, "ipc-2021"), mustCode(t, "upc-2021"), mustCode(t, "din1988-300"), mustCode(t, "en806-3"), mustCode(t, "nspc-2018"), mustCode(t, "npc-canada")} {
		for seed := range uint64(60) {
			r := rand.New(rand.NewPCG(seed, 15))
			d := worksheetLayout(r)
			d.Building = "residential"
			for k := range d.Points {
				d.Points[k].Length += units.Length(k) * units.Micrometre // no ties
				if r.IntN(2) == 0 {
					d.Points[k].Size = 0
				}
				if d.Points[k].BelowSlab = r.IntN(3) == 0; d.Points[k].BelowSlab && r.IntN(2) == 0 {
					d.Points[k].Pipe = "copper-m"
				}
				if d.Points[k].Device == nil && r.IntN(8) == 0 {
					d.Points[k].Device = &Device{Kind: "regulator", Set: units.Pressure(30+r.IntN(40)) * units.PoundForcePerSquareInch}
				}
			}
			for k := range r.IntN(3) {
				d.Fixtures = append(d.Fixtures, LayoutFixture{ID: fmt.Sprint("DW", k), Cold: "P0",
					Fixture: tables.Fixture{Kind: []string{"dishwasher", "steam-table"}[r.IntN(2)], Count: 1, Use: tables.Private}, Flow: units.USGallonPerMinute})
			}
			other := d
			other.Points, other.Fixtures = append([]Point(nil), d.Points...), append([]LayoutFixture(nil), d.Fixtures...)
			r.Shuffle(len(d.Points), func(i, j int) { other.Points[i], other.Points[j] = other.Points[j], other.Points[i] })
			r.Shuffle(len(d.Fixtures), func(i, j int) { other.Fixtures[i], other.Fixtures[j] = other.Fixtures[j], other.Fixtures[i] })
			a, errA := mustNew(t, d).Size(c, Options{})
			b, errB := mustNew(t, other).Size(c, Options{})
			if (errA == nil) != (errB == nil) {
				t.Fatalf("%v, seed %d: %v, in another order %v", c, seed, errA, errB)
			}
			if errA != nil {
				continue
			}
			for i := range a.Len() {
				x := a.At(i)
				if y, _ := b.Of(x.Point); x.Size != y.Size || x.Load != y.Load || math.Abs(float64(x.Out-y.Out)) > 1e-6*math.Abs(float64(x.Out)) {
					t.Fatalf("%v, seed %d: %s is %v with %v left, in another order %v with %v", c, seed, x.Point, x.Size, x.Out, y.Size, y.Out)
				}
			}
			f, errF := a.Check(CheckOptions{})
			g, errG := b.Check(CheckOptions{})
			if errF != nil || errG != nil || len(f) != len(g) {
				t.Fatalf("%v, seed %d: %d findings %v, in another order %d %v", c, seed, len(f), errF, len(g), errG)
			}
			if diff := cmp.Diff(judgements(f), judgements(g)); diff != "" {
				t.Fatalf("%v, seed %d: in another order:\n%s", c, seed, diff)
			}
		}
	}
}

// judgements lists what was judged where, how and by how much, and what was said.
func judgements(found []tables.Finding) string {
	list := make([]string, len(found))
	for i := range found {
		list[i] = fmt.Sprint(found[i].ID(), ": ", found[i].String(), " ", found[i].Fix, "\n")
	}
	slices.Sort(list)
	return strings.Join(list, "")
}

func mustNew(t testing.TB, d Data) *Layout {
	t.Helper()
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestEditSized: the layout of a sizing has the sizes open that were open, so that an edit of it is
// sized anew. UPC 2021, Table 610.3, asks 1/2 in of a lavatory's supply where the IPC takes 3/8 in.
func TestEditSized(t *testing.T) {
	l := mustNew(t, Data{
		Source: Source{ID: "main", Pressure: 60 * units.PoundForcePerSquareInch},
		Water:  Waters{Cold: units.Fahrenheit(50)}, Pipe: LinePipes{Cold: "copper-l"},
		Points: []Point{{ID: "lav", From: "main", Length: 20 * units.Foot}},
		Fixtures: []LayoutFixture{{ID: "lavatory", Cold: "lav",
			Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}}},
	})
	s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := s.Layout().Data()
	if d.Points[0].Size != 0 || s.Analyse().Layout().Data().Points[0].Size != s.At(0).Size {
		t.Fatalf("the layout given has the size %v drawn", d.Points[0].Size)
	}
	d.Points[0].Length += 8 * units.Foot
	later, err := mustNew(t, d).Size(mustCode(t, "upc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if least := units.Inch / 2; later.At(0).Size < least {
		t.Errorf("sized %v under the UPC; at least %v", later.At(0).Size, least)
	}
}
