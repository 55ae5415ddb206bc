package heat

import (
	"errors"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/units"
)

// An InsulationCase compares a pipe bare and insulated between two draws of hot
// water.
type InsulationCase struct {
	// until the standing water is no longer usable
	Bare      units.Duration `json:"bare"`
	Insulated units.Duration `json:"insulated"`
	// Verdict says whether insulation changes what the next draw finds.
	Verdict InsulationVerdict `json:"verdict"`
	// Saved is the heat kept in the pipe while hot water runs or circulates
	// through it.
	Saved units.Power `json:"saved"`
}

// An InsulationVerdict says what insulation does for a pipe that is drawn from at
// intervals.
type InsulationVerdict uint8

const (
	// HotEitherWay: bare or insulated, the next draw finds usable water; what is
	// saved is heat.
	HotEitherWay InsulationVerdict = iota + 1
	// InsulationKeepsHot: the next draw finds usable water only if insulated.
	InsulationKeepsHot
	// PurgedEitherWay: bare or insulated, the water has cooled before the next
	// draw and is run off: insulation saves neither the wait nor the water.
	PurgedEitherWay
	// BareKeepsHot: the next draw finds usable water only if bare. Insulation under the
	// [CriticalRadius] lets more heat through than none.
	BareKeepsHot
)

var insulationVerdicts = enum.Words[InsulationVerdict]{What: "verdict of insulation", Words: []string{"",
	"usable at the next draw, bare or insulated",
	"usable at the next draw only if insulated",
	"cold at the next draw, bare or insulated: the pipe is purged either way",
	"usable at the next draw only if bare: so little insulation cools the pipe"}}

// String says in a few words what the verdict means.
func (v InsulationVerdict) String() string { return insulationVerdicts.String(v) }

// MarshalText returns the text of String.
func (v InsulationVerdict) MarshalText() ([]byte, error) { return insulationVerdicts.Marshal(v) }

// UnmarshalText reads the text of String.
func (v *InsulationVerdict) UnmarshalText(text []byte) error {
	return insulationVerdicts.Unmarshal(text, v)
}

// CompareInsulation tells when insulation pays on a pipe that holds water of
// temperature hot after a draw and is drawn from again after interval, where
// water under usable is run off. p describes the insulated pipe.
func (p Pipe) CompareInsulation(hot, usable, ambient units.Temperature, interval units.Duration) (InsulationCase,
	error) {
	bare := p
	bare.Insulation = 0
	var c InsulationCase
	var e1, e2, e3, e4 error
	c.Insulated, e1 = p.CoolingTime(hot, usable, ambient)
	if e1 != nil {
		return InsulationCase{}, e1
	}
	c.Bare, e2 = bare.CoolingTime(hot, usable, ambient)
	kept, e3 := p.Total(hot, ambient)
	lost, e4 := bare.Total(hot, ambient)
	s := argument.Between(0, 1e9, "s")
	if err := errors.Join(e2, e3, e4, s.Check("interval", float64(interval))); err != nil {
		return InsulationCase{}, err
	}
	c.Saved = lost - kept
	switch {
	case c.Bare >= interval && c.Insulated >= interval:
		c.Verdict = HotEitherWay
	case c.Insulated >= interval:
		c.Verdict = InsulationKeepsHot
	case c.Bare >= interval:
		c.Verdict = BareKeepsHot
	default:
		c.Verdict = PurgedEitherWay
	}
	return c, nil
}
