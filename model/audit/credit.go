package audit

import (
	"math/big"
	"slices"

	"longpoint/model"
)

// rate derives what a kept offcut of the profile is worth by length; nil for nothing.
func (a *audit) rate(p model.Profile) *big.Rat {
	percent := int64(a.w.Defaults.OffcutShare)
	if p.OffcutShare.Given {
		percent = int64(p.OffcutShare.Percent)
	}
	var cheapest *big.Rat
	for _, o := range a.w.Offers {
		if o.Profile == p.Name && o.From <= 1 {
			each := big.NewRat(int64(o.Price), int64(max(1, o.Bundle)))
			if each.Quo(each, new(big.Rat).SetInt64(int64(o.Length))); cheapest == nil || each.Cmp(cheapest) < 0 {
				cheapest = each
			}
		}
	}
	if cheapest == nil {
		if !p.Metre.Given {
			return nil
		}
		cheapest = new(big.Rat).SetFrac64(int64(p.Metre.Amount), int64(model.Metre))
	}
	if cheapest.Mul(cheapest, big.NewRat(percent, 100)); cheapest.Sign() == 0 {
		return nil
	}
	return cheapest
}

// worth derives what a stick of the rack is worth, and what bounds the value of its offcuts by its length. The two differ only for a stick that is
// begun: what is left of it is worth what its sound parts are as offcuts, and these are bounded by what a stick that is not begun would be worth.
func (a *audit) worth(s model.Stick, d *derived) (value, bounds model.Money) {
	begun := s.Begun
	s.Begun = 0
	bounds = a.w.StickValue(s)
	if begun == 0 {
		return bounds, bounds
	}
	from := begun
	for _, damage := range append(slices.Clone(s.Damage), model.Span{From: s.Length, To: s.Length}) {
		if sound := damage.From - from; sound > 0 && sound >= d.profile.Keep {
			value += d.offcutValue(sound, s.Length, bounds)
		}
		from = max(from, damage.To)
	}
	return value, bounds
}

// byLength is the rate at which what is left of one stick is credited: the profile's, or the stick's own cost by length
// where that is less. Where the product with a length might not fit in 63 bits both numbers of the fraction are halved
// until it does, the upper one rounded down and the lower one up.
func (d *derived) byLength(length model.Length, cost model.Money) (num, den int64) {
	if d.rate == nil || d.profile.Keep <= 0 || cost <= 0 {
		return 0, 0
	}
	rate := d.rate
	if own := new(big.Rat).SetFrac64(int64(cost), int64(length)); own.Cmp(rate) < 0 {
		rate = own
	}
	n, m := new(big.Int).Set(rate.Num()), new(big.Int).Set(rate.Denom())
	two := big.NewInt(2)
	for new(big.Int).Mul(n, big.NewInt(int64(length))).BitLen() > 63 || m.BitLen() > 63 {
		n.Quo(n, two)
		m.Quo(m.Add(m, big.NewInt(1)), two)
	}
	if n.Sign() == 0 {
		return 0, 0
	}
	return n.Int64(), m.Int64()
}

// offcutValue is the value of a kept offcut of a stick.
func (d *derived) offcutValue(left, length model.Length, cost model.Money) model.Money {
	num, den := d.byLength(length, cost)
	if num == 0 {
		return 0
	}
	value := new(big.Int).Mul(big.NewInt(num), big.NewInt(int64(left)))
	return model.Money(value.Quo(value, big.NewInt(den)).Int64())
}
