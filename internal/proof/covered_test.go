package proof

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// TestCodesOfREADME: the codes under which the README says that layouts are sized are
// those under which a basin can be.
func TestCodesOfREADME(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	named := func(after, before string) (ids []string) {
		_, rest, _ := strings.Cut(string(text), after)
		list, _, ok := strings.Cut(rest, before)
		if !ok {
			t.Fatalf("README says nothing between %q and %q", after, before)
		}
		for _, m := range regexp.MustCompile("`([a-z0-9-]+)`").FindAllStringSubmatch(list, -1) {
			ids = append(ids, m[1])
		}
		return ids
	}
	var drains, water []string
	for _, id := range sets(t) {
		if drainsSize(id) {
			drains = append(drains, id)
		}
		if waterSizes(id) {
			water = append(water, id)
		}
	}
	compare := func(sentence string, got, want []string) {
		for _, id := range want {
			if !slices.Contains(got, id) {
				t.Errorf("README.md, %q: add `%s`, a code of the shelf that sizes a basin", sentence, id)
			}
		}
		for _, id := range got {
			if !slices.Contains(want, id) {
				t.Errorf("README.md, %q: take out `%s`, under which no basin can be sized", sentence, id)
			}
		}
		if len(got) == len(want) && !slices.Equal(got, want) && slices.Equal(slices.Sorted(slices.Values(got)), want) {
			t.Errorf("README.md, %q: name the codes in the order %v", sentence, want)
		}
	}
	compare("Drainage layouts are sized under", named("Drainage layouts are sized under", "EN 12056-2"), drains)
	compare("water layouts under", named("water layouts under", "."), water)
}

// sets returns the sets of the shelf.
func sets(t *testing.T) (out []string) {
	t.Helper()
	ids, err := tables.Embedded().IDs()
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatalf("the shelf does not load, so nothing is said of its codes: %v", err)
		}
	}
	for _, id := range ids {
		set, _, _ := strings.Cut(id, "/")
		if !slices.Contains(out, set) {
			out = append(out, set)
		}
	}
	return out
}

// drainsSize tells whether a run that carries a basin or a closet is sized under a code.
func drainsSize(id string) bool {
	code, err := dwv.LoadCode(tables.Embedded(), id)
	if err != nil {
		return false
	}
	for _, fixture := range []string{`"fixture": "lavatory"`, `"fixture": "lavatory", "size": "1-1/4 in"`} {
		l, err := drains.Parse("basin", fmt.Appendf(nil, `{"finished_floor": "3 m", "systems": [{"id": "s", "kind": "soil", "outlet": {"id": "O", "kind": "sewer", "invert": "1 m"},
			"points": [{"id": "P", "to": "O", "run": {"length": "2 m", "grade": "1/4 in/ft"}, "fixture": {%s, "use": "private"}}]}]}`, fixture), code)
		if err != nil {
			continue
		}
		s, err := l.Size(code, drains.Options{})
		if err == nil && s.At(0).Problem == "" {
			return true
		}
	}
	return false
}

// waterSizes tells whether a line to two basins is sized under a code.
func waterSizes(id string) bool {
	code, err := supply.LoadCode(tables.Embedded(), id)
	if err != nil {
		return false
	}
	l, err := supply.Parse("basins", []byte(`{"name": "basins", "building": "residential", "source": {"id": "s", "pressure": "400 kPa"}, "water": {"cold": "10 degC"}, "pipe": {"cold": "copper-l"},
		"points": [{"id": "A", "from": "s", "length": "5 m"}], "fixtures": [{"id": "F", "fixture": "lavatory", "use": "private", "count": 2, "cold": "A"}]}`))
	if err != nil {
		return false
	}
	_, err = l.Size(code, supply.Options{})
	return err == nil
}
