// Package job is what needs both halves of a rough-in, drains and water lines: the file
// they stand in together, and the report on them as data, text, JSON, drawings and a page
// for a browser. The program underslab is a command line over it.
//
//	j, err := job.Read(os.DirFS("."), "layout.json", "")
//	r, err := j.Report("", job.Options{})
//	err = r.Print(os.Stdout)
package job

import (
	"cmp"
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"sync"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// file is what stands in a layout file. The two halves are read by their packages.
type file struct {
	Job      about          `json:"job" read:"need"`
	Laser    *laser         `json:"laser"`
	Drainage strictjson.Raw `json:"drainage"`
	Water    strictjson.Raw `json:"water"`
	// Points are tables of points, which go after those that the systems have here.
	Points []pointFile `json:"point_files" item:"point file"`
	// Confirmed are figures from memory that somebody has looked up in the code book.
	Confirmed []confirmed `json:"confirmed" item:"figure"`
}

// about is what the file says of the job itself.
type about struct {
	Name string `json:"name" read:"free"`
	Note string `json:"note" read:"free"`
	// Address and Revision are of the job and of its drawings, as its owner writes them.
	Address  string `json:"address" read:"free"`
	Revision string `json:"revision" read:"free"`
	Code     string `json:"code" read:"need"` // id on the shelf
	// WaterCode is that of the water lines, where they have one of their own: en806-3
	// beside any drainage code. It stays when the job is judged under another code.
	WaterCode string `json:"water_code"`
	// Amendments are folders of amendment tables, beside the file.
	Amendments []string `json:"amendments" read:"free"`
}

// laser is how the crew sets up its beam: a plane that falls at a grade toward a
// bearing and stands at a known height over the invert of one point.
type laser struct {
	Grade   slope.Grade    `json:"grade" read:"need"`
	Toward  drains.Bearing `json:"falls_toward" read:"need"`
	Station units.Length   `json:"station_every"`
	Over    struct {
		Point  string       `json:"point" read:"need"`
		Height units.Length `json:"height" read:"need"`
	} `json:"beam_over" read:"need"`
}

// Job is one layout file, read and built.
type Job struct {
	about
	file  string // its name
	data  []byte // and content, as read
	laser *laser

	confirmed []Confirmation
	tables    []TableFile // of points
	codes     *codes

	ordained *tables.Shelf // as the amendments have it
	shelf    *tables.Shelf // with what was confirmed over it

	drains *drains.Layout // nil if the file has none
	water  *supply.Layout // the same
}

// Read reads the layout file called name from fsys, and the amendments it
// names, which are folders beside it. Every fault of the file is in the error;
// fixtures must be known to the code of the file and to the other one, if any.
func Read(fsys fs.FS, name, other string) (*Job, error) {
	return ReadContext(context.Background(), fsys, name, other)
}

// ReadContext is [Read] that stops once the context is done, with its error and how far it was.
func ReadContext(ctx context.Context, fsys fs.FS, name, other string) (*Job, error) {
	data, err := readLimited(fsys, name)
	if err != nil {
		return nil, err
	}
	return parse(ctx, fsys, name, data, other, new(codes))
}

// Parse reads a layout that is at hand, such as one that came in a request; name stands for
// it in messages. No file is opened: a job that names amendments is refused.
func Parse(name string, data []byte, other string) (*Job, error) {
	return ParseContext(context.Background(), name, data, other)
}

// ParseContext is [Parse] that stops once the context is done, with its error and how far it was.
func ParseContext(ctx context.Context, name string, data []byte, other string) (*Job, error) {
	return new(Reader).ParseContext(ctx, name, data, other)
}

// Reader reads many jobs, one after the other or at once, and loads each code once for all of
// them. The zero Reader is ready to use.
type Reader struct{ codes codes }

// Parse is [Parse] with the codes of the reader.
func (r *Reader) Parse(name string, data []byte, other string) (*Job, error) {
	return r.ParseContext(context.Background(), name, data, other)
}

// ParseContext is [ParseContext] with the codes of the reader.
func (r *Reader) ParseContext(ctx context.Context, name string, data []byte, other string) (*Job, error) {
	return parse(ctx, noFiles, name, data, other, &r.codes)
}

// noFiles is a folder that holds nothing.
var noFiles embed.FS

func parse(ctx context.Context, fsys fs.FS, name string, data []byte, other string, loaded *codes) (*Job, error) {
	var f file
	doc, err := strictjson.Decode(name, "layout file", data, &f, strictjson.Limits{Context: ctx})
	if err != nil {
		return nil, err
	}
	f.check(doc)
	j := &Job{about: f.Job, file: path.Base(name), data: data, laser: f.Laser, shelf: tables.Embedded(), codes: loaded}
	if len(f.Job.Amendments)+len(f.Confirmed) > 0 {
		j.codes = new(codes) // those of a shelf of its own
	}
	blame := func(field string, err error) { doc.Fault(doc.Top(), "job."+field, "job", field, err) }
	j.amend(blame, fsys, path.Dir(name))
	j.ordained = j.shelf
	for _, c := range f.Confirmed {
		j.confirmed = append(j.confirmed, Confirmation{Row: c.Row, Value: c.Value, Where: c.Where, By: c.By, When: c.When})
	}
	j.confirm(func(_ string, err error) { doc.Fault(doc.Top(), "confirmed", "layout file", "confirmed", err) })
	var known codesOf
	water := f.Water.Given()
	if j.WaterCode != "" {
		code, err := j.supplyCode(j.WaterCode)
		if err != nil {
			blame("water_code", err)
		} else if water {
			known.supply = append(known.supply, code)
		}
		water = false
	}
	if err := known.load(j, other, f.Drainage.Given(), water); err != nil {
		return nil, err
	}
	if err := known.load(j, j.Code, f.Drainage.Given(), water); err != nil {
		blame("code", err)
	}
	// The halves are read side by side: neither asks the other anything.
	var half sync.WaitGroup
	var ofPoints, ofDrains, ofWater error
	if f.Water.IsObject() {
		half.Go(func() { j.water, ofWater = supply.ParseContext(ctx, name, doc.Only(f.Water), known.supply...) })
	}
	if f.Drainage.IsObject() {
		points := j.pointTables(ctx, fsys, path.Dir(name), f.Points, doc, doc.Only(f.Drainage))
		ofPoints = errors.Join(points.bad...)
		if !points.broken {
			j.drains, ofDrains = drains.ParseContext(ctx, name, points.data, known.drainage...)
			points.name(ofDrains)
		}
	}
	half.Wait()
	if err := ctx.Err(); err != nil { // what was found by then is not all
		for _, e := range [...]error{ofPoints, ofDrains, ofWater} {
			if errors.Is(e, err) {
				return nil, e
			}
		}
		return nil, fmt.Errorf("reading: stopped after the halves of the job were read: %w", err)
	}
	return faults.Result(j, errors.Join(ofPoints, doc.Faults.Err(), ofDrains, ofWater))
}

// check adds the faults of what the parts of the file have to do with each other.
func (f *file) check(doc *strictjson.Document) {
	blame := func(field string, err error) { doc.Fault(doc.Top(), field, "layout file", field, err) }
	for _, half := range [...]struct {
		field string
		strictjson.Raw
	}{{"drainage", f.Drainage}, {"water", f.Water}} {
		if half.Given() && !half.IsObject() {
			blame(half.field, fmt.Errorf("%w: %v where an object is needed", strictjson.ErrType, half.Kind))
		}
	}
	if !f.Drainage.Given() && !f.Water.Given() {
		blame("drainage", fmt.Errorf("%w: a job has drainage, water or both; a layout of drains "+
			`alone is written {"job": {"code": "..."}, "drainage": {...}}`, strictjson.ErrMissing))
	}
	if len(f.Points) > 0 && !f.Drainage.Given() {
		blame("point_files", errors.New("they add points to drains, and the job has none"))
	}
	if f.Laser == nil {
		return
	}
	if !f.Drainage.Given() {
		blame("laser", errors.New("it sets drains, and the job has none"))
	}
	if f.Laser.Station < 0 {
		doc.Fault(doc.Top(), "laser.station_every", "laser", "station_every", fmt.Errorf("%v is negative", f.Laser.Station))
	}
}

// codes keeps the codes of a job, each loaded once, by who asks for it first.
type codes struct{ drainage, supply sync.Map }

func (j *Job) drainCode(id string) (*dwv.Code, error) {
	return kept(&j.codes.drainage, id, func() (*dwv.Code, error) { return loadDrainCode(j.shelf, id) })
}

func (j *Job) supplyCode(id string) (*supply.Code, error) {
	return kept(&j.codes.supply, id, func() (*supply.Code, error) { return supply.LoadCode(j.shelf, id) })
}

func kept[C any](codes *sync.Map, id string, load func() (*C, error)) (*C, error) {
	get, _ := codes.LoadOrStore(id, sync.OnceValues(load))
	code, err := get.(func() (*C, error))()
	if err != nil { // names that nobody has are not kept
		codes.Delete(id)
	}
	return code, err
}

// codesOf are the codes that the fixtures and pipes of a layout must be known to.
type codesOf struct {
	drainage []*dwv.Code
	supply   []*supply.Code
}

// load adds the codes of one id for the halves that a job has. One that the shelf has
// for one half alone will do: the report says what it could not judge.
func (c *codesOf) load(j *Job, id string, drains, water bool) error {
	if id == "" {
		return nil
	}
	var half sync.WaitGroup
	if drains && water {
		half.Go(func() { _, _ = j.supplyCode(id) }) // asked for again below
	}
	defer half.Wait()
	var absent error // of the first half
	if drains {
		code, err := j.drainCode(id)
		if absent = err; err == nil {
			c.drainage = append(c.drainage, code)
		} else if !errors.Is(err, tables.ErrNotFound) {
			return err
		}
	}
	if water {
		code, err := j.supplyCode(id)
		switch {
		case err == nil:
			c.supply = append(c.supply, code)
			return nil
		case !errors.Is(err, tables.ErrNotInCode):
			return err
		case !drains:
			return fmt.Errorf("%w; water lines under another code than the drains name it as water_code", err)
		}
	}
	return absent
}

// amend lays the amendments over the shelf, in the order they are named.
func (j *Job) amend(blame func(field string, err error), fsys fs.FS, dir string) {
	for _, a := range j.Amendments {
		if a == "" {
			blame("amendments", errors.New(`"": write the name of a folder of tables beside the layout file`))
			continue
		}
		shelf, err := amended(j.shelf, fsys, path.Join(dir, a))
		if err != nil {
			blame("amendments", fmt.Errorf("%s: %w", visible.Quote(a), err))
			continue
		}
		j.shelf = shelf
	}
}

// amended lays the tables of a folder over the shelf.
func amended(shelf *tables.Shelf, fsys fs.FS, folder string) (*tables.Shelf, error) {
	info, err := fs.Stat(fsys, folder)
	switch {
	case !fs.ValidPath(folder):
		return nil, errors.New("not a folder beside the layout file or below it")
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("no such folder beside the layout file")
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, errors.New("a file, and not a folder of tables")
	}
	sub, err := fs.Sub(fsys, folder)
	if err != nil {
		return nil, err
	}
	return shelf.With(sub)
}

// Title returns what the job is called, and its revision.
func (j *Job) Title() string {
	if j.Revision == "" {
		return j.Name
	}
	return j.Name + ", revision " + j.Revision
}

// CodeID returns the id of the code that the file names.
func (j *Job) CodeID() string { return j.Code }

// Shelf returns the shelf with the amendments of the job, and the figures that were
// confirmed, laid over it.
func (j *Job) Shelf() *tables.Shelf { return j.shelf }

// Drains returns the drains of the job, nil if it has none.
func (j *Job) Drains() *drains.Layout { return j.drains }

// Water returns the water lines of the job, nil if it has none.
func (j *Job) Water() *supply.Layout { return j.water }

// ErrNoHalf is wrapped by the error of a job that has no drains, or no water lines, when
// they are asked for.
var ErrNoHalf = errors.New("the job has none")

// SizeDrains sizes the drains of the job under a code of its shelf, its own if none is named.
func (j *Job) SizeDrains(code string) (*drains.Sizing, error) {
	return j.SizeDrainsContext(context.Background(), code)
}

// SizeDrainsContext is [Job.SizeDrains] that stops once the context is done, with its error and how
// far it was.
func (j *Job) SizeDrainsContext(ctx context.Context, code string) (*drains.Sizing, error) {
	if j.drains == nil {
		return nil, fmt.Errorf("drains: %w", ErrNoHalf)
	}
	if code = cmp.Or(code, j.Code); code == en12056.ID {
		standard, err := en12056.LoadStandard(j.shelf)
		if err != nil {
			return nil, err
		}
		return j.drains.SizeEuropeanContext(ctx, standard, drains.EuropeanOptions{})
	}
	c, err := j.drainCode(code)
	if err != nil {
		return nil, err
	}
	return j.drains.SizeContext(ctx, c, drains.Options{SkipSizes: drains.SeldomSold(j.shelf)})
}

// SizeWater sizes the water lines of the job under a code of its shelf; if none is named,
// under that which the file names for them.
func (j *Job) SizeWater(code string, opt supply.Options) (*supply.Sizing, error) {
	return j.SizeWaterContext(context.Background(), code, opt)
}

// SizeWaterContext is [Job.SizeWater] that stops once the context is done, with its error and how far
// it was.
func (j *Job) SizeWaterContext(ctx context.Context, code string, opt supply.Options) (*supply.Sizing, error) {
	if j.water == nil {
		return nil, fmt.Errorf("water lines: %w", ErrNoHalf)
	}
	c, err := j.supplyCode(cmp.Or(code, j.WaterCode, j.Code))
	if err != nil {
		return nil, err
	}
	return j.water.SizeContext(ctx, c, opt)
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

//go:embed start.json
var start []byte

//go:embed start-metric.json
var startMetric []byte

// Start returns a small job of one lavatory, to begin a layout file with.
func Start() []byte { return append([]byte(nil), start...) }

// StartMetric is that job in metric units, under the European standards.
func StartMetric() []byte { return append([]byte(nil), startMetric...) }
