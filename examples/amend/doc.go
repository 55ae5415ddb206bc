// Amend shows a local amendment at work: what it changes, row by row, and how the
// answers move.
//
//	go run ./examples/amend
//	go run ./examples/amend -code ipc-2021 -dir path/to/amendment
//
// Without -dir it lays the ordinance of an invented town over the International
// Plumbing Code 2021: nothing smaller than 2 in below ground, an emergency floor
// drain unvented within 20 ft of a vented line, and no grade that counts as another.
// The ordinance is three files under ordinance/, and that is all an amendment is.
//
// With -dir it lays a directory of yours in the same form and lists the rows that
// change. Faults of its files come out with file, line and column.
//
// What a town really asks for is in its ordinance and with its inspector.
package main
