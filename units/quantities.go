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

const (
	SquareMetre      Area = 1
	SquareMillimetre      = 1e-6 * SquareMetre
	SquareInch            = 0.0254 * 0.0254 * SquareMetre
	SquareFoot            = 0.3048 * 0.3048 * SquareMetre

	CubicMetre     Volume = 1
	Litre                 = 1e-3 * CubicMetre
	CubicInch             = 0.0254 * 0.0254 * 0.0254 * CubicMetre
	CubicFoot             = 0.3048 * 0.3048 * 0.3048 * CubicMetre
	CubicYard             = 27 * CubicFoot
	USGallon              = 231 * CubicInch
	ImperialGallon        = 4.54609 * Litre

	CubicMetrePerSecond     Flow = 1
	CubicMetrePerHour            = CubicMetrePerSecond / 3600
	LitrePerSecond               = 1e-3 * CubicMetrePerSecond
	LitrePerMinute               = LitrePerSecond / 60
	USGallonPerMinute            = Flow(USGallon) / 60
	USGallonPerHour              = Flow(USGallon) / 3600
	ImperialGallonPerMinute      = Flow(ImperialGallon) / 60
	CubicFootPerSecond           = Flow(CubicFoot)
	CubicFootPerMinute           = Flow(CubicFoot) / 60

	MetrePerSecond Velocity = 1
	FootPerSecond           = 0.3048 * MetrePerSecond

	Pascal                  Pressure = 1
	Kilopascal                       = 1e3 * Pascal
	Megapascal                       = 1e6 * Pascal
	Gigapascal                       = 1e9 * Pascal
	Bar                              = 1e5 * Pascal
	PoundForcePerSquareInch          = 0.45359237 * 9.80665 / (0.0254 * 0.0254) * Pascal

	MetreOfHead Head = 1
	FootOfHead       = 0.3048 * MetreOfHead

	Watt       Power = 1
	BtuPerHour       = 1055.05585262 / 3600 * Watt

	Second Duration = 1
)

// StandardGravity is 9.80665 m/s2, the conventional value (3rd CGPM, 1901).
const StandardGravity = 9.80665

func Kelvin(x float64) Temperature     { return Temperature(x) }
func Celsius(x float64) Temperature    { return Temperature(x + 273.15) }
func Fahrenheit(x float64) Temperature { return Temperature((x + 459.67) * 5 / 9) }

// KelvinDifference and FahrenheitDifference make a temperature difference.
func KelvinDifference(x float64) TemperatureDifference { return TemperatureDifference(x) }
func FahrenheitDifference(x float64) TemperatureDifference {
	return TemperatureDifference(x * 5 / 9)
}

func (t Temperature) Kelvin() float64     { return float64(t) }
func (t Temperature) Celsius() float64    { return float64(t) - 273.15 }
func (t Temperature) Fahrenheit() float64 { return float64(t)*9/5 - 459.67 }
