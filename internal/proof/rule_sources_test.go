package proof_test

import (
	"cmp"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// A statement says that a document states a rule, whatever figure it gives, or that
// it does not.
type statement struct {
	document, section, standing, shelf, seenIn string
	weak                                       bool // told at second hand by a page that need not know
	note                                       string
}

// Standings of a statement.
const (
	read     = "read"     // seen, in the document or in a copy
	memory   = "memory"   // recalled
	practice = "practice" // of the trade, or told by it
	own      = "own"      // the module's own: no document could state it
	silent   = "silent"   // the document has rows beside the rule, and does not state it
)

// class is how many independent documents state a rule.
type class int

const (
	twoSeen class = iota
	oneRecalled
	twoRecalled
	oneSeen
	onlyRecalled
	onlyPractice
	ownRule
	classes
)

var classNames = [classes]string{"two seen", "two, one of them from memory", "two from memory", "one",
	"one from memory", "common practice", "the module's own"}

// A library knows the documents that state rules, by id, with the family each belongs
// to. Documents of one family are one source.
type library struct {
	family map[string]string
	apart  map[string]string // why a document is of another family than its publisher's others
	known  map[string]tables.Source
}

// readLibrary reads documents.csv: a document that the shelf lists has no title there.
func readLibrary(t *testing.T) library {
	t.Helper()
	data, err := os.ReadFile("documents.csv")
	if err != nil {
		t.Fatal(err)
	}
	list, err := tables.Embedded().Sources()
	if err != nil {
		t.Fatal(err)
	}
	l := library{map[string]string{}, map[string]string{}, map[string]tables.Source{}}
	for _, s := range list {
		l.known[s.ID] = s
	}
	for _, r := range readCSV(t, data) {
		id := r["document"]
		if l.family[id] != "" {
			t.Errorf("documents.csv: %s stands twice", id)
		}
		if r["family"] == "" {
			t.Errorf("documents.csv: %s has no family", id)
		}
		if _, ok := l.known[id]; ok == (r["title"] != "") {
			t.Errorf("documents.csv: %s: the title stands here or in a sources.csv of the shelf, not in both or neither", id)
		}
		l.family[id], l.apart[id] = r["family"], r["apart"]
		if r["title"] != "" {
			l.known[id] = tables.Source{ID: id, Title: r["title"], Publisher: r["publisher"], URL: r["url"]}
		}
	}
	return l
}

// check holds families to what the documents say of themselves: an adoption of a model
// code is of its family.
func (l library) check(t *testing.T) {
	t.Helper()
	for id, family := range l.family {
		s := l.known[id]
		about := s.Title + " " + s.Note
		for model, names := range map[string][]string{"international": {"IPC", "International Plumbing Code",
			"International Residential Code"}, "uniform": {"UPC", "Uniform Plumbing Code"}} {
			for _, name := range names {
				if strings.Contains(about, name) && family != model && family != "copies" {
					t.Errorf("documents.csv: %s is of the family %s, and its title or note names the %s", id, family, name)
				}
			}
		}
	}
}

// standing is the standing of the rows of a table, or of one of them, that cite a
// document: firm if one was seen.
func standing(table *tables.Table, only int, document string) (rows int, firm bool) {
	for row := range table.Len() {
		if only >= 0 && row != only {
			continue
		}
		cite := table.Cite(row)
		if slices.ContainsFunc(cite.Sources(), func(s tables.Source) bool { return s.ID == document }) {
			rows++
			firm = firm || cite.Status().Firm()
		}
	}
	return rows, firm
}

// check tells what is wrong with a statement, by the shelf and the documents known.
func (s statement) check(shelf []*tables.Table, l library) error {
	if l.family[s.document] == "" {
		return fmt.Errorf("documents.csv has no %s", s.document)
	}
	if _, ok := l.known[s.seenIn]; s.seenIn != "" && !ok {
		return fmt.Errorf("%s was seen in %s, which neither documents.csv nor the shelf has", s.document, s.seenIn)
	}
	rows, firm := 0, false
	if s.shelf != "" {
		id, rule, single := strings.Cut(s.shelf, ":")
		i := slices.IndexFunc(shelf, func(t *tables.Table) bool { return t.ID() == id })
		if i < 0 {
			return fmt.Errorf("the shelf has no table %s", id)
		}
		only := -1
		if single {
			var ok bool
			if only, ok = shelf[i].Find(rule); !ok {
				return fmt.Errorf("%s has no rule %s", id, rule)
			}
		}
		rows, firm = standing(shelf[i], only, s.document)
	}
	switch s.standing {
	case read:
		switch {
		case s.shelf == "" && s.seenIn == "":
			return fmt.Errorf("%s is said to be read, and not where", s.document)
		case s.shelf != "" && !firm:
			return fmt.Errorf("%s is said to be read in %s, of which %d rows cite it, none of them seen", s.document, s.shelf,
				rows)
		}
	case memory:
		switch {
		case s.seenIn != "":
			return fmt.Errorf("%s is said to be recalled, and seen in %s", s.document, s.seenIn)
		case firm || s.shelf != "" && rows == 0:
			return fmt.Errorf("%s is said to be recalled; %d rows of %s cite it, seen: %v", s.document, rows, s.shelf, firm)
		}
	case practice, own, silent:
	default:
		return fmt.Errorf("%s has the standing %q", s.document, s.standing)
	}
	if s.weak && s.standing != read {
		return fmt.Errorf("%s is said to be weak, and not read", s.document)
	}
	return nil
}

// readStatements reads rule_sources.csv, by package and rule.
func readStatements(t *testing.T, shelf []*tables.Table, l library) map[string][]statement {
	t.Helper()
	data, err := os.ReadFile("rule_sources.csv")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]statement{}
	for _, r := range readCSV(t, data) {
		rule := r["package"] + "." + r["rule"]
		s := statement{r["document"], r["section"], r["standing"], r["shelf"], r["seen_in"], r["weak"] == "yes", r["note"]}
		if err := s.check(shelf, l); err != nil {
			t.Errorf("rule_sources.csv: %s: %v", rule, err)
		}
		for _, o := range out[rule] {
			if o.document == s.document {
				t.Errorf("rule_sources.csv: %s: %s stands twice", rule, s.document)
			}
			if p := l.known[s.document].Publisher; p != "" && p == l.known[o.document].Publisher &&
				l.family[s.document] != l.family[o.document] && l.apart[s.document]+l.apart[o.document] == "" {
				t.Errorf("rule_sources.csv: %s: %s and %s are both published by %s, and of two families", rule, o.document,
					s.document, p)
			}
		}
		out[rule] = append(out[rule], s)
	}
	return out
}

// judge counts the families of the documents that state a rule: those seen, and those
// recalled that no seen one is of.
func (l library) judge(list []statement) (c class, seen, recalled int) {
	families := map[string]string{}
	first := ""
	for _, s := range list {
		first = cmp.Or(first, s.standing)
		f := l.family[s.document]
		if s.standing == read || s.standing == memory && families[f] == "" {
			families[f] = s.standing
		}
	}
	for _, s := range families {
		if s == read {
			seen++
		} else {
			recalled++
		}
	}
	switch {
	case seen >= 2:
		return twoSeen, seen, recalled
	case seen == 1 && recalled >= 1:
		return oneRecalled, seen, recalled
	case seen == 1:
		return oneSeen, seen, recalled
	case recalled >= 2:
		return twoRecalled, seen, recalled
	case recalled == 1:
		return onlyRecalled, seen, recalled
	case first == own:
		return ownRule, seen, recalled
	}
	return onlyPractice, seen, recalled
}

// The classes are counted by family, and nothing but what was seen counts as seen.
func TestIndependence(t *testing.T) {
	l := library{family: map[string]string{"a": "A", "a2": "A", "b": "B", "c": "C", "t": "trade"}}
	for _, tt := range []struct {
		list string
		want class
	}{
		{"a read, b read", twoSeen},
		{"a read, a2 read", oneSeen},
		{"a read, a2 memory", oneSeen},
		{"a memory, a2 read, b memory", oneRecalled},
		{"a read, b memory, c memory", oneRecalled},
		{"a memory, b memory", twoRecalled},
		{"a memory, a2 memory", onlyRecalled},
		{"a read, b silent", oneSeen},
		{"a read, t practice", oneSeen},
		{"a silent, t practice", onlyPractice},
		{"t own", ownRule},
	} {
		var list []statement
		for s := range strings.SplitSeq(tt.list, ", ") {
			document, standing, _ := strings.Cut(s, " ")
			list = append(list, statement{document: document, standing: standing})
		}
		if got, _, _ := l.judge(list); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.list, classNames[got], classNames[tt.want])
		}
	}
}

// What is wrong with a statement is found.
func TestStatementCheck(t *testing.T) {
	shelf := wholeShelf(t)
	l := readLibrary(t)
	for _, tt := range []struct {
		name string
		s    statement
		ok   bool
	}{
		{"a row that was read", statement{document: "ipc-2021", standing: read, shelf: "ipc-2021/rules:cleanout-spacing"},
			true},
		{"read elsewhere", statement{document: "navedtra-14259", standing: read, seenIn: "navedtra-14259"}, true},
		{"read nowhere", statement{document: "navedtra-14259", standing: read}, false},
		{"a recalled row said to be read", statement{document: "ipc-2021", standing: read,
			shelf: "ipc-2021/rules:trap-arm-max-fall"}, false},
		{"a recalled row", statement{document: "ipc-2021", standing: memory, shelf: "ipc-2021/rules:trap-arm-max-fall"},
			true},
		{"a row that was read said to be recalled", statement{document: "ipc-2021", standing: memory,
			shelf: "ipc-2021/rules:cleanout-spacing"}, false},
		{"recalled and seen", statement{document: "ipc-2021", standing: memory, seenIn: "navedtra-14259"}, false},
		{"a row of another document", statement{document: "upc-2021", standing: read,
			shelf: "ipc-2021/rules:cleanout-spacing"}, false},
		{"no such rule", statement{document: "ipc-2021", standing: read, shelf: "ipc-2021/rules:no-such"}, false},
		{"no such table", statement{document: "ipc-2021", standing: read, shelf: "ipc-2021/no-such"}, false},
		{"no such document", statement{document: "no-such", standing: memory}, false},
		{"no such copy", statement{document: "ipc-2021", standing: read, seenIn: "no-such"}, false},
		{"no such standing", statement{document: "ipc-2021", standing: "sworn"}, false},
	} {
		if err := tt.s.check(shelf, l); (err == nil) != tt.ok {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}

// documentsOf returns the documents whose rows a rule rests on.
func documentsOf(t *testing.T, shelf []*tables.Table, restsOn string) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for entry := range strings.FieldsSeq(restsOn) {
		for _, f := range footings(t, shelf, entry) {
			i := slices.IndexFunc(shelf, func(t *tables.Table) bool { return t.ID() == f.table })
			out[shelf[i].Source().ID] = true
		}
	}
	return out
}

// ruleSources writes which documents state each rule, and checks that none of those
// whose rows it rests on is forgotten. It returns the rules by class, and those that
// have two documents seen only if weak ones count.
func ruleSources(t *testing.T, shelf []*tables.Table, rules []map[string]string) (page string, names [classes][]string,
	frail []string) {
	t.Helper()
	l := readLibrary(t)
	l.check(t)
	stated := readStatements(t, shelf, l)
	var byRule, detail, families strings.Builder
	fmt.Fprint(&byRule, "| package | rule | what it says | families seen | recalled | standing |\n| --- | --- | --- | ---: | ---: | --- |\n")
	fmt.Fprint(&detail, "| rule | document | family | section | standing | row of the shelf | seen in | note |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n")
	used := map[string]bool{}
	for _, r := range rules {
		key := r["package"] + "." + r["rule"]
		list := stated[key]
		delete(stated, key)
		if len(list) == 0 {
			t.Errorf("rule_sources.csv: no line for %s", key)
			continue
		}
		if r["says"] == "" {
			t.Errorf("rules.csv: what %s says is not said", key)
		}
		c, seen, recalled := l.judge(list)
		names[c] = append(names[c], r["rule"])
		strong := slices.DeleteFunc(slices.Clone(list), func(s statement) bool { return s.weak })
		if without, _, _ := l.judge(strong); c == twoSeen && without != twoSeen {
			frail = append(frail, r["rule"])
		}
		fmt.Fprintf(&byRule, "| %s | %s | %s | %d | %d | %s |\n", r["package"], r["rule"], r["says"], seen, recalled,
			classNames[c])
		missing := documentsOf(t, shelf, r["rests_on"])
		for _, s := range list {
			delete(missing, s.document)
			used[s.document], used[s.seenIn] = true, true
			if s.standing == own && len(list) > 1 {
				t.Errorf("rule_sources.csv: %s is said to be the module's own, and %d documents to state it", key, len(list)-1)
			}
			name, copies := l.known[s.document].Title, ""
			switch s.seenIn {
			case "":
			case s.document:
				copies = cmp.Or(l.known[s.seenIn].URL, "itself")
			default:
				copies = l.known[s.seenIn].Title
			}
			if s.standing == read && s.shelf != "" && s.seenIn == "" {
				copies = witnesses(shelf, s)
			}
			stands := s.standing
			if s.weak {
				stands += ", weak"
			}
			fmt.Fprintf(&detail, "| %s | %s | %s | %s | %s | %s | %s | %s |\n", r["rule"], cell(name), l.family[s.document],
				cell(s.section), stands, s.shelf, cell(copies), cell(s.note))
		}
		if c != ownRule {
			for _, document := range slices.Sorted(maps.Keys(missing)) {
				t.Errorf("rule_sources.csv: %s rests on rows of %s: say whether it states the rule (read, memory, silent)", key,
					document)
			}
		}
	}
	for key := range stated {
		t.Errorf("rule_sources.csv: rules.csv has no %s", key)
	}
	members := map[string][]string{}
	for id, family := range l.family {
		if !used[id] {
			t.Errorf("documents.csv: %s states no rule", id)
		}
		members[family] = append(members[family], cell(l.known[id].Title))
	}
	delete(members, "copies")
	fmt.Fprint(&families, "| family | documents |\n| --- | --- |\n")
	for _, family := range slices.Sorted(maps.Keys(members)) {
		slices.Sort(members[family])
		fmt.Fprintf(&families, "| %s | %s |\n", family, strings.Join(members[family], "; "))
	}
	return fmt.Sprintf(`## Which documents state each rule

%s
### Where each was seen

A row of the shelf carries its document first and the copies it was read in behind; what stands nowhere on the shelf names the page.
*weak* is what a page told that need not know: flashcards, a forum, a maker on the practice of the trade, a paper that quotes another.
*silent* is a document whose rows lie beside the rule and which does not state it.

%s
### Families

Documents of one family are one source: a code, its later and its residential editions, the cities and states that adopt it, the pages
that quote it. Codes of other bodies are counted apart, though they borrow from each other.

%s
`, byRule.String(), detail.String(), families.String()), names, frail
}

// witnesses lists the copies in which the rows of a statement were read.
func witnesses(shelf []*tables.Table, s statement) string {
	id, rule, single := strings.Cut(s.shelf, ":")
	table := shelf[slices.IndexFunc(shelf, func(t *tables.Table) bool { return t.ID() == id })]
	only := -1
	if single {
		only, _ = table.Find(rule)
	}
	var out []string
	for row := range table.Len() {
		cite := table.Cite(row)
		if only >= 0 && row != only || !cite.Status().Firm() {
			continue
		}
		for _, source := range cite.Sources() {
			if source.ID != s.document && !slices.Contains(out, source.ID) {
				out = append(out, source.ID)
			}
		}
	}
	if most := 4; len(out) > most {
		out = append(out[:most], "and others")
	}
	return strings.Join(out, ", ")
}

// wholeShelf returns every table of the shelf, by id.
func wholeShelf(t *testing.T) (shelf []*tables.Table) {
	t.Helper()
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		shelf = append(shelf, table)
	}
	slices.SortFunc(shelf, func(a, b *tables.Table) int { return cmp.Compare(a.ID(), b.ID()) })
	return shelf
}

// fewer writes the rules that fewer than two documents state, with the reason that
// rules.csv gives; no other rule has one.
func fewer(t *testing.T, rules []map[string]string, names [classes][]string) string {
	t.Helper()
	var b strings.Builder
	fmt.Fprint(&b, "| rule | standing | why |\n| --- | --- | --- |\n")
	for c := oneSeen; c < classes; c++ {
		for _, r := range rules {
			if slices.Contains(names[c], r["rule"]) {
				if r["why_fewer"] == "" {
					t.Errorf("rules.csv: why %s has fewer than two sources is not said", r["rule"])
				}
				fmt.Fprintf(&b, "| %s | %s | %s |\n", r["rule"], classNames[c], r["why_fewer"])
			}
		}
	}
	for c := range oneSeen {
		for _, r := range rules {
			if slices.Contains(names[c], r["rule"]) && r["why_fewer"] != "" {
				t.Errorf("rules.csv: %s has two sources, and a reason why it has fewer", r["rule"])
			}
		}
	}
	return b.String()
}
