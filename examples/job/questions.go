package job

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

// question is what one rule and one row leave open at some places.
type question struct {
	group
	rule    string
	settler tables.Settler
	cite    tables.Citation
	fix     string
	first   *tables.Finding
	pass    int      // places that pass if the book agrees
	fails   []string // places that fail then
}

// settler says who can answer a question: whom the check names, else the book for a
// figure from memory, the designer for what the layout does not state, the authority.
func settler(f *tables.Finding) tables.Settler {
	switch {
	case f.Verdict != tables.Ask:
		return 0
	case f.SettledBy != 0:
		return f.SettledBy
	case f.Citation.Status() == tables.Memory:
		return tables.Book
	case f.Citation.IsZero():
		return tables.Designer
	}
	return tables.Authority
}

// settlers are those who answer, in the order in which they are asked, and what they are
// called in a report.
var settlers = []struct {
	who  tables.Settler
	name string
}{{tables.Book, "the book"}, {tables.Authority, "the authority"}, {tables.Owner, "the owner"},
	{tables.Designer, "the designer"}}

// questionsOf puts the questions of a report together, by who answers them.
func questionsOf(list findings) map[tables.Settler][]*question {
	type key struct {
		rule, fix string
		cite      tables.Citation
		who       tables.Settler
	}
	groups := map[key]*question{}
	out := map[tables.Settler][]*question{}
	for f := range list.all() {
		if f.Verdict != tables.Ask {
			continue
		}
		k := key{f.Rule, f.Fix, f.Citation, settler(f)}
		if f.IfConfirmed != 0 {
			k.fix = "" // the fix of what fails is told with it
		}
		q := groups[k]
		if q == nil {
			q = &question{rule: f.Rule, settler: k.who, cite: f.Citation, fix: k.fix, first: f}
			groups[k] = q
			out[k.who] = append(out[k.who], q)
		}
		q.add(shortName(f.Place, f.Place)) // a question about a whole code stands at its id
		switch f.IfConfirmed {
		case tables.Pass:
			q.pass++
		case tables.Fail:
			q.fails = append(q.fails, f.Place)
		}
	}
	return out
}

// byRule puts the questions of one rule together, as who answers them settles them in one go.
func byRule(list []*question) (out []*question) {
	var alike grouped.By[string, *question]
	for _, q := range list {
		alike.Add(q.rule, q)
	}
	for _, same := range alike.Lists {
		out = append(out, sum(same))
	}
	return out
}

// sum puts questions of one rule together.
func sum(list []*question) *question {
	if len(list) == 1 {
		return list[0]
	}
	all := &question{rule: list[0].rule, first: list[0].first}
	for _, q := range list {
		if all.field() != q.field() {
			all.first = nil
		}
		for _, place := range q.places {
			all.add(place)
		}
	}
	return all
}

//go:embed stated.txt
var statedText string

// stated names the fields of the layout that answer what the designer is asked, by rule.
var stated = sync.OnceValue(func() map[string]string {
	of := map[string]string{}
	for line := range strings.Lines(statedText) {
		if rule, fields, ok := strings.Cut(strings.TrimSpace(line), ": "); ok {
			of[rule] = fields
		}
	}
	return of
})

// agreed says what a question becomes if the book agrees.
func (q *question) agreed() string {
	text := ""
	if q.pass > 0 {
		text = fmt.Sprintf("%d pass", q.pass)
	}
	if len(q.fails) > 0 {
		text = join(text, "FAIL at "+foremost(q.fails, 3))
	}
	return cmp.Or(text, "open")
}

// some names the first places of a list, and how many more there are.
func some(places []string, most int) string {
	if len(places) <= most+1 {
		return strings.Join(places, " ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(places[:most], " "), len(places)-most)
}

// foremost is some of places in the order of [visible.Counted], in which no more of them are put
// than are named.
func foremost(places []string, most int) string {
	var first []string
	for _, place := range places {
		if len(first) > most && visible.Counted(place, first[most]) >= 0 {
			continue
		}
		at, _ := slices.BinarySearchFunc(first, place, visible.Counted)
		first = slices.Insert(first[:min(len(first), most)], at, place)
	}
	if len(places) <= most+1 {
		return some(first, most)
	}
	return fmt.Sprintf("%s and %d more", strings.Join(first[:most], " "), len(places)-most)
}

// lookUp names what is to be looked up: a rule with its value, or a row of a table.
func lookUp(c tables.Citation) string {
	_, table, _ := strings.Cut(c.Table(), "/")
	if table == "rules" {
		return rowName(c.Row()) + ": " + figureText(c)
	}
	return c.Row()
}

// cited names the document and section of a row, codes by their short names.
func (r *Report) cited(c tables.Citation) string {
	if c.IsZero() {
		return ""
	}
	source := c.Source()
	text := strings.Replace(shortName(source.ID, source.String()), r.Job.Edition, r.shortName, 1)
	if s := c.Section(); s != "" {
		text += ", " + s
	}
	return text
}

// called are codes whose short name their id does not spell.
var called = map[string]string{en12056.ID: "EN 12056-2", "asnzs3500-2": "AS/NZS 3500.2", "bs6700": "BS 6700",
	"din1986-100": "DIN 1986-100", "din1988-300": "DIN 1988-300", "en806-3": "EN 806-3", "npc-canada": "NPC of Canada"}

// shortName is what a code is called once its title was given: IPC 2021 for ipc-2021.
func shortName(id, edition string) string {
	if name := called[id]; name != "" {
		return name
	}
	name, year, ok := strings.Cut(id, "-")
	if !ok || len(year) != 4 || strings.Trim(year, "0123456789") != "" {
		return edition
	}
	return strings.ToUpper(name) + " " + year
}

// titled is the title of a document with what it is called after that, unless it ends so.
func titled(title, short string) string {
	if strings.HasSuffix(title, short) {
		return title
	}
	return title + " (" + short + ")"
}

// titles are the titles of the codes of a report, each with what it is called after that.
func (r *Report) titles() (list []string) {
	for _, code := range r.sources() {
		if short := shortName(code.ID, code.String()); short != code.String() {
			list = append(list, code.String(), short)
		}
	}
	return list
}

// sources are the codes that the halves were judged by.
func (r *Report) sources() (list []tables.Source) {
	if g := r.made; g != nil {
		if g.drains != nil {
			list = append(list, g.drains.code.Source())
		}
		if g.water != nil {
			list = append(list, g.water.code.Source())
		}
	}
	return list
}

// bareReason is the reason of a finding without the sentence about the standing of its figure,
// which stands where the question is put.
func bareReason(f *tables.Finding) string {
	return strings.TrimRight(f.Compared(), ". ")
}

// told is a finding in a sentence: what was found, with the figures that it does not name.
func (r *Report) told(f *tables.Finding) string {
	row := FindingRow{Value: r.as.figure(f.Rule, f.Value), Limit: r.as.figure(f.Rule, f.Limit), Margin: r.as.left(f),
		IfConfirmed: f.IfConfirmed}
	reason := bareReason(f)
	for i, titles := 0, r.titles(); i < len(titles); i += 2 {
		reason = strings.ReplaceAll(reason, titles[i], titles[i+1])
	}
	figures := row.figuresBeside(reason)
	if first, same, ok := strings.Cut(reason, ". The same at "); ok { // the figures are of this place
		return capital(first) + figures + ". The same at " + same + "."
	}
	return capital(reason) + figures + "."
}

func capital(s string) string {
	n := min(1, len(s))
	return strings.ToUpper(s[:n]) + s[n:]
}

// printFindings prints every fail and every question in full, these by who answers them.
func (r *Report) printFindings(p *page) {
	p.section("Findings: " + r.Findings.Summary)
	r.printFails(p)
	open := r.open()
	for _, s := range settlers {
		list := open[s.who]
		if len(list) == 0 {
			continue
		}
		if s.who == tables.Book {
			r.printBook(p, list)
			continue
		}
		p.printf("\n  For %s\n", s.name)
		for _, q := range list {
			r.printQuestion(p, q)
		}
	}
}

// field names what the layout can say to answer a question: what the code lacks of a fixture to count it, or
// what answers the rule.
func (q *question) field() string {
	for _, f := range [...]string{"size", "use", "control", "flush"} {
		if q.rule == "drain-load" && q.first != nil && strings.Contains(q.first.Reason, f+": "+tables.ErrNotStated.Error()) {
			return "fixture." + f
		}
	}
	return stated()[q.rule]
}

// printQuestion prints what one rule asks.
func (r *Report) printQuestion(p *page, q *question) {
	where := ""
	if len(q.places) > 1 {
		where = "At " + q.first.Place + ": "
	}
	p.paragraph("  - ", "    ", fmt.Sprintf("%s at %s. %s%s", ruleWords(q.rule), foremost(q.places, 12), where,
		r.told(q.first)))
	if q.fix != "" {
		p.paragraph("      question: ", "                ", q.fix)
	}
	if f := q.field(); f != "" && q.settler == tables.Designer {
		p.paragraph("      state:    ", "                ", f+" at "+foremost(q.places, 12))
	}
	if c := r.cited(q.cite); c != "" {
		p.paragraph("      code:     ", "                ", c+" ("+q.cite.Subject()+")")
	}
}

// printBook prints what is to be looked up as one table, then what hangs on it and fails.
func (r *Report) printBook(p *page, list []*question) {
	p.printf("\n  For the book: figures from memory. Look them up in the code in force.\n")
	g := grid{head: []string{"section", "figure", "check", "if the book agrees", "places"}}
	for _, q := range list {
		g.add(r.cited(q.cite), lookUp(q.cite), ruleWords(q.rule), q.agreed(), foremost(q.places, 12))
	}
	p.grid(g)
	for _, q := range list {
		if q.pass == 0 && len(q.fails) == 0 {
			r.printQuestion(p, q)
		}
	}
}

// notJudged lists by family what no check reads of the codes that the halves of the job are
// judged by.
func (j *Job) notJudged(code string, w *waterJudged) (list []tables.Unjudged, err error) {
	switch {
	case j.drains == nil:
	case code == en12056.ID:
		standard, err := en12056.LoadStandard(j.shelf)
		if err != nil {
			return nil, err
		}
		if list, err = standard.NotJudged(); err != nil {
			return nil, err
		}
	default:
		if list, err = j.shelf.NotJudged(code, tables.Drains); err != nil {
			return nil, err
		}
	}
	var water []tables.Unjudged
	switch {
	case w != nil:
		water, err = w.code.NotJudged()
	case j.water != nil:
		water, err = j.shelf.NotJudged(cmp.Or(j.WaterCode, code), tables.Water)
	}
	return append(list, water...), err
}

// unjudgedRows names the rows of every family, in words.
func unjudgedRows(list []tables.Unjudged) []string {
	out := []string{}
	for _, u := range list {
		for _, row := range u.Rows {
			out = append(out, ruleWords(row))
		}
	}
	return out
}

func families(list []tables.Unjudged) string {
	var out []string
	for _, u := range list {
		out = append(out, u.Family)
	}
	return strings.Join(out, "; ")
}

// printAssumed prints what the layout leaves open and no verdict hangs on.
func (r *Report) printAssumed(p *page) {
	if len(r.Assumed) == 0 {
		return
	}
	p.section("Assumed: no verdict hangs on it, and no size that the code asks")
	for _, a := range r.Assumed {
		text := fmt.Sprintf("%s at %s: %s.", ruleWords(a.Rule), a.Place, a.Taken)
		if a.Field != "" {
			text += fmt.Sprintf(" To state it: %s.", a.Field)
		}
		p.paragraph("  - ", "    ", text)
	}
}

func (r *Report) printNotJudged(p *page) {
	if len(r.unjudged) == 0 {
		return
	}
	p.section("Appendix: rules of " + r.shortName + " that are not judged here")
	for _, u := range r.unjudged {
		p.paragraph("  - ", "    ", fmt.Sprintf("%s: %s", u.Family,
			strings.ReplaceAll(strings.Join(u.Rows, ", "), "-", " ")))
	}
}
