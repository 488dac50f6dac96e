// Package folder keeps a workshop as a folder of five or six plain files that a framer edits with a text editor and a
// spreadsheet:
//
//	workshop.toml  units, currency, the machine, the workshop's habits
//	profiles.csv   the mouldings
//	suppliers.csv  what suppliers ask of a whole order; need not be there
//	offers.csv     what suppliers sell
//	rack.csv       the sticks and offcuts at hand
//	jobs.csv       the customers' orders, one line a ring of a frame
//
// The others must all be there; offers.csv and rack.csv may hold nothing but their heading. The columns are listed, with
// what each means, at the top of profiles.go, suppliers.go, offers.go, rack.go and jobs.go, the keys of workshop.toml in
// settings.go.
//
// # Tables
//
// A table may come from any spreadsheet in any locale: UTF-8 with or without a byte order mark, UTF-16 with one, or
// Windows-1252; cells separated by commas, semicolons or tabs; decimal point or decimal comma; any kind of line end.
// The separator is the one that makes most sense of the heading. Columns come in any order, their names in any case and
// with blanks, hyphens or underscores between the words. Blank lines, and lines that start with a hash and a blank,
// are skipped; "#12" without the blank is data, so that a job of that name is never lost.
//
// A cell that opens with a quotation mark ends with one and may hold separators, line ends and doubled quotation marks.
// Anywhere else the mark is itself, so 16 1/2" needs no quoting.
//
// A file has at most 16 MB, a table at most 100,000 rows.
//
// # Errors
//
// Read reports everything that is wrong in all the files in one model.Errors, with file, line and column, at most
// MaxErrors of them, and changes nothing on disk. WriteNew writes a whole folder or none.
package folder
