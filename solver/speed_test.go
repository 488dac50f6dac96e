package solver_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"longpoint/solver"
)

// speedProblem is a random problem of so many lengths and kinds of stick, the same for a seed at all times, so that releases can be compared.
func speedProblem(seed uint64, lengths, kinds int) solver.Problem {
	r := rand.New(rand.NewPCG(seed, 50))
	var p solver.Problem
	for k := range kinds {
		length := int64(2400 + 300*k)
		p.Kinds = append(p.Kinds, solver.Kind{Length: length, Cost: length + r.Int64N(200)})
	}
	for range lengths {
		p.Items = append(p.Items, solver.Item{Length: 200 + r.Int64N(1000), Demand: 1 + r.Int64N(20)})
	}
	return p
}

// BenchmarkSolve solves problems to a proof, or for a second each. It uses what every release has.
func BenchmarkSolve(b *testing.B) {
	for _, size := range []struct{ lengths, kinds int }{{10, 1}, {20, 2}, {40, 1}, {60, 1}} {
		b.Run(fmt.Sprintf("%d lengths, %d kinds", size.lengths, size.kinds), func(b *testing.B) {
			var problems []solver.Problem
			for seed := range uint64(4) {
				problems = append(problems, speedProblem(seed, size.lengths, size.kinds))
			}
			for b.Loop() {
				for _, p := range problems {
					if _, err := solver.Solve(b.Context(), p, solver.Options{TimeLimit: time.Second}); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
