package plan

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// schemaText is the JSON Schema (draft 2020-12) of the plan document.
//
//go:embed schema.json
var schemaText []byte

// schema is schema.json, compiled once.
var schema = sync.OnceValues(func() (*jsonschema.Schema, error) {
	const name = "longpoint:///plan/schema.json"
	text, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaText))
	if err != nil {
		return nil, err
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, text); err != nil {
		return nil, err
	}
	return c.Compile(name)
})

// conform says where the text departs from the schema, as "profiles[0].sticks[3].id: is missing", or nil. Of several places it names
// the first by the alphabet.
func conform(data []byte) error {
	s, err := schema()
	if err != nil {
		return err
	}
	if err := strict(data); err != nil {
		return err
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	if len(data) > smallDocument {
		if err := oneByOne(s, value, nil); err != nil {
			return err
		}
	}
	return departs(s, value, nil)
}

// departs says where a value at a place departs from a schema.
func departs(s *jsonschema.Schema, value any, at []string) error {
	invalid, ok := errors.AsType[*jsonschema.ValidationError](s.Validate(value))
	if !ok {
		return nil
	}
	all := sentences(invalid)
	if len(at) > 0 {
		for i, said := range all {
			all[i] = placeName(at) + strings.TrimPrefix("."+said, ".the document")
		}
	}
	return errors.New(slices.Min(all))
}

// smallDocument is how many bytes a document has of which everything that is wrong may be held at once: the library keeps up to a kilobyte of each.
const smallDocument = 1_000_000

// oneByOne holds the values of lists against the schema, those of the innermost lists first and each without the lists in it, and stops at the first that
// departs from it.
func oneByOne(s *jsonschema.Schema, value any, at []string) error {
	for s != nil && s.Ref != nil {
		s = s.Ref
	}
	if s == nil {
		return nil // nobody knows it, and it is told of with what it stands in
	}
	switch v := value.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			if err := oneByOne(s.Properties[key], v[key], append(at, key)); err != nil {
				return err
			}
		}
	case []any:
		if s.Items2020 == nil {
			return nil
		}
		for i, one := range v {
			here := append(at, strconv.Itoa(i))
			if err := oneByOne(s.Items2020, one, here); err != nil {
				return err
			}
			if err := departs(s.Items2020, withoutLists(one), here); err != nil {
				return err
			}
		}
	}
	return nil
}

// withoutLists is a value whose lists have nothing in them.
func withoutLists(value any) any {
	switch v := value.(type) {
	case map[string]any:
		out := make(map[string]any, len(v))
		for key, one := range v {
			out[key] = withoutLists(one)
		}
		return out
	case []any:
		return []any{}
	}
	return value
}

// sentences says in our words what the library found.
func sentences(e *jsonschema.ValidationError) (all []string) {
	for _, cause := range e.Causes {
		all = append(all, sentences(cause)...)
	}
	if len(all) > 0 {
		return all
	}
	at := e.InstanceLocation
	what := e.ErrorKind.LocalizedString(message.NewPrinter(language.English))
	switch k := e.ErrorKind.(type) {
	case *kind.AdditionalProperties:
		at, what = append(slices.Clone(at), slices.Min(k.Properties)), "is no key of the format"
	case *kind.Required:
		at, what = append(slices.Clone(at), slices.Min(k.Missing)), "is missing"
	case *kind.Type:
		what = map[string]string{"object": "is not an object", "array": "is not a list", "string": "is not text",
			"boolean": "is neither true nor false", "integer": "is not a number"}[k.Want[0]]
	case *kind.Const:
		what = fmt.Sprintf("is not %v", k.Want)
	case *kind.Enum:
		what = fmt.Sprintf("is none of %v", k.Want)
	case *kind.Minimum:
		what = fmt.Sprintf("%s is less than %s", k.Got.RatString(), k.Want.RatString())
	case *kind.Maximum:
		what = fmt.Sprintf("%s is more than %s", k.Got.RatString(), k.Want.RatString())
	}
	return []string{placeName(at) + ": " + what}
}

// placeName writes a place as "profiles[0].sticks[3].id".
func placeName(at []string) string {
	var b strings.Builder
	for _, part := range at {
		if _, err := strconv.Atoi(part); err == nil {
			b.WriteString("[" + part + "]")
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(part)
	}
	if b.Len() == 0 {
		return "the document"
	}
	return b.String()
}

// A plan has lists in objects some ten deep, and a year's plan of a large shop has half a million values. Beyond these bounds a document costs more memory than a
// shop's computer has, and is none.
const (
	deepest    = 100
	mostValues = 5_000_000
)

// strict refuses what the schema lets pass: an object that has a key twice, for which of the two counts would be anybody's guess; a number
// that is not written as a whole one of 64 bits, such as 3.0 and 3e0; and anything after the document.
func strict(data []byte) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var open []level
	for n := 1; ; n++ {
		token, err := dec.Token()
		if len(open) > deepest || n > mostValues {
			return fmt.Errorf("it is nested more than %d deep, or has more than %d values", deepest, mostValues)
		}
		if err == io.EOF && len(open) > 0 {
			return io.ErrUnexpectedEOF
		}
		if err != nil {
			return err
		}
		if len(open) > 0 {
			top := &open[len(open)-1]
			if name, ok := token.(string); ok && top.isName {
				if top.keys[name] {
					return fmt.Errorf("the key %q is there twice", name)
				}
				top.keys[name], top.isName, top.name = true, false, name
				continue
			}
		}
		if number, ok := token.(json.Number); ok {
			if err := wholeNumber(number.String()); err != nil {
				return fmt.Errorf("%s: %w", levelName(open), err)
			}
		}
		switch token {
		case json.Delim('{'):
			open = append(open, level{keys: map[string]bool{}, isName: true})
			continue
		case json.Delim('['):
			open = append(open, level{})
			continue
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		}
		if len(open) == 0 {
			break
		}
		top := &open[len(open)-1] // a value of it has ended
		top.isName = top.keys != nil
		top.n++
	}
	if _, err := dec.Token(); err != io.EOF {
		return errors.New("there is more after the document")
	}
	return nil
}

// level is an object or a list that has not ended yet.
type level struct {
	keys   map[string]bool // nil in a list
	isName bool            // the next token is a key
	name   string          // the key of the value that follows
	n      int             // in a list: the values before
}

// levelName names the value that follows.
func levelName(open []level) string {
	var at []string
	for _, l := range open {
		if l.keys == nil {
			l.name = strconv.Itoa(l.n)
		}
		at = append(at, l.name)
	}
	return placeName(at)
}

// wholeNumber says what is wrong with a number.
func wholeNumber(text string) error {
	_, err := strconv.ParseInt(text, 10, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return fmt.Errorf("%s is too large", text)
	case err != nil:
		return fmt.Errorf("%s is not a whole number", text)
	}
	return nil
}
