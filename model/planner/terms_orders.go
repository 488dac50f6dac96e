package planner

import (
	"cmp"
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// multiplierNodes bounds the search trees of profiles at lowered prices, whose bounds only show where to search next.
const multiplierNodes = 1

// mostRounds bounds the multipliers that are tried for a set of suppliers.
const mostRounds = 5

// ordering looks for the cheapest plans that order from every supplier of a set at least what it asks, and for a bound on them.
type ordering struct {
	dims        []dim
	amounts     [][]amounts // that each profile can order
	plans       [][]variantPlan
	costs       [][]sum                  // of plans, and with more bundles
	seen        map[*variant]model.Money // whose plans are among them, and what the last of them cost
	tried       []multipliers
	multipliers []plan.Ordered   // the last multipliers
	weights     [][]plan.Ordered // all multipliers so far, by supplier
	rounds      int              // of multipliers
	less, more  point            // plans at multipliers that order no more than what is asked, and more
	low, high   []plan.Ordered   // multipliers by supplier with which no more is ordered than what is asked, and more
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
	profiles, orders := ss.nextMultipliers(s)
	var cutoffs []model.Money
	if profiles == nil && !s.ordering.uncounted {
		profiles, orders, cutoffs = ss.widestGaps(s)
	}
	if profiles == nil {
		return ss.countFiner(ctx, s), nil
	}
	var at []int
	var variants []*variant
	for m, n := range profiles {
		v := ss.variant(n, s.variants[n].open, orders[m])
		switch {
		case cutoffs != nil:
			v.cutoff = cutoffs[m]
		case v.turns > 0: // for another set
			continue
		}
		at, variants = append(at, n), append(variants, v)
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

// multiplied says whether the variant's prices are lowered: it only shows where to search next.
func (v *variant) multiplied() bool {
	return slices.ContainsFunc(v.orders, func(o plan.Ordered) bool { return o.MoneyMultiplier > 0 || o.StickMultiplier > 0 })
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
	f.uncounted = true
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
			if known, ok := f.seen[v]; !f.uncounted && v.ok && (!ok || known != v.known.cost) && v.ordersOnlyFrom(s.variants[n].open) {
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
		one := sum{amounts: x}
		for _, v := range ss.all[n] {
			if v.solved && v.opens(s.variants[n]) {
				if bound, ok := v.at(x, f.dims); ok {
					one.cost = max(one.cost, bound)
				}
			}
		}
		out = append(out, one)
	}
	return out
}

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
		for more, have := int64(1), sol.bundles[m]; have+more == 1 || !s.fills(f.dims, have+more-1); more++ {
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

// widestGaps returns the profiles with the widest gap between the bound on what they order and the cheapest plan known that orders as much;
// with each, what it orders and the cutoff of its search (relaxation.needed). There are no more of them than workers.
func (ss *setSearch) widestGaps(s *supplierSet) (profiles []int, orders [][]plan.Ordered, cutoffs []model.Money) {
	f := s.ordering
	gap := make([]model.Money, len(ss.all))
	var open []int
	for n, x := range f.picked {
		plan := model.Money(maxSum)
		for _, c := range f.costs[n] {
			if c.covers(x.amounts) {
				plan = min(plan, c.cost)
			}
		}
		if gap[n] = plan - x.cost; gap[n] > 0 && x.amounts != (amounts{}) {
			open = append(open, n)
		}
	}
	slices.SortStableFunc(open, func(x, y int) int { return cmp.Compare(gap[y], gap[x]) })
	for _, n := range open {
		x := f.picked[n].amounts
		own, needed := x.orders(f.dims), f.by.needed(n, x, ss.limit(s))
		if v := ss.variant(n, s.variants[n].open, own); v.unfinished() && (!v.solved || v.bound < needed) {
			profiles, orders, cutoffs = append(profiles, n), append(orders, own), append(cutoffs, needed)
		}
		if len(profiles) == ss.o.Workers {
			break
		}
	}
	return profiles, orders, cutoffs
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

// point is what the plans of all profiles at some multiplier order from the one supplier whose least they do not reach, and what they cost.
type point struct {
	ordered int64
	cost    model.Money
}

// nextMultipliers returns the next Lagrangian multipliers for a set whose plans order less than suppliers ask, and the profiles to plan with
// them. The first multipliers lower prices until a bundle from which nothing is cut costs nothing; lower prices make no sense. If one supplier is short, the
// next multiplier is where the lines of two plans cross, one that orders less than is asked and one that orders more (Kelley's method in one
// dimension). If several are, each next multiplier is halfway between one with which too little is ordered and one with which too much is.
func (ss *setSearch) nextMultipliers(s *supplierSet) (profiles []int, orders [][]plan.Ordered) {
	f := s.ordering
	if f.rounds == mostRounds {
		return nil, nil
	}
	var next []plan.Ordered
	if f.rounds == 0 {
		next = ss.firstMultipliers(s)
	} else if len(f.multipliers) == 1 {
		next = ss.crossing(s)
	} else {
		next = ss.halved(s)
	}
	if len(next) == 0 {
		f.rounds = mostRounds
		return nil, nil
	}
	f.rounds++
	f.multipliers, f.weights = next, append(f.weights, next)
	f.tried = append(f.tried, multipliersByDim(next, f.dims))
	for n := range ss.all {
		if own := s.variants[n].share(f.multipliers); own != nil {
			profiles, orders = append(profiles, n), append(orders, own)
		}
	}
	return profiles, orders
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

// firstMultipliers returns the greatest multiplier for each supplier whose least order the plans of a set do not reach.
func (ss *setSearch) firstMultipliers(s *supplierSet) (first []plan.Ordered) {
	for _, terms := range s.ordered {
		money, sticks, _, ok := ss.orderTotals(ss.planned(s), terms.Name)
		if !ok {
			return nil
		}
		share, stick := ss.greatestMultipliers(terms.Name)
		shortMoney, shortSticks := max(0, int64(terms.LeastAmount()-money)), max(0, int64(terms.LeastSticks)-sticks)
		byMoney, bySticks := shareOf(shortMoney, share), int64(stick)*shortSticks
		o := plan.Ordered{Supplier: terms.Name}
		switch {
		case byMoney > bySticks:
			o.MoneyMultiplier = share
		case bySticks > 0:
			o.StickMultiplier = stick
		default:
			continue
		}
		first = append(first, o)
	}
	return first
}

// greatestMultipliers returns how much can be taken off a supplier's prices, as a share in millionths and for each stick, before it pays to
// buy sticks from which nothing is cut.
func (ss *setSearch) greatestMultipliers(supplier string) (share int64, stick model.Money) {
	share, stick = million, maxSum
	for _, pp := range ss.b.profiles {
		for _, s := range pp.supplies {
			for _, tier := range s.tiers {
				if s.supplier != supplier {
					continue
				}
				lost := min(tier.price-s.spare*model.Money(s.bundle), max(0, tier.price-1)) // a bundle keeps some cost: free ones could be bought without end
				stick = min(stick, lost/model.Money(s.bundle))
				if tier.price > 0 {
					share = min(share, shareIs(int64(lost), int64(tier.price)))
				}
			}
		}
	}
	return share, stick
}

// orderTotal is what plans of all profiles order from a supplier, and what they cost; false where there is not one of each.
func (ss *setSearch) orderTotals(variants []*variant, supplier string) (money model.Money, sticks int64, cost model.Money, ok bool) {
	for _, v := range variants {
		if !v.ok {
			return 0, 0, 0, false
		}
		b := jointProblem{profiles: v.problem.profiles}
		m, n := b.orderTotal(v.known.solutions, supplier)
		money, sticks = money+m, sticks+n
		cost += v.problem.profiles[0].figures(v.known.solutions[0], 0).Cost
	}
	return money, sticks, cost, true
}

// crossing gives the next multiplier of the one supplier that is short.
func (ss *setSearch) crossing(s *supplierSet) []plan.Ordered {
	f := s.ordering
	last := f.multipliers[0]
	n := slices.IndexFunc(f.dims, func(d dim) bool { return d.supplier == last.Supplier && d.sticks == (last.StickMultiplier > 0) })
	if n < 0 {
		return nil
	}
	at := func(variants []*variant) (point, bool) {
		money, sticks, cost, ok := ss.orderTotals(variants, last.Supplier)
		if f.dims[n].sticks {
			return point{sticks, cost}, ok
		}
		return point{int64(money), cost}, ok
	}
	now := ss.variantsNow(s)
	p, ok := at(now)
	if !ok {
		return nil
	}
	if f.rounds == 1 {
		f.less, _ = at(ss.planned(s))
		f.more = p
	}
	if p.ordered <= f.dims[n].least {
		f.less = p
	} else {
		f.more = p
	}
	if f.more.ordered <= f.dims[n].least || f.less.ordered >= f.more.ordered {
		return nil
	}
	next := plan.Ordered{Supplier: last.Supplier}
	cost, ordered := f.more.cost-f.less.cost, f.more.ordered-f.less.ordered
	if f.dims[n].sticks {
		next.StickMultiplier = max(0, min(cost/model.Money(ordered), last.StickMultiplier))
	} else {
		next.MoneyMultiplier = max(0, min(shareIs(int64(cost), ordered), last.MoneyMultiplier))
	}
	if slices.Contains(f.tried, multipliersByDim([]plan.Ordered{next}, f.dims)) {
		return nil
	}
	return []plan.Ordered{next}
}

// halved gives the next multipliers where several suppliers are short.
func (ss *setSearch) halved(s *supplierSet) (next []plan.Ordered) {
	f := s.ordering
	now := ss.variantsNow(s)
	if f.rounds == 1 {
		f.low, f.high = make([]plan.Ordered, len(f.multipliers)), slices.Clone(f.multipliers)
	}
	for n, o := range f.multipliers {
		money, sticks, _, ok := ss.orderTotals(now, o.Supplier)
		if !ok {
			return nil
		}
		terms := s.way(o.Supplier)
		if o.StickMultiplier > 0 && sticks > int64(terms.LeastSticks) || o.MoneyMultiplier > 0 && money > terms.LeastAmount() {
			f.high[n] = o
		} else {
			f.low[n] = o
		}
		next = append(next, plan.Ordered{Supplier: o.Supplier, MoneyMultiplier: (f.low[n].MoneyMultiplier + f.high[n].MoneyMultiplier) / 2, StickMultiplier: (f.low[n].StickMultiplier + f.high[n].StickMultiplier) / 2})
	}
	if slices.Contains(f.tried, multipliersByDim(next, f.dims)) {
		return nil
	}
	return next
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
