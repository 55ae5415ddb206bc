package finding_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

var rules = finding.OrderOf([]tables.CheckRule{
	{ID: "arm-length", Title: "Length of a trap arm", Family: "traps"},
	{ID: "drain-load", Title: "Load on a drain", Family: "loads"},
})

// book is a table with a row that was read and one that is from memory.
func book(t *testing.T) (read, memory tables.Citation) {
	t.Helper()
	shelf := tables.Open(fstest.MapFS{
		"sources.csv":  {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Town Code,Town,3rd,2021,,\n")},
		"town/arm.csv": {Data: []byte("# id: town/arm\n# title: Arms\n# source: town\n# key: size\n# rows: 2\nsize[in],max[ft],src,status\n2,8,,read\n3,12,,memory\n")},
	})
	table, err := shelf.Table("town/arm")
	if err != nil {
		t.Fatal(err)
	}
	return table.Cite(0), table.Cite(1)
}

// judged puts three arms and a load before a judge: at B one passes, one fails; at A
// one passes by a figure from memory; the load passes without a row.
func judged(t *testing.T, opt finding.Options) (ids []string, worded int) {
	read, memory := book(t)
	j := finding.New(rules, opt)
	arm := func(place string, length, limit units.Length, c tables.Citation) {
		finding.AtMost(j, finding.Case{Rule: "arm-length", Place: place, Citation: c}, length, limit, func() finding.Words {
			worded++
			return finding.Words{What: "The arm", Off: "too long", Fix: "Move the vent nearer."}
		})
	}
	j.Holds(true, finding.Case{Rule: "drain-load", Place: "B"}, func() finding.Words {
		return finding.Words{Reason: "Within the table."}
	})
	arm("B", 9*units.Foot, 8*units.Foot, read)
	arm("B", 7*units.Foot, 8*units.Foot, read)
	arm("A", 7*units.Foot, 12*units.Foot, memory)
	for _, f := range j.Findings() {
		ids = append(ids, strings.TrimSpace(fmt.Sprintf("%v %s %s", f.Verdict, f.ID(), f.Fix)))
		if f.Verdict == tables.Ask && (f.SettledBy != tables.Book || f.IfConfirmed != tables.Pass) {
			t.Errorf("%v is settled by %v", f, f.SettledBy)
		}
	}
	return ids, worded
}

const lookUp = " Look up the figure in Town Code 3rd, or ask the authority."

// TestJudge: findings come by rule and place, each with an id of its own; passes are
// kept, left out or counted, and nothing is worded that nobody reads.
func TestJudge(t *testing.T) {
	ids, worded := judged(t, finding.Options{})
	if diff := cmp.Diff([]string{"ask arm-length/A" + lookUp, "pass arm-length/B", "fail arm-length/B/#2 Move the vent nearer.", "pass drain-load/B"}, ids); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if worded != 3 {
		t.Errorf("%d arms worded", worded)
	}
	problems := []string{"ask arm-length/A" + lookUp, "fail arm-length/B Move the vent nearer."}
	ids, worded = judged(t, finding.Options{ProblemsOnly: true})
	if diff := cmp.Diff(problems, ids); diff != "" || worded != 2 {
		t.Errorf("%d worded (-want +got):\n%s", worded, diff)
	}
	var tally tables.Tally
	ids, worded = judged(t, finding.Options{Tally: &tally})
	if diff := cmp.Diff(problems, ids); diff != "" || worded != 2 {
		t.Errorf("%d worded (-want +got):\n%s", worded, diff)
	}
	if tally.Passes() != 2 || len(tally.Rules()) != 2 || tally.Rules()[0].Rule != "arm-length" || tally.Rules()[0].Least.Margin != units.Foot {
		t.Errorf("%d passes of %v", tally.Passes(), tally.Rules())
	}
}

// TestJudgeInTwo: what two judges find apart is what one finds alone.
func TestJudgeInTwo(t *testing.T) {
	for _, count := range []bool{false, true} {
		var opt finding.Options
		if count {
			opt.Tally = new(tables.Tally)
		}
		j := finding.New(rules, opt)
		k := j.Second()
		add := func(j *finding.Judge, place string, v tables.Verdict) {
			j.Add(tables.Finding{Rule: "drain-load", Place: place, Verdict: v, Value: units.Foot, Margin: units.Inch})
		}
		add(j, "B", tables.Pass)
		add(k, "A", tables.Pass)
		add(k, "C", tables.Fail)
		j.Merge(k)
		found := j.Findings()
		if last := found[len(found)-1]; last.Place != "C" || !count && (len(found) != 3 || found[0].Place != "A") {
			t.Errorf("%v", found)
		}
		if count && (opt.Tally.Passes() != 2 || opt.Tally.Rules()[0].Least.Place != "A") {
			t.Errorf("%d passes, least at %q", opt.Tally.Passes(), opt.Tally.Rules()[0].Least.Place)
		}
	}
}

// coarse prints lengths to the inch.
func coarse(q fmt.Stringer) string {
	l, ok := q.(units.Length)
	if !ok {
		return q.String()
	}
	return l.Round(units.Inch, units.HalfUp).String()
}

// TestSentence: what is set against a limit says value, limit and difference in one form,
// and the difference is that of the figures beside it.
func TestSentence(t *testing.T) {
	const foot, in = units.Foot, units.Inch
	for _, tc := range []struct {
		value, limit units.Length
		least        bool
		want         string
	}{
		{7 * foot, 8 * foot, false, `The arm at A is 7'-0"; limit 8'-0".`},
		{8 * foot, 8 * foot, false, `The arm at A is 8'-0"; limit 8'-0".`},
		{8 * foot, 8 * foot, true, `The arm at A is 8'-0"; at least 8'-0".`},
		{9*foot + 4*in, 8 * foot, false, `The arm at A is 9'-4"; limit 8'-0": 1'-4" off.`},
		{9*foot + 4*in + in/4, 8*foot + in/4, false, `The arm at A is 9'-4"; limit 8'-0": 1'-4" off.`},
		{9*foot + 4*in + 3*in/8, 8*foot + 5*in/8, false, `The arm at A is 9'-4"; limit 8'-1": 1'-3" off.`},
		{8*foot + in/4, 8 * foot, false, `The arm at A is 8'-0"; limit 8'-0": just off.`},
		{7 * foot, 8 * foot, true, `The arm at A is 7'-0"; at least 8'-0": 1'-0" off.`},
	} {
		j := finding.New(rules, finding.Options{Print: coarse})
		judge := finding.AtMost[units.Length]
		if tc.least {
			judge = finding.AtLeast[units.Length]
		}
		judge(j, finding.Case{Rule: "arm-length", Place: "A"}, tc.value, tc.limit, finding.Say("The arm", "off", "Move it."))
		if got := j.Findings()[0].Reason; got != tc.want {
			t.Errorf("%v, limit %v: %s, want %s", tc.value, tc.limit, got, tc.want)
		}
	}
}

// TestWhole: what is said of all of the layout has no place in its sentence.
func TestWhole(t *testing.T) {
	j := finding.New(rules, finding.Options{})
	finding.AtMost(j, finding.Case{Rule: "drain-load", Place: finding.Whole}, 7*units.Foot, 8*units.Foot, finding.Say("The arm", "", ""))
	if got := j.Findings()[0]; got.Reason != `The arm is 7'-0"; limit 8'-0".` || got.Place != finding.Whole {
		t.Error(got)
	}
}

// TestPrint: quantities in texts are written as asked for; plain words are left alone.
func TestPrint(t *testing.T) {
	j := finding.New(rules, finding.Options{Print: func(q fmt.Stringer) string { return "<" + q.String() + ">" }})
	if got := j.Text("%s is %v", "the arm", 2*units.Foot); got != `the arm is <2'-0">` {
		t.Error(got)
	}
	trade := &finding.Trade{Round: func(q fmt.Stringer) fmt.Stringer { return finding.Word("some " + q.String()) }}
	for _, c := range []struct {
		opt  finding.Options
		want string
	}{
		{finding.Options{}, `the arm is 2'-0"`},
		{finding.Options{Trade: trade}, `the arm is some 2'-0"`},
		{finding.Options{Trade: trade, Print: coarse}, `the arm is 2'-0"`},
	} {
		if got := finding.New(rules, c.opt).Text("%s is %v", "the arm", 2*units.Foot); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}

// TestManyFindings: none is lost or moved out of its order however many there are, those of a
// second judge after those of the first.
func TestManyFindings(t *testing.T) {
	j := finding.New(rules, finding.Options{})
	k := j.Second()
	const n = 3000
	j.Grow(5)
	for i := range n {
		for _, at := range []*finding.Judge{j, k} {
			at.Ask("drain-load", fmt.Sprint((i*7)%n), tables.Designer, "Which?", "", tables.Citation{})
		}
	}
	j.Merge(k)
	problems := 0
	j.Problems(func(*tables.Finding) { problems++ })
	list := j.Findings()
	if problems != 2*n || len(list) != 2*n {
		t.Fatalf("%d problems, %d findings", problems, len(list))
	}
	for i := 0; i < len(list); i += 2 {
		if a, b := &list[i], &list[i+1]; a.Place != b.Place || a.Side != "" || b.Side != "#2" ||
			i > 0 && list[i-1].Place >= a.Place {
			t.Fatalf("%d: %v, %v", i, a, b)
		}
	}
}

// TestRoom: findings are kept in few blocks, in one where their number is told before; nothing is set aside for passes
// that are not kept.
func TestRoom(t *testing.T) {
	for _, c := range []struct {
		opt         finding.Options
		told        int
		least, most float64
	}{
		{finding.Options{}, 0, 10, 30}, // 3000 are 16, 32 ... 512 and two blocks of 1024
		{finding.Options{}, 3000, 1, 5},
		{finding.Options{ProblemsOnly: true}, math.MaxInt, 10, 30},
		{finding.Options{Tally: new(tables.Tally)}, math.MaxInt, 10, 30},
	} {
		got := testing.AllocsPerRun(5, func() {
			j := finding.New(rules, c.opt)
			j.Grow(c.told)
			for range 3000 {
				j.Ask("drain-load", "A", tables.Designer, "Which?", "", tables.Citation{})
			}
		})
		if got < c.least || got > c.most {
			t.Errorf("%+v: %v blocks, want %v to %v", c.opt, got, c.least, c.most)
		}
	}
}

// TestAssumed: what was taken for granted is told by rule, place and field, that of a second judge with it; not where
// nobody asks.
func TestAssumed(t *testing.T) {
	for _, assumed := range []*[]tables.Assumption{nil, new([]tables.Assumption)} {
		j := finding.New(rules, finding.Options{Assumed: assumed})
		k := j.Second()
		j.Assume("drain-load", "A", "private", "use")
		j.Assume("arm-length", "B", "tank", "control")
		k.Assume("arm-length", "B", "1.6 gal", "flush")
		k.Assume("arm-length", "A", "tank", "control")
		j.Merge(k)
		if got := j.Findings(); len(got) != 0 {
			t.Errorf("%v", got)
		}
		if assumed == nil {
			continue
		}
		var told []string
		for _, a := range *assumed {
			told = append(told, a.Rule+" "+a.Place+" "+a.Field+" "+a.Taken)
		}
		want := []string{"arm-length A control tank", "arm-length B control tank", "arm-length B flush 1.6 gal",
			"drain-load A use private"}
		if d := cmp.Diff(want, told); d != "" {
			t.Error(d)
		}
	}
}

// TestMillimetres: where a code prints its limits in whole millimetres too, a length in whole
// millimetres is held against that; by no other length, and for no limit of the job's own.
func TestMillimetres(t *testing.T) {
	limit, whole := book(t)
	for _, tt := range []struct {
		value       units.Length
		cite, whole tables.Citation
		want        tables.Verdict
	}{
		{1066 * units.Millimetre, limit, whole, tables.Pass},
		{1067 * units.Millimetre, limit, whole, tables.Ask}, // the row is from memory
		{1067 * units.Millimetre, limit, limit, tables.Pass},
		{1068 * units.Millimetre, limit, limit, tables.Fail},
		{42*units.Inch + 1, limit, limit, tables.Fail}, // a nanometre
		{1067 * units.Millimetre, limit, tables.Citation{}, tables.Fail},
		{1067 * units.Millimetre, tables.Citation{}, limit, tables.Fail},
	} {
		j := finding.New(rules, finding.Options{Millimetres: tt.whole})
		finding.AtMost(j, finding.Case{Rule: "drain-load", Place: "A", Citation: tt.cite}, tt.value, 42*units.Inch,
			finding.Say("The height", "too high", ""))
		if got := j.Findings()[0].Verdict; got != tt.want {
			t.Errorf("%v by %v, %v: %v, want %v", tt.value, tt.cite, tt.whole, got, tt.want)
		}
	}
	// What must be more than a limit of whole millimetres is not met by the limit; half a millimetre is the most that
	// printing takes away.
	j := finding.New(rules, finding.Options{Millimetres: limit})
	const tenth = units.Millimetre / 10
	for _, c := range []struct{ value, limit units.Length }{{10000, 10000}, {10000, 10005}, {10000, 10006}} {
		finding.Compare(j, finding.Case{Rule: "drain-load", Place: fmt.Sprint(c.limit), Citation: limit},
			finding.Compared[units.Length]{Value: c.value * tenth, Limit: c.limit * tenth,
				Margin: (c.value - c.limit) * tenth},
			finding.Say("The height", "too low", ""))
	}
	got := j.Findings()
	if got[0].Verdict != tables.Fail || got[1].Verdict != tables.Pass || got[1].Margin != units.Length(0) ||
		got[2].Verdict != tables.Fail {
		t.Errorf("%v", got)
	}
}

// TestMove: a move is what the sentence says is lacking, in the units printed, and never less than that is.
func TestMove(t *testing.T) {
	metric := finding.New(rules, finding.Options{Print: func(q fmt.Stringer) string {
		l, ok := q.(units.Length)
		if !ok {
			return q.String()
		}
		mm := (l + units.Millimetre/2) / units.Millimetre
		return fmt.Sprintf("%d mm", int64(mm))
	}})
	tenth := units.Millimetre / 10
	for _, c := range []struct {
		value, limit units.Length
		want         string
	}{
		{28448 * tenth, 24384 * tenth, "407 mm"}, // 2845 and 2438; 406.4 are lacking
		{24384 * tenth, 28448 * tenth, "407 mm"},
		{28454 * tenth, 24376 * tenth, "408 mm"}, // 2845 and 2438; 407.8 are lacking
		{3000 * units.Millimetre, 2500 * units.Millimetre, "500 mm"},
		{28449 * tenth, 24385 * tenth, "407 mm"}, // 2845 and 2439; 406.4 are lacking, which prints as 406
	} {
		if got := metric.Move(c.value, c.limit); got != c.want {
			t.Errorf("from %v to %v: %s, want %s", c.value, c.limit, got, c.want)
		}
	}
	even := finding.New(rules, finding.Options{Print: func(q fmt.Stringer) string {
		return q.(units.Length).Round(units.Inch, units.HalfEven).String()
	}})
	for _, c := range []struct {
		value, limit units.Length
		want         string
	}{
		{19 * units.Inch / 2, 17 * units.Inch / 2, `2"`}, // 10 and 8, as the sentence says; 1 is lacking
		{21 * units.Inch / 2, 15 * units.Inch / 2, `3"`}, // 10 and 8; 3 are lacking
	} {
		if got := even.Move(c.value, c.limit); got != c.want {
			t.Errorf("from %v to %v: %s, want %s", c.value, c.limit, got, c.want)
		}
	}
	vague := finding.New(rules, finding.Options{Print: func(fmt.Stringer) string { return "a little" }})
	if got := vague.Move(units.Foot, units.Inch); got != "a little" {
		t.Error(got)
	}
}

// TestRounded: figures as the trade reads them, and a margin that is the difference of the two beside it; what
// rounds away keeps its sign.
func TestRounded(t *testing.T) {
	const foot, in = units.Foot, units.Inch
	grade := func(s string) slope.Grade {
		g, err := slope.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	trade := &finding.Trade{Names: map[string]bool{"pipe-size": true}, Round: func(q fmt.Stringer) fmt.Stringer {
		if l, ok := q.(units.Length); ok {
			return l.Round(in, units.HalfUp)
		}
		return q
	}}
	type figures struct{ value, limit, margin fmt.Stringer }
	const over, half = 8*foot + in/4, 3 * in / 2
	level, steep := finding.Word("level"), grade("2 %")
	for _, tt := range []struct {
		rule     string
		is, want figures
	}{
		{"", figures{9*foot + 17*in/4, over, -16 * in}, figures{9*foot + 4*in, 8 * foot, -16 * in}},
		{"", figures{9*foot + 35*in/8, 8*foot + 5*in/8, -63 * in / 4}, figures{9*foot + 4*in, 8*foot + in, -15 * in}},
		{"", figures{7*foot + 3*in/8, 8 * foot, 93 * in / 8}, figures{7 * foot, 8 * foot, foot}},
		{"", figures{over, 8 * foot, -in / 4}, figures{8 * foot, 8 * foot, -in / 4}},
		{"", figures{over, over, 0 * foot}, figures{8 * foot, 8 * foot, 0 * foot}},
		{"", figures{9*foot + 17*in/4, nil, nil}, figures{9*foot + 4*in, nil, nil}},
		{"", figures{9*foot + 17*in/4, over, nil}, figures{9*foot + 4*in, 8 * foot, nil}},
		{"", figures{over, nil, in / 4}, figures{8 * foot, nil, 0 * foot}},
		{"", figures{nil, over, in / 4}, figures{nil, 8 * foot, 0 * foot}},
		{"", figures{level, foot + in/4, in / 4}, figures{level, foot, 0 * foot}},
		{"pipe-size", figures{half, 2 * in, -in / 2}, figures{half, 2 * in, -in / 2}},
		{"", figures{steep, grade("1 %"), grade("1:47")}, figures{steep, grade("1 %"), finding.Word("2.13 %")}},
		{"", figures{steep, steep, slope.Grade{}}, figures{steep, steep, finding.Word("0 %")}},
		{"", figures{steep, grade("1 %"), grade("1 %")}, figures{steep, grade("1 %"), grade("1 %")}},
	} {
		f := trade.Rounded(tables.Finding{Rule: tt.rule, Value: tt.is.value, Limit: tt.is.limit, Margin: tt.is.margin})
		if got := (figures{f.Value, f.Limit, f.Margin}); got != tt.want {
			t.Errorf("%v: %v, want %v", tt.is, got, tt.want)
		}
	}
}

// TestRoundedOrPrinted: figures are rounded where the trade writes them, and stay as measured where the caller does.
func TestRoundedOrPrinted(t *testing.T) {
	trade := &finding.Trade{Round: func(q fmt.Stringer) fmt.Stringer { return finding.Word(coarse(q)) }}
	const high = 9*units.Foot + units.Inch/4
	for _, c := range []struct {
		opt  finding.Options
		want fmt.Stringer
	}{
		{finding.Options{}, high},
		{finding.Options{Trade: trade}, finding.Word(`9'-0"`)},
		{finding.Options{Trade: trade, Print: coarse}, high},
	} {
		j := finding.New(rules, c.opt)
		finding.AtMost(j, finding.Case{Rule: "drain-load", Place: "A"}, high, 8*units.Foot, finding.Say("The pipe",
			"too high", ""))
		if got := j.Findings()[0].Value; got != c.want {
			t.Errorf("%+v: %v, want %v", c.opt, got, c.want)
		}
	}
}

// TestSentenceOfNumbers: the difference of two figures as they are printed, or that it is less than they tell.
func TestSentenceOfNumbers(t *testing.T) {
	tenths := func(q fmt.Stringer) string {
		if v, ok := q.(units.Velocity); ok {
			return fmt.Sprintf("%.1f ft/s", float64(v/units.FootPerSecond))
		}
		return q.String()
	}
	for v, want := range map[float64]string{
		8.26: "8.3 ft/s; limit 8.0 ft/s: 0.3 ft/s too fast.",
		8.04: "8.0 ft/s; limit 8.0 ft/s: just too fast.",
		18:   "18.0 ft/s; limit 8.0 ft/s: 10.0 ft/s too fast.",
	} {
		j := finding.New(rules, finding.Options{Print: tenths})
		at := finding.Case{Rule: "drain-load", Place: "A"}
		finding.AtMost(j, at, units.Velocity(v)*units.FootPerSecond, 8*units.FootPerSecond, finding.Say("The water", "too fast", ""))
		if got := j.Findings()[0].Reason; got != "The water at A is "+want {
			t.Errorf("%v: %s", v, got)
		}
	}
	// What prints as no number leaves the difference that was measured.
	for _, c := range []struct {
		value, limit units.Velocity
		want         string
	}{
		{18, 8, "The water at A is over 9 ft/s; at most 8.0 ft/s: 10.0 ft/s off."},
		{18, 12, "The water at A is over 9 ft/s; at most over 9 ft/s: 6.0 ft/s off."},
		{5, 12, "The water at A is 5.0 ft/s; at most over 9 ft/s: 7.0 ft/s off."},
	} {
		j := finding.New(rules, finding.Options{Print: func(q fmt.Stringer) string {
			if v, ok := q.(units.Velocity); ok && v > 11*units.FootPerSecond {
				return "over 9 ft/s"
			}
			return tenths(q)
		}})
		margin := min(c.value-c.limit, c.limit-c.value)
		f := tables.Finding{Verdict: tables.Fail, Value: c.value * units.FootPerSecond,
			Limit:  c.limit * units.FootPerSecond,
			Margin: margin * units.FootPerSecond}
		if got := j.Sentence(&f, "The water at A", "at most", "off"); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}
