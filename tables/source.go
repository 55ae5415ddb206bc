package tables

import (
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"
)

// Source is a document that tables cite. The zero Source is no document.
type Source struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	Publisher string `json:"publisher,omitzero"`
	Edition   string `json:"edition,omitzero"`
	Year      string `json:"year,omitzero"`
	URL       string `json:"url,omitzero"`
	Note      string `json:"note,omitzero"`
}

// String returns the title with the edition, or the year where there is none.
func (s Source) String() string {
	switch {
	case s.Edition != "":
		return s.Title + " " + s.Edition
	case s.Year != "":
		return s.Title + " (" + s.Year + ")"
	}
	return s.Title
}

var sourceColumns = []string{"id", "title", "publisher", "edition", "year", "url", "note"}

const sourcesFile = "sources.csv"

// parseSources reads a sources.csv into known, where no id may stand already.
func parseSources(name string, data []byte, known map[string]*Source) error {
	f := newFile(name, data)
	line, _, ok := f.next()
	for ok && line[0] == '#' {
		line, _, ok = f.next()
	}
	if f.faults.Len() > 0 {
		return f.faults.Err()
	}
	head, _ := f.split(nil, line)
	if !slices.Equal(head, sourceColumns) {
		f.faults.report(f.line, 1, "", ErrHeader, "the columns must be %s", strings.Join(sourceColumns, ","))
		return f.faults.Err()
	}
	for n := 0; ; n++ {
		line, _, ok := f.next()
		if !ok {
			break
		}
		if n == maxRows {
			f.faults.report(f.line, 0, "", ErrTooLarge, "more than %d rows", maxRows)
			break
		}
		cells, ok := f.split(make([]string, 0, len(head)), line)
		if !ok {
			continue
		}
		if len(cells) != len(head) {
			f.faults.report(f.line, 0, "", ErrSyntax, "%d cells under %d columns", len(cells), len(head))
			continue
		}
		s := &Source{cells[0], cells[1], cells[2], cells[3], cells[4], cells[5], cells[6]}
		switch {
		case !validName(s.ID):
			f.faults.report(f.line, 1, "id", ErrSource, "%q is not an id: lower-case letters, digits and hyphens", s.ID)
		case s.Title == "":
			f.faults.report(f.line, cellColumn(line, 1), "title", ErrSource, "%q has no title", s.ID)
		case known[s.ID] != nil:
			f.faults.report(f.line, 1, "id", ErrSource, "%q is listed already", s.ID)
		default:
			known[s.ID] = s
		}
	}
	return f.faults.Err()
}

// validName reports whether s may be an id, a set or a table name.
func validName(s string) bool {
	if s == "" || len(s) > 64 || s[0] == '-' {
		return false
	}
	for i := 0; i < len(s); i++ {
		if c := s[i]; !isDigit(c) && (c < 'a' || c > 'z') && c != '-' {
			return false
		}
	}
	return true
}

// Source returns the document of an id.
func (s *Shelf) Source(id string) (Source, error) {
	known, err := s.sources()
	if err != nil {
		return Source{}, err
	}
	if d := known[id]; d != nil {
		return *d, nil
	}
	return Source{}, notFound("source", id)
}

// Sources returns every document of the shelf, by id.
func (s *Shelf) Sources() ([]Source, error) {
	known, err := s.sources()
	if err != nil {
		return nil, err
	}
	list := make([]Source, 0, len(known))
	for _, d := range known {
		list = append(list, *d)
	}
	slices.SortFunc(list, func(a, b Source) int { return strings.Compare(a.ID, b.ID) })
	return list, nil
}

// sources reads every sources.csv of the shelf, once. They are few and short, and
// an id is unique over all of them.
func (s *Shelf) sources() (map[string]*Source, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	return s.documents()
}

func (s *Shelf) readSources() (map[string]*Source, error) {
	known := make(map[string]*Source)
	if s.parent != nil {
		below, err := s.parent.sources()
		if err != nil {
			return nil, err
		}
		known = maps.Clone(below)
	}
	names, err := s.sourceFiles()
	if err != nil {
		return nil, err
	}
	var errs []error
	for _, name := range names {
		data, err := s.read(name)
		if err == nil {
			err = parseSources(s.label(name), data, known)
		}
		errs = append(errs, err)
	}
	return known, errors.Join(errs...)
}

// sourceFiles lists the shelf's own lists of documents.
func (s *Shelf) sourceFiles() ([]string, error) {
	sets, err := s.sets()
	if err != nil {
		return nil, err
	}
	names := []string{sourcesFile}
	for _, set := range sets {
		names = append(names, set+"/"+sourcesFile)
	}
	return slices.DeleteFunc(names, func(name string) bool {
		_, err := fs.Stat(s.fsys, name)
		return errors.Is(err, fs.ErrNotExist)
	}), nil
}
