// Package shelf shows the reference shelf and lets people look after it: the engine of
// examples/tables, for whoever prints tables, counts what they rest on or reads a code
// book against them.
//
//	err := shelf.Write(os.Stdout, table, "markdown")       // a table, each row with what it rests on
//	err = shelf.Codes(os.Stdout, tables.Embedded(), false) // what each code answers
//	n, err := shelf.Book("book", tables.Embedded())        // the shelf as pages to read and print
//	err = shelf.Verify(os.Stdin, os.Stdout, tables.Embedded(), shelf.Reading{Set: "ipc-2021", Dir: "reading", Most: 10})
//
// Audit counts rows by set and standing, tells what share is recalled, whole and among
// those that decide, where sources disagree and what no answer reads. Compare sets one
// fact of many codes side by side.
//
// The shelf is a help to find and to teach. What binds is the code in force where the
// work is done, as its authority reads it.
package shelf
