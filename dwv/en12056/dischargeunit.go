package en12056

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/thousandths"
	"github.com/trapweir/trapweir/units"
)

// DischargeUnits is a drainage load of EN 12056-2 in thousandths of a discharge
// unit. A discharge unit is a litre a second, but a sum of them is no flow: the
// flow is K times its root. Sums and comparisons are exact.
type DischargeUnits int64

// DischargeUnit is one discharge unit, 1 L/s: 25*en12056.DischargeUnit. A load is a
// multiple of its thousandth, and a bare 25 is none: it is refused wherever a load is
// asked for.
const DischargeUnit DischargeUnits = thousandths.Unit

// MaxDischargeUnits is the greatest load that is accepted: a thousand million
// units.
const MaxDischargeUnits = 1_000_000_000 * DischargeUnit

// ErrDischargeUnits is wrapped by every error about discharge units that cannot be.
var ErrDischargeUnits = errors.New("not a load in discharge units")

// NewDischargeUnits makes a load from a number of units. Codes print one decimal;
// more than three, negative numbers and numbers over [MaxDischargeUnits] are
// refused.
func NewDischargeUnits(x float64) (DischargeUnits, error) {
	u := math.RoundToEven(x * 1000)
	if !(x >= 0 && u <= float64(MaxDischargeUnits/thousandths.Step)) || math.Abs(u-x*1000) > 1e-6*math.Max(1, u*1e-6) {
		return 0, fmt.Errorf("%w: %v is not a number from 0 to %d with at most three decimals", ErrDischargeUnits, x,
			MaxDischargeUnits/DischargeUnit)
	}
	return DischargeUnits(u) * thousandths.Step, nil
}

// Valid reports whether u is a whole number of thousandths within 0 and MaxDischargeUnits.
func (u DischargeUnits) Valid() bool { return thousandths.Valid(int64(u), int64(MaxDischargeUnits)) }

// Times returns n*u, or an error when the product or u is not Valid.
func (u DischargeUnits) Times(n int) (DischargeUnits, error) {
	if !u.Valid() || n < 0 || u > 0 && int64(n) > int64(MaxDischargeUnits/u) {
		return 0, fmt.Errorf("%w: %d times %v is more than %v", ErrDischargeUnits, n, u, MaxDischargeUnits)
	}
	return DischargeUnits(n) * u, nil
}

// Units returns u as a number of discharge units.
func (u DischargeUnits) Units() float64 { return float64(u) / float64(DischargeUnit) }

// Flow returns the flow of an appliance that is rated at u.
func (u DischargeUnits) Flow() units.Flow { return units.Flow(u.Units()) * units.LitrePerSecond }

// String writes "2.5 du".
func (u DischargeUnits) String() string {
	return strconv.FormatFloat(u.Units(), 'f', -1, 64) + " du"
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
	var errs []error
	if !argument.Positive(k) {
		errs = append(errs, argument.Outside("k", argument.Number(k), "positive"))
	}
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
