package check

import (
	"context"
	"slices"
)

// search goes through the parts one by one and keeps, for the parts gone through,
// the partial patterns that no other one beats. One that is longer has no more of a refund to
// come, so a refund changes nothing about which beats which.
type search struct {
	*knapsack
	order   []int // the parts in the order they are gone through
	place   []int // of each part in order; len(order) for one left out
	byWorth []int // the parts worth something, the greatest worth per length first
	byNet   []int // likewise by net worth
	last    []int // of each joint, the place of its last part
	best    int64 // target, or what the best pattern found is worth if that is more
	spare   front // memory to merge into
}

// How a partial pattern stands with a joint, one byte a joint: it may still satisfy
// it, or that is settled (and its worth counted if it does).
const (
	pending = 'p'
	settled = 's'
)

func newSearch(q *knapsack, target int64) *search {
	s := &search{knapsack: q, best: target}
	for p, part := range q.parts {
		if part.joint || part.worth > 0 || slices.ContainsFunc(part.steps, func(s step) bool { return s.worth > 0 }) {
			s.order = append(s.order, p) // the others can only take worth away
		}
	}
	s.byWorth = q.rank(part.bareWorth)
	s.byNet = q.rank(part.netWorth)
	slices.SortStableFunc(s.order, func(a, b int) int {
		if by := q.parts[a].class() - q.parts[b].class(); by != 0 {
			return by
		}
		return denser(part.bareWorth)(q.parts[a], q.parts[b])
	})
	s.place = make([]int, len(q.parts))
	for p := range s.place {
		s.place[p] = len(s.order)
	}
	for n, p := range s.order {
		s.place[p] = n
	}
	for _, joint := range q.joints {
		last := 0
		for p := range joint.needs {
			last = max(last, s.place[p])
		}
		s.last = append(s.last, last)
	}
	return s
}

// rank lists the parts with some worth above 0, the greatest per length first.
func (q *knapsack) rank(worth func(part) int64) (ranking []int) {
	for p, part := range q.parts {
		if worth(part) > 0 {
			ranking = append(ranking, p)
		}
	}
	dense := denser(worth)
	slices.SortStableFunc(ranking, func(a, b int) int { return dense(q.parts[a], q.parts[b]) })
	return ranking
}

// class puts parts of joints first, so that the joints are soon settled, then parts
// with steps, whose bonus is soon out of the roof, then the rest.
func (p part) class() int {
	switch {
	case p.joint:
		return 0
	case len(p.steps) > 0:
		return 1
	}
	return 2
}

// run returns what the best pattern is worth (without always), or target if that is more.
func (s *search) run(ctx context.Context) (int64, error) {
	// The partial patterns, by how they stand with the joints: only those that stand
	// alike may drop one another.
	start := make([]byte, len(s.joints))
	for n := range start {
		start[n] = pending
	}
	groups := map[string]front{string(start): {state{}}}
	s.note(groups)
	for n := range s.order {
		s.prune(groups, n)
		if len(groups) == 0 {
			break
		}
		var err error
		if groups, err = s.extend(ctx, groups, n); err != nil {
			return 0, err
		}
		s.note(groups)
	}
	return s.best, ctx.Err()
}

// note keeps the most any state is worth; taking nothing further is always allowed. Where
// there is no refund, that is the last state of its front.
func (s *search) note(groups map[string]front) {
	for _, states := range groups {
		if s.refund.credit == nil && len(states) > 0 {
			states = states[len(states)-1:]
		}
		for _, state := range states {
			s.best = max(s.best, state.worth+s.refund.of(state.length))
		}
	}
}

// prune drops the states that cannot beat the best, now that the parts before place n are done.
func (s *search) prune(groups map[string]front, n int) {
	roof := s.newRoof(n)
	for standing, states := range groups {
		states = roof.prune(states, s.promised(standing), s.best)
		if len(states) == 0 {
			delete(groups, standing)
			continue
		}
		groups[standing] = states
	}
}

// promised is the most that joints not yet settled can add.
func (s *search) promised(standing string) int64 {
	var sum int64
	for n, joint := range s.joints {
		if standing[n] == pending {
			sum += max(0, joint.worth)
		}
	}
	return sum
}

// extend takes every possible number of the part at place n to every state.
func (s *search) extend(ctx context.Context, groups map[string]front, n int) (map[string]front, error) {
	p := s.parts[s.order[n]]
	next := make(map[string]front, len(groups))
	for standing, states := range groups {
		if p.class() == 2 {
			extended, err := s.extendPlain(ctx, states, p)
			if err != nil {
				return nil, err
			}
			next[standing] = extended
			continue
		}
		for quantity := int64(0); quantity <= p.most; quantity++ {
			then, worth := s.settle(standing, n, quantity)
			next[then] = merge(nil, next[then], states, p.length*quantity, worth, s.capacity)
			if err := mayGoOn(ctx, held(next)); err != nil {
				return nil, err
			}
		}
	}
	return next, nil
}

// settle gives how a partial pattern stands once it takes this many of the part at
// place n, and what that is worth: the pieces, the steps and the joints now satisfied.
func (s *search) settle(standing string, n int, quantity int64) (then string, worth int64) {
	index := s.order[n]
	p := s.parts[index]
	worth = p.worth * quantity
	for _, step := range p.steps {
		if quantity >= step.from {
			worth += step.worth
		}
	}
	now := []byte(standing)
	for j, joint := range s.joints {
		from, named := joint.needs[index]
		switch {
		case !named || now[j] == settled:
		case quantity < from:
			now[j] = settled
		case s.last[j] == n:
			worth += joint.worth
			now[j] = settled
		}
	}
	return string(now), worth
}

// extendPlain is extend for a part that no entry names: its pieces go in by lots of 1, 2, 4, …
// and a rest, which together make every number up to most.
func (s *search) extendPlain(ctx context.Context, states front, p part) (front, error) {
	left := p.most
	for lot := int64(1); left > 0; lot *= 2 {
		lot = min(lot, left)
		left -= lot
		merged := merge(s.spare[:0], states, states, p.length*lot, p.worth*lot, s.capacity)
		states, s.spare = merged, states
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
