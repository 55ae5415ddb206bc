package job

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// defaultWidth is as wide as a report is printed.
const defaultWidth = 118

// page prints the sections of a report as text. It remembers the first error.
type page struct {
	w     io.Writer
	width int    // columns; 0 is defaultWidth
	n     int    // sections so far
	line  []byte // being gathered
	err   error

	code, codeName string // the title of the code, and what it is called after it was given
}

// brief writes the code in a text by its short name.
func (p *page) brief(text string) string {
	if p.code == "" || p.codeName == p.code {
		return text
	}
	return strings.ReplaceAll(text, p.code, p.codeName)
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
	width := cmp.Or(p.width, defaultWidth)
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

// columns are how a table is printed: its heads, which stand to the right, which are
// used, how wide.
type columns struct {
	head        []string
	right, used []bool
	width       []int
}

func (g *grid) columns() columns {
	n := len(g.head)
	c := columns{head: make([]string, n), right: make([]bool, n), used: make([]bool, n), width: make([]int, n)}
	for _, row := range g.rows {
		for i, s := range row {
			if s != "" {
				c.used[i] = true
			}
			c.width[i] = max(c.width[i], utf8.RuneCountInString(s))
		}
	}
	for i, h := range g.head {
		c.head[i], c.right[i] = strings.CutPrefix(h, ">")
		c.width[i] = max(c.width[i], utf8.RuneCountInString(c.head[i]))
	}
	return c
}

// fit makes the widest columns narrower until a line holds them all, and tells whether any
// had to be. Words are kept whole as far as that goes.
func (c *columns) fit(line int) bool {
	total, widest := 1, 0
	for i, w := range c.width {
		if c.used[i] {
			total += w + 2
		}
	}
	folded := false
	for total-1 > line {
		widest = -1
		for i, w := range c.width {
			if c.used[i] && (widest < 0 || w > c.width[widest] || w == c.width[widest] && !c.right[i]) {
				widest = i
			}
		}
		if c.width[widest] < 4 {
			break
		}
		c.width[widest]--
		total--
		folded = true
	}
	return folded
}

// grid prints a table with as narrow columns as it can. Empty columns are left out; what
// is wider than its column goes on below.
func (p *page) grid(g grid) {
	if len(g.rows) == 0 {
		p.printf("  none\n")
		return
	}
	c := g.columns()
	folded := c.fit(cmp.Or(p.width, defaultWidth))
	p.row(&c, c.head, folded)
	for _, row := range g.rows {
		p.row(&c, row, folded)
	}
}

// row prints a row, over several lines where a cell is folded.
func (p *page) row(c *columns, cells []string, folded bool) {
	for rest := cells; rest != nil; {
		now := rest
		rest = nil
		if folded {
			now, rest = c.fold(now)
		}
		p.line = append(p.line, ' ')
		for i, s := range now {
			if !c.used[i] {
				continue
			}
			p.line = append(p.line, ' ')
			pad := c.width[i] - utf8.RuneCountInString(s)
			if !c.right[i] {
				p.line = append(p.line, s...)
			}
			for range pad {
				p.line = append(p.line, ' ')
			}
			if c.right[i] {
				p.line = append(p.line, s...)
			}
			p.line = append(p.line, ' ')
		}
		p.flush()
	}
}

// fold parts cells into what one line holds and what is left, nil if nothing is.
func (c *columns) fold(cells []string) (now, rest []string) {
	now = make([]string, len(cells))
	for i, s := range cells {
		text := []rune(s)
		now[i] = s
		if len(text) <= c.width[i] {
			continue
		}
		cut := c.width[i]
		for k := cut; k > 0; k-- {
			if text[k] == ' ' {
				cut = k
				break
			}
		}
		if rest == nil {
			rest = make([]string, len(cells))
		}
		now[i], rest[i] = strings.TrimSpace(string(text[:cut])), strings.TrimSpace(string(text[cut:]))
	}
	return now, rest
}

// counted is a number of things.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
