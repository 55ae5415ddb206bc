package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// shed is a job of one lavatory, with drains and water: what stands in a place is
// put there.
const shed = `{"job": {"name": "@NAME", "note": "@NOTE", "code": "ipc-2021"},
 "drainage": {"finished_floor": "100 ft", "slab": "4 in", "systems": [{"id": "@SYSTEM", "kind": "soil",
  "outlet": {"id": "OUT", "kind": "sewer", "invert": "96 ft", "size": "4 in"},
  "points": [{"id": "@POINT", "to": "OUT", "run": {"length": "10 ft", "grade": "2 %", "size": "2 in", "material": "pvc-dwv"},
   "fixture": {"fixture": "lavatory", "use": "private"}}]}]},
 "water": {"name": "@WATER", "source": {"id": "@STREET", "pressure": "60 psi"}, "water": {"cold": "50 degF"},
  "pipe": {"cold": "pex-sdr9"}, "points": [{"id": "@TAP", "from": "@STREET", "length": "10 ft"}],
  "fixtures": [{"id": "@BASIN", "fixture": "lavatory", "use": "private", "cold": "@TAP"}]}}`

// shedWith runs the program on the shed with texts put in, and returns what it prints.
func shedWith(t *testing.T, texts map[string]string, args ...string) (status int, out, errs string) {
	t.Helper()
	text := shed
	places := slices.SortedFunc(maps.Keys(texts), func(a, b string) int { return len(b) - len(a) }) // halves first
	for _, place := range places {
		s := texts[place]
		if strings.HasPrefix(place, "@") {
			quoted, err := json.Marshal(s)
			if err != nil {
				t.Fatal(err)
			}
			s = string(quoted[1 : len(quoted)-1])
		}
		text = strings.ReplaceAll(text, place, s)
	}
	text = strings.ReplaceAll(text, "@", "")
	file := filepath.Join(t.TempDir(), "shed.json")
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	status = run(t.Context(), append(args, file), &stdout, &stderr)
	return status, stdout.String(), stderr.String()
}

// raw returns what a terminal would obey in a text of lines.
func raw(s string) (found []rune) {
	for _, r := range s {
		if r != '\n' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) {
			found = append(found, r)
		}
	}
	return found
}

// TestTextIsData: whatever a layout writes in its texts, the report has the lines
// that it would have, and a terminal obeys none of it.
func TestTextIsData(t *testing.T) {
	_, base, _ := shedWith(t, nil)
	for _, s := range []string{"a\nb\tFAIL forged line\x1b[2J", "\u202egnp.exe\u009b31m", "\x7f\r\u2028x"} {
		for _, place := range []string{"@NAME", "@NOTE", "@WATER"} {
			status, out, errs := shedWith(t, map[string]string{place: s})
			if status != 0 || raw(out) != nil || errs != "" {
				t.Errorf("%s %q: status %d, raw %q: %s", place, s, status, raw(out), errs)
			}
			if n := strings.Count(out, "\n") - strings.Count(base, "\n"); n != 0 && place != "@NOTE" {
				t.Errorf("%s %q: %d lines more", place, s, n)
			}
			status, out, _ = shedWith(t, map[string]string{place: s}, "-json")
			if status != 0 || raw(out) != nil {
				t.Errorf("%s %q: -json: status %d, raw %q", place, s, status, raw(out))
			}
		}
		for _, place := range []string{"@SYSTEM", "@POINT", "@STREET", "@TAP", "@BASIN"} {
			status, out, errs := shedWith(t, map[string]string{place: s})
			if status != 2 || out != "" || raw(errs) != nil {
				t.Errorf("%s %q: status %d, raw %q", place, s, status, raw(errs))
			}
			for line := range strings.Lines(errs) {
				if !strings.Contains(line, "shed.json:") {
					t.Errorf("%s %q: a line without a place: %s", place, s, line)
				}
			}
		}
		_, _, errs := shedWith(t, map[string]string{`"size": "2 in"`: `"size": "2 in", ` + quoted(t, s) + `: 1`})
		if !strings.Contains(errs, `unknown field`) || raw(errs) != nil || strings.Count(errs, "\n") != 2 {
			t.Errorf("an unknown field %q: %q", s, errs)
		}
	}
	for _, id := range []string{"   ", strings.Repeat("x", 10_000), "half \ufffd"} {
		for _, place := range []string{"@SYSTEM", "@POINT", "@STREET", "@TAP", "@BASIN"} {
			status, _, errs := shedWith(t, map[string]string{place: id})
			if status != 2 || !strings.Contains(errs, ": id: ") || len(errs) > 1000 {
				t.Errorf("%s %.20q: status %d: %.300s", place, id, status, errs)
			}
		}
	}
	// Half of a pair of surrogates, as JSON can write it.
	if status, _, errs := shedWith(t, map[string]string{`"@POINT"`: `"\ud800"`}); status != 2 || !strings.Contains(errs, "surrogate") {
		t.Errorf("half of a pair: status %d: %s", status, errs)
	}
}

func quoted(t *testing.T, s string) string {
	t.Helper()
	b, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
