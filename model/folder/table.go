package folder

import (
	"fmt"
	"strings"
	"unicode"

	"longpoint/model"
)

// column is one column a table may have.
type column struct {
	name     string
	required bool // the table must have it; whether a cell may be blank is up to the row
}

// table is what a CSV file says, with its columns found.
type table struct {
	file    string
	at      map[string]int // index of a known column among a record's cells; a column the file lacks is not there
	records []record
}

// record is one row of a table.
type record struct {
	line  int // the line it starts on, from 1
	cells []string
}

// maxHeading is the number of heading cells beyond which a file is no table of ours; a person who keeps notes of their own
// beside the table stays far below.
const maxHeading = 1000

// maxRows bounds the time and memory that a file of nonsense takes; a workshop of a thousand frames a week stays far below.
const maxRows = 100_000

// parseTable reads a table. It reports what is wrong and gives ok = false where the rows mean nothing: no heading, a
// required column missing, or a fault in the text.
func parseTable(file, text string, columns []column, p *problems) (t table, ok bool) {
	lexer, head, bad := findHeading(text, columns)
	switch {
	case bad != noFault:
		p.add(model.Place{File: file, Line: head.line}, bad.what, bad.do)
		return table{}, false
	case head.cells == nil:
		p.add(model.Place{File: file}, "the table has no heading",
			"give it a first line with the names of the columns: "+listColumns(columns))
		return table{}, false
	}
	width := lastFilled(head.cells) + 1
	if width > maxHeading {
		p.add(model.Place{File: file, Line: head.line}, fmt.Sprintf("the heading has %d cells", width),
			"see that its first line holds the names of the columns: "+listColumns(columns))
		return table{}, false
	}
	t = table{file: file}
	if t.at, ok = findColumns(file, head, columns, p); !ok {
		return t, false
	}
	for {
		rec, bad := lexer.next()
		if bad != noFault {
			p.add(model.Place{File: file, Line: rec.line}, bad.what, bad.do)
			return t, false
		}
		if rec.cells == nil {
			return t, true
		}
		if last := lastFilled(rec.cells); last >= width {
			p.add(model.Place{File: file, Line: rec.line},
				fmt.Sprintf("the row has %d cells, the heading %d", last+1, width),
				fmt.Sprintf("put quotation marks round a cell that holds a %s, or give the cell a heading",
					separatorName(lexer.separator)))
			continue
		}
		if len(t.records) == maxRows {
			p.add(model.Place{File: file, Line: rec.line}, fmt.Sprintf("the table has more than %d rows", maxRows),
				"take out what the week's plan does not need")
			return t, false
		}
		t.records = append(t.records, rec)
	}
}

// findHeading gives the first record and a lexer that stands behind it. The separator is the one that makes most known
// columns of the record, and of those the one that makes most cells. No record: nil cells.
func findHeading(text string, columns []column) (after lexer, head record, bad fault) {
	bestKnown, bestCells := -1, 0
	for _, separator := range []byte{',', ';', '\t'} {
		l := lexer{rest: text, line: 1, separator: separator}
		rec, stop := l.next()
		known := 0
		for _, cell := range rec.cells[:min(len(rec.cells), maxHeading)] {
			if _, found := findColumn(cell, columns); found {
				known++
			}
		}
		if known > bestKnown || known == bestKnown && len(rec.cells) > bestCells {
			bestKnown, bestCells = known, len(rec.cells)
			after, head, bad = l, rec, stop
		}
	}
	if len(head.cells) == 1 && strings.Trim(head.cells[0], " ,;\t") == "" {
		head.cells = nil // the separators of an empty row
	}
	return after, head, bad
}

func separatorName(separator byte) string {
	switch separator {
	case ';':
		return "semicolon"
	case '\t':
		return "tab"
	default:
		return "comma"
	}
}

// findColumns finds the known columns in the heading. It reports unknown, double and missing ones. A name that is nearly
// that of a column the heading lacks is reported and then taken for it, so that one slip is one error. ok = false: the rows
// mean nothing, because a required column is missing or what an unknown one stands for cannot be told.
func findColumns(file string, head record, columns []column, p *problems) (at map[string]int, ok bool) {
	at = map[string]int{}
	var unknown []int
	place := func(i int) model.Place {
		return model.Place{File: file, Line: head.line, Column: clip(plainSpaces(head.cells[i]))}
	}
	for i, cell := range head.cells {
		if plainSpaces(cell) == "" {
			continue
		}
		name, known := findColumn(cell, columns)
		if !known {
			unknown = append(unknown, i)
			continue
		}
		if _, twice := at[name]; twice {
			p.add(place(i), "the column stands in the heading twice", "take one away")
			continue
		}
		at[name] = i
	}
	ok = true
	for _, i := range unknown {
		do := "the columns of this table are " + listColumns(columns)
		if near, found := nearest(foldName(head.cells[i]), names(columns)); found {
			do = "did you mean " + near + "?"
			if _, there := at[near]; !there {
				at[near] = i
			}
		} else {
			ok = false
		}
		p.add(place(i), "there is no column "+show(plainSpaces(head.cells[i])), do)
	}
	for _, c := range columns {
		if _, there := at[c.name]; !there && c.required {
			p.add(model.Place{File: file, Line: head.line, Column: c.name}, "the column is missing", "add it to the heading")
			ok = false
		}
	}
	return at, ok
}

// findColumn finds a column by its name as a person may write it.
func findColumn(cell string, columns []column) (name string, found bool) {
	cell = foldName(cell)
	for _, c := range columns {
		if foldName(c.name) == cell {
			return c.name, true
		}
	}
	return "", false
}

// foldName makes names equal that differ in case, blanks, hyphens and underscores only.
func foldName(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '_' || r == '-' {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

func names(columns []column) []string {
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = c.name
	}
	return out
}

func listColumns(columns []column) string { return strings.Join(names(columns), ", ") }

// lastFilled gives the index of the last cell that is not blank, -1 for none.
func lastFilled(cells []string) int {
	for i := len(cells) - 1; i >= 0; i-- {
		if strings.TrimSpace(cells[i]) != "" {
			return i
		}
	}
	return -1
}
