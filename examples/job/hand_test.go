package job

import (
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestPrinted: what a report prints of one quantity, in feet and in metres, worked by hand: 1 in is 25.4 mm, 1 ft
// 304.8 mm, 1 gpm 0.06309 L/s, 1 psi 6.895 kPa, 1 US gal 3.785 L, 1 yd3 0.7646 m3.
func TestPrinted(t *testing.T) {
	us, si := newPrinter(false, false), newPrinter(true, false)
	const in, ft, mm, m = units.Inch, units.Foot, units.Millimetre, units.Metre
	gpm, psi, gal := units.USGallonPerMinute, units.PoundForcePerSquareInch, units.USGallon
	type by = func(printer) string
	length := func(f func(printer, units.Length) Quantity, l units.Length) by {
		return func(p printer) string { return string(f(p, l)) }
	}
	for _, c := range []struct {
		name     string
		of       by
		inFeet   string
		inMetres string
	}{
		{"a run in sixteenths", length(printer.run, 12*ft+6*in+3*in/16), `12'-6 3/16"`, "3.81 m"},
		{"a run in metres", length(printer.run, 3*m), `9'-11"`, "3.00 m"}, // 9 ft 10.11 in
		{"added up", length(printer.measured, 10*ft+in/8), `10'-1"`, "3.05 m"},
		{"added up, to the inch", length(printer.measured, 10*ft+in), `10'-1"`, "3.07 m"},
		{"an elevation", length(printer.elevation, 98*ft+5*in), "98.42 ft", "29.997 m"},
		{"just below nought", length(printer.elevation, -in/20), "0.00 ft", "-0.001 m"},
		{"a floor", length(printer.level, 100*ft), "100.00 ft", "30.48 m"},
		{"a depth", length(printer.depth, 19*in+in/2), "19 1/2 in", "495 mm"},
		{"a depth of nothing", length(printer.depth, 0), "0 in", "0 mm"},
		{"a depth under an inch", length(printer.depth, -3*in/4), "-3/4 in", "-19 mm"},
		{"by tape, two feet", length(printer.tape, 2*ft), "24 in", "610 mm"},
		{"by tape, a hair more", length(printer.tape, 2*ft+in/16), `2'-0 1/16"`, "611 mm"},
		{"a cover", length(printer.cover, 11*in+7*in/8), "11 3/4 in", "301 mm"}, // the quarter, the millimetre below
		{"a cover in quarters", length(printer.cover, 11*in+3*in/4), "11 3/4 in", "298 mm"},
		{"a cover below nought", length(printer.cover, -in/8), "-1/4 in", "-4 mm"},
		{"a cover that lacks", length(printer.short, in/8), "1/4 in", "4 mm"},
		{"to be bought", length(printer.order, 10*ft+in), "11 ft", "3.1 m"},
		{"to be bought, whole feet", length(printer.order, 10*ft), "10 ft", "3.1 m"},
		{"to be bought, tenths of a metre", length(printer.order, 3*m), "10 ft", "3.0 m"},
		{"a rod", length(printer.rod, 6*ft+2*in+in/8), `6'-2 1/8"`, "1883 mm"},
		{"a bore of sleeve", length(printer.bore, 6*in), "6 in", "6 in"},
		{"a bore in millimetres", length(printer.bore, 110*mm), "110 mm", "110 mm"},
		{"a size", func(p printer) string { return string(p.size(100 * mm)) }, "DN 100", "DN 100"},
		{"a size in inches", func(p printer) string { return string(p.size(3 * in / 2)) }, "1 1/2 in", "1 1/2 in"},
		{"no size", func(p printer) string { return string(p.size(0)) }, "", ""},
		{"a grade", func(p printer) string { return string(p.grade(slope.PerFoot(in / 4))) }, "1/4 in/ft", "2.08 %"},
		{"level", func(p printer) string { return string(p.grade(slope.Grade{})) }, "level", "level"},
		{"nothing left of a grade", func(p printer) string { return string(p.margin(slope.Grade{})) }, "0", "0"},
		{"a flow", func(p printer) string { return string(p.flow(25 * gpm)) }, "25.0 gpm", "1.58 L/s"},
		{"a flow of an outlet", func(p printer) string { return string(p.flow(2.25 * gpm)) }, "2.25 gpm", "0.14 L/s"},
		{"a flow of three", func(p printer) string { return string(p.flow(3 * gpm)) }, "3.0 gpm", "0.19 L/s"},
		{"a flow under three", func(p printer) string { return string(p.flow(2.5 * gpm)) }, "2.5 gpm", "0.16 L/s"},
		{"a flow kept up", func(p printer) string { return string(p.smallFlow(gpm / 4)) }, "0.25 gpm", "0.016 L/s"},
		{"a pressure", func(p printer) string { return string(p.pressure(50 * psi)) }, "50.0 psi", "345 kPa"},
		{"a velocity", func(p printer) string { return string(p.velocity(8 * units.FootPerSecond)) }, "8.0 ft/s", "2.44 m/s"},
		{"a gallon", func(p printer) string { return string(p.volume(gal)) }, "1.0 gal", "3.8 L"},
		{"a third of one", func(p printer) string { return string(p.volume(gal / 3)) }, "0.33 gal", "1.3 L"},
		{"a litre", func(p printer) string { return string(p.volume(units.Litre)) }, "0.26 gal", "1.0 L"},
		{"earth", func(p printer) string { return string(p.earth(10 * units.CubicYard)) }, "10.0 yd3", "7.6 m3"},
		{"a power", func(p printer) string { return string(p.power(1000 * units.Watt)) }, "3412 Btu/h", "1000 W"},
		{"a head", func(p printer) string { return string(p.head(3 * units.FootOfHead)) }, "3.0 ft", "0.91 m"},
		{"a head of next to nothing", func(p printer) string { return string(p.head(units.FootOfHead / 100)) },
			"less than 0.1 ft", "less than 0.01 m"},
		{"no head", func(p printer) string { return string(p.head(0)) }, "0.0 ft", "0.00 m"},
		{"a length found", length(printer.length, 2*ft), "24 in", "610 mm"},
		{"a longer one", length(printer.length, 2*ft+in), `2'-1"`, "635 mm"},
		{"one that lacks", length(printer.length, -2*ft), "-24 in", "-610 mm"},
		{"a longer one that lacks", length(printer.length, -2*ft-in), `-2'-1"`, "-635 mm"},
		{"a metre", length(printer.length, m), `3'-3 3/8"`, "1.00 m"},
		{"a metre that lacks", length(printer.length, -m), `-3'-3 3/8"`, "-1.00 m"},
		{"a metre and a millimetre", length(printer.length, 1001*mm), `3'-3 7/16"`, "1.001 m"},
	} {
		if got := c.of(us); got != c.inFeet {
			t.Errorf("%s: %s, want %s", c.name, got, c.inFeet)
		}
		if got := c.of(si); got != c.inMetres {
			t.Errorf("%s: %s, want %s", c.name, got, c.inMetres)
		}
	}
}

// TestCans: cement in pints where one will do, else whole quarts; half litres, else litres. A quart is a quarter of
// a gallon, a pint half of that.
func TestCans(t *testing.T) {
	for _, c := range []struct {
		v        units.Volume
		quarts   string
		inLitres string
	}{
		{0, "", ""}, {units.USGallon / 16, "1 1 pint can", "1 500 mL can"}, {units.USGallon / 8, "1 1 pint can", "1 500 mL can"},
		{units.USGallon / 7, "1 1 quart can", "1 1 L can"}, {units.USGallon / 4, "1 1 quart can", "1 1 L can"},
		{units.USGallon / 2, "2 1 quart can", "2 1 L can"}, {units.Litre / 2, "1 1 quart can", "1 500 mL can"},
		{units.USGallon, "4 1 quart can", "4 1 L can"},
	} {
		for si, want := range map[bool]string{false: c.quarts, true: c.inLitres} {
			got := ""
			for _, row := range newPrinter(si, false).cans(nil, "cement", c.v) {
				got += string(row.Quantity) + " " + string(row.Size)
			}
			if got != want {
				t.Errorf("%.3f L: %q, want %q", float64(c.v/units.Litre), got, want)
			}
		}
	}
}

// TestFiguresBeside: a finding's figures are told beside its sentence unless that names them: the limit by its side,
// and what is missing or to spare.
func TestFiguresBeside(t *testing.T) {
	for _, c := range []struct {
		name, text            string
		value, limit, margin  Quantity
		want, called, lacking string
	}{
		{"too little", "Pressure", "5 psi", "8 psi", "-3 psi", " (5 psi; at least 8 psi; 3 psi too little)", "at least", "too little"},
		{"too much", "Pressure", "90 psi", "80 psi", "-10 psi", " (90 psi; limit 80 psi; 10 psi too much)", "limit", "too much"},
		{"enough", "Pressure", "12 psi", "8 psi", "4 psi", " (12 psi; at least 8 psi; 4 psi to spare)", "at least", "too little"},
		{"under the most", "Pressure", "70 psi", "80 psi", "10 psi", " (70 psi; limit 80 psi; 10 psi to spare)", "limit", "too much"},
		{"told already", "It is 5 psi of 8 psi: 3 psi too little", "5 psi", "8 psi", "-3 psi", "", "at least", "too little"},
		{"the value told", "It is 5 psi", "5 psi", "8 psi", "-3 psi", " (at least 8 psi; 3 psi too little)", "at least", "too little"},
		{"the margin told", "It lacks 3 psi", "5 psi", "8 psi", "-3 psi", " (5 psi; at least 8 psi)", "at least", "too little"},
		{"just too much, in words", "It is just too small", "5 psi", "8 psi", "-3 psi", " (5 psi; at least 8 psi)", "at least",
			"too little"},
		{"no margin", "Pressure", "5 psi", "8 psi", "", " (5 psi; limit 8 psi)", "limit", "beyond the limit"},
		{"equal", "Pressure", "8 psi", "8 psi", "0 psi", " (8 psi; limit 8 psi; 0 psi to spare)", "limit", "beyond the limit"},
		{"other units", "Fall", "5 in", "2 %", "-1 in", " (5 in; limit 2 %; 1 in beyond the limit)", "limit", "beyond the limit"},
		{"words", "Fall", "level", "2 %", "-2 %", " (level; limit 2 %; 2 % beyond the limit)", "limit", "beyond the limit"},
		{"a count alone", "Two of them", "2", "", "", "", "limit", "beyond the limit"},
		{"a value alone", "Wait", "50 s", "", "", " (50 s)", "limit", "beyond the limit"},
		{"no value", "Wait", "", "30 s", "", "", "limit", "beyond the limit"},
		{"the other sign", "Off by 2 in", "-2 in", "2 in", "-4 in", " (limit 2 in; 4 in too little)", "", ""},
	} {
		f := &FindingRow{Value: c.value, Limit: c.limit, Margin: c.margin}
		called, off := f.sideOfLimit()
		if c.called != "" && (called != c.called || off != c.lacking) {
			t.Errorf("%s: %q and %q, want %q and %q", c.name, called, off, c.called, c.lacking)
		}
		if c.called == "" { // a least figure: -2 in of 2 in
			c.want = strings.Replace(c.want, "limit", called, 1)
		}
		if got := f.figuresBeside(c.text); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	missing := &FindingRow{Value: "5 psi", Limit: "8 psi", Margin: "-3 psi"}
	missing.IfConfirmed = tables.Pass // from memory: it passes if the book agrees, so nothing is missing
	if got := missing.figuresBeside("Pressure"); got != " (5 psi; at least 8 psi)" {
		t.Errorf("missing, if the book does not agree: %q", got)
	}
	for _, c := range []struct {
		text, words string
		want        bool
	}{
		{"is 1 in too high", "1 in", true}, {"is 11 in too high", "1 in", false}, {"is 1 inch too high", "1 in", false},
		{"is 3 1/2 in too high", "1/2 in", false}, {"is 1/2 in too high", "1/2 in", true}, {"11 in, then 1 in", "1 in", true},
		{"at L1", "L1", true}, {"at L12", "L1", false}, {"at L-1", "1", false}, {"3/1 in", "1 in", false}, {"x", "", false},
		{"1.5 in", "5 in", false}, {`1" pipe`, `1"`, true}, {`1"x`, `1"`, true},
	} {
		if got := names(c.text, c.words); got != c.want {
			t.Errorf("%q names %q: %v", c.text, c.words, got)
		}
	}
	if spare("3 in") != "3 in to spare" || spare("-3 in") != "3 in too little" {
		t.Error("what is left")
	}
	for text, want := range map[string]string{"": "", "It fails": "It fails.", "It fails.": "It fails.", "Why?": "Why?"} {
		if got := sentence(text); got != want {
			t.Errorf("%q ends as %q", text, got)
		}
	}
}

// TestWordsOfSizes: why a run has its size, in full and in brief.
func TestWordsOfSizes(t *testing.T) {
	row := func(size, required Size, drawn, small bool) DrainRow {
		d := DrainRow{Size: size, Required: required, Drawn: drawn, Why: "minimum size"}
		d.small = small
		return d
	}
	for _, c := range []struct {
		d           DrainRow
		brief, full string
	}{
		{row("3 in", "3 in", false, false), "", "minimum size"},
		{row("3 in", "2 in", false, false), "", "minimum size; 2 in is skipped"},
		{row("3 in", "3 in", true, false), "drawn", "as drawn; minimum size"},
		{row("4 in", "3 in", true, false), "drawn larger", "drawn; larger than needed (3 in, minimum size)"},
		{row("2 in", "3 in", true, true), "TOO SMALL: needs 3 in", "TOO SMALL: needs 3 in, minimum size"},
	} {
		if got := c.d.reason(true); got != c.brief {
			t.Errorf("%+v in brief: %q, want %q", c.d, got, c.brief)
		}
		if got := c.d.reason(false); got != c.full {
			t.Errorf("%+v: %q, want %q", c.d, got, c.full)
		}
	}
	for _, c := range []struct {
		wait, most Quantity
		want       string
	}{{"20 s", "", "20 s"}, {"20 s", "20 s", "20 s"}, {"20 s", "50 s", "20 to 50 s"}} {
		if got := (&HotWaterRow{Wait: c.wait, WaitMost: c.most}).waits(); got != c.want {
			t.Errorf("from %s to %s: %q, want %q", c.wait, c.most, got, c.want)
		}
	}
}

// TestMeantSmaller: whole feet may be as many inches; whole metres, from 30 on, or centimetres as many millimetres.
func TestMeantSmaller(t *testing.T) {
	for l, want := range map[units.Length]string{4 * units.Foot: "4 in", units.Foot: "1 in", 31 * units.Metre: "31 mm",
		30 * units.Metre: "30 mm", 29 * units.Metre: "2900 mm", 50 * units.Millimetre: "5 mm", 4 * units.Inch: "", 0: "",
		-units.Foot: "", 55 * units.Millimetre: "", 31*units.Metre + 50*units.Millimetre: "3105 mm"} {
		if got, ok := smaller(l); got != want || ok != (want != "") {
			t.Errorf("%v: %q, want %q", l, got, want)
		}
	}
}

// TestNarrowTable: columns of 3, 14, 5 and 24 signs with two blanks before each take 54. In 40 there is room for
// 32 signs: the two widest share the 24 that are left. In 26 the longest words (8 of "building" and of "fixtures")
// find no room: the column that may go does, the last takes the 12 that are left, and the page says so.
func TestNarrowTable(t *testing.T) {
	g := grid{head: []string{"run", "?part", ">size", "why"}}
	g.add("A", "building drain", "4 in", "the load of all fixtures")
	g.add("B", "branch", "12 in", "")
	for width, want := range map[int][]string{
		54: {
			"  run  part             size  why",
			"  A    building drain   4 in  the load of all fixtures",
			"  B    branch          12 in"},
		40: {
			"  run  part           size  why",
			"  A    building       4 in  the load of",
			"       drain                all fixtures",
			"  B    branch        12 in"},
		26: {
			"  run   size  why",
			"  A     4 in  the load of",
			"              all fixtures",
			"  B    12 in",
			"  (On a wider page also:",
			"  part.)"},
	} {
		p := &page{width: width}
		p.grid(g)
		if got := p.text.String(); got != strings.Join(want, "\n")+"\n" {
			t.Errorf("%d wide:\n%s", width, got)
		}
	}
	for n, want := range map[int]string{0: "0 closets", 1: "1 closet", 2: "2 closets"} {
		if got := counted(n, "closet"); got != want {
			t.Errorf("%d: %s", n, got)
		}
	}
	for what, want := range map[string]string{"lavatory": "lavatories", "branch 45 deg": "branches 45 deg",
		"pair of bends": "pairs of bends", "bay": "bays"} {
		if got := plural(2, what); got != want {
			t.Errorf("several of %s: %s", what, got)
		}
	}
	for _, c := range []struct {
		text       string
		width      int
		head, tail string
	}{{"the load of all", 8, "the load", "of all"}, {"the load of all", 7, "the", "load of all"},
		{"fixtures", 4, "fixt", "ures"}, {"is 1 1/2 in wide", 6, "is", "1 1/2 in wide"}, {"short", 9, "short", ""}} {
		if head, tail := cut(c.text, c.width); head != c.head || tail != c.tail {
			t.Errorf("%q at %d: %q and %q", c.text, c.width, head, tail)
		}
	}
}

// TestVentsUnderAnotherCode: the vent of a lavatory is 1-1/4 in by the IPC and by the UPC alike, and DN 40 by EN 12056-2:
// between the two nothing is told of it, between the last and either one line.
func TestVentsUnderAnotherCode(t *testing.T) {
	for _, c := range []struct {
		start []byte
		code  string
		want  []string
	}{
		{Start(), "upc-2021", nil},
		{StartMetric(), "ipc-2021", []string{"vent V1: needs DN 40, now 1 1/4 in"}},
		{StartMetric(), "upc-2021", []string{"vent V1: needs DN 40, now 1 1/4 in"}},
	} {
		j, err := Parse("start.json", c.start, "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Report(c.code, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var vents []string
		for _, line := range r.Changes.Sizes {
			if strings.HasPrefix(line, "vent ") {
				vents = append(vents, line)
			}
		}
		if !slices.Equal(vents, c.want) {
			t.Errorf("under %s: %q, want %q", c.code, vents, c.want)
		}
	}
}

// TestNamesOfDrawings: a drawing of one sheet is called by its name alone.
func TestNamesOfDrawings(t *testing.T) {
	j, err := Parse("start.json", Start(), "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := r.Drawings()
	var names []string
	for _, d := range list {
		names = append(names, d.Name)
	}
	if want := []string{"plan", "profile-soil", "isometric-soil", "water", "pressure"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("drawings %q, %v, want %q", names, err, want)
	}
}

// TestEveryPointFile: of two tables that cannot be read both are told.
func TestEveryPointFile(t *testing.T) {
	two := strings.Replace(shedOfTable, `[{"system": "soil", "file": "soil.csv"}]`,
		`[{"system": "soil", "file": "none.csv"}, {"system": "soil", "file": "nor.csv"}, {"system": "soil", "file": "soil.csv"}]`, 1)
	_, err := readShed(two, strings.Replace(shedTable, "lavatory", "lavatori", 1))
	if err == nil {
		t.Fatal("read")
	}
	for _, want := range []string{`"none.csv"`, `"nor.csv"`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%s is not told: %v", want, err)
		}
	}
}

// TestNearestDrain: a line of 1 in beside drains of 4 in keeps clear of them by the distance of their middles less
// 2-1/2 in: of the nearer, 3 ft away, 33-1/2 in, on plan, however deep it lies. Within the limit it is told how far it
// lies over the drain: 8 in from the top of the drain, at 97 ft and 4 in, to its underside at 98 ft.
func TestNearestDrain(t *testing.T) {
	const ft, in = units.Foot, units.Inch
	pipe := func(y, invert, bore units.Length) slope.Course {
		return slope.Course{Lower: slope.Point{Y: y}, Upper: slope.Point{X: 10 * ft, Y: y}, LowerInvert: invert, UpperInvert: invert,
			Pipe: slope.Pipe{Bore: bore}, Into: -1}
	}
	water := pipe(0, 98*ft, in)
	drains, names := []slope.Course{pipe(-9*ft, 97*ft, 4*in), pipe(3*ft, 97*ft, 4*in)}, []string{"far", "near"}
	for limit, above := range map[units.Length]units.Length{10 * ft: 8 * in, 2 * ft: 0} {
		s := nearestDrain(water, drains, names, limit)
		if s == nil || s.Clear != 33*in+in/2 || s.Drain != "near" || s.Above != above {
			t.Errorf("within %v: %+v", limit, s)
		}
	}
	deep := []slope.Course{pipe(3*ft, 90*ft, 4*in)}
	if s := nearestDrain(water, deep, names, 10*ft); s == nil || s.Clear != 33*in+in/2 || s.Above != 7*ft+8*in {
		t.Errorf("of a deep drain: %+v", s)
	}
	if s := nearestDrain(water, nil, nil, 10*ft); s != nil {
		t.Errorf("of no drain: %+v", s)
	}
}
