// Underslab reads the layout of one rough-in, drains or water lines below a slab
// or both, and prints what a crew and an inspector need to know before the pour:
// sizes, grades, elevations, rod readings, vents, cleanouts, pressures, hot water,
// findings, materials and the test.
//
// // go run ./examples/underslab [-code id] [-units us|si] [-width n] [-json] [-csv folder] [-svg
// folder] [-paper name] [-html file] [-checklist] [-permit] [layout.json]
//
// Without a file it takes a demonstration: an invented village pottery hall, with
// one thing wrong on purpose. With -code the same layout is judged under another
// code of the shelf, and the report ends with what changed. A half that cannot be
// judged is asked about among the findings, and the other half has its report.
//
// -schema prints the JSON Schema of a layout file, which layout.schema.json keeps.
//
// Exit status: 0 if the report was printed, 1 if it was asked to be -strict and a
// finding fails, 2 if the layout or the command could not be read.
package main

import (
	"cmp"
	"context"
	"embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope/draw"
)

//go:embed hall
var hall embed.FS

var line = command.Line{Name: "underslab", Args: "[flags] [layout.json]", Most: 1,
	Text: "Sizes, grades and checks a rough-in below a slab, and prints the report. Without a\n" +
		"file it takes a demonstration. Flags may stand before or after the file.",
	Example: "go run ./examples/underslab -code ipc-2021 -width 78 hall.json",
	Status: "0 the report was printed; 1 a finding fails, with -strict; 2 the layout or the\n" +
		"command could not be read. The fields of a layout: -schema"}

func main() {
	// A report runs a moment and its memory comes back when it ends. The collector goes by what is
	// held, so 64 MB that are held and never touched, and so take no room, let it begin at 256 MB.
	unused := make([]byte, 64<<20)
	debug.SetGCPercent(300)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	status := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	runtime.KeepAlive(unused)
	os.Exit(status)
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	tell, terminal := command.Progress(stderr, line.Name), stderr
	stderr = visible.Writer(stderr)
	flags := &flag.FlagSet{}
	code := flags.String("code", "", "judge the layout under this code of the shelf, and say what changes")
	system := command.Units(flags)
	asJSON := flags.Bool("json", false, "print the report as JSON")
	svg := flags.String("svg", "", "write the drawings into this folder, a file each")
	tables := flags.String("csv", "", "write the schedules into this folder, a CSV file each")
	page := flags.String("html", "", "write the report, with the drawings, as one page into this file")
	var paper draw.Paper
	flags.TextVar(&paper, "paper", paper,
		"lay the drawings out for this `paper`: letter, a4, tabloid or a3; without it -svg takes what each needs, "+
			"-html letter, or a4 with -units si")
	strict := flags.Bool("strict", false, "exit with status 1 if a finding fails")
	checklist := flags.Bool("checklist", false,
		"print the figures to look up in the code book, as a form for the job file")
	permit := flags.Bool("permit", false, "print the sheet for the permit: fixtures, loads, drains and service")
	width := flags.Int("width", 0, "columns of the printed report; 0 is 118")
	begin := flags.Bool("new", false,
		"print a small job to begin a layout file with, with -units si a metric one, and nothing else")
	asSchema := flags.Bool("schema", false, "print the JSON Schema of a layout file, and nothing else")
	files, status, done := line.Parse(flags, args, stdout, stderr)
	if done {
		return status
	}
	switch {
	case *asSchema:
		text, err := job.Schema()
		return printText(text, err, stdout, stderr)
	case *begin && *system == "si":
		return printText(job.StartMetric(), nil, stdout, stderr)
	case *begin:
		return printText(job.Start(), nil, stdout, stderr)
	}
	fsys, name := command.Open(files, hall, "hall/hall.json")
	if info, err := fs.Stat(fsys, name); err == nil && info.Size() >= largeFile {
		largePages()
	}
	over := command.Reading(terminal, line.Name)
	j, err := job.ReadContext(ctx, fsys, name, *code)
	over()
	if err != nil {
		return refuse(stderr, name, err)
	}
	tell("read; sizing and judging ...")
	si := j.SI(*system, *code)
	r, err := j.ReportContext(ctx, *code, job.Options{SI: si, AllPasses: *asJSON, Width: *width, Paper: paper})
	if err != nil {
		return refuse(stderr, name, err)
	}
	r = r.WithContext(ctx)
	tell("judged; writing ...")
	if err := writeFiles(r, *svg, *tables, *page, stderr); err != nil {
		return line.Fail(stderr, command.Refused, err)
	}
	switch {
	case *checklist:
		err = r.WriteChecklist(stdout)
	case *permit:
		err = r.PrintPermit(stdout)
	case *asJSON:
		err = r.WriteJSON(stdout)
	default:
		err = r.Print(stdout)
	}
	if err != nil {
		return line.Fail(stderr, command.Refused, err)
	}
	if *strict && r.Fails() {
		return command.Fails
	}
	return command.Done
}

// largeFile is from how many bytes on a layout takes so much memory that large pages pay.
const largeFile = 256 << 10

// writeFiles writes the drawings, the schedules and the page, where a folder or a file is named.
func writeFiles(r *job.Report, svg, tables, page string, stderr io.Writer) error {
	drawings, err := r.WriteDrawings(svg)
	left, csvErr := r.WriteCSV(tables)
	if err := cmp.Or(err, csvErr, r.WriteHTML(page)); err != nil {
		return err
	}
	warnOfOthers(stderr, svg, drawings)
	warnOfOthers(stderr, tables, left)
	return nil
}

// refuse prints why a file was not read, below the program and the file. What names the place
// of each fault stands as it is, a line each, so that an editor can go there.
func refuse(stderr io.Writer, name string, err error) int {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err
	}
	text := err.Error()
	if faults := strings.Count(text, "\n") + 1; !strings.HasPrefix(text, name+":") {
		fmt.Fprintf(stderr, "underslab: %s: %s\n", name, text)
	} else if faults == 1 {
		fmt.Fprintf(stderr, "underslab: %s: 1 fault\n%s\n", name, text)
	} else {
		fmt.Fprintf(stderr, "underslab: %s: %d faults\n%s\n", name, faults, text)
	}
	return 2
}

// warnOfOthers says which files of a folder are not of this report: who prints the folder
// would hand out drawings of an earlier one.
func warnOfOthers(stderr io.Writer, dir string, others []string) {
	if len(others) > 0 {
		fmt.Fprintf(stderr, "underslab: %s also holds what is not of this report: %s\n", dir, strings.Join(others, ", "))
	}
}

// printText prints a text that is there, and nothing else.
func printText(text []byte, err error, stdout, stderr io.Writer) int {
	if err == nil {
		_, err = stdout.Write(text)
	}
	if err != nil {
		return line.Fail(stderr, command.Refused, err)
	}
	return 0
}
