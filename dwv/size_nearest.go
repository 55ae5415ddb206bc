package dwv

import (
	"cmp"
	"errors"
	"slices"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// nearLimit is the share of a limit of grade below which a grade reaches it: a grade
// that came out of a division (2.0833 % for 1/4 in per ft) lies nearer than any level
// reads.
const nearLimit = 0.999

// reaches tells whether a grade is at least a limit, but for less than a thousandth.
func reaches(g, limit slope.Grade) bool {
	return g.Compare(limit) >= 0 || g.Float() > nearLimit*limit.Float()
}

// serves tells whether the column is for a grade: it reaches that of the column, or one
// that the code prints as equal to it.
func (g *gradeColumn) serves(grade slope.Grade) bool {
	return reaches(grade, g.grade) || grade.Compare(g.flattest) >= 0
}

// nearRow is a size at the flattest grade, from one on, at which the code lays it.
type nearRow struct {
	graded *gradeColumn
	at     int
}

func (n nearRow) row() *capacityRow { return &n.graded.rows[n.at] }

// nearRows lists the sizes by the columns that may serve, flat to steep: each is held
// to the first that permits it.
func nearRows(list []gradeColumn) (rows []nearRow) {
	for k := range list {
		for i := range list[k].rows {
			size := list[k].rows[i].size
			held := slices.ContainsFunc(rows, func(n nearRow) bool { return n.row().size == size })
			if list[k].rows[i].permitted && !held {
				rows = append(rows, nearRow{&list[k], i})
			}
		}
	}
	slices.SortFunc(rows, func(a, b nearRow) int { return cmp.Compare(a.row().size, b.row().size) })
	return rows
}

// fitNearest does the work of [Code.NearestDrainSize].
func (c *Code) fitNearest(q *DrainQuery) (f fitted, ok bool, err error) {
	least, reason, cite, err := c.leastSize(q)
	col, graded, pickErr := c.pick(q.Part, q.Grade, q.Intervals)
	p := &c.parts[q.Part]
	switch from := 0; {
	case pickErr == nil && graded == nil:
		f, pickErr = c.fitColumn(q, col, least, reason)
	case pickErr == nil, errors.Is(pickErr, tables.ErrOutsideTable) && len(p.near) > 0: // or flatter than all of it
		for ; graded != nil && &p.graded[from] != graded; from++ {
		}
		f, pickErr = c.fitGraded(q, p.near[from], least, reason)
	default:
		return f, false, pickErr
	}
	f.reason, f.cite = reason, cite
	return f, f.at >= 0, errors.Join(err, pickErr)
}

// fitGraded finds the first row that carries the load and is not under the least size,
// or the last one with an error.
func (c *Code) fitGraded(q *DrainQuery, rows []nearRow, least units.Length, reason SizeReason) (f fitted, err error) {
	f.at = -1
	var byLoad units.Length // the smallest that carries the load
	for _, n := range rows {
		f = fitted{col: &n.graded.column, graded: n.graded, at: n.at, byLoad: -1}
		if !n.graded.holds(n.row(), q.Load) {
			continue
		}
		if byLoad == 0 {
			byLoad = n.row().size
		}
		if n.row().size >= least {
			if n.row().size == byLoad {
				f.byLoad = f.at
			}
			return f, nil
		}
	}
	p := &c.parts[q.Part]
	return f, c.tooMuch(*q, &p.graded[len(p.graded)-1].column, least, reason, byLoad > 0)
}

// leastSize is what a query asks of a size besides its load, and why.
func (c *Code) leastSize(q *DrainQuery) (least units.Length, reason SizeReason, cite tables.Citation, err error) {
	least, reason = q.MinSize, ByMinSize
	if rule := &c.belowGround; q.BelowGround && rule.is.Kind == tables.Value && rule.is.Value >= least {
		least, reason, cite = rule.is.Value, ByBelowGround, rule.cite
	}
	if q.Closets == 0 {
		return least, reason, cite, nil
	}
	steps := c.closets[q.Part]
	if len(steps) == 0 {
		return least, reason, cite, c.fault(q.Part.String(), "water_closets", tables.ErrNotInCode,
			"no figures for water closets on a %v", q.Part)
	}
	from, row, ok := closetSize(steps, q.Closets)
	if !ok {
		last := &steps[len(steps)-1]
		from, row = last.is.Size, last.cite
		err = c.fault(q.Part.String(), "water_closets", tables.ErrOutsideTable, "no size takes %d", q.Closets)
	}
	if from >= least {
		least, reason, cite = from, ByClosets, row
	}
	return least, reason, cite, err
}

// NearestSize is the answer of [Code.NearestDrainSize].
type NearestSize struct {
	Size      units.Length    `json:"size"`
	DecidedBy SizeReason      `json:"decided_by"`
	Citation  tables.Citation `json:"citation,omitzero"` // the row or rule that decided
	Row       tables.Citation `json:"row,omitzero"`      // the row of the size
}

// NearestDrainSize is [Code.DrainSize] for a pipe that is laid as it is. A grade that is
// too flat is a fault of the grade and no reason for a larger pipe: a size that the code
// does not lay so flat is held to the next steeper grade at which it does. A load or a
// number of closets that no size takes gets the largest there is, beside the error; ok
// is false where the code has no rows at all.
func (c *Code) NearestDrainSize(q DrainQuery) (size NearestSize, ok bool, err error) {
	c = c.there()
	f, ok, err := c.fitNearest(&q)
	if ok {
		size.Size, size.Row = f.row().size, f.row().cite
		size.DecidedBy, size.Citation = f.decided()
	}
	return size, ok, err
}

// NearestCapacity is [Code.Capacity] for a pipe that is laid as it is: where the code does not lay the
// size so flat it is that at the next steeper grade at which it does, and short tells
// so.
func (c *Code) NearestCapacity(part Part, size units.Length, grade slope.Grade, intervals int) (k Capacity, short bool,
	err error) {
	c = c.there()
	if k, err = c.Capacity(part, size, grade, intervals); err == nil && k.Permitted {
		return k, false, nil
	}
	if err != nil && !errors.Is(err, tables.ErrOutsideTable) || !grade.Valid() || grade.Compare(slope.Grade{}) <= 0 {
		return k, false, err
	}
	list := c.parts[part].graded
	for i := range list {
		if g := &list[i]; g.serves(grade) {
			continue
		} else if row := g.find(size); row != nil && row.permitted {
			k, err = c.Capacity(part, size, g.grade, intervals)
			return k, true, err
		}
	}
	return k, false, err
}
