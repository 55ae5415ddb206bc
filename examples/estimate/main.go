// Estimate prices the take-off of a job, drains and water lines, from a list of your own, and
// sets options side by side: other lists, other revisions. What has no price is named.
//
//	go run ./examples/estimate                                  # an invented bakery, invented prices
//	go run ./examples/estimate -prices mine.csv -rate 65 job.json
//	go run ./examples/estimate -prices mine.csv -prices theirs.csv a.json b.json
//
// Exit status: 0 all is priced, 1 something has no price, 2 not run.
//
// An estimate is arithmetic on a take-off: hangers, waste of fittings, tests, travel and what
// the ground hides are not in it.
package main

import (
	"context"
	"embed"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/visible"
)

//go:embed bakery.json prices.csv
var demo embed.FS

var line = command.Line{Name: "estimate", Args: "[flags] [job.json ...]", Most: 4,
	Text: "The take-off of a job, priced from a list of your own; several jobs or lists side by side.\n" +
		"Without files it takes an invented bakery and invented prices.",
	Example: "go run ./examples/estimate -prices examples/estimate/prices.csv -rate 65 examples/estimate/bakery.json",
	Status:  "0 all is priced, 1 something has no price, 2 a file or the command could not be read"}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

func run(ctx context.Context, args []string, out, errs io.Writer) int {
	tell := command.Progress(errs, line.Name)
	flags := &flag.FlagSet{}
	var lists []string
	add := func(s string) error { lists = append(lists, s); return nil }
	flags.Func("prices", "`file` of a list of prices, a CSV file; more than one for options side by side", add)
	var o job.EstimateOptions
	flags.TextVar(&o.Rate, "rate", decimal.NewFromInt(0), "money for a unit of labour")
	flags.IntVar(&o.WastePercent, "waste", 10, "percent added to the length of pipe")
	code := flags.String("code", "", "size by this `code` of the shelf, not by that of the job")
	currency := flags.String("currency", "", "what stands before amounts, such as $")
	asJSON := flags.Bool("json", false, "print the estimates as JSON")
	files, status, done := line.Parse(flags, args, out, errs)
	if done {
		return status
	}
	if len(files) > 0 && len(lists) == 0 {
		return line.Refuse(errs, fmt.Errorf("no prices for %s: name a list with -prices", visible.Quote(files[0])))
	}
	options, err := estimates(ctx, files, lists, *code, o, tell)
	if err != nil {
		return line.Unread(errs, err)
	}
	lacks := slices.ContainsFunc(options, func(e *job.Estimate) bool { return len(e.Unpriced) > 0 })
	return line.Print(*asJSON, options, func(w io.Writer) { show(w, options, visible.Text(*currency)) }, !lacks, out, errs)
}

// estimates prices each job by each list.
func estimates(ctx context.Context, files, lists []string, code string, o job.EstimateOptions,
	tell func(string)) ([]*job.Estimate, error) {
	var out []*job.Estimate
	for k := range max(1, len(files)) {
		fsys, name := command.Open(files[min(k, len(files)):], demo, "bakery.json")
		j, err := job.ReadContext(ctx, fsys, name, code)
		if err != nil {
			return nil, err
		}
		for n := range max(1, len(lists)) {
			tell(fmt.Sprintf("%s read; pricing ...", j.Title()))
			p, err := prices(ctx, lists[min(n, len(lists)):])
			if err != nil {
				return nil, err
			}
			e, err := j.EstimateContext(ctx, code, p, o)
			if err != nil {
				return nil, err
			}
			out = append(out, e)
		}
	}
	return out, nil
}

// prices reads the first of the lists, or that of the demonstration.
func prices(ctx context.Context, lists []string) (*job.Prices, error) {
	fsys, name := command.Open(lists, demo, "prices.csv")
	f, err := fs.FS(fsys).Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return job.ReadPricesContext(ctx, filepath.Base(name), f)
}

func show(out io.Writer, options []*job.Estimate, currency string) {
	out = command.Fold(out)
	money := func(d decimal.Decimal) string { return currency + d.StringFixed(2) }
	for _, e := range options {
		fmt.Fprintf(out, "%s, by %s, prices of %s\n\n", e.Job, e.Code, e.Prices)
		w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintln(w, "quantity\tunit\tprice\tcost\tlabour\t  ")
		for _, l := range e.Lines {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t  %s\n", l.Quantity, l.Unit, money(l.Price), money(l.Cost),
				l.Labour.StringFixed(2), strings.TrimSpace(l.What+" "+string(l.Size)))
		}
		w.Flush()
		fmt.Fprintln(out)
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(name string, cell func(*job.Estimate) string) {
		fmt.Fprintf(w, "%s\t", name)
		for _, e := range options {
			fmt.Fprintf(w, "%s\t", cell(e))
		}
		fmt.Fprintln(w)
	}
	row("job", func(e *job.Estimate) string { return e.Job })
	row("prices", func(e *job.Estimate) string { return e.Prices })
	row("material", func(e *job.Estimate) string { return money(e.Material) })
	row("labour", func(e *job.Estimate) string { return e.Labour.StringFixed(2) })
	row("labour cost", func(e *job.Estimate) string { return money(e.Work) })
	row("total", func(e *job.Estimate) string { return money(e.Total) })
	row("without a price", func(e *job.Estimate) string { return fmt.Sprint(len(e.Unpriced)) })
	w.Flush()
	for _, e := range options {
		if len(e.Unpriced) > 0 {
			fmt.Fprintf(out, "\nNot in the total of %s by %s, for want of a price:\n  %s\n", e.Job, e.Prices,
				strings.Join(e.Unpriced, "\n  "))
		}
	}
}
