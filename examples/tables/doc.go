// Tables shows the reference shelf.
//
//	go run ./examples/tables                                     lists the tables
//	go run ./examples/tables ipc-2021/trap-arm                   prints one
//	go run ./examples/tables -format markdown pipes/pex-sdr9     as text, csv, markdown or json
//	go run ./examples/tables -compare trap-arm-2-in              one fact in many codes
//	go run ./examples/tables -compare list                       the facts there are
//	go run ./examples/tables -audit                              counts, exceptions, disagreements, what nothing reads
//	go run ./examples/tables -codes                              what each code answers
//	go run ./examples/tables -html dir                           the shelf as pages to read and print
//	go run ./examples/tables -verify ipc-2021                    walks a reader with the book through rows nobody saw
//	go run ./examples/tables -sources                            the documents
//	go run ./examples/tables -with dir …                         with an amendment laid over it
//
// Every row is printed with what it rests on. A row that nobody saw in print, and one
// of common practice, is marked with a tilde: it answers, but a check that rests on it
// comes out as a question.
//
// The shelf is a help to find and to teach. What binds is the code in force where the
// work is done, as its authority reads it.
package main
