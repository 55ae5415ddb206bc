package supply

import (
	"github.com/trapweir/trapweir/units"
)

// before is what stands at a point before any pipe has taken its friction.
type before struct {
	left      units.Pressure // after height and devices
	regulator string         // the point of the last regulator that holds, or empty: the source
	dearest   int32          // of the runs behind that, the one whose device takes most; -1: none takes any
}

// beforeFriction works out what height and devices alone leave of the pressure at a point.
func (a *Analysis) beforeFriction(point int) before {
	l := a.Layout
	var way []int32
	for i := int32(point); i >= 0; i = l.parent[i] {
		way = append(way, i)
	}
	b := before{left: l.data.Source.Pressure, dearest: -1}
	for k := len(way) - 1; k >= 0; k-- {
		i := way[k]
		r := &a.Runs[i]
		b.left -= r.Rise + r.Device
		if r.Device > 0 && (b.dearest < 0 || r.Device > a.Runs[b.dearest].Device) {
			b.dearest = i
		}
		if d := l.data.Points[i].Device; d.regulator() && b.left > d.Set-d.FallOff {
			b.left, b.regulator, b.dearest = d.Set-d.FallOff, l.data.Points[i].ID, -1
		}
	}
	return b
}

// pressureRemedy says why a fixture lacks pressure and what would bring it: where no
// pipe can, what is short before any friction; else what costs most on the way.
func (k *checker) pressureRemedy(x *FixtureResult) (why, remedy string) {
	b := k.beforeFriction(x.Point)
	lack := x.Most - b.left
	if inPSI(lack) <= 0 {
		var most BudgetLine
		for _, line := range k.Budget(x.Point) {
			if line.Loss > most.Loss {
				most = line
			}
		}
		return "", k.Text("The greatest loss on the way is %s at %s, %v: enlarge there, or bring up the pressure.",
			most.What, most.Point, k.trade.pressure(most.Loss))
	}
	why = k.Text(" Height and devices leave %v before any friction, %v too little, and no larger pipe brings that.",
		k.trade.pressure(b.left), k.trade.pressure(lack))
	all := k.trade.pressure(x.Most - x.Available)
	remedy = k.Text("It takes %v more at the street, in these sizes, or a booster pump that adds it.", all)
	if b.regulator != "" {
		remedy = k.Text("Set the regulator at %s %v higher, in these sizes, if the pressure before it allows, or "+
			"set a booster pump that adds it.", b.regulator, all)
	}
	if b.dearest >= 0 {
		d, cost := k.Layout.data.Points[b.dearest].Device, k.Runs[b.dearest].Device
		part := "brings a part of it"
		if cost >= x.Most-x.Available {
			part = k.Text("by %v would do", all)
		}
		remedy += k.Text(" The %s at %s takes %v; one that takes less %s.", d.Kind, k.Layout.data.Points[b.dearest].ID,
			k.trade.pressure(cost), part)
	}
	return why, remedy
}
