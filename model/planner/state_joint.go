package planner

import (
	"slices"

	"longpoint/model"
	"longpoint/solver"
)

// batch is the profiles that are planned as one problem: one that stands alone, or all those that are bound together by
// the terms of suppliers. The problem's choices are first the orders, one for each supplier with terms, and then those of
// the tasks.
type batch struct {
	w       *model.Workshop
	tasks   []*task
	terms   []model.Supplier // that can be ordered from, by name
	forced  bool             // each of them is ordered from
	problem solver.Problem
}

// deed is what a choice of the problem stands for: buying bundles, opening a damaged stick, or cutting rings from a lot.
type deed struct {
	does    act
	supply  int   // of buying: index in task.supplies
	tier    int   // of buying: index in the supply's tiers
	further bool  // of buying: of the bundles after those that the tier starts with
	bundles int64 // of buying: how many each time
	damaged int   // of opening: index in task.damaged
	bound   int   // of cutting: index in task.bound
	lot     int   // of cutting: index in that boundKind's lots
}

type act uint8

const (
	buys act = iota
	opens
	cuts
)

// batches puts together the tasks that suppliers' terms bind, in the order of their first profiles.
func batches(w *model.Workshop, tasks []*task) []*batch {
	group := make([]int, len(tasks)) // the first task it is bound to
	for n := range tasks {
		group[n] = n
	}
	first := map[string]int{} // the first task that can order from a supplier
	for n, t := range tasks {
		for _, s := range t.supplies {
			if !s.terms {
				continue
			}
			f, ok := first[s.supplier]
			if !ok {
				first[s.supplier] = n
				continue
			}
			into, from := group[f], group[n]
			if from < into {
				into, from = from, into
			}
			for m := range group {
				if group[m] == from {
					group[m] = into
				}
			}
		}
	}
	var out []*batch
	for n := range tasks {
		if group[n] != n {
			continue
		}
		b := &batch{w: w}
		for m, t := range tasks {
			if group[m] == n {
				b.tasks = append(b.tasks, t)
			}
		}
		b.fill()
		out = append(out, b)
	}
	return out
}

// Problem is the cutting problem of a profile, or of several that suppliers' terms bind.
type Problem struct {
	Profiles []string // in the order of the workshop's table
	solver.Problem
}

// Problems gives the cutting problems of the workshop's jobs, by their first profiles. Errors are those of Make.
func Problems(w *model.Workshop, o Options) ([]Problem, error) {
	tasks, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	var all []Problem
	for _, b := range batches(w, tasks) {
		p := Problem{Problem: b.problem}
		for _, t := range b.tasks {
			p.Profiles = append(p.Profiles, t.profile.Name)
		}
		all = append(all, p)
	}
	return all, nil
}

// fill states the problem.
func (b *batch) fill() {
	for _, t := range b.tasks {
		for _, s := range t.supplies {
			known := slices.ContainsFunc(b.terms, func(o model.Supplier) bool { return o.Name == s.supplier })
			if s.terms && !known {
				b.terms = append(b.terms, s.asks)
			}
		}
	}
	slices.SortFunc(b.terms, func(x, y model.Supplier) int {
		if x.Name < y.Name {
			return -1
		}
		return 1
	})
	for _, s := range b.terms {
		order := solver.Choice{Cost: int64(s.Delivery), Most: 1}
		for _, least := range []int64{int64(s.LeastAmount()), int64(s.LeastSticks)} {
			if least > 0 {
				order.In = append(order.In, solver.Coef{Row: b.row(0), Value: -least})
			}
		}
		if b.forced {
			order.In = append(order.In, solver.Coef{Row: b.row(1), Value: 1})
		}
		b.problem.Choices = append(b.problem.Choices, order)
	}
	for _, t := range b.tasks {
		b.add(t)
	}
}

// row adds a row and gives its index.
func (b *batch) row(least int64) int {
	b.problem.Rows = append(b.problem.Rows, solver.Row{Least: least})
	return len(b.problem.Rows) - 1
}

// add adds a task's part of the problem.
func (b *batch) add(t *task) {
	p := &b.problem
	t.firstItem, t.firstKind, t.firstChoice = len(p.Items), len(p.Kinds), len(p.Choices)
	for _, it := range t.items {
		p.Items = append(p.Items, solver.Item{Length: int64(it.need), Demand: int64(len(it.units))})
	}
	for _, k := range t.kinds {
		kind := solver.Kind{Length: int64(k.usable), Cost: int64(k.cost), Limited: true, Credit: k.credit}
		switch {
		case k.bought():
			kind.Limited = !t.supplies[k.supply].single()
		case k.damaged == undivided:
			kind.Limit = int64(len(k.rack))
		}
		if len(b.tasks) > 1 || len(t.lots) > 0 {
			kind.Only = []int{}
			for i, it := range t.items {
				if it.lot == free || it.lot == k.lot {
					kind.Only = append(kind.Only, t.firstItem+i)
				}
			}
		}
		p.Kinds = append(p.Kinds, kind)
	}
	for n := range t.supplies {
		if !t.supplies[n].single() {
			b.addSupply(t, n)
		}
	}
	for n, d := range t.damaged {
		c := solver.Choice{Cost: int64(d.value), Most: 1}
		for _, k := range d.kinds {
			c.Cost -= int64(t.kinds[k].cost)
			c.Gives = append(c.Gives, solver.Give{Kind: t.firstKind + k, Quantity: 1})
		}
		b.choice(t, c, deed{does: opens, damaged: n})
	}
	for n, bound := range t.bound {
		rings := int64(len(bound.rings))
		all, noMore := b.row(rings), b.row(-rings)
		for l, lot := range bound.lots {
			c := solver.Choice{Most: rings, In: []solver.Coef{{Row: all, Value: 1}, {Row: noMore, Value: -1}}}
			for _, s := range bound.sides {
				i := t.firstItem + t.itemOf(itemKey{s.need, s.longPoint, 1, lot})
				if last := len(c.Asks) - 1; last >= 0 && c.Asks[last].Item == i {
					c.Asks[last].Quantity++
				} else {
					c.Asks = append(c.Asks, solver.Take{Item: i, Quantity: 1})
				}
			}
			b.choice(t, c, deed{does: cuts, bound: n, lot: l})
		}
	}
}

// choice adds a task's choice.
func (b *batch) choice(t *task, c solver.Choice, d deed) {
	b.problem.Choices = append(b.problem.Choices, c)
	t.deeds = append(t.deeds, d)
}

// addSupply adds the choices of buying from a price list. Where the price holds from one bundle on, it is bought any
// number of times. Where it holds from f on, there is one choice of the first f, at most once, and one of the bundles
// after them, which only goes with it. In an order with terms every choice goes with placing it.
//
// Bundles at different prices of one list are not bought together: it would cost more than all at the lowest of them.
// Only where an order must come to so much money could it be wanted to pay more; there the list's prices exclude each
// other, and each ends where the next begins.
func (b *batch) addSupply(t *task, n int) {
	s := t.supplies[n]
	only := -1
	if s.exclusive {
		only = b.row(-1)
	}
	for m, tier := range s.tiers {
		start := b.purchase(t, n, tier, tier.from)
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
			b.needs(&start, b.order(s.supplier), start.Most)
		}
		b.choice(t, start, deed{does: buys, supply: n, tier: m, bundles: tier.from})
		if more := most - tier.from; !s.anyNumber(m) && more > 0 {
			further := b.purchase(t, n, tier, 1)
			further.Most = more
			b.needs(&further, len(b.problem.Choices)-1, more)
			b.choice(t, further, deed{does: buys, supply: n, tier: m, further: true, bundles: 1})
		}
	}
}

// purchase is the choice of buying so many bundles at once.
func (b *batch) purchase(t *task, n int, tier tier, bundles int64) solver.Choice {
	s := t.supplies[n]
	sticks := bundles * int64(s.bundle)
	c := solver.Choice{Cost: bundles*int64(tier.cost) - sticks*int64(s.spare), Most: 1,
		Gives: []solver.Give{{Kind: t.firstKind + s.kind, Quantity: sticks}}}
	if !s.terms {
		return c
	}
	terms, rows := b.terms[b.order(s.supplier)], b.problem.Choices[b.order(s.supplier)].In
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

// order is the index of the choice of ordering from a supplier.
func (b *batch) order(supplier string) int {
	return slices.IndexFunc(b.terms, func(s model.Supplier) bool { return s.Name == supplier })
}

// needs adds the row by which a choice, made up to so many times, goes only with another one.
func (b *batch) needs(c *solver.Choice, other int, most int64) {
	row := b.row(0)
	o := &b.problem.Choices[other]
	o.In = append(o.In, solver.Coef{Row: row, Value: most})
	c.In = append(c.In, solver.Coef{Row: row, Value: -1})
}
