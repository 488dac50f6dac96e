// Package instances holds the cutting-stock problems that the program is measured on: it reads the text formats in
// which such problems are published, a compact one of our own, and the textbook examples, and it generates CUTGEN1.
//
// An instance is a solver.Problem with a name and with what is known about its least cost. Problems with one kind of
// stick are counted in sticks: their kind costs 1. The package solves nothing.
package instances

import (
	"fmt"

	"longpoint/solver"
)

// Instance is a problem that others can find again. Nobody changes Problem's slices.
type Instance struct {
	Name    string // slash-separated, unique in its class: "scholl1/n1c1w1_a"
	Problem solver.Problem
	Known   Known
}

// Known is what is published about an instance's least cost: Lower ≤ least cost ≤ Upper, both meaningless unless Given.
type Known struct {
	Given        bool
	Lower, Upper int64
}

// Contradiction says how a claimed bound, and the cost of a plan where there is one, clash with what is known; it is
// empty where they agree.
func (k Known) Contradiction(lower int64, hasPlan bool, cost int64) string {
	switch {
	case !k.Given:
		return ""
	case lower > k.Upper:
		return fmt.Sprintf("claimed bound %d, but a plan of cost %d is published", lower, k.Upper)
	case hasPlan && cost < k.Lower:
		return fmt.Sprintf("plan of cost %d, but a bound of %d is published", cost, k.Lower)
	}
	return ""
}

// Pieces is the number of pieces wanted in all.
func (in Instance) Pieces() int64 {
	var n int64
	for _, it := range in.Problem.Items {
		n += it.Demand
	}
	return n
}

// Longest is the length of the longest kind of stick, 0 where there is none: the capacity of a problem with one kind.
func (in Instance) Longest() int64 {
	var l int64
	for _, k := range in.Problem.Kinds {
		l = max(l, k.Length)
	}
	return l
}

// FormatError is an error in a file of instances.
type FormatError struct {
	File string // as the caller named it
	Line int    // from 1; 0 is the file as a whole
	What string // one sentence, no full stop
	Do   string // what to do next
}

// Error gives one line: where, what, what to do.
func (e *FormatError) Error() string {
	at := e.File
	if e.Line > 0 {
		at = fmt.Sprintf("%s:%d", at, e.Line)
	}
	return at + ": " + e.What + "; " + e.Do
}

// oneKind is the problem of cutting items from as few sticks of one length as possible.
func oneKind(length int64, items []solver.Item) solver.Problem {
	return solver.Problem{Items: items, Kinds: []solver.Kind{{Length: length, Cost: 1}}}
}

// validated gives the problem's own error as a FormatError.
func validated(file string, line int, p solver.Problem) error {
	if err := p.Validate(); err != nil {
		return &FormatError{File: file, Line: line, What: err.Error(), Do: "keep lengths and demands positive and within the solver's limits"}
	}
	return nil
}
