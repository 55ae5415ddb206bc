package dwv

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func TestPartText(t *testing.T) {
	for _, p := range []Part{Branch, Stack, StackInterval, Drain, Sewer} {
		text, err := p.MarshalText()
		var again Part
		if err := errors.Join(err, again.UnmarshalText(text)); err != nil || again != p {
			t.Errorf("%v: %v, %v", p, again, err)
		}
	}
	for text, want := range map[string]string{"roof": `part "roof": choose branch, stack, stack-interval, drain, sewer`} {
		p := Drain
		if err := p.UnmarshalText([]byte(text)); !errors.Is(err, tables.ErrQuery) || !strings.Contains(err.Error(), want) ||
			p != Drain {
			t.Errorf("%q: %v, %v", text, p, err)
		}
	}
}

const (
	branchHead = "# key: part, over_intervals, size\npart,over_intervals[1],size[mm],max_load[dfu],src,status\n"
	closetHead = "# key: part, size\npart,size[in],max_closets[1],src,status\n"
)

// A table of sizes goes up to 10 m.
func TestGreatestSizeOfTable(t *testing.T) {
	for size, ok := range map[string]bool{"0": false, "0.5": true, "10000": true, "10001": false} {
		c, err := ownCode(map[string]string{"branches-and-stacks": branchHead + "branch,0," + size + ",5,,read\n"})
		if (err == nil) != ok {
			t.Errorf("%s mm: %v", size, err)
		}
		if !ok {
			continue
		}
		if r, err := c.DrainSize(DrainQuery{Part: Branch, Load: 5 * FixtureUnit}); err != nil ||
			r.Size != units.MustParse[units.Length](size+" mm") {
			t.Errorf("%s mm: %v, %v", size, r.Size, err)
		}
	}
}

// A size on which the table permits no closet takes none, one with a number that many and
// one without a limit any.
func TestClosetSteps(t *testing.T) {
	c := mustOwnCode(t, map[string]string{
		"branches-and-stacks": "# key: part, over_intervals, size\npart,over_intervals[1],size[in],max_load[dfu],src,status\n" +
			"branch,0,2,50,,read\nbranch,0,3,100,,read\nbranch,0,4,200,,read\n",
		"water-closets": closetHead + "branch,2,-,,read\nbranch,3,2,,read\nbranch,4,unlimited,,read\n",
	})
	for closets, want := range map[int]units.Length{0: 2 * in, 1: 3 * in, 2: 3 * in, 3: 4 * in, MaxClosets: 4 * in} {
		r, err := c.DrainSize(DrainQuery{Part: Branch, Load: FixtureUnit, Closets: closets})
		if err != nil || r.Size != want {
			t.Errorf("%d closets: %v, %v", closets, FormatSize(r.Size), err)
		}
	}
	if _, err := c.DrainSize(DrainQuery{Part: Branch, Load: FixtureUnit, Closets: MaxClosets + 1}); !errors.Is(err,
		tables.ErrQuery) {
		t.Errorf("more closets than can be: %v", err)
	}
	for size, want := range map[units.Length]tables.Cell[int]{
		2*in - nm: {Kind: tables.NotPermitted}, 2 * in: {Kind: tables.Value}, 3 * in: {Kind: tables.Value, Value: 2},
		4 * in: {Kind: tables.Unlimited},
	} {
		if got, _ := c.ClosetLimit(Branch, size); got != want {
			t.Errorf("%v: %+v, want %+v", FormatSize(size), got, want)
		}
	}
}

// What is no part of drainage has no limit of closets and no size.
func TestNoSuchPart(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, p := range []Part{0, Sewer + 1, 255} {
		if cell, _ := c.ClosetLimit(p, 3*in); cell.Kind != tables.Blank {
			t.Errorf("%v: %+v", p, cell)
		}
		if _, err := c.DrainSize(DrainQuery{Part: p, Load: FixtureUnit, Grade: slope.OneIn(48)}); !errors.Is(err,
			tables.ErrQuery) {
			t.Errorf("%v: %v", p, err)
		}
	}
}

// A UPC sewer under 8 in has the loads of the drain at the same grade: 4 in at 1/8 in a foot
// carries 0.8 x 216 = 172.8 units (Table 703.2), and the column from 8 in up is its own.
func TestSewerColumnsJoin(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	eighth := slope.PerFoot(in / 8)
	for _, tt := range []struct {
		load FixtureUnits
		size units.Length
		max  FixtureUnits
	}{{100 * FixtureUnit, 4 * in, 172_800 * milli}, {172_800 * milli, 4 * in, 172_800 * milli},
		{1500 * FixtureUnit, 8 * in, 2800 * FixtureUnit}} {
		r, err := upc.DrainSize(DrainQuery{Part: Sewer, Load: tt.load, Grade: eighth})
		if err != nil || r.Size != tt.size || r.MaxLoad != tt.max {
			t.Errorf("%v: %v carries %v, %v", tt.load, FormatSize(r.Size), r.MaxLoad, err)
		}
	}
}

// The ends of a query.
func TestDrainQueryEdges(t *testing.T) {
	ipc := mustCode(t, "ipc-2021")
	quarter := slope.PerFoot(in / 4)
	if r, err := ipc.DrainSize(DrainQuery{Part: Stack, Load: 8 * FixtureUnit, Intervals: 1000}); err != nil ||
		r.Size != 3*in/2 {
		t.Errorf("a thousand intervals: %v, %v", FormatSize(r.Size), err)
	}
	if _, err := ipc.DrainSize(DrainQuery{Part: Stack, Load: FixtureUnit, Intervals: 1001}); !errors.Is(err,
		tables.ErrQuery) {
		t.Errorf("a thousand and one: %v", err)
	}
	for size, want := range map[units.Length]error{maxPipeSize: tables.ErrOutsideTable,
		maxPipeSize + nm: tables.ErrQuery} {
		if _, err := ipc.DrainSize(DrainQuery{Part: Drain, Load: FixtureUnit, Grade: quarter,
			MinSize: size}); !errors.Is(err, want) {
			t.Errorf("not under %v: %v", size, err)
		}
		if _, _, err := mustCode(t, "upc-2021").StackLength(size); !errors.Is(err, want) {
			t.Errorf("a stack of %v: %v", size, err)
		}
	}
	// 1-1/2 in carries 3 units at 1/4 in a foot and at 1/2: the steeper grade buys nothing.
	if r, err := ipc.DrainSize(DrainQuery{Part: Drain, Load: 2 * FixtureUnit, Grade: quarter}); err != nil ||
		r.Size != 3*in/2 || r.NextGrade != (slope.Grade{}) || r.NextGradeMaxLoad != 0 {
		t.Errorf("%+v, %v", r, err)
	}
	// Where the code and the caller ask for the same, the code is named.
	town := townCode(t, "ipc-2021")
	r, err := town.DrainSize(DrainQuery{Part: Drain, Load: FixtureUnit, Grade: quarter, BelowGround: true,
		MinSize: 2 * in})
	if err != nil || r.DecidedBy != ByBelowGround || r.Citation.Row() != "rule below-ground-min-size" {
		t.Errorf("%v, %v, %v", r.DecidedBy, r.Citation, err)
	}
	if r, err := town.DrainSize(DrainQuery{Part: Drain, Load: FixtureUnit, Grade: quarter, BelowGround: true,
		MinSize: 2*in + nm}); err != nil || r.DecidedBy != ByMinSize {
		t.Errorf("%v, %v", r.DecidedBy, err)
	}
	_, err = ipc.DrainSize(DrainQuery{Part: Drain, Load: FixtureUnit})
	if !errors.Is(err, tables.ErrNotStated) || !strings.HasSuffix(err.Error(),
		": 1/16 in/ft, 1/8 in/ft, 1/4 in/ft, 1/2 in/ft") {
		t.Errorf("%v", err)
	}
}

// A code without a table of wet vents says so.
func TestNoWetVents(t *testing.T) {
	c := mustOwnCode(t, map[string]string{"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n"})
	if _, _, err := c.WetVentSize(FixtureUnit); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
	if _, _, err := mustCode(t, "ipc-2021").WetVentSize(MaxFixtureUnits); !errors.Is(err, tables.ErrOutsideTable) ||
		!strings.Contains(err.Error(), "is over the last row") {
		t.Errorf("%v", err)
	}
}

// Where the limit itself is too much a size that carries nothing carries no less.
func TestSizeThatCarriesNothing(t *testing.T) {
	const head, rows = "# key: size, grade\n", "size[in],grade[in/ft],max_load[dfu],src,status\n3,0.25,0,,read\n4,0.25,40,,read\n"
	fixtures := fixtureHead + "p,a,,,,,,2,,,,read\n"
	below := mustOwnCode(t, map[string]string{"fixtures": fixtures, "building-drain": head + "# boundary: below\n" + rows})
	for size, want := range map[units.Length]FixtureUnits{3 * in: 0, 4 * in: 39_999 * milli} {
		if k, err := below.Capacity(Drain, size, slope.PerFoot(in/4), 0); err != nil || k.Max != want {
			t.Errorf("%v: %v, %v", FormatSize(size), k.Max, err)
		}
	}
}

// TestNearLimit: what a grade just short of a limit is taken for.
func TestNearLimit(t *testing.T) {
	grade := func(text string) (g slope.Grade) {
		if err := g.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		return g
	}
	// A question about a pipe, without a layout, keeps to the grade as asked.
	if r, err := mustCode(t, "ipc-2021").DrainSize(DrainQuery{Part: Drain, Load: 3 * FixtureUnit, Closets: 1,
		Grade: grade("1 %")}); err != nil || r.Size != 8*in {
		t.Errorf("at 1 %% by itself: %v, %v", r.Size, err)
	}
	// A thousandth of 1/4 in per ft is 0.0020833 %: 2.0813 % is just short, 2.0812 too far.
	if g := grade("2.0812 %"); reaches(g, slope.PerFoot(in/4)) || !reaches(grade("2.0813 %"), slope.PerFoot(in/4)) {
		t.Error("the thousandth is not held")
	}
}

// TestHolds: a capacity holds the loads from its least to its greatest, and none where the size is not permitted.
func TestHolds(t *testing.T) {
	k := Capacity{Min: 2 * FixtureUnit, Max: 5 * FixtureUnit, Permitted: true}
	for load, want := range map[FixtureUnits]bool{1: false, 2: true, 5: true, 6: false} {
		if got := k.Holds(load * FixtureUnit); got != want {
			t.Errorf("%d: %v", load, got)
		}
	}
	if (Capacity{}).Holds(0) {
		t.Error("a size that is not permitted holds nothing")
	}
}

// TestNominalGrade: IPC 704.1 prints 2 % as 1/4 in per ft; that row is told where the grade falls short of its column.
func TestNominalGrade(t *testing.T) {
	ipc := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		part    Part
		grade   string
		max     FixtureUnits
		nominal bool
	}{{Drain, "2 %", 216, true}, {Drain, "1/4 in/ft", 216, false}, {Drain, "3 %", 216, false}, {Drain, "1.9 %", 180,
		false},
		{Branch, "2 %", 160, false}} {
		k, err := ipc.Capacity(tt.part, 4*in, slope.MustParse(tt.grade), 0)
		if err != nil || k.Max != tt.max*FixtureUnit || k.Nominal.IsZero() == tt.nominal {
			t.Errorf("%v at %s: %v, %v, %v", tt.part, tt.grade, k.Max, k.Nominal, err)
		}
	}
}

// TestNearestCapacity: IPC 2021, Table 710.1(1): a size laid flatter than the code has it is held to the next steeper
// column that has it, and that is told.
func TestNearestCapacity(t *testing.T) {
	ipc := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		size  units.Length
		grade string
		max   FixtureUnits // 0: none
		short bool
	}{
		{2 * in, "1/4 in/ft", 21, false}, {2 * in, "1/8 in/ft", 21, true}, {2 * in, "1/16 in/ft", 21, true},
		{3 * in, "1/16 in/ft", 36, true}, {3 * in, "1/8 in/ft", 36, false}, {8 * in, "1/32 in/ft", 1400, true},
		{2 * in, "1/2 in/ft", 26, false}, {7 * in, "1/8 in/ft", 0, false}, {3 * in, "0 %", 0, false}, {3 * in,
			"-1 %", 0, false},
	} {
		k, short, err := ipc.NearestCapacity(Drain, tt.size, slope.MustParse(tt.grade), 0)
		if (err == nil) != (tt.max > 0) || k.Max != tt.max*FixtureUnit || short != tt.short ||
			k.Permitted != (tt.max > 0) {
			t.Errorf("%v at %s: %+v, %v, %v", FormatSize(tt.size), tt.grade, k, short, err)
		}
	}
	if _, _, err := ipc.NearestCapacity(0, 3*in, slope.MustParse("1/4 in/ft"), 0); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("of no part: %v", err)
	}
}

// TestNearestReasons: what decides the size of a pipe that is laid as it is. Loads by IPC 2021, Table 710.1(1).
func TestNearestReasons(t *testing.T) {
	ipc := mustCode(t, "ipc-2021")
	own := mustOwnCode(t, map[string]string{
		"building-drain": "# key: size, grade\nsize[in],grade[in/ft],max_load[dfu],src,status\n" +
			"2,0.25,20,,read\n3,0.25,40,,read\n4,0.25,200,,read\n",
		"water-closets": closetHead + "drain,3,2,,read\ndrain,4,5,,read\n",
	})
	eighth := slope.PerFoot(in / 8)
	for _, tt := range []struct {
		name string
		code *Code
		q    DrainQuery
		want units.Length
		by   SizeReason
		says string // of what is wrong
	}{
		{"the load", ipc, DrainQuery{Part: Drain, Load: 100, Grade: eighth}, 4 * in, ByLoad, ""},
		{"the pipe above", ipc, DrainQuery{Part: Drain, Load: 100, Grade: eighth, MinSize: 5 * in}, 5 * in,
			ByMinSize, ""},
		{"as large as the pipe above", ipc, DrainQuery{Part: Drain, Load: 100, Grade: eighth, MinSize: 4 * in},
			4 * in, ByLoad, ""},
		{"larger than the pipe above", ipc, DrainQuery{Part: Drain, Load: 100, Grade: eighth, MinSize: 2 * in},
			4 * in, ByLoad, ""},
		{"the closet", ipc, DrainQuery{Part: Drain, Load: 4, Grade: eighth, Closets: 1}, 3 * in, ByClosets, ""},
		{"the first row", ipc, DrainQuery{Part: Branch, Load: 3, Grade: eighth}, 3 * in / 2, ByLoad, ""},
		{"no pipe so large", ipc, DrainQuery{Part: Drain, Load: 100, Grade: eighth, MinSize: 18 * in}, 15 * in, 0,
			"as large as 18 in"},
		{"no load so great", ipc, DrainQuery{Part: Drain, Load: 20000, Grade: eighth}, 15 * in, 0,
			"the table goes to"},
		{"two closets", own, DrainQuery{Part: Drain, Load: 4, Grade: eighth, Closets: 2}, 3 * in, ByClosets, ""},
		{"more closets than any size takes", own, DrainQuery{Part: Drain, Load: 4, Grade: eighth, Closets: 6},
			4 * in, ByClosets,
			"no size takes 6"},
	} {
		tt.q.Load *= FixtureUnit
		got, ok, err := tt.code.NearestDrainSize(tt.q)
		if !ok || got.Size != tt.want || (err == nil) != (tt.says == "") || !strings.Contains(errorText(err),
			tt.says) ||
			tt.by != 0 && got.DecidedBy != tt.by {
			t.Errorf("%s: %v by %v, %v, %v", tt.name, FormatSize(got.Size), got.DecidedBy, ok, err)
		}
	}
}

// TestRowsTogether: rows that are wrong are told together, and drains do not stand among branches.
func TestRowsTogether(t *testing.T) {
	fixtures := fixtureHead + "p,a,,,,,,2,,,,read\n"
	const drains = "# key: size, grade\nsize[in],grade[in/ft],max_load[dfu],src,status\n3,0.25,40,,read\n"
	const factors = "# key: grade, size_from\ngrade[in/ft],size_from[in],factor,src,status\n"
	for _, tt := range []struct {
		name  string
		files map[string]string
		want  []string
	}{
		{"branches", map[string]string{"branches-and-stacks": branchHead + "drain,0,50,5,,read\nroof,0,50,5,,read\n" +
			"sewer,0,50,5,,read\n"},
			[]string{`part "drain"`, `part "roof"`, `part "sewer"`}},
		{"closets", map[string]string{"water-closets": closetHead + "roof,3,1,,read\nvent,2,1,,read\n" +
			"yard,3,1,,read\n"},
			[]string{`"roof"`, `"yard"`}},
		{"factors", map[string]string{"building-drain": drains,
			"grade-factors": factors + "0.125,2,most,,read\n0.25,2,1,,read\n"},
			[]string{`factor "most"`, `factor "1"`}},
	} {
		tt.files["fixtures"] = fixtures
		_, err := ownCode(tt.files)
		for _, want := range tt.want {
			if !strings.Contains(errorText(err), want) {
				t.Errorf("%s: %v does not say %s", tt.name, err, want)
			}
		}
	}
}

// TestOtherSets: what is no code of drains is told with the codes that are, and with what loads it.
func TestOtherSets(t *testing.T) {
	shelf := tables.Embedded()
	for id, want := range map[string]string{
		"en12056-2":   "en12056.LoadStandard",
		"din1988-300": "it is a code of water, which supply.LoadCode loads",
		"upc-1887":    "upc-2021",
		"ipc-1887":    europeanID,
	} {
		_, err := LoadCode(shelf, id)
		if !errors.Is(err, tables.ErrNotFound) || !strings.Contains(err.Error(), want) ||
			strings.Contains(err.Error(), "supply.LoadCode") != (id == "din1988-300") {
			t.Errorf("%s: %v", id, err)
		}
	}
	empty := tables.Open(fstest.MapFS{})
	if _, err := LoadCode(empty, "ipc-2021"); err == nil || !strings.HasSuffix(err.Error(), "the shelf has no code") {
		t.Errorf("an empty shelf: %v", err)
	}
	c, err := LoadRules(shelf, europeanID)
	if err != nil {
		t.Fatal(err)
	}
	if r, ok := c.Rule("largest-appliance-governs"); !ok || r.Cite.IsZero() || c.Source().ID == "" {
		t.Errorf("%+v, %v", r, ok)
	}
	if _, err := LoadRules(empty, europeanID); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("no rules: %v", err)
	}
}

// TestRulesWithoutFigure: a rule that a town leaves without a figure is none.
func TestRulesWithoutFigure(t *testing.T) {
	c := amendedCode(t, "ipc-2021", "set,cleanout-clearance-large,-,in,1,town,read\n"+
		"set,cleanout-spacing,unlimited,ft,1,town,read\n"+
		"set,continuous-flow-load,-,dfu/gpm,1,town,read\nset,grease-interceptor-min-grade,-,in/ft,1,town,read\n"+
		"set,sewer-cleanout-spacing,unlimited,ft,1,town,read\n")
	if x, _, err := c.CleanoutSpacing(Sewer, 4*in); !errors.Is(err, tables.ErrNotOnShelf) {
		t.Errorf("sewer: %v, %v", x, err)
	}
	if x, _, err := c.CleanoutSpacing(Drain, 4*in); !errors.Is(err, tables.ErrNotOnShelf) {
		t.Errorf("drain: %v, %v", x, err)
	}
	if x, _, err := c.CleanoutClearance(8 * in); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("clearance of 8 in: %v, %v", x, err)
	}
	if x, _, err := c.CleanoutClearance(8*in - nm); err != nil || x != 18*in {
		t.Errorf("clearance of less: %v, %v", x, err)
	}
	if l, err := c.ContinuousLoad(units.USGallonPerMinute); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("continuous flow: %+v, %v", l, err)
	}
	if g, _, err := c.RuleGrade("grease-interceptor-min-grade"); !errors.Is(err, tables.ErrNotOnShelf) {
		t.Errorf("grade: %v, %v", g, err)
	}
	none := mustOwnCode(t, map[string]string{"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n"})
	_, _, want := none.RuleLength("cleanout-clearance-small")
	if _, _, err := none.CleanoutClearance(4 * in); err == nil || err.Error() != want.Error() {
		t.Errorf("no rule: %v, want %v", err, want)
	}
}
