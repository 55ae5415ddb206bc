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

// put returns the quantity that reads metric in the unit m, or customary in the unit
// u, each to some decimals.
func put[T fmt.Stringer, P interface {
	*T
	encoding.TextUnmarshaler
}](t trade, metric float64, m string, metricDecimals int, customary float64, u string, decimals int) fmt.Stringer {
	if !t.metric {
		return tidy[T, P](customary, decimals, u)
	}
	v := tidy[T, P](metric, metricDecimals, m)
	if s := v.String(); strings.HasSuffix(s, " "+m) {
		return v
	}
	text := string(appendRounded(nil, metric, metricDecimals))
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return metricText(text + " " + m)
}

func (t trade) pressure(p units.Pressure) fmt.Stringer {
	return put[units.Pressure](t, float64(p/units.Kilopascal), "kPa", 1, float64(p/units.PoundForcePerSquareInch),
		"psi", 2)
}

func (t trade) velocity(v units.Velocity) fmt.Stringer {
	return put[units.Velocity](t, float64(v/units.MetrePerSecond), "m/s", 2, float64(v/units.FootPerSecond), "ft/s", 2)
}

func (t trade) flow(q units.Flow) fmt.Stringer {
	return put[units.Flow](t, float64(q/units.LitrePerSecond), "L/s", 3, float64(q/units.USGallonPerMinute), "gpm", 2)
}

func (t trade) volume(v units.Volume) fmt.Stringer {
	return put[units.Volume](t, float64(v/units.Litre), "L", 2, float64(v/units.USGallon), "gal", 3)
}

func (t trade) power(w units.Power) fmt.Stringer {
	return put[units.Power](t, float64(w/units.Watt), "W", 0, float64(w/units.BtuPerHour), "Btu/h", 0)
}

func (t trade) head(h units.Head) fmt.Stringer {
	return put[units.Head](t, float64(h), "m", 2, float64(h)/units.Foot.Metres(), "ft", 2)
}

func (t trade) temperature(x units.Temperature) fmt.Stringer {
	return put[units.Temperature](t, x.Celsius(), "degC", 1, x.Fahrenheit(), "degF", 1)
}

func (t trade) difference(d units.TemperatureDifference) fmt.Stringer {
	return put[units.TemperatureDifference](t, float64(d), "K", 1, d.In(units.FahrenheitDifference), "degF", 1)
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

// bore is the inside of a pipe set against another: tenths of a millimetre or thousandths
// of an inch, where sixteenths would make two bores one.
func (t trade) bore(l units.Length) fmt.Stringer {
	if t.metric {
		return metricText(strconv.FormatFloat(math.Round(l.Millimetres()*10)/10, 'f', -1, 64) + " mm")
	}
	return plainText(strconv.FormatFloat(math.Round(l.Inches()*1000)/1000, 'f', -1, 64) + " in")
}

// roughness is that of a pipe, to three figures.
func (t trade) roughness(l units.Length) string {
	if t.metric {
		return strconv.FormatFloat(l.Millimetres(), 'g', 3, 64) + " mm"
	}
	return strconv.FormatFloat(l.Inches(), 'g', 3, 64) + " in"
}

func tidySeconds(d units.Duration) units.Duration { return tidy[units.Duration](float64(d), 1, "s") }
