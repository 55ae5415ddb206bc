// Asbuilt holds what a crew laid against what was drawn, before the backfill: from rod
// readings the invert at each place, how far it is off, the grade that was laid, where water
// would stand, what to lay again and by how much, and what the code says of the whole
// layout with its pipe where it lies.
//
//	go run ./examples/asbuilt                            # an invented clinic, with a belly
//	go run ./examples/asbuilt -rods book.csv layout.json
//	go run ./examples/asbuilt -html sheet.html           # the same with profiles, for the trench
//
// Exit status: 0 all as it should be, 1 something is off or fails, 2 not run.
//
// The answers are calculations. What is covered up is decided by the code in force, the
// local authority and a licensed practitioner.
package main

import (
	"bytes"
	"embed"
	"flag"
	"fmt"
	"html"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/slope/draw"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

//go:embed clinic.json clinic.csv
var demo embed.FS

var line = command.Line{Name: "asbuilt", Args: "[flags] [job.json]", Most: 1,
	Text: "What was laid against what was drawn, from rod readings, before the backfill.\n" +
		"Without files it takes an invented clinic.",
	Example: "go run ./examples/asbuilt -rods examples/asbuilt/clinic.csv examples/asbuilt/clinic.json",
	Status:  "0 all as it should be, 1 something is off or fails, 2 not run"}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// sheet is all that is printed.
type sheet struct {
	Job   string         `json:"job"`
	Code  string         `json:"code"`
	Book  *job.LevelBook `json:"book"`
	Laid  *drains.AsLaid `json:"as_laid"`
	Diff  tables.Diff    `json:"diff"` // from the design to what was laid
	Fails []string       `json:"fails"`
	text  func(fmt.Stringer) string
	opt   job.Options
	near  units.Length // tolerance

	failing []*tables.Finding
}

func run(args []string, out, errs io.Writer) int {
	tell := command.Progress(errs, line.Name)
	flags := &flag.FlagSet{}
	rods := flags.String("rods", "", "`file` of the level book, a CSV file; see README.md")
	code := flags.String("code", "", "judge by this `code` of the shelf, not by that of the job")
	tolerance := units.Inch / 4
	flags.TextVar(&tolerance, "tolerance", tolerance, "how far an invert may be off")
	read := units.Inch / 16
	flags.TextVar(&read, "resolution", read, "smallest difference that the rod tells")
	system := command.Units(flags)
	asJSON := flags.Bool("json", false, "print the answer as JSON")
	page := flags.String("html", "", "write the sheet with its drawings into this `file`")
	files, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	if len(files) > 0 && *rods == "" {
		return line.Refuse(errs, fmt.Errorf("no level book for %s: name one with -rods", visible.Quote(files[0])))
	}
	fsys, name := command.Open(files, demo, "clinic.json")
	j, err := job.Read(fsys, name, *code)
	if err != nil {
		return line.Unread(errs, err)
	}
	tell("read; judging what was laid ...")
	s, err := survey(j, *code, *rods, drains.LaidOptions{Tolerance: tolerance, Resolution: read}, j.SI(*system, *code))
	if err != nil {
		return line.Unread(errs, err)
	}
	tell("judged; writing ...")
	if *page != "" {
		if err := s.page(*page); err != nil {
			return line.Refuse(errs, err)
		}
	}
	return line.Print(*asJSON, s, s.print, !s.bad(), out, errs)
}

// survey reads the book and asks the package for what it shows.
func survey(j *job.Job, code, rods string, opt drains.LaidOptions, si bool) (*sheet, error) {
	design, err := j.SizeDrains(code)
	if err != nil {
		return nil, err
	}
	s := &sheet{Job: j.Title(), Code: design.Code().ID(), opt: job.Options{SI: si}, near: opt.Tolerance, Fails: []string{}}
	s.text = s.opt.Text
	fsys, name := command.Open(nil, demo, "clinic.csv")
	if rods != "" {
		fsys, name = command.Open([]string{rods}, nil, "")
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if s.Book, err = job.ReadLevels(filepath.Base(name), f, j.Drains()); err != nil {
		return nil, err
	}
	if s.Laid, err = design.AsLaid(s.Book.Shots, opt); err != nil {
		return nil, err
	}
	check := drains.CheckOptions{ProblemsOnly: true, Print: s.text}
	if s.Diff, err = design.Diff(s.Laid.Sizing(), check); err != nil {
		return nil, err
	}
	found, err := s.Laid.Sizing().Check(check)
	for i := range found {
		if f := &found[i]; f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail {
			s.failing, s.Fails = append(s.failing, f), append(s.Fails, f.ID())
		}
	}
	return s, err
}

// bad tells whether anything is off, holds water or fails.
func (s *sheet) bad() bool {
	for _, p := range s.Laid.Points {
		if !p.Within {
			return true
		}
	}
	for _, l := range s.Laid.Lines {
		if len(l.Survey.Bellies)+len(l.Survey.Mends) > 0 {
			return true
		}
	}
	return len(s.Fails) > 0
}

func (s *sheet) print(out io.Writer) {
	out = command.Fold(out)
	fmt.Fprintf(out, "%s\nas laid, by %s\n\n", s.Job, s.Code)
	fmt.Fprintf(out, "%d shots from %d set-ups of the instrument", len(s.Book.Shots), s.Book.Setups)
	switch {
	case !s.Book.Closed:
		fmt.Fprint(out, "; the book does not close on a known elevation")
	case s.Book.Misclosure == 0:
		fmt.Fprint(out, "; the book closes")
	default:
		fmt.Fprintf(out, "; the book closes %s", s.off(s.Book.Misclosure))
	}
	fmt.Fprintf(out, "\n\nInverts, %s or less off is as drawn\n", s.text(s.near))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  run\tup it\tdrawn\tas laid\toff\t")
	for _, p := range s.Laid.Points {
		note := ""
		if !p.Within {
			note = "OFF"
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\n", p.Run, s.text(p.Along), s.level(p.Design),
			s.level(p.Invert), s.off(p.Off), note)
	}
	w.Flush()
	fmt.Fprintln(out, "\nGrades, from the outlet up")
	for i := range s.Laid.Lines {
		s.line(out, &s.Laid.Lines[i])
	}
	fmt.Fprintln(out, "\nThe whole layout with its pipe where it lies")
	for _, f := range s.failing {
		fmt.Fprintf(out, "  FAIL  %s%s\n", f.Compared(), s.since(f.ID()))
	}
	if len(s.failing) == 0 {
		fmt.Fprintln(out, "  Nothing fails.")
	}
	for _, c := range s.Diff.Findings {
		if c.Change == tables.Went && c.Was.Verdict == tables.Fail {
			fmt.Fprintf(out, "  no longer: %s\n", c.Was.Reason)
		}
	}
	fmt.Fprintf(out, "\nA trench can close on whoever stands in it to hold the rod: slope, shore or shield it first.\n")
}

// since tells that a finding is not one of the design.
func (s *sheet) since(id string) string {
	for _, c := range s.Diff.Findings {
		if c.ID == id && c.Change == tables.Came {
			return " (not in the design)"
		}
	}
	return ""
}

// off writes a difference of height with its direction.
func (s *sheet) off(x units.Length) string {
	switch {
	case x > 0:
		return s.text(x) + " high"
	case x < 0:
		return s.text(-x) + " low"
	}
	return "0"
}

// level writes an elevation: in metres always to the millimetre, as level books do.
func (s *sheet) level(x units.Length) string {
	if s.opt.SI {
		return fmt.Sprintf("%.3f m", x.Metres())
	}
	return s.text(x)
}

// grade writes a grade that was found: where it is none that anybody lays, in percent.
func (s *sheet) grade(g slope.Grade) string {
	if text := s.text(g); !strings.Contains(text, ":") {
		return text
	}
	return fmt.Sprintf("%.2f %%", g.Percent())
}

// at names a station of a line.
func (s *sheet) at(l *drains.LaidLine, station units.Length) string {
	run, along := l.At(station)
	return fmt.Sprintf("%s up %s", s.text(along), run)
}

func (s *sheet) line(out io.Writer, l *drains.LaidLine) {
	fmt.Fprintf(out, "  %s\n", strings.Join(l.Runs, ", "))
	for _, x := range l.Survey.Stretches {
		if x.From == x.To {
			continue
		}
		how := "falls " + s.grade(x.Grade())
		switch x.Kind {
		case slope.Shallow:
			how += fmt.Sprintf(": TOO FLAT, %s short of its least fall", s.text(x.Short))
		case slope.Flat:
			how = fmt.Sprintf("lies FLAT, %s short of its least fall", s.text(x.Short))
		case slope.BackGraded:
			how = fmt.Sprintf("RISES by %s in the direction of flow", s.text(-x.Fall))
		}
		fmt.Fprintf(out, "    %s to %s  %s\n", s.at(l, x.From), s.at(l, x.To), how)
	}
	for _, b := range l.Survey.Bellies {
		more := ""
		if b.Open {
			more = ", and on beyond the last shot"
		}
		fmt.Fprintf(out, "    BELLY: water stands %s deep at %s, from %s to %s%s\n", s.text(b.Depth), s.at(l, b.Low),
			s.at(l, b.From), s.at(l, b.To), more)
	}
	for _, m := range l.Survey.Mends {
		if !m.Possible {
			fmt.Fprintf(out, "    NO WAY to lay %s to %s again between shots that stay: %s of height lacks\n",
				s.at(l, m.FaultFrom), s.at(l, m.FaultTo), s.text(m.Short))
			continue
		}
		fmt.Fprintf(out, "    LAY AGAIN from %s to %s at %s", s.at(l, m.From), s.at(l, m.To), s.grade(m.Grade))
		if m.Raise > 0 {
			fmt.Fprintf(out, "; up by %s at %s", s.text(m.Raise), s.at(l, m.RaiseAt))
		}
		if m.Lower > 0 {
			fmt.Fprintf(out, "; down by %s at %s", s.text(m.Lower), s.at(l, m.LowerAt))
		}
		fmt.Fprintln(out)
	}
}

// page writes the sheet and the profile of each system as laid, with the rows drawn and off.
func (s *sheet) page(name string) error {
	var text, svg bytes.Buffer
	s.print(visible.Writer(&text))
	points := map[string]drains.LaidPoint{}
	for _, p := range s.Laid.Points {
		if old, ok := points[p.Run]; !ok || p.Along > old.Along {
			points[p.Run] = p
		}
	}
	cell := func(write func(drains.LaidPoint) string) func(string) string {
		return func(id string) string {
			if p, ok := points[id]; ok {
				return write(p)
			}
			return ""
		}
	}
	drawn, err := s.Laid.Sizing().Draw(drains.DrawOptions{Metric: s.opt.SI, Rows: []drains.DrawRow{
		{Name: "as drawn", Cell: cell(func(p drains.LaidPoint) string { return s.level(p.Design) })},
		{Name: "off", Cell: cell(func(p drains.LaidPoint) string { return s.off(p.Off) })},
	}})
	if err != nil {
		return err
	}
	for i, sys := range drawn.Systems {
		if sys.Profile == nil {
			continue
		}
		sheets, err := draw.Profile(sys.Profile, draw.Options{Metric: s.opt.SI, Prefix: fmt.Sprintf("p%d.", i),
			Title: draw.Title{Job: s.Job, Drawing: "As laid: system " + sys.System}})
		if err != nil {
			return err
		}
		for _, sh := range sheets {
			svg.Write(sh.SVG[bytes.Index(sh.SVG, []byte("<svg")):])
		}
	}
	page := fmt.Sprintf("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>%s</title>\n"+
		"<style>body{max-width:70rem;margin:1rem auto;font-family:sans-serif}"+
		"pre{white-space:pre-wrap}svg{max-width:100%%;height:auto}"+
		"</style></head>\n<body>\n<pre>%s</pre>\n%s</body></html>\n", html.EscapeString(visible.Text(s.Job)),
		html.EscapeString(text.String()), svg.String())
	return os.WriteFile(name, []byte(page), 0o666)
}
