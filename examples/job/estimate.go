package job

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/faults"
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

// priceUnits are the units that a list may use, by what they measure.
var priceUnits = map[string]string{"each": "count", "ft": "length", "m": "length", "yd3": "volume", "m3": "volume",
	"gal": "volume", "qt": "volume", "L": "volume"}

// maxPrices is the greatest list of prices that is read.
const maxPrices = 8 << 20

// ReadPrices reads a list of prices; name stands for it in messages. It is a CSV file with a
// line of heads: what ("pipe", the kind of a fitting or a device, "cement", "primer",
// "excavation", "bedding", "initial backfill", "backfill"), material, size and branch
// ("3 in"), unit (each, ft, m, yd3, m3, gal, qt, L), price and labour of one unit, as decimal
// numbers without a sign of money. A blank material, size or branch stands for any that has
// no row of its own. Lines that begin with # are remarks. All faults come together.
func ReadPrices(name string, r io.Reader) (*Prices, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxPrices+1))
	if err != nil {
		return nil, err
	}
	if len(text) > maxPrices {
		return nil, fmt.Errorf("%s: more than %d bytes", name, maxPrices)
	}
	in := csv.NewReader(strings.NewReader(string(text)))
	in.Comment, in.TrimLeadingSpace = '#', true
	in.FieldsPerRecord = -1
	p := &Prices{name: name, rows: map[priced]price{}}
	var all faults.List
	at := map[string]int{}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if len(at) == 0 {
			for k, h := range row {
				at[strings.ToLower(strings.TrimSpace(h))] = k
			}
			for _, want := range priceColumns[:5] {
				if _, ok := at[want]; !ok {
					all.Add(units.Fault{File: name, Line: 1, Item: "prices", Field: want,
						Err: fmt.Errorf("no such column; the heads are %s", strings.Join(priceColumns[:], ", "))})
				}
			}
			if err := all.Err(); err != nil {
				return nil, err
			}
			continue
		}
		p.add(row, at, func(field string, err error) {
			line, column := in.FieldPos(min(at[field], len(row)-1))
			all.Add(units.Fault{File: name, Line: line, Column: column, Item: "price", Field: field, Err: err})
		})
	}
	if len(at) == 0 {
		return nil, fmt.Errorf("%s: no line of heads: %s", name, strings.Join(priceColumns[:], ", "))
	}
	if err := all.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// add reads a row of a list.
func (p *Prices) add(row []string, at map[string]int, bad func(field string, err error)) {
	cell := func(column string) string {
		if k, ok := at[column]; ok && k < len(row) {
			return strings.TrimSpace(row[k])
		}
		return ""
	}
	size := func(column string) (x units.Length) {
		text := cell(column)
		if n, ok := strings.CutPrefix(text, "DN "); ok {
			text = n + " mm"
		}
		if text == "" {
			return 0
		}
		x, err := units.Parse[units.Length](text)
		if err != nil {
			bad(column, err)
		}
		return x
	}
	money := func(column string) decimal.Decimal {
		if cell(column) == "" {
			return decimal.Zero
		}
		d, err := decimal.NewFromString(cell(column))
		switch {
		case err != nil || len(cell(column)) > 30:
			bad(column, fmt.Errorf("%s is no decimal number", visible.Quote(cell(column))))
		case d.IsNegative():
			bad(column, errors.New("it is negative"))
		}
		return d
	}
	k := priced{strings.ToLower(cell("what")), cell("material"), size("size"), size("branch")}
	x := price{unit: cell("unit"), price: money("price"), labour: money("labour")}
	if k.what == "" {
		bad("what", errors.New("none is given"))
	}
	if cell("price") == "" {
		bad("price", errors.New("none is given; leave out what has no price"))
	}
	if priceUnits[x.unit] == "" {
		bad("unit", fmt.Errorf("%s is none of each, ft, m, yd3, m3, gal, qt, L", visible.Quote(x.unit)))
	}
	if _, twice := p.rows[k]; twice {
		bad("what", errors.New("a second row of the same thing"))
	}
	p.rows[k] = x
}

// of returns the row for a thing: its own, or one with blanks, of several that with the
// fewest.
func (p *Prices) of(k priced) (price, bool) {
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
	if p == nil {
		return nil, errors.New("estimate: no prices")
	}
	to := &Estimate{Job: j.Title(), Code: cmp.Or(code, j.Code), Prices: p.name, Lines: []EstimateLine{},
		Unpriced: []string{}}
	e := &estimator{prices: p, to: to}
	if j.drains != nil {
		s, err := j.SizeDrains(code)
		if err != nil {
			return nil, fmt.Errorf("drains: %w", err)
		}
		t, err := s.TakeOff(drains.TakeOffOptions{WastePercent: o.WastePercent, Stick: stick, MetricStick: metricStick,
			Initial: initialFill})
		if err != nil {
			return nil, err
		}
		e.drains(t)
	}
	if j.water != nil {
		s, err := j.SizeWater(code, supply.Options{})
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
	if !ok || priceUnits[row.unit] != measure {
		what := strings.TrimSpace(name + " " + string(size))
		if ok {
			what += fmt.Sprintf(" (priced by %s)", row.unit)
		}
		if !slices.Contains(e.to.Unpriced, what) {
			e.to.Unpriced = append(e.to.Unpriced, what)
		}
		return
	}
	quantity := amount
	switch row.unit {
	case "ft": // to the foot above, as it is bought
		quantity = amount.Div(decimal.NewFromInt(int64(units.Foot))).Ceil()
	case "m":
		quantity = amount.Div(decimal.NewFromInt(int64(units.Metre))).RoundCeil(1)
	case "m3":
		quantity = amount.RoundCeil(1)
	case "yd3":
		quantity = amount.Div(decimal.NewFromFloat(float64(units.CubicYard))).RoundCeil(1)
	case "gal":
		quantity = amount.Div(decimal.NewFromFloat(float64(units.USGallon))).RoundCeil(1)
	case "qt":
		quantity = amount.Div(decimal.NewFromFloat(float64(units.USGallon) / 4)).Ceil()
	case "L":
		quantity = amount.Mul(decimal.NewFromInt(1000)).RoundCeil(1)
	}
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
	pipes := map[priced]units.Length{}
	var order []priced
	for _, list := range [...][]drains.PipeItem{t.Pipe, t.Risers, t.Vents} {
		for _, x := range list {
			k := priced{what: "pipe", material: x.Material, size: x.Size}
			if _, ok := pipes[k]; !ok {
				order = append(order, k)
			}
			pipes[k] += x.Gross
		}
	}
	for _, k := range order {
		e.need(k, strings.TrimSpace("pipe "+k.material), p.size(k.size), "length", length(pipes[k]))
	}
	for _, x := range t.Fittings {
		size := p.size(x.Size)
		if x.Branch > 0 {
			size += " x " + p.size(x.Branch)
		}
		e.need(priced{x.Kind, x.Material, x.Size, x.Branch}, strings.TrimSpace(label(x.Kind)+" "+x.Material), size, "count",
			pieces(x.Count))
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
		size := p.size(x.Size)
		if x.Name != "" {
			size = Size(x.Name)
		}
		switch x.Kind {
		case "pipe":
			e.need(priced{what: "pipe", material: x.Item, size: x.Size}, "pipe "+x.Item, size, "length", length(x.Gross))
		case "insulation":
			k := priced{what: "insulation", material: x.Item, size: x.Size}
			e.need(k, "insulation "+x.Item, size, "length", length(x.Length))
		default:
			k := priced{what: x.Item, material: x.Pipe, size: x.Size}
			e.need(k, strings.TrimSpace(label(x.Item)+" "+x.Pipe), size, "count", pieces(x.Count))
		}
	}
}
