package job

import (
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
}

// WritePage writes the report as a page.
func (r *Report) WritePage(w io.Writer) error {
	list, err := figures(r, true)
	if err != nil {
		return err
	}
	p := &web{r: r, list: list, notes: notes(&r.Findings, true)}
	p.head()
	p.firstPage()
	p.drawings()
	p.schedules()
	p.crew()
	p.cautions()
	p.tag("</main></body></html>\n")
	_, err = io.WriteString(w, p.b.String())
	return err
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
		"<meta name=\"color-scheme\" content=\"light\"/>")
	p.tag("<title>%s</title><style>", j.Name)
	p.tag(pageStyle)
	p.tag("</style></head><body><a class=\"skip\" href=\"#main\">Skip to the findings</a>\n<header><h1>%s</h1>",
		j.Name)
	if j.Note != "" {
		p.tag("<p>%s</p>", j.Note)
	}
	p.tag("<dl class=\"about\">")
	p.about("Code", j.Edition+" ("+j.Code+")")
	if len(j.Amendments) == 0 {
		p.about("Amendments", "none")
	}
	for _, a := range j.Amendments {
		p.about("Amendment", a)
	}
	p.about("Finished floor", j.Floor)
	p.about("Slab", j.Slab)
	p.about("Tables", "version "+tables.DataVersion+"; "+j.Standing)
	p.about("Layout", p.r.made.job.file+", SHA-256 "+checksum(p.r.made.job.data))
	p.tag("</dl><p class=\"note\">A calculation, not an approval.</p></header>\n")
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
	p.tag("<li><a href=\"#schedules\">Schedules</a></li><li><a href=\"#crew\">Crew page</a></li>" +
		"<li><a href=\"#cautions\">Cautions</a></li></ul></nav>\n")
}

// firstPage is the verdict and what is behind it.
func (p *web) firstPage() {
	s := &p.r.Findings
	p.tag(
		"<section id=\"findings\" aria-labelledby=\"findings-h\"><h2 id=\"findings-h\">Findings</h2><p class=\"verdict\">%s</p>",
		s.Summary,
	)
	groups := [...]struct {
		title string
		in    func(n *draw.Note) bool
	}{
		{"Fails", func(n *draw.Note) bool { return n.Bad }},
		{"To settle", func(n *draw.Note) bool { return !n.Bad }},
	}
	rows := p.first()
	for _, g := range groups {
		open := false
		for i := range p.notes {
			if !g.in(&p.notes[i]) {
				continue
			}
			if !open {
				p.tag("<h3>%s</h3><ol class=\"findings\">", g.title)
				open = true
			}
			p.finding(&p.notes[i], rows[i])
		}
		if open {
			p.tag("</ol>\n")
		}
	}
	if pass := s.Pass(); len(pass) > 0 {
		p.tag("<details><summary>What passes</summary>")
		p.table("What passes", pass)
		p.tag("</details>")
	}
	p.tag("</section>\n")
}

// first returns the first finding of each note.
func (p *web) first() []*FindingRow {
	var rows []*FindingRow
	seen := map[[4]string]bool{}
	for _, list := range [...][]FindingRow{p.r.Findings.Fail, p.r.Findings.Ask} {
		for i := range list {
			if key := noteKey(&list[i]); !seen[key] {
				seen[key] = true
				rows = append(rows, &list[i])
			}
		}
	}
	return rows
}

// finding writes one numbered finding, with links to its places in the drawings.
func (p *web) finding(n *draw.Note, f *FindingRow) {
	class, word := "ask", "Question"
	if n.Bad {
		class, word = "fail", "FAIL"
	}
	p.tag("<li id=\"finding-%s\" class=\""+class+"\"><span class=\"ring\" aria-hidden=\"true\">%s</span><div>", n.Key,
		n.Key)
	p.tag("<p><b>"+word+" %s: %s</b> at ", n.Key, ruleWords(f.Rule))
	for i, at := range n.Places {
		if i > 0 {
			p.tag(", ")
		}
		p.place(&at, len(n.Places) <= 3)
	}
	p.tag(": %s</p>", f.Reason+f.figures()+".")
	if f.Fix != "" {
		label := "Question"
		if n.Bad {
			label = "Fix"
		}
		p.tag("<p>"+label+": %s</p>", f.Fix)
	}
	if f.Source != "" {
		p.tag("<details><summary>Code</summary><p>%s</p></details>", f.Source)
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
