package planner

import (
	"cmp"
	"context"
	"maps"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// What a supplier asks of a whole order binds profiles only through how much each of them orders. Let x be what a profile orders,
// in money and in sticks, from each of the suppliers that ask for so much. A case whose profile orders at least l, with a
// share taken off, says that every plan for the profile with x ≥ l costs at least its bound and what is taken off x. So with
// g_p(x) the greatest of those for the cases that hold at x, every plan costs at least
//
//	min Σ_p g_p(x_p) over all x_p that can be ordered with Σ_p x_p ≥ what the suppliers ask
//
// and the deliveries. A case in which much is taken off is the Lagrangian bound of what is asked, and says something of all x; one
// with least amounts says more from there on, for what a plan costs that orders at least so much never falls as that rises. The
// minimum is found profile by profile, over the sums that can be reached (as in any knapsack); sums that can no longer
// come to less than a plan at hand are dropped, by the Lagrangian bound of the profiles to come. Where there are too many, money
// is counted in coarser units, rounded up, which only weakens the bound.

// mostDims bounds the number of demands that are counted. What further suppliers ask is left out of the bound.
const mostDims = 4

// mostAmounts bounds the amounts of a supplier that are told apart, and those of all suppliers together.
const mostAmounts = 1 << 15

// mostPairs bounds the pairs of a sum and an amount of the next profile; a 64th of it bounds the sums that are kept. Where there are
// more, money is counted in units of two, four, eight and more minor units. It is firstPairs at first, and pairsFactor times more each time that
// nothing else is left to do for a set: counting to the last unit takes seconds, and is of no use while plans are far from the bound.
const firstPairs, pairsFactor, mostPairs = 1 << 14, 8, 1 << 21

// After so many sums cheapest looks whether its context has ended.
const sumsBetween = 64

// amounts is how much is ordered of each dim; what is above the dim's least counts as that.
type amounts [mostDims]int64

// dim is one thing that suppliers ask of an order: so much money, or so many sticks.
type dim struct {
	supplier string
	sticks   bool
	least    int64
}

// dimsOf lists what suppliers ask, supplier by supplier.
func dimsOf(terms []model.Supplier) (dims []dim) {
	for _, s := range terms {
		one := []dim{{s.Name, false, int64(s.LeastAmount())}, {s.Name, true, int64(s.LeastSticks)}}
		one = slices.DeleteFunc(one, func(d dim) bool { return d.least == 0 })
		if len(dims)+len(one) <= mostDims {
			dims = append(dims, one...)
		}
	}
	return dims
}

// add adds amounts, up to what is asked.
func (a amounts) add(b amounts, dims []dim) amounts {
	for n, d := range dims {
		a[n] = min(a[n]+b[n], d.least)
	}
	return a
}

// covers says whether nothing of a falls short of b.
func (a amounts) covers(b amounts) bool {
	for n := range a {
		if a[n] < b[n] {
			return false
		}
	}
	return true
}

// asked is what the dims ask.
func asked(dims []dim) (a amounts) {
	for n, d := range dims {
		a[n] = d.least
	}
	return a
}

// orderable lists the amounts that a profile can order, from nothing to what is asked, each once. Nil: there are too many.
func (pp *profileProblem) orderable(dims []dim) []amounts {
	known := map[amounts]bool{{}: true}
	for _, s := range pp.supplies {
		if !slices.ContainsFunc(dims, func(d dim) bool { return d.supplier == s.supplier }) {
			continue
		}
		with := map[amounts]bool{}
		for a := range known {
			with[a] = true
		}
		for bundles := int64(1); ; bundles++ {
			if !s.sells(bundles) {
				continue
			}
			x := s.amounts(dims, bundles)
			for a := range known {
				with[a.add(x, dims)] = true
			}
			if len(with) > mostAmounts {
				return nil
			}
			if bundles >= s.tiers[len(s.tiers)-1].from && s.fills(dims, bundles) {
				break
			}
		}
		known = with
	}
	var out []amounts
	for a := range known {
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b amounts) int { return slices.Compare(a[:], b[:]) })
	return out
}

// amounts is what an order of so many bundles comes to.
func (s supply) amounts(dims []dim, bundles int64) (a amounts) {
	for n, d := range dims {
		switch {
		case d.supplier != s.supplier || bundles == 0:
		case d.sticks:
			a[n] = min(d.least, bundles*int64(s.bundle))
		default:
			a[n] = min(d.least, int64(s.pays(bundles)))
		}
	}
	return a
}

// fills says whether buying more bundles would bring the order no nearer to what is asked.
func (s supply) fills(dims []dim, bundles int64) bool {
	a := s.amounts(dims, bundles)
	for n, d := range dims {
		if d.supplier == s.supplier && a[n] < d.least && (d.sticks || s.pays(bundles+1) > s.pays(bundles)) {
			return false
		}
	}
	return true
}

// ordersOf is what a solution orders.
func (pp *profileProblem) ordersOf(sol solution, dims []dim) (a amounts) {
	for n, s := range pp.supplies {
		a = a.add(s.amounts(dims, sol.bundles[n]), dims)
	}
	return a
}

// asks says whether anything is asked of the order.
func asks(o plan.Ordered) bool { return o.LeastMoney > 0 || o.LeastSticks > 0 }

// supplierOf is what is asked, as a supplier's terms.
func supplierOf(o plan.Ordered) model.Supplier {
	return model.Supplier{Name: o.Supplier, LeastMoney: model.OptionalMoney{Amount: o.LeastMoney, Given: o.LeastMoney > 0}, LeastSticks: int(o.LeastSticks)}
}

// million is the parts of an Ordered.MoneyMultiplier.
const million = 1_000_000

// shareOf is a share in millionths of an amount, rounded up.
func shareOf(amount, share int64) int64 {
	if amount >= 0 && share >= 0 && amount <= 1<<31 && share <= 1<<31 { // of which the product is no more than 2⁶²
		return (amount*share + million - 1) / million
	}
	x := new(big.Int).Mul(big.NewInt(amount), big.NewInt(share))
	return x.Add(x, big.NewInt(million-1)).Div(x, big.NewInt(million)).Int64()
}

// shareIs is a part of an amount as a share in millionths, rounded down.
func shareIs(part, amount int64) int64 {
	x := new(big.Int).Mul(big.NewInt(part), big.NewInt(million))
	return x.Div(x, big.NewInt(amount)).Int64()
}

// lagrangianTerm is what is taken off a price for so many sticks.
func lagrangianTerm(o plan.Ordered, price model.Money, sticks int64) model.Money {
	return model.Money(shareOf(int64(price), o.MoneyMultiplier)) + o.StickMultiplier*model.Money(sticks)
}

// at returns the variant's bound on what the profile costs when it orders amounts x. False: the variant says nothing about x.
func (v *variant) at(x amounts, dims []dim) (model.Money, bool) {
	bound := v.bound
	for _, o := range v.orders {
		money, sticks := int64(0), int64(0)
		for n, d := range dims {
			switch {
			case d.supplier != o.Supplier:
			case d.sticks:
				sticks = x[n]
			default:
				money = x[n]
			}
		}
		if money < int64(o.LeastMoney) || sticks < o.LeastSticks {
			return 0, false
		}
		bound += lagrangianTerm(o, model.Money(money), sticks)
	}
	return bound, true
}

// sum is amounts and a cost, of one profile or of several.
type sum struct {
	amounts
	cost model.Money
	n    int  // which of the profile's, where it is of one; of the last one where it is of several
	rest *sum // of the others
}

// multipliers is a Lagrangian multiplier for each dim: a share in millionths of its money, or so much for a stick.
type multipliers [mostDims]int64

// of is what amounts weigh, rounded up: not more than one for each dim above what they weigh.
func (l multipliers) times(a amounts, dims []dim) (sum model.Money) {
	for n, d := range dims {
		if d.sticks {
			sum += model.Money(l[n] * a[n])
		} else {
			sum += model.Money(shareOf(a[n], l[n]))
		}
	}
	return sum
}

// counting is how sums are added up.
type counting struct {
	dims        []dim
	multipliers []multipliers // to drop hopeless sums by: any are right, good ones save work
	pairs       int           // at most
	up          bool          // amounts of money are rounded up to units, for a bound; else down, so that a plan that is found orders enough
}

// cheapest takes one sum of each profile so that together they come to what is asked at the least cost. It gives nil where none costs
// less than limit, and false where there are too many to look at even in units, or ctx ends.
func (c counting) cheapest(ctx context.Context, profiles [][]sum, limit model.Money) (*sum, bool) {
	asked := asked(c.dims)
	rests := c.rests(profiles)
	unit := int64(1)
	coarser := func(have, most, lists int) bool { // in units so great that so many in so many lists can be few enough
		for halved := have; halved > most; halved >>= lists * c.monies() {
			if unit *= 2; unit > c.most() {
				return false
			}
		}
		return true
	}
	sums := []sum{{}}
	for n, own := range profiles {
		own = slices.DeleteFunc(slices.Clone(own), func(s sum) bool {
			return c.hopeless(s, limit, func(w int) model.Money { return rests[w][0] - (rests[w][n] - rests[w][n+1]) })
		})
		own = c.inUnits(own, 1)
		for len(sums)*len(own) > c.pairs {
			if !coarser(len(sums)*len(own), c.pairs, 2) {
				return nil, false
			}
			sums, own = c.inUnits(sums, unit), c.inUnits(own, unit)
		}
		best := map[amounts]sum{}
		for at := range sums {
			if at%sumsBetween == 0 && ctx.Err() != nil {
				return nil, false
			}
			for _, o := range own {
				s := sum{c.rounded(sums[at].add(o.amounts, c.dims), unit), sums[at].cost + o.cost, o.n, &sums[at]}
				if known, ok := best[s.amounts]; ok && known.cost <= s.cost || c.hopeless(s, limit, func(w int) model.Money { return rests[w][n+1] }) {
					continue
				}
				best[s.amounts] = s
			}
		}
		next := c.lean(slices.Collect(maps.Values(best)))
		for ; len(next) > c.pairs/64; next = c.inUnits(next, unit) {
			if !coarser(len(next), c.pairs/64, 1) {
				return nil, false
			}
		}
		sums = next
	}
	for n := range sums {
		if sums[n].amounts == asked && sums[n].cost < limit {
			return &sums[n], true
		}
	}
	return nil, true
}

// rests gives, by multipliers and n, what the profiles from n on cost at least, less the multipliers times what they order.
func (c counting) rests(profiles [][]sum) [][]model.Money {
	rests := make([][]model.Money, len(c.multipliers))
	for w, l := range c.multipliers {
		rests[w] = make([]model.Money, len(profiles)+1)
		for n := len(profiles) - 1; n >= 0; n-- {
			least := model.Money(maxSum)
			for _, s := range profiles[n] {
				least = min(least, s.cost-l.times(s.amounts, c.dims))
			}
			rests[w][n] = min(maxSum, rests[w][n+1]+least)
		}
	}
	return rests
}

// hopeless says whether a sum comes to the limit or more by the Lagrangian bound of the profiles that are not in it, which rest gives.
func (c counting) hopeless(s sum, limit model.Money, rest func(w int) model.Money) bool {
	short := asked(c.dims)
	for n := range c.dims {
		short[n] -= s.amounts[n]
	}
	for w, l := range c.multipliers {
		if s.cost+rest(w)+l.times(short, c.dims)-model.Money(len(c.dims)) >= limit {
			return true
		}
	}
	return false
}

// most is the most money that is asked.
func (c counting) most() (most int64) {
	for _, d := range c.dims {
		if !d.sticks {
			most = max(most, d.least)
		}
	}
	return most
}

// monies is how many dims are of money.
func (c counting) monies() (n int) {
	for _, d := range c.dims {
		if !d.sticks {
			n++
		}
	}
	return n
}

// rounded counts money in units.
func (c counting) rounded(a amounts, unit int64) amounts {
	if unit == 1 {
		return a
	}
	for n, d := range c.dims {
		switch {
		case d.sticks || a[n] == d.least:
		case c.up:
			a[n] = min(d.least, (a[n]+unit-1)/unit*unit)
		default:
			a[n] = a[n] / unit * unit
		}
	}
	return a
}

// inUnits counts the money of sums in units, and leaves the cheapest of those that come to the same.
func (c counting) inUnits(sums []sum, unit int64) []sum {
	best := map[amounts]sum{}
	for _, s := range sums {
		s.amounts = c.rounded(s.amounts, unit)
		if known, ok := best[s.amounts]; !ok || s.cost < known.cost || s.cost == known.cost && s.n < known.n {
			best[s.amounts] = s
		}
	}
	var out []sum
	for _, s := range best {
		out = append(out, s)
	}
	return c.lean(out)
}

// lean sorts sums by what they order, most first. Where only one thing is asked, it leaves out sums that order no more than a cheaper one.
func (c counting) lean(sums []sum) []sum {
	slices.SortFunc(sums, func(a, b sum) int {
		return cmp.Or(slices.Compare(b.amounts[:], a.amounts[:]), cmp.Compare(a.cost, b.cost))
	})
	if len(c.dims) > 1 {
		return sums
	}
	least := model.Money(maxSum)
	return slices.DeleteFunc(sums, func(s sum) bool {
		worse := s.cost >= least
		least = min(least, s.cost)
		return worse
	})
}

// chosen is which sum of each of so many profiles makes up this one.
func (s *sum) chosen(profiles int) []int {
	out := make([]int, profiles)
	for n := profiles - 1; n >= 0; n-- {
		out[n] = s.n
		s = s.rest
	}
	return out
}
