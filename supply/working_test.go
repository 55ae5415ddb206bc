package supply

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// 25 gpm in 9 ft of 1-1/4 in of copper, with an elbow of 3 ft and a tee to its branch of
// 5 ft 6 in: 17.5 ft at 6.41 psi in 100 ft of 27 gpm, times 25/27 to the 1.852, are 0.97 psi.
func TestWorkingLengths(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines := func(id string) []string {
		i, _ := s.layout.Find(id)
		return s.Working(i)
	}
	with := func(id, start, end string) {
		t.Helper()
		if !slices.ContainsFunc(lines(id), func(l string) bool {
			return strings.HasPrefix(l, start) &&
				strings.Contains(l, end)
		}) {
			t.Errorf("%s: no %s ... %s in\n%s", id, start, end, strings.Join(lines(id), "\n"))
		}
	}
	with("C4", `length: 9'-0" laid + 8'-6" for fittings = 17'-6"`, "")
	with("C4", "friction: ", "17.5 ft: 0.97 psi")
	with("C4", "pressure: 43.00 - 0.97 - 1.30 - 0.00 - 0.00 = ", "")
	// C2 is fed from C1, the first point, with what is left of the source's 62 psi there.
	c1, _ := s.layout.Find("C1")
	with("C2", "pressure: "+customaryFigures.pressure.number(s.runs[c1].Out)+" - ", "")
	// Nothing flows in the return but what is kept up, which is no demand.
	for _, l := range lines("R1") {
		if strings.HasPrefix(l, "velocity") || strings.HasPrefix(l, "friction") {
			t.Errorf("R1: %s", l)
		}
	}
}

// A flow without end stands beside the demand, and a run of no length has no friction.
func TestWorkingContinuous(t *testing.T) {
	d := closets(80, []Point{{ID: "A", From: "main", Length: 0, Continuous: 3 * units.USGallonPerMinute}}, []string{"A"},
		nil)
	s := sized(t, mustCode(t, "ipc-2021"), d)
	text := strings.Join(s.Working(0), "\n")
	if !strings.Contains(text, "demand: 27.00 gpm, valve column") ||
		!strings.Contains(text, "continuous flow: 3.00 gpm, added: 30.00 gpm") || strings.Contains(text, "friction: ") {
		t.Error(text)
	}
}

// Why the greatest outlet counts depends on how the code comes to its flows.
func TestWorkingLargest(t *testing.T) {
	tap := room("residential", "hose-bibb")
	tap.Fixtures[0].Size = 15 * units.Millimetre
	basin := room("", "lavatory")
	basin.Pipe.Cold = "ppr-s2-5"
	tank := closets(80, []Point{{ID: "A", From: "main", Length: units.Foot}}, nil, nil)
	tank.Fixtures = []LayoutFixture{{ID: "X", Cold: "A", Flow: 12 * units.USGallonPerMinute,
		Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank}}}
	for _, tc := range []struct {
		code string
		d    Data
		want string
	}{{"din1988-300", tap, "which draws more than the formula gives"}, {"en806-3", basin, "the only one"},
		{"ipc-2021", tank, "which draws more than the table gives"}} {
		if text := strings.Join(sized(t, mustCode(t, tc.code), tc.d).Working(0), "\n"); !strings.Contains(text,
			"the greatest single outlet, "+tc.want) {
			t.Errorf("%s:\n%s", tc.code, text)
		}
	}
}

// Quantities as findings put them, from the definitions of the units: the foot is 0.3048 m,
// the gallon 3.785412 L, the pound-force a square inch 6.894757 kPa, the Btu/h 0.293071 W.
func TestTradeUnits(t *testing.T) {
	for _, tc := range []struct {
		got          func(unitSystem) fmt.Stringer
		metric, trad string
	}{
		{func(t unitSystem) fmt.Stringer { return t.pressure(100 * units.PoundForcePerSquareInch) }, "689.5 kPa", "100 psi"},
		{func(t unitSystem) fmt.Stringer { return t.velocity(10 * units.FootPerSecond) }, "3.05 m/s", "10 ft/s"},
		{func(t unitSystem) fmt.Stringer { return t.flow(10 * units.USGallonPerMinute) }, "0.631 L/s", "10 gpm"},
		{func(t unitSystem) fmt.Stringer { return t.volume(10 * units.USGallon) }, "37.85 L", "10 gal"},
		{func(t unitSystem) fmt.Stringer { return t.power(1000 * units.BtuPerHour) }, "293 W", "1000 Btu/h"},
		{func(t unitSystem) fmt.Stringer { return t.head(units.Head(3.048)) }, "3.05 m", "10 ft"},
		{func(t unitSystem) fmt.Stringer { return t.temperature(units.Fahrenheit(212)) }, "100 degC", "212 degF"},
		{func(t unitSystem) fmt.Stringer { return t.difference(10) }, "10 K", "18 degF"},
		{func(t unitSystem) fmt.Stringer { return t.length(10 * units.Foot) }, "3.048 m", `10'-0"`},
	} {
		if m, c := tc.got(unitSystem{metric: true}).String(), tc.got(unitSystem{}).String(); m != tc.metric || c != tc.trad {
			t.Errorf("%s and %s, want %s and %s", m, c, tc.metric, tc.trad)
		}
	}
}

// EN 1057 makes 15 mm tube in walls of 0.7, 1 and 1.2 mm, the last for gas. The stock says
// which is meant, for drawn runs and sized ones; without it the thickest that counters sell
// for water counts, as in the tables of EN 806-3, and the
// layout with its sizes drawn in works out as it was sized.
func TestWalls(t *testing.T) {
	c := mustCode(t, "din1988-300")
	d := room("residential", "bathtub", "lavatory", "water-closet")
	d.Pipe.Cold = "copper-en1057"
	const mm = units.Millimetre
	tenth := func(n int) units.Length { return units.Length(n) * mm / 10 }
	for _, tc := range []struct {
		stock []Stock
		size  units.Length
		bore  units.Length
	}{
		{nil, 15 * mm, tenth(130)}, // 0.272 L/s at 2.5 m/s needs 11.8 mm; 12 mm tube has 10 mm, in its thickest wall
		{[]Stock{{Pipe: "copper-en1057", Sizes: []units.Length{12 * mm, 15 * mm},
			Walls: []units.Length{tenth(6), tenth(7)}}}, 15 * mm, tenth(136)},
		{[]Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm, 22 * mm}, Walls: []units.Length{mm, tenth(9)}}},
			15 * mm, 13 * mm},
		{[]Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm}, Walls: []units.Length{tenth(12)}}}, 15 * mm,
			tenth(126)},
	} {
		d.Stock = tc.stock
		s := sized(t, c, d)
		if r := &s.runs[0]; r.Size != tc.size || r.Bore != tc.bore {
			t.Errorf("%+v: %v with %v", tc.stock, r.Size, r.Bore)
		}
		again, err := s.layout.Analyse(c, Options{})
		if err != nil || again.runs[0].Bore != tc.bore || again.runs[0].Out != s.runs[0].Out {
			t.Errorf("%+v: drawn it has %v and %v, sized %v and %v (%v)", tc.stock, again.runs[0].Bore, again.runs[0].Out,
				s.runs[0].Bore, s.runs[0].Out, err)
		}
		if line := s.lines()[0]; line.Wall != (tc.size-tc.bore)/2 {
			t.Errorf("%+v: taken off as %+v", tc.stock, line)
		}
	}
	d.Stock = []Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm}, Walls: []units.Length{2 * mm}}}
	l, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Size(c, Options{}); !errors.Is(err, tables.ErrNotInCode) ||
		!strings.Contains(err.Error(), "1.2 mm, 1 mm, 0.7 mm") {
		t.Errorf("no such wall: %v", err)
	}
	d.Stock[0].Walls = append(d.Stock[0].Walls, mm)
	if _, err := New(d); !errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), "2 walls for 1 sizes") {
		t.Errorf("walls without sizes: %v", err)
	}
	// A family that comes in one wall says none.
	if line := sized(t, c, room("residential", "bathtub")).lines()[0]; line.Wall != 0 {
		t.Errorf("%+v", line)
	}
}

// What a metre costs is what 3.28084 ft cost.
func TestPriceOfMetres(t *testing.T) {
	p := Price{PerMetre: decimal.RequireFromString("3.05")}
	if got := p.of(12500 * units.Millimetre); !got.Equal(decimal.RequireFromString("38.125")) {
		t.Errorf("12.5 m cost %s", got)
	}
	p = Price{PerFoot: decimal.RequireFromString("3.05")}
	if got := p.of(3048 * units.Millimetre); !got.Equal(decimal.RequireFromString("30.5")) {
		t.Errorf("10 ft cost %s", got)
	}
	both := Price{PerFoot: decimal.NewFromInt(1), PerMetre: decimal.NewFromInt(3)}
	for _, bad := range []Price{both, {PerMetre: decimal.NewFromInt(-1)}, {PerMetre: decimal.NewFromInt(1_000_001)}} {
		if err := bad.check(); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// A layout whose pressure is written in a metric unit is answered in metric units,
// throughout; and one in psi in those of the American trade.
func TestFindingsInOneSystem(t *testing.T) {
	customary := []string{" psi", " gpm", " ft/s", " gal", "degF", "'-", "\"", " ft"}
	metric := []string{" kPa", " L/s", " m/s", " L ", "degC", " mm", " m "}
	for _, tc := range []struct {
		layout *Layout
		code   string
		method hydraulics.LossMethod
		not    []string
	}{
		{refuge(t), "din1988-300", hydraulics.HazenWilliams, customary},
		{refuge(t), "din1988-300", hydraulics.DarcyWeisbach, customary},
		{refuge(t), "en806-3", hydraulics.DarcyWeisbach, customary},
		{lodge(t), "ipc-2021", hydraulics.HazenWilliams, metric}, {lodge(t), "ipc-2021", hydraulics.DarcyWeisbach, metric},
	} {
		s, err := tc.layout.Size(mustCode(t, tc.code), Options{Method: tc.method})
		if err != nil {
			t.Fatal(err)
		}
		findings, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var lines []string
		for _, f := range findings {
			text := f.Reason + " " + f.Fix + " "
			for _, v := range []any{f.Value, f.Limit, f.Margin} {
				if v, ok := v.(interface{ String() string }); ok {
					text += v.String() + " "
				}
			}
			lines = append(lines, f.Rule+" "+f.Place+": "+text)
		}
		for i := range s.runs {
			lines = append(lines, s.Reason(i))
			for _, line := range s.Working(i) {
				// The rows of tables keep the units they are printed in.
				line, _, _ = strings.Cut(line, ", by ")
				lines = append(lines, line)
			}
		}
		for _, line := range lines {
			if i := slices.IndexFunc(tc.not, func(unit string) bool { return strings.Contains(line, unit) }); i >= 0 {
				t.Errorf("%s, %s: %q in: %s", tc.layout.Name(), tc.code, tc.not[i], line)
			}
		}
	}
}

// In tube of metric sizes a fitting loses what so many bores of tube do: 15 mm tube to
// EN 1057 has a bore of 13 mm in the wall that counters sell, an elbow counts for 30 of them and
// the branch of a tee for 60. Push fittings of PEX are none of these.
func TestMetricFittings(t *testing.T) {
	c := mustCode(t, "din1988-300")
	d := room("residential", "lavatory")
	d.Pipe.Cold = "copper-en1057"
	d.Points[0].Size = 15 * units.Millimetre
	d.Points[0].Fittings = []FittingItem{{Fitting: "elbow-90", Count: 2}, {Fitting: "tee-branch", Count: 1}}
	analysed := func() (*Analysis, error) {
		l, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		return l.Analyse(c, Options{})
	}
	a, err := analysed()
	if err != nil {
		t.Fatal(err)
	}
	r := &a.runs[0]
	if want := 1560 * units.Millimetre; r.Bore != 13*units.Millimetre || r.Equivalent != want {
		t.Errorf("bore %v, fittings %v, want 13 mm and %v", r.Bore, r.Equivalent, want)
	}
	if row := r.FittingRow.String(); !strings.Contains(row, "elbow-90") {
		t.Errorf("by %s", row)
	}
	if lines := strings.Join(a.Working(0), "\n"); !strings.Contains(lines, "3 m laid + 1.56 m for fittings = 4.56 m, by "+
		r.FittingRow.String()) {
		t.Errorf("working:\n%s", lines)
	}
	d.Points[0].Fittings[0].Fitting = "knee"
	if _, err := analysed(); !errors.Is(err, tables.ErrNotInCode) || !strings.Contains(err.Error(), `fitting "knee"`) ||
		!strings.Contains(err.Error(), "elbow-90") {
		t.Errorf("a fitting that is none: %v", err)
	}
	d.Points[0].Fittings[0].Fitting = "elbow-90"
	d.Pipe.Cold, d.Points[0].Size = "pex-s5", 20*units.Millimetre
	if a, err := analysed(); err != nil || !strings.Contains(a.runs[0].NotCounted, "state a length or a k") {
		t.Errorf("a fitting of PEX: %v", err)
	}
}

// Lengths by bore are meant for threaded steel. For tube in inch sizes a code prints
// lengths of soldered copper fittings: by bore most come out longer, at most two and a
// half times; the elbow of 2 in, 66 in in print and 59.6 in by bore, is the worst of those
// that come out shorter.
func TestLengthsByBoreAgainstPrinted(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	f, err := c.Pipe("copper-l")
	if err != nil {
		t.Fatal(err)
	}
	byBore, err := loadFittingLengths(tables.Embedded(), "fittings/diameters")
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, s := range f.Sizes() {
		if s.Size < units.Inch/2 || s.Size > 2*units.Inch {
			continue
		}
		for _, fitting := range []string{"elbow-90", "elbow-45", "tee-branch"} {
			printed, _, err1 := f.lengths.of(fitting, s.Size, s.Bore)
			reckoned, _, err2 := byBore.of(fitting, s.Size, s.Bore)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			if tried++; reckoned < printed*9/10 || reckoned > printed*5/2 {
				t.Errorf("%s in %v: %v by bore, %v printed", fitting, s.Size, reckoned, printed)
			}
		}
	}
	if tried < 18 {
		t.Errorf("%d fittings tried", tried)
	}
}

// A quantity that was rounded is what its text reads as, so that what findings hold and what
// they say is one figure.
func TestRoundedIsWhatItReads(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 7))
	check := func(q fmt.Stringer, read func(string) (fmt.Stringer, error)) {
		t.Helper()
		if got, err := read(q.String()); err != nil || got != q {
			t.Errorf("%v: reads as %#v, %v; is %#v", q, got, err, q)
		}
	}
	customary := unitSystem{}
	for range 2000 {
		x := (r.Float64() - 0.3) * 1000
		check(customary.pressure(units.Pressure(x*1000)), reads[units.Pressure])
		check(customary.velocity(units.Velocity(x)), reads[units.Velocity])
		check(customary.flow(units.Flow(x/1e5)), reads[units.Flow])
		check(customary.volume(units.Volume(x/1e4)), reads[units.Volume])
		check(customary.power(units.Power(x)), reads[units.Power])
		check(customary.head(units.Head(x)), reads[units.Head])
		check(customary.difference(units.TemperatureDifference(x)), reads[units.TemperatureDifference])
		check(customary.temperature(units.Celsius(math.Abs(x)/7)), reads[units.Temperature]) // of water
		if pressure := (unitSystem{metric: true}).pressure(units.Pressure(x * 1000)); !strings.HasSuffix(pressure.String(), " kPa") {
			t.Errorf("%v in metric", pressure)
		}
	}
}

// reads is [units.Parse] that gives what prints itself.
func reads[T interface {
	units.Typed
	fmt.Stringer
}](s string) (fmt.Stringer, error) {
	return units.Parse[T](s)
}
