// Fit tells how far the drains of a job can go, and what puts right what fails: the highest
// outlet, the steepest and the flattest grade, the thickest slab, the farthest fixture, and
// for each finding that fails the smallest changes, each of which was tried.
//
//	go run ./examples/fit                    # an invented boathouse with six things wrong
//	go run ./examples/fit -code upc-2021 layout.json
//	go run ./examples/fit -drains mended.json layout.json
//
// Exit status: 0 nothing fails, 1 something does, 2 the job or the command could not be read.
//
// The answers are calculations. What is built is decided by the code in force, the local
// authority and a licensed practitioner.
package main

import (
	"cmp"
	"context"
	"embed"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/trapweir/trapweir/dwv/drains"
	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
)

//go:embed boathouse.json
var demo embed.FS

var line = command.Line{Name: "fit", Args: "[flags] [job.json]", Most: 1,
	Text: "How far the drains of a job can go, and what puts right what fails, each tried.\n" +
		"Without a file it takes an invented boathouse.",
	Example: "go run ./examples/fit -code upc-2021 examples/fit/boathouse.json",
	Status:  "0 nothing fails, 1 something does, 2 the job or the command could not be read"}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// answer is all that is found, as -json writes it.
type answer struct {
	Job    string         `json:"job"`
	Code   string         `json:"code"`
	Limits []drains.Limit `json:"limits"`
	Fixes  []drains.Fix   `json:"fixes"`
	All    []drains.Way   `json:"all"`  // one after the other
	Left   []string       `json:"left"` // what fails then
	opt    job.Options
	mended *drains.Layout
}

func run(ctx context.Context, args []string, out, errs io.Writer) int {
	tell := command.Progress(errs, line.Name)
	flags := &flag.FlagSet{}
	code := flags.String("code", "", "judge by this `code` of the shelf, not by that of the job")
	system := command.Units(flags)
	asJSON := flags.Bool("json", false, "print the answer as JSON")
	mended := flags.String("drains", "", "write the drains with all changes made into this `file`")
	files, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	fsys, name := command.Open(files, demo, "boathouse.json")
	over := command.Reading(errs, line.Name)
	j, err := job.ReadContext(ctx, fsys, name, *code)
	over()
	if err != nil {
		return line.Unread(errs, err)
	}
	a, err := fit(ctx, j, *code, job.Options{SI: j.SI(*system, *code)}, tell)
	if err != nil {
		return line.Refuse(errs, err)
	}
	if *mended != "" {
		if err := write(*mended, a.mended); err != nil {
			return line.Refuse(errs, err)
		}
	}
	return line.Print(*asJSON, a, a.print, len(a.Fixes) == 0, out, errs)
}

// fit asks the package for all there is to say.
func fit(ctx context.Context, j *job.Job, code string, o job.Options, tell func(string)) (*answer, error) {
	s, err := j.SizeDrains(code)
	if err != nil {
		return nil, err
	}
	tried := 0
	opt := drains.FitOptions{Print: o.Text, Tried: func() {
		tried++
		tell(fmt.Sprintf("%d layouts tried", tried))
	}}
	a := &answer{Job: j.Title(), Code: cmp.Or(code, j.CodeID()), opt: o, Left: []string{}}
	if a.Limits, err = s.Limits(ctx, opt); err != nil {
		return nil, err
	}
	if a.Fixes, err = s.Fixes(ctx, opt); err != nil {
		return nil, err
	}
	all, after, err := s.FixAll(ctx, opt)
	if err != nil {
		return nil, err
	}
	a.All, a.mended = all, after.Layout()
	left, err := after.CheckContext(ctx, drains.CheckOptions{ProblemsOnly: true, Print: o.Text})
	for i := range left {
		if f := &left[i]; f.Verdict == tables.Fail || f.IfConfirmed == tables.Fail {
			a.Left = append(a.Left, f.ID())
		}
	}
	return a, err
}

func write(name string, l *drains.Layout) error {
	text, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(name, append(text, '\n'), 0o666)
}

// names are what the limits are called.
var names = map[drains.LimitKind]string{
	drains.HighestOutlet: "highest outlet", drains.LowestOutlet: "deepest connection",
	drains.SteepestGrade: "steepest grade", drains.FlattestGrade: "flattest grade",
	drains.ThickestSlab: "thickest slab", drains.FarthestPoint: "longest run from",
}

func (a *answer) print(out io.Writer) {
	out = command.Fold(out)
	fmt.Fprintf(out, "%s\nby %s\n\n"+
		"How far it can go, all else as drawn; what fails whatever the figure does not count\n", a.Job, a.Code)
	for i := range a.Limits {
		a.limit(out, &a.Limits[i])
	}
	fmt.Fprintf(out, "\nWhat puts right what fails\n")
	if len(a.Fixes) == 0 {
		fmt.Fprintf(out, "  Nothing fails.\n")
	}
	for _, x := range a.Fixes {
		f := &x.Finding
		word := "FAIL"
		if f.Verdict == tables.Ask {
			word = "FAILS IF THE BOOK AGREES"
		}
		fmt.Fprintf(out, "  %s  %s\n", word, f.Compared())
		for k, w := range x.Ways {
			fmt.Fprintf(out, "        %-4s  %s%s\n", [...]string{"fix:", "or:"}[min(k, 1)], w.Do, raised(w.Questions))
		}
		if len(x.Ways) == 0 {
			fmt.Fprintf(out, "        nothing that was tried puts it right: %s\n", f.Fix)
		}
	}
	if len(a.All) > 0 {
		fmt.Fprintf(out, "\nOne after the other, %d changes:\n", len(a.All))
		for k, w := range a.All {
			fmt.Fprintf(out, "  %d. %s\n", k+1, w.Do)
		}
		if len(a.Left) == 0 {
			fmt.Fprintf(out, "Then nothing fails.\n")
		} else {
			fmt.Fprintf(out, "Still failing then: %s.\n", strings.Join(a.Left, ", "))
		}
	}
	fmt.Fprintf(out, "\n%s\n", strings.Join(drains.Cautions(), "\n"))
}

// limit prints one limit: what it is, what the layout has, and what binds it.
func (a *answer) limit(out io.Writer, x *drains.Limit) {
	figure := a.opt.Text(x.Length)
	now := a.opt.Text(x.Now)
	if x.Kind == drains.SteepestGrade || x.Kind == drains.FlattestGrade {
		figure, now = a.opt.Text(x.Grade), "several grades"
		if x.NowGrade != (slope.Grade{}) {
			now = a.opt.Text(x.NowGrade)
		}
	}
	if x.Depth != 0 {
		figure += ", " + a.opt.Text(x.Depth) + " below the floor"
	}
	switch {
	case x.Lower > 0:
		figure = fmt.Sprintf("none will do; %s does with the outlet %s lower", figure, a.opt.Text(x.Lower))
	case !x.Found:
		figure = "none will do; with fewest fails " + figure
	}
	fmt.Fprintf(out, "  %-8s  %-18s  %s (now %s)\n", x.Place, names[x.Kind], figure, now)
	switch {
	case x.Stops != "":
		fmt.Fprintf(out, "  %30s  farther: %s\n", "", x.Stops)
	case !x.Found && len(x.Binds) > 0:
		for i := range x.Binds {
			fmt.Fprintf(out, "  %30s  in its way: %s\n", "", x.Binds[i].Compared())
		}
	case len(x.Binds) > 0:
		fmt.Fprintf(out, "  %30s  binds: %s\n", "", places(x.Binds))
	default:
		fmt.Fprintf(out, "  %30s  nothing binds as far as was looked\n", "")
	}
}

// places names findings, each once.
func places(list []tables.Finding) string {
	var said []string
	for i := range list {
		said = append(said, strings.ToLower(title(list[i].Rule))+" at "+list[i].Place)
	}
	return strings.Join(said, "; ")
}

// raised says how much is asked that was not.
func raised(list []tables.Finding) string {
	if len(list) == 0 {
		return ""
	}
	return " (then to be asked: " + places(list) + ")"
}

// title is what a rule is called.
func title(rule string) string {
	for _, r := range drains.Rules() {
		if r.ID == rule {
			return r.Title
		}
	}
	return rule
}
