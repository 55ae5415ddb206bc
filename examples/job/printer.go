package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// printer writes quantities in the unit system of the report, rounded to what the
// trade reads. Nominal sizes are names and are never converted.
type printer struct {
	si    bool
	full  bool // every pass in words, which the printed page does not show
	cites *sync.Map
	// lengths keeps the texts of lengths, of which findings have few.
	lengths *sync.Map
}

// newPrinter makes the printer of one report.
func newPrinter(si, full bool) printer {
	return printer{si: si, full: full, cites: new(sync.Map), lengths: new(sync.Map)}
}

// cite writes a citation, each once.
func (p printer) cite(c tables.Citation) string {
	if c.IsZero() {
		return ""
	}
	return once(p.cites, c, tables.Citation.String)
}

// once writes what was not written before. It may be asked by several at once; without a map it forgets.
func once[K comparable, T ~string](texts *sync.Map, k K, write func(K) T) T {
	if texts == nil {
		return write(k)
	}
	if text, ok := texts.Load(k); ok {
		return text.(T)
	}
	text := write(k)
	texts.Store(k, text)
	return text
}

// remembered writes each quantity once: a layout has few sizes, grades and loads.
func remembered[K comparable, T ~string](write func(K) T) func(K) T {
	texts := map[K]T{}
	return func(k K) T {
		s, ok := texts[k]
		if !ok {
			s = write(k)
			texts[k] = s
		}
		return s
	}
}

func round(x float64, places int) Quantity {
	if math.Abs(x) < 0.5*math.Pow10(-places) {
		x = 0 // never "-0.00"
	}
	return Quantity(strconv.FormatFloat(x, 'f', places, 64))
}

// asJudged rounds to the hundredth, as findings hold what they hold, and from there to the tenth: one
// figure reads the same in a schedule and in a finding.
func asJudged(x float64) float64 {
	for _, n := range [...]int{9, 2, 1} {
		x = math.Round(x*math.Pow10(n)) / math.Pow10(n)
	}
	return x
}

// either is one thing in a report in feet, gallons a minute and psi, and another in one in metres,
// litres a second and kilopascals.
func either[T any](p printer, us, si T) T {
	if p.si {
		return si
	}
	return us
}

// rounded is a number with its decimals and its unit.
type rounded struct {
	x      float64
	places int
	unit   Quantity // behind a blank
}

// in writes one or the other, by the units of the report.
func (p printer) in(si, us rounded) Quantity {
	x := either(p, us, si)
	return round(x.x, x.places) + x.unit
}

// run is a length of pipe: feet, inches and sixteenths, or metres. One that is not drawn in
// sixteenths, as of metres, is told to the inch.
func (p printer) run(l units.Length) Quantity {
	if p.si || l%(units.Inch/16) != 0 {
		return p.measured(l)
	}
	return feetInches(l, 16)
}

// measured is a developed length that was added up: feet and inches, the inch above, or
// metres.
func (p printer) measured(l units.Length) Quantity {
	if p.si {
		return round(l.Metres(), 2) + " m"
	}
	return feetInches((l+units.Inch-units.Inch/1000)/units.Inch*units.Inch, 1)
}

// elevation is a height on the job's datum, of what falls: feet and hundredths, or metres to
// the millimetre.
func (p printer) elevation(l units.Length) Quantity {
	return p.in(rounded{l.Metres(), 3, " m"}, rounded{l.Feet(), 2, " ft"})
}

// level is an elevation that nothing falls from, such as that of a floor: metres to the
// hundredth.
func (p printer) level(l units.Length) Quantity {
	return p.in(rounded{l.Metres(), 2, " m"}, rounded{l.Feet(), 2, " ft"})
}

// depth is a small vertical distance: inches and sixteenths, or millimetres.
func (p printer) depth(l units.Length) Quantity {
	if p.si {
		return round(l.Millimetres(), 0) + " mm"
	}
	return inches(l, 16)
}

// tape is a distance that a crew measures off: inches up to two feet, then feet and inches, or
// millimetres.
func (p printer) tape(l units.Length) Quantity {
	if !p.si && l > 2*units.Foot {
		return feetInches(l, 16)
	}
	return p.depth(l)
}

// cover is how deep a pipe lies, or how much depth is left: the quarter of an inch or
// the millimetre below, so that nobody counts on more than there is.
func (p printer) cover(l units.Length) Quantity {
	step := either(p, units.Inch/4, units.Millimetre)
	l += units.Inch / 1000 // what only arithmetic took from it
	if over := l % step; over < 0 {
		l -= step
	}
	l -= l % step
	if p.si {
		return round(l.Millimetres(), 0) + " mm"
	}
	return inches(l, 4)
}

// short is what a cover lacks: rounded up, so that it agrees with the cover.
func (p printer) short(l units.Length) Quantity {
	return Quantity(strings.TrimPrefix(string(p.cover(-l)), "-"))
}

// order is pipe to be bought: to the foot above, or the tenth of a metre.
func (p printer) order(l units.Length) Quantity {
	step := either(p, units.Foot, units.Metre/10)
	if over := l % step; over > 0 {
		l += step - over
	}
	return p.in(rounded{l.Metres(), 1, " m"}, rounded{l.Feet(), 0, " ft"})
}

// rod is a reading of a grade rod: feet, inches and eighths, or millimetres.
func (p printer) rod(l units.Length) Quantity {
	if p.si {
		return round(l.Millimetres(), 0) + " mm"
	}
	return feetInches(l, 8)
}

// size is a nominal size, the name the code gives a pipe.
func (p printer) size(l units.Length) Size {
	if l == 0 {
		return ""
	}
	if l%(units.Inch/8) != 0 && l%units.Millimetre == 0 {
		return Size(fmt.Sprintf("DN %d", int64(l/units.Millimetre)))
	}
	return Size(inches(l, 64))
}

// pipe is what a size of water pipe is called where it is bought.
func (p printer) pipe(f *supply.PipeFamily, size units.Length) Size {
	if f != nil {
		if name, ok := f.MetricName(size); ok {
			return Size(name)
		}
	}
	return p.size(size)
}

// pipeSize is a size of water pipe as a quantity: of pipe named by its outside diameter
// the millimetres.
func (p printer) pipeSize(f *supply.PipeFamily, size units.Length) Size {
	if name := p.pipe(f, size); f == nil || name == p.size(size) {
		return name
	}
	return Size(strconv.FormatFloat(size.Millimetres(), 'f', -1, 64) + " mm")
}

// bore is the inside of a sleeve: inches, or millimetres.
func (p printer) bore(l units.Length) Quantity {
	if l%(units.Inch/8) != 0 && l%units.Millimetre == 0 {
		return round(l.Millimetres(), 0) + " mm"
	}
	return Quantity(p.size(l))
}

func (p printer) grade(g slope.Grade) Quantity {
	if g.IsLevel() {
		return "level"
	}
	if p.si {
		return round(g.Percent(), 2) + " %"
	}
	return Quantity(g.String())
}

func (p printer) flow(f units.Flow) Quantity {
	us := rounded{float64(f / units.USGallonPerMinute), 1, " gpm"}
	if math.Abs(us.x) < 3 && !p.si {
		return Quantity(strings.TrimSuffix(string(round(us.x, 2)), "0")) + us.unit // outlets are known to the hundredth
	}
	return p.in(rounded{float64(f / units.LitrePerSecond), 2, " L/s"}, us)
}

// smallFlow is a flow of which a tenth of a gallon a minute counts, as one kept up in
// a return.
func (p printer) smallFlow(f units.Flow) Quantity {
	return p.in(rounded{float64(f / units.LitrePerSecond), 3, " L/s"},
		rounded{float64(f / units.USGallonPerMinute), 2, " gpm"})
}

func (p printer) velocity(v units.Velocity) Quantity {
	return p.in(rounded{float64(v), 2, " m/s"}, rounded{asJudged(float64(v / units.FootPerSecond)), 1, " ft/s"})
}

func (p printer) pressure(x units.Pressure) Quantity {
	return p.in(rounded{float64(x / units.Kilopascal), 0, " kPa"},
		rounded{asJudged(float64(x / units.PoundForcePerSquareInch)), 1, " psi"})
}

func (p printer) volume(v units.Volume) Quantity {
	si, us := rounded{float64(v / units.Litre), 1, " L"}, rounded{float64(v / units.USGallon), 1, " gal"}
	for _, x := range [...]*rounded{&si, &us} {
		if math.Abs(x.x) < 1 {
			x.places = 2 // what stands in a branch
		}
	}
	return p.in(si, us)
}

func (p printer) earth(v units.Volume) Quantity {
	return p.in(rounded{float64(v), 1, " m3"}, rounded{float64(v / units.CubicYard), 1, " yd3"})
}

func (p printer) power(w units.Power) Quantity {
	return p.in(rounded{float64(w), 0, " W"}, rounded{float64(w / units.BtuPerHour), 0, " Btu/h"})
}

func (p printer) head(h units.Head) Quantity {
	x := either(p, rounded{float64(h / units.FootOfHead), 1, " ft"}, rounded{float64(h), 2, " m"})
	if least := math.Pow10(-x.places); h > 0 && x.x < least/2 {
		return "less than " + round(least, x.places) + x.unit
	}
	return round(x.x, x.places) + x.unit
}

func (p printer) temperature(t units.Temperature) Quantity {
	return p.in(rounded{t.Celsius(), 0, " degC"}, rounded{t.Fahrenheit(), 0, " degF"})
}

func (p printer) time(d units.Duration) Quantity { return round(float64(d), 0) + " s" }

// figure prints a quantity of a finding. What rules about sizes compare are names of pipe, which
// are not converted.
func (p printer) figure(rule string, x fmt.Stringer) Quantity {
	l, ok := quantity(x).(units.Length)
	if ok && p.si && l%(units.Inch/8) == 0 && (strings.Contains(rule, "size") || rule == "vent-open" ||
		rule == "main-drain-undiminished") {
		return inches(l, 8)
	}
	return p.value(x)
}

// value prints any quantity that a finding may hold.
func (p printer) value(x fmt.Stringer) Quantity {
	switch v := quantity(x).(type) {
	case nil:
		return ""
	case units.Length:
		return once(p.lengths, v, p.length)
	case drains.Depth:
		return p.cover(units.Length(v))
	case drains.Shortage:
		return p.short(units.Length(v))
	case slope.Grade:
		return p.grade(v)
	case units.Flow:
		return p.flow(v)
	case units.Velocity:
		return p.velocity(v)
	case units.Pressure:
		return p.pressure(v)
	case units.Volume:
		return p.volume(v)
	case units.Duration:
		return p.time(v)
	}
	return Quantity(x.String())
}

// length is a length of a finding: feet and inches from two feet on, or metres from one metre on.
func (p printer) length(v units.Length) Quantity {
	switch {
	case p.si && (v >= units.Metre || v <= -units.Metre):
		// To the millimetre, for it may be an elevation, of what falls.
		return Quantity(strings.TrimSuffix(string(round(v.Metres(), 3)), "0")) + " m"
	case p.si:
		return round(v.Millimetres(), 0) + " mm"
	case v > 2*units.Foot || v < -2*units.Foot:
		return feetInches(v, 16)
	}
	return inches(v, 16)
}

// quantity returns x as one of the types of units where it is a length that prints
// itself in metres, which [units.Length] does not.
func quantity(x fmt.Stringer) fmt.Stringer {
	switch x.(type) {
	case nil, units.Length, slope.Grade, units.Flow, units.Velocity, units.Pressure, units.Volume, units.Duration,
		dwv.FixtureUnits, drains.Depth, drains.Shortage:
		return x
	}
	if text := x.String(); strings.HasSuffix(text, " m") {
		if l, err := units.Parse[units.Length](text); err == nil {
			return l
		}
	}
	return x
}

// text is value, for who wants plain text.
func (p printer) text(x fmt.Stringer) string { return string(p.value(x)) }

// margin prints what is left of a limit. Of a grade nothing is 0, and not level; what
// is no grade that anybody lays is told in percent.
func (p printer) margin(x fmt.Stringer) Quantity {
	g, ok := x.(slope.Grade)
	switch text := p.value(x); {
	case ok && g.IsLevel():
		return "0"
	case ok && strings.Contains(string(text), ":"):
		return round(g.Percent(), 2) + " %"
	default:
		return text
	}
}

// left prints the margin of a finding, so that it agrees with the rounded value and limit
// beside it.
func (p printer) left(f *tables.Finding) Quantity {
	if text := p.figure(f.Rule, f.Margin); f.Margin != nil && text != p.value(f.Margin) {
		return text
	}
	text := p.margin(f.Margin)
	switch f.Margin.(type) {
	case units.Pressure, units.Velocity, units.Volume, units.Flow:
	case units.Length, drains.Depth:
		value, err := units.Parse[units.Length](string(p.value(f.Value)))
		limit, errLimit := units.Parse[units.Length](string(p.value(f.Limit)))
		if err != nil || errLimit != nil {
			return text
		}
		between := max(value-limit, limit-value)
		if strings.HasPrefix(string(text), "-") {
			between = -between
		}
		return p.value(between)
	default:
		return text
	}
	value, unit, ok := p.value(f.Value).Value()
	limit, same, okLimit := p.value(f.Limit).Value()
	margin, _, okMargin := text.Value()
	if !ok || !okLimit || !okMargin || unit != same {
		return text
	}
	between := math.Abs(value - limit)
	if margin < 0 {
		between = -between
	}
	_, decimals, _ := strings.Cut(strings.Fields(string(p.value(f.Value)))[0], ".")
	return round(between, len(decimals)) + Quantity(" "+unit)
}

// inches writes `3 1/16 in`, to the nearest 1/den.
func inches(l units.Length, den int64) Quantity {
	neg, whole, num, d := fraction(l, den)
	b := append(make([]byte, 0, 32), neg...)
	if whole != 0 || num == 0 {
		b = strconv.AppendInt(b, whole, 10)
	}
	if num != 0 {
		if whole != 0 {
			b = append(b, ' ')
		}
		b = appendFraction(b, num, d)
	}
	return Quantity(append(b, " in"...))
}

// feetInches writes `37'-6 3/8"`, to the nearest 1/den inch.
func feetInches(l units.Length, den int64) Quantity {
	neg, whole, num, d := fraction(l, den)
	b := append(make([]byte, 0, 32), neg...)
	b = strconv.AppendInt(b, whole/12, 10)
	b = append(b, "'-"...)
	b = strconv.AppendInt(b, whole%12, 10)
	if num != 0 {
		b = appendFraction(append(b, ' '), num, d)
	}
	return Quantity(append(b, '"'))
}

func appendFraction(b []byte, num, d int64) []byte {
	return strconv.AppendInt(append(strconv.AppendInt(b, num, 10), '/'), d, 10)
}

func fraction(l units.Length, den int64) (neg string, whole, num, d int64) {
	tick := int64(units.Inch) / den
	n := int64(l)
	if n < 0 {
		neg, n = "-", -n
	}
	ticks := (n + tick/2) / tick
	if ticks == 0 {
		neg = ""
	}
	whole, num, d = ticks/den, ticks%den, den
	for num != 0 && num%2 == 0 {
		num, d = num/2, d/2
	}
	return neg, whole, num, d
}
