package planner

import (
	"context"
	"slices"

	"longpoint/model"
)

// Where many suppliers have terms, their sets are too many to list. A set of terms_sets.go may then leave suppliers undecided: all of these are
// open, and only the deliveries of the others count. Its sum
//
//	Σ_p c_p(open) + Σ_{s decided} delivery of s
//
// bounds every plan that orders from all decided suppliers and from any of the undecided ones. The search begins with the one set in which all are
// undecided, and divides the set that bounds all plans: into those that order from one undecided supplier, in each way, and those that do not. That is
// branch and bound over the suppliers, best bound first. First of all it plans with a few suppliers that are likely to be cheap together.

// mostDivided bounds the sets that there are.
const mostDivided = 256

// divide divides a set at the undecided supplier from whom its plans order most. It says whether it did.
func (ss *setSearch) divide(ctx context.Context, s *supplierSet) (bool, error) {
	if len(ss.sets) >= mostDivided {
		return false, nil
	}
	at, most := s.undecided[0], model.Money(0)
	for _, name := range s.undecided {
		ordered := model.Money(0)
		for _, v := range ss.planned(s) {
			if v.ok {
				b := jointProblem{profiles: v.problem.profiles}
				money, _ := b.orderTotal(v.known.solutions, name)
				ordered += money
			}
		}
		if ordered > most {
			at, most = name, ordered
		}
	}
	without := func(names []string) []string {
		return slices.DeleteFunc(slices.Clone(names), func(name string) bool { return name == at })
	}
	rest := ss.set(s.ordered, without(s.undecided))
	ss.sets[slices.Index(ss.sets, s)] = rest
	for _, way := range ss.b.terms[ss.b.termsAt(at)].Ways() {
		ss.sets = append(ss.sets, ss.set(append(slices.Clone(s.ordered), way), without(s.undecided)))
	}
	return true, ss.try(ctx, rest)
}

// cheapSuppliers guesses from which suppliers with terms a cheap plan orders, by what first-fit pays each of them for each profile. It adds,
// leaves out or exchanges one supplier as long as that makes the sum cheaper, an order's delivery and half of what it falls short of
// the least counted: the best of all such steps each time.
func (ss *setSearch) cheapSuppliers() []model.Supplier {
	jp := ss.b
	costs := make([][]model.Money, len(jp.profiles)) // by profile, then by supplier; the last: without any of them
	for m, pp := range jp.profiles {
		for _, s := range jp.terms {
			cost := model.Money(maxSum)
			if pp.offered(s.Name) {
				cost = (&variant{open: []string{s.Name}}).guess(pp, ss.o)
			}
			costs[m] = append(costs[m], cost)
		}
		costs[m] = append(costs[m], (&variant{open: []string{}}).guess(pp, ss.o))
	}
	none := len(jp.terms)
	comesTo := func(chosen []int) (sum model.Money) {
		spent := make([]model.Money, len(jp.terms)+1)
		for m := range jp.profiles {
			best := none
			for _, n := range chosen {
				if costs[m][n] < costs[m][best] {
					best = n
				}
			}
			sum, spent[best] = min(maxSum, sum+costs[m][best]), min(maxSum, spent[best]+costs[m][best])
		}
		for _, n := range chosen {
			sum = min(maxSum, sum+jp.terms[n].DeliveryOf(spent[n])+max(0, jp.terms[n].LeastAmount()-spent[n])/2)
		}
		return sum
	}
	var chosen []int
	for best := comesTo(chosen); ; {
		var next []int
		consider := func(other []int) {
			if sum := comesTo(other); sum < best {
				best, next = sum, other
			}
		}
		for n := range jp.terms {
			if slices.Contains(chosen, n) {
				consider(slices.DeleteFunc(slices.Clone(chosen), func(c int) bool { return c == n }))
				continue
			}
			consider(append(slices.Clone(chosen), n))
			for at := range chosen {
				other := slices.Clone(chosen)
				other[at] = n
				consider(other)
			}
		}
		if next == nil {
			break
		}
		chosen = next
	}
	var ways []model.Supplier
	for n, s := range jp.terms {
		if slices.Contains(chosen, n) {
			ways = append(ways, s.Ways()[0])
		}
	}
	return ways
}

// forgetNeedless forgets, where sets were divided, the variants that no set's bound follows from, so that they need not be verified.
func (ss *setSearch) forgetNeedless() {
	if ss.b.sets() <= mostListed {
		return
	}
	needed := map[*variant]bool{}
	for _, s := range ss.sets {
		for n := range s.variants {
			needed[ss.bounding(s, n)] = true
		}
	}
	for n := range ss.all {
		for _, v := range ss.all[n] {
			v.solved = v.solved && (needed[v] || v.orders != nil)
		}
	}
}
