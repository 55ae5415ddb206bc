package drains

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// The same drains worked a second time, as a plumber would with the printed tables: one
// run after the other, in inches and feet, from the rows of the files and from nothing of
// the library but the layout. It knows one line of model code, stacks of one branch
// interval and vents that rise to the air by themselves; what it knows of those the library
// must say too.

// paper is one set of tables as printed.
type paper struct {
	drain    map[float64]map[float64]float64 // size, grade in in/ft: load; negative: not permitted
	printed  map[float64]float64             // grade in in/ft: the grade in percent printed as its equal
	upright  map[string]map[float64]float64  // branch, stack, stack-interval: size: load
	closet   map[string]float64              // part: the smallest pipe under a water closet
	fixtures map[string]printedLoad
	inside   map[float64]float64 // size: inside diameter of the pipe
}

type printedLoad struct{ load, trap, closets float64 }

// rowsOf reads a table as a list of cells by their column.
func rowsOf(t testing.TB, name string) (rows []map[string]string) {
	t.Helper()
	text, err := os.ReadFile("../../tables/data/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment, r.FieldsPerRecord = '#', -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for k, head := range all[0] {
			head, _, _ = strings.Cut(head, "[")
			row[head] = cells[k]
		}
		rows = append(rows, row)
	}
	return rows
}

// number reads a printed number: 3, 1.25, 1-1/4, 1/2; nothing for a blank, -1 for a dash.
func number(text string) float64 {
	if text == "" {
		return 0
	}
	if text == "-" {
		return -1
	}
	var sum float64
	for part := range strings.SplitSeq(text, "-") {
		over, under, _ := strings.Cut(part, "/")
		x, err := strconv.ParseFloat(over, 64)
		if err != nil {
			panic(err)
		}
		if under != "" {
			y, _ := strconv.ParseFloat(under, 64)
			x /= y
		}
		sum += x
	}
	return sum
}

func ipcOnPaper(t testing.TB) *paper {
	p := &paper{map[float64]map[float64]float64{}, map[float64]float64{}, map[string]map[float64]float64{},
		map[string]float64{}, map[string]printedLoad{}, map[float64]float64{}}
	for _, r := range rowsOf(t, "ipc-2021/building-drain") {
		size := number(r["size"])
		if p.drain[size] == nil {
			p.drain[size] = map[float64]float64{}
		}
		p.drain[size][number(r["grade"])] = number(r["max_load"])
	}
	for _, r := range rowsOf(t, "ipc-2021/nominal-grades") {
		p.printed[number(r["grade"])] = number(r["nominal"])
	}
	for _, r := range rowsOf(t, "ipc-2021/branches-and-stacks") {
		if r["over_intervals"] != "0" {
			continue
		}
		if p.upright[r["part"]] == nil {
			p.upright[r["part"]] = map[float64]float64{}
		}
		p.upright[r["part"]][number(r["size"])] = number(r["max_load"])
	}
	for _, r := range rowsOf(t, "ipc-2021/water-closets") {
		p.closet[r["part"]] = number(r["size"])
	}
	for _, r := range rowsOf(t, "ipc-2021/fixtures") {
		p.fixtures[r["row"]] = printedLoad{number(r["load"]), number(r["trap"]), number(r["closets"])}
	}
	for _, r := range rowsOf(t, "pipes/pvc-dwv") {
		p.inside[number(r["size"])] = number(r["id"])
	}
	return p
}

// smallest returns the smallest size of a column that carries a load and is at least some
// size; none: zero.
func smallest(column map[float64]float64, load, least float64) (size float64) {
	for s, most := range column {
		if s >= least && load <= most && (size == 0 || s < size) {
			size = s
		}
	}
	return size
}

// at is the column of building drains for a grade in inches per foot: each size at the
// steepest printed grade that is no steeper than the pipe, or, where the code does not lay
// the size so flat, at the flattest at which it does.
func (p *paper) at(grade float64) map[float64]float64 {
	column := map[float64]float64{}
	for size, byGrade := range p.drain {
		flat, steep := -1.0, math.Inf(1)
		for g, most := range byGrade {
			if most < 0 {
				continue
			}
			equal := p.printed[g] > 0 && grade >= 12*p.printed[g]/100-1e-12
			if g <= grade*1.001 || equal {
				flat = max(flat, g)
			} else {
				steep = min(steep, g)
			}
		}
		switch {
		case flat > 0:
			column[size] = byGrade[flat]
		case !math.IsInf(steep, 1):
			column[size] = byGrade[steep]
		}
	}
	return column
}

// worksheet is a layout as it is worked on paper.
type worksheet struct {
	*paper
	layout *Data
	point  map[string]*Point
	kept   map[string]float64 // sizes found, inches
	skip   map[float64]bool
}

func inches(l units.Length) float64 { return float64(l) / float64(units.Inch) }

func (w *worksheet) into(id string) (list []*Point) {
	for k := range w.layout.Systems[0].Points {
		if p := &w.layout.Systems[0].Points[k]; p.To == id {
			list = append(list, p)
		}
	}
	return list
}

func (w *worksheet) own(p *Point) printedLoad {
	f := printedLoad{load: float64(p.Reserved) / float64(dwv.FixtureUnit)}
	if p.Fixture != nil {
		row, n := p.Fixture.Kind, float64(p.Fixture.Count)
		if row == "water-closet" {
			row = "water-closet-public-1.6"
		}
		f.load += n * w.fixtures[row].load
		f.trap, f.closets = w.fixtures[row].trap, n*w.fixtures[row].closets
	}
	return f
}

// sum is all that drains through a run.
func (w *worksheet) sum(p *Point) printedLoad {
	f := w.own(p)
	for _, up := range w.into(p.ID) {
		g := w.sum(up)
		f.load, f.closets = f.load+g.load, f.closets+g.closets
	}
	return f
}

func (w *worksheet) stackBelow(p *Point) bool {
	for next := w.point[p.To]; next != nil; next = w.point[next.To] {
		if next.Run.Vertical && !w.drop(next) {
			return true
		}
	}
	return false
}

// drop tells an upright length of a drain below the floor: it is no stack.
func (w *worksheet) drop(p *Point) bool {
	for _, up := range w.into(p.ID) {
		if up.Run.Vertical || up.AboveFloor {
			return false
		}
	}
	return p.Run.Vertical && !p.AboveFloor && p.Fixture == nil && len(w.into(p.ID)) > 0
}

// need is the size a run needs, skipped sizes taken or not.
func (w *worksheet) need(p *Point, skipping bool) float64 {
	all, own := w.sum(p), w.own(p)
	least := own.trap
	for _, up := range w.into(p.ID) {
		if skipping {
			least = max(least, w.sized(up))
		} else {
			least = max(least, w.need(up, false))
		}
	}
	part := "drain"
	if p.Run.Vertical {
		part = "stack"
	} else if w.stackBelow(p) {
		part = "branch"
	}
	if all.closets > 0 {
		least = max(least, w.closet[part])
	}
	if part == "drain" {
		return smallest(w.at(12*p.Run.Grade.Float()), all.load, least)
	}
	if part == "stack" && !w.drop(p) && (len(w.into(p.ID)) > 0 || p.Fixture == nil || p.Fixture.Count > 1 || p.Reserved > 0) && all.load > 0 {
		least = max(least, smallest(w.upright["stack-interval"], all.load, 0))
	}
	return smallest(w.upright[part], all.load, least)
}

// sized is the size a run gets: what it needs, or the next that is to be had.
func (w *worksheet) sized(p *Point) float64 {
	if size, ok := w.kept[p.ID]; ok {
		return size
	}
	size := w.need(p, true)
	for w.skip[size] {
		size = smallest(map[float64]float64{1.25: 1, 1.5: 1, 2: 1, 2.5: 1, 3: 1, 4: 1, 5: 1, 6: 1, 8: 1, 10: 1, 12: 1, 15: 1}, 0, size+0.01)
	}
	w.kept[p.ID] = size
	return size
}

func (w *worksheet) bore(p *Point) float64 {
	size, material := 0.0, ""
	if p == nil { // the outlet: as wide as what comes there
		material, size = w.layout.Systems[0].Outlet.Material, inches(w.layout.Systems[0].Outlet.Size)
		for _, up := range w.into("O") {
			if w.layout.Systems[0].Outlet.Size == 0 {
				size = max(size, w.sized(up))
			}
		}
	} else {
		size, material = w.sized(p), p.Run.Material
	}
	if id := w.inside[size]; material == "pvc-dwv" && id > 0 {
		return id
	}
	return size
}

// inverts returns the inverts of the two ends of a run in inches.
func (w *worksheet) inverts(p *Point) (upper, lower float64) {
	next := w.point[p.To]
	if next == nil {
		lower = inches(w.layout.Systems[0].Outlet.Invert)
	} else {
		lower, _ = w.inverts(next)
	}
	lower += inches(p.Run.Drop)
	if !p.Run.Vertical && (next == nil || !next.Run.Vertical) {
		apart := w.bore(next) - w.bore(p)
		switch p.Run.Join {
		case slope.AtSpringline:
			lower += apart / 2
		case slope.AtCrown:
			lower += apart
		case slope.JoinNotStated: // centre to centre, but level inverts into a smaller pipe
			lower += max(0, apart/2)
		}
	}
	if p.Run.Vertical {
		return lower + inches(p.Run.Length), lower
	}
	return lower + inches(p.Run.Length)*p.Run.Grade.Float(), lower
}

// ventOf returns the size of a vent that rises to the air by itself, and what it needs; zero: it serves
// nothing, which paper does not size.
func (w *worksheet) ventOf(v *Vent) (size, need, load float64) {
	var drain, long float64
	for id, p := range w.point {
		if p.Fixture == nil && p.Reserved == 0 {
			continue
		}
		at := w.point[id] // the first vent on the way down is its own
		for at != nil && w.vented(at.ID) == nil {
			at = w.point[at.To]
		}
		if at != nil && w.vented(at.ID) == v {
			load += w.own(p).load
			drain = max(drain, w.need(p, false))
		}
	}
	if drain == 0 {
		return 0, 0, 0
	}
	_, long = w.foot(v)
	for _, r := range v.Runs {
		long += inches(r.Length)
	}
	made := map[float64]float64{1.25: 1, 1.5: 1, 2: 1, 2.5: 1, 3: 1, 4: 1, 5: 1, 6: 1, 8: 1, 10: 1, 12: 1, 15: 1}
	size = smallest(made, 0, max(1.25, drain/2))
	if long > 40*12 {
		size = smallest(made, 0, size+0.01)
	}
	need = size
	for w.skip[size] {
		size = smallest(made, 0, size+0.01)
	}
	return size, need, load
}

// dry returns what a vent makes of a riser that is part of it; zero of what is none. Of a vent that
// paper does not size it knows nothing.
func (w *worksheet) dry(p *Point) (size, need float64, known bool) {
	for k := range w.layout.Vents {
		v := &w.layout.Vents[k]
		foot, _ := w.foot(v)
		for at := v.From; at != foot; at = w.point[at].To {
			if at == p.ID {
				size, need, _ = w.ventOf(v)
				return size, need, size > 0
			}
		}
	}
	return 0, 0, true
}

// vented returns the vent that rises from a point, itself or over a riser that is dry; the shorter
// of two, as drawn.
func (w *worksheet) vented(id string) (found *Vent) {
	for k := range w.layout.Vents {
		v := &w.layout.Vents[k]
		if at, _ := w.foot(v); (v.From == id || at == id) && (found == nil || w.layout.order(int32(k), w.index(found)) < 0) {
			found = v
		}
	}
	return found
}

func (w *worksheet) index(v *Vent) int32 {
	return int32(slices.IndexFunc(w.layout.Vents, func(x Vent) bool { return x.ID == v.ID }))
}

// foot is the point above which nothing but a vent stands, and how much of it is drawn as riser.
func (w *worksheet) foot(v *Vent) (id string, riser float64) {
	p := w.point[v.From]
	for above := 0; p.Run.Vertical && p.Fixture == nil && p.Reserved == 0 && len(w.into(p.ID)) == above && w.point[p.To] != nil; above = 1 {
		riser += inches(p.Run.Length)
		p = w.point[p.To]
	}
	return p.ID, riser
}

// paperLayout makes a layout of what the worksheet knows.
func paperLayout(r *rand.Rand) *Data {
	l := &Data{FinishedFloor: 100 * ft, Slab: 4 * in, Systems: []System{{ID: "S", Kind: Soil,
		Outlet: Outlet{ID: "O", Kind: ToSewer, Invert: 90 * ft}}}}
	sys := &l.Systems[0]
	if r.IntN(2) == 0 {
		sys.Defaults = &Defaults{Material: "pvc-dwv"}
	}
	if r.IntN(3) == 0 {
		l.SkipSizes = []units.Length{5 * in / 2}
	}
	if r.IntN(4) == 0 {
		l.SkipSizes = append(l.SkipSizes, 5*in, 5*in/4)
	}
	steep := []slope.Grade{slope.PerFoot(in / 4), slope.PerFoot(in / 4), slope.PerFoot(in / 8), slope.PerFoot(in / 2), slope.OneIn(50),
		slope.PerFoot(in / 3), slope.PerFoot(in / 16), slope.OneIn(150)}
	joins := []slope.Join{slope.JoinNotStated, slope.JoinNotStated, slope.AtInvert, slope.AtSpringline, slope.AtCrown}
	kinds := []string{"lavatory", "bathtub", "bidet", "dental-lavatory", "water-closet"}
	drawn := []units.Length{3 * in / 2, 2 * in, 3 * in, 4 * in, 6 * in}
	if r.IntN(4) == 0 {
		sys.Outlet.Size = drawn[r.IntN(len(drawn))]
	}
	stack := map[string]bool{} // at or above a stack
	for k := range 1 + r.IntN(14) {
		p := Point{ID: fmt.Sprintf("P%d", k), To: "O"}
		if k > 0 {
			p.To = sys.Points[max(0, k-1-r.IntN(min(k, 4)))].ID
		}
		p.Run.Length = units.Length(1+r.IntN(20*12))*in + units.Length(k)
		if r.IntN(6) == 0 && !stack[p.To] && k > 0 {
			p.Run.Vertical, p.Run.Length = true, units.Length(1+r.IntN(7))*ft
		} else {
			p.Run.Grade, p.Run.Join = steep[r.IntN(len(steep))], joins[r.IntN(len(joins))]
		}
		stack[p.ID] = stack[p.To] || p.Run.Vertical
		if r.IntN(6) == 0 {
			p.Run.Drop = units.Length(r.IntN(9)) * in
		}
		if r.IntN(5) < 3 {
			p.Fixture = &tables.Fixture{Kind: kinds[r.IntN(len(kinds))], Count: 1, Use: tables.Public, Flush: 8 * units.USGallon / 5}
			if p.Fixture.Kind != "water-closet" {
				p.Fixture.Flush = 0
			}
			if r.IntN(3) == 0 {
				p.Fixture.Count = 1 + r.IntN(30)
			}
		}
		if r.IntN(10) == 0 {
			p.Reserved = dwv.FixtureUnits(1+r.IntN(40)) * dwv.FixtureUnit / 2
		}
		if r.IntN(8) == 0 {
			p.Run.Size = drawn[r.IntN(len(drawn))]
		}
		sys.Points = append(sys.Points, p)
		if r.IntN(4) == 0 {
			l.Vents = append(l.Vents, Vent{ID: fmt.Sprintf("V%d", k), Kind: VentIndividual, From: p.ID, Terminal: &Terminal{AboveRoof: 6 * in},
				Runs: []VentRun{{Length: units.Length(1+r.IntN(60)) * ft, Direction: VentUp}, {Length: units.Length(1+r.IntN(3)) * ft, Direction: VentUp}}})
		}
	}
	return l
}

// paperDiffers returns the first thing that the library and the worksheet say differently,
// and how much they agreed on before.
func paperDiffers(l *Data, code *dwv.Code, onPaper *paper) (says string, same int) {
	made, err := New(*l)
	if err != nil {
		return "", 0
	}
	d := made.Data()
	s, err := made.Size(code, Options{})
	if err != nil {
		return err.Error(), 0
	}
	w := &worksheet{onPaper, &d, map[string]*Point{}, map[string]float64{}, map[float64]bool{}}
	for _, size := range d.SkipSizes {
		w.skip[inches(size)] = true
	}
	for k := range d.Systems[0].Points {
		p := &d.Systems[0].Points[k]
		if w.point[p.ID] = p; p.Run.Size > 0 {
			w.kept[p.ID] = inches(p.Run.Size)
		}
	}
	for i := range s.Len() {
		r, p := s.At(i), w.point[s.At(i).Point]
		if load := w.sum(p).load; math.Abs(load-float64(r.Load)/float64(dwv.FixtureUnit)) > 1e-9 {
			return fmt.Sprintf("%s carries %v, on paper %v", r.Point, r.Load, load), same
		}
		size, need := w.sized(p), w.need(p, true)
		asVent, least, known := w.dry(p)
		if !known {
			continue
		}
		if least > need {
			if need = least; p.Run.Size == 0 {
				size = asVent
			}
		}
		if size != inches(r.Size) {
			return fmt.Sprintf("%s of %v is %v by %v, on paper %v", r.Point, r.Load, r.Size, r.Decided, size), same
		}
		if need != inches(r.Required) {
			return fmt.Sprintf("%s of %v needs %v by %v, on paper %v", r.Point, r.Load, r.Required, r.Decided, need), same
		}
		v, _ := s.Levels().Of(r.Point)
		upper, lower := w.inverts(p)
		if math.Abs(upper-inches(v.Upper.Invert)) > 1e-5 || math.Abs(lower-inches(v.Lower.Invert)) > 1e-5 {
			return fmt.Sprintf("%s lies at %v and %v, on paper at %v in and %v in", r.Point, v.Upper.Invert, v.Lower.Invert, upper, lower), same
		}
		same += 5
	}
	for k := range d.Vents {
		v, _ := s.Vent(d.Vents[k].ID)
		size, _, load := w.ventOf(&d.Vents[k])
		if size == 0 {
			continue
		}
		if v.Err != nil || size != inches(v.Size) || math.Abs(load-float64(v.Load)/float64(dwv.FixtureUnit)) > 1e-9 {
			return fmt.Sprintf("vent %s for %v is %v (%v), on paper %v for %v", v.Vent, v.Load, v.Size, v.Err, size, load), same
		}
		same += 2
	}
	return "", same
}

// TestDrainsOnPaper holds loads, sizes, inverts and vents of thousands of layouts to the
// same work done a second time. What differs is shrunk and printed.
func TestDrainsOnPaper(t *testing.T) {
	code, onPaper := mustCode(t, "ipc-2021"), ipcOnPaper(t)
	same := 0
	for seed := range uint64(3000) {
		l := paperLayout(rand.New(rand.NewPCG(seed, 12)))
		says, n := paperDiffers(l, code, onPaper)
		same += n
		if says == "" {
			continue
		}
		l = shrink(l, func(l *Data) bool { says, _ := paperDiffers(l, code, onPaper); return says != "" })
		says, _ = paperDiffers(l, code, onPaper)
		text, _ := json.MarshalIndent(l, "", " ")
		t.Fatalf("seed %d: %s\n%s", seed, says, text)
	}
	if same < 100_000 {
		t.Errorf("only %d answers compared", same)
	}
}

// inMetric writes the same layout with every length in millimetres, which hold all of
// them exactly.
func inMetric(t testing.TB, d *Data) *Data {
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	changed := 0
	var walk func(x any) any
	walk = func(x any) any {
		switch x := x.(type) {
		case map[string]any:
			for k := range x {
				x[k] = walk(x[k])
			}
		case []any:
			for k := range x {
				x[k] = walk(x[k])
			}
		case string:
			var l units.Length
			if !strings.ContainsAny(x, `'"`) || l.UnmarshalText([]byte(x)) != nil {
				return x
			}
			changed++
			return fmt.Sprintf("%d.%06d mm", int64(l/units.Millimetre), int64(l%units.Millimetre))
		}
		return x
	}
	text, _ = json.Marshal(walk(tree))
	metric, err := parse("metric", text)
	if err != nil || changed == 0 {
		t.Fatalf("%d lengths, %v", changed, err)
	}
	return metric
}

// TestMetricAndInches: a file in millimetres is judged as the same file in feet and inches.
func TestMetricAndInches(t *testing.T) {
	codes, fixtures := ratedCodes(t)
	for k, code := range codes {
		for seed := range uint64(25) {
			l := smallLayout(rand.New(rand.NewPCG(seed, uint64(100+k))), fixtures[k], true)
			_, inches, ok := worked(l, code)
			_, metric, too := worked(inMetric(t, l), code)
			if ok != too || len(inches) != len(metric) {
				t.Fatalf("%v, seed %d: %d findings, in metric %d", code, seed, len(inches), len(metric))
			}
			for i, f := range inches {
				if m := metric[i]; f.Rule != m.Rule || f.Place != m.Place || f.Verdict != m.Verdict || f.IfConfirmed != m.IfConfirmed {
					t.Fatalf("%v, seed %d: %v\nin metric: %v", code, seed, f, m)
				}
			}
		}
	}
}
