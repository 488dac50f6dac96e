package plan

import (
	"math/big"
	"math/bits"
	"slices"

	"longpoint/model"
)

// Sum works out what follows from the profiles' plans and the buy list: the orders, what each job costs, and the total.
func (d *Document) Sum(w *model.Workshop) {
	d.Orders, d.Jobs, d.Total = orders(w, d.Buy), jobCosts(w, d.Profiles), total(d.Profiles, d.Together)
}

// Shared is what the jobs pay for a profile: its cost, and by how much more was paid for sticks that were bought for jobs still open than they are worth
// on the rack.
func (p *ProfilePlan) Shared() model.Money {
	sum := p.Figures.Cost
	for _, s := range p.Sticks {
		if s.Paid > 0 {
			sum += max(0, s.Paid-s.Cost)
		}
	}
	return sum
}

// Shared is what all jobs pay.
func (d *Document) Shared() (sum model.Money) {
	for n := range d.Profiles {
		sum += d.Profiles[n].Shared()
	}
	return sum
}

// Add adds another plan's figures.
func (f *Figures) Add(g Figures) {
	f.Sides += g.Sides
	f.RackSticks += g.RackSticks
	f.NewSticks += g.NewSticks
	f.RackValue += g.RackValue
	f.Purchases += g.Purchases
	f.Delivery += g.Delivery
	f.Credit += g.Credit
	f.Spare += g.Spare
	f.LongestOffcut = max(f.LongestOffcut, g.LongestOffcut)
	f.LongPoints += g.LongPoints
	f.UsedUp += g.UsedUp
	f.Kept += g.Kept
	f.Derive()
}

// Derive works out what follows from the other figures: cost, waste and yield.
func (f *Figures) Derive() {
	f.Cost = f.RackValue + f.Purchases + f.Delivery - f.Credit - f.Spare
	f.Waste = f.UsedUp - f.LongPoints
	f.Yield = PerMillion(f.LongPoints, f.UsedUp)
}

// PerMillion gives a ÷ b in parts per million, rounded down, and 0 where b is 0. 0 ≤ a ≤ b.
func PerMillion(a, b model.Length) int64 { return int64(Part(1_000_000, a, b)) }

// Part is an amount × part ÷ all, rounded down, and 0 where all is 0. 0 ≤ part ≤ all, and the amount is not negative. The product is taken in 128 bits.
func Part(amount model.Money, part, all model.Length) model.Money {
	if all <= 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(amount), uint64(part))
	q, _ := bits.Div64(high, low, uint64(all)) // high < all because part ≤ all and amount < 2^64
	return model.Money(q)
}

// Share splits an amount in proportion to weights, so that the parts add up exactly (largest remainder; of equal
// remainders the earlier part gets the unit). Weights are not negative. Where all are 0 the parts are 0 too. Of a negative amount the parts are those of
// the positive one, negative.
func Share(amount model.Money, weights []model.Length) []model.Money {
	total := new(big.Int)
	for _, w := range weights {
		total.Add(total, big.NewInt(int64(w)))
	}
	parts := make([]model.Money, len(weights))
	if total.Sign() == 0 {
		return parts
	}
	if amount < 0 {
		parts = Share(-amount, weights)
		for i := range parts {
			parts[i] = -parts[i]
		}
		return parts
	}
	rest := make([]*big.Int, len(weights))
	left := amount
	for i, w := range weights {
		part := new(big.Int).Mul(big.NewInt(int64(amount)), big.NewInt(int64(w)))
		rest[i] = new(big.Int)
		part.QuoRem(part, total, rest[i])
		parts[i] = model.Money(part.Int64())
		left -= parts[i]
	}
	order := make([]int, len(weights))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rest[b].Cmp(rest[a]) })
	for _, i := range order[:left] {
		parts[i]++
	}
	return parts
}

// jobCosts adds up each job's shares.
func jobCosts(w *model.Workshop, profiles []ProfilePlan) []JobCost {
	costs := map[string]*JobCost{}
	for _, p := range profiles {
		for _, s := range p.Jobs {
			if costs[s.Job] == nil {
				costs[s.Job] = &JobCost{Job: s.Job}
			}
			costs[s.Job].Sides += s.Sides
			costs[s.Job].Cost += s.Cost
		}
	}
	out := []JobCost{}
	for _, j := range w.Jobs {
		if c := costs[j.ID]; c != nil {
			c.Customer = j.Customer
			if !j.Due.IsZero() {
				c.Due = j.Due.String()
			}
			out = append(out, *c)
		}
	}
	return out
}

// orders sums the buy list by supplier.
func orders(w *model.Workshop, list []Purchase) []Order {
	out := []Order{}
	for _, l := range list {
		n := len(out) - 1
		if n < 0 || out[n].Supplier != l.Supplier {
			terms, _ := w.TermsOf(l.Supplier)
			out = append(out, Order{Supplier: l.Supplier, LeastMoney: terms.LeastAmount(), LeastSticks: terms.LeastSticks})
			if terms.Delivery > 0 && terms.FreeFrom.Given {
				out[n+1].FreeFrom = terms.FreeFrom.Amount
			}
			n++
		}
		out[n].Sticks += l.Count
		out[n].Cost += l.Cost
	}
	for n := range out {
		terms, _ := w.TermsOf(out[n].Supplier)
		out[n].Delivery = terms.DeliveryOf(out[n].Cost)
		out[n].Total = out[n].Cost + out[n].Delivery
	}
	return out
}

// total sums the profiles. What was planned together has one bound and one gap.
func total(plans []ProfilePlan, together []Together) Total {
	t := Total{Grade: Proven, FirstFit: Comparison{Complete: true}}
	for _, p := range plans {
		t.Figures.Add(p.Figures)
		if p.Together == 0 {
			t.Bound += p.Bound
			t.Gap += p.Gap
		}
		t.Grade = t.Grade.Worse(p.Grade)
		t.FirstFit.Figures.Add(p.FirstFit.Figures)
		t.FirstFit.LeftOver += p.FirstFit.LeftOver
		t.FirstFit.Complete = t.FirstFit.Complete && p.FirstFit.Complete
	}
	for _, g := range together {
		t.Bound += g.Bound
		t.Gap += g.Gap
	}
	return t
}

// Worse gives the worse of two grades; what is no grade counts as Open.
func (g Grade) Worse(other Grade) Grade {
	rank := func(g Grade) int { return slices.Index([]Grade{Searched, Proven}, g) }
	if rank(other) < rank(g) {
		g = other
	}
	if rank(g) < 0 {
		return Open
	}
	return g
}
