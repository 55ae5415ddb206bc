package tables

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/faults"
)

//go:embed all:data
var embedded embed.FS

var embeddedShelf struct {
	once  sync.Once
	shelf *Shelf
}

// Embedded returns the shelf that comes with the module. Tables are read when they
// are first asked for, and kept.
func Embedded() *Shelf {
	embeddedShelf.once.Do(func() {
		sub, err := fs.Sub(embedded, "data")
		if err != nil {
			panic(err) // "data" is a valid path
		}
		embeddedShelf.shelf = Open(sub)
	})
	return embeddedShelf.shelf
}

// Shelf is a collection of tables, with the amendments laid over it. It does not
// change and may be used by many at once.
type Shelf struct {
	fsys   fs.FS
	name   string // of an amendment, in front of its files' names
	parent *Shelf // what an amendment is laid over
	batch  *int   // same for amendments laid at once, which must not meet in a row

	mu     sync.Mutex
	tables map[string]func() (*Table, error) // each reads a table when it is first called

	documents func() (map[string]*Source, error) // the same of every sources.csv
}

// Open returns a shelf of the tables in fsys: files set/table.csv, and sources.csv
// at the root or in a set. Nothing is read yet.
//
// # The file form
//
// A table is one CSV file, set/table.csv, in UTF-8. Lines "# key: value" come
// first, then one line of column names with their unit in brackets, then the
// rows, one fact each:
//
//	# id: ipc-2021/building-drain
//	# title: Building drains and sewers
//	# source: ipc-2021
//	# section: Table 710.1(1)
//	# key: size, grade
//	# boundary: at most
//	# interpolation: none
//	# monotone: max_load up with size; max_load up with grade
//	# column max_load: greatest load
//	size[in],grade[in/ft],max_load[dfu],note,src,status
//	2,0.25,21,,,read2
//
// The keys of the header are:
//
//   - id, title, source (an id of sources.csv) and key (the columns that name a
//     row) are required; section says where in the source the table stands.
//   - boundary: "at most" (the default: a load equal to the limit still fits) or
//     "below" (it does not).
//   - interpolation: "none" (the default), "linear" or "next size".
//   - monotone: "column up with key" or "column down with key", several parted by
//     semicolons: the column never falls, or never rises, while that key grows
//     and the other keys stay.
//   - rows: how many rows follow; a file that holds another number, such as one cut
//     short, is refused.
//   - except: "column at key cell, key cell: reason", one a line, where a source
//     itself breaks a monotone rule. The reason must end in the id of a source in
//     parentheses. An exception that excuses nothing is a fault.
//   - column NAME: what the column means; verified: how the figures were checked;
//     note: anything else.
//
// Any other key is a fault. A column with a unit holds numbers as the source
// printed them (0.70 stays 0.70; 1-1/4 is a number too), "-" where the source
// does not permit the case, "unlimited" where it sets no limit, or nothing where
// it gives no value. The unit "1:n" writes grades as one in n; the unit "1" is a
// plain number. A column without a unit holds words. Rows are unique and ascend by
// their keys: blanks first, then numbers by size, then words by their bytes. What
// a source does not tabulate has no row.
//
// The last two columns are always src (blank: the source of the table; else ids
// of sources.csv, parted by semicolons, the document that the figure belongs to
// first and those that witness it after) and status, one of read2, read, computed,
// disputed, practice, memory. A row stands as its weakest cell. A column named note
// may stand before them. A column named section says where a single row stands; see
// [Citation.Section].
//
// Documents are listed in sources.csv at the root and in any set, with columns
// id,title,publisher,edition,year,url,note. An id is unique over the shelf.
func Open(fsys fs.FS) *Shelf {
	s := &Shelf{fsys: fsys, tables: make(map[string]func() (*Table, error))}
	s.documents = sync.OnceValues(s.readSources)
	return s
}

// With lays amendments over s and returns the shelf that results; s is unchanged.
// Amendments of one call must not touch the same row; to lay a town's over a
// state's, call With twice. Every amended table is read, and all faults of all
// files come back in one error.
//
// # Amendments
//
// An amendment is a directory in the same form. Its tables have one more column,
// op, in front: set (a row that exists), add (one that does not) or drop. It may
// leave out columns: a set row then keeps the cells it does not name, but never the
// section, note and source of what it replaces. The header needs no more than id and
// source; section, note, verified and except may be there. A key set twice, a set or
// drop of a row that is not there, an add of one that is, a monotone rule broken
// without an exception and a file whose name would be passed over are faults. A
// table that the shelf does not have, without op, is added whole.
func (s *Shelf) With(amendments ...fs.FS) (*Shelf, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	batch := new(int)
	first := s.depth()
	for i, fsys := range amendments {
		next := Open(fsys)
		next.parent, next.batch = s, batch
		next.name = fmt.Sprintf("amendment %d: ", first+i+1)
		s = next
	}
	var errs []error
	for shelf := s; shelf.batch == batch; shelf = shelf.parent {
		ids, err := shelf.ownIDs()
		if err == nil && len(ids) == 0 {
			err = fmt.Errorf("%sno tables: %w", shelf.name, ErrAmendment)
		}
		errs = append(errs, err)
		if _, err := shelf.sources(); err != nil {
			errs = append(errs, err)
			continue
		}
		for _, id := range ids {
			_, err := shelf.Table(id)
			errs = append(errs, err)
		}
	}
	return faults.Result(s, errors.Join(errs...))
}

// depth counts the amendments.
func (s *Shelf) depth() int {
	n := 0
	for ; s.parent != nil; s = s.parent {
		n++
	}
	return n
}

// IDs returns the id of every table, sorted.
func (s *Shelf) IDs() ([]string, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	ids, err := s.ownIDs()
	if err == nil && s.parent != nil {
		var more []string
		more, err = s.parent.IDs()
		ids = append(ids, more...)
	}
	slices.Sort(ids)
	return slices.Compact(ids), err
}

// All walks every table in the order of their ids. A table that cannot be read
// comes as an error.
func (s *Shelf) All() iter.Seq2[*Table, error] {
	return func(yield func(*Table, error) bool) {
		ids, err := s.IDs()
		if err != nil && !yield(nil, err) {
			return
		}
		for _, id := range ids {
			if !yield(s.Table(id)) {
				return
			}
		}
	}
}

// maxFiles bounds the files of a shelf.
const maxFiles = 10_000

// ownIDs lists the tables of the shelf's own files, without what it lies over. A
// table whose name could not be asked for would be passed over in silence, so it is
// a fault.
func (s *Shelf) ownIDs() ([]string, error) {
	sets, err := s.sets()
	if err != nil {
		return nil, err
	}
	var ids []string
	var l faultList
	for _, set := range sets {
		entries, err := fs.ReadDir(s.fsys, set)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			name, ok := cutCSV(e)
			switch {
			case !ok || e.Name() == sourcesFile:
			case !validName(set) || !validName(name) || !strings.HasSuffix(e.Name(), ".csv"):
				l.file = s.label(set + "/" + e.Name())
				l.report(0, 0, "", ErrName, "a table is set/name.csv, in lower-case letters, digits and hyphens")
			default:
				ids = append(ids, set+"/"+name)
			}
		}
		if len(ids) > maxFiles {
			return nil, fmt.Errorf("%w: more than %d tables", ErrTooLarge, maxFiles)
		}
	}
	return ids, l.Err()
}

// cutCSV returns the name of a CSV file without its suffix, however that is written.
func cutCSV(e fs.DirEntry) (name string, ok bool) {
	n := len(e.Name()) - len(".csv")
	if e.IsDir() || n < 0 || !strings.EqualFold(e.Name()[n:], ".csv") {
		return "", false
	}
	return e.Name()[:n], true
}

// sets lists the directories of the shelf's own files, hidden ones aside.
func (s *Shelf) sets() ([]string, error) {
	entries, err := fs.ReadDir(s.fsys, ".")
	if err != nil {
		return nil, err
	}
	if len(entries) > maxFiles {
		return nil, fmt.Errorf("%w: more than %d sets", ErrTooLarge, maxFiles)
	}
	var sets []string
	var l faultList
	for _, e := range entries {
		if _, ok := cutCSV(e); ok && e.Name() != sourcesFile {
			l.file = s.label(e.Name())
			l.report(0, 0, "", ErrName, "a table stands in the directory of its set")
		}
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			sets = append(sets, e.Name())
		}
	}
	return sets, l.Err()
}

// read returns the bytes of one of the shelf's own files.
func (s *Shelf) read(name string) ([]byte, error) {
	f, err := s.fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, &fs.PathError{Op: "read", Path: name, Err: errors.New("is a directory")}
	}
	// One byte past the limit tells that a file is too large, whatever it says of its size.
	size := min(max(info.Size(), 0), maxFileSize) + 1
	data := bytes.NewBuffer(make([]byte, 0, size+bytes.MinRead))
	_, err = data.ReadFrom(io.LimitReader(f, maxFileSize+1))
	return data.Bytes(), err
}

// label returns the name of a file as faults give it.
func (s *Shelf) label(name string) string { return s.name + name }

// made tells whether there is a shelf at all.
func (s *Shelf) made() error {
	if s == nil || s.tables == nil {
		return fmt.Errorf("no shelf: %w: Embedded or Open makes one", ErrNotFound)
	}
	return nil
}

func notFound(kind, id string) error { return fmt.Errorf("%s %q: %w", kind, id, ErrNotFound) }

// Table returns a table by its id, set/table. An unknown id is [ErrNotFound].
func (s *Shelf) Table(id string) (*Table, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	set, name, ok := strings.Cut(id, "/")
	if !ok || !validName(set) || !validName(name) {
		return nil, notFound("table", id)
	}
	s.mu.Lock()
	read := s.tables[id]
	if read == nil {
		read = sync.OnceValues(func() (*Table, error) { return s.load(id) })
		s.tables[id] = read
	}
	s.mu.Unlock()
	t, err := read()
	if errors.Is(err, ErrNotFound) {
		// Whoever asks for made-up names must not fill the map.
		s.mu.Lock()
		delete(s.tables, id)
		s.mu.Unlock()
	}
	return t, err
}

func (s *Shelf) load(id string) (*Table, error) {
	data, err := s.read(id + ".csv")
	if errors.Is(err, fs.ErrNotExist) {
		if s.parent != nil {
			return s.parent.Table(id)
		}
		return nil, notFound("table", id)
	}
	if err != nil {
		return nil, err
	}
	documents, err := s.sources()
	if err != nil {
		return nil, err
	}
	t, err := parseTable(id, s.label(id+".csv"), data, documents)
	if err != nil {
		return nil, err
	}
	if s.parent == nil {
		if t.op >= 0 {
			return nil, amendmentFault(t, "amends a table that is not there: lay it over a shelf with With")
		}
		return t, nil
	}
	base, err := s.parent.Table(id)
	switch {
	case errors.Is(err, ErrNotFound) && t.op >= 0:
		return nil, amendmentFault(t, "amends a table that is not on the shelf")
	case errors.Is(err, ErrNotFound):
		return t, nil
	case err != nil:
		return nil, err
	case t.op < 0:
		return nil, amendmentFault(t, "the shelf has this table already: an amendment needs the column op")
	}
	return amend(base, t, s.batch)
}
