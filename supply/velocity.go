package supply

import (
	"fmt"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Service is what a water line carries.
type Service uint8

// The services of water lines. Recirculated water flows without end and wears
// pipe at velocities that a tap would not.
const (
	Cold Service = iota
	Hot
	Recirculated
)

var services = enum.Words[Service]{What: "line", Err: ErrQuery, Words: []string{"cold", "hot", "recirc"}}

// String returns "cold", "hot" or "recirc".
func (s Service) String() string { return services.String(s) }

// MarshalText returns the text of String.
func (s Service) MarshalText() ([]byte, error) { return services.Marshal(s) }

// UnmarshalText reads the text of String.
func (s *Service) UnmarshalText(text []byte) error { return services.Unmarshal(text, s) }

type velocityRow struct {
	Material       string                         `table:"material"`
	Service        string                         `table:"service"`
	MaxTemperature tables.Cell[units.Temperature] `table:"max_temperature"`
	Limit          units.Velocity                 `table:"limit"`
}

type velocityTable struct{ rows *tables.Rows[velocityRow] }

func (c *Code) loadVelocity(shelf *tables.Shelf, id string) error {
	rows, err := tables.Load[velocityRow](shelf, id)
	if err == nil {
		c.velocity = &velocityTable{rows}
	}
	return err
}

// VelocityLimit is the greatest velocity for a material and service.
type VelocityLimit struct {
	Velocity units.Velocity
	Citation tables.Citation
}

// VelocityLimit returns the greatest velocity in pipe of a material, such as
// "copper" or "pex", carrying water of a temperature. A material that the table
// does not list goes by the row for any; if there is none the error is
// [ErrNotInCode]. The quick-closing and connection rows of a table are asked for
// with [Code.VelocityLimitFor].
func (c *Code) VelocityLimit(material string, service Service, water units.Temperature) (VelocityLimit, error) {
	return c.VelocityLimitFor(material, service.String(), water)
}

// VelocityLimitFor is [Code.VelocityLimit] for a service by its word in the table:
// cold, hot, recirc, quick-closing or connection.
func (c *Code) VelocityLimitFor(material, service string, water units.Temperature) (VelocityLimit, error) {
	if c.velocity == nil {
		return VelocityLimit{}, c.missing("velocities")
	}
	if water != water {
		return VelocityLimit{}, fmt.Errorf("%w: water temperature is not a number", ErrQuery)
	}
	for _, m := range [...]string{material, "any"} {
		best, nearest := -1, false
		for i := range c.velocity.rows.Len() {
			r := c.velocity.rows.At(i)
			if r.Material != m || r.Service != service {
				continue
			}
			top, limited := r.MaxTemperature.Get()
			if limited && roundTo(water.Kelvin()) > roundTo(top.Kelvin()) {
				continue
			}
			// Rows ascend, one without a limit first: the first limited row that fits
			// reaches least far above the water.
			if best < 0 || limited && !nearest {
				best, nearest = i, limited
			}
		}
		if best >= 0 {
			return VelocityLimit{c.velocity.rows.At(best).Limit, c.velocity.rows.Cite(best)}, nil
		}
	}
	return VelocityLimit{}, fmt.Errorf("%w: %s gives no velocity for %q, %s", ErrNotInCode, c.id,
		fixture.Shorten(material), service)
}
