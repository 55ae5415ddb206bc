// Package figures holds tests and no code. They make sure that the numbers of codes
// and handbooks stand in tables/data and nowhere in Go: without its rows in a file, an
// answer is gone.
package figures
