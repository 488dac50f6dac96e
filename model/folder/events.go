package folder

import (
	"slices"
	"strconv"

	"longpoint/model"
	"longpoint/model/stock"
	"longpoint/model/table"
)

// eventSet has the columns of a table of what became of a plan: one row a side, a stick's sides, or a stick.
var eventSet = table.Set{Name: "after", Fixed: true, Columns: []table.Column{
	{Name: "profile", Kind: table.Name, Need: table.Each}, // as in the plan
	{Name: "stick", Kind: table.Name, Need: table.Each},   // as in the plan: its name on the rack, or new 1, new 2 …
	{Name: "side", Kind: table.Text},                      // its number on the stick as in the plan, or all; blank where it is about the stick
	{Name: "became", Need: table.Each},                    // of a side: done, short or torn; of a stick: shorter, flawed or missing
	{Name: "length", Kind: table.Length},                  // of a stick that is shorter: what it measured before the first cut
	{Name: "from", Kind: table.Length},                    // of a flaw: where it begins, from the stick's head before the first cut
	{Name: "to", Kind: table.Length},                      // where it ends
	{Name: "note"},                                        // for people
}}

// allSides is written in the column side for all sides of a stick.
const allSides = "all"

// ReadEvents reads a table of what became of a plan's sticks and sides. Bare lengths are in the workshop's unit. The error is a
// model.Errors of kind BadInput with everything that is wrong in the table; whether it fits the plan, stock.Midway says.
func ReadEvents(file string, w *model.Workshop) ([]stock.Event, error) {
	var out []stock.Event
	err := readAlone(file, eventSet, w, func(t *table.Table, c *table.Converter) {
		for r := range t.Rows() {
			out = append(out, event(r, c))
		}
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// event makes one event of its row.
func event(r table.Row, c *table.Converter) stock.Event {
	words := []stock.Became{stock.Done, stock.Short, stock.Torn, stock.Shorter, stock.Flawed, stock.Missing}
	names := make([]string, len(words))
	for i, w := range words {
		names[i] = string(w)
	}
	e := stock.Event{Profile: c.Name(r.Cell("profile")), Stick: c.Name(r.Cell("stick")), Where: r.Where()}
	if cell := r.Cell("became"); c.Given(cell) {
		e.Became = table.Choice(c, cell, names, words)
	}
	needed := []string{}
	switch {
	case e.Became == "": // reported
		return e
	case e.Became.OfSide():
		e.Side = side(r.Cell("side"), c)
		needed = append(needed, "side")
	case e.Became == stock.Shorter:
		e.Length = c.Size(r.Cell("length"))
		needed = append(needed, "length")
	case e.Became == stock.Flawed:
		e.Flaw = model.Span{From: c.Amount(r.Cell("from")), To: c.Size(r.Cell("to"))}
		needed = append(needed, "from", "to")
	}
	for _, name := range []string{"side", "length", "from", "to"} {
		if cell := r.Cell(name); !cell.Blank() && !slices.Contains(needed, name) {
			c.Problems.Add(cell.Where, "this is not said of what is "+string(e.Became), "leave it blank, or see that the right word stands in became")
		}
	}
	return e
}

// side gives a side's number, 0 for all.
func side(v table.Value, c *table.Converter) int {
	if !c.Given(v) || model.FoldName(v.Text) == allSides {
		return 0
	}
	n, err := strconv.Atoi(v.Text)
	if err != nil || n < 1 {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is not the number of a side", "give its number on the stick, as the plan has it, or write all")
	}
	return n
}
