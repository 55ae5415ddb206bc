package job

import (
	_ "embed"
	"fmt"
	"html"
	"io"
	"os"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/tables"
)

// web is the report as one page for a browser or for paper, with the drawings in it. It
// needs nothing from outside and runs no script. All text from the layout goes through esc.
type web struct {
	b     strings.Builder
	r     *Report
	list  []figure
	notes []draw.Note
	first []*FindingRow // of each note
}

// WritePage writes the report as a page.
func (r *Report) WritePage(w io.Writer) error {
	list, err := figures(r, true)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, r.page(list))
	return err
}

// page is the page with these drawings.
func (r *Report) page(list []figure) string {
	p := &web{r: r, list: list}
	p.notes, p.first = notes(&r.Findings, true)
	p.head()
	p.firstPage()
	p.drawings()
	p.permit()
	p.schedules()
	p.crew()
	p.cautions()
	p.tag("</main></body></html>\n")
	return p.b.String()
}

// WriteHTML writes the page into a file, if one is named.
func (r *Report) WriteHTML(name string) error {
	if name == "" {
		return nil
	}
	var page strings.Builder
	if err := r.WritePage(&page); err != nil {
		return err
	}
	return os.WriteFile(name, []byte(page.String()), 0o666)
}

// esc makes text harmless in a page: nothing of it is markup, steers the direction of writing or hides.
func esc(s string) string { return html.EscapeString(visible.Text(s)) }

// tag writes markup of our own; %s takes text, escaped.
func (p *web) tag(format string, text ...string) {
	if len(text) == 0 {
		p.b.WriteString(format)
		return
	}
	args := make([]any, len(text))
	for i, t := range text {
		args[i] = esc(t)
	}
	fmt.Fprintf(&p.b, format, args...)
}

func (p *web) head() {
	j := &p.r.Job
	p.tag("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/>" +
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>" +
		"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>" +
		"<meta name=\"color-scheme\" content=\"light dark\"/>")
	p.tag("<title>%s</title><style>", j.Name)
	p.tag(pageStyle)
	p.tag(paperStyle[p.r.pagePaper()])
	p.tag("</style></head><body><a class=\"skip\" href=\"#main\">Skip to the findings</a>\n<header><h1>%s</h1>",
		j.Name)
	if j.Note != "" {
		p.tag("<p>%s</p>", j.Note)
	}
	p.tag("<dl class=\"about\">")
	p.about("Address", j.Address)
	p.about("Revision", j.Revision)
	p.about("Code", j.Edition+" ("+j.Code+")")
	if j.WaterCode != "" {
		p.about("Water code", j.WaterCode)
	}
	if len(j.Amendments) == 0 {
		p.about("Amendments", "none")
	}
	for _, a := range j.Amendments {
		p.about("Amendment", a)
	}
	p.about("Finished floor", string(j.Floor))
	p.about("Slab", string(j.Slab))
	p.about("Tables", p.r.Versions.Tables+", library "+p.r.Versions.Library+"; "+j.Standing)
	p.about("Layout", p.r.File.Name+", SHA-256 "+p.r.File.SHA256)
	p.tag("</dl><p class=\"note\">A calculation, not an approval. Checked by ______________________ " +
		"Date ______________</p></header>\n")
	p.contents()
	p.tag("<main id=\"main\">\n")
}

func (p *web) about(name, text string) {
	if text != "" {
		p.tag("<div><dt>%s</dt><dd>%s</dd></div>", name, text)
	}
}

func (p *web) contents() {
	p.tag("<nav aria-label=\"Contents\"><ul><li><a href=\"#findings\">Findings</a></li>")
	for _, f := range p.list {
		p.tag("<li><a href=\"#drawing-%s\">%s</a></li>", f.name, f.title)
	}
	p.tag(`<li><a href="#permit">Permit sheet</a></li><li><a href="#schedules">Schedules</a></li>` +
		`<li><a href="#crew">Crew page</a></li><li><a href="#cautions">Cautions</a></li></ul></nav>` + "\n")
}

// firstPage is the verdict and what is behind it: what fails, then the questions by who
// can settle them, then what passes.
func (p *web) firstPage() {
	p.tag("<section id=\"findings\" aria-labelledby=\"findings-h\"><h2 id=\"findings-h\">Findings</h2>"+
		"<p class=\"verdict\">%s</p><p>%s</p>", p.r.sentence(p.r.made.failing()), p.r.Findings.Summary)
	would := func(f *FindingRow) bool { return f.Verdict == tables.Ask && f.IfConfirmed == tables.Fail }
	p.group("Fails", func(f *FindingRow) bool { return f.Verdict == tables.Fail })
	p.group("Fails if the code book agrees", would)
	for _, g := range [...]struct {
		title string
		who   tables.Settler
	}{
		{"Questions: the layout can say", tables.Designer}, {"Questions: look up in the code book", tables.Book},
		{"Questions for the authority", tables.Authority}, {"Questions for the owner", tables.Owner}, {"Other questions", 0},
	} {
		p.group(g.title, func(f *FindingRow) bool {
			return f.Verdict == tables.Ask && f.SettledBy == g.who && !would(f)
		})
	}
	p.passes()
	if len(p.r.NotJudged) > 0 {
		p.tag("<details><summary>Not judged under this code</summary>")
		p.part("Rules that no check reads", p.r.NotJudged)
		p.tag("</details>")
	}
	p.tag("</section>\n")
}

// group lists the findings that are in it, under a heading if there are any.
func (p *web) group(title string, in func(*FindingRow) bool) {
	open := false
	for i, f := range p.first {
		if !in(f) {
			continue
		}
		if !open {
			p.tag("<h3>%s</h3><ol class=\"findings\">", title)
			open = true
		}
		p.finding(&p.notes[i], f)
	}
	if open {
		p.tag("</ol>\n")
	}
}

// PassRow is a rule that passes, on the page.
type PassRow struct {
	Rule   string `json:"rule"`
	Places string `json:"places"`
	Least  string `json:"least_margin,omitempty"`
}

// passes lists folded what passes: the rules that were counted, then the passes in words.
func (p *web) passes() {
	s := &p.r.Findings
	var counted []PassRow
	for _, r := range s.counted.Rules() {
		row := PassRow{Rule: ruleWords(r.Rule), Places: strings.Join(r.Places, " ")}
		if r.Least.Place != "" {
			row.Least = string(s.as.left(&r.Least)) + " at " + r.Least.Place
		}
		counted = append(counted, row)
	}
	pass := s.Pass()
	if len(counted)+len(pass) == 0 {
		return
	}
	p.tag("<details><summary>What passes</summary>")
	if len(counted) > 0 {
		p.table("What passes", counted)
	}
	if len(pass) > 0 {
		p.table("What passes, in words", pass)
	}
	p.tag("</details>")
}

// finding writes one numbered finding, with links to its places in the drawings.
func (p *web) finding(n *draw.Note, f *FindingRow) {
	class, word := "ask", "Question"
	switch {
	case n.Bad:
		class, word = "fail", "FAIL"
	case f.IfConfirmed == tables.Pass:
		word = "From memory, passes if the book agrees:"
	case f.IfConfirmed == tables.Fail:
		word = "From memory, FAILS if the book agrees:"
	}
	p.tag("<li id=\"finding-%s\" class=\""+class+"\"><span class=\"ring\" aria-hidden=\"true\">%s</span><div>", n.Key,
		n.Key)
	p.tag("<p>"+word+" <b>%s. %s</b> at ", n.Key, ruleWords(f.Rule))
	for i, at := range n.Places {
		if i > 0 {
			p.tag(", ")
		}
		p.place(&at, len(n.Places) <= 3)
	}
	p.tag(": %s</p>", f.told())
	if f.Fix != "" {
		label := "To settle it"
		if n.Bad {
			label = "Fix"
		}
		p.tag("<p>"+label+": %s</p>", f.Fix)
	}
	if f.Source != "" {
		p.tag("<p class=\"code\">Code: %s</p>", f.Source)
	}
	p.tag("</div></li>\n")
}

// place names a place and leads to its ring in the first drawing that has it, or in all.
func (p *web) place(at *draw.Place, all bool) {
	n := 0
	for _, f := range p.list {
		for i := range f.sheets {
			a, ok := f.sheets[i].Anchor(at.ID)
			switch {
			case !ok:
				continue
			case n == 0:
				p.tag("<a href=\"#%s\"><bdi>%s</bdi></a>", a, at.On)
			case all:
				p.tag(" <a class=\"see\" href=\"#%s\">%s</a>", a, f.name)
			}
			n++
			break
		}
	}
	if n == 0 {
		p.tag("<bdi>%s</bdi>", at.On)
	}
}

// drawings shows every sheet.
func (p *web) drawings() {
	p.tag("<section id=\"drawings\" aria-labelledby=\"drawings-h\"><h2 id=\"drawings-h\">Drawings</h2>" +
		"<p class=\"note\">Each can be scrolled sideways. A number in a ring leads to its finding, and back.</p>\n")
	for _, f := range p.list {
		p.tag("<section id=\"drawing-%s\"><h3>%s</h3>", f.name, f.title)
		for _, s := range f.sheets {
			name := f.title
			if len(f.sheets) > 1 {
				name += ", sheet " + s.Name
			}
			p.tag("<figure><div class=\"sheet\" tabindex=\"0\" role=\"region\" aria-label=\"%s\">", name)
			p.b.Write(s.SVG)
			p.tag("</div><figcaption>%s. %s</figcaption></figure>\n", name, f.about)
		}
		p.tag("</section>\n")
	}
	p.tag("</section>\n")
}

func (p *web) cautions() {
	p.tag("<section id=\"cautions\" aria-labelledby=\"cautions-h\"><h2 id=\"cautions-h\">Cautions</h2><ul>")
	for _, c := range p.r.Cautions {
		p.tag("<li>%s</li>", c)
	}
	p.tag("</ul></section>\n")
}

// crew is what is taken to the trench: stubs, cleanouts, rods, the test, what to bring.
func (p *web) crew() {
	p.tag("<section id=\"crew\" class=\"leaf\" aria-labelledby=\"crew-h\"><h2 id=\"crew-h\">Crew page</h2>\n")
	if p.r.made.drains != nil {
		p.part("Stubs", p.r.Stubs)
	}
	p.part("Cleanouts", p.r.Cleanouts)
	p.rods()
	p.test()
	p.part("Take-off", &p.r.Materials)
	p.tag("</section>\n")
}

func (p *web) rods() {
	s := p.r.Rods
	if s == nil {
		return
	}
	p.tag("<h3>Rod sheet</h3><p>The beam %s.</p>", s.Beam)
	p.part("Lines, and what the beam does along them", s.Runs)
	p.part("Rod readings", s.Rods)
}

// test is the water test, with lines to sign.
func (p *web) test() {
	t := &p.r.Tests
	p.part("Tests before the pour", t)
	p.tag(`<p class="warn">%s Never test plastic pipe with air unless its maker and the code allow it.</p>`, plugWarning)
	p.signs("Test record", "Test record", "Test", "Filled at", "Held until", "Result", "Signed")
	for _, x := range t.Drains {
		p.tag("<tr><th scope=\"row\">System %s</th><td></td><td></td><td></td><td></td></tr>", x.System)
	}
	if len(t.Water) > 0 {
		p.tag("<tr><th scope=\"row\">Water lines</th><td></td><td></td><td></td><td></td></tr>")
	}
	p.tag("</tbody></table></div>\n")
	p.signs("Inspections", "Inspections before anything is covered", "Stage", "What", "By", "Date")
	for _, x := range p.r.Inspections {
		p.tag("<tr><th scope=\"row\">%s</th><td>%s</td><td></td><td></td></tr>", capital(x.Stage), capital(x.What)+".")
	}
	p.tag("</tbody></table></div>\n")
}

// signs begins a table with cells to fill in by hand.
func (p *web) signs(label, caption string, heads ...string) {
	p.tag(`<div class="scroll" tabindex="0" role="region" aria-label="%s"><table class="signs"><caption>%s</caption>`,
		label, caption)
	p.tag(`<thead><tr><th scope="col">` + strings.Join(heads, `</th><th scope="col">`) + "</th></tr></thead><tbody>")
}

// permit is the sheet for the permit.
func (p *web) permit() {
	s := p.r.Permit
	p.tag("<section id=\"permit\" class=\"leaf\" aria-labelledby=\"permit-h\"><h2 id=\"permit-h\">Permit sheet</h2>\n")
	p.part("Fixtures and loads", s.Fixtures)
	p.part("Building drains", s.Drains)
	if s.Water != nil {
		p.part("Water service", []PermitWater{*s.Water})
	}
	p.tag("</section>\n")
}

// pageStyle is the style of the page: for a screen of any width, light or dark, and for paper. The
// drawings are paper on any screen. On paper the letters are so
// small that the widest schedule of a usual job fits: a browser shrinks all sheets, drawings too, to the widest.
// What is folded up is left out there, and a column that holds nothing else.
//
//go:embed page.css
var pageStyle string

// paperStyle gives each drawing a page of the paper that it was laid out for, without a margin but its own,
// so that it keeps its scale and its letters their size. A point less keeps what is
// rounded up from running onto a page of its own.
var paperStyle = map[draw.Paper]string{
	draw.Letter:  "@page drawing{size:11in 8.5in;margin:0}@media print{.sheet{height:611pt}}\n",
	draw.A4:      "@page drawing{size:297mm 210mm;margin:0}@media print{.sheet{height:594pt}}\n",
	draw.Tabloid: "@page drawing{size:17in 11in;margin:0}@media print{.sheet{height:791pt}}\n",
	draw.A3:      "@page drawing{size:420mm 297mm;margin:0}@media print{.sheet{height:841pt}}\n",
}
