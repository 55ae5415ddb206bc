package drains

import (
	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/plan"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Data is what a layout says: the floor and slab it lies under, one or more
// drainage systems that are kept apart, the vents as their own graph, and the
// footings that the pipe meets.
//
// [New] makes a [Layout] of it, and [Layout.Data] gives a copy back.
//
// Elevations are measured upward from any datum the job uses. Sizes are nominal,
// as the code on the shelf names them. In JSON every quantity is a text with its
// unit ("37 ft 6 in", "1/4 in/ft", "2 dfu"); field names are given below.
type Data struct {
	Job           string       `json:"job,omitzero" read:"free"`   // what the job is called
	FinishedFloor units.Length `json:"finished_floor" read:"need"` // elevation of the finished floor
	Slab          units.Length `json:"slab,omitzero"`              // thickness of the slab
	Bedding       units.Length `json:"bedding,omitzero"`           // depth of bedding below the pipe
	TrenchWidth   units.Length `json:"trench_width,omitzero"`      // width of the trench at its bottom
	// How far the cleaning cable of the crew reaches; absent: not judged.
	CableReach units.Length `json:"cable_reach,omitzero"`
	// Pipe crown to underside of slab, as the job asks; absent: the pipe may touch the slab.
	MinimumCover units.Length `json:"minimum_cover,omitzero"`
	// MinimumClearance is the least clear distance between two pipes that cross or
	// pass each other, outside to outside, as the job asks; absent: they may touch.
	MinimumClearance units.Length `json:"minimum_clearance,omitzero"`
	// Least height of a stub above the finished floor, as the job asks; absent: as the code says.
	MinimumStubUp units.Length `json:"minimum_stub_up,omitzero"`
	// Ground is the elevation of the ground outside, nil if it is not known. SewerCover
	// is the least cover of pipe there, as the job or the frost asks; absent: as the
	// code says.
	Ground     *units.Length `json:"ground,omitempty"`
	SewerCover units.Length  `json:"sewer_cover,omitzero"`
	// UpstreamManhole is the elevation of the cover of the next manhole upstream in the
	// public sewer, nil if it is not known: when the sewer backs up, water rises to there.
	UpstreamManhole *units.Length `json:"upstream_manhole,omitempty"`

	// Defaults are what runs and vents have that do not say it themselves; those of a
	// system come before them.
	Defaults *Defaults `json:"defaults,omitempty"`
	// SkipSizes are nominal sizes of drains and vents that are not taken unless drawn, as
	// where nobody sells 2-1/2 in; the next size up is. Nil: as [Options] say; empty: all are taken.
	SkipSizes []units.Length `json:"skip_sizes,omitzero" read:"size,empty"`
	// MinimumVent is the least nominal size of vents, as the job asks; absent: as the code says.
	MinimumVent units.Length `json:"minimum_vent,omitzero" read:"size"`
	// European is what EN 12056-2 needs to know; codes in fixture units do not read it.
	European *EuropeanOptions `json:"european,omitempty"`

	Amendments []string  `json:"amendments,omitempty" read:"free"`  // names of the amendments in force, for the report
	Systems    []System  `json:"systems" item:"system"`             // at least one
	Vents      []Vent    `json:"vents,omitempty" item:"vent"`       // see [Vent]
	Footings   []Footing `json:"footings,omitempty" item:"footing"` // see [Footing]

	// North is where north lies on plan. Walls are what crews measure stubs from, and
	// Obstacles what else lies in the ground.
	North     Bearing    `json:"north,omitzero"`
	Walls     []Wall     `json:"walls,omitempty" item:"wall"`
	Obstacles []Obstacle `json:"obstacles,omitempty" item:"obstacle"`
}

// SystemKind says what a system carries.
type SystemKind string

// The kinds of system. Waste is drainage free of human waste; soil may carry it.
const (
	Soil       SystemKind = "soil"
	Waste      SystemKind = "waste"
	ClearWater SystemKind = "clear-water"
	Storm      SystemKind = "storm"
)

// System is a tree of points that drain to one outlet.
type System struct {
	ID     string     `json:"id"`
	Kind   SystemKind `json:"kind"`
	Outlet Outlet     `json:"outlet"`
	// Admits and Refuses are the apart rule: the fixture kinds, and the words
	// of [Point.Carries], that may or may not enter. An empty Admits admits
	// everything; Refuses wins.
	Admits  []string `json:"admits,omitempty"`
	Refuses []string `json:"refuses,omitempty"`
	// Defaults are of the runs of this system.
	Defaults *Defaults `json:"defaults,omitempty"`
	Points   []Point   `json:"points" item:"point"`
}

// OutletKind says what a system drains into.
type OutletKind string

// The kinds of outlet.
const (
	ToSewer OutletKind = "sewer" // the building sewer, or a public one
	ToDrain OutletKind = "drain" // a drain that is already there
	ToTank  OutletKind = "tank"  // a septic or holding tank
	ToSump  OutletKind = "sump"  // a sump with an ejector
)

// Outlet is where a system ends.
type Outlet struct {
	ID       string       `json:"id"`                        // points drain to it by this id
	Kind     OutletKind   `json:"kind"`                      // what it drains into
	Invert   units.Length `json:"invert" read:"need"`        // elevation of the inside bottom of the pipe there
	Size     units.Length `json:"size,omitzero" read:"size"` // nominal size there; absent: as wide as need be
	Material string       `json:"material,omitzero"`         // id of a pipe on the shelf
	At       *Position    `json:"at,omitempty"`              // plan coordinates
	Sump     *Sump        `json:"sump,omitempty"`            // of a sump: what its pit is like
}

// Sump is the pit of an ejector, as far as what drains into it by gravity asks for it.
type Sump struct {
	// HighWater is the elevation to which the pit fills before its pump must run, nil if it
	// is not known.
	HighWater *units.Length `json:"high_water,omitempty"`
	Vent      units.Length  `json:"vent,omitzero" read:"size"` // nominal size of the vent of the pit
	VentValve bool          `json:"vent_valve,omitzero"`       // that vent ends in an air admittance valve
}

// Point is a place on a drainage tree together with the run of pipe from it to
// the point it drains to.
type Point struct {
	ID  string `json:"id"` // unique in the layout, points and outlets together
	To  string `json:"to"` // id of the point or outlet it drains to
	Run Run    `json:"run" read:"inline"`

	Fixture     *tables.Fixture  `json:"fixture,omitempty"`     // what stands here
	Trap        *Trap            `json:"trap,omitempty"`        // what the layout knows of its trap
	Cleanout    *Cleanout        `json:"cleanout,omitempty"`    // an access here
	Interceptor *Interceptor     `json:"interceptor,omitempty"` // what flows past here passes it
	Receptor    *Receptor        `json:"receptor,omitempty"`    // the fixture takes indirect waste
	At          *Position        `json:"at,omitempty"`          // plan coordinates
	Reserved    dwv.FixtureUnits `json:"reserved,omitzero"`     // load kept for fixtures to come
	Continuous  units.Flow       `json:"continuous,omitzero"`   // a steady flow that enters here
	StubUp      units.Length     `json:"stub_up,omitzero"`      // how far the pipe stands above the finished floor
	RimBelow    units.Length     `json:"rim_below,omitzero"`    // how far a drain's rim lies below the finished floor
	// Height above the finished floor at which the fixture would overflow.
	FloodRim units.Length `json:"flood_rim,omitzero"`
	// What the waste holds ("clay", "grease"), for the apart rule.
	Carries string `json:"carries,omitzero"`
	Capped  bool   `json:"capped,omitzero"` // roughed in for later; its fixture counts already
	Primer  bool   `json:"primer,omitzero"` // a trap seal primer feeds the trap
	// Takes a steady drip, as from a relief valve or a condensate line.
	Drip        bool `json:"drip,omitzero"`
	ThroughWall bool `json:"through_wall,omitzero"` // the run leaves the building at this point
	AboveFloor  bool `json:"above_floor,omitzero"`  // the run lies above the slab
	// A backwater valve at the upper end of the run: what drains through it is kept from the sewer's
	// water.
	Backwater bool `json:"backwater,omitzero"`
}

// Defaults are said once for many runs.
type Defaults struct {
	Grade    slope.Grade `json:"grade,omitzero"`    // of runs that are not vertical
	Material string      `json:"material,omitzero"` // of runs and the outlet; those of the layout are of vents too
	Join     slope.Join  `json:"join,omitzero"`     // how a run meets the next in height
	Use      tables.Use  `json:"use,omitzero"`      // who uses the fixtures
	// OnPlan takes the length and the bearing of a flat run without bends, where it does
	// not say them, from the coordinates of its two ends.
	OnPlan bool `json:"on_plan,omitzero"`
}

// Run is the pipe from a point to the one it drains to.
type Run struct {
	// Developed length; of a vertical run its height; in a file "plan" takes it from coordinates.
	Length units.Length `json:"length,omitzero" read:"some,word=plan"`
	// Top is how high the upper end of a vertical run stands above the finished floor, negative
	// below it, in place of a length: what stands there stays where it is when the drain below
	// moves. Layout.Size makes Length of it.
	Top      *units.Length `json:"top,omitempty"`
	Grade    slope.Grade   `json:"grade,omitzero"`            // needed unless vertical
	Drop     units.Length  `json:"drop,omitzero"`             // lower end of the run above the invert it joins
	Size     units.Length  `json:"size,omitzero" read:"size"` // as drawn; absent: size it
	Material string        `json:"material,omitzero"`         // id of a pipe on the shelf
	Bearing  Bearing       `json:"bearing,omitzero"`          // direction of flow on plan
	Fittings []string      `json:"fittings,omitempty"`        // bends along the run, in the direction of flow
	Into     string        `json:"into,omitzero"`             // the fitting it enters the next point by
	Join     slope.Join    `json:"join,omitzero"`             // how it meets the next pipe in height, on top of Drop
	// Absent: inferred, see Layout.Size; mark what lies outside as sewer.
	Part     dwv.Part `json:"part,omitzero"`
	Vertical bool     `json:"vertical,omitzero"` // a stack or riser
	// ClosetBend marks the one reduction that is none: a 4 in closet bend or
	// stub into a 3 in pipe.
	ClosetBend bool `json:"closet_bend,omitzero"`
}

// Trap is the trap of a fixture that stands in, or hangs above, the slab.
type Trap struct {
	Size units.Length `json:"size,omitzero" read:"size"` // absent: the code's size for the fixture
	Arm  units.Length `json:"arm,omitzero"`              // developed length from the trap weir to this point
	// Vertical fall from the weir to this point, if not at the run's grade.
	Fall units.Length `json:"fall,omitzero"`
	Seal units.Length `json:"seal,omitzero"` // depth of the water seal
	Tail units.Length `json:"tail,omitzero"` // fixture outlet to trap weir, vertically
	// Offset is how far the inlet of the trap lies aside of the fixture outlet, level.
	Offset units.Length `json:"offset,omitzero"`
	// Guard is what keeps the seal of a trap that gets no water, if it is no primer (see
	// [Point.Primer]).
	Guard TrapGuard `json:"guard,omitzero"`
}

// TrapGuard is what keeps sewer gas back at a trap whose seal might dry out.
type TrapGuard string

// The guards of traps beside primers.
const (
	GuardBarrier TrapGuard = "barrier" // a listed device in the drain that opens to water alone
	GuardWaste   TrapGuard = "waste"   // the tailpiece of a fixture near by feeds it
)

// Cleanout is an access for a cleaning cable.
type Cleanout struct {
	Size units.Length `json:"size,omitzero" read:"size"` // absent: as the code asks
	// Main marks the main cleanout: the drain from the outlet up to it keeps
	// its full size.
	Main      bool         `json:"main,omitzero"`
	TwoWay    bool         `json:"two_way,omitzero"`   // a cable may enter both ways
	Clearance units.Length `json:"clearance,omitzero"` // free space in front of it
}

// Interceptor holds back what must not reach the sewer. Its sizing inputs are
// the maker's and the designer's; the layout only holds them together.
type Interceptor struct {
	Kind      string         `json:"kind"`               // "solids", "grease", "oil", "hair", ...
	Rated     units.Flow     `json:"rated,omitzero"`     // flow it is made for
	Inflow    units.Flow     `json:"inflow,omitzero"`    // the flow expected
	Volume    units.Volume   `json:"volume,omitzero"`    // liquid it holds
	Retention units.Duration `json:"retention,omitzero"` // time the flow must stay in it
	Drop      units.Length   `json:"drop,omitzero"`      // inlet invert above outlet invert
	Vented    bool           `json:"vented,omitzero"`    // it has a vent of its own
	// CoverBelow is how far its cover lies below the finished floor, or outside below the
	// ground.
	CoverBelow units.Length `json:"cover_below,omitzero"`
}

// Receptor takes indirect waste: a standpipe or an open receptor.
type Receptor struct {
	Standpipe      units.Length     `json:"standpipe,omitzero"`                 // its rim above the trap weir
	TrapAboveFloor units.Length     `json:"trap_above_floor,omitzero"`          // trap weir above the finished floor
	Indirect       []tables.Fixture `json:"indirect,omitempty" item:"indirect"` // what discharges into it
}

// Position is a place on plan, by any two axes at right angles: x to the right,
// y ahead: a [plan.Position], one type for drains and water.
type Position = plan.Position

// VentKind says how a vent works.
type VentKind string

// The kinds of vent.
const (
	VentIndividual VentKind = "individual"
	VentCommon     VentKind = "common"  // two fixtures at one take-off, or the lower one at Through
	VentWet        VentKind = "wet"     // the drain from From to Through vents what joins it
	VentCircuit    VentKind = "circuit" // one vent for a row of fixtures on a branch, From to Through
	// VentRelief stands between a circuit-vented branch and its stack, say; it takes no traps
	// over from a circuit vent.
	VentRelief    VentKind = "relief"
	VentBranch    VentKind = "branch"     // gathers other vents
	VentStackVent VentKind = "stack-vent" // a drainage stack carried up to the air
	// VentIsland is the vent of a fixture that stands free: it rises under the drainboard,
	// turns down again, runs below the floor to the nearest wall and rises there.
	VentIsland VentKind = "island"
	// VentWasteStack is the stack vent of a waste stack that vents, from From down to
	// Through, the fixtures which join it.
	VentWasteStack VentKind = "waste-stack"
	VentStack      VentKind = "vent-stack" // rises from the drain at the foot of a stack, or serves a whole system
)

// Vent is one line of vent pipe. It starts at a take-off on the drainage tree
// (From), or where other vents join it, and ends in another vent, in a stack
// (To), in the open air (Terminal), or in an air admittance valve (Valve).
type Vent struct {
	ID   string   `json:"id"` // unique among vents
	Kind VentKind `json:"kind"`
	From string   `json:"from,omitzero"` // point of take-off
	// Last point of the drain that vents wet, by circuit, or in common.
	Through string `json:"through,omitzero"`
	To      string `json:"to,omitzero"` // vent, or point at the top of a stack, that it joins
	// Where along the vent To it joins; absent: as high as its runs end.
	At       *VentJoin    `json:"at,omitempty"`
	Terminal *Terminal    `json:"terminal,omitempty"`        // it ends in the open air
	Valve    *VentValve   `json:"valve,omitempty"`           // it ends in an air admittance valve
	Drains   string       `json:"drains,omitzero"`           // island: point to which its low end drains
	Cleanout bool         `json:"cleanout,omitzero"`         // island: it can be rodded from a cleanout
	Size     units.Length `json:"size,omitzero" read:"size"` // as drawn; absent: size it
	Material string       `json:"material,omitzero"`
	Runs     []VentRun    `json:"runs" item:"run"` // from the take-off on
}

// VentJoin says where one vent joins another: by its height or by its station.
type VentJoin struct {
	Height units.Length `json:"height,omitzero"` // above the finished floor
	// Developed length along the vent joined, from where that starts; 0: where it starts.
	Station *units.Length `json:"station,omitempty"`
}

// Terminal is the open end of a vent. Distances that are not given are not judged.
type Terminal struct {
	AboveRoof    units.Length `json:"above_roof,omitzero"`
	UsedRoof     bool         `json:"used_roof,omitzero"`     // people use the roof
	FromOpening  units.Length `json:"from_opening,omitzero"`  // level, to the nearest window, door or intake
	AboveOpening units.Length `json:"above_opening,omitzero"` // above the top of that
	FromLotLine  units.Length `json:"from_lot_line,omitzero"`
	FromWall     units.Length `json:"from_wall,omitzero"` // to the nearest wall that stands above the roof
}

// VentValve is an air admittance valve: it lets air into a vent and none out.
type VentValve struct {
	Type       ValveType    `json:"type,omitzero"`       // absent: branch
	Accessible bool         `json:"accessible,omitzero"` // it can be reached, and air comes to it
	Insulation units.Length `json:"insulation,omitzero"` // in an attic: how far it stands above the insulation
}

// ValveType says what an air admittance valve is made for.
type ValveType string

// The types of air admittance valve.
const (
	ValveBranch ValveType = "branch" // of one fixture or a branch
	ValveStack  ValveType = "stack"  // of a drainage stack
)

// VentDirection says how a run of vent lies.
type VentDirection string

// The directions of vent runs.
const (
	VentUp         VentDirection = "up"          // within 45 degrees of vertical
	VentDown       VentDirection = "down"        // the same, of an island vent that goes down again
	VentHorizontal VentDirection = "horizontal"  // above the floor
	VentBelowFloor VentDirection = "below-floor" // anything but a riser, below the floor
)

// VentRun is a straight piece of a vent.
type VentRun struct {
	// The first run starts at the drain that it is taken off, which may lie well below the floor.
	Length units.Length `json:"length" read:"some"`
	// Of an "up" run: absent means the whole length; of one "down" how far it falls.
	Rise      units.Length  `json:"rise,omitzero"`
	Direction VentDirection `json:"direction"`
	Bearing   Bearing       `json:"bearing,omitzero"` // on plan, of a run that lies flat
	End       *Position     `json:"end,omitempty"`    // where it ends on plan
}

// flat tells a run that is no riser.
func (r *VentRun) flat() bool { return r.Direction != VentUp && r.Direction != VentDown }

// FootingKind says how a run meets a footing or a thickening of the slab.
type FootingKind string

// The ways a run meets concrete.
const (
	FootingUnder      FootingKind = "under"      // the pipe passes below
	FootingThrough    FootingKind = "through"    // the pipe passes through, in a sleeve
	FootingBeside     FootingKind = "beside"     // the trench runs along it
	FootingThickening FootingKind = "thickening" // the slab is thicker there
)

// Footing is concrete deeper than the slab that a run passes.
type Footing struct {
	ID       string       `json:"id"`
	Kind     FootingKind  `json:"kind"`
	Run      string       `json:"run"`                         // the point whose run passes it
	Along    units.Length `json:"along,omitzero"`              // distance from the upper end of the run
	Bottom   units.Length `json:"bottom"`                      // depth of its underside below the finished floor
	Distance units.Length `json:"distance,omitzero"`           // beside: trench edge from its face
	Sleeve   units.Length `json:"sleeve,omitzero" read:"size"` // through: nominal size of the sleeve
	Clear    units.Length `json:"clear,omitzero"`              // under: clearance the job asks for
}

// Bearing is a direction on plan, clockwise from ahead (the y axis), in whole
// thousandths of a degree from 0 up to, not including, 360. The zero Bearing is
// no bearing; [Degrees](0) is ahead. Bearings compare with ==. It is a [plan.Bearing], one
// type for drains and water.
type Bearing = plan.Bearing

// ErrBearing is wrapped by every error about a bearing.
var ErrBearing = plan.ErrBearing

// Degrees makes a bearing from degrees, to the nearest thousandth; whole turns
// are dropped. It is no bearing if x is not a number or beyond ±1e6.
func Degrees(x float64) Bearing { return plan.Degrees(x) }

// Wall is a straight wall on plan, or a line of the building that crews measure from.
type Wall struct {
	ID        string       `json:"id"`
	From      Position     `json:"from" read:"need"` // ends of its centre line
	To        Position     `json:"to" read:"need"`
	Thickness units.Length `json:"thickness,omitzero"` // absent: a line
}

// ObstacleKind says what lies in the ground.
type ObstacleKind string

// The kinds of obstacle.
const (
	ObstacleFooting ObstacleKind = "footing" // bears load: the code's plane falls from its edge
	ObstacleConduit ObstacleKind = "conduit"
	ObstaclePipe    ObstacleKind = "pipe" // of another trade
	ObstacleOther   ObstacleKind = "other"
)

// Obstacle is a straight body in the ground that pipe must pass: a strip of Width from
// Bottom to Top, or round and as wide as high if Width is not given.
type Obstacle struct {
	ID     string       `json:"id"`
	Kind   ObstacleKind `json:"kind"`
	From   Position     `json:"from" read:"need"` // ends of its centre line on plan
	To     Position     `json:"to" read:"need"`
	Width  units.Length `json:"width,omitzero"`
	Top    units.Length `json:"top" read:"need"` // elevations
	Bottom units.Length `json:"bottom" read:"need"`
	Clear  units.Length `json:"clear,omitzero"` // clear distance that the job asks for; absent: the job's least clearance
}

// Word is a type of which a layout takes a few words.
type Word interface {
	SystemKind | OutletKind | TrapGuard | VentKind | VentDirection | ValveType | FootingKind | ObstacleKind
}

// The words of each type, in the order in which they are listed.
var (
	systemKinds  = []SystemKind{Soil, Waste, ClearWater, Storm}
	outletKinds  = []OutletKind{ToSewer, ToDrain, ToTank, ToSump}
	trapGuards   = []TrapGuard{GuardBarrier, GuardWaste}
	kindsOfVents = []VentKind{VentIndividual, VentCommon, VentWet, VentCircuit, VentRelief, VentBranch, VentStackVent,
		VentStack, VentIsland, VentWasteStack}
	ventDirections = []VentDirection{VentUp, VentHorizontal, VentBelowFloor, VentDown}
	valveTypes     = []ValveType{ValveBranch, ValveStack}
	footingKinds   = []FootingKind{FootingUnder, FootingThrough, FootingBeside, FootingThickening}
	obstacleKinds  = []ObstacleKind{ObstacleFooting, ObstacleConduit, ObstaclePipe, ObstacleOther}
)

// Choices returns the words of a type that a layout takes, with labels:
//
//	drains.Choices[drains.VentKind]()
func Choices[W Word]() []tables.Choice {
	var ids []string
	for _, list := range [...]any{systemKinds, outletKinds, trapGuards, kindsOfVents, ventDirections, valveTypes,
		footingKinds, obstacleKinds} {
		words, _ := list.([]W) // of the other types none
		for _, w := range words {
			ids = append(ids, string(w))
		}
	}
	return tables.Choices(ids...)
}

// Fittings returns the fittings that the fittings of a run, and the one it enters the next point by,
// may name, with labels; nil without a code. Not all of them have turns that the code judges:
// those that some code does are its [dwv.Code.Fittings].
func Fittings(code *dwv.Code) []tables.Choice {
	shelf := code.Shelf()
	if shelf == nil {
		return nil
	}
	return tables.Choices(fittingWords(shelf)...)
}
