package lesson

import (
	_ "embed"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/units"
)

// Kind is a kind of problem.
type Kind struct {
	Name    string   // the value of "ask"
	Asks    string   // what it asks, as a question
	Fields  string   // its inputs; those with ? may be left out
	Answers string   // the names of its answers, with their units in the US and the SI system
	Example string   // a whole line
	More    []string // lines that use its other inputs
	Codes   []string // the codes that it is asked under; nil where it takes none
}

// Kinds returns the kinds of problem in the order of their names.
func (e *Engine) Kinds() []Kind {
	var out []Kind
	for _, name := range kindNames() {
		said := wordsOf(name)
		k := Kind{Name: name, Asks: plainQuestion(said.asked), Fields: said.fields}
		if line, err := quizLine(newQuizRand(1), "1", name, e.with(Options{})); err == nil {
			k.Example = string(line)
			k.More = slices.Clone(said.more)
			k.Answers = e.answersOf(line, k.More)
		}
		k.Codes = slices.Clone(e.shelf.codesOf(name))
		out = append(out, k)
	}
	return out
}

// plainQuestion is a question without the conditions of its parts.
func plainQuestion(template string) string {
	s := strings.NewReplacer("{to}", "the other unit", "@foot", "foot or meter", "@feet", "feet or meters", "]", "").
		Replace(questionPart.ReplaceAllString(template, " "))
	return strings.Join(strings.Fields(s), " ")
}

var questionPart = regexp.MustCompile(`\[[?!][a-z_]+:`)

// codesOf returns the codes of the shelf that answer a kind: those that answer one of a few
// lines of it.
func (c *codes) codesOf(kind string) []string {
	if out, ok := c.kinds[kind]; ok {
		return out
	}
	lines := wordsOf(kind).tried
	r := newQuizRand(1)
	opt := options{shelf: c, probing: true}
	for range 4 {
		if line, err := quizLine(r, "1", kind, opt); err == nil && quizCode.Match(line) {
			lines = append(slices.Clip(lines), string(line))
		}
	}
	var out []string
	for _, id := range c.sets() {
		for _, line := range lines {
			asked := quizCode.ReplaceAllString(line, fmt.Sprintf(`"code":%q`, id))
			if _, err := solveLine([]byte(asked), opt); err == nil {
				out = append(out, id)
				break
			}
		}
	}
	c.kinds[kind] = out
	return out
}

// listedIn returns what a column of the tables of a name holds over the shelf, each word once.
func (c *codes) listedIn(name, column string) []string {
	var out []string
	for _, id := range c.ids() {
		if id != name && path.Base(id) != name {
			continue
		}
		t, err := c.shelf.Table(id)
		if err != nil {
			continue
		}
		at := t.Column(column)
		for row := range t.Len() {
			if at >= 0 && t.Cell(row, at) != "" {
				out = append(out, strings.Split(t.Cell(row, at), ";")...)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// answersOf lists what the answers to the lines of a kind are made of.
func (e *Engine) answersOf(line []byte, more []string) string {
	lines := [][]byte{line, slices.Concat(line[:len(line)-1], []byte(`,"units":"si"}`))}
	for _, l := range more {
		lines = append(lines, []byte(l))
	}
	var names []string
	units := map[string][]string{}
	for _, l := range lines {
		for _, a := range e.shape(l) {
			name, unit, _ := strings.Cut(a, " ")
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
			if !slices.Contains(units[name], unit) {
				units[name] = append(units[name], unit)
			}
		}
	}
	var out []string
	for _, name := range names {
		out = append(out, name+" "+strings.Join(units[name], " or "))
	}
	return strings.Join(out, ", ")
}

// shape lists the answers to a line by name and unit.
func (e *Engine) shape(line []byte) []string {
	p, err := solveLine(line, e.with(Options{}))
	if err != nil {
		return nil
	}
	var out []string
	for i, name := range p.names {
		v := &p.items[i]
		units := v.unitsOf()
		switch {
		case v.judged():
			out = append(out, name+" {right, off_by, likely}")
		case units == nil:
			out = append(out, name+" text")
		case v.form == listForm:
			out = append(out, name+" list of "+units[0])
		default:
			out = append(out, name+" "+units[0])
		}
	}
	slices.Sort(out)
	return out
}

// fieldGroups tell how the fields of lines are written.
var fieldGroups = []struct{ what, example, quantity, fields string }{
	{"length", `"37 ft 6 in", "2.067 in", "12.5 m"`, "length",
		"length bore diameter wall size drain_size least fall drop offset rise side travel outlet_invert instrument_height " +
			"elevation benchmark " +
			"backsight invert stations ground width depth_lower depth_upper roughness insulation_thickness " +
			"burial_depth head head_loss"},
	{"grade", `"1/4 in/ft", "2 %", "1:48"`, "", "grade grade_ahead grade_across"},
	{"flow", `"12 gpm", "0.5 L/s"`, "flow", "flow largest continuous outlets at wanted demand"},
	{"pressure", `"60 psi", "4 bar"`, "pressure",
		"pressure pressure_loss street static residual required loss stress modulus bulk_modulus fill highest atmosphere"},
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
	{"number of degrees", `45`, "", "angle bearing"},
	{"number of units of the code (dfu, wsfu, du or lu)", `42`, "", "load greatest"},
	{"count", `4`, "", "count water_closets intervals"},
	{"share of 1", `0.95`, "", "probability confidence depth_ratio filling efficiency"},
	{"number", `0.013`, "", "n fill c k friction_factor restraint alpha tolerance"},
	{"true or false", `true`, "", "below_ground given_use ventilated"},
	{"word", `"ipc-2021"`, "", "code part system vent entry end method material device building variant id from to name"},
	{"list or object", "", "", "runs losses nodes pipes groups fixtures problem student value"},
}

// numberIn is what a field counts that takes a plain number, as the guide calls it, and such
// a number.
func numberIn(field string) (what, example string) {
	for _, g := range fieldGroups { // fill is a number of a stack, and a pressure of a tank
		if !strings.HasPrefix(g.example, `"`) && slices.Contains(strings.Fields(g.fields), field) {
			return g.what, g.example
		}
	}
	return "number", "2"
}

// howWritten is how inputs are written, for the end of the guide.
//
//go:embed guide.txt
var howWritten string

// WriteGuide writes every kind with its inputs, answers and an example, and how inputs
// are written: enough to write a line of each.
func (e *Engine) WriteGuide(w io.Writer) error {
	var b strings.Builder
	for _, k := range e.Kinds() {
		fmt.Fprintf(&b, "%s: %s\n  inputs   %s\n  answers  %s\n  example  %s\n", k.Name, k.Asks, k.Fields, k.Answers,
			k.Example)
		for _, line := range k.More {
			fmt.Fprintf(&b, "           %s\n", line)
		}
		if k.Codes != nil {
			fmt.Fprintf(&b, "  codes    %s\n", strings.Join(k.Codes, ", "))
		}
	}
	var fields strings.Builder
	for _, g := range fieldGroups {
		fmt.Fprintf(&fields, "  %s %s: %s\n", g.what, g.example, strings.ReplaceAll(g.fields, " ", ", "))
		if list := symbols(g.quantity); list != "" {
			fmt.Fprintf(&fields, "    units: %s\n", list)
		}
	}
	kinds := slices.Concat(e.shelf.listedIn("fixtures", "fixture"),
		e.shelf.listedIn("supply-fixture-units", "fixture"), e.shelf.listedIn("en12056-2/discharge-units", "fixture"))
	slices.Sort(kinds)
	b.WriteString(strings.NewReplacer(
		"{fields}", fields.String(),
		"{devices}", strings.Join(e.shelf.listedIn("devices/supply-typical-loss", "device"), ", "),
		"{materials}", strings.Join(e.shelf.listedIn("en806-3/supply-pipe-size", "material"), ", "),
		"{buildings}", strings.Join(e.shelf.listedIn("din1988-300/supply-peak-flow", "building"), ", "),
		"{fixtures}", strings.Join(slices.Compact(kinds), ", "),
	).Replace(howWritten))
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
