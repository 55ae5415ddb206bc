package job

import "testing"

// TestWrittenInMetric: a layout is metric if its lengths and pressures are, whatever its pipe
// is called; the more decide, and in a tie feet.
func TestWrittenInMetric(t *testing.T) {
	for _, c := range []struct {
		data string
		want bool
	}{
		{`{"length": "3.2 m", "size": "3 in"}`, true},
		{`{"length": "3.2 m", "size": "3 in", "trap": "1-1/2 in", "vent": "2 in"}`, true},
		{`{"length": "10 ft", "size": "3 in"}`, false},
		{`{"length": "10 ft", "flow": "0.2 L/s"}`, false},
		{`{"length": "10 ft", "flow": "0.2 L/s", "static": "400 kPa"}`, true},
		{`{"length": "10 ft 6 in", "rise": "3'"}`, false},
		{`{"length": "-0.5 m"}`, true}, {`{"length": ".5 m"}`, true},
		{`{"id": "m", "name": "5", "note": "kPa 3"}`, false},
		{`{"note": "3 rooms of which each is as long as its pipe is high, and is 4 m"}`, false}, // no quantity
		{`{}`, false},
	} {
		if got := writtenInMetric([]byte(c.data)); got != c.want {
			t.Errorf("%s: %t", c.data, got)
		}
	}
}
