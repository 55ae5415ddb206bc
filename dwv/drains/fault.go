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
	src    *source
	faults *faults.List
	codes  []*dwv.Code
	kinds  map[*tables.Shelf]map[string]bool // of fixture that some code of a shelf rates
	laid   bool                              // pipe as it was found: it may lie level or rise, and below what it joins
	rises  []units.Length                    // by node: how much higher than its drop says a run joins; nil: none does
}

// fault records a fault of the field at path ("run.length") of the JSON object at a
// place, or of a Go value if that is nowhere. What the decoder could not read is not
// blamed again.
func (c *checker) fault(v strictjson.Place, at item, path string, err error) {
	field := strings.TrimPrefix(path, "run.")
	if v == 0 {
		c.faults.Add(units.Fault{Item: at.String(), Field: field, Err: err})
		return
	}
	c.src.doc.Fault(v, path, at.String(), field, err)
}

// missing records that a field is absent. The text more follows the word "missing".
func (c *checker) missing(v strictjson.Place, at item, path, more string) {
	c.fault(v, at, path, fmt.Errorf("%w%s", ErrMissing, more))
}

// item says what a fault is about. It is put into words only if there is a fault.
type item struct {
	what   string // "layout", "system", "point", "vent", "footing"
	id     string
	number int // its place among its like, from 1, for one without id
	system int // of a point: the place of its system
	run    int // of a vent: the run meant, from 1
	part   string
}

func (x item) String() string {
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
	if x.part != "" {
		s += ": " + x.part
	}
	return s
}

func sysItem(s *System) item { return item{what: "system", id: s.ID} }

func pointItem(p *Point, sys, i int) item {
	return item{what: "point", id: p.ID, number: i + 1, system: sys + 1}
}

func ventItem(v *Vent, i int) item { return item{what: "vent", id: v.ID, number: i + 1} }

func footingItem(f *Footing, i int) item { return item{what: "footing", id: f.ID, number: i + 1} }

const (
	maxTotal = 1000 * units.MaxLength    // developed length of a system
	maxSize  = 10_000 * units.Millimetre // greatest nominal size
)

// length checks a length that may not be negative.
func (c *checker) length(v strictjson.Place, at item, path string, x units.Length) {
	switch {
	case !x.Valid():
		c.fault(v, at, path, because(units.ErrRange, "a length must lie within ±1000 km"))
	case x < 0:
		c.fault(v, at, path, because(units.ErrRange, "%v is negative", x))
	default:
		c.bare(v, at, path, x)
	}
}

// bare tells whether a length of a list was written without its unit.
func bare(list ...units.Length) bool {
	return slices.ContainsFunc(list, func(x units.Length) bool { return argument.Bare(x) != "" })
}

// bare refuses a length that was written without its unit; of what was laid, lengths follow from others.
func (c *checker) bare(v strictjson.Place, at item, path string, x units.Length) {
	if c.laid {
		return
	}
	if text := argument.Bare(x); text != "" {
		c.fault(v, at, path, because(units.ErrRange, "%s", text))
	}
}

func (c *checker) size(v strictjson.Place, at item, path string, x units.Length) {
	switch {
	case x < 0:
		c.fault(v, at, path, because(units.ErrRange, "%v is negative", x))
	case x > maxSize:
		c.fault(v, at, path, because(units.ErrRange, "%v is wider than %v", x, maxSize))
	default:
		c.bare(v, at, path, x)
	}
}

func (c *checker) elevation(v strictjson.Place, at item, path string, x units.Length) {
	if !x.Valid() {
		c.fault(v, at, path, because(units.ErrRange, "an elevation must lie within ±1000 km"))
		return
	}
	c.bare(v, at, path, x)
}

func (c *checker) id(v strictjson.Place, at item, path, id string) {
	if id == "" {
		c.missing(v, at, path, "")
	} else if err := visible.ID(id); err != nil {
		c.fault(v, at, path, because(units.ErrRange, "%v", err))
	}
}

// oneOf checks a word against the ones allowed.
func oneOf[T ~string](c *checker, v strictjson.Place, at item, path string, got T, allowed []T) {
	for _, a := range allowed {
		if got == a {
			return
		}
	}
	words := make([]string, 0, len(allowed))
	for _, a := range allowed {
		if a != "" {
			words = append(words, string(a))
		}
	}
	if got == "" {
		c.missing(v, at, path, ": one of "+strings.Join(words, ", "))
		return
	}
	c.fault(v, at, path, because(ErrChoice, "%q: %swrite one of %s", string(got), visible.Meant(string(got), words),
		strings.Join(words, ", ")))
}

func (c *checker) layout(l *Data) {
	v := c.src.layout()
	c.elevation(v, item{what: "layout"}, "finished_floor", l.FinishedFloor)
	c.length(v, item{what: "layout"}, "slab", l.Slab)
	c.length(v, item{what: "layout"}, "bedding", l.Bedding)
	c.length(v, item{what: "layout"}, "trench_width", l.TrenchWidth)
	c.length(v, item{what: "layout"}, "cable_reach", l.CableReach)
	c.length(v, item{what: "layout"}, "minimum_cover", l.MinimumCover)
	c.size(v, item{what: "layout"}, "minimum_clearance", l.MinimumClearance)
	c.length(v, item{what: "layout"}, "minimum_stub_up", l.MinimumStubUp)
	c.length(v, item{what: "layout"}, "sewer_cover", l.SewerCover)
	c.size(v, item{what: "layout"}, "minimum_vent", l.MinimumVent)
	if l.Ground != nil {
		c.elevation(v, item{what: "layout"}, "ground", *l.Ground)
	}
	if l.UpstreamManhole != nil {
		c.elevation(v, item{what: "layout"}, "upstream_manhole", *l.UpstreamManhole)
	}
	c.walls(l)
	c.obstacles(l)
	for i, x := range l.SkipSizes {
		c.size(v, item{what: "layout"}, fmt.Sprintf("skip_sizes.%d", i), x)
	}
	c.europeanWords(v, l)
	if len(l.Systems) == 0 {
		c.missing(v, item{what: "layout"}, "systems", ": a layout has at least one")
	}
	ids := make(map[string]bool, len(l.Systems))
	for s := range l.Systems {
		sys := &l.Systems[s]
		v, at := c.src.system(s), sysItem(sys)
		c.newID(v, at, ids, sys.ID, "systems")
		oneOf(c, v, at, "kind", sys.Kind, systemKinds)
		c.outlet(v, at, &sys.Outlet)
		if len(sys.Points) == 0 {
			c.missing(v, at, "points", ": a system has at least one")
		}
		var total units.Length
		for p := range sys.Points {
			pt := &sys.Points[p]
			c.point(pt, s, p)
			if r := &pt.Run; r.Length.Valid() && r.Length > 0 && total <= maxTotal {
				if total += r.Length; total > maxTotal {
					c.fault(c.src.point(s, p), pointItem(pt, s, p), "run.length",
						because(units.ErrRange, "the runs of the system add up to more than a million km"))
				}
			}
		}
	}
}

func (c *checker) outlet(v strictjson.Place, at item, o *Outlet) {
	if *o == (Outlet{}) {
		c.missing(v, at, "outlet", ": a system has one")
		return
	}
	c.id(v, at, "outlet.id", o.ID)
	oneOf(c, v, at, "outlet.kind", o.Kind, outletKinds)
	c.elevation(v, at, "outlet.invert", o.Invert)
	c.size(v, at, "outlet.size", o.Size)
	c.position(v, at, "outlet.at", o.At)
	if p := o.Sump; p != nil {
		if o.Kind != ToSump {
			c.fault(v, at, "outlet.sump", because(ErrChoice, "only an outlet of kind %s has one", ToSump))
		}
		if p.HighWater != nil {
			c.elevation(v, at, "outlet.sump.high_water", *p.HighWater)
		}
		c.size(v, at, "outlet.sump.vent", p.Vent)
	}
}

// point checks what a point says about itself. It makes no strings unless
// something is wrong.
func (c *checker) point(p *Point, s, i int) {
	bad := func(path string, err error) {
		c.fault(c.src.point(s, i), pointItem(p, s, i), path, err)
	}
	c.id(c.src.point(s, i), pointItem(p, s, i), "id", p.ID)
	r := &p.Run
	if r.Top != nil {
		c.top(p, s, i)
	}
	switch {
	case r.Top != nil && r.Vertical: // its length follows
	case !r.Length.Valid():
		bad("run.length", because(units.ErrRange, "a length must lie within ±1000 km"))
	case r.Length < 0:
		bad("run.length", because(units.ErrRange, "%v is negative", r.Length))
	case r.Length == 0:
		c.missing(c.src.point(s, i), pointItem(p, s, i), "run.length",
			` or zero; a vertical run may state its top instead; "plan", or on_plan among the defaults, takes it `+
				`from the coordinates of both ends of a straight flat run`)
	default:
		c.bare(c.src.point(s, i), pointItem(p, s, i), "run.length", r.Length)
	}
	switch {
	case r.Vertical:
		if !r.Grade.IsLevel() {
			bad("run.grade", because(units.ErrRange, "a vertical run has none"))
		}
	case c.laid:
	case r.Grade.IsLevel() && c.src != nil && (c.src.doc.Blamed(c.src.layout(), "defaults.grade") ||
		c.src.doc.Blamed(c.src.system(s), "defaults.grade")): // told once, where it stands
	case r.Grade.IsLevel():
		c.missing(c.src.point(s, i), pointItem(p, s, i), "run.grade",
			" or zero: a horizontal run needs one, here or in the defaults, such as 1/4 in/ft")
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
		v, at := c.src.point(s, i), pointItem(p, s, i)
		c.length(v, at, "run.drop", drop)
		c.size(v, at, "run.size", r.Size)
		c.length(v, at, "stub_up", p.StubUp)
		c.length(v, at, "rim_below", p.RimBelow)
		c.length(v, at, "flood_rim", p.FloodRim)
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
	c.parts(p, s, i)
}

// top checks what a run says of its top, and clears the length that follows from it.
func (c *checker) top(p *Point, s, i int) {
	v, at, r := c.src.point(s, i), pointItem(p, s, i), &p.Run
	bad := func(path string, err error) { c.fault(v, at, path, err) }
	if !r.Top.Valid() {
		bad("run.top", because(units.ErrRange, "a height must lie within ±1000 km"))
	}
	if !r.Vertical {
		bad("run.top", because(ErrChoice, "a flat run has none: mark a riser vertical"))
		return
	}
	if v != 0 {
		if _, stated := c.src.doc.Member(v, "run.length"); stated {
			bad("run.length", because(ErrDuplicate, "the top of the riser says how long it is: state one of them"))
		}
	}
	r.Length = 0
}

// parts checks the optional objects of a point.
func (c *checker) parts(p *Point, s, i int) {
	v, at := c.src.point(s, i), pointItem(p, s, i)
	if f := p.Fixture; f != nil {
		c.fixture(v, at, "fixture", f)
	}
	if t := p.Trap; t != nil {
		c.size(v, at, "trap.size", t.Size)
		c.length(v, at, "trap.arm", t.Arm)
		c.length(v, at, "trap.fall", t.Fall)
		c.length(v, at, "trap.seal", t.Seal)
		c.length(v, at, "trap.tail", t.Tail)
		c.length(v, at, "trap.offset", t.Offset)
		if t.Guard != "" {
			oneOf(c, v, at, "trap.guard", t.Guard, trapGuards)
		}
	}
	if o := p.Cleanout; o != nil {
		c.size(v, at, "cleanout.size", o.Size)
		c.length(v, at, "cleanout.clearance", o.Clearance)
	}
	if n := p.Interceptor; n != nil {
		if n.Kind == "" {
			c.missing(v, at, "interceptor.kind", ": such as solids, grease, oil or hair")
		}
		for _, q := range [...]struct {
			path string
			x    float64
		}{{"rated", float64(n.Rated)}, {"inflow", float64(n.Inflow)}, {"volume", float64(n.Volume)},
			{"retention", float64(n.Retention)}} {
			if !(q.x >= 0 && q.x < 1e9) {
				c.fault(v, at, "interceptor."+q.path, because(units.ErrRange, "it must be a number and not negative"))
			}
		}
		c.length(v, at, "interceptor.drop", n.Drop)
		c.length(v, at, "interceptor.cover_below", n.CoverBelow)
	}
	if r := p.Receptor; r != nil {
		c.length(v, at, "receptor.standpipe", r.Standpipe)
		c.elevation(v, at, "receptor.trap_above_floor", r.TrapAboveFloor)
		for k := range r.Indirect {
			c.fixture(v, at, "receptor.indirect", &r.Indirect[k])
		}
		if p.Fixture == nil {
			c.missing(v, at, "fixture", ": a receptor is a fixture, such as a standpipe or a floor sink")
		}
	}
	c.position(v, at, "at", p.At)
}

// position checks plan coordinates, which may be absent.
func (c *checker) position(v strictjson.Place, who item, path string, at *Position) {
	if at == nil {
		return
	}
	for _, x := range [...]struct {
		path string
		x    units.Length
	}{{path + ".x", at.X}, {path + ".y", at.Y}} {
		if !x.x.Valid() {
			c.fault(v, who, x.path, because(units.ErrRange, "a coordinate must lie within ±1000 km"))
			continue
		}
		c.bare(v, who, x.path, x.x)
	}
}

// ends checks the two ends of a straight body on plan.
// newID checks the id of an item, and that none of the ids before it, to which it is added,
// is the same.
func (c *checker) newID(v strictjson.Place, who item, ids map[string]bool, id, many string) {
	c.id(v, who, "id", id)
	if id != "" && ids[id] {
		c.fault(v, who, "id", because(ErrDuplicate, "two %s", many))
	}
	ids[id] = true
}

func (c *checker) ends(v strictjson.Place, who item, from, to Position) {
	c.position(v, who, "from", &from)
	c.position(v, who, "to", &to)
	if from == to {
		c.fault(v, who, "to", because(units.ErrRange, "both ends lie in one place"))
	}
}

func (c *checker) walls(l *Data) {
	ids := make(map[string]bool, len(l.Walls))
	for i := range l.Walls {
		w := &l.Walls[i]
		v, at := c.src.wall(i), item{what: "wall", id: w.ID, number: i + 1}
		c.newID(v, at, ids, w.ID, "walls")
		c.ends(v, at, w.From, w.To)
		c.size(v, at, "thickness", w.Thickness)
	}
}

func (c *checker) obstacles(l *Data) {
	ids := make(map[string]bool, len(l.Obstacles))
	for i := range l.Obstacles {
		o := &l.Obstacles[i]
		v, at := c.src.obstacle(i), item{what: "obstacle", id: o.ID, number: i + 1}
		c.newID(v, at, ids, o.ID, "obstacles")
		oneOf(c, v, at, "kind", o.Kind, obstacleKinds)
		c.ends(v, at, o.From, o.To)
		c.length(v, at, "width", o.Width)
		c.length(v, at, "clear", o.Clear)
		c.elevation(v, at, "top", o.Top)
		c.elevation(v, at, "bottom", o.Bottom)
		if o.Top <= o.Bottom {
			c.fault(v, at, "top", because(units.ErrRange, "it does not lie above the bottom"))
		}
	}
}

// fixture checks a fixture, and asks the codes whether they know it.
func (c *checker) fixture(v strictjson.Place, at item, path string, f *tables.Fixture) {
	switch {
	case f.Kind == "":
		c.missing(v, at, path+".fixture", "")
		return
	case f.Count < 1 || f.Count > tables.MaxFixtures:
		c.fault(v, at, path+".count",
			because(units.ErrRange, "%d: a count must lie between 1 and %d", f.Count, tables.MaxFixtures))
		return
	}
	if wrong, ok := errors.AsType[*units.Fault](f.Check()); ok {
		c.fault(v, at, path+"."+wrong.Field, wrong.Err)
		return
	}
	for _, code := range c.codes {
		// What another code rates is a gap of this one, and left to the check.
		if !c.known(code, f.Kind) {
			_, err := code.FixtureLoad(*f)
			if len(code.Fixtures()) == 0 {
				err = c.noFixture(code, f.Kind)
			}
			c.fault(v, at, path+".fixture", err)
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
	material := func(v strictjson.Place, at item, path, word string) {
		if seen[word] {
			return
		}
		seen[word] = true
		if _, ok := p.Family(word); !ok && !isOther(word) {
			c.fault(v, at, path, because(ErrChoice, "%q: %swrite one of %s, or \"other: \" and its name", word,
				visible.Meant(word, families), visible.Some(families)))
		}
	}
	fitting := func(v strictjson.Place, at item, path, word string) {
		if key := "fitting " + word; word != "" && !seen[key] && !slices.Contains(fittings, word) {
			seen[key] = true
			c.fault(v, at, path, because(ErrChoice, "%q: %swrite one of %s", word, visible.Meant(word, fittings),
				strings.Join(fittings, ", ")))
		}
	}
	for s := range l.Systems {
		sys := &l.Systems[s]
		material(c.src.system(s), sysItem(sys), "outlet.material", sys.Outlet.Material)
		for i := range sys.Points {
			pt := &sys.Points[i]
			v, at := c.src.point(s, i), pointItem(pt, s, i)
			material(v, at, "run.material", pt.Run.Material)
			fitting(v, at, "run.into", pt.Run.Into)
			for _, name := range pt.Run.Fittings {
				fitting(v, at, "run.fittings", name)
			}
		}
	}
	for i := range l.Vents {
		material(c.src.vent(i), ventItem(&l.Vents[i], i), "material", l.Vents[i].Material)
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
		c.fault(c.src.system(s), sysItem(sys), field,
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
	for i := range l.Footings {
		f := &l.Footings[i]
		v, at := c.src.footing(i), footingItem(f, i)
		c.newID(v, at, ids, f.ID, "footings")
		oneOf(c, v, at, "kind", f.Kind, footingKinds)
		if f.Run == "" {
			c.missing(v, at, "run", ": the point whose run passes it")
		} else if n, ok := t.index[f.Run]; !ok || int(n) < t.outlets {
			c.fault(v, at, "run", because(ErrReference, "no point %q", f.Run))
		} else if f.Along > t.point(n).Run.Length {
			c.fault(v, at, "along", because(units.ErrRange, "%v is beyond the end of the run, %v", f.Along,
				t.point(n).Run.Length))
		}
		if f.Bottom == 0 {
			c.missing(v, at, "bottom", ": depth of its underside below the finished floor")
		}
		c.length(v, at, "along", f.Along)
		c.length(v, at, "bottom", f.Bottom)
		c.length(v, at, "distance", f.Distance)
		c.size(v, at, "sleeve", f.Sleeve)
		c.length(v, at, "clear", f.Clear)
	}
}
