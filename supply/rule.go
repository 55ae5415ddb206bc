package supply

import (
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// rules are the rules of [Analysis.Check], in the order in which findings are reported.
var rules = []tables.CheckRule{
	{ID: "water-velocity", Title: "Velocity in a line", Family: "sizes"},
	{ID: "pipe-by-units", Title: "Pipe by loading units", Family: "sizes"},
	{ID: "fixture-pressure", Title: "Flowing pressure at a fixture", Family: "pressures"},
	{ID: "booster-feed", Title: "Pressure before a booster", Family: "pressures"},
	{ID: "static-pressure", Title: "Static pressure at a fixture", Family: "pressures"},
	{ID: "static-pressure-least", Title: "Static pressure at the source", Family: "pressures"},
	{ID: "supply-size", Title: "Minimum supply of a fixture", Family: "sizes"},
	{ID: "service-size", Title: "Minimum size of the service", Family: "sizes"},
	{ID: "line-feeds-greater", Title: "No larger line downstream", Family: "sizes"},
	{ID: "manifold-size", Title: "Bore of a manifold", Family: "sizes"},
	{ID: "home-run", Title: "Home runs of a manifold", Family: "sizes"},
	{ID: "device-flow", Title: "Flow through a meter or device", Family: "devices"},
	{ID: "device-loss", Title: "Loss of a device", Family: "devices"},
	{ID: "hot-length", Title: "Developed length of a hot line", Family: "hot water"},
	{ID: "hot-length-energy", Title: "Length of a hot line for energy", Family: "hot water"},
	{ID: "hot-volume-energy", Title: "Water in a hot line for energy", Family: "hot water"},
	{ID: "hot-wait", Title: "Wait for hot water", Family: "hot water"},
	{ID: "hot-volume", Title: "Water that stands in a hot line", Family: "hot water"},
	{ID: "recirculation-flow", Title: "Flow of a recirculation loop", Family: "hot water"},
	{ID: "recirculation-velocity", Title: "Velocity in a recirculation loop", Family: "hot water"},
	{ID: "recirculation-temperature", Title: "Temperature of a recirculation loop", Family: "hot water"},
	{ID: "recirculation-balance", Title: "Balance of recirculation loops", Family: "hot water"},
	{ID: "slab-joints", Title: "Joints below the slab", Family: "below the slab"},
	{ID: "copper-below-slab", Title: "Wall of copper tube below the slab", Family: "below the slab"},
	{ID: "sleeve-fill", Title: "Fill of a sleeve", Family: "below the slab"},
	{ID: "sleeve-bends", Title: "Bends of a sleeve", Family: "below the slab"},
	{ID: "sleeve-fit", Title: "Room for the lines of a sleeve", Family: "below the slab"},
	{ID: "water-drain-separation", Title: "Distance between water line and drain", Family: "below the slab"},
	{ID: "test-pressure", Title: "Pressure of the test", Family: "tests"},
	{ID: "water-hammer", Title: "Water hammer", Family: "cautions"},
	{ID: "thermal-expansion", Title: "Thermal expansion in a closed system", Family: "cautions"},
	{ID: "scald", Title: "Hot water at showers and bathtubs", Family: "cautions"},
	{ID: "tempered-water", Title: "Hot water at public lavatories and bidets", Family: "cautions"},
	{ID: "regulator-fall-off", Title: "Fall-off of a pressure regulator", Family: "what the layout leaves open"},
	{ID: "fixture-ports", Title: "Hot and cold ports of a fixture", Family: "what the layout leaves open"},
	{ID: "line-serves-nothing", Title: "Lines that end at no fixture", Family: "what the layout leaves open"},
	{ID: "fittings-not-given", Title: "Runs without fittings", Family: "what the layout leaves open"},
	{ID: "mixed-closets", Title: "Tanks beside flush valves", Family: "loads and demand"},
	{ID: "ladder-curve", Title: "Demand of several flush valves", Family: "loads and demand"},
	{ID: "pipe-rating", Title: "Rating of plastic pipe", Family: "materials"},
	{ID: "loss-method", Title: "Method of friction loss", Family: "pressures"},
	{ID: "load-not-given", Title: "Fixtures without a listed load", Family: "loads and demand"},
	{ID: "demand-first-row", Title: "Load under the table of demand", Family: "loads and demand"},
	{ID: "demand-beyond-table", Title: "Load beyond the table of demand", Family: "loads and demand"},
	{ID: "loss-not-counted", Title: "Losses without a figure", Family: "pressures"},
	{ID: "load-row", Title: "Standing of loads", Family: "standing of figures"},
	{ID: "demand-row", Title: "Standing of demands", Family: "standing of figures"},
	{ID: "bore-row", Title: "Standing of bores", Family: "standing of figures"},
	{ID: "stand-in", Title: "Demand taken from elsewhere", Family: "standing of figures"},
}

// Rules returns the rules that [Analysis.Check] judges by, in the order of its findings.
func Rules() []tables.CheckRule { return slices.Clone(rules) }

// restsOn says which tables, and which single figures of tables of rules, each check rests
// on: those of the code by their name, others with the set they stand in. The list of rules
// that the project keeps says the same.
var restsOn = []struct{ rule, rows string }{
	{"water-velocity", "supply-velocity"},
	{"fixture-pressure", "supply-outlet-flow supply-rules:friction-allowance"},
	{"static-pressure", "supply-rules:static-pressure-max supply-rules:static-pressure-garden"},
	{"static-pressure-least", "supply-rules:static-pressure-min"},
	{"pipe-by-units", "supply-pipe-size"},
	{"supply-size", "supply-min-size supply-home-run supply-rules:home-run-length-max supply-rules:home-run-pressure-min"},
	{"service-size", "supply-rules:service-size-min"},
	{"manifold-size", "supply-manifold"},
	{"device-flow", "devices/supply-meter-loss devices/supply-backflow-ceiling"},
	{"device-loss", "devices/supply-typical-loss devices/supply-backflow-ceiling"},
	{"hot-length", "supply-rules:hot-length-max supply-rules:hot-maintain-length"},
	{"hot-length-energy", "supply-hot-length"},
	{"hot-volume-energy", "supply-rules:hot-volume-other supply-rules:hot-volume-public-lavatory " +
		"supply-rules:hot-volume-recirculated"},
	{"hot-wait", "hot-water/supply-wait hot-water/supply-rules:wait-most"},
	{"hot-volume", "supply-rules:hot-volume-max"},
	{"recirculation-temperature", "supply-rules:circulation-min hot-water/supply-rules:return-drop"},
	{"recirculation-velocity", "supply-velocity"},
	{"scald", "supply-rules:shower-valve-max supply-rules:bathtub-max"},
	{"tempered-water", "supply-rules:public-lavatory-max supply-rules:bidet-max"},
	{"thermal-expansion", "supply-rules:expansion-control supply-rules:static-pressure-max"},
	{"water-hammer", "materials/modulus devices/supply-arrester-size"},
	{"slab-joints", "supply-rules:slab-joints materials/supply-slab-rules:pex-slab-fittings"},
	{"copper-below-slab", "supply-rules:copper-below-slab"},
	{"sleeve-fill", "sleeves/rules:fill-one-line sleeves/rules:fill-two-lines sleeves/rules:fill-three-or-more-lines"},
	{"sleeve-bends", "sleeves/rules:bends-between-pulls"},
	{"water-drain-separation", "supply-rules:water-sewer-horizontal supply-rules:water-sewer-vertical"},
	{"test-pressure", "supply-rules:test-pressure supply-rules:test-air"},
	{"regulator-fall-off", "devices/supply-typical-loss"},
	{"fixture-ports", "supply-fixture-units"},
	{"mixed-closets", "supply-demand"},
	{"ladder-curve", "supply-progressive supply-demand"},
	{"pipe-rating", "materials/supply-pipe-rating materials/supply-pipe-rating-metric"},
}

// droppedRows asks at each check of which an amendment dropped a row: where nothing is
// found any more nothing is said any more, and that is no pass.
func (k *checker) droppedRows() error {
	var ids []string // of the tables that the code reads
	for i := range k.code.parts {
		ids = append(ids, k.code.parts[i].Table)
	}
	for _, r := range restsOn {
		for row := range strings.FieldsSeq(r.rows) {
			if id, _, _ := strings.Cut(row, ":"); strings.Contains(id, "/") {
				ids = append(ids, id)
			}
		}
	}
	slices.Sort(ids)
	for _, id := range slices.Compact(ids) {
		t, err := k.code.pipes.shelf.Table(id)
		if err != nil {
			return err
		}
		for _, d := range t.Changes() {
			if d.Op == "drop" {
				k.dropped(id, d)
			}
		}
	}
	return nil
}

// dropped asks at each check that rests on a row which is gone.
func (k *checker) dropped(id string, d tables.Change) {
	_, base, _ := strings.Cut(id, "/")
	figure := ":" + strings.TrimPrefix(d.Row.Row(), "rule ")
	for _, r := range restsOn {
		for row := range strings.FieldsSeq(r.rows) {
			if row != id && row != base && row != id+figure && row != base+figure {
				continue
			}
			k.Ask(r.rule, k.layout.data.Source.ID, tables.Authority,
				k.Text("%s drops the row %q, on which this check rests: it goes by the rows that are left, and "+
					"judges nothing where there are none.",
					d.Row.Source(), d.Was.Subject()),
				"See what the amendment puts in its place.", d.Row)
		}
	}
}

// NotJudged lists by family what stands in the code's tables for water lines and no check
// reads, and then, as a family of its own, the titles of the checks that the code gives no
// figure for, such as the length of hot lines under a code that limits none. Whoever shows
// verdicts can say with it what they do not cover.
func (c *Code) NotJudged() ([]tables.Unjudged, error) {
	if c = c.there(); c.pipes.shelf == nil {
		return nil, fmt.Errorf("%w: no code is given", tables.ErrQuery)
	}
	list, err := c.pipes.shelf.NotJudged(c.id, tables.Water)
	if err != nil {
		return nil, err
	}
	lacks := tables.Unjudged{Family: "water lines, for want of a figure of the code"}
	for _, rule := range c.withoutFigure() {
		lacks.Rows = append(lacks.Rows, rule.Title)
	}
	if lacks.Rows != nil {
		list = append(list, lacks)
	}
	return list, nil
}

// withoutFigure returns the rules that the code gives no figure for.
func (c *Code) withoutFigure() []tables.CheckRule {
	var list []tables.CheckRule
	for _, rule := range rules {
		for _, r := range restsOn {
			if r.rule == rule.ID && !silent[rule.ID] && !c.hasAny(r.rows) {
				list = append(list, rule)
			}
		}
	}
	return list
}

// silent are rules that a code does without: they ask about what only some codes have, go by
// another figure where this one has none, or say themselves that there is none.
var silent = map[string]bool{"mixed-closets": true, "ladder-curve": true, "fixture-ports": true, "scald": true,
	"pipe-by-units": true, "manifold-size": true, "hot-volume": true, "recirculation-temperature": true,
	"thermal-expansion": true, "copper-below-slab": true,
	"recirculation-velocity": true}

// hasAny reports whether the code has one of the figures that a check rests on.
func (c *Code) hasAny(rows string) bool {
	for row := range strings.FieldsSeq(rows) {
		table, figure, _ := strings.Cut(row, ":")
		if strings.Contains(table, "/") {
			return true // of the shelf, under any code
		}
		if figure != "" {
			_, ofCode := c.Rule(figure)
			if _, ofEnergy := c.hotVolume.Rule(figure); ofCode || ofEnergy {
				return true
			}
			continue
		}
		if table == "supply-outlet-flow" && c.mostAsked().Pressure == 0 {
			continue // a table of flows alone
		}
		if slices.ContainsFunc(c.parts, func(p part) bool { return strings.HasSuffix(p.Table, "/"+table) }) {
			return true
		}
	}
	return false
}
