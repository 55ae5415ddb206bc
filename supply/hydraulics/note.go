package hydraulics

import "strings"

// Notes are remarks on a result that stands but leans on a formula outside the
// conditions it was found in. The zero value is no remark. Notes combine with |
// and are read with [Notes.Has].
type Notes uint32

// What a note can say.
const (
	// NoteNoFlow: nothing flows, so there is no friction factor.
	NoteNoFlow Notes = 1 << iota
	// NoteLaminar: the Reynolds number is 2000 or less, the loss is linear in
	// the flow and roughness does not matter.
	NoteLaminar
	// NoteTransitional: the Reynolds number is between 2000 and 4000, where the
	// flow switches between laminar and turbulent and no formula is firm.
	NoteTransitional
	// NoteHazenWilliamsNotTurbulent: Hazen-Williams knows turbulent flow only;
	// at a Reynolds number under 4000 it is not valid.
	NoteHazenWilliamsNotTurbulent
	// NoteHazenWilliamsTemperature: Hazen-Williams was fitted to cool water; at
	// this temperature the loss differs, and the formula has no viscosity.
	NoteHazenWilliamsTemperature
	// NoteHazenWilliamsBore: the bore is under those Hazen-Williams was fitted to.
	NoteHazenWilliamsBore
	// NoteHazenWilliamsVelocity: the velocity is above those Hazen-Williams was fitted to.
	NoteHazenWilliamsVelocity
	// NoteBoiling: at atmospheric pressure water of this temperature is at its boiling point.
	NoteBoiling
	noteEnd
)

var noteTexts = [...]string{
	"no flow: there is no friction factor",
	"laminar flow (Reynolds number 2000 or less)",
	"transitional flow (Reynolds number between 2000 and 4000): the loss is an interpolation, not firm",
	"Hazen-Williams holds for turbulent flow only (Reynolds number 4000 or more)",
	"Hazen-Williams was fitted to cool water; use Darcy-Weisbach at this temperature",
	"the bore is smaller than those Hazen-Williams was fitted to",
	"the velocity is higher than those Hazen-Williams was fitted to",
	"water of this temperature is at its boiling point at atmospheric pressure",
}

// Has reports whether all notes of m are in n.
func (n Notes) Has(m Notes) bool { return n&m == m }

// Texts returns one sentence per note, in a fixed order.
func (n Notes) Texts() []string {
	var list []string
	for i, text := range noteTexts {
		if n&(1<<i) != 0 {
			list = append(list, text)
		}
	}
	return list
}

// String joins the sentences of [Notes.Texts] with semicolons.
func (n Notes) String() string { return strings.Join(n.Texts(), "; ") }
