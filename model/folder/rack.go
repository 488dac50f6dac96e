package folder

import "longpoint/model"

// rackColumns are the columns of rack.csv: one row a stick or offcut at hand.
var rackColumns = []column{
	{"stick", true},    // its own name, once only
	{"profile", true},  // as in profiles.csv
	{"length", true},   // as it lies there
	{"place", false},   // where on the rack
	{"value", false},   // what it is worth; blank: the workshop's rack_share of the price by length
	{"offcut", false},  // yes or no; blank: no
	{"lot", false},     // sticks of one lot match in finish; blank: it matches nothing but itself
	{"damaged", false}, // what no side may cover, from the head on, like 0 to 45; 1200 to 1260
}

// rack makes sticks of the rows.
func rack(t table, c *converter) []model.Stick {
	var out []model.Stick
	for _, rec := range t.records {
		r := row{t, rec}
		out = append(out, model.Stick{
			ID:      c.name(r.cell("stick")),
			Profile: c.name(r.cell("profile")),
			Length:  c.size(r.cell("length")),
			Place:   r.cell("place").text,
			Value:   c.worth(r.cell("value")),
			Offcut:  choice(c, r.cell("offcut"), []string{"yes", "no"}, []bool{true, false}),
			Lot:     oneLine(r.cell("lot").text),
			Damage:  c.spans(r.cell("damaged")),
			Where:   r.where(),
		})
	}
	return out
}
