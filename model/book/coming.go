package book

import (
	"context"
	"fmt"
	"slices"

	"longpoint/model"
)

// readComing adds the sticks that are ordered and not here yet: of each order what is to come of its lines, under the names that they will
// have on the rack.
func (t *transaction) readComing(w *model.Workshop) error {
	open, err := t.purchases("state = ?", Placed)
	if err != nil {
		return err
	}
	for _, p := range open {
		expected, err := expectedOf(p, w.Suppliers)
		if err != nil {
			return err
		}
		for _, l := range p.Lines {
			for n := range l.ToCome() {
				w.Rack = append(w.Rack, model.Stick{ID: stickName(p.ID, p.before(l.Number)+l.came()+n+1), Profile: l.Profile, Length: l.Length, Lot: lotOfLine(p.ID, int64(l.Number)),
					Coming: model.Coming{Order: fmt.Sprint(p.ID), Supplier: p.Supplier, Expected: expected},
					Where:  t.where("purchase", p.ID)})
			}
		}
	}
	return nil
}

// expectedOf is the day on which an order should be here: as was said of it, or so many days after it was sent as the supplier takes.
func expectedOf(p Purchase, suppliers []model.Supplier) (model.Date, error) {
	if p.Expected != "" {
		return day(p.Expected)
	}
	n := slices.IndexFunc(suppliers, func(s model.Supplier) bool { return s.Name == p.Supplier })
	if n < 0 || !suppliers[n].DeliveryDays.Given || p.Placed == "" {
		return model.Date{}, nil
	}
	placed, err := day(p.Placed)
	if err != nil {
		return placed, err
	}
	return model.Date{Time: placed.AddDate(0, 0, suppliers[n].DeliveryDays.Days)}, nil
}

// joinOpen takes off what suppliers ask of an order what is in the order that is still open: what a plan buys goes into that one, whose
// delivery is paid anyway.
func (t *transaction) joinOpen(w *model.Workshop) error {
	open, err := t.purchases("state = ? AND open", Placed)
	if err != nil {
		return err
	}
	for _, p := range open {
		n := slices.IndexFunc(w.Suppliers, func(s model.Supplier) bool { return s.Name == p.Supplier })
		if n < 0 {
			continue
		}
		s := &w.Suppliers[n]
		s.Delivery = 0
		for _, l := range p.Lines {
			s.LeastSticks = max(0, s.LeastSticks-l.Sticks)
			s.LeastMoney.Amount = max(0, s.LeastMoney.Amount-l.Cost)
		}
		s.LeastMoney.Given = s.LeastMoney.Amount > 0
	}
	return nil
}

// ShortOrder says what an open order lacks of what its supplier asks.
type ShortOrder struct {
	Order    int64
	Supplier string
	Money    model.Money
	Sticks   int
}

// ShortOrders gives the open orders that do not come to what their suppliers ask.
func (b *Book) ShortOrders(ctx context.Context) (all []ShortOrder, err error) {
	err = b.read(ctx, func(t *transaction) error {
		w := &model.Workshop{}
		if err := t.readSuppliers(w); err != nil {
			return err
		}
		asked := slices.Clone(w.Suppliers)
		if err := t.joinOpen(w); err != nil {
			return err
		}
		open, err := t.purchases("state = ? AND open", Placed)
		if err != nil {
			return err
		}
		for _, p := range open {
			n := slices.IndexFunc(asked, func(s model.Supplier) bool { return s.Name == p.Supplier })
			if n < 0 {
				continue
			}
			if short := (ShortOrder{p.ID, p.Supplier, w.Suppliers[n].LeastAmount(), w.Suppliers[n].LeastSticks}); short.Money > 0 || short.Sticks > 0 {
				all = append(all, short)
			}
		}
		return nil
	})
	return all, err
}

// ExpectOrders writes down the day on which orders should be here; none named: all that are to come.
func ExpectOrders(on model.Date, ids ...int64) Change {
	return Change{"expect order", func(t *transaction) error {
		coming, err := t.purchases("state = ?", Placed)
		if err != nil {
			return err
		}
		for _, o := range coming {
			if len(ids) > 0 && !slices.Contains(ids, o.ID) || o.Expected == on.String() {
				continue
			}
			t.tell("order %d from %s is expected on %s", o.ID, o.Supplier, on)
			if _, err := t.exec("UPDATE purchase SET expected = ? WHERE id = ?", on.String(), o.ID); err != nil {
				return err
			}
		}
		return nil
	}}
}

// stickName is what a stick of an order is called on the rack: the sticks of the first line have the first numbers, and so on, in whatever
// order the lines arrive.
func stickName(purchase int64, number int) string { return fmt.Sprintf("P%d-%d", purchase, number) }

// lotOfLine names the lot of sticks that come with one line of an order, where the supplier names none: they were bought together.
func lotOfLine(purchase, line int64) string {
	return fmt.Sprintf("order %d, line %d", purchase, line)
}

// fillComing writes the sticks of a workshop that are on the way as orders: one an order and supplier, with a line for each profile and
// length. They are taken to cost what planning reckons they are worth.
func (t *transaction) fillComing(w *model.Workshop) error {
	type lineOf struct {
		model.Coming
		profile string
		length  model.Length
	}
	purchases, lines := map[model.Coming]int64{}, map[lineOf]int64{}
	numbers := map[int64]int{} // lines of each purchase
	for _, s := range w.Rack {
		if !s.OnTheWay() {
			continue
		}
		purchase, ok := purchases[s.Coming]
		if !ok {
			var err error
			if purchase, err = t.insert("purchase", "supplier", clean(s.Coming.Supplier), "placed", t.today(), "expected", s.Coming.Expected.String()); err != nil {
				return err
			}
			purchases[s.Coming] = purchase
		}
		at := lineOf{s.Coming, s.Profile, s.Length}
		if id, ok := lines[at]; ok {
			if _, err := t.exec("UPDATE purchase_line SET sticks = sticks + 1, cost_minor = cost_minor + ? WHERE id = ?", w.StickValue(s), id); err != nil {
				return err
			}
			continue
		}
		numbers[purchase]++
		id, err := t.insert("purchase_line", "purchase", purchase, "number", numbers[purchase], "profile", s.Profile, "length_nm", s.Length,
			"sticks", 1, "cost_minor", w.StickValue(s))
		if err != nil {
			return err
		}
		lines[at] = id
	}
	return nil
}
