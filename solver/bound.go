package solver

import (
	"math"
	"math/big"
)

// multipliers are integers over the search's scale: one worth per item, one per condition of the node and one per row.
type multipliers struct {
	worth []int64
	cond  []int64
	row   []int64 // none is negative
}

// proof is a leaf's bound and what proves it.
type proof struct {
	m          multipliers
	limitWorth []int64
	bound      int64   // the least cost the multipliers leave possible, rounded up
	value      float64 // the same before rounding, for steering only
}

// prove turns multipliers and the greatest worth of a pattern of each kind into a bound. Where a pattern of an unlimited
// kind is worth more than it costs, all multipliers are shrunk until none is (Farley, Operations Research 38, 1990);
// rounding them down keeps that true, since it lowers what every pattern is worth. A limited kind instead pays for the
// excess with its limit's worth.
func (s *search) prove(m multipliers, best []int64, conds []cond) proof {
	in := s.in
	shrink := 1.0
	for k, w := range best {
		may := s.scale * in.cost[k]
		if in.limited[k] {
			continue
		}
		// What a pattern earns for its rest does not shrink.
		if w > may {
			earns := s.scale * s.earns(k)
			shrink = min(shrink, float64(may-earns)/float64(w-earns))
		}
		if always, empty := always(m, conds, k), s.scale*in.creditOf(k, 0); empty > 0 && always > may-empty {
			shrink = min(shrink, float64(may-empty)/float64(always))
		}
	}
	out := proof{m: m, limitWorth: make([]int64, len(best))}
	if shrink < 1 {
		// A little less than the quotient, which is itself rounded: 2⁻⁵⁰ of it is more than its error.
		shrink *= 1 - 1.0/(1<<50)
		out.m = multipliers{shrunk(m.worth, shrink), shrunk(m.cond, shrink), m.row}
	}
	for k, w := range best {
		if !in.limited[k] {
			continue
		}
		if shrink < 1 {
			earns := s.scale * s.earns(k)
			w = earns + ceilFloat(float64(w-earns)*shrink)
			if empty := s.scale * in.creditOf(k, 0); empty > 0 {
				w = max(w, empty+ceilFloat(float64(always(m, conds, k))*shrink)) // a stick that nothing is cut from
			}
		}
		out.limitWorth[k] = max(0, w-s.scale*in.cost[k])
	}
	out.bound, out.value = s.boundOf(out.m, out.limitWorth, conds)
	return out
}

// always is what the conditions on its number make every stick of kind k worth.
func always(m multipliers, conds []cond, k int) int64 {
	var sum int64
	for r, c := range conds {
		if !c.OnChoice && len(c.Holds) == 0 && (c.AnyKind || c.Kind == k) {
			sum += m.cond[r]
		}
	}
	return sum
}

// earns is the most that a pattern of kind k with a piece in it earns for what it leaves.
func (s *search) earns(k int) int64 {
	if s.in.credit[k].Num == 0 {
		return 0
	}
	shortest := s.in.room[k]
	for i, l := range s.in.length {
		if s.in.most(i, k) > 0 {
			shortest = min(shortest, l)
		}
	}
	return s.in.creditOf(k, shortest)
}

// boundOf is what a leaf's multipliers prove: Σ worth·demand + Σ condition's worth·its bound − Σ limit's worth·limit,
// over the scale, rounded up and as it is.
func (s *search) boundOf(m multipliers, limitWorth []int64, conds []cond) (bound int64, value float64) {
	sum, term := new(big.Int), new(big.Int)
	for i, u := range m.worth {
		sum.Add(sum, term.Mul(big.NewInt(u), big.NewInt(s.in.demand[i])))
	}
	for r, w := range m.cond {
		sum.Add(sum, term.Mul(big.NewInt(w), big.NewInt(conds[r].Bound)))
	}
	for k, w := range limitWorth {
		if w > 0 {
			sum.Sub(sum, term.Mul(big.NewInt(w), big.NewInt(s.problem.Kinds[k].Limit)))
		}
	}
	for r, row := range s.in.rows {
		sum.Add(sum, term.Mul(big.NewInt(m.row[r]), big.NewInt(row.Least)))
	}
	for j := range s.in.choices {
		if reduced := s.reduced(j, m, limitWorth, conds); reduced.Sign() < 0 {
			sum.Add(sum, reduced.Mul(reduced, big.NewInt(s.in.choices[j].Most)))
		}
	}
	value, _ = new(big.Rat).SetFrac(sum, big.NewInt(s.scale)).Float64()
	q, r := new(big.Int).QuoRem(sum, big.NewInt(s.scale), new(big.Int))
	if r.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	switch {
	case q.Cmp(big.NewInt(s.in.floor)) <= 0:
		return s.in.floor, value
	case !q.IsInt64():
		return math.MaxInt64, value
	}
	return q.Int64(), value
}

// reduced is what a choice costs, in units of 1/scale, once what it gives, asks for and brings is set against it.
func (s *search) reduced(j int, m multipliers, limitWorth []int64, conds []cond) *big.Int {
	c, term := &s.in.choices[j], new(big.Int)
	sum := new(big.Int).Mul(big.NewInt(s.scale), big.NewInt(c.Cost))
	for _, g := range c.Gives {
		sum.Sub(sum, term.Mul(big.NewInt(g.Quantity), big.NewInt(limitWorth[g.Kind])))
	}
	for _, t := range c.Asks {
		sum.Add(sum, term.Mul(big.NewInt(t.Quantity), big.NewInt(m.worth[t.Item])))
	}
	for _, in := range c.In {
		sum.Sub(sum, term.Mul(big.NewInt(in.Value), big.NewInt(m.row[in.Row])))
	}
	for r := range conds {
		if conds[r].OnChoice && conds[r].Choice == j {
			sum.Sub(sum, big.NewInt(m.cond[r]))
		}
	}
	return sum
}

// byLength is the bound that lengths alone give: every piece worth its share of one kind's stick. It takes the kind that
// bounds best.
func (s *search) byLength() proof {
	in := s.in
	none := make([]int64, len(in.rows))
	out := proof{m: multipliers{worth: make([]int64, len(in.length)), row: none}, limitWorth: make([]int64, len(in.room))}
	out.bound, out.value = s.boundOf(out.m, out.limitWorth, nil)
	if in.credits {
		return out // lengths alone say little where what is left counts too
	}
	for j, room := range in.room {
		if room == 0 {
			continue
		}
		rate := float64(s.scale) * float64(in.cost[j]) / float64(room)
		m := multipliers{worth: make([]int64, len(in.length)), row: none}
		best := make([]int64, len(in.room))
		most := float64(in.maxWorth())
		for i, l := range in.length {
			// Twice the error of the product off, so that no pattern is worth more than rate times its length.
			w := rate * float64(l)
			m.worth[i] = int64(min(most, math.Floor(w-w*(1.0/(1<<50)))))
		}
		for k, r := range in.room {
			best[k] = ceilFloat(rate * float64(r))
		}
		if p := s.prove(m, best, nil); p.value > out.value {
			out = p
		}
	}
	return out
}

// shrunk multiplies and rounds down. The integer and the product are rounded to floats and may err by 2⁻⁵³ of
// themselves each; a further 2⁻⁵¹ off keeps the result below the true one.
func shrunk(v []int64, by float64) []int64 {
	out := make([]int64, len(v))
	for i, x := range v {
		f := float64(x) * by
		out[i] = int64(math.Floor(f - math.Abs(f)*(1.0/(1<<51))))
	}
	return out
}

// ceilFloat rounds up, past the error of a float product.
func ceilFloat(f float64) int64 { return int64(math.Ceil(f + math.Abs(f)*(1.0/(1<<51)))) }
