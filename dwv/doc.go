// Package dwv says what drainage codes say of drainage, waste and vent piping. Layouts
// are worked out by package drains, the flow in a pipe by package gravity.
//
// Every answer comes with the row that decided, as a tables.Citation.
//
// # What a code says
//
// [LoadCode] binds the tables of a plumbing code to lookups:
//
//		code, err := dwv.LoadCode(tables.Embedded(), "ipc-2021")
//
//	  - Loads: [Code.FixtureLoad], [Code.Loads], [Code.ContinuousLoad],
//	    [Code.IntermittentLoad]. Fixture units are whole thousandths, so ten times 0.7
//	    is 7 and fits a limit of 7.
//	  - Sizes: [Code.DrainSize] for branches, stacks, building drains and sewers, with
//	    what decided and what the next size or grade would carry; [Code.Capacity],
//	    [Code.ClosetLimit], [Code.MinSizeBelowGround] and [Code.StackLength] to judge a size that is drawn;
//	    [Code.MinGrade] and [Code.GradeReaches].
//	  - Traps and vents: [Code.TrapArm], [Code.ClosetArm], [Code.VentSize],
//	    [Code.WetVentSize] and the limits of common, waste-stack and combination vents.
//	  - Cleanouts, fittings, pipe: [Code.CleanoutSize], [Code.CleanoutClearance],
//	    [Code.FittingTurn], [Code.PipeStandard].
//	  - Everything that is one figure: [Code.Rule], [Code.RuleLength],
//	    [Code.RuleNumber], [Code.RuleGrade].
//	  - Lists to choose from, with labels: [Codes], [Code.Fixtures] and of each kind
//	    [Code.FixturesOf], [Code.Materials] and of each [Code.Sizes], [Code.Fittings].
//
// A code is a directory of tables; another edition, or one's own, is another
// directory in the same form and no Go. A local amendment is laid over the shelf
// before the code is loaded, and an answer that an amended row decided says so.
// Lookups that succeed allocate nothing.
//
// Package en12056 is the European standard, which counts litres a second and knows
// four systems; package drains works out layouts. [DwellingFlow] is a table of flows by the number of dwellings.
//
// # Limits
//
// Nothing is read between the rows of a table, nothing is clamped, and nothing that
// a code tells apart is assumed: a query that leaves it open is refused with the
// choices ([tables.ErrNotStated]), one that no row fits with the range ([tables.ErrOutsideTable]).
//
// Many rows were taken from copies, and some from memory: the status of a citation
// says which, and a check that rests on a row nobody saw comes out as ask. The
// tables of one edition are not those of another, and localities amend them. What
// the codes leave to judgement (equivalent materials, engineered systems, special
// waste) is left to it here too.
//
// # Cautions
//
// Results are calculations, not approvals: have them checked by a licensed plumber
// or engineer against the code in force and the rulings of its authority. Sewer gas
// poisons and burns; a trap that loses its seal, or a vent that is too small, lets
// it in. Trenches cave in, and solvent cement gives off harmful fumes: their safety
// is not decided here.
package dwv
