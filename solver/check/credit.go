package check

import (
	"math/big"
	"math/bits"
)

// Credit values the leftover of a stick, what is left once its pieces are cut: it is ⌊Num · l / Den⌋ with l =
// leftover + Extra, and nothing where l is below Keep.
type Credit struct {
	Keep, Extra int64 // lengths, >= 0
	Num, Den    int64 // > 0
}

// of is the credit of a stick of which left >= 0 is left. nil is no credit. The credit
// must have been checked: it is then no more than the stick's cost and fits int64.
func (c *Credit) of(left int64) int64 {
	if c == nil {
		return 0
	}
	if !c.earned(left) {
		return 0
	}
	kept := uint64(left) + uint64(c.Extra) // both below 2^63
	high, low := bits.Mul64(uint64(c.Num), kept)
	value, _ := bits.Div64(high, low, uint64(c.Den))
	return int64(value)
}

// earned says whether left >= 0 is enough for a credit, however small.
func (c *Credit) earned(left int64) bool { return uint64(left)+uint64(c.Extra) >= uint64(c.Keep) }

// checkCredit reports numbers that make no sense, and a credit for a whole stick that is above its cost.
func (v *verifier) checkCredit(where string, kind Kind) {
	credit := kind.Credit
	ok := v.atLeast(0, credit.Keep, where, "credit's keep")
	ok = v.atLeast(0, credit.Extra, where, "credit's extra") && ok
	ok = v.atLeast(1, credit.Num, where, "credit's num") && ok
	ok = v.atLeast(1, credit.Den, where, "credit's den") && ok
	if !ok {
		return
	}
	whole := new(big.Int).Add(big.NewInt(kind.Length), big.NewInt(credit.Extra))
	whole.Mul(whole, big.NewInt(credit.Num))
	whole.Quo(whole, big.NewInt(credit.Den))
	if over := whole.Sub(whole, big.NewInt(kind.Cost)); over.Sign() > 0 {
		v.violate(OutOfRange, where, over, "the credit of a whole stick is %d more than the stick's cost of %d", over, kind.Cost)
	}
}
