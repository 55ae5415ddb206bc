package dwv_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What is asked of a code at the very limit of what may be asked, and a step past it.
func TestQueryLimits(t *testing.T) {
	in, ft, u := units.Inch, units.Foot, dwv.FixtureUnit
	const most = 10 * units.Metre // of a pipe
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	npc := codeOf(t, npcShelf(t), "own")
	vent := func(c *dwv.Code, q dwv.VentQuery) error { return second(c.VentSize(q)) }
	for _, tt := range []struct {
		name string
		err  error
		is   error // nil: answered
		says string
	}{
		{"a drain of 10 m", vent(ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: most, Length: ft}),
			tables.ErrOutsideTable, "large enough"},
		{"a drain of more", vent(ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: most + 1, Length: ft}), tables.ErrQuery,
			"drain_size"},
		{"a long vent of a drain of 10 m", vent(ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: most, Length: 41 * ft}),
			tables.ErrOutsideTable, "large enough"},
		{"a thousand million closets", vent(ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * in, Length: ft,
			Closets: 1_000_000_000}), nil, ""},
		{"more closets", vent(ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * in, Length: ft,
			Closets: 1_000_000_001}), tables.ErrQuery, "water_closets"},
		// 3600 dfu are as much as 8 in vents take, over 750 ft (UPC 2021 Table 703.2).
		{"the greatest load, too long", vent(upc, dwv.VentQuery{Part: dwv.StackVent, Drain: 8 * in, Load: 3600 * u,
			Length: 751 * ft}), tables.ErrOutsideTable, "length"},
		{"the greatest load, as long as may be", vent(upc,
			dwv.VentQuery{Part: dwv.StackVent, Drain: 8 * in, Load: 3600 * u, Length: 750 * ft}), nil, ""},
		{"more than the greatest load", vent(upc, dwv.VentQuery{Part: dwv.StackVent, Drain: 8 * in, Load: 3600*u + u/1000,
			Length: ft}), tables.ErrOutsideTable, "load"},
		{"the least drain of a table by drains", vent(npc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: in, Length: ft}),
			nil, ""},
		{"a drain below that table", vent(npc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: in - 1, Length: ft}),
			tables.ErrOutsideTable, "drain_size"},
		{"the greatest drain of that table", vent(npc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 2 * in, Length: ft}),
			nil, ""},

		{"an arm of no size", second(ipc.TrapArm(0)), tables.ErrQuery, "size"},
		{"an arm of a nanometre", second(ipc.TrapArm(1)), tables.ErrOutsideTable, "no row"},
		{"an arm of 10 m, larger than the table", second(upc.TrapArm(most)), nil, ""},
		{"an arm of more", second(upc.TrapArm(most + 1)), tables.ErrQuery, "size"},
	} {
		if !errors.Is(tt.err, tt.is) || tt.err != nil && !strings.Contains(tt.err.Error(), tt.says) {
			t.Errorf("%s: %v, want %v that says %q", tt.name, tt.err, tt.is, tt.says)
		}
	}
	// Half of 2-1/2 in is the least vent of all: it is that rule which comes first.
	r, err := ipc.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Drain: in * 5 / 2, Length: ft})
	if err != nil || r.Size != in*5/4 || r.DecidedBy != dwv.VentByMinimum {
		t.Errorf("2-1/2 in: %v by %v, %v", r.Size, r.DecidedBy, err)
	}
}

// npcShelf has a code of its own with least vents by the drain.
func npcShelf(t *testing.T) *tables.Shelf {
	t.Helper()
	return tables.Open(fstest.MapFS{
		"sources.csv":           {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
		"own/fixtures.csv":      {Data: []byte("# id: own/fixtures\n# title: X\n# source: x\n# key: row\nrow,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],closets[1],other_sizes,src,status\na,a,,,,,,1,2,,,,read\n")},
		"own/vent-min-size.csv": {Data: []byte("# id: own/vent-min-size\n# title: X\n# source: x\n# key: size\nsize[in],vent[in],src,status\n1,1,,read\n2,1.5,,read\n")},
	})
}

// Vents of a table may be of up to 10 m, for drains of more than none and up to 10 m.
func TestVentTableLimits(t *testing.T) {
	for _, tt := range []struct {
		row  string // drain and vent, in metres
		want bool
	}{{"10,1,1,1", true}, {"10.000000001,1,1,1", false}, {"0,1,1,1", false}, {"1,1,10,1", true},
		{"1,1,10.000000001,1", false}, {",1,1,1", true}} {
		shelf := tables.Open(fstest.MapFS{
			"sources.csv":      {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
			"own/fixtures.csv": {Data: []byte("# id: own/fixtures\n# title: X\n# source: x\n# key: row\nrow,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],closets[1],other_sizes,src,status\na,a,,,,,,1,2,,,,read\n")},
			"own/vent-sizes.csv": {Data: []byte("# id: own/vent-sizes\n# title: X\n# source: x\n# key: drain, load, vent\ndrain[m],load[dfu],vent[m],max_length[m],src,status\n" +
				tt.row + ",,read\n")},
		})
		if _, err := dwv.LoadCode(shelf, "own"); (err == nil) != tt.want {
			t.Errorf("%s: %v", tt.row, err)
		}
	}
}

// A word that is none leaves what it was read into.
func TestNoPartNoTurn(t *testing.T) {
	part, turn := dwv.StackVent, dwv.VerticalToHorizontal
	for _, text := range []string{"side", "sideways"} {
		if err := part.UnmarshalText([]byte(text)); err == nil || part != dwv.StackVent {
			t.Errorf("part %q: %v, %v", text, part, err)
		}
		if err := turn.UnmarshalText([]byte(text)); err == nil || turn != dwv.VerticalToHorizontal {
			t.Errorf("turn %q: %v, %v", text, turn, err)
		}
	}
}

// A fitting that a code does not list is told from a code that lists none.
func TestFittingNotListed(t *testing.T) {
	for c, want := range map[*dwv.Code]string{code(t,
		"ipc-2021"): "the table has combination-wye-eighth-bend, eighth-bend",
		codeOf(t, npcShelf(t), "own"): "no table fitting-turns"} {
		_, _, err := c.FittingTurn("left-handed-bend", dwv.HorizontalToVertical, units.Inch, false)
		if !errors.Is(err, tables.ErrNotInCode) || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
