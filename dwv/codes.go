package dwv

import (
	"slices"

	"github.com/trapweir/trapweir/internal/codes"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// covers names what the tables of a set answer.
var covers = [][2]string{
	{"fixtures", "fixture loads"},
	{"building-drain", "building drains"},
	{"building-sewer", "building sewers"},
	{"branches-and-stacks", "branches and stacks"},
	{"water-closets", "water closets on a drain"},
	{"min-grade", "grades"},
	{"trap-arm", "trap arms"},
	{"vent-sizes", "vents"},
	{"wet-vent", "wet vents"},
	{"common-vent", "common vents"},
	{"cleanout-size", "cleanouts"},
	{"fitting-turns", "fittings at turns"},
	{"pipe-standards", "pipe materials"},
}

// Codes returns the codes on a shelf by which drains can be sized, by id, with what each
// covers.
func Codes(shelf *tables.Shelf) ([]tables.CodeInfo, error) {
	ids, err := codeIDs(shelf)
	if err != nil {
		return nil, err
	}
	all, err := shelf.IDs()
	if err != nil {
		return nil, err
	}
	return codes.List(shelf, ids, LoadCode, covers, func(c *Code, table string) bool {
		return slices.Contains(all, c.id+"/"+table)
	})
}

// Fixtures returns the kinds of fixtures that the code rates, with labels.
func (c *Code) Fixtures() []tables.Choice { return tables.Choices(c.there().kindList...) }

// FixturesOf returns one fixture of a kind in every way in which the code tells it apart, each with the use,
// control, flush or size that its load needs and no more: what a form offers once the kind is
// chosen. A flush is the most that a row is for, or where that has no end twice its least.
func (c *Code) FixturesOf(kind string) []tables.Fixture {
	c = c.there()
	type answer struct {
		each, closets, traps, drain, branch int64
	}
	var traps []units.Length
	if slices.ContainsFunc(c.fixtureRows, func(r fixtureRow) bool { return r.byTrap || r.other }) {
		traps = c.traps.sizes()
	}
	return fixture.Ways(c.fixtures, kind, traps, func(f tables.Fixture) (answer, bool) {
		l, err := c.FixtureLoad(f)
		return answer{int64(l.Each), int64(l.Closets), int64(l.TrapSize), int64(l.MinDrain), int64(l.MinBranch)}, err == nil
	})
}

// NotJudged lists by family what stands in the code's tables for drains and vents and no
// check reads, so that whoever shows verdicts can say what they do not cover.
func (c *Code) NotJudged() ([]tables.Unjudged, error) {
	if c = c.there(); c.shelf == nil {
		return nil, c.fault("", "code", tables.ErrQuery, "none is given")
	}
	return c.shelf.NotJudged(c.id, tables.Drains)
}

// Materials returns the families of drainage pipe on the code's shelf, with labels: what the
// material of a run may name so that the bore and wall of its sizes are known. Pipe that is
// not among them is named "other: " and its name.
func (c *Code) Materials() ([]tables.Choice, error) {
	if c = c.there(); c.shelf == nil {
		return nil, c.fault("", "code", tables.ErrQuery, "none is given")
	}
	p, err := pipes.New(c.shelf)
	if err != nil {
		return nil, err
	}
	return p.Choices("drain"), nil
}

// Sizes returns the nominal sizes of one of the [Code.Materials], ascending.
func (c *Code) Sizes(material string) ([]units.Length, error) {
	list, err := c.Materials()
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(list, func(m tables.Choice) bool { return m.ID == material }) {
		return nil, c.fault("", "material", tables.ErrNotOnShelf, "%s", visible.Shorten(material))
	}
	p, err := pipes.New(c.shelf)
	if err != nil {
		return nil, err
	}
	if _, err = p.Find(material, 0); err != nil {
		return nil, err
	}
	return p.Sizes(material), nil
}

// Fittings returns the fittings whose turns some code of the shelf judges, with labels, for
// [Code.FittingTurn]. A run of a layout may name some more: drains.Fittings lists them.
func (c *Code) Fittings() []tables.Choice {
	if c = c.there(); c.shelf == nil {
		return nil
	}
	return tables.Choices(FittingsOn(c.shelf)...)
}
