package book

import (
	"context"
	"database/sql"
	"fmt"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Purchase is an order from a supplier.
type Purchase struct {
	ID       int64  `json:"purchase"`
	Supplier string `json:"supplier"`
	Plan     int64  `json:"plan,omitempty"`
	Placed   string `json:"placed"`             // the day on which it was sent, or begun where it is open
	Open     bool   `json:"open,omitempty"`     // it is not sent yet, and can be changed
	Expected string `json:"expected,omitempty"` // the day that was said; empty: none was
	// ShouldCome is that day, or so many days after it was sent as the supplier takes; empty: nobody knows.
	ShouldCome string         `json:"should_come,omitempty"`
	Delivery   model.Money    `json:"delivery"` // charged for it
	State      string         `json:"state"`
	Lines      []PurchaseLine `json:"lines"`
	Called     string         `json:"called,omitempty"` // in the tables that it came in with
}

// PurchaseLine is one line of an order: sticks of one profile and length.
type PurchaseLine struct {
	Number  int          `json:"line"`
	Plan    int64        `json:"plan,omitempty"` // that it is for
	Profile string       `json:"profile"`
	Length  model.Length `json:"length_nm"`
	Sticks  int          `json:"sticks"`
	Cost    model.Money  `json:"cost"`            // of all of them
	Arrived int          `json:"arrived"`         // sticks, those that came on top included
	Gone    int          `json:"gone,omitempty"`  // sticks that will not come
	Extra   int          `json:"extra,omitempty"` // sticks that came on top of those ordered
	names   string       // of its sticks, one a line, where they are not called by the order's number
	lot     sql.NullString
}

// ToCome is how many sticks are still to come.
func (l PurchaseLine) ToCome() int { return l.Sticks - l.Gone - l.came() }

// before is how many sticks the lines before one order.
func (p Purchase) before(number int) (sticks int) {
	for _, l := range p.Lines {
		if l.Number < number {
			sticks += l.Sticks
		}
	}
	return sticks
}

// stickName is what the stick of a line is called that comes after so many others of it: the sticks of the first line have the first
// numbers, and so on, in whatever order the lines arrive.
func (p Purchase) stickName(l PurchaseLine, after int) string {
	if names := strings.Split(l.names, "\n"); l.names != "" && after < len(names) {
		return names[after]
	}
	return stickName(p.ID, p.before(l.Number)+after+1)
}

// lotOf names the lot of the sticks of a line where the supplier names none: they were bought together.
func (p Purchase) lotOf(l PurchaseLine) string {
	if l.lot.Valid {
		return l.lot.String
	}
	return lotOfLine(p.ID, int64(l.Number))
}

// came is how many of the sticks that were ordered have come.
func (l PurchaseLine) came() int { return l.Arrived - l.Extra }

// The states of an order.
const (
	Placed    = "placed"
	Arrived   = "arrived"
	Cancelled = "cancelled"
)

// PlaceOrders puts the buy list of a plan (0: the last) into orders, one a supplier: into the one that is still open, or a new one. They
// are open then, until they are sent, or sent at once. Where the list has been ordered already, it gives what there is and does nothing.
func (b *Book) PlaceOrders(ctx context.Context, planID int64, sent bool, by By) (orders []Purchase, fresh bool, err error) {
	const ofPlan = `state <> 'cancelled' AND id IN (SELECT purchase FROM purchase_line AS l JOIN purchase AS p ON p.id = l.purchase
		WHERE coalesce(l.plan, p.plan) = ?)`
	step, err := b.write(ctx, "order", by, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		if orders, err = t.purchases(ofPlan, id); err != nil {
			return err
		}
		if len(orders) == 0 {
			if err := t.stillAbout(d, id, func(n News) bool { return n.Buy }); err != nil {
				return err
			}
			if err := t.orderPlan(d, id); err != nil {
				return err
			}
			if orders, err = t.purchases(ofPlan, id); err != nil {
				return err
			}
		}
		for i := range orders {
			if !sent {
				break
			}
			if err := t.send(orders[i]); err != nil {
				return err
			}
			orders[i].Open = false
		}
		return nil
	})
	return orders, step != 0, err
}

// orderPlan puts a plan's buy list into orders.
func (t *transaction) orderPlan(d *plan.Document, id int64) error {
	var suppliers []string
	lines := map[string][]PurchaseLine{}
	for _, l := range d.Buy {
		if lines[l.Supplier] == nil {
			suppliers = append(suppliers, l.Supplier)
		}
		lines[l.Supplier] = append(lines[l.Supplier], PurchaseLine{Plan: id, Profile: l.Profile, Length: l.Length, Sticks: l.Count, Cost: l.Cost})
	}
	for _, s := range suppliers {
		var delivery model.Money
		for _, o := range d.Orders {
			if o.Supplier == s {
				delivery = o.Delivery
			}
		}
		if err := t.addToOrder(s, delivery, lines[s]); err != nil {
			return err
		}
	}
	return nil
}

// addToOrder puts lines into the open order from a supplier, or a new one, with what its delivery costs.
func (t *transaction) addToOrder(supplier string, delivery model.Money, lines []PurchaseLine) error {
	var id int64
	last := 0
	found, err := t.one(`SELECT id, coalesce((SELECT max(number) FROM purchase_line WHERE purchase = p.id), 0)
		FROM purchase AS p WHERE supplier = ? AND state = 'placed' AND open ORDER BY id DESC LIMIT 1`, []any{supplier}, &id, &last)
	if err != nil {
		return err
	}
	if !found {
		if id, err = t.insert("purchase", "supplier", clean(supplier), "plan", orNull(lines[0].Plan, lines[0].Plan != 0), "placed", t.today(),
			"delivery_minor", delivery, "open", 1); err != nil {
			return err
		}
	}
	for n, l := range lines {
		if _, err := t.insert("purchase_line", "purchase", id, "number", last+n+1, "profile", l.Profile, "length_nm", l.Length,
			"sticks", l.Sticks, "cost_minor", l.Cost, "plan", orNull(l.Plan, l.Plan != 0)); err != nil {
			return err
		}
	}
	more := ""
	if found {
		more = "more "
	}
	t.tell("ordered %sfrom %s, order %d: %s", more, supplier, id, t.goods(lines))
	return t.recharge(id)
}

// recharge writes down what the delivery of an open order costs, whose lines have become others: nothing where its supplier delivers so much free.
func (t *transaction) recharge(id int64) error {
	o, err := t.purchase(id)
	if err != nil {
		return err
	}
	w := &model.Workshop{}
	if err := t.readSuppliers(w); err != nil {
		return err
	}
	terms, _ := w.TermsOf(o.Supplier)
	if delivery := terms.DeliveryOf(o.goodsCost()); terms.FreeFrom.Given && delivery != o.Delivery {
		_, err = t.exec("UPDATE purchase SET delivery_minor = ? WHERE id = ?", delivery, id)
	}
	return err
}

// SendOrders writes down that open orders have gone to their suppliers; none named: all of them.
func SendOrders(ids ...int64) Change {
	return Change{"send order", func(t *transaction) error {
		if len(ids) == 0 {
			open, err := t.purchases("state = 'placed' AND open")
			if err != nil {
				return err
			}
			for _, o := range open {
				ids = append(ids, o.ID)
			}
		}
		for _, id := range ids {
			o, err := t.purchase(id)
			if err != nil {
				return err
			}
			if err := t.send(o); err != nil {
				return err
			}
		}
		return nil
	}}
}

// send writes down that an order has gone to its supplier, where it is open.
func (t *transaction) send(o Purchase) error {
	if !o.Open {
		return nil
	}
	t.tell("sent order %d to %s", o.ID, o.Supplier)
	_, err := t.exec("UPDATE purchase SET open = 0, placed = ? WHERE id = ?", t.today(), o.ID)
	return err
}

// AddToOrder puts sticks into the open order from a supplier, or a new one. Without a cost they cost what is on offer today.
func AddToOrder(supplier, profile string, length model.Length, sticks int, cost model.OptionalMoney) Change {
	return Change{"change order", func(t *transaction) error {
		l := PurchaseLine{Profile: profile, Length: length, Sticks: sticks}
		var err error
		if l.Cost, err = t.priced(supplier, l, cost); err != nil {
			return err
		}
		w, err := t.workshop()
		if err != nil {
			return err
		}
		terms, _ := w.TermsOf(supplier)
		return t.addToOrder(supplier, terms.DeliveryOf(l.Cost), []PurchaseLine{l})
	}}
}

// ChangeOrder makes a line of an open order one of so many sticks; of none at all: it is taken out. A length of 0 is the one it has.
// Without a cost they cost what is on offer today.
func ChangeOrder(purchase int64, number, sticks int, length model.Length, cost model.OptionalMoney) Change {
	return Change{"change order", func(t *transaction) error {
		o, err := t.purchase(purchase)
		if err != nil {
			return err
		}
		line, err := o.line(t.book.path, number)
		switch {
		case err != nil:
			return err
		case o.State != Placed:
			return usageError(t.book.path, fmt.Sprintf("order %d is %s and cannot be changed", purchase, o.State), `order what is missing anew with "longpoint order add"`)
		case !o.Open:
			return usageError(t.book.path, fmt.Sprintf("order %d was sent on %s and cannot be changed any more", purchase, t.day(o.Placed)),
				`call the supplier; then say with "longpoint receive" what came, or with "longpoint order --cancel" that nothing will`)
		}
		was, l := *line, *line
		l.Sticks = sticks
		if length != 0 {
			l.Length = length
		}
		if sticks == 0 {
			return t.dropLine(o, was)
		}
		if l.Cost, err = t.priced(o.Supplier, l, cost); err != nil || l == was {
			return err
		}
		t.tell("order %d, %s: %s instead of %s", purchase, o.Supplier, t.goods([]PurchaseLine{l}), t.goods([]PurchaseLine{was}))
		if _, err = t.exec("UPDATE purchase_line SET sticks = ?, length_nm = ?, cost_minor = ? WHERE purchase = ? AND number = ?",
			l.Sticks, l.Length, l.Cost, purchase, number); err != nil {
			return err
		}
		return t.recharge(purchase)
	}}
}

// dropLine takes a line out of an open order, which is cancelled where nothing is left in it.
func (t *transaction) dropLine(o Purchase, l PurchaseLine) error {
	t.tell("order %d, %s: %s taken out", o.ID, o.Supplier, t.goods([]PurchaseLine{l}))
	if _, err := t.exec("DELETE FROM purchase_line WHERE purchase = ? AND number = ?", o.ID, l.Number); err != nil {
		return err
	}
	if len(o.Lines) > 1 {
		return t.recharge(o.ID)
	}
	_, err := t.exec("UPDATE purchase SET state = ? WHERE id = ?", Cancelled, o.ID)
	return err
}

// priced is what sticks cost: as given, or by the supplier's cheapest offer of them today.
func (t *transaction) priced(supplier string, l PurchaseLine, given model.OptionalMoney) (model.Money, error) {
	if l.Sticks < 1 || l.Length < 1 || l.Length > model.MaxLength {
		return 0, usageError(t.book.path, "an order is of one stick or more, each more than 0 and at most 1 km long", "check the numbers")
	}
	w, err := t.workshop()
	if err != nil {
		return 0, err
	}
	if _, known := w.ProfileByName(l.Profile); !known {
		return 0, noProfile(t.book.path, l.Profile)
	}
	if given.Given {
		return given.Amount, nil
	}
	today, err := model.ParseDate(t.today())
	if err != nil {
		return 0, err
	}
	best := model.OptionalMoney{}
	for _, o := range w.OffersOf(l.Profile, today) {
		if o.Supplier != supplier || o.Length != l.Length || l.Sticks%o.PerBundle() != 0 || l.Sticks/o.PerBundle() < o.LeastBundles() {
			continue
		}
		if cost := o.Price * model.Money(l.Sticks/o.PerBundle()); !best.Given || cost < best.Amount {
			best = model.OptionalMoney{Amount: cost, Given: true}
		}
	}
	if !best.Given {
		return 0, usageError(t.book.path, fmt.Sprintf("%s offers no %d × %s %s today", supplier, l.Sticks, t.in(l.Length), l.Profile), `say what they cost with --cost, or take in the supplier's list with "longpoint prices"`)
	}
	return best.Amount, nil
}

// CancelOrder writes down that nothing more of an order will come: it is cancelled, or has arrived where something of it has. An
// order of which nothing is to come any more stays as it is.
func CancelOrder(purchase int64) Change {
	return Change{"cancel order", func(t *transaction) error {
		o, err := t.purchase(purchase)
		if err != nil || o.State != Placed {
			return err
		}
		if o.Open {
			t.tell("order %d, %s: not sent after all", purchase, o.Supplier)
		} else {
			t.tell("order %d, %s: nothing more will come", purchase, o.Supplier)
		}
		state := Cancelled
		for _, l := range o.Lines {
			if l.Arrived > 0 {
				state = Arrived
			}
			if _, err := t.exec("UPDATE purchase_line SET gone = gone + ? WHERE purchase = ? AND number = ?", max(l.ToCome(), 0), purchase, l.Number); err != nil {
				return err
			}
		}
		_, err = t.exec("UPDATE purchase SET state = ? WHERE id = ?", state, purchase)
		return err
	}}
}

// Purchase gives an order.
func (b *Book) Purchase(ctx context.Context, id int64) (Purchase, error) {
	return look(ctx, b, func(t *transaction) (Purchase, error) { return t.purchase(id) })
}

// purchase gives an order.
func (t *transaction) purchase(id int64) (o Purchase, err error) {
	found, err := t.purchases("id = ?", id)
	if err == nil && len(found) == 0 {
		err = usageError(t.book.path, fmt.Sprintf("there is no order %d in the book", id), `see "longpoint order --list" for those that are to come`)
	}
	if err != nil {
		return o, err
	}
	return found[0], nil
}

// goods gives what lines of an order come to: "3 × 3000 mm oak-40 for 63.00 EUR".
func (t *transaction) goods(lines []PurchaseLine) string {
	var text []string
	for _, l := range lines {
		text = append(text, fmt.Sprintf("%d × %s %s for %s", l.Sticks, t.near(l.Length), l.Profile, t.money(l.Cost)))
	}
	return listed(text)
}

// Purchases gives the orders, or only those that have not arrived.
func (b *Book) Purchases(ctx context.Context, onlyPlaced bool) ([]Purchase, error) {
	return look(ctx, b, func(t *transaction) ([]Purchase, error) {
		if onlyPlaced {
			return t.purchases("state = ?", Placed)
		}
		return t.purchases("TRUE")
	})
}

// purchases gives the orders that a condition takes, with their lines.
func (t *transaction) purchases(where string, args ...any) (all []Purchase, err error) {
	err = t.each(`SELECT id, supplier, coalesce(plan, 0), placed, open, expected, coalesce(nullif(expected, ''), (SELECT date(placed, '+' || delivery_days || ' days')
		FROM supplier WHERE name = purchase.supplier), ''), delivery_minor, state, called FROM purchase WHERE `+where+" ORDER BY id", args, func(scan func(...any) error) error {
		var p Purchase
		defer func() { all = append(all, p) }()
		return scan(&p.ID, &p.Supplier, &p.Plan, &p.Placed, &p.Open, &p.Expected, &p.ShouldCome, &p.Delivery, &p.State, &p.Called)
	})
	if err != nil {
		return nil, err
	}
	for i := range all {
		p := &all[i]
		if err := t.each(`SELECT l.number, coalesce(l.plan, ?2, 0), l.profile, l.length_nm, l.sticks, l.cost_minor, l.gone, l.extra, l.names, l.lot,
				(SELECT count(*) FROM delivery AS d JOIN stick AS s ON s.delivery = d.id WHERE d.purchase = l.purchase AND s.line = l.number)
			FROM purchase_line AS l WHERE purchase = ?1 ORDER BY number`, []any{p.ID, p.Plan}, func(scan func(...any) error) error {
			var l PurchaseLine
			defer func() { p.Lines = append(p.Lines, l) }()
			return scan(&l.Number, &l.Plan, &l.Profile, &l.Length, &l.Sticks, &l.Cost, &l.Gone, &l.Extra, &l.names, &l.lot, &l.Arrived)
		}); err != nil {
			return nil, err
		}
	}
	return all, nil
}
