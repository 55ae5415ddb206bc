package drains

import (
	"fmt"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
)

// tower is a stack of so many stories of 9 ft, with a lavatory on each: as many branch
// intervals. Its runs are T1 at the foot, T2 above it and so on; D is the drain.
func tower(stories int) *Data {
	quarter := slope.PerFoot(in / 4)
	sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "SO", Kind: ToSewer, Invert: 90 * ft, Size: 4 * in}}
	sys.Points = append(sys.Points, Point{ID: "D", To: "SO", Run: Run{Length: 10 * ft, Grade: quarter, Size: 4 * in, Material: "pvc-dwv"}})
	to := "D"
	l := &Data{FinishedFloor: 100 * ft}
	for k := 1; k <= stories; k++ {
		id := fmt.Sprintf("T%d", k)
		sys.Points = append(sys.Points,
			Point{ID: id, To: to, Run: Run{Length: 9 * ft, Vertical: true, Size: 4 * in, Material: "pvc-dwv"}},
			Point{ID: "L" + id, To: id, Run: Run{Length: 2 * ft, Grade: quarter, Size: 2 * in, Material: "pvc-dwv"}, Fixture: &dwv.Fixture{Kind: "lavatory", Count: 1, Use: dwv.Public}})
		to = id
	}
	l.Systems = []System{sys}
	return l
}

// IPC 2021 904.2 and 908.1: from five branch intervals on a vent stack, in stacks of
// more than ten a relief vent at every tenth.
func TestStackVents(t *testing.T) {
	code := amendedCode(t, "ipc-2021", "set,branch-interval-height,8,ft,1,town,read\nset,vent-stack-intervals,5,count,2,town,read\n")
	add := func(l *Data, kind VentKind, from ...string) {
		for _, f := range from {
			l.Vents = append(l.Vents, Vent{ID: "V" + f, Kind: kind, From: f, Runs: []VentRun{{Length: 9 * ft, Direction: VentUp}}, Terminal: &Terminal{AboveRoof: ft}})
		}
	}
	tests := []struct {
		name    string
		stories int
		edit    func(l *Data)
		want    string
	}{
		{"four", 4, func(*Data) {}, "none of vent-stack-needed"},
		{"five", 5, func(*Data) {}, "fail|vent-stack-needed|T1|0|1|-1"},
		{"a vent stack from the foot", 5, func(l *Data) { add(l, VentStack, "T1") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a vent stack from higher up", 5, func(l *Data) { add(l, VentStack, "T2") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a vent stack from the drain", 5, func(l *Data) { add(l, VentStack, "D") }, "pass|vent-stack-needed|T1|1|1|0"},
		{"a stack vent is none", 5, func(l *Data) { add(l, VentStackVent, "T5") }, "fail|vent-stack-needed|T1|0|1|-1"},
		{"the foot alone is told", 11, func(*Data) {}, "nothing of vent-stack-needed at T2"},
		{"on the outlet itself", 5, func(l *Data) {
			pt(l, "T1").To = "SO"
			l.Systems[0].Points = l.Systems[0].Points[1:]
		}, "fail|vent-stack-needed|T1|0|1|-1"},
		{"ten", 10, func(l *Data) { add(l, VentStack, "T1") }, "nothing of stack-relief at T1"},
		{"eleven", 11, func(l *Data) { add(l, VentStack, "T1") }, "fail|stack-relief|T1|0|1|-1"},
		{"eleven, relieved", 11, func(l *Data) { add(l, VentRelief, "T2") }, "pass|stack-relief|T1|1|1|0"},
		{"twenty", 20, func(l *Data) { add(l, VentRelief, "T12") }, "pass|stack-relief|T1|1|1|0"},
		{"twenty-one", 21, func(l *Data) { add(l, VentRelief, "T12") }, "fail|stack-relief|T1|1|2|-1"},
		{"twenty-one, relieved twice", 21, func(l *Data) { add(l, VentRelief, "T2", "T12") }, "pass|stack-relief|T1|2|2|0"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := tower(tt.stories)
			tt.edit(l)
			wantFinding(t, checkAllWays(t, mustBuild(t, l), code, CheckOptions{}), tt.want)
		})
	}
	// A town that asks for relief at every no interval asks for none.
	never := amendedCode(t, "ipc-2021", "set,stack-relief-intervals,0,count,1,town,read\n")
	wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), never), "nothing of stack-relief at T1")
	// The height of a branch interval is recalled, so both are questions.
	wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), mustCode(t, "ipc-2021")), "ask|stack-relief|T1|0|1|-1")
	wantFinding(t, mustCheck(t, mustBuild(t, tower(11)), mustCode(t, "upc-2021")), "none of vent-stack-needed")
}
