package visible

import (
	"slices"
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	for _, c := range []struct {
		word    string
		choices string
		want    string
	}{
		{"lavatry", "lavatory bidet", "lavatory"},    // a letter left out
		{"lavattory", "lavatory bidet", "lavatory"},  // one too many
		{"lavetory", "lavatory bidet", "lavatory"},   // another in its place
		{"lvaatory", "lavatory bidet", "lavatory"},   // two swapped
		{"lvatry", "lavatory bidet", "lavatory"},     // two left out
		{"lvatr", "lavatory bidet", ""},              // three are another word
		{"Lavatory", "lavatory bidet", "lavatory"},   // habits
		{" lavatory ", "lavatory bidet", "lavatory"}, //
		{"hose bib", "hose-bibb sink", "hose-bibb"},  //
		{"FLOOR_DRAIN", "floor-drain sink", "floor-drain"},
		{"lavatory", "lavatory bidet", ""},     // is there
		{"sink", "tub bidet", ""},              // nothing near
		{"pex-s6", "pex-s4 pex-s5", ""},        // two as near
		{"pex-s44", "pex-s4 pex-s5", "pex-s4"}, // one nearer than the other
		{"pex-s44", "pex-s5 pex-s4", "pex-s4"}, // in either order
		{"lavatry", "bathtub-with-shower lavatory", "lavatory"},
		{"ab", "cd", ""}, {"abc", "abd", "abd"}, // a third of a word may be wrong
		{"ab", "ac", ""}, {"abcde", "abcxy", ""}, // and no more
		{"abcdef", "abcdxy", "abcdxy"},                                              //
		{"too", "id to at", "to"}, {"ids", "id to at", "id"}, {"i", "id to at", ""}, // a letter behind a short word
		{"", "a b", ""}, //
		{strings.Repeat("a", 64) + "b", strings.Repeat("a", 64), ""}, // too long for a slip
		{strings.Repeat("a", 63) + "b", strings.Repeat("a", 63), strings.Repeat("a", 63)},
		{"a-b-c-d-efg", "abcdefg", "abcdefg"}, {"abcdefg", "a-b-c-d-efg", "a-b-c-d-efg"}, // four hyphens
		{"a-b-c-d-e-fg", "abcdefg", ""}, {"abcdefg", "a-b-c-d-e-fg", ""}, // five are too far apart to look at
	} {
		if got := Nearest(c.word, strings.Fields(c.choices)); got != c.want {
			t.Errorf("%q of %s: %q, want %q", c.word, c.choices, got, c.want)
		}
	}
}

// TestMeant: a near choice is asked about; of many choices ten are listed, and how many more there are.
func TestMeant(t *testing.T) {
	for word, want := range map[string]string{"sinc": `did you mean "sink"? `, "kiln": ""} {
		if got := Meant(word, []string{"bidet", "sink"}); got != want {
			t.Errorf("%s: %q", word, got)
		}
	}
	letters := strings.Split("abcdefghijkl", "")
	for n, want := range map[int]string{2: "a, b", 10: "a, b, c, d, e, f, g, h, i, j",
		12: "a, b, c, d, e, f, g, h, i, j and 2 more"} {
		if got := Some(letters[:n]); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}, {"abc", "acb", 1}, {"abc", "bca", 2},
		{"kitten", "sitting", 3}, {"trap", "part", 3}, {"vent", "even", 2}, {"ab", "ba", 1}, {"abcd", "badc", 2},
	} {
		if got, back := distance(c.a, c.b), distance(c.b, c.a); got != c.want || back != c.want {
			t.Errorf("%q, %q: %d and %d, want %d", c.a, c.b, got, back, c.want)
		}
	}
}

func TestSameID(t *testing.T) {
	ask := SameID(slices.Values([]string{"S1", "wc 2", "wc-2", "Main"}))
	for id, want := range map[string]string{
		"s1": `; did you mean "S1"?`, "S-1": `; did you mean "S1"?`, "S1": "", "S2": "",
		"WC2": `; did you mean "wc 2"?`, "wc-2": `; did you mean "wc 2"?`, "wc 2": "", "MAIN": `; did you mean "Main"?`,
	} {
		if got := ask(id); got != want {
			t.Errorf("%q: %q, want %q", id, got, want)
		}
	}
}

// TestSlipped: a letter more, less or swapped is asked about, a digit is not, nor what may be two.
func TestSlipped(t *testing.T) {
	ask := SameID(slices.Values([]string{"OUT", "Kitchen-1", "L1", "L10", "LAV1", "AB", "bath", "bathe"}))
	for id, want := range map[string]string{
		"OTU": `; did you mean "OUT"?`, "kitchn1": `; did you mean "Kitchen-1"?`, "kitcheen 1": `; did you mean "Kitchen-1"?`,
		"Kitchen": "", "L2": "", "L11": "", "L100": "", "LAV2": "", "BA": "", "OAT": "", "bathh": `; did you mean "bath"?`,
		"batheh": `; did you mean "bathe"?`, "bat": `; did you mean "bath"?`, "batth": `; did you mean "bath"?`, "bathee": `; did you mean "bathe"?`,
	} {
		if got := ask(id); got != want {
			t.Errorf("%q: %q, want %q", id, got, want)
		}
	}
	long := strings.Repeat("b", 64)
	ends := SameID(slices.Values([]string{"size", "amp", long[:63], long}))
	for id, want := range map[string]string{"sie": "size", "sizze": "size", "mp": "", "aamp": "amp", "map": "amp",
		"isze":    "size",
		long[:62]: long[:63], long + "b": ""} {
		if want != "" {
			want = `; did you mean "` + want + `"?`
		}
		if got := ends(id); got != want {
			t.Errorf("%q: %q, want %q", id, got, want)
		}
	}
	if got := SameID(slices.Values([]string{long[:63]}))(long); got != `; did you mean "`+long[:63]+`"?` {
		t.Error(got)
	}
	if got := SameID(slices.Values([]string{"pot", "spa"}))("spot"); got != `; did you mean "pot"?` {
		t.Error(got)
	}
	if got := SameID(slices.Values([]string{"pot", "sot"}))("spot"); got != "" {
		t.Errorf("of two that are as near, %s", got)
	}
}

// TestCounted: ids stand as people count them, in one order whatever order they come in.
func TestCounted(t *testing.T) {
	want := []string{"", "A", "B1-2", "B1-10", "B2", "L", "L1", "L01", "L1A", "L2", "L10", "L11", "L99999999999999999999",
		"L100000000000000000000", "LA", "l1"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, Counted)
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestShortened(t *testing.T) {
	forty := strings.Repeat("a", 40)
	for _, c := range []struct{ text, want string }{
		{"", ""}, {"a", "a"}, {forty, forty}, {forty + "b", forty + "..."},
		{forty[:39] + "äb", forty[:39] + "..."}, // half a letter is none
		{forty[:38] + "äb", forty[:38] + "ä..."},
	} {
		if got := Shorten(c.text); got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
		if got := Quote(c.text); got != `"`+c.want+`"` {
			t.Errorf("%q: %s, want it in quotes", c.text, got)
		}
	}
	if got := Shorten(strings.Repeat("\x80", 41)); got != "..." {
		t.Errorf("of no letter at all: %q", got)
	}
	if got := Quote("a\n\u202eb"); got != `"a\n\u202eb"` {
		t.Error(got)
	}
}
