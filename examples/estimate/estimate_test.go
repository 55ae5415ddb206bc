package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

func call(args ...string) (out, errs string, status int) {
	var o, e bytes.Buffer
	status = run(context.Background(), args, &o, &e)
	return o.String(), e.String(), status
}

func file(t *testing.T, name, text string) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return name
}

const heads = "what,material,size,branch,unit,price,labour\n"

func TestGolden(t *testing.T) {
	out, errs, status := call("-rate", "65", "-currency", "$")
	if status != command.Fails || errs != "" {
		t.Fatal(status, errs)
	}
	golden.Keep(t, "testdata/bakery.txt", out)
}

// TestByHand: 4 in pipe of the bakery is 8 ft laid, 8.8 ft with a tenth of waste, and 3 ft of
// cleanout riser: 9 ft are bought of it alone. At 0.10 a foot ten times over nothing is lost.
func TestByHand(t *testing.T) {
	list := file(t, "few.csv", heads+"pipe,pvc-dwv,4 in,,ft,0.10,0.1\nwye,,,,each,3.3333,0\n")
	out, errs, _ := call("-prices", list, "-rate", "10", "-json", "bakery.json")
	var all []job.Estimate
	if err := json.Unmarshal([]byte(out), &all); err != nil || len(all) != 1 {
		t.Fatal(err, errs)
	}
	e := all[0]
	feet := e.Lines[0].Quantity
	is := func(d decimal.Decimal, want string) bool { return d.Equal(decimal.RequireFromString(want)) }
	if !feet.IsInteger() || !e.Lines[0].Cost.Equal(feet.Mul(decimal.RequireFromString("0.1"))) || !e.Labour.Equal(feet.Mul(decimal.RequireFromString("0.1"))) {
		t.Errorf("%+v", e.Lines[0])
	}
	var wyes decimal.Decimal
	for _, l := range e.Lines[1:] {
		wyes = wyes.Add(l.Cost)
		if l.Quantity.Equal(decimal.NewFromInt(2)) && !is(l.Cost, "6.67") {
			t.Errorf("two at 3.3333 cost %v", l.Cost)
		}
	}
	if !e.Material.Equal(e.Lines[0].Cost.Add(wyes)) || !e.Total.Equal(e.Material.Add(e.Labour.Mul(decimal.NewFromInt(10)))) {
		t.Errorf("total %v of %v and %v", e.Total, e.Material, e.Work)
	}
	if len(e.Unpriced) == 0 || !strings.Contains(strings.Join(e.Unpriced, " "), "pipe pvc-dwv 3 in") {
		t.Errorf("unpriced %v", e.Unpriced)
	}
}

// TestSideBySide: two lists, and metric units, over one job.
// TestMetricByHand: 20 m at 1.5 % under a slab whose underside lies at 29.85 m. With 100 mm of bedding the trench
// is 1.65 m deep at the outlet and 1.35 m at the closet, 0.5 m wide: 15 m3. Bedding 1 m3; 305 mm over pipe of
// 100 mm 4.048 m3 less 0.157 of the pipe; 9.95 m3 above that. A list may name a fitting as take-offs print it.
func TestMetricByHand(t *testing.T) {
	closet := file(t, "closet.json", `{"job": {"name": "closet", "code": "en12056-2"},
		"drainage": {"finished_floor": "30 m", "slab": "150 mm", "bedding": "100 mm", "trench_width": "500 mm",
		"european": {"system": "I", "usage": "intermittent"},
		"systems": [{"id": "s", "kind": "soil", "outlet": {"id": "MH", "kind": "sewer", "invert": "28.3 m", "size": "DN 100"},
		"points": [{"id": "W", "to": "MH", "run": {"length": "20 m", "grade": "1.5 %", "size": "DN 100"},
		"fixture": {"fixture": "water-closet", "use": "private", "control": "tank", "flush": "6 L"}}]}]}}`)
	list := file(t, "metric.csv", heads+"excavation,,,,m3,40,0\nbedding,,,,m3,50,0\ninitial-backfill,,,,m3,30,0\n"+
		"backfill,,,,m3,20,0\npan connector,,DN 100,,each,12.50,0\n")
	out, errs, _ := call("-prices", list, closet)
	for _, want := range []string{"15    m3  40.00  600.00", "1    m3  50.00   50.00", "3.9    m3  30.00  117.00",
		"10    m3  20.00  200.00", "1  each  12.50   12.50"} {
		if !strings.Contains(out, " "+want+" ") {
			t.Errorf("no %q in\n%s%s", want, out, errs)
		}
	}
}

func TestSideBySide(t *testing.T) {
	metric := file(t, "metric.csv", heads+"pipe,,,,m,10,0\n")
	out, _, status := call("-prices", "prices.csv", "-prices", metric, "bakery.json", "bakery.json")
	if status != command.Fails || strings.Count(out, "prices of") != 4 || !strings.Contains(out, "metric.csv") {
		t.Errorf("%d %s", status, out)
	}
}

func TestBadInput(t *testing.T) {
	for want, args := range map[string][]string{
		"no such file":           {"-prices", "none.csv", "bakery.json"},
		"with -prices":           {"bakery.json"},
		"no line of heads":       {"-prices", file(t, "h.csv", "# nothing\n"), "bakery.json"},
		"i.csv:3:12":             {"-prices", file(t, "i.csv", heads+"\npipe,,,,ft,x,0\n"), "bakery.json"},
		"no decimal number":      {"-prices", file(t, "a.csv", heads+"pipe,,,,ft,$3,0\n"), "bakery.json"},
		"is no decimal number\n": {"-prices", file(t, "j.csv", heads+"pipe,,,,ft,1e31,0\n"), "bakery.json"}, // 32 figures
		"ki.csv:3:14: price:":    {"-prices", file(t, "ki.csv", heads+"\npipe,,,,ft,1,"+strings.Repeat("1", 31)+"\n"), "bakery.json"},
		"negative":               {"-prices", file(t, "b.csv", heads+"pipe,,,,ft,-3,0\n"), "bakery.json"},
		"none of each":           {"-prices", file(t, "c.csv", heads+"pipe,,,,furlong,3,0\n"), "bakery.json"},
		"second row":             {"-prices", file(t, "d.csv", heads+"pipe,,,,ft,3,0\npipe,,,,m,3,0\n"), "bakery.json"},
		"no such column":         {"-prices", file(t, "e.csv", "item,cost\n"), "bakery.json"},
		"leave out what has":     {"-prices", file(t, "f.csv", heads+"pipe,,,,ft,,0\n"), "bakery.json"},
		"size":                   {"-prices", file(t, "g.csv", heads+"pipe,,wide,,ft,1,0\n"), "bakery.json"},
		"waste":                  {"-prices", "prices.csv", "-waste", "101", "bakery.json"},
		"-rate":                  {"-rate", "much"},
		"one file too many":      {"a", "b", "c", "d", "e"},
	} {
		out, errs, status := call(args...)
		if status != command.Refused || out != "" || !strings.Contains(errs, want) {
			t.Errorf("%v: status %d: %q %q, want %q", args, status, out, errs, want)
		}
	}
	if out, _, status := call("-h"); status != command.Done || !strings.Contains(out, line.Example) {
		t.Errorf("-h: status %d: %s", status, out)
	}
}
