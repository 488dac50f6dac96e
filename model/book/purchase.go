package book

import (
	"context"
	"fmt"
	"math/bits"

	"longpoint/model"
)

// Purchase is an order from a supplier.
type Purchase struct {
	ID       int64          `json:"purchase"`
	Supplier string         `json:"supplier"`
	Plan     int64          `json:"plan,omitempty"`
	Placed   string         `json:"placed"`
	State    string         `json:"state"`
	Lines    []PurchaseLine `json:"lines"`
}

// PurchaseLine is one line of an order: sticks of one profile and length.
type PurchaseLine struct {
	Number  int          `json:"line"`
	Profile string       `json:"profile"`
	Length  model.Length `json:"length_nm"`
	Sticks  int          `json:"sticks"`
	Cost    model.Money  `json:"cost"`    // of all of them
	Arrived int          `json:"arrived"` // sticks
}

// The states of an order.
const (
	Placed    = "placed"
	Arrived   = "arrived"
	Cancelled = "cancelled"
)

// PlaceOrders writes down that the buy list of a plan (0: the last) has been ordered: one purchase a supplier. Where that has
// been written down already, it gives what there is and does nothing.
func (b *Book) PlaceOrders(ctx context.Context, planID int64, by By) (orders []Purchase, fresh bool, err error) {
	step, err := b.write(ctx, "order", by, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		if orders, err = t.purchases("plan = ? AND state <> 'cancelled'", id); err != nil || len(orders) > 0 {
			return err
		}
		purchase, line := int64(0), 0
		for i, l := range d.Buy {
			if i == 0 || l.Supplier != d.Buy[i-1].Supplier {
				line = 0
				delivery := model.Money(0)
				for _, o := range d.Orders {
					if o.Supplier == l.Supplier {
						delivery = o.Delivery
					}
				}
				if purchase, err = t.insert("purchase", "supplier", l.Supplier, "plan", id, "placed", t.today(), "delivery_minor", delivery); err != nil {
					return err
				}
			}
			line++
			if _, err := t.insert("purchase_line", "purchase", purchase, "number", line, "profile", l.Profile, "length_nm", l.Length,
				"sticks", l.Count, "cost_minor", l.Cost); err != nil {
				return err
			}
		}
		orders, err = t.purchases("plan = ? AND state <> 'cancelled'", id)
		for _, o := range orders {
			t.tell("ordered from %s, order %d: %s", o.Supplier, o.ID, t.goods(o.Lines))
		}
		return err
	})
	return orders, step != 0, err
}

// CancelOrder writes down that nothing more of an order will come: it is cancelled, or has arrived where something of it has. An
// order of which nothing is to come any more stays as it is, and fresh is false.
func (b *Book) CancelOrder(ctx context.Context, purchase int64, by By) (fresh bool, err error) {
	step, err := b.write(ctx, "cancel order", by, func(t *transaction) error {
		found, err := t.purchases("id = ?", purchase)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return noPurchase(b.path, purchase)
		}
		if found[0].State != Placed {
			return nil
		}
		state := Cancelled
		for _, l := range found[0].Lines {
			if l.Arrived > 0 {
				state = Arrived
			}
		}
		t.tell("order %d, %s: nothing more will come", purchase, found[0].Supplier)
		_, err = t.exec("UPDATE purchase SET state = ? WHERE id = ?", state, purchase)
		return err
	})
	return step != 0, err
}

// goods gives what lines of an order come to: "3 × 3000 mm oak-40 for 63.00 EUR".
func (t *transaction) goods(lines []PurchaseLine) string {
	var text []string
	for _, l := range lines {
		text = append(text, fmt.Sprintf("%d × %s %s for %s", l.Sticks, t.near(l.Length), l.Profile, t.money(l.Cost)))
	}
	return listed(text)
}

func noPurchase(path string, id int64) error {
	return usageError(path, fmt.Sprintf("there is no purchase %d in the book", id), `see "longpoint order --list" for those that are to come`)
}

// Purchases gives the orders, or only those that have not arrived.
func (b *Book) Purchases(ctx context.Context, onlyPlaced bool) (all []Purchase, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if onlyPlaced {
			all, err = t.purchases("state = ?", Placed)
		} else {
			all, err = t.purchases("TRUE")
		}
		return err
	})
	return all, err
}

// purchases gives the orders that a condition takes, with their lines.
func (t *transaction) purchases(where string, args ...any) (all []Purchase, err error) {
	err = t.each("SELECT id, supplier, coalesce(plan, 0), placed, state FROM purchase WHERE "+where+" ORDER BY id", args, func(scan func(...any) error) error {
		var p Purchase
		defer func() { all = append(all, p) }()
		return scan(&p.ID, &p.Supplier, &p.Plan, &p.Placed, &p.State)
	})
	if err != nil {
		return nil, err
	}
	for i := range all {
		p := &all[i]
		if err := t.each(`SELECT l.number, l.profile, l.length_nm, l.sticks, l.cost_minor,
				(SELECT count(*) FROM delivery AS d JOIN stick AS s ON s.delivery = d.id WHERE d.purchase = l.purchase AND s.line = l.number)
			FROM purchase_line AS l WHERE purchase = ? ORDER BY number`, []any{p.ID}, func(scan func(...any) error) error {
			var l PurchaseLine
			defer func() { p.Lines = append(p.Lines, l) }()
			return scan(&l.Number, &l.Profile, &l.Length, &l.Sticks, &l.Cost, &l.Arrived)
		}); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// Arrival is what has arrived of one line of an order.
type Arrival struct {
	Line   int
	Sticks int
	Length model.Length // as measured; 0: as ordered
	Lot    string
	Place  string
	Damage []model.Span
}

// Receipt says how an order is received.
type Receipt struct {
	Arrivals []Arrival // none: all that is still to come, as ordered
	Place    string    // on the rack, where an arrival does not say
	Lot      string    // likewise
	Complete bool      // what has not arrived will not come
}

// Receive puts what has arrived of an order on the rack and gives the names of the sticks: P3-1, P3-2, … of purchase 3. An order that has arrived already
// is left alone, and then there are none.
func (b *Book) Receive(ctx context.Context, purchase int64, r Receipt, by By) (names []string, err error) {
	_, err = b.write(ctx, "receive", by, func(t *transaction) error {
		found, err := t.purchases("id = ?", purchase)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return noPurchase(b.path, purchase)
		}
		p := found[0]
		switch p.State {
		case Arrived:
			return nil
		case Cancelled:
			return usageError(b.path, fmt.Sprintf("purchase %d was cancelled", purchase), "order again")
		}
		arrivals := r.Arrivals
		if len(arrivals) == 0 {
			arrivals = rest(p)
		}
		names, err = t.receive(&p, arrivals, r)
		return err
	})
	return names, err
}

// rest is all that is still to come, as ordered.
func rest(p Purchase) (arrivals []Arrival) {
	for _, l := range p.Lines {
		if l.Sticks > l.Arrived {
			arrivals = append(arrivals, Arrival{Line: l.Number, Sticks: l.Sticks - l.Arrived})
		}
	}
	return arrivals
}

// receive books what has arrived, and the order as arrived where nothing is to come any more.
func (t *transaction) receive(p *Purchase, arrivals []Arrival, r Receipt) (names []string, err error) {
	var delivery int64
	if len(arrivals) > 0 {
		if delivery, err = t.insert("delivery", "purchase", p.ID, "arrived", t.today()); err != nil {
			return nil, err
		}
	}
	number := 0
	for _, l := range p.Lines {
		number += l.Arrived
	}
	var came []string
	for _, a := range arrivals {
		line, err := p.line(t.book.path, a)
		if err != nil {
			return nil, err
		}
		if a.Length == 0 {
			a.Length = line.Length
		}
		if a.Place == "" {
			a.Place = r.Place
		}
		if a.Lot == "" {
			a.Lot = r.Lot
		}
		came = append(came, t.arrived(*line, a))
		for range a.Sticks {
			name := ""
			for taken := true; taken; { // somebody may call a stick so by hand
				number++
				name = fmt.Sprintf("P%d-%d", p.ID, number)
				if taken, err = t.one("SELECT id FROM stick WHERE name = ?", []any{name}, new(int64)); err != nil {
					return nil, err
				}
			}
			cost := share(line.Cost, model.Length(line.Arrived+1), model.Length(line.Sticks)) - share(line.Cost, model.Length(line.Arrived), model.Length(line.Sticks))
			if _, err := t.insert("stick", "name", name, "profile", line.Profile, "origin", "bought", "delivery", delivery, "line", line.Number,
				"supplier", p.Supplier, "lot", clean(a.Lot), "place", clean(a.Place), "length_nm", a.Length, "cost_minor", cost,
				"damage_nm", spansText(a.Damage)); err != nil {
				return nil, err
			}
			line.Arrived++
			names = append(names, name)
		}
	}
	t.tell("received %s from %s, order %d", listed(came), p.Supplier, p.ID)
	if r.Complete || len(rest(*p)) == 0 {
		_, err = t.exec("UPDATE purchase SET state = ? WHERE id = ?", Arrived, p.ID)
	}
	return names, err
}

// arrived says what has come of a line: "3 of 4 × 3000 mm oak-40, 2990 mm long".
func (t *transaction) arrived(l PurchaseLine, a Arrival) string {
	text := fmt.Sprintf("%d × %s %s", a.Sticks, t.near(l.Length), l.Profile)
	if toCome := l.Sticks - l.Arrived; a.Sticks != toCome {
		text = fmt.Sprintf("%d of %d × %s %s", a.Sticks, toCome, t.near(l.Length), l.Profile)
	}
	if a.Length != l.Length {
		text += fmt.Sprintf(", %s long", t.in(a.Length))
	}
	return text
}

// line finds the line that something has arrived of, and says where it cannot be.
func (p *Purchase) line(path string, a Arrival) (*PurchaseLine, error) {
	for i := range p.Lines {
		l := &p.Lines[i]
		switch {
		case l.Number != a.Line:
		case a.Sticks < 1 || a.Sticks > l.Sticks-l.Arrived:
			return nil, usageError(path, fmt.Sprintf("purchase %d, line %d: %d sticks cannot arrive, for %d are still to come", p.ID, l.Number, a.Sticks, l.Sticks-l.Arrived),
				"give the number of sticks that have arrived; more than was ordered goes on the rack by importing the table stick")
		case a.Length < 0 || a.Length > model.MaxLength:
			return nil, usageError(path, "a stick is more than 0 and at most 1 km long", "measure it again")
		case !within(a.Damage, max(a.Length, 0), l.Length):
			return nil, usageError(path, "the damaged parts do not lie apart on the stick", "write where each begins and ends, from the head on")
		default:
			return l, nil
		}
	}
	return nil, usageError(path, fmt.Sprintf("purchase %d has no line %d", p.ID, a.Line), `see "longpoint order"`)
}

// within tells whether damaged parts lie apart and in order on a stick of a length, or of another where that is not given.
func within(damage []model.Span, length, ordered model.Length) bool {
	if length == 0 {
		length = ordered
	}
	at := model.Length(0)
	for _, s := range damage {
		if s.From < at || s.To <= s.From || s.To > length {
			return false
		}
		at = s.To
	}
	return true
}

// share is money × part ÷ all, rounded down; part is at most all. The product is taken in 128 bits.
func share(m model.Money, part, all model.Length) model.Money {
	if all == 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(m), uint64(part))
	q, _ := bits.Div64(high, low, uint64(all))
	return model.Money(q)
}
