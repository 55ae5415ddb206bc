package tables_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// seeds are small tables and the mistakes people make in them.
var seeds = []string{
	drains,
	mixed,
	head + "size[in],grade[in/ft],max_load[dfu],note,src,status\n2,1/4,21,\"a, \"\"b\"\"\",code;page,read\n",
	"\ufeff" + strings.ReplaceAll(drains, "\n", "\r\n"),
	head + "# monotone: max_load up with size; max_load down with grade\n" +
		"# except: max_load at 3, 0.25: printed so (page)\nsize[in],grade[in/ft],max_load[dfu],src,status\n" +
		"2,0.25,unlimited,,read\n3,0.25,-,,memory\n",
	"# id: town/drain\n# source: code\nop,size[in],grade[in/ft],max_load[dfu],status\nset,3,0.25,40,read\n" +
		"drop,2,0.25,,\nadd,1-1/2,0.25,1,practice\n",
	"", "#", "# :", "\n\n\n", "a,b", "\"", head, head + ",,,\n", head + "size[in],grade[1:n],status\n",
}

// FuzzTable checks that a file is refused or read as what it says, and that what was
// read keeps the promises of the form.
func FuzzTable(f *testing.F) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		table, err := shelfOf(text).Table("town/drain")
		if err != nil {
			if faults, ok := errors.AsType[*units.Faults](err); !ok || len(faults.Faults) == 0 {
				t.Fatalf("an error without faults: %v", err)
			}
			return
		}
		// encoding/csv reads the same cells, header and blank lines aside.
		r := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
		r.Comment = '#'
		records, err := r.ReadAll()
		if err != nil {
			t.Fatalf("we read what encoding/csv refuses: %v", err)
		}
		if len(records) != table.Len()+1 {
			t.Fatalf("%d rows, encoding/csv has %d", table.Len(), len(records)-1)
		}
		columns, keys := table.Columns(), table.Keys()
		for i := range table.Len() {
			for j := range columns {
				if table.Cell(i, j) != records[i+1][j] {
					t.Fatalf("row %d column %d is %q, encoding/csv has %q", i, j, table.Cell(i, j), records[i+1][j])
				}
			}
			var key []string
			for _, k := range keys {
				key = append(key, table.Cell(i, table.Column(k)))
			}
			if at, ok := table.Find(key...); !ok || at != i {
				t.Fatalf("row %d is found at %d %v: a key that is not unique or not in order", i, at, ok)
			}
			c := table.Cite(i)
			if c.IsZero() || c.Status() == 0 || c.Source().ID == "" || c.Amended() || c.String() == "" {
				t.Fatalf("row %d cites %+v", i, c)
			}
			if _, line := c.File(); line < 1 {
				t.Fatalf("row %d at line %d", i, line)
			}
		}
	})
}

// FuzzAmendment checks that an amendment is refused or changes no more than it says.
func FuzzAmendment(f *testing.F) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		base := shelfOf(drains)
		shelf, err := base.With(fstest.MapFS{"town/drain.csv": {Data: []byte(text)}})
		if err != nil {
			return
		}
		was, _ := base.Table("town/drain")
		is, err := shelf.Table("town/drain")
		if err != nil {
			t.Fatal(err)
		}
		kept := 0
		for i := range is.Len() {
			c := is.Cite(i)
			if c.Amended() {
				continue
			}
			kept++
			row, ok := was.Find(is.Cell(i, 0), is.Cell(i, 1))
			if !ok || !slices.Equal(cells(is, i), cells(was, row)) {
				t.Fatalf("a row not called amended changed: %q", cells(is, i))
			}
		}
		if kept == was.Len() && is.Len() == was.Len() && is.Amended() && len(is.Dropped()) > 0 {
			t.Fatal("dropped rows are still there")
		}
	})
}

func cells(t *tables.Table, row int) []string {
	var list []string
	for j := range t.Columns() {
		list = append(list, t.Cell(row, j))
	}
	return list
}

// FuzzSources checks the list of documents.
func FuzzSources(f *testing.F) {
	f.Add(documents)
	f.Add("id,title,publisher,edition,year,url,note\r\n\"a\",\"b, c\",,,,,\r\n")
	f.Add("# note\nid,title,publisher,edition,year,url,note\n")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := tables.Open(fstest.MapFS{"sources.csv": {Data: []byte(text)}}).Sources()
		if err != nil {
			return
		}
		for _, s := range list {
			if s.ID == "" || s.Title == "" || s.String() == "" {
				t.Fatalf("%+v", s)
			}
		}
	})
}

// FuzzRules checks that the value of a rule is what its row says.
func FuzzRules(f *testing.F) {
	f.Add("3", "1")
	f.Add("1-1/4", "in")
	f.Add("-", "")
	f.Add("unlimited", "ft")
	f.Add("yes", "")
	f.Fuzz(func(t *testing.T, value, unit string) {
		var b strings.Builder
		w := csv.NewWriter(&b)
		if err := w.Write([]string{"only", value, unit, "", "what", "", "", "read"}); err != nil {
			return
		}
		w.Flush()
		rs, err := shelfWithRules(ruleHead + b.String()).Rules("town")
		if err != nil {
			return
		}
		r, ok := rs.Rule("only")
		if !ok {
			t.Fatal("the rule is lost")
		}
		if r.Kind == tables.Value && (r.Value != value || r.Unit != unit) {
			t.Fatalf("got %+v", r)
		}
		if v, _, err := tables.RuleValue[float64](rs, "only"); err == nil && (v != v || v-v != 0) {
			t.Fatalf("a rule of %v", v)
		}
	})
}

// FuzzID checks that no id leads out of the shelf.
func FuzzID(f *testing.F) {
	f.Add("town/drain")
	f.Add("../etc/passwd")
	f.Fuzz(func(t *testing.T, id string) {
		var asked []string
		shelf := tables.Open(watched{fstest.MapFS{}, &asked})
		if _, err := shelf.Table(id); !errors.Is(err, tables.ErrNotFound) {
			t.Fatalf("%q gives %v", id, err)
		}
		for _, name := range asked {
			if !fs.ValidPath(name) || strings.Count(name, "/") > 1 {
				t.Fatalf("%q opens %q", id, name)
			}
		}
	})
}

// watched notes what is opened.
type watched struct {
	fs.FS
	asked *[]string
}

func (w watched) Open(name string) (fs.File, error) {
	*w.asked = append(*w.asked, name)
	return w.FS.Open(name)
}
