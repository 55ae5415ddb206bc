package lesson

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/units"
)

// Kind is a kind of problem.
type Kind struct {
	Name    string // the value of "ask"
	Asks    string // what it asks, as a question
	Fields  string // its inputs; those with ? may be left out
	Answers string // the names of its answers, with their units in the US and the SI system
	Example string // a whole line
}

// Kinds returns the kinds of problem in the order of their names.
func (e *Engine) Kinds() []Kind {
	var out []Kind
	for _, name := range kindNames() {
		k := Kind{Name: name, Asks: questions[name], Fields: kinds[name].fields}
		if line, err := quizLine(newQuizRand(1), "1", name, e.with(Options{})); err == nil {
			k.Example = string(line)
			k.Answers = e.answersOf(line)
		}
		out = append(out, k)
	}
	return out
}

// answersOf lists what the answer to a line is made of.
func (e *Engine) answersOf(line []byte) string {
	us := e.shape(line)
	si := e.shape(slices.Concat(line[:len(line)-1], []byte(`,"units":"si"}`)))
	var out []string
	for i, a := range us {
		if i < len(si) && si[i] != a {
			a += " or " + si[i][strings.LastIndex(si[i], " ")+1:]
		}
		out = append(out, a)
	}
	return strings.Join(out, ", ")
}

// shape lists the answers to a line by name and unit.
func (e *Engine) shape(line []byte) []string {
	reply, ok := answerLine(nil, line, 1, e.with(Options{}))
	var r struct{ Answer map[string]json.RawMessage }
	if !ok || json.Unmarshal(reply, &r) != nil {
		return nil
	}
	var out []string
	for name, raw := range r.Answer {
		unit := firstUnit.FindSubmatch(raw)
		switch {
		case bytes.Contains(raw, []byte(`"right"`)):
			out = append(out, name+": {right, off_by, likely}")
		case unit == nil:
			out = append(out, name+" text")
		case raw[0] == '[':
			out = append(out, name+": [] "+string(unit[1]))
		default:
			out = append(out, name+" "+string(unit[1]))
		}
	}
	slices.Sort(out)
	return out
}

var firstUnit = regexp.MustCompile(`"unit":"([^"]*)"`)

// fieldGroups tell how the fields of lines are written.
var fieldGroups = []struct{ what, example, quantity, fields string }{
	{"length", `"37 ft 6 in", "2.067 in", "12.5 m"`, "length",
		"length bore wall size drain_size least fall drop offset rise side travel outlet_invert instrument_height " +
			"elevation benchmark " +
			"backsight invert stations ground width depth_lower depth_upper roughness insulation_thickness " +
			"burial_depth head head_loss"},
	{"grade", `"1/4 in/ft", "2 %", "1:48"`, "", "grade grade_ahead grade_across"},
	{"flow", `"12 gpm", "0.5 L/s"`, "flow", "flow largest continuous outlets at wanted demand"},
	{"pressure", `"60 psi", "4 bar"`, "pressure",
		"pressure pressure_loss street static residual required loss modulus bulk_modulus fill highest atmosphere"},
	{"velocity", `"5 ft/s", "1.5 m/s"`, "velocity", "velocity velocity_change"},
	{"volume", `"40 gal", "150 L"`, "volume", "volume expansion"},
	{"temperature", `"120 degF", "55 degC"`, "temperature", "temperature water ambient hot cold mixed"},
	{"temperature difference", `"10 degF", "5 K"`, "", "drop change"},
	{"time", `"9 s", "5 min"`, "time", "duration interval closing_time"},
	{"heat flow", `"2400 Btu/h", "700 W"`, "power", "heat_loss"},
	{"conductivity", `"0.04 W/m-K"`, "", "conductivity insulation_conductivity soil_conductivity"},
	{"film", `"10 W/m2-K"`, "", "film"},
	{"density", `"62.4 lb/ft3", "1000 kg/m3"`, "density", "density"},
	{"viscosity", `"1.2e-5 ft2/s", "1.1e-6 m2/s"`, "kinematic viscosity", "viscosity"},
	{"number", `0.013`, "", "angle bearing n depth_ratio fill c k friction_factor restraint probability confidence " +
		"count load greatest " +
		"water_closets intervals efficiency alpha tolerance"},
	{"true or false", `true`, "", "below_ground given_use"},
	{"word", `"ipc-2021"`, "", "code part system method material device building variant id from to name"},
	{"list or object", "", "", "runs losses nodes pipes groups fixtures problem student value"},
}

// WriteGuide writes every kind with its inputs, answers and an example, and how inputs
// are written: enough to write a line of each.
func (e *Engine) WriteGuide(w io.Writer) error {
	var b strings.Builder
	for _, k := range e.Kinds() {
		fmt.Fprintf(&b, "%s: %s\n  inputs   %s\n  answers  %s\n  example  %s\n", k.Name, k.Asks, k.Fields, k.Answers,
			k.Example)
	}
	b.WriteString("\nHow inputs are written. A field with ? may be left out. Every line may have id, units (us, the " +
		"default, or si)\n" +
		"and round (trade: lengths also as text).\n")
	for _, g := range fieldGroups {
		fmt.Fprintf(&b, "  %s %s: %s\n", g.what, g.example, strings.ReplaceAll(g.fields, " ", ", "))
		if list := symbols(g.quantity); list != "" {
			fmt.Fprintf(&b, "    units: %s\n", list)
		}
	}
	b.WriteString("Words: method hazen-williams, darcy-weisbach; system tank, valve; part branch, stack, " +
		"stack-interval, drain,\n" +
		"and of vents individual, stack. fill of a stack and of part-full pipe is a number, of a tank a pressure.\n" +
		"A fixture: {\"fixture\":\"lavatory\",\"count\":2,\"use\":\"private\",\"control\":\"tank\",\"flush\":\"1.6 " +
		"gal\",\"size\":\"1 1/4 in\"};\n" +
		"what a code does not ask for may be left out, and what it asks for and misses is named with the choices.\n" +
		"A code that is not on the shelf is answered with the list of those that are.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// symbols lists the units of a quantity.
func symbols(quantity string) string {
	var list []string
	for _, u := range units.Units() {
		if u.Quantity == quantity && quantity != "" {
			list = append(list, u.Symbol)
		}
	}
	return strings.Join(list, ", ")
}
