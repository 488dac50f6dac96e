package model

import "slices"

// TermsOf gives what a supplier asks of an order, and whether that is anything.
func (w *Workshop) TermsOf(supplier string) (Supplier, bool) {
	i := slices.IndexFunc(w.Suppliers, func(s Supplier) bool { return s.Name == supplier })
	if i < 0 {
		return Supplier{}, false
	}
	s := w.Suppliers[i]
	return s, s.Delivery > 0 || s.LeastSticks > 0 || s.LeastAmount() > 0
}

// LeastAmount is what an order must come to: nothing where the supplier does not say.
func (s Supplier) LeastAmount() Money {
	if !s.LeastMoney.Given {
		return 0
	}
	return s.LeastMoney.Amount
}

// DeliveryOf is what is charged for the delivery of an order that comes to so much.
func (s Supplier) DeliveryOf(order Money) Money {
	if s.FreeFrom.Given && order >= s.FreeFrom.Amount {
		return 0
	}
	return s.Delivery
}

// Ways gives the ways in which an order can be placed: with the charge for delivery and, where the supplier delivers free from a sum on,
// without it at a least order of that sum. Each has terms without FreeFrom. Where any order is large enough there is no other way.
func (s Supplier) Ways() []Supplier {
	charged, free := s, s
	charged.FreeFrom, free.FreeFrom = OptionalMoney{}, OptionalMoney{}
	free.Delivery = 0
	switch {
	case s.Delivery == 0 || !s.FreeFrom.Given:
		return []Supplier{charged}
	case s.FreeFrom.Amount <= s.LeastAmount():
		return []Supplier{free}
	}
	free.LeastMoney = s.FreeFrom
	return []Supplier{charged, free}
}
