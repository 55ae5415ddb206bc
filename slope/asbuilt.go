package slope

import (
	"fmt"

	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// Shot is a surveyed invert.
type Shot struct {
	// Station is the horizontal distance from the outlet.
	Station units.Length `json:"station"`
	// Invert is the elevation found there: beam less rod reading.
	Invert units.Length `json:"invert"`
	// Fixed says that the pipe cannot be moved there any more: it is covered, cast
	// in, or connected.
	Fixed bool `json:"fixed,omitzero"`
}

// Survey compares what was laid with what was designed.
type Survey struct {
	// Shots go from the outlet upward. Two at one station are below and above a
	// drop. The first and the last are taken as fixed.
	Shots []Shot `json:"shots"`
	// Design is the profile the line should have; nil if only its fall is judged.
	Design *Profile `json:"design,omitzero"`
	// Tolerance is how far an invert may be from its design.
	Tolerance units.Length `json:"tolerance"`
	// Least is the least grade allowed; a grade of exactly this much is enough.
	Least Grade `json:"least"`
	// Resolution is the smallest difference of height the readings tell. A stretch
	// that falls or rises no more than this is flat.
	Resolution units.Length `json:"resolution"`
}

// AsBuilt is what a survey shows.
type AsBuilt struct {
	Points    []SurveyedPoint `json:"points"`
	Stretches []Stretch       `json:"stretches"`
	Bellies   []Belly         `json:"bellies"`
	Mends     []Mend          `json:"mends"`
}

// SurveyedPoint is a shot against the design.
type SurveyedPoint struct {
	Shot
	// Design is the design invert, and Off how far above it the pipe lies; both
	// are zero without a design.
	Design units.Length `json:"design"`
	Off    units.Length `json:"off"`
	// Within tells whether Off is within the tolerance, its limit included.
	Within bool `json:"within,omitzero"`
}

// Fall tells how a stretch falls.
type Fall uint8

// How a stretch falls towards the outlet.
const (
	Falls      Fall = iota // at the least grade or more
	Shallow                // it falls, at less than the least grade
	Flat                   // within the resolution of the readings
	BackGraded             // away from the outlet
)

// Stretch is the pipe between two shots.
type Stretch struct {
	// From and To are stations, From nearer the outlet.
	From units.Length `json:"from"`
	To   units.Length `json:"to"`
	// Fall is the fall from To down to From, negative if it rises.
	Fall units.Length `json:"fall"`
	// Short is how much fall the stretch lacks of the least grade; zero if none.
	Short units.Length `json:"short"`
	Kind  Fall         `json:"kind"`
}

// Grade returns the grade of the stretch. It is level where From and To are one
// station, at a drop.
func (s Stretch) Grade() Grade {
	g, err := Of(s.Fall, s.To-s.From)
	if err != nil {
		return Grade{}
	}
	return g
}

// String says where the stretch is and how it falls.
func (s Stretch) String() string {
	if s.From == s.To && s.Kind == Falls {
		return fmt.Sprintf("%.2f ft: drops %.2f in", s.From.Feet(), s.Fall.Inches())
	}
	where := fmt.Sprintf("%.2f to %.2f ft: %v", s.From.Feet(), s.To.Feet(), s.Kind)
	switch s.Kind {
	case Falls:
		return fmt.Sprintf("%s %.2f in, %.2f", where, s.Fall.Inches(), s.Grade())
	case BackGraded:
		return fmt.Sprintf("%s by %.2f in, %.2f in short of the least grade", where, -s.Fall.Inches(), s.Short.Inches())
	}
	return fmt.Sprintf("%s, %.2f in short of the least grade", where, s.Short.Inches())
}

// Belly is a low part in which water stands.
type Belly struct {
	// From is the station of the lip that holds the water, To that up to which it
	// stands: where the pipe rises above the lip again, or the last shot.
	From units.Length `json:"from"`
	To   units.Length `json:"to"`
	// Low is the station of the lowest shot, and Depth the depth of water there.
	Low   units.Length `json:"low"`
	Depth units.Length `json:"depth"`
	// Open says that the pipe does not rise above the lip before the last shot, so
	// that water stands farther up than was surveyed.
	Open bool `json:"open,omitzero"`
}

// String says where the belly is and how deep.
func (b Belly) String() string {
	s := fmt.Sprintf("%.2f to %.2f ft: belly, %.2f in deep at %.2f ft", b.From.Feet(), b.To.Feet(), b.Depth.Inches(),
		b.Low.Feet())
	if b.Open {
		s += ", and on beyond the last shot"
	}
	return s
}

// Mend is a stretch to lay again, or the news that none will do.
type Mend struct {
	// FaultFrom and FaultTo bound the fault it is for.
	FaultFrom units.Length `json:"fault_from"`
	FaultTo   units.Length `json:"fault_to"`
	// From and To are the stations between which the pipe is laid straight at
	// Grade; the shots there stay. It is the shortest such stretch.
	From  units.Length `json:"from"`
	To    units.Length `json:"to"`
	Grade Grade        `json:"grade"`
	// Raise and Lower are the most that the pipe moves up or down in between, at
	// the stations RaiseAt and LowerAt.
	Raise   units.Length `json:"raise"`
	RaiseAt units.Length `json:"raise_at"`
	Lower   units.Length `json:"lower"`
	LowerAt units.Length `json:"lower_at"`
	// Possible tells whether there is such a stretch. If not, Short is by how much
	// the nearest fixed points lack the height for the least grade.
	Possible bool         `json:"possible,omitzero"`
	Short    units.Length `json:"short"`
}

// String says what to do.
func (m Mend) String() string {
	if !m.Possible {
		return fmt.Sprintf("%.2f to %.2f ft: cannot be mended between the fixed points, which lack %.2f in of fall",
			m.FaultFrom.Feet(), m.FaultTo.Feet(), m.Short.Inches())
	}
	s := fmt.Sprintf("%.2f to %.2f ft: lay again from %.2f to %.2f ft at %.2f", m.FaultFrom.Feet(), m.FaultTo.Feet(),
		m.From.Feet(), m.To.Feet(), m.Grade)
	if m.Raise > 0 {
		s += fmt.Sprintf(", raising it up to %.2f in at %.2f ft", m.Raise.Inches(), m.RaiseAt.Feet())
	}
	if m.Lower > 0 {
		s += fmt.Sprintf(", lowering it up to %.2f in at %.2f ft", m.Lower.Inches(), m.LowerAt.Feet())
	}
	return s
}

// MaxShots is the most shots a survey may have.
const MaxShots = 10_000

// AsBuilt judges a survey: every shot against the design, every stretch between
// two shots by its fall, every belly by where water stands, and for every part
// that does not fall at its least grade the shortest stretch which, laid again
// straight between two shots that stay, gives it that grade. All faults of the
// survey itself are reported together.
func (s Survey) AsBuilt() (*AsBuilt, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	out := &AsBuilt{}
	var list faults.List
	for i, shot := range s.Shots {
		p := SurveyedPoint{Shot: shot, Within: true}
		if s.Design != nil {
			at, err := s.Design.At(shot.Station)
			if !note(&list, "shot", i, "", "", err) {
				continue
			}
			p.Design = at.Leaving
			if i > 0 && s.Shots[i-1].Station == shot.Station {
				p.Design = at.Arriving
			}
			p.Off = shot.Invert - p.Design
			p.Within = -s.Tolerance <= p.Off && p.Off <= s.Tolerance
		}
		out.Points = append(out.Points, p)
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	for i := 1; i < len(s.Shots); i++ {
		out.Stretches = append(out.Stretches, s.stretch(i))
	}
	out.Bellies = s.bellies()
	out.Mends = s.mends(out.Stretches)
	return out, nil
}

func (s Survey) check() error {
	var list faults.List
	list.Note("", "", checkSize("tolerance", s.Tolerance), checkSize("resolution", s.Resolution), checkGrade(s.Least))
	if s.Least.rise < 0 {
		list.Addf("", "", "least grade: %w: %v rises", ErrGrade, s.Least)
	}
	if len(s.Shots) < 2 || len(s.Shots) > MaxShots {
		list.Addf("", "", "shots: %w: %d: 2 to %d", units.ErrRange, len(s.Shots), MaxShots)
		return list.Err()
	}
	for i, shot := range s.Shots {
		item := itemName("shot", i, "")
		if !list.Note(item, "", firstOf(checkSize("station", shot.Station), check("invert", shot.Invert))) {
			continue
		}
		switch {
		case i > 0 && shot.Station < s.Shots[i-1].Station:
			list.Addf(item, "station", "%w: it lies before the one above it", units.ErrRange)
		case i > 1 && shot.Station == s.Shots[i-2].Station:
			list.Addf(item, "station", "%w: a third shot at one station", units.ErrRange)
		}
	}
	return list.Err()
}

// stretch judges the pipe between shots i-1 and i.
func (s Survey) stretch(i int) Stretch {
	a, b := s.Shots[i-1], s.Shots[i]
	st := Stretch{From: a.Station, To: b.Station, Fall: b.Invert - a.Invert}
	run := b.Station - a.Station
	switch {
	case st.Fall < -s.Resolution:
		st.Kind = BackGraded
	case run == 0:
	case st.Fall <= s.Resolution && !s.enough(i-1, i):
		st.Kind = Flat
	case !s.enough(i-1, i):
		st.Kind = Shallow
	}
	st.Short = max(0, s.Least.Over(run)-st.Fall)
	return st
}

// enough tells whether a straight pipe between shots i and j has the least grade.
func (s Survey) enough(i, j int) bool {
	fall, run := s.Shots[j].Invert-s.Shots[i].Invert, s.Shots[j].Station-s.Shots[i].Station
	if run == 0 {
		return fall >= 0
	}
	// Compare multiplies across, so that the ratio need not be reduced.
	return Grade{int64(fall), int64(run)}.Compare(s.Least) >= 0
}

// bellies walks up from the outlet with the level of water held by the highest
// shot so far.
func (s Survey) bellies() []Belly {
	var out []Belly
	lip := 0
	var b *Belly
	for i := 1; i < len(s.Shots); i++ {
		shot, level := s.Shots[i], s.Shots[lip].Invert
		if shot.Invert < level {
			if b == nil {
				b = &Belly{From: s.Shots[lip].Station, Low: shot.Station}
			}
			if d := level - shot.Invert; d > b.Depth {
				b.Depth, b.Low = d, shot.Station
			}
			continue
		}
		if b != nil {
			prev := s.Shots[i-1]
			b.To = prev.Station + units.Length(mulDiv(int64(shot.Station-prev.Station), int64(level-prev.Invert),
				int64(shot.Invert-prev.Invert)))
			out = s.keep(out, b)
			b = nil
		}
		lip = i
	}
	if b != nil {
		b.To, b.Open = s.Shots[len(s.Shots)-1].Station, true
		out = s.keep(out, b)
	}
	return out
}

// keep adds a belly that the readings can tell.
func (s Survey) keep(out []Belly, b *Belly) []Belly {
	if b.Depth > s.Resolution {
		out = append(out, *b)
	}
	return out
}

// window is the shots i..j of a stretch to lay again for the fault a..b.
type window struct {
	a, b, i, j int
	possible   bool
	short      units.Length
}

// mends finds a window for each fault. One that runs into the next fault takes it
// in, since a shot inside cannot stay for the other.
func (s Survey) mends(stretches []Stretch) []Mend {
	var stack []window
	for k := 0; k < len(stretches); k++ {
		if stretches[k].Kind == Falls {
			continue
		}
		a, b := k, k+1
		for b < len(stretches) && stretches[b].Kind != Falls && !s.Shots[b].Fixed {
			b++
		}
		k = b - 1
		w := s.window(a, b)
		for len(stack) > 0 {
			top := stack[len(stack)-1]
			if !top.possible || !w.possible || top.j <= w.i {
				break
			}
			stack = stack[:len(stack)-1]
			w = s.window(top.a, w.b)
		}
		stack = append(stack, w)
	}
	out := make([]Mend, len(stack))
	for i, w := range stack {
		out[i] = s.mend(w)
	}
	return out
}

// window returns the shortest i..j around a..b, with no fixed shot inside, whose
// straight line has the least grade.
//
// Going out from a, only a shot that lies lower against the least grade than all
// before it can help; going out from b, only a higher one. Along the first row
// the partner in the second only comes nearer, so that one walk over both finds
// every pair.
func (s Survey) window(a, b int) window {
	w := window{a: a, b: b, i: a, j: b, short: units.MaxLength}
	lows, highs := []int{a}, []int{b}
	for i := a; i > 0 && !s.Shots[i].Fixed; i-- {
		// Lower against the least grade: the grade from i-1 up to the last is enough.
		if last := lows[len(lows)-1]; s.enough(i-1, last) {
			lows = append(lows, i-1)
		}
	}
	for j := b; j < len(s.Shots)-1 && !s.Shots[j].Fixed; j++ {
		if last := highs[len(highs)-1]; s.enough(last, j+1) {
			highs = append(highs, j+1)
		}
	}
	far := len(highs) - 1
	for _, i := range lows {
		if !s.enough(i, highs[far]) {
			run := s.Shots[highs[far]].Station - s.Shots[i].Station
			if short := s.Least.Over(run) - (s.Shots[highs[far]].Invert - s.Shots[i].Invert); !w.possible {
				w.short = min(w.short, short)
			}
			continue
		}
		for far > 0 && s.enough(i, highs[far-1]) {
			far--
		}
		if j := highs[far]; !w.possible || s.span(i, j) < s.span(w.i, w.j) {
			w.i, w.j, w.possible = i, j, true
		}
	}
	return w
}

func (s Survey) span(i, j int) units.Length { return s.Shots[j].Station - s.Shots[i].Station }

func (s Survey) mend(w window) Mend {
	m := Mend{FaultFrom: s.Shots[w.a].Station, FaultTo: s.Shots[w.b].Station, Possible: w.possible}
	if !w.possible {
		m.Short = w.short
		return m
	}
	from, to := s.Shots[w.i], s.Shots[w.j]
	m.From, m.To = from.Station, to.Station
	g, err := Of(to.Invert-from.Invert, to.Station-from.Station)
	if err != nil { // a step at one station, which only a drop may have
		return m
	}
	m.Grade = g
	for k := w.i + 1; k < w.j; k++ {
		shot := s.Shots[k]
		move := from.Invert + g.Over(shot.Station-from.Station) - shot.Invert
		if move > m.Raise {
			m.Raise, m.RaiseAt = move, shot.Station
		}
		if -move > m.Lower {
			m.Lower, m.LowerAt = -move, shot.Station
		}
	}
	return m
}
