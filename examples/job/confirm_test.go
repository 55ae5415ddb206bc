package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
)

// TestConfirm: with every row of the checklist confirmed as it stands, no figure is left to
// look up but those that a question merely cites; what was to pass passes, the fall of the
// trap arm at GL1 fails, and the report names who read what.
func TestConfirm(t *testing.T) {
	before := reportOf(t, "", newPrinter(false, false))
	var form bytes.Buffer
	if err := before.WriteChecklist(&form); err != nil {
		t.Fatal(err)
	}
	var list struct{ Confirmed []Confirmation }
	if err := json.Unmarshal(form.Bytes(), &list); err != nil {
		t.Fatal(err)
	}
	all := list.Confirmed
	for i := range all {
		all[i].By, all[i].When = "A. Reader", "2 March"
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	after := confirmedWith(t, string(text))
	for f := range after.made.findings.all() {
		if f.IfConfirmed != 0 && f.SettledBy == tables.Book {
			t.Errorf("%s still waits for the book: %v", f.ID(), f.Citation)
		}
	}
	was, now := &before.Counts, &after.Counts
	if now.Fail < was.Fail+was.FailIfConfirmed || now.Ask > was.Ask-was.PassIfConfirmed-was.FailIfConfirmed {
		t.Errorf("before %+v, after %+v", was, now)
	}
	// What is left is settled in seven goes: the authority is asked about the energy code at
	// five places and about water hammer, the owner about the waits, the designer four things.
	if now.Authority != 6 || now.Owner != 6 || now.Designer != 4 || now.Book != 0 {
		t.Errorf("left open: %+v", now)
	}
	goes := 0
	for _, list := range questionsOf(after.made.findings) {
		goes += len(byRule(list))
	}
	if goes != 7 {
		t.Errorf("%d goes", goes)
	}
	page := printed(t, after, 0)
	front := strings.Join(frontOf(t, page), "\n")
	for _, want := range []string{fmt.Sprintf("%d figures as read in the code book", len(all)), "floor drain unvented reach 25 ft",
		"checked by", "A calculation, not an approval."} {
		if !strings.Contains(front, want) {
			t.Errorf("page one lacks %q:\n%s", want, front)
		}
	}
	page = strings.Join(strings.Fields(page), " ")
	for _, want := range []string{"read by A. Reader, 2 March", "FAIL The fall of the trap arm to its vent at GL1"} {
		if !strings.Contains(page, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}

// confirmedWith is the report on the demonstration with figures confirmed.
func confirmedWith(t *testing.T, list string) *Report {
	t.Helper()
	j, err := Read(hallWith(t, `  "laser": {`, fmt.Sprintf(`  "confirmed": %s,
  "laser": {`, list)), "hall/hall.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestConfirmOther: a figure that differs from the shelf stands in its place, with a
// warning: an arm that may fall two bores does not fail at GL1.
func TestConfirmOther(t *testing.T) {
	r := confirmedWith(t, `[{"row": "ipc-2021/rules: rule trap-arm-max-fall", "value": "2 pipe diameters", "where": "909.2", "by": "A", "when": "today"}]`)
	for f := range r.made.findings.all() {
		if f.Rule == "trap-arm-fall" && f.Place != "WC1" && f.Verdict != tables.Pass {
			t.Errorf("%v", f)
		}
	}
	text := printed(t, r, 0)
	if page := strings.Join(strings.Fields(text), " "); !strings.Contains(page, "WARNING: the tables have 1 pipe diameters") {
		t.Errorf("no warning in %.6000s", page)
	}
	front := strings.Join(strings.Fields(strings.Join(frontOf(t, text), " ")), " ")
	if !strings.Contains(front, "WARNING: 1 of another value than the tables: trap arm max fall 2 pipe diameters (tables: 1 pipe diameters)") {
		t.Errorf("no warning on page one: %s", front)
	}
	for _, row := range []string{"ipc-2021/rules: rule no-such", "ipc-2021/none: x", "none", `ipc-2021/trap-arm: size 2 in`} {
		_, err := Read(hallWith(t, `  "laser": {`, fmt.Sprintf(`  "confirmed": [{"row": %q, "value": "9", "where": "x", "by": "x", "when": "x"}],
  "laser": {`, row)), "hall/hall.json", "")
		if err == nil || !strings.Contains(err.Error(), "confirmed") || !strings.Contains(err.Error(), "hall.json:") {
			t.Errorf("%s: %v", row, err)
		}
	}
}

// TestConfirmPlainNumbers: a number without a unit stands bare in the checklist, and is read as lists
// had it before, with a 1 behind it. That a closet is on no DN 80 in system I then fails.
func TestConfirmPlainNumbers(t *testing.T) {
	const layout = `{"job": {"name": "hut", "code": "en12056-2"}, %s "drainage": {"finished_floor": "30 m", "slab": "150 mm",
		"european": {"system": "I", "usage": "intermittent"}, "systems": [{"id": "s", "kind": "soil",
		"outlet": {"id": "MH", "kind": "sewer", "invert": "28.9 m", "size": "DN 100"}, "points": [
		{"id": "D", "to": "MH", "run": {"length": "6 m", "grade": "2 %%", "size": "DN 100"}},
		{"id": "W", "to": "D", "run": {"length": "2 m", "grade": "2 %%", "size": "DN 80"},
		 "fixture": {"fixture": "water-closet", "use": "private", "control": "tank", "flush": "6 L"}}]}]}}`
	judge := func(confirmed string) *Report {
		t.Helper()
		name := "hut.json"
		j, err := Read(fstest.MapFS{name: {Data: fmt.Appendf(nil, layout, confirmed)}}, name, "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Report("", Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	var form bytes.Buffer
	if err := judge("").WriteChecklist(&form); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(form.String(), `"value": "size 90 mm, most_closets 2",`) {
		t.Errorf("checklist\n%s", form.String())
	}
	for _, value := range []string{"size 90 mm, most_closets 2", "size 90 mm, most_closets 2 1"} {
		r := judge(`"confirmed": [{"row": "en12056-2/branch-unventilated: system I, max flow 2.25 L/s", "value": "` + value +
			`", "where": "Table 4", "by": "A. Reader", "when": "2 March"}],`)
		if f := r.Findings.Fail(); len(f) != 1 || f[0].Place != "W" || f[0].Rule != "drain-size" {
			t.Errorf("%s: %+v", value, f)
		}
	}
}
