// Problems answers worked problems of the trade, one JSON object a line.
//
//	go run ./examples/problems < problems.jsonl
//	go run ./examples/problems -working lesson.jsonl
//	go run ./examples/problems -quiz 20 -seed 7 -ask fall,grade -answers key.jsonl > quiz.jsonl
//	go run ./examples/problems -quiz 10 -level 2 -code upc-2021 -paper exam -students Ann,Ben
//	go run ./examples/problems -paper exam -mark class.json
//
// It reads JSON Lines from standard input or from the files named, and writes one
// line an answer, in order. A line is answered as soon as it is read when no more
// input is waiting, so another program can ask and wait:
//
//	{"id":"a1","ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"}
//	{"id":"a1","answer":{"fall":{"value":9.375,"unit":"in"}}}
//
// A line that cannot be answered gives {"id":…,"error":"…"}, the others still get
// their answers, and the exit status is 1. Blank lines and lines that start with
// # are skipped. -working adds the steps as a textbook would write them, -quiz
// makes fresh problems and a file with their answers, and the kind "mark" tells a
// student's answer right or wrong. -kinds lists the kinds with their fields. -paper writes
// a sheet for a class and its key, or one for each student, and -mark the score sheet of
// what they handed in; no file is written over without -force.
//
// How the kinds are read is told in package lesson, which answers them.
//
// The answers are calculations. What is built is decided by the code in force,
// the local authority and a licensed practitioner.
package main
