package table

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"iter"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// Rows are the rows of a table to be written, one cell a column. A number has a decimal point, or is whole inches and a fraction; a
// day is year-month-day; blank is nothing. They can be gone through more than once. An error ends them.
type Rows = iter.Seq2[[]string, error]

// RowsOf makes rows of a list.
func RowsOf(list [][]string) Rows {
	return func(yield func([]string, error) bool) {
		for _, cells := range list {
			if !yield(cells, nil) {
				return
			}
		}
	}
}

// Written is a table to be written.
type Written struct {
	Set  Set
	Rows Rows
}

// WriteCSV writes a table as CSV, UTF-8, as a shop writes: with its decimal mark and its form of days, and semicolons between
// cells where the decimal mark is a comma. What is written is read again as the same, whatever the habits say.
func WriteCSV(to io.Writer, h model.Habits, set Set, rows Rows) error {
	w := csv.NewWriter(to)
	if h.Decimal == "," {
		w.Comma = ';'
	}
	if err := w.Write(set.Names()); err != nil {
		return err
	}
	out := make([]string, len(set.Columns))
	for cells, err := range rows {
		if err != nil {
			return err
		}
		for i, c := range set.Columns {
			out[i] = asWritten(c.Kind, cells[i], h)
		}
		if err := w.Write(out); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// decimals finds the numbers in a text that have decimals.
var decimals = regexp.MustCompile(`(\d+)\.(\d+)`)

// asWritten writes a cell as a shop does.
func asWritten(k Kind, text string, h model.Habits) string {
	switch {
	case k.isText() || k == Name:
		return guarded(text)
	case k == Date:
		if d, err := model.ParseDate(text); err == nil {
			return h.Dates.Write(d)
		}
		return text
	}
	return decimals.ReplaceAllStringFunc(text, func(number string) string {
		whole, part, _ := strings.Cut(number, ".")
		const group = 3
		if h.Decimal == "" && len(part) == group && len(whole) <= group && whole[0] != '0' {
			part += "0" // else it might be thousands
		}
		if h.Decimal == "," {
			return whole + "," + part
		}
		return whole + "." + part
	})
}

// Workbook is an XLSX file that is being written. Its errors come with Write.
type Workbook struct {
	file   *excelize.File
	habits model.Habits
	styles map[string]int
	err    error
}

// Spreadsheets take so many rows, and so many characters in a cell.
const (
	maxSheetRows = excelize.TotalRows
	maxCellText  = excelize.TotalCellChars
)

// NewWorkbook begins a workbook, which must be closed.
func NewWorkbook(h model.Habits) *Workbook {
	return &Workbook{file: excelize.NewFile(), habits: h, styles: map[string]int{}}
}

// Close lets go of what the workbook needs.
func (b *Workbook) Close() error { return b.file.Close() }

// Add writes a table as a sheet that is called like it: numbers as numbers, days as days, everything else as text, so that nothing
// of it is run.
func (b *Workbook) Add(set Set, rows Rows) {
	if b.err == nil {
		b.err = b.add(set, rows)
	}
}

func (b *Workbook) add(set Set, rows Rows) error {
	if len(b.file.GetSheetList()) == 1 && len(b.styles) == 0 {
		if err := b.file.SetSheetName(b.file.GetSheetName(0), set.Name); err != nil {
			return err
		}
	} else if _, err := b.file.NewSheet(set.Name); err != nil {
		return err
	}
	s, err := b.file.NewStreamWriter(set.Name)
	if err != nil {
		return err
	}
	if err := b.widths(s, set, rows); err != nil {
		return err
	}
	bold, err := b.style("bold", &excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	heading := make([]any, len(set.Columns))
	for i, c := range set.Columns {
		heading[i] = excelize.Cell{StyleID: bold, Value: c.Name}
	}
	if err := s.SetRow("A1", heading); err != nil {
		return err
	}
	line := 1
	values := make([]any, len(set.Columns))
	for cells, err := range rows {
		if err != nil {
			return err
		}
		line++
		for i, c := range set.Columns {
			if values[i], err = b.value(c.Kind, cells[i]); err != nil {
				return &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("table %s, row %d, column %s: %v", set.Name, line, c.Name, err), Do: "write it as CSV"}
			}
		}
		if line > maxSheetRows {
			return &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("table %s has more rows than a spreadsheet takes", set.Name), Do: "write it as CSV"}
		}
		if err := s.SetRow(fmt.Sprintf("A%d", line), values); err != nil {
			return err
		}
	}
	return s.Flush()
}

// widths makes columns as wide as what is in them, within reason. Rows behind the first thousand are taken to be like them.
func (b *Workbook) widths(s *excelize.StreamWriter, set Set, rows Rows) error {
	const least, most, enough = 8, 60, 1000
	width := make([]int, len(set.Columns))
	for i, c := range set.Columns {
		width[i] = max(least, utf8.RuneCountInString(c.Name)+2)
	}
	n := 0
	for cells, err := range rows {
		if err != nil {
			return err
		}
		for i, text := range cells {
			width[i] = max(width[i], min(most, utf8.RuneCountInString(text)+2))
		}
		if n++; n == enough {
			break
		}
	}
	for i, w := range width {
		if err := s.SetColWidth(i+1, i+1, float64(w)); err != nil {
			return err
		}
	}
	return nil
}

// style gives the number of a style, by a name of our own.
func (b *Workbook) style(name string, style *excelize.Style) (int, error) {
	if n, known := b.styles[name]; known {
		return n, nil
	}
	n, err := b.file.NewStyle(style)
	b.styles[name] = n
	return n, err
}

// mixed is whole inches and a fraction, or a fraction.
var mixed = regexp.MustCompile(`^(?:(\d+) )?(\d+)/(\d+)$`)

// value makes a cell of a text.
func (b *Workbook) value(k Kind, text string) (any, error) {
	if len(text) > maxCellText {
		return nil, fmt.Errorf("a text is longer than a spreadsheet's cell takes")
	}
	format := ""
	switch {
	case text == "":
		return nil, nil
	case k == Date:
		d, err := model.ParseDate(text)
		if err != nil {
			return text, nil
		}
		style, err := b.formatted(dayFormat(b.habits.Dates))
		return excelize.Cell{StyleID: style, Value: d.Time}, err
	case !k.numeric():
		if k == Spans {
			text = asWritten(k, text, b.habits)
		}
		return text, nil
	case k == Money:
		format = "0"
		if _, part, ok := strings.Cut(text, "."); ok {
			format += "." + strings.Repeat("0", len(part))
		}
	}
	n, err := strconv.ParseFloat(text, 64)
	if part := mixed.FindStringSubmatch(text); err != nil && part != nil {
		var of [3]float64
		for i, digits := range part[1:] {
			of[i], _ = strconv.ParseFloat("0"+digits, 64) // of digits
		}
		n, err, format = of[0]+of[1]/of[2], nil, "# ??/??"
	}
	if err != nil {
		return asWritten(k, text, b.habits), nil // with a unit of its own
	}
	if format == "" {
		return n, nil
	}
	style, err := b.formatted(format)
	return excelize.Cell{StyleID: style, Value: n}, err
}

// dayFormat is the number format of days.
func dayFormat(o model.DateOrder) string {
	if o == "" {
		return "yyyy-mm-dd"
	}
	return strings.NewReplacer("day", "dd", "month", "mm", "year", "yyyy", ".", `\.`, " ", `\ `).Replace(string(o))
}

// formatted gives the style of a number format.
func (b *Workbook) formatted(format string) (int, error) {
	return b.style(format, &excelize.Style{CustomNumFmt: &format})
}

// Write writes the workbook, its parts in the order of their names, so that the same tables give the same bytes.
func (b *Workbook) Write(to io.Writer) error {
	if b.err != nil {
		return b.err
	}
	var text bytes.Buffer
	if err := b.file.Write(&text); err != nil {
		return err
	}
	from, err := zip.NewReader(bytes.NewReader(text.Bytes()), int64(text.Len()))
	if err != nil {
		return err
	}
	slices.SortFunc(from.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	z := zip.NewWriter(to)
	for _, part := range from.File {
		if err := z.Copy(part); err != nil {
			return err
		}
	}
	return z.Close()
}
