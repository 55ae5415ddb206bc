package dwv_test

import (
	"errors"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// FuzzLoadCode feeds rows of anyone's own tables: the code loads or is refused, and
// what loads answers without a panic.
func FuzzLoadCode(f *testing.F) {
	f.Add("a,lavatory,,,,,,1,1.25,,", "2,0.25,21,", "stack,0,2,10", "2,12,1.25,30")
	f.Add("a,closet;urinal,private;public,tank,1.6,,,3,,1,", "3,0.125,-,\n3,0.25,42,", "branch,0,2,6\nstack,0,2,10\nstack,3,2,24", ",8,1.5,unlimited")
	f.Add("a,sink,,,,,2,,2,,yes", "2,0.25,21,5\n4,0.25,200,", "roof,0,2,10", "2,12,1.25,-")
	f.Fuzz(func(t *testing.T, fixtures, drains, branches, vents string) {
		if len(fixtures)+len(drains)+len(branches)+len(vents) > 2000 {
			return
		}
		row := func(head, key, columns, rows string) *fstest.MapFile {
			return &fstest.MapFile{Data: []byte("# id: x/" + head + "\n# title: X\n# source: x\n# key: " + key + "\n" + columns + ",src,status\n" + rows + ",,read\n")}
		}
		c, err := dwv.LoadCode(tables.Open(fstest.MapFS{
			"sources.csv":               {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")},
			"x/fixtures.csv":            row("fixtures", "row", "row,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],closets[1],other_sizes", fixtures),
			"x/building-drain.csv":      row("building-drain", "size, grade", "size[in],grade[in/ft],max_load[dfu],min_load[dfu]", drains),
			"x/branches-and-stacks.csv": row("branches-and-stacks", "part, over_intervals, size", "part,over_intervals[1],size[in],max_load[dfu]", branches),
			"x/vent-sizes.csv":          row("vent-sizes", "drain, load, vent", "drain[in],load[dfu],vent[in],max_length[ft]", vents),
		}), "x")
		if err != nil {
			return
		}
		for _, fixture := range c.Fixtures() {
			kind := fixture.ID
			for _, use := range []tables.Use{tables.UseNotStated, tables.Private} {
				fixture := tables.Fixture{Kind: kind, Count: 2, Use: use, Size: units.Length(use) * 2 * units.Inch}
				if l, err := c.FixtureLoad(fixture); err == nil && (!l.Units.Valid() || l.Citation.IsZero()) {
					t.Fatalf("%+v: %+v", fixture, l)
				}
			}
		}
		for part := dwv.Branch; part <= dwv.Sewer; part++ {
			q := dwv.DrainQuery{Part: part, Load: 5 * dwv.FixtureUnit, Grade: slope.MustParse("1/4 in/ft"), Intervals: 4}
			r, err := c.DrainSize(q)
			if err == nil && (r.Size <= 0 || r.MaxLoad < q.Load || r.Citation.IsZero()) {
				t.Fatalf("%+v: %+v", q, r)
			}
			if err != nil && !errors.Is(err, tables.ErrNotInCode) && !errors.Is(err, tables.ErrOutsideTable) && !errors.Is(err, tables.ErrNotStated) {
				t.Fatalf("%+v: %v", q, err)
			}
		}
		for part := dwv.IndividualVent; part <= dwv.StackVent; part++ {
			q := dwv.VentQuery{Part: part, Drain: 2 * units.Inch, Load: 5 * dwv.FixtureUnit, Length: 10 * units.Foot}
			if r, err := c.VentSize(q); err == nil && (r.Size <= 0 || r.Citation.IsZero()) {
				t.Fatalf("%+v: %+v", q, r)
			}
		}
	})
}
