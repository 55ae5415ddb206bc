package simultaneous

import (
	"errors"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/units"
)

// UseProbability returns the probability of finding a fixture in use that runs for
// duration once in every interval: duration/interval.
//
// Source: R. B. Hunter, National Bureau of Standards BMS 65 (1940).
func UseProbability(duration, interval units.Duration) (float64, error) {
	seconds, positive := argument.Between(0, 1e9, "s"), argument.Above(0, 1e9, "s")
	err := errors.Join(seconds.Check("duration", float64(duration)), positive.Check("interval", float64(interval)))
	if err == nil && duration > interval {
		err = argument.Refuse("duration", float64(duration), "s", "at most the interval, "+
			argument.Text(float64(interval), "s"))
	}
	if err != nil {
		return 0, err
	}
	return float64(duration / interval), nil
}
