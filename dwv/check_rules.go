package dwv

// rules are the ids of the findings of [Layout.Check], in the order in which they
// are reported.
var rules = [...]string{
	// loads and sizes
	"drain-load", "stack-interval-load", "stack-length", "drain-closets", "fixture-drain-size", "below-ground-size", "size-reduction", "main-drain-undiminished", "outlet-size",
	// grades and levels
	"drain-grade", "interceptor-grade", "gravity-depth", "drain-cover", "join-level",
	// apart
	"system-apart", "interceptor-capacity",
	// traps
	"trap-vented", "trap-arm-length", "trap-arm-min-length", "trap-arm-fall", "trap-arm-grade", "trap-arm-turn", "trap-arm-riser", "trap-arm-shared", "trap-seal", "trap-tail",
	"floor-drain-unvented", "floor-drain-receptor", "floor-drain-primer", "floor-drain-rim", "standpipe-height", "standpipe-trap-height",
	// vents
	"vent-size", "vent-flat-share", "vent-flat", "vent-below-floor", "vent-take-off", "wet-vent-load", "wet-vent-fixtures", "wet-vent-groups", "wet-vent-vertical-length", "wet-vent-vertical-fixtures", "wet-vent-vertical-load", "wet-vent-vertical-size", "common-vent-load", "circuit-vent-fixtures", "circuit-vent-grade", "circuit-vent-take-off", "circuit-vent-relief", "circuit-relief-load",
	"vent-stack-needed", "stack-relief", "vent-terminal", "vent-open", "future-vent",
	// cleanouts
	"cleanout-upper-end", "cleanout-spacing", "cleanout-turn", "cleanout-stack-base", "cleanout-junction", "cleanout-both-ways", "cleanout-size",
	"cleanout-clearance", "cleanout-urinal", "cleanout-reach", "cleanout-main",
	// site
	"drain-material", "drain-becomes-sewer", "sewer-cover", "fitting-turn", "stack-base-branch", "drain-crossing", "footing-clearance", "footing-sleeve", "footing-plane", "slab-thickening", "stub-up",
}

// RuleIDs returns the ids of the findings that [Layout.Check] makes, in their order.
func RuleIDs() []string { return append([]string(nil), rules[:]...) }

// ruleOrder returns the place of a rule in the order of findings.
func ruleOrder(id string) int {
	for i, r := range rules {
		if r == id {
			return i
		}
	}
	return len(rules)
}
