package audit

import (
	"cmp"
	"fmt"
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
	mostJoined  = 1 << 22 // pairs of a total and what one more profile orders: beyond, money is counted in coarser units
	mostTotals  = mostJoined / 16
)

// asking is one thing that a supplier asks of an order.
type asking struct {
	supplier string
	ofSticks bool
	least    int64
}

// orderTotal is what is ordered of each thing that is asked; more than what is asked counts as that.
type orderTotal [mostAsked]int64

// askings lists what ways to order ask, by their suppliers' names.
func askings(from []way) (out []asking) {
	for _, w := range from {
		var own []asking
		if w.money > 0 {
			own = append(own, asking{w.supplier, false, int64(w.money)})
		}
		if w.sticks > 0 {
			own = append(own, asking{w.supplier, true, w.sticks})
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

// counted is what is ordered at least where it counts as a total.
type counted map[orderTotal]orderTotal

// totals gives everything that a profile can order, or nil where that is too much. Where it is much, sums are rounded up to as many significant bits as
// there is room for, in favour of the orders.
func (d *derived) totals(asked []asking) counted {
	for _, kept := range []int{64, 8, 7, 6, 5, 4, 3, 2, 1} {
		if all := d.totalsTo(asked, kept); all != nil {
			return all
		}
	}
	return nil
}

// totalsTo gives the same with sums rounded up to so many significant bits; nil: there are too many.
func (d *derived) totalsTo(asked []asking, kept int) counted {
	all := counted{{}: {}}
	for _, l := range d.lists {
		heeded := slices.ContainsFunc(asked, func(q asking) bool { return q.supplier == l.supplier })
		if !heeded || l.terms == nil {
			continue
		}
		own := l.totals(asked, kept)
		if own == nil {
			return nil
		}
		next := counted{}
		for x, least := range all {
			next.note(x, least)
			for y, more := range own {
				next.note(shortened(plus(x, y, asked), asked, kept), plus(least, more, asked))
			}
			if len(next) > mostOrdered {
				return nil
			}
		}
		all = next
	}
	return all
}

// note notes that so much may count as a total.
func (c counted) note(total, ordered orderTotal) {
	if known, ok := c[total]; ok {
		for n := range ordered {
			ordered[n] = min(ordered[n], known[n])
		}
	}
	c[total] = ordered
}

// shortened rounds a total up to so many significant bits, but not above what is asked.
func shortened(x orderTotal, asked []asking, kept int) orderTotal {
	for n, q := range asked {
		unit := int64(1)
		for x[n]>>kept >= unit {
			unit *= 2
		}
		if rest := x[n] % unit; rest > 0 {
			x[n] = min(q.least, x[n]+unit-rest)
		}
	}
	return x
}

// totals gives what orders from a list come to, of as few bundles as are sold and more, up to all that is asked; nil: these are too many.
func (l *priceList) totals(asked []asking, kept int) counted {
	own := counted{}
	for bundles, full := l.steps[0], false; !full; bundles++ {
		if bundles > 2*mostOrdered {
			return nil
		}
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
		own.note(shortened(x, asked, kept), x)
	}
	return own
}

// countable gives what these ways to order ask and everything that each profile can order of that. Suppliers with whom that is too much,
// the last by name first, are not heeded.
func countable(members []*derived, from []way) (asked []asking, totals []counted) {
	for asked = askings(from); len(asked) > 0; {
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

// roundedUp counts money in units, in favour of the orders.
func roundedUp(x orderTotal, asked []asking, unit int64) orderTotal {
	for n, q := range asked {
		if rest := x[n] % unit; !q.ofSticks && x[n] < q.least && rest > 0 {
			x[n] = min(q.least, x[n]+unit-rest)
		}
	}
	return x
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

// ordering is something that a profile can order, and what it costs at least then.
type ordering struct {
	total   orderTotal
	cost    model.Money
	reduced int64 // the cost less the weight of the total, in millionths of a minor unit
}

// orderBound is the work on the least cost of profiles whose orders come to what suppliers ask of them.
type orderBound struct {
	asked   []asking
	all     orderTotal       // that is asked
	weights [mostAsked]int64 // of a minor unit or a stick of each thing asked, in millionths: totals are left out that cannot come to less than enough
	lowest  []int64          // by profile: its least reduced cost
	own     [][]ordering     // by profile, the least reduced cost first
	enough  model.Money
	unit    int64 // that money is counted in
}

// orderedBound bounds the profiles' costs together when they order in all of these ways what is asked of them: the least
// sum of the cases' bounds, or enough where there is none below that.
func (a *audit) orderedBound(members []*derived, offering [][]string, cases []plan.Case, bounds []model.Money, from []way, enough model.Money) model.Money {
	asked, totals := countable(members, from)
	if len(asked) == 0 {
		return 0
	}
	b := &orderBound{asked: asked, lowest: make([]int64, len(members)), enough: enough, unit: 1}
	for n, q := range asked {
		b.all[n] = q.least
		if q.least > mostWeighed || enough > mostWeighed {
			return 0
		}
	}
	for m, d := range members {
		b.own = append(b.own, b.costs(d.profile.Name, offering[m], totals[m], cases, bounds))
	}
	if b.weigh(); !b.hopeful(b.bound()) {
		return enough
	}
	return b.least()
}

// mostWeighed keeps weights times amounts within an integer.
const mostWeighed = 1 << 32

// least adds the profiles up, those first that have least to choose from.
func (b *orderBound) least() model.Money {
	slices.SortStableFunc(b.own, func(x, y []ordering) int { return cmp.Compare(len(x), len(y)) })
	sums := map[orderTotal]model.Money{{}: 0}
	for m := range b.own {
		var ok bool
		if sums, ok = b.add(sums, m); !ok {
			return 0
		}
	}
	if cost, ok := sums[b.all]; ok {
		return min(cost, b.enough)
	}
	return b.enough
}

// weight is what a total weighs.
func (b *orderBound) weight(x orderTotal) (sum int64) {
	for n := range b.asked {
		sum += b.weights[n] * x[n]
	}
	return sum
}

// bound is the Lagrangian bound at the weights: all that is asked, and each profile's least reduced cost.
func (b *orderBound) bound() int64 {
	bound := b.weight(b.all)
	for m, own := range b.own {
		b.lowest[m] = int64(b.enough) * 1e6 // of none, too
		for n := range own {
			own[n].reduced = int64(own[n].cost)*1e6 - b.weight(own[n].total)
			b.lowest[m] = min(b.lowest[m], own[n].reduced)
		}
		bound += b.lowest[m]
	}
	return bound
}

// weigh looks for weights that bound well, by steps along each thing asked and along pairs of them, which are halved where none betters the bound, and leaves out
// what cannot come to less than enough.
func (b *orderBound) weigh() {
	best := b.bound()
	steps := [mostAsked]int64{}
	for n, q := range b.asked {
		steps[n] = max(1, min(1e6*int64(b.enough)/(2*q.least), 1e12)/4)
	}
	for halvings, rounds := 0, 0; halvings < mostHalvings && rounds < mostRounds && b.hopeful(best); rounds++ {
		better := false
		for x := range b.asked {
			for y := range b.asked {
				for _, way := range [][2]int64{{1, 1}, {-1, -1}, {1, -1}} {
					was := b.weights
					b.weights[x] = max(0, b.weights[x]+way[0]*steps[x])
					if y != x {
						b.weights[y] = max(0, b.weights[y]+way[1]*steps[y])
					}
					if now := b.bound(); now > best {
						best, better = now, true
					} else {
						b.weights = was
					}
				}
			}
		}
		if better {
			continue
		}
		halvings++
		b.bound()
		for n := range steps {
			steps[n] = max(1, steps[n]/2)
		}
		for m, own := range b.own {
			b.own[m] = slices.DeleteFunc(own, func(o ordering) bool { return !b.hopeful(best - b.lowest[m] + o.reduced) })
		}
	}
	b.bound()
	for m := range b.own {
		slices.SortFunc(b.own[m], func(x, y ordering) int { return cmp.Compare(x.reduced, y.reduced) })
	}
}

// mostHalvings is how often the steps to better weights are halved, and mostRounds how many steps are made in all: once the steps are short, some
// weights would go on for seconds to where they lead.
const mostHalvings, mostRounds = 24, 500

// hopeful says whether a cost that is bounded so, in millionths, may be less than enough.
func (b *orderBound) hopeful(bound int64) bool { return bound <= int64(b.enough-1)*1e6 }

// weightedBound bounds the same costs by multipliers alone, whatever each profile can order: by what the profiles cost at least at prices that so much is
// taken off, and the multipliers times what the suppliers ask. It gives the best that the cases' multipliers give.
func (a *audit) weightedBound(members []*derived, offering [][]string, cases []plan.Case, bounds []model.Money, from []way) (best model.Money) {
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
			at := slices.IndexFunc(from, func(w way) bool { return w.supplier == o.Supplier })
			if at < 0 {
				sound = false
				continue
			}
			sum += byShare(from[at].money, o.MoneyMultiplier) - 1 + model.Money(from[at].sticks)*o.StickMultiplier // a share is rounded up
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

// costs gives what a profile costs at least by its cases, for everything that it can order.
func (b *orderBound) costs(profile string, offering []string, totals counted, cases []plan.Case, bounds []model.Money) (out []ordering) {
	for total, x := range totals {
		one := ordering{total: total}
		for n, c := range cases {
			closed := func(name string) bool { return !slices.Contains(c.Open, name) }
			if c.Profile != profile || slices.ContainsFunc(offering, closed) {
				continue
			}
			if bound, ok := atLeast(c, bounds[n], x, b.asked); ok {
				one.cost = max(one.cost, bound)
			}
		}
		one.cost = min(one.cost, b.enough)
		out = append(out, one)
	}
	return out
}

// add adds up the sums of the profiles before the m-th and what that one costs. False: there are too many, even in units.
func (b *orderBound) add(sums map[orderTotal]model.Money, m int) (map[orderTotal]model.Money, bool) {
	for {
		if next, ok := b.join(sums, m); ok {
			return next, true
		}
		largest := int64(0)
		for _, q := range b.asked {
			if !q.ofSticks {
				largest = max(largest, q.least)
			}
		}
		if b.unit *= 2; b.unit > largest { // then nothing would be told apart
			return nil, false
		}
		coarse := map[orderTotal]model.Money{}
		for x, cost := range sums {
			cheaper(coarse, roundedUp(x, b.asked, b.unit), cost)
		}
		sums = coarse
	}
}

// cheaper notes what a total costs, where it is the least.
func cheaper(totals map[orderTotal]model.Money, x orderTotal, cost model.Money) {
	if known, ok := totals[x]; !ok || cost < known {
		totals[x] = cost
	}
}

// join adds what the m-th profile costs to each sum, as far as the profiles after it may then still come to less than enough. False: there are too many.
func (b *orderBound) join(sums map[orderTotal]model.Money, m int) (map[orderTotal]model.Money, bool) {
	rest, pairs := int64(0), 0
	for _, own := range b.own[m+1:] {
		if len(own) == 0 {
			return nil, true
		}
		rest += own[0].reduced
	}
	next := map[orderTotal]model.Money{}
	for x, cost := range sums {
		before := int64(cost)*1e6 - b.weight(x) + b.weight(b.all) + rest
		for _, o := range b.own[m] {
			if !b.hopeful(before + o.reduced) {
				break // and so are all after it
			}
			if pairs++; pairs > mostJoined {
				return nil, false
			}
			total := roundedUp(plus(x, o.total, b.asked), b.asked, b.unit)
			short := b.all
			for n := range b.asked {
				short[n] -= total[n]
			}
			if m == len(b.own)-1 && total != b.all || !b.hopeful(int64(cost+o.cost)*1e6+b.weight(short)+rest) {
				continue
			}
			cheaper(next, total, cost+o.cost)
		}
		if len(next) > mostTotals {
			return nil, false
		}
	}
	return next, true
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
		if _, sticks := least(a.terms(o.Supplier)); fault == "" && (o.LeastMoney > mostMoney(a.terms(o.Supplier)) || o.LeastSticks > sticks) {
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
