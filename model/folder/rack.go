package folder

import (
	"fmt"

	"longpoint/model"
	"longpoint/model/table"
)

// rackSet has the columns of rack.csv: one row a stick or offcut, at hand or on the way.
var rackSet = table.Set{Name: "rack", Columns: []table.Column{
	{Name: "stick", Kind: table.Name, Need: table.Each, Key: true}, // its own name, once only
	{Name: "profile", Kind: table.Name, Need: table.Each},          // as in profiles.csv
	{Name: "length", Kind: table.Length, Need: table.Each},         // as it lies there
	{Name: "place"},                      // where on the rack
	{Name: "value", Kind: table.Money},   // what it is worth; blank: the workshop's rack_share of the price by length
	{Name: "offcut"},                     // yes or no; blank: no
	{Name: "lot", Kind: table.Name},      // sticks of one lot match in finish; blank: it matches nothing but itself
	{Name: "damaged", Kind: table.Spans}, // what no side may cover, from the head on, like 0 to 45; 1200 to 1260
	{Name: "order", Kind: table.Name},    // what the order is called that it is on the way with; blank: it is here
	{Name: "supplier", Kind: table.Name}, // of that order
	{Name: "expected", Kind: table.Date}, // the day on which it should be here; blank: nobody knows
}}

// rack makes sticks of the rows.
func rack(t *table.Table, c *table.Converter) []model.Stick {
	var out []model.Stick
	orders := map[string]model.Stick{} // by name, the first stick of each
	for r := range t.Rows() {
		way := coming(r, c)
		if first, known := orders[way.Order]; known && first.Coming != way {
			c.Problems.Add(r.Cell("order").Where, fmt.Sprintf("order %s has another supplier or day in line %d", way.Order, first.Where.Line), "give an order one supplier and one day, or call one of the two otherwise")
		} else if !known && way.Order != "" {
			orders[way.Order] = model.Stick{Coming: way, Where: r.Where()}
		}
		out = append(out, model.Stick{
			ID:      c.Name(r.Cell("stick")),
			Profile: c.Name(r.Cell("profile")),
			Length:  c.Size(r.Cell("length")),
			Place:   r.Cell("place").Text,
			Value:   c.Sum(r.Cell("value")),
			Offcut:  c.YesNo(r.Cell("offcut")),
			Lot:     table.OneLine(r.Cell("lot").Text),
			Damage:  c.Spans(r.Cell("damaged")),
			Coming:  way,
			Where:   r.Where(),
		})
	}
	return out
}

// coming reads of what order a stick is, if it is on the way, and reports what then nobody can know of it yet.
func coming(r table.Row, c *table.Converter) model.Coming {
	order := table.OneLine(r.Cell("order").Text)
	if order == "" {
		for _, column := range []string{"supplier", "expected"} {
			if cell := r.Cell(column); !cell.Blank() {
				c.Problems.Add(cell.Where, "only a stick that is on the way has this", "give its order too, or leave this blank")
			}
		}
		return model.Coming{}
	}
	for _, column := range []string{"place", "value", "offcut", "damaged"} {
		if cell := r.Cell(column); !cell.Blank() {
			c.Problems.Add(cell.Where, "a stick that is on the way has this not yet", "leave it blank, or leave the order blank if the stick is here")
		}
	}
	return model.Coming{Order: order, Supplier: c.Name(r.Cell("supplier")), Expected: c.Date(r.Cell("expected"))}
}

// stickRow gives a stick as a row of the table.
func stickRow(s *model.Stick, f format) []string {
	offcut := ""
	if s.Offcut {
		offcut = "yes"
	}
	return []string{s.ID, s.Profile, f.length(s.Length), s.Place, f.optional(s.Value), offcut, s.Lot, f.spans(s.Damage),
		s.Coming.Order, s.Coming.Supplier, s.Coming.Expected.String()}
}
