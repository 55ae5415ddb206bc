package supply

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/pipes"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// PipeFamily is a kind of pipe with its sizes, such as "copper-l". It does not change and may be
// used by many at once.
type PipeFamily struct {
	id        string
	material  string
	metric    bool       // its sizes are in millimetres
	sizes     []PipeSize // by rising bore
	c         float64
	cCite     tables.Citation
	roughness units.Length
	conducts  units.Conductivity
	lengths   *fittingLengths
}

// PipeSize is one size of a family. The bore follows the family's rule for it;
// there is no single inside diameter for plastic pipe.
type PipeSize struct {
	Size     units.Length    `json:"size"` // nominal
	Bore     units.Length    `json:"bore"` // inside diameter
	Outside  units.Length    `json:"outside"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// wall returns the wall of the size.
func (s *PipeSize) wall() units.Length { return (s.Outside - s.Bore) / 2 }

// ID returns the id of the family.
func (f *PipeFamily) ID() string { return f.there().id }

// Material returns the material, such as "copper".
func (f *PipeFamily) Material() string { return f.there().material }

// Sizes returns the sizes of the family by rising bore.
func (f *PipeFamily) Sizes() []PipeSize { return slices.Clone(f.there().sizes) }

// C returns the Hazen-Williams coefficient and the row it is from.
func (f *PipeFamily) C() (float64, tables.Citation) {
	f = f.there()
	return f.c, f.cCite
}

// Roughness returns the absolute roughness.
func (f *PipeFamily) Roughness() units.Length { return f.there().roughness }

// MetricName returns what a size of the family is called where it is bought in
// millimetres: "22 x 1.0 mm" of metal tube named by its outside diameter, "d25" of
// plastic, "DN 25" where the size is a name alone. It is not ok for sizes in inches and
// for those the family has not.
func (f *PipeFamily) MetricName(size units.Length) (name string, ok bool) {
	f = f.there()
	i := f.size(size)
	if i < 0 || !f.metric {
		return "", false
	}
	return f.metricName(&f.sizes[i]), true
}

func (f *PipeFamily) metricName(s *PipeSize) string {
	outside := strconv.FormatFloat(s.Size.Millimetres(), 'f', -1, 64)
	switch {
	case s.Size != s.Outside:
		return "DN " + outside
	case plastics[f.material]:
		return "d" + outside
	}
	wall := strconv.FormatFloat(s.wall().Millimetres(), 'f', -1, 64)
	if !strings.Contains(wall, ".") {
		wall += ".0"
	}
	return outside + " x " + wall + " mm"
}

// name is what a size of the family is called.
func (f *PipeFamily) name(s *PipeSize) nominal {
	if f.metric {
		return nominal(f.metricName(s))
	}
	return nominal(s.Size.String())
}

// name is what the pipe of the run is called.
func (r *run) name() nominal { return r.family.name(r.bore) }

// nominal is a size that is a name: it is never converted.
type nominal string

func (n nominal) String() string { return string(n) }

// size returns the index of a nominal size, or -1.
func (f *PipeFamily) size(nominal units.Length) int {
	return slices.IndexFunc(f.sizes, func(s PipeSize) bool { return s.Size == nominal })
}

// noSize is the error of a size that the family is not made in. Sizes are names, so that
// those of a foot and over are in inches as well.
func (f *PipeFamily) noSize(size units.Length) error {
	var names []string
	for _, s := range f.sizes {
		name := s.Size.String()
		if in := s.Size / units.Inch; f.metric {
			name = strconv.FormatFloat(s.Size.Millimetres(), 'f', -1, 64) + " mm"
		} else if in*units.Inch == s.Size {
			name = strconv.Itoa(int(in)) + `"`
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return fmt.Errorf("%w: %v: %s comes in %s", tables.ErrNotInCode, size, f.id, strings.Join(names, ", "))
}

type designRow struct {
	Family         string `table:"family"`
	CMaterial      string `table:"c_material"`
	CCondition     string `table:"c_condition"`
	RoughMaterial  string `table:"rough_material"`
	RoughCondition string `table:"rough_condition"`
	Conductivity   string `table:"conductivity"`
	Fittings       string `table:"fittings"`
}

type coefficientRow struct {
	Low     tables.Cell[float64] `table:"low"`
	Typical tables.Cell[float64] `table:"typical"`
}

type roughnessRow struct {
	Low     tables.Cell[units.Length] `table:"low"`
	Typical tables.Cell[units.Length] `table:"typical"`
}

type fittingRow struct {
	Fitting string       `table:"fitting"`
	Size    units.Length `table:"size"`
	Length  units.Length `table:"length"`
}

type fittingBoresRow struct {
	Fitting string  `table:"fitting"`
	Bores   float64 `table:"diameters"`
}

// fittingLengths gives equivalent lengths, by fitting and size or as multiples of the
// bore; one of the two lists is there.
type fittingLengths struct {
	rows  *tables.Rows[fittingRow]
	bores *tables.Rows[fittingBoresRow]
}

func loadFittingLengths(shelf *tables.Shelf, id string) (*fittingLengths, error) {
	t, err := shelf.Table(id)
	if err != nil {
		return nil, err
	}
	l := new(fittingLengths)
	if slices.ContainsFunc(t.Columns(), func(c tables.Column) bool { return c.Name == "diameters" }) {
		l.bores, err = tables.LoadTable[fittingBoresRow](t)
	} else {
		l.rows, err = tables.LoadTable[fittingRow](t)
	}
	return l, err
}

// fittingLength returns the equivalent length of a fitting in pipe of the family. No
// figure of it is [tables.ErrOutsideTable], a word that the table does not know is another.
func (f *PipeFamily) fittingLength(fitting string, size, bore units.Length) (units.Length, tables.Citation, error) {
	if f.lengths == nil {
		return 0, tables.Citation{},
			fmt.Errorf("%w: %s in %s: the shelf has no fittings of it; state a length or a k", tables.ErrOutsideTable,
				visible.Shorten(fitting), f.id)
	}
	return f.lengths.of(fitting, size, bore)
}

// of returns the equivalent length of a fitting: the row of its size, or the next
// size that the table holds; or so many bores.
func (t *fittingLengths) of(fitting string, size, bore units.Length) (units.Length, tables.Citation, error) {
	if t.bores != nil {
		return t.ofBore(fitting, bore)
	}
	known := false
	for i, r := range t.rows.All() {
		if r.Fitting != fitting {
			continue
		}
		known = true
		if r.Size >= size {
			return r.Length, t.rows.Cite(i), nil
		}
	}
	if known {
		return 0, tables.Citation{},
			fmt.Errorf("%w: %s in %v: %s ends below it; state a length or a k", tables.ErrOutsideTable, fitting, size,
				t.rows.Table().ID())
	}
	return 0, tables.Citation{}, noFitting(fitting, t.rows.Table(), t.names())
}

// names lists the fittings, in the order of the table.
func (t *fittingLengths) names() []string {
	if t.bores != nil {
		return tables.Distinct(t.bores, func(r *fittingBoresRow) (string, bool) { return r.Fitting, true })
	}
	return tables.Distinct(t.rows, func(r *fittingRow) (string, bool) { return r.Fitting, true })
}

func (t *fittingLengths) ofBore(fitting string, bore units.Length) (units.Length, tables.Citation, error) {
	for i, r := range t.bores.All() {
		if r.Fitting == fitting {
			return units.Metres(r.Bores * bore.Metres()), t.bores.Cite(i), nil
		}
	}
	return 0, tables.Citation{}, noFitting(fitting, t.bores.Table(), t.names())
}

func noFitting(fitting string, t *tables.Table, names []string) error {
	return fmt.Errorf("%w: fitting %q: %s has %s", tables.ErrNotInCode, visible.Shorten(fitting), t.ID(),
		strings.Join(names, ", "))
}

// catalogue reads families of pipe when they are first asked for, and keeps them.
type catalogue struct {
	shelf *tables.Shelf
	mu    sync.Mutex
	kept  map[string]*PipeFamily
	inch  func() map[units.Length]units.Length // least bore sold under each size in inches
	odd   func() map[oddSize]bool              // sizes that counters seldom sell
}

type oddSize struct {
	family string
	size   units.Length
	wall   units.Length // 0: the size in any wall
}

type oddSizeRow struct {
	Family string                    `table:"family"`
	Size   units.Length              `table:"size"`
	Wall   tables.Cell[units.Length] `table:"wall"`
}

// oddSizes reads the sizes and walls that are made and that counters seldom sell.
func (c *Code) oddSizes() map[oddSize]bool {
	out := map[oddSize]bool{}
	rows, err := tables.Load[oddSizeRow](c.pipes.shelf, "materials/supply-odd-sizes")
	if err != nil {
		return out
	}
	for _, r := range rows.All() {
		out[oddSize{r.Family, r.Size, r.Wall.Value}] = true
	}
	return out
}

// sold returns a family without the sizes that counters seldom sell, but for one that is
// there already.
func (c *Code) sold(f *PipeFamily, drawn units.Length) *PipeFamily {
	out := *f
	out.sizes = slices.DeleteFunc(slices.Clone(f.sizes), func(s PipeSize) bool {
		return s.Size != drawn && c.pipes.odd()[oddSize{f.id, s.Size, 0}]
	})
	if len(out.sizes) == 0 {
		return f
	}
	return &out
}

// reaches reports whether a size of pipe is as great as a nominal size that a code asks.
// Pipe named by its outside diameter has another name than inches for the same water:
// a size in inches asks of it the least bore that is sold under that name.
func (c *Code) reaches(s *PipeSize, size units.Length) bool {
	if s.Size == s.Outside { // only this asks for the bores of all pipe
		if bore, ok := c.pipes.inch()[size]; ok {
			return s.Bore >= bore
		}
	}
	return s.Size >= size
}

// inchBores finds the least bore that supply pipe has under each size in inches.
func (c *Code) inchBores() map[units.Length]units.Length {
	out := map[units.Length]units.Length{}
	families, err := tables.Load[pipes.Family](c.pipes.shelf, "pipes/families")
	if err != nil {
		return out
	}
	for _, r := range families.All() {
		if r.Use != "supply" || r.Unit != "in" {
			continue
		}
		sizes, err := familySizes(c.pipes.shelf, r)
		if err != nil {
			continue
		}
		for _, s := range sizes {
			if bore, ok := out[s.Size]; !ok || s.Bore < bore {
				out[s.Size] = s.Bore
			}
		}
	}
	return out
}

// Pipe returns a family of water supply pipe from the shelf of the code.
func (c *Code) Pipe(family string) (*PipeFamily, error) {
	c = c.there()
	k := &c.pipes
	k.mu.Lock()
	defer k.mu.Unlock()
	if f := k.kept[family]; f != nil {
		return f, nil
	}
	f, err := loadFamily(k.shelf, family)
	if err != nil {
		return nil, err
	}
	if k.kept == nil {
		k.kept = map[string]*PipeFamily{}
	}
	k.kept[family] = f
	return f, nil
}

// Materials returns the families of water pipe on the code's shelf, with labels: what the
// pipe of a run may name.
func (c *Code) Materials() ([]tables.Choice, error) {
	if c = c.there(); c.pipes.shelf == nil {
		return nil, fmt.Errorf("%w: no code is given", tables.ErrQuery)
	}
	p, err := pipes.New(c.pipes.shelf)
	if err != nil {
		return nil, err
	}
	return p.Choices("supply"), nil
}

// Sizes returns the nominal sizes of one of the [Code.Materials], ascending.
func (c *Code) Sizes(material string) ([]units.Length, error) {
	f, err := c.Pipe(material)
	if err != nil {
		return nil, err
	}
	list := make([]units.Length, 0, len(f.sizes))
	for i := range f.sizes {
		list = append(list, f.sizes[i].Size)
	}
	return list, nil
}

// Fittings returns the fittings that the shelf knows the loss of in a material, with labels:
// what a fitting of a run may name. A material without such a table has none: there a
// fitting states its length or its k.
func (c *Code) Fittings(material string) ([]tables.Choice, error) {
	f, err := c.Pipe(material)
	if err != nil || f.lengths == nil {
		return nil, err
	}
	return tables.Choices(f.lengths.names()...), nil
}

func loadFamily(shelf *tables.Shelf, id string) (*PipeFamily, error) {
	families, err := tables.Load[pipes.Family](shelf, "pipes/families")
	if err != nil {
		return nil, err
	}
	var names []string
	var row *pipes.Family
	for _, r := range families.All() {
		if r.Use == "supply" {
			names = append(names, r.Name)
			if r.Name == id {
				row = r
			}
		}
	}
	if row == nil {
		near := visible.Meant(id, names)
		if of := slices.DeleteFunc(slices.Clone(names), func(n string) bool {
			return !strings.HasPrefix(n, strings.ToLower(id)+"-")
		}); len(of) > 0 && id != "" {
			near = "which of " + strings.Join(of, ", ") + "? "
		}
		return nil, fmt.Errorf("%w: pipe %q: %sthe shelf has %s", tables.ErrNotInCode, visible.Shorten(id), near,
			strings.Join(names, ", "))
	}
	f := &PipeFamily{id: id, material: row.Material, metric: row.Unit == "mm"}
	if f.sizes, err = familySizes(shelf, row); err != nil {
		return nil, err
	}
	return f, f.loadDesign(shelf)
}

// familySizes returns the sizes of a family, smallest bore first.
func familySizes(shelf *tables.Shelf, family *pipes.Family) (sizes []PipeSize, err error) {
	rows, err := tables.Load[pipes.Dimension](shelf, "pipes/"+family.Name)
	if err != nil {
		return nil, err
	}
	for i, r := range rows.All() {
		if r.Rule == family.Rule {
			sizes = append(sizes, PipeSize{r.Size, r.ID, r.OD, rows.Cite(i)})
		}
	}
	slices.SortStableFunc(sizes, func(a, b PipeSize) int { return cmp.Compare(a.Bore, b.Bore) })
	return sizes, nil
}

// loadDesign reads what the family is reckoned with: C, roughness, fittings.
func (f *PipeFamily) loadDesign(shelf *tables.Shelf) error {
	t, err := shelf.Table("materials/supply-pipe-design")
	if err != nil {
		return err
	}
	i, ok := t.Find(f.id)
	if !ok {
		return fmt.Errorf("%w: pipe %q: %s does not list it", tables.ErrNotInCode, f.id, t.ID())
	}
	all, err := tables.LoadTable[designRow](t)
	if err != nil {
		return err
	}
	d := all.At(i)
	cs, errC := tables.Load[coefficientRow](shelf, "roughness/hazen-williams")
	rs, errR := tables.Load[roughnessRow](shelf, "roughness/absolute")
	if err := errors.Join(errC, errR); err != nil {
		return err
	}
	i, ok = cs.Table().Find(d.CMaterial, d.CCondition)
	j, ok2 := rs.Table().Find(d.RoughMaterial, d.RoughCondition)
	if !ok || !ok2 {
		return fmt.Errorf("%w: pipe %q: no such row of C or roughness", tables.ErrNotInCode, f.id)
	}
	c, r := cs.At(i), rs.At(j)
	f.c, f.cCite, f.roughness = c.Typical.Value, cs.Cite(i), r.Typical.Value
	if c.Typical.Kind != tables.Value {
		f.c = c.Low.Value
	}
	if r.Typical.Kind != tables.Value {
		f.roughness = r.Low.Value
	}
	if f.conducts, err = conductivity(shelf, d.Conductivity); err != nil {
		return err
	}
	if d.Fittings == "" {
		return nil
	}
	f.lengths, err = loadFittingLengths(shelf, d.Fittings)
	return err
}

type conductivityRow struct {
	Material string                          `table:"material"`
	Typical  tables.Cell[units.Conductivity] `table:"typical"`
	Design   bool                            `table:"design"`
}

// conductivity returns the figure that the shelf marks for design.
func conductivity(shelf *tables.Shelf, material string) (units.Conductivity, error) {
	rows, err := tables.Load[conductivityRow](shelf, "materials/conductivity")
	if err != nil {
		return 0, err
	}
	for _, r := range rows.All() {
		if r.Material == material && r.Design && r.Typical.Kind == tables.Value {
			return r.Typical.Value, nil
		}
	}
	return 0, fmt.Errorf("%w: %s has no conductivity of %q for design", tables.ErrNotOnShelf, rows.Table().ID(), material)
}

// Service is what a water line carries.
type Service uint8

// The services of water lines. Recirculated water flows without end and wears
// pipe at velocities that a tap would not.
const (
	Cold Service = iota
	Hot
	Recirculated
)

var services = enum.Words[Service]{What: "line", Err: tables.ErrQuery, Words: []string{"cold", "hot", "recirc"}}

// String returns "cold", "hot" or "recirc".
func (s Service) String() string { return services.String(s) }

// MarshalText returns the text of String.
func (s Service) MarshalText() ([]byte, error) { return services.Marshal(s) }

// UnmarshalText reads the text of String.
func (s *Service) UnmarshalText(text []byte) error { return services.Unmarshal(text, s) }

type velocityRow struct {
	Material       string                         `table:"material"`
	Service        string                         `table:"service"`
	MaxTemperature tables.Cell[units.Temperature] `table:"max_temperature"`
	Limit          units.Velocity                 `table:"limit"`
}

// VelocityLimit is the greatest velocity for a material and service.
type VelocityLimit struct {
	Velocity units.Velocity  `json:"velocity"`
	Citation tables.Citation `json:"citation,omitzero"`
}

// VelocityLimit returns the greatest velocity in pipe of a material, such as
// "copper" or "PEX", or of a family, such as "copper-l", carrying water of a temperature. A
// material that the table does not list goes by the row for any; if there is none the error is
// [tables.ErrNotInCode], and [tables.ErrQuery] for a word that is no material of the shelf.
// The quick-closing and connection rows of a table are asked for with [Code.VelocityLimitFor].
func (c *Code) VelocityLimit(material string, service Service, water units.Temperature) (VelocityLimit, error) {
	return c.VelocityLimitFor(material, service.String(), water)
}

// VelocityLimitFor is [Code.VelocityLimit] for a service by its word in the table:
// cold, hot, recirc, quick-closing or connection.
func (c *Code) VelocityLimitFor(material, service string, water units.Temperature) (VelocityLimit, error) {
	c = c.there()
	if c.velocity == nil {
		return VelocityLimit{}, c.missing("velocities")
	}
	if water != water {
		return VelocityLimit{}, fmt.Errorf("%w: water temperature is not a number", tables.ErrQuery)
	}
	for n, m := range [...]string{material, "any"} {
		if n > 0 {
			of, err := c.materialOf(material)
			if err != nil {
				return VelocityLimit{}, err
			}
			if of != material {
				return c.VelocityLimitFor(of, service, water)
			}
		}
		best, nearest := -1, false
		for i, r := range c.velocity.All() {
			if r.Material != m || r.Service != service {
				continue
			}
			top, limited := r.MaxTemperature.Get()
			if limited && roundTo(water.Kelvin()) > roundTo(top.Kelvin()) {
				continue
			}
			// Rows ascend, one without a limit first: the first limited row that fits
			// reaches least far above the water.
			if best < 0 || limited && !nearest {
				best, nearest = i, limited
			}
		}
		if best >= 0 {
			return VelocityLimit{c.velocity.At(best).Limit, c.velocity.Cite(best)}, nil
		}
	}
	return VelocityLimit{}, fmt.Errorf("%w: %s gives no velocity for %q, %s", tables.ErrNotOnShelf, c.id,
		visible.Shorten(material), service)
}

// materialOf returns the material of a family of pipe, or the word itself where it is a material, and
// refuses what is neither: a word mistyped would be judged by the row for any material.
func (c *Code) materialOf(word string) (string, error) {
	families, err := tables.Load[pipes.Family](c.pipes.shelf, "pipes/families")
	if err != nil {
		return word, nil // a shelf without pipe
	}
	var materials []string
	for _, r := range families.All() {
		switch {
		case r.Material == word:
			return word, nil
		case r.Name == word && r.Material != "":
			return r.Material, nil
		default:
			materials = append(materials, r.Material)
		}
	}
	slices.Sort(materials)
	materials = slices.Compact(materials)
	return "", fmt.Errorf("%w: material %q: %schoose %s, or a family of pipe", tables.ErrQuery, visible.Shorten(word),
		visible.Meant(word, materials), strings.Join(materials, ", "))
}

// MarshalText returns the id, so that what holds it can be written as JSON.
func (f *PipeFamily) MarshalText() ([]byte, error) { return []byte(f.ID()), nil }

// there returns f, or an empty family for none: it answers as one that has nothing.
func (f *PipeFamily) there() *PipeFamily {
	if f == nil {
		return new(PipeFamily)
	}
	return f
}
