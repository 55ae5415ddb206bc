package units

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

// KelvinDifference makes a temperature difference from kelvins, which are also
// Celsius degrees.
func KelvinDifference(x float64) TemperatureDifference { return TemperatureDifference(x) }

// FahrenheitDifference makes a temperature difference from Fahrenheit degrees.
func FahrenheitDifference(x float64) TemperatureDifference {
	return TemperatureDifference(x * (5. / 9))
}

// Kelvin returns d in kelvins, which are also Celsius degrees.
func (d TemperatureDifference) Kelvin() float64 { return float64(d) }

// Fahrenheit returns d in Fahrenheit degrees.
func (d TemperatureDifference) Fahrenheit() float64 { return float64(d) / (5. / 9) }
