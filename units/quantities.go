package units

// The quantities that flow, each a [Measure].
type (
	// Area in square metres: 12 ft2, 40 sq in, 1.5 m2.
	Area = Measure[area]
	// Volume in cubic metres: 1.6 gal, 6 L, 2 yd3, 3 imp gal; gal, qt, pt and fl oz
	// are the US liquid measures.
	Volume = Measure[volume]
	// Flow in cubic metres per second: 12.5 gpm, 0.8 L/s, 2 cfs, 90 gph, 5 imp gpm;
	// gpm, gph and gpd are US gallons.
	Flow = Measure[flow]
	// Velocity in metres per second: 8 ft/s, 5 fps, 2.4 m/s.
	Velocity = Measure[velocity]
	// Pressure in pascals, gauge unless a name says otherwise: 60 psi, 413.7 kPa,
	// 4 bar, 12 ft of water, 10 inHg, or a modulus as 2.19 GPa.
	//
	// Pressures are gauge; psig is psi, and psia is refused. A [Head] is the height of the water it is in, at the
	// density that water has: turning it into a pressure takes that density, and is done where
	// temperature is known, not here. The pressure units ft of water and in of water are
	// conventional: water of 1000 kg/m3 under standard gravity (9.80665 m/s2). The inch of mercury is
	// conventional too, at 13 595.1 kg/m3, mercury at 0 °C. Columns at a stated temperature
	// (water at 39.2 °F or 60 °F, mercury at 60 °F) differ from these by up to 0.3 % and are
	// not offered.
	Pressure = Measure[pressure]
	// Head of water in metres: 138.6 ft, 42 m, 27 in of water, 138'-7".
	Head = Measure[head]
	// Mass in kilograms: 25 lb, 11.3 kg.
	Mass = Measure[mass]
	// Density in kilograms per cubic metre: 62.4 lb/ft3, 998.2 kg/m3.
	Density = Measure[density]
	// DynamicViscosity in pascal seconds: 0.001 Pa-s, 1.0 cP.
	DynamicViscosity = Measure[dynamicViscosity]
	// KinematicViscosity in square metres per second: 1.004e-6 m2/s, 1.1e-5 ft2/s, 1.0 cSt.
	KinematicViscosity = Measure[kinematicViscosity]
	// Power, or heat flow, in watts: 40000 Btu/h, 11.7 kW, 5 hp.
	Power = Measure[power]
	// HeatFlowPerLength in watts per metre: 12 Btu/h-ft.
	HeatFlowPerLength = Measure[heatFlowPerLength]
	// Conductivity in watts per metre kelvin: 0.04 W/m-K, 0.02 Btu/h-ft-degF.
	Conductivity = Measure[conductivity]
	// HeatTransferCoefficient in watts per square metre kelvin: 10 W/m2-K.
	HeatTransferCoefficient = Measure[heatTransferCoefficient]
	// SpecificHeat in joules per kilogram kelvin: 4.18 kJ/kg-K, 1 Btu/lb-degF.
	SpecificHeat = Measure[specificHeat]
	// Duration in seconds: 90 s, 1.5 min, 2 h.
	Duration = Measure[duration]
	// TemperatureDifference in kelvins: 10 degF, 5.5 K.
	TemperatureDifference = Measure[temperatureDifference]
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

// Units of a difference between two temperatures; a kelvin is also a Celsius degree.
const (
	KelvinDifference     TemperatureDifference = 1
	FahrenheitDifference TemperatureDifference = 5. / 9
)
