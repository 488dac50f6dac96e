package audit

import (
	"cmp"
	"fmt"
	"longpoint/model"
	"longpoint/model/plan"
	"maps"
	"math/big"
	"slices"
)

// What a document's cases say of all orders is worked out here once more, by other code than the search's: what each profile
// can order, what it costs at least then, and the least of all together that comes to what the suppliers ask.

// How much is kept count of. Where there is more, the bound is only weaker.
const (
	mostAsked   = 4       // things asked of orders
	mostOrdered = 1 << 15 // amounts of a profile
	mostJoined  = 1 << 21 // pairs of a total and what one more profile orders: beyond, money is counted in coarser units
	mostTotals  = mostJoined / 64
)

// asking is one thing that a supplier asks of an order.
type asking struct {
	supplier string
	ofSticks bool
	least    int64
}

// orderTotal is what is ordered of each thing that is asked; more than what is asked counts as that.
type orderTotal [mostAsked]int64

// askings lists what the suppliers ask, by their names.
func (a *audit) askings(suppliers []string) (out []asking) {
	for _, name := range suppliers {
		var own []asking
		money, sticks := least(a.terms(name))
		if money > 0 {
			own = append(own, asking{name, false, int64(money)})
		}
		if sticks > 0 {
			own = append(own, asking{name, true, sticks})
		}
		if len(out)+len(own) <= mostAsked {
			out = append(out, own...)
		}
	}
	return out
}

// plus adds up totals.
func plus(x, y orderTotal, asked []asking) orderTotal {
	for n, q := range asked {
		x[n] = min(x[n]+y[n], q.least)
	}
	return x
}

// totals gives everything that a profile can order, or nil where that is too much.
func (d *derived) totals(asked []asking) []orderTotal {
	all := []orderTotal{{}}
	for _, l := range d.lists {
		heeded := slices.ContainsFunc(asked, func(q asking) bool { return q.supplier == l.supplier })
		if !heeded || l.terms == nil {
			continue
		}
		var own []orderTotal // of this list
		for bundles, full := l.steps[0], false; !full; bundles++ {
			var x orderTotal
			full = bundles >= l.steps[len(l.steps)-1]
			for n, q := range asked {
				if q.supplier != l.supplier {
					continue
				}
				x[n] = int64(l.all(bundles))
				if q.ofSticks {
					x[n] = bundles * l.bundle
				}
				full = full && (x[n] >= q.least || x[n] == 0)
				x[n] = min(x[n], q.least)
			}
			own = append(own, x)
			if len(own) > mostOrdered {
				return nil
			}
		}
		known := map[orderTotal]bool{}
		for _, x := range all {
			known[x] = true
			for _, y := range own {
				known[plus(x, y, asked)] = true
			}
			if len(known) > mostOrdered {
				return nil
			}
		}
		all = all[:0]
		for x := range known {
			all = append(all, x)
		}
	}
	return all
}

// countable gives what these suppliers ask and everything that each profile can order of that. Suppliers with whom that is too much,
// the last by name first, are not heeded.
func (a *audit) countable(members []*derived, suppliers []string) (asked []asking, totals [][]orderTotal) {
	for asked = a.askings(suppliers); len(asked) > 0; {
		totals = nil
		for _, d := range members {
			if all := d.totals(asked); all != nil {
				totals = append(totals, all)
			}
		}
		if len(totals) == len(members) {
			return asked, totals
		}
		n := slices.IndexFunc(asked, func(q asking) bool { return q.supplier == asked[len(asked)-1].supplier })
		asked = asked[:n]
	}
	return nil, nil
}

// offList is what a case takes off a list's price for a bundle.
func offList(o plan.Ordered, l *priceList, price model.Money) model.Money {
	return byShare(price, o.MoneyMultiplier) + model.Money(l.bundle)*o.StickMultiplier
}

// byShare is a share in millionths of an amount, rounded up.
func byShare(amount model.Money, share int64) model.Money {
	q, r := new(big.Int).QuoRem(new(big.Int).Mul(big.NewInt(int64(amount)), big.NewInt(share)), big.NewInt(1e6), new(big.Int))
	return model.Money(q.Int64() + int64(r.Sign()))
}

// atLeast is what the case's bound says of a profile that orders so much; false: nothing.
func atLeast(c plan.Case, bound model.Money, x orderTotal, asked []asking) (model.Money, bool) {
	for _, o := range c.Orders {
		var money, sticks int64
		for n, q := range asked {
			if q.supplier == o.Supplier && q.ofSticks {
				sticks = x[n]
			} else if q.supplier == o.Supplier {
				money = x[n]
			}
		}
		if sticks < o.LeastSticks || money < int64(o.LeastMoney) {
			return 0, false
		}
		bound += byShare(model.Money(money), o.MoneyMultiplier) + model.Money(sticks)*o.StickMultiplier
	}
	return bound, true
}

// multiplier weighs what is ordered, as the orders of a case do.
func multiplier(orders []plan.Ordered, x orderTotal, asked []asking) (sum model.Money) {
	for n, q := range asked {
		for _, o := range orders {
			switch {
			case o.Supplier != q.supplier:
			case q.ofSticks:
				sum += model.Money(x[n]) * o.StickMultiplier
			default:
				sum += byShare(model.Money(x[n]), o.MoneyMultiplier)
			}
		}
	}
	return sum
}

// roundedUp counts money in units, in favour of the orders.
func roundedUp(x orderTotal, asked []asking, unit int64) orderTotal {
	for n, q := range asked {
		if rest := x[n] % unit; !q.ofSticks && x[n] < q.least && rest > 0 {
			x[n] = min(q.least, x[n]+unit-rest)
		}
	}
	return x
}

// inUnits counts the money of totals in units, each at its least cost.
func inUnits(totals map[orderTotal]model.Money, asked []asking, unit int64) map[orderTotal]model.Money {
	out := map[orderTotal]model.Money{}
	for x, cost := range totals {
		x = roundedUp(x, asked, unit)
		if known, ok := out[x]; !ok || cost < known {
			out[x] = cost
		}
	}
	return undominated(out, asked)
}

// undominated leaves out totals that come to no more than a cheaper one, where only one thing is asked.
func undominated(totals map[orderTotal]model.Money, asked []asking) map[orderTotal]model.Money {
	if len(asked) > 1 {
		return totals
	}
	xs := slices.Collect(maps.Keys(totals))
	slices.SortFunc(xs, func(x, y orderTotal) int { return cmp.Compare(y[0], x[0]) })
	out := map[orderTotal]model.Money{}
	least := model.Money(maxSumAudit)
	for _, x := range xs {
		if cost := totals[x]; cost < least {
			out[x], least = cost, cost
		}
	}
	return out
}

// allOff takes of each supplier the most that any case takes off.
func allOff(weigh [][]plan.Ordered) (all []plan.Ordered) {
	for _, orders := range weigh {
		for _, o := range orders {
			n := slices.IndexFunc(all, func(p plan.Ordered) bool { return p.Supplier == o.Supplier })
			if n < 0 {
				n = len(all)
				all = append(all, plan.Ordered{Supplier: o.Supplier})
			}
			all[n].MoneyMultiplier, all[n].StickMultiplier = max(all[n].MoneyMultiplier, o.MoneyMultiplier), max(all[n].StickMultiplier, o.StickMultiplier)
		}
	}
	return all
}

// orderedBound bounds the profiles' costs together when they order from all of these suppliers what is asked of them: the least
// sum of the cases' bounds, or enough where there is none below that.
func (a *audit) orderedBound(members []*derived, offering [][]string, cases []plan.Case, bounds []model.Money, suppliers []string, enough model.Money) model.Money {
	asked, totals := a.countable(members, suppliers)
	if len(asked) == 0 {
		return 0
	}
	var want orderTotal
	for n, q := range asked {
		want[n] = q.least
	}
	type entry struct {
		x    orderTotal
		cost model.Money
	}
	weigh := [][]plan.Ordered{nil}
	for _, c := range cases {
		if slices.ContainsFunc(c.Orders, func(o plan.Ordered) bool { return o.MoneyMultiplier > 0 || o.StickMultiplier > 0 }) &&
			!slices.ContainsFunc(weigh, func(w []plan.Ordered) bool { return slices.Equal(w, c.Orders) }) {
			weigh = append(weigh, c.Orders)
		}
	}
	weigh = append(weigh, allOff(weigh))
	entries := make([][]entry, len(members))
	lowest := make([][]model.Money, len(weigh)) // of each profile, less what it orders weighs
	for m, d := range members {
		for _, x := range totals[m] {
			e := entry{x: x}
			for n, c := range cases {
				closed := func(name string) bool { return !slices.Contains(c.Open, name) }
				if c.Profile != d.profile.Name || slices.ContainsFunc(offering[m], closed) {
					continue
				}
				if b, ok := atLeast(c, bounds[n], x, asked); ok {
					e.cost = max(e.cost, b)
				}
			}
			entries[m] = append(entries[m], e)
		}
		for w, orders := range weigh {
			low := entries[m][0].cost - multiplier(orders, entries[m][0].x, asked)
			for _, e := range entries[m] {
				low = min(low, e.cost-multiplier(orders, e.x, asked))
			}
			lowest[w] = append(lowest[w], low)
		}
	}
	// hopeful says whether the profiles from next on might still come to less than enough together with what there is.
	hopeful := func(e entry, next int) bool {
		var short orderTotal
		for n := range asked {
			short[n] = want[n] - e.x[n]
		}
		for w, orders := range weigh {
			sum := e.cost + multiplier(orders, short, asked) - mostAsked // which was rounded up for each thing asked
			for _, low := range lowest[w][next:] {
				sum += low
			}
			if sum >= enough {
				return false
			}
		}
		return true
	}
	largest := int64(0)
	for _, q := range asked {
		if !q.ofSticks {
			largest = max(largest, q.least)
		}
	}
	unit := int64(1)
	layer := map[orderTotal]model.Money{{}: 0}
	for m := range members {
		own := map[orderTotal]model.Money{}
		for _, e := range entries[m] {
			alone := true // hopeless even with the least of all others
			for w, orders := range weigh {
				sum := e.cost - multiplier(orders, e.x, asked) + multiplier(orders, want, asked) - mostAsked - lowest[w][m]
				for _, low := range lowest[w] {
					sum += low
				}
				alone = alone && sum < enough
			}
			if alone {
				own[e.x] = e.cost
			}
		}
		own, layer = undominated(own, asked), undominated(layer, asked)
		for len(layer)*len(own) > mostJoined {
			if unit *= 2; unit > largest {
				return 0
			}
			own, layer = inUnits(own, asked, unit), inUnits(layer, asked, unit)
		}
		next := map[orderTotal]model.Money{}
		for x, cost := range layer {
			for y, more := range own {
				sum := entry{roundedUp(plus(x, y, asked), asked, unit), cost + more}
				if known, ok := next[sum.x]; (!ok || sum.cost < known) && hopeful(sum, m+1) {
					next[sum.x] = sum.cost
				}
			}
		}
		for layer = undominated(next, asked); len(layer) > mostTotals; layer = inUnits(layer, asked, unit) {
			if unit *= 2; unit > largest {
				return 0
			}
		}
	}
	if cost, ok := layer[want]; ok {
		return min(cost, enough)
	}
	return enough
}

// soundCase audits who is open in a case, and what it supposes of orders. Prices from which so much were taken off that a stick
// is worth more than it costs would bound nothing.
func (a *audit) soundCase(where string, c plan.Case, d *derived) bool {
	for n, name := range c.Open {
		offers := func(l *priceList) bool { return l.supplier == name && l.terms != nil }
		if n > 0 && name <= c.Open[n-1] || !slices.ContainsFunc(d.lists, offers) {
			a.report("case", where, "%s is open, who stands out of order or is no supplier with terms that offers %s", name, c.Profile)
			return false
		}
	}
	for n, o := range c.Orders {
		fault := ""
		switch {
		case !slices.Contains(c.Open, o.Supplier):
			fault = "who is not open"
		case slices.ContainsFunc(c.Orders[:n], func(p plan.Ordered) bool { return p.Supplier == o.Supplier }):
			fault = "who is there twice"
		case o.LeastMoney < 0 || o.LeastSticks < 0 || o.MoneyMultiplier < 0 || o.MoneyMultiplier > 1e6 || o.StickMultiplier < 0:
			fault = "of whom a number is out of range"
		}
		if money, sticks := least(a.terms(o.Supplier)); fault == "" && (o.LeastMoney > money || o.LeastSticks > sticks) {
			fault = "who does not ask for so much"
		}
		for _, l := range d.lists {
			for _, step := range l.steps {
				if l.supplier == o.Supplier && fault == "" && o.StickMultiplier > l.price[step]/model.Money(l.bundle) {
					fault = "of whose price for a stick more is taken off than all of it" // and the sums below stay small
				}
				if left := l.price[step] - model.Money(l.bundle)*l.spare; fault == "" && l.supplier == o.Supplier && offList(o, l, l.price[step]) > left {
					fault = fmt.Sprintf("of whose price %s more is taken off than the %s that it is above what the sticks are worth", a.money(l.price[step]), a.money(left))
				}
			}
		}
		if fault != "" {
			a.report("case", where, "it supposes something of orders from %s, %s", o.Supplier, fault)
			return false
		}
	}
	return true
}

// supposed gives a list as a case has it: without terms, or with what the case supposes, and with what it takes off.
func supposed(c plan.Case, l *priceList) *priceList {
	one := *l
	one.terms = nil
	for _, o := range c.Orders {
		if o.Supplier != l.supplier {
			continue
		}
		if o.LeastMoney > 0 || o.LeastSticks > 0 {
			one.terms = &model.Supplier{Name: l.supplier, LeastSticks: int(o.LeastSticks),
				LeastMoney: model.OptionalMoney{Amount: o.LeastMoney, Given: o.LeastMoney > 0}}
		}
		one.off = map[int64]model.Money{}
		for _, step := range l.steps {
			one.off[step] = offList(o, l, l.price[step])
		}
	}
	return &one
}
