package planner

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"

	"longpoint/model"
)

// The least cost of profiles that together order what is asked is a knapsack with a choice for each profile. With a multiplier w for each dim every
// combination costs at least
//
//	w · asked + Σ_p min_x (cost_p(x) − w · x)
//
// Good multipliers are found by subgradient steps (M. Held, R. M. Karp, Mathematical Programming 1, 1971; from memory). Then the profiles are added up one by one,
// and only sums are kept that, with the least of the other profiles, stay below a limit just above that bound; where there is no combination, the limit is
// raised. So few sums are looked at, however much may be ordered. The bound is worked out in floating point and only drops what is above the limit by more
// than it errs by.

// mostPairs bounds the pairs of a sum and an amount of the next profile; a 64th of it bounds the sums that are kept. Where there are
// more, money is counted in units of two, four, eight and more minor units. It is firstPairs at first, and pairsFactor times more each time that
// nothing else is left to do for a set: counting to the last unit may take seconds, and is of no use while plans are far from the bound.
const firstPairs, pairsFactor, mostPairs = 1 << 17, 4, 1 << 21

// After so many sums cheapest looks whether its context has ended.
const sumsBetween = 64

// sum is amounts and a cost, of one profile or of several.
type sum struct {
	amounts
	cost    model.Money
	n       int  // which of the profile's
	profile int  // of several: the last one's
	rest    *sum // of the others
}

// prices is a Lagrangian multiplier for a minor unit or a stick of each dim.
type prices [mostDims]float64

// guess is where to begin: with what the last counting ended with.
type guess struct {
	prices prices
	room   model.Money // how far above its bound the cheapest combination was
}

// counting is how sums are added up.
type counting struct {
	dims  []dim
	start *guess // nil: nothing is known
	pairs int    // at most
	up    bool   // amounts of money are rounded up to units, for a bound; else down, so that a plan that is found orders enough
}

// counted is what counting has found.
type counted struct {
	best  *sum        // the cheapest combination; nil: none below the limit was found
	least model.Money // none costs less, or less than the limit
	exact bool        // money was counted to the last unit
	by    *relaxation // that bounds it; nil: there is no combination at all
}

// cheapest takes one sum of each profile so that together they come to what is asked at the least cost, where that is less than limit.
func (c counting) cheapest(ctx context.Context, profiles [][]sum, limit model.Money) counted {
	dearest := model.Money(1)
	for _, own := range profiles {
		if len(own) == 0 {
			return counted{least: limit, exact: true}
		}
		most := slices.MaxFunc(own, func(a, b sum) int { return cmp.Compare(a.cost, b.cost) })
		dearest = min(maxSum, dearest+most.cost)
	}
	found := counted{least: limit, exact: true}
	limit = min(limit, dearest)
	found.by = c.relax(profiles, limit)
	start := found.by.least()
	room := model.Money(firstRoom)
	if c.start != nil {
		room = max(room, c.start.room+c.start.room/roomFactor)
	}
	for at := start; at < limit; room *= roomFactor {
		below := min(limit, at+room)
		best, exact, ok := c.below(ctx, found.by, below)
		found.exact = exact
		switch {
		case !ok:
			return counted{least: at, by: found.by}
		case best != nil:
			found.best, found.least = best, best.cost
			if c.start != nil {
				c.start.room = best.cost - start
			}
			return found
		}
		at = below
	}
	return found
}

// firstRoom is how far above its bound the cheapest combination is looked for first, in minor units. It grows by roomFactor each time.
const firstRoom, roomFactor = 16, 4

// relaxation is the Lagrangian relaxation of what is asked.
type relaxation struct {
	dims   []dim
	lists  [][]sum // of the profiles, without what comes to the limit or more
	prices prices
	low    []float64 // of each profile: its least cost, less what it orders times the prices
	value  float64
	errs   float64 // more than any such sum errs by
}

// subgradientSteps are made in each of subgradientRounds, and then the sums that come to the limit are left out. After so many steps without a better
// bound a lower one is aimed at.
const subgradientSteps, subgradientRounds, subgradientIdle = 60, 3, 5

// relax looks for multipliers that bound well.
func (c counting) relax(profiles [][]sum, limit model.Money) *relaxation {
	r := &relaxation{dims: c.dims, lists: make([][]sum, len(profiles)), low: make([]float64, len(profiles))}
	for n, own := range profiles {
		r.lists[n] = c.inUnits(own, 1)
	}
	if c.start != nil {
		r.prices = c.start.prices
	}
	r.evaluate()
	for range subgradientRounds {
		r.improve(float64(limit))
		r.errs = 1e-9 * (1 + math.Abs(r.value))
		for n := range r.lists {
			r.errs += 1e-9 * math.Abs(r.low[n])
		}
		for n, own := range r.lists {
			r.lists[n] = slices.DeleteFunc(own, func(s sum) bool { return r.exceeds(r.reduced(&s)-r.low[n]+r.value, limit) })
			if len(r.lists[n]) == 0 { // all combinations come to the limit
				r.lists[n] = nil
				r.value = float64(limit)
				return r
			}
		}
	}
	if c.start != nil {
		c.start.prices = r.prices
	}
	return r
}

// least is the bound in minor units.
func (r *relaxation) least() model.Money { return model.Money(math.Ceil(r.value - r.errs)) }

// exceeds says whether a cost that is bounded so is limit or more: costs are whole numbers.
func (r *relaxation) exceeds(bound float64, limit model.Money) bool {
	return bound > float64(limit-1)+r.errs
}

// reduced is a sum's cost, less what it orders times the prices.
func (r *relaxation) reduced(s *sum) float64 { return float64(s.cost) - r.times(&s.amounts) }

// needed is what a profile that orders so much must cost at least to be part of no combination below limit, by the relaxation of the others.
func (r *relaxation) needed(n int, a amounts, limit model.Money) model.Money {
	return limit - model.Money(math.Floor(r.value-r.low[n]-r.times(&a)-r.errs))
}

// times is amounts times the prices.
func (r *relaxation) times(a *amounts) (v float64) {
	for d := range r.dims {
		v += r.prices[d] * float64(a[d])
	}
	return v
}

// evaluate works out the bound at the prices, and by how much the amounts at which it is reached fall short of what is asked, as shares of it.
func (r *relaxation) evaluate() (short prices) {
	all := asked(r.dims)
	r.value = r.times(&all)
	for d := range r.dims {
		short[d] = 1
	}
	for n, own := range r.lists {
		best := 0
		r.low[n] = r.reduced(&own[0])
		for at := 1; at < len(own); at++ {
			if v := r.reduced(&own[at]); v < r.low[n] {
				best, r.low[n] = at, v
			}
		}
		r.value += r.low[n]
		for d, q := range r.dims {
			short[d] -= float64(own[best].amounts[d]) / float64(q.least)
		}
	}
	return short
}

// improve makes subgradient steps, each as long as it takes to a value that is aimed at, and ends at the best prices.
func (r *relaxation) improve(limit float64) {
	short := r.evaluate()
	best, bestValue, bestShort := r.prices, r.value, short
	above, idle := max(1, min(limit-bestValue, 0.1*math.Abs(bestValue))), 0
	for range subgradientSteps {
		size := 0.0
		for d := range r.dims {
			if short[d] > 0 || r.prices[d] > 0 {
				size += short[d] * short[d]
			}
		}
		if size < 1e-12 || above < 0.5 {
			break
		}
		for d, q := range r.dims {
			r.prices[d] = max(0, r.prices[d]+(bestValue+above-r.value)/size*short[d]/float64(q.least))
		}
		if short = r.evaluate(); r.value > bestValue {
			if r.value > bestValue+above/4 {
				idle = 0
			}
			best, bestValue, bestShort = r.prices, r.value, short
		}
		if idle++; idle == subgradientIdle {
			r.prices, r.value, short, idle = best, bestValue, bestShort, 0
			above /= 2
		}
	}
	r.prices = best
	r.evaluate()
}

// below looks for the cheapest combination below limit. False: there are too many sums even in units, or ctx has ended.
func (c counting) below(ctx context.Context, r *relaxation, limit model.Money) (best *sum, exact, ok bool) {
	own := make([][]sum, len(r.lists))
	order := make([]int, len(r.lists))
	for n, list := range r.lists {
		order[n] = n
		for _, s := range list {
			if !r.exceeds(r.reduced(&s)-r.low[n]+r.value, limit) {
				own[n] = append(own[n], s)
			}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(own[a]), len(own[b])) }) // what fills up any order comes last
	rest, reach := 0.0, make([]amounts, len(order)+1)                                                 // of the profiles from so many on
	for n := len(order) - 1; n >= 0; n-- {
		rest += r.low[order[n]]
		for _, s := range own[order[n]] {
			for d := range c.dims {
				reach[n][d] = max(reach[n][d], s.amounts[d])
			}
		}
		reach[n] = reach[n].add(reach[n+1], c.dims)
	}
	unit, sums := int64(1), []sum{{}}
	for n, p := range order {
		rest -= r.low[p]
		a := adding{counting: c, r: r, profile: p, rest: rest, reach: reach[n+1], limit: limit, unit: unit}
		if n == len(order)-1 {
			best, ok = a.last(ctx, sums, own[p])
			return best, unit == 1, ok
		}
		if sums, ok = a.add(ctx, sums, own[p]); !ok {
			return nil, false, false
		}
		unit = a.unit
	}
	return nil, unit == 1, true
}

// adding adds one profile's sums to those of others.
type adding struct {
	counting
	r       *relaxation
	profile int
	rest    float64 // the least of the profiles to come
	reach   amounts // what they can order
	limit   model.Money
	unit    int64 // that money is counted in
}

// add gives the sums that may come to less than the limit. Where they are too many it counts in a coarser unit.
func (a *adding) add(ctx context.Context, sums, own []sum) ([]sum, bool) {
	c, all := a.counting, asked(a.dims)
	if a.unit > 1 {
		own = c.inUnits(own, a.unit)
	}
	reduced := a.byReduced(own)
	for a.pairsOf(sums, reduced) > c.pairs {
		if !a.coarser(a.pairsOf(sums, reduced), c.pairs, 2) {
			return nil, false
		}
		sums, own = c.inUnits(sums, a.unit), c.inUnits(own, a.unit)
		reduced = a.byReduced(own)
	}
	best := map[amounts]sum{}
	for at := range sums {
		if at%sumsBetween == 0 && ctx.Err() != nil {
			return nil, false
		}
		for n := range own[:a.promising(&sums[at], reduced)] {
			o := &own[n]
			s := sum{c.rounded(sums[at].add(o.amounts, c.dims), a.unit), sums[at].cost + o.cost, o.n, a.profile, &sums[at]}
			short := all
			for d := range c.dims {
				short[d] -= s.amounts[d]
			}
			if s.amounts.add(a.reach, c.dims) != all || a.r.exceeds(float64(s.cost)+a.r.times(&short)+a.rest, a.limit) {
				continue
			}
			if known, ok := best[s.amounts]; !ok || s.cost < known.cost {
				best[s.amounts] = s
			}
		}
	}
	next := c.lean(slices.Collect(maps.Values(best)))
	for ; len(next) > c.pairs/16; next = c.inUnits(next, a.unit) {
		if !a.coarser(len(next), c.pairs/16, 1) {
			return nil, false
		}
	}
	return next, true
}

// last gives the cheapest sum that comes to what is asked: of each of the others with the cheapest of the last profile that does.
func (a *adding) last(ctx context.Context, sums, own []sum) (best *sum, ok bool) {
	all, below := asked(a.dims), a.limit
	slices.SortStableFunc(own, func(x, y sum) int { return cmp.Compare(x.cost, y.cost) })
	for at := range sums {
		if at%sumsBetween == 0 && ctx.Err() != nil {
			return nil, false
		}
		for n := range own {
			cost := sums[at].cost + own[n].cost
			if cost >= below {
				break
			}
			if sums[at].add(own[n].amounts, a.dims) == all {
				best, below = &sum{all, cost, own[n].n, a.profile, &sums[at]}, cost
				break
			}
		}
	}
	return best, true
}

// byReduced puts a profile's sums in the order of their reduced costs, which it gives.
func (a *adding) byReduced(own []sum) []float64 {
	slices.SortStableFunc(own, func(x, y sum) int { return cmp.Compare(a.r.reduced(&x), a.r.reduced(&y)) })
	out := make([]float64, len(own))
	for n := range own {
		out[n] = a.r.reduced(&own[n])
	}
	return out
}

// promising is with how many of a profile's sums one of the others may come to less than the limit, the amounts above what is asked counted as well.
func (a *adding) promising(s *sum, reduced []float64) int {
	all := asked(a.dims)
	room := float64(a.limit-1) + a.r.errs - a.r.reduced(s) - a.r.times(&all) - a.rest
	n, _ := slices.BinarySearchFunc(reduced, room, func(v, room float64) int {
		if v <= room {
			return -1
		}
		return 1
	})
	return n
}

// pairsOf is how many pairs there are of sums and a profile's sums.
func (a *adding) pairsOf(sums []sum, reduced []float64) (pairs int) {
	for n := range sums {
		pairs += a.promising(&sums[n], reduced)
	}
	return pairs
}

// coarser counts in units so great that so many sums in so many lists can be few enough. False: then nothing would be told apart.
func (a *adding) coarser(have, most, lists int) bool {
	for halved := have; halved > most; halved >>= lists * max(1, a.monies()) {
		if a.unit *= 2; a.unit > a.most() {
			return false
		}
	}
	return true
}

// most is the most money that is asked.
func (c counting) most() (most int64) {
	for _, d := range c.dims {
		if !d.sticks {
			most = max(most, d.least)
		}
	}
	return most
}

// monies is how many dims are of money.
func (c counting) monies() (n int) {
	for _, d := range c.dims {
		if !d.sticks {
			n++
		}
	}
	return n
}

// rounded counts money in units.
func (c counting) rounded(a amounts, unit int64) amounts {
	if unit == 1 {
		return a
	}
	for n, d := range c.dims {
		switch {
		case d.sticks || a[n] == d.least:
		case c.up:
			a[n] = min(d.least, (a[n]+unit-1)/unit*unit)
		default:
			a[n] = a[n] / unit * unit
		}
	}
	return a
}

// inUnits counts the money of sums in units, and leaves out those that are of no use.
func (c counting) inUnits(sums []sum, unit int64) []sum {
	out := slices.Clone(sums)
	for n := range out {
		out[n].amounts = c.rounded(out[n].amounts, unit)
	}
	return c.lean(out)
}

// lean sorts sums by what they order, most first, and leaves out those that order no more than one that is as cheap: of the first two dims, among sums that
// come to the same of all others.
func (c counting) lean(sums []sum) []sum {
	slices.SortFunc(sums, func(a, b sum) int {
		return cmp.Or(slices.Compare(b.amounts[2:], a.amounts[2:]), slices.Compare(b.amounts[:2], a.amounts[:2]), cmp.Compare(a.cost, b.cost), cmp.Compare(a.n, b.n))
	})
	var kept []sum // of those that come to the same of all others: by what is ordered of the second dim, rising, and so by cost
	out := sums[:0]
	for _, s := range sums {
		if len(out) > 0 && !slices.Equal(out[len(out)-1].amounts[2:], s.amounts[2:]) {
			kept = kept[:0]
		}
		at, _ := slices.BinarySearchFunc(kept, s.amounts[1], func(k sum, second int64) int { return cmp.Compare(k.amounts[1], second) })
		if at < len(kept) && kept[at].cost <= s.cost {
			continue
		}
		out = append(out, s)
		end := at
		if end < len(kept) && kept[end].amounts[1] == s.amounts[1] {
			end++
		}
		from := at
		for from > 0 && kept[from-1].cost >= s.cost {
			from--
		}
		kept = slices.Replace(kept, from, end, s)
	}
	return out
}

// chosen is which sum of each of so many profiles makes up this one.
func (s *sum) chosen(profiles int) []int {
	out := make([]int, profiles)
	for ; s.rest != nil; s = s.rest {
		out[s.profile] = s.n
	}
	return out
}
