package en12056

import (
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Appliance is a [tables.Fixture] as EN 12056-2 rates it. Variant tells apart what the
// fields of Fixture do not: with-plug and without-plug of a shower, to-6-kg and
// to-12-kg of a washer, slab of a urinal. Tank and valve come from Control.
type Appliance struct {
	tables.Fixture
	Variant string `json:"variant,omitzero"`
}

// ApplianceLoad is what like appliances add to a load.
type ApplianceLoad struct {
	Appliance
	Each     DischargeUnits  `json:"each"`
	Total    DischargeUnits  `json:"total"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// Load is the load of a set of appliances in one system.
type Load struct {
	System     string          `json:"system"`
	Sum        DischargeUnits  `json:"sum"`
	Largest    DischargeUnits  `json:"largest"` // of a single appliance
	Appliances []ApplianceLoad `json:"appliances"`
}

// Systems returns the systems, "I" to "IV", labelled with what sets each apart.
func (e *Standard) Systems() []tables.Choice {
	return choices(e.there().systems, func(r *systemRow) (id, what string) { return r.System, r.What })
}

// Usages returns the kinds of use that have a frequency factor, such as "intermittent",
// labelled with the buildings that are used so, such as dwellings.
func (e *Standard) Usages() []tables.Choice {
	return choices(e.there().frequencies, func(r *frequencyRow) (id, what string) { return r.Usage, r.What })
}

// choices are the rows of a table, in its order.
func choices[T any](rows *tables.Rows[T], words func(*T) (id, what string)) []tables.Choice {
	out := make([]tables.Choice, 0, rows.Len())
	for _, r := range rows.All() {
		id, what := words(r)
		out = append(out, tables.Choice{ID: id, Label: id + ": " + what})
	}
	return out
}

// Frequency returns the frequency factor K of a use.
func (e *Standard) Frequency(usage string) (k float64, cite tables.Citation, err error) {
	e = e.there()
	for i, r := range e.frequencies.All() {
		if r.Usage == usage {
			return r.K, e.frequencies.Cite(i), nil
		}
	}
	return 0, tables.Citation{}, codes.Choice("usage", usage, tables.IDs(e.Usages()))
}

// Fixtures returns the kinds of fixtures that the standard rates, with labels.
func (e *Standard) Fixtures() []tables.Choice {
	e = e.there()
	kinds := tables.Distinct(e.appliances, func(r *applianceRow) (string, bool) { return r.Fixture, true })
	return tables.Choices(kinds...)
}

// DischargeUnits returns what one appliance adds in a system.
//
// A closet whose flush lies between two rows takes the next greater one. Where
// the standard prints a range by type, the upper end is taken. A combination that
// it does not permit, or gives no figure for, is [tables.ErrNotInCode].
func (e *Standard) DischargeUnits(system string, a Appliance) (DischargeUnits, tables.Citation, error) {
	e = e.there()
	if systems := tables.IDs(e.Systems()); !slices.Contains(systems, system) {
		return 0, tables.Citation{}, codes.Choice("system", system, systems)
	}
	// The rows of this appliance in this system, narrowed field by field.
	var rows []int
	for i, r := range e.appliances.All() {
		if r.Fixture == a.Kind && r.System == system {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return 0, tables.Citation{}, codes.Choice("fixture", a.Kind, tables.IDs(e.Fixtures()))
	}
	rows, err := e.ofVariant(rows, a)
	if err != nil {
		return 0, tables.Citation{}, err
	}
	flush := func(r *applianceRow) (float64, bool) { return r.Flush.Get() }
	if rows, err = e.narrow(rows, "flush", "L", float64(a.Flush/units.Litre), flush, atMost); err != nil {
		return 0, tables.Citation{}, err
	}
	size := func(r *applianceRow) (float64, bool) { return r.Size.Value.Millimetres(), r.Size.Kind == tables.Value }
	same := func(size, printed float64) bool { return size == printed }
	if rows, err = e.narrow(rows, "size", "mm", a.Size.Millimetres(), size, same); err != nil {
		return 0, tables.Citation{}, err
	}
	r, cite := e.appliances.At(rows[0]), e.appliances.Cite(rows[0])
	du := r.DU
	if r.DUHigh.Kind == tables.Value {
		du = r.DUHigh
	}
	switch du.Kind {
	case tables.NotPermitted:
		return 0, cite, fmt.Errorf("fixture: %w: %s is not permitted in system %s", tables.ErrNotInCode, cite.Row(), system)
	case tables.Value:
		u, err := NewDischargeUnits(du.Value)
		return u, cite, err
	}
	return 0, cite, fmt.Errorf("fixture: %w: no figure for %s", tables.ErrNotInCode, cite.Row())
}

// Appliances returns the appliances of a kind that the standard has a figure for in a
// system, each with the variant, flush or size that tells it apart.
func (e *Standard) Appliances(system, kind string) []Appliance {
	e = e.there()
	var out []Appliance
	for _, r := range e.appliances.All() {
		if r.Fixture != kind || r.System != system || r.DU.Kind != tables.Value && r.DUHigh.Kind != tables.Value {
			continue
		}
		a := Appliance{Fixture: tables.Fixture{Kind: kind, Count: 1}}
		switch r.Variant {
		case tables.Tank.String():
			a.Control = tables.Tank
		case tables.Valve.String():
			a.Control = tables.Valve
		default:
			a.Variant = r.Variant
		}
		if f, ok := r.Flush.Get(); ok {
			a.Flush = units.Volume(f) * units.Litre
		}
		a.Size, _ = r.Size.Get()
		out = append(out, a)
	}
	return out
}

// ofVariant keeps the rows of the variant that is stated, as such or by control.
func (e *Standard) ofVariant(rows []int, a Appliance) ([]int, error) {
	var variants []string
	for _, i := range rows {
		if v := e.appliances.At(i).Variant; !slices.Contains(variants, v) {
			variants = append(variants, v)
		}
	}
	if len(variants) == 1 {
		return rows, nil // nothing to tell apart, whatever is stated
	}
	want, field := a.Variant, "variant"
	if want == "" {
		want = a.Control.String()
	}
	if slices.Contains(variants, tables.Tank.String()) {
		field = "control"
	}
	if !slices.Contains(variants, want) || want == "" {
		return nil, codes.Choice(field, want, variants)
	}
	return slices.DeleteFunc(rows, func(i int) bool { return e.appliances.At(i).Variant != want }), nil
}

// narrow keeps the first row whose cell, in a unit, fits what is stated; all of them if the rows
// are not told apart by it.
func (e *Standard) narrow(rows []int, field, unit string, stated float64, cell func(*applianceRow) (float64, bool),
	fits func(stated, printed float64) bool) ([]int, error) {
	var printed []string
	for _, i := range rows {
		x, ok := cell(e.appliances.At(i))
		if !ok {
			return rows, nil
		}
		if stated > 0 && fits(stated, x) {
			return []int{i}, nil
		}
		printed = append(printed, argument.Number(x)+" "+unit)
	}
	word := ""
	if stated != 0 {
		word = argument.Number(stated) + " " + unit
	}
	return nil, codes.Choice(field, word, printed)
}

// Load adds the discharge units of appliances in a system. All faults are
// reported together.
func (e *Standard) Load(system string, appliances []Appliance) (Load, error) {
	e = e.there()
	l := Load{System: system}
	var list faults.List
	for i, a := range appliances {
		item := fmt.Sprintf("fixtures[%d]", i)
		du, cite, err := e.DischargeUnits(system, a)
		if err != nil {
			list.Add(units.Fault{Item: item, Err: err})
			continue
		}
		if a.Count < 1 || a.Count > tables.MaxFixtures {
			list.Addf(item, "count", "%w: %d is not between 1 and %d", tables.ErrQuery, a.Count, tables.MaxFixtures)
			continue
		}
		total, err := du.Times(a.Count)
		if l.Sum += total; err != nil || !l.Sum.Valid() {
			list.Addf(item, "count", "%w: the load is more than %v", tables.ErrFixtureUnits, MaxDischargeUnits)
			break
		}
		l.Largest = max(l.Largest, du)
		l.Appliances = append(l.Appliances, ApplianceLoad{Appliance: a, Each: du, Total: total, Citation: cite})
	}
	return l, list.Err()
}

// Flow is the flow that a drain is sized for, and what made it.
type Flow struct {
	K            float64         `json:"k"`
	Waste        units.Flow      `json:"waste"`               // Qww
	Total        units.Flow      `json:"total"`               // Qtot, with continuous and pumped flows
	ByLargest    bool            `json:"by_largest,omitzero"` // the largest appliance decided, not the sum
	FactorCite   tables.Citation `json:"factor_cite,omitzero"`
	LargestRule  tables.Citation `json:"largest_rule,omitzero"`  // of the rule that the largest appliance governs
	ContinueRule tables.Citation `json:"continue_rule,omitzero"` // of the rule that other flows are added whole
}

// DesignFlow returns the flow of a load under a kind of use, with continuous
// flows (cooling water) and pumped flows (from an ejector) added whole.
//
//	Qtot = max(K sqrt(sum DU), largest DU) + Qc + Qp
//
// Source: EN 12056-2:2000, 6.3.
func (e *Standard) DesignFlow(l Load, usage string, continuous, pumped units.Flow) (Flow, error) {
	e = e.there()
	k, cite, err := e.Frequency(usage)
	if err != nil {
		return Flow{}, err
	}
	var list faults.List
	for _, f := range [...]struct {
		name string
		q    units.Flow
	}{{"continuous", continuous}, {"pumped", pumped}} {
		if f.q != 0 && !argument.Positive(float64(f.q)) {
			list.Add(units.Fault{Err: argument.Outside(f.name, argument.Litres(f.q), "zero or more")})
		}
	}
	largest := units.Flow(l.Largest.Units()) * units.LitrePerSecond
	waste, err := WasteFlow(k, l.Sum, largest)
	if err != nil {
		list.Add(units.Fault{Err: err})
	}
	if err := list.Err(); err != nil {
		return Flow{}, err
	}
	f := Flow{K: k, Waste: waste, Total: waste + continuous + pumped, FactorCite: cite,
		ByLargest: l.Sum > 0 && waste == largest}
	if r, ok := e.rules.Rule("largest-appliance-governs"); ok {
		f.LargestRule = r.Cite
	}
	if r, ok := e.rules.Rule("continuous-flow-factor"); ok {
		f.ContinueRule = r.Cite
	}
	return f, nil
}

// atMost compares a value with a printed limit, both rounded to a millionth of the table's unit.
func atMost(x, limit float64) bool { return math.Round(x*1e6) <= math.Round(limit*1e6) }
