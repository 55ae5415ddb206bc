package supply

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// jobLayouts calls f with the water lines of the job files of the module, under their codes
// and under one that counts otherwise.
func jobLayouts(t *testing.T, f func(t *testing.T, c *Code, d Data)) {
	t.Helper()
	files, err := filepath.Glob("../examples/job/testdata/jobs/*.json")
	if err != nil || len(files) < 100 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var job struct {
			Job struct {
				Code      string `json:"code"`
				WaterCode string `json:"water_code"`
			} `json:"job"`
			Water json.RawMessage `json:"water"`
		}
		if err := json.Unmarshal(text, &job); err != nil || job.Water == nil {
			continue
		}
		l, err := Parse(file, job.Water)
		if err != nil {
			continue
		}
		ids := []string{job.Job.Code, "ipc-2021", "upc-2021"}
		if job.Job.WaterCode != "" {
			ids[0] = job.Job.WaterCode
		}
		slices.Sort(ids)
		for _, id := range slices.Compact(ids) {
			c, err := LoadCode(tables.Embedded(), id)
			if err != nil {
				continue
			}
			t.Run(strings.TrimSuffix(filepath.Base(file), ".json")+"/"+id, func(t *testing.T) { f(t, c, l.Data()) })
		}
	}
}

// settled is what a layout comes to: sizes, and verdicts by rule and place, without those of
// how well a figure stands and of what is left open.
func settled(c *Code, d Data) (sizes []units.Length, verdicts map[string]tables.Verdict, open []tables.Finding,
	assumed []tables.Assumption, err error) {
	l, err := New(d)
	if err != nil {
		return nil, nil, nil, nil, err
	}
	s, err := l.Size(c, Options{})
	if err != nil {
		return nil, nil, nil, nil, err
	}
	for i := range s.runs {
		sizes = append(sizes, s.runs[i].Size)
	}
	list, err := s.Check(CheckOptions{ProblemsOnly: true, Assumed: &assumed})
	verdicts = map[string]tables.Verdict{}
	for _, f := range list {
		switch f.Rule {
		case "load-not-given", "demand-first-row", "mixed-closets":
			open = append(open, f)
		case "load-row", "demand-row", "bore-row", "stand-in", "ladder-curve", "loss-method", "water-hammer":
		default:
			verdicts[f.Rule+" "+f.Place+" "+f.Side] = f.Verdict
		}
	}
	return sizes, verdicts, open, assumed, err
}

// Whatever the layout leaves open of a fixture is asked about where an answer moves a size or a
// verdict, and only there: each answer is given in the layout itself, and the whole is worked
// out anew.
func TestAsksHangOnAnswers(t *testing.T) {
	uses := []tables.Use{tables.Private, tables.Public, tables.Assembly}
	tried := 0
	jobLayouts(t, func(t *testing.T, c *Code, d Data) {
		sizes, verdicts, open, assumed, err := settled(c, d)
		if err != nil {
			return
		}
		moves := func(i int, f LayoutFixture) bool {
			other := d.clone(nil)
			other.Fixtures[i] = f
			s, v, _, _, err := settled(c, other)
			return err == nil && (!slices.Equal(sizes, s) || !maps.Equal(verdicts, v))
		}
		find := func(id string) int {
			return slices.IndexFunc(d.Fixtures, func(f LayoutFixture) bool { return f.ID == id })
		}
		// anyMoves tries each use, control, flush and size that the layout leaves open and the code lists.
		anyMoves := func(i int) bool {
			_, why := c.FixtureLoad(d.Fixtures[i].Fixture)
			told := func(field string) bool { return why != nil && strings.Contains(why.Error(), field+": not stated") }
			for _, use := range uses {
				for _, control := range []tables.Control{tables.ControlNotStated, tables.Tank, tables.Valve, tables.PressureTank} {
					for _, flush := range []units.Volume{0, 1.28 * units.USGallon, 3.5 * units.USGallon} {
						for _, size := range []units.Length{0, 3 * units.Inch / 4, units.Inch} {
							f := d.Fixtures[i]
							if f.Use == tables.UseNotStated && told("use") {
								f.Use = use
							}
							if f.Control == tables.ControlNotStated && told("control") {
								f.Control = control
							}
							if f.Flush == 0 && told("flush") {
								f.Flush = flush
							}
							if f.Size == 0 && told("size") {
								f.Size = size
							}
							if _, err := c.FixtureLoad(f.Fixture); err == nil && f.LoadAs == "" && moves(i, f) {
								return true
							}
						}
					}
				}
			}
			return false
		}
		for _, f := range open {
			if i := find(f.Place); f.Rule == "load-not-given" && i >= 0 && strings.Contains(f.Reason, "tells apart") {
				tried++
				if len(open) == 1 && !anyMoves(i) {
					t.Errorf("%s is asked about its kind, and no answer moves anything: %v", f.Place, f)
				}
			}
		}
		for _, a := range assumed {
			if i := find(a.Place); a.Rule == "load-not-given" && i >= 0 {
				if tried++; anyMoves(i) {
					t.Errorf("%s: an answer moves a size or a verdict, and none is asked: %s", a.Place, a.Taken)
				}
			}
		}
	})
	if tried < 10 {
		t.Errorf("only %d were tried", tried)
	}
}

// Tanks beside flush valves are asked about where the other column gives other pipe, or where
// drawn pipe is slow enough by one alone: 44 gpm by valves and 24.9 by tanks are 1-1/2 in and
// 1-1/4 in. On drawn pipe in which both are slow enough one line says what was taken.
func TestMixedClosetsAsks(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	for _, tc := range []struct {
		drawn         units.Length
		asks, assumes int
	}{{0, 1, 0}, {3 * units.Inch / 2, 0, 1}, {5 * units.Inch / 4, 1, 0}} {
		d := closets(80, []Point{{ID: "A", From: "main", Length: 30 * units.Foot, Size: tc.drawn}, {ID: "B", From: "A", Length: 20 * units.Foot},
			{ID: "C", From: "A", Length: 20 * units.Foot}}, nil, nil)
		d.Fixtures = []LayoutFixture{
			{ID: "V", Cold: "B", Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Public, Control: tables.Valve, Style: "siphonic"}},
			{ID: "T", Cold: "C", Fixture: tables.Fixture{Kind: "water-closet", Count: 5, Use: tables.Public, Control: tables.Tank, Style: "close coupled"}}}
		var assumed []tables.Assumption
		list, err := sized(t, c, d).Check(CheckOptions{ProblemsOnly: true, Assumed: &assumed})
		if err != nil {
			t.Fatal(err)
		}
		list = slices.DeleteFunc(list, func(f tables.Finding) bool { return f.Rule != "mixed-closets" })
		assumed = slices.DeleteFunc(assumed, func(a tables.Assumption) bool { return a.Rule != "mixed-closets" })
		if len(list) != tc.asks || len(assumed) != tc.assumes {
			t.Errorf("drawn %v: asked %v, assumed %v", tc.drawn, list, assumed)
		}
	}
}

// A load under the first row of the table with a flow that nobody states is asked about where
// half or twice that row's flow moves a verdict: 2 gpm, and so 4, go through 20 ft of 1 in; 300 ft
// of 1/2 in lose 9 psi of 40 at 2 gpm and 34 at 4, which leave less than 15.
func TestFirstRowAsks(t *testing.T) {
	c := mustCode(t, "upc-2021")
	for _, tc := range []struct {
		length units.Length
		drawn  units.Length
		asks   bool
	}{{20 * units.Foot, units.Inch, false}, {300 * units.Foot, units.Inch / 2, true}} {
		d := closets(40, []Point{{ID: "A", From: "main", Length: tc.length, Size: tc.drawn}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "D", Cold: "A", Fixture: tables.Fixture{Kind: "dental-unit", Count: 1, Use: tables.Public}}}
		var assumed []tables.Assumption
		list, err := sized(t, c, d).Check(CheckOptions{ProblemsOnly: true, Assumed: &assumed})
		if err != nil {
			t.Fatal(err)
		}
		asks := slices.ContainsFunc(list, func(f tables.Finding) bool { return f.Rule == "demand-first-row" })
		assumes := slices.ContainsFunc(assumed, func(a tables.Assumption) bool { return a.Rule == "demand-first-row" })
		if asks != tc.asks || assumes == tc.asks {
			t.Errorf("%v of %v: asked %v, assumed %v", tc.length, tc.drawn, asks, assumes)
		}
	}
}
