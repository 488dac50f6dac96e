package folder

import (
	"longpoint/model"
	"longpoint/model/stock"
	"slices"
	"strconv"
)

// eventColumns are the columns of a table of what became of a plan: one row a side, a stick's sides, or a stick.
var eventColumns = []column{
	{"profile", true}, // as in the plan
	{"stick", true},   // as in the plan: its name on the rack, or new 1, new 2 …
	{"side", false},   // its number on the stick as in the plan, or all; blank where it is about the stick
	{"became", true},  // of a side: done, short or torn; of a stick: shorter, flawed or missing
	{"length", false}, // of a stick that is shorter: what it measured before the first cut
	{"from", false},   // of a flaw: where it begins, from the stick's head before the first cut
	{"to", false},     // where it ends
	{"note", false},   // for people
}

// allSides is written in the column side for all sides of a stick.
const allSides = "all"

// ReadEvents reads a table of what became of a plan's sticks and sides. Bare lengths are in the workshop's unit. The error is a
// model.Errors of kind BadInput with everything that is wrong in the table; whether it fits the plan, stock.Midway says.
func ReadEvents(file string, w *model.Workshop) ([]stock.Event, error) {
	var p problems
	text, bad := readText(file)
	if bad != nil {
		return nil, model.Errors{bad}
	}
	t, _ := parseTable(file, text, eventColumns, &p)
	c := &converter{unit: w.Unit, currency: w.Currency, problems: &p}
	var out []stock.Event
	for _, rec := range t.records {
		out = append(out, event(row{t, rec}, c))
	}
	if !p.none() {
		return nil, p.sorted([]string{file})
	}
	return out, nil
}

// event makes one event of its row.
func event(r row, c *converter) stock.Event {
	words := []stock.Became{stock.Done, stock.Short, stock.Torn, stock.Shorter, stock.Flawed, stock.Missing}
	names := make([]string, len(words))
	for i, w := range words {
		names[i] = string(w)
	}
	e := stock.Event{Profile: c.name(r.cell("profile")), Stick: c.name(r.cell("stick")), Where: r.where()}
	if cell := r.cell("became"); c.given(cell) {
		e.Became = choice(c, cell, names, words)
	}
	needed := []string{}
	switch {
	case e.Became == "": // reported
		return e
	case e.Became.OfSide():
		e.Side = side(r.cell("side"), c)
		needed = append(needed, "side")
	case e.Became == stock.Shorter:
		e.Length = c.size(r.cell("length"))
		needed = append(needed, "length")
	case e.Became == stock.Flawed:
		e.Flaw = model.Span{From: c.amount(r.cell("from")), To: c.size(r.cell("to"))}
		needed = append(needed, "from", "to")
	}
	for _, name := range []string{"side", "length", "from", "to"} {
		if cell := r.cell(name); !cell.blank() && !slices.Contains(needed, name) {
			c.problems.add(cell.where, "this is not said of what is "+string(e.Became), "leave it blank, or see that the right word stands in became")
		}
	}
	return e
}

// side gives a side's number, 0 for all.
func side(v value, c *converter) int {
	if !c.given(v) || foldName(v.text) == allSides {
		return 0
	}
	n, err := strconv.Atoi(plainNumber(v.text))
	if err != nil || n < 1 {
		c.problems.add(v.where, show(v.text)+" is not the number of a side", "give its number on the stick, as the plan has it, or write all")
	}
	return n
}
