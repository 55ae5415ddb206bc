package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// slipJob is a job of one lavatory, drawn right.
const slipJob = `{"job": {"name": "Shed", "code": "ipc-2021"},
 "drainage": {"finished_floor": "100 ft", "slab": "4 in", "systems": [
  {"id": "soil", "kind": "soil", "outlet": {"id": "OUT", "kind": "sewer", "invert": "97 ft", "size": "4 in", "at": {"x": "10 ft", "y": "0 ft"}}, "points": [
   {"id": "S-1", "to": "OUT", "at": {"x": "0 ft", "y": "0 ft"}, "run": {"length": "10 ft", "grade": "1/4 in/ft", "size": "4 in", "material": "pvc-dwv", "bearing": "90 deg"}},
   {"id": "L1", "to": "S-1", "at": {"x": "0 ft", "y": "5 ft"}, "fixture": {"fixture": "lavatory", "use": "private"},
    "trap": {"arm": "2 ft", "fall": "1/2 in"}, "run": {"length": "5 ft", "grade": "1/4 in/ft", "size": "2 in", "material": "pvc-dwv", "bearing": "180 deg"}}]}]},
 "water": {"source": {"id": "street", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "pex-sdr9"},
  "points": [{"id": "C-1", "from": "street", "length": "30 ft"}, {"id": "C2", "from": "C-1", "length": "3 ft"}],
  "fixtures": [{"id": "L1", "fixture": "lavatory", "use": "private", "cold": "C2"}]}}`

type slip struct{ name, old, new, hint string }

// slips are what is written wrong most often, each with the hint that the message, or the
// question in the report, must give.
var slips = []slip{
	{"feet for inches, a size", `"size": "2 in"`, `"size": "2 ft"`, `Its size is 24 in; 2 in may be meant.`},
	{"feet for inches, the slab", `"slab": "4 in"`, `"slab": "4 ft"`, `The slab is 4'-0" thick; 4 in may be meant.`},
	{"feet for inches, a trap seal", `"arm": "2 ft"`, `"seal": "2 ft", "arm": "2 ft"`, `The trap seal is 24 in deep.`},
	{"feet for inches, a stub", `{"id": "L1", "to"`, `{"id": "L1", "stub_up": "18 ft", "to"`,
		`The stub stands 18'-0" above the floor.`},
	{"inches per foot for a percentage", `"grade": "1/4 in/ft", "size": "2 in"`, `"grade": "2 in/ft", "size": "2 in"`,
		`Write a percentage with its sign, as 2 %, if that is meant.`},
	{"two letters swapped", `"to": "OUT"`, `"to": "OTU"`, `no point or outlet "OTU"; did you mean "OUT"?`},
	{"a name of the trade", `"fixture": "lavatory", "use": "private"},`, `"fixture": "toilet", "use": "private"},`,
		`did you mean "water-closet"?`},
	{"inches for feet, a length", `"length": "5 ft"`, `"length": "5 in"`,
		`It seems that feet are meant where it says inches.`},
	{"feet for inches, a trap arm", `"arm": "2 ft"`, `"arm": "24 ft"`, `Give the arm in inches, if they are meant.`},
	{"a bearing off by 180", `"bearing": "180 deg"`, `"bearing": "0 deg"`,
		`It points back: a bearing is the direction in which the run flows.`},
	{"a decimal for a grade", `"grade": "1/4 in/ft", "size": "2 in"`, `"grade": ".25", "size": "2 in"`,
		`write 1/4 in/ft, 2 %`},
	{"an id without its hyphen", `"to": "S-1"`, `"to": "S1"`, `no point or outlet "S1"; did you mean "S-1"?`},
	{"an id with a blank, of water", `"from": "C-1"`, `"from": "C 1"`, `no point or source "C 1"; did you mean "C-1"?`},
	{"two ids that differ by a hyphen", `{"id": "L1", "to"`,
		`{"id": "S1", "to": "S-1", "run": {"length": "1 ft", "grade": "2 %"}},{"id": "L1", "to"`,
		`S-1 and S1 differ by case, blanks or hyphens alone.`},
	{"one fixture under two ids", `{"id": "L1", "fixture"`, `{"id": "L-1", "fixture"`,
		`name fixtures nearly alike: L1 and L-1.`},
	{"a run drawn twice", `{"id": "L1", "to"`, `{"id": "X", "to": "OUT", "at": {"x": "0 ft", "y": "0 ft"}, "run": {"length": "10 ft", "grade": "1/4 in/ft", "bearing": "90 deg"}},{"id": "L1", "to"`,
		`S-1 and X lie at one place and both drain to OUT; a run may be drawn twice.`},
	{"a depth for an elevation", `"invert": "97 ft"`, `"invert": "3 ft"`,
		`its invert may be a depth, where an elevation is asked for`},
	{"an everyday name", `"fixture": "lavatory", "use": "private"},`, `"fixture": "wash basin", "use": "private"},`,
		`did you mean "lavatory"?`},
	{"kPa for psi", `"pressure": "60 psi"`, `"pressure": "414 psi"`, `Write kPa (or mbar), if they are meant.`},
	{"no unit", `"length": "5 ft"`, `"length": "5"`, `a unit is missing: write ft, in, mm or m`},
}

// metricJob is the same in metres.
const metricJob = `{"job": {"name": "Shed", "code": "ipc-2021"},
 "drainage": {"finished_floor": "10 m", "slab": "100 mm", "systems": [
  {"id": "soil", "kind": "soil", "outlet": {"id": "OUT", "kind": "sewer", "invert": "9.1 m", "size": "4 in", "at": {"x": "3 m", "y": "0 m"}}, "points": [
   {"id": "S-1", "to": "OUT", "at": {"x": "0 m", "y": "0 m"}, "run": {"length": "3 m", "grade": "2.1 %", "size": "4 in", "material": "pvc-dwv", "bearing": "90 deg"}},
   {"id": "L1", "to": "S-1", "at": {"x": "0 m", "y": "1.5 m"}, "fixture": {"fixture": "lavatory", "use": "private"},
    "trap": {"arm": "600 mm", "fall": "12 mm"}, "run": {"length": "1.5 m", "grade": "2.2 %", "size": "50 mm", "material": "pvc-dwv", "bearing": "180 deg"}}]}]},
 "water": {"source": {"id": "street", "pressure": "410 kPa"}, "water": {"cold": "10 degC"}, "pipe": {"cold": "pex-sdr9"},
  "points": [{"id": "C-1", "from": "street", "length": "9 m"}, {"id": "C2", "from": "C-1", "length": "1 m"}],
  "fixtures": [{"id": "L1", "fixture": "lavatory", "use": "private", "cold": "C2"}]}}`

// metricSlips are those of metric layouts, told in metric units.
var metricSlips = []slip{
	{"centimetres for millimetres, a size", `"size": "50 mm"`, `"size": "50 cm"`, `Its size is 500 mm; 50 mm may be meant.`},
	{"centimetres for millimetres, the slab", `"slab": "100 mm"`, `"slab": "100 cm"`, `The slab is 1.00 m thick; 100 mm may be meant.`},
	{"millimetres for metres", `"length": "1.5 m"`, `"length": "1.5 mm"`, `It seems that metres are meant where it says millimetres.`},
	{"centimetres for metres", `"length": "1.5 m"`, `"length": "1.5 cm"`, `It seems that metres are meant where it says centimetres.`},
	{"centimetres for millimetres, a trap arm", `"arm": "600 mm"`, `"arm": "600 cm"`, `The trap arm is 6.00 m long. question: Give the arm in millimetres`},
	{"millimetres for metres, a slab", `"slab": "100 mm"`, `"slab": "0.1 mm"`, `The slab is less than 13 mm thick`},
	{"millimetres for metres, a flat run", `"length": "3 m"`, `"length": "3 mm"`, `shorter than a fitting`},
	{"a bearing off by 180", `"bearing": "180 deg"`, `"bearing": "0 deg"`, `It points back`},
	{"a decimal for a grade", `"grade": "2.2 %"`, `"grade": ".02"`, `write 1/4 in/ft, 2 %`},
	{"a decimal comma", `"length": "1.5 m"`, `"length": "1,5 m"`, `write a point for decimals`},
	{"an id without its hyphen", `"to": "S-1"`, `"to": "S1"`, `did you mean "S-1"?`},
	{"a run drawn twice", `{"id": "L1", "to"`, `{"id": "X", "to": "OUT", "at": {"x": "0 m", "y": "0 m"}, "run": {"length": "3 m", "grade": "2 %", "bearing": "90 deg"}},{"id": "L1", "to"`,
		`S-1 and X lie at one place and both drain to OUT`},
	{"a depth for an elevation", `"invert": "9.1 m"`, `"invert": "0.9 m"`, `The outlet lies 9.10 m below the floor; its invert may be a depth`},
	{"bar for kPa", `"pressure": "410 kPa"`, `"pressure": "410 bar"`, `The pressure at the source is 41000 kPa.`},
	{"no unit", `"length": "1.5 m"`, `"length": "1.5"`, `a unit is missing: write ft, in, mm or m`},
}

// TestSlips: the commonest slips get a hint, and what is drawn right gets none.
func TestSlips(t *testing.T) {
	said := func(text string) string {
		file := filepath.Join(t.TempDir(), "shed.json")
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		var stdout, stderr bytes.Buffer
		run(t.Context(), []string{file}, &stdout, &stderr)
		return strings.Join(strings.Fields(stdout.String()+stderr.String()), " ")
	}
	for job, list := range map[string][]slip{slipJob: slips, metricJob: metricSlips} {
		right := said(job)
		for _, c := range list {
			if strings.Count(job, c.old) != 1 {
				t.Errorf("%s: %s stands not once in the job", c.name, c.old)
			}
			if strings.Contains(right, c.hint) {
				t.Errorf("%s: the hint is given where nothing is wrong", c.name)
			}
			if got := said(strings.Replace(job, c.old, c.new, 1)); !strings.Contains(got, c.hint) {
				t.Errorf("%s: no %s in\n%.1500s", c.name, c.hint, got)
			}
		}
		if strings.Contains(right, "Likely slip") {
			t.Errorf("a slip is suspected where there is none: %s", right)
		}
	}
}
