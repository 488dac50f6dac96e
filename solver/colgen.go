package solver

import (
	"context"
	"math"
	"slices"

	"longpoint/solver/glpk"
)

// relaxed is the outcome of column generation at a node.
type relaxed struct {
	proof  proof // the best bound found
	closed bool  // the bound shows that the node holds nothing better than the plan at hand
	helped bool  // even at the highest price the helpers are needed: there is likely no plan here
}

// smoothing is the share of the best bound's multipliers in those that are priced.
const smoothing = 0.5

// Tolerances of column generation. Costs are scaled so that the dearest stick costs 1.
const (
	// improves is how much more than it costs a pattern must be worth to be worth adding: what GLPK is asked to see.
	improves = sharpTolerance
	// nought is what counts as zero in values of columns: GLPK's feasibility tolerance is 1e-7, with room for sums.
	nought = 1e-6
	// firstBig is the first price of a helper; it grows by biggerBy up to what the scale has room for.
	firstBig, biggerBy = 2.0, 8.0
	// surplusCost is what a piece too many costs below the root, where plans are exact and multipliers may be negative.
	surplusCost = 1.0
)

// generate solves the relaxation of the master's node by column generation with smoothed multipliers (Wentges,
// International Transactions in Operational Research 4, 1997): patterns are priced at a mix of the LP's multipliers and
// those of the best bound so far, and when that finds nothing, at the LP's own. At the root it first lets longer pieces be
// used for shorter ones (see exchange), and goes on without once that is solved.
func (s *search) generate(ctx context.Context, m *master) (relaxed, error) {
	var out relaxed
	out.proof.value = math.Inf(-1)
	var centre duals
	hasCentre := false
	method := glpk.Primal       // of the next solution: after new columns, the basis stays feasible
	sharp, dull := false, false // whether the LP is solved sharply, and whether that failed here once
	for {
		if sharp {
			done, err := m.polish(ctx)
			if err != nil {
				return out, err
			}
			sharp, dull = done, !done
		}
		if !sharp {
			if err := m.solve(ctx, method); err != nil {
				return out, err
			}
			method = glpk.Primal
		}
		lp := m.duals()
		share := 0.0
		if hasCentre {
			share = smoothing
		}
		for {
			at := lp
			if share > 0 {
				at = lp.mix(centre, share)
			}
			mul := s.integers(at)
			best, found, exact := s.priceAll(m.conds, mul, at.limit, nil, quickStates)
			if !exact && len(s.fresh(m, found, lp)) == 0 {
				best, found, exact = s.priceAll(m.conds, mul, at.limit, nil, 0)
			}
			if exact {
				s.learn(mul, best, m.conds)
				if p := s.prove(mul, best, m.conds); p.value > out.proof.value {
					out.proof, centre, hasCentre = p, at, true
					s.report(m.conds, p)
				}
			}
			if s.closes(out.proof.bound) {
				out.closed = true
				return out, nil
			}
			settled := m.helped() <= nought && s.settled(m.value(), out.proof)
			if settled && !m.trading {
				return out, nil
			}
			if !settled {
				added := s.fresh(m, found, lp)
				if len(added) > 0 {
					if err := m.prune(s.columnsKept(m)); err != nil {
						return out, err
					}
					if err := m.add(added); err != nil {
						return out, err
					}
					break
				}
				if share > 0 {
					share = 0
					continue
				}
			}
			// The LP is solved, or well enough.
			if m.trading {
				if err := m.settleExchanges(s); err != nil {
					return out, err
				}
				method = glpk.Dual // the basis prices well still, but lacks what was traded
				break
			}
			if m.helped() <= nought {
				if !sharp && !dull && s.nearGoal(m.value(), out.proof) {
					sharp = true
					break
				}
				return out, nil
			}
			if m.big >= s.biggest {
				out.helped = true
				return out, nil
			}
			if err := m.setBig(min(m.big*biggerBy, s.biggest)); err != nil {
				return out, err
			}
			break
		}
	}
}

// settled tells whether column generation may stop early: the relaxation cannot round up to more than is proven already,
// and the LP is good enough to guide the search for a plan of that cost. A relaxation that lies above that cost by a
// hair is worth finishing: exact multipliers prove hairs.
func (s *search) settled(value float64, p proof) bool {
	goal := float64(s.pay.up(p.bound))
	return value <= goal+hair*max(goal, float64(s.in.maxCost)) && value-p.value <= max(slackShare*(goal-p.value), slackLeast*float64(s.in.maxCost))
}

// nearGoal tells whether the relaxation's value is so near a payable cost that a sharper solution may decide on which
// side of it the bound lies.
func (s *search) nearGoal(value float64, p proof) bool {
	goal := float64(s.pay.up(p.bound))
	return math.Abs(value-goal) <= slackLeast*float64(s.in.maxCost)
}

// How far the LP may be from its optimum when column generation stops early, as a share of the room between the bound
// and the cost aimed at, or in the dearest stick's cost: found by trial on the published instances. hair is what the LP's
// value may err by, relatively: GLPK works in doubles, and is asked for sharpTolerance.
const slackShare, slackLeast, hair = 0.2, 1e-4, 1e-9

// rounded is the least payable cost at or above a value of the relaxation.
func (s *search) rounded(v float64) int64 {
	return s.pay.up(int64(math.Ceil(v - nought*max(1, float64(s.in.maxCost)))))
}

// quickStates is how many states of a pricing are enough to look for columns in. Only where they yield none, or were not
// needed, does a pricing also give a bound.
const quickStates = 1 << 11

// integers scales multipliers to integers, rounding down, and keeps them where no sum can overflow.
func (s *search) integers(d duals) multipliers {
	most := float64(s.in.maxWorth())
	scaled := func(v []float64) []int64 {
		out := make([]int64, len(v))
		for i, x := range v {
			out[i] = int64(max(-most, min(most, math.Floor(x*float64(s.scale)))))
		}
		return out
	}
	return multipliers{scaled(d.item), scaled(d.cond), scaled(d.row)}
}

// priceAll prices every kind: it gives the greatest worth of a pattern of each kind (or what a pattern may be worth,
// when none is worth more), and patterns that differ, the best of each kind that is worth more than it may among them. With states not 0 it may miss the
// greatest, and then reports exact false.
func (s *search) priceAll(conds []cond, mul multipliers, limitDual []float64, avail []int64, states int) (best []int64, found []*column, exact bool) {
	in := s.in
	best = make([]int64, len(in.room))
	base, floor := make([]int64, len(in.room)), make([]int64, len(in.room))
	for k := range in.room {
		may := s.scale * in.cost[k]
		best[k] = may + ceilFloat(limitDual[k]*float64(s.scale)) + int64(improves*float64(s.scale)*float64(in.maxCost)) + 1
		if may == 0 && !in.limited[k] {
			best[k] = 0 // what a free stick can hold must be worth nothing: no tolerance could be shrunk away
		}
		base[k] = always(mul, conds, k)
		if in.ever[k] == 0 && !in.limited[k] {
			best[k] = base[k] // it holds nothing, and is not to be used
		}
		floor[k] = best[k] - base[k]
	}
	exact = true
	groups := s.alike(conds)
	most := max(4, columnsARound/len(groups))
	for _, kinds := range groups {
		lowest := kinds[0]
		for _, k := range kinds {
			if floor[k] < floor[lowest] {
				lowest = k
			}
		}
		s.pr.hold(lowest, s.scale)
		worth, takes, all := s.pr.many(in.room[lowest], mul.worth, avail, s.extras(conds, mul, lowest), floor[lowest], most, states)
		exact = exact && all
		for _, k := range kinds {
			if worth <= floor[k] {
				continue
			}
			best[k] = worth + base[k]
			if in.ever[k] == 0 {
				continue // only its limit's worth is asked for
			}
			for _, take := range takes {
				found = append(found, &column{k, take})
			}
		}
	}
	return best, found, exact
}

// columnsARound is how many patterns a round of column generation adds, shared among the kinds.
const columnsARound = 40

// alike groups the kinds whose patterns are the same and worth the same: of one class, and no condition on what the
// sticks of one of them hold.
func (s *search) alike(conds []cond) [][]int {
	var groups [][]int
	at := map[int]int{}
	for k, class := range s.in.class {
		own := slices.ContainsFunc(conds, func(c cond) bool { return len(c.Holds) > 0 && !c.AnyKind && c.Kind == k })
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

// extras lists what the node's conditions on what sticks hold add to a pattern of kind k.
func (s *search) extras(conds []cond, mul multipliers, k int) []bonus {
	var out []bonus
	for r, c := range conds {
		if mul.cond[r] != 0 && len(c.Holds) > 0 && (c.AnyKind || c.Kind == k) {
			out = append(out, bonus{c.Holds, mul.cond[r]})
		}
	}
	return out
}

// fresh keeps the columns that the LP does not have and that improve it at its own multipliers.
func (s *search) fresh(m *master, found []*column, lp duals) []*column {
	var out []*column
	chosen := map[*column]bool{}
	for _, c := range found {
		key := c.key()
		if known, ok := s.pool[key]; ok {
			c = known
		} else {
			s.pool[key] = c
		}
		reduced := float64(s.in.price(c.kind, c.take)) + lp.limit[c.kind]
		for _, t := range c.take {
			reduced -= lp.item[t.Item] * float64(t.Quantity)
		}
		for r := range m.conds {
			if lp.cond[r] != 0 && c.meets(&m.conds[r]) {
				reduced -= lp.cond[r]
			}
		}
		if reduced < -improves*float64(max(1, s.in.maxCost)) && !m.has(c) && !chosen[c] {
			chosen[c] = true
			out = append(out, c)
		}
	}
	return out
}

// columnsKept is how many columns the LP may have before the dearest are dropped. Twice as many
// made the trees of Hard28_BPP14 and Hard28_BPP359 larger and slower (687 nodes in place of 419; open after 4,711 in
// place of proven after 1,073).
func (s *search) columnsKept(m *master) int { return 200 + 3*len(m.items) }
