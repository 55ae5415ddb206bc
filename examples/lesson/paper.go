package lesson

import (
	"bytes"
	"fmt"
	"html"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// paperLine is a problem of a paper.
type paperLine struct {
	id       string
	text     []byte
	*problem        // answered
	prose    string // what is given and asked, in sentences
}

// paperLines reads and answers the lines of a paper. Its error names every line that has
// no answer.
func (e *Engine) paperLines(paper []byte) ([]paperLine, error) {
	var out []paperLine
	var faults []string
	seen := map[string]bool{}
	number := 0
	for line := range bytes.Lines(paper) {
		number++
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		l, err := e.paperLine(line)
		switch {
		case err != nil:
			faults = append(faults, fmt.Sprintf("line %d: %v", number, err))
		case seen[l.id]:
			faults = append(faults, fmt.Sprintf("line %d: id %q is there twice", number, l.id))
		}
		seen[l.id] = true
		out = append(out, l)
	}
	if len(out) == 0 {
		faults = append(faults, "no problem line")
	}
	if faults != nil {
		return nil, fmt.Errorf("paper: %s", visible.Text(strings.Join(faults, "; ")))
	}
	return out, nil
}

func (e *Engine) paperLine(line []byte) (paperLine, error) {
	p, err := solveLine(line, e.with(Options{Working: true}))
	l := paperLine{text: line, problem: p}
	if p == nil {
		return l, err
	}
	l.id = member(&p.doc.Root, "id").Text
	switch {
	case l.id == "":
		return l, fmt.Errorf("id: missing: students answer by it")
	case err != nil:
		return l, fmt.Errorf("%s: %w", l.id, err)
	}
	l.prose = e.prose(&p.doc.Root)
	return l, nil
}

// Paper writes problem lines as a sheet for a class, in sentences with room for the
// answers, and its key with the working. Every line needs an id.
func (e *Engine) Paper(title string, paper []byte) (sheet, key string, err error) {
	lines, err := e.paperLines(paper)
	if err != nil {
		return "", "", err
	}
	var s, k strings.Builder
	fmt.Fprintf(&s, "%s\n\nName ______________________\n", title)
	fmt.Fprintf(&k, "%s: key\n", title)
	for i, l := range lines {
		fmt.Fprintf(&s, "\n%d (%s). %s\n", i+1, l.id, l.prose)
		fmt.Fprintf(&k, "\n%d (%s). %s\n", i+1, l.id, l.prose)
		for i, name := range l.names {
			label := strings.ReplaceAll(name, "_", " ")
			if l.items[i].judged() {
				fmt.Fprintf(&s, "   %s: right or wrong ____________ slip ____________\n", label)
				continue
			}
			fmt.Fprintf(&s, "   %s ____________ %s\n", label, l.items[i].unitAsked())
		}
		for _, w := range l.lines {
			fmt.Fprintf(&k, "   %s\n", w)
		}
		fmt.Fprintf(&k, "   answer: %s\n", answerText(l))
	}
	s.WriteString("\nCalculations for practice. What is built is decided by the code in force, the local authority " +
		"and a licensed practitioner.\n")
	return s.String(), k.String(), nil
}

// pageHead begins a page that needs nothing else and prints on paper. A figure is as wide as
// the sheet that it was drawn for where the window has room.
const pageHead = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>%s</title>
<style>body{font:16px/1.4 serif;max-width:48rem;margin:1rem auto;padding:0 .5rem}
pre{font:inherit;white-space:pre-wrap;margin:1rem 0 .3rem}
section{break-inside:avoid}
svg{width:min(66rem,100vw - 2rem);margin-left:calc(50%% - min(33rem,50vw - 1rem));height:auto;border:1px solid #999}
@media print{svg{width:100%%;margin:0}}</style></head><body>
`

// Page writes a sheet, a key or a score sheet as a page of HTML that needs nothing else,
// with the figure of a problem, an SVG by the id of its line, under its question.
func Page(title, text string, figures map[string]string) string {
	var b strings.Builder
	fmt.Fprintf(&b, pageHead, html.EscapeString(visible.Text(title)))
	for block := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		fmt.Fprintf(&b, "<section><pre>%s</pre>\n", html.EscapeString(visible.Lines(block)))
		first, _, _ := strings.Cut(block, "\n")
		if _, rest, ok := strings.Cut(first, " ("); ok {
			id, _, _ := strings.Cut(rest, "). ")
			if svg := figures[id]; svg != "" {
				b.WriteString(svg[max(0, strings.Index(svg, "<svg")):])
			}
		}
		b.WriteString("</section>\n")
	}
	b.WriteString("</body></html>\n")
	return b.String()
}

// judged reports whether an answer is a verdict, or made of them.
func (v *value) judged() bool {
	return v.isVerdict() || slices.ContainsFunc(v.items, func(part value) bool { return part.judged() })
}

// unitsOf are the units of the quantities in an answer, in their order.
func (v *value) unitsOf() (list []string) {
	if v.form == quantityForm {
		return []string{v.unit}
	}
	for i := range v.items {
		list = append(list, v.items[i].unitsOf()...)
	}
	return list
}

// unitAsked is what stands behind the room for an answer.
func (v *value) unitAsked() string {
	switch list := v.unitsOf(); {
	case len(list) == 0 || list[0] == "1":
		return ""
	case v.form == listForm || len(list) > 1:
		return list[0] + " each"
	default:
		return list[0]
	}
}

// answerText writes the answers of a line in one.
func answerText(l paperLine) string {
	var parts []string
	for i, name := range l.names {
		parts = append(parts, strings.ReplaceAll(name, "_", " ")+" "+l.items[i].inKey())
	}
	return strings.Join(parts, ", ")
}

// inKey writes an answer as a key has it: verdicts in words, the parts of an object by their names.
func (v *value) inKey() string {
	if v.isVerdict() {
		right, likely := v.verdict()
		switch {
		case right:
			return "is right"
		case likely == slipNone:
			return "is wrong"
		}
		return "is wrong, by the slip " + likely
	}
	if v.form != listForm && v.form != objectForm {
		return v.String()
	}
	parts := make([]string, len(v.items))
	for i := range v.items {
		parts[i] = v.items[i].inKey()
		if v.form == objectForm {
			parts[i] = v.names[i] + " " + parts[i]
		}
	}
	if v.form == objectForm {
		slices.Sort(parts)
	}
	return strings.Join(parts, "; ")
}
