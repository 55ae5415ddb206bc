package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// job is one layout file, read and built.
type job struct {
	file       string // its name
	data       []byte // and content, as read
	name, note string
	code       string   // id of the code on the shelf
	amendments []string // folders of amendment tables, beside the file
	shelf      *tables.Shelf
	laser      *laser
	drains     *dwv.Layout    // nil if the file has none
	water      *supply.Layout // the same
}

// laser is how the crew sets up its beam: a plane that falls at a grade toward a
// bearing and stands at a known height over the invert of one point.
type laser struct {
	grade   slope.Grade
	toward  dwv.Bearing
	point   string
	height  units.Length
	station units.Length
}

// readJob reads the layout file called name from fsys, and the amendments it
// names, which are folders beside it. Every fault of the file is in the error;
// fixtures must be known to the code of the file and to the other one, if any.
func readJob(fsys fs.FS, name, other string) (*job, error) {
	data, err := readLimited(fsys, name)
	if err != nil {
		return nil, err
	}
	doc, err := strictjson.Parse(name, data, strictjson.Limits{Leave: []string{"drainage", "water"}})
	if err != nil {
		return nil, err
	}
	j := &job{file: path.Base(name), data: data, shelf: tables.Embedded()}
	top := doc.Fields(&doc.Root, "layout file")
	drainage, water := top.Object("drainage"), top.Object("water")
	if top.Get("drainage") == nil && top.Get("water") == nil {
		top.Fault("drainage", fmt.Errorf("%w: a job has drainage, water or both", strictjson.ErrMissing))
	}
	var codes codesOf
	if top.Need("job") && top.Object("job") != nil {
		f := doc.Fields(top.Object("job"), "job")
		j.readAbout(f, fsys, path.Dir(name))
		if err := codes.load(j, other, drainage != nil, water != nil); err != nil {
			return nil, err
		}
		if j.code != "" {
			if err := codes.load(j, j.code, drainage != nil, water != nil); err != nil {
				f.Fault("code", err)
			}
		}
		f.Done()
	}
	if v := top.Object("laser"); v != nil {
		j.laser = readLaser(doc, v)
		if top.Get("drainage") == nil {
			top.Faultf("laser", "it sets drains, and the job has none")
		}
	}
	top.Done()
	all := joinFaults{doc.Faults.Err()}
	if drainage != nil {
		l, err := dwv.ParseLayout(name, doc.Only(drainage), codes.drainage...)
		j.drains = l
		all.add(err)
	}
	if water != nil {
		l, err := supply.ParseLayout(name, doc.Only(water), codes.supply...)
		j.water = l
		all.add(err)
	}
	if err := all.err(); err != nil {
		return nil, err
	}
	return j, nil
}

// readAbout reads what the file says of the job itself.
func (j *job) readAbout(f *strictjson.Fields, fsys fs.FS, dir string) {
	j.name, j.note = f.Text("name"), f.Text("note")
	if f.Need("code") {
		j.code = f.Text("code")
	}
	items := f.List("amendments")
	for i := range items {
		if v := &items[i]; v.Kind != strictjson.String {
			f.Faultf("amendments", "%w: %v where the name of a folder is needed", strictjson.ErrType, v.Kind)
			continue
		}
		j.amendments = append(j.amendments, items[i].Text)
	}
	j.amend(f, fsys, dir)
}

// codesOf are the codes that the fixtures and pipes of a layout must be known to.
type codesOf struct {
	drainage []*dwv.Code
	supply   []*supply.Code
}

// load adds the codes of one id for the halves that a job has. One that the shelf has
// for one half alone will do: the report says what it could not judge.
func (c *codesOf) load(j *job, id string, drains, water bool) error {
	if id == "" {
		return nil
	}
	var absent error // of the first half
	loaded := 0
	if drains {
		code, err := dwv.LoadCode(j.shelf, id)
		switch {
		case err == nil:
			c.drainage = append(c.drainage, code)
			loaded++
		case errors.Is(err, tables.ErrNotFound):
			absent = err
		default:
			return err
		}
	}
	if water {
		code, err := supply.LoadCode(j.shelf, id)
		switch {
		case err == nil:
			c.supply = append(c.supply, code)
			loaded++
		case !errors.Is(err, supply.ErrNotInCode):
			return err
		case absent == nil:
			absent = err
		}
	}
	if loaded == 0 {
		return absent
	}
	return nil
}

// amend lays the amendments over the shelf, in the order they are named.
func (j *job) amend(f *strictjson.Fields, fsys fs.FS, dir string) {
	for _, a := range j.amendments {
		sub, err := fs.Sub(fsys, path.Join(dir, a))
		if err == nil {
			_, err = fs.Stat(sub, ".")
		}
		if err != nil {
			f.Faultf("amendments", "%q: %w", a, err)
			continue
		}
		shelf, err := j.shelf.With(sub)
		if err != nil {
			f.Faultf("amendments", "%q: %w", a, err)
			continue
		}
		j.shelf = shelf
	}
}

func readLaser(doc *strictjson.Document, v *strictjson.Value) *laser {
	l := new(laser)
	f := doc.Fields(v, "laser")
	for _, q := range []string{"grade", "falls_toward", "beam_over"} {
		f.Need(q)
	}
	f.Parse("grade", &l.grade)
	f.Parse("falls_toward", &l.toward)
	f.Parse("station_every", &l.station)
	if l.station < 0 {
		f.Faultf("station_every", "%v is negative", l.station)
	}
	if over := f.Object("beam_over"); over != nil {
		o := doc.Fields(over, "laser: beam_over")
		o.Need("point")
		o.Need("height")
		l.point = o.Text("point")
		o.Parse("height", &l.height)
		o.Done()
	}
	f.Done()
	return l
}

// maxFile is the greatest layout file that is read.
const maxFile = 64 << 20

func readLimited(fsys fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(fsys, name)
	if err != nil {
		return nil, err
	}
	if info.Size() > maxFile {
		return nil, fmt.Errorf("%s: %w: %d bytes, at most %d", name, strictjson.ErrTooBig, info.Size(), maxFile)
	}
	return fs.ReadFile(fsys, name)
}
