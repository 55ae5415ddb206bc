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
		"double-check-valve": `device "double-check-valve": `, "backflow": `device "backflow": `, "foo": "choose meter, tap, regulator, booster, check-valve",
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
		{"ipc-2021", `"clear": "6 in"`, tables.Ask, "approved inside buildings is not given"},
		{"ipc-2021", `"clear": "6 in", "listed": false`, tables.Fail, "not approved"},
		{"ipc-2021", `"clear": "6 in", "listed": true`, tables.Pass, "no distance"},
		{"ipc-2021", `"clear": "5 ft"`, tables.Pass, "Clear"},
		{"ipc-2021", `"clear": "6 in", "above": "12 in"`, tables.Pass, "High enough"},
		{"upc-2021", `"clear": "6 in"`, tables.Ask, "approved inside buildings is not given"},
		{"upc-2021", `"clear": "6 in", "listed": false`, tables.Fail, "not approved"},
		{"irc-2021", `"clear": "6 in"`, tables.Ask, "no distance of International Residential Code 2021"},
		{"irc-2021", `"clear": "6 in", "listed": false`, tables.Ask, "no distance of International Residential Code 2021"},
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

// One flush valve under the UPC at 40 units: the valve curve makes that 46.3 gpm, the tank
// curve 25. In 1-1/4 in copper L (1.265 in) that is 11.8 and 6.4 ft/s, in 1 in (1.025 in)
// 18.0 and 9.7: of 8 ft/s the first hangs on the curve, the second fails by both.
func TestVelocityHangsOnTheCurve(t *testing.T) {
	for _, tc := range []struct {
		size    units.Length
		verdict tables.Verdict
		says    string
	}{
		{units.Inch, tables.Fail, "9.72 ft/s, which fails as well"},
		{units.Inch + units.Inch/4, tables.Ask, "6.38 ft/s, which passes"},
		{2 * units.Inch, tables.Pass, ""},
	} {
		d := closets(60, []Point{{ID: "A", From: "main", Length: 40 * units.Foot, Size: tc.size}}, nil, nil)
		d.Fixtures = []LayoutFixture{{ID: "WC", Cold: "A",
			Fixture: tables.Fixture{Kind: "water-closet", Count: 1, Use: tables.Public, Control: tables.Valve, Flush: 1.28 * units.USGallon}}}
		got := findingsOf(t, sized(t, mustCode(t, "upc-2021"), d), "water-velocity")
		if len(got) != 1 || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says) {
			t.Errorf("%v: %v", tc.size, got)
		}
	}
}

// The pressure of a test is at least the code's; plastic is not tested with air, and a
// working pressure that is not given is asked for.
func TestTestPressureWords(t *testing.T) {
	for _, tc := range []struct {
		pipe, test string
		static     bool
		verdict    tables.Verdict
		says       string
	}{
		{"cpvc-sdr11", `"80 psi", "medium": "air"`, true, tables.Ask, "is 80 psi; at least 50 psi. The greatest working pressure is 70 psi. There is plastic pipe in the lines (cpvc-sdr11)"},
		{"copper-l", `"80 psi", "medium": "air"`, true, tables.Pass, "at least 50 psi"},
		{"copper-l", `"49 psi", "medium": "air"`, true, tables.Fail, "test with air"},
		{"copper-l", `"70 psi", "medium": "water"`, true, tables.Pass, "at least 70 psi"},
		{"copper-l", `"60 psi", "medium": "water"`, false, tables.Ask, "while nothing flows is not given"},
	} {
		text := houseText("", "", tc.pipe, `, "test": {"pressure": `+tc.test+`}`)
		if !tc.static {
			text = strings.Replace(text, `, "static": "70 psi"`, "", 1)
		}
		got := houseFindings(t, "ipc-2021", text, "test-pressure")
		if len(got) != 1 || got[0].Verdict != tc.verdict || !strings.Contains(got[0].Reason, tc.says) || got[0].Verdict == tables.Pass && got[0].Margin != nil {
			t.Errorf("%+v: %v", tc, got)
		}
	}
}

// A regulator that is drawn is set lower, by what is too much at the fixture; and a bore a
// hair too small shows by how much.
func TestFixesNameWhatIsDrawn(t *testing.T) {
	text := houseText(`, "device": {"kind": "regulator", "set": "85 psi", "fall_off": "5 psi"}`, "", "copper-l", "")
	text = strings.NewReplacer(`"60 psi"`, `"110 psi"`, `"70 psi"`, `"110 psi"`).Replace(text)
	got := houseFindings(t, "ipc-2021", text, "static-pressure")
	if len(got) != 1 || got[0].Verdict != tables.Fail || got[0].Fix != "Set the regulator at A to 80 psi or less." {
		t.Errorf("%v", got)
	}
	text = strings.Replace(houseText("", "", "pex-s3-2", ""), `"from": "WH", "length": "20 ft"`, `"from": "WH", "length": "20 ft", "size": "16 mm"`, 1)
	for _, f := range houseFindings(t, "upc-2021", text, "supply-size") {
		if f.Side == "hot" && (f.Verdict != tables.Fail || f.Value.String() != "0.457 in" || f.Limit.String() != "0.469 in" || f.Margin.String() != "-0.012 in") {
			t.Errorf("%v", f)
		}
	}
}

// Type M copper below a slab is not for the UPC, from memory; type L is, and other codes have
// no such rule.
func TestThinCopperBelowSlab(t *testing.T) {
	for _, tc := range []struct {
		code, pipe string
		asks       bool
	}{{"upc-2021", "copper-m", true}, {"upc-2021", "copper-l", false}, {"upc-2021", "copper-k", false}, {"ipc-2021", "copper-m", false}} {
		got := houseFindings(t, tc.code, houseText("", "", tc.pipe, ""), "copper-below-slab")
		if len(got) > 1 || (len(got) == 1) != tc.asks || tc.asks && (got[0].Verdict != tables.Ask || got[0].IfConfirmed != tables.Fail || got[0].Place != "A") {
			t.Errorf("%+v: %v", tc, got)
		}
	}
}
