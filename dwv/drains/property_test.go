package drains

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// ratedCodes are the codes of the shelf that rate fixtures, each with a fixture of
// every kind it can rate without a question.
func ratedCodes(t testing.TB) (codes []*dwv.Code, fixtures [][]tables.Fixture) {
	t.Helper()
	for _, id := range []string{"asnzs3500-2", "ipc-2021", "irc-2021", "npc-canada", "nspc-2018", "upc-2021"} {
		c := mustCode(t, id)
		var list []tables.Fixture
		for _, fixture := range c.Fixtures() {
			kind := fixture.ID
			for _, f := range []tables.Fixture{
				{Kind: kind, Count: 1}, {Kind: kind, Count: 1, Use: tables.Public}, {Kind: kind, Count: 1, Use: tables.Private},
				{Kind: kind, Count: 1, Use: tables.Public, Control: tables.Tank, Flush: 1.6 * units.USGallon},
				{Kind: kind, Count: 1, Use: tables.Private, Control: tables.Tank, Flush: 1.6 * units.USGallon},
				{Kind: kind, Count: 1, Size: 2 * units.Inch}, {Kind: kind, Count: 1, Use: tables.Public, Size: 2 * units.Inch},
			} {
				if _, err := c.FixtureLoad(f); err == nil {
					list = append(list, f)
					break
				}
			}
		}
		if len(list) == 0 {
			t.Fatalf("%s rates nothing", id)
		}
		codes, fixtures = append(codes, c), append(fixtures, list)
	}
	return codes, fixtures
}

// smallLayout makes one system of a few points with stacks, arms and vents of every
// kind, in which no size is drawn but, with drawn, some are.
func smallLayout(r *rand.Rand, fixtures []tables.Fixture, drawn bool) *Data {
	l := &Data{FinishedFloor: 100 * units.Foot, Slab: 4 * units.Inch,
		Systems: []System{{ID: "S", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 90 * units.Foot}}}}
	grades := []slope.Grade{slope.PerFoot(units.Inch / 4), slope.PerFoot(units.Inch / 4), slope.PerFoot(units.Inch / 4),
		slope.PerFoot(units.Inch / 8), slope.OneIn(50), slope.OneIn(100), slope.PerFoot(units.Inch / 2)}
	sizes := []units.Length{3 * units.Inch / 2, 2 * units.Inch, 3 * units.Inch, 4 * units.Inch, 6 * units.Inch}
	sys := &l.Systems[0]
	n := 1 + r.IntN(10)
	for k := range n {
		p := Point{ID: fmt.Sprintf("P%d", k), To: "O"}
		if k > 0 {
			p.To = sys.Points[max(0, k-1-r.IntN(min(k, 4)))].ID
		}
		p.Run.Length = units.Length(1+r.IntN(12))*units.Foot + units.Length(k)*units.Micrometre
		if r.IntN(4) == 0 {
			p.Run.Vertical = true
		} else {
			p.Run.Grade = grades[r.IntN(len(grades))]
		}
		if drawn && r.IntN(3) == 0 {
			p.Run.Size = sizes[r.IntN(len(sizes))]
		}
		if r.IntN(5) < 3 {
			f := fixtures[r.IntN(len(fixtures))]
			if r.IntN(4) == 0 {
				f.Count = 1 + r.IntN(12)
			}
			p.Fixture = &f
			if r.IntN(3) == 0 {
				p.Trap = &Trap{Size: sizes[r.IntN(3)]}
			}
		}
		if r.IntN(12) == 0 {
			p.Reserved = dwv.FixtureUnits(r.IntN(400)) * dwv.FixtureUnit / 2
		}
		if r.IntN(8) == 0 {
			p.Cleanout = &Cleanout{Main: r.IntN(2) == 0}
		}
		sys.Points = append(sys.Points, p)
	}
	kinds := []VentKind{VentIndividual, VentIndividual, VentCommon, VentCommon, VentWet, VentWet, VentCircuit, VentRelief,
		VentStackVent, VentStack}
	for k := range r.IntN(4) {
		v := Vent{ID: fmt.Sprintf("V%d", k), Kind: kinds[r.IntN(len(kinds))], From: sys.Points[r.IntN(n)].ID,
			Terminal: &Terminal{AboveRoof: 6 * units.Inch},
			Runs:     []VentRun{{Length: units.Length(5+r.IntN(60)) * units.Foot, Direction: VentUp}}}
		if v.Kind == VentWet || v.Kind == VentCircuit || v.Kind == VentCommon && r.IntN(2) == 0 {
			v.Through = v.From
			for range r.IntN(4) {
				if p := pt(l, v.Through); p.To != "O" {
					v.Through = p.To
				}
			}
		}
		if drawn && r.IntN(3) == 0 {
			v.Size = sizes[r.IntN(3)]
		}
		l.Vents = append(l.Vents, v)
	}
	return l
}

// shrink makes a layout smaller as long as it still breaks a property, so that what is
// left can be read.
func shrink(l *Data, breaks func(*Data) bool) *Data {
	for again := true; again; {
		again = false
		for _, smaller := range smallerLayouts(l) {
			if breaks(smaller) {
				l, again = smaller, true
				break
			}
		}
	}
	return l
}

// smallerLayouts are the layouts that lack one thing of l.
func smallerLayouts(l *Data) (list []*Data) {
	for v := range l.Vents {
		c := copyLayout(l)
		c.Vents = slices.Delete(c.Vents, v, v+1)
		list = append(list, c)
	}
	points := l.Systems[0].Points
	for k := range points {
		c := copyLayout(l)
		p := &c.Systems[0].Points
		id, to := (*p)[k].ID, (*p)[k].To
		*p = slices.Delete(*p, k, k+1)
		for i := range *p {
			if (*p)[i].To == id {
				(*p)[i].To = to
			}
		}
		for v := range c.Vents {
			for _, at := range []*string{&c.Vents[v].From, &c.Vents[v].Through} {
				if *at == id {
					*at = to
				}
			}
		}
		list = append(list, c)
	}
	for k := range points {
		for _, edit := range []func(p *Point){
			func(p *Point) { p.Fixture, p.Trap = nil, nil }, func(p *Point) { p.Trap = nil },
			func(p *Point) { p.Cleanout = nil }, func(p *Point) { p.Reserved = 0 },
			func(p *Point) { p.Run.Size = 0 },
			func(p *Point) {
				if p.Fixture != nil {
					f := *p.Fixture
					f.Count = max(1, f.Count-1)
					p.Fixture = &f
				}
			},
			func(p *Point) {
				if !p.Run.Vertical {
					p.Run.Grade = slope.PerFoot(units.Inch / 4)
				}
			},
			func(p *Point) { p.Run.Vertical, p.Run.Grade = false, slope.PerFoot(units.Inch/4) },
		} {
			c := copyLayout(l)
			before, _ := json.Marshal(c.Systems[0].Points[k])
			edit(&c.Systems[0].Points[k])
			if after, _ := json.Marshal(c.Systems[0].Points[k]); !bytes.Equal(before, after) {
				list = append(list, c)
			}
		}
	}
	return list
}

// sizeRules are the rules whose limits a size meets or does not.
var sizeRules = []string{
	"drain-load", "stack-interval-load", "drain-closets", "below-ground-size", "fixture-drain-size", "size-reduction",
	"outlet-size", "main-drain-undiminished", "drain-size",
	"wet-vent-load", "common-vent-load", "wet-vent-vertical-size", "vent-size", "future-vent", "stack-length",
}

// failed tells of a finding that it is, or would be if its figure is right, a fail.
func failed(f *tables.Finding) bool {
	return f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail
}

// sizedAndFailed returns what the check says against a size that Size chose, "" if it
// says nothing; that a load is above the code's tables is told by both.
func sizedAndFailed(l *Data, code *dwv.Code) string {
	s, found, ok := worked(l, code)
	if !ok {
		return ""
	}
	for i := range found {
		f := &found[i]
		if !failed(f) || !slices.Contains(sizeRules, f.Rule) || s.drawnElsewhere(f) || f.Side == "closet" {
			continue // a closet over the lower fixture of a common vent is there at any size
		}
		if r, ok := s.Of(f.Place); ok && (r.Problem != "" || r.Drawn) {
			continue
		}
		if v, ok := s.Vent(f.Place); ok && (v.Err != nil || v.Drawn) {
			continue
		}
		return f.String()
	}
	return ""
}

// drawnElsewhere tells whether a finding speaks of runs beyond its place that may be drawn:
// the one downstream, or those of an upright wet vent.
func (s *Sizing) drawnElsewhere(f *tables.Finding) bool {
	switch r, _ := s.Of(f.Place); f.Rule {
	case "size-reduction":
		down, ok := s.Of(r.To)
		return ok && down.Drawn
	case "wet-vent-vertical-size":
		for i := range s.Len() {
			if s.At(i).Drawn {
				return true
			}
		}
	}
	return false
}

// undersizedUntold returns a run or a vent that is drawn smaller than is required and
// of which no finding speaks, "" if there is none.
func undersizedUntold(l *Data, code *dwv.Code) string {
	s, found, ok := worked(l, code)
	if !ok {
		return ""
	}
	told := map[string]bool{}
	for _, f := range found {
		if f.Verdict == tables.Pass {
			continue
		}
		told[f.Place] = true
		if r, ok := s.Of(f.Place); ok && f.Rule == "size-reduction" {
			told[r.To] = true
		}
	}
	for i := range s.Len() {
		if r := s.At(i); r.Size < r.Required && !told[r.Point] {
			return fmt.Sprintf("%s is %v and needs %v by %v", r.Point, r.Size, r.Required, r.Decided)
		}
	}
	for _, v := range s.Vents() {
		if v.Size < v.Required && !told[v.Vent] {
			return fmt.Sprintf("vent %s is %v and needs %v by %v", v.Vent, v.Size, v.Required, v.Decided)
		}
	}
	return ""
}

func worked(l *Data, code *dwv.Code) (*Sizing, []tables.Finding, bool) {
	l = copyLayout(l)
	if buildErr(l) != nil {
		return nil, nil, false
	}
	s, err := sizeOf(l, code)
	if err != nil {
		return nil, nil, false
	}
	found, err := s.Check(CheckOptions{})
	return s, found, err == nil
}

// shrinksWithLoad returns a run that some more load at a point makes smaller.
func shrinksWithLoad(l *Data, code *dwv.Code) string {
	s, _, ok := worked(l, code)
	if !ok {
		return ""
	}
	for k := range l.Systems[0].Points {
		for _, more := range []dwv.FixtureUnits{dwv.FixtureUnit / 2, 3 * dwv.FixtureUnit, 100 * dwv.FixtureUnit,
			100000 * dwv.FixtureUnit} {
			c := copyLayout(l)
			c.Systems[0].Points[k].Reserved += more
			after, _, ok := worked(c, code)
			if !ok {
				continue
			}
			for i := range s.Len() {
				a, b := s.At(i), after.At(i)
				if a.Load == 0 && a.Decided == DecidedByVenting {
					continue // a dry riser is the lower end of its vent, until something drains in
				}
				if b.Required < a.Required || b.Size < a.Size {
					return fmt.Sprintf("%v more at %s: %s needed %v by %v, and now %v by %v", more, c.Systems[0].Points[k].ID,
						a.Point, a.Required, a.Decided, b.Required, b.Decided)
				}
			}
		}
	}
	return ""
}

// changesWithOrder returns what another order of the points or the vents changes.
func changesWithOrder(l *Data, code *dwv.Code) string {
	s, found, ok := worked(l, code)
	if !ok {
		return ""
	}
	for seed := range uint64(3) {
		other := shuffled(rand.New(rand.NewPCG(seed, 7)), l)
		slices.Reverse(other.Vents)
		t, again, _ := worked(other, code)
		for i := range s.Len() {
			a := s.At(i)
			if b, _ := t.Of(a.Point); a.Required != b.Required || a.Size != b.Size || a.Decided != b.Decided {
				return fmt.Sprintf("%s: %v by %v, in another order %v by %v", a.Point, a.Required, a.Decided, b.Required, b.Decided)
			}
		}
		for _, a := range s.Vents() {
			if b, _ := t.Vent(a.Vent); a.Required != b.Required || a.Load != b.Load || a.Decided != b.Decided {
				return fmt.Sprintf("vent %s: %v for %v, in another order %v for %v", a.Vent, a.Required, a.Load, b.Required, b.Load)
			}
		}
		x, y := texts(found), texts(again)
		for i := range x {
			if i >= len(y) || x[i] != y[i] {
				return fmt.Sprintf("%s, in another order %s", x[i], y[min(i, len(y)-1)])
			}
		}
	}
	return ""
}

// movedVentChanges moves each vent that ends in the air and serves single traps to other
// points, and returns what that changes about the traps that it serves in neither place.
// How far an emergency floor drain may be from a line that is vented is about that line.
func movedVentChanges(l *Data, code *dwv.Code) string {
	s, found, ok := worked(l, code)
	if !ok {
		return ""
	}
	traps := func(found []tables.Finding) map[string]string {
		says := map[string]string{}
		for _, f := range found {
			if strings.HasPrefix(f.Rule, "trap-") && f.Rule != "trap-arm-shared" && failed(&f) {
				says[f.Place] += f.Rule + " " + fmt.Sprint(f.Value) + ";"
			}
		}
		return says
	}
	serves := func(s *Sizing, at, vent string) bool {
		v := s.routes.serving[s.tree.index[at]]
		return v >= 0 && s.layout.Vents[v].ID == vent
	}
	before := traps(found)
	for v := range l.Vents {
		for k := range l.Systems[0].Points {
			c := copyLayout(l)
			if c.Vents[v].Kind != VentIndividual {
				continue
			}
			c.Vents[v].From = c.Systems[0].Points[k].ID
			t, again, ok := worked(c, code)
			if !ok {
				continue
			}
			after := traps(again)
			for _, p := range l.Systems[0].Points {
				if before[p.ID] != after[p.ID] && !serves(s, p.ID, l.Vents[v].ID) && !serves(t, p.ID, l.Vents[v].ID) {
					return fmt.Sprintf("vent %s moved from %s to %s: %s: %q, now %q", l.Vents[v].ID, l.Vents[v].From, c.Vents[v].From,
						p.ID, before[p.ID], after[p.ID])
				}
			}
		}
	}
	return ""
}

// layoutProperties hold for every layout under every code.
var layoutProperties = []struct {
	name   string
	breaks func(*Data, *dwv.Code) string
	drawn  bool
}{
	{"what Size chooses Check does not fail", sizedAndFailed, false},
	{"what Size chooses Check does not fail beside drawn sizes", sizedAndFailed, true},
	{"a size under the one required has a finding", undersizedUntold, true},
	{"more load never gives a smaller pipe", shrinksWithLoad, false},
	{"the order of points and vents changes nothing", changesWithOrder, true},
	{"a vent that moves changes only what it vents", movedVentChanges, false},
}

// TestRandomLayouts holds the properties over random layouts under every code that rates
// fixtures. What breaks one is shrunk and printed; it belongs into testdata/sized.
func TestRandomLayouts(t *testing.T) {
	layouts := 12
	codes, fixtures := ratedCodes(t)
	for k, code := range codes {
		for _, p := range layoutProperties {
			for seed := range uint64(layouts) {
				l := smallLayout(rand.New(rand.NewPCG(seed, uint64(k))), fixtures[k], p.drawn)
				if p.breaks(l, code) == "" {
					continue
				}
				l = shrink(l, func(l *Data) bool { return p.breaks(l, code) != "" })
				text, _ := json.MarshalIndent(l, "", " ")
				t.Errorf("%v, seed %d: %s: %s\n%s", code, seed, p.name, p.breaks(l, code), text)
				break
			}
		}
	}
}

// TestPropertiesOfStoredLayouts holds the properties over the layouts on file, where chance
// would seldom come by them.
func TestPropertiesOfStoredLayouts(t *testing.T) {
	codes, _ := ratedCodes(t)
	files, err := filepath.Glob("testdata/sized/*.json")
	if err != nil || len(files) == 0 {
		t.Fatal("no layouts", err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		l, err := parse(name, data)
		if err != nil {
			t.Fatal(err)
		}
		for _, code := range codes {
			for _, p := range layoutProperties {
				if says := p.breaks(l, code); says != "" {
					t.Errorf("%s: %v: %s: %s", name, code, p.name, says)
				}
			}
		}
	}
}
