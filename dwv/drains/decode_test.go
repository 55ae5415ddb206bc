package drains

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// drawnLayout is the text of a layout of n points.
func drawnLayout(n int) []byte {
	var b strings.Builder
	b.WriteString(`{"finished_floor": "900 ft", "slab": "5 in", "systems": [{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "100 ft"}, "points": [`)
	for i := range n {
		if i > 0 {
			b.WriteString(",\n")
		}
		fmt.Fprintf(&b, `{"id": "F%d", "to": "O", "at": {"x": "%d ft", "y": "4 ft"}, "fixture": {"fixture": "lavatory", "use": "private"}, "trap": {"size": "1 1/2 in", "arm": "3 ft 6 in"}, "run": {"length": "4 ft 3 in", "grade": "1/4 in/ft", "size": "2 in", "material": "pvc-dwv", "bearing": "180 deg"}}`, i, i)
	}
	b.WriteString("]}]}")
	return []byte(b.String())
}

// plainLayout is the Data of a layout that encoding/json reads by its tags.
type plainLayout Data

// BenchmarkDecode reads a layout of 10 000 points into its structs: ours, with every
// fault and place told, and encoding/json.
func BenchmarkDecode(b *testing.B) {
	data := drawnLayout(10_000)
	b.Run("ours", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			var l Data
			d, err := strictjson.Decode("l", "layout", data, &l, strictjson.Limits{})
			if err != nil || d.Faults.Err() != nil || len(l.Systems[0].Points) != 10_000 {
				b.Fatal(err, d.Faults.Err())
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			var l plainLayout
			if err := json.Unmarshal(data, &l); err != nil {
				b.Fatal(err)
			}
		}
	})
}
