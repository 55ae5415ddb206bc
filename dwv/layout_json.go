package dwv

import (
	"encoding"
	"fmt"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/units"
)

// layoutLimits bound a layout file. A point takes about 150 bytes and 20 values.
var layoutLimits = strictjson.Limits{Bytes: 1 << 30, Depth: 16, Values: 100_000_000}

// ParseLayout reads a layout from JSON and builds it; name stands for the text
// in messages, as a file name does. All faults are reported together, each
// with line, column, point and field, and then there is no layout. If codes are
// given, the words for fixtures must be known to them, as [Layout.Build] says.
//
// A flat run without bends whose two ends have plan coordinates may have the length "plan":
// as they lie. A length that is not there at all is a fault, for it may be forgotten.
//
// See [Layout] and the types it is made of for the fields. Quantities are texts
// with a unit; a field that is not known, or given twice, is a fault.
func ParseLayout(name string, data []byte, codes ...*Code) (*Layout, error) {
	doc, err := strictjson.Parse(name, data, layoutLimits)
	if err != nil {
		return nil, err
	}
	l := new(Layout)
	d := decoder{doc: doc, src: &source{doc: doc, root: &doc.Root, bad: map[*strictjson.Value]bool{}}}
	d.layout(l)
	d.lengths(l)
	if _, err := l.index(d.src, codes); err != nil {
		return nil, err
	}
	return l, nil
}

// UnmarshalJSON reads a layout as [ParseLayout] does.
func (l *Layout) UnmarshalJSON(data []byte) error {
	m, err := ParseLayout("", data)
	if err != nil {
		return err
	}
	*l = *m
	return nil
}

type decoder struct {
	doc *strictjson.Document
	src *source
}

// object reads the members of v with the reader f; fields that nobody asked for
// are faults.
func (d *decoder) object(v *strictjson.Value, at item, read func(f *strictjson.Fields)) {
	if v == nil {
		return
	}
	f := d.doc.FieldsOf(v, at)
	read(f)
	f.Done()
}

// idOf returns the id of an object before it is read, for messages about it.
func idOf(v *strictjson.Value) string {
	if id := member(v, "id"); id != nil && id.Kind == strictjson.String {
		return id.Text
	}
	return ""
}

// text reads a quantity, and remembers a field that could not be read.
func (d *decoder) text(f *strictjson.Fields, name string, into encoding.TextUnmarshaler) {
	if v := f.Get(name); v != nil && !f.Parse(name, into) {
		d.src.bad[v] = true
	}
}

// word reads a plain text field.
func (d *decoder) word(f *strictjson.Fields, name string) string {
	v := f.Get(name)
	if v != nil && v.Kind != strictjson.String {
		d.src.bad[v] = true
	}
	return f.Text(name)
}

func (d *decoder) words(f *strictjson.Fields, name string) []string {
	items := f.List(name)
	if len(items) == 0 {
		return nil
	}
	out := make([]string, 0, len(items))
	for i := range items {
		if items[i].Kind != strictjson.String {
			d.doc.FaultAt(items[i].Offset, f.Item(), name, fmt.Errorf("%w: %v where text is needed", strictjson.ErrType, items[i].Kind))
			continue
		}
		out = append(out, items[i].Text)
	}
	return out
}

func (d *decoder) layout(l *Layout) {
	d.object(&d.doc.Root, item{what: "layout"}, func(f *strictjson.Fields) {
		l.Job = d.word(f, "job")
		f.Need("finished_floor")
		d.text(f, "finished_floor", &l.FinishedFloor)
		d.text(f, "slab", &l.Slab)
		d.text(f, "bedding", &l.Bedding)
		d.text(f, "trench_width", &l.TrenchWidth)
		d.text(f, "cable_reach", &l.CableReach)
		d.text(f, "minimum_cover", &l.MinimumCover)
		d.text(f, "minimum_clearance", &l.MinimumClearance)
		d.text(f, "minimum_stub_up", &l.MinimumStubUp)
		if f.Get("ground") != nil {
			l.Ground = new(units.Length)
			d.text(f, "ground", l.Ground)
		}
		d.text(f, "sewer_cover", &l.SewerCover)
		l.Amendments = d.words(f, "amendments")
		systems := f.List("systems")
		l.Systems = make([]System, len(systems))
		for i := range systems {
			d.system(&systems[i], i, &l.Systems[i])
		}
		vents := f.List("vents")
		if len(vents) > 0 {
			l.Vents = make([]Vent, len(vents))
		}
		for i := range vents {
			d.vent(&vents[i], i, &l.Vents[i])
		}
		footings := f.List("footings")
		if len(footings) > 0 {
			l.Footings = make([]Footing, len(footings))
		}
		for i := range footings {
			d.footing(&footings[i], i, &l.Footings[i])
		}
	})
}

func (d *decoder) system(v *strictjson.Value, i int, s *System) {
	d.src.systems = append(d.src.systems, v)
	at := item{what: "system", id: idOf(v)}
	d.object(v, at, func(f *strictjson.Fields) {
		s.ID = d.word(f, "id")
		s.Kind = SystemKind(d.word(f, "kind"))
		s.Admits = d.words(f, "admits")
		s.Refuses = d.words(f, "refuses")
		d.outlet(f, at.of("outlet"), &s.Outlet)
		points := f.List("points")
		s.Points = make([]Point, len(points))
		values := make([]*strictjson.Value, len(points))
		for p := range points {
			values[p] = &points[p]
			d.point(&points[p], i, p, &s.Points[p])
		}
		d.src.points = append(d.src.points, values)
	})
}

func (d *decoder) outlet(f *strictjson.Fields, at item, o *Outlet) {
	v := f.Get("outlet")
	if v == nil {
		return // build says so
	}
	if v.Kind == strictjson.Array {
		f.Faultf("outlet", "%w: %d of them, and a system has one", ErrOutlet, len(v.Items))
		d.src.bad[v] = true
		return
	}
	d.object(v, at, func(f *strictjson.Fields) {
		o.ID = d.word(f, "id")
		o.Kind = OutletKind(d.word(f, "kind"))
		d.text(f, "invert", &o.Invert)
		d.text(f, "size", (*nominal)(&o.Size))
		o.Material = d.word(f, "material")
		o.At = d.position(f, at.of("outlet: at"))
	})
}

// position reads where something lies in plan, nil if that is not given.
func (d *decoder) position(f *strictjson.Fields, at item) *Position {
	v := f.Get("at")
	if v == nil {
		return nil
	}
	p := new(Position)
	d.object(v, at, func(f *strictjson.Fields) {
		f.Need("x")
		f.Need("y")
		d.text(f, "x", &p.X)
		d.text(f, "y", &p.Y)
	})
	return p
}

func (d *decoder) point(v *strictjson.Value, sys, i int, p *Point) {
	at := item{what: "point", id: idOf(v), number: i + 1, system: sys + 1}
	d.object(v, at, func(f *strictjson.Fields) {
		p.ID = d.word(f, "id")
		p.To = d.word(f, "to")
		if f.Get("run") == nil {
			f.Need("run")
			d.src.bad[v] = true
		}
		d.object(f.Get("run"), at, func(f *strictjson.Fields) { d.run(f, &p.Run) })
		d.object(f.Get("fixture"), at.of("fixture"), func(f *strictjson.Fields) {
			p.Fixture = new(Fixture)
			d.fixture(f, p.Fixture)
		})
		d.object(f.Get("trap"), at.of("trap"), func(f *strictjson.Fields) {
			t := new(Trap)
			p.Trap = t
			d.text(f, "size", (*nominal)(&t.Size))
			d.text(f, "arm", &t.Arm)
			d.text(f, "fall", &t.Fall)
			d.text(f, "seal", &t.Seal)
			d.text(f, "tail", &t.Tail)
		})
		d.object(f.Get("cleanout"), at.of("cleanout"), func(f *strictjson.Fields) {
			c := new(Cleanout)
			p.Cleanout = c
			d.text(f, "size", (*nominal)(&c.Size))
			c.Main = f.Bool("main")
			c.TwoWay = f.Bool("two_way")
			d.text(f, "clearance", &c.Clearance)
		})
		d.object(f.Get("interceptor"), at.of("interceptor"), func(f *strictjson.Fields) {
			n := new(Interceptor)
			p.Interceptor = n
			n.Kind = d.word(f, "kind")
			d.text(f, "rated", &n.Rated)
			d.text(f, "inflow", &n.Inflow)
			d.text(f, "volume", &n.Volume)
			d.text(f, "retention", &n.Retention)
			d.text(f, "drop", &n.Drop)
		})
		d.object(f.Get("receptor"), at.of("receptor"), func(f *strictjson.Fields) {
			r := new(Receptor)
			p.Receptor = r
			d.text(f, "standpipe", &r.Standpipe)
			d.text(f, "trap_above_floor", &r.TrapAboveFloor)
			items := f.List("indirect")
			for k := range items {
				d.object(&items[k], at.of("receptor: indirect"), func(f *strictjson.Fields) {
					r.Indirect = append(r.Indirect, Fixture{})
					d.fixture(f, &r.Indirect[len(r.Indirect)-1])
				})
			}
		})
		p.At = d.position(f, at.of("at"))
		d.text(f, "reserved", &p.Reserved)
		d.text(f, "continuous", &p.Continuous)
		d.text(f, "stub_up", &p.StubUp)
		d.text(f, "rim_below", &p.RimBelow)
		d.text(f, "flood_rim", &p.FloodRim)
		p.Carries = d.word(f, "carries")
		p.Capped = f.Bool("capped")
		p.Primer = f.Bool("primer")
		p.Drip = f.Bool("drip")
		p.ThroughWall = f.Bool("through_wall")
		p.AboveFloor = f.Bool("above_floor")
	})
}

// byPlan stands for the length of a run that its ends on plan give.
const byPlan = "plan"

// lengths measures the runs that leave their length to the coordinates of their ends.
func (d *decoder) lengths(l *Layout) {
	var at map[string]*Position
	for s := range l.Systems {
		for p := range l.Systems[s].Points {
			pt := &l.Systems[s].Points[p]
			run := &pt.Run
			v := member(d.src.points[s][p], "run.length")
			if v == nil || v.Kind != strictjson.String || v.Text != byPlan {
				continue
			}
			if at == nil {
				at = l.positions()
			}
			to := at[pt.To]
			if run.Vertical || len(run.Fittings) > 0 || pt.At == nil || to == nil || *pt.At == *to {
				continue // build says that the length is missing, and what "plan" needs
			}
			run.Length = lengthOnPlan(*pt.At, *to, run.Grade.Float())
		}
	}
}

func (d *decoder) run(f *strictjson.Fields, r *Run) {
	if v := f.Get("length"); v == nil || v.Kind != strictjson.String || v.Text != byPlan {
		d.text(f, "length", &r.Length)
	}
	d.text(f, "grade", &r.Grade)
	d.text(f, "drop", &r.Drop)
	d.text(f, "size", (*nominal)(&r.Size))
	r.Material = d.word(f, "material")
	d.text(f, "bearing", &r.Bearing)
	r.Fittings = d.words(f, "fittings")
	r.Into = d.word(f, "into")
	d.text(f, "join", &r.Join)
	d.text(f, "part", &r.Part)
	r.Vertical = f.Bool("vertical")
	r.ClosetBend = f.Bool("closet_bend")
}

// fixture reads a fixture; one that does not say how many is one.
func (d *decoder) fixture(f *strictjson.Fields, x *Fixture) {
	x.Kind = d.word(f, "fixture")
	x.Count = 1
	if f.Get("count") != nil {
		if n, ok := f.Int("count"); ok {
			x.Count = n
		}
	}
	d.text(f, "use", &x.Use)
	d.text(f, "control", &x.Control)
	d.text(f, "flush", &x.Flush)
	d.text(f, "size", (*nominal)(&x.Size))
}

func (d *decoder) vent(v *strictjson.Value, i int, x *Vent) {
	d.src.vents = append(d.src.vents, v)
	at := item{what: "vent", id: idOf(v), number: i + 1}
	d.object(v, at, func(f *strictjson.Fields) {
		x.ID = d.word(f, "id")
		x.Kind = VentKind(d.word(f, "kind"))
		x.From = d.word(f, "from")
		x.Through = d.word(f, "through")
		x.To = d.word(f, "to")
		d.text(f, "size", (*nominal)(&x.Size))
		x.Material = d.word(f, "material")
		d.object(f.Get("terminal"), at.of("terminal"), func(f *strictjson.Fields) {
			x.Terminal = new(Terminal)
			d.text(f, "above_roof", &x.Terminal.AboveRoof)
			x.Terminal.UsedRoof = f.Bool("used_roof")
		})
		runs := f.List("runs")
		for k := range runs {
			at := at
			at.run = k + 1
			d.object(&runs[k], at, func(f *strictjson.Fields) {
				var r VentRun
				d.text(f, "length", &r.Length)
				d.text(f, "rise", &r.Rise)
				r.Direction = VentDirection(d.word(f, "direction"))
				x.Runs = append(x.Runs, r)
			})
		}
	})
}

func (d *decoder) footing(v *strictjson.Value, i int, x *Footing) {
	d.src.footings = append(d.src.footings, v)
	d.object(v, item{what: "footing", id: idOf(v), number: i + 1}, func(f *strictjson.Fields) {
		x.ID = d.word(f, "id")
		x.Kind = FootingKind(d.word(f, "kind"))
		x.Run = d.word(f, "run")
		d.text(f, "along", &x.Along)
		d.text(f, "bottom", &x.Bottom)
		d.text(f, "distance", &x.Distance)
		d.text(f, "sleeve", &x.Sleeve)
		d.text(f, "clear", &x.Clear)
	})
}
