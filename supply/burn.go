package supply

import (
	"fmt"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A BurnTime is what one published list says of the time in which water burns
// skin at a temperature. Lists differ by a factor of two and more.
type BurnTime struct {
	List   string // the document that gives it
	Injury string
	Person string
	// At is the row at the temperature or the next below it: the burn comes within
	// Within.
	At     units.Temperature
	Within units.Duration
	// After is the time of the next hotter row, before which the list knows no
	// burn; it is Within where the temperature is on a row, and 0 where the list ends.
	After    units.Duration
	Citation tables.Citation
}

type burnRow struct {
	List        string            `table:"list"`
	Injury      string            `table:"injury"`
	Person      string            `table:"person"`
	Temperature units.Temperature `table:"temperature"`
	Time        units.Duration    `table:"time"`
}

// BurnTimes returns what every list on the shelf says of water at temperature t,
// without interpolation. A list that begins at a higher temperature is left out: no
// answer does not mean no harm. Children and the old burn sooner than adults, whom
// most lists are for.
//
// The times say why codes limit the temperature at outlets. They are no limits of
// safety and choose no mixing valve.
func BurnTimes(shelf *tables.Shelf, t units.Temperature) ([]BurnTime, error) {
	if err := argument.CheckWater(float64(t)); err != nil {
		return nil, err
	}
	rows, err := tables.Load[burnRow](shelf, "hot-water/burn-times")
	if err != nil {
		return nil, fmt.Errorf("burn times: %w", err)
	}
	// A temperature that came through another unit meets the row it was meant for.
	const same = 1e-6
	var out []BurnTime
	for i := range rows.Len() {
		r := rows.At(i)
		last := len(out) - 1
		sameList := last >= 0 && out[last].List == r.List && out[last].Injury == r.Injury &&
			out[last].Person == r.Person
		switch {
		case r.Temperature <= t+same:
			b := BurnTime{List: r.List, Injury: r.Injury, Person: r.Person, At: r.Temperature, Within: r.Time,
				Citation: rows.Cite(i)}
			if r.Temperature >= t-same {
				b.After = r.Time
			}
			if sameList {
				out[last] = b
			} else {
				out = append(out, b)
			}
		case sameList && out[last].After == 0:
			out[last].After = r.Time
		}
	}
	return out, nil
}
