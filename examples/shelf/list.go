package shelf

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/trapweir/trapweir/tables"
)

// List prints the id, the rows and the title of every table.
func List(out io.Writer, shelf *tables.Shelf) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for table, err := range shelf.All() {
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%s\t%d rows\t%s\n", table.ID(), table.Len(), table.Title())
	}
	return w.Flush()
}

// Sources prints every document.
func Sources(out io.Writer, shelf *tables.Shelf) error {
	list, err := shelf.Sources()
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, s := range list {
		fmt.Fprintf(w, "%s\t%v\t%s\n", s.ID, s, s.Publisher)
	}
	return w.Flush()
}
