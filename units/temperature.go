package units

import "fmt"

// Temperature in kelvins; make one with [Celsius], [Fahrenheit] or [Kelvin]. It is
// no [Measure], for its scales do not begin at one zero.
type Temperature float64

// Kelvin makes a temperature from kelvins.
func Kelvin(x float64) Temperature { return Temperature(x) }

// Celsius makes a temperature from degrees Celsius: T = t + 273.15.
func Celsius(x float64) Temperature { return Temperature((float64(x*100) + 27315) / 100) }

// Fahrenheit makes a temperature from degrees Fahrenheit: T = (t + 459.67) 5/9.
func Fahrenheit(x float64) Temperature { return Temperature((float64(x*100) + 45967) / 180) }

// Kelvin returns t in kelvins.
func (t Temperature) Kelvin() float64 { return float64(t) }

// Celsius returns t in degrees Celsius.
func (t Temperature) Celsius() float64 { return (float64(float64(t)*100) - 27315) / 100 }

// Fahrenheit returns t in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return (float64(float64(t)*180) - 45967) / 100 }

// Minus returns the difference t - u.
func (t Temperature) Minus(u Temperature) TemperatureDifference {
	return TemperatureDifference(t - u)
}

// Plus returns the temperature that is d above t.
func (t Temperature) Plus(d TemperatureDifference) Temperature { return t + Temperature(d) }

func (Temperature) kind() kind { return kindTemperature }

// String returns the text that people read, rounded as [Measure.String] rounds.
func (t Temperature) String() string { return Measure[temperature](t).String() }

// Format implements [fmt.Formatter], as [Measure.Format] does.
func (t Temperature) Format(state fmt.State, verb rune) { Measure[temperature](t).Format(state, verb) }

// AppendText appends the shortest text that reads back as the same value; it fails for a
// value that is not finite.
func (t Temperature) AppendText(b []byte) ([]byte, error) {
	return Measure[temperature](t).AppendText(b)
}

// MarshalText returns the text of AppendText.
func (t Temperature) MarshalText() ([]byte, error) { return Measure[temperature](t).MarshalText() }

// UnmarshalText sets t by [Parse].
func (t *Temperature) UnmarshalText(text []byte) error {
	return (*Measure[temperature])(t).UnmarshalText(text)
}
