package lesson

import (
	"fmt"
	"strconv"
	"strings"
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
	s := strconv.FormatFloat(v.x, 'g', workingDigits, 64)
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

// show adds formula, substitution and the answers added so far.
func (p *problem) show(formula, format string, args ...any) {
	if !p.working {
		return
	}
	p.formula(formula)
	if format != "" {
		p.step("  = "+format, args...)
	}
	p.results()
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
