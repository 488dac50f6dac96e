package solver

import (
	"context"
	"math"
	"slices"

	"longpoint/solver/glpk"
)

// relaxation is the outcome of column generation at a node.
type relaxation struct {
	proof      proof // the best bound found
	pruned     bool  // the bound shows that the node has no better plan than the incumbent
	infeasible bool  // artificial columns are used even at the highest penalty: the node has probably no plan
}

// smoothingShare is the share of the best bound's dual values in those that are priced.
const smoothingShare = 0.5

// Tolerances of column generation. Costs are scaled so that the dearest stick costs 1.
const (
	// reducedCostTolerance is how far below 0 a column's reduced cost must lie for it to be added, costs being scaled
	// so that the dearest stick costs 1. GLPK is asked to see as much.
	reducedCostTolerance = tightTolerance
	// zeroTolerance is what counts as 0 in values of columns. GLPK's feasibility tolerance is 1e-7; this leaves room
	// for sums.
	zeroTolerance = 1e-6
	// firstPenalty is the first cost of an artificial column. It grows by penaltyGrowth, up to what the scale has
	// room for.
	firstPenalty, penaltyGrowth = 2.0, 8.0
	// surplusPenalty is the cost of a surplus piece below the root. There plans cut demands exactly, so dual values
	// may be negative.
	surplusPenalty = 1.0
)

// generateColumns solves the relaxation of the master's node by column generation (P. C. Gilmore, R. E. Gomory,
// Operations Research 9, 1961; 11, 1963) with smoothed dual values (P. Wentges, International Transactions in
// Operational Research 4, 1997). It prices a mix of the LP's dual values and those of the best bound so far. Where
// that finds no column it prices the LP's own. At the root the dual cuts are open first. Once that relaxation is
// solved they are closed, and generation goes on.
func (s *search) generateColumns(ctx context.Context, m *master) (relaxation, error) {
	g := &generation{s: s, m: m, method: glpk.Primal}
	g.out.proof.value = math.Inf(-1)
	if s.fillings != nil && len(m.conds) == 0 {
		// As long as fillings alone make a relaxed plan, no dual values give a better bound than those of lengths. Near these, fillings have the
		// greatest values.
		g.out.proof, g.centre, g.hasCentre = s.root, s.unscaled(s.root), true
	}
	for {
		if err := g.solveLP(ctx); err != nil {
			return g.out, err
		}
		if done, err := g.addColumns(); done || err != nil {
			return g.out, err
		}
	}
}

// generation is the state of column generation at one node.
type generation struct {
	s                  *search
	m                  *master
	out                relaxation
	centre             lpDuals // the dual values of the best bound: the stability centre of the smoothing
	hasCentre          bool
	method             glpk.Method // of the next solution: new columns leave the basis primal feasible
	tight, tightFailed bool        // the LP is solved to tightTolerance; that failed once at this node
}

// solveLP solves the LP over the columns generated so far.
func (g *generation) solveLP(ctx context.Context) error {
	if g.tight {
		done, err := g.m.solveTight(ctx)
		if err != nil {
			return err
		}
		g.tight, g.tightFailed = done, !done
	}
	if !g.tight {
		if err := g.m.solve(ctx, g.method); err != nil {
			return err
		}
		g.method = glpk.Primal
	}
	return nil
}

// addColumns prices at the LP's solution and adds columns or changes the LP otherwise. It reports true when column generation
// is over.
func (g *generation) addColumns() (done bool, err error) {
	s, m := g.s, g.m
	lp := m.duals()
	share := 0.0
	if g.hasCentre {
		share = smoothingShare
	}
	for {
		found := g.price(lp, share)
		if s.prunes(g.out.proof.bound) {
			g.out.pruned = true
			return true, nil
		}
		early := m.artificialValue() <= zeroTolerance && s.mayStopEarly(m.value(), g.out.proof)
		if early && !m.dualCutsOpen {
			return true, nil
		}
		if early {
			return g.finish()
		}
		if added := s.improving(m, found, lp); len(added) > 0 {
			if err := m.dropColumns(s.maxColumns(m)); err != nil {
				return false, err
			}
			return false, m.add(added)
		}
		if share == 0 {
			return g.finish()
		}
		share = 0
	}
}

// price prices at dual values smoothed with so great a share of the stability centre, and notes a better bound.
func (g *generation) price(lp lpDuals, share float64) []*column {
	s, m := g.s, g.m
	at := lp
	if share > 0 {
		at = lp.smoothed(g.centre, share)
	}
	if found := s.fillings.columns(at.item, nil, float64(s.in.maxCost)); len(s.improving(m, found, lp)) > 0 {
		return found
	}
	rounded := s.roundDuals(at)
	best, found, exact := s.priceAll(m.conds, rounded, at.limit, nil, heuristicStates)
	if !exact && len(s.improving(m, found, lp)) == 0 {
		best, found, exact = s.priceAll(m.conds, rounded, at.limit, nil, 0)
	}
	if exact {
		s.recordCut(rounded, best, m.conds)
		if p := s.lagrangianBound(rounded, best, m.conds); p.value > g.out.proof.value {
			g.out.proof, g.centre, g.hasCentre = p, at, true
			s.noteBound(m.conds, p)
		}
	}
	return found
}

// finish follows when the LP is solved, or nearly. It reports true when column generation is over.
func (g *generation) finish() (done bool, err error) {
	m := g.m
	if m.dualCutsOpen {
		g.method = glpk.Dual // the basis stays dual feasible, but lacks the columns that the dual cuts stood for
		return false, m.removeDualCuts(g.s)
	}
	if m.artificialValue() <= zeroTolerance {
		if !g.tight && !g.tightFailed && g.s.nearPayableCost(m.value(), g.out.proof) {
			g.tight = true
			return false, nil
		}
		return true, nil
	}
	if m.penalty >= g.s.maxPenalty {
		g.out.infeasible = true
		return true, nil
	}
	return false, m.setPenalty(min(m.penalty*penaltyGrowth, g.s.maxPenalty))
}

// mayStopEarly tells whether column generation may stop before the LP is optimal. Two things must hold: the
// relaxation cannot round up to more than is proven already, and the LP is near enough to its optimum to guide the
// heuristics. A relaxation that lies above a payable cost by very little must be finished: exact dual values can
// prove the difference.
func (s *search) mayStopEarly(value float64, p proof) bool {
	goal := float64(s.payable.roundUp(p.bound))
	return value <= goal+lpValueTolerance*max(goal, float64(s.in.maxCost)) && value-p.value <= max(earlyStopShare*(goal-p.value), earlyStopLeast*float64(s.in.maxCost))
}

// nearPayableCost tells whether the relaxation's value is so near a payable cost that only a solution to
// tightTolerance shows on which side of it the bound lies.
func (s *search) nearPayableCost(value float64, p proof) bool {
	goal := float64(s.payable.roundUp(p.bound))
	return math.Abs(value-goal) <= earlyStopLeast*float64(s.in.maxCost)
}

// earlyStopShare is how far the LP may be from its optimum when column generation stops early, as a share of the room
// between the bound and the cost aimed at. earlyStopLeast is the same in the dearest stick's cost. Both were found by
// trial on the published instances. lpValueTolerance is the relative error of the LP's value: GLPK works in doubles,
// and is asked for tightTolerance.
const earlyStopShare, earlyStopLeast, lpValueTolerance = 0.2, 1e-4, 1e-9

// payableAbove is the least payable cost that is not below a value of the relaxation.
func (s *search) payableAbove(v float64) int64 {
	return s.payable.roundUp(int64(math.Ceil(v - zeroTolerance*max(1, float64(s.in.maxCost)))))
}

// heuristicStates is how many states a heuristic pricing may have. An exact pricing follows only where that finds no
// column. Only an exact pricing gives a bound.
const heuristicStates = 1 << 11

// roundDuals scales dual values to whole numbers, rounded down, and keeps them where no sum can overflow.
func (s *search) roundDuals(d lpDuals) intDuals {
	most := float64(s.in.maxDual())
	scaled := func(v []float64) []int64 {
		out := make([]int64, len(v))
		for i, x := range v {
			out[i] = int64(max(-most, min(most, math.Floor(x*float64(s.scale)))))
		}
		return out
	}
	return intDuals{scaled(d.item), scaled(d.cond), scaled(d.row)}
}

// unscaled is the reverse of roundDuals, for a proof without conditions.
func (s *search) unscaled(p proof) lpDuals {
	floats := func(v []int64) []float64 {
		out := make([]float64, len(v))
		for i, x := range v {
			out[i] = float64(x) / float64(s.scale)
		}
		return out
	}
	return lpDuals{item: floats(p.duals.item), limit: floats(p.limitDuals), row: floats(p.duals.row)}
}

// priceAll prices every kind. best is the greatest dual value of a pattern of each kind; where none has a greater one
// than it costs, best is that cost (with the limit's dual value and a tolerance). found are columns of negative
// reduced cost, the best of each kind among them. With a number of states other than 0 the pricing is heuristic:
// exact is then false if it may have missed the best.
func (s *search) priceAll(conds []Condition, duals intDuals, limitDual []float64, avail []int64, states int) (best []int64, found []*column, exact bool) {
	in := s.in
	best = make([]int64, len(in.capacity))
	base, floor := make([]int64, len(in.capacity)), make([]int64, len(in.capacity))
	for k := range in.capacity {
		cost := s.scale * in.cost[k]
		best[k] = cost + ceilSafe(limitDual[k]*float64(s.scale)) + int64(reducedCostTolerance*float64(s.scale)*float64(in.maxCost)) + 1
		if cost == 0 && !in.limited[k] {
			best[k] = 0 // dual values cannot be scaled down to a cost of 0, so there is no tolerance
		}
		base[k] = kindDual(duals, conds, k)
		if in.maxLimit[k] == 0 && !in.limited[k] {
			best[k] = base[k] // no pattern but the empty one
		}
		floor[k] = best[k] - base[k]
	}
	exact = true
	groups := s.pricingGroups(conds)
	most := max(4, columnsPerRound/len(groups))
	for _, kinds := range groups {
		lowest := kinds[0]
		for _, k := range kinds {
			if floor[k] < floor[lowest] {
				lowest = k
			}
		}
		s.pricer.setKind(lowest, s.scale)
		s.pricer.creditBonus = creditedDual(duals, conds, lowest)
		value, takes, all := s.pricer.bestPatterns(in.capacity[lowest], duals.item, avail, s.conditionTerms(conds, duals, lowest), floor[lowest], most, states)
		exact = exact && all
		for _, k := range kinds {
			if value <= floor[k] {
				continue
			}
			best[k] = value + base[k]
			if in.maxLimit[k] == 0 {
				continue // no stick of it can be used; only its limit's dual value is needed
			}
			for _, take := range takes {
				found = append(found, &column{kind: k, take: take})
			}
		}
	}
	return best, found, exact
}

// columnsPerRound is how many columns a round of column generation adds, over all kinds.
const columnsPerRound = 40

// pricingGroups groups kinds that one knapsack can price: of one class, and without conditions on what sticks of one
// of them hold.
func (s *search) pricingGroups(conds []Condition) [][]int {
	var groups [][]int
	at := map[int]int{}
	for k, class := range s.in.class {
		own := slices.ContainsFunc(conds, func(c Condition) bool {
			return (len(c.Holds) > 0 || c.Credited) && !c.AnyKind && !c.OnChoice && c.Kind == k
		})
		if g, ok := at[class]; ok && !own {
			groups[g] = append(groups[g], k)
			continue
		}
		if !own {
			at[class] = len(groups)
		}
		groups = append(groups, []int{k})
	}
	return groups
}

// conditionTerms lists the node's conditions on what sticks of kind k hold that have a dual value.
func (s *search) conditionTerms(conds []Condition, duals intDuals, k int) []conditionTerm {
	var out []conditionTerm
	for r, c := range conds {
		if duals.cond[r] != 0 && len(c.Holds) > 0 && (c.AnyKind || c.Kind == k) {
			out = append(out, conditionTerm{c.Holds, duals.cond[r]})
		}
	}
	return out
}

// improving keeps the columns that the LP does not have and whose reduced cost at the LP's dual values is negative.
func (s *search) improving(m *master, found []*column, lp lpDuals) []*column {
	var out []*column
	chosen := map[*column]bool{}
	for _, c := range found {
		c = s.pooled(s.taking(c, m.conds, lp))
		reducedCost := float64(s.in.columnCost(c)) + lp.limit[c.kind]
		for _, t := range c.take {
			reducedCost -= lp.item[t.Item] * float64(t.Quantity)
		}
		for r := range m.conds {
			if lp.cond[r] != 0 && c.meets(s.in, &m.conds[r]) {
				reducedCost -= lp.cond[r]
			}
		}
		if reducedCost < -reducedCostTolerance*float64(max(1, s.in.maxCost)) && !m.has(c) && !chosen[c] {
			chosen[c] = true
			out = append(out, c)
		}
	}
	return out
}

// taking is the column with its credit taken, or declined where the conditions on credits take more of it than it is worth.
func (s *search) taking(c *column, conds []Condition, lp lpDuals) *column {
	dual, counted := 0.0, false
	for r := range conds {
		if conds[r].Credited && (conds[r].AnyKind || conds[r].Kind == c.kind) {
			dual, counted = dual+lp.cond[r], true
		}
	}
	if !counted || !s.in.credited(c.kind, c.take) {
		return c
	}
	credit := float64(s.in.cost[c.kind] - s.in.price(c.kind, c.take))
	return &column{c.kind, c.take, credit+dual < 0}
}

// maxColumns is how many columns the LP may have before those of the highest reduced costs are dropped. Twice as many
// made the trees of Hard28_BPP14 and Hard28_BPP359 larger and slower (687 nodes in place of 419; open after 4,711 in
// place of proven after 1,073).
func (s *search) maxColumns(m *master) int { return 200 + 3*len(m.items) }
