package planner

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// solution is a profile's plan before the sides have names: what is cut from which kinds, how many bundles are bought of each
// price list, and how many rings of each bound kind come from each of its lots.
type solution struct {
	layouts []layout
	bundles []int64
	rings   [][]int64
}

func newSolution(pp *profileProblem) solution {
	sol := solution{bundles: make([]int64, len(pp.supplies)), rings: make([][]int64, len(pp.bound))}
	for n, b := range pp.bound {
		sol.rings[n] = make([]int64, len(b.lots))
	}
	return sol
}

// solutions reads a solution of the problem.
func (jp *jointProblem) solutions(patterns []solver.Pattern, choices []int64) []solution {
	all := make([]solution, len(jp.profiles))
	for n, pp := range jp.profiles {
		sol := newSolution(pp)
		sol.layouts = pp.layouts(patterns)
		for d, decision := range pp.decisions {
			times := choices[pp.firstChoice+d]
			switch decision.kind {
			case buyBundles:
				sol.bundles[decision.supply] += times * decision.bundles
			case cutRings:
				sol.rings[decision.bound][decision.lot] += times
			}
		}
		pp.buySingles(&sol)
		all[n] = sol
	}
	return jp.trimmed(all, supply.costs)
}

// buySingles counts the sticks that are bought one by one, as they are used.
func (pp *profileProblem) buySingles(sol *solution) {
	used := pp.used(*sol)
	for n, s := range pp.supplies {
		if s.single() {
			sol.bundles[n] = used[s.kind]
		}
	}
}

// used counts the sticks of each kind that something is cut from.
func (pp *profileProblem) used(sol solution) []int64 {
	used := make([]int64, len(pp.kinds))
	for _, l := range sol.layouts {
		if len(l.items) > 0 {
			used[l.kind]++
		}
	}
	return used
}

// trimmed gives the solutions without the bundles that make the plan no cheaper, as there can be where an unused stick is worth its
// price, as long as the orders come to what they must. What bundles come to is what they are paid or what the problem says that they cost.
func (jp *jointProblem) trimmed(all []solution, comesTo func(supply, int64) model.Money) []solution {
	all = slices.Clone(all)
	for n, pp := range jp.profiles {
		all[n].bundles = slices.Clone(all[n].bundles)
		used := pp.used(all[n])
		for m, s := range pp.supplies {
			bought := all[n].bundles[m]
			money, sticks := jp.orderTotal(all, s.supplier)
			net := func(bundles int64) model.Money {
				return comesTo(s, bundles) - s.spareOf(bundles, used[s.kind]) + jp.deliveryOf(s.supplier, money-s.pays(bought)+s.pays(bundles))
			}
			best := bought
			for fewer := s.bundlesFor(used[s.kind]); fewer < bought; fewer++ {
				enough := s.sells(fewer) && jp.enough(s.supplier, money-s.pays(bought)+s.pays(fewer), sticks-(bought-fewer)*int64(s.bundle))
				if enough && (net(fewer) < net(best) || best == bought && net(fewer) <= net(best)) {
					best = fewer
				}
			}
			all[n].bundles[m] = best
		}
	}
	return all
}

// enoughOrdered says whether an order comes to what the supplier asks, or is none.
func (jp *jointProblem) enoughOrdered(all []solution, supplier string) bool {
	money, sticks := jp.orderTotal(all, supplier)
	return jp.enough(supplier, money, sticks)
}

// enough says whether so much money for so many sticks is what the supplier asks of an order, or no order.
func (jp *jointProblem) enough(supplier string, money model.Money, sticks int64) bool {
	n := jp.termsAt(supplier)
	if n < 0 {
		return true
	}
	terms := jp.terms[n]
	return sticks == 0 && !jp.forced || money >= terms.LeastAmount() && sticks >= int64(terms.LeastSticks)
}

// deliveryOf is what a supplier charges for the delivery of an order of so much.
func (jp *jointProblem) deliveryOf(supplier string, order model.Money) model.Money {
	n := jp.termsAt(supplier)
	if n < 0 {
		return 0
	}
	return jp.terms[n].DeliveryOf(order)
}

// orderTotal is what an order comes to, without delivery.
func (jp *jointProblem) orderTotal(all []solution, supplier string) (money model.Money, sticks int64) {
	for n, pp := range jp.profiles {
		for m, s := range pp.supplies {
			if s.supplier == supplier {
				money += s.pays(all[n].bundles[m])
				sticks += all[n].bundles[m] * int64(s.bundle)
			}
		}
	}
	return money, sticks
}

// topUp adds bundles to the solutions' orders that do not come to what they must, always of the list that is used first.
func (jp *jointProblem) topUp(all []solution) {
	for _, terms := range jp.terms {
		for !jp.enoughOrdered(all, terms.Name) {
			if !jp.addBundle(all, terms) {
				break
			}
		}
	}
}

// addBundle adds to the solutions a bundle of the first list of a supplier that is bought from and whose bundles bring the order nearer
// to its least.
func (jp *jointProblem) addBundle(all []solution, terms model.Supplier) bool {
	money, _ := jp.orderTotal(all, terms.Name)
	for n, pp := range jp.profiles {
		for m, s := range pp.supplies {
			if have := all[n].bundles[m]; s.supplier == terms.Name && (have > 0 || jp.forced && s.sells(1)) &&
				(money >= terms.LeastAmount() || s.pays(have+1) > s.pays(have)) {
				all[n].bundles[m]++
				return true
			}
		}
	}
	return false
}

// deliveries gives each profile's share of the charges for delivery, in proportion to what it orders.
func (jp *jointProblem) deliveries(all []solution) []model.Money {
	out := make([]model.Money, len(jp.profiles))
	for _, terms := range jp.terms {
		weights := make([]model.Length, len(jp.profiles))
		for n, pp := range jp.profiles {
			for m, s := range pp.supplies {
				if s.supplier == terms.Name && all[n].bundles[m] > 0 {
					weights[n] += max(1, model.Length(s.pays(all[n].bundles[m])))
				}
			}
		}
		money, _ := jp.orderTotal(all, terms.Name)
		for n, part := range plan.Share(terms.DeliveryOf(money), weights) {
			out[n] += part
		}
	}
	return out
}

// patternsAndChoices states solutions as patterns and choices of the problem, each price in its own choice.
func (jp *jointProblem) patternsAndChoices(all []solution) (patterns []solver.Pattern, choices []int64) {
	choices = make([]int64, len(jp.problem.Choices))
	for n, terms := range jp.terms {
		if money, sticks := jp.orderTotal(all, terms.Name); sticks > 0 {
			ways := jp.orders[n]
			at := len(ways) - 1
			for at > 0 && money < ways[at].LeastAmount() {
				at--
			}
			choices[ways[at].choice] = 1
		}
	}
	for n, pp := range jp.profiles {
		patterns = append(patterns, pp.patterns(all[n].layouts)...)
		used := pp.used(all[n])
		for d, decision := range pp.decisions {
			times := int64(0)
			switch decision.kind {
			case buyBundles:
				times = pp.supplies[decision.supply].times(decision, all[n].bundles[decision.supply])
			case openStick:
				for _, k := range pp.damaged[decision.damaged].kinds {
					times = max(times, used[k])
				}
			case cutRings:
				times = all[n].rings[decision.bound][decision.lot]
			}
			choices[pp.firstChoice+d] = times
		}
	}
	return patterns, choices
}

// times says how often a choice of buying is made where so many bundles are bought in all.
func (s supply) times(decision decision, bundles int64) int64 {
	from := s.tiers[decision.tier].from
	switch {
	case bundles == 0 || s.tierOf(bundles) != decision.tier:
		return 0
	case decision.further:
		return bundles - from
	case s.anyNumber(decision.tier):
		return bundles
	}
	return 1
}

// cost is what patterns and choices cost in the problem.
func (jp *jointProblem) cost(patterns []solver.Pattern, choices []int64) int64 {
	var cost int64
	for _, p := range patterns {
		kind := jp.problem.Kinds[p.Kind]
		left := kind.Length
		for _, take := range p.Take {
			left -= take.Quantity * jp.problem.Items[take.Item].Length
		}
		cost += p.Count * (kind.Cost - int64(credit(kind.Credit, model.Length(left))))
	}
	for n, times := range choices {
		cost += times * jp.problem.Choices[n].Cost
	}
	return cost
}

// figures sums up a profile's solution, with its share of delivery.
func (pp *profileProblem) figures(sol solution, delivery model.Money) plan.Figures {
	var f plan.Figures
	for _, s := range pp.sticksOf(sol.layouts) {
		pp.add(&f, s)
	}
	used := pp.used(sol)
	for n, s := range pp.supplies {
		f.Purchases += s.pays(sol.bundles[n])
		f.Spare += s.spareOf(sol.bundles[n], used[s.kind])
	}
	f.Delivery = delivery
	f.Derive()
	return f
}

// purchases lists what is bought for the profile, longest stick first, then smallest bundle; without the jobs it is for.
func (pp *profileProblem) purchases(sol solution) []plan.Purchase {
	var list []plan.Purchase
	used := pp.used(sol)
	for n, s := range pp.supplies {
		bundles := sol.bundles[n]
		if bundles == 0 {
			continue
		}
		p := plan.Purchase{Supplier: s.supplier, Profile: pp.profile.Name, Length: s.length, Longest: s.longest,
			Count: int(bundles) * s.bundle, Price: s.price(bundles), Cost: s.pays(bundles), Jobs: []string{}}
		if s.bundle > 1 {
			p.Bundle = s.bundle
		}
		if spare := int(bundles)*s.bundle - int(used[s.kind]); spare > 0 {
			p.Spare, p.SpareValue = spare, s.spareOf(bundles, used[s.kind])
		}
		list = append(list, p)
	}
	slices.SortStableFunc(list, func(a, b plan.Purchase) int {
		return cmp.Or(cmp.Compare(b.Length, a.Length), cmp.Compare(a.Bundle, b.Bundle), cmp.Compare(a.Longest, b.Longest))
	})
	return list
}
