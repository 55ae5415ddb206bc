package slope

import (
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/units"
)

// The named kinds of this package print and marshal as words. A number without a
// name prints with what it is and is refused as text.

var (
	joins = enum.Words[Join]{What: "join", Err: units.ErrRange,
		Words: []string{"", "at invert", "at springline", "at crown"}, Blank: true}
	wallLines = enum.Words[WallLine]{What: "wall line", Err: units.ErrRange,
		Words: []string{"centre", "left face", "right face"}}
	sides   = enum.Words[Side]{What: "side", Err: units.ErrRange, Words: []string{"left", "right"}}
	follows = enum.Words[Follow]{What: "follow", Err: units.ErrRange,
		Words: []string{"at design grade", "steeper than design", "flatter than design", "level", "backwards"}}
	falls = enum.Words[Fall]{What: "fall", Err: units.ErrRange,
		Words: []string{"falls", "shallow", "flat", "back-graded"}}
	clashes = enum.Words[ConflictKind]{What: "conflict", Err: units.ErrRange,
		Words: []string{"joins too low", "joins too high", "joins apart", "pipes too close",
			"too close to a solid", "trench below the plane of a footing"}}
)

// String returns the join in words.
func (j Join) String() string { return joins.String(j) }

// MarshalText returns the join in words.
func (j Join) MarshalText() ([]byte, error) { return joins.Marshal(j) }

// UnmarshalText reads a join in words.
func (j *Join) UnmarshalText(text []byte) error { return joins.Unmarshal(text, j) }

// String returns the line in words.
func (l WallLine) String() string { return wallLines.String(l) }

// MarshalText returns the line in words.
func (l WallLine) MarshalText() ([]byte, error) { return wallLines.Marshal(l) }

// UnmarshalText reads a line in words.
func (l *WallLine) UnmarshalText(text []byte) error { return wallLines.Unmarshal(text, l) }

// String returns the side in words.
func (s Side) String() string { return sides.String(s) }

// MarshalText returns the side in words.
func (s Side) MarshalText() ([]byte, error) { return sides.Marshal(s) }

// UnmarshalText reads a side in words.
func (s *Side) UnmarshalText(text []byte) error { return sides.Unmarshal(text, s) }

// String returns the result in words.
func (f Follow) String() string { return follows.String(f) }

// MarshalText returns the result in words.
func (f Follow) MarshalText() ([]byte, error) { return follows.Marshal(f) }

// UnmarshalText reads a result in words.
func (f *Follow) UnmarshalText(text []byte) error { return follows.Unmarshal(text, f) }

// String returns the fall in words.
func (f Fall) String() string { return falls.String(f) }

// MarshalText returns the fall in words.
func (f Fall) MarshalText() ([]byte, error) { return falls.Marshal(f) }

// UnmarshalText reads a fall in words.
func (f *Fall) UnmarshalText(text []byte) error { return falls.Unmarshal(text, f) }

// String returns the kind in words.
func (k ConflictKind) String() string { return clashes.String(k) }

// MarshalText returns the kind in words.
func (k ConflictKind) MarshalText() ([]byte, error) { return clashes.Marshal(k) }

// UnmarshalText reads a kind in words.
func (k *ConflictKind) UnmarshalText(text []byte) error { return clashes.Unmarshal(text, k) }
