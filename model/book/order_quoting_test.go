package book

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestForQuotation: for a job of the plan that was ordered its sticks are to be bought again, delivery and all; once a stick is used, the delivery is paid. For
// another job all counts as it stands.
func TestForQuotation(t *testing.T) {
	b := newShop(t)
	before, _, err := b.Rest(t.Context())
	must(t, err)
	seller := before.Offers[0].Supplier
	charge := []model.Supplier{{Name: seller, Delivery: 950, LeastSticks: 50}}
	_, err = b.write(t.Context(), "import", tester, func(t *transaction) error {
		_, err := t.exec("UPDATE supplier SET delivery_minor = ?, least_sticks = ? WHERE name = ?", charge[0].Delivery, charge[0].LeastSticks, seller)
		return err
	})
	must(t, err)
	before, _, err = b.Rest(t.Context())
	must(t, err)
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	job := d.Jobs[0].Job
	look := func(when, job string, sticks, lines int, delivery model.Money, sent bool) (*model.Workshop, []Ordered) {
		t.Helper()
		w, said, err := b.ForQuotation(t.Context(), job)
		must(t, err)
		terms, _ := w.TermsOf(seller)
		if len(w.Rack) != sticks || len(said) != lines || terms.Delivery != delivery || slices.ContainsFunc(said, func(l Ordered) bool { return l.Sent != sent || l.Cost <= 0 || l.Each <= 0 }) {
			t.Errorf("%s, job %s: %d sticks, delivery %d, not counted: %+v", when, job, len(w.Rack), terms.Delivery, said)
		}
		return w, said
	}
	n := len(d.Buy)
	look("before", job, len(before.Rack), 0, 950, false)
	placeOrders(t, b, id, false)
	bought := 0
	for _, l := range d.Buy {
		bought += l.Count
	}
	w, lines := look("ordered", job, len(before.Rack), n, 950, false)
	look("ordered", "nobody's", len(before.Rack)+bought, 0, 0, false)
	if OfferAgain(w, model.Date{}, lines); len(w.Offers) != len(before.Offers) {
		t.Error("what is on offer is offered twice")
	}
	w.Offers = slices.DeleteFunc(slices.Clone(w.Offers), func(o model.Offer) bool { return o.Supplier == seller })
	left := len(w.Offers)
	if OfferAgain(w, model.Date{}, lines); len(w.Offers) == left || w.Offers[left].Price != lines[0].Each || w.Offers[left].Length != lines[0].Length {
		t.Errorf("what is no longer on offer: %+v", w.Offers[left:])
	}
	do(t, b, SendOrders())
	orders, err := b.Purchases(t.Context(), true)
	must(t, err)
	for _, o := range orders {
		receive(t, b, o.ID, Receipt{})
	}
	look("here", job, len(before.Rack), n, 950, true)
	of := orders[slices.IndexFunc(orders, func(p Purchase) bool { return p.Supplier == seller })]
	do(t, b, Discard(of.stickName(of.Lines[0], 0)))
	gone := map[bool]int{true: 1, false: 0}[of.Lines[0].Sticks == 1]
	look("one used", job, len(before.Rack), n-gone, 0, true)
	if !slices.ContainsFunc(d.Buy, func(l plan.Purchase) bool { return l.Supplier == seller }) {
		t.Error("nothing is bought of the supplier that the test is about")
	}
}
