package lesson

import (
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/tables"
)

// embedded is the shelf that the tests share.
var embedded = newCodes(tables.Embedded())

func solveText(t testing.TB, in string, opt options) (string, bool) {
	t.Helper()
	if opt.shelf == nil {
		opt.shelf = embedded
	}
	var out strings.Builder
	ok, err := run(strings.NewReader(in), &out, opt)
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), ok
}

// one solves a single line and returns the reply.
func one(t testing.TB, line string) string {
	t.Helper()
	out, _ := solveText(t, line, options{})
	return strings.TrimSuffix(out, "\n")
}

func TestLines(t *testing.T) {
	cases := []struct{ name, in, want string }{
		{"exact fall", `{"id":"a1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`,
			`{"id":"a1","answer":{"fall":{"value":9.375,"unit":"in"}}}`},
		{"fall that no nanometre holds", `{"ask":"fall","length":"10 ft","grade":"1:33"}`,
			`{"id":1,"answer":{"fall":{"value":3.63636363636,"unit":"in"}}}`},
		{"si", `{"id":null,"ask":"fall","length":"50 m","grade":"1:80","units":"si"}`,
			`{"id":null,"answer":{"fall":{"value":625,"unit":"mm"}}}`},
		{"id as it came", `{"id":[1, {"a":"\u00e9"}],"ask":"rod","instrument_height":"12 ft","elevation":"4.75 ft"}`,
			`{"id":[1, {"a":"\u00e9"}],"answer":{"reading":{"value":7.25,"unit":"ft"}}}`},
		{"number id as it came", `{"id":1.50e0,"ask":"rod","instrument_height":"0 ft","elevation":"0 ft"}`,
			`{"id":1.50e0,"answer":{"reading":{"value":0,"unit":"ft"}}}`},
		{"skipped and counted", "\n# note\r\n  \n" + `{"ask":"grade","length":"24 m","fall":"0.3 m"}`,
			`{"id":4,"answer":{"percent":{"value":1.25,"unit":"1"},"per_foot":{"value":0.15,"unit":"in/ft"},` +
				`"one_in":{"value":80,"unit":"1"}}}`},
		{"byte order mark", "\ufeff" + `{"ask":"length-for-fall","fall":"1 in","grade":"1/4 in/ft"}`,
			`{"id":1,"answer":{"length":{"value":4,"unit":"ft"}}}`},
		{"all faults", `{"id":7,"ask":"fall","length":"-3 ft","grade":0.25,"foo":1}`,
			`{"id":7,"error":"length: -3 ft must be more than 0; grade: wrong type: 0.25 is a bare number: write a text ` +
				`with its unit; foo: unknown field"}`},
		{"texts for numbers", `{"ask":"offset","offset":"10 in","angle":"45 deg"}`,
			`{"id":1,"error":"angle: wrong type: text where a number is needed: write the number of degrees alone, ` +
				`such as 45"}`},
		{"texts for units and counts", `{"ask":"drain-size","code":"ipc-2021","part":"drain","load":"42 dfu",` +
			`"grade":"1/4 in/ft","water_closets":"2"}`,
			`{"id":1,"error":"load: wrong type: text where a number is needed: write the number of units of the code ` +
				`(dfu, wsfu, du or lu) alone, such as 42; water_closets: wrong type: text where a number is needed: ` +
				`write the count alone, such as 4"}`},
		{"text for a fill", `{"ask":"stack","bore":"3 in","fill":"7/24"}`,
			`{"id":1,"error":"fill: wrong type: text where a number is needed: write the number alone, such as 0.013"}`},
		{"texts for shares", `{"ask":"demand-exact","confidence":"99 %","groups":[{"count":50,"probability":"1 %",` +
			`"flow":"2.5 gpm"}]}`,
			`{"id":1,"error":"confidence: wrong type: text where a number is needed: write the share of 1 alone, such ` +
				`as 0.95; groups[0]: probability: wrong type: text where a number is needed: write the share of 1 ` +
				`alone, such as 0.95"}`},
		{"no ask", `{"id":7,"length":"3 ft"}`, `{"id":7,"error":"ask: missing"}`},
		{"ask is not text", `{"ask":7}`, `{"id":1,"error":"ask: wrong type: a number where text is needed"}`},
		{"not json", `{"ask":`, `{"id":1,"error":"not valid JSON: unexpected end of JSON input"}`},
		{"not an object", `[1]`, `{"id":1,"error":"wrong type: a list where an object is needed"}`},
		{"unit system", `{"ask":"rod","instrument_height":"0 ft","elevation":"0 ft","units":"metric"}`,
			`{"id":1,"error":"units: \"metric\" is not one of us, si"}`},
		{"repeated field", `{"ask":"rod","instrument_height":"1 ft","instrument_height":"2 ft","elevation":"0 ft"}`,
			`{"id":1,"error":"instrument_height: given twice"}`},
		{"nested fault", `{"ask":"inverts","outlet_invert":"0 ft","runs":[{"length":"1 ft","grade":"1 %","fall":"1 ` +
			`in"}]}`,
			`{"id":1,"error":"runs[0]: fall: unknown field"}`},
		{"infinity", `{"ask":"plane","grade_ahead":"1 %","bearing":1e999}`,
			`{"id":1,"error":"bearing: 1e999 is out of range"}`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := one(t, c.in)
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
	if got := one(t, `{"id":"a\"b","ask":"x"}`); !strings.HasPrefix(got,
		`{"id":"a\"b","error":"ask: \"x\" is not a kind of problem; the kinds are bore-for-loss, `) {
		t.Error(got)
	}
}

func TestLongLines(t *testing.T) {
	good := `{"id":2,"ask":"rod","instrument_height":"1 ft","elevation":"0 ft"}`
	pad := func(n int) string { return good + strings.Repeat(" ", n-len(good)) }
	answer := `{"id":2,"answer":{"reading":{"value":1,"unit":"ft"}}}` + "\n"
	for _, end := range []string{"", "\n"} {
		out, ok := solveText(t, pad(maxLine)+"\n"+pad(maxLine)+end, options{})
		if !ok || out != answer+answer {
			t.Errorf("lines of the greatest length: %v %q", ok, out)
		}
		out, ok = solveText(t, pad(maxLine+1)+"\n"+good+end, options{})
		if want := `{"id":1,"error":"line is longer than 1048576 bytes"}` + "\n" + answer; ok || out != want {
			t.Errorf("a line too long: %v %q", ok, out)
		}
		out, ok = solveText(t, good+"\n"+strings.Repeat("#", 3*maxLine)+end, options{})
		if want := answer + `{"id":2,"error":"line is longer than 1048576 bytes"}` + "\n"; ok || out != want {
			t.Errorf("the last line too long: %v %q", ok, out)
		}
	}
}

// failing is a reader or writer that fails after some bytes.
type failing struct{ left int }

func (f *failing) Read(b []byte) (int, error) {
	if f.left--; f.left < 0 {
		return 0, errors.New("torn cable")
	}
	return copy(b, "# x\n"), nil
}

func (f *failing) Write(b []byte) (int, error) { return 0, errors.New("disk full") }

func TestBrokenPipes(t *testing.T) {
	if ok, err := run(&failing{left: 3}, io.Discard, options{shelf: newCodes(tables.Embedded())}); ok || err == nil {
		t.Errorf("broken input: %v, %v", ok, err)
	}
	if ok, err := run(strings.NewReader("{}"), &failing{}, options{shelf: newCodes(tables.Embedded())}); ok &&
		err == nil {
		t.Errorf("broken output: %v, %v", ok, err)
	}
}

// benchmarkLines are one line of each simple kind.
var benchmarkLines = []struct{ name, line string }{
	{"fall", `{"id":"a1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}`},
	{"grade", `{"id":2,"ask":"grade","length":"24 m","fall":"0.3 m"}`},
	{"inverts", `{"id":3,"ask":"inverts","outlet_invert":"100 ft","runs":[{"length":"40 ft","grade":"1/4 in/ft"},` +
		`{"length":"20 ft","grade":"2 %","drop":"3 in"}]}`},
	{"offset", `{"id":4,"ask":"offset","offset":"10 in","angle":45}`},
	{"open-channel", `{"id":5,"ask":"open-channel","bore":"4 in","grade":"1/4 in/ft","n":0.013,"flow":"50 gpm"}`},
	{"stack", `{"id":6,"ask":"stack","bore":"4 in","fill":0.25}`},
	{"friction", `{"id":7,"ask":"friction","method":"hazen-williams","flow":"20 gpm","bore":"1.025 in",` +
		`"length":"100 ft","c":140}`},
}

// BenchmarkLines answers lines one by one; lines/s is what a user sees.
func BenchmarkLines(b *testing.B) {
	for _, l := range benchmarkLines {
		b.Run(l.name, func(b *testing.B) {
			b.ReportAllocs()
			const batch = 1000
			in := strings.Repeat(l.line+"\n", batch)
			n := 0
			for b.Loop() {
				if ok, err := run(strings.NewReader(in), io.Discard,
					options{shelf: newCodes(tables.Embedded())}); !ok || err != nil {
					b.Fatal(ok, err)
				}
				n += batch
			}
			b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "lines/s")
		})
	}
}

// TestNothingRaw: what a terminal would obey leaves the program as escapes, and the
// id has the value that came.
func TestNothingRaw(t *testing.T) {
	for _, line := range []string{
		"{\"id\":\"\u009b31m\u202e\",\"ask\":\"fall\",\"length\":\"1 ft\",\"grade\":\"2 %\"}",
		"{\"id\":1,\"ask\":\"fall\",\"length\":\"1 ft\",\"grade\":\"2 %\",\"\u202ehtgnel\":\"1 ft\"}",
		`{"id":1,"ask":"fall","length":"1 ft","grade":"2 %","a\nb\u001b[2J":"1 ft"}`,
		"{\"id\":1,\"ask\":\"\u202ellaf\u0085\"}",
		"{\"id\":1,\"ask\":\"drain-size\",\"code\":\"\u009bx\",\"part\":\"drain\",\"load\":1,\"grade\":\"2 %\"}",
	} {
		out, _ := solveText(t, line, options{})
		if strings.ContainsFunc(strings.TrimSuffix(out, "\n"),
			func(r rune) bool { return unicode.In(r, unicode.Cc, unicode.Cf) }) {
			t.Errorf("%q", out)
		}
		var asked, told struct{ ID any }
		if err := errors.Join(json.Unmarshal([]byte(line), &asked), json.Unmarshal([]byte(out), &told)); err != nil ||
			asked.ID != told.ID {
			t.Errorf("%q: id %v, %v", line, told.ID, err)
		}
	}
}

// waiter is input that comes only once all that came before it is answered.
type waiter struct {
	parts []string
	lines int // whole lines that came
	out   *strings.Builder
	early int // reads before the answers were out
}

func (w *waiter) Read(p []byte) (int, error) {
	if strings.Count(w.out.String(), "\n") < w.lines {
		w.early++
	}
	if len(w.parts) == 0 {
		return 0, io.EOF
	}
	n := copy(p, w.parts[0])
	w.lines += strings.Count(w.parts[0][:n], "\n")
	if w.parts[0] = w.parts[0][n:]; w.parts[0] == "" {
		w.parts = w.parts[1:]
	}
	return n, nil
}

// TestAnswersAsTheyCome: no line waits for the next one, so that another program can
// ask, read the answer and ask again.
func TestAnswersAsTheyCome(t *testing.T) {
	const line = `{"ask":"fall","length":"1 ft","grade":"2 %"}` + "\n"
	var out strings.Builder
	in := &waiter{out: &out, parts: []string{line, line + line, line + line[:10], line[10:], "junk\n", line}}
	if ok, err := run(in, &out, options{shelf: newCodes(tables.Embedded())}); ok || err != nil {
		t.Errorf("%v %v", ok, err)
	}
	if in.early > 0 || strings.Count(out.String(), "\n") != 7 {
		t.Errorf("%d reads before the answers were out:\n%s", in.early, out.String())
	}
}
