package gravity

import (
	"errors"
	"math"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// Pipe is a circular pipe in which water runs by its own weight.
type Pipe struct {
	Bore  units.Length `json:"bore"`  // inside diameter, not the nominal size
	Grade slope.Grade  `json:"grade"` // must fall
	// Roughness is Manning's n, about 0.009 for smooth plastic to 0.015 for old
	// cast iron; the values that texts give are tables of the shelf (set
	// "roughness"). It is taken as constant with depth; charts that let n vary
	// (Camp) give smaller velocities below 0.9 of the bore, by up to a fifth.
	Roughness float64 `json:"roughness"`
}

// PartFull is steady, uniform flow in a [Pipe].
type PartFull struct {
	Elements
	Pipe     Pipe           `json:"pipe"`
	Flow     units.Flow     `json:"flow"`
	Velocity units.Velocity `json:"velocity"` // mean over the wetted area
}

// Validate reports every field that is out of range, joined.
func (p Pipe) Validate() error {
	if p.valid(p.Grade.Float()) {
		return nil
	}
	return errors.Join(boreInRange(p.Bore), gradeInRange(p.Grade), roughnessInRange(p.Roughness))
}

func gradeInRange(g slope.Grade) error {
	if g.Float() > 0 {
		return nil
	}
	return argument.Outside("grade", argument.Number(g.Percent())+" %", "a fall")
}

func roughnessInRange(n float64) error {
	if argument.Positive(n) && n <= maxRoughness {
		return nil
	}
	return argument.Outside("roughness n", argument.Number(n), "greater than 0 and at most 1")
}

// valid is the quick form of Validate, given anything that has the sign of the
// grade; the square root of a rise is not a number and so fails.
func (p Pipe) valid(grade float64) bool {
	return p.Bore > 0 && p.Bore <= units.MaxLength && grade > 0 && p.Roughness > 0 && p.Roughness <= maxRoughness
}

// maxRoughness is far above any channel (0.2 is dense brush) and far below what
// a C factor or a percentage entered by mistake would be.
const maxRoughness = 1

// manning returns the velocity in m/s for a hydraulic radius in metres.
//
//	V = (1/n) R^(2/3) S^(1/2)    (SI; in feet the factor 1 becomes 1.49)
//
// The factor is 1 m^(1/3)/s exactly, which is 1.48592 ft^(1/3)/s; texts print it
// as 1.486 or 1.49, 0.005 % and 0.27 % more.
//
// Source: Manning (1891) in the form of Chow, Open-Channel Hydraulics (1959),
// equation 5-6.
func manning(radius, gradeRoot, n float64) float64 {
	return math.Cbrt(radius*radius) * gradeRoot / n
}

// Full returns flow and velocity of the pipe running full but not under
// pressure.
//
// Units: SI inside. Valid: see [Pipe.Validate].
// Source: Manning's formula with R = D/4.
func (p Pipe) Full() (units.Flow, units.Velocity, error) {
	d, root := p.Bore.Metres(), math.Sqrt(p.Grade.Float())
	if !p.valid(root) {
		return 0, 0, p.Validate()
	}
	v := manning(d/4, root, p.Roughness)
	return units.Flow(math.Pi / 4 * d * d * v), units.Velocity(v), nil
}

// AtDepth returns the flow at a depth given as a ratio to the bore, at most 1.
func (p Pipe) AtDepth(depth float64) (PartFull, error) {
	e, err := ElementsAt(depth)
	if err := errors.Join(p.Validate(), err); err != nil {
		return PartFull{}, err
	}
	d := p.Bore.Metres()
	v := manning(e.HydraulicRadius*d, math.Sqrt(p.Grade.Float()), p.Roughness)
	return PartFull{Elements: e, Pipe: p, Flow: units.Flow(e.Area * d * d * v), Velocity: units.Velocity(v)}, nil
}

// AtFlow returns the depth at which a flow runs.
//
// A flow between 1.00 and [MaxFlowRatio] times that of the full pipe has two
// such depths, of which the lower is returned; a greater flow does not run free
// in this pipe at all and is a [units.RangeError] that names the range.
func (p Pipe) AtFlow(q units.Flow) (PartFull, error) {
	full, _, err := p.Full()
	if err := errors.Join(err, argument.CheckPositiveFlow(q)); err != nil {
		return PartFull{}, err
	}
	theta, _, err := angleForFlow(float64(q) / float64(full))
	if err != nil {
		return PartFull{}, argument.Outside("flow", argument.Litres(q),
			"at most "+argument.Litres(MaxFlowRatio*full)+", 1.0757 of the full pipe, the most that runs free in it")
	}
	e := elementsOfAngle(theta)
	d := p.Bore.Metres()
	return PartFull{Elements: e, Pipe: p, Flow: q, Velocity: units.Velocity(float64(q) / (e.Area * d * d))}, nil
}

// BoreFor returns the bore, to the nearest nanometre, in which a flow runs at a
// depth given as a ratio to the bore.
//
//	D = (Q n / (a r^(2/3) S^(1/2)))^(3/8)    a = A/D2, r = R/D
//
// Source: Manning's formula solved for the bore.
func BoreFor(q units.Flow, grade slope.Grade, roughness, depth float64) (units.Length, error) {
	// Any bore stands in while the other inputs are judged.
	err := Pipe{units.Metre, grade, roughness}.Validate()
	e, err := elementsAndFlow(err, q, depth)
	if err != nil {
		return 0, err
	}
	k := e.Area * math.Cbrt(e.HydraulicRadius*e.HydraulicRadius) * math.Sqrt(grade.Float()) / roughness
	x := math.Cbrt(float64(q) / k) // D^(8/9)
	bore := units.Metres(x * math.Sqrt(math.Sqrt(math.Sqrt(x))))
	if bore <= 0 || !bore.Valid() {
		return 0, argument.Outside("flow", argument.Litres(q), "one that any bore up to 1000 km carries")
	}
	return bore, nil
}

// GradeFor returns the grade at which a flow runs at a depth given as a ratio to
// the bore.
//
//	S = (Q n / (A R^(2/3)))^2
//
// The grade is a ratio within 2^-62 of the result. Source: Manning's formula
// solved for the grade.
func GradeFor(q units.Flow, bore units.Length, roughness, depth float64) (slope.Grade, error) {
	err := Pipe{bore, slope.OneIn(1), roughness}.Validate()
	e, err := elementsAndFlow(err, q, depth)
	if err != nil {
		return slope.Grade{}, err
	}
	d := bore.Metres()
	return gradeForVelocity(float64(q)/(e.Area*d*d), e.HydraulicRadius*d, roughness)
}

func elementsAndFlow(err error, q units.Flow, depth float64) (Elements, error) {
	e, depthErr := ElementsAt(depth)
	return e, errors.Join(err, depthErr, argument.CheckPositiveFlow(q))
}

func gradeForVelocity(v, radius, n float64) (slope.Grade, error) {
	root := v * n / math.Cbrt(radius*radius)
	return gradeFromFloat(root * root)
}

// gradeFromFloat makes the exact ratio nearest to s that a Grade can hold.
func gradeFromFloat(s float64) (slope.Grade, error) {
	_, exp := math.Frexp(s)
	bits := min(62, 62-exp)
	if !argument.Positive(s) || bits < 0 || math.Ldexp(s, bits) < 1 {
		return slope.Grade{}, argument.Outside("grade", argument.Number(s), "between 2^-62 and 2^62")
	}
	return slope.Ratio(int64(math.RoundToEven(math.Ldexp(s, bits))), 1<<bits)
}

// Depth returns the depth of the water, to the nearest nanometre.
func (f PartFull) Depth() units.Length { return units.Metres(f.Elements.Depth * f.Pipe.Bore.Metres()) }

// WettedArea returns the area of the water across the pipe.
func (f PartFull) WettedArea() units.Area {
	d := f.Pipe.Bore.Metres()
	return units.Area(f.Elements.Area * d * d)
}
