package supply

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestResidualBesideRows: a town asks 10 psi at every outlet of which the IPC's Table 604.3 says nothing: of a
// clothes washer 10, and of a kitchen sink the 8 of its row as before.
func TestResidualBesideRows(t *testing.T) {
	town := amended(t, "ipc-2021", "ipc-2021/supply-rules", "op,rule,value,unit,status\nadd,residual-min,10,psi,read\n")
	for kind, want := range map[string]units.Pressure{"clothes-washer": 10, "kitchen-sink": 8} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Fixtures[0].Kind = kind
		if got := sized(t, town, d).fixtures[0].Most; math.Abs(got.In(units.PoundForcePerSquareInch)-float64(want)) > 1e-9 {
			t.Errorf("%s: %v asked, want %v psi", kind, got, float64(want))
		}
	}
}

// TestAskedForWhatIsLeft: behind an elbow of which there is no figure a fixture that asks for just what is left is
// no pass, and it is the designer who states the loss; for a thousandth of a psi more it fails, figure or not.
func TestAskedForWhatIsLeft(t *testing.T) {
	const psi, in = units.PoundForcePerSquareInch, units.Inch
	d := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot, Pipe: "pex-sdr9", Size: 2 * in,
		Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}}, []string{"A"}, nil)
	left := sized(t, mustCode(t, "ipc-2021"), d).fixtures[0].Available
	for more, want := range map[units.Pressure]tables.Verdict{0: tables.Ask, psi / 1000: tables.Fail} {
		d.Fixtures[0].Pressure = left + more
		f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "fixture-pressure")
		if len(f) != 1 || f[0].Verdict != want || want == tables.Ask && (f[0].SettledBy != tables.Designer ||
			!strings.Contains(f[0].Reason, "without the loss of what has no figure")) {
			t.Errorf("%v more than is left: %v", more, f)
		}
	}
}

// TestFrictionAllowed: by the simplified method of EN 806-3 pipe and fittings cost up to 150 kPa (German practice),
// and an outlet wants 100: with 250 at its own height there is just enough, with a kilopascal less it is asked
// about.
func TestFrictionAllowed(t *testing.T) {
	for kPa, want := range map[units.Pressure]string{250: "pass 100 kPa by 0 kPa", 260: "pass 110 kPa by 10 kPa",
		249: "ask 249 kPa by 149 kPa"} {
		d := room("", "lavatory", "shower")
		d.Pipe.Cold, d.Source.Pressure = "ppr-s2-5", kPa*units.Kilopascal
		for _, f := range findingsOf(t, sized(t, mustCode(t, "en806-3"), d), "fixture-pressure") {
			if got := f.Verdict.String() + " " + f.Value.String() + " by " + f.Margin.String(); got != want {
				t.Errorf("%v kPa: %s %s, want %s", float64(kPa), f.Place, got, want)
			}
		}
	}
}

// TestNothingAskedIsPassedOver: of the washer A, of which nothing is asked, there is nothing to say, and of the
// sink B behind it, that has nothing left 200 ft up (86.6 psi, 0.433 psi/ft), there is.
func TestNothingAskedIsPassedOver(t *testing.T) {
	d := basin(60 * units.PoundForcePerSquareInch)
	d.Fixtures[0] = LayoutFixture{ID: "A", Cold: "C1", Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1,
		Use: tables.Private}}
	d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "B", Cold: "C2", Fixture: tables.Fixture{Kind: "kitchen-sink",
		Count: 1, Use: tables.Private}})
	d.Points = d.Points[:2]
	d.Points[1].Length, d.Points[1].Rise = 200*units.Foot, 200*units.Foot
	f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "fixture-pressure")
	if len(f) != 1 || f[0].Place != "B" || f[0].Verdict != tables.Fail {
		t.Errorf("%v", f)
	}
}

// TestLevelBehindRegulator: a source that may lie a storey lower is asked about where less would come of it: not
// behind a regulator of 8 psi, which is just what a lavatory asks for, for what is before it holds that in any
// case. Without it 8 psi and a hair are too little.
func TestLevelBehindRegulator(t *testing.T) {
	const psi, in = units.PoundForcePerSquareInch, units.Inch
	zero := units.Length(0)
	for regulated, street := range map[bool]float64{true: 60, false: 8.2} {
		d := closets(street, []Point{{ID: "A", From: "main", Length: in, Size: 4 * in, Elevation: &zero}}, nil, nil)
		if regulated {
			d.Points[0].Device = &Device{Kind: "regulator", Set: 8 * psi}
		}
		d.Fixtures = []LayoutFixture{{ID: "L", Cold: "A", Fixture: tables.Fixture{Kind: "lavatory", Count: 1,
			Use: tables.Private}}}
		s := sized(t, mustCode(t, "ipc-2021"), d)
		if s.fixtures[0].Margin() < 0 {
			t.Fatalf("%v to spare", s.fixtures[0].Margin())
		}
		if places, texts := askedAt(t, s.Analyse(), "loss-not-counted"); (len(places) == 0) != regulated {
			t.Errorf("behind a regulator %v: %v", regulated, texts)
		}
	}
}

// TestRemedies: where no larger pipe is made, 12 in, none is told: 100 ft of it lose 0.7 psi by 3027 gpm, which the
// street has to bring. Of two devices that take as much the first on the way is named.
func TestRemedies(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	d := closets(15, []Point{{ID: "A", From: "main", Length: 100 * ft, Size: 12 * in,
		Continuous: 3000 * units.USGallonPerMinute}},
		[]string{"A"}, nil)
	s := sized(t, mustCode(t, "ipc-2021"), d)
	if f := findingsOf(t, s, "fixture-pressure"); len(f) != 1 || f[0].Verdict != tables.Fail ||
		s.fixtures[0].Available < 14*psi ||
		!strings.Contains(f[0].Fix, "No larger pipe on the way brings it: "+
			(unitSystem{}).pressure(15*psi-s.fixtures[0].Available).String()+" more") {
		t.Errorf("%v left: %v", s.fixtures[0].Available, f)
	}
	filter := func() *Device { return &Device{Kind: "filter", Loss: 9 * psi} }
	d = closets(20, []Point{{ID: "A", From: "main", Length: ft, Size: 2 * in, Device: filter()},
		{ID: "B", From: "A", Length: ft, Size: 2 * in, Device: filter()}}, []string{"B"}, nil)
	if f := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "fixture-pressure"); len(f) != 1 ||
		!strings.Contains(f[0].Fix, "The filter at A takes 9 psi;") {
		t.Errorf("%v", f)
	}
}

// TestNeedsInRing: see TestRingJudgedOpen: C has less with the link open than shut. What it draws without end, or a
// fixture there, that asks for as much as it has with the link shut lacks it for the ring alone; for a thousandth
// of a psi more it lacks it either way.
func TestNeedsInRing(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	fountain := LayoutFixture{ID: "G", Fixture: tables.Fixture{Kind: "drinking-fountain", Count: 1}, Cold: "C"}
	c := mustCode(t, "ipc-2021")
	a, r := ringUnder(t, c, square(fountain))
	if open, shut := r.Out[2], a.runs[2].Out; open > shut-200 {
		t.Fatalf("%v at C open, %v shut", open, shut)
	}
	for more, ring := range map[units.Pressure]bool{0: true, psi / 1000: false, -20 * psi: false} {
		d := square(fountain)
		d.Fixtures[1].Pressure = a.runs[2].Out + more
		e := square()
		e.Points[2].Continuous, e.Points[2].Needs = 0.01*units.USGallonPerMinute, psi
		b, _ := ringUnder(t, c, e)
		e.Points[2].Needs = b.runs[2].Out + more
		for place, data := range map[string]Data{"G": d, "C": e} {
			for _, f := range findingsOf(t, sized(t, c, data), "fixture-pressure") {
				if f.Place == place && ((f.Verdict == tables.Fail) != (more >= 0) || (f.Fix == largerRing) != ring ||
					!strings.Contains(f.Reason, withOpen)) {
					t.Errorf("%v more at %s: %v, %s %s", more, place, f.Verdict, f.Reason, f.Fix)
				}
			}
		}
	}
}

// TestBoosterNotCut: of a booster at the first point, of which nobody states where it stops, the pressure at rest
// is asked for; not behind a regulator, which holds it.
func TestBoosterNotCut(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	for _, regulated := range []bool{false, true} {
		d := boosted(&Device{Kind: "booster", Set: 50 * psi}, 20)
		d.Source.Static = 20 * psi
		if regulated {
			d.Points[1].Device = &Device{Kind: "regulator", Set: 40 * psi}
		}
		_, texts := askedAt(t, sized(t, mustCode(t, "ipc-2021"), d).Analyse(), "static-pressure")
		if asked := strings.Contains(strings.Join(texts, " "),
			"at which the booster at P stops is not given"); asked == regulated {
			t.Errorf("behind a regulator %v: %v", regulated, texts)
		}
	}
}

// TestFeedOfBooster: 27 gpm lose 6.41 psi in 100 ft of 1-1/4 in, 2.75 in 1-1/2 and 0.71 in 2 in (see
// TestSizeByPressure): with 1 psi in the street the line to a booster is 2 in, with 3 psi 1-1/2, for it may not
// suck; with 7 it is as the velocity asks. A drawn line of 1-1/4 leaves it unfed with 6.4 psi and not with 6.5; so
// does a need at its end, just met or a thousandth of a psi short.
func TestFeedOfBooster(t *testing.T) {
	const psi, in, ft = units.PoundForcePerSquareInch, units.Inch, units.Foot
	c := mustCode(t, "ipc-2021")
	pump := func(street float64) Data {
		d := boosted(&Device{Kind: "booster", Set: 50 * psi}, street)
		d.Points[0].Length = 100 * ft
		return d
	}
	for street, want := range map[float64]units.Length{1: 2 * in, 3: in * 3 / 2, 7: in * 5 / 4} {
		d := pump(street)
		d.Points[0].Size, d.Points[1].Size = 0, 0
		if got := sized(t, c, d).runs[0].Size; got != want {
			t.Errorf("%g psi in the street: %v, want %v", street, got, want)
		}
	}
	for street, want := range map[float64]string{6.4: "P", 6.5: "", 20: ""} {
		if got := sized(t, c, pump(street)).unfed(); got != want {
			t.Errorf("%g psi in the street: %q is unfed, want %q", street, got, want)
		}
	}
	d := boosted(nil, 60)
	d.Points[1].Continuous, d.Points[1].Needs = units.USGallonPerMinute, psi
	left := sized(t, c, d).runs[1].Out
	for more, want := range map[units.Pressure]string{0: "", psi / 1000: "B"} {
		d.Points[1].Needs = left + more
		if got := sized(t, c, d).unfed(); got != want {
			t.Errorf("%v more than is left: %q is unfed, want %q", more, got, want)
		}
	}
}

// TestUpperBehindBooster: an elbow without a figure leaves at most so much before a booster. One that runs holds
// its own behind it, and what is left there is known; one that stands still, for there is more in the street, adds
// nothing to what is known, and takes nothing.
func TestUpperBehindBooster(t *testing.T) {
	const psi, in = units.PoundForcePerSquareInch, units.Inch
	for _, c := range []struct {
		street   float64
		uncosted bool
		upper    bool
	}{{20, true, false}, {20, false, false}, {70, true, true}, {70, false, false}} {
		d := boosted(&Device{Kind: "booster", Set: 50 * psi, CutOut: 70 * psi}, c.street)
		if c.uncosted {
			d.Points[0].Pipe, d.Points[0].Size, d.Points[0].Fittings = "pex-sdr9", 2*in, []FittingItem{{Fitting: "elbow-90",
				Count: 1}}
		}
		if s := sized(t, mustCode(t, "ipc-2021"), d); s.fixtures[0].Upper != c.upper {
			t.Errorf("%+v: at most %v", c, s.fixtures[0].Upper)
		}
	}
}

// TestStreetOfTwoLines: two lines leave the source, the first with a point behind it: the street gives what both
// draw, 12 psi less at 54 gpm.
func TestStreetOfTwoLines(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	d := closets(62, []Point{{ID: "A", From: "main", Length: ft, Size: 2 * in}, {ID: "B", From: "A", Length: ft,
		Size: 2 * in},
		{ID: "C", From: "main", Length: ft, Size: 2 * in}}, []string{"B", "C"}, nil)
	d.Source.Static, d.Source.ResidualFlow = 74*psi, 54*units.USGallonPerMinute
	s := sized(t, mustCode(t, "ipc-2021"), d)
	if got := s.Street(); math.Abs(float64(got/psi)-62) > 0.001 || s.runs[0].Flow != s.runs[2].Flow {
		t.Errorf("%v in the street, %v and %v drawn", got, s.runs[0].Flow, s.runs[2].Flow)
	}
}

// TestRatingsAtTheFirstPoint: tube rated for 160 psi behind a regulator of 50, which is the first point: of a
// street of 170 it is spared; without it the tube fails, and that is no question, for at rest there is more. Of
// water too hot for it at any pressure it is told by how much.
func TestRatingsAtTheFirstPoint(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	for _, c := range []struct {
		set  units.Pressure
		hot  float64
		want string
	}{{50, 0, ""}, {0, 0, "fail C1 160 psi by -10 psi; "}, {50, 210, "fail H1 200 degF by -10 degF; "}} {
		d := basin(170 * psi)
		if c.set > 0 {
			d.Points[0].Device, d.Points[0].Pipe = &Device{Kind: "regulator", Set: c.set * psi}, "copper-l"
		}
		if c.hot > 0 {
			d.Water.Hot, d.Points[2].Pipe = units.Fahrenheit(c.hot), "copper-l"
		} else {
			d.Fixtures[0].Hot, d.Points = "", d.Points[:2]
		}
		got := ""
		s := sized(t, mustCode(t, "bs6700"), d)
		for _, f := range findingsOf(t, s, "pipe-rating") {
			got += cmpVerdict(f) + " " + f.Place + " " + s.Text(f.Limit) + " by " + s.Text(f.Margin) + "; "
		}
		if got != c.want {
			t.Errorf("%+v: %s", c, got)
		}
	}
}

// cmpVerdict is the verdict, or what it is if the row that it rests on is confirmed.
func cmpVerdict(f tables.Finding) string {
	if f.IfConfirmed != 0 {
		return f.IfConfirmed.String()
	}
	return f.Verdict.String()
}

// TestByLoadOfTheHighest: UPC Table 610.4 is entered with what is left of 60 psi behind devices on the way to the
// highest outlet, and half a psi for each foot of its height: 60 - 10 of the filter - 5 for 10 ft are 45. Of two as
// high the one with the filter counts, listed first or last; of one lower by a foot only the other, of 55 psi. The
// farthest outlet is at 60 ft.
func TestByLoadOfTheHighest(t *testing.T) {
	const psi, ft = units.PoundForcePerSquareInch, units.Foot
	for _, c := range []struct {
		rise units.Length // of the one behind the filter
		want float64
	}{{10 * ft, 45}, {9 * ft, 55}, {11 * ft, 44.5}} {
		for turn := range 2 {
			d := closets(60, []Point{{ID: "S", From: "main", Length: 20 * ft}, {ID: "A", From: "S", Length: 40 * ft,
				Rise:   c.rise,
				Device: &Device{Kind: "filter", Loss: 10 * psi}}, {ID: "B", From: "S", Length: 30 * ft, Rise: 10 * ft}},
				[]string{"A", "B"}, nil)
			for i := range d.Fixtures {
				d.Fixtures[i].Control = tables.Tank
			}
			if turn == 1 {
				slices.Reverse(d.Points)
			}
			got, err := sized(t, mustCode(t, "upc-2021"), d).ByLoad()
			if err != nil || math.Abs(float64(got.Pressure/psi)-c.want) > 1e-9 || got.Length != 60*ft {
				t.Errorf("%v up, turned %v: %v, %v, %v", c.rise, turn == 1, got.Pressure, got.Length, err)
			}
		}
	}
}

// TestRatedAtTheLowerEnd: tube rated for 160 psi is held against what stands at the lower end of its run: 170 psi
// in the street where it rises from there, 150 and 13 more (0.433 psi/ft) where it falls by 30 ft; 150 of a run
// that rises are borne.
func TestRatedAtTheLowerEnd(t *testing.T) {
	const psi, ft = units.PoundForcePerSquareInch, units.Foot
	for _, c := range []struct {
		street units.Pressure
		rise   units.Length
		want   string
	}{{170, 100 * ft, "fail 170 psi"}, {150, 100 * ft, ""}, {150, -30 * ft, "fail 163 psi"}, {150, -20 * ft, ""}} {
		d := basin(c.street * psi)
		d.Source.Static = c.street * psi
		d.Fixtures[0].Cold, d.Fixtures[0].Hot, d.Points = "C1", "", d.Points[:1]
		d.Points[0].Length, d.Points[0].Rise = 100*ft, c.rise
		got := ""
		s := sized(t, mustCode(t, "bs6700"), d)
		for _, f := range findingsOf(t, s, "pipe-rating") {
			got += cmpVerdict(f) + " " + f.Value.String()
		}
		if got != c.want {
			t.Errorf("%+v: %s", c, got)
		}
	}
}

// TestGaugesOfTest: 100 psi of water at the source are 4.33 more 10 ft below it and 8.66 less 20 ft above; of air
// they are 100 everywhere. The pipe, 150 ft of 1.025 in, holds 231 cubic inches to the gallon, 6.43 gal.
func TestGaugesOfTest(t *testing.T) {
	const psi, ft, in = units.PoundForcePerSquareInch, units.Foot, units.Inch
	for medium, want := range map[string][2]float64{"water": {104.33, 91.34}, "air": {100, 100}} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: 50 * ft, Rise: -10 * ft, Size: in}, {ID: "B", From: "A",
			Length: 50 * ft, Rise: 30 * ft, Size: in},
			{ID: "C", From: "B", Length: 50 * ft, Rise: -5 * ft, Size: in}}, []string{"C"}, nil)
		d.Test = &PressureTest{100 * psi, medium}
		plans, err := sized(t, mustCode(t, "ipc-2021"), d).TestPlans(TestOptions{})
		if err != nil || len(plans) != 1 {
			t.Fatal(plans, err)
		}
		p := plans[0]
		if p.Lowest != "A" || p.Highest != "B" || math.Abs(float64(p.AtLowest/psi)-want[0]) > 0.01 ||
			math.Abs(float64(p.AtHighest/psi)-want[1]) > 0.01 {
			t.Errorf("%s: %+v", medium, p)
		}
		if got := float64(p.Volume / units.USGallon); math.Abs(got-1800*math.Pi/4*1.025*1.025/231) > 1e-6 {
			t.Errorf("%g gal", got)
		}
	}
}

// TestOwnRowOfFlushValve: NSPC Table 10.14.2 asks 20 psi of a siphonic flush valve, where the IPC asks 35: with 22
// psi it has what its own code asks, and nobody is asked about another's; with 19.9 it fails.
func TestOwnRowOfFlushValve(t *testing.T) {
	const psi = units.PoundForcePerSquareInch
	for set, want := range map[units.Pressure]string{22: "pass", 19.9: "fail"} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: units.Foot, Size: 2 * units.Inch,
			Device: &Device{Kind: "regulator", Set: set * psi}}}, []string{"A"}, nil)
		d.Fixtures[0].Pressure, d.Fixtures[0].Style = 0, "siphonic"
		got := ""
		for _, f := range findingsOf(t, sized(t, mustCode(t, "nspc-2018"), d), "fixture-pressure") {
			got += cmpVerdict(f)
		}
		if got != want {
			t.Errorf("%v psi: %s, want %s", float64(set), got, want)
		}
	}
}
