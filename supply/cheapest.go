package supply

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Price is what a length of pipe costs, in any currency: a foot, or a metre, and not
// both.
type Price struct {
	Pipe     string          `json:"pipe"` // family
	Size     units.Length    `json:"size"`
	PerFoot  decimal.Decimal `json:"per_foot"`
	PerMetre decimal.Decimal `json:"per_metre"`
}

// mostPrice is the greatest price of a foot or a metre.
var mostPrice = decimal.New(1, 6)

func (p *Price) check() error {
	switch {
	case !p.PerFoot.IsZero() && !p.PerMetre.IsZero():
		return fmt.Errorf("%w: both a foot and a metre are priced", tables.ErrQuery)
	case p.PerFoot.IsNegative() || p.PerFoot.GreaterThan(mostPrice):
		return fmt.Errorf("%w: %s is outside 0 to 1000000 a foot", tables.ErrQuery, p.PerFoot)
	case p.PerMetre.IsNegative() || p.PerMetre.GreaterThan(mostPrice):
		return fmt.Errorf("%w: %s is outside 0 to 1000000 a metre", tables.ErrQuery, p.PerMetre)
	}
	return nil
}

// of is what a length costs, to a billionth.
func (p *Price) of(length units.Length) decimal.Decimal {
	each, per := p.PerFoot, units.Foot
	if !p.PerMetre.IsZero() {
		each, per = p.PerMetre, units.Metre
	}
	return each.Mul(decimal.New(int64(length), 0)).DivRound(decimal.New(int64(per), 0), 9)
}

// millionths is what a length costs in units of [costUnit].
func (p *Price) millionths(length units.Length) int64 {
	return p.of(length).Mul(decimal.New(costUnit, 0)).RoundBank(0).IntPart()
}

// Cheapest is the cheapest set of sizes found, beside the greedy one.
type Cheapest struct {
	Sizing *Sizing         `json:"sizing"`
	Cost   decimal.Decimal `json:"cost"`
	Greedy decimal.Decimal `json:"greedy"` // cost of the set that [Layout.Size] chooses
	// Gap is how much less some other set might cost at most. Zero: none is cheaper.
	Gap decimal.Decimal `json:"gap"`
	// Widest is the longest list of choices that had to be kept at one point.
	Widest int `json:"widest"`
}

// CheapestOptions bounds the search.
type CheapestOptions struct {
	Options
	// MaxFront is how many choices are kept for each size at each point; zero: 2000.
	// Beyond it choices are thinned out, and Gap says what that may have cost.
	MaxFront int
}

// costUnit is what costs are counted in: a millionth of the currency.
const costUnit = 1_000_000

// front holds the choices for a point and what it feeds that none other beats, by
// rising pressure needed where its run begins and falling cost.
type front struct {
	need []float64
	cost []int64
	size []int16 // of the point's run
}

func (f *front) len() int { return len(f.need) }

// cheapest returns the index of the cheapest choice that a pressure allows, -1 if
// there is none.
func (f *front) cheapest(pressure float64) int {
	return sort.SearchFloat64s(f.need, math.Nextafter(pressure+pressureSlack, math.Inf(1))) - 1
}

// pressureSlack allows for sums of pressures being taken in another order.
const pressureSlack = 1e-6 // Pa

func (f *front) add(need float64, cost int64, size int16) {
	f.need, f.cost, f.size = append(f.need, need), append(f.cost, cost), append(f.size, size)
}

// prune sorts the choices and drops those that another beats.
func (f *front) prune() {
	order := make([]int, f.len())
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if by := cmp.Compare(f.need[a], f.need[b]); by != 0 {
			return by
		}
		return cmp.Compare(f.cost[a], f.cost[b])
	})
	out := front{}
	best := int64(math.MaxInt64)
	for _, i := range order {
		if f.cost[i] < best {
			best = f.cost[i]
			out.add(f.need[i], f.cost[i], f.size[i])
		}
	}
	*f = out
}

// together joins the choices of two branches: both must be served, so the greater
// need and the sum of the costs.
func together(a, b *front) front {
	var out front
	i, j := 0, 0
	if a.len() == 0 || b.len() == 0 {
		return out
	}
	for {
		need := max(a.need[i], b.need[j])
		// Each at its cheapest within this need.
		for i+1 < a.len() && a.need[i+1] <= need {
			i++
		}
		for j+1 < b.len() && b.need[j+1] <= need {
			j++
		}
		out.add(need, a.cost[i]+b.cost[j], 0)
		switch {
		case i+1 == a.len() && j+1 == b.len():
			return out
		case i+1 == a.len():
			j++
		case j+1 == b.len():
			i++
		case a.need[i+1] <= b.need[j+1]:
			i++
		default:
			j++
		}
	}
}

// thin keeps at most n choices. Those kept are true ones; optimistic, when set,
// puts in place of each run of choices one that beats them all, for a bound.
func (f *front) thin(n int, optimistic bool) bool {
	if f.len() <= n {
		return false
	}
	var out front
	for k := range n {
		lo, hi := k*f.len()/n, (k+1)*f.len()/n-1
		if optimistic {
			out.add(f.need[lo], f.cost[hi], f.size[hi])
		} else {
			out.add(f.need[hi], f.cost[hi], f.size[hi])
		}
	}
	*f = out
	return true
}

// search finds cheapest sets on a tree from its ends to the source.
type search struct {
	h       *calculation
	b       *bounds
	drawn   []int
	need    []float64 // pressure that the fixtures at each point ask
	prices  map[priceKey]Price
	cost    [][]int64 // of each run by size, -1: no price
	loss    [][]float64
	child   [][]int32
	fronts  [][]front // by point, by size: choices with this size or a smaller one
	bounded [][]front // the same, thinned to the optimistic side; nil where never thinned
	limit   int
	widest  int
}

// Cheapest finds the cheapest set of sizes that keeps to velocities, least sizes
// and the pressure of every fixture, with no line smaller than one it feeds while
// there is a greater, for a price of each length of pipe; fittings and labour are not
// counted. On a tree the answer is exact, unless choices had to be thinned out: Gap
// then bounds what is lost. It never costs more than the set of [Layout.Size]. A layout whose fixtures
// no sizes can serve is [units.ErrNoSolution].
func (l *Layout) Cheapest(c *Code, prices []Price, opt CheapestOptions) (*Cheapest, error) {
	return l.CheapestContext(context.Background(), c, prices, opt)
}

// CheapestContext is [Layout.Cheapest] that stops once the context is done, with its error and
// how far it was.
func (l *Layout) CheapestContext(ctx context.Context, c *Code, prices []Price, opt CheapestOptions) (*Cheapest, error) {
	list, err := priceList(prices)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("cheapest: stopped before it began: %w", err)
	}
	h, err := l.prepare(c, opt.Options, func(f *PipeFamily, size units.Length) bool {
		_, ok := list[priceKey{f.id, size}]
		return ok
	})
	if err != nil {
		return nil, err
	}
	defer h.within(ctx)()
	if err := h.flowsKnown(); err != nil {
		return nil, err
	}
	greedy, greedySet, err := h.greedy()
	if err != nil {
		return nil, err
	}
	drawn, b, err := h.start()
	if err != nil {
		return nil, err
	}
	s := &search{h: h, b: b, drawn: drawn, limit: opt.MaxFront}
	if s.limit <= 0 {
		s.limit = 2000
	}
	if err := s.prepare(greedy.Analysis, list); err != nil {
		return nil, err
	}
	if err := s.run(ctx); err != nil {
		return nil, err
	}
	sizes, cost, ok := s.choose()
	greedyCost := s.costOf(greedySet)
	out := &Cheapest{Greedy: decimal.New(greedyCost, -6), Widest: s.widest}
	switch {
	case !ok && len(greedy.unserved) > 0:
		return nil, fmt.Errorf("fixture %q: %w: no sizes bring its pressure up", l.data.Fixtures[greedy.unserved[0]].ID,
			units.ErrNoSolution)
	case !ok && greedy.unfed() != "":
		return nil, fmt.Errorf("point %q: %w: no sizes bring what is drawn there its pressure, or feed its booster",
			greedy.unfed(), units.ErrNoSolution)
	case !ok:
		sizes = greedySet.least // only thinning can lose what the greedy set has
	}
	least := s.bound(cost) + s.linksCost(b)
	set, a, err := b.priced(h, sizes, b.links, drawn)
	if err != nil {
		return nil, err
	}
	// What the search does not know, rings open and returns, may leave it dearer, or short.
	if cost = s.costOf(set); len(greedy.unserved) == 0 && (greedyCost < cost || len(a.short(ctx)) > 0) {
		if set, a, err = b.priced(h, greedySet.least, greedySet.links, drawn); err != nil {
			return nil, err
		}
		cost = s.costOf(set)
	}
	out.Cost = decimal.New(cost, -6)
	out.Gap = decimal.New(max(0, cost-least), -6)
	out.Sizing = h.sizing(a, set)
	if err := h.endedIn("cheapest"); err != nil {
		return nil, err
	}
	return out, nil
}

// priced settles a set of sizes chosen by what it costs, which knows neither what returns
// carry nor what rings do, and says why each has its size.
func (b *bounds) priced(h *calculation, sizes, links, drawn []int) (*bounds, *Analysis, error) {
	set := &bounds{slices.Clone(sizes), slices.Clone(b.basis), slices.Clone(b.cite), slices.Clone(links)}
	for i := range sizes {
		if sizes[i] > b.least[i] {
			set.basis[i], set.cite[i] = ByCost, tables.Citation{}
		}
	}
	a, err := h.settle(set, drawn)
	return set, a, err
}

type priceKey struct {
	pipe string
	size units.Length
}

func priceList(prices []Price) (map[priceKey]Price, error) {
	list := make(map[priceKey]Price, len(prices))
	var errs []error
	for i, p := range prices {
		if err := p.check(); err != nil {
			errs = append(errs, fmt.Errorf("prices[%d]: %w", i, err))
		}
		if _, twice := list[priceKey{p.Pipe, p.Size}]; twice {
			errs = append(errs, fmt.Errorf("prices[%d]: %w: %v %s is priced twice", i, tables.ErrQuery, p.Size, p.Pipe))
		}
		list[priceKey{p.Pipe, p.Size}] = p
	}
	return list, errors.Join(errs...)
}

func (s *search) prepare(a *Analysis, list map[priceKey]Price) error {
	l := s.h.l
	n := l.Len()
	s.need = make([]float64, n)
	for i := range s.need {
		s.need[i] = math.Inf(-1) // nothing is drawn there
	}
	for i := range a.fixtures {
		for p := range l.ports(i) {
			s.need[p] = max(s.need[p], float64(a.fixtures[i].Most))
		}
	}
	for i := range l.data.Points {
		if needs := l.data.Points[i].Needs; needs > 0 {
			s.need[i] = max(s.need[i], float64(needs))
		}
	}
	var errs []error
	s.cost, s.loss = make([][]int64, n), make([][]float64, n)
	s.child = make([][]int32, n)
	for i := range n {
		f := s.h.families[i]
		s.cost[i], s.loss[i] = make([]int64, len(f.sizes)), make([]float64, len(f.sizes))
		for k := range f.sizes {
			s.cost[i][k] = -1
			if k < s.b.least[i] || s.drawn[i] >= 0 && k != s.drawn[i] {
				continue
			}
			price, ok := list[priceKey{f.id, f.sizes[k].Size}]
			if !ok {
				errs = append(errs, fmt.Errorf("point %q: %w: no price of the %v %s drawn", l.data.Points[i].ID,
					tables.ErrNotStated, f.sizes[k].Size, f.id))
				continue
			}
			var r run
			if !s.h.hasFigures(int32(i), k, &r) && k > s.b.least[i] {
				continue // no figures for its fittings at that size
			}
			s.cost[i][k] = price.millionths(l.data.Points[i].Length)
			s.loss[i][k] = float64(r.loss())
		}
		if p := l.parent[i]; p >= 0 {
			s.child[p] = append(s.child[p], int32(i))
		}
	}
	for i := range l.data.Links {
		link, f := &l.data.Links[i], s.h.linkFamilies[i]
		if _, ok := list[priceKey{f.id, link.Size}]; !ok && link.Size != 0 {
			errs = append(errs, fmt.Errorf("link %q: %w: no price of the %v %s drawn", link.ID, tables.ErrNotStated,
				link.Size, f.id))
		}
	}
	s.prices = list
	return errors.Join(errs...)
}

// run makes the fronts of all points, ends first.
func (s *search) run(ctx context.Context) error {
	l := s.h.l
	n := l.Len()
	s.fronts, s.bounded = make([][]front, n), make([][]front, n)
	for k := n - 1; k >= 0; k-- {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("cheapest: stopped after %d of %d runs: %w", n-1-k, n, err)
		}
		i := l.order[k]
		s.fronts[i] = s.point(int(i), s.fronts, false)
		bound := slices.ContainsFunc(s.child[i], func(c int32) bool { return s.bounded[c] != nil })
		if thinned := s.thin(s.fronts[i], false); thinned || bound {
			s.bounded[i] = s.point(int(i), s.fronts, true)
			s.thin(s.bounded[i], true)
		}
	}
	return nil
}

func (s *search) thin(fronts []front, optimistic bool) bool {
	thinned := false
	for k := range fronts {
		s.widest = max(s.widest, fronts[k].len())
		thinned = fronts[k].thin(s.limit, optimistic) || thinned
	}
	return thinned
}

// point makes the fronts of one point for each greatest size of its run. bound asks
// for the optimistic side of what it feeds.
func (s *search) point(i int, fronts [][]front, bound bool) []front {
	f := s.h.families[i]
	out := make([]front, len(f.sizes))
	var sofar front
	for k := range f.sizes {
		if s.cost[i][k] >= 0 {
			served := front{}
			served.add(s.need[i], 0, 0)
			for _, c := range s.child[i] {
				list := fronts[c]
				if bound && s.bounded[c] != nil {
					list = s.bounded[c]
				}
				at := s.cap(int(c), i, k)
				if at < 0 {
					served = front{}
					break
				}
				served = together(&served, &list[at])
			}
			s.through(i, k, &served)
			sofar.need = append(sofar.need, served.need...)
			sofar.cost = append(sofar.cost, served.cost...)
			sofar.size = append(sofar.size, served.size...)
			sofar.prune()
		}
		out[k] = front{slices.Clone(sofar.need), slices.Clone(sofar.cost), slices.Clone(sofar.size)}
	}
	return out
}

// cap returns the greatest size of a child's run that its parent's run of size k may
// feed, -1 if none. The greatest that is to be had feeds any, as in [Layout.Size].
func (s *search) cap(child, parent, k int) int {
	f := s.h.families[child]
	last := len(f.sizes) - 1
	if s.drawn[parent] >= 0 || s.drawn[child] >= 0 || s.h.l.service[child] == Recirculated &&
		s.h.l.service[parent] != Recirculated {
		return last
	}
	sizes := s.h.families[parent].sizes
	if k == len(sizes)-1 {
		return last
	}
	for last >= 0 && s.h.opt.smaller(&sizes[k], &f.sizes[last]) {
		last--
	}
	return last
}

// through takes choices at the end of a run to its beginning.
func (s *search) through(i, k int, f *front) {
	loss := s.loss[i][k]
	most, d := math.Inf(1), s.h.l.data.Points[i].Device
	if d.regulator() {
		most = float64(d.behind(s.h.flows[i].Flow))
	}
	out := front{}
	for j := range f.need {
		if f.need[j] > most+pressureSlack {
			break
		}
		need := f.need[j]
		if d.booster() && need <= float64(d.Set)+pressureSlack {
			need = 0 // it only has to be fed
		}
		out.add(need+loss, f.cost[j]+s.cost[i][k], int16(k))
	}
	*f = out
}

// choose reads the cheapest set off the fronts, from the source down.
func (s *search) choose() (sizes []int, cost int64, ok bool) {
	l := s.h.l
	sizes = make([]int, l.Len())
	at := make([]float64, l.Len()) // pressure at each point
	for _, i := range l.order {
		pressure, list := float64(s.h.street), s.fronts[i]
		k := len(list) - 1
		if p := l.parent[i]; p >= 0 {
			pressure = at[p]
			k = s.cap(int(i), int(p), sizes[p])
		}
		j := list[k].cheapest(pressure)
		if j < 0 {
			return nil, 0, false
		}
		size := int(list[k].size[j])
		sizes[i] = size
		cost += s.cost[i][size]
		at[i] = pressure - s.loss[i][size]
		at[i] = float64(l.data.Points[i].Device.held(units.Pressure(at[i]), s.h.flows[i].Flow))
	}
	return sizes, cost, true
}

// costOf is what a set of sizes costs.
func (s *search) costOf(set *bounds) (cost int64) {
	for i, k := range set.least {
		cost += s.cost[i][k]
	}
	return cost + s.linksCost(set)
}

// linksCost is what the links of a set cost.
func (s *search) linksCost(set *bounds) (cost int64) {
	for i, k := range set.links {
		price := s.prices[priceKey{s.h.linkFamilies[i].id, s.h.linkFamilies[i].sizes[k].Size}]
		cost += price.millionths(s.h.l.data.Links[i].Length)
	}
	return cost
}

// bound is what no set can undercut; cost itself where nothing was thinned.
func (s *search) bound(cost int64) int64 {
	var sum int64
	thinned := false
	for i := range s.h.l.parent {
		if s.h.l.parent[i] >= 0 {
			continue
		}
		list := s.fronts[i]
		if s.bounded[i] != nil {
			list, thinned = s.bounded[i], true
		}
		last := &list[len(list)-1]
		j := last.cheapest(float64(s.h.street))
		if j < 0 {
			return 0
		}
		sum += last.cost[j]
	}
	if !thinned {
		return cost
	}
	return sum
}
