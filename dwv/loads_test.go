package dwv

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A code tells fixtures apart by some fields; what is asked for is each field that
// alone changes the load, or, where no field does so alone, each that may.
func TestFieldsAskedFor(t *testing.T) {
	for _, tt := range []struct {
		name, rows string
		f          tables.Fixture
		want       []string
	}{
		{"control alone", "t,a,,tank,,,,4,,,,read\nv,a,,valve,,,,6,,,,read\n", tables.Fixture{}, []string{
			"x a: control: not stated, and the code tells apart: tank, valve"}},
		{"two fields that never change alone", "p,a,private,,,,1.25,1,,,,read\nq,a,public,,,,2,2,,,,read\n",
			tables.Fixture{}, []string{
				"x a: use: not stated, and the code tells apart: private, public",
				"x a: size: not stated, and the code tells apart: 1-1/4 in, 2 in"}},
		{"one of two fields", "p,a,private,,,,1.25,1,,,,read\nq,a,private,,,,2,2,,,,read\nr,a,public,,,,1.25,1,,,,read\n",
			tables.Fixture{}, []string{
				"x a: size: not stated, and the code tells apart: 1-1/4 in, 2 in"}},
		{"flush beside a row that has none", "p,a,private,,,,,2,,,,read\nq,a,public,,,1,,3,,,,read\nr,a,public,,1,2,,4,,,,read\ns,a,public,,2,,,5,,,,read\nw,a,,waterless,,,,1,,,,read\n",
			tables.Fixture{Use: tables.Public}, []string{
				"x a: flush: not stated, and the code tells apart: 1 gal or less, over 1 to 2 gal, over 2 gal, waterless"}},
		{"flush beside a row left that has none", "p,a,private,,,,,2,,,,read\nq,a,public,,,1,,3,,,,read\nr,a,public,,1,2,,4,,,,read\n",
			tables.Fixture{}, []string{
				"x a: use: not stated, and the code tells apart: private, public",
				"x a: flush: not stated, and the code tells apart: 1 gal or less, over 1 to 2 gal"}},
	} {
		c := mustOwnCode(t, map[string]string{"fixtures": fixtureHead + tt.rows})
		tt.f.Kind, tt.f.Count = "a", 1
		_, err := c.FixtureLoad(tt.f)
		if diff := cmp.Diff(tt.want, strings.Split(errorText(err), "\n")); diff != "" ||
			!errors.Is(err, tables.ErrNotStated) {
			t.Errorf("%s: (-want +got)\n%s", tt.name, diff)
		}
	}
}

// Rows that agree in the load answer though they cannot be told apart: the first of the
// weakest standing is cited, and the stricter drain asked for. UPC Table 702.1: a private
// urinal is 2 units by any flush, and one of up to 1 gal asks for a 2 in drain (note 2).
func TestRowsThatAgree(t *testing.T) {
	upc := mustCode(t, "upc-2021")
	for _, tt := range []struct {
		f           tables.Fixture
		load        FixtureUnits
		drain       units.Length
		row         string
		drainStatus tables.Status
	}{
		{tables.Fixture{Kind: "urinal", Use: tables.Private}, 2 * FixtureUnit, 2 * in, "urinal-1-private", tables.Memory},
		{tables.Fixture{Kind: "urinal", Use: tables.Private, Flush: 2 * units.USGallon}, 2 * FixtureUnit, 0,
			"urinal-over-1-private", 0},
		{tables.Fixture{Kind: "laundry-sink"}, 2 * FixtureUnit, 2 * in, "laundry-sink-assembly", tables.Read},
		{tables.Fixture{Kind: "laundry-sink", Use: tables.Private}, 2 * FixtureUnit, 2 * in, "laundry-sink-private",
			tables.Read},
	} {
		tt.f.Count = 1
		l, err := upc.FixtureLoad(tt.f)
		if tt.drain > 0 && l.DrainCitation.Row() != "row "+tt.row {
			t.Errorf("%+v: the drain is by %s", tt.f, l.DrainCitation.Row())
		}
		if err != nil || l.Units != tt.load || l.MinDrain != tt.drain || l.Citation.Row() != "row "+tt.row ||
			!l.DrainCitation.IsZero() && l.DrainCitation.Status() != tt.drainStatus {
			t.Errorf("%+v: %+v by %s, %v", tt.f, l, l.Citation.Row(), err)
		}
	}
	// The other way round the second row is the stricter.
	c := mustOwnCode(t, map[string]string{
		"fixtures":             fixtureHead + "p,a,private,,,,,2,,,,read\nq,a,public,,,,,2,,,,read\nr,a,assembly,,,,,2,,,,read\n",
		"fixture-drain-minima": "# key: row\nrow,min_drain[in],min_branch[in],src,status\np,2,,,read\nq,3,4,,read\n",
	})
	if l, err := c.FixtureLoad(tables.Fixture{Kind: "a", Count: 1}); err != nil || l.MinDrain != 3*in ||
		l.MinBranch != 4*in || l.Citation.Row() != "row p" {
		t.Errorf("%+v by %s, %v", l, l.Citation.Row(), err)
	}
}

// The last value that can be and the first that cannot, field by field.
func TestFixtureEdges(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tt := range []struct {
		edit func(f *tables.Fixture)
		bad  bool
	}{
		{func(f *tables.Fixture) { f.Count = tables.MaxFixtures }, false},
		{func(f *tables.Fixture) { f.Count = tables.MaxFixtures + 1 }, true},
		{func(f *tables.Fixture) { f.Use = tables.Assembly }, false},
		{func(f *tables.Fixture) { f.Use = tables.Assembly + 1 }, true},
		{func(f *tables.Fixture) { f.Control = tables.Waterless }, false},
		{func(f *tables.Fixture) { f.Control = tables.Hybrid + 1 }, true},
		{func(f *tables.Fixture) { f.Flush = 0.1 }, false},
		{func(f *tables.Fixture) { f.Flush = 0.1 + 1e-15 }, true},
		{func(f *tables.Fixture) { f.Size = 3 }, true},
		{func(f *tables.Fixture) { f.Flush = -1e-9 }, true},
		{func(f *tables.Fixture) { f.Size = maxPipeSize }, false},
		{func(f *tables.Fixture) { f.Size = maxPipeSize + nm }, true},
	} {
		f := tables.Fixture{Kind: "lavatory", Count: 1}
		tt.edit(&f)
		if _, err := c.FixtureLoad(f); tt.bad != errors.Is(err, tables.ErrQuery) || !tt.bad && err != nil {
			t.Errorf("%+v: %v", f, err)
		}
	}
	// The first row of the traps (UPC Table 702.2): 1-1/4 in carries 1 unit.
	l, err := mustCode(t, "upc-2021").FixtureLoad(tables.Fixture{Kind: "dental-lavatory", Count: 1, Size: 5 * in / 4})
	if err != nil || l.Units != FixtureUnit || l.TrapSize != 5*in/4 {
		t.Errorf("%+v, %v", l, err)
	}
}

// A table of fixtures may hold 64 rows for one, and a hundred closets in a row.
func TestFixtureTableEdges(t *testing.T) {
	rows := func(n int) string {
		text := fixtureHead
		for i := range n {
			text += fmt.Sprintf("r%03d,a,,,,,%d,%d,,,,read\n", i, i+1, i+1)
		}
		return text
	}
	c := mustOwnCode(t, map[string]string{"fixtures": rows(64)})
	for _, n := range []int{1, 64} {
		if l, err := c.FixtureLoad(tables.Fixture{Kind: "a", Count: 1, Size: units.Length(n) * in}); err != nil ||
			l.Units != FixtureUnits(n)*FixtureUnit {
			t.Errorf("row %d: %+v, %v", n, l, err)
		}
	}
	if _, err := ownCode(map[string]string{"fixtures": rows(65)}); err == nil ||
		!strings.Contains(err.Error(), `more than 64 rows for "a"`) {
		t.Errorf("65 rows: %v", err)
	}
	for closets, ok := range map[int]bool{-1: false, 0: true, 100: true, 101: false} {
		_, err := ownCode(map[string]string{"fixtures": fixtureHead + fmt.Sprintf("p,a,,,,,,2,,%d,,read\n", closets)})
		if (err == nil) != ok {
			t.Errorf("%d closets: %v", closets, err)
		}
	}
}

// A continuous flow of up to a million of the code's unit is taken, and what it comes
// to may be a thousand million fixture units.
func TestContinuousEdges(t *testing.T) {
	const ruleHead = "# key: rule\nrule,value,unit,section,what,src,status\n"
	own := func(rate string) *Code {
		return mustOwnCode(t, map[string]string{"rules": ruleHead + "continuous-flow-load," + rate + ",,load,,read\n",
			"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n"})
	}
	const gpm, ls = units.USGallonPerMinute, units.LitrePerSecond
	for _, tt := range []struct {
		rate string
		q    units.Flow
		want FixtureUnits
		says string
	}{
		{"2,dfu/gpm", 1e6 * gpm, 2_000_000 * FixtureUnit, ""},
		{"2,dfu/gpm", 1.001e6 * gpm, 0, "not from 0 to 1000000 gpm"},
		{"31.7,fu/(L/s)", 2 * ls, 63_400 * milli, ""},
		{"31.7,fu/(L/s)", 1.001e6 * ls, 0, "not from 0 to 1000000 L/s"},
		{"1000,dfu/gpm", 1e6 * gpm, MaxFixtureUnits, ""},
		{"1000.001,dfu/gpm", 1e6 * gpm, 0, "gives more than 1000000000 dfu"},
		{"1000000000,dfu/gpm", 1e6 * gpm, 0, "gives more than 1000000000 dfu"},
	} {
		l, err := own(tt.rate).ContinuousLoad(tt.q)
		if l.Units != tt.want || (err == nil) != (tt.says == "") || !strings.Contains(errorText(err), tt.says) {
			t.Errorf("%s: %v, %v", tt.rate, l.Units, err)
		}
	}
}

// TestContinuousRule: a rate in a unit that no flow is known by, or without a number, is told when the code is read.
func TestContinuousRule(t *testing.T) {
	for rate, want := range map[string]string{"2,dfu/gpm": "", "2,dfu/cfs": `"2 dfu/cfs"`, "two,dfu/gpm": "two",
		"-2,dfu/gpm": `"-2 dfu/gpm"`} {
		_, err := ownCode(map[string]string{"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n",
			"rules": "# key: rule\nrule,value,unit,section,what,src,status\ncontinuous-flow-load," + rate + ",,load,,read\n"})
		if (err == nil) != (want == "") || !strings.Contains(errorText(err), want) {
			t.Errorf("%s: %v", rate, err)
		}
	}
}

// milli is a thousandth of a unit.
const milli = FixtureUnit / 1000

func TestFixtureUnitEdges(t *testing.T) {
	const most = MaxFixtureUnits
	if !most.Valid() || (most + 1).Valid() || (FixtureUnits(-1)).Valid() {
		t.Error("the ends of what is valid")
	}
	if u, err := (most - milli).Add(milli); err != nil || u != most {
		t.Errorf("%v, %v", u, err)
	}
	for _, tt := range []struct {
		u    FixtureUnits
		n    int
		want FixtureUnits // -1: refused
	}{{most, 0, 0}, {most, 1, most}, {most, 2, -1}, {FixtureUnit, 1_000_000_000, most}, {FixtureUnit, 1_000_000_001, -1},
		{1500 * milli, 666_666_666, 999_999_999_000 * milli}, {1500 * milli, 666_666_667, -1}, {250, 4000, -1}} {
		u, err := tt.u.Times(tt.n)
		if ok := tt.want >= 0; ok != (err == nil) || ok && u != tt.want {
			t.Errorf("%d times %v: %v, %v", tt.n, tt.u, u, err)
		}
	}
	for _, tt := range []struct {
		u     FixtureUnits
		ratio int64 // in thousandths
		want  FixtureUnits
		whole bool
	}{
		{FixtureUnit, 1500, 1500 * milli, true}, {milli, 500, 0, false}, {700 * milli, 0, 0, true},
		{700 * milli, -1, 0, false},
		{most, 1000, most, true}, {most, 1001, 0, false}, {most, 4_000_000_000, 0, false}, {math.MaxInt64, 1, 0, false},
	} {
		if u, whole := scaled(tt.u, tt.ratio); whole != tt.whole || whole && u != tt.want {
			t.Errorf("%v by %d thousandths: %v, %v", tt.u, tt.ratio, u, whole)
		}
	}
}

// A number of a rule is small: up to 1000, with three decimals, above and below the line.
func TestParseRatio(t *testing.T) {
	for s, want := range map[string]ratio{"1/3": {1000, 3000}, "0.5": {500, 1000}, "1000": {1_000_000, 1000},
		"1/1000": {1000, 1_000_000}} {
		if got, err := parseRatio(s); err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	for _, s := range []string{"1000.001", "1/1000.001", "1/0", "", "a", "1/", "/2", "1/2/3"} {
		if got, err := parseRatio(s); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
}

// Why a rule is no number of the unit asked for: another unit, no value, no such rule, or
// a value that is no small number.
func TestRuleNumberFaults(t *testing.T) {
	c := mustOwnCode(t, map[string]string{
		"rules":    "# key: rule\nrule,value,unit,section,what,src,status\nfar,5000,count,,w,,read\nnone,-,count,,w,,read\nturn,45,deg,,w,,read\n",
		"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n",
	})
	for _, tt := range []struct {
		id, unit string
		want     error
	}{{"turn", "deg", nil}, {"turn", "count", tables.ErrNotInCode}, {"none", "count", tables.ErrNotInCode},
		{"gone", "count", tables.ErrNotInCode}, {"far", "count", tables.ErrQuery}} {
		if x, _, err := c.RuleNumber(tt.id, tt.unit); !errors.Is(err, tt.want) {
			t.Errorf("%s in %s: %v, %v", tt.id, tt.unit, x, err)
		}
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// TestBathrooms: a group of bathrooms is as many as its name says, and a half one where that is told.
func TestBathrooms(t *testing.T) {
	for kind, want := range map[string][2]int{
		"bathroom-group": {1, 0}, "half-bathroom-group": {0, 1}, "bathroom-groups-1": {1, 0},
		"bathroom-groups-3":   {3, 0},
		"bathroom-groups-2-5": {2, 1}, "bathroom-groups-100": {100, 0}, "bathroom-groups-101": {},
		"bathroom-groups-0":   {},
		"bathroom-groups-0-5": {}, "bathroom-groups-two": {}, "bathroom-groups-": {}, "lavatory": {}, "": {},
	} {
		full, half := Bathrooms(kind)
		if got := [2]int{full, half}; got != want {
			t.Errorf("%q: %v, want %v", kind, got, want)
		}
		if got := ClosetsOf(kind); got != want[0]+want[1] {
			t.Errorf("%q: %d closets", kind, got)
		}
	}
	if ClosetsOf("water-closet") != 1 {
		t.Error("a water closet is none")
	}
}

// TestMillionths: millionths are written as a decimal number.
func TestMillionths(t *testing.T) {
	for n, want := range map[int64]string{0: "0", 3: "0.000003", 1_600_000: "1.6", 1_000_000: "1",
		12_345_678: "12.345678"} {
		if got := millionths(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}

// TestScaled: a share of a load in thousandths is a whole number of them, of a load that is one.
func TestScaled(t *testing.T) {
	for _, tt := range []struct {
		u     FixtureUnits
		ratio int64
		want  FixtureUnits
		ok    bool
	}{
		{216 * FixtureUnit, 800, 172_800 * milli, true}, {milli, 500, 0, false}, {216 * FixtureUnit, 0, 0, true},
		{milli / 2, 1000, 0, false}, {216 * FixtureUnit, -800, 0, false}, {MaxFixtureUnits, 1000, MaxFixtureUnits,
			true},
		{MaxFixtureUnits, 1001, 0, false},
	} {
		got, ok := scaled(tt.u, tt.ratio)
		if ok != tt.ok || ok && got != tt.want {
			t.Errorf("%d by %d: %v, %v", int64(tt.u), tt.ratio, got, ok)
		}
	}
}

// TestLoadOfARow: a load is a number or blank.
func TestLoadOfARow(t *testing.T) {
	for load, ok := range map[string]bool{"2": true, "-": false, "unlimited": false} {
		_, err := ownCode(map[string]string{"fixtures": fixtureHead + "p,a,,,,,," + load + ",,,,read\n"})
		if (err == nil) != ok || !ok && !strings.Contains(err.Error(), "a load is a number") {
			t.Errorf("%s: %v", load, err)
		}
	}
}

// TestKindsOfShelf: the kinds that codes rate are those of their tables of fixtures, and of no other table.
func TestKindsOfShelf(t *testing.T) {
	shelf := tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
		"x/fixtures.csv": {Data: []byte("# id: x/fixtures\n# title: X\n" +
			"# source: x\n" + fixtureHead + "p,sink;tub,,,,,,2,,,,read\n")},
		"x/kilns.csv": {Data: []byte("# id: x/kilns\n# title: X\n# source: x\n# key: fixture\nfixture,src,status\n" +
			"kiln,,read\n")},
	})
	if got := FixtureKindsOn(shelf); len(got) != 2 || !got["sink"] || !got["tub"] {
		t.Errorf("%v", got)
	}
}

// TestSizeMeant: a size that is another name of a row, by less than a tenth, is asked about.
func TestSizeMeant(t *testing.T) {
	const mm = units.Millimetre
	for _, tt := range []struct {
		size, row units.Length
		asked     bool
	}{
		{110 * mm, 4 * in, true}, {75 * mm, 3 * in, true}, {80 * mm, 3 * in, true}, {2 * in, 3 * in, false},
		{100 * mm, 90 * mm, false}, {100 * mm, 91 * mm, true}, {90 * mm, 100 * mm, false}, {91 * mm, 100 * mm, true},
	} {
		if got := noRow(tt.size, []units.Length{tt.row}); strings.Contains(got,
			"write "+FormatSize(tt.row)+", if") != tt.asked {
			t.Errorf("%v beside %v: %s", tt.size, tt.row, got)
		}
	}
}

// TestFixturesByTrap: a fixture that is rated by its trap, alone or beside a row of its own, is offered by each trap.
func TestFixturesByTrap(t *testing.T) {
	const head = "# key: row\nrow,fixture,size[in],load[dfu],other_sizes,src,status\n"
	const traps = "# key: size\nsize[in],load[dfu],src,status\n1.5,3,,read\n2,4,,read\n3,7,,read\n"
	for rows, want := range map[string]string{
		"p,sink,,,,,read\n":      "1-1/2 in: 3 dfu; 2 in: 4 dfu; 3 in: 7 dfu",
		"p,sink,2,5,yes,,read\n": "no size: 5 dfu; 1-1/2 in: 3 dfu; 3 in: 7 dfu",
		"p,sink,2,5,,,read\n":    "no size: 5 dfu",
		"p,sink,,5,,,read\n":     "no size: 5 dfu",
	} {
		c := mustOwnCode(t, map[string]string{"fixtures": head + rows, "trap-loads": traps})
		offered := map[units.Length]string{}
		var sizes []units.Length
		for _, f := range c.FixturesOf("sink") {
			l, err := c.FixtureLoad(f)
			if err != nil {
				t.Fatal(err)
			}
			size := "no size"
			if f.Size != 0 {
				size = FormatSize(f.Size)
			}
			offered[f.Size] = size + ": " + l.Units.String()
			sizes = append(sizes, f.Size)
		}
		slices.Sort(sizes)
		var list []string
		for _, size := range sizes {
			list = append(list, offered[size])
		}
		if got := strings.Join(list, "; "); got != want {
			t.Errorf("%q: %s, want %s", rows, got, want)
		}
	}
}
