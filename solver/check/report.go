package check

import (
	"fmt"
	"math/big"
	"strings"
)

// Code says what sort of violation one is. The words are stable: programs may
// compare them.
type Code string

// The violations there are.
const (
	OutOfRange     Code = "range"     // a number that can never stand there
	BadIndex       Code = "index"     // a kind, an item, a choice or a row that does not exist
	Repeated       Code = "repeat"    // named twice where once is allowed
	TooLong        Code = "too-long"  // a stick that is to give more than it holds
	Barred         Code = "only"      // an item on a stick that may not hold it
	OverLimit      Code = "limit"     // more sticks of a kind than there are, or a choice made too often
	Short          Code = "short"     // a demand that is not met
	Surplus        Code = "surplus"   // more cut than was asked for
	RowShort       Code = "row"       // choices that do not come to what a row asks for
	WrongCost      Code = "cost"      // the claimed cost is not the plan's
	WrongVector    Code = "vector"    // a list that must have one entry an item, a kind, a choice or a row, and has not
	WrongSign      Code = "sign"      // a dual value of the wrong sign, or of a limit that there is not
	WrongTree      Code = "tree"      // leaves that do not cover everything, each thing once
	WrongMixes     Code = "mixes"     // numbers of sticks that nothing excludes
	DualInfeasible Code = "dual"      // a pattern whose dual value exceeds its cost
	WrongBound     Code = "bound"     // a lower bound better than certified, or above the cost
	WrongGrade     Code = "grade"     // a grade better than earned, or one there is not
	Clash          Code = "clash"     // a valid plan below a certified bound: the checker itself must be wrong
	TooLarge       Code = "too-large" // numbers past what is computed exactly
	Unchecked      Code = "unchecked" // not finished: stopped, or more work than allowed
)

// Grade is how well a plan is known to be the cheapest.
type Grade string

// The grades there are.
const (
	Proven   Grade = "proven"   // the certified bound meets the cost
	Searched Grade = "searched" // the solver's search says so; the certified bound may be lower
	Open     Grade = "open"     // stopped early; the certified bound is what is known
	None     Grade = "none"     // not accepted; never in a document
)

// Violation is one thing that is not as it must be.
type Violation struct {
	Code     Code
	Where    string   // for example "pattern 3" or "leaf 2, kind 1"; all counted from 0
	Amount   *big.Int // by how much; nil where no amount says anything
	Sentence string   // what, where and how much, for a person
}

// Report is what a check found. The zero Report is not OK.
type Report struct {
	Violations []Violation

	// Recomputed from the plan alone; zero where they could not be.
	Cost        int64 // of the plan, credits taken off
	Sticks      int64 // used
	CutLength   int64 // Σ of the lengths cut
	StickLength int64 // Σ of the lengths of the sticks used; the yield is CutLength / StickLength
	Waste       int64 // StickLength − CutLength

	// Certified says that the certificate holds; Bound is then the least cost of any
	// plan that it proves. Otherwise Bound is what holds without any: 0, because no stick costs
	// less, and less than that by what the choices of negative cost can earn at most.
	Certified bool
	Bound     int64

	// Grade is the claimed grade if everything holds, otherwise None.
	Grade Grade

	finished bool
}

// OK says that everything was checked and nothing was found.
func (r Report) OK() bool { return r.finished && len(r.Violations) == 0 }

// Has says whether a violation with this code was found.
func (r Report) Has(code Code) bool {
	for _, violation := range r.Violations {
		if violation.Code == code {
			return true
		}
	}
	return false
}

// String gives the report as lines for a person.
func (r Report) String() string {
	var text strings.Builder
	for _, violation := range r.Violations {
		fmt.Fprintf(&text, "%s: %s\n", violation.Code, violation.Sentence)
	}
	if r.OK() {
		fmt.Fprintf(&text, "accepted as %s: cost %d, certified bound %d, %d sticks, %d of %d cut\n",
			r.Grade, r.Cost, r.Bound, r.Sticks, r.CutLength, r.StickLength)
	} else if len(r.Violations) == 0 {
		text.WriteString("not checked\n")
	}
	return text.String()
}

// at writes a place: at("leaf", 2, "kind", 1) is "leaf 2, kind 1".
func at(parts ...any) string {
	var text strings.Builder
	for i, part := range parts {
		switch {
		case i == 0:
		case i%2 == 0:
			text.WriteString(", ")
		default:
			text.WriteString(" ")
		}
		fmt.Fprint(&text, part)
	}
	return text.String()
}
