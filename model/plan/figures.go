package plan

import (
	"math/bits"

	"longpoint/model"
)

// add counts one stick. What is paid for new ones is not in it, for a bundle is paid for whole.
func (t *task) add(f *Figures, s stickOf) {
	k := t.kinds[s[0].kind]
	if k.bought() {
		f.NewSticks++
	} else {
		f.RackSticks++
		f.RackValue += k.value
	}
	f.UsedUp += k.length
	for _, part := range s {
		f.Sides += t.sidesIn(part)
		f.LongPoints += t.longPoints(part)
		if left := t.left(t.kinds[part.kind], part.used); left.Becomes == Kept {
			f.UsedUp -= left.Length
			f.Kept += left.Length
			f.Credit += left.Worth
			f.LongestOffcut = max(f.LongestOffcut, left.Length)
		}
	}
}

// sidesIn counts the sides of a layout.
func (t *task) sidesIn(l layout) (sides int) {
	for _, i := range l.items {
		sides += t.items[i].sides
	}
	return sides
}

// longPoints adds up the long points of a layout.
func (t *task) longPoints(l layout) (sum model.Length) {
	for _, i := range l.items {
		sum += t.items[i].longPoint
	}
	return sum
}

// left says what remains of a sound part when its sides have taken so much of it, and what becomes of it. A profile that
// does not say how long an offcut must be to be kept keeps none.
func (t *task) left(k kind, takes model.Length) Left {
	l := Left{Length: k.usable - takes + k.extra, Becomes: Waste}
	switch {
	case l.Length == 0:
		l.Becomes = Nothing
	case t.profile.Keep > 0 && l.Length >= t.profile.Keep:
		l.Becomes = Kept
		l.Worth = credit(k.credit, k.usable-takes)
	}
	return l
}

// plus adds another plan's figures.
func (f *Figures) plus(g Figures) {
	f.Sides += g.Sides
	f.RackSticks += g.RackSticks
	f.NewSticks += g.NewSticks
	f.RackValue += g.RackValue
	f.Purchases += g.Purchases
	f.Delivery += g.Delivery
	f.Credit += g.Credit
	f.Spare += g.Spare
	f.LongestOffcut = max(f.LongestOffcut, g.LongestOffcut)
	f.LongPoints += g.LongPoints
	f.UsedUp += g.UsedUp
	f.Kept += g.Kept
	f.finish()
}

// finish derives what follows from the other figures.
func (f *Figures) finish() {
	f.Cost = f.RackValue + f.Purchases + f.Delivery - f.Credit - f.Spare
	f.Waste = f.UsedUp - f.LongPoints
	f.Yield = ratio(f.LongPoints, f.UsedUp)
}

// ratio gives a ÷ b in parts per million, rounded down, and 0 where b is 0. 0 ≤ a ≤ b.
func ratio(a, b model.Length) int64 {
	const million = 1_000_000
	if b <= 0 {
		return 0
	}
	hi, lo := bits.Mul64(uint64(a), million)
	q, _ := bits.Div64(hi, lo, uint64(b)) // hi < b because a ≤ b < 2^63 and a·10^6 / 2^64 < b
	return int64(q)
}

// comparePrices compares two prices by length exactly: the sign of c1/l1 − c2/l2, for positive lengths and costs that
// are not negative.
func comparePrices(c1 model.Money, l1 model.Length, c2 model.Money, l2 model.Length) int {
	h1, o1 := bits.Mul64(uint64(c1), uint64(l2))
	h2, o2 := bits.Mul64(uint64(c2), uint64(l1))
	switch {
	case h1 < h2 || h1 == h2 && o1 < o2:
		return -1
	case h1 == h2 && o1 == o2:
		return 0
	}
	return 1
}
