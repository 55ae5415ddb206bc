package supply

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestHotLinesShortEnough: NSPC 10.15.2 wants hot water kept up to within 25 ft of each outlet where the line from the heater to its
// farthest outlet is longer than 100 ft. From a heater at the end of 50 ft of cold line 60 ft and 40 ft more are 100: the
// basin at 100 ft passes, and the near one by the same line; a hair longer, and both are judged by their own 60 and 100 ft.
func TestHotLinesShortEnough(t *testing.T) {
	const ft = units.Foot
	for far, want := range map[units.Length]string{40 * ft: "L1 pass of 100'-0\"; L2 pass of 100'-0\"; ",
		40*ft + 1: "L1 fail of 25'-0\"; L2 fail of 25'-0\"; "} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Points[0].Length, d.Points[3].Length = 49*ft, 60*ft
		d.Points = append(d.Points, Point{ID: "H2", From: "H1", Length: far, Size: units.Inch})
		second := d.Fixtures[0]
		second.ID, second.Hot = "L2", "H2"
		d.Fixtures = append(d.Fixtures, second)
		got := ""
		for _, f := range findingsOf(t, sized(t, mustCode(t, "nspc-2018"), d), "hot-length") {
			got += f.Place + " " + f.Verdict.String() + " of " + f.Limit.String() + "; "
		}
		if got != want {
			t.Errorf("%v farther: %s, want %s", far, got, want)
		}
	}
}

// TestEnergyLengthAtItsLimit: the table of lengths of the energy code, taken here as read in print, lets a public lavatory have 2 ft
// of 1/2 in pipe: 2 ft pass by it, and a hair more asks.
func TestEnergyLengthAtItsLimit(t *testing.T) {
	code, err := LoadCode(edges.FirmShelf(t, nil, "ipc-2021", "materials", "hot-water", "pipes", "devices", "iecc-2021"), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for length, want := range map[units.Length]tables.Verdict{2 * units.Foot: tables.Pass, 2*units.Foot + 1: tables.Ask} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Fixtures[0].Use = tables.Public
		d.Points[3].Length, d.Points[3].Size = length, units.Inch/2
		k := sized(t, code, d).checker(t.Context(), finding.Options{})
		waits, err := k.HotWater()
		if err != nil || len(waits) != 1 {
			t.Fatal(waits, err)
		}
		if f, judged := k.energyLength(&waits[0]); !judged || f.Verdict != want || f.Limit.String() != "2'-0\"" {
			t.Errorf("%v: %v of %v", length, f.Verdict, f.Limit)
		}
	}
}

// TestHeatersBehindOneCheck: two storage heaters behind one double check are one closed system, which is asked about once and names
// both; with a check of its own before each they are two. A tank of 5 gal on the cold line of each is that of its system.
func TestHeatersBehindOneCheck(t *testing.T) {
	const psi, ft, in, gal = units.PoundForcePerSquareInch, units.Foot, units.Inch, units.USGallon
	check := func() *Device { return &Device{Kind: "double-check", Loss: 5 * psi} }
	for _, own := range []bool{false, true} {
		d := closets(60, []Point{{ID: "C", From: "main", Length: ft, Size: 2 * in},
			{ID: "A", From: "C", Length: ft, Size: in}, {ID: "B", From: "C", Length: ft, Size: in}}, []string{"C"}, nil)
		d.Water.Hot, d.Pipe.Hot, d.Source.Static = units.Fahrenheit(120), "copper-l", 60*psi
		for _, x := range []string{"A", "B"} {
			d.Points = append(d.Points, Point{ID: "W" + x, From: x, Length: ft, Size: in,
				Device: &Device{Kind: "storage-heater", Loss: psi, Volume: 40 * gal}},
				Point{ID: "T" + x, From: x, Length: ft, Size: in, Device: &Device{Kind: "expansion-tank", Volume: 5 * gal}},
				Point{ID: "H" + x, From: "W" + x, Length: 9 * ft, Size: in})
			d.Fixtures = append(d.Fixtures, LayoutFixture{ID: "L" + x, Cold: x, Hot: "H" + x,
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}})
		}
		d.Points[0].Device = check()
		want := "WA: There are 2 tanks: TA; TB. There are 2 storage heaters: WA; WB. 80 gal"
		if own {
			d.Points[0].Device, d.Points[1].Device, d.Points[2].Device = nil, check(), check()
			want = "WA: 40 gal; WB: 40 gal"
		}
		var got []string
		for _, f := range findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "thermal-expansion") {
			_, says, _ := strings.Cut(f.Reason, "for the closed system. ")
			says, _, _ = strings.Cut(says, " heated from ")
			got = append(got, f.Place+": "+says)
		}
		if all := strings.Join(got, "; "); all != want {
			t.Errorf("a check for each %v: %s, want %s", own, all, want)
		}
	}
}

// TestOwnLimitOfShowers: a town that holds showers to 115 degF is judged by its own 115 and nobody else's 120; a code without a limit,
// the EN 806-3, by that of the IPC, which is said. Of a lavatory in a house neither says anything.
func TestOwnLimitOfShowers(t *testing.T) {
	town := amended(t, "upc-2021", "upc-2021/supply-rules", "op,rule,value,unit,status\nset,shower-valve-max,115,degF,read\n")
	for _, c := range []struct {
		code  *Code
		water float64
		kind  string
		want  string
	}{
		{town, 118, "shower", "Hot water of 118 degF comes to its valve; limit 115 degF. Hot water scalds."}, {town, 115, "shower", ""},
		{mustCode(t, "en806-3"), 130, "shower", "Hot water of 130 degF comes to its valve; limit 120 degF. Hot water scalds. " +
			"No limit of the code in hand is known; this is that of IPC 2021."},
		{mustCode(t, "en806-3"), 120, "shower", ""}, {mustCode(t, "en806-3"), 130, "lavatory", ""}, {town, 130, "lavatory", ""},
	} {
		d := basin(60 * units.PoundForcePerSquareInch)
		d.Pipe = LinePipes{Cold: "copper-l", Hot: "copper-l"}
		d.Water.Hot, d.Fixtures[0].Kind = units.Fahrenheit(c.water), c.kind
		got := ""
		for _, rule := range []string{"scald", "tempered-water"} {
			for _, f := range findingsOf(t, sized(t, c.code, d), rule) {
				got += f.Reason
			}
		}
		if got != c.want {
			t.Errorf("%s, %g degF, %s: %q, want %q", c.code.id, c.water, c.kind, got, c.want)
		}
	}
}
