package lesson

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/tables"
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
	p.rounded(name, result)
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
	for _, v := range given {
		p.conversion(v, p.coherent(v))
	}
}

// conversion adds the line that turns a quantity into another unit: "0.545 in / 12 =
// 0.0454167 ft".
func (p *problem) conversion(from, to value) {
	switch {
	case !p.working || from.unit == to.unit:
	case from.x == 0:
		p.step("  %v = %v", from, to)
	case math.Abs(from.x) >= math.Abs(to.x):
		p.step("  %v / %s = %v", from, short(from.x/to.x), to)
	default:
		p.step("  %v x %s = %v", from, short(to.x/from.x), to)
	}
}

// convertedEquation is an equation whose result comes in another unit than the answer: the
// conversion is a line of its own.
func (p *problem) convertedEquation(name string, result, worked value, formula, format string, args ...any) {
	if !p.working {
		return
	}
	p.lines = append(p.lines, name+" = "+formula, "  = "+fmt.Sprintf(format, args...), "  = "+worked.String())
	p.conversion(worked, result)
	p.rounded(name, result)
}

// rounded adds what a rule shows of a length that is laid out.
func (p *problem) rounded(name string, result value) {
	if s := tradeText(name, result); s != "" && laidOut(name) {
		p.lines = append(p.lines, "  rounded: "+s)
	}
}

// coherent is a quantity in the units of a formula: feet and seconds, or metres and
// seconds.
func (p *problem) coherent(v value) value {
	if to, ok := coherent[v.unit]; ok {
		return value{x: v.x * to.by / to.over, unit: to.unit}
	}
	return v
}

const cubicFoot = 0.3048 * 0.3048 * 0.3048

var coherent = map[string]struct {
	unit     string
	by, over float64
}{
	"in": {"ft", 1, 12}, "mm": {"m", 1, 1000}, "in2": {"ft2", 1, 144}, "mm2": {"m2", 1, 1e6},
	"gpm": {"ft3/s", float64(units.USGallonPerMinute), cubicFoot}, "L/s": {"m3/s", 1, 1000},
	"gal": {"ft3", float64(units.USGallon), cubicFoot}, "L": {"m3", 1, 1000}, "yd3": {"ft3", 27, 1},
	"psi": {"psf", 144, 1}, "kPa": {"Pa", 1000, 1},
}

// weightOf is what a formula of heads multiplies by: the weight of a cubic foot of water,
// which in pounds is its density, or rho and g.
func (p *problem) weightOf(rho units.Density) (symbols, figures string) {
	if p.si {
		return "rho g", densityValue(rho).String() + " x " + p.gravity()
	}
	return "w", value{x: p.densityValue(rho).x, unit: "lbf/ft3"}.String()
}

// pressureWorking writes the pressure of a head.
func (p *problem) pressureWorking(name string, x units.Pressure, h units.Head, rho units.Density) {
	symbols, figures := p.weightOf(rho)
	result := p.pressureValue(x)
	p.convertedEquation(name, result, p.coherent(result), symbols+" h", "%s x %s", figures, p.headValue(h))
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
	if ask := member(v, "ask").Text; ask != "convert" && ask != "mark" {
		p.toOwnUnits("", v)
	}
}

// ownUnits are the units that a student of each system works in, by what a line may give
// in their place.
var ownUnits = [2]map[string]string{
	{"mm": "in", "cm": "in", "m": "ft", "L/s": "gpm", "L/min": "gpm", "m3/h": "gpm", "m/s": "ft/s", "kPa": "psi",
		"bar": "psi", "MPa": "psi", "GPa": "psi", "ksi": "psi", "L": "gal", "W": "Btu/h", "kW": "Btu/h",
		"W/m-K": "Btu/h-ft-degF", "W/m2-K": "Btu/h-ft2-degF", "kg/m3": "lb/ft3", "m2/s": "ft2/s", "min": "s", "degC": "degF"},
	{"in": "mm", "ft": "m", "cm": "mm", "gpm": "L/s", "L/min": "L/s", "m3/h": "L/s", "ft/s": "m/s", "psi": "kPa",
		"bar": "kPa", "MPa": "kPa", "GPa": "kPa", "gal": "L", "Btu/h": "W", "kW": "W", "Btu/h-ft-degF": "W/m-K",
		"Btu/h-ft2-degF": "W/m2-K", "lb/ft3": "kg/m3", "ft2/s": "m2/s", "min": "s", "degF": "degC"},
}

// toOwnUnits adds the conversion of every quantity that a line gives in another unit than its
// student works in. Nominal sizes are names, and stay.
func (p *problem) toOwnUnits(field string, v *strictjson.Value) {
	for i := range v.Items {
		name := field
		if v.Kind == strictjson.Object {
			name = v.Names[i]
		}
		p.toOwnUnits(name, &v.Items[i])
	}
	switch field {
	case "size", "drain_size", "least", "flush", "drop", "change":
		return // names; a drop is one of a length here and of a temperature there
	}
	if v.Kind != strictjson.String {
		return
	}
	own := ownUnits[0]
	if p.si {
		own = ownUnits[1]
	}
	q, err := units.ParseQuantity(v.Text)
	if err != nil {
		return
	}
	from, to := value{unit: q.Unit()}, value{unit: own[q.Unit()]}
	var errs [2]error
	from.x, errs[0] = q.In(from.unit)
	to.x, errs[1] = q.In(to.unit)
	if to.unit == "" || errs != [2]error{} {
		return
	}
	if field == "roughness" && from.unit == "m" { // far too small a figure for feet
		return
	}
	line := ""
	switch from.unit {
	case "degC":
		line = fmt.Sprintf("  %v x 1.8 + 32 = %v", from, to)
	case "degF":
		line = fmt.Sprintf("  (%v - 32) / 1.8 = %v", from, to)
	default:
		p.conversion(from, to)
		return
	}
	p.step("%s", line)
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

// source notes the publication of a formula that the answers are computed by.
func (p *problem) source(s string) { p.rests(tables.Computed, s) }

// rests notes a publication that the answers rest on beside rows, and how firm that is.
func (p *problem) rests(standing tables.Status, source string) {
	if b := (basis{source, standing}); !slices.Contains(p.basis, b) {
		p.basis = append(p.basis, b)
	}
}
