package check

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestParse(t *testing.T) {
	cuts, err := Parse([]byte(`{"format": "longpoint-cuts/2",
		"kinds": [{"length": 100000000000, "cost": 0, "limit": null}, {"length": 2, "cost": 3, "limit": 0}],
		"items": [{"length": 1, "demand": 0}],
		"patterns": [{"kind": 1, "count": 4, "take": [[0, 2]]}, {"kind": 0, "count": 1, "take": []}],
		"cost": -5, "lower": 6, "grade": "open",
		"certificate": {"scale": 7, "leaves": [{"branch": [
			{"kind": null, "holds": [[0, 1]], "most": 8, "least": null, "dual_value": -9}, {"kind": 0, "holds": null, "least": 1, "dual_value": 0}],
			"dual_values": [10], "limit_dual_values": [0, 11]}]}}`))
	if err != nil {
		t.Fatal(err)
	}
	want := Cuts{
		Instance: Instance{Kinds: []Kind{{Length: 100_000_000_000, Cost: 0}, {Length: 2, Cost: 3, Limit: new(int64(0))}}, Items: []Item{{1, 0}}},
		Plan:     Plan{Patterns: []Pattern{{1, 4, []Take{{0, 2}}}, {0, 1, nil}}},
		Certificate: Certificate{Scale: 7, Leaves: []Leaf{{
			Branch:     []Condition{{Holds: []Hold{{0, 1}}, Sense: Most, Count: 8, DualValue: -9}, {Kind: new(0), Sense: Least, Count: 1}},
			DualValues: []int64{10}, LimitDualValues: []int64{0, 11}}}},
		Claims: Claims{-5, 6, Open},
	}
	if diff := cmp.Diff(want, cuts); diff != "" {
		t.Errorf("cuts (-want +got):\n%s", diff)
	}
}

func TestParseChoices(t *testing.T) {
	cuts, err := Parse([]byte(`{"format": "longpoint-cuts/2",
		"kinds": [{"length": 1, "cost": 2, "only": [], "credit": {"keep": 3, "extra": 4, "num": 5, "den": 6}}, {"length": 1, "cost": 2, "only": [1, 2], "limit": 3},
			{"length": 1, "cost": 2, "only": null, "credit": null}],
		"items": [], "patterns": [], "cost": 0, "lower": 0, "grade": "open",
		"choices": [{"cost": -7, "most": 8, "gives": [[1, 9]], "asks": [[2, 10]], "in": [[0, -11], [1, 12]]}, {"cost": 1, "most": 2}, {"cost": 1, "most": 2, "gives": null, "asks": null, "in": []}],
		"rows": [{"least": -13}, {"least": 14}], "chosen": [15, 0, 0],
		"certificate": {"scale": 7, "leaves": [{"branch": [{"choice": 1, "least": 16, "dual_value": 17}, {"choice": null, "credited": true, "most": 18, "dual_value": 0}],
			"dual_values": [], "limit_dual_values": [], "row_dual_values": [19, 20]}]}}`))
	if err != nil {
		t.Fatal(err)
	}
	want := Cuts{
		Instance: Instance{
			Kinds: []Kind{{Length: 1, Cost: 2, Only: []int{}, Credit: &Credit{3, 4, 5, 6}}, {Length: 1, Cost: 2, Only: []int{1, 2}, Limit: new(int64(3))}, {Length: 1, Cost: 2}},
			Choices: []Choice{
				{Cost: -7, Most: 8, Gives: []Give{{1, 9}}, Asks: []Take{{2, 10}}, In: []Entry{{0, -11}, {1, 12}}}, {Cost: 1, Most: 2}, {Cost: 1, Most: 2},
			},
			Rows: []Row{{-13}, {14}},
		},
		Plan: Plan{Chosen: []int64{15, 0, 0}},
		Certificate: Certificate{Scale: 7, Leaves: []Leaf{{
			Branch:        []Condition{{Choice: new(1), Sense: Least, Count: 16, DualValue: 17}, {Credited: true, Sense: Most, Count: 18}},
			RowDualValues: []int64{19, 20},
		}}},
		Claims: Claims{Grade: Open},
	}
	if diff := cmp.Diff(want, cuts); diff != "" {
		t.Errorf("cuts (-want +got):\n%s", diff)
	}
}

// Each row replaces something in the example with choices by something that cannot be read.
func TestParseRefusesChoices(t *testing.T) {
	for _, row := range []struct{ name, old, new, sentence string }{
		{"an unknown name in a credit", `"keep": 4`, `"keep": 4, "x": 1`, `unknown name "x"`},
		{"an unknown name in a choice", `"most": 4`, `"most": 4, "x": 1`, `unknown name "x"`},
		{"an unknown name in a row", `"rows": [{"least": 0}`, `"rows": [{"least": 0, "x": 1}`, `unknown name "x"`},
		{"a credit without a keep", `"keep": 4, `, ``, `lacks "keep"`},
		{"a choice without a most", `"most": 4, `, ``, `lacks "most"`},
		{"a choice without a cost", `"cost": 8, "most"`, `"most"`, `lacks "cost"`},
		{"a row without a least", `"rows": [{"least": 0}`, `"rows": [{}`, `lacks "least"`},
		{"a number for a credit", `{"keep": 4, "extra": 1, "num": 1, "den": 2}`, `2`, "an object or null, not the number 2"},
		{"a number for an only", `"only": [0]`, `"only": 0`, "a list or null"},
		{"a pair in an only", `"only": [0]`, `"only": [[0]]`, "whole number"},
		{"null for a most", `"most": 4`, `"most": null`, "whole number, not null"},
		{"a give of three", `[[0, 1]]`, `[[0, 1, 2]]`, "a third"},
		{"an ask of one", `[[3, 4]]`, `[[3]]`, "only 1"},
		{"a coefficient with a point", `[1, -2]`, `[1, -2.5]`, "whole number"},
		{"choices as an object", `"choices": [`, `"choices": {`, "a list or null"},
		{"chosen twice", `"chosen": [2, 1, 1, 0, 1, 1],`, `"chosen": [], "chosen": [],`, `"chosen" twice`},
		{"a choice in quotes", `"choice": 1`, `"choice": "1"`, "whole number, not a string"},
		{"a row's dual value that is a number", `[28, 0, 12]`, `28`, "a list or null"},
	} {
		t.Run(row.name, func(t *testing.T) {
			data := choices(t)
			changed := bytes.Replace(data, []byte(row.old), []byte(row.new), 1)
			if bytes.Equal(changed, data) {
				t.Fatalf("the example has no %q", row.old)
			}
			report, err := Document(context.Background(), changed)
			var input *InputError
			if !errors.As(err, &input) || report.OK() || !strings.Contains(input.Sentence, row.sentence) {
				t.Errorf("got %v, want something with %q", err, row.sentence)
			}
		})
	}
}

// Each row replaces something in the worked example by something that cannot be read.
func TestParseRefuses(t *testing.T) {
	for _, row := range []struct{ name, old, new, sentence string }{
		{"nothing", "", "", "ends too early"},
		{"no JSON", `{
  "format"`, `format`, "not JSON"},
		{"a list", `{
  "format"`, `["format"`, "must be an object"},
		{"another format", `cuts/2`, `cuts/1`, `only "longpoint-cuts/2"`},
		{"an unknown name", `"cost": 25`, `"cost": 25, "price": 25`, `unknown name "price"`},
		{"an unknown name in a kind", `"limit": 1`, `"limits": 1`, `unknown name "limits"`},
		{"an unknown name in an item", `"demand": 3`, `"demand": 3, "name": 1`, `unknown name "name"`},
		{"an unknown name in a pattern", `"count": 1`, `"count": 1, "x": 1`, `unknown name "x"`},
		{"an unknown name in the certificate", `"scale": 2`, `"scale": 2, "x": 1`, `unknown name "x"`},
		{"an unknown name in a leaf", `"limit_dual_values": [0, 14]`, `"limit_dual_values": [0, 14], "x": 1`, `unknown name "x"`},
		{"an unknown name in a branch entry", `"most": 0`, `"most": 0, "x": 1`, `unknown name "x"`},
		{"a name in capitals", `"scale"`, `"Scale"`, `unknown name "Scale"`},
		{"a name twice", `"cost": 25`, `"cost": 25, "cost": 24`, `"cost" twice`},
		{"a name missing", `"cost": 25,`, ``, `lacks "cost"`},
		{"the certificate missing", `"grade": "proven",`, `"grade": "proven"}`, "follows the end|lacks \"certificate\""},
		{"the certificate null", `"certificate": {`, `"certificate": null, "x": {`, "must be an object, not null"},
		{"a float", `"cost": 25`, `"cost": 25.0`, "whole number"},
		{"an exponent", `"cost": 25`, `"cost": 25e0`, "whole number"},
		{"a number in quotes", `"cost": 25`, `"cost": "25"`, "whole number, not a string"},
		{"null for a number", `"cost": 25`, `"cost": null`, "whole number, not null"},
		{"true for a number", `"cost": 25`, `"cost": true`, "whole number, not true"},
		{"past 64 bits", `"cost": 25`, `"cost": 9223372036854775808`, "does not fit"},
		{"far past 64 bits", `"cost": 25`, `"cost": -` + strings.Repeat("9", 500), "does not fit"},
		{"a number for the grade", `"proven"`, `1`, "must be a string"},
		{"null for a list", `[10, 10]`, `null`, "must be a list, not null"},
		{"an object for a list", `[10, 10]`, `{}`, "must be a list"},
		{"an object for holds", `"most": 0`, `"holds": {}, "most": 0`, "must be a list or null"},
		{"a take of one", `[[0, 2]]`, `[[0]]`, "only 1"},
		{"a take of three", `[[0, 2]]`, `[[0, 2, 1]]`, "a third"},
		{"neither most nor least", `"most": 0, `, ``, "one of"},
		{"most and least", `"most": 0`, `"most": 0, "least": 1`, "not both"},
		{"a comma too many", `[10, 10]`, `[10, 10,]`, "not JSON"},
		{"a comma missing", `[10, 10]`, `[10 10]`, "not JSON"},
	} {
		t.Run(row.name, func(t *testing.T) {
			data := worked(t)
			changed := bytes.Replace(data, []byte(row.old), []byte(row.new), 1)
			if row.old == "" {
				changed = nil
			} else if bytes.Equal(changed, data) {
				t.Fatalf("the worked example has no %q", row.old)
			}
			report, err := Document(context.Background(), changed)
			var input *InputError
			if !errors.As(err, &input) || report.OK() {
				t.Fatalf("got %v, want an InputError", err)
			}
			found := false
			for _, sentence := range strings.Split(row.sentence, "|") {
				found = found || strings.Contains(input.Sentence, sentence)
			}
			if !found || input.Line < 1 || input.Column < 1 {
				t.Errorf("got %q, want something with %q", err, row.sentence)
			}
		})
	}
}

func TestParseSaysWhere(t *testing.T) {
	_, err := Parse([]byte("{\n  \"format\": \"longpoint-cuts/2\",\n  \"cost\": 1.5}"))
	var input *InputError
	if !errors.As(err, &input) || input.Line != 3 || input.Column != 14 {
		t.Errorf("got %v, want line 3, column 14", err)
	}
}

func TestParseRefusesWhatFollows(t *testing.T) {
	for _, more := range []string{"{}", "x", "]", "\x00", "1"} {
		if _, err := Parse(append(worked(t), more...)); err == nil {
			t.Errorf("accepted with %q after it", more)
		}
	}
	if _, err := Parse(append(worked(t), " \n\t\r"...)); err != nil {
		t.Errorf("white space after it: %v", err)
	}
}

func TestParseBoundsItsInput(t *testing.T) {
	data := append(worked(t), bytes.Repeat([]byte{' '}, documentLimit)...)
	if _, err := Parse(data[:documentLimit]); err != nil {
		t.Errorf("as large as may be: %v", err)
	}
	if _, err := Parse(data[:documentLimit+1]); err == nil {
		t.Error("a byte more is accepted")
	}
}

// fuzzTime is what one input may take; the fuzzer would call a longer one a hang.
const fuzzTime = time.Second

// What is read is JSON; the outcome is a report or an error, never a panic; and a
// proven plan that is accepted has a bound that meets its cost.
func FuzzDocument(f *testing.F) {
	data := worked(f)
	f.Add(data)
	f.Add(data[:len(data)/2])
	f.Add(choices(f))
	f.Add([]byte(`{"format": "longpoint-cuts/2", "kinds": [{"length": 9, "cost": 5, "only": [0], "limit": 0, "credit": {"keep": 2, "extra": 9223372036854775807, "num": 1, "den": 4611686018427387904}}],
		"items": [{"length": 4, "demand": 0}], "choices": [{"cost": -1, "most": 2, "gives": [[0, 1]], "asks": [[0, 1]], "in": [[0, 1]]}], "rows": [{"least": 1}],
		"patterns": [{"kind": 0, "count": 1, "take": [[0, 1]]}], "chosen": [1], "cost": 3, "lower": -2, "grade": "open",
		"certificate": {"scale": 1, "leaves": [{"branch": [], "dual_values": [0], "limit_dual_values": [0], "row_dual_values": [0]}]}}`))
	f.Add([]byte(`{"format": "longpoint-cuts/2", "kinds": [], "items": [], "patterns": [], "cost": 0, "lower": 0, "grade": "open", "certificate": {"scale": 0, "leaves": []}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		cuts, err := Parse(data)
		if err != nil {
			var input *InputError
			if !errors.As(err, &input) {
				t.Fatalf("the error is no InputError: %v", err)
			}
			return
		}
		if !json.Valid(data) {
			t.Fatal("this is read, but is not JSON")
		}
		ctx, cancel := context.WithTimeout(context.Background(), fuzzTime)
		defer cancel()
		report, err := Verify(ctx, cuts.Instance, cuts.Plan, cuts.Certificate, cuts.Claims)
		if err != nil && report.OK() {
			t.Fatal("not finished, and OK")
		}
		if report.OK() && report.Grade == Proven && (report.Bound != report.Cost || !report.Certified) {
			t.Fatalf("proven with bound %d and cost %d", report.Bound, report.Cost)
		}
	})
}

// TestReadFault has the reading itself fail: that is no fault of the document, and is not called one.
func TestReadFault(t *testing.T) {
	defer func() {
		if recovered := recover(); recovered != "a fault of ours" {
			t.Errorf("recovered: %v", recovered)
		}
	}()
	t.Errorf("it goes on, with %v", read([]byte("{}"), func(*reader) { panic("a fault of ours") }))
}
