package planner

import (
	"cmp"
	"math/bits"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// add counts one stick. It leaves out what is paid for a new one, because bundles are paid for whole.
func (pp *profileProblem) add(f *plan.Figures, s stickOf) {
	k := pp.kinds[s[0].kind]
	if k.bought() {
		f.NewSticks++
	} else {
		f.RackSticks++
		f.RackValue += k.value
	}
	f.UsedUp += k.length
	for _, part := range s {
		f.Sides += pp.sidesIn(part)
		f.LongPoints += pp.longPoints(part)
		if left := pp.left(pp.kinds[part.kind], part.used); left.Becomes == plan.Kept {
			f.UsedUp -= left.Length
			f.Kept += left.Length
			f.Credit += left.Value
			f.LongestOffcut = max(f.LongestOffcut, left.Length)
		}
	}
}

// sidesIn counts the sides of a layout.
func (pp *profileProblem) sidesIn(l layout) (sides int) {
	for _, i := range l.items {
		sides += pp.items[i].sides
	}
	return sides
}

// longPoints adds up the long points of a layout.
func (pp *profileProblem) longPoints(l layout) (sum model.Length) {
	for _, i := range l.items {
		sum += pp.items[i].longPoint
	}
	return sum
}

// left says what remains of a sound part after its sides have taken their length, and what becomes of it. A profile whose Keep is 0 keeps
// no offcut.
func (pp *profileProblem) left(k kind, takes model.Length) plan.Left {
	l := plan.Left{Length: k.usable - takes + k.extra, Becomes: plan.Waste}
	switch {
	case l.Length == 0:
		l.Becomes = plan.Nothing
	case pp.profile.Keep > 0 && l.Length >= pp.profile.Keep:
		l.Becomes = plan.Kept
		l.Value = credit(k.credit, k.usable-takes)
	}
	return l
}

// jobShares gives each job's share of the profile's cost, in the order of the workshop's table.
func (pp *profileProblem) jobShares(cost model.Money) []plan.JobShare {
	byJob := map[int]*plan.JobShare{}
	var jobs []int
	for _, p := range pp.pieces {
		s := byJob[p.job]
		if s == nil {
			s = &plan.JobShare{Job: pp.w.Jobs[p.job].ID}
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
	shares := make([]plan.JobShare, len(jobs))
	for n, part := range plan.Share(cost, weights) {
		shares[n] = *byJob[jobs[n]]
		shares[n].Cost = part
	}
	return shares
}

// buyList puts the profiles' purchases together: by supplier, then in the order of the profiles, as they stand there.
func buyList(w *model.Workshop, plans []profileOutcome) []plan.Purchase {
	list := []plan.Purchase{}
	for _, p := range plans {
		for _, line := range p.lines {
			line.Jobs = p.jobsFor(w, line)
			list = append(list, line)
		}
	}
	slices.SortStableFunc(list, func(a, b plan.Purchase) int { return cmp.Compare(a.Supplier, b.Supplier) })
	return list
}

// jobsFor gives the jobs that a line's sticks are for, in the order of the workshop's table.
func (p profileOutcome) jobsFor(w *model.Workshop, l plan.Purchase) []string {
	wanted := map[string]bool{}
	for _, s := range p.plan.Sticks {
		if s.From == plan.Bought && s.Supplier == l.Supplier && s.Length == l.Length && s.Longest == l.Longest && s.Bundle == l.Bundle {
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

// comparePrices compares two prices by length exactly: the sign of c1/l1 − c2/l2, for positive lengths and costs that
// are not negative.
func comparePrices(c1 model.Money, l1 model.Length, c2 model.Money, l2 model.Length) int {
	h1, o1 := bits.Mul64(uint64(c1), uint64(l2))
	h2, o2 := bits.Mul64(uint64(c2), uint64(l1))
	switch {
	case h1 < h2 || h1 == h2 && o1 < o2:
		return -1
	case h1 == h2 && o1 == o2:
		return 0
	}
	return 1
}

// findRun finds the run of the plan's sticks and puts the sticks, and the sides on them, in its order. Offcuts have no names yet.
func (pp *profileProblem) findRun(p *plan.ProfilePlan, cutOrder string) {
	index := map[model.SideID]int{}
	for n, one := range pp.pieces {
		index[one.id] = n
	}
	lead := func(s plan.Side) model.Length { return pp.side(index[s.SideID], 0).Start }
	p.Sticks, p.Run = pp.runs.PutInOrder(pp.w, p.Name, cutOrder, p.Sticks, lead)
}
