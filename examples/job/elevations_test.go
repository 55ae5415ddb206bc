package job

import (
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
		r, err := report(j, "", newPrinter(false, false))
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
