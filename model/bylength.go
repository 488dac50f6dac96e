package model

import (
	"fmt"
	"math/bits"
	"strings"
)

// ByLength is a price by length as suppliers print it: so much for so long, at least so much a stick, and so much more for a stick that is cut to
// its length for the buyer. The zero ByLength is none.
type ByLength struct {
	Price Money  // of Per
	Per   Length // a metre, a foot, a hundred feet
	Least Money  // a stick costs at least this, without Cut
	Cut   Money  // on top for each stick
}

// Given tells whether there is such a price.
func (b ByLength) Given() bool { return b.Per > 0 }

// Stick gives what a stick costs: its length at the price, to the nearest minor unit and of two equally near the higher (common practice, no
// source), or the least charge where that is more; and the charge for cutting. What is no price comes to more than MaxMoney.
func (b ByLength) Stick(l Length) Money {
	if b.Per <= 0 || l < 0 || !isPrice(b.Price) || !isPrice(b.Least) || !isPrice(b.Cut) {
		return MaxMoney + 1
	}
	high, low := bits.Mul64(uint64(b.Price), uint64(l))
	low, carry := bits.Add64(low, uint64(b.Per)/2, 0)
	high += carry
	if high >= uint64(b.Per) {
		return MaxMoney + 1
	}
	price, _ := bits.Div64(high, low, uint64(b.Per))
	if price > uint64(MaxMoney) {
		return MaxMoney + 1
	}
	return max(Money(price), b.Least) + b.Cut
}

// Bundle gives what so many such sticks cost.
func (b ByLength) Bundle(l Length, sticks int) Money {
	return min(b.Stick(l), MaxMoney+1) * Money(sticks)
}

// ParsePer reads what length a price is of: m or metre, ft or foot, or a length with its unit, such as 100 ft.
func ParsePer(text string) (Length, error) {
	switch plain := strings.ToLower(strings.TrimSpace(text)); plain {
	case "m", "metre", "meter":
		return Metre, nil
	case "ft", "foot":
		return Foot, nil
	default:
		l, err := ParseLength(text, Millimetres)
		if other, otherErr := ParseLength(text, Inches); err != nil || otherErr != nil || l != other || l <= 0 { // nobody says of what a bare number is
			return 0, &Error{Kind: BadInput, What: Quote(text) + " is no length that a price is of", Do: "write m, ft, or a length with its unit such as 100 ft"}
		}
		return l, nil
	}
}

// PerText writes it.
func PerText(per Length) string {
	for _, u := range []struct {
		length Length
		name   string
	}{{Metre, "m"}, {Foot, "ft"}} {
		switch {
		case per == u.length:
			return u.name
		case per%u.length == 0:
			return fmt.Sprintf("%d %s", per/u.length, u.name)
		}
	}
	return per.In(Millimetres)
}
