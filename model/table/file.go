package table

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// File is a file of tables: CSV or TSV with one, a workbook with several.
type File struct {
	Path   string
	sheets []*sheet
	limits Limits
}

// Limits bound the time and memory that a file of nonsense takes.
type Limits struct {
	Bytes int // of a file
	Rows  int // of a table
	Parts int // bytes that what is read of a workbook unpacks to
	Texts int // that the cells of a workbook share
}

// Ordinary are the limits of a workshop's tables, far above those of ten thousand frames a week. Everything are those of all that
// a book has, far above ten years of a busy shop.
func Ordinary() Limits {
	return Limits{Bytes: 64_000_000, Rows: 250_000, Parts: 128 << 20, Texts: 1_000_000}
}
func Everything() Limits {
	return Limits{Bytes: 512 << 20, Rows: excelize.TotalRows * 10, Parts: 256 << 20, Texts: 10_000_000}
}

// Open reads a file of tables. The error is of kind BadInput.
func Open(path string, limits Limits) (*File, *model.Error) {
	data, bad := readFile(path, "put it there; a table with nothing in it still has its heading", limits.Bytes)
	if bad != nil {
		return nil, bad
	}
	return FromBytes(path, data, limits)
}

// FromBytes makes tables of a file's bytes. What is in it, and not its name, tells which form it has.
func FromBytes(path string, data []byte, limits Limits) (*File, *model.Error) {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return fromArchive(path, data, limits)
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")):
		return nil, oldOrLocked(path, data)
	case strings.EqualFold(filepath.Ext(path), ".xlsx"):
		return nil, unreadable(path, "this is no XLSX workbook, whatever its name says", saveIt, nil)
	}
	text, bad := textOf(path, data, saveIt)
	if bad != nil {
		return nil, bad
	}
	return &File{Path: path, sheets: []*sheet{csvSheet(text)}, limits: limits}, nil
}

// saveIt says what to do about a file that is no table.
const saveIt = "save the table as CSV, best as UTF-8, or as XLSX"

// fromArchive opens a file that is packed as workbooks are.
func fromArchive(path string, data []byte, limits Limits) (*File, *model.Error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, unreadable(path, "the workbook is damaged", "open it in the spreadsheet program and save it again", err)
	}
	w, err := openWorkbook(z, limits)
	switch {
	case err == nil:
		return &File{Path: path, sheets: w.sheets, limits: limits}, nil
	case errors.Is(err, errTooLarge):
		return nil, unreadable(path, "the workbook is too large", "take out what is no part of the workshop's tables", err)
	case slices.ContainsFunc(z.File, func(p *zip.File) bool { return p.Name == "content.xml" }):
		return nil, unreadable(path, "this is an OpenDocument spreadsheet, which is not read", saveIt, nil)
	case errors.Is(err, errNoSheet):
		return nil, unreadable(path, "this is no XLSX workbook", saveIt, nil)
	}
	return nil, unreadable(path, "the workbook cannot be read", "open it in the spreadsheet program and save it again", err)
}

// oldOrLocked says which of two kinds of file this is that start alike: a workbook of before 2007, or one behind a pass word.
func oldOrLocked(path string, data []byte) *model.Error {
	var locked []byte // the name of a part, in UTF-16
	for _, b := range []byte("EncryptedPackage") {
		locked = append(locked, b, 0)
	}
	if bytes.Contains(data, locked) {
		return unreadable(path, "the workbook is locked with a pass word", "save a copy without one", nil)
	}
	return unreadable(path, "this is a workbook of an old kind, XLS, which is not read", saveIt, nil)
}

// mostText is far more than the settings of any workshop take, in bytes. The time of what reads them grows with the square of the number of keys.
const mostText = 200_000

// ReadText gives a file's text with every line end made "\n" and no byte order mark. The error says what to do where the file
// is missing and where it is no text.
func ReadText(path, missing, noText string) (string, *model.Error) {
	data, bad := readFile(path, missing, mostText)
	if bad != nil {
		return "", bad
	}
	return textOf(path, data, noText)
}

// readFile reads an ordinary file that is not too large.
func readFile(path, missing string, most int) ([]byte, *model.Error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, unreadable(path, "there is no such file", missing, nil)
	case err != nil:
	case info.IsDir():
		return nil, unreadable(path, "this is a folder where a file should be", "put the file in its place", nil)
	case !info.Mode().IsRegular():
		return nil, unreadable(path, "this is not an ordinary file", "put an ordinary file in its place", nil)
	case info.Size() > int64(most):
		return nil, tooLarge(path, most)
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(path)
	}
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		err = p.Err // the place of the error names the file already
	}
	switch {
	case err != nil:
		return nil, unreadable(path, "the file cannot be read", "see that it may be read", err)
	case len(data) > most: // it has grown
		return nil, tooLarge(path, most)
	}
	return data, nil
}

func textOf(path string, data []byte, noText string) (string, *model.Error) {
	text, line := decode(data)
	if line > 0 {
		e := unreadable(path, "this is not text", noText, nil)
		e.Where.Line = line
		return "", e
	}
	return text, nil
}

func tooLarge(path string, most int) *model.Error {
	return unreadable(path, fmt.Sprintf("the file is larger than %g MB", float64(most)/1_000_000), "take out what the week's plan does not need", nil)
}

func unreadable(path, what, do string, cause error) *model.Error {
	return &model.Error{Kind: model.BadInput, What: what, Where: model.Place{File: path}, Do: do, Err: cause}
}
