package table

import (
	"iter"
	"slices"
	"strings"
	"unicode"
)

// form is how a cell holds what it holds: a person wrote it, or a spreadsheet has made something of it.
type form uint8

const (
	written form = iota // text, to be read as the shop writes
	number              // a number, with a decimal point if it has decimals
	percent             // likewise, of per cent
	day                 // year-month-day
	truth               // yes or no
	faulty              // nothing that can be read; the text says why
)

// cell is a cell that is not blank.
type cell struct {
	at   int // its place in the row, from 0
	form form
	text string
}

// record is one row of a sheet: its cells that are not blank, from left to right.
type record struct {
	line   int // the line it starts on, or the row, from 1
	hidden bool
	cells  []cell
}

// width gives the number of the last cell that is not blank.
func (r record) width() int {
	if len(r.cells) == 0 {
		return 0
	}
	return r.cells[len(r.cells)-1].at + 1
}

// isWords tells a row without a single figure in it.
func (r record) isWords() bool {
	return !slices.ContainsFunc(r.cells, func(c cell) bool { return c.form != written || strings.ContainsFunc(c.text, unicode.IsDigit) })
}

// totals are what people write beside a sum, without marks (common practice, no source).
var totals = []string{"total", "totals", "grandtotal", "sum", "summe", "gesamt", "gesamtsumme", "insgesamt", "zusammen"}

// isTotal tells a cell beside which a total stands.
func (c cell) isTotal() bool { return slices.Contains(totals, bareHeading(c.text)) }

// isNote tells a row that is no part of a table: one that starts with a hash and a blank.
func (r record) isNote() bool {
	return len(r.cells) > 0 && r.cells[0].at == 0 && IsNote(r.cells[0].text)
}

// IsNote tells text that would be taken for a note if it stood first in its row.
func IsNote(text string) bool {
	return text == "#" || strings.HasPrefix(text, "# ") || strings.HasPrefix(text, "#\n")
}

// fault is what stops the reading of a sheet: it cannot be told apart any further.
type fault struct{ what, do string }

// records gives the rows of a sheet that hold anything. A fault ends them; the record beside it has only its line.
type records = iter.Seq2[record, *fault]

// sheet is a table's text before anybody knows what it means.
type sheet struct {
	name   string // in a workbook
	hidden bool
	ways   []way // in which it may be taken apart
	merged func() []merge
}

// way is one way to take a sheet apart: by its separator, or as a spreadsheet has it.
type way struct {
	separator string // its name; blank: none is needed
	records   records
}

// merge is a rectangle of cells that a spreadsheet shows as one; rows and columns from 1.
type merge struct{ top, left, bottom, right int }
