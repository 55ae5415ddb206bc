package lesson

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/tables"
)

// Which rows decide the published problems is kept beside the program that audits the
// shelf.
func TestDecidingRows(t *testing.T) {
	cited := map[string]tables.Citation{}
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		for row := range table.Len() {
			cited[table.Cite(row).String()] = table.Cite(row)
		}
	}
	deciding := proof.NewDeciding()
	opt := options{shelf: newCodes(tables.Embedded()), working: true}
	for _, c := range loadCases(t) {
		for _, k := range c.Checks {
			out, _ := solveText(t, string(k.Problem), opt)
			var reply any
			if err := json.Unmarshal([]byte(out), &reply); err != nil {
				t.Fatal(err)
			}
			textsIn(reply, func(s string) {
				s, _, _ = strings.Cut(s, standingMark)
				row, ok := strings.CutPrefix(s, "source: ")
				if !ok {
					return
				}
				c := cited[row]
				deciding.Row("problems", c.Table(), c.Row())
			})
		}
	}
	deciding.Keep(t, "../shelf/deciding.csv", "problems")
}

// textsIn calls f with every text in a JSON value.
func textsIn(v any, f func(string)) {
	switch v := v.(type) {
	case string:
		f(v)
	case []any:
		for _, x := range v {
			textsIn(x, f)
		}
	case map[string]any:
		for _, x := range v {
			textsIn(x, f)
		}
	}
}
