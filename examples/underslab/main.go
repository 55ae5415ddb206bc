// Underslab reads the layout of one rough-in, drains or water lines below a slab
// or both, and prints what a crew and an inspector need to know before the pour:
// sizes, grades, elevations, rod readings, vents, cleanouts, pressures, hot water,
// findings, materials and the test.
//
//	go run ./examples/underslab [-code id] [-units us|si] [-json] [-svg folder] [-html file] [layout.json]
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
	"embed"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/visible"
)

//go:embed hall
var hall embed.FS

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	stderr = visible.Writer(stderr)
	flags := flag.NewFlagSet("underslab", flag.ContinueOnError)
	flags.SetOutput(stderr)
	code := flags.String("code", "", "judge the layout under this code of the shelf, and say what changes")
	system := flags.String("units", "us", "us or si")
	asJSON := flags.Bool("json", false, "print the report as JSON")
	svg := flags.String("svg", "", "write the drawings into this folder, a file each")
	page := flags.String("html", "", "write the report, with the drawings, as one page into this file")
	strict := flags.Bool("strict", false, "exit with status 1 if a finding fails")
	asSchema := flags.Bool("schema", false, "print the JSON Schema of a layout file, and nothing else")
	flags.Usage = func() {
		fmt.Fprintln(stderr, "usage: underslab [flags] [layout.json]")
		flags.PrintDefaults()
	}
	if err := flags.Parse(args); err != nil {
		return 2
	}
	if flags.NArg() > 1 {
		flags.Usage()
		return 2
	}
	switch *system {
	case "us", "si":
	default:
		fmt.Fprintf(stderr, "underslab: -units %q: choose us or si\n", *system)
		return 2
	}
	if *asSchema {
		return printSchema(stdout, stderr)
	}
	var fsys fs.FS = hall
	name := "hall/hall.json"
	if flags.NArg() == 1 {
		dir, base := filepath.Split(flags.Arg(0))
		if dir == "" {
			dir = "."
		}
		fsys, name = os.DirFS(dir), base
	}
	j, err := job.Read(fsys, name, *code)
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 2
	}
	r, err := j.Report(*code, job.Options{SI: *system == "si", AllPasses: *asJSON})
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 2
	}
	if err := cmp.Or(r.WriteDrawings(*svg), r.WriteHTML(*page)); err != nil {
		fmt.Fprintln(stderr, "underslab:", err)
		return 2
	}
	if *asJSON {
		err = r.WriteJSON(stdout)
	} else {
		err = r.Print(stdout)
	}
	if err != nil {
		fmt.Fprintln(stderr, "underslab:", err)
		return 2
	}
	if *strict && r.Fails() {
		return 1
	}
	return 0
}

// printSchema prints the JSON Schema of a layout file.
func printSchema(stdout, stderr io.Writer) int {
	text, err := job.Schema()
	if err == nil {
		_, err = stdout.Write(text)
	}
	if err != nil {
		fmt.Fprintln(stderr, "underslab:", err)
		return 2
	}
	return 0
}
