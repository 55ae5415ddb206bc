package job

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/supply"
	"github.com/trapweir/trapweir/tables"
)

// figure is one drawing of a job.
type figure struct {
	name   string // of its files, without ending
	title  string
	about  string // what it shows, for those who cannot see it
	sheets []draw.Sheet
}

// drawer makes the drawings of a job.
type drawer struct {
	g      *judged
	r      *Report
	metric bool
	linked bool // for a page: ids that are alone on the page, and rings that lead to it
	paper  draw.Paper
	notes  []draw.Note
	first  []*FindingRow // of each note
	list   []figure
	err    error // of the first that could not be drawn
}

// figures draws a job.
func figures(r *Report, linked bool) ([]figure, error) {
	d := &drawer{g: r.made, r: r, metric: r.Job.Units == "si", linked: linked}
	d.paper = r.paper
	if linked {
		d.paper = r.pagePaper()
	}
	d.notes, d.first = notes(&r.Findings, linked)
	drawn, water := new(drains.Drawings), new(supply.Drawings)
	err := d.stopped()
	if err != nil {
		return nil, err
	}
	if d.g.drains != nil {
		opt := drains.DrawOptions{Metric: d.metric, Rows: d.rods()}
		if drawn, err = d.g.drains.sizing.DrawContext(d.r.ctx, opt); err != nil {
			return nil, err
		}
	}
	if d.g.water != nil {
		opt := supply.DrawOptions{Metric: d.metric, Print: d.r.as.text}
		if water, err = d.g.water.sizing.DrawContext(d.r.ctx, opt); err != nil {
			return nil, err
		}
	}
	if err := d.stopped(); err != nil {
		return nil, err
	}
	d.attach(drawn, water)
	d.overlay(drawn, water)
	d.drains(drawn, water.Plan != nil)
	d.water(water, drawn.Plan == nil)
	return d.list, d.err
}

// attach sets the notes where they belong. A note that belongs to no place of any
// drawing stands in the list of the first.
func (d *drawer) attach(drains *drains.Drawings, water *supply.Drawings) {
	scenes := []*draw.Scene{drains.Plan, drains.Schematic}
	for _, s := range drains.Systems {
		scenes = append(scenes, s.Isometric)
		if s.Profile != nil {
			scenes = append(scenes, &s.Profile.Scene)
		}
	}
	scenes = slices.DeleteFunc(append(scenes, water.Plan, water.Isometric), func(sc *draw.Scene) bool { return sc == nil })
	placed := map[string]bool{}
	for _, sc := range scenes {
		sc.Attach(d.notesOf(sc == water.Isometric || sc == water.Plan))
		for _, n := range sc.Notes {
			placed[n.Key] = true
		}
	}
	elsewhere := slices.DeleteFunc(slices.Clone(d.notes), func(n draw.Note) bool { return placed[n.Key] })
	for _, sc := range scenes { // a rule of one half may judge what lies in the other
		sc.Attach(elsewhere)
	}
	for _, n := range elsewhere {
		placed[n.Key] = slices.ContainsFunc(scenes, func(sc *draw.Scene) bool {
			return slices.ContainsFunc(sc.Notes, func(x draw.Note) bool { return x.Key == n.Key })
		})
	}
	first := cmp.Or(drains.Plan, drains.Schematic, water.Plan, water.Isometric)
	if first == nil {
		return
	}
	for _, n := range d.notes {
		if !placed[n.Key] {
			n.Places = nil
			first.Notes = append(first.Notes, n)
		}
	}
	sortNotes(first.Notes)
}

// overlay draws the water lines that have places into the plan of the drains, below
// these. What has the id of a drain there is called "water " and its id.
func (d *drawer) overlay(drains *drains.Drawings, water *supply.Drawings) {
	if water.Plan == nil || drains.Plan == nil {
		return
	}
	plan, taken := drains.Plan, map[string]bool{}
	for i := range plan.Lines {
		taken[plan.Lines[i].ID] = true
	}
	for i := range plan.Marks {
		taken[plan.Marks[i].ID] = true
	}
	name := func(id *string) {
		if taken[*id] && *id != "" {
			*id = "water " + *id
		}
	}
	for i := range water.Plan.Lines {
		name(&water.Plan.Lines[i].ID)
	}
	for i := range water.Plan.Marks {
		name(&water.Plan.Marks[i].ID)
	}
	plan.Lines = append(water.Plan.Lines, plan.Lines...)
	plan.Marks = append(water.Plan.Marks, plan.Marks...)
	plan.Remarks = append(plan.Remarks, water.Plan.Remarks...)
	for _, n := range water.Plan.Notes {
		k := slices.IndexFunc(plan.Notes, func(x draw.Note) bool { return x.Key == n.Key })
		if k < 0 {
			plan.Notes = append(plan.Notes, n)
			continue
		}
		plan.Notes[k].Places = append(plan.Notes[k].Places, n.Places...)
	}
	sortNotes(plan.Notes)
}

func sortNotes(list []draw.Note) {
	slices.SortStableFunc(list, func(a, b draw.Note) int {
		return cmp.Or(cmp.Compare(len(a.Key), len(b.Key)), cmp.Compare(a.Key, b.Key))
	})
}

// notesOf are the notes of one half of the job, by whose rules they are; those of neither are
// of both. A fixture has one id in both halves, and its ring stands in the drawing of the
// half that the finding is about.
func (d *drawer) notesOf(water bool) []draw.Note {
	var list []draw.Note
	for i, n := range d.notes {
		if half := halves()[d.first[i].Rule]; half == "" || (half == "water") == water {
			list = append(list, n)
		}
	}
	return list
}

// halves says whose rules they are: water, drains, or of neither.
var halves = sync.OnceValue(func() map[string]string {
	of := map[string]string{}
	for _, r := range drains.Rules() {
		of[r.ID] = "drains"
	}
	for _, r := range supply.Rules() {
		of[r.ID] = "water"
	}
	return of
})

// notes are the findings that fail or ask, numbered: those of one rule that one answer
// settles share a number. Each is told as the first of them.
func notes(s *FindingSection, linked bool) (list []draw.Note, first []*FindingRow) {
	var findings grouped.By[[4]string, *FindingRow]
	for _, rows := range [...][]FindingRow{s.Fail(), s.Ask()} {
		for i := range rows {
			findings.Add(noteKey(&rows[i]), &rows[i])
		}
	}
	for n, alike := range findings.Lists {
		f := alike[0]
		note := draw.Note{Key: strconv.Itoa(n + 1), Bad: f.Verdict == tables.Fail, Text: noteText(f)}
		if linked {
			note.Link = "#finding-" + note.Key
		}
		for _, x := range alike {
			note.Places = append(note.Places, x.rings()...)
		}
		list, first = append(list, note), append(first, f)
	}
	for i := range list {
		n := &list[i]
		if more := len(n.Places) - 1; more > 0 { // its sentence is about the first
			at := " at " + n.Places[0].On + ": "
			n.Text = strings.Replace(n.Text, at, fmt.Sprintf("%sand %d more: ", at[:len(at)-2]+" ", more), 1)
		}
	}
	return list, first
}

// rings are the places of a finding: at the first its ring has the id of the finding.
func (f *FindingRow) rings() []draw.Place {
	list := []draw.Place{{ID: f.ID, On: f.Place}}
	for _, at := range f.Places {
		if at != f.Place {
			list = append(list, draw.Place{ID: f.ID + "/" + at, On: at})
		}
	}
	return list
}

// noteKey is the same for findings that share a number.
func noteKey(f *FindingRow) [4]string {
	k := [4]string{f.Rule, f.Source, f.Fix}
	if f.Verdict == tables.Fail {
		k[3] = f.Place
	}
	return k
}

func noteText(f *FindingRow) string {
	text := ruleWords(f.Rule) + " at " + f.Place + ": " + f.told()
	switch {
	case f.Verdict == tables.Fail && f.Fix != "":
		text += " Fix: " + f.Fix
	case f.IfConfirmed == tables.Pass:
		text += " From memory: passes if the book agrees."
	case f.IfConfirmed == tables.Fail:
		text += " From memory: FAILS if the book agrees."
	}
	return text
}

// told is a finding in a sentence, without the one on the standing of its figure.
func (f *FindingRow) told() string {
	reason := f.compared
	return capital(reason) + f.figuresBeside(reason) + "."
}

// ruleNames are of rules whose ids say little to people.
var ruleNames = map[string]string{"load-row": "Loads of fixtures", "demand-row": "Demand", "bore-row": "Bores of pipe",
	"stand-in": "Demand curve"}

// ruleWords is what a rule is called in a report.
func ruleWords(rule string) string {
	return cmp.Or(ruleNames[rule], capital(label(rule)))
}

// options are those of one drawing.
func (d *drawer) options(name, title string) draw.Options {
	o := draw.Options{Metric: d.metric, Paper: d.paper,
		Title: draw.Title{Job: d.r.Job.Name, Drawing: title, Fields: d.fields()}}
	if d.linked {
		o.Prefix = name + "."
	}
	return o
}

func (d *drawer) fields() []draw.Field {
	j := &d.r.Job
	amended := strings.Join(j.Amendments, "; ")
	list := []draw.Field{{Name: "Code", Value: j.Edition}}
	if j.WaterCode != "" {
		list = append(list, draw.Field{Name: "Water code", Value: j.WaterCode})
	}
	return append(list, []draw.Field{
		{Name: "Amendments", Value: cmp.Or(amended, "none")}, {Name: "Layout", Value: d.r.File.Name},
		{Name: "SHA-256 of it", Value: d.r.File.SHA256[:min(16, len(d.r.File.SHA256))]},
		{Name: "Tables", Value: d.r.Versions.Tables}, {Name: "Revision", Value: cmp.Or(j.Revision, "____________")},
	}...)
}

// pagePaper is what the drawings in the page are laid out for: what an office printer holds, if
// no paper was asked for.
func (r *Report) pagePaper() draw.Paper {
	return cmp.Or(r.paper, either(r.as, draw.Letter, draw.A4))
}

// WithContext returns the report whose drawings, pages and checklist stop once the context is done, with
// its error and how far they were. A drawing that is half drawn then is left out.
func (r *Report) WithContext(ctx context.Context) *Report {
	other := *r
	other.ctx = ctx
	return &other
}

// stopped says how many drawings were made when the context ended, nil if the work goes on.
func (d *drawer) stopped() error {
	if err := d.r.ctx.Err(); err != nil {
		return fmt.Errorf("drawings: stopped after %d were drawn: %w", len(d.list), err)
	}
	return nil
}

// show draws what is there, such as a plan with the notes that have a place on it.
func show[T any](d *drawer, drawing func(context.Context, *T, draw.Options) ([]draw.Sheet, error), of *T, f figure) {
	if of == nil || d.err != nil {
		return
	}
	if d.err = d.stopped(); d.err != nil {
		return
	}
	f.sheets, d.err = drawing(d.r.ctx, of, d.options(f.name, f.title))
	if d.err != nil && d.r.ctx.Err() != nil {
		d.err = fmt.Errorf("drawings: stopped in %s, after %d were drawn: %w", f.name, len(d.list), d.err)
	}
	d.list = append(d.list, f)
}

// drains draws plan, profiles and isometrics of the drains; the plan may hold water lines.
func (d *drawer) drains(drawn *drains.Drawings, water bool) {
	if drawn.Plan != nil && d.r.Rods != nil {
		l := d.g.job.laser
		drawn.Plan.Beam = &draw.Heading{Degrees: l.Toward.Degrees(), Name: "beam " + string(d.r.as.grade(l.Grade))}
		drawn.Plan.Remarks = append(drawn.Plan.Remarks, "The laser beam "+d.r.Rods.Beam+".")
	}
	plan := figure{name: "plan", title: "Plan of drains below the slab",
		about: "Every drain from above, with sizes, falls and inverts."}
	if water {
		plan.title = "Plan of drains and water lines"
		plan.about = "Drains and water lines from above, with sizes, falls and inverts."
	}
	show(d, draw.PlanContext, drawn.Plan, plan)
	show(d, draw.PlanContext, drawn.Schematic, figure{name: "schematic", title: "Drains by their order",
		about: "Every drain in its order from the outlet, not to scale."})
	names := fileNames(drawn.Systems)
	for i, s := range drawn.Systems {
		show(d, draw.ProfileContext, s.Profile, figure{name: "profile-" + names[i], title: "Profile of system " + s.System,
			about: "The longest way to the outlet from the side, heights exaggerated, with a table of stations."})
	}
	for i, s := range drawn.Systems {
		show(d, draw.IsometricContext, s.Isometric, figure{name: "isometric-" + names[i],
			title: "Isometric of system " + s.System + " with its vents",
			about: "Drains and vents of the system in three dimensions, with loads and lengths."})
	}
}

// fileNames makes names of files of the ids of systems: small letters, digits and
// hyphens, or else the number of the system.
func fileNames(systems []drains.SystemDrawing) []string {
	names := make([]string, len(systems))
	taken := map[string]bool{}
	for i, s := range systems {
		name := strings.ToLower(s.System)
		plain := name != "" && len(name) <= 40 && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
		if !plain || taken[name] {
			name = strconv.Itoa(i + 1)
		}
		for taken[name] {
			name += "-"
		}
		taken[name], names[i] = true, name
	}
	return names
}

// rods are the rod readings of points, as rows of the table below a profile.
func (d *drawer) rods() []drains.DrawRow {
	if d.r.Rods == nil {
		return nil
	}
	at := map[string]RodReading{}     // by point
	run := map[string]*RodReading{}   // the upper end of each run
	first := map[string]*RodReading{} // its lower end
	for i := range d.r.Rods.Rods {
		x := &d.r.Rods.Rods[i]
		run[x.Run] = x
		if first[x.Run] == nil {
			first[x.Run] = x
		}
	}
	d.g.drains.points(func(_ int, sys *drains.System, pt *drains.Point) {
		name := pt.ID + " > " + pt.To
		if x := run[name]; x != nil {
			at[pt.ID] = *x
		}
		if x := first[name]; x != nil && pt.To == sys.Outlet.ID {
			at[pt.To] = *x
		}
	})
	return []drains.DrawRow{
		{Name: "rod on invert", Cell: func(id string) string { return string(at[id].Reading) }},
		{Name: "rod on trench bottom", Cell: func(id string) string { return string(at[id].Trench) }},
	}
}

// water draws the isometric of the water lines, their rings and the pressure line, and their plan if they
// are not in that of the drains.
func (d *drawer) water(drawn *supply.Drawings, plan bool) {
	if plan {
		show(d, draw.PlanContext, drawn.Plan, figure{name: "water-plan", title: "Plan of water lines",
			about: "The water lines that have places, from above, with sizes and flows."})
	}
	show(d, draw.IsometricContext, drawn.Isometric, figure{name: "water", title: "Isometric of water lines",
		about: "Every water line by its order, with sizes, flows and pressures."})
	for i, c := range drawn.Rings {
		show(d, draw.GraphContext, c, figure{name: "ring-" + strconv.Itoa(i+1),
			title: "Ring: pressure lost, and flow, part by part",
			about: "What is lost round the ring with its link open and shut, and the flow in each part."})
	}
	show(d, draw.GraphContext, drawn.Pressure, figure{name: "pressure",
		title: "Pressure from the street to the critical fixture",
		about: "Static and flowing pressure along the way, and what each fixture has to spare."})
}

// Drawing is one sheet of the drawings of a job.
type Drawing struct {
	Name  string // of a file, without ending: "plan", "profile-soil"
	Title string
	SVG   []byte // a whole document
}

// Drawings draws the job.
func (r *Report) Drawings() ([]Drawing, error) {
	list, err := figures(r, false)
	if err != nil {
		return nil, err
	}
	var out []Drawing
	for _, f := range list {
		for _, s := range f.sheets {
			name := f.name
			if len(f.sheets) > 1 {
				name += "-" + s.Name
			}
			out = append(out, Drawing{name, f.title, s.SVG})
		}
	}
	return out, nil
}

// WriteDrawings writes the drawings into a folder, if one is named. It returns the names of
// the drawings in there that are not of this report, as an earlier one has left them.
func (r *Report) WriteDrawings(dir string) (others []string, err error) {
	return writeFiles(dir, ".svg", r.drawingFiles)
}

// ZipDrawings writes each drawing as an SVG file, all in one archive.
func (r *Report) ZipDrawings(w io.Writer) error { return zipFiles(w, r.drawingFiles) }

// drawingFiles are the drawings by the names of their files.
func (r *Report) drawingFiles() (map[string][]byte, error) {
	list, err := r.Drawings()
	out := map[string][]byte{}
	for _, d := range list {
		out[d.Name+".svg"] = d.SVG
	}
	return out, err
}
