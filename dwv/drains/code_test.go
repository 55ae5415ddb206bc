package drains

import (
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

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
						pt.Fixture = &tables.Fixture{Kind: kinds[r.IntN(len(kinds))], Count: 1 + r.IntN(3)}
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

// TestAmendedPipe: a town's pipe acts in a code loaded from its shelf, in a check that is
// told of nothing else. The workshop's floor drain of 3 in keeps 19.716 in under the slab
// with the pipe of the shelf, 3.068 in of bore and a wall of 0.216 in. With a bore of
// 3.168 in in the same outside the wall is 0.166 in: the top comes 0.05 in higher.
func TestAmendedPipe(t *testing.T) {
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"pipes/pvc-dwv.csv": {Data: []byte("# id: pipes/pvc-dwv\n# source: town\nop,size[in],id_rule,id[in],src,status\n" +
			"set,3,minimum-wall,3.168,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	code, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		code *dwv.Code
		want string
	}{
		{mustCode(t, "ipc-2021"), `1'-9.716"`},
		{code, `1'-9.666"`},
	} {
		l := mustLayout(t, "workshop.json")
		found := mustCheck(t, l, tt.code)
		for _, f := range found {
			if f.Rule == "gravity-depth" && f.Place == "soil" && f.Value.String() != tt.want {
				t.Errorf("%v keeps %v, want %s", f.Place, f.Value, tt.want)
			}
		}
	}
}
