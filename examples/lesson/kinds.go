package lesson

import (
	"maps"
	"slices"
)

// kind is one kind of problem.
type kind struct {
	fields string // as -kinds prints them
	solve  func(*problem)
}

// kinds is filled by the files that hold the kinds; it is a function's result so
// that mark, which solves problems itself, can be one of them.
var kinds map[string]kind

func init() {
	kinds = map[string]kind{
		"convert":         {"value, to", solveConvert},
		"fall":            {"length, grade", solveFall},
		"grade":           {"length, fall", solveGrade},
		"length-for-fall": {"fall, grade", solveLengthForFall},
		"inverts":         {"outlet_invert, runs: [{length, grade, drop?}]", solveInverts},
		"offset":          {"offset, angle", solveOffset},
		"rolling-offset":  {"rise, side, angle", solveRollingOffset},
		"plane":           {"grade_ahead, grade_across?, bearing", solvePlane},
		"rod":             {"instrument_height, elevation", solveRod},
		"cut-sheet":       {"benchmark, backsight, invert, grade, stations: [distance], ground?: [elevation]", solveCutSheet},
		"trench":          {"length, width, depth_lower, depth_upper", solveTrench},
		"open-channel":    {"bore, grade, n, and one of depth_ratio, flow", solveOpenChannel},
		"stack":           {"bore, fill", solveStack},

		"drainage-load": {"code, fixtures: [...], continuous?; EN 12056-2: system, and variant? in a fixture", solveDrainageLoad},
		"drain-size":    {"code, part, load, grade (drain only), water_closets?, below_ground?, intervals?", solveDrainSize},
		"trap-arm":      {"code, size", solveTrapArm},
		"vent-size":     {"code, part, drain_size, load?, water_closets?, length", solveVentSize},
		"unit-flow":     {"k, load, largest?", solveUnitFlow},
		"supply-load":   {"code, fixtures: [...]", solveSupplyLoad},
		"demand":        {"code, load, system", solveDemand},

		"friction":          {"method, flow, bore, length, c or roughness, temperature? or viscosity?", solveFriction},
		"flow-for-loss":     {"method, head_loss or pressure_loss, bore, length, c or roughness, temperature? or viscosity?", solveFlowForLoss},
		"bore-for-loss":     {"method, flow, head_loss or pressure_loss, length, c or roughness, temperature? or viscosity?", solveBoreForLoss},
		"velocity":          {"flow, bore", solveVelocity},
		"bore-for-velocity": {"flow, velocity", solveBoreForVelocity},
		"head":              {"pressure or head, temperature?", solveHead},
		"pressure-budget":   {"street, rise, losses: [{name, loss}], required, length, temperature?", solvePressureBudget},
		"pipe-volume":       {"bore, length", solvePipeVolume},
		"wait":              {"volume or (bore, length), flow", solveWait},
		"heat-loss":         {"bore, wall, conductivity, insulation_thickness?, insulation_conductivity?, length, water, ambient, film? or (burial_depth, soil_conductivity)", solveHeatLoss},
		"recirculation":     {"heat_loss, drop, temperature?", solveRecirculation},
		"mix":               {"hot, cold, mixed", solveMix},
		"surge":             {"bore, wall, modulus, velocity_change, restraint?, bulk_modulus?, density?", solveSurge},
		"network":           {"method, temperature? or viscosity?, nodes: [{id, head? or demand?}], pipes: [{id, from, to, length, bore, c or roughness}]", solveNetwork},
		"mark":              {"problem (a whole problem line), student: {answer: quantity}, tolerance? (\"2 %\", or \"0.02 ft\" for elevations)", solveMark},
		"water":             {"temperature", solveWater},
		"in-use":            {"count, probability, confidence", solveInUse},
		"demand-exact":      {"groups: [{count, probability, flow}], confidence, given_use?", solveDemandExact},
	}
}

func kindNames() []string { return slices.Sorted(maps.Keys(kinds)) }
