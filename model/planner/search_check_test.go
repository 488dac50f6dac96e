package planner

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"longpoint/model/plan"
	"longpoint/solver"
	"longpoint/solver/check"
)

// TestTried: where there was no time for a certificate, the one that was accepted during the search stands beside the plan.
func TestTried(t *testing.T) {
	p := solver.Problem{Items: []solver.Item{{Length: 4, Demand: 3}}, Kinds: []solver.Kind{{Length: 9, Cost: 10}}}
	first, err := solver.Solve(t.Context(), p, solver.Options{})
	if err != nil || first.Cost != 20 {
		t.Fatalf("%+v, %v", first, err)
	}
	first.Status = solver.Stopped // as a search that goes on tells it
	cuts, err := solver.Document(p, first)
	if err != nil {
		t.Fatal(err)
	}
	dearer := first
	dearer.Cost, dearer.Patterns = 30, []solver.Pattern{{Kind: 0, Count: 3, Take: []solver.Take{{Item: 0, Quantity: 1}}}}
	accepted := tried{numbers: 10, cuts: cuts, bound: 20}
	for name, c := range map[string]struct {
		tried     tried
		unchecked bool
		bound     int64 // in the end
	}{
		"checked":        {accepted, false, 25},
		"nothing before": {tried{}, true, 25},
		"accepted":       {accepted, true, 20},
	} {
		got := proof{bound: 25, gap: 5, grade: plan.Open, unchecked: c.unchecked}
		c.tried.instead(&got, found{result: dearer, cost: 30})
		if int64(got.bound) != c.bound || got.gap != 30-got.bound || (got.cuts != nil) != (name == "accepted") {
			t.Errorf("%s: %+v", name, got)
		}
		if got.cuts == nil {
			continue
		}
		report, err := check.Document(t.Context(), got.cuts)
		if err != nil || report.Cost != 30 || report.Bound != 20 || len(report.Violations) > 0 {
			t.Errorf("%s: %v, %v", name, report, err)
		}
	}
}

// TestPace: what is known of a profile's own certificate counts, and else what is known of all.
func TestPace(t *testing.T) {
	k := NewKnown()
	if got := k.checkOf("oak", 10); got != 10*firstCheck {
		t.Errorf("at first %v", got)
	}
	k.noteCheck("oak", 10, time.Second)
	if got := k.checkOf("oak", 20); got != 3*time.Second {
		t.Errorf("twice as many numbers take %v", got)
	}
	if got := k.checkOf("ash", 10); got < 10*firstCheck || got > time.Second {
		t.Errorf("of another profile %v", got)
	}
}

// TestVerifierEndsInTime: the verifier is told to end with the command, and what it has not looked at by then is unchecked.
func TestVerifierEndsInTime(t *testing.T) {
	for _, limit := range []time.Duration{time.Millisecond, time.Second, time.Hour} {
		begun := time.Now()
		o := Options{TimeLimit: limit, Verify: func(ctx context.Context, _ []byte) (string, int64, error) {
			if end, ok := ctx.Deadline(); !ok || end.After(time.Now().Add(limit+max(leastCheck, limit/lateCheck))) || end.Before(begun.Add(leastCheck)) {
				t.Errorf("limit %v: until %v, %t", limit, end.Sub(begun), ok)
			}
			return "", 0, errors.New("wrong")
		}}.begin()
		if _, _, err := o.Verify(t.Context(), nil); err == nil || err.Error() != "wrong" {
			t.Errorf("limit %v: %v", limit, err)
		}
	}
	o := Options{TimeLimit: time.Millisecond, Verify: func(ctx context.Context, _ []byte) (string, int64, error) {
		<-ctx.Done()
		return "", 0, ctx.Err()
	}}.begin()
	if _, _, err := o.Verify(t.Context(), nil); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v", err)
	}
	jp := &jointProblem{}
	if p, err := jp.grade(t.Context(), nil, 30, solver.Result{Status: solver.Certified, CertifiedBound: 30}, o.Verify); err != nil || !p.unchecked || p.grade != plan.Open || !strings.Contains(p.reason, "time limit") {
		t.Errorf("%+v, %v", p, err)
	}
}
