//go:build stopglpk

package solver_test

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"

	"longpoint/solver"
	"longpoint/solver/check"
	"longpoint/solver/glpk"
)

var stopSeeds = flag.Uint64("stops", 40, "random problems to solve with GLPK stopped at every call in turn")

// TestGLPKStoppedAtEveryCall solves random problems with the n-th call of GLPK stopped, for every n, and with all calls from the n-th on. Whatever is
// made of that, no plan is cheaper than the cheapest, no bound above it, no certificate wrong, and no grade better than it earned.
func TestGLPKStoppedAtEveryCall(t *testing.T) {
	stops, worse, faults := 0, 0, 0
	for seed := range *stopSeeds {
		r := rand.New(rand.NewPCG(seed, 61))
		p := choiceProblem(r)
		switch seed % 4 {
		case 0:
			p = workshopProblem(r)
		case 1:
			p = creditsLotsBundles(r)
		}
		end := glpk.StopAt(0, glpk.Spent, false)
		whole, err := solver.Solve(t.Context(), p, solver.Options{})
		calls := end()
		if err != nil || whole.Status != solver.Certified && whole.Status != solver.Infeasible {
			t.Fatalf("seed %d: %v, %v", seed, whole.Status, err)
		}
		for n := 1; n <= min(calls, 150); n++ {
			for how := glpk.LostBasis; how <= glpk.Faulted; how++ {
				for _, all := range []bool{false, true} {
					end := glpk.StopAt(n, how, all)
					got, err := solver.Solve(t.Context(), p, solver.Options{NodeLimit: 20 + 2*whole.Nodes})
					end()
					stops++
					switch why := wrongAfterStop(t, p, whole, got, err, how); {
					case why != "":
						t.Fatalf("seed %d, call %d of %d stopped with %d, all after it %v: %s", seed, n, calls, how, all, why)
					case err != nil:
						faults++
					case got.Status == solver.Stopped:
						worse++
					}
				}
			}
		}
	}
	t.Logf("%d stops: %d made the grade worse, %d were told as a fault", stops, worse, faults)
	if worse < stops/20 || faults < stops/20 {
		t.Errorf("%d stops: %d made the grade worse, %d were told as a fault: the test says too little", stops, worse, faults)
	}
}

// wrongAfterStop says what is wrong about an answer, the right one being known; empty: nothing.
func wrongAfterStop(t *testing.T, p solver.Problem, whole, got solver.Result, err error, how glpk.Stop) string {
	switch {
	case err != nil && how == glpk.Faulted && errors.Is(err, glpk.ErrFault):
		return ""
	case err != nil:
		return err.Error()
	case got.Status == solver.Infeasible && whole.Status != solver.Infeasible:
		return "it says that there is no plan"
	case got.HasPlan && (whole.Status == solver.Infeasible || got.Cost < whole.Cost):
		return fmt.Sprintf("a plan at %d, below the cheapest at %d", got.Cost, whole.Cost)
	case whole.HasPlan && (got.LowerBound > whole.Cost || got.CertifiedBound > got.LowerBound):
		return fmt.Sprintf("bound %d, certified %d, the cheapest costs %d", got.LowerBound, got.CertifiedBound, whole.Cost)
	case (got.Status == solver.Certified || got.Status == solver.Searched) && got.Cost != whole.Cost:
		return fmt.Sprintf("%v at %d in place of %d", got.Status, got.Cost, whole.Cost)
	case !got.HasPlan:
		return ""
	}
	document, err := solver.Document(p, got)
	if err != nil {
		return err.Error()
	}
	report, err := check.Document(t.Context(), document)
	if err != nil || !report.OK() {
		return fmt.Sprintf("refused: %v %v", err, report)
	}
	return ""
}
