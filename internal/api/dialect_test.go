package api

import (
	"reflect"
	"slices"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// oneSided are the verbs that one half has and the other has not, with the reason.
var oneSided = map[string]string{
	"Layout.SizeEuropean":        "drains: EN 12056-2 sizes by flow and is no code in fixture units",
	"Layout.SizeEuropeanContext": "drains: the same",
	"Layout.Analyse":             "water: lines all drawn are worked out without being sized",
	"Layout.AnalyseContext":      "water: the same",
	"Layout.Cheapest":            "water: the sizes of a drain leave no choice",
	"Layout.CheapestContext":     "water: the same",
	"Layout.UniformLoss":         "water: a method of pressure",
	"Layout.UniformLossContext":  "water: the same",
	"Layout.Name":                "water: drains have Data().Job",
	"Layout.Parent":              "water: drains have Point(i).To",
	"Layout.Service":             "water: cold and hot are told apart along the lines; a system of drains says its kind",
	"Layout.FixturesAt":          "water: a fixture has two ports, a drain one",

	"Sizing.TakeOffContext": "drains: fittings are inferred; that of a million runs of water is there in a third of a second",
	"Sizing.FixtureLoad":    "drains: the load of a point; water has Fixtures",
	"Sizing.European":       "drains: loads and flows by EN 12056-2",
	"Sizing.Levels":         "drains: grade and cover; lines under pressure have none to keep",
	"Sizing.Total":          "drains: the load of each of several systems",
	"Sizing.Vent":           "drains: water has no vents",
	"Sizing.Vents":          "drains: water has no vents",
	"Sizing.Limit":          "drains: depth and grade",
	"Sizing.AsLaid":         "drains: inverts; water lines are held to no grade",
	"Sizing.Limits":         "drains: depth and grade",
	"Sizing.Fixes":          "drains: a finding of water names the size that passes, which sizing found",
	"Sizing.FixAll":         "drains: a water layout that is sized has no run to mend",
	"Sizing.Ties":           "drains: stubs are set from the walls",

	"Sizing.Critical": "water: pressure",
	"Sizing.Fixtures": "water: pressure",
	"Sizing.Short":    "water: pressure",
	"Sizing.Street":   "water: pressure",
	"Layout.Place":    "water: a place may follow from bearings on the way; drains have At",
	"Layout.Rise":     "water: height is asked for with lengths; drains have grades",
	"Layout.Level":    "water: drains have Levels, which need sizes",

	"Sizing.ByLoad":              "water: tables of loads by pressure and length",
	"Sizing.Analyse":             "water: pressures at drawn sizes",
	"Sizing.Budget":              "water: pressure",
	"Sizing.Working":             "water: pressure",
	"Sizing.Reason":              "water: drains have RunSize.Decided",
	"Sizing.Circulations":        "water: hot lines",
	"Sizing.CirculationsContext": "water: the same",
	"Sizing.HeatLosses":          "water: hot lines",
	"Sizing.HotWater":            "water: hot lines",
	"Sizing.Ring":                "water: drains have no rings",
	"Sizing.RingContext":         "water: the same",
	"Sizing.LinkPipe":            "water: rings",
	"Sizing.Sleeves":             "water: lines pulled through sleeves",
	"Sizing.Manifolds":           "water: home runs",
	"Sizing.Surges":              "water: pressure",
}

// TestOneDialect sets the methods of both halves side by side. A verb that one has and the
// other lacks needs a reason above; one that both have takes as much and gives as much.
func TestOneDialect(t *testing.T) {
	used := map[string]bool{}
	for name, half := range map[string][2]reflect.Type{
		"Layout": {reflect.TypeFor[*drains.Layout](), reflect.TypeFor[*supply.Layout]()},
		"Sizing": {reflect.TypeFor[*drains.Sizing](), reflect.TypeFor[*supply.Sizing]()},
	} {
		for k, typ := range half {
			for i := range typ.NumMethod() {
				m := typ.Method(i)
				other, both := half[1-k].MethodByName(m.Name)
				verb := name + "." + m.Name
				switch reason := oneSided[verb]; {
				case !both && reason == "":
					t.Errorf("%v has %s and %v has not", typ, m.Name, half[1-k])
				case both && reason != "":
					t.Errorf("both halves have %s, which is listed as of one", verb)
				case both && (m.Type.NumIn() != other.Type.NumIn() || m.Type.NumOut() != other.Type.NumOut()):
					t.Errorf("%s is %v and %v", verb, m.Type, other.Type)
				}
				used[verb] = true
			}
		}
	}
	for verb := range oneSided {
		if !used[verb] {
			t.Errorf("%s is listed and neither half has it", verb)
		}
	}
}

// TestCodesSayWhatTheyAre: a form can be filled from the list of codes of either half.
func TestCodesSayWhatTheyAre(t *testing.T) {
	drainage, err := dwv.Codes(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	water, err := supply.Codes(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range slices.Concat(drainage, water) {
		if c.ID == "" || c.Title == "" || c.Edition == "" || len(c.Covers) == 0 {
			t.Errorf("%+v", c)
		}
	}
}
