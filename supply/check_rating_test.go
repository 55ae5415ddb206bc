package supply

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Were the ratings read, they would pass and fail: SDR 9 stands 160 psi at 73.4 degF and
// 100 at 180, so 130 half way between; at 200 degF it ends. PVC carries no hot water.
// While they are from memory a pass is no finding and a fail is a question.
func TestPipeRatings(t *testing.T) {
	firm := edges.FirmShelf(t, nil, "ipc-2021", "materials", "pipes", "hunter", "devices", "illinois-890")
	read, err := LoadCode(firm, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	const half = (73.4 + 180) / 2
	record := edges.ReadRecord(t, "../internal/proof/rules.csv", "supply")
	for _, tc := range []struct {
		pipe       string
		degF, psi  float64
		verdict    tables.Verdict
		asks, says string
	}{
		{"pex-sdr9", 73.4, 160, tables.Pass, "", ""},
		{"pex-sdr9", 73.4, 160.001, tables.Fail, "H", "psi"},
		{"pex-sdr9", 50, 160, tables.Pass, "", ""},
		{"pex-sdr9", half, 130, tables.Pass, "", ""},
		{"pex-sdr9", half, 130.001, tables.Fail, "H", "psi"},
		{"pex-sdr9", 200, 80, tables.Pass, "", ""},
		{"pex-sdr9", 200.01, 40, tables.Fail, "H", "not rated for water as hot"},
		{"pvc-40", 100, 40, tables.Fail, "H", "not listed for hot water"},
		{"ppr-s3-2", 140, 115, tables.Pass, "", ""},
		{"ppr-s3-2", 140, 117, tables.Fail, "H", "PP-R"}, // 8 bar at 60 degC: 116.03 psi
		{"copper-l", 200, 160, 0, "", ""},
	} {
		d := closets(tc.psi, []Point{{ID: "C", From: "main", Length: units.Foot, Pipe: "copper-l"},
			{ID: "WH", From: "C", Length: units.Foot, Pipe: "copper-l", Device: &Device{Kind: "storage-heater", NoLoss: true}},
			{ID: "H", From: "WH", Length: units.Foot, Pipe: tc.pipe}}, nil, nil)
		d.Water.Hot = units.Fahrenheit(tc.degF)
		d.Fixtures = []LayoutFixture{{ID: "LV", Fixture: Fixture{Kind: "lavatory", Count: 1, Use: Private}, Cold: "C", Hot: "H"}}
		got := findingsOf(t, sized(t, read, d), "pipe-rating")
		switch {
		case tc.verdict == 0 && len(got) == 0:
		case len(got) != 1 || got[0].Verdict != tc.verdict || got[0].Place != "H" || !strings.Contains(got[0].String(), tc.says):
			t.Errorf("%+v: %v", tc, got)
		case !record.Holds("pipe-rating", got[0].Citation):
			t.Errorf("rests on %v, which internal/proof/rules.csv does not name", got[0].Citation)
		}
		recalled := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), d), "pipe-rating")
		if len(recalled) != len(tc.asks) || len(recalled) == 1 && (recalled[0].Verdict != tables.Ask || recalled[0].IfConfirmed != tables.Fail) {
			t.Errorf("from memory: %+v: %v", tc, recalled)
		}
	}
}

// Two valves make 70 units by the ladder: the curve for valves and that of tanks are
// told, and which size would do by the second. One alone draws its own flow, and under
// a code with ten units for each there is no ladder.
func TestLadderCurve(t *testing.T) {
	at := []Point{{ID: "A", From: "main", Length: units.Foot}, {ID: "B", From: "A", Length: units.Foot}}
	for _, tc := range []struct {
		code   string
		valves []string
		says   string
	}{
		{"upc-2021", []string{"B"}, ""},
		{"upc-2021", []string{"A", "B"}, "2 flush valves, loaded by the code's ladder (610.10 and Table 610.3) at 70 wsfu in all"},
		{"ipc-2021", []string{"A", "B"}, ""},
	} {
		got := findingsOf(t, sized(t, mustCode(t, tc.code), closets(80, at, tc.valves, nil)), "ladder-curve")
		switch {
		case tc.says == "" && len(got) == 0:
		case len(got) != 1 || got[0].Verdict != tables.Ask || got[0].SettledBy != tables.Book || got[0].Place != "A" || !strings.Contains(got[0].Reason, tc.says):
			t.Errorf("%s, %d valves: %v", tc.code, len(tc.valves), got)
		}
	}
}
