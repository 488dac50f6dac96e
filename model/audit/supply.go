package audit

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// listKey says which price list one is.
type listKey struct {
	supplier, profile string
	length, longest   model.Length
	bundle            int64
}

// priceList is what a supplier asks for bundles of sticks of one length.
type priceList struct {
	listKey
	price map[int64]model.Money // of a bundle, by the least number of bundles it holds for
	steps []int64               // keys of price, rising
	off   map[int64]model.Money // what a case takes off each price; nil: nothing
	terms *model.Supplier       // nil where there are none
	spare model.Money           // value of a stick that nothing is cut from
}

// sold says whether the list sells stick by stick, at one price and without terms.
func (l *priceList) sold() bool {
	return l.bundle == 1 && len(l.steps) == 1 && l.steps[0] == 1 && l.terms == nil
}

// inProblem is what a stick of the list costs in the cutting problem: its price where it is sold singly, else what it
// would be worth if nothing were cut from it, the rest of a bundle's price being that of buying the bundle.
func (l *priceList) inProblem() model.Money {
	if l.sold() {
		return l.cost(1)
	}
	return l.spare
}

// cost is the price of a bundle that holds from so many on, less what a case takes off.
func (l *priceList) cost(step int64) model.Money { return l.price[step] - l.off[step] }

// each is the price of one of so many bundles.
func (l *priceList) each(bundles int64) model.Money {
	step := l.steps[0]
	for _, s := range l.steps {
		if bundles >= s {
			step = s
		}
	}
	return l.price[step]
}

// all is the price of so many bundles.
func (l *priceList) all(bundles int64) model.Money { return model.Money(bundles) * l.each(bundles) }

// bundlesFor is the least number of bundles with so many sticks.
func (l *priceList) bundlesFor(sticks int64) int64 {
	n := int64(0)
	for n*l.bundle < sticks || n > 0 && n < l.steps[0] {
		n++
	}
	return n
}

// keyOf is the key of the list that a bought stick or a line of the buy list names.
func keyOf(supplier, profile string, length, longest model.Length, bundle int) listKey {
	return listKey{supplier, profile, length, longest, int64(max(bundle, 1))}
}

// priceLists derives a profile's price lists.
func (a *audit) priceLists(profile string) []*priceList {
	byKey := map[listKey]*priceList{}
	var lists []*priceList
	for _, o := range a.w.Offers {
		if o.Profile != profile || a.ended(o) {
			continue
		}
		key := keyOf(o.Supplier, o.Profile, o.Length, o.Longest, o.Bundle)
		if key.longest == key.length {
			key.longest = 0 // all are of one length
		}
		l := byKey[key]
		if l == nil {
			l = &priceList{listKey: key, price: map[int64]model.Money{}, terms: a.terms(o.Supplier)}
			byKey[key] = l
			lists = append(lists, l)
		}
		step := int64(max(o.From, 1))
		if price, known := l.price[step]; !known || o.Price < price {
			l.price[step] = o.Price
		}
		if !slices.Contains(l.steps, step) {
			l.steps = append(l.steps, step)
			slices.Sort(l.steps)
		}
	}
	for _, l := range lists {
		cheaper := l.steps[:1]
		for _, s := range l.steps[1:] {
			if l.price[s] < l.price[cheaper[len(cheaper)-1]] {
				cheaper = append(cheaper, s)
			} else {
				delete(l.price, s)
			}
		}
		l.steps = cheaper
		l.spare = a.w.StickValue(model.Stick{Profile: profile, Length: l.length})
		for _, price := range l.price {
			l.spare = min(l.spare, price/model.Money(l.bundle))
		}
	}
	return cheapestSold(lists)
}

// cheapestSold leaves, of lists that sell the same length stick by stick, the cheapest, of equal ones the first. It stands
// where the first of that length stood.
func cheapestSold(lists []*priceList) []*priceList {
	best := map[model.Length]*priceList{}
	for _, l := range lists {
		if b := best[l.length]; l.sold() && (b == nil || l.cost(1) < b.cost(1)) {
			best[l.length] = l
		}
	}
	var out []*priceList
	placed := map[model.Length]bool{}
	for _, l := range lists {
		if l.sold() {
			if placed[l.length] {
				continue
			}
			placed[l.length] = true
			l = best[l.length]
		}
		out = append(out, l)
	}
	return out
}

// ended says whether an offer can no longer be ordered.
func (a *audit) ended(o model.Offer) bool {
	return !a.on.IsZero() && !o.Until.IsZero() && o.Until.Before(a.on.Time)
}

// terms gives what a supplier asks of an order, or nil.
func (a *audit) terms(supplier string) *model.Supplier {
	for i := range a.w.Suppliers {
		s := &a.w.Suppliers[i]
		if s.Name == supplier && (s.Delivery > 0 || s.LeastSticks > 0 || s.LeastMoney.Given && s.LeastMoney.Amount > 0) {
			return s
		}
	}
	return nil
}

// least is what an order by these terms must come to.
func least(s *model.Supplier) (money model.Money, sticks int64) {
	if s == nil {
		return 0, 0
	}
	if s.LeastMoney.Given {
		money = s.LeastMoney.Amount
	}
	return money, int64(s.LeastSticks)
}

// way is one way to order from a supplier: what is charged for delivery, and what the order must come to for that.
type way struct {
	supplier        string
	delivery, money model.Money
	sticks          int64
}

// ways gives the ways to order by a supplier's terms: charged first and, where an order of a sum that not every order comes to is delivered free, free.
func ways(s *model.Supplier) []way {
	money, sticks := least(s)
	all := []way{{s.Name, s.Delivery, money, sticks}}
	if s.Delivery == 0 || !s.FreeFrom.Given {
		return all
	}
	if s.FreeFrom.Amount <= money {
		all = nil
	}
	return append(all, way{s.Name, 0, max(money, s.FreeFrom.Amount), sticks})
}

// delivery is what is charged for an order that comes to so much.
func delivery(s *model.Supplier, order model.Money) model.Money {
	if s.FreeFrom.Given && s.FreeFrom.Amount <= order {
		return 0
	}
	return s.Delivery
}

// mostMoney is the most that any way to order asks for in money.
func mostMoney(s *model.Supplier) (most model.Money) {
	if s != nil {
		for _, w := range ways(s) {
			most = max(most, w.money)
		}
	}
	return most
}

// list finds a price list of a profile, or gives nil.
func (d *derived) list(key listKey) *priceList {
	for _, l := range d.lists {
		if l.listKey == key {
			return l
		}
	}
	return nil
}

// buy audits the buy list: against the new sticks, the price lists and the suppliers' terms.
func (a *audit) buy() {
	used, jobs := map[listKey]int64{}, map[listKey]map[string]bool{}
	var order []listKey
	for _, p := range a.d.Profiles {
		for _, s := range p.Sticks {
			if s.From != plan.Bought {
				continue
			}
			key := keyOf(s.Supplier, p.Name, s.Length, s.Longest, s.Bundle)
			if jobs[key] == nil {
				jobs[key] = map[string]bool{}
				order = append(order, key)
			}
			used[key]++
			for _, side := range s.Sides {
				jobs[key][side.Job] = true
			}
		}
	}
	seen := map[listKey]bool{}
	for i, b := range a.d.Buy {
		where := fmt.Sprintf("buy list, line %d", i+1)
		key := keyOf(b.Supplier, b.Profile, b.Length, b.Longest, b.Bundle)
		want := a.profiles[b.Profile]
		if want == nil || want.list(key) == nil && used[key] == 0 || seen[key] {
			a.report("buy", where, "no stick of the plan is %s of %s from %q, or the line is there twice", a.in(b.Length), b.Profile, b.Supplier)
			continue
		}
		seen[key] = true
		if l := want.list(key); l != nil {
			a.line(where, b, l, used[key])
		}
		var wanted []string
		for _, j := range a.w.Jobs {
			if jobs[key][j.ID] {
				wanted = append(wanted, j.ID)
			}
		}
		if !slices.Equal(b.Jobs, wanted) {
			a.report("buy", where, "it is for jobs %s, not %s", list(wanted), list(b.Jobs))
		}
		if i > 0 && a.before(b, a.d.Buy[i-1]) {
			a.report("order", where, "it does not stand in its order by supplier, profile and length")
		}
	}
	for _, key := range order {
		if !seen[key] {
			a.report("buy", "buy list", "%d sticks of %s of %s from %s are left out", used[key], a.in(key.length), key.profile, key.supplier)
		}
	}
	a.orders()
}

// line audits one line of the buy list against its price list and the number of its sticks that are used.
func (a *audit) line(where string, b plan.Purchase, l *priceList, used int64) {
	count, bundles := int64(b.Count), int64(b.Count)/l.bundle
	if count%l.bundle != 0 {
		a.report("buy", where, "%d sticks are no whole bundles of %d", count, l.bundle)
	}
	if bundles < l.steps[0] {
		a.report("buy", where, "%d bundles are fewer than the %d that %s sells at least", bundles, l.steps[0], l.supplier)
	}
	if count < used || l.sold() && count != used {
		a.report("buy", where, "%d sticks for %s, and the plan uses %d for %s", count, a.money(b.Cost), used, a.money(l.all(l.bundlesFor(used))))
	}
	if price := l.each(bundles); b.Price != price {
		a.report("buy", where, "the price is %s, not %s", a.money(price), a.money(b.Price))
	}
	if total := new(big.Int).Mul(big.NewInt(bundles), big.NewInt(int64(b.Price))); total.Cmp(big.NewInt(int64(b.Cost))) != 0 {
		a.report("buy", where, "%d at %s do not make %s", bundles, a.money(b.Price), a.money(b.Cost))
	}
	spare := max(0, count-used)
	if value := model.Money(spare) * l.spare; int64(b.Spare) != spare || b.SpareValue != value {
		a.report("buy", where, "%d sticks worth %s are to spare, not %d worth %s", spare, a.money(value), b.Spare, a.money(b.SpareValue))
	}
}

// before says whether one line of the buy list belongs before another.
func (a *audit) before(b, c plan.Purchase) bool {
	return cmp.Or(cmp.Compare(b.Supplier, c.Supplier), cmp.Compare(a.tableIndex(b.Profile), a.tableIndex(c.Profile)),
		cmp.Compare(c.Length, b.Length), cmp.Compare(b.Bundle, c.Bundle), cmp.Compare(b.Longest, c.Longest)) < 0
}

// orders audits the orders against the buy list and the suppliers' terms.
func (a *audit) orders() {
	sums := map[string]*plan.Order{}
	var names []string
	for _, b := range a.d.Buy {
		if sums[b.Supplier] == nil {
			sums[b.Supplier] = &plan.Order{Supplier: b.Supplier}
			names = append(names, b.Supplier)
		}
		sums[b.Supplier].Sticks += b.Count
		sums[b.Supplier].Cost += b.Cost
	}
	slices.Sort(names)
	var got []string
	for _, o := range a.d.Orders {
		got = append(got, o.Supplier)
	}
	if !slices.Equal(got, names) {
		a.report("orders", "orders", "there are orders to %s, and the buy list is from %s", list(got), list(names))
		return
	}
	for _, o := range a.d.Orders {
		want := *sums[o.Supplier]
		where := "order to " + o.Supplier
		terms := a.terms(o.Supplier)
		var leastSticks int64
		want.LeastMoney, leastSticks = least(terms)
		want.LeastSticks = int(leastSticks)
		if terms != nil {
			want.Delivery = delivery(terms, want.Cost)
			if terms.Delivery > 0 && terms.FreeFrom.Given {
				want.FreeFrom = terms.FreeFrom.Amount
			}
		}
		want.Total = want.Cost + want.Delivery
		if o != want {
			a.report("orders", where, "%d sticks for %s, delivery %s, %s in all, at least %s and %d sticks, free from %s; it should be %d for %s, %s, %s, %s and %d, %s",
				o.Sticks, a.money(o.Cost), a.money(o.Delivery), a.money(o.Total), a.money(o.LeastMoney), o.LeastSticks, a.money(o.FreeFrom),
				want.Sticks, a.money(want.Cost), a.money(want.Delivery), a.money(want.Total), a.money(want.LeastMoney), want.LeastSticks, a.money(want.FreeFrom))
		}
		if short := want.LeastMoney - want.Cost; short > 0 {
			a.report("terms", where, "it comes to %s less than the supplier's least order", a.money(short))
		}
		if short := want.LeastSticks - want.Sticks; short > 0 {
			a.report("terms", where, "it has %d sticks fewer than the supplier's least order", short)
		}
	}
}

// boughtOf is how many bundles of a price list the buy list has.
func (a *audit) boughtOf(key listKey) (bundles int64) {
	for _, b := range a.d.Buy {
		if keyOf(b.Supplier, b.Profile, b.Length, b.Longest, b.Bundle) == key {
			bundles += int64(b.Count) / key.bundle
		}
	}
	return bundles
}

// deliveryShares gives each profile's share of the charges for delivery when so many bundles of each list are bought: in
// proportion to what it orders, a list for nothing counting as one minor unit, by largest remainder.
func (a *audit) deliveryShares(bought func(listKey) int64) map[string]model.Money {
	shares := map[string]model.Money{}
	for i := range a.w.Suppliers {
		terms := a.terms(a.w.Suppliers[i].Name)
		if terms == nil || terms != &a.w.Suppliers[i] {
			continue
		}
		var names []string
		var weights []int64
		var total int64
		var order model.Money
		for _, p := range a.w.Profiles {
			want := a.profiles[p.Name]
			if want == nil {
				continue
			}
			weight := int64(0)
			for _, l := range want.lists {
				if n := bought(l.listKey); l.supplier == terms.Name && n > 0 {
					weight += max(1, int64(l.all(n)))
					order += l.all(n)
				}
			}
			if weight > 0 {
				names, weights, total = append(names, p.Name), append(weights, weight), total+weight
			}
		}
		for n, part := range byRemainder(int64(delivery(terms, order)), weights, total) {
			shares[names[n]] += model.Money(part)
		}
	}
	return shares
}

// byRemainder divides an amount in proportion to weights: each gets its part rounded down, and what is left goes one by
// one to the largest remainders, of equal ones to the first.
func byRemainder(amount int64, weights []int64, total int64) []int64 {
	parts := make([]int64, len(weights))
	rests := make([]*big.Int, len(weights))
	left := amount
	for n, w := range weights {
		q, r := new(big.Int).QuoRem(new(big.Int).Mul(big.NewInt(amount), big.NewInt(w)), big.NewInt(total), new(big.Int))
		parts[n], rests[n] = q.Int64(), r
		left -= parts[n]
	}
	for range min(left, int64(len(parts))) { // fewer units are left than there are parts, unless a forged number has overflowed
		most := 0
		for n := range rests {
			if rests[n].Cmp(rests[most]) > 0 {
				most = n
			}
		}
		parts[most]++
		rests[most] = big.NewInt(-1)
	}
	return parts
}
