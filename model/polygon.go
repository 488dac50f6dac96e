package model

import (
	"math/big"
	"sort"
)

// grain is what an irrational length is rounded up to: 0.01 mm, finer than any stop can be set.
const grain Length = Millimetre / 100

// timesTan gives c · tan(180°/n), c not negative, n from 3 up. Of these tangents only tan 45° = 1 is rational (Niven,
// Irrational Numbers, 1956, chapter 3, from memory): for n = 4 the result is exact, else it is rounded up to a grain.
//
// m is at least c · tan(180°/n) when the direction of (c, m), turned by its own angle n times, comes to half a turn or
// beyond. That is a question about the signs of whole numbers, and so answered without rounding.
func timesTan(c Length, n int) Length {
	if n == 4 || c == 0 {
		return c
	}
	return leastGrains(2*c, func(m Length) bool {
		x, y := big.NewInt(int64(c)), big.NewInt(int64(m))
		re, im := new(big.Int).Set(x), new(big.Int).Set(y)
		var a, b, d, e big.Int
		for range n - 1 { // (re, im) is (x + iy)^k for k = 1, 2 … n
			a.Mul(re, x)
			b.Mul(im, y)
			d.Mul(re, y)
			e.Mul(im, x)
			re.Sub(&a, &b)
			im.Add(&d, &e)
			if im.Sign() <= 0 { // each turn is less than a quarter, so that none can jump over the lower half
				return true
			}
		}
		return false
	})
}

// overCos gives c ÷ cos(180°/n), c not negative, n from 3 up. Of these cosines only cos 60° = 1/2 is rational (as above):
// for n = 3 the result is exact, else it is rounded up to a grain.
//
// m is at least c ÷ cos(180°/n) when the angle φ with cos φ = c/m has n φ of at least half a turn, which is when one of
// sin 2φ, sin 3φ … sin nφ is not positive. They have the signs of V(1) … V(n−1), where V(0) = 1, V(1) = 2c and
// V(k+1) = 2c V(k) − m² V(k−1): Chebyshev polynomials of the second kind in c/m, times m^k.
func overCos(c Length, n int) Length {
	if n == 3 || c == 0 {
		return 2 * c
	}
	return leastGrains(2*c, func(m Length) bool {
		twice, square := big.NewInt(2*int64(c)), big.NewInt(int64(m))
		square.Mul(square, square)
		before, v := big.NewInt(1), new(big.Int).Set(twice)
		for range n - 2 {
			next := new(big.Int).Mul(twice, v)
			before, v = v, next.Sub(next, before.Mul(before, square))
			if v.Sign() <= 0 {
				return true
			}
		}
		return false
	})
}

// leastGrains gives the least positive multiple of a grain that is enough, given that most is.
func leastGrains(most Length, enough func(Length) bool) Length {
	i := sort.Search(int(most/grain), func(i int) bool { return enough(Length(i+1) * grain) })
	return Length(i+1) * grain
}
