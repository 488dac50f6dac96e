package table

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

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
			return "", 1 + strings.Count(text[:i], "\n")
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
