package folder

import (
	"fmt"
	"strings"
)

// fault is what stops a lexer: the text cannot be told apart any further. The zero fault is none.
type fault struct{ what, do string }

// maxCells is more than the 16,384 columns of the widest spreadsheet (from memory).
const maxCells = 20_000

var (
	noFault  = fault{}
	unclosed = fault{"a quotation mark opens here and is never closed", quoteHint}
	trailing = fault{"text follows the quotation mark that closes a cell", quoteHint}
	tooWide  = fault{fmt.Sprintf("the row has more than %d cells", maxCells), "see that each row of the table ends its line"}
)

const quoteHint = "a cell that starts with a quotation mark ends with one; write a mark inside it twice"

// lexer takes a table's text apart into records. Unlike encoding/csv it knows that 16 1/2" in a cell is no quoting, that
// a comment line may hold anything, and on which line a record starts.
type lexer struct {
	rest      string // what is still to be read; line ends are "\n"
	line      int    // the line rest starts on, from 1
	separator byte
}

// next gives the next record that holds anything and is no comment; nil cells at the end. Where there is a fault, the
// record has its line.
func (l *lexer) next() (rec record, bad fault) {
	for {
		for l.rest != "" && (l.rest[0] == '\n' || isComment(l.rest)) {
			l.skipLine()
		}
		rec, bad = l.record()
		if bad != noFault || rec.cells == nil {
			return rec, bad
		}
		if lastFilled(rec.cells) >= 0 && !isComment(rec.cells[0]) {
			return rec, fault{}
		}
	}
}

// isComment tells a comment from the start of its line, or of its cell where a spreadsheet has put it in quotation marks.
func isComment(text string) bool {
	return text == "#" || strings.HasPrefix(text, "# ") || strings.HasPrefix(text, "#\n")
}

// record takes one record, whatever it holds.
func (l *lexer) record() (rec record, bad fault) {
	rec.line = l.line
	if l.rest == "" {
		return rec, fault{}
	}
	for {
		cell, bad := l.cell()
		if bad != noFault {
			return record{line: l.line}, bad
		}
		if len(rec.cells) == maxCells {
			return record{line: l.line}, tooWide
		}
		rec.cells = append(rec.cells, cell)
		if l.rest == "" {
			return rec, fault{}
		}
		end := l.rest[0]
		l.rest = l.rest[1:]
		if end == '\n' {
			l.line++
			return rec, fault{}
		}
		if l.rest == "" { // the text ends with a separator: one more, empty cell
			rec.cells = append(rec.cells, "")
			return rec, fault{}
		}
	}
}

func (l *lexer) skipLine() {
	_, l.rest, _ = strings.Cut(l.rest, "\n")
	l.line++
}

// cell takes one cell and leaves rest at the separator or line end behind it.
func (l *lexer) cell() (cell string, bad fault) {
	blank := 0
	for blank < len(l.rest) && l.rest[blank] == ' ' {
		blank++
	}
	if blank < len(l.rest) && l.rest[blank] == '"' {
		l.rest = l.rest[blank+1:]
		return l.quoted()
	}
	end := strings.IndexAny(l.rest, string(l.separator)+"\n")
	if end < 0 {
		end = len(l.rest)
	}
	cell, l.rest = l.rest[:end], l.rest[end:]
	return cell, fault{}
}

// quoted takes the rest of a cell whose opening quotation mark has been read.
func (l *lexer) quoted() (cell string, bad fault) {
	var b strings.Builder
	lines := 0
	for {
		end := strings.IndexByte(l.rest, '"')
		if end < 0 {
			return "", unclosed
		}
		b.WriteString(l.rest[:end])
		lines += strings.Count(l.rest[:end], "\n")
		l.rest = l.rest[end+1:]
		if !strings.HasPrefix(l.rest, `"`) {
			break
		}
		b.WriteByte('"')
		l.rest = l.rest[1:]
	}
	l.rest = strings.TrimLeft(l.rest, " ")
	if l.rest != "" && l.rest[0] != '\n' && l.rest[0] != l.separator {
		return "", trailing
	}
	l.line += lines
	return b.String(), fault{}
}
