package job

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// bareShed is a job of one lavatory, without vents, cleanouts or water.
const bareShed = `{"job": {"name": "Shed", "code": "ipc-2021"%s}, "drainage": {"finished_floor": "100 ft", "slab": "4 in", "systems": [
{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "97 ft", "size": "4 in"}, "points": [
{"id": "A", "to": "O", "run": {"length": "9 ft", "grade": "1/4 in/ft", "size": "2 in"}%s}]}]}}`

// TestEmptyLists: a part of the report that has nothing in it is a list all the same,
// and no part is null.
func TestEmptyLists(t *testing.T) {
	for _, fixture := range []string{"", `, "fixture": {"fixture": "lavatory", "use": "public"}`} {
		var out bytes.Buffer
		j, err := Read(fstest.MapFS{"shed.json": {Data: fmt.Appendf(nil, bareShed, "", fixture)}}, "shed.json", "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := report(context.Background(), j, "upc-2021", newPrinter(false, true))
		if err != nil {
			t.Fatal(err)
		}
		if err := r.WriteJSON(&out); err != nil {
			t.Fatal(err)
		}
		if at := strings.Index(out.String(), "null"); at >= 0 {
			t.Errorf("null in the report: %s", out.String()[max(0, at-200):at+4])
		}
		var got struct {
			Fixtures, Vents, Cleanouts []any
			Job                        struct{ Amendments []any }
			Materials                  struct{ Joints []any }
			Findings                   struct{ Fail, Ask, Pass []any }
		}
		if err := json.Unmarshal(out.Bytes(), &got); err != nil || got.Vents == nil || got.Cleanouts == nil || got.Fixtures == nil || got.Job.Amendments == nil {
			t.Errorf("%v, %+v", err, got)
		}
	}
}

// TestAmendmentNamed: the header names an amendment that only drops rows, with what it
// drops, and what it sets beside what was; one that amends another code is not named.
func TestAmendmentNamed(t *testing.T) {
	const head = "op,rule,value,unit,section,status\n"
	for rules, want := range map[string]string{
		"": "",
		"drop,cleanout-spacing,,,,\ndrop,trap-seal-max,,,,\n":                               "Town bylaw 9: drops cleanout spacing (was 100 ft), trap seal max (was 4 in)",
		"set,cleanout-spacing,90,ft,,read\ndrop,trap-seal-max,,,,\nadd,zebra,yes,,3,read\n": "Town bylaw 9: sets cleanout spacing 90 ft (was 100 ft); adds zebra yes; drops trap seal max (was 4 in)",
	} {
		fsys := fstest.MapFS{
			"shed.json":               {Data: fmt.Appendf(nil, bareShed, `, "amendments": ["town"]`, "")},
			"town/sources.csv":        {Data: []byte("id,title,publisher,edition,year,url,note\nt,Town bylaw 9,,,,,\n")},
			"town/ipc-2021/rules.csv": {Data: []byte("# id: ipc-2021/rules\n# source: t\n" + head + rules)},
			"town/upc-2021/rules.csv": {Data: []byte("# id: upc-2021/rules\n# source: t\n" + head + "drop,below-ground-min-size,,,,\n")},
		}
		if rules == "" {
			delete(fsys, "town/ipc-2021/rules.csv")
		}
		j, err := Read(fsys, "shed.json", "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := report(context.Background(), j, "", newPrinter(false, false))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(r.Job.Amendments, " | "); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

// TestOwnLimitNamed: a fail by a limit of the job says which, with its figure; here the
// pipe keeps 28 in where the job asks for 36.
func TestOwnLimitNamed(t *testing.T) {
	text := strings.Replace(fmt.Sprintf(bareShed, "", ""), `"slab": "4 in"`, `"slab": "4 in", "minimum_cover": "36 in"`, 1)
	j, err := Read(fstest.MapFS{"shed.json": {Data: []byte(text)}}, "shed.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(false, false))
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, f := range r.Findings.Fail() {
		found = found || f.Rule == "drain-cover" && f.Source == "the job's own limit (minimum_cover 36 in)"
		if f.Source == "" {
			t.Errorf("fails by nothing: %+v", f)
		}
	}
	if !found {
		t.Errorf("the cover is not found: %+v", r.Findings.Fail())
	}
}
