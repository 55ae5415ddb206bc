package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// page prints the sections of a report as text. It remembers the first error.
type page struct {
	w   io.Writer
	n   int // sections so far
	err error
}

func (p *page) printf(format string, args ...any) {
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
	line := first
	for _, word := range strings.Fields(text) {
		if utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width && strings.TrimSpace(line) != "" {
			p.printf("%s\n", strings.TrimRight(line, " "))
			line = indent
		}
		if line != "" && !strings.HasSuffix(line, " ") {
			line += " "
		}
		line += word
	}
	p.printf("%s\n", strings.TrimRight(line, " "))
}

// grid is a table of texts. Columns whose head starts with ">" stand to the right.
type grid struct {
	head []string
	rows [][]string
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

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
		var b strings.Builder
		b.WriteString(" ")
		for c, s := range cells {
			if !used[c] {
				continue
			}
			pad := strings.Repeat(" ", width[c]-utf8.RuneCountInString(s))
			b.WriteByte(' ')
			if right[c] {
				b.WriteString(pad + s)
			} else {
				b.WriteString(s + pad)
			}
			b.WriteByte(' ')
		}
		p.printf("%s\n", strings.TrimRight(b.String(), " "))
	}
	line(head)
	for _, row := range g.rows {
		line(row)
	}
}
