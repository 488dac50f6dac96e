package folder

import (
	"longpoint/model"
	"longpoint/model/table"
)

// rackSet has the columns of rack.csv: one row a stick or offcut at hand.
var rackSet = table.Set{Name: "rack", Columns: []table.Column{
	{Name: "stick", Kind: table.Name, Need: table.Each, Key: true}, // its own name, once only
	{Name: "profile", Kind: table.Name, Need: table.Each},          // as in profiles.csv
	{Name: "length", Kind: table.Length, Need: table.Each},         // as it lies there
	{Name: "place"},                      // where on the rack
	{Name: "value", Kind: table.Money},   // what it is worth; blank: the workshop's rack_share of the price by length
	{Name: "offcut"},                     // yes or no; blank: no
	{Name: "lot", Kind: table.Name},      // sticks of one lot match in finish; blank: it matches nothing but itself
	{Name: "damaged", Kind: table.Spans}, // what no side may cover, from the head on, like 0 to 45; 1200 to 1260
}}

// rack makes sticks of the rows.
func rack(t *table.Table, c *table.Converter) []model.Stick {
	var out []model.Stick
	for r := range t.Rows() {
		out = append(out, model.Stick{
			ID:      c.Name(r.Cell("stick")),
			Profile: c.Name(r.Cell("profile")),
			Length:  c.Size(r.Cell("length")),
			Place:   r.Cell("place").Text,
			Value:   c.Sum(r.Cell("value")),
			Offcut:  table.Choice(c, r.Cell("offcut"), []string{"yes", "no"}, []bool{true, false}),
			Lot:     table.OneLine(r.Cell("lot").Text),
			Damage:  c.Spans(r.Cell("damaged")),
			Where:   r.Where(),
		})
	}
	return out
}

// stickRow gives a stick as a row of the table.
func stickRow(s *model.Stick, f format) []string {
	offcut := ""
	if s.Offcut {
		offcut = "yes"
	}
	return []string{s.ID, s.Profile, f.length(s.Length), s.Place, f.optional(s.Value), offcut, s.Lot, f.spans(s.Damage)}
}
