package model

import (
	"cmp"
	"slices"
)

// MaxBundle is the greatest number of sticks in a bundle: far more than anyone ties up in one.
const MaxBundle = 1000

// MaxFrom is the greatest number of bundles that a price can start from, and of sticks that a supplier can ask of an order.
const MaxFrom = 10_000

// PerBundle gives the sticks in a bundle. An offer that says nothing of bundles is one of single sticks.
func (o Offer) PerBundle() int { return max(1, o.Bundle) }

// LeastBundles gives the number of bundles from which on the offer's price holds. An offer that says nothing of it holds
// from the first one on.
func (o Offer) LeastBundles() int { return max(1, o.From) }

// OnSale tells whether the offer can be ordered on a day. On no day at all every offer can.
func (o Offer) OnSale(on Date) bool {
	return o.Until.IsZero() || !on.After(o.Until.Time) // no day is before all days
}

// OffersOf gives the offers of a profile that can be ordered on a day, in the order of the table; on no day, all of them.
func (w *Workshop) OffersOf(profile string, on Date) []Offer {
	var out []Offer
	for i := range w.Offers {
		if o := &w.Offers[i]; o.Profile == profile && o.OnSale(on) {
			out = append(out, *o)
		}
	}
	return out
}

// RackOf gives the sticks of a profile on the rack, in the order of the table.
func (w *Workshop) RackOf(profile string) []Stick {
	var out []Stick
	for i := range w.Rack {
		if s := &w.Rack[i]; s.Profile == profile {
			out = append(out, *s)
		}
	}
	return out
}

// PriceLists sorts offers into price lists: the offers of a list differ in From and Price only and stand in the order of
// From, lists in the order in which they first appear. Whoever buys n bundles of a list pays for each of them the price
// of the last offer whose LeastBundles is at most n; a list that starts beyond the first bundle sells no fewer. Of two plain
// offers of the same the cheaper is in the list, of equal ones the first.
func PriceLists(offers []Offer) [][]Offer {
	lists := byList(offers)
	for i := range lists {
		lists[i] = slices.CompactFunc(lists[i], func(a, b Offer) bool { return a.LeastBundles() == b.LeastBundles() })
	}
	return lists
}

// byList sorts offers into price lists, each in the order of From and then of price, and leaves none out.
func byList(offers []Offer) [][]Offer {
	var lists [][]Offer
	index := map[priceList]int{}
	for _, o := range offers {
		i, known := index[o.list()]
		if !known {
			i = len(lists)
			index[o.list()] = i
			lists = append(lists, nil)
		}
		lists[i] = append(lists[i], o)
	}
	for _, list := range lists {
		slices.SortStableFunc(list, func(a, b Offer) int {
			return cmp.Or(cmp.Compare(a.LeastBundles(), b.LeastBundles()), cmp.Compare(a.Price, b.Price))
		})
	}
	return lists
}

// priceList is what the offers of one price list have in common.
type priceList struct {
	supplier, profile string
	length, longest   Length
	bundle            int
	until             string
}

func (o Offer) list() priceList {
	return priceList{o.Supplier, o.Profile, o.Length, max(o.Length, o.Longest), o.PerBundle(), o.Until.String()}
}
