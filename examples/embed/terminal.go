//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
)

var line = command.Line{Name: "embed", Args: "[flags] < layout.json",
	Text:    "Sizes, findings and a plan of a layout of drains, as JSON: what a design program embeds.",
	Example: "go run ./examples/embed -code upc-2021 < examples/embed/drain.json", Status: "0 judged, 2 not read"}

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

func run(args []string, in io.Reader, out, errs io.Writer) int {
	flags := &flag.FlagSet{}
	code := flags.String("code", "ipc-2021", "judge by this `code` of the shelf")
	if _, status, done := line.Parse(flags, args, out, errs); done {
		return status
	}
	const most = 16 << 20
	layout, err := io.ReadAll(io.LimitReader(in, most+1))
	if err == nil && len(layout) > most {
		err = fmt.Errorf("a layout of more than %d bytes", most)
	}
	var text []byte
	if err == nil {
		text, err = judge(layout, *code)
	}
	if err != nil {
		return line.Unread(errs, err)
	}
	var b bytes.Buffer
	if err = json.Indent(&b, text, "", "  "); err == nil {
		_, err = b.WriteTo(visible.JSONWriter(out))
	}
	if err != nil {
		return line.Refuse(errs, err)
	}
	return command.Done
}
