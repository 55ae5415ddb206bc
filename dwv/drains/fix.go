package drains

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Fix is what can be done about a finding that fails, or would if the book agrees.
type Fix struct {
	Finding tables.Finding `json:"finding"`
	// Ways are changes of which each alone makes it pass, the smallest first; one that raises
	// questions, or needs the outlet lowered with it, stands behind. None: no change that was tried does.
	Ways []Way `json:"ways"`
}

// Way is a change to a layout that was tried: the layout was drawn with it, sized and
// judged again, and nothing fails that did not before.
type Way struct {
	Do string `json:"do"` // such as "Lay S9 to S8 at 1/4 in/ft."
	// Settles are the ids of all findings that no longer fail, Questions what is asked then
	// and was not before.
	Settles   []string         `json:"settles"`
	Questions []tables.Finding `json:"questions,omitempty"`

	sizing  *Sizing
	lowered bool // and the outlet with it
}

// Sizing returns the layout with the change made, sized; nil of a Way that was read from
// JSON.
func (w Way) Sizing() *Sizing { return w.sizing }

// Fixes finds for each finding that fails, in their order, the changes that put it right:
// move a vent, lay a run at another grade or of a larger size, raise or lower an outlet, add
// a cleanout. Where a change moves drains in height, risers are cut so that what stands
// above the floor stays where it is.
func (s *Sizing) Fixes(ctx context.Context, opt FitOptions) ([]Fix, error) {
	if err := s.made(); err != nil {
		return nil, err
	}
	f, err := s.newFit(ctx, opt)
	if err != nil {
		return nil, err
	}
	list := []Fix{}
	for k := range f.base {
		if !fails(&f.base[k]) {
			continue
		}
		ways, err := f.ways(&f.base[k], false)
		if err != nil {
			return nil, err
		}
		list = append(list, Fix{f.shown(f.base[k : k+1])[0], ways})
	}
	return list, nil
}

// FixAll makes one change after the other until nothing fails for which one is known. It
// returns the changes in the order in which they are to be made, and the layout with all of
// them, sized: what still fails is for [Sizing.Check] to say.
func (s *Sizing) FixAll(ctx context.Context, opt FitOptions) ([]Way, *Sizing, error) {
	if err := s.made(); err != nil {
		return nil, nil, err
	}
	done := []Way{}
	for most := 1; len(done) < most; { // each change settles a fail, and adds none
		f, err := s.newFit(ctx, opt)
		if err != nil {
			return nil, nil, err
		}
		most = max(most, len(f.base))
		var way *Way
		for k := range f.base {
			if !fails(&f.base[k]) {
				continue
			}
			ways, err := f.ways(&f.base[k], true)
			if err != nil {
				return nil, nil, err
			}
			if len(ways) > 0 {
				way = &ways[0]
				break
			}
		}
		if way == nil {
			return done, s, nil
		}
		done, s = append(done, *way), way.sizing
	}
	return done, s, nil
}

// change is something to try.
type change struct {
	do   string
	edit func(d *Data) error
	// standing keeps risers as long as they are: the change is to one of them.
	standing bool
	// of names changes of one thing by ever more: of those the first that works will do.
	of string
}

// mostWays is how many ways are enough for one finding.
const mostWays = 4

// ways tries every change for a finding, and where none alone does, several together; first
// stops at one that works and asks nothing.
func (f *fit) ways(p *tables.Finding, first bool) ([]Way, error) {
	ways, err := f.single(p, first)
	if err == nil && len(ways) == 0 {
		return f.together(p)
	}
	return ways, err
}

func (f *fit) single(p *tables.Finding, first bool) ([]Way, error) {
	ways, settled := []Way{}, map[string]bool{}
	for _, make := range changes[p.Rule] {
		for _, c := range make(f, p) {
			if len(ways) == mostWays || settled[c.of] {
				continue
			}
			w, ok := f.verify(p, c)
			if err := f.stopped(); err != nil {
				return nil, err
			}
			if !ok || slices.ContainsFunc(ways, func(v Way) bool { return v.Do == w.Do }) {
				continue
			}
			ways = append(ways, w)
			settled[c.of] = c.of != ""
			if first && len(w.Questions) == 0 && !w.lowered {
				return ways[len(ways)-1:], nil
			}
		}
	}
	cost := func(w *Way) int {
		n := len(w.Questions)
		if w.lowered {
			n++
		}
		return n
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return cost(&a) - cost(&b) })
	return ways, nil
}

// verify makes a change and tells whether it puts the finding right and nothing else wrong.
// Where all that it puts wrong is that drains come too near the slab, it is tried again
// with the outlet lowered by what lacks.
func (f *fit) verify(p *tables.Finding, c change) (Way, bool) {
	d := f.of.of.Data()
	w, wrong, ok := f.made(p, c, d)
	if ok || len(wrong) == 0 {
		return w, ok
	}
	lower := map[int32]units.Length{}
	for k := range wrong {
		m, isLength := asLength(wrong[k].Margin)
		at, found := f.of.tree.index[f.origin(wrong[k].Place)]
		if sys, isSystem := f.of.tree.systems[wrong[k].Place]; isSystem {
			at, found = sys, true
		}
		if !found || !isLength || m >= 0 || !slices.Contains([]string{"gravity-depth", "drain-cover"}, wrong[k].Rule) {
			return w, false
		}
		sys := f.of.tree.system[at]
		lower[sys] = max(lower[sys], f.up(-m))
	}
	if len(lower) != 1 {
		return w, false
	}
	for sys, by := range lower {
		d.Systems[sys].Outlet.Invert -= by
		c.do = strings.TrimSuffix(c.do, ".") + f.say(", and lower the outlet of %s by %v.", d.Systems[sys].ID, by)
	}
	w, _, ok = f.made(p, c, d)
	w.lowered = true
	return w, ok
}

// mostSteps is how many changes are put together at most, and mostTogether how many layouts
// are tried for that.
const (
	mostSteps    = 4
	mostTogether = 120
)

// together tries what no single change does: a change that puts the finding right and others
// wrong, and with it a change for each of those. Of several it takes that of the fewest steps.
func (f *fit) together(p *tables.Finding) ([]Way, error) {
	best, steps, most := []Way{}, mostSteps+1, f.tried+mostTogether
	for _, make := range changes[p.Rule] {
		for _, c := range make(f, p) {
			way, wrong, _ := f.made(p, c, f.of.of.Data())
			n := 1
			for ; n < steps-1 && len(wrong) > 0 && f.tried < most; n++ {
				way, wrong = f.next(p, way, wrong)
			}
			if err := f.stopped(); err != nil {
				return nil, err
			}
			if way.sizing != nil && len(wrong) == 0 {
				best, steps = []Way{way}, n
			}
		}
	}
	return best, nil
}

// next adds to a way the first change that puts right the first of what it puts wrong, and leaves
// no more wrong than there was. A Way without a sizing: there is none.
func (f *fit) next(p *tables.Finding, way Way, wrong []tables.Finding) (Way, []tables.Finding) {
	g, err := way.sizing.newFit(f.ctx, f.opt)
	if err != nil {
		return Way{}, nil
	}
	for _, make := range changes[wrong[0].Rule] {
		for _, c := range make(g, &wrong[0]) {
			s, found, err := g.draw(c, g.of.of.Data())
			f.tried++
			if err != nil {
				continue
			}
			c.do = strings.TrimSuffix(way.Do, ".") + ", and " + strings.ToLower(c.do[:1]) + c.do[1:]
			w, left, _ := f.held(p, c.do, s, found)
			still := slices.ContainsFunc(left, func(x tables.Finding) bool { return x.ID() == wrong[0].ID() })
			if w.sizing != nil && !still && len(left) <= len(wrong) {
				return w, left
			}
		}
	}
	return Way{}, nil
}

// draw makes a change to a layout, sizes it and judges it.
func (f *fit) draw(c change, d Data) (s *Sizing, found []tables.Finding, err error) {
	d = *d.clone()
	if err := c.edit(&d); err != nil {
		return nil, nil, err
	}
	if !c.standing {
		if err := f.cutRisers(&d); err != nil {
			return nil, nil, err
		}
	}
	return f.try(d)
}

// made makes a change to a layout and judges it; wrong is what fails then and did not, or
// fails by more, where the finding itself is put right.
func (f *fit) made(p *tables.Finding, c change, d Data) (w Way, wrong []tables.Finding, ok bool) {
	s, found, err := f.draw(c, d)
	if err != nil {
		return w, nil, false
	}
	return f.held(p, c.do, s, found)
}

// held holds a layout with a change made against the one without; see made.
func (f *fit) held(p *tables.Finding, do string, s *Sizing, found []tables.Finding) (w Way, wrong []tables.Finding,
	ok bool) {
	w = Way{Do: do, Questions: f.shown(f.newQuestions(found)), sizing: s}
	for k := range found {
		q := &found[k]
		if q.IfConfirmed != tables.Pass && (q.ID() == p.ID() || f.unjudged(p, q)) {
			return Way{}, nil, false
		}
		stands := func(b tables.Finding) bool { // and not on a part of what is to be put right
			return b.Rule == q.Rule && b.Side == q.Side && b.Place == f.origin(q.Place) && fails(&b) && !worse(q, &b) &&
				b.ID() != p.ID()
		}
		if fails(q) && !slices.ContainsFunc(f.base, stands) {
			wrong = append(wrong, *q)
		}
	}
	for k := range f.base {
		b := &f.base[k]
		if fails(b) && !slices.ContainsFunc(found, func(q tables.Finding) bool { return q.ID() == b.ID() && fails(&q) }) {
			w.Settles = append(w.Settles, b.ID())
		}
	}
	return w, wrong, len(wrong) == 0
}

// unjudged tells whether a finding leaves open what another was about and what was not asked
// before: a change that nobody can judge puts nothing right.
func (f *fit) unjudged(p, q *tables.Finding) bool {
	return q.Verdict == tables.Ask && !fails(q) && q.Rule == p.Rule && f.origin(q.Place) == p.Place &&
		!slices.ContainsFunc(f.base, func(b tables.Finding) bool { return b.ID() == q.ID() })
}

// origin is the run that a place was split from, see split; other places are their own.
func (f *fit) origin(place string) string {
	if _, ok := f.of.tree.index[place]; ok {
		return place
	}
	return strings.TrimRight(place, "+")
}

// worse tells whether a clearance lacks more than it did.
func worse(now, was *tables.Finding) bool {
	a, ok := asLength(now.Margin)
	b, both := asLength(was.Margin)
	return ok && both && a < b
}

// say writes a text with quantities as the options have them.
func (f *fit) say(format string, args ...any) string {
	return finding.New(nil, finding.Options{Print: f.opt.Print}).Text(format, args...)
}

// up rounds a length up to a step a crew can measure.
func (f *fit) up(x units.Length) units.Length { return (x + f.opt.Step - 1) / f.opt.Step * f.opt.Step }

// short returns by how much a length lacks or exceeds its limit, rounded up to a step.
func (f *fit) short(p *tables.Finding) (units.Length, bool) {
	m, ok := asLength(p.Margin)
	return f.up(-m), ok && m < 0
}

// node returns the node of a point by its id, and where the point is in a copy of the data.
func (f *fit) node(id string) (i int32, at func(d *Data) *Point) {
	i, ok := f.of.tree.index[id]
	if !ok || int(i) < f.of.tree.outlets {
		return -1, nil
	}
	return i, f.at(i)
}

func (f *fit) at(i int32) func(d *Data) *Point {
	sys := f.of.tree.system[i]
	lo, _ := f.of.tree.span(sys)
	return func(d *Data) *Point { return &d.Systems[sys].Points[i-lo] }
}

// vent returns where the vent of that id is in a copy of the data.
func (f *fit) vent(id string) func(d *Data) *Vent {
	for v := range f.of.layout.Vents {
		if f.of.layout.Vents[v].ID == id {
			return func(d *Data) *Vent { return &d.Vents[v] }
		}
	}
	return nil
}

// systemOf returns the system that a finding is of, -1 for none.
func (f *fit) systemOf(place string) int32 {
	if sys, ok := f.of.tree.systems[place]; ok {
		return sys
	}
	if i, ok := f.of.tree.index[place]; ok {
		return f.of.tree.system[i]
	}
	for k := range f.of.layout.Footings {
		if x := &f.of.layout.Footings[k]; x.ID == place {
			return f.of.tree.system[f.of.tree.index[x.Run]]
		}
	}
	return -1
}

// id names a node.
func (f *fit) id(i int32) string {
	if pt := f.of.tree.point(i); pt != nil {
		return pt.ID
	}
	return f.of.layout.Systems[i].Outlet.ID
}

// changes are what is tried for a finding of each rule, the smallest first.
var changes = map[string][]func(*fit, *tables.Finding) []change{
	"drain-load":              {(*fit).steeper, (*fit).enlarge},
	"drain-closets":           {(*fit).enlarge},
	"fixture-drain-size":      {(*fit).enlarge},
	"below-ground-size":       {(*fit).enlarge},
	"drain-size":              {(*fit).enlarge, (*fit).enlargeWasteStack},
	"drain-flow":              {(*fit).enlarge},
	"branch-length":           {(*fit).shortenBranch, (*fit).addVent},
	"branch-drop":             {(*fit).shortenBranch, (*fit).addVent},
	"branch-bends":            {(*fit).straighten, (*fit).addVent},
	"size-reduction":          {(*fit).enlarge},
	"outlet-size":             {(*fit).enlarge},
	"main-drain-undiminished": {(*fit).enlarge},
	"stack-interval-load":     {(*fit).enlarge},
	"stack-length":            {(*fit).enlarge},
	"wet-vent-load":           {(*fit).enlarge, (*fit).ventApart},
	"wet-vent-vertical-size":  {(*fit).enlarge},
	"wet-vent-vertical-load":  {(*fit).enlarge},
	"common-vent-load":        {(*fit).enlarge},
	"combination-vent":        {(*fit).enlarge, (*fit).toGrade, (*fit).addVent},
	"double-fitting":          {(*fit).enlarge, (*fit).enlargeNext, (*fit).doubleFixtureFitting},
	"drain-grade":             {(*fit).setTrap, (*fit).toGrade, (*fit).enlarge},
	"small-stack-load":        {(*fit).enlarge},
	"join-level":              {(*fit).levelJoin},
	"sump-inlet":              {(*fit).moveOutlet},
	"sump-vent":               {(*fit).setSump},
	"obstacle-clearance":      {(*fit).passObstacle, (*fit).inSleeve, (*fit).ventPast},
	"drain-crossing":          {(*fit).passObstacle},
	"grease-interceptor":      {(*fit).pastInterceptor, (*fit).setInterceptor},
	"wet-vent-fixtures":       {(*fit).pastWetVent, (*fit).ventApart},
	"stack-base-branch":       {(*fit).fartherFromFoot},
	"vent-terminal-near":      {(*fit).setTerminal},
	"air-admittance-valve":    {(*fit).setVent, (*fit).setValve},
	"island-vent":             {(*fit).setIsland},
	"waste-stack-vent":        {(*fit).enlargeWasteStack, (*fit).pastWasteStack, (*fit).ventApart},
	"vent-stack-needed":       {(*fit).besideStack},
	"stack-relief":            {(*fit).besideStack},
	"vent-flat-share":         {(*fit).largerVent},
	"circuit-vent-fixtures":   {(*fit).ventApart},
	"wet-vent-groups":         {(*fit).ventApart},
	"wet-vent-order":          {(*fit).ventApart},
	"wet-vent-closets":        {(*fit).ventApart},
	"wet-vent-arm":            {(*fit).addVent, (*fit).ventApart},
	"wet-vent-grade":          {(*fit).toGrade},
	"trap-size":               {(*fit).largerTrap},
	"backwater-valve":         {(*fit).setBackwater},
	"interceptor-access":      {(*fit).coverUp},
	"drain-vent":              {(*fit).ventHead},
	"interceptor-grade":       {(*fit).toGrade},
	"circuit-vent-grade":      {(*fit).toGrade},
	"trap-arm-grade":          {(*fit).toGrade},
	"gravity-depth":           {(*fit).flatten, (*fit).moveOutlet},
	"drain-cover":             {(*fit).flatten, (*fit).moveOutlet},
	"sewer-cover":             {(*fit).moveOutlet},
	"footing-clearance":       {(*fit).moveOutlet},
	"slab-thickening":         {(*fit).moveOutlet},
	"trap-room":               {(*fit).moveOutlet},
	"trap-tail":               {(*fit).setTrap, (*fit).steepen, (*fit).moveOutlet, (*fit).raiseTrap},
	"trap-arm-length":         {(*fit).nearer, (*fit).largerArm, (*fit).addVent},
	"trap-arm-fall":           {(*fit).setTrap, (*fit).nearer, (*fit).largerArm, (*fit).beforeDrop},
	"trap-arm-min-length":     {(*fit).setTrap},
	"trap-arm-riser":          {(*fit).beforeDrop},
	"trap-arm-turn":           {(*fit).beforeTurn},
	"trap-seal":               {(*fit).setTrap},
	"trap-vented":             {(*fit).addVent},
	"floor-drain-unvented":    {(*fit).addVent},
	"standpipe-height":        {(*fit).setTrap},
	"standpipe-trap-height":   {(*fit).setTrap},
	"vent-size":               {(*fit).setVent},
	"vent-terminal":           {(*fit).setVent},
	"vent-flat":               {(*fit).setVent},
	"vent-join":               {(*fit).setVent},
	"vent-below-floor":        {(*fit).setVent},
	"future-vent":             {(*fit).roughIn},
	"vent-open":               {(*fit).openVent, (*fit).throughRoof},
	"cleanout-upper-end":      {(*fit).addCleanout},
	"cleanout-turn":           {(*fit).addCleanout, (*fit).gentlerTurn},
	"cleanout-stack-base":     {(*fit).addCleanout},
	"cleanout-urinal":         {(*fit).addCleanout},
	"cleanout-junction":       {(*fit).addCleanout},
	"cleanout-spacing":        {(*fit).addCleanout},
	"cleanout-reach":          {(*fit).addCleanout},
	"cleanout-size":           {(*fit).setCleanout},
	"cleanout-clearance":      {(*fit).setCleanout},
	"stub-up":                 {(*fit).setStub},
	"footing-sleeve":          {(*fit).setFooting},
	"footing-plane":           {(*fit).setFooting, (*fit).passObstacle},
	"run-on-plan":             {(*fit).asOnPlan},
	"fitting-turn":            {(*fit).otherFitting},
	"interceptor-capacity":    {(*fit).largerInterceptor},
	"dead-end":                {(*fit).takeOut},
}

// enlarge lays the run, and what is smaller downstream of it, as large as the code asks
// for; where that is no larger, one size larger. Cleanouts on the way grow with it.
func (f *fit) enlarge(p *tables.Finding) []change {
	i, at := f.of.tree.index[p.Place], f.of.tree.index
	if v := f.vent(p.Place); v != nil && p.Rule != "double-fitting" {
		if from, ok := at[f.of.layout.Vents[slices.IndexFunc(f.of.layout.Vents,
			func(x Vent) bool { return x.ID == p.Place })].From]; ok {
			i = from
		}
	} else if _, ok := at[p.Place]; !ok {
		return nil
	}
	list := []change{}
	for _, least := range f.sizesFrom(i, p) {
		if c, ok := f.laid(i, least); ok {
			c.of = "size"
			list = append(list, c)
		}
	}
	return list
}

// enlargeNext enlarges what a run enters.
func (f *fit) enlargeNext(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || int(f.of.tree.parent[i]) < f.of.tree.outlets {
		return nil
	}
	q := *p
	q.Place = f.id(f.of.tree.parent[i])
	return f.enlarge(&q)
}

// sizesFrom returns the sizes to try for a run: none (as the code asks), that which it has, the
// limit of the finding, and the next two that are made.
func (f *fit) sizesFrom(i int32, p *tables.Finding) []units.Length {
	list := []units.Length{0, f.of.size[i]}
	if x, ok := asLength(p.Limit); ok && x > f.of.size[i] {
		list = append(list, x)
	}
	size := f.of.size[i]
	for range 2 {
		if size = f.of.code.MadeSize(size, true); size == 0 {
			break
		}
		list = append(list, size)
	}
	return list
}

// laid makes the change that lays a run and what follows it large enough, and the run not
// under least.
func (f *fit) laid(i int32, least units.Length) (change, bool) {
	t := f.of.tree
	var way []int32
	for n := i; int(n) >= t.outlets; n = t.parent[n] {
		way = append(way, n)
	}
	d := f.of.of.Data()
	for _, n := range way {
		pt := f.at(n)(&d)
		if pt.Run.Size = 0; n == i && least > 0 {
			pt.Run.Size = max(least, f.of.size[n])
		}
	}
	s, _, err := f.try(d)
	if err != nil {
		return change{}, false
	}
	sizes := map[int32]units.Length{}
	type stretch struct {
		from, to int32
		size     units.Length
	}
	var larger []stretch
	for _, n := range way {
		x := max(s.size[n], s.required[n])
		if x <= f.of.size[n] {
			continue
		}
		sizes[n] = x
		if k := len(larger) - 1; k >= 0 && larger[k].to == n && larger[k].size == x {
			larger[k].to = t.parent[n]
		} else {
			larger = append(larger, stretch{n, t.parent[n], x})
		}
	}
	var said []string
	for _, x := range larger {
		said = append(said, f.say("%v from %s to %s", nominal(x.size), f.id(x.from), f.id(x.to)))
	}
	sys := t.system[i]
	outlet := f.of.layout.Systems[sys].Outlet.Size
	var last units.Length
	if len(way) > 0 {
		last = max(sizes[way[len(way)-1]], f.of.size[way[len(way)-1]])
	} else {
		for k := t.first[i]; k >= 0; k = t.next[k] {
			last = max(last, f.of.size[k])
		}
	}
	if outlet > 0 && outlet < last {
		said = append(said, f.say("the outlet %s at %v", f.of.layout.Systems[sys].Outlet.ID, nominal(last)))
	}
	if len(said) == 0 {
		return change{}, false
	}
	return change{do: "Lay " + strings.Join(said, ", ") + ".", edit: func(d *Data) error {
		if outlet > 0 {
			d.Systems[sys].Outlet.Size = max(outlet, last)
		}
		for n, x := range sizes {
			pt := f.at(n)(d)
			pt.Run.Size = x
			if o := pt.Cleanout; o != nil && o.Size > 0 {
				if need, _, err := f.of.code.CleanoutSize(x); err == nil {
					o.Size = max(o.Size, need)
				}
			}
		}
		return nil
	}}, true
}

// lay is the change of a run to a grade.
func (f *fit) lay(i int32, g slope.Grade) change {
	at := f.at(i)
	return change{do: f.say("Lay %s to %s at %v.", f.id(i), f.id(f.of.tree.parent[i]), g),
		edit: func(d *Data) error { at(d).Run.Grade = g; return nil }}
}

// steeper lays a run at the next grade of the table that carries its load.
func (f *fit) steeper(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	r := f.of.runSize(i)
	if r.NextGrade.IsLevel() || r.NextGradeLoad < r.Load {
		return nil
	}
	return []change{f.lay(i, r.NextGrade)}
}

// toGrade lays a run at the grade that is its limit.
func (f *fit) toGrade(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	g, ok := p.Limit.(slope.Grade)
	if at == nil || !ok {
		return nil
	}
	list := []change{f.lay(i, g)}
	if n := f.of.routes.reached[i]; p.Rule == "trap-arm-grade" && n >= 0 {
		var steep []int32
		for k := i; k != n && int(k) >= f.of.tree.outlets; k = f.of.tree.parent[k] {
			if run := &f.of.tree.point(k).Run; !run.Vertical && run.Grade.Compare(g) > 0 {
				steep = append(steep, k)
			}
		}
		list = append(list, f.layAll(steep, func(int32) slope.Grade { return g })...)
	}
	return list
}

// layAll is the change of several runs to grades of their own.
func (f *fit) layAll(runs []int32, grade func(int32) slope.Grade) []change {
	if len(runs) == 0 {
		return nil
	}
	var said []string
	for _, i := range runs {
		said = append(said, f.say("%s to %s at %v", f.id(i), f.id(f.of.tree.parent[i]), grade(i)))
	}
	return []change{{do: "Lay " + strings.Join(said, ", ") + ".", edit: func(d *Data) error {
		for _, i := range runs {
			f.at(i)(d).Run.Grade = grade(i)
		}
		return nil
	}}}
}

// flatten lays the way to what comes too near the slab at the least grades of the code: the
// longest run of it that suffices, or all.
func (f *fit) flatten(p *tables.Finding) []change {
	t, s := f.of.tree, f.of
	i, ok := t.index[p.Place]
	if sys, isSystem := t.systems[p.Place]; isSystem {
		_, id, below := s.levels.spare(sys)
		i, ok = t.index[id], below
	}
	if !ok {
		return nil
	}
	least := map[int32]slope.Grade{}
	var runs []int32
	for n := i; int(n) >= t.outlets; n = t.parent[n] {
		run := &t.point(n).Run
		limit, err := s.code.MinGrade(s.part[n], s.size[n])
		if err == nil && !run.Vertical && run.Grade.Compare(limit.Least) > 0 {
			least[n], runs = limit.Least, append(runs, n)
		}
	}
	gain := func(n int32) units.Length {
		run := &t.point(n).Run
		return run.Grade.Over(run.Length) - least[n].Over(run.Length)
	}
	slices.SortStableFunc(runs, func(a, b int32) int { return int(gain(b)/units.Millimetre - gain(a)/units.Millimetre) })
	var list []change
	for n := 1; n <= len(runs); n++ {
		list = append(list, f.layAll(runs[:n], func(k int32) slope.Grade { return least[k] })...)
		if n == 3 && len(runs) > 4 {
			list = append(list, f.layAll(runs, func(k int32) slope.Grade { return least[k] })...)
			break
		}
	}
	return list
}

// moveOutlet lowers the outlet by what lacks, or lifts it where a trap hangs too deep. Where
// it is not said how pipes join, a little more may be needed: half the widest bore.
func (f *fit) moveOutlet(p *tables.Finding) []change {
	by, ok := f.short(p)
	sys := f.systemOf(p.Place)
	if !ok || sys < 0 {
		return nil
	}
	outlet := &f.of.layout.Systems[sys].Outlet
	move := func(word string, by units.Length) change {
		return change{do: f.say(word+" the outlet %s by %v, to %v.", outlet.ID, by.Abs(), outlet.Invert+by), of: "outlet",
			edit: func(d *Data) error { d.Systems[sys].Outlet.Invert += by; return nil }}
	}
	if p.Rule == "trap-tail" || p.Rule == "sump-inlet" {
		return []change{move("Raise", by)}
	}
	return []change{move("Lower", -by), move("Lower", -by-f.up(f.of.size[sys]/2))}
}

// steepestLaid is the steepest grade that is proposed: steeper, and a level trap arm becomes
// a drop (practice).
var steepestLaid = slope.PerFoot(units.Inch / 2)

// steepen lifts the upper end of the drain of a fixture whose trap hangs too deep.
func (f *fit) steepen(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	by, ok := f.short(p)
	if !ok || at == nil || f.of.tree.point(i).Run.Vertical {
		return nil
	}
	run := &f.of.tree.point(i).Run
	g, err := slope.Of(run.Grade.Over(run.Length)+by, run.Length)
	if err != nil {
		return nil
	}
	steps := int64(g.Float()/f.opt.GradeStep.Float()) + 1
	if g, err = f.opt.GradeStep.Scale(steps, 1); err != nil || g.Compare(steepestLaid) > 0 {
		return nil
	}
	return []change{f.lay(i, g)}
}

// largerTrap fits the trap that the code asks for, on a drain that is no smaller.
func (f *fit) largerTrap(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	limit, ok := asLength(p.Limit)
	if at == nil || !ok {
		return nil
	}
	fitTrap := func(d *Data) { at(d).Trap.Size = limit }
	list := []change{{do: f.say("Fit at %s a trap of %v.", p.Place, nominal(limit)),
		edit: func(d *Data) error { fitTrap(d); return nil }}}
	if f.of.size[i] < limit {
		q := *p
		for _, c := range f.enlarge(&q) {
			list = append(list, change{do: f.say("Fit at %s a trap of %v. %s", p.Place, nominal(limit), c.do),
				edit: func(d *Data) error { fitTrap(d); return c.edit(d) }})
		}
	}
	return list
}

// setTrap sets a figure of a trap, of its arm or of a standpipe to its limit.
func (f *fit) setTrap(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	limit, ok := asLength(p.Limit)
	if at == nil || !ok {
		return nil
	}
	value, _ := asLength(p.Value)
	pt := f.of.tree.point(i)
	one := func(do string, edit func(pt *Point)) []change {
		return []change{{do: do, edit: func(d *Data) error { edit(at(d)); return nil }}}
	}
	trap, r := pt.Trap != nil, pt.Receptor != nil
	switch {
	case p.Rule == "trap-seal" && trap:
		return one(f.say("Fit at %s a trap with a seal of %v.", pt.ID, limit), func(pt *Point) { pt.Trap.Seal = limit })
	case p.Side == "offset" && trap:
		return one(f.say("Set the trap of %s %v nearer under the outlet of the fixture.", pt.ID, value-limit),
			func(pt *Point) { pt.Trap.Offset = limit })
	case p.Rule == "trap-tail" && trap && pt.Trap.Tail > 0:
		return one(f.say("Set the trap of %s %v higher, %v below the outlet of the fixture.", pt.ID, value-limit, limit),
			func(pt *Point) { pt.Trap.Tail = limit })
	case p.Rule == "trap-arm-min-length" && trap && pt.Trap.Arm > 0:
		by, _ := f.short(p)
		return one(f.say("Set the vent of %s %v farther from the trap.", pt.ID, by),
			func(pt *Point) { pt.Trap.Arm += by })
	case p.Rule == "trap-arm-min-length" && !pt.Run.Vertical:
		by, _ := f.short(p)
		return one(f.say("Set the vent of %s %v farther from the trap.", pt.ID, by),
			func(pt *Point) { pt.Run.Length += by })
	case p.Rule == "trap-arm-fall" && trap && pt.Trap.Fall > value-limit:
		to := pt.Trap.Fall - (value - limit)
		return one(f.say("Lay the trap arm of %s flatter: %v of fall.", pt.ID, to),
			func(pt *Point) { pt.Trap.Fall = to })
	case p.Rule == "drain-grade" && trap && pt.Trap.Fall > 0 && pt.Trap.Fall == value:
		return one(f.say("Let the trap arm of %s fall %v.", pt.ID, limit), func(pt *Point) { pt.Trap.Fall = limit })
	case p.Rule == "standpipe-height" && r:
		return one(f.say("Make the standpipe of %s %v high.", pt.ID, limit),
			func(pt *Point) { pt.Receptor.Standpipe = limit })
	case p.Rule == "standpipe-trap-height" && r:
		return one(f.say("Set the trap of the standpipe %s %v above the floor.", pt.ID, limit),
			func(pt *Point) { pt.Receptor.TrapAboveFloor = limit })
	}
	return nil
}

// nearer brings the vent of a trap nearer to it by what the arm is too long, or falls too
// much.
func (f *fit) nearer(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	by, ok := f.short(p)
	if !ok || at == nil || f.of.routes.serving[i] < 0 {
		return nil
	}
	t, s := f.of.tree, f.of
	pt := t.point(i)
	vent := &s.layout.Vents[s.routes.serving[i]]
	if p.Rule == "trap-arm-fall" {
		g := pt.Run.Grade
		if tr := pt.Trap; tr != nil && tr.Fall > 0 && tr.Arm > 0 {
			g, _ = slope.Of(tr.Fall, tr.Arm)
		}
		run, err := g.RunFor(by)
		if err != nil {
			return nil
		}
		by = f.up(run)
	}
	if s.routes.reached[i] == i {
		tr := pt.Trap
		if tr == nil || tr.Arm <= by {
			return nil
		}
		return []change{{do: f.say("Move the vent %s of %s %v nearer to the trap.", vent.ID, pt.ID, by),
			edit: func(d *Data) error {
				tr := at(d).Trap
				if tr.Fall > 0 {
					tr.Fall, _ = tr.Fall.Scale(int64(tr.Arm-by), int64(tr.Arm))
				}
				tr.Arm -= by
				return nil
			}}}
	}
	if vent.Through != "" {
		return nil
	}
	return f.takeOffAt(i, by, vent)
}

// takeOffAt moves the take-off of a vent up the arm from a fixture by a length: to a point
// of its own along the run there.
func (f *fit) takeOffAt(i int32, by units.Length, vent *Vent) []change {
	t := f.of.tree
	var way []int32 // the arm, from the vent up
	for n := i; n != f.of.routes.reached[i]; n = t.parent[n] {
		way = append(way, n)
	}
	slices.Reverse(way)
	left := by
	for _, n := range way {
		run := t.point(n).Run
		if left >= run.Length {
			left -= run.Length
			continue
		}
		if run.Vertical {
			return nil
		}
		edit := func(d *Data) error {
			id := f.split(d, n, run.Length-left)
			f.vent(vent.ID)(d).From = id
			return nil
		}
		return []change{{do: f.say("Take the vent %s off %v nearer to %s, on the run from %s to %s.", vent.ID, by, f.id(i),
			f.id(n), f.id(t.parent[n])), edit: edit}}
	}
	return nil
}

// split puts a point on a run, so far from its upper end, and returns its id.
func (f *fit) split(d *Data, n int32, along units.Length) string {
	upper := f.at(n)(d)
	lower := Point{ID: upper.ID + "+", To: upper.To, Run: upper.Run, AboveFloor: upper.AboveFloor}
	for {
		if _, taken := f.of.tree.index[lower.ID]; !taken {
			break
		}
		lower.ID += "+"
	}
	if to := f.position(d, upper.To); upper.At != nil && to != nil && upper.Run.Length > 0 {
		x, _ := (to.X - upper.At.X).Scale(int64(along), int64(upper.Run.Length))
		y, _ := (to.Y - upper.At.Y).Scale(int64(along), int64(upper.Run.Length))
		lower.At = &Position{X: upper.At.X + x, Y: upper.At.Y + y}
	}
	lower.Run.Length -= along
	lower.Run.Fittings = nil
	upper.To, upper.Run.Length, upper.Run.Drop, upper.Run.Into = lower.ID, along, 0, ""
	for k := range d.Footings {
		if x := &d.Footings[k]; x.Run == upper.ID && x.Along > along {
			x.Run, x.Along = lower.ID, x.Along-along
		}
	}
	sys := f.of.tree.system[n]
	d.Systems[sys].Points = append(d.Systems[sys].Points, lower)
	return lower.ID
}

func (f *fit) position(d *Data, id string) *Position { return d.positions()[id] }

// largerArm runs the trap and its arm a size larger.
func (f *fit) largerArm(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || f.of.routes.serving[i] < 0 {
		return nil
	}
	t, s := f.of.tree, f.of
	size, _ := (&judge{layout: s.layout, tree: t, code: s.code, sizing: s}).armSize(i)
	var list []change
	for range 2 {
		if size = s.code.MadeSize(size, true); size == 0 {
			break
		}
		large := size
		list = append(list, change{do: f.say("Run the trap of %s and its arm in %v.", f.id(i), nominal(large)), of: "arm",
			edit: func(d *Data) error {
				pt := at(d)
				if pt.Trap == nil {
					pt.Trap = &Trap{}
				}
				pt.Trap.Size = large
				if pt.Fixture.Size > 0 {
					pt.Fixture.Size = max(pt.Fixture.Size, large)
				}
				for n := i; int(n) >= t.outlets; n = t.parent[n] {
					if run := &f.at(n)(d).Run; run.Size > 0 && run.Size < large {
						run.Size = large
					}
				}
				return nil
			}})
	}
	return list
}

// beforeDrop takes the vent of an S-trap off before the arm drops.
func (f *fit) beforeDrop(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || f.of.routes.serving[i] < 0 || f.of.routes.reached[i] == i || !f.of.routes.risers[i] {
		return nil
	}
	vent := f.of.layout.Vents[f.of.routes.serving[i]].ID
	return []change{{do: f.say("Take the vent %s off at %s, before the arm drops.", vent, p.Place),
		edit: func(d *Data) error { f.vent(vent)(d).From = p.Place; return nil }}}
}

// addVent gives a trap a vent of its own from where it stands or a little way down, up
// through the roof as the vents of the layout are.
func (f *fit) addVent(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	t, s := f.of.tree, f.of
	own := func(n int32, along, size units.Length) change {
		v, as := f.straightUp(n, "vent of "+p.Place, VentIndividual)
		v.Size = size
		from, of := f.id(n), f.say("%s %v", f.id(n), along)
		if along > 0 {
			from = f.say("the run from %s to %s, %v from %s,", f.id(n), f.id(t.parent[n]), along, f.id(n))
		}
		do := f.say("Vent the trap of %s from %s straight up through the roof (%s).", p.Place, from, as)
		if size > 0 {
			do = f.say("Vent the trap of %s in %v from %s straight up through the roof (%s).", p.Place, nominal(size), from, as)
		}
		return change{do: do, of: of, edit: func(d *Data) error {
			v := v
			v.Runs = slices.Clone(v.Runs)
			if along > 0 {
				v.From = f.split(d, n, along)
				v.Runs[0].Length += t.point(n).Run.Grade.Over(along)
			}
			d.Vents = append(d.Vents, v)
			return nil
		}}
	}
	sizes := []units.Length{0}
	if len(s.layout.Vents) == 0 { // it is the one that must be as large as the code asks of one
		sizes = append(sizes, s.size[t.system[i]])
	}
	var list []change
	for n, steps := i, 0; int(n) >= t.outlets && steps < 3; n, steps = t.parent[n], steps+1 {
		for _, size := range sizes {
			list = append(list, own(n, 0, size))
		}
		run := &t.point(n).Run
		if limit, ok := asLength(p.Limit); ok && steps == 0 && limit < run.Length && !run.Vertical {
			if tr := t.point(n).Trap; tr != nil {
				limit -= tr.Arm
			}
			if limit = limit.Round(f.opt.Step, units.Down); limit > 0 {
				list = append(list, own(n, limit, 0))
			}
		}
	}
	return list
}

// setVent sets a figure of a vent to what it must be.
func (f *fit) setVent(p *tables.Finding) []change {
	at := f.vent(p.Place)
	if at == nil {
		return nil
	}
	limit, _ := asLength(p.Limit)
	by, short := f.short(p)
	rule := p.Rule
	do := ""
	switch {
	case rule == "vent-size", rule == "vent-terminal" && p.Value == fmt.Stringer(f.of.vents[f.ventIndex(p.Place)].Size):
		rule, do = "vent-size", f.say("Run the vent %s in %v.", p.Place, nominal(limit))
	case rule == "vent-terminal":
		do = f.say("Carry the vent %s up to %v above the roof.", p.Place, limit)
	case rule == "air-admittance-valve" && short:
		do = f.say("Set the valve of %s %v higher.", p.Place, by)
	case rule == "vent-below-floor":
		do = f.say("Let the vent %s rise first, and run flat above the floor.", p.Place)
	case short:
		do = f.say("Carry the vent %s up %v higher before it runs flat.", p.Place, by)
		if v := at(f.of.layout); rule == "vent-flat" && v.Runs[0].Direction == VentHorizontal {
			rule, do = "vent-first", f.say("Let the vent %s rise %v first, and run flat there.", p.Place, by)
		}
	default:
		return nil
	}
	return []change{{do: do, edit: func(d *Data) error {
		v := at(d)
		switch rule {
		case "vent-size":
			v.Size = limit
		case "vent-terminal":
			v.Terminal.AboveRoof = limit
		case "vent-below-floor":
			return flatLast(v)
		case "vent-first":
			v.Runs = slices.Insert(v.Runs, 0, VentRun{Length: by, Direction: VentUp})
		default:
			return higher(v, by)
		}
		return nil
	}}}
}

func (f *fit) ventIndex(id string) int {
	return slices.IndexFunc(f.of.layout.Vents, func(v Vent) bool { return v.ID == id })
}

// higher lengthens the first rising run of a vent.
func higher(v *Vent, by units.Length) error {
	for k := range v.Runs {
		if r := &v.Runs[k]; r.Direction == VentUp {
			if r.Length += by; r.Rise > 0 {
				r.Rise += by
			}
			return nil
		}
	}
	v.Runs = slices.Insert(v.Runs, 0, VentRun{Length: by, Direction: VentUp})
	return nil
}

// flatLast puts the runs of a vent that lie flat below the floor behind those that rise.
func flatLast(v *Vent) error {
	var up, flat []VentRun
	for _, r := range v.Runs {
		if r.Direction == VentBelowFloor {
			r.Direction, r.Rise = VentHorizontal, 0
			flat = append(flat, r)
		} else {
			up = append(up, r)
		}
	}
	v.Runs = append(up, flat...)
	return nil
}

// openVent enlarges a vent that ends in the open air until there is section enough.
func (f *fit) openVent(*tables.Finding) []change {
	var list []change
	for v := range f.of.layout.Vents {
		x := &f.of.layout.Vents[v]
		if x.Terminal == nil {
			continue
		}
		for _, large := range f.ventSizes(v, true)[1:] {
			list = append(list, change{do: f.say("Run the vent %s in %v up to the open air.", x.ID, nominal(large)), of: x.ID,
				edit: func(d *Data) error { d.Vents[v].Size = large; return nil }})
		}
	}
	return list
}

// addCleanout sets a cleanout where one lacks: at the place itself, along the way up or
// down from it, or on the run.
func (f *fit) addCleanout(p *tables.Finding) []change {
	t := f.of.tree
	i, ok := t.index[p.Place]
	if sys, isSystem := t.systems[p.Place]; isSystem {
		i, ok = sys, true
	}
	if !ok {
		return nil
	}
	var at []int32
	for n := i; int(n) >= t.outlets && len(at) < 3; n = t.parent[n] {
		at = append(at, n)
	}
	up := []int32{i}
	for k := 0; k < len(up) && len(up) < 24; k++ { // the nearer first
		for c := t.first[up[k]]; c >= 0; c = t.next[c] {
			up = append(up, c)
		}
	}
	at = append(at, up[1:]...)
	var list []change
	for _, n := range at {
		if t.point(n).Cleanout != nil {
			continue
		}
		pt := f.at(n)
		list = append(list, change{do: f.say("Set a cleanout at %s.", f.id(n)),
			edit: func(d *Data) error { pt(d).Cleanout = &Cleanout{}; return nil }})
	}
	limit, ok := asLength(p.Limit)
	if p.Rule == "cleanout-junction" && !ok { // near it, and no figure says how near
		limit, _, _ = f.of.code.FindLength("cleanout-junction-straight")
	}
	for _, n := range at {
		run := t.point(n).Run
		if run.Vertical || run.Length < 2*units.Foot {
			continue
		}
		list = append(list, f.cleanoutOn(n, run.Length/2))
		if 0 < limit && limit+units.Foot < run.Length { // counted from its lower end
			list = append(list, f.cleanoutOn(n, f.up(run.Length-limit)))
		}
	}
	return list
}

// cleanoutOn sets a cleanout on a run, so far from its upper end or a little nearer, or between
// its bends.
func (f *fit) cleanoutOn(n int32, along units.Length) change {
	t := f.of.tree
	along = along.Round(f.opt.Step, units.Down)
	do := f.say("Set a cleanout on the run from %s to %s, %v from %s.", f.id(n), f.id(t.parent[n]), along, f.id(n))
	if len(t.point(n).Run.Fittings) > 1 {
		do = f.say("Set a cleanout between the bends of the run from %s to %s.", f.id(n), f.id(t.parent[n]))
	}
	return change{do: do, of: "on " + f.id(n), edit: func(d *Data) error {
		f.splitBends(d, n, along).Cleanout = &Cleanout{}
		return nil
	}}
}

// setCleanout sets a figure of a cleanout to what it must be.
func (f *fit) setCleanout(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	limit, ok := asLength(p.Limit)
	if at == nil || !ok {
		return nil
	}
	if p.Rule == "cleanout-size" {
		return []change{{do: f.say("Fit a %v cleanout at %s.", nominal(limit), p.Place),
			edit: func(d *Data) error { at(d).Cleanout.Size = limit; return nil }}}
	}
	return []change{{do: f.say("Keep %v clear in front of the cleanout at %s.", limit, p.Place),
		edit: func(d *Data) error { at(d).Cleanout.Clearance = limit; return nil }}}
}

// setStub makes a stub, or the riser below it, as high as it must stand.
func (f *fit) setStub(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	by, short := f.short(p)
	limit, ok := asLength(p.Limit)
	switch {
	case at == nil || !short:
		return nil
	case p.Side == "riser":
		return []change{{do: f.say("Make the riser at %s %v longer.", p.Place, by), standing: true,
			edit: func(d *Data) error { at(d).Run.lengthen(by); return nil }}}
	case !ok:
		return nil
	}
	do := f.say("Let the stub at %s stand %v above the floor.", p.Place, limit)
	stub := func(d *Data) error { at(d).StubUp = limit; return nil }
	list := []change{{do: do, edit: stub}}
	i, _ := f.node(p.Place)
	if high := f.of.levels.upper[i] - f.of.layout.FinishedFloor; f.of.tree.point(i).Run.Vertical && high < limit {
		longer := f.up(limit - high)
		list = append(list, change{do: strings.TrimSuffix(do, ".") + f.say(", its riser %v longer.", longer),
			standing: true, edit: func(d *Data) error { at(d).Run.lengthen(longer); return stub(d) }})
	}
	return list
}

// setFooting sets a sleeve, or the distance of a trench, to what it must be.
func (f *fit) setFooting(p *tables.Finding) []change {
	k := slices.IndexFunc(f.of.layout.Footings, func(x Footing) bool { return x.ID == p.Place })
	if k < 0 {
		return nil
	}
	x := &f.of.layout.Footings[k]
	if by, short := f.short(p); p.Rule == "footing-plane" && short {
		return []change{{do: f.say("Move the trench of %s %v farther from %s.", x.Run, by, x.ID),
			edit: func(d *Data) error { d.Footings[k].Distance += by; return nil }}}
	}
	size := max(x.Sleeve, f.of.size[f.of.tree.index[x.Run]])
	var list []change
	for range 4 {
		if size = f.of.code.MadeSize(size, true); size == 0 {
			break
		}
		wide := size
		list = append(list, change{do: f.say("Set a %v sleeve at %s.", nominal(wide), x.ID), of: "sleeve",
			edit: func(d *Data) error { d.Footings[k].Sleeve = wide; return nil }})
	}
	return list
}

// asOnPlan takes the length of a run from the places of its ends.
func (f *fit) asOnPlan(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	limit, ok := asLength(p.Limit)
	if at == nil || !ok {
		return nil
	}
	return []change{{do: f.say("If the plan is right, the run from %s is %v long.", p.Place, limit),
		edit: func(d *Data) error { at(d).Run.Length = limit; return nil }}}
}

// otherFitting turns the flow with a fitting that the code takes for it.
func (f *fit) otherFitting(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	if at == nil || p.Value == nil {
		return nil
	}
	bad := p.Value.String()
	var list []change
	for _, name := range [...]string{"combination-wye-eighth-bend", "wye", "long-sweep"} {
		list = append(list, change{do: f.say("Use a %s at %s.", strings.ReplaceAll(name, "-", " "), p.Place),
			edit: func(d *Data) error {
				run := &at(d).Run
				if run.Into == bad {
					run.Into = name
				}
				for k := range run.Fittings {
					if run.Fittings[k] == bad {
						run.Fittings[k] = name
					}
				}
				return nil
			}})
	}
	return list
}

// largerInterceptor takes an interceptor made for the flow, or one that holds it.
func (f *fit) largerInterceptor(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	switch limit := p.Limit.(type) {
	case units.Flow:
		if flow, ok := p.Value.(units.Flow); ok {
			return []change{{do: f.say("Set an interceptor made for %v at %s.", flow, p.Place), edit: func(d *Data) error {
				x := at(d).Interceptor
				x.Rated = flow
				if x.Volume > 0 {
					x.Volume = max(x.Volume, tidy(units.Volume(float64(x.Inflow)*float64(x.Retention)), units.USGallon))
				}
				return nil
			}}}
		}
	case units.Volume:
		return []change{{do: f.say("Set an interceptor that holds %v at %s.", limit, p.Place),
			edit: func(d *Data) error { at(d).Interceptor.Volume = limit; return nil }}}
	}
	return nil
}

// takeOut takes a dead end out, or makes it the way in for a cable.
func (f *fit) takeOut(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || f.of.tree.first[i] >= 0 {
		return nil
	}
	sys := f.of.tree.system[i]
	lo, _ := f.of.tree.span(sys)
	return []change{
		{do: f.say("Take out the dead end from %s to %s.", p.Place, f.id(f.of.tree.parent[i])), standing: true,
			edit: func(d *Data) error {
				d.Systems[sys].Points = slices.Delete(d.Systems[sys].Points, int(i-lo), int(i-lo)+1)
				return nil
			}},
		{do: f.say("Set a cleanout at %s.", p.Place),
			edit: func(d *Data) error { at(d).Cleanout = &Cleanout{}; return nil }},
	}
}

// lengthen makes a riser longer.
func (r *Run) lengthen(by units.Length) {
	if r.Length += by; r.Top != nil {
		*r.Top += by
	}
}

// levelJoin joins a run at the invert.
func (f *fit) levelJoin(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	return []change{{do: f.say("Join the pipe from %s with the inverts level, by an eccentric part.", p.Place),
		edit: func(d *Data) error { at(d).Run.Join = slope.AtInvert; return nil }}}
}

// setSump gives the pit of an ejector the vent that it needs.
func (f *fit) setSump(p *tables.Finding) []change {
	sys := f.systemOf(p.Place)
	limit, ok := asLength(p.Limit)
	if sys < 0 || !ok && p.Side != "valve" || f.of.layout.Systems[sys].Outlet.Sump == nil {
		return nil
	}
	if p.Side == "valve" {
		return []change{{do: f.say("Carry the vent of the sump %s on to the open air, in place of its valve.", p.Place),
			edit: func(d *Data) error { d.Systems[sys].Outlet.Sump.VentValve = false; return nil }}}
	}
	return []change{{do: f.say("Vent the sump %s in %v.", p.Place, nominal(limit)),
		edit: func(d *Data) error { d.Systems[sys].Outlet.Sump.Vent = limit; return nil }}}
}

// passObstacle moves the drains below an obstacle, or above it.
func (f *fit) passObstacle(p *tables.Finding) []change {
	value, ok := asLength(p.Value)
	limit, _ := asLength(p.Limit)
	by, sys := f.up((limit - value).Abs()), f.systemOf(p.Place) // of a plane how far it is cut
	if !ok || sys < 0 {
		return nil
	}
	var list []change
	for _, way := range [...]struct {
		word string
		by   units.Length
	}{{"Lower", -by}, {"Raise", by}} {
		o := &f.of.layout.Systems[sys].Outlet
		list = append(list, change{do: f.say(way.word+" the outlet %s by %v, to %v.", o.ID, by, o.Invert+way.by),
			edit: func(d *Data) error { d.Systems[sys].Outlet.Invert += way.by; return nil }})
	}
	return list
}

// pastInterceptor leads what must not pass a grease interceptor into the drain below it: the
// branch that it comes by, or its own drain.
func (f *fit) pastInterceptor(p *tables.Finding) []change {
	t := f.of.tree
	i, _ := f.node(p.Place)
	for n := i; n >= 0 && int(n) >= t.outlets && int(t.parent[n]) >= t.outlets; n = t.parent[n] {
		x := t.parent[n]
		if t.point(x).Interceptor == nil || t.point(x).Interceptor.Kind != "grease" {
			continue
		}
		to := t.point(x).To
		var list []change
		for _, k := range []int32{n, i} {
			at := f.at(k)
			list = append(list, change{do: f.say("Lead the drain from %s past the interceptor %s, to %s.", f.id(k), f.id(x), to),
				edit: func(d *Data) error { f.lead(d, at(d), to); return nil }})
		}
		return list
	}
	return nil
}

// lead lets the run of a point end at another point; where the plan tells how far that is, it
// is as long.
func (f *fit) lead(d *Data, pt *Point, to string) {
	pt.To = to
	if end := f.position(d, to); pt.At != nil && end != nil && *pt.At != *end {
		pt.Run.Length, pt.Run.Bearing = lengthOnPlan(*pt.At, *end, pt.Run.Grade.Float()), Bearing{}
	}
}

// setInterceptor sets a grease interceptor in the way of greasy waste that meets none.
func (f *fit) setInterceptor(p *tables.Finding) []change {
	t := f.of.tree
	i, _ := f.node(p.Place)
	var list []change
	for n := i; n >= 0 && int(n) >= t.outlets; n = t.parent[n] {
		if t.point(n).Interceptor != nil {
			return nil
		}
		if at := f.at(n); n != i {
			do := f.say("Set a grease interceptor at %s, made for the flow of %s, and vent it.", f.id(n), p.Place)
			list = append(list, change{do: do, of: "interceptor", edit: func(d *Data) error {
				at(d).Interceptor = &Interceptor{Kind: "grease", Vented: true}
				return nil
			}})
		}
	}
	return list
}

// pastWetVent leads what is of no bathroom into the drain downstream of a wet vent, and vents
// it on its own.
func (f *fit) pastWetVent(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	through, ok := f.of.tree.index[f.of.layout.Vents[v].Through]
	if !ok || int(through) < f.of.tree.outlets {
		return nil
	}
	t, end := f.of.tree, int32(-1)
	for n := f.of.tree.vents.from[v]; n >= 0 && n != through; n = t.parent[n] {
		end = n
	}
	if end < 0 {
		return nil
	}
	return f.leadPast(p, f.strangers(end, inBathroom), t.parent[through])
}

// fartherFromFoot lets a branch join farther down from the foot of a stack, on the next run.
func (f *fit) fartherFromFoot(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	by, short := f.short(p)
	if at == nil || !short || int(f.of.tree.parent[i]) < f.of.tree.outlets {
		return nil
	}
	n := f.of.tree.parent[i]
	if run := &f.of.tree.point(n).Run; run.Vertical || run.Length <= by {
		return nil
	}
	return []change{{do: f.say("Join the branch from %s %v farther down, on the run from %s to %s.", p.Place, by, f.id(n),
		f.id(f.of.tree.parent[n])),
		edit: func(d *Data) error { to := f.split(d, n, by); f.lead(d, at(d), to); return nil }}}
}

// setTerminal moves the open end of a vent as far away, or as high, as it must be.
func (f *fit) setTerminal(p *tables.Finding) []change {
	at := f.vent(p.Place)
	limit, ok := asLength(p.Limit)
	value, _ := asLength(p.Value)
	if at == nil || !ok || f.of.layout.Vents[f.ventIndex(p.Place)].Terminal == nil {
		return nil
	}
	var list []change
	for _, way := range [...]struct {
		do    string
		field func(*Terminal) *units.Length
	}{
		{"Set the open end of %s %v from the opening.", func(t *Terminal) *units.Length { return &t.FromOpening }},
		{"Carry the open end of %s to %v above the opening.", func(t *Terminal) *units.Length { return &t.AboveOpening }},
		{"Set the open end of %s %v from the lot line.", func(t *Terminal) *units.Length { return &t.FromLotLine }},
		{"Set the open end of %s %v from the wall.", func(t *Terminal) *units.Length { return &t.FromWall }},
	} {
		if *way.field(f.of.layout.Vents[f.ventIndex(p.Place)].Terminal) == value {
			list = append(list, change{do: f.say(way.do, p.Place, limit),
				edit: func(d *Data) error { *way.field(at(d).Terminal) = limit; return nil }})
		}
	}
	return list
}

// ventHead vents a drain at its head, or enlarges the vents that are too small for that.
func (f *fit) ventHead(p *tables.Finding) []change {
	sys := f.systemOf(p.Place)
	if sys < 0 {
		return nil
	}
	var list []change
	for _, rule := range [...]string{"drain-vent-size-to-30", "drain-vent-size-over-30"} {
		size, _, _ := f.of.code.FindLength(rule)
		for v := range f.of.layout.Vents {
			if x := &f.of.layout.Vents[v]; f.of.tree.vents.from[v] >= 0 && f.of.vents[v].Size < size {
				list = append(list, change{do: f.say("Run the vent %s in %v.", x.ID, nominal(size)), of: "vent",
					edit: func(d *Data) error { d.Vents[v].Size = size; return nil }})
			}
		}
		if far := f.of.farthest(sys); far >= 0 {
			q := *p
			q.Place = f.id(far)
			for _, c := range f.addVent(&q) {
				list = append(list, change{do: strings.TrimSuffix(c.do, ".") + f.say(", in %v.", nominal(size)),
					edit: func(d *Data) error {
						err := c.edit(d)
						d.Vents[len(d.Vents)-1].Size = size
						return err
					}})
			}
		}
	}
	return list
}

// throughRoof carries a vent that ends in a valve on to the open air.
func (f *fit) throughRoof(p *tables.Finding) []change {
	limit, _ := asLength(p.Limit)
	above, _, ok := f.of.code.FindLength("vent-above-roof")
	one := f.ventIndex(p.Place) // or any, where the finding is of none
	var list []change
	for v := range f.of.layout.Vents {
		if x := &f.of.layout.Vents[v]; ok && x.Valve != nil && (one < 0 || one == v) {
			for _, size := range f.ventSizes(v, p.Rule == "vent-open") {
				do := f.say("Carry the vent %s on through the roof, in place of its valve.", x.ID)
				if size > 0 {
					do = f.say("Carry the vent %s on through the roof in %v, in place of its valve.", x.ID, nominal(size))
				}
				list = append(list, change{do: do, of: x.ID, edit: func(d *Data) error {
					x := &d.Vents[v]
					x.Valve, x.Terminal = nil, &Terminal{AboveRoof: above}
					if x.Size > 0 || size > 0 {
						x.Size = max(x.Size, limit, size)
					}
					return higher(x, 10*units.Foot)
				}})
			}
		}
	}
	return list
}

// ventSizes are none, for as it is, and if larger the next four sizes of a vent.
func (f *fit) ventSizes(v int, larger bool) []units.Length {
	list, size := []units.Length{0}, f.of.vents[v].Size
	for larger && len(list) < 5 {
		if size = f.of.code.MadeSize(size, true); size == 0 {
			break
		}
		list = append(list, size)
	}
	return list
}

// doubleFixtureFitting joins what comes in at both sides of a riser by the fitting made for it.
func (f *fit) doubleFixtureFitting(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	t := f.of.tree
	was, joint := t.point(i).Run.Into, t.parent[i]
	return []change{{do: f.say("Use a double fixture fitting at %s.", f.id(joint)), edit: func(d *Data) error {
		for k := t.first[joint]; k >= 0; k = t.next[k] {
			if run := &f.at(k)(d).Run; run.Into == was {
				run.Into = "double-fixture-fitting"
			}
		}
		return nil
	}}}
}

// setValve puts right what an air admittance valve vents or where it stands, or carries its
// vent through the roof.
func (f *fit) setValve(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	q := *p
	q.Limit = nil
	limit, ok := asLength(p.Limit)
	switch {
	case v >= 0 && p.Side == "" && ok && f.of.layout.Vents[v].Valve.Insulation > 0:
		return []change{{do: f.say("Set the valve of %s %v above the insulation.", p.Place, limit),
			edit: func(d *Data) error { d.Vents[v].Valve.Insulation = limit; return nil }}}
	case p.Side == "relief":
		return append(f.relieve(v), f.throughRoof(&q)...)
	}
	return f.throughRoof(&q)
}

// straightUp is a vent from a point up through the roof, as high as the vents of the layout
// are, and how that is said.
func (f *fit) straightUp(n int32, id string, kind VentKind) (v Vent, as string) {
	s := f.of
	roof, as := s.layout.FinishedFloor+10*units.Foot, "the roof taken as 10 ft above the floor"
	terminal := Terminal{}
	if x, _, ok := s.code.FindLength("vent-above-roof"); ok {
		terminal.AboveRoof = x
	}
	heights := s.ventHeights(s.levels.upper)
	for k := range s.layout.Vents {
		if x := &s.layout.Vents[k]; x.Terminal != nil {
			roof, as, terminal = heights.end[k], "as high as the vent "+x.ID, *x.Terminal
			break
		}
	}
	for f.ventIndex(id) >= 0 {
		id += " too"
	}
	v = Vent{ID: id, Kind: kind, From: f.id(n), Terminal: &terminal,
		Runs: []VentRun{{Length: max(roof-s.levels.upper[n], units.Foot), Direction: VentUp}}}
	if len(s.layout.Vents) > 0 {
		v.Material = s.layout.Vents[0].Material
	}
	return v, as
}

// relieve takes a relief vent off the branch that a vent vents.
func (f *fit) relieve(v int) []change {
	t := f.of.tree
	var list []change
	for n := t.vents.from[v]; n >= 0 && int(n) >= t.outlets && len(list) < 3; n = t.parent[n] {
		vent, as := f.straightUp(n, "relief vent of "+f.id(n), VentRelief)
		list = append(list, change{do: f.say("Relieve the branch by a vent from %s up through the roof (%s).", f.id(n), as),
			of: "relief", edit: func(d *Data) error { d.Vents = append(d.Vents, vent); return nil }})
		if t.point(n).Run.Vertical {
			break
		}
	}
	return list
}

// besideStack runs a vent stack beside a tall stack, from its foot up, or relieves the stack at
// every so many branch intervals.
func (f *fit) besideStack(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	if p.Rule == "vent-stack-needed" {
		foot := i
		if below := f.of.tree.parent[i]; int(below) >= f.of.tree.outlets {
			foot = below
		}
		vent, as := f.straightUp(foot, "vent stack of "+p.Place, VentStack)
		return []change{{
			do:   f.say("Run a vent stack beside the stack, from its foot %s up through the roof (%s).", f.id(foot), as),
			edit: func(d *Data) error { d.Vents = append(d.Vents, vent); return nil }}}
	}
	var vents []Vent
	var said []string
	has, _ := p.Value.(count)
	least, _ := p.Limit.(count)
	every, _, _ := f.of.code.FindNumber("stack-relief-intervals", "count")
	for n, top := i, f.of.intervals[i]; n >= 0 && len(vents) < int(least-has); n = f.of.tree.uprightAbove(n) {
		if top-f.of.intervals[n] >= int16(every) || n == i {
			vent, _ := f.straightUp(n, "relief vent of "+f.id(n), VentRelief)
			vents, said, top = append(vents, vent), append(said, f.id(n)), f.of.intervals[n]
		}
	}
	return []change{{do: f.say("Relieve the stack by vents from %s up through the roof.", strings.Join(said, ", ")),
		edit: func(d *Data) error { d.Vents = append(d.Vents, vents...); return nil }}}
}

// setIsland puts right what the vent of an island lacks.
func (f *fit) setIsland(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	if v < 0 {
		return nil
	}
	switch p.Side {
	case "cleanout":
		return []change{{do: f.say("Set a cleanout in the upright part of the island vent %s.", p.Place),
			edit: func(d *Data) error { d.Vents[v].Cleanout = true; return nil }}}
	case "drains":
		t := f.of.tree
		var list []change
		for n := t.vents.from[v]; n >= 0 && int(n) >= t.outlets && len(list) < 4; n = t.parent[n] {
			if to := f.id(n); to != f.of.layout.Vents[v].From {
				list = append(list, change{do: f.say("Lead the low end of the island vent %s into the drain at %s.", p.Place, to),
					of: "low end", edit: func(d *Data) error { d.Vents[v].Drains = to; return nil }})
			}
		}
		return list
	case "rise":
		value, _ := asLength(p.Value)
		by := f.up(-value) + f.opt.Step // it has to rise above
		return []change{{do: f.say("Carry the island vent %s %v higher before it turns down.", p.Place, by),
			edit: func(d *Data) error { return farther(&d.Vents[v], by) }}}
	case "":
		by, short := f.short(p)
		if !short {
			return nil
		}
		return []change{{do: f.say("Carry the island vent %s %v higher before it joins the other.", p.Place, by),
			edit: func(d *Data) error {
				d.Vents[v].Runs = append(d.Vents[v].Runs, VentRun{Length: by, Direction: VentUp})
				return nil
			}}}
	}
	return f.ownVent(v)
}

// farther lengthens the first run of a vent that rises, and the first that goes down again.
func farther(v *Vent, by units.Length) error {
	for k := range v.Runs {
		if r := &v.Runs[k]; r.Direction == VentDown {
			if r.Length += by; r.Rise > 0 {
				r.Rise += by
			}
			break
		}
	}
	return higher(v, by)
}

// ownVent makes of a vent of a special kind that of its fixture alone, straight up.
func (f *fit) ownVent(v int) []change {
	x := &f.of.layout.Vents[v]
	from := f.of.tree.vents.from[v]
	if from < 0 {
		return nil
	}
	vent, as := f.straightUp(from, x.ID, VentIndividual)
	vent.Size = x.Size
	return []change{{do: f.say("Carry the vent %s from %s straight up through the roof (%s), as that of its fixture "+
		"alone.", x.ID, x.From, as), edit: func(d *Data) error { d.Vents[v] = vent; return nil }}}
}

// through returns the vent that vents the drain at a node by what lies there, as a wet vent or
// a waste stack does, -1 for none.
func (s *Sizing) through(i int32) int {
	t := s.tree
	for v := range s.layout.Vents {
		for n := t.vents.from[v]; t.vents.end[v] >= 0 && int(n) >= t.outlets; n = t.parent[n] {
			if n == i {
				return v
			}
			if n == t.vents.end[v] {
				break
			}
		}
	}
	return -1
}

// ventOf returns the vent that a finding stands at, or that vents what it stands at, -1 for
// none.
func (f *fit) ventOf(p *tables.Finding) int {
	v := f.ventIndex(p.Place)
	if i, ok := f.of.tree.index[p.Place]; ok && v < 0 {
		v = f.of.through(i)
	}
	return v
}

// enlargeWasteStack runs all of a waste stack that vents itself, what follows it and its vent
// in one larger size.
func (f *fit) enlargeWasteStack(p *tables.Finding) []change {
	v := f.ventOf(p)
	if v < 0 || f.of.layout.Vents[v].Kind != VentWasteStack || p.Side == "fixtures" || p.Side == "straight" {
		return nil
	}
	t, s := f.of.tree, f.of
	from, foot := t.vents.from[v], t.vents.end[v]
	if from < 0 || foot < 0 {
		return nil
	}
	size := s.size[foot]
	if p.Side != "size" {
		size = s.code.MadeSize(size, true)
	}
	var list []change
	for range 4 {
		if size == 0 {
			break
		}
		large := size
		list = append(list, change{do: f.say("Run the waste stack from %s to %s, what follows it and its vent in %v.",
			f.id(from), f.id(foot), nominal(large)), of: "size", edit: func(d *Data) error {
			for n := from; int(n) >= t.outlets; n = t.parent[n] {
				if run := &f.at(n)(d).Run; s.size[n] < large {
					run.Size = large
				}
			}
			if x := &d.Vents[v]; x.Size > 0 {
				x.Size = max(x.Size, large)
			}
			return nil
		}})
		size = s.code.MadeSize(size, true)
	}
	return list
}

// pastWasteStack leads what a waste stack that vents itself may not take into the drain
// downstream of it, with a vent of its own.
func (f *fit) pastWasteStack(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	if v < 0 || p.Side != "fixtures" {
		return nil
	}
	end := f.of.tree.vents.end[v]
	return f.leadPast(p, f.strangers(end, onWasteStack), f.of.tree.parent[end])
}

// strangers are the fixtures that drain to a node and may not be there.
func (f *fit) strangers(end int32, may func(kind string) bool) (list []int32) {
	t := f.of.tree
	drains := make([]bool, t.len())
	for _, i := range slices.Backward(t.of(t.system[end])) {
		drains[i] = i == end || drains[t.parent[i]]
		if fixture := t.point(i).Fixture; drains[i] && fixture != nil && !may(fixture.Kind) {
			list = append(list, i)
		}
	}
	return list
}

// leadPast leads the drains of fixtures to a point or one further downstream, and vents each on
// its own.
func (f *fit) leadPast(p *tables.Finding, which []int32, to int32) []change {
	t := f.of.tree
	var list []change
	for n := to; n >= 0 && int(n) >= t.outlets && len(list) < 2; n = t.parent[n] {
		to := f.id(n)
		c := change{of: "past"}
		var vents []change
		for _, i := range which {
			q := *p
			q.Place, q.Limit = f.id(i), nil
			vent := f.addVent(&q)[0]
			vents = append(vents, vent)
			c.do += f.say(" Lead the drain from %s to %s. ", q.Place, to) + vent.do
		}
		c.do = strings.TrimSpace(c.do)
		c.edit = func(d *Data) error {
			for k, i := range which {
				f.lead(d, f.at(i)(d), to)
				if err := vents[k].edit(d); err != nil {
					return err
				}
			}
			return nil
		}
		if len(which) > 0 {
			list = append(list, c)
		}
	}
	return list
}

// roughIn makes the vent roughed in for a fixture to come as large as it must be.
func (f *fit) roughIn(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	limit, ok := asLength(p.Limit)
	if at == nil || !ok || f.of.routes.serving[i] < 0 {
		return nil
	}
	v := f.of.routes.serving[i]
	return []change{{do: f.say("Run the vent %s in %v.", f.of.layout.Vents[v].ID, nominal(limit)),
		edit: func(d *Data) error { d.Vents[v].Size = limit; return nil }}}
}

// ventApart lets a vent of several fixtures serve the one at its take-off alone, and vents each
// of the others on its own.
func (f *fit) ventApart(p *tables.Finding) []change {
	v := f.ventOf(p)
	if v < 0 || f.of.layout.Vents[v].Through == "" {
		return nil
	}
	var own []change
	var said []string
	for i := int32(f.of.tree.outlets); int(i) < f.of.tree.len(); i++ {
		if int(f.of.routes.serving[i]) != v || f.of.routes.reached[i] == f.of.tree.vents.from[v] ||
			!f.of.tree.point(i).drainsIn() {
			continue
		}
		q := *p
		q.Place, q.Limit = f.id(i), nil
		own, said = append(own, f.addVent(&q)[0]), append(said, q.Place)
	}
	if len(own) == 0 {
		return nil
	}
	x := &f.of.layout.Vents[v]
	return []change{{do: f.say("Let the vent %s serve %s alone, and vent each on its own: %s.", x.ID, x.From,
		strings.Join(said, ", ")), edit: func(d *Data) error {
		d.Vents[v].Kind, d.Vents[v].Through = VentIndividual, ""
		for _, c := range own {
			if err := c.edit(d); err != nil {
				return err
			}
		}
		return nil
	}}}
}

// largerVent runs a vent a size or more larger.
func (f *fit) largerVent(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	if v < 0 {
		return nil
	}
	var list []change
	for _, large := range f.ventSizes(v, true)[1:] {
		list = append(list, change{do: f.say("Run the vent %s in %v.", p.Place, nominal(large)), of: "vent",
			edit: func(d *Data) error { d.Vents[v].Size = large; return nil }})
	}
	return list
}

// setBackwater sets a backwater valve in each branch that drains only what a sewer could flood,
// and takes out those through which others drain.
func (f *fit) setBackwater(p *tables.Finding) []change {
	sys, flood := f.systemOf(p.Place), f.of.layout.UpstreamManhole
	if sys < 0 || flood == nil {
		return nil
	}
	t := f.of.tree
	low, high := make([]bool, t.len()), make([]bool, t.len())
	for _, i := range t.of(sys) { // each after all that drain to it
		if pt := t.point(i); pt.Fixture != nil {
			rim := rimsAt(f.of.layout, pt)
			given := rim.stated || rim.floor
			low[i], high[i] = low[i] || given && rim.highest < *flood, high[i] || given && rim.highest >= *flood
		}
		p := t.parent[i]
		low[p], high[p] = low[p] || low[i], high[p] || high[i]
	}
	lo, hi := t.span(sys)
	valve := map[int32]bool{}
	var said, out []string
	for i := lo; i < hi; i++ {
		has, up := t.point(i).Backwater, t.parent[i]
		wants := low[i] && !high[i] && (int(up) < t.outlets || high[up])
		switch {
		case wants && !has:
			said = append(said, f.id(i))
		case has && high[i]:
			out = append(out, f.id(i))
		default:
			continue
		}
		valve[i] = wants
	}
	do := ""
	if len(said) > 0 {
		do = "Set a backwater valve at " + strings.Join(said, ", ") + ". "
	}
	if len(out) > 0 {
		do += "Take out the backwater valve at " + strings.Join(out, ", ") + "."
	}
	return []change{{do: strings.TrimSpace(do), edit: func(d *Data) error {
		for i, on := range valve {
			f.at(i)(d).Backwater = on
		}
		return nil
	}}}
}

// coverUp brings the cover of an interceptor up to the floor.
func (f *fit) coverUp(p *tables.Finding) []change {
	_, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	return []change{{
		do:   f.say("Bring the cover of the interceptor at %s up to the floor by a riser of the maker's.", p.Place),
		edit: func(d *Data) error { at(d).Interceptor.CoverBelow = 0; return nil }}}
}

// obstacle returns the obstacle that a finding names, nil for none.
func (f *fit) obstacle(p *tables.Finding) *Obstacle {
	k := slices.IndexFunc(f.of.layout.Obstacles, func(o Obstacle) bool { return o.ID == p.Side })
	if k < 0 {
		return nil
	}
	return &f.of.layout.Obstacles[k]
}

// inSleeve passes a footing in a sleeve two sizes larger than the pipe.
func (f *fit) inSleeve(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	o := f.obstacle(p)
	if at == nil || o == nil || o.Kind != ObstacleFooting {
		return nil
	}
	size := f.of.code.MadeSize(f.of.code.MadeSize(f.of.size[i], true), true)
	if size == 0 {
		return nil
	}
	return []change{{do: f.say("Pass the footing %s in a %v sleeve on the run from %s, if its designer agrees.", o.ID,
		nominal(size), p.Place), edit: func(d *Data) error {
		d.Footings = append(d.Footings, Footing{ID: o.ID + " at " + p.Place, Kind: FootingThrough, Run: p.Place,
			Bottom: f.of.layout.FinishedFloor - o.Bottom, Sleeve: size})
		return nil
	}}}
}

// ventPast lifts or lowers a flat run of a vent past what it comes too near.
func (f *fit) ventPast(p *tables.Finding) []change {
	v := f.ventIndex(p.Place)
	value, ok := asLength(p.Value)
	limit, _ := asLength(p.Limit)
	o := f.obstacle(p)
	if v < 0 || !ok || o == nil {
		return nil
	}
	by, deep := f.up(limit-value), f.up(o.Top-o.Bottom)
	var list []change
	for _, more := range [...]units.Length{by, -by, by + deep, -by - deep} {
		word := "higher"
		if more < 0 {
			word = "lower"
		}
		list = append(list, change{do: f.say("Lead the vent %s past %s, %v "+word+".", p.Place, o.ID, more.Abs()), of: "past",
			edit: func(d *Data) error {
				for k := range d.Vents[v].Runs {
					if r := &d.Vents[v].Runs[k]; r.Direction == VentUp && k+1 < len(d.Vents[v].Runs) && r.Length+more > 0 {
						if r.Length += more; r.Rise > 0 {
							r.Rise += more
						}
						return nil
					}
				}
				return errRiser
			}})
	}
	return list
}

// raiseTrap sets the trap of a fixture higher, under its outlet, and lets its drain drop behind
// it: where the drain vents it as it is, and else behind a vent of its own.
func (f *fit) raiseTrap(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	by, short := f.short(p)
	if at == nil || !short || f.of.tree.point(i).Run.Vertical {
		return nil
	}
	run := f.of.tree.point(i).Run
	arm := min(run.Length/2, units.Foot).Round(f.opt.Step, units.Down)
	raise := func(d *Data) error {
		foot := f.split(d, i, arm)
		points := &d.Systems[f.of.tree.system[i]].Points
		top := Point{ID: foot + "+", To: foot, Run: Run{Length: by, Vertical: true, Size: run.Size, Material: run.Material},
			At: (*points)[len(*points)-1].At}
		*points = append(*points, top)
		at(d).To = top.ID
		return nil
	}
	do := f.say("Set the trap of %s %v higher, and let its drain drop that much %v behind it.", p.Place, by, arm)
	list := []change{{do: do, of: "trap", edit: raise}}
	for _, c := range f.addVent(p)[:1] {
		list = append(list, change{do: do + " " + c.do, of: "trap", edit: func(d *Data) error {
			if err := raise(d); err != nil {
				return err
			}
			return c.edit(d)
		}})
	}
	return list
}

// beforeTurn takes the vent of a trap off before the arm has turned as much as it may not.
func (f *fit) beforeTurn(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || f.of.routes.serving[i] < 0 {
		return nil
	}
	t := f.of.tree
	vent := f.of.layout.Vents[f.of.routes.serving[i]].ID
	var list []change
	for n := i; n >= 0 && n != f.of.routes.reached[i] && int(n) >= t.outlets; n = t.parent[n] {
		run := &t.point(n).Run
		if n != i {
			list = append(list, change{do: f.say("Take the vent %s off at %s, before the arm turns on.", vent, f.id(n)),
				of: "turn", edit: func(d *Data) error { f.vent(vent)(d).From = f.id(n); return nil }})
		}
		if len(run.Fittings) > 1 && run.Length > 2*f.opt.Step {
			half := (run.Length / 2).Round(f.opt.Step, units.Down)
			list = append(list, change{do: f.say("Take the vent %s off between the bends of the run from %s to %s.", vent,
				f.id(n), f.id(t.parent[n])), of: "turn", edit: func(d *Data) error {
				f.vent(vent)(d).From = f.splitBends(d, n, half).ID
				return nil
			}})
		}
	}
	return list
}

// splitBends is split with the first of the bends of the run above, and the others below.
func (f *fit) splitBends(d *Data, n int32, along units.Length) *Point {
	bends := f.of.tree.point(n).Run.Fittings
	f.split(d, n, along)
	points := d.Systems[f.of.tree.system[n]].Points
	lower := &points[len(points)-1]
	if len(bends) > 1 {
		f.at(n)(d).Run.Fittings, lower.Run.Fittings = bends[:1], bends[1:]
	}
	return lower
}

// gentlerTurn turns along a run in two eighth bends where one bend turns too sharply.
func (f *fit) gentlerTurn(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil || p.Side != "run" {
		return nil
	}
	limit, _ := p.Limit.(angle)
	var bends []string
	for _, name := range f.of.tree.point(i).Run.Fittings {
		if bendAngle(name) > int32(limit) {
			bends = append(bends, eighth, eighth)
			continue
		}
		bends = append(bends, name)
	}
	return []change{{do: f.say("Turn by two eighth bends, apart from each other, in place of each bend of the run "+
		"from %s.", p.Place), edit: func(d *Data) error { at(d).Run.Fittings = bends; return nil }}}
}

// eighth is the bend of 45 degrees.
const eighth = "eighth-bend"

// shortenBranch brings an appliance nearer to the end of its branch, or lets it drop less, by
// what that is too long.
func (f *fit) shortenBranch(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	by, short := f.short(p)
	if at == nil || !short {
		return nil
	}
	t, drop := f.of.tree, p.Rule == "branch-drop"
	var list []change
	for n := i; int(n) >= t.outlets && f.of.european.end[n] == f.of.european.end[i]; n = t.parent[n] {
		run, to := &t.point(n).Run, f.at(n)
		switch {
		case run.Vertical == drop && run.Length > by:
			list = append(list, change{do: f.say("Shorten the run from %s to %s by %v.", f.id(n), f.id(t.parent[n]), by),
				of: "short", standing: drop, edit: func(d *Data) error { to(d).Run.lengthen(-by); return nil }})
		case drop && run.Drop >= by:
			list = append(list, change{do: f.say("Let the run from %s drop %v less.", f.id(n), by), of: "short",
				edit: func(d *Data) error { to(d).Run.Drop -= by; return nil }})
		}
	}
	return list
}

// straighten turns a branch in two gentler bends where one too many turns square.
func (f *fit) straighten(p *tables.Finding) []change {
	i, at := f.node(p.Place)
	if at == nil {
		return nil
	}
	t := f.of.tree
	var list []change
	for n := i; int(n) >= t.outlets && f.of.european.end[n] == f.of.european.end[i]; n = t.parent[n] {
		bends, to := t.point(n).Run.Fittings, f.at(n)
		k := slices.IndexFunc(bends, func(name string) bool { return bendAngle(name) >= squareTurn })
		if k < 0 {
			continue
		}
		list = append(list, change{do: f.say("Turn by two eighth bends, apart from each other, in place of one %s of the "+
			"run from %s.", spaced(bends[k]), f.id(n)), of: "bend", edit: func(d *Data) error {
			to(d).Run.Fittings = slices.Replace(slices.Clone(bends), k, k+1, eighth, eighth)
			return nil
		}})
	}
	return list
}
