package job

import "testing"

func TestOneSize(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"3 in", "DN 80", true}, {"4 in", "DN 100", true}, {"3 in", "4 in", false}, {"1 1/4 in", "1 1/2 in", false},
		{"22 x 1.0 mm", "22 x 1.0 mm", true}, {"22 x 1.0 mm", "28 x 1.0 mm", false},
	} {
		if got := oneSize(tt.a, tt.b); got != tt.want {
			t.Errorf("%s and %s: %v", tt.a, tt.b, got)
		}
	}
}
