package audit

import (
	"cmp"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// firstFit holds a profile's plan and its comparison against what first-fit makes of it.
func (a *audit) firstFit(p *plan.ProfilePlan) {
	got := a.firstFits()[p.Name]
	where := "profile " + p.Name + ", first-fit"
	if got.LeftOver != p.FirstFit.LeftOver || got.Complete != p.FirstFit.Complete {
		a.report("first-fit", where, "%d sides find no stick, not %d, and whether it is complete is %t, not %t", got.LeftOver, p.FirstFit.LeftOver,
			got.Complete, p.FirstFit.Complete)
	}
	a.sameFigures(where, p.FirstFit.Figures, got.Figures)
	if cost := costOf(got.Figures); p.Together == 0 && got.Complete && p.Figures.Cost > cost {
		a.report("first-fit", where, "the plan costs %s more than first-fit's %s", a.money(p.Figures.Cost-cost), a.money(cost))
	}
}

func costOf(f plan.Figures) model.Money {
	return f.RackValue + f.Purchases + f.Delivery - f.Credit - f.Spare
}

// firstFits lays out all profiles by first-fit, once: each for itself, then the orders are brought up to what suppliers ask.
func (a *audit) firstFits() map[string]plan.Comparison {
	if a.laid != nil {
		return a.laid
	}
	a.laid = map[string]plan.Comparison{}
	open := map[string][]*firstFitStick{}
	bundles, used := map[listKey]int64{}, map[listKey]int64{}
	for name, want := range a.profiles {
		sticks, leftOver := a.layFirstFit(want)
		a.laid[name] = plan.Comparison{LeftOver: leftOver, Complete: leftOver == 0}
		open[name] = sticks
		for _, s := range sticks {
			if s.list != nil {
				used[s.list.listKey]++
			}
		}
		for _, l := range want.lists {
			bundles[l.listKey] = l.bundlesFor(used[l.listKey])
		}
	}
	short := a.bringUp(bundles)
	delivery := a.deliveryShares(func(key listKey) int64 { return bundles[key] })
	for name, want := range a.profiles {
		got := a.laid[name]
		for _, s := range open[name] {
			s.count(&got.Figures, want)
		}
		for _, l := range want.lists {
			n := bundles[l.listKey]
			got.Figures.Purchases += l.all(n)
			got.Figures.Spare += l.spare * model.Money(n*l.bundle-used[l.listKey])
			got.Complete = got.Complete && !(n > 0 && short[l.supplier])
		}
		got.Figures.Delivery = delivery[name]
		a.laid[name] = got
	}
	return a.laid
}

// bringUp adds bundles to orders that do not come to what suppliers ask: always of the first list ordered from, in the
// order of the tables, that still brings the order nearer. It gives the suppliers whose orders nothing brings nearer.
func (a *audit) bringUp(bundles map[listKey]int64) map[string]bool {
	short := map[string]bool{}
	for i := range a.w.Suppliers {
		terms := a.terms(a.w.Suppliers[i].Name)
		leastMoney, leastSticks := least(terms)
		for terms != nil {
			var money model.Money
			var sticks int64
			a.eachList(terms.Name, func(l *priceList) bool {
				money += l.all(bundles[l.listKey])
				sticks += l.bundle * bundles[l.listKey]
				return false
			})
			if sticks == 0 || money >= leastMoney && sticks >= leastSticks {
				break
			}
			added := a.eachList(terms.Name, func(l *priceList) bool {
				n := bundles[l.listKey]
				if n == 0 || money < leastMoney && l.all(n+1) <= l.all(n) {
					return false
				}
				bundles[l.listKey]++
				return true
			})
			if !added {
				short[terms.Name] = true
				break
			}
		}
	}
	return short
}

// eachList goes through a supplier's lists until one does, in the order of the tables.
func (a *audit) eachList(supplier string, does func(*priceList) bool) bool {
	for _, p := range a.w.Profiles {
		want := a.profiles[p.Name]
		if want == nil {
			continue
		}
		for _, l := range want.lists {
			if l.supplier == supplier && does(l) {
				return true
			}
		}
	}
	return false
}

// firstFitUnit is a side, or sides that must lie next to each other, as one thing to cut.
type firstFitUnit struct {
	takes, longPoint model.Length
	sides            int
	lot              *priceList // that it must be cut from, where it must be of one lot
	bound            bool       // it must be of one lot
}

// firstFitUnits gives the profile's units in the order in which first-fit takes them.
func (a *audit) firstFitUnits(want *derived) []firstFitUnit {
	var units []firstFitUnit
	bound := want.manyLots(a)
	for _, r := range want.rings {
		one := firstFitUnit{bound: bound && r.match == model.MatchLot}
		if one.bound {
			longest := model.Length(0)
			for _, w := range r.sides {
				longest = max(longest, w.takes)
			}
			one.lot = a.cheapest(want, longest)
		}
		for _, sides := range r.units() {
			u := one
			for _, w := range sides {
				u.takes += w.takes
				u.longPoint += w.side.LongPoint
				u.sides++
			}
			units = append(units, u)
		}
	}
	slices.SortStableFunc(units, func(x, y firstFitUnit) int {
		if c := cmp.Or(cmp.Compare(y.takes, x.takes), cmp.Compare(y.longPoint, x.longPoint), cmp.Compare(x.sides, y.sides)); c != 0 || x.bound == y.bound {
			return c
		}
		if x.bound {
			return 1
		}
		return -1
	})
	return units
}

// layFirstFit lays a profile's sides out by first-fit.
func (a *audit) layFirstFit(want *derived) (open []*firstFitStick, leftOver int) {
	rack := a.rackByLength(want)
	from, last := map[*priceList]int{}, model.Length(0) // by lot: sticks before from have no room for a unit as long as the last
	for _, u := range a.firstFitUnits(want) {
		if u.takes != last {
			from, last = map[*priceList]int{}, u.takes
		}
		if u.bound && u.lot == nil {
			leftOver += u.sides
			continue
		}
		for {
			at := from[u.lot]
			for at < len(open) && (open[at].room < u.takes || u.bound && open[at].list != u.lot) {
				at++
			}
			from[u.lot] = at
			if at < len(open) {
				break
			}
			next := a.opens(u, want, &rack)
			if next == nil {
				break
			}
			open = append(open, next...)
		}
		at := from[u.lot]
		if at == len(open) {
			leftOver += u.sides
			continue
		}
		open[at].room -= u.takes
		open[at].sides += u.sides
		open[at].longPoints += u.longPoint
	}
	return open, leftOver
}

// firstFitStick is one stick opened by first-fit, or a sound part of one.
type firstFitStick struct {
	stick      *rackStick // nil: bought
	list       *priceList // nil: from the rack
	length     model.Length
	room       model.Length // usable and not yet taken
	behind     model.Length // sound wood behind what is usable
	sides      int
	longPoints model.Length
}

// rackStick is a stick of the rack for all its parts.
type rackStick struct {
	model.Stick
	value   model.Money
	bounds  model.Money // the value of its offcuts by length
	parts   []part
	counted bool
	touched bool // something is cut from it
}

// count adds the stick to the independent figures. A damaged stick counts once for all its parts, and not at all where
// nothing is cut from it.
func (s *firstFitStick) count(f *plan.Figures, want *derived) {
	var bounds model.Money // the value of what is left of it, by length
	switch {
	case s.list == nil:
		if bounds = s.stick.bounds; !s.stick.touched {
			return
		}
		if !s.stick.counted {
			s.stick.counted = true
			f.RackSticks++
			f.RackValue += s.stick.value
			f.UsedUp += s.length
		}
	default:
		bounds = s.list.spare
		f.NewSticks++
		f.UsedUp += s.length
	}
	f.Sides += s.sides
	f.LongPoints += s.longPoints
	if left := s.room + s.behind; want.profile.Keep > 0 && left >= want.profile.Keep && left > 0 {
		f.Kept += left
		f.UsedUp -= left
		f.Credit += want.offcutValue(left, s.length, bounds)
		f.LongestOffcut = max(f.LongestOffcut, left)
	}
}

// rackByLength gives the rack's sticks of a profile, shortest first, of equal ones the one of least value first.
func (a *audit) rackByLength(want *derived) []*rackStick {
	var rack []*rackStick
	for _, s := range a.w.Rack {
		if s.Profile == want.profile.Name {
			value, bounds := a.worth(s, want)
			rack = append(rack, &rackStick{Stick: s, value: value, bounds: bounds, parts: partsOf(s.Length, s.Damage, want)})
		}
	}
	slices.SortStableFunc(rack, func(x, y *rackStick) int {
		return cmp.Or(cmp.Compare(x.Length, y.Length), cmp.Compare(x.value, y.value), min(1, len(x.Damage))-min(1, len(y.Damage)))
	})
	return rack
}

// opens takes a stick for a unit: the shortest of the rack that has a part it fits, else the cheapest by length on
// offer.
func (a *audit) opens(u firstFitUnit, want *derived, rack *[]*rackStick) []*firstFitStick {
	list := u.lot
	if !u.bound {
		for i, s := range *rack {
			var open []*firstFitStick
			fits := false
			for _, p := range s.parts {
				fits = fits || p.to-p.from >= u.takes
				open = append(open, &firstFitStick{stick: s, length: s.Length, room: p.to - p.from, behind: p.behind - p.to})
			}
			if fits {
				s.touched = true
				*rack = slices.Delete(slices.Clone(*rack), i, i+1)
				return open
			}
		}
		list = a.cheapest(want, u.takes)
	}
	if list == nil {
		return nil
	}
	return []*firstFitStick{{list: list, length: list.length, room: list.length - want.head - want.profile.Repeat - want.tail, behind: want.tail}}
}

// cheapest is the list with the lowest price by length, as it is sold in the smallest quantity, of those whose sticks give
// so much; of equal ones the longest.
func (a *audit) cheapest(want *derived, takes model.Length) *priceList {
	var best *priceList
	price := func(l *priceList) *big.Rat {
		return new(big.Rat).SetFrac(big.NewInt(int64(l.each(1))), new(big.Int).Mul(big.NewInt(l.bundle), big.NewInt(int64(l.length))))
	}
	for _, l := range want.lists {
		if l.length-want.head-want.profile.Repeat-want.tail < takes {
			continue
		}
		if best == nil {
			best = l
			continue
		}
		switch c := price(l).Cmp(price(best)); {
		case c < 0, c == 0 && l.length > best.length, c == 0 && l.length == best.length && l.inProblem() < best.inProblem():
			best = l
		}
	}
	return best
}

// manyLots says whether the profile's sticks are of more than one lot, so that matching by lot binds anything.
func (d *derived) manyLots(a *audit) bool {
	lots := map[string]bool{}
	for _, s := range a.w.Rack {
		if s.Profile == d.profile.Name && len(partsOf(s.Length, s.Damage, d)) > 0 {
			lots[plan.Stick{ID: s.ID, From: plan.FromRack, Lot: s.Lot}.LotName()] = true
		}
	}
	for _, l := range d.lists {
		lots[plan.Stick{From: plan.Bought, Supplier: l.supplier, Length: l.length, Longest: l.longest, Bundle: int(l.bundle)}.LotName()] = true
	}
	return len(lots) > 1
}
