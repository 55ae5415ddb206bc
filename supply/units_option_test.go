package supply

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestUnitsOption: findings, reasons and workings come in the units asked for, whatever
// the layout is written in.
func TestUnitsOption(t *testing.T) {
	american := regexp.MustCompile(`\d (psi|gpm|ft/s|degF|gal|Btu/h)\b`)
	metric := regexp.MustCompile(`\d (kPa|bar|L/s|m/s|degC|L|W)\b`)
	refuge, err := os.ReadFile("testdata/refuge.json")
	if err != nil {
		t.Fatal(err)
	}
	metricLayout, err := ParseLayout("refuge.json", refuge)
	if err != nil {
		t.Fatal(err)
	}
	for code, l := range map[string]*Layout{"ipc-2021": lodge(t), "din1988-300": metricLayout} {
		for _, tt := range []struct {
			units         UnitSystem
			wanted, never *regexp.Regexp
		}{{Customary, american, metric}, {Metric, metric, american}} {
			s, err := l.Size(mustCode(t, code), Options{Units: tt.units})
			if err != nil {
				t.Fatal(err)
			}
			list, err := s.Check(CheckOptions{})
			if err != nil {
				t.Fatal(err)
			}
			var text []string
			for _, f := range list {
				text = append(text, f.Reason, f.Fix)
				for _, q := range []any{f.Value, f.Limit, f.Margin} {
					if q, ok := q.(interface{ String() string }); ok {
						text = append(text, q.String())
					}
				}
			}
			for i := range s.Runs {
				text = append(text, s.Reason(i))
				text = append(text, s.Working(i)...)
			}
			seen := 0
			for _, x := range text {
				if i := strings.Index(x, ", by "); i > 0 {
					x = x[:i] // a citation names its row as the table does
				}
				if strings.HasPrefix(x, "load: ") {
					continue // in what the code counts
				}
				if at := tt.never.FindString(x); at != "" {
					t.Errorf("units %d: %q stands in %q", tt.units, at, x)
				}
				if tt.wanted.MatchString(x) {
					seen++
				}
			}
			if seen < 20 {
				t.Errorf("units %d: only %d texts hold a quantity", tt.units, seen)
			}
		}
	}
}
