package job

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// LoopRow is a recirculated hot line.
type LoopRow struct {
	Loop    string   `json:"loop"`
	Length  Quantity `json:"length"`
	Heat    Quantity `json:"heat_lost"`
	Flow    Quantity `json:"flow"`
	Head    Quantity `json:"pump_head"`
	Returns Quantity `json:"returns_at"`
	// Valve is what the balancing valve on its return takes at its flow, so that the loop loses
	// as much as the one that loses most.
	Valve Quantity `json:"valve_takes,omitempty"`
}

// PumpRow is what the pump of a heater moves and adds: the flow of all its loops, at the head
// of the one that loses most.
type PumpRow struct {
	Heater string   `json:"heater"`
	Flow   Quantity `json:"flow"`
	Head   Quantity `json:"head"`
}

// SleeveRow is a sleeve with the lines in it.
type SleeveRow struct {
	Sleeve string   `json:"sleeve"`
	Bore   Quantity `json:"bore"`
	Lines  string   `json:"lines"`
	Fill   Quantity `json:"fill"`
	Fits   string   `json:"fits"`
}

// HotWaterRow is the wait for hot water at one outlet.
type HotWaterRow struct {
	Fixture string   `json:"fixture"`
	From    string   `json:"hot_from"`
	Length  Quantity `json:"length"`
	Volume  Quantity `json:"run_off"`
	Flow    Quantity `json:"flow,omitempty"`
	Wait    Quantity `json:"wait,omitempty"`
	// WaitMost is how long it may take, with the heat that the pipe takes up.
	WaitMost Quantity `json:"wait_most,omitempty"`
	Grade    string   `json:"grade,omitempty"`
	Pipe     string   `json:"pipe"`
	Source   string   `json:"source,omitempty"`
}

// waits is the wait from the water in the pipe alone to what it may be.
func (h *HotWaterRow) waits() string {
	if h.WaitMost == "" || h.WaitMost == h.Wait {
		return string(h.Wait)
	}
	from, _, _ := strings.Cut(string(h.Wait), " ")
	return from + " to " + string(h.WaitMost)
}

func loops(w *waterJudged, p printer) ([]LoopRow, []PumpRow, error) {
	list, err := w.sizing.Circulations()
	if err != nil && !errors.Is(err, tables.ErrNotStated) { // a finding asks for what is not stated
		return nil, nil, err
	}
	var rows []LoopRow
	var pumps []PumpRow
	var byHeater grouped.By[string, supply.Circulation]
	for _, c := range list {
		row := LoopRow{Loop: c.ID, Length: p.run(c.Length), Heat: p.power(c.Heat), Flow: p.smallFlow(c.Flow),
			Head: p.head(c.Head), Returns: p.temperature(c.Returns)}
		if c.Throttle > 0 { // the loop needs a valve
			row.Valve = p.head(c.Throttle)
		}
		rows = append(rows, row)
		byHeater.Add(c.Heater, c)
	}
	for heater, list := range byHeater.All() {
		var flow units.Flow
		var head units.Head
		for _, c := range list {
			flow, head = flow+c.Flow, max(head, c.Head)
		}
		pumps = append(pumps, PumpRow{Heater: heater, Flow: p.smallFlow(flow), Head: p.head(head)})
	}
	return rows, pumps, nil
}

func sleeves(w *waterJudged, p printer) []SleeveRow {
	var rows []SleeveRow
	for _, s := range w.sizing.Sleeves() {
		row := SleeveRow{Sleeve: s.Sleeve.ID, Bore: p.bore(s.Sleeve.Bore), Lines: strings.Join(s.Lines, " "),
			Fill: round(100*s.Fill, 0) + " %", Fits: "fits"}
		switch s.Fit.Verdict {
		case tables.Fail:
			row.Fits = "does not fit"
		case tables.Ask:
			row.Fits = "no place was found for every line"
		case tables.Pass:
			if tooFull(w.findings, s.Sleeve.ID) {
				row.Fits = "room side by side; to be pulled in: see the findings"
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// tooFull reports whether the share that the lines take of the bore of a sleeve fails or is
// asked about.
func tooFull(list []tables.Finding, sleeve string) bool {
	for i := range list {
		if f := &list[i]; f.Rule == "sleeve-fill" && f.Place == sleeve && f.Verdict != tables.Pass &&
			f.IfConfirmed != tables.Pass {
			return true
		}
	}
	return false
}

func hotWater(w *waterJudged, p printer) ([]HotWaterRow, error) {
	waits, err := w.sizing.HotWater()
	if err != nil {
		return nil, err
	}
	data := w.layout.Data()
	var rows []HotWaterRow
	for _, h := range waits {
		x := fixtureOf(data.Fixtures, h.Fixture)
		row := HotWaterRow{Fixture: x.ID, From: h.From, Length: p.run(h.Length), Volume: p.volume(h.Volume),
			Grade: h.Grade, Pipe: "insulated", Source: h.Citation.String()}
		if h.Recirculated {
			row.From += " (" + keptBy(w.layout, h.From) + ")"
		}
		if h.Flow != 0 {
			row.Flow, row.Wait, row.WaitMost = p.flow(h.Flow), p.time(h.Wait), p.time(h.WaitMost)
		}
		if uncovered(w.layout, x.Hot, h.From) {
			row.Pipe = "bare"
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// keptBy is what keeps the water at a point hot.
func keptBy(l *supply.Layout, point string) string {
	if i, ok := l.Find(point); ok && l.Point(i).Traced {
		return "traced"
	}
	return "loop"
}

// uncovered reports whether any run on the way from a point to a hot port has no
// insulation.
func uncovered(l *supply.Layout, port, from string) bool {
	i, ok := l.Find(port)
	for ok && i >= 0 && l.Point(i).ID != from {
		if l.Point(i).Insulation == nil {
			return true
		}
		i = l.Parent(i)
	}
	return false
}

func waterMaterials(w *waterJudged, p printer) ([]MaterialRow, error) {
	order, err := w.sizing.TakeOff(supply.TakeOffOptions{WastePercent: wastePercent})
	if err != nil {
		return nil, err
	}
	var rows []MaterialRow
	for _, x := range order.Lines {
		row := MaterialRow{What: strings.TrimSpace(label(x.Item) + " " + x.Pipe),
			Size: cmp.Or(Size(x.Name), p.size(x.Size)), Quantity: whole(x.Count)}
		switch {
		case x.Kind == "pipe":
			row.What, row.Quantity, row.Note = x.Item, p.order(x.Gross), string(p.run(x.Length))+" laid"
			row.exact = x.Gross
		case x.Kind == "insulation":
			row.What, row.Quantity = "insulation "+x.Item+" on "+x.Pipe, p.order(x.Length)
		case x.Kind == "sleeve":
			row.What = "sleeve"
			if x.Length > 0 {
				row.Quantity, row.Note = p.order(x.Length), counted(x.Count, "sleeve")
			}
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func waterTest(w *waterJudged, p printer) []string {
	plans, err := w.sizing.TestPlans(supply.TestOptions{})
	if err != nil {
		return []string{err.Error()}
	}
	t := plans[0]
	source := w.layout.Data().Source.ID
	at := t.WorkingAt
	if at == source {
		at = "the source (" + source + ")"
	}
	text := fmt.Sprintf("Water lines: the greatest working pressure is %s, at %s.", p.pressure(t.Working), at)
	if w.layout.Data().Source.Static == 0 {
		text += " That is while the building draws: while nothing flows, which is not given, it is more, and so is the test."
	}
	if t.Stated != nil {
		text += fmt.Sprintf(" Test with %s at %s at the source", t.Stated.Medium, p.pressure(t.Stated.Pressure))
		if t.Lowest == source {
			text += ", which lies lowest."
		} else {
			text += fmt.Sprintf(": %s at the lowest point, %s.", p.pressure(t.AtLowest), t.Lowest)
		}
	}
	switch {
	case t.Stated != nil && t.Stated.Medium == "air" && t.Air != 0:
		text += fmt.Sprintf(" With air the code wants at least %s (%v).", p.pressure(t.Air), t.AirCitation)
	case t.Least != 0:
		text += fmt.Sprintf(" The code wants at least %s (%v).", p.pressure(t.Least), t.LeastCitation)
	case t.Stated == nil:
		text += fmt.Sprintf(" The tables have no test pressure of %s: ask the authority.", w.code.Source())
	}
	text += fmt.Sprintf(" It takes %s of water.", p.volume(t.Volume))
	if len(t.Plastic) > 0 {
		text += fmt.Sprintf(" Never with air or gas in plastic pipe (%s) unless its maker allows it.",
			strings.Join(t.Plastic, ", "))
	}
	return []string{text}
}

func (r *Report) printWater(p *page) {
	w := r.Water
	if w == nil {
		return
	}
	p.section("Water lines")
	speed, pressure := either(r.as, " ft/s", " m/s"), either(r.as, " psi", " kPa")
	p.paragraph("  ", "  ", fmt.Sprintf("%s residual at the street%s. Losses and pressures left are in %s.", w.Street,
		w.StreetAt, strings.TrimSpace(pressure)))
	g := grid{head: []string{"to", "from", "?line", ">length", "?>load", "?by", ">flow", "pipe", ">size",
		">" + strings.TrimSpace(speed), ">loss", ">left", "?decided by"}}
	for _, x := range w.Runs {
		g.add(x.Point, x.From, x.Line, string(x.Length), string(x.Load), x.System, string(x.Flow), x.Pipe,
			string(cmp.Or(Size(x.Bought), x.Size)), bare(x.Velocity, speed), bare(x.Loss, pressure), bare(x.Out, pressure),
			tradeWords.Replace(x.Why))
	}
	p.grid(g)
	p.printf("\n")
	r.printOutlets(p)
	if w.Governs != "" {
		p.printf("\n")
		p.paragraph("  Critical fixture: ", "    ", w.Governs+". What is spent on the way there:")
		g = grid{head: []string{"at", "", ">takes", ">left"}}
		for _, x := range w.Budget {
			g.add(x.At, x.What, string(x.Loss), string(x.Left))
		}
		p.grid(g)
	}
	for _, x := range w.Manifolds {
		longest := ""
		if x.To != "" {
			longest = fmt.Sprintf(", the longest %s to %s", x.Longest, x.To)
		}
		p.paragraph("  ", "    ", fmt.Sprintf("Manifold at %s: %s, %s, %s%s.", x.At, x.Size, x.Flow,
			counted(x.HomeRuns, "home run"), longest))
	}
	p.paragraph("  ", "    ", p.brief(w.ByLoad))
	w.printLinks(p)
	for _, x := range w.Sleeves {
		p.paragraph("  ", "    ", fmt.Sprintf("Sleeve %s, %s: %s fill %s of its bore, with the pull rope; %s.",
			x.Sleeve, x.Bore, x.Lines, x.Fill, x.Fits))
	}
	if len(w.Loops) > 0 {
		p.printf("\n")
		g = grid{head: []string{"hot loop", ">round", ">loses", ">circulates", ">loses head", ">valve takes", ">returns at"}}
		for _, x := range w.Loops {
			g.add(x.Loop, string(x.Length), string(x.Heat), string(x.Flow), string(x.Head), string(x.Valve),
				string(x.Returns))
		}
		p.grid(g)
		for _, x := range w.Pumps {
			p.paragraph("  ", "    ", fmt.Sprintf("Pump of %s: no less than %s at %s, with the valves set.", x.Heater,
				x.Flow, x.Head))
		}
	}
}

// bare is a figure whose unit stands in the head of its column.
func bare(q Quantity, unit string) string { return strings.TrimSuffix(string(q), unit) }

// printOutlets prints what each fixture has, and its wait for hot water, as one table.
func (r *Report) printOutlets(p *page) {
	hot := map[string]*HotWaterRow{}
	for i := range r.HotWater {
		hot[r.HotWater[i].Fixture] = &r.HotWater[i]
	}
	unit := either(r.as, " psi", " kPa")
	g := grid{head: []string{"fixture", "", "?at", ">has" + unit, ">needs" + unit, ">to spare", "?hot from",
		"?>hot pipe", "?>runs off", ">wait", "", "?"}}
	for _, x := range r.Water.Fixtures {
		h, later := hot[x.Fixture], ""
		if x.Capped {
			later = "capped"
		}
		if h == nil {
			h = new(HotWaterRow)
		}
		g.add(x.Fixture, label(x.Kind), x.At, bare(x.Has, unit), bare(x.Needs, unit), bare(x.Margin, unit), h.From,
			string(h.Length), string(h.Volume), h.waits(), h.Grade, join(h.Pipe, later))
	}
	p.grid(g)
}
