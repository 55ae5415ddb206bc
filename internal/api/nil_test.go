package api

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/tables"
)

// handles are the types that are made by a function or a method alone.
var handles = []reflect.Type{
	reflect.TypeFor[*dwv.Code](), reflect.TypeFor[*en12056.Standard](), reflect.TypeFor[*supply.Code](),
	reflect.TypeFor[*supply.PipeFamily](),
	reflect.TypeFor[*drains.Layout](), reflect.TypeFor[*drains.Sizing](), reflect.TypeFor[*drains.Levels](),
	reflect.TypeFor[*supply.Layout](), reflect.TypeFor[*supply.Analysis](), reflect.TypeFor[*supply.Sizing](),
	reflect.TypeFor[*hydraulics.Resistance](), reflect.TypeFor[*hydraulics.LossCurve](),
	reflect.TypeFor[*simultaneous.Flow](), reflect.TypeFor[*slope.Profile](),
	reflect.TypeFor[*tables.Shelf](), reflect.TypeFor[*tables.RuleSet](),
}

// TestNothingMade calls every method of what nobody made, nil and zero, indexes being 0: it
// answers with nothing or with an error, and never panics.
func TestNothingMade(t *testing.T) {
	for _, typ := range handles {
		for _, v := range []reflect.Value{reflect.Zero(typ), reflect.New(typ.Elem())} {
			for i := range typ.NumMethod() {
				m := typ.Method(i)
				name := fmt.Sprintf("%v.%s of %v", typ, m.Name, map[bool]string{true: "nil", false: "zero"}[v.IsNil()])
				if v.IsNil() && typ.Elem().NumMethod() > 0 && valueMethod(typ, m.Name) {
					continue
				}
				callZero(t, name, v.Method(i))
			}
		}
	}
}

// valueMethod tells whether a method is of the value: Go itself panics on a nil pointer.
func valueMethod(pointer reflect.Type, name string) bool {
	_, ok := pointer.Elem().MethodByName(name)
	return ok
}

// callZero calls f with zero arguments. An error it may return must be there.
func callZero(t *testing.T, name string, f reflect.Value) {
	t.Helper()
	defer func() {
		if p := recover(); p != nil {
			t.Errorf("%s panics: %v", name, p)
		}
	}()
	typ := f.Type()
	var args []reflect.Value
	for i := range typ.NumIn() {
		if typ.IsVariadic() && i == typ.NumIn()-1 {
			args = append(args, reflect.Zero(typ.In(i).Elem())) // a nil code, say
			continue
		}
		in := reflect.Zero(typ.In(i))
		if typ.In(i).String() == "context.Context" {
			in = reflect.ValueOf(t.Context())
		}
		args = append(args, in)
	}
	out := f.Call(args)
	writes := strings.Contains(name, ".Marshal")                                  // nothing
	adds := strings.Contains(name, ".Loads ") || strings.Contains(name, ".Load ") // no fixtures
	outlet := name == "*slope.Profile.At of zero"                                 // a line without a reach has its outlet
	if n := len(out); n > 0 && out[n-1].Type() == reflect.TypeFor[error]() && out[n-1].IsNil() && !writes && !adds && !outlet {
		t.Errorf("%s returns no error", name)
	}
}

// TestNoArguments calls every function that takes a code or a shelf without one.
func TestNoArguments(t *testing.T) {
	for name, f := range map[string]any{
		"tables.Load": tables.Load[struct{}], "tables.LoadTable": tables.LoadTable[struct{}],
		"tables.RuleValue": tables.RuleValue[int],
		"dwv.LoadCode":     dwv.LoadCode, "dwv.Codes": dwv.Codes, "dwv.DwellingFlow": dwv.DwellingFlow,
		"dwv.FixtureKindsOn": dwv.FixtureKindsOn, "dwv.ManningRoughness": dwv.ManningRoughness,
		"drains.New": drains.New, "drains.Parse": drains.Parse, "en12056.LoadStandard": en12056.LoadStandard,
		"supply.LoadCode": supply.LoadCode, "supply.Codes": supply.Codes, "supply.PeakFlowOfSum": supply.PeakFlowOfSum,
		"supply.HunterFixtures": supply.HunterFixtures, "supply.EfficientFixtures": supply.EfficientFixtures,
		"supply.BurnTimes": supply.BurnTimes, "supply.New": supply.New, "supply.Parse": supply.Parse,
	} {
		callZero(t, name, reflect.ValueOf(f))
	}
}
