package job

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// printed is a report as text.
func printed(t *testing.T, r *Report, width int) string {
	t.Helper()
	var b strings.Builder
	r.width = width
	if err := r.Print(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// frontOf is page one: what stands before the first section.
func frontOf(t *testing.T, text string) []string {
	t.Helper()
	front, _, ok := strings.Cut(text, "\n1  Findings")
	if !ok {
		t.Fatalf("no first section in %.300s", text)
	}
	return strings.Split(strings.TrimRight(front, "\n"), "\n")
}

// steep is a job whose branches all fall less than the code wants: n of them fail.
func steep(n int) string {
	var b strings.Builder
	b.WriteString(`{"job": {"name": "Steep", "code": "ipc-2021"}, "drainage": {"finished_floor": "100 ft", "slab": "4 in",
 "systems": [{"id": "s", "kind": "waste", "outlet": {"id": "O", "kind": "sewer", "invert": "96 ft", "size": "4 in"}, "points": [
 {"id": "T", "to": "O", "run": {"length": "9 ft", "grade": "1/4 in/ft", "size": "4 in"}}`)
	for i := range n {
		fmt.Fprintf(&b, `,{"id": "B%d", "to": "T", "fixture": {"fixture": "lavatory"}, "run": {"length": "4 ft", "grade": "1/8 in/ft", "size": "2 in"}}`, i)
	}
	b.WriteString("]}]}}")
	return b.String()
}

// TestFront: page one is one sheet of 60 lines and 78 columns, of a job with one fail as of
// one with forty, and holds what an inspector asks first.
func TestFront(t *testing.T) {
	reports := map[string]*Report{
		"demo":  reportOf(t, "", newPrinter(false, false)),
		"metre": reportOf(t, "upc-2021", newPrinter(true, false)),
	}
	for _, n := range []int{1, 9, 40} {
		j, err := Read(fstest.MapFS{"steep.json": {Data: []byte(steep(n))}}, "steep.json", "")
		if err != nil {
			t.Fatal(err)
		}
		if reports[fmt.Sprint(n)], err = j.Report("", Options{}); err != nil {
			t.Fatal(err)
		}
	}
	for name, r := range reports {
		front := frontOf(t, printed(t, r, 0))
		if len(front) > frontLines {
			t.Errorf("%s: page one has %d lines", name, len(front))
		}
		for _, l := range front {
			if utf8.RuneCountInString(l) > frontWidth {
				t.Errorf("%s: wider than %d: %s", name, frontWidth, l)
			}
		}
		text := strings.Join(front, "\n")
		for _, want := range []string{r.File.SHA256, r.Job.Edition, r.Versions.Tables, "A calculation, not an approval.",
			"checked by", fmt.Sprintf("%d fail, %d ask, %d pass", r.Counts.Fail, r.Counts.Ask, r.Counts.Pass), "Not judged under"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: page one lacks %q:\n%s", name, want, text)
			}
		}
		fails := strings.Count(text, "  FAIL  ")
		for _, also := range regexp.MustCompile(`(?s)also: (.*?)\.\n`).FindAllStringSubmatch(text, -1) {
			fails += len(strings.Split(also[1], ";"))
		}
		if fails != min(r.Counts.Fail, frontFails) {
			t.Errorf("%s: %d fails on page one, %d in the job:\n%s", name, fails, r.Counts.Fail, text)
		}
	}
	demo := strings.Join(frontOf(t, printed(t, reports["demo"], 0)), "\n")
	for _, want := range []string{"1 FAIL: do not pour", "Table 909.1 (size 2 in)", "fix:", "CHECK THE BOOK", "Kiln Lane 12", "B, for the permit",
		"was not\n              permitted", "FAIL at GL1"} {
		if !strings.Contains(demo, want) {
			t.Errorf("page one of the demonstration lacks %q:\n%s", want, demo)
		}
	}
}

// TestFrontAmended: what an ordinance of eighty rows changes is counted on page one and told
// row by row further on; nothing else of page one is lost to it.
func TestFrontAmended(t *testing.T) {
	table, err := tables.Embedded().Table("ipc-2021/rules")
	if err != nil {
		t.Fatal(err)
	}
	rows := "# id: ipc-2021/rules\n# source: town\nop,rule,value,unit,status\n"
	for i := range 80 {
		c := table.Cite(i)
		op, value, unit := "set", "", ""
		for _, cell := range c.Cells() {
			switch cell.Column.Name {
			case "value":
				value = cell.Text
			case "unit":
				unit = cell.Text
			}
		}
		if i%8 == 0 {
			op, value, unit = "drop", "", ""
		}
		rows += fmt.Sprintf("%s,%s,%s,%s,read\n", op, strings.TrimPrefix(c.Row(), "rule "), value, unit)
	}
	j, err := Read(fstest.MapFS{
		"steep.json":              {Data: []byte(strings.Replace(steep(9), `"code"`, `"amendments": ["town"], "code"`, 1))},
		"town/sources.csv":        {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of a town,,,,,\n")},
		"town/ipc-2021/rules.csv": {Data: []byte(rows)},
	}, "steep.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := printed(t, r, 78)
	front := frontOf(t, text)
	page := strings.Join(strings.Fields(strings.Join(front, " ")), " ")
	for _, want := range []string{"in full under Amendments", "Ordinance of a town: sets 70 rows; drops 10 rows", "checked by", "9 FAIL"} {
		if !strings.Contains(page, want) {
			t.Errorf("page one lacks %q:\n%s", want, strings.Join(front, "\n"))
		}
	}
	if sets := strings.Count(text, "\n    sets   "); sets != 70 || len(front) > frontLines {
		t.Errorf("%d rows set are told, page one has %d lines", sets, len(front))
	}
}

// TestWidth: no line of a report is wider than it was asked to be.
func TestWidth(t *testing.T) {
	long := strings.Replace(steep(3), `"Steep"`, `"`+strings.Repeat("n", 300)+`", "note": "`+strings.Repeat("א", 500)+`"`, 1)
	long = strings.ReplaceAll(long, `"B1"`, `"`+strings.Repeat("L", 190)+`"`)
	j, err := Read(fstest.MapFS{"long.json": {Data: []byte(long)}}, "long.json", "")
	if err != nil {
		t.Fatal(err)
	}
	hostile, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	european, err := j.Report("en12056-2", Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []*Report{reportOf(t, "", newPrinter(false, false)), reportOf(t, "upc-2021", newPrinter(true, false)), hostile,
		european} {
		for _, width := range []int{0, 78} {
			for i, l := range strings.Split(printed(t, r, width), "\n") {
				if n := utf8.RuneCountInString(l); n > max(width, 78) && (width != 0 || n > defaultWidth) {
					t.Errorf("line %d of %d columns, with width %d: %s", i+1, n, width, l)
				}
			}
		}
	}
}

// TestFold: what is wider than its column goes on below, whole word by whole word, and
// nothing of it is lost.
func TestFold(t *testing.T) {
	p := &page{width: 24}
	g := grid{head: []string{"at", "what stands there"}}
	g.add("S1", "a drain of four inches under the hall")
	g.add("W", strings.Repeat("x", 50))
	p.grid(g)
	want := "  at  what stands there\n  S1  a drain of four\n      inches under the\n      hall\n  W   " + strings.Repeat("x", 18)
	if got := p.text.String(); !strings.HasPrefix(got, want) || strings.Count(got, "x") != 50 {
		t.Errorf("got\n%s", got)
	}
}

// TestBlockWithoutRoom: what page one has no line left for is left out.
func TestBlockWithoutRoom(t *testing.T) {
	for most, want := range []int{0, 1, 2, 2} {
		lines := new(Report).block(most, "...", func(p *page) { p.printf("a\nb\n") })
		if len(lines) != want {
			t.Errorf("%d lines where %d are left, want %d", len(lines), most, want)
		}
	}
}

// TestStated: each field that a designer is told to state is a field of the layout file, and
// each rule is one of the checks.
func TestStated(t *testing.T) {
	fields, rules := map[string]bool{}, map[string]bool{}
	fieldNames(schema(), fields)
	for _, list := range [][]tables.CheckRule{drains.Rules(), supply.Rules()} {
		for _, r := range list {
			rules[r.ID] = true
		}
	}
	for rule, names := range stated() {
		if !rules[rule] {
			t.Errorf("%s is no rule", rule)
		}
		for _, name := range strings.FieldsFunc(names, func(c rune) bool { return c == '.' || c == ',' || c == ' ' }) {
			if !fields[name] {
				t.Errorf("%s: %s is no field of a layout", rule, name)
			}
		}
	}
}

// TestUnderName: the line below the name of a job is as long as the name is printed, which is longer where that holds
// what is escaped.
func TestUnderName(t *testing.T) {
	for _, name := range []string{"Shed", "A\u202eB\u0007C"} {
		text := strings.Replace(string(Start()), `"My job"`, fmt.Sprintf("%q", name), 1)
		text = strings.ReplaceAll(text, `\a`, `\u0007`)
		j, err := Read(fstest.MapFS{"start.json": {Data: []byte(text)}}, "start.json", "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Report("", Options{})
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitN(printed(t, r, 0), "\n", 3)
		if utf8.RuneCountInString(lines[0]) != len(lines[1]) {
			t.Errorf("%s\n%s", lines[0], lines[1])
		}
	}
}

// TestLackingField: a designer is told to state the very field that the code lacks of a fixture.
func TestLackingField(t *testing.T) {
	text := strings.Replace(string(Start()), `"ipc-2021"`, `"npc-canada"`, 1)
	j, err := Read(fstest.MapFS{"start.json": {Data: []byte(text)}}, "start.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if text := printed(t, r, 0); !strings.Contains(text, "fixture.size at L1") || strings.Contains(text, "fixture.control") {
		t.Error(text)
	}
}
