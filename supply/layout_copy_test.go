package supply

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/units"
)

// wipe puts nothing in place of all that data lead to.
func wipe(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			wipe(v.Elem())
			v.Elem().SetZero()
		}
	case reflect.Slice:
		for i := range v.Len() {
			wipe(v.Index(i))
			v.Index(i).SetZero()
		}
	case reflect.Struct:
		for i := range v.NumField() {
			wipe(v.Field(i))
		}
	}
}

// richLayout has something of everything that a layout can hold.
func richLayout(t *testing.T) LayoutData {
	d := lodge(t).data.clone()
	d.Links = []Link{{ID: "K", Between: [2]string{"C4", "C5"}, Length: units.Metre, Size: units.Inch, Fittings: []FittingItem{{Fitting: "elbow-90", Count: 2}}}}
	d.Stock = []Stock{{Pipe: "copper-l", Sizes: []units.Length{units.Inch}, Walls: []units.Length{units.Millimetre}}}
	d.Points[2].Device = &Device{Kind: "other", Curve: []CurvePoint{{0, 1}, {1, 2}}}
	d.Points[3].Insulation, d.Points[3].Beside = &Insulation{Thickness: units.Inch, Conductivity: 0.04}, &Separation{Clear: units.Foot}
	d.Test = &PressureTest{Pressure: units.Megapascal, Medium: "water"}
	return d
}

// What is done to the data after a layout was made of them changes none of it.
func TestLayoutIsItsOwn(t *testing.T) {
	d := richLayout(t)
	l, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	before, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	wipe(reflect.ValueOf(&d).Elem())
	if after, err := json.Marshal(l); err != nil || string(after) != string(before) {
		t.Errorf("the layout is now %s (%v)", after, err)
	}
}

// A layout is read by encoding/json as by ParseLayout, or not at all.
func TestLayoutByJSON(t *testing.T) {
	d := richLayout(t)
	want, err := NewLayout(d)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var l Layout
	var data LayoutData
	if err := json.Unmarshal(text, &l); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &data); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.data, l.data) + cmp.Diff(want.data, data); diff != "" {
		t.Error(diff)
	}
	if _, found := l.Find("C4"); !found || l.Len() != len(d.Points) || l.Parent(1) < 0 {
		t.Error("the layout was read and not prepared")
	}
	for _, bad := range []string{`{}`, `null`, strings.Replace(string(text), `"points"`, `"dots"`, 1), strings.Replace(string(text), `"from":"`, `"from":"not-`, 1)} {
		if err := json.Unmarshal([]byte(bad), &l); err == nil || cmp.Diff(want.data, l.data) != "" {
			t.Errorf("%.80s: %v, and the layout is now %+v", bad, err, l.data)
		}
	}
	if err := json.Unmarshal([]byte(`{"points": [{"id": "A", "size": 1}]}`), &data); err == nil || cmp.Diff(want.data, data) != "" {
		t.Errorf("%v, and the data are now %+v", err, data)
	}
}

// A loss stated as zero is stated: no table answers in its place, and it is written and
// read again.
func TestNoLossIsStated(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	softener := func(loss string) Device {
		l, err := ParseLayout("x", []byte(`{"source": {"id": "M", "pressure": "50 psi"}, "water": {"cold": "50 degF"}, "pipe": {"cold": "copper-l"},
			"points": [{"id": "A", "from": "M", "length": "9 ft", "device": {"kind": "softener"`+loss+`}}]}`))
		if err != nil {
			t.Fatal(err)
		}
		var again Layout
		if text, err := json.Marshal(l); err != nil || json.Unmarshal(text, &again) != nil || cmp.Diff(l.data, again.data) != "" {
			t.Errorf("%s: %v: %s", loss, err, cmp.Diff(l.data, again.data))
		}
		return *l.data.Points[0].Device
	}
	none, unsaid := softener(`, "loss": "0 psi"`), softener("")
	cost, err := c.DeviceLoss(&none, 1e-4)
	if want := (DeviceCost{Stated: true}); err != nil || cost != want {
		t.Errorf("no loss: %+v, %v", cost, err)
	}
	if cost, err = c.DeviceLoss(&unsaid, 1e-4); err != nil || cost.Stated || cost.Loss == 0 {
		t.Errorf("loss not stated: %+v, %v", cost, err)
	}
	none.Loss = 1
	if none.check() == nil {
		t.Error("no loss, and one of 1 Pa")
	}
}
