package dwv

import (
	"testing"

	"github.com/trapweir/trapweir/units"
)

// A drawing under a European standard names its sizes DN, and so do our reports:
// what they print is read again.
func TestNominalSizes(t *testing.T) {
	for text, want := range map[string]units.Length{
		"DN 80": 80 * units.Millimetre, "DN100": 100 * units.Millimetre, " DN 50\n": 50 * units.Millimetre,
		"80 mm": 80 * units.Millimetre, "3 in": 3 * units.Inch, "1-1/2 in": 3 * units.Inch / 2,
		"DN": 0, "DN 80 mm": 0, "DN -80": 0, "DN 8.5": 0, "80": 0, "dn 80": 0,
	} {
		var n nominal
		err := n.UnmarshalText([]byte(text))
		if (err == nil) != (want != 0) || units.Length(n) != want {
			t.Errorf("%q is %v, %v; want %v", text, units.Length(n), err, want)
		}
	}
	l, err := ParseLayout("f", []byte(`{"finished_floor":"2 m","systems":[{"id":"S","kind":"soil","outlet":{"id":"X","kind":"sewer",`+
		`"invert":"0 m","size":"DN 100"},"points":[{"id":"A","to":"X","run":{"length":"1 m","grade":"2 %","size":"DN 80"}}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	if got := l.Systems[0].Points[0].Run.Size; got != 80*units.Millimetre {
		t.Errorf("the run is %v", got)
	}
}
