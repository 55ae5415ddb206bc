// Package supply computes water supply piping: the demand of fixtures, the loss
// of pressure on the way to them, sizes, hot water and surge.
//
// # Formulas
//
// Friction, losses, networks, water and surge are package hydraulics; what hot lines
// lose, and waits, mixes and expansion, package heat; how many fixtures run at once,
// package simultaneous, which [Code.CompareDemand] and [Code.CompareHunter] set beside
// a code's table. Here are [BurnTimes], what hot water does to skin, and [Bundle],
// which tells whether lines go through a sleeve.
//
// # Codes
//
// [LoadCode] binds the tables of a plumbing code to lookups, each answer with the
// row that gave it:
//
//   - [Code.FixtureLoad] and [Code.Loads] give fixture units on the cold line, the
//     hot line and a line that feeds both; [Code.Demand] turns a load into flow.
//   - [Code.Outlet], [Code.MinSize], [Code.VelocityLimit], [Code.HotLength] and
//     [Code.Rule] give what the code asks at an outlet, of a supply, of a velocity, of
//     a hot line, and its single figures.
//   - [Code.PipeByLoad] and [Code.PipeForUnits] are the codes' own short ways from a
//     load to a pipe, [Code.PeakFlow] is the formula of a code that adds up the flows of
//     outlets and turns the sum into a peak.
//   - [Code.Pipe] gives the sizes and bores of a family of pipe.
//
// A fixture says no more than it knows: where a code tells apart what a query
// leaves open, the error names the field and the choices. A code that prints a
// chart, or nothing, is answered by a table of another document; [Code.StandIns]
// lists these.
//
// # Layouts
//
// [Parse] reads a water system from JSON: a source, a tree of points, the
// fixtures at its ends, each with a cold and a hot port on its own line, devices,
// sleeves, recirculation, links that close rings. A run carries the total of the
// fixtures it serves with both ports, and not the sum of their two loads. The heater
// is a point of the cold tree and the root of the hot one.
//
//   - [Layout.Size] fills in sizes and [Sizing.Reason] says what set each, [Layout.Cheapest] the cheapest ones for a price
//     list, [Layout.UniformLoss] those of the codes' appendix method.
//   - [Layout.Analyse] works a drawn layout out: load, flow, velocity, loss and
//     pressure at every point; [Analysis.Budget] shows what each component costs, and
//     [Analysis.Working] how a run was worked out.
//   - [Analysis.Check] sets all of it beside the code.
//   - [Analysis.HotWater], [Analysis.HeatLosses] and [Analysis.Circulations] answer
//     for the hot lines, how loops are balanced among them, [Analysis.Ring] for ring mains, [Analysis.Sleeves] and
//     [Analysis.TestPlans] for what is buried, [Analysis.Surges] for valves that shut in an
//     instant, [Analysis.TakeOff] for what to order.
//
// Codes differ in how a load becomes a pipe, and a layout goes the way of its code:
//
//   - most turn fixture units into flow by a table of demand, and velocities and
//     pressures size the pipe;
//   - din1988-300 adds up the flows of the outlets and takes the peak by a formula, for
//     the kind of building that the layout states ([Data]); fixtures that state a
//     usage unit, such as a bathroom, count with the greatest two of it;
//   - en806-3 prints a table of pipes by loading units and no flows: sizes come from it,
//     runs that serve several outlets have no flow ([NotKnown]) and no friction, and
//     Check asks about pressures instead of passing them;
//   - bs6700 prints a chart, which the shelf does not hold, so that its layouts cannot
//     be sized as it stands.
//
// A user who has a curve gives it to a code by an amendment of two small files, a
// table of demand and a row that binds it to the part "demand-tank" (and
// "demand-valve") of the code's supply-tables: the package example DemandCurve does it.
// The layout is then worked out by flows, and Check names the table that stands in.
//
// Findings and workings are put in metric units where the pressure of the source is
// written so (bar, kPa, m of water), and in those of the American trade where it is
// in psi.
//
// Every run is taken at its own demand at once, as is customary; real losses along
// a way are less. A load under the first row of a table of demand goes by the
// flows of the outlets. Many rows of demand were recalled and not seen in print:
// Check asks about each table that gave such rows.
//
// Arguments that a formula cannot take come back as errors that match [units.ErrRange]
// and name each of them; a result that leans on a formula outside the conditions
// it was found in says so in its [hydraulics.Notes]. Nothing is clamped or extrapolated in
// silence.
//
// # Cautions
//
// Results are calculations to be checked by a licensed plumber or engineer
// against the code in force and the rulings of the local authority. Hot water
// scalds, within seconds at 60 degC: the limits at outlets and the mixing valves
// that keep them are not decided here. Neither is protection against backflow at
// cross-connections.
package supply
