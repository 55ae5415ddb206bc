package drains

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/argument"
	shelfcodes "github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The causes of layout faults, for errors.Is. Every fault is also a
// *units.Fault that names file, line, item and field.
var (
	ErrMissing   = strictjson.ErrMissing
	ErrDuplicate = errors.New("duplicate id")
	ErrOrphan    = errors.New("drains nowhere")
	ErrCycle     = errors.New("drains in a circle")
	ErrChoice    = errors.New("not one of the choices")
	ErrReference = errors.New("no such point or vent")
)

// causeError is a message of its own that errors.Is matches with a cause.
type causeError struct {
	text  string
	cause error
}

func (e *causeError) Error() string { return e.text }

func (e *causeError) Unwrap() error { return e.cause }

// because returns a message that matches cause.
func because(cause error, format string, args ...any) error {
	return &causeError{fmt.Sprintf(format, args...), cause}
}

// checker gathers the faults of a layout.
type checker struct {
	*patience.Work
	src    *source
	faults *faults.List
	codes  []*dwv.Code
	kinds  map[*tables.Shelf]map[string]bool // of fixture that some code of a shelf rates
	grades map[int]bool                      // see gradeTold
	laid   bool                              // pipe as it was found: it may lie level or rise, and below what it joins
	rises  []units.Length                    // by node: how much higher than its drop says a run joins; nil: none does
}

// fault records a fault of the field at path ("run.length") of a part of the layout.
// What the decoder could not read is not blamed again.
func (c *checker) fault(at part, path string, err error) {
	if c.faults.Full() {
		c.faults.Count()
		return
	}
	field := strings.TrimPrefix(path, "run.")
	if at.place == 0 {
		c.faults.Add(units.Fault{Item: at.String(), Field: field, Err: err})
		return
	}
	if at.run > 0 {
		at.place = c.src.doc.PlaceOf(at.place, fmt.Sprintf("runs.%d", at.run-1))
	}
	c.src.doc.Fault(at.place, path, at.String(), field, err)
}

// missing records that a field is absent. The text more follows the word "missing".
func (c *checker) missing(at part, path, more string) {
	c.fault(at, path, fmt.Errorf("%w%s", ErrMissing, more))
}

// part says what a fault is about. It is put into words only if there is a fault.
type part struct {
	place  strictjson.Place // where its JSON object stands, 0 for a Go value
	what   string           // "layout", "system", "point", "vent", "footing"
	id     string
	number int // its place among its like, from 1, for one without id
	system int // of a point: the place of its system
	run    int // of a vent: the run meant, from 1
}

func (x part) String() string {
	s := x.what
	switch {
	case x.id != "":
		s = x.what + " " + visible.Quote(x.id)
	case x.what == "system":
		s = "system without id"
	case x.system > 0:
		s = fmt.Sprintf("%s %d of system %d", x.what, x.number, x.system)
	case x.number > 0:
		s = fmt.Sprintf("%s %d", x.what, x.number)
	}
	if x.run > 0 {
		s = fmt.Sprintf("%s: run %d", s, x.run)
	}
	return s
}

// ofLayout is the layout as a fault is about it; the like for its parts follow.
func (c *checker) ofLayout() part {
	x := part{what: "layout"}
	if c.src.doc != nil {
		x.place = c.src.doc.Top()
	}
	return x
}

func (c *checker) ofSystem(i int, s *System) part {
	return part{place: nth(c.src.systems, i), what: "system", id: s.ID}
}

func (c *checker) ofPoint(sys, i int, p *Point) part {
	return part{place: nth(nth(c.src.points, sys), i), what: "point", id: p.ID, number: i + 1, system: sys + 1}
}

func (c *checker) ofVent(i int, v *Vent) part {
	return part{place: nth(c.src.vents, i), what: "vent", id: v.ID, number: i + 1}
}

// ofOther is an item of one of the other lists of the layout.
func (c *checker) ofOther(what string, places []strictjson.Place, i int, id string) part {
	return part{place: nth(places, i), what: what, id: id, number: i + 1}
}

const (
	maxTotal = 1000 * units.MaxLength    // developed length of a system
	maxSize  = 10_000 * units.Millimetre // greatest nominal size
)

// length checks a length that may not be negative.
func (c *checker) length(at part, path string, x units.Length) {
	if x < 0 && x.Valid() {
		c.fault(at, path, because(units.ErrRange, "%v is negative", x))
		return
	}
	c.within(at, path, "a length", x)
}

// within refuses a figure that is too great, and one that was written without its unit.
func (c *checker) within(at part, path, called string, x units.Length) {
	if !x.Valid() {
		c.fault(at, path, because(units.ErrRange, "%s must lie within ±1000 km", called))
		return
	}
	c.bare(at, path, x)
}

// bare tells whether a length of a list was written without its unit.
func bare(list ...units.Length) bool {
	return slices.ContainsFunc(list, func(x units.Length) bool { return argument.Bare(x) != "" })
}

// bare refuses a length that was written without its unit; of what was laid, lengths follow from others.
func (c *checker) bare(at part, path string, x units.Length) {
	if c.laid {
		return
	}
	if text := argument.Bare(x); text != "" {
		c.fault(at, path, because(units.ErrRange, "%s", text))
	}
}

func (c *checker) size(at part, path string, x units.Length) {
	switch {
	case x < 0:
		c.fault(at, path, because(units.ErrRange, "%v is negative", x))
	case x > maxSize:
		c.fault(at, path, because(units.ErrRange, "%v is wider than %v", x, maxSize))
	default:
		c.bare(at, path, x)
	}
}

// field is a length of a part of the layout.
type field struct {
	path string
	x    units.Length
}

// lengths checks several.
func (c *checker) lengths(at part, list ...field) {
	for _, f := range list {
		c.length(at, f.path, f.x)
	}
}

// elevation checks an elevation, which may be absent.
func (c *checker) elevation(at part, path string, x *units.Length) {
	if x != nil {
		c.within(at, path, "an elevation", *x)
	}
}

func (c *checker) id(at part, path, id string) {
	if id == "" {
		c.missing(at, path, "")
	} else if err := visible.ID(id); err != nil {
		c.fault(at, path, because(units.ErrRange, "%v", err))
	}
}

// oneOf checks a word against the ones allowed.
func oneOf[T ~string](c *checker, at part, path string, got T, allowed []T) {
	if slices.Contains(allowed, got) {
		return
	}
	words := make([]string, 0, len(allowed))
	for _, a := range allowed {
		words = append(words, string(a))
	}
	if got == "" {
		c.missing(at, path, ": one of "+strings.Join(words, ", "))
		return
	}
	c.fault(at, path, because(ErrChoice, "%q: %swrite one of %s", string(got), visible.Meant(string(got), words),
		strings.Join(words, ", ")))
}

func (c *checker) layout(l *Data) {
	whole := c.ofLayout()
	c.elevation(whole, "finished_floor", &l.FinishedFloor)
	c.lengths(whole, field{"slab", l.Slab}, field{"bedding", l.Bedding}, field{"trench_width", l.TrenchWidth},
		field{"cable_reach", l.CableReach}, field{"minimum_cover", l.MinimumCover})
	c.size(whole, "minimum_clearance", l.MinimumClearance)
	c.lengths(whole, field{"minimum_stub_up", l.MinimumStubUp}, field{"sewer_cover", l.SewerCover})
	c.size(whole, "minimum_vent", l.MinimumVent)
	c.elevation(whole, "ground", l.Ground)
	c.elevation(whole, "upstream_manhole", l.UpstreamManhole)
	c.walls(l)
	c.obstacles(l)
	for i := range c.Each(len(l.SkipSizes), "sizes to skip checked") {
		c.size(whole, fmt.Sprintf("skip_sizes.%d", i), l.SkipSizes[i])
	}
	c.europeanWords(l)
	if len(l.Systems) == 0 {
		c.missing(whole, "systems", ": a layout has at least one")
	}
	ids := make(map[string]bool, len(l.Systems))
	done, points := 0, l.count()
	for s := range c.Each(len(l.Systems), "systems checked") {
		sys := &l.Systems[s]
		at := c.ofSystem(s, sys)
		c.newID(at, ids, sys.ID, "systems")
		oneOf(c, at, "kind", sys.Kind, systemKinds)
		c.outlet(at, &sys.Outlet)
		if len(sys.Points) == 0 {
			c.missing(at, "points", ": a system has at least one")
		}
		var total units.Length
		for p := range sys.Points {
			if !c.GoesBetween(done, points, "points checked") {
				return
			}
			done++
			pt := &sys.Points[p]
			c.point(pt, s, p)
			if r := &pt.Run; r.Length.Valid() && r.Length > 0 && total <= maxTotal {
				if total += r.Length; total > maxTotal {
					c.fault(c.ofPoint(s, p, pt), "run.length",
						because(units.ErrRange, "the runs of the system add up to more than a million km"))
				}
			}
		}
	}
}

func (c *checker) outlet(at part, o *Outlet) {
	if *o == (Outlet{}) {
		c.missing(at, "outlet", ": a system has one")
		return
	}
	c.id(at, "outlet.id", o.ID)
	oneOf(c, at, "outlet.kind", o.Kind, outletKinds)
	c.elevation(at, "outlet.invert", &o.Invert)
	c.size(at, "outlet.size", o.Size)
	c.position(at, "outlet.at", o.At)
	if p := o.Sump; p != nil {
		if o.Kind != ToSump {
			c.fault(at, "outlet.sump", because(ErrChoice, "only an outlet of kind %s has one", ToSump))
		}
		c.elevation(at, "outlet.sump.high_water", p.HighWater)
		c.size(at, "outlet.sump.vent", p.Vent)
	}
}

// gradeTold reports whether the grade that a system, or the layout, has by default could not be read. To look for it
// takes long, so that it is looked for once.
func (c *checker) gradeTold(system int) bool {
	if c.src.doc == nil {
		return false
	}
	told := func(key int, at strictjson.Place) bool {
		bad, looked := c.grades[key]
		if !looked {
			bad = c.src.doc.Blamed(at, "defaults.grade")
			c.grades[key] = bad
		}
		return bad
	}
	if c.grades == nil {
		c.grades = map[int]bool{}
	}
	const layout = -1
	return told(layout, c.src.doc.Top()) || told(system, c.src.systems[system])
}

// point checks what a point says about itself. It makes no strings unless
// something is wrong.
func (c *checker) point(p *Point, s, i int) {
	at := c.ofPoint(s, i, p)
	bad := func(path string, err error) { c.fault(at, path, err) }
	c.id(at, "id", p.ID)
	r := &p.Run
	if r.Top != nil {
		c.top(at, r)
	}
	switch {
	case r.Top != nil && r.Vertical: // its length follows
	case r.Length == 0:
		c.missing(at, "run.length",
			` or zero; a vertical run may state its top instead; "plan", or on_plan among the defaults, takes it `+
				`from the coordinates of both ends of a straight flat run`)
	default:
		c.length(at, "run.length", r.Length)
	}
	switch {
	case r.Vertical:
		if !r.Grade.IsLevel() {
			bad("run.grade", because(units.ErrRange, "a vertical run has none"))
		}
	case c.laid:
	case r.Grade.IsLevel() && c.gradeTold(s): // once, where it stands
	case r.Grade.IsLevel():
		c.missing(at, "run.grade", " or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft")
	case r.Grade.Compare(slope.Grade{}) < 0:
		bad("run.grade", because(units.ErrRange, "%v rises in the direction of flow", r.Grade))
	case r.Grade.Compare(slope.OneIn(1)) > 0:
		bad("run.grade", because(units.ErrRange, "%v is steeper than 45 degrees: mark the run vertical", r.Grade))
	}
	// The quantities that may be absent and may not be negative.
	drop := r.Drop
	if c.laid {
		drop = max(drop, 0)
	}
	if drop|r.Size|p.StubUp|p.RimBelow|p.FloodRim < 0 || r.Size > maxSize || !r.Drop.Valid() || !p.StubUp.Valid() ||
		!p.RimBelow.Valid() || !p.FloodRim.Valid() || bare(drop, r.Size, p.StubUp, p.RimBelow, p.FloodRim) {
		c.length(at, "run.drop", drop)
		c.size(at, "run.size", r.Size)
		c.lengths(at, field{"stub_up", p.StubUp}, field{"rim_below", p.RimBelow}, field{"flood_rim", p.FloodRim})
	}
	if _, err := r.Join.Rise(0, 0); err != nil {
		bad("run.join", err)
	}
	if r.Part != 0 && (r.Part == dwv.Stack) != r.Vertical || r.Part == dwv.StackInterval || r.Part > dwv.Sewer {
		bad("run.part", because(ErrChoice, "%v: a vertical run is a stack, any other a branch, a drain or a sewer",
			r.Part))
	}
	if !(p.Continuous >= 0 && float64(p.Continuous) < 1e6) {
		bad("continuous", because(units.ErrRange, "a flow must be a number and not negative"))
	}
	if !p.Reserved.Valid() {
		bad("reserved", because(units.ErrRange, "a load must lie between 0 and %v, and 7 units are 7*dwv.FixtureUnit",
			dwv.MaxFixtureUnits))
	}
	if p.Fixture == nil && p.Trap == nil && p.Cleanout == nil && p.Interceptor == nil && p.Receptor == nil &&
		p.At == nil {
		return
	}
	c.parts(at, p)
}

// top checks what a run says of its top, and clears the length that follows from it.
func (c *checker) top(at part, r *Run) {
	bad := func(path string, err error) { c.fault(at, path, err) }
	if !r.Top.Valid() {
		bad("run.top", because(units.ErrRange, "a height must lie within ±1000 km"))
	}
	if !r.Vertical {
		bad("run.top", because(ErrChoice, "a flat run has none: mark a riser vertical"))
		return
	}
	if _, stated := c.src.doc.Member(at.place, "run.length"); stated {
		bad("run.length", because(ErrDuplicate, "the top of the riser says how long it is: state one of them"))
	}
	r.Length = 0
}

// parts checks the optional objects of a point.
func (c *checker) parts(at part, p *Point) {
	if f := p.Fixture; f != nil {
		c.fixture(at, "fixture", f)
	}
	if t := p.Trap; t != nil {
		c.size(at, "trap.size", t.Size)
		c.lengths(at, field{"trap.arm", t.Arm}, field{"trap.fall", t.Fall}, field{"trap.seal", t.Seal},
			field{"trap.tail", t.Tail}, field{"trap.offset", t.Offset})
		if t.Guard != "" {
			oneOf(c, at, "trap.guard", t.Guard, trapGuards)
		}
	}
	if o := p.Cleanout; o != nil {
		c.size(at, "cleanout.size", o.Size)
		c.length(at, "cleanout.clearance", o.Clearance)
	}
	if n := p.Interceptor; n != nil {
		if n.Kind == "" {
			c.missing(at, "interceptor.kind", ": such as solids, grease, oil or hair")
		}
		for _, q := range [...]struct {
			path string
			x    float64
		}{{"rated", float64(n.Rated)}, {"inflow", float64(n.Inflow)}, {"volume", float64(n.Volume)},
			{"retention", float64(n.Retention)}} {
			if !(q.x >= 0 && q.x < 1e9) {
				c.fault(at, "interceptor."+q.path, because(units.ErrRange, "it must be a number and not negative"))
			}
		}
		c.lengths(at, field{"interceptor.drop", n.Drop}, field{"interceptor.cover_below", n.CoverBelow})
	}
	if r := p.Receptor; r != nil {
		c.length(at, "receptor.standpipe", r.Standpipe)
		c.elevation(at, "receptor.trap_above_floor", &r.TrapAboveFloor)
		for k := range r.Indirect {
			c.fixture(at, "receptor.indirect", &r.Indirect[k])
		}
		if p.Fixture == nil {
			c.missing(at, "fixture", ": a receptor is a fixture, such as a standpipe or a floor sink")
		}
	}
	c.position(at, "at", p.At)
}

// position checks plan coordinates, which may be absent.
func (c *checker) position(who part, path string, at *Position) {
	if at != nil {
		c.within(who, path+".x", "a coordinate", at.X)
		c.within(who, path+".y", "a coordinate", at.Y)
	}
}

// newID checks the id of an item, and that none of the ids before it, to which it is added,
// is the same.
func (c *checker) newID(who part, ids map[string]bool, id, many string) {
	c.id(who, "id", id)
	if id != "" && ids[id] {
		c.fault(who, "id", because(ErrDuplicate, "two %s", many))
	}
	ids[id] = true
}

// ends checks the two ends of a straight body on plan.
func (c *checker) ends(who part, from, to Position) {
	c.position(who, "from", &from)
	c.position(who, "to", &to)
	if from == to {
		c.fault(who, "to", because(units.ErrRange, "both ends lie in one place"))
	}
}

func (c *checker) walls(l *Data) {
	ids := make(map[string]bool, len(l.Walls))
	for i := range c.Each(len(l.Walls), "walls checked") {
		w := &l.Walls[i]
		at := c.ofOther("wall", c.src.walls, i, w.ID)
		c.newID(at, ids, w.ID, "walls")
		c.ends(at, w.From, w.To)
		c.size(at, "thickness", w.Thickness)
	}
}

func (c *checker) obstacles(l *Data) {
	ids := make(map[string]bool, len(l.Obstacles))
	for i := range c.Each(len(l.Obstacles), "obstacles checked") {
		o := &l.Obstacles[i]
		at := c.ofOther("obstacle", c.src.obstacles, i, o.ID)
		c.newID(at, ids, o.ID, "obstacles")
		oneOf(c, at, "kind", o.Kind, obstacleKinds)
		c.ends(at, o.From, o.To)
		c.lengths(at, field{"width", o.Width}, field{"clear", o.Clear})
		c.elevation(at, "top", &o.Top)
		c.elevation(at, "bottom", &o.Bottom)
		if o.Top <= o.Bottom {
			c.fault(at, "top", because(units.ErrRange, "it does not lie above the bottom"))
		}
	}
}

// fixture checks a fixture, and asks the codes whether they know it.
func (c *checker) fixture(at part, path string, f *tables.Fixture) {
	switch {
	case f.Kind == "":
		c.missing(at, path+".fixture", "")
		return
	case f.Count < 1 || f.Count > tables.MaxFixtures:
		c.fault(at, path+".count",
			because(units.ErrRange, "%d: a count must lie between 1 and %d", f.Count, tables.MaxFixtures))
		return
	}
	if wrong, ok := errors.AsType[*units.Fault](f.Check()); ok {
		c.fault(at, path+"."+wrong.Field, wrong.Err)
		return
	}
	for _, code := range c.codes {
		// What another code rates is a gap of this one, and left to the check.
		if !c.known(code, f.Kind) {
			_, err := code.FixtureLoad(*f)
			if len(code.Fixtures()) == 0 {
				err = c.noFixture(code, f.Kind)
			}
			c.fault(at, path+".fixture", err)
			return
		}
	}
}

// noFixture says what a word that no code of the shelf rates may have meant.
func (c *checker) noFixture(code *dwv.Code, kind string) error {
	kinds := slices.Sorted(maps.Keys(c.kinds[code.Shelf()]))
	return because(tables.ErrNotInCode, "%q: %sno code on the shelf rates it", kind,
		cmp.Or(shelfcodes.Called(kind, kinds), visible.Meant(kind, kinds)))
}

// words refuses materials and fittings that nothing on the shelf of a code knows, each once.
func (c *checker) words(l *Data) {
	if len(c.codes) == 0 {
		return
	}
	shelf := c.codes[0].Shelf()
	p, err := pipes.New(shelf)
	if err != nil {
		return // the sizing says what ails the shelf
	}
	families, fittings := p.Families("drain"), fittingWords(shelf)
	seen := map[string]bool{"": true}
	material := func(at part, path, word string) {
		if seen[word] {
			return
		}
		seen[word] = true
		if _, ok := p.Family(word); !ok && !isOther(word) {
			c.fault(at, path, because(ErrChoice, "%q: %swrite one of %s, or \"other: \" and its name", word,
				visible.Meant(word, families), visible.Some(families)))
		}
	}
	fitting := func(at part, path, word string) {
		if key := "fitting " + word; word != "" && !seen[key] && !slices.Contains(fittings, word) {
			seen[key] = true
			c.fault(at, path, because(ErrChoice, "%q: %swrite one of %s", word, visible.Meant(word, fittings),
				strings.Join(fittings, ", ")))
		}
	}
	done, points := 0, l.count()
	for s := range c.Each(len(l.Systems), "words of systems checked") {
		sys := &l.Systems[s]
		material(c.ofSystem(s, sys), "outlet.material", sys.Outlet.Material)
		for i := range sys.Points {
			if !c.GoesBetween(done, points, "words of points checked") {
				return
			}
			done++
			pt := &sys.Points[i]
			at := c.ofPoint(s, i, pt)
			material(at, "run.material", pt.Run.Material)
			fitting(at, "run.into", pt.Run.Into)
			for _, name := range pt.Run.Fittings {
				fitting(at, "run.fittings", name)
			}
		}
	}
	for i := range l.Vents {
		material(c.ofVent(i, &l.Vents[i]), "material", l.Vents[i].Material)
	}
}

// isOther tells a pipe that the shelf does not have and the layout names.
func isOther(material string) bool {
	name, ok := strings.CutPrefix(material, "other:")
	return ok && strings.TrimSpace(name) != ""
}

// fittingWords are the fittings that a layout may name: those of any code of a shelf, and
// those that the take-off knows.
func fittingWords(shelf *tables.Shelf) []string {
	words := dwv.FittingsOn(shelf)
	for _, b := range bends {
		words = append(words, b.kind)
	}
	words = append(words, "closet-bend", "double-combination-wye-eighth-bend", "double-fixture-fitting",
		"double-sanitary-tee", "double-wye", "sanitary-cross")
	slices.Sort(words)
	return slices.Compact(words)
}

// apart refuses a word that keeps nothing out and lets nothing in, where a code can say
// which words are fixtures.
func (c *checker) apart(l *Data) {
	if len(c.codes) == 0 {
		return
	}
	l.apartWords(func(s int, field, word string) {
		for _, code := range c.codes {
			if c.known(code, word) {
				return
			}
		}
		sys := &l.Systems[s]
		c.fault(c.ofSystem(s, sys), field,
			because(ErrChoice, "%q is no fixture of %v, and no point carries it", word, c.codes[0]))
	})
}

// apartWords calls with each word that a system admits or refuses and no point carries.
func (l *Data) apartWords(call func(system int, field, word string)) {
	var carried map[string]bool
	for s := range l.Systems {
		sys := &l.Systems[s]
		if len(sys.Admits)+len(sys.Refuses) == 0 {
			continue
		}
		if carried == nil {
			carried = l.carried()
		}
		for _, list := range [...]struct {
			field string
			words []string
		}{{"admits", sys.Admits}, {"refuses", sys.Refuses}} {
			for _, word := range list.words {
				if !carried[word] {
					call(s, list.field, word)
				}
			}
		}
	}
}

// carried returns the words that the points of a layout carry.
func (l *Data) carried() map[string]bool {
	words := map[string]bool{}
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			words[l.Systems[s].Points[p].Carries] = true
		}
	}
	delete(words, "") // what most of them carry
	return words
}

// known tells whether a word is a kind of fixture to a code, or to any other on its
// shelf, whose tables are read when they are first needed.
func (c *checker) known(code *dwv.Code, kind string) bool {
	if code.HasFixture(kind) {
		return true
	}
	if c.kinds == nil {
		c.kinds = map[*tables.Shelf]map[string]bool{}
	}
	known, read := c.kinds[code.Shelf()]
	if !read {
		known = dwv.FixtureKindsOn(code.Shelf())
		c.kinds[code.Shelf()] = known
	}
	return known[kind]
}

func (c *checker) footings(l *Data, t *tree) {
	ids := make(map[string]bool, len(l.Footings))
	for i := range c.Each(len(l.Footings), "footings checked") {
		f := &l.Footings[i]
		at := c.ofOther("footing", c.src.footings, i, f.ID)
		c.newID(at, ids, f.ID, "footings")
		oneOf(c, at, "kind", f.Kind, footingKinds)
		if f.Run == "" {
			c.missing(at, "run", ": the point whose run passes it")
		} else if n, ok := t.index[f.Run]; !ok || int(n) < t.outlets {
			c.fault(at, "run", because(ErrReference, "no point %q", f.Run))
		} else if f.Along > t.point(n).Run.Length {
			c.fault(at, "along", because(units.ErrRange, "%v is beyond the end of the run, %v", f.Along, t.point(n).Run.Length))
		}
		if f.Bottom == 0 {
			c.missing(at, "bottom", ": depth of its underside below the finished floor")
		}
		c.lengths(at, field{"along", f.Along}, field{"bottom", f.Bottom}, field{"distance", f.Distance})
		c.size(at, "sleeve", f.Sleeve)
		c.length(at, "clear", f.Clear)
	}
}
