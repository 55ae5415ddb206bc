package draw_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// tree is a random tree of pipe on a floor: runs along the axes and aslant, with tags, flags,
// cleanouts and rings.
func tree(rng *rand.Rand, n int) *draw.Scene {
	sc := &draw.Scene{Remarks: []string{"An invented tree."}}
	at := []draw.Point{{}}
	ways := []draw.Point{{X: units.Foot}, {Y: units.Foot}, {X: units.Foot, Y: units.Foot},
		{X: -units.Foot, Y: units.Foot}, {Z: units.Foot}}
	for i := range n {
		from := at[rng.IntN(len(at))]
		w, long := ways[rng.IntN(len(ways))], units.Length(1+rng.IntN(8))
		to := draw.Point{X: from.X + w.X*long, Y: from.Y + w.Y*long, Z: from.Z + w.Z*long}
		id := fmt.Sprintf("P%d", i)
		sc.Lines = append(sc.Lines, draw.Line{ID: id, Path: []draw.Point{to, from}, Style: draw.Style(rng.IntN(6)),
			Arrow: true,
			Label: []string{fmt.Sprintf(`%d" @ 1/4 in/ft  %d'-0"`, 2+rng.IntN(3), long)}, Tip: id + ": run"})
		m := draw.Mark{ID: id, At: to, Shape: draw.Shape(rng.IntN(9)), Label: []string{id, "98.42", "1'-7\""}}
		if m.Shape == draw.Cleanout {
			m.Toward = &from
		}
		sc.Marks = append(sc.Marks, m)
		if rng.IntN(4) == 0 {
			k := fmt.Sprint(1 << (len(sc.Notes) % 12)) // of one to four digits
			sc.Notes = append(sc.Notes, draw.Note{Key: k, Bad: rng.IntN(2) == 0, Text: "Trap arm at " + id +
				" is 9'-4\" from trap weir to vent; limit 8'-0\".",
				Places: []draw.Place{{ID: "arm@" + id, At: to}}})
		}
		at = append(at, to)
	}
	return sc
}

var look = map[string]func(*draw.Scene, draw.Options) ([]draw.Sheet, error){"plan": draw.Plan,
	"isometric": draw.Isometric}

// TestLegible: on random trees, few and many, no text meets another or a strange line,
// and every item and ring is there by its id.
func TestLegible(t *testing.T) {
	for name, show := range look {
		for seed := range uint64(5) {
			rng := rand.New(rand.NewPCG(seed, 7))
			sc := tree(rng, []int{3, 12, 30, 60, 150}[seed])
			sheets, err := show(sc, draw.Options{Metric: seed%2 == 1, Title: draw.Title{Job: "Job", Drawing: name}})
			if err != nil {
				t.Fatal(err)
			}
			ids := legibleAll(t, sheets)
			for i := range sc.Lines {
				if id := sc.Lines[i].ID; !ids[id] {
					t.Errorf("%s: no group %s", name, id)
				}
			}
			keys := map[string]bool{}
			for _, s := range sheets {
				for _, n := range sc.Notes {
					keys[n.Key] = keys[n.Key] || bytes.Contains(s.SVG, []byte(">"+n.Key+"</text>"))
				}
			}
			for _, n := range sc.Notes {
				if !keys[n.Key] {
					t.Errorf("%s: the key %s is nowhere to be read", name, n.Key)
				}
				if !ids[n.Places[0].ID] {
					t.Errorf("%s: no ring %s", name, n.Places[0].ID)
				}
			}
		}
	}
}

// TestScaleOnPaper holds a hand-worked case: 1:48 draws 26 ft as 6-1/2 in, that is 468
// points; 1:50 draws 9 m as 180 mm, that is 510.24 points.
func TestScaleOnPaper(t *testing.T) {
	for _, tt := range []struct {
		long   string
		metric bool
		scale  string
		want   float64
	}{{"26 ft", false, `1/4" = 1'-0" (1:48)`, 468}, {"9 m", true, "1:50", 510.24}} {
		sc := &draw.Scene{
			Lines: []draw.Line{{ID: "A", Path: []draw.Point{{}, {X: units.MustParse[units.Length](tt.long)}}}},
		}
		sheets, err := draw.Plan(sc, draw.Options{Metric: tt.metric})
		if err != nil {
			t.Fatal(err)
		}
		p := legible.Check(t, "line", sheets[0].SVG)
		longest := 0.0
		for _, s := range p.Strokes {
			if s.Group == 2 { // after the frame, the only item
				longest = max(longest, s.X1-s.X0)
			}
		}
		if d := longest - tt.want; d < -0.01 || d > 0.01 {
			t.Errorf("%s is %g points long, want %g", tt.long, longest, tt.want)
		}
		if !strings.Contains(strings.ReplaceAll(string(sheets[0].SVG), "&#34;", `"`),
			strings.ReplaceAll(tt.scale, "'", "&#39;")) {
			t.Errorf("the sheet does not state %s", tt.scale)
		}
	}
}

// TestScaleBar: a bar is there also at scales where a whole metre is longer than its place.
func TestScaleBar(t *testing.T) {
	for long, want := range map[string]string{
		"9 m": ">3 m</text>", "3 m": ">600 mm</text>", "1 m": ">300 mm</text>", "500 mm": ">100 mm</text>",
	} {
		line := draw.Line{ID: "A", Path: []draw.Point{{}, {X: units.MustParse[units.Length](long)}}}
		sheets, err := draw.Plan(&draw.Scene{Lines: []draw.Line{line}}, draw.Options{Metric: true})
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(sheets[0].SVG, []byte(want)) {
			t.Errorf("%s: no %s", long, want)
		}
		legible.Check(t, long, sheets[0].SVG)
	}
}

// TestHostileText: nothing from outside may end a text or an attribute, turn the
// direction of writing, or break the document.
func TestHostileText(t *testing.T) {
	nasty := []string{
		`</text><script>alert(1)</script>`,
		`" onload="x`,
		"a\x00b\x1b[31m",
		"\u202egnp.exe",
		"\xff\xfe",
		"]]>&amp;<!--",
		strings.Repeat("W", 200),
		"חדר 3",
		"a\nb",
		"",
		"e\u0301\u0301\u0301\u0301",
		"\ufeff\u200b",
		"漢字",
	}
	var sc draw.Scene
	for i, s := range nasty {
		at := draw.Point{X: units.Length(i) * units.Metre, Y: units.Length(i%3) * units.Metre}
		to := draw.Point{X: at.X, Y: at.Y + units.Metre}
		sc.Lines = append(sc.Lines, draw.Line{ID: s, Path: []draw.Point{at, to}, Label: []string{s}, Tip: s})
		sc.Marks = append(sc.Marks, draw.Mark{ID: s + "m", At: at, Label: []string{s, s}, Tip: s})
		sc.Notes = append(sc.Notes, draw.Note{Key: s, Text: s + " " + s, Link: s,
			Places: []draw.Place{{ID: s + "n", At: at}}})
	}
	o := draw.Options{Prefix: `p"<`, Title: draw.Title{Job: nasty[0], Drawing: nasty[3],
		Fields: []draw.Field{{nasty[1], nasty[6]}}}}
	for name, show := range look {
		sheets, err := show(&sc, o)
		if err != nil {
			t.Fatal(err)
		}
		legibleAll(t, sheets)
		for _, s := range sheets {
			for _, bad := range []string{"<script", "\u202e", "\x00", "\x1b", "\u200b", "\ufeff", ` onload="`} {
				if bytes.Contains(s.SVG, []byte(bad)) {
					t.Errorf("%s: %q got through", name, bad)
				}
			}
		}
	}
}

// TestAnchor: ids stay as they are where that is safe, and never fall together.
func TestAnchor(t *testing.T) {
	for id, want := range map[string]string{"S1": "S1", "WC-1.a_b": "WC-1.a_b", "P 1": "P~20.1", "~": "~7e.", "": "~.",
		"\xff": "~xff.", "מים": "מים"} {
		if got := draw.Anchor(id); got != want {
			t.Errorf("Anchor(%q) = %q, want %q", id, got, want)
		}
	}
	seen := map[string]string{}
	for _, id := range []string{"a b", "a~20.b", "a\tb", "a\u00a0b", "a\xffb", "a~xff.b", "a\ufffdb"} {
		a := draw.Anchor(id)
		if was, ok := seen[a]; ok {
			t.Errorf("%q and %q share the anchor %q", was, id, a)
		}
		seen[a] = id
	}
}

// TestSameBytes: the bytes of a drawing are part of what is promised, on every machine.
func TestSameBytes(t *testing.T) {
	sum := sha256.New()
	for _, name := range []string{"plan", "isometric"} {
		sheets, err := look[name](tree(rand.New(rand.NewPCG(1, 2)), 80), draw.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range sheets {
			sum.Write(s.SVG)
		}
	}
	profile, err := draw.Profile(longDrain(40), draw.Options{})
	if err != nil {
		t.Fatal(err)
	}
	graph, err := draw.Graph(pressureChart(4), draw.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range append(profile, graph...) {
		sum.Write(s.SVG)
	}
	const want = "c5d813ff00d5d55a"
	if got := fmt.Sprintf("%x", sum.Sum(nil)[:8]); got != want {
		t.Errorf("the drawings' sum is %s, was %s: look at them, and say so in CHANGELOG.md if that is meant", got,
			want)
	}
}

func TestErrors(t *testing.T) {
	far := draw.Point{X: 200_000 * units.Metre}
	line := []draw.Point{{}, {X: units.Metre}}
	for name, sc := range map[string]*draw.Scene{
		"far line":   {Lines: []draw.Line{{Path: []draw.Point{{}, far}}}},
		"far mark":   {Marks: []draw.Mark{{At: far}}},
		"far toward": {Marks: []draw.Mark{{Toward: &far}}},
		"far note":   {Notes: []draw.Note{{Places: []draw.Place{{At: far}}}}},
		"far area":   {Areas: []draw.Area{{Path: []draw.Point{far, {}, {}}}}},
		"no way":     {Lines: []draw.Line{{Path: line[:1]}}},
		"no style":   {Lines: []draw.Line{{Path: line, Style: draw.Dimension + 1}}}, // one past the last
		"no shape":   {Marks: []draw.Mark{{Shape: draw.Cap + 1}}},
	} {
		if _, err := draw.Plan(sc, draw.Options{}); !errors.Is(err, draw.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := draw.Plan(&draw.Scene{}, draw.Options{Paper: 9}); !errors.Is(err, draw.ErrInput) {
		t.Errorf("paper: %v", err)
	}
	if sheets, err := draw.Plan(&draw.Scene{}, draw.Options{}); err != nil || len(sheets) != 1 {
		t.Errorf("an empty scene: %d sheets, %v", len(sheets), err)
	}
}

// grid is n points in rows, each with a flag and a run with a tag.
func grid(n int) *draw.Scene {
	sc := new(draw.Scene)
	for i := range n {
		at := draw.Point{X: units.Length(i%100) * 6 * units.Foot, Y: units.Length(i/100) * 6 * units.Foot}
		to := draw.Point{X: at.X + 6*units.Foot, Y: at.Y}
		id := fmt.Sprint("P", i)
		sc.Lines = append(sc.Lines, draw.Line{ID: id, Path: []draw.Point{at, to}, Arrow: true,
			Label: []string{`3" @ 2 %  6'-0"`}})
		sc.Marks = append(sc.Marks, draw.Mark{ID: id, At: at, Label: []string{id, "98.42", "19 in"}})
	}
	return sc
}

// BenchmarkPlan is a plan of ten thousand points on many sheets.
func BenchmarkPlan(b *testing.B) {
	sc := grid(10_000)
	for b.Loop() {
		sheets, err := draw.Plan(sc, draw.Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(sheets)), "sheets")
	}
}

// TestDimensionBesideDrain: a drain runs east from (0, 0) for 20 ft; the first 17 ft of that way, and the
// first 9 ft, are measured. Both distances are drawn beside the drain and not over one another, as long as
// they are; one of 5 ft across to it stays where it is measured.
func TestDimensionBesideDrain(t *testing.T) {
	ft := func(x, y units.Length) draw.Point { return draw.Point{X: x * units.Foot, Y: y * units.Foot} }
	measured := func(id, name string, from, to draw.Point) draw.Line {
		return draw.Line{ID: id, Style: draw.Dimension, Path: []draw.Point{from, to}, Label: []string{name}}
	}
	sheets, err := draw.Plan(&draw.Scene{Lines: []draw.Line{
		measured("long", "17'-0\"", ft(0, 0), ft(17, 0)), measured("short", "9'-0\"", ft(0, 0), ft(9, 0)),
		measured("across", "5'-0\"", ft(17, 5), ft(17, 0)),
		{ID: "D", Style: draw.Drain, Path: []draw.Point{ft(0, 0), ft(20, 0)}},
	}}, draw.Options{})
	if err != nil {
		t.Fatal(err)
	}
	legible.Check(t, "plan", sheets[0].SVG)
	sheet := legible.Read(t, sheets[0].SVG)
	longest := map[string]legible.Stroke{}
	for _, s := range sheet.Strokes {
		id, old := s.Item, longest[s.Item]
		if max(math.Abs(s.X1-s.X0), math.Abs(s.Y1-s.Y0)) > max(math.Abs(old.X1-old.X0), math.Abs(old.Y1-old.Y0)) {
			longest[id] = s
		}
	}
	drain, long, short, across := longest["D"], longest["long"], longest["short"], longest["across"]
	foot := (drain.X1 - drain.X0) / 20
	for name, gap := range map[string]float64{"drain and 17 ft": drain.Y0 - long.Y0, "drain and 9 ft": drain.Y0 - short.Y0,
		"17 ft and 9 ft": long.Y0 - short.Y0} {
		if math.Abs(gap) < 3 || math.Abs(gap) > 20 {
			t.Errorf("%s lie %.1f pt apart", name, gap)
		}
	}
	for want, s := range map[float64]legible.Stroke{17: long, 9: short} {
		if got := (s.X1 - s.X0) / foot; math.Abs(got-want) > 0.05 || s.Y0 != s.Y1 || math.Abs(s.X0-drain.X0) > 0.02 {
			t.Errorf("%v ft are drawn as %.2f ft: %+v", want, got, s)
		}
	}
	if math.Abs(across.Y1-drain.Y0) > 0.02 || across.X0 != across.X1 {
		t.Errorf("5 ft across are drawn as %+v", across)
	}
}

// BenchmarkGrowth draws what grows: a profile that is cut into ever more sheets, a plan of walls, each a line about a
// shaded area, and one of marks that all stand in two places.
func BenchmarkGrowth(b *testing.B) {
	const ft = units.Foot
	grow := func(what string, n int, work func() ([]draw.Sheet, error)) {
		b.Run(fmt.Sprintf("%s/n=%d", what, n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := work(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	sizes := []int{1_000, 3_000, 10_000, 30_000}
	for _, n := range sizes {
		sec := longDrain(n)
		grow("stations-of-a-profile", n, func() ([]draw.Sheet, error) { return draw.Profile(sec, draw.Options{}) })
	}
	for _, n := range sizes {
		sc, side := new(draw.Scene), int(math.Sqrt(float64(n)))
		for i := range n {
			id, x, y := fmt.Sprint("W", i), units.Length(i%side)*20*ft, units.Length(i/side)*20*ft
			edge := []draw.Point{{X: x, Y: y}, {X: x + 15*ft, Y: y}, {X: x + 15*ft, Y: y + ft}, {X: x, Y: y + ft}, {X: x, Y: y}}
			sc.Areas = append(sc.Areas, draw.Area{ID: id, Path: edge})
			sc.Lines = append(sc.Lines, draw.Line{ID: id, Style: draw.Wall, Label: []string{id}, Path: edge})
		}
		grow("walls-of-a-plan", n, func() ([]draw.Sheet, error) { return draw.Plan(sc, draw.Options{}) })
	}
	for _, n := range sizes {
		sc := new(draw.Scene)
		for i := range n {
			id := fmt.Sprint("M", i)
			sc.Marks = append(sc.Marks, draw.Mark{ID: id, Label: []string{id}, At: draw.Point{X: units.Length(i%2) * ft}})
		}
		grow("marks-in-two-places", n, func() ([]draw.Sheet, error) { return draw.Plan(sc, draw.Options{}) })
	}
}
