package legible

import (
	"fmt"
	"strings"
	"testing"
)

// notes keeps what a check says instead of failing the test.
type notes struct {
	testing.TB
	said []string
}

func (n *notes) Helper() {}

func (n *notes) Errorf(format string, args ...any) {
	n.said = append(n.said, fmt.Sprintf(format, args...))
}

type stop struct{}

func (n *notes) Fatalf(format string, args ...any) {
	n.Errorf(format, args...)
	panic(stop{})
}

func (n *notes) Fatal(args ...any) {
	n.said = append(n.said, fmt.Sprint(args...))
	panic(stop{})
}

// judge checks what stands on a sheet of 100 by 50 points.
func judge(t *testing.T, body string) (sheet *Sheet, said []string) {
	n := &notes{TB: t}
	defer func() {
		if e := recover(); e != nil {
			if _, ok := e.(stop); !ok {
				panic(e)
			}
		}
		said = n.said
	}()
	sheet = Check(n, "sheet", []byte(`<svg viewBox="0 0 100 50">`+body+`</svg>`))
	return sheet, n.said
}

// word is a text 20 points wide whose letters are 10 points high: 7.2 above its foot and
// 2 below.
func word(x, y float64, text string) string {
	return fmt.Sprintf(`<text x="%g" y="%g" font-size="10" textLength="20">%s</text>`, x, y, text)
}

func TestCheck(t *testing.T) {
	line := func(d string) string { return `<g id="line"><path d="` + d + `"/></g>` }
	for _, c := range []struct {
		what, body, want string
	}{
		{"a word alone", word(10, 20, "a"), ""},
		{"side by side", word(10, 20, "a") + word(30, 20, "b"), ""},
		{"side by side, too near", word(10, 20, "a") + word(29.8, 20, "b"), "lies over"},
		{"side by side, the other way", word(29.8, 20, "a") + word(10, 20, "b"), "lies over"},
		{"one below the other", word(10, 20, "a") + word(10, 29.2, "b"), ""},
		{"side by side, told the other way", word(30, 20, "b") + word(10, 20, "a"), ""},
		{"one above the other", word(10, 29.2, "b") + word(10, 20, "a"), ""},
		{"one below the other, too near", word(10, 20, "a") + word(10, 29, "b"), "lies over"},
		{"one above the other, too near", word(10, 29, "a") + word(10, 20, "b"), "lies over"},
		{"at the corner", word(0, 7.2, "a") + word(80, 48, "b"), ""},
		{"over the left edge", word(-0.1, 20, "a"), "leaves the sheet"},
		{"over the right edge", word(80.1, 20, "a"), "leaves the sheet"},
		{"over the top", word(10, 7.1, "a"), "leaves the sheet"},
		{"over the bottom", word(10, 48.1, "a"), "leaves the sheet"},
		{"six points", `<text x="10" y="20" font-size="6" textLength="20">a</text>`, ""},
		{"less than six points", `<text x="10" y="20" font-size="5.9" textLength="20">a</text>`, "5.9 points high"},
		{"size unsaid", `<text x="10" y="20" textLength="20">a</text>`, ""},
		{"its own line", `<g><path d="M0 18L50 18"/>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"its own line, broken", `<g><path d="M0 18L50 18"/><path class="p" d="M10 12L30 12L30 23L10 23Z"/>` +
			word(10, 20, "a") + `</g>`, ""},
		{"its own line, broken in part", `<g><path d="M0 18L50 18"/><path class="p" d="M10 12L29 12L29 23L10 23Z"/>` +
			word(10, 20, "a") + `</g>`, "runs through"},
		{"its own line, broken but for less than a hair", // the text reaches from 12.8 to 22
			`<g><path d="M0 18L50 18"/><path class="p" d="M10 12.83L30 12.83L30 21.97L10 21.97Z"/>` + word(10, 20, "a") + `</g>`, ""},
		{"its own line, broken but for its top", `<g><path d="M0 18L50 18"/><path class="p" d="M10 12.9L30 12.9L30 23L10 23Z"/>` +
			word(10, 20, "a") + `</g>`, "runs through"},
		{"its own line, broken but for its foot", `<g><path d="M0 18L50 18"/><path class="p" d="M10 12L30 12L30 21.9L10 21.9Z"/>` +
			word(10, 20, "a") + `</g>`, "runs through"},
		{"its own line, another's broken", `<g><path class="p" d="M10 12L30 12L30 23L10 23Z"/></g>` +
			`<g><path d="M0 18L50 18"/>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line along", line("M0 18L50 18") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line back", line("M50 18L0 18") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line down", line("M20 0L20 40") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line up", line("M20 40L20 0") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line aslant", line("M0 0L40 40") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line past the corner", line("M0 25L12 23") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line under it, aslant", line("M0 40L80 0") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line under it, aslant, back", line("M80 0L0 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line over it, aslant", line("M0 0L90 30") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line over it, aslant, back", line("M90 30L0 0") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line that touches its end", line("M30 0L30 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line that touches its beginning", line("M10 0L10 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"between words nothing counts", "\n" + word(10, 20, "a") + " and ", ""},
		{"a line beyond it", line("M31 0L31 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line before it", line("M9 0L9 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line over it", line("M0 12.7L50 12.7") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line under it", line("M0 22.1L50 22.1") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line into its top by less than a hair", line("M0 12.83L50 12.83") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line into its top", line("M0 12.87L50 12.87") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line into its foot by less than a hair", line("M0 21.97L50 21.97") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line into its foot", line("M0 21.93L50 21.93") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"a line that ends before it", line("M0 18L9 18") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line that begins behind it", line("M31 18L50 18") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"the side that closes", line("M20 5L60 5L60 40L20 40Z") + `<g>` + word(10, 20, "a") + `</g>`, "runs through"},
		{"the side left open", line("M20 5L60 5L60 40L20 40") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a circle", line("M20 18a2 2 0 1 0 4 0Z") + `<g>` + word(10, 20, "a") + `</g>`, ""},
		{"a line that only shows", `<g><path class="s" d="M0 18L50 18"/></g><g>` + word(10, 20, "a") + `</g>`, ""},
		{"an id twice", `<g id="a"/><g id="b"/><g id="a"/>`, `two groups have the id "a"`},
		{"no ids", `<g/><g/>`, ""},
		{"not well formed", `<g>`, "not well formed"},
		{"a path of nothing", `<path d="M1L2"/>`, "path"},
		{"not a number", `<text x="one" y="20">a</text>`, "invalid syntax"},
		{"an attribute twice", `<g id="a" id="b"/>`, "attribute id twice"},
	} {
		_, said := judge(t, c.body)
		if got := strings.Join(said, "; "); (c.want == "") != (got == "") || len(said) > 1 || !strings.Contains(got, c.want) {
			t.Errorf("%s: said %q, want %q", c.what, got, c.want)
		}
	}
}

// TestFew: of many faults five are told.
func TestFew(t *testing.T) {
	if _, said := judge(t, strings.Repeat(word(-5, 20, "a"), 4)); len(said) != 5 {
		t.Errorf("%d told: %q", len(said), said)
	}
}

func TestRead(t *testing.T) {
	sheet, _ := judge(t, `<g><path d="M0 0L1 0"/></g><g id="run"><path d="M1 2L3 4L5 6"/></g>`)
	want := []Stroke{{0, 0, 1, 0, 1, ""}, {1, 2, 3, 4, 2, "run"}, {3, 4, 5, 6, 2, "run"}}
	if fmt.Sprint(sheet.Strokes, sheet.IDs) != fmt.Sprint(want, []string{"run"}) {
		t.Errorf("%v %v", sheet.Strokes, sheet.IDs)
	}
}
