package units

// SquareMetres returns a in square metres.
func (a Area) SquareMetres() float64 { return float64(a / SquareMetre) }

// SquareMillimetres returns a in square millimetres.
func (a Area) SquareMillimetres() float64 { return float64(a / SquareMillimetre) }

// SquareInches returns a in square inches.
func (a Area) SquareInches() float64 { return float64(a / SquareInch) }

// SquareFeet returns a in square feet.
func (a Area) SquareFeet() float64 { return float64(a / SquareFoot) }

// CubicMetres returns v in cubic metres.
func (v Volume) CubicMetres() float64 { return float64(v / CubicMetre) }

// Litres returns v in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

// CubicFeet returns v in cubic feet.
func (v Volume) CubicFeet() float64 { return float64(v / CubicFoot) }

// CubicYards returns v in cubic yards.
func (v Volume) CubicYards() float64 { return float64(v / CubicYard) }

// USGallons returns v in US gallons.
func (v Volume) USGallons() float64 { return float64(v / USGallon) }

// ImperialGallons returns v in imperial gallons.
func (v Volume) ImperialGallons() float64 { return float64(v / ImperialGallon) }

// CubicMetresPerSecond returns f in cubic metres per second.
func (f Flow) CubicMetresPerSecond() float64 { return float64(f / CubicMetrePerSecond) }

// CubicMetresPerHour returns f in cubic metres per hour.
func (f Flow) CubicMetresPerHour() float64 { return float64(f / CubicMetrePerHour) }

// LitresPerSecond returns f in litres per second.
func (f Flow) LitresPerSecond() float64 { return float64(f / LitrePerSecond) }

// LitresPerMinute returns f in litres per minute.
func (f Flow) LitresPerMinute() float64 { return float64(f / LitrePerMinute) }

// USGallonsPerMinute returns f in US gallons per minute.
func (f Flow) USGallonsPerMinute() float64 { return float64(f / USGallonPerMinute) }

// USGallonsPerHour returns f in US gallons per hour.
func (f Flow) USGallonsPerHour() float64 { return float64(f / USGallonPerHour) }

// USGallonsPerDay returns f in US gallons per day.
func (f Flow) USGallonsPerDay() float64 { return float64(f / USGallonPerDay) }

// ImperialGallonsPerMinute returns f in imperial gallons per minute.
func (f Flow) ImperialGallonsPerMinute() float64 { return float64(f / ImperialGallonPerMinute) }

// CubicFeetPerSecond returns f in cubic feet per second.
func (f Flow) CubicFeetPerSecond() float64 { return float64(f / CubicFootPerSecond) }

// CubicFeetPerMinute returns f in cubic feet per minute.
func (f Flow) CubicFeetPerMinute() float64 { return float64(f / CubicFootPerMinute) }

// MetresPerSecond returns v in metres per second.
func (v Velocity) MetresPerSecond() float64 { return float64(v / MetrePerSecond) }

// FeetPerSecond returns v in feet per second.
func (v Velocity) FeetPerSecond() float64 { return float64(v / FootPerSecond) }

// Pascals returns p in pascals.
func (p Pressure) Pascals() float64 { return float64(p / Pascal) }

// Kilopascals returns p in kilopascals.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// Megapascals returns p in megapascals.
func (p Pressure) Megapascals() float64 { return float64(p / Megapascal) }

// Gigapascals returns p in gigapascals.
func (p Pressure) Gigapascals() float64 { return float64(p / Gigapascal) }

// Bar returns p in bar.
func (p Pressure) Bar() float64 { return float64(p / Bar) }

// PSI returns p in pounds-force per square inch.
func (p Pressure) PSI() float64 { return float64(p / PoundForcePerSquareInch) }

// Metres returns h in metres.
func (h Head) Metres() float64 { return float64(h / MetreOfHead) }

// Feet returns h in feet.
func (h Head) Feet() float64 { return float64(h / FootOfHead) }

// Kilograms returns m in kilograms.
func (m Mass) Kilograms() float64 { return float64(m / Kilogram) }

// Pounds returns m in pounds.
func (m Mass) Pounds() float64 { return float64(m / Pound) }

// KilogramsPerCubicMetre returns d in kilograms per cubic metre.
func (d Density) KilogramsPerCubicMetre() float64 { return float64(d / KilogramPerCubicMetre) }

// PoundsPerCubicFoot returns d in pounds per cubic foot.
func (d Density) PoundsPerCubicFoot() float64 { return float64(d / PoundPerCubicFoot) }

// PascalSeconds returns d in pascal seconds.
func (d DynamicViscosity) PascalSeconds() float64 { return float64(d / PascalSecond) }

// Centipoise returns d in centipoise (mPa-s).
func (d DynamicViscosity) Centipoise() float64 { return float64(d / Centipoise) }

// SquareMetresPerSecond returns k in square metres per second.
func (k KinematicViscosity) SquareMetresPerSecond() float64 { return float64(k / SquareMetrePerSecond) }

// SquareFeetPerSecond returns k in square feet per second.
func (k KinematicViscosity) SquareFeetPerSecond() float64 { return float64(k / SquareFootPerSecond) }

// Centistokes returns k in centistokes (mm2/s).
func (k KinematicViscosity) Centistokes() float64 { return float64(k / Centistokes) }

// Watts returns p in watts.
func (p Power) Watts() float64 { return float64(p / Watt) }

// Kilowatts returns p in kilowatts.
func (p Power) Kilowatts() float64 { return float64(p / Kilowatt) }

// BtuPerHour returns p in Btu per hour (International Table Btu).
func (p Power) BtuPerHour() float64 { return float64(p / BtuPerHour) }

// Horsepower returns p in horsepower of 550 foot-pounds-force per second.
func (p Power) Horsepower() float64 { return float64(p / Horsepower) }

// WattsPerMetre returns h in watts per metre.
func (h HeatFlowPerLength) WattsPerMetre() float64 { return float64(h / WattPerMetre) }

// BtuPerHourFoot returns h in Btu per hour and foot (International Table Btu).
func (h HeatFlowPerLength) BtuPerHourFoot() float64 { return float64(h / BtuPerHourFoot) }

// WattsPerMetreKelvin returns c in watts per metre and kelvin.
func (c Conductivity) WattsPerMetreKelvin() float64 { return float64(c / WattPerMetreKelvin) }

// BtuPerHourFootFahrenheit returns c in Btu per hour, foot and degree Fahrenheit.
func (c Conductivity) BtuPerHourFootFahrenheit() float64 {
	return float64(c / BtuPerHourFootFahrenheit)
}

// WattsPerSquareMetreKelvin returns h in watts per square metre and kelvin.
func (h HeatTransferCoefficient) WattsPerSquareMetreKelvin() float64 {
	return float64(h / WattPerSquareMetreKelvin)
}

// BtuPerHourSquareFootFahrenheit returns h in Btu per hour, square foot and degree Fahrenheit.
func (h HeatTransferCoefficient) BtuPerHourSquareFootFahrenheit() float64 {
	return float64(h / BtuPerHourSquareFootFahrenheit)
}

// JoulesPerKilogramKelvin returns s in joules per kilogram and kelvin.
func (s SpecificHeat) JoulesPerKilogramKelvin() float64 { return float64(s / JoulePerKilogramKelvin) }

// KilojoulesPerKilogramKelvin returns s in kilojoules per kilogram and kelvin.
func (s SpecificHeat) KilojoulesPerKilogramKelvin() float64 {
	return float64(s / KilojoulePerKilogramKelvin)
}

// BtuPerPoundFahrenheit returns s in Btu per pound and degree Fahrenheit.
func (s SpecificHeat) BtuPerPoundFahrenheit() float64 { return float64(s / BtuPerPoundFahrenheit) }

// Seconds returns d in seconds.
func (d Duration) Seconds() float64 { return float64(d / Second) }

// Minutes returns d in minutes.
func (d Duration) Minutes() float64 { return float64(d / Minute) }

// Hours returns d in hours.
func (d Duration) Hours() float64 { return float64(d / Hour) }
