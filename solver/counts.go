package solver

import (
	"context"
	"math"
	"math/big"
	"time"

	"longpoint/solver/glpk"
)

// countsCut is what one pricing says of the numbers n_k of sticks alone, wherever it was made: Σ reach_k·n_k ≥ Σ worth·demand,
// because no pattern of kind k is worth more than reach_k.
type countsCut struct {
	worth    []int64
	reach    []int64
	wants    float64 // Σ worth·demand, for steering only
	used     int     // when it last took part in a bound
	plain    bool    // whether it stands in a leaf as it is, and manifold many times over
	manifold bool
}

// countsKept is how many cuts are kept; of more, the one that has been of no use for longest goes.
const countsKept = 80

// countsTime is more than GLPK needs for so small a program: iterations stop it, so that the clock has no say.
const countsTime = time.Minute

// countsHelp is the price, in the dearest stick's cost, of not meeting a cut: so that the program has a solution even
// where the node has none.
const countsHelp = 1 << 10

// ofKindsOnly tells whether all conditions are on how many sticks of one kind are used.
func ofKindsOnly(conds []cond) bool {
	for _, c := range conds {
		if len(c.Holds) > 0 || c.AnyKind || c.OnChoice {
			return false
		}
	}
	return true
}

// learn keeps the cut that a pricing has found: best is the greatest worth of a pattern of each kind, what conditions on
// its number add included.
func (s *search) learn(mul multipliers, best []int64, conds []cond) {
	if len(s.in.room) < 2 || len(s.in.choices) > 0 || s.in.credits {
		return // of no use, or not all that a plan costs
	}
	reach := append([]int64(nil), best...)
	for r, c := range conds {
		switch {
		case mul.cond[r] == 0:
		case len(c.Holds) > 0 || c.AnyKind:
			return // it says something of other numbers too
		default:
			reach[c.Kind] -= mul.cond[r]
		}
	}
	s.keepCut(&countsCut{worth: append([]int64(nil), mul.worth...), reach: reach})
}

// keepCut adds a cut to those at hand.
func (s *search) keepCut(cut *countsCut) {
	cut.used = s.nodes
	sum, term := new(big.Int), new(big.Int)
	for i, u := range cut.worth {
		sum.Add(sum, term.Mul(big.NewInt(u), big.NewInt(s.in.demand[i])))
	}
	cut.wants, _ = new(big.Float).SetInt(sum).Float64()
	if cut.wants <= 0 {
		return
	}
	if len(s.cuts) == countsKept {
		oldest := 0
		for t, c := range s.cuts {
			if c.used < s.cuts[oldest].used {
				oldest = t
			}
		}
		s.cuts[oldest] = cut
		return
	}
	s.cuts = append(s.cuts, cut)
}

// countsManifold is how many times over a cut is taken where it shows that a node has too few sticks, whatever they cost.
const countsManifold = 1 << 10

// repeat looks for one cut that closes a node by itself, as it is or many times over: leaves that share their worths are
// checked together. Cuts that stand in a leaf already come first.
func (s *search) repeat(conds []cond) (proof, bool) {
	if len(s.cuts) == 0 || !ofKindsOnly(conds) {
		return proof{}, false
	}
	low, high := s.tightest(conds)
	for _, again := range []bool{true, false} {
		for _, c := range s.cuts {
			if c.plain == again {
				if p, ok := s.alone(c, 1, conds, low, high); ok && s.closes(s.pay.up(p.bound)) {
					c.used, c.plain = s.nodes, true
					return p, true
				}
			}
			if c.manifold == again {
				if p, ok := s.alone(c, countsManifold, conds, low, high); ok && s.closes(s.pay.up(p.bound)) {
					c.used, c.manifold = s.nodes, true
					return p, true
				}
			}
		}
	}
	return proof{}, false
}

// alone is the proof that one cut gives, so many times over.
func (s *search) alone(c *countsCut, times int64, conds []cond, low, high []int) (proof, bool) {
	in := s.in
	m := multipliers{c.worth, make([]int64, len(conds)), nil}
	if times > 1 {
		most := in.maxWorth() / times
		m.worth = make([]int64, len(c.worth))
		for i, u := range c.worth {
			if u > most || u < -most {
				return proof{}, false
			}
			m.worth[i] = u * times
		}
	}
	best := make([]int64, len(c.reach))
	for k, u := range c.reach {
		if u > reachMost/times || u < -reachMost/times {
			return proof{}, false
		}
		best[k] = u * times
		if !s.set(m, best, k, low, high) && !in.limited[k] && best[k] > s.scale*in.cost[k] {
			return proof{}, false // shrinking it would make other worths of it
		}
	}
	return s.prove(m, best, conds), true
}

// set sets against what a pattern of kind k is worth more or less than it costs the tightest condition that can carry it.
func (s *search) set(m multipliers, best []int64, k int, low, high []int) bool {
	excess := best[k] - s.scale*s.in.cost[k]
	switch {
	case excess < 0 && low[k] >= 0:
		m.cond[low[k]] = -excess
	case excess > 0 && high[k] >= 0:
		m.cond[high[k]] = -excess
	default:
		return false
	}
	best[k] -= excess
	return true
}

// tightest finds for each kind the tightest condition on its number from below and from above; −1: none.
func (s *search) tightest(conds []cond) (low, high []int) {
	low, high = make([]int, len(s.in.room)), make([]int, len(s.in.room))
	for k := range low {
		low[k], high[k] = -1, -1
	}
	for r, c := range conds {
		switch at := &high[c.Kind]; {
		case c.AtLeast:
			if at := &low[c.Kind]; *at < 0 && c.Bound > 0 || *at >= 0 && c.Bound > conds[*at].Bound {
				*at = r
			}
		case *at < 0 && c.Bound < s.in.limit[c.Kind] || *at >= 0 && c.Bound < conds[*at].Bound:
			*at = r
		}
	}
	return low, high
}

// recall bounds a node by the cuts alone, without pricing anything: the multipliers of
//
//	min Σ c_k n_k,  Σ_k reach_k n_k ≥ wants for every cut,  n_k within the limits and the node's conditions
//
// add the cuts' worths up to worths of the node's own, and no pattern is worth more in them than the sum of its reaches.
// It reports false when there is nothing
// to be had. With it come the numbers n_k of the program's solution.
func (s *search) recall(ctx context.Context, conds []cond) (proof, []float64, bool, error) {
	in := s.in
	if len(s.cuts) == 0 || ctx.Err() != nil || !ofKindsOnly(conds) {
		return proof{}, nil, false, nil
	}
	lp, err := glpk.Open()
	if err != nil {
		return proof{}, nil, false, err
	}
	defer lp.Close()
	// Scaled so that a stick's cost and reach are about 1.
	unit := max(1, float64(in.maxCost))
	over := unit * float64(s.scale)
	rows := make([]glpk.Bounds, len(s.cuts))
	helper := glpk.Column{Cost: countsHelp, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
	for t, c := range s.cuts {
		rows[t] = glpk.Bounds{Lower: c.wants / over, Upper: glpk.Inf}
		helper.Row, helper.Value = append(helper.Row, t), append(helper.Value, 1)
	}
	if err := lp.AddRows(rows); err != nil {
		return proof{}, nil, false, err
	}
	low, high := s.tightest(conds)
	cols := make([]glpk.Column, len(in.room), len(in.room)+1)
	for k := range in.room {
		b := glpk.Bounds{Lower: 0, Upper: float64(in.limit[k])}
		if r := low[k]; r >= 0 {
			b.Lower = float64(conds[r].Bound)
		}
		if r := high[k]; r >= 0 {
			b.Upper = float64(conds[r].Bound)
		}
		if b.Lower > b.Upper {
			return proof{}, nil, false, nil
		}
		cols[k] = glpk.Column{Cost: float64(in.cost[k]) / unit, Bounds: b}
		for t, c := range s.cuts {
			if c.reach[k] != 0 {
				cols[k].Row, cols[k].Value = append(cols[k].Row, t), append(cols[k].Value, float64(c.reach[k])/over)
			}
		}
	}
	if err := lp.AddColumns(append(cols, helper)); err != nil {
		return proof{}, nil, false, err
	}
	status, short, err := lp.Simplex(glpk.Simplex{Iterations: 50 * (len(rows) + len(cols)), Time: countsTime})
	if err != nil || status != glpk.Optimal || short != glpk.NotShort {
		return proof{}, nil, false, nil // only a short cut: the node is solved without it
	}
	var sol glpk.Solution
	if err := lp.Read(&sol); err != nil {
		return proof{}, nil, false, err
	}
	p, ok := s.combined(sol.Dual[:len(s.cuts)], conds, low, high)
	return p, sol.Value[:len(in.room)], ok, nil
}

// combined adds the cuts up with the weights given and sets against each kind's excess what the node's conditions on it
// can carry.
func (s *search) combined(weights []float64, conds []cond, low, high []int) (proof, bool) {
	in := s.in
	// A sum of n products errs by less than (n + 2)·2⁻⁵³ of the sum of their sizes; 2⁻⁴⁰ of it is more.
	const margin = 1.0 / (1 << 40)
	worth, reach := make([]float64, len(in.length)), make([]float64, len(in.room))
	worthSize, reachSize := make([]float64, len(worth)), make([]float64, len(reach))
	for t, c := range s.cuts {
		w := weights[t]
		if w <= 0 {
			continue
		}
		c.used = s.nodes
		for i, u := range c.worth {
			worth[i] += w * float64(u)
			worthSize[i] += w * math.Abs(float64(u))
		}
		for k, u := range c.reach {
			reach[k] += w * float64(u)
			reachSize[k] += w * math.Abs(float64(u))
		}
	}
	m := multipliers{make([]int64, len(worth)), make([]int64, len(conds)), nil}
	best := make([]int64, len(reach))
	most := float64(in.maxWorth())
	for i := range worth {
		if worthSize[i] >= most {
			return proof{}, false
		}
		m.worth[i] = int64(math.Floor(worth[i] - worthSize[i]*margin))
	}
	for k := range reach {
		if reachSize[k] >= reachMost {
			return proof{}, false
		}
		best[k] = int64(math.Ceil(reach[k] + reachSize[k]*margin))
	}
	sum := &countsCut{worth: m.worth, reach: append([]int64(nil), best...), plain: true}
	for k := range reach {
		s.set(m, best, k, low, high)
	}
	p := s.prove(m, best, conds)
	if s.closes(s.pay.up(p.bound)) {
		s.keepCut(sum)
	}
	return p, true
}

// reachMost keeps sums of reaches within an integer.
const reachMost = 1 << 61
