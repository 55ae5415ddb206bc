package supply

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// SizeBasis says what set the size of a run.
type SizeBasis uint8

// What may set the size of a run.
const (
	Drawn        SizeBasis = iota // by the layout
	BySmallest                    // the family has none smaller
	ByVelocity                    // the velocity limit
	ByMinimum                     // the least size of a fixture's supply
	ByService                     // the least size of the service
	ByDownstream                  // no line feeds a greater one
	ByPressure                    // the pressure at the fixtures
	ByCost                        // the cheapest set that meets the pressures
	ByUnits                       // the code's pipe for its loading units
	ByReturnFlow                  // the velocity limit at the flow kept up in a recirculation
	ByGreatest                    // the family or the stock has none greater, and more is asked
	ByManifold                    // the bore that the code gives a manifold for its flow
	ByRing                        // the velocity limit at the flow with the links of its ring open
	ByRest                        // the rest of its ring, which has one size all round
	ByHeaterMain                  // the least size of the line to the first branch to a water heater
)

var sizeBases = enum.Words[SizeBasis]{What: "basis of a size", Err: tables.ErrQuery,
	Words: []string{"drawn", "smallest of its kind", "velocity limit", "least supply of the fixture",
		"least size of the service", "not less than the run it feeds", "pressure at the fixtures",
		"cheapest set that meets the pressures", "pipe for its loading units",
		"velocity limit at the recirculated flow", "greatest there is, and too small",
		"bore of a manifold for its flow", "velocity limit with the ring open",
		"one size all round its ring", "least size up to the branch of a water heater"}}

// String says the basis in words.
func (b SizeBasis) String() string { return sizeBases.String(b) }

// MarshalText returns the text of String.
func (b SizeBasis) MarshalText() ([]byte, error) { return sizeBases.Marshal(b) }

// UnmarshalText reads the text of String.
func (b *SizeBasis) UnmarshalText(text []byte) error { return sizeBases.Unmarshal(text, b) }

// Sizing is a layout with every run sized: its analysis at those sizes, and what set them.
// It never changes and may be used by many at once.
type Sizing struct {
	*Analysis
	given    *Layout // as it was sized, without the sizes chosen
	unserved []int
}

// Short returns the fixtures whose pressure no size of pipe could bring up.
func (s *Sizing) Short() []string {
	if s.Analyse().made() != nil {
		return nil
	}
	var ids []string
	for _, i := range s.unserved {
		ids = append(ids, s.layout.data.Fixtures[i].ID)
	}
	return ids
}

// Data returns the sizing as plain data.
func (s *Sizing) Data() SizingData { return s.plain(nil) }

func (s *Sizing) plain(w *patience.Work) SizingData {
	d := s.Analyse().plain(w)
	d.Short = s.Short()
	return d
}

// MarshalJSON writes the [SizingData].
func (s Sizing) MarshalJSON() ([]byte, error) { return json.Marshal(s.Data()) }

// WriteJSON writes what MarshalJSON returns as [Analysis.WriteJSON] does.
func (s *Sizing) WriteJSON(ctx context.Context, out io.Writer) error {
	if err := s.Analyse().made(); err != nil {
		return err
	}
	w := patience.NewWork(ctx, "sizing")
	return w.WriteJSON(out, s.plain(w), "runs or fixtures written")
}

// bounds are the least size of each run, by everything but pressure.
type bounds struct {
	least []int // index in the family
	basis []SizeBasis
	cite  []tables.Citation
	links []int // of links, in their families
}

// limits looks up velocity limits and keeps them.
type limits struct {
	h    *calculation
	kept map[limitKey]VelocityLimit
}

type limitKey struct {
	material string
	service  string
	water    units.Temperature
}

// connectionService is the word that tables use for the pipe to one fitting, where
// they give it a limit of its own.
const connectionService = "connection"

// of returns the velocity limit of a run; false where the code gives none.
func (m *limits) of(i int) (VelocityLimit, bool) {
	l := m.h.l
	key := limitKey{m.h.families[i].material, connectionService, l.waterIn(int32(i))}
	if l.kids[i] == 0 && len(l.FixturesAt(i)) == 1 {
		if v, ok := m.look(key); ok {
			return v, true
		}
	}
	key.service = l.service[i].String()
	return m.look(key)
}

// ofLink returns the velocity limit of a link.
func (m *limits) ofLink(link *Link, family *PipeFamily) (VelocityLimit, bool) {
	l := m.h.l
	end := l.index[link.Between[0]]
	key := limitKey{family.material, l.service[end].String(), l.data.Water.Cold}
	if l.service[end] != Cold {
		key.water = l.hotBehind(end)
	}
	return m.look(key)
}

func (m *limits) look(key limitKey) (VelocityLimit, bool) {
	v, ok := m.kept[key]
	if !ok {
		var err error
		if v, err = m.h.c.VelocityLimitFor(key.material, key.service, key.water); err != nil {
			v = VelocityLimit{}
		}
		if m.kept == nil {
			m.kept = map[limitKey]VelocityLimit{}
		}
		m.kept[key] = v
	}
	return v, v.Velocity > 0
}

// within reports whether a velocity keeps to a limit, both brought to a millionth
// of a foot per second.
func within(v, limit units.Velocity) bool {
	return roundTo(float64(v/units.FootPerSecond)) <= roundTo(float64(limit/units.FootPerSecond))
}

// keeping returns the first size from k on that keeps a flow to a velocity, the number of sizes if
// none does.
func (f *PipeFamily) keeping(flow units.Flow, limit units.Velocity, k int) (int, error) {
	for ; k < len(f.sizes); k++ {
		if v, err := hydraulics.Velocity(flow, f.sizes[k].Bore); err != nil || within(v, limit) {
			return k, err
		}
	}
	return k, nil
}

// bounds finds the least size of each run by velocity, by the supplies of fixtures,
// by the service and by what the run feeds.
func (h *calculation) bounds(sizes []int) (*bounds, error) {
	n := h.l.Len()
	b := &bounds{make([]int, n), make([]SizeBasis, n), make([]tables.Citation, n), make([]int, len(h.l.data.Links))}
	for i := range b.links {
		b.links[i] = max(0, h.linkFamilies[i].size(h.l.data.Links[i].Size))
	}
	lim := &limits{h: h}
	var byUnits *unitSizes
	if h.c.sizesByUnits() {
		byUnits = newUnitSizes(h.c, h.l)
	}
	home := newHomeRuns(h)
	service, hasService := h.c.Rule("service-size-min")
	var serviceSize units.Length
	if hasService && !service.Into(&serviceSize) {
		return nil, fmt.Errorf("%w: rule %v", tables.ErrQuery, service.Cite)
	}
	var errs []error
	for k := n - 1; k >= 0; k-- {
		if err := h.stopped("least sizes", n-1-k); err != nil {
			return nil, err
		}
		i := int(h.l.order[k])
		f := h.families[i]
		if byUnits != nil {
			byUnits.size(i, f.material, h.flows[i].Load, h.flows[i].single)
		}
		if sizes[i] >= 0 {
			b.least[i], b.basis[i], b.cite[i] = sizes[i], Drawn, f.sizes[sizes[i]].Citation
			h.raise(b, i)
			continue
		}
		if err := h.byVelocity(i, lim, b); err != nil {
			errs = append(errs, fmt.Errorf("point %q: %w", h.l.data.Points[i].ID, err))
			continue
		}
		if byUnits != nil && !byUnits.pipes[i].Citation.IsZero() {
			h.atLeastBore(i, byUnits.pipes[i].Bore, ByUnits, byUnits.pipes[i].Citation, b)
		}
		if limit, ok := lim.of(i); ok && h.l.data.Points[i].Manifold {
			if bore, cite, ok := h.c.manifold(h.flows[i].Flow, limit.Velocity); ok {
				h.atLeastBore(i, bore, ByManifold, cite, b)
			}
		}
		for _, fix := range h.l.FixturesAt(i) {
			if min, ok := h.minSupply(int(fix), int32(i), home); ok {
				h.minimum(b, i, min.Size, ByMinimum, min.Citation)
			}
		}
		if hasService && h.l.parent[i] < 0 {
			h.minimum(b, i, serviceSize, ByService, service.Cite)
		}
		h.raise(b, i)
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	h.heaterMains(b)
	rings, err := h.ringSizer()
	if err != nil {
		return nil, err
	}
	if rings != nil {
		rings.level(b)
	}
	return b, h.returns(b.least, sizes, b.basis, b.cite)
}

// smaller reports whether a line of size a may not feed one of size b: both its name
// and its bore are the lesser. Names of pipe of two kinds do not compare, nor do bores
// of one nominal size.
func (o Options) smaller(a, b *PipeSize) bool {
	return !o.FeedsAny && a.Size < b.Size && a.Bore < b.Bore
}

// raise sees that the run which feeds run i is not the smaller.
func (h *calculation) raise(b *bounds, i int) {
	p := h.l.parent[i]
	if p < 0 || h.l.service[p] != h.l.service[i] && h.l.service[i] == Recirculated {
		return
	}
	// Children come before their parent, so that what they ask waits in the parent's
	// entry until its own turn; a drawn size then takes its place.
	size := &h.families[i].sizes[b.least[i]]
	f, basis := h.families[p], ByDownstream
	k := h.atLeastAs(p, b.least[p], size)
	if h.opt.smaller(&f.sizes[k], size) {
		basis = ByGreatest
	}
	if k > b.least[p] {
		b.least[p], b.basis[p], b.cite[p] = k, basis, b.cite[i]
	}
}

// least takes a size for a run that its own reason asks for, if it is greater than what
// is asked already; or as great as what a run downstream asks, for the run's own reason
// comes first.
func (b *bounds) atLeast(i, k int, basis SizeBasis, cite tables.Citation) {
	if k > b.least[i] || k == b.least[i] && (b.basis[i] == ByDownstream || b.basis[i] == BySmallest) {
		b.least[i], b.basis[i], b.cite[i] = k, basis, cite
	}
}

// byVelocity sets the least size that keeps to the velocity limit.
func (h *calculation) byVelocity(i int, lim *limits, b *bounds) error {
	f := h.families[i]
	limit, ok := lim.of(i)
	if len(f.sizes) == 0 {
		return fmt.Errorf("%w: pipe %q has no sizes", tables.ErrNotOnShelf, f.id)
	}
	k, basis := 0, ByVelocity
	if ok {
		var err error
		if k, err = f.keeping(h.flows[i].Flow, limit.Velocity, 0); err != nil {
			return err
		}
		if k == len(f.sizes) {
			k, basis = k-1, ByGreatest // too fast in it too, which the check of velocities says
		}
	}
	if b.least[i] == 0 {
		b.basis[i], b.cite[i] = BySmallest, f.sizes[0].Citation
	}
	if k > 0 || basis == ByGreatest {
		b.atLeast(i, k, basis, limit.Citation)
	}
	return nil
}

// atLeastBore sets the least size that has a bore.
func (h *calculation) atLeastBore(i int, bore units.Length, basis SizeBasis, cite tables.Citation, b *bounds) {
	f := h.families[i]
	k := 0
	for k < len(f.sizes) && f.sizes[k].Bore < bore {
		k++
	}
	if k == len(f.sizes) {
		k, basis = k-1, ByGreatest // which the checks say is too small
	}
	b.atLeast(i, k, basis, cite)
}

// minimum sets the least size that a code asks of a run by its name.
func (h *calculation) minimum(b *bounds, i int, size units.Length, basis SizeBasis, cite tables.Citation) {
	f := h.families[i]
	for k := range f.sizes {
		if h.c.reaches(&f.sizes[k], size) {
			b.atLeast(i, k, basis, cite)
			return
		}
	}
}

// heaterMains gives the runs up to the first branch to a water heater the least size that the
// code asks of them.
func (h *calculation) heaterMains(b *bounds) {
	size, cite, ok := ruled[units.Length](h.c, "heater-branch-size-min")
	if !ok {
		return
	}
	for i, main := range h.l.heaterMains() {
		if main && b.basis[i] != Drawn {
			h.minimum(b, i, size, ByHeaterMain, cite)
		}
	}
}

// minSupply returns the least supply of a fixture: the greatest of the rows that
// fit what the layout states, which may be less for a home run from a manifold.
func (h *calculation) minSupply(fix int, port int32, home *homeRuns) (MinSize, bool) {
	f := h.l.data.Fixtures[fix].one()
	list, err := h.c.MinSizes(f)
	if err != nil {
		return MinSize{}, false
	}
	if run, ok := home.of(port); ok && run.allowed {
		list = home.sizes(f, list)
	}
	return greatestOf(list), true
}

// Size chooses the size of every run that has none drawn: the smallest that keeps
// to the velocity limit, to the least supply of each fixture and to the least
// service, with no line smaller than one it feeds while there is a greater; then,
// while a fixture lacks pressure, that of the one which lacks most on whose way the
// next size gains most. A ring, the runs and the links that close it, has one size all round,
// which serves with the links shut, and with them open too. Fixtures that no size can serve enlarge nothing; they are
// listed in Short, and [Sizing.Check] says what would serve them. Less pressure in
// the street never makes a run smaller while all are served. [Layout.Cheapest] finds
// the cheapest set instead.
func (l *Layout) Size(c *Code, opt Options) (*Sizing, error) {
	return l.SizeContext(context.Background(), c, opt)
}

// SizeContext is [Layout.Size] that stops once the context is done, with its error and how far
// it was.
func (l *Layout) SizeContext(ctx context.Context, c *Code, opt Options) (*Sizing, error) {
	h, err := l.prepare(c, opt, nil)
	if err != nil {
		return nil, err
	}
	defer h.within(ctx)()
	s, _, err := h.greedy()
	return s, err
}

// start returns the sizes that are drawn, and the least of each run.
func (h *calculation) start() (drawn []int, b *bounds, err error) {
	if drawn, err = h.drawnSizes(false); err != nil {
		return nil, nil, err
	}
	b, err = h.bounds(drawn)
	return drawn, b, err
}

// greedy sizes the layout as [Layout.Size] says, and returns the sizes too.
func (h *calculation) greedy() (*Sizing, *bounds, error) {
	drawn, b, err := h.start()
	if err != nil {
		return nil, nil, err
	}
	a, err := h.analyse(b.least)
	if err != nil {
		return nil, nil, err
	}
	a.basis, a.cites = b.basis, b.cite
	if err := h.enlarge(a, b, drawn); err != nil {
		return nil, nil, err
	}
	if a, err = h.settle(b, drawn); err != nil {
		return nil, nil, err
	}
	s := h.sizing(a, b)
	if err := h.endedIn("size"); err != nil {
		return nil, nil, err
	}
	return s, b, nil
}

// sizing is the layout worked out at the sizes of a set.
func (h *calculation) sizing(a *Analysis, b *bounds) *Sizing {
	a.basis, a.cites, a.layout = b.basis, b.cite, h.withSizes(b)
	return &Sizing{Analysis: a, given: h.l, unserved: a.short(h.ctx)}
}

// settle sizes what hangs on the sizes of the other runs, and works the layout out: rings,
// which have one size all round, and returns, for greater hot lines lose more heat, and their
// returns carry more.
func (h *calculation) settle(b *bounds, drawn []int) (*Analysis, error) {
	if h.rings != nil {
		h.rings.level(b)
	}
	if err := h.returns(b.least, drawn, b.basis, b.cite); err != nil {
		return nil, err
	}
	return h.analyse(b.least)
}

// withSizes returns the layout with sizes drawn in.
func (h *calculation) withSizes(b *bounds) *Layout {
	out := *h.l
	out.data.Points, out.data.Links = slices.Clone(h.l.data.Points), slices.Clone(h.l.data.Links)
	for i := range out.data.Points {
		out.data.Points[i].Size = h.families[i].sizes[b.least[i]].Size
	}
	for k := range out.data.Links {
		out.data.Links[k].Size = h.linkFamilies[k].sizes[b.links[k]].Size
	}
	return &out
}

// Analyse returns what the sizes come to: flows and pressures, run by run.
func (s *Sizing) Analyse() *Analysis {
	if s == nil {
		return nil
	}
	return s.Analysis
}

// Layout returns the layout that was sized, as it was given: its Data is the one to edit, for
// runs that were not drawn have no size in it. With the sizes chosen drawn in it is
// s.Analyse().Layout(); what is edited there is not sized again.
func (s *Sizing) Layout() *Layout {
	if s == nil || s.Analyse().made() != nil {
		return nil
	}
	return s.given
}

// Len returns how many runs there are.
func (s *Sizing) Len() int { return s.Analyse().Len() }

// At returns the run to point i, from 0 to Len less one.
func (s *Sizing) At(i int) RunResult { return s.Analyse().At(i) }

// Of returns the run to the point of that id.
func (s *Sizing) Of(id string) (RunResult, bool) { return s.Analyse().Of(id) }

// All returns each run with its place.
func (s *Sizing) All() iter.Seq2[int, RunResult] { return s.Analyse().All() }

// Text is [Analysis.Text] of the sizes chosen.
func (s *Sizing) Text(q fmt.Stringer) string { return s.Analyse().Text(q) }

// Check is [Analysis.Check] of the sizes chosen.
func (s *Sizing) Check(opt CheckOptions) ([]tables.Finding, error) { return s.Analyse().Check(opt) }

// CheckContext is [Analysis.CheckContext] of the sizes chosen.
func (s *Sizing) CheckContext(ctx context.Context, opt CheckOptions) ([]tables.Finding, error) {
	return s.Analyse().CheckContext(ctx, opt)
}

// Draw is [Analysis.Draw] of the sizes chosen.
func (s *Sizing) Draw(opt DrawOptions) (*Drawings, error) { return s.Analyse().Draw(opt) }

// DrawContext is [Analysis.DrawContext] of the sizes chosen.
func (s *Sizing) DrawContext(ctx context.Context, opt DrawOptions) (*Drawings, error) {
	return s.Analyse().DrawContext(ctx, opt)
}

// TakeOff is [Analysis.TakeOff] of the sizes chosen.
func (s *Sizing) TakeOff(opt TakeOffOptions) (*TakeOff, error) { return s.Analyse().TakeOff(opt) }

// TestPlans is [Analysis.TestPlans] of the sizes chosen.
func (s *Sizing) TestPlans(opt TestOptions) ([]TestPlan, error) { return s.Analyse().TestPlans(opt) }

// UniformLoss is the method of the codes' appendices: what is left of the pressure
// after height, devices and the outlet is spread evenly over the way to the
// governing fixture, and every run is sized for that loss in 100 ft.
type UniformLoss struct {
	Sizing *Sizing `json:"sizing"` // the sizes it gives, worked out exactly
	// Per100 is the loss in 100 ft of pipe.
	Per100   units.Pressure `json:"per100"`
	Critical string         `json:"critical"` // fixture whose way gives it
	// What it was made of, for that fixture.
	Source   units.Pressure  `json:"source"`
	Rise     units.Pressure  `json:"rise"`
	Devices  units.Pressure  `json:"devices"`
	Required units.Pressure  `json:"required"`
	Left     units.Pressure  `json:"left"`
	Length   units.Length    `json:"length"`            // with the equivalent lengths of fittings
	PerFoot  tables.Citation `json:"per_foot,omitzero"` // the row that prices height; zero: by the density of water
	Rounds   int             `json:"rounds"`            // until lengths and sizes agreed

	governing int // index of Critical
}

// UniformLoss sizes the layout by the method of the appendices and works the result
// out exactly: its Short lists fixtures that the method serves too little, for it
// takes one loss for all ways. Sizes keep to velocities and least sizes as
// [Layout.Size] does. Height is priced as the code's appendix does where it gives a
// figure. A layout with nothing left to lose is [units.ErrNoSolution].
func (l *Layout) UniformLoss(c *Code, opt Options) (*UniformLoss, error) {
	return l.UniformLossContext(context.Background(), c, opt)
}

// UniformLossContext is [Layout.UniformLoss] that stops once the context is done, with its error and how
// far it was. Each round goes the way of each fixture to the source.
func (l *Layout) UniformLossContext(ctx context.Context, c *Code, opt Options) (*UniformLoss, error) {
	h, err := l.prepare(c, opt, nil)
	if err != nil {
		return nil, err
	}
	defer h.within(ctx)()
	drawn, b, err := h.start()
	if err != nil {
		return nil, err
	}
	if err := h.flowsKnown(); err != nil {
		return nil, err
	}
	perMetre, perFoot := h.height()
	out := &UniformLoss{PerFoot: perFoot}
	sizes := slices.Clone(b.least)
	var a *Analysis
	for out.Rounds = 1; ; out.Rounds++ {
		if a, err = h.analyse(sizes); err != nil {
			return nil, err
		}
		if err := out.rate(a, perMetre); err != nil {
			return nil, err
		}
		next, err := h.byRate(b, drawn, float64(out.Per100))
		if err != nil {
			return nil, err
		}
		grown := false
		for i := range next {
			// Sizes only grow from round to round, so that it ends.
			grown = grown || next[i] > sizes[i]
			sizes[i] = max(sizes[i], next[i])
		}
		if !grown {
			break
		}
	}
	for i := range sizes {
		if sizes[i] > b.least[i] {
			b.basis[i], b.cite[i] = ByPressure, tables.Citation{}
		}
	}
	b.least = sizes
	if a, err = h.settle(b, drawn); err != nil {
		return nil, err
	}
	out.Sizing = h.sizing(a, b)
	if err := h.endedIn("uniform loss"); err != nil {
		return nil, err
	}
	out.Critical = l.data.Fixtures[out.governing].ID
	return out, nil
}

// rate finds the fixture whose way leaves the least to lose in a length of pipe.
func (u *UniformLoss) rate(a *Analysis, perMetre float64) error {
	l := a.layout
	first := true
	for fix := range a.fixtures {
		f := &a.fixtures[fix]
		if f.Most == 0 {
			continue
		}
		if err := a.worked.ctx.Err(); err != nil {
			return fmt.Errorf("uniform loss: stopped in round %d, after %d of %d fixtures: %w", u.Rounds, fix,
				len(a.fixtures), err)
		}
		for port := range l.ports(fix) {
			var length, height units.Length
			var devices units.Pressure
			source := a.street
			for i := port; i >= 0; i = l.parent[i] {
				r := &a.runs[i]
				if r.Reduced != 0 {
					// The regulator, or booster, at the end of its run is the source of what is
					// behind it.
					source = r.Out
					break
				}
				length += r.Length + r.Equivalent
				height += l.riseOf(int(i))
				devices += r.Device
			}
			if length == 0 {
				continue
			}
			rise := units.Pressure(perMetre * height.Metres())
			left := source - rise - devices - f.Most
			per100 := units.Pressure(float64(left) / length.Metres() * (100 * units.Foot).Metres())
			if first || per100 < u.Per100 {
				first = false
				u.Per100, u.governing = per100, fix
				u.Source, u.Rise, u.Devices, u.Required, u.Left, u.Length = source, rise, devices, f.Most, left, length
			}
		}
	}
	if first {
		return fmt.Errorf("%w: no fixture that has pipe before it asks for a pressure", tables.ErrNotStated)
	}
	if u.Per100 <= 0 {
		return fmt.Errorf("fixture %q: %w: height, devices and the outlet take all of the pressure",
			l.data.Fixtures[u.governing].ID, units.ErrNoSolution)
	}
	return nil
}

// byRate sizes every run for a loss in 100 ft.
func (h *calculation) byRate(b *bounds, drawn []int, per100 float64) ([]int, error) {
	sizes := slices.Clone(b.least)
	perKm := per100 / (100 * units.Foot).Metres() * 1000
	for k := len(sizes) - 1; k >= 0; k-- {
		i := int(h.l.order[k])
		f := h.families[i]
		for drawn[i] < 0 && sizes[i]+1 < len(f.sizes) {
			r, err := h.resistance(f, sizes[i], h.l.service[i])
			if err != nil {
				return nil, err
			}
			loss, err := r.PressureLoss(h.flows[i].Flow)
			if err != nil {
				return nil, err
			}
			if float64(loss) <= perKm {
				break
			}
			sizes[i]++
		}
		if p := h.l.parent[i]; p >= 0 && drawn[p] < 0 {
			g := h.families[p]
			for sizes[p]+1 < len(g.sizes) && h.opt.smaller(&g.sizes[sizes[p]], &f.sizes[sizes[i]]) &&
				h.l.service[i] != Recirculated {
				sizes[p]++
			}
		}
	}
	return sizes, nil
}

// Diff is [Analysis.Diff] of the sizes chosen.
func (s *Sizing) Diff(later *Sizing, opt CheckOptions) (tables.Diff, error) {
	return s.Analyse().Diff(later.Analyse(), opt)
}

// DiffContext is [Analysis.DiffContext] of the sizes chosen.
func (s *Sizing) DiffContext(ctx context.Context, later *Sizing, opt CheckOptions) (tables.Diff, error) {
	return s.Analyse().DiffContext(ctx, later.Analyse(), opt)
}
