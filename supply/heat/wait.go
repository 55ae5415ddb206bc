package heat

import (
	"errors"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// WaitTime returns how long an outlet of flow q runs before it has drawn off
// volume v: the wait for hot water that the volume of the pipe stands for. The
// first hot water mixes with the cold and warms the pipe, so the real wait is
// longer, by half again or more in common practice.
func WaitTime(v units.Volume, q units.Flow) (units.Duration, error) {
	s := argument.Between(0, 1e9, "m3")
	if err := errors.Join(s.Check("volume", float64(v)), argument.PositiveFlow.Check("flow", float64(q))); err != nil {
		return 0, err
	}
	t := float64(v) / float64(q)
	return units.Duration(t), argument.CheckResult("time", t)
}
