package hydraulics

import (
	"errors"
	"sync"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// hazenWilliamsLimits are the conditions the formula was found in.
type hazenWilliamsLimits struct {
	bore      units.Length
	velocity  units.Velocity
	cold, hot units.Temperature
}

// frictionLimits reads them when they are first needed.
var frictionLimits = sync.OnceValues(func() (hazenWilliamsLimits, error) {
	rules, err := tables.Embedded().Rules("friction")
	if err != nil {
		return hazenWilliamsLimits{}, err
	}
	bore, _, e1 := tables.RuleValue[units.Length](rules, "hazen-williams-least-bore")
	velocity, _, e2 := tables.RuleValue[units.Velocity](rules, "hazen-williams-most-velocity")
	cold, _, e3 := tables.RuleValue[units.Temperature](rules, "hazen-williams-least-temperature")
	hot, _, e4 := tables.RuleValue[units.Temperature](rules, "hazen-williams-most-temperature")
	return hazenWilliamsLimits{bore, velocity, cold, hot}, errors.Join(e1, e2, e3, e4)
})

// notes returns the notes that hold for a pipe at any flow, and the velocity
// above which another is due.
func (l hazenWilliamsLimits) notes(f Friction) (Notes, float64) {
	var n Notes
	if f.Bore < l.bore {
		n |= NoteHazenWilliamsBore
	}
	if t := f.Water.Temperature; t != 0 && (t < l.cold || t > l.hot) {
		n |= NoteHazenWilliamsTemperature
	}
	// A velocity that differs by rounding only is not above.
	return n, float64(l.velocity) * (1 + 1e-9)
}
