package drains

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

// TestDroppedRows: a town that drops a row is named by each check that rests on it, at
// the job, whatever else the check finds; a row that another amendment puts back is not.
func TestDroppedRows(t *testing.T) {
	asked := func(c *dwv.Code) (out []string) {
		for _, f := range checkAllWays(t, mustLayout(t, "workshop.json"), c, CheckOptions{}) {
			if strings.Contains(f.Reason, "drops the row") {
				out = append(out, f.Verdict.String()+" "+f.Rule+" at "+f.Place+": "+f.Reason)
			}
		}
		return out
	}
	const end = ", on which this check rests: it goes by the rows that are left, and judges nothing where there are none"
	got := asked(amendedCode(t, "ipc-2021", "drop,cleanout-spacing,,,,,\ndrop,cleanout-turn-single,,,,,\ndrop,size-reduction,,,,,\n"))
	want := []string{
		"ask size-reduction at Workshop: Ordinance of the town (2024) drops the row rule size-reduction" + end,
		"ask outlet-size at Workshop: Ordinance of the town (2024) drops the row rule size-reduction" + end,
		"ask cleanout-spacing at Workshop: Ordinance of the town (2024) drops the row rule cleanout-spacing" + end,
		"ask cleanout-turn at Workshop: Ordinance of the town (2024) drops the row rule cleanout-turn-single" + end,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	county := fstest.MapFS{
		"sources.csv":                {Data: []byte("id,title,publisher,edition,year,url,note\ncounty,Ordinance of the county,,,2024,,\n")},
		"ipc-2021/trap-arm.csv":      {Data: []byte("# id: ipc-2021/trap-arm\n# source: county\nop,size[in],status\ndrop,2,\n")},
		"ipc-2021/cleanout-size.csv": {Data: []byte("# id: ipc-2021/cleanout-size\n# source: county\nop,size[in],status\ndrop,2,\n")},
	}
	shelf, err := tables.Embedded().With(county)
	if err != nil {
		t.Fatal(err)
	}
	back, err := shelf.With(fstest.MapFS{
		"sources.csv":           {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"ipc-2021/trap-arm.csv": {Data: []byte("# id: ipc-2021/trap-arm\n# source: town\nop,size[in],max_length[ft],status\nadd,2,8,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	for shelf, want := range map[*tables.Shelf]string{shelf: "trap-vented trap-arm-length trap-arm-min-length trap-arm-grade cleanout-size", back: "cleanout-size"} {
		code, err := dwv.LoadCode(shelf, "ipc-2021")
		if err != nil {
			t.Fatal(err)
		}
		var rules []string
		for _, f := range asked(code) {
			rules = append(rules, strings.Fields(f)[1])
		}
		if strings.Join(rules, " ") != want {
			t.Errorf("%q, want %q", rules, want)
		}
	}
}

// TestRestsOn holds the list to the one from which the account of the rules is made.
func TestRestsOn(t *testing.T) {
	f, err := os.Open("../../internal/proof/rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	for _, r := range rows {
		if r[0] == "dwv" && r[2] != "" {
			want = append(want, r[1]+": "+r[2])
		}
	}
	for _, r := range restsOn {
		got = append(got, r.rule+": "+r.rows)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-in the list of rules +here):\n%s", diff)
	}
}
