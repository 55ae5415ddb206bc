package drains

import (
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// pt returns a point of a layout for a test to change.
func pt(l *Data, id string) *Point {
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			if l.Systems[s].Points[p].ID == id {
				return &l.Systems[s].Points[p]
			}
		}
	}
	panic("no point " + id)
}

// vent returns a vent of a layout for a test to change.
func vent(l *Data, id string) *Vent {
	for v := range l.Vents {
		if l.Vents[v].ID == id {
			return &l.Vents[v]
		}
	}
	panic("no vent " + id)
}

// TestCheck changes one thing in a layout that passes and expects the finding a
// plumber would. The limits are those of the tables: see their citations.
func TestCheck(t *testing.T) {
	codes := map[string]*dwv.Code{"ipc-2021": townCode(t, "ipc-2021"), "upc-2021": townCode(t, "upc-2021")}
	quarter := slope.PerFoot(in / 4)
	tests := []struct {
		name string
		code string
		edit func(l *Data)
		// want is "verdict|rule|place|value|limit|margin", "-" for what is not
		// given; "none of RULE" where there must be no such problem.
		want string
	}{
		// Loads and sizes: IPC 2021 Table 710.1(1) gives a 3 in drain 42 dfu at 1/4
		// in per ft, UPC Table 703.2 35; 12 closets of 4 dfu and one lavatory are 49.
		{"too much load", "ipc-2021", func(l *Data) { pt(l, "WC").Fixture.Count = 12; pt(l, "S2").Run.Size = 3 * in }, "fail|drain-load|S2|49 dfu|42 dfu|-7 dfu"},
		{"load at the limit", "ipc-2021", func(l *Data) {
			pt(l, "WC").Fixture.Count = 10
			pt(l, "WC").Reserved = dwv.FixtureUnit
			pt(l, "S2").Run.Size = 3 * in
		}, "pass|drain-load|S2|42 dfu|42 dfu|0 dfu"},
		{"too much in one interval", "ipc-2021", func(l *Data) { pt(l, "LA").Fixture.Count = 7 }, "fail|stack-interval-load|LT|7 dfu|6 dfu|-1 dfu"},
		{"closets on 3 in, UPC", "upc-2021", func(l *Data) { pt(l, "WC").Fixture.Count = 4 }, "ask|drain-closets|WV|4|3|-1"},
		{"closets on 3 in, IPC", "ipc-2021", func(l *Data) { pt(l, "WC").Fixture.Count = 4 }, "pass|drain-closets|WV|4|-|-"},
		{"closet on 2 in", "ipc-2021", func(l *Data) { pt(l, "WV").Run.Size = 2 * in }, "fail|drain-closets|WV|1|-|-"},
		{"below ground", "ipc-2021", func(l *Data) { pt(l, "S3").Run.Size = in * 3 / 2 }, `fail|below-ground-size|S3|1 1/2"|2"|-1/2"`},
		{"shrinks", "ipc-2021", func(l *Data) { pt(l, "S2").Run.Size = 3 * in; pt(l, "S3").Run.Size = 4 * in }, `fail|size-reduction|S3|3"|4"|-1"`},
		{"a closet's drain falls by its slope", "ipc-2021", func(*Data) {}, `ask|trap-arm-fall|WC|1/2"|4"|3 1/2"|passes if the book agrees`},
		{"a bore of fall", "ipc-2021", func(l *Data) { pt(l, "WC").Run.Length = 16 * ft }, `ask|trap-arm-fall|WC|4"|4"|0"|passes if the book agrees`},
		{"more than a bore", "ipc-2021", func(l *Data) { pt(l, "WC").Run.Length = 17 * ft }, `ask|trap-arm-fall|WC|4 1/4"|4"|-1/4"|fails if the book agrees`},
		{"a drop of a closet's drain is no slope", "ipc-2021", func(l *Data) { pt(l, "WC").Run.Drop = 2 * ft }, `ask|trap-arm-fall|WC|1/2"|4"|3 1/2"|passes if the book agrees`},
		{"nor is a riser", "ipc-2021", func(l *Data) {
			pt(l, "WV").Run = Run{Length: 3 * ft, Vertical: true, Size: 3 * in, Material: "pvc-dwv"}
			vent(l, "VW").From = "S2"
		}, `ask|trap-arm-fall|WC|1/2"|4"|3 1/2"|passes if the book agrees`},
		{"nor a fault", "ipc-2021", func(l *Data) { pt(l, "WC").Run.Drop = 2 * ft }, "nothing of trap-arm-riser at WC"},
		{"the UPC excepts closets", "upc-2021", func(*Data) {}, "nothing of trap-arm-fall at WC"},
		{"closet bend", "ipc-2021", func(*Data) {}, `pass|size-reduction|WC|3"|3"|0"`},
		{"closet bend not marked", "ipc-2021", func(l *Data) { pt(l, "WC").Run.ClosetBend = false }, `fail|size-reduction|WC|3"|4"|-1"`},
		{"closet bend misused", "ipc-2021", func(l *Data) { pt(l, "S3").Run.ClosetBend = true; pt(l, "S3").Run.Size = 6 * in }, `fail|size-reduction|S2|4"|6"|-2"`},
		{"main drain whole", "ipc-2021", func(*Data) {}, `pass|main-drain-undiminished|S1|4"|4"|0"`},
		{"main drain diminished", "ipc-2021", func(l *Data) { pt(l, "S1").Run.Size = 3 * in }, `fail|main-drain-undiminished|S1|3"|4"|-1"`},
		{"fixture drain", "ipc-2021", func(l *Data) { pt(l, "LA").Trap.Size = 2 * in }, `fail|fixture-drain-size|LA|1 1/2"|2"|-1/2"`},
		{"outlet too small", "ipc-2021", func(l *Data) { l.Systems[0].Outlet.Size = 3 * in }, `fail|outlet-size|SO|3"|4"|-1"`},

		// Grades: IPC Table 704.1, UPC 708.1.
		{"2 % under 1/4, no pair printed firmly", "ipc-2021", func(l *Data) { pt(l, "LA").Run.Grade = slope.OneIn(50) }, "ask|drain-grade|LA|2 %|1/4 in/ft|-1:1200"},
		{"half the grade", "ipc-2021", func(l *Data) { pt(l, "LA").Run.Grade = slope.PerFoot(in / 8) }, "fail|drain-grade|LA|1/8 in/ft|1/4 in/ft|-1/8 in/ft"},
		{"1/8 on 4 in, UPC", "upc-2021", func(l *Data) { pt(l, "S1").Run.Grade = slope.PerFoot(in / 8) }, "ask|drain-grade|S1|1/8 in/ft|1/4 in/ft|-1/8 in/ft"},
		{"above a grease interceptor", "ipc-2021", func(l *Data) {
			pt(l, "S1").Interceptor = &Interceptor{Kind: "grease", Rated: 1, Inflow: 1}
		}, "fail|interceptor-grade|FD|1/8 in/ft|1/4 in/ft|-1/8 in/ft"},

		// Levels. The floor drain's run comes up to 97 ft + 6 ft and 8 ft at 1/4 in
		// per ft + 20 ft at 1/8 in per ft = 97 ft 6 in; with 3 in pipe (bore 3.068,
		// wall 0.216) and 2 in of cover 19.716 in are left under the slab.
		{"depth left", "ipc-2021", func(*Data) {}, `pass|gravity-depth|soil|1'-9.716"|2"|1'-7.716"`},
		{"outlet too high", "ipc-2021", func(l *Data) { l.Systems[0].Outlet.Invert += 24 * in }, `fail|gravity-depth|soil|-2.284"|2"|-4.284"`},
		{"too near the slab", "ipc-2021", func(l *Data) { l.Systems[0].Outlet.Invert += 24 * in }, `fail|drain-cover|FD|-2.284"|2"|-4.284"`},

		// Apart
		{"clay into soil", "ipc-2021", func(l *Data) { pt(l, "LA").Carries = "clay" }, "fail|system-apart|LA|-|-|-"},
		{"closet into waste", "ipc-2021", func(l *Data) {
			pt(l, "CS").Fixture.Kind = "water-closet"
			*pt(l, "CS").Fixture = *pt(l, "WC").Fixture
		}, "fail|system-apart|CS|-|-|-"},
		{"admitted only", "ipc-2021", func(l *Data) { l.Systems[1].Admits = []string{"sink"} }, "fail|system-apart|SP|-|-|-"},
		{"interceptor too small", "ipc-2021", func(l *Data) { pt(l, "C1").Interceptor.Inflow = 25 * units.USGallonPerMinute }, "fail|interceptor-capacity|C1|25 gpm|20 gpm|-5 gpm"},
		{"interceptor too quick", "ipc-2021", func(l *Data) { pt(l, "C1").Interceptor.Retention = 300 }, "fail|interceptor-capacity|C1|40 gal|60 gal|-20 gal"},

		// Trap arms: IPC Table 909.1 allows 8 ft on 2 in and 6 ft on 1-1/2 in, UPC
		// Table 1002.2 60 in and 42 in.
		{"2 in arm of 6 ft, IPC", "ipc-2021", func(l *Data) { pt(l, "CS").Run.Length = 6 * ft }, `pass|trap-arm-length|CS|6'-0"|8'-0"|2'-0"`},
		{"2 in arm of 6 ft, UPC", "upc-2021", func(l *Data) { pt(l, "CS").Run.Length = 6 * ft }, `fail|trap-arm-length|CS|6'-0"|5'-0"|-1'-0"`},
		{"2 in arm of 5 ft, UPC", "upc-2021", func(l *Data) { pt(l, "CS").Run.Length = 5 * ft }, `pass|trap-arm-length|CS|5'-0"|5'-0"|0"`},
		{"lavatory arm with its tail", "ipc-2021", func(l *Data) { pt(l, "LA").Trap.Arm = 3*ft + in }, `fail|trap-arm-length|LA|6'-1"|6'-0"|-1"`},
		{"closet arm, IPC", "ipc-2021", func(*Data) {}, `pass|trap-arm-length|WC|2'-0"|-|-`},
		{"a trap smaller than its arm", "ipc-2021", func(l *Data) {
			arm(l, 2*in, in*3/2, 7*ft)
		}, "ask|trap-arm-length|LA|-|-|-|!not stated"},
		{"crown vent", "ipc-2021", func(l *Data) { pt(l, "LA").Trap.Arm = 0; pt(l, "LA").Run.Length = 2 * in }, `fail|trap-arm-min-length|LA|2"|3"|-1"`},
		{"arm falls too much", "ipc-2021", func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(2 * in) }, `fail|trap-arm-fall|CS|4"|2"|-2"`},
		{"arm falls too much, UPC", "upc-2021", func(l *Data) {
			pt(l, "CS").Run.Grade = slope.PerFoot(2 * in)
		}, `fail|trap-arm-fall|CS|4"|2"|-2"`},
		// The arm of the lavatory at its least grade: 2 in over 8 ft, 1/2 in over 2 ft. A quarter of it, and 1/4 in, are let go.
		{"a flat arm, a quarter short", "ipc-2021", func(l *Data) {
			pt(l, "LA").Trap = &Trap{Arm: 8 * ft, Fall: in * 3 / 2}
		}, "none of drain-grade"},
		{"a short flat arm, 1/4 in short", "ipc-2021", func(l *Data) {
			pt(l, "LA").Trap = &Trap{Arm: 2 * ft, Fall: in / 4}
		}, "none of drain-grade"},
		{"a short flat arm, more than 1/4 in short", "ipc-2021", func(l *Data) {
			pt(l, "LA").Trap = &Trap{Arm: 2 * ft, Fall: in/4 - nm}
		}, `fail|drain-grade|LA|6.349999 mm|1/2"|-6.350001 mm`},
		{"a flat arm, more than a quarter short", "ipc-2021", func(l *Data) {
			pt(l, "LA").Trap = &Trap{Arm: 8 * ft, Fall: in*3/2 - nm}
		}, `fail|drain-grade|LA|38.099999 mm|2"|-12.700001 mm`},
		{"arm falls a bore and no more", "ipc-2021", func(l *Data) { pt(l, "CS").Run.Grade = slope.PerFoot(in) }, `pass|trap-arm-fall|CS|2"|2"|0"`},
		{"arm drops before the vent", "ipc-2021", func(l *Data) { vent(l, "VC").From = "C1" }, `fail|trap-arm-riser|CS|5'-0 1/2"|2"|-4'-10 1/2"`},
		{"no vent", "ipc-2021", func(l *Data) { l.Vents = l.Vents[:3] }, "fail|trap-vented|SP|-|-|-"},
		{"a trap whose size the fixture tells", "ipc-2021", func(*Data) {}, "none of trap-size"},
		{"seal too shallow", "ipc-2021", func(l *Data) { pt(l, "LA").Trap.Seal = in }, `fail|trap-seal|LA|1"|2"|-1"`},
		{"tail too long", "ipc-2021", func(l *Data) { pt(l, "LA").Trap.Tail = 25 * in }, `fail|trap-tail|LA|2'-1"|2'-0"|-1"`},
		{"a second fixture on the arm", "ipc-2021", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "LA2", To: "LB", Run: Run{Length: ft, Grade: quarter}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}},
				Point{ID: "LB", To: "LT", Run: Run{Length: ft, Grade: quarter}})
			pt(l, "LA").To = "LB"
		}, "ask|trap-arm-shared|LA|-|-|-|Vent each trap before it joins"},

		// Floor drains: 20 ft within the town's 25 ft; a drip must be vented.
		{"unvented within reach", "ipc-2021", func(*Data) {}, `pass|floor-drain-unvented|FD|20'-0"|25'-0"|5'-0"`},
		{"unvented at the reach", "ipc-2021", func(l *Data) { pt(l, "FD").Run.Length = 25 * ft }, `pass|floor-drain-unvented|FD|25'-0"|25'-0"|0"`},
		{"unvented out of reach", "ipc-2021", func(l *Data) { pt(l, "FD").Run.Length = 25*ft + in }, `fail|floor-drain-unvented|FD|25'-1"|25'-0"|-1"`},
		{"unvented with a drip", "ipc-2021", func(l *Data) { pt(l, "FD").Drip = true }, "fail|floor-drain-unvented|FD|-|-|-"},
		{"rim level with the floor", "ipc-2021", func(l *Data) { pt(l, "FD").RimBelow = 0 }, "ask|floor-drain-rim|FD|-|-|-"},
		{"no primer", "ipc-2021", func(l *Data) { pt(l, "FD").Primer = false }, "ask|floor-drain-primer|FD|-|-|-"},

		// Standpipes: IPC 802.4.3 18 to 42 in, UPC 804.1 18 to 30 in.
		{"standpipe of 36 in, IPC", "ipc-2021", func(l *Data) { pt(l, "SP").Receptor.Standpipe = 36 * in }, `pass|standpipe-height|SP|3'-0"|3'-6"|6"`},
		{"standpipe of 36 in, UPC", "upc-2021", func(l *Data) { pt(l, "SP").Receptor.Standpipe = 36 * in }, `fail|standpipe-height|SP|3'-0"|2'-6"|-6"`},
		{"standpipe too short", "ipc-2021", func(l *Data) { pt(l, "SP").Receptor.Standpipe = 12 * in }, `fail|standpipe-height|SP|1'-0"|1'-6"|-6"`},
		{"standpipe trap low, UPC", "upc-2021", func(l *Data) { pt(l, "SP").Receptor.TrapAboveFloor = 2 * in }, `fail|standpipe-trap-height|SP|2"|6"|-4"`},

		// Vents: IPC 906.2 half the drain, one size more over 40 ft.
		{"vent of a closet", "ipc-2021", func(*Data) {}, `pass|vent-size|VW|2"|1 1/2"|1/2"`},
		{"long vent", "ipc-2021", func(l *Data) { vent(l, "VW").Size = in * 3 / 2; vent(l, "VW").Runs[0].Length = 50 * ft }, `fail|vent-size|VW|1 1/2"|2"|-1/2"`},
		{"flat below the floor", "ipc-2021", func(l *Data) {
			vent(l, "VW").Runs = []VentRun{{Length: 4 * ft, Direction: VentBelowFloor}, {Length: 16 * ft, Direction: VentUp}}
		}, `fail|vent-below-floor|VW|4'-0"|-|-`},
		{"rising below the floor", "ipc-2021", func(l *Data) {
			vent(l, "VW").Runs = []VentRun{{Length: 4 * ft, Rise: in, Direction: VentBelowFloor}, {Length: 16 * ft, Direction: VentUp}}
		}, `ask|vent-below-floor|VW|-|-|-`},
		{"flat too low", "ipc-2021", func(l *Data) {
			vent(l, "VL").Runs[0].Length = 4 * in
		}, `fail|vent-flat|VL|2 1/2"|6"|-3 1/2"|Carry the vent up to 3'-1" above the floor`},
		{"flat under the floor", "ipc-2021", func(l *Data) {
			vent(l, "VW").Runs = []VentRun{{Length: in, Direction: VentUp}, {Length: 4 * ft, Direction: VentHorizontal}, {Length: 16 * ft, Direction: VentUp}}
		}, `fail|vent-flat|VW|-5'-0.216"|6"|-5'-6.216"`},
		{"roof", "ipc-2021", func(l *Data) { vent(l, "VW").Terminal.AboveRoof = 4 * in }, `fail|vent-terminal|VW|4"|6"|-2"`},
		// The UPC has no figure for a roof that people use: as much as a plain roof asks, 6 in, passes nothing there.
		{"used roof, UPC", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{AboveRoof: 6 * in, UsedRoof: true}
		}, `ask|vent-terminal|VW|-|-|-|which people use`},
		{"used roof, height not given, UPC", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{UsedRoof: true}
		}, `ask|vent-terminal|VW|-|-|-|which people use`},
		// UPC 906.2: 10 ft from an opening, or 3 ft above it.
		{"10 ft from a window", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{AboveRoof: ft, FromOpening: 10 * ft, AboveOpening: ft}
		}, `pass|vent-terminal-near|VW|10'-0"|10'-0"|0"`},
		{"near a window, above it", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{AboveRoof: ft, FromOpening: 9 * ft, AboveOpening: ft}
		}, `fail|vent-terminal-near|VW|1'-0"|3'-0"|-2'-0"`},
		{"near a window, level with it", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{AboveRoof: ft, FromOpening: 9 * ft}
		}, `fail|vent-terminal-near|VW|9'-0"|10'-0"|-1'-0"`},
		{"used roof lower than any, UPC", "upc-2021", func(l *Data) {
			vent(l, "VW").Terminal = &Terminal{AboveRoof: 5 * in, UsedRoof: true}
		}, `fail|vent-terminal|VW|5"|6"|-1"`},
		{"used roof", "ipc-2021", func(l *Data) { vent(l, "VW").Terminal.UsedRoof = true }, `fail|vent-terminal|VW|1'-0"|7'-0"|-6'-0"`},
		// The 4 in of S1 are drawn, the closet needs 3 in.
		{"vent enough for what is required", "ipc-2021", func(l *Data) { vent(l, "VW").Size = in * 3 / 2 }, `pass|vent-open|the layout|1 1/2"|1 1/2"|0"`},
		{"no main vent", "ipc-2021", func(l *Data) { fourInch(l); vent(l, "VW").Size = in * 3 / 2 }, `fail|vent-open|the layout|1 1/2"|2"|-1/2"`},
		{"circuit too steep", "ipc-2021", func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentCircuit, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
			pt(l, "WV").Run.Grade = slope.PerFoot(2 * in)
		}, `fail|circuit-vent-grade|WV|2 in/ft|1 in/ft|-1 in/ft`},
		{"circuit with too many", "ipc-2021", func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentCircuit, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
			pt(l, "WC").Fixture.Count = 9
		}, `fail|circuit-vent-fixtures|VW|10|8|-2`},
		{"wet vent", "ipc-2021", func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
			pt(l, "WC").Fixture.Count = 4
		}, `ask|wet-vent-load|WV|16 dfu|12 dfu|-4 dfu`},
		{"wet vent of a kitchen", "ipc-2021", func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
			*pt(l, "WC").Fixture = tables.Fixture{Kind: "kitchen-sink", Count: 1}
		}, `fail|wet-vent-fixtures|VW|-|-|-`},
		{"wet vent of a bathroom", "ipc-2021", func(l *Data) {
			*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in, Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
		}, "none of wet-vent-fixtures"},
		{"common vent at two levels", "ipc-2021", func(l *Data) {
			// The lavatory's vent serves a second one that joins the riser lower down.
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "LT2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 2 * in}},
				Point{ID: "LB", To: "LT2", Run: Run{Length: 2 * ft, Grade: quarter}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			pt(l, "LT").To, pt(l, "LT").Run.Length = "LT2", 3*ft
			vent(l, "VL").Kind, vent(l, "VL").Through = VentCommon, "LT2"
		}, "ask|common-vent-load|LT|1 dfu|4 dfu|3 dfu"},
		{"the lower one is vented too", "ipc-2021", func(l *Data) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "LT2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 2 * in}},
				Point{ID: "LB", To: "LT2", Run: Run{Length: 2 * ft, Grade: quarter}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			pt(l, "LT").To, pt(l, "LT").Run.Length = "LT2", 3*ft
			vent(l, "VL").Kind, vent(l, "VL").Through = VentCommon, "LT2"
		}, `pass|trap-arm-length|LB|2'-0"|5'-0"|3'-0"`},
		{"flat share, UPC", "upc-2021", func(l *Data) { vent(l, "VL").Runs[1].Length = 21 * ft }, `fail|vent-flat-share|VL|21'-0"|15'-0"|-6'-0"`},
		{"flat share of a larger vent, UPC", "upc-2021", func(l *Data) {
			vent(l, "VL").Runs[1].Length = 21 * ft
			vent(l, "VL").Size = 2 * in
		}, "none of vent-flat-share"},
		// VL, 1-1/4 in, may be 45 ft long and lie flat for 15: 6 of its own and, of VB that carries it on, what of its 12 ft
		// lies beyond where it joins: 9 ft if it joins 9 ft up VB, whose first 6 rise.
		{"flat share with the vent that it joins", "upc-2021", func(l *Data) { secondVent(l, 9*ft) }, `pass|vent-flat-share|VL|6'-0"|15'-0"|9'-0"`},
		{"flat share, a hair more beyond", "upc-2021", func(l *Data) { secondVent(l, 9*ft-nm) }, `ask|vent-flat-share|VL|-|-|-`},
		{"flat share, a larger vent carries it on", "upc-2021", func(l *Data) {
			secondVent(l, 6*ft)
			vent(l, "VB").Size = 2 * in
		}, `pass|vent-flat-share|VL|6'-0"|15'-0"|9'-0"`},
		{"a waste stack's vent without runs", "ipc-2021", func(l *Data) {
			l.Vents = append(l.Vents, Vent{ID: "WS", Kind: VentWasteStack, From: "S3", Through: "S2", Terminal: &Terminal{AboveRoof: ft}})
		}, "nothing of vent-take-off at WS"},
		{"vent for later", "ipc-2021", func(l *Data) { pt(l, "CS").Capped = true }, `pass|future-vent|CS|1 1/4"|1"|1/4"`},
		{"no vent for later", "ipc-2021", func(l *Data) { pt(l, "S3").Capped = true }, `ask|future-vent|S3|-|-|-`},
		{"three on a common vent", "ipc-2021", func(l *Data) { vent(l, "VL").Kind = VentCommon; pt(l, "LA").Fixture.Count = 3 }, "ask|common-vent-load|VL|-|-|-"},

		// Cleanouts: IPC 708.1.
		{"cleanout too far from the sewer", "ipc-2021", func(l *Data) { pt(l, "S1").Run.Length, pt(l, "S1").ThroughWall = 11*ft, false }, `fail|cleanout-junction|SO|11'-0"|10'-0"|-1'-0"`},
		{"cleanout at the exit", "ipc-2021", func(*Data) {}, `pass|cleanout-junction|S1|2'-6"|10'-0"|7'-6"`},
		{"no cleanout", "ipc-2021", func(l *Data) { pt(l, "S1").Cleanout = nil }, `fail|cleanout-junction|SO|-|10'-0"|-`},
		{"one way only", "ipc-2021", func(l *Data) { pt(l, "S1").Cleanout.TwoWay = false }, "none of cleanout-both-ways"},
		{"cleanouts too far apart", "ipc-2021", func(l *Data) { pt(l, "S3").Run.Length = 93 * ft }, `fail|cleanout-spacing|S1|101'-0"|100'-0"|-1'-0"`},
		{"a bend", "ipc-2021", func(l *Data) { pt(l, "WV").Run.Bearing = Degrees(0); pt(l, "S3").Run.Bearing = Degrees(45) }, "ask|cleanout-turn|S2|90 deg|45 deg|-"},
		{"a bend with a cleanout", "ipc-2021", func(l *Data) {
			pt(l, "WV").Run.Bearing = Degrees(0)
			pt(l, "S3").Run.Bearing = Degrees(45)
			pt(l, "S2").Cleanout = &Cleanout{}
		}, "pass|cleanout-turn|S2|90 deg|45 deg|-"},
		{"a bend with a cleanout upstream", "ipc-2021", func(l *Data) {
			pt(l, "WV").Run.Bearing = Degrees(0)
			pt(l, "S3").Run.Bearing = Degrees(45)
			pt(l, "WC").Run.Bearing = Degrees(0)
			pt(l, "WC").Cleanout = &Cleanout{}
		}, "ask|cleanout-turn|S2|90 deg|45 deg|-45 deg"},
		{"bends add up, UPC", "upc-2021", func(l *Data) {
			pt(l, "WC").Run.Bearing = Degrees(315)
			pt(l, "WV").Run.Bearing = Degrees(0)
			pt(l, "S3").Run.Bearing = Degrees(45)
			pt(l, "S2").Run.Bearing = Degrees(90.001)
		}, "fail|cleanout-turn|S2|135.001 deg|135 deg|-0.001 deg"},
		{"bends add up to the limit, UPC", "upc-2021", func(l *Data) {
			pt(l, "WC").Run.Bearing = Degrees(315)
			pt(l, "WV").Run.Bearing = Degrees(0)
			pt(l, "S3").Run.Bearing = Degrees(45)
		}, "none of cleanout-turn"},
		{"both ways where the drain leaves", "ipc-2021", func(*Data) {}, "pass|cleanout-both-ways|S1|-|-|-"},
		// S1 is of 4 in like the outlet, S3 of 2 in above it.
		{"no main cleanout, full size up to what there is", "ipc-2021", func(l *Data) {
			pt(l, "S1").Cleanout.Main = false
		}, "nothing of cleanout-main at soil"},
		{"no cleanout, and smaller pipe", "ipc-2021", func(l *Data) {
			pt(l, "S1").Cleanout = nil
		}, "ask|cleanout-main|soil|-|-|-"},
		{"cleanout too small", "ipc-2021", func(l *Data) { pt(l, "S1").Cleanout.Size = 3 * in }, `fail|cleanout-size|S1|3"|4"|-1"`},
		{"no room before it", "ipc-2021", func(l *Data) { pt(l, "S1").Cleanout.Clearance = 12 * in }, `fail|cleanout-clearance|S1|1'-0"|1'-6"|-6"`},
		{"cable too short", "ipc-2021", func(l *Data) { l.CableReach = 5 * ft }, `fail|cleanout-reach|S3|8'-0"|5'-0"|-8'-0"`},
		{"upper end, UPC", "upc-2021", func(*Data) {}, `ask|cleanout-upper-end|FD|-|-|-`},

		{"upper end without a cleanout, UPC", "upc-2021", func(l *Data) { pt(l, "S3").Run.Length = 30 * ft; pt(l, "S1").Cleanout.TwoWay = false }, `fail|cleanout-upper-end|S3|38'-0"|-|-`},
		{"a two-way cleanout instead, UPC", "upc-2021", func(l *Data) { pt(l, "S3").Run.Length = 30 * ft }, "ask|cleanout-upper-end|S3|-|-|-"},
		{"a branch in at right angles", "ipc-2021", func(l *Data) { pt(l, "WV").Run.Bearing = Degrees(0) }, "none of cleanout-turn"},

		// Site
		{"sleeve too narrow", "ipc-2021", func(l *Data) { l.Footings[0].Sleeve = 4 * in }, `fail|footing-sleeve|F1|4"|6"|-2"`},
		{"no sleeve", "ipc-2021", func(l *Data) { l.Footings[0].Sleeve = 0 }, `fail|footing-sleeve|F1|-|-|-`},
		{"beside a footing", "ipc-2021", func(l *Data) { l.Footings[1].Distance = 6 * in }, `fail|footing-plane|F2|10.654"|6"|-4.654"`},
		{"under a footing", "ipc-2021", func(l *Data) {
			l.Footings[1] = Footing{ID: "F2", Kind: FootingUnder, Run: "S3", Along: 4 * ft, Bottom: 30 * in, Clear: 3 * in}
		}, `fail|footing-clearance|F2|-0.721"|3"|-3.721"`},
		{"cellular core under the slab", "ipc-2021", func(l *Data) {
			eachRun(l, func(r *Run) { r.Material = "pvc-dwv-cellular" })
		}, "ask|drain-material|soil|ASTM F891|-|-|Some localities bar"},
		{"cellular core as a sewer", "ipc-2021", func(l *Data) {
			pt(l, "S1").Run.Material, pt(l, "S1").Run.Part = "pvc-dwv-cellular", dwv.Sewer
		}, "ask|drain-material|soil|ASTM F891|-|-|!Some localities"},
		// SPT begins 4 in over the outlet at 97 ft, so a riser of 2 ft ends 8 in below the floor.
		{"a riser that ends below the floor", "ipc-2021", func(l *Data) {
			*pt(l, "SP").Fixture, pt(l, "SP").Receptor = tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}, nil
			pt(l, "SP").Run.Length = 2 * ft
		}, `fail|stub-up|SP|-8"|0"|-8"|!and the stub`},
		{"sewer pipe under the slab", "ipc-2021", func(l *Data) { pt(l, "S1").Run.Material = "pvc-sdr35" }, "ask|drain-material|soil|ASTM D3034|-|-"},
		{"pipe not on the shelf", "ipc-2021", func(l *Data) { pt(l, "S1").Run.Material = "bamboo" }, "ask|drain-material|soil|-|-|-"},
		{"a drain far beyond the wall", "ipc-2021", func(l *Data) { l.Ground = new(units.Length) }, "ask|drain-becomes-sewer|S1|-|-|-"},
		{"a sewer beyond the wall", "ipc-2021", func(l *Data) { pt(l, "S1").Run.Part = dwv.Sewer }, "none of drain-becomes-sewer"},
		{"a sewer beyond the wall, the ground given", "ipc-2021", func(l *Data) {
			pt(l, "S1").Run.Part, l.Ground = dwv.Sewer, new(units.Length)
		}, "nothing of drain-becomes-sewer at S1"},
		{"a drain 30 in beyond the wall, the ground given", "ipc-2021", func(l *Data) {
			pt(l, "S1").Run.Length, l.Ground = 30*in, new(units.Length)
		}, "nothing of drain-becomes-sewer at S1"},
		{"a drain beyond the wall that is the same as a sewer", "ipc-2021", func(*Data) {}, "nothing of drain-becomes-sewer at S1"},
		{"a tee along a run after two bends", "ipc-2021", func(l *Data) {
			pt(l, "S3").Run.Fittings = []string{"eighth-bend", "eighth-bend", "sanitary-tee"}
		}, "fail|fitting-turn|S3|sanitary-tee|-|-|may not turn"},
		{"sanitary tee on its back", "ipc-2021", func(l *Data) { pt(l, "S3").Run.Into = "sanitary-tee" }, "fail|fitting-turn|S3|sanitary-tee|-|-"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{}), tt.want)
		})
	}
}

// wantFinding looks for a finding written as in TestCheck. A seventh part is text that
// its reason or remedy holds, or, behind "!", does not. "nothing of RULE at PLACE" is
// that there must be none, be it a pass.
func wantFinding(t *testing.T, got []tables.Finding, want string) {
	t.Helper()
	if at, ok := strings.CutPrefix(want, "nothing of "); ok {
		for _, f := range got {
			if f.Rule+" at "+f.Place == at {
				t.Errorf("found %v", f)
			}
		}
		return
	}
	if rule, ok := strings.CutPrefix(want, "none of "); ok {
		for _, f := range got {
			if f.Rule == rule && f.Verdict != tables.Pass {
				t.Errorf("found %v", f)
			}
		}
		return
	}
	var near []string
	parts := append(strings.Split(want, "|"), "")
	text, without := strings.CutPrefix(parts[6], "!")
	want = strings.Join(parts[:6], "|")
	for _, f := range got {
		s := line(f)
		if s == want && strings.Contains(f.Reason+" "+f.Fix, text) != without {
			return
		}
		if f.Rule == parts[1] {
			near = append(near, s+"   "+f.Reason)
		}
	}
	if parts[6] != "" {
		want += ", with the text " + strconv.Quote(parts[6]) + ","
	}
	t.Errorf("no finding\n%s\namong\n%s", want, strings.Join(near, "\n"))
}

// line writes what a test compares of a finding.
func line(f tables.Finding) string {
	q := func(s fmt.Stringer) string {
		if s == nil {
			return "-"
		}
		return s.String()
	}
	return strings.Join([]string{f.Verdict.String(), f.Rule, f.Place, q(f.Value), q(f.Limit), q(f.Margin)}, "|")
}

// TestWorkshopPasses holds the layout that TestCheck changes to have nothing wrong
// itself, so that each finding there comes from the change.
func TestWorkshopPasses(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	for _, f := range mustCheck(t, l, townCode(t, "ipc-2021")) {
		if f.Verdict == tables.Fail {
			t.Errorf("%v", f)
		}
	}
}

// TestCheckUnderEveryCode judges one layout under each set of the shelf that is a
// code: whatever it lacks, the check ends in findings or says which fixture the code
// does not rate.
func TestCheckUnderEveryCode(t *testing.T) {
	ids, err := tables.Embedded().IDs()
	if err != nil {
		t.Fatal(err)
	}
	tried := map[string]bool{}
	judged := 0
	for _, id := range ids {
		set, _, _ := strings.Cut(id, "/")
		if tried[set] {
			continue
		}
		tried[set] = true
		code, err := dwv.LoadCode(tables.Embedded(), set)
		if err != nil {
			continue
		}
		l := mustLayout(t, "workshop.json")
		findings, err := checkOf(l, code, CheckOptions{}, Options{Frost: true})
		switch {
		case err == nil && len(findings) == 0:
			t.Errorf("%s: no findings", set)
		case err == nil:
			judged++
		case !errors.Is(err, tables.ErrNotInCode) && !errors.Is(err, tables.ErrNotStated):
			t.Errorf("%s: %v", set, err)
		}
	}
	if judged < 2 {
		t.Errorf("only %d codes judged", judged)
	}
}

// A floor drain that takes a drip must be vented whatever figure a code has for
// emergency drains, seen in print or not.
func TestDripIsNoEmergency(t *testing.T) {
	ipc, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for _, drip := range []bool{false, true} {
		l := mustLayout(t, "workshop.json")
		pt(l, "FD").Drip = drip
		want := map[bool]string{false: "ask|floor-drain-unvented|FD|20'-0\"|-|-", true: "fail|floor-drain-unvented|FD|-|-|-"}[drip]
		found := false
		for _, f := range mustCheck(t, mustBuild(t, l), ipc) {
			if f.Rule == "floor-drain-unvented" {
				found = true
				if line(f) != want {
					t.Errorf("drip %v: %s, want %s", drip, line(f), want)
				}
			}
		}
		if !found {
			t.Errorf("drip %v: no finding", drip)
		}
	}
}

// fourInch loads the drain of the workshop so that it has to be of 4 in.
func fourInch(l *Data) { pt(l, "S1").Reserved = 43 * dwv.FixtureUnit }

// TestOneSize: the pairs that the pipe trade gives as names of one size, in inches and
// as DN (common practice), are told from sizes that lie next to each other.
func TestOneSize(t *testing.T) {
	in, mm := units.Inch, units.Millimetre
	for _, p := range [][2]units.Length{{in * 5 / 4, 32 * mm}, {in * 3 / 2, 40 * mm}, {2 * in, 50 * mm}, {in * 5 / 2, 65 * mm}, {3 * in, 80 * mm}, {4 * in, 100 * mm}, {5 * in, 125 * mm}, {6 * in, 150 * mm}, {8 * in, 200 * mm}} {
		if !oneSize(p[0], p[1]) || !oneSize(p[1], p[0]) {
			t.Errorf("%v and %v are told apart", p[0], p[1])
		}
	}
	if oneSize(90*mm, 100*mm) || oneSize(100*mm, 110*mm) {
		t.Error("DN 90, 100 and 110 are taken as one")
	}
	// Tube of 15 mm is copper, of 16 mm plastic (common practice).
	if oneSize(15*mm, 16*mm) {
		t.Error("15 and 16 mm are taken as one")
	}
	sizes := []units.Length{in * 5 / 4, in * 3 / 2, 2 * in, in * 5 / 2, 3 * in, 4 * in, 5 * in, 6 * in, 8 * in, 10 * in, 12 * in, 15 * in}
	for i, a := range sizes {
		for _, b := range sizes[i:] {
			if oneSize(a, b) {
				t.Errorf("%v and %v are taken as one", a, b)
			}
		}
	}
}

// TestNamesOfOneSize: an outlet of 100 mm under a code that names 4 in is a question,
// one of 3 in a fail.
func TestNamesOfOneSize(t *testing.T) {
	for size, want := range map[units.Length]tables.Verdict{100 * units.Millimetre: tables.Ask, 3 * units.Inch: tables.Fail, 4 * units.Inch: tables.Pass} {
		l := villageLayout(100)
		l.Systems[0].Outlet.Size = size
		l = mustBuild(t, l)
		list, err := checkOf(l, mustCode(t, "ipc-2021"), CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		found := tables.Verdict(0)
		for _, f := range list {
			if f.Rule == "outlet-size" {
				found = max(found, f.Verdict)
				if want == tables.Ask && !strings.Contains(f.Reason, "two names of one size") {
					t.Errorf("outlet of %v: %s", size, f.Reason)
				}
				// 101.6 - 100 = 1.6 mm are lacking.
				if want == tables.Ask && f.Margin != fmt.Stringer(-16*units.Millimetre/10) {
					t.Errorf("outlet of %v: margin %v", size, f.Margin)
				}
			}
		}
		if found != want {
			t.Errorf("outlet of %v: %v, want %v", size, found, want)
		}
	}
}

// TestVentOfAnotherName: the vent of a drain of 3 in is 1-1/2 in under the IPC, half of it. One of 38 mm may be the same by another
// name, and lacks 0.1 mm of 38.1.
func TestVentOfAnotherName(t *testing.T) {
	l := mustLayout(t, "workshop.json")
	vent(l, "VW").Size = 38 * units.Millimetre
	wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), `ask|vent-size|VW|38 mm|1 1/2"|-0.1 mm`)
}

// TestLoadCodeNames: a code that is not on the shelf is answered with those that are.
func TestLoadCodeNames(t *testing.T) {
	codes, err := dwv.Codes(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, c := range codes {
		ids = append(ids, c.ID)
	}
	for id, want := range map[string]string{"ipc-9999": "shelf has " + strings.Join(ids, ", "),
		"npc-canda": `did you mean "npc-canada"?`, "din1988-300": "it is a code of water, which supply.LoadCode loads"} {
		_, err := dwv.LoadCode(tables.Embedded(), id)
		if !errors.Is(err, tables.ErrNotFound) || !errors.Is(err, tables.ErrNotInCode) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// TestPrint: every length and grade in the texts of a check is written as the options
// say, and every nominal size keeps its name.
func TestPrint(t *testing.T) {
	write := func(x fmt.Stringer) string {
		switch x.(type) {
		case units.Length, Depth, Shortage:
			return "LENGTH"
		case slope.Grade:
			return "GRADE"
		}
		return x.String()
	}
	l := mustBuild(t, villageLayout(300))
	l.Systems[0].Points[3].Run.Length = 40 * units.Foot // a stack that climbs far
	l.Systems[0].Outlet.Invert = 99 * units.Foot        // and an outlet too high
	l = mustBuild(t, l)
	lengths := regexp.MustCompile(`\d+'-\d|\d in/ft| (is|at most|at least|than|left|keeps) -?\d[^ ]*"`)
	seen := 0
	for _, id := range []string{"ipc-2021", "upc-2021"} {
		code := townCode(t, id)
		plain, err := checkOf(l, code, CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		list, err := checkOf(l, code, CheckOptions{Print: write})
		if err != nil {
			t.Fatal(err)
		}
		if len(plain) != len(list) {
			t.Fatalf("%s: %d findings, printed otherwise %d", id, len(plain), len(list))
		}
		sizes := map[string]bool{"below-ground-size": true, "fixture-drain-size": true, "vent-size": true, "cleanout-size": true, "vent-open": true, "main-drain-undiminished": true, "outlet-size": true}
		for _, f := range list {
			text := f.Reason + " " + f.Fix
			if at := lengths.FindString(text); at != "" && !sizes[f.Rule] {
				t.Errorf("%s %s at %s: %q stands in %q", id, f.Rule, f.Place, at, text)
			}
			if f.Rule == "vent-size" && regexp.MustCompile(`drain, is LENGTH`).MatchString(text) {
				t.Errorf("%s: a nominal size was written as a length: %q", id, text)
			}
			if regexp.MustCompile(`LENGTH|GRADE`).MatchString(text) {
				seen++
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d texts hold a length or a grade", seen)
	}
}

// checkAllWays checks a layout, and holds the check to what it promises: asked for
// problems alone, or with a tally, it gives the same problems in the same words, the
// tally counts what passes, and the order in which points and vents are drawn is all
// one.
func checkAllWays(t *testing.T, l *Data, c *dwv.Code, opt CheckOptions, size ...Options) []tables.Finding {
	t.Helper()
	check := func(l *Data, opt CheckOptions) []tables.Finding {
		t.Helper()
		f, err := checkOf(l, c, opt, size...)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	all := check(l, opt)
	findingtest.Settled(t, all)
	var problems []tables.Finding
	for _, f := range all {
		if f.Verdict != tables.Pass {
			problems = append(problems, f)
		}
	}
	// The case itself says in which order it is drawn again, and which of the two ways
	// it is asked then: over the hundreds of cases every check meets both.
	h := fnv.New64a()
	fmt.Fprint(h, t.Name(), texts(all))
	r := rand.New(rand.NewPCG(h.Sum64(), 9))
	again := mustBuild(t, shuffled(r, l))
	if diff := gocmp.Diff(texts(all), texts(check(again, opt))); diff != "" {
		t.Errorf("drawn in another order (-before +after):\n%s", diff)
	}
	if r.IntN(2) == 0 {
		opt.ProblemsOnly = true
	} else {
		opt.Tally = new(tables.Tally)
	}
	if diff := gocmp.Diff(texts(problems), texts(check(again, opt))); diff != "" {
		t.Errorf("problems (-of all +asked for with %+v):\n%s", opt, diff)
	}
	if n := len(all) - len(problems); opt.Tally != nil && opt.Tally.Passes() != n {
		t.Errorf("%d passes counted, %d found", opt.Tally.Passes(), n)
	}
	return all
}

// linesOf returns the findings of a rule at a place, written as in TestCheck: what is
// not among them was not found.
func linesOf(found []tables.Finding, rule, place string) (lines []string) {
	for _, f := range found {
		if f.Rule == rule && f.Place == place {
			lines = append(lines, line(f))
		}
	}
	return lines
}

// reasonOf returns what the only finding of a rule at a place says.
func reasonOf(t *testing.T, found []tables.Finding, rule, place string) (reason string) {
	t.Helper()
	n := 0
	for _, f := range found {
		if f.Rule == rule && f.Place == place {
			reason = f.Reason
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d findings of %s at %s", n, rule, place)
	}
	return reason
}

// A drawing under a European standard names its sizes DN, and so do our reports:
// what they print is read again.
func TestNominalSizes(t *testing.T) {
	const layout = `{"finished_floor":"2 m","systems":[{"id":"S","kind":"soil","outlet":{"id":"X","kind":"sewer",` +
		`"invert":"0 m","size":"DN 100"},"points":[{"id":"A","to":"X","run":{"length":"1 m","grade":"2 %","size":"@"}}]}]}`
	for text, want := range map[string]units.Length{
		"DN 80": 80 * units.Millimetre, "DN100": 100 * units.Millimetre, ` DN 50\n`: 50 * units.Millimetre,
		"80 mm": 80 * units.Millimetre, "3 in": 3 * units.Inch, "1-1/2 in": 3 * units.Inch / 2,
		"DN": 0, "DN 80 mm": 0, "DN -80": 0, "DN 8.5": 0, "80": 0, "dn 80": 0, "0 in": 0, "DN 0": 0,
	} {
		l, err := parse("f", []byte(strings.Replace(layout, "@", text, 1)))
		if (err == nil) != (want != 0) {
			t.Errorf("%q: %v", text, err)
		} else if err == nil && l.Systems[0].Points[0].Run.Size != want {
			t.Errorf("%q is %v, want %v", text, l.Systems[0].Points[0].Run.Size, want)
		}
	}
}

// TestFindingsAsTheTradeReads: without Print the figures of findings, and of what is made of
// them, are in the system of the layout and rounded: lengths to 1/16 in or the millimetre,
// depths down. With it they are as measured.
func TestFindingsAsTheTradeReads(t *testing.T) {
	feet := mustLayout(t, "workshop.json")
	metres := mustLayout(t, "workshop.json")
	eachRun(metres, func(r *Run) { r.Length = r.Length.Round(units.Centimetre, units.HalfUp) + units.Millimetre })
	for name, tt := range map[string]struct {
		layout *Data
		length *regexp.Regexp
	}{
		"feet":   {feet, regexp.MustCompile(`^(-?\d+'-\d+( \d+/\d+)?"|-?(\d+ )?\d+/\d+"|-?\d+")$`)},
		"metres": {metres, regexp.MustCompile(`^-?(\d+ mm|\d+(\.\d{1,3})? m)$`)},
	} {
		l, err := New(*tt.layout)
		if err != nil {
			t.Fatal(err)
		}
		s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		found, err := s.Check(CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var n int
		for _, f := range found {
			if ruleOf(f.Rule).named {
				continue
			}
			for _, q := range []fmt.Stringer{f.Value, f.Limit, f.Margin} {
				switch q.(type) {
				case units.Length, Depth, Shortage, metricLength:
					if n++; !tt.length.MatchString(q.String()) {
						t.Errorf("%s: %v", name, f)
					}
				}
			}
		}
		if n < 50 {
			t.Errorf("%s: %d lengths", name, n)
		}
	}
	s := mustSize(t, mustBuild(t, feet), mustCode(t, "ipc-2021"))
	for _, tt := range []struct {
		q    fmt.Stringer
		want string
	}{
		{units.Inches(1170.534), `97'-6 9/16"`}, {Depth(units.Inches(21.716)), `1'-9 1/2"`},
		{Depth(units.Inches(-0.1)), `-1/4"`}, {Depth(units.Inches(5.9999)), `6"`},
		{Shortage(units.Inches(0.1)), `1/4"`}, {4.7046404 * units.PoundForcePerSquareInch, "4.7 psi"},
		{1e-9 * units.USGallonPerMinute, "1e-9 gpm"}, {dwv.FixtureUnit, "1 dfu"}, {nil, ""},
	} {
		if got := s.Text(tt.q); got != tt.want {
			t.Errorf("%v is told as %s, want %s", tt.q, got, tt.want)
		}
	}
	for _, f := range mustCheck(t, feet, mustCode(t, "ipc-2021")) { // with a Print
		if f.Rule == "drain-cover" && f.Place == "FD" && f.Value.String() != `1'-9.716"` {
			t.Error(f)
		}
	}
	exact := tables.Finding{Value: 12*in + in/1000, Limit: 12 * in, Margin: -in / 1000}
	if f := s.trade().Rounded(exact); f.Margin != fmt.Stringer(-in/1000) || f.Value != fmt.Stringer(12*in) {
		t.Errorf("a margin that rounds away keeps its sign: %v %v", f.Value, f.Margin)
	}
	level := tables.Finding{Value: slope.OneIn(48), Limit: slope.OneIn(48), Margin: slope.Grade{}}
	if f := s.trade().Rounded(level); f.Margin.String() != "0 %" {
		t.Errorf("no margin of a grade is told as %v", f.Margin)
	}
}

// eachRun changes every run that is not vertical.
func eachRun(d *Data, change func(*Run)) {
	for s := range d.Systems {
		for p := range d.Systems[s].Points {
			if r := &d.Systems[s].Points[p].Run; !r.Vertical {
				change(r)
			}
		}
	}
}

// secondVent gives a lavatory with a vent of its own, VB, and has VL join that so far from its take-off.
func secondVent(l *Data, station units.Length) {
	l.Systems[0].Points = append(l.Systems[0].Points,
		Point{ID: "LT2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 2 * in}},
		Point{ID: "LB", To: "LT2", Run: Run{Length: 2 * ft, Grade: slope.MustParse("1/4 in/ft")}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
	l.Vents = append(l.Vents, Vent{ID: "VB", Kind: VentIndividual, From: "LT2", Size: in * 5 / 4, Terminal: &Terminal{AboveRoof: 12 * in},
		Runs: []VentRun{{Length: 6 * ft, Direction: VentUp}, {Length: 12 * ft, Direction: VentHorizontal}, {Length: 10 * ft, Direction: VentUp}}})
	vl := vent(l, "VL")
	vl.To, vl.At = "VB", &VentJoin{Station: &station}
}
