// Package jsonedit lets a fuzzer reach what lies behind a parser: bytes of its own
// choose which values of a JSON text change places, so that most of what it makes
// is JSON, and much of it a layout.
package jsonedit

import (
	"regexp"
	"strings"
)

var literal = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|-?\d[-+.\deE]*|true|false|null`)

// Words are values that are worth trying anywhere.
var words = []string{`"0 ft"`, `"-1 in"`, `"1 nm"`, `"1000 km"`, `"3 in"`, `"1/4 in/ft"`, `"1:1"`, `"0 psi"`,
	`"60 psi"`, `"0 gpm"`, `"1e6 gpm"`,
	`true`, `false`, `null`, `0`, `1`, `-1`, `1000000`, `""`, `"A"`, `{}`, `[]`, `[{}]`}

// most is the greatest number of edits of one text.
const most = 16

// Apply returns the text with one literal after another put in place of another:
// each pair of bytes says which by which. Without edits the text is as it was.
func Apply(text string, edits []byte) string {
	if len(edits) < 2 {
		return text
	}
	at := literal.FindAllStringIndex(text, -1)
	if len(at) == 0 {
		return text
	}
	with := map[int]string{}
	for k := 0; k+1 < len(edits) && k < 2*most; k += 2 {
		// Positions are spread over the text: a byte alone would reach the first 256.
		to := (int(edits[k])*131 + k*17) % len(at)
		from := int(edits[k+1])
		if from < len(words) {
			with[to] = words[from]
			continue
		}
		x := at[(from*53+int(edits[k]))%len(at)]
		with[to] = text[x[0]:x[1]]
	}
	var b strings.Builder
	end := 0
	for i, x := range at {
		if s, ok := with[i]; ok {
			b.WriteString(text[end:x[0]])
			b.WriteString(s)
			end = x[1]
		}
	}
	b.WriteString(text[end:])
	return b.String()
}
