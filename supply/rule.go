package supply

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
)

// rule is a rule of [Analysis.Check], and all that is known of it.
type rule struct {
	id, title, family string
	// rests says which tables, and which single figures of tables of rules, the check rests on:
	// those of the code by their name, others with the set they stand in. The list of rules that
	// the project keeps says the same.
	rests string
	// silent: a code does without its figures. It asks about what only some codes have, goes by
	// another figure where this one has none, or says itself that there is none.
	silent bool
}

// rules are in the order in which findings are reported.
var rules = []rule{
	{id: "water-velocity", title: "Velocity in a line", family: "sizes", rests: "supply-velocity"},
	{id: "pipe-by-units", title: "Pipe by loading units", family: "sizes", rests: "supply-pipe-size", silent: true},
	{id: "fixture-pressure", title: "Flowing pressure at a fixture", family: "pressures",
		rests: "supply-outlet-flow supply-rules:friction-allowance"},
	{id: "booster-feed", title: "Pressure before a booster", family: "pressures"},
	{id: "static-pressure", title: "Static pressure at a fixture", family: "pressures",
		rests: "supply-rules:static-pressure-max supply-rules:static-pressure-garden"},
	{id: "static-pressure-least", title: "Static pressure at the source", family: "pressures",
		rests: "supply-rules:static-pressure-min"},
	{id: "supply-size", title: "Minimum supply of a fixture", family: "sizes",
		rests: "supply-min-size supply-home-run supply-rules:home-run-length-max supply-rules:home-run-pressure-min"},
	{id: "service-size", title: "Minimum size of the service", family: "sizes",
		rests: "supply-rules:service-size-min supply-rules:heater-branch-size-min"},
	{id: "line-feeds-greater", title: "No larger line downstream", family: "sizes"},
	{id: "manifold-size", title: "Bore of a manifold", family: "sizes", rests: "supply-manifold", silent: true},
	{id: "home-run", title: "Home runs of a manifold", family: "sizes"},
	{id: "device-flow", title: "Flow through a meter or device", family: "devices",
		rests: "devices/supply-meter-loss devices/supply-backflow-ceiling"},
	{id: "device-loss", title: "Loss of a device", family: "devices",
		rests: "devices/supply-typical-loss devices/supply-backflow-ceiling"},
	{id: "hot-length", title: "Developed length of a hot line", family: "hot water",
		rests: "supply-rules:hot-length-max supply-rules:hot-maintain-length"},
	{id: "hot-length-energy", title: "Length of a hot line for energy", family: "hot water", rests: "supply-hot-length"},
	{id: "hot-volume-energy", title: "Water in a hot line for energy", family: "hot water",
		rests: "supply-rules:hot-volume-other supply-rules:hot-volume-public-lavatory " +
			"supply-rules:hot-volume-recirculated"},
	{id: "hot-wait", title: "Wait for hot water", family: "hot water",
		rests: "hot-water/supply-wait hot-water/supply-rules:wait-most"},
	{id: "hot-volume", title: "Water that stands in a hot line", family: "hot water",
		rests: "supply-rules:hot-volume-max", silent: true},
	{id: "recirculation-flow", title: "Flow of a recirculation loop", family: "hot water"},
	{id: "recirculation-velocity", title: "Velocity in a recirculation loop", family: "hot water",
		rests: "supply-velocity", silent: true},
	{id: "recirculation-temperature", title: "Temperature of a recirculation loop", family: "hot water",
		rests: "supply-rules:circulation-min hot-water/supply-rules:return-drop", silent: true},
	{id: "recirculation-balance", title: "Balance of recirculation loops", family: "hot water"},
	{id: "slab-joints", title: "Joints below the slab", family: "below the slab",
		rests: "supply-rules:slab-joints materials/supply-slab-rules:pex-slab-fittings"},
	{id: "copper-below-slab", title: "Wall of copper tube below the slab", family: "below the slab",
		rests: "supply-rules:copper-below-slab", silent: true},
	{id: "sleeve-fill", title: "Fill of a sleeve", family: "below the slab",
		rests: "sleeves/rules:fill-one-line sleeves/rules:fill-two-lines sleeves/rules:fill-three-or-more-lines"},
	{id: "sleeve-bends", title: "Bends of a sleeve", family: "below the slab", rests: "sleeves/rules:bends-between-pulls"},
	{id: "sleeve-fit", title: "Room for the lines of a sleeve", family: "below the slab"},
	{id: "water-drain-separation", title: "Distance between water line and drain", family: "below the slab",
		rests: "supply-rules:water-sewer-horizontal supply-rules:water-sewer-vertical"},
	{id: "test-pressure", title: "Pressure of the test", family: "tests",
		rests: "supply-rules:test-pressure supply-rules:test-air"},
	{id: "water-hammer", title: "Water hammer", family: "cautions",
		rests: "materials/modulus devices/supply-arrester-size"},
	{id: "thermal-expansion", title: "Thermal expansion in a closed system", family: "cautions",
		rests: "supply-rules:expansion-control supply-rules:static-pressure-max", silent: true},
	{id: "scald", title: "Hot water at showers and bathtubs", family: "cautions",
		rests: "supply-rules:shower-valve-max supply-rules:bathtub-max", silent: true},
	{id: "tempered-water", title: "Hot water at public lavatories and bidets", family: "cautions",
		rests: "supply-rules:public-lavatory-max supply-rules:bidet-max"},
	{id: "regulator-fall-off", title: "Fall-off of a pressure regulator", family: "what the layout leaves open",
		rests: "devices/supply-typical-loss"},
	{id: "fixture-ports", title: "Hot and cold ports of a fixture", family: "what the layout leaves open",
		rests: "supply-fixture-units", silent: true},
	{id: "line-serves-nothing", title: "Lines that end at no fixture", family: "what the layout leaves open"},
	{id: "fittings-not-given", title: "Runs without fittings", family: "what the layout leaves open"},
	{id: "mixed-closets", title: "Tanks beside flush valves", family: "loads and demand", rests: "supply-demand",
		silent: true},
	{id: "ladder-curve", title: "Demand of several flush valves", family: "loads and demand",
		rests: "supply-progressive supply-demand", silent: true},
	{id: "pipe-rating", title: "Rating of plastic pipe", family: "materials",
		rests: "materials/supply-pipe-rating materials/supply-pipe-rating-metric"},
	{id: "loss-method", title: "Method of friction loss", family: "pressures"},
	{id: "load-not-given", title: "Fixtures without a listed load", family: "loads and demand"},
	{id: "demand-first-row", title: "Load under the table of demand", family: "loads and demand"},
	{id: "demand-beyond-table", title: "Load beyond the table of demand", family: "loads and demand"},
	{id: "loss-not-counted", title: "Losses without a figure", family: "pressures"},
	{id: "load-row", title: "Standing of loads", family: "standing of figures"},
	{id: "demand-row", title: "Standing of demands", family: "standing of figures"},
	{id: "bore-row", title: "Standing of bores", family: "standing of figures"},
	{id: "stand-in", title: "Demand taken from elsewhere", family: "standing of figures"},
}

// Rules returns the rules that [Analysis.Check] judges by, in the order of its findings.
func Rules() []tables.CheckRule {
	list := make([]tables.CheckRule, len(rules))
	for i, r := range rules {
		list[i] = tables.CheckRule{ID: r.id, Title: r.title, Family: r.family}
	}
	return list
}

// order is that of the rules, made once.
var order = sync.OnceValue(func() finding.Order { return finding.OrderOf(Rules()) })

// droppedRows asks at each check of which an amendment dropped a row: where nothing is
// found any more nothing is said any more, and that is no pass.
func (k *checker) droppedRows() error {
	var ids []string // of the tables that the code reads
	for i := range k.code.parts {
		ids = append(ids, k.code.parts[i].Table)
	}
	for _, r := range rules {
		for row := range strings.FieldsSeq(r.rests) {
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
	for _, r := range rules {
		for row := range strings.FieldsSeq(r.rests) {
			if row != id && row != base && row != id+figure && row != base+figure {
				continue
			}
			k.Ask(r.id, k.layout.data.Source.ID, tables.Authority,
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
	for _, r := range c.withoutFigure() {
		lacks.Rows = append(lacks.Rows, r.title)
	}
	if lacks.Rows != nil {
		list = append(list, lacks)
	}
	return list, nil
}

// withoutFigure returns the rules that the code gives no figure for.
func (c *Code) withoutFigure() (list []rule) {
	for _, r := range rules {
		if r.rests != "" && !r.silent && !c.hasAny(r.rests) {
			list = append(list, r)
		}
	}
	return list
}

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
