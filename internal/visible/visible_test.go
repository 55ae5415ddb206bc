package visible

import (
	"bytes"
	"encoding/json"
	"flag"
	"strings"
	"testing"
)

func TestText(t *testing.T) {
	for in, want := range map[string]string{
		"WC-1": "WC-1", "": "", "Küche 2": "Küche 2", "a\u00a0b": "a\u00a0b", "نمی\u200cدانم": "نمی\u200cدانم",
		"a\nb\tFAIL forged": `a\nb\tFAIL forged`, "\x1b[2J": `\x1b[2J`, "\u009b31m": `\u009b31m`, "\u202egnp": `\u202egnp`,
		"\u2028": `\u2028`, "\x7f": `\x7f`, "\xff": `\xff`, "\U000e0041": `\U000e0041`,
		"\u0080": `\u0080`, "\x80": `\x80`, // the first that is not ASCII, and a byte of it alone
	} {
		if got := Text(in); got != want {
			t.Errorf("Text(%q) = %q, want %q", in, got, want)
		}
		if got, want := Lines(in), strings.ReplaceAll(want, `\n`, "\n"); got != want {
			t.Errorf("Lines(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestJSON: what is escaped reads as the same value, and is not there raw.
func TestJSON(t *testing.T) {
	for _, s := range []string{"plain", "Küche", "\u009b31m", "\u202e\u2066x", "\x7f", "\U000e0041", "a\nb",
		"\u0080"} {
		var in bytes.Buffer
		if err := json.NewEncoder(&in).Encode(s); err != nil {
			t.Fatal(err)
		}
		out := JSON(nil, in.Bytes())
		var back string
		if err := json.Unmarshal(out, &back); err != nil || back != s {
			t.Errorf("%q: %s, %v", s, out, err)
		}
		if strings.ContainsFunc(strings.TrimSuffix(string(out), "\n"), acts) {
			t.Errorf("%q: %q", s, out)
		}
	}
	if got := JSON(nil, []byte("\"\x80\"")); string(got) != "\"\x80\"" {
		t.Errorf("what is not UTF-8: %q", got)
	}
}

func TestID(t *testing.T) {
	for _, good := range []string{"", "WC", "WC 1", "ß", strings.Repeat("x", MaxID)} {
		if err := ID(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	for _, bad := range []string{" ", "\u00a0 ", "a\nb", "\x00", "\u202e", "\ufffd", "\xff", "\u2028", "\ufeff", strings.Repeat("x", MaxID+1)} {
		if ID(bad) == nil {
			t.Errorf("%.20q is taken", bad)
		}
	}
	if got := Quote(strings.Repeat("é", 100)); got != `"`+strings.Repeat("é", 20)+`..."` {
		t.Error(got)
	}
}

// TestWriter: runes cut apart by a buffer come out whole.
func TestWriter(t *testing.T) {
	const in, want = "é\x1b[2J\n\u202e日本\U0001f600", "é\\x1b[2J\n\\u202e日本\U0001f600"
	for step := 1; step < 6; step++ {
		var out bytes.Buffer
		w := Writer(&out)
		for i := 0; i < len(in); i += step {
			if _, err := w.Write([]byte(in[i:min(i+step, len(in))])); err != nil {
				t.Fatal(err)
			}
		}
		if out.String() != want {
			t.Errorf("by %d: %q", step, out.String())
		}
	}
}

// TestWriterOfPieces: nothing, and a byte that begins no rune, are written as they come.
func TestWriterOfPieces(t *testing.T) {
	var out bytes.Buffer
	w := Writer(&out)
	for _, s := range []string{"", "\x80", "a"} {
		if n, err := w.Write([]byte(s)); n != len(s) || err != nil {
			t.Errorf("%q: %d, %v", s, n, err)
		}
	}
	if out.String() != `\x80a` {
		t.Errorf("%q", out.String())
	}
}

func TestFlags(t *testing.T) {
	flags := flag.NewFlagSet("test", flag.ContinueOnError)
	flags.Bool("audit", false, "count rows")
	flags.String("out", "reading", "with -verify: `directory` to write to")
	want := "  -audit          count rows\n  -out directory  with -verify: directory to write to (reading unless said)\n"
	if got := Flags(flags); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}
