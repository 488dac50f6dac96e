package solver

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/solver/glpk"
)

// holdingConditions draws up to 4 conditions, most of them on what sticks hold.
func holdingConditions(r *rand.Rand, p Problem) []Condition {
	conds := tinyConditions(r, p)
	for c := range conds {
		if len(conds[c].Holds) > 0 {
			continue
		}
		for i, it := range p.Items {
			if it.Demand > 0 && r.IntN(3) > 0 {
				conds[c].Holds = append(conds[c].Holds, Take{i, 1 + r.Int64N(min(2, it.Demand))})
			}
		}
	}
	return conds
}

// The greatest value that pricing gives for each kind is held against every pattern.
func TestPriceAllAgainstEveryPattern(t *testing.T) {
	above, columns, idle := 0, 0, 0
	for seed := range uint64(6000) {
		r := rand.New(rand.NewPCG(seed, 17))
		p := tinyProblem(r)
		conds := holdingConditions(r, p)
		s := newSearch(p, Options{})
		m := drawMultipliers(r, s, conds)
		limits := make([]float64, len(p.Kinds))
		for k := range limits {
			if s.in.limited[k] && r.IntN(2) == 0 {
				limits[k] = 0.2 * r.Float64() * float64(s.in.maxCost)
			}
		}
		best, found, exact := s.priceAll(conds, m, limits, nil, 0)
		if !exact {
			t.Fatalf("seed %d: not exact, though nothing limits it", seed)
		}
		slack := int64(2*reducedCostTolerance*float64(s.scale)*float64(s.in.maxCost)) + 2
		priced := make([]bool, len(p.Kinds))
		for _, c := range found {
			v := make([]int64, len(p.Items))
			room := p.Kinds[c.kind].Length
			for _, x := range c.take {
				v[x.Item] = x.Quantity
				room -= x.Quantity * p.Items[x.Item].Length
			}
			if room < 0 || s.in.limit[c.kind] == 0 {
				t.Fatalf("seed %d: column %+v\n%+v", seed, c, p)
			}
			priced[c.kind] = priced[c.kind] || dualOf(m, conds, c.kind, v) == best[c.kind]
			columns++
		}
		for k, kind := range p.Kinds {
			var most int64
			empty := true
			for n, v := range vectors(p, k) {
				if w := dualOf(m, conds, k, v); n == 0 || w > most {
					most, empty = w, n == 0
				}
			}
			may := s.scale*kind.Cost + int64(limits[k]*float64(s.scale))
			if best[k] < most || best[k] > most && best[k] > may+slack {
				t.Fatalf("seed %d: a pattern of kind %d has the value %d, is said to have %d and may have %d\n%+v\n%+v\n%+v", seed, k, most, best[k], may, p, conds, m)
			}
			if most <= may+slack {
				continue
			}
			above++
			if s.in.limit[k] == 0 {
				idle++
			} else if !priced[k] && !empty {
				t.Fatalf("seed %d: the best column of kind %d is missing, though it has value %d and may have value %d\n%+v", seed, k, most, may, p)
			}
		}
	}
	if above < 1000 || columns < 1000 || idle < 100 {
		t.Errorf("%d kinds with a pattern of too great a dual value, %d of them with no sticks, %d columns: the test says too little", above, idle, columns)
	}
}

// near is how far apart two linear programs' values may lie, in the dearest stick's cost: GLPK's tolerance is 1e-7, and
// some dual values count several times.
const near = 1e-6

// Column generation at a node finds the bound of the linear program over every pattern, and its proof holds against
// every pattern and every plan that meets the conditions.
func TestGenerateAgainstEveryPattern(t *testing.T) {
	held, tight, rounded, none := 0, 0, 0, 0
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 18))
		p := tinyProblem(r)
		conds := holdingConditions(r, p)
		s := newSearch(p, Options{})
		if s.in.totalDemand == 0 || !allFit(s.in) {
			continue
		}
		got, value := generated(t, s, conds)
		for k, kind := range p.Kinds {
			if w := got.proof.limitDuals[k]; w < 0 || w > 0 && !kind.Limited {
				t.Fatalf("seed %d: limit's dual value %d of kind %d", seed, w, k)
			}
			for _, v := range vectors(p, k) {
				if w, may := dualOf(got.proof.duals, conds, k, v), s.scale*kind.Cost+got.proof.limitDuals[k]; w > may {
					t.Fatalf("seed %d: pattern %v of kind %d has value %d, more than %d\n%+v\n%+v", seed, v, k, w, may, p, conds)
				}
			}
		}
		for c, w := range got.proof.duals.cond {
			if conds[c].AtLeast && w < 0 || !conds[c].AtLeast && w > 0 {
				t.Fatalf("seed %d: condition %+v has the dual value %d", seed, conds[c], w)
			}
			if w != 0 {
				held++
			}
		}
		if cost, ok := leastCost(p, conds); !ok {
			none++
		} else if got.pruned && cost <= s.maxPlanCost || s.payable.roundUp(got.proof.bound) > cost {
			t.Fatalf("seed %d: bound %d, closed %v, but there is a plan at %d\n%+v\n%+v", seed, got.proof.bound, got.pruned, cost, p, conds)
		}
		whole, ok := wholeProgram(t, s, p, conds)
		if !ok || got.pruned || got.infeasible {
			continue
		}
		unit := max(1, float64(s.in.maxCost))
		if value < whole-near*unit || got.proof.value > whole+near*unit {
			t.Fatalf("seed %d: value %v, proof of %v, but over all patterns it is %v\n%+v\n%+v", seed, value, got.proof.value, whole, p, conds)
		}
		if goal := s.payable.roundUp(got.proof.bound); goal < s.payableAbove(whole) {
			if emptyCounts(conds) {
				continue // no column is empty, but the proof holds for empty sticks too, which may cost it something
			}
			t.Fatalf("seed %d: the bound rounds up to %d, the relaxation over all patterns, %v, to %d\n%+v\n%+v", seed, goal, whole, s.payableAbove(whole), p, conds)
		} else if float64(goal) > whole+near*unit {
			rounded++
		}
		if got.proof.value > whole-near*unit {
			tight++
		}
	}
	if held < 300 || tight < 500 || rounded < 100 || none < 100 {
		t.Errorf("%d conditions with a dual value, %d tight bounds, %d rounded up, %d nodes without a plan: the test says too little", held, tight, rounded, none)
	}
}

// emptyCounts tells whether a stick that nothing is cut from helps to meet a condition.
func emptyCounts(conds []Condition) bool {
	return slices.ContainsFunc(conds, func(c Condition) bool { return c.AtLeast && c.Bound > 0 && len(c.Holds) == 0 })
}

func allFit(in *instance) bool {
	for i, d := range in.demand {
		if d > 0 && !in.fitsSomewhere(i) {
			return false
		}
	}
	return true
}

// generated runs column generation at a node, and gives the master's value too.
func generated(t *testing.T, s *search, conds []Condition) (relaxation, float64) {
	t.Helper()
	m, err := newMaster(s.in, conds, s.initialColumns(), nil, firstPenalty, surplusPenalty)
	if err != nil {
		t.Fatal(err)
	}
	defer m.close()
	got, err := s.generateColumns(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	return got, m.value()
}

// wholeProgram is the value of the node's program over every pattern. It reports false when the artificial columns are needed.
func wholeProgram(t *testing.T, s *search, p Problem, conds []Condition) (float64, bool) {
	t.Helper()
	return wholeProgramOf(t, s, p, conds, surplusPenalty)
}

// wholeProgramOf is wholeProgram at a cost of a piece too many, without dual cuts.
func wholeProgramOf(t *testing.T, s *search, p Problem, conds []Condition, surplus float64) (float64, bool) {
	t.Helper()
	var all []*column
	for k := range p.Kinds {
		for _, v := range vectors(p, k) {
			c := &column{kind: k}
			for i, q := range v {
				if q > 0 {
					c.take = append(c.take, Take{i, q})
				}
			}
			if len(c.take) > 0 {
				all = append(all, c)
			}
		}
	}
	m, err := newMaster(s.in, conds, all, nil, s.maxPenalty, surplus)
	if err != nil {
		t.Fatal(err)
	}
	defer m.close()
	if err := m.closeDualCuts(); err != nil {
		t.Fatal(err)
	}
	if err := m.solve(context.Background(), glpk.Primal); err != nil {
		t.Fatal(err)
	}
	return m.value(), m.artificialValue() <= zeroTolerance
}

// Where a quick look at fewer states does not find the most valuable pattern, no bound comes of it. Many small pieces on a
// stick make partial patterns that many.
func TestGenerateProvesOnlyWhatIsExact(t *testing.T) {
	for seed := range uint64(3) {
		r := rand.New(rand.NewPCG(seed, 19))
		p := Problem{Kinds: []Kind{{Length: 1_000_000_007, Cost: 1}}}
		for range 25 {
			p.Items = append(p.Items, Item{20_000_000 + r.Int64N(40_000_000), 20 + r.Int64N(3)})
		}
		s := newSearch(p, Options{})
		got, _ := generated(t, s, nil)
		may := s.scale * s.in.cost[0]
		if most, _, exact := s.pricer.bestPatterns(s.in.capacity[0], got.proof.duals.item, nil, nil, may-1, 1, 0); most > may || !exact {
			t.Errorf("seed %d: a pattern has value %d, more than %d (exact %v)", seed, most, may, exact)
		}
	}
}
