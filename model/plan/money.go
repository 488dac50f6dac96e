package plan

import (
	"cmp"
	"math/big"
	"slices"

	"longpoint/model"
)

// share splits an amount in proportion to weights, so that the parts add up exactly (largest remainder; of equal
// remainders the earlier part gets the unit). Weights are not negative. Where all are 0 the parts are 0 too.
func share(amount model.Money, weights []model.Length) []model.Money {
	total := new(big.Int)
	for _, w := range weights {
		total.Add(total, big.NewInt(int64(w)))
	}
	parts := make([]model.Money, len(weights))
	if total.Sign() == 0 {
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

// jobShares gives each job's share of the profile's cost, in the order of the workshop's table.
func (t *task) jobShares(cost model.Money) []JobShare {
	byJob := map[int]*JobShare{}
	var jobs []int
	for _, p := range t.pieces {
		s := byJob[p.job]
		if s == nil {
			s = &JobShare{Job: t.w.Jobs[p.job].ID}
			byJob[p.job] = s
			jobs = append(jobs, p.job)
		}
		s.Sides++
		s.Takes += p.need
	}
	slices.Sort(jobs)
	weights := make([]model.Length, len(jobs))
	for n, j := range jobs {
		weights[n] = byJob[j].Takes
	}
	shares := make([]JobShare, len(jobs))
	for n, part := range share(cost, weights) {
		shares[n] = *byJob[jobs[n]]
		shares[n].Cost = part
	}
	return shares
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

// buyList puts the profiles' purchases together: by supplier, then in the order of the profiles, as they stand there.
func buyList(w *model.Workshop, plans []profileOutcome) []Purchase {
	list := []Purchase{}
	for _, p := range plans {
		for _, line := range p.lines {
			line.Jobs = p.jobsFor(w, line)
			list = append(list, line)
		}
	}
	slices.SortStableFunc(list, func(a, b Purchase) int { return cmp.Compare(a.Supplier, b.Supplier) })
	return list
}

// jobsFor gives the jobs that a line's sticks are for, in the order of the workshop's table.
func (p profileOutcome) jobsFor(w *model.Workshop, l Purchase) []string {
	wanted := map[string]bool{}
	for _, s := range p.plan.Sticks {
		if s.From == Bought && s.Supplier == l.Supplier && s.Length == l.Length && s.Longest == l.Longest && s.Bundle == l.Bundle {
			for _, side := range s.Sides {
				wanted[side.Job] = true
			}
		}
	}
	jobs := []string{}
	for _, j := range w.Jobs {
		if wanted[j.ID] {
			jobs = append(jobs, j.ID)
		}
	}
	return jobs
}

// orders sums the buy list by supplier.
func orders(w *model.Workshop, list []Purchase) []Order {
	out := []Order{}
	for _, l := range list {
		n := len(out) - 1
		if n < 0 || out[n].Supplier != l.Supplier {
			terms, _ := termsOf(w, l.Supplier)
			out = append(out, Order{Supplier: l.Supplier, Delivery: terms.Delivery, LeastMoney: leastMoney(terms), LeastSticks: terms.LeastSticks})
			n++
		}
		out[n].Sticks += l.Count
		out[n].Cost += l.Cost
		out[n].Total = out[n].Cost + out[n].Delivery
	}
	return out
}
