package job

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// LinkRow is a run that closes a ring, with what it carries while every link is open.
type LinkRow struct {
	Link     string   `json:"link"`
	From     string   `json:"from"` // the end that the water comes from
	To       string   `json:"to"`
	Length   Quantity `json:"length"`
	Pipe     string   `json:"pipe"`
	Size     Quantity `json:"size"`
	Flow     Quantity `json:"flow,omitempty"`
	Velocity Quantity `json:"velocity,omitempty"`
	Loss     Quantity `json:"loss,omitempty"`
}

// ringLinks lists the links and says what they do for the fixtures. The schedule of runs
// takes them as shut, which a ring must also stand.
func ringLinks(w *waterJudged, p printer) (rows []LinkRow, says string) {
	data := w.layout.Data()
	if len(data.Links) == 0 {
		return nil, ""
	}
	ring, err := w.sizing.Ring()
	for k := range data.Links {
		x := &data.Links[k]
		row := LinkRow{Link: x.ID, From: x.Between[0], To: x.Between[1], Length: p.run(x.Length)}
		if f, err := w.sizing.LinkPipe(k); err == nil {
			row.Pipe, row.Size = f.ID(), p.pipe(f, x.Size)
		}
		if err == nil {
			flow := &ring.Links[k]
			if flow.Flow < 0 {
				row.From, row.To = row.To, row.From
			}
			row.Flow, row.Velocity, row.Loss = p.flow(max(flow.Flow, -flow.Flow)), p.velocity(flow.Velocity),
				p.pressure(flow.Loss)
		}
		rows = append(rows, row)
	}
	if err != nil {
		return rows, fmt.Sprintf("The links were not worked out open: %v. Pressures are with the links shut.", err)
	}
	least, shut, open := -1, units.Pressure(0), units.Pressure(0)
	for i := range w.sizing.Fixtures {
		f := &w.sizing.Fixtures[i]
		if left := f.Margin(); least < 0 || left < shut {
			least, shut, open = i, left, ring.Out[f.Point]-f.Most
		}
	}
	if least < 0 {
		return rows, "Runs and pressures of the schedule are with the links shut, which a ring must stand while a " +
			"side is repaired."
	}
	return rows, fmt.Sprintf("Runs and pressures of the schedule are with the links shut, which a ring must stand "+
		"while a side is repaired: "+
		"%s then has %s to spare; with the links open, %s.", data.Fixtures[least].ID, p.pressure(shut),
		p.pressure(open))
}

func (w *WaterSection) printLinks(p *page) {
	if len(w.Links) == 0 {
		return
	}
	p.printf("\n")
	g := grid{head: []string{"link", "from", "to", ">length", "pipe", ">size", ">flow", ">velocity", ">loss"}}
	for _, x := range w.Links {
		g.add(x.Link, x.From, x.To, string(x.Length), x.Pipe, string(x.Size), string(x.Flow), string(x.Velocity),
			string(x.Loss))
	}
	p.grid(g)
	p.paragraph("  Ring: ", "    ", w.Rings)
}
