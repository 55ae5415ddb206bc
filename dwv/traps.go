package dwv

import (
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

type armRecord struct {
	Size   units.Length              `table:"size"`
	Max    tables.Cell[units.Length] `table:"max_length"`
	Grade  tables.Cell[slope.Grade]  `table:"grade,optional"`
	Most   tables.Cell[slope.Grade]  `table:"max_grade,optional"`
	Larger string                    `table:"larger,optional"`
}

// TrapArm is how far a trap may be from its vent.
type TrapArm struct {
	// MaxLength is the greatest developed length from the trap weir to the vent:
	// a value, unlimited where the code sets none, or not permitted.
	MaxLength tables.Cell[units.Length] `json:"max_length"`
	// MinLength is the least distance of the vent from the weir. Zero: the code, or
	// the shelf, gives none.
	MinLength units.Length `json:"min_length"`
	// Grade is the grade that the length is printed for, the least of the arm. Level:
	// the code prints none beside it.
	Grade slope.Grade `json:"grade"`
	// MaxGrade is the greatest grade of the arm. Level: the code sets none.
	MaxGrade slope.Grade `json:"max_grade"`
	// Citation is the row of MaxLength and the grades, MinCitation that of MinLength.
	Citation    tables.Citation `json:"citation,omitzero"`
	MinCitation tables.Citation `json:"min_citation,omitzero"`
}

// TrapArm returns the reach of a trap arm of a size. A size the code does not print
// is [tables.ErrOutsideTable]: nothing is read between the rows.
//
// The reach is what the code prints. That the longest one printed uses up one
// diameter of fall at 1/4 in per ft explains it; it does not follow from the grade
// laid, so a flatter arm gains nothing. Both limits hold: see the rule
// trap-arm-max-fall.
func (c *Code) TrapArm(size units.Length) (TrapArm, error) {
	c = c.there()
	if size <= 0 || size > maxPipeSize {
		return TrapArm{}, c.fault("trap arm", "size", tables.ErrQuery, "%s", FormatSize(size))
	}
	r, cite, err := c.arms.find(c, "trap arm", "trap-arm", size)
	if err != nil {
		return TrapArm{}, err
	}
	a := TrapArm{MaxLength: r.Max, Grade: r.Grade.Value, MaxGrade: r.Most.Value, Citation: cite}
	a.MinLength, a.MinCitation = c.armMin(size)
	return a, nil
}

// TrapArmTable cites the table of trap arms by its first row, nothing if the code has
// none: it is where the code asks for a vent within reach of each trap.
func (c *Code) TrapArmTable() tables.Citation {
	c = c.there()
	if c.arms.len() == 0 {
		return tables.Citation{}
	}
	return c.arms.rows.Cite(0)
}

// LeastTrapArm returns the smallest size that the code has trap arms for, zero if it has
// none.
func (c *Code) LeastTrapArm() (least units.Length) {
	c = c.there()
	if c.arms.len() == 0 {
		return 0
	}
	return c.arms.rows.At(0).Size // sizes ascend
}

// armMin returns the least distance of a vent from the weir of a trap.
func (c *Code) armMin(size units.Length) (units.Length, tables.Citation) {
	m := c.vents.armDiameters
	if m.cite.IsZero() {
		return 0, m.cite
	}
	return m.is.of(size), m.cite
}

// ClosetArm returns the reach of the arm of a water closet or another fixture that
// empties its own trap. IPC sets no limit; UPC measures from the closet flange.
func (c *Code) ClosetArm() (tables.Cell[units.Length], tables.Citation, error) {
	return c.RuleLength(ruleClosetArm)
}

// CapsArms tells whether the code prints a greatest grade of trap arms.
func (c *Code) CapsArms() bool {
	c = c.there()
	for i := range c.arms.len() {
		if !c.arms.rows.At(i).Most.Value.IsLevel() {
			return true
		}
	}
	return false
}
