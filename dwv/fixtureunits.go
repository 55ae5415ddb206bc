package dwv

import "github.com/trapweir/trapweir/tables"

// FixtureUnits is a drainage load in fixture units, exact to a thousandth; its methods and
// its text form, such as "0.5 dfu", are those of [tables.FixtureUnits]. 7 units are
// 7*dwv.FixtureUnit: a bare number is no load and is refused. Loads of water supply are
// another type.
type FixtureUnits = tables.FixtureUnits[tables.DrainLoad]

// One drainage fixture unit, and the greatest load that is accepted, a thousand million.
const (
	FixtureUnit     FixtureUnits = tables.FixtureUnit
	MaxFixtureUnits FixtureUnits = tables.MaxFixtureUnits
)

// thousandth of a fixture unit.
const thousandth = FixtureUnit / 1000

// ParseFixtureUnits reads "4 dfu", "0.5 dfu", "4 fu" or a bare "4" as
// [tables.ParseFixtureUnits] does.
func ParseFixtureUnits(s string) (FixtureUnits, error) {
	return tables.ParseFixtureUnits[tables.DrainLoad](s)
}

// scaled returns u*ratio/1000, or false when it is not a whole number of
// thousandths or is too great.
func scaled(u FixtureUnits, ratio int64) (FixtureUnits, bool) {
	n := int64(u / thousandth)
	if !u.Valid() || ratio < 0 || ratio > 0 && n > int64(MaxFixtureUnits)/ratio {
		return 0, false
	}
	p := n * ratio
	scaled := FixtureUnits(p/1000) * thousandth
	return scaled, p%1000 == 0 && scaled.Valid()
}
