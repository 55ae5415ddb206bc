package tables_test

import (
	"bytes"
	"embed"
	"encoding/csv"
	"io/fs"
	"strconv"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

//go:embed data
var data embed.FS

func readAll(b *testing.B, fsys fs.FS, names []string) {
	for _, name := range names {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			b.Fatal(err)
		}
		r := csv.NewReader(bytes.NewReader(data))
		r.Comment = '#'
		if _, err := r.ReadAll(); err != nil {
			b.Fatal(name, err)
		}
	}
}

// BenchmarkShelf reads every file of the shelf, with sources, checks and all; the floor
// is encoding/csv over the same bytes.
func BenchmarkShelf(b *testing.B) {
	fsys, err := fs.Sub(data, "data")
	if err != nil {
		b.Fatal(err)
	}
	names, err := fs.Glob(fsys, "*/*.csv")
	if err != nil {
		b.Fatal(err)
	}
	names = append(names, "sources.csv")
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, err := range tables.Open(fsys).All() {
				if err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			readAll(b, fsys, names)
		}
	})
}

// BenchmarkLoad reads one table into typed rows.
func BenchmarkLoad(b *testing.B) {
	type drain struct {
		Size  units.Length         `table:"size"`
		Grade slope.Grade          `table:"grade"`
		Load  tables.Cell[float64] `table:"max_load[dfu]"`
	}
	text := "# id: town/drain\n# title: Drains\n# source: code\n# key: size, grade\n" +
		"# monotone: max_load up with size; max_load up with grade\n" +
		"size[in],grade[in/ft],max_load[dfu],note,src,status\n"
	for n, size := range []string{"1.25", "1.5", "2", "2.5", "3", "4", "5", "6", "8", "10", "12", "15"} {
		for i, grade := range []string{"0.0625", "0.125", "0.25", "0.5"} {
			text += size + "," + grade + "," + strconv.Itoa(n*n*20+i*10) + ",,code;page,read2\n"
		}
	}
	m := fstest.MapFS{"sources.csv": {Data: []byte(documents)}, "town/drain.csv": {Data: []byte(text)}}
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := tables.Load[drain](tables.Open(m), "town/drain"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			readAll(b, m, []string{"sources.csv", "town/drain.csv"})
		}
	})
}
