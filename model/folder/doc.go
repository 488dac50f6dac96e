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
// A file has at most 16 MB, a table at most 100,000 rows, which bounds the time and memory that a file of nonsense takes.
//
// The reader of tables is our own, because encoding/csv takes any line that begins with the one character of a comment for
// one, so that a job called #12 would be lost. The settings are read through go-toml's unstable parser: its decoder proper drops line numbers and the digits of numbers, and stops at its first
// error.
//
// What changes every number of a plan must be given: units, currency, the machine's loss and shave, the allowance, the share
// that a rack stick is worth, and what is kept. A default that nobody noticed would be worse than an error.
//
// In a stick's damage the parts are separated by semicolons, or by "and", which needs no quoting where semicolons separate
// the cells. A unit at one end only is refused: "60 to 62 in" would be 60 mm to 62 in.
//
// # Errors
//
// Read reports everything that is wrong in all the files in one model.Errors, with file, line and column, at most
// MaxErrors of them, and changes nothing on disk. One slip is one error: a misspelt column is reported and then taken for the
// one that was meant, and a row of offers that could not be read is held against no other row of its price list.
//
// WriteNew writes a whole folder or none. suppliers.csv is the one file that may be missing, because most folders need none; any other
// missing table is more likely a mistake.
//
// # Demos
//
// demo/ uses everything there is, small/ what one cannot do without. testdata/plain is a week without what binds profiles
// together: tests that ask for each profile to be planned by itself take that one.
package folder
