package tables

import (
	"encoding/json"
	"fmt"

	"github.com/trapweir/trapweir/internal/enum"
)

// Diff is in what two results differ, such as those of two revisions of a layout, or of
// one layout under two codes. It is plain data, and reads back from its JSON.
type Diff struct {
	Items    []ItemChange    `json:"items"`    // runs, vents and the like: as the later result lists them, then those gone
	Findings []FindingChange `json:"findings"` // in the same order
}

// IsZero tells whether the results are alike.
func (d Diff) IsZero() bool { return len(d.Items) == 0 && len(d.Findings) == 0 }

// Difference says how something in two results differs.
type Difference uint8

// The differences.
const (
	Altered Difference = iota + 1 // in both, and not alike
	Came                          // in the later alone
	Went                          // in the earlier alone
)

var differences = enum.Words[Difference]{What: "difference", Words: []string{"", "altered", "came", "went"}}

// String returns the word that JSON has: altered, came, went.
func (d Difference) String() string { return differences.String(d) }

// MarshalText writes the word; what is no difference is an error.
func (d Difference) MarshalText() ([]byte, error) { return differences.Marshal(d) }

// UnmarshalText reads the word.
func (d *Difference) UnmarshalText(text []byte) error { return differences.Unmarshal(text, d) }

// ItemChange is something of a layout, told by kind and id, that two results have not alike.
type ItemChange struct {
	Kind   string        `json:"kind"` // such as "run" (told by the point at its upper end), "vent" or "fixture"
	ID     string        `json:"id"`
	Change Difference    `json:"change"`
	Fields []FieldChange `json:"fields,omitempty"` // those that differ; of what came or went all it has
}

// FieldChange is one quantity of an item. Was and Is print themselves; nil: there is none.
// What prints alike is alike.
type FieldChange struct {
	Field   string // such as "size", "length", "material", "invert"
	Was, Is fmt.Stringer
}

type fieldRecord struct {
	Field string `json:"field"`
	Was   text   `json:"was,omitzero"`
	Is    text   `json:"is,omitzero"`
}

// MarshalJSON writes the quantities as the text they print.
func (f FieldChange) MarshalJSON() ([]byte, error) {
	return json.Marshal(f.record())
}

func (f *FieldChange) record() fieldRecord { return fieldRecord{f.Field, textOf(f.Was), textOf(f.Is)} }

// UnmarshalJSON reads what MarshalJSON wrote; quantities come back as the text they printed.
func (f *FieldChange) UnmarshalJSON(data []byte) error {
	var r fieldRecord
	if err := json.Unmarshal(data, &r); err != nil {
		return err
	}
	*f = FieldChange{r.Field, r.Was.stringer(), r.Is.stringer()}
	return nil
}

// FindingChange is a finding that two checks have not alike: another verdict, value or limit.
type FindingChange struct {
	ID     string     `json:"id"` // [Finding.ID]
	Change Difference `json:"change"`
	Was    *Finding   `json:"was,omitempty"` // nil for one that came
	Is     *Finding   `json:"is,omitempty"`  // nil for one that went
}

// DiffFindings returns which findings came, went or are no longer the same, by their
// ids: first those of the later check, in its order, then those that went. Findings that
// differ in their words alone are the same.
func DiffFindings(was, is []Finding) (out []FindingChange) {
	before := make(map[string]*Finding, len(was))
	for i := range was {
		before[was[i].ID()] = &was[i]
	}
	for i := range is {
		f := &is[i]
		id := f.ID()
		old := before[id]
		delete(before, id)
		switch {
		case old == nil:
			out = append(out, FindingChange{ID: id, Change: Came, Is: f})
		case old.Verdict != f.Verdict || textOf(old.Value) != textOf(f.Value) || textOf(old.Limit) != textOf(f.Limit):
			out = append(out, FindingChange{ID: id, Change: Altered, Was: old, Is: f})
		}
	}
	for i := range was {
		if id := was[i].ID(); before[id] == &was[i] {
			out = append(out, FindingChange{ID: id, Change: Went, Was: &was[i]})
		}
	}
	return out
}
