package lesson

import (
	"strings"
	"testing"
)

// Answers and fields of lines, by hand.
func TestFields(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		// 98.36 ft is 98 ft and 4.32 in.
		{`{"ask":"rod","instrument_height":"100 ft","elevation":"1.64 ft","round":"trade"}`,
			`{"value":98.36,"unit":"ft","text":"98'-4 5/16\""}`},
		{`{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft","round":"trade"}`,
			`{"value":9.375,"unit":"in","text":"9 3/8\""}`},
		{`{"ask":"fall","length":"7 m","grade":"1:80","units":"si","round":"trade"}`, `"text":"88 mm"`},
		{`{"ask":"fall","length":"7 m","grade":"1:80","round":"near"}`,
			`"error":"round: \"near\" is not one of trade"`},
		{`{"ask":"trap-arm","code":"ipc-2021","size":"2 in"}`,
			`"standing":"read","source":"International Plumbing Code 2021, Table 909.1`},
		// The table says 68 gpm; the outlets together draw 40.
		{`{"ask":"demand","code":"ipc-2021","load":215,"system":"tank","outlets":"40 gpm"}`,
			`{"value":40,"unit":"gpm"`},
		{`{"ask":"demand","code":"ipc-2021","load":215,"system":"tank","outlets":"90 gpm"}`,
			`{"value":68,"unit":"gpm"`},
		{`{"ask":"demand","code":"din1988-300","outlets":"1 L/s"}`, `"error":"building: missing"`},
		{`{"ask":"surge","bore":"1 in","velocity_change":"5 ft/s"}`, `"error":"wall: missing; modulus: missing"`},
		{`{"ask":"surge","bore":"1 in","restraint":0,"velocity_change":"5 ft/s","closing_time":"1 s"}`,
			`"error":"length: missing"`},
		{`{"ask":"friction","method":"hazen-williams","friction_factor":0.02,"flow":"1 gpm","bore":"1 in",` +
			`"length":"1 ft"}`,
			`"error":"friction_factor: not a field of hazen-williams"`},
		{`{"ask":"friction","method":"darcy-weisbach","roughness":"1 mm","friction_factor":0.02,"flow":"1 gpm",` +
			`"bore":"1 in","length":"1 ft"}`,
			`"error":"roughness: friction_factor is given too`},
		{`{"ask":"static-residual","static":"50 psi","residual":"60 psi","at":"100 gpm","wanted":"1 gpm"}`,
			`is not at most the static pressure`},
		{`{"ask":"static-residual","static":"60 psi","residual":"50 psi","at":"100 gpm","wanted":"1000 gpm"}`,
			`the flow that leaves no pressure`},
		{`{"ask":"device-loss","device":"kettle","flow":"5 gpm"}`, `device \"kettle\": choose meter, tap,`},
		{`{"ask":"device-loss","device":"meter","size":"3/4 in","flow":"500 gpm"}`, `the figures of the device end at`},
		{`{"ask":"pipe-by-load","code":"en806-3","load":12,"length":"10 m","pressure":"3 bar"}`,
			`takes material and greatest`},
		{`{"ask":"expansion-of-water","volume":"40 gal","cold":"140 degF","hot":"50 degF"}`,
			`"error":"hot: not above cold"`},
		{`{"ask":"pipe-expansion","length":"40 ft","alpha":"9e-6","change":"50 K"}`, `9.2e-6 1/degF`},
		{`{"ask":"parallel","method":"hazen-williams","flow":"10 gpm","head_loss":"3 ft","pipes":[]}`,
			`give one of head_loss, flow`},
	} {
		if out := one(t, c.line); !strings.Contains(out, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.line, out, c.want)
		}
	}
}
