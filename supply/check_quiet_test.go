package supply

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What a layout leaves unsaid is said: a regulator without fall-off and runs without
// fittings, as questions where the usual figure would leave a fixture short; a static
// pressure that is not given; a check valve among the fittings before a heater; a
// closet on the hot line, a shower without it; scalding under a code without a limit.
func TestQuietAssumptions(t *testing.T) {
	ft, psi := units.Foot, units.PoundForcePerSquareInch
	house := func(edit func(d *LayoutData)) LayoutData {
		d := closets(60, []Point{{ID: "A", From: "main", Length: 10 * ft, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}},
			{ID: "WH", From: "A", Length: ft, Device: &Device{Kind: "storage-heater", Loss: psi}, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}},
			{ID: "H", From: "WH", Length: 10 * ft, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 1}}}}, nil, nil)
		d.Source.Static = 70 * psi
		d.Water.Hot, d.Pipe.Hot = units.Fahrenheit(120), d.Pipe.Cold
		d.Fixtures = []LayoutFixture{{ID: "SH", Cold: "A", Hot: "H", Fixture: Fixture{Kind: "shower", Count: 1, Use: Private, Style: "mixing valve"}},
			{ID: "WC", Cold: "A", Fixture: Fixture{Kind: "water-closet", Count: 1, Use: Private, Control: Tank, Style: "close coupled", Flush: 1.28 * units.USGallon}}}
		if edit != nil {
			edit(&d)
		}
		return d
	}
	regulator := func(set, fall units.Pressure) func(d *LayoutData) {
		return func(d *LayoutData) {
			d.Points[0].Device = &Device{Kind: "regulator", Set: set * psi, FallOff: fall * psi}
		}
	}
	for _, tc := range []struct {
		what, code, rule string
		edit             func(d *LayoutData)
		place            string // empty: no such finding
		verdict          tables.Verdict
		says             string
	}{
		{"no regulator", "ipc-2021", "regulator-fall-off", nil, "", 0, ""},
		{"fall-off stated", "ipc-2021", "regulator-fall-off", regulator(50, 5), "", 0, ""},
		// 20 psi are asked; 20 less of 50 leave 30 less a little, of 40 less than 20.
		{"plenty behind it", "ipc-2021", "regulator-fall-off", regulator(50, 0), "A", tables.Pass, "taken to hold 50 psi"},
		{"too little behind it", "ipc-2021", "regulator-fall-off", regulator(40, 0), "A", tables.Ask, "too little at SH"},
		{"static given", "ipc-2021", "static-pressure", nil, "SH", tables.Pass, ""},
		{"no static given", "ipc-2021", "static-pressure", func(d *LayoutData) { d.Source.Static = 0 }, "SH", tables.Ask, "while nothing flows is not given"},
		{"none, behind a regulator", "ipc-2021", "static-pressure", func(d *LayoutData) { d.Source.Static = 0; regulator(50, 5)(d) }, "SH", tables.Pass, ""},
		{"an open street", "ipc-2021", "thermal-expansion", nil, "", 0, ""},
		{"a check valve drawn as a fitting", "ipc-2021", "thermal-expansion", func(d *LayoutData) {
			d.Points[1].Fittings = []FittingItem{{Fitting: "check-valve", Count: 1}}
		}, "WH", tables.Ask, "The check valve at WH shuts"},
		{"ports as they should be", "ipc-2021", "fixture-ports", nil, "", 0, ""},
		{"a shower without hot water", "ipc-2021", "fixture-ports", func(d *LayoutData) { d.Fixtures[0].Hot = "" }, "SH", tables.Ask, "cold water only"},
		{"a closet on the hot line", "ipc-2021", "fixture-ports", func(d *LayoutData) { d.Fixtures[1].Cold, d.Fixtures[1].Hot = "", "H" }, "WC", tables.Ask, "hot port at H"},
		{"120 degF", "upc-2021", "scald", nil, "", 0, ""},
		{"140 degF under the UPC", "upc-2021", "scald", func(d *LayoutData) { d.Water.Hot = units.Fahrenheit(140) }, "SH", tables.Ask, "another code's"},
		{"fittings on every run", "ipc-2021", "fittings-not-given", nil, "", 0, ""},
		{"none on one", "ipc-2021", "fittings-not-given", func(d *LayoutData) { d.Points[2].Fittings = nil }, "main", tables.Pass, "that name none: 1 run."},
		// 100 ft of 1/2 in take about 4 psi of 2.5 gpm, and half of that is more than is left.
		{"and little to spare", "ipc-2021", "fittings-not-given", func(d *LayoutData) {
			d.Points[2].Fittings, d.Points[2].Length, d.Points[2].Size, d.Source.Pressure = nil, 100*ft, units.Inch/2, 26*psi
		}, "main", tables.Ask, "too little at SH"},
	} {
		got := findingsOf(t, sized(t, mustCode(t, tc.code), house(tc.edit)), tc.rule)
		switch {
		case tc.place == "" && len(got) == 0:
		case len(got) != 1 || got[0].Place != tc.place || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says):
			t.Errorf("%s: %v", tc.what, got)
		}
	}
}
