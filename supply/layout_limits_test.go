package supply

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/trapweir/trapweir/units"
)

// Each figure of a layout at the end of what is taken for possible, and a step past it.
func TestLayoutLimits(t *testing.T) {
	const nm, m = units.Length(1), units.Metre
	const pa, mpa = units.Pressure(1), 100 * units.Megapascal
	point := func(d *LayoutData) *Point { return &d.Points[2] } // B
	sleeve := func(s Sleeve) func(d *LayoutData) {
		return func(d *LayoutData) { s.ID = "S"; d.Sleeves = []Sleeve{s} }
	}
	link := func(k Link) func(d *LayoutData) {
		return func(d *LayoutData) { k.ID, k.Between = "K", [2]string{"A", "B"}; d.Links = []Link{k} }
	}
	loop := func(r Loop) func(d *LayoutData) {
		return func(d *LayoutData) {
			d.Points = append(d.Points, Point{ID: "R", From: "H", Line: "recirc", Length: m, Pipe: "copper-l"})
			r.ID, r.Heater, r.Return = "RC", "WH", "R"
			d.Recirculation = []Loop{r}
		}
	}
	device := func(x Device) func(d *LayoutData) { return func(d *LayoutData) { point(d).Device = &x } }
	fitting := func(f FittingItem) func(d *LayoutData) {
		return func(d *LayoutData) { f.Fitting = "elbow-90"; point(d).Fittings = []FittingItem{f} }
	}
	for _, tc := range []struct {
		what     string
		at, past func(d *LayoutData)
		want     string // where the fault is
	}{
		{"source", func(d *LayoutData) { d.Source.Pressure = mpa }, func(d *LayoutData) { d.Source.Pressure = mpa + pa }, "source: pressure"},
		{"static", func(d *LayoutData) { d.Source.Static = mpa }, func(d *LayoutData) { d.Source.Static = mpa + pa }, "source: static"},
		{"static as flowing", func(d *LayoutData) { d.Source.Static = d.Source.Pressure }, func(d *LayoutData) { d.Source.Static = d.Source.Pressure - pa }, "source: static"},
		{"test", func(d *LayoutData) { d.Test = &PressureTest{mpa, "air"} }, func(d *LayoutData) { d.Test = &PressureTest{mpa + pa, "air"} }, "test: pressure"},
		{"hot", func(d *LayoutData) { d.Water.Hot = units.Celsius(100) }, func(d *LayoutData) { d.Water.Hot = units.Celsius(100.001) }, "water: hot"},
		{"cold", func(d *LayoutData) { d.Water.Cold = units.Celsius(0) }, func(d *LayoutData) { d.Water.Cold = units.Celsius(-0.001) }, "water: cold"},
		{"warm air", func(d *LayoutData) { d.Water.Ambient = units.Celsius(100) }, func(d *LayoutData) { d.Water.Ambient = units.Celsius(100.001) }, "water: ambient"},
		{"cold air", func(d *LayoutData) { d.Water.Ambient = units.Celsius(-60) }, func(d *LayoutData) { d.Water.Ambient = units.Celsius(-60.001) }, "water: ambient"},
		{"length", func(d *LayoutData) { point(d).Length = 4000 * m }, func(d *LayoutData) { point(d).Length = 4000*m + nm }, `point "B": length`},
		{"no length", func(d *LayoutData) { point(d).Length, point(d).Rise = 0, 0 }, func(d *LayoutData) { point(d).Length, point(d).Rise = 0, nm }, `point "B": rise`},
		{"fall", func(d *LayoutData) { point(d).Length, point(d).Rise = m, -m }, func(d *LayoutData) { point(d).Length, point(d).Rise = m, -m-nm }, `point "B": rise`},
		{"size", func(d *LayoutData) { point(d).Size = 2 * m }, func(d *LayoutData) { point(d).Size = 2*m + nm }, `point "B": size`},
		{"continuous", func(d *LayoutData) { point(d).Continuous = 10 }, func(d *LayoutData) { point(d).Continuous = 10.001 }, `point "B": continuous`},
		{"insulation", func(d *LayoutData) { point(d).Insulation = &Insulation{m, 10} }, func(d *LayoutData) { point(d).Insulation = &Insulation{m + nm, 10} }, `point "B": insulation: `},
		{"conductivity", func(d *LayoutData) { point(d).Insulation = &Insulation{nm, 10} }, func(d *LayoutData) { point(d).Insulation = &Insulation{nm, 10.001} }, `point "B": insulation: `},
		{"fitting's length", fitting(FittingItem{Count: 1, Length: 4000 * m}), fitting(FittingItem{Count: 1, Length: 4000*m + nm}), `point "B": fittings[0]`},
		{"fitting's k", fitting(FittingItem{Count: 1, K: 1e6}), fitting(FittingItem{Count: 1, K: 1e6 + 1}), `point "B": fittings[0]`},
		{"fittings", fitting(FittingItem{Count: 10000}), fitting(FittingItem{Count: 10001}), `point "B": fittings[0]`},
		{"device's loss", device(Device{Kind: "other", Loss: mpa}), device(Device{Kind: "other", Loss: mpa + pa}), `point "B": device`},
		{"device's curve", device(Device{Kind: "other", Curve: []CurvePoint{{0, 0}, {10, mpa}}}), device(Device{Kind: "other", Curve: []CurvePoint{{0, 0}, {10.001, mpa}}}), `point "B": device`},
		{"regulator", device(Device{Kind: "regulator", Set: mpa}), device(Device{Kind: "regulator", Set: mpa + pa}), `point "B": device`},
		{"fixture's flow", func(d *LayoutData) { d.Fixtures[0].Flow = 10 }, func(d *LayoutData) { d.Fixtures[0].Flow = 10.001 }, `fixture "L": flow`},
		{"fixture's pressure", func(d *LayoutData) { d.Fixtures[0].Pressure = mpa }, func(d *LayoutData) { d.Fixtures[0].Pressure = mpa + pa }, `fixture "L": pressure`},
		{"sleeve's bore", sleeve(Sleeve{Bore: 2 * m, Bends: 1000}), sleeve(Sleeve{Bore: 2*m + nm}), `sleeve "S": bore`},
		{"sleeve's length", sleeve(Sleeve{Bore: m, Length: 4000 * m}), sleeve(Sleeve{Bore: m, Length: 4000*m + nm}), `sleeve "S": length`},
		{"sleeve's bends", sleeve(Sleeve{Bore: m, Bends: 1000}), sleeve(Sleeve{Bore: m, Bends: 1001}), `sleeve "S": bends`},
		{"no sleeve's length", sleeve(Sleeve{Bore: m}), sleeve(Sleeve{Bore: m, Length: -nm}), `sleeve "S": length`},
		{"sleeve's rope", sleeve(Sleeve{Bore: m, Rope: m}), sleeve(Sleeve{Bore: m, Rope: m + nm}), `sleeve "S": rope`},
		{"link's length", link(Link{Length: 4000 * m, Size: m}), link(Link{Length: 4000*m + nm, Size: m}), `link "K": length`},
		{"link of no length", link(Link{Size: m}), link(Link{Length: -nm, Size: m}), `link "K": length`},
		{"link's size", link(Link{Size: 2 * m}), link(Link{Size: 2*m + nm}), `link "K": size`},
		{"loop's flow", loop(Loop{Flow: 10}), loop(Loop{Flow: 10.001}), `recirculation "RC": flow`},
		{"loop's drop", loop(Loop{Drop: 100}), loop(Loop{Drop: 100.001}), `recirculation "RC": drop`},
	} {
		for _, past := range []bool{false, true} {
			l, err := ParseLayout("base.json", []byte(base))
			if err != nil {
				t.Fatal(err)
			}
			d := l.data
			edit := tc.at
			if past {
				edit = tc.past
			}
			edit(&d)
			_, err = NewLayout(d)
			if !past && err != nil {
				t.Errorf("%s at the limit: %v", tc.what, err)
			}
			if past && (!errors.Is(err, ErrQuery) || !strings.Contains(err.Error(), tc.want)) {
				t.Errorf("%s past the limit: %v", tc.what, err)
			}
		}
	}
}

// A link names two points by their ids.
func TestLinkFaults(t *testing.T) {
	for between, want := range map[string]string{
		`["A", "B"]`:      "",
		`["A"]`:           `link "K": between: wrong type: a list of 1 where one of 2 is needed`,
		`["A", "B", "A"]`: `link "K": between: wrong type: a list of 3 where one of 2 is needed`,
		`["A", 2]`:        `link "K": between: `,
		`["A", "A"]`:      `link "K": between: not possible: joins "A" to itself`,
	} {
		text := strings.Replace(base, ` "fixtures"`, ` "links": [{"id": "K", "between": `+between+`, "length": "1 ft", "size": "1 in"}],`+"\n"+` "fixtures"`, 1)
		_, err := ParseLayout("base.json", []byte(text))
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", between, err, want)
		}
	}
}

// The fixtures at a point, in the order of the layout, whatever point it is.
func TestFixturesAt(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	for range 20 {
		l, err := NewLayout(randomHouse(r, 2+r.IntN(20), "ipc-2021"))
		if err != nil {
			t.Fatal(err)
		}
		for i := range l.Len() {
			var want []int32
			for k, f := range l.data.Fixtures {
				if id := l.Point(i).ID; f.Cold == id || f.Hot == id {
					want = append(want, int32(k))
				}
			}
			if diff := cmp.Diff(want, l.FixturesAt(i), cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("%s (-want +got):\n%s", l.Point(i).ID, diff)
			}
		}
	}
}
