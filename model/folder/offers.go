package folder

import "longpoint/model"

// offerColumns are the columns of offers.csv: one row a stick length that a supplier sells of a profile.
var offerColumns = []column{
	{"supplier", true},
	{"profile", true},      // as in profiles.csv
	{"stick_length", true}, // of one stick, as supplied
	{"price", true},        // of one stick, in the workshop's currency
}

// offers makes offers of the rows.
func offers(t table, c *converter) []model.Offer {
	var out []model.Offer
	for _, rec := range t.records {
		r := row{t, rec}
		out = append(out, model.Offer{
			Supplier: c.name(r.cell("supplier")),
			Profile:  c.name(r.cell("profile")),
			Length:   c.size(r.cell("stick_length")),
			Price:    c.price(r.cell("price")),
			Where:    r.where(),
		})
	}
	return out
}
