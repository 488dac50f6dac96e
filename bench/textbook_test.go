package main

import (
	"context"
	"testing"
	"time"

	"longpoint/bench/instances"
	"longpoint/solver"
	"longpoint/solver/check"
)

// relative is how far two values of a relaxation may lie apart, as a share of them: the solver works with GLPK, whose
// tolerances are a tenth of that.
const relative = 1e-6

// The textbook examples: optimum, certificate and relaxation, each held against what was found elsewhere.
func TestTextbookExamples(t *testing.T) {
	examples, err := instances.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	if len(examples) != 29 {
		t.Fatalf("%d examples", len(examples))
	}
	for _, e := range examples {
		t.Run(e.ID, func(t *testing.T) {
			relaxation, _ := e.RelaxationWithinDemand.Float64()
			r, err := solver.Solve(context.Background(), e.Problem, solver.Options{TimeLimit: time.Minute})
			if err != nil {
				t.Fatal(err)
			}
			if r.Status != solver.Certified || r.Cost != e.Optimum || r.CertifiedBound != e.Optimum || r.LowerBound != e.Optimum {
				t.Errorf("%v, cost %d, lower %d, certified %d; the optimum is %d", r.Status, r.Cost, r.LowerBound, r.CertifiedBound, e.Optimum)
			}
			if least := relaxation * (1 - relative); r.RootBound < least || r.RootBound > float64(e.Optimum)*(1+relative) {
				t.Errorf("the root's relaxation is %v, not between %v and %d", r.RootBound, relaxation, e.Optimum)
			}
			document, err := solver.Document(e.Problem, r)
			if err != nil {
				t.Fatal(err)
			}
			report, err := check.Document(context.Background(), document)
			if err != nil || !report.OK() || report.Grade != check.Proven || report.Bound != e.Optimum || report.Cost != e.Optimum {
				t.Errorf("the checker says %v, %v", report, err)
			}
			// A search stopped at the root claims no more than is true, and proves no more than it claims.
			r, err = solver.Solve(context.Background(), e.Problem, solver.Options{TimeLimit: time.Minute, NodeLimit: 1})
			if err != nil || r.CertifiedBound > r.LowerBound || r.LowerBound > e.Optimum || r.HasPlan && r.Cost < e.Optimum {
				t.Errorf("at the root alone: %v, cost %d, lower %d, certified %d, %v; the optimum is %d", r.Status, r.Cost, r.LowerBound, r.CertifiedBound, err, e.Optimum)
			}
		})
	}
}
