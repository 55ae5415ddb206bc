package supply

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Waits are graded at 10 and 30 s, each by its row, and what is longer by the last; the
// order of the points in the layout plays no part, so that the hot line may be the first.
func TestHotWaitGrades(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	psi, ft := units.PoundForcePerSquareInch, units.Foot
	// 4 ft of 1/2 in copper of 0.545 in bore hold 48 x pi/4 x 0.545^2 = 11.198 in3.
	held := 11.19757 / 231 * 60 // gpm that clear it in a second
	for _, tc := range []struct {
		seconds float64
		grade   string
		row     string
	}{
		{9.99, "acceptable", "grade acceptable"}, {10.01, "marginal", "grade marginal"},
		{29.99, "marginal", "grade marginal"}, {30.01, "poor", "grade marginal"},
	} {
		d := Data{Source: Source{ID: "main", Pressure: 80 * psi},
			Water: Waters{Cold: units.Fahrenheit(60), Hot: units.Fahrenheit(120), Ambient: units.Fahrenheit(60)},
			Pipe:  LinePipes{Cold: "copper-l", Hot: "copper-l"},
			Points: []Point{{ID: "H", From: "WH", Length: 4 * ft, Size: units.Inch / 2},
				{ID: "WH", From: "main", Length: ft, Size: units.Inch, Device: &Device{Kind: "storage-heater", Loss: psi}}},
			Fixtures: []LayoutFixture{{ID: "L", Hot: "H", Flow: units.Flow(held/tc.seconds) * units.USGallonPerMinute,
				Fixture: tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Public}}}}
		waits, err := sized(t, c, d).HotWater()
		if err != nil || len(waits) != 1 || waits[0].Grade != tc.grade || waits[0].Citation.Row() != tc.row {
			t.Errorf("%v s: %+v, %v", tc.seconds, waits, err)
		}
	}
}

// No flow, no wait: the code gives none for a clothes washer.
func TestHotWaitUnknownFlow(t *testing.T) {
	l := lodge(t)
	d := l.Data()
	d.Fixtures = append(d.Fixtures[:len(d.Fixtures):len(d.Fixtures)],
		LayoutFixture{ID: "CW", Fixture: tables.Fixture{Kind: "clothes-washer", Count: 1, Use: tables.Private}, Cold: "C7",
			Hot: "H2"})
	waits, err := sized(t, mustCode(t, "ipc-2021"), d).HotWater()
	if err != nil {
		t.Fatal(err)
	}
	if w := waits[len(waits)-1]; w.Flow != 0 || w.Wait != 0 || w.Grade != "" || w.Volume == 0 || !w.Citation.IsZero() {
		t.Errorf("%+v", w)
	}
}

func TestHeatLossesInsulated(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.HeatLosses()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, h := range list {
		got[h.Point] = h.Insulated
	}
	if diff := cmp.Diff(map[string]bool{"H1": false, "H2": false, "H3": true, "H4": false, "R1": true}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// A loop is the same whatever the order of its points, the return first among them.
func TestLoopsInAnyOrder(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := loops()
	want, err := sized(t, c, d).Circulations()
	if err != nil {
		t.Fatal(err)
	}
	d = loops()
	d.Points[0], d.Points[3] = d.Points[3], d.Points[0]
	got, err := sized(t, c, d).Circulations()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// What hangs on a line that is kept hot has no pipe to wait for, whatever the tables of
// lengths rest on.
func TestHotLengthOnLoop(t *testing.T) {
	got := findingsOf(t, sized(t, mustCode(t, "ipc-2021"), loops()), "hot-length-energy")
	if len(got) != 2 {
		t.Fatalf("%v", got)
	}
	for i, at := range []string{"A", "B"} {
		if f := got[i]; f.Verdict != tables.Pass || f.Value.String() != "0 m" || f.Reason != "The line at "+at+
			", which is kept hot, serves it." {
			t.Errorf("%v", f)
		}
	}
}

// Either way of the energy code will do, and what meets neither is one question. A public
// lavatory may have 2 ft of 1/2 in pipe or 3 ft of 3/8 in by the table, or 2 fl oz: PEX of
// 3/8 in holds 0.64 fl oz a foot, so 3'-1" of it are too long and hold 1.97 fl oz.
func TestEnergyWays(t *testing.T) {
	ft, in := units.Foot, units.Inch
	for _, c := range []struct {
		size   string
		length units.Length
		want   string
	}{
		{"1/2 in", 2 * ft, "hot-length-energy, if confirmed pass"},
		{"1/2 in", 2*ft + 1, "hot-volume-energy ask authority"},
		{"1/2 in", 20 * ft, "hot-volume-energy ask authority"},
		{"3/8 in", 3 * ft, "hot-length-energy, if confirmed pass"},
		{"3/8 in", 3*ft + in, "hot-volume-energy, if confirmed pass"},
		{"3/8 in", 4 * ft, "hot-volume-energy ask authority"},
	} {
		l := lodgeWith(t, `"id": "H2", "from": "H1", "length": "16 ft"`,
			fmt.Sprintf(`"id": "H2", "from": "H1", "size": %q, "length": "%d"`, c.size, c.length))
		s, err := l.Size(mustCode(t, "ipc-2021"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, rule := range []string{"hot-length-energy", "hot-volume-energy"} {
			for _, f := range findingsOf(t, s, rule) {
				switch {
				case f.Place != "LAV-1":
				case f.IfConfirmed != 0:
					got = append(got, f.Rule+", if confirmed "+f.IfConfirmed.String())
				default:
					got = append(got, f.Rule+" "+f.Verdict.String()+" "+f.SettledBy.String())
				}
			}
		}
		if text := strings.Join(got, "; "); text != c.want {
			t.Errorf("%v of %s: %s, want %s", c.length, c.size, text, c.want)
		}
	}
}

// loops is a heater with two hot lines and a return from the end of each, the second
// three times as long.
func loops() Data {
	const m = units.Metre
	return Data{
		Source: Source{ID: "street", Pressure: 400 * units.Kilopascal},
		Water:  Waters{Cold: units.Celsius(10), Hot: units.Celsius(60), Ambient: units.Celsius(20)},
		Pipe:   LinePipes{Cold: "copper-b88m-b", Hot: "copper-b88m-b", Recirc: "copper-b88m-b"},
		Points: []Point{
			{ID: "WH", From: "street", Length: m, Device: &Device{Kind: "storage-heater", Loss: units.Kilopascal}},
			{ID: "H", From: "WH", Length: 2 * m},
			{ID: "A", From: "H", Length: 10 * m}, {ID: "RA", From: "A", Line: "recirc", Length: 12 * m},
			{ID: "B", From: "H", Length: 30 * m}, {ID: "RB", From: "B", Line: "recirc", Length: 32 * m},
		},
		Fixtures: []LayoutFixture{
			{ID: "basin", Fixture: tables.Fixture{Kind: "lavatory", Count: 4, Use: tables.Public}, Hot: "A"},
			{ID: "showers", Fixture: tables.Fixture{Kind: "shower", Count: 6, Use: tables.Public, Style: "plain"}, Hot: "B"},
		},
		Recirculation: []Loop{{ID: "short", Heater: "WH", Return: "RA", Drop: 2},
			{ID: "long", Heater: "WH", Return: "RB", Drop: 2}},
	}
}

// Returns are sized by the flow that their loops need: the least size within the
// limit, and no less would do, by the drawn layout worked out anew.
func TestReturnsBySize(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	s := sized(t, c, loops())
	list, err := s.Circulations()
	if err != nil {
		t.Fatal(err)
	}
	limit, err := c.VelocityLimit("copper", Recirculated, units.Celsius(60))
	if err != nil {
		t.Fatal(err)
	}
	if i, _ := s.layout.Find("H"); s.At(i).Circulates != list[0].Flow+list[1].Flow || s.At(i).Basis == Recirculates {
		t.Errorf("%v circulate in the common run by %v", s.At(i).Circulates, s.At(i).Basis)
	}
	for k, id := range []string{"RA", "RB"} {
		i, _ := s.layout.Find(id)
		r := s.At(i)
		if s.basis[i] != ByReturnFlow || s.cites[i] != limit.Citation {
			t.Errorf("%s: %v by %v, %v", id, r.Size, s.basis[i], s.cites[i])
		}
		if r.Circulates != list[k].Flow || r.Basis != Recirculates || r.Flow != 0 {
			t.Errorf("%s: %v circulate by %v, %v drawn; %v kept up", id, r.Circulates, r.Basis, r.Flow, list[k].Flow)
		}
		at := r.family.size(r.Size)
		v, err := hydraulics.Velocity(list[k].Flow, r.Bore)
		if err != nil || v > limit.Velocity {
			t.Errorf("%s: %v at %v, limit %v (%v)", id, r.Size, v, limit.Velocity, err)
		}
		if at == 0 {
			t.Fatalf("%s: the smallest size proves nothing", id)
		}
		below, err := hydraulics.Velocity(list[k].Flow, r.family.sizes[at-1].Bore)
		if err != nil || below <= limit.Velocity {
			t.Errorf("%s: %v would do: %v", id, r.family.sizes[at-1].Size, below)
		}
		if text := s.Reason(i); !strings.Contains(text, list[k].ID+" loses") || !strings.Contains(text, "over the limit") ||
			!strings.Contains(text, "m/s") {
			t.Errorf("%s: %s", id, text)
		}
	}
	// By hand: heat of the loop over density, specific heat and the drop.
	w, err := hydraulics.WaterAt(units.Celsius(60))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		if want := float64(x.Heat) / (float64(w.Density) * float64(w.SpecificHeat) * 2); math.Abs(float64(x.Flow)/want-1) > 1e-12 {
			t.Errorf("%s: %v, want %v m3/s", x.ID, x.Flow, want)
		}
	}
	// The run that both loops share loses its heat once.
	losses, err := s.HeatLosses()
	if err != nil {
		t.Fatal(err)
	}
	all := units.Power(0)
	for _, x := range losses {
		all += x.Heat
	}
	if both := list[0].Heat + list[1].Heat; math.Abs(float64(both/all-1)) > 1e-12 {
		t.Errorf("the loops lose %v, their runs %v", both, all)
	}
	if sum := list[0].Share + list[1].Share; math.Abs(sum-1) > 1e-12 || list[1].Share <= list[0].Share {
		t.Errorf("shares %v, %v", list[0].Share, list[1].Share)
	}
	if list[1].Throttle != 0 || math.Abs(float64(list[0].Throttle-(list[1].Head-list[0].Head))) > 1e-12 ||
		list[0].Throttle <= 0 {
		t.Errorf("valves %v, %v at heads %v, %v", list[0].Throttle, list[1].Throttle, list[0].Head, list[1].Head)
	}
	// Left to itself the short loop takes more than its part, and the long one less. Both
	// lose the pump's head then.
	if list[0].Unbalanced <= list[0].Flow || list[1].Unbalanced >= list[1].Flow {
		t.Errorf("without valves %v and %v, with them %v and %v", list[0].Unbalanced, list[1].Unbalanced, list[0].Flow,
			list[1].Flow)
	}
	for k := range list {
		head := 0.0
		for _, i := range s.layout.loopWay(k) {
			q := list[k].Unbalanced
			if s.layout.Point(int(i)).ID == "H" {
				q = list[0].Unbalanced + list[1].Unbalanced
			}
			r, err := s.loopFriction(i, w).Resistance()
			if err != nil {
				t.Fatal(err)
			}
			h, err := r.HeadLoss(q)
			if err != nil {
				t.Fatal(err)
			}
			head += float64(h)
		}
		if math.Abs(head/float64(list[1].Head)-1) > 1e-9 {
			t.Errorf("%s loses %v, the pump adds %v", list[k].ID, head, list[1].Head)
		}
	}
	findings, err := s.Check(CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range findings {
		if f.Rule == "recirculation-balance" {
			n++
			if f.Place != "short" || f.Verdict != tables.Ask {
				t.Errorf("%+v", f)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d loops want a valve, one does", n)
	}
	// Loops alike want none; a metre more on one, and the other wants one.
	for _, longer := range []units.Length{0, units.Metre} {
		d := loops()
		d.Fixtures[1].Fixture = d.Fixtures[0].Fixture
		d.Points[4].Length, d.Points[5].Length = d.Points[2].Length, d.Points[3].Length+longer
		got := findingsOf(t, sized(t, c, d), "recirculation-balance")
		if wanted := longer > 0; wanted != (len(got) == 1) || wanted && got[0].Place != "short" {
			t.Errorf("%v more: %v", longer, got)
		}
	}
}

// A stated flow needs no ambient; a flow that follows from heat does, and the loop is
// asked about. A greater drop needs less flow and never a greater return.
func TestReturnsStated(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := loops()
	d.Water.Ambient = 0
	unknown := sized(t, c, d)
	if got := findingsOf(t, unknown, "recirculation-flow"); len(got) != 1 || got[0].Place != "short" ||
		got[0].Verdict != tables.Ask || !strings.Contains(got[0].Fix, "ambient") {
		t.Errorf("no ambient: %v", got)
	}
	if i, _ := unknown.layout.Find("RA"); unknown.basis[i] != BySmallest || unknown.At(i).Circulates != 0 {
		t.Errorf("no ambient: %v by %v", unknown.At(i).Circulates, unknown.basis[i])
	}
	for i := range d.Recirculation {
		d.Recirculation[i].Flow = 0.3 * units.LitrePerSecond
	}
	s := sized(t, c, d)
	i, _ := s.layout.Find("RA")
	// 0.3 L/s at 3 ft/s (0.9144 m/s) needs a bore of 20.4 mm: 28 mm tube has 25.6, 22 mm 19.8.
	if s.runs[i].Size != 28*units.Millimetre || s.basis[i] != ByReturnFlow {
		t.Errorf("%v by %v", s.runs[i].Size, s.basis[i])
	}
	last := units.Length(math.MaxInt64)
	for _, drop := range []units.TemperatureDifference{0.5, 1, 2, 5, 10} {
		d := loops()
		for k := range d.Recirculation {
			d.Recirculation[k].Drop = drop
		}
		s := sized(t, c, d)
		i, _ := s.layout.Find("RB")
		if s.runs[i].Size > last {
			t.Errorf("drop %v: %v after %v", drop, s.runs[i].Size, last)
		}
		last = s.runs[i].Size
	}
}

// Returns drawn need no flow to be sized by, and so no ambient; one drawn in the
// smallest size there is stays so beside one that is sized.
func TestReturnsDrawn(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	smallest := sized(t, c, loops()).runs[3].family.sizes[0].Size
	d := loops()
	d.Water.Ambient = 0
	d.Points[3].Size, d.Points[5].Size = smallest, smallest
	s := sized(t, c, d)
	if s.runs[3].Size != smallest || s.basis[3] == ByReturnFlow {
		t.Errorf("drawn in %v: %v by %v", smallest, s.runs[3].Size, s.basis[3])
	}
	d = loops()
	d.Points[3].Size = smallest
	s = sized(t, c, d)
	if s.runs[3].Size != smallest || s.basis[3] == ByReturnFlow || s.runs[5].Size <= smallest ||
		s.basis[5] != ByReturnFlow {
		t.Errorf("%v by %v and %v by %v", s.runs[3].Size, s.basis[3], s.runs[5].Size, s.basis[5])
	}
}

// A loop alone takes the flow it is given; of runs equally fast the first is named; a
// fitting counts as its length of pipe.
func TestCirculationAlone(t *testing.T) {
	c := mustCode(t, "ipc-2021")
	d := loops()
	d.Points, d.Fixtures, d.Recirculation = d.Points[:4], d.Fixtures[:1], d.Recirculation[:1]
	d.Recirculation[0].Flow = 0.1 * units.LitrePerSecond
	for i := range d.Points {
		d.Points[i].Size = 28 * units.Millimetre
	}
	one := func() Circulation {
		t.Helper()
		list, err := sized(t, c, d).Circulations()
		if err != nil || len(list) != 1 {
			t.Fatal(list, err)
		}
		return list[0]
	}
	x := one()
	if x.Unbalanced != x.Flow || x.Share != 1 || x.Throttle != 0 || x.At != "H" {
		t.Errorf("%+v", x)
	}
	// 2 + 10 + 12 m, and 6 m of elbows.
	d.Points[2].Fittings = []FittingItem{{Fitting: "elbow", Count: 3, Length: 2 * units.Metre}}
	if y := one(); math.Abs(float64(y.Head/x.Head)-30./24) > 1e-9 || y.Length != x.Length {
		t.Errorf("head %v with 30 m, %v with 24 m", y.Head, x.Head)
	}
}

// A code without a row for water that flows without end goes by practice, and the
// finding asks.
func TestReturnByPractice(t *testing.T) {
	s := sized(t, mustCode(t, "en806-3"), loops())
	i, _ := s.layout.Find("RA")
	if s.basis[i] != ByReturnFlow || s.cites[i].Table() != "materials/supply-velocity" {
		t.Errorf("%v, %v", s.basis[i], s.cites[i])
	}
}

// DIN 1988-300 and its kin: three litres stand in 3 / (pi/4 x 0.20^2) dm of pipe with a bore of
// 20 mm, 9.549 m; a loop that loses heat comes back at 55 degC or more.
func TestHotByHygiene(t *testing.T) {
	room := func(length units.Length, drop units.TemperatureDifference, hot float64) *Sizing {
		mm := units.Millimetre
		d := Data{Building: "residential", Source: Source{ID: "main", Pressure: 4 * units.Bar, Static: 4 * units.Bar},
			Water: Waters{Cold: units.Celsius(10), Hot: units.Celsius(hot), Ambient: units.Celsius(20)},
			Pipe:  LinePipes{Cold: "copper-en1057", Hot: "copper-en1057", Recirc: "copper-en1057"},
			Points: []Point{{ID: "A", From: "main", Length: units.Metre, Size: 22 * mm},
				{ID: "WH", From: "A", Length: units.Metre, Size: 22 * mm,
					Device: &Device{Kind: "storage-heater", Loss: units.Bar / 10}},
				{ID: "H", From: "WH", Length: 10 * units.Metre, Size: 22 * mm}, {ID: "B", From: "H", Length: length, Size: 22 * mm},
				{ID: "R", From: "H", Line: "recirc", Length: 10 * units.Metre, Size: 15 * mm}},
			Fixtures:      []LayoutFixture{{ID: "S", Cold: "A", Hot: "B", Fixture: tables.Fixture{Kind: "shower", Count: 1}}},
			Recirculation: []Loop{{ID: "Z", Heater: "WH", Return: "R", Drop: drop}}}
		d.Stock = []Stock{{Pipe: "copper-en1057", Sizes: []units.Length{15 * mm, 22 * mm}, Walls: []units.Length{mm, mm}}}
		return sized(t, mustCode(t, "din1988-300"), d)
	}
	of := func(s *Sizing, rule string) string {
		if got := findingsOf(t, s, rule); len(got) == 1 {
			return fmt.Sprint(got[0].Verdict, " ", got[0].IfConfirmed)
		}
		return ""
	}
	for _, tc := range []struct {
		length units.Length
		drop   units.TemperatureDifference
		hot    float64
		volume string // recalled, so that only what would fail asks
		warm   string // read
	}{
		{units.Metres(9.54), 5, 60, "", "pass"}, {units.Metres(9.56), 5, 60, "ask fail", "pass"},
		{units.Metre, 5.01, 60, "", "fail"}, {units.Metre, 5, 65, "", "pass"},
	} {
		s := room(tc.length, tc.drop, tc.hot)
		volume, warm := of(s, "hot-volume"), of(s, "recirculation-temperature")
		if volume != tc.volume || !strings.HasPrefix(warm, tc.warm) {
			t.Errorf("%v, %v less than %v: volume %q, loop %q", tc.length, tc.drop, tc.hot, volume, warm)
		}
		margin := findingsOf(t, s, "recirculation-temperature")[0].Margin
		if want := (units.TemperatureDifference(tc.hot-55) - tc.drop); margin.String() != s.Analyse().system().difference(want).String() {
			t.Errorf("%v less than %v: %v over 55 degC, want %v", tc.drop, tc.hot, margin, want)
		}
	}
	// The same method by default as when it is asked for, and another when that is.
	s := room(units.Metre, 5, 60)
	for method, same := range map[hydraulics.LossMethod]bool{hydraulics.DarcyWeisbach: true,
		hydraulics.HazenWilliams: false} {
		a, err := s.layout.Analyse(s.code, Options{Method: method})
		if err != nil || (a.runs[0].Friction == s.runs[0].Friction) != same {
			t.Errorf("%v: %v, by default %v, %v", method, a.runs[0].Friction, s.runs[0].Friction, err)
		}
	}
	// A code without these rules says nothing by them.
	other := func(id string) *Sizing { return sized(t, mustCode(t, id), s.layout.Data()) }
	if s := other("ipc-2021"); of(s, "hot-volume") != "" || of(s, "recirculation-temperature") != "" {
		t.Error("the IPC has no such rules")
	}
}
