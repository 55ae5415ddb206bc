package drains

import (
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// isometric is a system with its vents.
func (d *drawing) isometric(sys int32) *draw.Scene {
	sc := &draw.Scene{Names: d.names(), Schematic: d.rows[sys]}
	d.call(sc.Names, int(sys), "system "+d.layout.Systems[sys].ID)
	loads := "load of capacity in fixture units"
	if d.Sizing.european != nil {
		loads = "discharge units, design flow"
	}
	sc.Remarks = []string{"Drains: size, and " + loads + ". Vents: size, and developed length of " +
		"the most the code allows. Arm: length from trap weir to vent of the most the code allows."}
	if d.rows[sys] {
		sc.Remarks = append(sc.Remarks, schematic)
		defer d.arrangeInHeight(sys)()
	}
	if d.risers(sc, sys) {
		sc.Remarks = append(sc.Remarks, "The layout gives heights and lengths of vents, not their way on plan: they "+
			"are drawn straight to the vent they join.")
	}
	order := d.tree.of(sys)
	for k, i := range order {
		if !d.GoesBetween(k, len(order), "points of an isometric") {
			return nil
		}
		pt := d.tree.point(i)
		line := draw.Line{Set: int(min(sys, 2)), Style: draw.Buried, Arrow: !pt.Run.Vertical,
			Label: []string{d.size(d.Sizing.size[i]) + " " + d.used(i)}}
		if words := d.venting(i); words != "" {
			line.Label = append(line.Label, words)
		}
		if d.above[i] || pt.Run.Vertical {
			line.Style = draw.Drain
		}
		d.addRun(sc, i, line)
		m := d.mark(i)
		m.Toward = nil
		m.Label = append([]string{pt.ID}, d.standing(i)...)
		sc.Marks = append(sc.Marks, m)
	}
	d.outlet(sc, sys)
	d.footings(sc, sys)
	return sc
}

// used is the load of a run and what its pipe carries.
func (d *drawing) used(i int32) string {
	if u := d.Sizing.european; u != nil {
		r := &u.runs[int(i)-d.tree.outlets]
		return r.Sum.String() + ", " + litres(r.Flow).String()
	}
	r := d.runSize(i)
	number := func(u dwv.FixtureUnits) string { return strings.TrimSuffix(u.String(), " dfu") }
	if r.Capacity == 0 {
		return r.Load.String()
	}
	return number(r.Load) + "/" + number(r.Capacity)
}

// standing is what stands at a point of a riser diagram, below its id.
func (d *drawing) standing(i int32) []string {
	pt := d.tree.point(i)
	lines := d.what(i)
	if pt.Trap != nil && pt.Trap.Arm != 0 {
		arm := "arm " + d.run(pt.Trap.Arm)
		if limit := d.armLimit(pt); limit != "" {
			arm += " of " + limit
		}
		lines = append(lines, arm)
	}
	if pt.FloodRim != 0 {
		lines = append(lines, "rim "+d.depth(pt.FloodRim)+" up")
	}
	return append(lines, d.itsVent(i)...)
}

// itsVent names the vent of a fixture whose trap reaches it elsewhere, if any.
func (d *drawing) itsVent(i int32) []string {
	r := d.routes
	if r == nil || d.tree.point(i).Fixture == nil {
		return nil
	}
	if v := r.serving[i]; v >= 0 && r.reached[i] != i {
		return []string{"vented by " + d.layout.Vents[v].ID}
	}
	return nil
}

// armLimit is the longest arm that the code allows a trap, empty if it names none.
func (d *drawing) armLimit(pt *Point) string {
	size := pt.Trap.Size
	if size == 0 && pt.Fixture != nil {
		load, err := d.code.FixtureLoad(*pt.Fixture)
		if err != nil {
			return ""
		}
		size = load.TrapSize
	}
	arm, _ := d.code.TrapArm(size) // of a size without a row no limit either
	limit, ok := arm.MaxLength.Get()
	if !ok {
		return ""
	}
	return d.run(limit)
}

// risers draws the vents of a system, those that join one after it. It reports whether
// the way of any on plan is not given.
func (d *drawing) risers(sc *draw.Scene, sys int32) bool {
	g := &d.tree.vents
	if len(g.from) == 0 {
		return false
	}
	if d.ends == nil {
		d.ends, d.ways = map[int32]draw.Point{}, map[int32][]draw.Point{}
		d.ventHeights = d.Sizing.ventHeights(d.Sizing.upper)
		d.ventsOf, d.firstInto = map[int32][]int32{}, map[int32]int32{}
		systems := g.systems(d.tree)
		for _, v := range slices.Backward(g.order) { // joined vents first
			d.ventsOf[systems[v]] = append(d.ventsOf[systems[v]], v)
			d.firstInto[g.parent[v]] = v // the last that is set here comes first in the order
		}
	}
	any := false
	for k, v := range d.ventsOf[sys] {
		if !d.GoesBetween(k, len(d.ventsOf[sys]), "vents") {
			break
		}
		d.riser(sc, v)
		any = any || !d.placed(v)
	}
	return any
}

// placed tells whether the layout says which way each flat run of a vent takes on plan, and that
// they end where it joins another.
func (d *drawing) placed(v int32) bool {
	runs := d.layout.Vents[v].Runs
	for k := range runs {
		r := &runs[k]
		upright := !r.flat()
		if r.End == nil && !upright && r.Bearing.IsZero() {
			return false
		}
	}
	return len(d.way(v)) <= len(runs)+1
}

// riser draws one vent: from its take-off up, and over to what it joins.
func (d *drawing) riser(sc *draw.Scene, v int32) {
	g, x := &d.tree.vents, &d.layout.Vents[v]
	line := draw.Line{
		ID:    d.ventID(v),
		Style: draw.Vent,
		Path:  d.way(v),
		Tip:   d.ventTip(v),
		Label: d.ventTag(v),
	}
	if k := slices.IndexFunc(x.Runs, func(r VentRun) bool { return r.Direction == VentHorizontal }); k >= 0 {
		line.Label = append(line.Label, d.turnsFlat(v, line.Path[k].Z))
	}
	sc.Lines = append(sc.Lines, line)
	if g.from[v] >= 0 {
		sc.Marks = append(sc.Marks, draw.Mark{ID: line.ID, At: line.Path[0], Shape: draw.TakeOff})
	}
	if x.Valve != nil {
		sc.Marks = append(sc.Marks, draw.Mark{ID: line.ID, At: line.Path[len(line.Path)-1], Shape: draw.Device,
			Label: []string{x.ID, "air admittance valve"}})
	}
	if t := x.Terminal; t != nil {
		m := draw.Mark{ID: line.ID, At: line.Path[len(line.Path)-1], Shape: draw.Terminal, Label: []string{x.ID}}
		if t.AboveRoof != 0 {
			m.Label = append(m.Label, d.depth(t.AboveRoof)+" above roof")
		}
		sc.Marks = append(sc.Marks, m)
	}
}

// way is where a vent runs: a place for its start, one for the end of each run, and what it joins.
func (d *drawing) way(v int32) []draw.Point {
	if way, ok := d.ways[v]; ok {
		return way
	}
	g, x := &d.tree.vents, &d.layout.Vents[v]
	at := d.foot(v)
	way := []draw.Point{at}
	over, joins := draw.Point{}, false
	if p := g.parent[v]; p >= 0 {
		over, joins = along(d.way(p), d.layout.Vents[p].Runs, d.Sizing.ventStation(v, d.ventHeights)), true
	} else if n := g.stack[v]; n >= 0 {
		over, joins = d.at(n), true
	}
	for _, r := range x.Runs {
		at.Z += rise(&r)
		switch upright := !r.flat(); {
		case r.End != nil:
			at.X, at.Y = r.End.X, r.End.Y
		case upright:
		case !r.Bearing.IsZero():
			to := moved(Position{X: at.X, Y: at.Y}, r.Bearing, r.Length)
			at.X, at.Y = to.X, to.Y
		case joins:
			at.X, at.Y = over.X, over.Y
		default:
			at.X -= r.Length // nothing says which way
		}
		way = append(way, at)
	}
	if joins && (at.X != over.X || at.Y != over.Y) {
		way = append(way, draw.Point{X: over.X, Y: over.Y, Z: at.Z})
	}
	if len(way) < 2 {
		way = append(way, at)
	}
	d.ways[v] = way
	return way
}

// along is the place on the drawn way of a vent that is so far along its runs.
func along(way []draw.Point, runs []VentRun, station units.Length) draw.Point {
	for k := range runs {
		r := &runs[k]
		if station <= r.Length && r.Length > 0 {
			a, b, part := way[k], way[k+1], float64(station)/float64(r.Length)
			on := func(a, b units.Length) units.Length {
				return a + units.Length(math.Round(float64(float64(b-a)*part)))
			}
			return draw.Point{X: on(a.X, b.X), Y: on(a.Y, b.Y), Z: on(a.Z, b.Z)}
		}
		station -= r.Length
	}
	return way[len(runs)]
}

// turnsFlat says how high a vent turns flat, and from where on it may.
func (d *drawing) turnsFlat(v int32, at units.Length) string {
	floor, s := d.layout.FinishedFloor, &d.vents[v]
	text := "flat at " + d.depth(at-floor)
	clear, _, _ := d.code.RuleLength("vent-rim-clearance") // none of a code without it
	if least, ok := clear.Get(); ok && s.rims.known() {
		text += ", least " + d.depth(s.rims.highest+least-floor)
	}
	return text + " above floor"
}

// foot is where a vent begins: at its take-off, or where the first vent that joins it
// ends.
func (d *drawing) foot(v int32) draw.Point {
	if at, ok := d.ends[v]; ok {
		return at
	}
	g := &d.tree.vents
	at := draw.Point{}
	if n := g.from[v]; n >= 0 {
		at = d.at(n)
	} else if w, ok := d.firstInto[v]; ok {
		at = d.foot(w)
		for k := range d.layout.Vents[w].Runs {
			at.Z += rise(&d.layout.Vents[w].Runs[k])
		}
	}
	d.ends[v] = at
	return at
}

// ventID is the id of a vent in a drawing, where a point may have the same.
func (d *drawing) ventID(v int32) string {
	id := d.layout.Vents[v].ID
	if _, taken := d.tree.index[id]; taken {
		return "vent " + id
	}
	return id
}

func (d *drawing) ventTag(v int32) []string {
	x, s := &d.layout.Vents[v], &d.vents[v]
	tag := x.ID + ": " + d.size(s.Size) + ", " + d.developed(s.Length)
	if s.MaxLength != 0 {
		tag += " of " + d.run(s.MaxLength)
	}
	return append([]string{tag}, d.through(v)...)
}

func (d *drawing) ventTip(v int32) string {
	x, s := &d.layout.Vents[v], &d.vents[v]
	words := []string{
		x.ID + ": " + strings.ReplaceAll(string(x.Kind), "-", " ") + " vent",
		d.size(s.Size),
		"developed length " + d.developed(s.Length),
	}
	if d.Sizing.european == nil {
		words = append(words, "serves "+s.Load.String())
	}
	if x.From != "" {
		words = append(words, "from "+x.From)
	}
	if x.To != "" {
		words = append(words, "to "+x.To)
	}
	if x.Terminal != nil {
		words = append(words, "to the open air")
	}
	if x.Valve != nil {
		words = append(words, "ends in an air admittance valve")
	}
	return strings.Join(words, ", ")
}
