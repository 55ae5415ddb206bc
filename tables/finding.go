package tables

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
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

var verdicts = enum.Words[Verdict]{What: "verdict", Blank: true, Words: []string{"", "pass", "fail", "ask"}}

// String returns "pass", "fail" or "ask", and nothing for none.
func (v Verdict) String() string { return verdicts.String(v) }

// MarshalText writes the verdict as String does.
func (v Verdict) MarshalText() ([]byte, error) { return verdicts.Marshal(v) }

// UnmarshalText reads pass, fail or ask.
func (v *Verdict) UnmarshalText(text []byte) error { return verdicts.Unmarshal(text, v) }

// Settler is who can settle a question.
type Settler uint8

// Those who settle questions.
const (
	// Designer states in the layout what it does not tell.
	Designer Settler = iota + 1
	// Book is the code in force: a figure from memory is looked up there.
	Book
	// Authority is the office that has the code in hand and rules where it leaves room.
	Authority
	// Owner chooses where more than one way is lawful.
	Owner
)

var settlers = enum.Words[Settler]{What: "settler", Blank: true,
	Words: []string{"", "designer", "book", "authority", "owner"}}

// String returns "designer", "book", "authority" or "owner".
func (s Settler) String() string { return settlers.String(s) }

// MarshalText writes the settler as String does, and nothing for none.
func (s Settler) MarshalText() ([]byte, error) { return settlers.Marshal(s) }

// UnmarshalText reads designer, book, authority or owner; nothing is none.
func (s *Settler) UnmarshalText(text []byte) error { return settlers.Unmarshal(text, s) }

// CheckRule is a rule that checks judge by, for lists to choose from.
type CheckRule struct {
	ID     string `json:"id"`     // stable, such as "trap-arm-length": [Finding.Rule]
	Title  string `json:"title"`  // a few words, such as "Length of a trap arm"
	Family string `json:"family"` // rules of one subject, such as "traps"
}

// Assumption is what a check took because the layout leaves it open, where no other value
// that it may have would change a verdict or a size. What would is a question instead.
type Assumption struct {
	Rule  string `json:"rule"`  // the check that took it
	Place string `json:"place"` // as of a [Finding]
	Taken string `json:"taken"` // what was taken, in words
	Field string `json:"field"` // of the layout, that states it
}

// Finding is one rule applied at one place: a value set against a limit, with
// the row that decided.
type Finding struct {
	Rule    string  // stable rule id, such as "trap-arm-length"
	Place   string  // id of the point, run or fixture judged
	Side    string  // what tells apart two findings of one rule at one place, such as "hot"
	Verdict Verdict // pass, fail or ask
	// SettledBy is who can answer an [Ask]. IfConfirmed is what it would then be, Pass
	// or Fail, where nothing but the standing of a figure is asked about.
	SettledBy   Settler
	IfConfirmed Verdict
	// Value was measured against Limit; Margin is what is left (negative: what
	// is missing). Each is a quantity that prints itself, or nil.
	Value, Limit, Margin fmt.Stringer
	Reason               string // one sentence: what was compared and why it came out so
	Fix                  string // what makes a fail pass, or whom to ask what
	Citation             Citation
}

// ID names the finding: rule, place and side. It is unique among the findings of a
// check, and the same in the next revision of a layout.
func (f *Finding) ID() string {
	id := f.Rule
	if f.Place != "" {
		id += "/" + f.Place
	}
	if f.Side != "" {
		id += "/" + f.Side
	}
	return id
}

// Settle returns f as it may be reported: a pass or a fail whose row is not
// [Status.Firm] becomes [Ask], which the book settles (what is common practice, the
// authority), and the reason says which it then is. A finding that cites nothing stays
// as it is, and so does a pass by the safer of two disputed figures.
func (f Finding) Settle() Finding {
	c := f.Citation
	if f.Verdict == Ask || c.IsZero() || c.Status().Firm() {
		return f
	}
	if f.Verdict == Pass && c.Status() == Disputed {
		return f // of the two figures the safer stands: by the other it passes too
	}
	outcome := "passes"
	if f.Verdict == Fail {
		outcome = "fails"
	}
	begin, end := fromMemory, " if the book agrees."
	f.SettledBy, f.IfConfirmed = Book, f.Verdict
	switch c.Status() {
	case Practice:
		begin, end = commonPractice, " if the authority agrees."
		f.SettledBy = Authority
	case Disputed:
		begin, end = inDispute+"by this one it ", "."
		if n := c.Note(); n != "" {
			end = ": " + strings.TrimSuffix(n, ".") + "."
		}
	}
	f.Reason += between(f.Reason) + begin + outcome + end
	switch {
	case f.Fix != "":
	case c.Status() == Practice:
		f.Fix = "Ask the authority whether it goes by this figure."
	default:
		f.Fix = c.LookUp()
	}
	f.Verdict = Ask
	return f
}

// How the sentence begins that Settle adds to a reason.
const (
	fromMemory     = "From memory; "
	commonPractice = "Common practice, without a source; "
	inDispute      = "Sources disagree on the figure; "
)

// Compared returns the reason without the sentence that [Finding.Settle] added.
func (f *Finding) Compared() string {
	if f.IfConfirmed == 0 {
		return f.Reason
	}
	for _, begin := range [...]string{fromMemory, commonPractice, inDispute} {
		if n := strings.LastIndex(f.Reason, begin); n >= 0 {
			return strings.TrimRight(f.Reason[:n], " ")
		}
	}
	return f.Reason
}

// LookUp says, for the fix of a question, where to look the row up.
func (c Citation) LookUp() string {
	if s := c.Section(); s != "" {
		return "Look up " + s + " in the code in force, or ask the authority."
	}
	if c.IsZero() {
		return "Look up the figure in the code in force, or ask the authority."
	}
	return "Look up the figure in " + c.Source().String() + ", or ask the authority."
}

// between is what stands between a text and a sentence after it.
func between(text string) string {
	switch {
	case text == "":
		return ""
	case strings.HasSuffix(text, "."):
		return " "
	}
	return ". "
}

// String writes the finding in one line: verdict, rule, place, the comparison, the
// reason and the citation.
func (f Finding) String() string {
	text := f.headline()
	if f.Reason != "" {
		text += ": " + f.Reason
	}
	if !f.Citation.IsZero() {
		text += fmt.Sprintf(" [%v]", f.Citation)
	}
	return text
}

// headline is verdict, rule, place and comparison.
func (f *Finding) headline() string {
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
	return b.String()
}

// findingRecord is a finding as JSON has it.
type findingRecord struct {
	ID          string   `json:"id"`
	Rule        string   `json:"rule"`
	Place       string   `json:"place,omitzero"`
	Side        string   `json:"side,omitzero"`
	Verdict     Verdict  `json:"verdict"`
	SettledBy   Settler  `json:"settled_by,omitzero"`
	IfConfirmed Verdict  `json:"if_confirmed,omitzero"`
	Value       text     `json:"value,omitzero"`
	Limit       text     `json:"limit,omitzero"`
	Margin      text     `json:"margin,omitzero"`
	Reason      string   `json:"reason,omitzero"`
	Fix         string   `json:"fix,omitzero"`
	Citation    Citation `json:"citation,omitzero"`
}

// text is a quantity as it was printed.
type text string

func (t text) String() string { return string(t) }

func textOf(q fmt.Stringer) text {
	if q == nil {
		return ""
	}
	return text(q.String())
}

func (t text) stringer() fmt.Stringer {
	if t == "" {
		return nil
	}
	return t
}

// MarshalJSON writes the quantities as the text they print, and leaves out what
// is not there.
func (f Finding) MarshalJSON() ([]byte, error) {
	return json.Marshal(f.record())
}

func (f *Finding) record() findingRecord {
	return findingRecord{f.ID(), f.Rule, f.Place, f.Side, f.Verdict, f.SettledBy, f.IfConfirmed,
		textOf(f.Value), textOf(f.Limit), textOf(f.Margin), f.Reason, f.Fix, f.Citation}
}

// UnmarshalJSON reads what MarshalJSON wrote. Quantities come back as the text they
// printed, the citation as one that says what the first one said.
func (f *Finding) UnmarshalJSON(data []byte) error {
	var r findingRecord
	if err := json.Unmarshal(data, &r); err != nil {
		return err
	}
	*f = Finding{Rule: r.Rule, Place: r.Place, Side: r.Side, Verdict: r.Verdict, SettledBy: r.SettledBy,
		IfConfirmed: r.IfConfirmed,
		Value:       r.Value.stringer(), Limit: r.Limit.stringer(), Margin: r.Margin.stringer(),
		Reason: r.Reason, Fix: r.Fix, Citation: r.Citation}
	return nil
}
