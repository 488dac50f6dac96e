package folder

import "longpoint/model"

// supplierColumns are the columns of suppliers.csv: one row a supplier with terms or an address of its own. The file need not be
// there.
var supplierColumns = []column{
	{"supplier", true},       // as in offers.csv
	{"least_order", false},   // an order must come to at least this, without delivery; blank: to anything
	{"least_sticks", false},  // an order must have at least so many sticks; blank: any number
	{"delivery", false},      // charged once an order; blank: nothing
	{"delivery_days", false}, // how many days after an order it is expected; blank: nobody knows
	{"address", false},       // printed on orders; its lines parted by " / "
}

// suppliers makes suppliers of the rows.
func suppliers(t table, c *converter) []model.Supplier {
	var out []model.Supplier
	for _, rec := range t.records {
		r := row{t, rec}
		sticks, _ := c.count(r.cell("least_sticks"), 0, model.MaxFrom, 0)
		days, known := c.count(r.cell("delivery_days"), 0, model.MaxDeliveryDays, 0)
		out = append(out, model.Supplier{
			Name:         c.name(r.cell("supplier")),
			LeastMoney:   c.charge(r.cell("least_order")),
			LeastSticks:  sticks,
			Delivery:     c.charge(r.cell("delivery")).Amount,
			Address:      oneLine(r.cell("address").text),
			DeliveryDays: model.OptionalDays{Days: days, Given: known && !r.cell("delivery_days").blank()},
			Where:        r.where(),
		})
	}
	return out
}
