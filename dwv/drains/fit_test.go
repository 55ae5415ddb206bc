package drains

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// sinkLine is a sink 10 ft from an outlet, with its vent, and nothing to find fault with. Its
// pipe is of no material, so that the nominal size is the bore and the wall is nothing.
func sinkLine() *Data {
	return &Data{
		FinishedFloor: 100 * ft, Slab: 4 * in, MinimumCover: 2 * in,
		Systems: []System{{ID: "soil", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 98*ft + 6*in, Size: 3 * in},
			Points: []Point{
				{ID: "A", To: "O", Run: Run{Length: 10 * ft, Grade: slope.PerFoot(in / 4), Size: 3 * in},
					Cleanout: &Cleanout{Main: true}},
				{ID: "B", To: "A", Reserved: 4 * dwv.FixtureUnit, Run: Run{Length: 6 * ft, Grade: slope.PerFoot(in / 4), Size: 3 * in}},
			}}},
	}
}

func idsOf(list []tables.Finding) string {
	var s []string
	for i := range list {
		s = append(s, list[i].ID())
	}
	return strings.Join(s, " ")
}

// TestLimits holds the limits of a line against working by hand.
//
// The crown at B is at most the floor less slab and cover: 100 ft - 4 in - 2 in = 99'-6", its
// invert 3 in below at 99'-3", and 16 ft at 1/4 in/ft fall 4 in: outlet 98'-11". From there
// down to the outlet as drawn, 98'-6", are 5 in, which the slab may be thicker, or the run
// from A to B longer by 20 ft at 1/4 in/ft. At that outlet 9 in of fall are to be had over
// 16 ft: 36/64 in/ft. A 3 in drain falls 1/8 in/ft at least (IPC Table 704.1).
func TestLimits(t *testing.T) {
	s := mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))
	tests := []struct {
		kind  LimitKind
		place string
		want  units.Length
		grade string
		binds string
	}{
		{HighestOutlet, "soil", 98*ft + 11*in, "", "gravity-depth/soil drain-cover/B"},
		{ThickestSlab, "", 9 * in, "", "gravity-depth/soil drain-cover/B"},
		{FarthestPoint, "B", 26 * ft, "", "gravity-depth/soil drain-cover/B"},
		{SteepestGrade, "soil", 0, "9/16 in/ft", "gravity-depth/soil drain-cover/B"},
		{FlattestGrade, "soil", 0, "1/8 in/ft", "drain-grade/A drain-grade/B"},
		{LowestOutlet, "soil", 60 * ft, "", ""},
	}
	for _, tt := range tests {
		x, err := s.Limit(context.Background(), tt.kind, tt.place, FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if !x.Found || x.Length != tt.want || tt.grade != "" && x.Grade != slope.MustParse(tt.grade) {
			t.Errorf("%s: %v %v (found %v), want %v %s", tt.kind, x.Length, x.Grade, x.Found, tt.want, tt.grade)
		}
		if idsOf(x.Binds) != tt.binds {
			t.Errorf("%s is bound by %q, want %q", tt.kind, idsOf(x.Binds), tt.binds)
		}
		if tt.kind == HighestOutlet && (x.Depth != 1*ft+1*in || x.Now != 98*ft+6*in) {
			t.Errorf("depth %v, now %v", x.Depth, x.Now)
		}
		if tt.kind == SteepestGrade && x.NowGrade != slope.PerFoot(in/4) {
			t.Errorf("now at %v", x.NowGrade)
		}
		text, err := json.Marshal(x)
		var back Limit
		if err != nil || json.Unmarshal(text, &back) != nil || back.Length != x.Length || back.Kind != x.Kind {
			t.Errorf("%s does not read back: %v", text, err)
		}
	}
}

// TestLimitsRiser cuts a riser that comes up through the floor: raised by 8 in it is 8 in
// shorter, by 16 in 16 in, and by 20 or 24 in there is no room for its 20 in.
func TestLimitsRiser(t *testing.T) {
	l := sinkLine()
	b := &l.Systems[0].Points[1]
	b.Reserved = 0
	l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Reserved: 4 * dwv.FixtureUnit,
		Run: Run{Length: 20 * in, Vertical: true, Size: 3 * in}})
	f, err := mustSize(t, l, mustCode(t, "ipc-2021")).newFit(context.Background(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	d := f.of.of.Data()
	cut := func() error {
		s, err := f.sized(d)
		if err != nil {
			t.Fatal(err)
		}
		_, err = f.cutRisers(&d, s)
		return err
	}
	for _, want := range [...]units.Length{12 * in, 4 * in} {
		d.Systems[0].Outlet.Invert += 8 * in
		if err := cut(); err != nil || d.Systems[0].Points[2].Run.Length != want {
			t.Errorf("riser of %v, %v; want %v", d.Systems[0].Points[2].Run.Length, err, want)
		}
	}
	for range 2 { // nothing is left of it, and less
		d.Systems[0].Outlet.Invert += 4 * in
		d.Systems[0].Points[2].Run.Length = 4 * in
		if err := cut(); !errors.Is(err, errRiser) {
			t.Errorf("no room: %v", err)
		}
	}
}

// TestLimitsAgainstScan tries every step of small layouts and wants the first with which
// nothing fails: of a quarter of the files under American codes in fine steps, and in coarse
// ones of jobs under other codes, of two storeys, of sumps and of backwater valves. Which
// quarter goes by the name of a file, so that one more file makes no other layout be tried.
func TestLimitsAgainstScan(t *testing.T) {
	files, err := filepath.Glob("testdata/jobs/*.json")
	if err != nil || len(files) < 50 {
		t.Fatal(len(files), err)
	}
	var jobs [][2]string
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		if n := crc32.ChecksumIEEE([]byte(name)); n%4 == 0 {
			jobs = append(jobs, [2]string{name, [...]string{"ipc-2021", "upc-2021", "irc-2021"}[n%3]})
		}
	}
	// The trap of its floor drain stands at the end of an arm, past the end of the longest way.
	jobs = append(jobs, [2]string{"trap-of-two-sizes", "ipc-2021"})
	fine := len(jobs)
	other := regexp.MustCompile("en12056|asnzs|npc-canada|storey|sump|manhole")
	others := slices.DeleteFunc(jobsAndCodes(t), func(x [2]string) bool { return !other.MatchString(x[0] + x[1]) })
	for n := 0; n < len(others); n += 12 {
		jobs = append(jobs, others[n])
	}
	jobs = append(jobs, [2]string{"european-house", "en12056-2"})
	found, bound := 0, 0
	for n, x := range jobs {
		opt := FitOptions{Step: 6 * in, GradeStep: slope.PerFoot(in / 16)}
		if n >= fine {
			opt = FitOptions{Step: 2 * ft, GradeStep: slope.PerFoot(in / 8)}
		}
		code := mustCode(t, x[1])
		s, err := sizeOf(mustLayout(t, "jobs/"+x[0]+".json", code), code)
		if err != nil {
			continue
		}
		f, err := s.newFit(t.Context(), opt)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range limitKinds() {
			f, b := limitAgainstScan(t, f, kind, strings.Join(x[:], " under "))
			found, bound = found+f, bound+b
		}
	}
	if found < 200 || bound < 200 {
		t.Errorf("%d limits found, %d bound: too few to tell", found, bound)
	}
}

// limitAgainstScan holds one limit of a layout against every step tried, and tells whether it
// was found and whether something binds it.
func limitAgainstScan(t *testing.T, f *fit, kind LimitKind, name string) (found, bound int) {
	t.Helper()
	s := f.of
	place := s.layout.Systems[0].ID
	if kind == ThickestSlab {
		place = ""
	} else if i := s.farthest(0); kind == FarthestPoint && i >= 0 {
		place = s.tree.point(i).ID
	}
	q, err := f.question(kind, place)
	if err != nil {
		return 0, 0 // no run below the floor
	}
	x, err := f.answer(q)
	if err != nil {
		t.Fatal(err)
	}
	var want Limit
	step := int64(1)
	if q.to < q.from {
		step = -1
	}
	for k := q.from; (q.to-k)*step >= 0; k += step {
		if against, _, why := f.judged(q, k, x.Regardless); why == nil && len(against) == 0 {
			want.Found = true
			q.value(&want, k)
			break
		}
	}
	if x.Found != want.Found || x.Found && (x.Length != want.Length || x.Grade != want.Grade) {
		t.Errorf("%s: %s: %v %v %v, by trying every step %v %v %v", name, kind, x.Found, x.Length, x.Grade, want.Found,
			want.Length, want.Grade)
	}
	if x.Found {
		found = 1
	}
	if len(x.Binds) > 0 {
		bound = 1
	}
	return found, bound
}

// TestLimitBesides: a branch C beside B stands 1 in into the cover whatever B does, and the
// outlet is then 1 in too high for it. The crown at A is 99 ft + 2 1/2 in + 3 in, half an inch
// under the 99'-6" that the cover leaves: at 1/4 in/ft B may be 2 ft long and no longer.
func TestLimitBesides(t *testing.T) {
	d := sinkLine()
	d.Systems[0].Outlet.Invert = 99 * ft
	c := d.Systems[0].Points[1]
	c.ID = "C"
	d.Systems[0].Points = append(d.Systems[0].Points, c)
	s := mustSize(t, d, mustCode(t, "ipc-2021"))
	x, err := s.Limit(context.Background(), FarthestPoint, "B", FitOptions{})
	if err != nil || !x.Found || x.Length != 2*ft || idsOf(x.Binds) != "drain-cover/B" {
		t.Errorf("%v %v, binds %s, %v", x.Found, x.Length, idsOf(x.Binds), err)
	}
	if got := idsOf(x.Regardless); got != "drain-cover/C gravity-depth/soil" {
		t.Errorf("regardless: %s", got)
	}
}

func TestLimitFaults(t *testing.T) {
	s := mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))
	ctx := context.Background()
	for _, tt := range []struct {
		kind  LimitKind
		place string
		want  error
	}{
		{"widest-outlet", "soil", ErrChoice}, {HighestOutlet, "clay", ErrReference}, {FarthestPoint, "O", ErrReference},
		{FarthestPoint, "Z", ErrReference}, {ThickestSlab, "soil", ErrReference},
	} {
		if _, err := s.Limit(ctx, tt.kind, tt.place, FitOptions{}); !errors.Is(err, tt.want) {
			t.Errorf("%s of %q: %v", tt.kind, tt.place, err)
		}
	}
	var none *Sizing
	if _, err := none.Limit(ctx, HighestOutlet, "soil", FitOptions{}); err == nil {
		t.Error("a limit of nothing")
	}
	if _, err := none.Fixes(ctx, FitOptions{}); err == nil {
		t.Error("fixes of nothing")
	}
}

// dataOf is what a sizing says.
func dataOf(s *Sizing, err error) (any, error) {
	if err != nil {
		return s, err
	}
	return s.Data(), nil
}

// TestLongWorkStops: work that was called off, before or while it goes on, says so and how far
// it was, and answers nothing.
func TestLongWorkStops(t *testing.T) {
	d := sinkLine()
	d.Systems[0].Outlet.Invert += 9 * in // too shallow, so that there is something to put right
	code := mustCode(t, "ipc-2021")
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	s := mustSize(t, d, code)
	l := mustNew(t, villageLayout(400))
	village := mustSize(t, villageLayout(2500), code) // so many that it looks up midway
	plain := map[string]func() (any, error){
		"Check":        func() (any, error) { return s.Check(CheckOptions{}) },
		"Size":         func() (any, error) { return dataOf(l.Size(code, Options{})) },
		"SizeEuropean": func() (any, error) { return dataOf(l.SizeEuropean(standard, EuropeanOptions{})) },
		"TakeOff":      func() (any, error) { return village.TakeOff(TakeOffOptions{}) },
	}
	for name, work := range map[string]func(context.Context) (any, error){
		"Check":  func(ctx context.Context) (any, error) { return s.CheckContext(ctx, CheckOptions{}) },
		"Limit":  func(ctx context.Context) (any, error) { return s.Limit(ctx, HighestOutlet, "soil", FitOptions{}) },
		"Limits": func(ctx context.Context) (any, error) { return s.Limits(ctx, FitOptions{}) },
		"Fixes":  func(ctx context.Context) (any, error) { return s.Fixes(ctx, FitOptions{}) },
		"FixAll": func(ctx context.Context) (any, error) {
			_, got, err := s.FixAll(ctx, FitOptions{})
			return got, err
		},
		"Size": func(ctx context.Context) (any, error) { return dataOf(l.SizeContext(ctx, code, Options{})) },
		"SizeEuropean": func(ctx context.Context) (any, error) {
			return dataOf(l.SizeEuropeanContext(ctx, standard, EuropeanOptions{}))
		},
		"TakeOff": func(ctx context.Context) (any, error) { return village.TakeOffContext(ctx, TakeOffOptions{}) },
	} {
		whole := patience.Of(1 << 40)
		got, err := work(whole)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if plain := plain[name]; plain != nil {
			want, err := plain()
			if err != nil || !reflect.DeepEqual(want, got) {
				t.Errorf("%s that was left to end is not as it is without a context: %v", name, err)
			}
		}
		asked := whole.Asked()
		for after := int64(0); after < asked; after += 1 + asked/20 {
			ctx := patience.Of(after)
			got, err := work(ctx)
			if !errors.Is(err, context.Canceled) || !strings.Contains(err.Error(), "stopped ") ||
				!reflect.ValueOf(got).IsZero() && name != "Limit" {
				t.Errorf("%s: done after %d of %d: %v, %v", name, after, asked, got, err)
			}
		}
		late, stop := context.WithDeadline(context.Background(), time.Unix(0, 0))
		if _, err := work(late); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("%s: after its deadline: %v", name, err)
		}
		stop()
	}
}

// TestFixes wants the change that a hand would make.
func TestFixes(t *testing.T) {
	tests := []struct {
		name, finding, do string
		edit              func(*Data)
	}{
		{"an outlet too high", "gravity-depth/soil", `Lower the outlet O by 1", to 99'-1".`,
			func(l *Data) { l.Systems[0].Outlet.Invert = 99*ft + 2*in; grades(l, in/8) }},
		{"a way that may be laid flatter", "gravity-depth/soil", "Lay A to O at 1/8 in/ft.",
			func(l *Data) { l.Systems[0].Outlet.Invert = 99 * ft }},
		{"a run too flat", "drain-grade/B", "Lay B to A at 1/8 in/ft.",
			func(l *Data) { l.Systems[0].Points[1].Run.Grade = slope.PerFoot(in / 16) }},
		{"steeper, and then too near the slab", "drain-grade/B", `Lay B to A at 1/8 in/ft, and lower the outlet of soil by 1/4".`,
			func(l *Data) {
				l.Systems[0].Points[1].Run.Grade = slope.PerFoot(in / 16)
				l.Systems[0].Outlet.Invert = 99*ft + in/8
				l.Systems[0].Points[0].Run.Grade = slope.PerFoot(in / 8)
				l.MinimumCover = 3*in + in/8 // it had 1/8 in to spare, and rises 3/8 in
			}},
		{"a pipe that shrinks", "size-reduction/B", `Lay 3" from A to O.`,
			func(l *Data) { l.Systems[0].Points[0].Run.Size = 2 * in }},
		// That a vent elsewhere has the name of the point says nothing of its run.
		{"a pipe that shrinks beside a vent of its name", "size-reduction/B", `Lay 3" from A to O.`, func(l *Data) {
			l.Systems[0].Points[0].Run.Size = 2 * in
			c := l.Systems[0].Points[1]
			c.ID, c.To = "C", "O"
			l.Systems[0].Points = append(l.Systems[0].Points, c)
			l.Vents = []Vent{{ID: "B", Kind: VentIndividual, From: "C", Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		}},
		// 3 in carries 36 dfu at 1/8 in/ft and 42 at 1/4 (IPC Table 710.1(1)).
		{"too much at its grade", "drain-load/B", "Lay B to A at 1/4 in/ft.", func(l *Data) {
			l.Systems[0].Points[1].Reserved, l.Systems[0].Points[1].Run.Grade = 40*dwv.FixtureUnit, slope.PerFoot(in/8)
		}},
		{"no cleanout", "cleanout-junction/O", "Set a cleanout at A.", func(l *Data) { l.Systems[0].Points[0].Cleanout = nil }},
		{"a small cleanout", "cleanout-size/A", `Fit a 3" cleanout at A.`,
			func(l *Data) { l.Systems[0].Points[0].Cleanout.Size = 2 * in }},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := sinkLine()
			tt.edit(l)
			fixes, err := mustSize(t, l, mustCode(t, "ipc-2021")).Fixes(context.Background(), FitOptions{})
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, x := range fixes {
				for _, w := range x.Ways {
					all = append(all, x.Finding.ID()+": "+w.Do)
				}
				if x.Finding.ID() == tt.finding && len(x.Ways) > 0 && x.Ways[0].Do == tt.do {
					if !slices.Contains(x.Ways[0].Settles, tt.finding) {
						t.Errorf("settles %v", x.Ways[0].Settles)
					}
					return
				}
			}
			t.Errorf("no %s: %s among\n%s", tt.finding, tt.do, strings.Join(all, "\n"))
		})
	}
}

func grades(l *Data, perFoot units.Length) {
	for k := range l.Systems[0].Points {
		l.Systems[0].Points[k].Run.Grade = slope.PerFoot(perFoot)
	}
}

// TestFixesHold takes every way of every small job, under two codes and those that it is
// written for, draws the layout from its data again and wants the finding gone and nothing else
// to fail. Each fail has a way, or stands in noWay.
func TestFixesHold(t *testing.T) {
	failed := 0
	for _, x := range jobsAndCodes(t) {
		code := mustCode(t, x[1])
		l := mustLayout(t, "jobs/"+x[0]+".json", code)
		s, err := sizeOf(l, code)
		if err != nil {
			continue
		}
		before := failing(t, l, s)
		fixes, err := s.Fixes(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if len(fixes) != len(before) {
			t.Errorf("%s: %d fixes of %d fails", x, len(fixes), len(before))
		}
		for _, fix := range fixes {
			failed++
			if len(fix.Ways) == 0 && noWay[fix.Finding.Rule] == "" {
				t.Errorf("%s: no way out: give %s a line of remedies in fix.go, or say in noWay why it has none: %v",
					x, fix.Finding.Rule, fix.Finding)
			}
			for _, w := range fix.Ways {
				d := w.Sizing().Layout().Data()
				after := failing(t, &d, mustSize(t, &d, code))
				if slices.Contains(after, fix.Finding.ID()) {
					t.Errorf("%s: %s: %s still fails", x, w.Do, fix.Finding.ID())
				}
				for _, f := range after {
					if !slices.Contains(before, f) {
						t.Errorf("%s: %s: %s fails then", x, w.Do, f)
					}
				}
				for _, v := range l.Vents { // others join it by its name
					if !slices.ContainsFunc(d.Vents, func(now Vent) bool { return now.ID == v.ID }) {
						t.Errorf("%s: %s: there is no vent %s then", x, w.Do, v.ID)
					}
				}
			}
		}
		done, last, err := s.FixAll(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		d := last.Layout().Data()
		after := failing(t, &d, last)
		after = slices.DeleteFunc(after, func(id string) bool { return noWay[strings.Split(id, "/")[0]] != "" })
		if len(after) > 0 {
			t.Errorf("%s: %d changes, and %v fail of %v", x, len(done), after, before)
		}
	}
	if failed < 500 {
		t.Errorf("%d fails", failed)
	}
}

// TestRemedies: what is proposed is for rules that there are, and either proposes changes or sets
// one thing and says so.
func TestRemedies(t *testing.T) {
	for k, r := range remedies {
		for _, rule := range strings.Fields(r.rules) {
			if !slices.Contains(ruleIDs(), rule) {
				t.Errorf("remedy %d is for %q, which is no rule", k, rule)
			}
		}
		if (r.propose == nil) == (r.set == nil) || (r.set == nil) != (r.do == "") {
			t.Errorf("remedy %d, for %s: it proposes, or it says what it sets", k, r.rules)
		}
		if r.propose != nil && r.standing {
			t.Errorf("remedy %d, for %s: changes say for themselves that risers stay as they are", k, r.rules)
		}
	}
}

// noWay are the rules of which a fail may have no change that was tried, and why.
var noWay = map[string]string{
	"system-apart": "a line of its own has to be laid, to an outlet that nobody drew",
}

// jobsAndCodes are the small jobs, each with the codes that it is tried under.
func jobsAndCodes(t *testing.T) (list [][2]string) {
	files, err := filepath.Glob("testdata/jobs/*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		if strings.HasPrefix(name, "european-iii-") {
			continue // branches without a vent, past what other codes let a trap arm be
		}
		list = append(list, [2]string{name, "ipc-2021"}, [2]string{name, "upc-2021"})
	}
	areas, err := filepath.Glob("testdata/jobs/*.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	for _, area := range areas {
		text, err := os.ReadFile(area)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			var c jobCase
			if err := json.Unmarshal([]byte(line), &c); err != nil {
				t.Fatal(err)
			}
			if x := [2]string{c.Job, c.Code}; !slices.Contains(list, x) {
				list = append(list, x)
			}
		}
	}
	return list
}

// TestFixesOfRules: every rule at its edge, one step past it, has a way that puts it right.
func TestFixesOfRules(t *testing.T) {
	all, codes := edgesOfRules(t)
	for _, e := range all {
		if e.verdict != 0 || e.note || e.assumed {
			continue
		}
		s, err := sizeOf(mustBuild(t, e.layout(t, true)), codes[e.code], e.opt)
		if err != nil {
			t.Fatal(err)
		}
		fixes, err := s.Fixes(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range fixes {
			if len(x.Ways) == 0 && noWay[x.Finding.Rule] == "" {
				t.Errorf("%s, %s: no way out: give %s a line of remedies in fix.go, or say in noWay why it has none: %v",
					e.rule, e.code, x.Finding.Rule, x.Finding)
			}
		}
	}
}

// failing returns the ids of what fails, or would if the book agrees; of a run that was
// split, as that of the run it was split from.
func failing(t *testing.T, l *Data, s *Sizing) (list []string) {
	t.Helper()
	found, err := checkOf(l, s.Code(), CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	for i := range found {
		if fails(&found[i]) {
			list = append(list, strings.ReplaceAll(found[i].ID(), "+", ""))
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// TestGradeWithLowerOutlet: 80 ft of 3 in at 1/8 in/ft, the least, rise 10 in, and are 2-5/16 in
// too high under the slab: no single grade does, and that one does with the outlet so much lower.
func TestGradeWithLowerOutlet(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	s := mustSize(t, mustLayout(t, "jobs/shallow-long-line.json", code), code)
	x, err := s.Limit(t.Context(), FlattestGrade, "soil", FitOptions{})
	if err != nil || x.Found || x.Lower != 37*in/16 || x.Grade != slope.PerFoot(in/8) {
		t.Errorf("%+v, %v", x, err)
	}
	steep, err := s.Limit(t.Context(), SteepestGrade, "soil", FitOptions{})
	if err != nil || steep.Found || steep.Lower != x.Lower || steep.Grade != x.Grade {
		t.Errorf("%+v, %v", steep, err)
	}
	// What it says holds: the line so laid has no more than the fails that no figure takes away.
	d := s.Layout().Data()
	d.Systems[0].Outlet.Invert -= x.Lower
	for i := range d.Systems[0].Points {
		d.Systems[0].Points[i].Run.Grade = x.Grade
	}
	for _, f := range mustCheck(t, &d, code) {
		if f.Verdict == tables.Fail && (f.Rule == "gravity-depth" || f.Rule == "drain-cover") {
			t.Error(f)
		}
	}
}

// TestWaysOfJobs takes failing jobs of many kinds under several codes: the first change told
// is the one a plumber would make, and with it made the job no longer fails so.
func TestWaysOfJobs(t *testing.T) {
	for _, tt := range []struct{ job, code, rule, place, do string }{
		{"vent-9-ft-from-window", "upc-2021", "vent-terminal-near", "V1", `Set the open end of V1 10'-0" from the opening.`},
		{"vent-9-ft-from-and-2-ft-over-window", "upc-2021", "vent-terminal-near", "V1", `Carry the open end of V1 to 3'-0" above the opening.`},
		{"vent-3-ft-from-lot-line", "npc-canada", "vent-terminal-near", "V1", `from the lot line.`},
		{"joins-at-crown", "ipc-2021", "join-level", "WC", `Join the pipe from WC with the inverts level`},
		{"sump-water-over-inlet", "ipc-2021", "sump-inlet", "PIT", `Raise the outlet PIT by 1"`},
		{"sump-vent-1-1-2-in", "npc-canada", "sump-vent", "PIT", `Vent the sump PIT in 2".`},
		{"conduit-through-the-drain", "ipc-2021", "obstacle-clearance", "A", `Lower the outlet ST by 2 13/16"`},
		{"sink-and-lavatory-through-grease", "ipc-2021", "grease-interceptor", "F1", `Lead the drain from F past the interceptor G, to EX.`},
		{"valve-under-4-in-over-arm", "ipc-2021", "air-admittance-valve", "V1", `Set the valve of V1 1/4" higher.`},
		{"valves-and-no-open-vent", "ipc-2021", "vent-open", "the layout", `on through the roof, in place of its valve.`},
		{"closets-double-tee-17-in", "ipc-2021", "double-fitting", "E", `Use a double fixture fitting at R.`},
		{"sink-on-small-riser", "upc-2021", "small-stack-load", "S", `2"`},
		{"drain-vent-40-mm", "asnzs3500-2", "drain-vent", "sanitary", `in DN 50.`},
		{"drain-vent-11-m-from-head", "asnzs3500-2", "drain-vent", "sanitary", `, in DN 50.`},
		{"trap-arm-at-half-its-grade", "ipc-2021", "drain-grade", "L", `Let the trap arm of L fall 1".`},
		{"trap-over-a-riser", "nspc-2018", "stub-up", "LV", `longer.`},
		{"canada-branch-over-6-units", "npc-canada", "drain-load", "B", `2 1/2"`},
		{"greasy-sink-to-the-sewer", "ipc-2021", "grease-interceptor", "F", `Set a grease interceptor at G`},
		{"wet-vent-with-kitchen-sink", "ipc-2021", "wet-vent-fixtures", "VW", `Lead the drain from X to EX. Vent the trap of X`},
		{"foot-39-in", "ipc-2021", "stack-base-branch", "SB", `Join the branch from SB 1" farther down, on the run from JN to EX.`},
		{"washer-into-2-in", "irc-2021", "fixture-drain-size", "", `3"`},
		{"valve-4-in-over-arm", "upc-2021", "air-admittance-valve", "V1", `Carry the vent V1 on through the roof, in place of its valve.`},
		{"valve-on-a-relief-vent", "ipc-2021", "air-admittance-valve", "V1", `Carry the vent V1 on through the roof, in place of its valve.`},
		{"valve-in-an-attic-5-in", "ipc-2021", "air-admittance-valve", "V1", `Set the valve of V1 6" above the insulation.`},
		{"valve-5-intervals-down", "ipc-2021", "air-admittance-valve", "V1", `Relieve the branch by a vent from `},
		{"valve-5-intervals-down", "ipc-2021", "vent-stack-needed", "S1", `Run a vent stack beside the stack, from its foot `},
		{"stack-of-7-under-a-valve", "ipc-2021", "air-admittance-valve", "SV", `Carry the vent SV on through the roof`},
		{"valve-for-two-floors", "ipc-2021", "air-admittance-valve", "VB", `Carry the vent VB on through the roof`},
		{"island-8-in-up", "ipc-2021", "island-vent", "VK", `Carry the island vent VK 3/16" higher before it turns down.`},
		{"island-shower", "ipc-2021", "island-vent", "VK", `Carry the vent VK from K straight up through the roof`},
		{"island-dead-low-end", "ipc-2021", "island-vent", "VK", `Lead the low end of the island vent VK into the drain at `},
		{"island-no-cleanout", "ipc-2021", "island-vent", "VK", `Set a cleanout in the upright part of the island vent VK.`},
		{"island-joins-5-in-over-rim", "ipc-2021", "island-vent", "VK", `Carry the island vent VK 9/16" higher before it joins the other.`},
		{"waste-stack-of-6", "ipc-2021", "waste-stack-vent", "WV", `Run the waste stack from S3 to S1, what follows it and its vent in 2 1/2".`},
		{"waste-stack-with-a-urinal", "ipc-2021", "waste-stack-vent", "WV", `Let the vent WV serve S2 alone, and vent each on its own: F1.`},
		{"waste-stack-smaller-at-its-top", "ipc-2021", "waste-stack-vent", "S2", `its vent in 3".`},
		{"waste-stack-with-an-offset", "ipc-2021", "waste-stack-vent", "OFF", `alone, and vent each on its own: `},
		{"wet-vent-of-a-sink-unrated", "irc-2021", "wet-vent-fixtures", "VW", `Let the vent VW serve LV alone, and vent each on its own: WC, TUB.`},
		{"manhole-over-the-rim", "ipc-2021", "backwater-valve", "sanitary", `Set a backwater valve at C.`},
		{"manhole-over-the-rim-valve-for-all", "ipc-2021", "backwater-valve", "sanitary",
			`Set a backwater valve at C. Take out the backwater valve at A.`},
		{"closet-through-grease", "ipc-2021", "grease-interceptor", "F", `Lead the drain from F past the interceptor G, to EX, and take out the dead end`},
		{"interceptor-6-in-down", "ipc-2021", "interceptor-access", "G", `up to the floor by a riser of the maker's.`},
		{"lavatory-drain-of-1-in", "upc-2021", "drain-load", "L", `Lay 1 1/4" from L to A, and move the vent V of L 1'-6" nearer to the trap.`},
		{"sinks-double-tee-2-x-15", "upc-2021", "double-fitting", "R", `Lay 2 1/2" from R to EX.`},
		{"trap-over-a-riser", "ipc-2021", "stub-up", "LV", `its riser 2 1/16" longer, and take the vent V off at LV, before the arm drops.`},
		{"floor-drains-15-on-combination", "ipc-2021", "trap-tail", "F0",
			`Set the trap of F0 7 9/16" higher, and let its drain drop that much 1'-0" behind it.`},
		{"trap-31-in-aside", "ipc-2021", "trap-tail", "FD", `Set the trap of FD 1" nearer under the outlet of the fixture.`},
		{"arm-turns-180", "npc-canada", "trap-arm-turn", "S", `Take the vent V off between the bends of the run from S to Sb.`},
		{"vent-flat-27-in-below-rim", "ipc-2021", "vent-flat", "V", `Let the vent V rise 2'-9 1/4" first, and run flat there.`},
		{"trench-along-footing", "ipc-2021", "footing-plane", "EX", `the outlet`},
		{"footing-crossed-without-sleeve", "ipc-2021", "obstacle-clearance", "A", `Pass the footing O1 in a 6" sleeve on the run from A`},
		{"conduit-close-under-a-vent", "ipc-2021", "obstacle-clearance", "VF", `Lead the vent VF past O1, 1/8" higher.`},
		{"sump-vent-through-a-valve", "ipc-2021", "sump-vent", "PIT", `Carry the vent of the sump PIT on to the open air`},
		{"drain-sweeps-no-cleanout", "ipc-2021", "cleanout-turn", "B", `Turn by two eighth bends`},
		{"drain-two-sweeps", "upc-2021", "cleanout-turn", "B", `Set a cleanout between the bends of the run from B to A.`},
		{"way-of-2-in-past-its-limit", "npc-canada", "cleanout-spacing", "B", `Set a cleanout on the run from K to B, 12'-4" from K.`},
		{"european-branch-401-cm", "en12056-2", "branch-length", "LV", `Shorten the run from LV to D by 10 mm.`},
		{"school-circuit-no-relief", "npc-canada", "circuit-vent-relief", "CV", `Relieve the branch by a vent from C6 up through the roof`},
		// Both are too far on the branch that they share, by 500 and 400 mm: it is shortened once, for both.
		{"european-two-too-far-on-a-branch", "en12056-2", "branch-length", "H1", `Shorten the run from B to S by 500 mm.`},
		{"european-two-too-far-on-a-branch", "en12056-2", "branch-length", "L1", `Shorten the run from B to S by 500 mm.`},
		{"european-drop-101-cm", "en12056-2", "branch-drop", "LV", `Vent the trap of LV from LV`},
		{"european-four-bends", "en12056-2", "branch-bends", "LV", `Turn by two eighth bends, apart from each other, in place of one quarter bend`},
		{"european-branch-flat", "en12056-2", "drain-grade", "LV", `Lay LV to D at 1 %.`},
		{"european-52-du-on-125", "en12056-2", "drain-flow", "D", `Lay DN 150 from D to MH`},
		{"european-closet-i-on-75", "en12056-2", "drain-flow", "W", `Lay DN 90 from W to S.`},
		{"haus-branch-vent-50", "en12056-2", "vent-size", "VB", `Run the vent VB in DN 60.`},
	} {
		t.Run(tt.job+"/"+tt.code, func(t *testing.T) {
			code := mustCode(t, tt.code)
			s := mustSize(t, mustLayout(t, "jobs/"+tt.job+".json", code), code)
			all, err := s.Fixes(t.Context(), FitOptions{})
			if err != nil {
				t.Fatal(err)
			}
			k := slices.IndexFunc(all, func(x Fix) bool {
				return x.Finding.Rule == tt.rule && (tt.place == "" || x.Finding.Place == tt.place)
			})
			if k < 0 || len(all[k].Ways) == 0 || !strings.Contains(all[k].Ways[0].Do, tt.do) {
				t.Fatalf("want %q; of %+v", tt.do, all)
			}
			was := all[k].Finding
			for _, f := range problemsOf(t, all[k].Ways[0].Sizing()) {
				if f.ID() == was.ID() && fails(&f) {
					t.Errorf("with %q made: %v", all[k].Ways[0].Do, f)
				}
			}
		})
	}
}

func problemsOf(t *testing.T, s *Sizing) []tables.Finding {
	t.Helper()
	found, err := s.Check(CheckOptions{ProblemsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestFarthest: the way to the end of what lies below the floor inside the building: no sewer, no riser, nothing over the
// floor. Of two as far the first by name.
func TestFarthest(t *testing.T) {
	run := func(id, to string, feet int) Point {
		return Point{ID: id, To: to, Run: Run{Length: units.Length(feet) * ft, Grade: slope.PerFoot(in / 4), Size: 3 * in}}
	}
	sewer, riser, high := run("sewer", "O", 9), run("riser", "B", 90), run("high", "riser", 9)
	sewer.Run.Part, riser.Run.Vertical, riser.Run.Grade = dwv.Sewer, true, slope.Grade{}
	far := run("far", "O", 50)
	far.Run.Part = dwv.Sewer
	for _, c := range []struct {
		points []Point
		want   string
	}{
		{[]Point{sewer}, ""}, {[]Point{sewer, run("B", "sewer", 9), riser, high, far}, "B"},
		{[]Point{run("B", "O", 9), run("A", "O", 9)}, "A"}, {[]Point{run("A", "O", 9), run("B", "O", 9)}, "A"},
		{[]Point{run("A", "O", 9), run("B", "O", 10)}, "B"}, {[]Point{run("B", "O", 10), run("A", "O", 9)}, "B"},
	} {
		s := mustSize(t, mustBuild(t, &Data{FinishedFloor: 100 * ft, Systems: []System{{ID: "s", Kind: Soil,
			Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 90 * ft}, Points: c.points}}}), mustCode(t, "ipc-2021"))
		got := ""
		if i := s.farthest(0); i >= 0 {
			got = s.tree.point(i).ID
		}
		if got != c.want {
			t.Errorf("%d points: %q, want %q", len(c.points), got, c.want)
		}
	}
}

// TestMetricLayout: a layout is metric if more runs are whole millimetres and no fraction of an inch than the other way
// round. 5 in
// is 127 mm, which says nothing.
func TestMetricLayout(t *testing.T) {
	const mm = units.Millimetre
	for _, c := range []struct {
		lengths []units.Length
		want    bool
	}{
		{[]units.Length{5 * in}, false}, {[]units.Length{1000 * mm}, true}, {[]units.Length{1000 * mm, 5 * in}, true},
		{[]units.Length{1000 * mm, ft}, false}, {[]units.Length{1000 * mm, 1001 * mm, ft}, true}, {[]units.Length{ft}, false},
	} {
		points := make([]Point, len(c.lengths))
		for k, x := range c.lengths {
			points[k].Run.Length = x
		}
		if got := (&Data{Systems: []System{{Points: points}}}).metric(); got != c.want {
			t.Errorf("%v: metric %v", c.lengths, got)
		}
		top := c.lengths[0] // of a riser that says where its top stands that counts, and not its length
		if got := (&Data{Systems: []System{{Points: []Point{{Run: Run{Length: ft, Top: &top}}}}}}).metric(); got != (top == 1000*mm) {
			t.Errorf("a riser up to %v: metric %v", top, got)
		}
	}
}

// TestSameFinding: two findings are the same if nothing that they say is another.
func TestSameFinding(t *testing.T) {
	f := tables.Finding{Rule: "drain-load", Place: "A", Verdict: tables.Fail, Reason: "43 dfu"}
	for _, edit := range []func(x *tables.Finding){
		func(x *tables.Finding) { x.Place = "B" }, func(x *tables.Finding) { x.Verdict = tables.Ask },
		func(x *tables.Finding) { x.Reason = "44 dfu" },
	} {
		x := f
		if edit(&x); same(&f, &x) || !same(&f, &f) {
			t.Errorf("%v and %v", f, x)
		}
	}
}

// TestRelieveStack: a stack of 21 intervals is relieved at the tenth and the twentieth from its top, which are those of T12 and
// of T2 (IPC 2021 908.1); where one is there, at the other. One of 20 is relieved at the tenth alone.
func TestRelieveStack(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\n")
	for _, c := range []struct {
		stories   int
		has, want string
	}{{21, "", "T2, T12"}, {21, "T12", "T2"}, {21, "T2", "T12"}, {20, "", "T11"}, {11, "", "T2"}, {21, "T5", "T2"}} {
		l := tower(c.stories)
		if c.has != "" {
			l.Vents = []Vent{{ID: "V", Kind: VentRelief, From: c.has, Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}}}
		}
		f, err := mustSize(t, mustBuild(t, l), code).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		k := slices.IndexFunc(f.base, func(p tables.Finding) bool { return p.Rule == "stack-relief" })
		if k < 0 {
			t.Fatalf("%+v: nothing is asked", c)
		}
		var said []string
		for x := range f.problem(&f.base[k]).changes() {
			w, wrong := f.made(&f.base[k], x)
			if said = append(said, x.do); w.sizing == nil || slices.ContainsFunc(wrong, func(q tables.Finding) bool {
				return q.Rule == "stack-relief"
			}) {
				t.Errorf("%+v: %s does not do", c, x.do)
			}
		}
		if want := []string{"Relieve the stack by vents from " + c.want + " up through the roof."}; !slices.Equal(said, want) {
			t.Errorf("%d stories with %q: %q, want %q", c.stories, c.has, said, want)
		}
	}
}

// TestVaryLength: a run that is lengthened from 9 to 12 ft takes what stands at and above its upper end off its place on
// plan, and
// keeps what stands below; a footing that it passes stays where it is, 3 ft farther from the upper end.
func TestVaryLength(t *testing.T) {
	l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}}, Point{ID: "B", Run: Run{Length: 9 * ft}}, Point{ID: "C",
		Run: Run{Length: 9 * ft}})
	l.Systems[0].Outlet.At = &Position{}
	for k, id := range []string{"A", "B", "C"} {
		pt(l, id).At = &Position{X: units.Length(9*k+9) * ft}
	}
	l.Footings = []Footing{{ID: "F", Kind: FootingThrough, Run: "B", Along: 4 * ft, Bottom: ft}, {ID: "G",
		Kind: FootingThrough, Run: "A",
		Along: 4 * ft, Bottom: ft}}
	f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	q, err := f.question(FarthestPoint, "B")
	if err != nil {
		t.Fatal(err)
	}
	d := f.of.of.Data()
	q.vary(&d, int64(12*ft/f.opt.Step))
	if pt(&d, "A").At == nil || pt(&d, "B").At != nil || pt(&d, "C").At != nil || pt(&d, "B").Run.Length != 12*ft ||
		d.Footings[0].Along != 7*ft || d.Footings[1].Along != 4*ft {
		t.Errorf("%+v, %+v", d.Systems[0].Points, d.Footings)
	}
}

// TestRisersCut: with the outlet raised by an inch a riser that ends at the floor, or over it, is cut by that, so that what
// stands
// on it stays; one that stands on the floor goes up with what is under it, and so does one that ends below it.
func TestRisersCut(t *testing.T) {
	for _, c := range []struct{ riser, want units.Length }{{14 * in, 13 * in}, {15 * in, 14 * in}, {14*in - nm, 14*in - nm}} {
		l := sinkLine()
		l.Systems[0].Points = append(l.Systems[0].Points, Point{ID: "R", To: "B", Run: Run{Length: c.riser, Vertical: true,
			Size: 3 * in}},
			Point{ID: "R2", To: "R", Reserved: dwv.FixtureUnit, Run: Run{Length: 3 * ft, Vertical: true, Size: 3 * in}})
		code := mustCode(t, "ipc-2021")
		f, err := mustSize(t, l, code).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		d := f.of.of.Data()
		d.Systems[0].Outlet.Invert += in
		cut, err := f.cutRisers(&d, mustSize(t, &d, code))
		if got := pt(&d, "R").Run.Length; err != nil || got != c.want || !cut {
			t.Errorf("a riser of %v is cut to %v, want %v; %v", c.riser, got, c.want, err)
		}
		up := 3 * ft
		if c.riser < 14*in { // it comes up through the floor itself
			up -= in
		}
		if got := pt(&d, "R2").Run.Length; got != up {
			t.Errorf("on a riser of %v: %v, want %v", c.riser, got, up)
		}
	}
}

// TestStepsThatLack: a clearance that lacks an inch, of which a step moves a quarter at most, is four steps away; what is no
// clearance, or passes, one. How long pipe may be moves with the length of a run alone.
func TestStepsThatLack(t *testing.T) {
	for _, c := range []struct {
		kind   LimitKind
		rule   string
		margin units.Length
		want   int64
	}{
		{FarthestPoint, "drain-cover", -in, 4}, {FarthestPoint, "drain-cover", -in - nm, 5}, {FarthestPoint, "drain-cover", in, 1},
		{FarthestPoint, "drain-size", -in, 1}, {FlattestGrade, "drain-cover", -in, 1}, {FarthestPoint, "branch-length", -in, 4},
		{HighestOutlet, "branch-length", -in, 1}, {HighestOutlet, "drain-cover", -in, 4},
	} {
		q := &question{limit: Limit{Kind: c.kind}, rate: in / 4}
		if got := q.lacks([]tables.Finding{{Rule: c.rule, Margin: c.margin}}); got != c.want {
			t.Errorf("%s, %s lacks %v: %d steps, want %d", c.kind, c.rule, -c.margin, got, c.want)
		}
	}
}

// TestLeftOpen: a change puts nothing right if nobody can judge what was wrong any more: a question about the same at the same
// place, which was not there before.
func TestLeftOpen(t *testing.T) {
	f := &fit{of: mustSize(t, sinkLine(), mustCode(t, "ipc-2021"))}
	p := tables.Finding{Rule: "drain-load", Place: "A", Verdict: tables.Fail}
	open := tables.Finding{Rule: "drain-load", Place: "A", Verdict: tables.Ask}
	if !f.unjudged(&p, &open) {
		t.Error("a new question about the same leaves it open")
	}
	for _, edit := range []func(q *tables.Finding){
		func(q *tables.Finding) { q.Verdict = tables.Pass }, func(q *tables.Finding) { q.IfConfirmed = tables.Fail },
		func(q *tables.Finding) { q.Rule = "drain-grade" }, func(q *tables.Finding) { q.Place = "B" },
	} {
		q := open
		if edit(&q); f.unjudged(&p, &q) {
			t.Errorf("%+v leaves %+v open", q, p)
		}
	}
	if f.base = []tables.Finding{open}; f.unjudged(&p, &open) {
		t.Error("what was asked before")
	}
}

// TestArmLaidFlatter: the arm of LA falls 2 in; its bore of 1-1/2 in is the most (IPC 2021 909.2). It is laid 1/2 in flatter,
// if that leaves it some fall, and is not if nobody says how it falls.
func TestArmLaidFlatter(t *testing.T) {
	for fall, want := range map[units.Length]units.Length{2 * in: 3 * in / 2, in/2 + nm: nm, in / 2: 0, 0: 0} {
		l := mustLayout(t, "workshop.json")
		pt(l, "LA").Trap.Arm, pt(l, "LA").Trap.Fall = 2*ft, fall
		f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		p := tables.Finding{Rule: "trap-arm-fall", Place: "LA", Verdict: tables.Fail, Value: 2 * in, Limit: 3 * in / 2,
			Margin: -in / 2}
		got := units.Length(0)
		for c := range f.problem(&p).changes() {
			if strings.HasPrefix(c.do, "Lay the trap arm of LA flatter: ") {
				d := f.of.of.Data()
				c.edit(&d)
				got = pt(&d, "LA").Trap.Fall
			}
		}
		if got != want {
			t.Errorf("an arm that falls %v: then %v, want %v", fall, got, want)
		}
	}
}

// TestTrapNearerUnder: a trap 30 in under its fixture is set 6 in higher, at the 24 of the limit; of one of which nobody
// says how far under it hangs nothing is set.
func TestTrapNearerUnder(t *testing.T) {
	for _, c := range []struct {
		trap *Trap
		want string
	}{{&Trap{Tail: 30 * in}, `Set the trap of A 6" higher, 2'-0" below the outlet of the fixture.`}, {&Trap{}, ""}, {nil, ""}} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Trap: c.trap, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
		f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{Print: fmt.Stringer.String})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for c := range f.problem(&tables.Finding{Rule: "trap-tail", Place: "A", Value: 30 * in, Limit: 24 * in}).changes() {
			d := f.of.of.Data()
			if c.edit(&d); pt(&d, "A").Trap.Tail != 24*in {
				t.Errorf("%s: %v", c.do, pt(&d, "A").Trap.Tail)
			}
			got += c.do
		}
		if got != c.want {
			t.Errorf("%+v: %q", c.trap, got)
		}
	}
}

// TestWhereCleanoutsGo: on a run of 30 ft a cleanout goes to its upper end, into the middle, and where the limit of 20 ft
// reaches, counted
// from its lower end. A run of 21 ft is reached so but for the last foot; one under 2 ft has no room for one between its ends.
func TestWhereCleanoutsGo(t *testing.T) {
	for length, want := range map[units.Length][]string{
		30 * ft: {"Set a cleanout at A.", `Set a cleanout on the run from A to O, 15'-0" from A.`,
			`Set a cleanout on the run from A to O, 10'-0" from A.`},
		21 * ft: {"Set a cleanout at A.", `Set a cleanout on the run from A to O, 10'-6" from A.`},
		21*ft + in: {"Set a cleanout at A.", `Set a cleanout on the run from A to O, 10'-6 1/2" from A.`,
			`Set a cleanout on the run from A to O, 1'-1" from A.`},
		2 * ft:      {"Set a cleanout at A.", `Set a cleanout on the run from A to O, 1'-0" from A.`},
		2*ft - in/4: {"Set a cleanout at A."},
	} {
		f, err := mustSize(t, straight(Point{ID: "A", Run: Run{Length: length}}), mustCode(t,
			"ipc-2021")).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, c := range addCleanout(f.problem(&tables.Finding{Rule: "cleanout-spacing", Place: "A", Verdict: tables.Fail,
			Limit: 20 * ft})) {
			said = append(said, c.do)
		}
		if !slices.Equal(said, want) {
			t.Errorf("%v: %q, want %q", length, said, want)
		}
		if list := addCleanout(f.problem(&tables.Finding{Rule: "cleanout-upper-end", Place: "A"})); len(list) != min(len(want), 2) {
			t.Errorf("%v, no limit: %+v", length, list)
		}
	}
}

// TestStrangers: of what drains to M, itself among it, those are named that may not be there; not what drains in below.
func TestStrangers(t *testing.T) {
	fixture := func(kind string) *tables.Fixture { return &tables.Fixture{Kind: kind, Count: 1, Use: tables.Private} }
	l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}, Fixture: fixture("kitchen-sink")},
		Point{ID: "M", Run: Run{Length: 9 * ft}, Fixture: fixture("kitchen-sink")},
		Point{ID: "L", Run: Run{Length: 9 * ft}, Fixture: fixture("lavatory")},
		Point{ID: "K", Run: Run{Length: 9 * ft}, Fixture: fixture("bar-sink")})
	f, err := mustSize(t, l, mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, i := range f.strangers(f.of.tree.index["M"], inBathroom) {
		got = append(got, f.id(i))
	}
	if !slices.Equal(got, []string{"M", "K"}) {
		t.Errorf("%q", got)
	}
}

// TestSteepen: a drain of 8 ft at 1/4 in per ft falls 2 in. To lift its end by 1 in takes 3/8 in per ft, and a step of 1/16
// to be
// sure; steeper than 1/2 is not proposed, nor is anything of a riser.
func TestSteepen(t *testing.T) {
	s := mustSize(t, straight(Point{ID: "A", Run: Run{Length: 8 * ft}}), mustCode(t, "ipc-2021"))
	f, err := s.newFit(t.Context(), FitOptions{GradeStep: slope.PerFoot(in / 16)})
	if err != nil {
		t.Fatal(err)
	}
	for lacks, want := range map[units.Length]string{in: "Lay A to O at 7/16 in/ft.",
		3 * in / 2: "Lay A to O at 1/2 in/ft.", 2 * in: ""} {
		got := ""
		for _, c := range steepen(f.problem(&tables.Finding{Rule: "trap-tail", Place: "A", Verdict: tables.Fail, Margin: -lacks})) {
			got += c.do
		}
		if got != want {
			t.Errorf("%v: %q, want %q", lacks, got, want)
		}
	}
}

// TestVentPast: a flat vent lies 1 in off a beam 8 in high where 3 in are asked: 2 in up or down, or past the whole of the
// beam, 10 in.
// A riser of 2 in cannot be 2 in shorter.
func TestVentPast(t *testing.T) {
	for riser, want := range map[units.Length]string{8 * ft: `2" higher, 2" lower, 10" higher, 10" lower`,
		2 * in:    `2" higher, 10" higher`,
		2*in + nm: `2" higher, 2" lower, 10" higher`} {
		l := straight(Point{ID: "A", Run: Run{Length: 9 * ft}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "A", Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{
			{Length: riser, Direction: VentUp}, {Length: 6 * ft, Direction: VentHorizontal}, {Length: 20 * ft, Direction: VentUp}}}}
		l.Obstacles = []Obstacle{{ID: "B", Kind: ObstacleFooting, Bottom: 110 * ft, Top: 110*ft + 8*in,
			From: Position{X: 40 * ft}, To: Position{X: 50 * ft}, Width: ft}}
		f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, c := range ventPast(f.problem(&tables.Finding{Place: "V", Side: "B", Value: in, Limit: 3 * in})) {
			said = append(said, strings.TrimSuffix(strings.TrimPrefix(c.do, "Lead the vent V past B, "), "."))
			d := f.of.of.Data()
			c.edit(&d)
			by := units.MustParse[units.Length](strings.Fields(said[len(said)-1])[0])
			if strings.HasSuffix(c.do, "lower.") {
				by = -by
			}
			if got := d.Vents[0].Runs[0].Length; got != riser+by || d.Vents[0].Runs[2].Length != 20*ft {
				t.Errorf("%s: risers of %v", c.do, got)
			}
		}
		if got := strings.Join(said, ", "); got != want {
			t.Errorf("a riser of %v: %s, want %s", riser, got, want)
		}
	}
}

// TestWhereValvesGo: the manhole upstream has its cover 6 in over the floor. Floor drains lie below it, so their branch X has
// a valve; a
// lavatory whose rim is as high as the cover has none. With its rim a step lower all that drains by M lies below the cover.
func TestWhereValvesGo(t *testing.T) {
	drain := &tables.Fixture{Kind: "floor-drain", Count: 1, Size: 3 * in}
	for rim, want := range map[units.Length]string{6 * in: "Set a backwater valve at X. Take out the backwater valve at L.",
		6*in - nm: "Set a backwater valve at M."} {
		l := straight(Point{ID: "M", Run: Run{Length: 9 * ft}}, Point{ID: "X", Run: Run{Length: 9 * ft}}, Point{ID: "F1",
			Run: Run{Length: 9 * ft}, Fixture: drain},
			Point{ID: "F2", Run: Run{Length: 9 * ft}, Fixture: drain}, Point{ID: "L", Run: Run{Length: 9 * ft}, FloodRim: rim,
				Backwater: true,
				Fixture:   &tables.Fixture{Kind: "lavatory", Count: 1}})
		pt(l, "F2").To, pt(l, "L").To = "X", "M"
		cover := 100*ft + 6*in
		l.UpstreamManhole = &cover
		f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		list := setBackwater(f.problem(&tables.Finding{Rule: "backwater-valve", Place: "s"}))
		d := f.of.of.Data()
		if list[0].edit(&d); list[0].do != want || pt(&d, "X").Backwater != (rim == 6*in) || pt(&d, "M").Backwater == (rim == 6*in) ||
			pt(&d, "L").Backwater == (rim == 6*in) {
			t.Errorf("a rim %v over the floor: %s, %+v", rim, list[0].do, d.Systems[0].Points)
		}
	}
}

// TestNoValveUnasked: where nobody tells how high the lavatory stands, none says that its drain needs a valve.
func TestNoValveUnasked(t *testing.T) {
	cover := 100*ft + 6*in
	l := straight(Point{ID: "M", Run: Run{Length: 9 * ft}}, Point{ID: "L", Run: Run{Length: 9 * ft},
		Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
	l.UpstreamManhole = &cover
	if list := setBackwater(mustFit(t, l).problem(&tables.Finding{Rule: "backwater-valve", Place: "s"})); list[0].do != "" {
		t.Errorf("%q", list[0].do)
	}
}

// TestWhereVentsGo: a trap is vented from its own place, from the end of what the code lets its arm be, less what the arm is
// before
// that, and from the next two places down.
func TestWhereVentsGo(t *testing.T) {
	for limit, want := range map[units.Length][]string{5 * ft: {"A", "the run from A to B, 4'-0\" from A,", "B", "C"},
		9*ft - in/4: {"A", "the run from A to B, 7'-11 3/4\" from A,", "B", "C"}, 9 * ft: {"A", "B", "C"}, ft: {"A", "B", "C"}} {
		l := straight(Point{ID: "D", Run: Run{Length: 9 * ft}}, Point{ID: "C", Run: Run{Length: 9 * ft}}, Point{ID: "B",
			Run: Run{Length: 9 * ft}},
			Point{ID: "A", Run: Run{Length: 9 * ft}, Trap: &Trap{Arm: ft}, Fixture: &tables.Fixture{Kind: "lavatory", Count: 1}})
		l.Vents = []Vent{{ID: "V", Kind: VentIndividual, From: "D", Terminal: &Terminal{AboveRoof: ft},
			Runs: []VentRun{{Length: 20 * ft, Direction: VentUp}}}}
		f, err := mustSize(t, mustBuild(t, l), mustCode(t, "ipc-2021")).newFit(t.Context(), FitOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, c := range f.vented(f.of.tree.index["A"], limit) {
			said = append(said, strings.TrimSuffix(strings.TrimPrefix(c.do, "Vent the trap of A from "),
				" straight up through the roof (as high as the vent V)."))
		}
		if !slices.Equal(said, want) {
			t.Errorf("a limit of %v: %q, want %q", limit, said, want)
		}
	}
}
