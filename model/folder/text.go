package folder

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"longpoint/model"
)

// MaxFileBytes is the size of the largest file that is read: 16 MB.
const MaxFileBytes = 16_000_000

// readText gives a file's text with every line end made "\n" and no byte order mark. The error names the file and says
// why it cannot be read as text.
func readText(path string) (string, *model.Error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", unreadable(path, "there is no such file", howToPut(path), nil)
	case err != nil:
		return "", unreadable(path, "the file cannot be read", "see that it may be read", cause(err))
	case info.IsDir():
		return "", unreadable(path, "this is a folder where a file should be", "put the file in its place", nil)
	case !info.Mode().IsRegular():
		return "", unreadable(path, "this is not an ordinary file", "put an ordinary file in its place", nil)
	}
	data, err := readBounded(path)
	if err != nil {
		return "", unreadable(path, "the file cannot be read", "see that it may be read", cause(err))
	}
	if len(data) > MaxFileBytes {
		return "", unreadable(path, fmt.Sprintf("the file is larger than %d MB", MaxFileBytes/1_000_000),
			"take out what the week's plan does not need", nil)
	}
	text, line := decode(data)
	if line > 0 {
		e := unreadable(path, "this is not text", howToSave(path), nil)
		e.Where.Line = line
		return "", e
	}
	return text, nil
}

// howToPut says what to do about a file that is not there.
func howToPut(path string) string {
	if isSettings(path) {
		return `put it there; "longpoint demo" writes one to start from`
	}
	return "put it there; a table with nothing in it still has its heading"
}

// howToSave says what to do about a file that is not text.
func howToSave(path string) string {
	if isSettings(path) {
		return "save it from a plain text editor, best as UTF-8"
	}
	return "save the table as CSV, best as UTF-8"
}

// isSettings tells the settings from the tables.
func isSettings(path string) bool { return filepath.Base(path) == settingsFile }

func unreadable(path, what, do string, cause error) *model.Error {
	return &model.Error{Kind: model.BadInput, What: what, Where: model.Place{File: path}, Do: do, Err: cause}
}

// cause drops the path from an error of the file system: the place of the error already names it.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// readBounded reads one byte more than is allowed at most, so that the caller can tell.
func readBounded(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxFileBytes+1))
}

// decode turns a file's bytes into text. Where they are no text, badLine is the first line (from 1) that shows it, else 0.
//
// A byte order mark decides; without one the bytes are UTF-8 if they can be, else Windows-1252, which is what
// spreadsheets of western Europe and America save by default. What a translation could not make sense of, like the five
// bytes that Windows-1252 leaves undefined, comes out of it as the replacement character.
func decode(data []byte) (text string, badLine int) {
	translated := true
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		text = translate(data, unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM))
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		text, translated = string(data[3:]), false
	case utf8.Valid(data):
		text, translated = string(data), false
	default:
		text = translate(data, charmap.Windows1252)
	}
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	for i, r := range text {
		if isControl(r) || r == utf8.RuneError && (translated || !strings.HasPrefix(text[i:], "\ufffd")) {
			return "", lineOf(text, i)
		}
	}
	return text, 0
}

// translate decodes with a decoder that never fails: what it cannot decode becomes the replacement character.
func translate(data []byte, from encoding.Encoding) string {
	out, err := from.NewDecoder().Bytes(data)
	if err != nil {
		return string(utf8.RuneError)
	}
	return string(out)
}

// isControl tells characters that no text has.
func isControl(r rune) bool {
	return r < ' ' && r != '\t' && r != '\n' || r >= 0x7f && r < 0xa0
}

func lineOf(text string, at int) int { return 1 + strings.Count(text[:at], "\n") }
