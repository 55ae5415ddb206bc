package supply

import (
	"context"
	"encoding/json"
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Layout is a water system: a source, a tree of points fed from it, the fixtures
// at its ends and what else bears on it. Read one with [Parse], or fill in
// [Data] and call [New]. A Layout does not change and may be used by
// many at once.
type Layout struct {
	data Data

	index    map[string]int32 // of points by id
	parent   []int32          // of each point; -1: fed by the source
	order    []int32          // points, each after the one that feeds it
	service  []Service        // of each run
	cold     []int32          // point of each fixture's cold port, or -1
	hot      []int32          // point of each fixture's hot port, or -1
	firstFix []int32          // fixtures by point: portFix[firstFix[i]:firstFix[i+1]]
	portFix  []int32
	into     []int32 // by loop, the loop on whose return it runs into that; -1 if it does not
	kids     []int32 // how many points each point feeds
	rise     []units.Length
	level    []units.Length // of each point over the datum; nil: the layout states no elevation
	sourceAt units.Length   // elevation of the source, if level is there
	place    []*Position    // of each point on plan, nil: not known; nil where none is
	heaterOf []int32        // nearest heater at or above each hot point, or -1
	mixer    []int32        // the mixing valve that limits the water behind each point, or -1; nil: none does
	rings    []ringMain     // that its links close
	inRing   []int32        // the one that each run is part of, or -1; nil: no links
}

// Data is the content of a layout as it stands in a file. Quantities are
// text with a unit there.
type Data struct {
	Name   string `json:"name,omitzero" read:"free"`
	Source Source `json:"source" read:"need"`
	Water  Waters `json:"water" read:"need"`
	// Building is the kind of building, such as residential, for codes whose demand
	// goes by it; [Code.Buildings] lists those of a code.
	Building string `json:"building,omitzero"`
	// FittingsAllowance is the share of their length that is added to runs and links that
	// name no fittings, such as 0.5 for half as much again, from 0 to 3. Zero: nothing is
	// added, and a check says so.
	FittingsAllowance float64 `json:"fittings_allowance,omitzero"`
	// CapAtOutlets is [Options.CapAtOutlets], said by the layout.
	CapAtOutlets bool `json:"cap_at_outlets,omitzero"`
	// Pipe names the family of pipe for runs that name none, by line.
	Pipe LinePipes `json:"pipe,omitzero"`
	// Defaults are what fixtures and runs have that do not say it themselves.
	Defaults *Defaults `json:"defaults,omitempty"`
	// Stock lists, by family, the sizes that runs may be given; a family that is not
	// there comes in the sizes that counters sell. A drawn size need not be in stock.
	Stock         []Stock         `json:"stock,omitzero" item:"stock"`
	Points        []Point         `json:"points" read:"need" item:"point"`
	Fixtures      []LayoutFixture `json:"fixtures,omitzero" item:"fixture"`
	Sleeves       []Sleeve        `json:"sleeves,omitzero" item:"sleeve"`
	Recirculation []Loop          `json:"recirculation,omitzero" item:"recirculation"`
	Links         []Link          `json:"links,omitzero" item:"link"`
	Test          *PressureTest   `json:"test,omitzero"`
}

// Source is where the water comes from: the street main, a well tank.
type Source struct {
	ID string `json:"id" read:"need"`
	// Pressure is there while the building draws its demand. Of a well with a pressure tank
	// it is the cut-in, below which the pump starts.
	Pressure units.Pressure `json:"pressure" read:"need"`
	// Static is the greatest pressure while nothing flows, the cut-out of a well. Zero: as
	// Pressure.
	Static units.Pressure `json:"static,omitzero"`
	// ResidualFlow is the flow at which Pressure was measured in the street beside Static;
	// the pressure while the building draws then follows from both, see [StreetPressure].
	ResidualFlow units.Flow `json:"residual_flow,omitzero"`
	// At is its place on plan, Elevation its height over any datum.
	At        *Position     `json:"at,omitempty"`
	Elevation *units.Length `json:"elevation,omitempty"`
}

// Position is a place on plan, by any two axes at right angles: x to the right,
// y ahead: a [plan.Position], one type for drains and water.
type Position = plan.Position

// Bearing is a direction on plan, clockwise from ahead (the y axis), in whole
// thousandths of a degree. The zero Bearing is no bearing; [Degrees](0) is ahead. It is a
// [plan.Bearing], one type for drains and water.
type Bearing = plan.Bearing

// ErrBearing is wrapped by every error about a bearing.
var ErrBearing = plan.ErrBearing

// Degrees makes a bearing from degrees, to the nearest thousandth.
func Degrees(x float64) Bearing { return plan.Degrees(x) }

// Waters are the temperatures that the properties of water are taken at, and of
// the air about the hot lines.
type Waters struct {
	Cold    units.Temperature `json:"cold" read:"need"`
	Hot     units.Temperature `json:"hot,omitzero"`
	Ambient units.Temperature `json:"ambient,omitzero"`
}

// LinePipes are pipe families by line, such as "copper-l".
type LinePipes struct {
	Cold   string `json:"cold,omitzero"`
	Hot    string `json:"hot,omitzero"`
	Recirc string `json:"recirc,omitzero"`
}

// Defaults are said once for many fixtures and runs.
type Defaults struct {
	Use        tables.Use  `json:"use,omitzero"`         // who uses the fixtures
	Insulation *Insulation `json:"insulation,omitempty"` // of hot lines and returns that are not bare
	// BelowSlab is of every run that is not above the slab.
	BelowSlab bool `json:"below_slab,omitzero"`
}

// Stock is the sizes of a family of pipe that runs may be given.
type Stock struct {
	Pipe  string         `json:"pipe" read:"need"`
	Sizes []units.Length `json:"sizes" read:"need"`
	// Walls are those of Sizes, in their order, for a family whose standard makes a size
	// in several walls, as EN 1057 does; drawn runs of the size have them too. Where
	// none is stated the thickest that counters sell counts, for its bore is the least.
	Walls []units.Length `json:"walls,omitzero"`
}

// Point is a place in the tree together with the run of pipe that feeds it.
type Point struct {
	ID string `json:"id" read:"need"`
	// From is the point, or the source, that feeds it.
	From string `json:"from" read:"need"`
	// Line is cold, hot or recirc; empty: as the point that feeds it, and hot below
	// a heater. A recirculation return states recirc.
	Line string `json:"line,omitzero"`
	// Length is the developed length of the run, in a file "plan" for that of a straight run
	// between the places of its ends, with its rise; Rise is how far this point is above
	// the one that feeds it.
	Length units.Length `json:"length" read:"need,word=plan"`
	Rise   units.Length `json:"rise,omitzero"`
	// At is the place of the point, nil if it is not known: with that of the point which feeds
	// it, who has the drains at hand too can measure how far the run lies from them. Elevation is its
	// height over the datum
	// of the source: a rise that is not stated follows from it. Bearing is the direction of the run
	// on plan, which with its length places a point without coordinates.
	At        *Place        `json:"at,omitempty"`
	Elevation *units.Length `json:"elevation,omitempty"`
	Bearing   Bearing       `json:"bearing,omitzero"`
	// Pipe is the family, such as "copper-l"; Size the nominal size, zero: size it.
	Pipe       string        `json:"pipe,omitzero"`
	Size       units.Length  `json:"size,omitzero"`
	Fittings   []FittingItem `json:"fittings,omitzero" item:"fitting"`
	Insulation *Insulation   `json:"insulation,omitzero"`
	// Bare says that a hot run has no insulation though others have it by default.
	Bare bool `json:"bare,omitzero"`
	// Traced says that a cable along a hot run keeps the water in it warm, as a recirculation does.
	Traced bool `json:"traced,omitzero"`
	// Sleeve is the id of the sleeve the run lies in.
	Sleeve string `json:"sleeve,omitzero"`
	// BelowSlab says that the run lies in the ground below the slab; AboveSlab that it does not
	// though others do by default.
	BelowSlab bool `json:"below_slab,omitzero"`
	AboveSlab bool `json:"above_slab,omitzero"`
	// Beside says how far the run lies clear of a drain or sewer along it, and over it.
	Beside *Separation `json:"beside_drain,omitzero"`
	Device *Device     `json:"device,omitzero"`
	// Continuous is a flow drawn here without end, such as a trap primer or make-up;
	// it is added after loads are turned into flow.
	Continuous units.Flow `json:"continuous,omitzero"`
	// Needs is the least flowing pressure that what is drawn here without end asks.
	Needs units.Pressure `json:"needs,omitzero"`
	// Manifold says that a manifold stands here, from which home runs go, each to one outlet.
	Manifold bool `json:"manifold,omitzero"`
}

// Place is a place by the axes of a job: x to the right and y ahead on plan, and how far the
// centre of the pipe lies below the finished floor.
type Place struct {
	X     units.Length `json:"x" read:"need"`
	Y     units.Length `json:"y" read:"need"`
	Below units.Length `json:"below_floor,omitzero"`
}

// FittingItem is a kind of fitting on a run. Its loss is that of a length of pipe
// from the table of the pipe family, or the length or the coefficient k stated here.
type FittingItem struct {
	Fitting string       `json:"fitting" read:"need"`
	Count   int          `json:"count" read:"need,from=1,to=10000"`
	Length  units.Length `json:"length,omitzero"`
	K       float64      `json:"k,omitzero"`
	// NoJoint says that the item makes no joint in the pipe, as a formed bend.
	NoJoint bool `json:"no_joint,omitzero"`
}

// Insulation is what a hot run is wrapped in.
type Insulation struct {
	Thickness    units.Length       `json:"thickness" read:"need"`
	Conductivity units.Conductivity `json:"conductivity" read:"need"`
}

// Separation is the clear distance between a water run and a drain along it.
type Separation struct {
	Clear units.Length `json:"clear" read:"need"`
	// Above is how far the bottom of the water line is over the top of the drain.
	Above units.Length `json:"above,omitzero"`
	// Listed says that the drain is of material approved inside buildings. NotListed says
	// that it is not, written as listed false; without either a check asks where the
	// distance alone does not do.
	Listed    bool `json:"listed,omitzero" read:"zero=NotListed"`
	NotListed bool `json:"-"`
	// Drain names the drain, for texts.
	Drain string `json:"drain,omitzero" read:"free"`
}

// Device is something that costs pressure at the end of a run, or sets it.
type Device struct {
	// Kind is meter, tap (of the main), regulator, booster, check-valve, expansion-tank,
	// storage-heater, tankless-heater, or another kind of the shelf's table of typical losses
	// (reduced-pressure, double-check, softener, filter, mixing-valve, ...), or other
	// with a loss stated. Another word is a fault.
	Kind string       `json:"kind" read:"need"`
	Size units.Length `json:"size,omitzero"` // of a meter, tap or backflow preventer
	// Loss is a fixed loss; Curve a loss by flow, straight lines between points.
	Loss  units.Pressure `json:"loss,omitzero" read:"zero=NoLoss"`
	Curve []CurvePoint   `json:"curve,omitzero" item:"curve point"`
	// NoLoss says that the device takes nothing, written as a loss of zero; without it
	// and a loss the tables of the shelf answer.
	NoLoss bool `json:"-"`
	// Set and FallOff are of a regulator: its pressure without flow, and how far it
	// falls at the design flow. Holds, in place of FallOff, is the pressure behind it by
	// flow, from its maker's chart: straight lines between points, from Set at no flow.
	//
	// Of a booster pump Set is the least pressure behind it, at which it starts, and CutOut
	// the greatest, at which it stops; zero: as Set.
	Set     units.Pressure `json:"set,omitzero"`
	FallOff units.Pressure `json:"fall_off,omitzero"`
	Holds   []HeldPoint    `json:"holds,omitzero" item:"held point"`
	CutOut  units.Pressure `json:"cut_out,omitzero"`
	// Volume is the water that a storage heater holds, or that of an expansion tank as its
	// maker gives it.
	Volume units.Volume `json:"volume,omitzero"`
	// Temperature is what a mixing valve lets through at most; the water behind it is no
	// hotter.
	Temperature units.Temperature `json:"temperature,omitzero"`
}

// CurvePoint is a point of a device's curve.
type CurvePoint struct {
	Flow units.Flow     `json:"flow" read:"need"`
	Loss units.Pressure `json:"loss" read:"need"`
}

// HeldPoint is a point of the chart of a regulator: the pressure behind it at a flow.
type HeldPoint struct {
	Flow     units.Flow     `json:"flow" read:"need"`
	Pressure units.Pressure `json:"pressure" read:"need"`
}

// LayoutFixture is one or more like fixtures with a cold and a hot port, each on
// its own line.
type LayoutFixture struct {
	ID string `json:"id" read:"need"`
	tables.Fixture
	// LoadAs is the fixture whose load this one takes, where the code lists none
	// like it; codes leave that choice to the engineer.
	LoadAs string `json:"load_as,omitzero"`
	// Load is what one puts on the line that feeds all of it, with the unit of the code,
	// such as "3 wsfu" or "2 lu", in place of what the code lists: for a fixture that no
	// table has. Under a code that counts in another unit it plays no part, and a check
	// asks.
	Load string `json:"load,omitzero"`
	Cold string `json:"cold,omitzero"`
	Hot  string `json:"hot,omitzero"`
	// Flow and Pressure are the maker's figures, used in place of the code's.
	Flow     units.Flow     `json:"flow,omitzero"`
	Pressure units.Pressure `json:"pressure,omitzero"`
	// UsageUnit names the room of one household, such as a bathroom, whose outlets one
	// person uses. Codes that add up the flows of outlets take only the greatest few of
	// each unit to run at once; under other codes it plays no part.
	UsageUnit string `json:"usage_unit,omitzero"`
	// Later says that the branch is capped for a fixture to come; it counts.
	Later bool `json:"later,omitzero"`
}

// Sleeve is a pipe that other lines are pulled through, below a slab.
type Sleeve struct {
	ID     string       `json:"id" read:"need"`
	Bore   units.Length `json:"bore" read:"need"`
	Length units.Length `json:"length" read:"need"`
	// Bends counts the quarter bends between two pull points; two eighth bends are one.
	Bends int `json:"bends,omitzero" read:"from=0,to=1000"`
	// Rope is the diameter of the pull rope that must fit beside the lines.
	Rope units.Length `json:"rope,omitzero"`
}

// Loop is a recirculated hot line: from the heater along the hot tree to the point
// where the return begins, and along the return back to the heater.
type Loop struct {
	ID     string `json:"id" read:"need"`
	Heater string `json:"heater" read:"need"`
	// Return is the last point of the return, at the heater or its pump, or where it runs
	// into another return.
	Return string `json:"return" read:"need"`
	// Into is the point of another loop's return that the return runs into, and goes back
	// with; empty: it goes back alone.
	Into string `json:"into,omitzero"`
	// Drop is how far the water may cool on its way round. Flow is the flow kept up;
	// zero: what the heat loss and the drop ask for.
	Drop units.TemperatureDifference `json:"drop,omitzero"`
	Flow units.Flow                  `json:"flow,omitzero"`
}

// Link is a run that joins two points of one line and so closes a ring main: a cold line, or a
// hot one.
type Link struct {
	ID       string        `json:"id" read:"need"`
	Between  [2]string     `json:"between" read:"need"`
	Length   units.Length  `json:"length" read:"need"`
	Pipe     string        `json:"pipe,omitzero"`
	Size     units.Length  `json:"size,omitzero"` // zero: size it, as the rest of its ring
	Fittings []FittingItem `json:"fittings,omitzero" item:"fitting"`
}

// PressureTest is the test that the lines are to stand.
type PressureTest struct {
	Pressure units.Pressure `json:"pressure" read:"need"`
	Medium   string         `json:"medium" read:"need"` // water or air
}

// heater reports whether the device heats water.
func (d *Device) heater() bool {
	return d != nil && (d.Kind == "storage-heater" || d.Kind == "tankless-heater")
}

// booster reports whether the device is a pump that brings up the pressure.
func (d *Device) booster() bool { return d != nil && d.Kind == "booster" }

// parts reports whether what lies behind the device is fed at a pressure of its own.
func (d *Device) parts() bool { return d.regulator() || d.booster() }

// held is the pressure behind a regulator or a booster that a flow reaches at p.
func (d *Device) held(p units.Pressure, flow units.Flow) units.Pressure {
	switch {
	case d.regulator():
		return min(p, d.behind(flow))
	case d.booster():
		return max(p, d.Set)
	}
	return p
}

// behind is the pressure that a regulator or a booster holds at a flow, if it is fed.
func (d *Device) behind(flow units.Flow) units.Pressure {
	if len(d.Holds) == 0 {
		return d.Set - d.FallOff
	}
	fall, _ := d.falls(flow)
	return max(0, d.Set-fall)
}

// falls reads how far a regulator falls off by its chart, and the flow at which that ends
// if it is less.
func (d *Device) falls(flow units.Flow) (fall units.Pressure, beyond units.Flow) {
	return curveAt(len(d.Holds),
		func(i int) (units.Flow, units.Pressure) { return d.Holds[i].Flow, d.Set - d.Holds[i].Pressure }, flow)
}

// regulator reports whether the device holds a pressure behind it.
func (d *Device) regulator() bool { return d != nil && d.Kind == "regulator" }

// Data returns a copy of all the layout says, to edit and to give to [New] again.
func (l *Layout) Data() Data {
	if l == nil {
		return Data{}
	}
	return l.data.clone(nil)
}

// Name returns the name of the layout.
func (l *Layout) Name() string {
	if l == nil {
		return ""
	}
	return l.data.Name
}

// Len returns the number of points.
func (l *Layout) Len() int {
	if l == nil {
		return 0
	}
	return len(l.data.Points)
}

// Point returns a copy of point i. Here and below an i that is not from 0 to Len less
// one panics, as the index of a slice does; a Layout that nobody made answers with nothing.
func (l *Layout) Point(i int) Point {
	if l.Len() == 0 {
		return Point{}
	}
	p := l.data.Points[i]
	p.own()
	return p
}

// Find returns the index of a point by its id.
func (l *Layout) Find(id string) (i int, ok bool) {
	if l == nil {
		return 0, false
	}
	n, ok := l.index[id]
	return int(n), ok
}

// Parent returns the index of the point that feeds point i, -1 for the source.
func (l *Layout) Parent(i int) int {
	if l.Len() == 0 {
		return -1
	}
	return int(l.parent[i])
}

// Service returns what the run of point i carries.
func (l *Layout) Service(i int) Service {
	if l.Len() == 0 {
		return 0
	}
	return l.service[i]
}

// ports yields the points of the ports of a fixture, cold first.
func (l *Layout) ports(fixture int) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		if cold := l.cold[fixture]; cold >= 0 && !yield(cold) {
			return
		}
		if hot := l.hot[fixture]; hot >= 0 {
			yield(hot)
		}
	}
}

// wayTo lists the points from the source to a point.
func (l *Layout) wayTo(point int) (way []int) {
	for i := int32(point); i >= 0; i = l.parent[i] {
		way = append(way, int(i))
	}
	slices.Reverse(way)
	return way
}

// one is a fixture of the item alone.
func (f *LayoutFixture) one() tables.Fixture {
	own := f.Fixture
	own.Count = 1
	return own
}

// FixturesAt returns the indexes of the fixtures with a port at point i.
func (l *Layout) FixturesAt(i int) []int32 {
	if l.Len() == 0 {
		return nil
	}
	return l.portFix[l.firstFix[i]:l.firstFix[i+1]]
}

// pipeOf returns the family of pipe of a run.
func (l *Layout) pipeOf(i int) string {
	if p := l.data.Points[i].Pipe; p != "" {
		return p
	}
	switch l.service[i] {
	case Hot:
		return l.data.Pipe.Hot
	case Recirculated:
		return l.data.Pipe.Recirc
	}
	return l.data.Pipe.Cold
}

// Parse reads a layout from JSON; name is what messages call the file. Every
// fault is reported in one error, each with file, line, column, item and field:
// unknown and repeated fields, quantities without a unit, unknown points, cycles,
// lengths that cannot be. A layout with faults is not returned in part. If codes are
// given, the pipes must be known to each of them, and the kinds of fixtures, as [New] says.
// A text of over 64 MiB, or of over 20 million values, is refused, and so is a value of over 1 MB. So much takes
// seconds: who may not wait so long calls [ParseContext], or bounds the text that it takes.
func Parse(name string, data []byte, codes ...*Code) (*Layout, error) {
	return ParseContext(context.Background(), name, data, codes...)
}

// ParseContext is [Parse] that stops once the context is done, with its error and how far it was.
func ParseContext(ctx context.Context, name string, data []byte, codes ...*Code) (*Layout, error) {
	l, w := new(Layout), patience.NewWork(ctx, "layout")
	doc, err := strictjson.Decode(name, "", data, &l.data, strictjson.Limits{Context: ctx})
	if err != nil {
		return nil, err
	}
	for i := range l.data.Fixtures {
		// A file that gives none has one; the reader has told of a count that it refused.
		if f := &l.data.Fixtures[i]; f.Count == 0 {
			f.Count = 1
		}
	}
	fault := faulterOf(doc)
	l.measure(w, doc, fault)
	if err := l.buildFor(w, codes, fault); err != nil {
		return nil, err
	}
	return faults.Result(l, doc.Faults.Err())
}

// measure works out the lengths that a file leaves to the plan.
func (l *Layout) measure(w *patience.Work, doc *strictjson.Document, fault faulter) {
	const byPlan = "plan" // as in the tag of Point.Length
	var at map[string]*Position
	places := doc.Places("points")
	for i := range w.Each(len(places), "points measured") {
		p := &l.data.Points[i]
		if p.Length != 0 {
			continue
		}
		off, ok := doc.Member(places[i], "length")
		if !ok || doc.Text(off) != byPlan {
			continue
		}
		if at == nil {
			at = map[string]*Position{l.data.Source.ID: l.data.Source.At}
			for k := range l.data.Points {
				if q := &l.data.Points[k]; q.At != nil {
					at[q.ID] = &Position{X: q.At.X, Y: q.At.Y}
				}
			}
		}
		from, to := at[p.From], at[p.ID]
		if from == nil || to == nil {
			fault("points", i, pointItem(p.ID), "length", fmt.Errorf(
				`%w: "plan" takes it from the places (at) of the point and of what feeds it`, tables.ErrQuery))
			continue
		}
		p.Length = from.To(*to) + max(p.Rise, -p.Rise)
	}
}

// faulterOf finds what is at fault in the document. What could not be read is checked
// too, so that all faults come at once; but it is not blamed again for being empty.
func faulterOf(doc *strictjson.Document) faulter {
	dots := strings.NewReplacer("[", ".", "]", "")
	return func(list string, i int, item, field string, err error) {
		if doc.Faults.Full() { // nobody asks where it stands
			doc.Faults.Count()
			return
		}
		at, path := doc.Top(), dots.Replace(field)
		if places := doc.Places(list); i < len(places) {
			at = places[i]
		} else if list != "" {
			at = doc.PlaceOf(at, fmt.Sprintf("%s.%d", list, i))
		} else if item != "" {
			path = item + "." + path
		}
		doc.Fault(at, path, item, field, err)
	}
}

// MarshalJSON writes the layout as [Parse] reads it.
func (l Layout) MarshalJSON() ([]byte, error) { return json.Marshal(&l.data) }

// MarshalJSON writes the device as [Parse] reads it: no loss is a loss of zero.
func (d Device) MarshalJSON() ([]byte, error) {
	type plain Device
	if !d.NoLoss {
		return json.Marshal(plain(d))
	}
	return json.Marshal(struct {
		plain
		Loss units.Pressure `json:"loss"`
	}{plain(d), d.Loss})
}

// MarshalJSON writes the separation as [Parse] reads it: not listed is a listed of false.
func (s Separation) MarshalJSON() ([]byte, error) {
	type plain Separation
	if !s.NotListed {
		return json.Marshal(plain(s))
	}
	return json.Marshal(struct {
		plain
		Listed bool `json:"listed"`
	}{plain(s), false})
}

// UnmarshalJSON reads a layout as [Parse] does, or fails and leaves l as it was.
func (l *Layout) UnmarshalJSON(b []byte) error {
	read, err := Parse("layout", b)
	if err == nil {
		*l = *read
	}
	return err
}

// UnmarshalJSON reads the content of a layout as strictly as [Parse] does, with
// its defaults, or fails and leaves d as it was; [New] checks what it says.
func (d *Data) UnmarshalJSON(b []byte) error {
	var read Data
	doc, err := strictjson.Decode("layout", "", b, &read, strictjson.Limits{})
	if err != nil {
		return err
	}
	if err = doc.Faults.Err(); err == nil {
		*d = read
	}
	return err
}
