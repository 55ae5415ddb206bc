package supply

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// EN 1057 makes 15 mm tube in walls of 0.7, 1 and 1.2 mm. The stock says which is
// meant, for drawn runs and sized ones; without it the thickest counts, and the
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
		{nil, 15 * mm, tenth(126)}, // 0.272 L/s at 2.5 m/s needs 11.8 mm; 12 mm tube has 10 mm, in its thickest wall
		{[]Stock{{Pipe: "copper-en1057", Sizes: []units.Length{12 * mm, 15 * mm}, Walls: []units.Length{tenth(6), tenth(7)}}}, 15 * mm, tenth(136)},
		{[]Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm, 22 * mm}, Walls: []units.Length{mm, tenth(9)}}}, 15 * mm, 13 * mm},
	} {
		d.Stock = tc.stock
		s := sized(t, c, d)
		if r := &s.Runs[0]; r.Size != tc.size || r.Bore != tc.bore {
			t.Errorf("%+v: %v with %v", tc.stock, r.Size, r.Bore)
		}
		again, err := s.Layout.Analyse(c, Options{})
		if err != nil || again.Runs[0].Bore != tc.bore || again.Runs[0].Out != s.Runs[0].Out {
			t.Errorf("%+v: drawn it has %v and %v, sized %v and %v (%v)", tc.stock, again.Runs[0].Bore, again.Runs[0].Out, s.Runs[0].Bore, s.Runs[0].Out, err)
		}
		if line := s.lines()[0]; line.Wall != (tc.size-tc.bore)/2 {
			t.Errorf("%+v: taken off as %+v", tc.stock, line)
		}
	}
	d.Stock = []Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm}, Walls: []units.Length{2 * mm}}}
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Size(c, Options{}); !errors.Is(err, ErrNotInCode) || !strings.Contains(err.Error(), "1.2 mm, 1 mm, 0.7 mm") {
		t.Errorf("no such wall: %v", err)
	}
	d.Stock[0].Walls = append(d.Stock[0].Walls, mm)
	if _, err := NewLayout(d); !errors.Is(err, ErrQuery) || !strings.Contains(err.Error(), "2 walls for 1 sizes") {
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
		if err := bad.check(); !errors.Is(err, ErrQuery) {
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
		{refuge(t), "din1988-300", hydraulics.HazenWilliams, customary}, {refuge(t), "din1988-300", hydraulics.DarcyWeisbach, customary}, {refuge(t), "en806-3", hydraulics.DarcyWeisbach, customary},
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
		for i := range s.Runs {
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
// EN 1057 has a bore of 12.6 mm in its thickest wall, an elbow counts for 30 of them and
// the branch of a tee for 60. Push fittings of PEX are none of these.
func TestMetricFittings(t *testing.T) {
	c := mustCode(t, "din1988-300")
	d := room("residential", "lavatory")
	d.Pipe.Cold = "copper-en1057"
	d.Points[0].Size = 15 * units.Millimetre
	d.Points[0].Fittings = []FittingItem{{Fitting: "elbow-90", Count: 2}, {Fitting: "tee-branch", Count: 1}}
	analysed := func() (*Analysis, error) {
		l, err := NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		return l.Analyse(c, Options{})
	}
	a, err := analysed()
	if err != nil {
		t.Fatal(err)
	}
	r := &a.Runs[0]
	if want := 1512 * units.Millimetre; r.Bore != 12600*units.Micrometre || r.Equivalent != want {
		t.Errorf("bore %v, fittings %v, want 12.6 mm and %v", r.Bore, r.Equivalent, want)
	}
	if row := r.FittingRow.String(); !strings.Contains(row, "elbow-90") {
		t.Errorf("by %s", row)
	}
	if lines := strings.Join(a.Working(0), "\n"); !strings.Contains(lines, "3 m laid + 1.512 m for fittings = 4.512 m, by "+r.FittingRow.String()) {
		t.Errorf("working:\n%s", lines)
	}
	d.Points[0].Fittings[0].Fitting = "knee"
	if _, err := analysed(); !errors.Is(err, ErrNotInCode) || !strings.Contains(err.Error(), `fitting "knee"`) || !strings.Contains(err.Error(), "elbow-90") {
		t.Errorf("a fitting that is none: %v", err)
	}
	d.Points[0].Fittings[0].Fitting = "elbow-90"
	d.Pipe.Cold, d.Points[0].Size = "pex-s5", 20*units.Millimetre
	if a, err := analysed(); err != nil || !strings.Contains(a.Runs[0].NotCounted, "state a length or a k") {
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
