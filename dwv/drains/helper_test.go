package drains

import (
	"fmt"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/finding/findingtest"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// townCode is a code with the amendments of a town: an emergency floor drain may go
// unvented within 25 ft, as is common practice where a locality allows it, and a
// lower limit for drains below ground.
func townCode(t testing.TB, id string) *dwv.Code {
	t.Helper()
	return amendedCode(t, id, "set,below-ground-min-size,2,in,2,town,read\nset,floor-drain-unvented-reach,25,ft,1,town,read\nset,trap-arm-max-fall,1,pipe diameters,3,town,read\n")
}

// amendedCode is a code with rules amended: rows of op, rule, value, unit, section,
// src, status.
func amendedCode(t testing.TB, id, rows string) *dwv.Code {
	t.Helper()
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv":     {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		id + "/rules.csv": {Data: []byte("# id: " + id + "/rules\n# source: town\nop,rule,value,unit,section,src,status\n" + rows)},
	})
	if err != nil {
		t.Fatal(err)
	}
	c, err := dwv.LoadCode(shelf, id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

const (
	in = units.Inch
	ft = units.Foot
)

// codes are those of the embedded shelf that were loaded, by id.
var codes sync.Map

// mustCode returns a code of the embedded shelf.
func mustCode(t testing.TB, id string) *dwv.Code {
	t.Helper()
	if c, ok := codes.Load(id); ok {
		return c.(*dwv.Code)
	}
	load := dwv.LoadCode
	if id == en12056.ID {
		load = dwv.LoadRules
	}
	c, err := load(tables.Embedded(), id)
	if err != nil {
		t.Fatal(err)
	}
	codes.Store(id, c)
	return c
}

func codeOn(t testing.TB, shelf *tables.Shelf, id string) *dwv.Code {
	t.Helper()
	c, err := dwv.LoadCode(shelf, id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// ownCode is a code made of the tables given: their names, with key, columns and rows.
func ownCode(files map[string]string) (*dwv.Code, error) {
	fs := fstest.MapFS{"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")}}
	for name, text := range files {
		fs["x/"+name+".csv"] = &fstest.MapFile{Data: []byte("# id: x/" + name + "\n# title: X\n# source: x\n" + text)}
	}
	return dwv.LoadCode(tables.Open(fs), "x")
}

func mustOwnCode(t *testing.T, files map[string]string) *dwv.Code {
	t.Helper()
	c, err := ownCode(files)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

const fixtureHead = "# key: row\nrow,fixture,use,control,flush_over[gal],flush_to[gal],size[in],load[dfu],trap[in],closets[1],src,status\n"

// nm is the least step of a length.
const nm = units.Length(1)

// buildErr is what New says of a layout.
func buildErr(l *Data) error {
	_, err := New(*l)
	return err
}

// mustBuild returns a layout that New takes.
func mustBuild(t testing.TB, l *Data) *Data {
	t.Helper()
	mustNew(t, l)
	return l
}

func mustNew(t testing.TB, l *Data) *Layout {
	t.Helper()
	made, err := New(*l)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func mustIndex(t testing.TB, l *Data) *tree {
	t.Helper()
	return mustNew(t, l).tree
}

// sizeOf sizes a layout as it is now.
func sizeOf(l *Data, c *dwv.Code, opt ...Options) (*Sizing, error) {
	made, err := New(*l)
	if err != nil {
		return nil, err
	}
	if c.ID() == en12056.ID {
		e, err := en12056.LoadStandard(c.Shelf())
		if err != nil {
			return nil, err
		}
		return made.SizeEuropean(e, EuropeanOptions{})
	}
	return made.Size(c, append(opt, Options{})[0])
}

func mustSize(t testing.TB, l *Data, c *dwv.Code) *Sizing {
	t.Helper()
	s, err := sizeOf(l, c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// checkOf sizes and checks a layout as it is now.
func checkOf(l *Data, c *dwv.Code, opt CheckOptions, size ...Options) ([]tables.Finding, error) {
	s, err := sizeOf(l, c, size...)
	if err != nil {
		return nil, err
	}
	if opt.Print == nil {
		opt.Print = fmt.Stringer.String // figures as they were measured
	}
	return s.Check(opt)
}

func mustCheck(t testing.TB, l *Data, c *dwv.Code) []tables.Finding {
	t.Helper()
	f, err := checkOf(l, c, CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	findingtest.Settled(t, f)
	return f
}

// parse reads what a layout says.
func parse(name string, data []byte, codes ...*dwv.Code) (*Data, error) {
	l, err := Parse(name, data, codes...)
	if err != nil {
		return nil, err
	}
	return l.data.clone(nil), nil
}
