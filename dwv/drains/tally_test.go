package drains

import (
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestTally: what a tally counts is what a check without one finds to pass, and the
// problems are the same; in one go and in two halves.
func TestTally(t *testing.T) {
	sameCitation := gocmp.Comparer(func(a, b tables.Citation) bool { return a == b })
	// In the workshop ten closets and a lavatory bring 41 of 42 dfu on S2; two lavatories
	// on lesser pipe carry less and have more to spare.
	workshop := mustLayout(t, "workshop.json")
	pt(workshop, "WC").Fixture.Count, pt(workshop, "S2").Run.Size = 10, 3*in
	for n, l := range map[int]*Data{60: villageLayout(60), 3 * manyPoints: villageLayout(3 * manyPoints), 14: workshop} {
		l = mustBuild(t, l)
		for _, id := range []string{"ipc-2021", "upc-2021"} {
			code := townCode(t, id)
			all, err := checkOf(l, code, CheckOptions{})
			if err != nil {
				t.Fatal(err)
			}
			var problems []tables.Finding
			type passes struct {
				Rule      string
				Count     int
				Places    []string
				Least     string
				At        string
				Citations int
			}
			var want []passes
			passed := 0
			for _, f := range all {
				if f.Verdict != tables.Pass {
					problems = append(problems, f)
					continue
				}
				passed++
				if len(want) == 0 || want[len(want)-1].Rule != f.Rule {
					want = append(want, passes{Rule: f.Rule})
				}
				w := &want[len(want)-1]
				if w.Count++; !slices.Contains(w.Places, f.Place) {
					w.Places = append(w.Places, f.Place)
				}
			}
			for i := range want {
				w := &want[i]
				var least *tables.Finding
				left := 0.0
				cites := map[tables.Citation]bool{}
				for j := range all {
					f := &all[j]
					if f.Rule != w.Rule || f.Verdict != tables.Pass {
						continue
					}
					if !f.Citation.IsZero() {
						cites[f.Citation] = true
					}
					if x, ok := exact(f.Margin); ok && (least == nil || x < left) {
						least, left = f, x
					}
				}
				w.Citations = len(cites)
				if least != nil {
					w.Least, w.At = line(*least), least.Place
				}
			}
			tally := new(tables.Tally)
			found, err := checkOf(l, code, CheckOptions{Tally: tally})
			if err != nil {
				t.Fatal(err)
			}
			if diff := gocmp.Diff(problems, found, sameCitation); diff != "" {
				t.Errorf("%s, %d points: problems (-without a tally +with):\n%.2000s", id, n, diff)
			}
			var got []passes
			for _, p := range tally.Rules() {
				g := passes{Rule: p.Rule, Count: p.Count, Places: p.Places, At: p.Least.Place, Citations: len(p.Citations)}
				if p.Least.Place != "" {
					g.Least = line(p.Least)
				}
				got = append(got, g)
			}
			if diff := gocmp.Diff(want, got); diff != "" {
				t.Errorf("%s, %d points (-findings +tally):\n%.2000s", id, n, diff)
			}
			if tally.Passes() != passed || len(want) < 12 {
				t.Errorf("%s: %d passes of %d rules counted, %d found", id, tally.Passes(), len(want), passed)
			}
			// A tally used again holds the second check alone.
			if _, err := checkOf(l, code, CheckOptions{Tally: tally}); err != nil || tally.Passes() != passed {
				t.Errorf("%s: %d passes the second time, not %d: %v", id, tally.Passes(), passed, err)
			}
			if _, err := checkOf(l, code, CheckOptions{Tally: tally, ProblemsOnly: true}); err != nil || tally.Passes() != 0 {
				t.Errorf("%s: %d passes where none were asked for: %v", id, tally.Passes(), err)
			}
		}
	}
	if none := (*tables.Tally)(nil); none.Rules() != nil || none.Passes() != 0 {
		t.Error("no tally counts something")
	}
}

// inReport compares two rules by where they stand in a report.
func inReport(a, b string) int { return ruleOrder(a) - ruleOrder(b) }

// ruleOrder returns the place of a rule in the order of findings.
func ruleOrder(id string) int {
	if n := slices.Index(ruleIDs(), id); n >= 0 {
		return n
	}
	return len(rules())
}

// exact is a margin in length, load or grade as a number.
func exact(x any) (float64, bool) {
	switch v := x.(type) {
	case Depth:
		return units.Length(v).Metres(), true
	case units.Length:
		return v.Metres(), true
	case dwv.FixtureUnits:
		return v.Units(), true
	case interface{ Percent() float64 }:
		return v.Percent(), true
	}
	return 0, false
}

// passed counts a pass of a cover.
func passed(t *tables.Tally, place string, value, limit units.Length) {
	t.CountLeast("drain-cover", place, float64(value-limit), tables.Citation{}, func() tables.Finding {
		return tables.Finding{Rule: "drain-cover", Place: place, Verdict: tables.Pass, Value: value, Limit: limit,
			Margin: value - limit}
	})
}

// TestTallyPlaces: a tally tells of each place once, in order, and of the least margin
// with the first of equal places.
func TestTallyPlaces(t *testing.T) {
	var a, b tables.Tally
	for _, p := range strings.Fields("M K M") {
		passed(&a, p, 3*units.Inch, units.Inch)
	}
	b.Count("drain-load", "C", tables.Citation{})
	passed(&b, "Z", 3*units.Inch, 2*units.Inch)
	passed(&b, "C", 3*units.Inch, 2*units.Inch)
	passed(&b, "C", 5*units.Inch, 4*units.Inch)
	a.Merge(&b)
	a.Sort(inReport)
	if len(a.Rules()) != 2 || a.Rules()[0].Rule != "drain-load" {
		t.Fatalf("rules %v", a.Rules())
	}
	p := a.Rules()[1]
	if diff := gocmp.Diff(strings.Fields("C K M Z"), p.Places); diff != "" || p.Count != 6 {
		t.Errorf("%d passes (-want +got):\n%s", p.Count, diff)
	}
	if got, want := line(p.Least), `pass|drain-cover|C|3"|2"|1"`; got != want {
		t.Errorf("least margin %s, want %s", got, want)
	}
	if p := a.Rules()[0]; p.Least.Place != "" || len(p.Places) != 1 {
		t.Errorf("a rule without margins has the least of them at %q", p.Least.Place)
	}
}

// TestTallyMerge: two tallies put together hold the lesser margin, of two alike that of
// the first place, and a margin rather than none.
func TestTallyMerge(t *testing.T) {
	tally := func(list string) *tables.Tally { // places, each with its margin in inches if any
		x := new(tables.Tally)
		for _, p := range strings.Fields(list) {
			place, margin, ok := strings.Cut(p, ":")
			if !ok {
				x.Count("drain-cover", place, tables.Citation{})
				continue
			}
			m := units.MustParse[units.Length](margin + " in")
			passed(x, place, m+units.Inch, units.Inch)
		}
		return x
	}
	for _, tt := range []struct{ a, b, places, least string }{
		{"", "K:2 M", "K M", `pass|drain-cover|K|3"|1"|2"`},
		{"M", "K:2", "K M", `pass|drain-cover|K|3"|1"|2"`},
		{"M:2", "K", "K M", `pass|drain-cover|M|3"|1"|2"`},
		{"M:2", "K:1", "K M", `pass|drain-cover|K|2"|1"|1"`},
		{"K:1", "A:2", "A K", `pass|drain-cover|K|2"|1"|1"`},
		{"M:1", "K:1", "K M", `pass|drain-cover|K|2"|1"|1"`},
		{"K:1", "M:1", "K M", `pass|drain-cover|K|2"|1"|1"`},
	} {
		x := tally(tt.a)
		x.Merge(tally(tt.b))
		x.Sort(inReport)
		if len(x.Rules()) != 1 {
			t.Fatalf("%q and %q: %d rules", tt.a, tt.b, len(x.Rules()))
		}
		p := x.Rules()[0]
		if got := line(p.Least); got != tt.least || strings.Join(p.Places, " ") != tt.places {
			t.Errorf("%q and %q: %s of %v, want %s of %s", tt.a, tt.b, got, p.Places, tt.least, tt.places)
		}
	}
}
