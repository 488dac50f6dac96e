package solver

import (
	"context"
	"math"
	"math/big"
	"slices"
	"time"

	"longpoint/solver/glpk"
)

// bendersCut is an inequality on the numbers n_k of sticks of each kind alone:
//
//	Σ_k coefficient_k · n_k  ≥  Σ_i dual_i · demand_i
//
// It holds for every plan, because no pattern of kind k has a greater dual value than coefficient_k. It is a
// feasibility cut of Benders decomposition (J. F. Benders, Numerische Mathematik 4, 1962), with the numbers n_k in
// the master problem and the patterns in the subproblem. Every exact pricing gives one.
type bendersCut struct {
	duals        []int64
	coefficient  []int64
	rhs          float64 // Σ dual·demand; guides the search and proves nothing
	lastUsed     int     // the node at which it last took part in a bound
	inLeaf       bool    // a leaf uses it as it is
	inLeafScaled bool    // a leaf uses it cutMultiple times over
	product      []int64 // see multiplied
	times        int64   // that product is of; 0: none yet
}

// maxCuts is how many cuts are kept. Of more, the one that was used longest ago is dropped.
const maxCuts = 80

// cutsTime is more than GLPK needs for so small a linear program. Its iterations are limited too, so that the clock
// has no influence on the result.
const cutsTime = time.Minute

// cutPenalty is the cost of the artificial column, in the dearest stick's cost. The column meets every cut, so that
// the linear program has a solution even where the node has none.
const cutPenalty = 1 << 10

// onlyKindCounts tells whether all conditions are on how many sticks of one kind are used.
func onlyKindCounts(conds []Condition) bool {
	for _, c := range conds {
		if !c.countsKind() || c.AnyKind {
			return false
		}
	}
	return true
}

// recordCut keeps the cut that an exact pricing gives. best is the greatest dual value of a pattern of each kind,
// with the dual values of conditions on the number of its sticks.
func (s *search) recordCut(duals intDuals, best []int64, conds []Condition) {
	if len(s.in.capacity) < 2 || len(s.in.choices) > 0 || s.in.credits {
		return // with one kind it says nothing; otherwise it leaves out costs
	}
	coefficient := append([]int64(nil), best...)
	for r, c := range conds {
		switch {
		case duals.cond[r] == 0:
		case len(c.Holds) > 0 || c.AnyKind:
			return // the condition counts other sticks than those of one kind
		default:
			coefficient[c.Kind] -= duals.cond[r]
		}
	}
	s.addCut(&bendersCut{duals: append([]int64(nil), duals.item...), coefficient: coefficient})
}

// weighDemand works out a cut's right-hand side. It reports false where that asks for nothing.
func (s *search) weighDemand(cut *bendersCut) bool {
	sum, term := new(big.Int), new(big.Int)
	for i, u := range cut.duals {
		sum.Add(sum, term.Mul(big.NewInt(u), big.NewInt(s.in.demand[i])))
	}
	cut.rhs, _ = new(big.Float).SetInt(sum).Float64()
	return cut.rhs > 0
}

// addCut adds a cut to those that are kept.
func (s *search) addCut(cut *bendersCut) {
	cut.lastUsed = s.nodes
	if !s.weighDemand(cut) {
		return
	}
	if s.mixing() {
		s.mixes.all.addRow(cut)
	}
	if len(s.cuts) == maxCuts {
		oldest := 0
		for t, c := range s.cuts {
			if c.lastUsed < s.cuts[oldest].lastUsed {
				oldest = t
			}
		}
		s.cuts[oldest] = cut
		return
	}
	s.cuts = append(s.cuts, cut)
}

// cutMultiple is how many times over a cut is used to show that a node has too few sticks, whatever they cost.
const cutMultiple = 1 << 10

// closeByCut looks for one cut that closes a node by itself, as it is or cutMultiple times over. It tries cuts that
// leaves use already first: the checker prices leaves of equal dual values once.
func (s *search) closeByCut(conds []Condition) (proof, bool) {
	if len(s.cuts) == 0 || !onlyKindCounts(conds) {
		return proof{}, false
	}
	low, high := s.tightestConditions(conds)
	for _, again := range []bool{true, false} {
		for _, c := range s.cuts {
			if c.inLeaf == again && s.mayClose(c, 1, conds, low, high) {
				if p, ok := s.proofByCut(c, 1, conds, low, high); ok && s.prunes(s.payable.roundUp(p.bound)) {
					c.lastUsed, c.inLeaf = s.nodes, true
					return p, true
				}
			}
			if c.inLeafScaled == again && s.mayClose(c, cutMultiple, conds, low, high) {
				if p, ok := s.proofByCut(c, cutMultiple, conds, low, high); ok && s.prunes(s.payable.roundUp(p.bound)) {
					c.lastUsed, c.inLeafScaled = s.nodes, true
					return p, true
				}
			}
		}
	}
	return proof{}, false
}

// mayClose estimates the bound that a cut gives, used so many times over, in floating point. It reports false where that is clearly below what closes a
// node: most cuts close no node, and exact sums take long.
func (s *search) mayClose(c *bendersCut, times int64, conds []Condition, low, high []int) bool {
	scale, by := float64(s.scale), float64(times)
	bound, size := c.rhs*by, math.Abs(c.rhs)*by
	for k, u := range c.coefficient {
		excess := by*float64(u) - scale*float64(s.in.cost[k])
		at := 0.0
		switch {
		case excess < 0 && low[k] >= 0:
			at = float64(conds[low[k]].Bound)
		case excess > 0 && high[k] >= 0:
			at = float64(conds[high[k]].Bound)
		case excess > 0 && s.in.limited[k]:
			at = float64(s.problem.Kinds[k].Limit)
		case excess > 0 && times == 1:
			return true // its dual values are scaled down: that has to be worked out
		case excess > 0:
			return false
		}
		bound -= excess * at
		size += math.Abs(excess * at)
	}
	return bound >= scale*float64(s.closingBound())-size*sumError
}

// closingBound is a number that the bound of a closed node is never below: the payable cost before the incumbent's, or before the cutoff.
func (s *search) closingBound() int64 {
	goal := s.goal()
	if s.closingFor != goal {
		s.closingFor, s.closing = goal, 0
		for low, high := int64(0), goal; low < high; { // the last cost that is not rounded up to the goal
			middle := low + (high-low)/2
			if s.payable.roundUp(middle) >= goal {
				high = middle
			} else {
				low = middle + 1
				s.closing = middle
			}
		}
	}
	return s.closing
}

// proofByCut is the proof that one cut gives, used so many times over.
func (s *search) proofByCut(c *bendersCut, times int64, conds []Condition, low, high []int) (proof, bool) {
	in := s.in
	duals := intDuals{c.duals, make([]int64, len(conds)), nil}
	if times > 1 {
		if duals.item = c.multiplied(times, in.maxDual()/times); duals.item == nil {
			return proof{}, false
		}
	}
	best := make([]int64, len(c.coefficient))
	for k, u := range c.coefficient {
		if u > maxCoefficient/times || u < -maxCoefficient/times {
			return proof{}, false
		}
		best[k] = u * times
		if !s.absorbExcess(duals, best, k, low, high) && !in.limited[k] && best[k] > s.scale*in.cost[k] {
			return proof{}, false // scaling down would change the dual values
		}
	}
	return s.lagrangianBound(duals, best, conds), true
}

// multiplied is the cut's dual values so many times over, or nil where one exceeds most. All leaves that use them share them.
func (c *bendersCut) multiplied(times, most int64) []int64 {
	if c.times == times {
		return c.product
	}
	product := make([]int64, len(c.duals))
	for i, u := range c.duals {
		if u > most || u < -most {
			product = nil
			break
		}
		product[i] = u * times
	}
	c.times, c.product = times, product
	return product
}

// absorbExcess takes the difference between a pattern's greatest dual value and its cost up into the dual value of
// the tightest condition on kind k that has the right sign. It reports false where there is none.
func (s *search) absorbExcess(duals intDuals, best []int64, k int, low, high []int) bool {
	excess := best[k] - s.scale*s.in.cost[k]
	switch {
	case excess < 0 && low[k] >= 0:
		duals.cond[low[k]] = -excess
	case excess > 0 && high[k] >= 0:
		duals.cond[high[k]] = -excess
	default:
		return false
	}
	best[k] -= excess
	return true
}

// tightestConditions finds, for each kind, the tightest condition on its number from below and from above; −1: none.
func (s *search) tightestConditions(conds []Condition) (low, high []int) {
	low, high = make([]int, len(s.in.capacity)), make([]int, len(s.in.capacity))
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

// boundByCuts bounds a node by the cuts alone, without pricing anything. It solves
//
//	min Σ c_k n_k,  every cut,  n_k within the limits and the node's conditions
//
// The dual values of the cuts in this linear program weight the cuts' own dual values, which add up to dual values of
// the node; no pattern has a greater one than the weighted sum of the coefficients. With the proof come the numbers
// n_k of the solution. It reports false where there is no proof.
func (s *search) boundByCuts(ctx context.Context, conds []Condition) (proof, []float64, bool, error) {
	in := s.in
	if len(s.cuts) == 0 || ctx.Err() != nil || !onlyKindCounts(conds) {
		return proof{}, nil, false, nil
	}
	low, high := s.tightestConditions(conds)
	bounds := make([]glpk.Bounds, len(in.capacity))
	for k := range in.capacity {
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
		bounds[k] = b
	}
	weights, counts, _, ok, err := s.weighCuts(bounds)
	if err != nil || !ok {
		return proof{}, nil, false, err
	}
	p, ok := s.combineCuts(weights, conds, low, high)
	return p, counts, ok, nil
}

// weighCuts solves the linear program over the cuts. It gives the weights of the cuts, the numbers n_k and the value. It reports false where GLPK cannot.
func (s *search) weighCuts(bounds []glpk.Bounds) (weights, counts []float64, value float64, ok bool, err error) {
	lp, err := s.cutProgram(bounds)
	if err != nil {
		return nil, nil, 0, false, err
	}
	status, reached, err := lp.lp.Simplex(glpk.Simplex{Iterations: 50 * (len(s.cuts) + len(bounds)), Time: cutsTime})
	if err != nil || status != glpk.Optimal || reached != glpk.NoLimit {
		s.closeCutProgram()
		return nil, nil, 0, false, nil // no matter: the search goes on without it
	}
	var sol glpk.Solution
	if err := lp.lp.Read(&sol); err != nil {
		return nil, nil, 0, false, err
	}
	weights, counts = make([]float64, len(s.cuts)), make([]float64, len(bounds))
	for t := range weights {
		weights[t] = sol.Value[lp.columns[t]]
	}
	for k := range counts {
		counts[k] = -sol.Dual[k]
	}
	return weights, counts, -sol.Objective * max(1, float64(s.in.maxCost)), true, nil
}

// cutProgram is the dual of the linear program over the cuts,
//
//	max Σ_t rhs_t w_t + Σ_k (low_k a_k − high_k b_k),  Σ_t coefficient_tk w_t + a_k − b_k = c_k for every kind k,  Σ_t w_t ≤ cutPenalty
//
// with the weights w_t of the cuts, and a_k and b_k of the bounds on n_k. It has a row a kind, where the program itself has one a cut. From node
// to node only the costs of a and b differ and cuts come as columns, so that it stands for a whole run and goes on from its last basis.
type cutProgram struct {
	lp      *glpk.Problem
	cuts    []*bendersCut // of s.cuts, as they were
	columns []int         // of each cut
	spoilt  int           // columns of cuts that are no more
}

// cutProgram brings the program up to date with the cuts there are, for these bounds on the numbers of sticks.
func (s *search) cutProgram(bounds []glpk.Bounds) (*cutProgram, error) {
	if s.cutLP != nil && s.cutLP.spoilt > maxCuts {
		s.closeCutProgram()
	}
	if s.cutLP == nil {
		if err := s.openCutProgram(len(bounds)); err != nil {
			return nil, err
		}
	}
	p := s.cutLP
	for k, b := range bounds {
		if err := p.lp.SetCost(k, -b.Lower); err != nil {
			return nil, err
		}
		if err := p.lp.SetCost(len(bounds)+k, b.Upper); err != nil {
			return nil, err
		}
	}
	// Scaled so that a stick's cost and coefficients are about 1.
	over := max(1, float64(s.in.maxCost)) * float64(s.scale)
	var fresh []glpk.Column
	for t, c := range s.cuts {
		if t < len(p.cuts) && p.cuts[t] == c {
			continue
		}
		column := glpk.Column{Cost: -c.rhs / over, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
		for k, u := range c.coefficient {
			if u != 0 {
				column.Row, column.Value = append(column.Row, k), append(column.Value, float64(u)/over)
			}
		}
		column.Row, column.Value = append(column.Row, len(bounds)), append(column.Value, 1)
		at := p.lp.Columns() + len(fresh)
		fresh = append(fresh, column)
		if t == len(p.cuts) {
			p.cuts, p.columns = append(p.cuts, c), append(p.columns, at)
			continue
		}
		if err := p.lp.SetColumnBounds(p.columns[t], glpk.Bounds{}); err != nil {
			return nil, err
		}
		p.spoilt++
		p.cuts[t], p.columns[t] = c, at
	}
	return p, p.lp.AddColumns(fresh)
}

// openCutProgram makes the program without cuts. It lives on the thread of the run.
func (s *search) openCutProgram(kinds int) error {
	lp, err := glpk.Open()
	if err != nil {
		return err
	}
	s.cutLP = &cutProgram{lp: lp}
	unit := max(1, float64(s.in.maxCost))
	var rows []glpk.Bounds
	cols := make([]glpk.Column, 2*kinds)
	for k := range kinds {
		cost := float64(s.in.cost[k]) / unit
		rows = append(rows, glpk.Bounds{Lower: cost, Upper: cost})
		cols[k] = glpk.Column{Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}, Row: []int{k}, Value: []float64{1}}
		cols[kinds+k] = glpk.Column{Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}, Row: []int{k}, Value: []float64{-1}}
	}
	if err := lp.AddRows(append(rows, glpk.Bounds{Lower: -glpk.Inf, Upper: cutPenalty})); err != nil {
		return err
	}
	return lp.AddColumns(cols)
}

// closeCutProgram frees the program, at the end of a run at the latest.
func (s *search) closeCutProgram() {
	if s.cutLP != nil {
		s.cutLP.lp.Close()
		s.cutLP = nil
	}
}

// combineCuts adds the cuts up with these weights and lets the node's conditions absorb each kind's excess.
func (s *search) combineCuts(weights []float64, conds []Condition, low, high []int) (proof, bool) {
	sum, ok := s.weightedCut(weights)
	if !ok {
		return proof{}, false
	}
	sum.inLeaf = true
	rounded, best := intDuals{sum.duals, make([]int64, len(conds)), nil}, slices.Clone(sum.coefficient)
	for k := range best {
		s.absorbExcess(rounded, best, k, low, high)
	}
	p := s.lagrangianBound(rounded, best, conds)
	if s.prunes(s.payable.roundUp(p.bound)) {
		s.addCut(sum)
	}
	return p, true
}

// weightedCut is the sum of the cuts with these weights, rounded so that it holds. It reports false where its numbers are too large.
func (s *search) weightedCut(weights []float64) (*bendersCut, bool) {
	duals, coefficient := make([]float64, len(s.in.length)), make([]float64, len(s.in.capacity))
	dualSize, coefficientSize := make([]float64, len(duals)), make([]float64, len(coefficient))
	for t, c := range s.cuts {
		w := weights[t]
		if w <= 0 {
			continue
		}
		c.lastUsed = s.nodes
		for i, u := range c.duals {
			duals[i] += w * float64(u)
			dualSize[i] += w * math.Abs(float64(u))
		}
		for k, u := range c.coefficient {
			coefficient[k] += w * float64(u)
			coefficientSize[k] += w * math.Abs(float64(u))
		}
	}
	sum := &bendersCut{duals: make([]int64, len(duals)), coefficient: make([]int64, len(coefficient))}
	most := float64(s.in.maxDual())
	for i := range duals {
		if dualSize[i] >= most {
			return nil, false
		}
		sum.duals[i] = int64(math.Floor(duals[i] - dualSize[i]*sumError))
	}
	for k := range coefficient {
		if coefficientSize[k] >= maxCoefficient {
			return nil, false
		}
		sum.coefficient[k] = int64(math.Ceil(coefficient[k] + coefficientSize[k]*sumError))
	}
	return sum, true
}

// maxCoefficient keeps sums of coefficients within an integer.
const maxCoefficient = 1 << 61

// sumError is more than a sum of a cut's products errs by, as a share of the sum of their sizes: n products err by less than
// (n + 2)·2⁻⁵³ of it, and n is at most maxCuts.
const sumError = 1.0 / (1 << 40)
