package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/trapweir/trapweir/examples/lesson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// problem is what the figures read of a problem line; the engine has checked it.
type problem struct {
	ID, Ask      string
	Length       string
	Grade        slope.Grade
	OutletInvert units.Length `json:"outlet_invert"`
	Invert       units.Length
	Stations     []units.Length
	Ground       []units.Length
	Runs         []run
	Code, System string
	Load         float64
	Flow, Bore   string

	Width            units.Length
	DepthLower       units.Length `json:"depth_lower"`
	DepthUpper       units.Length `json:"depth_upper"`
	InstrumentHeight units.Length `json:"instrument_height"`
	Elevation        units.Length
	Size             string // of a trap arm
	Part             string // of the drains
	Intervals        int
	Street           json.RawMessage
	Rise, Required   string
	Losses           []struct{ Name, Loss string }

	plain []byte
}

type run struct {
	Length, Drop units.Length
	Grade        slope.Grade
}

// figuresOf draws the problems of a lesson that a figure helps; others have none.
func figuresOf(e *lesson.Engine, lines []byte, title string) ([]file, error) {
	var out []file
	for line := range bytes.Lines(lines) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		var kind struct{ ID, Ask string }
		if err := json.Unmarshal(line, &kind); err != nil {
			return nil, err
		}
		draws := figures[kind.Ask]
		if draws == nil {
			continue
		}
		var p problem
		if err := json.Unmarshal(line, &p); err != nil {
			return nil, fmt.Errorf("figure of %s: %w", kind.ID, err)
		}
		p.plain = line
		sheets, err := draws(e, &p, draw.Options{Figure: true, Prefix: fileName(p.ID) + "-",
			Title: draw.Title{Job: title, Drawing: "Problem " + p.ID}})
		if err != nil {
			return nil, fmt.Errorf("figure of %s: %w", kind.ID, err)
		}
		for i, s := range sheets {
			name := "figure-" + fileName(p.ID)
			if i > 0 {
				name += "-" + s.Name
			}
			out = append(out, file{name + ".svg", string(s.SVG), p.ID})
		}
	}
	return out, nil
}

// fileName keeps of an id what any file system takes.
func fileName(id string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '_'
	}, id)
}

var figures = map[string]func(*lesson.Engine, *problem, draw.Options) ([]draw.Sheet, error){
	"fall": drawFall, "inverts": drawInverts, "cut-sheet": drawCuts, "demand": drawDemand, "friction": drawFriction,
	"trench": drawTrench, "rod": drawRod, "trap-arm": drawTrapArm, "drain-size": drawStack,
	"pressure-budget": drawBudget,
}

// drawFall shows a run at its grade; the fall is for the student to find.
func drawFall(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	length, err := units.Parse[units.Length](p.Length)
	if err != nil {
		return nil, err
	}
	row := draw.Row{Name: "above the outlet", Cells: []string{"0"}}
	return drawRuns(0, []run{{Length: length, Grade: p.Grade}}, row, o)
}

// drawInverts shows the runs from the outlet up.
func drawInverts(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	row := draw.Row{Name: "invert, ft", Cells: []string{fmt.Sprintf("%.2f", p.OutletInvert.Feet())}}
	return drawRuns(p.OutletInvert, p.Runs, row, o)
}

func drawRuns(at units.Length, runs []run, row draw.Row, o draw.Options) ([]draw.Sheet, error) {
	sec := &draw.Section{Rows: []draw.Row{row}}
	var x units.Length
	sec.Stations = append(sec.Stations, 0)
	sec.Scene.Marks = []draw.Mark{{ID: "OUT", Shape: draw.Outlet, At: draw.Point{Z: at}, Label: []string{"OUT"}}}
	for i, r := range runs {
		fall := r.Grade.Over(r.Length)
		upper := draw.Point{X: x + r.Length, Z: at + fall}
		sec.Scene.Lines = append(sec.Scene.Lines, draw.Line{
			ID: fmt.Sprintf("run %d", i+1), Style: draw.Drain, Arrow: true, Path: []draw.Point{upper, {X: x, Z: at}},
			Label: []string{fmt.Sprintf("%.16v at %v", r.Length, r.Grade)},
		})
		x, at = upper.X, upper.Z
		if r.Drop > 0 {
			sec.Scene.Lines = append(sec.Scene.Lines, draw.Line{
				ID: fmt.Sprintf("drop %d", i+1), Style: draw.Drain,
				Path:  []draw.Point{{X: x, Z: at + r.Drop}, {X: x, Z: at}},
				Label: []string{fmt.Sprintf("drop %i", r.Drop)},
			})
			at += r.Drop
		}
		sec.Stations = append(sec.Stations, x)
		sec.Rows[0].Cells = append(sec.Rows[0].Cells, "?")
	}
	return draw.Profile(sec, o)
}

// drawCuts shows the ground and the pipe of a cut sheet.
func drawCuts(_ *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	sec := &draw.Section{Stations: p.Stations, Rows: []draw.Row{{Name: "cut, ft"}}}
	pipe := draw.Line{ID: "pipe", Style: draw.Drain, Arrow: true, Label: []string{p.Grade.String()}}
	ground := draw.Line{ID: "ground", Style: draw.Ground, Label: []string{"ground"}}
	for i, s := range p.Stations {
		fall := p.Grade.Over(s - p.Stations[0])
		pipe.Path = append(pipe.Path, draw.Point{X: s, Z: p.Invert - fall})
		if i < len(p.Ground) {
			ground.Path = append(ground.Path, draw.Point{X: s, Z: p.Ground[i]})
		}
		sec.Rows[0].Cells = append(sec.Rows[0].Cells, "?")
	}
	for _, l := range []draw.Line{pipe, ground} {
		if len(l.Path) > 1 {
			sec.Scene.Lines = append(sec.Scene.Lines, l)
		}
	}
	if sec.Scene.Lines == nil {
		return nil, nil // a single station is no line
	}
	return draw.Profile(sec, o)
}

// drawDemand shows the curve of the code on both sides of the load.
func drawDemand(e *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	curve := draw.Curve{ID: "demand", Style: draw.Pressure, Label: p.Code + ", " + p.System}
	for i := range 65 {
		load := p.Load * float64(i) / 32
		flow, ok := flowOf(e, fmt.Sprintf(`{"ask":"demand","code":%q,"system":%q,"load":%.3f}`, p.Code, p.System, load),
			"flow")
		if ok {
			curve.At = append(curve.At, draw.XY{X: load, Y: flow})
		}
	}
	return graph(curve, draw.Chart{X: draw.Axis{Name: "load, fixture units"}, Y: draw.Axis{Name: "flow, gpm"}}, p.Load,
		o)
}

// drawFriction shows how the loss grows with the flow.
func drawFriction(e *lesson.Engine, p *problem, o draw.Options) ([]draw.Sheet, error) {
	q, err := units.Parse[units.Flow](p.Flow)
	if err != nil {
		return nil, err
	}
	gpm := float64(q / units.USGallonPerMinute)
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(p.plain, &fields); err != nil {
		return nil, err
	}
	delete(fields, "units")
	curve := draw.Curve{ID: "loss", Style: draw.Pressure, Label: "bore " + p.Bore}
	for i := range 49 {
		x := gpm * float64(i) / 32
		if fields["flow"], err = json.Marshal(fmt.Sprintf("%.6f gpm", x)); err != nil {
			return nil, err
		}
		line, err := json.Marshal(fields)
		if err != nil {
			return nil, err
		}
		if loss, ok := flowOf(e, string(line), "pressure_loss"); ok {
			curve.At = append(curve.At, draw.XY{X: x, Y: loss})
		}
	}
	return graph(curve, draw.Chart{X: draw.Axis{Name: "flow, gpm"}, Y: draw.Axis{Name: "pressure loss, psi"}}, gpm, o)
}

// graph draws a curve with the place that is asked for.
func graph(curve draw.Curve, c draw.Chart, at float64, o draw.Options) ([]draw.Sheet, error) {
	if len(curve.At) < 2 {
		return nil, nil
	}
	c.Curves = []draw.Curve{curve}
	c.Names = map[string]string{curve.Style.Key(): c.Y.Name, draw.Device.Key(): "what is asked"}
	for _, xy := range curve.At {
		if xy.X == at {
			c.Spots = []draw.Spot{{ID: "asked", At: xy, Shape: draw.Device, Label: []string{"?"}}}
		}
	}
	return draw.Graph(&c, o)
}

// flowOf answers a line and returns one quantity of it.
func flowOf(e *lesson.Engine, line, name string) (x float64, ok bool) {
	reply, ok := e.Answer([]byte(line), lesson.Options{})
	var r struct {
		Answer map[string]struct{ Value float64 }
	}
	if !ok || json.Unmarshal(reply, &r) != nil {
		return 0, false
	}
	return r.Answer[name].Value, true
}
