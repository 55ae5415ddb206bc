package proof_test

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/tables"
)

// An account is one row of a package's testdata/proof*.csv.
type account struct {
	pack, source, class      string
	cases, values            int
	largest, at, print, ours string
	why                      string
}

func readCSV(t *testing.T, data []byte) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// accounts reads those of every package of the module.
func accounts(t *testing.T, root fs.FS) []account {
	t.Helper()
	var out []account
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Base(path.Dir(name)) != "testdata" || !strings.HasPrefix(d.Name(), "proof") {
			return err
		}
		data, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		for _, r := range readCSV(t, data) {
			a := account{pack: path.Dir(path.Dir(name)), source: r["source"], class: r["class"], largest: r["largest_percent"],
				at: r["at"], print: r["printed"], ours: r["ours"], why: r["why"]}
			a.cases, err = strconv.Atoi(r["cases"])
			if err != nil {
				return err
			}
			if a.values, err = strconv.Atoi(r["values"]); err != nil {
				return err
			}
			out = append(out, a)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortStableFunc(out, func(a, b account) int { return cmp.Compare(a.pack, b.pack) })
	return out
}

// TestDocument builds PROOF.md anew from the accounts, the list of formulas and the
// shelf of tables, and holds the file to it.
func TestDocument(t *testing.T) {
	root := os.DirFS("../..")
	all := accounts(t, root)
	if len(all) == 0 {
		t.Fatal("no accounts")
	}
	var b, summary strings.Builder
	fmt.Fprint(&b, `# Proof

How closely the library agrees with what others have printed. A test builds this page from the accounts that the tests of
each package keep in its testdata, so it cannot fall behind the code. With `+"`-update`"+` the test of a package writes its accounts
anew, and `+"`go test ./internal/proof -update`"+` this page. `+"`go test ./internal/proof -v`"+` prints the first table.

The accounts are kept by the tests that work the values out, so nothing here is copied by hand: a value within half of the
last printed digit agrees by rounding; anything farther off has a class and a reason, or the test fails. Data files that do not
keep trailing zeros make that allowance wider than the print, never narrower. A case stands under each package that works it
out: the problem lines go through the text interface, the others through Go.

## Sources

`)
	fmt.Fprint(&summary, "| package | source | cases | values | beyond rounding | largest deviation | where | class |\n| --- | --- | ---: | ---: | ---: | ---: | --- | --- |\n")
	type tally struct{ sources, cases, values, beyond int }
	packs, classes := map[string]*tally{}, map[string]int{}
	for i, a := range all {
		if a.class != "all" {
			classes[a.class] += a.values
			continue
		}
		beyond, names := 0, []string{}
		for _, r := range all[i+1:] {
			if r.class == "all" {
				break
			}
			beyond += r.values
			if !slices.Contains(names, r.class) {
				names = append(names, r.class)
			}
		}
		if packs[a.pack] == nil {
			packs[a.pack] = new(tally)
		}
		p := packs[a.pack]
		p.sources, p.cases, p.values, p.beyond = p.sources+1, p.cases+a.cases, p.values+a.values, p.beyond+beyond
		name := strings.Join(names, ", ")
		if beyond == 0 {
			name = "rounding"
		}
		fmt.Fprintf(&summary, "| %s | %s | %d | %d | %d | %s %% | %s | %s |\n", a.pack, cell(a.source), a.cases, a.values,
			beyond, a.largest, cell(a.at), name)
	}
	b.WriteString(summary.String())
	fmt.Fprint(&b, "\n| package | sources | cases | values | beyond rounding |\n| --- | ---: | ---: | ---: | ---: |\n")
	sum := tally{}
	for _, name := range slices.Sorted(maps.Keys(packs)) {
		p := packs[name]
		fmt.Fprintf(&b, "| %s | %d | %d | %d | %d |\n", name, p.sources, p.cases, p.values, p.beyond)
		sum = tally{sum.sources + p.sources, sum.cases + p.cases, sum.values + p.values, sum.beyond + p.beyond}
	}
	fmt.Fprintf(&b, "| all | %d | %d | %d | %d |\n", sum.sources, sum.cases, sum.values, sum.beyond)
	fmt.Fprint(&b, "\n## Deviations beyond rounding\n\nBy class: ")
	for i, name := range slices.Sorted(maps.Keys(classes)) {
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s %d", name, classes[name])
	}
	fmt.Fprint(&b, ". The figure shown is the farthest of its line.\n\n| source | values | where | printed | ours | deviation | class | why, worked out anew |\n| --- | ---: | --- | ---: | ---: | ---: | --- | --- |\n")
	for _, a := range all {
		if a.class != "all" {
			fmt.Fprintf(&b, "| %s | %d | %s | %s | %s | %s %% | %s | %s |\n", cell(a.source), a.values, cell(a.at), a.print,
				a.ours, a.largest, a.class, cell(a.why))
		}
	}
	formulas(t, root, &b)
	shelf(t, &b)
	golden.Keep(t, "PROOF.md", b.String())
	t.Logf("%d values of %d cases: PROOF.md has them by source", sum.values, sum.cases)
}

// cell keeps a text within its cell of a table.
func cell(s string) string { return strings.ReplaceAll(s, "|", "/") }

// formulas writes formulas.csv and checks that the tests it names exist.
func formulas(t *testing.T, root fs.FS, b *strings.Builder) {
	t.Helper()
	data, err := os.ReadFile("formulas.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows := readCSV(t, data)
	fmt.Fprint(b, "\n## Formulas and methods\n\nWhich documents state the rules of the checks, and what their figures rest on, stands in [RULES.md](RULES.md).\n\nEach with its first source, an independent second, and a case at its edge. The test of this page checks that the tests named\nexist and that no cell is empty; what the tests hold was read by eye.\n\n| subject | first source | second, independent | tests | edge | its tests |\n| --- | --- | --- | --- | --- | --- |\n")
	known := declaredTests(t, root)
	for _, r := range rows {
		for _, column := range []string{"tests", "boundary_tests"} {
			for name := range strings.SplitSeq(r[column], ";") {
				if !known[name] {
					t.Errorf("formulas.csv: %s: no test %q", r["subject"], name)
				}
			}
		}
		if r["first"] == "" || r["second"] == "" || r["boundary"] == "" {
			t.Errorf("formulas.csv: %s: a source or the edge is not named", r["subject"])
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s |\n", cell(r["subject"]), cell(r["first"]), cell(r["second"]),
			strings.ReplaceAll(r["tests"], ";", ", "), cell(r["boundary"]), strings.ReplaceAll(r["boundary_tests"], ";", ", "))
	}
	fmt.Fprintf(b, "\n%d subjects. Where no second print was at hand the second source is another method or another program, and the table says so.\n",
		len(rows))
}

// shelf writes how well each set of tables is attested.
func shelf(t *testing.T, b *strings.Builder) {
	t.Helper()
	count := map[string]map[tables.Status]int{}
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		if table.Set() == "comparison" {
			continue // about the shelf itself
		}
		if count[table.Set()] == nil {
			count[table.Set()] = map[tables.Status]int{}
		}
		for row := range table.Len() {
			count[table.Set()][table.Cite(row).Status()]++
		}
	}
	order := []tables.Status{tables.Read2, tables.Read, tables.Computed, tables.Disputed, tables.Practice, tables.Memory}
	fmt.Fprint(b, "\n## Rows of the tables\n\nBy how they were come by: read in two copies, read in one, computed from others, disputed between sources, common practice without a source, or written\nfrom memory. Only the first column has two sources; an answer that rests on one of the last three is `ask`, never a silent pass.\n\n| set | rows |")
	for _, s := range order {
		fmt.Fprintf(b, " %v |", s)
	}
	fmt.Fprint(b, "\n| --- | ---: |"+strings.Repeat(" ---: |", len(order))+"\n")
	total, by := 0, map[tables.Status]int{}
	for _, set := range slices.Sorted(maps.Keys(count)) {
		n := 0
		for _, s := range order {
			n += count[set][s]
			by[s] += count[set][s]
		}
		total += n
		fmt.Fprintf(b, "| %s | %d |", set, n)
		for _, s := range order {
			fmt.Fprintf(b, " %d |", count[set][s])
		}
		fmt.Fprintln(b)
	}
	fmt.Fprintf(b, "| all | %d |", total)
	for _, s := range order {
		fmt.Fprintf(b, " %d |", by[s])
	}
	fmt.Fprintln(b)
}

// declaredTests finds the tests of the packages, as package.TestName.
func declaredTests(t *testing.T, root fs.FS) map[string]bool {
	t.Helper()
	declared := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	known := map[string]bool{}
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, "_test.go") || strings.HasPrefix(name, "internal/") ||
			strings.HasPrefix(name, "examples/") {
			return err
		}
		text, err := fs.ReadFile(root, name)
		for _, m := range declared.FindAllSubmatch(text, -1) {
			known[path.Base(path.Dir(name))+"."+string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return known
}
