package units

// The quantities that flow are float64 in SI. Multiply a number by a constant to
// make one (25*units.USGallonPerMinute), call an accessor to read one. Zero is
// zero; a negative value means what it means (suction, a rise, the other
// direction) and is for the receiver to judge, as are NaN and infinities, which
// parsers never give and text methods refuse.

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
