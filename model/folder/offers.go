package folder

import "longpoint/model"

// offerColumns are the columns of offers.csv: one row a price of a stick length that a supplier sells of a profile. Rows that
// differ in from and price only are one price list: who buys so many pays that price for all of them.
var offerColumns = []column{
	{"supplier", true},
	{"profile", true},      // as in profiles.csv
	{"stick_length", true}, // of one stick, as supplied; of random lengths the shortest
	{"longest", false},     // of random lengths the longest; blank: all are of one length
	{"bundle", false},      // sticks in a bundle, which is not broken; blank: 1
	{"from", false},        // so many bundles and more cost this price each; blank: 1
	{"price", true},        // of one bundle, in the workshop's currency
	{"until", false},       // the last day on which it can be ordered, year-month-day; blank: always
	{"article", false},     // what the supplier calls it; printed on orders
}

// offers makes offers of the rows.
func offers(t table, c *converter) []model.Offer {
	var out []model.Offer
	for _, rec := range t.records {
		r := row{t, rec}
		before := c.problems.count()
		bundle, _ := c.count(r.cell("bundle"), 1, model.MaxBundle, 1)
		from, _ := c.count(r.cell("from"), 1, model.MaxFrom, 1)
		o := model.Offer{
			Supplier: c.name(r.cell("supplier")),
			Profile:  c.name(r.cell("profile")),
			Length:   c.size(r.cell("stick_length")),
			Longest:  c.limit(r.cell("longest")).Length,
			Bundle:   bundle,
			From:     from,
			Price:    c.price(r.cell("price")),
			Until:    c.date(r.cell("until")),
			Article:  oneLine(r.cell("article").text),
			Where:    r.where(),
		}
		if c.problems.count() > before {
			o.Bundle = model.MaxBundle + 1 // what was not read is held against no other row of its price list
		}
		out = append(out, o)
	}
	return out
}
