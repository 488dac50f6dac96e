package folder

import (
	"strconv"

	"longpoint/model"
	"longpoint/model/table"
)

// supplierSet has the columns of suppliers.csv: one row a supplier with terms or an address of its own. The file need not be
// there.
var supplierSet = table.Set{Name: "suppliers", Called: supplierHeadings, Columns: []table.Column{
	{Name: "supplier", Kind: table.Name, Need: table.Each, Key: true, About: "as in `offers.csv`"},
	{Name: "least_order", Kind: table.Money, About: "an order must come to at least this, without delivery"},
	{Name: "least_sticks", Kind: table.Count, About: "an order must have at least so many sticks"},
	{Name: "delivery", Kind: table.Money, About: "charged once an order"},
	{Name: "free_from", Kind: table.Money, About: "an order that comes to at least this, without delivery, is delivered free; blank: none is"},
	{Name: "delivery_days", Kind: table.Count, About: "how many days after an order it is expected"},
	{Name: "address", About: "printed on orders; ` / ` parts its lines"},
}}

// suppliers makes suppliers of the rows.
func suppliers(t *table.Table, c *table.Converter) []model.Supplier {
	var out []model.Supplier
	for r := range t.Rows() {
		out = append(out, supplierOf(r.Cell, r.Where(), c))
	}
	return out
}

// supplierOf makes a supplier of the cells of a row.
func supplierOf(cell func(column string) table.Value, where model.Place, c *table.Converter) model.Supplier {
	sticks, _ := c.Count(cell("least_sticks"), 0, model.MaxFrom, 0)
	days, known := c.Count(cell("delivery_days"), 0, model.MaxDeliveryDays, 0)
	return model.Supplier{
		Name:         c.Name(cell("supplier")),
		LeastMoney:   c.Sum(cell("least_order")),
		LeastSticks:  sticks,
		Delivery:     c.Sum(cell("delivery")).Amount,
		FreeFrom:     c.Sum(cell("free_from")),
		Address:      table.OneLine(cell("address").Text),
		DeliveryDays: model.OptionalDays{Days: days, Given: known && !cell("delivery_days").Blank()},
		Where:        where,
	}
}

// supplierRow gives a supplier as a row of the table.
func supplierRow(s *model.Supplier, f format) []string {
	days := ""
	if s.DeliveryDays.Given {
		days = strconv.Itoa(s.DeliveryDays.Days)
	}
	return []string{s.Name, f.optional(s.LeastMoney), count(s.LeastSticks, 0), f.sum(s.Delivery), f.optional(s.FreeFrom), days, s.Address}
}
