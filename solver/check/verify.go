package check

import (
	"context"
	"fmt"
	"math/big"
)

// Claims is what a document says of its plan.
type Claims struct {
	Cost  int64 // of the plan
	Lower int64 // no plan costs less
	Grade Grade
}

// Verify checks a plan and a certificate against an instance and the claims made
// for them. What does not hold is in the report's violations. An error is returned
// only when the check was not finished (ctx ended, or the work passed the limit that
// [UncheckedError] names); the report is then not OK either.
//
// Verify reads its arguments and keeps nothing of them.
func Verify(ctx context.Context, instance Instance, plan Plan, certificate Certificate, claims Claims) (Report, error) {
	v := &verifier{instance: instance, report: Report{Grade: None}}
	if !v.checkInstance() {
		v.report.finished = true
		return v.report, nil
	}
	v.report.Bound = v.figure(v.instance.floor(), "least cost of any plan")
	v.checkPlan(plan)
	if err := v.checkCertificate(ctx, certificate); err != nil {
		v.violate(Unchecked, "certificate", nil, "the check was not finished: %v", err)
		return v.report, err
	}
	v.checkClaims(claims)
	v.report.finished = true
	if v.report.OK() {
		v.report.Grade = claims.Grade
	}
	return v.report, nil
}

// verifier holds the instance and the report while a check goes on.
type verifier struct {
	instance Instance
	report   Report
	// proved gives, by sameDuals, the greatest value of a pattern that was shown where no branch entry says what it
	// holds.
	proved map[string]int64
}

// violate adds a violation. The sentence is finished with the place it happened.
func (v *verifier) violate(code Code, where string, amount *big.Int, format string, values ...any) {
	v.report.Violations = append(v.report.Violations, Violation{
		Code: code, Where: where, Amount: amount,
		Sentence: where + ": " + fmt.Sprintf(format, values...),
	})
}

// checkClaims compares what is claimed with what was recomputed.
func (v *verifier) checkClaims(claims Claims) {
	r := &v.report
	if claims.Cost != r.Cost {
		amount := difference(claims.Cost, r.Cost)
		v.violate(WrongCost, "cost", amount.Abs(amount), "%d is claimed, the plan costs %d", claims.Cost, r.Cost)
	}
	if claims.Lower > r.Cost {
		v.violate(WrongBound, "lower", difference(claims.Lower, r.Cost),
			"%d is claimed as a bound, but the plan itself costs only %d", claims.Lower, r.Cost)
	}
	if claims.Lower > r.Bound {
		v.violate(WrongBound, "lower", difference(claims.Lower, r.Bound),
			"%d is claimed, only %d is certified: the bound is too good by %d",
			claims.Lower, r.Bound, difference(claims.Lower, r.Bound))
	}
	if r.Certified && r.Bound > r.Cost && len(r.Violations) == 0 {
		v.violate(Clash, "certificate", difference(r.Bound, r.Cost),
			"it certifies that no plan costs less than %d, yet this one costs %d: tell the makers of the checker", r.Bound, r.Cost)
	}
	v.checkGrade(claims)
}

// checkGrade refuses a grade better than earned. "searched" and "open" ask no more
// than a bound that holds, and that has been looked at already.
func (v *verifier) checkGrade(claims Claims) {
	switch claims.Grade {
	case Searched, Open:
	case Proven:
		if !v.report.Certified {
			v.violate(WrongGrade, "grade", nil, "\"proven\" is claimed without a certificate that holds")
		}
		if claims.Lower != claims.Cost {
			amount := difference(claims.Cost, claims.Lower)
			v.violate(WrongGrade, "grade", amount.Abs(amount),
				"\"proven\" is claimed, but the bound %d does not meet the cost %d", claims.Lower, claims.Cost)
		}
	default:
		v.violate(WrongGrade, "grade", nil, "%q is no grade; use \"proven\", \"searched\" or \"open\"", claims.Grade)
	}
}
