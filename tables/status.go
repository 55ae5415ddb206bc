package tables

import "fmt"

// Status says how far a value may be trusted. A greater status is better.
type Status uint8

// The standings of a row. Only Computed, Read and Read2 are [Status.Firm].
const (
	Memory   Status = iota + 1 // recalled, not seen in a source
	Practice                   // common practice of the trade, no source
	Disputed                   // sources disagree; the safer figure stands, the note has the other
	Computed                   // calculated from other rows or a formula
	Read                       // seen in one source
	Read2                      // seen in two independent sources
)

var statusNames = [...]string{Memory: "memory", Practice: "practice", Disputed: "disputed", Computed: "computed",
	Read: "read", Read2: "read2"}

// String returns the word used in the status column of a table.
func (s Status) String() string {
	if s >= Memory && s <= Read2 {
		return statusNames[s]
	}
	return fmt.Sprintf("status(%d)", uint8(s))
}

// Firm reports whether a pass or a fail may rest on the value. A check that
// rests on anything else comes out as [Ask].
func (s Status) Firm() bool { return s >= Computed }

// MarshalText writes the status as String does.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a word of the status column.
func (s *Status) UnmarshalText(text []byte) error {
	v, ok := parseStatus(string(text))
	if !ok {
		return fmt.Errorf("%w %q", ErrStatus, text)
	}
	*s = v
	return nil
}

func parseStatus(word string) (Status, bool) {
	switch word {
	case "memory":
		return Memory, true
	case "practice":
		return Practice, true
	case "disputed":
		return Disputed, true
	case "computed":
		return Computed, true
	case "read":
		return Read, true
	case "read2":
		return Read2, true
	}
	return 0, false
}
