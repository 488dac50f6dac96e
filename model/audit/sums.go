package audit

import (
	"math/big"

	"longpoint/model"
	"longpoint/model/plan"
)

// figures audits a profile's sums against its sticks as they are written down.
func (a *audit) figures(p *plan.ProfilePlan, want *derived) {
	var f plan.Figures
	for _, s := range p.Sticks {
		f.Sides += len(s.Sides)
		f.UsedUp += s.Length
		if s.From == plan.Bought {
			f.NewSticks++
		} else {
			f.RackSticks++
			f.RackValue += s.Cost
		}
		for _, left := range s.Lefts() {
			if left.Becomes == plan.Kept {
				f.Kept += left.Length
				f.UsedUp -= left.Length
				f.Credit += left.Value
				f.LongestOffcut = max(f.LongestOffcut, left.Length)
			}
		}
		for _, side := range s.Sides {
			f.LongPoints += side.LongPoint
		}
	}
	for _, b := range a.d.Buy {
		if b.Profile == p.Name {
			f.Purchases += b.Cost
			f.Spare += b.SpareValue
		}
	}
	f.Delivery = a.deliveryShares(a.boughtOf)[p.Name]
	a.sameFigures("profile "+p.Name, p.Figures, f)
	if f.Sides != len(want.sides) {
		a.report("figures", "profile "+p.Name, "its sticks give %d sides and the jobs ask for %d", f.Sides, len(want.sides))
	}
}

// sameFigures compares the document's figures with those added up here, of which the dependent ones are still to be
// worked out.
func (a *audit) sameFigures(where string, got, sum plan.Figures) {
	sum.Cost = sum.RackValue + sum.Purchases + sum.Delivery - sum.Credit - sum.Spare
	sum.Waste = sum.UsedUp - sum.LongPoints
	sum.Yield = 0
	if sum.UsedUp > 0 {
		ppm := new(big.Int).Mul(big.NewInt(int64(sum.LongPoints)), big.NewInt(1_000_000))
		sum.Yield = ppm.Div(ppm, big.NewInt(int64(sum.UsedUp))).Int64()
	}
	number := func(what string, got, want int) {
		if got != want {
			a.report("figures", where, "%s: %d instead of %d", what, got, want)
		}
	}
	length := func(what string, got, want model.Length) {
		if got != want {
			a.report("figures", where, "%s: %s instead of %s", what, a.in(got), a.in(want))
		}
	}
	money := func(what string, got, want model.Money) {
		if got != want {
			a.report("figures", where, "%s: %s instead of %s", what, a.money(got), a.money(want))
		}
	}
	number("sides", got.Sides, sum.Sides)
	number("sticks from the rack", got.RackSticks, sum.RackSticks)
	number("new sticks", got.NewSticks, sum.NewSticks)
	money("value of the rack's sticks", got.RackValue, sum.RackValue)
	money("purchases", got.Purchases, sum.Purchases)
	money("delivery", got.Delivery, sum.Delivery)
	money("worth of kept offcuts", got.Credit, sum.Credit)
	money("worth of sticks to spare", got.Spare, sum.Spare)
	money("cost", got.Cost, sum.Cost)
	length("long points", got.LongPoints, sum.LongPoints)
	length("used up", got.UsedUp, sum.UsedUp)
	length("kept", got.Kept, sum.Kept)
	length("waste", got.Waste, sum.Waste)
	length("longest offcut", got.LongestOffcut, sum.LongestOffcut)
	if got.Yield != sum.Yield {
		a.report("yield", where, "yield: %d millionths instead of %d", got.Yield, sum.Yield)
	}
}

// jobShares audits how a profile's cost, and what was paid for sticks of the rack beyond their value, is shared out among the jobs: in proportion to what
// their sides take, by largest remainder.
func (a *audit) jobShares(p *plan.ProfilePlan, want *derived) {
	where := "profile " + p.Name + ", job costs"
	due := map[string]*plan.JobShare{}
	for _, w := range want.sides {
		if due[w.job] == nil {
			due[w.job] = &plan.JobShare{Job: w.job}
		}
		due[w.job].Sides++
		due[w.job].Takes += w.takes
	}
	all := p.Figures.Cost
	for i := range p.Sticks {
		if have := a.rack[p.Sticks[i].ID]; p.Sticks[i].From != plan.Bought && have != nil {
			if value, _ := a.worth(*have, want); have.Paid > value {
				all += have.Paid - value
			}
		}
	}
	a.shareOut(due, all)
	var sum model.Money
	last := -1
	for _, s := range p.Jobs {
		d := due[s.Job]
		if d == nil {
			a.report("share", where, "job %s has no side of this profile, or is named twice", s.Job)
			continue
		}
		delete(due, s.Job)
		sum += s.Cost
		if at := a.jobIndex(s.Job); at < last {
			a.report("order", where, "job %s does not stand in the order of the workshop's table", s.Job)
		} else {
			last = at
		}
		if s.Sides != d.Sides || s.Takes != d.Takes {
			a.report("share", where, "job %s is down for %d sides that take %s, and has %d that take %s", s.Job, s.Sides, a.in(s.Takes), d.Sides, a.in(d.Takes))
		}
		if s.Cost != d.Cost {
			a.report("share", where, "job %s pays %s and its share of the sticks is %s", s.Job, a.money(s.Cost), a.money(d.Cost))
		}
	}
	for _, j := range a.w.Jobs {
		if d := due[j.ID]; d != nil {
			a.report("share", where, "job %s has %d sides of this profile and no share of its cost", j.ID, d.Sides)
		}
	}
	if sum != all {
		a.report("share", where, "the shares add up to %s and the profile costs %s", a.money(sum), a.money(all))
	}
}

// shareOut divides a cost among jobs by what they take.
func (a *audit) shareOut(jobs map[string]*plan.JobShare, cost model.Money) {
	var weights []int64
	var total int64
	var inOrder []*plan.JobShare
	for _, j := range a.w.Jobs {
		if s := jobs[j.ID]; s != nil {
			inOrder, weights, total = append(inOrder, s), append(weights, int64(s.Takes)), total+int64(s.Takes)
		}
	}
	for n, part := range byRemainder(int64(cost), weights, total) {
		inOrder[n].Cost = model.Money(part)
	}
}

// jobs audits the cost of each job against its shares.
func (a *audit) jobs() {
	type sum struct {
		sides int
		cost  model.Money
	}
	sums := map[string]*sum{}
	for _, p := range a.d.Profiles {
		for _, s := range p.Jobs {
			if sums[s.Job] == nil {
				sums[s.Job] = &sum{}
			}
			sums[s.Job].sides += s.Sides
			sums[s.Job].cost += s.Cost
		}
	}
	last := -1
	for _, j := range a.d.Jobs {
		where := "job " + j.Job
		at := a.jobIndex(j.Job)
		s := sums[j.Job]
		if at < 0 || s == nil {
			a.report("job", where, "the plan cuts nothing for this job, or names it twice")
			continue
		}
		delete(sums, j.Job)
		if at < last {
			a.report("order", where, "it does not stand in the order of the workshop's table")
		}
		last = max(last, at)
		job := a.w.Jobs[at]
		if due := day(job.Due); j.Customer != job.Customer || j.Due != due {
			a.report("job", where, "it is down for %q, due %q, and the workshop says %q, %q", j.Customer, j.Due, job.Customer, due)
		}
		if j.Sides != s.sides || j.Cost != s.cost {
			a.report("job", where, "%d sides for %s, and its shares add up to %d for %s", j.Sides, a.money(j.Cost), s.sides, a.money(s.cost))
		}
	}
	for _, j := range a.w.Jobs {
		if s := sums[j.ID]; s != nil {
			a.report("job", "job "+j.ID, "its cost of %s is left out", a.money(s.cost))
		}
	}
}

// day writes a date, or nothing for no date.
func day(d model.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// total audits the document's sums over the profiles.
func (a *audit) total() {
	var figures, firstFit plan.Figures
	var bound, gap model.Money
	leftOver, complete := 0, true
	grade := plan.Proven
	for _, p := range a.d.Profiles {
		figures = sumOf(figures, p.Figures)
		firstFit = sumOf(firstFit, p.FirstFit.Figures)
		leftOver += p.FirstFit.LeftOver
		complete = complete && p.FirstFit.Complete
		if p.Together == 0 {
			bound += p.Bound
			gap += p.Gap
		}
		if p.Grade == plan.Open || p.Grade == plan.Searched && grade == plan.Proven {
			grade = p.Grade
		}
	}
	for _, g := range a.d.Together {
		bound += g.Bound
		gap += g.Gap
	}
	t := a.d.Total
	a.sameFigures("total", t.Figures, figures)
	a.sameFigures("total, first-fit", t.FirstFit.Figures, firstFit)
	if t.FirstFit.LeftOver != leftOver || t.FirstFit.Complete != complete {
		a.report("first-fit", "total", "first-fit is down with %d sides left over, and the profiles' add up to %d", t.FirstFit.LeftOver, leftOver)
	}
	if t.Bound != bound || t.Gap != gap {
		a.report("bound", "total", "bound %s and gap %s, and the profiles' add up to %s and %s", a.money(t.Bound), a.money(t.Gap), a.money(bound), a.money(gap))
	}
	if t.Grade != grade {
		a.report("grade", "total", "the grade is %s, and the worst of the profiles' is %s", t.Grade, grade)
	}
}

// sumOf adds the independent figures.
func sumOf(f, g plan.Figures) plan.Figures {
	return plan.Figures{Sides: f.Sides + g.Sides, RackSticks: f.RackSticks + g.RackSticks, NewSticks: f.NewSticks + g.NewSticks,
		RackValue: f.RackValue + g.RackValue, Purchases: f.Purchases + g.Purchases,
		Delivery: f.Delivery + g.Delivery, Credit: f.Credit + g.Credit, Spare: f.Spare + g.Spare,
		LongestOffcut: max(f.LongestOffcut, g.LongestOffcut), LongPoints: f.LongPoints + g.LongPoints, UsedUp: f.UsedUp + g.UsedUp, Kept: f.Kept + g.Kept}
}
