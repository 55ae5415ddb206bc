package dwv_test

import (
	"slices"
	"testing"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// What a form offers can be stated: materials with their titles, sizes of each, fittings.
func TestPickLists(t *testing.T) {
	c := code(t, "ipc-2021")
	materials, err := c.Materials()
	if err != nil || !slices.Contains(materials, tables.Choice{ID: "pvc-dwv",
		Label: "PVC drain, waste and vent pipe, solid wall"}) {
		t.Errorf("%v, %v", materials, err)
	}
	for _, m := range materials {
		if m.ID == "copper-l" {
			t.Error("water tube is offered for drains")
		}
		if sizes, err := c.Sizes(m.ID); err != nil || len(sizes) == 0 || !slices.IsSorted(sizes) {
			t.Errorf("%s: %v, %v", m.ID, sizes, err)
		}
	}
	if sizes, err := c.Sizes("pvc-dwv"); err != nil || !slices.Contains(sizes, 3*units.Inch) {
		t.Errorf("%v, %v", sizes, err)
	}
	if _, err := c.Sizes("copper-l"); err == nil {
		t.Error("sizes of a water tube as of drains")
	}
	if list := c.Fittings(); !slices.ContainsFunc(list, func(f tables.Choice) bool { return f.ID == "wye" }) {
		t.Errorf("%v", list)
	}
	list, err := c.NotJudged()
	if err != nil || len(list) == 0 {
		t.Errorf("%v, %v", list, err)
	}
	for _, u := range list {
		if u.Why == "" || len(u.Rows) == 0 || u.Family == "water lines" {
			t.Errorf("%+v", u)
		}
	}
}
