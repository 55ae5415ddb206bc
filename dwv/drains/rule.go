package drains

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// rules are the rules of [Sizing.Check], in the order in which findings are reported.
var rules = []tables.CheckRule{
	{ID: "drain-load", Title: "Load on a drain", Family: "loads and sizes"},
	{ID: "drain-flow", Title: "Flow on a drain", Family: "loads and sizes"},
	{ID: "discharge-method", Title: "What the European method needs to know", Family: "loads and sizes"},
	{ID: "branch-length", Title: "Length of a branch", Family: "loads and sizes"},
	{ID: "branch-drop", Title: "Drop of a branch", Family: "loads and sizes"},
	{ID: "branch-bends", Title: "Bends of a branch", Family: "loads and sizes"},
	{ID: "washer-battery", Title: "Clothes washers in a battery", Family: "loads and sizes"},
	{ID: "bathroom-group", Title: "Fixtures that count as one bathroom group", Family: "loads and sizes"},
	{ID: "stack-interval-load", Title: "Load in one branch interval of a stack", Family: "loads and sizes"},
	{ID: "stack-length", Title: "Length of a vertical drain", Family: "loads and sizes"},
	{ID: "small-stack-load", Title: "Sinks and urinals on a small stack", Family: "loads and sizes"},
	{ID: "drain-closets", Title: "Water closets on a drain", Family: "loads and sizes"},
	{ID: "fixture-drain-size", Title: "Minimum drain of a fixture", Family: "loads and sizes"},
	{ID: "below-ground-size", Title: "Minimum size underground", Family: "loads and sizes"},
	{ID: "size-reduction", Title: "No smaller size downstream", Family: "loads and sizes"},
	{ID: "drain-size", Title: "Size required of a drain", Family: "loads and sizes"},
	{ID: "main-drain-undiminished", Title: "Full size up to the main cleanout", Family: "loads and sizes"},
	{ID: "outlet-size", Title: "Size of the outlet", Family: "loads and sizes"},
	{ID: "drain-grade", Title: "Minimum grade", Family: "grades and levels"},
	{ID: "interceptor-grade", Title: "Grade upstream of a grease interceptor", Family: "grades and levels"},
	{ID: "gravity-depth", Title: "Fall available to the outlet", Family: "grades and levels"},
	{ID: "drain-cover", Title: "Cover under the slab", Family: "grades and levels"},
	{ID: "join-level", Title: "Level at which pipes join", Family: "grades and levels"},
	{ID: "run-on-plan", Title: "Length and bearing against the plan", Family: "grades and levels"},
	{ID: "sump-inlet", Title: "Inlet of a sump above its water", Family: "grades and levels"},
	{ID: "backwater-valve", Title: "Backwater valves", Family: "grades and levels"},
	{ID: "system-apart", Title: "Systems kept apart", Family: "systems apart"},
	{ID: "interceptor-capacity", Title: "Capacity of an interceptor", Family: "systems apart"},
	{ID: "grease-interceptor", Title: "What passes a grease interceptor", Family: "systems apart"},
	{ID: "interceptor-soil", Title: "Soil through an interceptor", Family: "systems apart"},
	{ID: "interceptor-vent", Title: "Vent of an interceptor", Family: "systems apart"},
	{ID: "interceptor-access", Title: "Cover of an interceptor", Family: "systems apart"},
	{ID: "trap-vented", Title: "Every trap vented", Family: "traps"},
	{ID: "combination-vent", Title: "Trap on a combination drain and vent", Family: "traps"},
	{ID: "trap-arm-length", Title: "Length of a trap arm", Family: "traps"},
	{ID: "trap-arm-min-length", Title: "Least length of a trap arm (crown vent)", Family: "traps"},
	{ID: "trap-arm-fall", Title: "Fall of a trap arm", Family: "traps"},
	{ID: "trap-arm-grade", Title: "Greatest grade of a trap arm", Family: "traps"},
	{ID: "trap-arm-turn", Title: "Turns of a trap arm", Family: "traps"},
	{ID: "trap-arm-riser", Title: "No drop before the vent", Family: "traps"},
	{ID: "trap-arm-shared", Title: "Drains that share a trap arm", Family: "traps"},
	{ID: "trap-size", Title: "Least size of a trap", Family: "traps"},
	{ID: "trap-seal", Title: "Depth of a trap seal", Family: "traps"},
	{ID: "trap-tail", Title: "Fixture outlet to trap weir", Family: "traps"},
	{ID: "trap-room", Title: "Room for the trap of a floor drain", Family: "traps"},
	{ID: "floor-drain-unvented", Title: "Floor drain without a vent", Family: "traps"},
	{ID: "floor-drain-receptor", Title: "Floor drain that takes indirect waste", Family: "traps"},
	{ID: "floor-drain-primer", Title: "Trap seal of a floor drain kept wet", Family: "traps"},
	{ID: "floor-drain-rim", Title: "Rim of a floor drain", Family: "traps"},
	{ID: "standpipe-height", Title: "Height of a standpipe", Family: "traps"},
	{ID: "standpipe-trap-height", Title: "Height of a standpipe's trap", Family: "traps"},
	{ID: "vent-size", Title: "Size and length of a vent", Family: "vents"},
	{ID: "vent-join", Title: "Where a vent joins another", Family: "vents"},
	{ID: "vent-flat-share", Title: "Share of a vent that lies flat", Family: "vents"},
	{ID: "vent-flat", Title: "Height at which a vent may run flat", Family: "vents"},
	{ID: "vent-below-floor", Title: "Vent below the floor", Family: "vents"},
	{ID: "vent-take-off", Title: "Vent take-off above the centerline", Family: "vents"},
	{ID: "wet-vent-load", Title: "Load on a wet vent", Family: "vents"},
	{ID: "wet-vent-fixtures", Title: "Fixtures on a wet vent", Family: "vents"},
	{ID: "wet-vent-groups", Title: "Bathrooms on a wet vent", Family: "vents"},
	{ID: "wet-vent-order", Title: "Order of fixtures on a wet vent", Family: "vents"},
	{ID: "wet-vent-closets", Title: "Water closets on a wet vent", Family: "vents"},
	{ID: "wet-vent-arm", Title: "Trap arms on a wet vent", Family: "vents"},
	{ID: "wet-vent-grade", Title: "Grade of a wet vent", Family: "vents"},
	{ID: "wet-vent-vertical-length", Title: "Length of an upright wet vent", Family: "vents"},
	{ID: "wet-vent-vertical-fixtures", Title: "Fixtures on an upright wet vent", Family: "vents"},
	{ID: "wet-vent-vertical-load", Title: "Load on an upright wet vent", Family: "vents"},
	{ID: "wet-vent-vertical-size", Title: "Size of an upright wet vent", Family: "vents"},
	{ID: "common-vent-load", Title: "Load on a common vent", Family: "vents"},
	{ID: "circuit-vent-fixtures", Title: "Fixtures on a circuit vent", Family: "vents"},
	{ID: "circuit-vent-grade", Title: "Grade of a circuit-vented branch", Family: "vents"},
	{ID: "circuit-vent-take-off", Title: "Take-off of a circuit vent", Family: "vents"},
	{ID: "circuit-vent-relief", Title: "Relief vent of a circuit-vented branch", Family: "vents"},
	{ID: "circuit-relief-load", Title: "Load on the relief vent of a circuit", Family: "vents"},
	{ID: "vent-stack-needed", Title: "Vent stack beside a drainage stack", Family: "vents"},
	{ID: "stack-relief", Title: "Relief vents of a tall stack", Family: "vents"},
	{ID: "vent-terminal", Title: "Vent terminal above the roof", Family: "vents"},
	{ID: "vent-terminal-near", Title: "Vent terminal near openings, walls and lot lines", Family: "vents"},
	{ID: "vent-open", Title: "Vent to the open air at full size", Family: "vents"},
	{ID: "air-admittance-valve", Title: "Air admittance valves", Family: "vents"},
	{ID: "island-vent", Title: "Vent of an island", Family: "vents"},
	{ID: "waste-stack-vent", Title: "Waste stack that vents itself", Family: "vents"},
	{ID: "sump-vent", Title: "Vent of a sump", Family: "vents"},
	{ID: "drain-vent", Title: "Vent at the head of a drain", Family: "vents"},
	{ID: "future-vent", Title: "Vent of a fixture to come", Family: "vents"},
	{ID: "cleanout-upper-end", Title: "Cleanout at the upper end", Family: "cleanouts"},
	{ID: "cleanout-spacing", Title: "Distance between cleanouts", Family: "cleanouts"},
	{ID: "cleanout-turn", Title: "Cleanout at changes of direction", Family: "cleanouts"},
	{ID: "cleanout-stack-base", Title: "Cleanout at the base of a stack", Family: "cleanouts"},
	{ID: "cleanout-junction", Title: "Cleanout where drain and sewer meet", Family: "cleanouts"},
	{ID: "cleanout-both-ways", Title: "Two-way cleanout", Family: "cleanouts"},
	{ID: "cleanout-size", Title: "Size of a cleanout", Family: "cleanouts"},
	{ID: "cleanout-clearance", Title: "Clearance in front of a cleanout", Family: "cleanouts"},
	{ID: "cleanout-urinal", Title: "Cleanout of a urinal", Family: "cleanouts"},
	{ID: "cleanout-reach", Title: "Reach of the cleaning cable", Family: "cleanouts"},
	{ID: "cleanout-main", Title: "Main cleanout", Family: "cleanouts"},
	{ID: "drain-material", Title: "Material underground", Family: "site"},
	{ID: "drain-becomes-sewer", Title: "Where a drain becomes a sewer", Family: "site"},
	{ID: "sewer-cover", Title: "Cover of a sewer outside", Family: "site"},
	{ID: "fitting-turn", Title: "Fitting for a change of direction", Family: "site"},
	{ID: "double-fitting", Title: "Double fittings", Family: "site"},
	{ID: "dead-end", Title: "Drain that serves nothing", Family: "site"},
	{ID: "stack-base-branch", Title: "Branch near the base of a stack", Family: "site"},
	{ID: "drain-crossing", Title: "Clearance between drains", Family: "site"},
	{ID: "footing-clearance", Title: "Clearance under a footing", Family: "site"},
	{ID: "obstacle-clearance", Title: "Clearance from other bodies in the ground", Family: "site"},
	{ID: "footing-sleeve", Title: "Sleeve through a footing", Family: "site"},
	{ID: "footing-plane", Title: "Trench beside a footing", Family: "site"},
	{ID: "slab-thickening", Title: "Thickened slab", Family: "site"},
	{ID: "stub-up", Title: "Height of a stub", Family: "site"},
}

// Rules returns the rules that [Sizing.Check] judges by, in the order of its findings.
func Rules() []tables.CheckRule { return slices.Clone(rules) }

// ownLimits is what the checks go by that rest on no row of a code: figures of the job, of
// its designer or of a maker, by the field of the layout that holds them.
var ownLimits = map[string]string{
	"gravity-depth":           "minimum_cover",
	"drain-cover":             "minimum_cover",
	"slab-thickening":         "minimum_cover",
	"drain-crossing":          "minimum_clearance",
	"footing-clearance":       "clear",
	"footing-sleeve":          "sleeve",
	"cleanout-reach":          "cable_reach",
	"stub-up":                 "minimum_stub_up, stub_up",
	"sewer-cover":             "sewer_cover",
	"obstacle-clearance":      "clear, minimum_clearance",
	"sump-inlet":              "high_water",
	"run-on-plan":             "at",
	"vent-join":               "vents runs, at",
	"system-apart":            "kind, admits, refuses",
	"interceptor-capacity":    "interceptor",
	"main-drain-undiminished": "cleanout main",
	"floor-drain-unvented":    "receptor, drip, continuous",
	"join-level":              "join, drop",
	"vent-size":               "minimum_vent",
	"fixture-drain-size":      "trap size, fixture size",
}

// OwnLimit returns the fields of the layout that hold the limit of a check which no row of
// a code decides, as a finding without a citation rests on them; "" for a check that the
// code decides.
func OwnLimit(rule string) string { return ownLimits[rule] }

// restsOn says which tables of a code, and which single figures of its rules, each check
// rests on. The list of rules that the project keeps says the same.
var restsOn = []struct{ rule, rows string }{
	{"drain-load", "building-drain building-sewer branches-and-stacks grade-factors nominal-grades " +
		"rules:trap-arm-load-excepted rules:drain-branches-as-branches rules:small-branch-fixtures " +
		"rules:small-branch-pumped"},
	{"drain-flow", "discharge-units frequency-factors drain-capacity stacks branch-ventilated branch-unventilated"},
	{"branch-length", branchRules("max-length") + systemIII},
	{"branch-drop", branchRules("max-drop") + " rules:unvented-branch-max-drop-dn70-ii" + systemIII},
	{"branch-bends", branchRules("max-bends") + systemIII},
	{"washer-battery", "rules:washer-battery-count rules:washer-battery-load"},
	{"bathroom-group", "fixtures"},
	{"stack-interval-load", "branches-and-stacks grade-factors"},
	{"small-stack-load", "rules:small-stack-sink-load"},
	{"drain-closets", "water-closets"},
	{"fixture-drain-size", "fixtures fixture-drain-minima trap-loads"},
	{"below-ground-size", "rules:below-ground-min-size"},
	{"size-reduction", "rules:size-reduction rules:closet-bend-outlet"},
	{"drain-size", "rules:stack-upper-min-fraction rules:wet-vent-vertical-min-size" + systemIII},
	{"outlet-size", "rules:size-reduction rules:closet-bend-outlet"},
	{"stack-length", "stack-lengths"},
	{"drain-grade", "min-grade nominal-grades " + branchRules("min-grade") + systemIII},
	{"interceptor-grade", "rules:grease-interceptor-min-grade nominal-grades"},
	{"drain-cover", "rules:slab-overlay"},
	{"backwater-valve", "rules:backwater-below rules:backwater-above"},
	{"grease-interceptor", "rules:grease-only rules:grease-no-soil rules:grease-fixtures"},
	{"interceptor-vent", "rules:interceptor-vent"},
	{"interceptor-access", "rules:interceptor-access"},
	{"trap-vented", "trap-arm rules:trap-vented rules:unvented-discharge-pipe rules:trap-arm-closet"},
	{"combination-vent", "combination-vent rules:combination-vent-fixtures rules:combination-vent-max-grade " +
		"rules:combination-vent-max-drop " +
		"rules:combination-oversize rules:combination-branch-max rules:combination-vent-area"},
	{"trap-arm-length", "trap-arm rules:trap-arm-closet rules:trap-arm-by"},
	{"trap-arm-min-length", "rules:trap-arm-min-length trap-arm"},
	{"trap-arm-fall", "rules:trap-arm-max-fall rules:trap-arm-fall-closet"},
	{"trap-arm-grade", "trap-arm"},
	{"trap-arm-turn", "rules:trap-arm-turn rules:trap-arm-turn-large rules:trap-arm-turn-large-from"},
	{"trap-arm-riser", "rules:trap-arm-max-fall"},
	{"trap-size", "fixtures"},
	{"trap-seal", "rules:trap-seal-min rules:trap-seal-max" + systemIII},
	{"trap-tail", "rules:outlet-to-weir-max rules:outlet-to-trap-max"},
	{"trap-room", "floor-drains/rules"},
	{"floor-drain-unvented", "rules:floor-drain-unvented-reach rules:floor-drain-unvented-min-trap " +
		"rules:floor-drain-unvented-min-length rules:floor-drain-unvented-max-fall"},
	{"floor-drain-primer", "rules:floor-drain-primer"},
	{"standpipe-height", "rules:standpipe-min-height rules:standpipe-max-height"},
	{"standpipe-trap-height", "rules:standpipe-trap-min-height rules:standpipe-trap-max-height"},
	{"vent-size", "vent-sizes vent-min-size rules:branch-vent-min-size-iii rules:vent-min-size " +
		"rules:individual-vent-min-fraction rules:stack-vent-min-fraction rules:vent-long-length rules:vent-length-to " +
		"rules:vent-header-as-stack"},
	{"vent-flat-share", "rules:vent-horizontal-share vent-sizes"},
	{"vent-flat", "rules:vent-rim-clearance"},
	{"vent-below-floor", "rules:vent-rim-clearance"},
	{"vent-take-off", "rules:vent-takeoff-above-centreline"},
	{"wet-vent-load", "wet-vent"},
	{"wet-vent-fixtures", "rules:wet-vent-fixtures rules:wet-vent-max-groups"},
	{"wet-vent-groups", "rules:wet-vent-max-groups"},
	{"wet-vent-order", "rules:wet-vent-closets-last rules:wet-vent-upstream"},
	{"wet-vent-closets", "rules:wet-vent-max-closets"},
	{"wet-vent-arm", "rules:wet-vent-max-trap-arm"},
	{"wet-vent-grade", "rules:wet-vent-min-grade"},
	{"wet-vent-vertical-length", "rules:wet-vent-vertical-length"},
	{"wet-vent-vertical-fixtures", "rules:wet-vent-vertical-fixtures"},
	{"wet-vent-vertical-load", "rules:wet-vent-vertical-fixture-load"},
	{"wet-vent-vertical-size", "rules:wet-vent-vertical-min-size"},
	{"common-vent-load", "common-vent"},
	{"circuit-vent-fixtures", "rules:circuit-vent-max-fixtures"},
	{"circuit-vent-grade", "rules:circuit-vent-max-grade"},
	{"circuit-vent-take-off", "rules:circuit-vent-take-off"},
	{"circuit-vent-relief", "rules:circuit-relief-closets"},
	{"circuit-relief-load", "rules:circuit-relief-max-load"},
	{"vent-stack-needed", "rules:vent-stack-intervals rules:branch-interval-height"},
	{"stack-relief", "rules:stack-relief-intervals rules:branch-interval-height"},
	{"vent-terminal", "rules:vent-above-roof rules:vent-above-used-roof rules:vent-frost-above-roof " +
		"rules:vent-frost-min-size"},
	{"vent-terminal-near", "rules:vent-from-opening rules:vent-above-opening rules:vent-from-lot-line " +
		"rules:vent-from-wall"},
	{"vent-open", "rules:open-vent-min-fraction rules:vent-area-ratio"},
	{"air-admittance-valve", "rules:aav-allowed rules:aav-height rules:aav-same-floor rules:aav-no-relief " +
		"rules:aav-insulation-height rules:aav-access rules:aav-stack-intervals rules:aav-relief-intervals " +
		"rules:aav-open-vent"},
	{"island-vent", "rules:island-vent-fixtures rules:island-vent-rise rules:island-vent-drains " +
		"rules:island-vent-cleanout rules:vent-rim-clearance"},
	{"waste-stack-vent", "waste-stack-vent rules:waste-stack-straight rules:waste-stack-undiminished " +
		"rules:waste-stack-fixtures"},
	{"sump-vent", "rules:sump-vent rules:sump-vent-min-size rules:aav-no-sump"},
	{"drain-vent", "rules:drain-vent-reach rules:drain-vent-size-to-30 rules:drain-vent-size-over-30"},
	{"future-vent", "rules:future-vent-min-fraction"},
	{"cleanout-upper-end", "rules:cleanout-upper-terminal rules:cleanout-omit-length rules:cleanout-two-way"},
	{"cleanout-spacing", "cleanout-spacing rules:cleanout-spacing rules:sewer-cleanout-spacing"},
	{"cleanout-turn", "rules:cleanout-turn-single rules:cleanout-turn-total rules:cleanout-turn-reach " +
		"rules:cleanout-equivalent"},
	{"cleanout-stack-base", "rules:cleanout-stack-base"},
	{"cleanout-junction", "rules:cleanout-junction-within rules:cleanout-junction rules:cleanout-junction-straight"},
	{"cleanout-size", "cleanout-size"},
	{"cleanout-clearance", "rules:cleanout-clearance-small rules:cleanout-clearance-large " +
		"rules:cleanout-clearance-large-from"},
	{"cleanout-urinal", "rules:cleanout-urinal"},
	{"drain-material", "pipe-standards"},
	{"drain-becomes-sewer", "rules:drain-beyond-wall"},
	{"sewer-cover", "rules:sewer-min-cover"},
	{"fitting-turn", "fitting-turns"},
	{"double-fitting", "rules:double-tee-closets rules:double-tee-oversize"},
	{"dead-end", "rules:dead-end-length"},
	{"stack-base-branch", "rules:stack-base-clearance"},
	{"footing-sleeve", "rules:wall-sleeve-oversize"},
	{"footing-plane", "rules:footing-plane"},
	{"stub-up", "rules:stub-up-min-height"},
}

// systemIII are the tables of the European system in which each appliance has a branch.
const systemIII = " branch-unventilated-system-iii branch-ventilated-system-iii"

// branchRules are the single figures of EN 12056-2 that limit branches.
func branchRules(limit string) string {
	var out []string
	for _, kind := range [...]string{"unvented", "vented"} {
		for _, system := range [...]string{"i", "ii", "iv"} {
			out = append(out, "rules:"+kind+"-branch-"+limit+"-"+system)
		}
	}
	return strings.Join(out, " ")
}

// restingOn returns what restsOn calls the row that an amendment dropped.
func restingOn(d tables.Change) string {
	_, table, _ := strings.Cut(d.Row.Table(), "/")
	if table == "rules" {
		return "rules:" + strings.TrimPrefix(d.Row.Row(), "rule ")
	}
	return table
}

// droppedRows says, for each check, which row it rests on is gone: where nothing is found
// any more nothing is said any more, and that is no pass.
func (j *judge) droppedRows() {
	for _, d := range j.code.Dropped() {
		name := restingOn(d)
		for _, r := range restsOn {
			for row := range strings.FieldsSeq(r.rows) {
				if row == name {
					j.Ask(r.rule, j.job(), tables.Authority,
						capital(j.Text("%s drops the row %q, on which this check rests: it goes by the rows that are left, "+
							"and judges nothing where there are none.", d.Row.Source(), d.Was.Subject())),
						"See what the amendment puts in its place.", d.Row)
				}
			}
		}
	}
}
