package supply

import (
	"strings"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What a layout leaves unsaid is no pass in silence: each of these is a question where an
// answer hangs on it, else a line of what was taken.

// regulators says where a regulator was taken to hold its pressure at any flow, and
// asks where the fall-off that is usual would leave a fixture short.
func (k *checker) regulators() {
	l := k.Layout
	fall, err := k.Code.DeviceLoss(&Device{Kind: "regulator-fall-off"}, 0)
	if err != nil {
		return
	}
	for i := range l.data.Points {
		d := l.data.Points[i].Device
		if !d.regulator() || d.FallOff > 0 {
			continue
		}
		f := tables.Finding{
			Rule: "regulator-fall-off", Place: l.data.Points[i].ID, Verdict: tables.Pass,
			Limit: k.trade.pressure(fall.Loss),
			Reason: k.Text("No fall-off is given: the regulator is taken to hold %v at any flow.",
				k.trade.pressure(d.Set)),
		}
		var short []string
		for fix := range k.Fixtures {
			x := &k.Fixtures[fix]
			if x.Margin() < fall.Loss && k.feeds(i, x.Point) {
				short = append(short, l.data.Fixtures[fix].ID)
			}
		}
		if len(short) > 0 {
			f.Verdict, f.SettledBy, f.Citation = tables.Ask, tables.Designer, fall.Citation
			f.Reason += k.Text(" Regulators fall off by up to %v under flow, which would leave too little at %s.",
				k.trade.pressure(fall.Loss), shortList(short))
			f.Fix = "State its fall-off at the demand, from its maker's curve."
		}
		k.Add(f)
	}
}

// regulated reports whether every fixture stands behind a regulator, whose setting is
// then what stands there while nothing flows.
func (k *checker) regulated() bool {
	l := k.Layout
	behind := make([]bool, l.Len())
	for _, i := range l.order {
		behind[i] = l.data.Points[i].Device.regulator() || l.parent[i] >= 0 && behind[l.parent[i]]
	}
	for i := range l.data.Fixtures {
		for _, p := range [...]int32{l.cold[i], l.hot[i]} {
			if p >= 0 && !behind[p] {
				return false
			}
		}
	}
	return true
}

// regulatorOn returns the last regulator on the way to a point, and where it stands; nil:
// there is none.
func (k *checker) regulatorOn(point int) (*Device, string) {
	for i := int32(point); i >= 0; i = k.Layout.parent[i] {
		if p := &k.Layout.data.Points[i]; p.Device.regulator() {
			return p.Device, p.ID
		}
	}
	return nil, ""
}

// feeds reports whether the water to a point comes through another.
func (k *checker) feeds(from, to int) bool {
	for i := int32(to); i >= 0; i = k.Layout.parent[i] {
		if int(i) == from {
			return true
		}
	}
	return false
}

// closesTheWay names what shuts the way from a heater back to the main: a device, or a
// check valve drawn among the fittings of a cold run.
func (l *Layout) closesTheWay() string {
	for _, i := range l.order {
		p := &l.data.Points[i]
		if d := p.Device; d != nil {
			switch d.Kind {
			case "reduced-pressure", "double-check", "double-check-example", "dual-check", "backflow-any",
				"check-valve", "regulator":
				return d.Kind + " at " + p.ID
			}
		}
		for _, t := range p.Fittings {
			if l.service[i] == Cold && strings.Contains(t.Fitting, "check-valve") {
				return "check valve at " + p.ID
			}
		}
	}
	return ""
}

// ports asks about fixtures on a line that the code does not list for them, and about
// those that have hot water elsewhere and none here.
func (k *checker) ports() {
	l := k.Layout
	items, err := l.items(k.Code)
	if err != nil {
		return
	}
	var cold []string
	for i := range items {
		switch f := &l.data.Fixtures[i]; {
		case items[i].ports == "cold" && l.hot[i] >= 0:
			k.Add(tables.Finding{
				Rule: "fixture-ports", Place: f.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
				Citation: items[i].Citation,
				Reason:   k.Text("A %s takes cold water only; it is drawn with a hot port at %s.", f.Kind, f.Hot),
				Fix:      "Move its port to the cold line.",
			})
		case items[i].ports == "both" && l.hot[i] < 0 && l.cold[i] >= 0 && f.Kind != "bidet":
			cold = append(cold, f.ID)
		}
	}
	if len(cold) > 0 {
		k.Add(tables.Finding{
			Rule: "fixture-ports", Place: cold[0], Verdict: tables.Ask, SettledBy: tables.Designer,
			Reason: k.Text("Drawn on cold water only, without a hot port: %s. The whole load is taken on the cold "+
				"line.", shortList(cold)),
			Fix: "State the hot port, or leave it so if there is none.",
		})
	}
}

// fittingsUnsaid says how many runs name no fitting, for which none is counted, and asks
// where half their friction again would leave a fixture short.
func (k *checker) fittingsUnsaid() {
	l := k.Layout
	extra := make([]units.Pressure, l.Len()) // half the friction of runs without fittings, from the source
	without := 0
	for _, i := range l.order {
		if p := l.parent[i]; p >= 0 {
			extra[i] = extra[p]
		}
		if len(l.data.Points[i].Fittings) == 0 && l.data.Points[i].Length > 0 {
			extra[i] += k.Runs[i].Friction / 2
			without++
		}
	}
	if without == 0 {
		return
	}
	if x := l.data.FittingsAllowance; x > 0 {
		k.Add(tables.Finding{Rule: "fittings-not-given", Place: l.data.Source.ID, Verdict: tables.Pass,
			Value: count(without),
			Reason: k.Text("The job adds %.0f %% of their length for fittings to the runs that name none: %s.", 100*x,
				counted(without, "run"))})
		return
	}
	f := tables.Finding{Rule: "fittings-not-given", Place: l.data.Source.ID, Verdict: tables.Pass,
		Value:  count(without),
		Reason: k.Text("No loss of fittings is counted for the runs that name none: %s.", counted(without, "run"))}
	var short []string
	for fix := range k.Fixtures {
		if x := &k.Fixtures[fix]; x.Most > 0 && x.Margin() >= 0 && x.Margin() < extra[x.Point] {
			short = append(short, l.data.Fixtures[fix].ID)
		}
	}
	if len(short) > 0 {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason += k.Text(" Half as much friction again, as fittings often take, would leave too little at %s.",
			shortList(short))
		f.Fix = "State the fittings of the runs on the way."
	}
	k.Add(f)
}
