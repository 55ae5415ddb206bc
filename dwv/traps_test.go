package dwv

import (
	"testing"

	"github.com/trapweir/trapweir/units"
)

// TestTrapArms: what the table of trap arms of a code tells as a whole; a code without one tells nothing.
func TestTrapArms(t *testing.T) {
	none := mustOwnCode(t, map[string]string{"fixtures": fixtureHead + "p,a,,,,,,2,,,,read\n"})
	const head = "# key: size\nsize[in],max_length[ft],grade[in/ft],max_grade[in/ft],src,status\n"
	capped := mustOwnCode(t, map[string]string{"trap-arm": head + "2,4,0.25,0.5,,read\n3,5,0.25,0.5,,read\n"})
	partly := mustOwnCode(t, map[string]string{"trap-arm": head + "2,4,0.25,,,read\n3,5,0.25,0.5,,read\n"})
	for _, tt := range []struct {
		name  string
		code  *Code
		least units.Length
		caps  bool
	}{
		{"IPC", mustCode(t, "ipc-2021"), 5 * in / 4, false},
		{"Massachusetts", mustCode(t, "massachusetts-248cmr"), 3 * in / 2, true},
		{"capped", capped, 2 * in, true}, {"in part", partly, 2 * in, true}, {"none", none, 0, false},
	} {
		if least, caps := tt.code.LeastTrapArm(), tt.code.CapsArms(); least != tt.least || caps != tt.caps {
			t.Errorf("%s: from %v, capped %v", tt.name, FormatSize(least), caps)
		}
		if cite := tt.code.TrapArmTable(); cite.IsZero() != (tt.least == 0) {
			t.Errorf("%s: %v", tt.name, cite)
		}
	}
}
