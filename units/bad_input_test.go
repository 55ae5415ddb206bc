package units_test

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// What people type by mistake, and all that they are told: the quantity, the text,
// the place, the cause, what is accepted. Blank is a text that is taken.
func TestWordsForBadInput(t *testing.T) {
	length := func(s string) error { _, err := units.Parse[units.Length](s); return err }
	flow := func(s string) error { _, err := units.Parse[units.Flow](s); return err }
	pressure := func(s string) error { _, err := units.Parse[units.Pressure](s); return err }
	temperature := func(s string) error { _, err := units.Parse[units.Temperature](s); return err }
	symbols := map[string][]string{}
	for _, u := range units.Units() {
		if u.Symbol != "ftUS" { // no whole number of nanometres
			symbols[u.Quantity] = append(symbols[u.Quantity], u.Symbol)
		}
	}
	list, flows := strings.Join(symbols["length"], ", "), strings.Join(symbols["flow"], ", ")
	for _, c := range []struct {
		parse      func(string) error
		text, want string
	}{
		{length, "0 ft", ""}, {length, "1/3 ft", ""}, {length, "1 foot", ""}, {length, "10 FT", ""},
		{length, "10′", ""},
		{length, "\u00a010 ft", ""}, {length, "10 ft\n", ""}, {length, "-1 ft", ""},
		{length, "1e-9 ft", `length "1e-9 ft", byte 0: shorter than can be laid: less than a nanometre`},
		{length, "1e9 ft", `length "1e9 ft", byte 0: longer than 1000 km`},
		{length, "1e400 ft", `length "1e400 ft", byte 0: longer than 1000 km`},
		{length, "0x10 ft", `length "0x10 ft", byte 1: not a unit of length: use ` + list +
			` (metric symbols in lower case)`},
		{length, "ten ft", `length "ten ft", byte 0: a number is missing`},
		{length, "--1 ft", `length "--1 ft", byte 1: a number is missing`},
		{length, "10", `length "10", byte 2: a unit is missing: write ft, in, mm or m after the number`},
		{length, "1/0 ft", `length "1/0 ft", byte 1: a denominator is zero`},
		{length, "1 ft 13 in", `length "1 ft 13 in", byte 5: inches after feet must be below 12`},
		{length, "1 ft -2 in",
			`length "1 ft -2 in", byte 5: a sign between feet and inches: one sign stands in front of the whole`},
		{length, "3 DN", `length "3 DN", byte 2: not a unit of length: use ` + list +
			` (metric symbols in lower case)`},
		{length, "DN 20",
			`length "DN 20", byte 0: DN names a pipe and is no length: write the size as the pipe is sold, such as ` +
				`22 mm`},
		{length, "", `length "", byte 0: there is no text`},
		{length, " \n", `length " \n", byte 2: there is no text`},
		{flow, "10", `flow "10", byte 2: a unit is missing: write ` + flows + ` after the number`},
		{flow, "10 gal", `flow "10 gal", byte 3: a unit of volume, not of flow: use ` + flows},
		{pressure, "60 psia",
			`pressure "60 psia", byte 3: an absolute pressure: pressures are gauge, take the local atmosphere off ` +
				`first`},
		{pressure, "1,5 bar",
			`pressure "1,5 bar", byte 1: a comma is not accepted: write a point for decimals and no mark between ` +
				`thousands`},
		{temperature, "-500 degF", `temperature "-500 degF", byte 0: below absolute zero`},
	} {
		got := ""
		if err := c.parse(c.text); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q\ngot  %s\nwant %s", c.text, got, c.want)
		}
	}
}
