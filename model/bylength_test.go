package model

import (
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestByLength works prices out by hand.
func TestByLength(t *testing.T) {
	for _, c := range []struct {
		name   string
		by     ByLength
		length Length
		want   Money
	}{
		{"5.80 a metre, 3 m", ByLength{Price: 580, Per: Metre}, 3 * Metre, 1740},
		{"5.80 a metre, 2290 mm: 13.282", ByLength{Price: 580, Per: Metre}, 2290 * Millimetre, 1328},
		{"1.01 a metre, 1500 mm: 1.515, up", ByLength{Price: 101, Per: Metre}, 1500 * Millimetre, 152},
		{"1.05 a foot, 10 ft", ByLength{Price: 105, Per: Foot}, 10 * Foot, 1050},
		{"83.75 a hundred feet, 9 ft: 7.5375", ByLength{Price: 8375, Per: 100 * Foot}, 9 * Foot, 754},
		{"the least charge", ByLength{Price: 580, Per: Metre, Least: 500}, 500 * Millimetre, 500},
		{"the least charge, and cut", ByLength{Price: 580, Per: Metre, Least: 500, Cut: 120}, 500 * Millimetre, 620},
		{"cut, above the least", ByLength{Price: 580, Per: Metre, Least: 500, Cut: 120}, Metre, 700},
		{"more than any price", ByLength{Price: MaxMoney, Per: 1}, MaxLength, MaxMoney + 1},
		{"no price by length", ByLength{}, Metre, MaxMoney + 1},
	} {
		if got := c.by.Stick(c.length); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// TestByLengthNearest holds random prices against fractions.
func TestByLengthNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		by := ByLength{Price: Money(r.Int64N(1_000_000)), Per: []Length{Metre, Foot, 100 * Foot, 7 * Millimetre}[r.IntN(4)]}
		l := Length(r.Int64N(int64(10 * Metre)))
		exact := big.NewRat(int64(by.Price), int64(by.Per))
		exact.Mul(exact, big.NewRat(int64(l), 1))
		off := new(big.Rat).Sub(big.NewRat(int64(by.Stick(l)), 1), exact)
		if half := big.NewRat(1, 2); off.Cmp(half) > 0 || off.Cmp(new(big.Rat).Neg(half)) <= 0 {
			t.Fatalf("%+v of %d: %d is off by %s", by, l, by.Stick(l), off.FloatString(3))
		}
	}
}
