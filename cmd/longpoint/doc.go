// Longpoint plans a framer's week at the mitre guillotine or mitre saw: which side comes off which stick, what to buy and
// what each job's moulding costs, with a proof that no plan is cheaper.
//
// The package only wires things together: a command reads what its user names, calls the packages below model, and prints.
// One file a command, called as the command is; what more a command needs stands in files that begin with its name (sheets_run.go, plan_flags.go,
// cut_names.go). Beside them
//
//	program.go  the command tree and what all commands share; program_* how it is called, what a long search shows
//	store.go    a workshop from a folder or a book, and what commands on a book share; store_* which book, and other files that are named for one
//	verify.go   the independent checker, as planning and checking want it
//	complete.go what a shell completes with the Tab key
//	status.go   errors to lines on standard error and to exit statuses
//	write.go    a result as JSON, or as a file that is whole or not there at all
//	table.go    tables and paragraphs at 80 columns, table_files.go tables as files (--tables); text.go smaller pieces of text
//	help.go     help texts; help_* the examples in them, each of which a test types in, and the manual on a terminal, as a file and as man pages
//
// What is printed is made in sheet/, pages for a browser in page/, words in text/, and what takes book and planner together in round/.
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
