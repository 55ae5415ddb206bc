// Package tables is a shelf of reference tables for plumbing drainage and water
// supply. Every row names the document it comes from and how far it may be
// trusted, and a local amendment is a file laid over the shelf.
//
// # Which function for which need
//
//   - [Embedded] is the shelf that comes with the module; [Open] makes one from
//     anyone's own directory in the same form.
//   - [Shelf.With] lays amendments over a shelf: rows set, added or dropped by key.
//   - [Shelf.IDs] and [Shelf.All] walk every table; [Shelf.Table] returns one as
//     printed text, cell by cell.
//   - [Load] reads a table into Go structs by field tags.
//   - [Shelf.Rules] returns the single figures of a set (one number a rule).
//   - [Citation] says which row decided an answer; [Finding] is the outcome of a
//     check together with that row.
//   - [Shelf.Audit] counts rows by set and status; [Shelf.Sum] tells whether two
//     shelves hold the same bytes.
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
//
// # Limits
//
// The figures are only as good as their status; [Status.Firm] tells which a pass
// or a fail may rest on. Editions differ and localities amend: the code in force
// where the work is done decides, with the ruling of its authority. The package
// runs nothing when imported and reads a file when it is first asked for.
package tables
