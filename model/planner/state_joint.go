package planner

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/solver"
)

// jointProblem is the profiles that are planned as one problem: one that stands alone, or all those that are bound together by
// the terms of suppliers. The problem's choices are first the orders, one for each way to order from a supplier with terms, and then those of
// the profiles.
type jointProblem struct {
	w        *model.Workshop
	profiles []*profileProblem
	terms    []model.Supplier // that can be ordered from, by name
	orders   [][]orderWay     // of each of them: the choices of ordering from it
	forced   bool             // each of them is ordered from
	problem  solver.Problem
	laid     *firstFitResult // once it has been worked out
}

// part says which of a joint problem's items, kinds and choices are a profile's: items[i] and kinds[k] of the profile are the problem's
// items firstItem + i and kinds firstKind + k, and its choices follow from firstChoice on.
type part struct {
	firstItem, firstKind, firstChoice int
	decisions                         []decision // of its choices, in order
}

// orderWay is a way to order from a supplier (model.Supplier.Ways).
type orderWay struct {
	model.Supplier
	choice int
}

// decision is what a choice of the problem stands for: buying bundles, opening a damaged stick, or cutting rings from a lot.
type decision struct {
	kind    decisionKind
	supply  int   // of buying: index in profileProblem.supplies
	tier    int   // of buying: index in the supply's tiers
	further bool  // of buying: of the bundles after those that the tier starts with
	bundles int64 // of buying: how many each time
	damaged int   // of opening: index in profileProblem.damaged
	bound   int   // of cutting: index in profileProblem.bound
	lot     int   // of cutting: index in that boundKind's lots
}

type decisionKind uint8

const (
	buyBundles decisionKind = iota
	openStick
	cutRings
)

// jointProblems puts together the profiles that suppliers' terms bind, in the order of their first profiles.
func jointProblems(w *model.Workshop, profiles []*profileProblem) (all []*jointProblem) {
	bound := newUnionFind(len(profiles))
	first := map[string]int{} // the first profile that can order from a supplier
	for n, pp := range profiles {
		for _, s := range pp.supplies {
			if !s.terms {
				continue
			}
			if _, ok := first[s.supplier]; !ok {
				first[s.supplier] = n
			}
			bound.join(first[s.supplier], n)
		}
	}
	for _, set := range bound.sets() {
		var together []*profileProblem
		for _, n := range set {
			together = append(together, profiles[n])
		}
		all = append(all, newJointProblem(w, together, false))
	}
	return all
}

// Problem is the cutting problem of a profile, or of several that suppliers' terms bind.
type Problem struct {
	Profiles []string // in the order of the workshop's table
	solver.Problem
}

// Problems gives the cutting problems of the workshop's jobs, by their first profiles. Errors are those of Make.
func Problems(w *model.Workshop, o Options) ([]Problem, error) {
	profiles, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	var all []Problem
	for _, jp := range jointProblems(w, profiles) {
		p := Problem{Problem: jp.problem}
		for _, pp := range jp.profiles {
			p.Profiles = append(p.Profiles, pp.profile.Name)
		}
		all = append(all, p)
	}
	return all, nil
}

// newJointProblem states the problem of profiles, and sets which part of it each of them is (profileProblem.part): a profile is in one
// joint problem only. forced says that every supplier with terms is ordered from.
func newJointProblem(w *model.Workshop, profiles []*profileProblem, forced bool) *jointProblem {
	jp := &jointProblem{w: w, profiles: profiles, forced: forced}
	for _, pp := range jp.profiles {
		for _, s := range pp.supplies {
			known := slices.ContainsFunc(jp.terms, func(o model.Supplier) bool { return o.Name == s.supplier })
			if s.terms && !known {
				jp.terms = append(jp.terms, s.asks)
			}
		}
	}
	slices.SortFunc(jp.terms, func(x, y model.Supplier) int { return cmp.Compare(x.Name, y.Name) })
	for _, s := range jp.terms {
		jp.addOrder(s)
	}
	for _, pp := range jp.profiles {
		pp.part = jp.add(pp)
	}
	return jp
}

// addOrder adds the choices of ordering from a supplier, one a way; with rows by which the order comes to what the way asks in money and in sticks,
// each of which is there where any way asks so much, and one by which it is placed where that is forced.
func (jp *jointProblem) addOrder(s model.Supplier) {
	var ways []orderWay
	for _, way := range s.Ways() {
		ways = append(ways, orderWay{way, len(jp.problem.Choices)})
		jp.problem.Choices = append(jp.problem.Choices, solver.Choice{Cost: int64(way.Delivery), Most: 1})
	}
	asks := func(least func(model.Supplier) int64) {
		if !slices.ContainsFunc(ways, func(w orderWay) bool { return least(w.Supplier) > 0 }) {
			return
		}
		row := jp.row(0)
		for _, w := range ways {
			if n := least(w.Supplier); n > 0 {
				jp.counts(w.choice, row, -n)
			}
		}
	}
	asks(func(s model.Supplier) int64 { return int64(s.LeastAmount()) })
	asks(func(s model.Supplier) int64 { return int64(s.LeastSticks) })
	if jp.forced {
		row := jp.row(1)
		for _, w := range ways {
			jp.counts(w.choice, row, 1)
		}
	}
	jp.orders = append(jp.orders, ways)
}

// counts enters a choice in a row.
func (jp *jointProblem) counts(choice, row int, value int64) {
	c := &jp.problem.Choices[choice]
	c.In = append(c.In, solver.Coef{Row: row, Value: value})
}

// row adds a row and gives its index.
func (jp *jointProblem) row(least int64) int {
	jp.problem.Rows = append(jp.problem.Rows, solver.Row{Least: least})
	return len(jp.problem.Rows) - 1
}

// add adds a profile's items, kinds, choices and rows to the problem, and says which they are.
func (jp *jointProblem) add(pp *profileProblem) part {
	p := &jp.problem
	at := part{firstItem: len(p.Items), firstKind: len(p.Kinds), firstChoice: len(p.Choices)}
	for _, it := range pp.items {
		p.Items = append(p.Items, solver.Item{Length: int64(it.need), Demand: int64(len(it.units))})
	}
	for _, k := range pp.kinds {
		kind := solver.Kind{Length: int64(k.usable), Cost: int64(k.cost), Limited: true, Credit: k.credit}
		switch {
		case k.bought():
			kind.Limited = !pp.supplies[k.supply].single()
		case k.damaged == undivided:
			kind.Limit = int64(len(k.rack))
		}
		if len(jp.profiles) > 1 || len(pp.lots) > 0 {
			kind.Only = []int{}
			for i, it := range pp.items {
				if it.lot == free || it.lot == k.lot {
					kind.Only = append(kind.Only, at.firstItem+i)
				}
			}
		}
		p.Kinds = append(p.Kinds, kind)
	}
	for n := range pp.supplies {
		if !pp.supplies[n].single() {
			jp.addSupply(pp, &at, n)
		}
	}
	for n, d := range pp.damaged {
		c := solver.Choice{Cost: int64(d.value), Most: 1}
		for _, k := range d.kinds {
			c.Cost -= int64(pp.kinds[k].cost)
			c.Gives = append(c.Gives, solver.Give{Kind: at.firstKind + k, Quantity: 1})
		}
		jp.choice(&at, c, decision{kind: openStick, damaged: n})
	}
	for n, bound := range pp.bound {
		rings := int64(len(bound.rings))
		all, noMore := jp.row(rings), jp.row(-rings)
		for l, lot := range bound.lots {
			c := solver.Choice{Most: rings, In: []solver.Coef{{Row: all, Value: 1}, {Row: noMore, Value: -1}}}
			for _, key := range pp.itemsFrom(bound, lot) {
				i := at.firstItem + pp.itemOf(key)
				if last := len(c.Asks) - 1; last >= 0 && c.Asks[last].Item == i {
					c.Asks[last].Quantity++
				} else {
					c.Asks = append(c.Asks, solver.Take{Item: i, Quantity: 1})
				}
			}
			jp.choice(&at, c, decision{kind: cutRings, bound: n, lot: l})
		}
	}
	return at
}

// choice adds a choice of a profile, and notes in its part what it decides.
func (jp *jointProblem) choice(at *part, c solver.Choice, decides decision) {
	jp.problem.Choices = append(jp.problem.Choices, c)
	at.decisions = append(at.decisions, decides)
}

// addSupply adds the choices of buying from a price list. Where the price holds from one bundle on, it is bought any
// number of times. Where it holds from f on, there is one choice of the first f, at most once, and one of the bundles
// after them, which only goes with it. In an order with terms every choice goes with placing it.
//
// Bundles at different prices of one list are not bought together: it would cost more than all at the lowest of them.
// Only where an order must come to so much money could it be wanted to pay more; there the list's prices exclude each
// other, and each ends where the next begins.
func (jp *jointProblem) addSupply(pp *profileProblem, at *part, n int) {
	s := pp.supplies[n]
	only := -1
	if s.exclusive {
		only = jp.row(-1)
	}
	for m, tier := range s.tiers {
		start := jp.purchase(s, at.firstKind, tier, tier.from)
		most := s.most
		if only >= 0 {
			start.In = append(start.In, solver.Coef{Row: only, Value: -1})
			if m+1 < len(s.tiers) {
				most = min(most, s.tiers[m+1].from-1)
			}
		}
		if s.anyNumber(m) {
			start.Most = most
		}
		if s.terms {
			var ways []int
			for _, w := range jp.orders[jp.termsAt(s.supplier)] {
				ways = append(ways, w.choice)
			}
			jp.needs(&start, ways, start.Most)
		}
		jp.choice(at, start, decision{kind: buyBundles, supply: n, tier: m, bundles: tier.from})
		if more := most - tier.from; !s.anyNumber(m) && more > 0 {
			further := jp.purchase(s, at.firstKind, tier, 1)
			further.Most = more
			jp.needs(&further, []int{len(jp.problem.Choices) - 1}, more)
			jp.choice(at, further, decision{kind: buyBundles, supply: n, tier: m, further: true, bundles: 1})
		}
	}
}

// purchase is the choice of buying so many bundles at once.
func (jp *jointProblem) purchase(s supply, firstKind int, tier tier, bundles int64) solver.Choice {
	sticks := bundles * int64(s.bundle)
	c := solver.Choice{Cost: bundles*int64(tier.cost) - sticks*int64(s.spare), Most: 1,
		Gives: []solver.Give{{Kind: firstKind + s.kind, Quantity: sticks}}}
	if !s.terms {
		return c
	}
	last := jp.orders[jp.termsAt(s.supplier)] // the last way asks for all that any way asks for, and so it is in each row
	terms, rows := last[len(last)-1], jp.problem.Choices[last[len(last)-1].choice].In
	if terms.LeastAmount() > 0 {
		if tier.price > 0 {
			c.In = append(c.In, solver.Coef{Row: rows[0].Row, Value: bundles * int64(tier.price)})
		}
		rows = rows[1:]
	}
	if terms.LeastSticks > 0 {
		c.In = append(c.In, solver.Coef{Row: rows[0].Row, Value: sticks})
	}
	return c
}

// termsAt is the index of a supplier among those with terms.
func (jp *jointProblem) termsAt(supplier string) int {
	return slices.IndexFunc(jp.terms, func(s model.Supplier) bool { return s.Name == supplier })
}

// needs adds the row by which a choice, made up to so many times, goes only with one of others.
func (jp *jointProblem) needs(c *solver.Choice, others []int, most int64) {
	row := jp.row(0)
	for _, other := range others {
		jp.counts(other, row, most)
	}
	c.In = append(c.In, solver.Coef{Row: row, Value: -1})
}
