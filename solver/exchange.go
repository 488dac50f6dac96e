package solver

import (
	"context"
	"encoding/binary"
	"math"
)

// Where choices ask for pieces and one can be made in place of another (all sides of a frame come from one lot or from another), a plan is improved by
// exchanging them: one is made in place of another, or two such moves between the same lots are made at once. Lots have no sticks in common, so only two of
// them are packed anew for an exchange.

// exchange exchanges choices.
type exchange struct {
	s      *search
	groups [][]int // choices of which one can be made in place of another
	lot    []int   // of choices: that of the pieces they ask for; meaningless where they ask for none
	lots   []pool
	packed map[string]packed // by lot and what is wanted of it
	costs  [][]int64         // of kinds: what so many sticks cost at least that choices give; nil: not worked out yet
	steps  int               // left
}

// pool is a lot: items, and the kinds that may hold them and no others.
type pool struct {
	items, kinds []int
}

// packed is a plan for what is wanted of a lot. Where none was found its cost is unpackable, and the more the more pieces found no stick.
type packed struct {
	cost     int64
	patterns []Pattern
}

// unpackable is more than plans cost, and a piece that finds no stick counts as leftPiece more.
const unpackable, leftPiece = 1 << 50, 1 << 20

// exchangeSteps bounds the work on one plan: a stick that is cut is a step, and one more for each itemsAStep items of its lot. Of small lots some hundred are
// packed, of one of 500 frames a few, and exchanging takes a hundredth of a search's time. exchangeCorrections is how often values are corrected for a lot.
const exchangeSteps, itemsAStep, exchangeCorrections = 10_000, 16, 3

// mostPacked is how many lots' plans are kept.
const mostPacked = 20_000

// newExchange gives nil where no choice can be made in place of another.
func newExchange(s *search) *exchange {
	x := &exchange{s: s, lot: make([]int, len(s.in.choices)), packed: map[string]packed{}, costs: make([][]int64, len(s.in.capacity))}
	of := x.divide()
	byRows := map[string]int{}
	several := false
	for j, c := range s.in.choices {
		if len(c.Asks) == 0 || len(c.In) == 0 || c.Most == 0 || len(c.Gives) > 0 {
			continue
		}
		x.lot[j] = of[c.Asks[0].Item]
		for _, t := range c.Asks {
			if of[t.Item] != x.lot[j] {
				return nil
			}
		}
		var key []byte
		for _, r := range c.In {
			key = binary.AppendVarint(binary.AppendVarint(key, int64(r.Row)), r.Value)
		}
		g, ok := byRows[string(key)]
		if !ok {
			g = len(x.groups)
			byRows[string(key)] = g
			x.groups = append(x.groups, nil)
		}
		x.groups[g] = append(x.groups[g], j)
		several = several || len(x.groups[g]) > 1
	}
	if !several {
		return nil
	}
	return x
}

// divide divides items and kinds into lots, and gives each item's.
func (x *exchange) divide() []int {
	in := x.s.in
	of := make([]int, len(in.length))
	for i := range of {
		of[i] = i
	}
	find := func(i int) int {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	for k := range in.capacity {
		first := -1
		for i := range of {
			if in.maxQuantity(i, k) == 0 {
				continue
			}
			if first < 0 {
				first = find(i)
			}
			of[find(i)] = first
		}
	}
	number := map[int]int{}
	out := make([]int, len(of))
	for i := range of {
		r := find(i)
		n, ok := number[r]
		if !ok {
			n = len(x.lots)
			number[r] = n
			x.lots = append(x.lots, pool{})
		}
		out[i] = n
		x.lots[n].items = append(x.lots[n].items, i)
	}
	for k := range in.capacity {
		for i := range of {
			if in.maxQuantity(i, k) > 0 {
				x.lots[out[i]].kinds = append(x.lots[out[i]].kinds, k)
				break
			}
		}
	}
	return out
}

// wanted is what is asked for of a lot's items when choices are made so often.
func (x *exchange) wanted(times []int64) []int64 {
	demand := append([]int64(nil), x.s.in.demand...)
	for j, n := range times {
		if n > 0 {
			for _, t := range x.s.in.choices[j].Asks {
				demand[t.Item] += n * t.Quantity
			}
		}
	}
	return demand
}

// pack packs a lot, as well as a few rounds of value correction do.
func (x *exchange) pack(ctx context.Context, lot int, demand []int64) packed {
	l := x.lots[lot]
	key := binary.AppendVarint(nil, int64(lot))
	for _, i := range l.items {
		key = binary.AppendVarint(key, demand[i])
	}
	if p, ok := x.packed[string(key)]; ok {
		return p
	}
	s, in := x.s, x.s.in
	best := packed{cost: 2 * unpackable}
	d := &partialPlan{in: in, demand: make([]int64, len(demand)), limit: make([]int64, len(in.capacity))}
	for _, i := range l.items {
		d.demand[i] = demand[i]
		d.remaining += demand[i]
	}
	longest := 1.0
	for _, i := range l.items {
		longest = max(longest, float64(in.length[i]))
	}
	value := make([]float64, len(in.length))
	g := prices{item: make([]int64, len(value)), stick: make([]float64, len(in.cost))}
	for _, i := range l.items {
		value[i] = float64(in.length[i]) / longest
	}
	for _, k := range l.kinds {
		d.limit[k] = in.maxLimit[k]
		g.stick[k] = float64(in.cost[k])
		if d.limit[k] > in.limit[k] && in.limit[k] == 0 {
			g.stick[k] += float64(x.givesAt(k, mostGiven)) / mostGiven
		}
	}
	for range exchangeCorrections {
		for _, i := range l.items {
			g.item[i] = max(1, int64(value[i]*correctionScale))
		}
		p := d.clone()
		if s.completeGreedily(ctx, p, g, math.MaxInt64) {
			cost := p.cost + x.given(p.patterns)
			if cost < best.cost {
				best = packed{cost, p.patterns}
			}
		} else if cost := unpackable + p.remaining*leftPiece; best.cost > cost {
			best = packed{cost, nil}
		}
		x.steps -= len(p.patterns) * (1 + len(l.items)/itemsAStep)
		in.correct(value, p.patterns, longest)
	}
	if ctx.Err() != nil {
		return best // it was not looked at to the end
	}
	if len(x.packed) == mostPacked {
		clear(x.packed)
	}
	x.packed[string(key)] = best
	return best
}

// given estimates what the choices cost that give the sticks.
func (x *exchange) given(patterns []Pattern) (sum int64) {
	in := x.s.in
	need := make([]int64, len(in.capacity))
	for _, p := range patterns {
		need[p.Kind] += p.Count
	}
	for k, n := range need {
		if n > in.limit[k] {
			sum += x.givesAt(k, n-in.limit[k])
		}
	}
	return sum
}

// mostGiven is of how many sticks it is worked out what they cost at least; more cost as much each as these.
const mostGiven = 100

// givesAt is the least at which choices give so many sticks of a kind, as if these were all that they are for.
func (x *exchange) givesAt(k int, n int64) int64 {
	if x.costs[k] == nil {
		x.costs[k] = make([]int64, mostGiven+1)
		for m := int64(1); m <= mostGiven; m++ {
			x.costs[k][m] = unpackable
			for _, c := range x.s.in.choices {
				for _, g := range c.Gives {
					if g.Kind == k {
						x.costs[k][m] = min(x.costs[k][m], x.costs[k][max(0, m-g.Quantity)]+c.Cost/int64(len(c.Gives)))
					}
				}
			}
		}
	}
	if n <= mostGiven {
		return x.costs[k][n]
	}
	return x.costs[k][mostGiven] / mostGiven * n
}

// improve exchanges choices as long as that costs less, beginning with those of some plan, and offers what it comes to.
func (x *exchange) improve(ctx context.Context, times []int64) {
	x.steps = exchangeSteps
	times = append([]int64(nil), times...)
	cost := make([]int64, len(x.lots))
	demand := x.wanted(times)
	for l := range x.lots {
		if cost[l] = x.pack(ctx, l, demand).cost; x.steps <= 0 {
			return // too large
		}
	}
	for x.steps > 0 && ctx.Err() == nil && x.better(ctx, times, cost) {
	}
	x.offer(ctx, times)
}

// better makes the first exchange that costs less, if there is one.
func (x *exchange) better(ctx context.Context, times, cost []int64) bool {
	moves := x.moves(times)
	for a, m := range moves {
		if x.try(ctx, times, cost, m) {
			return true
		}
		for _, o := range moves[:a] {
			if x.lot[m.from] == x.lot[o.to] && x.lot[m.to] == x.lot[o.from] && x.try(ctx, times, cost, m, o) {
				return true
			}
		}
		if x.steps <= 0 {
			return false
		}
	}
	return false
}

// exchangeMove makes one choice in place of another, once.
type exchangeMove struct{ from, to int }

// moves lists them.
func (x *exchange) moves(times []int64) (out []exchangeMove) {
	for _, g := range x.groups {
		for _, from := range g {
			for _, to := range g {
				if from != to && times[from] > 0 && times[to] < x.s.in.choices[to].Most && x.lot[from] != x.lot[to] {
					out = append(out, exchangeMove{from, to})
				}
			}
		}
	}
	return out
}

// try makes moves between two lots where that costs less.
func (x *exchange) try(ctx context.Context, times, cost []int64, moves ...exchangeMove) bool {
	apply := func(by int64) {
		for _, m := range moves {
			times[m.from] -= by
			times[m.to] += by
		}
	}
	apply(1)
	demand := x.wanted(times)
	a, b := x.lot[moves[0].from], x.lot[moves[0].to]
	nowA, nowB := x.pack(ctx, a, demand).cost, x.pack(ctx, b, demand).cost
	if nowA+nowB < cost[a]+cost[b] {
		cost[a], cost[b] = nowA, nowB
		return true
	}
	apply(-1)
	return false
}

// offer makes a plan of what was found, and takes it where it is better than the one there is.
func (x *exchange) offer(ctx context.Context, times []int64) {
	in := x.s.in
	times = append([]int64(nil), times...)
	for j, c := range in.choices {
		if len(c.Gives) > 0 {
			times[j] = c.Most
		}
	}
	d := newPartialPlan(in, nil)
	d.choose(times, nil)
	demand := x.wanted(times)
	for l := range x.lots {
		p := x.pack(ctx, l, demand)
		if p.cost >= unpackable {
			return
		}
		for _, q := range p.patterns {
			d.use(q.Kind, q.Count, q.Take)
		}
	}
	x.s.updateIncumbent(d)
}

// exchanged is how a search stands with exchanging.
type exchanged struct {
	begun         bool
	by            *exchange // nil: no choices can stand for one another
	cost          int64     // of the plan that was improved last
	idle, skipped int       // how often in a row GLPK's branch and bound found no better plan, and how often it was left out since
}

// searchColumnsAndChoices looks for a better plan by exchanging choices, of the best plan and of what the relaxation is rounded to, and among the columns at
// hand; with choices that can be exchanged, the rarer the oftener that found nothing.
func (s *search) searchColumnsAndChoices(ctx context.Context, m *master, bound float64) error {
	x := &s.exchanged
	if !x.begun {
		x.begun, x.by = true, newExchange(s)
	}
	if x.by == nil {
		return s.solveRestrictedMaster(m, bound)
	}
	if s.hasPlan && s.cost != x.cost {
		x.by.improve(ctx, s.times)
	}
	d, ok, err := s.partialPlanAt(m, 0)
	if err != nil {
		return err
	}
	if ok {
		x.by.improve(ctx, d.times)
	}
	x.cost = s.cost
	if x.skipped < x.idle {
		x.skipped++
		return nil
	}
	before := s.upperBound()
	if err := s.solveRestrictedMaster(m, bound); err != nil {
		return err
	}
	x.skipped, x.idle = 0, min(x.idle+1, mostIdle)
	if s.upperBound() < before {
		x.idle = 0
	}
	return nil
}

// mostIdle is how often in a row GLPK's branch and bound is left out at most.
const mostIdle = 7
