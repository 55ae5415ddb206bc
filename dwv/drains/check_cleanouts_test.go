package drains

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// IPC 2021 708.1: a cleanout at a turn of more than 45 degrees, which serves every turn
// within 40 ft; at 100 ft; within 10 ft of the sewer. UPC 2021 707.4: at the upper end
// of every drain of 5 ft or more, and of a sink's or a urinal's however short; where the
// turns add up to more than 135 degrees. The base of a stack is a rule of the town.
func TestCleanouts(t *testing.T) {
	codes := map[string]*dwv.Code{"ipc": firmCode(t, "ipc-2021"), "upc": firmCode(t, "upc-2021")}
	// In the workshop S2 and S3 run to 90 deg, WV and WC to 45: here the closet's drain
	// turns into S2 by 90 and is the main line, since it carries more than S3.
	turned := func(l *Data) {
		pt(l, "WC").Run.Bearing, pt(l, "WV").Run.Bearing, pt(l, "S3").Run.Bearing = Degrees(0), Degrees(0), Degrees(45)
	}
	// bent sets a cleanout at WV, where the drain turns by so much.
	bent := func(l *Data, degrees float64) {
		turned(l)
		pt(l, "WC").Run.Bearing, pt(l, "WV").Cleanout = Degrees(360-degrees), &Cleanout{}
	}
	// beyondWall lays the outlet so far beyond the wall at S1, 4 ft below the last cleanout.
	beyondWall := func(way units.Length) func(l *Data) {
		return func(l *Data) {
			pt(l, "S1").Cleanout, pt(l, "S2").Cleanout, pt(l, "S2").Run.Length = nil, &Cleanout{}, 4*ft
			pt(l, "S1").Run.Length = way
		}
	}
	// beyond lays a cleanout S0 on the way from the wall at S1, which has one, to the outlet.
	beyond := func(outlet, wall units.Length) func(l *Data) {
		return func(l *Data) {
			run := pt(l, "S1").Run
			run.Length, pt(l, "S1").Run.Length, pt(l, "S1").To = outlet, wall, "S0"
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "S0", To: "SO", Run: run, Cleanout: &Cleanout{}})
		}
	}
	// alone puts a fixture at the end of 5 ft of drain, where no two-way cleanout helps.
	alone := func(l *Data, kind string) {
		pt(l, "S1").Cleanout.TwoWay = false
		pt(l, "WC").Fixture = &tables.Fixture{Kind: kind, Count: 1, Use: tables.Public, Size: 2 * in, Control: tables.Valve,
			Flush: units.USGallon / 2}
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"a closet's drain of 5 ft", "upc", func(*Data) {}, "ask|cleanout-upper-end|WC|-|-|-|the way in through the fixture"},
		{"a closet's drain of 4 ft", "upc", func(l *Data) { pt(l, "WV").Run.Length = 2 * ft },
			`pass|cleanout-upper-end|WC|4'-0"|5'-0"|1'-0"`},
		{"a shower's drain of 5 ft", "upc", func(l *Data) { alone(l, "shower") }, `fail|cleanout-upper-end|WC|5'-0"|-|-`},
		{"a shower's drain under 5 ft", "upc", func(l *Data) { alone(l, "shower"); pt(l, "WV").Run.Length = 3*ft - nm },
			`pass|cleanout-upper-end|WC|1523.999999 mm|5'-0"|0.000001 mm`},
		{"a urinal's drain of 4 ft", "upc", func(l *Data) { alone(l, "urinal"); pt(l, "WV").Run.Length = 2 * ft },
			`fail|cleanout-upper-end|WC|4'-0"|-|-|It is shorter than 5'-0"`},
		{"a sink's drain of 4 ft", "upc", func(l *Data) { alone(l, "sink"); pt(l, "WV").Run.Length = 2 * ft },
			`fail|cleanout-upper-end|WC|4'-0"|-|-|It is shorter than 5'-0"`},
		{"a sink's drain of 5 ft", "upc", func(l *Data) { alone(l, "sink") },
			`fail|cleanout-upper-end|WC|5'-0"|-|-|!shorter`},
		{"a two-way cleanout at the exit", "upc", func(l *Data) { alone(l, "shower"); pt(l, "S1").Cleanout.TwoWay = true },
			"ask|cleanout-upper-end|WC|-|-|-|two-way"},
		{"a cleanout on the way", "upc", func(l *Data) { alone(l, "sink"); pt(l, "WV").Cleanout = &Cleanout{} },
			"ask|cleanout-upper-end|WC|-|-|-|no distance"},

		{"the cleanout at a bend upstream", "ipc", func(l *Data) { bent(l, 46) },
			`pass|cleanout-turn|S2|90 deg|45 deg|-|WV, 3'-0" upstream`},
		{"no bend where the cleanout is", "ipc", func(l *Data) { bent(l, 45) },
			`ask|cleanout-turn|S2|90 deg|45 deg|-45 deg|stands 3'-0" upstream`},
		{"a bend 40 ft on", "ipc", func(l *Data) { bent(l, 90); pt(l, "WV").Run.Length = 40 * ft },
			"pass|cleanout-turn|S2|90 deg|45 deg|-"},
		{"a bend over 40 ft on", "ipc", func(l *Data) { bent(l, 90); pt(l, "WV").Run.Length = 40*ft + nm },
			"fail|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"two runs below the cleanout", "ipc", func(l *Data) { turned(l); pt(l, "WC").Cleanout = &Cleanout{} },
			`ask|cleanout-turn|S2|90 deg|45 deg|-45 deg|stands 5'-0" upstream`},
		{"40 ft below a cleanout at no bend", "ipc", func(l *Data) {
			turned(l)
			pt(l, "WC").Cleanout, pt(l, "WV").Run.Length = &Cleanout{}, 38*ft
		}, "ask|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"over 40 ft below it", "ipc", func(l *Data) {
			turned(l)
			pt(l, "WC").Cleanout, pt(l, "WV").Run.Length = &Cleanout{}, 38*ft+nm
		}, "fail|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"no cleanout upstream", "ipc", func(l *Data) { turned(l); pt(l, "WC").Capped = true },
			"fail|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"a closet upstream", "ipc", turned, "pass|cleanout-turn|S2|90 deg|45 deg|-"},
		{"a closet upstream, and no vent", "ipc", func(l *Data) { turned(l); l.Vents = nil }, "pass|cleanout-turn|S2|90 deg|45 deg|-"},
		// Somewhere along the 8 ft of S2 it bends: as much as that farther from the cleanout at S3 than S3 is long.
		{"a bend along the run, 40 ft and more below a cleanout", "ipc", func(l *Data) {
			pt(l, "S3").Cleanout, pt(l, "S3").Run.Length = &Cleanout{}, 40*ft
			pt(l, "S2").Run.Fittings = []string{"quarter-bend"}
		}, `ask|cleanout-turn|S2|90 deg|45 deg|-45 deg|as much as 48'-0"`},
		{"a bend on a trap arm", "ipc", func(l *Data) { pt(l, "WC").Run.Fittings = []string{"quarter-bend"} },
			"nothing of cleanout-turn at WC"},
		{"a bend above the floor", "ipc", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "OF", To: "OR", AboveFloor: true, Run: Run{Length: 2 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in,
					Fittings: []string{"quarter-bend"}}},
				Point{ID: "OR", To: pt(l, "LT").To, Run: Run{Length: 6 * ft, Vertical: true, Size: 2 * in}})
			pt(l, "LT").To, pt(l, "LT").AboveFloor, pt(l, "LA").AboveFloor = "OF", true, true
		}, "nothing of cleanout-turn at OF"},
		{"all of the run within 40 ft of a cleanout at a bend", "ipc", func(l *Data) {
			bent(l, 46)
			pt(l, "WV").Run.Length, pt(l, "S2").Run.Fittings = 32*ft, []string{"quarter-bend"}
		}, `pass|cleanout-turn|S2|90 deg|45 deg|-|along the run from S2; the cleanout at the bend WV, no more than 40'-0" upstream`},
		{"its end just beyond that", "ipc", func(l *Data) {
			bent(l, 46)
			pt(l, "WV").Run.Length, pt(l, "S2").Run.Fittings = 32*ft+nm, []string{"quarter-bend"}
		}, "ask|cleanout-turn|S2|90 deg|45 deg|-45 deg|stands as much as"},
		{"all of the run over 40 ft below it", "ipc", func(l *Data) {
			pt(l, "S3").Cleanout, pt(l, "S3").Run.Length = &Cleanout{}, 40*ft+nm
			pt(l, "S2").Run.Fittings = []string{"quarter-bend"}
		}, "fail|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"bends by plan coordinates", "ipc", func(l *Data) {
			for id, at := range map[string]Position{"S1": {X: 6 * ft}, "S2": {X: 14 * ft}, "S3": {X: 20 * ft, Y: 6 * ft},
				"WV": {X: 14 * ft, Y: -3 * ft}} {
				pt(l, id).At, pt(l, id).Run.Bearing = &at, Bearing{}
			}
			pt(l, "FD").Run.Bearing = Degrees(225)
		}, "pass|cleanout-turn|S2|90 deg|45 deg|-"},
		{"coordinates of one end only", "ipc", func(l *Data) {
			turned(l)
			pt(l, "S2").At, pt(l, "S2").Run.Bearing = &Position{X: 14 * ft}, Bearing{}
		}, "nothing of cleanout-turn at S2"},
		{"bends add up", "upc", func(l *Data) {
			turned(l)
			pt(l, "WC").Run.Bearing, pt(l, "S2").Run.Bearing = Degrees(315), Degrees(90.001)
		}, "fail|cleanout-turn|S2|135.001 deg|135 deg|-0.001 deg|limit 135 deg"},
		{"as much as they may", "upc", func(l *Data) {
			turned(l)
			pt(l, "WC").Run.Bearing, pt(l, "S2").Run.Bearing = Degrees(315), Degrees(90)
		}, "nothing of cleanout-turn at S2"},
		{"straight on from there", "upc", func(l *Data) {
			turned(l)
			pt(l, "WC").Run.Bearing, pt(l, "S2").Run.Bearing = Degrees(315), Degrees(90.001)
			pt(l, "S1").Run.Bearing, pt(l, "S1").Cleanout = Degrees(90.001), nil
		}, "nothing of cleanout-turn at S1"},

		{"in the drain at the foot", "ipc", func(l *Data) { pt(l, "S3").Cleanout = &Cleanout{} },
			"pass|cleanout-stack-base|LT|-|-|-"},
		{"a stack of two runs", "ipc", func(l *Data) {
			pt(l, "LA").To = "L2"
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "L2", To: "LT", Run: Run{Length: 6 * ft, Vertical: true, Size: 2 * in}})
		}, "nothing of cleanout-stack-base at L2"},
		{"a stack on the outlet", "ipc", func(l *Data) { pt(l, "LT").To = "SO" }, "fail|cleanout-stack-base|LT|-|-|-"},

		{"the sewer begins on the way", "ipc", func(l *Data) { pt(l, "S1").Run.Part = dwv.Sewer },
			`pass|cleanout-junction|S1|0"|10'-0"|10'-0"`},
		{"two runs below the last cleanout", "ipc", func(l *Data) {
			pt(l, "S1").Cleanout, pt(l, "S2").Cleanout, pt(l, "S2").Run.Length = nil, &Cleanout{}, 4*ft
			pt(l, "S1").Run.Length, pt(l, "S1").ThroughWall = 6*ft, false
		}, `pass|cleanout-junction|SO|10'-0"|10'-0"|0"`},
		// By section 202 the building drain ends 30 in beyond the wall at S1, so 4 ft and 2'-6" from the cleanout.
		{"the sewer begins beyond the wall", "ipc", func(l *Data) {
			pt(l, "S1").Cleanout, pt(l, "S2").Cleanout, pt(l, "S2").Run.Length = nil, &Cleanout{}, 4*ft
			pt(l, "S1").Run.Length = 40 * ft
		}, `pass|cleanout-junction|S1|6'-6"|10'-0"|3'-6"`},

		// Within 30 in of the wall the outlet is the junction, and the way there 4 ft and the run's.
		{"the outlet 24 in beyond the wall", "ipc", beyondWall(24 * in), `pass|cleanout-junction|SO|6'-0"|10'-0"|4'-0"`},
		{"the outlet 30 in beyond the wall", "ipc", beyondWall(30 * in), `pass|cleanout-junction|SO|6'-6"|10'-0"|3'-6"`},
		{"and no more than that", "ipc", beyondWall(30*in + nm), `pass|cleanout-junction|S1|6'-6"|10'-0"|3'-6"`},

		// A cleanout at S0 below that is one of the sewer. The last of the drain is at S1, 30 in up, or at SA, 2 ft nearer.
		{"a cleanout on the sewer too", "ipc", beyond(30*ft, 10*ft), `pass|cleanout-junction|S1|2'-6"|10'-0"|7'-6"|cleanout S1`},
		{"one just past where it begins", "ipc", beyond(30*ft, 30*in+nm),
			`pass|cleanout-junction|S1|2'-6"|10'-0"|7'-6"|cleanout S1`},
		{"one where it begins", "ipc", beyond(30*ft, 30*in), `pass|cleanout-junction|S1|0"|10'-0"|10'-0"|cleanout S0`},
		{"one on the way there too", "ipc", func(l *Data) {
			beyond(30*ft, 10*ft)(l)
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "SA", To: "S0", Run: pt(l, "S1").Run, Cleanout: &Cleanout{}})
			pt(l, "S1").To, pt(l, "S1").Run.Length = "SA", 2*ft
		}, `pass|cleanout-junction|S1|6"|10'-0"|9'-6"|cleanout SA`},
		{"none but one on the sewer", "ipc", func(l *Data) {
			beyond(30*ft, 10*ft)(l)
			for _, id := range []string{"S1", "S2", "WC", "LT"} {
				pt(l, id).Cleanout = nil
			}
		}, `fail|cleanout-junction|SO|30'-0"|10'-0"|-20'-0"|cleanout S0`},
		{"the one on the sewer nearer", "ipc", func(l *Data) {
			beyond(9*ft, 10*ft)(l)
			pt(l, "S1").Cleanout, pt(l, "S2").Cleanout = nil, &Cleanout{}
		}, `pass|cleanout-junction|SO|9'-0"|10'-0"|1'-0"|cleanout S0`},

		// A cable of 10 ft: from the closet 2 and 3 ft to the upper end of S2 and from the
		// cleanout at its lower end, 5 and 10 of 8 ft; from the lavatory 3 and 5 ft to that of
		// S3, and 8 ft up S2 from the cleanout, 2 and 2 of 8 ft.
		{"reached from both ends", "ipc", func(l *Data) { l.CableReach = 10 * ft },
			`pass|cleanout-reach|S2|8'-0"|10'-0"|7'-0"`},
		{"half out of reach", "ipc", func(l *Data) { l.CableReach = 10 * ft },
			`fail|cleanout-reach|S3|8'-0"|10'-0"|-4'-0"|leaves 4'-0" of the run from S3`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{}), tt.want)
		})
	}
}

// Cleanouts stand as far apart as the code has it for the part and for the size of the
// upper end: the floor drain, of 3 in, lies 28 ft up from the cleanout on 4 in at S1.
func TestCleanoutSpacing(t *testing.T) {
	town := func(rows string) *dwv.Code { return amendedCode(t, "ipc-2021", rows) }
	bySize := codeOn(t, edges.ShelfWith(t, map[string]string{"ipc-2021/cleanout-spacing": strings.Join([]string{
		"# id: ipc-2021/cleanout-spacing", "# title: Spacing of cleanouts", "# source: ipc-2021", "# key: size_from",
		"# column size_from: from this size up", "# column spacing: greatest spacing", "# rows: 2",
		"size_from[in],spacing[ft],src,status", "1,50,,read", "4,75,,read", "",
	}, "\n")}), "ipc-2021")
	tests := []struct {
		name string
		code *dwv.Code
		edit func(l *Data)
		want string
	}{
		{"by the size of the upper end", bySize, func(*Data) {}, `pass|cleanout-spacing|S1|28'-0"|50'-0"|22'-0"|to FD`},
		{"a larger upper end", bySize, func(l *Data) { pt(l, "FD").Run.Size = 4 * in },
			`pass|cleanout-spacing|S1|28'-0"|75'-0"|47'-0"`},
		{"where no cleanout stands", bySize, func(*Data) {}, "nothing of cleanout-spacing at S2"},
		{"a drain", town("set,sewer-cleanout-spacing,75,ft,1,town,read\n"), func(*Data) {},
			`pass|cleanout-spacing|SO|6'-0"|100'-0"|94'-0"`},
		{"a sewer", town("set,sewer-cleanout-spacing,75,ft,1,town,read\n"),
			func(l *Data) { pt(l, "S1").Run.Part = dwv.Sewer }, `pass|cleanout-spacing|SO|6'-0"|75'-0"|69'-0"`},
		{"a sewer without a figure of its own", town("drop,sewer-cleanout-spacing,,,,,\n"),
			func(l *Data) { pt(l, "S1").Run.Part = dwv.Sewer }, `pass|cleanout-spacing|SO|6'-0"|100'-0"|94'-0"`},
		{"a sewer without a limit of its own", town("set,sewer-cleanout-spacing,unlimited,ft,1,town,read\n"),
			func(l *Data) { pt(l, "S1").Run.Part = dwv.Sewer }, `pass|cleanout-spacing|SO|6'-0"|100'-0"|94'-0"`},
		{"no limit", town("set,cleanout-spacing,unlimited,ft,1,town,read\n"), func(*Data) {},
			"nothing of cleanout-spacing at S1"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), tt.code, CheckOptions{}), tt.want)
		})
	}
}

// Of two runs into one, what is the same drawn in any order carries the line on: the
// straight one, then the one of the greater load, size, length, grade and bearing, and
// of two alike the first by id.
func TestCarriesOn(t *testing.T) {
	tests := []struct {
		name string
		edit func(a, b *Point)
		want string
	}{
		{"straight, of a lesser load", func(a, b *Point) { a.Reserved, b.Run.Bearing = 9*dwv.FixtureUnit, Degrees(0) }, "B"},
		{"load, on a lesser size", func(a, b *Point) { a.Run.Size, b.Reserved = 6*in, dwv.FixtureUnit }, "B"},
		{"size, and shorter", func(a, b *Point) { a.Run.Length, b.Run.Size = 99*ft, 6*in }, "B"},
		{"length, and flatter", func(a, b *Point) { a.Run.Grade, b.Run.Length = slope.PerFoot(in), 9*ft }, "B"},
		{"grade, at a lesser bearing", func(a, b *Point) { a.Run.Bearing, b.Run.Grade = Degrees(200), slope.PerFoot(in/2) },
			"B"},
		{"bearing", func(a, b *Point) { b.Run.Bearing = Degrees(46) }, "B"},
		{"id", func(a, b *Point) {}, "A"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			run := func(id, to string, bearing Bearing) Point {
				return Point{ID: id, To: to, Run: Run{Length: 8 * ft, Grade: slope.PerFoot(in / 4), Size: 4 * in, Bearing: bearing}}
			}
			points := []Point{run("M", "O", Degrees(0)), run("A", "M", Degrees(45)), run("B", "M", Degrees(45))}
			for k := range points[1:] {
				points[1+k].Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
			}
			tt.edit(&points[1], &points[2])
			for range 2 {
				slices.Reverse(points)
				l := mustBuild(t, &Data{Systems: []System{{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer},
					Points: slices.Clone(points)}}})
				s := mustSize(t, l, mustCode(t, "ipc-2021"))
				on := s.access().primary[s.tree.index["M"]]
				if got := s.tree.point(on).ID; got != tt.want {
					t.Errorf("%s carries the line on, want %s", got, tt.want)
				}
			}
		})
	}
}

// A clear space without a limit is none, as is one the code does not have.
func TestCleanoutClearanceUnlimited(t *testing.T) {
	for _, rows := range []string{"set,cleanout-clearance-small,unlimited,in,1,town,read\n",
		"drop,cleanout-clearance-small,,,,,\n"} {
		code := amendedCode(t, "ipc-2021", rows)
		if got, _, err := code.CleanoutClearance(4 * in); !errors.Is(err, tables.ErrNotInCode) {
			t.Errorf("%q: %v, %v", rows, got, err)
		}
		l := mustLayout(t, "workshop.json")
		wantFinding(t, mustCheck(t, mustBuild(t, l), code), "nothing of cleanout-clearance at S1")
	}
}

// UPC 2021 707.4: a cleanout at each urinal, above its connection. IPC has no such
// rule.
func TestUrinalCleanouts(t *testing.T) {
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"none", "upc-2021", func(*Data) {}, "fail|cleanout-urinal|LA|-|-|-"},
		{"at the urinal", "upc-2021", func(l *Data) { pt(l, "LA").Cleanout = &Cleanout{} }, "pass|cleanout-urinal|LA|-|-|-"},
		{"where it joins", "upc-2021", func(l *Data) { pt(l, "LT").Cleanout = &Cleanout{} }, "pass|cleanout-urinal|LA|-|-|-"},
		{"farther down", "upc-2021", func(l *Data) { pt(l, "S3").Cleanout = &Cleanout{} }, "fail|cleanout-urinal|LA|-|-|-"},
		{"two at one point", "upc-2021", func(l *Data) { pt(l, "LA").Cleanout = &Cleanout{}; pt(l, "LA").Fixture.Count = 2 },
			"ask|cleanout-urinal|LA|-|-|-"},
		{"one after two at one point", "upc-2021", func(l *Data) {
			pt(l, "LA").Cleanout, pt(l, "FD").Fixture = &Cleanout{}, pt(l, "LA").Fixture
			both := *pt(l, "LA").Fixture
			pt(l, "LA").Fixture, both.Count = &both, 2
		}, "fail|cleanout-urinal|FD|-|-|-"},
		{"IPC", "ipc-2021", func(*Data) {}, "none of cleanout-urinal"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			pt(l, "LA").Fixture = &tables.Fixture{Kind: "urinal", Count: 1, Use: tables.Public, Control: tables.Valve,
				Flush: units.USGallon / 2}
			tt.edit(l)
			wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, tt.code)), tt.want)
		})
	}
}

// TestCleanoutOfOneName: a cleanout of 100 mm on a pipe of 4 in is a question, as is any
// nominal size that may be the one asked for; one of 90 mm is a fail.
func TestCleanoutOfOneName(t *testing.T) {
	for size, want := range map[units.Length]tables.Verdict{100 * units.Millimetre: tables.Ask,
		90 * units.Millimetre: tables.Fail, 4 * units.Inch: tables.Pass} {
		l := mustLayout(t, "workshop.json")
		pt(l, "S1").Cleanout.Size = size
		found := tables.Verdict(0)
		for _, f := range checkAllWays(t, mustBuild(t, l), firmCode(t, "ipc-2021"), CheckOptions{}) {
			if f.Rule == "cleanout-size" && f.Place == "S1" {
				found = f.Verdict
			}
		}
		if found != want {
			t.Errorf("a cleanout of %v: %v, want %v", size, found, want)
		}
	}
}

// TestCleanoutOnTheSewer: under the UPC (719.1) a cleanout outside, at the lower end of the building drain, serves; a sewer without
// one leaves the junction without.
func TestCleanoutOnTheSewer(t *testing.T) {
	code := firmCode(t, "upc-2021")
	for stands, want := range map[bool]string{true: "pass|cleanout-junction|S2|-|-|-|stands on the sewer",
		false: "fail|cleanout-junction|S2|-|-|-|No cleanout stands near"} {
		l := mustLayout(t, "jobs/cleanout-on-the-sewer.json")
		s2 := Point{ID: "S2", To: "SW", Run: pt(l, "SW").Run}
		s2.Run.Length, pt(l, "EX").To = 5*ft, "S2"
		l.Systems[0].Points = append(l.Systems[0].Points, s2)
		if !stands {
			pt(l, "SW").Cleanout = nil
		}
		wantFinding(t, mustCheck(t, mustBuild(t, l), code), want)
	}
}
