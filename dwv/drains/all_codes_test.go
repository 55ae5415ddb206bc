package drains

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestNothingRefused: under every code of the shelf, whatever it rates and however large
// its tables are, a layout that was read is sized, levelled, judged, tested and taken off.
// What a code cannot say of one place is a finding there.
func TestNothingRefused(t *testing.T) {
	ids, err := tables.Embedded().IDs()
	if err != nil {
		t.Fatal(err)
	}
	kinds := []string{"water-closet", "lavatory", "sink", "samovar", "bidet", "standpipe", "floor-drain", "bathroom-group", "urinal"}
	for _, id := range ids {
		set, isCode := strings.CutSuffix(id, "/fixtures")
		if !isCode {
			continue
		}
		code, err := dwv.LoadCode(tables.Embedded(), set)
		if err != nil {
			continue // a few tables, and no code
		}
		for seed := range uint64(12) {
			r := rand.New(rand.NewPCG(seed, 41))
			l := randomLayout(r, 5+r.IntN(30))
			for s := range l.Systems {
				for p := range l.Systems[s].Points {
					pt := &l.Systems[s].Points[p]
					switch r.IntN(6) {
					case 0:
						pt.Fixture = &dwv.Fixture{Kind: kinds[r.IntN(len(kinds))], Count: 1 + r.IntN(3)}
					case 1:
						pt.Reserved = dwv.FixtureUnits(r.IntN(9000)) * dwv.FixtureUnit
					case 2:
						pt.Continuous = units.Flow(r.IntN(50)) * units.USGallonPerMinute
					case 3:
						pt.Run.Size = units.Length(r.IntN(200)) * units.Millimetre
					}
					if !pt.Run.Vertical && r.IntN(3) == 0 {
						pt.Run.Grade = slope.OneIn(int64(1 + r.IntN(2000)))
					}
				}
			}
			s, err := sizeOf(l, code)
			if err != nil {
				t.Fatalf("%s, seed %d: size: %v", set, seed, err)
			}
			lv := s.Levels()
			if _, err := s.Check(CheckOptions{}); err != nil {
				t.Errorf("%s, seed %d: check: %v", set, seed, err)
			}
			if _, err := s.TestPlans(TestOptions{Head: ft}); err != nil {
				t.Errorf("%s, seed %d: test: %v", set, seed, err)
			}
			if _, err := s.TakeOff(TakeOffOptions{Stick: 10 * ft, WastePercent: 5, Initial: 6 * in}); err != nil {
				t.Errorf("%s, seed %d: take-off: %v", set, seed, err)
			}
			for i := range s.Len() {
				s.At(i)
				lv.At(i)
			}
		}
	}
}
