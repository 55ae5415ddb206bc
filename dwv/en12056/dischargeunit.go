package en12056

import (
	"errors"
	"fmt"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// DischargeUnits is a drainage load of EN 12056-2, exact to a thousandth; its methods and
// its text form, such as "2.5 du", are those of [tables.FixtureUnits]. A discharge unit is
// a litre a second, but a sum of them is no flow: the flow is K times its root. 25 units are
// 25*en12056.DischargeUnit: a bare number is no load and is refused.
type DischargeUnits = tables.FixtureUnits[tables.DischargeLoad]

// One discharge unit, 1 L/s, and the greatest load that is accepted, a thousand million.
const (
	DischargeUnit     DischargeUnits = tables.FixtureUnit
	MaxDischargeUnits DischargeUnits = tables.MaxFixtureUnits
)

// NewDischargeUnits makes a load from a number of units. Codes print one decimal;
// more than three, negative numbers and numbers over [MaxDischargeUnits] are
// refused.
func NewDischargeUnits(x float64) (DischargeUnits, error) {
	const thousandth = DischargeUnit / 1000
	u := math.RoundToEven(x * 1000)
	if !(x >= 0 && u <= float64(MaxDischargeUnits/thousandth)) || math.Abs(u-x*1000) > 1e-6*math.Max(1, u*1e-6) {
		return 0, fmt.Errorf("%w: %v is not a number from 0 to %d with at most three decimals", tables.ErrFixtureUnits, x,
			MaxDischargeUnits/DischargeUnit)
	}
	return DischargeUnits(u) * thousandth, nil
}

// WasteFlow returns the flow that a sum of discharge units is likely to bring:
//
//	Qww = K sqrt(sum DU)    and not less than the largest appliance
//
// k is the frequency factor in (L/s)^(1/2), largest the flow of the largest
// single appliance (0: none named).
//
// Units: K as printed, DU in L/s. Valid: K positive.
// Source: EN 12056-2:2000, 6.3.1 and 6.3.4.
func WasteFlow(k float64, sum DischargeUnits, largest units.Flow) (units.Flow, error) {
	errs := []error{argument.CheckPositive("k", k, "")}
	if !sum.Valid() {
		errs = append(errs, argument.Outside("load", sum.String(),
			"between 0 and 1e9 du, in thousandths; 7 units are 7*en12056.DischargeUnit"))
	}
	if largest != 0 && !argument.Positive(float64(largest)) {
		errs = append(errs, argument.Outside("largest", argument.Litres(largest), "zero or more"))
	}
	if err := errors.Join(errs...); err != nil {
		return 0, err
	}
	return max(units.Flow(k*math.Sqrt(sum.Units()))*units.LitrePerSecond, largest), nil
}
