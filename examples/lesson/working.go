package lesson

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/units"
)

// workingDigits is to how many digits the working rounds.
const workingDigits = 6

// String writes a quantity as working shows it: "9.375 in".
func (v value) String() string {
	switch v.form {
	case textForm:
		return v.text
	case boolForm:
		return strconv.FormatBool(v.yes)
	case listForm, objectForm:
		parts := make([]string, len(v.items))
		for i := range v.items {
			parts[i] = v.items[i].String()
			if v.form == objectForm {
				parts[i] = v.names[i] + " " + parts[i]
			}
		}
		return strings.Join(parts, ", ")
	}
	s := plainPowers.Replace(strconv.FormatFloat(v.x, 'g', workingDigits, 64))
	if v.unit == "1" || v.unit == "" {
		return s
	}
	return s + " " + v.unit
}

// formula adds the formula that is about to be used.
func (p *problem) formula(s string) {
	if p.working {
		p.lines = append(p.lines, s)
	}
}

// step adds a line of working. Guard the call with p.working where the arguments
// cost something.
func (p *problem) step(format string, args ...any) {
	if p.working {
		p.lines = append(p.lines, fmt.Sprintf(format, args...))
	}
}

// equation adds a formula in symbols, the figures put into it, and what comes out.
func (p *problem) equation(name string, result value, formula, format string, args ...any) {
	if !p.working {
		return
	}
	p.lines = append(p.lines, name+" = "+formula, "  = "+fmt.Sprintf(format, args...), "  = "+result.String())
	if s := tradeText(name, result); s != "" && laidOut(name) {
		p.lines = append(p.lines, "  rounded: "+s)
	}
}

// laidOut reports whether a length is one that is measured off on the job, and so
// rounded to the rule.
func laidOut(name string) bool {
	for _, s := range [...]string{
		"fall", "length", "travel", "advance", "true offset", "invert", "upper end", "reading", "cut", "height",
		"expansion",
	} {
		if strings.HasPrefix(name, s) {
			return true
		}
	}
	return false
}

// convert adds a line for each quantity whose unit the formula does not take.
func (p *problem) convert(given ...value) {
	if !p.working {
		return
	}
	for _, v := range given {
		if w := p.coherent(v); w.unit != v.unit {
			p.step("  %v = %v", v, w)
		}
	}
}

// coherent is a quantity in the units of a formula: feet and seconds, or metres and
// seconds.
func (p *problem) coherent(v value) value {
	switch v.unit {
	case "in":
		return value{x: v.x / 12, unit: "ft"}
	case "mm":
		return value{x: v.x / 1000, unit: "m"}
	case "gpm":
		return value{x: v.x * float64(units.USGallonPerMinute) / (0.3048 * 0.3048 * 0.3048), unit: "ft3/s"}
	case "L/s":
		return value{x: v.x / 1000, unit: "m3/s"}
	case "gal":
		return value{x: v.x * float64(units.USGallon) / (0.3048 * 0.3048 * 0.3048), unit: "ft3"}
	case "L":
		return value{x: v.x / 1000, unit: "m3"}
	}
	return v
}

// gravity is the standard one as a formula takes it.
func (p *problem) gravity() string {
	if p.si {
		return "9.80665 m/s2"
	}
	return "32.174 ft/s2"
}

// densityValue is a density in the unit that its formula is worked in: lb/ft3 or kg/m3.
func (p *problem) densityValue(rho units.Density) value {
	return p.pick(float64(rho), float64(units.PoundPerCubicFoot), "lb/ft3", 1, "kg/m3")
}

// viscosityValue is a kinematic viscosity in ft2/s or m2/s.
func (p *problem) viscosityValue(nu units.KinematicViscosity) value {
	return p.pick(float64(nu), 0.3048*0.3048, "ft2/s", 1, "m2/s")
}

func densityValue(rho units.Density) value { return value{x: float64(rho), unit: "kg/m3"} }

// exactly10 writes a number with ten digits, where a difference would eat fewer.
func exactly10(x float64) string { return strconv.FormatFloat(x, 'g', 10, 64) }

// given adds what the line states, in its own words.
func (p *problem) given(v *strictjson.Value) {
	if !p.working {
		return
	}
	var parts []string
	for i, name := range v.Names {
		switch name {
		case "id", "ask", "units", "round":
			continue
		}
		parts = append(parts, strings.ReplaceAll(name, "_", " ")+" "+givenText(&v.Items[i]))
	}
	p.lines = append(p.lines, "given: "+strings.Join(parts, ", "))
}

// givenText writes a field of a line in short.
func givenText(v *strictjson.Value) string {
	switch v.Kind {
	case strictjson.Array:
		var parts []string
		for i := range v.Items {
			parts = append(parts, givenText(&v.Items[i]))
		}
		return "[" + strings.Join(parts, "; ") + "]"
	case strictjson.Object:
		var parts []string
		for i, name := range v.Names {
			parts = append(parts, strings.ReplaceAll(name, "_", " ")+" "+givenText(&v.Items[i]))
		}
		return strings.Join(parts, ", ")
	}
	return v.Text
}

// results adds the answers, rounded.
func (p *problem) results() {
	if !p.working {
		return
	}
	for i, name := range p.names {
		p.step("%s = %v", strings.ReplaceAll(name, "_", " "), p.items[i])
	}
}

// source adds what the formula or the table value comes from.
func (p *problem) source(s string) {
	if p.working {
		p.lines = append(p.lines, "source: "+s)
	}
}
