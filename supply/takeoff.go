package supply

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TakeOffOptions sets the allowances of a material list.
type TakeOffOptions struct {
	WastePercent int // added to the length of pipe, 0 to 100
}

// TakeOff is the material list of a layout.
type TakeOff struct {
	Lines []TakeOffLine `json:"lines"`
}

// TakeOffLine is one line of a material list.
type TakeOffLine struct {
	Kind string       `json:"kind"`           // pipe, fitting, device, insulation or sleeve
	Item string       `json:"item"`           // family of pipe, name of the fitting, kind of the device
	Pipe string       `json:"pipe,omitempty"` // family a fitting or insulation goes on
	Size units.Length `json:"size,omitzero"`
	// Wall is that of pipe whose standard makes the size in several walls; zero for others.
	Wall units.Length `json:"wall,omitzero"`
	// Name is what pipe in millimetres is called, as [PipeFamily.MetricName] has it; empty
	// for others.
	Name   string       `json:"name,omitempty"`
	Length units.Length `json:"length,omitzero"` // of pipe and insulation, as laid
	Gross  units.Length `json:"gross,omitzero"`  // of pipe, with waste
	Count  int          `json:"count,omitzero"`
}

// TakeOff lists what the layout is made of: pipe by family and size, fittings,
// devices, insulation and sleeves. Lengths are developed lengths as laid out, with the waste
// beside them in Gross; hangers and supports are not counted. Fittings are those that the runs
// name: none is inferred, and a [Data.FittingsAllowance] stands for losses and lists nothing.
func (a *Analysis) TakeOff(opt TakeOffOptions) (*TakeOff, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	if opt.WastePercent < 0 || opt.WastePercent > 100 {
		return nil, argument.Outside("waste", strconv.Itoa(opt.WastePercent)+" percent", "between 0 and 100")
	}
	list := a.lines()
	for i := range list {
		if line := &list[i]; line.Kind == "pipe" {
			line.Gross = line.Length + (line.Length*units.Length(opt.WastePercent)+99)/100
		}
	}
	return &TakeOff{Lines: list}, nil
}

// lines are the lines of the material list, without allowance for waste.
func (a *Analysis) lines() []TakeOffLine {
	l := a.layout
	type key struct {
		kind, item, pipe string
		size, thickness  units.Length
		wall             units.Length
	}
	sums := map[key]*TakeOffLine{}
	name, wall := askedOnce(a.metricName), askedOnce(a.wallOf)
	add := func(k key, length units.Length, count int) {
		line := sums[k]
		if line == nil {
			line = &TakeOffLine{Kind: k.kind, Item: k.item, Pipe: k.pipe, Size: k.size, Wall: k.wall}
			switch k.kind {
			case "pipe":
				line.Name = name(k.item, k.size)
			case "fitting", "insulation", "device":
				line.Name = anyWall(name(k.pipe, k.size))
			}
			sums[k] = line
		}
		line.Length += length
		line.Count += count
	}
	for i := range a.runs {
		p, r := &l.data.Points[i], &a.runs[i]
		add(key{kind: "pipe", item: r.family.id, size: r.Size, wall: wall(r.family.id, r.Size)}, p.Length, 0)
		for _, t := range p.Fittings {
			add(key{kind: "fitting", item: t.Fitting, pipe: r.family.id, size: r.Size}, 0, t.Count)
		}
		if d := p.Device; d != nil {
			add(key{kind: "device", item: d.Kind, size: max(d.Size, 0)}, 0, 1)
		}
		if p.Manifold {
			k := key{kind: "device", item: fmt.Sprintf("manifold of %d outlets", l.kids[i]), size: r.Size}
			if r.family.metric {
				k.pipe = r.family.id // which its size is called by
			}
			add(k, 0, 1)
		}
		if n := p.Insulation; n != nil {
			add(key{kind: "insulation", item: a.system().size(n.Thickness).String(), pipe: r.family.id, size: r.Size,
				thickness: n.Thickness}, p.Length, 0)
		}
	}
	for i := range l.data.Links {
		k := &l.data.Links[i]
		pipe := l.linkPipeName(k)
		add(key{kind: "pipe", item: pipe, size: k.Size, wall: wall(pipe, k.Size)}, k.Length, 0)
		for _, t := range k.Fittings {
			add(key{kind: "fitting", item: t.Fitting, pipe: pipe, size: k.Size}, 0, t.Count)
		}
	}
	for i := range l.data.Sleeves {
		s := &l.data.Sleeves[i]
		add(key{kind: "sleeve", item: "sleeve", size: s.Bore}, s.Length, 1)
	}
	list := make([]TakeOffLine, 0, len(sums))
	for _, line := range sums {
		list = append(list, *line)
	}
	sortLines(list)
	return list
}

// sortLines puts pipe first, then fittings, devices, insulation and sleeves.
func sortLines(list []TakeOffLine) {
	order := map[string]int{"pipe": 0, "fitting": 1, "device": 2, "insulation": 3, "sleeve": 4}
	slices.SortFunc(list, func(x, y TakeOffLine) int {
		return cmp.Or(cmp.Compare(order[x.Kind], order[y.Kind]), cmp.Compare(x.Pipe, y.Pipe),
			cmp.Compare(x.Item, y.Item), cmp.Compare(x.Size, y.Size))
	})
}

// wallOf is the wall of a size of a family that makes it in several; zero if it makes
// it in one.
func (a *Analysis) wallOf(pipe string, size units.Length) units.Length {
	all, err := a.code.Pipe(pipe)
	if err != nil {
		return 0
	}
	n := 0
	for i := range all.sizes {
		if all.sizes[i].Size == size {
			n++
		}
	}
	one, err := a.layout.family(a.code, pipe)
	if err != nil || n < 2 {
		return 0
	}
	if i := one.size(size); i >= 0 {
		return one.sizes[i].wall()
	}
	return 0
}

// TestPlan is what a pressure test of the lines takes.
type TestPlan struct {
	Stated *PressureTest `json:"stated,omitempty"` // of the options or the layout, nil if none
	// Working is the greatest static pressure, WorkingAt the point or the source where it
	// stands.
	Working   units.Pressure `json:"working"`
	WorkingAt string         `json:"working_at"`
	// Least is what the code asks with water, Air with air; zero: not given.
	Least         units.Pressure  `json:"least,omitzero"`
	Air           units.Pressure  `json:"air,omitzero"`
	LeastCitation tables.Citation `json:"least_citation,omitzero"`
	AirCitation   tables.Citation `json:"air_citation,omitzero"`
	// Lowest and Highest are the points, or the source, that lie so; AtLowest and AtHighest
	// the pressures there when the test pressure stands at the source.
	Lowest    string         `json:"lowest"`
	Highest   string         `json:"highest"`
	AtLowest  units.Pressure `json:"at_lowest,omitzero"`
	AtHighest units.Pressure `json:"at_highest,omitzero"`
	Volume    units.Volume   `json:"volume"`            // to fill the lines
	Plastic   []string       `json:"plastic,omitempty"` // families of plastic pipe in the lines
	Duration  units.Duration `json:"duration,omitzero"`
}

// TestOptions sets what the pressure test is to be.
type TestOptions struct {
	// Test is the test in place of the layout's; nil: as the layout states it.
	Test *PressureTest
}

// TestPlans works out the pressure test: one of the whole layout, with the gauge at the
// source.
func (a *Analysis) TestPlans(opt TestOptions) ([]TestPlan, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	if opt.Test != nil {
		var errs []error
		opt.Test.check(func(field string, err error) { errs = append(errs, fmt.Errorf("test: %s: %w", field, err)) })
		if err := errors.Join(errs...); err != nil {
			return nil, err
		}
	}
	return []TestPlan{a.testPlan(opt)}, nil
}

// testPlan is the only test of a layout.
func (a *Analysis) testPlan(opt TestOptions) TestPlan {
	src := &a.layout.data.Source
	t := TestPlan{Stated: cmp.Or(opt.Test, a.layout.data.Test), Working: max(src.Static, src.Pressure),
		WorkingAt: src.ID, Lowest: src.ID,
		Highest: src.ID}
	lowest, highest := units.Length(0), units.Length(0)
	for i := range a.runs {
		r := &a.runs[i]
		id := a.layout.data.Points[i].ID
		t.Volume += r.volume()
		if inPSI(r.Static) > inPSI(t.Working) {
			t.Working, t.WorkingAt = r.Static, id
		}
		if r.Elevation < lowest {
			lowest, t.Lowest = r.Elevation, id
		}
		if r.Elevation > highest {
			highest, t.Highest = r.Elevation, id
		}
		if id := r.family.id; plastics[r.family.material] && !slices.Contains(t.Plastic, id) {
			t.Plastic = append(t.Plastic, id)
		}
	}
	slices.Sort(t.Plastic)
	if r, ok := a.code.Rule("test-pressure"); ok {
		if x, ok := r.Number(); ok {
			t.Least, t.LeastCitation = t.Working*units.Pressure(x), r.Cite
		}
	}
	if r, ok := a.code.Rule("test-air"); ok && r.Into(&t.Air) {
		t.AirCitation = r.Cite
	}
	t.Duration, _, _ = ruled[units.Duration](a.code, "test-duration")
	if t.Stated != nil {
		t.AtLowest, t.AtHighest = t.Stated.Pressure, t.Stated.Pressure
		if t.Stated.Medium == "water" {
			weight := a.worked.weight(Cold)
			t.AtLowest -= units.Pressure(weight * lowest.Metres())
			t.AtHighest -= units.Pressure(weight * highest.Metres())
		}
	}
	return t
}

// anyWall is what goes with tube of a name in any wall: 22 mm of 22 x 1.0 mm.
func anyWall(name string) string {
	if outside, _, walled := strings.Cut(name, " x "); walled {
		return outside + " mm"
	}
	return name
}

// metricName is what a size of pipe in millimetres is called; empty for others.
func (a *Analysis) metricName(pipe string, size units.Length) (name string) {
	if f, err := a.layout.family(a.code, pipe); err == nil {
		name, _ = f.MetricName(size)
	}
	return name
}

// askedOnce remembers what is asked of each size of pipe.
func askedOnce[T any](ask func(pipe string, size units.Length) T) func(string, units.Length) T {
	known := map[priceKey]T{}
	return func(pipe string, size units.Length) T {
		answer, ok := known[priceKey{pipe, size}]
		if !ok {
			answer = ask(pipe, size)
			known[priceKey{pipe, size}] = answer
		}
		return answer
	}
}
