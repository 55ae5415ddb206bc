package dwv

import (
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// townCode is a code with the amendments of a town: an emergency floor drain may go
// unvented within 25 ft, as is common practice where a locality allows it, and a
// lower limit for drains below ground.
func townCode(t testing.TB, id string) *Code {
	t.Helper()
	return amendedCode(t, id, "set,below-ground-min-size,2,in,2,town,read\nset,floor-drain-unvented-reach,25,ft,1,town,read\nset,trap-arm-max-fall,1,pipe diameters,3,town,read\n")
}

// amendedCode is a code with rules amended: rows of op, rule, value, unit, section,
// src, status.
func amendedCode(t testing.TB, id, rows string) *Code {
	t.Helper()
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv":     {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		id + "/rules.csv": {Data: []byte("# id: " + id + "/rules\n# source: town\nop,rule,value,unit,section,src,status\n" + rows)},
	})
	if err != nil {
		t.Fatal(err)
	}
	c, err := LoadCode(shelf, id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

const (
	in = units.Inch
	ft = units.Foot
)

// mustCode loads a code of the embedded shelf.
func mustCode(t testing.TB, id string) *Code {
	t.Helper()
	c, err := LoadCode(tables.Embedded(), id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// ownCode is a code made of the tables given: their names, with key, columns and rows.
func ownCode(files map[string]string) (*Code, error) {
	fs := fstest.MapFS{"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\nx,X,,,,,\n")}}
	for name, text := range files {
		fs["x/"+name+".csv"] = &fstest.MapFile{Data: []byte("# id: x/" + name + "\n# title: X\n# source: x\n" + text)}
	}
	return LoadCode(tables.Open(fs), "x")
}

func mustOwnCode(t *testing.T, files map[string]string) *Code {
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
