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
		{`{"ask":"demand","code":"ipc-2021","load":2.15E2,"system":"tank"}`, `{"value":68,"unit":"gpm"`},
		{`{"ask":"demand","code":"ipc-2021","load":1e300,"system":"tank"}`, `"error":"load: `},
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
			`must be at most the static pressure`},
		{`{"ask":"static-residual","static":"60 psi","residual":"50 psi","at":"100 gpm","wanted":"1000 gpm"}`,
			`the flow that leaves no pressure`},
		{`{"ask":"device-loss","device":"kettle","flow":"5 gpm"}`, `device \"kettle\": choose meter, tap,`},
		{`{"ask":"device-loss","device":"meter","size":"3/4 in","flow":"500 gpm"}`, `the figures of the device end at`},
		{`{"ask":"pipe-by-load","code":"en806-3","load":12,"length":"10 m","pressure":"3 bar"}`,
			`takes material and greatest`},
		{`{"ask":"expansion-of-water","volume":"40 gal","cold":"140 degF","hot":"50 degF"}`,
			`"error":"hot: not above cold"`},
		{`{"ask":"pipe-expansion","length":"40 ft","alpha":"9e-6","change":"50 K"}`, `9.2e-6 1/degF`},
		// Of a million, each in use half the time, 20 standard deviations of 500 are likely. The totals of one such
		// group spread over 20 x 50,000 steps of 0.01 gpm, of two over 20 x 71,775: 1.0 and 1.4 times 10 to the 10th.
		{`{"ask":"demand-exact","confidence":0.99,"groups":[{"count":1000000,"probability":0.5,"flow":"1 gpm"},` +
			`{"count":1000000,"probability":0.5,"flow":"1.03 gpm"},{"count":1000000,"probability":0.5,"flow":"1.07 gpm"}]}`,
			`"error":"groups: about 2e+10 sums to add up, at most 2e+09`},
		{`{"ask":"demand-exact","confidence":0.99,"groups":[]}`, `"error":"groups: empty: give at least one group"`},
		{`{"ask":"supply-load","code":"ipc-2021","fixtures":[]}`, `"error":"fixtures: empty: give at least one fixture"`},
		{`{"ask":"rolling-offset","rise":"0 in","side":"0 in","angle":45}`, `"error":"rise: rise and side are both zero`},
		{`{"ask":"cut-sheet","benchmark":"100 ft","backsight":"5 ft","invert":"96 ft","grade":"1 %","stations":[]}`,
			`"error":"stations: empty: give at least one distance"`},
		{`{"ask":"cut-sheet","benchmark":"100 ft","backsight":"5 ft","invert":"96 ft","grade":"1 %",` +
			`"stations":["0 ft","50 ft","40 ft"]}`, `"error":"stations: station 3 lies before the one ahead of it`},
		{`{"ask":"cut-sheet","benchmark":"100 ft","backsight":"5 ft","invert":"96 ft","grade":"1 %",` +
			`"stations":["0 ft","50 ft"],"ground":["99 ft"]}`, `"error":"ground: 1 elevations for 2 stations"`},
		{`{"ask":"cut-sheet","benchmark":"100 ft","backsight":"5 ft","invert":"96 ft","grade":"1 %",` +
			`"stations":["0 ft","far"]}`, `"error":"stations: entry 2: `},
		{`{"ask":"mix","hot":"60 degF","cold":"60 degF","mixed":"60 degF"}`, `"error":"hot: not above cold"`},
		{`{"ask":"mix","hot":"140 degF","cold":"50 degF","mixed":"49 degF"}`, `"error":"mixed: not between cold and hot"`},
		{`{"ask":"mix","hot":"140 degF","cold":"50 degF","mixed":"141 degF"}`, `"error":"mixed: not between`},
		{`{"ask":"mix","hot":"140 degF","cold":"50 degF","mixed":"140 degF"}`, `"hot_fraction":{"value":1,`},
		{`{"ask":"expansion-of-water","volume":"40 gal","cold":"-10 degF","hot":"250 degF"}`, `"error":"cold: `},
		{`{"ask":"drainage-load","code":"en12056-2","system":"I","continuous":"1 gpm",` +
			`"fixtures":[{"fixture":"wash-basin","count":1}]}`, `"error":"continuous: EN 12056-2 adds continuous flow`},
		{`{"ask":"parallel","method":"hazen-williams","flow":"10 gpm","head_loss":"3 ft","pipes":[]}`,
			`give one of head_loss, flow`},
	} {
		if out := one(t, c.line); !strings.Contains(out, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.line, out, c.want)
		}
	}
}

// TestPipesByFlow sizes by the tables of sets that go by flow or discharge units; sizes and
// capacities were read off the rows by hand.
func TestPipesByFlow(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		// EN 12056-2: DN 100 with swept entries carries 5.2 L/s; DN 90 would, were there no closets.
		{`"drain-size","code":"en12056-2","part":"stack","system":"I","vent":"primary","entry":"swept","flow":"3 L/s","water_closets":4`,
			`"size":{"value":100,`},
		{`"drain-size","code":"en12056-2","part":"stack","system":"I","vent":"primary","entry":"swept","flow":"3 L/s"`,
			`"size":{"value":90,`},
		{`"drain-size","code":"en12056-2","part":"branch","system":"I","ventilated":true,"flow":"1.4 L/s"`, `"size":{"value":60,`},
		{`"drain-size","code":"en12056-2","part":"branch","system":"I","flow":"1.4 L/s"`, `"size":{"value":70,`},
		{`"drain-size","code":"en12056-2","part":"drain","filling":0.7,"grade":"1.4 %","flow":"12.8 L/s"`, `"size":{"value":150,`},
		{`"drain-size","code":"en12056-2","part":"stack-interval","flow":"1 L/s"`, `"error":"part: not in the code: EN 12056-2 has`},
		// DIN 1986-100, 1 % and 70 % full: DN 150 carries 12.8 L/s, DN 200 23.7.
		{`"sewer-size","code":"din1986-100","filling":0.7,"grade":"1.2 %","flow":"12.8 L/s"`, `"size":{"value":150,`},
		{`"sewer-size","code":"din1986-100","filling":0.7,"grade":"1.2 %","flow":"12.9 L/s"`, `"size":{"value":200,`},
		{`"sewer-size","code":"din1986-100","filling":0.5,"grade":"1.2 %","flow":"9 L/s"`, `"error":"filling: 0.5 is not one of 0.7"`},
		{`"sewer-size","code":"din1986-100","filling":0.7,"grade":"0.4 %","flow":"9 L/s"`, `is flatter than din1986-100/drain-capacity goes`},
		{`"sewer-size","code":"din1986-100","filling":0.7,"grade":"0.5 %","flow":"56 L/s"`, `56 L/s is more than the 55.8 L/s`},
		{`"drain-size","code":"din1986-100","part":"branch","k":0.5,"load":9`, `"size":{"value":70,`},
		{`"drain-size","code":"din1986-100","part":"branch","k":0.5,"load":9.1`, `"size":{"value":80,`},
		{`"drain-size","code":"din1986-100","part":"branch","k":0.7,"load":9.1,"ventilated":true`, `"size":{"value":70,`},
		{`"drain-size","code":"din1986-100","part":"branch","k":0.6,"load":9`, `"error":"k: 0.6 is not one of 0.5, 0.7, 1"`},
		{`"drain-size","code":"din1986-100","part":"branch","k":0.7,"load":3,"water_closets":1`, `"error":"water_closets: the notes`},
		{`"drain-size","code":"din1986-100","part":"stack","flow":"1 L/s"`, `"error":"part: not in the code: din1986-100 has tables of branch, drain`},
		// Approved Document H: two closets bar the stack of 75 mm; a drain of 1 L/s or less
		// needs 1:40, of more 1:80, and 100 mm at 1:80 a closet.
		{`"drain-size","code":"adh-2015","part":"stack","flow":"3 L/s","water_closets":2`, `"size":{"value":90,`},
		{`"drain-size","code":"adh-2015","part":"stack","flow":"3 L/s"`, `"size":{"value":75,`},
		{`"sewer-size","code":"adh-2015","flow":"2.5 L/s","grade":"1:80","water_closets":1`, `"size":{"value":100,`},
		{`"sewer-size","code":"adh-2015","flow":"1 L/s","grade":"1:40"`, `"size":{"value":75,`},
		{`"sewer-size","code":"adh-2015","flow":"1 L/s","grade":"1:80"`, `"error":"flow: outside the table: no row`},
		{`"sewer-size","code":"adh-2015","flow":"12 L/s","grade":"1:100","water_closets":5`, `"size":{"value":150,`},
		{`"sewer-size","code":"bs5572-1978","load":430,"grade":"1:45"`, `"size":{"value":100,`},
		{`"sewer-size","code":"bs5572-1978","load":430,"grade":"1:60"`, `"size":{"value":125,`},
	} {
		if out := one(t, `{"ask":`+c.line+`,"units":"si"}`); !strings.Contains(out, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.line, out, c.want)
		}
	}
}

// TestErrorNamesTheCodesOfTheKind: a code that does not answer is told all that do, as the
// guide lists them.
func TestErrorNamesTheCodesOfTheKind(t *testing.T) {
	for kind, line := range map[string]string{
		"drain-size":   `"part":"drain","load":4,"grade":"1/4 in/ft"`,
		"sewer-size":   `"load":4,"grade":"1/4 in/ft"`,
		"trap-arm":     `"size":"2 in"`,
		"demand":       `"load":20,"system":"tank"`,
		"pipe-by-load": `"load":20,"pressure":"50 psi","length":"60 ft"`,
		"vent-size":    `"part":"individual","drain_size":"2 in","load":4,"length":"10 ft"`,
	} {
		codes := strings.Join(embedded.codesOf(kind), ", ")
		if codes == "" {
			t.Errorf("%s: no codes", kind)
		}
		for _, code := range []string{"csn-75-6760", "upc-1903"} { // one on the shelf, one not
			out := one(t, `{"ask":"`+kind+`","code":"`+code+`",`+line+`}`)
			if !strings.Contains(out, kind+" is answered by "+codes+`"}`) {
				t.Errorf("%s under %s: %s\nwant %s", kind, code, out, codes)
			}
		}
	}
}
