package main

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/examples/shelf"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/tables"
)

var line = command.Line{Name: "tables", Args: "[flags] [table ...]", Most: math.MaxInt,
	Text: "Lists the tables of the shelf, or prints those named, each row with what it rests on.",
	Example: "go run ./examples/tables ipc-2021/trap-arm\n" +
		"  go run ./examples/tables -compare trap-arm-2-in\n" +
		"  go run ./examples/tables -verify ipc-2021",
	Status: "0 printed, 1 something asked for is not there or has a fault, 2 wrong flags"}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run runs the program and returns its exit status: 1 when something asked for is
// not there or has a fault, 2 when the arguments are wrong.
func run(args []string, out, errs io.Writer) int { return runFrom(os.Stdin, args, out, errs) }

// runFrom is run with a person, or a test, at the other end.
func runFrom(in io.Reader, args []string, out, errs io.Writer) int {
	errs = visible.Writer(errs)
	flags := &flag.FlagSet{}
	format := flags.String("format", "text", "`text`, csv, markdown or json")
	compare := flags.String("compare", "", "`fact` to compare across codes; list names them")
	audit := flags.Bool("audit", false, "count rows by set and status, and list what sources disagree on")
	codes := flags.Bool("codes", false, "list what each code on the shelf answers")
	documents := flags.Bool("sources", false, "list the documents")
	html := flags.String("html", "", "`directory` to write the shelf to as pages, one a set")
	set := flags.String("verify", "", "`set` whose recalled rows to read in the book, those that decide most first")
	most := flags.Int("most", 10, "with -verify: `rows` to walk through, at most")
	into := flags.String("out", "reading", "with -verify: `directory` to write what was read to")
	with := flags.String("with", "", "`directory` of an amendment to lay over the shelf")
	ids, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	if !slices.Contains(shelf.Formats(), *format) {
		return line.Refuse(errs, fmt.Errorf("no format %q: text, csv, markdown or json", *format))
	}
	list := tables.Embedded()
	if *with != "" {
		var err error
		if _, err = os.Stat(*with); err == nil {
			list, err = list.With(os.DirFS(*with))
		}
		if err != nil {
			return line.Fail(errs, command.Fails, fmt.Errorf("-with: %w", err))
		}
	}
	var err error
	if *set != "" {
		err = shelf.Verify(in, visible.Writer(out), list, shelf.Reading{Set: *set, Dir: *into, Most: *most})
	} else {
		buffered := bufio.NewWriter(visible.Writer(out))
		err = show(buffered, list, *format, wanted{*compare, *html, *audit, *codes, *documents}, ids)
		if err == nil {
			err = buffered.Flush()
		}
	}
	if err != nil {
		return line.Fail(errs, command.Fails, err)
	}
	return command.Done
}

// nearTables says what may have been meant by a table that is not there: the tables of the
// set, or one of a like name.
func nearTables(shelf *tables.Shelf, id string) string {
	ids, err := shelf.IDs()
	if err != nil {
		return err.Error()
	}
	set, _, _ := strings.Cut(id, "/")
	var sets []string
	for _, at := range ids {
		sets = append(sets, path.Dir(at))
	}
	of := slices.DeleteFunc(ids, func(at string) bool { return path.Dir(at) != set })
	if len(of) == 0 {
		sets = slices.Compact(sets)
		return visible.Meant(set, sets) + "the sets are " + strings.Join(sets, ", ")
	}
	return visible.Meant(id, of) + set + " has " + strings.Join(of, ", ")
}

// wanted is what the flags ask for besides tables.
type wanted struct {
	compare, html           string
	audit, codes, documents bool
}

func show(out io.Writer, list *tables.Shelf, format string, want wanted, ids []string) error {
	switch {
	case want.compare == "list":
		return shelf.Facts(out, list)
	case want.compare != "":
		return shelf.Compare(out, list, want.compare)
	case want.html != "":
		pages, err := shelf.Book(want.html, list)
		if err == nil {
			_, err = fmt.Fprintf(out, "%d pages in %s; begin at index.html\n", pages, want.html)
		}
		return err
	case want.audit:
		return shelf.Audit(out, list)
	case want.codes:
		return shelf.Codes(out, list, format == "markdown")
	case want.documents:
		return shelf.Sources(out, list)
	case len(ids) == 0:
		return shelf.List(out, list)
	}
	for i, id := range ids {
		table, err := list.Table(id)
		if errors.Is(err, tables.ErrNotFound) {
			return fmt.Errorf("%w: %s", err, nearTables(list, id))
		}
		if err != nil {
			return err
		}
		if i > 0 {
			fmt.Fprintln(out)
		}
		if err := shelf.Write(out, table, format); err != nil {
			return err
		}
	}
	return nil
}
