package plan

import (
	"cmp"
	"math/big"
	"slices"

	"longpoint/model"
)

// perBundle is how many sticks a bundle of the offer holds: 1 where the offer does not say.
func perBundle(o model.Offer) int { return max(1, o.Bundle) }

// from is how many bundles the offer's price asks for: 1 where the offer does not say.
func from(o model.Offer) int { return max(1, o.From) }

// offersOf gives a profile's offers that can still be ordered on a day; for the zero Date all of them.
func offersOf(w *model.Workshop, profile string, on model.Date) []model.Offer {
	var offers []model.Offer
	for _, o := range w.Offers {
		if o.Profile == profile && !expired(o, on) {
			offers = append(offers, o)
		}
	}
	return offers
}

func expired(o model.Offer, on model.Date) bool {
	return !on.IsZero() && !o.Until.IsZero() && on.After(o.Until.Time)
}

// matchOf is the rule for a job's frames of a profile: the job's own where it has one.
func matchOf(j model.Job, p model.Profile) model.Match {
	return cmp.Or(j.Match, p.Match, model.MatchFree)
}

// soundRuns gives the parts of a stick without damage, head and tail trim taken off. Next to damage nothing is trimmed:
// a side keeps clear of it by its mitre loss and shave.
func soundRuns(s model.Stick, head, tail model.Length) []model.Span {
	var runs []model.Span
	at, end := head, s.Length-tail
	for _, d := range s.Damage {
		if to := min(d.From, end); to > at {
			runs = append(runs, model.Span{From: at, To: to})
		}
		at = max(at, d.To)
	}
	if end > at {
		runs = append(runs, model.Span{From: at, To: end})
	}
	return runs
}

// rackValue is what an untouched stick of a length is worth on the rack.
func rackValue(w *model.Workshop, profile string, length model.Length) model.Money {
	return w.StickValue(model.Stick{Profile: profile, Length: length})
}

// offcutRate is what a kept offcut is worth by length, in minor units a nanometre: the profile's share of the cheapest
// price by length, of those that one bundle can be had at, or of its price of a metre where nothing is on offer. Nil
// where it is nothing.
func offcutRate(w *model.Workshop, p model.Profile) *big.Rat {
	percent := w.Defaults.OffcutShare
	if p.OffcutShare.Given {
		percent = p.OffcutShare.Percent
	}
	var best *big.Rat
	for _, o := range w.Offers {
		if o.Profile != p.Name || from(o) > 1 || o.Length <= 0 {
			continue
		}
		rate := new(big.Rat).SetFrac(big.NewInt(int64(o.Price)), new(big.Int).Mul(big.NewInt(int64(perBundle(o))), big.NewInt(int64(o.Length))))
		if best == nil || rate.Cmp(best) < 0 {
			best = rate
		}
	}
	if best == nil && p.Metre.Given {
		best = big.NewRat(int64(p.Metre.Amount), int64(model.Metre))
	}
	if best == nil || percent <= 0 {
		return nil
	}
	if best.Mul(best, big.NewRat(int64(percent), 100)); best.Sign() == 0 {
		return nil
	}
	return best
}

// termsOf gives a supplier's terms, and whether there are any.
func termsOf(w *model.Workshop, supplier string) (model.Supplier, bool) {
	i := slices.IndexFunc(w.Suppliers, func(s model.Supplier) bool { return s.Name == supplier })
	if i < 0 {
		return model.Supplier{}, false
	}
	s := w.Suppliers[i]
	return s, s.Delivery > 0 || s.LeastSticks > 0 || leastMoney(s) > 0
}

// leastMoney is what an order must come to: nothing where the supplier does not say.
func leastMoney(s model.Supplier) model.Money {
	if !s.LeastMoney.Given {
		return 0
	}
	return s.LeastMoney.Amount
}

// toWholeRepeats is what is missing of a length to whole repeats of a pattern: nothing where there is no pattern.
func toWholeRepeats(need, repeat model.Length) model.Length {
	if repeat <= 0 {
		return 0
	}
	return (repeat - need%repeat) % repeat
}
