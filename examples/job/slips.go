package job

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// slips looks for what is written wrong more often than it is meant: feet for inches, a depth
// for an elevation, one thing under two ids, a run drawn twice. Each is a question to whoever
// drew the layout, for it may be meant.
func (g *judged) slips() []tables.Finding {
	s := slipList{as: g.as}
	j, d := g.job, g.drawn()
	if d != nil {
		s.ofDrains(d)
	}
	if j.water != nil {
		s.ofWater(j.water)
	}
	if d != nil && j.water != nil {
		s.twoIDs(d, j.water)
		s.oneHalf(d, j.water)
	}
	return s.list
}

// slipList gathers questions, with quantities in the units of the report.
type slipList struct {
	list []tables.Finding
	as   printer
}

func (s *slipList) ask(place, fix, format string, args ...any) {
	for i, a := range args {
		if q, ok := a.(fmt.Stringer); ok {
			args[i] = s.as.text(q)
		}
	}
	s.list = append(s.list, tables.Finding{Rule: slipRule, Place: place, Verdict: tables.Ask, SettledBy: tables.Designer,
		Reason: fmt.Sprintf(format, args...) + ".", Fix: fix})
}

// slipRule is the rule of questions about slips of the pen.
const slipRule = "likely-slip"

// slipGrade is the least grade that is asked about, 2 in/ft: who writes 2 for 2 % is told to say
// of what, and may add the wrong word.
var slipGrade = slope.OneIn(6)

// The least that is asked about: no pipe of a rough-in is so wide, no slab so thick, no trap
// so far from its vent, no seal so deep, no stub so high, no drain so deep, no main under such
// pressure; and the greatest: no run is so short, no slab so thin.
const (
	slipSize     = 2 * units.Foot
	slipSlab     = 2 * units.Foot
	slipArm      = 6 * units.Metre
	slipSeal     = units.Foot
	slipStub     = 10 * units.Foot
	slipRun      = units.Inch / 2
	slipThin     = units.Inch / 2
	slipBore     = 400 * units.Millimetre // of a size in centimetres
	slipDepth    = 50 * units.Foot
	slipInvert   = 5 * units.Metre // where the invert itself is as little as a depth is
	slipPressure = 250 * units.PoundForcePerSquareInch
)

// smaller is what a length may be meant to be: in whole feet it may be as many inches, in whole
// metres or centimetres as many millimetres.
func smaller(l units.Length) (meant string, ok bool) {
	const centimetre = 10 * units.Millimetre
	switch {
	case l <= 0:
	case l%units.Foot == 0:
		return fmt.Sprintf("%d in", int64(l/units.Foot)), true
	case l%units.Metre == 0 && l >= 30*units.Metre:
		return fmt.Sprintf("%d mm", int64(l/units.Metre)), true
	case l%centimetre == 0:
		return fmt.Sprintf("%d mm", int64(l/centimetre)), true
	}
	return "", false
}

func (s *slipList) ofDrains(d *drains.Data) {
	wide := func(place string, size units.Length) {
		if meant, ok := smaller(size); ok && (size >= slipSize || size >= slipBore && size%units.Foot != 0) {
			s.ask(place, "Write "+meant+", if that is meant.", "Its size is %v; %s may be meant", size, meant)
		}
	}
	if meant, ok := smaller(d.Slab); d.Slab >= slipSlab && ok {
		s.ask("slab", "Write "+meant+", if that is meant.", "The slab is %v thick; %s may be meant", d.Slab, meant)
	}
	if 0 < d.Slab && d.Slab < slipThin {
		s.ask("slab", "Give its thickness in inches or millimetres, as 4 in or 100 mm.",
			"The slab is less than %v thick; another unit may be meant", slipThin)
	}
	inches := either(s.as, "inches", "millimetres")
	for i := range d.Systems {
		sys := &d.Systems[i]
		if depth := d.FinishedFloor - sys.Outlet.Invert; depth >= slipDepth ||
			depth >= slipInvert && 0 < sys.Outlet.Invert && sys.Outlet.Invert <= slipInvert {
			s.ask(sys.Outlet.ID, "Give the invert as an elevation, on the datum that the finished floor is on.",
				"The outlet lies %v below the floor; its invert may be a depth, where an elevation is asked for", depth)
		}
		wide(sys.Outlet.ID, sys.Outlet.Size)
		type way struct {
			to       string
			x, y     units.Length
			vertical bool
		}
		drawn := map[way]string{}
		for p := range sys.Points {
			pt := &sys.Points[p]
			wide(pt.ID, pt.Run.Size)
			s.ofPoint(pt, inches)
			if pt.At == nil || pt.Fixture != nil {
				continue
			}
			w := way{to: pt.To, x: pt.At.X, y: pt.At.Y, vertical: pt.Run.Vertical}
			if other, twice := drawn[w]; twice {
				s.ask(pt.ID, "Take one of them out, or give it the place it has.",
					"%s and %s lie at one place and both drain to %s; a run may be drawn twice", other, pt.ID, pt.To)
			}
			drawn[w] = pt.ID
		}
	}
	s.alike(func(yield func(string)) {
		pointsOf(d, func(_ int, _ *drains.System, pt *drains.Point) { yield(pt.ID) })
	})
}

// ofPoint asks about one measure of a point that is out of all proportion.
func (s *slipList) ofPoint(pt *drains.Point, inches string) {
	if t := pt.Trap; t != nil && t.Arm >= slipArm {
		s.ask(pt.ID, "Give the arm in "+inches+", if they are meant.", "The trap arm is %v long", t.Arm)
	}
	if t := pt.Trap; t != nil && t.Seal >= slipSeal {
		s.ask(pt.ID, "Give the seal in "+inches+", if they are meant.", "The trap seal is %v deep", t.Seal)
	}
	if pt.StubUp >= slipStub {
		s.ask(pt.ID, "Give the stub in "+inches+", if they are meant.", "The stub stands %v above the floor", pt.StubUp)
	}
	if l := pt.Run.Length; 0 < l && l < slipRun {
		s.ask(pt.ID, "Give the length in feet or metres, if they are meant; on plan look at the coordinates of its ends.",
			"The run from %s is %v long, shorter than a fitting", pt.ID, l)
	}
	if g := pt.Run.Grade; g.Compare(slipGrade) >= 0 && !pt.Run.Vertical {
		s.ask(pt.ID, "Write a percentage with its sign, as 2 %, if that is meant.",
			"The run from %s falls %v, which is steep for a drain", pt.ID, g)
	}
}

func (s *slipList) ofWater(l *supply.Layout) {
	data := l.Data()
	if p := data.Source.Pressure; p >= slipPressure {
		s.ask(data.Source.ID, "Write kPa (or mbar), if they are meant.", "The pressure at the source is %v", p)
	}
	s.alike(func(yield func(string)) {
		for i := range data.Points {
			yield(data.Points[i].ID)
		}
	})
}

// alike asks about ids of one list that differ by case, blanks or hyphens alone.
func (s *slipList) alike(ids func(yield func(string))) {
	first := map[string]string{}
	ids(func(id string) {
		p := plainID(id)
		if other, seen := first[p]; seen && other != id {
			s.ask(id, "Give them names that differ by more, or make one of them.",
				"%s and %s differ by case, blanks or hyphens alone", other, id)
			return
		}
		first[p] = id
	})
}

func plainID(id string) string { return plainer.Replace(strings.ToLower(id)) }

var plainer = strings.NewReplacer(" ", "", "_", "", "-", "", ".", "")

// twoIDs asks once about fixtures that have one id in the drains and another, alike, in the
// water: one fixture has one.
func (s *slipList) twoIDs(d *drains.Data, l *supply.Layout) {
	of := map[string]string{}
	pointsOf(d, func(_ int, _ *drains.System, pt *drains.Point) {
		if pt.Fixture != nil {
			of[plainID(pt.ID)] = pt.ID
		}
	})
	pairs := map[string]bool{}
	place := ""
	for _, f := range l.Data().Fixtures {
		if id := of[plainID(f.ID)]; id != "" && id != f.ID {
			pairs[id+" and "+f.ID] = true
			if place == "" {
				place = f.ID
			}
		}
	}
	if len(pairs) > 0 {
		s.ask(place, "Write one id in both halves, if they are one fixture.",
			"The drains and the water lines name fixtures nearly alike: %s", strings.Join(slices.Sorted(maps.Keys(pairs)), "; "))
	}
}

// inBothHalves are the kinds of fixture that have water and a drain of their own; others, as
// floor drains and hose bibbs, stand in one half and nobody misses them in the other.
var inBothHalves = []string{"water-closet", "urinal", "lavatory", "dental-lavatory", "kitchen-sink", "bar-sink",
	"service-sink", "laundry-sink", "sink", "wash-fountain", "bathtub", "shower", "bidet", "drinking-fountain",
	"clothes-washer"}

// standing is what one half has of a kind of fixture.
type standing struct {
	count int
	ids   []string
}

func (h *standing) add(id string, count int) { h.count, h.ids = h.count+count, append(h.ids, id) }

// oneHalf asks once about fixtures that stand in one half alone: the other then comes out
// too small.
func (s *slipList) oneHalf(d *drains.Data, l *supply.Layout) {
	drained, watered := map[string]*standing{}, map[string]*standing{}
	of := func(m map[string]*standing, kind string) *standing {
		if kind == "standpipe" {
			kind = "clothes-washer" // which drains into one
		}
		if m[kind] == nil {
			m[kind] = new(standing)
		}
		return m[kind]
	}
	later := map[string]bool{} // where a load is kept for what comes later
	pointsOf(d, func(_ int, _ *drains.System, pt *drains.Point) {
		later[pt.ID] = pt.Reserved > 0 || pt.Capped
		var takes []tables.Fixture
		if pt.Receptor != nil {
			takes = pt.Receptor.Indirect
		}
		for _, f := range takes {
			of(drained, f.Kind).add(pt.ID, f.Count)
		}
		if f := pt.Fixture; f != nil && !pt.Capped && (f.Kind != "standpipe" || len(takes) == 0) {
			of(drained, f.Kind).add(pt.ID, f.Count)
		}
	})
	for _, f := range l.Data().Fixtures {
		if !later[f.ID] {
			of(watered, f.Kind).add(f.ID, f.Count)
		}
	}
	if drained["bathroom-group"] != nil || watered["bathroom-group"] != nil {
		return // which stands for several
	}
	var missing []string
	place := ""
	for _, kind := range inBothHalves {
		for _, side := range [...]struct {
			a, b map[string]*standing
			name string
		}{{drained, watered, "water lines"}, {watered, drained, "drains"}} {
			a, b := of(side.a, kind), of(side.b, kind)
			if a.count <= b.count {
				continue
			}
			alone := slices.DeleteFunc(slices.Clone(a.ids), func(id string) bool { return slices.Contains(b.ids, id) })
			if len(alone) == 0 {
				alone = a.ids
			}
			if place == "" {
				place = alone[0]
			}
			missing = append(missing, fmt.Sprintf("%s %s: %d in the %s, not %d", label(kind), some(alone, 6), b.count,
				side.name, a.count))
		}
	}
	if len(missing) > 0 {
		s.ask(place, "Draw them in the other half too; what is not drawn there is not counted.",
			"Some fixtures stand in one half of the job alone: %s", strings.Join(missing, "; "))
	}
}
