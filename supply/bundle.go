package supply

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// A Bundle is the lines that are pulled through a sleeve under a slab.
type Bundle struct {
	Bore units.Length `json:"bore"` // of the sleeve
	// Lines are the outside diameters of what goes in, insulation, couplings and
	// clearance included, and of the pull rope.
	Lines []units.Length `json:"lines"`
	// Bends are the angles of the bends between two pull points, in degrees.
	Bends []float64 `json:"bends"`
}

// maxBundleLines bounds the search for a place for every line.
const maxBundleLines = 40

// Fill returns the share of the area of the bore that the lines take.
func (b Bundle) Fill() (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	return b.fill(), nil
}

func (b Bundle) fill() float64 {
	d, area := b.Bore.Metres(), 0.0
	for _, l := range b.Lines {
		area += float64(l.Metres() * l.Metres())
	}
	return area / (d * d)
}

// BendSum returns the sum of the bends in degrees.
func (b Bundle) BendSum() (float64, error) {
	sum := 0.0
	var list []error
	bend := argument.Above(0, 180, "")
	for i, a := range b.Bends {
		if err := bend.Check("angle", a); err != nil {
			list = append(list, fmt.Errorf("bend %d: %w", i, err))
		}
		sum += a
	}
	return sum, errors.Join(list...)
}

func (b Bundle) check() error {
	err := argument.Bore.Check("bore", b.Bore.Metres())
	if n := len(b.Lines); n == 0 || n > maxBundleLines {
		err = errors.Join(err, fmt.Errorf("lines: %d of them, want 1 to %d: %w", n, maxBundleLines, units.ErrRange))
	}
	for i, l := range b.Lines {
		if e := argument.Bore.Check("diameter", l.Metres()); e != nil {
			err = errors.Join(err, fmt.Errorf("line %d: %w", i, e))
		}
	}
	return err
}

// Check holds the fill and the bends against the rules of sleeves/rules on the
// shelf, and says whether the lines fit at all: one finding each, sleeve-fill,
// sleeve-bends and sleeve-fit. Those rules were made for conduit; a row that is not
// firm asks, as everywhere.
func (b Bundle) Check(shelf *tables.Shelf) ([]tables.Finding, error) {
	_, bendErr := b.BendSum()
	if err := errors.Join(b.check(), bendErr); err != nil {
		return nil, err
	}
	j := finding.New(order(), finding.Options{})
	if err := b.judge(j, shelf, "sleeve", fmt.Sprintf("%d lines and ropes", len(b.Lines))); err != nil {
		return nil, err
	}
	return j.Findings(), nil
}

// judge adds the findings of Check for lines and bends that are in range; who names
// the lines. Lines too many to look for a place for are asked about.
func (b Bundle) judge(j *finding.Judge, shelf *tables.Shelf, place, who string) error {
	rules, err := shelf.Rules("sleeves")
	if err != nil {
		return fmt.Errorf("sleeve: %w", err)
	}
	rule := [...]string{"fill-one-line", "fill-two-lines", "fill-three-or-more-lines"}[min(len(b.Lines), 3)-1]
	fillLimit, fillCite, e1 := tables.RuleValue[float64](rules, rule)
	bendLimit, bendCite, e2 := tables.RuleValue[float64](rules, "bends-between-pulls")
	if err := cmp.Or(e1, e2); err != nil {
		return fmt.Errorf("sleeve: %w", err)
	}
	bends, err := b.BendSum()
	if err != nil {
		return err
	}
	fill, fit := b.fill(), b.fit()
	full := roundTo(fill) > roundTo(fillLimit)
	out := tables.Finding{
		Rule: "sleeve-fill", Place: place, Verdict: passOrFail(!full),
		Value: percent(100 * fill), Limit: percent(100 * fillLimit), Margin: percent(100 * (fillLimit - fill)),
		Reason: j.Text("%s share a bore of %v.", who, b.Bore), Citation: fillCite,
	}
	if full {
		// The share is a rule for cables. Plumbing goes by it for want of its own, so
		// that more of it breaks no plumbing code.
		out.Verdict, out.SettledBy = tables.Ask, tables.Designer
		out.Fix = "Take a greater sleeve, or two. The share is that of an electrical raceway; no plumbing code was " +
			"found to set one."
		if fit.Verdict == tables.Pass {
			// Room side by side is no pass beside a bore that is too full: one statement.
			out.Reason += " They have room side by side, but too little of it to be pulled in."
		}
	}
	j.Add(out)
	out = tables.Finding{
		Rule: "sleeve-bends", Place: place, Verdict: passOrFail(roundTo(bends) <= roundTo(bendLimit)),
		Value: plain(bends), Limit: plain(bendLimit), Margin: plain(bendLimit - bends),
		Reason: "The sum of the bends between two pull points, in degrees.", Citation: bendCite,
		Fix: "Add a pull point or take bends out.",
	}
	j.Add(out)
	out = tables.Finding{Rule: "sleeve-fit", Place: place, Verdict: fit.Verdict, Reason: fit.Reason,
		Fix: "Take a greater sleeve, or two."}
	if fit.Verdict == tables.Ask {
		out.SettledBy = tables.Designer
	}
	if fit.Verdict != tables.Pass || !full {
		j.Add(out)
	}
	return nil
}

// plain is a number without a unit.
type plain float64

func (p plain) String() string { return fmt.Sprintf("%.4g", float64(p)) }

// A Centre is the place of a line in the cross-section of a sleeve, from its centre.
type Centre struct {
	X units.Length `json:"x"`
	Y units.Length `json:"y"`
}

// A BundleFit says whether round lines find room in a round bore.
type BundleFit struct {
	Verdict tables.Verdict `json:"verdict"` // Pass, Fail, or Ask where neither was shown
	// Centres are places for the lines, in their order, if Verdict is Pass. No line
	// overlaps another or the wall by more than two nanometres.
	Centres []Centre `json:"centres"`
	Reason  string   `json:"reason,omitzero"`
}

// Fit looks for a place for every line. It passes with the places it found, fails
// where no places can exist (a line or two side by side wider than the bore, three
// that cannot stand together, more area than there is), and else asks: the search is
// thorough for the few lines of a sleeve but no proof.
//
// Lines that just fit cannot be pulled: see [Bundle.Check].
func (b Bundle) Fit() (BundleFit, error) {
	if err := b.check(); err != nil {
		return BundleFit{}, err
	}
	return b.fit(), nil
}

// fit is Fit for lines in range.
func (b Bundle) fit() BundleFit {
	p := newPacking(b)
	if reason := p.impossible(); reason != "" {
		return BundleFit{Verdict: tables.Fail, Reason: reason}
	}
	if len(b.Lines) > maxBundleLines || !p.search() {
		return BundleFit{Verdict: tables.Ask,
			Reason: "No place was found for every line, nor a proof that there is none."}
	}
	out := BundleFit{Verdict: tables.Pass, Centres: make([]Centre, len(b.Lines)),
		Reason: "A place was found for every line."}
	for k, i := range p.order {
		out.Centres[i] = Centre{units.Metres(p.at[k].x), units.Metres(p.at[k].y)}
	}
	return out
}

type place struct{ x, y float64 }

// A packing places circles, largest first, each touching two of the others or the
// wall, and takes back a choice that leads nowhere.
type packing struct {
	bore  float64   // radius
	r     []float64 // radii, largest first
	order []int     // the line of each
	at    []place
	left  int // of packingTries
	slack float64
}

// packingTries bounds the search, counted in pairs of placed lines looked at.
const packingTries = 3_000_000

func newPacking(b Bundle) *packing {
	p := &packing{bore: b.Bore.Metres() / 2, left: packingTries, slack: 1e-9}
	for i := range b.Lines {
		p.order = append(p.order, i)
	}
	slices.SortStableFunc(p.order, func(i, j int) int { return cmp.Compare(b.Lines[j], b.Lines[i]) })
	for _, i := range p.order {
		p.r = append(p.r, b.Lines[i].Metres()/2)
	}
	return p
}

// impossible returns why no places can exist, or "".
func (p *packing) impossible() string {
	area := 0.0
	for _, r := range p.r {
		area += float64(r * r)
	}
	switch {
	case p.r[0] > p.bore+p.slack:
		return "The largest line is wider than the bore."
	case area > p.bore*p.bore*(1+1e-12):
		return "The lines have more area than the bore."
	case len(p.r) > 1 && p.r[0]+p.r[1] > p.bore+p.slack:
		return "The two largest lines are wider together than the bore."
	case len(p.r) > 2 && threeAround(p.r[0], p.r[1], p.r[2]) > p.bore+p.slack:
		return "The three largest lines cannot stand together in the bore."
	}
	return ""
}

// threeAround returns the radius of the least circle around three, given largest
// first: around all three touching each other, or around the larger two where the
// third stands in the gap beside them.
//
// Source: R. Descartes (1643), F. Soddy (1936): the curvatures k of four circles
// that touch obey (k1+k2+k3+k4)² = 2 (k1²+k2²+k3²+k4²).
func threeAround(a, b, c float64) float64 {
	ka, kb, kc := 1/a, 1/b, 1/c
	if kc >= ka+kb-1/(a+b) { // the gap beside the larger two takes it
		return a + b
	}
	return 1 / (2*math.Sqrt(float64(ka*kb)+float64(kb*kc)+float64(kc*ka)) - ka - kb - kc)
}

func (p *packing) search() bool {
	if len(p.at) == len(p.r) {
		return true
	}
	r := p.r[len(p.at)]
	if len(p.at) == 0 {
		// Along one radius is enough, for symmetry: at the wall, or alone in the middle.
		for _, x := range [...]float64{p.bore - r, 0} {
			p.at = append(p.at, place{x, 0})
			if p.search() {
				return true
			}
			p.at = p.at[:0]
		}
		return false
	}
	if p.left -= len(p.at) * len(p.at); p.left < 0 {
		return false
	}
	for _, s := range p.spots(r) {
		p.at = append(p.at, s)
		if p.search() {
			return true
		}
		p.at = p.at[:len(p.at)-1]
	}
	return false
}

// spots returns free places of a circle that touch two placed circles, or one and
// the wall, those nearest the wall first.
func (p *packing) spots(r float64) []place {
	var list []place
	add := func(c0 place, r0 float64, c1 place, r1 float64) {
		for _, s := range crossings(c0, r0, c1, r1) {
			if p.free(s, r) && !slices.ContainsFunc(list,
				func(o place) bool { return math.Hypot(o.x-s.x, o.y-s.y) < p.slack }) {
				list = append(list, s)
			}
		}
	}
	for i, a := range p.at {
		add(a, p.r[i]+r, place{}, p.bore-r)
		for j := range i {
			add(a, p.r[i]+r, p.at[j], p.r[j]+r)
		}
	}
	slices.SortStableFunc(list, func(a, b place) int {
		switch ha, hb := math.Hypot(a.x, a.y), math.Hypot(b.x, b.y); {
		case ha > hb+p.slack:
			return -1
		case hb > ha+p.slack:
			return 1
		}
		return 0
	})
	return list
}

func (p *packing) free(s place, r float64) bool {
	if math.Hypot(s.x, s.y) > p.bore-r+p.slack {
		return false
	}
	for i, o := range p.at {
		if math.Hypot(s.x-o.x, s.y-o.y) < p.r[i]+r-p.slack {
			return false
		}
	}
	return true
}

// crossings returns the points at distance r0 from one centre and r1 from another.
func crossings(c0 place, r0 float64, c1 place, r1 float64) []place {
	dx, dy := c1.x-c0.x, c1.y-c0.y
	d := math.Hypot(dx, dy)
	if d == 0 || r0 < 0 || r1 < 0 {
		return nil
	}
	a := (float64(d*d) + float64(r0*r0) - float64(r1*r1)) / (2 * d)
	h2 := float64(r0*r0) - float64(a*a)
	// Circles that just touch are a crossing, rounding allowed for.
	if h2 < -1e-12*r0*r0 {
		return nil
	}
	h := math.Sqrt(max(0, h2))
	mx, my := c0.x+float64(a*dx/d), c0.y+float64(a*dy/d)
	if h == 0 {
		return []place{{mx, my}}
	}
	return []place{
		{mx + float64(h*dy/d), my - float64(h*dx/d)},
		{mx - float64(h*dy/d), my + float64(h*dx/d)},
	}
}
