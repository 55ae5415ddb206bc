package supply

import (
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type pipeByLoadRow struct {
	PressureMin units.Pressure            `table:"pressure_min"`
	Meter       units.Length              `table:"meter"`
	Size        units.Length              `table:"size"`
	Length      units.Length              `table:"length"`
	Load        tables.Cell[FixtureUnits] `table:"load"`
}

// PipeByLoad is a meter and pipe chosen from a table of greatest loads.
type PipeByLoad struct {
	Meter    units.Length    `json:"meter"`
	Size     units.Length    `json:"size"`
	MaxLoad  CodeLoad        `json:"max_load"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// PipeByLoad returns the first meter and pipe of the code's table whose greatest
// load holds the load, in the group of the pressure and at the developed length to
// the farthest outlet, equal or next longer; nothing is read between rows. least
// leaves out smaller pipes, such as 3/4 in for a building supply. The pressure is
// what the code asks to be used there, after its allowance for height. A pressure
// under the lowest group, a length beyond the table and a load beyond its last row
// are [tables.ErrOutsideTable].
func (c *Code) PipeByLoad(pressure units.Pressure, length units.Length, load FixtureUnits,
	least units.Length) (PipeByLoad, error) {
	c = c.there()
	if c.byLoad.Len() == 0 {
		return PipeByLoad{}, c.missing("pipe by load")
	}
	if !load.Valid() {
		return PipeByLoad{}, load.Check()
	}
	if math.IsNaN(float64(pressure)) || length < 0 {
		return PipeByLoad{}, fmt.Errorf("%w: pressure %v, length %v, load %s", tables.ErrQuery, pressure, length,
			load.In(c.unit))
	}
	rows := c.byLoad
	id := rows.Table().ID()
	psi := roundTo(float64(pressure / units.PoundForcePerSquareInch))
	group, column, longest := units.Pressure(-1), units.Length(-1), units.Length(0)
	for _, r := range rows.All() {
		if roundTo(float64(r.PressureMin/units.PoundForcePerSquareInch)) <= psi && r.PressureMin > group {
			group = r.PressureMin
		}
		longest = max(longest, r.Length)
		if r.Length >= length && (column < 0 || r.Length < column) {
			column = r.Length
		}
	}
	if group < 0 {
		return PipeByLoad{}, fmt.Errorf("%w: pressure %v: %s starts at %v", tables.ErrOutsideTable, pressure, id,
			rows.At(0).PressureMin)
	}
	if column < 0 {
		return PipeByLoad{}, fmt.Errorf("%w: length %v is beyond %s, which ends at %v", tables.ErrOutsideTable, length, id,
			longest)
	}
	var most FixtureUnits
	for i, r := range rows.All() {
		if r.PressureMin != group || r.Length != column || r.Size < least {
			continue
		}
		max, ok := r.Load.Get()
		if !ok {
			continue
		}
		if load <= max {
			return PipeByLoad{r.Meter, r.Size, c.counted(max), rows.Cite(i)}, nil
		}
		if max > most {
			most = max
		}
	}
	return PipeByLoad{}, fmt.Errorf("%w: load %s: %s ends at %s for this pressure and length", tables.ErrOutsideTable,
		load.In(c.unit), id, most.In(c.unit))
}

// LoadSize is the meter and pipe that a code's table of greatest loads gives a whole layout,
// beside the sizes worked out; see [Analysis.ByLoad].
type LoadSize struct {
	Point    string         `json:"point"`    // whose run is the supply of the building
	Load     CodeLoad       `json:"load"`     // on it
	Pressure units.Pressure `json:"pressure"` // that the table is entered with
	Length   units.Length   `json:"length"`   // developed, to the farthest outlet
	// Valves says that the supply feeds flush valves, and that the code has no loads that fall
	// with their number, by which such a table is entered. Its loads are then those of flush
	// tanks: 32 units on a meter of 3/4 in and 80 on one of 1 in are 24 and 38 gpm by the tank
	// column, and by that of valves 43 and 61, beyond what such meters are rated for.
	Valves bool `json:"valves,omitzero"`
	PipeByLoad
}

// ByLoad reads the meter and the building supply of the layout off the code's table of
// greatest loads: the load of the run from the source, the developed length to the farthest
// outlet, and the pressure of the source less the code's allowance for the height of the
// highest outlet and less what devices on the way there take, but for the meter, which is in
// the table. Behind a regulator the code's share of its set pressure counts. The table is
// another way to size than the analysis, and neither proves the other. A code without such a
// table is [tables.ErrNotInCode]; a layout beside it [tables.ErrOutsideTable].
func (a *Analysis) ByLoad() (LoadSize, error) {
	if err := a.made(); err != nil {
		return LoadSize{}, err
	}
	l := a.layout
	root := l.order[0]
	if len(l.order) > 1 && l.parent[l.order[1]] < 0 {
		return LoadSize{}, fmt.Errorf("%w: more than one line leaves the source", tables.ErrOutsideTable)
	}
	out := LoadSize{Point: l.data.Points[root].ID, Load: a.code.counted(a.runs[root].Load),
		Valves: a.runs[root].System == ValveSystem && len(a.code.ladders) == 0}
	share := 1.0
	if r, ok := a.code.Rule("regulated-share"); ok {
		if x, ok := r.Number(); ok {
			share = x / 100
		}
	}
	length, left := make([]units.Length, l.Len()), make([]units.Pressure, l.Len())
	highest, first := units.Length(0), true
	out.Pressure = a.street
	for _, i := range l.order {
		length[i], left[i] = l.data.Points[i].Length, a.street
		if p := l.parent[i]; p >= 0 {
			length[i], left[i] = length[i]+length[p], left[p]
		}
		switch d := l.data.Points[i].Device; {
		case d.regulator():
			left[i] = min(left[i], units.Pressure(share*float64(d.Set)))
		case d.booster():
			left[i] = d.held(left[i], a.runs[i].Flow)
		case d != nil && d.Kind != "meter":
			left[i] -= a.runs[i].Device
		}
		if len(l.FixturesAt(int(i))) == 0 {
			continue
		}
		out.Length = max(out.Length, length[i])
		// Of those that are highest the one with least before it, whichever is listed first.
		if up := a.runs[i].Elevation; first || up > highest || up == highest && left[i] < out.Pressure {
			highest, first, out.Pressure = up, false, left[i]
		}
	}
	perMetre, _ := a.worked.height()
	out.Pressure -= units.Pressure(perMetre * max(highest, 0).Metres())
	least, _, _ := ruled[units.Length](a.code, "service-size-min")
	var err error
	out.PipeByLoad, err = a.code.PipeByLoad(out.Pressure, out.Length, out.Load.FixtureUnits, least)
	return out, err
}

// height is what a metre of height costs: as the code's appendix prices it, by the row cited, or the weight
// of the water.
func (h *calculation) height() (perMetre float64, cite tables.Citation) {
	if r, _ := h.c.Rule("elevation-pressure"); r.Unit == "psi/ft" {
		if x, ok := r.Number(); ok {
			return x * float64(units.PoundForcePerSquareInch) / units.Foot.Metres(), r.Cite
		}
	}
	return h.weight(Cold), tables.Citation{}
}

type manifoldRow struct {
	Velocity units.Velocity `table:"velocity"`
	Size     units.Length   `table:"size"`
	Flow     units.Flow     `table:"flow"`
}

// manifold returns the least inside diameter that the code's table gives a manifold for a flow,
// in its column of the greatest velocity that does not pass the limit, zero if its greatest
// carries less; false if it has no such column.
func (c *Code) manifold(flow units.Flow, limit units.Velocity) (units.Length, tables.Citation, bool) {
	if c.manifolds == nil {
		return 0, tables.Citation{}, false
	}
	column := units.Velocity(0)
	for _, r := range c.manifolds.All() {
		if within(r.Velocity, limit) {
			column = max(column, r.Velocity)
		}
	}
	var last tables.Citation
	for i, r := range c.manifolds.All() {
		if r.Velocity != column {
			continue
		}
		if roundTo(float64(flow)*1e6) <= roundTo(float64(r.Flow)*1e6) {
			return r.Size, c.manifolds.Cite(i), true
		}
		last = c.manifolds.Cite(i)
	}
	return 0, last, column > 0
}

type hotLengthRow struct {
	Outlet string       `table:"outlet"`
	Size   units.Length `table:"size"`
	Length units.Length `table:"length"`
}

// HotLength is the greatest length of pipe from heated water to an outlet.
type HotLength struct {
	Length units.Length `json:"length"`
	// Beyond says that the pipe is larger than the last row, whose length is given: a larger
	// pipe holds more, so that no more than that can be meant.
	Beyond   bool            `json:"beyond,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// HotLength returns the greatest length of pipe of a nominal size from heated
// water to an outlet, from the energy table of the code's family. publicLavatory
// asks for the stricter column. A size between two rows takes the greater one, none at
// all (0) the least; one beyond the table takes its last row and says so. A negative size is
// [tables.ErrQuery], a code without such a table [tables.ErrNotInCode].
func (c *Code) HotLength(size units.Length, publicLavatory bool) (HotLength, error) {
	c = c.there()
	if c.hotLength == nil {
		return HotLength{}, c.missing("greatest hot pipe lengths")
	}
	if size < 0 {
		return HotLength{}, fmt.Errorf("%w: size %v", tables.ErrQuery, size)
	}
	outlet := "other"
	if publicLavatory {
		outlet = "public-lavatory"
	}
	last := -1
	for i, r := range c.hotLength.All() {
		if r.Outlet != outlet {
			continue
		}
		last = i
		if r.Size >= size {
			break
		}
	}
	if last < 0 {
		return HotLength{}, c.missing("greatest hot pipe lengths")
	}
	r := c.hotLength.At(last)
	return HotLength{r.Length, size > r.Size, c.hotLength.Cite(last)}, nil
}

type unitPipeRow struct {
	Material string                    `table:"material"`
	Bore     units.Length              `table:"bore"`
	Units    FixtureUnits              `table:"units"`
	Pipe     string                    `table:"pipe"`
	Single   tables.Cell[FixtureUnits] `table:"single"`
	Length   tables.Cell[units.Length] `table:"length"`
}

// unitPipes are the pipes of a code by material and rising bore.
type unitPipes struct {
	rows *tables.Rows[unitPipeRow]
	// single is the greatest load of one outlet that a bore may carry: a bore has
	// several rows, by length, and one of them gives it.
	single map[unitPipeKey]FixtureUnits
}

type unitPipeKey struct {
	material string
	bore     units.Length
}

func (c *Code) loadPipeByUnits(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[unitPipeRow](shelf, id)
	if err != nil {
		return err
	}
	t := &unitPipes{rows, map[unitPipeKey]FixtureUnits{}}
	for _, r := range rows.All() {
		key := unitPipeKey{r.Material, r.Bore}
		if v, ok := r.Single.Get(); ok && v > t.single[key] {
			t.single[key] = v
		}
	}
	c.byUnits = t
	return nil
}

// sizesByUnits reports whether loads of the code become pipes without becoming
// flows first.
func (c *Code) sizesByUnits() bool {
	return c.byUnits != nil && c.curves == [2]*demandCurve{} && c.peak == nil
}

// UnitPipe is a pipe chosen by loading units.
type UnitPipe struct {
	Pipe     string          `json:"pipe"` // outside diameter and wall, or DN
	Bore     units.Length    `json:"bore"`
	MaxUnits CodeLoad        `json:"max_units"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// PipeForUnits returns the smallest pipe of a material that carries a sum of loading
// units, among them a greatest single one, over a length, by the simplified method
// of the code; simultaneous use is in the table. The length counts only where the
// table limits it.
func (c *Code) PipeForUnits(material string, sum, greatest FixtureUnits, length units.Length) (UnitPipe, error) {
	c = c.there()
	if c.byUnits == nil {
		return UnitPipe{}, c.missing("pipe by loading units")
	}
	for _, u := range [...]FixtureUnits{sum, greatest} {
		if !u.Valid() {
			return UnitPipe{}, u.Check()
		}
	}
	if greatest > sum || length < 0 {
		return UnitPipe{}, fmt.Errorf("%w: sum %s, greatest %s, length %v", tables.ErrQuery, sum.In(c.unit),
			greatest.In(c.unit), length)
	}
	pipe, err := c.byUnits.choose(c, material, sum, greatest, func(units.Length) units.Length { return length })
	if err != nil {
		return UnitPipe{}, err // and not the greatest there is
	}
	return pipe, nil
}

// choose returns the first row that fits; length is that of the pipe if it has a bore.
// Where none is great enough the greatest comes with the error.
func (t *unitPipes) choose(c *Code, material string, sum, greatest FixtureUnits,
	length func(bore units.Length) units.Length) (UnitPipe, error) {
	last := -1
	var names []string
	for i, r := range t.rows.All() {
		if n := len(names); n == 0 || names[n-1] != r.Material {
			names = append(names, r.Material)
		}
		if r.Material != material {
			continue
		}
		last = i
		if sum > r.Units {
			continue
		}
		if most, ok := t.single[unitPipeKey{material, r.Bore}]; ok && greatest > most {
			continue
		}
		if most, ok := r.Length.Get(); ok && length(r.Bore) > most {
			continue
		}
		return UnitPipe{r.Pipe, r.Bore, c.counted(r.Units), t.rows.Cite(i)}, nil
	}
	if last < 0 {
		return UnitPipe{}, fmt.Errorf("%w: material %q: %s has %s", tables.ErrNotInCode, visible.Shorten(material),
			t.rows.Table().ID(), shortList(names))
	}
	r := t.rows.At(last)
	return UnitPipe{r.Pipe, r.Bore, c.counted(r.Units), t.rows.Cite(last)},
		fmt.Errorf("%w: %s is more than the greatest %s of %s carries", tables.ErrOutsideTable, sum.In(c.unit), material,
			t.rows.Table().ID())
}

// unitSizes finds the pipes that loading units ask for, run by run.
type unitSizes struct {
	c     *Code
	l     *Layout
	pipes []UnitPipe
	why   []error // why the table has no pipe for a run; where its load is too great pipes holds the greatest
	// below holds, by point, how far pipe of a bore reaches from there toward the
	// outlets, for each bore that a run it feeds needs.
	below [][]reach
}

type reach struct{ bore, length units.Length }

func newUnitSizes(c *Code, l *Layout) *unitSizes {
	return &unitSizes{c, l, make([]UnitPipe, l.Len()), make([]error, l.Len()), make([][]reach, l.Len())}
}

// size finds the pipe of a run; those it feeds come first. A limit of the table on the
// length of a pipe is taken to hold for the whole of its bore: from the upper end of
// the run, on through the runs it feeds that need no other.
func (u *unitSizes) size(i int, material string, load, single FixtureUnits) {
	if load == 0 {
		return
	}
	length := func(bore units.Length) units.Length {
		longest := units.Length(0)
		for _, r := range u.below[i] {
			if r.bore == bore {
				longest = r.length
			}
		}
		return u.l.data.Points[i].Length + longest
	}
	pipe, err := u.c.byUnits.choose(u.c, material, load, single, length)
	if u.pipes[i], u.why[i] = pipe, err; err != nil && pipe.Bore == 0 {
		return
	}
	if p := u.l.parent[i]; p >= 0 {
		mine := reach{pipe.Bore, length(pipe.Bore)}
		for k := range u.below[p] {
			if r := &u.below[p][k]; r.bore == mine.bore {
				r.length = max(r.length, mine.length)
				return
			}
		}
		u.below[p] = append(u.below[p], mine)
	}
}
