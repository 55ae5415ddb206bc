package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// LevelBook is a book of rod readings, worked through: the inverts found on the runs.
type LevelBook struct {
	Shots  []drains.LaidShot `json:"shots"`
	Setups int               `json:"setups"` // of the instrument
	// Closed tells that the book ends on a known elevation, Misclosure by how much it is
	// off there. Nothing is spread over the shots.
	Closed     bool         `json:"closed"`
	Misclosure units.Length `json:"misclosure,omitzero"`
}

// levelColumns head a level book, in any order; fixed may be left out.
var levelColumns = [...]string{"kind", "run", "along", "reading", "elevation", "fixed"}

// ReadLevels reads a book of rod readings on the drains of a layout; name stands for it in
// messages. It is a CSV file with a line of heads (kind, run, along, reading, elevation,
// fixed) and these kinds of line, in the order of the work:
//
//	benchmark   the elevation of a known point
//	backsight   the reading on it, or on the last turning point, from a new set-up
//	shot        the reading of a rod held on the invert of a run, so far up along it from its
//	            lower end, or "end" for its upper end; fixed says yes if it cannot be moved
//	turn        the reading on a turning point, before the instrument is moved
//	close       the reading on a point whose elevation is known, at the end
//
// Lines whose kind begins with # are remarks. All faults of a book are told together, each
// with its line.
func ReadLevels(name string, r io.Reader, l *drains.Layout) (*LevelBook, error) {
	return ReadLevelsContext(context.Background(), name, r, l)
}

// ReadLevelsContext is [ReadLevels] that stops once the context is done, with its error and how far it was.
func ReadLevelsContext(ctx context.Context, name string, r io.Reader, l *drains.Layout) (*LevelBook, error) {
	s, err := readSheet(ctx, name, "level book", r, levelColumns[:], 5)
	if err != nil {
		return nil, err
	}
	b := levelReader{sheet: s, layout: l}
	for b.next() {
		b.line()
	}
	b.end()
	if err := b.err(); err != nil {
		return nil, err
	}
	return b.work()
}

// levelReader reads a level book line by line.
type levelReader struct {
	*sheet
	layout *drains.Layout

	circuit   slope.Circuit
	shots     []drains.LaidShot // with no inverts yet, as the sights are in the circuit
	open      bool              // a set-up is on
	benchmark bool
	book      LevelBook
	known     units.Length // elevation at the close
}

// length reads a cell that must hold a length.
func (b *levelReader) length(column string) units.Length {
	text := b.cell(column)
	if text == "" {
		b.fault(column, errors.New("none is given"))
		return 0
	}
	x, err := units.Parse[units.Length](text)
	if err != nil {
		b.fault(column, err)
	}
	return x
}

// line takes a line of the book.
func (b *levelReader) line() {
	set := &b.circuit.Setups
	switch kind := strings.ToLower(b.cell("kind")); {
	case strings.HasPrefix(kind, "#"):
	case kind == "benchmark":
		if b.benchmark {
			b.fault("kind", errors.New("a second benchmark: close on it"))
		}
		b.benchmark, b.circuit.Benchmark = true, b.length("elevation")
	case kind == "backsight":
		switch {
		case !b.benchmark:
			b.fault("kind", errors.New("no benchmark before it"))
		case b.open:
			b.fault("kind", errors.New("the set-up before it has no turning point"))
		}
		b.open, b.book.Setups = true, b.book.Setups+1
		*set = append(*set, slope.LevelSetup{Backsight: b.length("reading")})
	case b.book.Closed, kind != "shot" && kind != "turn" && kind != "close":
		why := fmt.Errorf("%s is none of benchmark, backsight, shot, turn, close", visible.Quote(kind))
		if b.book.Closed {
			why = errors.New("nothing follows a close")
		}
		b.fault("kind", why)
	case !b.open:
		b.fault("kind", errors.New("no backsight before it: the height of the instrument is not known"))
	case kind == "shot":
		b.shot(&(*set)[len(*set)-1])
	default:
		(*set)[len(*set)-1].Foresight = b.length("reading")
		b.open = false
		if kind == "close" {
			b.book.Closed, b.known = true, b.length("elevation")
		}
	}
}

// shot reads the sight on an invert.
func (b *levelReader) shot(set *slope.LevelSetup) {
	x := drains.LaidShot{Run: b.cell("run")}
	i, ok := b.layout.Find(x.Run)
	if !ok {
		b.fault("run", fmt.Errorf("the layout has no point %s", visible.Quote(x.Run)))
	}
	switch {
	case b.cell("along") != "end":
		x.Along = b.length("along")
	case ok:
		x.Along = b.layout.Point(i).Run.Length
	}
	switch b.cell("fixed") {
	case "", "no":
	case "yes":
		x.Fixed = true
	default:
		b.fault("fixed", fmt.Errorf("%s is neither yes nor no", visible.Quote(b.cell("fixed"))))
	}
	set.Sights = append(set.Sights, b.length("reading"))
	b.shots = append(b.shots, x)
}

// end looks whether the book is whole.
func (b *levelReader) end() {
	if len(b.shots) == 0 {
		b.fault("kind", errors.New("no shot in the whole book"))
	}
	if b.open { // the last set-up needs no turning point
		last := &b.circuit.Setups[len(b.circuit.Setups)-1]
		last.Foresight = last.Backsight
	}
}

// work finds the inverts.
func (b *levelReader) work() (*LevelBook, error) {
	levels, err := b.circuit.Elevations()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.name, err)
	}
	k := 0
	for _, set := range levels {
		for _, invert := range set.Sights {
			b.shots[k].Invert = invert
			k++
		}
	}
	b.book.Shots = b.shots
	if b.book.Closed {
		b.book.Misclosure = levels[len(levels)-1].Turning - b.known
	}
	return &b.book, nil
}
