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
}

// grade has the plan verified and grades it: the worse of what the search claims and what the verifier accepts. A plan that the verifier
// rejects is a fault of ours and is not given out, because the plan itself may be wrong.
func (jp *jointProblem) grade(ctx context.Context, cuts []byte, cost model.Money, r solver.Result, verify plan.Verifier) (proof, error) {
	bound, earned, reason := model.Money(r.CertifiedBound), plan.Open, "the certificate has not been checked"
	if verify != nil {
		clock, stop := context.WithTimeout(context.WithoutCancel(ctx), checkTime)
		defer stop()
		grade, lower, err := verify(clock, cuts)
		switch {
		case err == nil:
			bound, earned, reason = model.Money(lower), plan.Grade(grade), r.Reason
		case errors.Is(err, plan.ErrUnchecked), clock.Err() != nil:
			reason = "the certificate could not be checked: " + err.Error()
		default:
			return proof{}, jp.fault("the checker rejects the plan", err)
		}
	}
	p := proof{cuts: cuts, bound: max(0, min(bound, cost))}
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
