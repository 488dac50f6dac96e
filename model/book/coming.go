package book

import (
	"fmt"

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
		expected, err := day(p.Expected)
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
