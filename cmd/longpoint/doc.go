// Longpoint plans a framer's week at the mitre guillotine or mitre saw: which side comes off which stick, what to buy and
// what each job's moulding costs, with a proof that no plan is cheaper.
//
// The package only wires things together: a command reads what its user names, calls model and model/plan, and prints.
// One file a command (size.go, plan.go, buy.go, check.go, sheets.go, demo.go, and on a book book.go, take.go, order.go, receive.go,
// startrun.go, cut.go, finish.go, undo.go, rack.go, jobs.go, history.go, yield.go, blades.go); beside them
//
//	run.go       the command tree and what all commands share
//	store.go     a workshop from a folder or a book, and what commands on a book share
//	planning.go  what plan and buy share: which jobs, how long to search
//	verify.go    the independent checker, as planning and checking want it
//	status.go    errors to lines on standard error and to exit statuses
//	write.go     a result as JSON, or as a file that is whole or not there at all
//	table.go     tables and paragraphs at 80 columns; text.go: smaller pieces of text
//	drawing.go   a stick as text
//	progress.go  what a long search shows while it lasts
//	manual/      the help topics; text/ words set for a terminal
//	help.go      help texts; examples.go, bookexamples.go: the examples in them, each of which a test types in
//
// Results go to standard output, warnings and progress to standard error.
package main
