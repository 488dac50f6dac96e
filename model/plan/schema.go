package plan

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"reflect"
	"slices"
	"sort"
	"strings"
	"sync"
)

//go:embed schema.json
var schemaText []byte

// Schema gives the JSON Schema (draft 2020-12) of the plan document, in a slice of its own.
func Schema() []byte { return bytes.Clone(schemaText) }

// rule is the part of JSON Schema that schema.json uses; another keyword there would be an error when it is read.
type rule struct {
	Schema      string           `json:"$schema"`
	Title       string           `json:"title"`
	Description string           `json:"description"`
	Defs        map[string]*rule `json:"$defs"`
	Ref         string           `json:"$ref"`
	Type        string           `json:"type"`
	Const       any              `json:"const"`
	Enum        []any            `json:"enum"`
	Minimum     *json.Number     `json:"minimum"`
	Maximum     *json.Number     `json:"maximum"`
	Items       *rule            `json:"items"`
	Properties  map[string]*rule `json:"properties"`
	Required    []string         `json:"required"`
	Additional  *bool            `json:"additionalProperties"`
}

// schemaRule is schema.json, read once.
var schemaRule = sync.OnceValues(func() (*rule, error) {
	dec := json.NewDecoder(bytes.NewReader(schemaText))
	dec.UseNumber()
	dec.DisallowUnknownFields()
	var r rule
	if err := dec.Decode(&r); err != nil {
		return nil, fmt.Errorf("schema.json: %w", err)
	}
	return &r, nil
})

// conform says where the text first departs from the schema, as "profiles[0].sticks[3].id: is missing", or nil.
func conform(data []byte) error {
	root, err := schemaRule()
	if err != nil {
		return err
	}
	if err := noRepeats(data); err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var value any
	if err := dec.Decode(&value); err != nil {
		return err
	}
	if _, err := dec.Token(); err != io.EOF {
		return fmt.Errorf("there is more after the document")
	}
	if _, ok := value.(map[string]any); !ok {
		return errors.New("it is not an object in braces")
	}
	return root.check(root, value, "")
}

// check holds a value against the rule. Its errors name the place.
func (r *rule) check(root *rule, value any, at string) error {
	if r.Ref != "" {
		target := root.Defs[strings.TrimPrefix(r.Ref, "#/$defs/")]
		if target == nil {
			return fmt.Errorf("schema.json: no %s", r.Ref)
		}
		return target.check(root, value, at)
	}
	if r.Const != nil && !reflect.DeepEqual(value, r.Const) {
		return fmt.Errorf("%s: is not %v", at, r.Const)
	}
	if r.Enum != nil && !slices.ContainsFunc(r.Enum, func(e any) bool { return reflect.DeepEqual(value, e) }) {
		return fmt.Errorf("%s: is none of %v", at, r.Enum)
	}
	switch r.Type {
	case "object":
		return r.checkObject(root, value, at)
	case "array":
		list, ok := value.([]any)
		if !ok {
			return fmt.Errorf("%s: is not a list", at)
		}
		for i, element := range list {
			if r.Items == nil {
				break
			}
			if err := r.Items.check(root, element, fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
	case "string":
		if _, ok := value.(string); !ok {
			return fmt.Errorf("%s: is not text", at)
		}
	case "boolean":
		if _, ok := value.(bool); !ok {
			return fmt.Errorf("%s: is neither true nor false", at)
		}
	case "integer":
		return r.checkInteger(value, at)
	}
	return nil
}

func (r *rule) checkObject(root *rule, value any, at string) error {
	object, ok := value.(map[string]any)
	if !ok {
		return fmt.Errorf("%s: is not an object", at)
	}
	inside := func(key string) string { return strings.TrimPrefix(at+"."+key, ".") }
	for _, key := range r.Required {
		if _, ok := object[key]; !ok {
			return fmt.Errorf("%s: is missing", inside(key))
		}
	}
	keys := make([]string, 0, len(object))
	for key := range object {
		keys = append(keys, key)
	}
	sort.Strings(keys)
	for _, key := range keys {
		property := r.Properties[key]
		if property == nil {
			if r.Additional != nil && !*r.Additional {
				return fmt.Errorf("%s: is no key of the format", inside(key))
			}
			continue
		}
		if err := property.check(root, object[key], inside(key)); err != nil {
			return err
		}
	}
	return nil
}

func (r *rule) checkInteger(value any, at string) error {
	number, ok := value.(json.Number)
	if !ok {
		return fmt.Errorf("%s: is not a number", at)
	}
	n, ok := new(big.Int).SetString(number.String(), 10)
	switch {
	case !ok:
		return fmt.Errorf("%s: %s is not a whole number", at, number)
	case !n.IsInt64():
		return fmt.Errorf("%s: %s is too large", at, number)
	case r.Minimum != nil && n.Cmp(whole(*r.Minimum)) < 0:
		return fmt.Errorf("%s: %s is less than %s", at, number, *r.Minimum)
	case r.Maximum != nil && n.Cmp(whole(*r.Maximum)) > 0:
		return fmt.Errorf("%s: %s is more than %s", at, number, *r.Maximum)
	}
	return nil
}

// whole reads a limit of the schema, which are all whole numbers.
func whole(n json.Number) *big.Int {
	i, _ := new(big.Int).SetString(n.String(), 10)
	return i
}

// noRepeats refuses an object that has a key twice: which of the two counts would be anybody's guess.
func noRepeats(data []byte) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	type level struct {
		keys   map[string]bool // nil in a list
		isName bool            // the next token is a key
	}
	var open []level
	for {
		token, err := dec.Token()
		if err != nil {
			switch {
			case err != io.EOF:
				return err
			case len(open) > 0:
				return io.ErrUnexpectedEOF
			}
			return nil
		}
		if len(open) > 0 {
			top := &open[len(open)-1]
			if name, ok := token.(string); ok && top.isName {
				if top.keys[name] {
					return fmt.Errorf("the key %q is there twice", name)
				}
				top.keys[name], top.isName = true, false
				continue
			}
			top.isName = top.keys != nil
		}
		switch token {
		case json.Delim('{'):
			open = append(open, level{keys: map[string]bool{}, isName: true})
		case json.Delim('['):
			open = append(open, level{})
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		}
	}
}
