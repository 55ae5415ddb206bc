package units

// The quantities that flow are float64 in SI. Multiply a number by a constant to
// make one (25*units.USGallonPerMinute), call an accessor to read one.

type (
	// Area in square metres.
	Area float64
	// Volume in cubic metres.
	Volume float64
	// Flow in cubic metres per second.
	Flow float64
	// Velocity in metres per second.
	Velocity float64
	// Pressure in pascals, gauge unless a name says otherwise.
	Pressure float64
	// Head of water in metres.
	Head float64
	// Mass in kilograms.
	Mass float64
	// Density in kilograms per cubic metre.
	Density float64
	// DynamicViscosity in pascal seconds.
	DynamicViscosity float64
	// KinematicViscosity in square metres per second.
	KinematicViscosity float64
	// Power, or heat flow, in watts.
	Power float64
	// HeatFlowPerLength in watts per metre.
	HeatFlowPerLength float64
	// Conductivity in watts per metre kelvin.
	Conductivity float64
	// HeatTransferCoefficient in watts per square metre kelvin.
	HeatTransferCoefficient float64
	// SpecificHeat in joules per kilogram kelvin.
	SpecificHeat float64
	// Duration in seconds.
	Duration float64
	// Temperature in kelvins; make one with Celsius, Fahrenheit or Kelvin.
	Temperature float64
	// TemperatureDifference in kelvins.
	TemperatureDifference float64
)

// Untyped so that every factor below is rounded once, from its exact value.
const (
	foot      = 0.3048
	inch      = 0.0254
	gallon    = 231 * inch * inch * inch
	impGallon = 4.54609e-3
	btu       = 1055.05585262
	pound     = 0.45359237
	psi       = pound * StandardGravity / (inch * inch)
)

// StandardGravity is 9.80665 m/s2, the conventional value (3rd CGPM, 1901).
const StandardGravity = 9.80665

// Units of area.
const (
	SquareMetre      Area = 1
	SquareMillimetre Area = 1e-6
	SquareInch       Area = inch * inch
	SquareFoot       Area = foot * foot
)

// Units of volume. A bare gallon does not exist here: name which.
const (
	CubicMetre     Volume = 1
	Litre          Volume = 1e-3
	CubicInch      Volume = inch * inch * inch
	CubicFoot      Volume = foot * foot * foot
	CubicYard      Volume = 27 * foot * foot * foot
	USGallon       Volume = gallon
	ImperialGallon Volume = impGallon
)

// Units of flow.
const (
	CubicMetrePerSecond     Flow = 1
	CubicMetrePerHour       Flow = 1. / 3600
	LitrePerSecond          Flow = 1e-3
	LitrePerMinute          Flow = 1e-3 / 60
	USGallonPerMinute       Flow = gallon / 60
	USGallonPerHour         Flow = gallon / 3600
	USGallonPerDay          Flow = gallon / 86400
	ImperialGallonPerMinute Flow = impGallon / 60
	CubicFootPerSecond      Flow = foot * foot * foot
	CubicFootPerMinute      Flow = foot * foot * foot / 60
)

// Units of velocity.
const (
	MetrePerSecond Velocity = 1
	FootPerSecond  Velocity = foot
)

// Units of pressure. The water columns are conventional: water of 1000 kg/m3 under standard
// gravity; so is the inch of mercury, at 13 595.1 kg/m3 (0 °C).
const (
	Pascal                  Pressure = 1
	Kilopascal              Pressure = 1e3
	Megapascal              Pressure = 1e6
	Gigapascal              Pressure = 1e9
	Bar                     Pressure = 1e5
	PoundForcePerSquareInch Pressure = psi
	FootOfWater             Pressure = foot * 1000 * StandardGravity
	InchOfWater             Pressure = inch * 1000 * StandardGravity
	InchOfMercury           Pressure = inch * 13595.1 * StandardGravity
)

// Units of head: the height of the water it is measured in, at whatever density it has.
const (
	MetreOfHead Head = 1
	FootOfHead  Head = foot
)

// Units of mass and density.
const (
	Kilogram              Mass    = 1
	Pound                 Mass    = pound
	KilogramPerCubicMetre Density = 1
	PoundPerCubicFoot     Density = pound / (foot * foot * foot)
)

// Units of viscosity.
const (
	PascalSecond         DynamicViscosity   = 1
	Centipoise           DynamicViscosity   = 1e-3
	SquareMetrePerSecond KinematicViscosity = 1
	SquareFootPerSecond  KinematicViscosity = foot * foot
	Centistokes          KinematicViscosity = 1e-6
)

// Units of power and of heat transfer, with the International Table Btu (1055.05585262 J).
const (
	Watt                           Power                   = 1
	Kilowatt                       Power                   = 1e3
	BtuPerHour                     Power                   = btu / 3600
	Horsepower                     Power                   = 550 * foot * pound * StandardGravity
	WattPerMetre                   HeatFlowPerLength       = 1
	BtuPerHourFoot                 HeatFlowPerLength       = btu / 3600 / foot
	WattPerMetreKelvin             Conductivity            = 1
	BtuPerHourFootFahrenheit       Conductivity            = btu / 3600 / foot * 9 / 5
	WattPerSquareMetreKelvin       HeatTransferCoefficient = 1
	BtuPerHourSquareFootFahrenheit HeatTransferCoefficient = btu / 3600 / (foot * foot) * 9 / 5
	JoulePerKilogramKelvin         SpecificHeat            = 1
	KilojoulePerKilogramKelvin     SpecificHeat            = 1e3
	BtuPerPoundFahrenheit          SpecificHeat            = btu / pound * 9 / 5
)

// Units of time.
const (
	Second Duration = 1
	Minute Duration = 60
	Hour   Duration = 3600
)

// Kelvin, Celsius and Fahrenheit make a temperature.
func Kelvin(x float64) Temperature     { return Temperature(x) }
func Celsius(x float64) Temperature    { return Temperature((float64(x*100) + 27315) / 100) }
func Fahrenheit(x float64) Temperature { return Temperature((float64(x*100) + 45967) / 180) }

// KelvinDifference and FahrenheitDifference make a temperature difference. A
// difference of one Celsius degree is one kelvin.
func KelvinDifference(x float64) TemperatureDifference { return TemperatureDifference(x) }
func FahrenheitDifference(x float64) TemperatureDifference {
	return TemperatureDifference(x * (5. / 9))
}

// Minus returns t - u.
func (t Temperature) Minus(u Temperature) TemperatureDifference { return TemperatureDifference(t - u) }

// Plus returns t raised by d.
func (t Temperature) Plus(d TemperatureDifference) Temperature { return t + Temperature(d) }

// Accessors return the value in the unit they name.

func (t Temperature) Kelvin() float64     { return float64(t) }
func (t Temperature) Celsius() float64    { return (float64(float64(t)*100) - 27315) / 100 }
func (t Temperature) Fahrenheit() float64 { return (float64(float64(t)*180) - 45967) / 100 }

func (d TemperatureDifference) Kelvin() float64     { return float64(d) }
func (d TemperatureDifference) Fahrenheit() float64 { return float64(d) / (5. / 9) }

func (a Area) SquareMetres() float64      { return float64(a / SquareMetre) }
func (a Area) SquareMillimetres() float64 { return float64(a / SquareMillimetre) }
func (a Area) SquareInches() float64      { return float64(a / SquareInch) }
func (a Area) SquareFeet() float64        { return float64(a / SquareFoot) }

func (v Volume) CubicMetres() float64     { return float64(v / CubicMetre) }
func (v Volume) Litres() float64          { return float64(v / Litre) }
func (v Volume) CubicFeet() float64       { return float64(v / CubicFoot) }
func (v Volume) CubicYards() float64      { return float64(v / CubicYard) }
func (v Volume) USGallons() float64       { return float64(v / USGallon) }
func (v Volume) ImperialGallons() float64 { return float64(v / ImperialGallon) }

func (f Flow) CubicMetresPerSecond() float64     { return float64(f / CubicMetrePerSecond) }
func (f Flow) CubicMetresPerHour() float64       { return float64(f / CubicMetrePerHour) }
func (f Flow) LitresPerSecond() float64          { return float64(f / LitrePerSecond) }
func (f Flow) LitresPerMinute() float64          { return float64(f / LitrePerMinute) }
func (f Flow) USGallonsPerMinute() float64       { return float64(f / USGallonPerMinute) }
func (f Flow) USGallonsPerHour() float64         { return float64(f / USGallonPerHour) }
func (f Flow) ImperialGallonsPerMinute() float64 { return float64(f / ImperialGallonPerMinute) }
func (f Flow) CubicFeetPerSecond() float64       { return float64(f / CubicFootPerSecond) }
func (f Flow) CubicFeetPerMinute() float64       { return float64(f / CubicFootPerMinute) }

func (v Velocity) MetresPerSecond() float64 { return float64(v / MetrePerSecond) }
func (v Velocity) FeetPerSecond() float64   { return float64(v / FootPerSecond) }

func (p Pressure) Pascals() float64     { return float64(p / Pascal) }
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }
func (p Pressure) Megapascals() float64 { return float64(p / Megapascal) }
func (p Pressure) Gigapascals() float64 { return float64(p / Gigapascal) }
func (p Pressure) Bar() float64         { return float64(p / Bar) }
func (p Pressure) PSI() float64         { return float64(p / PoundForcePerSquareInch) }

func (h Head) Metres() float64 { return float64(h / MetreOfHead) }
func (h Head) Feet() float64   { return float64(h / FootOfHead) }

func (m Mass) Kilograms() float64 { return float64(m / Kilogram) }
func (m Mass) Pounds() float64    { return float64(m / Pound) }

func (d Density) KilogramsPerCubicMetre() float64 { return float64(d / KilogramPerCubicMetre) }
func (d Density) PoundsPerCubicFoot() float64     { return float64(d / PoundPerCubicFoot) }

func (d DynamicViscosity) PascalSeconds() float64 { return float64(d / PascalSecond) }
func (d DynamicViscosity) Centipoise() float64    { return float64(d / Centipoise) }

func (k KinematicViscosity) SquareMetresPerSecond() float64 { return float64(k / SquareMetrePerSecond) }
func (k KinematicViscosity) SquareFeetPerSecond() float64   { return float64(k / SquareFootPerSecond) }
func (k KinematicViscosity) Centistokes() float64           { return float64(k / Centistokes) }

func (p Power) Watts() float64      { return float64(p / Watt) }
func (p Power) Kilowatts() float64  { return float64(p / Kilowatt) }
func (p Power) BtuPerHour() float64 { return float64(p / BtuPerHour) }
func (p Power) Horsepower() float64 { return float64(p / Horsepower) }

func (h HeatFlowPerLength) WattsPerMetre() float64  { return float64(h / WattPerMetre) }
func (h HeatFlowPerLength) BtuPerHourFoot() float64 { return float64(h / BtuPerHourFoot) }

func (c Conductivity) WattsPerMetreKelvin() float64 { return float64(c / WattPerMetreKelvin) }
func (c Conductivity) BtuPerHourFootFahrenheit() float64 {
	return float64(c / BtuPerHourFootFahrenheit)
}

func (h HeatTransferCoefficient) WattsPerSquareMetreKelvin() float64 {
	return float64(h / WattPerSquareMetreKelvin)
}
func (h HeatTransferCoefficient) BtuPerHourSquareFootFahrenheit() float64 {
	return float64(h / BtuPerHourSquareFootFahrenheit)
}

func (s SpecificHeat) JoulesPerKilogramKelvin() float64 { return float64(s / JoulePerKilogramKelvin) }
func (s SpecificHeat) KilojoulesPerKilogramKelvin() float64 {
	return float64(s / KilojoulePerKilogramKelvin)
}
func (s SpecificHeat) BtuPerPoundFahrenheit() float64 { return float64(s / BtuPerPoundFahrenheit) }

func (d Duration) Seconds() float64 { return float64(d / Second) }
func (d Duration) Minutes() float64 { return float64(d / Minute) }
func (d Duration) Hours() float64   { return float64(d / Hour) }
