package planner

import (
	"maps"
	"math/big"
	"math/bits"
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

// span is amounts that are not told apart: each of them is at least from and counts as to in what suppliers ask.
type span struct{ from, to amounts }

// orderable lists the amounts that a profile can order, from nothing to what is asked. Where there are too many, sums are rounded up to fewer
// significant bits, in favour of the orders: small amounts stay exact, and the bound is only weaker. Nil: there are too many even so.
func (pp *profileProblem) orderable(dims []dim) []span {
	known, ok := pp.orderableTo(dims, exactBits)
	for digits := mostBits; !ok && digits > 0; digits-- {
		known, ok = pp.orderableTo(dims, digits)
	}
	if !ok {
		return nil
	}
	out := make([]span, 0, len(known))
	for to, from := range known {
		out = append(out, span{from, to})
	}
	slices.SortFunc(out, func(a, b span) int { return slices.Compare(a.to[:], b.to[:]) })
	return out
}

// exactBits rounds nothing; mostBits are tried first where amounts must be rounded. The audit rounds so, too.
const exactBits, mostBits = 63, 8

// orderableTo gives the amounts that a profile can order, list by list in the order of the table, what a list comes to and each sum rounded up to so many
// significant bits; with each the least that was rounded to it. False: there are too many.
func (pp *profileProblem) orderableTo(dims []dim, digits int) (spans, bool) {
	known := spans{{}: {}}
	for _, s := range pp.supplies {
		if !slices.ContainsFunc(dims, func(d dim) bool { return d.supplier == s.supplier }) {
			continue
		}
		own, ok := s.orderable(dims, digits)
		if !ok {
			return nil, false
		}
		with := maps.Clone(known)
		for to, from := range known {
			for more, least := range own {
				with.note(to.add(more, dims).significant(digits, dims), from.add(least, dims))
			}
			if len(with) > mostAmounts {
				return nil, false
			}
		}
		known = with
	}
	return known, true
}

// spans gives for each amount the least that counts as it.
type spans map[amounts]amounts

// note notes that something ordered may count as an amount.
func (s spans) note(to, from amounts) {
	if known, ok := s[to]; ok {
		for n := range from {
			from[n] = min(from[n], known[n])
		}
	}
	s[to] = from
}

// orderable gives what orders from the price list come to. False: there are too many.
func (s supply) orderable(dims []dim, digits int) (spans, bool) {
	own := spans{}
	for bundles := int64(1); bundles <= mostAmounts; bundles++ {
		if !s.sells(bundles) {
			continue
		}
		x := s.amounts(dims, bundles)
		own.note(x.significant(digits, dims), x)
		if bundles >= s.tiers[len(s.tiers)-1].from && s.fills(dims, bundles) {
			return own, true
		}
	}
	return nil, false
}

// significant rounds amounts up to so many significant bits, but not beyond what is asked.
func (a amounts) significant(digits int, dims []dim) amounts {
	for n, d := range dims {
		if more := bits.Len64(uint64(a[n])) - digits; more > 0 {
			a[n] = min(d.least, (a[n]+1<<more-1)>>more<<more)
		}
	}
	return a
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

// multipliers is a Lagrangian multiplier for each dim: a share in millionths of its money, or so much for a stick.
type multipliers [mostDims]int64
