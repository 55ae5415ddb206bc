package lesson

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
)

// questions ask each kind in a sentence, as a paper does.
var questions = map[string]string{
	"bore-for-loss":     "What inside diameter carries the flow at that loss, and at what velocity?",
	"bore-for-velocity": "What inside diameter carries the flow at that velocity?",
	"convert":           "What is the quantity in {to}?",
	"critical-radius":   "At what outside radius does the insulation let most heat through?",
	"cut-sheet": "How high is the instrument, and what are the inverts, rod readings[?ground: and cuts] at " +
		"the stations?",
	"demand":             "What flow does the load call for by the code?",
	"demand-exact":       "What flow is not exceeded at that confidence?",
	"device-loss":        "What pressure does the device take?",
	"drain-size":         "What is the smallest size that carries this, and what is it good for?",
	"drainage-load":      "What load do the fixtures put on the drain by the code?",
	"equivalent-length":  "What length of pipe loses as much as the fitting?",
	"expansion-leg":      "How long must the leg of the offset be?",
	"expansion-of-water": "By how much does the water expand?",
	"expansion-tank":     "How large must the tank be?",
	"fall":               "How far does the pipe fall over its length?",
	"flow-for-loss":      "What flow does the pipe carry at that loss, and at what velocity?",
	"flow-probability":   "How likely is the fixture to be found in use?",
	"friction": "What head and what pressure are lost, and how fast does the water flow?[?roughness: What are the " +
		"Reynolds number and the friction factor?]",
	"grade": "At what grade does the pipe lie, in percent, in inches per foot and as one in how many?",
	"head": "[?head:What is the pressure at its foot?]" +
		"[?pressure:How high a column of water does that hold up?]",
	"heat-loss":       "How much heat does the pipe lose, in all and for each @foot of it?",
	"in-use":          "What is the smallest number in use at once that is not exceeded at that confidence?",
	"inverts":         "At what elevation is the invert at the upper end of each run?",
	"length-for-fall": "Over what length does the pipe use up the fall?",
	"mark":            "Is the student right, and if not, which slip explains the answer?",
	"minor-loss":      "What head is lost in the fitting?",
	"mix":             "What share of the mixed water is hot?",
	"network":         "What flows in each pipe, and what head stands at each node?",
	"offset":          "What are travel and advance of the offset?",
	"open-channel": "What are its flow, velocity, depth over bore, wetted area and hydraulic radius, and flow and " +
		"velocity if it ran full?",
	"parallel":       "What flows in each pipe, and what head is lost?",
	"pipe-by-load":   "What pipe does the code's table give, and how many units is it good for?[?pressure: What meter?]",
	"pipe-expansion": "By how much does the pipe grow?",
	"pipe-volume":    "How much water does the pipe hold?",
	"plane":          "What is the grade of the beam along the bearing, in percent (a rise is negative)?",
	"pressure-budget": "What is lost to height, what is left for friction, and how much is that for each 100 @feet of " +
		"length?",
	"pump-power":     "What power does the pump need at its shaft?",
	"recirculation":  "What flow carries the heat of the loop?",
	"rod":            "What does the rod read?",
	"rolling-offset": "What are true offset, travel and advance of the rolling offset?",
	"sewer-size":     "What is the smallest sewer that carries this, and what is it good for?",
	"stack": "What does the stack carry, how fast does the water fall and within what length does it " +
		"reach that?",
	"static-residual": "What pressure does the main keep meanwhile?",
	"supply-load":     "What load do the fixtures put on the cold line, on the hot line and on a line that feeds both?",
	"surge": "How fast does the pressure wave run, and what pressure does it add?[?length: What is the " +
		"critical time?]",
	"trap-arm":  "How long may the trap arm be, and at what grade in percent must it lie?",
	"trench":    "What volume is dug out of the trench?",
	"unit-flow": "What flow do the discharge units call for?",
	"velocity":  "How fast does the water flow?",
	"vent-size": "What is the smallest vent?",
	"wait":      "How much runs off before hot water comes, and how long is the wait?",
	"water":     "What are the density, viscosity, kinematic viscosity, vapour pressure and specific heat?",
}

// tellings put the figures of a problem into words, before its question. A part in square
// brackets is told where its fields are given, one that begins with ?field: where that field
// is, and one that begins with !field: where it is not.
var tellings = map[string]string{
	"bore-for-loss": "{method} pipe[ of C {c}][ of roughness {roughness}] is to carry {flow} over {length} and lose[ " +
		"{head_loss}][ {pressure_loss}]" + waterTold + ".",
	"bore-for-velocity": "A pipe is to carry {flow} at {velocity}.",
	"convert":           "A quantity is {value}.",
	"critical-radius": "A pipe is wrapped in insulation with a conductivity of {insulation_conductivity}; the film " +
		"of air about it takes {film}.",
	"cut-sheet": "The rod on a benchmark at {benchmark} reads {backsight}. A sewer begins with its invert " +
		"at {invert} and is laid at {grade}, falling toward later stations; the stations are at {stations}[, where the " +
		"ground lies at {ground}].",
	"demand": "Under {code} a building[ of the kind {building}][ whose closets are mostly flushed by " +
		"{system}] has[ {load} fixture units][ outlets of {outlets} in all].",
	"demand-exact": "Fixtures run at random: {groups}[?given_use:; one at least is known to run ({given_use})]. The " +
		"confidence is {confidence}.",
	"device-loss": "A device, {device}[ of size {size}], passes {flow}[, under {code}].",
	"drain-size": "Under {code} {part} carries[?k: {load} discharge units][!k:[ {load} fixture units]][ {flow}][ " +
		"at a grade of {grade}][, filled to {filling} of its bore][, with {water_closets} among its fixtures][; it " +
		"lies {below_ground}][; the frequency factor is {k}][; the system is {system}][; the branch is " +
		"{ventilated}][; the vent is {vent}][, the entries of branches are {entry}][; the stack has {intervals}].",
	"drainage-load": "Under {code} a drain takes {fixtures}[, and a continuous flow of {continuous}][; the " +
		"system is {system}].",
	"equivalent-length": "A fitting with a loss coefficient of {k} sits in pipe of {bore} bore, whose friction " +
		"factor is {friction_factor}.",
	"expansion-leg": "A pipe of {diameter} outside diameter moves by {expansion} as it warms, and an offset takes it up " +
		"by bending[; the maker's constant is {c}][; the modulus of the pipe is {modulus}][, its stress in bending at most " +
		"{stress}][; the end of the leg is {end}].",
	"expansion-of-water": "{volume} of water are heated from {cold} to {hot}.",
	"expansion-tank": "A heater's water grows by {expansion}. Its diaphragm tank is filled to {fill}, and the " +
		"pressure may rise to {highest}, both by gauge; the air outside stands at[ {atmosphere}][!atmosphere: @air].",
	"fall": "A pipe {length} long lies at a grade of {grade}.",
	"flow-for-loss": "{method} pipe[ of C {c}][ of roughness {roughness}], {length} long and of {bore} bore, " +
		"may lose[ {head_loss}][ {pressure_loss}]" + waterTold + ".",
	"flow-probability": "A fixture draws water for {duration} each time, and is used every {interval} in " +
		"the busiest hour.",
	"friction": "{flow} of water flow through {length} of pipe of {bore} bore, by {method}[ with C {c}][ with a " +
		"roughness " +
		"of {roughness}][ with a friction factor of {friction_factor}]" + waterTold + "[; the loss coefficients of its " +
		"fittings add up to {k}].",
	"grade": "A pipe falls {fall} over {length}.",
	"head":  "[A column of water is {head} high][Water stands under {pressure}]" + waterTold + ".",
	"heat-loss": "A hot pipe of {bore} bore, with a wall of {wall} and a conductivity of {conductivity}, is " +
		"{length} long[ and wrapped in {insulation_thickness} of insulation][ of {insulation_conductivity}]. The " +
		"water is at {water}, what lies about it at {ambient}[; the film of air takes {film}][; it is buried " +
		"{burial_depth} deep][ in soil of {soil_conductivity}].",
	"in-use": "At any moment of the busiest hour each of {count} fixtures is in use with a probability of " +
		"{probability}. The confidence is {confidence}.",
	"inverts":         "A drain has its outlet at an invert of {outlet_invert}. Upward from there lie {runs}.",
	"length-for-fall": "A pipe at a grade of {grade} may fall {fall} in all.",
	"mark":            "A student was asked: {problem} The answer was: {student}.[ The tolerance is {tolerance}.]",
	"minor-loss": "[Water at {velocity} passes][{flow} of water pass] a fitting with a loss coefficient of " +
		"{k}[ in pipe of {bore} bore].",
	"mix":     "Hot water of {hot} and cold of {cold} are mixed to {mixed}.",
	"network": "Pipes are joined at {nodes}. The pipes are {pipes}. The friction is that of {method}" + waterTold + ".",
	"offset":  "Two parallel pipes lie {offset} apart and are joined with fittings of {angle} degrees.",
	"open-channel": "A drain of {bore} bore lies at {grade}; Manning's n is {n}[. It runs at {depth_ratio} of " +
		"its bore][. It carries {flow}].",
	"parallel": "Pipes lie side by side, the friction that of {method}" + waterTold + ": {pipes}.[ Together they carry " +
		"{flow}.][ The head lost is {head_loss}.]",
	"pipe-by-load": "Under {code} a pipe feeds {load} fixture units over {length}[ at {pressure}][, not " +
		"smaller than {least}][; it is of {material}][, and its largest outlet has {greatest} units].",
	"pipe-expansion": "A pipe {length} long, with a coefficient of expansion of {alpha}, warms by {change}.",
	"pipe-volume":    "A pipe of {bore} bore is {length} long.",
	"plane": "A laser plane falls {grade_ahead} ahead[ and {grade_across} to the right]. A trench runs along a " +
		"bearing of {bearing} degrees, clockwise from ahead.",
	"pressure-budget": "The street has {street}[, {flow} being drawn]. The highest fixture is {rise} the " +
		"main and needs {required}; on the way are {losses}. The equivalent length is {length}[; the water is at " +
		"{temperature}][!temperature:; the water is at @cold].",
	"pump-power": "A pump of efficiency {efficiency} lifts {flow} of water by {head}[; its density is {density}]" +
		"[!density:; the water is at @cold].",
	"recirculation": "A hot loop loses {heat_loss} and may cool by {drop}[, from {temperature}][!temperature:; the " +
		"water is at @hot].",
	"rod":            "The beam of a level stands at {instrument_height}. The rod is held on a point at {elevation}.",
	"rolling-offset": "A pipe must rise {rise} and move {side} to the side, with fittings of {angle} degrees.",
	"sewer-size": "Under {code} a building sewer at {grade} carries[ {load} fixture units][ {flow}][, filled to " +
		"{filling} of its bore][, with {water_closets} among its fixtures].",
	"stack": "A stack of {bore} bore is {fill} full of falling water.",
	"static-residual": "The test of a main gave {static} static and {residual} residual at {at}. A building draws " +
		"{wanted}.",
	"supply-load": "Under {code} water lines feed {fixtures}.",
	"surge": "Water in a pipe of {bore} bore[ and {wall} wall][, whose modulus is {modulus}], is " +
		"stopped from {velocity_change}[; the restraint factor is {restraint}][; the bulk modulus of the water is " +
		"{bulk_modulus}][!bulk_modulus:; the bulk modulus of the water is @bulk][; its density is {density}]" +
		"[!density:, its density that at @cold][; the pipe is {length} long][; the valve closes in {closing_time}].",
	"trap-arm": "Under {code} a fixture has a trap arm of {size}.",
	"trench": "A trench is {length} long and {width} wide, {depth_lower} deep at its lower end and " +
		"{depth_upper} at its upper.",
	"unit-flow": "Appliances have {load} discharge units in all, the frequency factor is {k}[, and the " +
		"largest appliance discharges {largest}].",
	"velocity": "{flow} of water flow through a pipe of {bore} bore.",
	"vent-size": "Under {code} {part} with a developed length of {length} serves a drain of " +
		"{drain_size}[ with {load} fixture units][, with {water_closets} among its fixtures].",
	"wait": "[Cooled water stands before a hot tap: {volume}][A hot tap is fed through {length} of pipe of {bore} bore, " +
		"whose water has cooled]. The tap gives {flow}.",
	"water": "Water is at {temperature}.",
}

// waterTold is how the water of a problem of friction is told.
const waterTold = "[; the water is at {temperature}][; its viscosity is {viscosity}][!temperature:[!viscosity:; the " +
	"water " +
	"is at @cold]]"

// taken are what a line takes where it does not say, in US and in metric units, and the words
// of each.
var taken = [...]struct{ mark, us, si string }{
	{"@cold", "60 degF", "15.6 degC"}, {"@hot", "120 degF", "48.9 degC"}, {"@air", "14.7 psi", "101.3 kPa"},
	{"@bulk", "317600 psi", "2.19 GPa"}, {"@foot", "foot", "meter"}, {"@feet", "feet", "meters"},
}

// prose writes a problem as a textbook does: what is given, in sentences, and the question.
func (e *Engine) prose(line *strictjson.Value) string {
	kind := member(line, "ask").Text
	told := map[string]bool{"id": true, "ask": true, "units": true, "round": true}
	t := telling{e: e, kind: kind, line: line, told: told}
	text := strings.TrimSpace(t.tell(tellings[kind]))
	question := t.tell(questions[kind])
	var more []string // fields that the telling has no place for
	for i, name := range line.Names {
		if !told[name] {
			more = append(more, strings.ReplaceAll(name, "_", " ")+" "+e.spoken(kind, name, &line.Items[i]))
		}
	}
	if more != nil {
		text += " Given too: " + strings.Join(more, ", ") + "."
	}
	text += " " + question
	for _, t := range taken {
		word := t.us
		if member(line, "units").Text == "si" {
			word = t.si
		}
		text = strings.ReplaceAll(text, t.mark, word)
	}
	return strings.ToUpper(text[:min(1, len(text))]) + text[min(1, len(text)):]
}

// telling puts the fields of one problem into words.
type telling struct {
	e    *Engine
	kind string
	line *strictjson.Value
	told map[string]bool
}

// tell writes a template.
func (t *telling) tell(template string) string {
	var b strings.Builder
	for rest := template; rest != ""; {
		open := strings.IndexByte(rest, '[')
		if open < 0 {
			b.WriteString(t.fill(rest))
			break
		}
		b.WriteString(t.fill(rest[:open]))
		end, depth := open, 0
		for ; end < len(rest); end++ {
			if rest[end] == '[' {
				depth++
			} else if rest[end] == ']' {
				if depth--; depth == 0 {
					break
				}
			}
		}
		b.WriteString(t.part(rest[open+1 : end]))
		rest = rest[end+1:]
	}
	return b.String()
}

// part writes a part of a template that has a condition, "" if it is not met.
func (t *telling) part(part string) string {
	if mark := part[0]; mark == '?' || mark == '!' {
		field, text, _ := strings.Cut(part[1:], ":")
		if (find(t.line, field) != nil) != (mark == '?') {
			return ""
		}
		return t.tell(text)
	}
	if !given(part, t.line) {
		return ""
	}
	return t.tell(part)
}

// given reports whether a problem has every field of a part of its telling.
func given(part string, line *strictjson.Value) bool {
	for _, field := range strings.Split(part, "{")[1:] {
		name, _, _ := strings.Cut(field, "}")
		if find(line, name) == nil {
			return false
		}
	}
	return true
}

// fill puts the fields of a problem into a part of its telling.
func (t *telling) fill(part string) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(part, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		if v := find(t.line, name); v != nil {
			b.WriteString(t.e.spoken(t.kind, name, v))
			t.told[name] = true
		}
		part = after
	}
}

// words are how the words of a line are said, those of one kind before those of all.
var words = map[string]string{
	"hazen-williams": "Hazen-Williams", "darcy-weisbach": "Darcy-Weisbach", "tank": "flush tanks",
	"valve": "flush valves", "drain-size branch": "a branch", "drain-size stack": "a stack",
	"stack-interval": "one branch interval of a stack", "drain": "a building drain",
	"vent-size individual": "an individual vent", "vent-size stack": "a vent stack or stack vent",
}

// spoken is a field as a sentence has it.
func (e *Engine) spoken(kind, name string, v *strictjson.Value) string {
	switch name {
	case "code":
		return e.shelf.title(v.Text)
	case "problem":
		return e.prose(v)
	case "fixtures":
		return listed(v, fixtureWords)
	case "runs":
		return listed(v, runWords)
	case "losses":
		return listed(v, func(l *strictjson.Value) string {
			return "a " + member(l, "name").Text + " that takes " + member(l, "loss").Text
		})
	case "groups":
		return listed(v, func(g *strictjson.Value) string {
			return fmt.Sprintf("%s of %s, each with a probability of %s", member(g, "count").Text, member(g, "flow").Text,
				member(g, "probability").Text)
		})
	case "nodes":
		return listed(v, nodeWords)
	case "pipes":
		return listed(v, pipeWords)
	case "water_closets", "intervals":
		thing := map[string]string{"water_closets": " water closet", "intervals": " branch interval"}[name]
		if v.Text != "1" {
			thing += "s"
		}
		return v.Text + thing
	case "fill":
		if s := fillWords[v.Text]; kind == "stack" && s != "" {
			return s
		}
	case "alpha":
		if v.Kind == strictjson.Number {
			return v.Text + " 1/K"
		}
	case "grade_across":
		if rise, ok := strings.CutPrefix(v.Text, "-"); ok {
			return "rises " + rise
		}
		return "falls " + v.Text
	case "rise":
		if kind == "pressure-budget" {
			if below, ok := strings.CutPrefix(v.Text, "-"); ok {
				return below + " below"
			}
			return v.Text + " above"
		}
	case "ventilated", "below_ground":
		word := strings.ReplaceAll(name, "_", " ")
		if v.Text == "false" {
			return "not " + word
		}
		return word
	case "method", "system", "part":
		if w := cmp.Or(words[kind+" "+v.Text], words[v.Text]); w != "" {
			return w
		}
	}
	if v.Kind == strictjson.Array {
		return listed(v, givenText)
	}
	return givenText(v)
}

// fillWords are the fills that stacks are rated at, as the trade says them.
var fillWords = map[string]string{"0.25": "1/4", "0.291666666667": "7/24", "0.333333333333": "1/3"}

func runWords(r *strictjson.Value) string {
	s := member(r, "length").Text + " at " + member(r, "grade").Text
	if d := member(r, "drop").Text; d != "" {
		s += " with a drop of " + d + " at its upper end"
	}
	return s
}

// nodeWords says a node of a network: "main with a head of 123 ft", "A, which draws 9 gpm".
func nodeWords(n *strictjson.Value) string {
	id := member(n, "id").Text
	if head := member(n, "head").Text; head != "" {
		return id + " with a head of " + head
	}
	if q := member(n, "demand").Text; q != "" {
		return id + ", which draws " + q
	}
	return id
}

// pipeWords says a pipe of a network, or one of those that lie side by side.
func pipeWords(p *strictjson.Value) string {
	s := "one"
	if id := member(p, "id").Text; id != "" {
		s = id + " from " + member(p, "from").Text + " to " + member(p, "to").Text
	}
	s += fmt.Sprintf(", %s long and of %s bore", member(p, "length").Text, member(p, "bore").Text)
	if c := member(p, "c").Text; c != "" {
		return s + ", C " + c
	}
	return s + ", roughness " + member(p, "roughness").Text
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
		last := " and "
		if sep == "; " {
			last = "; and "
		}
		return strings.Join(parts[:n-1], sep) + last + parts[n-1]
	}
}
