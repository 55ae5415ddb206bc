package supply

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/units"
)

// ParseLayout reads a layout from JSON; name is what messages call the file. Every
// fault is reported in one error, each with file, line, column, item and field:
// unknown and repeated fields, quantities without a unit, unknown points, cycles,
// lengths that cannot be. A layout with faults is not returned in part. If codes are
// given, the pipes must be known to each of them.
func ParseLayout(name string, data []byte, codes ...*Code) (*Layout, error) {
	doc, err := strictjson.Parse(name, data, strictjson.Limits{})
	if err != nil {
		return nil, err
	}
	d := decoder{doc: doc, places: map[string][]int{}}
	l := &Layout{data: d.layout(&doc.Root)}
	// What could not be read is checked too, so that all faults come at once; but a
	// field that could not be read is not blamed again for being empty.
	type place struct{ item, field string }
	blamed := map[place]bool{}
	if all, ok := errors.AsType[*faults.Errors](doc.Faults.Err()); ok {
		for _, f := range all.Faults {
			blamed[place{f.Item, f.Field}], blamed[place{f.Item, ""}] = true, true
		}
	}
	fault := func(list string, i int, item, field string, err error) {
		if blamed[place{item, field}] || blamed[place{"", item}] { // or the object it stands in
			return
		}
		offset := doc.Root.Offset
		if at := d.places[list]; i < len(at) {
			offset = at[i]
		}
		doc.FaultAt(offset, item, field, err)
	}
	l.build(fault)
	for _, code := range codes {
		l.checkPipes(code, fault)
	}
	if err := doc.Faults.Err(); err != nil {
		return nil, err
	}
	return l, nil
}

// MarshalJSON writes the layout as [ParseLayout] reads it.
func (l *Layout) MarshalJSON() ([]byte, error) { return json.Marshal(&l.data) }

// MarshalJSON writes the device as [ParseLayout] reads it: no loss is a loss of zero.
func (d Device) MarshalJSON() ([]byte, error) {
	type plain Device
	if !d.NoLoss {
		return json.Marshal(plain(d))
	}
	return json.Marshal(struct {
		plain
		Loss units.Pressure `json:"loss"`
	}{plain(d), d.Loss})
}

// UnmarshalJSON reads a layout as [ParseLayout] does, or fails and leaves l as it was.
func (l *Layout) UnmarshalJSON(b []byte) error {
	read, err := ParseLayout("layout", b)
	if err == nil {
		*l = *read
	}
	return err
}

// UnmarshalJSON reads the content of a layout as strictly as [ParseLayout] does, with
// its defaults, or fails and leaves d as it was; [NewLayout] checks what it says.
func (d *LayoutData) UnmarshalJSON(b []byte) error {
	doc, err := strictjson.Parse("layout", b, strictjson.Limits{})
	if err != nil {
		return err
	}
	read := decoder{doc: doc, places: map[string][]int{}}
	data := read.layout(&doc.Root)
	if err = doc.Faults.Err(); err == nil {
		*d = data
	}
	return err
}

type decoder struct {
	doc    *strictjson.Document
	places map[string][]int // offsets of the items of each list
}

// need reads a quantity that must be there.
func need(f *strictjson.Fields, name string, into encoding.TextUnmarshaler) {
	if f.Need(name) {
		f.Parse(name, into)
	}
}

func (d *decoder) layout(v *strictjson.Value) LayoutData {
	f := d.doc.Fields(v, "")
	out := LayoutData{Name: f.Text("name"), Building: f.Text("building")}
	if f.Need("source") {
		if s := f.Object("source"); s != nil {
			g := d.doc.Fields(s, "source")
			g.Need("id")
			out.Source.ID = g.Text("id")
			need(g, "pressure", &out.Source.Pressure)
			g.Parse("static", &out.Source.Static)
			g.Done()
		}
	}
	if f.Need("water") {
		if s := f.Object("water"); s != nil {
			g := d.doc.Fields(s, "water")
			need(g, "cold", &out.Water.Cold)
			g.Parse("hot", &out.Water.Hot)
			g.Parse("ambient", &out.Water.Ambient)
			g.Done()
		}
	}
	if s := f.Object("pipe"); s != nil {
		g := d.doc.Fields(s, "pipe")
		out.Pipe = LinePipes{g.Text("cold"), g.Text("hot"), g.Text("recirc")}
		g.Done()
	}
	for i, v := range f.List("stock") {
		g := d.doc.Fields(&v, fmt.Sprintf("stock[%d]", i))
		g.Need("pipe")
		g.Need("sizes")
		out.Stock = append(out.Stock, Stock{g.Text("pipe"), d.lengths(g, "sizes"), d.lengths(g, "walls")})
		g.Done()
	}
	f.Need("points")
	out.Points = list(d, f, "points", "point", d.point)
	out.Fixtures = list(d, f, "fixtures", "fixture", d.fixture)
	out.Sleeves = list(d, f, "sleeves", "sleeve", d.sleeve)
	out.Recirculation = list(d, f, "recirculation", "recirculation", d.loop)
	out.Links = list(d, f, "links", "link", d.link)
	if s := f.Object("test"); s != nil {
		g := d.doc.Fields(s, "test")
		out.Test = new(PressureTest)
		need(g, "pressure", &out.Test.Pressure)
		g.Need("medium")
		out.Test.Medium = g.Text("medium")
		g.Done()
	}
	f.Done()
	return out
}

// lengths reads a list of lengths.
func (d *decoder) lengths(f *strictjson.Fields, name string) []units.Length {
	var out []units.Length
	for _, v := range f.List(name) {
		var x units.Length
		err := fmt.Errorf("%w: %v where text is needed", strictjson.ErrType, v.Kind)
		if v.Kind == strictjson.String {
			err = x.UnmarshalText([]byte(v.Text))
		}
		if err != nil {
			d.doc.FaultAt(v.Offset, f.Item(), name, err)
			continue
		}
		out = append(out, x)
	}
	return out
}

// list reads the items of a list that have an id, and notes where they stand.
func list[T any](d *decoder, f *strictjson.Fields, name, kind string, read func(*strictjson.Fields) T) []T {
	items := f.List(name)
	if len(items) == 0 {
		return nil
	}
	out := make([]T, 0, len(items))
	at := make([]int, 0, len(items))
	for i := range items {
		g := d.doc.Fields(&items[i], fmt.Sprintf("%s[%d]", name, i))
		g.Need("id")
		if id := g.Text("id"); id != "" {
			g.SetItem(fmt.Sprintf("%s %q", kind, fixture.Shorten(id)))
		}
		out = append(out, read(g))
		at = append(at, items[i].Offset)
		g.Done()
	}
	d.places[name] = at
	return out
}

func (d *decoder) point(f *strictjson.Fields) Point {
	p := Point{ID: f.Text("id")}
	f.Need("from")
	p.From, p.Line, p.Pipe, p.Sleeve = f.Text("from"), f.Text("line"), f.Text("pipe"), f.Text("sleeve")
	need(f, "length", &p.Length)
	f.Parse("rise", &p.Rise)
	f.Parse("size", &p.Size)
	f.Parse("continuous", &p.Continuous)
	p.BelowSlab = f.Bool("below_slab")
	p.Fittings = d.fittings(f)
	if v := f.Object("insulation"); v != nil {
		g := d.doc.Fields(v, f.Item()+": insulation")
		p.Insulation = new(Insulation)
		need(g, "thickness", &p.Insulation.Thickness)
		need(g, "conductivity", &p.Insulation.Conductivity)
		g.Done()
	}
	if v := f.Object("beside_drain"); v != nil {
		g := d.doc.Fields(v, f.Item()+": beside_drain")
		p.Beside = new(Separation)
		need(g, "clear", &p.Beside.Clear)
		g.Parse("above", &p.Beside.Above)
		p.Beside.Listed = g.Bool("listed")
		g.Done()
	}
	if v := f.Object("device"); v != nil {
		p.Device = d.device(d.doc.Fields(v, f.Item()+": device"))
	}
	return p
}

func (d *decoder) device(g *strictjson.Fields) *Device {
	v := new(Device)
	g.Need("kind")
	v.Kind = g.Text("kind")
	g.Parse("size", &v.Size)
	v.NoLoss = g.Parse("loss", &v.Loss) && v.Loss == 0
	g.Parse("set", &v.Set)
	g.Parse("fall_off", &v.FallOff)
	items := g.List("curve")
	for i := range items {
		h := d.doc.Fields(&items[i], fmt.Sprintf("%s: curve[%d]", g.Item(), i))
		var c CurvePoint
		need(h, "flow", &c.Flow)
		need(h, "loss", &c.Loss)
		h.Done()
		v.Curve = append(v.Curve, c)
	}
	g.Done()
	return v
}

func (d *decoder) fittings(f *strictjson.Fields) []FittingItem {
	items := f.List("fittings")
	if len(items) == 0 {
		return nil
	}
	out := make([]FittingItem, 0, len(items))
	for i := range items {
		g := d.doc.Fields(&items[i], fmt.Sprintf("%s: fittings[%d]", f.Item(), i))
		g.Need("fitting")
		t := FittingItem{Fitting: g.Text("fitting"), NoJoint: g.Bool("no_joint")}
		if g.Need("count") {
			t.Count, _ = g.Int("count")
		}
		g.Parse("length", &t.Length)
		t.K, _ = g.Float("k")
		g.Done()
		out = append(out, t)
	}
	return out
}

func (d *decoder) fixture(f *strictjson.Fields) LayoutFixture {
	x := LayoutFixture{ID: f.Text("id"), LoadAs: f.Text("load_as"), Cold: f.Text("cold"), Hot: f.Text("hot"), UsageUnit: f.Text("usage_unit"), Later: f.Bool("later")}
	f.Need("fixture")
	x.Kind, x.Style = f.Text("fixture"), f.Text("style")
	x.Count = 1
	if f.Get("count") != nil {
		x.Count, _ = f.Int("count")
	}
	f.Parse("use", &x.Use)
	f.Parse("control", &x.Control)
	f.Parse("flush", &x.Flush)
	f.Parse("size", &x.Size)
	f.Parse("flow", &x.Flow)
	f.Parse("pressure", &x.Pressure)
	return x
}

func (d *decoder) sleeve(f *strictjson.Fields) Sleeve {
	s := Sleeve{ID: f.Text("id")}
	need(f, "bore", &s.Bore)
	need(f, "length", &s.Length)
	s.Bends, _ = f.Int("bends")
	f.Parse("rope", &s.Rope)
	return s
}

func (d *decoder) loop(f *strictjson.Fields) Loop {
	r := Loop{ID: f.Text("id")}
	f.Need("heater")
	f.Need("return")
	r.Heater, r.Return = f.Text("heater"), f.Text("return")
	f.Parse("drop", &r.Drop)
	f.Parse("flow", &r.Flow)
	return r
}

func (d *decoder) link(f *strictjson.Fields) Link {
	k := Link{ID: f.Text("id"), Pipe: f.Text("pipe")}
	need(f, "length", &k.Length)
	need(f, "size", &k.Size)
	k.Fittings = d.fittings(f)
	f.Need("between")
	ends := f.List("between")
	if len(ends) != 2 {
		f.Faultf("between", "%w: want the ids of two points", ErrQuery)
		return k
	}
	for i := range k.Between {
		if ends[i].Kind != strictjson.String {
			f.Faultf("between", "%w: %v where text is needed", strictjson.ErrType, ends[i].Kind)
			continue
		}
		k.Between[i] = ends[i].Text
	}
	return k
}
