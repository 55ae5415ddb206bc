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
// sources.
func (p *problem) finish() {
	if p.roundTrade {
		for i, name := range p.names {
			p.giveText(name, &p.items[i])
		}
	}
	if len(p.rows) == 0 {
		return
	}
	weakest := p.rows[0].Status()
	sources := make([]string, len(p.rows))
	for i, c := range p.rows {
		weakest = min(weakest, c.Status())
		sources[i] = c.String()
		if p.working {
			p.source(c.String() + standingMark + c.Status().String())
		}
	}
	stamp(&p.value, weakest.String(), strings.Join(sources, "; "))
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
