package job

import (
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/plan"
)

// TestLay: a beam set to the hundredths of a percent that its dial has is followed; one that
// is plainly off, or rises, is not, and a level one has no direction to lie along or across.
func TestLay(t *testing.T) {
	east := plan.Degrees(90)
	for _, tt := range []struct {
		beam, pipe string
		toward     float64
		want       string
	}{
		{"1/4 in/ft", "1/4 in/ft", 90, "with the beam"},
		{"2.08 %", "1/4 in/ft", 90, "with the beam"},
		{"2.09 %", "1/4 in/ft", 90, "beam falls 2.09 %, more than the pipe: do NOT follow it"},
		{"2 %", "1/4 in/ft", 90, "beam falls only 2.00 %: do NOT follow it"},
		{"2.08 %", "1/4 in/ft", 270, "AGAINST the beam"},
		{"2 %", "1/4 in/ft", 0, "across the beam"},
		{"0 %", "1/4 in/ft", 90, "the beam is level"},
		{"0 %", "1/4 in/ft", 0, "the beam is level"},
	} {
		way := heading{east, slope.MustParse(tt.pipe)}
		got, err := follow(slope.Plane{Ahead: slope.MustParse(tt.beam)}, plan.Degrees(tt.toward), way, printer{})
		if err != nil || got.row.Lay != tt.want {
			t.Errorf("beam of %s toward %v deg, pipe of %s toward 90 deg: %q, %v; want %q", tt.beam, tt.toward, tt.pipe,
				got.row.Lay, err, tt.want)
		}
	}
}
