package lesson

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// codes holds the code tables that problems name, loaded when first asked for.
type codes struct {
	shelf    *tables.Shelf
	drainage map[string]*dwv.Code
	supply   map[string]*supply.Code
	european *en12056.Standard
	bores    []pipeBore
	kinds    map[string][]string // the codes that answer a kind, of the kinds that were looked at
}

func newCodes(shelf *tables.Shelf) *codes {
	return &codes{shelf: shelf, drainage: map[string]*dwv.Code{}, supply: map[string]*supply.Code{},
		kinds: map[string][]string{}}
}

// codeID returns the id of a code and whether the line names one. An empty one is
// for the shelf to refuse.
func (p *problem) codeID() (string, bool) {
	if !p.fields.Need("code") {
		return "", false
	}
	return p.fields.Text("code"), p.fields.Get("code").Kind == strictjson.String
}

// drainageCode returns the code that a line names, nil with a fault if there is none.
func (p *problem) drainageCode() *dwv.Code {
	id, ok := p.codeID()
	if !ok {
		return nil
	}
	return codeOf(p, p.shelf.drainage, id, dwv.LoadCode)
}

// codeOf returns a code, loaded once; nil with a fault if there is none.
func codeOf[C any](p *problem, kept map[string]*C, id string, load func(*tables.Shelf, string) (*C, error)) *C {
	c, ok := kept[id]
	if !ok {
		var err error
		if c, err = load(p.shelf.shelf, id); err != nil {
			p.noSuchCode = true
			p.failAt("code", noCode(id, err))
			return nil
		}
		kept[id] = c
	}
	return c
}

// isEuropean reports whether the line names the European method, which rates
// appliances in discharge units.
func (p *problem) isEuropean() bool { return p.fields.Text("code") == en12056.ID }

func (p *problem) europeanCode() *en12056.Standard {
	if p.shelf.european == nil {
		e, err := en12056.LoadStandard(p.shelf.shelf)
		if p.failAt("code", err) {
			return nil
		}
		p.shelf.european = e
	}
	return p.shelf.european
}

func (p *problem) supplyCode() *supply.Code {
	id, ok := p.codeID()
	if !ok {
		return nil
	}
	return p.supplyCodeOf(id)
}

func (p *problem) supplyCodeOf(id string) *supply.Code {
	return codeOf(p, p.shelf.supply, id, supply.LoadCode)
}

// noCode says of an error that names no code that the code is the one missing. The codes
// that the shelf has for the half of the trade are left to [problem.nameCodes], which knows
// the kind.
func noCode(id string, err error) error {
	for _, kind := range [...]error{tables.ErrNotInCode, tables.ErrNotFound} {
		if errors.Is(err, kind) && strings.Contains(err.Error(), fmt.Sprintf("code %q: ", id)) {
			return fmt.Errorf("%q does not answer this kind", id)
		}
	}
	return err
}

// nameCodes adds which codes answer the kind of a line whose own does not.
func (p *problem) nameCodes(line *strictjson.Value, opt options) {
	if opt.probing || !p.noSuchCode && !errors.Is(p.doc.Faults.Err(), tables.ErrNotInCode) {
		return
	}
	kind, given := member(line, "ask").Text, member(line, "code").Text
	if able := p.shelf.codesOf(kind); able != nil && !slices.Contains(able, given) {
		p.fields.Faultf("code", "%s%s is answered by %s", visible.Meant(given, able), kind,
			strings.Join(able, ", "))
	}
}

// loadOf reads a load in fixture units, exactly as its decimals say.
func loadOf[K tables.LoadKind](p *problem, name string) tables.FixtureUnits[K] {
	if _, ok := p.numberIf(name, loads); !ok {
		return 0
	}
	u, err := tables.ParseFixtureUnits[K](decimalText(p.fields.Get(name).Text))
	if err != nil {
		p.fields.Fault(name, err)
	}
	return u
}

func (p *problem) drainLoad(name string) dwv.FixtureUnits { return loadOf[tables.DrainLoad](p, name) }

func (p *problem) supplyLoad(name string) supply.FixtureUnits {
	if !p.fields.Need(name) {
		return 0
	}
	return loadOf[tables.WaterLoad](p, name)
}

// decimalText writes a JSON number without an exponent.
func decimalText(s string) string {
	if !strings.ContainsAny(s, "eE") {
		return s
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(x) > 1e15 {
		return s
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// nominal is a size in the designation of its code: inches, or DN in millimetres.
// Sizes in inches are whole eighths; no DN is.
func nominal(size units.Length) value {
	if size%(units.Inch/8) == 0 {
		return value{x: size.Inches(), unit: "in"}
	}
	return value{x: size.Millimetres(), unit: "mm"}
}

// fixtureItem is an entry of "fixtures".
type fixtureItem struct {
	tables.Fixture
	variant string
}

func (p *problem) fixtureItems() (items []fixtureItem) {
	for f := range p.each("fixtures", "fixture") {
		f.Need("fixture")
		var it fixtureItem
		it.Kind, it.Count = f.Text("fixture"), countOf(f, "count", 1, tables.MaxFixtures)
		if p.isEuropean() {
			it.variant = f.Text("variant")
		}
		it.Flush, _ = readIf[units.Volume](p, f, "flush", positive)
		size, _ := readIf[nominalSize](p, f, "size", positive)
		it.Size = units.Length(size)
		if err := it.Use.UnmarshalText([]byte(f.Text("use"))); err != nil {
			f.Fault("use", err)
		}
		if err := it.Control.UnmarshalText([]byte(f.Text("control"))); err != nil {
			f.Fault("control", err)
		}
		items = append(items, it)
	}
	return items
}

// closets reads how many water closets there are, absent none.
func (p *problem) closets() int {
	if !p.has("water_closets") {
		return 0
	}
	return countOf(p.fields, "water_closets", 0, maxCount)
}

// pipeBore is the inside diameter of a pipe on the shelf and its nominal size.
type pipeBore struct {
	Size units.Length `table:"size"`
	ID   units.Length `table:"id"`
}

// nominalOf returns the nominal size of the pipe that has an inside diameter, the
// nearest within a hundredth of an inch.
func (c *codes) nominalOf(bore string) (size string, ok bool) {
	d, err := units.Parse[units.Length](bore)
	if err != nil {
		return "", false
	}
	best := units.Inch/100 + 1
	for _, b := range c.pipeBores() {
		off := max(b.ID-d, d-b.ID)
		if off < best && b.Size != d {
			best, size = off, b.Size.String()
		}
	}
	return size, size != ""
}

// nominalSizes returns the sizes of pipe on the shelf whose name is in the unit, in
// ascending order.
func (c *codes) nominalSizes(unit string) []float64 {
	var out []float64
	for _, b := range c.pipeBores() {
		if v := nominal(b.Size); v.unit == unit {
			out = append(out, v.x)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// title returns the name of a code as its tables cite it, the id if it has none.
func (c *codes) title(code string) string {
	for _, body := range [...]string{"en", "din", "bs"} { // standards go by their number
		if number := strings.TrimPrefix(code, body); number != code && number[0] >= '0' && number[0] <= '9' {
			return strings.ToUpper(body) + " " + number
		}
	}
	title := code
	for _, id := range c.ids() {
		if !strings.HasPrefix(id, code+"/") {
			continue
		}
		t, err := c.shelf.Table(id)
		if err != nil || t.Source().Title == "" {
			continue
		}
		if t.Source().ID == code { // the code itself, and no page that quotes it
			return "the " + t.Source().String()
		}
		if title == code {
			title = "the " + t.Source().String()
		}
	}
	return title
}

// sizeTables are the tables of a code whose sizes the answer to a kind is chosen from, and
// the column that holds them.
var sizeTables = map[string][][2]string{
	"drain-size": {{"building-drain", "size"}, {"branches-and-stacks", "size"}, {"drain-capacity", "size"},
		{"stacks", "size"}, {"branch-unventilated", "size"}, {"drains", "size"}, {"drain-loads", "bore"}},
	"sewer-size": {{"building-drain", "size"}, {"building-sewer", "size"}, {"drain-capacity", "size"}, {"drains", "size"},
		{"drain-loads", "bore"}},
	"vent-size":    {{"vent-sizes", "vent"}, {"vent-min-size", "vent"}},
	"pipe-by-load": {{"supply-pipe-by-load", "size"}},
}

// choiceOf returns the sizes that a code gives for a kind of problem, in ascending order:
// the neighbors of the right one that a student may take. Without such a table it is
// the pipe of the shelf.
func (c *codes) choiceOf(code, kind, unit string) []float64 {
	var out []float64
	for _, at := range sizeTables[kind] {
		t, err := c.shelf.Table(code + "/" + at[0])
		if err != nil {
			continue
		}
		column := t.Column(at[1])
		if column < 0 || t.Columns()[column].Unit != unit {
			continue
		}
		for row := range t.Len() {
			if x, err := strconv.ParseFloat(t.Cell(row, column), 64); err == nil {
				out = append(out, x)
			}
		}
	}
	if out == nil {
		return c.nominalSizes(unit)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// ids returns the tables of the shelf, none of one that cannot be read.
func (c *codes) ids() []string {
	ids, err := c.shelf.IDs()
	if err != nil {
		return nil
	}
	return ids
}

// sets returns the names of the sets of tables on the shelf, codes among them.
func (c *codes) sets() []string {
	var out []string
	for _, id := range c.ids() {
		set, _, _ := strings.Cut(id, "/")
		if len(out) == 0 || out[len(out)-1] != set {
			out = append(out, set)
		}
	}
	return out
}

// pipeBores returns the pipe of the shelf, read when it is first asked for.
func (c *codes) pipeBores() []pipeBore {
	if c.bores != nil {
		return c.bores
	}
	c.bores = []pipeBore{}
	for _, id := range c.ids() {
		if !strings.HasPrefix(id, "pipes/") {
			continue
		}
		// Tables of the set that list no bores are passed over.
		rows, err := tables.Load[pipeBore](c.shelf, id)
		if err != nil {
			continue
		}
		for _, r := range rows.All() {
			c.bores = append(c.bores, *r)
		}
	}
	return c.bores
}
