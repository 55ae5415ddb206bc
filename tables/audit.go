package tables

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
)

// DataVersion is the version of the figures that come with the module. It changes
// whenever a figure that can move an answer does; CHANGELOG.md says which.
const DataVersion = "2026.10"

// Audit counts what stands on a shelf.
type Audit struct {
	Sets       []SetAudit       `json:"sets"`       // by id
	Exceptions []DeclaredBreach `json:"exceptions"` // of monotone rules
}

// SetAudit counts the tables and rows of one set.
type SetAudit struct {
	Set      string              `json:"set"`
	Tables   int                 `json:"tables"`
	Rows     int                 `json:"rows"`
	Amended  int                 `json:"amended"`   // rows that amendments set or added
	ByStatus [int(Read2) + 1]int `json:"by_status"` // rows, indexed by [Status]
}

// DeclaredBreach is a row that a table excuses from a monotone rule, since its
// source prints it so.
type DeclaredBreach struct {
	Table  string `json:"table"`
	Column string `json:"column,omitzero"`
	Row    string `json:"row,omitzero"`
	Reason string `json:"reason,omitzero"`
	Source Source `json:"source"`
}

// Audit reads every table and counts. A table that cannot be read is an error.
func (s *Shelf) Audit() (Audit, error) {
	var a Audit
	for t, err := range s.All() {
		if err != nil {
			return Audit{}, err
		}
		n := len(a.Sets)
		if n == 0 || a.Sets[n-1].Set != t.Set() {
			a.Sets = append(a.Sets, SetAudit{Set: t.Set()})
			n++
		}
		set := &a.Sets[n-1]
		set.Tables++
		set.Rows += t.Len()
		for i, st := range t.statuses {
			set.ByStatus[st]++
			if t.Cite(i).Amended() {
				set.Amended++
			}
		}
		for _, e := range t.excepts {
			b := DeclaredBreach{Table: t.id, Column: e.column, Reason: e.reason, Source: *t.documents[e.source]}
			if row, ok := t.Find(e.key...); ok {
				b.Row = t.key(row)
			}
			a.Exceptions = append(a.Exceptions, b)
		}
	}
	return a, nil
}

// Sum returns the SHA-256 of the shelf's files, names and bytes in the order of
// their names, amendments after what they amend.
func (s *Shelf) Sum() (string, error) {
	if err := s.made(); err != nil {
		return "", err
	}
	h := sha256.New()
	if err := s.hash(h); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func (s *Shelf) hash(w io.Writer) error {
	if s.parent != nil {
		if err := s.parent.hash(w); err != nil {
			return err
		}
	}
	names, err := s.files()
	if err != nil {
		return err
	}
	for _, name := range names {
		data, err := s.read(name)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%s %d\n", name, len(data))
		w.Write(data)
	}
	return nil
}

// files lists the shelf's own files, sorted.
func (s *Shelf) files() ([]string, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	ids, err := s.ownIDs()
	if err != nil {
		return nil, err
	}
	var names []string
	for _, id := range ids {
		names = append(names, id+".csv")
	}
	sources, err := s.sourceFiles()
	if err != nil {
		return nil, err
	}
	names = append(names, sources...)
	slices.Sort(names)
	return names, nil
}
