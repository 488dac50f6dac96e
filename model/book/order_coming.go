package book

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// readComing adds the sticks that are ordered and not here yet: of each order what is to come of its lines, under the names that they will
// have on the rack.
func (t *transaction) readComing(w *model.Workshop) error {
	return t.coming(w, func(p Purchase) string { return fmt.Sprint(p.ID) })
}

// readCalled does so with the names that the tables gave to orders that came in with them.
func (t *transaction) readCalled(w *model.Workshop) error {
	return t.coming(w, func(p Purchase) string { return cmp.Or(p.Called, fmt.Sprint(p.ID)) })
}

// coming does so with what orders are called.
func (t *transaction) coming(w *model.Workshop, called func(Purchase) string) error {
	open, err := t.purchases("state = ?", Placed)
	if err != nil {
		return err
	}
	for _, p := range open {
		expected, err := day(p.ShouldCome)
		if err != nil {
			return err
		}
		for _, l := range t.counted(p) {
			for n := range l.ToCome() {
				w.Rack = append(w.Rack, model.Stick{ID: p.stickName(l, l.came()+n), Profile: l.Profile, Length: l.Length, Lot: p.lotOf(l),
					Coming: model.Coming{Order: called(p), Supplier: p.Supplier, Expected: expected},
					Where:  t.where("purchase", p.ID)})
			}
		}
	}
	return nil
}

// counted gives the lines of an order that count as ordered.
func (t *transaction) counted(p Purchase) []PurchaseLine {
	return slices.DeleteFunc(slices.Clone(p.Lines), func(l PurchaseLine) bool { return slices.Contains(t.unordered, l.Plan) })
}

// joinOpen takes off what suppliers ask of an order what is in the order that is still open: what a plan buys goes into that one, whose
// delivery is paid anyway. That more in it could make its delivery free is not planned for: it would be a saving of the order that is there. ShortOrders tells of it.
func (t *transaction) joinOpen(w *model.Workshop) error {
	open, err := t.joined()
	if err != nil {
		return err
	}
	for _, p := range open {
		kept, err := t.kept(p)
		if err != nil {
			return err
		}
		n := slices.IndexFunc(w.Suppliers, func(s model.Supplier) bool { return s.Name == p.Supplier })
		if n < 0 || len(kept) == 0 {
			continue
		}
		s := &w.Suppliers[n]
		s.Delivery = 0
		for _, l := range kept {
			s.LeastSticks = max(0, s.LeastSticks-l.Sticks)
			s.LeastMoney.Amount = max(0, s.LeastMoney.Amount-l.Cost)
		}
		s.LeastMoney.Given = s.LeastMoney.Amount > 0
	}
	return nil
}

// ShortOrder says what an open order lacks of what its supplier asks, and of what its supplier delivers free.
type ShortOrder struct {
	Order    int64
	Supplier string
	Money    model.Money
	Sticks   int
	ToFree   model.Money // 0: it is free, or never will be
	Delivery model.Money // that it costs as it is
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
			short := ShortOrder{Order: p.ID, Supplier: p.Supplier, Money: w.Suppliers[n].LeastAmount(), Sticks: w.Suppliers[n].LeastSticks}
			if free := asked[n].FreeFrom; free.Given && p.Delivery > 0 {
				short.ToFree, short.Delivery = max(0, free.Amount-p.goodsCost()), p.Delivery
			}
			if short.Money > 0 || short.Sticks > 0 || short.ToFree > 0 {
				all = append(all, short)
			}
		}
		return nil
	})
	return all, err
}

// PlannedLines gives, by the order's number, what of some orders is just as the plan has it that a line is for. Where that plan cannot be read any more, nothing is said of it.
func (b *Book) PlannedLines(ctx context.Context, orders []Purchase) (map[int64][]plan.Purchase, error) {
	return look(ctx, b, func(t *transaction) (map[int64][]plan.Purchase, error) {
		lines, plans := map[int64][]plan.Purchase{}, map[int64]*plan.Document{}
		for _, o := range orders {
			for _, l := range o.Lines {
				id := cmp.Or(l.Plan, o.Plan)
				d, read := plans[id]
				if !read && id != 0 {
					var err error
					if d, _, err = t.plan(id); err != nil && !said(err) {
						return nil, err
					}
					plans[id] = d
				}
				if d == nil {
					continue
				}
				if n := slices.IndexFunc(d.Buy, func(p plan.Purchase) bool {
					return p.Supplier == o.Supplier && p.Profile == l.Profile && p.Length == l.Length && p.Count == l.Sticks && p.Cost == l.Cost
				}); n >= 0 {
					lines[o.ID] = append(lines[o.ID], d.Buy[n])
				}
			}
		}
		return lines, nil
	})
}

// goodsCost is what the lines of an order come to.
func (p Purchase) goodsCost() (all model.Money) {
	for _, l := range p.Lines {
		all += l.Cost
	}
	return all
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
			t.tell("order %d from %s is expected on %s", o.ID, o.Supplier, t.day(on.String()))
			if _, err := t.exec("UPDATE purchase SET expected = ? WHERE id = ?", on.String(), o.ID); err != nil {
				return err
			}
		}
		return nil
	}}
}

// stickName is what a stick of an order is called by the order's number.
func stickName(purchase int64, number int) string { return fmt.Sprintf("P%d-%d", purchase, number) }

// lotOfLine names the lot of sticks that come with one line of an order by the two.
func lotOfLine(purchase, line int64) string {
	return fmt.Sprintf("order %d, line %d", purchase, line)
}

// fillComing writes sticks that are on the way as orders: one an order and supplier, with a line for each profile, length and lot. They are
// taken to cost what planning reckons they are worth.
func (t *transaction) fillComing(w *model.Workshop, rack []model.Stick) error {
	purchases := map[model.Coming]*Purchase{}
	for _, s := range rack {
		if !s.OnTheWay() {
			continue
		}
		p := purchases[s.Coming]
		if p == nil {
			id, err := t.insert("purchase", "supplier", clean(s.Coming.Supplier), "expected", s.Coming.Expected.String(), "called", clean(s.Coming.Order))
			if err != nil {
				return err
			}
			p = &Purchase{ID: id}
			purchases[s.Coming] = p
		}
		if err := t.fillLine(p, s, w.StickValue(s)); err != nil {
			return err
		}
	}
	return nil
}

// fillLine adds a stick to the line of an order that has others like it, or to a new one.
func (t *transaction) fillLine(p *Purchase, s model.Stick, cost model.Money) error {
	n := slices.IndexFunc(p.Lines, func(l PurchaseLine) bool {
		return l.Profile == s.Profile && l.Length == s.Length && p.lotOf(l) == clean(s.Lot)
	})
	if n >= 0 {
		l := &p.Lines[n]
		l.Sticks, l.Cost, l.names = l.Sticks+1, l.Cost+cost, l.names+"\n"+clean(s.ID)
		_, err := t.exec("UPDATE purchase_line SET sticks = ?, cost_minor = ?, names = ? WHERE purchase = ? AND number = ?", l.Sticks, l.Cost, l.names, p.ID, l.Number)
		return err
	}
	l := PurchaseLine{Number: len(p.Lines) + 1, Profile: s.Profile, Length: s.Length, Sticks: 1, Cost: cost, names: clean(s.ID)}
	if lot := clean(s.Lot); lot != lotOfLine(p.ID, int64(l.Number)) {
		l.lot = sql.NullString{String: lot, Valid: true}
	}
	p.Lines = append(p.Lines, l)
	_, err := t.insert("purchase_line", "purchase", p.ID, "number", l.Number, "profile", clean(l.Profile), "length_nm", l.Length,
		"sticks", l.Sticks, "cost_minor", l.Cost, "names", l.names, "lot", l.lot)
	return err
}
