package job

import (
	"bytes"
	"cmp"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// loadDrainCode returns the code of that id: in fixture units, or the rules of EN 12056-2,
// which counts flows.
func loadDrainCode(shelf *tables.Shelf, id string) (*dwv.Code, error) {
	if id == en12056.ID {
		return dwv.LoadRules(shelf, id)
	}
	return dwv.LoadCode(shelf, id)
}

// Metric tells whether a report on the job is in metric units where nobody says: under a code
// that counts in them, or of a layout that is written in them.
func (j *Job) Metric(other string) bool { return j.metricCode(other) || writtenInMetric(j.data) }

// SI tells whether a program prints a job in SI: system is "si", "us" or, where nobody says, "",
// which leaves it to [Job.Metric].
func (j *Job) SI(system, code string) bool { return system == "si" || system == "" && j.Metric(code) }

// writtenInMetric tells whether more quantities of a layout are metric than in feet, psi and
// the like. Inches are not counted: sizes of pipe are in inches in metric layouts too.
func writtenInMetric(data []byte) bool {
	metric := 0
	for text := range bytes.SplitSeq(data, []byte(`"`)) {
		if len(text) == 0 || len(text) > 40 || !isDigit(text[0]) && text[0] != '-' && text[0] != '.' {
			continue // no quantity
		}
		end := len(text)
		for end > 0 && !isDigit(text[end-1]) && text[end-1] != ' ' {
			end--
		}
		switch string(text[end:]) {
		case "m", "cm", "mm", "kPa", "bar", "mbar", "L/s", "L/min", "L", "degC":
			metric++
		case "ft", "'", "psi", "gpm", "gal", "degF":
			metric--
		}
	}
	return metric > 0
}

// metricCode tells whether the code of the job, or another that it is judged under, counts in
// metric units: for drains EN 12056-2, and a code whose pipe is named in millimetres; for water
// lines alone a code of loading units or flows.
func (j *Job) metricCode(other string) bool {
	if id := cmp.Or(other, j.Code); j.drains != nil {
		code, err := j.drainCode(id)
		return id == en12056.ID || err == nil && drains.IsMetric(code.LeastTrapArm())
	}
	code, err := j.supplyCode(cmp.Or(other, j.WaterCode, j.Code))
	return err == nil && code.LoadUnit() != "wsfu"
}

// litres is a flow of drains by EN 12056-2: litres a second, in whatever units the report is.
func litres(q units.Flow) Quantity {
	if q == 0 {
		return ""
	}
	return round(float64(q/units.LitrePerSecond), 2) + " L/s"
}

// european completes the row of a fixture by EN 12056-2.
func (row *FixtureRow) european(run *drains.EuropeanRun, problem string, p printer) {
	if row.Load, row.Source = Quantity(run.Own.String()), p.cite(run.OwnCitation); run.Own == 0 {
		row.Load, row.Source = seeFindings, problem
	}
}

// european completes the row of a run by EN 12056-2.
func (row *DrainRow) european(run *drains.EuropeanRun) {
	row.Load, row.Flow = Quantity(run.Sum.String()), litres(run.Flow)
	if run.Vented {
		row.Part = "ventilated " + row.Part
	}
	if run.Capacity > 0 {
		row.Capacity = litres(run.Capacity)
		row.Used = round(100*float64(run.Flow/run.Capacity), 0) + " %"
	}
	if run.ByLargest && row.Why == drains.DecidedByLoad.String() {
		row.Why = "flow of the largest appliance"
	} else if row.Why == drains.DecidedByLoad.String() {
		row.Why = "flow"
	}
}

// europeanServed is what drains through a point, from which a vent is taken off.
func (g *drainsJudged) europeanServed(point string) Quantity {
	if i, ok := g.find(point); ok {
		return Quantity(g.flows[i].Sum.String())
	}
	return ""
}

// europeanTotal returns the load and the flow of a system at its outlet.
func (g *drainsJudged) europeanTotal(sys *drains.System) (load, flow Quantity, closets int) {
	var sum en12056.DischargeUnits
	var q units.Flow
	for i := range g.flows {
		if r := &g.flows[i]; r.To == sys.Outlet.ID {
			sum += r.Sum
			closets += r.Closets
			q = max(q, r.Flow)
		}
	}
	return Quantity(sum.String()), litres(q), closets
}

// total is the load of a system, in the units of its code, and by EN 12056-2 its flow.
func (g *drainsJudged) total(sys *drains.System) (load, flow Quantity, closets int) {
	if g.flows != nil {
		return g.europeanTotal(sys)
	}
	sum, closets, _ := g.sizing.Total(sys.ID)
	return Quantity(sum.String()), "", closets
}
