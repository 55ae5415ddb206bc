package supply

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// amendedCode is a code with rows of one of its tables changed by a town.
func amendedCode(t *testing.T, code, table, columns string, rows ...string) *Code {
	t.Helper()
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv":  {Data: []byte("id,title,publisher,edition,year,url,note\nmudflat-7,Mudflat town ordinance 7,,,2026,,\n")},
		table + ".csv": {Data: []byte("# id: " + table + "\n# source: mudflat-7\nop," + columns + "\n" + strings.Join(rows, "\n") + "\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	c, err := LoadCode(shelf, code)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The row that reaches least far above the water decides, a row without a temperature
// where none reaches: BS 6700 Table 5 for copper, 3 m/s to 50 degC, 2.5 to 70, 2 to 90,
// and practice, 5 ft/s to 140 degF and 3 above.
func TestVelocityByTemperature(t *testing.T) {
	bs := mustCode(t, "bs6700")
	warm := amendedCode(t, "bs6700", "bs6700/supply-velocity", "material,service,max_temperature[degC],limit[m/s],src,status", "drop,copper,cold,10,,,")
	for _, c := range []struct {
		code    *Code
		celsius float64
		want    float64 // m/s, 0: none
	}{
		{bs, 10, 3}, {bs, 50, 3}, {bs, 50.001, 2.5}, {bs, 70, 2.5}, {bs, 70.001, 2}, {bs, 90, 2}, {bs, 90.001, 0},
		{warm, 40, 3}, {warm, 60, 2.5}, {warm, 80, 2},
	} {
		got, err := c.code.VelocityLimit("copper", Hot, units.Celsius(c.celsius))
		if c.want == 0 {
			if !errors.Is(err, ErrNotInCode) {
				t.Errorf("at %v degC: %v, %v", c.celsius, got, err)
			}
			continue
		}
		if err != nil || float64(got.Velocity) != c.want {
			t.Errorf("at %v degC: %v, %v, want %v m/s", c.celsius, got.Velocity, err, c.want)
		}
	}
	ipc := mustCode(t, "ipc-2021")
	for fahrenheit, want := range map[float64]units.Velocity{40: 5, 140: 5, 140.01: 3, 200: 3} {
		got, err := ipc.VelocityLimit("copper", Hot, units.Fahrenheit(fahrenheit))
		if err != nil || roundTo(float64(got.Velocity/units.FootPerSecond)) != float64(want) {
			t.Errorf("at %v degF: %v, %v, want %v ft/s", fahrenheit, got.Velocity, err, float64(want))
		}
	}
}

// A load between rows of which the shelf holds no figure: the error names the nearest
// figures there are, or the ends of the table.
func TestDemandGapNamesFigures(t *testing.T) {
	c := amendedCode(t, "nspc-2018", "nspc-2018/supply-demand", "system,load[wsfu],demand[gpm],src,status",
		"set,tank,3,,,read", "set,tank,4,,,read", "set,tank,120,,,read", "set,tank,750,,,read", "set,tank,1000,,,read")
	for _, tc := range []struct{ load, want string }{
		{"3", "between 3 wsfu and 5 wsfu"}, {"3.5", "between 3 wsfu and 5 wsfu"}, {"4.5", "between 3 wsfu and 5 wsfu"},
		{"14.5", "between 14 wsfu and 140 wsfu"}, {"50", "between 14 wsfu and 140 wsfu"}, {"130", "between 14 wsfu and 140 wsfu"},
		{"501", "between 500 wsfu and 1000 wsfu"}, {"900", "between 500 wsfu and 1000 wsfu"}, {"1000", "between 500 wsfu and 1000 wsfu"},
	} {
		if _, err := c.Demand(fu(tc.load), TankSystem); !errors.Is(err, ErrOutsideTable) || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v, want %s", tc.load, err, tc.want)
		}
	}
	if d, err := c.Demand(fu("5"), TankSystem); err != nil || roundTo(float64(d.Flow/units.USGallonPerMinute)) != 4.5 {
		t.Errorf("5 units: %v, %v", d.Flow, err)
	}
}

// What a fixture draws at least, of IPC Table 604.3: of a closet of no stated style 3 of
// 3 and 6 gpm, of a lavatory of no stated use 0.4 of 0.8 and 0.4. A row without a flow
// says nothing of it.
func TestLeastOutletFlow(t *testing.T) {
	const columns = "fixture,use,control,style,flow[gpm],pressure[psi],src,status"
	ipc := mustCode(t, "ipc-2021")
	upc := mustCode(t, "upc-2021")
	blank := func(row string) *Code {
		return amendedCode(t, "ipc-2021", "ipc-2021/supply-outlet-flow", columns, row)
	}
	// Only a pressure is asked: the flow is that of the table that stands in.
	pressure := amendedCode(t, "upc-2021", "upc-2021/supply-outlet-flow", columns, "add,lavatory,,,,,20,,read")
	standIn, err := upc.outletFlow(&Fixture{Kind: "lavatory", Count: 1})
	if err != nil || standIn.Flow <= 0 {
		t.Fatal(standIn, err)
	}
	for _, c := range []struct {
		name  string
		code  *Code
		f     Fixture
		gpm   float64
		style string
	}{
		{"closet", ipc, Fixture{Kind: "water-closet", Control: Tank}, 3, "close coupled"},
		{"lavatory", ipc, Fixture{Kind: "lavatory"}, 0.4, ""},
		{"shower, alike", ipc, Fixture{Kind: "shower"}, 2.5, "mixing valve"},
		{"the first without a flow", blank("set,lavatory,private,,,,8,,read"), Fixture{Kind: "lavatory"}, 0.4, ""},
		{"the last without a flow", blank("set,lavatory,public,,,,8,,read"), Fixture{Kind: "lavatory"}, 0.8, ""},
		{"stand-in", pressure, Fixture{Kind: "lavatory"}, float64(standIn.Flow / units.USGallonPerMinute), standIn.Style},
	} {
		c.f.Count = 1
		got, err := c.code.outletFlow(&c.f)
		if err != nil || roundTo(float64(got.Flow/units.USGallonPerMinute)) != roundTo(c.gpm) || got.Style != c.style {
			t.Errorf("%s: %v gpm, %q, %v; want %v, %q", c.name, float64(got.Flow/units.USGallonPerMinute), got.Style, err, c.gpm, c.style)
		}
	}
	// Styles of unlike flow or size must be stated, whatever else is alike.
	closet := Fixture{Kind: "water-closet", Control: Tank, Count: 1}
	if o, err := ipc.Outlet(closet); !errors.Is(err, ErrNotStated) {
		t.Errorf("outlet: %+v, %v", o, err)
	}
	if m, err := ipc.MinSize(closet); !errors.Is(err, ErrNotStated) {
		t.Errorf("size: %+v, %v", m, err)
	}
	closet.Style = "one piece"
	if m, err := ipc.MinSize(closet); err != nil || m.Size != units.Inch/2 {
		t.Errorf("size: %+v, %v", m, err)
	}
}
