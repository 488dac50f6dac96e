package planner

import (
	"context"
	"slices"
	"time"

	"longpoint/solver"
)

// Of plans that cost the same the one that opens fewest sticks is wanted. Where a table says that there may be one with fewer, the
// problem is solved again with every stick a little dearer: all of them together by less than one minor unit. The new plan is taken
// only if it costs the same money. The certificate is about the cost, so it stays.

const (
	fewerNodes = 50          // of the second search
	fewerTime  = time.Second // likewise, for the rare case that so many nodes take longer
	fewerTable = 4_000_000   // steps of the table by which it is seen whether a plan with fewer sticks can cost the same
)

// fewerSticks gives the patterns of a plan of the same cost with fewer sticks, or the result's own where it finds none.
func (jp *jointProblem) fewerSticks(ctx context.Context, r solver.Result) []solver.Pattern {
	if r.Status != solver.Certified && r.Status != solver.Searched || !jp.mayBeFewer(r) {
		return r.Patterns
	}
	sticks := sticksIn(r.Patterns)
	scale := sticks + 1
	p := jp.problem
	p.Kinds = slices.Clone(p.Kinds)
	for k := range p.Kinds {
		if p.Kinds[k].Cost > (solver.MaxCost-1)/scale {
			return r.Patterns
		}
		p.Kinds[k].Cost = p.Kinds[k].Cost*scale + 1
	}
	other, err := solver.Solve(ctx, p, solver.Options{NodeLimit: fewerNodes, TimeLimit: fewerTime})
	if err == nil && other.HasPlan && jp.cost(other.Patterns, nil) == r.Cost && sticksIn(other.Patterns) < sticks {
		return other.Patterns
	}
	return r.Patterns // the plan at hand is as cheap as any
}

func sticksIn(patterns []solver.Pattern) (sticks int64) {
	for _, p := range patterns {
		sticks += p.Count
	}
	return sticks
}

// mayBeFewer says whether fewer sticks can have the same cost and together be long enough for all sides. It says no for problems with
// choices or credits, and for those whose table would be too large.
func (jp *jointProblem) mayBeFewer(r solver.Result) bool {
	p, sticks, cost := jp.problem, sticksIn(r.Patterns), r.Cost
	step := cost // all costs are multiples of it
	rounds := int64(0)
	for _, k := range p.Kinds {
		if k.Credit.Num > 0 {
			return false
		}
		step = gcd(step, k.Cost)
		if rounds++; k.Limited {
			rounds += min(k.Limit, sticks)
		}
	}
	if len(p.Choices) > 0 || cost == 0 || step == 0 || sticks < 2 {
		return false
	}
	cells := cost/step + 1
	if cells > fewerTable/sticks/rounds {
		return false
	}
	var need int64
	for _, it := range p.Items {
		need += it.Length * it.Demand
	}
	// longest[n][c] is the greatest length in sum of n sticks that cost c steps; 0 where there are none such
	longest := make([][]int64, sticks)
	for n := range longest {
		longest[n] = make([]int64, cells)
	}
	for _, k := range p.Kinds {
		if k.Limited {
			addUpTo(longest, k.Length, k.Cost/step, k.Limit)
		} else {
			addAny(longest, k.Length, k.Cost/step)
		}
	}
	for n := int64(1); n < sticks; n++ {
		if longest[n][cells-1] >= need {
			return true
		}
	}
	return false
}

// addAny adds a kind to the table, of which any number of sticks may be used.
func addAny(longest [][]int64, length, cost int64) {
	for n := 1; n < len(longest); n++ {
		for c := cost; c < int64(len(longest[n])); c++ {
			if before := longest[n-1][c-cost]; before > 0 || n == 1 && c == cost {
				longest[n][c] = max(longest[n][c], before+length)
			}
		}
	}
}

// addUpTo adds a kind to the table, of which at most so many sticks may be used.
func addUpTo(longest [][]int64, length, cost, most int64) {
	for n := int64(len(longest)) - 1; n >= 1; n-- {
		for c := range longest[n] {
			for many := int64(1); many <= min(n, most) && many*cost <= int64(c); many++ {
				if before := longest[n-many][int64(c)-many*cost]; before > 0 || n == many && int64(c) == many*cost {
					longest[n][c] = max(longest[n][c], before+many*length)
				}
			}
		}
	}
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
