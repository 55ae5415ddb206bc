package supply

import (
	"slices"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// restsOn says which tables, and which single figures of tables of rules, each check rests
// on: those of the code by their name, others with the set they stand in. The list of rules
// that the project keeps says the same.
var restsOn = []struct{ rule, rows string }{
	{"water-velocity", "supply-velocity"},
	{"fixture-pressure", "supply-outlet-flow"},
	{"static-pressure", "supply-rules:static-pressure-max"},
	{"static-pressure-least", "supply-rules:static-pressure-min"},
	{"pipe-by-units", "supply-pipe-size"},
	{"supply-size", "supply-min-size"},
	{"service-size", "supply-rules:service-size-min"},
	{"device-flow", "devices/supply-meter-loss"},
	{"device-loss", "devices/supply-typical-loss"},
	{"hot-length", "supply-rules:hot-length-max"},
	{"hot-length-energy", "supply-hot-length"},
	{"hot-volume-energy", "supply-rules:hot-volume-other supply-rules:hot-volume-public-lavatory " +
		"supply-rules:hot-volume-recirculated"},
	{"hot-wait", "hot-water/supply-wait"},
	{"recirculation-velocity", "supply-velocity"},
	{"scald", "supply-rules:shower-valve-max"},
	{"thermal-expansion", "supply-rules:expansion-control"},
	{"water-hammer", "materials/modulus"},
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
	for i := range k.Code.parts {
		ids = append(ids, k.Code.parts[i].Table)
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
		t, err := k.Code.pipes.shelf.Table(id)
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
			k.Ask(r.rule, k.Layout.data.Source.ID, tables.Authority,
				k.Text("%s drops the row %s, on which this check rests: it goes by the rows that are left, and "+
					"judges nothing where there are none.",
					d.Row.Source(), d.Row.Row()),
				"See what the amendment puts in its place.", d.Row)
		}
	}
}
