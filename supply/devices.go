package supply

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Kinds of devices that checks look for.
const (
	expansionTank = "expansion-tank"
	mixingValve   = "mixing-valve"
	boosterPump   = "booster"
)

// deviceTables gives the losses of devices whose maker's figures are not stated.
type deviceTables struct {
	once    sync.Once
	err     error
	meters  *tables.Rows[meterRow]
	ceiling *tables.Rows[ceilingRow]
	typical *tables.Rows[typicalLossRow]
	kinds   []string // that a layout may name
}

type meterRow struct {
	Size units.Length   `table:"size"`
	Flow units.Flow     `table:"flow"`
	Loss units.Pressure `table:"loss"`
}

// backflowCeiling is the table of the greatest losses that standards allow.
const backflowCeiling = "devices/supply-backflow-ceiling"

// ceilingRow is the greatest loss that a standard lets an assembly have at its rated flow.
type ceilingRow struct {
	Device string         `table:"device"`
	Size   units.Length   `table:"size"`
	Flow   units.Flow     `table:"flow"`
	Loss   units.Pressure `table:"loss"`
}

type typicalLossRow struct {
	Device string         `table:"device"`
	Most   units.Pressure `table:"most"`
	Named  bool           `table:"named"`
}

func (d *deviceTables) load(shelf *tables.Shelf) error {
	d.once.Do(func() {
		var err1, err2, err3 error
		d.ceiling, err3 = tables.Load[ceilingRow](shelf, backflowCeiling)
		d.meters, err1 = tables.Load[meterRow](shelf, "devices/supply-meter-loss")
		d.typical, err2 = tables.Load[typicalLossRow](shelf, "devices/supply-typical-loss")
		if d.err = errors.Join(err1, err2, err3); d.err != nil {
			return
		}
		d.kinds = []string{"meter", "tap", "regulator", boosterPump, "check-valve", expansionTank, "storage-heater",
			"tankless-heater", "other"}
		for _, r := range d.typical.All() {
			if r.Named && !slices.Contains(d.kinds, r.Device) {
				d.kinds = append(d.kinds, r.Device)
			}
		}
	})
	return d.err
}

// DeviceCost is what a device costs at a flow.
type DeviceCost struct {
	Loss units.Pressure `json:"loss"`
	// Beyond is the greatest flow the device's figures hold for, where the flow is
	// more; the loss is then carried on by the square of the flow.
	Beyond units.Flow `json:"beyond"`
	// Stated says that the figures are of the layout, not of the shelf.
	Stated   bool            `json:"stated,omitzero"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// DeviceLoss returns the loss of a device at a flow: what the layout states, else
// the shelf's meter table or its greatest typical loss of that kind. A regulator
// costs what its inlet has above its outlet, which only a layout knows; here it
// costs nothing.
func (c *Code) DeviceLoss(d *Device, flow units.Flow) (DeviceCost, error) {
	c = c.there()
	if d == nil {
		return DeviceCost{}, fmt.Errorf("%w: no device given", tables.ErrQuery)
	}
	if err := c.knowsDevice(d.Kind); err != nil {
		return DeviceCost{}, err
	}
	if err := errors.Join(argument.Flow.Check("flow", float64(flow)),
		argument.Pressure.Check("loss", float64(d.Loss))); err != nil {
		return DeviceCost{}, err
	}
	switch {
	case len(d.Holds) > 0:
		_, beyond := d.falls(flow)
		return DeviceCost{Stated: true, Beyond: beyond}, nil
	case d.parts(), d.Kind == expansionTank, flow == 0 && (d.Kind == "meter" || d.Kind == "tap"):
		return DeviceCost{Stated: true, Loss: d.Loss}, nil
	case len(d.Curve) > 0:
		loss, beyond := curveAt(len(d.Curve),
			func(i int) (units.Flow, units.Pressure) { return d.Curve[i].Flow, d.Curve[i].Loss }, flow)
		return DeviceCost{Loss: loss, Beyond: beyond, Stated: true}, argument.CheckResult("loss", float64(loss))
	case d.Loss > 0 || d.NoLoss:
		return DeviceCost{Loss: d.Loss, Stated: true}, nil
	case d.Kind == "other":
		return DeviceCost{}, fmt.Errorf("%w: no loss is stated of it: state its loss, zero too, or a curve",
			tables.ErrNotInCode)
	}
	t := &c.devices
	if err := t.load(c.pipes.shelf); err != nil {
		return DeviceCost{}, err
	}
	if d.Kind == "meter" {
		return lossOfSize(t.meters, "meter", d.Size, flow)
	}
	if d.Kind == "tap" {
		if c.taps == nil {
			return DeviceCost{}, fmt.Errorf("%w; state its loss or a curve", c.missing("losses in taps"))
		}
		return lossOfSize(c.taps, "tap", d.Size, flow)
	}
	if d.Size > 0 {
		for i, r := range t.ceiling.All() {
			// A spring holds the check shut, so that little less is lost at a small flow.
			if r.Device == d.Kind && r.Size == d.Size {
				cost := DeviceCost{Loss: r.Loss, Citation: t.ceiling.Cite(i)}
				if over := float64(flow / r.Flow); over > 1 {
					cost.Loss, cost.Beyond = units.Pressure(float64(r.Loss)*over*over), r.Flow
				}
				return cost, nil
			}
		}
	}
	return c.typicalLoss(d.Kind)
}

// typicalLoss is the upper end of what designers allow for a kind of device.
func (c *Code) typicalLoss(kind string) (DeviceCost, error) {
	t := &c.devices
	if err := t.load(c.pipes.shelf); err != nil {
		return DeviceCost{}, err
	}
	for i, r := range t.typical.All() {
		if r.Device == kind {
			return DeviceCost{Loss: r.Most, Citation: t.typical.Cite(i)}, nil
		}
	}
	return DeviceCost{}, fmt.Errorf("%w: no figure for the loss of a %s; state its loss or a curve", tables.ErrNotOnShelf,
		kind)
}

// knowsDevice refuses a kind of device that is neither one of those a layout names nor
// one of the shelf's typical losses: a word mistyped would lose what hangs on its kind.
func (c *Code) knowsDevice(kind string) error {
	if err := c.devices.load(c.pipes.shelf); err != nil {
		return err
	}
	kinds := c.devices.kinds
	if slices.Contains(kinds, kind) {
		return nil
	}
	return fmt.Errorf("%w: device %q: %schoose %s", tables.ErrQuery, visible.Shorten(kind),
		cmp.Or(codes.Called(kind, kinds), visible.Meant(kind, kinds)), strings.Join(kinds, ", "))
}

// lossOfSize reads a table of losses by size and flow.
func lossOfSize(rows *tables.Rows[meterRow], kind string, size units.Length, flow units.Flow) (DeviceCost, error) {
	var of []int // the rows of the size
	var sizes []string
	for i, r := range rows.All() {
		if s := r.Size.String(); !slices.Contains(sizes, s) {
			sizes = append(sizes, s)
		}
		if r.Size == size {
			of = append(of, i)
		}
	}
	if of == nil {
		choices := strings.Join(sizes, ", ") + ", or state a loss or a curve"
		if size == 0 {
			return DeviceCost{}, fmt.Errorf("size of the %s: %w: choose %s", kind, tables.ErrNotStated, choices)
		}
		return DeviceCost{}, fmt.Errorf("%w: %s size %v: choose %s", tables.ErrQuery, kind, size, choices)
	}
	loss, beyond := curveAt(len(of), func(i int) (units.Flow, units.Pressure) {
		r := rows.At(of[i])
		return r.Flow, r.Loss
	}, flow)
	row := of[0]
	for _, i := range of {
		if rows.At(i).Flow <= flow {
			row = i
		}
	}
	return DeviceCost{Loss: loss, Beyond: beyond, Citation: rows.Cite(row)}, nil
}

// curveAt reads a curve of loss by flow with straight lines between its points and
// from no flow and no loss to the first. Beyond the last it goes on by the square
// of the flow and returns the flow it ends at.
func curveAt(n int, at func(int) (units.Flow, units.Pressure), flow units.Flow) (loss units.Pressure,
	beyond units.Flow) {
	var q0 units.Flow
	var p0 units.Pressure
	for i := range n {
		q, p := at(i)
		if flow <= q {
			if q == q0 {
				return p, 0
			}
			share := float64(flow-q0) / float64(q-q0)
			return p0 + units.Pressure(share*float64(p-p0)), 0
		}
		q0, p0 = q, p
	}
	r := float64(flow / q0)
	return units.Pressure(float64(p0) * r * r), q0
}
