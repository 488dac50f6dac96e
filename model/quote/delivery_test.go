package quote

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestMarginalDelivery: what a job adds says how much of it is delivery, and what an order saves that it makes large enough.
func TestMarginalDelivery(t *testing.T) {
	of := func(purchases, delivery model.Money) *plan.Document {
		d := &plan.Document{}
		d.Total.Figures = plan.Figures{Purchases: purchases, Delivery: delivery, Cost: purchases + delivery}
		d.Total.Bound, d.Total.Grade = d.Total.Figures.Cost, plan.Proven
		return d
	}
	for _, c := range []struct {
		with, without  *plan.Document
		cost, delivery model.Money
	}{
		{of(3000, 1500), of(0, 0), 4500, 1500},
		{of(5000, 1500), of(3000, 1500), 2000, 0},
		{of(9000, 0), of(3000, 1500), 4500, -1500},
	} {
		if m := marginal(c.with, c.without); m.Cost != c.cost || m.Delivery != c.delivery {
			t.Errorf("%d, of it delivery %d, not %d and %d", m.Cost, m.Delivery, c.cost, c.delivery)
		}
	}
}
