package folder

import (
	"longpoint/model"
	"longpoint/model/table"
)

// offerSet has the columns of offers.csv: one row a price of a stick length that a supplier sells of a profile. Rows that
// differ in from and price only are one price list: who buys so many pays that price for all of them.
var offerSet = table.Set{Name: "offers", Called: offerHeadings, Columns: []table.Column{
	{Name: "supplier", Kind: table.Name, Need: table.Each, Key: true, About: "who sells it"},
	{Name: "profile", Kind: table.Name, Need: table.Each, Key: true, About: "as in `profiles.csv`"},
	{Name: "stick_length", Kind: table.Length, Need: table.Each, Key: true, About: "length of one stick, as supplied; of sticks at random lengths the shortest there may be"},
	{Name: "longest", Kind: table.Length, Key: true, About: "length: of sticks at random lengths the longest there may be"},
	{Name: "bundle", Kind: table.Count, Key: true, About: "sticks in a bundle, which the supplier does not break, 1 to 1,000; blank: 1"},
	{Name: "from", Kind: table.Count, Key: true, About: "the price holds from so many bundles on, for all of them; blank: 1. Lines that differ in `from` and `price` only are one price list, whose price falls with the quantity"},
	{Name: "price", Kind: table.Money, Need: table.Each, About: "of one bundle, or of the length in `per`"},
	{Name: "until", Kind: table.Date, Key: true, About: "the last day on which it can be ordered; blank: always"},
	{Name: "article", About: "what the supplier calls it; printed on orders"},
	{Name: "per", About: "the length that the price is of, where a supplier prices by length: `m`, `ft`, or a length such as `100 ft`; blank: the price is of a bundle"},
	{Name: "least_charge", Kind: table.Money, About: "with `per`: a stick costs at least this"},
	{Name: "cut_charge", Kind: table.Money, About: "with `per`: on top of each stick, for cutting it to its length"},
}}

// offers makes offers of the rows.
func offers(t *table.Table, c *table.Converter) []model.Offer {
	var out []model.Offer
	for r := range t.Rows() {
		before := c.Problems.Count()
		bundle, _ := c.Count(r.Cell("bundle"), 1, model.MaxBundle, 1)
		from, _ := c.Count(r.Cell("from"), 1, model.MaxFrom, 1)
		o := model.Offer{
			Supplier: c.Name(r.Cell("supplier")),
			Profile:  c.Name(r.Cell("profile")),
			Length:   c.Size(r.Cell("stick_length")),
			Longest:  c.Limit(r.Cell("longest")).Length,
			Bundle:   bundle,
			From:     from,
			Price:    c.Price(r.Cell("price")),
			Until:    c.Date(r.Cell("until")),
			Article:  table.OneLine(r.Cell("article").Text),
			Where:    r.Where(),
		}
		if o.ByLength = byLength(r, o.Price, c); o.ByLength.Given() {
			o.Price = o.ByLength.Bundle(o.Length, o.PerBundle())
		}
		if c.Problems.Count() > before {
			o.Bundle = model.MaxBundle + 1 // what was not read is held against no other row of its price list
		}
		out = append(out, o)
	}
	return out
}

// byLength reads how a price goes by length, if it does.
func byLength(r table.Row, price model.Money, c *table.Converter) (b model.ByLength) {
	per := r.Cell("per")
	least, cut := r.Cell("least_charge"), r.Cell("cut_charge")
	if per.Blank() {
		for _, cell := range []table.Value{least, cut} {
			if !cell.Blank() {
				c.Problems.Add(cell.Where, "only a price by length has this", "say in per what the price is of, such as m or ft, or leave this blank")
			}
		}
		return model.ByLength{}
	}
	length, err := model.ParsePer(per.Text)
	c.Parsed(per, err)
	return model.ByLength{Price: price, Per: length, Least: c.Sum(least).Amount, Cut: c.Sum(cut).Amount}
}

// offerRow gives an offer as a row of the table.
func offerRow(o *model.Offer, f format) []string {
	price, per, least, cut := f.money(o.Price), "", "", ""
	if b := o.ByLength; b.Given() {
		price, per, least, cut = f.money(b.Price), model.PerText(b.Per), f.sum(b.Least), f.sum(b.Cut)
	}
	return []string{o.Supplier, o.Profile, f.length(o.Length), f.some(o.Longest), count(o.PerBundle(), 1), count(o.LeastBundles(), 1), price, o.Until.String(), o.Article, per, least, cut}
}
