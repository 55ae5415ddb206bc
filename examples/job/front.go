package job

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// Page one is one sheet: so many lines, of so many columns.
const (
	frontLines = 60
	frontWidth = 78
	frontFails = 10 // as many fails at most stand on it
)

// block is some lines of page one: what write prints, cut to the greatest number of
// lines, of which the last then says where the rest stands.
func (r *Report) block(most int, rest string, write func(p *page)) []string {
	var b bytes.Buffer
	p := &page{w: &b, width: frontWidth}
	write(p)
	lines := strings.Split(strings.TrimRight(b.String(), "\n"), "\n")
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
func (r *Report) printFront(w io.Writer) error {
	open := questionsOf(r.made.findings)
	head := r.block(22, "  ...", r.identity)
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
	_, err := io.WriteString(w, strings.Join(head, "\n")+"\n")
	return err
}

// identity says what was judged and by what.
func (r *Report) identity(p *page) {
	j := &r.Job
	p.paragraph("", "", j.Name)
	p.printf("%s\n", strings.Repeat("=", min(frontWidth, len([]rune(j.Name)))))
	if j.Note != "" {
		for _, l := range r.block(2, "...", func(p *page) { p.paragraph("", "", j.Note) }) {
			p.printf("%s\n", l)
		}
	}
	line := func(name, text string) {
		if text != "" {
			p.paragraph(fmt.Sprintf("  %-11s ", name), strings.Repeat(" ", 14), text)
		}
	}
	line("address", j.Address)
	line("revision", j.Revision)
	line("file", r.File.Name)
	p.printf("  sha256      %s\n", r.File.SHA256)
	for _, t := range r.File.Tables {
		line("points", t.Name)
		p.printf("  sha256      %s\n", t.SHA256)
	}
	if r.shortName != j.Edition {
		line("code", j.Edition+" ("+r.shortName+")")
	} else {
		line("code", j.Edition+" ("+j.Code+")")
	}
	line("water code", j.WaterCode)
	if len(j.Amendments) == 0 {
		line("amendments", "none")
	}
	for _, a := range j.Amendments {
		line("amendment", a)
	}
	if j.Floor != "" {
		line("floor, slab", string(j.Floor+", "+j.Slab))
	}
	line("tables", r.Versions.Tables+", library "+r.Versions.Library)
	if len(r.Confirmed) > 0 {
		line("confirmed", counted(len(r.Confirmed), "figure")+" as read in the code book: see Confirmed")
	}
	p.printf("  checked by  _______________________________   date ________________\n")
	p.printf("A calculation, not an approval.\n")
}

// verdict says in a sentence what to do, then what fails and what would.
func (r *Report) verdict(p *page, most int, open map[tables.Settler][]*question) {
	var fails, would []*tables.Finding
	for i := range r.made.findings {
		switch f := &r.made.findings[i]; {
		case f.Verdict == tables.Fail:
			fails = append(fails, f)
		case f.IfConfirmed == tables.Fail:
			would = append(would, f)
		}
	}
	p.printf("\n")
	p.paragraph("", "  ", r.sentence(fails, would, open))
	shown := fails[:min(len(fails), frontFails)]
	full := 4*len(shown)+2*len(would) <= most-6
	for _, f := range shown {
		p.paragraph("  FAIL  ", "        ", ruleWords(f.Rule)+" at "+f.Place+": "+r.told(f))
		if full {
			if f.Fix != "" {
				p.paragraph("        fix:  ", "              ", f.Fix)
			}
			p.paragraph("        code: ", "              ", r.by(f))
		}
	}
	if n := len(fails) - len(shown); n > 0 {
		p.printf("  ... %d more fail: section 1 has them all\n", n)
	}
	for _, f := range would[:min(len(would), 4)] {
		p.paragraph("  CHECK THE BOOK  ", "        ", fmt.Sprintf("%s at %s: %s From memory: fails if %s says so.",
			ruleWords(f.Rule), f.Place, r.told(f), r.cited(f.Citation)))
	}
	if n := len(would) - 4; n > 0 {
		p.printf("  ... %d more fail if the book agrees: section 1\n", n)
	}
}

// by names the row that decided a fail, or the job's own limit.
func (r *Report) by(f *tables.Finding) string {
	if f.Citation.IsZero() {
		return findingRow(f, r.as).Source
	}
	return r.cited(f.Citation) + " (" + f.Citation.Subject() + ")"
}

// sentence is the verdict.
func (r *Report) sentence(fails, would []*tables.Finding, open map[tables.Settler][]*question) string {
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
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// openCounts counts what was found, and names the questions by who answers them.
func (r *Report) openCounts(p *page, open map[tables.Settler][]*question) {
	c := &r.Counts
	p.printf("\n%d fail, %d ask, %d pass.", c.Fail, c.Ask, c.Pass)
	if c.Ask == 0 {
		p.printf("\n")
		return
	}
	p.printf(" Questions, by who answers them (in full: section 1):\n")
	for _, s := range settlers {
		list := open[s.who]
		if len(list) == 0 {
			continue
		}
		if s.who == tables.Book {
			continue
		}
		var parts []string
		for _, q := range list {
			text := lower(ruleWords(q.rule)) + " (" + some(q.places, 2) + ")"
			if f := stated[q.rule]; f != "" && s.who == tables.Designer {
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
		p.printf("  book: look up %s, which decide at %s\n", counted(len(list), "figure"), counted(places, "place"))
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
		p.paragraph("Not judged under "+r.shortName+": ", "  ",
			"some rules about "+families(r.unjudged)+"; each is named at the end.")
	}
}

// key explains the abbreviations, once, and says what follows.
func (r *Report) key(p *page) {
	key := "dfu drainage, wsfu water supply fixture units"
	if g := r.made.drains; g != nil && g.flows != nil {
		key = "du discharge units, a litre a second each; flows of drains in L/s"
	}
	if r.Job.Units == "us" && !strings.HasPrefix(key, "du ") {
		key += "; gpm US gallons a minute; psi gauge"
	}
	p.paragraph("Key: ", "     ", key+".")
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
