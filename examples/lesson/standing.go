package lesson

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// cite adds rows that the answers rest on, each once.
func (p *problem) cite(citations ...tables.Citation) {
	for _, c := range citations {
		if !c.IsZero() && !slices.Contains(p.rows, c) {
			p.rows = append(p.rows, c)
		}
	}
}

// finish gives the answers their standing, source and trade text, and the working its
// sources. Arithmetic, such as a fall or a rod reading, rests on none.
func (p *problem) finish() {
	if p.roundTrade {
		for i, name := range p.names {
			p.giveText(name, &p.items[i])
		}
	}
	all := make([]basis, 0, len(p.rows)+len(p.basis))
	for _, c := range p.rows {
		all = append(all, basis{c.String(), c.Status()})
	}
	all = append(all, p.basis...)
	if len(all) == 0 {
		return // plain arithmetic
	}
	weakest := all[0].standing
	sources := make([]string, len(all))
	for i, b := range all {
		weakest = min(weakest, b.standing)
		sources[i] = b.source
		p.step("source: %s%s%v", b.source, standingMark, b.standing)
	}
	stamp(&p.value, weakest.String(), strings.Join(sources, "; "))
}

// basis is a row of a table or a publication, and how firm it is.
type basis struct {
	source   string
	standing tables.Status
}

// standingMark parts a row from its standing in a line of working.
const standingMark = "; standing: "

func stamp(v *value, standing, source string) {
	for i := range v.items {
		stamp(&v.items[i], standing, source)
	}
	if v.form == quantityForm {
		v.standing, v.source = standing, source
	}
}

// giveText adds the trade text to lengths, at any depth.
func (p *problem) giveText(name string, v *value) {
	for i := range v.items {
		p.giveText(name, &v.items[i])
	}
	if v.form == quantityForm {
		v.trade = tradeText(name, *v)
	}
}

// tradeText writes a length as the trade does: inches and feet to 1/16 in, millimetres
// whole, metres to 0.01, a metric nominal size as DN. Other quantities have none.
func tradeText(name string, v value) string {
	nominal := name == "size" || name == "meter"
	switch v.unit {
	case "in":
		return units.Notation{Form: units.FractionalInches, Nearest: 16}.Format(units.Inches(v.x))
	case "ft":
		return units.Notation{Nearest: 16, NoZeroFeet: false}.Format(units.Feet(v.x))
	case "mm":
		if nominal {
			return "DN " + short(v.x)
		}
		return units.Notation{Form: units.DecimalMillimetres}.Format(units.Millimetres(v.x))
	case "m":
		return units.Notation{Form: units.DecimalMetres, Places: 2}.Format(units.Metres(v.x))
	}
	return ""
}
