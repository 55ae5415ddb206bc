package plan

import (
	"errors"
	"testing"

	"github.com/trapweir/trapweir/units"
)

const m = units.Metre

// TestPlaces: triangles whose sides are whole, and the points of the compass.
func TestPlaces(t *testing.T) {
	from := Position{2 * m, 7 * m}
	for _, c := range []struct {
		to       Position
		bearing  float64 // degrees
		distance units.Length
	}{
		{Position{2 * m, 17 * m}, 0, 10 * m},
		{Position{12 * m, 7 * m}, 90, 10 * m},
		{Position{2 * m, -3 * m}, 180, 10 * m},
		{Position{-8 * m, 7 * m}, 270, 10 * m},
		{Position{5 * m, 10 * m}, 45, 4_242_640_687},      // 3 x the root of two
		{Position{5 * m, 11 * m}, 36.87, 5 * m},           // the tangent is 3/4
		{Position{-3 * m, -5 * m}, 180 + 22.62, 13 * m},   // the tangent is 5/12
		{Position{10 * m, -8 * m}, 180 - 28.072, 17 * m},  // the tangent is 8/15
		{Position{-22 * m, 14 * m}, 360 - 73.74, 25 * m},  // the tangent is 24/7
		{Position{2*m + 1, 7 * m}, 90, units.Nanometre},   // a step that can be told
		{Position{2 * m, 7*m - 1}, 180, units.Nanometre},  // either way
		{Position{11 * m, 47 * m}, 12.68, 41 * m},         // the tangent is 9/40
		{Position{-58 * m, 18 * m}, 360 - 79.611, 61 * m}, // the tangent is 60/11
	} {
		if got := BearingOf(from, c.to); got != Degrees(c.bearing) {
			t.Errorf("to %v: bearing %v, want %v", c.to, got, c.bearing)
		}
		if got := from.To(c.to); got != c.distance {
			t.Errorf("to %v: %v, want %v", c.to, got, c.distance)
		}
		// A thousandth of a degree, half of which is lost, turns a metre by 9 um.
		back := from.Toward(Degrees(c.bearing), c.distance)
		if miss := back.To(c.to); miss > c.distance/100_000 {
			t.Errorf("%v at %v: %v, %v off %v", c.distance, c.bearing, back, miss, c.to)
		}
	}
	if got := BearingOf(from, from); !got.IsZero() {
		t.Errorf("from a place to itself: %v", got)
	}
}

func TestDegrees(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 0}, {360, 0}, {-90, 270}, {-360, 0}, {725, 5}, {0.0004, 0}, {0.0006, 0.001}, {359.9996, 0}, {-0.001, 359.999},
		{1e6, 280}, {-1e6, 80},
	} {
		if got := Degrees(c.x); got.IsZero() || got.Degrees() != c.want {
			t.Errorf("Degrees(%v) = %v, want %v", c.x, got.Degrees(), c.want)
		}
	}
	for _, x := range []float64{1e6 + 0.001, -1e6 - 0.001, 1e300} {
		if got := Degrees(x); !got.IsZero() || got.Degrees() != 0 {
			t.Errorf("Degrees(%v) is the bearing %v", x, got)
		}
	}
}

func TestTurn(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want int32
	}{
		{350, 10, 20_000}, {10, 350, 20_000}, {0, 180, 180_000}, {0, 180.001, 179_999}, {45, 45, 0}, {90, 0, 90_000},
	} {
		if got, ok := Degrees(c.a).Turn(Degrees(c.b)); !ok || got != c.want {
			t.Errorf("from %v to %v: %v, %t, want %v", c.a, c.b, got, ok, c.want)
		}
	}
	for _, c := range [][2]Bearing{{{}, Degrees(1)}, {Degrees(1), {}}, {{}, {}}} {
		if got, ok := c[0].Turn(c[1]); ok || got != 0 {
			t.Errorf("from %v to %v: %v, %t", c[0], c[1], got, ok)
		}
	}
	if a, b := Degrees(0), Degrees(359.999); (Bearing{}).Compare(a) != -1 || a.Compare(b) != -1 || b.Compare(a) != 1 ||
		a.Compare(Degrees(360)) != 0 || !a.Equal(Degrees(360)) || a.Equal(b) || a.Equal(Bearing{}) {
		t.Error("order of bearings")
	}
}

func TestBearingText(t *testing.T) {
	for _, c := range []struct {
		text string
		want Bearing
	}{
		{"", Bearing{}}, {"  ", Bearing{}}, {"45 deg", Degrees(45)}, {" 45deg ", Degrees(45)}, {"45°", Degrees(45)},
		{"-22.5 deg", Degrees(337.5)}, {"360 deg", Degrees(0)}, {"-360 deg", Degrees(0)}, {"0.001 deg", Degrees(0.001)},
	} {
		var got Bearing
		if err := got.UnmarshalText([]byte(c.text)); err != nil || got != c.want {
			t.Errorf("%q: %v, %v, want %v", c.text, got, err, c.want)
		}
		var back Bearing
		if text, err := got.MarshalText(); err != nil || back.UnmarshalText(text) != nil || back != got {
			t.Errorf("%q: written %q, read back %v", c.text, text, back)
		}
	}
	for _, text := range []string{"45", "360.001 deg", "-361 deg", "north deg", "NaN deg", "deg", "45 rad",
		"0.00000000000000000000000000000000000001 deg"} {
		var got Bearing
		if err := got.UnmarshalText([]byte(text)); !errors.Is(err, ErrBearing) || !got.IsZero() {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	if got := Degrees(45.5).String(); got != "45.5 deg" {
		t.Error(got)
	}
}
