package planner

import (
	"math"
	"math/big"
	"math/bits"

	"longpoint/model"
	"longpoint/solver"
)

// creditOf returns the credit for what is left of a stick: the profile's rate by length, but no more by length than the whole stick, so
// that a stick is never worth more cut than uncut. whole is the stick's length, value its value on the rack; for a new stick, the value it
// would have there if nothing were cut from it. Where nothing is ever kept there is no credit. The rate is rounded down where its product with
// a length would not fit in 63 bits.
func (pp *profileProblem) creditOf(usable, extra, whole model.Length, value model.Money) solver.Credit {
	if pp.rate.Sign() == 0 || pp.profile.Keep <= 0 || value <= 0 || usable+extra < pp.profile.Keep {
		return solver.Credit{}
	}
	rate := big.NewRat(int64(value), int64(whole))
	if pp.rate.Cmp(rate) < 0 {
		rate = pp.rate
	}
	num, den := new(big.Int).Set(rate.Num()), new(big.Int).Set(rate.Denom())
	for most := big.NewInt(math.MaxInt64 / int64(whole)); num.Cmp(most) > 0 || !den.IsInt64(); {
		num.Rsh(num, 1)
		den.Add(den, big.NewInt(1)).Rsh(den, 1)
	}
	if num.Sign() == 0 {
		return solver.Credit{}
	}
	return solver.Credit{Keep: int64(pp.profile.Keep), Extra: int64(extra), Num: num.Int64(), Den: den.Int64()}
}

// credit returns the value of what is left of a stick. left does not include the credit's Extra.
func credit(c solver.Credit, left model.Length) model.Money {
	l := int64(left) + c.Extra
	if c.Num == 0 || l < c.Keep {
		return 0
	}
	hi, lo := bits.Mul64(uint64(c.Num), uint64(l))
	q, _ := bits.Div64(hi, lo, uint64(c.Den)) // creditOf sees to it that hi is 0
	return model.Money(q)
}
