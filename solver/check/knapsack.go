package check

import (
	"context"
	"errors"
	"fmt"
	"math/big"
)

// knapsack is the question of one kind in one leaf: which is the greatest dual value of a pattern? A pattern takes
// q_i pieces of every item i, 0 <= q_i <= most_i, no longer together than the capacity. Its value is
//
//	constant + Σ_i value_i q_i + Σ_{steps with q_i >= from} value + Σ_{conjunctions with all q_i >= from_i} value + credit
//
// A step is a branch entry on one item, a conjunction one on several. The credit is S times that of the pattern's
// leftover, with the entries on credits, see stickCredit. Every sum that a pattern of the knapsack can have is below largest in size; newKnapsack sees to it.
type knapsack struct {
	capacity     int64
	constant     int64 // from the branch entries that every stick of the kind satisfies
	items        []knapsackItem
	conjunctions []conjunction
	credit       stickCredit
}

// knapsackItem is an item in the knapsack.
type knapsackItem struct {
	length        int64
	most          int64 // pieces that are wanted and fit; at least 1
	value         int64 // of one piece
	netValue      int64 // no less than value without what the credit's line falls by; 0 where there is no credit
	steps         []step
	inConjunction bool // named by a conjunction
}

type step struct{ from, value int64 }

type conjunction struct {
	needs map[int]int64 // by index in items: pieces that it must have at least
	value int64
}

// largest bounds every length and every value: two of them can be added or subtracted, and 1 added, without leaving
// int64.
const largest = 1 << 61

// stateLimit is the most states a knapsack may hold at a time, some 64 MB. Workshop
// problems hold thousands.
const stateLimit = 1 << 22

var errTooLarge = errors.New("numbers too large for an exact check")

// UncheckedError says that a check was given up because it was too much work. The
// plan may be sound; it was not shown to be.
type UncheckedError struct {
	States int  // partial patterns that had to be kept, or numbers of sticks that were looked at
	Limit  int  // how many may be
	Mixes  bool // they are numbers of sticks
}

func (e *UncheckedError) Error() string {
	if e.Mixes {
		return fmt.Sprintf("the cuts leave more than %d numbers of sticks to look at, too many; split the problem", e.Limit)
	}
	return fmt.Sprintf("a knapsack needs more than %d partial patterns (%d so far), too many to hold; split the problem or use a coarser unit of length", e.Limit, e.States)
}

// newKnapsack makes the knapsack of kind k in a leaf whose shape is right. Dual values are in units of cost / scale;
// wanted is how many pieces of every item a plan can have to cut. target is the greatest value allowed, without the
// constant.
func newKnapsack(instance Instance, wanted []int64, leaf Leaf, k int, scale int64, allowed *big.Int) (q *knapsack, target int64, err error) {
	kind := instance.Kinds[k]
	q = &knapsack{capacity: kind.Length}
	index := make(map[int]int) // item → index in items
	for i, item := range instance.Items {
		if most := min(wanted[i], q.capacity/item.Length); most > 0 && kind.mayHold(i) {
			index[i] = len(q.items)
			q.items = append(q.items, knapsackItem{length: item.Length, most: most, value: leaf.DualValues[i]})
		}
	}
	constant := new(big.Int)
	credited := int64(0) // Σ w of the branch entries on credits
	size := new(big.Int) // Σ |w|, the most that branch entries can add or take away
	for _, condition := range leaf.Branch {
		if condition.DualValue == 0 || condition.Choice != nil || condition.Kind != nil && *condition.Kind != k {
			continue
		}
		size.Add(size, new(big.Int).Abs(big.NewInt(condition.DualValue)))
		if size.Cmp(big.NewInt(largest)) >= 0 {
			return nil, 0, errTooLarge
		}
		if condition.Credited {
			credited += condition.DualValue
			continue
		}
		if len(condition.Holds) == 0 {
			constant.Add(constant, big.NewInt(condition.DualValue))
			continue
		}
		q.add(condition, index)
	}
	credit, creditBound := newStickCredit(kind, scale, credited)
	size.Add(size, q.largestSum())
	size.Add(size, creditBound)
	margin := new(big.Int).Sub(allowed, constant)
	if size.Cmp(big.NewInt(largest)) >= 0 || margin.CmpAbs(big.NewInt(largest)) >= 0 || q.capacity >= largest {
		return nil, 0, errTooLarge
	}
	q.constant = constant.Int64()
	q.setCredit(credit)
	q.shorten()
	return q, margin.Int64(), nil
}

// unconditional tells whether no branch entry says what a pattern holds: its value is then that of its items and its
// kind.
func (q *knapsack) unconditional() bool {
	for _, p := range q.items {
		if len(p.steps) > 0 {
			return false
		}
	}
	return len(q.conjunctions) == 0 && q.credit.entries == 0
}

// setCredit sets the credit and the items' net values.
func (q *knapsack) setCredit(credit stickCredit) {
	q.credit = credit
	if credit.credit == nil {
		return
	}
	for n := range q.items {
		p := &q.items[n]
		p.netValue = p.value - credit.lost(p.length)
	}
}

// add adds a condition with holds, unless no pattern can satisfy it. Conditions that
// hold the same are merged: a pattern satisfies all of them or none.
func (q *knapsack) add(condition Condition, index map[int]int) {
	needs := make(map[int]int64, len(condition.Holds))
	for _, hold := range condition.Holds {
		p, known := index[hold.Item]
		if !known || q.items[p].most < hold.AtLeast {
			return
		}
		needs[p] = hold.AtLeast
	}
	if len(needs) == 1 {
		for p, from := range needs {
			q.items[p].steps = append(q.items[p].steps, step{from, condition.DualValue})
		}
		return
	}
	for n := range q.conjunctions {
		if sameNeeds(q.conjunctions[n].needs, needs) {
			q.conjunctions[n].value += condition.DualValue
			return
		}
	}
	q.conjunctions = append(q.conjunctions, conjunction{needs, condition.DualValue})
	for p := range needs {
		q.items[p].inConjunction = true
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

// shorten reduces the capacity to what patterns can use: all are as long as a multiple of the items' greatest common
// divisor.
func (q *knapsack) shorten() {
	var unit int64
	for _, p := range q.items {
		for a := p.length; a != 0; {
			unit, a = a, unit%a
		}
	}
	if unit > 0 {
		q.capacity -= q.capacity % unit
	}
}

// largestSum bounds |Σ value_i q_i| over all patterns: by all pieces together, and by the whole capacity filled at
// the greatest value per length, whichever is less.
func (q *knapsack) largestSum() *big.Int {
	everything, filled := new(big.Int), new(big.Int)
	for _, p := range q.items {
		value := new(big.Int).Abs(big.NewInt(p.value))
		everything.Add(everything, new(big.Int).Mul(value, big.NewInt(p.most)))
		density := ceilQuo(value.Mul(value, big.NewInt(q.capacity)), big.NewInt(p.length))
		if density.Cmp(filled) > 0 {
			filled = density
		}
	}
	if everything.Cmp(filled) < 0 {
		return everything
	}
	return filled
}

// excess is by how much the value of the best pattern exceeds target (without the constant on either side), 0 when
// none does. Partial patterns that provably cannot exceed target and the best pattern so far are dropped on the way.
func (q *knapsack) excess(ctx context.Context, target int64) (int64, error) {
	best, err := newDynamicProgram(q, target).solve(ctx)
	if err != nil {
		return 0, err
	}
	return best - target, nil
}
