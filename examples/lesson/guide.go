package lesson

import (
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
		k := Kind{Name: name, Asks: plainQuestion(questions[name]), Fields: kinds[name].fields}
		if line, err := quizLine(newQuizRand(1), "1", name, e.with(Options{})); err == nil {
			k.Example = string(line)
			k.More = slices.Clone(moreExamples[name])
			k.Answers = e.answersOf(line, k.More)
		}
		k.Codes = slices.Clone(e.shelf.codesOf(name))
		out = append(out, k)
	}
	return out
}

// moreLines are lines of kinds that some codes answer by other fields than the drawn ones.
var moreLines = map[string][]string{
	"demand":       {`{"ask":"demand","code":"","building":"residential","outlets":"5 L/s"}`},
	"pipe-by-load": {`{"ask":"pipe-by-load","code":"","load":4,"length":"2 m","material":"copper","greatest":2}`},
	"drainage-load": {`{"ask":"drainage-load","code":"","fixtures":[{"fixture":"lavatory","count":1}],"system":"I"}`,
		`{"ask":"drainage-load","code":"","fixtures":[{"fixture":"lavatory","count":1}]}`},
	"supply-load": {`{"ask":"supply-load","code":"","fixtures":[{"fixture":"lavatory","count":1}]}`,
		`{"ask":"supply-load","code":"","fixtures":[{"fixture":"lavatory","count":1,"use":"private"}]}`},
	"vent-size": {`{"ask":"vent-size","code":"","part":"individual","drain_size":"2 in","load":4,"length":"10 ft"}`,
		`{"ask":"vent-size","code":"","part":"stack","drain_size":"3 in","load":20,"length":"60 ft"}`},
	"drain-size": {`{"ask":"drain-size","code":"","part":"drain","load":4,"grade":"1/4 in/ft"}`,
		`{"ask":"drain-size","code":"","part":"drain","flow":"2 L/s","grade":"1:40","filling":0.7}`,
		`{"ask":"drain-size","code":"","part":"stack","flow":"2 L/s"}`,
		`{"ask":"drain-size","code":"","part":"branch","load":4}`, `{"ask":"drain-size","code":"","part":"stack","load":20}`},
	"sewer-size": {`{"ask":"sewer-size","code":"","load":20,"grade":"1/4 in/ft"}`,
		`{"ask":"sewer-size","code":"","flow":"2 L/s","grade":"1:40","filling":0.7}`,
		`{"ask":"sewer-size","code":"","flow":"2 L/s","grade":"1:40"}`},
	"device-loss": {`{"ask":"device-loss","code":"","device":"tap","size":"3/4 in","flow":"10 gpm"}`},
	"trap-arm":    {`{"ask":"trap-arm","code":"","size":"DN 50"}`, `{"ask":"trap-arm","code":"","size":"50 mm"}`},
}

// plainQuestion is a question without the conditions of its parts.
func plainQuestion(template string) string {
	s := strings.NewReplacer("{to}", "the other unit", "@foot", "foot or meter", "@feet", "feet or meters", "]", "").
		Replace(questionPart.ReplaceAllString(template, " "))
	return strings.Join(strings.Fields(s), " ")
}

var questionPart = regexp.MustCompile(`\[[?!][a-z_]+:`)

// moreExamples are lines of kinds whose example leaves inputs out, and with them answers.
var moreExamples = map[string][]string{
	"demand": {`{"ask":"demand","code":"din1988-300","building":"hotel","outlets":"12 L/s","units":"si"}`},
	"drain-size": {`{"ask":"drain-size","code":"ipc-2021","part":"stack","load":180,"intervals":4}`,
		`{"ask":"drain-size","code":"en12056-2","part":"stack","system":"I","vent":"primary","entry":"swept",` +
			`"flow":"3 L/s","water_closets":4,"units":"si"}`,
		`{"ask":"drain-size","code":"en12056-2","part":"branch","system":"I","ventilated":true,"flow":"1.4 L/s",` +
			`"units":"si"}`,
		`{"ask":"drain-size","code":"din1986-100","part":"branch","k":0.5,"load":8,"ventilated":true,"units":"si"}`},
	"drainage-load": {`{"ask":"drainage-load","code":"en12056-2","system":"I","fixtures":[{"fixture":"lavatory",` +
		`"count":2},{"fixture":"shower","count":1,"variant":"without-plug"}]}`},
	"friction": {`{"ask":"friction","method":"hazen-williams","c":140,"flow":"20 gpm","bore":"1.025 in",` +
		`"length":"80 ft","k":2.5}`},
	"heat-loss": {`{"ask":"heat-loss","bore":"22 mm","wall":"1 mm","conductivity":"390 W/m-K","length":"20 m",` +
		`"water":"60 degC","ambient":"12 degC","burial_depth":"0.5 m","soil_conductivity":"1.5 W/m-K","units":"si"}`},
	"mark": {`{"ask":"mark","problem":{"ask":"rod","instrument_height":"104.5 ft","elevation":"98.25 ft"},` +
		`"student":{"reading":"6.2 ft"},"tolerance":"0.02 ft"}`},
	"pipe-by-load": {`{"ask":"pipe-by-load","code":"en806-3","load":12,"length":"10 m","material":"copper",` +
		`"greatest":4,"units":"si"}`},
	"pressure-budget": {`{"ask":"pressure-budget","street":{"static":"70 psi","residual":"55 psi","at":"500 gpm"},` +
		`"flow":"80 gpm","rise":"20 ft","losses":[{"name":"meter","loss":"4 psi"}],"required":"20 psi","length":"200 ft"}`},
	"sewer-size": {`{"ask":"sewer-size","code":"din1986-100","filling":0.7,"grade":"1 %","flow":"9 L/s","units":"si"}`},
	"surge": {`{"ask":"surge","bore":"0.785 in","wall":"0.045 in","modulus":"17000 ksi","velocity_change":"6 ft/s",` +
		`"length":"80 ft","closing_time":"0.2 s"}`},
	"vent-size": {`{"ask":"vent-size","code":"upc-2021","part":"individual","drain_size":"3 in","load":4,` +
		`"water_closets":1,"length":"30 ft"}`},
}

// codesOf returns the codes of the shelf that answer a kind: those that answer one of a few
// lines of it.
func (c *codes) codesOf(kind string) []string {
	if out, ok := c.kinds[kind]; ok {
		return out
	}
	lines := moreLines[kind]
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
	for _, g := range fieldGroups {
		if slices.Contains(strings.Fields(g.fields), field) {
			return g.what, g.example
		}
	}
	return "number", "2"
}

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
	b.WriteString("\nHow inputs are written. A field with ? may be left out. Every line may have id, units (us, the " +
		"default, or si)\n" +
		"and round (trade: lengths also as text).\n")
	for _, g := range fieldGroups {
		fmt.Fprintf(&b, "  %s %s: %s\n", g.what, g.example, strings.ReplaceAll(g.fields, " ", ", "))
		if list := symbols(g.quantity); list != "" {
			fmt.Fprintf(&b, "    units: %s\n", list)
		}
	}
	b.WriteString("A drop of a run is a length, of a hot loop a temperature difference; expansion of a tank is a " +
		"volume, of a leg a length; fill of a stack is a " +
		"number, of a tank a\n" +
		"pressure; alpha is a number for each kelvin or a text such as \"9.4e-6 1/degF\". Hazen-Williams takes c, " +
		"Darcy-Weisbach\n" +
		"a roughness. Up is positive: rise; down: grade of a cut-sheet, grade_ahead. grade_across is positive to the " +
		"right,\n" +
		"bearing counts clockwise from ahead, demand of a node is positive out of it. Temperatures of water are 0 to " +
		"100 degC.\n")
	for _, l := range []struct{ what, words string }{
		{"method", "hazen-williams, darcy-weisbach"}, {"system of closets", "tank, valve"}, {"system of EN 12056-2",
			"I, II, III, IV"},
		{"part of a drain", "branch, stack, stack-interval, drain"}, {"part of a vent", "individual, stack"},
		{"vent of a stack of EN 12056-2", "primary, secondary"}, {"entry of its branches", "square, swept"},
		{"end of an expansion leg", "guided, free"},
		{"device", "tap (of the main), " + strings.Join(e.shelf.listedIn("devices/supply-typical-loss", "device"), ", ")},
		{"material of pipe-by-load", strings.Join(e.shelf.listedIn("en806-3/supply-pipe-size", "material"), ", ")},
		{"building", strings.Join(e.shelf.listedIn("din1988-300/supply-peak-flow", "building"), ", ")},
	} {
		fmt.Fprintf(&b, "%s: %s\n", l.what, l.words)
	}
	b.WriteString("A fixture: {\"fixture\":\"lavatory\",\"count\":2,\"use\":\"private\"," +
		"\"control\":\"tank\",\"flush\":\"1.6 " +
		"gal\",\"size\":\"1 1/4 in\"};\n" +
		"use private, public or assembly, control tank, valve, pressure-tank, faucet, waterless or hybrid; what a code " +
		"does not ask\n" +
		"for may be left out, and what it asks for and misses is named with the choices. Kinds of fixture, not each in " +
		"every code:\n")
	kinds := append(e.shelf.listedIn("fixtures", "fixture"), e.shelf.listedIn("supply-fixture-units", "fixture")...)
	kinds = append(kinds, e.shelf.listedIn("en12056-2/discharge-units", "fixture")...)
	slices.Sort(kinds)
	b.WriteString(strings.Join(slices.Compact(kinds), ", ") + "\n")
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
