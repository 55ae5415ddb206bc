// Package proof keeps account of how closely the library reproduces what others
// printed.
//
// The tests of each package work out the published values in its testdata and enter
// every one, ours beside theirs, in a [Ledger]. At the end [Ledger.Keep] holds the
// account to testdata/proof.csv of that package. The test of this package puts those
// accounts together in PROOF.md, so neither the accounts nor the document can fall
// behind the code.
//
// A value agrees by rounding where it lies within half of the last digit the source
// prints. Trailing zeros that a data file does not keep make this allowance wider
// than the print, never narrower. Everything farther off must name its [Class] and
// say why; a deviation that nobody has explained fails the test.
package proof
