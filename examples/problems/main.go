package main

import (
	"flag"
	"fmt"
	"io"
	"os"

	"github.com/trapweir/trapweir/tables"
)

func main() { os.Exit(command(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// command runs the program and returns its exit status: 0 when every line was
// answered, 1 when one was not, 2 when it could not run at all.
func command(args []string, in io.Reader, out, errs io.Writer) int {
	flags := flag.NewFlagSet("problems", flag.ContinueOnError)
	flags.SetOutput(errs)
	working := flags.Bool("working", false, "add the steps of each answer")
	listKinds := flags.Bool("kinds", false, "list the kinds of problem and their fields")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	if *listKinds {
		for _, name := range kindNames() {
			fmt.Fprintf(out, "%-18s %s\n", name, kinds[name].fields)
		}
		return 0
	}
	opt := options{working: *working, shelf: newCodes(tables.Embedded())}
	status := 0
	answer := func(name string, r io.Reader) {
		ok, err := run(r, out, opt)
		if err != nil {
			fmt.Fprintf(errs, "problems: %s: %v\n", name, err)
		}
		if err != nil || !ok {
			status = 1
		}
	}
	if flags.NArg() == 0 {
		answer("standard input", in)
	}
	for _, name := range flags.Args() {
		f, err := os.Open(name)
		if err != nil {
			fmt.Fprintf(errs, "problems: %v\n", err)
			status = 1
			continue
		}
		answer(name, f)
		f.Close()
	}
	return status
}
