package dwv

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// UPC 2021 1002.3: an arm may turn 90 degrees without a cleanout, one of 3 in and
// larger 135. IPC has no such rule.
func TestTrapArmTurn(t *testing.T) {
	// elbow puts a bend of the angle between the sink and its vent.
	elbow := func(l *Layout, degrees float64) *Point {
		pt(l, "CS").To, pt(l, "CS").Run.Length, pt(l, "CS").Run.Bearing = "CS2", ft, Degrees(degrees)
		sys := &l.Systems[1]
		sys.Points = append(sys.Points, Point{ID: "CS2", To: "CT", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 2 * in, Material: "pvc-dwv", Bearing: Degrees(0)}})
		return pt(l, "CS2")
	}
	tests := []struct {
		name, code string
		edit       func(l *Layout)
		want       string
	}{
		{"straight on", "upc-2021", func(l *Layout) { elbow(l, 0) }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"a quarter turn", "upc-2021", func(l *Layout) { elbow(l, 90) }, "pass|trap-arm-turn|CS|90 deg|90 deg|0 deg"},
		{"a thousandth more", "upc-2021", func(l *Layout) { elbow(l, 269.999) }, "fail|trap-arm-turn|CS|90.001 deg|90 deg|-0.001 deg"},
		{"a thousandth more, IPC", "ipc-2021", func(l *Layout) { elbow(l, 269.999) }, "none of trap-arm-turn"},
		{"a cleanout at the turn", "upc-2021", func(l *Layout) { elbow(l, 120).Cleanout = &Cleanout{} }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"the vent at the turn", "upc-2021", func(l *Layout) { elbow(l, 120); vent(l, "VC").From = "CS2" }, "pass|trap-arm-turn|CS|0 deg|90 deg|90 deg"},
		{"3 in", "upc-2021", func(l *Layout) { elbow(l, 135).Run.Size = 3 * in; pt(l, "CS").Run.Size = 3 * in }, "pass|trap-arm-turn|CS|135 deg|135 deg|0 deg"},
		{"3 in, a thousandth more", "upc-2021", func(l *Layout) { elbow(l, 135.001).Run.Size = 3 * in; pt(l, "CS").Run.Size = 3 * in }, "fail|trap-arm-turn|CS|135.001 deg|135 deg|-0.001 deg"},
		{"a bend along it and one at the end", "upc-2021", func(l *Layout) { elbow(l, 60).Run.Fittings = []string{"eighth-bend"} }, "fail|trap-arm-turn|CS|105 deg|90 deg|-15 deg"},
		{"a fitting that is no bend", "upc-2021", func(l *Layout) { elbow(l, 60).Run.Fittings = []string{"wye"} }, "none of trap-arm-turn"},
		{"no bearing", "upc-2021", func(l *Layout) { elbow(l, 60).Run.Bearing = Bearing{} }, "none of trap-arm-turn"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{})
			wantFinding(t, got, tt.want)
			if rule, none := strings.CutPrefix(tt.want, "none of "); none {
				for _, f := range got {
					if f.Rule == rule && f.Place == "CS" {
						t.Errorf("%v", f)
					}
				}
			}
		})
	}
}

// IPC 2021 912.1: two bathrooms on one wet vent.
func TestWetVentGroups(t *testing.T) {
	wet := func(l *Layout) {
		*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
	}
	tests := []struct {
		name, code string
		edit       func(l *Layout)
		want       string
	}{
		{"two closets", "ipc-2021", func(l *Layout) { pt(l, "WC").Fixture.Count = 2 }, "pass|wet-vent-groups|VW|2|2|0"},
		{"three closets", "ipc-2021", func(l *Layout) { pt(l, "WC").Fixture.Count = 3 }, "fail|wet-vent-groups|VW|3|2|-1"},
		{"three showers", "ipc-2021", func(l *Layout) { pt(l, "WC").Fixture = &Fixture{Kind: "shower", Count: 3, Use: Private} }, "fail|wet-vent-groups|VW|3|2|-1"},
		{"three lavatories", "ipc-2021", func(l *Layout) { pt(l, "WC").Fixture = &Fixture{Kind: "lavatory", Count: 3, Use: Private} }, "fail|wet-vent-groups|VW|3|2|-1"},
		{"three groups", "ipc-2021", func(l *Layout) {
			pt(l, "WC").Fixture = &Fixture{Kind: "bathroom-group", Count: 3, Use: Private, Flush: 1.6 * units.USGallon}
		}, "fail|wet-vent-groups|VW|3|2|-1"},
		{"three closets, UPC", "upc-2021", func(l *Layout) { pt(l, "WC").Fixture.Count = 3 }, "none of wet-vent-groups"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			wet(l)
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{}), tt.want)
		})
	}
}

// UPC 2021 908.1: a wet vent that stands upright serves four fixtures of two units at
// most, over 6 ft, and is of 2 in at least and a size more than the drain of the upper
// fixture. What lies flat is judged by another table.
func TestUprightWetVents(t *testing.T) {
	quarter := slope.PerFoot(in / 4)
	// The lavatory's riser LT goes on upright to L2, where a second one drains in.
	upright := func(l *Layout) {
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "L2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 3 * in, Material: "pvc-dwv"}},
			Point{ID: "LB", To: "L2", Run: Run{Length: 2 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv"}, Fixture: &Fixture{Kind: "shower", Count: 1, Use: Public}})
		pt(l, "LT").To, pt(l, "LT").Run.Length = "L2", 6*ft
		vent(l, "VL").Kind, vent(l, "VL").Through = VentWet, "L2"
	}
	tests := []struct {
		name, code string
		edit       func(l *Layout)
		want       string
	}{
		{"6 ft", "upc-2021", func(*Layout) {}, `pass|wet-vent-vertical-length|VL|6'-0"|6'-0"|0"`},
		{"6 ft and a mil", "upc-2021", func(l *Layout) { pt(l, "LT").Run.Length += in / 1000 }, `fail|wet-vent-vertical-length|VL|72.001"|6'-0"|-0.001"`},
		{"four fixtures", "upc-2021", func(l *Layout) { pt(l, "LB").Fixture.Count = 3 }, `pass|wet-vent-vertical-fixtures|VL|4|4|0`},
		{"five fixtures", "upc-2021", func(l *Layout) { pt(l, "LB").Fixture.Count = 4 }, `fail|wet-vent-vertical-fixtures|VL|5|4|-1`},
		{"two units each", "upc-2021", func(*Layout) {}, `pass|wet-vent-vertical-load|VL|2 dfu|2 dfu|0 dfu`},
		{"three units", "upc-2021", func(l *Layout) { pt(l, "LB").Fixture = &Fixture{Kind: "clothes-washer", Count: 1, Use: Public} }, `fail|wet-vent-vertical-load|VL|3 dfu|2 dfu|-1 dfu`},
		{"2 in under 1-1/2 in", "upc-2021", func(*Layout) {}, `pass|wet-vent-vertical-size|VL|2"|2"|0"`},
		{"1-1/2 in", "upc-2021", func(l *Layout) { pt(l, "LT").Run.Size = in * 3 / 2 }, `fail|wet-vent-vertical-size|VL|1 1/2"|2"|-1/2"`},
		{"2 in under 2 in", "upc-2021", func(l *Layout) { pt(l, "LA").Trap.Size = 2 * in; pt(l, "LA").Run.Size = 2 * in }, `fail|wet-vent-vertical-size|VL|2"|2 1/2"|-1/2"`},
		{"not the flat table", "upc-2021", func(*Layout) {}, `none of wet-vent-load`},
		{"no bathroom asked for", "upc-2021", func(l *Layout) { pt(l, "LB").Fixture = &Fixture{Kind: "bar-sink", Count: 1, Use: Private} }, `none of wet-vent-fixtures`},
		{"partly flat", "upc-2021", func(l *Layout) { vent(l, "VL").Through = "S2" }, `none of wet-vent-vertical-length`},
		{"IPC", "ipc-2021", func(l *Layout) { pt(l, "LT").Run.Length = 20 * ft }, `none of wet-vent-vertical-length`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			upright(l)
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), mustCode(t, tt.code), CheckOptions{})
			wantFinding(t, got, tt.want)
			if tt.code == "ipc-2021" {
				for _, f := range got {
					if strings.HasPrefix(f.Rule, "wet-vent-vertical") && f.Verdict != tables.Ask {
						t.Errorf("a code without the rule: %v", f)
					}
				}
			}
		})
	}
}
