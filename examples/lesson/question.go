package lesson

import (
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// questions ask each kind in a sentence, as a paper does.
var questions = map[string]string{
	"bore-for-loss":      "What inside diameter carries the flow at the loss allowed?",
	"bore-for-velocity":  "What inside diameter carries the flow at the velocity?",
	"convert":            "What is the quantity in the other unit?",
	"critical-radius":    "At what outside radius does insulation let most heat through?",
	"cut-sheet":          "Where does the beam stand, and what are the inverts, rod readings and cuts at the stations?",
	"demand":             "What flow does the load call for by the code?",
	"demand-exact":       "What flow is not exceeded at the confidence, the fixtures drawn at random?",
	"device-loss":        "What pressure does the device take at the flow?",
	"drain-size":         "What is the smallest drain that carries the load?",
	"drainage-load":      "What load do the fixtures put on the drain by the code?",
	"equivalent-length":  "What length of pipe loses as much as the fitting?",
	"expansion-of-water": "By how much does the water expand as it is heated?",
	"expansion-tank":     "How large must the diaphragm tank be?",
	"expansion-leg":      "How long must the leg of the offset be?",
	"fall":               "How far does the pipe fall over its length?",
	"flow-for-loss":      "What flow does the pipe carry at the loss?",
	"flow-probability":   "How likely is the fixture to be found in use?",
	"friction":           "What head and pressure does the flow lose in the pipe?",
	"grade":              "At what grade does the pipe lie?",
	"head":               "What is the pressure under the head, or the head of the pressure?",
	"heat-loss":          "How much heat does the pipe lose?",
	"in-use":             "How many are in use at once, not exceeded at the confidence?",
	"inverts":            "At what elevation is the upper end of each run?",
	"length-for-fall":    "Over what length does the pipe use up the fall?",
	"mark":               "Is the student right, and if not, which slip explains the answer?",
	"minor-loss":         "What head is lost in the fitting?",
	"mix":                "What share of the mixed water is hot?",
	"network":            "What flows in each pipe, and what head stands at each node?",
	"offset":             "What are travel and advance of the offset?",
	"open-channel":       "How does the part-full pipe flow?",
	"parallel":           "How does the flow divide between the pipes?",
	"pipe-by-load":       "What pipe does the code's table give for the load?",
	"pipe-expansion":     "By how much does the pipe grow as it warms?",
	"pipe-volume":        "How much water does the pipe hold?",
	"plane":              "At what grade does the plane of the beam fall along the bearing?",
	"pressure-budget":    "What pressure is left for friction, and how much of it for each hundred of length?",
	"pump-power":         "What power does the pump need at its shaft?",
	"recirculation":      "What flow carries the heat that the loop loses?",
	"rod":                "What does the rod read?",
	"rolling-offset":     "What are true offset, travel and advance of the rolling offset?",
	"sewer-size":         "What is the smallest building sewer that carries the load?",
	"stack":              "What does the stack carry, how fast does it fall and within what length does it reach that?",
	"static-residual":    "What pressure does the main keep while the flow is drawn?",
	"supply-load":        "What load do the fixtures put on cold, hot and common lines by the code?",
	"surge":              "How fast does the pressure wave run, and what pressure does it add?",
	"trap-arm":           "How long may the trap arm be, and at what grade must it lie?",
	"trench":             "How much is dug out of the trench?",
	"unit-flow":          "What flow do the discharge units call for?",
	"velocity":           "How fast does the water flow?",
	"vent-size":          "What is the smallest vent?",
	"wait":               "How long is the wait for hot water, and how much runs off?",
	"water":              "What are the properties of the water?",
}

// tellings put the figures of a problem into words, before its question. A part in square
// brackets is told where its field is given.
var tellings = map[string]string{
	"bore-for-loss": "{method} pipe[ of C {c}][ of roughness {roughness}] is to carry {flow} over {length}[ " +
		"and lose {head_loss}][ and lose {pressure_loss}][; the water is at {temperature}][; its viscosity is {viscosity}].",
	"bore-for-velocity": "A pipe is to carry {flow} at {velocity}.",
	"convert":           "{value} is to be written in {to}.",
	"critical-radius": "A pipe is wrapped in insulation of {insulation_conductivity}; air takes the heat off at " +
		"{film}.",
	"cut-sheet": "The rod on a benchmark at {benchmark} reads {backsight}. A sewer begins with its invert " +
		"at {invert} and is laid at {grade}, falling toward later stations; the stations are at {stations}[, where the " +
		"ground lies at {ground}].",
	"demand": "Under {code} a building[ of the kind {building}][ whose closets are mostly flushed by " +
		"{system}] has[ {load} fixture units][ outlets of {outlets} in all].",
	"demand-exact": "Fixtures are drawn at random: {groups}. The confidence is {confidence}[; one at least is " +
		"known to run: {given_use}].",
	"device-loss": "A {device}[ of {size}] passes {flow}[, under {code}].",
	"drain-size": "Under {code} a {part} carries[ {load} fixture units][ {flow}][ at a grade of {grade}][, filled to " +
		"{filling} of its bore][, {water_closets} of its fixtures water closets][, {below_ground}][; the frequency factor " +
		"is {k}][; system {system}][; its branches are {ventilated}][; the vent is {vent}][, the entries of branches are " +
		"{entry}][; the stack has {intervals} branch intervals].",
	"drainage-load": "Under {code} a drain takes {fixtures}[ and a continuous flow of {continuous}][, in " +
		"system {system}].",
	"equivalent-length": "A fitting with a loss coefficient of {k} sits in pipe of {bore} bore, whose friction " +
		"factor is {friction_factor}.",
	"expansion-of-water": "{volume} of water are heated from {cold} to {hot}.",
	"expansion-tank": "A heater's water grows by {expansion}. Its diaphragm tank is filled to {fill}, and the " +
		"pressure may rise to {highest}[; the air outside stands at {atmosphere}].",
	"expansion-leg": "A pipe of {diameter} outside diameter moves by {expansion} as it warms, and an offset takes it up " +
		"by bending[; the maker's constant is {c}][; the modulus of the pipe is {modulus}][, its stress in bending at most " +
		"{stress}][; the end of the leg is {end}].",
	"fall": "A pipe {length} long lies at a grade of {grade}.",
	"flow-for-loss": "{method} pipe[ of C {c}][ of roughness {roughness}], {length} long and of {bore} bore, " +
		"may lose[ {head_loss}][ {pressure_loss}][; the water is at {temperature}][; its viscosity is {viscosity}].",
	"flow-probability": "A fixture draws water for {duration} each time, and comes to be used every {interval} in " +
		"the busiest hour.",
	"friction": "{flow} of water[ at {temperature}][ of viscosity {viscosity}] flow through {length} of " +
		"pipe of {bore} bore, by {method}[ with C {c}][ with a roughness of {roughness}][ with a friction factor of " +
		"{friction_factor}][; the loss coefficients of its fittings add up to {k}].",
	"grade": "A pipe falls {fall} over {length}.",
	"head":  "[A column of water is {head} high.][Water stands under {pressure}.][ It is at {temperature}.]",
	"heat-loss": "A hot pipe of {bore} bore, with a wall of {wall} and {conductivity}, is {length} long[ " +
		"and wrapped in {insulation_thickness} of insulation][ of {insulation_conductivity}]. The water is at {water}, " +
		"what lies about it at {ambient}[; the film of air takes {film}][; it is buried {burial_depth} deep][ in soil " +
		"of {soil_conductivity}].",
	"in-use": "Each of {count} fixtures runs with a probability of {probability} when one looks.[ The " +
		"confidence is {confidence}.]",
	"inverts":         "A drain leaves its outlet at an invert of {outlet_invert}. Upward from there lie {runs}.",
	"length-for-fall": "A pipe at a grade of {grade} may fall {fall} in all.",
	"mark":            "A student was asked: {problem} The answer was: {student}.[ The tolerance is {tolerance}.]",
	"minor-loss": "[Water at {velocity} passes][{flow} of water pass] a fitting with a loss coefficient of " +
		"{k}[ in pipe of {bore} bore].",
	"mix": "Hot water of {hot} and cold of {cold} are mixed to {mixed}.",
	"network": "By {method}[, the water at {temperature}][, its viscosity {viscosity}]: the nodes are " +
		"{nodes}; the pipes are {pipes}.",
	"offset": "Two parallel pipes lie {offset} apart and are joined with fittings of {angle} degrees.",
	"open-channel": "A drain of {bore} bore lies at {grade}; Manning's n is {n}[. It runs at {depth_ratio} of " +
		"its bore][. It carries {flow}].",
	"parallel": "By {method}[, the water at {temperature}][, its viscosity {viscosity}], pipes lie side " +
		"by side: {pipes}.[ Together they carry {flow}.][ The head lost is {head_loss}.]",
	"pipe-by-load": "Under {code} a pipe feeds {load} fixture units over {length}[ at {pressure}][, not " +
		"smaller than {least}][; it is of {material}][, and its largest outlet has {greatest} units].",
	"pipe-expansion": "{length} of pipe grow by {alpha} for each kelvin, and warm by {change}.",
	"pipe-volume":    "A pipe of {bore} bore is {length} long.",
	"plane": "A laser plane falls {grade_ahead} ahead[ and {grade_across} across, positive to the " +
		"right]. A trench runs along a bearing of {bearing} degrees, clockwise from ahead.",
	"pressure-budget": "The street has {street}[, {flow} being drawn]. The highest fixture is {rise} above the " +
		"main and needs {required}; on the way are {losses}. The equivalent length is {length}[, the water at " +
		"{temperature}].",
	"pump-power":     "A pump of efficiency {efficiency} lifts {flow} by {head}[; the density is {density}].",
	"recirculation":  "A hot loop loses {heat_loss} and may cool by {drop}[, from {temperature}].",
	"rod":            "The beam of a level stands at {instrument_height}. The rod is held on a point at {elevation}.",
	"rolling-offset": "A pipe must rise {rise} and move {side} to the side, with fittings of {angle} degrees.",
	"sewer-size": "Under {code} a building sewer at {grade} carries[ {load} fixture units][ {flow}][, filled to " +
		"{filling} of its bore][, {water_closets} of the fixtures water closets].",
	"stack":           "A stack of {bore} bore is {fill} full of falling water.",
	"static-residual": "A main stands at {static}, and at {residual} while {at} are drawn. A building draws {wanted}.",
	"supply-load":     "Under {code} water lines feed {fixtures}.",
	"surge": "Water in a pipe of {bore} bore[ and {wall} wall][, whose modulus is {modulus}], is " +
		"slowed by {velocity_change}[; the restraint factor is {restraint}][; the bulk modulus of the water is " +
		"{bulk_modulus}][; its density is {density}][; the pipe is {length} long][; the valve closes in {closing_time}].",
	"trap-arm": "Under {code} a trap arm is {size}.",
	"trench": "A trench is {length} long and {width} wide, {depth_lower} deep at its lower end and " +
		"{depth_upper} at its upper.",
	"unit-flow": "Appliances have {load} discharge units in all, the frequency factor is {k}[, and the " +
		"largest appliance discharges {largest}].",
	"velocity": "{flow} of water flow through a bore of {bore}.",
	"vent-size": "Under {code} a vent ({part}) with a developed length of {length} serves a drain of " +
		"{drain_size}[ with {load} fixture units][, {water_closets} of its fixtures water closets].",
	"wait": "Cooled water stands before a tap:[ {volume}][ what {length} of pipe][ of {bore} bore " +
		"hold]. The tap gives {flow}.",
	"water": "Water is at {temperature}.",
}

// prose writes a problem as a textbook does: what is given, in sentences, and the question.
func (e *Engine) prose(line *strictjson.Value) string {
	kind := member(line, "ask").Text
	told := map[string]bool{"id": true, "ask": true, "units": true, "round": true}
	var b strings.Builder
	for rest := tellings[kind]; rest != ""; {
		open := strings.IndexByte(rest, '[')
		if open < 0 {
			b.WriteString(e.fill(rest, line, told))
			break
		}
		b.WriteString(e.fill(rest[:open], line, told))
		end := strings.IndexByte(rest, ']')
		if part := rest[open+1 : end]; given(part, line) {
			b.WriteString(e.fill(part, line, told))
		}
		rest = rest[end+1:]
	}
	var more []string // fields that the telling has no place for
	for i, name := range line.Names {
		if !told[name] {
			more = append(more, strings.ReplaceAll(name, "_", " ")+" "+e.spoken(name, &line.Items[i]))
		}
	}
	text := strings.TrimSpace(b.String())
	if more != nil {
		text += " Given too: " + strings.Join(more, ", ") + "."
	}
	return strings.ToUpper(text[:min(1, len(text))]) + text[min(1, len(text)):] + " " + questions[kind]
}

// given reports whether a problem has every field of a part of its telling.
func given(part string, line *strictjson.Value) bool {
	for _, field := range strings.Split(part, "{")[1:] {
		name, _, _ := strings.Cut(field, "}")
		if _, ok := find(line, name); !ok {
			return false
		}
	}
	return true
}

func find(v *strictjson.Value, name string) (*strictjson.Value, bool) {
	for i, n := range v.Names {
		if n == name {
			return &v.Items[i], true
		}
	}
	return nil, false
}

// fill puts the fields of a problem into a part of its telling.
func (e *Engine) fill(part string, line *strictjson.Value, told map[string]bool) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(part, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		if v, ok := find(line, name); ok {
			b.WriteString(e.spoken(name, v))
			told[name] = true
		}
		part = after
	}
}

// words are how the words of a line are said.
var words = map[string]string{
	"hazen-williams": "Hazen-Williams", "darcy-weisbach": "Darcy-Weisbach", "tank": "flush tanks",
	"valve": "flush valves", "stack-interval": "branch interval of a stack", "drain": "building drain",
}

// spoken is a field as a sentence has it.
func (e *Engine) spoken(name string, v *strictjson.Value) string {
	switch {
	case name == "code":
		return e.shelf.title(v.Text)
	case name == "problem":
		return e.prose(v)
	case name == "fixtures":
		return listed(v, fixtureWords)
	case name == "runs":
		return listed(v, func(r *strictjson.Value) string {
			s := member(r, "length").Text + " at " + member(r, "grade").Text
			if d := member(r, "drop").Text; d != "" {
				s += " with a drop of " + d
			}
			return s
		})
	case name == "losses":
		return listed(v, func(l *strictjson.Value) string {
			return "a " + member(l, "name").Text + " that takes " + member(l, "loss").Text
		})
	case name == "ventilated" && v.Text == "false":
		return "not ventilated"
	case name == "ventilated":
		return "ventilated"
	case name == "below_ground" && v.Text == "false":
		return "above ground"
	case name == "below_ground":
		return "below ground"
	case name == "method" || name == "system" || name == "part":
		if w := words[v.Text]; w != "" {
			return w
		}
	case v.Kind == strictjson.Array:
		return listed(v, givenText)
	}
	return givenText(v)
}

// fixtureWords says a fixture of a list: "4 water-closet, private, tank, 1.6 gal".
func fixtureWords(f *strictjson.Value) string {
	n := member(f, "count").Text
	s := n + " " + strings.ReplaceAll(member(f, "fixture").Text, "-", " ")
	if n != "1" {
		s = several(s)
	}
	var more []string
	for i, name := range f.Names {
		if name != "fixture" && name != "count" {
			more = append(more, f.Items[i].Text)
		}
	}
	if more != nil {
		s += " (" + strings.Join(more, ", ") + ")"
	}
	return s
}

// several is the plural of a fixture.
func several(s string) string {
	switch {
	case strings.HasSuffix(s, "y"):
		return s[:len(s)-1] + "ies"
	case strings.HasSuffix(s, "sh"), strings.HasSuffix(s, "s"), strings.HasSuffix(s, "x"):
		return s + "es"
	}
	return s + "s"
}

// listed joins the items of a list as a sentence does.
func listed(v *strictjson.Value, say func(*strictjson.Value) string) string {
	parts := make([]string, len(v.Items))
	for i := range v.Items {
		parts[i] = say(&v.Items[i])
	}
	switch n := len(parts); n {
	case 0:
		return "nothing"
	case 1:
		return parts[0]
	default:
		sep := ", "
		if strings.Contains(strings.Join(parts, ""), ", ") {
			sep = "; "
		}
		return fmt.Sprint(strings.Join(parts[:n-1], sep), " and ", parts[n-1])
	}
}
