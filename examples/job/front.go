package job

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/tables"
)

// Page one is one sheet: so many lines, of so many columns.
const (
	frontLines = 60
	frontWidth = 78
	frontFails = 10 // as many fails at most stand on it

	frontIdentity = 24 // lines that say what was judged
	frontAmended  = 7  // of them at most so many what amendments change
)

// block is some lines of page one: what write prints, cut to the greatest number of
// lines, of which the last then says where the rest stands.
func (r *Report) block(most int, rest string, write func(p *page)) []string {
	p := r.newPage(frontWidth)
	write(p)
	lines := strings.Split(strings.TrimRight(p.text.String(), "\n"), "\n")
	if most < 1 {
		return nil
	}
	if len(lines) > most {
		lines = append(lines[:most-1:most-1], rest)
	}
	return lines
}

// printFront prints page one: what was judged, the verdict, what fails, what is open, and
// where the rest stands. What has fixed bounds is printed first, and the fails and the
// figures to look up have what is left.
func (r *Report) printFront(p *page) {
	open := r.open()
	head := r.identity()
	asks := r.block(14, "  ... and more in section 1", func(p *page) { r.openCounts(p, open) })
	end := append(r.block(5, "  ... all of it near the end", r.notJudgedBrief), r.block(3, "  ...", r.key)...)
	left := frontLines - len(head) - len(asks) - len(end)
	verdict := r.block(left, "  ... section 1 has the rest", func(p *page) { r.verdict(p, left, open) })
	left -= len(verdict)
	book := r.block(left, "  ... and more in section 1", func(p *page) { r.bookFront(p, open[tables.Book]) })
	if left < 4 {
		book = nil
	}
	for _, part := range [][]string{verdict, asks, book, end} {
		head = append(head, part...)
	}
	p.text.WriteString(strings.Join(head, "\n") + "\n")
}

const identityIndent = "              "

func identityHead(name string) string { return fmt.Sprintf("  %-11s ", name) }

// identity says what was judged and by what. A text of the job has two lines at most, and the
// amendments what is left, so that what stands at the end is never cut.
func (r *Report) identity() []string {
	j := &r.Job
	text := func(most int, first, indent string, texts ...string) []string {
		return r.block(most, indent+"...", func(p *page) {
			for _, t := range texts {
				p.paragraph(first, indent, t)
			}
		})
	}
	line := func(to *[]string, name, t string) {
		if t != "" {
			*to = append(*to, text(2, identityHead(name), identityIndent, t)...)
		}
	}
	top := text(2, "", "", j.Name)
	under := 0
	for _, l := range top { // escaped it may be longer than it is in the file
		under = max(under, utf8.RuneCountInString(strings.TrimRight(l, "\n")))
	}
	top = append(top, strings.Repeat("=", under))
	if j.Note != "" {
		top = append(top, text(2, "", "", j.Note)...)
	}
	line(&top, "address", j.Address)
	line(&top, "revision", j.Revision)
	line(&top, "file", r.File.Name)
	line(&top, "sha256", r.File.SHA256)
	if n := len(r.File.Tables); n > 1 {
		line(&top, "points", fmt.Sprintf("of %d files more; their checksums are in -json", n))
	} else if n == 1 {
		line(&top, "points", r.File.Tables[0].Name)
		line(&top, "sha256", r.File.Tables[0].SHA256)
	}
	code := r.shortName
	if code == j.Edition {
		code = j.Code
	}
	line(&top, "code", titled(j.Edition, code))
	line(&top, "water code", j.WaterCode)

	var end []string
	if j.Floor != "" {
		line(&end, "floor, slab", string(j.Floor+", "+j.Slab))
	}
	line(&end, "tables", r.Versions.Tables+", library "+r.Versions.Library)
	if c := r.confirmedBrief(); c != "" {
		end = append(end, text(4, identityHead("confirmed"), identityIndent, c)...)
	}
	end = append(end, "  checked by  _______________________________   date ________________",
		"A calculation, not an approval.")

	amended := j.Amendments
	if r.amendmentsCounted() {
		amended = []string{"in full under Amendments"}
		for i := range j.amended {
			amended = append(amended, j.amended[i].brief())
		}
	}
	if len(amended) == 0 {
		line(&top, "amendments", "none")
	} else {
		most := max(2, min(frontAmended, frontIdentity-len(top)-len(end)))
		top = append(top, text(most, identityHead("amendment"), identityIndent, amended...)...)
	}
	return append(top, end...)
}

// verdict says in a sentence what to do, then what fails and what would.
func (r *Report) verdict(p *page, most int, open map[tables.Settler][]*question) {
	fails, would := r.made.failing()
	p.printf("\n")
	p.paragraph("", "  ", r.sentence(fails, would))
	shown := r.alike(fails[:min(len(fails), frontFails)])
	for _, alike := range shown {
		r.printFail(p, alike, 5*len(shown)+2*len(would) <= most-6)
	}
	if n := len(fails) - frontFails; n > 0 {
		p.printf("  ... %d more fail: section 1 has them all\n", n)
	}
	for _, f := range would[:min(len(would), 4)] {
		p.paragraph("  CHECK THE BOOK  ", "        ", fmt.Sprintf("%s From memory: fails if %s says so.", r.sentenceOf(f),
			r.cited(f.Citation)))
	}
	if n := len(would) - 4; n > 0 {
		p.printf("  ... %d more fail if the book agrees: section 1\n", n)
	}
}

// failing are the findings that fail, and those that do if the book agrees.
func (g *judged) failing() (fails, would []*tables.Finding) {
	for f := range g.findings.all() {
		switch {
		case f.Verdict == tables.Fail:
			fails = append(fails, f)
		case f.IfConfirmed == tables.Fail:
			would = append(would, f)
		}
	}
	return fails, would
}

// by names the row that decided a fail, or the job's own limit.
func (r *Report) by(f *tables.Finding) string {
	if f.Citation.IsZero() {
		return sourceOf(f, r.as)
	}
	return r.cited(f.Citation) + " (" + f.Citation.Subject() + ")"
}

// sentence is the verdict.
func (r *Report) sentence(fails, would []*tables.Finding) string {
	asks := r.Counts.Ask
	switch {
	case len(fails) == 1:
		return fmt.Sprintf("1 FAIL: do not pour before it is put right: %s at %s.", lower(ruleWords(fails[0].Rule)),
			fails[0].Place)
	case len(fails) > 1:
		return fmt.Sprintf("%d FAIL: do not pour before they are put right.", len(fails))
	case len(would) > 0:
		return fmt.Sprintf("Nothing fails, but %d would if the book agrees: do not pour before it was read.",
			len(would))
	case asks > 0:
		return fmt.Sprintf("Nothing fails; %s open: have them answered before the pour.", areOpen(asks))
	}
	return fmt.Sprintf("Nothing fails and nothing is asked: %d checks pass.", r.Counts.Pass)
}

func areOpen(n int) string {
	if n == 1 {
		return "1 question is"
	}
	return fmt.Sprintf("%d questions are", n)
}

func lower(s string) string {
	n := min(1, len(s))
	return strings.ToLower(s[:n]) + s[n:]
}

// openCounts counts what was found, and names the questions by who answers them.
func (r *Report) openCounts(p *page, open map[tables.Settler][]*question) {
	c := &r.Counts
	p.printf("\n")
	counts := fmt.Sprintf("%d fail, %d ask, %d pass.", c.Fail, c.Ask, c.Pass)
	if c.Ask > 0 {
		counts += " Questions, by who answers them (in full: section 1):"
	}
	p.paragraph("", "  ", counts)
	for _, s := range settlers {
		list := open[s.who]
		if len(list) == 0 {
			continue
		}
		if s.who == tables.Book {
			continue
		}
		var parts []string
		for _, q := range byRule(list) {
			text := lower(ruleWords(q.rule)) + " (" + foremost(q.places, 2) + ")"
			if f := q.field(); f != "" && s.who == tables.Designer {
				text += ": state " + f
			}
			parts = append(parts, text)
		}
		for _, l := range r.block(3, "    ... and more in section 1", func(p *page) {
			p.paragraph("  "+strings.TrimPrefix(s.name, "the ")+": ", "    ", strings.Join(parts, "; "))
		}) {
			p.printf("%s\n", l)
		}
	}
	if list := open[tables.Book]; len(list) > 0 {
		places := 0
		for _, q := range list {
			places += len(q.places)
		}
		decide := "decide"
		if len(list) == 1 {
			decide = "decides"
		}
		p.printf("  book: look up %s, which %s at %s\n", counted(len(list), "figure"), decide, counted(places, "place"))
	}
}

// bookFront is the table of what is to be looked up: what fails if the book agrees first,
// then what passes, then what stays open.
func (r *Report) bookFront(p *page, list []*question) {
	if len(list) == 0 {
		return
	}
	rank := func(q *question) int {
		switch {
		case len(q.fails) > 0:
			return 0
		case q.pass > 0:
			return 1
		}
		return 2
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b *question) int { return rank(a) - rank(b) })
	g := grid{head: []string{"look up", "figure", ">places", "if the book agrees"}}
	for _, q := range list {
		g.add(r.cited(q.cite), lookUp(q.cite), fmt.Sprint(len(q.places)), q.agreed())
	}
	p.grid(g)
}

func (r *Report) notJudgedBrief(p *page) {
	if len(r.unjudged) > 0 {
		p.paragraph("", "  ", "Not judged under "+r.shortName+": some rules about "+families(r.unjudged)+
			"; each is named at the end.")
	}
}

// key explains the abbreviations, once, and says what follows.
func (r *Report) key(p *page) {
	var key []string
	unit := "wsfu" // of water loads
	if w := r.made.water; w != nil {
		unit = w.code.LoadUnit()
	}
	switch g := r.made.drains; {
	case g != nil && g.flows != nil:
		key = append(key, "du discharge units, a litre a second each; flows of drains in L/s")
	case unit == "wsfu":
		key = append(key, "dfu drainage, wsfu water supply fixture units")
	case g != nil:
		key = append(key, "dfu drainage fixture units")
	}
	switch unit {
	case "lu":
		key = append(key, "lu loading units of water lines")
	case "L/s":
		key = append(key, "loads of water lines are sums of outlet flows in L/s")
	}
	if r.Job.Units == "us" && (r.made.drains == nil || r.made.drains.flows == nil) {
		key = append(key, "gpm US gallons a minute", "psi gauge")
	}
	p.paragraph("Key: ", "     ", strings.Join(key, "; ")+".")
}

// FileSection says which file was judged.
type FileSection struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	// Tables are the files of points that the layout names.
	Tables []TableFile `json:"tables,omitempty"`
}

// TableFile is a file of points.
type TableFile struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

func fileSection(j *Job) FileSection {
	return FileSection{Name: j.file, SHA256: fmt.Sprintf("%x", sha256.Sum256(j.data)), Tables: j.tables}
}
