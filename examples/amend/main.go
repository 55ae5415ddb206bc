package main

import (
	"embed"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

//go:embed ordinance
var ordinance embed.FS

var line = command.Line{Name: "amend", Args: "[flags]",
	Text:    "Lays an amendment over the shelf and prints what changes.",
	Example: "go run ./examples/amend -dir mytown -code ipc-2021",
	Status:  "0 printed, 1 the amendment has a fault or there is no such code, 2 wrong flags"}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run runs the program and returns its exit status: 1 when the amendment has a
// fault or a code cannot be loaded, 2 when the arguments are wrong.
func run(args []string, out, errs io.Writer) int {
	out, errs = visible.Writer(out), visible.Writer(errs)
	flags := &flag.FlagSet{}
	dir := flags.String("dir", "", "directory of an amendment; empty: the invented ordinance")
	code := flags.String("code", "ipc-2021", "set id of the code whose answers are compared")
	if _, status, done := line.Parse(flags, args, out, errs); done {
		return status
	}
	if err := show(out, *dir, *code); err != nil {
		return line.Fail(errs, command.Fails, err)
	}
	return command.Done
}

func show(out io.Writer, dir, code string) error {
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
