package tables

import (
	"slices"

	"github.com/trapweir/trapweir/internal/enum"
)

// Use is who uses a fixture. The zero Use is not stated. Its text is "private",
// "public" or "assembly".
type Use uint8

// The uses that codes tell apart.
const (
	UseNotStated Use = iota
	Private          // a dwelling or a room for one household or guest
	Public           // a toilet room of a workplace, shop, school
	Assembly         // public use in a place of assembly, in rushes
)

// Control is what lets the water into a fixture and so out of it. The zero Control
// is not stated. Its text is "tank", "valve", "pressure-tank", "faucet",
// "waterless" or "hybrid".
type Control uint8

// The controls that codes tell apart.
const (
	ControlNotStated Control = iota
	Tank                     // gravity flush tank
	Valve                    // flushometer valve
	PressureTank             // flushometer tank
	Faucet
	Waterless
	Hybrid // a urinal without water that rinses its drain now and then
)

// String returns the text of u, "" when not stated.
func (u Use) String() string { return useWords.String(u) }

// MarshalText returns the text of String.
func (u Use) MarshalText() ([]byte, error) { return useWords.Marshal(u) }

// UnmarshalText reads the text of String; "" is not stated.
func (u *Use) UnmarshalText(b []byte) error { return useWords.Unmarshal(b, u) }

// String returns the text of c, "" when not stated.
func (c Control) String() string { return controlWords.String(c) }

// MarshalText returns the text of String.
func (c Control) MarshalText() ([]byte, error) { return controlWords.Marshal(c) }

// UnmarshalText reads the text of String; "" is not stated.
func (c *Control) UnmarshalText(b []byte) error { return controlWords.Unmarshal(b, c) }

var (
	useWords = enum.Words[Use]{What: "use", Err: ErrQuery, Blank: true,
		Words: []string{"", "private", "public", "assembly"}}
	controlWords = enum.Words[Control]{What: "control", Err: ErrQuery, Blank: true,
		Words: []string{"", "tank", "valve", "pressure-tank", "faucet", "waterless", "hybrid"}}
)

// Valid reports whether u is one of the uses, or not stated.
func (u Use) Valid() bool { return useWords.Has(u) }

// Valid reports whether c is one of the controls, or not stated.
func (c Control) Valid() bool { return controlWords.Has(c) }

// Uses returns the words of the uses by their values; the first, of none stated, is empty.
func Uses() []string { return slices.Clone(useWords.Words) }

// Controls returns the words of the controls by their values; the first is empty.
func Controls() []string { return slices.Clone(controlWords.Words) }
