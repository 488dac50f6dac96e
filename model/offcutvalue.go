package model

import (
	"math/big"
	"math/bits"
)

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
	rate := w.rateOf(p.Name).rat()
	return rate.Mul(rate, big.NewRat(int64(w.OffcutShareOf(p)), 100))
}

// rate is a price by length: so much money for so many nanometres, which are 0 where there is no price.
type rate struct {
	price  Money
	length int64 // at most MaxBundle times MaxLength
}

func (r rate) rat() *big.Rat {
	if r.length == 0 {
		return new(big.Rat)
	}
	return big.NewRat(int64(r.price), r.length)
}

// cheaper tells whether a rate is lower than another, or the other is none.
func (r rate) cheaper(than rate) bool {
	if than.length == 0 {
		return true
	}
	high, low := bits.Mul64(uint64(r.price), uint64(than.length))
	otherHigh, otherLow := bits.Mul64(uint64(than.price), uint64(r.length))
	return high < otherHigh || high == otherHigh && low < otherLow
}

// rateOf gives the price by length of a profile's new moulding: the lowest of the profile's offers, or its Metre price where none
// counts. An offer counts by its price from the first bundle on, which anyone gets, spread over the sticks of a bundle, each as
// long as the shortest it may be. Days are not looked at: what a stick on the rack is worth does not change overnight
// because an offer ends.
func (w *Workshop) rateOf(profile string) (best rate) {
	for i := range w.Offers {
		if o := &w.Offers[i]; o.Profile == profile && o.counts() {
			best = o.lower(best)
		}
	}
	if p, ok := w.ProfileByName(profile); best.length == 0 && ok && p.Metre.Given {
		return rate{p.Metre.Amount, int64(Metre)}
	}
	return best
}

// rates gives rateOf for every profile, in one go.
func (w *Workshop) rates() map[string]rate {
	all := make(map[string]rate, len(w.Profiles))
	for i := range w.Offers {
		if o := &w.Offers[i]; o.counts() {
			all[o.Profile] = o.lower(all[o.Profile])
		}
	}
	for _, p := range w.Profiles {
		if all[p.Name].length == 0 && p.Metre.Given {
			all[p.Name] = rate{p.Metre.Amount, int64(Metre)}
		}
	}
	return all
}

// counts tells whether an offer counts for the price by length.
func (o *Offer) counts() bool {
	return o.Length > 0 && o.LeastBundles() == 1 && isPrice(o.Price) && o.Bundle <= MaxBundle
}

// lower gives the lower one of the offer's rate and another.
func (o *Offer) lower(than rate) rate {
	if own := (rate{o.Price, int64(o.PerBundle()) * int64(o.Length)}); own.cheaper(than) {
		return own
	}
	return than
}
