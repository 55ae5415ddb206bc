package supply

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// LayoutSurge is what the quick valve of a fixture does to the run that feeds it.
type LayoutSurge struct {
	Fixture   string         `json:"fixture"`
	Point     string         `json:"point"`   // of the port
	Service   Service        `json:"service"` // of the run
	Velocity  units.Velocity `json:"velocity"`
	WaveSpeed units.Velocity `json:"wave_speed"`
	// Rise is the pressure that a sudden stop adds, Peak that on top of the static
	// pressure at the point.
	Rise units.Pressure `json:"rise"`
	Peak units.Pressure `json:"peak"`
	// Length is that of the run; a valve that shuts within Critical stops it suddenly.
	Length   units.Length    `json:"length"`
	Critical units.Duration  `json:"critical"`
	Modulus  tables.Citation `json:"modulus,omitzero"` // the row that gave the stiffness of the pipe

	at, port int // indexes of Fixture and Point
}

type modulusRow struct {
	Material string                      `table:"material"`
	Typical  tables.Cell[units.Pressure] `table:"typical"`
	High     tables.Cell[units.Pressure] `table:"high"`
	Design   string                      `table:"design"`
}

// quick reports whether a fixture's valve shuts in an instant: solenoid valves of
// machines, and flush valves.
func (f *LayoutFixture) quick() bool {
	return slices.Contains(machines, f.Kind) || fixture.IsMake(f.Kind, "dishwasher") || f.Control == tables.Valve
}

// machines have solenoid valves, as dishwashers have, or are groups in which one stands.
var machines = []string{"clothes-washer", "large-clothes-washer", "laundry-group", "kitchen-group", "ice-machine"}

// Surges works out the pressure wave at every fixture whose valve shuts in an
// instant: washing machines, dishwashers and flush valves, in the order of the layout. The
// water is stopped from what the fixture draws through its own run, or where that is
// not known from the run's demand. Runs of a material whose stiffness the shelf does
// not hold are left out. See [hydraulics.SurgePipe] for the formula and its cautions.
func (a *Analysis) Surges() ([]LayoutSurge, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	l := a.layout
	moduli, err := tables.Load[modulusRow](a.code.pipes.shelf, "materials/modulus")
	if err != nil {
		return nil, err
	}
	var list []LayoutSurge
	for fix := range l.data.Fixtures {
		f := &l.data.Fixtures[fix]
		if !f.quick() {
			continue
		}
		for port := range l.ports(fix) {
			s, ok, err := a.surge(fix, int(port), moduli)
			if err != nil {
				return nil, fmt.Errorf("fixture %q: %w", f.ID, err)
			}
			if ok {
				list = append(list, s)
			}
		}
	}
	return list, nil
}

func (a *Analysis) surge(fix, point int, moduli *tables.Rows[modulusRow]) (LayoutSurge, bool, error) {
	l := a.layout
	f, r := &l.data.Fixtures[fix], &a.runs[point]
	s := LayoutSurge{Fixture: f.ID, Point: l.data.Points[point].ID, at: fix, port: point, Service: l.service[point],
		Length: r.Length}
	var modulus units.Pressure
	for i, m := range moduli.All() {
		if m.Design != "yes" || m.Material != strings.ToLower(r.family.material) {
			continue
		}
		s.Modulus = moduli.Cite(i)
		v, ok := m.Typical.Get()
		if !ok { // the stiffer end: it gives the greater wave
			v, _ = m.High.Get()
		}
		modulus = v
	}
	flow, _ := a.drawnBy(f)
	var err error
	s.Velocity = r.Velocity
	if flow > 0 {
		if s.Velocity, err = hydraulics.Velocity(flow, r.Bore); err != nil {
			return s, false, err
		}
	}
	if modulus == 0 || s.Velocity == 0 {
		return s, false, nil
	}
	water := &a.worked.water[s.Service]
	pipe := hydraulics.SurgePipe{Bore: r.Bore, Wall: r.bore.wall(), Modulus: modulus, Restraint: 1,
		BulkModulus: water.BulkModulus, Density: water.Density}
	var e1, e2, e3 error
	s.WaveSpeed, e1 = pipe.WaveSpeed()
	s.Rise, e2 = pipe.PressureRise(s.Velocity)
	if r.Length > 0 {
		s.Critical, e3 = pipe.CriticalTime(r.Length)
	}
	s.Peak = r.Static + s.Rise
	return s, true, errors.Join(e1, e2, e3)
}

// surges asks about the greatest wave, and names the other fixtures with quick valves.
func (k *checker) surges() error {
	list, err := k.Surges()
	if err != nil || len(list) == 0 {
		return err
	}
	slices.SortStableFunc(list, func(a, b LayoutSurge) int { return visible.Counted(a.Fixture, b.Fixture) })
	worst := 0
	var others []string
	for i := range list {
		if list[i].Peak > list[worst].Peak {
			worst = i
		}
	}
	for i := range list {
		if list[i].at != list[worst].at && (i == 0 || list[i].at != list[i-1].at) {
			others = append(others, list[i].Fixture)
		}
	}
	s := &list[worst]
	r := &k.runs[s.port]
	reason := k.Text("Quick-closing valve: about %v of water hammer, %v with the pressure there, from %v in %v %s.",
		k.system.hammer(s.Rise), k.system.hammer(s.Peak), k.system.velocity(s.Velocity), r.name(), r.family.id)
	if len(others) > 0 {
		reason += k.Text(" Lower waves at %s.", shortList(others))
	}
	arresters, err := k.arresters(list)
	if err != nil {
		return err
	}
	k.asks(finding.Case{Rule: "water-hammer", Place: s.Fixture, Citation: s.Modulus}, tables.Authority,
		k.system.hammer(s.Peak), nil, reason, "Ask whether the code wants arresters there, and where they stand; "+
			"choose them by their standard and their maker."+arresters)
	return nil
}

type arresterRow struct {
	Size  string       `table:"size"`
	Units FixtureUnits `table:"units"`
	Line  units.Length `table:"line"`
}

// arresters says which sizes of arresters the loads of the lines to quick valves ask for.
func (k *checker) arresters(list []LayoutSurge) (string, error) {
	if k.code.unit != "wsfu" {
		return "", nil
	}
	rows, err := tables.Load[arresterRow](k.code.pipes.shelf, "devices/supply-arrester-size")
	if err != nil || rows.Len() == 0 {
		return "", err
	}
	var said []string
	for i := range list {
		at := list[i].port
		load := k.runs[at].Load
		for _, r := range rows.All() {
			if load > 0 && load <= r.Units {
				x := k.Text("%s at %s (%s)", r.Size, k.layout.data.Points[at].ID, load.In(k.code.unit))
				if !slices.Contains(said, x) {
					said = append(said, x)
				}
				break
			}
		}
	}
	if said == nil {
		return "", nil
	}
	most := rows.At(0).Line // the same for all sizes
	if k.system.metric {
		most = most.Round(units.Metre/10, units.Down)
	}
	return k.Text(" By fixture units, for lines of up to %v (%s, from memory): size %s.", k.system.length(most),
		rows.Cite(0).Section(), shortList(said)), nil
}
