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

// buyList counts the new sticks: by supplier, then in the order of the profiles, longest stick first.
func buyList(w *model.Workshop, profiles []ProfilePlan) []Purchase {
	list := []Purchase{}
	for _, p := range profiles {
		list = append(list, p.purchases(w)...)
	}
	slices.SortStableFunc(list, func(a, b Purchase) int { return cmp.Compare(a.Supplier, b.Supplier) })
	return list
}

// purchases counts the profile's new sticks, longest first.
func (p ProfilePlan) purchases(w *model.Workshop) []Purchase {
	var list []Purchase
	jobs := map[model.Length]map[string]bool{}
	for _, s := range p.Sticks {
		if s.From != Bought {
			continue
		}
		n := slices.IndexFunc(list, func(l Purchase) bool { return l.Length == s.Length })
		if n < 0 {
			n = len(list)
			list = append(list, Purchase{Supplier: s.Supplier, Profile: p.Name, Length: s.Length, Price: s.Cost})
			jobs[s.Length] = map[string]bool{}
		}
		list[n].Count++
		list[n].Cost += s.Cost
		for _, side := range s.Sides {
			jobs[s.Length][side.Job] = true
		}
	}
	for n := range list {
		for _, j := range w.Jobs {
			if jobs[list[n].Length][j.ID] {
				list[n].Jobs = append(list[n].Jobs, j.ID)
			}
		}
	}
	slices.SortFunc(list, func(a, b Purchase) int { return cmp.Compare(b.Length, a.Length) })
	return list
}
