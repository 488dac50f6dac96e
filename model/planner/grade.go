package planner

import (
	"context"
	"errors"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// checkTime is how long the verifier may take for one profile. It has its own clock so that a plan in hand is still
// checked after an interrupt; a check takes milliseconds for a workshop's profile.
const checkTime = 10 * time.Second

// proof is what is known of a joint problem's cost.
type proof struct {
	cuts       []byte
	bound, gap model.Money
	grade      plan.Grade
	reason     string // why the grade is not Proven
	unchecked  bool   // the verifier did not finish
}

// RefusedCertificate begins the reason why a plan is open whose certificate the verifier refused.
const RefusedCertificate = "the checker refused the certificate of its search, which is a fault of ours"

// refusal is the error for what a verifier refuses.
type refusal struct{ why error }

func (r *refusal) Error() string { return r.why.Error() }

// reason is why a plan is open that another one's certificate, or another plan, was refused for.
func (r *refusal) reason() string { return RefusedCertificate + ": " + r.Error() }

// grade has the plan verified and grades it: the worse of what the search claims and what the verifier accepts. What the verifier refuses is
// a *refusal.
func (jp *jointProblem) grade(ctx context.Context, cuts []byte, cost model.Money, r solver.Result, verify plan.Verifier) (proof, error) {
	bound, earned, reason, unchecked := model.Money(r.CertifiedBound), plan.Open, "the certificate has not been checked", false
	if verify != nil {
		clock, stop := context.WithTimeout(context.WithoutCancel(ctx), checkTime)
		defer stop()
		grade, lower, err := verify(clock, cuts)
		switch {
		case err == nil:
			bound, earned, reason = model.Money(lower), plan.Grade(grade), r.Reason
		case errors.Is(err, context.DeadlineExceeded):
			reason, unchecked = timeUp+" before its certificate was checked", true
		case errors.Is(err, plan.ErrUnchecked), clock.Err() != nil:
			reason, unchecked = "the certificate could not be checked: "+err.Error(), true
		default:
			return proof{}, &refusal{err}
		}
	}
	p := proof{cuts: cuts, bound: max(0, min(bound, cost)), unchecked: unchecked}
	p.gap = cost - p.bound
	p.grade = claim(r.Status).Worse(earned)
	if p.grade == plan.Proven && p.gap != 0 {
		p.grade = plan.Searched
	}
	if p.grade != plan.Proven {
		p.reason = reason
		if p.reason == "" {
			p.reason = "part of the search has no certificate"
		}
	}
	return p, nil
}

// weaker tries the plan of which a certificate was refused again with less proof: the root's of a new search, and none at all. It is open then.
func (jp *jointProblem) weaker(ctx context.Context, f found, refused *refusal, verify plan.Verifier) (proof, error) {
	clock, stop := context.WithTimeout(context.WithoutCancel(ctx), checkTime)
	defer stop()
	root, err := solver.Solve(clock, jp.problem, solver.Options{NodeLimit: 1})
	if err != nil || len(root.Certificate.Leaves) == 0 {
		root = solver.Result{}
	}
	for _, known := range []solver.Result{root, {Certificate: jp.noProof()}} {
		if len(known.Certificate.Leaves) == 0 {
			continue
		}
		r := f.result
		r.Status, r.Unfinished, r.Certificate, r.CertifiedBound = solver.Stopped, false, known.Certificate, min(known.CertifiedBound, r.Cost)
		r.LowerBound, r.Reason = r.CertifiedBound, refused.reason()
		cuts, err := solver.Document(jp.problem, r)
		if err != nil {
			continue
		}
		if p, err := jp.grade(ctx, cuts, f.cost, r, verify); err == nil {
			return p, nil
		}
	}
	return proof{}, refused
}

// noProof is a certificate of the bound 0: all dual values are 0.
func (jp *jointProblem) noProof() solver.Certificate {
	return solver.Certificate{Scale: 1, Leaves: []solver.Leaf{{DualValues: make([]int64, len(jp.problem.Items)),
		LimitDualValues: make([]int64, len(jp.problem.Kinds)), RowDualValues: make([]int64, len(jp.problem.Rows))}}}
}

// firstFitInstead gives first-fit's plan in place of one that the verifier refuses, open, with what the verifier accepts of a bound: where it refuses that
// too, the bound is 0. False: first-fit has none.
func (jp *jointProblem) firstFitInstead(ctx context.Context, refused *refusal, verify plan.Verifier) (found, proof, bool) {
	f := found{firstFit: jp.firstFit()}
	_, choices := jp.patternsAndChoices(f.firstFit.solutions)
	if !f.firstFit.complete() || !jp.allowed(f.firstFit.solutions, choices) {
		return found{}, proof{}, false
	}
	f.solutions = f.firstFit.solutions
	f.result = jp.restated(solver.Result{HasPlan: true, Status: solver.Stopped, Reason: refused.reason(), Certificate: jp.noProof()}, f.solutions)
	f.cost = model.Money(f.result.Cost)
	p, err := jp.weaker(ctx, f, refused, verify)
	if err != nil {
		cuts, err := solver.Document(jp.problem, f.result)
		if err != nil {
			return found{}, proof{}, false
		}
		p = proof{cuts: cuts, gap: f.cost, grade: plan.Open, reason: refused.reason()}
	}
	return f, p, true
}

// claim is the grade that the search claims.
func claim(s solver.Status) plan.Grade {
	switch s {
	case solver.Certified:
		return plan.Proven
	case solver.Searched:
		return plan.Searched
	}
	return plan.Open
}
