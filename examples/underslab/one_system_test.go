package main

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The two halves of the shed, each with the comma before it.
var (
	shedDrains = shed[strings.Index(shed, ",\n \"drainage\""):strings.Index(shed, ",\n \"water\"")]
	shedWater  = shed[strings.Index(shed, ",\n \"water\"") : len(shed)-1]
)

// partsOf returns the parts of a report that has been printed as JSON.
func partsOf(t *testing.T, text string) (parts []string, report map[string]json.RawMessage) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &report); err != nil {
		t.Fatalf("%v: %.300s", err, text)
	}
	return slices.Sorted(maps.Keys(report)), report
}

// TestWaterOrDrainsAlone: a job of water alone or of drains alone is a job. What it has not is
// not in its report.
func TestWaterOrDrainsAlone(t *testing.T) {
	both := []string{"assumed", "cautions", "confirmed", "counts", "file", "findings", "inspections", "job", "materials", "not_judged", "permit", "tests", "versions"}
	drains := []string{"cleanouts", "depth_left", "drains", "elevations", "fixtures", "stubs", "system_loads", "vents"}
	for _, c := range []struct {
		name, without string
		parts, heads  []string
		no            []string
	}{
		{"whole", "", slices.Concat(both, drains, []string{"water"}), []string{"Drains", "Water lines"}, nil},
		{"drains", shedWater, slices.Concat(both, drains), []string{"Fixtures and loads", "Drains", "Vents"},
			[]string{"Water lines", "Hot water", "water lines"}},
		{"water", shedDrains, slices.Concat(both, []string{"water"}), []string{"Water lines"},
			[]string{"Fixtures and loads", "Drains", "Vents", "Cleanouts", "Elevations", "finished floor", "waste"}},
	} {
		status, out, errs := shedWith(t, map[string]string{c.without: ""}, "-json")
		if status != 0 || errs != "" {
			t.Errorf("%s: status %d: %s", c.name, status, errs)
			continue
		}
		parts, report := partsOf(t, out)
		if diff := cmp.Diff(slices.Sorted(slices.Values(c.parts)), parts); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
		if strings.Contains(out, "null") {
			t.Errorf("%s: a part is null", c.name)
		}
		_, tests := partsOf(t, string(report["tests"]))
		if (tests["drains"] != nil) != (c.without != shedDrains) || (tests["water"] != nil) != (c.without != shedWater) {
			t.Errorf("%s: tests %s", c.name, report["tests"])
		}
		_, out, _ = shedWith(t, map[string]string{c.without: ""})
		for _, h := range c.heads {
			if !strings.Contains(out, "  "+h+"\n") {
				t.Errorf("%s: no %s in\n%s", c.name, h, out)
			}
		}
		for _, h := range c.no {
			if before, _, _ := strings.Cut(out, "Cautions"); strings.Contains(before, h) {
				t.Errorf("%s: %s in\n%s", c.name, h, out)
			}
		}
	}
	status, _, errs := shedWith(t, map[string]string{shedDrains: "", shedWater: ""})
	if status != 2 || !strings.Contains(errs, "shed.json:1:1: layout file: drainage: missing: a job has drainage, water or both") {
		t.Errorf("neither: status %d: %s", status, errs)
	}
}

// TestOneOfTwoUnjudged: what keeps one half from being judged is asked about, and the
// other half has its report. The shelf has no drains for DIN 1988-300 and no water
// for AS/NZS 3500.2.
func TestOneOfTwoUnjudged(t *testing.T) {
	for _, c := range []struct {
		code, has, lacks, says string
	}{
		{"din1988-300", "water", "drains", "The drains could not be worked"},
		{"asnzs3500-2", "drains", "water", "The water lines could not be worked"},
	} {
		edits := map[string]string{"ipc-2021": c.code, `"cold": "50 degF"`: `"cold": "50 degF"`, `"name": "@WATER"`: `"name": "@WATER", "building": "residential"`}
		for _, args := range [][]string{{"-json"}, {"-json", "-code", "ipc-2021"}} {
			status, out, errs := shedWith(t, edits, args...)
			if status != 0 {
				t.Errorf("%s %v: status %d: %s", c.code, args, status, errs)
				continue
			}
			if len(args) > 1 {
				continue // all of it is judged, and compared with what can be
			}
			parts, report := partsOf(t, out)
			if !slices.Contains(parts, c.has) || slices.Contains(parts, c.lacks) {
				t.Errorf("%s: parts %v", c.code, parts)
			}
			if !strings.Contains(string(report["findings"]), c.says) {
				t.Errorf("%s: the findings do not say so: %.600s", c.code, report["findings"])
			}
		}
		// A file without the half that the code has is refused.
		without := shedWater
		if c.has == "drains" {
			without = shedDrains
		}
		edits[without] = ""
		if status, _, errs := shedWith(t, edits); status != 2 || !strings.Contains(errs, "job: code: ") || !strings.Contains(errs, c.code) {
			t.Errorf("%s without %s: status %d: %s", c.code, c.has, status, errs)
		}
	}
	if status, _, errs := shedWith(t, map[string]string{"pex-sdr9": "pecks"}); status != 2 || !strings.Contains(errs, "shed.json:") ||
		!strings.Contains(errs, "pecks") {
		t.Errorf("a pipe misspelt: status %d: %s", status, errs)
	}
	if status, _, errs := shedWith(t, map[string]string{shedDrains: `,"laser":{"grade":"2 %","falls_toward":"0 deg","beam_over":{"point":"A","height":"4 ft"}}`}); status != 2 ||
		!strings.Contains(errs, "laser: it sets drains") {
		t.Errorf("a laser without drains: status %d: %s", status, errs)
	}
}
