package tables

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Verdict is the outcome of a check.
type Verdict uint8

// The three verdicts. Ask means that the answer needs judgement, differs by
// place, or rests on a row nobody has seen in print; it is never a silent pass.
const (
	Pass Verdict = iota + 1
	Fail
	Ask
)

// String returns "pass", "fail" or "ask".
func (v Verdict) String() string {
	switch v {
	case Pass:
		return "pass"
	case Fail:
		return "fail"
	case Ask:
		return "ask"
	}
	return fmt.Sprintf("verdict(%d)", uint8(v))
}

// MarshalText writes the verdict as String does.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads pass, fail or ask.
func (v *Verdict) UnmarshalText(text []byte) error {
	for _, w := range [...]Verdict{Pass, Fail, Ask} {
		if w.String() == string(text) {
			*v = w
			return nil
		}
	}
	return fmt.Errorf("%q is none of pass, fail, ask", text)
}

// Finding is one rule applied at one place: a value set against a limit, with
// the row that decided.
type Finding struct {
	Rule    string  // stable rule id, such as "trap-arm-length"
	Place   string  // id of the point, run or fixture judged
	Verdict Verdict // pass, fail or ask
	// Value was measured against Limit; Margin is what is left (negative: what
	// is missing). Each is a quantity that prints itself, or nil.
	Value, Limit, Margin fmt.Stringer
	Reason               string // one sentence: what was compared and why it came out so
	Remedy               string // what would mend a fail, or whom to ask what
	Citation             Citation
}

// Settle returns f as it may be reported: a pass or a fail whose row is not
// [Status.Firm] becomes [Ask], and the reason says which it would have been. A
// finding that cites nothing stays as it is.
func (f Finding) Settle() Finding {
	if f.Verdict == Ask || f.Citation.IsZero() || f.Citation.Status().Firm() {
		return f
	}
	why := "nobody has seen in print"
	if f.Citation.Status() == Practice {
		why = "is common practice without a source"
	}
	f.Reason = joinSentences(f.Reason, fmt.Sprintf("It would be a %v, but rests on a figure that %s.", f.Verdict, why))
	if f.Remedy == "" {
		f.Remedy = "Read the figure in the code in force, or ask the authority."
	}
	f.Verdict = Ask
	return f
}

func joinSentences(a, b string) string {
	switch {
	case a == "":
		return b
	case strings.HasSuffix(a, "."):
		return a + " " + b
	}
	return a + ". " + b
}

// String writes the finding in one line: verdict, rule, place, the comparison, the
// reason and the citation.
func (f Finding) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%v %s", f.Verdict, f.Rule)
	if f.Place != "" {
		fmt.Fprintf(&b, " at %s", f.Place)
	}
	if f.Value != nil {
		fmt.Fprintf(&b, ": %v", f.Value)
		if f.Limit != nil {
			fmt.Fprintf(&b, ", limit %v", f.Limit)
		}
	}
	if f.Reason != "" {
		fmt.Fprintf(&b, ": %s", f.Reason)
	}
	if !f.Citation.IsZero() {
		fmt.Fprintf(&b, " [%v]", f.Citation)
	}
	return b.String()
}

// MarshalJSON writes the quantities as the text they print, and leaves out what
// is not there.
func (f Finding) MarshalJSON() ([]byte, error) {
	text := func(s fmt.Stringer) string {
		if s == nil {
			return ""
		}
		return s.String()
	}
	return json.Marshal(struct {
		Rule     string   `json:"rule"`
		Place    string   `json:"place,omitzero"`
		Verdict  Verdict  `json:"verdict"`
		Value    string   `json:"value,omitzero"`
		Limit    string   `json:"limit,omitzero"`
		Margin   string   `json:"margin,omitzero"`
		Reason   string   `json:"reason,omitzero"`
		Remedy   string   `json:"remedy,omitzero"`
		Citation Citation `json:"citation,omitzero"`
	}{f.Rule, f.Place, f.Verdict, text(f.Value), text(f.Limit), text(f.Margin), f.Reason, f.Remedy, f.Citation})
}
