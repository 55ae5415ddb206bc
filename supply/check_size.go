package supply

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// velocityLimits looks up the limits of the pipe that is there.
func (k *checker) velocityLimits() *limits { return &limits{h: k.worked} }

func (k *checker) velocities() {
	lim, ring := k.velocityLimits(), k.openRing()
	k.linkVelocities(lim, ring)
	type unjudged struct {
		material string
		service  Service
	}
	var without grouped.By[unjudged, string]
	for _, i := range k.points() {
		r := &k.runs[i]
		flow, velocity := ring.greatest(r, i)
		if flow == 0 || r.Basis == NotKnown {
			continue
		}
		limit, ok := lim.of(i)
		if !ok {
			without.Add(unjudged{r.family.material, k.layout.service[i]}, k.layout.data.Points[i].ID)
			continue
		}
		f := k.velocity(k.layout.data.Points[i].ID, velocity, limit)
		f.Reason = k.Sentence(&f, k.Text("The velocity at %s, of %v in %v %s on the %v line,", f.Place, k.system.flow(flow),
			r.name(), r.family.id, k.layout.service[i]), "limit", "too fast")
		if f.Verdict == tables.Fail {
			f.Fix = k.largerPipe(r.family, r.Size, flow, limit.Velocity)
			if ring != nil {
				k.ringDecides(&f, ring, i, limit.Velocity)
			}
			if k.tank != nil && k.tank.runs[i].Flow < r.Flow {
				t := &k.tank.runs[i]
				k.curveDecides(&f, within(t.Velocity, limit.Velocity), t.Flow, k.system.velocity(t.Velocity))
				if f.Verdict == tables.Fail {
					f.Fix += k.Text(" The tank column makes it %v%s.", k.system.flow(t.Flow), k.sizedFor(i, t.Flow))
				}
			}
		}
		k.Add(f)
	}
	for u, list := range without.All() {
		k.Ask("water-velocity", list[0], tables.Authority,
			k.Text("Our tables hold no velocity limit of this code for %s on the %v line: not judged by it, and "+
				"not sized by it either: %s, %s.", u.material, u.service, counted(len(list), "run"), shortList(list)),
			"Ask the maker of the pipe, and give the code the figure by an amendment.", tables.Citation{})
	}
}

// velocity sets a velocity beside its limit.
func (k *checker) velocity(place string, v units.Velocity, limit VelocityLimit) tables.Finding {
	return atMost(finding.Case{Rule: "water-velocity", Place: place, Citation: limit.Citation},
		within(v, limit.Velocity), v, limit.Velocity, k.system.velocity)
}

// openRing is the layout with its links open; nil where it has none, or cannot be worked out,
// which is asked about.
func (k *checker) openRing() *Ring {
	links := k.layout.data.Links
	if len(links) == 0 {
		return nil
	}
	ring, err := k.RingContext(k.ctx)
	if err == nil {
		k.open = k.pressuresOf(ring)
		return ring
	}
	settles := tables.Designer
	fix := "State ends of the link (between) that lie on one line, on one side of each regulator."
	if errors.Is(err, tables.ErrNotInCode) {
		settles, fix = tables.Authority, "Give the code a table of demand by an amendment, or work the ring out apart."
	}
	k.Ask("water-velocity", links[0].ID, settles, k.Text("The layout was not worked out with its links open (%v): "+
		"velocities and pressures are judged with them shut, and the links not at all.", err), fix, tables.Citation{})
	return nil
}

// greatest is the flow of a run with the links shut, or with them open if that is more.
func (g *Ring) greatest(r *run, i int) (units.Flow, units.Velocity) {
	if g == nil {
		return r.Flow, r.Velocity
	}
	open := max(g.Runs[i], -g.Runs[i])
	v, err := hydraulics.Velocity(open, r.Bore)
	if err == nil && roundTo(float64(open)*1e6) > roundTo(float64(r.Flow)*1e6) {
		return open, v
	}
	return r.Flow, r.Velocity
}

// ringDecides turns a fail of a run into a question where it is within the limit while the
// ring is whole, and over it only with the links shut.
func (k *checker) ringDecides(f *tables.Finding, ring *Ring, i int, limit units.Velocity) {
	open := max(ring.Runs[i], -ring.Runs[i])
	v, err := hydraulics.Velocity(open, k.runs[i].Bore)
	if err != nil || !within(v, limit) {
		return
	}
	f.Verdict, f.SettledBy = tables.Ask, tables.Owner
	f.Reason += k.Text(" That is with the links of the ring shut, as for a repair; with them open it carries %v at %v, "+
		"which passes.", k.system.flow(open), k.system.velocity(v))
	f.Fix = "Ask whether the ring must bear its whole demand with a side shut; if so: " + f.Fix
}

// linkVelocities judges what the links of a ring carry while they are open.
func (k *checker) linkVelocities(lim *limits, ring *Ring) {
	for n := range k.layout.data.Links {
		link := &k.layout.data.Links[n]
		family, err := k.LinkPipe(n)
		if err != nil || ring == nil {
			continue
		}
		limit, ok := lim.ofLink(link, family)
		if !ok {
			continue
		}
		x := &ring.Links[n]
		flow := max(x.Flow, -x.Flow)
		f := k.velocity(x.ID, x.Velocity, limit)
		f.Reason = k.Sentence(&f, k.Text("The velocity in the open link %s, of %v in %v %s,", x.ID, k.system.flow(flow),
			k.linkName(family, link.Size), family.id), "limit", "too fast")
		if f.Verdict == tables.Fail {
			f.Fix = k.largerPipe(family, link.Size, flow, limit.Velocity)
		}
		k.Add(f)
	}
}

// linkName is what the pipe of a link is called.
func (k *checker) linkName(family *PipeFamily, size units.Length) fmt.Stringer {
	if at := family.size(size); at >= 0 {
		return family.name(&family.sizes[at])
	}
	return k.system.size(size)
}

// unitPipes sets each bore beside the pipe that the code's table asks for the run's
// loading units, where that is how the code sizes.
func (k *checker) unitPipes() error {
	if !k.code.sizesByUnits() {
		return nil
	}
	sizes := newUnitSizes(k.code, k.layout)
	for n := len(k.runs) - 1; n >= 0; n-- {
		i := int(k.layout.order[n])
		sizes.size(i, k.runs[i].family.material, k.runs[i].Load, k.runs[i].single)
	}
	k.noUnitPipes(sizes)
	for i := range k.runs {
		r, pipe := &k.runs[i], &sizes.pipes[i]
		if sizes.why[i] != nil || pipe.Citation.IsZero() {
			continue
		}
		f := atLeast(finding.Case{Rule: "pipe-by-units", Place: k.layout.data.Points[i].ID, Citation: pipe.Citation},
			r.Bore >= pipe.Bore, r.Bore, pipe.Bore, k.system.size)
		f.Reason = k.Text("%s on the %v line, at most %s from one outlet: the code's pipe is %s, which carries %s; "+
			"%v %s is laid.", r.Load.In(k.code.unit), k.layout.service[i], r.single.In(k.code.unit), pipe.Pipe,
			pipe.MaxUnits, r.name(), r.family.id)
		if f.Verdict == tables.Pass && r.Continuous > 0 {
			f.Verdict, f.SettledBy = tables.Ask, tables.Authority
			f.Reason += k.Text(" %v flows here without end, which the table does not count.",
				k.system.flow(r.Continuous))
			f.Fix = "Ask how the authority adds a flow without end to loading units; the next size leaves room for it."
		}
		if f.Verdict == tables.Fail {
			f.Fix = k.Text("Lay pipe with a bore of %v or more.", pipe.Bore)
		}
		k.Add(f)
	}
	return nil
}

// noUnitPipes fails the runs whose load is more than the code's greatest pipe carries,
// and asks about those of a material that its table does not have, together.
func (k *checker) noUnitPipes(sizes *unitSizes) {
	var other []int
	for _, i := range k.points() {
		why := sizes.why[i]
		switch {
		case errors.Is(why, tables.ErrOutsideTable):
			r, most := &k.runs[i], sizes.pipes[i].MaxUnits
			k.Add(tables.Finding{
				Rule: "pipe-by-units", Place: k.layout.data.Points[i].ID, Verdict: tables.Fail,
				Value: plainText(r.Load.In(k.code.unit)), Limit: plainText(most.String()),
				Margin: plainText((most.FixtureUnits - r.Load).In(k.code.unit)),
				Reason: k.Text("The load, or what one outlet puts on it, is more than the greatest %s of the code's "+
					"table carries.", r.family.material),
				Fix: "Part the line, or size it by a method that gives flows.", Citation: sizes.pipes[i].Citation,
			})
		case why != nil:
			other = append(other, i)
		}
	}
	if len(other) > 0 {
		k.Ask("pipe-by-units", k.layout.data.Points[other[0]].ID, tables.Designer,
			k.Text("The code's table of pipes has none of this material (%v); sizes are the least there are,"+
				" at %s.", sizes.why[other[0]], k.ids(other)),
			"Take a material of the table, or size the line by a method that gives flows.", tables.Citation{})
	}
}

// largerPipe says what keeps a flow to a velocity: the next size of a pipe that does, in
// stock or not.
func (k *checker) largerPipe(family *PipeFamily, size units.Length, flow units.Flow, limit units.Velocity) string {
	all, err := k.layout.family(k.code, family.id)
	if err != nil {
		all = family
	}
	all = k.code.sold(all, size)
	at, err := all.keeping(flow, limit, 0)
	if err != nil || at == len(all.sizes) {
		return k.Text("No %s is large enough: take another pipe, or part the line.", family.id)
	}
	s, stocked := &all.sizes[at], ""
	if at := k.layout.stockOf(family.id); at >= 0 && !slices.Contains(k.layout.data.Stock[at].Sizes, s.Size) {
		stocked = ", which is not in stock"
	}
	v, _ := hydraulics.Velocity(flow, s.Bore)
	return k.Text("Take %v: %v%s.", all.name(s), k.system.velocity(v), stocked)
}

func (k *checker) supplySizes() {
	l := k.layout
	home := newHomeRuns(k.worked)
	for i := range l.data.Fixtures {
		f := l.data.Fixtures[i].one()
		list, err := k.code.MinSizes(f)
		if err != nil {
			continue
		}
		for p := range l.ports(i) {
			run, isHome := home.of(p)
			short := isHome && !k.code.reaches(k.runs[p].bore, greatestOf(list).Size)
			sizes, more := list, ""
			if short {
				sizes, more = k.ofHomeRun(home, run, f, list)
			}
			k.supplySize(i, p, sizes, more)
		}
	}
}

// ofHomeRun returns the sizes that a home run smaller than the fixture's supply is held to,
// and says why.
func (k *checker) ofHomeRun(home *homeRuns, run homeRun, f tables.Fixture, list []MinSize) ([]MinSize, string) {
	sizes := home.sizes(f, list)
	switch {
	case greatestOf(sizes).Size == greatestOf(list).Size:
		return list, ""
	case run.length > home.most:
		return list, k.Text(" A home run may be a size smaller up to %v from its manifold; this one is %v long.",
			k.system.length(home.most), k.system.length(run.length))
	case !run.allowed:
		return list, k.Text(" A home run may be a size smaller where the meter has %v; it has %v.",
			k.system.pressure(home.least), k.system.pressure(run.pressure))
	}
	return sizes, k.Text(" A home run of no more than %v from its manifold (%v from %s) may be a size smaller where the "+
		"meter has %v (%v).", k.system.length(home.most), k.system.length(run.length), run.manifold,
		k.system.pressure(home.least), k.system.pressure(run.pressure))
}

// greatestOf returns the row of the greatest size.
func greatestOf(list []MinSize) MinSize {
	return slices.MaxFunc(list, func(a, b MinSize) int { return cmp.Compare(a.Size, b.Size) })
}

// supplySize judges the run to a port of a fixture by the rows that fit it.
func (k *checker) supplySize(fix int, port int32, list []MinSize, more string) {
	l, r, most := k.layout, &k.runs[port], greatestOf(list)
	least := slices.MinFunc(list, func(a, b MinSize) int { return cmp.Compare(a.Size, b.Size) })
	out := tables.Finding{
		Rule: "supply-size", Place: l.data.Fixtures[fix].ID, Side: l.service[port].String(),
		Reason: k.Text("The %v run to %s, which ends at %s,", l.service[port], l.data.Fixtures[fix].ID,
			l.data.Points[port].ID),
		Citation: most.Citation,
	}
	k.atLeast(&out, r, most.Size)
	out.Reason += more
	switch {
	case out.Verdict == tables.Fail && k.code.reaches(r.bore, least.Size):
		out.Verdict, out.SettledBy = tables.Ask, tables.Designer
		out.Fix = "State the style of the fixture: the code asks different sizes of its kinds."
	case out.Verdict == tables.Fail:
		out.Fix = k.Text("Run %v to it.", k.reaching(r, most.Size))
	}
	k.Add(out)
}

// atLeast judges the size of a run against one that the code asks by name. Pipe named
// by its outside diameter is judged by its bore. The reason of the finding names the run.
func (k *checker) atLeast(f *tables.Finding, r *run, least units.Length) {
	f.Verdict = passOrFail(k.code.reaches(r.bore, least))
	f.Value, f.Limit, f.Margin = k.system.size(r.Size), k.system.size(least), k.system.size(r.Size-least)
	f.Reason += k.Text(" is %v; at least %v", r.name(), nominal(least.String()))
	if f.Verdict == tables.Fail {
		f.Reason += ": too small"
	}
	f.Reason += "."
	if r.bore.Size != r.bore.Outside {
		return
	}
	if bore, ok := k.code.pipes.inch()[least]; ok {
		f.Value, f.Limit, f.Margin = k.system.bore(r.Bore), k.system.bore(bore), k.system.bore(r.Bore-bore)
		f.Reason += k.Text(" The code asks for %v pipe, which is sold with a bore of %v or more; %v %s has %v.",
			nominal(least.String()), f.Limit, r.name(), r.family.id, f.Value)
	}
}

// reaching is the first size of the kind of pipe of a run that is as great as one which
// the code asks by name, or that name.
func (k *checker) reaching(r *run, least units.Length) string {
	if all, err := k.layout.family(k.code, r.family.id); err == nil {
		for i := range all.sizes {
			if k.code.reaches(&all.sizes[i], least) {
				return all.sizes[i].Size.String()
			}
		}
	}
	return least.String()
}

func (k *checker) serviceSize() {
	least, cite, ok := ruled[units.Length](k.code, "service-size-min")
	main, mainCite, hasMain := ruled[units.Length](k.code, "heater-branch-size-min")
	var mains []bool
	if hasMain {
		mains = k.layout.heaterMains()
	}
	for i := range k.runs {
		f := tables.Finding{Rule: "service-size", Place: k.layout.data.Points[i].ID}
		switch {
		case ok && k.layout.parent[i] < 0:
			f.Citation, f.Reason = cite, "The run from the source to "+f.Place
			k.service(f, i, least)
		case hasMain && mains[i]:
			f.Citation, f.Reason = mainCite, k.Text("The run to %s, ahead of the first branch to a water heater,", f.Place)
			k.service(f, i, main)
		}
	}
}

// service judges the size of a run of the service or of the line that goes on from it.
func (k *checker) service(f tables.Finding, i int, least units.Length) {
	run := &k.runs[i]
	if k.atLeast(&f, run, least); f.Verdict == tables.Fail {
		f.Fix = k.Text("Lay %v.", k.reaching(run, least))
	}
	k.Add(f)
}

// lineSizes asks about a line that feeds a greater one.
func (k *checker) lineSizes() {
	for i := range k.runs {
		p := k.layout.parent[i]
		if p < 0 || k.layout.service[i] == Recirculated || !k.opt.smaller(k.runs[p].bore, k.runs[i].bore) {
			continue
		}
		k.asks(finding.Case{Rule: "line-feeds-greater", Place: k.layout.data.Points[i].ID}, tables.Designer,
			k.runs[i].Size, k.runs[p].Size, k.Text("It is fed by a smaller line, ending at %s; common practice does "+
				"not enlarge a line downstream.", k.layout.data.Points[p].ID),
			"Ask whether it is meant; enlarge the line that feeds it.")
	}
}

// manifolds judges manifolds by the code's table, and asks about home runs that serve more than
// one outlet.
func (k *checker) manifolds() {
	l := k.layout
	lim := k.velocityLimits()
	several := l.portsServed()
	shared := map[int32][]string{}
	for _, n := range k.points() {
		if p := l.parent[n]; p >= 0 && l.data.Points[p].Manifold && several[n] > 1 {
			shared[p] = append(shared[p], l.data.Points[n].ID)
		}
	}
	for i := range k.runs {
		if !l.data.Points[i].Manifold {
			continue
		}
		r, id := &k.runs[i], l.data.Points[i].ID
		if limit, ok := lim.of(i); ok && r.Flow > 0 {
			least, cite, ok := k.code.manifold(r.Flow, limit.Velocity)
			switch {
			case ok && least == 0:
				k.Ask("manifold-size", id, tables.Designer, k.Text("%v through a manifold are more than the greatest of the "+
					"code's table carries.", k.system.flow(r.Flow)), "Part the manifold in two.", cite)
			case ok && r.Bore < least:
				f := atLeast(finding.Case{Rule: "manifold-size", Place: id, Citation: cite}, false, r.Bore, least, k.system.bore)
				f.Reason = k.Text("%v through a manifold fed by %v %s.", k.system.flow(r.Flow), r.name(), r.family.id)
				f.Fix = k.Text("Take a manifold, and lay a line to it, with a bore of %v or more.", f.Limit)
				k.Add(f)
			}
		}
		if list := shared[int32(i)]; len(list) > 0 {
			k.Ask("home-run", id, tables.Designer,
				k.Text("A home run goes from the manifold to one outlet; these serve more: %s.", shortList(list)),
				"Give each outlet a run of its own, or do not call the point a manifold.", tables.Citation{})
		}
	}
}
