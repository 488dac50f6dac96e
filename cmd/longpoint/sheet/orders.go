package sheet

import (
	"fmt"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// Orders makes the purchase orders, one a supplier, in the order of the plan's buy list. They go out of the house: nothing is on
// them but what the supplier is to know.
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

// blank is a line to write on.
const blank = "______________________"

// purchase makes the order for one supplier.
func (s *Source) purchase(lines []plan.Purchase) Piece {
	name := lines[0].Supplier
	number := s.Numbers[name]
	p := Piece{File: fileName("order", name), Paper: s.Paper, Title: "Purchase order", Under: s.Plan.Workshop + " · " + s.Dated.String()}
	if number != "" {
		p.Title += " " + number
	} else {
		number = blank
	}
	supplier := s.supplier(name)
	p.add(Abreast{
		{Lines{Head: "To", Items: append([]string{name}, model.AddressLines(supplier.Address)...)}},
		{Lines{Head: "From", Items: append([]string{s.Plan.Workshop}, model.AddressLines(s.Workshop.Address)...)},
			Lines{Head: "Order number, day", Items: []string{number, s.Dated.String()}}},
	})
	p.add(s.orderTable(lines, s.orderOf(name)))
	p.add(Paragraph{Text: s.terms(supplier)})
	p.add(Paragraph{Text: fmt.Sprintf("Lengths are of one stick. Each is the price of one bundle, or of one stick where sticks are sold singly, in %s. Prices are those of our "+
		"list: please tell us before you send if any has changed, and put our order number on delivery note and invoice.", s.currency.Code)})
	p.add(Paragraph{Text: "Ordered by " + blank})
	return p
}

// supplier gives what the workshop knows of a supplier.
func (s *Source) supplier(name string) model.Supplier {
	for _, one := range s.Workshop.Suppliers {
		if one.Name == name {
			return one
		}
	}
	return model.Supplier{Name: name}
}

// orderOf gives the sums of the order from a supplier; none where it asks for nothing and delivers free.
func (s *Source) orderOf(supplier string) (o plan.Order) {
	for _, o = range s.Plan.Orders {
		if o.Supplier == supplier {
			return o
		}
	}
	return plan.Order{}
}

// orderTable is the lines of an order with their sum.
func (s *Source) orderTable(lines []plan.Purchase, order plan.Order) Table {
	code := s.currency.Code
	t := Table{Caption: "What is ordered", Columns: []Column{{"line", "", Number}, {"article", "", Name}, {"moulding", "", Name}, {"stick", s.unit.String(), Mark},
		{"sticks", "", Number}, {"sold as", "", Mark}, {"each", code, Number}, {"cost", code, Number}}}
	var sticks int
	var total model.Money
	for n, l := range lines {
		name := l.Profile
		if p, ok := s.Workshop.ProfileByName(l.Profile); ok {
			name = titled(l.Profile, p.Title)
		}
		length, sold := Near(l.Length, s.unit), "single sticks"
		if l.Longest > 0 {
			length += " to " + Near(l.Longest, s.unit)
		}
		if l.Bundle > 0 {
			sold = fmt.Sprintf("%s of %d", count(l.Bundles(), "bundle", "bundles"), l.Bundle)
		}
		sticks, total = sticks+l.Count, total+l.Cost
		t.Rows = append(t.Rows, Row{Strong: []int{1, 4}, Cells: []string{fmt.Sprint(n + 1), s.article(l), name, length, fmt.Sprint(l.Count), sold,
			l.Price.In(s.currency), l.Cost.In(s.currency)}})
	}
	sum := func(what, sticks string, m model.Money) {
		t.Rows = append(t.Rows, Row{Sum: true, Cells: []string{"", "", what, "", sticks, "", "", m.In(s.currency)}})
	}
	sum("goods", fmt.Sprint(sticks), total)
	if order.Delivery > 0 {
		sum("delivery", "", order.Delivery)
		sum("all", "", total+order.Delivery)
	}
	return t
}

// article gives what the supplier calls a line of the order: by the offer of that price, else by any other of its price list.
func (s *Source) article(l plan.Purchase) (article string) {
	for _, o := range s.Workshop.Offers {
		if o.Supplier != l.Supplier || o.Profile != l.Profile || o.Length != l.Length || o.Longest != l.Longest || o.PerBundle() != max(1, l.Bundle) || o.Article == "" {
			continue
		}
		if o.Price == l.Price {
			return o.Article
		}
		if article == "" {
			article = o.Article
		}
	}
	return article
}

// terms says on what terms a supplier sells, as far as the workshop knows them, and when the order is expected.
func (s *Source) terms(supplier model.Supplier) string {
	text := "Terms: delivery free of charge"
	if supplier.Delivery > 0 {
		text = fmt.Sprintf("Terms: delivery at %s an order", supplier.Delivery.With(s.currency))
	}
	if supplier.LeastMoney.Given && supplier.LeastMoney.Amount > 0 {
		text += fmt.Sprintf("; least order %s without delivery", supplier.LeastMoney.Amount.With(s.currency))
	}
	if supplier.LeastSticks > 0 {
		text += fmt.Sprintf("; least order %s", count(supplier.LeastSticks, "stick", "sticks"))
	}
	if supplier.DeliveryDays.Given {
		text += "; expected by " + s.Dated.AddDate(0, 0, supplier.DeliveryDays.Days).Format(time.DateOnly)
	}
	return text + "."
}
