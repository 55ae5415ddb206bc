package tables

import "fmt"

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
