package lesson

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// kindsFile holds the words and the figures of each kind of problem; its head says how it is read.
//
//go:embed kinds.txt
var kindsFile string

// kindWords are those of one kind.
type kindWords struct {
	level               int
	fields, told, asked string
	drawn               []string
	under               map[string]string // by code
	usual               []usual
	more, tried         []string
}

// usual is an answer to problems of a kind, and its bounds in a building.
type usual struct {
	answer, unit string
	low, high    float64
}

// allWords reads the file when a kind is first asked for.
var allWords = sync.OnceValue(func() map[string]*kindWords {
	all, k := map[string]*kindWords{}, new(kindWords)
	for line := range strings.Lines(kindsFile) {
		switch name, text, _ := strings.Cut(strings.TrimSpace(line), " "); name {
		case "kind":
			k = &kindWords{under: map[string]string{}}
			all[text] = k
		case "level":
			k.level, _ = strconv.Atoi(text) // as all of the file held to its form by a test
		case "fields":
			k.fields = text
		case "told":
			k.told = strings.ReplaceAll(text, "@water", waterTold)
		case "asked":
			k.asked = text
		case "drawn":
			k.drawn = append(k.drawn, text)
		case "under":
			code, fields, _ := strings.Cut(text, " ")
			k.under[code] = fields
		case "usual":
			var u usual
			fmt.Sscanf(text, "%s %g to %g %s", &u.answer, &u.low, &u.high, &u.unit)
			k.usual = append(k.usual, u)
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
