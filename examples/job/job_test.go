package job

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// hall holds the demonstration.
var hall = os.DirFS("../underslab")

// TestPagesAgree: the page is the same whether its passes were counted or kept, in both
// unit systems.
func TestPagesAgree(t *testing.T) {
	for _, si := range []bool{false, true} {
		j, err := Read(hall, "hall/hall.json", "")
		if err != nil {
			t.Fatal(err)
		}
		var pages [2]bytes.Buffer
		for i, full := range []bool{false, true} {
			r, err := report(context.Background(), j, "", newPrinter(si, full))
			if err != nil {
				t.Fatal(err)
			}
			if err := r.Print(&pages[i]); err != nil {
				t.Fatal(err)
			}
		}
		if diff := cmp.Diff(strings.Split(pages[0].String(), "\n"), strings.Split(pages[1].String(), "\n")); diff != "" {
			t.Errorf("si %v (-counted +kept):\n%s", si, diff)
		}
	}
}

// hallWith returns the demonstration with some of its text replaced.
func hallWith(t *testing.T, replace ...string) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(hall, "hall", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(hall, name)
		out[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	file := out["hall/hall.json"]
	text := string(file.Data)
	for i := 0; i+1 < len(replace); i += 2 {
		if strings.Count(text, replace[i]) != 1 {
			t.Fatalf("%q stands %d times in the layout", replace[i], strings.Count(text, replace[i]))
		}
		text = strings.Replace(text, replace[i], replace[i+1], 1)
	}
	file.Data = []byte(text)
	return out
}

func failsOf(t *testing.T, fsys fs.FS) []string {
	t.Helper()
	j, err := Read(fsys, "hall/hall.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(false, true))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, f := range r.Findings.Fail() {
		out = append(out, f.Rule+" at "+f.Place)
	}
	return out
}

// TestEdits changes the layout as a plumber would and looks at what breaks or is
// mended. Each case names what must newly fail, and what must no longer.
func TestEdits(t *testing.T) {
	base := failsOf(t, hallWith(t))
	tests := []struct {
		name         string
		replace      []string
		broken, mend []string
	}{
		{"outlet raised six inches", []string{`"invert": "98 ft 2 in"`, `"invert": "98 ft 8 in"`},
			[]string{"gravity-depth at soil"}, nil},
		{"vent moved nearer to the trap", []string{`"arm": "9 ft 4 in", "fall": "2 3/8 in"`,
			`"arm": "7 ft 4 in", "fall": "1 7/8 in"`},
			nil, []string{"trap-arm-length at GL1"}},
		{"vent moved away", []string{`"arm": "6 ft 6 in", "fall": "1 5/8 in"`, `"arm": "8 ft 6 in", "fall": "1 5/8 in"`},
			[]string{"trap-arm-length at CB1"}, nil},
		{"exit drain drawn smaller", []string{`"run": {"size": "4 in"}},
        {"id": "S2"`, `"run": {"size": "3 in"}},
        {"id": "S2"`},
			[]string{"main-drain-undiminished at S1", "size-reduction at S2"}, nil},
		{"slope halved", []string{`"run": {"grade": "1/4 in/ft", "size": "2 in"}},
        {"id": "LV1"`, `"run": {"grade": "1/8 in/ft", "size": "2 in"}},
        {"id": "LV1"`},
			[]string{"drain-grade at LV2"}, nil},
		{"floor drain moved beyond the town's reach", []string{`"run": {"size": "2 in"}},
        {"id": "MS1"`, `"run": {"size": "2 in", "length": "8 ft"}},
        {"id": "MS1"`},
			[]string{"floor-drain-unvented at FD1"}, nil},
		{"clay let into the soil drain", []string{`"fixture": {"fixture": "service-sink"`,
			`"carries": "clay", "fixture": {"fixture": "service-sink"`},
			[]string{"system-apart at MS1"}, nil},
		{"street pressure lost", []string{`"pressure": "62 psi"`, `"pressure": "38 psi"`},
			[]string{"fixture-pressure at WC1"}, nil},
		{"static pressure too high", []string{`"static": "76 psi"`, `"static": "96 psi"`},
			[]string{"static-pressure at AW1"}, nil},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			got := failsOf(t, hallWith(t, tt.replace...))
			for _, f := range tt.broken {
				if contains(base, f) {
					t.Errorf("%s fails before the edit already", f)
				}
				if !contains(got, f) {
					t.Errorf("%s does not fail; what does: %q", f, got)
				}
			}
			for _, f := range tt.mend {
				if !contains(base, f) {
					t.Errorf("%s does not fail before the edit", f)
				}
				if contains(got, f) {
					t.Errorf("%s still fails", f)
				}
			}
		})
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// TestUnvented shows whose the rule is: without the town's amendment nothing allows
// the unvented floor drain.
func TestUnvented(t *testing.T) {
	j, err := Read(hallWith(t, `"amendments": ["town"]`, `"amendments": []`), "hall/hall.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(false, true))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings.Pass() {
		if f.Rule == "floor-drain-unvented" {
			t.Errorf("passes by %s: %s", f.Source, f.Reason)
		}
	}
}

// The point S7 as the demonstration has it, and what comes before a run of its own.
const (
	s7    = `{"id": "S7", "to": "S6", "at": {"x": "26 ft", "y": "20 ft"}},`
	s7Run = `{"id": "S7", "to": "S6", "at": {"x": "26 ft", "y": "20 ft"}, "run": {`
)

// TestFaults hands in broken layouts: exit 2, every fault named with its place, and
// no report.
func TestFaults(t *testing.T) {
	tests := []struct {
		name    string
		replace []string
		want    []string // each a part of the message
	}{
		{"unknown fixture", []string{`"fixture": {"fixture": "lavatory", "count": 2}`,
			`"fixture": {"fixture": "fountain-of-youth", "count": 2}`},
			[]string{`point "LV1"`, "fountain-of-youth"}},
		{"cycle", []string{`{"id": "S9", "to": "S8"`, `{"id": "S9", "to": "TB1"`},
			[]string{`point "S9"`, "in a circle", "TB1"}},
		{"no outlet", []string{`"outlet": {"id": "WO", "kind": "drain", "invert": "97 ft 9 in", "size": "4 in", "at": {"x": "54 ft", "y": "34 ft"}},`,
			``},
			[]string{`system "clay"`, "outlet"}},
		{"two outlets", []string{`"outlet": {"id": "WO", "kind": "drain", "invert": "97 ft 9 in", "size": "4 in", "at": {"x": "54 ft", "y": "34 ft"}},`,
			`"outlet": [{"id": "WO", "kind": "drain", "invert": "97 ft"}, {"id": "WP", "kind": "drain", "invert": "97 ft"}],`},
			[]string{`system "clay"`, "outlet"}},
		{"missing grade", []string{`"defaults": {"grade": "2 %", `, `"defaults": {`},
			[]string{`point "S7"`, "grade"}},
		{"negative length", []string{s7, s7Run + `"length": "-7 ft"}},`},
			[]string{`point "S7"`, "length", "-7'-0\""}},
		{"orphan", []string{`{"id": "MS1", "to": "S7"`, `{"id": "MS1", "to": "S77"`}, []string{`point "MS1"`, `"S77"`}},
		{"wrong unit", []string{s7, s7Run + `"length": "7 gpm"}},`}, []string{`point "S7"`, "length", "7 gpm"}},
		{"bare number", []string{s7, s7Run + `"length": 7}},`}, []string{`point "S7"`, "length", "unit"}},
		{"duplicate id", []string{`{"id": "S6", "to": "S5"`, `{"id": "S5", "to": "S5"`}, []string{`"S5"`}},
		{"unknown field", []string{`"capped": true`, `"caped": true`}, []string{`point "SH1"`, "caped"}},
		{"truncated", []string{`  "water": {
    "name": "Pottery hall",`, "\x00"}, []string{"hall/hall.json:", "JSON"}},
		{"unknown amendment", []string{`"amendments": ["town"]`, `"amendments": ["county"]`},
			[]string{"amendments", "county"}},
		{"all at once", []string{s7, s7Run + `"length": "-7 ft"}},`, `{"id": "MS1", "to": "S7"`, `{"id": "MS1", "to": "S77"`,
			`"code": "ipc-2021"`, `"kode": "ipc-2021"`, `"id": "WH", "from": "C4"`, `"id": "WH", "from": "C44"`},
			[]string{`point "S7"`, `"S77"`, "kode", `"C44"`}},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			j, err := Read(hallWith(t, tt.replace...), "hall/hall.json", "")
			if err == nil {
				_, err = report(context.Background(), j, "", newPrinter(false, true))
			}
			if err == nil {
				t.Fatal("no error")
			}
			for _, w := range tt.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("no %s in:\n%v", w, err)
				}
			}
			for line := range strings.Lines(err.Error()) {
				if !strings.HasPrefix(line, "hall/hall.json:") {
					t.Errorf("does not name the file and place: %s", line)
				}
			}
		})
	}
}

// TestCodeWithoutTest: where a code gives no head for the water test, the report says
// so and is whole.
func TestCodeWithoutTest(t *testing.T) {
	const text = `{"job": {"name": "shed", "code": "asnzs3500-2"}, "drainage": {"finished_floor": "12.4 m", "slab": "125 mm", "systems": [{"id": "house", "kind": "soil",
		"outlet": {"id": "OUT", "kind": "sewer", "invert": "11.6 m", "size": "100 mm"},
		"points": [{"id": "WC", "to": "OUT", "run": {"length": "4.5 m", "grade": "1.65 %"}, "fixture": {"fixture": "water-closet", "use": "private", "control": "tank"}}]}]}}`
	j, err := Read(fstest.MapFS{"shed.json": {Data: []byte(text)}}, "shed.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := report(context.Background(), j, "", newPrinter(true, false))
	if err != nil {
		t.Fatal(err)
	}
	var page strings.Builder
	if err := r.Print(&page); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"the tables have no head of water of this code", "1  Findings", "Take-off", "Cautions"} {
		if !strings.Contains(page.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}

// A code with tables of drains alone has none of water: the fault says how the water gets one.
func TestWaterCodeNeeded(t *testing.T) {
	const lines = `"water": {"source": {"id": "M", "pressure": "60 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "pex-sdr9"},
		"points": [{"id": "A", "from": "M", "length": "10 ft"}],
		"fixtures": [{"id": "L", "fixture": "lavatory", "use": "private", "cold": "A"}]}}`
	_, err := Parse("job.json", []byte(`{"job": {"code": "kentucky-815kar20"}, `+lines), "")
	if err == nil || !strings.Contains(err.Error(), "name it as water_code") {
		t.Errorf("no water tables: %v", err)
	}
	if _, err := Parse("job.json", []byte(`{"job": {"code": "kentucky-815kar20", "water_code": "ipc-2021"}, `+lines),
		""); err != nil {
		t.Error(err)
	}
}
