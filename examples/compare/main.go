// Compare sets one job beside itself under other codes of the shelf, or two revisions of a
// job beside each other: sizes, verdicts, which rows make the difference, what a code does
// not judge; and for a change order every run, vent and finding that came, went or changed.
//
//	go run ./examples/compare job.json                      # under every code that sizes it
//	go run ./examples/compare -codes ipc-2021,upc-2021 job.json
//	go run ./examples/compare was.json is.json              # two revisions
//
// Exit status: 0 alike, 1 they differ, 2 not run.
//
// The answers are calculations. What is built is decided by the code in force, the local
// authority and a licensed practitioner.
package main

import (
	"context"
	"embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/tables"
)

//go:embed bakery.json bakery-b.json
var demo embed.FS

var line = command.Line{Name: "compare", Args: "[flags] [job.json [later.json]]", Most: 2,
	Text: "One job under several codes, or two revisions of one job. Without a file it takes\n" +
		"an invented bakery; with -revisions the two revisions of it.",
	Example: "go run ./examples/compare -codes ipc-2021,upc-2021 examples/compare/bakery.json",
	Status:  "0 alike, 1 they differ, 2 a file or the command could not be read"}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

func run(ctx context.Context, args []string, out, errs io.Writer) int {
	tell := command.Progress(errs, line.Name)
	flags := &flag.FlagSet{}
	codes := flags.String("codes", "", "`ids` of codes with commas between; absent: every code that sizes the job")
	revisions := flags.Bool("revisions", false, "compare the two revisions of the demonstration")
	system := command.Units(flags)
	asJSON := flags.Bool("json", false, "print the answer as JSON")
	files, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	o := job.Options{Tell: tell}
	var a answer
	var err error
	fsys, name := command.Open(files, demo, "bakery.json")
	switch {
	case len(files) == 2 || *revisions && len(files) == 0:
		later, second := command.Open(files[min(1, len(files)):], demo, "bakery-b.json")
		a, err = revise(ctx, [2]fs.FS{fsys, later}, [2]string{name, second}, *codes, *system, o)
	case *revisions:
		err = errors.New("-revisions is of the demonstration; name two files")
	default:
		a, err = under(ctx, fsys, name, *codes, *system, o)
	}
	if err != nil {
		return line.Unread(errs, err)
	}
	return line.Print(*asJSON, a.data, func(w io.Writer) { a.print(command.Fold(w)) }, !a.differs, out, errs)
}

// answer is one comparison or the other.
type answer struct {
	data    any
	print   func(io.Writer)
	differs bool
}

// under reads a job and sets it beside itself under other codes.
func under(ctx context.Context, fsys fs.FS, name, codes, system string, o job.Options) (answer, error) {
	j, err := job.ReadContext(ctx, fsys, name, "")
	if err != nil {
		return answer{}, err
	}
	o.SI = j.SI(system, "")
	var list []string
	if codes != "" {
		list = strings.Split(codes, ",")
	}
	c, err := j.CompareCodes(ctx, list, o)
	if err != nil {
		return answer{}, err
	}
	return answer{c, func(w io.Writer) { printCodes(w, c) }, len(c.Differences) > 0}, nil
}

func printCodes(out io.Writer, u *job.Comparison) {
	fmt.Fprintf(out, "%s\n\nUnder each code\n", u.Job)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  code\tfail\task\tpass\tnot judged\tedition")
	head := "  run"
	for _, c := range u.Codes {
		fmt.Fprintf(w, "  %s\t%d\t%d\t%d\t%d\t%s\n", c.Code, c.Fail, c.Ask, c.Pass, len(c.NotJudged), c.Edition)
		head += "\t" + c.Code
	}
	w.Flush()
	for _, c := range u.Codes {
		if c.Problem != "" {
			fmt.Fprintf(out, "  %s could not judge it: %s\n", c.Code, c.Problem)
		}
	}
	fmt.Fprintln(out, "\nSizes required")
	fmt.Fprintln(w, head)
	for _, r := range u.Runs {
		mark := ""
		if slices.ContainsFunc(u.Differences, func(d job.SizeDifference) bool { return d.Run == r.Run }) {
			mark = "\t*"
		}
		fmt.Fprintf(w, "  %s\t%s%s\n", r.Run, strings.Join(r.Sizes, "\t"), mark)
	}
	w.Flush()
	fmt.Fprintln(out, "\nWhich rows make the difference")
	for _, d := range u.Differences {
		fmt.Fprintf(out, "  %s\n    %s\n", d.Run, strings.Join(d.By, "\n    "))
	}
	if len(u.Differences) == 0 {
		fmt.Fprintln(out, "  none: every run has one size under all")
	}
	fmt.Fprintln(out, "\nFails under some and not under all")
	fmt.Fprintln(w, strings.Replace(head, "run", "finding", 1))
	for _, f := range u.Findings {
		fmt.Fprintf(w, "  %s\t%s\n", f.Finding, strings.Join(f.Verdicts, "\t"))
	}
	w.Flush()
	fmt.Fprintln(out, "\nNot judged")
	for _, c := range u.Codes {
		if c.Problem == "" {
			fmt.Fprintf(out, "  %s: %s\n", c.Code, strings.Join(c.NotJudged, ", "))
		}
	}
}

// revise reads two revisions and sets them beside each other.
func revise(ctx context.Context, fsys [2]fs.FS, names [2]string, code, system string, o job.Options) (answer, error) {
	was, err := job.ReadContext(ctx, fsys[0], names[0], code)
	if err != nil {
		return answer{}, err
	}
	is, err := job.ReadContext(ctx, fsys[1], names[1], code)
	if err != nil {
		return answer{}, err
	}
	o.SI = was.SI(system, code)
	c, err := job.CompareRevisionsContext(ctx, was, is, code, o)
	if err != nil {
		return answer{}, err
	}
	return answer{c, func(w io.Writer) { printOrder(w, c) }, !c.Drains.IsZero() || !c.Water.IsZero()}, nil
}

func printOrder(out io.Writer, c *job.ChangeOrder) {
	fmt.Fprintf(out, "was  %s\nis   %s\n", c.Was, c.Is)
	for _, half := range [...]struct {
		name string
		tables.Diff
	}{{"Drains", c.Drains}, {"Water lines", c.Water}} {
		if half.IsZero() {
			continue
		}
		fmt.Fprintf(out, "\n%s\n", half.name)
		for _, x := range half.Items {
			fmt.Fprintf(out, "  %s %s", x.Kind, x.ID)
			if x.Change != tables.Altered {
				fmt.Fprintf(out, " %s", map[tables.Difference]string{tables.Came: "is new", tables.Went: "is gone"}[x.Change])
			}
			fmt.Fprintln(out)
			for _, f := range x.Fields {
				fmt.Fprintf(out, "    %-12s %s\n", f.Field, moved(f))
			}
		}
		for _, f := range half.Findings {
			switch f.Change {
			case tables.Came:
				fmt.Fprintf(out, "  now      %v: %s\n", f.Is.Verdict, f.Is.Reason)
			case tables.Went:
				fmt.Fprintf(out, "  settled  %v: %s\n", f.Was.Verdict, f.Was.Reason)
			default:
				fmt.Fprintf(out, "  changed  %v, was %v: %s\n", f.Is.Verdict, f.Was.Verdict, f.Is.Reason)
			}
		}
	}
	if c.Drains.IsZero() && c.Water.IsZero() {
		fmt.Fprintln(out, "\nNothing differs.")
	}
}

func moved(f tables.FieldChange) string {
	switch {
	case f.Was == nil:
		return f.Is.String()
	case f.Is == nil:
		return "was " + f.Was.String()
	}
	return fmt.Sprintf("%v, was %v", f.Is, f.Was)
}
