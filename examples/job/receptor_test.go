package job

import (
	"context"
	"fmt"
	"testing"
	"testing/fstest"
)

// TestReceptorRow: a standpipe that two washers drain into counts for them, 2 dfu each
// (IPC 2021 Table 709.1), where its own 2 in trap would count 3; and one that takes a
// washer alone counts its trap. What the row shows is what the drain carries.
func TestReceptorRow(t *testing.T) {
	for washers, want := range map[int][2]string{1: {"3 dfu", "takes 1 clothes washer"}, 2: {"4 dfu", "takes 2 clothes washers"}} {
		point := fmt.Sprintf(`, "fixture": {"fixture": "standpipe", "size": "2 in"}, "receptor": {"standpipe": "24 in", "indirect": [{"fixture": "clothes-washer", "use": "private", "count": %d}]}`, washers)
		j, err := Read(fstest.MapFS{"shed.json": {Data: fmt.Appendf(nil, bareShed, "", point)}}, "shed.json", "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := report(context.Background(), j, "", newPrinter(false, false))
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Fixtures) != 1 || string(r.Fixtures[0].Load) != want[0] || r.Fixtures[0].Detail != want[1] || string(r.Drains[0].Load) != want[0] {
			t.Errorf("%d washers: %+v on %s", washers, r.Fixtures, r.Drains[0].Load)
		}
	}
}
