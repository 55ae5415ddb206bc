package tables

import "github.com/trapweir/trapweir/internal/enum"

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

var statuses = enum.Words[Status]{What: "status", Err: ErrStatus,
	Words: []string{"", "memory", "practice", "disputed", "computed", "read", "read2"}}

// String returns the word used in the status column of a table.
func (s Status) String() string { return statuses.String(s) }

// Firm reports whether a pass or a fail may rest on the value. A check that
// rests on anything else comes out as [Ask].
func (s Status) Firm() bool { return s >= Computed }

// MarshalText writes the status as String does.
func (s Status) MarshalText() ([]byte, error) { return statuses.Marshal(s) }

// UnmarshalText reads a word of the status column.
func (s *Status) UnmarshalText(text []byte) error { return statuses.Unmarshal(text, s) }
