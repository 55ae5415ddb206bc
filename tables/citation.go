package tables

// Citation names the row of a table that decided an answer. The zero Citation
// cites nothing. Citations compare with ==.
type Citation struct {
	table *Table
	row   int
}

// Table is one table of the shelf as read from its file.
type Table struct{ id string }
