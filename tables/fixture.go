package tables

import (
	"fmt"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// Fixture is one or more like fixtures, as a layout has them and as a code is asked for
// their load. Only the fields that the code in hand distinguishes are looked at, and none
// is assumed: where the code needs a field that is not stated, the error names it and the
// choices.
type Fixture struct {
	// Kind is the fixture id, such as "water-closet"; dwv.Code.Fixtures and
	// supply.Code.Fixtures list those of a code.
	Kind string `json:"fixture" read:"need"`
	// Count is how many there are, 1 to [MaxFixtures].
	Count   int     `json:"count" read:"from=1,to=1000000,else=1"`
	Use     Use     `json:"use,omitzero"`
	Control Control `json:"control,omitzero"`
	// Flush is the volume of one flush of a closet or urinal. Zero: not stated.
	Flush units.Volume `json:"flush,omitzero"`
	// Size tells fixtures apart that a code rates by size: of the trap for drainage, of the
	// valve or tap for water. Zero: not stated.
	Size units.Length `json:"size,omitzero" read:"size"`
	// Style tells outlets apart that a code of water rates by kind, such as a "siphonic"
	// from a "blowout" closet or a shower with a "mixing valve" from a "plain" one.
	// It plays no part in loads. Empty: not stated.
	Style string `json:"style,omitzero"`
}

// Check tells what cannot be, whatever the code, as an [ErrQuery].
func (f *Fixture) Check() error {
	refuse := func(field, format string, args ...any) error {
		item := "fixture"
		if f.Kind != "" {
			item += " " + visible.Quote(visible.Shorten(f.Kind))
		}
		return &units.Fault{Item: item, Field: field, Err: fmt.Errorf("%w: "+format, append([]any{ErrQuery}, args...)...)}
	}
	switch {
	case f.Kind == "":
		return refuse("", "no id")
	case f.Count < 1 || f.Count > MaxFixtures:
		return refuse("count", "%d is not from 1 to %d", f.Count, MaxFixtures)
	case !f.Use.Valid():
		return refuse("use", "%v", f.Use)
	case !f.Control.Valid():
		return refuse("control", "%v", f.Control)
	case !(f.Flush >= 0 && f.Flush <= 0.1): // cubic metres
		return refuse("flush", "%v is not from 0 to 100 L; 1.6 gal are 1.6*units.USGallon", f.Flush)
	case f.Size < 0 || f.Size > 10*units.Metre:
		return refuse("size", "%v is not from 0 to 10 m", f.Size)
	}
	if text := argument.Bare(f.Size); text != "" {
		return refuse("size", "%s", text)
	}
	return nil
}

// MaxFixtures is the greatest count of one fixture: a million.
const MaxFixtures = 1_000_000

// Use is who uses a fixture. The zero Use is not stated. Its text is "private",
// "public" or "assembly".
type Use uint8

// The uses that codes tell apart.
const (
	UseNotStated Use = iota
	Private          // a dwelling or a room for one household or guest
	Public           // a toilet room of a workplace, shop, school
	Assembly         // public use in a place of assembly, in rushes; Public to a table of water without it
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
