package model

import (
	"fmt"
	"maps"
	"slices"
)

// supplierTable reports suppliers' terms that make no sense, and terms of somebody who offers nothing and is called almost like one who does and
// has none: most likely the name is misspelt, and then an order would go out without its delivery charge and its least. Others who offer nothing
// yet are odd only.
func (c *checker) supplierTable() {
	offers := c.w.offering()
	without := maps.Clone(offers)
	for _, s := range c.w.Suppliers {
		delete(without, s.Name)
	}
	seen := map[string]Place{}
	for _, s := range c.w.Suppliers {
		first, twice := seen[s.Name]
		switch {
		case s.Name == "":
			c.report(s.Where, "supplier", "the supplier has no name", "give it the name that the offers call it")
		case twice:
			c.report(s.Where, "supplier", fmt.Sprintf("supplier %s is there twice%s", Quote(s.Name), before(first)), "put its terms in one row")
		case !offers[s.Name] && !offers[""]: // an offer without a name has been reported, and may be its
			if near, found := Nearest(s.Name, slices.Sorted(maps.Keys(without))); found {
				c.report(s.Where, "supplier", fmt.Sprintf(hasNoOffers, Quote(s.Name)), "did you mean "+clipped(near, mostNamed)+"? If they are two, take in what this one offers first")
			}
		}
		if !twice {
			seen[s.Name] = s.Where
		}
		if s.LeastMoney.Given && !isPrice(s.LeastMoney.Amount) {
			c.report(s.Where, "least_order", "it is not an amount of money", "check the number")
		}
		if s.LeastSticks < 0 || s.LeastSticks > MaxFrom {
			c.report(s.Where, "least_sticks", fmt.Sprintf("%d sticks is not from 0 to %d", s.LeastSticks, MaxFrom), "check the number")
		}
		if !isPrice(s.Delivery) {
			c.report(s.Where, "delivery", "it is not an amount of money", "check the number")
		}
		if s.FreeFrom.Given && !isPrice(s.FreeFrom.Amount) {
			c.report(s.Where, "free_from", "it is not an amount of money", "check the number")
		}
		if d := s.DeliveryDays.Days; d < 0 || d > MaxDeliveryDays {
			c.report(s.Where, "delivery_days", fmt.Sprintf("%d days is not from 0 to %d", d, MaxDeliveryDays), "check the number")
		}
	}
}

// offering are the suppliers that offer something.
func (w *Workshop) offering() map[string]bool {
	names := map[string]bool{}
	for _, o := range w.Offers {
		names[o.Supplier] = true
	}
	return names
}

const hasNoOffers = "supplier %s has terms but offers nothing"

func (c *checker) offerTable() {
	for _, o := range c.w.Offers {
		c.knownProfile(o.Where, o.Profile)
		c.stickLength(o.Where, "stick_length", o.Length)
		c.randomLength(o)
		if o.Bundle < 0 || o.Bundle > MaxBundle {
			c.report(o.Where, "bundle", fmt.Sprintf("a bundle of %d sticks is not from 1 to %d", o.Bundle, MaxBundle), "write how many sticks the price is for, or leave it blank for one")
		}
		if o.From < 0 || o.From > MaxFrom {
			c.report(o.Where, "from", fmt.Sprintf("a price from %d bundles on is not from 1 to %d", o.From, MaxFrom), "write how many bundles must be bought at that price, or leave it blank for one")
		}
		if !isPrice(o.Price) {
			c.report(o.Where, "price", "it is not a price", "check the number")
		}
		c.byLength(o)
		c.supplied[o.Profile] = true
	}
	for _, list := range byList(c.w.Offers) {
		c.breaks(list)
	}
}

// byLength reports a price by length that the price of a bundle does not follow from.
func (c *checker) byLength(o Offer) {
	switch {
	case !o.ByLength.Given():
	case o.Longest > o.Length:
		c.report(o.Where, "per", "sticks of random lengths have no price by length here, as nobody knows what one will cost", "write the price of a bundle, or a row for each length")
	case isPrice(o.Price) && o.Price != o.ByLength.Bundle(o.Length, o.PerBundle()):
		c.report(o.Where, "price", fmt.Sprintf("the price by length makes a bundle cost %s, not %s", o.ByLength.Bundle(o.Length, o.PerBundle()).With(c.w.Currency), o.Price.With(c.w.Currency)),
			"correct one of them")
	}
}

// randomLength reports a longest length that is none.
func (c *checker) randomLength(o Offer) {
	u := c.w.Unit
	switch {
	case o.Longest == 0:
	case o.Longest < o.Length:
		c.report(o.Where, "longest", fmt.Sprintf("the longest of random lengths, %s, is shorter than the shortest, %s", o.Longest.In(u), o.Length.In(u)),
			"write the shortest in stick_length and the longest here, or leave this blank where all are of one length")
	case o.Longest > MaxLength:
		c.report(o.Where, "longest", "a stick's length must be more than 0 and at most 1 km", "check the number and its unit")
	}
}

// breaks reports two prices from the same quantity on, and prices that rise with the quantity. A plain offer that stands there
// twice, of single sticks and with no breaks, is no mistake: the cheaper counts.
func (c *checker) breaks(list []Offer) {
	plain := list[0].PerBundle() == 1 && list[len(list)-1].LeastBundles() == 1
	for i := 1; i < len(list); i++ {
		o, low := list[i], list[i-1]
		from := o.LeastBundles()
		switch same := from == low.LeastBundles(); {
		case same && !plain:
			if o.Where.Line < low.Where.Line {
				o, low = low, o
			}
			c.report(o.Where, "from", fmt.Sprintf("%s offers the same of %s twice from %s on%s", o.Supplier, o.Profile, o.bundles(from), before(low.Where)),
				"take one out, or correct from how many on it holds")
		case !same && o.Price > low.Price:
			c.report(o.Where, "price", fmt.Sprintf("%s asks more for %s from %s on, %s each, than from %s on, %s",
				o.Supplier, o.Profile, o.bundles(from), o.Price.With(c.w.Currency), o.bundles(low.LeastBundles()), low.Price.With(c.w.Currency)),
				"check both: the price is of one stick, or of one bundle, and falls with the quantity")
		}
	}
}

// bundles gives a number of bundles in words: "3 bundles", or "3 sticks" where a bundle is one.
func (o Offer) bundles(n int) string {
	word := "bundle"
	if o.PerBundle() == 1 {
		word = "stick"
	}
	if n != 1 {
		word += "s"
	}
	return fmt.Sprintf("%d %s", n, word)
}

// longestSticks gives the length of each profile's longest stick, on the rack or on offer, of random lengths the shortest. A
// stick of no length has been reported and may be of any.
func (c *checker) longestSticks() map[string]Length {
	longest := map[string]Length{}
	consider := func(profile string, l Length) {
		if l <= 0 {
			l = MaxLength
		}
		longest[profile] = max(longest[profile], l)
	}
	for _, o := range c.w.Offers {
		consider(o.Profile, o.Length)
	}
	for _, s := range c.w.Rack {
		consider(s.Profile, s.Length)
	}
	return longest
}
