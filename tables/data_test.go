package tables_test

import (
	"testing"

	"github.com/trapweir/trapweir/tables"
)

func TestEveryTableLoads(t *testing.T) {
	if _, err := tables.Embedded().Sources(); err != nil {
		t.Fatal(err)
	}
	n := 0
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Error(err)
			continue
		}
		n += table.Len()
		if _, err := tables.Embedded().Rules(table.Set()); table.ID() == table.Set()+"/rules" && err != nil {
			t.Error(err)
		}
	}
	if n == 0 {
		t.Error("no rows")
	}
}
