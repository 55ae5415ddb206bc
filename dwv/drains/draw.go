package drains

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/units"
)

// DrawOptions are what is asked of drawings of a layout.
type DrawOptions struct {
	Metric bool // texts in metres and millimetres
	// Rows are further rows of the table below a profile, such as rod readings, given the id
	// of each point on the way.
	Rows []DrawRow
}

// DrawRow is a row of the table below a profile.
type DrawRow struct {
	Name string
	Cell func(point string) string
}

// Drawings are the drawings of a sized layout as plain geometry, to be drawn by
// package draw or by other tools. Every point, run, outlet, vent and footing is in them by its id; a
// vent that has the id of a point is called "vent " and its id.
//
// Findings are put on a plan by [draw.Scene.Attach], each a note whose place is on the
// finding's.
type Drawings struct {
	// Plan shows the systems that have places on plan, nil if none has. Schematic shows
	// the others from above, by order and not by place.
	Plan, Schematic *draw.Scene
	Systems         []SystemDrawing
}

// SystemDrawing is what is drawn of one system.
type SystemDrawing struct {
	System string
	// Profile is the longest way to the outlet below the floor, nil if there is none.
	Profile   *draw.Section
	Isometric *draw.Scene // with its vents
}

// Draw returns the drawings of the layout that was sized. Where a system has no places on
// plan, or a vent no direction, it is drawn schematically and a remark says so: lengths are then those of
// the words, heights are true.
func (s *Sizing) Draw(opt DrawOptions) (*Drawings, error) {
	return s.DrawContext(context.Background(), opt)
}

// DrawContext is [Sizing.Draw] that stops once the context is done, with its error and how far it was.
func (s *Sizing) DrawContext(ctx context.Context, opt DrawOptions) (*Drawings, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	d := &drawing{Sizing: s, Work: patience.NewWork(ctx, "drawings"), lv: s.levels, opt: opt,
		spot: make([]Position, s.tree.len()), known: make([]bool, s.tree.len()), rows: map[int32]bool{}}
	for sys := range int32(s.tree.outlets) { // all, for a vent may join one of another system
		if !d.Goes(int(sys), s.tree.outlets, "systems placed") {
			break
		}
		if !d.place(sys) {
			d.arrange(sys)
		}
	}
	out := new(Drawings)
	d.findConcrete()
	for sys := range int32(s.tree.outlets) {
		if !d.Goes(int(sys), s.tree.outlets, "systems") {
			break
		}
		scene := &out.Plan
		if d.rows[sys] {
			scene = &out.Schematic
		}
		if *scene == nil {
			*scene = d.newScene(d.rows[sys])
			if !d.rows[sys] {
				d.surroundings(*scene)
			}
		}
		d.plan(*scene, sys)
		out.Systems = append(out.Systems, SystemDrawing{s.layout.Systems[sys].ID, d.profile(sys), d.isometric(sys)})
	}
	return faults.Result(out, d.Err())
}

// drawing is a layout being drawn.
type drawing struct {
	*Sizing
	*patience.Work
	lv          *Levels
	opt         DrawOptions
	spot        []Position             // of each node on plan
	known       []bool                 // where they lie is known
	rows        map[int32]bool         // systems that are set in rows
	arranged    []draw.Point           // of each node, once a system without places asks for it
	ends        map[int32]draw.Point   // where vents begin, as far as they were asked for
	ways        map[int32][]draw.Point // where they run, the same
	ventHeights ventHeights
	ventsOf     map[int32][]int32  // by system, those that join one after it
	firstInto   map[int32]int32    // by vent, the first that joins it
	concrete    [2]map[int32][]int // footings by system, and by the node whose run passes them
	stretch     map[int32]string   // of each run that vents what joins it: how, and by which vents
	vented      map[int32][]string // by vent, the points whose traps it serves
}

func (d *drawing) newScene(inRows bool) *draw.Scene {
	unit := "feet"
	if d.opt.Metric {
		unit = "metres"
	}
	sc := &draw.Scene{Names: d.names(), Schematic: inRows}
	sc.Names[draw.Dimension.Key()] = "from the face of a wall to a stub"
	sc.Names[draw.Concrete.Key()] = "concrete, or another obstacle"
	sc.Remarks = []string{"At each point: its id; elevation of the invert in " + unit +
		", depth of the invert below the finished floor (" + d.height(d.layout.FinishedFloor) +
		"). Along a run: size, fall, length."}
	if inRows {
		sc.Remarks = append(sc.Remarks, schematic)
	}
	return sc
}

const schematic = "SCHEMATIC, not to scale: the layout gives no places on plan. Points are set in their " +
	"order from the outlet; lengths are those written."

// names calls the lines of each system by its name.
func (d *drawing) names() map[string]string {
	names := map[string]string{}
	for sys := range min(len(d.layout.Systems), 3) {
		d.call(names, sys, "system "+d.layout.Systems[sys].ID)
	}
	if len(d.layout.Systems) > 3 {
		d.call(names, 2, "the other systems; see their outlets")
	}
	return names
}

// call calls the lines of a system by a name.
func (d *drawing) call(names map[string]string, sys int, name string) {
	key := ""
	if sys > 0 {
		key = fmt.Sprint(".", min(sys, 2))
	}
	names[draw.Drain.Key()+key], names[draw.Buried.Key()+key] = "drain, "+name, "drain below the floor, "+name
}

// at is where a node lies: the upper end of its run, or the outlet.
func (d *drawing) at(i int32) draw.Point {
	return draw.Point{X: d.spot[i].X, Y: d.spot[i].Y, Z: d.lv.upper[i]}
}

// path is the way of a run, with what leads on from its lower end: a drop, and in a
// schematic the way to the row of the next point.
func (d *drawing) path(i int32) (way, rest []draw.Point) {
	p := d.tree.parent[i]
	to := d.at(p)
	foot := draw.Point{X: to.X, Y: to.Y, Z: d.lv.lower[i]}
	if d.rows[d.tree.system[i]] {
		foot.Y = d.spot[i].Y
	}
	if d.tree.point(i).Run.Vertical {
		// Its foot lies below its head; a place of its own does not move it.
		foot.X, foot.Y = d.spot[i].X, d.spot[i].Y
	}
	rest = []draw.Point{foot}
	if foot.Z != to.Z {
		rest = append(rest, draw.Point{X: foot.X, Y: foot.Y, Z: to.Z})
	}
	if rest[len(rest)-1] != to {
		rest = append(rest, to)
	}
	if len(rest) == 1 {
		rest = nil
	}
	return []draw.Point{d.at(i), foot}, rest
}

// addRun adds the lines of a run to a scene.
func (d *drawing) addRun(sc *draw.Scene, i int32, line draw.Line) {
	way, rest := d.path(i)
	line.ID, line.Path, line.Tip = d.tree.point(i).ID, way, d.tip(i)
	sc.Lines = append(sc.Lines, line)
	if rest != nil {
		line.Path, line.Label, line.Arrow = rest, nil, false
		sc.Lines = append(sc.Lines, line)
	}
}

// plan adds a system to a plan, what is upstream first.
func (d *drawing) plan(sc *draw.Scene, sys int32) {
	order := d.tree.of(sys)
	for k, i := range order {
		if !d.GoesBetween(k, len(order), "points of a plan") {
			return
		}
		pt := d.tree.point(i)
		line := draw.Line{Set: int(min(sys, 2))}
		if d.above[i] || pt.Run.Vertical {
			line.Style, line.Set = draw.Guide, 0
		} else {
			line.Arrow = true
			line.Label = []string{d.tag(i)}
		}
		d.addRun(sc, i, line)
		d.takeOffs(sc, i)
		m := d.mark(i)
		m.Label = append([]string{pt.ID}, d.flag(i)...)
		sc.Marks = append(sc.Marks, m)
	}
	d.outlet(sc, sys)
	d.footings(sc, sys)
	if !sc.Schematic {
		d.dimensions(sc, sys)
	}
}

// surroundings draws what the drains lie between: walls, obstacles and where north is.
func (d *drawing) surroundings(sc *draw.Scene) {
	l := d.layout
	if !l.North.IsZero() {
		north := l.North.Degrees()
		sc.North = &north
	}
	for k := range l.Walls {
		w := &l.Walls[k]
		id, faces := "wall "+w.ID, band(w.From, w.To, w.Thickness)
		if w.Thickness > 0 {
			sc.Areas = append(sc.Areas, draw.Area{ID: id, Path: faces, Tip: id})
		}
		sc.Lines = append(sc.Lines, draw.Line{ID: id, Style: draw.Wall, Label: []string{w.ID}, Tip: id, Path: faces})
	}
	for k := range l.Obstacles {
		o := &l.Obstacles[k]
		sc.Lines = append(sc.Lines, draw.Line{ID: "obstacle " + o.ID, Style: draw.Concrete, Path: o.outline(),
			Tip:   string(o.Kind) + " " + o.ID,
			Label: []string{o.ID, string(o.Kind), d.height(o.Bottom) + " to " + d.height(o.Top)}})
	}
}

// outline is the edge of an obstacle on plan, back to where it begins.
func (o *Obstacle) outline() []draw.Point {
	return band(o.From, o.To, cmp.Or(o.Width, o.Top-o.Bottom))
}

// band is the edge of what is so wide about the way between two places, back to where it begins.
func band(from, to Position, width units.Length) []draw.Point {
	dx, dy := (to.X - from.X).Metres(), (to.Y - from.Y).Metres()
	long := math.Hypot(dx, dy)
	side := Position{X: aboutTenth(-dy / long * width.Metres() / 2), Y: aboutTenth(dx / long * width.Metres() / 2)}
	at := func(p Position, sign units.Length) draw.Point {
		return draw.Point{X: p.X + sign*side.X, Y: p.Y + sign*side.Y}
	}
	return []draw.Point{at(from, 1), at(to, 1), at(to, -1), at(from, -1), at(from, 1)}
}

// dimensions draws how far each stub of a system stands from two walls.
func (d *drawing) dimensions(sc *draw.Scene, sys int32) {
	if len(d.layout.Walls) == 0 {
		return
	}
	order := d.tree.of(sys)
	for k, i := range order {
		if !d.isStub(i) {
			continue
		}
		if !d.Goes(k, len(order), "points measured from walls") {
			return
		}
		for _, t := range d.layout.ties(d.spot[i]) {
			sc.Lines = append(sc.Lines, draw.Line{Style: draw.Dimension, Label: []string{d.depth(t.Distance)},
				Path: []draw.Point{{X: t.From.X, Y: t.From.Y}, {X: d.spot[i].X, Y: d.spot[i].Y}}})
		}
	}
}

// isStub tells what stands up through the floor: a riser from below it, and a fixture,
// cleanout or cap at it.
func (s *Sizing) isStub(i int32) bool {
	pt := s.tree.point(i)
	if pt.Run.Vertical {
		return s.levels.lower[i] < s.layout.FinishedFloor
	}
	return !s.above[i] && (pt.Fixture != nil || pt.Cleanout != nil || pt.Capped || pt.Reserved != 0)
}

// Tie is how far a place stands from a wall, square to it: what a crew sets a stub by.
type Tie struct {
	Wall     string       `json:"wall"`
	Distance units.Length `json:"distance"` // from the face of the wall to the centre of the stub
	From     Position     `json:"from"`     // where the tape is held to the wall
}

// Ties returns how far the point of that id stands from two walls: the nearest that lies
// beside it, and the nearest that lies across to that. It is empty where the layout has no
// such walls or does not say where the point lies.
func (s *Sizing) Ties(id string) []Tie {
	if s.made() != nil {
		return nil
	}
	i, ok := s.tree.index[id]
	pt := s.tree.point(i)
	for ok && pt != nil && pt.At == nil && pt.Run.Vertical { // a riser stands over its foot
		i = s.tree.parent[i]
		pt = s.tree.point(i)
	}
	if !ok || pt == nil || pt.At == nil {
		return nil
	}
	return s.layout.ties(*pt.At)
}

// ties finds the walls that a place is set by.
func (l *Data) ties(p Position) []Tie {
	var found []Tie
	var along [][2]float64 // unit vectors of the walls found
	for range 2 {
		best, dir := Tie{}, [2]float64{}
		for k := range l.Walls {
			t, u, ok := l.Walls[k].tie(p)
			if !ok || best.Wall != "" && t.Distance >= best.Distance {
				continue
			}
			// The second stands across to the first, by 30 degrees at least.
			if len(along) == 0 || math.Abs(float64(u[0]*along[0][1])-float64(u[1]*along[0][0])) >= 0.5 {
				best, dir = t, u
			}
		}
		if best.Wall == "" {
			break
		}
		found, along = append(found, best), append(along, dir)
	}
	return found
}

// tie measures a place from a wall; ok is false if it does not lie beside it.
func (w *Wall) tie(p Position) (t Tie, along [2]float64, ok bool) {
	dx, dy := (w.To.X - w.From.X).Metres(), (w.To.Y - w.From.Y).Metres()
	x, y := (p.X - w.From.X).Metres(), (p.Y - w.From.Y).Metres()
	long := math.Hypot(dx, dy)
	dx, dy = dx/long, dy/long
	way, off := float64(x*dx)+float64(y*dy), float64(y*dx)-float64(x*dy)
	half := w.Thickness.Metres() / 2
	if way < 0 || way > long || math.Abs(off) <= half {
		return t, along, false
	}
	face := math.Copysign(half, off)
	at := func(from units.Length, d, side float64) units.Length {
		return from + aboutTenth(float64(way*d)+float64(face*side))
	}
	return Tie{Wall: w.ID, Distance: aboutTenth(math.Abs(off) - half),
		From: Position{X: at(w.From.X, dx, -dy), Y: at(w.From.Y, dy, dx)}}, [2]float64{dx, dy}, true
}

// aboutTenth is a length in metres to a tenth of a millimetre.
func aboutTenth(metres float64) units.Length {
	return units.Length(math.Round(metres*1e4)) * (units.Millimetre / 10)
}

// takeOffs marks the vents that leave a point.
func (d *drawing) takeOffs(sc *draw.Scene, i int32) {
	for v := range d.tree.vents.at(i) {
		sc.Marks = append(sc.Marks, draw.Mark{ID: d.ventID(v), At: d.at(i), Shape: draw.TakeOff, Tip: d.ventTip(v),
			Label: append([]string{d.layout.Vents[v].ID, d.size(d.vents[v].Size) + " vent"}, d.through(v)...)})
	}
}

// through says of a vent that vents by a stretch of drain how far that goes and what it serves.
func (d *drawing) through(v int32) []string {
	x := &d.layout.Vents[v]
	if x.Through == "" {
		return nil
	}
	lines := []string{strings.ReplaceAll(string(x.Kind), "-", " ") + " vent, " + x.From + " to " + x.Through}
	if list := d.ventedBy(v); len(list) > 0 {
		const most = 4
		text := strings.Join(list[:min(len(list), most)], ", ")
		if more := len(list) - most; more > 0 {
			text += fmt.Sprintf(" and %d more", more)
		}
		lines = append(lines, "vents "+text)
	}
	return lines
}

// ventedBy lists the fixtures that a vent serves.
func (d *drawing) ventedBy(v int32) []string {
	if d.vented == nil {
		d.vented = map[int32][]string{}
		if r := d.routes; r != nil {
			for i, pt := range d.tree.all() {
				if w := r.serving[i]; w >= 0 && pt.Fixture != nil {
					d.vented[w] = append(d.vented[w], pt.ID)
				}
			}
		}
		for _, list := range d.vented {
			slices.Sort(list)
		}
	}
	return d.vented[v]
}

// venting says of a run how it vents what joins it, empty if it does not.
func (d *drawing) venting(i int32) string {
	if d.stretch == nil {
		d.stretch = map[int32]string{}
		g := &d.tree.vents
		for v := range d.layout.Vents {
			x := &d.layout.Vents[v]
			if x.Through == "" {
				continue
			}
			for n := range d.tree.until(g.from[v], g.end[v]) {
				words := strings.ReplaceAll(string(x.Kind), "-", " ") + " vent (" + x.ID + ")"
				if d.stretch[n] != "" {
					words = d.stretch[n] + ", " + words
				}
				d.stretch[n] = words
			}
		}
	}
	return d.stretch[i]
}

func (d *drawing) outlet(sc *draw.Scene, sys int32) {
	s := &d.layout.Systems[sys]
	words := "system " + s.ID
	if load, _, ok := d.Total(s.ID); ok && d.Sizing.european == nil {
		words += ", " + load.String()
	}
	at := d.at(sys)
	o := &s.Outlet
	sc.Marks = append(sc.Marks,
		draw.Mark{ID: s.ID, At: at, Shape: draw.Joint, Tip: "system " + s.ID},
		draw.Mark{ID: o.ID, At: at, Shape: draw.Outlet,
			Tip:   o.ID + ": outlet of system " + s.ID + " to the " + string(o.Kind),
			Label: []string{o.ID, d.height(o.Invert), words, "to " + string(o.Kind)}})
}

// footings marks where runs of a system pass concrete.
func (d *drawing) footings(sc *draw.Scene, sys int32) {
	for _, k := range d.concrete[0][sys] {
		f := &d.layout.Footings[k]
		i := d.tree.index[f.Run]
		sc.Marks = append(sc.Marks, draw.Mark{ID: f.ID, At: d.alongRun(i, f.Along), Shape: draw.Sleeve,
			Tip: "footing " + f.ID, Label: d.footing(f)})
	}
}

// findConcrete lists the footings by the system and by the run that they meet.
func (d *drawing) findConcrete() {
	d.concrete = [2]map[int32][]int{{}, {}}
	for k := range d.layout.Footings {
		i := d.tree.index[d.layout.Footings[k].Run]
		for by, at := range [...]int32{d.tree.system[i], i} {
			d.concrete[by][at] = append(d.concrete[by][at], k)
		}
	}
}

func (d *drawing) footing(f *Footing) []string {
	lines := []string{f.ID, string(f.Kind) + " footing"}
	if f.Sleeve != 0 {
		lines = append(lines, d.size(f.Sleeve)+" sleeve")
	}
	return append(lines, "bottom "+d.depth(f.Bottom)+" down")
}

// alongRun is the place so far down a run.
func (d *drawing) alongRun(i int32, along units.Length) draw.Point {
	way, _ := d.path(i)
	a, b, long := way[0], way[1], d.tree.point(i).Run.Length
	if long <= 0 {
		return a
	}
	part := float64(min(max(along, 0), long)) / float64(long)
	on := func(x, y units.Length) units.Length { return x + units.Length(part*float64(y-x)) }
	return draw.Point{X: on(a.X, b.X), Y: on(a.Y, b.Y), Z: on(a.Z, b.Z)}
}

// mark is the symbol of a point.
func (d *drawing) mark(i int32) draw.Mark {
	pt := d.tree.point(i)
	m := draw.Mark{ID: pt.ID, At: d.at(i), Shape: draw.Joint, Tip: d.tip(i)}
	switch c := pt.Cleanout; {
	case c != nil && c.TwoWay && c.Main:
		m.Shape = draw.CleanoutMainBoth
	case c != nil && c.TwoWay:
		m.Shape = draw.CleanoutBoth
	case c != nil && c.Main:
		m.Shape = draw.CleanoutMain
	case c != nil:
		m.Shape = draw.Cleanout
	case pt.Interceptor != nil || pt.Backwater:
		m.Shape = draw.Device
	case pt.Capped:
		m.Shape = draw.Cap
	case pt.Run.Vertical:
		m.Shape = draw.Riser
	case pt.Fixture != nil:
		m.Shape = draw.Fixture
	}
	if pt.Cleanout != nil && !pt.Run.Vertical && !pt.Cleanout.TwoWay {
		to := d.at(d.tree.parent[i])
		m.Toward = &to // a cable goes downstream
	}
	return m
}

// flag is what stands at a point on plan, below its id.
func (d *drawing) flag(i int32) []string {
	pt := d.tree.point(i)
	var lines []string
	if !d.above[i] && !pt.Run.Vertical {
		lines = append(lines, d.height(d.lv.upper[i])+", "+d.deep(d.lv.surface(i).Level-d.lv.upper[i]))
	}
	lines = append(lines, d.what(i)...)
	if pt.StubUp != 0 {
		lines = append(lines, "stub "+d.depth(pt.StubUp))
	}
	return append(lines, d.itsVent(i)...)
}

// what says what stands at a point: fixtures, with their load, and devices.
func (d *drawing) what(i int32) []string {
	pt := d.tree.point(i)
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	if f := pt.Fixture; f != nil {
		name := strings.ReplaceAll(f.Kind, "-", " ")
		if f.Count > 1 {
			name += fmt.Sprintf(" x%d", f.Count)
		}
		if load, err := d.code.FixtureLoad(*f); err == nil {
			name += ", " + load.Units.String()
		}
		add("%s", name)
	}
	if pt.Reserved != 0 {
		add("reserved, %v", pt.Reserved)
	}
	if pt.Continuous != 0 {
		add("steady %v", pt.Continuous)
	}
	if pt.Interceptor != nil {
		add("%s interceptor", pt.Interceptor.Kind)
	}
	if pt.Backwater {
		add("backwater valve")
	}
	if c := pt.Cleanout; c != nil && c.Size != 0 {
		add("%s cleanout", d.size(c.Size))
	}
	return lines
}

// tag is what stands along a run.
func (d *drawing) tag(i int32) string {
	run := &d.tree.point(i).Run
	return d.size(d.Sizing.size[i]) + " @ " + d.grade(run.Grade) + ", " + d.run(run.Length)
}

// tip says in words what a point and its run are.
func (d *drawing) tip(i int32) string {
	pt := d.tree.point(i)
	words := append([]string{pt.ID + " to " + pt.To, d.size(d.Sizing.size[i])}, d.what(i)...)
	if pt.Run.Vertical {
		words = append(words, "vertical "+d.run(pt.Run.Length))
	} else {
		words = append(words, d.run(pt.Run.Length)+" at "+d.grade(pt.Run.Grade))
	}
	return strings.Join(append(words, "invert "+d.height(d.lv.upper[i])+" to "+d.height(d.lv.lower[i])), ", ")
}

// size is a nominal size: 3", DN 100.
func (d *drawing) size(l units.Length) string {
	if l == 0 {
		return "?"
	}
	if l%(units.Inch/16) != 0 {
		return nominal(l).String()
	}
	return units.Notation{Form: units.FractionalInches}.Format(l)
}

func (d *drawing) grade(g slope.Grade) string {
	if d.opt.Metric {
		return fmt.Sprintf("%.2f %%", g.Percent())
	}
	return g.String()
}

// run is an order length, height an elevation, depth a small height.
func (d *drawing) run(l units.Length) string {
	if d.opt.Metric {
		return units.Notation{Form: units.DecimalMetres, Places: 2}.Format(l)
	}
	return units.Notation{Nearest: 4, NoZeroFeet: true}.Format(l)
}

// developed is a length that was added up: the inch above, or metres.
func (d *drawing) developed(l units.Length) string {
	if !d.opt.Metric {
		l = (l + units.Inch - units.Inch/1000) / units.Inch * units.Inch
	}
	return d.run(l)
}

func (d *drawing) height(l units.Length) string {
	n := units.Notation{Form: units.DecimalFeet, Places: 2}
	if d.opt.Metric {
		n = units.Notation{Form: units.DecimalMetres, Places: 3}
	}
	return strings.TrimRight(n.Format(l), "' m")
}

// deep says how far below a floor something lies, or above it where it wrongly does.
func (d *drawing) deep(below units.Length) string {
	if below < 0 {
		return d.depth(-below) + " ABOVE"
	}
	return d.depth(below) + " deep"
}

func (d *drawing) depth(l units.Length) string {
	if d.opt.Metric {
		return units.Notation{Form: units.DecimalMillimetres}.Format(l)
	}
	return units.Notation{Nearest: 4, NoZeroFeet: true}.Format(l)
}

// place finds where the nodes of a system lie on plan: as the layout says, or by the
// bearing and length of a run from where it ends; a riser stands over its foot. It
// reports false if a point below the floor has no place.
func (d *drawing) place(sys int32) bool {
	known := d.known
	o := &d.layout.Systems[sys].Outlet
	if o.At != nil {
		d.spot[sys], known[sys] = *o.At, true
	}
	order := d.tree.of(sys)
	for _, i := range order { // an outlet lies down the run of the point that drains to it
		pt := d.tree.point(i)
		if !known[sys] && d.tree.parent[i] == sys && pt.At != nil && !pt.Run.Bearing.IsZero() {
			d.spot[sys], known[sys] = moved(*pt.At, pt.Run.Bearing, pt.Run.Length), true
		}
	}
	if !known[sys] && d.tree.outlets == 1 && d.tree.placed == 0 {
		known[sys] = true // bearings and lengths alone: the outlet is the origin
	}
	all := known[sys]
	for _, i := range slices.Backward(order) {
		pt, p := d.tree.point(i), d.tree.parent[i]
		switch {
		case pt.At != nil:
			d.spot[i], known[i] = *pt.At, true
		case known[p] && pt.Run.Vertical:
			d.spot[i], known[i] = d.spot[p], true
		case known[p] && !pt.Run.Bearing.IsZero():
			d.spot[i], known[i] = moved(d.spot[p], pt.Run.Bearing, -pt.Run.Length), true
		}
		all = all && known[i]
	}
	return all
}

// moved is the place so far along a bearing.
func moved(from Position, b Bearing, by units.Length) Position {
	sin, cos := math.Sincos(b.Degrees() * math.Pi / 180)
	const micron = 1000
	// Rounded to the micron, so that every machine finds the same place.
	return Position{
		X: from.X + micron*units.Length(math.Round(float64(by)*sin/micron)),
		Y: from.Y + micron*units.Length(math.Round(float64(by)*cos/micron)),
	}
}

const leastStep = 4 * units.Foot // between the ends of a run in a schematic

// arrange sets the nodes of a system by their order: the outlet to the right, risers over
// their feet.
func (d *drawing) arrange(sys int32) {
	if d.arranged == nil {
		steps := make([]units.Length, d.tree.len())
		for i := int32(d.tree.outlets); int(i) < len(steps); i++ {
			steps[i] = d.step(i)
		}
		d.arranged = draw.Arrange(d.tree.parent, steps)
	}
	d.rows[sys] = true
	for _, i := range append([]int32{sys}, d.tree.of(sys)...) {
		d.spot[i] = Position{X: -d.arranged[i].X, Y: d.arranged[i].Y}
	}
}

// arrangeInHeight sets the nodes of a system for its isometric, if anything flat stands on a
// riser: where it lies on plan it would hide another row, or be hidden. It returns what sets them back.
func (d *drawing) arrangeInHeight(sys int32) (back func()) {
	high, flat := map[int32]bool{}, false
	nodes := append(slices.Clone(d.tree.of(sys)), sys)
	slices.Reverse(nodes) // the outlet first
	index := make(map[int32]int32, len(nodes))
	parent := make([]int32, len(nodes))
	steps, heights := make([]units.Length, len(nodes)), make([]units.Length, len(nodes))
	for k, i := range nodes {
		index[i], heights[k], parent[k] = int32(k), d.lv.upper[i], -1
		if i == sys {
			continue
		}
		p, riser := d.tree.parent[i], d.tree.point(i).Run.Vertical
		high[i] = high[p] || riser
		flat = flat || high[p] && !riser
		parent[k], steps[k] = index[p], d.step(i)
	}
	if !flat {
		return func() {}
	}
	onPlan := make([]Position, len(nodes))
	for k, p := range draw.ArrangeInHeight(parent, steps, heights, true) {
		onPlan[k], d.spot[nodes[k]] = d.spot[nodes[k]], Position{X: p.X, Y: p.Y}
	}
	return func() {
		for k, i := range nodes {
			d.spot[i] = onPlan[k]
		}
	}
}

// step is how far apart a schematic sets the ends of a run.
func (d *drawing) step(i int32) units.Length {
	run := &d.tree.point(i).Run
	if run.Vertical {
		return 0
	}
	return min(max(run.Length, leastStep), 4*leastStep)
}

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
	for k, i := range way {
		if !d.GoesBetween(k, len(way), "runs of a profile") {
			return nil
		}
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
	for _, k := range d.concrete[1][i] {
		f := &d.layout.Footings[k]
		x := to - min(max(f.Along, 0), pt.Run.Length)
		floor := d.layout.FinishedFloor
		sec.Lines = append(sec.Lines, draw.Line{ID: f.ID, Style: draw.Concrete, Label: d.footing(f),
			Tip: "footing " + f.ID, Path: []draw.Point{{X: x, Z: floor}, {X: x, Z: floor - f.Bottom}}})
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
	names := [...]string{"point", "station from outlet", "invert", "depth below floor", "cover under slab", "size",
		"grade"}
	cells := make([][]string, len(names))
	more := make([][]string, len(d.opt.Rows))
	for k, i := range way {
		if !d.GoesBetween(k, len(way), "stations of a profile") {
			return
		}
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
