package audit

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
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

// timesMultipliers is what is ordered times the multipliers, as the orders of a case do.
func timesMultipliers(orders []plan.Ordered, x orderTotal, asked []asking) (sum model.Money) {
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

// orderBound is the work on the least cost of profiles whose orders come to what suppliers ask of them.
type orderBound struct {
	asked       []asking
	all         orderTotal       // that is asked
	multipliers [][]plan.Ordered // by which totals are left out that cannot come to less than enough
	lowest      [][]model.Money  // by multipliers and profile: its least cost, less what it orders times the multipliers
	enough      model.Money
	unit        int64 // that money is counted in
}

// orderedBound bounds the profiles' costs together when they order from all of these suppliers what is asked of them: the least
// sum of the cases' bounds, or enough where there is none below that.
func (a *audit) orderedBound(members []*derived, offering [][]string, cases []plan.Case, bounds []model.Money, suppliers []string, enough model.Money) model.Money {
	asked, totals := a.countable(members, suppliers)
	if len(asked) == 0 {
		return 0
	}
	b := newOrderBound(asked, cases, enough)
	costs := make([]map[orderTotal]model.Money, len(members))
	for m, d := range members {
		costs[m] = b.costs(d.profile.Name, offering[m], totals[m], cases, bounds)
	}
	sums := map[orderTotal]model.Money{{}: 0}
	for m := range members {
		var ok bool
		if sums, ok = b.add(sums, costs[m], m); !ok {
			return 0
		}
	}
	if cost, ok := sums[b.all]; ok {
		return min(cost, enough)
	}
	return enough
}

// weightedBound bounds the same costs by multipliers alone, whatever each profile can order: by what the profiles cost at least at prices that so much is
// taken off, and the multipliers times what the suppliers ask. It gives the best that the cases' multipliers give.
func (a *audit) weightedBound(members []*derived, offering [][]string, cases []plan.Case, bounds []model.Money, suppliers []string) (best model.Money) {
	weigh := [][]plan.Ordered{}
	for _, c := range cases {
		if len(c.Orders) > 0 && onlyMultiplied(c.Orders) {
			weigh = append(weigh, c.Orders)
		}
	}
	weigh = append(weigh, allOff(weigh))
	for _, weights := range weigh {
		var sum model.Money
		sound := true
		for _, o := range weights {
			money, sticks := least(a.terms(o.Supplier))
			sum += byShare(money, o.MoneyMultiplier) - 1 + model.Money(sticks)*o.StickMultiplier // a share is rounded up
			sound = sound && slices.Contains(suppliers, o.Supplier)
		}
		for m, d := range members {
			low, ok := weighted(d.profile.Name, offering[m], weights, cases, bounds)
			sum += low
			sound = sound && ok
		}
		if sound {
			best = max(best, sum)
		}
	}
	return best
}

// onlyMultiplied says whether orders are multipliers and nothing else.
func onlyMultiplied(orders []plan.Ordered) bool {
	return !slices.ContainsFunc(orders, func(o plan.Ordered) bool { return o.LeastMoney > 0 || o.LeastSticks > 0 })
}

// weighted gives the best bound of a profile's cases from whose prices just these multipliers are taken, as far as it can order from their suppliers.
func weighted(profile string, offering []string, weights []plan.Ordered, cases []plan.Case, bounds []model.Money) (best model.Money, ok bool) {
	for n, c := range cases {
		fits := c.Profile == profile && onlyMultiplied(c.Orders)
		for _, name := range offering {
			at := func(o plan.Ordered) bool { return o.Supplier == name }
			w, o := slices.IndexFunc(weights, at), slices.IndexFunc(c.Orders, at)
			fits = fits && slices.Contains(c.Open, name) && (w < 0) == (o < 0) && (w < 0 || weights[w] == c.Orders[o])
		}
		if fits && (!ok || bounds[n] > best) {
			best, ok = bounds[n], true
		}
	}
	return best, ok
}

// newOrderBound takes the multipliers from the cases: each case's, the most of any for each supplier, and none.
func newOrderBound(asked []asking, cases []plan.Case, enough model.Money) *orderBound {
	b := &orderBound{asked: asked, multipliers: [][]plan.Ordered{nil}, enough: enough, unit: 1}
	for n, q := range asked {
		b.all[n] = q.least
	}
	for _, c := range cases {
		if slices.ContainsFunc(c.Orders, func(o plan.Ordered) bool { return o.MoneyMultiplier > 0 || o.StickMultiplier > 0 }) &&
			!slices.ContainsFunc(b.multipliers, func(m []plan.Ordered) bool { return slices.Equal(m, c.Orders) }) {
			b.multipliers = append(b.multipliers, c.Orders)
		}
	}
	b.multipliers = append(b.multipliers, allOff(b.multipliers))
	b.lowest = make([][]model.Money, len(b.multipliers))
	return b
}

// costs gives what a profile costs at least by its cases, for everything that it can order, and notes the lowest.
func (b *orderBound) costs(profile string, offering []string, totals []orderTotal, cases []plan.Case, bounds []model.Money) map[orderTotal]model.Money {
	costs := map[orderTotal]model.Money{}
	for _, x := range totals {
		costs[x] = 0
		for n, c := range cases {
			closed := func(name string) bool { return !slices.Contains(c.Open, name) }
			if c.Profile != profile || slices.ContainsFunc(offering, closed) {
				continue
			}
			if bound, ok := atLeast(c, bounds[n], x, b.asked); ok {
				costs[x] = max(costs[x], bound)
			}
		}
	}
	for w, orders := range b.multipliers {
		low := model.Money(math.MaxInt64)
		for x, cost := range costs {
			low = min(low, cost-timesMultipliers(orders, x, b.asked))
		}
		b.lowest[w] = append(b.lowest[w], low)
	}
	return costs
}

// add adds up the sums of the profiles before the m-th and what that one costs. False: there are too many, even in units.
func (b *orderBound) add(sums, costs map[orderTotal]model.Money, m int) (map[orderTotal]model.Money, bool) {
	own := map[orderTotal]model.Money{}
	for x, cost := range costs {
		if b.hopefulAlone(x, cost, m) {
			own[x] = cost
		}
	}
	own, sums = undominated(own, b.asked), undominated(sums, b.asked)
	for len(sums)*len(own) > mostJoined {
		if !b.coarser() {
			return nil, false
		}
		own, sums = inUnits(own, b.asked, b.unit), inUnits(sums, b.asked, b.unit)
	}
	next := map[orderTotal]model.Money{}
	for x, cost := range sums {
		for y, more := range own {
			total := roundedUp(plus(x, y, b.asked), b.asked, b.unit)
			if known, ok := next[total]; (!ok || cost+more < known) && b.hopeful(total, cost+more, m+1) {
				next[total] = cost + more
			}
		}
	}
	for sums = undominated(next, b.asked); len(sums) > mostTotals; sums = inUnits(sums, b.asked, b.unit) {
		if !b.coarser() {
			return nil, false
		}
	}
	return sums, true
}

// coarser counts money in units twice as large. False: then nothing would be told apart.
func (b *orderBound) coarser() bool {
	largest := int64(0)
	for _, q := range b.asked {
		if !q.ofSticks {
			largest = max(largest, q.least)
		}
	}
	b.unit *= 2
	return b.unit <= largest
}

// hopeful says whether the profiles from next on might still come to less than enough together with a sum of those before.
func (b *orderBound) hopeful(x orderTotal, cost model.Money, next int) bool {
	var short orderTotal
	for n := range b.asked {
		short[n] = b.all[n] - x[n]
	}
	for w, orders := range b.multipliers {
		sum := cost + timesMultipliers(orders, short, b.asked) - mostAsked // which was rounded up for each thing asked
		for _, low := range b.lowest[w][next:] {
			sum += low
		}
		if sum >= b.enough {
			return false
		}
	}
	return true
}

// hopefulAlone says whether what the m-th profile orders might come to less than enough with the least of all others.
func (b *orderBound) hopefulAlone(x orderTotal, cost model.Money, m int) bool {
	for w, orders := range b.multipliers {
		sum := cost - timesMultipliers(orders, x, b.asked) + timesMultipliers(orders, b.all, b.asked) - mostAsked - b.lowest[w][m]
		for _, low := range b.lowest[w] {
			sum += low
		}
		if sum >= b.enough {
			return false
		}
	}
	return true
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
