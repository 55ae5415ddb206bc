package supply

import (
	"strings"
	"testing"
)

// TestAbsentObjects: an object that is not there is missing, and not blamed for what
// it would have held.
func TestAbsentObjects(t *testing.T) {
	_, err := ParseLayout("x", []byte(`{"points": [{"id": "A", "from": "s", "length": "5 m"}], "fixtures": []}`))
	if err == nil {
		t.Fatal("no error")
	}
	for _, never := range []string{"degC", "degF", "psi", "kPa", "above zero"} {
		if strings.Contains(err.Error(), never) {
			t.Errorf("%q stands in:\n%v", never, err)
		}
	}
	for _, want := range []string{"x:1:1: source: missing", "x:1:1: water: missing"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
}
