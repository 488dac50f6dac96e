package planner

import (
	"cmp"
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// mostRounds bounds the multipliers that are tried for a set of suppliers.
const mostRounds = 7

// ordering looks for the cheapest plans that order from every supplier of a set at least what it asks, and for a bound on them.
type ordering struct {
	dims        []dim
	amounts     [][]span // that each profile can order
	plans       [][]variantPlan
	costs       [][]sum                  // of plans, and with more bundles
	seen        map[*variant]model.Money // whose plans are among them, and what the last of them cost
	tried       []multipliers
	multipliers []plan.Ordered   // the last multipliers
	weights     [][]plan.Ordered // all multipliers so far, by supplier
	rounds      int              // of multipliers
	bound       model.Money
	lower       [][]sum     // bounds on each profile's cost, for everything that it can order
	lowerAt     []int       // setSearch.changes when they were worked out
	picked      []sum       // those of each profile that make up the bound
	pairs       int         // at most, in counting
	guesses     [2]guess    // for counting plans and bounds
	by          *relaxation // of the last bound
	exact       bool        // the bound was counted to the last unit
	idle        int         // steps since the gap became much less
	boundAt     int         // setSearch.rounds when the bound was last worked out
	stuck       bool        // nothing raises the bound any more
	uncounted   bool        // what is ordered cannot be counted: there are multipliers only
}

// fill makes one step for a set: it plans the profiles at the next multipliers or, when those are used up, for what they order at the bound. It says
// whether there was anything to do. Plans that come to what the suppliers ask are found on the way.
func (ss *setSearch) fill(ctx context.Context, s *supplierSet) (bool, error) {
	if s.ordering == nil {
		if slices.ContainsFunc(ss.planned(s), func(v *variant) bool { return !v.ok }) {
			return false, nil
		}
		s.ordering = ss.newOrdering(s)
	}
	if !s.ordering.stuck && s.ordering.boundAt != ss.rounds {
		ss.bestAndBound(ctx, s) // with what was found for other sets meanwhile
	}
	if s.ordering.stuck {
		return false, nil
	}
	if ss.best != nil && ss.boundOf(s) >= ss.best.cost {
		return true, nil
	}
	at, variants := ss.nextMultipliers(s)
	if variants == nil && !s.ordering.uncounted {
		at, variants = ss.widestGaps(s)
	}
	if variants == nil {
		return ss.countFiner(ctx, s), nil
	}
	before := ss.gapOf(s)
	if err := ss.solve(ctx, at, variants); err != nil {
		return false, err
	}
	ss.bestAndBound(ctx, s)
	if s.ordering.idle++; ss.gapOf(s) < before-before/idleShare {
		s.ordering.idle = 0
	}
	if s.ordering.idle >= mostIdle && s.ordering.rounds == mostRounds { // the units may be too coarse to tell
		ss.countFiner(ctx, s)
		s.ordering.idle = 0
	}
	return true, nil
}

// After mostIdle steps none of which made the gap less by one part in idleShare, amounts are counted in smaller units.
const mostIdle, idleShare = 3, 50

// gapOf is between the best plan and the set's bound.
func (ss *setSearch) gapOf(s *supplierSet) model.Money {
	if ss.best == nil {
		return maxSum
	}
	return ss.best.cost - ss.boundOf(s)
}

// countFiner works out a set's plan and bound once more, counting in smaller units. It says whether that could be done.
func (ss *setSearch) countFiner(ctx context.Context, s *supplierSet) bool {
	if s.ordering.pairs >= mostPairs || s.ordering.uncounted || s.ordering.exact {
		return false
	}
	s.ordering.pairs *= pairsFactor
	ss.bestAndBound(ctx, s)
	return true
}

// newOrdering lists what suppliers of a set ask and what each profile can order of it. Where that is too much to list, the last supplier
// by name is left out, then the last but one. It is stuck where no supplier is left, or where a profile cannot be cut.
func (ss *setSearch) newOrdering(s *supplierSet) *ordering {
	f := &ordering{pairs: firstPairs, seen: map[*variant]model.Money{}, plans: make([][]variantPlan, len(ss.all)), costs: make([][]sum, len(ss.all)),
		lower: make([][]sum, len(ss.all)), lowerAt: make([]int, len(ss.all)), tried: []multipliers{{}}}
	for f.dims = dimsOf(s.ordered); len(f.dims) > 0; {
		f.amounts = nil
		for _, pp := range ss.b.profiles {
			own := pp.orderable(f.dims)
			if own == nil {
				break
			}
			f.amounts = append(f.amounts, own)
		}
		if len(f.amounts) == len(ss.b.profiles) {
			return f
		}
		last := f.dims[len(f.dims)-1].supplier
		f.dims = slices.DeleteFunc(f.dims, func(d dim) bool { return d.supplier == last })
	}
	f.dims, f.uncounted = dimsOf(s.ordered), true
	return f
}

// way is how a set orders from a supplier.
func (s *supplierSet) way(supplier string) model.Supplier {
	return s.ordered[slices.IndexFunc(s.ordered, func(way model.Supplier) bool { return way.Name == supplier })]
}

// lagrangianBound is the best bound on a set's plans that multipliers give by themselves, whatever amounts there are: what the profiles cost at lowered
// prices, and the multipliers times what the suppliers ask.
func (ss *setSearch) lagrangianBound(s *supplierSet) (best model.Money) {
	for _, weights := range s.ordering.weights {
		if !slices.ContainsFunc(s.variants, func(v *variant) bool { return len(v.share(weights)) == len(weights) }) {
			continue // no case says them all, and so the audit would not find them
		}
		sum := s.delivery
		for _, o := range weights {
			terms := s.way(o.Supplier)
			sum += lagrangianTerm(o, terms.LeastAmount(), int64(terms.LeastSticks)) - 1 // which may be rounded up
		}
		for n, v := range s.variants {
			own := v.share(weights)
			if own == nil {
				sum += ss.least(s, n)
				continue
			}
			at := slices.IndexFunc(ss.all[n], func(o *variant) bool { return o.solved && slices.Equal(o.open, v.open) && slices.Equal(o.orders, own) })
			if at < 0 {
				sum = 0
				break
			}
			sum += ss.all[n][at].bound
		}
		best = max(best, sum)
	}
	return best
}

// bestAndBound finds the cheapest combination of the known plans that comes to what the set's suppliers ask, and works out the set's bound.
func (ss *setSearch) bestAndBound(ctx context.Context, s *supplierSet) {
	f := s.ordering
	f.boundAt = ss.rounds
	for n := range ss.all {
		for _, v := range ss.all[n] {
			if known, ok := f.seen[v]; v.ok && (!ok || known != v.known.cost) && v.ordersOnlyFrom(s.variants[n].open) {
				f.seen[v] = v.known.cost
				f.addPlans(n, v)
			}
		}
	}
	f.bound = max(f.bound, ss.lagrangianBound(s))
	if len(f.weights) > 0 {
		ss.takeOf(ss.variantsNow(s))
	}
	if f.uncounted {
		return
	}
	plans := f.counting(false).cheapest(ctx, f.costs, ss.limit(s))
	if plans.best != nil {
		var of []variantPlan
		for n, at := range plans.best.chosen(len(ss.all)) {
			of = append(of, f.plans[n][at])
		}
		ss.take(ss.b.planOf(of))
	}
	for n := range ss.all {
		if f.lowerAt[n] != ss.changes[n] {
			f.lowerAt[n], f.lower[n] = ss.changes[n], f.counting(true).lean(ss.lower(s, n))
			for at := range f.lower[n] {
				f.lower[n][at].n = at
			}
		}
	}
	got := f.counting(true).cheapest(ctx, f.lower, ss.limit(s))
	f.bound = max(f.bound, s.delivery+min(got.least, ss.limit(s)))
	f.exact = got.exact && plans.exact
	if got.best != nil {
		f.picked, f.by = nil, got.by
		for n, at := range got.best.chosen(len(ss.all)) {
			f.picked = append(f.picked, f.lower[n][at])
		}
	}
}

// counting is how sums of the set are added up.
func (f *ordering) counting(up bool) counting {
	start := &f.guesses[0]
	if up {
		start = &f.guesses[1]
	}
	return counting{f.dims, start, f.pairs, up}
}

// limit returns a cost: only where the profiles cost less than it together is the set's plan better than the best.
func (ss *setSearch) limit(s *supplierSet) model.Money {
	if ss.best == nil {
		return maxSum
	}
	return ss.best.cost - s.delivery
}

// lower returns a bound on what a profile costs, for each amount that it can order.
func (ss *setSearch) lower(s *supplierSet, n int) (out []sum) {
	f := s.ordering
	for _, x := range f.amounts[n] {
		one := sum{amounts: x.to}
		for _, v := range ss.all[n] {
			if v.solved && v.opens(s.variants[n]) {
				if bound, ok := v.at(x.from, f.dims); ok {
					one.cost = max(one.cost, bound)
				}
			}
		}
		out = append(out, one)
	}
	return out
}

// mostMore is how many bundles of one list more a plan is tried with.
const mostMore = 1 << 12

// addPlans adds the plan of a profile's variant, and the same plan with more bundles of one price list.
func (f *ordering) addPlans(n int, v *variant) {
	pp, sol := v.problem.profiles[0], v.known.solutions[0]
	cost := pp.figures(sol, 0).Cost
	add := func(sol solution, cost model.Money) {
		f.costs[n] = append(f.costs[n], sum{amounts: pp.ordersOf(sol, f.dims), cost: cost, n: len(f.plans[n])})
		f.plans[n] = append(f.plans[n], variantPlan{v, sol})
	}
	add(sol, cost)
	for m, s := range pp.supplies {
		if !slices.ContainsFunc(f.dims, func(d dim) bool { return d.supplier == s.supplier }) {
			continue
		}
		for more, have := int64(1), sol.bundles[m]; more <= mostMore && (have+more == 1 || !s.fills(f.dims, have+more-1)); more++ {
			if !s.sells(have + more) {
				continue
			}
			other := sol
			other.bundles = slices.Clone(sol.bundles)
			other.bundles[m] += more
			add(other, cost+s.pays(have+more)-s.pays(have)-s.spare*model.Money(more*int64(s.bundle)))
		}
	}
}

// widestGaps returns the profiles with the widest gap between the bound on what they order and the cheapest plan known that orders as much, and with each
// a variant to go on with that may narrow it. There are no more of them than workers.
func (ss *setSearch) widestGaps(s *supplierSet) (profiles []int, variants []*variant) {
	f := s.ordering
	gap := make([]model.Money, len(ss.all))
	var open []int
	for n, x := range f.picked {
		plan := model.Money(maxSum)
		for _, c := range f.costs[n] {
			if c.covers(f.from(n, x.amounts)) {
				plan = min(plan, c.cost)
			}
		}
		if gap[n] = plan - x.cost; gap[n] > 0 {
			open = append(open, n)
		}
	}
	slices.SortStableFunc(open, func(x, y int) int { return cmp.Compare(gap[y], gap[x]) })
	for _, n := range open {
		if len(profiles) > 0 && gap[n] < gap[profiles[0]]/worthIt {
			break
		}
		if v := ss.narrowing(s, n, gap[n]); v != nil {
			profiles, variants = append(profiles, n), append(variants, v)
		}
		if len(profiles) == ss.o.Workers {
			break
		}
	}
	return profiles, variants
}

// worthIt is the part of the most that may be gained which makes it worth going on with another profile in the same step: all wait for the last one's turn.
const worthIt = 8

// narrowing returns a variant to go on with where a profile's gap is so wide at what it orders. It takes one that is known and says something of all orders, if
// half of the gap may go with it, else that which supposes just this order.
func (ss *setSearch) narrowing(s *supplierSet, n int, gap model.Money) (best *variant) {
	f := s.ordering
	x := f.picked[n]
	from := f.from(n, x.amounts)
	most := gap / 2
	for _, v := range ss.all[n] {
		if !v.solved || !v.unfinished() || !v.opens(s.variants[n]) || slices.ContainsFunc(v.orders, asks) {
			continue
		}
		bound, _ := v.at(from, f.dims)
		if rise := min(gap, bound+v.known.cost-v.bound-x.cost); rise >= most {
			best, most = v, rise+1
		}
	}
	if best != nil {
		return best
	}
	if from == (amounts{}) {
		return nil
	}
	needed := f.by.needed(n, x.amounts, ss.limit(s))
	if v := ss.variant(n, s.variants[n].open, from.orders(f.dims)); v.unfinished() && (!v.solved || v.bound < needed) {
		v.cutoff = needed
		return v
	}
	return nil
}

// from is the least that counts as an amount of a profile.
func (f *ordering) from(n int, to amounts) amounts {
	at, _ := slices.BinarySearchFunc(f.amounts[n], to, func(s span, to amounts) int { return slices.Compare(s.to[:], to[:]) })
	return f.amounts[n][at].from
}

// orders says that at least so much is ordered.
func (a amounts) orders(dims []dim) (out []plan.Ordered) {
	for n, d := range dims {
		if a[n] == 0 {
			continue
		}
		if last := len(out) - 1; last < 0 || out[last].Supplier != d.supplier {
			out = append(out, plan.Ordered{Supplier: d.supplier})
		}
		if last := len(out) - 1; d.sticks {
			out[last].LeastSticks = a[n]
		} else {
			out[last].LeastMoney = model.Money(a[n])
		}
	}
	return out
}

// nextMultipliers returns the next Lagrangian multipliers for a set, and the profiles to plan with them: the greatest for what is short, and then those that bound the
// combinations of the plans known best (Kelley's cutting-plane method). Prices are never lowered so much that a bundle from which nothing is cut costs
// nothing: that makes no sense.
func (ss *setSearch) nextMultipliers(s *supplierSet) (profiles []int, variants []*variant) {
	f := s.ordering
	if f.rounds == mostRounds || slices.ContainsFunc(f.costs, func(of []sum) bool { return len(of) == 0 }) {
		return nil, nil
	}
	by := f.counting(false).relax(f.costs, ss.limit(s)).prices
	if f.rounds < highRounds {
		by = ss.short(s, f.rounds == 0)
	}
	var next []plan.Ordered
	for _, terms := range s.ordered {
		o := plan.Ordered{Supplier: terms.Name}
		for n, d := range f.dims {
			switch {
			case d.supplier != terms.Name:
			case d.sticks:
				o.StickMultiplier = model.Money(by[n])
			default:
				o.MoneyMultiplier = int64(min(1, by[n]) * million)
			}
		}
		if o = ss.sensible(o); o.StickMultiplier > 0 || o.MoneyMultiplier > 0 {
			next = append(next, o)
		}
	}
	if slices.Contains(f.tried, multipliersByDim(next, f.dims)) {
		if f.rounds++; f.rounds > highRounds {
			f.rounds = mostRounds
			return nil, nil
		}
		return ss.nextMultipliers(s)
	}
	f.rounds++
	f.multipliers, f.weights = next, append(f.weights, next)
	f.tried = append(f.tried, multipliersByDim(next, f.dims))
	for n := range ss.all {
		if own := s.variants[n].share(f.multipliers); own != nil {
			if v := ss.variant(n, s.variants[n].open, own); v.turns == 0 { // else it was planned for another set
				profiles, variants = append(profiles, n), append(variants, v)
			}
		}
	}
	return profiles, variants
}

// highRounds are the rounds of the greatest multipliers: first for what is short, then for all.
const highRounds = 2

// short gives the highest prices to what the plans for a set order too little of, or to all.
func (ss *setSearch) short(s *supplierSet, only bool) (by prices) {
	f := s.ordering
	var ordered amounts
	for _, v := range ss.planned(s) {
		if !v.ok { // nothing is known of it any more
			continue
		}
		ordered = ordered.add(v.problem.profiles[0].ordersOf(v.known.solutions[0], f.dims), f.dims)
	}
	for n, d := range f.dims {
		if !only || ordered[n] < d.least {
			by[n] = solver.MaxCost
		}
	}
	return by
}

// sensible lowers multipliers to those at which it does not pay yet to buy sticks from which nothing is cut.
func (ss *setSearch) sensible(o plan.Ordered) plan.Ordered {
	each := func(do func(s supply, price, lost model.Money)) {
		for _, pp := range ss.b.profiles {
			for _, s := range pp.supplies {
				for _, tier := range s.tiers {
					if s.supplier == o.Supplier { // a bundle keeps some cost: free ones could be bought without end
						do(s, tier.price, min(tier.price-s.spare*model.Money(s.bundle), max(0, tier.price-1)))
					}
				}
			}
		}
	}
	each(func(s supply, price, lost model.Money) {
		if price > 0 {
			o.MoneyMultiplier = min(o.MoneyMultiplier, shareIs(int64(lost), int64(price)))
		}
	})
	each(func(s supply, price, lost model.Money) {
		o.StickMultiplier = min(o.StickMultiplier, (lost-model.Money(shareOf(int64(price), o.MoneyMultiplier)))/model.Money(s.bundle))
	})
	return o
}

// share returns the multipliers of suppliers that are open in a variant.
func (v *variant) share(multipliers []plan.Ordered) (own []plan.Ordered) {
	for _, o := range multipliers {
		if slices.Contains(v.open, o.Supplier) {
			own = append(own, o)
		}
	}
	return own
}

// multipliersByDim gives multipliers by dim.
func multipliersByDim(ordered []plan.Ordered, dims []dim) (l multipliers) {
	for n, d := range dims {
		for _, o := range ordered {
			switch {
			case o.Supplier != d.supplier:
			case d.sticks:
				l[n] = int64(o.StickMultiplier)
			default:
				l[n] = o.MoneyMultiplier
			}
		}
	}
	return l
}

// variantsNow gives the variants of a set's profiles at the last multipliers.
func (ss *setSearch) variantsNow(s *supplierSet) (now []*variant) {
	for n, v := range ss.planned(s) {
		if own := s.variants[n].share(s.ordering.multipliers); own != nil {
			v = ss.variant(n, s.variants[n].open, own)
		}
		now = append(now, v)
	}
	return now
}
