package dwv

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// Part is a part of the drainage, as codes size them.
type Part uint8

// The parts. A code whose rule branch-as-drain says so sizes branches as drains; one
// that has no figures for sewers sizes those as drains too.
const (
	Branch        Part = iota + 1 // horizontal fixture branch
	Stack                         // whole load of a stack
	StackInterval                 // what enters a stack in one branch interval
	Drain                         // building drain and its branches
	Sewer                         // building sewer

	partCount = int(Sewer) + 1
)

var parts = enum.Words[Part]{What: "part", Err: tables.ErrQuery,
	Words: []string{"", "branch", "stack", "stack-interval", "drain", "sewer"}}

// String returns "branch", "stack", "stack-interval", "drain" or "sewer".
func (p Part) String() string { return parts.String(p) }

// MarshalText returns the text of String.
func (p Part) MarshalText() ([]byte, error) { return parts.Marshal(p) }

// UnmarshalText reads the text of String.
func (p *Part) UnmarshalText(text []byte) error { return parts.Unmarshal(text, p) }

// capacities are the columns of greatest loads of one part.
type capacities struct {
	// graded columns, flat to steep, for parts laid to a grade
	graded []gradeColumn
	// columns by branch intervals, for stacks: the one for more than the most
	// intervals last
	plain []intervalColumn
	// near is, by column, the sizes at the flattest grade from there on at which each
	// is laid
	near [][]nearRow
}

func (c *capacities) any() bool { return len(c.graded)+len(c.plain) > 0 }

type gradeColumn struct {
	grade slope.Grade
	// flattest is the grade from which the column serves: its own, or the flatter
	// one that the code prints as equal to it.
	flattest slope.Grade
	nominal  tables.Citation
	factor   tables.Citation // the row that derives the column from another
	column
}

type intervalColumn struct {
	over int // for more branch intervals than this
	column
}

// column is the greatest loads by size, ascending.
type column struct {
	rows  []capacityRow
	below bool // the load must be under the limit, not at most
}

type capacityRow struct {
	size      units.Length
	max, min  FixtureUnits
	permitted bool
	cite      tables.Citation
}

// holds reports whether row r takes the load.
func (c *column) holds(r *capacityRow, load FixtureUnits) bool {
	return r.permitted && load >= r.min && (load < r.max || load == r.max && !c.below)
}

func (c *column) find(size units.Length) *capacityRow {
	for i := range c.rows {
		if c.rows[i].size == size {
			return &c.rows[i]
		}
	}
	return nil
}

// DrainQuery asks for the size of a pipe.
type DrainQuery struct {
	Part Part         `json:"part"`
	Load FixtureUnits `json:"load"`
	// Grade the pipe is laid to. Drains and sewers need it; so do branches where the
	// code prints drains for several grades and nothing for branches. A branch of a
	// code that prints one grade for both may leave it out.
	Grade slope.Grade `json:"grade"`
	// Closets is the water closets, and traps counted alike ([Load].Closets).
	Closets int `json:"closets"`
	// BelowGround is for pipe in the ground or under a slab.
	BelowGround bool `json:"below_ground,omitzero"`
	// Intervals is the branch intervals of the stack. Zero: not stated.
	Intervals int `json:"intervals"`
	// MinSize is a size that the pipe may not be under: the pipe upstream, the least
	// drain of a fixture. Zero: none.
	MinSize units.Length `json:"min_size"`
}

// SizeReason says what decided a size.
type SizeReason uint8

// The reasons.
const (
	ByLoad        SizeReason = iota + 1 // the greatest load of the next smaller size
	ByClosets                           // water closets
	ByBelowGround                       // the least size below ground
	ByMinSize                           // the MinSize of the query
)

var sizeReasons = enum.Words[SizeReason]{What: "reason of a size", Err: tables.ErrQuery, Blank: true,
	Words: []string{"", "load", "water closets", "minimum size underground", "least size asked for"}}

// String returns a few words.
func (r SizeReason) String() string { return sizeReasons.String(r) }

// MarshalText returns the text of String.
func (r SizeReason) MarshalText() ([]byte, error) { return sizeReasons.Marshal(r) }

// UnmarshalText reads the text of String.
func (r *SizeReason) UnmarshalText(text []byte) error { return sizeReasons.Unmarshal(text, r) }

// SizeResult is a size and what decided it.
type SizeResult struct {
	Size    units.Length `json:"size"`     // nominal, as the code names it
	MaxLoad FixtureUnits `json:"max_load"` // what that size may carry, in the column used
	Load    FixtureUnits `json:"load"`     // what was asked
	// Grade is the grade of the column used. Zero: the table has no grades.
	Grade     slope.Grade `json:"grade"`
	DecidedBy SizeReason  `json:"decided_by"`
	// Citation is the row that decided, Capacity the row of MaxLoad; they are the
	// same if the load decided.
	Citation tables.Citation `json:"citation,omitzero"`
	Capacity tables.Citation `json:"capacity,omitzero"`
	// Factor is the row that derives the column from another grade's, Nominal the
	// row by which the grade counts as that of the column though it is flatter. Zero:
	// neither was needed.
	Factor  tables.Citation `json:"factor,omitzero"`
	Nominal tables.Citation `json:"nominal,omitzero"`
	// NextSize is the next larger size that carries more, and how much;
	// NextGrade the next steeper column, and what this size carries there. Zero:
	// there is none.
	NextSize         units.Length `json:"next_size"`
	NextSizeMaxLoad  FixtureUnits `json:"next_size_max_load"`
	NextGrade        slope.Grade  `json:"next_grade"`
	NextGradeMaxLoad FixtureUnits `json:"next_grade_max_load"`
}

// Margin returns the load that could be added.
func (r SizeResult) Margin() FixtureUnits { return r.MaxLoad - r.Load }

// Status returns the standing of the weakest row that the answer rests on.
func (r SizeResult) Status() tables.Status {
	return weakest(r.Citation, r.Capacity, r.Factor, r.Nominal)
}

func weakest(list ...tables.Citation) tables.Status {
	var s tables.Status
	for _, c := range list {
		if !c.IsZero() && (s == 0 || c.Status() < s) {
			s = c.Status()
		}
	}
	return s
}

// Why says in a sentence what decided the size.
func (r SizeResult) Why() string {
	at := ""
	if !r.Grade.IsLevel() {
		at = fmt.Sprintf(" at %v", r.Grade)
		if !r.Nominal.IsZero() {
			at += ", which the code prints as equal to the grade laid"
		}
	}
	return fmt.Sprintf("%v: %s carries up to %v%s, %v asked", r.DecidedBy, FormatSize(r.Size), r.MaxLoad, at, r.Load)
}

type branchRecord struct {
	Part    string                    `table:"part"`
	Over    int                       `table:"over_intervals"`
	Size    units.Length              `table:"size"`
	MaxLoad tables.Cell[FixtureUnits] `table:"max_load"`
}

type drainRecord struct {
	Size    units.Length              `table:"size"`
	Grade   slope.Grade               `table:"grade"`
	MaxLoad tables.Cell[FixtureUnits] `table:"max_load"`
	MinLoad tables.Cell[FixtureUnits] `table:"min_load,optional"`
}

type factorRecord struct {
	Grade    slope.Grade  `table:"grade"`
	SizeFrom units.Length `table:"size_from"`
	Factor   string       `table:"factor"`
}

func (c *Code) loadSizes(shelf *tables.Shelf) error {
	branches, errBranches := table[branchRecord](c, shelf, "branches-and-stacks", "part, over_intervals, size")
	drains, errDrains := table[drainRecord](c, shelf, "building-drain", "size, grade")
	sewers, errSewers := table[drainRecord](c, shelf, "building-sewer", "size, grade")
	factors, errFactors := table[factorRecord](c, shelf, "grade-factors", "grade, size_from")
	if err := errors.Join(errBranches, errDrains, errSewers, errFactors); err != nil {
		return err
	}
	errs := []error{c.addBranches(branches)}
	if drains != nil {
		graded, err := c.gradedColumns(drains)
		errs = append(errs, err)
		if factors != nil {
			graded, err = derive(graded, factors)
			errs = append(errs, err)
		}
		c.parts[Drain].graded = graded
		c.parts[Sewer].graded = graded
	}
	if sewers != nil {
		graded, err := c.gradedColumns(sewers)
		errs = append(errs, err)
		c.parts[Sewer].graded = joinColumns(c.parts[Drain].graded, graded)
	}
	if _, ok := c.Rule(ruleBranchAsDrain); ok && !c.parts[Branch].any() {
		c.parts[Branch].graded = c.parts[Drain].graded
	}
	return errors.Join(errs...)
}

// newCapacity reads a cell of greatest loads, and notes that pipe is made in the size. A blank
// gives no figure, so no load is within it.
func (c *Code) newCapacity(size units.Length, max, min tables.Cell[FixtureUnits], cite tables.Citation) (
	capacityRow, error) {
	c.made = append(c.made, size)
	row := capacityRow{size: size, max: max.Value, min: min.Value, permitted: max.Kind == tables.Value, cite: cite}
	if max.Kind == tables.Unlimited || size <= 0 || size > maxPipeSize {
		file, line := cite.File()
		return row, fmt.Errorf("%s:%d: %w: a greatest load is a number, - or blank, of a size up to 10 m", file, line,
			tables.ErrQuery)
	}
	return row, nil
}

func (c *Code) addBranches(rows *tables.Rows[branchRecord]) error {
	var errs []error
	for i, r := range rows.All() {
		var part Part
		if err := part.UnmarshalText([]byte(r.Part)); err != nil || part == Drain || part == Sewer {
			errs = append(errs, fmt.Errorf("branches-and-stacks: %w: part %q", tables.ErrQuery, r.Part))
			continue
		}
		row, err := c.newCapacity(r.Size, r.MaxLoad, tables.Cell[FixtureUnits]{}, rows.Cite(i))
		errs = append(errs, err)
		p := &c.parts[part]
		at := slices.IndexFunc(p.plain, func(k intervalColumn) bool { return k.over == r.Over })
		if at < 0 {
			at = len(p.plain) // the table ascends by over_intervals
			p.plain = append(p.plain, intervalColumn{over: r.Over,
				column: column{below: rows.Table().Boundary() == tables.Below}})
		}
		p.plain[at].rows = append(p.plain[at].rows, row)
	}
	return errors.Join(errs...)
}

func (c *Code) gradedColumns(rows *tables.Rows[drainRecord]) ([]gradeColumn, error) {
	var list []gradeColumn
	var errs []error
	below := rows.Table().Boundary() == tables.Below
	for i, r := range rows.All() {
		row, err := c.newCapacity(r.Size, r.MaxLoad, r.MinLoad, rows.Cite(i))
		errs = append(errs, err)
		at := slices.IndexFunc(list, func(k gradeColumn) bool { return k.grade == r.Grade })
		if at < 0 {
			at = len(list)
			list = append(list, gradeColumn{grade: r.Grade, flattest: r.Grade, column: column{below: below}})
		}
		list[at].rows = append(list[at].rows, row)
	}
	slices.SortFunc(list, func(a, b gradeColumn) int { return a.grade.Compare(b.grade) })
	return list, errors.Join(errs...)
}

// derive adds the columns of other grades that a factor gives from the one printed.
func derive(list []gradeColumn, factors *tables.Rows[factorRecord]) ([]gradeColumn, error) {
	if len(list) != 1 {
		return list,
			fmt.Errorf("grade-factors: %w: building-drain must have one grade, it has %d", tables.ErrQuery, len(list))
	}
	printed := list[0]
	var errs []error
	for i, f := range factors.All() {
		factor, err := ParseFixtureUnits(f.Factor)
		if err != nil || f.Grade == printed.grade {
			errs = append(errs, fmt.Errorf("grade-factors: %w: factor %q at %v", tables.ErrQuery, f.Factor, f.Grade))
			continue
		}
		col := gradeColumn{grade: f.Grade, flattest: f.Grade, factor: factors.Cite(i),
			column: column{below: printed.below}}
		for _, row := range printed.rows {
			whole := true
			if row.permitted = row.permitted && row.size >= f.SizeFrom; row.permitted {
				row.max, whole = scaled(row.max, int64(factor/thousandth))
			}
			if !whole {
				errs = append(errs, fmt.Errorf("grade-factors: %w: %s of the load on %s is not a whole thousandth",
					tables.ErrQuery, f.Factor, FormatSize(row.size)))
			}
			col.rows = append(col.rows, row)
		}
		list = append(list, col)
	}
	slices.SortFunc(list, func(a, b gradeColumn) int { return a.grade.Compare(b.grade) })
	return list, errors.Join(errs...)
}

// joinColumns puts the sizes of sewers over those of drains: sizes that the sewer
// table has are its own, smaller ones are the drain's.
func joinColumns(drains, sewers []gradeColumn) []gradeColumn {
	var list []gradeColumn
	first := units.Length(maxPipeSize)
	for _, s := range sewers {
		first = min(first, s.rows[0].size)
	}
	for _, d := range drains {
		d.rows = slices.DeleteFunc(slices.Clone(d.rows), func(r capacityRow) bool { return r.size >= first })
		list = append(list, d)
	}
	for _, s := range sewers {
		at := slices.IndexFunc(list, func(k gradeColumn) bool { return k.grade == s.grade })
		if at < 0 {
			list = append(list, s)
			continue
		}
		list[at].rows = append(list[at].rows, s.rows...)
	}
	slices.SortFunc(list, func(a, b gradeColumn) int { return a.grade.Compare(b.grade) })
	return list
}

// nominalRecord is a flatter grade that the code prints as equal to one of its own.
type nominalRecord struct {
	Grade   slope.Grade `table:"grade"`
	Nominal slope.Grade `table:"nominal"`
}

func (c *Code) loadNominal(shelf *tables.Shelf) error {
	rows, err := table[nominalRecord](c, shelf, "nominal-grades", "grade")
	if err != nil {
		return err
	}
	for i, r := range rows.All() {
		c.nominal = append(c.nominal, cited[nominalRecord]{*r, rows.Cite(i)})
	}
	for p := range c.parts {
		// Parts may share their columns: each gets its own before it is changed.
		c.parts[p].graded = slices.Clone(c.parts[p].graded)
		for i := range c.parts[p].graded {
			col := &c.parts[p].graded[i]
			for _, n := range c.nominal {
				if n.is.Grade == col.grade && n.is.Nominal.Compare(col.flattest) < 0 {
					col.flattest, col.nominal = n.is.Nominal, n.cite
				}
			}
		}
		list := c.parts[p].graded
		for i := range list {
			c.parts[p].near = append(c.parts[p].near, nearRows(list[i:]))
		}
	}
	return nil
}

// GradeReaches reports whether grade g is at least a limit, but for less than a
// thousandth of it, which is rounding; or whether the code prints the two as equal, and
// then nominal is the row that says so.
func (c *Code) GradeReaches(g, limit slope.Grade) (ok bool, nominal tables.Citation) {
	c = c.there()
	if reaches(g, limit) {
		return true, tables.Citation{}
	}
	for i := range c.nominal {
		if n := &c.nominal[i]; n.is.Grade == limit && g.Compare(n.is.Nominal) >= 0 {
			return true, n.cite
		}
	}
	return false, tables.Citation{}
}

// closetRecord is how many closets a pipe may take from a size up.
type closetRecord struct {
	Part string           `table:"part"`
	Size units.Length     `table:"size"`
	Most tables.Cell[int] `table:"max_closets"`
}

func (c *Code) loadClosets(shelf *tables.Shelf) error {
	rows, err := table[closetRecord](c, shelf, "water-closets", "part, size")
	errs := []error{err}
	for i, r := range rows.All() {
		step := cited[closetRecord]{*r, rows.Cite(i)}
		switch r.Most.Kind {
		case tables.NotPermitted:
			step.is.Most.Kind = tables.Value // of none
		case tables.Blank:
			errs = append(errs, fmt.Errorf("water-closets: %w: no figure for %s %s", tables.ErrQuery, r.Part,
				FormatSize(r.Size)))
		}
		if r.Part == "vent" {
			c.ventClos = append(c.ventClos, step)
			continue
		}
		var part Part
		if err := part.UnmarshalText([]byte(r.Part)); err != nil {
			errs = append(errs, fmt.Errorf("water-closets: %w", err))
			continue
		}
		c.closets[part] = append(c.closets[part], step)
	}
	return errors.Join(errs...)
}

// closetSize returns the smallest size from which n closets are allowed. ok is
// false if no size allows them.
func closetSize(steps []cited[closetRecord], n int) (from units.Length, cite tables.Citation, ok bool) {
	for i := range steps {
		if s := &steps[i]; s.is.Most.Kind == tables.Unlimited || n <= s.is.Most.Value {
			return s.is.Size, s.cite, true
		}
	}
	return 0, tables.Citation{}, false
}

// ClosetLimit returns the most water closets, and traps counted alike, on a pipe of
// a size: a number, unlimited, or not permitted. The citation is the deciding row,
// that of the smallest size that takes any where the pipe is smaller. Blank: the
// code has no such table.
func (c *Code) ClosetLimit(part Part, size units.Length) (tables.Cell[int], tables.Citation) {
	c = c.there()
	if int(part) >= partCount || len(c.closets[part]) == 0 {
		return tables.Cell[int]{}, tables.Citation{}
	}
	steps := c.closets[part]
	limit, cite := tables.Cell[int]{Kind: tables.NotPermitted}, steps[0].cite
	for i := range steps {
		if s := &steps[i]; s.is.Size <= size {
			limit, cite = s.is.Most, s.cite
		}
	}
	return limit, cite
}

// MinSizeBelowGround returns the least size of a drain in the ground or under a
// slab. Unlimited: the code sets none. Blank: the shelf does not say.
func (c *Code) MinSizeBelowGround() (tables.Cell[units.Length], tables.Citation) {
	c = c.there()
	return c.belowGround.is, c.belowGround.cite
}

// MaxClosets is the greatest number of water closets on a pipe: a billion.
const MaxClosets = 1_000_000_000

func (c *Code) checkPart(p Part) error {
	if err := parts.Check(p); err != nil {
		return c.refuse("", "part", err)
	}
	if !c.parts[p].any() {
		return c.fault("", "part", tables.ErrNotOnShelf, "no loads for a %v", p)
	}
	return nil
}

// pick returns the column that serves a part laid to a grade or of so many
// intervals. The graded column is nil where the table has no grades.
func (c *Code) pick(part Part, grade slope.Grade, intervals int) (*column, *gradeColumn, error) {
	if err := c.checkPart(part); err != nil {
		return nil, nil, err
	}
	p := &c.parts[part]
	if len(p.plain) > 0 {
		col, err := c.pickIntervals(part, p.plain, intervals)
		return col, nil, err
	}
	if !grade.Valid() || grade.Compare(slope.Grade{}) < 0 {
		return nil, nil, c.fault(part.String(), "grade", tables.ErrQuery, "%v does not fall", grade)
	}
	if grade.IsLevel() {
		if part != Branch {
			return nil, nil, c.fault(part.String(), "grade", tables.ErrNotStated, "%s", gradeList(p.graded))
		}
		// The grade that the table itself prints.
		var printed *gradeColumn
		for i := range p.graded {
			if g := &p.graded[i]; g.factor.IsZero() {
				if printed != nil {
					return nil, nil, c.fault(part.String(), "grade", tables.ErrNotStated, "%s", gradeList(p.graded))
				}
				printed = g
			}
		}
		return &printed.column, printed, nil
	}
	// The steepest tabulated grade not above the one laid, where a nominal pair
	// counts as the grade it is printed beside.
	for i := len(p.graded) - 1; i >= 0; i-- {
		if g := &p.graded[i]; g.serves(grade) {
			return &g.column, g, nil
		}
	}
	return nil, nil, c.fault(part.String(), "grade", tables.ErrOutsideTable,
		"%v is flatter than the table, which begins at %v", grade, p.graded[0].grade)
}

func (c *Code) pickIntervals(part Part, list []intervalColumn, intervals int) (*column, error) {
	if intervals < 0 || intervals > 1000 {
		return nil, c.fault(part.String(), "intervals", tables.ErrQuery, "%d is not from 0 to 1000", intervals)
	}
	if len(list) == 1 {
		return &list[0].column, nil
	}
	if intervals == 0 {
		return nil, c.fault(part.String(), "intervals", tables.ErrNotStated, "up to %d branch intervals and more",
			list[1].over)
	}
	at := 0
	for i := range list {
		if intervals > list[i].over {
			at = i
		}
	}
	return &list[at].column, nil
}

func gradeList(list []gradeColumn) string {
	var grades []string
	for _, g := range list {
		grades = append(grades, g.grade.String())
	}
	return strings.Join(grades, ", ")
}

// DrainSize returns the smallest size of the code that carries what q asks: its
// load in the column of the grade or of the branch intervals, its water closets,
// the least size below ground and the MinSize.
//
// The column used is the steepest tabulated grade not above the one laid, where a
// grade that the code prints as equal counts as its own. A load or a grade outside
// the table is [tables.ErrOutsideTable]; what the code tells apart and q leaves open is
// [tables.ErrNotStated]; closets on a part for which the shelf has no figures are
// [tables.ErrNotInCode].
func (c *Code) DrainSize(q DrainQuery) (SizeResult, error) {
	c = c.there()
	f, err := c.fit(&q)
	if err != nil {
		return SizeResult{}, err
	}
	row := f.row()
	r := SizeResult{Size: row.size, MaxLoad: row.max, Load: q.Load, Capacity: row.cite}
	r.DecidedBy, r.Citation = f.decided()
	for i := f.at + 1; i < len(f.col.rows); i++ {
		if next := &f.col.rows[i]; next.permitted && next.max > row.max {
			r.NextSize, r.NextSizeMaxLoad = next.size, next.max
			break
		}
	}
	if f.graded != nil {
		r.Grade, r.Factor = f.graded.grade, f.graded.factor
		if !q.Grade.IsLevel() && !reaches(q.Grade, r.Grade) {
			r.Nominal = f.graded.nominal
		}
		c.nextGrade(&r, c.parts[q.Part].graded)
	}
	return r, nil
}

// fitted is the row that answers a query: the first that carries the load and is
// not under the least size, and why it may not be under that.
type fitted struct {
	col    *column
	graded *gradeColumn // nil where the table has no grades
	at     int          // the row
	byLoad int          // the first row that carries the load
	reason SizeReason   // of the least size
	cite   tables.Citation
}

func (f *fitted) row() *capacityRow { return &f.col.rows[f.at] }

// decided returns what decided the size and the row or rule that says so.
func (f *fitted) decided() (SizeReason, tables.Citation) {
	switch {
	case f.at == f.byLoad:
		return ByLoad, f.row().cite
	case f.cite.IsZero():
		return f.reason, f.row().cite
	}
	return f.reason, f.cite
}

// fit does the work of [Code.DrainSize].
func (c *Code) fit(q *DrainQuery) (f fitted, err error) {
	switch {
	case !q.Load.Valid():
		return f, c.refuse(q.Part.String(), "load", q.Load.Check())
	case q.Closets < 0 || q.Closets > MaxClosets:
		return f, c.fault(q.Part.String(), "water_closets", tables.ErrQuery, "%d", q.Closets)
	case q.MinSize < 0 || q.MinSize > maxPipeSize:
		return f, c.fault(q.Part.String(), "min_size", tables.ErrQuery, "%s", FormatSize(q.MinSize))
	}
	if f.col, f.graded, err = c.pick(q.Part, q.Grade, q.Intervals); err != nil {
		return f, err
	}
	var least units.Length
	if least, f.reason, f.cite, err = c.leastSize(q); err != nil {
		return f, err
	}
	at, err := c.fitColumn(q, f.col, least, f.reason)
	f.at, f.byLoad = at.at, at.byLoad
	return f, err
}

// fitColumn finds the first row of a column that carries the load and is not under the
// least size, or the last one with an error.
func (c *Code) fitColumn(q *DrainQuery, col *column, least units.Length, reason SizeReason) (f fitted, err error) {
	f = fitted{col: col, at: -1, byLoad: -1}
	for i := range col.rows {
		row := &col.rows[i]
		if row.permitted {
			f.at = i
		}
		if !col.holds(row, q.Load) {
			continue
		}
		if f.byLoad < 0 {
			f.byLoad = i
		}
		if row.size >= least {
			return f, nil
		}
	}
	return f, c.tooMuch(*q, col, least, reason, f.byLoad >= 0)
}

// nextGrade fills in the next steeper column in which the size carries more.
func (c *Code) nextGrade(r *SizeResult, list []gradeColumn) {
	for i := range list {
		g := &list[i]
		if g.grade.Compare(r.Grade) <= 0 {
			continue
		}
		if row := g.find(r.Size); row != nil && row.permitted && row.max > r.MaxLoad {
			r.NextGrade, r.NextGradeMaxLoad = g.grade, row.max
			return
		}
	}
}

// tooMuch makes the error for a query that no size of a column satisfies.
func (c *Code) tooMuch(q DrainQuery, col *column, least units.Length, reason SizeReason, loadFits bool) error {
	item := q.Part.String()
	if loadFits {
		return c.fault(item, "min_size", tables.ErrOutsideTable, "no size of the table is as large as %s (%v)",
			FormatSize(least), reason)
	}
	var most *capacityRow
	for i := range col.rows {
		if row := &col.rows[i]; row.permitted && (most == nil || row.max > most.max) {
			most = row
		}
	}
	if most == nil {
		return c.fault(item, "grade", tables.ErrOutsideTable, "no size is laid so flat")
	}
	return c.fault(item, "load", tables.ErrOutsideTable, "%v: the table goes to %v on %s", q.Load, most.max,
		FormatSize(most.size))
}

// Capacity is what a pipe of a size may carry.
type Capacity struct {
	// Max is the greatest load; Permitted is false where the size is not laid to
	// that grade at all. Min is the least load of a large sewer, usually zero.
	Max       FixtureUnits `json:"max"`
	Min       FixtureUnits `json:"min"`
	Permitted bool         `json:"permitted,omitzero"`
	// Grade is the grade of the column used. Zero: the table has no grades.
	Grade slope.Grade `json:"grade"`
	// Citation is the row of the load. Factor and Nominal are as in [SizeResult].
	Citation tables.Citation `json:"citation,omitzero"`
	Factor   tables.Citation `json:"factor,omitzero"`
	Nominal  tables.Citation `json:"nominal,omitzero"`
}

// Holds reports whether a load is within the capacity.
func (k Capacity) Holds(load FixtureUnits) bool {
	return k.Permitted && k.Min <= load && load <= k.Max
}

// Status returns the standing of the weakest row the answer rests on.
func (k Capacity) Status() tables.Status { return weakest(k.Citation, k.Factor, k.Nominal) }

// Capacity returns what a pipe of a size may carry, in the column that
// [Code.DrainSize] would use. A size without a row is [tables.ErrOutsideTable].
func (c *Code) Capacity(part Part, size units.Length, grade slope.Grade, intervals int) (Capacity, error) {
	c = c.there()
	col, graded, err := c.pick(part, grade, intervals)
	if err != nil {
		return Capacity{}, err
	}
	row := col.find(size)
	if row == nil {
		var sizes []units.Length
		for _, r := range col.rows {
			sizes = append(sizes, r.size)
		}
		return Capacity{}, c.fault(part.String(), "size", tables.ErrOutsideTable, "%s",
			noRow(size, sizes))
	}
	k := Capacity{Max: row.max, Min: row.min, Permitted: row.permitted, Citation: row.cite}
	if col.below && k.Max > 0 {
		k.Max -= FixtureUnit / 1000 // the greatest load that is still under the limit
	}
	if graded != nil {
		k.Grade, k.Factor = graded.grade, graded.factor
		if !grade.IsLevel() && !reaches(grade, graded.grade) {
			k.Nominal = graded.nominal
		}
	}
	return k, nil
}

// minGradeRecord is the least grade from a size up.
type minGradeRecord struct {
	Part     string                   `table:"part"`
	From     units.Length             `table:"size_from"`
	Least    slope.Grade              `table:"min_grade"`
	Approval tables.Cell[slope.Grade] `table:"with_approval,optional"`
}

func (c *Code) loadMinGrades(shelf *tables.Shelf) error {
	rows, err := table[minGradeRecord](c, shelf, "min-grade", "part, size_from")
	for i, r := range rows.All() {
		var part Part
		if err := part.UnmarshalText([]byte(r.Part)); err != nil {
			return fmt.Errorf("min-grade: %w", err)
		}
		c.grades[part] = append(c.grades[part], cited[minGradeRecord]{*r, rows.Cite(i)})
	}
	for _, p := range [...]Part{Branch, Sewer} {
		if c.grades[p] == nil {
			c.grades[p] = c.grades[Drain]
		}
	}
	return err
}

// GradeLimit is the least grade of a pipe.
type GradeLimit struct {
	Least slope.Grade `json:"least"`
	// WithApproval is the least grade where the authority approves it. Level: the
	// code speaks of none.
	WithApproval slope.Grade     `json:"with_approval"`
	Citation     tables.Citation `json:"citation,omitzero"`
}

// MinGrade returns the least grade of a horizontal pipe of a size. Use
// [Code.GradeReaches] to compare, which knows what the code prints as equal.
func (c *Code) MinGrade(part Part, size units.Length) (GradeLimit, error) {
	c = c.there()
	if part != Branch && part != Drain && part != Sewer {
		return GradeLimit{}, c.fault(part.String(), "part", tables.ErrQuery, "a %v has no grade", part)
	}
	steps := c.grades[part]
	if len(steps) == 0 {
		return GradeLimit{}, c.fault(part.String(), "grade", tables.ErrNotOnShelf, "no table min-grade")
	}
	at := -1
	for i := range steps {
		if steps[i].is.From <= size {
			at = i
		}
	}
	if at < 0 {
		return GradeLimit{}, c.fault(part.String(), "size", tables.ErrOutsideTable,
			"%s is smaller than the table, which begins at %s", FormatSize(size), FormatSize(steps[0].is.From))
	}
	s := &steps[at]
	return GradeLimit{s.is.Least, s.is.Approval.Value, s.cite}, nil
}
