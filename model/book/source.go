package book

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"longpoint/model"
)

// What is imported is bounded, so that a file of nonsense costs neither the memory nor the evening: bytes of a file, bytes of
// what a workbook unpacks to, and columns. Ten years of a busy shop stay below.
const (
	maxFileBytes     = 512 << 20
	maxUnpackedBytes = 256 << 20
	maxColumns       = 200
)

// source is the tables to import, by name.
type source struct {
	path   string
	tables map[string]func() (rowReader, error)
	close  func()
}

// rowReader gives the rows of one table: the line (or the sheet's row) and the cells; io.EOF behind the last. Rows of blanks
// are left out.
type rowReader interface {
	next() (line int, cells []string, err error)
	place(line int, column string) model.Place
	close()
}

// openSource finds the tables in a folder of CSV files, in one CSV file that is called like its table, or in a workbook.
func openSource(path string) (*source, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, explain(path, err)
	}
	switch {
	case info.IsDir():
		return folderSource(path)
	case info.Size() > maxFileBytes:
		return nil, inputError(path, fmt.Sprintf("the file has more than %d MB", maxFileBytes>>20), "import it in parts")
	case strings.EqualFold(filepath.Ext(path), ".csv"):
		return csvSource(path, []string{path})
	case strings.EqualFold(filepath.Ext(path), ".xlsx"):
		return sheetSource(path)
	}
	return nil, inputError(path, "this is neither a folder of CSV files, nor a CSV file, nor an XLSX workbook", "name one of these")
}

func folderSource(dir string) (*source, error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		return nil, explain(dir, err)
	}
	if len(files) == 0 {
		return nil, inputError(dir, "there is no CSV file in this folder", "name a folder that \"longpoint book export\" has written")
	}
	return csvSource(dir, files)
}

func csvSource(path string, files []string) (*source, error) {
	s := &source{path: path, tables: map[string]func() (rowReader, error){}, close: func() {}}
	for _, file := range files {
		name := strings.ToLower(strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)))
		if !isTable(name) {
			return nil, inputError(file, fmt.Sprintf("the book has no table %q", name), "a file is called like its table: "+tableNames())
		}
		s.tables[name] = func() (rowReader, error) { return openCSV(file) }
	}
	return s, nil
}

func isTable(name string) bool {
	return slices.Contains(history, name) || slices.ContainsFunc(keys, func(k struct {
		table string
		key   []string
	}) bool {
		return k.table == name
	})
}

func tableNames() string {
	var names []string
	for _, k := range keys {
		names = append(names, k.table)
	}
	return strings.Join(append(names, history...), ", ")
}

// csvReader reads a CSV file.
type csvReader struct {
	file string
	csv  *csv.Reader
}

// openCSV reads a file that may come from any spreadsheet: UTF-8 with or without a mark, or Windows-1252; with commas,
// semicolons or tabs.
func openCSV(file string) (rowReader, error) {
	if info, err := os.Stat(file); err != nil {
		return nil, explain(file, err)
	} else if info.Size() > maxFileBytes {
		return nil, inputError(file, fmt.Sprintf("the file has more than %d MB", maxFileBytes>>20), "import it in parts")
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, explain(file, err)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 {
		return nil, inputError(file, "this is not a text", "save the table as CSV, in UTF-8")
	}
	if !utf8.Valid(data) {
		if data, err = charmap.Windows1252.NewDecoder().Bytes(data); err != nil {
			return nil, inputError(file, "this is not a text", "save the table as CSV, in UTF-8")
		}
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	heading, _, _ := bytes.Cut(data, []byte("\n"))
	for _, separator := range []byte{';', '\t'} {
		if bytes.Count(heading, []byte{separator}) > bytes.Count(heading, []byte{byte(r.Comma)}) {
			r.Comma = rune(separator)
		}
	}
	return &csvReader{file, r}, nil
}

func (r *csvReader) next() (int, []string, error) {
	for {
		cells, err := r.csv.Read()
		if errors.Is(err, io.EOF) {
			return 0, nil, io.EOF
		}
		if e, ok := errors.AsType[*csv.ParseError](err); ok {
			return 0, nil, &model.Error{Kind: model.BadInput, What: "the row cannot be taken apart: " + e.Err.Error(),
				Where: model.Place{File: r.file, Line: e.Line}, Do: "put a cell with quotation marks in it in quotation marks, and double those"}
		}
		if err != nil {
			return 0, nil, explain(r.file, err)
		}
		if !allBlank(cells) {
			line, _ := r.csv.FieldPos(0)
			return line, cells, nil
		}
	}
}

func (r *csvReader) place(line int, column string) model.Place {
	return model.Place{File: r.file, Line: line, Column: column}
}

func (r *csvReader) close() {}

func allBlank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" })
}

// sheetSource opens a workbook, after a look at how large it says it is.
func sheetSource(path string) (*source, error) {
	bad := func(what, do string, err error) (*source, error) {
		e := inputError(path, what, do)
		e.Err = err
		return nil, e
	}
	if err := looksSmall(path); err != nil {
		return nil, err
	}
	f, err := excelize.OpenFile(path, excelize.Options{UnzipSizeLimit: maxUnpackedBytes, UnzipXMLSizeLimit: sheetInMemory, RawCellValue: true})
	if err != nil {
		return bad("this is not an XLSX workbook", "save the tables as XLSX, or as CSV", nil)
	}
	s := &source{path: path, tables: map[string]func() (rowReader, error){}, close: func() { f.Close() }}
	for _, sheet := range f.GetSheetList() {
		name := strings.ToLower(sheet)
		if !isTable(name) {
			f.Close()
			return bad(fmt.Sprintf("the book has no table %q", sheet), "a sheet is called like its table: "+tableNames(), nil)
		}
		s.tables[name] = func() (rowReader, error) {
			rows, err := f.Rows(sheet)
			if err != nil {
				_, err = bad("sheet "+sheet+" cannot be read", "save the workbook again", err)
				return nil, err
			}
			return &sheetReader{path: path, sheet: sheet, rows: rows}, nil
		}
	}
	return s, nil
}

// sheetInMemory is the size from which on a sheet is unpacked to a temporary file.
const sheetInMemory = 64 << 20

// looksSmall refuses a workbook that unpacks to more than a book can hold, going by its directory; the reader of its parts then
// refuses more than the directory says.
func looksSmall(path string) error {
	z, err := zip.OpenReader(path)
	if err != nil {
		return inputError(path, "this is not an XLSX workbook", "save the tables as XLSX, or as CSV")
	}
	defer z.Close()
	total := uint64(0)
	for _, f := range z.File {
		if total += min(f.UncompressedSize64, maxUnpackedBytes+1); total > maxUnpackedBytes {
			return inputError(path, fmt.Sprintf("the workbook unpacks to more than %d MB", maxUnpackedBytes>>20), "this is no table of a workshop; import CSV files")
		}
	}
	return nil
}

// sheetReader reads a sheet.
type sheetReader struct {
	path, sheet string
	rows        *excelize.Rows
	row         int
}

func (r *sheetReader) next() (int, []string, error) {
	for r.rows.Next() {
		r.row++
		cells, err := r.rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return 0, nil, &model.Error{Kind: model.BadInput, What: "the row cannot be read", Err: err, Where: r.place(r.row, ""), Do: "save the workbook again"}
		}
		if len(cells) > maxColumns {
			return 0, nil, &model.Error{Kind: model.BadInput, What: fmt.Sprintf("the row has %d cells", len(cells)), Where: r.place(r.row, ""), Do: "take out what is not part of the table"}
		}
		if !allBlank(cells) {
			return r.row, cells, nil
		}
	}
	if err := r.rows.Error(); err != nil {
		return 0, nil, &model.Error{Kind: model.BadInput, What: "the sheet cannot be read", Err: err, Where: r.place(r.row, ""), Do: "save the workbook again"}
	}
	return 0, nil, io.EOF
}

func (r *sheetReader) place(line int, column string) model.Place {
	return model.Place{File: r.path + ", sheet " + r.sheet, Line: line, Column: column}
}

func (r *sheetReader) close() { r.rows.Close() }
