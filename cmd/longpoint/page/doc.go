// Package page shows a shop's book in a browser: the desk, where jobs are entered, planned, bought and looked after, and the bench, where
// a run is cut side by side. It is a server of pages, with a JSON interface for the same things.
//
//	server.go   the server: what it is given, its routes, how it starts and stops
//	guard.go    what every request must pass before it is answered
//	access.go   the pass phrase, who is signed in, and who says to be whom
//	call.go     one request and its answer: forms, keys, pages, errors     upload.go  files that are sent
//	svg.go      drawings set into a page    lies.go  a stick as it lies at the bench
//	start.go    the first page, and filling an empty book
//	jobs.go, jobform.go   jobs, and the form of one
//	plan.go, planning.go  plans as pages, and a plan in the making
//	begin.go    the pages before there is a book    copy.go  a copy of the book to keep
//	prices.go, settings.go   price lists and settings   odd.go  what looks odd in the shop   row.go  one row of a table
//	orders.go, rack.go, diary.go, help.go   the other places
//	bench.go    the bench; bench_* what is to be cut next, what is pressed, and the end of a run
//	paper.go    what is printed; words.go what commands are called on pages
//	api.go      JSON, with openapi.json
//	templates/  the pages   static/  the style and the scripts, our own
//
// What was decided, and why:
//
//   - Pages are made on the server and work without scripts. A script is there where it saves a step: it draws a frame as one types,
//     shows a plan as it gets better, and keeps what was pressed at the bench while the network is away.
//   - Whatever changes the book is a form with a key (book.By), so that a form sent twice, by a double press, a reload or a script that
//     heard no answer, is done once.
//   - Pages call the functions of model/book that the commands call. The job form is read as a table of jobs is: each of its rows is
//     a row of that table, so that a slip has a row and a column, and stands beside its field.
//   - A request that could come from a foreign page is refused by what browsers say of it (net/http.CrossOriginProtection), and a
//     name that is not ours by its Host, so that no foreign name can be pointed at this server.
//   - There is one pass phrase for the shop, not an account for each of its three people. Who somebody is they say themselves, as on the
//     command line; the history is a diary among people who trust each other.
//   - The cookie of who is signed in is signed with a key made from the pass phrase's hash. So it outlives a restart, and a new pass phrase
//     signs everybody out.
//   - A plan is made by one planner at a time: two at once would be slower than one after the other, and the bench has to answer meanwhile.
package page
