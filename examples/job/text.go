package job

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// defaultWidth is as wide as a report is printed.
const defaultWidth = 118

// page is some sections of a report as text.
type page struct {
	text  bytes.Buffer // without the headings of its sections
	heads []sectionHead
	width int    // columns; 0 is defaultWidth
	line  []byte // being gathered

	short *strings.Replacer // of the titles of codes by what they are called after they were given
}

// sectionHead stands at an offset of the text of a page. Its number is known once all pages are.
type sectionHead struct {
	at    int
	title string
}

// writePages writes pages one below the other, with their sections numbered through.
func writePages(w io.Writer, pages []*page) error {
	out := bufio.NewWriter(w) // it remembers the first error
	n := 0
	for _, p := range pages {
		text, at := p.text.Bytes(), 0
		for _, h := range p.heads {
			n++
			out.Write(text[at:h.at])
			out.Write(p.heading(n, h.title))
			at = h.at
		}
		out.Write(text[at:])
	}
	return out.Flush()
}

// brief writes the code in a text by its short name, and the standing of a row in short.
func (p *page) brief(text string) string {
	text = strings.ReplaceAll(text, "(recalled, not seen in print", "(from memory")
	return p.short.Replace(text)
}

// printf prints a line of the report's own; texts of the layout among args cannot
// add to its lines.
func (p *page) printf(format string, args ...any) {
	for i, a := range args {
		if s, ok := a.(string); ok {
			args[i] = visible.Text(s)
		}
	}
	fmt.Fprintf(&p.text, format, args...)
}

// section begins a section.
func (p *page) section(title string) { p.heads = append(p.heads, sectionHead{p.text.Len(), title}) }

// heading is that of the nth section of a report.
func (p *page) heading(n int, title string) []byte {
	h := &page{width: p.width}
	line := fmt.Sprintf("%d  %s", n, title)
	h.printf("\n")
	h.paragraph(fmt.Sprintf("%d  ", n), "    ", title)
	h.printf("%s\n", strings.Repeat("-", min(utf8.RuneCountInString(line), cmp.Or(p.width, defaultWidth))))
	return h.text.Bytes()
}

// paragraph prints text wrapped to the page, each line after the first indented. Where there
// is nothing to say it says nothing.
func (p *page) paragraph(first, indent, text string) {
	if text == "" && strings.TrimSpace(first) == "" {
		return
	}
	width := cmp.Or(p.width, defaultWidth)
	p.line = append(p.line[:0], first...)
	used := utf8.RuneCountInString(first)
	fresh := strings.TrimSpace(first) == "" // nothing but the indent so far
	for word := range unbroken(visible.Text(text)) {
		n := utf8.RuneCountInString(word)
		if used > 0 && p.line[len(p.line)-1] != ' ' {
			p.line = append(p.line, ' ')
			used++
		}
		for used+n > width {
			if fresh { // a word longer than a line
				room := max(width-used, 1)
				k := firstRunes(word, room)
				if k == len(word) {
					break
				}
				p.line, word, n = append(p.line, word[:k]...), word[k:], n-room
			}
			p.flush()
			p.line = append(p.line, indent...)
			used, fresh = utf8.RuneCountInString(indent), true
		}
		p.line = append(p.line, word...)
		used += n
		fresh = false
	}
	p.flush()
}

// firstRunes is how many bytes the first runes of a text take.
func firstRunes(text string, n int) int {
	for i := range text {
		if n--; n < 0 {
			return i
		}
	}
	return len(text)
}

// unbroken parts a text into words; a number stays with its fraction and its unit.
func unbroken(text string) iter.Seq[string] {
	return func(yield func(string) bool) {
		from, to := -1, -1 // of what is gathered
		for i := 0; i < len(text); {
			for i < len(text) && isSpace(text[i]) {
				i++
			}
			k := i
			for k < len(text) && !isSpace(text[k]) {
				k++
			}
			switch {
			case k == i:
			case from >= 0 && isDigit(text[to-1]) && i == to+1 && goesWith(text[i:k]),
				from >= 0 && text[from:to] == "DN" && isDigit(text[i]):
				to = k
			default:
				if from >= 0 && !yield(text[from:to]) {
					return
				}
				from, to = i, k
			}
			i = k
		}
		if from >= 0 {
			yield(text[from:to])
		}
	}
}

func isSpace(c byte) bool { return c == ' ' || '\t' <= c && c <= '\r' }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// goesWith tells whether a word is the rest of the number before it: a fraction or a unit.
func goesWith(word string) bool {
	if isDigit(word[0]) && strings.Contains(word, "/") {
		return true
	}
	switch strings.TrimRight(word, ".,;:)\"") {
	case "in", "ft", "in/ft", "mm", "m", "psi", "kPa", "gpm", "L/s", "gal", "L", "ft/s", "m/s", "dfu", "wsfu", "lu", "%",
		"s", "deg", "min":
		return true
	}
	return false
}

// flush writes the line that was gathered, without blanks at its end.
func (p *page) flush() {
	p.text.Write(bytes.TrimRight(p.line, " "))
	p.text.WriteByte('\n')
	p.line = p.line[:0]
}

// grid is a table of texts. Columns whose head starts with ">" stand to the right; one
// with "?" in front of that is left out, and said so, where a line has no room for it.
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
	head             []string
	right, used, may []bool // may: be left out
	width, word      []int  // word: the longest that should not be parted
}

func (g *grid) columns() columns {
	n := len(g.head)
	c := columns{head: make([]string, n), right: make([]bool, n), used: make([]bool, n), may: make([]bool, n),
		width: make([]int, n), word: make([]int, n)}
	for i, h := range g.head {
		h, c.may[i] = strings.CutPrefix(h, "?")
		c.head[i], c.right[i] = strings.CutPrefix(h, ">")
		c.width[i] = utf8.RuneCountInString(c.head[i])
	}
	for _, row := range g.rows {
		for i, s := range row {
			if s != "" {
				c.used[i] = true
			}
			c.width[i] = max(c.width[i], utf8.RuneCountInString(s))
		}
	}
	return c
}

// longestWords finds the words that should not be parted: where the line is too narrow.
func (g *grid) longestWords(c *columns) {
	rows := append([][]string{c.head}, g.rows...)
	for _, row := range rows {
		for i, s := range row {
			if len(s) <= c.word[i] {
				continue // none of its words is longer
			}
			for word := range unbroken(s) {
				c.word[i] = max(c.word[i], utf8.RuneCountInString(word))
			}
		}
	}
}

func (c *columns) total() int {
	total := 0
	for i, w := range c.width {
		if c.used[i] {
			total += w + 2
		}
	}
	return total
}

// fit makes the widest columns narrower until a line holds them all, and tells whether any
// had to be. Words are kept whole as long as there is another way: columns that may are
// left out, the last first.
func (c *columns) fit(line int) (folded bool, out []string) {
	narrow := func(least []int) {
		for c.total() > line {
			widest := -1
			for i, w := range c.width {
				if c.used[i] && w > max(4, least[i]) && (widest < 0 || w > c.width[widest] ||
					w == c.width[widest] && !c.right[i]) {
					widest = i
				}
			}
			if widest < 0 {
				return
			}
			c.width[widest]--
			folded = true
		}
	}
	natural := slices.Clone(c.width)
	for i := len(c.head) - 1; ; i-- {
		copy(c.width, natural)
		folded = false
		if narrow(c.word); c.total() <= line || i < 0 {
			break
		}
		for i > 0 && !(c.used[i] && c.may[i]) {
			i--
		}
		if c.used[i] && c.may[i] {
			c.used[i] = false
			if c.head[i] != "" {
				out = append([]string{c.head[i]}, out...)
			}
		}
	}
	narrow(make([]int, len(c.width)))
	return folded, out
}

// grid prints a table with as narrow columns as it can. Empty columns are left out; what
// is wider than its column goes on below.
func (p *page) grid(g grid) {
	if len(g.rows) == 0 {
		p.printf("  none\n")
		return
	}
	c, line := g.columns(), cmp.Or(p.width, defaultWidth)
	folded, out := false, []string(nil)
	if c.total() > line {
		g.longestWords(&c)
		folded, out = c.fit(line)
	}
	p.text.Grow((len(g.rows) + 1) * (c.total() + 1))
	p.row(&c, c.head, folded)
	for _, row := range g.rows {
		p.row(&c, row, folded)
	}
	if out != nil {
		p.paragraph("  ", "  ", "(On a wider page also: "+strings.Join(out, ", ")+".)")
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
	now = cells
	for i, s := range cells {
		if utf8.RuneCountInString(s) <= c.width[i] {
			continue
		}
		if rest == nil {
			now, rest = slices.Clone(cells), make([]string, len(cells))
		}
		now[i], rest[i] = cut(s, c.width[i])
	}
	return now, rest
}

// cut parts a text after the last word that a width holds, or within the first.
func cut(s string, width int) (head, tail string) {
	s = strings.Join(strings.Fields(s), " ")
	end, used := 0, 0
	for word := range unbroken(s) {
		if n := utf8.RuneCountInString(word); used+n > width {
			break
		} else {
			used += n + 1
		}
		end += len(word) + 1
	}
	if end > 0 {
		end = min(end, len(s))
		return strings.TrimSpace(s[:end]), strings.TrimSpace(s[end:])
	}
	r := []rune(s)
	end = width
	for k := end; k > 0; k-- {
		if r[k] == ' ' {
			end = k
			break
		}
	}
	return strings.TrimSpace(string(r[:end])), strings.TrimSpace(string(r[end:]))
}

// counted is a number of things.
func counted(n int, what string) string { return fmt.Sprintf("%d %s", n, plural(n, what)) }

// plural is what several things are called: closets, lavatories, branches 45 deg, pairs of bends.
func plural(n int, what string) string {
	if n == 1 {
		return what
	}
	end := len(what) // of the noun: before its angle, or "of" what or "with" what
	for i := range what {
		if i > 0 && what[i-1] == ' ' && (isDigit(what[i]) || strings.HasPrefix(what[i:], "of ") ||
			strings.HasPrefix(what[i:], "with ")) {
			end = i - 1
			break
		}
	}
	noun, rest := what[:end], what[end:]
	switch {
	case strings.HasSuffix(noun, "y") && !strings.HasSuffix(noun, "ay") && !strings.HasSuffix(noun, "ey"):
		return noun[:len(noun)-1] + "ies" + rest
	case strings.HasSuffix(noun, "s"), strings.HasSuffix(noun, "x"), strings.HasSuffix(noun, "ch"),
		strings.HasSuffix(noun, "sh"):
		return noun + "es" + rest
	}
	return noun + "s" + rest
}
