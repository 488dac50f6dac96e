package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// maxCells is more than the 16,384 columns of the widest spreadsheet (excelize, constant MaxColumns).
const maxCells = 20_000

// maxRow is more than any row of a table takes, in bytes. What is longer is a file of something else, and would be taken apart once for each mark.
const maxRow = 1_000_000

var separators = []struct {
	mark rune
	name string
}{{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}}

// csvSheet makes a sheet of a text whose line ends are "\n". Cells are parted by commas, semicolons or tabs.
func csvSheet(text string) *sheet {
	s := &sheet{merged: func() []merge { return nil }}
	for _, sep := range separators {
		s.ways = append(s.ways, way{sep.name, csvRecords(text, sep.mark)})
	}
	return s
}

// csvRecords takes a text apart with encoding/csv. Two things that it does not do are done round it. Its Comment would take
// "#12" for a note, and what a note holds for cells: so it is given the lines one by one, and notes are left out (lines). And
// its LazyQuotes, without which 16 1/2" is an error, let a cell that opens with a quotation mark and never closes run on to the
// end of the text: so each such cell is held against what stands in its lines (wellQuoted).
func csvRecords(text string, separator rune) records {
	return func(yield func(record, *fault) bool) {
		l := &lines{rest: text}
		r := csv.NewReader(l)
		r.Comma, r.LazyQuotes, r.FieldsPerRecord, r.ReuseRecord = separator, true, -1, true
		r.TrimLeadingSpace = separator != '\t' // so that a cell may be quoted behind a blank
		for {
			l.begins = true
			fields, err := r.Read()
			if err != nil && l.long {
				yield(record{line: 1 + strings.Count(text[:len(text)-len(l.rest)], "\n")}, tooLong)
			}
			if err != nil { // io.EOF: as it is set, the reader takes anything else
				return
			}
			first, _ := r.FieldPos(0)
			line := first + l.skipped
			if len(fields) > maxCells {
				yield(record{line: line}, tooWide)
				return
			}
			rec := record{line: line}
			for i, text := range fields {
				if at, column := r.FieldPos(i); !wellQuoted(text, l.record[at-first:], column-1) {
					yield(record{line: at + l.skipped}, unclosed)
					return
				}
				if strings.TrimSpace(text) != "" {
					rec.cells = append(rec.cells, cell{at: i, text: unguarded(text)})
				}
			}
			if len(rec.cells) > 0 && !rec.isNote() && !yield(rec, nil) {
				return
			}
		}
	}
}

var (
	unclosed = &fault{"a cell starts here with a quotation mark and does not end with one", "a cell that starts with a quotation mark ends with one; write a mark inside it twice"}
	tooLong  = &fault{fmt.Sprintf("the row has more than %d characters", maxRow), "see that each row of the table ends its line"}
	tooWide  = &fault{fmt.Sprintf("the row has more than %d cells", maxCells), "see that each row of the table ends its line"}
)

// wellQuoted tells whether a cell that opens with a quotation mark stands in its lines as it should; it starts at a place in
// the first of them.
func wellQuoted(text string, lines []string, at int) bool {
	if at >= len(lines[0]) || lines[0][at] != '"' {
		return true
	}
	lines = lines[:min(len(lines), 1+strings.Count(text, "\n"))] // fewer where it runs on to the end of the text
	return strings.HasPrefix(strings.Join(lines, "")[at:], `"`+strings.ReplaceAll(text, `"`, `""`)+`"`)
}

// lines gives a reader of records one line at a time, so that it is known which lines are a record's.
type lines struct {
	rest    string   // what is still to be read
	part    string   // what is left of a line that has been begun
	begins  bool     // a record is to begin
	skipped int      // lines that were left out: notes and empty ones before a record
	record  []string // the lines of the record so far
	size    int      // of these
	long    bool     // with the next line they would be too long: it is not read, so that what is read so far has no end
}

// Read gives what is left of a line, or the next one.
func (l *lines) Read(p []byte) (int, error) {
	for l.part == "" {
		if l.rest == "" {
			return 0, io.EOF
		}
		end := strings.IndexByte(l.rest, '\n') + 1
		if end == 0 {
			end = len(l.rest)
		}
		line := l.rest[:end]
		if l.begins && (line == "\n" || IsNote(strings.TrimSuffix(line, "\n"))) {
			l.rest = l.rest[end:]
			l.skipped++
			continue
		}
		if l.begins {
			l.begins, l.record, l.size = false, l.record[:0], 0
		}
		if l.size += len(line); l.size > maxRow {
			l.long = true
			return 0, io.EOF
		}
		l.rest = l.rest[end:]
		l.part, l.record = line, append(l.record, line)
	}
	n := copy(p, l.part)
	l.part = l.part[n:]
	return n, nil
}

// A spreadsheet runs what looks like a formula. Text of that kind is written behind an apostrophe (guarded), which is taken
// away again in reading. What has such an apostrophe of its own gets one more.
var (
	looksRun     = regexp.MustCompile(`^'*[=+\-@\t\r]`)
	looksGuarded = regexp.MustCompile(`^'+[=+\-@\t\r]`)
)

func guarded(text string) string {
	if looksRun.MatchString(text) {
		return "'" + text
	}
	return text
}

func unguarded(text string) string {
	if text[0] == '\'' && looksGuarded.MatchString(text) {
		return text[1:]
	}
	return text
}
