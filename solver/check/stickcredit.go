package check

import (
	"math/big"
	"math/bits"
)

// stickCredit is what a stick's credit adds to the value of its pattern, in units of cost / S, with the dual values of the branch entries that
// count sticks with a credit. Where these would make it negative it adds 0, which can only ask more of the dual values. The zero stickCredit
// is none.
//
// As a pattern grows its credit falls, in steps. Two straight lines lie above the steps: 0, where there is no credit;
// otherwise the line through (−Extra, 0) with the slope S·Num/Den, raised by what the entries add.
type stickCredit struct {
	credit  *Credit // nil: none
	scale   int64   // S
	length  int64   // of the stick
	entries int64   // Σ w of the entries, of either sign
	slope   uint64  // no less than S·Num/Den, in units of 2^-shift
	shift   uint
}

// slopeBits is how many bits a slope has: products with lengths then have as many digits as sums of values.
const slopeBits = 62

// lineRounding is no less than what rounding the slope up can add to the line: a whole stick and Extra are below
// 2^64, and a slope below 1 has 62 bits after the point.
const lineRounding = 4

// newStickCredit is the credit of a kind in units of cost / scale, entries being the sum of the dual values of the entries on it. greatest is more than any credit and any point of
// the lines, without the entries; where it is too large to be summed, the credit must not be used.
func newStickCredit(kind Kind, scale, entries int64) (r stickCredit, greatest *big.Int) {
	if kind.Credit == nil {
		return stickCredit{}, new(big.Int)
	}
	r = stickCredit{credit: kind.Credit, scale: scale, length: kind.Length, entries: entries}
	total, den := product(scale, kind.Credit.Num), big.NewInt(kind.Credit.Den)
	r.shift = uint(max(0, slopeBits-new(big.Int).Quo(total, den).BitLen()))
	r.slope = ceilQuo(total.Lsh(total, r.shift), den).Uint64()
	// A whole stick's credit is below cost + 1 before it is rounded down. So is, times S, the slope.
	greatest = product(scale, kind.Cost)
	greatest.Add(greatest, big.NewInt(scale))
	return r, greatest.Add(greatest, big.NewInt(lineRounding))
}

// of is the credit of a pattern that uses so much of the stick.
func (r stickCredit) of(used int64) int64 {
	if r.credit == nil {
		return 0
	}
	if !r.credit.earned(r.length - used) {
		return 0
	}
	return max(0, r.scale*r.credit.of(r.length-used)+r.entries)
}

// line is the line at what is left, rounded down. Sums of values are whole numbers, so they need not be above it;
// without rounding up, a pattern on the line is no better than its stick.
func (r stickCredit) line(left int64) int64 {
	high, low := bits.Mul64(r.slope, uint64(left)+uint64(r.credit.Extra))
	return int64(high<<(64-r.shift)|low>>r.shift) + r.entries
}

// lost is what the line falls by over a length, rounded down: line(left − length) is never more than
// line(left) − lost(length).
func (r stickCredit) lost(length int64) int64 {
	high, low := bits.Mul64(r.slope, uint64(length))
	return int64(high<<(64-r.shift) | low>>r.shift)
}

// minLeft is what must be left of a stick for it to have a credit.
func (r stickCredit) minLeft() int64 {
	return max(0, r.credit.Keep-r.credit.Extra)
}
