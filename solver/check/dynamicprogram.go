package check

import (
	"cmp"
	"context"
	"slices"
)

// dynamicProgram goes through the items one by one. For the items gone through it keeps the partial patterns that no
// other dominates: none is both shorter and of greater value. A longer one has no greater credit to come, so a credit
// changes nothing about which dominates which.
type dynamicProgram struct {
	*knapsack
	order      []int // the items in the order in which they are gone through
	place      []int // of each item in order; len(order) for one left out
	byValue    []int // the items of positive value, the greatest value per length first
	byNetValue []int // likewise by net value
	last       []int // of each conjunction, the place of its last item
	best       int64 // value of the best pattern found, or target if that is more
	scratch    front // memory to merge into
}

// How a partial pattern stands with a conjunction, one byte each: it may still satisfy it, or that is decided (and
// its value counted if it does).
const (
	pending = 'p'
	settled = 's'
)

func newDynamicProgram(q *knapsack, target int64) *dynamicProgram {
	s := &dynamicProgram{knapsack: q, best: target}
	for p, part := range q.items {
		if part.inConjunction || part.value > 0 || slices.ContainsFunc(part.steps, func(s step) bool { return s.value > 0 }) {
			s.order = append(s.order, p) // the others only lower the value
		}
	}
	s.byValue = q.rank(knapsackItem.plainValue)
	s.byNetValue = q.rank(knapsackItem.valueNetOfCredit)
	slices.SortStableFunc(s.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(q.items[a].class(), q.items[b].class()), denser(knapsackItem.plainValue)(q.items[a], q.items[b]))
	})
	s.place = make([]int, len(q.items))
	for p := range s.place {
		s.place[p] = len(s.order)
	}
	for n, p := range s.order {
		s.place[p] = n
	}
	for _, joint := range q.conjunctions {
		last := 0
		for p := range joint.needs {
			last = max(last, s.place[p])
		}
		s.last = append(s.last, last)
	}
	return s
}

// rank lists the items with some value above 0, the greatest per length first.
func (q *knapsack) rank(value func(knapsackItem) int64) (ranking []int) {
	for p, part := range q.items {
		if value(part) > 0 {
			ranking = append(ranking, p)
		}
	}
	dense := denser(value)
	slices.SortStableFunc(ranking, func(a, b int) int { return dense(q.items[a], q.items[b]) })
	return ranking
}

// class puts items of conjunctions first, so that these are soon decided, then items with steps, whose values are
// soon out of the Dantzig bound, then the rest.
func (p knapsackItem) class() int {
	switch {
	case p.inConjunction:
		return 0
	case len(p.steps) > 0:
		return 1
	}
	return 2
}

// solve returns the value of the best pattern (without the constant), or target if that is more.
func (s *dynamicProgram) solve(ctx context.Context) (int64, error) {
	// The partial patterns, by how they stand with the conjunctions: only those that stand alike may dominate one
	// another.
	start := make([]byte, len(s.conjunctions))
	for n := range start {
		start[n] = pending
	}
	groups := map[string]front{string(start): {state{}}}
	s.record(groups)
	for n := range s.order {
		s.prune(groups, n)
		if len(groups) == 0 {
			break
		}
		var err error
		if groups, err = s.extend(ctx, groups, n); err != nil {
			return 0, err
		}
		s.record(groups)
	}
	return s.best, ctx.Err()
}

// record keeps the greatest value of any state: taking nothing further is always allowed. Where there is no credit,
// the last state of a front has the greatest.
func (s *dynamicProgram) record(groups map[string]front) {
	for _, states := range groups {
		if s.credit.credit == nil && len(states) > 0 {
			states = states[len(states)-1:]
		}
		for _, state := range states {
			s.best = max(s.best, state.value+s.credit.of(state.length))
		}
	}
}

// prune drops the states that cannot exceed the best, now that the items before place n are done.
func (s *dynamicProgram) prune(groups map[string]front, n int) {
	bound := s.newDantzigBound(n)
	for standing, states := range groups {
		states = bound.prune(states, s.openValue(standing), s.best)
		if len(states) == 0 {
			delete(groups, standing)
			continue
		}
		groups[standing] = states
	}
}

// openValue is the most that undecided conjunctions can add.
func (s *dynamicProgram) openValue(standing string) int64 {
	var sum int64
	for n, joint := range s.conjunctions {
		if standing[n] == pending {
			sum += max(0, joint.value)
		}
	}
	return sum
}

// extend adds every possible number of the item at place n to every state.
func (s *dynamicProgram) extend(ctx context.Context, groups map[string]front, n int) (map[string]front, error) {
	p := s.items[s.order[n]]
	next := make(map[string]front, len(groups))
	for standing, states := range groups {
		if p.class() == 2 {
			extended, err := s.extendUnconditional(ctx, states, p)
			if err != nil {
				return nil, err
			}
			next[standing] = extended
			continue
		}
		for quantity := int64(0); quantity <= p.most; quantity++ {
			then, value := s.settle(standing, n, quantity)
			next[then] = merge(nil, next[then], states, p.length*quantity, value, s.capacity)
			if err := mayGoOn(ctx, held(next)); err != nil {
				return nil, err
			}
		}
	}
	return next, nil
}

// settle gives how a partial pattern stands once it takes this many of the item at place n, and the value of that: of
// the pieces, the steps reached and the conjunctions now satisfied.
func (s *dynamicProgram) settle(standing string, n int, quantity int64) (then string, value int64) {
	index := s.order[n]
	p := s.items[index]
	value = p.value * quantity
	for _, step := range p.steps {
		if quantity >= step.from {
			value += step.value
		}
	}
	now := []byte(standing)
	for j, joint := range s.conjunctions {
		from, named := joint.needs[index]
		switch {
		case !named || now[j] == settled:
		case quantity < from:
			now[j] = settled
		case s.last[j] == n:
			value += joint.value
			now[j] = settled
		}
	}
	return string(now), value
}

// extendUnconditional is extend for an item that no branch entry names. Its pieces go in by groups of 1, 2, 4, … and
// a rest, which together make every number up to most.
func (s *dynamicProgram) extendUnconditional(ctx context.Context, states front, p knapsackItem) (front, error) {
	left := p.most
	for group := int64(1); left > 0; group *= 2 {
		group = min(group, left)
		left -= group
		merged := merge(s.scratch[:0], states, states, p.length*group, p.value*group, s.capacity)
		states, s.scratch = merged, states
		if err := mayGoOn(ctx, len(states)); err != nil {
			return nil, err
		}
	}
	return states, nil
}

// held is how many states there are in all groups.
func held(groups map[string]front) int {
	sum := 0
	for _, states := range groups {
		sum += len(states)
	}
	return sum
}

// mayGoOn is the error that ends a search: the context's, or too many states.
func mayGoOn(ctx context.Context, states int) error {
	if states > stateLimit {
		return &UncheckedError{States: states, Limit: stateLimit}
	}
	return ctx.Err()
}
