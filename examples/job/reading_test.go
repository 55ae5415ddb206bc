package job

import (
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
