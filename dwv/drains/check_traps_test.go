package drains

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestTrapFindings wants all that is found of a rule at a place, and nothing else. The
// arm of the lavatory LA is 3 ft and 6 in at 1/4 in per ft: it falls 7/8 in.
func TestTrapFindings(t *testing.T) {
	codes := map[string]*dwv.Code{
		"ipc":  firmCode(t, "ipc-2021"),
		"upc":  mustCode(t, "upc-2021"),
		"irc":  firmCode(t, "irc-2021"),
		"bare": amendedCode(t, "ipc-2021", "set,floor-drain-unvented-reach,-,ft,1,town,read\ndrop,trap-arm-closet,,,,,\ndrop,trap-arm-min-length,,,,,\n"),
	}
	quarter := slope.PerFoot(in / 4)
	// basins adds fixtures that drain into the arm of LA before its vent.
	basins := func(l *Data, ids ...string) {
		to := "LT"
		for _, id := range ids {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: id + "J", To: to, Run: Run{Length: ft, Grade: quarter}},
				Point{ID: id, To: id + "J", Run: Run{Length: ft, Grade: quarter}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}})
			to = id + "J"
		}
		pt(l, "LA").To, pt(l, "LA").Run.Length = to, ft
		vent(l, "VL").Kind = VentCommon
	}
	floorDrain := func(l *Data, id string) {
		pt(l, id).Fixture, pt(l, id).Primer, pt(l, id).RimBelow = &tables.Fixture{Kind: "emergency-floor-drain", Count: 1}, true, in
	}
	// ontoRiser puts a lavatory on the riser SP, with a trap of a size so far from its vent at the top of the riser.
	ontoRiser := func(l *Data, trap, way units.Length) {
		sp := pt(l, "SP")
		sp.Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}
		sp.Receptor, sp.Trap = nil, &Trap{Size: trap, Arm: way}
	}
	for _, tt := range []struct {
		name, code  string
		edit        func(l *Data)
		rule, place string
		want        string // lines parted by blanks; "" for none
	}{
		{"a seal of 4 in is no deep one", "ipc", func(l *Data) { pt(l, "LA").Trap.Seal = 4 * in }, "trap-seal", "LA", `pass|trap-seal|LA|4"|2"|2"`},
		{"a seal not given", "ipc", func(l *Data) { pt(l, "LA").Trap.Seal = 0 }, "trap-seal", "LA", ""},
		{"a tail not given", "ipc", func(l *Data) { pt(l, "LA").Trap.Tail = 0 }, "trap-tail", "LA", ""},
		{"the tail of a standpipe", "ipc", func(l *Data) { pt(l, "SP").Trap.Tail = 30 * in }, "trap-tail", "SP", ""},
		{"the tail into an open receptor", "ipc", func(l *Data) { pt(l, "SP").Trap.Tail = 30 * in; pt(l, "SP").Receptor.Standpipe = 0 }, "trap-tail", "SP", `fail|trap-tail|SP|2'-6"|2'-0"|-6"`},
		{"no standpipe", "ipc", func(l *Data) { pt(l, "SP").Receptor.Standpipe = 0 }, "standpipe-height", "SP", ""},

		{"a closet vented where it stands", "ipc", func(l *Data) { vent(l, "VW").From = "WC" }, "trap-arm-length", "WC",
			`pass|trap-arm-length|WC|0"|-|-`},
		{"a fall at the run's grade", "ipc", func(*Data) {}, "trap-arm-fall", "LA", `pass|trap-arm-fall|LA|7/8"|1_1/2"|5/8"`},
		{"a fall of the trap's own", "ipc", func(l *Data) { pt(l, "LA").Trap.Fall = in / 2 }, "trap-arm-fall", "LA", `pass|trap-arm-fall|LA|1_1/4"|1_1/2"|1/4"`},
		{"a trap above a riser", "ipc", func(l *Data) { vent(l, "VP").From = "SPT" }, "trap-arm-fall", "SP", `fail|trap-arm-fall|SP|3'-0"|2"|-2'-10"`},
		{"a drop on the arm", "ipc", func(l *Data) { pt(l, "CS").Run.Drop = in / 2 }, "trap-arm-fall", "CS", `pass|trap-arm-fall|CS|1"|2"|1"`},
		{"a drop under a riser", "ipc", func(l *Data) { vent(l, "VC").From, pt(l, "CT").Run.Drop = "C1", in/2 }, "trap-arm-fall", "CS", `fail|trap-arm-fall|CS|5'-1"|2"|-4'-11"`},
		{"a trap less wide than its arm", "ipc", func(l *Data) { pt(l, "LA").Run.Size = 2 * in }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|3'-6"|6'-0"|2'-6"`},
		// The drain of FD begins 30 in below the floor: 24 in from a rim 6 in down, which is
		// the most there may be to the weir, and less than a rim nearer the floor leaves.
		{"a floor drain whose weir is as deep as may be", "ipc", func(l *Data) { pt(l, "FD").Trap, pt(l, "FD").RimBelow = nil, 6*in }, "trap-tail", "FD", ""},
		{"a floor drain whose weir is deeper", "ipc", func(l *Data) { pt(l, "FD").Trap, pt(l, "FD").RimBelow = nil, 5*in }, "trap-tail", "FD", `fail|trap-tail|FD|2'-1"|2'-0"|-1"`},
		{"a tail that is stated", "ipc", func(*Data) {}, "trap-tail", "FD", `pass|trap-tail|FD|1'-8"|2'-0"|4" ask|trap-tail|FD|-|-|-`},
		{"a tail that is stated, and the drain no deeper", "ipc", func(l *Data) { pt(l, "FD").RimBelow = 6 * in }, "trap-tail",
			"FD", `pass|trap-tail|FD|1'-8"|2'-0"|4"`},
		{"a tail that is stated too long", "ipc", func(l *Data) { pt(l, "FD").Trap.Tail = 25 * in }, "trap-tail", "FD",
			`fail|trap-tail|FD|2'-1"|2'-0"|-1"`},
		{"an arm that rises to its trap", "ipc", func(l *Data) { pt(l, "FD").Trap, pt(l, "FD").RimBelow = &Trap{Arm: 8 * ft}, 5*in }, "trap-tail", "FD", ""},
		{"a tub on the floor", "ipc", func(l *Data) {
			pt(l, "FD").Trap, pt(l, "FD").RimBelow, pt(l, "FD").Fixture = nil, 0, &tables.Fixture{Kind: "bathtub", Count: 1, Use: tables.Private}
		}, "trap-tail", "FD", `fail|trap-tail|FD|2'-6"|2'-0"|-6"`},
		// A lavatory has a trap of 1-1/4 in by the table of fixtures: 5 ft, though the arm be larger.
		{"a trap of the code's table", "ipc", func(l *Data) { pt(l, "LA").Run.Size, pt(l, "LA").Trap.Size = 2*in, 0 }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|3'-6"|5'-0"|1'-6"`},
		{"a trap of the table at the limit", "ipc", func(l *Data) { arm(l, 2*in, 0, 5*ft) }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|5'-0"|5'-0"|0"`},
		{"a trap of the table past it", "ipc", func(l *Data) { arm(l, 2*in, 0, 5*ft+in) }, "trap-arm-length", "LA", `ask|trap-arm-length|LA|-|-|-`},
		{"past the limit of the arm as well", "ipc", func(l *Data) { arm(l, 2*in, 0, 8*ft+in) }, "trap-arm-length", "LA", `fail|trap-arm-length|LA|8'-1"|5'-0"|-3'-1"`},
		{"a stated trap as wide as its arm", "ipc", func(l *Data) { arm(l, 2*in, 2*in, 8*ft) }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|8'-0"|8'-0"|0"`},
		{"a stated trap, larger arm, past the trap's", "ipc", func(l *Data) { arm(l, 2*in, in*3/2, 6*ft+in) }, "trap-arm-length", "LA", `ask|trap-arm-length|LA|-|-|-`},
		// The UPC's table goes by the arm: 2 in may be 5 ft long, whatever the trap.
		{"by the arm, at the limit", "upc", func(l *Data) { arm(l, 2*in, in*3/2, 5*ft) }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|5'-0"|5'-0"|0"`},
		{"by the arm, past it", "upc", func(l *Data) { arm(l, 2*in, in*3/2, 5*ft+in) }, "trap-arm-length", "LA", `fail|trap-arm-length|LA|5'-1"|5'-0"|-1"`},
		// The IRC's fixtures have no traps on the shelf: asked where it hangs on them, from 5 ft
		// on, the least there may be.
		{"a trap nobody states", "irc", func(l *Data) { arm(l, 2*in, 0, 5*ft+in) }, "trap-arm-length", "LA", `ask|trap-arm-length|LA|-|-|-`},
		{"a trap nobody needs to state", "irc", func(l *Data) { arm(l, 2*in, 0, 5*ft) }, "trap-arm-length", "LA", `pass|trap-arm-length|LA|5'-0"|8'-0"|3'-0"`},
		// The smaller of the two counts where the trap is larger than its arm, which cannot be right either.
		{"a trap larger than its arm", "ipc", func(l *Data) { arm(l, in*3/2, 2*in, 6*ft+in) }, "trap-arm-length", "LA",
			`fail|trap-arm-length|LA|6'-1"|6'-0"|-1"`},
		// A lavatory that enters a riser of 2 in: the riser says nothing of its trap. One of 1-1/4 in may be 5 ft from
		// its vent, one as large as the riser 8.
		{"into a riser, at the limit of the least trap", "ipc", func(l *Data) { ontoRiser(l, 0, 5*ft) }, "trap-arm-length", "SP",
			`pass|trap-arm-length|SP|5'-0"|5'-0"|0"`},
		{"into a riser, past it", "ipc", func(l *Data) { ontoRiser(l, 0, 5*ft+nm) }, "trap-arm-length", "SP",
			`ask|trap-arm-length|SP|-|-|-`},
		{"into a riser, at the limit of the largest trap", "ipc", func(l *Data) { ontoRiser(l, 0, 8*ft) }, "trap-arm-length",
			"SP", `ask|trap-arm-length|SP|-|-|-`},
		{"falling as much as the least trap is wide", "ipc", func(l *Data) { ontoRiser(l, 0, 5*ft); pt(l, "SP").Trap.Fall = in * 5 / 4 },
			"trap-arm-fall", "SP", `pass|trap-arm-fall|SP|1_1/4"|1_1/4"|0"`},
		{"falling as much as the largest trap is wide", "ipc", func(l *Data) { ontoRiser(l, 0, 8*ft); pt(l, "SP").Trap.Fall = 2 * in },
			"trap-arm-fall", "SP", `ask|trap-arm-fall|SP|-|-|-`},
		{"falling more than a trap that is stated", "ipc", func(l *Data) { ontoRiser(l, in*5/4, 5*ft); pt(l, "SP").Trap.Fall = in * 3 / 2 },
			"trap-arm-fall", "SP", `fail|trap-arm-fall|SP|1_1/2"|1_1/4"|-1/4"`},
		{"falling more", "ipc", func(l *Data) { ontoRiser(l, 0, 8*ft); pt(l, "SP").Trap.Fall = 2*in + in/8 },
			"trap-arm-fall", "SP", `fail|trap-arm-fall|SP|2_1/8"|1_1/4"|-7/8"`},
		{"into a riser, past that too", "ipc", func(l *Data) { ontoRiser(l, 0, 8*ft+in) }, "trap-arm-length", "SP",
			`fail|trap-arm-length|SP|8'-1"|5'-0"|-3'-1"`},
		{"into a riser from a trap that is stated", "ipc", func(l *Data) { ontoRiser(l, 2*in, 8*ft) }, "trap-arm-length", "SP",
			`pass|trap-arm-length|SP|8'-0"|8'-0"|0"`},
		{"into a riser from a small trap that is stated", "ipc", func(l *Data) { ontoRiser(l, in*5/4, 5*ft+in) },
			"trap-arm-length", "SP", `fail|trap-arm-length|SP|5'-1"|5'-0"|-1"`},
		// Nothing carries 20 000 units, so that the run has no size and says nothing of the trap either.
		{"into a run without a size", "ipc", func(l *Data) {
			pt(l, "LA").Run.Size, pt(l, "LA").Reserved, pt(l, "LA").Trap = 0, 20_000*dwv.FixtureUnit, &Trap{Arm: 3 * ft}
		}, "trap-arm-length", "LA", `ask|trap-arm-length|LA|-|-|-`},
		// On a run that lies flat the bore is that of the run: 5 ft fall 1-1/4 in.
		{"the fall to a trap that is not stated", "ipc", func(l *Data) { arm(l, 2*in, 0, 5*ft) }, "trap-arm-fall", "LA",
			`pass|trap-arm-fall|LA|1_1/4"|2"|3/4"`},
		// A trap of 1-1/4 in wants two bores, 2-1/2 in, and one as large as the riser 4.
		{"into a riser, at the least of the least trap", "ipc", func(l *Data) { ontoRiser(l, 0, 5*in/2) }, "trap-arm-min-length",
			"SP", `ask|trap-arm-min-length|SP|-|-|-`},
		{"into a riser, nearer", "ipc", func(l *Data) { ontoRiser(l, 0, 2*in) }, "trap-arm-min-length", "SP",
			`fail|trap-arm-min-length|SP|2"|2_1/2"|-1/2"`},
		{"into a riser, at the least of the largest trap", "ipc", func(l *Data) { ontoRiser(l, 0, 4*in) }, "trap-arm-min-length",
			"SP", `pass|trap-arm-min-length|SP|4"|2_1/2"|1_1/2"`},
		{"a vent where the fixture stands", "ipc", func(l *Data) { vent(l, "VC").From = "CS" }, "trap-arm-min-length", "CS",
			`ask|trap-arm-min-length|CS|-|-|-`},
		{"and no least length", "bare", func(l *Data) { vent(l, "VC").From = "CS" }, "trap-arm-min-length", "CS", ""},
		{"a code without a least length", "bare", func(*Data) {}, "trap-arm-min-length", "LA", ""},
		{"a closet whose arm has no limit", "ipc", func(*Data) {}, "trap-arm-length", "WC", `pass|trap-arm-length|WC|2'-0"|-|-`},
		{"a closet the code is silent on", "bare", func(*Data) {}, "trap-arm-length", "WC", `ask|trap-arm-length|WC|-|-|-`},

		{"two on a common vent", "ipc", func(l *Data) { basins(l, "LB") }, "trap-arm-shared", "LA", ""},
		{"three on a common vent", "ipc", func(l *Data) { basins(l, "LB", "LC") }, "trap-arm-shared", "LA", `ask|trap-arm-shared|LA|-|-|-`},

		// S2 has the vents of the closet and the lavatory upstream of it, and none itself.
		{"a floor drain on the vented line", "ipc", func(l *Data) { floorDrain(l, "S2") }, "floor-drain-unvented", "S2", `pass|floor-drain-unvented|S2|0"|25'-0"|25'-0"`},
		{"a floor drain with its trap on the vented line", "ipc", func(l *Data) { floorDrain(l, "S2"); pt(l, "S2").Trap = &Trap{Arm: 25*ft + in} }, "floor-drain-unvented", "S2", `fail|floor-drain-unvented|S2|25'-1"|25'-0"|-1"`},
		{"no distance in the code", "bare", func(l *Data) { floorDrain(l, "S2") }, "floor-drain-unvented", "S2", `fail|floor-drain-unvented|S2|0"|-|-`},
		{"a floor drain with its trap, no distance in the code", "bare", func(l *Data) { pt(l, "FD").Trap = &Trap{Arm: ft} }, "floor-drain-unvented", "FD", `fail|floor-drain-unvented|FD|21'-0"|-|-`},
		{"a floor drain with no vent at all", "ipc", func(l *Data) { l.Vents = nil; pt(l, "FD").Trap = &Trap{Arm: ft} }, "floor-drain-unvented", "FD", `fail|floor-drain-unvented|FD|-|25'-0"|-`},
		{"a floor drain with no vent, no distance", "bare", func(l *Data) { l.Vents = nil }, "floor-drain-unvented", "FD", `fail|floor-drain-unvented|FD|-|-|-`},
		{"a fixture on the vented line", "ipc", func(l *Data) { pt(l, "S2").Fixture = &tables.Fixture{Kind: "lavatory", Count: 1} }, "trap-vented", "S2", `fail|trap-vented|S2|-|-|-`},
		{"a closet to come", "ipc", func(l *Data) { pt(l, "WC").Capped = true }, "future-vent", "WC", `pass|future-vent|WC|2"|2"|0"`},
		{"a receptor on the first vent", "ipc", func(l *Data) { pt(l, "FD").Receptor = &Receptor{}; pt(l, "FD").To = "WV" }, "floor-drain-receptor", "FD", `pass|floor-drain-receptor|FD|-|-|-`},
	} {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{})
			want := strings.Fields(tt.want)
			for i := range want {
				want[i] = strings.ReplaceAll(want[i], "_", " ")
			}
			if diff := gocmp.Diff(want, linesOf(got, tt.rule, tt.place)); diff != "" && len(want)+len(linesOf(got, tt.rule, tt.place)) > 0 {
				t.Errorf("%s at %s (-want +got):\n%s", tt.rule, tt.place, diff)
			}
		})
	}
}

// TestGravityInterceptor: UPC 2021 Table 1014.3.6 asks 500 gal of a gravity grease interceptor for 8 units, and 750 from
// there to 21. One that is rated by its flow, and one of another kind, is not held to it, nor one of no stated volume.
func TestGravityInterceptor(t *testing.T) {
	code := firmCode(t, "upc-2021")
	l := mustLayout(t, "workshop.json")
	var load dwv.FixtureUnits // of the sink and the washer's standpipe
	if r, ok := mustSize(t, l, code).Of("C1"); ok {
		load = r.Load
	}
	const gal, gpm = units.USGallon, units.USGallonPerMinute
	for _, tt := range []struct {
		name string
		load dwv.FixtureUnits
		Interceptor
		want string // of what is found by the load, "" for nothing
	}{
		{"at the limit", 8, Interceptor{Kind: "grease", Volume: 500 * gal}, "pass|interceptor-capacity|C1|500 gal|500 gal|0 gal"},
		{"a gallon less", 8, Interceptor{Kind: "grease", Volume: 499 * gal}, "fail|interceptor-capacity|C1|499 gal|500 gal|-1 gal"},
		{"more load", 9, Interceptor{Kind: "grease", Volume: 500 * gal}, "fail|interceptor-capacity|C1|500 gal|750 gal|-250 gal"},
		{"rated", 8, Interceptor{Kind: "grease", Volume: 40 * gal, Rated: 20 * gpm}, ""},
		{"solids", 8, Interceptor{Kind: "solids", Volume: 40 * gal}, ""}, {"no volume", 8, Interceptor{Kind: "grease"}, ""},
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, "C1").Interceptor, pt(l, "C1").Reserved = &tt.Interceptor, tt.load*dwv.FixtureUnit-load
		var got string
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			if f.Rule == "interceptor-capacity" && f.Side == "load" {
				got += line(f)
			}
		}
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestFloorDrainOnRiser: NPC 2.5.1.1 lets a floor drain of 3 in go without a vent if its drain is 450 mm long and falls no
// more than its bore, 76 mm: upright it falls all of its length.
func TestFloorDrainOnRiser(t *testing.T) {
	code := mustCode(t, "npc-canada")
	l := mustLayout(t, "jobs/floor-drain-450-mm.json", code)
	pt(l, "F").Run.Vertical, pt(l, "F").Run.Grade = true, slope.Grade{}
	for _, f := range mustCheck(t, mustBuild(t, l), code) {
		if f.Rule == "floor-drain-unvented" && f.Side == "fall" && f.Verdict == tables.Fail && f.Value.String() == "450 mm" {
			return
		}
	}
	t.Error("a floor drain without a vent on a riser of 450 mm passes")
}

// TestStandpipeTrapRow: how high the trap of a standpipe stands is asked with the row that there is to hold it against: of the two
// of the UPC (804.1) the least first.
func TestStandpipeTrapRow(t *testing.T) {
	for drop, want := range map[string]string{"": "at least", "standpipe-trap-max-height": "at least",
		"standpipe-trap-min-height": "at most"} {
		code := mustCode(t, "upc-2021")
		if drop != "" {
			code = amendedCode(t, "upc-2021", "drop,"+drop+",,,,,\n")
		}
		l := mustLayout(t, "workshop.json")
		pt(l, "SP").Receptor.TrapAboveFloor = 0
		asked := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			asked = asked || f.Rule == "standpipe-trap-height" && f.Verdict == tables.Ask && strings.Contains(f.Citation.String(), want)
		}
		if !asked {
			t.Errorf("without %q: not asked with what holds %s", drop, want)
		}
	}
}
