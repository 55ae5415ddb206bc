package tables_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/tables"
)

// ordinance amends a table of a code on the shelf.
func ordinance(id, table, rows string) fstest.MapFS {
	return fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\n" + id + ",Ordinance " + id +
			",Town,,2024,,\n")},
		table + ".csv": {Data: []byte("# id: " + table + "\n# source: " + id + "\n" + rows)},
	}
}

// TestAmendedFigures: a rule keeps its unit, for a check that asks for a length finds none
// in degrees and falls silent; and no length becomes negative. A length with a minus that
// is none, "-", stands for "not permitted".
func TestAmendedFigures(t *testing.T) {
	const rules = "op,rule,value,unit,section,status\n"
	for _, c := range []struct {
		name, table, rows string
		cause             error
		says              string
	}{
		{"a figure", "ipc-2021/rules", rules + "set,cleanout-spacing,90,ft,3,read\n", nil, ""},
		{"not permitted", "ipc-2021/rules", rules + "set,floor-drain-unvented-reach,-,ft,3,read\n", nil, ""},
		{"without the unit", "ipc-2021/rules", "op,rule,value,status\nset,cleanout-spacing,90,read\n", nil, ""},
		{"another unit", "ipc-2021/rules", rules + "set,cleanout-spacing,90,count,3,read\n", tables.ErrUnit,
			`unit: wrong unit: "count", and rule cleanout-spacing is in "ft"`},
		{"no unit", "ipc-2021/rules", rules + "set,cleanout-spacing,90,,3,read\n", tables.ErrUnit,
			`"", and rule cleanout-spacing is in "ft"`},
		{"a unit for none", "ipc-2021/rules", rules + "set,circuit-vent-take-off,yes,ft,3,read\n", tables.ErrUnit,
			`"ft", and rule circuit-vent-take-off is in ""`},
		{"negative", "ipc-2021/rules", rules + "set,cleanout-spacing,-90,ft,3,read\n", tables.ErrAmendment,
			"value: bad amendment: a length of -90 ft is negative"},
		{"negative without the unit", "ipc-2021/rules", "op,rule,value,status\nset,cleanout-spacing,-90,read\n",
			tables.ErrAmendment, "-90 ft is negative"},
		{"negative and added", "ipc-2021/rules", rules + "add,zebra,-1,in,3,read\n", tables.ErrAmendment,
			"-1 in is negative"},
		{"a negative count is no length", "ipc-2021/rules", rules + "add,zebra,-1,count,3,read\n", nil, ""},
		{"negative in a table", "ipc-2021/trap-arm", "op,size[in],max_length[ft],status\nset,2,-8,read\n",
			tables.ErrAmendment, "max_length: bad amendment: a length of -8 ft is negative"},
	} {
		_, err := tables.Embedded().With(ordinance("t", c.table, c.rows))
		if !errors.Is(err, c.cause) || c.cause == nil && err != nil || c.cause != nil &&
			!strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
	}
}

// TestChanges: what a town's amendment and a county's over it leave different, each once.
func TestChanges(t *testing.T) {
	const rules = "op,rule,value,unit,section,status\n"
	county, err := tables.Embedded().With(ordinance("county", "ipc-2021/rules",
		rules+"set,cleanout-spacing,90,ft,3,read\ndrop,cleanout-turn-reach,,,,\ndrop,trap-seal-max,,,,\n"+
			"add,zebra,1,in,,read\n"))
	if err != nil {
		t.Fatal(err)
	}
	shelf, err := county.With(ordinance("town", "ipc-2021/rules",
		rules+"set,cleanout-spacing,80,ft,3,read\nadd,trap-seal-max,5,in,3,read\ndrop,trap-seal-min,,,,\n"))
	if err != nil {
		t.Fatal(err)
	}
	ids, err := shelf.Amended()
	if diff := cmp.Diff([]string{"ipc-2021/rules"}, ids); err != nil || diff != "" {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
	if ids, err := tables.Embedded().Amended(); err != nil || ids != nil {
		t.Errorf("unamended: %v, %v", ids, err)
	}
	table, err := shelf.Table(ids[0])
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range table.Changes() {
		was := c.Was.Source().ID
		got = append(got, c.Op+" "+c.Row.Row()+" by "+c.Row.Source().ID+" was "+was)
	}
	want := []string{"set rule cleanout-spacing by town was county", "add rule trap-seal-max by town was ",
		"add rule zebra by county was ",
		"drop rule cleanout-turn-reach by county was ipc-2021", "drop rule trap-seal-min by town was ipc-2021"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
