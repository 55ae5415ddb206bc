package slope

import "github.com/trapweir/trapweir/units"

// Join is the way a branch meets a main in height.
type Join uint8

// The joins. A smaller branch that joins at the invert lies in the flow of the
// main and may be flooded by it; the higher joins keep it out.
const (
	JoinNotStated Join = iota // taken as AtInvert by Rise; layouts of drains have a rule of their own
	AtInvert                  // inverts level with each other
	AtSpringline              // centre lines meet, as in a wye laid flat
	AtCrown                   // crown to crown
)

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
	case JoinNotStated, AtInvert:
		return 0, nil
	case AtSpringline:
		return half(main - branch), nil
	case AtCrown:
		return main - branch, nil
	}
	return 0, joins.Check(j)
}
