package job

import (
	"context"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/fstest"
)

// BenchmarkReport is the demonstration from its file to the printed page.
func BenchmarkReport(b *testing.B) {
	for b.Loop() {
		j, err := Read(hall, "hall/hall.json", "")
		if err != nil {
			b.Fatal(err)
		}
		r, err := report(context.Background(), j, "", newPrinter(false, false))
		if err != nil {
			b.Fatal(err)
		}
		if err := r.Print(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

// wideHall is a layout of n drainage points: a trunk with a trap every second
// point, each with its vent, branching off again and again.
func wideHall(n int) []byte {
	var b, v strings.Builder
	b.WriteString(`{"job": {"name": "wide", "code": "ipc-2021"}, "laser": {"grade": "2 %", "falls_toward": "90 deg", "beam_over": {"point": "O", "height": "4 ft"}},
"drainage": {"finished_floor": "900 ft", "slab": "5 in", "systems": [{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "100 ft"}, "points": [`)
	for i := range n / 2 {
		to := "O"
		if i > 0 {
			to = fmt.Sprint("T", (i-1)/2) // each trunk point takes two more
		}
		if i > 0 {
			b.WriteString(",\n")
		}
		fmt.Fprintf(&b, `{"id": "T%d", "to": "%s", "at": {"x": "%d ft", "y": "0 ft"}, "run": {"length": "3 ft", "grade": "1/4 in/ft", "material": "pvc-dwv", "bearing": "90 deg"}},
{"id": "F%d", "to": "T%d", "at": {"x": "%d ft", "y": "4 ft"}, "fixture": {"fixture": "lavatory"}, "run": {"length": "4 ft", "grade": "1/4 in/ft", "material": "pvc-dwv", "bearing": "180 deg"}}`, i, to, i, i, i, i)
		if i > 0 {
			v.WriteString(",\n")
		}
		fmt.Fprintf(&v, `{"id": "V%d", "kind": "individual", "from": "F%d", "terminal": {"above_roof": "12 in"}, "runs": [{"length": "14 ft", "direction": "up"}]}`, i, i)
	}
	b.WriteString("]}],\n\"vents\": [" + v.String() + "]}}")
	return []byte(b.String())
}

// BenchmarkWide is a layout of 10 000 points: all of it, and the report alone.
func BenchmarkWide(b *testing.B) {
	fsys := fstest.MapFS{"wide.json": &fstest.MapFile{Data: wideHall(10_000)}}
	j, err := Read(fsys, "wide.json", "")
	if err != nil {
		b.Fatal(err)
	}
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			if _, err := Read(fsys, "wide.json", ""); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("report", func(b *testing.B) {
		for b.Loop() {
			if _, err := report(context.Background(), j, "", newPrinter(false, false)); err != nil {
				b.Fatal(err)
			}
		}
	})
	r, err := report(context.Background(), j, "", newPrinter(false, false))
	if err != nil {
		b.Fatal(err)
	}
	b.Run("print", func(b *testing.B) {
		for b.Loop() {
			if err := r.Print(io.Discard); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// placedHall is a layout of n drainage points with places: a trunk, and at every twelfth foot
// of it a branch with twenty traps, each with its vent.
func placedHall(n int) []byte {
	var points, vents []string
	add := func(id, to, fixture string, x, y, long int) {
		points = append(points, fmt.Sprintf(`{"id": "%s", "to": "%s", "at": {"x": "%d ft", "y": "%d ft"}%s,
"run": {"length": "%d ft", "grade": "1/4 in/ft", "material": "pvc-dwv"}}`, id, to, x, y, fixture, long))
	}
	trunk := "O"
	for i := 1; len(points) < n; i++ {
		to := fmt.Sprint("T", i)
		add(to, trunk, "", -12*i, 0, 12)
		trunk = to
		for k := 1; k <= 20 && len(points) < n; k++ {
			id := fmt.Sprint(i, "-", k)
			add("B"+id, to, "", -12*i, 4*k, 4)
			add("F"+id, "B"+id, `, "fixture": {"fixture": "lavatory"}`, 4-12*i, 4*k, 4)
			vents = append(vents, fmt.Sprintf(`{"id": "V%s", "kind": "individual", "from": "F%s",
"terminal": {"above_roof": "12 in"}, "runs": [{"length": "14 ft", "direction": "up"}]}`, id, id))
			to = "B" + id
		}
	}
	return []byte(`{"job": {"name": "placed", "code": "ipc-2021"}, "drainage": {"finished_floor": "900 ft", "slab": "5 in",
"systems": [{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "100 ft", "at": {"x": "0 ft", "y": "0 ft"}},
"points": [` + strings.Join(points, ",\n") + `]}], "vents": [` + strings.Join(vents, ",\n") + `]}}`)
}

// BenchmarkWideDrawings is the drawings of as many points, all sheets and the key sheets.
func BenchmarkWideDrawings(b *testing.B) {
	for _, n := range []int{2500, 5000, 10_000} {
		j, err := Read(fstest.MapFS{"placed.json": &fstest.MapFile{Data: placedHall(n)}}, "placed.json", "")
		if err != nil {
			b.Fatal(err)
		}
		r, err := report(context.Background(), j, "", newPrinter(false, false))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := r.Drawings(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
