package check

import (
	"math/big"
	"math/bits"
)

// refund is what a stick's credit adds to the worth of its pattern, in units of cost / S.
// The zero refund is none.
//
// While a pattern grows its refund falls, in steps. Two straight lines stand above the
// steps: with nothing refunded, 0; otherwise the line through (−Extra, 0) with the slope S·Num/Den.
type refund struct {
	credit *Credit // nil: none
	scale  int64   // S
	length int64   // of the stick
	slope  uint64  // no less than S·Num/Den, in units of 2^-shift
	shift  uint
}

// slopeBits is how many bits a slope has: products with lengths then have as many digits as
// sums of worths.
const slopeBits = 62

// rounding is no less than what rounding the slope up can add to the line: a whole stick and
// Extra are below 2^64, and a slope below 1 has 62 bits after the point.
const rounding = 4

// newRefund is the refund of a kind in units of cost / scale. greatest is more than any
// refund and any point of the lines; where it is too large to be summed, the refund is not to be used.
func newRefund(kind Kind, scale int64) (r refund, greatest *big.Int) {
	if kind.Credit == nil {
		return refund{}, new(big.Int)
	}
	r = refund{credit: kind.Credit, scale: scale, length: kind.Length}
	total, den := product(scale, kind.Credit.Num), big.NewInt(kind.Credit.Den)
	r.shift = uint(max(0, slopeBits-new(big.Int).Quo(total, den).BitLen()))
	r.slope = ceilQuo(total.Lsh(total, r.shift), den).Uint64()
	// A whole stick's credit is below cost + 1 before it is rounded down. So is, times S, the slope.
	greatest = product(scale, kind.Cost)
	greatest.Add(greatest, big.NewInt(scale))
	return r, greatest.Add(greatest, big.NewInt(rounding))
}

// of is the refund of a pattern that uses so much of the stick.
func (r refund) of(used int64) int64 {
	if r.credit == nil {
		return 0
	}
	return r.scale * r.credit.of(r.length-used)
}

// line is the line at what is left, rounded down. Sums of worths are whole numbers, so they need not be
// above it; without rounding up, a pattern on the line is no better than its stick.
func (r refund) line(left int64) int64 {
	high, low := bits.Mul64(r.slope, uint64(left)+uint64(r.credit.Extra))
	return int64(high<<(64-r.shift) | low>>r.shift)
}

// lost is what the line falls by over a length, rounded down: line(left − length) is never more than
// line(left) − lost(length).
func (r refund) lost(length int64) int64 {
	high, low := bits.Mul64(r.slope, uint64(length))
	return int64(high<<(64-r.shift) | low>>r.shift)
}

// need is what must be left of a stick for it to have a refund.
func (r refund) need() int64 {
	return max(0, r.credit.Keep-r.credit.Extra)
}
