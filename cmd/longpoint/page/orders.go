package page

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
)

var orderRoutes = []route{
	{method: "GET", path: "/orders", do: (*call).ordersPage, shop: true},
	{method: "POST", path: "/orders/place", do: (*call).placeOrders},
	{method: "POST", path: "/orders/add", do: (*call).addToOrder, shop: true},
	{method: "GET", path: "/orders/{order}", do: (*call).orderPage, shop: true},
	{method: "POST", path: "/orders/{order}/send", do: (*call).sendOrder},
	{method: "POST", path: "/orders/{order}/cancel", do: (*call).cancelOrder},
	{method: "POST", path: "/orders/{order}/change", do: (*call).changeOrder, shop: true},
	{method: "POST", path: "/orders/{order}/receive", do: (*call).receiveOrder, shop: true},
}

func orderPath(id int64) string { return fmt.Sprintf("/orders/%d", id) }

// ordersPage lists the orders: those that are open, those to come and, where it is asked for, all others.
func (c *call) ordersPage() error {
	all := c.query("all") != ""
	orders, err := c.s.Book.Purchases(c.ctx, !all)
	if err != nil {
		return err
	}
	short, err := c.s.Book.ShortOrders(c.ctx)
	if err != nil {
		return err
	}
	waits, err := round.Waits(c.ctx, c.s.Book, 0)
	if err != nil {
		return err
	}
	none, err := c.noJob(orders...)
	if err != nil {
		return err
	}
	return c.show("orders", "Orders", map[string]any{"NoJob": none, "Late": plan.LateJobs(plan.AlreadyOrdered(waits), c.dates), "Orders": orders, "Short": c.lacks(short), "All": all, "Suppliers": suppliersOf(c.workshop), "Profiles": profileNames(c.workshop)})
}

func profileNames(w *model.Workshop) (names []string) {
	for _, p := range w.Profiles {
		names = append(names, p.Name)
	}
	return names
}

// noJob says, by the order's number, what of each order is for no job.
func (c *call) noJob(orders ...book.Purchase) (map[int64]string, error) {
	lines, err := c.s.Book.PlannedLines(c.ctx, orders)
	said := map[int64]string{}
	for id, of := range lines {
		said[id] = text.ForNoJob(of, c.currency)
	}
	return said, err
}

// lacks says what open orders lack of what their suppliers ask.
func (c *call) lacks(short []book.ShortOrder) (lines []string) {
	for _, o := range short {
		lines = append(lines, text.Lacks(o, c.currency)...)
	}
	return lines
}

// placeOrders puts the buy list of a plan into orders.
func (c *call) placeOrders() error {
	of, err := c.count("plan", 0)
	if err != nil {
		return err
	}
	orders, fresh, err := c.s.Book.PlaceOrders(c.ctx, int64(of), false, c.by)
	switch {
	case err == nil && len(orders) == 0:
		return c.done(nil, "/orders", "Ordered: nothing, for the plan buys nothing.")
	case err == nil && !fresh:
		return c.done(nil, "/orders", "This list has been ordered already.")
	}
	return c.done(err, "/orders", "The list is in the orders. Nothing is sent yet.")
}

// addToOrder puts sticks into the open order from a supplier.
func (c *call) addToOrder() error {
	length, err := c.length("length")
	if err != nil {
		return err
	}
	sticks, err := c.count("sticks", 1)
	if err != nil {
		return err
	}
	cost, err := c.optionalMoney("cost")
	if err != nil {
		return err
	}
	_, err = c.s.Book.Do(c.ctx, c.by, book.AddToOrder(c.form("supplier"), c.form("profile"), length, sticks, cost))
	return c.done(err, "/orders", "It is in the open order.")
}

// orderPage shows one order, with what can be done with it.
func (c *call) orderPage() error {
	o, err := c.s.Book.Purchase(c.ctx, c.id)
	if err != nil {
		return err
	}
	toCome := 0
	for _, l := range o.Lines {
		toCome += max(l.ToCome(), 0)
	}
	waits, err := round.Waits(c.ctx, c.s.Book, 0)
	if err != nil {
		return err
	}
	waits = slices.DeleteFunc(waits, func(w plan.Waiting) bool { return w.Order != fmt.Sprint(o.ID) })
	none, err := c.noJob(o)
	if err != nil {
		return err
	}
	return c.show("order", fmt.Sprintf("Order %d, %s", o.ID, o.Supplier), map[string]any{"NoJob": none[o.ID], "O": o, "ToCome": toCome, "Waits": waits, "Late": plan.LateJobs(waits, c.dates), "Profiles": profileNames(c.workshop)})
}

// sendOrder says that an order has gone to its supplier, and when it should be here.
func (c *call) sendOrder() error {
	changes := []book.Change{book.SendOrders(c.id)}
	if c.form("expected") != "" {
		on, err := model.ParseDate(c.form("expected"))
		if err != nil {
			return err
		}
		changes = append(changes, book.ExpectOrders(on, c.id))
	}
	_, err := c.s.Book.Do(c.ctx, c.by, changes...)
	return c.done(err, orderPath(c.id), "Written down: order %d has gone to its supplier.", c.id)
}

// cancelOrder says that nothing more of an order will come.
func (c *call) cancelOrder() error {
	_, err := c.s.Book.Do(c.ctx, c.by, book.CancelOrder(c.id))
	return c.done(err, orderPath(c.id), "Written down: nothing more of order %d will come.", c.id)
}

// changeOrder changes a line of an open order.
func (c *call) changeOrder() error {
	line, err := c.count("line", 0)
	if err != nil {
		return err
	}
	sticks, err := c.count("sticks", 0)
	if err != nil {
		return err
	}
	length, err := c.optionalLength("length")
	if err != nil {
		return err
	}
	cost, err := c.optionalMoney("cost")
	if err != nil {
		return err
	}
	_, err = c.s.Book.Do(c.ctx, c.by, book.ChangeOrder(c.id, line, sticks, length, cost))
	return c.done(err, orderPath(c.id), "Line %d is changed.", line)
}

// receiveOrder puts what has come of an order on the rack: all of it as ordered, or what is said of one line.
func (c *call) receiveOrder() (err error) {
	r := book.Receipt{Place: c.form("place"), Lot: c.form("lot"), Complete: c.form("complete") != "", More: c.form("more") != "", Again: c.form("again") != ""}
	if c.form("line") != "" {
		if r.Arrivals, err = c.arrivals(); err != nil {
			return err
		}
		if r.Paid, err = c.optionalMoney("paid"); err != nil {
			return err
		}
	}
	names, err := c.s.Book.Receive(c.ctx, c.id, r, c.by)
	if err == nil && len(names) == 0 {
		return c.done(nil, orderPath(c.id), "Nothing went on the rack. The same received twice on a day counts once: tick that it has come once more.")
	}
	said := "On the rack: " + text.JoinAnd(names) + ". Write the names on the sticks."
	if err == nil {
		mixed, err := c.s.Book.MixedLots(c.ctx)
		if err != nil {
			return err
		}
		for _, mind := range round.Mixed(mixed) {
			said += " Mind: " + mind + "."
		}
	}
	return c.done(err, orderPath(c.id), "%s", said)
}

// arrivals reads what has come of a line: how many sticks, or the length of each.
func (c *call) arrivals() (all []book.Arrival, err error) {
	line, err := c.count("line", 0)
	if err != nil {
		return nil, err
	}
	a := book.Arrival{Line: line}
	if typed := c.form("damage"); typed != "" {
		if a.Damage, err = model.ParseSpans(typed, c.unit); err != nil {
			return nil, err
		}
	}
	lengths := parted(c.form("lengths"))
	if a.Sticks, err = c.count("sticks", len(lengths)); err != nil {
		return nil, err
	}
	if len(lengths) > 1 && a.Sticks != len(lengths) {
		return nil, usage(fmt.Sprintf("there are to be %d sticks, and %d lengths", a.Sticks, len(lengths)), "give one length for each stick, or one for all")
	}
	if len(lengths) == 0 {
		return []book.Arrival{a}, nil
	}
	for _, typed := range lengths {
		one := a
		if len(lengths) > 1 {
			one.Sticks = 1
		}
		if one.Length, err = model.ParseLength(typed, c.unit); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

// parted takes a list apart: a line or a semicolon parts its entries.
func parted(list string) (all []string) {
	for _, one := range strings.FieldsFunc(list, func(r rune) bool { return r == '\n' || r == ';' }) {
		if one = strings.TrimSpace(one); one != "" {
			all = append(all, one)
		}
	}
	return all
}

// length reads a length that must be there.
func (c *call) length(field string) (model.Length, error) {
	if c.form(field) == "" {
		return 0, usage("the "+field+" is missing", "write it like 419, 41.9 cm or 16 1/2\"")
	}
	return model.ParseLength(c.form(field), c.unit)
}

// optionalLength reads a length that may be left blank.
func (c *call) optionalLength(field string) (model.Length, error) {
	if c.form(field) == "" {
		return 0, nil
	}
	return c.length(field)
}

// optionalMoney reads an amount that may be left blank.
func (c *call) optionalMoney(field string) (m model.OptionalMoney, err error) {
	if c.form(field) == "" {
		return m, nil
	}
	m.Given = true
	m.Amount, err = model.ParseMoney(c.form(field), c.currency)
	return m, err
}
