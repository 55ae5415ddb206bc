package lesson

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
)

func TestQuiz(t *testing.T) {
	opt := options{shelf: newCodes(tables.Embedded())}
	if diff := cmp.Diff(kindNames(), quizKinds()); diff != "" {
		t.Errorf("kinds without a quiz (-kinds +quizzes):\n%s", diff)
	}
	for _, ask := range append(quizKinds(), "") {
		var questions, key, again, keyAgain bytes.Buffer
		if err := quiz(t.Context(), quizOf(25, 3, ask), &questions, &key, opt); err != nil {
			t.Errorf("%s: %v", ask, err)
			continue
		}
		if err := quiz(t.Context(), quizOf(25, 3, ask), &again, &keyAgain, opt); err != nil || again.String() != questions.String() {
			t.Errorf("%s: the same seed gives another quiz; %v", ask, err)
		}
		// The answer file is what the program answers to the questions.
		out, ok := solveText(t, questions.String(), opt)
		if !ok || out != key.String() {
			t.Errorf("%s: the answer file is not the answers: %v", ask, cmp.Diff(out, key.String()))
		}
		var other bytes.Buffer
		if err := quiz(t.Context(), quizOf(25, 4, ask), &other, &keyAgain, opt); err != nil || other.String() == questions.String() {
			t.Errorf("%s: another seed gives the same quiz; %v", ask, err)
		}
		if ask != "" && strings.Count(questions.String(), `"ask":"`+ask+`"`) != 25 {
			t.Errorf("%s: not 25 of that kind", ask)
		}
	}
	for _, n := range []int{0, -1, maxQuiz + 1} {
		if err := quiz(t.Context(), quizOf(n, 1, "fall"), &bytes.Buffer{}, &bytes.Buffer{}, opt); err == nil {
			t.Errorf("a quiz of %d was made", n)
		}
	}
	if err := quiz(t.Context(), quizOf(1, 1, "riddle"), &bytes.Buffer{}, &bytes.Buffer{}, opt); err == nil {
		t.Error("a quiz of riddles was made")
	}
}

// TestWorking keeps the working of every kind as a trainer would read it.
func TestWorking(t *testing.T) {
	in, err := os.ReadFile("testdata/working.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]bool{}
	var b strings.Builder
	for line := range strings.Lines(string(in)) {
		var problem struct{ Ask string }
		if err := json.Unmarshal([]byte(line), &problem); err != nil {
			t.Fatal(err)
		}
		out, ok := solveText(t, line, options{working: true})
		var reply struct{ Working []string }
		if err := json.Unmarshal([]byte(out), &reply); err != nil || !ok || len(reply.Working) == 0 {
			t.Errorf("%s: %v %s", line, err, out)
		}
		shown[problem.Ask] = true
		b.WriteString(line + "    " + strings.Join(reply.Working, "\n    ") + "\n\n")
	}
	if diff := cmp.Diff(kindNames(), slices.Sorted(maps.Keys(shown))); diff != "" {
		t.Errorf("kinds whose working is not shown (-kinds +shown):\n%s", diff)
	}
	golden.Keep(t, filepath.Join("testdata", "working.golden"), b.String())
}

// FuzzLine holds the program to one JSON object a line, the id as it came and the
// same bytes each time, whatever the line.
func FuzzLine(f *testing.F) {
	for _, l := range benchmarkLines {
		f.Add(l.line)
	}
	for _, name := range []string{"testdata/working.jsonl", "testdata/marks.jsonl"} {
		in, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for line := range strings.Lines(string(in)) {
			f.Add(strings.TrimSpace(line))
		}
	}
	for _, s := range []string{"", "#", "{", "null", `{"id":{"a":[1,"\ud800"]},"ask":"fall"}`, "\ufeff{}",
		`{"ask":"fall","length":"1e400 ft","grade":"1/0 in/ft"}`,
		`{"ask":"inverts","outlet_invert":"999999 m","runs":[{"length":"999999 m","grade":"100 %","drop":"999999 m"}]}`,
		`{"ask":"stack","bore":"1 nm","fill":1e-300}`,
		`{"ask":"open-channel","bore":"1 nm","grade":"1:1000000000","n":1e-300,"flow":"1e-300 gpm"}`,
		`{"ask":"convert","value":"1e300 km","to":"nm"}`,
		`{"ask":"surge","bore":"1 m","wall":"1 nm","modulus":"1e-300 Pa","velocity_change":"1e300 m/s"}`,
	} {
		f.Add(s)
	}
	shelf := newCodes(tables.Embedded())
	f.Fuzz(func(t *testing.T, line string) {
		if strings.Contains(line, "\n") || slow(line) {
			return
		}
		for _, working := range []bool{false, true} {
			out, ok := solveText(t, line, options{shelf: shelf, working: working})
			other := shelf
			if ok && len(line)%32 == 0 { // tables read anew take a hundred times as long as the line
				other = newCodes(tables.Embedded())
			}
			again, _ := solveText(t, line, options{shelf: other, working: working})
			if out != again {
				t.Fatalf("%q: not the same twice:\n%s\n%s", line, out, again)
			}
			trimmed := strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), "\ufeff"))
			if trimmed == "" || trimmed[0] == '#' {
				if out != "" {
					t.Fatalf("%q: %s", line, out)
				}
				continue
			}
			if strings.Count(out, "\n") != 1 || !json.Valid([]byte(out)) {
				t.Fatalf("%q: %q is not one JSON line", line, out)
			}
			var reply struct {
				ID     json.RawMessage
				Answer map[string]any
				Error  *string
			}
			if err := json.Unmarshal([]byte(out), &reply); err != nil {
				t.Fatal(err)
			}
			if len(reply.ID) == 0 || (reply.Error == nil) != ok || ok != (len(reply.Answer) > 0) {
				t.Fatalf("%q: %s", line, out)
			}
		}
	})
}

// slow tells lines whose answer may take seconds, which a fuzzer should not wait
// for; TestHeavyLines looks at them.
func slow(line string) bool { return len(line) > 4000 || strings.Contains(line, "demand-exact") }

func TestHeavyLines(t *testing.T) {
	var groups []string
	for i := range 1000 {
		groups = append(groups, fmt.Sprintf(`{"count":1000,"probability":0.5,"flow":"%d.01 gpm"}`, i))
	}
	got := one(t, `{"ask":"demand-exact","confidence":0.99,"groups":[`+strings.Join(groups, ",")+`]}`)
	if !strings.HasPrefix(got, `{"id":1,"error":"groups: about `) {
		t.Errorf("%.200s", got)
	}
	// One great group is no work.
	got = one(t, `{"ask":"demand-exact","confidence":0.5,"groups":[{"count":1000000,"probability":0.5,"flow":"0.01 `+
		`gpm"}]}`)
	if !strings.HasPrefix(got, `{"id":1,"answer":{"flow":{"value":5000,"unit":"gpm"`) {
		t.Error(got)
	}
}

// TestGuide: the guide alone is enough to write a line of every kind. Each kind has a
// question, named answers and an example that is answered, and every field of an example
// is told how it is written.
func TestGuide(t *testing.T) {
	e := New(tables.Embedded())
	told := map[string]bool{"id": true, "ask": true}
	for _, g := range fieldGroups {
		for name := range strings.FieldsSeq(g.fields) {
			told[name] = true
		}
	}
	for _, k := range e.Kinds() {
		if k.Asks == "" || k.Answers == "" || k.Fields == "" || strings.ContainsAny(k.Asks, "[]{}@") {
			t.Errorf("%s: %+v", k.Name, k)
		}
		if reply, ok := e.Answer([]byte(k.Example), Options{}); !ok {
			t.Errorf("%s: %s\n%s", k.Name, k.Example, reply)
		}
		for _, line := range k.More {
			if reply, ok := e.Answer([]byte(line), Options{}); !ok || !strings.Contains(line, `"ask":"`+k.Name+`"`) {
				t.Errorf("%s: %s\n%s", k.Name, line, reply)
			}
		}
		if k.Name == "mark" {
			continue // holds a whole problem line
		}
		for _, name := range regexp.MustCompile(`[{,]"([a-z_]+)":`).FindAllStringSubmatch(k.Example, -1) {
			if !told[name[1]] && name[1] != "fixture" && name[1] != "use" && name[1] != "control" &&
				name[1] != "flush" {
				t.Errorf("%s: field %s is not told", k.Name, name[1])
			}
		}
		for _, name := range regexp.MustCompile(`[a-z_]{3,}`).FindAllString(
			regexp.MustCompile(`\([^)]*\)|[:;].*`).ReplaceAllString(k.Fields, ""), -1) {
			if !told[name] && name != "and" && name != "one" {
				t.Errorf("%s: input %s is not told", k.Name, name)
			}
		}
	}
	codes := map[string][]string{}
	for _, k := range e.Kinds() {
		if asks := strings.Contains(k.Fields, "code"); asks && k.Name != "device-loss" && len(k.Codes) == 0 || !asks && k.Codes != nil {
			t.Errorf("%s: codes %v", k.Name, k.Codes)
		}
		codes[k.Name] = k.Codes
	}
	for kind, want := range map[string]string{"demand": "din1988-300", "pipe-by-load": "en806-3", "drainage-load": "en12056-2",
		"supply-load": "bs6700", "trap-arm": "asnzs3500-2", "vent-size": "massachusetts-248cmr", "sewer-size": "ontario-obc"} {
		if !slices.Contains(codes[kind], want) || !slices.Contains(codes[kind], "ipc-2021") {
			t.Errorf("%s: %s is not among %v", kind, want, codes[kind])
		}
	}
	if diff := cmp.Diff(kindNames(), slices.Sorted(maps.Keys(allWords()))); diff != "" {
		t.Errorf("kinds without words (-kinds +words):\n%s", diff)
	}
	for line := range strings.Lines(kindsFile) {
		if !regexp.MustCompile(`^(#.*|(kind|level|fields|told|asked|drawn|under|usual|more|tried) .+)?\n$`).MatchString(line) {
			t.Errorf("kinds.txt: %s", line)
		}
	}
	var b strings.Builder
	if err := e.WriteGuide(&b); err != nil || !strings.Contains(b.String(), "units: m3/s, gpm, L/s") {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// quizOf are the options of a quiz of one kind, "" for all.
func quizOf(n int, seed uint64, ask string) QuizOptions {
	q := QuizOptions{Number: n, Seed: seed}
	if ask != "" {
		q.Kinds = []string{ask}
	}
	return q
}

// TestQuizOptions: kinds, level, code and units are kept to, and what they leave no
// problem of is told.
func TestQuizOptions(t *testing.T) {
	e := New(tables.Embedded())
	for _, c := range []struct {
		opt  QuizOptions
		line string // what every line matches
	}{
		{QuizOptions{Kinds: []string{"fall", "grade"}}, `"ask":"(fall|grade)"`},
		{QuizOptions{Level: 1}, `"ask":"(convert|fall|grade|length-for-fall|rod|offset|plane|head|velocity|bore-for-velocity|` +
			`pipe-volume|mix|flow-probability|minor-loss|equivalent-length|critical-radius|pipe-expansion|unit-flow|water|wait)"`},
		{QuizOptions{Kinds: []string{"trap-arm", "drainage-load"}, Code: "npc-canada"}, `"code":"npc-canada"`},
		{QuizOptions{Level: 3, Units: "si"}, `"units":"si"}$`},
		{QuizOptions{Kinds: []string{"drain-size", "sewer-size", "drainage-load"}, Code: "en12056-2", Units: "si"},
			`"code":"en12056-2"`},
		{QuizOptions{Kinds: []string{"drain-size", "sewer-size"}, Code: "din1986-100"}, `"code":"din1986-100"`},
		{QuizOptions{Kinds: []string{"drain-size", "sewer-size"}, Code: "adh-2015"}, `"code":"adh-2015"`},
		{QuizOptions{Kinds: []string{"demand"}, Code: "din1988-300"}, `"code":"din1988-300"`},
		{QuizOptions{Kinds: []string{"pipe-by-load"}, Code: "en806-3"}, `"code":"en806-3"`},
	} {
		c.opt.Number, c.opt.Seed = 20, 2
		var questions, key bytes.Buffer
		if err := e.Quiz(c.opt, &questions, &key); err != nil {
			t.Errorf("%+v: %v", c.opt, err)
		}
		for line := range strings.Lines(questions.String()) {
			if !regexp.MustCompile(c.line).MatchString(strings.TrimSpace(line)) {
				t.Errorf("%+v: %s", c.opt, line)
			}
			if c.opt.Units == "si" && regexp.MustCompile(`\d (ft|in|gpm|psi|degF|gal|ft/s)"`).MatchString(line) {
				t.Errorf("not metric: %s", line)
			}
		}
	}
	for _, c := range []struct {
		opt  QuizOptions
		want string
	}{
		{QuizOptions{}, "quiz: number 0: from 1 to 100000"},
		{QuizOptions{Number: 1, Kinds: []string{"fal"}}, `quiz: no quiz of "fal"; did you mean "fall"?`},
		{QuizOptions{Number: 1, Level: 4}, "quiz: level 4: from 1 to 3"},
		{QuizOptions{Number: 1, Level: 3, Kinds: []string{"fall"}}, "quiz: no kind of level 3 among fall"},
		{QuizOptions{Number: 1, Units: "imperial"}, `quiz: units "imperial": choose us or si`},
		{QuizOptions{Number: 1, Code: "IPC-2021"}, `quiz: code "IPC-2021": not on the shelf; did you mean "ipc-2021"?`},
		{QuizOptions{Number: 1, Kinds: []string{"demand"}, Code: "bs6700"}, `quiz: code "bs6700" answers none of the problems`},
	} {
		if err := e.Quiz(c.opt, &bytes.Buffer{}, &bytes.Buffer{}); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.opt, err, c.want)
		}
	}
}

// TestProse: the question of every kind tells all that its line gives, in US and in metric
// units, in words, without a leftover of its template.
func TestProse(t *testing.T) {
	e := New(tables.Embedded())
	for _, kind := range kindNames() {
		if said := wordsOf(kind); said.told == "" || said.asked == "" || said.level < 1 || said.level > 3 {
			t.Errorf("%s: no telling, no question, or no level: %+v", kind, said)
		}
		for _, u := range wordsOf(kind).usual {
			if u.unit == "" || u.low >= u.high {
				t.Errorf("%s: %+v are no bounds", kind, u)
			}
		}
		for _, system := range []string{"us", "si"} {
			var lines bytes.Buffer
			if err := e.Quiz(QuizOptions{Number: 8, Seed: 9, Kinds: []string{kind}, Units: system}, &lines, &bytes.Buffer{}); err != nil {
				t.Fatal(err)
			}
			paper, err := e.paperLines(lines.Bytes())
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range paper {
				if strings.ContainsAny(l.prose, "{}[]") || strings.Contains(l.prose, "Given too") || strings.Contains(l.prose, "  ") ||
					!strings.HasSuffix(l.prose, "?") || l.prose[0] >= 'a' && l.prose[0] <= 'z' {
					t.Errorf("%s: %s", kind, l.prose)
				}
				for _, m := range regexp.MustCompile(`":"?([0-9][^",}]*)`).FindAllStringSubmatch(string(l.text), -1) {
					if !strings.Contains(l.prose, m[1]) && (kind != "stack" || fillWords[m[1]] == "") {
						t.Errorf("%s: %s is not told: %s", kind, m[1], l.prose)
					}
				}
			}
		}
	}
	// What a telling has no place for is told after it.
	l, err := e.paperLine([]byte(`{"id":"a","ask":"fall","length":"10 ft","grade":"1 %","units":"us"}`))
	if err != nil || l.prose != "A pipe 10 ft long lies at a grade of 1 %. How far does the pipe fall over its length?" {
		t.Errorf("%s, %v", l.prose, err)
	}
}

// TestQuizIsRealistic: drawn problems have answers such as a building has, in both systems of
// units: drains at 0.5 to 4.2 %, water lines at 1.5 to 10 ft/s (0.46 to 3.05 m/s), readings
// within a staff of 13 ft, pressure left for friction.
func TestQuizIsRealistic(t *testing.T) {
	for _, c := range []struct {
		kind, answer, units string
		low, high           float64
	}{
		{"grade", "percent", "us", 0.5, 4.2}, {"grade", "percent", "si", 0.5, 4.2},
		{"flow-for-loss", "velocity", "us", 1.5, 10}, {"flow-for-loss", "velocity", "si", 0.457, 3.05},
		{"bore-for-loss", "velocity", "si", 0.457, 3.05}, {"rod", "reading", "us", 0.3, 13}, {"rod", "reading", "si", 0.1, 4},
		{"pressure-budget", "left", "us", 2, 60}, {"friction", "pressure_loss", "si", 1.3, 207},
	} {
		var questions, key bytes.Buffer
		q := quizOf(60, 21, c.kind)
		q.Units = c.units
		if err := quiz(t.Context(), q, &questions, &key, options{shelf: embedded}); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(key.String()) {
			var r struct {
				Answer map[string]json.RawMessage
			}
			var v struct{ Value float64 }
			if err := json.Unmarshal([]byte(line), &r); err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(r.Answer[c.answer], &v); err != nil || v.Value < c.low || v.Value > c.high {
				t.Errorf("%s in %s: %s %v, %v", c.kind, c.units, c.answer, v.Value, err)
			}
		}
	}
}

// TestFixturesInWords: more than one fixture is told of in the plural, and its make after that.
func TestFixturesInWords(t *testing.T) {
	for _, tt := range []struct{ id, one, more string }{
		{"shower", "1 shower", "3 showers"},
		{"wash-sink", "1 wash sink", "3 wash sinks"},
		{"lavatory", "1 lavatory", "3 lavatories"},
		{"shower-2-to-3-heads", "1 shower of 2 to 3 heads", "3 showers of 2 to 3 heads"},
		{"shower-to-12.3-gpm", "1 shower to 12.3 gpm", "3 showers to 12.3 gpm"},
		{"urinal-slab-each-600-mm", "1 urinal slab each 600 mm", "3 urinal slabs each 600 mm"},
		{"bathroom-groups-2", "1 bathroom groups of 2", "3 bathroom groups of 2"},
		{"a--b", "1 a  b", "3 a  bs"}, // no id of a code, and told all the same
	} {
		for count, want := range map[string]string{"1": tt.one, "3": tt.more} {
			doc, err := strictjson.Parse("", []byte(`{"fixture": "`+tt.id+`", "count": `+count+`}`), strictjson.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if got := fixtureWords(&doc.Root); got != want {
				t.Errorf("%s: %q, want %q", tt.id, got, want)
			}
		}
	}
}

// TestQuizStops: a quiz of 40 problems that is called off says after how many.
func TestQuizStops(t *testing.T) {
	e := New(tables.Embedded())
	for _, done := range []int{0, 7, 39} {
		err := e.QuizContext(patience.Of(int64(done)), QuizOptions{Number: 40, Seed: 3}, io.Discard, io.Discard)
		want := fmt.Sprintf("quiz: stopped after %d of 40 problems: context canceled", done)
		if !errors.Is(err, context.Canceled) || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
	if err := e.QuizContext(patience.Of(40), QuizOptions{Number: 40, Seed: 3}, io.Discard, io.Discard); err != nil {
		t.Error(err)
	}
}
