// Longpoint plans a framer's week at the mitre guillotine or mitre saw: which side comes off which stick, what to buy and
// what each job's moulding costs, with a proof that no plan is cheaper.
//
// The package only wires things together: a command reads what its user names, calls the packages below model, and prints.
// One file a command (size.go, plan.go, buy.go, check.go, sheets.go, demo.go, and on a book book.go, take.go, order.go, receive.go,
// run.go, cut.go, finish.go, undo.go, rack.go, jobs.go, history.go, yield.go, blades.go); beside them
//
//	program.go   the command tree and what all commands share
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
// Results go to standard output, warnings and progress to standard error. What was decided besides, and why:
//
//   - Warnings about sides stand on the page as lines that begin with "Mind:", because they must go to paper with the plan. Standard
//     error only says that there are some.
//   - Of several errors the least exit status counts, so that bad input is mended before what cannot be cut is looked at.
//   - The file of --out gets its name last, after the page was shown: it is there whole, or as it was before.
//   - An audit that could not finish ends with status 5. That is never a pass.
//   - sheets checks a plan against its workshop before it prints it, and writes into a new or empty folder only: an old cut sheet among
//     new ones is wood cut wrong.
//   - The module is called longpoint. Nobody imports it from elsewhere, and a path with a host in it would promise that.
package main
