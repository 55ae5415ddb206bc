// Package visible keeps the texts of a user's file from acting on a terminal: what
// would move the cursor, turn the direction of writing or start a new line is
// shown as an escape.
package visible

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"io"
	"iter"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// acts reports whether a rune does something to a page and is not only seen on it.
// The two joiners stay, for scripts are written with them.
func acts(r rune) bool {
	if r < utf8.RuneSelf {
		return r < ' ' || r == 0x7f
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) && r != '\u200c' && r != '\u200d'
}

// escape returns a rune as it is written in a Go or JSON text.
func escape(r rune) string {
	s := strconv.QuoteRune(r)
	return s[1 : len(s)-1]
}

// Text returns s with whatever acts on a page as escapes: `a\nb`, `\u202e`.
func Text(s string) string { return text(s, false) }

// Lines is Text that keeps the ends of lines.
func Lines(s string) string { return text(s, true) }

func text(s string, lines bool) string {
	if !unsafe(s, lines) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case acts(r) && !(lines && r == '\n'):
			b.WriteString(escape(r))
		default:
			b.WriteString(s[i : i+n])
		}
		i += n
	}
	return b.String()
}

// Shorten cuts what a message quotes to a length that fits a line.
func Shorten(s string) string {
	const longest = 40
	if len(s) <= longest {
		return s
	}
	cut := longest
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "..."
}

// unsafe reports whether there is anything to escape.
func unsafe(s string, lines bool) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case c >= utf8.RuneSelf:
			return !utf8.ValidString(s) ||
				strings.ContainsFunc(s, func(r rune) bool { return acts(r) && !(lines && r == '\n') })
		case c < ' ' && !(lines && c == '\n') || c == 0x7f:
			return true
		}
	}
	return false
}

// JSON appends a JSON text to dst with the runes in it that act on a page as \u
// escapes; its values are the same. Most of ASCII's cannot stand in a JSON text raw.
func JSON(dst, text []byte) []byte {
	if !slices.ContainsFunc(text, func(c byte) bool { return c >= 0x7f }) {
		return append(dst, text...)
	}
	for i := 0; i < len(text); {
		r, n := rune(text[i]), 1
		if r >= utf8.RuneSelf {
			r, n = utf8.DecodeRune(text[i:])
		}
		switch {
		case r < utf8.RuneSelf && r != 0x7f || !acts(r):
			dst = append(dst, text[i:i+n]...)
		case r > 0xffff:
			r -= 0x10000
			dst = fmt.Appendf(dst, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
		default:
			dst = fmt.Appendf(dst, `\u%04x`, r)
		}
		i += n
	}
	return dst
}

// Writer returns a writer of lines of text that escapes the rest of what acts on a
// page.
func Writer(w io.Writer) io.Writer {
	return &writer{to: w, change: func(p []byte) []byte { return []byte(Lines(string(p))) }}
}

// JSONWriter returns a writer of JSON as [JSON] has it.
func JSONWriter(w io.Writer) io.Writer {
	return &writer{to: w, change: func(p []byte) []byte { return JSON(make([]byte, 0, len(p)), p) }}
}

// writer changes what is written. A rune that is not whole yet waits for its rest.
type writer struct {
	to     io.Writer
	change func([]byte) []byte
	rest   []byte
}

func (w *writer) Write(p []byte) (int, error) {
	whole := append(w.rest, p...)
	cut := len(whole)
	for back := 1; back < utf8.UTFMax && back <= len(whole); back++ {
		if tail := whole[len(whole)-back:]; utf8.RuneStart(tail[0]) {
			if !utf8.FullRune(tail) {
				cut -= back
			}
			break
		}
	}
	if _, err := w.to.Write(w.change(whole[:cut])); err != nil {
		return 0, err
	}
	w.rest = append(w.rest[:0], whole[cut:]...)
	return len(p), nil
}

// Invalid returns where the first byte stands that is no UTF-8, -1 if there is none.
func Invalid(s string) int {
	for i, r := range s {
		if r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)) {
			return i
		}
	}
	return -1
}

// MaxID is the greatest length of an id in bytes.
const MaxID = 200

// ID says why a text cannot be the id of anything: it is of blanks, too long, or
// holds what cannot be seen. An empty id is the caller's to refuse.
func ID(id string) error {
	switch {
	case id == "":
		return nil
	case len(id) > MaxID:
		return fmt.Errorf("an id of %d bytes: at most %d", len(id), MaxID)
	case strings.TrimSpace(id) == "":
		return errors.New("an id of blanks")
	}
	return Word(id)
}

// Word says why a text that names something cannot be one.
func Word(s string) error {
	if !utf8.ValidString(s) {
		return errors.New("not UTF-8")
	}
	for _, r := range s {
		switch {
		case r == utf8.RuneError:
			return errors.New("holds a character that is none: half of a pair, or U+FFFD")
		case acts(r):
			return fmt.Errorf("holds %U, which cannot be seen", r)
		}
	}
	return nil
}

// Quote quotes a text for a message, escaped, and cut short if it is long.
func Quote(s string) string { return strconv.Quote(Shorten(s)) }

// Nearest returns the choice that a word was likely meant to be: the same but for
// case, blanks, underscores and hyphens, or but for one or two letters. Empty: none is
// near, or several are as near.
func Nearest(word string, choices []string) string {
	if len(word) > 64 {
		return ""
	}
	w := plain(word)
	best, at, twice := 3, "", false
	for _, c := range choices {
		if len(c) > len(word)+4 || len(word) > len(c)+4 || c == word {
			continue
		}
		p := plain(c)
		off := distance(w, p)
		longer := off == 1 && len(p) > 1 && strings.HasPrefix(w, p) // ids for id, too for to
		switch {
		case off > len(p)/3 && !longer || off > best:
		case off == best:
			twice = true
		default:
			best, at, twice = off, c, false
		}
	}
	if twice || best > 2 {
		return ""
	}
	return at
}

// plain is a word without what differs by habit: case, blanks, underscores and hyphens.
func plain(s string) string {
	return habits.Replace(strings.ToLower(strings.TrimSpace(s)))
}

var habits = strings.NewReplacer(" ", "", "_", "", "-", "")

// SameID is [Meant] for ids, of which S1 and S2 are two: what it returns offers the id that
// is the same but for case, blanks, underscores and hyphens, of many the first, or else but for a
// letter. The ids are gone through when first one is asked for.
func SameID(ids iter.Seq[string]) func(id string) string {
	var known map[string]string
	return func(id string) string {
		if known == nil {
			known = map[string]string{}
			for x := range ids {
				if p := plain(x); known[p] == "" || x < known[p] {
					known[p] = x
				}
			}
		}
		x := known[plain(id)]
		if x == "" {
			x = slipped(plain(id), known)
		}
		if x != "" && x != id {
			return fmt.Sprintf("; did you mean %q?", x)
		}
		return ""
	}
}

// slipped is the one of the known ids that a word becomes if a letter too many is taken out, one
// that lacks is put in, or two that stand side by side are swapped; empty if none is, or several.
// Digits stay, for S1 and S12 are two, and so do words of two letters.
func slipped(word string, known map[string]string) string {
	if len(word) < 3 || len(word) > 64 {
		return ""
	}
	meant, twice := "", false
	try := func(w string) {
		if x := known[w]; x != "" && x != meant {
			meant, twice = x, meant != ""
		}
	}
	letter := func(i int) bool { return 'a' <= word[i] && word[i] <= 'z' }
	for i := range len(word) + 1 {
		for c := 'a'; c <= 'z'; c++ {
			try(word[:i] + string(c) + word[i:])
		}
		if i < len(word) && letter(i) {
			try(word[:i] + word[i+1:])
		}
		if i+1 < len(word) && letter(i) && letter(i+1) {
			try(word[:i] + word[i+1:i+2] + word[i:i+1] + word[i+2:])
		}
	}
	if twice {
		return ""
	}
	return meant
}

// Counted compares two ids as people put them in order: by letters, and numbers within by what
// they count, so that L2 stands before L10.
func Counted(a, b string) int {
	return cmp.Or(CountedAlike(a, b), len(a)-len(b), strings.Compare(a, b))
}

// CountedAlike is Counted, but that what counts the same, such as L2 and L02, is the same.
func CountedAlike(a, b string) int {
	digit := func(s string, i int) bool { return i < len(s) && '0' <= s[i] && s[i] <= '9' }
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		if !digit(a, i) || !digit(b, j) {
			if a[i] != b[j] {
				return strings.Compare(a[i:], b[j:])
			}
			i, j = i+1, j+1
			continue
		}
		x, y := i, j
		for digit(a, i) {
			i++
		}
		for digit(b, j) {
			j++
		}
		m, n := strings.TrimLeft(a[x:i], "0"), strings.TrimLeft(b[y:j], "0")
		if by := cmp.Or(len(m)-len(n), strings.Compare(m, n)); by != 0 {
			return by
		}
	}
	return (len(a) - i) - (len(b) - j)
}

// distance is how many letters must be put in, left out, changed, or swapped with
// their neighbour to make one word of the other.
func distance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range len(a) {
		row[0] = i + 1
		for j := range len(b) {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(last[j]+change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

// Meant is a question to put into a message that refuses a word, before the choices:
// `did you mean "lavatory"? `; empty if no choice is near.
func Meant(word string, choices []string) string {
	near := Nearest(word, choices)
	if near == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %q? ", near)
}

// Some lists the first ten of the choices, and how many more there are.
func Some(choices []string) string {
	const most = 10
	if len(choices) <= most {
		return strings.Join(choices, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(choices[:most], ", "), len(choices)-most)
}

// Flags lists the flags of a program, one a line: its name, what it takes, what it does.
func Flags(flags *flag.FlagSet) string {
	var names, texts []string
	wide := 0
	flags.VisitAll(func(f *flag.Flag) {
		takes, text := flag.UnquoteUsage(f)
		if f.DefValue != "" && f.DefValue != "false" && f.DefValue != "0" {
			text += " (" + f.DefValue + " unless said)"
		}
		name := strings.TrimSpace("-" + f.Name + " " + takes)
		names, texts, wide = append(names, name), append(texts, text), max(wide, len(name))
	})
	var b strings.Builder
	for i, name := range names {
		fmt.Fprintf(&b, "  %-*s  %s\n", wide, name, texts[i])
	}
	return b.String()
}
