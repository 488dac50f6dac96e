package sheet

import (
	"fmt"
	"longpoint/model/plan"
)

// Orders makes the purchase orders, one a supplier, in the order of the plan's buy list.
func (s *Source) Orders() (pieces []Piece) {
	for from := 0; from < len(s.Plan.Buy); {
		to := from
		for to < len(s.Plan.Buy) && s.Plan.Buy[to].Supplier == s.Plan.Buy[from].Supplier {
			to++
		}
		pieces = append(pieces, s.purchase(s.Plan.Buy[from:to]))
		from = to
	}
	return pieces
}

// terms says what an order comes to, and what its supplier asks of it.
func (s *Source) terms(o plan.Order) string {
	text := fmt.Sprintf("Delivery: %s. Order and delivery: %s.", o.Delivery.With(s.currency), o.Total.With(s.currency))
	if o.LeastMoney > 0 {
		text += fmt.Sprintf(" The order comes to at least %s, as asked.", o.LeastMoney.With(s.currency))
	}
	if o.LeastSticks > 0 {
		text += fmt.Sprintf(" It has at least %s, as asked.", count(o.LeastSticks, "stick", "sticks"))
	}
	return text
}

// blank is a line to write on.
const blank = "________________________"

// purchase makes the order for one supplier.
func (s *Source) purchase(lines []plan.Purchase) Piece {
	supplier := lines[0].Supplier
	p := Piece{File: fileName("order", supplier), Paper: s.Paper, Title: "Purchase order to " + supplier, Under: s.under()}
	p.add(Paragraph{Text: fmt.Sprintf("%s orders from %s, of %s:", s.Plan.Workshop, supplier, s.Dated)})
	p.add(s.buyTable(lines, false))
	for _, order := range s.Plan.Orders {
		if order.Supplier == supplier {
			p.add(Paragraph{Text: s.terms(order)})
		}
	}
	p.add(Paragraph{Text: fmt.Sprintf("Lengths are of one stick; each is the price of one bundle, or of a stick sold singly. Prices are in %s and are those of our list: please say before you send if any has changed.", s.currency.Code)})
	p.add(Heading{"When it comes"})
	p.add(Bullets{Boxes: true, Items: []string{"counted against this list", "each stick looked at along its back and sight edge, for bow and damage",
		"finish held against a piece of the last delivery", "long sticks carried by two, racked flat"}})
	p.add(Paragraph{Text: "Ordered by " + blank + "   received by " + blank + "   on " + blank})
	if s.Plan.Total.Grade != plan.Proven {
		p.add(Paragraph{Text: fmt.Sprintf("The plan behind this order is %s: a cheaper one may exist.", s.Plan.Total.Grade)})
	}
	return p
}
