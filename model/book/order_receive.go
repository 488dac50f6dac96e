package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// Arrival is what has arrived of one line of an order.
type Arrival struct {
	Line   int
	Sticks int          // 0: none
	Length model.Length // as measured; 0: as ordered
	Lot    string
	Place  string
	Damage []model.Span
}

// Receipt says how an order is received.
type Receipt struct {
	Arrivals []Arrival           // none: all that is still to come, as ordered
	Place    string              // on the rack, where an arrival does not say
	Lot      string              // likewise
	Complete bool                // what has not arrived of these lines will not come
	More     bool                // there may be more than was ordered
	Again    bool                // the same as before on this day has come once more
	Paid     model.OptionalMoney // for each stick that came on top; where not given, as much as the others cost
}

// Receive puts what has arrived of an order on the rack and gives the names of the sticks: P3-1, P3-2, … of order 3. Of an order that has
// arrived nothing more is received, and then there are none, unless the receipt says what has come on top. An order that was
// open has been sent, it seems.
func (b *Book) Receive(ctx context.Context, purchase int64, r Receipt, by By) (names []string, err error) {
	_, err = b.write(ctx, "receive", by, func(t *transaction) error {
		o, err := t.purchase(purchase)
		if err != nil {
			return err
		}
		switch {
		case o.State == Cancelled && !r.More:
			return usageError(b.path, fmt.Sprintf("order %d was cancelled", purchase), `if it has come all the same, name what came: "longpoint receive --help" shows --more and --line`)
		case o.State == Arrived && len(r.Arrivals) == 0:
			return nil
		}
		if err := t.send(o); err != nil {
			return err
		}
		v := &delivering{transaction: t, order: &o, receipt: r}
		if err := v.receive(); err != nil {
			return err
		}
		names = v.names
		return nil
	})
	return names, err
}

// delivering is one delivery while it is put on the rack.
type delivering struct {
	*transaction
	order   *Purchase
	receipt Receipt
	id      int64 // of the delivery; 0: nothing has come yet
	over    int   // number of the last stick that has one beyond those ordered
	names   []string
	came    []string // in words
}

// receive books what has arrived, and the order as arrived where nothing is to come any more.
func (v *delivering) receive() error {
	arrivals := v.receipt.Arrivals
	all := len(arrivals) == 0
	if all {
		arrivals = rest(*v.order)
	}
	for i := range arrivals {
		if err := v.complete(&arrivals[i]); err != nil {
			return err
		}
	}
	if !all {
		if err := v.twice(arrivals); err != nil {
			return err
		}
	}
	for _, l := range v.order.Lines {
		v.over += l.Sticks
	}
	for _, a := range arrivals {
		if err := v.arrival(a); err != nil {
			return err
		}
	}
	if len(v.came) > 0 {
		v.tell("received %s from %s, order %d", listed(v.came), v.order.Supplier, v.order.ID)
	}
	if v.receipt.Complete {
		if err := v.writeOff(arrivals); err != nil {
			return err
		}
	}
	if len(rest(*v.order)) > 0 {
		return nil
	}
	_, err := v.exec("UPDATE purchase SET state = ? WHERE id = ?", Arrived, v.order.ID)
	return err
}

// rest is all that is still to come, as ordered.
func rest(o Purchase) (arrivals []Arrival) {
	for _, l := range o.Lines {
		if n := l.ToCome(); n > 0 {
			arrivals = append(arrivals, Arrival{Line: l.Number, Sticks: n})
		}
	}
	return arrivals
}

// complete fills in what an arrival does not say, and says what it cannot be.
func (v *delivering) complete(a *Arrival) error {
	bad := func(what, do string) error { return usageError(v.book.path, what, do) }
	l, err := v.order.line(v.book.path, a.Line)
	if err != nil {
		return err
	}
	if a.Length == 0 {
		a.Length = l.Length
	}
	a.Place, a.Lot = clean(cmp.Or(a.Place, v.receipt.Place)), clean(cmp.Or(a.Lot, v.receipt.Lot, l.lot.String))
	switch {
	case a.Sticks < 0 || a.Sticks == 0 && !v.receipt.Complete:
		return bad(fmt.Sprintf("order %d, line %d: %d sticks cannot arrive", v.order.ID, l.Number, a.Sticks), "give the number of sticks that have arrived")
	case a.Length < 0 || a.Length > model.MaxLength:
		return bad("a stick is more than 0 and at most 1 km long", "measure it again")
	case !within(a.Damage, a.Length):
		return bad("the damaged parts do not lie apart on the stick", "write where each begins and ends, from the head on")
	}
	return nil
}

// within tells whether damaged parts lie apart and in order on a stick.
func within(damage []model.Span, length model.Length) bool {
	at := model.Length(0)
	for _, s := range damage {
		if s.From < at || s.To <= s.From || s.To > length {
			return false
		}
		at = s.To
	}
	return true
}

// line finds a line of the order.
func (p *Purchase) line(path string, number int) (*PurchaseLine, error) {
	for i := range p.Lines {
		if p.Lines[i].Number == number {
			return &p.Lines[i], nil
		}
	}
	return nil, usageError(path, fmt.Sprintf("order %d has no line %d", p.ID, number), `see "longpoint order --list"`)
}

// twice notices a command that was typed a second time: what it says has arrived is what the last delivery of this day brought.
func (v *delivering) twice(arrivals []Arrival) error {
	if v.receipt.Again {
		return nil
	}
	var last int64
	var who, at string
	found, err := v.one(`SELECT d.id, s.who, s.at FROM delivery AS d JOIN change AS c ON c.tab = 'delivery' AND c.row = d.id JOIN step AS s ON s.id = c.step
		WHERE d.purchase = ? AND d.arrived = ? ORDER BY d.id DESC, c.id DESC LIMIT 1`, []any{v.order.ID, v.today()}, &last, &who, &at)
	if err != nil || !found {
		return err
	}
	var now, before, names []string
	for _, a := range arrivals {
		for range a.Sticks {
			now = append(now, fmt.Sprint(a.Line, a.Length, a.Lot, a.Place, spansText(a.Damage)))
		}
	}
	if err := v.each("SELECT name, line, length_nm, lot, place, damage_nm FROM stick WHERE delivery = ? ORDER BY id", []any{last}, func(scan func(...any) error) error {
		var name, damage string
		var a Arrival
		if err := scan(&name, &a.Line, &a.Length, &a.Lot, &a.Place, &damage); err != nil {
			return err
		}
		names, before = append(names, name), append(before, fmt.Sprint(a.Line, a.Length, a.Lot, a.Place, damage))
		return nil
	}); err != nil {
		return err
	}
	if len(now) == 0 || !slices.Equal(slices.Sorted(slices.Values(now)), slices.Sorted(slices.Values(before))) {
		return nil
	}
	when, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return err
	}
	return usageError(v.book.path, fmt.Sprintf("just this was received today already, by %s at %s: %s", who, when.In(v.now.Location()).Format("15:04"), listed(names)),
		"add --again if as many have come once more")
}

// arrival puts what has come of one line on the rack.
func (v *delivering) arrival(a Arrival) error {
	l, err := v.order.line(v.book.path, a.Line)
	if err != nil || a.Sticks == 0 {
		return err
	}
	over := a.Sticks - max(l.ToCome(), 0)
	if over > 0 && !v.receipt.More {
		return usageError(v.book.path, fmt.Sprintf("order %d, line %d: %d have arrived, which is %d more than the %d still to come", v.order.ID, l.Number, a.Sticks, over, a.Sticks-over),
			"count them again; add --more if so many have come")
	}
	v.came = append(v.came, v.words(*l, a))
	if v.id == 0 {
		if v.id, err = v.insert("delivery", "purchase", v.order.ID, "arrived", v.today()); err != nil {
			return err
		}
	}
	was := *l
	for range a.Sticks {
		if err := v.stickOf(l, a); err != nil {
			return err
		}
	}
	if l.Gone == was.Gone && l.Extra == was.Extra {
		return nil
	}
	paid := model.Money(l.Extra-was.Extra) * v.extraCost(*l)
	_, err = v.exec("UPDATE purchase_line SET gone = ?, extra = ?, extra_cost_minor = extra_cost_minor + ? WHERE purchase = ? AND number = ?",
		l.Gone, l.Extra, paid, v.order.ID, l.Number)
	return err
}

// words says what has come of a line: "3 of 4 × 3000 mm oak-40, 2990 mm long".
func (v *delivering) words(l PurchaseLine, a Arrival) string {
	toCome := max(l.ToCome(), 0)
	text := fmt.Sprintf("%d of %d × %s %s", a.Sticks, toCome, v.near(l.Length), l.Profile)
	switch {
	case a.Sticks == toCome:
		text = fmt.Sprintf("%d × %s %s", a.Sticks, v.near(l.Length), l.Profile)
	case a.Sticks > toCome:
		text = fmt.Sprintf("%d × %s %s, %d more than ordered", a.Sticks, v.near(l.Length), l.Profile, a.Sticks-toCome)
	}
	if a.Length != l.Length {
		text += fmt.Sprintf(", %s long", v.in(a.Length))
	}
	if len(a.Damage) > 0 {
		text += ", damaged"
	}
	return text
}

// extraCost is what a stick costs that came on top of those ordered.
func (v *delivering) extraCost(l PurchaseLine) model.Money {
	if v.receipt.Paid.Given {
		return v.receipt.Paid.Amount
	}
	return l.Cost / model.Money(l.Sticks)
}

// stickOf puts one stick of a line on the rack: one of those ordered, one that was written off and comes after all, or one on top.
func (v *delivering) stickOf(l *PurchaseLine, a Arrival) error {
	if l.ToCome() < 1 && l.Gone > 0 {
		l.Gone--
	}
	name, cost := "", v.extraCost(*l)
	if came := l.came(); l.ToCome() < 1 {
		l.Extra++
	} else {
		name = v.order.stickName(*l, came)
		cost = plan.Part(l.Cost, model.Length(came+1), model.Length(l.Sticks)) - plan.Part(l.Cost, model.Length(came), model.Length(l.Sticks))
	}
	for taken := name == ""; ; { // somebody may call a stick so by hand
		if taken {
			v.over++
			name = stickName(v.order.ID, v.over)
		}
		var err error
		if taken, err = v.one("SELECT id FROM stick WHERE name = ?", []any{name}, new(int64)); err != nil {
			return err
		}
		if !taken {
			break
		}
	}
	l.Arrived++
	v.names = append(v.names, name)
	_, err := v.insert("stick", "name", name, "profile", l.Profile, "origin", "bought", "delivery", v.id, "line", l.Number,
		"supplier", v.order.Supplier, "lot", a.Lot, "place", a.Place, "length_nm", a.Length, "cost_minor", cost, "damage_nm", spansText(a.Damage))
	return err
}

// writeOff says that what has not arrived of these lines will not come.
func (v *delivering) writeOff(arrivals []Arrival) error {
	for _, a := range arrivals {
		l, err := v.order.line(v.book.path, a.Line)
		if err != nil {
			return err
		}
		n := l.ToCome()
		if n < 1 {
			continue
		}
		l.Gone += n
		v.tell("%d × %s %s will not come", n, v.near(l.Length), l.Profile)
		if _, err := v.exec("UPDATE purchase_line SET gone = ? WHERE purchase = ? AND number = ?", l.Gone, v.order.ID, l.Number); err != nil {
			return err
		}
	}
	return nil
}
