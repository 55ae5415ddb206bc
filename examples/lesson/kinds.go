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
		"inverts":         {"outlet_invert, runs: [{length, grade, drop? (absent: 0)}]", solveInverts},
		"offset":          {"offset, angle", solveOffset},
		"rolling-offset":  {"rise, side, angle", solveRollingOffset},
		"plane":           {"grade_ahead, grade_across? (absent: level), bearing", solvePlane},
		"rod":             {"instrument_height, elevation", solveRod},
		"cut-sheet": {"benchmark, backsight, invert, grade, stations: [distance], ground?: [elevation]",
			solveCutSheet},
		"trench":       {"length, width, depth_lower, depth_upper", solveTrench},
		"open-channel": {"bore, grade, n, and one of depth_ratio, flow", solveOpenChannel},
		"stack":        {"bore, fill", solveStack},

		"drainage-load": {"code, fixtures: [...], continuous? (a flow); EN 12056-2: system, and variant? in a fixture",
			solveDrainageLoad},
		"drain-size": {"code, part, load, grade (drain only), water_closets? (absent: 0), below_ground? (absent: " +
			"false), intervals? (of a stack); adh-2015, din1986-100 and en12056-2 by their tables' columns: flow for load, " +
			"filling of a drain, k of a branch, ventilated? (absent: false); en12056-2: system of a branch or stack, vent " +
			"and entry of a stack", solveDrainSize},
		"trap-arm":    {"code, size", solveTrapArm},
		"vent-size":   {"code, part, drain_size, load?, water_closets? (absent: 0), length", solveVentSize},
		"unit-flow":   {"k, load, largest? (absent: 0)", solveUnitFlow},
		"supply-load": {"code, fixtures: [...]", solveSupplyLoad},
		"demand": {"code, load, system, outlets? (the sum of their flows, a cap); a code with a peak flow " +
			"formula: building, outlets", solveDemand},

		"friction": {"method, flow, bore, length, c or roughness or friction_factor, k? (absent: 0), " +
			"temperature? (absent: 60 degF) or viscosity?", solveFriction},
		"flow-for-loss": {"method, head_loss or pressure_loss, bore, length, c or roughness, temperature? " +
			"(absent: 60 degF) or viscosity?", solveFlowForLoss},
		"bore-for-loss": {"method, flow, head_loss or pressure_loss, length, c or roughness, temperature? " +
			"(absent: 60 degF) or viscosity?", solveBoreForLoss},
		"velocity":          {"flow, bore", solveVelocity},
		"bore-for-velocity": {"flow, velocity", solveBoreForVelocity},
		"head":              {"pressure or head, temperature? (absent: 60 degF)", solveHead},
		"pressure-budget": {"street (a pressure, or {static, residual, at} with flow? (absent: at)), rise, " +
			"losses: [{name, loss}], required, length, temperature? (absent: 60 degF)", solvePressureBudget},
		"pipe-volume": {"bore, length", solvePipeVolume},
		"wait":        {"volume or (bore, length), flow", solveWait},
		"heat-loss": {"bore, wall, conductivity, insulation_thickness?, insulation_conductivity?, length, " +
			"water, ambient, film? (absent: the surface is at ambient) or (burial_depth, soil_conductivity)",
			solveHeatLoss},
		"recirculation": {"heat_loss, drop, temperature? (absent: 120 degF)", solveRecirculation},
		"mix":           {"hot, cold, mixed", solveMix},
		"surge": {"bore, wall, modulus, velocity_change, restraint? (absent: 1; of 0 wall and modulus " +
			"are not needed), bulk_modulus? (absent: 2.19 GPa), density? (absent: water at 60 degF), length?, " +
			"closing_time? (with length)", solveSurge},
		"network": {"method, temperature? (absent: 60 degF) or viscosity?, nodes: [{id, head? or " +
			"demand?}], pipes: [{id, from, to, length, bore, c or roughness}]", solveNetwork},
		"mark": {"problem (a whole problem line), student: {answer: quantity}, tolerance? (\"2 %\", " +
			"or \"0.02 ft\" for elevations)", solveMark},
		"minor-loss":        {"k, velocity or (flow, bore)", solveMinorLoss},
		"equivalent-length": {"k, friction_factor, bore", solveEquivalentLength},
		"parallel": {"method, head_loss or flow, pipes: [{length, bore, c or roughness}], temperature? " +
			"(absent: 60 degF) or viscosity?", solveParallel},
		"expansion-of-water": {"volume, cold, hot", solveExpansionOfWater},
		"expansion-tank":     {"expansion, fill, highest, atmosphere? (absent: 101.325 kPa)", solveExpansionTank},
		"pipe-expansion":     {"length, alpha, change", solvePipeExpansion},
		"expansion-leg": {"expansion, diameter (outside), and c (of the maker) or (modulus, stress, end? (absent: " +
			"guided))", solveExpansionLeg},
		"pump-power":   {"flow, head, efficiency, density? (absent: water at 60 degF)", solvePumpPower},
		"device-loss":  {"device, flow, size? (of a meter or tap), code? (of a tap)", solveDeviceLoss},
		"pipe-by-load": {"code, load, length, and (pressure, least?) or (material, greatest)", solvePipeByLoad},
		"sewer-size": {"code, load, grade, water_closets? (absent: 0); adh-2015, din1986-100 and en12056-2: flow for " +
			"load, filling (not of adh-2015)", solveSewerSize},
		"flow-probability": {"duration, interval", solveFlowProbability},
		"critical-radius":  {"insulation_conductivity, film", solveCriticalRadius},
		"static-residual":  {"static, residual, at, wanted", solveStaticResidual},
		"water":            {"temperature", solveWater},
		"in-use":           {"count, probability, confidence", solveInUse},
		"demand-exact": {"groups: [{count, probability, flow}], confidence, given_use? (absent: false)",
			solveDemandExact},
	}
}

func kindNames() []string { return slices.Sorted(maps.Keys(kinds)) }
