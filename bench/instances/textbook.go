package instances

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/big"

	"longpoint/solver"
)

// textbookFormat is the format named in the file of textbook examples.
const textbookFormat = "longpoint-textbook/1"

// Example is a small example from a textbook, a manual or a paper, with what its source says and what was recomputed.
// The relaxations were recomputed over all patterns with GLPK 5.0, the optimum with two general integer programs.
type Example struct {
	ID                     string
	Source                 string
	SourceSeen             string // what of the source was seen itself, and what is from memory
	Published              string // the answer printed there
	PublishedMatches       *bool  // whether it agrees with Optimum; nil where no answer was seen
	Exact                  bool   // the source wants every demand met exactly, not at least
	Problem                solver.Problem
	Relaxation             *big.Rat // value of the linear relaxation, patterns being free to exceed the demand
	RelaxationWithinDemand *big.Rat // the same, no pattern holding more of an item than its demand
	Optimum                int64    // least cost
	Note                   string
}

// Instance gives the example as an instance called textbook/id.
func (e Example) Instance() Instance {
	return Instance{
		Name:    "textbook/" + e.ID,
		Problem: e.Problem,
		Known:   Known{Given: true, Lower: e.Optimum, Upper: e.Optimum},
	}
}

// ReadTextbook reads the examples of testdata/textbook.json. Unknown fields and text after the end are errors.
func ReadTextbook(r io.Reader, file string) ([]Example, error) {
	data, err := readBounded(r, file)
	if err != nil {
		return nil, err
	}
	fail := func(what string) ([]Example, error) {
		return nil, &FormatError{File: file, What: what, Do: "see testdata/README.md for the form of the examples"}
	}
	var text struct {
		Format   string        `json:"format"`
		Examples []exampleText `json:"examples"`
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&text); err != nil {
		return fail(err.Error())
	}
	if _, err := d.Token(); err != io.EOF {
		return fail("text after the end")
	}
	if text.Format != textbookFormat {
		return fail(fmt.Sprintf("format %q is not %s", text.Format, textbookFormat))
	}
	seen := map[string]bool{}
	var examples []Example
	for _, t := range text.Examples {
		e, err := t.example()
		if err != nil {
			return fail(fmt.Sprintf("example %q: %v", t.ID, err))
		}
		if seen[e.ID] {
			return fail(fmt.Sprintf("a second example %q", e.ID))
		}
		seen[e.ID] = true
		examples = append(examples, e)
	}
	return examples, nil
}

// exampleText is an example as it is written: pairs are length and cost, and length and demand.
type exampleText struct {
	ID                     string     `json:"id"`
	Source                 string     `json:"source"`
	SourceSeen             string     `json:"source_seen"`
	Published              string     `json:"published"`
	PublishedMatches       *bool      `json:"published_matches"`
	Cover                  string     `json:"cover"`
	Kinds                  [][2]int64 `json:"kinds"`
	Items                  [][2]int64 `json:"items"`
	Relaxation             string     `json:"relaxation"`
	RelaxationWithinDemand string     `json:"relaxation_within_demand"`
	Optimum                int64      `json:"optimum"`
	Note                   string     `json:"note"`
}

// example checks what is written and gives it as an Example.
func (t exampleText) example() (Example, error) {
	e := Example{
		ID: t.ID, Source: t.Source, SourceSeen: t.SourceSeen, Published: t.Published, PublishedMatches: t.PublishedMatches,
		Exact: t.Cover == "exact", Optimum: t.Optimum, Note: t.Note,
	}
	if t.ID == "" || t.Source == "" || t.SourceSeen == "" {
		return e, fmt.Errorf("id, source or source_seen is missing")
	}
	if t.Cover != "exact" && t.Cover != "at least" {
		return e, fmt.Errorf("cover %q is neither \"exact\" nor \"at least\"", t.Cover)
	}
	for _, k := range t.Kinds {
		e.Problem.Kinds = append(e.Problem.Kinds, solver.Kind{Length: k[0], Cost: k[1]})
	}
	for _, it := range t.Items {
		e.Problem.Items = append(e.Problem.Items, solver.Item{Length: it[0], Demand: it[1]})
	}
	var free, within bool
	e.Relaxation, free = new(big.Rat).SetString(t.Relaxation)
	e.RelaxationWithinDemand, within = new(big.Rat).SetString(t.RelaxationWithinDemand)
	if !free || !within {
		return e, fmt.Errorf("a relaxation is not a fraction")
	}
	optimum := new(big.Rat).SetInt64(t.Optimum)
	if e.Relaxation.Cmp(e.RelaxationWithinDemand) > 0 || e.RelaxationWithinDemand.Cmp(optimum) > 0 {
		return e, fmt.Errorf("a relaxation is above what it bounds")
	}
	return e, e.Problem.Validate()
}
