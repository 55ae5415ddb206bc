package job

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// The shed of the guide with its points in a table, as a spreadsheet gives them: plain
// numbers with the unit in the head, yes for true, a mark of the byte order in front.
const (
	shedOfTable = `{"job": {"name": "Shed", "code": "ipc-2021"}, "point_files": [{"system": "soil", "file": "soil.csv"}],
 "drainage": {"finished_floor": "100 ft", "slab": "4 in", "defaults": {"grade": "1/4 in/ft", "material": "pvc-dwv", "use": "private", "on_plan": true},
  "systems": [{"id": "soil", "kind": "soil", "outlet": {"id": "OUT", "kind": "sewer", "invert": "97 ft", "size": "4 in", "at": {"x": "10 ft", "y": "0 ft"}}}],
  "vents": [{"id": "V1", "kind": "individual", "from": "L1", "terminal": {"above_roof": "12 in"}, "runs": [{"length": "12 ft", "direction": "up"}]}]}}`
	shedTable = "\ufeffid,to,x[ft],y[ft],fixture,length,vertical,above_floor,stub_up[in],trap.arm,cleanout,Cleanout.two way,through wall,size\n" +
		"A,OUT,0,0,,,,,,,4 in,yes,yes,4 in\n" +
		"# the lavatory\n" +
		"L1,A,0,0,lavatory,3 ft,yes,true,18,2 ft,,,,\n"
	shedInFile = `"points": [
   {"id": "A", "to": "OUT", "at": {"x": "0 ft", "y": "0 ft"}, "through_wall": true, "cleanout": {"size": "4 in", "two_way": true}, "run": {"size": "4 in"}},
   {"id": "L1", "to": "A", "at": {"x": "0 ft", "y": "0 ft"}, "fixture": {"fixture": "lavatory"}, "above_floor": true, "stub_up": "18 in", "trap": {"arm": "2 ft"},
    "run": {"length": "3 ft", "vertical": true}}]`
)

func readShed(job, table string) (*Job, error) {
	return Read(fstest.MapFS{"shed.json": {Data: []byte(job)}, "soil.csv": {Data: []byte(table)}}, "shed.json", "")
}

// TestPointTable: points from a table are those that the file would hold, whether the file
// has some itself, and whether the table is of commas or semicolons.
func TestPointTable(t *testing.T) {
	want, err := readShed(strings.Replace(strings.Replace(shedOfTable,
		`"point_files": [{"system": "soil", "file": "soil.csv"}],`, "", 1),
		`"y": "0 ft"}}}]`, `"y": "0 ft"}}, `+shedInFile+`}]`, 1), "")
	if err != nil {
		t.Fatal(err)
	}
	partly := strings.Replace(shedOfTable, `"y": "0 ft"}}}]`,
		`"y": "0 ft"}}, `+shedInFile[:strings.Index(shedInFile, ",\n   {\"id\": \"L1\"")]+`]}]`, 1)
	for name, c := range map[string][2]string{
		"all":        {shedOfTable, shedTable},
		"semicolons": {shedOfTable, strings.ReplaceAll(shedTable, ",", ";")},
		"some":       {partly, strings.Replace(shedTable, "A,OUT,0,0,,,,,,,4 in,yes,yes,4 in\n", "", 1)},
		"none here":  {strings.Replace(shedOfTable, `"y": "0 ft"}}}]`, `"y": "0 ft"}}, "points": []}]`, 1), shedTable},
	} {
		got, err := readShed(c[0], c[1])
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(want.drains.Data(), got.drains.Data(),
			cmp.Comparer(func(a, b interface{ Degrees() float64 }) bool { return a == b })); diff != "" {
			t.Errorf("%s (-file +table):\n%s", name, diff)
		}
	}
	j, err := readShed(shedOfTable, shedTable)
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.File.Tables) != 1 || !strings.Contains(strings.Join(frontOf(t, printed(t, r, 0)), "\n"),
		r.File.Tables[0].SHA256) {
		t.Errorf("page one does not name the table: %+v", r.File)
	}
}

// TestPointTableFaults: what is wrong in a table is told with the table, its line and what is
// accepted; what is wrong in the file after it keeps its place.
func TestPointTableFaults(t *testing.T) {
	for _, c := range []struct{ in, old, new, want string }{
		{"table", "lavatory,", "lavatry,", `soil.csv:4: point "L1": fixture.fixture: `},
		{"table", "lavatory,", "lavatry,", `did you mean "lavatory"?`},
		{"table", "L1,A,", "L1,B,", `soil.csv:4: point "L1": to: no point or outlet "B"`},
		{"table", "L1,A,", "A,A,", `soil.csv:4: point "A"`},
		{"table", ",3 ft,", ",3,", `soil.csv:4: point "L1": length: `},
		{"table", "yes,true,", "maybe,true,", `soil.csv:4: point "L1": run.vertical: "maybe" where yes or no is needed`},
		{"table", "id,to,", "id,too,", `soil.csv:1:`},
		{"table", "y[ft],fixture", "y[ft],fixtrue", `column "fixtrue": not a field of a point; did you mean "fixture"? write one of above_floor`},
		{"table", "trap.arm", "receptor.indirect", `holds several fields`},
		{"table", "trap.arm", "receptor", `holds several fields`},
		{"table", "stub_up[in]", "run.length", `column "run.length": given twice`},
		{"table", "L1,A,", "L1,A,9,", `soil.csv: record on line 4: wrong number of fields`},
		{"table", shedTable, "", `"soil.csv": empty: a head of columns is needed`},
		{"file", `"soil.csv"`, `"clay.csv"`, `shed.json:1:62: layout file: point_files: "clay.csv": no such file beside the layout file`},
		{"file", `"soil.csv"`, `"../soil.csv"`, `shed.json:1:62: layout file: point_files: "../soil.csv": `},
		{"file", `{"system": "soil"`, `{"system": "soul"`, `no system "soul": did you mean "soil"? there is soil`},
		{"file", `"from": "L1"`, `"from": "L2"`, `shed.json:4:`},
		{"file", `"size": "4 in", "at"`, `"sise": "4 in", "at"`, `shed.json:3:106: system "soil": outlet: sise`},
		{"file", `"size": "4 in", "at"`, `"size": "4 inn", "at"`, `shed.json:3:`},
	} {
		job, table := shedOfTable, shedTable
		if c.in == "file" {
			job = strings.Replace(job, c.old, c.new, 1)
		} else {
			table = strings.Replace(table, c.old, c.new, 1)
		}
		if _, err := readShed(job, table); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: no %s in: %v", c.new, c.want, err)
		}
	}
}
