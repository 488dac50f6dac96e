package solver_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"longpoint/solver"
	"longpoint/solver/check"
	"longpoint/solver/glpk"
)

// crossSeeds is how many random workshop problems TestAgainstMIP solves both ways.
const crossSeeds = 2000

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
	st, short, err := lp.Simplex(glpk.Simplex{Time: limit})
	if err != nil || short != glpk.NotShort {
		return 0, false, false, err
	}
	if st != glpk.Optimal {
		return 0, false, true, nil
	}
	st, err = lp.Branch(limit)
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

// TestAgainstMIP solves random workshop problems and has GLPK's branch and bound over all patterns find the same cost;
// the independent checker must accept every plan as proven.
func TestAgainstMIP(t *testing.T) {
	ctx := context.Background()
	var tt time.Duration
	compared, impossible, nodes, leaves := 0, 0, 0, 0
	for seed := range uint64(crossSeeds) {
		p := workshopProblem(rand.New(rand.NewPCG(seed, 1)))
		name := fmt.Sprintf("seed %d", seed)
		st := time.Now()
		r, err := solver.Solve(ctx, p, solver.Options{TimeLimit: time.Minute})
		tt += time.Since(st)
		if e := time.Since(st); e > 100*time.Millisecond {
			fmt.Println(seed, e, r.Status, r.Nodes, r.Cost, r.RootBound, len(p.Kinds), len(p.Items))
		}
		if err != nil {
			t.Fatalf("%s: %v\n%+v", name, err, p)
		}
		nodes += r.Nodes
		leaves += len(r.Certificate.Leaves)
		if r.HasPlan {
			if r.Status != solver.Certified {
				t.Errorf("%s: %v, cost %d, lower %d, certified %d, %s\n%+v", name, r.Status, r.Cost, r.Lower, r.Certified, r.Reason, p)
			}
			doc, err := solver.Document(p, r)
			if err != nil {
				t.Fatal(err)
			}
			report, err := check.Document(ctx, doc)
			if err != nil || !report.OK() {
				t.Errorf("%s: the checker says %v, %+v\n%s", name, err, report.Violations, doc)
			}
		} else if r.Status != solver.Impossible {
			t.Errorf("%s: %v without a plan", name, r.Status)
		}
		patterns, ok := patternsOf(p, 1200)
		if !ok {
			continue
		}
		cost, feasible, finished, err := mip(p, patterns, 60*time.Millisecond)
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
	t.Log(tt)
	t.Logf("%d problems, %d compared, %d of them impossible, %d nodes, %d leaves", crossSeeds, compared, impossible, nodes, leaves)
	if compared < crossSeeds*3/4 || impossible == 0 {
		t.Errorf("only %d of %d compared, %d impossible: the test says too little", compared, crossSeeds, impossible)
	}
}
