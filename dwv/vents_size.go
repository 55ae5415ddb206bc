package dwv

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/trapweir/trapweir/internal/argument"
	"github.com/trapweir/trapweir/internal/enum"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// VentPart is a kind of vent, as codes size them.
type VentPart uint8

// The kinds of vents.
const (
	IndividualVent VentPart = iota + 1 // individual, branch, circuit and relief vents
	StackVent                          // stack vents and vent stacks
)

var ventParts = enum.Words[VentPart]{What: "kind of vent", Err: tables.ErrQuery,
	Words: []string{"", "individual", "stack"}}

// String returns "individual" or "stack".
func (p VentPart) String() string { return ventParts.String(p) }

// item is what a fault calls a vent of the kind.
func (p VentPart) item() string { return p.String() + " vent" }

// MarshalText returns the text of String.
func (p VentPart) MarshalText() ([]byte, error) { return ventParts.Marshal(p) }

// UnmarshalText reads the text of String.
func (p *VentPart) UnmarshalText(text []byte) error { return ventParts.Unmarshal(text, p) }

// VentQuery asks for the size of a vent.
type VentQuery struct {
	Part VentPart `json:"part"`
	// Drain is the size of the drain or stack that is vented. Zero: not stated.
	Drain units.Length `json:"drain"`
	// Trap is the largest trap that is vented, for codes whose least vent goes by the trap;
	// zero: they take the drain.
	Trap units.Length `json:"trap,omitzero"`
	// Load is the load vented, unless LoadNotStated.
	Load          FixtureUnits `json:"load"`
	LoadNotStated bool         `json:"load_not_stated,omitzero"`
	// Length is the developed length of the vent, from the drain to where it ends or
	// joins another.
	Length units.Length `json:"length"`
	// Closets is the water closets vented, and traps counted alike.
	Closets int `json:"closets"`
}

// VentReason says what decided the size of a vent.
type VentReason uint8

// The reasons.
const (
	VentByTable   VentReason = iota + 1 // load and length
	VentByDrain                         // a share of the drain
	VentByMinimum                       // the least vent
	VentByLength                        // one size up, for a long vent
	VentByClosets                       // water closets
	VentByLeast                         // the least vent of a trap, or drain, of that size
)

var ventReasons = enum.Words[VentReason]{What: "reason of a size", Err: tables.ErrQuery, Blank: true,
	Words: []string{"", "load and length", "half the drain size", "minimum vent size", "one size up for its length",
		"water closets", "minimum vent of the trap or drain"}}

// String returns a few words.
func (r VentReason) String() string { return ventReasons.String(r) }

// MarshalText returns the text of String.
func (r VentReason) MarshalText() ([]byte, error) { return ventReasons.Marshal(r) }

// UnmarshalText reads the text of String.
func (r *VentReason) UnmarshalText(text []byte) error { return ventReasons.Unmarshal(text, r) }

// VentResult is the size of a vent and what decided it.
type VentResult struct {
	Size      units.Length `json:"size"`
	DecidedBy VentReason   `json:"decided_by"`
	// MaxLength is the greatest developed length of that size, and MaxLoad its
	// greatest load there. Zero: the code gives none for this kind of vent.
	MaxLength units.Length `json:"max_length"`
	MaxLoad   FixtureUnits `json:"max_load"`
	// Citation is the row or rule that decided; Row is that of MaxLength and MaxLoad.
	Citation tables.Citation `json:"citation,omitzero"`
	Row      tables.Citation `json:"row,omitzero"`
}

// Status returns the standing of the weakest row the answer rests on.
func (r VentResult) Status() tables.Status { return weakest(r.Citation, r.Row) }

// ventRow is a row of the table of vents.
type ventRow struct {
	drain  units.Length // 0: any
	load   FixtureUnits
	vent   units.Length
	length units.Length // MaxInt64: no limit
	cite   tables.Citation
}

// shareRule is a rule that is a ratio.
type shareRule = cited[ratio]

// ventTables is what a code says on the size of vents.
type ventTables struct {
	any          []ventRow // rows for any vent, by size
	byDrain      []ventRow // rows by the drain vented; smaller vents first
	individual   shareRule
	stack        shareRule
	armDiameters shareRule
	least        []cited[ventLeastRecord] // least individual vent by the drain, of codes that print it so
}

type ventLeastRecord struct {
	Size units.Length `table:"size"`
	Vent units.Length `table:"vent"`
}

type ventRecord struct {
	Drain  tables.Cell[units.Length] `table:"drain"`
	Load   FixtureUnits              `table:"load"`
	Vent   units.Length              `table:"vent"`
	Length tables.Cell[units.Length] `table:"max_length"`
}

// loadVents runs after the pipe sizes are loaded: the sizes that a vent may have
// are those that the code has for any pipe.
func (c *Code) loadVents(shelf *tables.Shelf) error {
	var errs []error
	share := func(id, unit string) shareRule {
		r, ok := c.Rule(id)
		if !ok || r.Kind != tables.Value {
			return shareRule{}
		}
		v, err := parseRatio(r.Value)
		if err != nil || r.Unit != unit {
			errs = append(errs, fmt.Errorf("rule %q: %w: want a number of %s, got %v", id, tables.ErrQuery, unit, r))
		}
		return shareRule{v, r.Cite}
	}
	c.vents.individual = share(ruleIndividualShare, "ratio")
	c.vents.stack = share(ruleStackVentShare, "ratio")
	c.vents.armDiameters = share(ruleArmMinLength, "pipe diameters")
	rows, err := table[ventRecord](c, shelf, "vent-sizes", "drain, load, vent")
	errs = append(errs, err)
	for i, r := range rows.All() {
		v := ventRow{r.Drain.Value, r.Load, r.Vent, r.Length.Value, rows.Cite(i)}
		switch r.Length.Kind {
		case tables.Unlimited:
			v.length = math.MaxInt64
		case tables.Blank, tables.NotPermitted:
			v.length = -1
		}
		if r.Vent <= 0 || r.Vent > maxPipeSize || r.Drain.Kind == tables.Value &&
			(r.Drain.Value <= 0 || r.Drain.Value > maxPipeSize) {
			file, line := v.cite.File()
			errs = append(errs, fmt.Errorf("%s:%d: %w: a drain or vent has a size up to 10 m", file, line, tables.ErrQuery))
			continue
		}
		if r.Drain.Kind == tables.Value {
			c.vents.byDrain = append(c.vents.byDrain, v)
		} else {
			c.vents.any = append(c.vents.any, v)
		}
		c.made = append(c.made, r.Vent)
	}
	// Of equal vents the row with the greater load or the shorter length comes last:
	// the first that fits is the one that decides.
	bySize := func(a, b ventRow) int { return cmp.Or(cmp.Compare(a.vent, b.vent), cmp.Compare(a.load, b.load)) }
	slices.SortStableFunc(c.vents.any, bySize)
	slices.SortStableFunc(c.vents.byDrain, bySize)
	least, err := table[ventLeastRecord](c, shelf, "vent-min-size", "size")
	errs = append(errs, err)
	for i, r := range least.All() {
		c.vents.least = append(c.vents.least, cited[ventLeastRecord]{*r, least.Cite(i)})
		c.made = append(c.made, r.Vent)
	}
	slices.Sort(c.made)
	c.made = slices.Compact(c.made)
	return errors.Join(errs...)
}

// MadeSize returns the smallest size that pipe is made in, as far as the code's
// tables go, that is at least size; above tells for more than size. Zero: none.
func (c *Code) MadeSize(size units.Length, above bool) units.Length {
	c = c.there()
	for _, s := range c.made {
		if s > size || s == size && !above {
			return s
		}
	}
	return 0
}

// VentSize returns the smallest vent the code allows: by load and developed length
// where it has a table for the kind of vent, by the share of the drain it serves or
// the least vent of that drain, by the least vent of all, by water closets, and one size up where it is long and the
// code says so. A length or load equal to a limit still fits.
//
// The horizontal share of the length, and how vents join, are not judged here.
func (c *Code) VentSize(q VentQuery) (VentResult, error) {
	c = c.there()
	if err := c.checkVent(q); err != nil {
		return VentResult{}, err
	}
	rows, share := c.vents.any, c.vents.individual
	if q.Part == StackVent {
		share = c.vents.stack
		if len(c.vents.byDrain) > 0 {
			rows = c.vents.byDrain
		}
	}
	least := q.Part == IndividualVent && len(c.vents.least) > 0
	if len(rows) == 0 && share.cite.IsZero() && !least {
		return VentResult{}, c.fault(q.Part.item(), "", tables.ErrNotOnShelf, "no size of such a vent")
	}
	byDrain := len(rows) > 0 && rows[0].drain != 0
	if q.Drain == 0 && (byDrain || least || !share.cite.IsZero()) {
		return VentResult{}, c.fault(q.Part.item(), "drain_size", tables.ErrNotStated, "vents by the drain served")
	}
	if q.LoadNotStated && len(rows) > 0 {
		return VentResult{}, c.fault(q.Part.item(), "load", tables.ErrNotStated, "vents by the load served")
	}
	var r VentResult
	raise := func(size units.Length, why VentReason, cite tables.Citation) {
		if size > r.Size {
			r.Size, r.DecidedBy, r.Citation = size, why, cite
		}
	}
	if m := &c.ventMin; m.is.Kind == tables.Value {
		raise(m.is.Value, VentByMinimum, m.cite)
	}
	if !share.cite.IsZero() {
		raise(share.is.of(q.Drain), VentByDrain, share.cite)
	}
	if least {
		of := func(size units.Length) int {
			return slices.IndexFunc(c.vents.least, func(v cited[ventLeastRecord]) bool { return v.is.Size == size })
		}
		at := of(q.Trap)
		if at < 0 {
			at = of(q.Drain)
		}
		if at < 0 {
			var drains []units.Length
			for _, v := range c.vents.least {
				drains = append(drains, v.is.Size)
			}
			return VentResult{}, c.fault(q.Part.item(), "drain_size", tables.ErrOutsideTable,
				"%s", noRow(q.Drain, drains))
		}
		raise(c.vents.least[at].is.Vent, VentByLeast, c.vents.least[at].cite)
	}
	if q.Closets > 0 && len(c.ventClos) > 0 {
		from, cite, ok := closetSize(c.ventClos, q.Closets)
		if !ok {
			return VentResult{}, c.fault(q.Part.item(), "water_closets", tables.ErrOutsideTable, "no vent serves %d",
				q.Closets)
		}
		raise(from, VentByClosets, cite)
	}
	if len(rows) == 0 {
		return c.ventByShare(q, r)
	}
	return c.ventByTable(q, r, rows, byDrain)
}

func (c *Code) checkVent(q VentQuery) error {
	if err := ventParts.Check(q.Part); err != nil {
		return c.refuse("vent", "part", err)
	}
	switch {
	case q.Drain < 0 || q.Drain > maxPipeSize:
		return c.fault(q.Part.item(), "drain_size", tables.ErrQuery, "%s", FormatSize(q.Drain))
	case q.Trap < 0 || q.Trap > maxPipeSize:
		return c.fault(q.Part.item(), "trap", tables.ErrQuery, "%s", FormatSize(q.Trap))
	case q.Length < 0 || !q.Length.Valid():
		return c.fault(q.Part.item(), "length", tables.ErrQuery, "%v is not from 0 to %v", q.Length, units.MaxLength)
	case argument.Bare(q.Length) != "":
		return c.fault(q.Part.item(), "length", tables.ErrQuery, "%s", argument.Bare(q.Length))
	case !q.LoadNotStated && !q.Load.Valid():
		return c.refuse(q.Part.item(), "load", q.Load.Check())
	case q.Closets < 0 || q.Closets > MaxClosets:
		return c.fault(q.Part.item(), "water_closets", tables.ErrQuery, "%d", q.Closets)
	}
	return nil
}

// ventByShare ends the sizing of a vent for which the code has no table.
func (c *Code) ventByShare(q VentQuery, r VentResult) (VentResult, error) {
	r.Size = c.MadeSize(r.Size, false)
	if long := &c.ventLong; q.Part == IndividualVent && long.is.Kind == tables.Value && r.Size > 0 {
		if q.Length > long.is.Value {
			r.Size, r.DecidedBy, r.Citation = c.MadeSize(r.Size, true), VentByLength, long.cite
		} else {
			r.MaxLength, r.Row = long.is.Value, long.cite
		}
	}
	if r.Size == 0 {
		return VentResult{}, c.fault(q.Part.item(), "drain_size", tables.ErrOutsideTable,
			"the code has no pipe large enough to vent %s", FormatSize(q.Drain))
	}
	return r, nil
}

// ventByTable ends the sizing of a vent for which the code has a table.
func (c *Code) ventByTable(q VentQuery, r VentResult, rows []ventRow, byDrain bool) (VentResult, error) {
	var most FixtureUnits
	var longest units.Length
	seen, smaller := false, false
	for i := range rows {
		v := &rows[i]
		if byDrain && v.drain != q.Drain {
			continue
		}
		seen = true
		most = max(most, v.load)
		if q.Load > v.load {
			continue
		}
		longest = max(longest, v.length)
		if q.Length > v.length {
			continue
		}
		if v.vent < r.Size {
			smaller = true // it would fit, but for what r stands for
			continue
		}
		if v.vent > r.Size && !smaller || r.DecidedBy == 0 {
			r.DecidedBy, r.Citation = VentByTable, v.cite
		}
		r.Size, r.MaxLength, r.MaxLoad, r.Row = v.vent, v.length, v.load, v.cite
		return r, nil
	}
	switch {
	case !seen:
		var drains []units.Length
		for _, v := range rows {
			drains = append(drains, v.drain)
		}
		slices.Sort(drains)
		return VentResult{}, c.fault(q.Part.item(), "drain_size", tables.ErrOutsideTable, "%s",
			noRow(q.Drain, slices.Compact(drains)))
	case q.Load > most:
		return VentResult{}, c.fault(q.Part.item(), "load", tables.ErrOutsideTable, "%v: the table goes to %v", q.Load, most)
	}
	return VentResult{}, c.fault(q.Part.item(), "length", tables.ErrOutsideTable, "%v: the table goes to %v for this load",
		q.Length, longest)
}
