package lesson

import (
	_ "embed"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// kindsFile says all of the kinds of problem that is words.
//
//go:embed kinds.txt
var kindsFile string

// kindWords are the words of one kind, as the head of the file explains them.
type kindWords struct {
	level               int
	fields, told, asked string
	more, tried         []string
}

// allWords reads the words of the kinds when they are first asked for.
var allWords = sync.OnceValue(func() map[string]*kindWords {
	all, k := map[string]*kindWords{}, new(kindWords)
	for line := range strings.Lines(kindsFile) {
		switch name, text, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " "); name {
		case "kind":
			k = new(kindWords)
			all[text] = k
		case "level":
			k.level, _ = strconv.Atoi(text) // a test reads them all
		case "fields":
			k.fields = text
		case "told":
			k.told = strings.ReplaceAll(text, "@water", waterTold)
		case "asked":
			k.asked = text
		case "more":
			k.more = append(k.more, text)
		case "tried":
			k.tried = append(k.tried, text)
		}
	}
	return all
})

// wordsOf returns the words of a kind, none of one that is not there.
func wordsOf(kind string) kindWords {
	if k := allWords()[kind]; k != nil {
		return *k
	}
	return kindWords{}
}

// waterTold is how the water of a problem of friction is told.
const waterTold = "[; the water is at {temperature}][; its viscosity is {viscosity}]" +
	"[!temperature:[!viscosity:; the water is at @cold]]"

// solvers answer the problems of each kind. They are filled in by init, for mark, which is one
// of them, solves problems itself.
var solvers map[string]func(*problem)

func init() {
	solvers = map[string]func(*problem){
		"bore-for-loss":      solveBoreForLoss,
		"bore-for-velocity":  solveBoreForVelocity,
		"convert":            solveConvert,
		"critical-radius":    solveCriticalRadius,
		"cut-sheet":          solveCutSheet,
		"demand":             solveDemand,
		"demand-exact":       solveDemandExact,
		"device-loss":        solveDeviceLoss,
		"drain-size":         solveDrainSize,
		"drainage-load":      solveDrainageLoad,
		"equivalent-length":  solveEquivalentLength,
		"expansion-leg":      solveExpansionLeg,
		"expansion-of-water": solveExpansionOfWater,
		"expansion-tank":     solveExpansionTank,
		"fall":               solveFall,
		"flow-for-loss":      solveFlowForLoss,
		"flow-probability":   solveFlowProbability,
		"friction":           solveFriction,
		"grade":              solveGrade,
		"head":               solveHead,
		"heat-loss":          solveHeatLoss,
		"in-use":             solveInUse,
		"inverts":            solveInverts,
		"length-for-fall":    solveLengthForFall,
		"mark":               solveMark,
		"minor-loss":         solveMinorLoss,
		"mix":                solveMix,
		"network":            solveNetwork,
		"offset":             solveOffset,
		"open-channel":       solveOpenChannel,
		"parallel":           solveParallel,
		"pipe-by-load":       solvePipeByLoad,
		"pipe-expansion":     solvePipeExpansion,
		"pipe-volume":        solvePipeVolume,
		"plane":              solvePlane,
		"pressure-budget":    solvePressureBudget,
		"pump-power":         solvePumpPower,
		"recirculation":      solveRecirculation,
		"rod":                solveRod,
		"rolling-offset":     solveRollingOffset,
		"sewer-size":         solveSewerSize,
		"stack":              solveStack,
		"static-residual":    solveStaticResidual,
		"supply-load":        solveSupplyLoad,
		"surge":              solveSurge,
		"trap-arm":           solveTrapArm,
		"trench":             solveTrench,
		"unit-flow":          solveUnitFlow,
		"velocity":           solveVelocity,
		"vent-size":          solveVentSize,
		"wait":               solveWait,
		"water":              solveWater,
	}
}

func kindNames() []string { return slices.Sorted(maps.Keys(solvers)) }
