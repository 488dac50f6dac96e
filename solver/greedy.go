package solver

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// prices are what the heuristics compare patterns by: a value of each item and a price of a stick of each kind.
type prices struct {
	item  []int64
	stick []float64 // of a stick of each kind, its limit's dual value included, in units of item
	limit []float64 // the limit's dual value in it
	// fromLP says that the prices are a relaxation's dual values times the scale. Then they bound the cost of the
	// pieces that are left, and a pattern is good enough whose value is its stick's price.
	fromLP bool
}

// pricesAt gives the prices at a master that is solved. Conditions on how many sticks of a kind may be used at most
// count as limits. Conditions that ask for sticks can make the items' dual values small; then the root's are used.
func (s *search) pricesAt(m *master) prices {
	g := s.lpPrices(m)
	if s.root.duals.item == nil || s.demandValue(g.item) > weakDualShare*s.demandValue(s.root.duals.item) {
		return g
	}
	g = prices{item: s.root.duals.item, stick: make([]float64, len(s.in.capacity)), limit: make([]float64, len(s.in.capacity)), fromLP: true}
	for k, w := range s.root.limitDuals {
		g.limit[k] = float64(w)
		g.stick[k] = float64(s.in.cost[k])*float64(s.scale) + g.limit[k]
	}
	return g
}

// weakDualShare is the share of the root's demandValue below which a node's dual values are no good prices.
const weakDualShare = 0.8

// demandValue is the value of all pieces together.
func (s *search) demandValue(duals []int64) float64 {
	sum := 0.0
	for i, u := range duals {
		sum += float64(u) * float64(s.in.demand[i])
	}
	return sum
}

// lpPrices are the prices that a master's own dual values give.
func (s *search) lpPrices(m *master) prices {
	d := m.duals()
	g := prices{item: s.roundDuals(d).item, stick: make([]float64, len(d.limit)), limit: make([]float64, len(d.limit)), fromLP: true}
	for r, c := range m.conds {
		switch {
		case d.cond[r] >= 0, c.OnChoice:
		case c.countsKind() && !c.AnyKind:
			d.limit[c.Kind] -= d.cond[r]
		default:
			g.fromLP = false
		}
	}
	for k, v := range d.limit {
		g.limit[k] = v * float64(s.scale)
		g.stick[k] = float64(s.in.cost[k])*float64(s.scale) + g.limit[k]
	}
	return g
}

// completeGreedily completes a plan stick by stick (a sequential heuristic): each time it takes the kind and pattern
// of greatest value for their price among what is still wanted. It reports false when what is left fits no stick that
// is left, or the cost will reach upperBound.
func (s *search) completeGreedily(ctx context.Context, d *partialPlan, g prices, upperBound int64) bool {
	for !d.done() {
		if ctx.Err() != nil || d.cost >= upperBound || s.cannotImprove(d, g, upperBound) {
			return false
		}
		k, take := s.nextStick(d, g)
		if len(take) == 0 {
			return false
		}
		times := d.limit[k]
		for _, t := range take {
			times = min(times, d.demand[t.Item]/t.Quantity)
		}
		d.use(k, times, take)
	}
	return d.cost < upperBound
}

// cannotImprove tells whether the prices bound the plan's cost by upperBound or more.
func (s *search) cannotImprove(d *partialPlan, g prices, upperBound int64) bool {
	if !g.fromLP {
		return false
	}
	left := 0.0
	for i, n := range d.demand {
		left += float64(n) * float64(g.item[i])
	}
	for k, v := range g.limit {
		if v > 0 {
			left -= v * float64(d.limit[k])
		}
	}
	return d.cost+s.payableAbove(left/float64(s.scale)) >= upperBound
}

// nextStick picks the stick that completeGreedily cuts next.
func (s *search) nextStick(d *partialPlan, g prices) (kind int, take []Take) {
	in := s.in
	bestRate := math.Inf(-1)
	all := false // the pick cuts everything that is left
	type cut struct {
		value int64
		take  []Take
	}
	known := map[int]cut{} // by class
	for k, room := range in.capacity {
		if d.limit[k] == 0 {
			continue
		}
		best, ok := known[in.class[k]]
		if !ok {
			target := int64(math.MaxInt64)
			if g.fromLP && in.cost[k] > 0 {
				target = max(1, int64(g.stick[k]-float64(s.scale)*float64(in.maxCost)*zeroTolerance))
			}
			s.pricer.setKind(k, 0)
			best.value, best.take, _ = s.pricer.bestPattern(room, g.item, d.demand, 0, target)
			known[in.class[k]] = best
		}
		if len(best.take) == 0 {
			continue
		}
		var n int64
		for _, x := range best.take {
			n += x.Quantity
		}
		switch whole := n == d.remaining; {
		case whole && (!all || in.cost[k] < in.cost[kind]):
			kind, take, all = k, best.take, true
		case whole || all:
		default:
			rate := float64(best.value) / max(g.stick[k], freeStickPrice)
			if rate > bestRate {
				bestRate, kind, take = rate, k, best.take
			}
		}
	}
	return kind, take
}

// freeStickPrice is the price that a stick which costs nothing is compared at: half the smallest coin.
const freeStickPrice = 0.5

// greedyPlan gives a first plan at once, whatever the size. It takes the longest piece that is left, a stick of the
// kind that costs least by length among those that it fits, and fills the stick with the longest pieces first. It may
// fail where sticks are few.
func (s *search) greedyPlan() {
	in := s.in
	if len(in.choices) > 0 {
		return // it is not known yet what sticks there are
	}
	order := make([]int, 0, len(in.demand))
	for i, n := range in.demand {
		if n > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(in.length[b], in.length[a]), cmp.Compare(a, b)) })
	for d := newPartialPlan(in, nil); ; {
		for len(order) > 0 && d.demand[order[0]] == 0 {
			order = order[1:]
		}
		if len(order) == 0 {
			s.updateIncumbent(d)
			return
		}
		kind := -1
		for k, room := range in.capacity {
			if d.limit[k] > 0 && in.maxQuantity(order[0], k) > 0 &&
				(kind < 0 || float64(in.cost[k])/float64(room) < float64(in.cost[kind])/float64(in.capacity[kind])) {
				kind = k
			}
		}
		if kind < 0 {
			return
		}
		room, times := in.capacity[kind], d.limit[kind]
		var take []Take
		for _, i := range order {
			if q := min(d.demand[i], room/in.length[i]); q > 0 && in.holds(kind, i) {
				take = append(take, Take{i, q})
				room -= q * in.length[i]
				times = min(times, d.demand[i]/q)
			}
		}
		slices.SortFunc(take, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
		d.use(kind, times, take)
	}
}

// correctValues builds plans by sequential value correction (E. A. Mukhacheva, G. N. Belov, V. M. Kartak, A. S.
// Mukhacheva, Pesquisa Operacional 20, 2000): after each plan it raises the values of the items whose sticks had much
// waste. Called again, it goes on from the values that it had reached.
func (s *search) correctValues(ctx context.Context, rounds int) {
	in := s.in
	if len(in.choices) > 0 {
		return
	}
	longest := 1.0
	for _, l := range in.length {
		longest = max(longest, float64(l))
	}
	if s.correctedValues == nil {
		s.correctedValues = make([]float64, len(in.length))
		for i, l := range in.length {
			s.correctedValues[i] = float64(l) / longest
		}
	}
	value := s.correctedValues
	g := prices{item: make([]int64, len(value)), stick: make([]float64, len(in.cost))}
	for k, c := range in.cost {
		g.stick[k] = float64(c)
	}
	for range rounds {
		if ctx.Err() != nil || s.rootBoundMet() {
			return
		}
		for i, v := range value {
			g.item[i] = max(1, int64(v*correctionScale))
		}
		d := newPartialPlan(in, nil)
		if s.completeGreedily(ctx, d, g, math.MaxInt64) {
			s.updateIncumbent(d)
		}
		in.correct(value, d.patterns, longest)
	}
}

// correct raises the values of the items whose sticks had much waste.
func (in *instance) correct(value []float64, patterns []Pattern, longest float64) {
	for _, p := range patterns {
		var used float64
		for _, t := range p.Take {
			used += float64(t.Quantity) * float64(in.length[t.Item])
		}
		stretch := float64(in.capacity[p.Kind]) / used
		for _, t := range p.Take {
			base := math.Pow(float64(in.length[t.Item])/longest, correctionExponent)
			value[t.Item] = (1-correctionShare)*value[t.Item] + correctionShare*base*min(stretch, correctionMost)
		}
	}
}

// How values are corrected: a piece's value in its last pattern is the power correctionExponent of its length, times the stick's
// length over the length used, at most correctionMost; it enters the item's value with correctionShare. Values are scaled by
// correctionScale to whole numbers.
const (
	correctionExponent = 1.03
	correctionMost     = 3
	correctionShare    = 0.5
	correctionScale    = 1 << 20
)
