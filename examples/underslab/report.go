package main

import (
	"bufio"
	"fmt"
	"io"
	"sync"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// Report is everything the program prints, as text already in the unit system
// asked for, so that the printed page and the JSON say the same.
type Report struct {
	Job        JobSection      `json:"job"`
	Fixtures   []FixtureRow    `json:"fixtures"`
	Loads      []SystemLoad    `json:"system_loads"`
	Drains     []DrainRow      `json:"drains"`
	Elevations []ElevationRow  `json:"elevations"`
	Depth      []DepthLeft     `json:"depth_left"`
	Rods       *RodSection     `json:"rod_readings,omitempty"`
	Vents      []VentRow       `json:"vents"`
	Cleanouts  []CleanoutRow   `json:"cleanouts"`
	Water      *WaterSection   `json:"water,omitempty"`
	HotWater   []HotWaterRow   `json:"hot_water,omitempty"`
	Findings   FindingSection  `json:"findings"`
	Materials  MaterialSection `json:"materials"`
	Tests      TestSection     `json:"tests"`
	Changes    *ChangeSection  `json:"changes,omitempty"`
	Cautions   []string        `json:"cautions"`
}

// JobSection says what was judged, and by what.
type JobSection struct {
	Name       string   `json:"name"`
	Note       string   `json:"note,omitempty"`
	Code       string   `json:"code"`
	Edition    string   `json:"edition"`
	Amendments []string `json:"amendments"`
	Floor      string   `json:"finished_floor"`
	Slab       string   `json:"slab"`
	Units      string   `json:"units"`
	Standing   string   `json:"standing"` // how far the tables that decided may be trusted
}

// judged is one layout under one code.
type judged struct {
	job      *job
	code     *dwv.Code
	sizing   *dwv.Sizing
	levels   *dwv.Levels
	water    *waterJudged
	findings []tables.Finding
	passes   *tables.Tally // of the drains, where they are no findings
}

// size sizes and grades a job under a code of the shelf.
func size(j *job, id string, p printer) (*judged, error) {
	code, err := dwv.LoadCode(j.shelf, id)
	if err != nil {
		return nil, err
	}
	g := &judged{job: j, code: code}
	if g.sizing, err = j.drains.Size(code, dwv.SizeOptions{Shelf: j.shelf}); err != nil {
		return nil, err
	}
	if g.levels, err = j.drains.Levels(g.sizing); err != nil {
		return nil, err
	}
	if j.water != nil {
		wcode, err := supply.LoadCode(j.shelf, id)
		if err != nil {
			return nil, err
		}
		if g.water, err = judgeWater(j, wcode, p); err != nil {
			return nil, err
		}
	}
	return g, nil
}

// check judges what size has made; with words, passes of the drains are findings and
// say why they are.
func (g *judged) check(p printer, words bool) (err error) {
	if !words {
		g.passes = new(tables.Tally)
	}
	if g.findings, err = g.job.drains.Check(g.code, dwv.CheckOptions{Sizing: g.sizing, Tally: g.passes, Print: p.value}); err != nil {
		return err
	}
	if g.water != nil {
		g.findings = append(g.findings, g.water.findings...)
	}
	return nil
}

// report judges a job under its own code, or under another, and writes it up.
func report(j *job, other string, p printer) (*Report, error) {
	id := j.code
	if other != "" {
		id = other
	}
	compared := other != "" && other != j.code
	g, err := size(j, id, p)
	if err != nil {
		return nil, err
	}
	r := &Report{Cautions: cautions}
	// The findings, the schedules of the pipes and the rest ask the same sizes and
	// levels and nothing of each other.
	err = together(
		func() error {
			if err := g.check(p, p.full || compared); err != nil {
				return err
			}
			var err error
			r.Job, err = jobSection(g, p)
			r.Findings = findingSection(g, p)
			return err
		},
		func() (err error) {
			r.Fixtures, r.Loads = fixtureSchedule(g, p)
			r.Drains = drainSchedule(g, p)
			r.Elevations, r.Depth = elevations(g, r.Drains, p)
			r.Vents = ventSchedule(g, p)
			r.Cleanouts = cleanoutSchedule(g, p)
			r.Rods, err = rodReadings(g, p)
			return err
		},
		func() (err error) {
			if g.water != nil {
				if r.Water, err = waterSchedule(g.water, p); err != nil {
					return err
				}
				if r.HotWater, err = hotWater(g.water, p); err != nil {
					return err
				}
			}
			if r.Materials, err = materials(g, p); err != nil {
				return err
			}
			r.Tests, err = tests(g, p)
			return err
		},
	)
	if err != nil {
		return nil, err
	}
	if compared {
		base, err := size(j, j.code, p)
		if err == nil {
			err = base.check(p, true)
		}
		if err != nil {
			return nil, err
		}
		r.Changes = changes(base, g, p)
	}
	return r, nil
}

// together runs tasks at once and returns the fault of the first, in their order,
// that has one.
func together(tasks ...func() error) error {
	errs := make([]error, len(tasks))
	var wg sync.WaitGroup
	for i, task := range tasks {
		wg.Go(func() { errs[i] = task() })
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func jobSection(g *judged, p printer) (JobSection, error) {
	s := JobSection{
		Name: g.job.name, Note: g.job.note,
		Code: g.code.ID(), Edition: g.code.Source().String(),
		Floor: p.elevation(g.job.drains.FinishedFloor) + " " + p.elevationUnit(),
		Slab:  p.depth(g.job.drains.Slab),
		Units: "us",
	}
	if p.si {
		s.Units = "si"
	}
	var err error
	if s.Amendments, err = amendmentTexts(g.job.shelf, s.Code); err != nil {
		return s, err
	}
	memory := map[tables.Citation]bool{}
	cited := func(c tables.Citation) {
		// A row that an amendment drops needs no standing.
		if c.Status() != 0 && !c.Status().Firm() {
			memory[c] = true
		}
	}
	for i := range g.findings {
		cited(g.findings[i].Citation)
	}
	for _, r := range g.passes.Rules() {
		for _, c := range r.Citations {
			cited(c)
		}
	}
	s.Standing = "every row that decided was seen in a source"
	if n := len(memory); n > 0 {
		s.Standing = fmt.Sprintf("%d of the rows that decided were recalled and not seen in print, are common practice, or are disputed; what rests on them is an \"ask\"", n)
	}
	return s, nil
}

// fails reports whether any finding fails.
func (r *Report) fails() bool { return len(r.Findings.Fail) > 0 }

// print writes the report as text.
func (r *Report) print(w io.Writer) error {
	buffered := bufio.NewWriter(w)
	p := &page{w: buffered}
	r.printJob(p)
	r.printFixtures(p)
	r.printDrains(p)
	r.printElevations(p)
	r.printRods(p)
	r.printVents(p)
	r.printCleanouts(p)
	r.printWater(p)
	r.printFindings(p)
	r.printMaterials(p)
	r.printTests(p)
	r.printChanges(p)
	p.section("Cautions")
	for _, c := range r.Cautions {
		p.paragraph("  - ", "    ", c)
	}
	if p.err != nil {
		return p.err
	}
	return buffered.Flush()
}

func (r *Report) printJob(p *page) {
	p.printf("%s\n%s\n", r.Job.Name, underline(r.Job.Name))
	if r.Job.Note != "" {
		p.paragraph("", "", r.Job.Note)
	}
	p.section("Job")
	p.printf("  code            %s (%s)\n", r.Job.Edition, r.Job.Code)
	if len(r.Job.Amendments) == 0 {
		p.printf("  amendments      none\n")
	}
	for _, a := range r.Job.Amendments {
		p.paragraph("  amendment       ", "                  ", a)
	}
	p.printf("  finished floor  %s\n  slab            %s\n", r.Job.Floor, r.Job.Slab)
	p.paragraph("  tables          ", "                  ", r.Job.Standing)
	p.paragraph("  findings        ", "                  ", r.Findings.Summary)
}

// cautions stand on every report.
var cautions = []string{
	"These are calculations, to be checked by a licensed plumber or engineer against the code in force and the rulings of the local authority. Nothing here is an approval.",
	"A trench can close on whoever is in it: slope, shore or shield it, keep spoil and machines back from the edge, and keep people out of one that is not safe.",
	"Primer and cement give off fumes that burn and stun: ventilate the work, keep flames away, and let joints cure before the test.",
	"Test with water, never with compressed air or gas in plastic pipe unless its maker and the code allow it.",
	"Sewer gas poisons and explodes: keep stubs capped until traps hold water, and traps filled after that.",
	"Hot water scalds within seconds at the temperatures that keep a tank safe: limit it at the outlets with devices made for it.",
	"A cross-connection can poison a whole street: backflow protection is for the designer and the water purveyor to decide.",
}
