package supply

import (
	"errors"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Of rows that fit, the one that names what the others leave open is meant, wherever it
// stands.
func TestSelectNamedRow(t *testing.T) {
	row := func(use, control, style string) fixtureKey {
		return fixtureKey{kind: "sink", use: use, control: control, style: style}
	}
	f := tables.Fixture{Kind: "sink", Count: 1, Use: tables.Public, Control: tables.Valve, Style: "deep"}
	differ := func(a, b int) bool { return false }
	for _, tc := range []struct {
		keys []fixtureKey
		want int
	}{
		{[]fixtureKey{row("", "", ""), row("public", "", "")}, 1},
		{[]fixtureKey{row("public", "", ""), row("", "", "")}, 0},
		{[]fixtureKey{row("public", "", "deep"), row("", "", ""), row("public", "valve", "deep")}, 2},
		{[]fixtureKey{row("private", "valve", "deep"), row("public", "", ""), row("", "", "")}, 1},
	} {
		if got, err := selectRow(tc.keys, &f, "t", differ); err != nil || got != tc.want {
			t.Errorf("%+v: row %d, %v; want %d", tc.keys, got, err, tc.want)
		}
	}
}

// Cells of flush and size that a table of one's own has wrong.
func TestMakeKey(t *testing.T) {
	for _, tc := range []struct {
		flush, size string
		want        error
	}{
		{"at most 1.6 gal", "3/4 in", nil}, {"over 6 L", "", nil},
		{"1.6 gal", "", tables.ErrQuery}, {"at most much", "", units.ErrSyntax}, {"over", "", tables.ErrQuery}, {"", "wide", units.ErrSyntax},
	} {
		if k, err := makeKey("x", "", "", tc.flush, tc.size, ""); !errors.Is(err, tc.want) || err == nil && (k.flushOver != strings.HasPrefix(tc.flush, "over") || k.flushLimit == 0) {
			t.Errorf("%q, %q: %+v, %v; want %v", tc.flush, tc.size, k, err, tc.want)
		}
	}
}
