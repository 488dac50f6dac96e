package check

import (
	"context"
	"errors"
	"fmt"
	"math/big"
)

// A knapsack is the question of one kind in one leaf: how much can a pattern be
// worth? A pattern takes q_i pieces of every part i, 0 <= q_i <= most_i, no longer
// together than the capacity, and is worth
//
//	always + Σ_i worth_i q_i + Σ_{steps with q_i >= from} worth + Σ_{joints with all q_i >= from_i} worth + refund
//
// A step is a branch entry on one item, a joint one on several; the refund is S times the
// credit of what the pattern leaves of the stick. Every sum a pattern
// of the knapsack can have is below largest in size; newKnapsack sees to it.
type knapsack struct {
	capacity int64
	always   int64 // from the entries that every stick of the kind satisfies
	parts    []part
	joints   []joint
	refund   refund
}

// part is an item as far as this knapsack is concerned.
type part struct {
	length int64
	most   int64 // pieces that are wanted and fit; at least 1
	worth  int64 // of one piece
	net    int64 // no less than worth without what the refund's line falls by; 0 where there is no refund
	steps  []step
	joint  bool // named by a joint
}

type step struct{ from, worth int64 }

type joint struct {
	needs map[int]int64 // part → pieces it must have at least
	worth int64
}

// largest bounds every length and every worth: two of them can be added or
// subtracted, and 1 added, without leaving int64.
const largest = 1 << 61

// stateLimit is the most states a knapsack may hold at a time, some 64 MB. Workshop
// problems hold thousands.
const stateLimit = 1 << 22

var errTooLarge = errors.New("numbers too large for an exact check")

// UncheckedError says that a check was given up because it was too much work. The
// plan may be sound; it was not shown to be.
type UncheckedError struct {
	States int // partial patterns that had to be held
	Limit  int // how many may be
}

func (e *UncheckedError) Error() string {
	return fmt.Sprintf("a knapsack needs more than %d partial patterns (%d so far), too many to hold; split the problem or use a coarser unit of length", e.Limit, e.States)
}

// newKnapsack gathers the question of kind k in a leaf whose shape is right, worths being in
// units of cost / scale and wanted what the instance can come to want of every item. target
// is what a pattern may be worth without the always part.
func newKnapsack(instance Instance, wanted []int64, leaf Leaf, k int, scale int64, may *big.Int) (q *knapsack, target int64, err error) {
	kind := instance.Kinds[k]
	q = &knapsack{capacity: kind.Length}
	index := make(map[int]int) // item → part
	for i, item := range instance.Items {
		if most := min(wanted[i], q.capacity/item.Length); most > 0 && kind.mayHold(i) {
			index[i] = len(q.parts)
			q.parts = append(q.parts, part{length: item.Length, most: most, worth: leaf.DualValues[i]})
		}
	}
	always := new(big.Int)
	size := new(big.Int) // Σ |w|, the most the entries can add or take
	for _, condition := range leaf.Branch {
		if condition.DualValue == 0 || condition.Choice != nil || condition.Kind != nil && *condition.Kind != k {
			continue
		}
		size.Add(size, new(big.Int).Abs(big.NewInt(condition.DualValue)))
		if size.Cmp(big.NewInt(largest)) >= 0 {
			return nil, 0, errTooLarge
		}
		if len(condition.Holds) == 0 {
			always.Add(always, big.NewInt(condition.DualValue))
			continue
		}
		q.add(condition, index)
	}
	refund, refunded := newRefund(kind, scale)
	size.Add(size, q.greatest())
	size.Add(size, refunded)
	margin := new(big.Int).Sub(may, always)
	if size.Cmp(big.NewInt(largest)) >= 0 || margin.CmpAbs(big.NewInt(largest)) >= 0 || q.capacity >= largest {
		return nil, 0, errTooLarge
	}
	q.always = always.Int64()
	q.setRefund(refund)
	q.shorten()
	return q, margin.Int64(), nil
}

// plain tells whether no branch entry says what a pattern holds: then its worth is its items' and its kind's alone.
func (q *knapsack) plain() bool {
	for _, p := range q.parts {
		if len(p.steps) > 0 {
			return false
		}
	}
	return len(q.joints) == 0
}

// setRefund sets the refund and what a piece is worth net of it.
func (q *knapsack) setRefund(refund refund) {
	q.refund = refund
	if refund.credit == nil {
		return
	}
	for n := range q.parts {
		p := &q.parts[n]
		p.net = p.worth - refund.lost(p.length)
	}
}

// add adds a condition with holds, unless no pattern can satisfy it. Conditions that
// hold the same are merged: a pattern satisfies all of them or none.
func (q *knapsack) add(condition Condition, index map[int]int) {
	needs := make(map[int]int64, len(condition.Holds))
	for _, hold := range condition.Holds {
		p, known := index[hold.Item]
		if !known || q.parts[p].most < hold.AtLeast {
			return
		}
		needs[p] = hold.AtLeast
	}
	if len(needs) == 1 {
		for p, from := range needs {
			q.parts[p].steps = append(q.parts[p].steps, step{from, condition.DualValue})
		}
		return
	}
	for n := range q.joints {
		if sameNeeds(q.joints[n].needs, needs) {
			q.joints[n].worth += condition.DualValue
			return
		}
	}
	q.joints = append(q.joints, joint{needs, condition.DualValue})
	for p := range needs {
		q.parts[p].joint = true
	}
}

func sameNeeds(a, b map[int]int64) bool {
	if len(a) != len(b) {
		return false
	}
	for p, from := range a {
		if b[p] != from {
			return false
		}
	}
	return true
}

// shorten takes off the capacity what no pattern can use: all patterns are as long as a
// multiple of the parts' greatest common divisor.
func (q *knapsack) shorten() {
	var unit int64
	for _, p := range q.parts {
		for a := p.length; a != 0; {
			unit, a = a, unit%a
		}
	}
	if unit > 0 {
		q.capacity -= q.capacity % unit
	}
}

// greatest bounds |Σ worth_i q_i| over all patterns: by everything taken at once, and by
// the whole capacity filled at the greatest worth per length, whichever is less.
func (q *knapsack) greatest() *big.Int {
	everything, filled := new(big.Int), new(big.Int)
	for _, p := range q.parts {
		worth := new(big.Int).Abs(big.NewInt(p.worth))
		everything.Add(everything, new(big.Int).Mul(worth, big.NewInt(p.most)))
		density := ceilQuo(worth.Mul(worth, big.NewInt(q.capacity)), big.NewInt(p.length))
		if density.Cmp(filled) > 0 {
			filled = density
		}
	}
	if everything.Cmp(filled) < 0 {
		return everything
	}
	return filled
}

// excess is by how much the best pattern is worth more than target (without always on
// either side), 0 when no pattern is. Partial patterns that provably cannot
// exceed target and the best pattern so far are dropped on the way.
func (q *knapsack) excess(ctx context.Context, target int64) (int64, error) {
	best, err := newSearch(q, target).run(ctx)
	if err != nil {
		return 0, err
	}
	return best - target, nil
}
