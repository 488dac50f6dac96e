package folder

import (
	"strconv"

	"longpoint/model"
	"longpoint/model/table"
)

// supplierSet has the columns of suppliers.csv: one row a supplier with terms or an address of its own. The file need not be
// there.
var supplierSet = table.Set{Name: "suppliers", Columns: []table.Column{
	{Name: "supplier", Kind: table.Name, Need: table.Each, Key: true}, // as in offers.csv
	{Name: "least_order", Kind: table.Money},                          // an order must come to at least this, without delivery; blank: to anything
	{Name: "least_sticks", Kind: table.Count},                         // an order must have at least so many sticks; blank: any number
	{Name: "delivery", Kind: table.Money},                             // charged once an order; blank: nothing
	{Name: "delivery_days", Kind: table.Count},                        // how many days after an order it is expected; blank: nobody knows
	{Name: "address"}, // printed on orders; its lines parted by " / "
}}

// suppliers makes suppliers of the rows.
func suppliers(t *table.Table, c *table.Converter) []model.Supplier {
	var out []model.Supplier
	for r := range t.Rows() {
		sticks, _ := c.Count(r.Cell("least_sticks"), 0, model.MaxFrom, 0)
		days, known := c.Count(r.Cell("delivery_days"), 0, model.MaxDeliveryDays, 0)
		out = append(out, model.Supplier{
			Name:         c.Name(r.Cell("supplier")),
			LeastMoney:   c.Sum(r.Cell("least_order")),
			LeastSticks:  sticks,
			Delivery:     c.Sum(r.Cell("delivery")).Amount,
			Address:      table.OneLine(r.Cell("address").Text),
			DeliveryDays: model.OptionalDays{Days: days, Given: known && !r.Cell("delivery_days").Blank()},
			Where:        r.Where(),
		})
	}
	return out
}

// supplierRow gives a supplier as a row of the table.
func supplierRow(s *model.Supplier, f format) []string {
	days := ""
	if s.DeliveryDays.Given {
		days = strconv.Itoa(s.DeliveryDays.Days)
	}
	return []string{s.Name, f.optional(s.LeastMoney), count(s.LeastSticks, 0), f.sum(s.Delivery), days, s.Address}
}
