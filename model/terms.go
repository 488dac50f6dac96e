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
