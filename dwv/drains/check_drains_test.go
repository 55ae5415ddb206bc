package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// What the drains of the workshop are told, and what would mend them. IPC 2021 Table
// 710.1(1): 36 dfu on 3 in at 1/8 in per ft, 42 at 1/4; 21 on 2 in, from 1/4 on.
func TestDrains(t *testing.T) {
	codes := map[string]*dwv.Code{"firm": firmCode(t, "ipc-2021"), "recalled": mustCode(t, "ipc-2021")}
	// small lays S2 of 3 in at 2 %, which the code is recalled to take as 1/4 in per ft.
	small := func(l *Data, load dwv.FixtureUnits) {
		pt(l, "S2").Run.Size, pt(l, "S2").Run.Grade = 3*in, slope.OneIn(50)
		pt(l, "LA").Reserved = load - 5*dwv.FixtureUnit // the closet and the lavatory are 5
	}
	// closet changes the bend of the closet, which is of 4 in before a drain of 3 in.
	closet := func(edit func(wc *Point)) func(l *Data) {
		return func(l *Data) { pt(l, "WC").Run.ClosetBend = false; edit(pt(l, "WC")) }
	}
	raised := func(by units.Length) func(l *Data) {
		return func(l *Data) { l.Systems[0].Outlet.Invert += by }
	}
	thousandth := in / 1000
	interceptor := func(n Interceptor) func(l *Data) {
		return func(l *Data) { n.Kind = "solids"; pt(l, "C1").Interceptor = &n }
	}
	const gpm, gal = units.USGallonPerMinute, units.USGallon
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"a larger size carries it", "firm", func(l *Data) { pt(l, "WC").Fixture.Count = 12; pt(l, "S2").Run.Size = 3 * in }, `fail|drain-load|S2|49 dfu|42 dfu|-7 dfu|Lay 4".`},
		{"no size carries it", "firm", func(l *Data) { pt(l, "LA").Reserved = 20_000 * dwv.FixtureUnit }, "fail|drain-load|S1|20005 dfu|216 dfu|-19789 dfu|Lay a larger pipe, or a steeper one."},
		{"the flatter column carries it", "recalled", func(l *Data) { small(l, 36*dwv.FixtureUnit) }, "pass|drain-load|S2|36 dfu|36 dfu|0 dfu"},
		{"only the steeper column does", "recalled", func(l *Data) { small(l, 36*dwv.FixtureUnit+1) }, "ask|drain-load|S2|36.001 dfu|42 dfu|5.999 dfu|taken as 1/4 in/ft"},
		{"the least grade is asked about", "recalled", func(l *Data) {
			pt(l, "S3").Run.Size, pt(l, "S3").Run.Grade = 2*in, slope.OneIn(50)
		}, "pass|drain-load|S3|1 dfu|21 dfu|20 dfu"},

		{"one closet", "firm", func(*Data) {}, "pass|drain-closets|WV|1|-|-|one water closet,"},
		{"two closets", "firm", func(l *Data) { pt(l, "WC").Fixture.Count = 2 }, "pass|drain-closets|WV|2|-|-|2 water closets,"},
		{"of the trap's own size", "firm", func(l *Data) { pt(l, "LA").Trap.Size, pt(l, "LA").Run.Size = 2*in, 2*in }, "nothing of fixture-drain-size at LA"},

		{"perhaps a closet bend", "firm", closet(func(*Point) {}), `fail|size-reduction|WC|3"|4"|-1"|mark it so; else lay 4" from there on.`},
		{"a closet on 3 in", "firm", func(l *Data) {
			closet(func(wc *Point) { wc.Run.Size = 3 * in })(l)
			pt(l, "WV").Run.Size = 2 * in
		}, `fail|size-reduction|WC|2"|3"|-1"|!closet bend`},
		{"no closet", "firm", closet(func(wc *Point) { wc.Fixture.Kind, wc.Fixture.Use = "shower", dwv.Private }), `fail|size-reduction|WC|3"|4"|-1"|!closet bend`},
		{"a closet and more", "firm", func(l *Data) {
			closet(func(*Point) {})(l)
			l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "WX", To: "WC", Run: Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}})
		}, `fail|size-reduction|WC|3"|4"|-1"|!closet bend`},

		// The floor drain is 19.716 in below the cover of 2 in under the slab.
		{"an outlet of the drain's size", "firm", func(*Data) {}, `pass|outlet-size|SO|4"|4"|0"`},
		{"the larger of two at the outlet", "firm", func(l *Data) { pt(l, "FD").To = "SO" }, `pass|outlet-size|SO|4"|4"|0"`},
		{"how much too high", "firm", raised(24 * in), `fail|gravity-depth|soil|-4.284"|-|-4.284"|Lower the outlet by 4.284"`},
		{"by how much", "firm", raised(24 * in), `fail|gravity-depth|soil|-4.284"|-|-4.284"|the outlet is 4.284" too high`},
		{"cover", "firm", func(*Data) {}, `pass|drain-cover|FD|21.716"|2"|19.716"|keeps 21.716"`},
		{"an inch too near the slab", "firm", raised(20716 * thousandth), `fail|drain-cover|FD|1"|2"|-1"|comes 1" too near`},
		{"under the very slab", "firm", raised(21716 * thousandth), `fail|drain-cover|FD|0"|2"|-2"|comes 2" too near`},
		{"an inch into the slab", "firm", raised(22716 * thousandth), `fail|drain-cover|FD|-1"|2"|-3"|stands 1" into the slab`},
		// Bores of 4.026 and 3.068 in, invert to invert.
		{"a branch in the flow of the main", "firm", func(*Data) {}, `pass|join-level|S2|0.958"|-|-|its crown 0.958" below`},

		{"admitted for what it carries", "firm", func(l *Data) { l.Systems[1].Admits = []string{"clay", "standpipe"} }, "pass|system-apart|CS|-|-|-"},
		{"carries what is not admitted", "firm", func(l *Data) { l.Systems[1].Admits = []string{"standpipe", "oil"} }, "fail|system-apart|CS|-|-|-"},
		{"carries nothing named", "firm", func(l *Data) { l.Systems[1].Admits = []string{"clay"} }, "fail|system-apart|SP|-|-|-"},

		{"by volume and time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal, Retention: 120}), "pass|interceptor-capacity|C1|-|-|-"},
		{"too small for the time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal, Retention: 121.5}), "fail|interceptor-capacity|C1|40 gal|40.5 gal|-0.5 gal"},
		{"by the rated flow, time without volume", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Rated: 20 * gpm, Retention: 120}), "pass|interceptor-capacity|C1|-|-|-"},
		{"by the rated flow, volume without time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Rated: 20 * gpm, Volume: 40 * gal}), "pass|interceptor-capacity|C1|-|-|-"},
		{"volume without time", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Volume: 40 * gal}), "ask|interceptor-capacity|C1|-|-|-|neither"},
		{"time without volume", "firm", interceptor(Interceptor{Inflow: 20 * gpm, Retention: 120}), "ask|interceptor-capacity|C1|-|-|-|neither"},
		{"no flow given", "firm", interceptor(Interceptor{Rated: 20 * gpm}), "ask|interceptor-capacity|C1|-|-|-|the flow into"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{}), tt.want)
		})
	}
}

// A finding that rests on two rows of one standing cites the one named first: the count
// of branch intervals, not how high one is.
func TestCitesTheRuleFirst(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\nset,vent-stack-intervals,5,count,2,town,read\n")
	for _, f := range mustCheck(t, mustBuild(t, tower(5)), code) {
		if f.Rule == "vent-stack-needed" && !strings.Contains(f.Citation.String(), "vent-stack-intervals") {
			t.Errorf("%v", f.Citation)
		}
	}
}

// An outlet that takes one drain of its size and is too small for another, drawn larger
// than its load asks for, fails and does not pass as well.
func TestOutletOfTwoDrains(t *testing.T) {
	for size, want := range map[units.Length]string{
		4 * in: `pass|outlet-size|SO|4"|4"|0"`,
		6 * in: `fail|outlet-size|SO|4"|6"|-2"`,
	} {
		l := mustLayout(t, "workshop.json")
		pt(l, "FD").To, pt(l, "FD").Run.Size = "SO", size
		var got []string
		for _, f := range mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")) {
			if f.Rule == "outlet-size" && f.Place == "SO" {
				got = append(got, line(f))
			}
		}
		if len(got) != 1 || got[0] != want {
			t.Errorf("a drain of %v at the outlet of 4 in: %q, want %q", size, got, want)
		}
	}
}
