package tables_test

import (
	"testing/fstest"

	"github.com/trapweir/trapweir/tables"
)

// shelfWithRules makes a shelf with one table, town/rules.
func shelfWithRules(text string) *tables.Shelf {
	return tables.Open(fstest.MapFS{
		"sources.csv":    {Data: []byte(documents)},
		"town/rules.csv": {Data: []byte(text)},
	})
}
