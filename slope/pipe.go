package slope

import "github.com/trapweir/trapweir/units"

// Pipe is the section of a pipe as far as levels need it: its actual inside
// diameter and wall, not its nominal size.
type Pipe struct {
	Bore units.Length `json:"bore"` // inside diameter
	Wall units.Length `json:"wall"` // wall thickness
}

// OutsideDiameter returns the bore and two walls.
func (p Pipe) OutsideDiameter() units.Length { return p.Bore + 2*p.Wall }

func (p Pipe) check() error {
	return firstOf(checkSize("bore", p.Bore), checkSize("wall", p.Wall))
}

// Surface is what lies above and below a pipe at one place.
type Surface struct {
	// Level is the elevation of the finished ground or floor.
	Level units.Length `json:"level"`
	// Slab is the thickness of the slab under Level, zero where there is none.
	Slab units.Length `json:"slab"`
	// Bedding is the depth of bedding under the barrel.
	Bedding units.Length `json:"bedding"`
}

// Levels are the elevations and heights at one place of a pipe.
//
//	Invert        lowest point of the bore
//	Springline    half the bore above the invert
//	Crown         highest point of the bore (also soffit, obvert)
//	Top           highest point of the outside, a wall above the crown
//	Bottom        lowest point of the outside, a wall below the invert
//	TrenchBottom  underside of the bedding
//
// Heights are measured down from the surface, and are negative where the pipe
// sticks out of it:
//
//	InvertDepth   surface to invert: depth below floor
//	Cover         surface to top of pipe
//	SlabClearance underside of slab to top of pipe; the cover where there is no slab
//	TrenchDepth   underside of slab to trench bottom
type Levels struct {
	Invert        units.Length `json:"invert"`
	Springline    units.Length `json:"springline"`
	Crown         units.Length `json:"crown"`
	Top           units.Length `json:"top"`
	Bottom        units.Length `json:"bottom"`
	TrenchBottom  units.Length `json:"trench_bottom"`
	InvertDepth   units.Length `json:"invert_depth"`
	Cover         units.Length `json:"cover"`
	SlabClearance units.Length `json:"slab_clearance"`
	TrenchDepth   units.Length `json:"trench_depth"`
}

// Levels returns every level of the pipe where its invert lies at invert, under
// s. It refuses lengths out of range, and a negative bore, wall, slab or bedding.
func (p Pipe) Levels(invert units.Length, s Surface) (Levels, error) {
	if err := firstOf(p.check(), check("invert", invert), check("surface", s.Level), checkSize("slab", s.Slab),
		checkSize("bedding", s.Bedding)); err != nil {
		return Levels{}, err
	}
	l := Levels{
		Invert:     invert,
		Springline: invert + half(p.Bore),
		Crown:      invert + p.Bore,
		Top:        invert + p.Bore + p.Wall,
		Bottom:     invert - p.Wall,
	}
	l.TrenchBottom = l.Bottom - s.Bedding
	l.InvertDepth = s.Level - invert
	l.Cover = s.Level - l.Top
	l.SlabClearance = l.Cover - s.Slab
	l.TrenchDepth = s.Level - s.Slab - l.TrenchBottom
	return l, nil
}
