package model

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
)

// ErrorKind says whose move it is. One table in cmd/longpoint maps kinds to exit statuses.
type ErrorKind uint8

// The kinds of error. The zero value is a fault of ours, so that an error nobody classified is never blamed on the user.
const (
	Fault       ErrorKind = iota // a fault of ours
	BadUsage                     // the command line
	BadInput                     // what the user's files say
	CannotCut                    // no stick can give it
	CheckFailed                  // a check found something off
)

// SettingsSheet is the sheet of a workbook that holds the workshop's settings.
const SettingsSheet = "workshop"

// Place is where in the user's material an error lies. Zero fields are unknown.
type Place struct {
	File   string // as the user named it
	Sheet  string // of a workbook; blank: the file is none
	Line   int    // from 1; in a workbook the row
	Cell   int    // in a workbook the number of the cell in its row, from 1
	Column string // the table's column, or the key of a setting where the file is TOML
}

// String gives "file:line, column name", or in a workbook "file, sheet name, cell F12, column name", leaving out what is
// unknown. Among settings the name is a setting's.
func (p Place) String() string {
	s := p.File
	switch {
	case p.Sheet != "":
		s += ", sheet " + p.Sheet
		if p.Cell > 0 && p.Line > 0 {
			s += fmt.Sprintf(", cell %s%d", columnLetters(p.Cell), p.Line)
		} else if p.Line > 0 {
			s += fmt.Sprintf(", row %d", p.Line)
		}
	case p.Line > 0:
		s = fmt.Sprintf("%s:%d", s, p.Line)
	}
	if p.Column != "" {
		if s != "" {
			s += ", "
		}
		if strings.HasSuffix(p.File, ".toml") || p.Sheet == SettingsSheet {
			s += "setting " + p.Column
		} else {
			s += "column " + p.Column
		}
	}
	return s
}

// columnLetters gives the name of a spreadsheet's column: A for 1, Z for 26, AA for 27.
func columnLetters(n int) string {
	const letters = 26
	s := ""
	for ; n > 0; n = (n - 1) / letters {
		s = string(rune('A'+(n-1)%letters)) + s
	}
	return s
}

// Error is an error a person can act on.
type Error struct {
	Kind  ErrorKind
	What  string // what is wrong: one sentence, no full stop
	Where Place
	Do    string // what to do next: one sentence, no full stop
	Err   error  // the cause, if there is one worth keeping
}

// Error gives one line: where, what, what to do.
func (e *Error) Error() string {
	var b strings.Builder
	if at := e.Where.String(); at != "" {
		b.WriteString(at + ": ")
	}
	b.WriteString(e.What)
	if e.Err != nil {
		b.WriteString(": " + clipped(e.Err.Error(), mostCause)) // a cause from a library may hold what stands in the user's file, whatever that is
	}
	if e.Do != "" {
		b.WriteString("; " + e.Do)
	}
	return b.String()
}

// How many characters of a cause, and of a name that may be meant, are said.
const (
	mostCause = 400
	mostNamed = 60
)

// clipped cuts a text short where it is long.
func clipped(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// Errors is several errors found in one go, in the order of the user's material.
type Errors []*Error

// Error gives one line an error.
func (es Errors) Error() string {
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the errors one by one.
func (es Errors) Unwrap() []error {
	out := make([]error, len(es))
	for i, e := range es {
		out[i] = e
	}
	return out
}

// AsError gives nil for no errors, so that a nil Errors never becomes a non-nil error.
func (es Errors) AsError() error {
	if len(es) == 0 {
		return nil
	}
	return es
}

// Broken is what a recovered panic is reported as: what it said, and the lines of our code that led there, the innermost first. It
// names no folder of the machine, is short enough to be told, and may be called only while the panic is being recovered.
func Broken(panicked any) error {
	const most, ours = 8, "longpoint/"
	callers := make([]uintptr, 64)
	frames := runtime.CallersFrames(callers[:runtime.Callers(3, callers)]) // 3: neither Callers, nor Broken, nor who recovers
	var at []string
	for more := true; more && len(at) < most; {
		var f runtime.Frame
		if f, more = frames.Next(); strings.HasPrefix(f.Function, ours) || strings.HasPrefix(f.Function, "main.") {
			at = append(at, fmt.Sprintf("%s:%d", filepath.Base(f.File), f.Line))
		}
	}
	return fmt.Errorf("%v, at %s", panicked, strings.Join(at, " from "))
}
