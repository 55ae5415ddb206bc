// Package drains works out layouts of drains and vents: what it sizes, where each pipe
// lies, what a code says of it, and what to order.
//
//	code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
//	layout, err := drains.Parse("job.json", data, code)
//	sizing, err := layout.Size(code, drains.SizeOptions{})
//	findings, err := layout.Check(code, drains.CheckOptions{Sizing: sizing})
//
// [Parse] reads a layout: systems, each a tree of points with one outlet, and vents as
// a graph of their own. [Layout.Size] fills in what is not drawn, [Layout.Check] judges
// what is and returns findings (pass, fail or ask), [Layout.Levels] gives inverts,
// cover and trench bottoms, [Layout.TakeOff] the material and [Layout.TestPlans] the
// water test. [Layout.SizeEuropean] sizes the same layout by EN 12056-2.
//
// What a job asks beyond its code (cover, clear distance where pipes cross, height of
// stubs, reach of a cable) stands in fields of [Layout]. What needs more than was
// drawn is not judged: crossings without plan coordinates, turns without bearings.
// Pipes are taken as straight from point to point; one that is not makes its
// crossings questions. Water lines are no part of a drainage layout: set both against
// each other with slope.Conflicts.
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
