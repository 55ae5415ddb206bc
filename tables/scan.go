package tables

import (
	"strings"
	"unicode/utf8"

	"github.com/trapweir/trapweir/internal/visible"
)

// Limits on a file: several times what the largest table needs, so that a hostile
// one costs little.
const (
	maxFileSize = 8 << 20
	maxRows     = 100_000
	maxColumns  = 64
	maxCell     = 4096
)

// file is the text of a file and a cursor over its lines.
type file struct {
	text   string
	offset int // of the line after the current one
	line   int // number of the current line
	faults faultList
}

// newFile takes the bytes of a file, without a byte order mark, and refuses what
// is too large or is not text.
func newFile(name string, data []byte) *file {
	f := &file{faults: faultList{file: name}}
	if len(data) > maxFileSize {
		f.faults.report(0, 0, "", ErrTooLarge, "%d bytes, the most is %d", len(data), maxFileSize)
		return f
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	ascii := true
	for i := 0; i < len(text); i++ {
		c := text[i]
		ascii = ascii && c < utf8.RuneSelf
		if (c < ' ' || c == 0x7f) && c != '\n' && c != '\t' && !(c == '\r' && strings.HasPrefix(text[i+1:], "\n")) {
			line, column := position(text, i)
			f.faults.report(line, column, "", ErrSyntax, "control character %q", c)
			return f
		}
	}
	if !ascii {
		if i := visible.Invalid(text); i >= 0 {
			line, column := position(text, i)
			f.faults.report(line, column, "", ErrSyntax, "not UTF-8")
			return f
		}
	}
	f.text = text
	return f
}

// position returns the line and column of an offset.
func position(text string, offset int) (line, column int) {
	return 1 + strings.Count(text[:offset], "\n"), offset - strings.LastIndexByte(text[:offset], '\n')
}

// next returns the next line that is not blank, without its end, and its offset.
func (f *file) next() (line string, start int, ok bool) {
	for f.offset < len(f.text) {
		start = f.offset
		end := strings.IndexByte(f.text[start:], '\n')
		if end < 0 {
			line, f.offset = f.text[start:], len(f.text)
		} else {
			line, f.offset = f.text[start:start+end], start+end+1
		}
		f.line++
		if n := len(line); n > 0 && line[n-1] == '\r' {
			line = line[:n-1]
		}
		if line != "" {
			return line, start, true
		}
	}
	return "", 0, false
}

// split appends the cells of the current line to cells. A cell is plain, or wholly
// in double quotes with inner quotes doubled. A cell ends with its line.
func (f *file) split(cells []string, line string) ([]string, bool) {
	ok := true
	for i := 0; ; {
		var cell string
		at := i
		if i < len(line) && line[i] == '"' {
			end := closingQuote(line, i+1)
			if end < 0 {
				f.faults.report(f.line, i+1, "", ErrSyntax, "quote is not closed on its line")
				return cells, false
			}
			if cell = line[i+1 : end]; strings.Contains(cell, `"`) {
				cell = strings.ReplaceAll(cell, `""`, `"`)
			}
			if i = end + 1; i < len(line) && line[i] != ',' {
				f.faults.report(f.line, i+1, "", ErrSyntax, "text after a closing quote")
				return cells, false
			}
		} else {
			quote := false
			for i < len(line) && line[i] != ',' {
				quote = quote || line[i] == '"'
				i++
			}
			if cell = line[at:i]; quote {
				f.faults.report(f.line, at+1, "", ErrSyntax, "quote inside a cell that is not quoted")
				ok = false
			}
		}
		switch n := len(cell); {
		case n == 0:
		case n > maxCell:
			f.faults.report(f.line, at+1, "", ErrTooLarge, "cell of %d bytes, the most is %d", n, maxCell)
			ok = false
		case cell[0] <= ' ' || cell[n-1] <= ' ':
			f.faults.report(f.line, at+1, "", ErrSyntax, "cell %q begins or ends with white space", cell)
			ok = false
		}
		cells = append(cells, cell)
		if i >= len(line) {
			return cells, ok
		}
		i++ // the comma
	}
}

// closingQuote returns the index of the quote that ends the cell begun before i.
func closingQuote(line string, i int) int {
	for ; i < len(line); i++ {
		if line[i] == '"' {
			if i+1 < len(line) && line[i+1] == '"' {
				i++
				continue
			}
			return i
		}
	}
	return -1
}

// cellColumn returns the column, from 1, at which cell n of a line begins.
func cellColumn(line string, n int) int {
	i := 0
	for ; n > 0 && i < len(line); n-- {
		if line[i] == '"' {
			if i = closingQuote(line, i+1) + 1; i == 0 {
				break
			}
		}
		for i < len(line) && line[i] != ',' {
			i++
		}
		i++
	}
	return i + 1
}
