// Package drains works out layouts of drains and vents: what it sizes, where each pipe
// lies, what a code says of it, and what to order.
//
//	layout, err := drains.New(drains.Data{
//		FinishedFloor: 100 * units.Foot,
//		Systems: []drains.System{{
//			ID: "soil", Kind: drains.Soil,
//			Outlet: drains.Outlet{ID: "street", Kind: drains.ToSewer, Invert: 97 * units.Foot},
//			Points: []drains.Point{
//				{ID: "sink", To: "street", Run: drains.Run{Length: 10 * units.Foot, Grade: slope.PerFoot(units.Inch / 4)},
//					Fixture: &tables.Fixture{Kind: "kitchen-sink", Count: 1, Use: tables.Private}},
//			},
//		}},
//	})
//	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
//	sizing, err := layout.Size(code, drains.Options{})
//	findings, err := sizing.Check(drains.CheckOptions{ProblemsOnly: true})
//	for _, f := range findings {
//		fmt.Println(f)
//	}
//
// A layout is systems, each a tree of points with one outlet, and vents as a graph of
// their own. [New] checks what is put together in Go, [Parse] reads a file. It never
// changes: to edit one, take its [Layout.Data] and make another. [Layout.Size] fills in
// what is not drawn; of the [Sizing] follow the rest: [Sizing.Check] judges and returns
// findings (pass, fail or ask), [Sizing.Levels] gives inverts, cover and trench bottoms,
// [Sizing.TakeOff] the material, [Sizing.TestPlans] the water test and [Sizing.Draw] the
// drawings. [Sizing.Limit] says how far an outlet, a grade or a run can go, [Sizing.Fixes]
// what puts a fail right. [Layout.SizeEuropean] sizes the same layout by EN 12056-2. Layouts, sizings
// and levels may be shared between goroutines.
//
// What a job asks beyond its code (cover, clear distance where pipes cross, height of
// stubs, reach of a cable) stands in fields of [Data]. What needs more than was
// drawn is not judged: crossings without plan coordinates, turns without bearings.
// Pipes are taken as straight from point to point; one that is not makes its
// crossings questions. Water lines are no part of a drainage layout: set both against
// each other with slope.Conflicts.
//
// Lists to choose from, for a form, are [Choices] of each type of words, [Fittings] and
// [Rules]; fixtures, materials and sizes are lists of the code.
//
// # Limits
//
// A check that rests on a row nobody saw in print comes out as ask. What the codes
// leave to judgement (equivalent materials, engineered systems, special waste) is left
// to it here too.
//
// # Cautions
//
// Results are calculations, not approvals: have them checked by a licensed plumber
// or engineer against the code in force and the rulings of its authority. Sewer gas
// poisons and burns; a trap that loses its seal, or a vent that is too small, lets
// it in. Trenches cave in, and solvent cement gives off harmful fumes: their safety
// is not decided here.
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
