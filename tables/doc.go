// Package tables is a shelf of reference tables for plumbing drainage and water
// supply. Every row names the document it comes from and how far it may be
// trusted, and a local amendment is a file laid over the shelf.
//
// # Which function for which need
//
//   - [Embedded] is the shelf that comes with the module; [Open] makes one from
//     anyone's own directory in the same form, which it tells.
//   - [Shelf.With] lays amendments over a shelf: rows set, added or dropped by key;
//     it tells their form.
//   - [Shelf.IDs] and [Shelf.All] walk every table; [Shelf.Table] returns one as
//     printed text, cell by cell.
//   - [Load] reads a table into Go structs by field tags.
//   - [Shelf.Rules] returns the single figures of a set (one number a rule).
//   - [Citation] says which row decided an answer; [Finding] is the outcome of a
//     check together with that row.
//   - [Shelf.Audit] counts rows by set and status; [Shelf.Sum] tells whether two
//     shelves hold the same bytes.
//
// # Limits
//
// The figures are only as good as their status; [Status.Firm] tells which a pass
// or a fail may rest on. Editions differ and localities amend: the code in force
// where the work is done decides, with the ruling of its authority. The package
// runs nothing when imported and reads a file when it is first asked for. Shelves, tables,
// rows, rules and citations never change and may be used by many goroutines at once.
//
// # Cautions
//
// A row is a figure and no approval: a licensed plumber or engineer checks what is built by it
// against the code in force. Many rows are from memory, a mistaken one can scald, flood or let
// sewer gas in, and what a code says beside its tables is not here.
package tables
