package planner

import (
	"cmp"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// supply is one supplier's price list for one length of a profile: bundles of so many sticks, at prices that may fall
// with their number.
type supply struct {
	supplier  string
	length    model.Length   // of one stick; of random lengths the shortest
	longest   model.Length   // of random lengths; 0: all are length long
	bundle    int            // sticks in a bundle
	tiers     []tier         // by from, rising; the first has from 1
	terms     bool           // the supplier has terms, so that placing an order is a choice
	asks      model.Supplier // those terms
	exclusive bool           // it has breaks, and something hangs on how much money an order comes to
	spare     model.Money    // what a stick that is bought and not cut is worth
	kind      int            // index in profileProblem.kinds
	most      int64          // bundles: no cheapest plan buys more
}

// tier is a price that holds from so many bundles on.
type tier struct {
	from  int64
	price model.Money // of one bundle
	cost  model.Money // of one bundle in the problem: the price, or less where something is taken off (Ordered)
}

// single says whether sticks are to be had one by one at one price and with no terms: then a stick is bought when it is
// used, and there is nothing to choose.
func (s supply) single() bool {
	return s.bundle == 1 && len(s.tiers) == 1 && s.tiers[0].from == 1 && !s.terms
}

// sells says whether so many bundles can be bought at all.
func (s supply) sells(bundles int64) bool { return bundles == 0 || bundles >= s.tiers[0].from }

// price is that of one bundle where so many are bought: of the greatest tier that starts at so many or fewer.
func (s supply) price(bundles int64) model.Money {
	return s.tiers[s.tierOf(bundles)].price
}

// tierOf is the index of the tier that holds for so many bundles, which the list sells.
func (s supply) tierOf(bundles int64) int {
	at := 0
	for n, t := range s.tiers {
		if t.from <= bundles {
			at = n
		}
	}
	return at
}

// anyNumber says whether a tier's bundles are one choice, made any number of times.
func (s supply) anyNumber(tier int) bool { return s.tiers[tier].from == 1 && !s.exclusive }

// pays is what so many bundles cost.
func (s supply) pays(bundles int64) model.Money { return s.price(bundles) * model.Money(bundles) }

// costs is what so many bundles cost in the problem.
func (s supply) costs(bundles int64) model.Money {
	return s.tiers[s.tierOf(bundles)].cost * model.Money(bundles)
}

// spareOf is what those sticks of so many bundles are worth that are not used.
func (s supply) spareOf(bundles, used int64) model.Money {
	return s.spare * model.Money(bundles*int64(s.bundle)-used)
}

// bundlesFor is the least number of bundles that give so many sticks.
func (s supply) bundlesFor(sticks int64) int64 {
	if sticks == 0 {
		return 0
	}
	return max(s.tiers[0].from, ceilDiv(sticks, int64(s.bundle)))
}

// supplies returns the price lists of a profile on a day, in the order of the table. Offers that differ only in their last day are one
// list, in which each quantity has its lowest price. A list without a price for a single bundle starts with its first break: so many must
// be bought. Of lists of one length that sell single sticks at one price only the cheapest is taken, of equal ones the first.
func supplies(w *model.Workshop, profile string, options Options) []supply {
	var lists []supply
	for _, o := range w.OffersOf(profile, options.On) {
		asks, terms := w.TermsOf(o.Supplier)
		longest := o.Longest
		if longest <= o.Length {
			longest = 0
		}
		n := slices.IndexFunc(lists, func(s supply) bool {
			return s.supplier == o.Supplier && s.length == o.Length && s.longest == longest && s.bundle == o.PerBundle()
		})
		if n < 0 {
			n = len(lists)
			lists = append(lists, supply{supplier: o.Supplier, length: o.Length, longest: longest, bundle: o.PerBundle(), terms: terms, asks: asks})
		}
		lists[n].addTier(tier{from: int64(o.LeastBundles()), price: o.Price, cost: o.Price})
	}
	value := w.ValuesOf(profile)
	for n := range lists {
		lists[n].dropDearer()
		lists[n].spare = lists[n].spareValue(value(model.Stick{Profile: profile, Length: lists[n].length}))
		lists[n].exclude()
	}
	if options.restriction != nil {
		lists = options.restriction.restrict(lists)
	}
	if options.leftOut != nil {
		lists = slices.DeleteFunc(lists, func(s supply) bool { return s.list(profile) == options.leftOut.List() })
	}
	lists = cheapestSingles(lists)
	if options.restriction != nil && options.restriction.standIn != nil { // it takes the place of no list
		in := options.restriction.standIn
		lists = append(lists, supply{length: in.length, bundle: 1, tiers: []tier{{from: 1, price: in.price, cost: in.price}}})
	}
	return lists
}

// exclude says whether the list's prices exclude each other.
func (s *supply) exclude() { s.exclusive = len(s.tiers) > 1 && s.terms && s.mostAsked() > 0 }

// mostAsked is the most that an order must come to, in any way in which it can be placed.
func (s *supply) mostAsked() model.Money {
	ways := s.asks.Ways()
	return ways[len(ways)-1].LeastAmount()
}

// addTier keeps the tiers in order, of two with the same start the cheaper.
func (s *supply) addTier(t tier) {
	n, found := slices.BinarySearchFunc(s.tiers, t, func(a, b tier) int { return cmp.Compare(a.from, b.from) })
	if !found {
		s.tiers = slices.Insert(s.tiers, n, t)
	} else if t.price < s.tiers[n].price {
		s.tiers[n] = t
	}
}

// dropDearer drops breaks whose price is no lower than that of a smaller quantity. They occur where a special price that ends stands
// beside a lasting price list.
func (s *supply) dropDearer() {
	tiers := s.tiers[:1]
	for _, t := range s.tiers[1:] {
		if t.price < tiers[len(tiers)-1].price {
			tiers = append(tiers, t)
		}
	}
	s.tiers = tiers
}

// spareValue is what a stick bought and not cut is worth: what it would be worth on the rack, and no more than its share
// of any of the list's prices.
func (s supply) spareValue(value model.Money) model.Money {
	for _, t := range s.tiers {
		value = min(value, t.price/model.Money(s.bundle))
	}
	return value
}

// restrict returns the lists that a restriction leaves, with the terms and prices that it supposes.
func (a *restriction) restrict(lists []supply) []supply {
	lists = slices.DeleteFunc(lists, func(s supply) bool { return s.terms && !slices.Contains(a.open, s.supplier) })
	for n := range lists {
		s := &lists[n]
		var o plan.Ordered
		if at := slices.IndexFunc(a.orders, func(o plan.Ordered) bool { return o.Supplier == s.supplier }); at >= 0 {
			o = a.orders[at]
		}
		s.asks = supplierOf(o)
		s.terms = asks(o)
		s.exclude()
		for m := range s.tiers {
			s.tiers[m].cost -= lagrangianTerm(o, s.tiers[m].price, int64(s.bundle))
		}
	}
	return lists
}

func cheapestSingles(lists []supply) []supply {
	var out []supply
	for _, s := range lists {
		n := slices.IndexFunc(out, func(o supply) bool { return o.length == s.length && o.single() && s.single() })
		switch {
		case n < 0:
			out = append(out, s)
		case s.tiers[0].cost < out[n].tiers[0].cost:
			out[n] = s
		}
	}
	return out
}

// mostBundles returns a number of bundles that no cheapest plan exceeds: enough for all sides by first-fit from this list alone, for the list's
// last break, and for the supplier's least order. Where offcuts are credited, more and emptier sticks may be cheaper; then it is as many as cost
// no more than first-fit's.
func (pp *profileProblem) mostBundles(s supply) int64 {
	k, from := pp.kinds[s.kind], 0 // no open stick before from has room
	sticks, pieces, smallest := int64(0), int64(0), k.usable
	var open []model.Length // room
	for n, u := range pp.units {
		if u.need > k.usable {
			continue
		}
		pieces++
		smallest = u.need
		if n == 0 || pp.units[n-1].need != u.need {
			from = 0
		}
		for from < len(open) && open[from] < u.need {
			from++
		}
		if from == len(open) {
			open = append(open, k.usable)
		}
		open[from] -= u.need
	}
	sticks = int64(len(open))
	if k.credit.Num > 0 {
		sticks = min(pieces, pp.evenEmpty(s, k, sticks, smallest))
	}
	most := max(s.bundlesFor(sticks), s.tiers[len(s.tiers)-1].from)
	return max(most, s.fillsOrder())
}

// fillsOrder is a number of bundles that come to what the supplier asks of an order, and to free delivery.
func (s supply) fillsOrder() int64 {
	bundles := s.bundlesFor(int64(s.asks.LeastSticks))
	if least, price := int64(s.mostAsked()), int64(s.tiers[len(s.tiers)-1].price); least > 0 && price > 0 {
		bundles = max(bundles, ceilDiv(least, price))
	}
	return bundles
}

// evenEmpty bounds the sticks of a list that a cheapest plan uses where offcuts are credited. Even a stick that holds only the smallest side
// costs something, and all together cost no more than first-fit's, or than the least order.
func (pp *profileProblem) evenEmpty(s supply, k kind, firstFit int64, smallest model.Length) int64 {
	bundles := max(s.bundlesFor(firstFit), s.fillsOrder())
	most := new(big.Int).Mul(big.NewInt(bundles), big.NewInt(int64(s.tiers[0].cost)))
	least := int64(s.tiers[len(s.tiers)-1].cost)/int64(s.bundle) - int64(credit(k.credit, k.usable-smallest))
	if least <= 0 || !most.IsInt64() {
		return solver.MaxDemand
	}
	return min(ceilDiv(most.Int64(), least), solver.MaxDemand)
}

// ceilDiv is a ÷ b rounded up, for a ≥ 0 and b > 0.
func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }
