package slope_test

import (
	"testing"

	"github.com/trapweir/trapweir/slope"
)

// What people type by mistake for a grade, and all that they are told. Blank is a
// text that is taken; whether the grade can be laid is for the code in hand.
func TestWordsForBadGrades(t *testing.T) {
	const how = "write 1/4 in/ft, 2 %, 10 ‰, 20 mm/m, 1:48 or level"
	for _, c := range []struct{ text, want string }{
		{"2%", ""}, {"2 percent", ""}, {"1 in 48", ""}, {"0 %", ""}, {"-1 %", ""}, {"1e9 %", ""}, {"1e-9 %", ""},
		{"2 %\n", ""},
		{"1e30 %", `grade "1e30 %", byte 0: the number does not fit a ratio of two numbers of 64 bits`},
		{"1:0", `grade "1:0", byte 2: the run must be positive`},
		{"1/4", `grade "1/4", byte 3: a number alone does not say of what: ` + how},
		{"1/4 in", `grade "1/4 in", byte 6: a fall needs its run after / or per: ` + how},
		{"1/4 in/ft/ft", `grade "1/4 in/ft/ft", byte 9: nothing may follow`},
		{"vertical", `grade "vertical", byte 0: a vertical run has no grade: leave the grade out and mark the run ` +
			`vertical`},
		{"90 deg", `grade "90 deg", byte 3: an angle is not an exact grade: ` + how},
		{"", `grade "", byte 0: no grade: ` + how},
	} {
		got := ""
		if _, err := slope.Parse(c.text); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q\ngot  %s\nwant %s", c.text, got, c.want)
		}
	}
}
