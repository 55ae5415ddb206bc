package draw

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestOverOwnLine: a label that only fits on its own line breaks that line; on the line of another it is not set.
func TestOverOwnLine(t *testing.T) {
	for _, own := range []bool{true, false} {
		s := newSheet(Letter, new(Options), false)
		s.room = newRoom(box{0, 0, 2600, 6000}) // room for the label in the middle alone
		mine, other := s.group("pipe", ""), s.group("another", "")
		line := mine
		if !own {
			line = other
		}
		s.room.addLine(stroke, spot{1300, 0}, spot{1300, 6000}, line)
		l := label{group: mine, lines: []string{"12345"}, at: []spot{{1300, 3000}}}
		if placed := s.place(l); placed != own {
			t.Errorf("own line %v: placed %v", own, placed)
		}
		if marks := string(s.groups[mine].marks); strings.Contains(marks, `class="p"`) != own {
			t.Errorf("own line %v: %s", own, marks)
		}
	}
}

// TestSlant: two vents at 45 degrees to one another on plan, which lie over one another at 30 degrees, are
// looked at from elsewhere; two that stand on one place, or one over the other, are not, nor is all else.
func TestSlant(t *testing.T) {
	up := func(x, y, lo, hi units.Length) Line {
		return Line{Path: []Point{{x * units.Foot, y * units.Foot, lo * units.Foot},
			{x * units.Foot, y * units.Foot, hi * units.Foot}}}
	}
	for _, c := range []struct {
		name    string
		a, b    Line
		another bool
	}{
		{"over one another", up(0, 0, 0, 10), up(4, 4, 0, 10), true},
		{"side by side", up(0, 0, 0, 10), up(4, 2, 0, 10), false},
		{"one place", up(0, 0, 0, 10), up(0, 0, 5, 12), false},
		{"one above the other", up(0, 0, 0, 3), up(4, 4, 0, 3), false},
	} {
		if got := (&Scene{Lines: []Line{c.a, c.b}}).slant(newWork(t.Context())); (got != 0) != c.another {
			t.Errorf("%s: slant %d", c.name, got)
		}
	}
}

// TestLeaderGoesRound: a leader goes a little farther to reach its place over no line of others.
func TestLeaderGoesRound(t *testing.T) {
	s := newSheet(Letter, new(Options), false)
	s.room = newRoom(box{0, 0, 20000, 20000})
	mine, other := s.group("pipe", ""), s.group("another", "")
	s.room.add(symbol, around(spot{10000, 10000}, 900), mine) // no room beside the place itself
	s.room.addLine(stroke, spot{11200, 0}, spot{11200, 20000}, other)
	for _, x := range [...]int{7600, 8000, 9000, 10000} { // labels keep off their own lines, leaders need not
		s.room.addLine(stroke, spot{x, 0}, spot{x, 20000}, mine)
	}
	if !s.place(label{group: mine, lines: []string{"12345"}, at: []spot{{10000, 10000}}}) {
		t.Fatal("no room")
	}
	for _, at := range s.room.things {
		if at.kind == leader && max(at.box.x0, at.box.x1) > 11200 {
			t.Errorf("the leader goes over the line: %+v", at.box)
		}
	}
}

// TestFlagsOfOnePlace: the flags of things at one place stand together, each in its own group, and left of
// it their lines end beside it.
func TestFlagsOfOnePlace(t *testing.T) {
	s := newSheet(Letter, new(Options), false)
	s.room = newRoom(box{0, 0, 10000, 10000})
	a, b := s.group("L1", ""), s.group("V1", "")
	at := []spot{{9000, 5000}} // no room right of it
	flags := stacked([]label{{group: a, lines: []string{"L1", "lavatory"}, bold: true, at: at},
		{group: b, lines: []string{"V1"}, bold: true, at: at}})
	if len(flags) != 1 || !s.place(flags[0]) {
		t.Fatalf("%d flags", len(flags))
	}
	for group, words := range map[int][]string{a: {">L1<", ">lavatory<"}, b: {">V1<"}} {
		for _, w := range words {
			if !strings.Contains(string(s.groups[group].marks), w) {
				t.Errorf("%s is not in its group", w)
			}
		}
	}
	first := func(g int) string {
		_, x, _ := strings.Cut(string(s.groups[g].marks), `x="`)
		x, _, _ = strings.Cut(x, `"`)
		return x
	}
	if width("L1", small, true) == width("V1", small, true) || first(a) == first(b) {
		t.Errorf("lines left of their place begin at %s and %s", first(a), first(b))
	}
}
