package supply_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What would overflow, or come out negative, is refused and never handed on.
func TestNoInfiniteAnswers(t *testing.T) {
	thin := hydraulics.Water{Density: 5e-324, SpecificHeat: 5e-324}
	flow, err := heat.RecirculationFlow(1e12*units.Watt, 5e-324, thin)
	refused(t, "recirculation", float64(flow), err)
	f, _, err := hydraulics.FrictionFactor(5e-324, 0)
	refused(t, "friction factor", f, err)
	pipe := heat.Pipe{Bore: units.Inch, Wall: units.Millimetre, Conductivity: 5e-324, Length: units.Metre}
	r, err := pipe.Resistance()
	refused(t, "thermal resistance", r, err)
	surge := hydraulics.SurgePipe{Bore: units.Inch, Wall: units.Millimetre, Modulus: 1e13, BulkModulus: 1e13, Density: 5e-324}
	a, err := surge.WaveSpeed()
	refused(t, "wave speed", float64(a), err)
	groups := []simultaneous.Group{{Count: 10, Probability: 0.1, Flow: gpm}}
	for _, quantile := range []func([]simultaneous.Group, float64) (units.Flow, error){simultaneous.NormalFlow, simultaneous.NormalFlowInUse} {
		q, err := quantile(groups, 0.01)
		refused(t, "normal flow", float64(q), err)
	}
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	meter := &supply.Device{Kind: "meter", Size: units.Inch}
	for _, q := range []units.Flow{-1, units.Flow(math.NaN()), units.Flow(math.Inf(1))} {
		cost, err := code.DeviceLoss(meter, q)
		refused(t, "device", float64(cost.Loss), err)
	}
	if _, err := code.DeviceLoss(nil, gpm); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("no device: %v", err)
	}
}

func refused(t *testing.T, what string, got float64, err error) {
	t.Helper()
	if !errors.Is(err, units.ErrRange) {
		t.Errorf("%s: %v, %v, want a refusal", what, got, err)
	}
}

const gpm = units.USGallonPerMinute

// TestLoadCodeOfDrains: a code of the other half is told by what loads it.
func TestLoadCodeOfDrains(t *testing.T) {
	for id, want := range map[string]string{"asnzs3500-2": "it is a code of drains, which package dwv loads",
		"en12056-2": "it is a code of drains, which package en12056 loads", "ipc-2012": `did you mean "ipc-2021"?`} {
		_, err := supply.LoadCode(tables.Embedded(), id)
		if !errors.Is(err, tables.ErrNotFound) || !errors.Is(err, tables.ErrNotInCode) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// TestNothingStated: a layout that states nothing is told what is missing, and not that a zero
// of it is too small or too cold; so is a query for no fixture.
func TestNothingStated(t *testing.T) {
	_, err := supply.New(supply.Data{})
	if err == nil || !strings.Contains(err.Error(), "source: pressure: not possible: missing") ||
		!strings.Contains(err.Error(), "water: cold: not possible: missing") || strings.Contains(err.Error(), "459.67") {
		t.Error(err)
	}
	code, err := supply.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := code.MinSize(tables.Fixture{}); !errors.Is(err, tables.ErrNotStated) {
		t.Error(err)
	}
}

// TestText: a quantity is told in the system of the layout, a load in the unit of its code.
func TestText(t *testing.T) {
	for _, tt := range []struct {
		code, pressure, load, flow, length string
	}{
		{"ipc-2021", "60 psi", "3 wsfu", "7.93 gpm", `97'-6 9/16"`},
		{"en806-3", "400 kPa", "3 lu", "0.5 L/s", "29.732 m"},
	} {
		layout, err := supply.New(supply.Data{
			Source: supply.Source{ID: "main", Pressure: units.MustParse[units.Pressure](tt.pressure)},
			Water:  supply.Waters{Cold: units.Celsius(10)}, Pipe: supply.LinePipes{Cold: "copper-l"},
			Points: []supply.Point{{ID: "tap", From: "main", Length: 10 * units.Metre}},
			Fixtures: []supply.LayoutFixture{{ID: "basin", Cold: "tap",
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}}},
		})
		if err != nil {
			t.Fatal(err)
		}
		code, err := supply.LoadCode(tables.Embedded(), tt.code)
		if err != nil {
			t.Fatal(err)
		}
		s, err := layout.Size(code, supply.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct{ got, want string }{
			{s.Text(3 * supply.FixtureUnit), tt.load}, {s.Text(0.5 * units.LitrePerSecond), tt.flow},
			{s.Text(units.Inches(1170.534)), tt.length}, {s.Text(nil), ""}, {s.Text(units.Duration(1) / 3), "0.3 s"},
		} {
			if c.got != c.want {
				t.Errorf("%s: %s, want %s", tt.code, c.got, c.want)
			}
		}
	}
}

// TestVastFaults: each of 20 000 points without a length, and each of 20 000 pipes of a stock without sizes, is one
// fault, told or counted in no time, which took minutes when each was looked for from the top of the text. The stock
// lists a pipe of each name once.
func TestVastFaults(t *testing.T) {
	const n = 20_000
	const rest = `"source": {"id": "S", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"}`
	list := func(format string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strings.ReplaceAll(format, "%d", strconv.Itoa(i)) + ",")
		}
		return strings.TrimSuffix(b.String(), ",")
	}
	for name, text := range map[string]string{
		"no length": `{` + rest + `, "points": [` + list(`{"id": "P%d", "from": "S"}`) + `]}`,
		"no sizes": `{"stock": [` + list(`{"pipe": "p%d", "sizes": []}`) + `], ` + rest +
			`, "points": [{"id": "P", "from": "S", "length": "4 ft"}]}`,
	} {
		_, err := supply.Parse("vast", []byte(text))
		if faults, ok := errors.AsType[*units.Faults](err); !ok || len(faults.Faults)+faults.More != n {
			t.Errorf("%s: %.300v", name, err)
		}
	}
}
