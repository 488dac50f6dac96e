package check

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// InputError says why a document could not be read, and where.
type InputError struct {
	Line, Column int    // counted from 1, in bytes; just after what was read last
	Sentence     string // what is wrong
}

func (e *InputError) Error() string {
	return fmt.Sprintf("line %d, column %d: %s; write the document again with the program that made it", e.Line, e.Column, e.Sentence)
}

// reader reads JSON more strictly than encoding/json does into a struct: names must
// be spelled exactly, come once, and be known; numbers must be whole and fit int64.
// Its methods stop the reading by a panic with *InputError, which read turns into an error.
type reader struct {
	data    []byte
	decoder *json.Decoder
}

// read runs one reading of data, which must hold one JSON value and nothing after it.
func read(data []byte, value func(*reader)) (err error) {
	r := &reader{data: data, decoder: json.NewDecoder(bytes.NewReader(data))}
	r.decoder.UseNumber()
	defer func() {
		if recovered := recover(); recovered != nil {
			fault, ok := recovered.(*InputError)
			if !ok {
				panic(recovered)
			}
			err = fault
		}
	}()
	value(r)
	if _, err := r.decoder.Token(); !errors.Is(err, io.EOF) {
		r.fail("something follows the end of the document")
	}
	return nil
}

// fail ends the reading.
func (r *reader) fail(format string, values ...any) {
	before := r.data[:min(r.decoder.InputOffset(), int64(len(r.data)))]
	panic(&InputError{
		Line:     bytes.Count(before, []byte("\n")) + 1,
		Column:   len(before) - bytes.LastIndexByte(before, '\n'),
		Sentence: fmt.Sprintf(format, values...),
	})
}

// token is the next token: a json.Delim, string, json.Number, bool or nil for null.
func (r *reader) token() json.Token {
	token, err := r.decoder.Token()
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		r.fail("the document ends too early")
	case err != nil:
		r.fail("this is not JSON: %v", err)
	}
	return token
}

// object reads an object; field reads the value of each name and is false for an
// unknown one. The required names must all be there.
func (r *reader) object(what string, required []string, field func(name string) bool) {
	r.expect('{', what, "an object")
	r.fields(what, required, field)
}

// optionalObject is object for one that may be null, which gives false.
func (r *reader) optionalObject(what string, required []string, field func(name string) bool) bool {
	switch token := r.token(); token {
	case nil:
		return false
	case json.Delim('{'):
		r.fields(what, required, field)
	default:
		r.fail("%s must be an object or null, not %s", what, named(token))
	}
	return true
}

// fields reads the fields of an object whose brace has been read.
func (r *reader) fields(what string, required []string, field func(name string) bool) {
	seen := make(map[string]bool)
	for r.decoder.More() {
		name, ok := r.token().(string)
		switch {
		case !ok:
			r.fail("%s needs a name here", what)
		case seen[name]:
			r.fail("%s has %q twice", what, name)
		}
		seen[name] = true
		if !field(name) {
			r.fail("%s has the unknown name %q", what, name)
		}
	}
	r.token()
	for _, name := range required {
		if !seen[name] {
			r.fail("%s lacks %q", what, name)
		}
	}
}

// list reads a list; element reads each of its elements.
func (r *reader) list(what string, element func()) {
	r.expect('[', what, "a list")
	r.rest(element)
}

// rest reads the elements of a list whose bracket has been read.
func (r *reader) rest(element func()) {
	for r.decoder.More() {
		element()
	}
	r.token()
}

// optionalList is list for one that may be null, which gives false.
func (r *reader) optionalList(what string, element func()) bool {
	switch token := r.token(); token {
	case nil:
		return false
	case json.Delim('['):
		r.rest(element)
	default:
		r.fail("%s must be a list or null, not %s", what, named(token))
	}
	return true
}

// pair reads a list of exactly two numbers.
func (r *reader) pair(what string) (first, second int64) {
	var numbers []int64
	r.list(what, func() {
		if len(numbers) == 2 {
			r.fail("%s must be a pair of numbers; there is a third", what)
		}
		numbers = append(numbers, r.integer(what))
	})
	if len(numbers) < 2 {
		r.fail("%s must be a pair of numbers; there are only %d", what, len(numbers))
	}
	return numbers[0], numbers[1]
}

// integer reads a whole number.
func (r *reader) integer(what string) int64 {
	return r.whole(what, r.token())
}

// optionalInteger is integer for a number that may be null, which gives nil.
func (r *reader) optionalInteger(what string) *int64 {
	token := r.token()
	if token == nil {
		return nil
	}
	return new(r.whole(what, token))
}

// index reads a whole number that may name a place in a list.
func (r *reader) index(what string) int {
	return r.place(what, r.integer(what))
}

// place is number as an int; what is not one cannot name a place.
func (r *reader) place(what string, number int64) int {
	if int64(int(number)) != number {
		r.fail("%s is %d, which is too large", what, number)
	}
	return int(number)
}

// text reads a string.
func (r *reader) text(what string) string {
	token := r.token()
	text, ok := token.(string)
	if !ok {
		r.fail("%s must be a string, not %s", what, named(token))
	}
	return text
}

// boolean reads true or false.
func (r *reader) boolean(what string) bool {
	token := r.token()
	value, ok := token.(bool)
	if !ok {
		r.fail("%s must be true or false, not %s", what, named(token))
	}
	return value
}

func (r *reader) whole(what string, token json.Token) int64 {
	number, ok := token.(json.Number)
	if !ok {
		r.fail("%s must be a whole number, not %s", what, named(token))
	}
	value, err := strconv.ParseInt(string(number), 10, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		r.fail("%s is %.40s, which does not fit 64 bits", what, string(number))
	case err != nil:
		r.fail("%s must be a whole number written in digits, not %.40s", what, string(number))
	}
	return value
}

func (r *reader) expect(delim json.Delim, what, kind string) {
	if token := r.token(); token != delim {
		r.fail("%s must be %s, not %s", what, kind, named(token))
	}
}

// named says what a token is, for a sentence.
func named(token json.Token) string {
	switch token := token.(type) {
	case nil:
		return "null"
	case string:
		return "a string"
	case json.Number:
		return fmt.Sprintf("the number %.40s", string(token))
	case bool:
		return "true or false"
	}
	return "a list or an object"
}
