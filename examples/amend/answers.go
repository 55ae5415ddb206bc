package main

import (
	"fmt"
	"io"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// question is asked of the code as it stands and as it is amended.
type question struct {
	text   string
	answer func(*dwv.Code) (string, tables.Citation, error)
}

var questions = []question{
	{"A lavatory drains 1 dfu under the slab. How big is its branch?",
		func(c *dwv.Code) (string, tables.Citation, error) {
			r, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Branch, Load: dwv.FixtureUnit, BelowGround: true})
			return fmt.Sprintf("%s, decided by %v", dwv.FormatSize(r.Size), r.DecidedBy), r.Citation, err
		}},
	{"May an emergency floor drain 18 ft from a vented line go without a vent of its own?",
		func(c *dwv.Code) (string, tables.Citation, error) {
			reach, cite, err := c.RuleLength("floor-drain-unvented-reach")
			switch d := 18 * units.Foot; {
			case err != nil:
				return "", cite, err
			case !cite.Status().Firm():
				return "ask: the figure was not seen in print", cite, nil
			case reach.Kind == tables.Unlimited:
				return "yes", cite, nil
			case reach.Kind == tables.Value && d <= reach.Value:
				return fmt.Sprintf("yes, %v is allowed", reach.Value), cite, nil
			case reach.Kind == tables.Value:
				return fmt.Sprintf("no, %v is allowed", reach.Value), cite, nil
			}
			return "no", cite, nil
		}},
	{"A 3 in building drain of 40 dfu is laid at 2 %. Will it do?", func(c *dwv.Code) (string, tables.Citation, error) {
		r, err := c.DrainSize(dwv.DrainQuery{Part: dwv.Drain, Load: 40 * dwv.FixtureUnit, Grade: slope.MustParse("2%"),
			Closets: 1})
		if err != nil {
			return "", tables.Citation{}, err
		}
		if r.Size > 3*units.Inch {
			return fmt.Sprintf("no, it takes %s: the column of %v carries it", dwv.FormatSize(r.Size), r.Grade),
				r.Citation, nil
		}
		if !r.Status().Firm() {
			return fmt.Sprintf("ask: up to %v fit if 2 %% counts as %v, and that was not seen in print", r.MaxLoad,
				r.Grade), r.Nominal, nil
		}
		return fmt.Sprintf("yes, up to %v in the column of %v", r.MaxLoad, r.Grade), r.Capacity, nil
	}},
}

// printAnswers puts each question to the code on both shelves.
func printAnswers(out io.Writer, before, after *tables.Shelf, id string) error {
	plain, err := dwv.LoadCode(before, id)
	if err != nil {
		return err
	}
	amended, err := dwv.LoadCode(after, id)
	if err != nil {
		return err
	}
	for _, q := range questions {
		fmt.Fprintln(out, q.text)
		for _, side := range []struct {
			name string
			code *dwv.Code
		}{{"before", plain}, {"after", amended}} {
			text, cite, err := q.answer(side.code)
			if err != nil {
				text = "error: " + err.Error()
			}
			fmt.Fprintf(out, "  %-7s %s\n", side.name+":", text)
			if !cite.IsZero() {
				fmt.Fprintf(out, "          %v\n", cite)
			}
		}
	}
	return nil
}
