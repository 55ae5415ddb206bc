package main

import (
	"embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

//go:embed ordinance
var ordinance embed.FS

func main() { os.Exit(command(os.Args[1:], os.Stdout, os.Stderr)) }

// command runs the program and returns its exit status: 1 when the amendment has a
// fault or a code cannot be loaded, 2 when the arguments are wrong.
func command(args []string, out, errs io.Writer) int {
	out, errs = visible.Writer(out), visible.Writer(errs)
	flags := flag.NewFlagSet("amend", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	dir := flags.String("dir", "", "directory of an amendment; empty: the invented ordinance")
	code := flags.String("code", "ipc-2021", "set id of the code whose answers are compared")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(out, "amend [flags]\n\nLays an amendment over the shelf and prints what changes:\n\n"+
			"  go run ./examples/amend -dir mytown -code ipc-2021\n\n"+
			"Exit status: 0 printed, 1 the amendment has a fault or there is no such code, 2 wrong flags.\n\n"+
			visible.Flags(flags))
		return 0
	case err != nil:
		fmt.Fprintf(errs, "amend: %v; -h shows the flags\n", err)
		return 2
	case flags.NArg() > 0:
		fmt.Fprintf(errs, "amend: %q is not a flag; -h shows the flags\n", flags.Arg(0))
		return 2
	}
	if err := run(out, *dir, *code); err != nil {
		fmt.Fprintf(errs, "amend: %v\n", err)
		return 1
	}
	return 0
}

func run(out io.Writer, dir, code string) error {
	amendment, err := fs.Sub(ordinance, "ordinance")
	if err != nil {
		return err
	}
	if dir != "" {
		if _, err := os.Stat(dir); err != nil {
			return err
		}
		amendment = os.DirFS(dir)
	}
	before := tables.Embedded()
	after, err := before.With(amendment)
	if err != nil {
		return err
	}
	if err := printChanges(out, after); err != nil {
		return err
	}
	amended, err := after.Amended()
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(amended, func(id string) bool { return strings.HasPrefix(id, code+"/") }) {
		fmt.Fprintf(out, "\nThis amendment touches no table of %s: what that code says stays as it is. It is of %s.\n", code,
			strings.Join(amended, ", "))
	}
	fmt.Fprintln(out)
	return printAnswers(out, before, after, code)
}
