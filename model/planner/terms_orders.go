package planner

import (
	"cmp"
	"context"
	"longpoint/model"
	"longpoint/model/plan"
	"slices"
)

// nodesOff bounds the search trees of profiles at lowered prices: their bounds are only to guide.
const nodesOff = 1

// mostRounds bounds the multipliers that are tried for a set of suppliers.
const mostRounds = 5

// ordering is the work on the plans that order from all suppliers of a set, and so much as they ask.
type ordering struct {
	dims       []dim
	amounts    [][]amounts // that each task can order
	plans      [][]alonePlan
	costs      [][]sum             // of plans, and with more bundles
	seen       map[*variant]effort // whose plans are among them, with the effort that they were found by
	weights    []weights
	off        []plan.Ordered // the last multipliers
	rounds     int            // of multipliers
	less, more point          // plans at multipliers that order no more than what is asked, and more
	low, high  []plan.Ordered // multipliers by supplier with which no more is ordered than what is asked, and more
	bound      model.Money
	lower      [][]sum // bounds on each task's cost, for everything that it can order
	picked     []int   // which of them make up the bound
	weighed    int     // search.rounds when that was last found out
	stuck      bool    // nothing more can be done about it
}

// fillOrders raises the bounds of the sets, the least first, until none is below the best plan. Plans that come to what the
// suppliers ask are found on the way. It takes no longer than the search of a profile may.
func (w *search) fillOrders(ctx context.Context) error {
	clock, stop := context.WithTimeout(ctx, w.o.TimeLimit)
	defer stop()
	for clock.Err() == nil {
		var next *set
		for _, s := range w.sets {
			if (w.best == nil || w.boundOf(s) < w.best.cost) && (s.ordering == nil || !s.ordering.stuck) && (next == nil || w.boundOf(s) < w.boundOf(next)) {
				next = s
			}
		}
		if next == nil {
			return nil
		}
		if err := w.fill(clock, next); err != nil {
			return err
		}
	}
	w.late = true
	return nil
}

// fill goes one step on with a set: it plans for the next multipliers, or for what profiles order at the bound.
func (w *search) fill(ctx context.Context, s *set) error {
	if s.ordering == nil {
		s.ordering = w.newOrdering(s)
	}
	if !s.ordering.stuck && s.ordering.weighed != w.rounds {
		w.weigh(s) // with what was found for other sets meanwhile
	}
	if s.ordering.stuck || w.best != nil && w.boundOf(s) >= w.best.cost {
		return nil
	}
	tasks, orders := w.multipliers(s)
	var far []effort
	if tasks == nil {
		tasks, orders, far = w.doubtful(s)
	}
	if tasks == nil {
		s.ordering.stuck = true
		return nil
	}
	var at []int
	var variants []*variant
	for m, n := range tasks {
		v := w.variant(n, s.variants[n].open, orders[m])
		switch {
		case far != nil:
			v.effort = far[m]
		case v.tried: // for another set
			continue
		default:
			v.effort = effort{nodes: nodesOff}
		}
		v.tried = true
		at, variants = append(at, n), append(variants, v)
	}
	for from := 0; from < len(at); from += w.o.Workers {
		to := min(from+w.o.Workers, len(at))
		if err := w.solve(ctx, at[from:to], variants[from:to]); err != nil {
			return err
		}
	}
	w.weigh(s)
	return nil
}

// newOrdering begins with a set. Of suppliers whose orders are too many to keep count of the last are not heeded. It is stuck where
// nothing is left to heed, or a profile cannot be cut.
func (w *search) newOrdering(s *set) *ordering {
	f := &ordering{seen: map[*variant]effort{}, plans: make([][]alonePlan, len(w.all)), costs: make([][]sum, len(w.all)), weights: []weights{{}}}
	var terms []model.Supplier
	for _, t := range w.b.terms {
		if slices.Contains(s.open, t.Name) {
			terms = append(terms, t)
		}
	}
	if f.stuck = slices.ContainsFunc(s.variants, func(v *variant) bool { return !v.ok }); f.stuck {
		return f
	}
	for f.dims = dimsOf(terms); len(f.dims) > 0; {
		f.amounts = nil
		for _, t := range w.b.tasks {
			own := t.orderable(f.dims)
			if own == nil {
				break
			}
			f.amounts = append(f.amounts, own)
		}
		if len(f.amounts) == len(w.b.tasks) {
			return f
		}
		last := f.dims[len(f.dims)-1].supplier
		f.dims = slices.DeleteFunc(f.dims, func(d dim) bool { return d.supplier == last })
	}
	f.stuck = true
	return f
}

// weigh finds the best plan of what is known for the set, and the bound.
func (w *search) weigh(s *set) {
	f := s.ordering
	f.weighed = w.rounds
	for n := range w.all {
		for _, v := range w.all[n] {
			if known, ok := f.seen[v]; v.ok && (!ok || known != v.effort) && s.variants[n].opens(v) {
				f.seen[v] = v.effort
				f.know(n, v)
			}
		}
	}
	if best, ok := f.counting(false).cheapest(f.costs, w.limit(s)); ok && best != nil {
		var plans []alonePlan
		for n, at := range best.chosen(len(w.all)) {
			plans = append(plans, f.plans[n][at])
		}
		w.take(w.b.planOf(plans))
	}
	f.lower = nil
	for n := range w.all {
		f.lower = append(f.lower, w.lower(s, n))
	}
	least, ok := f.counting(true).cheapest(f.lower, w.limit(s))
	switch {
	case !ok:
		f.stuck = f.rounds == mostRounds // with multipliers it may be few enough
	case least == nil:
		f.bound = s.delivery + w.limit(s)
	default:
		f.bound = max(f.bound, s.delivery+least.cost)
		f.picked = least.chosen(len(w.all))
	}
}

// counting is how sums of the set are added up.
func (f *ordering) counting(up bool) counting { return counting{f.dims, f.weights, mostPairs, up} }

// limit is what the profiles must cost less than together to be better than the best plan.
func (w *search) limit(s *set) model.Money {
	if w.best == nil {
		return maxSum
	}
	return w.best.cost - s.delivery
}

// lower bounds what a profile costs, for everything that it can order.
func (w *search) lower(s *set, n int) (out []sum) {
	f := s.ordering
	for at, x := range f.amounts[n] {
		one := sum{amounts: x, n: at}
		for _, v := range w.all[n] {
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

// know adds the plan of a task's variant, and what it costs with more bundles of one list.
func (f *ordering) know(n int, v *variant) {
	t, c := v.batch.tasks[0], v.courses[0]
	cost := t.figures(c, 0).Cost
	add := func(c course, cost model.Money) {
		f.costs[n] = append(f.costs[n], sum{amounts: t.ordersOf(c, f.dims), cost: cost, n: len(f.plans[n])})
		f.plans[n] = append(f.plans[n], alonePlan{v, c})
	}
	add(c, cost)
	for m, s := range t.supplies {
		if !slices.ContainsFunc(f.dims, func(d dim) bool { return d.supplier == s.supplier }) {
			continue
		}
		for more, have := int64(1), c.bundles[m]; have+more == 1 || !s.fills(f.dims, have+more-1); more++ {
			if !s.sells(have + more) {
				continue
			}
			other := c
			other.bundles = slices.Clone(c.bundles)
			other.bundles[m] += more
			add(other, cost+s.pays(have+more)-s.pays(have)-s.spare*model.Money(more*int64(s.bundle)))
		}
	}
}

// doubtful gives the tasks whose bound at what they order is most below the best plan that is known for it, what they order, and a
// bound for it that is enough: with no less it is part of no better plan.
func (w *search) doubtful(s *set) (tasks []int, orders [][]plan.Ordered, far []effort) {
	f := s.ordering
	doubt := make([]model.Money, len(w.all))
	var open []int
	for n, at := range f.picked {
		x, plan := f.lower[n][at], model.Money(maxSum)
		for _, c := range f.costs[n] {
			if c.covers(x.amounts) {
				plan = min(plan, c.cost)
			}
		}
		if doubt[n] = plan - x.cost; doubt[n] > 0 && x.amounts != (amounts{}) {
			open = append(open, n)
		}
	}
	slices.SortStableFunc(open, func(x, y int) int { return cmp.Compare(doubt[y], doubt[x]) })
	for _, n := range open {
		x := f.lower[n][f.picked[n]].amounts
		own, enough := x.orders(f.dims), f.enough(n, w.limit(s))
		if v := w.variant(n, s.variants[n].open, own); !v.tried || v.solved && v.proof.gap > 0 && !v.effort.covers(enough) {
			tasks, orders, far = append(tasks, n), append(orders, own), append(far, effort{enough: enough})
		}
		if len(tasks) == w.o.Workers {
			break
		}
	}
	return tasks, orders, far
}

// covers says whether a search went so far already.
func (e effort) covers(enough model.Money) bool {
	return e.enough == 0 || enough > 0 && e.enough >= enough
}

// enough is the bound on what a task costs at what it orders now with which no plan comes to less than the limit; 0: it is not known.
func (f *ordering) enough(n int, limit model.Money) model.Money {
	others := slices.Clone(f.lower)
	others[n] = []sum{{amounts: f.lower[n][f.picked[n]].amounts}}
	if rest, ok := f.counting(true).cheapest(others, limit); ok && rest != nil {
		return limit - rest.cost
	}
	return 0
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

// point is a plan of all profiles at some multiplier: what it orders of the one supplier that it falls short with, and what it costs.
type point struct {
	ordered int64
	cost    model.Money
}

// multipliers gives what is to be taken off next where the plans of a set, made without regard to what is asked, fall short of it: at
// first as much as makes a bundle that nothing is cut from cost nothing, for more than that has no sense. Where one supplier
// is short the next ones are where the lines of the two plans cross that order less and more than what is asked (Kelley's method in one
// dimension); where several are, halfway between those with which too much is ordered from each and too little.
func (w *search) multipliers(s *set) (tasks []int, orders [][]plan.Ordered) {
	f := s.ordering
	if f.rounds == mostRounds {
		return nil, nil
	}
	var off []plan.Ordered
	if f.rounds == 0 {
		off = w.firstOff(s)
	} else if len(f.off) == 1 {
		off = w.nextOff(s)
	} else {
		off = w.halfOff(s)
	}
	if len(off) == 0 {
		f.rounds = mostRounds
		return nil, nil
	}
	f.rounds++
	f.off = off
	f.weights = append(f.weights, weightsOf(off, f.dims))
	for n := range w.all {
		if own := f.offOf(s.variants[n]); own != nil {
			tasks, orders = append(tasks, n), append(orders, own)
		}
	}
	return tasks, orders
}

// offOf is what is taken off for a variant's task.
func (f *ordering) offOf(v *variant) (own []plan.Ordered) {
	for _, o := range f.off {
		if slices.Contains(v.open, o.Supplier) {
			own = append(own, o)
		}
	}
	return own
}

// weightsOf gives multipliers by dim.
func weightsOf(off []plan.Ordered, dims []dim) (l weights) {
	for n, d := range dims {
		for _, o := range off {
			switch {
			case o.Supplier != d.supplier:
			case d.sticks:
				l[n] = int64(o.OffStick)
			default:
				l[n] = o.OffShare
			}
		}
	}
	return l
}

// firstOff gives, for each supplier of whose least order the plans of a set fall short, what can be taken off at most.
func (w *search) firstOff(s *set) (off []plan.Ordered) {
	for _, terms := range w.b.terms {
		if !slices.Contains(s.open, terms.Name) {
			continue
		}
		money, sticks, _, ok := w.ordered(s.variants, terms.Name)
		if !ok {
			return nil
		}
		share, stick := w.mostOff(terms.Name)
		shortMoney, shortSticks := max(0, int64(terms.LeastAmount()-money)), max(0, int64(terms.LeastSticks)-sticks)
		byMoney, bySticks := shareOf(shortMoney, share), int64(stick)*shortSticks
		o := plan.Ordered{Supplier: terms.Name}
		switch {
		case byMoney > bySticks:
			o.OffShare = share
		case bySticks > 0:
			o.OffStick = stick
		default:
			continue
		}
		off = append(off, o)
	}
	return off
}

// mostOff is what can be taken off a supplier's prices, as a share in millionths and for each stick, without making anybody want
// sticks that nothing is cut from.
func (w *search) mostOff(supplier string) (share int64, stick model.Money) {
	share, stick = million, maxSum
	for _, t := range w.b.tasks {
		for _, s := range t.supplies {
			for _, tier := range s.tiers {
				if s.supplier != supplier {
					continue
				}
				lost := min(tier.price-s.spare*model.Money(s.bundle), max(0, tier.price-1)) // at no cost there is no end to it
				stick = min(stick, lost/model.Money(s.bundle))
				if tier.price > 0 {
					share = min(share, shareIs(int64(lost), int64(tier.price)))
				}
			}
		}
	}
	return share, stick
}

// ordered is what plans of all profiles order from a supplier, and what they cost; false where there is not one of each.
func (w *search) ordered(variants []*variant, supplier string) (money model.Money, sticks int64, cost model.Money, ok bool) {
	for _, v := range variants {
		if !v.ok {
			return 0, 0, 0, false
		}
		b := batch{tasks: v.batch.tasks}
		m, n := b.ordered(v.courses, supplier)
		money, sticks = money+m, sticks+n
		cost += v.batch.tasks[0].figures(v.courses[0], 0).Cost
	}
	return money, sticks, cost, true
}

// nextOff gives the next multiplier of the one supplier that is short.
func (w *search) nextOff(s *set) []plan.Ordered {
	f := s.ordering
	last := f.off[0]
	n := slices.IndexFunc(f.dims, func(d dim) bool { return d.supplier == last.Supplier && d.sticks == (last.OffStick > 0) })
	if n < 0 {
		return nil
	}
	at := func(variants []*variant) (point, bool) {
		money, sticks, cost, ok := w.ordered(variants, last.Supplier)
		if f.dims[n].sticks {
			return point{sticks, cost}, ok
		}
		return point{int64(money), cost}, ok
	}
	now := w.atOff(s)
	p, ok := at(now)
	if !ok {
		return nil
	}
	if f.rounds == 1 {
		f.less, _ = at(s.variants)
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
		next.OffStick = max(0, min(cost/model.Money(ordered), last.OffStick))
	} else {
		next.OffShare = max(0, min(shareIs(int64(cost), ordered), last.OffShare))
	}
	if slices.Contains(f.weights, weightsOf([]plan.Ordered{next}, f.dims)) {
		return nil
	}
	return []plan.Ordered{next}
}

// halfOff gives the next multipliers where several suppliers are short.
func (w *search) halfOff(s *set) (next []plan.Ordered) {
	f := s.ordering
	now := w.atOff(s)
	if f.rounds == 1 {
		f.low, f.high = make([]plan.Ordered, len(f.off)), slices.Clone(f.off)
	}
	for n, o := range f.off {
		money, sticks, _, ok := w.ordered(now, o.Supplier)
		if !ok {
			return nil
		}
		terms := w.b.terms[w.b.order(o.Supplier)]
		if o.OffStick > 0 && sticks > int64(terms.LeastSticks) || o.OffShare > 0 && money > terms.LeastAmount() {
			f.high[n] = o
		} else {
			f.low[n] = o
		}
		next = append(next, plan.Ordered{Supplier: o.Supplier, OffShare: (f.low[n].OffShare + f.high[n].OffShare) / 2, OffStick: (f.low[n].OffStick + f.high[n].OffStick) / 2})
	}
	if slices.Contains(f.weights, weightsOf(next, f.dims)) {
		return nil
	}
	return next
}

// atOff gives the variants of a set's tasks at the last multipliers.
func (w *search) atOff(s *set) (now []*variant) {
	for n, v := range s.variants {
		if own := s.ordering.offOf(v); own != nil {
			v = w.variant(n, v.open, own)
		}
		now = append(now, v)
	}
	return now
}
