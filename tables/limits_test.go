package tables_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
)

// manyColumns heads a table of n columns.
func manyColumns(n int) string {
	var b strings.Builder
	b.WriteString("size[in],grade[in/ft],")
	for i := range n - 4 {
		fmt.Fprintf(&b, "c%d,", i)
	}
	return b.String() + "src,status\n"
}

// A file as large as is taken, in each way that it can be large.
func TestLargestFiles(t *testing.T) {
	const columns = "size[in],grade[in/ft],max_load[dfu],note,src,status\n"
	long := head + "# note: "
	var rows strings.Builder
	for i := range 100_000 {
		fmt.Fprintf(&rows, "%d,,,,,read\n", i)
	}
	for name, text := range map[string]string{
		"columns":      head + manyColumns(64),
		"cell":         head + columns + "2,0.25,21," + strings.Repeat("n", 4096) + ",,read\n",
		"column name":  head + "size[in],grade[in/ft]," + strings.Repeat("n", 64) + ",src,status\n",
		"bytes":        long + strings.Repeat("n", 8<<20-len(long)-len(columns)-1) + "\n" + columns,
		"rows":         head + columns + rows.String(),
		"rows, no end": head + columns + strings.TrimSuffix(rows.String(), "\n"),
	} {
		if _, err := shelfOf(text).Table("town/drain"); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := shelfOf(head + columns + rows.String() + "100000,,,,,read\n").Table("town/drain"); !errors.Is(err,
		tables.ErrTooLarge) {
		t.Errorf("a row more: %v", err)
	}
}

// Of one source too many only that one is told, on its line.
func TestMostSources(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,title,publisher,edition,year,url,note\n" + strings.Repeat("c", 64) + ",Code,,,,,\n")
	for i := range 100_000 {
		fmt.Fprintf(&b, "s%d,S,,,,,\n", i)
	}
	_, err := tables.Open(fstest.MapFS{"sources.csv": {Data: []byte(b.String())}}).Sources()
	if want := "sources.csv:100002: file exceeds a limit: more than 100000 rows"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestMostTables(t *testing.T) {
	inOne, apart := fstest.MapFS{}, fstest.MapFS{}
	for i := range 10_000 {
		inOne[fmt.Sprintf("town/t%d.csv", i)] = &fstest.MapFile{}
		apart[fmt.Sprintf("t%d", i)] = &fstest.MapFile{}
	}
	if ids, err := tables.Open(inOne).IDs(); err != nil || len(ids) != 10_000 {
		t.Errorf("%d tables of a set: %v", len(ids), err)
	}
	inOne["town/more.csv"] = &fstest.MapFile{}
	if _, err := tables.Open(inOne).IDs(); !errors.Is(err, tables.ErrTooLarge) {
		t.Errorf("a table more: %v", err)
	}
	if ids, err := tables.Open(apart).IDs(); err != nil || len(ids) != 0 {
		t.Errorf("10,000 entries: %v, %v", ids, err)
	}
	apart["more"] = &fstest.MapFile{}
	if _, err := tables.Open(apart).IDs(); !errors.Is(err, tables.ErrTooLarge) {
		t.Errorf("an entry more: %v", err)
	}
}
