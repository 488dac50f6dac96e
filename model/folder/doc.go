// Package folder keeps a workshop as a folder of five or six files that a framer edits with a text editor and a spreadsheet:
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
// A table may be CSV, TSV or XLSX (rack.tsv, rack.xlsx), and all that have no file of their own may be sheets of one workbook
// in the folder, workshop.xlsx. A workbook by itself is a workshop too: its sheet workshop then has the settings, with the
// columns setting (a key of workshop.toml, such as machine.shave) and value. How tables are read, model/table says.
//
// What changes every number of a plan must be given: units, currency, the machine's loss and shave, the allowance, the share of
// a rack stick's worth, and what is kept. A preset that nobody noticed would be worse than an error. A numeral in
// workshop.toml has a decimal point, as TOML has; the section tables says how the tables write days and numbers.
//
// The settings are read through go-toml's unstable parser: its decoder proper drops line numbers and the digits of numbers, and
// stops at its first error.
//
// In a stick's damage the parts are separated by semicolons, or by "and", which needs no quoting where semicolons separate
// the cells. A unit at one end only is refused: "60 to 62 in" would be 60 mm to 62 in.
//
// # Errors
//
// Read reports everything that is wrong in all the files in one model.Errors, with file, line and column, at most
// table.MaxErrors of them, and changes nothing on disk. One slip is one error: a misspelt column is reported and then taken for the
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
