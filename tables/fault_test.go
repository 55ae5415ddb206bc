package tables_test

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

const documents = "id,title,publisher,edition,year,url,note\ncode,Town Plumbing Code,Town,3rd,2020,,\n" +
	"page,A page,,,2021,,\n"

const head = "# id: town/drain\n# title: Drains\n# source: code\n# key: size, grade\n"

// shelfOf makes a shelf with one table, town/drain.
func shelfOf(text string) *tables.Shelf {
	return tables.Open(fstest.MapFS{
		"sources.csv":    {Data: []byte(documents)},
		"town/drain.csv": {Data: []byte(text)},
	})
}

// TestFaults checks each kind of fault for its cause and its place.
func TestFaults(t *testing.T) {
	const columns = "size[in],grade[in/ft],max_load[dfu],note,src,status\n"
	const row = "2,0.25,21,,,read\n"
	for _, c := range []struct {
		name, text string
		cause      error
		want       []string // line:column of each fault
	}{
		{"empty", "", tables.ErrHeader, []string{"0:0"}},
		{"only-header", head, tables.ErrHeader, []string{"4:0"}},
		{"unknown-key", "# color: red\n" + head + columns + row, tables.ErrHeader, []string{"1:1"}},
		{"no-colon", "# drains\n" + head + columns + row, tables.ErrHeader, []string{"1:1"}},
		{"empty-value", "# section:\n" + head + columns + row, tables.ErrHeader, []string{"1:1"}},
		{"key-twice", head + "# title: Again\n" + columns + row, tables.ErrHeader, []string{"5:1"}},
		{"wrong-id", strings.Replace(head, "town", "city", 1) + columns + row, tables.ErrHeader, []string{"0:0"}},
		{"no-title", "# id: town/drain\n# source: code\n# key: size, grade\n" + columns + row, tables.ErrHeader,
			[]string{"0:0"}},
		{"no-source", "# id: town/drain\n# title: Drains\n# key: size, grade\n" + columns + row, tables.ErrSource,
			[]string{"0:0"}},
		{"no-key", "# id: town/drain\n# title: Drains\n# source: code\n" + columns + row, tables.ErrHeader,
			[]string{"0:0"}},
		{"unknown-key-column", strings.Replace(head, "grade", "pitch", 1) + columns + row, tables.ErrHeader,
			[]string{"5:0"}},
		{"bad-boundary", head + "# boundary: under\n" + columns + row, tables.ErrHeader, []string{"5:1"}},
		{"bad-interpolation", head + "# interpolation: cubic\n" + columns + row, tables.ErrHeader, []string{"5:1"}},
		{"bad-monotone", head + "# monotone: max_load rises\n" + columns + row, tables.ErrHeader, []string{"5:1"}},
		{"monotone-no-key", head + "# monotone: max_load up with max_load\n" + columns + row, tables.ErrHeader,
			[]string{"5:0"}},
		{"described-column-missing", head + "# column slope: fall\n" + columns + row, tables.ErrHeader,
			[]string{"5:0"}},
		{"bad-exception", head + "# except: max_load: because\n" + columns + row, tables.ErrHeader, []string{"5:1"}},
		{"exception-without-reason", head + "# except: max_load at 2, 0.5: (code)\n" + columns + row, tables.ErrHeader,
			[]string{"5:1"}},
		{"exception-open", head + "# except: max_load at 2, 0.5: printed so (code\n" + columns + row, tables.ErrHeader,
			[]string{"5:1"}},
		{"exception-nowhere", head + "# except: max_load 2: printed so (code)\n" + columns + row, tables.ErrHeader,
			[]string{"5:1"}},
		{"exception-of-no-column", head + "# monotone: max_load up with grade\n# except: load at 2, 0.5: printed so (code)\n" +
			columns + row, tables.ErrHeader, []string{"6:0"}},
		{"exception-of-half-a-key", head + "# monotone: max_load up with grade\n# except: max_load at 2: printed so (code)\n" +
			columns + row, tables.ErrHeader, []string{"6:0"}},
		{"monotone-no-column", head + "# monotone: load up with size\n" + columns + row, tables.ErrHeader, []string{"5:0"}},
		{"monotone-words", head + "# monotone: note up with size\n" + columns + row, tables.ErrHeader, []string{"5:0"}},
		{"key-is-note", strings.Replace(head, "grade", "note", 1) + columns + row, tables.ErrHeader, []string{"5:0"}},
		{"key-is-src", strings.Replace(head, "grade", "src", 1) + columns + row, tables.ErrHeader, []string{"5:0"}},
		{"key-is-status", strings.Replace(head, "grade", "status", 1) + columns + row, tables.ErrHeader, []string{"5:0"}},
		{"key-names-one-twice", strings.Replace(head, "grade", "size", 1) + columns + row, tables.ErrHeader,
			[]string{"5:0"}},
		{"exception-without-source",
			head + "# monotone: max_load up with grade\n# except: max_load at 2, 0.5: printed so (nobody)\n" + columns +
				row + "2,0.5,20,,,read\n", tables.ErrSource, []string{"6:0"}},
		{"exception-excuses-nothing",
			head + "# monotone: max_load up with grade\n# except: max_load at 2, 0.5: printed so (code)\n" + columns +
				row + "2,0.5,26,,,read\n", tables.ErrHeader, []string{"6:0"}},
		{"column-head", head + "size[in],grade[in/ft,max_load[dfu],note,src,status\n" + row, tables.ErrColumn,
			[]string{"5:10"}},
		{"column-upper-case", head + "Size[in],grade[in/ft],max_load[dfu],note,src,status\n" + row, tables.ErrColumn,
			[]string{"5:1"}},
		{"column-begins-with-a-digit", head + "size[in],grade[in/ft],2_load[dfu],note,src,status\n" + row,
			tables.ErrColumn, []string{"5:23"}},
		{"column-begins-with-a-stroke", head + "size[in],grade[in/ft],_load[dfu],note,src,status\n" + row,
			tables.ErrColumn, []string{"5:23"}},
		{"column-too-long", head + "size[in],grade[in/ft]," + strings.Repeat("n", 65) + ",note,src,status\n" + row,
			tables.ErrColumn, []string{"5:23"}},
		{"column-twice", head + "size[in],grade[in/ft],size[dfu],note,src,status\n" + row, tables.ErrColumn,
			[]string{"5:23"}},
		{"no-status", head + "size[in],grade[in/ft],max_load[dfu],note,src\n", tables.ErrColumn, []string{"5:0"}},
		{"src-misplaced", head + "size[in],grade[in/ft],src,max_load[dfu],status\n", tables.ErrColumn, []string{"5:0"}},
		{"src-first", head + "src,size[in],grade[in/ft],max_load[dfu],status\n", tables.ErrColumn, []string{"5:0"}},
		{"note-first", head + "note,size[in],grade[in/ft],max_load[dfu],src,status\n", tables.ErrColumn,
			[]string{"5:0"}},
		{"note-misplaced", head + "size[in],note,grade[in/ft],max_load[dfu],src,status\n", tables.ErrColumn,
			[]string{"5:0"}},
		{"unit-on-status", head + "size[in],grade[in/ft],max_load[dfu],note,src,status[1]\n", tables.ErrUnit,
			[]string{"5:46"}},
		{"too-few-cells", head + columns + "2,0.25,21,,read\n", tables.ErrSyntax, []string{"6:0"}},
		{"too-many-cells", head + columns + "2,0.25,21,,,,read\n", tables.ErrSyntax, []string{"6:0"}},
		{"unknown-status", head + columns + "2,0.25,21,,,sure\n", tables.ErrStatus, []string{"6:13"}},
		{"no-status-cell", head + columns + "2,0.25,21,,,\n", tables.ErrStatus, []string{"6:13"}},
		{"unknown-src", head + columns + "2,0.25,21,,code; book,read\n", tables.ErrSource, []string{"6:12"}},
		{"not-a-number", head + columns + "2,0.25,many,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"thousands", head + columns + "2,0.25,\"1,400\",,,read\n", tables.ErrCell, []string{"6:8"}},
		{"infinity", head + columns + "2,0.25,inf,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"not-a-number-nan", head + columns + "2,0.25,NaN,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"hexadecimal", head + columns + "2,0.25,0x10,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"underscore", head + columns + "2,0.25,1_0,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"plus", head + columns + "2,0.25,+21,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"minus-sign", head + columns + "2,0.25,−21,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"too-great-a-number", head + columns + "2,0.25,1e999,,,read\n", tables.ErrCell, []string{"6:8"}},
		{"improper-fraction", head + columns + "2,5/4,21,,,read\n", tables.ErrCell, []string{"6:3"}},
		{"space-around-cell", head + columns + "2, 0.25,21,,,read\n", tables.ErrSyntax, []string{"6:3"}},
		{"space-after-cell", head + columns + "2,0.25 ,21,,,read\n", tables.ErrSyntax, []string{"6:3"}},
		{"after-quoted-comma", head + columns + "2,0.25,21,\"a,\",nobody,read\n", tables.ErrSource, []string{"6:16"}},
		{"open-quote", head + columns + "2,0.25,21,\"note,,read\n", tables.ErrSyntax, []string{"6:11"}},
		{"quote-inside", head + columns + "2,0.25,21,a \"note\",,read\n", tables.ErrSyntax, []string{"6:11"}},
		{"text-after-quote", head + columns + "2,0.25,21,\"a\"b,,read\n", tables.ErrSyntax, []string{"6:14"}},
		{"header-among-rows", head + columns + row + "# note: late\n", tables.ErrSyntax, []string{"7:1"}},
		{"duplicate", head + columns + row + row, tables.ErrDuplicate, []string{"7:1"}},
		{"duplicate-by-value", head + columns + row + "2.0,0.250,22,,,read\n", tables.ErrDuplicate, []string{"7:1"}},
		{"disorder", head + columns + "3,0.25,42,,,read\n" + row, tables.ErrOrder, []string{"7:1"}},
		{"disorder-as-words", head + columns + "10,0.25,42,,,read\n" + "2,0.25,21,,,read\n", tables.ErrOrder,
			[]string{"7:1"}},
		{"disorder-second-key", head + columns + row + "2,0.125,21,,,read\n", tables.ErrOrder, []string{"7:3"}},
		{"forbidden-key", head + columns + "-,0.25,21,,,read\n", tables.ErrCell, []string{"6:1"}},
		{"blank-key", head + columns + ",,21,,,read\n", tables.ErrCell, []string{"6:1"}},
		{"falls", head + "# monotone: max_load up with size\n" + columns + "2,0.25,21,,,read\n3,0.25,20,,,read\n",
			tables.ErrMonotone, []string{"8:8"}},
		{"rises", head + "# monotone: max_load down with size\n" + columns + "2,0.25,21,,,read\n3,0.25,22,,,read\n",
			tables.ErrMonotone, []string{"8:8"}},
		{"falls-from-unlimited", head + "# monotone: max_load up with size\n" + columns +
			"2,0.25,unlimited,,,read\n3,0.25,20,,,read\n", tables.ErrMonotone, []string{"8:8"}},
		{"falls-on-a-last-line-without-end",
			head + "# monotone: max_load up with size\n" + columns + "2,0.25,21,,,read\n3,0.25,20,,,read",
			tables.ErrMonotone, []string{"8:8"}},
		{"falls-in-the-first-column",
			strings.Replace(head, "size, grade", "size",
				1) + "# monotone: max_load up with size\nmax_load[dfu],size[in],src,status\n21,2,,read\n20,3,,read\n",
			tables.ErrMonotone, []string{"8:1"}},
		{"control-character", head + columns + "2,0.25,21,\a,,read\n", tables.ErrSyntax, []string{"6:11"}},
		{"control-character-ends-line", head + columns + "2,0.25,21,,,read\a\n", tables.ErrSyntax, []string{"6:17"}},
		{"lone-carriage-return", head + columns + "2,0.25,21,,\r,read\n", tables.ErrSyntax, []string{"6:12"}},
		{"not-utf-8", head + columns + "2,0.25,21,\xff,,read\n", tables.ErrSyntax, []string{"6:11"}},
		{"one-byte-of-more", head + columns + "2,0.25,21,\x80,,read\n", tables.ErrSyntax, []string{"6:11"}},
		{"utf-16", "\xff\xfe#\x00", tables.ErrSyntax, []string{"1:4"}},
		{"two-byte-order-marks", "\ufeff\ufeff" + head + columns + row, tables.ErrColumn, nil},
		{"op-without-shelf", strings.Replace(head, "# key: size, grade\n", "", 1) + "op," + columns + "set," + row,
			tables.ErrAmendment, []string{"0:0"}},
		{"op-misplaced", head + "size[in],op,grade[in/ft],max_load[dfu],note,src,status\n", tables.ErrColumn,
			[]string{"5:10"}},
		{"several", head + columns + "2,0.25,many,,,sure\n3,x,42,,nobody,read\n", tables.ErrStatus,
			[]string{"6:8", "6:15", "7:3", "7:9"}},
		{"long-cell", head + columns + "2,0.25,21," + strings.Repeat("n", 4097) + ",,read\n", tables.ErrTooLarge,
			[]string{"6:11"}},
		{"long-number", head + columns + "2,0.25," + strings.Repeat("1", 50) + ",,,read\n", tables.ErrCell,
			[]string{"6:8"}},
		{"many-columns", head + manyColumns(65), tables.ErrTooLarge, []string{"5:0"}},
		{"many-rows", head + columns + strings.Repeat("\n", 100_001), tables.ErrTooLarge, []string{"5:0"}},
		{"large-file", strings.Repeat("#", 8<<20+1), tables.ErrTooLarge, []string{"0:0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := shelfOf(c.text).Table("town/drain")
			if !errors.Is(err, c.cause) {
				t.Fatalf("got %v, want a fault that %v", err, c.cause)
			}
			if c.want == nil {
				return
			}
			faults, ok := errors.AsType[*units.Faults](err)
			if !ok {
				t.Fatalf("%T is not *units.Faults", err)
			}
			var got []string
			for _, f := range faults.Faults {
				got = append(got, fmt.Sprintf("%d:%d", f.Line, f.Column))
				if f.File != "town/drain.csv" {
					t.Errorf("a fault of file %q", f.File)
				}
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("places (-want +got):\n%s%v", diff, err)
			}
		})
	}
}

// TestSameTable checks files that differ in form and not in what they say.
func TestSameTable(t *testing.T) {
	const rows = "size[in],grade[in/ft],max_load[dfu],note,src,status\n2,0.25,21,,,read\n" +
		"2-1/2,0.25,-,\"a, b\",page,read2\n3,0.25,unlimited,,,memory\n4,0.25,,,,practice\n"
	for name, text := range map[string]string{
		"plain":           head + rows,
		"byte-order-mark": "\ufeff" + head + rows,
		"crlf":            strings.ReplaceAll(head+rows, "\n", "\r\n"),
		"blank-lines":     "\n" + strings.ReplaceAll(head+rows, "\n", "\n\n"),
		"no-last-newline": strings.TrimSuffix(head+rows, "\n"),
		"quoted":          head + strings.Replace(rows, "2,0.25,21,,,read\n", `"2","0.25","21","","","read"`+"\n", 1),
		"header-spacing":  strings.ReplaceAll(strings.ReplaceAll(head, "# ", "#  "), ": ", ":\t") + rows,
		"list-spacing":    strings.Replace(head, "size, grade", "size ,grade", 1) + rows,
	} {
		t.Run(name, func(t *testing.T) {
			table, err := shelfOf(text).Table("town/drain")
			if err != nil {
				t.Fatal(err)
			}
			var got [][]string
			for i := range table.Len() {
				row := []string{table.Cite(i).Source().ID, table.Cite(i).Status().String()}
				for j := range 4 {
					row = append(row, table.Cell(i, j))
				}
				got = append(got, row)
			}
			want := [][]string{
				{"code", "read", "2", "0.25", "21", ""},
				{"page", "read2", "2-1/2", "0.25", "-", "a, b"},
				{"code", "memory", "3", "0.25", "unlimited", ""},
				{"code", "practice", "4", "0.25", "", ""},
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestSourcesFaults(t *testing.T) {
	const columns = "id,title,publisher,edition,year,url,note\n"
	for _, c := range []struct {
		name, root, set string
		cause           error
	}{
		{"no-columns", "", "", tables.ErrHeader},
		{"long-id", columns + strings.Repeat("c", 65) + ",Code,,,,,\n", "", tables.ErrSource},
		{"other-columns", "id,title\n", "", tables.ErrHeader},
		{"no-title", columns + "code,,,,,,\n", "", tables.ErrSource},
		{"bad-id", columns + "The Code,Code,,,,,\n", "", tables.ErrSource},
		{"twice", columns + "code,Code,,,,,\ncode,Code,,,,,\n", "", tables.ErrSource},
		{"twice-over-the-shelf", columns + "code,Code,,,,,\n", columns + "code,Code,,,,,\n", tables.ErrSource},
		{"cells", columns + "code,Code,,,,\n", "", tables.ErrSyntax},
	} {
		t.Run(c.name, func(t *testing.T) {
			fsys := fstest.MapFS{"sources.csv": {Data: []byte(c.root)}, "town/drain.csv": {Data: []byte(head)}}
			if c.set != "" {
				fsys["town/sources.csv"] = &fstest.MapFile{Data: []byte(c.set)}
			}
			_, err := tables.Open(fsys).Table("town/drain")
			if !errors.Is(err, c.cause) {
				t.Errorf("got %v", err)
			}
			if _, err := tables.Open(fsys).Sources(); !errors.Is(err, c.cause) {
				t.Errorf("Sources gives %v", err)
			}
		})
	}
}

// TestIDs checks that a made-up id finds nothing and is never a path.
func TestIDs(t *testing.T) {
	for _, id := range []string{"", "town", "/", "town/", "/drain", "town/drain/x", "../town/drain", "town/../drain",
		"TOWN/drain", "town/drain.csv", "town/sources", "-/drain", "town\\drain", "town/dra\x00in"} {
		if _, err := shelfOf(head + "size[in],grade[in/ft],src,status\n").Table(id); !errors.Is(err,
			tables.ErrNotFound) {
			t.Errorf("%q gives %v", id, err)
		}
	}
}

// endless is a file system in which sources.csv never ends, and says it is empty.
type endless struct{ fs.FS }

func (e endless) Open(name string) (fs.File, error) {
	f, err := e.FS.Open(name)
	if name == "sources.csv" && err == nil {
		return endlessFile{f}, nil
	}
	return f, err
}

type endlessFile struct{ fs.File }

func (endlessFile) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = '#'
	}
	return len(b), nil
}

// TestEndless: a file that never ends is too large.
func TestEndless(t *testing.T) {
	fsys := endless{fstest.MapFS{"sources.csv": {}, "town/drain.csv": {Data: []byte(drains)}}}
	if _, err := tables.Open(fsys).Table("town/drain"); !errors.Is(err, tables.ErrTooLarge) {
		t.Errorf("got %v", err)
	}
}

// TestManyFaults: past what is kept faults are counted, and not looked up in the
// file one by one: a row that a second amendment drops again is one.
func TestManyFaults(t *testing.T) {
	const rows = 20_000
	base := strings.Builder{}
	base.WriteString("# id: town/n\n# title: T\n# source: code\n# key: n\nn[1],v[mm],src,status\n")
	drops := strings.Builder{}
	drops.WriteString("# id: town/n\n# source: code\nop,n[1],status\n")
	for i := range rows {
		fmt.Fprintf(&base, "%d,%d,,read\n", i, i)
		fmt.Fprintf(&drops, "drop,%d,\n", i)
	}
	shelf := tables.Open(fstest.MapFS{"sources.csv": {Data: []byte(documents)},
		"town/n.csv": {Data: []byte(base.String())}})
	count := func(err error) int {
		var all *units.Faults
		if !errors.As(err, &all) {
			t.Fatalf("got %v", err)
		}
		if last := all.Faults[len(all.Faults)-1]; last.Line == 0 || last.Column == 0 {
			t.Errorf("the last fault kept has no place: %v", last)
		}
		return len(all.Faults) + all.More
	}
	amendment := fstest.MapFS{"town/n.csv": {Data: []byte(drops.String())}}
	if _, err := shelf.With(amendment, amendment); count(err) != 2*rows {
		t.Errorf("%d faults of %d", count(err), 2*rows)
	}
	type row struct {
		V units.Flow `table:"v"`
	}
	if _, err := tables.Load[row](shelf, "town/n"); count(err) != rows {
		t.Errorf("%d faults of %d", count(err), rows)
	}
}
