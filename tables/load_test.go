package tables_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

const mixed = `# id: town/drain
# title: Drains
# source: code
# key: size, grade
size[in],grade[in/ft],max_load[dfu],closets[1],one_in[1:n],roof,reach[ft],src,status
1-1/4,0.25,0.5,2,48,yes,5,,read
3,1/4,-,,48,no,unlimited,,read
4,0.25,,0,50,no,,,read
`

func TestLoad(t *testing.T) {
	type row struct {
		Size    units.Length              `table:"size"`
		Grade   slope.Grade               `table:"grade"`
		Load    tables.Cell[float64]      `table:"max_load[dfu]"`
		Closets tables.Cell[int]          `table:"closets"`
		OneIn   slope.Grade               `table:"one_in"`
		Roof    bool                      `table:"roof"`
		Reach   tables.Cell[units.Length] `table:"reach"`
		Printed string                    `table:"size"`
		Missing tables.Cell[slope.Grade]  `table:"cover[in],optional"`
		Other   int
	}
	rows, err := tables.Load[row](shelfOf(mixed), "town/drain")
	if err != nil {
		t.Fatal(err)
	}
	quarter, flat := slope.PerFoot(units.Inch/4), slope.OneIn(50)
	want := []row{
		{Size: units.Inch + units.Inch/4, Grade: quarter, Load: tables.Cell[float64]{Kind: tables.Value, Value: 0.5},
			Closets: tables.Cell[int]{Kind: tables.Value, Value: 2}, OneIn: quarter, Roof: true,
			Reach: tables.Cell[units.Length]{Kind: tables.Value, Value: 5 * units.Foot}, Printed: "1-1/4"},
		{Size: 3 * units.Inch, Grade: quarter, Load: tables.Cell[float64]{Kind: tables.NotPermitted}, OneIn: quarter,
			Reach: tables.Cell[units.Length]{Kind: tables.Unlimited}, Printed: "3"},
		{Size: 4 * units.Inch, Grade: quarter, Closets: tables.Cell[int]{Kind: tables.Value}, OneIn: flat,
			Printed: "4"},
	}
	var got []row
	for i := range rows.Len() {
		got = append(got, *rows.At(i))
	}
	if diff := cmp.Diff(want, got, cmp.Comparer(func(a, b slope.Grade) bool { return a == b })); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if v, ok := got[0].Closets.Get(); v != 2 || !ok {
		t.Errorf("Get gives %v %v", v, ok)
	}
}

func loadErr[T any](t *testing.T, name string, cause error) {
	t.Helper()
	_, err := tables.Load[T](shelfOf(mixed), "town/drain")
	if !errors.Is(err, cause) {
		t.Errorf("%s: got %v, want %v", name, err, cause)
	}
}

func TestLoadRefuses(t *testing.T) {
	loadErr[int](t, "not a struct", tables.ErrType)
	loadErr[struct {
		Size float64 `table:"size"`
	}](t, "bare number without its unit", tables.ErrUnit)
	loadErr[struct {
		Size float64 `table:"size[mm]"`
	}](t, "bare number in another unit", tables.ErrUnit)
	loadErr[struct {
		Size units.Pressure `table:"size"`
	}](t, "a pressure from inches", tables.ErrCell)
	loadErr[struct {
		Size units.Length `table:"cover"`
	}](t, "no such column", tables.ErrColumn)
	loadErr[struct {
		Load float64 `table:"max_load[dfu]"`
	}](t, "not permitted where a value must stand", tables.ErrCell)
	loadErr[struct {
		Reach units.Length `table:"reach"`
	}](t, "unlimited where a value must stand", tables.ErrCell)
	loadErr[struct {
		Load tables.Cell[int] `table:"max_load[dfu]"`
	}](t, "a fraction in an integer", tables.ErrCell)
	loadErr[struct {
		Closets tables.Cell[bool] `table:"closets"`
	}](t, "a number in a yes or no", tables.ErrCell)
	loadErr[struct {
		Size []byte `table:"size"`
	}](t, "a type that cannot be read", tables.ErrType)
	loadErr[struct {
		size units.Length `table:"size"`
	}](t, "an unexported field", tables.ErrType)
	loadErr[struct {
		OneIn int8 `table:"one_in[1:n]"`
		Load  int8 `table:"wide"`
	}](t, "no column", tables.ErrColumn)
	if _, err := tables.Load[struct {
		N int8 `table:"n"`
	}](shelfOf("# id: town/drain\n# title: N\n# source: code\n# key: n\nn[1],src,status\n300,,read\n"),
		"town/drain"); !errors.Is(err, tables.ErrCell) {
		t.Errorf("300 in an int8: %v", err)
	}
	rows, err := tables.Load[struct {
		OneIn uint8 `table:"one_in[1:n]"`
	}](shelfOf(mixed), "town/drain")
	if err != nil || rows.At(2).OneIn != 50 {
		t.Errorf("50 in a uint8: %v", err)
	}
	loadErr[struct {
		OneIn tables.Cell[uint8] `table:"one_in[1:n]"`
		Roof  int8               `table:"roof"`
	}](t, "a word in a number", tables.ErrCell)
}

// TestLoadFaultsTogether checks that every bad cell comes back, with its place.
func TestLoadFaultsTogether(t *testing.T) {
	_, err := tables.Load[struct {
		Load  float64      `table:"max_load[dfu]"`
		Reach units.Length `table:"reach"`
	}](shelfOf(mixed), "town/drain")
	want := `town/drain.csv:7:7: max_load: bad cell: is not permitted where a value must stand; a field for it is a Cell
town/drain.csv:8:8: max_load: bad cell: is blank where a value must stand; a field for it is a Cell
town/drain.csv:7:16: reach: bad cell: is unlimited where a value must stand; a field for it is a Cell
town/drain.csv:8:17: reach: bad cell: is blank where a value must stand; a field for it is a Cell`
	if err == nil {
		t.Fatal("no error")
	}
	if diff := cmp.Diff(want, err.Error()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestLoadEmbeddedCell: a struct that embeds a Cell is not one.
func TestLoadEmbeddedCell(t *testing.T) {
	type more struct {
		tables.Cell[float64]
		Extra int
	}
	type row struct {
		Load more `table:"max_load[dfu]"`
	}
	if _, err := tables.Load[row](shelfOf(drains), "town/drain"); !errors.Is(err, tables.ErrType) {
		t.Errorf("got %v", err)
	}
}

const ruleHead = "# id: town/rules\n# title: Rules\n# source: code\n# key: rule\n" +
	"rule,value,unit,section,what,note,src,status\n"

func TestRules(t *testing.T) {
	shelf := shelfWithRules(ruleHead +
		"closets,3,1,12,closets on a drain,,,read\nreach,unlimited,,,reach,,,practice\n" +
		"reduction,-,,9,a smaller pipe downstream,,page,read2\nsize,2,in,4,least size,,,read\n" +
		"vented,yes,,5,vented,,,memory\n")
	rs, err := shelf.Rules("town")
	if err != nil {
		t.Fatal(err)
	}
	size, cite, err := tables.RuleValue[units.Length](rs, "size")
	if err != nil || size != 2*units.Inch || cite.Section() != "4" {
		t.Errorf("size %v %v %v", size, cite, err)
	}
	if n, _, err := tables.RuleValue[int](rs, "closets"); n != 3 || err != nil {
		t.Errorf("closets %v %v", n, err)
	}
	if ok, c, err := tables.RuleValue[bool](rs, "vented"); !ok || err != nil || c.Status() != tables.Memory {
		t.Errorf("vented %v %v", ok, err)
	}
	if r, ok := rs.Rule("reduction"); !ok || r.Kind != tables.NotPermitted || r.String() != "not permitted" ||
		r.Cite.Source().ID != "page" {
		t.Errorf("reduction %+v", r)
	}
	if r, ok := rs.Rule("size"); !ok || r.String() != "2 in" || r.What != "least size" {
		t.Errorf("size %+v", r)
	}
	for _, id := range []string{"reach", "reduction", "vented"} {
		if _, _, err := tables.RuleValue[units.Length](rs, id); err == nil {
			t.Errorf("%s read as a length", id)
		}
	}
	if _, _, err := tables.RuleValue[float64](rs, "size"); !errors.Is(err, tables.ErrUnit) {
		t.Errorf("inches read as a bare number: %v", err)
	}
	if _, _, err := tables.RuleValue[units.Length](rs, "cover"); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	if _, err := shelf.Rules("city"); !errors.Is(err, tables.ErrNotFound) {
		t.Errorf("got %v", err)
	}
	if _, err := shelfWithRules(ruleHead + "vented,yes,in,,,,,read\n").Rules("town"); !errors.Is(err, tables.ErrUnit) {
		t.Errorf("a word in inches: %v", err)
	}
}
