package slope

import (
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/units"
)

// InstrumentHeight returns the elevation of the line of sight, or of a laser
// beam: the elevation of the benchmark plus the reading of a rod held on it.
func InstrumentHeight(benchmark, backsight units.Length) (units.Length, error) {
	if err := firstOf(check("benchmark", benchmark), check("backsight", backsight)); err != nil {
		return 0, err
	}
	return benchmark + backsight, nil
}

// Reading returns what a rod held on a point reads: beam less elevation. A point
// above the beam has a negative reading, that of a rod held upside down.
func Reading(beam, elevation units.Length) (units.Length, error) {
	if err := firstOf(check("beam", beam), check("elevation", elevation)); err != nil {
		return 0, err
	}
	return beam - elevation, nil
}

// Setup is a beam along a line of stations.
type Setup struct {
	// Beam is the elevation of the beam at station zero.
	Beam units.Length `json:"beam"`
	// Grade is what the beam falls towards greater stations; zero for a level.
	Grade Grade `json:"grade"`
}

// BeamAt returns the elevation of the beam at a station.
func (s Setup) BeamAt(station units.Length) (units.Length, error) {
	if err := firstOf(check("beam", s.Beam), checkGrade(s.Grade), check("station", station)); err != nil {
		return 0, err
	}
	at := s.Beam - s.Grade.Over(station)
	return at, check("beam", at)
}

// Reading returns what a rod held on a point at a station and an elevation reads.
// For a pipe that falls as the beam does it is the same at every station. For one that
// climbs towards greater stations while the beam falls, it shrinks by the sum of both
// grades per run; for one that falls while the beam climbs, it grows by as much.
func (s Setup) Reading(station, elevation units.Length) (units.Length, error) {
	beam, err := s.BeamAt(station)
	if err := firstOf(err, check("elevation", elevation)); err != nil {
		return 0, err
	}
	return beam - elevation, nil
}

// Circuit is a run of levels from a benchmark over turning points.
type Circuit struct {
	// Benchmark is the known elevation from which the circuit starts.
	Benchmark units.Length `json:"benchmark"`
	Setups    []LevelSetup `json:"setups"`
}

// LevelSetup is one setting up of the level.
type LevelSetup struct {
	// Backsight is the reading on the benchmark, or on the last turning point.
	Backsight units.Length `json:"backsight"`
	// Sights are readings on points on the way.
	Sights []units.Length `json:"sights"`
	// Foresight is the reading on the next turning point, or on the closing
	// benchmark.
	Foresight units.Length `json:"foresight"`
}

// Levelled holds the elevations of one setting up.
type Levelled struct {
	InstrumentHeight units.Length   `json:"instrument_height"`
	Sights           []units.Length `json:"sights"`
	Turning          units.Length   `json:"turning"`
}

// Elevations works the circuit through. The last Turning less the known elevation
// of the point it stands for is the misclosure.
func (c Circuit) Elevations() ([]Levelled, error) {
	var list faults.List
	at := c.Benchmark
	if !list.Note("", "", check("benchmark", at)) {
		at = 0
	}
	out := make([]Levelled, len(c.Setups))
	for i, s := range c.Setups {
		if !note(&list, "setup", i, "", "", firstOf(check("backsight", s.Backsight), check("foresight", s.Foresight))) {
			continue
		}
		hi := at + s.Backsight
		out[i].InstrumentHeight, out[i].Turning = hi, hi-s.Foresight
		err := firstOf(check("instrument height", hi), check("turning point", hi-s.Foresight))
		if !note(&list, "setup", i, "", "", err) {
			continue
		}
		for _, r := range s.Sights {
			if note(&list, "setup", i, "", "", check("sight", r)) {
				out[i].Sights = append(out[i].Sights, hi-r)
			}
		}
		at = out[i].Turning
	}
	return out, list.Err()
}

// CutSheet is what a crew needs to dig and lay a run: readings and cuts at every
// station.
type CutSheet struct {
	// Benchmark and Backsight give the beam: benchmark plus backsight, at the
	// first station.
	Benchmark units.Length `json:"benchmark"`
	Backsight units.Length `json:"backsight"`
	// BeamGrade is what the beam falls towards later stations; zero for a level.
	BeamGrade Grade `json:"beam_grade"`
	// Invert is the design invert at the first station.
	Invert units.Length `json:"invert"`
	// Grade is what the pipe falls towards later stations; negative rises.
	Grade Grade `json:"grade"`
	// Stations are distances, each at or after the one before.
	Stations []units.Length `json:"stations"`
	// Ground holds the elevation of the ground, or of the hub, at each station;
	// empty where it is not known.
	Ground []units.Length `json:"ground"`
	// Below is how far the trench bottom lies below the invert: wall plus bedding.
	Below units.Length `json:"below"`
}

// CutRow is one station of a cut sheet.
type CutRow struct {
	Station units.Length `json:"station"`
	Invert  units.Length `json:"invert"`
	// Beam is the elevation of the beam at the station.
	Beam units.Length `json:"beam"`
	// Reading is what a rod on the invert reads; BottomReading, on the trench bottom.
	Reading       units.Length `json:"reading"`
	BottomReading units.Length `json:"bottom_reading"`
	// Ground, and Cut from the ground down to the invert, hold only where the
	// sheet has ground; a negative cut is a fill. CutToBottom goes to the trench
	// bottom.
	Ground      units.Length `json:"ground"`
	Cut         units.Length `json:"cut"`
	CutToBottom units.Length `json:"cut_to_bottom"`
	// Name is that of the station of a line, if it has one.
	Name string `json:"name,omitzero"`
}

// cutRow fills a row in; ground is nil where it is not known.
func cutRow(station, invert, beam, below units.Length, ground *units.Length) CutRow {
	r := CutRow{Station: station, Invert: invert, Beam: beam, Reading: beam - invert}
	r.BottomReading = r.Reading + below
	if ground != nil {
		r.Ground = *ground
		r.Cut = r.Ground - invert
		r.CutToBottom = r.Cut + below
	}
	return r
}

// CutRows works out the sheet of a line, from the stations of
// [Profile.Stations] or [Profile.Every] and a beam set up along it. ground holds
// an elevation for each station, or is empty; below is as in [CutSheet]. A station
// with a drop makes two rows, for the pipe that leaves and the one that arrives.
// All faults are reported together.
//
// Distances of a line grow away from the outlet, so that a beam that falls with
// the pipe has a negative grade here.
func CutRows(s Setup, stations []Station, ground []units.Length, below units.Length) ([]CutRow, error) {
	var list faults.List
	if len(ground) != 0 && len(ground) != len(stations) {
		list.Addf("", "ground", "%w: %d elevations for %d stations", units.ErrRange, len(ground), len(stations))
		ground = nil
	}
	list.Note("", "", checkSize("below", below))
	var out []CutRow
	for i, at := range stations {
		var g *units.Length
		if len(ground) > 0 {
			g = &ground[i]
			note(&list, "station", i, at.Name, "", check("ground", *g))
		}
		beam, err := s.BeamAt(at.Distance)
		err = firstOf(err, check("invert", at.Leaving), check("invert", at.Arriving))
		if !note(&list, "station", i, at.Name, "", err) {
			continue
		}
		for k, invert := range [...]units.Length{at.Leaving, at.Arriving} {
			if k == 0 || invert != at.Leaving {
				r := cutRow(at.Distance, invert, beam, below, g)
				r.Name = at.Name
				out = append(out, r)
			}
		}
	}
	return faults.Result(out, list.Err())
}

// InstrumentHeight returns the elevation of the beam at the first station.
func (c CutSheet) InstrumentHeight() (units.Length, error) {
	return InstrumentHeight(c.Benchmark, c.Backsight)
}

// Rows works the sheet out. All its faults are reported together.
func (c CutSheet) Rows() ([]CutRow, error) {
	var list faults.List
	list.Note("", "", check("benchmark", c.Benchmark), check("backsight", c.Backsight), check("invert", c.Invert),
		checkGrade(c.Grade))
	if err := checkGrade(c.BeamGrade); err != nil {
		list.Addf("", "", "beam: %w", err)
	}
	list.Note("", "", checkSize("below", c.Below))
	if len(c.Ground) != 0 && len(c.Ground) != len(c.Stations) {
		list.Addf("", "", "ground: %w: %d elevations for %d stations", units.ErrRange, len(c.Ground), len(c.Stations))
	}
	for i, s := range c.Stations {
		if note(&list, "station", i, "", "", check("station", s)) && i > 0 && s < c.Stations[i-1] {
			list.Addf(itemName("station", i, ""), "", "%w: it lies before the one above it", units.ErrRange)
		}
	}
	for i, g := range c.Ground {
		note(&list, "ground", i, "", "", check("elevation", g))
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	beam := c.Benchmark + c.Backsight
	out := make([]CutRow, len(c.Stations))
	for i, s := range c.Stations {
		d := s - c.Stations[0]
		fall, beamFall := c.Grade.Over(d), c.BeamGrade.Over(d)
		err := firstOf(check("fall", fall), check("fall of the beam", beamFall))
		if !note(&list, "station", i, "", "", err) {
			continue
		}
		var ground *units.Length
		if len(c.Ground) > 0 {
			ground = &c.Ground[i]
		}
		out[i] = cutRow(s, c.Invert-fall, beam-beamFall, c.Below, ground)
	}
	return faults.Result(out, list.Err())
}
