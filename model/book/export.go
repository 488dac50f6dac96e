package book

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// Spreadsheets take so many rows and so many characters in a cell (excelize, constants TotalRows and TotalCellChars).
const (
	maxSheetRows = excelize.TotalRows
	maxCellText  = excelize.TotalCellChars
)

// ExportCSV writes every table, history included, as a file of its own into a new or empty folder. The same book gives the same
// bytes. The folder is there whole or, after an error, not at all.
func (b *Book) ExportCSV(ctx context.Context, dir string) error {
	return b.beside(dir, func(young string) error {
		if err := os.Mkdir(young, 0o755); err != nil {
			return err
		}
		return b.read(ctx, func(t *transaction) error {
			return t.exportAll(func(name string) (rowWriter, error) {
				f, err := os.Create(filepath.Join(young, name+".csv"))
				if err != nil {
					return nil, err
				}
				return &csvWriter{f, csv.NewWriter(f)}, nil
			})
		})
	})
}

// ExportXLSX writes every table, history included, as a sheet of a new workbook, all cells as text.
func (b *Book) ExportXLSX(ctx context.Context, path string) error {
	return b.beside(path, func(young string) error {
		book := excelize.NewFile()
		defer book.Close()
		first := true
		err := b.read(ctx, func(t *transaction) error {
			return t.exportAll(func(name string) (rowWriter, error) {
				if first {
					first = false
					if err := book.SetSheetName(book.GetSheetName(0), name); err != nil {
						return nil, err
					}
				} else if _, err := book.NewSheet(name); err != nil {
					return nil, err
				}
				s, err := book.NewStreamWriter(name)
				if err != nil {
					return nil, err
				}
				return &sheetWriter{name: name, stream: s}, nil
			})
		})
		if err != nil {
			return err
		}
		f, err := os.Create(young)
		if err != nil {
			return err
		}
		defer f.Close()
		if err := writeSorted(book, f); err != nil {
			return err
		}
		if err := f.Sync(); err != nil {
			return err
		}
		return f.Close()
	})
}

// writeSorted writes a workbook with its parts in the order of their names, so that the same tables give the same bytes.
func writeSorted(book *excelize.File, to io.Writer) error {
	var text bytes.Buffer
	if err := book.Write(&text); err != nil {
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

// beside makes something new under another name beside a path, and gives it its name when it is whole.
func (b *Book) beside(path string, make func(young string) error) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
	case err != nil:
		return explain(path, err)
	case !info.IsDir():
		return usageError(path, "there is something of this name already", "name something that is not there yet")
	default:
		if err := os.Remove(path); err != nil { // only where it is empty
			return usageError(path, "there is a folder of this name already, with something in it", "name a folder that is not there yet")
		}
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".longpoint-export-")
	if err != nil {
		return explain(path, err)
	}
	defer os.RemoveAll(dir)
	young := filepath.Join(dir, filepath.Base(path))
	if err := make(young); err != nil {
		return explain(path, err)
	}
	return explain(path, os.Rename(young, path))
}

// rowWriter takes the rows of one table.
type rowWriter interface {
	write(cells []string) error
	close() error
}

// exportAll writes every table, each to a writer of its own.
func (t *transaction) exportAll(open func(name string) (rowWriter, error)) error {
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	past, err := historyIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	format, err := t.format()
	if err != nil {
		return err
	}
	for _, table := range append(tables, past...) {
		w, err := open(table.name)
		if err != nil {
			return err
		}
		if err := t.export(table, format, w); err != nil {
			w.close()
			return err
		}
		if err := w.close(); err != nil {
			return err
		}
	}
	return nil
}

// export writes one table, by id.
func (t *transaction) export(table table, format format, w rowWriter) error {
	cells := make([]string, len(table.columns))
	for i, c := range table.columns {
		cells[i] = c.file()
	}
	if err := w.write(cells); err != nil {
		return err
	}
	values := make([]any, len(table.columns))
	into := make([]any, len(table.columns))
	for i := range values {
		into[i] = &values[i]
	}
	return t.each("SELECT "+table.names()+" FROM "+table.name+" ORDER BY id", nil, func(scan func(...any) error) error {
		if err := scan(into...); err != nil {
			return err
		}
		for i, c := range table.columns {
			cells[i] = format.cell(c, values[i])
		}
		return w.write(cells)
	})
}

// format is how values are written in files, in both directions.
type format struct{ currency model.Currency }

// format gives the book's format. Where it has no settings yet, money is in hundredths.
func (t *transaction) format() (format, error) {
	var code string
	found, err := t.one("SELECT currency FROM workshop", nil, &code)
	if err != nil || !found {
		return format{model.Currency{Decimals: 2}}, err
	}
	return newFormat(code)
}

func newFormat(code string) (format, error) {
	c, err := model.ParseCurrency(code)
	return format{c}, err
}

// cell writes a value of the book as a cell, NULL as a blank one.
func (f format) cell(c column, value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case []byte:
		return base64.StdEncoding.EncodeToString(v)
	case string:
		if c.kind == spans {
			return spansCell(v)
		}
		return v
	case int64:
		switch c.kind {
		case length:
			return model.Length(v).Bare(model.Millimetres)
		case money:
			return model.Money(v).In(f.currency)
		case degrees:
			return strings.TrimSuffix(model.Angle(v).String(), "°")
		}
		return fmt.Sprint(v)
	}
	return fmt.Sprint(value)
}

// spansCell writes damaged parts in millimetres, as model.ParseSpans reads them: "0 to 45; 1200 to 1260".
func spansCell(text string) string {
	all, err := parseSpans(text)
	if err != nil {
		return text
	}
	parts := make([]string, len(all))
	for i, s := range all {
		parts[i] = s.From.Bare(model.Millimetres) + " to " + s.To.Bare(model.Millimetres)
	}
	return strings.Join(parts, "; ")
}

// csvWriter writes a table as a CSV file: UTF-8, commas, a line feed at each end.
type csvWriter struct {
	file io.WriteCloser
	csv  *csv.Writer
}

func (w *csvWriter) write(cells []string) error { return w.csv.Write(cells) }

func (w *csvWriter) close() error {
	w.csv.Flush()
	return errors.Join(w.csv.Error(), w.file.Close())
}

// sheetWriter writes a table as a sheet.
type sheetWriter struct {
	name   string
	stream *excelize.StreamWriter
	row    int
}

func (w *sheetWriter) write(cells []string) error {
	w.row++
	if w.row > maxSheetRows {
		return usageError("", fmt.Sprintf("table %s has more rows than a spreadsheet takes", w.name), "export it as CSV")
	}
	values := make([]any, len(cells))
	for i, c := range cells {
		if len(c) > maxCellText {
			return usageError("", fmt.Sprintf("table %s, row %d: a text is longer than a spreadsheet's cell takes", w.name, w.row), "export it as CSV")
		}
		values[i] = c
	}
	at, err := excelize.CoordinatesToCellName(1, w.row)
	if err != nil {
		return err
	}
	return w.stream.SetRow(at, values)
}

func (w *sheetWriter) close() error { return w.stream.Flush() }
