package supply

import (
	"math"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// An edge is a rule of [Analysis.Check] at its limit and one step past it.
type edge struct {
	rule, code, place string
	both              func(d *Data) // what the two have in common
	at, past          func(d *Data)
	verdict           tables.Verdict // past it; 0 is Fail
	// recalled: the step past the limit is from a row in print to one that is not.
	recalled bool
}

// TestEdgesOfRules judges each rule at the very limit, where it holds, and a small
// step past it, where it does not: a nanometre, a size, a thousandth of a psi or a
// gpm, which a comparison rounded to a millionth still sees; where the rule is a
// sentence, with and without what it asks. All sizes are drawn.
func TestEdgesOfRules(t *testing.T) {
	const ipc, irc, upc = "ipc-2021", "irc-2021", "upc-2021"
	const nm, in, ft = units.Length(1), units.Inch, units.Foot
	const psi, gpm, degF = units.PoundForcePerSquareInch, units.USGallonPerMinute, 5. / 9
	firm := edges.FirmShelf(t, nil, ipc, irc, upc, "materials", "iecc-2021", "hot-water", "devices", "sleeves", "pipes",
		"illinois-890", "hunter")
	codes := map[string]*Code{}
	for _, id := range []string{ipc, irc, upc} {
		c, err := LoadCode(firm, id)
		if err != nil {
			t.Fatal(err)
		}
		codes[id] = c
	}
	first, err := lodge(t).Size(codes[ipc], Options{})
	if err != nil {
		t.Fatal(err)
	}
	// analyse judges the lodge with its sizes drawn and some things changed.
	analyse := func(c *Code, edits ...func(d *Data)) *Analysis {
		t.Helper()
		d := lodge(t).Data()
		for i := range d.Points {
			d.Points[i].Size = first.runs[i].Size
		}
		for _, edit := range edits {
			if edit != nil {
				edit(&d)
			}
		}
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		a, err := l.Analyse(c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	point := func(d *Data, id string) *Point {
		for i := range d.Points {
			if d.Points[i].ID == id {
				return &d.Points[i]
			}
		}
		t.Fatalf("no point %s", id)
		return nil
	}
	fixture := func(d *Data, id string) *LayoutFixture {
		for i := range d.Fixtures {
			if d.Fixtures[i].ID == id {
				return &d.Fixtures[i]
			}
		}
		t.Fatalf("no fixture %s", id)
		return nil
	}
	keep := func(*Data) {}
	homeRun := func(d *Data) {
		d.Points = append(d.Points, Point{ID: "MF", From: "C7", Length: ft, Size: in * 3 / 4, Manifold: true},
			Point{ID: "HR", From: "MF", Length: 20 * ft, Size: in * 3 / 8})
		d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "KS-1", Cold: "HR",
			Fixture: tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}})
	}
	base := analyse(codes[ipc])
	run := func(a *Analysis, id string) *run {
		i, _ := a.layout.Find(id)
		return &a.runs[i]
	}
	area := func(id string) float64 {
		d := run(base, id).Bore.Metres()
		return math.Pi / 4 * d * d
	}
	// What brings a figure to its limit, from the way there.
	steady := units.Flow(8*float64(units.FootPerSecond)*area("C4")) - run(base, "C4").Flow
	meter := run(analyse(codes[ipc], func(d *Data) { point(d, "C1").Continuous = 400 * gpm }),
		"C1").deviceLoss().Beyond - run(base, "C1").Flow
	closet := base.fixtures[0].Available
	// 100 gal of 50 degF are 99.96 at 120 less their growth; from the pressure at rest there up
	// to 80 psi, in absolute pressures.
	tank := tankOf(t, 100*units.USGallon, 64*psi-(base.layout.data.Source.Static-run(base, "WH").Static), 80*psi)
	worst := units.Pressure(0)
	for _, f := range base.fixtures {
		worst = max(worst, f.Static)
	}
	static := base.layout.data.Source.Static + 80*psi - worst
	waits, err := base.HotWater()
	if err != nil {
		t.Fatal(err)
	}
	// 2 fl oz in the run to the lavatory, of 3/8 in PEX with a bore of 0.350 in: 3.1 ft,
	// a little over the length that the energy code allows.
	cup := units.Inches(2. / 128 * 231 / (math.Pi / 4 * 0.35 * 0.35))
	round := units.Flow(2 * float64(units.FootPerSecond) * area("R1"))
	fill := 0.0
	for _, w := range base.Sleeves()[0].Bundle.Lines {
		fill += w.Inches() * w.Inches()
	}
	full := units.Inches(math.Sqrt(fill / 0.40))
	alone := func(d *Data) { // one line in the sleeve, without a rope
		point(d, "H3").Sleeve, point(d, "R1").Sleeve, d.Sleeves[0].Rope = "", "", 0
	}
	beside := func(s Separation) func(d *Data) {
		return func(d *Data) { point(d, "C8").Beside = &s }
	}
	test := func(p units.Pressure, medium string) func(d *Data) {
		return func(d *Data) {
			d.Test = &PressureTest{p, medium}
			for i := range d.Points { // no plastic, which air may burst
				d.Points[i].Pipe = "copper-l"
			}
		}
	}

	all := []edge{
		{rule: "water-velocity", code: ipc, place: "C4", at: func(d *Data) { point(d, "C4").Continuous = steady },
			past: func(d *Data) { point(d, "C4").Continuous = steady + gpm/1000 }},
		{rule: "fixture-pressure", code: ipc, place: "WC-1", at: func(d *Data) { fixture(d, "WC-1").Pressure = closet },
			past: func(d *Data) { fixture(d, "WC-1").Pressure = closet + psi/1000 }},
		{rule: "static-pressure", code: ipc, place: "LAV-1", at: func(d *Data) { d.Source.Static = static },
			past: func(d *Data) { d.Source.Static = static + psi/1000 }},
		{rule: "static-pressure-least", code: irc, place: "street", both: func(d *Data) { d.Fixtures = nil },
			at:   func(d *Data) { d.Source.Pressure, d.Source.Static = 40*psi, 40*psi },
			past: func(d *Data) { d.Source.Pressure, d.Source.Static = 39.999*psi, 39.999*psi }},
		{rule: "static-pressure-least", code: irc, place: "street", both: func(d *Data) { d.Fixtures = nil },
			at:   func(d *Data) { d.Source.Pressure, d.Source.Static = 30*psi, 40*psi },
			past: func(d *Data) { d.Source.Pressure, d.Source.Static = 30*psi, 39.999*psi }},
		{rule: "static-pressure-least", code: irc, place: "street",
			both: func(d *Data) { d.Fixtures, d.Source.Static = nil, 0 }, at: func(d *Data) { d.Source.Pressure = 40 * psi },
			past: func(d *Data) { d.Source.Pressure = 39.999 * psi }},
		{rule: "supply-size", code: ipc, place: "WC-1", at: func(d *Data) { point(d, "C4").Size = in },
			past: func(d *Data) { point(d, "C4").Size = in * 3 / 4 }},
		{rule: "supply-size", code: ipc, place: "KS-1", both: homeRun, at: func(d *Data) { point(d, "HR").Length = 60 * ft },
			past: func(d *Data) { point(d, "HR").Length = 60*ft + nm }},
		{rule: "supply-size", code: ipc, place: "KS-1", both: homeRun,
			at:   func(d *Data) { point(d, "C1").Rise, d.Source.Pressure = 0, 35*psi },
			past: func(d *Data) { point(d, "C1").Rise, d.Source.Pressure = 0, 34.999*psi }},
		{rule: "supply-size", code: ipc, place: "KS-1", both: homeRun, at: keep,
			past: func(d *Data) { point(d, "MF").Manifold = false }},
		{rule: "service-size", code: ipc, place: "C1", at: func(d *Data) { point(d, "C1").Size = in * 3 / 4 },
			past: func(d *Data) { point(d, "C1").Size, point(d, "C1").Pipe = in/2, "copper-l" }},
		{rule: "line-feeds-greater", code: ipc, place: "C4", at: func(d *Data) { point(d, "C4").Size = in * 3 / 2 },
			past: func(d *Data) { point(d, "C4").Size = in * 2 }, verdict: tables.Ask},
		{rule: "device-flow", code: ipc, place: "C1", at: func(d *Data) { point(d, "C1").Continuous = meter - gpm/1e7 },
			past: func(d *Data) { point(d, "C1").Continuous = meter + gpm/1000 }},
		{rule: "device-loss", code: ipc, place: "C2", at: keep,
			past: func(d *Data) { point(d, "C2").Device = &Device{Kind: "double-check"} }, verdict: tables.Ask},

		// Hot water
		{rule: "hot-length", code: ipc, place: "SK-1", at: func(d *Data) { point(d, "H4").Length = 50 * ft },
			past: func(d *Data) { point(d, "H4").Length = 50*ft + nm }},
		{rule: "hot-volume-energy", code: ipc, place: "LAV-1",
			both: func(d *Data) { point(d, "H2").Rise, point(d, "H2").Size = 0, in*3/8 },
			at:   func(d *Data) { point(d, "H2").Length = cup }, past: func(d *Data) { point(d, "H2").Length = cup + in/100 },
			verdict: tables.Ask},
		{rule: "hot-wait", code: ipc, place: "LAV-1", at: func(d *Data) {
			fixture(d,
				"LAV-1").Flow = units.Flow(float64(waits[0].Volume) / 10)
		}, past: func(d *Data) { fixture(d, "LAV-1").Flow = units.Flow(float64(waits[0].Volume) / 10.001) },
			verdict: tables.Ask},
		{rule: "recirculation-velocity", code: ipc, place: "RC-1", at: func(d *Data) { d.Recirculation[0].Flow = round },
			past: func(d *Data) { d.Recirculation[0].Flow = round + gpm/1000 }},
		{rule: "scald", code: ipc, place: "SH-1", at: keep, past: func(d *Data) { d.Water.Hot += 0.001 * degF },
			verdict: tables.Ask},
		{rule: "tempered-water", code: ipc, place: "LAV-1", at: func(d *Data) { d.Water.Hot = units.Fahrenheit(110) },
			past: func(d *Data) { d.Water.Hot = units.Fahrenheit(110) + 0.001*degF }, verdict: tables.Ask},
		{rule: "thermal-expansion", code: ipc, place: "WH", both: func(d *Data) {
			d.Source.Static = 64 * psi
			point(d, "WH").Device.Volume = 100 * units.USGallon
			d.Points = append(d.Points, Point{ID: "ET", From: "C7", Length: ft, Size: in / 2,
				Device: &Device{Kind: "expansion-tank"}})
		}, at: func(d *Data) { point(d, "ET").Device.Volume = tank },
			past: func(d *Data) { point(d, "ET").Device.Volume = tank - units.Litre/1000 }},
		{rule: "thermal-expansion", code: ipc, place: "WH", at: func(d *Data) { point(d, "C2").Device = nil }, past: keep,
			verdict: tables.Ask},

		// Below the slab
		{rule: "slab-joints", code: ipc, place: "H3", at: keep,
			past: func(d *Data) { point(d, "H3").Fittings = []FittingItem{{Fitting: "coupling", Count: 1, K: 0.1}} }},
		{rule: "sleeve-fill", verdict: tables.Ask, code: ipc, place: "S1", at: func(d *Data) { d.Sleeves[0].Bore = full },
			past: func(d *Data) { d.Sleeves[0].Bore = full - in/1000 }},
		{rule: "sleeve-bends", code: ipc, place: "S1", at: func(d *Data) { d.Sleeves[0].Bends = 4 },
			past: func(d *Data) { d.Sleeves[0].Bends = 5 }},
		{rule: "sleeve-fit", code: ipc, place: "S1", both: alone, at: func(d *Data) { d.Sleeves[0].Bore = in * 9 / 8 },
			past: func(d *Data) { d.Sleeves[0].Bore = in*9/8 - nm }},
		{rule: "water-drain-separation", code: ipc, place: "C8", at: beside(Separation{Clear: 5 * ft}),
			past: beside(Separation{Clear: 5*ft - nm, NotListed: true})},
		{rule: "water-drain-separation", code: ipc, place: "C8", at: beside(Separation{Clear: ft, Above: ft}),
			past: beside(Separation{Clear: ft, Above: ft - nm, NotListed: true})},
		{rule: "test-pressure", code: ipc, place: "test", at: test(74*psi, "water"), past: test(73.999*psi, "water")},
		{rule: "test-pressure", code: ipc, place: "test", at: test(50*psi, "air"), past: test(49.999*psi, "air")},

		// Standing of rows
		{rule: "load-row", code: ipc, place: "UR-1", at: keep, past: keep, recalled: true, verdict: tables.Ask},
		{rule: "demand-row", code: ipc, place: "C1", at: keep, past: keep, recalled: true, verdict: tables.Ask},
		{rule: "bore-row", code: ipc, place: "C8", both: func(d *Data) { point(d, "C8").Size = in * 5 / 4 }, at: keep,
			past: keep, recalled: true, verdict: tables.Ask},
	}
	record := edges.ReadRecord(t, "../internal/proof/rules.csv", "supply")
	tried := map[string]bool{}
	for _, e := range all {
		tried[e.rule] = true
		t.Run(e.rule+"/"+e.code, func(t *testing.T) {
			for _, past := range []bool{false, true} {
				code, edit := codes[e.code], e.at
				if past {
					edit = e.past
				}
				if past && e.recalled {
					code = mustCode(t, e.code)
				}
				found, err := analyse(code, e.both, edit).Check(CheckOptions{})
				if err != nil {
					t.Fatal(err)
				}
				want := e.verdict
				if want == 0 {
					want = tables.Fail
				}
				broken := false
				for _, f := range found {
					if f.Rule != e.rule || f.Place != e.place && !e.recalled {
						continue
					}
					broken = broken || f.Verdict == want
					if !past && f.Verdict != tables.Pass {
						t.Errorf("at the limit: %v", f)
					}
					// Nothing is left at the limit, and less than nothing past it, if it shows in the
					// figures of the trade.
					if m := marginOf(f.Margin); !past && math.Abs(m) > 1e-6 || past && m > 0 {
						t.Errorf("margin %v of %v", f.Margin, f)
					}
					if !f.Citation.IsZero() && !record.Holds(e.rule, f.Citation) {
						t.Errorf("rests on %v, which internal/proof/rules.csv does not name", f.Citation)
					}
				}
				if past && !broken {
					t.Errorf("one step past the limit nothing is wrong")
				}
			}
		})
	}
	// Demand that another document stands in for is asked about, its own is not.
	for id, want := range map[string]bool{ipc: false, upc: true} {
		found, err := analyse(codes[id]).Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		got := false
		for _, f := range found {
			if f.Rule == "stand-in" {
				got = true
				if f.Verdict != tables.Ask || !record.Holds(f.Rule, f.Citation) {
					t.Errorf("%v", f)
				}
			}
		}
		if got != want {
			t.Errorf("%s: another's demand asked about: %v", id, got)
		}
	}
	tried["stand-in"] = true
	tried["hot-length-energy"] = true // see TestEnergyWays
	record.Check(t, "supply.TestEdgesOfRules", ruleIDs(t), tried)
}

// marginOf is a margin as a number, whatever it is measured in.
func marginOf(margin any) float64 {
	switch v := reflect.ValueOf(margin); {
	case !v.IsValid():
		return 0
	case v.CanInt():
		return float64(v.Int())
	default:
		return v.Float()
	}
}

// ruleIDs finds the ids of findings in the source of the package.
func ruleIDs(t *testing.T) []string {
	t.Helper()
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	id := regexp.MustCompile(`(?:Rule: *|note\()"([a-z-]+)"`)
	var ids []string
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		text, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range id.FindAllStringSubmatch(string(text), -1) {
			ids = append(ids, m[1])
		}
	}
	return ids
}

// tankOf is the tank for water heated from 50 to 120 degF, by Boyle's law and the densities
// of the table of water.
func tankOf(t *testing.T, volume units.Volume, fill, most units.Pressure) units.Volume {
	t.Helper()
	var rho [2]float64
	for i, f := range []float64{50, 120} {
		w, err := hydraulics.WaterAt(units.Fahrenheit(f))
		if err != nil {
			t.Fatal(err)
		}
		rho[i] = float64(w.Density)
	}
	grows := float64(volume) * (rho[0]/rho[1] - 1)
	const atmosphere = 101325
	return units.Volume(grows / (1 - (float64(fill)+atmosphere)/(float64(most)+atmosphere)))
}
