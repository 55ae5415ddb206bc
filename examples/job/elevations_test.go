package job

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// TestOutletRow: the elevations begin with the outlet, at its own invert and size, in
// whatever order the points are listed. The run that ends there 3 in higher is 3 in pipe.
func TestOutletRow(t *testing.T) {
	const head = `{"job": {"name": "Yard", "code": "ipc-2021"}, "drainage": {"finished_floor": "100 ft", "slab": "4 in", "systems": [
{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "94 ft", "size": "4 in"}, "points": [`
	const lower = `{"id": "A", "to": "O", "run": {"length": "10 ft", "grade": "1/4 in/ft", "drop": "3 in", "size": "3 in"}}`
	const upper = `{"id": "B", "to": "A", "run": {"length": "10 ft", "grade": "1/4 in/ft", "size": "3 in"}}`
	for _, points := range []string{lower + "," + upper, upper + "," + lower} {
		j, err := Read(fstest.MapFS{"yard.json": {Data: []byte(head + points + "]}]}}")}}, "yard.json", "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := report(context.Background(), j, "", newPrinter(false, false))
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Elevations) != 3 || r.Elevations[0].Point != "O" || r.Elevations[0].Invert != "94.00 ft" || r.Elevations[0].Crown != "94.33 ft" || r.Elevations[0].Size != "4 in" {
			t.Errorf("%+v", r.Elevations)
		}
		// Centre to centre in the 4 in: half an inch over the drop of 3.
		for _, row := range r.Elevations[1:] {
			if want := map[string]Quantity{"A": "94.50 ft", "B": "94.71 ft"}[row.Point]; row.Invert != want {
				t.Errorf("%s lies at %s, want %s", row.Point, row.Invert, want)
			}
		}
	}
}

// TestLevelsByTrench: a main of three lengths with a branch listed after each stays one trench
// in the crew's table, its branches below it; a drop says from where it falls. 10 ft at 1/4 in a
// foot rise 2 1/2 in: A 95'-2 1/2", the pipe into it a foot higher, B 2 1/2 in above that.
func TestLevelsByTrench(t *testing.T) {
	const layout = `{"job": {"name": "Yard", "code": "ipc-2021"}, "drainage": {"finished_floor": "100 ft", "slab": "4 in", "systems": [
{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "95 ft", "size": "4 in"}, "points": [
{"id": "A", "to": "O", "run": {"length": "10 ft", "grade": "1/4 in/ft", "bearing": "90 deg", "size": "4 in"}},
{"id": "A1", "to": "A", "run": {"length": "4 ft", "grade": "1/4 in/ft", "bearing": "180 deg", "size": "4 in"}},
{"id": "B", "to": "A", "run": {"length": "10 ft", "grade": "1/4 in/ft", "bearing": "90 deg", "size": "4 in", "drop": "12 in"}},
{"id": "B1", "to": "B", "run": {"length": "4 ft", "grade": "1/4 in/ft", "bearing": "180 deg", "size": "4 in"}},
{"id": "C", "to": "B", "run": {"length": "10 ft", "grade": "1/4 in/ft", "bearing": "90 deg", "size": "4 in"}}]}]}}`
	j, err := Read(fstest.MapFS{"yard.json": {Data: []byte(layout)}}, "yard.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(false, false))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, row := range r.levelTable(" ft").rows {
		got = append(got, strings.Join([]string{row[0], row[1], row[4], row[len(row)-1]}, "|"))
	}
	want := []string{"outlet|O|95.00|", "O|A|95.21|", "|B|96.42|drops 12 in into A, from 96.21 ft", "|C|96.62|",
		"A|A1|95.29|", "B|B1|96.50|"}
	if !slices.Equal(got, want) {
		t.Errorf("the crew reads\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
