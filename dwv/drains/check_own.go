package drains

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
	"run-on-plan":             "at",
	"vent-join":               "vents runs, at",
	"system-apart":            "kind, admits, refuses",
	"interceptor-capacity":    "interceptor",
	"main-drain-undiminished": "cleanout main",
	"floor-drain-unvented":    "receptor, drip, continuous",
	"join-level":              "join, drop",
}

// OwnLimit returns the fields of the layout that hold the limit of a check which no row of
// a code decides, as a finding without a citation rests on them; "" for a check that the
// code decides.
func OwnLimit(rule string) string { return ownLimits[rule] }
