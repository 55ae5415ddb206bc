package drains

import (
	"errors"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/units"
)

func TestBearing(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want float64
		text string
	}{{"0 deg", 0, "0 deg"}, {"360 deg", 0, "0 deg"}, {"-22.5 deg", 337.5, "337.5 deg"}, {"90°", 90, "90 deg"}, {"11.25deg", 11.25, "11.25 deg"},
		{"45." + strings.Repeat("0", 29) + "deg", 45, "45 deg"}} {
		var b Bearing
		if err := b.UnmarshalText([]byte(tt.in)); err != nil || b.Degrees() != tt.want || b.IsZero() || b.String() != tt.text {
			t.Errorf("%q: %v, %v (%v)", tt.in, b, b.Degrees(), err)
		}
	}
	for _, in := range []string{"90", "NaN deg", "inf deg", "400 deg", "deg", "9e9 deg", "N 45 E", "45." + strings.Repeat("0", 30) + "deg"} {
		var b Bearing
		if err := b.UnmarshalText([]byte(in)); !errors.Is(err, ErrBearing) {
			t.Errorf("%q: %v, %v", in, b, err)
		}
	}
	for _, tt := range []struct {
		a, b, want float64
	}{{350, 10, 20}, {10, 350, 20}, {0, 180, 180}, {90, 45, 45}, {0, 270, 90}} {
		if m, ok := Degrees(tt.a).Turn(Degrees(tt.b)); !ok || float64(m) != 1000*tt.want {
			t.Errorf("turn from %v to %v is %v", tt.a, tt.b, m)
		}
	}
	if _, ok := Degrees(1).Turn(Bearing{}); ok {
		t.Error("a turn from no bearing")
	}
	here := Position{X: 5 * units.Foot, Y: 7 * units.Foot}
	for _, tt := range []struct {
		right, ahead units.Length
		want         Bearing
	}{{1, 1, Degrees(45)}, {1, 0, Degrees(90)}, {0, 1, Degrees(0)}, {0, -1, Degrees(180)}, {-1, 0, Degrees(270)}, {-1, 1, Degrees(315)}, {0, 0, Bearing{}}} {
		to := Position{X: here.X + tt.right*units.Foot, Y: here.Y + tt.ahead*units.Foot}
		if b := plan.BearingOf(here, to); b != tt.want {
			t.Errorf("%d to the right and %d ahead is %v, want %v", tt.right, tt.ahead, b, tt.want)
		}
	}
	// A million degrees are 2777 turns and 280.
	if b, c := Degrees(1e6), Degrees(-1e6); b.Degrees() != 280 || c.Degrees() != 80 || !Degrees(1e6+0.001).IsZero() {
		t.Errorf("a million degrees are %v, less so many %v, and a little more %v", b, c, Degrees(1e6+0.001))
	}
}
