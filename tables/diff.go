package tables

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
)

// Diff is in what two results differ, such as those of two revisions of a layout, or of
// one layout under two codes. It is plain data, and reads back from its JSON.
type Diff struct {
	Items    []ItemChange    `json:"items"`    // runs, vents and the like: as the later result lists them, then those gone
	Findings []FindingChange `json:"findings"` // in the same order
}

// String writes a line for each change; "no change" if the results are alike.
func (d Diff) String() string {
	if d.IsZero() {
		return "no change"
	}
	lines := make([]string, 0, len(d.Items)+len(d.Findings))
	for _, c := range d.Items {
		lines = append(lines, c.String())
	}
	for _, c := range d.Findings {
		lines = append(lines, c.String())
	}
	return strings.Join(lines, "\n")
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

// String writes the change in words: "run W1 altered: size 3 in, was 2 in".
func (c ItemChange) String() string {
	text := fmt.Sprintf("%s %s %v", c.Kind, c.ID, c.Change)
	fields := make([]string, len(c.Fields))
	for i, f := range c.Fields {
		fields[i] = f.String()
	}
	if len(fields) > 0 {
		text += ": " + strings.Join(fields, "; ")
	}
	return text
}

// FieldChange is one quantity of an item. Was and Is print themselves; nil: there is none.
// What prints alike is alike.
type FieldChange struct {
	Field   string // such as "size", "length", "material", "invert"
	Was, Is fmt.Stringer
}

// String writes "size 3 in, was 2 in", or "size 3 in" or "no size, was 2 in" where there is one alone.
func (f FieldChange) String() string {
	switch {
	case f.Was == nil && f.Is == nil:
		return "no " + f.Field
	case f.Was == nil:
		return fmt.Sprintf("%s %v", f.Field, f.Is)
	case f.Is == nil:
		return fmt.Sprintf("no %s, was %v", f.Field, f.Was)
	}
	return fmt.Sprintf("%s %v, was %v", f.Field, f.Is, f.Was)
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

// String writes the change in words: "came: fail trap-arm-length at T1: 6 ft, limit 5 ft",
// and of one that is altered what it was as well.
func (c FindingChange) String() string {
	switch {
	case c.Was != nil && c.Is != nil:
		return fmt.Sprintf("%v: %s, was %s", c.Change, c.Is.headline(), c.Was.headline())
	case c.Is != nil:
		return fmt.Sprintf("%v: %s", c.Change, c.Is.headline())
	case c.Was != nil:
		return fmt.Sprintf("%v: %s", c.Change, c.Was.headline())
	}
	return fmt.Sprintf("%v: %s", c.Change, c.ID)
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
