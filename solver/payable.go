package solver

import (
	"math"
	"math/bits"
)

// payable tells which costs a plan can have at all: Σ c_k n_k with 0 ≤ n_k ≤ limit_k, over the kinds that can hold a
// wanted item, and likewise of choices. A bound may be rounded up to the next of them.
type payable struct {
	common  int64    // greatest common divisor of the costs; 0: every cost is 0
	sums    []uint64 // bit v: v·common is payable; nil: any multiple of common may be
	size    int64    // number of bits in sums
	minCost int64    // no plan costs less; not positive
}

// payableBits is the greatest cost, in units of the common divisor, for which the sums are worked out.
const payableBits = 1 << 24

// newPayable finds the payable costs up to most.
func newPayable(in *instance, most int64) *payable {
	p := &payable{minCost: in.minCost}
	if in.credits || in.minCost < 0 {
		p.common = 1
		return p
	}
	for k, c := range in.cost {
		if in.maxLimit[k] > 0 {
			p.common = gcd(p.common, c)
		}
	}
	for _, c := range in.choices {
		if c.Most > 0 {
			p.common = gcd(p.common, c.Cost)
		}
	}
	if p.common == 0 || most/p.common > payableBits {
		return p
	}
	p.size = most/p.common + 1
	p.sums = make([]uint64, (p.size+63)/64)
	p.sums[0] = 1
	for k, c := range in.cost {
		if in.maxLimit[k] == 0 {
			continue
		}
		most := p.size
		if in.limited[k] {
			most = in.supply[k]
		}
		p.add(c/p.common, most)
	}
	for _, c := range in.choices {
		p.add(c.Cost/p.common, c.Most)
	}
	return p
}

// add lets a cost, in units of the common divisor, be paid up to most times.
func (p *payable) add(c, most int64) {
	if c == 0 {
		return
	}
	left := min(p.size/c, most)
	for step := int64(1); left > 0; step *= 2 {
		n := min(step, left)
		left -= n
		p.addShifted(n * c)
	}
}

// addShifted adds every sum raised by shift.
func (p *payable) addShifted(shift int64) {
	words, rest := int(shift/64), uint(shift%64)
	for i := len(p.sums) - 1; i >= words; i-- {
		v := p.sums[i-words] << rest
		if rest > 0 && i-words > 0 {
			v |= p.sums[i-words-1] >> (64 - rest)
		}
		p.sums[i] |= v
	}
}

// roundUp gives the least payable cost that is not below v. Beyond the sums that were found it rounds v up to a
// multiple of the common divisor.
func (p *payable) roundUp(v int64) int64 {
	if v <= 0 || p.common == 0 {
		return max(v, p.minCost)
	}
	q := v / p.common
	if v%p.common != 0 {
		q++
	}
	for i := q / 64; i < int64(len(p.sums)); i++ {
		word := p.sums[i]
		if i == q/64 {
			word &= ^uint64(0) << (q % 64)
		}
		if word != 0 {
			if next := i*64 + int64(bits.TrailingZeros64(word)); next < p.size {
				return next * p.common
			}
			break
		}
	}
	// No sum from q on is payable, so the next payable cost is at least the size.
	if p.sums != nil && q < p.size {
		q = p.size
	}
	if q > math.MaxInt64/p.common {
		return math.MaxInt64
	}
	return q * p.common
}
