package en12056

import (
	"errors"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func percent(t testing.TB, s string) slope.Grade {
	t.Helper()
	g, err := slope.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestSystemIIIBranch: branches of one kind of appliance, found by hand in Tables 6 and 9 as they are on the shelf.
func TestSystemIIIBranch(t *testing.T) {
	e := european(t)
	const mm, m = units.Millimetre, units.Metre
	way := func(length units.Length, grade string) Way { return Way{Length: length, Grade: percent(t, grade)} }
	basins := func(n int) Appliance { return Appliance{Fixture: tables.Fixture{Kind: "lavatory", Count: n}} }
	one := func(kind, variant string, outlet units.Length) Appliance {
		return Appliance{Fixture: tables.Fixture{Kind: kind, Count: 1, Size: outlet}, Variant: variant}
	}
	for _, tt := range []struct {
		what      string
		of        Appliance
		vented    bool
		laid      units.Length
		way       Way
		want      units.Length // 0: more than share a branch
		takes     int64
		maxLength units.Length // 0: no limit
	}{
		{"short and flat", basins(1), false, 0, way(1700*mm, "2.2 %"), 30 * mm, 1, 1700 * mm},
		{"too long for that grade", basins(1), false, 0, way(1200*mm, "4.4 %"), 40 * mm, 1, 3 * m},
		{"steep and very short", basins(1), false, 0, way(700*mm, "8.7 %"), 30 * mm, 1, 700 * mm},
		{"a millimetre too long", basins(1), false, 0, way(701*mm, "8.7 %"), 40 * mm, 1, 3 * m},
		{"too long for all", basins(1), false, 0, way(5*m, "2.2 %"), 40 * mm, 1, 3 * m},
		{"laid DN 30 between two grades", basins(1), false, 30 * mm, way(5*m, "3 %"), 30 * mm, 1, 1100 * mm},
		{"laid DN 40", basins(1), false, 40 * mm, way(m, "2.2 %"), 40 * mm, 1, 3 * m},
		{"laid 32 mm", basins(1), false, 32 * mm, way(m, "2.2 %"), 30 * mm, 1, 1700 * mm},
		{"laid larger than the table", basins(1), false, 50 * mm, way(m, "2.2 %"), 40 * mm, 1, 3 * m},
		{"laid smaller than the table", one("kitchen-sink", "", 0), false, 30 * mm, way(m, "2 %"), 40 * mm, 1, 0},
		{"two share the pipe of four", basins(2), false, 0, way(m, "2 %"), 50 * mm, 4, 4 * m},
		{"four", basins(4), false, 0, way(m, "2 %"), 50 * mm, 4, 4 * m},
		{"five, without a vent", basins(5), false, 0, way(m, "2 %"), 0, 0, 0},
		{"five", basins(5), true, 0, way(m, "2 %"), 50 * mm, 5, 7 * m},
		{"six", basins(6), true, 0, way(m, "2 %"), 50 * mm, 10, 10 * m},
		{"eleven", basins(11), true, 0, way(m, "2 %"), 0, 0, 0},
		{"a closet of 80 mm", one("water-closet", "", 80*mm), false, 0, way(m, "2 %"), 75 * mm, 1, 0},
		{"a closet of 90 mm", one("water-closet", "", 90*mm), false, 0, way(m, "2 %"), 100 * mm, 1, 0},
		{"a closet of no stated outlet", one("water-closet", "", 0), false, 0, way(m, "2 %"), 100 * mm, 1, 0},
		{"a slab of urinals", one("urinal", "slab", 0), false, 0, way(3*m, "2 %"), 60 * mm, 1, 3 * m},
		{"a bowl", one("urinal", "", 0), false, 0, way(3*m, "2 %"), 40 * mm, 1, 3 * m},
	} {
		got, err := e.SystemIIIBranch(tt.of, tt.vented, tt.laid, tt.way)
		if tt.want == 0 {
			if !errors.Is(err, tables.ErrOutsideTable) {
				t.Errorf("%s: %+v, %v", tt.what, got, err)
			}
			continue
		}
		long, _ := got.MaxLength.Get()
		if err != nil || got.Size != tt.want || got.Appliances != tt.takes || long != tt.maxLength ||
			got.Variant != tt.of.Variant {
			t.Errorf("%s: %v of %d, %v long, %q, %v; want %v of %d, %v", tt.what, got.Size, got.Appliances, long,
				got.Variant, err, tt.want, tt.takes, tt.maxLength)
		}
	}
}

// TestKeeps: a way at each limit of a branch and one step past it.
func TestKeeps(t *testing.T) {
	e := european(t)
	const mm, m = units.Millimetre, units.Metre
	branch := func(kind string, size, length units.Length, vented bool) *SystemIIIBranch {
		all, err := e.SystemIIIBranches(kind, vented)
		if err != nil {
			t.Fatal(err)
		}
		for k := range all {
			if long, _ := all[k].MaxLength.Get(); all[k].Size == size && long == length {
				return &all[k]
			}
		}
		t.Fatalf("no %s of %v", kind, size)
		return nil
	}
	basin, graph := branch("lavatory", 40*mm, 3*m, false), branch("lavatory", 30*mm, 11*m/10, false)
	sink := branch("kitchen-sink", 40*mm, 0, false)
	for _, tt := range []struct {
		branch *SystemIIIBranch
		way    Way
		want   bool
	}{
		{basin, Way{Length: 3 * m, Bends: 2, Grade: percent(t, "4.4 %")}, true},
		{basin, Way{Length: 3*m + mm, Bends: 2, Grade: percent(t, "4.4 %")}, false},
		{basin, Way{Length: 3 * m, Bends: 3, Grade: percent(t, "4.4 %")}, false},
		{basin, Way{Length: 3 * m, Bends: 2, Drop: mm, Grade: percent(t, "4.4 %")}, false},
		{basin, Way{Length: 3 * m, Bends: 2, Grade: percent(t, "4.5 %")}, false},
		{basin, Way{Length: 3 * m, Bends: 2, Grade: percent(t, "1 %")}, true}, // too flat is told by the least grade
		{graph, Way{Length: 11 * m / 10, Grade: percent(t, "4.4 %")}, true},
		{graph, Way{Length: 11 * m / 10, Grade: percent(t, "4.3 %")}, false}, // between the points of the graph
		{graph, Way{Length: 11 * m / 10, Grade: percent(t, "4.5 %")}, false},
		{sink, Way{Length: 50 * m, Bends: 9, Drop: 3 * m / 2, Grade: percent(t, "9 %")}, true},
		{sink, Way{Length: 50 * m, Drop: 3*m/2 + mm, Grade: percent(t, "9 %")}, false},
	} {
		if got := tt.branch.Keeps(tt.way); got != tt.want {
			t.Errorf("%v %v: %v", tt.branch.Citation.Row(), tt.way, got)
		}
	}
	for laid, want := range map[units.Length]bool{30 * mm: false, 32 * mm: false, 37 * mm: false, 75 * mm / 2: true,
		40 * mm: true} {
		if got := graph.Larger(laid); got != want {
			t.Errorf("%v larger than DN 30: %v", laid, got)
		}
	}
	if basin.OnGraph() || !graph.OnGraph() || sink.OnGraph() {
		t.Error("only basins of 30 mm without a vent go by a graph")
	}
}

// TestBranchesOfClosets: Tables 4 and 7: the table bars closets at one size and means the smaller ones too.
func TestBranchesOfClosets(t *testing.T) {
	e := european(t)
	for _, tt := range []struct {
		system  string
		vented  bool
		flow    float64
		closets int
		want    units.Length
		vent    units.Length
	}{
		{"I", false, 1, 0, 60, 0}, {"I", false, 1, 1, 90, 0}, {"I", false, 1, 2, 90, 0}, {"I", false, 1, 3, 100, 0},
		{"II", false, 0.5, 0, 40, 0}, {"II", false, 0.5, 1, 80, 0}, {"II", false, 0.5, 2, 90, 0},
		{"I", true, 0.7, 1, 90, 60}, {"I", true, 0.7, 0, 50, 40}, {"IV", true, 3, 0, 70, 40}, {"IV", true, 3, 1, 80, 40},
	} {
		got, err := e.Branch(tt.system, tt.vented, units.Flow(tt.flow)*units.LitrePerSecond, tt.closets)
		if err != nil || got.Size != tt.want*units.Millimetre || got.Vent != tt.vent*units.Millimetre {
			t.Errorf("%+v: %v, %v, %v", tt, got.Size, got.Vent, err)
		}
	}
}

// TestChoices: what a table lacks is refused with what it has, of the same part and of no other.
func TestChoices(t *testing.T) {
	e := european(t)
	const mm = units.Millimetre
	half := 0.5 * units.LitrePerSecond
	outside := tables.ErrOutsideTable
	for name, tt := range map[string]struct {
		err   error
		kind  error
		says  string // words that all must be there
		never string
	}{
		"a way to vent": {second(e.Stack("I", "none", "swept", half, 0)), tables.ErrNotInCode, "primary;secondary", "square"},
		"an entry":      {second(e.Stack("I", "primary", "round", half, 0)), tables.ErrNotInCode, "square;swept", "secondary"},
		"a branch":      {second(e.BranchOfSize("I", false, 30*mm)), outside, "it has 40 mm;100 mm", "125 mm"},
		"of system II":  {second(e.BranchOfSize("II", false, 100*mm)), outside, "it has 30 mm;90 mm", "100 mm,"},
		"a stack":       {second(e.StackOfSize("primary", "square", 50*mm)), outside, "60 mm;200 mm", "225 mm"},
		"stacks":        {second(e.StackOfSize("primary", "round", 100*mm)), tables.ErrNotInCode, "no sizes", " mm"},
		"a drain":       {second(e.DrainOfSize(0.5, percent(t, "2 %"), 60*mm)), outside, "100 mm", "60 mm,"},
		"a flat drain": {second(e.DrainOfSize(0.5, percent(t, "0.1 %"), 100*mm)), outside, "flatter;begin at 0.5 %",
			"the table has no"},
	} {
		if !errors.Is(tt.err, tt.kind) {
			t.Errorf("%s: %v", name, tt.err)
			continue
		}
		for s := range strings.SplitSeq(tt.says, ";") {
			if !strings.Contains(tt.err.Error(), s) {
				t.Errorf("%s: %v does not say %q", name, tt.err, s)
			}
		}
		if strings.Contains(tt.err.Error(), tt.never) {
			t.Errorf("%s: %v says %q", name, tt.err, tt.never)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// TestSmallDrop: Table 5 gives small branches of system II a drop of their own, and only those without a vent.
func TestSmallDrop(t *testing.T) {
	e := european(t)
	for _, tt := range []struct {
		system string
		vented bool
		want   string
	}{{"II", false, "3.0"}, {"II", true, ""}, {"I", false, ""}, {"I", true, ""}} {
		if l, err := e.BranchLimits(tt.system, tt.vented); err != nil || l.MaxDropSmall.Value != tt.want {
			t.Errorf("%s, %v: %+v, %v", tt.system, tt.vented, l.MaxDropSmall, err)
		}
	}
}

// TestVariantNotStated: an appliance with variants is not taken for one of them.
func TestVariantNotStated(t *testing.T) {
	e := european(t)
	for variant, want := range map[string]string{"to-6-kg": "", "to-12-kg": "", "": "to-12-kg", "to-9-kg": "to-12-kg"} {
		_, err := e.Load("I", []Appliance{{Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1}, Variant: variant}})
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", variant, err)
		}
	}
}

// TestOfSize: what a pipe that is laid carries, of Tables 4, 7, 11, 12, B.1 and B.2 as they are on the shelf.
func TestOfSize(t *testing.T) {
	e := european(t)
	const mm = units.Millimetre
	for _, tt := range []struct {
		name     string
		of       func() (Pipe, error)
		carries  float64 // L/s
		vent     units.Length
		velocity units.Velocity
	}{
		{"drain", func() (Pipe, error) { return e.DrainOfSize(0.5, percent(t, "1 %"), 100*mm) }, 2.5, 0, 0.7},
		{"steeper", func() (Pipe, error) { return e.DrainOfSize(0.5, percent(t, "2 %"), 100*mm) }, 3.5, 0, 1},
		{"fuller", func() (Pipe, error) { return e.DrainOfSize(0.7, percent(t, "2 %"), 100*mm) }, 5.9, 0, 1.1},
		{"greater", func() (Pipe, error) { return e.DrainOfSize(0.5, percent(t, "1 %"), 125*mm) }, 4.1, 0, 0.8},
		{"branch", func() (Pipe, error) { return e.BranchOfSize("I", false, 90*mm) }, 2.25, 0, 0},
		{"with a vent", func() (Pipe, error) { return e.BranchOfSize("I", true, 90*mm) }, 3.4, 60 * mm, 0},
		{"of system II", func() (Pipe, error) { return e.BranchOfSize("II", false, 90*mm) }, 2.5, 0, 0},
		{"stack", func() (Pipe, error) { return e.StackOfSize("primary", "square", 100*mm) }, 4, 0, 0},
		{"swept", func() (Pipe, error) { return e.StackOfSize("primary", "swept", 100*mm) }, 5.2, 0, 0},
		{"with a vent stack", func() (Pipe, error) { return e.StackOfSize("secondary", "swept", 100*mm) }, 7.3,
			50 * mm, 0},
	} {
		p, err := tt.of()
		if err != nil || p.MaxFlow != units.Flow(tt.carries)*units.LitrePerSecond || p.Vent != tt.vent ||
			p.Velocity != tt.velocity {
			t.Errorf("%s: %+v, %v, want %v L/s", tt.name, p, err, tt.carries)
		}
	}
}

// TestUnlistedVariant: system III has one branch for household washers, whatever they take.
func TestUnlistedVariant(t *testing.T) {
	washer := Appliance{Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1}, Variant: "to-6-kg"}
	way := Way{Length: units.Metre, Grade: percent(t, "2 %")}
	got, err := european(t).SystemIIIBranch(washer, false, 0, way)
	if err != nil || got.Size != 40*units.Millimetre || got.Variant != "" {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestAppliancesOffered: each that is offered has a figure, with its flush or size; none is offered where the table has
// a dash.
func TestAppliancesOffered(t *testing.T) {
	e := european(t)
	for _, tt := range []struct {
		system, kind string
		want         string // flush in L or size in mm, and the discharge unit of Table 2
	}{
		{"I", "water-closet", "6:2 7.5:2 9:2.5"}, {"II", "water-closet", "4:1.8 6:1.8 7.5:1.8 9:2"},
		{"III", "water-closet", "6:1.7 7.5:1.8 9:2"}, // the upper ends of the ranges
		{"I", "floor-drain", "50:0.8 70:1.5 100:2"}, {"III", "floor-drain", ""}, {"I", "sofa", ""},
		{"I", "urinal", "slab:0.2 tank:0.8 valve:0.5"}, {"III", "urinal", "slab:0.2 tank:0.4"},
	} {
		var list []string
		for _, a := range e.Appliances(tt.system, tt.kind) {
			du, _, err := e.DischargeUnits(tt.system, a)
			if err != nil {
				t.Errorf("%+v: %v", a, err)
			}
			by := a.Variant + a.Control.String()
			switch {
			case a.Flush != 0:
				by = strconv.FormatFloat(a.Flush.In(units.Litre), 'g', 6, 64)
			case a.Size != 0:
				by = strconv.FormatFloat(a.Size.Millimetres(), 'g', 6, 64)
			}
			list = append(list, by+":"+strconv.FormatFloat(du.Units(), 'g', 6, 64))
		}
		if got := strings.Join(list, " "); got != tt.want {
			t.Errorf("%s, %s: %s, want %s", tt.system, tt.kind, got, tt.want)
		}
	}
}

// TestSizesOfColumn: the sizes that are told are those of the same filling and grade, or vent and entry.
func TestSizesOfColumn(t *testing.T) {
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\n" +
			"town,Ordinance of the town,,,2024,,\n")},
		ID + "/drain-capacity.csv": {Data: []byte("# id: " + ID + "/drain-capacity\n# source: town\n" +
			"op,filling[1],grade[%],size[mm],src,status\ndrop,0.5,0.5,125,town,read\n")},
		ID + "/stacks.csv": {Data: []byte("# id: " + ID + "/stacks\n# source: town\n" +
			"op,vent,entry,size[mm],src,status\ndrop,primary,square,70,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	e, err := LoadStandard(shelf)
	if err != nil {
		t.Fatal(err)
	}
	const mm = units.Millimetre
	for _, tt := range []struct {
		err  error
		want string
	}{
		{second(e.DrainOfSize(0.5, percent(t, "0.5 %"), 125*mm)), "it has 100 mm, 150 mm, "},
		{second(e.StackOfSize("primary", "square", 70*mm)), "it has 60 mm, 80 mm, "},
		{second(e.DrainOfSize(0.5, percent(t, "1 %"), 70*mm)), "it has 100 mm, 125 mm, 150 mm, "},
		{second(e.StackOfSize("secondary", "square", 50*mm)), "it has 60 mm, 70 mm, "},
	} {
		if !errors.Is(tt.err, tables.ErrOutsideTable) || !strings.Contains(tt.err.Error(), tt.want) {
			t.Errorf("%v, want %q", tt.err, tt.want)
		}
	}
}

// TestFaultsTogether: each appliance that cannot be rated is told, and not only the first.
func TestFaultsTogether(t *testing.T) {
	some := func(kind string, count int) Appliance {
		return Appliance{Fixture: tables.Fixture{Kind: kind, Count: count}}
	}
	_, err := european(t).Load("I", []Appliance{some("font", 1), some("lavatory", 0), some("bidet", 1), some("kiln",
		1)})
	for _, want := range []string{"fixtures[0]: fixture: ", "fixtures[1]: count: ", "fixtures[3]: fixture: "} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
}

// TestNoStandard: one that was not loaded has no document and judges nothing.
func TestNoStandard(t *testing.T) {
	for _, e := range []*Standard{nil, new(Standard)} {
		if list, err := e.NotJudged(); !errors.Is(err, tables.ErrQuery) || e.Source() != (tables.Source{}) {
			t.Errorf("%v, %v", list, err)
		}
	}
	e := european(t)
	if list, err := e.NotJudged(); err != nil || len(list) < 2 || e.Source().ID == "" {
		t.Errorf("%v, %v", list, err)
	}
}
