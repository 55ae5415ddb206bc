package supply

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Quantities in findings and workings are brought to what the trade reads, so that
// they print short and compare the same on every machine: a number of few decimals, times
// the constant of its unit, which is the very value that somebody would have written.

// rounded brings a number to some decimals.
func rounded(x float64, decimals int) float64 {
	x = math.Round(x*1e9) / 1e9 // first what noise of the last bits could turn over
	if x = math.Round(x*math.Pow10(decimals)) / math.Pow10(decimals); x == 0 {
		return 0 // not minus zero
	}
	return x
}

// unitSystem is the system of units that results are put in.
type unitSystem struct{ metric bool }

func (a *Analysis) system() unitSystem {
	switch a.opt.Units {
	case Customary:
		return unitSystem{false}
	case Metric:
		return unitSystem{true}
	}
	return unitSystem{!strings.HasSuffix(a.layout.data.Source.Pressure.String(), "psi")}
}

// metricText is a quantity in a metric unit that its own type would not choose.
type metricText string

func (m metricText) String() string { return string(m) }

// measure is a quantity that is a number of a unit.
type measure interface {
	~float64
	fmt.Stringer
}

// figure is a unit, its name, and to how many decimals quantities are told in it.
type figure[T measure] struct {
	unit     T
	name     string
	decimals int
}

// in returns q in the unit of the figure, rounded.
func (f figure[T]) in(q T) float64 { return rounded(float64(q/f.unit), f.decimals) }

// number writes q with all its decimals, as workings do.
func (f figure[T]) number(q T) string {
	return fmt.Sprintf("%.*f", f.decimals, roundTo(float64(q/f.unit)))
}

// text is number with the unit.
func (f figure[T]) text(q T) string { return f.number(q) + " " + f.name }

// figures are the units of a system, and what the formulas of workings have in it.
type figures struct {
	pressure   figure[units.Pressure]
	velocity   figure[units.Velocity]
	flow       figure[units.Flow]
	volume     figure[units.Volume]
	power      figure[units.Power]
	head       figure[units.Head]
	difference figure[units.TemperatureDifference]

	length, bore       string
	perLength, perBore units.Length
	boreDecimals       int
	velocityFactor     float64 // of v = f Q/d2
}

// What workings multiply Q/d2 by to have a velocity.
const (
	customaryVelocity = 0.4085 // 231/(60 x 12 x pi/4): gpm and inches to feet a second
	metricVelocity    = 1273.2 // 1000/(pi/4): litres a second and millimetres to metres a second
)

var customaryFigures = figures{
	pressure:   figure[units.Pressure]{units.PoundForcePerSquareInch, "psi", 2},
	velocity:   figure[units.Velocity]{units.FootPerSecond, "ft/s", 2},
	flow:       figure[units.Flow]{units.USGallonPerMinute, "gpm", 2},
	volume:     figure[units.Volume]{units.USGallon, "gal", 3},
	power:      figure[units.Power]{unit: units.BtuPerHour, name: "Btu/h"},
	head:       figure[units.Head]{units.FootOfHead, "ft", 2},
	difference: figure[units.TemperatureDifference]{units.FahrenheitDifference, "degF", 1},
	length:     "ft", perLength: units.Foot, bore: "in", perBore: units.Inch, boreDecimals: 3,
	velocityFactor: customaryVelocity,
}

var metricFigures = figures{
	pressure:   figure[units.Pressure]{units.Kilopascal, "kPa", 1},
	velocity:   figure[units.Velocity]{units.MetrePerSecond, "m/s", 2},
	flow:       figure[units.Flow]{units.LitrePerSecond, "L/s", 3},
	volume:     figure[units.Volume]{units.Litre, "L", 2},
	power:      figure[units.Power]{unit: units.Watt, name: "W"},
	head:       figure[units.Head]{units.MetreOfHead, "m", 2},
	difference: figure[units.TemperatureDifference]{units.KelvinDifference, "K", 1},
	length:     "m", perLength: units.Metre, bore: "mm", perBore: units.Millimetre, boreDecimals: 1,
	velocityFactor: metricVelocity,
}

func (t unitSystem) figures() *figures {
	if t.metric {
		return &metricFigures
	}
	return &customaryFigures
}

// put returns q as a figure of the system.
func put[T measure](t unitSystem, q T, f figure[T]) fmt.Stringer {
	x := f.in(q)
	if q = T(x) * f.unit; !t.metric {
		return q
	}
	return metricOf(q, x, f.name)
}

// metricOf returns a quantity if it prints in a metric unit, and otherwise the text that it
// has in it.
func metricOf(q fmt.Stringer, x float64, unit string) fmt.Stringer {
	if strings.HasSuffix(q.String(), " "+unit) {
		return q
	}
	return metricText(strconv.FormatFloat(x, 'f', -1, 64) + " " + unit)
}

func (t unitSystem) pressure(p units.Pressure) fmt.Stringer { return put(t, p, t.figures().pressure) }

// hammer is the pressure of a wave, which nobody knows nearer than to 5 psi or 50 kPa.
func (t unitSystem) hammer(p units.Pressure) fmt.Stringer {
	if t.metric {
		return nominal(fmt.Sprintf("%.0f kPa", 50*math.Round(float64(p/(50*units.Kilopascal)))))
	}
	return nominal(fmt.Sprintf("%.0f psi", 5*math.Round(float64(p/(5*units.PoundForcePerSquareInch)))))
}

func (t unitSystem) velocity(v units.Velocity) fmt.Stringer { return put(t, v, t.figures().velocity) }

func (t unitSystem) flow(q units.Flow) fmt.Stringer { return put(t, q, t.figures().flow) }

func (t unitSystem) volume(v units.Volume) fmt.Stringer { return put(t, v, t.figures().volume) }

func (t unitSystem) power(w units.Power) fmt.Stringer { return put(t, w, t.figures().power) }

func (t unitSystem) head(h units.Head) fmt.Stringer { return put(t, h, t.figures().head) }

func (t unitSystem) temperature(x units.Temperature) fmt.Stringer {
	if !t.metric {
		return units.Fahrenheit(rounded(x.Fahrenheit(), 1))
	}
	degrees := rounded(x.Celsius(), 1)
	return metricOf(units.Celsius(degrees), degrees, "degC")
}

func (t unitSystem) difference(d units.TemperatureDifference) fmt.Stringer {
	return put(t, d, t.figures().difference)
}

// Text writes a quantity as findings and workings do: in the system of [Options.Units],
// rounded as the trade does; what is no quantity prints itself.
func (a *Analysis) Text(q fmt.Stringer) string {
	if q == nil {
		return ""
	}
	if a.made() != nil {
		return q.String()
	}
	return a.system().text(q, a.code.LoadUnit()).String()
}

// text returns the quantity that prints so, a load in the unit of its code.
func (t unitSystem) text(q fmt.Stringer, loads string) fmt.Stringer {
	switch q := q.(type) {
	case units.Length:
		if step := units.Inch / 16; !t.metric {
			return q.Round(step, units.HalfEven)
		}
		return t.length(q.Round(units.Millimetre, units.HalfEven))
	case units.Pressure:
		return t.pressure(q)
	case units.Velocity:
		return t.velocity(q)
	case units.Flow:
		return t.flow(q)
	case units.Volume:
		return t.volume(q)
	case units.Power:
		return t.power(q)
	case units.Head:
		return t.head(q)
	case units.Temperature:
		return t.temperature(q)
	case units.TemperatureDifference:
		return t.difference(q)
	case FixtureUnits:
		return nominal(q.In(loads))
	case units.Duration:
		return seconds(q)
	}
	return q
}

// length is a length as laid: metres, or feet and inches.
func (t unitSystem) length(l units.Length) fmt.Stringer {
	if t.metric {
		return metricText(strconv.FormatFloat(l.Metres(), 'f', -1, 64) + " m")
	}
	return l
}

// size is a size or a bore: millimetres, or inches. A size in inches stays so.
func (t unitSystem) size(l units.Length) fmt.Stringer {
	if t.metric && l == 0 {
		return metricText("0 mm")
	}
	return l
}

// bore is the inside of a pipe set against another: tenths of a millimetre or thousandths
// of an inch, where sixteenths would make two bores one.
func (t unitSystem) bore(l units.Length) fmt.Stringer {
	if t.metric {
		return metricText(strconv.FormatFloat(math.Round(l.Millimetres()*10)/10, 'f', -1, 64) + " mm")
	}
	return plainText(strconv.FormatFloat(math.Round(l.Inches()*1000)/1000, 'f', -1, 64) + " in")
}

// roughness is that of a pipe, to three figures.
func (t unitSystem) roughness(l units.Length) string {
	if t.metric {
		return strconv.FormatFloat(l.Millimetres(), 'g', 3, 64) + " mm"
	}
	return strconv.FormatFloat(l.Inches(), 'g', 3, 64) + " in"
}

// seconds is a duration in tenths of a second.
func seconds(d units.Duration) units.Duration { return units.Duration(rounded(float64(d), 1)) }

func (f *figures) boreText(d units.Length) string {
	return fmt.Sprintf("%.*f %s", f.boreDecimals, ratio(d, f.perBore), f.bore)
}

func ratio(l, per units.Length) float64 { return float64(l) / float64(per) }

// Working shows how a run was worked out, the way a textbook would: what was taken
// from where, the formula, the numbers in it with their units, the result. Units are
// those of [Options]. point counts as that of [Analysis.At]; any other panics, as the
// index of a slice does.
func (a *Analysis) Working(point int) []string {
	if a.made() != nil {
		return nil
	}
	l := a.layout
	t := a.system()
	u := t.figures()
	r := &a.runs[point]
	p := &l.data.Points[point]
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	say("load: %s on the %v line to %s", r.Load.In(a.code.unit), l.service[point], p.ID)
	a.workDemand(r, u, say)
	say("bore: %v %s has %s, by %v", r.name(), r.family.id, u.boreText(r.Bore), r.bore.Citation)
	if r.Flow > 0 {
		say("velocity: v = %g Q/d2 = %g x %s / (%s)2 = %s", u.velocityFactor, u.velocityFactor, u.flow.text(r.Flow),
			u.boreText(r.Bore), u.velocity.text(r.Velocity))
	}
	length := r.Length + r.Equivalent
	if r.Equivalent > 0 {
		say("length: %v laid + %v for fittings = %v%s", t.length(r.Length), t.length(r.Equivalent), t.length(length),
			cited(r.FittingRow))
	}
	loss := r.Friction + r.Fittings
	if r.Flow > 0 && length > 0 {
		what := fmt.Sprintf("%s, %s, %.1f %s: %s", u.flow.text(r.Flow), u.boreText(r.Bore), ratio(length, u.perLength),
			u.length, u.pressure.text(loss))
		if a.opt.method() == hydraulics.HazenWilliams {
			c, cite := r.family.C()
			say("friction: Hazen-Williams, C = %g (%v), %s", c, cite, what)
		} else {
			say("friction: Darcy-Weisbach, roughness %s, %s", t.roughness(r.family.roughness), what)
		}
	}
	if r.Rise != 0 {
		say("rise: %v x %.3f %s/%s = %s", t.length(l.riseOf(point)),
			roundTo(float64(r.Rise/u.pressure.unit))/ratio(l.riseOf(point), u.perLength), u.pressure.name, u.length,
			u.pressure.text(r.Rise))
	}
	if r.Device != 0 {
		say("%s: %s%s", p.Device.Kind, u.pressure.text(r.Device), cited(r.deviceLoss().Citation))
	}
	in := a.street
	if up := l.parent[point]; up >= 0 {
		in = a.runs[up].Out
	}
	switch {
	case r.Reduced > 0:
		say("regulator: takes off %s", u.pressure.text(r.Reduced))
	case r.Reduced < 0:
		say("booster: adds %s", u.pressure.text(-r.Reduced))
	}
	number := u.pressure.number
	say("pressure: %s - %s - %s - %s - %s = %s (before, friction, rise, device, regulator)",
		number(in), number(loss), number(r.Rise), number(r.Device), number(r.Reduced), u.pressure.text(r.Out))
	if r.Upper {
		say("the pressure is more than there will be: a run on the way has no known flow, and its friction is not " +
			"in it")
	}
	return out
}

func cited(c tables.Citation) string {
	if c.IsZero() {
		return ""
	}
	return ", by " + c.String()
}

// workDemand shows how the load became flow.
func (a *Analysis) workDemand(r *run, u *figures, say func(string, ...any)) {
	flow := u.flow.text(r.demanded())
	switch r.Basis {
	case FromTable:
		say("demand: %s, %v column, by %s", flow, r.System, (Demand{Citation: r.Demand, Next: r.DemandNext}).Why())
	case FromOutlets:
		say("demand: %s, the sum of the outlets' flows, for the load lies under the table", flow)
	case FromLargest:
		say("demand: %s, the greatest single outlet, %s", flow, a.whyLargest())
	case FromFormula:
		row := a.code.peak.rows.At(a.peakRow())
		say("demand: V = a (sum V)^b - c = %g x %g^%g - %g = %s, by %v", row.A, r.Load.Units(), row.B, row.C, flow,
			r.Demand)
	case FromSum:
		say("demand: %s, the sum of the outlets' flows, which the formula does not go above", flow)
	case FromUsageUnits:
		say("demand: %s, the greatest outlets of each usage unit together, by %v", flow, r.Demand)
	case FromOnly:
		say("demand: %s, all that its one fixture draws%s", flow, cited(r.Demand))
	case FromAll:
		say("demand: %s, all that its fixtures draw together, less than the table gives", flow)
	case FromFirstRow:
		say("demand: %s, the first row of the table, for the load lies under it and an outlet's flow is not known, "+
			"by %v", flow, r.Demand)
	case BeyondTable:
		say("demand: %s, carried on by a straight line through %s", flow,
			(Demand{Citation: r.Demand, Next: r.DemandNext}).Why())
	case FromUnlisted:
		say("demand: no load that the code gives")
	case NotKnown:
		say("demand: not known; the code sizes by the loading units and gives no flow for them")
	default:
		say("demand: none")
	}
	if r.Unlisted > 0 {
		say("fixtures without a load in the code: %s, added: %s", u.flow.text(r.Unlisted),
			u.flow.text(r.Flow-r.Continuous))
	}
	if r.Continuous > 0 {
		say("continuous flow: %s, added: %s", u.flow.text(r.Continuous), u.flow.text(r.Flow))
	}
}

// whyLargest says why the greatest outlet counts.
func (a *Analysis) whyLargest() string {
	switch {
	case a.code.peak != nil:
		return "which draws more than the formula gives"
	case a.code.sizesByUnits():
		return "the only one"
	}
	return "which draws more than the table gives"
}

// peakRow is the row of the code's formula for the layout's building, which the
// analysis has been through before.
func (a *Analysis) peakRow() int {
	i, err := a.code.peak.row(a.layout.data.Building)
	if err != nil {
		return 0
	}
	return i
}

// counted is a number of things, one or more.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
