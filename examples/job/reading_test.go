package job

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestReading: what an inspector and a crew lead ask of the demonstration is answered where
// they look: the inspector on page one or in the first section, but for what a schedule is
// for, the crew lead in the crew's sections. The answers were worked by hand.
func TestReading(t *testing.T) {
	text := printed(t, reportOf(t, "", newPrinter(false, false)), 0)
	front, rest, _ := strings.Cut(text, "\n1  Findings")
	findings, rest, _ := strings.Cut(rest, "\n3  Crew")
	crew, schedules, _ := strings.Cut(rest, "Fixtures and loads\n")
	for _, c := range []struct{ question, in, answer string }{
		{"which file, unchanged since?", front, `hall\.json\n +sha256 +[0-9a-f]{64}`},
		{"which code, and what did the town change?", front, `IPC 2021\)\n.*below ground min size\s+2 in \(was unlimited\)`},
		{"may they pour?", front, `1 FAIL: do not pour`},
		{"what fails, by how much?", front, `FAIL  The 2" trap arm [^F]*at GL1[^F]*9'-4"[^F]*8'-0"[^F]*16 in`},
		{"what puts it right, and which section?", front, `(?s)fix:.*Table 909\.1`},
		{"what else would fail?", front, `CHECK THE BOOK  The fall of the trap arm to its vent at GL1`},
		{"whom do I ask about the hot water waits?", front, `hot wait \(`},
		{"what was not judged?", front, `(?s)Not judged under IPC 2021: .*cleanouts`},
		{"what do I look up for CA1?", findings, `IPC 2021, 909\.2 +trap arm max fall`},
		{"how many sinks, and what load?", findings, `sink +3 +6 dfu +9 wsfu`},
		{"how large are the service and the meter?", findings, `Water service: 2 in copper-k for 41 wsfu, 46\.4 gpm; meter 1 1/2 in`},
		{"what did the designer leave out, and where does it go?", front, `state\s+beside_drain`},
		{"which fixture governs the pressure?", schedules, `Critical fixture: WC1 .*41\.9 psi.*35\.0 psi`},

		{"who signs what, before it is covered?", crew, `\[ \] Before backfill: [^\[]*by _+  date _+`},
		{"what do I bring for the lavatories?", crew, `(?s)LV1 \(2 lavatories\): .{1,300}double\s+fixture\s+fitting`},
		{"where does the closet come up?", crew, `WC1 +soil +Water closet +46'-0" +16'-0" +4 in`},
		{"how much cement?", crew, `solvent cement +1 quart can +\d`},
		{"where does the gauge go, and what does it read?", crew, `Gauge at the lowest point, SO: 4\.9 psi`},
		{"how long must it hold?", crew, `hold\s+15\s+min`},
		{"how much water?", crew, `28\.7\s+gal`},
		{"what must I mind at the plug?", crew, `tie or block it`},
		{"how deep is the invert at S7?", crew, `S7 +7'-0" +3 in +98\.77 +98'-9 1/4" +14 3/4 in`},
		{"what does the rod read at FD1?", crew, `FD1 .* 4'-2 1/4"`},
		{"where must I not follow the beam?", crew, `only 1\.41 %: do NOT follow it; .*: FD2`},
		{"which runs lie against the beam?", crew, `AGAINST the beam; [^:]*: KF2`},
		{"how high is the stub of the urinal?", crew, `UR1 .* 14 in`},
		{"how many lengths of 2 in drain?", crew, `drain pvc-dwv +2 in +102 ft .*6 lengths`},
	} {
		if !regexp.MustCompile(c.answer).MatchString(c.in) {
			t.Errorf("%s No %s where it is looked for:\n%s", c.question, c.answer, c.in)
		}
	}
}

// TestReadingOthers: the same is answered of jobs that are not the demonstration: a bakery in
// inches, and a house in metres under European codes, whose tables have no test. The answers
// were worked by hand from the layouts.
func TestReadingOthers(t *testing.T) {
	read := func(folder, name string) string {
		j, err := Read(os.DirFS(folder), name, "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Report("", Options{SI: j.Metric("")})
		if err != nil {
			t.Fatal(err)
		}
		return printed(t, r, 0)
	}
	bakery, house := read("../estimate", "bakery.json"), read("testdata", "reading-metric.json")
	for _, c := range []struct{ question, in, answer string }{
		{"may they pour?", bakery, `Nothing fails; 4 questions are open`},
		{"what do I look up?", bakery, `IPC 2021, 909\.2 +trap arm max fall: 1 pipe +3  3 pass`},
		{"what pipe leaves, how steep?", bakery, `soil +soil +sewer +7 dfu +4 in +pvc-dwv +1/4 in/ft +97\.50 ft`},
		{"how deep is the invert at B2?", bakery, `B2 +3 in +97\.96 +97'-11 1/2" +24 1/2 in +16 in`}, // 97.50 + 20 ft at 1/4, + 1/2 in of the reducer
		{"how much depth is left?", bakery, `12 3/4 in to spare at WC`},
		{"how high is the lavatory's stub?", bakery, `LV +soil +Lavatory +1 1/2 in +16 in`},
		{"how high does the water stand in the test?", bakery, `elevation 108\.32 ft`},
		{"where does the gauge go?", bakery, `lowest point, MH: 4\.7 psi`},
		{"how long, and how much water?", bakery, `(?s)hold\s+15 min.*14\.5 gal`},
		{"how much 3 in pipe?", bakery, `drain pvc-dwv +3 in +26 ft  23'-0" laid, 2 lengths`},

		{"which codes?", house, `(?s)EN 12056-2\).*DIN 1988-300\n`},
		{"may they pour?", house, `Nothing fails; \d+ questions are open`},
		{"whom do I ask about the water line beside the drain?", house, `authority: water drain separation \(K1\)`},
		{"what is not judged?", house, `(?s)Not judged under EN 12056-2: .*water lines`},
		{"what leaves, how steep?", house, `SW +soil +sewer +2\.5 du +DN 100 +1\.50 % +99\.000 m`},
		{"how deep is the invert at P2?", house, `P2 +4\.00 m +DN 100 +99\.105 +895 mm +595 mm`}, // 99 + 7 m at 1.5 %; 1000 - 105; less slab and pipe
		{"what does the rod read there?", house, `P2 .*1200 mm +1300 mm`},
		{"where must I not follow the beam?", house, `do NOT follow it; [^:]*: WT\.`},
		{"how is it tested?", house, `Drains: the tables have no head of water of this code\. Ask the authority`},
		{"at what pressure are the water lines tested?", house, `no\s+test\s+pressure\s+of\s+DIN\s+1988-300:\s+ask\s+the\s+authority`},
		{"where does the closet come up?", house, `WC +SW +Water closet +2\.00 m +1\.50 m +DN 100`},
	} {
		if !regexp.MustCompile(c.answer).MatchString(c.in) {
			t.Errorf("%s No %s in\n%.6000s", c.question, c.answer, c.in)
		}
	}
}
