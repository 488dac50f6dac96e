// Package record keeps what was measured as CSV tables that grow a row at a time and can be taken up again after a stop.
package record

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Log is a CSV file that rows are added to. Each row is on disk before Add returns.
type Log struct {
	file  *os.File
	path  string
	noted bool
}

// Open opens the table at path, making it and its folder if need be, and gives the rows it already has, without the
// header. What a stop left of a half-written last line is cut off. An existing table must have exactly this header.
func Open(path string, header []string) (*Log, [][]string, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, nil, err
	}
	rows, err := takeUp(f, path, header)
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return &Log{file: f, path: path}, rows, nil
}

// takeUp reads an open table, cuts off a torn last line, writes the header of an empty one, and leaves the file at its end.
func takeUp(f *os.File, path string, header []string) ([][]string, error) {
	data, err := io.ReadAll(f)
	if err != nil {
		return nil, err
	}
	whole := data[:bytes.LastIndexByte(data, '\n')+1]
	if err := f.Truncate(int64(len(whole))); err != nil {
		return nil, err
	}
	if _, err := f.Seek(0, io.SeekEnd); err != nil {
		return nil, err
	}
	if len(whole) == 0 {
		_, err := f.Write(line(header))
		return nil, err
	}
	return parse(bytes.NewReader(whole), path, header)
}

// Read reads a table that must exist, without its header.
func Read(path string, header []string) ([][]string, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no such table; run the measurement that writes it first", path)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return parse(f, path, header)
}

func parse(r io.Reader, path string, header []string) ([][]string, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord = len(header)
	rows, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: not a table of ours: %w; move it away or name another", path, err)
	}
	if len(rows) == 0 || !slices.Equal(rows[0], header) {
		return nil, fmt.Errorf("%s: its columns are not %s; move it away or name another", path, strings.Join(header, ","))
	}
	return rows[1:], nil
}

// Add writes one row. Before the first one it takes a note of how the rows came to be.
func (l *Log) Add(row []string) error {
	if !l.noted {
		if err := takeNote(l.path); err != nil {
			return err
		}
		l.noted = true
	}
	if _, err := l.file.Write(line(row)); err != nil {
		return fmt.Errorf("%s: %w", l.path, err)
	}
	return nil
}

// Close closes the file.
func (l *Log) Close() error { return l.file.Close() }

// Write writes a whole table in place of one that may be there, with a note of how it came to be.
func Write(path string, header []string, rows [][]string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	data := line(header)
	for _, row := range rows {
		data = append(data, line(row)...)
	}
	if err := WriteFile(path, data); err != nil {
		return err
	}
	if err := os.RemoveAll(notesOf(path)); err != nil {
		return err
	}
	return takeNote(path)
}

// WriteFile writes a file through a temporary one, so that it is never there in part.
func WriteFile(path string, data []byte) error {
	temporary := path + ".part"
	if err := os.WriteFile(temporary, data, 0o644); err != nil {
		return err
	}
	return os.Rename(temporary, path)
}

// line gives a row as CSV, newline included.
func line(row []string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(row) // a bytes.Buffer takes everything
	w.Flush()
	return b.Bytes()
}
