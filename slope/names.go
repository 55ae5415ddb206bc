package slope

import (
	"fmt"

	"github.com/trapweir/trapweir/units"
)

// The named kinds of this package print and marshal as words. A number without a
// name prints with what it is and is refused as text.

type named struct {
	what  string
	names []string
}

var (
	joins     = named{"join", []string{"at invert", "at springline", "at crown"}}
	wallLines = named{"wall line", []string{"centre", "left face", "right face"}}
	sides     = named{"side", []string{"left", "right"}}
	follows   = named{"follow", []string{"at design grade", "steeper than design", "flatter than design", "level",
		"backwards"}}
	falls   = named{"fall", []string{"falls", "shallow", "flat", "back-graded"}}
	clashes = named{"conflict", []string{"joins too low", "joins too high", "joins apart", "pipes too close",
		"too close to a solid", "trench below the plane of a footing"}}
)

func (n *named) has(i uint8) bool { return int(i) < len(n.names) }

func (n *named) text(i uint8) string {
	if n.has(i) {
		return n.names[i]
	}
	return fmt.Sprintf("%s %d", n.what, i)
}

func (n *named) check(i uint8) error {
	if !n.has(i) {
		return fmt.Errorf("%w: %s %d is unknown", units.ErrRange, n.what, i)
	}
	return nil
}

func (n *named) marshal(i uint8) ([]byte, error) {
	if err := n.check(i); err != nil {
		return nil, err
	}
	return []byte(n.names[i]), nil
}

func unmarshal[T ~uint8](n *named, text []byte, to *T) error {
	for i, name := range n.names {
		if string(text) == name {
			*to = T(i)
			return nil
		}
	}
	return fmt.Errorf("%w: %s %q: one of %q", units.ErrRange, n.what, text, n.names)
}

// String returns the join in words.
func (j Join) String() string { return joins.text(uint8(j)) }

// MarshalText returns the join in words.
func (j Join) MarshalText() ([]byte, error) { return joins.marshal(uint8(j)) }

// UnmarshalText reads a join in words.
func (j *Join) UnmarshalText(text []byte) error { return unmarshal(&joins, text, j) }

// String returns the line in words.
func (l WallLine) String() string { return wallLines.text(uint8(l)) }

// MarshalText returns the line in words.
func (l WallLine) MarshalText() ([]byte, error) { return wallLines.marshal(uint8(l)) }

// UnmarshalText reads a line in words.
func (l *WallLine) UnmarshalText(text []byte) error { return unmarshal(&wallLines, text, l) }

// String returns the side in words.
func (s Side) String() string { return sides.text(uint8(s)) }

// MarshalText returns the side in words.
func (s Side) MarshalText() ([]byte, error) { return sides.marshal(uint8(s)) }

// UnmarshalText reads a side in words.
func (s *Side) UnmarshalText(text []byte) error { return unmarshal(&sides, text, s) }

// String returns the result in words.
func (f Follow) String() string { return follows.text(uint8(f)) }

// MarshalText returns the result in words.
func (f Follow) MarshalText() ([]byte, error) { return follows.marshal(uint8(f)) }

// UnmarshalText reads a result in words.
func (f *Follow) UnmarshalText(text []byte) error { return unmarshal(&follows, text, f) }

// String returns the fall in words.
func (f Fall) String() string { return falls.text(uint8(f)) }

// MarshalText returns the fall in words.
func (f Fall) MarshalText() ([]byte, error) { return falls.marshal(uint8(f)) }

// UnmarshalText reads a fall in words.
func (f *Fall) UnmarshalText(text []byte) error { return unmarshal(&falls, text, f) }

// String returns the kind in words.
func (k ConflictKind) String() string { return clashes.text(uint8(k)) }

// MarshalText returns the kind in words.
func (k ConflictKind) MarshalText() ([]byte, error) { return clashes.marshal(uint8(k)) }

// UnmarshalText reads a kind in words.
func (k *ConflictKind) UnmarshalText(text []byte) error { return unmarshal(&clashes, text, k) }
