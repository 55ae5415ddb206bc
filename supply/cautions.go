package supply

import "slices"

var cautions = []string{
	"These are calculations, to be checked by a licensed plumber or engineer against the code in force and the " +
		"rulings of its authority. Nothing here is an approval.",
	"Hot water scalds within seconds at the temperatures that keep a tank safe: limit it at the outlets with devices " +
		"made for it.",
	"A cross-connection can poison a whole street: backflow protection is for the designer and the water purveyor to " +
		"decide.",
	"Test with water, never with compressed air or gas in plastic pipe unless its maker and the code allow it.",
}

// Cautions returns what whoever shows results of this package shows with them.
func Cautions() []string { return slices.Clone(cautions) }
