package shelf

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/tables"
)

// decidingText counts the rows that decide the demonstration, the job files and the
// published problems; tests of the module write it.
//
//go:embed deciding.csv
var decidingText string

// decidingRow is a row of the shelf that decides answers somewhere.
type decidingRow struct {
	where string
	times int
	cite  tables.Citation
}

// decidingRows reads which rows decide. Rows that are no more on the shelf are left out.
func decidingRows(shelf *tables.Shelf) ([]decidingRow, error) {
	records, err := csv.NewReader(strings.NewReader(decidingText)).ReadAll()
	if err != nil {
		return nil, err
	}
	rows := map[[2]string]tables.Citation{}
	for table, err := range shelf.All() {
		if err != nil {
			return nil, err
		}
		for i := range table.Len() {
			c := table.Cite(i)
			rows[[2]string{c.Table(), c.Row()}] = c
		}
	}
	var list []decidingRow
	for _, r := range records[1:] {
		n, err := strconv.Atoi(r[3])
		if err != nil {
			return nil, err
		}
		if c := rows[[2]string{r[1], r[2]}]; !c.IsZero() {
			list = append(list, decidingRow{r[0], n, c})
		}
	}
	return list, nil
}

// decidingPlaces are where rows are counted that decide.
var decidingPlaces = []struct{ where, name string }{
	{"demo", "the demonstration"}, {"jobs", "the job files"}, {"problems", "the published problems"},
}

// printShares prints what share of the rows is recalled: of all, without the lists about
// the shelf itself, and of those that decide answers.
func printShares(out io.Writer, shelf *tables.Shelf, recalledRows, rows int) error {
	list, err := decidingRows(shelf)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\nRecalled and not seen in print:\n  %s  all rows but lists about the shelf\n",
		share(recalledRows, rows))
	for _, w := range decidingPlaces {
		n, recalled := 0, 0
		for _, d := range list {
			if d.where != w.where {
				continue
			}
			n++
			if d.cite.Status() == tables.Memory {
				recalled++
			}
		}
		fmt.Fprintf(out, "  %s  that decide %s\n", share(recalled, n), w.name)
	}
	return nil
}

func share(part, whole int) string {
	return fmt.Sprintf("%4.1f %%  %5d of %5d", 100*float64(part)/float64(max(whole, 1)), part, whole)
}

// notJudged is a row of comparison/not-judged.
type notJudged struct {
	Rows   string `table:"rows"`
	Family string `table:"family"`
}

// judgedFamily says why rows of a family are read by no answer.
type judgedFamily struct {
	Family string `table:"family"`
	Why    string `table:"why"`
}

// printUnread lists the rows that no answer reads, by family.
func printUnread(out io.Writer, shelf *tables.Shelf) error {
	rows, err := tables.Load[notJudged](shelf, "comparison/not-judged")
	if err != nil {
		return err
	}
	families, err := tables.Load[judgedFamily](shelf, "comparison/not-judged-families")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n%d tables and single rows that no answer reads:\n", rows.Len())
	for _, f := range families.All() {
		var ids []string
		for _, r := range rows.All() {
			if r.Family == f.Family {
				ids = append(ids, r.Rows)
			}
		}
		slices.Sort(ids)
		fmt.Fprintf(out, "  %s: %s\n", f.Family, f.Why)
		for _, id := range ids {
			fmt.Fprintf(out, "    %s\n", id)
		}
	}
	return nil
}
