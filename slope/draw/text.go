package draw

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sizes of text, in hundredths of a point. Nothing on paper is smaller than small.
const (
	small  = 600
	medium = 700
	large  = 1000
)

// advances are the widths of the printable ASCII characters, in thousandths of the size
// of the text: those of the common sans-serif faces (measured on Liberation Sans, whose
// widths are those of Arial and Helvetica). Every text is given its width, so a
// viewer with another face squeezes it into the same room.
var advances = [95]uint16{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
	556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
	611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
	667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
	222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
}

// advance is the width of a character in thousandths of the size.
func advance(r rune) int {
	switch {
	case r >= ' ' && r <= '~':
		return int(advances[r-' '])
	case r == leftToRight || unicode.Is(unicode.Mn, r):
		return 0
	case r < 0x1100:
		return 667
	}
	return 1000
}

// width returns how wide a text is, in hundredths of a point.
func width(s string, size int, bold bool) int {
	w := 0
	for _, r := range s {
		w += advance(r)
	}
	if bold {
		w += w / 14
	}
	return (w*size + 999) / 1000
}

// rightToLeft are the common scripts that are written so.
var rightToLeft = []*unicode.RangeTable{unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko}

// leftToRight is the mark that ends what is written from right to left.
const leftToRight = '\u200e'

// clean makes a text harmless: one line, valid, without characters that steer the
// terminal or the direction of writing, or that nobody sees. They turn into the
// replacement character. What is written from right to left is closed off, so that figures
// after it stay where they belong.
func clean(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r > '~' }) {
		return s
	}
	var b strings.Builder
	rtl := false
	marks := 0
	for _, r := range s {
		switch {
		case r == leftToRight:
			continue // set anew below, so that a text may be cleaned twice
		case r == '\t' || r == '\n' || r == '\r':
			r = ' '
		case !visible(r):
			r = utf8.RuneError
		}
		if unicode.Is(unicode.Mn, r) {
			if marks++; marks > 2 {
				continue // a tower of accents would stand over its neighbours
			}
		} else {
			marks = 0
		}
		if is := unicode.In(r, rightToLeft...); is != rtl && !unicode.Is(unicode.Mn, r) {
			if rtl {
				b.WriteRune(leftToRight)
			}
			rtl = is
		}
		b.WriteRune(r)
	}
	if rtl {
		b.WriteRune(leftToRight)
	}
	return b.String()
}

// strip replaces what may not stand in a drawing.
func strip(s string) string {
	return strings.Map(func(r rune) rune {
		if visible(r) {
			return r
		}
		return utf8.RuneError
	}, s)
}

// visible reports whether a character may stand in a drawing.
func visible(r rune) bool {
	return ' ' <= r && r <= '~' || r != utf8.RuneError && unicode.IsGraphic(r) &&
		!unicode.In(r, unicode.Zl, unicode.Zp, unicode.Co, unicode.Me) &&
		r != '\u2800' && r != '\u3164' && r != '\u115f' && r != '\u1160' && r != '\uffa0'
}

// fit shortens a text in its middle until it is no wider than room, so that its head
// and tail, by which ids mostly differ, stay.
func fit(s string, size int, bold bool, room int) string {
	if width(s, size, bold) <= room {
		return s
	}
	runes := []rune(s)
	head, tail := 0, 0
	for head+tail < len(runes) {
		h, t := head, tail
		if head <= tail {
			h++
		} else {
			t++
		}
		if width(string(runes[:h])+"…"+string(runes[len(runes)-t:]), size, bold) > room {
			break
		}
		head, tail = h, t
	}
	return string(runes[:head]) + "…" + string(runes[len(runes)-tail:])
}

// wrap breaks a text into lines no wider than room. A word that is wider is shortened.
func wrap(s string, size, room int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		word = fit(word, size, false, room)
		if line != "" && width(line+" "+word, size, false) > room {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Anchor returns the id that the group of a layout id has in a drawing, before
// [Options.Prefix]. It is the id itself, with what may not stand in an id or would be
// changed in a link (blanks, controls, characters that are not seen, quotes and the like)
// written as ~ and its number in hexadecimal and a stop: "P 1" is "P~20.1". Two ids never have one anchor.
func Anchor(id string) string {
	if id != "" && utf8.ValidString(id) && !strings.ContainsFunc(id, func(r rune) bool { return !inAnchor(r) }) {
		return id
	}
	b := make([]byte, 0, len(id)+8)
	for i := 0; i < len(id); {
		r, n := utf8.DecodeRuneInString(id[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			b = append(strconv.AppendInt(append(b, "~x"...), int64(id[i]), 16), '.') // a byte that is no text
		case inAnchor(r):
			b = utf8.AppendRune(b, r)
		default:
			b = append(strconv.AppendInt(append(b, '~'), int64(r), 16), '.')
		}
		i += n
	}
	if len(b) == 0 {
		return "~."
	}
	return string(b)
}

func inAnchor(r rune) bool {
	return visible(r) && !unicode.IsSpace(r) && !strings.ContainsRune("~%\"'<>&#`\\^{|}", r)
}
