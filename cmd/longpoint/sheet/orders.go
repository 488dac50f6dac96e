package sheet

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// Order is an order to one supplier, as it is printed.
type Order struct {
	Number   string // blank: there is a line to write it on
	Supplier string
	Day      model.Date
	Expected string      // the day; blank: by the supplier's delivery days, where those are known
	Delivery model.Money // charged for it
	Lines    []plan.Purchase
}

// Orders makes the purchase orders of the plan, one a supplier, in the order of its buy list.
func (s *Source) Orders() (pieces []Piece) {
	for from := 0; from < len(s.Plan.Buy); {
		to := from
		for to < len(s.Plan.Buy) && s.Plan.Buy[to].Supplier == s.Plan.Buy[from].Supplier {
			to++
		}
		o := Order{Supplier: s.Plan.Buy[from].Supplier, Day: s.Dated, Lines: s.Plan.Buy[from:to]}
		for _, sums := range s.Plan.Orders {
			if sums.Supplier == o.Supplier {
				o.Delivery = sums.Delivery
			}
		}
		pieces = append(pieces, s.Order(o))
		from = to
	}
	return pieces
}

// blank is a line to write on.
const blank = "______________________"

// Order makes an order to one supplier. It goes out of the house: nothing is on it but what the supplier is to know.
func (s *Source) Order(o Order) Piece {
	p := Piece{File: fileName("order", strings.TrimSpace(o.Number+" "+o.Supplier)), Paper: s.Paper, Title: strings.TrimSpace("Purchase order " + o.Number),
		Under: strings.TrimSuffix(s.Plan.Workshop+" · "+s.day(o.Day.String()), " · ")}
	supplier := s.supplier(o.Supplier)
	p.add(Abreast{
		{Lines{Head: "To", Items: append([]string{o.Supplier}, model.AddressLines(supplier.Address)...)}},
		{Lines{Head: "From", Items: append([]string{s.Plan.Workshop}, model.AddressLines(s.Workshop.Address)...)},
			Lines{Head: "Order number, day", Items: []string{cmp.Or(o.Number, blank), cmp.Or(s.day(o.Day.String()), blank)}}},
	})
	p.add(s.orderTable(o))
	if terms := s.terms(supplier, o); terms != "" {
		p.add(Paragraph{Text: terms})
	}
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

// orderTable is the lines of an order with their sum.
func (s *Source) orderTable(o Order) Table {
	code := s.currency.Code
	t := Table{Caption: "What is ordered", Columns: []Column{{"line", "", Number}, {"article", "", Name}, {"moulding", "", Name}, {"stick", s.unit.String(), Mark},
		{"sticks", "", Number}, {"sold as", "", Mark}, {"each", code, Number}, {"cost", code, Number}}}
	var sticks int
	var total model.Money
	for n, l := range o.Lines {
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
		each := ""
		if l.Price > 0 {
			each = l.Price.In(s.currency)
		}
		sticks, total = sticks+l.Count, total+l.Cost
		t.Rows = append(t.Rows, Row{Strong: []int{1, 4}, Cells: []string{fmt.Sprint(n + 1), s.article(l), name, length, fmt.Sprint(l.Count), sold,
			each, l.Cost.In(s.currency)}})
	}
	sum := func(what, sticks string, m model.Money) {
		t.Rows = append(t.Rows, Row{Sum: true, Cells: []string{"", "", what, "", sticks, "", "", m.In(s.currency)}})
	}
	sum("goods", fmt.Sprint(sticks), total)
	if o.Delivery > 0 {
		sum("delivery", "", o.Delivery)
		sum("all", "", total+o.Delivery)
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

// terms says on what terms a supplier sells, as far as the workshop knows them, and when the order is expected; nothing where nobody has said any.
func (s *Source) terms(supplier model.Supplier, o Order) string {
	var terms []string
	if o.Delivery > 0 {
		terms = append(terms, fmt.Sprintf("delivery at %s an order", o.Delivery.With(s.currency)))
	}
	if supplier.FreeFrom.Given && supplier.Delivery > 0 {
		terms = append(terms, fmt.Sprintf("delivery free from %s without delivery", supplier.FreeFrom.Amount.With(s.currency)))
	}
	if supplier.LeastMoney.Given && supplier.LeastMoney.Amount > 0 {
		terms = append(terms, fmt.Sprintf("least order %s without delivery", supplier.LeastMoney.Amount.With(s.currency)))
	}
	if supplier.LeastSticks > 0 {
		terms = append(terms, "least order "+count(supplier.LeastSticks, "stick", "sticks"))
	}
	expected := o.Expected
	if expected == "" && supplier.DeliveryDays.Given {
		expected = o.Day.AddDate(0, 0, supplier.DeliveryDays.Days).Format(time.DateOnly)
	}
	if expected != "" {
		terms = append(terms, "expected by "+s.day(expected))
	}
	if len(terms) == 0 {
		return ""
	}
	return "Terms: " + strings.Join(terms, "; ") + "."
}
