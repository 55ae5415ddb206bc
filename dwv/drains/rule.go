package drains

import (
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
)

// rule is a rule of [Sizing.Check], and all that is known of it.
type rule struct {
	id, title, family string
	// rests says which tables of a code, and which single figures of its rules, the check rests
	// on. The list of rules that the project keeps says the same.
	rests string
	// own is what it goes by that rests on no row of a code: figures of the job, of its designer
	// or of a maker, by the field of the layout that holds them.
	own   string
	named bool // its figures are nominal sizes: names, which are not rounded
	// rigid: its margin is a clearance. One step of a figure moves it by the rate at most, so that
	// what it lacks tells how many steps need not be tried.
	rigid bool
	// length: its margin is a length of pipe, which is rigid where the length of a run is what
	// varies; with another grade it may be another limit.
	length bool
}

// families are the rules in the order in which findings are reported.
var families = []struct {
	name  string
	rules []rule
}{
	{"loads and sizes", []rule{
		{id: "drain-load", title: "Load on a drain",
			rests: "building-drain building-sewer branches-and-stacks grade-factors nominal-grades " +
				"rules:trap-arm-load-excepted rules:drain-branches-as-branches rules:small-branch-fixtures " +
				"rules:small-branch-pumped"},
		{id: "drain-flow", title: "Flow on a drain",
			rests: "discharge-units frequency-factors drain-capacity stacks branch-ventilated branch-unventilated"},
		{id: "discharge-method", title: "What the European method needs to know"},
		{id: "branch-length", title: "Length of a branch", rests: branchRules("max-length") + systemIII,
			length: true},
		{id: "branch-drop", title: "Drop of a branch",
			rests: branchRules("max-drop") + " rules:unvented-branch-max-drop-dn70-ii" + systemIII},
		{id: "branch-bends", title: "Bends of a branch", rests: branchRules("max-bends") + systemIII},
		{id: "washer-battery", title: "Clothes washers in a battery",
			rests: "rules:washer-battery-count rules:washer-battery-load"},
		{id: "bathroom-group", title: "Fixtures that count as one bathroom group", rests: "fixtures"},
		{id: "stack-interval-load", title: "Load in one branch interval of a stack",
			rests: "branches-and-stacks grade-factors"},
		{id: "stack-length", title: "Length of a vertical drain", rests: "stack-lengths"},
		{id: "small-stack-load", title: "Sinks and urinals on a small stack", rests: "rules:small-stack-sink-load"},
		{id: "drain-closets", title: "Water closets on a drain", rests: "water-closets"},
		{id: "fixture-drain-size", title: "Minimum drain of a fixture", rests: "fixtures fixture-drain-minima trap-loads",
			own: "trap size, fixture size", named: true},
		{id: "below-ground-size", title: "Minimum size underground", rests: "rules:below-ground-min-size", named: true},
		{id: "size-reduction", title: "No smaller size downstream",
			rests: "rules:size-reduction rules:closet-bend-outlet", named: true},
		{id: "drain-size", title: "Size required of a drain",
			rests: "rules:stack-upper-min-fraction rules:wet-vent-vertical-min-size" + systemIII, named: true},
		{id: "main-drain-undiminished", title: "Full size up to the main cleanout", own: "cleanout main", named: true},
		{id: "outlet-size", title: "Size of the outlet", rests: "rules:size-reduction rules:closet-bend-outlet", named: true},
	}},
	{"grades and levels", []rule{
		{id: "drain-grade", title: "Minimum grade",
			rests: "min-grade nominal-grades " + branchRules("min-grade") + systemIII},
		{id: "interceptor-grade", title: "Grade upstream of a grease interceptor",
			rests: "rules:grease-interceptor-min-grade nominal-grades"},
		{id: "gravity-depth", title: "Fall available to the outlet", own: "minimum_cover", rigid: true},
		{id: "drain-cover", title: "Cover under the slab", rests: "rules:slab-overlay", own: "minimum_cover", rigid: true},
		{id: "join-level", title: "Level at which pipes join", own: "join, drop"},
		{id: "run-on-plan", title: "Length and bearing against the plan", own: "at"},
		{id: "sump-inlet", title: "Inlet of a sump above its water", own: "high_water"},
		{id: "backwater-valve", title: "Backwater valves", rests: "rules:backwater-below rules:backwater-above"},
	}},
	{"systems apart", []rule{
		{id: "system-apart", title: "Systems kept apart", own: "kind, admits, refuses"},
		{id: "interceptor-capacity", title: "Capacity of an interceptor", own: "interceptor", rests: "gravity-interceptor"},
		{id: "grease-interceptor", title: "What passes a grease interceptor",
			rests: "rules:grease-only rules:grease-no-soil rules:grease-fixtures"},
		{id: "interceptor-soil", title: "Soil through an interceptor"},
		{id: "interceptor-vent", title: "Vent of an interceptor", rests: "rules:interceptor-vent"},
		{id: "interceptor-access", title: "Cover of an interceptor", rests: "rules:interceptor-access"},
	}},
	{"traps", []rule{
		{id: "trap-vented", title: "Every trap vented",
			rests: "trap-arm rules:trap-vented rules:unvented-discharge-pipe rules:trap-arm-closet"},
		{id: "combination-vent", title: "Trap on a combination drain and vent",
			rests: "combination-vent rules:combination-vent-fixtures rules:combination-vent-dry-vent " +
				"rules:combination-vent-max-grade " +
				"rules:combination-vent-max-drop rules:combination-oversize rules:combination-branch-max " +
				"rules:combination-vent-area"},
		{id: "trap-arm-length", title: "Length of a trap arm", rests: "trap-arm rules:trap-arm-closet rules:trap-arm-by",
			rigid: true},
		{id: "trap-arm-min-length", title: "Least length of a trap arm (crown vent)",
			rests: "rules:trap-arm-min-length trap-arm"},
		{id: "trap-arm-fall", title: "Fall of a trap arm", rests: "rules:trap-arm-max-fall rules:trap-arm-fall-closet",
			rigid: true},
		{id: "trap-arm-grade", title: "Greatest grade of a trap arm", rests: "trap-arm"},
		{id: "trap-arm-turn", title: "Turns of a trap arm",
			rests: "rules:trap-arm-turn rules:trap-arm-turn-large rules:trap-arm-turn-large-from"},
		{id: "trap-arm-riser", title: "No drop before the vent", rests: "rules:trap-arm-max-fall"},
		{id: "trap-arm-shared", title: "Drains that share a trap arm"},
		{id: "trap-size", title: "Least size of a trap", rests: "fixtures"},
		{id: "trap-seal", title: "Depth of a trap seal", rests: "rules:trap-seal-min rules:trap-seal-max" + systemIII},
		{id: "trap-tail", title: "Fixture outlet to trap weir",
			rests: "rules:outlet-to-weir-max rules:outlet-to-trap-max", rigid: true},
		{id: "trap-room", title: "Room for the trap of a floor drain", rests: "floor-drains/rules", rigid: true},
		{id: "floor-drain-unvented", title: "Floor drain without a vent",
			rests: "rules:floor-drain-unvented-reach rules:floor-drain-unvented-min-trap " +
				"rules:floor-drain-unvented-min-length rules:floor-drain-unvented-max-fall", own: "receptor, drip, continuous",
			rigid: true},
		{id: "floor-drain-receptor", title: "Floor drain that takes indirect waste"},
		{id: "floor-drain-primer", title: "Trap seal of a floor drain kept wet", rests: "rules:floor-drain-primer"},
		{id: "floor-drain-rim", title: "Rim of a floor drain"},
		{id: "standpipe-height", title: "Height of a standpipe",
			rests: "rules:standpipe-min-height rules:standpipe-max-height"},
		{id: "standpipe-trap-height", title: "Height of a standpipe's trap",
			rests: "rules:standpipe-trap-min-height rules:standpipe-trap-max-height"},
	}},
	{"vents", []rule{
		{id: "vent-size", title: "Size and length of a vent",
			rests: "vent-sizes vent-min-size rules:branch-vent-min-size-iii rules:vent-min-size " +
				"rules:individual-vent-min-fraction rules:stack-vent-min-fraction rules:vent-long-length rules:vent-length-to " +
				"rules:vent-header-as-stack", own: "minimum_vent", named: true},
		{id: "vent-join", title: "Where a vent joins another", own: "vents runs, at", rests: "rules:vent-rim-clearance"},
		{id: "vent-flat-share", title: "Share of a vent that lies flat", rests: "rules:vent-horizontal-share vent-sizes"},
		{id: "vent-flat", title: "Height at which a vent may run flat", rests: "rules:vent-rim-clearance"},
		{id: "vent-below-floor", title: "Vent below the floor", rests: "rules:vent-rim-clearance"},
		{id: "vent-take-off", title: "Vent take-off above the centerline", rests: "rules:vent-takeoff-above-centreline"},
		{id: "wet-vent-load", title: "Load on a wet vent", rests: "wet-vent"},
		{id: "wet-vent-fixtures", title: "Fixtures on a wet vent",
			rests: "rules:wet-vent-fixtures rules:wet-vent-max-groups"},
		{id: "wet-vent-groups", title: "Bathrooms on a wet vent", rests: "rules:wet-vent-max-groups"},
		{id: "wet-vent-order", title: "Order of fixtures on a wet vent",
			rests: "rules:wet-vent-closets-last rules:wet-vent-upstream rules:wet-vent-dry-vented"},
		{id: "wet-vent-closets", title: "Water closets on a wet vent", rests: "rules:wet-vent-max-closets"},
		{id: "wet-vent-arm", title: "Trap arms on a wet vent", rests: "rules:wet-vent-max-trap-arm"},
		{id: "wet-vent-grade", title: "Grade of a wet vent", rests: "rules:wet-vent-min-grade"},
		{id: "wet-vent-vertical-length", title: "Length of an upright wet vent", rests: "rules:wet-vent-vertical-length"},
		{id: "wet-vent-vertical-fixtures", title: "Fixtures on an upright wet vent",
			rests: "rules:wet-vent-vertical-fixtures"},
		{id: "wet-vent-vertical-load", title: "Load on an upright wet vent", rests: "rules:wet-vent-vertical-fixture-load"},
		{id: "wet-vent-vertical-size", title: "Size of an upright wet vent", rests: "rules:wet-vent-vertical-min-size",
			named: true},
		{id: "common-vent-load", title: "Load on a common vent", rests: "common-vent rules:common-vent-no-closet"},
		{id: "circuit-vent-fixtures", title: "Fixtures on a circuit vent", rests: "rules:circuit-vent-max-fixtures"},
		{id: "circuit-vent-grade", title: "Grade of a circuit-vented branch", rests: "rules:circuit-vent-max-grade"},
		{id: "circuit-vent-take-off", title: "Take-off of a circuit vent", rests: "rules:circuit-vent-take-off"},
		{id: "circuit-vent-relief", title: "Relief vent of a circuit-vented branch", rests: "rules:circuit-relief-closets"},
		{id: "circuit-relief-load", title: "Load on the relief vent of a circuit", rests: "rules:circuit-relief-max-load"},
		{id: "vent-stack-needed", title: "Vent stack beside a drainage stack",
			rests: "rules:vent-stack-intervals rules:branch-interval-height"},
		{id: "stack-relief", title: "Relief vents of a tall stack",
			rests: "rules:stack-relief-intervals rules:branch-interval-height"},
		{id: "vent-terminal", title: "Vent terminal above the roof",
			rests: "rules:vent-above-roof rules:vent-above-used-roof rules:vent-frost-above-roof rules:vent-frost-min-size"},
		{id: "vent-terminal-near", title: "Vent terminal near openings, walls and lot lines",
			rests: "rules:vent-from-opening rules:vent-above-opening rules:vent-from-lot-line rules:vent-from-wall"},
		{id: "vent-open", title: "Vent to the open air at full size",
			rests: "rules:open-vent-min-fraction rules:vent-area-ratio", named: true},
		{id: "air-admittance-valve", title: "Air admittance valves",
			rests: "rules:aav-allowed rules:aav-height rules:aav-same-floor rules:aav-no-relief " +
				"rules:aav-insulation-height rules:aav-access rules:aav-stack-intervals rules:aav-relief-intervals " +
				"rules:aav-open-vent"},
		{id: "island-vent", title: "Vent of an island",
			rests: "rules:island-vent-fixtures rules:island-vent-rise rules:island-vent-drains rules:island-vent-cleanout " +
				"rules:vent-rim-clearance"},
		{id: "waste-stack-vent", title: "Waste stack that vents itself",
			rests: "waste-stack-vent rules:waste-stack-straight rules:waste-stack-undiminished rules:waste-stack-fixtures"},
		{id: "sump-vent", title: "Vent of a sump", rests: "rules:sump-vent rules:sump-vent-min-size rules:aav-no-sump"},
		{id: "drain-vent", title: "Vent at the head of a drain",
			rests: "rules:drain-vent-reach rules:drain-vent-size-to-30 rules:drain-vent-size-over-30"},
		{id: "future-vent", title: "Vent of a fixture to come", rests: "rules:future-vent-min-fraction", named: true},
	}},
	{"cleanouts", []rule{
		{id: "cleanout-upper-end", title: "Cleanout at the upper end",
			rests: "rules:cleanout-upper-terminal rules:cleanout-omit-length rules:cleanout-two-way"},
		{id: "cleanout-spacing", title: "Distance between cleanouts",
			rests: "cleanout-spacing rules:cleanout-spacing rules:sewer-cleanout-spacing", rigid: true},
		{id: "cleanout-turn", title: "Cleanout at changes of direction",
			rests: "rules:cleanout-turn-single rules:cleanout-turn-total rules:cleanout-turn-reach rules:cleanout-equivalent"},
		{id: "cleanout-stack-base", title: "Cleanout at the base of a stack", rests: "rules:cleanout-stack-base"},
		{id: "cleanout-junction", title: "Cleanout where drain and sewer meet",
			rests: "rules:cleanout-junction-within rules:cleanout-junction rules:cleanout-junction-straight"},
		{id: "cleanout-both-ways", title: "Two-way cleanout"},
		{id: "cleanout-size", title: "Size of a cleanout", rests: "cleanout-size", named: true},
		{id: "cleanout-clearance", title: "Clearance in front of a cleanout",
			rests: "rules:cleanout-clearance-small rules:cleanout-clearance-large rules:cleanout-clearance-large-from"},
		{id: "cleanout-urinal", title: "Cleanout of a urinal", rests: "rules:cleanout-urinal"},
		{id: "cleanout-reach", title: "Reach of the cleaning cable", own: "cable_reach", rigid: true},
		{id: "cleanout-main", title: "Main cleanout"},
	}},
	{"site", []rule{
		{id: "drain-material", title: "Material underground", rests: "pipe-standards"},
		{id: "drain-becomes-sewer", title: "Where a drain becomes a sewer", rests: "rules:drain-beyond-wall"},
		{id: "sewer-cover", title: "Cover of a sewer outside", rests: "rules:sewer-min-cover", own: "sewer_cover",
			rigid: true},
		{id: "fitting-turn", title: "Fitting for a change of direction", rests: "fitting-turns"},
		{id: "double-fitting", title: "Double fittings", rests: "rules:double-tee-closets rules:double-tee-oversize"},
		{id: "dead-end", title: "Drain that serves nothing", rests: "rules:dead-end-length"},
		{id: "stack-base-branch", title: "Branch near the base of a stack", rests: "rules:stack-base-clearance"},
		{id: "drain-crossing", title: "Clearance between drains", own: "minimum_clearance", rigid: true},
		{id: "footing-clearance", title: "Clearance under a footing", own: "clear", rigid: true},
		{id: "obstacle-clearance", title: "Clearance from other bodies in the ground", own: "clear, minimum_clearance"},
		{id: "footing-sleeve", title: "Sleeve through a footing", rests: "rules:wall-sleeve-oversize", own: "sleeve",
			named: true},
		{id: "footing-plane", title: "Trench beside a footing", rests: "rules:footing-plane"},
		{id: "slab-thickening", title: "Thickened slab", own: "minimum_cover", rigid: true},
		{id: "stub-up", title: "Height of a stub", rests: "rules:stub-up-min-height", own: "minimum_stub_up, stub_up"},
	}},
}

// rules are those of all families, with its name in each.
var rules = sync.OnceValue(func() (list []rule) {
	for _, f := range families {
		for _, r := range f.rules {
			r.family = f.name
			list = append(list, r)
		}
	}
	return list
})

// Rules returns the rules that [Sizing.Check] judges by, in the order of its findings.
func Rules() []tables.CheckRule {
	list := make([]tables.CheckRule, len(rules()))
	for i, r := range rules() {
		list[i] = tables.CheckRule{ID: r.id, Title: r.title, Family: r.family}
	}
	return list
}

// order is that of the rules, made once.
var order = sync.OnceValue(func() finding.Order { return finding.OrderOf(Rules()) })

// nominals are the rules whose figures are nominal sizes.
var nominals = sync.OnceValue(func() map[string]bool {
	list := map[string]bool{}
	for _, r := range rules() {
		if r.named {
			list[r.id] = true
		}
	}
	return list
})

// ruleOf returns a rule by its id, and one without an id where there is none.
func ruleOf(id string) rule {
	for _, r := range rules() {
		if r.id == id {
			return r
		}
	}
	return rule{}
}

// OwnLimit returns the fields of the layout that hold the limit of a check which no row of
// a code decides, as a finding without a citation rests on them; "" for a check that the
// code decides.
func OwnLimit(rule string) string { return ruleOf(rule).own }

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

// restingOn returns what rules call the row that an amendment dropped.
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
		for _, r := range rules() {
			for row := range strings.FieldsSeq(r.rests) {
				if row == name {
					j.Ask(r.id, j.job(), tables.Authority,
						capital(j.Text("%s drops the row %q, on which this check rests: it goes by the rows that are left, "+
							"and judges nothing where there are none.", d.Row.Source(), d.Was.Subject())),
						"See what the amendment puts in its place.", d.Row)
				}
			}
		}
	}
}
