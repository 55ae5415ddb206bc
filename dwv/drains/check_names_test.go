package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestOneSize: the pairs that the pipe trade gives as names of one size, in inches and
// as DN (common practice), are told from sizes that lie next to each other.
func TestOneSize(t *testing.T) {
	in, mm := units.Inch, units.Millimetre
	for _, p := range [][2]units.Length{{in * 5 / 4, 32 * mm}, {in * 3 / 2, 40 * mm}, {2 * in, 50 * mm}, {in * 5 / 2, 65 * mm}, {3 * in, 80 * mm}, {4 * in, 100 * mm}, {5 * in, 125 * mm}, {6 * in, 150 * mm}, {8 * in, 200 * mm}} {
		if !oneSize(p[0], p[1]) || !oneSize(p[1], p[0]) {
			t.Errorf("%v and %v are told apart", p[0], p[1])
		}
	}
	if oneSize(90*mm, 100*mm) || oneSize(100*mm, 110*mm) {
		t.Error("DN 90, 100 and 110 are taken as one")
	}
	// Tube of 15 mm is copper, of 16 mm plastic (common practice).
	if oneSize(15*mm, 16*mm) {
		t.Error("15 and 16 mm are taken as one")
	}
	sizes := []units.Length{in * 5 / 4, in * 3 / 2, 2 * in, in * 5 / 2, 3 * in, 4 * in, 5 * in, 6 * in, 8 * in, 10 * in, 12 * in, 15 * in}
	for i, a := range sizes {
		for _, b := range sizes[i:] {
			if oneSize(a, b) {
				t.Errorf("%v and %v are taken as one", a, b)
			}
		}
	}
}

// TestNamesOfOneSize: an outlet of 100 mm under a code that names 4 in is a question,
// one of 3 in a fail.
func TestNamesOfOneSize(t *testing.T) {
	for size, want := range map[units.Length]tables.Verdict{100 * units.Millimetre: tables.Ask, 3 * units.Inch: tables.Fail, 4 * units.Inch: tables.Pass} {
		l := villageLayout(100)
		l.Systems[0].Outlet.Size = size
		l = mustBuild(t, l)
		list, err := checkOf(l, mustCode(t, "ipc-2021"), CheckOptions{})
		if err != nil {
			t.Fatal(err)
		}
		found := tables.Verdict(0)
		for _, f := range list {
			if f.Rule == "outlet-size" {
				found = max(found, f.Verdict)
				if want == tables.Ask && !strings.Contains(f.Reason, "two names of one size") {
					t.Errorf("outlet of %v: %s", size, f.Reason)
				}
			}
		}
		if found != want {
			t.Errorf("outlet of %v: %v, want %v", size, found, want)
		}
	}
}

// TestCleanoutOfOneName: a cleanout of 100 mm on a pipe of 4 in is a question, as is any
// nominal size that may be the one asked for; one of 90 mm is a fail.
func TestCleanoutOfOneName(t *testing.T) {
	for size, want := range map[units.Length]tables.Verdict{100 * units.Millimetre: tables.Ask, 90 * units.Millimetre: tables.Fail, 4 * units.Inch: tables.Pass} {
		l := mustLayout(t, "workshop.json")
		pt(l, "S1").Cleanout.Size = size
		found := tables.Verdict(0)
		for _, f := range checkAllWays(t, mustBuild(t, l), firmCode(t, "ipc-2021"), CheckOptions{}) {
			if f.Rule == "cleanout-size" && f.Place == "S1" {
				found = f.Verdict
			}
		}
		if found != want {
			t.Errorf("a cleanout of %v: %v, want %v", size, found, want)
		}
	}
}

// TestLoadCodeNames: a code that is not on the shelf is answered with those that are.
func TestLoadCodeNames(t *testing.T) {
	_, err := dwv.LoadCode(tables.Embedded(), "ipc-9999")
	if err == nil || !strings.Contains(err.Error(), "it has asnzs3500-2, ipc-2021, irc-2021, ") || !strings.Contains(err.Error(), "upc-2021") {
		t.Errorf("%v", err)
	}
}
