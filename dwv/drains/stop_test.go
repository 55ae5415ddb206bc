package drains

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/patience"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestOneSystemStops: one system of 2500 points that is called off while it is sized says in which of its passes,
// or after how many points of one, each in turn: by fixture units five passes and eight more, in two of which it
// looks up after 1000 and 2000 points; by EN 12056-2 six and three, and between them 2500 points at once.
func TestOneSystemStops(t *testing.T) {
	d := &Data{FinishedFloor: 100 * ft}
	sys := System{ID: "soil", Kind: Soil, Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 90 * ft}}
	for i := range 2500 {
		sys.Points = append(sys.Points, Point{ID: fmt.Sprint("L", i), To: "O",
			Fixture: &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private},
			Run:     Run{Length: 4 * ft, Grade: slope.PerFoot(in / 4), Size: 2 * in}})
	}
	d.Systems = []System{sys}
	l := mustNew(t, d)
	standard, err := en12056.LoadStandard(tables.Embedded())
	if err != nil {
		t.Fatal(err)
	}
	passes := func(from, to, of int) (list []string) {
		for k := from; k < to; k++ {
			list = append(list, fmt.Sprintf("size: stopped in system 1 of 1, after %d of %d passes: context canceled", k, of))
		}
		return list
	}
	const begun = "size: stopped in system 1 of 1: context canceled"
	points := func(in string, k ...int) (list []string) {
		for _, n := range k {
			list = append(list, fmt.Sprintf("size: stopped%s after %d of 2500 points: context canceled", in, n))
		}
		return list
	}
	for name, c := range map[string]struct {
		size func(context.Context) (*Sizing, error)
		want []string
	}{
		"fixture units": {
			func(ctx context.Context) (*Sizing, error) {
				return l.SizeContext(ctx, mustCode(t, "ipc-2021"), Options{})
			},
			slices.Concat([]string{begun}, passes(1, 5, 5), points(" in system 1 of 1,", 1000, 2000), // as loads are summed
				[]string{begun}, passes(1, 5, 8), points(" in system 1 of 1,", 1000, 2000), passes(5, 8, 8)), // as runs are sized
		},
		"EN 12056-2": {
			func(ctx context.Context) (*Sizing, error) {
				return l.SizeEuropeanContext(ctx, standard, EuropeanOptions{})
			},
			slices.Concat([]string{begun}, passes(1, 6, 6), points("", 0, 1000, 2000), []string{begun}, passes(1, 3, 3)),
		},
	} {
		want := c.want
		for after, said := range want {
			ctx := patience.Of(int64(after))
			s, err := c.size(ctx)
			if !errors.Is(err, context.Canceled) || s != nil || err.Error() != said {
				t.Errorf("%s: after %d questions: %v, want %s", name, after, err, said)
			}
		}
		ctx := patience.Of(int64(len(want)))
		if s, err := c.size(ctx); err != nil || s.Len() != 2500 {
			t.Errorf("%s: after %d questions it still asks: %v", name, len(want), err)
		}
	}
}

// TestDrawingStops: drawings that are called off, before or anywhere on their way, are none and say how far they
// were; left to end they are those without a context. One system of 1200 points has places, 1100 vents and 1100 stubs
// beside a wall, the other of 1200 none: of each plan, way, isometric and list of vents the context is asked at 0 and
// at 1000, and of stubs at each.
func TestDrawingStops(t *testing.T) {
	d := &Data{FinishedFloor: 100 * ft, Walls: []Wall{{ID: "W", From: Position{Y: 3 * ft}, To: Position{X: 9000 * ft,
		Y: 3 * ft}, Thickness: 6 * in}}}
	for _, id := range []string{"soil", "waste"} {
		out := Outlet{ID: id + " out", Kind: ToSewer, Invert: 60 * ft}
		if id == "soil" {
			out.At = &Position{}
		}
		sys, to := System{ID: id, Kind: Soil, Outlet: out}, out.ID
		for i := range 1200 {
			p := Point{ID: fmt.Sprint(id, i), To: to, Run: Run{Length: 4 * ft, Grade: slope.PerFoot(in / 100)}}
			if id == "soil" {
				p.Run.Bearing = Degrees(270)
			}
			if id == "soil" && i < 1100 {
				p.Fixture = &tables.Fixture{Kind: "lavatory", Count: 1, Use: tables.Private}
				d.Vents = append(d.Vents, Vent{ID: fmt.Sprint("V", i), Kind: VentIndividual, From: p.ID,
					Terminal: &Terminal{AboveRoof: ft}, Runs: []VentRun{{Length: 60 * ft, Direction: VentUp}}})
			}
			sys.Points, to = append(sys.Points, p), p.ID
		}
		d.Systems = append(d.Systems, sys)
	}
	s, err := mustNew(t, d).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	whole := patience.Of(1 << 40)
	want, err1 := s.Draw(DrawOptions{})
	got, err2 := s.DrawContext(whole, DrawOptions{})
	if err := errors.Join(err1, err2); err != nil || !reflect.DeepEqual(want, got) {
		t.Fatalf("drawn otherwise within a context: %v", err)
	}
	asked, all := whole.Asked(), ""
	for after := int64(0); after < asked; after++ {
		if after > 40 && after < asked-200 { // between are the stubs
			after += 100
		}
		got, err := s.DrawContext(patience.Of(after), DrawOptions{})
		if !errors.Is(err, context.Canceled) || !strings.HasPrefix(err.Error(), "drawings: stopped after ") || got != nil {
			t.Errorf("done after %d of %d questions: %v", after, asked, err)
			continue
		}
		all += err.Error() + "\n"
	}
	for _, said := range []string{"0 of 2 systems placed", "1 of 2 systems:", "0 of 1200 points of a plan",
		"1000 of 1200 points of a plan", "of 1200 points measured from walls", "1000 of 1200 runs of a profile",
		"1000 of 1201 stations of a profile", "1000 of 1200 points of an isometric", "1000 of 1100 vents"} {
		if !strings.Contains(all, said) {
			t.Errorf("nowhere stopped after %s:\n%s", said, all)
		}
	}
	late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer stop()
	if _, err := s.DrawContext(late, DrawOptions{}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after its deadline: %v", err)
	}
}

// TestReadingStops: a layout that is called off while it is read from a file or put together, before or anywhere on its
// way, is none and says how far it was; left to end it is the layout that is made without a context, or has its faults.
// Of its 2600 points, in systems of 200, and 1040 vents the context is asked at each 1000 of each pass, of its text at
// every 64 KB.
func TestReadingStops(t *testing.T) {
	code, d := mustCode(t, "ipc-2021"), villageLayout(2600)
	text, err := json.Marshal(mustNew(t, d))
	if err != nil {
		t.Fatal(err)
	}
	faulty := []byte(strings.Replace(string(text), `"kind":"soil"`, `"kind":"sail"`, 1))
	bytes := func(k int) string { return fmt.Sprintf("reading: stopped after %d of %d bytes:", k, len(text)) }
	points := func(k int, what string) string {
		return fmt.Sprintf("layout: stopped after %d of 2600 points%s:", k, what)
	}
	for name, c := range map[string]struct {
		plain  func() (*Layout, error)
		within func(context.Context) (*Layout, error)
		said   []string
	}{
		"read": {
			func() (*Layout, error) { return Parse("village", text, code) },
			func(ctx context.Context) (*Layout, error) { return ParseContext(ctx, "village", text, code) },
			[]string{bytes(0), bytes(1 << 16), bytes(3 << 16), points(1000, " measured"), points(2000, " filled in"),
				points(1000, " checked"), "0 of 13 systems checked", points(2000, " indexed"), points(1000, " joined"),
				"1000 of 1040 vents checked", "1000 of 1040 vents joined", points(2600, "")}},
		"with a fault": {
			func() (*Layout, error) { return Parse("village", faulty, code) },
			func(ctx context.Context) (*Layout, error) { return ParseContext(ctx, "village", faulty, code) },
			[]string{bytes(0), points(1000, " checked"), points(2600, "")}},
		"put together": {
			func() (*Layout, error) { return New(*d, code) },
			func(ctx context.Context) (*Layout, error) { return NewContext(ctx, *d, code) },
			[]string{points(0, " copied"), points(2000, " copied"), "1000 of 1040 vents copied", points(2000, " checked")}},
	} {
		whole := patience.Of(1 << 40)
		want, err1 := c.plain()
		got, err2 := c.within(whole)
		if fmt.Sprint(err1) != fmt.Sprint(err2) || !reflect.DeepEqual(want, got) {
			t.Fatalf("%s otherwise within a context: %v, %v", name, err1, err2)
		}
		asked, all := whole.Asked(), ""
		for after := range asked {
			l, err := c.within(patience.Of(after))
			if !errors.Is(err, context.Canceled) || l != nil {
				t.Errorf("%s: done after %d of %d questions: %v", name, after, asked, err)
				continue
			}
			all += err.Error() + "\n"
		}
		for _, said := range c.said {
			if !strings.Contains(all, said) {
				t.Errorf("%s: nowhere stopped after %s:\n%s", name, said, all)
			}
		}
		late, stop := context.WithDeadline(t.Context(), time.Unix(0, 0))
		if _, err := c.within(late); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("%s: after its deadline: %v", name, err)
		}
		stop()
	}
}

// TestWritingStops: a sizing and its levels are written as encoding/json writes them, and called off on the way they say
// how far they were: of 2600 points, listed first, and of 1040 vents.
func TestWritingStops(t *testing.T) {
	s, err := mustNew(t, villageLayout(2600)).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		plain any
		write func(context.Context, io.Writer) error
		said  []string
	}{
		"sizing": {s, s.WriteJSON, []string{"sizing: stopped after 0 of 2600 runs listed", "sizing: stopped after 1000 of 2600 runs listed",
			"sizing: stopped after 2000 of 2600 runs listed", "sizing: stopped after 0 of 2600 runs or vents written",
			"sizing: stopped after 1000 of 2600 runs or vents written", "sizing: stopped after 2000 of 2600 runs or vents written",
			"sizing: stopped after 0 of 1040 runs or vents written", "sizing: stopped after 1000 of 1040 runs or vents written"}},
		"levels": {s.Levels(), s.Levels().WriteJSON, []string{"levels: stopped after 0 of 2600 levels listed",
			"levels: stopped after 1000 of 2600 levels listed", "levels: stopped after 2000 of 2600 levels listed",
			"levels: stopped after 0 of 2600 levels written", "levels: stopped after 1000 of 2600 levels written",
			"levels: stopped after 2000 of 2600 levels written"}},
	} {
		want, err1 := json.Marshal(c.plain)
		var got strings.Builder
		err2 := c.write(t.Context(), &got)
		if err := errors.Join(err1, err2); err != nil || got.String() != string(want) {
			t.Errorf("%s is written otherwise within a context: %v", name, err)
		}
		for after, said := range c.said {
			err := c.write(patience.Of(int64(after)), io.Discard)
			if !errors.Is(err, context.Canceled) || err.Error() != said+": context canceled" {
				t.Errorf("%s: after %d questions: %v, want %s", name, after, err, said)
			}
		}
		whole := patience.Of(int64(len(c.said)))
		if err := c.write(whole, io.Discard); err != nil {
			t.Errorf("%s: after %d questions it still asks: %v", name, len(c.said), err)
		}
	}
}

// TestVentsStop: a check of 2500 points that each have a vent is asked on its way through points and vents whether
// it is to go on, not between its subjects alone: of the pass over vents at 1000 and 2000.
func TestVentsStop(t *testing.T) {
	d := &Data{FinishedFloor: 100 * ft}
	for sys := range 250 { // small, so that nothing is asked within one
		s := System{ID: fmt.Sprint("s", sys), Kind: Soil, Outlet: Outlet{ID: fmt.Sprint("O", sys), Kind: ToSewer, Invert: 90 * ft}}
		for i := range 10 {
			id := fmt.Sprint("L", sys, "-", i)
			s.Points = append(s.Points, Point{ID: id, To: s.Outlet.ID, Run: Run{Length: 4 * ft, Grade: slope.PerFoot(in / 4)}})
			d.Vents = append(d.Vents, Vent{ID: "V" + id, Kind: VentIndividual, From: id, Terminal: &Terminal{AboveRoof: ft},
				Runs: []VentRun{{Length: 60 * ft, Direction: VentUp}}})
		}
		d.Systems = append(d.Systems, s)
	}
	asks := func() int64 {
		s, err := mustNew(t, d).Size(mustCode(t, "ipc-2021"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		ctx := patience.Of(1 << 40)
		if _, err := s.CheckContext(ctx, CheckOptions{ProblemsOnly: true}); err != nil {
			t.Fatal(err)
		}
		return ctx.Asked()
	}
	with := asks()
	d.Vents = d.Vents[:900] // fewer than it takes between two looks
	if fewer := asks(); with != fewer+2 {
		t.Errorf("asked %d times with 2500 vents and %d with 900, want two more", with, fewer)
	}
}

// TestVastFaults: what is wrong with each of thousands of parts is told, or counted, in no time, which took minutes when
// each was looked for from the top of the text: runs without a grade, systems whose one point drains to itself, and runs
// of a vent that say no direction, of which each has one fault.
func TestVastFaults(t *testing.T) {
	const n = 20_000
	const outlet = `"outlet": {"id": "O%d", "kind": "sewer", "invert": "90 ft"}, "points": [`
	head := `{"finished_floor": "100 ft", "systems": [`
	list := func(format string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strings.ReplaceAll(format, "%d", fmt.Sprint(i)) + ",")
		}
		return strings.TrimSuffix(b.String(), ",")
	}
	system := func(points string) string {
		return `{"id": "s%d", "kind": "soil", ` + outlet + points + `]}`
	}
	one := strings.ReplaceAll(system(`{"id": "P%d", "to": "O%d", "run": {"length": "4 ft", "grade": "1/4 in/ft"}}`), "%d", "x")
	for name, text := range map[string]string{
		"no grade": head + `{"id": "s", "kind": "soil", ` + strings.ReplaceAll(outlet, "%d", "") +
			list(`{"id": "P%d", "to": "O", "run": {"length": "4 ft"}}`) + `]}]}`,
		"in a circle": head + list(system(`{"id": "P%d", "to": "P%d", "run": {"length": "4 ft", "grade": "1/4 in/ft"}}`)) + `]}`,
		"runs of a vent": head + one + `], "vents": [{"id": "V", "kind": "individual", "from": "Px", "terminal": {"above_roof": "1 ft"},
			"runs": [` + list(`{"length": "1 ft", "direction": "aslant"}`) + `]}]}`,
	} {
		_, err := Parse("vast", []byte(text))
		if faults, ok := errors.AsType[*units.Faults](err); !ok || len(faults.Faults)+faults.More != n {
			t.Errorf("%s: %.300v", name, err)
		}
	}
}
