package findingtest

import (
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/trapweir/trapweir/tables"
)

// What no reader of findings wants to meet.
var unreadable = []struct {
	what string
	is   *regexp.Regexp
}{
	{"a double space or a space before a stop", regexp.MustCompile(`  | [.,;:](?:\s|$)`)},
	{"two stops", regexp.MustCompile(`\.\.|[,;:]\.`)},
	{"an unrounded number", regexp.MustCompile(`\d\.\d{7,}`)},
	{"a verb that failed to print", regexp.MustCompile(`%!`)},
	{"the shelf, which no plumber knows", regexp.MustCompile(`(?i)\bshelf\b`)},
}

// Words fails where the words of findings do not read as the trade reads: each reason and
// each fix is a sentence, a capital first and a full stop last, with the numbers rounded
// and without the id of a rule.
func Words(t *testing.T, rules []tables.CheckRule, found []tables.Finding) {
	t.Helper()
	var list []string
	for _, r := range rules {
		if strings.Contains(r.ID, "-") {
			list = append(list, r.ID)
		}
	}
	ids := regexp.MustCompile(`(?:^|\s)(?:` + strings.Join(list, "|") + `)(?:$|[\s.,;:])`)
	read := map[string]bool{}
	for i := range found {
		f := &found[i]
		for _, text := range []string{f.Reason, f.Fix} {
			if text == "" || read[text] {
				continue
			}
			read[text] = true
			first, _ := utf8.DecodeRuneInString(text)
			if unicode.IsLower(first) || !strings.HasSuffix(text, ".") {
				t.Errorf("%s: no sentence: %q", f.ID(), text)
			}
			for _, u := range unreadable {
				if u.is.MatchString(text) {
					t.Errorf("%s: %s: %q", f.ID(), u.what, text)
				}
			}
			if ids.MatchString(text) {
				t.Errorf("%s: names a rule by its id: %q", f.ID(), text)
			}
		}
		if f.Reason == "" {
			t.Errorf("%s: no reason", f.ID())
		}
	}
}
