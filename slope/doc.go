// Package slope lays pipe to grade: falls, inverts, offsets, laser planes and
// rod readings, as-built checks, trench depths.
package slope
