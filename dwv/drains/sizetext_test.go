package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/units"
)

// A drawing under a European standard names its sizes DN, and so do our reports:
// what they print is read again.
func TestNominalSizes(t *testing.T) {
	const layout = `{"finished_floor":"2 m","systems":[{"id":"S","kind":"soil","outlet":{"id":"X","kind":"sewer",` +
		`"invert":"0 m","size":"DN 100"},"points":[{"id":"A","to":"X","run":{"length":"1 m","grade":"2 %","size":"@"}}]}]}`
	for text, want := range map[string]units.Length{
		"DN 80": 80 * units.Millimetre, "DN100": 100 * units.Millimetre, ` DN 50\n`: 50 * units.Millimetre,
		"80 mm": 80 * units.Millimetre, "3 in": 3 * units.Inch, "1-1/2 in": 3 * units.Inch / 2,
		"DN": 0, "DN 80 mm": 0, "DN -80": 0, "DN 8.5": 0, "80": 0, "dn 80": 0, "0 in": 0, "DN 0": 0,
	} {
		l, err := parse("f", []byte(strings.Replace(layout, "@", text, 1)))
		if (err == nil) != (want != 0) {
			t.Errorf("%q: %v", text, err)
		} else if err == nil && l.Systems[0].Points[0].Run.Size != want {
			t.Errorf("%q is %v, want %v", text, l.Systems[0].Points[0].Run.Size, want)
		}
	}
}
