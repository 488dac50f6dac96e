package solver_test

import (
	"math/rand/v2"
	"testing"

	"longpoint/solver"
	"longpoint/solver/check"
)

// TestEnough ends searches at a bound that is asked for: at least so much is certified then, or a cheapest plan is; no more is
// claimed than a plan costs, and the checker accepts the certificate.
func TestCutoff(t *testing.T) {
	ended, sooner := 0, 0
	for seed := range uint64(400) {
		p := choiceProblem(rand.New(rand.NewPCG(seed, 21)))
		whole, err := solver.Solve(t.Context(), p, solver.Options{})
		if err != nil {
			t.Fatalf("seed %d: %s", seed, err)
		}
		if whole.Status != solver.Certified || whole.Cost < 10 {
			continue
		}
		for _, enough := range []int64{1, whole.Cost / 2, whole.Cost - 3, whole.Cost, whole.Cost + 5} {
			r, err := solver.Solve(t.Context(), p, solver.Options{Cutoff: enough})
			if err != nil {
				t.Fatalf("seed %d, enough %d: %s", seed, enough, err)
			}
			switch {
			case r.HasPlan && r.Cost < whole.Cost || r.LowerBound > whole.Cost || r.CertifiedBound > r.LowerBound:
				t.Errorf("seed %d, enough %d: %d, at least %d, %d of it certified; a cheapest plan costs %d", seed, enough, r.Cost, r.LowerBound, r.CertifiedBound, whole.Cost)
			case r.Status == solver.Certified && r.Cost != whole.Cost || r.Status == solver.Infeasible:
				t.Errorf("seed %d, enough %d: %v at %d instead of %d", seed, enough, r.Status, r.Cost, whole.Cost)
			case r.Status == solver.Stopped && r.HasPlan && r.CertifiedBound < min(enough, whole.Cost):
				t.Errorf("seed %d: %d certified, and %d was enough", seed, r.CertifiedBound, enough)
			}
			if r.Status == solver.Stopped {
				ended++
			}
			if r.Nodes < whole.Nodes {
				sooner++
			}
			if !r.HasPlan {
				continue
			}
			cuts, err := solver.Document(p, r)
			if err != nil {
				t.Fatal(err)
			}
			report, err := check.Document(t.Context(), cuts)
			if err != nil || !report.OK() || report.Bound < r.CertifiedBound {
				t.Errorf("seed %d, enough %d: the checker says %d, %v", seed, enough, report.Bound, err)
			}
		}
	}
	if ended < 100 || sooner < 20 {
		t.Errorf("%d searches ended early, %d with fewer nodes: that tests little", ended, sooner)
	}
	t.Logf("%d ended early, %d with fewer nodes", ended, sooner)
}
