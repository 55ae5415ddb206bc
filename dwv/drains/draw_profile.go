package drains

import (
	"slices"

	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// profile is the longest way of a system below the floor.
func (d *drawing) profile(sys int32) *draw.Section {
	way := d.longestWay(sys)
	if len(way) == 0 {
		return nil
	}
	sec := &draw.Section{Scene: draw.Scene{Names: d.names()}}
	d.call(sec.Names, int(sys), "system "+d.layout.Systems[sys].ID)
	sec.Names[draw.Guide.Key()] = "crown: inside top of the pipe"
	sec.Remarks = []string{"From the outlet upstream along the longest way. The heavy line is the invert."}
	station := map[int32]units.Length{sys: 0}
	at := units.Length(0)
	d.surfaces(sec, way)
	for _, i := range way {
		from := at
		at += d.tree.point(i).Run.Length
		station[i] = at
		d.profileRun(sec, i, from, at)
	}
	slices.Reverse(sec.Lines) // upstream first
	d.joins(sec, station)
	d.stations(sec, append([]int32{sys}, way...), station)
	return sec
}

// longestWay lists the points on the longest way below the floor, from the outlet on.
func (d *drawing) longestWay(sys int32) []int32 {
	t := d.tree
	long := map[int32]units.Length{sys: 0}
	far := sys
	for _, i := range slices.Backward(t.of(sys)) {
		from, ok := long[t.parent[i]]
		if !ok || d.above[i] || t.point(i).Run.Vertical {
			continue
		}
		long[i] = from + t.point(i).Run.Length
		if long[i] > long[far] {
			far = i
		}
	}
	var way []int32
	for i := far; i != sys; i = t.parent[i] {
		way = append(way, i)
	}
	slices.Reverse(way)
	return way
}

// surfaces draws floor, slab and ground over the way.
func (d *drawing) surfaces(sec *draw.Section, way []int32) {
	l := d.layout
	inside, end := units.Length(0), units.Length(0)
	for _, i := range way {
		n := d.tree.point(i).Run.Length
		if d.lv.outside(i) && inside == end {
			inside += n
		}
		end += n
	}
	level := func(id, name string, style draw.Style, from, to, z units.Length) {
		if from < to {
			sec.Lines = append(sec.Lines, draw.Line{ID: id, Style: style, Tip: name, Label: []string{name + " " + d.height(z)},
				Path: []draw.Point{{X: from, Z: z}, {X: to, Z: z}}})
		}
	}
	level("finished-floor", "finished floor", draw.Concrete, inside, end, l.FinishedFloor)
	if l.Slab > 0 {
		level("slab", "underside of slab", draw.Concrete, inside, end, l.FinishedFloor-l.Slab)
	}
	if l.Ground != nil {
		level("ground", "ground outside", draw.Ground, 0, max(inside, end/20), *l.Ground)
	}
}

// profileRun draws one run from the side, with its crown, its trench and what it passes.
func (d *drawing) profileRun(sec *draw.Section, i int32, from, to units.Length) {
	pt, v := d.tree.point(i), d.lv.level(i)
	side := func(lower, upper units.Length) []draw.Point {
		return []draw.Point{{X: to, Z: upper}, {X: from, Z: lower}}
	}
	if v.Spare < 0 && !v.Outside {
		roof := d.lv.surface(i)
		under := roof.Level - roof.Slab
		sec.Areas = append(sec.Areas, draw.Area{Tip: pt.ID + ": less cover than the job asks",
			Path: append(side(v.Lower.Top, v.Upper.Top), draw.Point{X: from, Z: under}, draw.Point{X: to, Z: under})})
	}
	invert := side(v.Lower.Invert, v.Upper.Invert)
	if next := d.lv.upper[d.tree.parent[i]]; next != v.Lower.Invert {
		invert = append(invert, draw.Point{X: from, Z: next}) // the drop at its lower end
	}
	sec.Lines = append(sec.Lines,
		draw.Line{ID: pt.ID, Style: draw.Trench, Path: side(v.Lower.TrenchBottom, v.Upper.TrenchBottom)},
		draw.Line{ID: pt.ID, Style: draw.Guide, Path: side(v.Lower.Crown, v.Upper.Crown)},
		draw.Line{ID: pt.ID, Style: draw.Drain, Set: int(min(d.tree.system[i], 2)), Path: invert, Arrow: true, Tip: d.tip(i)})
	for k := range d.layout.Footings {
		if f := &d.layout.Footings[k]; f.Run == pt.ID {
			x := to - min(max(f.Along, 0), pt.Run.Length)
			floor := d.layout.FinishedFloor
			sec.Lines = append(sec.Lines, draw.Line{ID: f.ID, Style: draw.Concrete, Label: d.footing(f),
				Tip: "footing " + f.ID, Path: []draw.Point{{X: x, Z: floor}, {X: x, Z: floor - f.Bottom}}})
		}
	}
}

// joins marks the points of the way, and what drains into them beside it.
func (d *drawing) joins(sec *draw.Section, station map[int32]units.Length) {
	t := d.tree
	sys := int32(-1)
	for i := range station {
		sys = t.system[i]
	}
	for _, i := range t.of(sys) {
		at, on := station[t.parent[i]]
		if _, itself := station[i]; !on || itself {
			continue
		}
		m := draw.Mark{ID: t.point(i).ID, At: draw.Point{X: at, Z: d.lv.lower[i]}, Shape: draw.Tick, Tip: d.tip(i),
			Label: []string{t.point(i).ID, d.size(d.Sizing.size[i]) + " at " + d.height(d.lv.lower[i])}}
		sec.Marks = append(sec.Marks, m)
	}
	for _, i := range t.of(sys) {
		if at, on := station[i]; on {
			m := d.mark(i)
			m.At, m.Toward, m.Label = draw.Point{X: at, Z: d.lv.upper[i]}, nil, []string{t.point(i).ID}
			sec.Marks = append(sec.Marks, m)
		}
	}
	o := &d.layout.Systems[sys].Outlet
	sec.Marks = append(sec.Marks,
		draw.Mark{ID: o.ID, At: draw.Point{Z: o.Invert}, Shape: draw.Outlet, Label: []string{o.ID}, Tip: "outlet " + o.ID},
		draw.Mark{ID: d.layout.Systems[sys].ID, At: draw.Point{Z: o.Invert}})
}

// stations fills the table below a profile.
func (d *drawing) stations(sec *draw.Section, way []int32, station map[int32]units.Length) {
	names := [...]string{
		"point",
		"station from outlet",
		"invert",
		"depth below floor",
		"cover under slab",
		"size",
		"grade",
	}
	cells := make([][]string, len(names))
	more := make([][]string, len(d.opt.Rows))
	for k, i := range way {
		sec.Stations = append(sec.Stations, station[i])
		row := [len(names)]string{1: d.run(station[i]), 2: d.height(d.lv.upper[i])}
		if k == 0 {
			o := &d.layout.Systems[i].Outlet
			row[0] = o.ID
			row[3] = d.depth(d.layout.FinishedFloor - o.Invert)
			row[5] = d.size(d.Sizing.size[i])
		} else {
			pt, v := d.tree.point(i), d.lv.level(i)
			row[0], row[3] = pt.ID, d.depth(v.Upper.InvertDepth)
			row[5], row[6] = d.size(d.Sizing.size[i]), d.grade(pt.Run.Grade)
			if !v.Outside {
				row[4] = d.depth(v.Upper.SlabClearance)
			}
		}
		for c := range row {
			cells[c] = append(cells[c], row[c])
		}
		for c, r := range d.opt.Rows {
			more[c] = append(more[c], r.Cell(row[0]))
		}
	}
	for c, name := range names {
		sec.Rows = append(sec.Rows, draw.Row{Name: name, Cells: cells[c]})
	}
	for c, r := range d.opt.Rows {
		sec.Rows = append(sec.Rows, draw.Row{Name: r.Name, Cells: more[c]})
	}
	sec.Rows = append(sec.Rows, draw.Row{Name: "AS BUILT"})
}
