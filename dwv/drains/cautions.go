package drains

import "slices"

var cautions = []string{
	"These are calculations, to be checked by a licensed plumber or engineer against the code in force and the " +
		"rulings of its authority. Nothing here is an approval.",
	"A trench can close on whoever is in it: slope, shore or shield it, keep spoil and machines back from the edge.",
	"Primer and cement give off fumes that burn and stun: ventilate the work, keep flames away, and let joints cure " +
		"before the test.",
	"Test with water, never with compressed air or gas in plastic pipe unless its maker and the code allow it. Nobody " +
		"stands before a plug under test.",
	"Sewer gas poisons and explodes: keep stubs capped until traps hold water, and traps filled after that.",
}

// Cautions returns what whoever shows results of this package shows with them.
func Cautions() []string { return slices.Clone(cautions) }
