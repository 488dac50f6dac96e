package solver

import (
	"math"
	"math/big"
)

// intDuals are dual values as whole numbers over the search's scale: of each item, of each condition of the node and
// of each row of the problem. Those of limits come later, from pricing (see lagrangianBound).
type intDuals struct {
	item []int64
	cond []int64
	row  []int64 // not negative
}

// proof is a lower bound for a node and the dual values that prove it.
type proof struct {
	duals      intDuals
	limitDuals []int64
	bound      int64   // rounded up to a whole number
	value      float64 // before rounding; guides the search and proves nothing
}

// lagrangianBound turns dual values and the greatest dual value of a pattern of each kind into a bound.
//
// A pattern of a kind without a limit may have a greater dual value than it costs. Then all dual values are scaled
// down until none has (A. A. Farley, Operations Research 38, 1990). They are rounded down, which lowers every
// pattern's dual value. The credit that a pattern earns is a cost and does not scale. A kind with a limit takes the
// excess as its limit's dual value.
func (s *search) lagrangianBound(duals intDuals, best []int64, conds []Condition) proof {
	in := s.in
	shrink := 1.0
	for k, value := range best {
		cost := s.scale * in.cost[k]
		if in.limited[k] {
			continue
		}
		// The credit that a pattern earns does not scale.
		if value > cost {
			credit := s.scale * s.maxCredit(k)
			shrink = min(shrink, float64(cost-credit)/float64(value-credit))
		}
		if empty := s.scale * in.creditOf(k, 0); empty > 0 { // an empty stick, with its credit and without
			constant := kindDual(duals, conds, k)
			if constant > cost {
				shrink = min(shrink, float64(cost)/float64(constant))
			}
			if constant += creditedDual(duals, conds, k); constant > cost-empty {
				shrink = min(shrink, float64(cost-empty)/float64(constant))
			}
		}
	}
	out := proof{duals: duals, limitDuals: make([]int64, len(best))}
	if shrink < 1 {
		// The quotient is itself rounded.
		shrink *= 1 - quotientError
		out.duals = intDuals{scaledDown(duals.item, shrink), scaledDown(duals.cond, shrink), duals.row}
	}
	for k, value := range best {
		if !in.limited[k] {
			continue
		}
		if shrink < 1 {
			credit := s.scale * s.maxCredit(k)
			value = credit + ceilSafe(float64(value-credit)*shrink)
			if empty := s.scale * in.creditOf(k, 0); empty > 0 {
				constant := kindDual(duals, conds, k)
				value = max(value, ceilSafe(float64(constant)*shrink), empty+ceilSafe(float64(constant+creditedDual(duals, conds, k))*shrink))
			}
		}
		out.limitDuals[k] = max(0, value-s.scale*in.cost[k])
	}
	out.bound, out.value = s.dualBound(out.duals, out.limitDuals, conds)
	return out
}

// kindDual is the dual value that a stick of kind k has whatever is cut from it: of the conditions on how many sticks
// are used.
func kindDual(duals intDuals, conds []Condition, k int) int64 {
	var sum int64
	for r, c := range conds {
		if c.countsKind() && (c.AnyKind || c.Kind == k) {
			sum += duals.cond[r]
		}
	}
	return sum
}

// creditedDual is the dual value that a stick of kind k has besides where it earns a credit: of the conditions on how many do.
func creditedDual(duals intDuals, conds []Condition, k int) int64 {
	var sum int64
	for r, c := range conds {
		if c.Credited && (c.AnyKind || c.Kind == k) {
			sum += duals.cond[r]
		}
	}
	return sum
}

// maxCredit is the greatest credit of a stick of kind k from which at least one piece is cut.
func (s *search) maxCredit(k int) int64 {
	if s.in.credit[k].Num == 0 {
		return 0
	}
	shortest := s.in.capacity[k]
	for i, l := range s.in.length {
		if s.in.maxQuantity(i, k) > 0 {
			shortest = min(shortest, l)
		}
	}
	return s.in.creditOf(k, shortest)
}

// dualBound is the objective of the dual solution, which bounds the cost of every plan in the leaf:
//
//	(Σ dual·demand + Σ condition's dual·its bound − Σ limit's dual·limit + Σ row's dual·least + Σ min(0, reduced cost·most)) / scale
//
// the last sum being over choices. It is given rounded up, and as it is.
func (s *search) dualBound(duals intDuals, limitDuals []int64, conds []Condition) (bound int64, value float64) {
	sum, term := new(big.Int), new(big.Int)
	for i, u := range duals.item {
		sum.Add(sum, term.Mul(big.NewInt(u), big.NewInt(s.in.demand[i])))
	}
	for r, w := range duals.cond {
		sum.Add(sum, term.Mul(big.NewInt(w), big.NewInt(conds[r].Bound)))
	}
	for k, w := range limitDuals {
		if w > 0 {
			sum.Sub(sum, term.Mul(big.NewInt(w), big.NewInt(s.problem.Kinds[k].Limit)))
		}
	}
	for r, row := range s.in.rows {
		sum.Add(sum, term.Mul(big.NewInt(duals.row[r]), big.NewInt(row.Least)))
	}
	for j := range s.in.choices {
		if reduced := s.reducedCost(j, duals, limitDuals, conds); reduced.Sign() < 0 {
			sum.Add(sum, reduced.Mul(reduced, big.NewInt(s.in.choices[j].Most)))
		}
	}
	value, _ = new(big.Rat).SetFrac(sum, big.NewInt(s.scale)).Float64()
	q, r := new(big.Int).QuoRem(sum, big.NewInt(s.scale), new(big.Int))
	if r.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	switch {
	case q.Cmp(big.NewInt(s.in.minCost)) <= 0:
		return s.in.minCost, value
	case !q.IsInt64():
		return math.MaxInt64, value
	}
	return q.Int64(), value
}

// reducedCost is a choice's reduced cost times the scale: its cost, less the dual values of the sticks that it gives,
// of its rows and of the conditions on it, and more those of the pieces that it asks for.
func (s *search) reducedCost(j int, duals intDuals, limitDuals []int64, conds []Condition) *big.Int {
	c, term := &s.in.choices[j], new(big.Int)
	sum := new(big.Int).Mul(big.NewInt(s.scale), big.NewInt(c.Cost))
	for _, g := range c.Gives {
		sum.Sub(sum, term.Mul(big.NewInt(g.Quantity), big.NewInt(limitDuals[g.Kind])))
	}
	for _, t := range c.Asks {
		sum.Add(sum, term.Mul(big.NewInt(t.Quantity), big.NewInt(duals.item[t.Item])))
	}
	for _, in := range c.In {
		sum.Sub(sum, term.Mul(big.NewInt(in.Value), big.NewInt(duals.row[in.Row])))
	}
	for r := range conds {
		if conds[r].OnChoice && conds[r].Choice == j {
			sum.Sub(sum, big.NewInt(duals.cond[r]))
		}
	}
	return sum
}

// lengthBound is the bound that lengths alone give (the material bound): every piece costs its share of a stick's
// length. It takes the kind that bounds best.
func (s *search) lengthBound() proof {
	in := s.in
	none := make([]int64, len(in.rows))
	out := proof{duals: intDuals{item: make([]int64, len(in.length)), row: none}, limitDuals: make([]int64, len(in.capacity))}
	out.bound, out.value = s.dualBound(out.duals, out.limitDuals, nil)
	if in.credits {
		return out // lengths alone give a weak bound where leftovers have a credit
	}
	for j, room := range in.capacity {
		if room == 0 {
			continue
		}
		rate := float64(s.scale) * float64(in.cost[j]) / float64(room)
		duals := intDuals{item: make([]int64, len(in.length)), row: none}
		best := make([]int64, len(in.capacity))
		most := float64(in.maxDual())
		for i, l := range in.length {
			// No pattern may have a greater dual value than rate times its length: take off more than the product
			// errs by.
			w := rate * float64(l)
			duals.item[i] = int64(min(most, math.Floor(w-w*quotientError)))
		}
		for k, r := range in.capacity {
			best[k] = ceilSafe(rate * float64(r))
		}
		if p := s.lagrangianBound(duals, best, nil); p.value > out.value {
			out = p
		}
	}
	return out
}

// A float64 rounds a number by at most 2⁻⁵³ of itself. productError is more than a product of two rounded numbers errs by,
// quotientError more than a product with a rounded quotient.
const productError, quotientError = 1.0 / (1 << 51), 1.0 / (1 << 50)

// scaledDown multiplies and rounds down, with the product's error taken off, so that the result is never too great.
func scaledDown(v []int64, by float64) []int64 {
	out := make([]int64, len(v))
	for i, x := range v {
		f := float64(x) * by
		out[i] = int64(math.Floor(f - math.Abs(f)*productError))
	}
	return out
}

// ceilSafe rounds up, past the error of a float product.
func ceilSafe(f float64) int64 { return int64(math.Ceil(f + math.Abs(f)*productError)) }
