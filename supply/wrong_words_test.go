package supply

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A house of one lavatory, with hot water, of which a test edits the text: DEVICE stands
// on the run of A, BESIDE says where it lies, PIPE is the pipe, TEST the test.
const smallHouse = `{"name": "house", "source": {"id": "MAIN", "pressure": "60 psi", "static": "70 psi"},
 "water": {"cold": "50 degF", "hot": "120 degF"}, "pipe": {"cold": "PIPE", "hot": "PIPE"},
 "points": [{"id": "A", "from": "MAIN", "length": "20 ft"DEVICE, "below_slab": trueBESIDE},
  {"id": "WH", "from": "A", "length": "5 ft", "device": {"kind": "storage-heater", "loss": "1 psi"}},
  {"id": "H", "from": "WH", "length": "20 ft"}],
 "fixtures": [{"id": "LV", "fixture": "lavatory", "use": "private", "cold": "A", "hot": "H"}]TEST}`

func houseText(device, beside, pipe, test string) string {
	return strings.NewReplacer("DEVICE", device, "BESIDE", beside, "PIPE", pipe, "TEST", test).Replace(smallHouse)
}

// Every kind of device that the shelf knows is read; another word is a fault of the file.
func TestDeviceKinds(t *testing.T) {
	code := mustCode(t, "ipc-2021")
	for kind, says := range map[string]string{
		"meter": "", "other": "", "softener": "", "check-valve": "", "filter": "", "pressure-vacuum-breaker": "",
		"double-check-valve": `device "double-check-valve": `, "backflow": `device "backflow": `, "foo": "choose meter, tap, regulator, check-valve",
		"check-valv": `did you mean "check-valve"?`, "Meter": `did you mean "meter"?`,
	} {
		_, err := Parse("f", []byte(houseText(`, "device": {"kind": "`+kind+`", "loss": "3 psi"}`, "", "copper-l", "")), code)
		switch {
		case says == "" && err != nil:
			t.Errorf("%s: %v", kind, err)
		case says != "" && (err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), `point "A": device`)):
			t.Errorf("%s: %v", kind, err)
		}
	}
	if _, err := code.DeviceLoss(&Device{Kind: "foo", Loss: units.PoundForcePerSquareInch}, 0); err == nil {
		t.Error("a kind that is not known has a loss")
	}
}

// What stands on the way from a heater to the main closes it, a check valve as well.
func TestDeviceClosesTheWay(t *testing.T) {
	for kind, asks := range map[string]bool{"check-valve": true, "double-check": true, "dual-check": true, "reduced-pressure": true, "backflow-any": true,
		"softener": false, "filter": false, "meter": false} {
		got := houseFindings(t, "ipc-2021", houseText(`, "device": {"kind": "`+kind+`", "loss": "3 psi"}`, "", "copper-l", ""), "thermal-expansion")
		if (len(got) == 1) != asks {
			t.Errorf("%s: %v", kind, got)
		}
	}
}

// The material of a drain near by decides; while it is not given it is asked about.
func TestDrainMaterialNotGiven(t *testing.T) {
	for _, tc := range []struct {
		code, beside string
		verdict      tables.Verdict // 0: nothing is said
		says         string
	}{
		{"ipc-2021", `"clear": "6 in"`, tables.Ask, "material of the drain is not given"},
		{"ipc-2021", `"clear": "6 in", "listed": false`, tables.Fail, "not approved"},
		{"ipc-2021", `"clear": "6 in", "listed": true`, tables.Pass, "no distance"},
		{"ipc-2021", `"clear": "5 ft"`, tables.Pass, "Clear"},
		{"ipc-2021", `"clear": "6 in", "above": "12 in"`, tables.Pass, "High enough"},
		{"upc-2021", `"clear": "6 in"`, tables.Ask, "material of the drain is not given"},
		{"upc-2021", `"clear": "6 in", "listed": false`, tables.Fail, "not approved"},
		{"irc-2021", `"clear": "6 in"`, tables.Ask, "no distance of irc-2021"},
		{"irc-2021", `"clear": "6 in", "listed": false`, tables.Ask, "no distance of irc-2021"},
		{"irc-2021", `"clear": "6 in", "listed": true`, 0, ""},
	} {
		text := houseText("", `, "beside_drain": {`+tc.beside+`}`, "copper-l", "")
		got := houseFindings(t, tc.code, text, "water-drain-separation")
		switch {
		case tc.verdict == 0 && len(got) == 0:
		case len(got) != 1 || got[0].Place != "A" || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says):
			t.Errorf("%s %s: %v", tc.code, tc.beside, got)
		}
		l := parsed(t, tc.code, text)
		if b, err := l.MarshalJSON(); err != nil || strings.Contains(string(b), `"listed"`) != strings.Contains(tc.beside, "listed") {
			t.Errorf("%s: written as %s: %v", tc.beside, b, err)
		}
	}
}

func parsed(t *testing.T, code, text string) *Layout {
	t.Helper()
	l, err := Parse("f", []byte(text), mustCode(t, code))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func houseFindings(t *testing.T, code, text, rule string) []tables.Finding {
	t.Helper()
	return findingsOf(t, sized(t, mustCode(t, code), parsed(t, code, text).Data()), rule)
}
