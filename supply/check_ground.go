package supply

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// plastics are the materials that an air test may burst.
var plastics = map[string]bool{"PEX": true, "CPVC": true, "PVC": true, "HDPE": true, "PP-R": true}

// slab judges joints below a slab.
func (k *checker) slab() {
	practice, err := newRules(k.Code.pipes.shelf, "materials/supply-slab-rules")
	if err != nil {
		practice = nil
	}
	flexible, hasFlexible := practice.rule("pex-slab-fittings")
	code, hasCode := k.Code.Rule("slab-joints")
	for i := range k.Runs {
		p := &k.Layout.data.Points[i]
		if !p.BelowSlab {
			continue
		}
		joints := 0
		for _, t := range p.Fittings {
			if !t.NoJoint {
				joints += t.Count
			}
		}
		material := k.Runs[i].Pipe.material
		f := tables.Finding{Rule: "slab-joints", Place: p.ID, Verdict: tables.Pass, Value: count(joints),
			Limit: count(0), Margin: count(-joints)}
		switch {
		case joints == 0:
			f.Reason = k.Text("The %s run below the slab is in one length.", material)
			if hasCode {
				f.Citation = code.Citation
			}
		case material == "PEX" && hasFlexible:
			f.Verdict, f.Citation = tables.Fail, flexible.Citation
			f.Reason = "Makers of flexible plastic pipe ask for one length below a slab, with every joint above it " +
				"or outside."
			f.Fix = "Run it in one length, with bends in place of fittings; count formed bends as making no joint."
		default:
			f.Verdict, f.SettledBy = tables.Ask, tables.Authority
			if hasCode {
				f.Citation = code.Citation
			}
			f.Reason = k.Text("%s in %s below the slab.", counted(joints, "joint"), material)
			f.Fix = "Ask the authority which joints it allows there; in copper, where any are allowed, they are " +
				"brazed with wrought fittings."
		}
		// A pass needs no figure behind it: there is nothing to count.
		if f.Verdict == tables.Pass {
			f.Citation = tables.Citation{}
		}
		k.Add(f)
	}
}

// thinCopper fails copper tube of the thin wall below the slab, where the code has it above
// ground only.
func (k *checker) thinCopper() {
	rule, ok := k.Code.Rule("copper-below-slab")
	if !ok {
		return
	}
	var runs []int
	for i := range k.Runs {
		if k.Layout.data.Points[i].BelowSlab && k.Runs[i].Pipe.id == "copper-m" {
			runs = append(runs, i)
		}
	}
	if len(runs) == 0 {
		return
	}
	k.Add(tables.Finding{
		Rule: "copper-below-slab", Place: k.Layout.data.Points[runs[0]].ID, Verdict: tables.Fail,
		Reason:   k.Text("Type M copper below the slab, where the code asks for type L or heavier: %s.", k.ids(runs)),
		Fix:      "Lay type L or K below the slab.",
		Citation: rule.Citation,
	})
}

// count is a plain number in a finding.
type count int

func (c count) String() string { return fmt.Sprint(int(c)) }

// percent is a share in a finding.
type percent float64

func (p percent) String() string { return fmt.Sprintf("%.1f %%", float64(p)) }

// SleeveFill is a sleeve with the lines that lie in it.
type SleeveFill struct {
	Sleeve *Sleeve
	Lines  []string // the points whose runs lie in it
	// Bundle is what is pulled through: the lines in that order, with their
	// insulation, then the rope.
	Bundle Bundle
	// Fill is the share of the bore's area that they take up, Fit whether they find
	// room side by side.
	Fill float64
	Fit  BundleFit
}

// Sleeves works out how full the sleeves are that runs lie in, in the order of the
// layout. Only the lines of the layout are counted.
func (a *Analysis) Sleeves() []SleeveFill {
	l := a.Layout
	at := make(map[string]int, len(l.data.Sleeves))
	all := make([]SleeveFill, len(l.data.Sleeves))
	for i := range all {
		s := &l.data.Sleeves[i]
		all[i].Sleeve, all[i].Bundle.Bore, at[s.ID] = s, s.Bore, i
		for range s.Bends {
			all[i].Bundle.Bends = append(all[i].Bundle.Bends, quarterBend)
		}
	}
	for i := range a.Runs {
		p := &l.data.Points[i]
		if p.Sleeve == "" {
			continue
		}
		s := &all[at[p.Sleeve]]
		w := a.Runs[i].bore.Outside
		if p.Insulation != nil {
			w += 2 * p.Insulation.Thickness
		}
		s.Lines = append(s.Lines, p.ID)
		s.Bundle.Lines = append(s.Bundle.Lines, w)
	}
	used := all[:0]
	for _, s := range all {
		if len(s.Lines) == 0 {
			continue
		}
		if s.Sleeve.Rope > 0 {
			s.Bundle.Lines = append(s.Bundle.Lines, s.Sleeve.Rope)
		}
		s.Fill, s.Fit = s.Bundle.fill(), s.Bundle.fit()
		used = append(used, s)
	}
	return used
}

// quarterBend is the angle of a bend that a layout counts, in degrees.
const quarterBend = 90

func (k *checker) sleeves() error {
	for _, s := range k.Sleeves() {
		err := s.Bundle.judge(k.Judge, k.Code.pipes.shelf, s.Sleeve.ID, strings.Join(s.Lines, ", "))
		if err != nil {
			return err
		}
	}
	return nil
}

// separation judges water lines beside drains. A code of which the shelf has no distance
// is asked about, where a line lies below the slab or beside a drain.
func (k *checker) separation() {
	side, ok1 := k.Code.Rule("water-sewer-horizontal")
	up, ok2 := k.Code.Rule("water-sewer-vertical")
	var clear, above units.Length
	known := ok1 && ok2 && side.into(&clear) && up.into(&above)
	var unknown, near []string
	for i := range k.Runs {
		p := &k.Layout.data.Points[i]
		s := p.Beside
		switch {
		case s != nil && known:
			k.apart(p, side, up, clear, above)
		case s != nil && !s.Listed:
			near = append(near, p.ID)
		case s == nil && p.BelowSlab:
			unknown = append(unknown, p.ID)
		}
	}
	if len(unknown) > 0 && known {
		k.Add(tables.Finding{
			Rule: "water-drain-separation", Place: unknown[0], Verdict: tables.Ask, SettledBy: tables.Designer,
			Limit: k.trade.length(clear),
			Reason: k.Text("%s below the slab: distance to the drains not given: %s.",
				counted(len(unknown), "water line"), shortList(unknown)),
			Fix:      "Ask which drains they pass and of what material; state it as beside_drain.",
			Citation: side.Citation,
		})
	}
	if len(near) > 0 {
		k.Add(tables.Finding{
			Rule: "water-drain-separation", Place: near[0], Verdict: tables.Ask, SettledBy: tables.Authority,
			Value: k.trade.length(k.Layout.data.Points[k.Layout.index[near[0]]].Beside.Clear),
			Reason: k.Text("%s beside a drain that is not said to be of material approved inside buildings: "+
				"the shelf has no distance of %s to judge by: %s.", counted(len(near), "water line"), k.Code.id,
				shortList(near)),
			Fix: "Ask the authority how far a water line stays from such a drain.",
		})
	}
}

// apart judges one water line beside a drain.
func (k *checker) apart(p *Point, side, up Rule, clear, above units.Length) {
	s := p.Beside
	f := tables.Finding{
		Rule: "water-drain-separation", Place: p.ID, Verdict: tables.Pass, Citation: side.Citation,
		Value: k.trade.length(s.Clear), Limit: k.trade.length(clear), Margin: k.trade.length(s.Clear - clear),
	}
	switch {
	case s.Listed:
		f.Reason = "The drain is of material approved inside buildings, so that no distance is asked."
		f.Limit, f.Margin = nil, nil
	case s.Clear >= clear:
		f.Reason = "Clear of the drain sideways."
	case s.Above >= above:
		f.Citation, f.Reason = up.Citation, "High enough over the drain."
		f.Value, f.Limit, f.Margin = k.trade.length(s.Above), k.trade.length(above), k.trade.length(s.Above-above)
	case !s.NotListed:
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason = k.Text("Nearer than %v to a drain and less than %v above it, and the material of the drain is "+
			"not given: "+
			"beside one approved inside buildings no distance is asked.", k.trade.length(clear), k.trade.length(above))
		f.Fix = "State whether the drain is of material approved inside buildings, as listed of beside_drain; if " +
			"not, move, raise or sleeve the water line."
	default:
		f.Verdict = tables.Fail
		f.Reason = k.Text("Nearer than %v to a drain of material not approved inside buildings, and less than %v "+
			"above it.", k.trade.length(clear), k.trade.length(above))
		f.Fix = "Move or raise the water line, sleeve it, or lay the drain of approved material."
	}
	k.Add(f)
}

// shortList joins ids, the first eight of them.
func shortList(ids []string) string {
	if len(ids) > 8 {
		return strings.Join(ids[:8], "; ") + fmt.Sprintf(" and %d more", len(ids)-8)
	}
	return strings.Join(ids, "; ")
}

// TestPlan is what a pressure test of the lines takes.
type TestPlan struct {
	Stated *PressureTest `json:"stated,omitempty"` // of the layout, nil if none
	// Working is the greatest static pressure, WorkingAt the point or the source where it
	// stands.
	Working   units.Pressure `json:"working"`
	WorkingAt string         `json:"working_at"`
	// Least is what the code asks with water, Air with air; zero: not given.
	Least         units.Pressure  `json:"least,omitzero"`
	Air           units.Pressure  `json:"air,omitzero"`
	LeastCitation tables.Citation `json:"least_citation,omitzero"`
	AirCitation   tables.Citation `json:"air_citation,omitzero"`
	// Lowest and Highest are the points, or the source, that lie so; AtLowest and AtHighest
	// the pressures there when the test pressure stands at the source.
	Lowest    string         `json:"lowest"`
	Highest   string         `json:"highest"`
	AtLowest  units.Pressure `json:"at_lowest,omitzero"`
	AtHighest units.Pressure `json:"at_highest,omitzero"`
	Volume    units.Volume   `json:"volume"`            // to fill the lines
	Plastic   []string       `json:"plastic,omitempty"` // families of plastic pipe in the lines
	Duration  units.Duration `json:"duration,omitzero"`
}

// TestPlans works out the pressure test: one of the whole layout, with the gauge at the
// source.
func (a *Analysis) TestPlans() ([]TestPlan, error) {
	if err := a.made(); err != nil {
		return nil, err
	}
	return []TestPlan{a.testPlan()}, nil
}

// testPlan is the only test of a layout.
func (a *Analysis) testPlan() TestPlan {
	src := &a.Layout.data.Source
	t := TestPlan{Stated: a.Layout.data.Test, Working: max(src.Static, src.Pressure), WorkingAt: src.ID, Lowest: src.ID,
		Highest: src.ID}
	lowest, highest := units.Length(0), units.Length(0)
	for i := range a.Runs {
		r := &a.Runs[i]
		id := a.Layout.data.Points[i].ID
		d := r.Bore.Metres()
		t.Volume += units.Volume(math.Pi / 4 * d * d * r.Length.Metres())
		if inPSI(r.Static) > inPSI(t.Working) {
			t.Working, t.WorkingAt = r.Static, id
		}
		if r.Elevation < lowest {
			lowest, t.Lowest = r.Elevation, id
		}
		if r.Elevation > highest {
			highest, t.Highest = r.Elevation, id
		}
		if id := r.Pipe.id; plastics[r.Pipe.material] && !containsString(t.Plastic, id) {
			t.Plastic = append(t.Plastic, id)
		}
	}
	sort.Strings(t.Plastic)
	if r, ok := a.Code.Rule("test-pressure"); ok {
		if x, ok := r.number(); ok {
			t.Least, t.LeastCitation = t.Working*units.Pressure(x), r.Citation
		}
	}
	if r, ok := a.Code.Rule("test-air"); ok && r.into(&t.Air) {
		t.AirCitation = r.Citation
	}
	if r, ok := a.Code.Rule("test-duration"); ok {
		if !r.into(&t.Duration) {
			t.Duration = 0
		}
	}
	if t.Stated != nil {
		t.AtLowest, t.AtHighest = t.Stated.Pressure, t.Stated.Pressure
		if t.Stated.Medium == "water" {
			weight := 0.0
			if w, err := hydraulics.WaterAt(a.Layout.data.Water.Cold); err == nil {
				weight = float64(w.Density) * units.StandardGravity
			}
			t.AtLowest -= units.Pressure(weight * lowest.Metres())
			t.AtHighest -= units.Pressure(weight * highest.Metres())
		}
	}
	return t
}

func containsString(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func (k *checker) test() {
	t := k.testPlan()
	if t.Stated == nil {
		return
	}
	least, cite := t.Least, t.LeastCitation
	if t.Stated.Medium == "air" {
		least, cite = t.Air, t.AirCitation
	}
	if least == 0 {
		return
	}
	ok := roundTo(float64(t.Stated.Pressure/units.PoundForcePerSquareInch)) >= roundTo(
		float64(least/units.PoundForcePerSquareInch))
	f := tables.Finding{
		Rule: "test-pressure", Place: "test", Verdict: passOrFail(ok),
		Value: k.trade.pressure(t.Stated.Pressure), Limit: k.trade.pressure(least),
		Margin:   k.trade.pressure(t.Stated.Pressure - least),
		Reason:   k.Text("With %s; the greatest working pressure is %v.", t.Stated.Medium, k.trade.pressure(t.Working)),
		Citation: cite,
	}
	if !ok {
		f.Fix = "Test higher."
	} else {
		f.Reason += k.Text(" The code asks for at least %v, and it is %v.", f.Limit, f.Value)
		f.Margin = nil
	}
	if k.Layout.data.Source.Static == 0 && t.Stated.Medium == "water" && ok && !k.regulated() {
		f.Verdict, f.SettledBy = tables.Ask, tables.Designer
		f.Reason += " The pressure of the source while nothing flows is not given, and it is more than the flowing " +
			"pressure, which was taken."
		f.Fix = "Ask the water supplier for the static pressure, and state it."
	}
	if t.Stated.Medium == "air" && len(t.Plastic) > 0 {
		f.Verdict, f.SettledBy = tables.Ask, tables.Authority
		f.Reason += k.Text(" There is plastic pipe in the lines (%s), which bursts in splinters under air: the code "+
			"tests it with water, unless its maker and the authority allow air.",
			strings.Join(t.Plastic, ", "))
		f.Fix = "Test with water, or ask the maker of the pipe and the authority."
	}
	k.Add(f)
}

// cautions asks what the layout cannot answer.
func (k *checker) cautions() {
	l := k.Layout
	storage := ""
	for _, i := range l.order {
		if d := l.data.Points[i].Device; storage == "" && d != nil && d.Kind == "storage-heater" {
			storage = l.data.Points[i].ID
		}
	}
	if closed := l.closesTheWay(); storage != "" && closed != "" {
		f := tables.Finding{
			Rule: "thermal-expansion", Place: storage, Verdict: tables.Ask, SettledBy: tables.Designer,
			Reason: k.Text("The %s shuts the way back to the main, and water that is heated grows.", closed),
			Fix: "Ask where the expansion tank or other device stands, on the cold line after every check and " +
				"regulator.",
		}
		if r, ok := k.Code.Rule("expansion-control"); ok {
			f.Citation = r.Citation
		}
		k.Add(f)
	}
	r, ok := k.Code.Rule("shower-valve-max")
	lacks := ""
	if other, err := newRules(k.Code.pipes.shelf, "ipc-2021/supply-rules"); !ok && err == nil {
		// Hot water scalds under any code: one that the shelf has no limit of asks by another's.
		r, ok = other.rule("shower-valve-max")
		lacks = k.Text(" The shelf has no limit of %s; this is another code's.", k.Code.id)
	}
	if ok {
		var most units.Temperature
		if r.into(&most) {
			for i := range l.data.Fixtures {
				f := &l.data.Fixtures[i]
				if (f.Kind == "shower" || f.Kind == "bathtub") && f.Hot != "" &&
					roundTo(l.data.Water.Hot.Fahrenheit()) > roundTo(most.Fahrenheit()) {
					k.Add(tables.Finding{
						Rule: "scald", Place: f.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
						Value: k.trade.temperature(l.data.Water.Hot), Limit: k.trade.temperature(most),
						Reason: "The line is hotter than the high limit of its valve; hot water scalds within " +
							"seconds." + lacks,
						Fix: "Ask how the valve at it is limited and who sets it.", Citation: r.Citation,
					})
				}
			}
		}
	}
}

// standing gathers rows that nobody has seen in print, by what came from them.
type standing struct {
	rule, what, table, place string
	first                    tables.Citation
	rows                     []string
}

// standings asks about rows that nobody has seen in print and that loads, flows or
// bores came from: one finding a table, at the first place that used it.
func (k *checker) standings() {
	seen := map[tables.Citation]bool{}
	var list []*standing
	note := func(rule, what, place string, c tables.Citation) {
		if c.IsZero() || c.Status().Firm() || seen[c] {
			return
		}
		seen[c] = true
		for _, s := range list {
			if s.rule == rule && s.table == c.Table() {
				s.rows = append(s.rows, c.Row())
				return
			}
		}
		list = append(list, &standing{rule, what, c.Table(), place, c, []string{c.Row()}})
	}
	l := k.Layout
	if items, err := l.items(k.Code); err == nil {
		for i := range items {
			note("load-row", "Loads", l.data.Fixtures[i].ID, items[i].Citation)
			if n := items[i].ladder; n >= 0 {
				_, c := k.Code.ladders[n].of(items[i].Count)
				note("load-row", "Loads", l.data.Fixtures[i].ID, c)
			}
		}
	}
	for i := range k.Runs {
		r := &k.Runs[i]
		note("demand-row", "Demands", l.data.Points[i].ID, r.Demand)
		note("demand-row", "Demands", l.data.Points[i].ID, r.DemandNext)
		note("bore-row", "Bores", l.data.Points[i].ID, r.bore.Citation)
	}
	for _, s := range list {
		by, how := tables.Book, "recalled, not seen in print"
		switch s.first.Status() {
		case tables.Practice:
			by = tables.Authority
			how = "of common practice without a source"
		case tables.Disputed:
			how = "that sources disagree on"
		}
		k.Add(tables.Finding{
			Rule: s.rule, Place: s.place, Verdict: tables.Ask, SettledBy: by, Value: count(len(s.rows)),
			Reason:   k.Text("%s come from rows %s: %s.", s.what, how, shortList(s.rows)),
			Fix:      s.first.LookUp(),
			Citation: s.first,
		})
	}
	for _, s := range k.Code.StandIns() {
		if strings.HasPrefix(s.Part, "demand-") && k.uses(s.Table) {
			k.Add(tables.Finding{
				Rule: "stand-in", Place: k.Code.id, Verdict: tables.Ask, SettledBy: tables.Book,
				Reason:   k.Text("%s answers for %s: %s.", s.Table, s.Part, s.Reason),
				Fix:      "Look up the demand in the code itself.",
				Citation: s.Citation,
			})
		}
	}
}

// uses reports whether a run's demand came from a table.
func (k *checker) uses(table string) bool {
	for i := range k.Runs {
		if c := k.Runs[i].Demand; !c.IsZero() && c.Table() == table {
			return true
		}
	}
	return false
}
