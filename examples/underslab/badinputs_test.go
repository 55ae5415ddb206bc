package main

import (
	"strings"
	"testing"
)

// Places in the shed's file.
const (
	runLength  = `"length": "10 ft", "grade"`
	fixtureEnd = `"use": "private"}}]}]}`
	fixtureAll = `{"fixture": "lavatory", "use": "private"}}]}]}`
)

// badInputs are values put into the shed's file in place of good ones, and what must
// be said of each: the place and field first, the cause, and what is accepted. An
// empty text: it is accepted.
//
// The places stand in the file once.
var badInputs = []struct{ field, old, new, want string }{
	{"length", runLength, `"length": "1e-9 ft", "grade"`, `point "POINT": length: |shorter than can be laid`},
	{"length", runLength, `"length": "0 ft", "grade"`, `point "POINT": length: |zero`},
	{"length", runLength, `"length": "1e9 ft", "grade"`, `point "POINT": length: |longer than 1000 km`},
	{"length", runLength, `"length": "1e400 ft", "grade"`, `point "POINT": length: |longer than 1000 km`},
	{"length", runLength, `"length": "-1 ft", "grade"`, `point "POINT": length: |-1'-0" is negative`},
	{"length", runLength, `"length": "0x10 ft", "grade"`,
		`point "POINT": length: |byte 1|not a unit of length|use m, in, ft`},
	{"length", runLength, `"length": "ten ft", "grade"`, `point "POINT": length: |byte 0|a number is missing`},
	{"length", runLength, `"length": "10", "grade"`, `point "POINT": length: |a unit is missing: write ft, in, mm or m`},
	{"length", runLength, `"length": 10, "grade"`,
		`point "POINT": length: |10 is a bare number: write a text with its unit`},
	{"length", runLength, `"length": "1/0 ft", "grade"`, `point "POINT": length: |a denominator is zero`},
	{"length", runLength, `"length": "1 ft 13 in", "grade"`,
		`point "POINT": length: |inches after feet must be below 12`},
	{"length", runLength, `"length": "10 FT", "grade"`, ``},
	{"length", runLength, `"length": "10′", "grade"`, ``},
	{"length", runLength, "\"length\": \"\u00a010 ft\", \"grade\"", ``},
	{"length", runLength, `"length": "10 ft\n", "grade"`, ``},
	{"length", runLength, `"grade"`, `point "POINT": length: |missing`},
	{"grade", `"2 %"`, `"0 %"`, `point "POINT": grade: |missing or zero|1/4 in/ft`},
	{"grade", `"2 %"`, `"-1 %"`, `point "POINT": grade: |rises in the direction of flow`},
	{"grade", `"2 %"`, `"1:0"`, `point "POINT": grade: |the run must be positive`},
	{"grade", `"2 %"`, `"1/4"`, `point "POINT": grade: |does not say of what|1/4 in/ft`},
	{"grade", `"2 %"`, `"1e9 %"`, `point "POINT": grade: |steeper than 45 degrees|vertical`},
	{"grade", `"2 %"`, `"vertical"`, `point "POINT": grade: |leave the grade out and mark the run vertical`},
	{"grade", `"2 %"`, `"2 percent"`, ``},
	{"grade", `"2 %"`, `"1 in 48"`, ``},
	{"count", fixtureEnd, `"use": "private", "count": 0}}]}]}`,
		`point "POINT": fixture: count: |0 where a whole number from 1 to 1000000`},
	{"count", fixtureEnd, `"use": "private", "count": -1}}]}]}`,
		`point "POINT": fixture: count: |-1 where a whole number from 1 to 1000000`},
	{"count", fixtureEnd, `"use": "private", "count": 1e20}}]}]}`,
		`point "POINT": fixture: count: |a whole number from 1 to 1000000`},
	{"count", fixtureEnd, `"use": "private", "count": "1"}}]}]}`,
		`point "POINT": fixture: count: |text where a whole number from 1 to 1000000`},
	{"count", fixtureEnd, `"use": "private", "count": true}}]}]}`,
		`point "POINT": fixture: count: |true or false where a whole number`},
	{"count", fixtureEnd, `"use": "private", "count": null}}]}]}`,
		`point "POINT": fixture: count: |null where a whole number`},
	{"count of water", `"use": "private", "cold"`, `"use": "private", "count": null, "cold"`,
		`fixture "BASIN": count: |null where a whole number from 1 to 1000000`},
	{"fixture", fixtureAll, `{"fixture": "lavatry", "use": "private"}}]}]}`,
		`point "POINT": fixture.fixture: |"lavatry"; did you mean "lavatory"? |and |more|table ipc-2021/fixtures`},
	{"fixture", fixtureAll, `{"fixture": "Lavatory", "use": "private"}}]}]}`,
		`point "POINT": fixture.fixture: |did you mean "lavatory"?`},
	{"fixture", fixtureAll, `{"fixture": "lavatory ", "use": "private"}}]}]}`,
		`point "POINT": fixture.fixture: |did you mean "lavatory"?`},
	{"material", `"pvc-dwv"`, `"unobtainium"`,
		`point "POINT": material: |"unobtainium": write one of abs-dwv, |pvc-dwv|or "other: " and its name`},
	{"material", `"pvc-dwv"`, `"pvc-dvw"`, `point "POINT": material: |did you mean "pvc-dwv"?`},
	{"material", `"pvc-dwv"`, `"other: stoneware"`, ``},
	{"into", runLength, `"length": "10 ft", "into": "zz", "grade"`, `point "POINT": into: |"zz": write one of |wye`},
	{"fittings", runLength, `"length": "10 ft", "fittings": ["quater-bend"], "grade"`,
		`point "POINT": fittings: |did you mean "quarter-bend"?`},
	{"size", `"size": "2 in"`, `"size": "3.5 in"`, ``}, // asked about: see the jobs of materials
	{"size", `"size": "2 in"`, `"size": "0 in"`, `point "POINT": size: |zero: leave the size out`},
	{"size", `"size": "2 in"`, `"size": "DN 80"`, ``},
	{"size", `"size": "2 in"`, `"size": "1000 in"`, `point "POINT": size: |wider than 10000 mm`},
	{"size", `"size": "2 in"`, `"size": "3"`, `point "POINT": size: |a unit is missing`},
	{"use", fixtureEnd, `"use": "Private"}}]}]}`, `point "POINT": fixture: use: |did you mean private?`},
	{"use", fixtureEnd, `"use": "nobody"}}]}]}`, `point "POINT": fixture: use: |choose private, public, assembly`},
	{"code", `"ipc-2021"`, `"IPC-2021"`, `job: code: |did you mean "ipc-2021"?`},
	{"kind", `"kind": "soil"`, `"kind": "Soil"`,
		`system "SYSTEM": kind: |did you mean "soil"? write one of soil, waste`},
	{"pipe", `"pex-sdr9"`, `"pex-sdr-9"`, `pipe: cold: |did you mean "pex-sdr9"?`},
	{"pipe", `"pex-sdr9"`, `"pex"`, `pipe: cold: |"pex": which of pex-s3-2, pex-s4, pex-s5, pex-sdr9?`},
	{"size of water", `"length": "10 ft"}]`, `"length": "10 ft", "size": "20 mm"}]`,
		`point "TAP": size: |20 mm: pex-sdr9 comes in 3/8", 1/2"`},
	{"device", `"length": "10 ft"}]`, `"length": "10 ft", "device": {"kind": "RPZ"}}]`,
		`point "TAP": device: |"RPZ": did you mean "reduced-pressure"?`},
	{"device", `"length": "10 ft"}]`, `"length": "10 ft", "device": {"kind": "PRV"}}]`,
		`point "TAP": device: |did you mean "regulator"?`},
	{"hot water", `"cold": "50 degF"`, `"cold": "50 degF", "hot": "45 degF"`,
		`water: hot: |45 degF is no warmer than the cold water, 50 degF`},
	{"water fixture", `"fixture": "lavatory", "use": "private", "cold"`, `"fixture": "hose bib", "use": "private", "cold"`,
		`fixture "BASIN": fixture: |did you mean "hose-bibb"?`},
	{"unknown field", `"finished_floor"`, `"finish_floor"`, `layout: finish_floor: |did you mean "finished_floor"?`},
	{"id", `"id": "@POINT"`, `"id": ""`, `point 1 of system 1: id: |missing`},
	{"amendment", `"code": "ipc-2021"`, `"code": "ipc-2021", "amendments": ["town"]`,
		`job: amendments: |"town": no such folder beside the layout file`},
	{"amendment", `"code": "ipc-2021"`, `"code": "ipc-2021", "amendments": ["shed.json"]`,
		`job: amendments: |"shed.json": a file, and not a folder`},
	{"amendment", `"code": "ipc-2021"`, `"code": "ipc-2021", "amendments": [""]`,
		`job: amendments: |"": write the name of a folder`},
	{"name", `"job": {"name": "`, `"job": {"name": "\udc00`, `half of a surrogate pair`},
	{"amendment", `"code": "ipc-2021"`, `"code": "ipc-2021", "amendments": [".."]`,
		`job: amendments: |"..": not a folder beside the layout file`},
}

// TestBadInputs: a message names the file, the line and column, the item, the field
// and the cause, and says what is accepted, in one line of readable length.
func TestBadInputs(t *testing.T) {
	for _, c := range badInputs {
		if strings.Count(shed, c.old) != 1 {
			t.Errorf("%s: %s stands not once in the file", c.field, c.old)
		}
		status, _, errs := shedWith(t, map[string]string{c.old: c.new})
		if c.want == "" {
			if status != 0 || errs != "" {
				t.Errorf("%s %s: status %d: %s", c.field, c.new, status, errs)
			}
			continue
		}
		parts := strings.Split(c.want, "|")
		line := ""
		for l := range strings.Lines(errs) {
			if strings.Contains(l, parts[0]) {
				line = l
				break
			}
		}
		for _, p := range parts {
			if status != 2 || !strings.HasPrefix(line, "shed.json:") || !strings.Contains(line, p) || len(line) > 400 {
				t.Errorf("%s %s: status %d, no %q in\n%s", c.field, c.new, status, p, errs)
			}
		}
	}
}
