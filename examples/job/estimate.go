package job

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/units"
)

// Prices is a list of what things cost, and how much labour they take, as its owner gives
// them. It never changes once read.
type Prices struct {
	name string
	rows map[priced]price
}

// priced is what a row of a list is of. Blank cells of a list stand for anything.
type priced struct {
	what, material string
	size, branch   units.Length
}

// price is a row of a list.
type price struct {
	unit          string
	price, labour decimal.Decimal
}

// Name returns the name that the list was read under.
func (p *Prices) Name() string { return p.name }

// priceColumns head a list of prices, in any order; branch and labour may be left out.
var priceColumns = [...]string{"what", "material", "size", "unit", "price", "branch", "labour"}

// priceUnits are the units that a list may use: what they measure, how much of it they are in pieces, nanometres
// or cubic metres, and to how many decimals a need is rounded up, as it is bought.
var priceUnits = map[string]struct {
	measure string
	one     float64
	places  int32
}{
	"each": {"count", 1, 0}, "ft": {"length", float64(units.Foot), 0}, "m": {"length", float64(units.Metre), 1},
	"yd3": {"volume", float64(units.CubicYard), 1}, "m3": {"volume", float64(units.CubicMetre), 1},
	"gal": {"volume", float64(units.USGallon), 1}, "qt": {"volume", float64(units.USGallon) / 4, 0},
	"L": {"volume", float64(units.Litre), 1},
}

// ReadPrices reads a list of prices; name stands for it in messages. It is a CSV file with a
// line of heads: what ("pipe", the kind of a fitting or a device, "cement", "primer",
// "excavation", "bedding", "initial backfill", "backfill"), material, size and branch
// ("3 in"), unit (each, ft, m, yd3, m3, gal, qt, L), price and labour of one unit, as decimal
// numbers without a sign of money. A blank material, size or branch stands for any that has
// no row of its own. Lines that begin with # are remarks. All faults come together.
func ReadPrices(name string, r io.Reader) (*Prices, error) {
	return ReadPricesContext(context.Background(), name, r)
}

// ReadPricesContext is [ReadPrices] that stops once the context is done, with its error and how far it was.
func ReadPricesContext(ctx context.Context, name string, r io.Reader) (*Prices, error) {
	s, err := readSheet(ctx, name, "price", r, priceColumns[:], 5)
	if err != nil {
		return nil, err
	}
	p := &Prices{name: name, rows: map[priced]price{}}
	for s.next() {
		p.add(s)
	}
	return faults.Result(p, s.err())
}

// sizeNamed reads a nominal size, such as "3 in" or "DN 80".
func sizeNamed(text string) (units.Length, error) {
	if n, ok := strings.CutPrefix(text, "DN "); ok {
		text = n + " mm"
	}
	return units.Parse[units.Length](text)
}

// longestPrice is how many characters a price may have, and how far its digits may be from the point: a sum of
// 1e999999999 would be written with so many noughts.
const longestPrice = 30

// add reads a row of a list.
func (p *Prices) add(s *sheet) {
	size := func(column string) (x units.Length) {
		if s.cell(column) == "" {
			return 0
		}
		x, err := sizeNamed(s.cell(column))
		if err != nil {
			s.fault(column, err)
		}
		return x
	}
	money := func(column string) decimal.Decimal {
		text := s.cell(column)
		if text == "" {
			return decimal.Zero
		}
		var d decimal.Decimal
		var err error
		if len(text) <= longestPrice { // with more it takes time
			d, err = decimal.NewFromString(text)
		}
		switch {
		case err != nil || len(text) > longestPrice || max(d.Exponent(), -d.Exponent()) > longestPrice:
			s.fault(column, fmt.Errorf("%s is no decimal number", visible.Quote(text)))
			return decimal.Zero
		case d.IsNegative():
			s.fault(column, errors.New("it is negative"))
		}
		return d
	}
	k := priced{label(strings.ToLower(s.cell("what"))), s.cell("material"), size("size"), size("branch")}
	x := price{unit: s.cell("unit"), price: money("price"), labour: money("labour")}
	if k.what == "" {
		s.fault("what", errors.New("none is given"))
	}
	if s.cell("price") == "" {
		s.fault("price", errors.New("none is given; leave out what has no price"))
	}
	if priceUnits[x.unit].measure == "" {
		s.fault("unit", fmt.Errorf("%s is none of each, ft, m, yd3, m3, gal, qt, L", visible.Quote(x.unit)))
	}
	if _, twice := p.rows[k]; twice {
		s.fault("what", errors.New("a second row of the same thing"))
	}
	p.rows[k] = x
}

// of returns the row for a thing: its own, or one with blanks, of several that with the
// fewest.
func (p *Prices) of(k priced) (price, bool) {
	k.what = label(k.what) // a kind may be written as take-offs print it
	for blanks := range 8 {
		x := k
		if blanks&1 != 0 {
			x.branch = 0
		}
		if blanks&2 != 0 {
			x.material = ""
		}
		if blanks&4 != 0 {
			x.size = 0
		}
		if row, ok := p.rows[x]; ok {
			return row, true
		}
	}
	return price{}, false
}

// EstimateOptions are the allowances of an estimate.
type EstimateOptions struct {
	WastePercent int             // added to the length of pipe, 0 to 100
	Rate         decimal.Decimal // money for a unit of labour
}

// Estimate is the take-off of a job with its prices.
type Estimate struct {
	Job      string          `json:"job"`
	Code     string          `json:"code"`
	Prices   string          `json:"prices"` // name of the list
	Lines    []EstimateLine  `json:"lines"`
	Material decimal.Decimal `json:"material"`
	Labour   decimal.Decimal `json:"labour"`      // in the units of the list
	Work     decimal.Decimal `json:"labour_cost"` // labour at the rate
	Total    decimal.Decimal `json:"total"`
	// Unpriced names what is needed and has no price; the total is without it.
	Unpriced []string `json:"unpriced"`
}

// EstimateLine is one thing that is needed.
type EstimateLine struct {
	What     string          `json:"what"`
	Size     Size            `json:"size,omitempty"`
	Quantity decimal.Decimal `json:"quantity"`
	Unit     string          `json:"unit"`
	Price    decimal.Decimal `json:"price"` // of one
	Cost     decimal.Decimal `json:"cost"`
	Labour   decimal.Decimal `json:"labour"` // of all
}

// Estimate takes off the drains and the water lines of a job under a code, its own if none is
// named, and prices them. Money is exact to the hundredth on each line. A half that cannot be
// sized, or a job in which nothing is needed, is an error.
func (j *Job) Estimate(code string, p *Prices, o EstimateOptions) (*Estimate, error) {
	return j.EstimateContext(context.Background(), code, p, o)
}

// EstimateContext is [Job.Estimate] that stops once the context is done, with its error and how far
// it was.
func (j *Job) EstimateContext(ctx context.Context, code string, p *Prices, o EstimateOptions) (*Estimate, error) {
	if p == nil {
		return nil, errors.New("estimate: no prices")
	}
	to := &Estimate{Job: j.Title(), Code: cmp.Or(code, j.Code), Prices: p.name, Lines: []EstimateLine{},
		Unpriced: []string{}}
	e := &estimator{prices: p, to: to}
	if j.drains != nil {
		s, err := j.SizeDrainsContext(ctx, code)
		if err != nil {
			return nil, fmt.Errorf("drains: %w", err)
		}
		t, err := s.TakeOffContext(ctx, takeOff(o.WastePercent))
		if err != nil {
			return nil, err
		}
		e.drains(t)
	}
	if j.water != nil {
		s, err := j.SizeWaterContext(ctx, code, supply.Options{})
		if err != nil {
			return nil, fmt.Errorf("water lines: %w", err)
		}
		t, err := s.TakeOff(supply.TakeOffOptions{WastePercent: o.WastePercent})
		if err != nil {
			return nil, err
		}
		e.water(t)
	}
	for _, l := range e.to.Lines {
		e.to.Material, e.to.Labour = e.to.Material.Add(l.Cost), e.to.Labour.Add(l.Labour)
	}
	e.to.Work = e.to.Labour.Mul(o.Rate).Round(2)
	e.to.Total = e.to.Material.Add(e.to.Work)
	return e.to, nil
}

// estimator prices things one after the other.
type estimator struct {
	prices *Prices
	to     *Estimate
}

// need adds a line for so much of a thing, measured in nanometres, cubic metres or pieces.
func (e *estimator) need(k priced, name string, size Size, measure string, amount decimal.Decimal) {
	if amount.IsZero() {
		return
	}
	row, ok := e.prices.of(k)
	unit := priceUnits[row.unit]
	if !ok || unit.measure != measure {
		what := strings.TrimSpace(name + " " + string(size))
		if ok {
			what += fmt.Sprintf(" (priced by %s)", row.unit)
		}
		if !slices.Contains(e.to.Unpriced, what) {
			e.to.Unpriced = append(e.to.Unpriced, what)
		}
		return
	}
	quantity := amount.Div(decimal.NewFromFloat(unit.one)).RoundCeil(unit.places)
	e.to.Lines = append(e.to.Lines, EstimateLine{What: name, Size: size, Quantity: quantity, Unit: row.unit,
		Price: row.price, Cost: quantity.Mul(row.price).Round(2), Labour: quantity.Mul(row.labour)})
}

func length(x units.Length) decimal.Decimal { return decimal.NewFromInt(int64(x)) }
func pieces(n int) decimal.Decimal          { return decimal.NewFromInt(int64(n)) }

// volume rounds to a millilitre, so that noise of arithmetic buys no more.
func volume(v units.Volume) decimal.Decimal { return decimal.NewFromFloat(float64(v)).Round(6) }

// drains prices the take-off of drains and vents.
func (e *estimator) drains(t *drains.TakeOff) {
	var p printer
	var pipes grouped.By[priced, units.Length]
	for _, x := range slices.Concat(t.Pipe, t.Risers, t.Vents) {
		pipes.Add(priced{what: "pipe", material: x.Material, size: x.Size}, x.Gross)
	}
	for k, parts := range pipes.All() {
		sum := units.Length(0)
		for _, x := range parts {
			sum += x
		}
		e.need(k, strings.TrimSpace("pipe "+k.material), p.size(k.size), "length", length(sum))
	}
	for _, x := range t.Fittings {
		e.need(priced{x.Kind, x.Material, x.Size, x.Branch}, strings.TrimSpace(label(x.Kind)+" "+x.Material),
			p.twoSizes(x.Size, x.Branch), "count", pieces(x.Count))
	}
	cement, primer := map[string]units.Volume{}, map[string]units.Volume{}
	for _, x := range t.Joints {
		cement[x.Material] += x.Cement
		primer[x.Material] += x.Primer
	}
	for _, x := range t.Joints {
		e.need(priced{what: "cement", material: x.Material}, "cement "+x.Material, "", "volume", volume(cement[x.Material]))
		e.need(priced{what: "primer", material: x.Material}, "primer "+x.Material, "", "volume", volume(primer[x.Material]))
		cement[x.Material], primer[x.Material] = 0, 0
	}
	for _, x := range [...]struct {
		what string
		units.Volume
	}{{"excavation", t.Trenches.Excavation}, {"bedding", t.Trenches.Bedding}, {"initial backfill", t.Trenches.Initial},
		{"backfill", t.Trenches.Final}} {
		e.need(priced{what: x.what}, x.what, "", "volume", volume(x.Volume))
	}
	if n := len(t.Trenches.Missing); n > 0 {
		e.to.Unpriced = append(e.to.Unpriced, fmt.Sprintf(
			"excavation of %d runs (no trench width is stated, no size is known, or the trench has no room for pipe "+
				"and bedding)", n))
	}
}

// water prices the take-off of water lines.
func (e *estimator) water(t *supply.TakeOff) {
	var p printer
	for _, x := range t.Lines {
		size := cmp.Or(Size(x.Name), p.size(x.Size))
		switch x.Kind {
		case "pipe", "insulation": // insulation is listed without waste
			k := priced{what: x.Kind, material: x.Item, size: x.Size}
			e.need(k, x.Kind+" "+x.Item, size, "length", length(cmp.Or(x.Gross, x.Length)))
		default:
			k := priced{what: x.Item, material: x.Pipe, size: x.Size}
			e.need(k, strings.TrimSpace(label(x.Item)+" "+x.Pipe), size, "count", pieces(x.Count))
		}
	}
}
