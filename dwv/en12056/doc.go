// Package en12056 sizes drainage by the European standard EN 12056-2, which counts
// litres a second and knows four systems.
//
//	standard, err := en12056.LoadStandard(tables.Embedded())
//	load, err := standard.Load("I", []en12056.Appliance{{Fixture: tables.Fixture{Kind: "lavatory", Count: 4}}})
//	flow, err := standard.DesignFlow(load, "intermittent", 0, 0)
//	pipe, err := standard.Branch("I", true, flow.Total, 0)
//
// A fixture that the standard lists in variants, or by its flush or trap, is an
// [Appliance] that says which. What is left open is refused with the choices
// (tables.ErrNotStated), a flow that no row carries with the range
// (tables.ErrOutsideTable); nothing is read between the rows.
//
// Results are calculations, not approvals: have them checked by a licensed plumber or
// engineer against the regulations in force, which amend the standard by country.
package en12056
