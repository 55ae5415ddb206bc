package drains

import (
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// restsOn says which tables of a code, and which single figures of its rules, each check
// rests on. The list of rules that the project keeps says the same.
var restsOn = []struct{ rule, rows string }{
	{"drain-load", "building-drain building-sewer branches-and-stacks grade-factors nominal-grades " +
		"rules:trap-arm-load-excepted"},
	{"washer-battery", "rules:washer-battery-count rules:washer-battery-load"},
	{"bathroom-group", "fixtures"},
	{"stack-interval-load", "branches-and-stacks grade-factors"},
	{"drain-closets", "water-closets"},
	{"fixture-drain-size", "fixtures fixture-drain-minima trap-loads"},
	{"below-ground-size", "rules:below-ground-min-size"},
	{"size-reduction", "rules:size-reduction rules:closet-bend-outlet"},
	{"drain-size", "rules:stack-upper-min-fraction rules:wet-vent-vertical-min-size"},
	{"outlet-size", "rules:size-reduction rules:closet-bend-outlet"},
	{"stack-length", "stack-lengths"},
	{"drain-grade", "min-grade nominal-grades"},
	{"interceptor-grade", "rules:grease-interceptor-min-grade nominal-grades"},
	{"drain-cover", "rules:slab-overlay"},
	{"grease-interceptor", "rules:grease-only rules:grease-no-soil rules:grease-fixtures"},
	{"trap-vented", "trap-arm"},
	{"combination-vent", "combination-vent rules:combination-vent-max-grade rules:combination-vent-max-drop " +
		"rules:combination-oversize"},
	{"trap-arm-length", "trap-arm rules:trap-arm-closet rules:trap-arm-by"},
	{"trap-arm-min-length", "rules:trap-arm-min-length trap-arm"},
	{"trap-arm-fall", "rules:trap-arm-max-fall rules:trap-arm-fall-closet"},
	{"trap-arm-grade", "trap-arm"},
	{"trap-arm-turn", "rules:trap-arm-turn rules:trap-arm-turn-large rules:trap-arm-turn-large-from"},
	{"trap-arm-riser", "rules:trap-arm-max-fall"},
	{"trap-seal", "rules:trap-seal-min rules:trap-seal-max"},
	{"trap-tail", "rules:outlet-to-weir-max"},
	{"trap-room", "floor-drains/rules"},
	{"floor-drain-unvented", "rules:floor-drain-unvented-reach"},
	{"floor-drain-primer", "rules:floor-drain-primer"},
	{"standpipe-height", "rules:standpipe-min-height rules:standpipe-max-height"},
	{"standpipe-trap-height", "rules:standpipe-trap-min-height rules:standpipe-trap-max-height"},
	{"vent-size", "vent-sizes vent-min-size rules:vent-min-size rules:individual-vent-min-fraction " +
		"rules:stack-vent-min-fraction rules:vent-long-length rules:vent-length-to"},
	{"vent-flat-share", "rules:vent-horizontal-share vent-sizes"},
	{"vent-flat", "rules:vent-rim-clearance"},
	{"vent-below-floor", "rules:vent-rim-clearance"},
	{"vent-take-off", "rules:vent-takeoff-above-centreline"},
	{"wet-vent-load", "wet-vent"},
	{"wet-vent-fixtures", "rules:wet-vent-fixtures rules:wet-vent-max-groups"},
	{"wet-vent-groups", "rules:wet-vent-max-groups"},
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
	{"vent-open", "rules:open-vent-min-fraction rules:vent-area-ratio"},
	{"future-vent", "rules:future-vent-min-fraction"},
	{"cleanout-upper-end", "rules:cleanout-upper-terminal rules:cleanout-omit-length rules:cleanout-two-way"},
	{"cleanout-spacing", "cleanout-spacing rules:cleanout-spacing rules:sewer-cleanout-spacing"},
	{"cleanout-turn", "rules:cleanout-turn-single rules:cleanout-turn-total rules:cleanout-turn-reach"},
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
						j.text("%s drops the row %s, on which this check rests: it goes by the rows that are left, "+
							"and judges nothing where there are none", d.Row.Source(), d.Row.Row()),
						"See what the amendment puts in its place.", d.Row)
				}
			}
		}
	}
}
