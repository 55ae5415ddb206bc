package slope_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"os"
	"sort"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// publishedCase is a worked example from print, or a printed question whose
// answers were worked out from its inputs; case_kind says which. Where the
// tolerance is zero our answer must equal the printed decimals exactly.
type publishedCase struct {
	ID        string
	Title     string
	Inputs    map[string]any
	Expected  map[string]any
	Tolerance struct {
		Absolute json.Number
		ByName   map[string]json.Number `json:"by_name"`
		Why      string
	}
	Verdict  string
	Usable   bool   `json:"usable_as_test"`
	CaseKind string `json:"case_kind"`
	Status   string
	Public   bool `json:"public_domain"`
	Source   map[string]any
	Note     string
	// Why an answer may be off by more than its printed digits leave open.
	Class proof.Class
	Why   string
}

func readPublished(t *testing.T) []publishedCase {
	t.Helper()
	f, err := os.Open("testdata/published.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d := json.NewDecoder(f)
	d.UseNumber()
	d.DisallowUnknownFields()
	var cases []publishedCase
	if err := d.Decode(&cases); err != nil {
		t.Fatal(err)
	}
	return cases
}

// solver holds the inputs of a case and gathers our answers. Its getters fail the
// test on a missing input.
type solver struct {
	t   *testing.T
	in  map[string]any
	out map[string]any // leaf path -> *big.Rat or string
}

var nanometres = map[string]units.Length{
	"ft": units.Foot, "in": units.Inch, "m": units.Metre, "mm": units.Millimetre, "yd": units.Yard,
}

func rat(t *testing.T, v any) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(fmt.Sprint(v))
	if !ok {
		t.Fatalf("%v is no number", v)
	}
	return r
}

func (s *solver) get(path string) any {
	s.t.Helper()
	var v any = s.in
	for k := range strings.SplitSeq(path, ".") {
		switch x := v.(type) {
		case map[string]any:
			v = x[k]
		case []any:
			var i int
			fmt.Sscan(k, &i)
			v = x[i]
		}
	}
	if v == nil {
		s.t.Fatalf("no input %s", path)
	}
	return v
}

// num returns a plain number; length one of a unit, its own or the given.
func (s *solver) num(path string) *big.Rat { return rat(s.t, s.get(path)) }

func (s *solver) length(path string, unit ...string) units.Length {
	s.t.Helper()
	v := s.get(path)
	if m, ok := v.(map[string]any); ok {
		return toLength(s.t, m["value"], m["unit"].(string))
	}
	return toLength(s.t, v, unit[0])
}

func toLength(t *testing.T, v any, unit string) units.Length {
	t.Helper()
	nm, ok := nanometres[unit]
	if !ok {
		t.Fatalf("unit %q", unit)
	}
	r := rat(t, v)
	r.Mul(r, new(big.Rat).SetInt64(int64(nm)))
	if !r.IsInt() {
		t.Fatalf("%v %s is no whole number of nanometres", v, unit)
	}
	return units.Length(r.Num().Int64())
}

func (s *solver) list(path, unit string) []units.Length {
	s.t.Helper()
	var out []units.Length
	for _, v := range s.get(path).([]any) {
		out = append(out, toLength(s.t, v, unit))
	}
	return out
}

func (s *solver) grade(path string) slope.Grade {
	s.t.Helper()
	v := s.get(path)
	text := fmt.Sprint(v)
	if m, ok := v.(map[string]any); ok {
		unit, _, _ := strings.Cut(m["unit"].(string), " ") // "% rising D to A"
		text = fmt.Sprint(m["value"], " ", strings.TrimPrefix(unit, "ratio"))
	}
	g, err := slope.Parse(text)
	if err != nil {
		s.t.Fatal(err)
	}
	return g
}

func (s *solver) must(err error) {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
}

// say records a length in a unit.
func (s *solver) say(path string, l units.Length, unit string) {
	s.out[path] = new(big.Rat).SetFrac64(int64(l), int64(nanometres[unit]))
}

func (s *solver) sayAll(path string, ls []units.Length, unit string) {
	for i, l := range ls {
		s.say(fmt.Sprintf("%s.%d", path, i), l, unit)
	}
}

func (s *solver) sayFloat(path string, x float64) { s.out[path] = new(big.Rat).SetFloat64(x) }

// sayGrade records a grade times a number, exactly: 100 for percent.
func (s *solver) sayGrade(path string, g slope.Grade, times int64) {
	rise, run := g.Ratio()
	s.out[path] = new(big.Rat).Mul(new(big.Rat).SetFrac64(rise, run), new(big.Rat).SetInt64(times))
}

func (s *solver) reading(beam, elevation units.Length) units.Length {
	s.t.Helper()
	r, err := slope.Reading(beam, elevation)
	s.must(err)
	return r
}

func (s *solver) parse(text string) units.Length {
	s.t.Helper()
	l, err := units.Parse[units.Length](text)
	s.must(err)
	return l
}

// inFeet writes a length the way the cards do, to the nearest sixteenth.
func inFeet(l units.Length) string {
	n := int64((l + units.Inch/32) / (units.Inch / 16))
	feet, n := n/192, n%192
	text := fmt.Sprintf("%d'-%d", feet, n/16)
	if n %= 16; n > 0 {
		d := int64(16)
		for n%2 == 0 {
			n, d = n/2, d/2
		}
		text += fmt.Sprintf(" %d/%d", n, d)
	}
	return text + `"`
}

func TestPublished(t *testing.T) {
	seen := map[string]bool{}
	answers := 0
	var ledger proof.Ledger
	for _, c := range readPublished(t) {
		if seen[c.ID] || !c.Usable || c.Source["title"] == nil || c.Status == "" || c.Verdict == "" {
			t.Errorf("%s: twice, or without source, status or verdict", c.ID)
		}
		seen[c.ID] = true
		t.Run(c.ID, func(t *testing.T) {
			solve, ok := solvers[c.ID]
			if !ok {
				t.Fatal("nothing here works it out")
			}
			s := &solver{t, c.Inputs, map[string]any{}}
			solve(s)
			want := map[string]any{}
			flatten(want, "", c.Expected)
			for path, w := range want {
				answers++
				got, ok := s.out[path]
				if !ok {
					t.Errorf("%s: not worked out", path)
					continue
				}
				if text, ok := w.(string); ok {
					if got != text {
						t.Errorf("%s = %v, printed %v", path, got, text)
					}
					continue
				}
				ours, _ := got.(*big.Rat).Float64()
				ledger.Add(proof.Value{Source: fmt.Sprint(c.Source["title"]), Case: c.ID, Answer: path, Ours: ours,
					Printed: fmt.Sprint(w), Class: c.Class, Why: c.Why})
				g, w := got.(*big.Rat), rat(t, w)
				off := new(big.Rat).Sub(g, w)
				if off.Abs(off).Cmp(tolerance(t, c, path)) > 0 {
					t.Errorf("%s = %s, printed %s (%s)", path, g.FloatString(9), w.FloatString(6), c.Tolerance.Why)
				}
			}
		})
	}
	for id := range solvers {
		if !seen[id] {
			t.Errorf("no case %s", id)
		}
	}
	ledger.Keep(t, "testdata/proof.csv")
	if answers < 129 {
		t.Errorf("only %d answers were compared", answers)
	}
}

func tolerance(t *testing.T, c publishedCase, path string) *big.Rat {
	name, _, _ := strings.Cut(path, ".")
	switch by, ok := c.Tolerance.ByName[name]; {
	case ok:
		return rat(t, by)
	case c.Tolerance.Absolute != "":
		return rat(t, c.Tolerance.Absolute)
	}
	t.Fatalf("%s: no tolerance", path)
	return nil
}

func flatten(out map[string]any, path string, v any) {
	join := func(k string) string {
		if path == "" {
			return k
		}
		return path + "." + k
	}
	switch x := v.(type) {
	case map[string]any:
		if value, ok := x["value"]; ok {
			out[path] = value
			return
		}
		keys := make([]string, 0, len(x))
		for k := range x {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			if k != "unit" {
				flatten(out, join(k), x[k])
			}
		}
	case []any:
		for i, e := range x {
			flatten(out, join(fmt.Sprint(i)), e)
		}
	default:
		out[path] = x
	}
}

func fallIn(unit string) func(*solver) {
	return func(s *solver) { s.say("fall", s.grade("grade").Over(s.length("length")), unit) }
}

var solvers = map[string]func(*solver){
	"FALL-01": fallIn("in"), "FALL-02": fallIn("in"), "FALL-04": fallIn("ft"), "FALL-06": fallIn("in"),
	"FALL-08": fallIn("mm"), "FALL-11": fallIn("ft"),
	"FALL-05": func(s *solver) {
		for i := range 2 {
			s.say(fmt.Sprint("fall.", i), s.grade(fmt.Sprint("grades.", i)).Over(s.length("length")), "in")
		}
	},
	"FALL-09": func(s *solver) {
		for i, d := range s.list("stations", "ft") {
			fall := s.grade("grade").Over(d)
			s.say(fmt.Sprint("drops.", i), fall, "ft")
			if i == 1 {
				feet := int64(fall / units.Foot)
				s.out["1.4 ft"] = fmt.Sprintf("%d ft %v in", feet, (fall % units.Foot).Inches())
			}
		}
	},
	"GRADE-02": func(s *solver) {
		g, err := slope.Of(s.length("fall"), s.length("length"))
		s.must(err)
		s.sayGrade("slope", g, 1)
		s.sayGrade("percent", g, 100)
		n, err := g.OneIn()
		s.must(err)
		s.sayFloat("one_in", n)
	},
	"GRADE-03": func(s *solver) {
		g, err := slope.Of(s.length("fall"), s.length("length"))
		s.must(err)
		s.sayGrade("slope", g, 1)
		s.sayGrade("percent", g, 100)
	},
	"GRADE-05": func(s *solver) {
		g, err := slope.Ratio(s.num("fall").Num().Int64(), s.num("length").Num().Int64())
		s.must(err)
		s.sayGrade("decimal", g, 1)
		s.sayFloat("percent", g.Percent())
	},
	"GRADE-06": func(s *solver) {
		for i := range 4 {
			g, err := slope.Parse(fmt.Sprint(s.get(fmt.Sprint("percent.", i)), " %"))
			s.must(err)
			s.say(fmt.Sprint("per_foot_in.", i), g.PerFoot(), "in")
			s.sayGrade(fmt.Sprint("decimal.", i), g, 1)
			s.sayFloat(fmt.Sprint("degrees.", i), g.Degrees())
		}
	},
	"GRADE-09": func(s *solver) {
		for _, u := range []struct{ path, unit, suffix string }{{"", "ft", ""}, {"metric.", "m", "_m"}} {
			a, b, l := s.length(u.path+"rod_a", u.unit), s.length(u.path+"rod_b", u.unit),
				s.length(u.path+"length", u.unit)
			// The greater reading is the lower end.
			g, err := slope.Between(-b, -a, l)
			s.must(err)
			s.say("rise"+u.suffix, a-b, u.unit)
			s.sayGrade("percent"+u.suffix, g, 100)
		}
	},
	"INV-01": func(s *solver) {
		fall := s.grade("grade").Over(s.length("length"))
		s.say("fall", fall, "ft")
		rows, err := slope.CutSheet{Invert: s.length("start_invert"), Grade: s.grade("grade"),
			Stations: []units.Length{0, s.length("length")}}.Rows()
		s.must(err)
		s.say("invert", rows[1].Invert, "ft")
	},
	"INV-02": func(s *solver) {
		hubs, inverts := s.list("hubs", "ft"), s.list("inverts", "ft")
		for i := range hubs {
			rows, err := slope.CutSheet{Invert: inverts[i], Stations: []units.Length{0}, Ground: hubs[i : i+1]}.Rows()
			s.must(err)
			s.say(fmt.Sprint("cuts.", i), rows[0].Cut, "ft")
		}
	},
	"INV-04": func(s *solver) {
		rows, hi := ghilani(s)
		s.say("hi", hi, "ft")
		for i, r := range rows {
			s.say(fmt.Sprint("inverts.", i), r.Invert, "ft")
			s.say(fmt.Sprint("ground.", i), r.Ground, "ft")
			s.say(fmt.Sprint("cuts.", i), r.Cut, "ft")
		}
		levels, err := slope.Circuit{Benchmark: s.length("bm"),
			Setups: []slope.LevelSetup{{Backsight: s.length("backsight"),
				Foresight: s.length("closing_foresight", "ft")}}}.Elevations()
		s.must(err)
		s.say("closure", levels[0].Turning-s.length("bm"), "ft")
	},
	"ROD-01": func(s *solver) {
		// Its inverts are those of INV-04.
		inv := &solver{s.t, published(s.t, "INV-04").Inputs, nil}
		rows, _ := ghilani(inv)
		for i, r := range rows {
			s.say(fmt.Sprint("readings.", i), s.reading(s.length("hi"), r.Invert+s.length("above_invert")), "ft")
		}
	},
	"INV-08": func(s *solver) {
		m := func(path string) units.Length { return s.length(path, "m") }
		c := slope.Circuit{Benchmark: s.length("tbm"), Setups: []slope.LevelSetup{
			{Backsight: m("setups.0.bs"), Sights: []units.Length{m("setups.0.is.A")}, Foresight: m("setups.0.fs.B")},
			{Backsight: m("setups.1.bs"), Sights: []units.Length{m("setups.1.is.C"), m("setups.1.is.D")},
				Foresight: m("setups.1.fs.E")},
			{Backsight: m("setups.2.bs"), Sights: []units.Length{m("setups.2.is.x"), m("setups.2.is.y")},
				Foresight: m("setups.2.fs.TBM2")},
		}}
		e, err := c.Elevations()
		s.must(err)
		pegs := []units.Length{e[0].Sights[0], e[0].Turning, e[1].Sights[0], e[1].Sights[1], e[1].Turning}
		s.sayAll("pegs", pegs, "m")
		s.say("tbm2_check", e[2].Turning, "m")
		stations, err := slope.Stakes(0, 4*s.length("peg_spacing"), s.length("peg_spacing"))
		s.must(err)
		// A rail stands a traveller above the formation, and so much above its peg.
		rows, err := slope.CutSheet{Invert: s.length("formation_A") + s.length("traveller"), Grade: s.grade("gradient"),
			Stations: stations, Ground: pegs}.Rows()
		s.must(err)
		for i, r := range rows {
			s.say(fmt.Sprint("rail_heights.", i), -r.Cut, "m")
		}
	},
	"INV-10": func(s *solver) {
		m := func(path string) units.Length { return s.length(path, "m") }
		spacing := s.length("spacing")
		line := slope.Line{Outlet: m("pegs.D") + s.length("rail_height_D")}
		g := s.grade("grade")
		for _, name := range []string{"C", "B", "A"} {
			line.Reaches = append(line.Reaches, slope.Reach{Name: name, Run: spacing, Grade: g})
		}
		rails, err := line.Inverts()
		s.must(err)
		for i, r := range line.Reaches {
			s.say("rail_heights."+r.Name, rails[i]-m("pegs."+r.Name), "m")
		}
	},
	"ROD-02": levelShot, "ROD-03": levelShot,
	"ROD-04": func(s *solver) {
		hi, err := slope.InstrumentHeight(s.length("bm"), s.length("backsight"))
		s.must(err)
		s.say("hi", hi, "ft")
		ground := hi - s.length("foresight")
		s.say("ground", ground, "ft")
		s.say("cut", ground-s.length("design"), "ft")
		s.say("grade_rod", s.reading(hi, s.length("design")), "ft")
	},
	"ROD-05": func(s *solver) {
		a, b := s.parse(s.get("reading_a.value").(string)), s.parse(s.get("reading_b.value").(string))
		// The greater reading is the lower point.
		s.say("a_above_b", s.reading(0, -b)-s.reading(0, -a), "in")
	},
	"ROD-06": raisedPlane, "ROD-07": raisedPlane,
	"ROD-08": func(s *solver) {
		// The target stands as far above the invert as the beam does.
		s.say("target", s.reading(s.length("rod_reading"), -s.length("cut_to_invert")), "ft")
	},
	"ROD-09": func(s *solver) {
		for _, u := range []string{"m", "ft"} {
			over := s.reading(s.length("hi_above_hub."+u, u), -s.length("cut_to_invert."+u, u))
			s.say("hi_over_invert."+u, over, u)
			s.say("setting."+u, over-s.length("beam_above_invert."+u, u)-s.length("rod_reading."+u, u), u)
		}
	},
	"ROD-10": func(s *solver) {
		// Marks and gaps are 0.01 ft each; the wrong way counts marks alone.
		hundredth, marks := units.Foot/100, units.Length(s.num("black_marks").Num().Int64())
		s.say("reading", s.length("tenth", "ft")+2*marks*hundredth, "ft")
		s.say("wrong_reading", s.length("tenth", "ft")+marks*hundredth, "ft")
	},
	"PLANE-01": func(s *solver) {
		percent, bearing := slope.Plane{Ahead: s.grade("grade_ahead"), Across: s.grade("grade_across")}.Steepest()
		s.sayFloat("resultant", percent)
		s.sayFloat("angle_from_main", bearing)
	},
	"OFF-01": func(s *solver) {
		o, err := slope.NewRollingOffset(s.length("rise"), s.length("side"), 45)
		s.must(err)
		s.say("true_offset", o.True, "in")
	},
	"OFF-02": func(s *solver) {
		o, err := slope.NewOffset(s.length("true_offset"), 45)
		s.must(err)
		s.say("travel", o.Travel, "in")
		s.say("setback", o.Advance, "in")
		for _, p := range []string{"a", "c"} {
			// Each end piece gives up one setback.
			left, err := slope.CutLength(s.length("piece_"+p, "in"), o.Advance)
			s.must(err)
			s.say(p+"_left", left, "in")
		}
	},
	"OFF-04": func(s *solver) {
		for i := range 4 {
			path := fmt.Sprint("angles.", i)
			a, _ := s.num(path).Float64()
			o, err := slope.NewOffset(units.Metre, a)
			s.must(err)
			s.say(fmt.Sprint("travel.", i), o.Travel, "m")
			s.say(fmt.Sprint("setback.", s.get(path)), o.Advance, "m")
		}
	},
	"OFF-06": func(s *solver) {
		for _, k := range []string{"a", "b"} {
			n := s.num(k + ".1").Num().Int64()
			part, err := slope.OneIn(1).Scale(1, n)
			s.must(err)
			s.out[k] = inFeet(part.Over(s.parse(s.get(k + ".0").(string))))
		}
	},
	"HEAD-03": func(s *solver) {
		head, err := slope.WaterTestHead(s.length("length"), s.grade("grade"), 0)
		s.must(err)
		s.say("head", head, "ft")
	},
	"TRENCH-01": func(s *solver) {
		lean := (s.length("top") - s.length("base")) / 2
		side := s.length("side").Feet()
		depth := units.Feet(math.Sqrt(side*side - lean.Feet()*lean.Feet()))
		batter, err := slope.Of(lean, depth)
		s.must(err)
		tr := slope.Trench{Length: s.length("length"), Width: s.length("base"), DepthLower: depth, DepthUpper: depth,
			Batter: batter}
		v, err := tr.Volume()
		s.must(err)
		s.say("depth", depth, "ft")
		s.sayFloat("volume", float64(v/units.CubicYard))
	},
	"TRENCH-02": func(s *solver) {
		box := slope.Trench{Length: s.length("box_ft.0", "ft"), Width: s.length("box_ft.1", "ft"),
			DepthLower: s.length("box_ft.2", "ft"), DepthUpper: s.length("box_ft.2", "ft")}
		v, err := box.Volume()
		s.must(err)
		s.sayFloat("box", float64(v/units.CubicFoot))
		c, err := slope.WaterToFill(2*s.length("cylinder_ft.radius", "ft"), s.length("cylinder_ft.height", "ft"))
		s.must(err)
		// The text takes pi as 3.14: with pi it is 75.398 ft3.
		s.sayFloat("cylinder", float64(c/units.CubicFoot)*3.14/math.Pi)
	},
	"MAT-01": func(s *solver) {
		whole, last, scrap, err := slope.Sticks(s.parse(s.get("run.value").(string)), s.length("stick"))
		s.must(err)
		s.out["full_lengths"] = new(big.Rat).SetInt64(whole)
		s.out["last_piece"], s.out["scrap"] = inFeet(last), inFeet(scrap)
	},
	"MAT-02": func(s *solver) {
		w := slope.Wall{Line: slope.WallCentre}
		d, err := w.FromLine(slope.Left, s.length("rough_in"))
		s.must(err)
		s.say("rough_in_mm", d, "mm")
	},
}

func levelShot(s *solver) {
	hi, err := slope.InstrumentHeight(s.length("bm"), s.length("backsight"))
	s.must(err)
	s.say("hi", hi, "ft")
	s.say("elevation", hi-s.length("foresight"), "ft")
}

// raisedPlane reads a staff on a point at the height where a level beam would
// read level_reading, from a beam that rises by the slope.
func raisedPlane(s *solver) {
	rise := s.grade("slope")
	setup := slope.Setup{Beam: s.length("level_reading"), Grade: rise.Neg()}
	r, err := setup.Reading(s.length("distance"), 0)
	s.must(err)
	s.say("slope_reading", r, "m")
	s.say("difference", r-s.length("level_reading"), "m")
}

func ghilani(s *solver) ([]slope.CutRow, units.Length) {
	stations := s.list("stations_ft", "ft")
	hi, err := slope.InstrumentHeight(s.length("bm"), s.length("backsight"))
	s.must(err)
	var ground []units.Length
	for _, r := range s.list("foresights_ft", "ft") {
		ground = append(ground, hi-r)
	}
	g, err := slope.Between(s.length("invert_first"), s.length("invert_last"), stations[len(stations)-1]-stations[0])
	s.must(err)
	rows, err := slope.CutSheet{Benchmark: s.length("bm"), Backsight: s.length("backsight"),
		Invert: s.length("invert_first"), Grade: g, Stations: stations, Ground: ground}.Rows()
	s.must(err)
	return rows, hi
}

func published(t *testing.T, id string) publishedCase {
	t.Helper()
	for _, c := range readPublished(t) {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("no case %s", id)
	return publishedCase{}
}
