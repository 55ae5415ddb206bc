package supply

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A check whose row an amendment drops asks, by its name and that of the amendment; other
// rows dropped, and rows set, leave it as it is. Under another code nothing is dropped.
func TestDroppedRows(t *testing.T) {
	const velocities = "op,material,service,max_temperature[degF],status\ndrop,any,cold,,\n"
	for _, tc := range []struct {
		rule, table, text, says string
	}{
		{"static-pressure", "ipc-2021/supply-rules", "op,rule,status\ndrop,static-pressure-max,\n", "static-pressure-max"},
		{"static-pressure", "ipc-2021/supply-rules", "op,rule,status\ndrop,service-size-min,\n", ""},
		{"service-size", "ipc-2021/supply-rules", "op,rule,status\ndrop,service-size-min,\n", "service-size-min"},
		{"service-size", "ipc-2021/supply-rules", "op,rule,value,unit,status\nset,service-size-min,1,in,read\n", ""},
		{"water-velocity", "materials/supply-velocity", velocities, "material any"},
		{"static-pressure", "materials/supply-velocity", velocities, ""},
	} {
		d := closets(70, []Point{{ID: "A", From: "main", Length: units.Foot}}, []string{"A"}, nil)
		asked := false
		for _, f := range findingsOf(t, sized(t, amended(t, "ipc-2021", tc.table, tc.text), d), tc.rule) {
			if f.Place == "main" && f.Verdict == tables.Ask && f.SettledBy == tables.Authority {
				asked = true
				if !strings.Contains(f.Reason, tc.says) || tc.says == "" {
					t.Errorf("%s: %v", tc.rule, f)
				}
			}
		}
		if asked != (tc.says != "") {
			t.Errorf("%s with %s: asked %v", tc.rule, tc.text, asked)
		}
	}
}

// What each check rests on is what the list of rules says; rules that speak of the layout
// or of the shelf alone need no row.
func TestRestsOn(t *testing.T) {
	f, err := os.Open("../internal/proof/rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want, got := map[string]string{}, map[string]string{}
	for _, r := range rows {
		if r[0] == "supply" && r[2] != "" {
			want[r[1]] = r[2]
		}
	}
	for _, standing := range []string{"load-row", "demand-row", "bore-row", "stand-in", "demand-first-row", "demand-beyond-table"} {
		delete(want, standing)
	}
	for _, r := range restsOn {
		got[r.rule] = r.rows
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-in the list of rules +here):\n%s", diff)
	}
}
