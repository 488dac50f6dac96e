package folder

import (
	"fmt"

	"longpoint/model"
	"longpoint/model/table"
)

// rackSet has the columns of rack.csv: one row a stick or offcut, or several that are alike, at hand or on the way.
var rackSet = table.Set{Name: "rack", Called: rackHeadings, Columns: []table.Column{
	{Name: "stick", Kind: table.Name, Key: true},           // its own name, once only; blank: F1, F2, … as they are free
	{Name: "profile", Kind: table.Name, Need: table.Each},  // as in profiles.csv
	{Name: "length", Kind: table.Length, Need: table.Each}, // as it lies there
	{Name: "quantity", Kind: table.Count},                  // how many there are, of which only the first has the name; blank: 1
	{Name: "place"},                                        // where on the rack
	{Name: "value", Kind: table.Money},                     // what it is worth; blank: the workshop's rack_share of the price by length
	{Name: "offcut", Words: []string{"yes", "no"}},         // yes or no; blank: no
	{Name: "lot", Kind: table.Name},                        // sticks of one lot match in finish; blank: it matches nothing but itself
	{Name: "damaged", Kind: table.Spans},                   // what no side may cover, from the head on, like 0 to 45; 1200 to 1260
	{Name: "order", Kind: table.Name},                      // what the order is called that it is on the way with; blank: it is here
	{Name: "supplier", Kind: table.Name},                   // of that order
	{Name: "expected", Kind: table.Date},                   // the day on which it should be here; blank: nobody knows
}}

// maxAlike is far more sticks than ever lie in one place.
const maxAlike = 10_000

// rack makes sticks of the rows. Those that have no name get one: that of a stick of now which had none either and is alike, or else a free one.
func rack(t *table.Table, now []model.Stick, c *table.Converter) []model.Stick {
	var out []model.Stick
	orders := map[string]model.Stick{} // by name, the first stick of each
	for r := range t.Rows() {
		way := coming(r, c)
		if first, known := orders[way.Order]; known && first.Coming != way {
			c.Problems.Add(r.Cell("order").Where, fmt.Sprintf("order %s has another supplier or day in line %d", way.Order, first.Where.Line), "give an order one supplier and one day, or call one of the two otherwise")
		} else if !known && way.Order != "" {
			orders[way.Order] = model.Stick{Coming: way, Where: r.Where()}
		}
		s := model.Stick{
			ID:      table.OneLine(r.Cell("stick").Text),
			Profile: c.Name(r.Cell("profile")),
			Length:  c.Size(r.Cell("length")),
			Place:   r.Cell("place").Text,
			Value:   c.Sum(r.Cell("value")),
			Offcut:  c.YesNo(r.Cell("offcut")),
			Lot:     table.OneLine(r.Cell("lot").Text),
			Damage:  c.Spans(r.Cell("damaged")),
			Coming:  way,
			Where:   r.Where(),
		}
		if s.ID != "" {
			c.Name(r.Cell("stick")) // which says what is wrong with it
		}
		n, _ := c.Count(r.Cell("quantity"), 0, maxAlike, 1)
		for range n {
			s.Unnamed = s.ID == ""
			out = append(out, s)
			s.ID = ""
		}
	}
	nameSticks(out, now)
	return out
}

// nameSticks names the sticks that have no name.
func nameSticks(all, now []model.Stick) {
	type alike struct {
		profile, lot string
		length       model.Length
		offcut       bool
		coming       model.Coming
	}
	likeness := func(s *model.Stick) alike { return alike{s.Profile, s.Lot, s.Length, s.Offcut, s.Coming} }
	taken := map[string]bool{}
	for _, s := range all {
		taken[s.ID] = true
	}
	there := map[alike][]string{}
	for i := range now {
		if s := &now[i]; !taken[s.ID] && model.IsFoundName(s.ID) {
			there[likeness(s)] = append(there[likeness(s)], s.ID)
		}
	}
	for i := range now {
		taken[now[i].ID] = true
	}
	next := 1
	for i := range all {
		s := &all[i]
		if s.ID != "" {
			continue
		}
		if names := there[likeness(s)]; len(names) > 0 {
			s.ID, s.Unnamed = names[0], false
			there[likeness(s)] = names[1:]
			continue
		}
		for s.ID = model.FoundName(next); taken[s.ID]; s.ID = model.FoundName(next) {
			next++
		}
		taken[s.ID] = true
	}
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
	return []string{s.ID, s.Profile, f.length(s.Length), "", s.Place, f.optional(s.Value), offcut, s.Lot, f.spans(s.Damage),
		s.Coming.Order, s.Coming.Supplier, s.Coming.Expected.String()}
}
