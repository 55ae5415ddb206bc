package drains

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// IPC 2021 912.1: two bathrooms on one wet vent, of which each has one fixture of a kind.
func TestWetVentGroups(t *testing.T) {
	code := firmCode(t, "ipc-2021")
	shelf, err := tables.Embedded().With(fstest.MapFS{ // a town that rates half a bathroom
		"sources.csv":           {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"ipc-2021/fixtures.csv": {Data: []byte("# id: ipc-2021/fixtures\n# source: town\nop,row,fixture,load[dfu],closets[1],src,status\nadd,half,half-bathroom-group,4,1,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	town, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		fixtures string // kind and count
		want     string
	}{
		{"water-closet 2", "pass|2 water closets"},
		{"water-closet 3", "fail|3 water closets"},
		{"shower 3", "fail|3 baths and showers"},
		{"shower 2 bathtub 1", "fail|3 baths and showers"},
		{"lavatory 3", "fail|3 lavatories"},
		{"lavatory 2 lavatory 1 shower 1", "fail|3 lavatories"},
		{"bathroom-group 3", "fail|3 water closets"},
		{"bathroom-group 1 water-closet 2", "fail|3 water closets"},
		{"bathroom-group 1 lavatory 2", "fail|3 lavatories"},
		{"bathroom-group 1 shower 2", "fail|3 baths and showers"},
		{"water-closet 2 bathroom-group 1", "fail|3 water closets"},
		{"lavatory 2 bathroom-group 1", "fail|3 lavatories"},
		{"shower 2 bathroom-group 1", "fail|3 baths and showers"},
		{"half-bathroom-group 1 water-closet 2", "fail|3 water closets"},
		{"half-bathroom-group 1 lavatory 2", "fail|3 lavatories"},
		{"half-bathroom-group 1 shower 2", "pass|2 baths and showers"},
		{"half-bathroom-group 2 bathroom-group 1", "fail|3 water closets"},
		{"water-closet 2 lavatory 2 shower 2", "pass|2 water closets"},
		{"lavatory 2 shower 2", "pass|2 lavatories"},
	} {
		l := mustLayout(t, "workshop.json")
		*vent(l, "VW") = Vent{ID: "VW", Kind: VentWet, From: "WV", Through: "S2", Size: 2 * in,
			Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}}
		words := strings.Fields(tt.fixtures)
		for i := 0; i < len(words); i += 2 {
			f := &tables.Fixture{Kind: words[i], Count: int(words[i+1][0] - '0'), Use: tables.Private}
			if f.Flush = 1.6 * units.USGallon; f.Kind == "lavatory" || f.Kind == "shower" || f.Kind == "bathtub" {
				f.Flush = 0
			}
			if i == 0 {
				pt(l, "WC").Fixture = f
				continue
			}
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "W" + words[i+1] + string(rune('a'+i)), To: "WV",
					Run: Run{Length: ft, Grade: slope.PerFoot(in / 4), Size: 3 * in}, Fixture: f})
		}
		var got []string
		c := code
		if strings.Contains(tt.fixtures, "half") {
			c = town
		}
		for _, f := range checkAllWays(t, mustBuild(t, l), c, CheckOptions{}) {
			if f.Rule == "wet-vent-groups" && f.Place == "VW" {
				what, _, _ := strings.Cut(f.Reason, " on wet vent")
				got = append(got, f.Verdict.String()+"|"+what)
				if n := what[:1]; line(f) != fmt.Sprintf("%v|wet-vent-groups|VW|%s|2|%d", f.Verdict, n, 2-int(n[0]-'0')) {
					t.Errorf("%s: %s", tt.fixtures, line(f))
				}
			}
		}
		if len(got) != 1 || got[0] != tt.want {
			t.Errorf("%s: %q, want %q", tt.fixtures, got, tt.want)
		}
	}
	// UPC 2021 has no such rule.
	l := mustLayout(t, "workshop.json")
	vent(l, "VW").Kind, vent(l, "VW").Through, pt(l, "WC").Fixture.Count = VentWet, "S2", 3
	wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "upc-2021")), "none of wet-vent-groups")
}

// UPC 2021 908.1: a wet vent that stands upright serves four fixtures of two units at
// most, over 6 ft, and is of 2 in at least and a size more than the drain of the upper
// fixture. What lies flat is judged by another table.
func TestUprightWetVents(t *testing.T) {
	codes := map[string]*dwv.Code{"ipc-2021": mustCode(t, "ipc-2021"), "upc-2021": mustCode(t, "upc-2021")}
	quarter := slope.PerFoot(in / 4)
	// The lavatory's riser LT goes on upright to L2, where a second one drains in.
	upright := func(l *Data) {
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "L2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 3 * in, Material: "pvc-dwv"}},
			Point{ID: "LB", To: "L2", Run: Run{Length: 2 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv"},
				Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Public}})
		pt(l, "LT").To, pt(l, "LT").Run.Length = "L2", 6*ft
		vent(l, "VL").Kind, vent(l, "VL").Through = VentWet, "L2"
	}
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"6 ft", "upc-2021", func(*Data) {}, `pass|wet-vent-vertical-length|VL|6'-0"|6'-0"|0"`},
		{"6 ft and a mil", "upc-2021", func(l *Data) { pt(l, "LT").Run.Length += in / 1000 },
			`fail|wet-vent-vertical-length|VL|6'-0.001"|6'-0"|-0.001"`},
		{"four fixtures", "upc-2021", func(l *Data) { pt(l, "LB").Fixture.Count = 3 },
			`pass|wet-vent-vertical-fixtures|VL|4|4|0`},
		{"five fixtures", "upc-2021", func(l *Data) { pt(l, "LB").Fixture.Count = 4 },
			`fail|wet-vent-vertical-fixtures|VL|5|4|-1`},
		{"two units each", "upc-2021", func(*Data) {}, `pass|wet-vent-vertical-load|VL|2 dfu|2 dfu|0 dfu`},
		{"three units", "upc-2021", func(l *Data) {
			pt(l, "LB").Fixture = &tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Public}
		}, `fail|wet-vent-vertical-load|VL|3 dfu|2 dfu|-1 dfu`},
		{"2 in under 1-1/2 in", "upc-2021", func(*Data) {}, `pass|wet-vent-vertical-size|VL|2"|2"|0"`},
		{"1-1/2 in", "upc-2021", func(l *Data) { pt(l, "LT").Run.Size = in * 3 / 2 },
			`fail|wet-vent-vertical-size|VL|1 1/2"|2"|-1/2"`},
		{"2 in under 2 in", "upc-2021", func(l *Data) { pt(l, "LA").Trap.Size = 2 * in; pt(l, "LA").Run.Size = 2 * in },
			`fail|wet-vent-vertical-size|VL|2"|2 1/2"|-1/2"`},
		{"not the flat table", "upc-2021", func(*Data) {}, `none of wet-vent-load`},
		{"no bathroom asked for", "upc-2021", func(l *Data) {
			pt(l, "LB").Fixture = &tables.Fixture{Kind: "bar-sink",
				Count: 1, Use: tables.Private}
		}, `none of wet-vent-fixtures`},
		{"partly flat", "upc-2021", func(l *Data) { vent(l, "VL").Through = "S2" }, `nothing of wet-vent-vertical-length at VL`},
		{"from a point through the same", "upc-2021", func(l *Data) { vent(l, "VL").Through = "LT" },
			`nothing of wet-vent-vertical-length at VL`},
		{"two runs of 3 ft", "upc-2021", func(l *Data) {
			pt(l, "LT").Run.Length, pt(l, "LT").To = 3*ft, "L1"
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "L1", To: "L2", Run: Run{Length: 3 * ft, Vertical: true, Size: 3 * in, Material: "pvc-dwv"}})
		}, `pass|wet-vent-vertical-length|VL|6'-0"|6'-0"|0"`},
		{"the lower of two runs level", "upc-2021", func(l *Data) {
			pt(l, "LT").To = "L1"
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: "L1", To: "L2", Run: Run{Length: ft, Grade: quarter, Size: 3 * in, Material: "pvc-dwv"}})
		}, `nothing of wet-vent-vertical-length at VL`},
		{"IPC", "ipc-2021", func(l *Data) { pt(l, "LT").Run.Length = 20 * ft }, `nothing of wet-vent-vertical-length at VL`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			upright(l)
			tt.edit(l)
			got := checkAllWays(t, mustBuild(t, l), codes[tt.code], CheckOptions{})
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

// The heaviest fixture on an upright wet vent is named, the first of equals by its id,
// however they are drawn. LA counts 1, the shower LB 2.
func TestUprightWetVentWords(t *testing.T) {
	code := firmCode(t, "upc-2021")
	quarter := slope.PerFoot(in / 4)
	for _, tt := range []struct {
		more []string // a shower each
		want string
	}{{nil, "fixture, LB, on the upright wet vent at VL is 2 dfu"},
		{[]string{"LC"}, "fixture, LB, on the upright wet vent at VL is 2 dfu"},
		{[]string{"KA"}, "fixture, KA, on the upright wet vent at VL is 2 dfu"},
		{[]string{"LC", "KA"}, "fixture, KA, on the upright wet vent at VL is 2 dfu"}} {
		l := mustLayout(t, "workshop.json")
		l.Systems[0].Points = append(l.Systems[0].Points,
			Point{ID: "L2", To: "S3", Run: Run{Length: 2 * ft, Vertical: true, Size: 3 * in}})
		for _, id := range append([]string{"LB"}, tt.more...) {
			l.Systems[0].Points = append(l.Systems[0].Points,
				Point{ID: id, To: "L2", Run: Run{Length: 2 * ft, Grade: quarter, Size: 2 * in},
					Fixture: &tables.Fixture{Kind: "shower", Count: 1, Use: tables.Public}})
		}
		pt(l, "LT").To = "L2"
		vent(l, "VL").Kind, vent(l, "VL").Through = VentWet, "L2"
		got := checkAllWays(t, mustBuild(t, l), code, CheckOptions{})
		if r := reasonOf(t, got, "wet-vent-vertical-load", "VL"); !strings.Contains(r, tt.want) {
			t.Errorf("%q does not say %q", r, tt.want)
		}
	}
}

// The first point of a layout is a stretch of a vent like any other.
func TestWetVentFromTheFirstPoint(t *testing.T) {
	first := func(l *Data, id string) {
		p := l.Systems[0].Points
		i := slices.IndexFunc(p, func(p Point) bool { return p.ID == id })
		p[0], p[i] = p[i], p[0]
	}
	l := mustLayout(t, "workshop.json")
	first(l, "WV")
	vent(l, "VW").Kind, vent(l, "VW").Through = VentWet, "S2"
	wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "ipc-2021")), "pass|wet-vent-load|WV|4 dfu|12 dfu|8 dfu")

	l = mustLayout(t, "workshop.json")
	first(l, "LT")
	vent(l, "VL").Kind, vent(l, "VL").Through = VentWet, "S3"
	wantFinding(t, mustCheck(t, mustBuild(t, l), firmCode(t, "upc-2021")),
		`pass|wet-vent-vertical-length|VL|5'-0"|6'-0"|1'-0"`)
}

// TestWetVentListedLast: whether two fixtures meet upstream of the dry-vented one does not hang on where its vent stands in
// the list.
func TestWetVentListedLast(t *testing.T) {
	code := mustCode(t, "upc-2021")
	l := mustLayout(t, "jobs/wet-vent-two-upstream.json", code)
	l.Vents = append([]Vent{{ID: "VA", Kind: VentIndividual, From: "EX", Terminal: &Terminal{AboveRoof: ft},
		Runs: []VentRun{{Length: 16 * ft, Direction: VentUp}}}}, l.Vents...)
	wantFinding(t, mustCheck(t, mustBuild(t, l), code), "fail|wet-vent-order|VL|2|1|-")
}

// TestIsStack: a riser with one branch is one interval and no stack. Of a tower of two stories both runs are part of one;
// what stands on top of it for one fixture, and takes no branch, is not, nor is a branch.
func TestIsStack(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\n")
	for stories, want := range map[int]string{1: "", 2: "T1 T2 ", 3: "T1 T2 T3 "} {
		l := tower(stories)
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: fmt.Sprintf("T%d", stories), Fixture: pt(l, "LT1").Fixture,
			Run: Run{Length: ft, Vertical: true, Size: 2 * in}})
		s := mustSize(t, l, code)
		j, got := &judge{tree: s.tree, sizing: s}, ""
		for i, pt := range s.tree.all() {
			if j.isStack(i) {
				got += pt.ID + " "
			}
		}
		if got != want {
			t.Errorf("%d stories: %q, want %q", stories, got, want)
		}
	}
}

// TestHighestClosetOnWetVent: of two closets it is the one that joins highest that must come last, whatever they are called:
// W joins above the shower, AW where the wet vent ends.
func TestHighestClosetOnWetVent(t *testing.T) {
	code := mustCode(t, "npc-canada")
	l := mustLayout(t, "jobs/wet-vent-closet-upstream.json", code)
	second := *pt(l, "W")
	second.ID, second.To = "AW", "A"
	l.Systems[0].Points = append(l.Systems[0].Points, second)
	wantFinding(t, mustCheck(t, mustBuild(t, l), code), "fail|wet-vent-order|VL|-|-|-|The water closet at W drains")
}

// TestWasteStackInterval: where a storey is 8 ft, what enters a waste stack 8 ft apart enters two branch intervals, and a
// step less apart one: two sinks of 2 units are then 4, and 2 in takes 2 (IPC 2021 Table 913.4).
func TestWasteStackInterval(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\n")
	for apart, told := range map[units.Length]bool{8 * ft: false, 8*ft - nm: true} {
		l := mustLayout(t, "jobs/waste-stack-of-4.json", code)
		pt(l, "S2").Run.Length = apart
		got := false
		for _, f := range mustCheck(t, mustBuild(t, l), code) {
			got = got || f.Rule == ruleWasteStack && f.Side == "interval" && f.IfConfirmed == tables.Fail
		}
		if got != told {
			t.Errorf("%v apart: in one interval %v", apart, got)
		}
	}
}
