package slope

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// Join is the way a branch meets a main in height.
type Join uint8

// The joins. A smaller branch that joins at the invert lies in the flow of the
// main and may be flooded by it; the higher joins keep it out.
const (
	AtInvert     Join = iota // inverts level with each other
	AtSpringline             // centre lines meet, as in a wye laid flat
	AtCrown                  // crown to crown
)

// String returns the name of the join.
func (j Join) String() string {
	if int(j) < len(joinNames) {
		return joinNames[j]
	}
	return fmt.Sprintf("join %d", uint8(j))
}

var joinNames = [...]string{"at invert", "at springline", "at crown"}

// AppendText appends the name of the join.
func (j Join) AppendText(b []byte) ([]byte, error) {
	if int(j) >= len(joinNames) {
		return b, fmt.Errorf("%w: join %d is unknown", ErrRange, uint8(j))
	}
	return append(b, joinNames[j]...), nil
}

// MarshalText returns the name of the join.
func (j Join) MarshalText() ([]byte, error) { return j.AppendText(nil) }

// UnmarshalText reads the name of a join.
func (j *Join) UnmarshalText(text []byte) error {
	for i, name := range joinNames {
		if string(text) == name {
			*j = Join(i)
			return nil
		}
	}
	return fmt.Errorf("%w: join %q: at invert, at springline or at crown", ErrRange, text)
}

// Rise returns how far the invert of a branch lies above the invert of the main
// it joins, by their bores: nothing at the invert, half the difference of the
// bores at the springline, the whole of it at the crown. It is negative for a
// branch bigger than the main, and goes into [Tree].Drop or [Reach].Drop as it
// stands.
func (j Join) Rise(main, branch units.Length) (units.Length, error) {
	if err := firstOf(checkSize("bore of main", main), checkSize("bore of branch", branch)); err != nil {
		return 0, err
	}
	switch j {
	case AtInvert:
		return 0, nil
	case AtSpringline:
		return half(main - branch), nil
	case AtCrown:
		return main - branch, nil
	}
	return 0, fmt.Errorf("%w: join %d is unknown", ErrRange, uint8(j))
}
