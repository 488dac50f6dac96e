package solver_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"longpoint/solver"
	"longpoint/solver/check"
	"longpoint/solver/glpk"
)

// workshopProblem draws a small workshop problem: 1 to 12 side lengths, 1 to 4 kinds of stick, at odd prices, some of
// them few. In about one of eight nothing can be bought, so that the sticks may not suffice.
func workshopProblem(r *rand.Rand) solver.Problem {
	var p solver.Problem
	unit := []int64{1, 10, 396_875, 1_000_000}[r.IntN(4)]
	toBuy := r.IntN(8) > 0
	longest := int64(0)
	for n := range 1 + r.IntN(4) {
		k := solver.Kind{Length: unit * (40 + r.Int64N(80)), Cost: 1 + r.Int64N(3000)}
		if n == 0 && toBuy {
			longest = k.Length
			p.Kinds = append(p.Kinds, k)
			continue
		}
		switch r.IntN(4) {
		case 0, 1: // valued by length, as offcuts are
			k.Cost = 17 * k.Length / unit
			k.Limited, k.Limit = true, r.Int64N(4)
		case 2:
			k.Cost = max(0, k.Cost-500)
			k.Limited, k.Limit = true, 1+r.Int64N(9)
		}
		if !toBuy {
			k.Limited, k.Limit = true, 2+r.Int64N(9)
		}
		if !k.Limited || !toBuy {
			longest = max(longest, k.Length)
		}
		p.Kinds = append(p.Kinds, k)
	}
	r.Shuffle(len(p.Kinds), func(a, b int) { p.Kinds[a], p.Kinds[b] = p.Kinds[b], p.Kinds[a] })
	seen := map[int64]bool{}
	for range 1 + r.IntN(12) {
		l := unit * (12 + r.Int64N(longest/unit-11))
		if r.IntN(3) > 0 {
			l = max(unit*12, l/2)
		}
		if !seen[l] {
			seen[l] = true
			p.Items = append(p.Items, solver.Item{Length: l, Demand: 1 + r.Int64N(5)})
		}
	}
	return p
}

// patternsOf lists every pattern of every kind that no piece could be added to.
func patternsOf(p solver.Problem, most int) (list []solver.Pattern, ok bool) {
	for k, kind := range p.Kinds {
		take := make([]int64, len(p.Items))
		var walk func(i int, room int64) bool
		walk = func(i int, room int64) bool {
			if i == len(p.Items) {
				for j, it := range p.Items {
					if take[j] < it.Demand && it.Length <= room {
						return true
					}
				}
				pat := solver.Pattern{Kind: k}
				for j, q := range take {
					if q > 0 {
						pat.Take = append(pat.Take, solver.Take{Item: j, Quantity: q})
					}
				}
				if len(pat.Take) > 0 {
					list = append(list, pat)
				}
				return len(list) <= most
			}
			for q := min(p.Items[i].Demand, room/p.Items[i].Length); q >= 0; q-- {
				take[i] = q
				if !walk(i+1, room-q*p.Items[i].Length) {
					return false
				}
			}
			take[i] = 0
			return true
		}
		if !walk(0, kind.Length) {
			return nil, false
		}
	}
	return list, true
}

// mip solves the problem over all its patterns with GLPK's branch and bound.
func mip(p solver.Problem, patterns []solver.Pattern, limit time.Duration) (cost int64, feasible, finished bool, err error) {
	lp, err := glpk.Open()
	if err != nil {
		return 0, false, false, err
	}
	defer lp.Close()
	var rows []glpk.Bounds
	for _, it := range p.Items {
		rows = append(rows, glpk.Bounds{Lower: float64(it.Demand), Upper: glpk.Inf})
	}
	for _, k := range p.Kinds {
		upper := glpk.Inf
		if k.Limited {
			upper = float64(k.Limit)
		}
		rows = append(rows, glpk.Bounds{Lower: -glpk.Inf, Upper: upper})
	}
	if err := lp.AddRows(rows); err != nil {
		return 0, false, false, err
	}
	for j, pat := range patterns {
		c := glpk.Column{Cost: float64(p.Kinds[pat.Kind].Cost), Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf},
			Row: []int{len(p.Items) + pat.Kind}, Value: []float64{1}}
		for _, t := range pat.Take {
			c.Row, c.Value = append(c.Row, t.Item), append(c.Value, float64(t.Quantity))
		}
		if err := lp.AddColumns([]glpk.Column{c}); err != nil {
			return 0, false, false, err
		}
		if err := lp.SetInteger(j); err != nil {
			return 0, false, false, err
		}
	}
	if len(patterns) == 0 {
		return 0, false, true, nil
	}
	st, reached, err := lp.Simplex(glpk.Simplex{Time: limit})
	if err != nil || reached != glpk.NoLimit {
		return 0, false, false, err
	}
	if st != glpk.Optimal {
		return 0, false, true, nil
	}
	st, err = lp.Branch(limit, 0)
	if err != nil {
		return 0, false, false, err
	}
	switch st {
	case glpk.Optimal:
		obj, _, err := lp.ReadInteger()
		return int64(math.Round(obj)), true, true, err
	case glpk.NoFeasible:
		return 0, false, true, nil
	}
	return 0, false, false, nil
}

// seeds is how many random workshop problems are solved both ways; the change log says what more were tried once.
var seeds = flag.Uint64("seeds", 2000, "random problems to hold against GLPK's branch and bound")

// TestAgainstMIP solves random workshop problems and has GLPK's branch and bound over all patterns find the same cost;
// the independent checker must accept every plan as proven.
func TestAgainstMIP(t *testing.T) {
	n := *seeds
	if testing.Short() {
		n /= 10
	}
	against(t, n, func(seed uint64) solver.Problem { return workshopProblem(rand.New(rand.NewPCG(seed, 1))) }, 1200, 60*time.Millisecond, 0.75)
}

// TestAgainstMIPLarger does the same with more sides and demands, where listing plans is out of the question and GLPK
// takes seconds; those it does not finish count for nothing.
func TestAgainstMIPLarger(t *testing.T) {
	n := *seeds / 50
	if testing.Short() {
		n = 5
	}
	against(t, n, func(seed uint64) solver.Problem {
		r := rand.New(rand.NewPCG(seed, 2))
		p := workshopProblem(r)
		for i := range p.Items {
			p.Items[i].Demand *= 1 + r.Int64N(8)
		}
		for k := range p.Kinds {
			p.Kinds[k].Limit *= 3
		}
		return p
	}, 6000, time.Second, 0.3)
}

// against solves n problems both ways. The MIP is tried where there are at most so many patterns, for at most so long;
// at least the given share must have been compared.
func against(t *testing.T, n uint64, draw func(seed uint64) solver.Problem, mostPatterns int, limit time.Duration, share float64) {
	ctx := context.Background()
	compared, impossible, nodes, leaves := 0, 0, 0, 0
	for seed := range n {
		p := draw(seed)
		name := fmt.Sprintf("seed %d", seed)
		r, err := solver.Solve(ctx, p, solver.Options{TimeLimit: time.Minute})
		if err != nil {
			t.Fatalf("%s: %v\n%+v", name, err, p)
		}
		nodes += r.Nodes
		leaves += len(r.Certificate.Leaves)
		if r.HasPlan {
			if r.Status != solver.Certified {
				t.Errorf("%s: %v, cost %d, lower %d, certified %d, %s\n%+v", name, r.Status, r.Cost, r.LowerBound, r.CertifiedBound, r.Reason, p)
			}
			doc, err := solver.Document(p, r)
			if err != nil {
				t.Fatal(err)
			}
			report, err := check.Document(ctx, doc)
			if err != nil || !report.OK() {
				t.Errorf("%s: the checker says %v, %+v\n%s", name, err, report.Violations, doc)
			}
		} else if r.Status != solver.Infeasible {
			t.Errorf("%s: %v without a plan", name, r.Status)
		}
		patterns, ok := patternsOf(p, mostPatterns)
		if !ok {
			continue
		}
		cost, feasible, finished, err := mip(p, patterns, limit)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !finished {
			continue
		}
		compared++
		if !feasible {
			impossible++
		}
		if feasible != r.HasPlan || feasible && cost != r.Cost {
			t.Errorf("%s: MIP has plan %v at %d, Solve has plan %v at %d (%v)\n%+v", name, feasible, cost, r.HasPlan, r.Cost, r.Status, p)
		}
	}
	t.Logf("%d problems, %d compared, %d of them impossible, %d nodes, %d leaves", n, compared, impossible, nodes, leaves)
	if float64(compared) < share*float64(n) {
		t.Errorf("only %d of %d compared: the test says too little", compared, n)
	}
}
