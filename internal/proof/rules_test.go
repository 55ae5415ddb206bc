package proof_test

import (
	"fmt"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/golden"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// statuses in the order of their columns.
var statuses = []tables.Status{tables.Read2, tables.Read, tables.Computed, tables.Disputed, tables.Practice,
	tables.Memory}

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
	shelf := wholeShelf(t)
	all := readCSV(t, data)
	sources, names, frail := ruleSources(t, shelf, all)
	known := declaredTests(t, os.DirFS("../.."))

	var b, byRule, detail strings.Builder
	fmt.Fprint(&byRule, "| package | rule | rests on | sets | rows | read2 | read | computed | disputed | practice | memory | edge |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |\n")
	fmt.Fprint(&detail, "| rule | table | figure | rows | read2 | read | computed | disputed | practice | memory | sources |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |\n")
	sets := map[string]statusTally{}
	counted := map[string]bool{}
	total, alone, nowhere, both, one, unseen, listed := statusTally{}, 0, []string{}, 0, 0, 0, map[string]bool{}
	for _, r := range all {
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
				fmt.Fprintf(&detail, "| %s | %s | %s | %d |%s %s |\n", rule, f.table, figure, f.count.rows(), f.count.cells(),
					f.sources)
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
			alone++
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
		fmt.Fprintf(&byRule, "| %s | %s | %s | %d | %d |%s %s |\n", r["package"], rule, rests, len(at), sum.rows(),
			sum.cells(), r["edge_test"])
	}
	for house, rules := range map[string][]tables.CheckRule{"dwv.": drains.Rules(), "supply.": supply.Rules()} {
		for _, r := range rules {
			if !listed[house+r.ID] {
				t.Errorf("internal/proof/rules.csv: no line for %s of %s: what it rests on, its edge test, what it says", r.ID,
					house)
			}
			delete(listed, house+r.ID)
		}
	}
	for id := range listed {
		t.Errorf("rules.csv: nothing judges by %s", id)
	}

	fmt.Fprint(&b, `# What the rules rest on

Every rule that a check of a layout judges by, the documents that state it, the rows of the shelf it takes its figures from, and how those
were come by. A test builds this page from `+"`rules.csv`, `rule_sources.csv`, `documents.csv`"+` and the shelf, and holds them to each other;
`+"`go test ./internal/proof -update`"+` writes it anew.

A **rule** and its **figure** are two things. That a trap arm has a greatest length is stated by many codes; that it is 8 ft for 2 in is
stated by one, for its own territory, and no other code can be a second source of it. So they are counted apart. A rule has two sources where two
documents of different families state it, whatever figure each gives: [by rule](#which-documents-state-each-rule). A figure has the document of its
edition, and is the surer the more copies of it were read: [by row](#figures-row-by-row).

## How far each rule has two independent sources

`)
	rules := len(all)
	fmt.Fprint(&b, "| standing | rules |\n| --- | ---: |\n")
	for c := range classes {
		fmt.Fprintf(&b, "| %s | %d |\n", classNames[c], len(names[c]))
	}
	fmt.Fprintf(&b, `| all | %d |

Seen means read, in the document or in a copy of it; a document from memory is named as such and nobody looked it up. Of %d rules, %d have
two independent documents that were seen, %d more have one that was seen and another from memory, and %d have two, both from memory. The
other %d have fewer, so **it does not hold that every rule has two sources**: %d have one, %d are common practice for which no document was found,
and %d are the module's own, which no document could state, since they speak of the drawing or of the shelf.

Fewer than two:

%s
Two seen, but only if a weak one of them counts: %s.

Two, but none that was seen: %s.

Two, one of them from memory: %s.

Each of the %d has its boundary case: the test named under "edge" [below](#figures-by-rule) judges it at its very limit and one step past it,
or, where the rule is a sentence, with and without what it asks.

`, rules, rules, len(names[twoSeen]), len(names[oneRecalled]), len(names[twoRecalled]),
		rules-len(names[twoSeen])-len(names[oneRecalled])-len(names[twoRecalled]),
		len(names[oneSeen])+len(names[onlyRecalled]), len(names[onlyPractice]), len(names[ownRule]),
		fewer(t, all, names), strings.Join(frail, ", "), strings.Join(names[twoRecalled], ", "),
		strings.Join(names[oneRecalled], ", "), rules)
	b.WriteString(sources)
	fmt.Fprintf(&b, `
## Figures

**read2** is a figure read in two copies. **read** is one: its sources column may name the document the figure belongs to and the
copy it was read in, which are not two. **practice** (the trade does so) and **memory** (recalled) have no source that was seen, **disputed**
is a figure that sources disagree on, of which the safer stands; a finding that rests on such a row is *ask*.

Of the rules that rest on rows of the shelf, %d have every row read in two copies, %d have rows that were seen in print but not all in two copies,
and %d have none that was seen; the other %d rest on the layout alone, or on rows that no set has.

`, both, one, unseen, alone)
	if len(nowhere) > 0 {
		fmt.Fprintf(&b, "Looked for by a rule, in no set of the shelf yet (an amendment may set them): %s.\n\n",
			strings.Join(nowhere, ", "))
	}
	fmt.Fprint(&b, "### Figures by set\n\nRows that some rule rests on, each counted once.\n\n| set | rows | read2 | read | computed | disputed | practice | memory |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n")
	for _, set := range slices.Sorted(maps.Keys(sets)) {
		fmt.Fprintf(&b, "| %s | %d |%s\n", set, sets[set].rows(), sets[set].cells())
	}
	fmt.Fprintf(&b, "| all | %d |%s\n\n### Figures by rule\n\n%s\n### Figures row by row\n\nA table stands with the count of its rows; a single figure with its value and its sources, the document first, its witnesses after.\n\n%s",
		total.rows(), total.cells(), byRule.String(), detail.String())
	golden.Keep(t, "RULES.md", b.String())
}
