package dwv_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func code(t testing.TB, id string) *dwv.Code {
	t.Helper()
	return codeOf(t, tables.Embedded(), id)
}

func codeOf(t testing.TB, shelf *tables.Shelf, id string) *dwv.Code {
	t.Helper()
	c, err := dwv.LoadCode(shelf, id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// secondEntry reads a file of testdata/second-entry.
func secondEntry(t *testing.T, name string) [][]string {
	t.Helper()
	data, err := os.ReadFile("testdata/second-entry/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimRight(line, "\n"); line != "" && line[0] != '#' {
			rows = append(rows, strings.Split(line, ","))
		}
	}
	if len(rows) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return rows
}

// cells returns a table of the shelf as key -> cell of one column, keys joined by
// slashes.
func cells(t *testing.T, id, column string) map[string]string {
	t.Helper()
	table, err := tables.Embedded().Table(id)
	if err != nil {
		t.Fatal(err)
	}
	n := table.Column(column)
	if n < 0 {
		t.Fatalf("%s has no column %s", id, column)
	}
	got := make(map[string]string)
	for i := range table.Len() {
		var key []string
		for _, k := range table.Keys() {
			key = append(key, table.Cell(i, table.Column(k)))
		}
		got[strings.Join(key, "/")] = table.Cell(i, n)
	}
	return got
}

func TestSecondEntry(t *testing.T) {
	check := func(id, column string, want map[string]string) {
		t.Helper()
		got := cells(t, id, column)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s, column %s, differs from its second entry in dwv/testdata/second-entry (see README.md there); "+
				"a row that is new has to be entered there as well (-second entry +shelf):\n%s", id, column, diff)
		}
	}
	load, trap := map[string]string{}, map[string]string{}
	for _, r := range secondEntry(t, "ipc-2021-fixtures.csv") {
		load[r[0]], trap[r[0]] = r[1], r[2]
	}
	// The kinds that the table does not print are rated by their trap.
	for name, least := range map[string]string{"bar-sink": "1.25", "standpipe": "2", "unlisted": "1.25"} {
		load[name], trap[name] = "", least
	}
	check("ipc-2021/fixtures", "load", load)
	check("ipc-2021/fixtures", "trap", trap)

	drains := map[string]string{}
	for _, r := range secondEntry(t, "ipc-2021-drains.csv") {
		for i, grade := range []string{"0.0625", "0.125", "0.25", "0.5"} {
			drains[r[0]+"/"+grade] = r[i+1]
		}
	}
	check("ipc-2021/building-drain", "max_load", drains)

	branches := map[string]string{}
	for _, r := range secondEntry(t, "ipc-2021-branches.csv") {
		for i, part := range []string{"branch/0", "stack-interval/0", "stack/0", "stack/3"} {
			if r[i+1] != "" {
				branches[part+"/"+r[0]] = r[i+1]
			}
		}
	}
	check("ipc-2021/branches-and-stacks", "max_load", branches)

	vents := map[string]string{}
	for _, r := range secondEntry(t, "ipc-2021-vents.csv") {
		for i, vent := range []string{"1.25", "1.5", "2", "2.5", "3", "4", "5", "6", "8", "10", "12"} {
			if r[i+2] != "" {
				vents[r[0]+"/"+r[1]+"/"+vent] = r[i+2]
			}
		}
	}
	check("ipc-2021/vent-sizes", "max_length", vents)

	stack, stackLength, drain, vent := map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}
	for _, r := range secondEntry(t, "upc-2021-pipes.csv") {
		stack["stack/0/"+r[0]], drain[r[0]+"/0.25"] = r[1], r[2]
		if r[3] != "" {
			stackLength[r[0]] = r[3]
			vent["/"+r[4]+"/"+r[0]] = r[5]
		}
	}
	check("upc-2021/branches-and-stacks", "max_load", stack)
	check("upc-2021/building-drain", "max_load", drain)
	check("upc-2021/stack-lengths", "max_length", stackLength)
	check("upc-2021/vent-sizes", "max_length", vent)

	load, trap = map[string]string{"dental-lavatory": "", "floor-sink": "", "unlisted": ""},
		map[string]string{"dental-lavatory": "1.25", "floor-sink": "1.5", "unlisted": "1.25"}
	for _, r := range secondEntry(t, "upc-2021-fixtures.csv") {
		for i, use := range []string{"private", "public", "assembly"} {
			if r[i+2] != "" {
				load[r[0]+"-"+use], trap[r[0]+"-"+use] = r[i+2], r[1]
			}
		}
	}
	check("upc-2021/fixtures", "load", load)
	check("upc-2021/fixtures", "trap", trap)

	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, r := range secondEntry(t, "trap-arms.csv") {
		size := units.MustParse[units.Length](r[0] + " in")
		for _, want := range []struct {
			c             *dwv.Code
			length, grade string
		}{{ipc, r[1], r[2]}, {upc, r[3], "0.25"}} {
			got, err := want.c.TrapArm(size)
			if err != nil || got.MaxLength.Value != units.MustParse[units.Length](want.length+" ft") ||
				got.Grade != slope.MustParse(want.grade+" in/ft") {
				t.Errorf("%v %v: got %+v, %v, want %v ft at %v", want.c, size, got, err, want.length, want.grade)
			}
		}
	}
}

// Every row that nobody saw says so, all the way to the answer.
func TestStatusReachesTheAnswer(t *testing.T) {
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	closet := tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Control: tables.Tank,
		Flush: 1.6 * units.USGallon}
	seen, err := upc.FixtureLoad(closet)
	if err != nil || seen.Citation.Status() != tables.Read2 {
		t.Errorf("private closet: %v, %v", seen.Citation.Status(), err)
	}
	closet.Use = tables.Assembly
	recalled, err := upc.FixtureLoad(closet)
	if err != nil || recalled.Citation.Status() != tables.Memory ||
		!strings.Contains(recalled.Citation.String(), "recalled") {
		t.Errorf("assembly closet: %v, %v", recalled.Citation, err)
	}
	// A use left open may be any of the rows, and the weakest is what may be claimed.
	lavatory, err := upc.FixtureLoad(tables.Fixture{Kind: "lavatory", Count: 1})
	if err != nil || lavatory.Citation.Status() != tables.Memory {
		t.Errorf("lavatory of any use: %v, %v", lavatory.Citation.Status(), err)
	}
	// The grade of 1/8 in per ft rests on a factor seen once, on a row that was seen twice.
	r, err := upc.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 100 * dwv.FixtureUnit,
		Grade: slope.MustParse("1/8 in/ft")})
	if err != nil || r.Citation.Status() != tables.Read2 || r.Factor.IsZero() || r.Status() != tables.Read {
		t.Errorf("got %v with factor %v, status %v, %v", r.Citation, r.Factor, r.Status(), err)
	}
	// 2 % counts as 1/4 in per ft in the IPC by a recalled row only.
	r, err = ipc.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 42 * dwv.FixtureUnit, Grade: slope.MustParse("2%")})
	if err != nil || r.Size != 3*units.Inch || r.Nominal.IsZero() || r.Status() != tables.Memory {
		t.Errorf("got %v by %v, status %v, %v", r.Size, r.Nominal, r.Status(), err)
	}
	r, err = ipc.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 42 * dwv.FixtureUnit,
		Grade: slope.MustParse("1/4 in/ft")})
	if err != nil || !r.Nominal.IsZero() || r.Status() != tables.Read2 {
		t.Errorf("got %v by %v, status %v, %v", r.Size, r.Nominal, r.Status(), err)
	}
}

// Every fixture id that problem lines know has an answer in each code, or an error
// that says why not.
func TestFixtureIDs(t *testing.T) {
	full := map[string]tables.Fixture{}
	for _, k := range []string{"lavatory", "dental-lavatory", "kitchen-sink", "bar-sink", "service-sink", "laundry-sink",
		"sink", "wash-fountain", "bathtub", "shower", "bidet",
		"clothes-washer", "dishwasher", "drinking-fountain", "floor-drain", "emergency-floor-drain", "floor-sink",
		"standpipe"} {
		full[k] = tables.Fixture{Kind: k, Count: 1, Use: tables.Public, Size: 2 * units.Inch}
	}
	for _, k := range []string{"water-closet", "urinal", "bathroom-group"} {
		full[k] = tables.Fixture{Kind: k, Count: 1, Use: tables.Public, Control: tables.Valve, Flush: 1.6 * units.USGallon}
	}
	bidet := full["bidet"]
	bidet.Use, bidet.Size = tables.Private, units.Inch*3/2
	full["bidet"] = bidet
	want := map[string]map[string]string{
		"ipc-2021": {"lavatory": "1", "dental-lavatory": "1", "kitchen-sink": "2", "bar-sink": "3", "service-sink": "2",
			"laundry-sink": "2", "sink": "2", "wash-fountain": "2",
			"bathtub": "2", "shower": "2", "bidet": "1", "clothes-washer": "3", "dishwasher": "2", "drinking-fountain": "0.5",
			"floor-drain": "2", "emergency-floor-drain": "0",
			"floor-sink": "3", "standpipe": "3", "water-closet": "4", "urinal": "4", "bathroom-group": "5"},
		"upc-2021": {"lavatory": "1", "dental-lavatory": "4", "kitchen-sink": "2", "bar-sink": "2", "service-sink": "3",
			"laundry-sink": "2", "sink": "4", "wash-fountain": "3",
			"bathtub": "2", "shower": "2", "bidet": "2", "clothes-washer": "3", "dishwasher": "2", "drinking-fountain": "0.5",
			"floor-drain": "2", "emergency-floor-drain": "0",
			"floor-sink": "4", "standpipe": "3", "water-closet": "4", "urinal": "2"},
	}
	for id, loads := range want {
		c := code(t, id)
		got := map[string]string{}
		for k, f := range full {
			l, err := c.FixtureLoad(f)
			if err != nil {
				if !errors.Is(err, tables.ErrNotInCode) {
					t.Errorf("%s %s: %v", id, k, err)
				}
				continue
			}
			got[k] = strings.TrimSuffix(l.Units.String(), " dfu")
		}
		if diff := cmp.Diff(loads, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", id, diff)
		}
		if _, err := c.FixtureLoad(tables.Fixture{Kind: "hose-bibb", Count: 1}); !errors.Is(err, tables.ErrNotInCode) ||
			!strings.Contains(err.Error(), id) {
			t.Errorf("%s: a hose bibb drains nowhere: %v", id, err)
		}
	}
}

func TestClosets(t *testing.T) {
	upc, ipc := code(t, "upc-2021"), code(t, "ipc-2021")
	for _, tt := range []struct {
		c    *dwv.Code
		f    tables.Fixture
		want int
	}{
		{ipc, tables.Fixture{Kind: "water-closet", Count: 3, Use: tables.Private, Flush: 1.6 * units.USGallon}, 3},
		{ipc, tables.Fixture{Kind: "bathroom-group", Count: 2, Flush: 1.6 * units.USGallon}, 2},
		{ipc, tables.Fixture{Kind: "shower-to-55.6-gpm", Count: 2}, 0}, // six units, but the IPC counts closets only
		{upc, tables.Fixture{Kind: "clinical-sink", Count: 2, Use: tables.Public}, 2},
		{upc, tables.Fixture{Kind: "floor-drain", Count: 1, Use: tables.Public, Size: 3 * units.Inch}, 1},
		{upc, tables.Fixture{Kind: "floor-drain", Count: 1, Use: tables.Public, Size: 2 * units.Inch}, 0},
		{upc, tables.Fixture{Kind: "lavatory", Count: 9, Use: tables.Public}, 0},
		{code(t, "irc-2021"), tables.Fixture{Kind: "water-closet", Count: 2, Flush: 1.6 * units.USGallon}, 2},
	} {
		l, err := tt.c.FixtureLoad(tt.f)
		if err != nil || l.Closets != tt.want {
			t.Errorf("%v %+v: %d closets, %v, want %d", tt.c, tt.f, l.Closets, err, tt.want)
		}
	}
}

func TestDrainMinima(t *testing.T) {
	washer, err := code(t, "ipc-2021").FixtureLoad(tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private})
	if err != nil || washer.MinDrain != 2*units.Inch || washer.MinBranch != 3*units.Inch {
		t.Errorf("IPC 406.2: %+v, %v", washer, err)
	}
	sink, err := code(t, "upc-2021").FixtureLoad(tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private})
	if err != nil || sink.MinDrain != 2*units.Inch || sink.TrapSize != units.Inch*3/2 ||
		sink.DrainCitation.Status() != tables.Read {
		t.Errorf("UPC Table 702.1 note 2: %+v, %v", sink, err)
	}
	// 1-1/2 in carries the load on a stack, but the note asks for 2 in.
	r, err := code(t, "upc-2021").DrainSize(dwv.DrainQuery{Part: dwv.Stack, Load: sink.Units, MinSize: sink.MinDrain})
	if err != nil || r.Size != 2*units.Inch || r.DecidedBy != dwv.ByMinSize {
		t.Errorf("got %v by %v, %v", r.Size, r.DecidedBy, err)
	}
}

func TestLoadsAreExact(t *testing.T) {
	var sum dwv.FixtureUnits
	for range 10 {
		var err error
		if sum, err = sum.Add(dfu("0.7")); err != nil {
			t.Fatal(err)
		}
	}
	if sum != 7*dwv.FixtureUnit {
		t.Errorf("ten times 0.7 is %v", sum)
	}
	c := code(t, "ipc-2021")
	list := []tables.Fixture{{Kind: "lavatory", Count: 2}, {Kind: "no-such", Count: 1},
		{Kind: "drinking-fountain", Count: 0}}
	_, err := c.Loads(list)
	if err == nil || !errors.Is(err, tables.ErrNotInCode) || !errors.Is(err, tables.ErrQuery) {
		t.Errorf("not all faults at once: %v", err)
	}
	for _, s := range []string{"fixture 2", "fixture 3", "no-such", "count"} {
		if !strings.Contains(fmt.Sprint(err), s) {
			t.Errorf("%q is not in %v", s, err)
		}
	}
}

func TestFlows(t *testing.T) {
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		c    *dwv.Code
		flow units.Flow
		want string
	}{
		{ipc, 10 * units.USGallonPerMinute, "20 dfu"},
		{upc, 10 * units.USGallonPerMinute, "20 dfu"},
		{ipc, 0, "0 dfu"},
		{ipc, 0.0001 * units.USGallonPerMinute, "0.001 dfu"}, // rounded up
		{ipc, units.LitrePerSecond, "31.701 dfu"},            // 15.850323 gpm; Ontario prints 31.7 for the litre per second
	} {
		l, err := tt.c.ContinuousLoad(tt.flow)
		if err != nil || l.Units != dfu(tt.want) {
			t.Errorf("%v %v: %v, %v, want %v", tt.c, tt.flow, l.Units, err, tt.want)
		}
	}
	for gpm, want := range map[float64]string{7.5: "1 dfu", 7.6: "2 dfu", 15: "2 dfu", 15.5: "6 dfu", 30: "6 dfu",
		31: "6 dfu", 50: "6 dfu"} {
		l, err := upc.IntermittentLoad(units.Flow(gpm) * units.USGallonPerMinute)
		if err != nil || l.Units != dfu(want) {
			t.Errorf("%v gpm: %v, %v, want %v", gpm, l.Units, err, want)
		}
	}
	if _, err := upc.IntermittentLoad(50.1 * units.USGallonPerMinute); !errors.Is(err, tables.ErrOutsideTable) {
		t.Errorf("over 50 gpm the authority decides: %v", err)
	}
	if _, err := ipc.IntermittentLoad(units.USGallonPerMinute); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("the IPC has no such table: %v", err)
	}
	for _, q := range []units.Flow{units.Flow(math.NaN()), units.Flow(math.Inf(1)), -1, 1e9} {
		if _, err := ipc.ContinuousLoad(q); !errors.Is(err, tables.ErrQuery) {
			t.Errorf("%v: %v", q, err)
		}
	}
}

// A fixture that the code tells apart by what is not stated is refused with each
// field and its choices; what is stated and cannot be is refused too.
func TestFixtureFaults(t *testing.T) {
	gal := 1.6 * units.USGallon
	for _, tt := range []struct {
		name, code string
		f          tables.Fixture
		is         error
		says       []string
	}{
		{"ipc-closet-bare", "ipc-2021", tables.Fixture{Kind: "water-closet", Count: 1}, tables.ErrNotStated,
			[]string{"use: ", "private, public, assembly", "flush: ", "1.6 gal or less, over 1.6 gal"}},
		{"ipc-closet-use", "ipc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Flush: gal}, tables.ErrNotStated,
			[]string{"use: "}},
		{"ipc-closet-flush", "ipc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private,
			Control: tables.Valve}, tables.ErrNotStated, []string{"flush: "}},
		{"ipc-urinal", "ipc-2021", tables.Fixture{Kind: "urinal", Count: 1, Use: tables.Public}, tables.ErrNotStated,
			[]string{"flush: ", "1 gal or less", "waterless"}},
		{"ipc-group", "ipc-2021", tables.Fixture{Kind: "bathroom-group", Count: 1}, tables.ErrNotStated, []string{"flush: "}},
		{"ipc-washer", "ipc-2021", tables.Fixture{Kind: "clothes-washer", Count: 1}, tables.ErrNotStated, []string{"use: "}},
		{"ipc-standpipe", "ipc-2021", tables.Fixture{Kind: "standpipe", Count: 1}, tables.ErrNotStated,
			[]string{"size: ", "2-1/2 in"}},
		{"ipc-floor-sink-small", "ipc-2021", tables.Fixture{Kind: "floor-sink", Count: 1, Size: units.Inch},
			tables.ErrOutsideTable, []string{"size: "}},
		{"ipc-floor-sink-large", "ipc-2021", tables.Fixture{Kind: "floor-sink", Count: 1, Size: 6 * units.Inch},
			tables.ErrOutsideTable, []string{"size: "}},
		{"upc-closet-use", "upc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Flush: gal}, tables.ErrNotStated,
			[]string{"use: "}},
		{"upc-closet-faucet", "upc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Control: tables.Faucet, Flush: gal},
			tables.ErrNotInCode, []string{"control: ", "tank"}},
		{"upc-pressure-tank-large", "upc-2021", tables.Fixture{Kind: "water-closet", Count: 1, Control: tables.PressureTank,
			Flush: 2 * units.USGallon}, tables.ErrNotInCode, []string{"flush: ", "1.6 gal or less"}},
		{"upc-urinal-assembly", "upc-2021", tables.Fixture{Kind: "urinal", Count: 1, Use: tables.Assembly},
			tables.ErrNotStated, []string{"flush: "}},
		{"upc-bidet", "upc-2021", tables.Fixture{Kind: "bidet", Count: 1, Use: tables.Private}, tables.ErrNotStated,
			[]string{"size: ", "1-1/4 in, 1-1/2 in"}},
		{"upc-private-service-sink", "upc-2021", tables.Fixture{Kind: "service-sink", Count: 1, Use: tables.Private},
			tables.ErrNotInCode, []string{"use: ", "public"}},
		{"upc-group", "upc-2021", tables.Fixture{Kind: "bathroom-group", Count: 1, Flush: gal}, tables.ErrNotInCode,
			[]string{"upc-2021", "bathtub"}},
		{"upc-sink-size", "upc-2021", tables.Fixture{Kind: "sink", Count: 1, Use: tables.Public, Size: 4 * units.Inch},
			tables.ErrNotInCode, []string{"size: "}},
		{"count-none", "ipc-2021", tables.Fixture{Kind: "lavatory"}, tables.ErrQuery, []string{"count: "}},
		{"count-many", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: tables.MaxFixtures + 1}, tables.ErrQuery,
			[]string{"count: "}},
		{"use-invalid", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Use: 9}, tables.ErrQuery, []string{"use: "}},
		{"control-invalid", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Control: 77}, tables.ErrQuery,
			[]string{"control: "}},
		{"flush-nan", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Flush: units.Volume(math.NaN())},
			tables.ErrQuery, []string{"flush: "}},
		{"flush-inf", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Flush: units.Volume(math.Inf(1))},
			tables.ErrQuery, []string{"flush: "}},
		{"size-negative", "ipc-2021", tables.Fixture{Kind: "lavatory", Count: 1, Size: -1}, tables.ErrQuery,
			[]string{"size: "}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l, err := code(t, tt.code).FixtureLoad(tt.f)
			if !errors.Is(err, tt.is) || l != (dwv.Load{}) {
				t.Fatalf("got %+v, %v", l, err)
			}
			for _, s := range append(tt.says, tt.code) {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("%q does not say %q", err, s)
				}
			}
		})
	}
}

// What the code does not tell apart is not looked at.
func TestFieldsIgnored(t *testing.T) {
	c := code(t, "ipc-2021")
	want, err := c.FixtureLoad(tables.Fixture{Kind: "lavatory", Count: 4})
	if err != nil {
		t.Fatal(err)
	}
	got, err := c.FixtureLoad(tables.Fixture{Kind: "lavatory", Count: 4, Use: tables.Assembly, Control: tables.Faucet,
		Flush: units.USGallon, Size: 2 * units.Inch})
	if err != nil || got != want {
		t.Errorf("got %+v, %v, want %+v", got, err, want)
	}
	// The flush is compared as text reads it, not as bits: 6.056659 L is 1.6 gal.
	for _, flush := range []string{"1.6 gal", "1.28 gal", "6 L", "6.056659 L"} {
		var v units.Volume
		if err := v.UnmarshalText([]byte(flush)); err != nil {
			t.Fatal(err)
		}
		l, err := c.FixtureLoad(tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Private, Flush: v})
		if err != nil || l.Units != 3*dwv.FixtureUnit {
			t.Errorf("%s: %v, %v", flush, l.Units, err)
		}
	}
	l, err := c.FixtureLoad(tables.Fixture{Kind: "water-closet", Count: 1, Control: tables.PressureTank})
	if err != nil || l.Units != 4*dwv.FixtureUnit {
		t.Errorf("a flushometer tank has its own row: %v, %v", l.Units, err)
	}
}

func TestDrainFaults(t *testing.T) {
	u := dwv.FixtureUnit
	quarter := slope.MustParse("1/4 in/ft")
	for _, tt := range []struct {
		name, code string
		q          dwv.DrainQuery
		is         error
		says       string
	}{
		{"part", "ipc-2021", dwv.DrainQuery{Load: u}, tables.ErrQuery,
			"part: not possible: part is not stated: choose branch, stack, stack-interval, drain, sewer"},
		{"part-unknown", "ipc-2021", dwv.DrainQuery{Part: 99, Load: u}, tables.ErrQuery, "part 99 is unknown: choose branch"},
		{"load-negative", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: -1, Grade: quarter}, tables.ErrQuery, "load"},
		{"load-huge", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: dwv.MaxFixtureUnits + 1, Grade: quarter},
			tables.ErrQuery, "load"},
		{"load-over-table", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: 10_001 * u, Grade: quarter},
			tables.ErrOutsideTable, "10000 dfu on 15 in"},
		{"grade-missing", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: u}, tables.ErrNotStated, "1/16 in/ft, 1/8 in/ft"},
		{"grade-rising", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: u, Grade: slope.MustParse("-1/4 in/ft")},
			tables.ErrQuery, "grade"},
		{"grade-flat", "ipc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: u, Grade: slope.MustParse("0.4%")},
			tables.ErrOutsideTable, "1/16 in/ft"},
		{"grade-flat-upc", "upc-2021", dwv.DrainQuery{Part: dwv.Drain, Load: u, Grade: slope.MustParse("1%")},
			tables.ErrOutsideTable, "1/8 in/ft"},
		{"intervals", "ipc-2021", dwv.DrainQuery{Part: dwv.Stack, Load: u}, tables.ErrNotStated, "up to 3"},
		{"intervals-negative", "ipc-2021", dwv.DrainQuery{Part: dwv.Stack, Load: u, Intervals: -2}, tables.ErrQuery,
			"intervals"},
		{"interval-upc", "upc-2021", dwv.DrainQuery{Part: dwv.StackInterval, Load: u}, tables.ErrNotInCode, "stack-interval"},
		{"closets-negative", "ipc-2021", dwv.DrainQuery{Part: dwv.Branch, Load: u, Closets: -1}, tables.ErrQuery,
			"water_closets"},
		{"min-size", "ipc-2021", dwv.DrainQuery{Part: dwv.Branch, Load: u, MinSize: 20 * units.Inch}, tables.ErrOutsideTable,
			"min_size"},
		{"min-size-negative", "ipc-2021", dwv.DrainQuery{Part: dwv.Branch, Load: u, MinSize: -1}, tables.ErrQuery,
			"min_size"},
		{"sewer-too-small-a-load", "upc-2021", dwv.DrainQuery{Part: dwv.Sewer, Load: 900 * u,
			Grade: slope.MustParse("1/16 in/ft")}, tables.ErrOutsideTable, "load"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := code(t, tt.code).DrainSize(tt.q)
			if !errors.Is(err, tt.is) || r != (dwv.SizeResult{}) {
				t.Fatalf("got %+v, %v", r, err)
			}
			if !strings.Contains(err.Error(), tt.says) || !strings.Contains(err.Error(), tt.code) {
				t.Errorf("%q does not say %q", err, tt.says)
			}
		})
	}
}

func TestDrainColumns(t *testing.T) {
	c, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		c           *dwv.Code
		grade, want string
	}{
		{c, "1/16 in/ft", "1/16 in/ft"},
		{c, "1%", "1/16 in/ft"}, // the code prints no pair for 1/8 in per ft
		{c, "1/8 in/ft", "1/8 in/ft"},
		{c, "1.999%", "1/8 in/ft"},
		{c, "2%", "1/4 in/ft"}, // the pair that it prints
		{c, "2.05%", "1/4 in/ft"},
		{c, "1/4 in/ft", "1/4 in/ft"},
		{c, "3/8 in/ft", "1/4 in/ft"},
		{c, "4%", "1/2 in/ft"},
		{c, "1:1", "1/2 in/ft"},
		{upc, "1/8 in/ft", "1/8 in/ft"},
		{upc, "2%", "1/4 in/ft"},
		{upc, "1.9%", "1/8 in/ft"},
		{upc, "1/2 in/ft", "1/4 in/ft"},
	} {
		r, err := tt.c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: dwv.FixtureUnit, Grade: slope.MustParse(tt.grade)})
		if err != nil || r.Grade != slope.MustParse(tt.want) {
			t.Errorf("%v %v: column %v, %v, want %v", tt.c, tt.grade, r.Grade, err, tt.want)
		}
	}
	// A sewer of the UPC: 8 in and over from its own table, smaller ones as drains.
	r, err := upc.DrainSize(dwv.DrainQuery{Part: dwv.Sewer, Load: 1600 * dwv.FixtureUnit,
		Grade: slope.MustParse("1/16 in/ft")})
	if err != nil || r.Size != 8*units.Inch || r.Citation.Table() != "upc-2021/building-sewer" {
		t.Errorf("got %v from %v, %v", r.Size, r.Citation.Table(), err)
	}
	r, err = upc.DrainSize(dwv.DrainQuery{Part: dwv.Sewer, Load: 500 * dwv.FixtureUnit,
		Grade: slope.MustParse("1/4 in/ft")})
	if err != nil || r.Size != 6*units.Inch || r.Citation.Table() != "upc-2021/building-drain" {
		t.Errorf("got %v from %v, %v", r.Size, r.Citation.Table(), err)
	}
}

// Where two floors are alike, the row of the code is named before the wish of the
// caller.
func TestTiesNameTheCode(t *testing.T) {
	q := dwv.DrainQuery{Part: dwv.Drain, Load: dwv.FixtureUnit, Grade: slope.MustParse("1/4 in/ft"), Closets: 1,
		MinSize: 3 * units.Inch}
	r, err := code(t, "ipc-2021").DrainSize(q)
	if err != nil || r.DecidedBy != dwv.ByClosets || r.Citation.Table() != "ipc-2021/water-closets" {
		t.Errorf("got %v, %v, %v", r.DecidedBy, r.Citation, err)
	}
}

// The sizes that a sewer table has are its own, though the drain table has them too.
func TestSewerTableGoesFirst(t *testing.T) {
	k, err := code(t, "upc-2021").Capacity(dwv.Sewer, 8*units.Inch, slope.MustParse("1/8 in/ft"), 0)
	if err != nil || k.Max != 2800*dwv.FixtureUnit || k.Min != 625*dwv.FixtureUnit {
		t.Errorf("got %+v, %v", k, err)
	}
	k, err = code(t, "upc-2021").Capacity(dwv.Drain, 8*units.Inch, slope.MustParse("1/8 in/ft"), 0)
	if err != nil || k.Max != 2112*dwv.FixtureUnit || k.Min != 0 {
		t.Errorf("got %+v, %v", k, err)
	}
}

// A table may say that its limit itself is too much.
func TestBoundaryBelow(t *testing.T) {
	c := codeOf(t, tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
		"x/building-drain.csv": {Data: []byte("# id: x/building-drain\n# title: X\n# source: x\n# key: size, grade\n# boundary: below\n" +
			"size[in],grade[in/ft],max_load[dfu],src,status\n2,0.25,20,,read\n3,0.25,40,,read\n")},
	}), "x")
	quarter := slope.MustParse("1/4 in/ft")
	for load, want := range map[dwv.FixtureUnits]units.Length{19_999 * milli: 2 * units.Inch,
		20 * dwv.FixtureUnit: 3 * units.Inch, 39_999 * milli: 3 * units.Inch} {
		r, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: load, Grade: quarter})
		if err != nil || r.Size != want {
			t.Errorf("%v: %v, %v", load, r.Size, err)
		}
		k, err := c.Capacity(dwv.Drain, r.Size, quarter, 0)
		if err != nil || !k.Holds(load) || k.Holds(40*dwv.FixtureUnit) {
			t.Errorf("%v: %+v, %v", load, k, err)
		}
	}
	if _, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 40 * dwv.FixtureUnit, Grade: quarter}); !errors.Is(err,
		tables.ErrOutsideTable) {
		t.Errorf("%v", err)
	}
}

// What the next size or grade would buy.
func TestNext(t *testing.T) {
	r, err := code(t, "ipc-2021").DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 40 * dwv.FixtureUnit,
		Grade: slope.MustParse("1/4 in/ft"), Closets: 2})
	if err != nil {
		t.Fatal(err)
	}
	if r.Margin() != 2*dwv.FixtureUnit || r.NextSize != 4*units.Inch || r.NextSizeMaxLoad != 216*dwv.FixtureUnit ||
		r.NextGrade != slope.MustParse("1/2 in/ft") || r.NextGradeMaxLoad != 50*dwv.FixtureUnit {
		t.Errorf("got %+v", r)
	}
	if !strings.Contains(r.Why(), "42 dfu") || !strings.Contains(r.Why(), "40 dfu") {
		t.Errorf("why: %s", r.Why())
	}
}

func TestMinGrade(t *testing.T) {
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		c              *dwv.Code
		part           dwv.Part
		size           string
		want, approval string
	}{
		{ipc, dwv.Drain, "2.5 in", "1/4 in/ft", ""},
		{ipc, dwv.Branch, "3 in", "1/8 in/ft", ""},
		{ipc, dwv.Drain, "6 in", "1/8 in/ft", ""},
		{ipc, dwv.Sewer, "8 in", "1/16 in/ft", ""},
		{upc, dwv.Drain, "3 in", "1/4 in/ft", ""},
		{upc, dwv.Drain, "4 in", "1/4 in/ft", "1/8 in/ft"},
		{upc, dwv.Sewer, "8 in", "1/4 in/ft", "1/16 in/ft"},
	} {
		got, err := tt.c.MinGrade(tt.part, units.MustParse[units.Length](tt.size))
		var approval slope.Grade
		if tt.approval != "" {
			approval = slope.MustParse(tt.approval)
		}
		if err != nil || got.Least != slope.MustParse(tt.want) || got.WithApproval != approval {
			t.Errorf("%v %v %v: got %+v, %v", tt.c, tt.part, tt.size, got, err)
		}
	}
	if _, err := ipc.MinGrade(dwv.Stack, 3*units.Inch); !errors.Is(err, tables.ErrQuery) {
		t.Errorf("a stack has no grade: %v", err)
	}
	if _, err := ipc.MinGrade(dwv.Drain, units.Inch); !errors.Is(err, tables.ErrOutsideTable) {
		t.Errorf("1 in: %v", err)
	}
	quarter := slope.MustParse("1/4 in/ft")
	for g, want := range map[string]struct{ ok, nominal bool }{
		"1/4 in/ft": {true, false}, "2%": {true, true}, "2.05 %": {true, true}, "1.99%": {false, false}, "3%": {true, false},
	} {
		ok, nominal := upc.GradeReaches(slope.MustParse(g), quarter)
		if ok != want.ok || nominal.IsZero() == want.nominal {
			t.Errorf("%s: %v by %v", g, ok, nominal)
		}
	}
}

func TestVentFaults(t *testing.T) {
	in, ft, u := units.Inch, units.Foot, dwv.FixtureUnit
	for _, tt := range []struct {
		name, code string
		q          dwv.VentQuery
		is         error
		says       string
	}{
		{"part", "ipc-2021", dwv.VentQuery{Drain: 3 * in, Length: ft}, tables.ErrQuery,
			"kind of vent is not stated: choose individual, stack"},
		{"drain", "ipc-2021", dwv.VentQuery{Part: dwv.IndividualVent, Length: ft}, tables.ErrNotStated, "drain_size"},
		{"stack-drain", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Load: u, Length: ft}, tables.ErrNotStated,
			"drain_size"},
		{"stack-load", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 3 * in, LoadNotStated: true, Length: ft},
			tables.ErrNotStated, "load"},
		{"upc-load", "upc-2021", dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * in, LoadNotStated: true, Length: ft},
			tables.ErrNotStated, "load"},
		{"no-such-stack", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 7 * in, Load: u, Length: ft},
			tables.ErrOutsideTable, "drain_size"},
		{"load-over", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 2 * in, Load: 21 * u, Length: ft},
			tables.ErrOutsideTable, "20 dfu"},
		{"too-long", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 2 * in, Load: 12 * u, Length: 230 * ft},
			tables.ErrOutsideTable, `200'`},
		{"length-negative", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 2 * in, Load: u, Length: -ft},
			tables.ErrQuery, "length"},
		{"load-negative", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: 2 * in, Load: -u, Length: ft},
			tables.ErrQuery, "load"},
		{"drain-negative", "ipc-2021", dwv.VentQuery{Part: dwv.StackVent, Drain: -in, Load: u, Length: ft}, tables.ErrQuery,
			"drain_size"},
		{"drain-too-large", "ipc-2021", dwv.VentQuery{Part: dwv.IndividualVent, Drain: 40 * in, Length: ft},
			tables.ErrOutsideTable, "drain_size"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := code(t, tt.code).VentSize(tt.q)
			if !errors.Is(err, tt.is) || r != (dwv.VentResult{}) {
				t.Fatalf("got %+v, %v", r, err)
			}
			if !strings.Contains(err.Error(), tt.says) || !strings.Contains(err.Error(), tt.code) {
				t.Errorf("%q does not say %q", err, tt.says)
			}
		})
	}
}

func TestVentReasons(t *testing.T) {
	in, ft, u := units.Inch, units.Foot, dwv.FixtureUnit
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		name string
		c    *dwv.Code
		q    dwv.VentQuery
		size units.Length
		by   dwv.VentReason
	}{
		{"least", ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 2 * in, Length: ft}, in * 5 / 4, dwv.VentByMinimum},
		{"half", ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 4 * in, Length: ft}, 2 * in, dwv.VentByDrain},
		{"long", ipc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 4 * in, Length: 41 * ft}, in * 5 / 2, dwv.VentByLength},
		{"stack-by-table", ipc, dwv.VentQuery{Part: dwv.StackVent, Drain: 4 * in, Load: 140 * u, Length: 100 * ft}, 3 * in,
			dwv.VentByTable},
		{"stack-half", ipc, dwv.VentQuery{Part: dwv.StackVent, Drain: 4 * in, Load: 140 * u, Length: 20 * ft}, 2 * in,
			dwv.VentByDrain},
		{"upc-closet", upc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * in, Load: 3 * u, Length: 20 * ft, Closets: 1},
			2 * in, dwv.VentByClosets},
		{"upc-no-closet", upc, dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * in, Load: 3 * u, Length: 20 * ft},
			in * 3 / 2, dwv.VentByDrain},
		{"upc-load", upc, dwv.VentQuery{Part: dwv.StackVent, Load: 49 * u, Length: 20 * ft}, 3 * in, dwv.VentByTable},
		{"upc-length", upc, dwv.VentQuery{Part: dwv.StackVent, Load: 8 * u, Length: 121 * ft}, in * 5 / 2, dwv.VentByTable},
	} {
		r, err := tt.c.VentSize(tt.q)
		if err != nil || r.Size != tt.size || r.DecidedBy != tt.by || r.Citation.IsZero() {
			t.Errorf("%s: got %v by %v (%v), %v, want %v by %v", tt.name, r.Size, r.DecidedBy, r.Citation, err, tt.size, tt.by)
		}
	}
}

func TestTrapArmFaults(t *testing.T) {
	c := code(t, "ipc-2021")
	for _, size := range []units.Length{0, -1, units.Inch * 5 / 2, 6 * units.Inch} {
		if a, err := c.TrapArm(size); err == nil {
			t.Errorf("%v: %+v", size, a)
		}
	}
	_, err := c.TrapArm(units.Inch * 5 / 2)
	if !errors.Is(err, tables.ErrOutsideTable) || !strings.Contains(err.Error(), "1-1/4 in, 1-1/2 in, 2 in, 3 in, 4 in") {
		t.Errorf("the range is not named: %v", err)
	}
	cell, cite, err := c.ClosetArm()
	if err != nil || cell.Kind != tables.Unlimited || cite.Status() != tables.Read {
		t.Errorf("IPC closet arm: %v, %v, %v", cell, cite, err)
	}
	cell, cite, err = code(t, "upc-2021").ClosetArm()
	if err != nil || cell.Value != 6*units.Foot || cite.Status() != tables.Memory {
		t.Errorf("UPC closet arm: %v, %v, %v", cell, cite, err)
	}
}

func TestVentMethods(t *testing.T) {
	u := dwv.FixtureUnit
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	size, limit, err := ipc.WetVentSize(5 * u)
	if err != nil || size != units.Inch*5/2 || limit.Max.Value != 6*u {
		t.Errorf("%v %v %v", size, limit, err)
	}
	if _, _, err := ipc.WetVentSize(33 * u); !errors.Is(err, tables.ErrOutsideTable) {
		t.Errorf("over the wet vent table: %v", err)
	}
	size, limit, err = upc.WetVentSize(5 * u)
	if err != nil || size != 3*units.Inch || limit.Max.Kind != tables.Unlimited {
		t.Errorf("%v %v %v", size, limit, err)
	}
	l, err := ipc.CommonVentLimit(2 * units.Inch)
	if err != nil || !l.Holds(4*u) || l.Holds(4*u+1) {
		t.Errorf("%v %v", l, err)
	}
	interval, stack, err := ipc.WasteStackVentLimits(2 * units.Inch)
	if err != nil || interval.Max.Value != 2*u || stack.Max.Value != 4*u {
		t.Errorf("%v %v %v", interval, stack, err)
	}
	branch, drain, err := ipc.CombinationVentLimits(3 * units.Inch)
	if err != nil || branch.Max.Value != 12*u || drain.Max.Value != 31*u {
		t.Errorf("%v %v %v", branch, drain, err)
	}
	if _, err := upc.CommonVentLimit(2 * units.Inch); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
	if _, err := ipc.WetVentLimit(5 * units.Inch); !errors.Is(err, tables.ErrOutsideTable) {
		t.Errorf("%v", err)
	}
}

func TestCleanouts(t *testing.T) {
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		c          *dwv.Code
		pipe, want string
		clear      string
	}{
		{ipc, "3 in", "3 in", "18 in"}, {ipc, "6 in", "4 in", "18 in"}, {ipc, "8 in", "4 in", "36 in"},
		{upc, "2 in", "1.5 in", "18 in"}, {upc, "3 in", "2.5 in", "24 in"}, {upc, "8 in", "3.5 in", "24 in"},
	} {
		pipe := units.MustParse[units.Length](tt.pipe)
		got, cite, err := tt.c.CleanoutSize(pipe)
		if err != nil || got != units.MustParse[units.Length](tt.want) || cite.IsZero() {
			t.Errorf("%v %v: %v, %v", tt.c, tt.pipe, got, err)
		}
		clear, _, err := tt.c.CleanoutClearance(pipe)
		if err != nil || clear != units.MustParse[units.Length](tt.clear) {
			t.Errorf("%v %v: clear space %v, %v", tt.c, tt.pipe, clear, err)
		}
	}
	if _, _, err := ipc.CleanoutSize(units.Inch); !errors.Is(err, tables.ErrOutsideTable) {
		t.Errorf("%v", err)
	}
}

func TestFormatSize(t *testing.T) {
	for in, want := range map[string]string{"1.25 in": "1-1/4 in", "2 in": "2 in", "3.5 in": "3-1/2 in", "15 in": "15 in",
		"0.75 in": "3/4 in", "110 mm": "110 mm", "9 m": "9000 mm", "1.5 mm": "1.5 mm", "1/16 in": "1/16 in", "0": "0\"",
		"-3 in": "-3\""} {
		l, err := units.Parse[units.Length](in)
		if err != nil {
			l = 0
		}
		if got := dwv.FormatSize(l); got != want {
			t.Errorf("%s: %q, want %q", in, got, want)
		}
	}
}

func TestFittingTurns(t *testing.T) {
	c := code(t, "ipc-2021")
	for _, tt := range []struct {
		fitting      string
		turn         dwv.Turn
		size         units.Length
		fixtureDrain bool
		want         bool
	}{
		{"sanitary-tee", dwv.HorizontalToVertical, 3 * units.Inch, false, true},
		{"sanitary-tee", dwv.VerticalToHorizontal, 3 * units.Inch, false, false},
		{"sanitary-tee", dwv.HorizontalToHorizontal, 2 * units.Inch, true, false},
		{"quarter-bend", dwv.HorizontalToHorizontal, 2 * units.Inch, true, true},
		{"quarter-bend", dwv.HorizontalToHorizontal, 2 * units.Inch, false, false},
		{"quarter-bend", dwv.HorizontalToHorizontal, 3 * units.Inch, true, false},
		{"short-sweep", dwv.VerticalToHorizontal, 3 * units.Inch, false, true},
		{"short-sweep", dwv.VerticalToHorizontal, units.Inch * 5 / 2, false, false},
		{"wye", dwv.VerticalToHorizontal, 4 * units.Inch, false, true},
	} {
		got, cite, err := c.FittingTurn(tt.fitting, tt.turn, tt.size, tt.fixtureDrain)
		if err != nil || got != tt.want || cite.Status() != tables.Read {
			t.Errorf("%+v: %v, %v, %v", tt, got, cite, err)
		}
	}
	if _, _, err := c.FittingTurn("left-handed-bend", dwv.HorizontalToVertical, units.Inch, false); !errors.Is(err,
		tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
	pipe, err := c.PipeStandard("ASTM D3034")
	if err != nil || pipe.BelowSlab != tables.Fail || pipe.Sewer != tables.Pass ||
		pipe.Citation.Status() != tables.Memory {
		t.Errorf("%+v, %v", pipe, err)
	}
	if _, err := c.PipeStandard("ASTM X1"); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
}

// Figures of single rules, each read by a source that is named on its row.
func TestRules(t *testing.T) {
	for _, tt := range []struct{ code, rule, want string }{
		{"ipc-2021", "standpipe-min-height", "18 in"},
		{"ipc-2021", "standpipe-max-height", "42 in"},
		{"upc-2021", "standpipe-max-height", "30 in"},
		{"ipc-2021", "cleanout-spacing", "100 ft"},
		{"upc-2021", "cleanout-spacing", "100 ft"},
		{"upc-2021", "cleanout-omit-length", "5 ft"},
		{"ipc-2021", "cleanout-junction-within", "10 ft"},
		{"ipc-2021", "vent-rim-clearance", "6 in"},
		{"ipc-2021", "vent-long-length", "40 ft"},
		{"ipc-2021", "closet-bend-inlet", "4 in"},
		{"ipc-2021", "closet-bend-outlet", "3 in"},
		{"ipc-2021", "drain-beyond-wall", "30 in"},
		{"upc-2021", "drain-beyond-wall", "2 ft"},
		{"ipc-2021", "trap-seal-min", "2 in"},
		{"ipc-2021", "combination-vent-max-drop", "8 ft"},
	} {
		cell, cite, err := code(t, tt.code).RuleLength(tt.rule)
		if err != nil || cell.Value != units.MustParse[units.Length](tt.want) || !cite.Status().Firm() {
			t.Errorf("%s %s: %v, %v, %v", tt.code, tt.rule, cell, cite, err)
		}
	}
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	for _, tt := range []struct {
		c        *dwv.Code
		id, unit string
		want     float64
	}{
		{ipc, "cleanout-turn-single", "deg", 45}, {upc, "cleanout-turn-total", "deg", 135},
		{upc, "trap-arm-turn", "deg", 90}, {upc, "trap-arm-turn-large", "deg", 135},
		{ipc, "circuit-vent-max-fixtures", "count", 8}, {ipc, "stack-base-clearance", "pipe diameters", 10},
		{upc, "vent-horizontal-share", "ratio", 1. / 3}, {ipc, "wet-vent-max-groups", "count", 2},
	} {
		got, _, err := tt.c.RuleNumber(tt.id, tt.unit)
		if err != nil || got != tt.want {
			t.Errorf("%v %s: %v, %v", tt.c, tt.id, got, err)
		}
	}
	g, _, err := ipc.RuleGrade("circuit-vent-max-grade")
	if err != nil || g != slope.MustParse("1 in 12") {
		t.Errorf("%v, %v", g, err)
	}
	for _, c := range []*dwv.Code{ipc, upc} {
		// Nothing smaller downstream, in both.
		if cell, _, err := c.RuleLength("size-reduction"); err != nil || cell.Kind != tables.NotPermitted {
			t.Errorf("%v: %v, %v", c, cell, err)
		}
		// The reach of an unvented emergency floor drain has no source: the shipped
		// codes permit none, and say that nobody has seen it.
		if cell, cite, err := c.RuleLength("floor-drain-unvented-reach"); err != nil || cell.Kind != tables.NotPermitted ||
			cite.Status() != tables.Memory {
			t.Errorf("%v: %v, %v, %v", c, cell, cite, err)
		}
		if cell, cite := c.MinSizeBelowGround(); cell.Kind != tables.Unlimited || cite.Status() != tables.Memory {
			t.Errorf("%v: %v, %v", c, cell, cite)
		}
	}
	if _, _, err := ipc.RuleLength("no-such-rule"); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
	if _, _, err := ipc.RuleNumber("cleanout-spacing", "deg"); err == nil {
		t.Error("feet were taken for degrees")
	}
	if _, _, err := ipc.RuleGrade("cleanout-spacing"); err == nil {
		t.Error("feet were taken for a grade")
	}
}

// town is an amendment of both kinds: single rules and rows of tables.
func town(t testing.TB) *tables.Shelf {
	t.Helper()
	files := fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nmillbrook,Millbrook Plumbing Ordinance,Village of Millbrook,,2023,,\n")},
		"ipc-2021/rules.csv": {Data: []byte(`# id: ipc-2021/rules
# source: millbrook
op,rule,value,unit,section,status
set,below-ground-min-size,2,in,12-4,read
set,continuous-flow-load,1,dfu/gpm,12-7,read
set,floor-drain-unvented-reach,25,ft,12-9,practice
`)},
		"ipc-2021/nominal-grades.csv": {Data: []byte("# id: ipc-2021/nominal-grades\n# source: millbrook\nop,grade[in/ft],nominal[%],status\ndrop,0.25,,\n")},
		"ipc-2021/water-closets.csv":  {Data: []byte("# id: ipc-2021/water-closets\n# source: millbrook\nop,part,size[in],max_closets[1],status\nset,drain,3,2,read\nadd,drain,4,unlimited,read\n")},
	}
	shelf, err := tables.Embedded().With(files)
	if err != nil {
		t.Fatal(err)
	}
	return shelf
}

func TestAmendments(t *testing.T) {
	c, base := codeOf(t, town(t), "ipc-2021"), code(t, "ipc-2021")
	below := dwv.DrainQuery{Part: dwv.Branch, Load: dwv.FixtureUnit, BelowGround: true}
	r, err := base.DrainSize(below)
	if err != nil || r.Size != units.Inch*3/2 {
		t.Errorf("before: %v, %v", r.Size, err)
	}
	r, err = c.DrainSize(below)
	if err != nil || r.Size != 2*units.Inch || r.DecidedBy != dwv.ByBelowGround || !r.Citation.Amended() ||
		r.Citation.Source().ID != "millbrook" {
		t.Errorf("after: %v by %v, %v, %v", r.Size, r.DecidedBy, r.Citation, err)
	}
	if above, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Branch, Load: dwv.FixtureUnit}); err != nil ||
		above.Size != units.Inch*3/2 {
		t.Errorf("above ground: %v, %v", above.Size, err)
	}
	// Chicago too counts one unit for each gpm.
	l, err := c.ContinuousLoad(10 * units.USGallonPerMinute)
	if err != nil || l.Units != 10*dwv.FixtureUnit || !l.Citation.Amended() {
		t.Errorf("%v by %v, %v", l.Units, l.Citation, err)
	}
	// Without the pair, 2 % is what it is: flatter than 1/4 in per ft.
	r, err = c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 42 * dwv.FixtureUnit, Grade: slope.MustParse("2%")})
	if err != nil || r.Size != 4*units.Inch || r.Grade != slope.MustParse("1/8 in/ft") {
		t.Errorf("%v at %v, %v", r.Size, r.Grade, err)
	}
	if ok, _ := c.GradeReaches(slope.MustParse("2%"), slope.MustParse("1/4 in/ft")); ok {
		t.Error("2 % reaches 1/4 in per ft with no row that says so")
	}
	// 25 ft unvented, where the locality sets it: common practice, so ask.
	cell, cite, err := c.RuleLength("floor-drain-unvented-reach")
	if err != nil || cell.Value != 25*units.Foot || cite.Status().Firm() || !cite.Amended() {
		t.Errorf("%v, %v, %v", cell, cite, err)
	}
	r, err = c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 12 * dwv.FixtureUnit, Grade: slope.MustParse("1/4 in/ft"),
		Closets: 3})
	if err != nil || r.Size != 4*units.Inch || r.DecidedBy != dwv.ByClosets || !r.Citation.Amended() {
		t.Errorf("%v by %v, %v", r.Size, r.DecidedBy, err)
	}
	if limit, _ := c.ClosetLimit(dwv.Drain, 3*units.Inch); limit.Value != 2 {
		t.Errorf("%v", limit)
	}
	if limit, _ := c.ClosetLimit(dwv.Drain, 2*units.Inch); limit.Kind != tables.NotPermitted {
		t.Errorf("%v", limit)
	}
	if limit, _ := c.ClosetLimit(dwv.Drain, 6*units.Inch); limit.Kind != tables.Unlimited {
		t.Errorf("%v", limit)
	}
}

// A code is a directory. This one is the Navy manual of the worked example: 20
// closets with flush valves, 22 lavatories, 15 shower heads, 20 wall urinals, 2
// service sinks and 4 floor drains are 270 units (Utilitiesman, NAVEDTRA 14259,
// chapter 7, tables 7-2 and 7-3); and two rows of the Illinois table of vents (77
// Ill. Adm. Code 890, appendix A, table K): a 4 in stack of 100 units with 90 ft takes
// a 2-1/2 in vent, a 3 in stack of 30 units with 60 ft a 2 in one.
func TestOwnCode(t *testing.T) {
	shelf := tables.Open(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nnavy,\"Utilitiesman, NAVEDTRA 14259\",US Navy,,,,\n")},
		"navy/fixtures.csv": {Data: []byte(`# id: navy/fixtures
# title: Fixture units
# source: navy
# key: row
row,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],src,status
floor-drain,floor-drain,,,,,,3,2,,read
lavatory,lavatory,,,,,,1,1.25,,read
service-sink,service-sink,,,,,,3,3,,read
shower,shower,,,,,,2,2,,read
urinal,urinal,,,,,,4,2,,read
water-closet,water-closet,,valve,,,,6,3,,read
`)},
		"navy/vent-sizes.csv": {Data: []byte(`# id: navy/vent-sizes
# title: Vents
# source: navy
# key: drain, load, vent
drain[in],load[dfu],vent[in],max_length[ft],src,status
3,30,2,60,,read
3,30,2.5,200,,read
3,30,3,500,,read
4,100,2,35,,read
4,100,2.5,100,,read
4,100,3,260,,read
4,100,4,1000,,read
`)},
	})
	c := codeOf(t, shelf, "navy")
	got, err := c.Loads([]tables.Fixture{
		{Kind: "water-closet", Count: 20, Control: tables.Valve}, {Kind: "lavatory", Count: 22}, {Kind: "shower", Count: 15},
		{Kind: "urinal", Count: 20}, {Kind: "service-sink", Count: 2}, {Kind: "floor-drain", Count: 4},
	})
	if err != nil || got != 270*dwv.FixtureUnit {
		t.Errorf("got %v, %v", got, err)
	}
	for _, tt := range []struct {
		drain, load, length, want int64
	}{{4, 100, 90, 5}, {3, 30, 60, 4}} {
		r, err := c.VentSize(dwv.VentQuery{Part: dwv.StackVent, Drain: units.Length(tt.drain) * units.Inch,
			Load: dwv.FixtureUnits(tt.load) * dwv.FixtureUnit, Length: units.Length(tt.length) * units.Foot})
		if err != nil || r.Size != units.Length(tt.want)*units.Inch/2 {
			t.Errorf("%+v: %v, %v", tt, r.Size, err)
		}
	}
	if _, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: dwv.FixtureUnit}); !errors.Is(err,
		tables.ErrNotInCode) {
		t.Errorf("%v", err)
	}
}

func TestLoadCodeFaults(t *testing.T) {
	if _, err := dwv.LoadCode(tables.Embedded(), "upc-1887"); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("%v", err)
	}
	for _, id := range []string{"", "..", "hunter", "ipc-2021/fixtures"} {
		if c, err := dwv.LoadCode(tables.Embedded(), id); err == nil {
			t.Errorf("%q: %v", id, c)
		}
	}
	if _, err := dwv.LoadCode(nil, "ipc-2021"); err == nil {
		t.Error("no shelf")
	}
	bad := tables.Open(fstest.MapFS{
		"sources.csv":       {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
		"x/fixtures.csv":    {Data: []byte("# id: x/fixtures\n# title: X\n# source: x\n# key: row\nrow,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],src,status\na,a,nobody,,,,,unlimited,,,read\nb,b,,pump,,,,1.2345,,,read\n")},
		"x/trap-arm.csv":    {Data: []byte("# id: x/trap-arm\n# title: X\n# source: x\n# key: size\nsize[in],max_length[gal],grade[in/ft],src,status\n2,3,0.25,,read\n")},
		"x/trap-loads.csv":  {Data: []byte("# id: x/trap-loads\n# title: X\n# source: x\n# key: size\nsize[in],load[dfu],src,status\n2,1,,read\n")},
		"x/min-grade.csv":   {Data: []byte("# id: x/min-grade\n# title: X\n# source: x\n# key: part, size_from\npart,size_from[in],min_grade[in/ft],src,status\nroof,2,0.25,,read\n")},
		"x/water-tight.csv": {Data: []byte("not a table")},
	})
	_, err := dwv.LoadCode(bad, "x")
	for _, s := range []string{"trap-arm", "min-grade", "1.2345"} {
		if !strings.Contains(fmt.Sprint(err), s) {
			t.Errorf("%q is not in %v", s, err)
		}
	}
}

// Every set of the shelf that has drainage in the form of a code loads; the others
// are refused as not on the shelf, and none for a fault of its tables.
func TestEverySet(t *testing.T) {
	ids, err := tables.Embedded().IDs()
	if err != nil {
		t.Fatal(err)
	}
	var rated []string // sets that rate fixtures and the drains that carry them
	for _, id := range ids {
		if set, name, _ := strings.Cut(id, "/"); name == "building-drain" && slices.Contains(ids, set+"/fixtures") {
			rated = append(rated, set)
		}
	}
	list, err := dwv.Codes(tables.Embedded())
	var got []string
	for _, c := range list {
		got = append(got, c.ID)
		if c.Title == "" || !slices.Contains(c.Covers, "fixture loads") || !slices.Contains(c.Covers, "building drains") {
			t.Errorf("%+v", c)
		}
		code, err := dwv.LoadCode(tables.Embedded(), c.ID)
		if err != nil || !slices.Contains(code.Fixtures(), tables.Choice{ID: "water-closet", Label: "Water closet"}) {
			t.Errorf("%s: %v, %v", c.ID, code.Fixtures(), err)
		}
	}
	if diff := cmp.Diff(rated, got); diff != "" || err != nil || len(got) < 6 {
		t.Errorf("a layout can be sized under %v, %v (-sets that rate fixtures and drains +codes):\n%s", got, err, diff)
	}
	var loaded []string
	for _, id := range ids {
		set, _, _ := strings.Cut(id, "/")
		if slices.Contains(loaded, set) {
			continue
		}
		c, err := dwv.LoadCode(tables.Embedded(), set)
		switch {
		case err == nil && c.ID() != set:
			t.Errorf("%s loads as %s", set, c.ID())
		case err == nil:
			loaded = append(loaded, set)
		case !errors.Is(err, tables.ErrNotFound):
			t.Error(err)
		}
	}
	for _, id := range append(got, "illinois-890", "louisiana-lac51", "massachusetts-248cmr", "minnesota-4715", "ontario-obc") {
		if !slices.Contains(loaded, id) {
			t.Errorf("%s does not load", id)
		}
	}
	for _, id := range []string{"hunter", "materials", "pipes", "en806-3"} {
		if slices.Contains(loaded, id) {
			t.Errorf("%s loads as a code of drainage", id)
		}
	}
}

// Codes whose tables are in metric units, by grades of one in so many, or that size
// vents and space cleanouts in ways of their own.
func TestOtherCodes(t *testing.T) {
	npc, ontario, asnzs, nspc := code(t, "npc-canada"), code(t, "ontario-obc"), code(t, "asnzs3500-2"),
		code(t, "nspc-2018")
	closet, err := npc.FixtureLoad(tables.Fixture{Kind: "water-closet", Count: 2, Control: tables.Tank})
	if err != nil || closet.Units != 8*dwv.FixtureUnit || closet.Closets != 2 || closet.TrapSize != 3*units.Inch {
		t.Errorf("%+v, %v", closet, err)
	}
	for _, tt := range []struct {
		code    *dwv.Code
		load    dwv.FixtureUnits
		grade   slope.Grade
		closets int
		want    units.Length
	}{
		{npc, 27 * dwv.FixtureUnit, slope.OneIn(50), 2, 3 * units.Inch},
		{npc, 27 * dwv.FixtureUnit, slope.OneIn(50), 3, 4 * units.Inch},
		{npc, 28 * dwv.FixtureUnit, slope.OneIn(50), 0, 4 * units.Inch},
		{npc, 28 * dwv.FixtureUnit, slope.PerFoot(units.Inch / 4), 0, 4 * units.Inch},
		{npc, 27 * dwv.FixtureUnit, slope.OneIn(100), 0, 4 * units.Inch}, // 3 in is not laid so flat
		{ontario, 480 * dwv.FixtureUnit, slope.OneIn(50), 0, 5 * units.Inch},
		{asnzs, 165 * dwv.FixtureUnit, slope.MustParse("1.65 %"), 1, 100 * units.Millimetre},
		{asnzs, 165 * dwv.FixtureUnit, slope.OneIn(60), 1, 100 * units.Millimetre},
	} {
		r, err := tt.code.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: tt.load, Grade: tt.grade, Closets: tt.closets})
		if err != nil || r.Size != tt.want {
			t.Errorf("%v, %v at %v, %d closets: %v, %v, want %v", tt.code, tt.load, tt.grade, tt.closets, r.Size, err, tt.want)
		}
	}
	// A stack of Ontario takes from one storey what the national code does not.
	for c, want := range map[*dwv.Code]units.Length{npc: 3 * units.Inch, ontario: 2 * units.Inch} {
		r, err := c.DrainSize(dwv.DrainQuery{Part: dwv.StackInterval, Load: 10 * dwv.FixtureUnit})
		if err != nil || r.Size != want {
			t.Errorf("%v: %v, %v, want %v", c, r.Size, err, want)
		}
	}
	vent, err := npc.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Drain: 3 * units.Inch, LoadNotStated: true,
		Length: 100 * units.Foot})
	if err != nil || vent.Size != 3*units.Inch/2 || vent.DecidedBy != dwv.VentByLeast {
		t.Errorf("%+v, %v", vent, err)
	}
	if _, err := npc.VentSize(dwv.VentQuery{Part: dwv.IndividualVent, Drain: 10 * units.Inch}); !errors.Is(err,
		tables.ErrOutsideTable) {
		t.Error(err)
	}
	if _, err := npc.VentSize(dwv.VentQuery{Part: dwv.IndividualVent}); !errors.Is(err, tables.ErrNotStated) {
		t.Error(err)
	}
	// 31.7 units for each L/s is 2.0 for each US gallon a minute, as that code prints.
	flow, err := ontario.ContinuousLoad(2 * units.LitrePerSecond)
	if rate, _, _ := ontario.ContinuousRate(); err != nil || flow.Units != dfu("63.4 dfu") || rate < 1.9995 ||
		rate > 2.0005 {
		t.Errorf("%+v, %v, rate %v", flow, err, rate)
	}
	for q, want := range map[units.Flow]dwv.FixtureUnits{0.09 * units.LitrePerSecond: 3 * dwv.FixtureUnit,
		0.0901 * units.LitrePerSecond: 6 * dwv.FixtureUnit, 5.7 * units.LitrePerSecond: 180 * dwv.FixtureUnit} {
		if got, err := ontario.IntermittentLoad(q); err != nil || got.Units != want {
			t.Errorf("%v: %+v, %v, want %v", q, got, err, want)
		}
	}
	for _, tt := range []struct {
		size, want units.Length
		code       *dwv.Code
	}{
		{2 * units.Inch, 7500 * units.Millimetre, npc}, {3 * units.Inch, 15 * units.Metre, npc},
		{4 * units.Inch, 15 * units.Metre, npc}, {6 * units.Inch, 26 * units.Metre, npc},
		{4 * units.Inch, 75 * units.Foot, nspc}, {5 * units.Inch, 100 * units.Foot, nspc},
		{100 * units.Millimetre, 30 * units.Metre, asnzs},
	} {
		if got, cite, err := tt.code.CleanoutSpacing(dwv.Drain, tt.size); err != nil || got != tt.want || cite.IsZero() {
			t.Errorf("%v %v: %v, %v, want %v", tt.code, tt.size, got, err, tt.want)
		}
	}
	// What a set has no rows for is not taken from another part.
	for name, err := range map[string]error{
		"branches sized as drains": second(nspc.DrainSize(dwv.DrainQuery{Part: dwv.Branch, Load: dwv.FixtureUnit,
			Grade: slope.OneIn(48)})),
		"fixtures": second(ontario.FixtureLoad(tables.Fixture{Kind: "lavatory", Count: 1})),
		"stack vents": second(npc.VentSize(dwv.VentQuery{Part: dwv.StackVent, Drain: 3 * units.Inch,
			Load: dwv.FixtureUnit})),
		"closets": second(ontario.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: dwv.FixtureUnit,
			Grade: slope.OneIn(48), Closets: 1})),
	} {
		if !errors.Is(err, tables.ErrNotInCode) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// A larger load never gets a smaller pipe, a steeper grade never carries less, more
// closets never get a smaller pipe, and what a size carries holds the load.
func TestDrainProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	grades := []slope.Grade{slope.MustParse("1/16 in/ft"), slope.MustParse("1%"), slope.MustParse("1/8 in/ft"),
		slope.MustParse("2%"), slope.MustParse("1/4 in/ft"), slope.MustParse("3%"), slope.MustParse("1/2 in/ft"),
		slope.MustParse("10%")}
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		c := code(t, id)
		answers := 0
		for range 20_000 {
			q := dwv.DrainQuery{
				Part: dwv.Part(1 + rng.IntN(4)), Load: dwv.FixtureUnits(math.Exp(rng.Float64()*16)) * milli,
				Grade:   grades[rng.IntN(len(grades))],
				Closets: rng.IntN(6) * rng.IntN(2), Intervals: 1 + rng.IntN(12), BelowGround: rng.IntN(2) == 1,
			}
			r, err := c.DrainSize(q)
			if err != nil {
				continue
			}
			answers++
			if r.MaxLoad < q.Load || r.Load != q.Load || r.Citation.IsZero() {
				t.Fatalf("%s %+v: %+v", id, q, r)
			}
			k, err := c.Capacity(q.Part, r.Size, q.Grade, q.Intervals)
			if err != nil || !k.Holds(q.Load) || k.Max != r.MaxLoad || k.Grade != r.Grade {
				t.Fatalf("%s %+v: capacity %+v, %v of %+v", id, q, k, err, r)
			}
			if r.NextSize != 0 && (r.NextSize <= r.Size || r.NextSizeMaxLoad <= r.MaxLoad) {
				t.Fatalf("%s %+v: the next size buys nothing: %+v", id, q, r)
			}
			more := q
			more.Load += dwv.FixtureUnits(rng.IntN(100_000)) * milli
			if s, err := c.DrainSize(more); err == nil && s.Size < r.Size {
				t.Fatalf("%s: %v takes %v, the larger load %v takes %v", id, q.Load, r.Size, more.Load, s.Size)
			}
			more = q
			more.Closets++
			if s, err := c.DrainSize(more); err == nil && s.Size < r.Size {
				t.Fatalf("%s: one closet more, %v instead of %v", id, s.Size, r.Size)
			}
			more = q
			more.MinSize = r.Size + 1
			if s, err := c.DrainSize(more); err == nil && s.Size <= r.Size {
				t.Fatalf("%s: not over the least size: %v", id, s.Size)
			}
			for _, g := range grades {
				if g.Compare(q.Grade) <= 0 {
					continue
				}
				steeper, err := c.Capacity(q.Part, r.Size, g, q.Intervals)
				if err != nil || steeper.Max < k.Max {
					t.Fatalf("%s %v: %v carries %v, the steeper %v carries %v, %v", id, r.Size, q.Grade, k.Max, g, steeper.Max, err)
				}
			}
		}
		if answers < 5_000 {
			t.Errorf("%s: only %d answers", id, answers)
		}
	}
}

// A longer vent, a larger load and a larger drain never get a smaller vent.
func TestVentProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	drains := []units.Length{units.Inch * 5 / 4, units.Inch * 3 / 2, 2 * units.Inch, 3 * units.Inch, 4 * units.Inch,
		6 * units.Inch, 8 * units.Inch}
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		c := code(t, id)
		answers := 0
		for range 20_000 {
			q := dwv.VentQuery{
				Part: dwv.VentPart(1 + rng.IntN(2)), Drain: drains[rng.IntN(len(drains))],
				Load:   dwv.FixtureUnits(math.Exp(rng.Float64()*14)) * milli,
				Length: units.Length(rng.IntN(300)) * units.Foot, Closets: rng.IntN(2),
			}
			r, err := c.VentSize(q)
			if err != nil {
				continue
			}
			answers++
			if r.Citation.IsZero() || r.MaxLength != 0 && q.Length > r.MaxLength || r.MaxLoad != 0 && q.Load > r.MaxLoad {
				t.Fatalf("%s %+v: %+v", id, q, r)
			}
			longer := q
			longer.Length += units.Length(rng.IntN(200)) * units.Foot
			if s, err := c.VentSize(longer); err == nil && s.Size < r.Size {
				t.Fatalf("%s %+v: longer by %v, smaller by %v", id, q, longer.Length-q.Length, r.Size-s.Size)
			}
			heavier := q
			heavier.Load += dwv.FixtureUnits(rng.IntN(50_000)) * milli
			if s, err := c.VentSize(heavier); err == nil && s.Size < r.Size {
				t.Fatalf("%s %+v: %v for more", id, q, s.Size)
			}
		}
		if answers < 2_000 {
			t.Errorf("%s: only %d answers", id, answers)
		}
	}
}

func TestLookupsAllocateNothing(t *testing.T) {
	ipc, upc := code(t, "ipc-2021"), code(t, "upc-2021")
	f := tables.Fixture{Kind: "water-closet", Count: 2, Use: tables.Private, Control: tables.Tank,
		Flush: 1.6 * units.USGallon}
	q := dwv.DrainQuery{Part: dwv.Drain, Load: 40 * dwv.FixtureUnit, Grade: slope.MustParse("2%"), Closets: 2,
		BelowGround: true}
	v := dwv.VentQuery{Part: dwv.StackVent, Drain: 4 * units.Inch, Load: 140 * dwv.FixtureUnit, Length: 100 * units.Foot}
	list := []tables.Fixture{f, {Kind: "lavatory", Count: 3}}
	for name, run := range map[string]func() error{
		"fixture load ipc": func() error { _, err := ipc.FixtureLoad(f); return err },
		"fixture load upc": func() error { _, err := upc.FixtureLoad(f); return err },
		"loads":            func() error { _, err := ipc.Loads(list); return err },
		"drain size ipc":   func() error { _, err := ipc.DrainSize(q); return err },
		"drain size upc":   func() error { _, err := upc.DrainSize(q); return err },
		"capacity":         func() error { _, err := ipc.Capacity(dwv.Drain, 3*units.Inch, q.Grade, 0); return err },
		"vent size":        func() error { _, err := ipc.VentSize(v); return err },
		"trap arm":         func() error { _, err := ipc.TrapArm(2 * units.Inch); return err },
		"least grade":      func() error { _, err := ipc.MinGrade(dwv.Drain, 3*units.Inch); return err },
		"rule":             func() error { _, _, err := ipc.RuleLength("cleanout-spacing"); return err },
		"cleanout":         func() error { _, _, err := ipc.CleanoutSize(3 * units.Inch); return err },
	} {
		if err := run(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if n := testing.AllocsPerRun(100, func() { _ = run() }); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
}

// TestNearestDrainSize: the building drain of IPC 2021 Table 710.1(1), by hand: what a size is not laid flat for
// is held to the next steeper grade at which it is.
func TestNearestDrainSize(t *testing.T) {
	ipc := code(t, "ipc-2021")
	grade := func(thirtySeconds int64) slope.Grade {
		g, err := slope.Ratio(thirtySeconds, 32*12)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	for _, tt := range []struct {
		load   int
		thirty int64 // grade in 1/32 in/ft
		want   units.Length
		full   bool // no size takes it
	}{
		{36, 4, 3 * units.Inch, false}, {37, 4, 4 * units.Inch, false}, // as laid
		{21, 4, 2 * units.Inch, false}, {22, 4, 5 * units.Inch / 2, false}, // by 1/4 in/ft
		{1400, 2, 8 * units.Inch, false}, {1401, 2, 10 * units.Inch, false}, // as laid
		{700, 2, 6 * units.Inch, false}, {701, 2, 8 * units.Inch, false}, // by 1/8 in/ft
		{21, 1, 2 * units.Inch, false}, {22, 1, 5 * units.Inch / 2, false}, // flatter than the whole table
		{7000, 2, 15 * units.Inch, false}, {7001, 2, 15 * units.Inch, true},
		{26, 16, 2 * units.Inch, false}, {26, 8, 3 * units.Inch, false},
	} {
		load := dwv.FixtureUnits(tt.load) * dwv.FixtureUnit
		got, ok, err := ipc.NearestDrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: load, Grade: grade(tt.thirty)})
		if !ok || got.Size != tt.want || (err != nil) != tt.full {
			t.Errorf("%d dfu at %d/32 in/ft: %v, %v, %v; want %v", tt.load, tt.thirty, got.Size, ok, err, tt.want)
		}
	}
}

// TestDroppedRules: a rule that a town drops is among what the code tells of it.
func TestDroppedRules(t *testing.T) {
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nmillbrook,Ordinance,Village,,2023,,\n")},
		"ipc-2021/rules.csv": {Data: []byte("# id: ipc-2021/rules\n# source: millbrook\n" +
			"op,rule,value,unit,section,status\ndrop,below-ground-min-size,,,,\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	c, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	if d := c.Dropped(); len(d) != 1 || d[0].Row.Row() != "rule below-ground-min-size" {
		t.Errorf("%v", d)
	}
	if d := code(t, "ipc-2021").Dropped(); len(d) != 0 {
		t.Errorf("dropped by nobody: %v", d)
	}
}

// TestKinds: the kinds of fixture that some code rates, and none that no code does.
func TestKinds(t *testing.T) {
	known := dwv.FixtureKindsOn(tables.Embedded())
	for kind, want := range map[string]bool{"water-closet": true, "lavatory": true, "bidet": true, "pump": false, "": false} {
		if known[kind] != want {
			t.Errorf("%q is known: %v", kind, known[kind])
		}
	}
}

// TestLoadRules: a set of another method gives its single rules and where they are from, and says what it lacks.
func TestLoadRules(t *testing.T) {
	c, err := dwv.LoadRules(tables.Embedded(), "en12056-2")
	if err != nil || !strings.Contains(c.Source().Title, "12056") {
		t.Fatalf("%v, %v", c, err)
	}
	if _, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: dwv.FixtureUnit}); !errors.Is(err, tables.ErrNotInCode) {
		t.Errorf("a size by fixture units: %v", err)
	}
	for id, shelf := range map[string]*tables.Shelf{"en12056-9": tables.Embedded(), "en12056-2": nil} {
		if c, err := dwv.LoadRules(shelf, id); err == nil || c != nil {
			t.Errorf("%s: %v, %v", id, c, err)
		}
	}
}

// TestSewerCleanouts: a sewer goes by the rule of sewers, a drain by its own.
func TestSewerCleanouts(t *testing.T) {
	ipc := code(t, "ipc-2021")
	for part, want := range map[dwv.Part]string{dwv.Sewer: "rule sewer-cleanout-spacing", dwv.Drain: "rule cleanout-spacing"} {
		if got, cite, err := ipc.CleanoutSpacing(part, 4*units.Inch); err != nil || got != 100*units.Foot || cite.Row() != want {
			t.Errorf("%v: %v by %q, %v", part, got, cite.Row(), err)
		}
	}
	if _, cite, err := code(t, "irc-2021").CleanoutSpacing(dwv.Sewer, 4*units.Inch); err != nil || cite.Row() != "rule cleanout-spacing" {
		t.Errorf("a code without a rule of sewers: %q, %v", cite.Row(), err)
	}
}
