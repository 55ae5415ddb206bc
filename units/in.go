package units

import (
	"fmt"
	"math"
)

// In returns a typed quantity in a unit that is known by name only at run time,
// such as one picked from a list: In(flow, "m3/h"). Where the unit is known
// beforehand the accessors (flow.CubicMetresPerHour()) are shorter and cannot fail. The
// error matches [ErrUnit] for an unknown unit or one of another kind, and [ErrRange]
// for a value that is not finite or a length that is not [Length.Valid].
func In[T Length | Area | Volume | Flow | Velocity | Pressure | Head | Mass | Density | DynamicViscosity | KinematicViscosity |
	Power | HeatFlowPerLength | Conductivity | HeatTransferCoefficient | SpecificHeat | Duration | Temperature | TemperatureDifference](v T, unit string) (float64, error) {
	k, si := kindOf(any(v))
	u, ok := lookup(k, unit)
	switch {
	case ok:
	case kindsOf(unit) == "":
		return 0, fmt.Errorf("%s in %q: not a unit this package knows: %w", k, unit, ErrUnit)
	default:
		return 0, fmt.Errorf("%s in %q: a unit of %s: %w", k, unit, kindsOf(unit), ErrUnit)
	}
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return 0, fmt.Errorf("%s %v: %w", k, si, ErrRange)
	}
	if l, ok := any(v).(Length); ok {
		if !l.Valid() {
			return 0, errLengthRange()
		}
		return quantityOfLength(l).In(unit)
	}
	return inUnit(si, u), nil
}

func kindOf(v any) (kind, float64) {
	switch v := v.(type) {
	case Area:
		return kindArea, float64(v)
	case Volume:
		return kindVolume, float64(v)
	case Flow:
		return kindFlow, float64(v)
	case Velocity:
		return kindVelocity, float64(v)
	case Pressure:
		return kindPressure, float64(v)
	case Head:
		return kindHead, float64(v)
	case Mass:
		return kindMass, float64(v)
	case Density:
		return kindDensity, float64(v)
	case DynamicViscosity:
		return kindDynamicViscosity, float64(v)
	case KinematicViscosity:
		return kindKinematicViscosity, float64(v)
	case Power:
		return kindPower, float64(v)
	case HeatFlowPerLength:
		return kindHeatFlowPerLength, float64(v)
	case Conductivity:
		return kindConductivity, float64(v)
	case HeatTransferCoefficient:
		return kindHeatTransferCoefficient, float64(v)
	case SpecificHeat:
		return kindSpecificHeat, float64(v)
	case Duration:
		return kindDuration, float64(v)
	case Temperature:
		return kindTemperature, float64(v)
	case TemperatureDifference:
		return kindTemperatureDifference, float64(v)
	}
	l, _ := v.(Length)
	return kindLength, l.Metres()
}
