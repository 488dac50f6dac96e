// Package table reads and writes tables: CSV, TSV and XLSX files as shops and suppliers keep them. Both stores, the new jobs and
// what became of a plan come in through it, so that a table is read in one way wherever it is read.
//
// # How a table is read
//
// A Set says what a table of one sort is called and which columns it may have. Open tells by what is in a file which form it has; Table finds
// the sheet (by its name, else by its heading) and the heading (the row among the first ones that names most columns: a title may stand
// above it); Rows gives the rows; and a Converter makes lengths, money, days and the like of their cells, in the workshop's unit and
// currency and by its habits (model.Habits). All that is wrong goes to one Problems, each with file and line, or with sheet and cell.
//
// Text is UTF-8 with or without a byte order mark, UTF-16 with one, or Windows-1252. Cells are separated by commas, semicolons
// or tabs, whichever makes most sense of the heading. Columns come in any order, their names in any case and with blanks,
// hyphens or underscores between the words. Blank rows, and rows that start with a hash and a blank, are left out; "#12" without
// the blank is data, so that a job of that name is never lost. A cell that opens with a quotation mark ends with one and may hold
// separators, line ends and doubled quotation marks; anywhere else the mark is itself, so 16 1/2" needs no quoting.
//
// # Nothing is guessed
//
// What a person wrote in a cell and what a spreadsheet made of it are kept apart. 3.000 as a text may be 3 or 3000, and is refused
// where the shop's habits do not say which; as a number in a workbook it is 3. The same holds of 03.12.2026. A formula counts with
// the value saved beside it. Refused, with the cell: an error value, a formula without a value, a length that the spreadsheet has made a
// day, a number where a day should be, hidden rows, numbers in merged cells. Merged cells of words and days stand for each of their
// rows. Formulas are never run, and no reference is ever followed.
//
// # Bounds
//
// What is read is bounded (Limits). What is larger, locked, of another kind or no table is one error.
//
// # How a table is written
//
// WriteCSV and Workbook write what is read again as the same, in the shop's own habits: as CSV with its decimal mark and its days, as
// XLSX with numbers and days that are such. A text that a spreadsheet would run as a formula is written behind an apostrophe in CSV and
// as a text in XLSX.
package table
