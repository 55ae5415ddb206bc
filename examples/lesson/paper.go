package lesson

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
)

// paperLine is a problem of a paper.
type paperLine struct {
	id    string
	text  []byte
	reply struct {
		Answer  map[string]json.RawMessage
		Working []string
		Error   string
	}
	order []string // of the answers
	prose string   // what is given and asked, in sentences
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
	l := paperLine{text: line}
	doc, err := strictjson.Parse("", line, strictjson.Limits{Bytes: maxLine, Values: 200_000})
	if err != nil {
		return l, fmt.Errorf("%s", faultText(err))
	}
	l.id = member(&doc.Root, "id").Text
	if l.id == "" {
		return l, fmt.Errorf("id: missing: students answer by it")
	}
	reply, ok := e.Answer(line, Options{Working: true})
	if err := json.Unmarshal(reply, &l.reply); err != nil || !ok {
		return l, fmt.Errorf("%s: %s", l.id, l.reply.Error)
	}
	l.prose = e.prose(&doc.Root)
	var answers struct{ Answer json.RawMessage }
	if err := json.Unmarshal(reply, &answers); err != nil {
		return l, err
	}
	d := json.NewDecoder(bytes.NewReader(answers.Answer))
	for depth := 0; ; {
		token, err := d.Token()
		if err != nil {
			return l, nil
		}
		switch t := token.(type) {
		case json.Delim:
			if t == '{' || t == '[' {
				depth++
			} else {
				depth--
			}
		case string:
			if depth == 1 && l.reply.Answer[t] != nil && len(l.order) < len(l.reply.Answer) {
				l.order = append(l.order, t)
			}
		}
	}
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
		for _, name := range l.order {
			label := strings.ReplaceAll(name, "_", " ")
			if bytes.Contains(l.reply.Answer[name], []byte(`"right"`)) {
				fmt.Fprintf(&s, "   %s: right or wrong ____________ slip ____________\n", label)
				continue
			}
			fmt.Fprintf(&s, "   %s ____________ %s\n", label, unitAsked(l.reply.Answer[name]))
		}
		for _, w := range l.reply.Working {
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

func unitAsked(raw json.RawMessage) string {
	m := firstUnit.FindSubmatch(raw)
	if m == nil || string(m[1]) == "1" {
		return ""
	}
	if raw[0] == '[' || bytes.Count(raw, []byte(`"unit"`)) > 1 {
		return string(m[1]) + " each"
	}
	return string(m[1])
}

// answerText writes the answers of a line in one.
func answerText(l paperLine) string {
	var parts []string
	for _, name := range l.order {
		parts = append(parts, strings.ReplaceAll(name, "_", " ")+" "+rawText(l.reply.Answer[name]))
	}
	return strings.Join(parts, ", ")
}

// rawText writes an answer as people do.
func rawText(raw json.RawMessage) string {
	var list []json.RawMessage
	if json.Unmarshal(raw, &list) == nil {
		var parts []string
		for _, item := range list {
			parts = append(parts, rawText(item))
		}
		return strings.Join(parts, "; ")
	}
	var q struct {
		Value *float64
		Unit  string
	}
	if json.Unmarshal(raw, &q) == nil && q.Value != nil {
		return value{x: *q.Value, unit: q.Unit}.String()
	}
	var mark struct {
		Right  *bool
		Likely string
	}
	if json.Unmarshal(raw, &mark) == nil && mark.Right != nil {
		switch {
		case *mark.Right:
			return "is right"
		case mark.Likely == slipNone:
			return "is wrong"
		}
		return "is wrong, by the slip " + mark.Likely
	}
	var object map[string]json.RawMessage
	if json.Unmarshal(raw, &object) == nil {
		var parts []string
		for _, name := range slices.Sorted(maps.Keys(object)) {
			parts = append(parts, name+" "+rawText(object[name]))
		}
		return strings.Join(parts, "; ")
	}
	s, err := strconv.Unquote(string(raw))
	if err != nil {
		return string(raw)
	}
	return s
}
