package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// rule is the part of JSON Schema that schema.json uses.
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

// TestSchemaAgreesWithTypes walks the Go types and the schema together: every key that can be written is in the
// schema, every key of the schema can be written, and exactly those that are always written are required.
func TestSchemaAgreesWithTypes(t *testing.T) {
	var root rule
	dec := json.NewDecoder(bytes.NewReader(schemaText))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&root); err != nil {
		t.Fatal(err)
	}
	agree(t, &root, &root, reflect.TypeFor[Document](), "document")
}

func agree(t *testing.T, root, r *rule, typ reflect.Type, at string) {
	if r.Ref != "" {
		agree(t, root, root.Defs[strings.TrimPrefix(r.Ref, "#/$defs/")], typ, at)
		return
	}
	switch {
	case typ == reflect.TypeFor[json.RawMessage]():
		if r.Type != "object" {
			t.Errorf("%s: the schema says %q", at, r.Type)
		}
	case typ.Kind() == reflect.Struct:
		agreeKeys(t, root, r, typ, at)
	case typ.Kind() == reflect.Slice:
		if r.Type != "array" || r.Items == nil {
			t.Fatalf("%s: the schema says %q", at, r.Type)
		}
		agree(t, root, r.Items, typ.Elem(), at+"[]")
	case typ.Kind() == reflect.String:
		if r.Type != "string" && r.Enum == nil && r.Const == nil {
			t.Errorf("%s: the schema says %q", at, r.Type)
		}
	case typ.Kind() == reflect.Bool:
		if r.Type != "boolean" {
			t.Errorf("%s: the schema says %q", at, r.Type)
		}
	case typ.Kind() == reflect.Int || typ.Kind() == reflect.Int64:
		if r.Type != "integer" {
			t.Errorf("%s: the schema says %q", at, r.Type)
		}
	default:
		t.Errorf("%s: a %s is not expected in a document", at, typ)
	}
}

func agreeKeys(t *testing.T, root, r *rule, typ reflect.Type, at string) {
	if r.Type != "object" || r.Additional == nil || *r.Additional {
		t.Errorf("%s: the schema must say object without additional properties", at)
	}
	var always, all []string
	for _, field := range reflect.VisibleFields(typ) {
		if field.Anonymous {
			continue // its fields are listed too
		}
		key, option, _ := strings.Cut(field.Tag.Get("json"), ",")
		all = append(all, key)
		if option != "omitempty" {
			always = append(always, key)
		}
		if p := r.Properties[key]; p != nil {
			agree(t, root, p, field.Type, at+"."+key)
		}
	}
	var keys []string
	for key := range r.Properties {
		keys = append(keys, key)
	}
	required := append([]string{}, r.Required...)
	for _, list := range [][]string{all, always, keys, required} {
		sort.Strings(list)
	}
	if diff := cmp.Diff(keys, all); diff != "" {
		t.Errorf("%s: keys (-schema +type):\n%s", at, diff)
	}
	if diff := cmp.Diff(required, always); diff != "" {
		t.Errorf("%s: keys always there (-schema +type):\n%s", at, diff)
	}
}

// TestDecodeIsStrict changes one thing in a good document and expects to be told where.
func TestDecodeIsStrict(t *testing.T) {
	good, err := os.ReadFile("testdata/tiny.golden.json")
	if err != nil {
		t.Fatal(err)
	}
	good = bytes.Replace(good, []byte(`"cuts": {}`), []byte(`"cuts": {"format": "longpoint-cuts/2", "kinds": [],
		"items": [], "patterns": [], "cost": 0, "lower": 0, "grade": "open", "certificate": {}}`), 1)
	d, err := Decode(good)
	if err != nil {
		t.Fatalf("the good document: %s", err)
	}
	var again bytes.Buffer
	if err := d.Encode(&again); err != nil {
		t.Fatal(err)
	}
	if d2, err := Decode(again.Bytes()); err != nil || !reflect.DeepEqual(d.Profiles[0].Sticks, d2.Profiles[0].Sticks) {
		t.Errorf("written and read again it is another document: %v", err)
	}
	for _, tt := range []struct{ name, from, to, want string }{
		{"another format", `"longpoint-plan/3"`, `"longpoint-plan/1"`, "format: is not longpoint-plan/3"},
		{"an unknown key", `"title"`, `"subtitle"`, "profiles[0].subtitle: is no key of the format"},
		{"a key in capitals", `"title"`, `"Title"`, "profiles[0].Title: is no key of the format"},
		{"a key missing", `"width_nm": 20000000,`, ``, "profiles[0].width_nm: is missing"},
		{"a key twice", `"width_nm": 20000000,`, `"width_nm": 20000000, "width_nm": 21000000,`, `the key "width_nm" is there twice`},
		{"a fraction", `"strokes": 3`, `"strokes": 3.5`, "profiles[0].bites.strokes: 3.5 is not a whole number"},
		{"a number in powers", `"strokes": 3`, `"strokes": 3e0`, "profiles[0].bites.strokes: 3e0 is not a whole number"},
		{"a number too large", `"strokes": 3`, `"strokes": 9223372036854775808`, "is too large"},
		{"a negative length", `"width_nm": 20000000`, `"width_nm": -1`, "profiles[0].width_nm: -1 is less than 0"},
		{"a yield over one", `"yield_ppm": 958385`, `"yield_ppm": 1000001`, "profiles[0].figures.yield_ppm: 1000001 is more than 1000000"},
		{"text for a number", `"strokes": 3`, `"strokes": "3"`, "profiles[0].bites.strokes: is not a number"},
		{"a number for text", `"workshop": "Tiny"`, `"workshop": 7`, "workshop: is not text"},
		{"a word for yes or no", `"complete": true`, `"complete": "yes"`, "complete: is neither true nor false"},
		{"an unknown grade", `"grade": "proven"`, `"grade": "perfect"`, "grade: is none of [proven searched open]"},
		{"nothing for a list", `"warnings": []`, `"warnings": null`, "profiles[0].warnings: is not a list"},
		{"nothing for an object", `"certificate": {}`, `"certificate": null`, "profiles[0].cuts.certificate: is not an object"},
		{"a list for the document", string(good), "[]", "the document: is not an object"},
		{"an empty file", string(good), "\n", "it is empty"},
		{"something after the end", "\n}\n", "\n}\n{}", "there is more after the document"},
		{"cut short", "\n}\n", "", "unexpected EOF"},
		{"a comma too many", `"strokes": 3,`, `"strokes": 3,,`, "invalid character"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := strings.Replace(string(good), tt.from, tt.to, 1)
			if bad == string(good) {
				t.Fatalf("%q is not in the document", tt.from)
			}
			_, err := Decode([]byte(bad))
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("want %q, got %v", tt.want, err)
			}
		})
	}
	if _, err := Decode(make([]byte, MaxDocument+1)); err == nil || !strings.Contains(err.Error(), "more than") {
		t.Errorf("a document too large: %v", err)
	}
	for name, text := range map[string]string{
		"lists in lists":     `{"profiles":` + strings.Repeat("[", 1_000_000),
		"objects in objects": strings.Repeat(`{"a":`, 1_000_000),
		"too many values":    `{"profiles":[` + strings.Repeat("0,", mostValues),
	} {
		if _, err := Decode([]byte(text)); err == nil || !strings.Contains(err.Error(), "nested more than 100 deep") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestOneByOne holds good documents and spoilt ones against the schema in the way of large documents: it says the same of each, or of one of several
// faults another. A large document of nothing but faults takes little memory.
func TestOneByOne(t *testing.T) {
	good, err := os.ReadFile("testdata/tiny.golden.json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := schema()
	if err != nil {
		t.Fatal(err)
	}
	said := func(text []byte) (one, all string) {
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprint(oneByOne(s, value, nil)), fmt.Sprint(departs(s, value, nil))
	}
	if one, all := said(good); one != all { // the golden one is without its certificate
		t.Errorf("as it is: %s, one by one %s", all, one)
	}
	spoilt := 0
	for _, at := range regexp.MustCompile(`"[a-z_]+": `).FindAllIndex(good, -1) {
		bad := slices.Concat(good[:at[0]+1], []byte("x"), good[at[0]+1:]) // a key that is none, and one that is missing
		one, all := said(bad)
		if all == "<nil>" || one != "<nil>" && one != all && !strings.Contains(one, "]") {
			t.Errorf("%s: %s, one by one %s", good[at[0]:at[1]], all, one)
		}
		if one == all {
			spoilt++
		}
	}
	if spoilt < 50 {
		t.Errorf("only %d faults are found one by one", spoilt)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = Decode([]byte(`{"profiles":[` + strings.Repeat("{},", 1_500_000) + `{}]}`))
	runtime.ReadMemStats(&after)
	if err == nil || !strings.Contains(err.Error(), "profiles[0].") {
		t.Errorf("it says %v", err)
	}
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 1000 {
		t.Errorf("it took %d MB", took)
	}
}

// FuzzDecode feeds the reader anything: it gives a document or an error, and a document it gave it takes back.
func FuzzDecode(f *testing.F) {
	if good, err := os.ReadFile("testdata/tiny.golden.json"); err == nil {
		f.Add(good)
	}
	f.Add([]byte(`{"format":"longpoint-plan/3","made_with":"","workshop":"","unit":"mm","currency":{"code":"EUR","decimals":2},"profiles":[],"buy":[],"jobs":[]}`))
	f.Add([]byte(`[{"a":[1,{}]},"`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Decode(data)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := d.Encode(&out); err != nil {
			t.Fatal(err)
		}
		if _, err := Decode(out.Bytes()); err != nil {
			t.Fatalf("a document is not taken back: %s", err)
		}
	})
}
