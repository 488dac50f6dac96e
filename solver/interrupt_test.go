package solver_test

import (
	"context"
	"testing"

	"longpoint/solver"
)

// counted is a context that ends once it was looked at so often, whatever the time.
type counted struct {
	context.Context
	left *int
}

func (c counted) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestInterruptedAtEveryLook interrupts searches wherever they look whether to go on, each time from the start. What was found by then is not called more than
// it is.
func TestInterruptedAtEveryLook(t *testing.T) {
	for name, p := range map[string]solver.Problem{"rack": racked(6, 4, 5), "market": market(25)} {
		t.Run(name, func(t *testing.T) {
			whole, err := solver.Solve(context.Background(), p, solver.Options{})
			if err != nil || whole.Status != solver.Certified {
				t.Fatal(whole.Status, err)
			}
			nodes, looks := map[int]bool{}, 0
			for ; ; looks++ {
				left := looks
				x, err := solver.NewSearch(p)
				if err != nil {
					t.Fatal(err)
				}
				got, err := x.Run(counted{context.Background(), &left}, solver.Options{})
				if err != nil {
					t.Fatal(err)
				}
				if left >= 0 {
					if got.Status != whole.Status || got.Cost != whole.Cost {
						t.Errorf("to the end: %v at %d", got.Status, got.Cost)
					}
					break
				}
				nodes[got.Nodes] = true
				if got.Status == solver.Certified && got.Cost == whole.Cost {
					continue
				}
				if got.Status != solver.Stopped || got.LowerBound > whole.Cost || got.Reason != "the search was interrupted" {
					t.Fatalf("after %d looks: %v at %d, bound %d, %q; the end is %d", looks, got.Status, got.Cost, got.LowerBound, got.Reason, whole.Cost)
				}
			}
			t.Logf("%d looks, %d nodes, interrupted at %d of them", looks, whole.Nodes, len(nodes))
		})
	}
}
