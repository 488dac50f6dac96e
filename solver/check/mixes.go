package check

import (
	"context"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// Mixes says that no plan costs less than Bound but those within a mix that leaves exclude. A mix is how many sticks of each kind a plan uses.
type Mixes struct {
	Bound int64
	Order []int // the kinds, each once: in this order their numbers are gone through
	Cuts  []Cut
}

// Cut is an inequality that the mix n of every plan satisfies, Σ_k Most_k n_k >= Σ_i u_i d_i, because no pattern of kind k has a dual value above Most_k.
type Cut struct {
	DualValues []int64 // u, one entry an item, of either sign
	Most       []int64 // one entry a kind, >= 0
}

// mixLimit is how often a cut is looked at, at one number of sticks, before a check is given up.
const mixLimit = 1 << 28

// checkMixes reports cuts that do not hold, and a mix below the bound that no cut and no group of leaves excludes. The error is one of a check that was not
// finished.
func (v *verifier) checkMixes(ctx context.Context, certificate Certificate) (bool, error) {
	m := certificate.Mixes
	groups, ok := v.mixGroups(certificate.Leaves)
	if !v.checkMixShape(m) || !ok {
		return false, ctx.Err()
	}
	for n, cut := range m.Cuts {
		if ok, err := v.checkCut(ctx, n, cut); !ok || err != nil {
			return false, err
		}
	}
	e, ok := newMixEnumeration(v.instance, m, certificate.Scale, groups)
	if !ok {
		v.violate(TooLarge, "mixes", nil, "the costs and dual values are too large to be multiplied exactly in 64 bits; use smaller ones")
		return false, nil
	}
	switch found, err := e.find(ctx, 0, 0); {
	case err != nil:
		return false, err
	case found:
		v.violate(WrongMixes, "mixes", nil, "%s cost less than %d, and no cut and no leaf excludes them", e.sentence(), m.Bound)
		return false, nil
	}
	return true, nil
}

// checkMixShape reports lists of the wrong length and numbers that cannot stand where they do. With credits or choices the numbers of sticks do not
// give the cost.
func (v *verifier) checkMixShape(m *Mixes) bool {
	before := len(v.report.Violations)
	if v.instance.hasCredits() || len(v.instance.Choices) > 0 || len(v.instance.Rows) > 0 {
		v.violate(WrongMixes, "mixes", nil, "they are for plans without credits, choices and rows")
	}
	v.atLeast(0, m.Bound, "mixes", "bound")
	kinds := len(v.instance.Kinds)
	seen := make([]bool, kinds)
	for _, k := range m.Order {
		if v.isIndex(k, kinds, "mixes, order", "kind") {
			if seen[k] {
				v.violate(Repeated, "mixes, order", nil, "kind %d stands there twice", k)
			}
			seen[k] = true
		}
	}
	if len(m.Order) != kinds {
		v.violate(WrongVector, "mixes, order", nil, "it names %d of %d kinds", len(m.Order), kinds)
	}
	for n, cut := range m.Cuts {
		if len(cut.DualValues) != len(v.instance.Items) || len(cut.Most) != kinds {
			v.violate(WrongVector, at("cut", n), nil, "it has %d dual values for %d items and %d greatest ones for %d kinds",
				len(cut.DualValues), len(v.instance.Items), len(cut.Most), kinds)
		}
		for k, most := range cut.Most {
			v.atLeast(0, most, at("cut", n, "kind", k), "greatest dual value")
		}
	}
	return len(v.report.Violations) == before
}

// checkCut reports a kind of which a pattern has a greater dual value than the cut says.
func (v *verifier) checkCut(ctx context.Context, n int, cut Cut) (bool, error) {
	holds := true
	wanted := v.instance.wanted()
	for k := range v.instance.Kinds {
		where := at("cut", n, "kind", k)
		knapsack, target, err := newKnapsack(v.instance, wanted, Leaf{DualValues: cut.DualValues}, k, 1, big.NewInt(cut.Most[k]))
		if errors.Is(err, errTooLarge) {
			v.violate(TooLarge, where, nil, "the dual values are too large to be summed exactly in 64 bits; use smaller ones")
			holds = false
			continue
		}
		over, err := knapsack.excess(ctx, target)
		if err != nil {
			return false, err
		}
		if over > 0 {
			v.violate(DualInfeasible, where, big.NewInt(over), "a pattern's dual value is %d above the %d that the cut allows", over, cut.Most[k])
			holds = false
		}
	}
	return holds, nil
}

// mixGroups gives the mixes that leaves exclude. A group's leaves all begin with "at most n_k sticks of kind k" for every kind in turn. What follows must
// form a full binary tree.
func (v *verifier) mixGroups(leaves []Leaf) (groups [][]int64, ok bool) {
	members := map[string][]int{}
	var names []string
	kinds := len(v.instance.Kinds)
	for n, leaf := range leaves {
		mix := make([]int64, kinds)
		for k := range mix {
			if len(leaf.Branch) <= k || !isMost(leaf.Branch[k], k) {
				v.violate(WrongTree, at("leaf", n), nil, "its branch does not begin with the most sticks of each kind in turn")
				return nil, false
			}
			mix[k] = leaf.Branch[k].Count
		}
		name := fmt.Sprint(mix)
		if members[name] == nil {
			names, groups = append(names, name), append(groups, mix)
		}
		members[name] = append(members[name], n)
	}
	for _, name := range names {
		if where, fault := treeFault(leaves, members[name], kinds); fault != "" {
			v.violate(WrongTree, where, nil, "%s", fault)
			return nil, false
		}
	}
	return groups, true
}

// isMost tells whether a branch entry says how many sticks of kind k there are at most.
func isMost(c Condition, k int) bool {
	return c.Kind != nil && *c.Kind == k && c.Choice == nil && !c.Credited && len(c.Holds) == 0 && c.Sense == Most
}

// mixEnumeration goes through all mixes that cost at most top and satisfy all cuts, kind after kind in an order. Of the kinds that are still to come it uses
// that together they can give a cut no more than so much, and that what they give costs so much at least, see price. newMixEnumeration sees to it that no number
// leaves int64.
type mixEnumeration struct {
	order  []int
	cost   []int64 // by kind
	most   []int64 // by kind: no trimmed plan has more sticks of it
	top    int64
	cuts   []mixCut
	groups [][]int64
	need   [][]int64 // by place and cut: what the kinds from there on must give
	mix    []int64   // by kind
	looks  int
}

// mixCut is a cut, by place in the order. Its numbers are the cut's over a power of 2, rounded so that it asks for no more.
type mixCut struct {
	asks   int64
	gives  []int64   // what a stick of the kind there gives
	rest   []int64   // what the kinds after it can give in all
	prices [][]price // that of the kinds after it
}

// price is what a unit is paid for at least, as a fraction p. At any p, n_o sticks of kinds o that give a need cost
//
//	Σ_o c_o n_o  >=  p · need + Σ_o (c_o − p · gives_o) n_o  >=  p · need + Σ_o min(0, c_o − p · gives_o) · most n_o
//
// The last sum is spare, times the denominator.
type price struct{ num, den, spare int64 }

// less tells whether a price is less than another.
func (p price) less(o price) bool { return product(p.num, o.den).Cmp(product(o.num, p.den)) < 0 }

// newMixEnumeration reports false where numbers are too large.
func newMixEnumeration(instance Instance, m *Mixes, scale int64, groups [][]int64) (*mixEnumeration, bool) {
	kinds := len(instance.Kinds)
	e := &mixEnumeration{order: m.Order, top: m.Bound - 1, groups: groups, mix: make([]int64, kinds)}
	sum := new(big.Int)
	for _, item := range instance.Items {
		sum.Add(sum, big.NewInt(item.Demand))
	}
	if sum.Cmp(big.NewInt(mixLargest)) >= 0 {
		return nil, false
	}
	pieces := sum.Int64()
	limited := make([]bool, kinds)
	for k, kind := range instance.Kinds {
		most := pieces
		switch {
		case !instance.fitsAny(k):
			most = 0
		case kind.Limit != nil && *kind.Limit < pieces:
			most, limited[k] = *kind.Limit, true
		}
		e.cost, e.most = append(e.cost, kind.Cost), append(e.most, most)
	}
	e.need = make([][]int64, kinds+1)
	for p := range e.need {
		e.need[p] = make([]int64, len(m.Cuts))
	}
	for t, cut := range m.Cuts {
		asks := new(big.Int)
		for i, item := range instance.Items {
			asks.Add(asks, product(cut.DualValues[i], item.Demand))
		}
		c, ok := e.newCut(asks, cut, scale, limited, 0)
		for shift := uint(1); !ok && shift < 48; shift++ {
			c, ok = e.newCut(asks, cut, scale, limited, shift)
		}
		if !ok {
			return nil, false
		}
		e.cuts = append(e.cuts, c)
		e.need[0][t] = c.asks
	}
	return e, true
}

// mixLargest bounds every product that is made of a cut. Three of them together stay within int64.
const mixLargest = 1 << 60

// newCut works out what the kinds after each place can give, and two prices: the least at which any of them gives, and that of the certificate's scale, or that
// of a kind without a limit where it is less. The former says most where few are needed, the latter where those that give most for their cost are soon used up.
// It reports false where the cut's numbers over 2 to the power of shift are too large.
func (e *mixEnumeration) newCut(asks *big.Int, cut Cut, scale int64, limited []bool, shift uint) (c mixCut, ok bool) {
	kinds := len(e.order)
	c = mixCut{gives: make([]int64, kinds), rest: make([]int64, kinds), prices: make([][]price, kinds)}
	fits := true
	checked := func(x *big.Int) int64 {
		if x.CmpAbs(big.NewInt(mixLargest)) >= 0 {
			fits = false
			return 0
		}
		return x.Int64()
	}
	c.asks = checked(new(big.Int).Rsh(asks, shift)) // rounded down, also below 0
	all, dearest := new(big.Int), int64(1)
	gives := make([]int64, kinds)
	for k := range gives {
		gives[k] = ceilQuo(big.NewInt(cut.Most[k]), new(big.Int).Lsh(big.NewInt(1), shift)).Int64()
		all.Add(all, product(gives[k], e.most[k]))
		dearest = max(dearest, e.cost[k])
	}
	size := checked(all) + max(c.asks, -c.asks) // no need is larger
	rest := new(big.Int)
	var least *price
	second := price{num: 1, den: (scale-1)>>shift + 1}
	for p := kinds - 1; p >= 0 && fits; p-- {
		k := e.order[p]
		c.gives[p], c.rest[p] = gives[k], rest.Int64()
		prices := []price{second}
		if least != nil {
			prices = append(prices, *least)
		}
		for _, at := range prices {
			spare := new(big.Int)
			for _, o := range e.order[p+1:] {
				if reduced := product(at.den, e.cost[o]); reduced.Sub(reduced, product(at.num, gives[o])).Sign() < 0 {
					spare.Add(spare, reduced.Mul(reduced, big.NewInt(e.most[o])))
				}
			}
			at.spare = checked(spare)
			checked(product(at.den, max(e.top, 0)))
			checked(product(at.den, dearest))
			checked(product(at.num, size))
			c.prices[p] = append(c.prices[p], at)
		}
		if gives[k] == 0 || e.most[k] == 0 {
			continue
		}
		rest.Add(rest, product(gives[k], e.most[k]))
		own := price{num: e.cost[k], den: gives[k]}
		if least == nil || own.less(*least) {
			least = &own
		}
		if !limited[k] && own.less(second) {
			second = own
		}
	}
	return c, fits
}

// find tells whether there is such a mix in no group, the numbers of the kinds before the place being those in e.mix, which cost paid. It is in e.mix then.
func (e *mixEnumeration) find(ctx context.Context, place int, paid int64) (bool, error) {
	if place == len(e.order) {
		return !e.inGroup(), nil
	}
	k := e.order[place]
	low, high, ok := e.interval(place, paid)
	if !ok {
		return false, nil
	}
	for n := low; n <= high; n++ {
		before := e.looks >> 16
		if e.looks += 1 + len(e.cuts); e.looks > mixLimit {
			return false, &UncheckedError{States: e.looks, Limit: mixLimit, Mixes: true}
		}
		if e.looks>>16 != before && ctx.Err() != nil {
			return false, ctx.Err()
		}
		e.mix[k] = n
		for t, c := range e.cuts {
			e.need[place+1][t] = e.need[place][t] - c.gives[place]*n
		}
		if found, err := e.find(ctx, place+1, paid+e.cost[k]*n); found || err != nil {
			return found, err
		}
	}
	return false, nil
}

// interval gives the least and the greatest number of sticks of the kind at a place that the cuts and the cost leave; false: none.
func (e *mixEnumeration) interval(place int, paid int64) (low, high int64, ok bool) {
	k := e.order[place]
	room := e.top - paid
	if room < 0 {
		return 0, 0, false
	}
	high = e.most[k]
	if e.cost[k] > 0 {
		high = min(high, room/e.cost[k])
	}
	for t, c := range e.cuts {
		need, gives := e.need[place][t], c.gives[place]
		if need <= 0 {
			continue
		}
		if short := need - c.rest[place]; short > 0 {
			if gives == 0 {
				return 0, 0, false
			}
			low = max(low, (short-1)/gives+1)
		}
		for _, p := range c.prices[place] {
			// With n sticks, cost · n + p (need − gives · n) + spare is at most room.
			slope, right := p.den*e.cost[k]-p.num*gives, p.den*room-p.num*need-p.spare
			switch {
			case slope >= 0 && right < 0:
				return 0, 0, false
			case slope > 0:
				high = min(high, right/slope)
			case slope < 0 && right < 0:
				low = max(low, (-right-1)/-slope+1)
			}
		}
		if low > high {
			return 0, 0, false
		}
	}
	return low, high, low <= high
}

// inGroup tells whether a group has the mix: no more sticks of any kind.
func (e *mixEnumeration) inGroup() bool {
	return slices.ContainsFunc(e.groups, func(group []int64) bool {
		for k, n := range e.mix {
			if n > group[k] {
				return false
			}
		}
		return true
	})
}

// sentence names the mix that was found.
func (e *mixEnumeration) sentence() string {
	var parts []string
	for k, n := range e.mix {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d sticks of kind %d", n, k))
		}
	}
	if len(parts) == 0 {
		return "no sticks at all"
	}
	return strings.Join(parts, ", ")
}
