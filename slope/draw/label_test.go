package draw

import (
	"strings"
	"testing"
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
