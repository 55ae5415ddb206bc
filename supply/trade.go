package supply

import (
	"encoding"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/units"
)

// Quantities in findings and workings are brought to what the trade reads, so that
// they print short and compare the same on every machine. Going by way of text gives
// the very value that somebody would have written.

// tidy returns the quantity that reads x, to some decimals, in a unit.
func tidy[T any, P interface {
	*T
	encoding.TextUnmarshaler
}](x float64, decimals int, unit string) T {
	var v T
	text := append(append(appendRounded(make([]byte, 0, 40), x, decimals), ' '), unit...)
	if err := P(&v).UnmarshalText(text); err != nil {
		return *new(T)
	}
	return v
}

// appendRounded appends x to some decimals.
func appendRounded(b []byte, x float64, decimals int) []byte {
	x = math.Round(x*1e9) / 1e9 // first what noise of the last bits could turn over
	if x = math.Round(x*math.Pow10(decimals)) / math.Pow10(decimals); x == 0 {
		x = 0 // not minus zero
	}
	return strconv.AppendFloat(b, x, 'f', decimals, 64)
}

// trade is the system of units that results are put in.
type trade struct{ metric bool }

func (a *Analysis) trade() trade {
	switch a.Options.Units {
	case Customary:
		return trade{false}
	case Metric:
		return trade{true}
	}
	return trade{!strings.HasSuffix(a.Layout.data.Source.Pressure.String(), "psi")}
}

// metricText is a quantity in a metric unit that its own type would not choose.
type metricText string

func (m metricText) String() string { return string(m) }

// inMetric returns a quantity that reads in a metric unit, short.
func inMetric[T fmt.Stringer, P interface {
	*T
	encoding.TextUnmarshaler
}](x float64, decimals int, unit string) fmt.Stringer {
	v := tidy[T, P](x, decimals, unit)
	if s := v.String(); strings.HasSuffix(s, " "+unit) {
		return v
	}
	text := string(appendRounded(nil, x, decimals))
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return metricText(text + " " + unit)
}

func (t trade) pressure(p units.Pressure) fmt.Stringer {
	if t.metric {
		return inMetric[units.Pressure](float64(p/units.Kilopascal), 1, "kPa")
	}
	return tidy[units.Pressure](float64(p/units.PoundForcePerSquareInch), 2, "psi")
}

func (t trade) velocity(v units.Velocity) fmt.Stringer {
	if t.metric {
		return inMetric[units.Velocity](float64(v/units.MetrePerSecond), 2, "m/s")
	}
	return tidy[units.Velocity](float64(v/units.FootPerSecond), 2, "ft/s")
}

func (t trade) flow(q units.Flow) fmt.Stringer {
	if t.metric {
		return inMetric[units.Flow](float64(q/units.LitrePerSecond), 3, "L/s")
	}
	return tidy[units.Flow](float64(q/units.USGallonPerMinute), 2, "gpm")
}

func (t trade) volume(v units.Volume) fmt.Stringer {
	if t.metric {
		return inMetric[units.Volume](float64(v/units.Litre), 2, "L")
	}
	return tidy[units.Volume](float64(v/units.USGallon), 3, "gal")
}

func (t trade) temperature(x units.Temperature) fmt.Stringer {
	if t.metric {
		return inMetric[units.Temperature](x.Celsius(), 1, "degC")
	}
	return tidy[units.Temperature](x.Fahrenheit(), 1, "degF")
}

// length is a length as laid: metres, or feet and inches.
func (t trade) length(l units.Length) fmt.Stringer {
	if t.metric {
		return metricText(strconv.FormatFloat(l.Metres(), 'f', -1, 64) + " m")
	}
	return l
}

// size is a size or a bore: millimetres, or inches. A size in inches stays so.
func (t trade) size(l units.Length) fmt.Stringer {
	if t.metric && l == 0 {
		return metricText("0 mm")
	}
	return l
}

// roughness is that of a pipe, to three figures.
func (t trade) roughness(l units.Length) string {
	if t.metric {
		return strconv.FormatFloat(l.Millimetres(), 'g', 3, 64) + " mm"
	}
	return strconv.FormatFloat(l.Inches(), 'g', 3, 64) + " in"
}

func (t trade) power(w units.Power) fmt.Stringer {
	if t.metric {
		return inMetric[units.Power](float64(w/units.Watt), 0, "W")
	}
	return tidy[units.Power](float64(w/units.BtuPerHour), 0, "Btu/h")
}

func (t trade) difference(d units.TemperatureDifference) fmt.Stringer {
	if t.metric {
		return inMetric[units.TemperatureDifference](float64(d), 1, "K")
	}
	return tidy[units.TemperatureDifference](d.Fahrenheit(), 1, "degF")
}

func (t trade) head(h units.Head) fmt.Stringer {
	if t.metric {
		return inMetric[units.Head](float64(h), 2, "m")
	}
	return tidy[units.Head](float64(h)/units.Foot.Metres(), 2, "ft")
}

func tidySeconds(d units.Duration) units.Duration { return tidy[units.Duration](float64(d), 1, "s") }
