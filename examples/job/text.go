package job

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// page prints the sections of a report as text. It remembers the first error.
type page struct {
	w    io.Writer
	n    int    // sections so far
	line []byte // being gathered
	err  error
}

// printf prints a line of the report's own; texts of the layout among args cannot
// add to its lines.
func (p *page) printf(format string, args ...any) {
	for i, a := range args {
		if s, ok := a.(string); ok {
			args[i] = visible.Text(s)
		}
	}
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format, args...)
	}
}

func (p *page) section(title string) {
	p.n++
	line := fmt.Sprintf("%d  %s", p.n, title)
	p.printf("\n%s\n%s\n", line, strings.Repeat("-", utf8.RuneCountInString(line)))
}

// paragraph prints text wrapped to the page, each line after the first indented.
func (p *page) paragraph(first, indent, text string) {
	const width = 118
	p.line = append(p.line[:0], first...)
	used := utf8.RuneCountInString(first)
	fresh := strings.TrimSpace(first) == "" // nothing but the indent so far
	for word := range strings.FieldsSeq(visible.Text(text)) {
		n := utf8.RuneCountInString(word)
		if used+1+n > width && !fresh {
			p.flush()
			p.line = append(p.line, indent...)
			used = utf8.RuneCountInString(indent)
		}
		if used > 0 && p.line[len(p.line)-1] != ' ' {
			p.line = append(p.line, ' ')
			used++
		}
		p.line = append(p.line, word...)
		used += n
		fresh = false
	}
	p.flush()
}

// flush writes the line that was gathered, without blanks at its end.
func (p *page) flush() {
	line := append(bytes.TrimRight(p.line, " "), '\n')
	if p.err == nil {
		_, p.err = p.w.Write(line)
	}
	p.line = p.line[:0]
}

// grid is a table of texts. Columns whose head starts with ">" stand to the right.
type grid struct {
	head []string
	rows [][]string
}

func (g *grid) add(cells ...string) {
	for i, s := range cells {
		cells[i] = visible.Text(s)
	}
	g.rows = append(g.rows, cells)
}

// grid prints a table with as narrow columns as it can. Empty columns are left out.
func (p *page) grid(g grid) {
	if len(g.rows) == 0 {
		p.printf("  none\n")
		return
	}
	width := make([]int, len(g.head))
	used := make([]bool, len(g.head))
	for _, row := range g.rows {
		for c, s := range row {
			if s != "" {
				used[c] = true
			}
			width[c] = max(width[c], utf8.RuneCountInString(s))
		}
	}
	right := make([]bool, len(g.head))
	head := make([]string, len(g.head))
	for c, h := range g.head {
		head[c], right[c] = strings.CutPrefix(h, ">")
		width[c] = max(width[c], utf8.RuneCountInString(head[c]))
	}
	line := func(cells []string) {
		p.line = append(p.line, ' ')
		for c, s := range cells {
			if !used[c] {
				continue
			}
			p.line = append(p.line, ' ')
			pad := width[c] - utf8.RuneCountInString(s)
			if !right[c] {
				p.line = append(p.line, s...)
			}
			for range pad {
				p.line = append(p.line, ' ')
			}
			if right[c] {
				p.line = append(p.line, s...)
			}
			p.line = append(p.line, ' ')
		}
		p.flush()
	}
	line(head)
	for _, row := range g.rows {
		line(row)
	}
}

// counted is a number of things.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
