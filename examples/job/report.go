package job

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"reflect"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/tables"
)

// Report is everything the program prints, as text already in the unit system
// asked for, so that the printed page and the JSON say the same. A job without
// drains, or without water lines, has none of their parts.
type Report struct {
	Job        JobSection      `json:"job"`
	Fixtures   []FixtureRow    `json:"fixtures,omitzero"`
	Loads      []SystemLoad    `json:"system_loads,omitzero"`
	Drains     []DrainRow      `json:"drains,omitzero"`
	Elevations []ElevationRow  `json:"elevations,omitzero"`
	Depth      []DepthLeft     `json:"depth_left,omitzero"`
	Stubs      []StubRow       `json:"stubs,omitzero"`
	Rods       *RodSection     `json:"rod_readings,omitempty"`
	Vents      []VentRow       `json:"vents,omitzero"`
	Cleanouts  []CleanoutRow   `json:"cleanouts,omitzero"`
	Water      *WaterSection   `json:"water,omitempty"`
	HotWater   []HotWaterRow   `json:"hot_water,omitempty"`
	Findings   FindingSection  `json:"findings"`
	Materials  MaterialSection `json:"materials"`
	Tests      TestSection     `json:"tests"`
	Changes    *ChangeSection  `json:"changes,omitempty"`
	Cautions   []string        `json:"cautions"`

	Permit      *PermitSection `json:"permit"`
	Inspections []Inspection   `json:"inspections"`

	Versions  Versions       `json:"versions"`
	File      FileSection    `json:"file"`
	Counts    Counts         `json:"counts"`
	NotJudged []string       `json:"not_judged"` // rules of the code that no check reads
	Confirmed []Confirmation `json:"confirmed"`  // figures that a reader found in the code book
	// Assumed is what the layout leaves open and no verdict or size hangs on.
	Assumed []tables.Assumption `json:"assumed"`

	made      *judged                               // what it was made from, for drawings
	open      func() map[tables.Settler][]*question // by who answers them
	ctx       context.Context                       // of the drawings, see WithContext
	as        printer
	paper     draw.Paper
	shortName string // of the code
	unjudged  []tables.Unjudged
	width     int
}

// Versions are those of the library and of its tables.
type Versions struct {
	Library string `json:"library"`
	Tables  string `json:"tables"`
}

// Counts counts findings by verdict, and questions by who answers them.
type Counts struct {
	Fail      int `json:"fail"`
	Ask       int `json:"ask"`
	Pass      int `json:"pass"`
	Book      int `json:"book"`
	Authority int `json:"authority"`
	Owner     int `json:"owner"`
	Designer  int `json:"designer"`
	// Of what the book settles, what fails and what passes if it agrees.
	FailIfConfirmed int `json:"fail_if_confirmed"`
	PassIfConfirmed int `json:"pass_if_confirmed"`
}

func countsOf(g *judged) Counts {
	var verdicts, confirmed [tables.Ask + 1]int
	var settlers [tables.Owner + 1]int
	for f := range g.findings.all() {
		verdicts[f.Verdict]++
		settlers[settler(f)]++
		confirmed[f.IfConfirmed]++
	}
	return Counts{Fail: verdicts[tables.Fail], Ask: verdicts[tables.Ask],
		Pass: verdicts[tables.Pass] + g.passes().Passes(), Book: settlers[tables.Book],
		Authority: settlers[tables.Authority], Owner: settlers[tables.Owner], Designer: settlers[tables.Designer],
		FailIfConfirmed: confirmed[tables.Fail], PassIfConfirmed: confirmed[tables.Pass]}
}

// libraryVersion is what the program was built of, as the build says it.
func libraryVersion() string {
	const module, unknown = "github.com/trapweir/trapweir", "(devel)"
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return unknown
	}
	version := info.Main.Version
	for _, m := range info.Deps {
		if m.Path == module {
			version = m.Version
		}
	}
	return cmp.Or(version, unknown)
}

// JobSection says what was judged, and by what.
type JobSection struct {
	Name       string   `json:"name"`
	Note       string   `json:"note,omitempty"`
	Address    string   `json:"address,omitempty"`
	Revision   string   `json:"revision,omitempty"`
	Code       string   `json:"code"`
	Edition    string   `json:"edition"`
	WaterCode  string   `json:"water_code,omitempty"` // of the water lines, where it is another
	Amendments []string `json:"amendments"`
	Floor      Quantity `json:"finished_floor,omitempty"` // of a job with drains
	Slab       Quantity `json:"slab,omitempty"`
	Units      string   `json:"units"`
	Standing   string   `json:"standing"` // how far the tables that decided may be trusted

	amended []amendment
}

// judged is one layout under one code. A half that the job has not, or that could
// not be judged, is nil.
type judged struct {
	job      *Job
	code     string        // its id
	edition  tables.Source // the document the code is
	drains   *drainsJudged
	water    *waterJudged
	gaps     []gap
	findings findings
	as       printer // of the questions about slips
}

// findings are lists that follow each other: a long one is not copied to put another after it.
type findings [][]tables.Finding

// all returns each finding.
func (l findings) all() iter.Seq[*tables.Finding] {
	return func(yield func(*tables.Finding) bool) {
		for _, list := range l {
			for i := range list {
				if !yield(&list[i]) {
					return
				}
			}
		}
	}
}

// drainsJudged is a drainage layout under one code.
type drainsJudged struct {
	layout   drains.Data
	code     *dwv.Code
	sizing   *drains.Sizing
	flows    []drains.EuropeanRun // by EN 12056-2; nil under a code in fixture units
	levels   *drains.Levels
	list     []*drains.Point   // of the layout, as the sizing counts them
	vents    []drains.VentSize // in the order of the layout
	findings []tables.Finding
	passes   *tables.Tally // where they are no findings
	assumed  []tables.Assumption
}

// size sizes and grades a job under a code of the shelf. If neither half can be,
// that is an error; if one cannot, a gap.
func size(ctx context.Context, j *Job, id string, p printer) (*judged, error) {
	g := &judged{job: j, code: id, as: p}
	if j.drains == nil {
		g.code = cmp.Or(j.WaterCode, id)
	}
	var err error
	if j.drains != nil {
		if g.drains, err = sizeDrains(ctx, j, id); err == nil {
			g.edition = g.drains.code.Source()
		}
		g.lack("drains", err)
	}
	if j.water != nil {
		if g.water, err = judgeWater(ctx, j, g.drains, cmp.Or(j.WaterCode, id), p); err == nil {
			if g.edition = g.water.code.Source(); g.drains != nil {
				g.edition = g.drains.code.Source()
			}
		}
		g.lack("water lines", err)
	}
	if err := g.stopped(ctx); err != nil {
		return nil, err
	}
	if g.drains == nil && g.water == nil {
		var all []error
		for _, x := range g.gaps {
			all = append(all, x.err)
		}
		return nil, errors.Join(all...)
	}
	return g, nil
}

func sizeDrains(ctx context.Context, j *Job, id string) (*drainsJudged, error) {
	s, err := j.SizeDrainsContext(ctx, id)
	if err != nil {
		return nil, err
	}
	d := &drainsJudged{code: s.Code(), sizing: s, flows: s.European()}
	d.sized()
	return d, nil
}

// sized takes of a sizing what the parts of a report read.
func (d *drainsJudged) sized() {
	d.layout, d.levels, d.vents = d.sizing.Layout().Data(), d.sizing.Levels(), d.sizing.Vents()
	d.list = make([]*drains.Point, 0, d.sizing.Len())
	d.points(func(_ int, _ *drains.System, pt *drains.Point) { d.list = append(d.list, pt) })
}

// find returns the place of a point in the list, false of an outlet.
func (d *drainsJudged) find(id string) (int, bool) { return d.sizing.Layout().Find(id) }

// check judges what sizeDrains has made; with words, passes are findings and say why
// they are.
func (d *drainsJudged) check(ctx context.Context, p printer, words bool) (err error) {
	if !words {
		d.passes = new(tables.Tally)
	}
	opt := drains.CheckOptions{Tally: d.passes, Print: p.text, Assumed: &d.assumed}
	d.findings, err = d.sizing.CheckContext(ctx, opt)
	return err
}

// gather puts the findings of both halves together, what could not be judged, and what may be
// slips.
func (g *judged) gather(slips []tables.Finding) {
	g.findings = nil
	if g.drains != nil {
		g.findings = append(g.findings, g.drains.findings)
	}
	if g.water != nil {
		g.findings = append(g.findings, g.water.findings)
	}
	for _, x := range g.gaps {
		g.findings = append(g.findings, x.findings())
	}
	g.findings = append(g.findings, slips)
}

// drawn is the layout of the drains, nil if the job has none.
func (g *judged) drawn() *drains.Data {
	switch {
	case g.drains != nil:
		return &g.drains.layout
	case g.job.drains != nil:
		d := g.job.drains.Data()
		return &d
	}
	return nil
}

// passes returns the tally of the drains, nil if they have none.
func (g *judged) passes() *tables.Tally {
	if g.drains == nil {
		return nil
	}
	return g.drains.passes
}

// Options say how a report is written.
type Options struct {
	SI        bool // metres, litres a second and kilopascals in place of feet, gallons a minute and psi
	Width     int  // of the printed page, 118 columns if 0; page one has 78
	AllPasses bool // each pass in words, for JSON; the printed page counts them
	// Paper of the drawings. Zero: of files as they need it; of the page letter, or with SI A4.
	Paper draw.Paper
	// Tell, if not nil, hears how far work of several parts is, for who waits.
	Tell func(text string)
}

func (o Options) tell(format string, args ...any) {
	if o.Tell != nil {
		o.Tell(fmt.Sprintf(format, args...))
	}
}

// Text writes a quantity as a report with these options does, such as an elevation in feet
// and hundredths: for the Print of other checks and for drawings beside a report.
func (o Options) Text(q fmt.Stringer) string {
	if q == nil {
		return ""
	}
	return newPrinter(o.SI, false).text(q)
}

// Report judges a job under its own code if other is empty, or under another code of the shelf;
// then it also says what that changes. A half that cannot be judged is asked about
// among the findings; the error is of a job of which neither half can be.
func (j *Job) Report(other string, o Options) (*Report, error) {
	return j.ReportContext(context.Background(), other, o)
}

// ReportContext is [Job.Report] that stops once the context is done, with its error and how far it
// was. Drawings of the report are made later: see [Report.WithContext].
func (j *Job) ReportContext(ctx context.Context, other string, o Options) (*Report, error) {
	r, err := report(ctx, j, other, newPrinter(o.SI, o.AllPasses))
	if err != nil {
		return nil, err
	}
	r.width, r.paper = o.Width, o.Paper
	return r, nil
}

// report judges a job under its own code, or under another, and writes it up.
func report(ctx context.Context, j *Job, other string, p printer) (*Report, error) {
	id := cmp.Or(other, j.Code)
	compared := id != j.Code
	g, err := size(ctx, j, id, p)
	if err != nil {
		return nil, err
	}
	r := &Report{Cautions: cautions, made: g, as: p, ctx: context.Background()}
	// The findings, the schedules of the pipes and the rest ask the same sizes and
	// levels and nothing of each other. What takes longest begins first.
	var slips []tables.Finding
	gaps := together(
		func() []gap {
			if g.drains == nil {
				return nil
			}
			return []gap{{"findings of the drains", g.drains.check(ctx, p, p.full || compared)}}
		},
		func() []gap { return r.drainParts(g, p) },
		func() []gap { return r.drainMaterials(g, p) },
		func() []gap { return r.waterParts(g, p) },
		func() []gap { r.throughSlab(g, p); return nil },
		func() []gap { r.File = fileSection(j); return nil },
		func() []gap { slips = g.slips(); return nil },
	)
	for _, x := range gaps {
		g.lack(x.part, x.err)
	}
	if err := g.stopped(ctx); err != nil {
		return nil, err
	}
	g.gather(slips)
	r.open = sync.OnceValue(func() map[tables.Settler][]*question { return questionsOf(g.findings) })
	r.Counts = countsOf(g)
	r.Findings = FindingSection{found: g.findings, counted: g.passes(), as: p,
		Summary: fmt.Sprintf("%d fail, %d ask, %d pass", r.Counts.Fail, r.Counts.Ask, r.Counts.Pass)}
	if r.Job, err = jobSection(g, p); err != nil {
		return nil, err
	}
	if r.unjudged, err = j.notJudged(id, g.water); err != nil {
		return nil, err
	}
	r.NotJudged, r.shortName = unjudgedRows(r.unjudged), shortName(g.code, r.Job.Edition)
	if g.drains != nil {
		r.Assumed = slices.Clone(g.drains.assumed)
	}
	if g.water != nil {
		r.Assumed = append(r.Assumed, g.water.assumed...)
	}
	r.Versions = Versions{Library: libraryVersion(), Tables: tables.DataVersion}
	r.Confirmed = j.confirmed
	r.Permit, r.Inspections = permit(g, p), inspections(r)
	if compared {
		if r.Changes, err = compare(ctx, j, g, p); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// compare judges the job under its own code too, and says what changes.
func compare(ctx context.Context, j *Job, g *judged, p printer) (*ChangeSection, error) {
	base, err := size(ctx, j, j.Code, p)
	if err != nil {
		return nil, err
	}
	if base.drains != nil {
		base.lack("findings of the drains", base.drains.check(ctx, p, true))
		if err := base.stopped(ctx); err != nil {
			return nil, err
		}
	}
	base.gather(base.slips())
	return changes(base, g, p), nil
}

// drainParts writes up the drains.
func (r *Report) drainParts(g *judged, p printer) []gap {
	d := g.drains
	if d == nil {
		return nil
	}
	r.Fixtures, r.Loads = fixtureSchedule(d, p)
	r.Drains = drainSchedule(d, p)
	r.Elevations, r.Depth = elevations(d, r.Drains, p)
	r.Vents = ventSchedule(d, p)
	var err error
	r.Rods, err = rodReadings(d, g.job.laser, p)
	return []gap{{"rod readings", err}}
}

// throughSlab is what of the drains comes up through the slab.
func (r *Report) throughSlab(g *judged, p printer) {
	if d := g.drains; d != nil {
		r.Cleanouts, r.Stubs = cleanoutSchedule(d, p), stubs(d, p)
	}
}

// drainMaterials is what to buy for the drains, and what to test them with.
func (r *Report) drainMaterials(g *judged, p printer) []gap {
	d := g.drains
	if d == nil {
		return nil
	}
	return []gap{{"take-off of the drains", r.Materials.ofDrains(d, p)}, {"test of the drains", r.Tests.ofDrains(d, p)}}
}

// waterParts writes up the water lines.
func (r *Report) waterParts(g *judged, p printer) []gap {
	w := g.water
	if w == nil {
		return nil
	}
	var lines, hot, take error
	r.Water, lines = waterSchedule(w, p)
	r.HotWater, hot = hotWater(w, p)
	r.Materials.Water, take = waterMaterials(w, p)
	r.Tests.Water = waterTest(w, p)
	return []gap{{"water lines", lines}, {"hot water", hot}, {"take-off of the water lines", take}}
}

// together runs tasks at once and returns what they lack, in their order.
func together(tasks ...func() []gap) []gap {
	lacks := make([][]gap, len(tasks))
	var wg sync.WaitGroup
	for i, task := range tasks {
		wg.Go(func() { lacks[i] = task() })
	}
	wg.Wait()
	return slices.Concat(lacks...)
}

func jobSection(g *judged, p printer) (JobSection, error) {
	s := JobSection{
		Name: g.job.Name, Note: g.job.Note, Address: g.job.Address, Revision: g.job.Revision,
		Code: g.code, Edition: g.edition.String(),
		Units: either(p, "us", "si"),
	}
	if w := g.water; w != nil && g.code != w.code.ID() {
		s.WaterCode = titled(w.code.Source().String(), shortName(w.code.ID(), w.code.ID()))
	}
	var err error
	if s.amended, err = amendmentsOf(g.job.ordained, s.Code); err != nil {
		return s, err
	}
	s.Amendments = []string{}
	for i := range s.amended {
		s.Amendments = append(s.Amendments, s.amended[i].text())
	}
	if d := g.drawn(); d != nil {
		s.Floor, s.Slab = p.level(d.FinishedFloor), p.depth(d.Slab)
	}
	memory := map[tables.Citation]bool{}
	cited := func(c tables.Citation) {
		// A row that an amendment drops needs no standing.
		if c.Status() != 0 && !c.Status().Firm() {
			memory[c] = true
		}
	}
	for f := range g.findings.all() {
		cited(f.Citation)
	}
	for _, r := range g.passes().Rules() {
		for _, c := range r.Citations {
			cited(c)
		}
	}
	s.Standing = "every row that decided was seen in a source"
	if n := len(memory); n > 0 {
		s.Standing = fmt.Sprintf("%d of the rows that decided were recalled and not seen in print, are common "+
			"practice, or are disputed; what rests on them is an \"ask\"", n)
	}
	return s, nil
}

// Fails reports whether any finding fails.
func (r *Report) Fails() bool { return r.Counts.Fail > 0 }

// WriteJSON writes the report for other programs.
func (r *Report) WriteJSON(w io.Writer) error {
	fillLists(reflect.ValueOf(r))
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(r); err != nil {
		return err
	}
	_, err := visible.JSONWriter(w).Write(quantityLines(b.Bytes()))
	return err
}

// Print writes the report as text.
func (r *Report) Print(w io.Writer) error {
	parts := [...]func(*page){
		r.printFront, r.printFindings, r.printAmendments, r.printConfirmed, r.printPermit, r.printLevels, r.printStubs,
		r.printCleanouts, r.printTests, r.printMaterials, r.printFixtures, r.printDrains, r.printVents, r.printWater,
		r.printChanges, r.printAssumed, r.printCautions, r.printPasses, r.printNotJudged, r.printCitations,
	}
	pages := make([]*page, len(parts))
	var wg sync.WaitGroup
	for i, print := range parts { // none asks what another printed
		pages[i] = r.newPage(r.width)
		wg.Go(func() { print(pages[i]) })
	}
	wg.Wait()
	return writePages(w, pages)
}

// newPage is an empty page of the report, so many columns wide.
func (r *Report) newPage(width int) *page {
	return &page{width: width, short: strings.NewReplacer(r.titles()...)}
}

func (r *Report) printCautions(p *page) {
	p.section("Cautions")
	for _, c := range r.Cautions {
		p.paragraph("  - ", "    ", c)
	}
}

// cautions stand on every report.
var cautions = []string{
	"These are calculations, to be checked by a licensed plumber or engineer against the code in force and the " +
		"rulings of the local authority. Nothing here is an approval.",
	"A trench can close on whoever is in it: slope, shore or shield it, keep spoil and machines back from the edge, " +
		"and keep people out of one that is not safe.",
	"Primer and cement give off fumes that burn and stun: ventilate the work, keep flames away, and let joints cure " +
		"before the test.",
	"Test with water, never with compressed air or gas in plastic pipe unless its maker and the code allow it.",
	"Sewer gas poisons and explodes: keep stubs capped until traps hold water, and traps filled after that.",
	"Hot water scalds within seconds at the temperatures that keep a tank safe: limit it at the outlets with " +
		"devices made for it.",
	"A cross-connection can poison a whole street: backflow protection is for the designer and the water purveyor " +
		"to decide.",
}

// fillLists makes of every list that has nothing in it one that JSON writes as [], so
// that who reads the report finds a list where one is due. Fields that JSON leaves out
// when empty stay so, and parts that the job has not are none.
func fillLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillLists(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			absent := strings.HasSuffix(f.Tag.Get("json"), ",omitzero") && v.Field(i).IsZero()
			if f.IsExported() && !absent {
				fillLists(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		for i := range v.Len() {
			fillLists(v.Index(i))
		}
	}
}
