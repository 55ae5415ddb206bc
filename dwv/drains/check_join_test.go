package drains

import (
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// A 3 in closet drain (bore 3.068 in) joins a 2 in drain (2.067 in): crown to crown
// its invert lies 1.001 in below, at the springline half of that, at the invert level
// with it, and with a drop of as much as it lay below it is level again.
func TestJoinBelow(t *testing.T) {
	for _, tt := range []struct {
		name string
		join slope.Join
		drop units.Length
		want string
	}{
		{"crown", slope.AtCrown, 0, `fail|join-level|WV|-1.001"|0"|-1.001"`},
		{"springline", slope.AtSpringline, 0, `fail|join-level|WV|-0.5005"|0"|-0.5005"`},
		{"crown with a drop", slope.AtCrown, 1001 * in / 1000, "none of join-level"},
		{"invert", slope.AtInvert, 0, "none of join-level"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			pt(l, "S2").Run.Size = 2 * in
			pt(l, "WV").Run.Join, pt(l, "WV").Run.Drop = tt.join, tt.drop
			wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), tt.want)
		})
	}
}
