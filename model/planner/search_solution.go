package planner

import (
	"cmp"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
	"slices"
)

// course is a task's plan before the sides have names: what is cut from which kinds, how many bundles are bought of each
// price list, and how many rings of each bound kind come from each of its lots.
type course struct {
	layouts []layout
	bundles []int64
	rings   [][]int64
}

func newCourse(t *task) course {
	c := course{bundles: make([]int64, len(t.supplies)), rings: make([][]int64, len(t.bound))}
	for n, b := range t.bound {
		c.rings[n] = make([]int64, len(b.lots))
	}
	return c
}

// courses reads a solution of the problem.
func (b *batch) courses(patterns []solver.Pattern, choices []int64) []course {
	all := make([]course, len(b.tasks))
	for n, t := range b.tasks {
		c := newCourse(t)
		c.layouts = t.layouts(patterns)
		for d, deed := range t.deeds {
			times := choices[t.firstChoice+d]
			switch deed.does {
			case buys:
				c.bundles[deed.supply] += times * deed.bundles
			case cuts:
				c.rings[deed.bound][deed.lot] += times
			}
		}
		t.buySingles(&c)
		all[n] = c
	}
	b.trim(all, supply.costs)
	return all
}

// buySingles counts the sticks that are bought one by one, as they are used.
func (t *task) buySingles(c *course) {
	used := t.used(*c)
	for n, s := range t.supplies {
		if s.single() {
			c.bundles[n] = used[s.kind]
		}
	}
}

// used counts the sticks of each kind that something is cut from.
func (t *task) used(c course) []int64 {
	used := make([]int64, len(t.kinds))
	for _, l := range c.layouts {
		if len(l.items) > 0 {
			used[l.kind]++
		}
	}
	return used
}

// trim leaves out bundles that make the plan no cheaper, as there can be where an unused stick is worth its price, as long
// as the orders come to what they must. What bundles come to is what they are paid or what the problem says that they cost.
func (b *batch) trim(all []course, comesTo func(supply, int64) model.Money) {
	for n, t := range b.tasks {
		used := t.used(all[n])
		for m, s := range t.supplies {
			bought := all[n].bundles[m]
			net := func(bundles int64) model.Money { return comesTo(s, bundles) - s.spareOf(bundles, used[s.kind]) }
			best := bought
			for fewer := s.needs(used[s.kind]); fewer < bought; fewer++ {
				all[n].bundles[m] = fewer
				if s.sells(fewer) && b.enoughOrdered(all, s.supplier) && (net(fewer) < net(best) || best == bought && net(fewer) <= net(best)) {
					best = fewer
				}
			}
			all[n].bundles[m] = best
		}
	}
}

// enoughOrdered says whether an order comes to what the supplier asks, or is none.
func (b *batch) enoughOrdered(all []course, supplier string) bool {
	n := b.order(supplier)
	if n < 0 {
		return true
	}
	terms := b.terms[n]
	money, sticks := b.ordered(all, supplier)
	return sticks == 0 && !b.forced || money >= terms.LeastAmount() && sticks >= int64(terms.LeastSticks)
}

// ordered is what an order comes to, without delivery.
func (b *batch) ordered(all []course, supplier string) (money model.Money, sticks int64) {
	for n, t := range b.tasks {
		for m, s := range t.supplies {
			if s.supplier == supplier {
				money += s.pays(all[n].bundles[m])
				sticks += all[n].bundles[m] * int64(s.bundle)
			}
		}
	}
	return money, sticks
}

// topUp adds bundles to the orders that do not come to what they must, always of the list that is used first.
func (b *batch) topUp(all []course) {
	for _, terms := range b.terms {
		for !b.enoughOrdered(all, terms.Name) {
			if !b.addBundle(all, terms) {
				break
			}
		}
	}
}

// addBundle adds a bundle of the first list of a supplier that is bought from and whose bundles bring the order nearer
// to its least.
func (b *batch) addBundle(all []course, terms model.Supplier) bool {
	money, _ := b.ordered(all, terms.Name)
	for n, t := range b.tasks {
		for m, s := range t.supplies {
			if have := all[n].bundles[m]; s.supplier == terms.Name && (have > 0 || b.forced && s.sells(1)) &&
				(money >= terms.LeastAmount() || s.pays(have+1) > s.pays(have)) {
				all[n].bundles[m]++
				return true
			}
		}
	}
	return false
}

// deliveries gives each task's share of the charges for delivery, in proportion to what it orders.
func (b *batch) deliveries(all []course) []model.Money {
	out := make([]model.Money, len(b.tasks))
	for _, terms := range b.terms {
		weights := make([]model.Length, len(b.tasks))
		for n, t := range b.tasks {
			for m, s := range t.supplies {
				if s.supplier == terms.Name && all[n].bundles[m] > 0 {
					weights[n] += max(1, model.Length(s.pays(all[n].bundles[m])))
				}
			}
		}
		for n, part := range plan.Share(terms.Delivery, weights) {
			out[n] += part
		}
	}
	return out
}

// solution states courses as patterns and choices of the problem, each price in its own choice.
func (b *batch) solution(all []course) (patterns []solver.Pattern, choices []int64) {
	choices = make([]int64, len(b.problem.Choices))
	for n, terms := range b.terms {
		if _, sticks := b.ordered(all, terms.Name); sticks > 0 {
			choices[n] = 1
		}
	}
	for n, t := range b.tasks {
		patterns = append(patterns, t.patterns(all[n].layouts)...)
		used := t.used(all[n])
		for d, deed := range t.deeds {
			times := int64(0)
			switch deed.does {
			case buys:
				times = t.supplies[deed.supply].times(deed, all[n].bundles[deed.supply])
			case opens:
				for _, k := range t.damaged[deed.damaged].kinds {
					times = max(times, used[k])
				}
			case cuts:
				times = all[n].rings[deed.bound][deed.lot]
			}
			choices[t.firstChoice+d] = times
		}
	}
	return patterns, choices
}

// times says how often a choice of buying is made where so many bundles are bought in all.
func (s supply) times(d deed, bundles int64) int64 {
	from := s.tiers[d.tier].from
	switch {
	case bundles == 0 || s.tierOf(bundles) != d.tier:
		return 0
	case d.further:
		return bundles - from
	case s.anyNumber(d.tier):
		return bundles
	}
	return 1
}

// cost is what patterns and choices cost in the problem.
func (b *batch) cost(patterns []solver.Pattern, choices []int64) int64 {
	var cost int64
	for _, p := range patterns {
		kind := b.problem.Kinds[p.Kind]
		left := kind.Length
		for _, take := range p.Take {
			left -= take.Quantity * b.problem.Items[take.Item].Length
		}
		cost += p.Count * (kind.Cost - int64(credit(kind.Credit, model.Length(left))))
	}
	for n, times := range choices {
		cost += times * b.problem.Choices[n].Cost
	}
	return cost
}

// figures sums up a task's course, with its share of delivery.
func (t *task) figures(c course, delivery model.Money) plan.Figures {
	var f plan.Figures
	for _, s := range t.sticksOf(c.layouts) {
		t.add(&f, s)
	}
	used := t.used(c)
	for n, s := range t.supplies {
		f.Purchases += s.pays(c.bundles[n])
		f.Spare += s.spareOf(c.bundles[n], used[s.kind])
	}
	f.Delivery = delivery
	f.Derive()
	return f
}

// purchases lists what is bought for the task, longest stick first, then smallest bundle; without the jobs it is for.
func (t *task) purchases(c course) []plan.Purchase {
	var list []plan.Purchase
	used := t.used(c)
	for n, s := range t.supplies {
		bundles := c.bundles[n]
		if bundles == 0 {
			continue
		}
		p := plan.Purchase{Supplier: s.supplier, Profile: t.profile.Name, Length: s.length, Longest: s.longest,
			Count: int(bundles) * s.bundle, Price: s.price(bundles), Cost: s.pays(bundles), Jobs: []string{}}
		if s.bundle > 1 {
			p.Bundle = s.bundle
		}
		if spare := int(bundles)*s.bundle - int(used[s.kind]); spare > 0 {
			p.Spare, p.SpareWorth = spare, s.spareOf(bundles, used[s.kind])
		}
		list = append(list, p)
	}
	slices.SortStableFunc(list, func(a, b plan.Purchase) int {
		return cmp.Or(cmp.Compare(b.Length, a.Length), cmp.Compare(a.Bundle, b.Bundle), cmp.Compare(a.Longest, b.Longest))
	})
	return list
}
