package model

import "math/big"

// OffcutShareOf gives the per cent of the price of new moulding that a kept offcut of the profile is worth to a plan: the
// profile's own, else the workshop's.
func (w *Workshop) OffcutShareOf(p Profile) int {
	if p.OffcutShare.Given {
		return p.OffcutShare.Percent
	}
	return w.Defaults.OffcutShare
}

// OffcutValue gives what a kept offcut of the profile is worth to a plan for each nanometre of its length, in minor units,
// exactly: OffcutShareOf per cent of the price by length that StickValue goes by; 0 where there is no price. Whether an
// offcut is long enough to be kept is not its question. The caller may change the result.
//
// A share above RackShare, or above what a stick's own Value makes of it, says that an offcut is worth more than the stick
// it came from: a plan must not credit a stick that nothing is cut from.
func (w *Workshop) OffcutValue(p Profile) *big.Rat {
	rate := w.priceByLength(p.Name)
	return rate.Mul(rate, big.NewRat(int64(w.OffcutShareOf(p)), 100))
}

// priceByLength gives the price of a nanometre of new moulding, in minor units: the lowest of the profile's offers, or of
// its Metre price where none counts; 0 where there is no price. An offer counts by its price from the first bundle on, which
// anyone gets, spread over the sticks of a bundle, each as long as the shortest it may be. Days are not looked at: what a
// stick on the rack is worth does not change overnight because an offer ends.
func (w *Workshop) priceByLength(profile string) *big.Rat {
	var best *big.Rat
	consider := func(price Money, sticks int, length Length) {
		all := new(big.Int).Mul(big.NewInt(int64(sticks)), big.NewInt(int64(length)))
		if rate := new(big.Rat).SetFrac(big.NewInt(int64(price)), all); best == nil || rate.Cmp(best) < 0 {
			best = rate
		}
	}
	for _, o := range w.Offers {
		if o.Profile == profile && o.Length > 0 && o.LeastBundles() == 1 {
			consider(o.Price, o.PerBundle(), o.Length)
		}
	}
	if best != nil {
		return best
	}
	if p, ok := w.ProfileByName(profile); ok && p.Metre.Given {
		consider(p.Metre.Amount, 1, Metre)
		return best
	}
	return new(big.Rat)
}
