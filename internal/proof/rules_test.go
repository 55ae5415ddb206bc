package proof_test

import (
	"cmp"
	"fmt"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/tables"
)

// statuses in the order of their columns.
var statuses = []tables.Status{tables.Read2, tables.Read, tables.Computed, tables.Practice, tables.Memory}

// tally counts rows by status.
type statusTally map[tables.Status]int

func (s statusTally) cells() string {
	var b strings.Builder
	for _, status := range statuses {
		fmt.Fprintf(&b, " %d |", s[status])
	}
	return b.String()
}

func (s statusTally) rows() (n int) {
	for _, k := range s {
		n += k
	}
	return n
}

// A footing is what one entry of rules.csv finds in one table of the shelf.
type footing struct {
	table, figure, sources string
	count                  statusTally
}

// footings looks an entry of rules.csv up in every table of the shelf.
func footings(t *testing.T, shelf []*tables.Table, entry string) (out []footing) {
	t.Helper()
	name, rule, single := strings.Cut(entry, ":")
	for _, table := range shelf {
		of := table.ID()
		if !strings.Contains(name, "/") {
			of = path.Base(of)
		}
		if ok, err := path.Match(name, of); err != nil || !ok {
			continue
		}
		f := footing{table: table.ID(), count: statusTally{}}
		if single {
			row, ok := table.Find(rule)
			if !ok {
				continue
			}
			f.figure = strings.TrimSpace(table.Cell(row, table.Column("value")) + " " + table.Cell(row, table.Column("unit")))
			cite := table.Cite(row)
			f.count[cite.Status()]++
			var ids []string
			for _, s := range cite.Sources() {
				ids = append(ids, s.ID)
			}
			f.sources = strings.Join(ids, ", ")
		} else {
			for row := range table.Len() {
				f.count[table.Cite(row).Status()]++
			}
		}
		out = append(out, f)
	}
	return out
}

// TestRulesDocument builds RULES.md anew from rules.csv and the shelf, and holds the
// file to it.
func TestRulesDocument(t *testing.T) {
	data, err := os.ReadFile("rules.csv")
	if err != nil {
		t.Fatal(err)
	}
	var shelf []*tables.Table
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		shelf = append(shelf, table)
	}
	slices.SortFunc(shelf, func(a, b *tables.Table) int { return cmp.Compare(a.ID(), b.ID()) })
	known := declaredTests(t, os.DirFS("../.."))

	var b, byRule, detail strings.Builder
	fmt.Fprint(&byRule, "| package | rule | rests on | sets | rows | read2 | read | computed | practice | memory | edge |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |\n")
	fmt.Fprint(&detail, "| rule | table | figure | rows | read2 | read | computed | practice | memory | sources |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | --- |\n")
	sets := map[string]statusTally{}
	counted := map[string]bool{}
	total, own, nowhere, both, one, unseen, listed := statusTally{}, 0, []string{}, 0, 0, 0, map[string]bool{}
	for _, r := range readCSV(t, data) {
		rule := r["rule"]
		if listed[r["package"]+"."+rule] {
			t.Errorf("rules.csv: %s stands twice", rule)
		}
		listed[r["package"]+"."+rule] = true
		if !known[r["edge_test"]] {
			t.Errorf("rules.csv: %s: no test %q", rule, r["edge_test"])
		}
		sum, at := statusTally{}, map[string]bool{}
		for _, entry := range strings.Fields(r["rests_on"]) {
			found := footings(t, shelf, entry)
			if len(found) == 0 {
				nowhere = append(nowhere, "`"+entry+"` ("+rule+")")
			}
			for _, f := range found {
				set := path.Dir(f.table)
				at[set] = true
				figure := f.figure
				if f.sources == "" {
					f.sources = "by row"
				}
				fmt.Fprintf(&detail, "| %s | %s | %s | %d |%s %s |\n", rule, f.table, figure, f.count.rows(), f.count.cells(), f.sources)
				_, single, _ := strings.Cut(entry, ":")
				again := counted[f.table+":"+single]
				counted[f.table+":"+single] = true
				for status, n := range f.count {
					sum[status] += n
					if again {
						continue // another rule rests on it too
					}
					if sets[set] == nil {
						sets[set] = statusTally{}
					}
					sets[set][status] += n
					total[status] += n
				}
			}
		}
		rests := strings.ReplaceAll(r["rests_on"], " ", ", ")
		switch {
		case sum.rows() == 0:
			own++
			if rests == "" {
				rests = "the layout alone"
			}
		case sum[tables.Read2] == sum.rows():
			both++
		case sum[tables.Read2]+sum[tables.Read]+sum[tables.Computed] > 0:
			one++
		default:
			unseen++
		}
		fmt.Fprintf(&byRule, "| %s | %s | %s | %d | %d |%s %s |\n", r["package"], rule, rests, len(at), sum.rows(), sum.cells(), r["edge_test"])
	}
	for _, id := range dwv.RuleIDs() {
		if !listed["dwv."+id] {
			t.Errorf("rules.csv: no line for %s of dwv", id)
		}
		delete(listed, "dwv."+id)
	}
	for id := range listed {
		if strings.HasPrefix(id, "dwv.") {
			t.Errorf("rules.csv: dwv has no rule %s", strings.TrimPrefix(id, "dwv."))
		}
	}

	fmt.Fprint(&b, `# What the rules rest on

Every rule that a check of a layout judges by, the rows of the shelf it takes its figures from, and how those were come by. A test
builds this page from `+"`rules.csv`"+` and the shelf; the tests named under "edge" judge each rule at its very limit and one step past
it, and hold the rows that findings cite to `+"`rules.csv`"+`. `+"`go test ./internal/proof -update`"+` writes it anew.

**read2** is the only standing with two sources. **read** is one: its sources column may name the document the figure belongs to and the
copy it was read in, which are not two. **practice** (the trade does so) and **memory** (recalled) have no source that was seen, and a
finding that rests on such a row is *ask*. So not every rule has two sources, and this page says which have not.

`)
	rules := own + both + one + unseen
	fmt.Fprintf(&b, "%d rules. Of those that rest on rows of the shelf, %d have every row read in two copies, %d have rows that were seen in print\nbut not all in two copies, and %d have none that was seen; the other %d rest on the layout alone, or on rows that no set has.\n\n", rules, both, one, unseen, own)
	if len(nowhere) > 0 {
		fmt.Fprintf(&b, "Looked for by a rule, in no set of the shelf yet (an amendment may set them): %s.\n\n", strings.Join(nowhere, ", "))
	}
	fmt.Fprint(&b, "## By set\n\nRows that some rule rests on, each counted once.\n\n| set | rows | read2 | read | computed | practice | memory |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: |\n")
	for _, set := range slices.Sorted(maps.Keys(sets)) {
		fmt.Fprintf(&b, "| %s | %d |%s\n", set, sets[set].rows(), sets[set].cells())
	}
	fmt.Fprintf(&b, "| all | %d |%s\n\n## By rule\n\n%s\n## Row by row\n\nA table stands with the count of its rows; a single figure with its value and its sources, the document first, its witnesses after.\n\n%s", total.rows(), total.cells(), byRule.String(), detail.String())
	proof.KeepFile(t, "RULES.md", []byte(b.String()))
}
