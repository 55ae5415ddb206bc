package supply

import (
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type ratingRow struct {
	Family      string            `table:"family"`
	Lines       string            `table:"lines"` // cold or all
	Temperature units.Temperature `table:"temperature"`
	Pressure    units.Pressure    `table:"pressure"`
}

// rating is what the shelf says of the pressure that a family of pipe stands, by rising
// temperature of the water.
type rating struct {
	rows  []*ratingRow
	cites []tables.Citation
}

// ratings reads the pressures that pipe is rated for, by family. Families without rows
// are not judged.
func ratings(shelf *tables.Shelf) (map[string]*rating, error) {
	all := map[string]*rating{}
	for _, id := range [...]string{"materials/supply-pipe-rating", "materials/supply-pipe-rating-metric"} {
		rows, err := tables.Load[ratingRow](shelf, id)
		if err != nil {
			return nil, err
		}
		for i := range rows.Len() {
			row := rows.At(i)
			if all[row.Family] == nil {
				all[row.Family] = new(rating)
			}
			r := all[row.Family]
			r.rows, r.cites = append(r.rows, row), append(r.cites, rows.Cite(i))
		}
	}
	return all, nil
}

// coldOnly reports whether the pipe is for cold services alone.
func (r *rating) coldOnly() bool { return r.rows[0].Lines == "cold" }

// hottest is the last row: no warmer water is rated.
func (r *rating) hottest() (units.Temperature, tables.Citation) {
	last := len(r.rows) - 1
	return r.rows[last].Temperature, r.cites[last]
}

// at returns the pressure at a temperature no higher than the hottest: on a straight
// line between two rows, and the row that it is nearest below.
func (r *rating) at(t units.Temperature) (units.Pressure, tables.Citation) {
	x := roundTo(t.Celsius())
	for i, row := range r.rows {
		high := roundTo(row.Temperature.Celsius())
		if x > high {
			continue
		}
		if i == 0 || x == high {
			return row.Pressure, r.cites[i]
		}
		low := r.rows[i-1]
		share := (x - low.Temperature.Celsius()) / (high - low.Temperature.Celsius())
		return low.Pressure + units.Pressure(share*float64(row.Pressure-low.Pressure)), r.cites[i]
	}
	last := len(r.rows) - 1
	return r.rows[last].Pressure, r.cites[last]
}

// pipeRatings sets each kind of plastic pipe on each line beside what it is rated for:
// hot water at all, its temperature, the greatest pressure while nothing flows. While a
// rating is from memory a pass by it is no finding: it would ask at every plastic pipe.
func (k *checker) pipeRatings() error {
	all, err := ratings(k.Code.pipes.shelf)
	if err != nil {
		return err
	}
	type kind struct {
		family string
		hot    bool
	}
	var order []kind
	worst := map[kind]int{} // the run under the greatest pressure
	still := func(i int) units.Pressure {
		r, before := &k.Runs[i], max(k.Layout.data.Source.Static, k.Layout.data.Source.Pressure)
		if p := k.Layout.parent[i]; p >= 0 {
			before = k.Runs[p].Static
		}
		return max(before, before-r.Rise) // of its lower end, before a regulator there
	}
	for _, n := range k.Layout.order {
		i := int(n)
		x := kind{k.Runs[i].Pipe.id, k.Layout.service[i] != Cold}
		if all[x.family] == nil {
			continue
		}
		at, known := worst[x]
		if !known {
			order = append(order, x)
		}
		if !known || inPSI(still(i)) > inPSI(still(at)) {
			worst[x] = i
		}
	}
	for _, x := range order {
		i := worst[x]
		f := k.rated(all[x.family], i, still(i))
		if f.Verdict != tables.Pass || f.Citation.Status().Firm() {
			k.Add(f)
		}
	}
	return nil
}

// rated judges one run by the rating of its pipe.
func (k *checker) rated(r *rating, i int, pressure units.Pressure) tables.Finding {
	pipe, service := k.Runs[i].Pipe, k.Layout.service[i]
	water := k.Layout.data.Water.Cold
	if service != Cold {
		water = k.Layout.data.Water.Hot
	}
	top, cite := r.hottest()
	f := tables.Finding{Rule: "pipe-rating", Place: k.Layout.data.Points[i].ID, Verdict: tables.Fail, Citation: cite}
	switch {
	case service != Cold && r.coldOnly():
		f.Value = k.trade.temperature(water)
		f.Reason = k.Text("%s pipe (%s) is for cold services: it is not listed for hot water in buildings.",
			pipe.material, pipe.id)
		f.Fix = "Take pipe listed for hot water: copper, CPVC, PEX, PP-R."
		return f
	case roundTo(water.Celsius()) > roundTo(top.Celsius()):
		f.Value, f.Limit = k.trade.temperature(water), k.trade.temperature(top)
		f.Margin = k.trade.difference(units.TemperatureDifference(top - water))
		f.Reason = k.Text("%s pipe (%s) is not rated for water as hot as this at any pressure.", pipe.material, pipe.id)
		f.Fix = "Keep the water cooler, or take copper."
		return f
	}
	var limit units.Pressure
	limit, f.Citation = r.at(water)
	f.Verdict = passOrFail(inPSI(pressure) <= inPSI(limit))
	f.Value, f.Limit, f.Margin = k.trade.pressure(pressure), k.trade.pressure(limit), k.trade.pressure(limit-pressure)
	f.Reason = k.Text("What %s pipe (%s) is rated for with water of %v, beside the pressure while nothing flows.",
		pipe.material, pipe.id, k.trade.temperature(water))
	if f.Verdict == tables.Fail {
		f.Fix = k.Text("Set a pressure regulator before it, at no more than %v, or take pipe rated for more.", f.Limit)
	}
	return f
}
