package table

import (
	"encoding/xml"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/xuri/excelize/v2"
)

// sheet makes a sheet of a part. Its rows are read when they are first asked for.
func (w *workbook) sheet(name string, hidden bool, part string) *sheet {
	read := sync.OnceValue(func() *rows {
		r := &rows{book: w, row: record{}}
		if err := w.tokens(part, r.token); err != nil {
			r.stopped = &fault{"the sheet cannot be read any further: " + err.Error(), "open the workbook in the spreadsheet program, take out what is no part of the table, and save it again"}
		}
		return r
	})
	all := func(yield func(record, *fault) bool) {
		r := read()
		for _, rec := range r.all {
			if !rec.isNote() && !yield(rec, nil) {
				return
			}
		}
		if r.stopped != nil {
			yield(r.row, r.stopped)
		}
	}
	return &sheet{name: name, hidden: hidden, ways: []way{{records: all}}, merged: func() []merge { return read().merged }}
}

// rows takes the rows of a sheet from its tokens.
type rows struct {
	book    *workbook
	all     []record
	merged  []merge
	stopped *fault
	nothing int // rows and cells with nothing in them

	row  record
	cell openCell
	in   string // the element whose text counts
}

// openCell is a cell that is being read.
type openCell struct {
	at, style   int
	kind        string
	text        strings.Builder
	value, made bool // a value is given; a formula makes it
}

var errNothing = fmt.Errorf("it has more than %d rows and cells with nothing in them", maxNothing)

// token takes one token.
func (r *rows) token(token xml.Token) error {
	switch token := token.(type) {
	case xml.StartElement:
		return r.start(token)
	case xml.CharData:
		if r.in != "" {
			r.cell.text.Write(token)
		}
	case xml.EndElement:
		r.in = ""
		switch token.Name.Local {
		case "c":
			r.endCell()
		case "row":
			if len(r.row.cells) > 0 {
				r.all = append(r.all, r.row)
				r.row.cells = nil
			} else {
				r.nothing++
			}
		}
	}
	if r.nothing > maxNothing {
		return errNothing
	}
	return nil
}

// start begins a row, a cell or its value.
func (r *rows) start(e xml.StartElement) error {
	switch e.Name.Local {
	case "row":
		line, err := strconv.Atoi(attribute(e, "r"))
		if err != nil {
			line = r.row.line + 1
		}
		if line <= r.row.line || line > excelize.TotalRows {
			return errors.New("its rows are not in order")
		}
		hidden := attribute(e, "hidden")
		r.row = record{line: line, hidden: hidden == "1" || hidden == "true"}
		r.cell.at = -1
	case "c":
		at := r.cell.at + 1
		if name := attribute(e, "r"); name != "" {
			column, _, err := excelize.CellNameToCoordinates(name)
			if err != nil || column-1 < at {
				return errors.New("its cells are not in order")
			}
			at = column - 1
		}
		style, _ := strconv.Atoi(attribute(e, "s")) // none: 0, which is the plain style
		r.cell = openCell{at: at, style: style, kind: attribute(e, "t")}
	case "f":
		r.cell.made = true
	case "v", "t":
		r.in, r.cell.value = e.Name.Local, true
	case "mergeCell":
		from, to, _ := strings.Cut(attribute(e, "ref"), ":")
		left, top, err := excelize.CellNameToCoordinates(from)
		right, bottom, other := excelize.CellNameToCoordinates(to)
		if err != nil || other != nil {
			return nil // one cell
		}
		r.merged = append(r.merged, merge{top, left, bottom, right})
	}
	return nil
}

func attribute(e xml.StartElement, name string) string {
	if i := slices.IndexFunc(e.Attr, func(a xml.Attr) bool { return a.Name.Local == name }); i >= 0 {
		return e.Attr[i].Value
	}
	return ""
}

// endCell puts a cell that holds anything into its row.
func (r *rows) endCell() {
	c := &r.cell
	f, text := r.content(c.text.String())
	if strings.TrimSpace(text) == "" {
		r.nothing++
		return
	}
	r.row.cells = append(r.row.cells, cell{c.at, f, text})
}

// content makes of a cell's value what it stands for (ECMA-376, part 1, 18.18.11).
func (r *rows) content(own string) (form, string) {
	c := &r.cell
	text := strings.TrimSpace(own)
	if text == "" && (!c.made || c.value) {
		return written, ""
	}
	if text == "" {
		return faulty, "the formula in this cell has no value saved with it"
	}
	switch c.kind {
	case "s":
		i, err := strconv.Atoi(text)
		if err != nil || i < 0 || i >= len(r.book.strings) {
			return faulty, "the cell refers to a text that is not in the workbook"
		}
		return written, r.book.strings[i]
	case "b":
		if text == "0" || text == "false" {
			return truth, "no"
		}
		return truth, "yes"
	case "e":
		return faulty, "the cell shows the error " + text
	case "d":
		t, err := time.Parse(time.DateOnly, text[:min(len(text), len(time.DateOnly))])
		if err != nil {
			return faulty, "the cell holds a day that no calendar has"
		}
		return day, t.Format(time.DateOnly)
	case "str", "inlineStr":
		return written, own
	}
	return r.book.number(text, c.style)
}
