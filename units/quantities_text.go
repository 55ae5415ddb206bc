package units

import "fmt"

// The text forms of the float64 quantities. Each ParseX reads a number (12, 12.5,
// 1.2e-3, 3/8, 2 1/2) and a unit, to the nearest float64, and returns a *[ParseError]
// for anything else; each String prints the shortest text that reads back as the
// same value.

// ParseArea reads an area: 12 ft2, 40 sq in, 1.5 m2.
func ParseArea(s string) (Area, error) { return parse[Area](kindArea, s) }

// MustParseArea is [ParseArea] for constants in tests and examples; it panics on an error.
func MustParseArea(s string) Area { return must(ParseArea(s)) }

// String returns the shortest text that reads back as the same value.
func (a Area) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindArea, float64(a)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (a Area) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindArea, float64(a), "Area")
}

// AppendText appends [Area.String] to b; it fails for a value that is not finite.
func (a Area) AppendText(b []byte) ([]byte, error) { return appendText(b, kindArea, float64(a)) }

// MarshalText returns [Area.String] as text; it fails for a value that is not finite.
func (a Area) MarshalText() ([]byte, error) { return appendText(nil, kindArea, float64(a)) }

// UnmarshalText sets a by [ParseArea].
func (a *Area) UnmarshalText(text []byte) error { return unmarshal(kindArea, text, a) }

// ParseVolume reads a volume: 1.6 gal, 6 L, 2 yd3, 3 imp gal; gal, qt, pt and fl oz are the US liquid measures.
func ParseVolume(s string) (Volume, error) { return parse[Volume](kindVolume, s) }

// MustParseVolume is [ParseVolume] for constants in tests and examples; it panics on an error.
func MustParseVolume(s string) Volume { return must(ParseVolume(s)) }

// String returns the shortest text that reads back as the same value.
func (v Volume) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindVolume, float64(v)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (v Volume) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindVolume, float64(v), "Volume")
}

// AppendText appends [Volume.String] to b; it fails for a value that is not finite.
func (v Volume) AppendText(b []byte) ([]byte, error) { return appendText(b, kindVolume, float64(v)) }

// MarshalText returns [Volume.String] as text; it fails for a value that is not finite.
func (v Volume) MarshalText() ([]byte, error) { return appendText(nil, kindVolume, float64(v)) }

// UnmarshalText sets v by [ParseVolume].
func (v *Volume) UnmarshalText(text []byte) error { return unmarshal(kindVolume, text, v) }

// ParseFlow reads a flow: 12.5 gpm, 0.8 L/s, 2 cfs, 90 gph, 5 imp gpm; gpm, gph and gpd are US gallons.
func ParseFlow(s string) (Flow, error) { return parse[Flow](kindFlow, s) }

// MustParseFlow is [ParseFlow] for constants in tests and examples; it panics on an error.
func MustParseFlow(s string) Flow { return must(ParseFlow(s)) }

// String returns the shortest text that reads back as the same value.
func (f Flow) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindFlow, float64(f)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (f Flow) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindFlow, float64(f), "Flow")
}

// AppendText appends [Flow.String] to b; it fails for a value that is not finite.
func (f Flow) AppendText(b []byte) ([]byte, error) { return appendText(b, kindFlow, float64(f)) }

// MarshalText returns [Flow.String] as text; it fails for a value that is not finite.
func (f Flow) MarshalText() ([]byte, error) { return appendText(nil, kindFlow, float64(f)) }

// UnmarshalText sets f by [ParseFlow].
func (f *Flow) UnmarshalText(text []byte) error { return unmarshal(kindFlow, text, f) }

// ParseVelocity reads a velocity: 8 ft/s, 5 fps, 2.4 m/s.
func ParseVelocity(s string) (Velocity, error) { return parse[Velocity](kindVelocity, s) }

// MustParseVelocity is [ParseVelocity] for constants in tests and examples; it panics on an error.
func MustParseVelocity(s string) Velocity { return must(ParseVelocity(s)) }

// String returns the shortest text that reads back as the same value.
func (v Velocity) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindVelocity, float64(v)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (v Velocity) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindVelocity, float64(v), "Velocity")
}

// AppendText appends [Velocity.String] to b; it fails for a value that is not finite.
func (v Velocity) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindVelocity, float64(v))
}

// MarshalText returns [Velocity.String] as text; it fails for a value that is not finite.
func (v Velocity) MarshalText() ([]byte, error) { return appendText(nil, kindVelocity, float64(v)) }

// UnmarshalText sets v by [ParseVelocity].
func (v *Velocity) UnmarshalText(text []byte) error { return unmarshal(kindVelocity, text, v) }

// ParsePressure reads a gauge pressure: 60 psi, 413.7 kPa, 4 bar, 12 ft of water, 10 inHg, or a modulus as 2.19 GPa; an absolute pressure (psia) is refused.
func ParsePressure(s string) (Pressure, error) { return parse[Pressure](kindPressure, s) }

// MustParsePressure is [ParsePressure] for constants in tests and examples; it panics on an error.
func MustParsePressure(s string) Pressure { return must(ParsePressure(s)) }

// String returns the shortest text that reads back as the same value.
func (p Pressure) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindPressure, float64(p)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (p Pressure) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindPressure, float64(p), "Pressure")
}

// AppendText appends [Pressure.String] to b; it fails for a value that is not finite.
func (p Pressure) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindPressure, float64(p))
}

// MarshalText returns [Pressure.String] as text; it fails for a value that is not finite.
func (p Pressure) MarshalText() ([]byte, error) { return appendText(nil, kindPressure, float64(p)) }

// UnmarshalText sets p by [ParsePressure].
func (p *Pressure) UnmarshalText(text []byte) error { return unmarshal(kindPressure, text, p) }

// ParseHead reads a head of water: 138.6 ft, 42 m, 27 in of water, 138'-7".
func ParseHead(s string) (Head, error) { return parse[Head](kindHead, s) }

// MustParseHead is [ParseHead] for constants in tests and examples; it panics on an error.
func MustParseHead(s string) Head { return must(ParseHead(s)) }

// String returns the shortest text that reads back as the same value.
func (h Head) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindHead, float64(h)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (h Head) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindHead, float64(h), "Head")
}

// AppendText appends [Head.String] to b; it fails for a value that is not finite.
func (h Head) AppendText(b []byte) ([]byte, error) { return appendText(b, kindHead, float64(h)) }

// MarshalText returns [Head.String] as text; it fails for a value that is not finite.
func (h Head) MarshalText() ([]byte, error) { return appendText(nil, kindHead, float64(h)) }

// UnmarshalText sets h by [ParseHead].
func (h *Head) UnmarshalText(text []byte) error { return unmarshal(kindHead, text, h) }

// ParseMass reads a mass: 25 lb, 11.3 kg.
func ParseMass(s string) (Mass, error) { return parse[Mass](kindMass, s) }

// MustParseMass is [ParseMass] for constants in tests and examples; it panics on an error.
func MustParseMass(s string) Mass { return must(ParseMass(s)) }

// String returns the shortest text that reads back as the same value.
func (m Mass) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindMass, float64(m)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (m Mass) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindMass, float64(m), "Mass")
}

// AppendText appends [Mass.String] to b; it fails for a value that is not finite.
func (m Mass) AppendText(b []byte) ([]byte, error) { return appendText(b, kindMass, float64(m)) }

// MarshalText returns [Mass.String] as text; it fails for a value that is not finite.
func (m Mass) MarshalText() ([]byte, error) { return appendText(nil, kindMass, float64(m)) }

// UnmarshalText sets m by [ParseMass].
func (m *Mass) UnmarshalText(text []byte) error { return unmarshal(kindMass, text, m) }

// ParseDensity reads a density: 62.4 lb/ft3, 998.2 kg/m3.
func ParseDensity(s string) (Density, error) { return parse[Density](kindDensity, s) }

// MustParseDensity is [ParseDensity] for constants in tests and examples; it panics on an error.
func MustParseDensity(s string) Density { return must(ParseDensity(s)) }

// String returns the shortest text that reads back as the same value.
func (d Density) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindDensity, float64(d)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (d Density) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindDensity, float64(d), "Density")
}

// AppendText appends [Density.String] to b; it fails for a value that is not finite.
func (d Density) AppendText(b []byte) ([]byte, error) { return appendText(b, kindDensity, float64(d)) }

// MarshalText returns [Density.String] as text; it fails for a value that is not finite.
func (d Density) MarshalText() ([]byte, error) { return appendText(nil, kindDensity, float64(d)) }

// UnmarshalText sets d by [ParseDensity].
func (d *Density) UnmarshalText(text []byte) error { return unmarshal(kindDensity, text, d) }

// ParseDynamicViscosity reads a dynamic viscosity: 0.001 Pa-s, 1.0 cP.
func ParseDynamicViscosity(s string) (DynamicViscosity, error) {
	return parse[DynamicViscosity](kindDynamicViscosity, s)
}

// MustParseDynamicViscosity is [ParseDynamicViscosity] for constants in tests and examples; it panics on an error.
func MustParseDynamicViscosity(s string) DynamicViscosity { return must(ParseDynamicViscosity(s)) }

// String returns the shortest text that reads back as the same value.
func (d DynamicViscosity) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindDynamicViscosity, float64(d)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (d DynamicViscosity) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindDynamicViscosity, float64(d), "DynamicViscosity")
}

// AppendText appends [DynamicViscosity.String] to b; it fails for a value that is not finite.
func (d DynamicViscosity) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindDynamicViscosity, float64(d))
}

// MarshalText returns [DynamicViscosity.String] as text; it fails for a value that is not finite.
func (d DynamicViscosity) MarshalText() ([]byte, error) {
	return appendText(nil, kindDynamicViscosity, float64(d))
}

// UnmarshalText sets d by [ParseDynamicViscosity].
func (d *DynamicViscosity) UnmarshalText(text []byte) error {
	return unmarshal(kindDynamicViscosity, text, d)
}

// ParseKinematicViscosity reads a kinematic viscosity: 1.004e-6 m2/s, 1.1e-5 ft2/s, 1.0 cSt.
func ParseKinematicViscosity(s string) (KinematicViscosity, error) {
	return parse[KinematicViscosity](kindKinematicViscosity, s)
}

// MustParseKinematicViscosity is [ParseKinematicViscosity] for constants in tests and examples; it panics on an error.
func MustParseKinematicViscosity(s string) KinematicViscosity {
	return must(ParseKinematicViscosity(s))
}

// String returns the shortest text that reads back as the same value.
func (k KinematicViscosity) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindKinematicViscosity, float64(k)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (k KinematicViscosity) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindKinematicViscosity, float64(k), "KinematicViscosity")
}

// AppendText appends [KinematicViscosity.String] to b; it fails for a value that is not finite.
func (k KinematicViscosity) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindKinematicViscosity, float64(k))
}

// MarshalText returns [KinematicViscosity.String] as text; it fails for a value that is not finite.
func (k KinematicViscosity) MarshalText() ([]byte, error) {
	return appendText(nil, kindKinematicViscosity, float64(k))
}

// UnmarshalText sets k by [ParseKinematicViscosity].
func (k *KinematicViscosity) UnmarshalText(text []byte) error {
	return unmarshal(kindKinematicViscosity, text, k)
}

// ParsePower reads a power or heat flow: 40000 Btu/h, 11.7 kW, 5 hp.
func ParsePower(s string) (Power, error) { return parse[Power](kindPower, s) }

// MustParsePower is [ParsePower] for constants in tests and examples; it panics on an error.
func MustParsePower(s string) Power { return must(ParsePower(s)) }

// String returns the shortest text that reads back as the same value.
func (p Power) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindPower, float64(p)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (p Power) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindPower, float64(p), "Power")
}

// AppendText appends [Power.String] to b; it fails for a value that is not finite.
func (p Power) AppendText(b []byte) ([]byte, error) { return appendText(b, kindPower, float64(p)) }

// MarshalText returns [Power.String] as text; it fails for a value that is not finite.
func (p Power) MarshalText() ([]byte, error) { return appendText(nil, kindPower, float64(p)) }

// UnmarshalText sets p by [ParsePower].
func (p *Power) UnmarshalText(text []byte) error { return unmarshal(kindPower, text, p) }

// ParseHeatFlowPerLength reads a heat flow per length: 12 Btu/h-ft, 11.5 W/m.
func ParseHeatFlowPerLength(s string) (HeatFlowPerLength, error) {
	return parse[HeatFlowPerLength](kindHeatFlowPerLength, s)
}

// MustParseHeatFlowPerLength is [ParseHeatFlowPerLength] for constants in tests and examples; it panics on an error.
func MustParseHeatFlowPerLength(s string) HeatFlowPerLength { return must(ParseHeatFlowPerLength(s)) }

// String returns the shortest text that reads back as the same value.
func (h HeatFlowPerLength) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindHeatFlowPerLength, float64(h)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (h HeatFlowPerLength) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindHeatFlowPerLength, float64(h), "HeatFlowPerLength")
}

// AppendText appends [HeatFlowPerLength.String] to b; it fails for a value that is not finite.
func (h HeatFlowPerLength) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindHeatFlowPerLength, float64(h))
}

// MarshalText returns [HeatFlowPerLength.String] as text; it fails for a value that is not finite.
func (h HeatFlowPerLength) MarshalText() ([]byte, error) {
	return appendText(nil, kindHeatFlowPerLength, float64(h))
}

// UnmarshalText sets h by [ParseHeatFlowPerLength].
func (h *HeatFlowPerLength) UnmarshalText(text []byte) error {
	return unmarshal(kindHeatFlowPerLength, text, h)
}

// ParseConductivity reads a thermal conductivity: 0.04 W/m-K, 0.27 Btu-in/h-ft2-degF.
func ParseConductivity(s string) (Conductivity, error) {
	return parse[Conductivity](kindConductivity, s)
}

// MustParseConductivity is [ParseConductivity] for constants in tests and examples; it panics on an error.
func MustParseConductivity(s string) Conductivity { return must(ParseConductivity(s)) }

// String returns the shortest text that reads back as the same value.
func (c Conductivity) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindConductivity, float64(c)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (c Conductivity) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindConductivity, float64(c), "Conductivity")
}

// AppendText appends [Conductivity.String] to b; it fails for a value that is not finite.
func (c Conductivity) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindConductivity, float64(c))
}

// MarshalText returns [Conductivity.String] as text; it fails for a value that is not finite.
func (c Conductivity) MarshalText() ([]byte, error) {
	return appendText(nil, kindConductivity, float64(c))
}

// UnmarshalText sets c by [ParseConductivity].
func (c *Conductivity) UnmarshalText(text []byte) error { return unmarshal(kindConductivity, text, c) }

// ParseHeatTransferCoefficient reads a heat transfer coefficient: 10 W/m2-K, 1.65 Btu/h-ft2-degF.
func ParseHeatTransferCoefficient(s string) (HeatTransferCoefficient, error) {
	return parse[HeatTransferCoefficient](kindHeatTransferCoefficient, s)
}

// MustParseHeatTransferCoefficient is [ParseHeatTransferCoefficient] for constants in tests and examples; it panics on an error.
func MustParseHeatTransferCoefficient(s string) HeatTransferCoefficient {
	return must(ParseHeatTransferCoefficient(s))
}

// String returns the shortest text that reads back as the same value.
func (h HeatTransferCoefficient) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindHeatTransferCoefficient, float64(h)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (h HeatTransferCoefficient) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindHeatTransferCoefficient, float64(h), "HeatTransferCoefficient")
}

// AppendText appends [HeatTransferCoefficient.String] to b; it fails for a value that is not finite.
func (h HeatTransferCoefficient) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindHeatTransferCoefficient, float64(h))
}

// MarshalText returns [HeatTransferCoefficient.String] as text; it fails for a value that is not finite.
func (h HeatTransferCoefficient) MarshalText() ([]byte, error) {
	return appendText(nil, kindHeatTransferCoefficient, float64(h))
}

// UnmarshalText sets h by [ParseHeatTransferCoefficient].
func (h *HeatTransferCoefficient) UnmarshalText(text []byte) error {
	return unmarshal(kindHeatTransferCoefficient, text, h)
}

// ParseSpecificHeat reads a specific heat: 4.18 kJ/kg-K, 1 Btu/lb-degF.
func ParseSpecificHeat(s string) (SpecificHeat, error) {
	return parse[SpecificHeat](kindSpecificHeat, s)
}

// MustParseSpecificHeat is [ParseSpecificHeat] for constants in tests and examples; it panics on an error.
func MustParseSpecificHeat(s string) SpecificHeat { return must(ParseSpecificHeat(s)) }

// String returns the shortest text that reads back as the same value.
func (s SpecificHeat) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindSpecificHeat, float64(s)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (s SpecificHeat) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindSpecificHeat, float64(s), "SpecificHeat")
}

// AppendText appends [SpecificHeat.String] to b; it fails for a value that is not finite.
func (s SpecificHeat) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindSpecificHeat, float64(s))
}

// MarshalText returns [SpecificHeat.String] as text; it fails for a value that is not finite.
func (s SpecificHeat) MarshalText() ([]byte, error) {
	return appendText(nil, kindSpecificHeat, float64(s))
}

// UnmarshalText sets s by [ParseSpecificHeat].
func (s *SpecificHeat) UnmarshalText(text []byte) error { return unmarshal(kindSpecificHeat, text, s) }

// ParseDuration reads a time: 90 s, 1.5 min, 2 h.
func ParseDuration(s string) (Duration, error) { return parse[Duration](kindDuration, s) }

// MustParseDuration is [ParseDuration] for constants in tests and examples; it panics on an error.
func MustParseDuration(s string) Duration { return must(ParseDuration(s)) }

// String returns the shortest text that reads back as the same value.
func (d Duration) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindDuration, float64(d)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (d Duration) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindDuration, float64(d), "Duration")
}

// AppendText appends [Duration.String] to b; it fails for a value that is not finite.
func (d Duration) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindDuration, float64(d))
}

// MarshalText returns [Duration.String] as text; it fails for a value that is not finite.
func (d Duration) MarshalText() ([]byte, error) { return appendText(nil, kindDuration, float64(d)) }

// UnmarshalText sets d by [ParseDuration].
func (d *Duration) UnmarshalText(text []byte) error { return unmarshal(kindDuration, text, d) }

// ParseTemperature reads a temperature: 60 degF, 140 °F, 49 degC, 310 K; below absolute zero is refused.
func ParseTemperature(s string) (Temperature, error) { return parse[Temperature](kindTemperature, s) }

// MustParseTemperature is [ParseTemperature] for constants in tests and examples; it panics on an error.
func MustParseTemperature(s string) Temperature { return must(ParseTemperature(s)) }

// String returns the shortest text that reads back as the same value.
func (t Temperature) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindTemperature, float64(t)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (t Temperature) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindTemperature, float64(t), "Temperature")
}

// AppendText appends [Temperature.String] to b; it fails for a value that is not finite.
func (t Temperature) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindTemperature, float64(t))
}

// MarshalText returns [Temperature.String] as text; it fails for a value that is not finite.
func (t Temperature) MarshalText() ([]byte, error) {
	return appendText(nil, kindTemperature, float64(t))
}

// UnmarshalText sets t by [ParseTemperature].
func (t *Temperature) UnmarshalText(text []byte) error { return unmarshal(kindTemperature, text, t) }

// ParseTemperatureDifference reads a temperature difference: 10 degF (ten Fahrenheit degrees), 5.5 degC, 5.5 K.
func ParseTemperatureDifference(s string) (TemperatureDifference, error) {
	return parse[TemperatureDifference](kindTemperatureDifference, s)
}

// MustParseTemperatureDifference is [ParseTemperatureDifference] for constants in tests and examples; it panics on an error.
func MustParseTemperatureDifference(s string) TemperatureDifference {
	return must(ParseTemperatureDifference(s))
}

// String returns the shortest text that reads back as the same value.
func (t TemperatureDifference) String() string {
	return string(appendQuantity(make([]byte, 0, 32), kindTemperatureDifference, float64(t)))
}

// Format implements [fmt.Formatter]: %v is String; %.1f, %.3g and %e write the
// number in the customary unit, with # (%#.1f) in the metric one; width pads.
func (t TemperatureDifference) Format(state fmt.State, verb rune) {
	formatQuantity(state, verb, kindTemperatureDifference, float64(t), "TemperatureDifference")
}

// AppendText appends [TemperatureDifference.String] to b; it fails for a value that is not finite.
func (t TemperatureDifference) AppendText(b []byte) ([]byte, error) {
	return appendText(b, kindTemperatureDifference, float64(t))
}

// MarshalText returns [TemperatureDifference.String] as text; it fails for a value that is not finite.
func (t TemperatureDifference) MarshalText() ([]byte, error) {
	return appendText(nil, kindTemperatureDifference, float64(t))
}

// UnmarshalText sets t by [ParseTemperatureDifference].
func (t *TemperatureDifference) UnmarshalText(text []byte) error {
	return unmarshal(kindTemperatureDifference, text, t)
}
